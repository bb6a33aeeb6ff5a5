"""How words are set on a page: styles, and paragraphs broken into lines."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import (
    QFont,
    QFontDatabase,
    QPainter,
    QTextCharFormat,
    QTextLayout,
    QTextLine,
    QTextOption,
)

from app.handout.geometry import MM

FAMILY: Final = "Inter"  # shipped in resources/fonts, registered by app.theme.load_fonts
INK: Final = "#1c1c1c"
RULE: Final = "#c4c4c4"  # a hairline
QUIET: Final = "#595959"  # 7:1 on white
_POINT: Final = 25.4 * MM / 72.0
_PLAIN_FEATURES: Final = ("calt", "liga", "dlig")
"""Features that put other glyphs in the place of characters. A PDF would not know which characters
they stand for (seen with Qt 6.11: a dash between figures could not be copied)."""

Run = tuple[str, bool]


@dataclass(frozen=True)
class Style:
    """A size of type, points; leading in sizes."""

    size: float
    leading: float = 1.36
    strong: bool = False
    colour: str = INK

    def scaled(self, by: float) -> Style:
        """The same, larger or smaller."""
        return Style(self.size * by, self.leading, self.strong, self.colour)

    @property
    def line(self) -> float:
        """From baseline to baseline."""
        return self.size * self.leading * _POINT

    def font(self, *, strong: bool = False) -> QFont:
        """For the toolkit, in page units."""
        made = QFont(FAMILY)
        made.setPixelSize(max(1, round(self.size * _POINT)))
        made.setWeight(QFont.Weight.DemiBold if strong or self.strong else QFont.Weight.Normal)
        made.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
        made.setStyleStrategy(QFont.StyleStrategy.NoSubpixelAntialias)
        for feature in _PLAIN_FEATURES:
            made.setFeature(QFont.Tag(feature), 0)
        return made


KICKER: Final = Style(8.5, colour=QUIET)
TITLE: Final = Style(19.0, 1.18, strong=True)
SUBTITLE: Final = Style(11.0, 1.3)
SENTENCE: Final = Style(8.8, 1.42)
NOTE: Final = Style(9.6, 1.4)
CAPTION: Final = Style(8.0, 1.3, colour=QUIET)
VERDICT: Final = Style(12.0, 1.32, strong=True)
HEADING: Final = Style(10.4, 1.3, strong=True)
BODY: Final = Style(9.0)
SMALL: Final = Style(7.6, 1.34, colour=QUIET)
FOOT: Final = Style(7.2, 1.3, colour=QUIET)
FIGURE: Final = Style(8.2, 1.0, strong=True)


def is_registered() -> bool:
    """Whether the type is there; without it words would be set in whatever the system has."""
    return FAMILY in QFontDatabase.families()


class Paragraph:
    """Words broken into lines of a width.

    A line is broken between words; a word that is longer than a line is broken anywhere.

    Parameters
    ----------
    runs
        Words, and whether they are strong.
    style, width
        How, and how wide.
    right
        Whether lines end at the right.
    """

    def __init__(
        self, runs: str | Sequence[Run], style: Style, width: float, *, right: bool = False
    ) -> None:
        given = [(runs, False)] if isinstance(runs, str) else list(runs)
        given = [(kept_together(text), strong) for text, strong in given]
        self.text = "".join(text for text, _ in given)
        self.style = style
        self._layout = QTextLayout(self.text, style.font())
        option = QTextOption(Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft)
        option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
        option.setUseDesignMetrics(True)
        self._layout.setTextOption(option)
        self._layout.setFormats(_formats(given, style))
        self._layout.beginLayout()
        self.lines: list[QTextLine] = []
        while (line := self._layout.createLine()).isValid():
            line.setLineWidth(width)
            line.setPosition(QPointF(0.0, len(self.lines) * style.line))
            self.lines.append(line)
        self._layout.endLayout()
        self.width = max((line.naturalTextWidth() for line in self.lines), default=0.0)

    @property
    def height(self) -> float:
        """Of all lines."""
        return len(self.lines) * self.style.line

    def words(self, first: int, last: int) -> str:
        """The text of lines from the first to before the last."""
        if first >= last:
            return ""
        start, end = self.lines[first], self.lines[last - 1]
        coded = self.text.encode("utf-16-le")  # Qt counts in units of it
        return coded[2 * start.textStart() : 2 * (end.textStart() + end.textLength())].decode(
            "utf-16-le"
        )

    def draw(self, painter: QPainter, x: float, y: float, first: int = 0, last: int = -1) -> None:
        """Draw lines, the first of them at the top."""
        end = len(self.lines) if last < 0 else last
        painter.setPen(self.style.colour)
        # Qt sets a line of its own height at the top of what it is given; ours are further apart.
        for number in range(first, end):
            line = self.lines[number]
            slack = (self.style.line - line.height()) / 2.0
            line.draw(painter, QPointF(x, y - first * self.style.line + slack))


def _formats(runs: Sequence[Run], style: Style) -> list[QTextLayout.FormatRange]:
    found, at = [], 0
    for text, strong in runs:
        length = len(text.encode("utf-16-le")) // 2  # as Qt counts
        if strong and not style.strong:
            each = QTextLayout.FormatRange()
            each.start, each.length = at, length  # type: ignore[attr-defined, unused-ignore]
            each.format = QTextCharFormat()  # type: ignore[attr-defined, unused-ignore]
            each.format.setFont(style.font(strong=True))
            found.append(each)
        at += length
    return found


_UNITS = ("cm", "mm", "in", "m", "lx", "cd/m²", "K", "%", "px", "ppi", "ΔE00", "stops", "GU")


def kept_together(text: str) -> str:
    """The words with a number bound to its unit, and to the number of the other side.

    >>> kept_together("60 × 40 cm at 150 lx") == "60\\u00a0×\\u00a040\\u00a0cm at 150\\u00a0lx"
    True
    """
    pieces = text.split(" ")
    made = pieces[0]
    for before, piece in itertools.pairwise(pieces):
        bare = piece.strip("().,:;")
        bound = (before[-1:].isdigit() and bare in _UNITS) or "×" in (before, piece)
        made += ("\u00a0" if bound else " ") + piece
    return made
