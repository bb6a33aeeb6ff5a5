"""A screen measured without an instrument: by a white sheet beside it, and by its darkest patches.

What is found is as good as an eye's match, and says so. All of it is plain arithmetic once a
screen is sampled (:func:`sample`), so that a patch follows a slider at once.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import lightness

if TYPE_CHECKING:
    from proofing.screen import Screen

Float = npt.NDArray[np.float64]
Codes = tuple[int, int, int]

PAPER_REFLECTANCE = 0.87
"""Of plain white office paper, luminous: 0.85 to 0.9 (common practice)."""
MATCH_SPREAD = 0.10
"""An eye's match of two areas beside each other in brightness (common practice)."""
GUESS_SPREAD = 0.5
"""What a guess, or a familiar place, may differ from the real illuminance (common practice)."""
METER_SPREAD = 0.10
"""A hand-held luxmeter's error (common practice)."""
MATCH_SPREAD_MIRED = 20.0
"""An eye's match of a screen with paper in colour: four just-noticeable steps of some 5 mired each
(Judd 1933, from memory); the factor is ours."""
DARKEST_CODES = (1, 2, 3, 4, 6, 8, 10, 12, 15, 18, 22, 26)
"""Grey codes of the patches on black, of 255."""
MIRED_BOUNDS = (80.0, 480.0)
"""Colours that a patch can be given, in mired (10^6 / K): 12500 K to about 2100 K, from a blue sky
to a dimmed filament lamp."""
MIRED_STEP = 2.0
DUV_STEP = 0.0005
"""One step of the sliders; less than half of what is just seen."""


def sheet_luminance(illuminance_lux: float, reflectance: float = PAPER_REFLECTANCE) -> float:
    """Luminance of a matte sheet, cd/m2: ``E rho / pi`` (Lambert; any lighting handbook).

    >>> round(sheet_luminance(500.0, 1.0), 1)
    159.2
    """
    return illuminance_lux * reflectance / math.pi


@dataclass(frozen=True, eq=False)
class Sampled:
    """A screen as three lights that add up, its white ``Y = 1``; made by :func:`sample`.

    Attributes
    ----------
    linear
        (3, 256), each channel's light by code, 0..1.
    primaries
        (3, 3), columns: XYZ of the full channels, above black.
    dark
        (3,), XYZ of black by the profile; zero for curves and a matrix.
    luminance_cd_m2, black_cd_m2
        As the screen was stated to have; None where black was not.
    cct_K, duv
        Of the white, by the profile.
    mired, locus, greenward
        (N,), (N, 2), (N, 2): the Planckian locus in CIE 1960 uv, and the unit vector across it.
    """

    linear: Float
    primaries: Float
    dark: Float
    luminance_cd_m2: float
    black_cd_m2: float | None
    cct_K: float
    duv: float
    mired: Float
    locus: Float
    greenward: Float

    def light_of(self, codes: Codes) -> Float:
        """(3,), linear light of the channels."""
        return np.array([self.linear[channel, code] for channel, code in enumerate(codes)])

    def emitted(self, code: int) -> float:
        """Luminance of a grey code, cd/m2, black included, by what was stated."""
        above = float(self.primaries[1] @ self.light_of((code, code, code)))
        if self.black_cd_m2 is None:
            return self.luminance_cd_m2 * (above + float(self.dark[1]))
        share = above / (1.0 - float(self.dark[1]))
        return self.black_cd_m2 + (self.luminance_cd_m2 - self.black_cd_m2) * share

    def slider_bounds(self) -> tuple[int, int]:
        """Steps of :data:`MIRED_STEP` that the white may be made warmer (below 0) and cooler."""
        white = 1e6 / self.cct_K
        low, high = MIRED_BOUNDS
        return (
            -max(math.floor((high - white) / MIRED_STEP), 1),
            max(math.floor((white - low) / MIRED_STEP), 1),
        )


def sample(screen: Screen) -> Sampled:
    """Sample a screen. Slow the first time: it loads the colour science.

    Parameters
    ----------
    screen
        Whose profile gives curves, primaries and white.
    """
    bare = replace(screen, black_cd_m2=None)
    scale = bare.luminance_cd_m2
    dark = bare.decode(np.zeros((1, 3)))[0] / scale
    primaries = (bare.decode(np.eye(3)) / scale - dark).T
    linear = np.empty((3, 256))
    for channel in range(3):
        ramp = np.zeros((256, 3))
        ramp[:, channel] = np.arange(256) / 255.0
        above = bare.decode(ramp)[:, 1] / scale - dark[1]
        linear[channel] = np.maximum.accumulate(np.clip(above / above[-1], 0.0, 1.0))
    low, high = MIRED_BOUNDS
    mired = np.arange(low - 30.0, high + 31.0, 2.0)
    locus = _locus(mired)
    along = np.gradient(locus, axis=0)
    across = np.column_stack([-along[:, 1], along[:, 0]])
    across /= np.linalg.norm(across, axis=1)[:, None]
    across *= np.sign(across[:, 1:])  # a greater v is greener
    cct_K, duv = _white_of(primaries.sum(axis=1) + dark)
    return Sampled(
        linear, primaries, dark, screen.luminance_cd_m2, screen.black_cd_m2,
        cct_K, duv, mired, locus, across,
    )  # fmt: skip


def _locus(mired: Float) -> Float:
    from proofing._colour import colour_science

    cct_duv = np.column_stack([1e6 / mired, np.zeros_like(mired)])
    return np.asarray(colour_science().temperature.CCT_to_uv_Ohno2013(cct_duv), np.float64)


def _uv(XYZ: Float) -> Float:
    """CIE 1960 UCS."""
    X, Y, Z = map(float, XYZ)
    return np.array([4.0 * X, 6.0 * Y]) / (X + 15.0 * Y + 3.0 * Z)


def _white_of(XYZ: Float) -> tuple[float, float]:
    """Colour temperature, K, and Duv (Ohno 2013)."""
    from proofing._colour import colour_science

    cct_K, duv = colour_science().temperature.uv_to_CCT_Ohno2013(_uv(XYZ))
    return float(cct_K), float(duv)


def tinted(own: Sampled, grey: int, cooler: float, greener: float) -> Codes:
    """Codes of a patch: the screen's white, dimmed, and moved along and across the Planckian locus.

    Parameters
    ----------
    own
        The screen.
    grey
        0..255; the lightest channel gives that code's light, so that all tints can be shown.
    cooler
        Mired from the white, above 0 to the blue.
    greener
        Duv from the white, above 0 to the green.
    """
    if cooler == greener == 0.0:
        return grey, grey, grey
    white = 1e6 / own.cct_K

    def at(mired: float, table: Float) -> Float:
        return np.array([np.interp(mired, own.mired, table[:, axis]) for axis in (0, 1)])

    there = white - cooler
    residue = _uv(own.primaries.sum(axis=1)) - at(white, own.locus)
    residue -= own.duv * at(white, own.greenward)  # next to nothing; keeps a small step small
    u, v = at(there, own.locus) + (own.duv + greener) * at(there, own.greenward) + residue
    XYZ = np.array([1.5 * u / v, 1.0, (2.0 - 0.5 * u) / v - 5.0])
    wanted = np.maximum(np.linalg.solve(own.primaries, XYZ), 1e-3)
    wanted = wanted / wanted.max() * own.light_of((grey, grey, grey)).mean()
    red, green, blue = (
        round(float(np.interp(wanted[channel], own.linear[channel], np.arange(256))))
        for channel in range(3)
    )
    return red, green, blue


@dataclass(frozen=True)
class WhiteMatch:
    """What a matched patch tells of the screen.

    Attributes
    ----------
    luminance_cd_m2
        Of the screen's white.
    spread
        How far that may be off, as a share.
    cct_K
        Colour temperature of the screen's white as far as the match tells; None where no light is
        known or it is too far from white.
    light_cct_K
        That of the light; None with :attr:`cct_K`.
    profile_cct_K
        That of the white by the screen's profile.
    """

    luminance_cd_m2: float
    spread: float
    cct_K: float | None
    light_cct_K: float | None
    profile_cct_K: float

    @property
    def cct_range_K(self) -> tuple[float, float]:
        """Between which the screen's white lies, by :data:`MATCH_SPREAD_MIRED`."""
        assert self.cct_K is not None
        mired = 1e6 / self.cct_K
        return 1e6 / (mired + MATCH_SPREAD_MIRED), 1e6 / (mired - MATCH_SPREAD_MIRED)


def match_white(
    own: Sampled,
    codes: Codes,
    illuminance_lux: float,
    light_XYZ: npt.ArrayLike | None,
    *,
    is_measured: bool,
) -> WhiteMatch:
    """The screen's white by a patch that looks like a sheet of paper.

    With the patch's linear codes p, the light's white w and the primaries of the screen's profile
    M, the channels' real strengths are ``g = M^-1 w / p``; white is ``M g``, and its luminance that
    of the sheet times ``Y(M g) / Y(w)``. Without a light, g is 1. A black that was stated does not
    grow with the white and is set apart. The sheet counts as neutral: in light with ultraviolet,
    brightened paper makes the screen look warmer than it is.

    Parameters
    ----------
    own
        The screen.
    codes
        Of the patch, 0..255 each.
    illuminance_lux
        On the sheet.
    light_XYZ
        (3,) white of the light, any scale; None where it is not known.
    is_measured
        Whether the illuminance was measured, not guessed or taken from a familiar place.
    """
    p = np.maximum(own.light_of(codes), 1e-6)
    sheet = sheet_luminance(illuminance_lux)
    black = own.black_cd_m2
    dark = own.dark if black is None else np.zeros(3)
    patch_XYZ = own.primaries @ p + dark
    white_XYZ, cct_K, light_cct_K = own.primaries.sum(axis=1) + dark, None, None
    if light_XYZ is not None:
        light = np.asarray(light_XYZ, np.float64)
        wanted = np.linalg.solve(own.primaries, light / light[1] * patch_XYZ[1] - dark)
        if (wanted > 0.0).all():
            lit_XYZ = own.primaries @ (wanted / p) + dark
            found, duv = _white_of(lit_XYZ)
            if 2000.0 < found < 20000.0 and abs(duv) < 0.05:
                white_XYZ, cct_K, light_cct_K = lit_XYZ, found, _white_of(light)[0]
    share = float(patch_XYZ[1] / white_XYZ[1])
    floor = 0.0 if black is None else black
    return WhiteMatch(
        luminance_cd_m2=(sheet - floor) / share + floor,
        spread=math.hypot(MATCH_SPREAD, METER_SPREAD if is_measured else GUESS_SPREAD),
        cct_K=cct_K,
        light_cct_K=light_cct_K,
        profile_cct_K=own.cct_K,
    )


def lost_below_L(own: Sampled, code: int) -> float:
    """L* of the file, as the screen shows it, up to which nothing can be told from its black.

    No luminance of the black is made of it. The just-noticeable step of DICOM PS3.14 could be
    turned round, from the rise that is just seen to the luminance that it is seen on; but one patch
    more or less changes that by a third to several times, and patch 3 on a screen of 120 cd/m2
    would mean a black of 8 % of its white, because an eye in a lit room sees less than the
    standard's observer. A test holds the figures.

    Parameters
    ----------
    own
        The screen, whose curve holds; its own black is not used.
    code
        Grey code of the darkest patch that is told from black, 0..255.
    """
    above = own.primaries[1] @ own.light_of((code, code, code)) / own.primaries[1].sum()
    return float(lightness(np.array([above]))[0])


def step_size(own: Sampled, code: int = 128) -> float:
    """Just-noticeable differences (DICOM PS3.14) in one step of 8 bits, from a grey code up."""
    from proofing.findings.visibility import steps

    lower, upper = steps(np.array([own.emitted(code), own.emitted(code + 1)]))
    return float(upper - lower)
