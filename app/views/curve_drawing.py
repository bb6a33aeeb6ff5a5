"""The curve of a correction, drawn in a square; its points are dragged, or moved by keys."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
    QResizeEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import theme
from app.state import number_text
from app.state.curve import Codes, moved_point, with_point
from app.views.curve_scale import (
    draw_legend,
    draw_scale,
    height_for,
    own_pen,
    square_in,
    straight_pen,
    whole_pen,
)
from proofing.colorimetry import Float
from proofing.language import tr
from proofing.printing import MOST_POINTS

_NEAR = 11.0  # pixels by which a press may miss
_RADIUS = 5.0
_KEYS = {
    Qt.Key.Key_Left: (-1.0, 0.0), Qt.Key.Key_Right: (1.0, 0.0),
    Qt.Key.Key_Down: (0.0, -1.0), Qt.Key.Key_Up: (0.0, 1.0),
}  # fmt: skip
_OTHER_KEYS = (Qt.Key.Key_Delete, Qt.Key.Key_Insert, Qt.Key.Key_Home)
_TEN = 10.0  # codes, by a key with Shift


@dataclass(frozen=True, eq=False)
class Curves:
    """What is drawn.

    Attributes
    ----------
    points
        Those set by hand, from (0, 0) to (255, 255).
    own, whole
        (N,) code out, 0..1, at even codes in: through the points alone, and after the lift.
    """

    points: Codes
    own: Float
    whole: Float


class CurveDrawing(QWidget):
    """Code in across, code out upward.

    Signals
    -------
    moved : object, str
        Other points, and the gesture that moves them, '' for a step of its own.
    chosen : ()
        Another point is the current one.
    """

    moved = Signal(object, str)
    chosen = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.curves: Curves | None = None
        self.current: int | None = None
        self._gestures = itertools.count(1)
        self._gesture = ""  # a drag, or a run of keys
        self._held: tuple[QPointF, tuple[float, float]] | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(QSize(280, 290))
        self.setMouseTracking(True)
        self.setAccessibleName(tr("The curve of this print"))

    def show_curves(self, curves: Curves | None) -> None:
        """Draw another one; None while there is nothing to draw."""
        self.curves = curves
        inner = 0 if curves is None else len(curves.points) - 2
        if self.current is not None and self.current > inner:
            self.current = inner or None
        there = Qt.FocusPolicy.NoFocus if curves is None else Qt.FocusPolicy.StrongFocus
        self.setFocusPolicy(there)
        self.setAccessibleDescription(self.told)
        self.update()

    @property
    def told(self) -> str:
        """The current point in words, or what can be done."""
        if self.curves is None:
            return ""
        points = self.curves.points
        if self.current is None:
            return tr(
                "Drag a point, or click on the line to set one, up to {most} with both ends.",
                most=MOST_POINTS,
            )
        x, y = points[self.current]
        return tr(
            "Point {place} of {count}: in {x} ({x_percent:.1f} %), out {y} ({y_percent:.1f} %).",
            place=self.current,
            count=len(points) - 2,
            x=number_text(x),
            y=number_text(y),
            x_percent=x / 2.55,
            y_percent=y / 2.55,
        )

    # ---- where things stand

    def square(self) -> QRectF:
        """Where codes lie, from 0 to 255."""
        return square_in(QRectF(self.rect()))

    def place(self, x: float, y: float) -> QPointF:
        """Where a code in and a code out stand."""
        box = self.square()
        return QPointF(
            box.left() + x / 255.0 * box.width(), box.bottom() - y / 255.0 * box.height()
        )

    def _out(self, line: Float, x: float) -> float:
        return float(255.0 * np.interp(x / 255.0, np.linspace(0.0, 1.0, len(line)), line))

    def _handle_at(self, at: QPointF) -> int | None:
        assert self.curves is not None
        points = self.curves.points
        far = {
            i: (self.place(*points[i]) - at).manhattanLength() for i in range(1, len(points) - 1)
        }
        nearest = min(far, key=lambda i: far[i], default=None)
        return nearest if nearest is not None and far[nearest] <= 1.3 * _NEAR else None

    def _line_at(self, at: QPointF) -> float | None:
        """The code in where a press would set a point."""
        assert self.curves is not None
        box = self.square()
        x = round(255.0 * (at.x() - box.left()) / box.width())
        near = any(
            abs(self.place(x, self._out(line, x + step)).y() - at.y()) <= _NEAR
            for line in (self.curves.own, self.curves.whole)
            for step in (-3, 0, 3)  # a steep line is hit from its side, too
        )
        return float(x) if near and 0 < x < 255 else None

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.setMaximumHeight(height_for(self.width()))  # words follow close below

    # ---- drawing

    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(theme.font(theme.SMALL_PX, tabular=True))
        box = self.square()
        draw_scale(painter, box)
        if self.curves is not None:
            self._draw_lines(painter, self.curves)
            draw_legend(painter, box, lifted=self._is_lifted(self.curves))
            self._draw_handles(painter, self.curves)
        if self.hasFocus():
            painter.setPen(QPen(QColor(theme.FOCUS), 1.5))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(box.adjusted(-2, -2, 2, 2))
        painter.end()

    def _draw_lines(self, painter: QPainter, curves: Curves) -> None:
        painter.setPen(straight_pen())
        painter.drawLine(self.place(0.0, 0.0), self.place(255.0, 255.0))
        if self._is_lifted(curves):
            painter.setPen(own_pen())
            painter.drawPolyline(self._line(curves.own))
        painter.setPen(whole_pen())
        painter.drawPolyline(self._line(curves.whole))

    def _line(self, line: Float) -> QPolygonF:
        steps = np.linspace(0.0, 255.0, max(int(self.square().width()), 2))
        return QPolygonF([self.place(x, self._out(line, x)) for x in steps])

    @staticmethod
    def _is_lifted(curves: Curves) -> bool:
        return bool(np.abs(curves.own - curves.whole).max() > 1e-4)

    def _draw_handles(self, painter: QPainter, curves: Curves) -> None:
        for at, point in enumerate(curves.points[1:-1], start=1):
            is_current = at == self.current
            painter.setPen(QPen(QColor(theme.TEXT), 1.5))
            painter.setBrush(QColor(theme.TEXT if is_current else theme.FIELD))
            painter.drawEllipse(self.place(*point), _RADIUS, _RADIUS)
            if is_current and self.hasFocus():
                painter.setPen(QPen(QColor(theme.FOCUS), 1.5))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawEllipse(self.place(*point), _RADIUS + 4, _RADIUS + 4)

    # ---- by the mouse

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if self.curves is None or event.button() != Qt.MouseButton.LeftButton:
            return
        at = event.position()
        self._gesture = self._new_gesture()
        found = self._handle_at(at)
        if found is None and (x := self._line_at(at)) is not None:
            more = with_point(self.curves.points, x, round(self._out(self.curves.own, x)))
            if more is not None:
                points, found = more
                self.moved.emit(points, self._gesture)
        self._choose(found)
        if found is not None:
            self._held = at, self.curves.points[found]

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self.curves is None:
            return
        at = event.position()
        if self._held is None or self.current is None:
            on_handle = self._handle_at(at) is not None
            free = len(self.curves.points) < MOST_POINTS and self._line_at(at) is not None
            shape = Qt.CursorShape.CrossCursor if free else Qt.CursorShape.ArrowCursor
            self.setCursor(Qt.CursorShape.SizeAllCursor if on_handle else shape)
            return
        (start, (x, y)), codes = self._held, 255.0 / self.square().width()
        step = at - start
        self._move(round(x + codes * step.x()), round(y - codes * step.y()))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        del event
        self._held, self._gesture = None, ""

    # ---- by keys

    def event(self, event: QEvent) -> bool:
        """The window's own keys of these names rest while the keyboard is here."""
        is_override = event.type() == QEvent.Type.ShortcutOverride
        if is_override and isinstance(event, QKeyEvent) and self._is_ours(event):
            event.accept()
            return True
        return super().event(event)

    @staticmethod
    def _is_ours(event: QKeyEvent) -> bool:
        held = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        if held == Qt.KeyboardModifier.NoModifier:
            return event.key() in (*_KEYS, *_OTHER_KEYS)
        return held == Qt.KeyboardModifier.ShiftModifier and event.key() in _KEYS

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if self.curves is None or not self._is_ours(event):
            super().keyPressEvent(event)
            return
        key, points = Qt.Key(event.key()), self.curves.points
        if key == Qt.Key.Key_Insert:
            self._insert(points)
        elif self.current is None:
            self._choose(1 if len(points) > 2 else None)
        elif key == Qt.Key.Key_Delete:
            self._gesture = ""
            self.moved.emit((*points[: self.current], *points[self.current + 1 :]), "")
            self.chosen.emit()
        else:
            self._gesture = self._gesture or self._new_gesture()
            x, y = points[self.current]
            by = _TEN if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1.0
            across, up = _KEYS.get(key, (0.0, x - y))  # Home: back on the straight line
            by = by if key in _KEYS else 1.0
            self._move(x + by * across, y + by * up)

    def _insert(self, points: Codes) -> None:
        """A point in the middle of the widest gap."""
        assert self.curves is not None
        gap = max(range(1, len(points)), key=lambda i: points[i][0] - points[i - 1][0])
        x = float(round((points[gap][0] + points[gap - 1][0]) / 2.0))
        more = with_point(points, x, float(round(self._out(self.curves.own, x))))
        if more is not None:
            self.moved.emit(more[0], "")
            self._choose(more[1])

    def focusNextPrevChild(self, forward: bool) -> bool:
        """Tab goes from point to point, then on."""
        last = 0 if self.curves is None else len(self.curves.points) - 2
        beyond = (self.current or (0 if forward else last + 1)) + (1 if forward else -1)
        if 1 <= beyond <= last:
            self._gesture = ""
            self._choose(beyond)
            return True
        return super().focusNextPrevChild(forward)

    def focusInEvent(self, event: QFocusEvent) -> None:
        last = 0 if self.curves is None else len(self.curves.points) - 2
        if last and event.reason() == Qt.FocusReason.TabFocusReason:
            self._choose(1)
        elif last and event.reason() == Qt.FocusReason.BacktabFocusReason:
            self._choose(last)
        super().focusInEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self._gesture, self._held = "", None
        super().focusOutEvent(event)

    # ---- what both do

    def _new_gesture(self) -> str:
        return f"curve:{next(self._gestures)}"

    def _choose(self, at: int | None) -> None:
        if at != self.current:
            self.current = at
            self.setAccessibleDescription(self.told)
            self.chosen.emit()
            self.update()

    def _move(self, x: float, y: float) -> None:
        assert self.curves is not None and self.current is not None
        points = moved_point(self.curves.points, self.current, x, y)
        if points != self.curves.points:
            self.moved.emit(points, self._gesture)
