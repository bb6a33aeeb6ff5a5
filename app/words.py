"""Numbers as people read them, the same in the window, on paper and on the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from proofing.viewing import Glazing, RoomExcess


_BY_SURROUND = 1.25  # more than luminances explain: the surround has a part in it
_EYE_PPI_INCHES = 3438.0  # 1 / tan(1'): one minute of arc, common practice for a good eye
_ENOUGH_PPI = 300.0  # common practice: finer is not asked of a print, however near


def share_in_words(share: float) -> str:
    """A share as a percentage that a person can read.

    Parameters
    ----------
    share
        0 to 1.

    Examples
    --------
    >>> [share_in_words(x) for x in (0, 0.00002, 0.0123, 0.5, 0.99999, 1)]
    ['none', 'under 0.1 %', '1.2 %', '50 %', 'over 99.9 %', '100 %']
    """
    if share <= 0:
        return "none"
    if share < 0.001:
        return "under 0.1 %"
    if 0.999 < share < 1:
        return "over 99.9 %"
    percent = share * 100
    return f"{percent:.1f} %" if percent < 9.95 else f"{percent:.0f} %"


def room_in_words(excess: RoomExcess) -> str:
    """By how much the room is brighter than the screen can be, '' where it is not.

    Against a dark surround the same luminance looks brighter (CIE 248:2022, through its factor
    c), so that paper may be out of the screen's reach though its luminance is not.
    """
    if not excess.exceeds:
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
