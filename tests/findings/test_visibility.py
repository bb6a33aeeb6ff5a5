"""Visibility: just-noticeable steps."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from proofing._colour import colour_science
from proofing.colorimetry import Lab_to_XYZ, XYZ_to_Lab
from proofing.findings.visibility import (
    L_MAX_CD_M2,
    L_MIN_CD_M2,
    luminance_cd_m2,
    step_size_cd_m2,
    steps,
)


@pytest.mark.parametrize(("L", "j"), [(1.0, 71.50), (10.0, 216.87), (100.0, 476.36)])
def test_steps_of_the_standard(L: float, j: float) -> None:
    """DICOM PS3.14, 7.1: j of 1, 10, 100 cd/m2."""
    assert j == pytest.approx(float(steps(L)), abs=0.005)


def test_luminance_of_the_standard() -> None:
    """DICOM PS3.14, table B-1: L(1) = 0.05, L(512) = 130.0653, L(1023) = 3993.404."""
    L = luminance_cd_m2([1.0, 512.0, 1023.0])
    assert pytest.approx(L, rel=3e-3) == [0.05, 130.0653, 3993.404]


def test_agrees_with_the_library_over_the_whole_range() -> None:
    """DICOM PS3.14 through colour-science, both ways, 0.05..3993 cd/m2."""
    colour = colour_science()
    L = np.geomspace(0.051, 3990.0, 500)
    expected = colour.models.eotf_inverse_DICOMGSDF(L, out_int=True)
    assert np.abs(expected - steps(L)).max() <= 0.51  # the library rounds to whole steps
    j = np.linspace(2.0, 1022.0, 200)
    expected = colour.models.eotf_DICOMGSDF(np.round(j), in_int=True)
    assert expected == pytest.approx(luminance_cd_m2(np.round(j)), rel=5e-3)


@pytest.mark.parametrize(
    ("L_star", "expected"),
    [
        # dL* of one step at 2000, 500, 200, 50 lx with 0.75 % flare: computed independently
        (4.5, (0.14, 0.21, 0.30, 0.54)),
        (16.7, (0.14, 0.20, 0.28, 0.47)),
    ],
)
def test_one_step_near_black(L_star: float, expected: tuple[float, ...]) -> None:
    """In dim light two dark tones must differ more to be told apart."""
    Y = Lab_to_XYZ([L_star, 0.0, 0.0])[1]
    for lux, dL in zip((2000.0, 500.0, 200.0, 50.0), expected, strict=True):
        white = lux / math.pi
        L = (Y + 0.0075) * white
        Y_next = float(luminance_cd_m2(steps(L) + 1.0)) / white - 0.0075
        L_next = XYZ_to_Lab([0.9642 * Y_next, Y_next, 0.8249 * Y_next])[0]
        assert dL == pytest.approx(L_next - L_star, abs=0.012)


@pytest.mark.parametrize("L_0", [L_MIN_CD_M2, L_MAX_CD_M2])
def test_continuation_joins_in_value_and_slope(L_0: float) -> None:
    """No step and no kink where the standard ends."""
    eps = 1e-6 * L_0
    below, at, above = steps([L_0 - eps, L_0, L_0 + eps])
    assert at - below == pytest.approx(above - at, rel=1e-3)
    assert above - below < 0.01


def test_below_the_standard_the_threshold_grows_as_the_root() -> None:
    """de Vries-Rose: a hundredth of the luminance, a tenth of the threshold."""
    low, high = 1e-4, 1e-2
    slope = [float(np.diff(steps([L, L * 1.0001]))[0]) / (L * 1e-4) for L in (low, high)]
    assert pytest.approx(slope[0] / slope[1], rel=1e-3) == 10.0


def test_above_the_standard_the_threshold_grows_as_the_luminance() -> None:
    """Weber: equal ratios are equal steps."""
    j = steps([5000.0, 10000.0, 20000.0])
    assert j[1] - j[0] == pytest.approx(j[2] - j[1])


@given(st.floats(0.0, 1e5), st.floats(0.0, 1e5))
def test_order_is_kept(L_1: float, L_2: float) -> None:
    """Brighter is more steps."""
    j_1, j_2 = steps([L_1, L_2])
    assert np.sign(L_2 - L_1) * (j_2 - j_1) >= 0.0


def test_there_and_back() -> None:
    """The inverse over twelve decades, both continuations included, to a billionth."""
    L = np.concatenate([[0.0], np.geomspace(1e-7, 1e5, 20001)])
    assert pytest.approx(luminance_cd_m2(steps(L)), rel=1e-7, abs=1e-12) == L


def test_darkness_and_less_is_one_thing() -> None:
    """Zero and below count as dark, without a warning."""
    j = steps([0.0, -1.0, -1e9])
    assert np.isfinite(j).all()
    assert j[0] == j[1] == j[2]
    assert luminance_cd_m2(j[0] - 100.0) == 0.0


def test_step_size_at_screen_levels() -> None:
    """DICOM PS3.14 through colour-science: from step 512 to step 513."""
    colour = colour_science()
    low, high = colour.models.eotf_DICOMGSDF(np.array([512, 513]), in_int=True)
    assert high - low == pytest.approx(float(step_size_cd_m2(low)), rel=0.01)
