"""The square that a curve is drawn in: quarters, numbers, and what is drawn how."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from app import theme
from proofing.language import tr

LEFT, RIGHT, ABOVE, BELOW = 48.0, 22.0, 8.0, 64.0
"""Beside the square, for numbers and legend."""
_GRID = QColor("#3d3d3d")
_LINE = 15.0  # height of a line of numbers


def square_in(rect: QRectF) -> QRectF:
    """The largest square that leaves room for numbers and legend, at the top."""
    room = rect.adjusted(LEFT, ABOVE, -RIGHT, -BELOW)
    side = max(min(room.width(), room.height()), 1.0)
    left = room.left() + (room.width() - side) / 2.0
    return QRectF(left, room.top(), side, side)


def height_for(width: int) -> int:
    """The height that a drawing of some width has use for."""
    return round(width - LEFT - RIGHT + ABOVE + BELOW)


def whole_pen() -> QPen:
    """Of the curve that is applied."""
    return QPen(QColor(theme.TEXT), 1.8)


def own_pen() -> QPen:
    """Of the curve before the lift."""
    pen = QPen(QColor(theme.QUIET), 1.0)
    pen.setDashPattern([4, 3])
    return pen


def straight_pen() -> QPen:
    """Of codes that are left as they are."""
    return QPen(QColor(theme.LINE), 1.0)


def draw_scale(painter: QPainter, box: QRectF) -> None:
    """The pane, its quarters, and their codes and percent on both sides."""
    painter.fillRect(box, QColor(theme.FIELD))
    painter.setPen(QColor(theme.QUIET))
    inside = box.adjusted(8.0, 6.0, -8.0, -6.0)
    painter.drawText(inside, Qt.AlignmentFlag.AlignTop, tr("out"))
    corner = Qt.AlignmentFlag.AlignBottom | Qt.AlignmentFlag.AlignRight
    painter.drawText(inside, corner, tr("in"))
    for quarter in range(5):
        x = box.left() + 0.25 * quarter * box.width()
        y = box.bottom() - 0.25 * quarter * box.height()
        painter.setPen(QPen(_GRID if 0 < quarter < 4 else QColor(theme.LINE), 1.0))
        painter.drawLine(QPointF(x, box.top()), QPointF(x, box.bottom()))
        painter.drawLine(QPointF(box.left(), y), QPointF(box.right(), y))
        top = y - {0: 2.0 * _LINE, 4: 0.0}.get(quarter, _LINE)
        for line, (words, colour) in enumerate(
            ((f"{63.75 * quarter:.0f}", theme.TEXT), (f"{25 * quarter} %", theme.QUIET))
        ):
            painter.setPen(QColor(colour))
            below = QRectF(x - 30.0, box.bottom() + 3.0 + _LINE * line, 60.0, _LINE)
            painter.drawText(below, Qt.AlignmentFlag.AlignHCenter, words)
            beside = QRectF(box.left() - LEFT, top + _LINE * line, LEFT - 6.0, _LINE)
            painter.drawText(
                beside, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, words
            )


def draw_legend(painter: QPainter, box: QRectF, *, lifted: bool) -> None:
    """What is drawn how, in one row at the foot."""
    samples = [(tr("corrected"), whole_pen()), (tr("as in the file"), straight_pen())]
    if lifted:
        samples.insert(1, (tr("before the lift"), own_pen()))
    x, y = box.left(), box.bottom() + 50.0
    for words, pen in samples:
        width = 28.0 + painter.fontMetrics().horizontalAdvance(words)
        if x + width > box.right() + RIGHT:
            break  # in a small window the line that needs words least goes without
        painter.setPen(pen)
        painter.drawLine(QPointF(x, y), QPointF(x + 22.0, y))
        painter.setPen(QColor(theme.QUIET))
        painter.drawText(QPointF(x + 28.0, y + 4.0), words)
        x += width + 16.0
