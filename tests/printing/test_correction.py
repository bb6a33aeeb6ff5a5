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
from proofing.printing import MOST_LIFT_STOPS, Correction, correction_for, shadow_lift

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
    """A smooth curve through them, as editors draw it (monotone cubic, PCHIP,
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


POINTS = ((0.0, 0.0), (64 / 255, 80 / 255), (180 / 255, 190 / 255), (1.0, 1.0))


def test_a_curve_of_ones_own_goes_through_its_points() -> None:
    """Between them it is the monotone cubic PCHIP, by scipy."""
    from scipy.interpolate import PchipInterpolator

    own = correction_for(ENCODINGS[0], POINTS)
    at, out = np.array(POINTS).T
    assert np.allclose(own.apply(greys(ENCODINGS[0], at))[:, 0], out, atol=1e-5)
    codes = np.linspace(0.0, 1.0, 256)
    wanted = PchipInterpolator(at, out)(codes)
    assert np.abs(own.apply(greys(ENCODINGS[0], codes))[:, 0] - wanted).max() < 1e-4


def test_the_lift_comes_after_the_points() -> None:
    codes = np.random.default_rng(0).uniform(0, 1, (200, 3))
    both = correction_for(ENCODINGS[0], POINTS, 1.0)
    one, other = correction_for(ENCODINGS[0], POINTS), shadow_lift(ENCODINGS[0], 1.0)
    assert np.abs(both.apply(codes) - other.apply(one.apply(codes))).max() < 1e-3
    assert np.array_equal(both.with_lift(0.0).curve, one.curve)


@given(
    st.lists(
        st.tuples(st.integers(1, 254), st.integers(0, 255)),
        max_size=10, unique_by=lambda point: point[0],
    )
)  # fmt: skip
def test_points_that_rise_make_a_curve_that_never_falls_or_clips(points) -> None:
    ins = sorted(x for x, _ in points)
    outs = sorted(y for _, y in points)
    own = ((0, 0), *zip(ins, outs, strict=True), (255, 255))
    curve = np.array(correction_for(ENCODINGS[0], tuple((x / 255, y / 255) for x, y in own)).curve)
    assert (np.diff(curve) >= 0.0).all()
    assert (curve[0], curve[-1]) == (0.0, 1.0)


@pytest.mark.parametrize(
    ("points", "said"),
    [
        (((0.0, 0.0),), "2 to 12"),
        (((0.0, 0.1), (1.0, 1.0)), "0:0 to 255:255"),
        (((0.0, 0.0), (0.5, 1.5), (1.0, 1.0)), "between 0 and 255"),
        (((0.0, 0.0), (0.5, 0.6), (0.5, 0.7), (1.0, 1.0)), "at least 1 apart"),
        (((0.0, 0.0), (0.3, 0.6), (0.5, 0.4), (1.0, 1.0)), "never falls"),
    ],
)
def test_points_that_make_no_curve_are_refused(points, said: str) -> None:
    with pytest.raises(SettingError, match=said):
        correction_for(ENCODINGS[0], points)
