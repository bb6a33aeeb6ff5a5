"""What can be drawn on a page. Each part knows the box it takes, so that pages can be checked."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final, Protocol

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPen, QPolygonF

from app.handout.geometry import MM, Box
from app.handout.type import FIGURE, INK, Paragraph

PLATE_MM: Final = 4.4
"""Diameter of the plate that carries a number."""
_CASING_MM, _LINE_MM = 0.75, 0.32  # of an outline: dark below, light above
_RING_MM = 0.3  # about a plate on a picture
_DARK, _LIGHT = "#161616", "#ffffff"


class Part(Protocol):
    """Anything on a page."""

    @property
    def box(self) -> Box:
        """What it takes."""

    def draw(self, painter: QPainter) -> None:
        """Draw it, in page units."""


@dataclass(frozen=True)
class Words:
    """Lines of a paragraph, from `first` to before `last`."""

    paragraph: Paragraph
    x: float
    y: float
    first: int = 0
    last: int = -1

    @property
    def _end(self) -> int:
        return len(self.paragraph.lines) if self.last < 0 else self.last

    @property
    def box(self) -> Box:
        """As wide as the longest of the lines, from where it begins."""
        lines = self.paragraph.lines[self.first : self._end]
        left = min((line.naturalTextRect().x() for line in lines), default=0.0)
        right = max((line.naturalTextRect().right() for line in lines), default=0.0)
        height = len(lines) * self.paragraph.style.line
        return Box(self.x + left, self.y, right - left, height)

    @property
    def text(self) -> str:
        """What is read there."""
        return self.paragraph.words(self.first, self._end)

    def draw(self, painter: QPainter) -> None:
        """Draw the lines."""
        self.paragraph.draw(painter, self.x, self.y, self.first, self._end)


@dataclass(frozen=True)
class Field:
    """A filled rectangle."""

    box: Box
    colour: str

    def draw(self, painter: QPainter) -> None:
        """Fill it."""
        painter.fillRect(_rect(self.box), QColor(self.colour))


@dataclass(frozen=True)
class Picture:
    """Pixels, drawn as they are."""

    box: Box
    rgb: npt.NDArray[np.uint8] = field(repr=False, compare=False)

    def draw(self, painter: QPainter) -> None:
        """Draw it; a pixel of the page as PNG is a pixel of it."""
        height, width = self.rgb.shape[:2]
        image = QImage(self.rgb.tobytes(), width, height, 3 * width, QImage.Format.Format_RGB888)
        placed = painter.combinedTransform().mapRect(_rect(self.box))
        if round(placed.width()) != width:  # a finer page, as of the PDF
            painter.drawImage(_rect(self.box), image)
            return
        painter.save()
        painter.resetTransform()
        painter.drawImage(QPointF(round(placed.x()), round(placed.y())), image)
        painter.restore()


@dataclass(frozen=True)
class Outline:
    """A closed line about a place: light on dark, so that it reads on any picture, in grey too."""

    box: Box
    points: npt.NDArray[np.float64] = field(repr=False, compare=False)

    def draw(self, painter: QPainter) -> None:
        """Draw it, held within its box."""
        polygon = QPolygonF([QPointF(float(x), float(y)) for x, y in self.points])
        painter.save()
        painter.setClipRect(_rect(self.box))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for colour, width_mm in ((_DARK, _CASING_MM), (_LIGHT, _LINE_MM)):
            pen = QPen(QColor(colour), width_mm * MM)
            pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
            painter.setPen(pen)
            painter.drawPolygon(polygon)
        painter.restore()


@dataclass(frozen=True)
class Plate:
    """A number on a dark disc, ringed where it lies on a picture."""

    number: int
    x: float
    y: float
    ringed: bool = False

    @property
    def box(self) -> Box:
        """About its middle."""
        radius = (PLATE_MM / 2.0 + (_RING_MM if self.ringed else 0.0)) * MM
        return Box(self.x - radius, self.y - radius, 2 * radius, 2 * radius)

    def draw(self, painter: QPainter) -> None:
        """Draw disc and number."""
        painter.setPen(Qt.PenStyle.NoPen)
        middle, radius = QPointF(self.x, self.y), PLATE_MM / 2.0 * MM
        if self.ringed:
            painter.setBrush(QColor(_LIGHT))
            painter.drawEllipse(middle, radius + _RING_MM * MM, radius + _RING_MM * MM)
        painter.setBrush(QColor(INK))
        painter.drawEllipse(middle, radius, radius)
        painter.setFont(FIGURE.font())
        painter.setPen(QColor(_LIGHT))
        painter.drawText(
            QRectF(self.x - radius, self.y - radius, 2 * radius, 2 * radius),
            Qt.AlignmentFlag.AlignCenter,
            str(self.number),
        )


def _rect(box: Box) -> QRectF:
    return QRectF(box.x, box.y, box.width, box.height)
