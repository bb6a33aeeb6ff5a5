"""A screen measured by a white sheet and by its darkest patches."""

from __future__ import annotations

import math

import colour
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.match_sheet import (
    DARKEST_CODES,
    lost_below_L,
    match_white,
    relative_luminance,
    sheet_luminance,
    tinted,
)
from proofing.screen import Screen

SCREEN = Screen(luminance_cd_m2=100.0)
D65 = colour.xy_to_XYZ(colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"])
D50 = colour.xy_to_XYZ(colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D50"])


def iec(code: float) -> float:
    """IEC 61966-2-1."""
    c = code / 255.0
    return c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4


def test_a_perfect_sheet_under_pi_lux_has_one_candela() -> None:
    """Lambert: L = E rho / pi. Print viewing at 500 lx: some 140 cd/m2 (ISO 3664, from memory)."""
    assert sheet_luminance(math.pi, 1.0) == pytest.approx(1.0)
    assert 130 < sheet_luminance(500.0) < 145


@pytest.mark.parametrize("code", [60, 128, 200, 255])
def test_the_patch_s_share_of_white_is_the_curve_s(code: int) -> None:
    assert relative_luminance(SCREEN, code) == pytest.approx(iec(code), abs=2e-3)
    found = match_white(SCREEN, (code,) * 3, 500.0, D65, is_measured=True)
    assert found.luminance_cd_m2 == pytest.approx(500.0 * 0.87 / math.pi / iec(code), rel=0.02)


def test_what_was_guessed_is_less_certain() -> None:
    """10 % for the eye and 10 % for a luxmeter; 50 % for a familiar place (common practice)."""
    sure = match_white(SCREEN, (200,) * 3, 500.0, D65, is_measured=True).spread
    guessed = match_white(SCREEN, (200,) * 3, 500.0, D65, is_measured=False).spread
    assert sure == pytest.approx(0.1414, abs=1e-3) and guessed == pytest.approx(0.51, abs=1e-2)


def test_the_screen_s_white_follows_from_the_light_s() -> None:
    """A grey patch that looks like a sheet in D65: the screen is at 6500 K, as its profile says. In
    D50: at 5000 K. A patch that had to be made warm to look like D65 was shown by a bluer screen.
    Colour temperatures by McCamy's formula in colour-science."""
    mccamy = colour.temperature.xy_to_CCT_McCamy1992
    for XYZ in (D65, D50):
        found = match_white(SCREEN, (200,) * 3, 300.0, XYZ, is_measured=True)
        assert found.cct_K == pytest.approx(float(mccamy(colour.XYZ_to_xy(XYZ))), rel=0.01)
    warm = match_white(SCREEN, tinted(200.0, -0.5, 0.0), 300.0, D65, is_measured=True)
    assert warm.cct_K > 7000.0
    assert match_white(SCREEN, (200,) * 3, 300.0, None, is_measured=True).cct_K is None


@given(st.floats(40, 255), st.floats(-1, 1), st.floats(-1, 1))
def test_a_tinted_patch_stays_in_the_screen(grey: float, cooler: float, greener: float) -> None:
    codes = tinted(grey, cooler, greener)
    assert max(codes) == pytest.approx(grey)
    assert min(codes) > 0.0
    assert (codes[2] >= codes[0]) == (cooler >= 0.0) or math.isclose(codes[0], codes[2])


@pytest.mark.parametrize("code", DARKEST_CODES)
def test_what_cannot_be_judged_is_told_in_lightness(code: int) -> None:
    """CIE 15 lightness of the IEC 61966-2-1 luminance of the patch: 903.3 Y under 0.008856."""
    Y = iec(code)
    expected = 903.2963 * Y if Y < 216 / 24389 else 116 * Y ** (1 / 3) - 16
    assert lost_below_L(SCREEN, code) == pytest.approx(expected, abs=0.05)
