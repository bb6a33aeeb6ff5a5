"""Numbers as people read them, the same in the window, on paper and on the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from proofing.findings.words import CAREFUL_LUX, LIGHT_CARE, MOST_LUX

if TYPE_CHECKING:
    from proofing.screen import ScreenAgainstPrint
    from proofing.viewing import Glazing, RoomExcess


DELTA_E_00 = (
    "ΔE00: how far apart two colours look; about 1 is just noticeable side by side, 3 shows at a "
    "glance (typical)."
)
"""CIEDE2000 for people; the two figures are common practice."""
_DIMMEST_CD_M2 = 40.0  # below it a screen is of no use for work, common practice
_BRIGHTEST_CD_M2 = 250.0  # nor can most screens do more, common practice
_BY_SURROUND = 1.25  # more than luminances explain: the surround has a part in it
_LEAST_STOPS = 0.1  # less no one sees
_EYE_PPI_INCHES = 3438.0  # 1 / tan(1'): one minute of arc, common practice for a good eye
_ENOUGH_PPI = 300.0  # common practice: finer is not asked of a print, however near


def screen_in_words(screen: ScreenAgainstPrint, *, matched: bool = False) -> str:
    """How the screen's white compares with the paper's, and what to turn.

    Parameters
    ----------
    screen
        The comparison.
    matched
        Whether the picture on the screen leaves the difference out, the paper as bright as white.
    """
    brighter = "brighter" if screen.stops > 0 else "darker"
    looks = "darker" if screen.stops > 0 else "lighter"
    lux = screen.illuminance_to_set_lux
    light = "" if lux is None or lux > MOST_LUX else f"light the print with {_two_digits(lux)} lx"
    care = LIGHT_CARE if light and lux is not None and lux > CAREFUL_LUX else ""
    setting = f"set the screen to {screen.luminance_to_set_cd_m2:.0f} cd/m²"
    if not _DIMMEST_CD_M2 <= screen.luminance_to_set_cd_m2 <= _BRIGHTEST_CD_M2:
        setting = "" if light else setting  # no one works on such a screen
    remedy = ", or ".join(part for part in (setting, light) if part)
    remedy = f"To compare the two, {remedy}" if remedy else "No screen can be set to match it"
    left_out = " The picture here does not show that: its whites are matched." if matched else ""
    return (
        f"Your screen's white, {screen.screen_cd_m2:.0f} cd/m², is {abs(screen.stops):.1f} stops "
        f"{brighter} than bare paper in this room, {screen.paper_cd_m2:.0f} cd/m²: beside it the "
        f"print looks {looks} than you expect. {remedy}."
        f"{care}{left_out}"
    )


def _two_digits(value: float) -> str:
    """As a person would set it."""
    return f"{float(f'{value:.1e}'):g}"


def room_in_words(excess: RoomExcess) -> str:
    """By how much the room is brighter than the screen can be, '' where it is not.

    Against a dark surround the same luminance looks brighter (CIE 248:2022, through its factor
    c), so that paper may be out of the screen's reach though its luminance is not.
    """
    if not excess.exceeds or excess.stops < _LEAST_STOPS:
        return ""
    by_luminance = excess.paper_cd_m2 / excess.shown_cd_m2
    if by_luminance <= 1.0 or excess.luminance_ratio > _BY_SURROUND * by_luminance:
        return (
            "Against surroundings this dark, bare paper looks brighter than its "
            f"{excess.paper_cd_m2:.0f} cd/m² alone would: the most that this screen can give it "
            f"is {excess.shown_cd_m2:.0f} cd/m², and one {excess.stops:.1f} stops brighter, at "
            f"{excess.screen_needed_cd_m2:.0f} cd/m², would show it in full."
        )
    return (
        "The room is brighter than this screen can be: bare paper is at "
        f"{excess.paper_cd_m2:.0f} cd/m² there and at {excess.shown_cd_m2:.0f} cd/m² here; a "
        f"screen {excess.stops:.1f} stops brighter, at {excess.screen_needed_cd_m2:.0f} cd/m², "
        "would show it in full."
    )


def sharpness_in_words(ppi: float, distance_m: float) -> str:
    """That a print has fewer pixels than an eye can tell from where it is, '' where it has not.

    Parameters
    ----------
    ppi
        Pixels of the file on an inch of paper.
    distance_m
        From the eye to the print.

    Examples
    --------
    >>> sharpness_in_words(76, 0.5)[:59]
    'Fine detail may look soft: 76 ppi on paper, where an eye at'
    >>> sharpness_in_words(76, 1.2), sharpness_in_words(299, 0.25)
    ('', '')
    """
    told = min(_EYE_PPI_INCHES * 0.0254 / distance_m, _ENOUGH_PPI)
    if ppi >= 0.99 * told:
        return ""
    return (
        f"Fine detail may look soft: {ppi:.0f} ppi on paper, where an eye at {distance_m:.2g} m "
        f"can tell about {told:.0f} ppi (one minute of arc, common practice)."
    )


def glazing_in_words(glazing: Glazing) -> str:
    """What a pane does to the light, '' for none; the figures of ``stocklight glazings``."""
    if glazing.is_none:
        return ""
    return (
        f"lets {percent(glazing.transmittance_D50)} of D50 through, "
        f"reflects {percent(glazing.reflectance)}"
    )


def percent(share: float) -> str:
    """A share with one decimal, as lists show it.

    >>> percent(0.917)
    '91.7 %'
    """
    return f"{100.0 * share:.1f} %"
