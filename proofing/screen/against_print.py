"""The screen beside the print: which is brighter, and what to turn."""

from __future__ import annotations

import math
from dataclasses import dataclass

from proofing.language import tr

from ..errors import SettingError
from .screen import Screen


@dataclass(frozen=True)
class ScreenAgainstPrint:
    """How the white of a screen compares with the bare paper of a print beside it."""

    screen_cd_m2: float
    paper_cd_m2: float
    ratio: float
    """Screen white over paper white. Above 1 the print looks dark beside the screen, the first
    cause of 'my print is too dark' (common practice)."""
    stops: float
    """The same in stops, log2."""
    luminance_to_set_cd_m2: float
    """White to set the screen to, with the light left as it is."""
    illuminance_to_set_lux: float | None
    """Light to put on the print, with the screen left as it is; None where the present
    illuminance was not told."""


def screen_against_print(
    screen: Screen, paper_white_cd_m2: float, illuminance_lux: float | None = None
) -> ScreenAgainstPrint:
    """Compare a screen with a print beside it.

    Parameters
    ----------
    screen
        The monitor.
    paper_white_cd_m2
        Luminance of bare paper in the room.
    illuminance_lux
        What falls on the print now.

    Returns
    -------
    ScreenAgainstPrint

    Raises
    ------
    SettingError
        A luminance or illuminance that is not above 0.

    Examples
    --------
    A screen of 120 cd/m2 matches 89 % paper at 424 lx (Lambert, computed).

    >>> import math
    >>> found = screen_against_print(Screen(), 0.89 * 500 / math.pi, 500)
    >>> round(found.illuminance_to_set_lux), round(found.luminance_to_set_cd_m2, 1)
    (424, 141.6)
    """
    for name, value in (("paper_white_cd_m2", paper_white_cd_m2), ("lux", illuminance_lux)):
        if value is not None and not (math.isfinite(value) and value > 0.0):
            raise SettingError(name, value, tr("use a value above 0"))
    ratio = screen.luminance_cd_m2 / paper_white_cd_m2
    return ScreenAgainstPrint(
        screen_cd_m2=screen.luminance_cd_m2,
        paper_cd_m2=paper_white_cd_m2,
        ratio=ratio,
        stops=math.log2(ratio),
        luminance_to_set_cd_m2=paper_white_cd_m2,
        illuminance_to_set_lux=None if illuminance_lux is None else illuminance_lux * ratio,
    )
