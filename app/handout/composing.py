"""An explanation on pages: head, pictures, then the words in two columns.

One page where it fits, also with type and then pictures a little smaller; else two; a third only
for words that would be too small to read on two. Nothing is ever left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from app.handout.blocks import Blocks
from app.handout.details import details_below
from app.handout.flow import Atom, flow, height_of
from app.handout.geometry import GUTTER, MM, Arrangement, Box, Page, arrange, on_grid
from app.handout.parts import PLATE_MM, Field, Outline, Part, Picture, Plate, Words
from app.handout.places import number_spots, outlines_on
from app.handout.type import (
    CAPTION,
    FOOT,
    KICKER,
    NOTE,
    SENTENCE,
    SUBTITLE,
    TITLE,
    VERDICT,
    Paragraph,
    Run,
    Style,
)
from proofing.language import tr
from proofing.ordering.explanation import Explanation
from proofing.ordering.pictures import reduced

PANE = "#777777"  # about the photograph, as in the window: 18.4 % luminance in sRGB
TINT = "#f1f1f1"
_ONE_PAGE = ((1.0, 1.0), (0.96, 1.0), (0.92, 1.0), (0.96, 0.88), (0.92, 0.88), (0.92, 0.78))
_WITHOUT_DETAILS = ((0.88, 0.78), (0.88, 0.7))
_TWO_PAGES = (1.0, 0.94, 0.88)
"""Sizes of type that are tried, for one page with shares of the largest pictures; 0.88 of 9 points
is the smallest text of a newspaper. Where a second page could draw no place larger, pictures become
smaller still before there is one."""


@dataclass(frozen=True)
class Composed:
    """Pages that are ready to be drawn.

    Attributes
    ----------
    page
        The paper.
    parts
        What stands on each page, in the order in which it is drawn.
    scale
        Of the type.
    """

    page: Page
    parts: tuple[tuple[Part, ...], ...]
    scale: float


def compose(said: Explanation, page: Page) -> Composed:
    """Put an explanation on pages.

    Parameters
    ----------
    said
        Its pictures have the size of :func:`app.handout.geometry.arrange`.
    page
        The paper.
    """
    one = _ONE_PAGE if said.pictures.details else _ONE_PAGE + _WITHOUT_DETAILS
    tried = [(*sizes, 1) for sizes in one] + [(scale, 1.0, 2) for scale in _TWO_PAGES]
    for scale, share, most in tried:
        pages = _pages(said, page, scale, share)
        if len(pages) <= most:
            break
    return Composed(page, tuple(tuple(parts) for parts in pages), scale)


def _pages(said: Explanation, page: Page, scale: float, share: float) -> list[list[Part]]:
    content = page.content
    first, top = _head(said, page, scale, share)
    later, later_top = _running_head(said, page, scale)
    atoms = Blocks(page.column_width, scale).of(said)
    columns = flow(atoms, content.bottom - top, content.bottom - later_top)
    pages: list[list[Part]] = []
    for number, (left, right) in enumerate(columns):
        parts = list(later if number else first)
        y = later_top if number else top
        parts += _column(left, content.x, y)
        parts += _column(right, content.x + page.column_width + GUTTER, y)
        if number and number == len(columns) - 1:
            below = y + max(height_of(left), height_of(right))
            parts += details_below(said.pictures.details, page, below, scale)
        pages.append(parts + _foot(page, number + 1, len(columns), said.date))
    return pages


def _column(atoms: Sequence[Atom], x: float, y: float) -> list[Part]:
    parts: list[Part] = []
    for number, atom in enumerate(atoms):
        y += atom.before if number else 0.0
        parts += atom.place(x, y)
        y += atom.height
    return parts


class _Stack:
    """Paragraphs one below the other, as wide as the page."""

    def __init__(self, page: Page, scale: float) -> None:
        self.content = page.content
        self.scale = scale
        self.y = self.content.y
        self.parts: list[Part] = []

    def put(self, words: str | Sequence[Run], style: Style, after_mm: float = 0.0) -> None:
        """A paragraph, and room below it."""
        paragraph = Paragraph(words, style.scaled(self.scale), self.content.width)
        self.parts.append(Words(paragraph, self.content.x, self.y))
        self.y += paragraph.height + after_mm * MM


def _head(said: Explanation, page: Page, scale: float, share: float) -> tuple[list[Part], float]:
    """All above the columns of the first page, and where they begin."""
    stack = _Stack(page, scale)
    stack.put(tr("How this photograph will print"), KICKER, 0.6)
    stack.put(said.title, TITLE, 0.8)
    stack.put(said.subtitle, SUBTITLE, 2.4)
    if said.note:
        _put_note(stack, said.note)
    stack.put(said.sentence, SENTENCE, 3.2)
    _put_pictures(stack, said, arrange(page, said.picture_px, share), page)
    stack.y += 2.2 * MM
    stack.put(said.verdict, VERDICT, 4.0)
    return stack.parts, stack.y


def _put_note(stack: _Stack, note: str) -> None:
    pad = 2.6 * MM
    content = stack.content
    paragraph = Paragraph(note, NOTE.scaled(stack.scale), content.width - 2 * pad)
    box = Box(content.x, stack.y, content.width, paragraph.height + 2 * pad * 0.8)
    stack.parts += [Field(box, TINT), Words(paragraph, content.x + pad, stack.y + pad * 0.8)]
    stack.y = box.bottom + 2.8 * MM


def _put_pictures(stack: _Stack, said: Explanation, way: Arrangement, page: Page) -> None:
    """Photograph and print at one scale, their outlines and numbers, and what they are."""
    content = stack.content
    y = on_grid(stack.y)
    pane_width, pane_height = way.pane
    paper, wall = _grey(said.pictures.paper), _grey(said.pictures.wall)
    sides = (
        (said.pictures.photograph, PANE, "", said.captions[0]),
        (said.pictures.print, wall, paper if said.on_paper else "", said.captions[1]),
    )
    x, bottom = content.x, y
    for rgb, ground, edge, words in sides:
        pane = Box(x, y, pane_width, pane_height)
        width, height = way.size
        box = Box(
            on_grid(pane.x + (pane_width - width) / 2), on_grid(y + (pane_height - height) / 2),
            width, height,
        )  # fmt: skip
        stack.parts.append(Field(pane, ground))
        if edge:
            stack.parts.append(Field(box.grown(way.paper), edge))
        stack.parts.append(Picture(box, reduced(rgb, way.size_px)))
        stack.parts += _marked(said, box)
        caption = Paragraph(words, CAPTION.scaled(stack.scale), pane_width)
        stack.parts.append(Words(caption, x, pane.bottom + 1.0 * MM))
        bottom = max(bottom, pane.bottom + 1.0 * MM + caption.height)
        if way.stacked:
            y = on_grid(bottom + 1.5 * MM)
        else:
            x += page.column_width + GUTTER
    stack.y = bottom


def _marked(said: Explanation, box: Box) -> list[Part]:
    lines = [outlines_on(place, said.picture_px, box) for place in said.places]
    spots = number_spots(lines, box, (PLATE_MM + 0.8) * MM)
    return [
        *(Outline(box, line) for place in reversed(lines) for line in place),
        *(
            Plate(place.number, x, y, ringed=True)
            for place, (x, y) in zip(said.places, spots, strict=True)
        ),
    ]


def _running_head(said: Explanation, page: Page, scale: float) -> tuple[list[Part], float]:
    """The line above the columns of a later page."""
    stack = _Stack(page, scale)
    stack.put(said.title, KICKER, 3.0)
    return stack.parts, stack.y


def _foot(page: Page, number: int, count: int, date: str) -> list[Part]:
    content = page.content
    half = content.width / 2
    told = (
        tr("Simulated with stocklight, {date}", date=date)
        if date
        else tr("Simulated with stocklight")
    )
    left = Paragraph(told, FOOT, half)
    words = tr("Page {number} of {count}", number=number, count=count) if count > 1 else ""
    parts: list[Part] = [Words(left, content.x, page.foot)]
    if words:
        parts.append(Words(Paragraph(words, FOOT, half, right=True), content.x + half, page.foot))
    return parts


def _grey(colour: tuple[int, int, int]) -> str:
    return "#{:02x}{:02x}{:02x}".format(*colour)
