"""A screen measured without an instrument: by a white sheet beside it, and by its darkest patches.

What is found is as good as an eye's match, and says so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import lightness

if TYPE_CHECKING:
    from proofing.screen import Screen

Float = npt.NDArray[np.float64]

PAPER_REFLECTANCE = 0.87
"""Of plain white office paper, luminous: 0.85 to 0.9 (common practice)."""
MATCH_SPREAD = 0.10
"""An eye's match of two areas beside each other in brightness (common practice)."""
PLACE_SPREAD = 0.5
"""What a familiar place may differ from its typical illuminance (common practice)."""
METER_SPREAD = 0.10
"""A hand-held luxmeter's error (common practice)."""
DARKEST_CODES = (1, 2, 3, 4, 6, 8, 10, 12, 15, 18, 22, 26)
"""Grey codes of the patches on black, of 255."""


def sheet_luminance(illuminance_lux: float, reflectance: float = PAPER_REFLECTANCE) -> float:
    """Luminance of a matte sheet, cd/m2: ``E rho / pi`` (Lambert; any lighting handbook).

    >>> round(sheet_luminance(500.0, 1.0), 1)
    159.2
    """
    return illuminance_lux * reflectance / math.pi


def relative_luminance(screen: Screen, code: float) -> float:
    """Of a grey code, 0..255, against the screen's white, by its profile's curve."""
    grey = np.array([[code / 255.0] * 3, [1.0] * 3])
    own, white = screen.decode(grey)[:, 1]
    return float(own / white)


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
    """

    luminance_cd_m2: float
    spread: float
    cct_K: float | None


def match_white(
    screen: Screen,
    codes: tuple[float, float, float],
    illuminance_lux: float,
    light_XYZ: npt.ArrayLike | None,
    *,
    is_measured: bool,
) -> WhiteMatch:
    """The screen's white by a patch that looks like a sheet of paper.

    With the patch's linear codes p, the light's white w and the primaries of the screen's profile
    M, the channels' real strengths are ``g = M^-1 w / p``; white is ``M g``. The sheet counts as
    neutral: in light with ultraviolet, brightened paper makes the screen look warmer than it is.

    Parameters
    ----------
    screen
        Whose profile gives curve and primaries.
    codes
        Of the patch, 0..255 each.
    illuminance_lux
        On the sheet.
    light_XYZ
        (3,) white of the light, any scale.
    is_measured
        Whether the illuminance was measured, not taken from a familiar place.
    """
    white_XYZ = screen.decode(np.ones((1, 3)))[0]
    patch_XYZ = screen.decode(np.array(codes)[None] / 255.0)[0]
    share = max(float(patch_XYZ[1] / white_XYZ[1]), 1e-6)
    spread = math.hypot(MATCH_SPREAD, METER_SPREAD if is_measured else PLACE_SPREAD)
    luminance = sheet_luminance(illuminance_lux) / share
    return WhiteMatch(luminance, spread, _white_cct(screen, patch_XYZ, light_XYZ))


def _white_cct(screen: Screen, patch_XYZ: Float, light_XYZ: npt.ArrayLike | None) -> float | None:
    from proofing._colour import colour_science

    if light_XYZ is None:
        return None
    primaries = screen.decode(np.eye(3)).T  # columns
    dark = screen.decode(np.zeros((1, 3)))[0][:, None]
    primaries = primaries - dark
    light = np.asarray(light_XYZ, np.float64)
    light = light / light[1] * patch_XYZ[1]
    wanted, own = (np.linalg.solve(primaries, XYZ - dark[:, 0]) for XYZ in (light, patch_XYZ))
    if (own <= 0.0).any() or (wanted <= 0.0).any():
        return None
    X, Y, Z = primaries @ (wanted / own)
    uv = np.array([4.0 * X, 6.0 * Y]) / (X + 15.0 * Y + 3.0 * Z)
    cct, duv = colour_science().temperature.uv_to_CCT_Ohno2013(uv)
    return float(cct) if 2000.0 < cct < 20000.0 and abs(duv) < 0.05 else None


def tinted(grey: float, cooler: float, greener: float) -> tuple[float, float, float]:
    """Codes of a patch: a grey that is made cooler (blue against red) and greener.

    Parameters
    ----------
    grey
        0..255; the lightest channel is never above it, so that all steps can be shown.
    cooler, greener
        -1..1; a step of 0.01 is about what is just seen.

    >>> tinted(200.0, 0.0, 0.0)
    (200.0, 200.0, 200.0)
    >>> tinted(200.0, 0.5, 0.0)
    (175.0, 187.5, 200.0)
    """
    red, green, blue = -cooler / 8.0, greener / 8.0, cooler / 8.0
    top = max(red, green, blue)
    made = [grey * (1.0 + channel - top) for channel in (red, green, blue)]
    return made[0], made[1], made[2]


def lost_below_L(screen: Screen, code: float) -> float:
    """L* of the file, as the screen shows it, up to which nothing can be told from its black.

    No luminance of the black is made of it: what an eye sees there hangs on what else is bright in
    its field by more than on the black itself (the just-noticeable step of DICOM PS3.14 at 1 cd/m2
    is under one code of 255; in a lit room some five are needed, common practice).

    Parameters
    ----------
    screen
        Whose curve holds; its own black is not used.
    code
        Grey code of the darkest patch that is told from black, 0..255.
    """
    grey = np.array([[code / 255.0] * 3, [0.0] * 3, [1.0] * 3])
    own, black, white = screen.decode(grey)[:, 1]
    return float(lightness(np.array([(own - black) / (white - black)]))[0])
