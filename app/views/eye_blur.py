"""What an eye at the viewing distance resolves of a picture that is shown larger than from there.

An eye spreads a point over a Gaussian whose width is an angle. Seen from far, that angle covers
much of the print; on the screen, magnified, the onlooker's own eye covers less of it. What is
missing is added here, so that the two together make the spread of an eye at the print's distance:
where the screen shows the print as large as it looks from there, only what the wider pupil of a dim
room spreads more; the larger it is shown, the more.

Free of the toolkit. Never in any number: probes and findings read the photograph's codes.
"""

from __future__ import annotations

import functools
import math
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from proofing.screen import Screen

Bytes = npt.NDArray[np.uint8]

FIELD_DEG = 10.0
"""Field that the pupil follows: a picture on a wall."""
LEAST_PX = 0.3
"""A spread under this is not seen and not drawn."""
REACH = 3.0
"""Standard deviations that are drawn; beyond lies 0.3 %."""


def spread_arcmin(luminance_cd_m2: float) -> float:
    """Standard deviation of the eye's point spread, minutes of arc.

    Barten (1999), chapter 3: ``sqrt(0.5^2 + (0.08 d)^2)`` with the pupil's diameter d in mm at the
    luminance, as colour-science has both.

    Parameters
    ----------
    luminance_cd_m2
        That the eye is adapted to.

    Examples
    --------
    >>> round(spread_arcmin(100.0), 2), round(spread_arcmin(1.0), 2)
    (0.6, 0.71)
    """
    from proofing._colour import colour_science

    barten = colour_science().contrast.barten1999
    pupil_mm = float(barten.pupil_diameter_Barten1999(max(luminance_cd_m2, 1e-3), FIELD_DEG))
    return 60.0 * float(barten.sigma_Barten1999(0.5 / 60.0, 0.08 / 60.0, pupil_mm))


def added_spread_px(
    room_cd_m2: float,
    screen_cd_m2: float,
    pixel_mm: float,
    distance_m: float,
    magnification: float,
) -> float:
    """Standard deviation that is to be added, in pixels of the photograph.

    Parameters
    ----------
    room_cd_m2, screen_cd_m2
        That the eye before the print, and the one before the screen, is adapted to: in a dim room
        the pupil is wider and spreads more, at the same size too.
    pixel_mm
        Side of a pixel of the photograph on the print.
    distance_m
        From the eye to the print.
    magnification
        How much larger the print looks on the screen than from that distance.

    Examples
    --------
    >>> added_spread_px(100.0, 100.0, 0.1, 1.2, 1.0)
    0.0
    >>> round(added_spread_px(100.0, 100.0, 0.1, 1.2, 4.0), 1)
    2.0
    >>> round(added_spread_px(1.0, 24.0, 0.1, 1.2, 1.0), 1)  # a dim hallway
    1.2
    """
    own = spread_arcmin(screen_cd_m2) / magnification
    missing = math.sqrt(max(spread_arcmin(room_cd_m2) ** 2 - own**2, 0.0))
    return math.tan(math.radians(missing / 60.0)) * distance_m * 1000.0 / pixel_mm


@functools.lru_cache(maxsize=8)
def light_tables(screen: Screen) -> tuple[npt.NDArray[np.float32], Bytes]:
    """Relative luminance of the screen's codes, and codes of 4096 relative luminances."""
    greys = np.repeat(np.arange(256.0)[:, None] / 255.0, 3, axis=1)
    Y = np.maximum.accumulate(screen.decode(greys)[:, 1])
    linear = (Y - Y[0]) / max(float(Y[-1] - Y[0]), 1e-9)
    # finer in the shadows: the table is entered with the square root
    roots = np.linspace(0.0, 1.0, 4096)
    codes = np.interp(roots**2, linear, np.arange(256.0))
    return linear.astype(np.float32), np.rint(codes).astype(np.uint8)


def blurred(bgrx: Bytes, spread_px: float, screen: Screen) -> Bytes:
    """A picture with the light of each pixel spread.

    Parameters
    ----------
    bgrx
        (H, W, 4) codes of the screen.
    spread_px
        Standard deviation; pixels.
    screen
        Whose grey curve turns codes into light.

    Returns
    -------
    ndarray
        (H, W, 4), new; the same array where nothing would be seen of it.
    """
    if spread_px < LEAST_PX:
        return bgrx
    from scipy.ndimage import gaussian_filter

    linear, codes = light_tables(screen)
    made = np.full_like(bgrx, 255)

    def spread(channel: int) -> None:
        light: Any = np.take(linear, bgrx[..., channel])
        light = gaussian_filter(light, spread_px, mode="nearest", truncate=REACH)
        np.sqrt(np.clip(light, 0.0, 1.0, out=light), out=light)
        np.multiply(light, 4095.0, out=light)
        made[..., channel] = np.take(codes, (light + 0.5).astype(np.uint16))

    with ThreadPoolExecutor(2) as pool:
        list(pool.map(spread, range(3)))
    return made
