"""The parts of a test strip around its crops: heading, wedge, scale."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from proofing.language import filled
from proofing.ordering.sheets import Sheet
from proofing.ordering.strip import Box, Label, Place, Step
from proofing.ordering.strip_type import Face

EDGE_MM = 8.0
"""White all round: printing without a border cuts off some millimetres (common practice)."""
CAP_MM, HEADING_CAP_MM = 2.2, 3.0
"""Height of capitals; that of print which is read at arm's length (common practice)."""
_WEDGE_MM = 11.0
_LEAST_STEP_MM = 5.0
_STEPS_IN_A_ROW = (21, 11, 7, 3)
_LINE_MM = 0.2
_MARKS_MM = ((10, 3.5), (5, 2.5), (1, 1.6))  # every so many mm, so high
_LEAST_MM_PX = 4.0  # a millimetre of fewer pixels gets no mark of its own
_SCALES_MM = (100, 50)
_BESIDE_MM = 55.0  # the least width of a text beside the scale
_PARAGRAPH = 0.3  # of a line, between paragraphs


@dataclass(frozen=True)
class Page:
    """The texts of one sheet.

    Parameters
    ----------
    heading, paragraphs, instruction
        From the top: what it is, what it is for, how it must be printed.
    rungs
        The phrase of each correction.
    needed
        Which of them the print needs, None for none.
    titles
        The line above the crops of each place.
    wedge
        Its caption.
    scale
        Its caption, with ``{cm}`` for its length.
    L
        L* of each step of the wedge.
    """

    heading: str
    paragraphs: tuple[str, ...]
    instruction: str
    rungs: tuple[str, ...]
    needed: int | None
    titles: Callable[[Sequence[Place]], tuple[str, ...]]
    wedge: str
    scale: str
    L: tuple[float, ...]


@dataclass(frozen=True)
class Metrics:
    """Lengths and type at a ppi."""

    ppi: Fraction

    def px(self, mm: float) -> int:
        """The nearest whole pixels, at least one."""
        return max(1, round(mm / 25.4 * self.ppi))

    def sides(self, sheet: Sheet) -> tuple[int, int]:
        """Width and height of a sheet."""
        return self.px(sheet.width_mm), self.px(sheet.height_mm)

    def inner(self, sheet: Sheet) -> tuple[int, int]:
        """The same within the white edge."""
        width, height = self.sides(sheet)
        return width - 2 * self.px(EDGE_MM), height - 2 * self.px(EDGE_MM)

    @property
    def body(self) -> Face:
        """Of most texts."""
        return Face.of_cap(CAP_MM, float(self.ppi))

    @property
    def strong(self) -> Face:
        """Of what must not be missed."""
        return Face.of_cap(CAP_MM, float(self.ppi), strong=True)

    @property
    def heading(self) -> Face:
        """Of the first line."""
        return Face.of_cap(HEADING_CAP_MM, float(self.ppi), strong=True)


@dataclass(frozen=True)
class Block:
    """A part of a sheet, from its own left upper corner until it is moved."""

    height: int
    labels: tuple[Label, ...] = ()
    bars: tuple[Box, ...] = ()
    steps: tuple[Step, ...] = ()
    scale: Box | None = None
    scale_mm: float = 0.0

    def moved(self, right: int, down: int) -> Block:
        """The same elsewhere."""
        return replace(
            self,
            labels=tuple(label.moved(right, down) for label in self.labels),
            bars=tuple(bar.moved(right, down) for bar in self.bars),
            steps=tuple(replace(step, at=step.at.moved(right, down)) for step in self.steps),
            scale=None if self.scale is None else self.scale.moved(right, down),
        )


def header(metrics: Metrics, page: Page, width: int) -> Block:
    """Heading, sentences and the instruction for the printer."""
    faces = [
        (metrics.heading, page.heading),
        *((metrics.body, text) for text in page.paragraphs),
        (metrics.strong, page.instruction),
    ]
    labels, y = [], 0
    for face, text in faces:
        label = face.label(text, width, 0, y)
        labels.append(label)
        y = label.box.bottom + round(_PARAGRAPH * face.leading_px)
    return Block(labels[-1].box.bottom, tuple(labels))


def footer(metrics: Metrics, page: Page, width: int) -> Block:
    """The wedge, and the scale below it."""
    wedge = _wedge(metrics, page, width)
    scale = _scale(metrics, page, width).moved(0, wedge.height + metrics.px(2.5))
    return Block(
        wedge.height + metrics.px(2.5) + scale.height,
        wedge.labels + scale.labels,
        wedge.bars + scale.bars,
        wedge.steps,
        scale.scale,
        scale.scale_mm,
    )


def _wedge(metrics: Metrics, page: Page, width: int) -> Block:
    """Steps side by side, in as few rows as leave each its number."""
    face, line, high = metrics.body, metrics.px(_LINE_MM), metrics.px(_WEDGE_MM)
    least = max(metrics.px(_LEAST_STEP_MM), face.width(str(len(page.L))) + 2)
    fitting = (n for n in _STEPS_IN_A_ROW if (width - 2 * line) // n >= least)
    in_row = next(fitting, _STEPS_IN_A_ROW[-1])
    wide = max(1, (width - 2 * line) // in_row)
    steps, labels, bars = [], [], []
    y = 0
    for first in range(0, len(page.L), in_row):
        few = page.L[first : first + in_row]
        for column, L in enumerate(few):
            number = first + column + 1
            at = Box(line + column * wide, y + line, wide, high)
            steps.append(Step(number, L, at))
            label = face.line(str(number))
            labels.append(
                label.moved(at.left + max(0, (wide - label.width_px) // 2), at.bottom + line)
            )
        bars += _frame(Box(line, y + line, wide * len(few), high), line)
        y += high + 2 * line + face.leading_px
    caption = face.label(page.wedge, width, 0, y)
    return Block(caption.box.bottom, (*labels, caption), tuple(bars), tuple(steps))


def _frame(box: Box, line: int) -> list[Box]:
    """Lines around a box, outside of it: the white step's end is seen."""
    wide = box.width + 2 * line
    return [
        Box(box.left - line, box.top - line, wide, line),
        Box(box.left - line, box.bottom, wide, line),
        Box(box.left - line, box.top, line, box.height),
        Box(box.right, box.top, line, box.height),
    ]


def _scale(metrics: Metrics, page: Page, width: int) -> Block:
    """A centimetre scale and what it should measure."""
    face, line = metrics.body, metrics.px(_LINE_MM)
    last_number = face.width(str(_SCALES_MM[0] // 10))
    half = -(-last_number // 2)
    length_mm = next((mm for mm in _SCALES_MM if metrics.px(mm) + 2 * half <= width), 50)
    length, tall = metrics.px(length_mm), metrics.px(_MARKS_MM[0][1])
    bars = [Box(half, tall, length + line, line)]
    fine = float(metrics.ppi) / 25.4 >= _LEAST_MM_PX
    for mm in range(0, length_mm + 1, 1 if fine else 5):
        high = metrics.px(next(high for every, high in _MARKS_MM if mm % every == 0))
        at = round(mm / 25.4 * metrics.ppi)
        bars.append(Box(half + at, tall - high, line, high))
    every = 1 if metrics.px(10.0) >= last_number + 2 else 5
    labels = []
    for cm in range(0, length_mm // 10 + 1, every):
        label = face.line(str(cm))
        middle = half + round(cm * 10 / 25.4 * metrics.ppi) + line // 2
        labels.append(label.moved(max(0, middle - label.width_px // 2), tall + line))
    bottom = tall + line + face.leading_px
    beside = 2 * half + length + metrics.px(5.0)
    words = filled(page.scale, cm=length_mm / 10)
    if width - beside >= metrics.px(_BESIDE_MM):
        caption = face.label(words, width - beside, beside, 0)
    else:
        caption = face.label(words, width, 0, bottom)
    return Block(
        max(bottom, caption.box.bottom),
        (*labels, caption),
        tuple(bars),
        scale=Box(half, 0, length, tall),
        scale_mm=float(length_mm),
    )
