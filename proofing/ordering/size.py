"""Print size, ppi and distance: what a file's pixels are enough for.

Nothing is ever resampled here: a larger print has fewer pixels to the inch, and the pixels stay.

>>> pixels = (6000, 4000)  # 24 megapixels: 20 x 13.3 in at 300 ppi (common practice)
>>> [round(mm / 25.4, 1) for mm in largest_mm(pixels, 300.0)]
[20.0, 13.3]
>>> round(resolved_ppi(24 * 0.0254)), round(sharp_from_m(143.0) / 0.0254)
(143, 24)
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from proofing.errors import SettingError
from proofing.language import tr
from proofing.ordering.lengths import (
    LARGEST_MM,
    MM_PER_INCH,
    SMALLEST_MM,
    checked_pixels,
    checked_size,
)

ACUITY_INCHES: Final = 1.0 / math.tan(math.radians(1.0 / 60.0))
"""3438, rounded: ppi times inches of distance at which a pixel is one minute of arc wide, which a
good eye just resolves (Snellen)."""
SHARP_EYES: Final = 2.0
"""Times as fine as one minute of arc: what sharp eyes resolve (from memory)."""
ENOUGH_PPI: Final = 300.0
"""Finer is not asked of a print, however near (common practice)."""
PRACTICE_PPI: Final = (300.0, 240.0, 150.0)
"""ppi that labs and photographers ask for: at hand, on a table, at arm's length and further
(common practice)."""
DIAGONALS_AWAY: Final = 1.5
"""Viewing distance in diagonals of the print (common practice)."""
NEAREST_M: Final = 0.25
"""Nearest distance of clear vision, the convention of optics (from memory)."""
ALMOST: Final = 1.1
"""Good eyes differ by more than this tenth among each other (from memory)."""
_NEARLY: Final = 0.99  # a hundredth is in the roundings of size and distance
_DISTANCES_M: Final = (0.05, 100.0)


def ppi_on_paper(pixels: tuple[int, int], size_mm: tuple[float, float]) -> float:
    """Pixels of the file on an inch of paper, along the tighter side.

    Where the shapes differ, the picture fills the size and is cut on two sides.

    Parameters
    ----------
    pixels
        Width and height of the file, px.
    size_mm
        Width and height on paper, mm.

    Raises
    ------
    SettingError
        For a size outside 10 mm to 20 m, or no pixels.

    Examples
    --------
    >>> round(ppi_on_paper((3000, 2000), (600.0, 400.0)))
    127
    """
    width_px, height_px = checked_pixels(pixels)
    width_mm, height_mm = checked_size(size_mm)
    return MM_PER_INCH * min(width_px / width_mm, height_px / height_mm)


def largest_mm(pixels: tuple[int, int], ppi: float) -> tuple[float, float]:
    """Width and height at which the pixels lie `ppi` to the inch; plain arithmetic, unbounded.

    Raises
    ------
    SettingError
        Unless there are pixels and a positive ppi.

    Examples
    --------
    >>> [round(mm / 25.4, 1) for mm in largest_mm((6000, 4000), 150.0)]
    [40.0, 26.7]
    """
    width_px, height_px = checked_pixels(pixels)
    mm = MM_PER_INCH / _checked_ppi(ppi)
    return width_px * mm, height_px * mm


def resolved_ppi(distance_m: float, times: float = 1.0) -> float:
    """The ppi whose pixels an eye can just tell apart.

    Parameters
    ----------
    distance_m
        From the eye to the print, 0.05 to 100 m.
    times
        1 for one minute of arc, :data:`SHARP_EYES` for sharp ones.

    Raises
    ------
    SettingError
        For a distance outside that.

    Examples
    --------
    >>> [round(resolved_ppi(inches * 0.0254)) for inches in (12, 24, 48, 96)]
    [286, 143, 72, 36]
    """
    return times * ACUITY_INCHES * MM_PER_INCH / (1000.0 * _checked_distance(distance_m))


def sharp_from_m(ppi: float, times: float = 1.0) -> float:
    """Distance from which single pixels can no longer be told apart, in m.

    The inverse of :func:`resolved_ppi`, with the same `times`.

    Raises
    ------
    SettingError
        Unless the ppi is positive.

    Examples
    --------
    >>> round(sharp_from_m(127.0), 2), round(sharp_from_m(127.0, SHARP_EYES), 2)
    (0.69, 1.38)
    """
    return times * ACUITY_INCHES * MM_PER_INCH / (1000.0 * _checked_ppi(ppi))


def usual_distance_m(size_mm: tuple[float, float]) -> float:
    """How far people stand: 1.5 times the diagonal, never under 25 cm (common practice).

    >>> round(usual_distance_m((600.0, 400.0)), 2), usual_distance_m((100.0, 100.0))
    (1.08, 0.25)
    """
    return max(NEAREST_M, DIAGONALS_AWAY * math.hypot(*checked_size(size_mm)) / 1000.0)


def sharp_from_diagonals(pixels: tuple[int, int]) -> float:
    """How many of its own diagonals away a print is sharp, whatever its size.

    Diagonal and distance grow together, so only the pixels along the diagonal decide.

    Raises
    ------
    SettingError
        Without pixels.

    Examples
    --------
    >>> round(sharp_from_diagonals((6000, 4000)), 2), round(sharp_from_diagonals((1600, 1200)), 2)
    (0.48, 1.72)
    """
    return ACUITY_INCHES / math.hypot(*checked_pixels(pixels))


@dataclass(frozen=True)
class Fineness:
    """A file at a size, seen from a distance.

    Parameters
    ----------
    pixels
        Width and height of what is printed of the file, px.
    size_mm
        Width and height on paper, 10 mm to 20 m.
    distance_m
        From the eye, 0.05 to 100 m.

    Raises
    ------
    SettingError
        Outside that.

    Examples
    --------
    >>> print_ = Fineness((3000, 2000), (600.0, 400.0), 0.5)
    >>> round(print_.ppi), round(print_.resolved_ppi), print_.is_sharp
    (127, 175, False)
    """

    pixels: tuple[int, int]
    size_mm: tuple[float, float]
    distance_m: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "pixels", checked_pixels(self.pixels))
        object.__setattr__(self, "size_mm", checked_size(self.size_mm))
        _checked_distance(self.distance_m)

    @classmethod
    def from_where_people_stand(
        cls, pixels: tuple[int, int], size_mm: tuple[float, float]
    ) -> Fineness:
        """Seen from 1.5 times its diagonal, never under 25 cm (common practice)."""
        return cls(pixels, size_mm, usual_distance_m(size_mm))

    @property
    def ppi(self) -> float:
        """Pixels on an inch of paper, along the tighter side."""
        return ppi_on_paper(self.pixels, self.size_mm)

    @property
    def resolved_ppi(self) -> float:
        """What an eye resolves from the distance, one minute of arc."""
        return resolved_ppi(self.distance_m)

    @property
    def sharp_eyes_ppi(self) -> float:
        """What sharp eyes resolve from the distance."""
        return resolved_ppi(self.distance_m, SHARP_EYES)

    @property
    def sharp_from_m(self) -> float:
        """Distance from which it is sharp to one minute of arc."""
        return sharp_from_m(self.ppi)

    @property
    def sharp_eyes_from_m(self) -> float:
        """Distance from which it is sharp to sharp eyes."""
        return sharp_from_m(self.ppi, SHARP_EYES)

    @property
    def is_enough_at_hand(self) -> bool:
        """Whether it has the 300 ppi beyond which nothing is asked (common practice)."""
        return self.ppi >= _NEARLY * ENOUGH_PPI

    @property
    def is_sharp_to_the_eye(self) -> bool:
        """Whether an eye at the distance cannot tell its pixels apart."""
        return self.ppi >= _NEARLY * self.resolved_ppi

    @property
    def is_almost_sharp(self) -> bool:
        """Whether it is, or lacks so little that another good eye may not tell either."""
        return self.is_sharp or ALMOST * self.ppi >= self.resolved_ppi

    @property
    def is_sharp_to_sharp_eyes(self) -> bool:
        """Whether sharp eyes at the distance cannot either."""
        return self.ppi >= _NEARLY * self.sharp_eyes_ppi

    @property
    def is_sharp(self) -> bool:
        """Whether an eye at the distance finds it sharp, or it has all that is asked for."""
        return self.is_enough_at_hand or self.is_sharp_to_the_eye

    @property
    def largest_sharp_mm(self) -> tuple[float, float]:
        """The largest size of these pixels that is sharp from the distance; unbounded."""
        return largest_mm(self.pixels, min(self.resolved_ppi, ENOUGH_PPI))


@dataclass(frozen=True)
class LargestSize:
    """The largest print that holds a ppi.

    Attributes
    ----------
    asked_ppi
        What it was to hold.
    by_eye
        Whether that is what an eye resolves, rather than common practice.
    fineness
        The print; of ppi `asked_ppi`, or more where no print is as large.
    """

    asked_ppi: float
    by_eye: bool
    fineness: Fineness


def largest_sizes(pixels: tuple[int, int], distance_m: float) -> tuple[LargestSize, ...]:
    """The largest prints at 300, 240 and 150 ppi, and at what an eye resolves from a distance.

    Parameters
    ----------
    pixels
        Width and height of what is printed of the file, px.
    distance_m
        From the eye to the print, 0.05 to 100 m.

    Returns
    -------
    tuple of LargestSize
        Smallest print first. What no print of 10 mm to 20 m can be is left out, or, where it
        would be larger, as large as that.

    Raises
    ------
    SettingError
        For a distance outside that, or no pixels.

    Examples
    --------
    >>> [round(size.asked_ppi) for size in largest_sizes((6000, 4000), 1.22)]
    [300, 240, 150, 72]
    """
    asked = [(ppi, False) for ppi in PRACTICE_PPI] + [(resolved_ppi(distance_m), True)]
    sizes = []
    for ppi, by_eye in sorted(asked, reverse=True):
        width, height = largest_mm(pixels, ppi)
        shrink = min(1.0, LARGEST_MM / max(width, height))
        size = min(width * shrink, LARGEST_MM), min(height * shrink, LARGEST_MM)
        if min(size) >= SMALLEST_MM:
            sizes.append(LargestSize(ppi, by_eye, Fineness(pixels, size, distance_m)))
    return tuple(sizes)


def _checked_ppi(ppi: float) -> float:
    if not (math.isfinite(ppi) and ppi > 0.0):
        raise SettingError("ppi", ppi, tr("use a number above 0"))
    return ppi


def _checked_distance(distance_m: float) -> float:
    low, high = _DISTANCES_M
    if not (math.isfinite(distance_m) and low <= distance_m <= high):
        raise SettingError("distance_m", distance_m, tr("use 0.05 to 100 m"))
    return distance_m
