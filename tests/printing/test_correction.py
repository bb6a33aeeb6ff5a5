"""A tone correction: what a curve must never do, and what a lift is."""

from __future__ import annotations

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from proofing.errors import SettingError
from proofing.photograph import Encoding
from proofing.photograph.icc import adobe_rgb_profile, srgb_profile
from proofing.printing import MOST_LIFT_STOPS, Correction, shadow_lift

ENCODINGS = (
    Encoding("RGB", srgb_profile()),
    Encoding("RGB", adobe_rgb_profile()),
    Encoding("Lab", None),
)


def greys(encoding: Encoding, codes: np.ndarray) -> np.ndarray:
    triples = np.repeat(codes[:, None], 3, axis=1)
    if encoding.kind == "Lab":
        triples[:, 1:] = 128.0 / 255.0  # ICC.1:2022, 6.3.4.2
    return triples


@given(
    st.sampled_from(ENCODINGS),
    st.floats(0.0, MOST_LIFT_STOPS),
    st.lists(st.tuples(*[st.floats(0.0, 1.0)] * 3), min_size=2, max_size=20),
)
def test_no_code_is_clipped_and_no_tones_change_places(encoding, stops, codes) -> None:
    """Black stays black and white white; what is darker stays darker; nothing leaves the range."""
    correction = shadow_lift(encoding, stops)
    given_codes = np.array(codes)
    out = correction.apply(given_codes)
    assert out.min() >= 0.0 and out.max() <= 1.0
    tone = out[:, 0][np.argsort(given_codes[:, 0])]
    assert (np.diff(tone) >= 0.0).all()
    ends = correction.apply(greys(encoding, np.array([0.0, 1.0])))
    assert np.allclose(ends, greys(encoding, np.array([0.0, 1.0])))
    assert (out[:, 0] >= given_codes[:, 0] - 1e-3).all()


@pytest.mark.parametrize("encoding", ENCODINGS, ids=lambda e: e.key[:12])
@pytest.mark.parametrize("stops", [0.25, 0.75, 1.5])
def test_shadows_are_lifted_by_stops_and_mid_tones_stay(encoding: Encoding, stops: float) -> None:
    """A stop doubles the luminance (common practice); L* by colour-science, CIE 015:2018."""
    correction = shadow_lift(encoding, stops)
    codes = greys(encoding, np.linspace(0.0, 1.0, 801))
    before = encoding.to_XYZ(codes)[:, 1]
    after = encoding.to_XYZ(correction.apply(codes))[:, 1]
    L = colour.XYZ_to_Lab(encoding.to_XYZ(codes), colour.xy_to_xyY([0.3457, 0.3585])[:2])[:, 0]
    deep = (L > 1.0) & (L < 7.5)
    assert np.allclose(np.log2(after[deep] / before[deep]), stops, atol=0.02)
    light = L > 63.0
    assert np.allclose(after[light], before[light], atol=1e-4)


def test_the_greatest_lift_leaves_half_of_the_contrast_everywhere() -> None:
    """The fall of the lift costs contrast in between: never more than half, in L*."""
    encoding = ENCODINGS[0]
    codes = greys(encoding, np.linspace(0.0, 1.0, 4001))
    L = encoding_L(encoding, codes)
    lifted = encoding_L(encoding, shadow_lift(encoding, MOST_LIFT_STOPS).apply(codes))
    inside = (L > 2.0) & (L < 98.0)
    slope = np.gradient(lifted, L)[inside]
    assert 0.5 < slope.min() < 0.7


def encoding_L(encoding: Encoding, codes: np.ndarray) -> np.ndarray:
    Y = encoding.to_XYZ(codes)[:, 1]
    return np.asarray(colour.colorimetry.lightness_CIE1976(100.0 * Y))


def test_neutral_greys_stay_neutral() -> None:
    codes = shadow_lift(ENCODINGS[0], 1.0).apply(greys(ENCODINGS[0], np.linspace(0, 1, 50)))
    assert np.ptp(codes, axis=1).max() == 0.0


def test_colours_of_a_lab_file_keep_a_and_b() -> None:
    codes = np.random.default_rng(0).uniform(0, 1, (50, 3))
    assert np.array_equal(shadow_lift(ENCODINGS[2], 1.0).apply(codes)[:, 1:], codes[:, 1:])


def test_the_points_make_the_curve_again_in_any_editor() -> None:
    """A smooth curve through them, as editors draw it (monotone cubic, Fritsch and Carlson 1980,
    by scipy) whose points are whole codes is within two codes of 255 of ours."""
    from scipy.interpolate import PchipInterpolator

    codes = np.linspace(0.0, 1.0, 256)
    for stops in (0.25, 0.75, MOST_LIFT_STOPS):
        correction = shadow_lift(ENCODINGS[0], stops)
        points = np.rint(np.array(correction.points()) * 255.0) / 255.0
        told = PchipInterpolator(points[:, 0], points[:, 1])
        own = correction.apply(greys(ENCODINGS[0], codes))[:, 0]
        assert np.abs(told(codes) - own).max() * 255.0 < 2.0


@pytest.mark.parametrize("curve", [(0.0, 0.5, 0.4, 1.0), (0.1, 1.0), (0.0, 0.9), (0.0,)])
def test_what_is_no_curve_is_refused(curve: tuple[float, ...]) -> None:
    with pytest.raises(SettingError, match="curve"):
        Correction(ENCODINGS[0], curve)


@pytest.mark.parametrize("stops", [-0.1, 1.6, float("nan")])
def test_a_lift_out_of_reason_is_refused(stops: float) -> None:
    with pytest.raises(SettingError, match=r"0 to 1\.5 stops"):
        shadow_lift(ENCODINGS[0], stops)
