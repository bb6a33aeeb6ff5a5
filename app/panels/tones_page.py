"""The tones of the print: a grey scale as the file and as the print has it, and two spreads."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QImage,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QPixmap,
)
from PySide6.QtWidgets import QDialog, QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from app import theme
from app.session import Session
from app.tones import ends_in_words, wedge_in_words
from app.views.canvas import image_over
from proofing.findings.kinds import Kind
from proofing.findings.overlay import tiles

if TYPE_CHECKING:
    from proofing.proof import Tones

_SIZE = QSize(720, 560)
_LABELS = 88  # pixels for the words at the left of the wedge
_MARKS = 20  # pixels for numbers and brackets below it
_EDGE = 12


class Wedge(QWidget):
    """The grey scale of the file above that of the print; below them, brackets about the steps
    that look alike."""

    def __init__(self) -> None:
        super().__init__()
        self.tones: Tones | None = None
        self._wall = QColor(theme.PANE)
        self.setMinimumHeight(120)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Grey scale of 21 steps")

    def sizeHint(self) -> QSize:
        return QSize(600, 130)

    def show_tones(self, tones: Tones, wall: QColor) -> None:
        """Show a scale, the print's on its wall."""
        self.tones, self._wall = tones, wall
        self.setAccessibleDescription(wedge_in_words(tones))
        self.update()

    def step_rect(self, number: int, *, printed: bool) -> QRect:
        """Where a step stands, counted from 0."""
        count = 21 if self.tones is None else len(self.tones.steps)
        across = self.width() - _LABELS - _EDGE
        half = (self.height() - _MARKS - 3 * 8) // 2
        left = _LABELS + round(number * across / count)
        right = _LABELS + round((number + 1) * across / count)
        return QRect(left, 8 + (half + 8) * printed, right - left, half)

    def paintEvent(self, event: QPaintEvent) -> None:
        tones = self.tones
        painter = QPainter(self)
        if tones is None:
            painter.end()
            return
        painter.setFont(theme.font(theme.SMALL_PX))
        for printed, words, ground in (
            (False, "In the file", QColor(theme.PANE)), (True, "On the print", self._wall)
        ):  # fmt: skip
            first, last = (
                self.step_rect(number, printed=printed) for number in (0, len(tones.steps) - 1)
            )
            painter.fillRect(first.united(last).adjusted(-4, -4, 4, 4), ground)
            painter.setPen(QColor(theme.TEXT))
            label = QRect(0, first.top(), _LABELS - 8, first.height())
            painter.drawText(label, Qt.AlignmentFlag.AlignVCenter, words)
            for number, step in enumerate(tones.steps):
                RGB = step.print_RGB if printed else step.file_RGB
                red, green, blue = (round(255 * min(max(c, 0.0), 1.0)) for c in RGB)
                painter.fillRect(self.step_rect(number, printed=printed), QColor(red, green, blue))
        self._draw_marks(painter, tones)
        painter.end()

    def _draw_marks(self, painter: QPainter, tones: Tones) -> None:
        """Numbers of some steps, and brackets about those that merge."""
        painter.setPen(QColor(theme.QUIET))
        top = self.height() - _MARKS + 2
        for number in range(0, len(tones.steps), 5):
            box = self.step_rect(number, printed=True)
            place = QRect(box.left() - 10, top, box.width() + 20, 16)
            painter.drawText(place, Qt.AlignmentFlag.AlignCenter, str(number + 1))
        pen = QPen(QColor(theme.TEXT), 2)
        painter.setPen(pen)
        for first, last in tones.merged:
            left = self.step_rect(first, printed=True).left() + 2
            right = self.step_rect(last, printed=True).right() - 2
            y = self.step_rect(first, printed=True).bottom() + 6
            painter.drawLine(left, y, right, y)
            painter.drawLine(left, y, left, y - 5)
            painter.drawLine(right, y, right, y - 5)


class Spreads(QWidget):
    """How much of the picture has which lightness, in the file (line) and on the print (filled)."""

    def __init__(self) -> None:
        super().__init__()
        self.tones: Tones | None = None
        self.setMinimumHeight(120)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("Lightness in the file and on the print")

    def sizeHint(self) -> QSize:
        return QSize(600, 220)

    def show_tones(self, tones: Tones) -> None:
        """Show the spreads."""
        self.tones = tones
        self.setAccessibleDescription(ends_in_words(tones))
        self.update()

    def _x(self, L: float) -> float:
        return _EDGE + L / 100.0 * (self.width() - 2 * _EDGE)

    def paintEvent(self, event: QPaintEvent) -> None:
        tones = self.tones
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        if tones is not None:
            self._draw(painter, tones)
        painter.end()

    def _draw(self, painter: QPainter, tones: Tones) -> None:
        base = self.height() - 22.0
        highest = max(float(tones.file_spread.max()), float(tones.print_spread.max()))
        scale = (base - 20.0) / math.sqrt(max(highest, 1e-9))

        def curve(spread: object, first: int = 0, last: int = 100) -> QPainterPath:
            path = QPainterPath(QPointF(self._x(first), base))
            for number in range(first, last):
                y = base - scale * math.sqrt(float(spread[number]))  # type: ignore[index]
                path.lineTo(self._x(number), y)
                path.lineTo(self._x(number + 1), y)
            path.lineTo(self._x(last), base)
            return path

        painter.fillPath(curve(tones.print_spread), QColor(255, 255, 255, 70))
        ends = (
            (Kind.BLOCKED_SHADOWS, 0, tones.dark_bins),
            (Kind.BLOWN_HIGHLIGHTS, 100 - tones.light_bins, 100),
        )  # fmt: skip
        for kind, first, last in ends:
            if first < last:
                painter.fillPath(curve(tones.file_spread, first, last), self._texture(kind))
        painter.setPen(QPen(QColor(theme.TEXT), 1.3))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPath(curve(tones.file_spread))
        self._draw_axis(painter, tones, base)

    def _texture(self, kind: Kind) -> QBrush:
        ratio = self.devicePixelRatioF()
        tile = image_over(tiles(ratio)[kind], QImage.Format.Format_ARGB32_Premultiplied)
        picture = QPixmap.fromImage(tile)
        picture.setDevicePixelRatio(ratio)
        return QBrush(picture)

    def _draw_axis(self, painter: QPainter, tones: Tones, base: float) -> None:
        painter.setFont(theme.font(theme.SMALL_PX))
        painter.setPen(QPen(QColor(theme.LINE), 1))
        painter.drawLine(QPointF(self._x(0), base), QPointF(self._x(100), base))
        painter.setPen(QColor(theme.QUIET))
        ends = {0: Qt.AlignmentFlag.AlignLeft, 100: Qt.AlignmentFlag.AlignRight}
        for tick in (0, 25, 50, 75, 100):
            place = QRectF(self._x(tick) - 30, base + 3, 60, 18)
            if tick == 0:
                place.moveLeft(self._x(0))
            elif tick == 100:
                place.moveRight(self._x(100))
            painter.drawText(place, ends.get(tick, Qt.AlignmentFlag.AlignHCenter), f"L* {tick}")
        dashed = QPen(QColor(theme.QUIET), 1)
        dashed.setDashPattern([3, 3])
        for L, words, right in (
            (tones.black_L, f"the stock's black, L* {tones.black_L:.0f}", False),
            (tones.white_L, f"bare paper, L* {tones.white_L:.0f}", True),
        ):
            painter.setPen(dashed)
            painter.drawLine(QPointF(self._x(L), 16.0), QPointF(self._x(L), base))
            painter.setPen(QColor(theme.TEXT))
            width = painter.fontMetrics().horizontalAdvance(words)
            x = self._x(L) - width - 4 if right else self._x(L) + 4
            painter.drawText(QPointF(x, 12.0), words)


class TonesPage(QDialog):
    """Stays beside the window and follows the print."""

    def __init__(self, session: Session, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle("Tones of this print")
        self._session = session
        self.wedge, self.spreads = Wedge(), Spreads()
        self.wedge_words, self.end_words = QLabel(), QLabel()
        for label in (self.wedge_words, self.end_words):
            label.setWordWrap(True)
        note = QLabel(
            "The grey scale goes in equal steps of L* from black to white; neighbours run together "
            "that differ by less than twice what an eye in this room just sees. Below, the line "
            "is the file and the grey field the print, counted on a reduced copy, its height as "
            "the root of the share. Textures fill the tones that the print has lost."
        )
        note.setWordWrap(True)
        note.setProperty("quiet", True)
        note.setFont(theme.font(theme.SMALL_PX))
        close = QPushButton("Close")
        close.setAutoDefault(False)
        close.clicked.connect(self.reject)
        column = QVBoxLayout(self)
        for part in (self.wedge_words, self.wedge, self.end_words):
            column.addWidget(part)
        column.addWidget(self.spreads, 1)
        column.addWidget(note)
        column.addWidget(close, 0, Qt.AlignmentFlag.AlignRight)
        self.resize(_SIZE.boundedTo(parent.screen().availableSize() - QSize(40, 60)))
        session.toned.connect(self._show)
        self.finished.connect(lambda _: session.tones.watch(False))
        session.tones.watch(True)
        self._show()

    def _show(self) -> None:
        tones, baked = self._session.tones.found, self._session.baked
        if self._session.tones.failed:
            self.wedge_words.setText("The tones of this print could not be worked out.")
            return
        if tones is None or baked is None:
            self.wedge_words.setText("Working out the tones…")
            return
        self.wedge_words.setText(wedge_in_words(tones))
        self.end_words.setText(ends_in_words(tones))
        self.wedge.show_tones(tones, theme.colour(baked.wall_bgr))
        self.spreads.show_tones(tones)
