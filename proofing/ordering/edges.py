"""What surrounds a picture on its sheet: margins, the wrap of a canvas, what fills an edge."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final

from proofing.ordering.lengths import checked_mm

BLEED_MM: Final = 3.0
"""What labs and printers ask to be trimmed on each side (common practice)."""
BAR_MM: Final = (20.0, 40.0)
"""Depths of usual canvas bars (common practice)."""
BACK_MM: Final = 20.0
"""Turned onto the back of the bar to be stapled (common practice)."""
MOST_MARGIN_MM, MOST_BLEED_MM = 1000.0, 50.0
_MOST_BAR_MM, _MOST_BACK_MM = 100.0, 100.0


class Edge(Enum):
    """What is printed beyond the face."""

    MIRRORED = "mirrored"
    """The picture's own edge, turned over: nothing of the picture is folded away."""
    PLAIN = "plain"
    """One colour."""
    PICTURE = "picture"
    """The picture runs on: what is folded or trimmed is missing from the face."""


@dataclass(frozen=True)
class Margins:
    """Blank paper round the picture, mm, 0 to 1000 each.

    Raises
    ------
    SettingError
        Outside that.

    Examples
    --------
    >>> Margins.even(25.0).bottom_mm
    25.0
    """

    left_mm: float = 0.0
    top_mm: float = 0.0
    right_mm: float = 0.0
    bottom_mm: float = 0.0

    def __post_init__(self) -> None:
        for name, value in vars(self).items():
            checked_mm(name, value, 0.0, MOST_MARGIN_MM)

    @classmethod
    def even(cls, mm: float) -> Margins:
        """The same on all four sides."""
        return cls(mm, mm, mm, mm)

    @property
    def has_any(self) -> bool:
        """Whether there are any."""
        return max(self.left_mm, self.top_mm, self.right_mm, self.bottom_mm) > 0.0


@dataclass(frozen=True)
class Wrap:
    """The edge of a canvas that goes round its bar.

    Parameters
    ----------
    depth_mm
        Of the bar: seen from the side. 1 to 100 mm.
    back_mm
        Turned onto its back and not seen. 0 to 100 mm.

    Raises
    ------
    SettingError
        Outside that.

    Examples
    --------
    >>> Wrap(40.0).folded_mm
    60.0
    """

    depth_mm: float
    back_mm: float = BACK_MM

    def __post_init__(self) -> None:
        checked_mm("depth_mm", self.depth_mm, 1.0, _MOST_BAR_MM)
        checked_mm("back_mm", self.back_mm, 0.0, _MOST_BACK_MM)

    @property
    def folded_mm(self) -> float:
        """All that is folded away from the face, on each side."""
        return self.depth_mm + self.back_mm


@dataclass(frozen=True)
class Rect:
    """A rectangle on the sheet, mm from its upper left corner."""

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float

    @property
    def area_mm2(self) -> float:
        """Its area."""
        return self.width_mm * self.height_mm
