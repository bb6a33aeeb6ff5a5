"""Marks brought to the size of the view."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from proofing.errors import Cancelled, SettingError
from proofing.lattice import resample_bits, view_bits

RNG = np.random.default_rng(6)


def plainly(bits, scale, offset, size, coverage=0.25):
    """Pixel by pixel, by the rule as it is documented."""
    centres_x = (np.arange(bits.shape[1]) + 0.5) * scale + offset[0]
    centres_y = (np.arange(bits.shape[0]) + 0.5) * scale + offset[1]
    out = np.zeros(size, np.uint8)
    for y, x in np.ndindex(size):
        if scale >= 1:
            i = math.floor((x + 0.5 - offset[0]) / scale)
            j = math.floor((y + 0.5 - offset[1]) / scale)
            if 0 <= i < bits.shape[1] and 0 <= j < bits.shape[0]:
                out[y, x] = bits[j, i]
            continue
        under = bits[(centres_y >= y) & (centres_y < y + 1)]
        under = under[:, (centres_x >= x) & (centres_x < x + 1)]
        if under.size:
            for b in range(8):
                share = np.count_nonzero(under & (1 << b)) / under.size
                out[y, x] |= (share >= coverage and share > 0) << b
    return out


def test_by_hand():
    """Four pixels under one: one marked of four is a quarter, and a quarter is enough."""
    bits = np.array([[1, 0, 2, 2], [0, 0, 0, 2], [4, 0, 0, 0], [0, 0, 0, 8]], np.uint8)
    halved = resample_bits(bits, 0.5, (0, 0), (2, 2))
    assert halved.tolist() == [[1, 2], [4, 8]]
    assert resample_bits(bits, 0.5, (0, 0), (2, 2), coverage=0.5).tolist() == [[0, 2], [0, 0]]
    assert resample_bits(bits, 0.25, (0, 0), (1, 1)).tolist() == [[0]]
    doubled = resample_bits(bits, 2.0, (0, 0), (8, 8))
    np.testing.assert_array_equal(doubled, bits.repeat(2, axis=0).repeat(2, axis=1))


@settings(max_examples=60, deadline=None)
@given(
    scale=st.sampled_from([0.03, 0.11, 0.3, 0.5, 0.77, 0.999, 1.0, 1.31, 2.0, 7.7]),
    offset=st.tuples(*[st.floats(-30, 30).map(lambda v: round(v, 2) + 0.003)] * 2),
    coverage=st.sampled_from([0.0, 0.25, 0.5, 1.0]),
)
def test_follows_the_rule(scale, offset, coverage):
    """Any scale, offset and coverage, parts of the view beyond the picture included."""
    bits = np.random.default_rng(1).integers(0, 256, (41, 53), dtype=np.uint8)
    bits &= np.random.default_rng(2).integers(0, 256, (41, 53), dtype=np.uint8)
    bits[10:20] = 0
    size = (23, 31)
    np.testing.assert_array_equal(
        resample_bits(bits, scale, offset, size, coverage=coverage),
        plainly(bits, scale, offset, size, coverage),
    )


def test_nearest_agrees_with_pillow():
    """Enlarging by a whole number equals Pillow's nearest resize."""
    bits = RNG.integers(0, 256, (13, 17), dtype=np.uint8)
    expected = np.asarray(Image.fromarray(bits).resize((17 * 3, 13 * 3), Image.Resampling.NEAREST))
    np.testing.assert_array_equal(resample_bits(bits, 3.0, (0, 0), (39, 51)), expected)


@pytest.mark.parametrize("factor", [3, 15, 16, 40, 300])
def test_share_agrees_with_pillow(factor):
    """Reducing by a whole number equals a threshold on Pillow's box mean, over 255 pixels too."""
    field = RNG.random((2 * factor, 3 * factor)) < 0.25
    bits = np.where(field, 64 + 1, 0).astype(np.uint8)
    mean = np.asarray(Image.fromarray(field.astype(np.float32)).reduce(factor))
    expected = np.where(mean >= 0.25, 65, 0)
    sure = np.abs(mean - 0.25) > 1e-6
    made = resample_bits(bits, 1 / factor, (0, 0), (2, 3))
    np.testing.assert_array_equal(made[sure], expected[sure])


def test_every_pixel_counts_once():
    """At any reduction a fully marked picture is fully marked, an empty one empty."""
    for scale in np.linspace(0.05, 1.0, 40):
        size = (math.floor(60 * scale), math.floor(80 * scale))
        full = np.full((60, 80), 255, np.uint8)
        assert np.all(resample_bits(full, scale, (0, 0), size) == 255)
        assert not np.any(resample_bits(full * 0, scale, (0, 0), size, coverage=0.0))


def test_threads_views_and_targets(monkeypatch):
    """Strips change nothing; crops are read in place; the result may be part of a larger array."""
    bits = RNG.integers(0, 256, (200, 300), dtype=np.uint8)
    page = np.full((90, 120), 7, np.uint8)
    whole = resample_bits(bits[20:, 10:].copy(), 0.4, (1.5, 2.5), (70, 100), workers=1)
    monkeypatch.setattr(view_bits, "_STRIP_PIXELS", 1)
    made = resample_bits(bits[20:, 10:], 0.4, (1.5, 2.5), (70, 100), out=page[10:80, 5:105])
    assert np.shares_memory(made, page)
    np.testing.assert_array_equal(made, whole)
    page[10:80, 5:105] = 7
    assert np.all(page == 7)


def test_wrong_input_is_named():
    """Each wrong argument is refused with its name."""
    bits = np.zeros((4, 4), np.uint8)
    for call, name in [
        ((bits, 0.0, (0, 0), (2, 2)), "scale"),
        ((bits, float("nan"), (0, 0), (2, 2)), "scale"),
        ((bits, 1.0, (0, float("inf")), (2, 2)), "offset"),
        ((bits.astype(np.uint16), 1.0, (0, 0), (2, 2)), "bits"),
        ((bits[..., None], 1.0, (0, 0), (2, 2)), "bits"),
    ]:
        with pytest.raises(SettingError, match=name):
            resample_bits(*call)
    with pytest.raises(SettingError, match="coverage"):
        resample_bits(bits, 1.0, (0, 0), (2, 2), coverage=2.0)
    with pytest.raises(SettingError, match="out"):
        resample_bits(bits, 1.0, (0, 0), (2, 2), out=np.zeros((3, 2), np.uint8))
    with pytest.raises(Cancelled):
        resample_bits(bits, 1.0, (0, 0), (2, 2), cancel=lambda: True)
    assert resample_bits(bits, 1.0, (0, 0), (0, 5)).shape == (0, 5)
