"""Numbers as people read them, the same in the window, on paper and on the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from proofing.viewing import RoomExcess


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
    """By how much the room is brighter than the screen can be, '' where it is not."""
    if not excess.exceeds:
        return ""
    return (
        "The room is brighter than this screen can be: bare paper is at "
        f"{excess.paper_cd_m2:.0f} cd/m² there and at {excess.shown_cd_m2:.0f} cd/m² here; a "
        f"screen {excess.stops:.1f} stops brighter, at {excess.screen_needed_cd_m2:.0f} cd/m², "
        "would show it in full."
    )
