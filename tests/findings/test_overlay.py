"""Marks must be read by their shape, on any picture, by any eye."""

from __future__ import annotations

import itertools
import warnings

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from proofing.findings.kinds import ALL_BITS, Kind, bits_of
from proofing.findings.overlay import composite, overlay, tiles

Float = npt.NDArray[np.float64]

# Machado, Oliveira and Fernandes 2009, severity 1.0: full dichromacy, for linear sRGB. Taken
# from the library's table so that no figure is copied by hand.
DEFICIENCIES = ("Protanomaly", "Deuteranomaly", "Tritanomaly")


def _linear(codes: npt.NDArray[np.uint8]) -> Float:
    """IEC 61966-2-1 decoding of sRGB codes."""
    c = codes.astype(np.float64) / 255
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def _luminance(bgr: npt.NDArray[np.uint8]) -> Float:
    """Relative luminance of sRGB codes (IEC 61966-2-1; the same as in WCAG 2.2)."""
    return np.asarray(_linear(bgr[..., :3])[..., ::-1] @ np.array([0.2126, 0.7152, 0.0722]))


def _laid_on(kind: Kind, grey: int, scale: float = 1.0) -> npt.NDArray[np.uint8]:
    """A kind's texture on a plain grey, BGR, three tiles a side."""
    tile = np.tile(tiles(scale)[kind], (3, 3, 1))
    under = np.full(tile.shape, grey, dtype=np.uint8)
    return composite(under, tile)[..., :3]


def _likeness(a: Float, b: Float) -> float:
    """Highest correlation of two periodic patterns over all shifts."""
    a, b = a - a.mean(), b - b.mean()
    spectrum = np.fft.fft2(a) * np.conj(np.fft.fft2(b))
    return float(np.fft.ifft2(spectrum).real.max() / np.sqrt((a**2).sum() * (b**2).sum()))


@pytest.mark.parametrize("scale", [1.0, 1.5, 2.0])
@pytest.mark.parametrize("kind", Kind)
def test_light_and_dark_line_stand_out_on_every_grey(kind: Kind, scale: float) -> None:
    """WCAG 2.2, criterion 1.4.11: graphics need 3:1; the pair reaches it whatever lies under."""
    for grey in range(0, 256, 5):
        Y = _luminance(_laid_on(kind, grey, scale))
        assert (Y.max() + 0.05) / (Y.min() + 0.05) >= 3.0


@pytest.mark.parametrize("grey", [0, 30, 119, 210, 255])
def test_kinds_differ_by_shape_in_greyscale(grey: int) -> None:
    """No shift lays one kind's pattern of light and dark onto another's."""
    patterns = {kind: _luminance(_laid_on(kind, grey)) for kind in Kind}
    for one, other in itertools.combinations(Kind, 2):
        assert _likeness(patterns[one], patterns[one]) == pytest.approx(1.0)
        assert _likeness(patterns[one], patterns[other]) < 0.7


@pytest.mark.parametrize("deficiency", DEFICIENCIES)
def test_kinds_differ_by_shape_to_colour_blind_eyes(deficiency: str) -> None:
    """The same under Machado et al. 2009 at full severity."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # its remarks about plotting packages that are kept out
        from colour.blindness import CVD_MATRICES_MACHADO2010

    matrix = np.asarray(CVD_MATRICES_MACHADO2010[deficiency][1.0])
    patterns = {}
    for kind in Kind:
        RGB = _linear(_laid_on(kind, 119))[..., ::-1] @ matrix.T
        patterns[kind] = RGB @ np.array([0.2126, 0.7152, 0.0722])
        assert (patterns[kind].max() + 0.05) / (patterns[kind].min() + 0.05) >= 3.0
    for one, other in itertools.combinations(Kind, 2):
        assert _likeness(patterns[one], patterns[other]) < 0.7


def test_hue_is_muted() -> None:
    """Nothing saturated beside a picture being judged: chroma C*ab stays under 20."""
    from proofing.colorimetry import XYZ_to_Lab

    # IEC 61966-2-1 primaries, adapted to the ICC white (Bradford), as in the published sRGB
    # profile.
    to_XYZ = np.array(
        [[0.43607, 0.38515, 0.14307], [0.22249, 0.71687, 0.06061], [0.01392, 0.09708, 0.71410]]
    )
    for kind in Kind:
        for grey in (0, 119, 255):
            RGB = _linear(_laid_on(kind, grey))[..., ::-1]
            Lab = XYZ_to_Lab(RGB @ to_XYZ.T)
            assert np.hypot(Lab[..., 1], Lab[..., 2]).max() < 20.0


def test_kinds_that_meet_show_side_by_side() -> None:
    """In a pixel block where all of them meet, most of each kind's own stroke is still there."""
    everything = overlay(np.full((72, 72), ALL_BITS, np.uint8))[22:44, 22:44]
    for tile in tiles(1.0).values():
        core = tile[..., 3] >= 200
        unchanged = np.abs(everything[core].astype(int) - tile[core]).max(axis=1) <= 12
        assert core.sum() > 10
        assert unchanged.mean() > 0.9


@pytest.mark.parametrize("kind", Kind)
def test_a_region_as_wide_as_a_tile_shows_wherever_it_lies(kind: Kind) -> None:
    """A loss that an eye could point at is not passed over, and nothing outlines it."""
    for y, x in itertools.product(range(0, 22, 3), repeat=2):
        bits = np.zeros((50, 50), np.uint8)
        bits[y : y + 22, x : x + 22] = kind.bit
        marks = overlay(bits)
        tile = np.roll(tiles(1.0)[kind], (-y, -x), (0, 1))
        np.testing.assert_array_equal(tile, marks[y : y + 22, x : x + 22])


def test_nothing_is_drawn_where_nothing_is_lost() -> None:
    """The overlay is transparent outside the mask, and black under transparency."""
    rng = np.random.default_rng(5)
    bits = np.where(rng.random((80, 90)) < 0.2, rng.integers(1, ALL_BITS + 1, (80, 90)), 0).astype(
        np.uint8
    )
    marks = overlay(bits)
    assert not marks[bits == 0].any()


@given(
    x=st.integers(0, 60), y=st.integers(0, 60), scale=st.sampled_from([1.0, 1.25, 2.0]),
    bits=st.integers(1, ALL_BITS),
)  # fmt: skip
def test_texture_stays_with_the_picture(x: int, y: int, scale: float, bits: int) -> None:
    """A crop with its origin is the crop of the whole."""
    mask = np.full((120, 110), bits, np.uint8)
    whole = overlay(mask, scale=scale)
    part = overlay(mask[y:, x:], scale=scale, origin=(x, y))
    np.testing.assert_array_equal(whole[y:, x:], part)


@given(bits=st.integers(0, ALL_BITS), strength=st.floats(0, 1))
def test_colours_are_premultiplied(bits: int, strength: float) -> None:
    """No colour exceeds its own opacity, or the canvas would add light."""
    marks = overlay(np.full((30, 30), bits, np.uint8), strength=strength)
    assert (marks[..., :3] <= marks[..., 3:]).all()


def test_only_the_kinds_asked_for_are_drawn() -> None:
    """Hiding a kind gives what a mask without its bit gives."""
    rng = np.random.default_rng(2)
    bits = rng.integers(0, ALL_BITS + 1, (50, 60)).astype(np.uint8)
    for kind in Kind:
        others = frozenset(Kind) - {kind}
        expected = overlay(bits & np.uint8(255 - kind.bit))
        np.testing.assert_array_equal(expected, overlay(bits, others))
    assert not overlay(bits, ()).any()
    assert not overlay(bits, strength=0.0).any()


def test_out_is_overwritten_completely() -> None:
    """A reused buffer keeps nothing of the last drawing."""
    bits = np.zeros((40, 40), np.uint8)
    bits[10:20, 10:20] = Kind.OUT_OF_GAMUT.bit
    buffer = np.full((40, 40, 4), 77, np.uint8)
    assert overlay(bits, out=buffer) is buffer
    np.testing.assert_array_equal(overlay(bits), buffer)
    assert not overlay(np.zeros_like(bits), out=buffer).any()


def test_texture_keeps_its_size_on_a_finer_screen() -> None:
    """At scale 2 a tile has twice the pixels and, averaged down, the same picture."""
    for kind in Kind:
        one, two = tiles(1.0)[kind], tiles(2.0)[kind]
        mean = two.reshape(22, 2, 22, 2, 4).astype(float).mean(axis=(1, 3))
        difference = np.abs(mean - one)
        assert difference.mean() < 2.0
        assert difference.max() < 20.0  # a hard edge, sampled eight or sixteen times a pixel


def test_composite_is_the_over_operator() -> None:
    """Held to another library's own alpha compositing."""
    rng = np.random.default_rng(3)
    picture = rng.integers(0, 256, (60, 60, 4)).astype(np.uint8)
    picture[..., 3] = 255
    marks = overlay(rng.integers(0, ALL_BITS + 1, (60, 60)).astype(np.uint8))
    alpha = marks[..., 3:].astype(float)
    straight = np.where(alpha > 0, marks[..., :3] * 255.0 / np.maximum(alpha, 1), 0)
    layer = np.concatenate([np.rint(straight).clip(0, 255), alpha], axis=2).astype(np.uint8)
    expected = np.asarray(
        Image.alpha_composite(
            Image.fromarray(picture, mode="RGBA"), Image.fromarray(layer, mode="RGBA")
        )
    )
    assert np.abs(expected.astype(int) - composite(picture, marks).astype(int)).max() <= 2


def test_bits_are_distinct_powers_of_two() -> None:
    """As many bits as kinds, names that JSON output promises."""
    bits_of_names = {
        "out_of_gamut": 1,
        "blocked_shadows": 2,
        "blown_highlights": 4,
        "clipped_in_file": 8,
        "beyond_screen": 16,
        "flattened_colour": 32,
        "banding_risk": 64,
    }
    assert bits_of_names == {kind.value: kind.bit for kind in Kind}
    assert sum(bits_of_names.values()) == ALL_BITS == bits_of(frozenset(Kind))
    for kind in Kind:
        assert kind.sentence.endswith(".")
        assert kind.title
