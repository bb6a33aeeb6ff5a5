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
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app import theme
from app.panels.button import Button
from app.panels.why_card import WhyButton
from app.session import Session
from app.tones import ends_in_words, range_in_words, wedge_in_words
from app.views.canvas import image_over
from proofing.findings.kinds import Kind
from proofing.findings.overlay import tiles
from proofing.findings.words import share_in_words
from proofing.language import mark, tr

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from proofing.proof import Tones

_SIZE = QSize(720, 560)
_LEAST = QSize(480, 400)
_LABELS = 88  # pixels for the words at the left of the wedge
_MARKS = 20  # pixels for numbers and brackets below it
_EDGE = 12
_ABOVE, _BELOW = 20.0, 42.0  # the curves of the spreads: what the stock can hold; axis and legend
_MOST_TIMES = 4.0  # a spread is drawn up to that many times the other's highest share
_PRINT = QColor("#808080")
_LOST_WORDS = {
    Kind.BLOCKED_SHADOWS: mark("lost in the print's black"),
    Kind.BLOWN_HIGHLIGHTS: mark("lost in the print's white"),
}


class Wedge(QWidget):
    """The grey scale of the file above that of the print; below them, brackets about the steps
    that look alike."""

    def __init__(self) -> None:
        super().__init__()
        self.tones: Tones | None = None
        self._wall = QColor(theme.PANE)
        self.setMinimumHeight(100)
        self.setMaximumHeight(260)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(tr("Grey scale, in the file and on the print"))

    def sizeHint(self) -> QSize:
        return QSize(600, 110)

    def show_tones(self, tones: Tones | None, wall: QColor) -> None:
        """Show a scale, the print's on its wall; None shows nothing."""
        self.tones, self._wall = tones, wall
        self.setAccessibleDescription("" if tones is None else wedge_in_words(tones))
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
            (False, tr("In the file"), QColor(theme.PANE)), (True, tr("On the print"), self._wall)
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
        self.setMinimumHeight(130)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(tr("Lightness in the file and on the print"))

    def sizeHint(self) -> QSize:
        return QSize(600, 220)

    def show_tones(self, tones: Tones | None) -> None:
        """Show the spreads; None shows nothing."""
        self.tones = tones
        said = "" if tones is None else f"{ends_in_words(tones)} {range_in_words(tones)}"
        self.setAccessibleDescription(said)
        self.update()

    def place(self, L: float) -> float:
        """Where a lightness stands, logical pixels from the left."""
        return _EDGE + L / 100.0 * (self.width() - 2 * _EDGE)

    def paintEvent(self, event: QPaintEvent) -> None:
        tones = self.tones
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        painter.setFont(theme.font(theme.SMALL_PX))
        if tones is not None:
            self._draw(painter, tones)
        painter.end()

    def _draw(self, painter: QPainter, tones: Tones) -> None:
        base = self.height() - _BELOW
        highest = _drawn_to(tones)
        scale = (base - _ABOVE) / math.sqrt(max(highest, 1e-9))

        def curve(spread: npt.NDArray[np.float64], first: int = 0, last: int = 100) -> QPainterPath:
            path = QPainterPath(QPointF(self.place(first), base))
            for number in range(first, last):
                y = base - scale * math.sqrt(min(float(spread[number]), highest))
                path.lineTo(self.place(number), y)
                path.lineTo(self.place(number + 1), y)
            path.lineTo(self.place(last), base)
            return path

        painter.fillPath(curve(tones.print_spread), _PRINT)
        for kind, first, last in _lost(tones):
            lost = curve(tones.file_spread, first, last)
            box = QRectF(QPointF(self.place(first), _ABOVE), QPointF(self.place(last), base))
            painter.fillPath(lost, QColor(theme.FIELD))
            self._fill(painter, lost, kind, box)
        painter.setPen(QPen(QColor(theme.TEXT), 1.3))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPath(curve(tones.file_spread))
        self._draw_axis(painter, tones, base)
        self._draw_cut(painter, tones, highest)
        self._draw_legend(painter, tones)

    def _fill(self, painter: QPainter, path: QPainterPath, kind: Kind, box: QRectF) -> None:
        """Fill with a mark's texture, a stroke of it in the middle: an end may be narrow."""
        ratio = self.devicePixelRatioF()
        pixels = tiles(ratio)[kind]
        picture = QPixmap.fromImage(image_over(pixels, QImage.Format.Format_ARGB32_Premultiplied))
        picture.setDevicePixelRatio(ratio)
        alpha = pixels[..., 3].astype(float)
        row, column = (int(alpha.sum(axis=axis).argmax()) for axis in (1, 0))
        at = box.center() - QPointF((column + 0.5) / ratio, (row + 0.5) / ratio)
        painter.setBrushOrigin(QPointF(round(at.x()), round(at.y())))
        painter.fillPath(path, QBrush(picture))

    def _draw_axis(self, painter: QPainter, tones: Tones, base: float) -> None:
        painter.setPen(QPen(QColor(theme.FAINT), 1))
        painter.drawLine(QPointF(self.place(0), base), QPointF(self.place(100), base))
        for tick in range(0, 101, 5):
            length = 5 if tick % 25 == 0 else 2
            at = self.place(tick)
            painter.drawLine(QPointF(at, base), QPointF(at, base + length))
        painter.setPen(QColor(theme.QUIET))
        sides = {0: Qt.AlignmentFlag.AlignLeft, 100: Qt.AlignmentFlag.AlignRight}
        for tick in (0, 25, 50, 75, 100):
            place = QRectF(self.place(tick) - 30, base + 5, 60, 18)
            if tick == 0:
                place.moveLeft(self.place(0))
            elif tick == 100:
                place.moveRight(self.place(100))
            painter.drawText(place, sides.get(tick, Qt.AlignmentFlag.AlignHCenter), f"L* {tick}")
        dashed = QPen(QColor(theme.QUIET), 1)
        dashed.setDashPattern([3, 3])
        for L, words, right in (
            (
                tones.black_L,
                tr("the stock's black, L* {black_L:.0f}", black_L=tones.black_L),
                False,
            ),
            (tones.white_L, tr("bare paper, L* {white_L:.0f}", white_L=tones.white_L), True),
        ):
            painter.setPen(dashed)
            painter.drawLine(QPointF(self.place(L), 16.0), QPointF(self.place(L), base))
            self._write(painter, L, 12.0, words, right)

    def _write(self, painter: QPainter, L: float, y: float, words: str, right: bool) -> None:
        """Words that begin, or end, beside a lightness."""
        painter.setPen(QColor(theme.TEXT))
        width = painter.fontMetrics().horizontalAdvance(words)
        x = self.place(L) - width - 4 if right else self.place(L) + 4
        painter.drawText(QPointF(x, y), words)

    def _draw_cut(self, painter: QPainter, tones: Tones, highest: float) -> None:
        """Tell the height of a peak that is not drawn whole."""
        for spread in (tones.print_spread, tones.file_spread):
            at = int(spread.argmax())
            if spread[at] > highest:
                words = tr("up to {spread}, cut off here", spread=share_in_words(float(spread[at])))
                right = at >= 50
                self._write(painter, at + (0 if right else 1), _ABOVE + 12.0, words, right)
                return

    def _draw_legend(self, painter: QPainter, tones: Tones) -> None:
        """What is drawn how, in one row at the foot."""
        x, top = float(_EDGE), self.height() - 17.0
        middle = top + 8.0
        samples: list[tuple[str, Kind | None]] = [
            (tr("in the file"), None),
            (tr("on the print"), None),
        ]
        samples += [(tr(_LOST_WORDS[end]), end) for end, _, _ in _lost(tones)]
        for number, (words, kind) in enumerate(samples):
            box = QRectF(x, top + 1.0, 24.0, 14.0)
            if number == 0:
                painter.setPen(QPen(QColor(theme.TEXT), 1.3))
                painter.drawLine(QPointF(x, middle), QPointF(x + 24.0, middle))
            elif kind is None:
                painter.fillRect(box, _PRINT)
            else:
                path = QPainterPath()
                path.addRect(box)
                painter.fillPath(path, QColor(theme.FIELD))
                self._fill(painter, path, kind, box)
            painter.setPen(QColor(theme.QUIET))
            painter.drawText(QPointF(x + 30.0, top + 12.5), words)
            x += 30.0 + painter.fontMetrics().horizontalAdvance(words) + 20.0


def _drawn_to(tones: Tones) -> float:
    """The share that reaches the top: a peak may not press the other spread flat."""
    peaks = sorted((float(tones.file_spread.max()), float(tones.print_spread.max())))
    return min(peaks[1], _MOST_TIMES * peaks[0])


def _lost(tones: Tones) -> list[tuple[Kind, int, int]]:
    """Ends of the scale where the picture has tones that the print lacks."""
    ends = []
    if tones.lost_dark > 0.0:
        ends.append((Kind.BLOCKED_SHADOWS, 0, tones.dark_bins))
    if tones.lost_light > 0.0:
        ends.append((Kind.BLOWN_HIGHLIGHTS, 100 - tones.light_bins, 100))
    return ends


class TonesPage(QDialog):
    """Stays beside the window and follows the print; the window's keys work here, too."""

    def __init__(self, session: Session, parent: QWidget) -> None:
        super().__init__(parent, Qt.WindowType.Tool)  # such a window leaves its parent the keys
        self.setAttribute(Qt.WidgetAttribute.WA_MacAlwaysShowToolWindow)
        self.setWindowTitle(tr("Tones of this print"))
        self._session = session
        self.wedge, self.spreads = Wedge(), Spreads()
        self.wedge_words, self.end_words = QLabel(), QLabel()
        self.note = QLabel(
            tr(
                "Equal steps of L*. Steps run together where they differ by less than twice "
                "what an eye in this room just sees. L* of the print is that of the sheet in "
                "D50; counted on a reduced copy, drawn as the root of the share."
            )
        )
        self.note.setWordWrap(True)
        self.note.setProperty("quiet", True)
        self.note.setFont(theme.font(theme.SMALL_PX))
        close = Button(tr("Close"))
        close.setAutoDefault(False)
        close.clicked.connect(self.reject)
        column = QVBoxLayout(self)
        column.addLayout(_with_why(self.wedge_words, "tone_steps"))
        column.addWidget(self.wedge, 1)
        column.addLayout(_with_why(self.end_words, "tone_ends"))
        column.addWidget(self.spreads, 2)
        foot = QHBoxLayout()
        foot.addWidget(self.note, 1)
        foot.addWidget(close, 0, Qt.AlignmentFlag.AlignBottom)
        column.addLayout(foot)
        close.setFocus()
        self.setMinimumSize(_LEAST)
        self.resize(_SIZE.boundedTo(parent.screen().availableSize() - QSize(40, 60)))
        session.toned.connect(self._show)
        self.finished.connect(lambda _: session.tones.watch(False))
        self._show()

    def _show(self) -> None:
        tones, baked = self._session.tones.found, self._session.baked
        wall = QColor(theme.PANE) if baked is None else theme.colour(baked.wall_bgr)
        self.wedge.show_tones(tones, wall)
        self.spreads.show_tones(tones)
        if tones is not None:
            self.wedge_words.setText(wedge_in_words(tones))
            self.end_words.setText(ends_in_words(tones))
        elif self._session.tones.failed:
            self.wedge_words.setText(tr("The tones of this print could not be worked out."))
            self.end_words.setText(tr("The bar in the window tells why."))
        else:
            self.wedge_words.setText(tr("Working out the tones…"))
            self.end_words.clear()


def _with_why(label: QLabel, id: str) -> QHBoxLayout:
    label.setWordWrap(True)
    label.setProperty("why", id)
    line = QHBoxLayout()
    line.setSpacing(theme.SPACE)
    line.addWidget(label, 1)
    line.addWidget(WhyButton(id), 0, Qt.AlignmentFlag.AlignTop)
    return line
