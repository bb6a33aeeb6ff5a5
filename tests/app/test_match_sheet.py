"""A screen measured by a white sheet and by its darkest patches."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.match_sheet import (
    DARKEST_CODES,
    DUV_STEP,
    MATCH_SPREAD_MIRED,
    MIRED_STEP,
    lost_below_L,
    match_white,
    sample,
    sheet_luminance,
    step_size,
    tinted,
)
from proofing.photograph.icc import gamma_profile
from proofing.screen import Screen
from tests.screen.test_screen import table_profile

SCREEN = Screen(luminance_cd_m2=100.0)
OWN = sample(SCREEN)
WHITES = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
D65, D50, A = (colour.xy_to_XYZ(WHITES[name]) for name in ("D65", "D50", "A"))
SRGB_TO_XYZ = np.array(
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
)
"""IEC 61966-2-1, linear sRGB to XYZ."""


def iec(code: float) -> float:
    """IEC 61966-2-1."""
    c = code / 255.0
    return c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4


IEC = np.array([iec(code) for code in range(256)])


def mccamy(XYZ) -> float:
    """Colour temperature by McCamy's formula, through colour-science."""
    return float(colour.temperature.xy_to_CCT_McCamy1992(colour.XYZ_to_xy(XYZ)))


def ohno(codes) -> tuple[float, float]:
    """Colour temperature and Duv of sRGB codes: IEC 61966-2-1, and Ohno 2013 in colour-science."""
    uv = colour.UCS_to_uv(colour.XYZ_to_UCS(SRGB_TO_XYZ @ IEC[list(codes)]))
    return tuple(map(float, colour.temperature.uv_to_CCT_Ohno2013(uv)))


def test_a_perfect_sheet_under_pi_lux_has_one_candela() -> None:
    """Lambert: L = E rho / pi. Print viewing at 500 lx: some 140 cd/m2 (ISO 3664, from memory)."""
    assert sheet_luminance(math.pi, 1.0) == pytest.approx(1.0)
    assert 130 < sheet_luminance(500.0) < 145


def test_the_sampled_screen_is_that_of_the_standard() -> None:
    """Curve, primaries and white of IEC 61966-2-1."""
    assert OWN.linear == pytest.approx(np.tile(IEC, (3, 1)), abs=1e-3)
    assert OWN.primaries == pytest.approx(SRGB_TO_XYZ, abs=1e-3)
    assert OWN.cct_K == pytest.approx(6504, rel=2e-3)
    assert OWN.emitted(255) == pytest.approx(100.0)


@pytest.mark.parametrize("code", [60, 128, 200, 255])
@pytest.mark.parametrize("light", [D65, D50, None], ids=["D65", "D50", "not known"])
def test_the_luminance_follows_from_the_curve(code: int, light) -> None:
    """L_w = E rho / pi over the patch's share of white (IEC 61966-2-1)."""
    found = match_white(OWN, (code,) * 3, 500.0, light, is_measured=True)
    assert found.luminance_cd_m2 == pytest.approx(500.0 * 0.87 / math.pi / iec(code), rel=0.02)


def test_what_was_guessed_is_less_certain() -> None:
    """10 % for the eye and 10 % for a luxmeter; 50 % for a guess (common practice)."""
    sure = match_white(OWN, (200,) * 3, 500.0, D65, is_measured=True).spread
    guessed = match_white(OWN, (200,) * 3, 500.0, D65, is_measured=False).spread
    assert sure == pytest.approx(0.1414, abs=1e-3) and guessed == pytest.approx(0.51, abs=1e-2)


def test_a_black_that_was_stated_does_not_grow_with_the_white() -> None:
    """A screen emits 2 + 118 t(v) cd/m2 and was taken for one of 100: the sheet that a patch looks
    like leads back to 120."""
    own = sample(replace(SCREEN, black_cd_m2=2.0))
    for code in (60, 150, 230):
        lux = (2.0 + 118.0 * iec(code)) * math.pi / 0.87
        found = match_white(own, (code,) * 3, lux, None, is_measured=True)
        assert found.luminance_cd_m2 == pytest.approx(120.0, rel=0.01)


@pytest.mark.parametrize("gains", [(1.0, 1.0, 1.0), (1.0, 0.9, 0.7), (0.8, 0.9, 1.0)])
@pytest.mark.parametrize("light", [D65, D50, A], ids=["D65", "D50", "A"])
def test_a_screen_whose_channels_went_astray_is_found(gains, light) -> None:
    """The channels of an sRGB screen (IEC 61966-2-1) give other shares than its profile says. The
    codes that match the sheet, to the nearest of 255, lead back to its luminance and its white;
    colour temperatures by McCamy's formula."""
    white = SRGB_TO_XYZ @ gains
    to_XYZ = SRGB_TO_XYZ * gains * 110.0 / white[1]
    linear = np.linalg.solve(to_XYZ, light / light[1] * 20.0)
    codes = tuple(int(np.abs(IEC - share).argmin()) for share in linear)
    found = match_white(OWN, codes, 20.0 * math.pi / 0.87, light, is_measured=True)
    assert found.luminance_cd_m2 == pytest.approx(110.0, rel=0.03)
    assert 1e6 / found.cct_K == pytest.approx(1e6 / mccamy(white), abs=6.0)
    assert 1e6 / found.light_cct_K == pytest.approx(1e6 / mccamy(light), abs=3.0)
    low, high = found.cct_range_K
    assert 1e6 / low - 1e6 / high == pytest.approx(2.0 * MATCH_SPREAD_MIRED)


def test_without_a_light_no_white_is_told() -> None:
    found = match_white(OWN, (200,) * 3, 300.0, None, is_measured=True)
    assert found.cct_K is None and found.light_cct_K is None


@pytest.mark.parametrize("kelvin", [2200, 2700, 3000, 4000, 5000, 6500, 8000, 12000])
def test_the_patch_reaches_every_light_that_prints_are_judged_in(kelvin: int) -> None:
    """From a dimmed filament lamp to a blue sky, within the sliders' reach."""
    low, high = OWN.slider_bounds()
    step = round((1e6 / OWN.cct_K - 1e6 / kelvin) / MIRED_STEP)
    assert low <= step <= high
    codes = tinted(OWN, 220, step * MIRED_STEP, 0.0)
    found, duv = ohno(codes)
    assert 1e6 / found == pytest.approx(1e6 / kelvin, abs=4.0)
    assert duv == pytest.approx(OWN.duv, abs=1e-3)
    assert max(codes) == 220


@pytest.mark.parametrize("greener", [-0.01, 0.01])
def test_the_finer_slider_goes_to_green_and_to_pink(greener: float) -> None:
    """By Duv: above the Planckian locus is greenish (ANSI C78.377, from memory)."""
    assert ohno(tinted(OWN, 220, -40.0, greener))[1] - OWN.duv == pytest.approx(greener, abs=1e-3)


LOW, HIGH = OWN.slider_bounds()


@given(st.integers(40, 255), st.integers(LOW, HIGH), st.integers(-40, 40))
def test_a_tinted_patch_stays_in_the_screen(grey: int, cooler: int, greener: int) -> None:
    codes = tinted(OWN, grey, cooler * MIRED_STEP, greener * DUV_STEP)
    assert max(codes) == grey and min(codes) >= 0


def test_the_sliders_begin_at_the_profile_s_own_white() -> None:
    """D50, x 0.3457 y 0.3585, and D65 (CIE 15); with curves and with tables. Neutral stays so."""
    warm = gamma_profile(1.8, (0.3457, 0.3585), ((0.64, 0.33), (0.21, 0.71), (0.15, 0.06)))
    for profile, kelvin in ((warm, 5001.0), (table_profile(), 6504.0)):
        own = sample(Screen(profile))
        assert own.cct_K == pytest.approx(kelvin, rel=0.01)
        assert tinted(own, 137, 0.0, 0.0) == (137, 137, 137)
        low, high = own.slider_bounds()
        assert 1e6 / own.cct_K - low * MIRED_STEP == pytest.approx(480.0, abs=2.1)
        assert 1e6 / own.cct_K - high * MIRED_STEP == pytest.approx(80.0, abs=2.1)


@pytest.mark.parametrize("code", DARKEST_CODES)
def test_what_cannot_be_judged_is_told_in_lightness(code: int) -> None:
    """CIE 15 lightness of the IEC 61966-2-1 luminance of the patch: 903.3 Y under 0.008856."""
    Y = iec(code)
    expected = 903.2963 * Y if Y < 216 / 24389 else 116 * Y ** (1 / 3) - 16
    for own in (OWN, sample(replace(SCREEN, black_cd_m2=3.0))):
        assert lost_below_L(own, code) == pytest.approx(expected, abs=0.05)


def test_the_darkest_patch_is_no_measure_of_the_black() -> None:
    """Why no luminance is made of it: the luminance on which the rise of a patch is one
    just-noticeable difference of DICOM PS3.14 (through colour-science) leaps by a third and more
    from one patch to the next, and would be absurd for a screen of 120 cd/m2."""
    L = colour.models.eotf_DICOMGSDF(np.arange(1, 1024) / 1023)
    black = [float(np.interp(120.0 * iec(code), np.diff(L), L[:-1])) for code in DARKEST_CODES[:6]]
    assert all(later > 1.3 * earlier for earlier, later in itertools.pairwise(black))
    assert black[2] > 0.07 * 120.0


@pytest.mark.parametrize("white_cd_m2", [80.0, 120.0, 250.0])
def test_a_step_of_eight_bits_in_just_noticeable_differences(white_cd_m2: float) -> None:
    """DICOM PS3.14 through colour-science, IEC 61966-2-1."""
    j = 1023 * colour.models.eotf_inverse_DICOMGSDF(white_cd_m2 * IEC[128:130])
    own = sample(replace(SCREEN, luminance_cd_m2=white_cd_m2))
    assert step_size(own) == pytest.approx(float(j[1] - j[0]), rel=0.03)
