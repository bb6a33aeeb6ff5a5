"""Sheets and frames that can be bought, and how a picture fits them.

The A series is that of ISO 216:2007; all other sizes are customary (common practice, from memory):
a lab's own list comes first.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from proofing.language import mark
from proofing.ordering.crop import Crop
from proofing.ordering.lengths import MM_PER_INCH, checked_pixels, checked_size, number
from proofing.ordering.size import ppi_on_paper

Unit = Literal["cm", "in"]

ISO_216 = mark("ISO 216:2007, A series.")
CUSTOMARY = mark("Customary size (common practice); the lab's own list comes first.")


@dataclass(frozen=True)
class Sheet:
    """A size of paper or of a ready-made frame.

    Parameters
    ----------
    width_mm, height_mm
        Upright as listed, 10 mm to 20 m.
    unit
        In which it is named.
    series
        Its name in a standard, such as ``A4``; '' where its size is its name.
    source
        The standard, or common practice.
    is_frame
        Whether ready-made frames of that size are usual, measured at the picture's edge (common
        practice).

    Raises
    ------
    SettingError
        For a size outside that.

    Examples
    --------
    >>> sheet = Sheet(304.8, 457.2, "in")
    >>> sheet.name, sheet.turned_to(1.5).name
    ('12 × 18 in', '18 × 12 in')
    """

    width_mm: float
    height_mm: float
    unit: Unit = "cm"
    series: str = ""
    source: str = CUSTOMARY
    is_frame: bool = False

    def __post_init__(self) -> None:
        checked_size((self.width_mm, self.height_mm))

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height."""
        return self.width_mm, self.height_mm

    @property
    def aspect(self) -> float:
        """Width over height."""
        return self.width_mm / self.height_mm

    @property
    def name(self) -> str:
        """What it is called, with its unit."""
        unit_mm = 10.0 if self.unit == "cm" else MM_PER_INCH
        size = " × ".join(number(side / unit_mm) for side in self.size_mm)
        return f"{self.series}, {size} {self.unit}" if self.series else f"{size} {self.unit}"

    @property
    def short_name(self) -> str:
        """Its name in a standard alone, where it has one."""
        return self.series or self.name

    def turned_to(self, aspect: float) -> Sheet:
        """The same sheet, upright or lying as a picture of that width over height is."""
        if (aspect - 1.0) * (self.aspect - 1.0) >= 0.0:
            return self
        return replace(self, width_mm=self.height_mm, height_mm=self.width_mm)


_A_SERIES: Final = {
    "A6": (105, 148), "A5": (148, 210), "A4": (210, 297), "A3": (297, 420), "A2": (420, 594),
    "A1": (594, 841), "A0": (841, 1189),
}  # fmt: skip
"""mm, ISO 216:2007 (the table of the trimmed main series)."""
_CM: Final = (
    (9, 13), (10, 10), (10, 15), (13, 13), (13, 18), (15, 20), (18, 24), (20, 20), (20, 25),
    (20, 30), (24, 30), (25, 38), (30, 30), (30, 40), (30, 45), (30, 60), (30, 90), (40, 40),
    (40, 50), (40, 60), (40, 120), (50, 50), (50, 60), (50, 70), (50, 75), (50, 100), (60, 60),
    (60, 80), (60, 90), (70, 100), (75, 100), (80, 120), (100, 150),
)  # fmt: skip
_FRAMES_CM: Final = {
    (10, 15), (13, 18), (18, 24), (20, 20), (20, 30), (24, 30), (30, 30), (30, 40), (30, 45),
    (40, 40), (40, 50), (40, 60), (50, 50), (50, 60), (50, 70), (50, 75), (60, 80), (60, 90),
    (70, 100),
}  # fmt: skip
_IN: Final = (
    (4, 6), (5, 5), (5, 7), (8, 8), (8, 10), (8, 12), (9, 12), (10, 10), (11, 14), (12, 12),
    (12, 16), (12, 18), (12, 36), (13, 19), (16, 20), (16, 24), (18, 24), (20, 20), (20, 24),
    (20, 30), (20, 60), (24, 30), (24, 36), (30, 30), (30, 40), (40, 60),
)  # fmt: skip
_FRAMES_IN: Final = {
    (4, 6), (5, 7), (8, 8), (8, 10), (8, 12), (9, 12), (11, 14), (12, 12), (12, 16), (12, 18),
    (16, 20), (16, 24), (18, 24), (20, 20), (20, 24), (20, 30), (24, 30), (24, 36), (30, 40),
}  # fmt: skip
_FRAMES_A: Final = {"A4", "A3", "A2", "A1"}


def _sheets() -> Iterable[Sheet]:
    for name, (width, height) in _A_SERIES.items():
        yield Sheet(float(width), float(height), "cm", name, ISO_216, name in _FRAMES_A)
    for size in _CM:
        yield Sheet(size[0] * 10.0, size[1] * 10.0, "cm", is_frame=size in _FRAMES_CM)
    for size in _IN:
        width_mm, height_mm = (side * MM_PER_INCH for side in size)
        yield Sheet(width_mm, height_mm, "in", is_frame=size in _FRAMES_IN)


SHEETS: Final = tuple(sorted(_sheets(), key=lambda sheet: sheet.width_mm * sheet.height_mm))
"""All that are known, upright, the smallest first."""


_ROUNDINGS: Final = 0.01  # of a size, as where a ppi is said to be enough
_TRIMMER_MM: Final = 0.05  # finer than any trimmer cuts


@dataclass(frozen=True)
class SheetFit:
    """A picture on a sheet, turned to it.

    It either fills the sheet and is cut on two sides, or is fitted whole and leaves two sides bare:
    both take the same share.

    Parameters
    ----------
    sheet
        Turned as the picture is.
    pixels
        Width and height of the picture, px.

    Raises
    ------
    SettingError
        Without pixels.

    Examples
    --------
    >>> fit = SheetFit(Sheet(300.0, 400.0), (3000, 2000))
    >>> fit.sheet.name, round(100 * fit.cut_share, 1), round(fit.ppi)
    ('40 × 30 cm', 11.1, 169)
    """

    sheet: Sheet
    pixels: tuple[int, int]

    def __post_init__(self) -> None:
        width, height = checked_pixels(self.pixels)
        object.__setattr__(self, "sheet", self.sheet.turned_to(width / height))

    @property
    def cut_share(self) -> float:
        """Share of the picture that is cut where it fills the sheet, 0 to 1.

        As much of the sheet stays bare where the whole picture is fitted into it.
        """
        ratio = self.sheet.aspect * self.pixels[1] / self.pixels[0]
        return max(0.0, 1.0 - min(ratio, 1.0 / ratio))

    @property
    def crop(self) -> Crop:
        """The part that fills the sheet, centred."""
        return Crop.to_aspect(self.pixels, self.sheet.aspect)

    @property
    def ppi(self) -> float:
        """Pixels on an inch where the picture fills the sheet."""
        return ppi_on_paper(self.pixels, self.sheet.size_mm)

    @property
    def fitted_mm(self) -> tuple[float, float]:
        """Width and height of the whole picture fitted into the sheet."""
        width_px, height_px = self.pixels
        mm = min(self.sheet.width_mm / width_px, self.sheet.height_mm / height_px)
        return width_px * mm, height_px * mm

    @property
    def fitted_ppi(self) -> float:
        """Pixels on an inch where the whole picture is fitted into the sheet."""
        return self.pixels[0] / self.fitted_mm[0] * MM_PER_INCH


def nearest_sheet(size_mm: tuple[float, float], sheets: Sequence[Sheet] = SHEETS) -> Sheet:
    """The sheet nearest to a size, both sides counted in proportion, turned to it.

    Parameters
    ----------
    size_mm
        Width and height of a print, 10 mm to 20 m.
    sheets
        Among which; at least one.

    Raises
    ------
    SettingError
        For a size outside that.

    Examples
    --------
    >>> nearest_sheet((508.0, 338.7)).name, nearest_sheet((298.0, 419.0)).name
    ('19 × 13 in', 'A3, 29.7 × 42 cm')
    """
    width_mm, height_mm = checked_size(size_mm)

    def away(sheet: Sheet) -> float:
        return math.hypot(
            math.log(sheet.width_mm / width_mm), math.log(sheet.height_mm / height_mm)
        )

    return min((sheet.turned_to(width_mm / height_mm) for sheet in sheets), key=away)


def nearest_within(size_mm: tuple[float, float], sheets: Sequence[Sheet] = SHEETS) -> Sheet | None:
    """The nearest sheet that is no larger than a size, turned to it; None where all are larger.

    A sheet may be larger by the hundredth that is in the roundings of a size.

    Examples
    --------
    >>> nearest_within((295.0, 195.0)).name, nearest_within((299.0, 199.0)).name
    ('24 × 18 cm', '30 × 20 cm')
    """
    within = [sheet for sheet in sheets if _fits_in(sheet, size_mm, 1.0 + _ROUNDINGS)]
    return nearest_sheet(size_mm, within) if within else None


def smallest_by_unit(size_mm: tuple[float, float]) -> dict[str, Sheet | None]:
    """See :func:`smallest_holding`, for each unit in which sheets are sold.

    Examples
    --------
    >>> [sheet.name for sheet in smallest_by_unit((430.0, 330.0)).values()]
    ['50 × 40 cm', '19 × 13 in']
    """
    return {
        unit: smallest_holding(size_mm, [sheet for sheet in SHEETS if sheet.unit == unit])
        for unit in ("cm", "in")
    }


def smallest_holding(
    size_mm: tuple[float, float], sheets: Sequence[Sheet] = SHEETS
) -> Sheet | None:
    """The sheet of least area that a size has room on, turned to it; None where none has.

    Examples
    --------
    >>> smallest_holding((730.0, 530.0)).name
    '30 × 24 in'
    """
    width_mm, height_mm = size_mm  # with its edge it may be larger than any print
    turned = (sheet.turned_to(width_mm / height_mm) for sheet in sheets)
    holding = (
        sheet
        for sheet in turned
        if sheet.width_mm >= width_mm - _TRIMMER_MM and sheet.height_mm >= height_mm - _TRIMMER_MM
    )
    return min(holding, key=lambda sheet: sheet.width_mm * sheet.height_mm, default=None)


def _fits_in(sheet: Sheet, size_mm: tuple[float, float], times: float) -> bool:
    width_mm, height_mm = checked_size(size_mm)
    turned = sheet.turned_to(width_mm / height_mm)
    return turned.width_mm <= times * width_mm and turned.height_mm <= times * height_mm


def nearest_in_shape(
    pixels: tuple[int, int], sheets: Sequence[Sheet] = SHEETS, count: int = 16
) -> tuple[SheetFit, ...]:
    """The sheets that cut least from a picture.

    Parameters
    ----------
    pixels
        Width and height of the picture, px.
    sheets
        Among which.
    count
        How many at most.

    Returns
    -------
    tuple of SheetFit
        Those of least cut, the smallest sheet first.

    Raises
    ------
    SettingError
        Without pixels.

    Examples
    --------
    >>> [fit.sheet.name for fit in nearest_in_shape((6000, 4000), count=3)]
    ['15 × 10 cm', '6 × 4 in', '30 × 20 cm']
    """
    fits = [SheetFit(sheet, pixels) for sheet in sheets]
    fits.sort(key=lambda fit: round(fit.cut_share, 4))  # sheets of one shape stay in order of size
    best = fits[:count]
    return tuple(sorted(best, key=lambda fit: fit.sheet.width_mm * fit.sheet.height_mm))
