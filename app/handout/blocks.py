"""The text of an explanation as atoms: headings, numbered places, tables, paragraphs."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, field

from app.handout.flow import Atom, Placer
from app.handout.geometry import MM, Box
from app.handout.parts import PLATE_MM, Field, Part, Plate, Words
from app.handout.type import BODY, HEADING, RULE, SMALL, Paragraph, Run, Style
from proofing.findings.words import share_in_words
from proofing.language import tr
from proofing.ordering.explanation import Change, Explanation, Place, Standing

_INDENT = 6.4 * MM  # of a numbered place
_WHOLE_LINES = 3  # a paragraph of so few is never broken
_WHOLE_PLACE = 9  # nor one of a place, which stands under its number
_FIGURES = 0.21  # share of a column that a column of figures takes


@dataclass
class Blocks:
    """Builds atoms for a column.

    Parameters
    ----------
    width
        Of the column.
    scale
        Of the type.
    """

    width: float
    scale: float
    atoms: list[Atom] = field(default_factory=list)
    _again: Atom | None = None

    def of(self, said: Explanation) -> list[Atom]:
        """All that is said below the pictures."""
        self.heading(tr("What will be lost, and where"))
        if not said.places:
            self.text(tr("There is no place on this print that is worth pointing at."))
        for place in said.places:
            self.place(place)
        if said.shares:
            self.text(said.shares, SMALL, before=1.8)
        self.heading(tr("What was done about it"))
        for sentence in said.done:
            self.text(sentence)
        if said.changes:
            self.table(said.changes)
        for title, sentences in (
            (tr("Size and distance"), said.size),
            (tr("The print beside a screen"), said.screen),
        ):
            self.heading(title)
            for sentence in sentences:
                self.text(sentence)
        self.heading(tr("What is typical, and what is measured"))
        for standing in said.standings:
            self.standing(standing)
        self.heading(tr("Please mind"))
        for sentence in said.cautions:
            self.text(sentence)
        for sentence in said.footnotes:
            self.text(sentence, SMALL)
        return self.atoms

    def heading(self, words: str) -> None:
        """A section begins below a hairline; a column that goes on with it says so."""
        self._again = None
        self.atoms.append(self._heading(words))
        self._again = self._heading(tr("{heading}, continued", heading=words))

    def _heading(self, words: str) -> Atom:
        paragraph = Paragraph(words, HEADING.scaled(self.scale), self.width)
        lead = 2.0 * MM * self.scale

        def place(x: float, y: float) -> list[Part]:
            return [
                Field(Box(x, y, self.width, 0.2 * MM), RULE),
                Words(paragraph, x, y + lead),
            ]

        height = lead + paragraph.height
        return Atom(height, place, 4.2 * MM * self.scale, holds_next=True, opens=True)

    def text(
        self,
        words: str | Sequence[Run],
        style: Style = BODY,
        *,
        indent: float = 0.0,
        before: float = 1.1,
        holds_next: bool = False,
        whole: int = _WHOLE_LINES,
    ) -> None:
        """A paragraph; one of more than `whole` lines may be broken, two lines on either side."""
        paragraph = Paragraph(words, style.scaled(self.scale), self.width - indent)
        count = len(paragraph.lines)
        cuts = [0, count] if count <= whole else [0, *range(2, count - 1), count]
        for i, (first, last) in enumerate(itertools.pairwise(cuts)):
            self.atoms.append(
                Atom(
                    (last - first) * paragraph.style.line,
                    _lines(paragraph, indent, first, last),
                    0.0 if i else before * MM * self.scale,
                    holds_next=holds_next and i == len(cuts) - 2,
                    again=self._again,
                )
            )

    def place(self, place: Place) -> None:
        """A numbered place: what it is, what one will see, what would help."""
        title = Paragraph([(place.title, True)], BODY.scaled(self.scale), self.width - _INDENT)
        middle = PLATE_MM / 2.0 * MM

        def head(x: float, y: float) -> list[Part]:
            return [
                Plate(place.number, x + middle, y + title.style.line / 2.0),
                Words(title, x + _INDENT, y),
            ]

        above = 2.2 * MM * self.scale
        self.atoms.append(Atom(title.height, head, above, holds_next=True, again=self._again))
        self.text(
            place.sentence, indent=_INDENT, before=0.0, holds_next=bool(place.helps),
            whole=_WHOLE_PLACE,
        )  # fmt: skip
        for number, help in enumerate(place.helps):
            said = (
                tr("Or: {help}", help=help)
                if number
                else tr("What would still help: {help}", help=help)
            )
            self.text(said, SMALL, indent=_INDENT, before=0.4, whole=_WHOLE_PLACE)

    def table(self, changes: Sequence[Change]) -> None:
        """Losses without the correction, and with it."""
        changes = [
            one for one in changes if share_in_words(one.before) != share_in_words(one.after)
        ]
        if not changes:
            return
        self._row(("", tr("without it"), tr("on this print")), SMALL, holds_next=True)
        for number, change in enumerate(changes):
            before, after = share_in_words(change.before), share_in_words(change.after)
            self._row((change.title, before, after), BODY, holds_next=number < len(changes) - 1)

    def _row(self, cells: tuple[str, str, str], style: Style, *, holds_next: bool) -> None:
        figures = _FIGURES * self.width
        gap = 1.5 * MM
        widths = (self.width - 2 * figures, figures - gap, figures - gap)
        set_cells = [
            Paragraph(words, style.scaled(self.scale), width, right=number > 0)
            for number, (words, width) in enumerate(zip(cells, widths, strict=True))
        ]
        height = max(cell.height for cell in set_cells)
        pad = 0.7 * MM

        def place(x: float, y: float) -> list[Part]:
            lefts = (x, x + widths[0] + gap, x + widths[0] + figures + gap)
            return [
                *(
                    Words(cell, left, y + pad)
                    for cell, left in zip(set_cells, lefts, strict=True)
                    if cell.text
                ),
                Field(Box(x, y + height + 2 * pad - 0.1 * MM, self.width, 0.1 * MM), RULE),
            ]

        self.atoms.append(
            Atom(height + 2 * pad, place, 0.0, holds_next=holds_next, again=self._again)
        )

    def standing(self, standing: Standing) -> None:
        """How well a thing is known, and from where."""
        runs = [(f"{standing.title}: ", True), (standing.words, False)]
        self.text(runs, holds_next=bool(standing.source))
        if standing.source:
            self.text(standing.source, SMALL, before=0.2)


def _lines(paragraph: Paragraph, indent: float, first: int, last: int) -> Placer:
    def place(x: float, y: float) -> list[Part]:
        return [Words(paragraph, x + indent, y, first, last)]

    return place
