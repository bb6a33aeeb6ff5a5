"""Paints the small drawings of the choosers, in greys but for the papers' own white and black."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

from app import theme
from app.drawings import Drawing, LightDrawing, Points, StockDrawing

REACH = 110.0
"""a*, b* at the edge of a gamut's drawing: one scale for all, sRGB just in it (b* to -107)."""


_LARGEST = 60
_ROOMY = 110  # width of a drawing from which on its parts stand apart


def draw(painter: QPainter, place: QRect, drawing: Drawing) -> None:
    """Draw into a rectangle."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if isinstance(drawing, StockDrawing):
        _draw_stock(painter, place, drawing)
    else:
        _draw_light(painter, place, drawing)
    painter.restore()


def _draw_stock(painter: QPainter, place: QRect, drawing: StockDrawing) -> None:
    """White above black at the left; the outline of the gamut at the right."""
    roomy = place.width() >= _ROOMY
    gap = 14 if roomy else 8
    side = min(place.height(), _LARGEST if roomy else place.width() // 2 + 4)
    top = place.top() + (place.height() - side) // 2
    half = (side - 8) // 2
    wide = 52 if roomy else 24
    swatch = QRect(place.right() - side - gap - wide, top + 4, wide, half)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.fillRect(swatch, QColor(*drawing.white_RGB))
    painter.fillRect(swatch.translated(0, half), QColor(*drawing.black_RGB))
    painter.setPen(QPen(QColor(theme.LINE), 1))
    painter.drawRect(swatch.adjusted(0, 0, -1, half - 1))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    box = QRectF(place.right() - side, top, side, side)
    middle, scale = box.center(), side / 2 / REACH
    painter.setPen(QPen(QColor(theme.FAINT), 0.7))
    painter.drawLine(QPointF(box.left(), middle.y()), QPointF(box.right(), middle.y()))
    painter.drawLine(QPointF(middle.x(), box.top()), QPointF(middle.x(), box.bottom()))
    own = _polygon(drawing.outline, middle, scale)
    painter.setPen(QPen(QColor(theme.TEXT), 1.4))
    painter.setBrush(QColor(255, 255, 255, 38))
    painter.drawPolygon(own)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    dashed = QPen(QColor(theme.FAINT), 1.0)
    dashed.setDashPattern([2.5, 2.5])
    painter.setPen(dashed)
    painter.drawPolygon(_polygon(drawing.reference, middle, scale))


def _polygon(points: Points, middle: QPointF, scale: float) -> QPolygonF:
    return QPolygonF([middle + QPointF(a * scale, -b * scale) for a, b in points])


def _draw_light(painter: QPainter, place: QRect, drawing: LightDrawing) -> None:
    """The spectrum, short waves at the left."""
    first, last = drawing.nm[0], drawing.nm[-1]
    base = float(place.bottom() - 2)
    height = place.height() - 8.0

    def at(nm: float, power: float) -> QPointF:
        across = (nm - first) / (last - first)
        return QPointF(place.left() + across * place.width(), base - power * height)

    path = QPainterPath(at(first, 0.0))
    for nm, power in zip(drawing.nm, drawing.power, strict=True):
        path.lineTo(at(nm, power))
    path.lineTo(at(last, 0.0))
    painter.fillPath(path, QColor(255, 255, 255, 60))
    painter.strokePath(path, QPen(QColor(theme.TEXT), 1.2))
    painter.setPen(QPen(QColor(theme.LINE), 1))
    painter.drawLine(at(first, 0.0), at(last, 0.0))
