"""One pane: the photograph, or the print on its wall. Draws what it is given, computes nothing.

A raster widget: software OpenGL is slower here than drawing a ``QImage`` over the kernel's own
BGRX bytes. All drawing is in device pixels, so that at 1:1 one pixel of the file is exactly one
pixel of the monitor at any scale factor of the desktop.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QEvent, QPoint, QPointF, QRect, QRectF, QSize, QSizeF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QImage,
    QInputDevice,
    QKeyEvent,
    QMouseEvent,
    QNativeGestureEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QPolygonF,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import theme
from app.views.frame import Frame
from app.views.surface import Overlay
from app.views.viewport import Viewport
from proofing.language import tr

Role = Literal["photograph", "print"]
_NOTCH = 120  # eighths of a degree in one step of a wheel
_STEP = 1.25  # zoom of one such step
_FROM_KEYS = (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason)
_SQUARES_FROM = 2.0  # from this scale on a file pixel is drawn as a square


def image_over(pixels: npt.NDArray[np.uint8], form: QImage.Format) -> QImage:
    """A QImage over the array's own bytes, (H, W, 4); the image keeps the array alive."""
    height, width = pixels.shape[:2]
    return QImage(pixels.data, width, height, pixels.strides[0], form)


class Canvas(QWidget):
    """A pane.

    Signals
    -------
    gestured : Callable[[Viewport], Viewport]
        A pan or a zoom, to be applied to the viewport that both panes share.
    pointed : float, float, bool
        The image point under the pointer, or (True) moved to from the keyboard.
    left : ()
        The pointer has gone.
    """

    gestured = Signal(object)
    pointed = Signal(float, float, bool)
    left = Signal()

    def __init__(self, role: Role, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.role: Role = role
        self.ground = QColor(theme.PANE)
        self.paper: QColor | None = None
        self.caption = ""
        self.caption_at_right = False
        self.viewport_now: Viewport | None = None
        self._pictures: list[tuple[Frame, QImage, QImage | None]] = []
        self._relief: tuple[Overlay, QImage] | None = None
        self._cross: tuple[float, float] | None = None
        self._plates: list[tuple[int, float, float]] = []
        self._pins: tuple[tuple[str, float, float], ...] = ()
        self._outlines: tuple[npt.NDArray[np.float64], ...] = ()
        self.marks_hidden = False
        self._drag: QPointF | None = None
        self._by_keyboard = False
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(tr("Photograph") if role == "photograph" else tr("Print"))

    # ---- what is shown

    def show_frames(self, base: Frame | None, detail: Frame | None) -> None:
        """The whole picture small (``base``) and, over it, the part in sight (``detail``)."""
        self._pictures, self._relief = [], None
        for frame in (base, detail):
            if frame is None:
                continue
            side = frame.photograph if self.role == "photograph" else frame.print
            if side.relief is not None and frame is detail:
                over = image_over(side.relief.bgra, QImage.Format.Format_ARGB32_Premultiplied)
                self._relief = side.relief, over
            marks = None
            if side.marks is not None and frame is detail:
                marks = image_over(side.marks, QImage.Format.Format_ARGB32_Premultiplied)
            self._pictures.append((frame, image_over(side.bgrx, QImage.Format.Format_RGB32), marks))
        self.update()

    def show_viewport(self, viewport: Viewport | None) -> None:
        """Stand where the shared viewport says."""
        self.viewport_now = viewport
        self.update()

    def show_surround(self, ground: QColor, paper: QColor | None) -> None:
        """The wall (or the neutral surround) and the bare paper."""
        self.ground, self.paper = ground, paper
        self.update()

    def show_cross(self, point: tuple[float, float] | None) -> None:
        """Point out an image point with a small cross."""
        if point != self._cross:
            self._cross = point
            self.update()

    def show_places(
        self,
        plates: list[tuple[int, float, float]],
        outlines: tuple[npt.NDArray[np.float64], ...],
    ) -> None:
        """Number places, at image points, and outline one."""
        self._plates, self._outlines = plates, outlines
        self.update()

    def show_pins(self, pins: tuple[tuple[str, float, float], ...]) -> None:
        """Points that stay measured, by letter and image point."""
        if pins != self._pins:
            self._pins = pins
            self.update()

    def hide_marks(self, hidden: bool) -> None:
        """Leave out textures, numbers and outlines."""
        if hidden != self.marks_hidden:
            self.marks_hidden = hidden
            self.update()

    def show_caption(self, text: str) -> None:
        """A few words in the pane's corner."""
        if text != self.caption:
            self.caption = text
            self.update()

    @property
    def cross(self) -> tuple[float, float] | None:
        """The image point pointed out, if any."""
        return self._cross

    def pane_size(self) -> QSize:
        """Size in device pixels."""
        ratio = self.devicePixelRatioF()
        return QSize(round(self.width() * ratio), round(self.height() * ratio))

    # ---- drawing

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        self._to_device_pixels(painter)
        size = self.pane_size()
        painter.fillRect(QRect(QPoint(-1, -1), size + QSize(2, 2)), self.ground)
        view = self.viewport_now
        if view is not None:
            sheet = self._image_rect(view)
            if self.paper is not None:
                margin = round(view.margin * view.scale)
                paper = sheet.adjusted(-margin, -margin, margin, margin)
                painter.fillRect(paper, self.paper)
            if self._pictures:
                painter.save()
                painter.setClipRect(sheet)
                self._draw_pictures(painter, view)
                if not self.marks_hidden:
                    self._draw_outlines(painter, view)
                painter.restore()
                if not self.marks_hidden:
                    self._draw_plates(painter, view)
            self._draw_pins(painter, view)
            if self._cross is not None:
                self._draw_cross(painter, QPointF(*view.to_pane(*self._cross)))
        painter.resetTransform()
        painter.scale(1.0, 1.0)
        self._draw_caption(painter)
        if self.hasFocus() and self._by_keyboard:
            painter.setPen(QColor(theme.FOCUS))
            painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.end()

    def _to_device_pixels(self, painter: QPainter) -> None:
        """Draw in device pixels, on the monitor's own grid at fractional scale factors too."""
        ratio = self.devicePixelRatioF()
        corner = self.mapTo(self.window(), QPoint(0, 0))
        dx = round(corner.x() * ratio) - corner.x() * ratio
        dy = round(corner.y() * ratio) - corner.y() * ratio
        painter.scale(1 / ratio, 1 / ratio)
        painter.translate(dx, dy)

    @staticmethod
    def _image_rect(view: Viewport) -> QRect:
        left, top = view.origin
        return QRect(left, top, round(view.width * view.scale), round(view.height * view.scale))

    def _draw_pictures(self, painter: QPainter, view: Viewport) -> None:
        covered: QRectF | None = None
        targets = [self._target(frame, view) for frame, _, _ in self._pictures]
        if len(targets) > 1:
            covered = targets[-1]
        for (_, image, _), target in zip(self._pictures, targets, strict=True):
            if target is not covered and covered is not None:
                in_sight = QRectF(QPointF(0, 0), self.pane_size().toSizeF())
                if covered.contains(in_sight.intersected(QRectF(self._image_rect(view)))):
                    continue  # nothing of it would be seen
            exact = target.width() == image.width() and target.height() == image.height()
            painter.setRenderHint(
                QPainter.RenderHint.SmoothPixmapTransform,
                not exact and view.scale < _SQUARES_FROM,
            )
            if exact:
                painter.drawImage(target.topLeft().toPoint(), image)
            else:
                painter.drawImage(target, image)
        self._draw_relief(painter, view)
        for frame, _, marks in self._pictures:
            if marks is not None and not self.marks_hidden:
                self._draw_marks(painter, view, frame, marks)

    @staticmethod
    def _target(frame: Frame, view: Viewport) -> QRectF:
        """Where a frame's crop lies in the pane, device pixels."""
        left, top = view.origin
        per_pixel = view.scale * 2.0**frame.spec.level
        x0, y0, x1, y1 = frame.spec.crop
        return QRectF(
            left + x0 * per_pixel,
            top + y0 * per_pixel,
            (x1 - x0) * per_pixel,
            (y1 - y0) * per_pixel,
        )

    def _draw_relief(self, painter: QPainter, view: Viewport) -> None:
        """Over the whole sheet, the margin too; under the marks."""
        if self._relief is None or self.paper is None:
            return
        overlay, image = self._relief
        left, top = view.origin
        u0, v0, u1, v1 = overlay.area
        margin = round(view.margin * view.scale)
        painter.save()
        sheet = self._image_rect(view).adjusted(-margin, -margin, margin, margin)
        painter.setClipRect(sheet, Qt.ClipOperation.ReplaceClip)
        if overlay.scale == view.scale:
            painter.drawImage(QPoint(left + u0, top + v0), image)
        else:
            ratio = view.scale / overlay.scale
            at = QPointF(left + u0 * ratio, top + v0 * ratio)
            painter.drawImage(QRectF(at, QSizeF((u1 - u0) * ratio, (v1 - v0) * ratio)), image)
        painter.restore()

    @staticmethod
    def _draw_marks(painter: QPainter, view: Viewport, frame: Frame, marks: QImage) -> None:
        left, top = view.origin
        u0, v0, _, _ = frame.spec.marks
        if frame.spec.scale == view.scale:
            painter.drawImage(QPoint(left + u0, top + v0), marks)
            return
        ratio = view.scale / frame.spec.scale
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, False)
        painter.drawImage(
            QRectF(
                left + u0 * ratio, top + v0 * ratio, marks.width() * ratio, marks.height() * ratio
            ),
            marks,
        )

    def _draw_outlines(self, painter: QPainter, view: Viewport) -> None:
        """A light line on a dark one about the place that is gone to."""
        if not self._outlines:
            return
        ratio = self.devicePixelRatioF()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        path = QPainterPath()
        for line in self._outlines:
            points = [QPointF(*view.to_pane(float(x), float(y))) for x, y in line]
            path.addPolygon(QPolygonF(points))
        for colour, width in (("#c0202020", 3.5), ("#f0f0f0", 1.5)):
            pen = QPen(QColor(colour), width * ratio)
            pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
            painter.strokePath(path, pen)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)

    def _draw_plates(self, painter: QPainter, view: Viewport) -> None:
        """The numbers of the findings, at the corners of their places."""
        ratio = self.devicePixelRatioF()
        font = theme.font(theme.SMALL_PX, strong=True)
        font.setPixelSize(round(theme.SMALL_PX * ratio))
        painter.setFont(font)
        height = round(16 * ratio)
        taken: list[QRect] = []
        for number, x, y in self._plates:
            text = str(number)
            width = max(height, painter.fontMetrics().horizontalAdvance(text) + round(8 * ratio))
            left, top = view.to_pane(x, y)
            plate = QRect(round(left), round(top), width, height)
            for other in taken:
                if plate.intersects(other):
                    plate.moveLeft(other.right() + 2)
            taken.append(plate)
            painter.fillRect(plate, QColor("#333333"))
            painter.setPen(QColor("#f2f2f2"))
            painter.drawText(plate, Qt.AlignmentFlag.AlignCenter, text)

    def _draw_pins(self, painter: QPainter, view: Viewport) -> None:
        """A ring about the point, and its letter beside it."""
        ratio = self.devicePixelRatioF()
        font = theme.font(theme.SMALL_PX, strong=True)
        font.setPixelSize(round(theme.SMALL_PX * ratio))
        painter.setFont(font)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        for name, x, y in self._pins:
            at = QPointF(*view.to_pane(x + 0.5, y + 0.5))
            for colour, width in (("#202020", 3.0), ("#f0f0f0", 1.2)):
                painter.setPen(QPen(QColor(colour), width * ratio))
                painter.drawEllipse(at, 4.5 * ratio, 4.5 * ratio)
            plate = QRectF(at.x() + 8 * ratio, at.y() - 8 * ratio, 14 * ratio, 16 * ratio)
            painter.fillRect(plate, QColor("#333333"))
            painter.setPen(QColor("#f2f2f2"))
            painter.drawText(plate, Qt.AlignmentFlag.AlignCenter, name)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)

    def _draw_cross(self, painter: QPainter, at: QPointF) -> None:
        ratio = self.devicePixelRatioF()
        inner, outer = 3.0 * ratio, 9.0 * ratio
        painter.save()
        painter.translate(round(at.x()) + 0.5, round(at.y()) + 0.5)
        for colour, width in (("#202020", 3.0 * ratio), ("#f0f0f0", 1.0 * ratio)):
            pen = painter.pen()
            pen.setColor(QColor(colour))
            pen.setWidthF(width)
            pen.setCapStyle(Qt.PenCapStyle.FlatCap)
            painter.setPen(pen)
            for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
                painter.drawLine(QPointF(dx * inner, dy * inner), QPointF(dx * outer, dy * outer))
        painter.restore()

    def _draw_caption(self, painter: QPainter) -> None:
        if not self.caption:
            return
        ground = self.ground.name()
        ink = max(("#000000", "#ffffff"), key=lambda ink: theme.contrast(ink, ground))
        painter.setPen(QColor(ink))
        painter.setFont(theme.font(theme.SMALL_PX))
        box = self.rect().adjusted(2 * theme.SPACE, theme.SPACE, -2 * theme.SPACE, 0)
        text = painter.fontMetrics().elidedText(
            self.caption, Qt.TextElideMode.ElideRight, box.width()
        )
        side = Qt.AlignmentFlag.AlignRight if self.caption_at_right else Qt.AlignmentFlag.AlignLeft
        corner = side | Qt.AlignmentFlag.AlignTop
        plate = painter.boundingRect(box, corner, text)
        painter.fillRect(plate.adjusted(-6, -3, 6, 3), self.ground)  # readable on any picture
        painter.drawText(box, corner, text)

    # ---- gestures

    def _device(self, point: QPointF) -> tuple[float, float]:
        ratio = self.devicePixelRatioF()
        return point.x() * ratio, point.y() * ratio

    def _gesture(self, change: Callable[[Viewport], Viewport]) -> None:
        if self.viewport_now is not None:
            self.gestured.emit(change)

    def _point_at(self, position: QPointF) -> None:
        if self.viewport_now is None:
            return
        x, y = self.viewport_now.to_image(*self._device(position))
        if self.viewport_now.contains(x, y):
            self.pointed.emit(x, y, False)
        else:
            self.left.emit()

    def wheelEvent(self, event: QWheelEvent) -> None:
        pad = event.device().type() == QInputDevice.DeviceType.TouchPad
        if pad and not event.modifiers() and not event.pixelDelta().isNull():
            ratio = self.devicePixelRatioF()
            delta = event.pixelDelta()
            self._gesture(lambda view: view.panned(delta.x() * ratio, delta.y() * ratio))
        else:
            at = self._device(event.position())
            factor = _STEP ** (event.angleDelta().y() / _NOTCH)
            self._gesture(lambda view: view.zoomed(factor, at))
        self._point_at(event.position())
        event.accept()

    def event(self, event: QEvent) -> bool:
        if (
            isinstance(event, QNativeGestureEvent)
            and event.gestureType() == Qt.NativeGestureType.ZoomNativeGesture
        ):
            at = self._device(event.position())
            factor = 1.0 + event.value()
            self._gesture(lambda view: view.zoomed(factor, at))
            return True
        return super().event(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() in (Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton):
            self._drag = event.position()
            self.setCursor(Qt.CursorShape.ClosedHandCursor)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._drag is not None:
            before, now = self._device(self._drag), self._device(event.position())
            self._drag = event.position()
            self._gesture(lambda view: view.panned(now[0] - before[0], now[1] - before[1]))
        self._point_at(event.position())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._drag = None
        self.unsetCursor()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Between the whole print and 1:1 at the point."""
        at = self._device(event.position())
        self._gesture(lambda view: view.at_scale(1.0, at) if view.fitted else view.fit())

    def leaveEvent(self, event: QEvent) -> None:
        self.left.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows move the pictures; with Shift, the probe by one monitor pixel."""
        steps = {
            Qt.Key.Key_Left: (-1, 0),
            Qt.Key.Key_Right: (1, 0),
            Qt.Key.Key_Up: (0, -1),
            Qt.Key.Key_Down: (0, 1),
        }
        step = steps.get(Qt.Key(event.key()))
        view = self.viewport_now
        if step is None or view is None:
            super().keyPressEvent(event)
            return
        dx, dy = step
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            x, y = self._cross or (view.centre_x, view.centre_y)
            x = min(max(x + dx / view.scale, 0.0), view.width - 1.0)
            y = min(max(y + dy / view.scale, 0.0), view.height - 1.0)
            self.pointed.emit(x, y, True)
        else:
            size = self.pane_size()
            move = (-dx * size.width() * 0.1, -dy * size.height() * 0.1)
            self._gesture(lambda now: now.panned(*move))

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._by_keyboard = event.reason() in _FROM_KEYS
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()
