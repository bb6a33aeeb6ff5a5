"""A test strip: what is on it and where, as frozen values. Drawing is in ``strip_drawing.py``.

One sheet at the size and resolution of the large print: the places where something is lost, each
in a ladder of corrections, with a grey wedge and a scale. All boxes are in pixels of the sheet.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from typing import Any, Protocol

import numpy.typing as npt

from proofing.colorimetry import Float
from proofing.errors import SettingError
from proofing.findings.kinds import Kind
from proofing.language import tr
from proofing.ordering.lengths import MM_PER_INCH
from proofing.ordering.order import FileKind
from proofing.ordering.sheets import SHEETS, Sheet
from proofing.ordering.spaces import adobe_rgb
from proofing.photograph import IccProfile, Photograph

MOST_PLACES = 5
"""No more places than this are printed: what is left out is further examples of the same."""
MOST_RUNGS = 8
"""No more corrections than this are laid side by side: nobody compares more at a glance."""


_LETTER_MM = (215.9, 279.4)  # ANSI/ASME Y14.1, size A


class Applies(Protocol):
    """A correction: codes of the photograph's encoding, (N, 3), 0..1, to the same."""

    def apply(self, codes01: npt.ArrayLike) -> Float:
        """Codes corrected."""
        ...


@dataclass(frozen=True)
class Box:
    """A rectangle of whole pixels.

    Examples
    --------
    >>> Box(0, 0, 10, 10).overlaps(Box(10, 0, 5, 5)), Box(0, 0, 10, 10).overlaps(Box(9, 9, 5, 5))
    (False, True)
    """

    left: int
    top: int
    width: int
    height: int

    @property
    def right(self) -> int:
        """The first column beyond it."""
        return self.left + self.width

    @property
    def bottom(self) -> int:
        """The first row beyond it."""
        return self.top + self.height

    def overlaps(self, other: Box) -> bool:
        """Whether they share a pixel."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def holds(self, other: Box) -> bool:
        """Whether all of the other lies in it."""
        return (
            self.left <= other.left
            and other.right <= self.right
            and self.top <= other.top
            and other.bottom <= self.bottom
        )

    def moved(self, right: int, down: int) -> Box:
        """The same elsewhere."""
        return Box(self.left + right, self.top + down, self.width, self.height)

    def of(self, pixels: npt.NDArray[Any]) -> npt.NDArray[Any]:
        """Its part of an array of pixels, a view."""
        return pixels[self.top : self.bottom, self.left : self.right]


class Role(StrEnum):
    """Why a place is on the strip."""

    LOST = "lost"
    DARKEST = "darkest"
    STRONGEST = "strongest"
    LIGHTEST = "lightest"
    REFERENCE = "reference"


@dataclass(frozen=True)
class Rung:
    """One step of the ladder.

    Parameters
    ----------
    phrase
        What is done, for people: 'as it is', 'shadows lifted by 0.5 stops'.
    correction
        Of the photograph's codes; None prints them as they are.
    stops
        Of the shadow lift, None for another correction.
    percent
        Of the easing of strong colours, None where the ladder does not go by it.
    """

    phrase: str
    correction: Applies | None = None
    stops: float | None = 0.0
    percent: float | None = None


@dataclass(frozen=True)
class Place:
    """A part of the photograph that is printed in every correction.

    Attributes
    ----------
    role
        Why it was chosen.
    kind
        What is lost there, None where nothing is.
    box
        In pixels of the photograph.
    where
        A word or two: 'lower left'.
    """

    role: Role
    kind: Kind | None
    box: Box
    where: str


@dataclass(frozen=True)
class Label:
    """Lines of type.

    Attributes
    ----------
    lines
        As they are broken.
    left, top
        Of the first line.
    size_px, leading_px
        Of the type, and from one line to the next.
    width_px
        Of the longest line.
    strong
        Semibold instead of regular.
    """

    lines: tuple[str, ...]
    left: int
    top: int
    size_px: int
    leading_px: int
    width_px: int
    strong: bool = False

    @property
    def box(self) -> Box:
        """Where its ink may lie."""
        return Box(self.left, self.top, self.width_px, len(self.lines) * self.leading_px)

    def moved(self, right: int, down: int) -> Label:
        """The same elsewhere."""
        return dataclasses.replace(self, left=self.left + right, top=self.top + down)


@dataclass(frozen=True)
class Cell:
    """One place in one correction.

    Attributes
    ----------
    name
        Number of the place and letter of the correction, '2C'.
    place, rung
        Their numbers from 0.
    at
        On the sheet; as many pixels as the place has.
    label
        Below it.
    """

    name: str
    place: int
    rung: int
    at: Box
    label: Label


@dataclass(frozen=True)
class Step:
    """A step of the wedge.

    Attributes
    ----------
    number
        1 is paper white.
    L
        L* in the file, D50, media-relative.
    at
        On the sheet.
    """

    number: int
    L: float
    at: Box


@dataclass(frozen=True)
class StripPlan:
    """A sheet, laid out.

    Attributes
    ----------
    sheet
        Turned as it is used.
    ppi
        Of the large print, exact.
    width_px, height_px
        Of the sheet.
    places
        In the order of the rows.
    cells, steps
        Crops and the wedge.
    labels
        All other type: heading, names of rows, captions, numbers.
    bars
        Filled black: the scale and the wedge's frame.
    scale
        From the first to the last mark of the centimetre scale.
    scale_mm
        Its length as it is written beside it.
    """

    sheet: Sheet
    ppi: Fraction
    width_px: int
    height_px: int
    places: tuple[Place, ...]
    cells: tuple[Cell, ...]
    steps: tuple[Step, ...]
    labels: tuple[Label, ...]
    bars: tuple[Box, ...]
    scale: Box
    scale_mm: float

    @property
    def size_mm(self) -> tuple[float, float]:
        """What the pixels measure at that ppi."""
        return self.mm(self.width_px), self.mm(self.height_px)

    @property
    def type(self) -> tuple[Label, ...]:
        """All type on the sheet."""
        return (*self.labels, *(cell.label for cell in self.cells))

    def mm(self, px: int) -> float:
        """Length of a number of pixels on the paper."""
        return float(px * Fraction(127, 5) / self.ppi)


@dataclass(frozen=True)
class StripOrder:
    """What is wanted of a strip.

    Parameters
    ----------
    sheet
        To print on; turned as the crops fit best.
    lifts
        Stops of the shadow lifts, 0 for as it is; empty for a ladder about the lift that is needed.
    eases
        Percent of easings of strong colours, in the stead of lifts; empty for a ladder of lifts.
    destination, kind
        As for :class:`~proofing.ordering.order.Order`.
    date
        ISO 8601, printed on the sheet; '' for none.
    as_set
        What the request's own correction is called in the ladder.
    most_ppi
        As for :class:`~proofing.ordering.order.Order`: the strip has the pixels of the large print.
    """

    sheet: Sheet = field(default_factory=lambda: sheet_named("A4"))
    lifts: tuple[float, ...] = ()
    destination: IccProfile = field(default_factory=adobe_rgb)
    kind: FileKind = "TIFF"
    date: str = ""
    as_set: str = ""
    most_ppi: float | None = None
    eases: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if len(self.lifts) > MOST_RUNGS:
            raise SettingError(
                "lifts", len(self.lifts), tr("give at most {most} lifts", most=MOST_RUNGS)
            )
        if len(self.eases) > MOST_RUNGS:
            raise SettingError(
                "eases", len(self.eases), tr("give at most {most} easings", most=MOST_RUNGS)
            )
        if self.lifts and self.eases:
            raise SettingError(
                "eases",
                ",".join(f"{percent:g}" for percent in self.eases),
                tr("a ladder goes by lifts or by easings; give one of the two"),
            )


def sheet_named(name: str) -> Sheet:
    """The listed sheet of a name such as ``A4``, whatever its case.

    Raises
    ------
    SettingError
        No such sheet.

    Examples
    --------
    >>> sheet_named("a4").size_mm
    (210.0, 297.0)
    """
    if name.strip().casefold() == "letter":
        return sheet_of_size(*_LETTER_MM)
    for sheet in SHEETS:
        if sheet.series and sheet.series.casefold() == name.strip().casefold():
            return sheet
    raise SettingError("sheet", name, tr("use A4, A3, A5, letter, or a size such as 20x30cm"))


def sheet_of_size(width_mm: float, height_mm: float) -> Sheet:
    """The listed sheet of a size, either way round, or one of that size without a name.

    Raises
    ------
    SettingError
        A size that no print has.
    """
    upright = (min(width_mm, height_mm), max(width_mm, height_mm))
    for sheet in SHEETS:
        if all(abs(a - b) < 0.05 for a, b in zip(sheet.size_mm, upright, strict=True)):
            return sheet
    inches = all(abs(side / MM_PER_INCH - round(side / MM_PER_INCH)) < 1e-3 for side in upright)
    return Sheet(*upright, "in" if inches else "cm")


def part_of(photograph: Photograph, box: Box) -> Photograph:
    """A part of a photograph, its pixels untouched.

    Raises
    ------
    SettingError
        The part reaches beyond the photograph.
    """
    whole = Box(0, 0, photograph.width, photograph.height)
    if not whole.holds(box):
        raise SettingError("box", box, tr("choose a part that lies in the picture"))
    clip = photograph.clip
    if clip.clipped is not None:
        clip = dataclasses.replace(clip, clipped=box.of(clip.clipped))
    return dataclasses.replace(
        photograph,
        codes=box.of(photograph.codes),
        alpha=None if photograph.alpha is None else box.of(photograph.alpha),
        key=f"{photograph.key}/{box.left},{box.top},{box.width},{box.height}",
        clip=clip,
    )
