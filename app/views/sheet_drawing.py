"""The ordered sheet, drawn: what is cropped of the picture, and what is folded, trimmed or bare."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QLineF, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QBrush,
    QColor,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QTransform,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import theme
from app.state.framing import Framing
from proofing.findings.words import share_in_words
from proofing.language import tr
from proofing.ordering.edges import Edge
from proofing.ordering.layout import Layout
from proofing.ordering.lengths import size_text, width_text

_EDGE = 12.0
_GAP = 28.0
_BELOW = 44.0  # for the words under each drawing
_AWAY = QColor(38, 38, 38, 190)  # over what is not printed
_PAPER = QColor("#f4f4f2")
_BLACK = QColor("#141414")
_STEP = 0.05  # of the play of a crop, by a key


@dataclass(frozen=True)
class Drawn:
    """What is drawn.

    Attributes
    ----------
    picture
        The whole file, small.
    framing, place
        What is printed of it, and where along the picture it lies, 0 to 1.
    sheet
        What lies round it.
    inches
        In which lengths are told.
    """

    picture: QImage
    framing: Framing
    place: float
    sheet: Layout
    inches: bool = False


class SheetDrawing(QWidget):
    """Two drawings: the picture with its crop, and the sheet with its folds and cuts.

    Signals
    -------
    moved : float
        The crop is to lie elsewhere, 0 to 1.
    """

    moved = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.drawn: Drawn | None = None
        self._held: tuple[QPointF, float] | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(QSize(320, 260))
        self.setAccessibleName(tr("The sheet that is ordered"))

    def show_sheet(self, drawn: Drawn | None) -> None:
        """Draw another one; None while there is nothing to draw."""
        self.drawn = drawn
        movable = drawn is not None and drawn.framing.has_play
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus if movable else Qt.FocusPolicy.NoFocus)
        self.setCursor(Qt.CursorShape.OpenHandCursor if movable else Qt.CursorShape.ArrowCursor)
        self.update()

    # ---- where things stand

    def _picture_box(self, drawn: Drawn) -> QRectF:
        """The whole picture, in the upper or left half."""
        width, height = drawn.framing.pixels
        return _fitted(self._halves(drawn)[0], width / height)

    def _sheet_box(self, drawn: Drawn) -> QRectF:
        width, height = drawn.sheet.sheet_mm
        return _fitted(self._halves(drawn)[1], width / height)

    def _halves(self, drawn: Drawn) -> tuple[QRectF, QRectF]:
        room = QRectF(self.rect()).adjusted(_EDGE, _EDGE, -_EDGE, -_EDGE)
        width, height = drawn.framing.pixels
        if room.width() / room.height() > width / height:  # beside each other
            half = (room.width() - _GAP) / 2.0
            first = QRectF(room.left(), room.top(), half, room.height() - _BELOW)
            return first, first.translated(half + _GAP, 0.0)
        half = (room.height() - 2.0 * _BELOW - _GAP / 2.0) / 2.0
        first = QRectF(room.left(), room.top(), room.width(), half)
        return first, first.translated(0.0, half + _BELOW + _GAP / 2.0)

    # ---- drawing

    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        painter = QPainter(self)
        painter.setRenderHints(
            QPainter.RenderHint.Antialiasing | QPainter.RenderHint.SmoothPixmapTransform
        )
        painter.setFont(theme.font(theme.SMALL_PX))
        painter.fillRect(self.rect(), QColor(theme.PANE))
        if self.drawn is not None:
            self._draw_picture(painter, self.drawn)
            self._draw_sheet(painter, self.drawn)
        if self.hasFocus():
            painter.setPen(QPen(self.palette().highlight().color(), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self.rect().adjusted(1, 1, -1, -1))
        painter.end()

    def _draw_picture(self, painter: QPainter, drawn: Drawn) -> None:
        box = self._picture_box(drawn)
        painter.drawImage(box, drawn.picture)
        printed = _placed(drawn.framing.printed, drawn.framing.pixels, box)
        away = QBrush(_AWAY)
        for cut in (
            QRectF(box.topLeft(), QPointF(box.right(), printed.top())),
            QRectF(QPointF(box.left(), printed.bottom()), box.bottomRight()),
            QRectF(QPointF(box.left(), printed.top()), printed.bottomLeft()),
            QRectF(printed.topRight(), QPointF(box.right(), printed.bottom())),
        ):
            painter.fillRect(cut, away)
        if drawn.framing.has_play:
            _frame(painter, printed, Qt.PenStyle.SolidLine)
        if drawn.framing.face != drawn.framing.printed:
            face = _placed(drawn.framing.face, drawn.framing.pixels, box)
            _frame(painter, face, Qt.PenStyle.DashLine)
        lost = drawn.framing.lost_share
        words = tr("The whole picture is printed.")
        if lost > 5e-4:
            words = tr(
                "Cropped: {lost} of the picture is not printed. Drag it, or move it by the arrow "
                "keys.",
                lost=share_in_words(lost),
            )
        self._write(painter, box, words)

    def _draw_sheet(self, painter: QPainter, drawn: Drawn) -> None:
        box, sheet = self._sheet_box(drawn), drawn.sheet
        scale = box.width() / sheet.sheet_mm[0]

        def at(rect: object) -> QRectF:
            left, top = rect.left_mm, rect.top_mm  # type: ignore[attr-defined]
            width, height = rect.width_mm, rect.height_mm  # type: ignore[attr-defined]
            return QRectF(
                box.left() + left * scale, box.top() + top * scale, width * scale, height * scale
            )

        plain = _BLACK if sheet.colour == (0.0, 0.0, 0.0) else _PAPER
        painter.fillRect(box, plain if sheet.edge is Edge.PLAIN and sheet.reach_mm else _PAPER)
        part = QRectF(*_of_image(drawn))
        picture = at(sheet.picture)
        if sheet.edge is Edge.MIRRORED and sheet.reach_mm:
            _tile_mirrored(painter, drawn.picture, part, picture, at(sheet.printed))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.drawImage(picture, drawn.picture, part)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        if sheet.bleed_mm:
            trimmed = QBrush(QColor(theme.TEXT), Qt.BrushStyle.BDiagPattern)
            _between(painter, box, at(sheet.folded), QBrush(_AWAY))
            _between(painter, box, at(sheet.folded), trimmed)
        if sheet.wrap is not None:
            _between(painter, at(sheet.folded), at(sheet.side), QBrush(QColor(38, 38, 38, 110)))
            _frame(painter, at(sheet.side), Qt.PenStyle.DotLine)
            _frame(painter, at(sheet.face), Qt.PenStyle.DashLine)
        painter.setPen(QPen(_BLACK, 1.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(box)
        self._write(painter, box, _sheet_words(sheet, drawn.inches))

    def _write(self, painter: QPainter, box: QRectF, words: str) -> None:
        room = QRectF(box.left(), box.bottom() + 4.0, box.width(), _BELOW)
        wide = QRectF(self.rect())
        room.setWidth(min(max(box.width(), 260.0), wide.right() - _EDGE - room.left()))
        painter.setPen(QColor("#000000"))
        painter.drawText(room, Qt.TextFlag.TextWordWrap, words)

    # ---- moving the crop

    def mousePressEvent(self, event: QMouseEvent) -> None:
        drawn = self.drawn
        if drawn is None or not drawn.framing.has_play:
            return
        if self._picture_box(drawn).contains(event.position()):
            self._held = event.position(), drawn.place
            self.setCursor(Qt.CursorShape.ClosedHandCursor)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        drawn = self.drawn
        if self._held is None or drawn is None:
            return
        start, place = self._held
        play = _play(drawn.framing, self._picture_box(drawn))
        step = QLineF(start, event.position())
        along = step.dx() / play.x() if play.x() else step.dy() / play.y() if play.y() else 0.0
        self.moved.emit(min(max(place + along, 0.0), 1.0))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        del event
        self._held = None
        self.show_sheet(self.drawn)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        drawn = self.drawn
        keys = {
            Qt.Key.Key_Left: -_STEP, Qt.Key.Key_Up: -_STEP,
            Qt.Key.Key_Right: _STEP, Qt.Key.Key_Down: _STEP,
        }  # fmt: skip
        step = keys.get(Qt.Key(event.key()))
        if step is None or drawn is None or not drawn.framing.has_play:
            super().keyPressEvent(event)
            return
        self.moved.emit(min(max(round(drawn.place + step, 3), 0.0), 1.0))


def _sheet_words(sheet: Layout, inches: bool) -> str:
    size = size_text(sheet.sheet_mm, inches)
    if sheet.wrap is not None and sheet.bleed_mm:
        return tr(
            "The sheet, {size}. Dashed: edge of the front; dotted: of the bar. Shaded: turned onto "
            "the back. Hatched: trimmed away.",
            size=size,
        )
    if sheet.wrap is not None:
        return tr(
            "The sheet, {size}. Dashed: edge of the front; from there to the dots {depth} at the "
            "side of the bar. Shaded: turned onto the back.",
            size=size,
            depth=width_text(sheet.wrap.depth_mm, inches),
        )
    if sheet.bleed_mm:
        return tr("The sheet, {size}. Hatched: trimmed away.", size=size)
    return tr("The sheet, {size}.", size=size)


def _fitted(room: QRectF, aspect: float) -> QRectF:
    """The largest box of a shape, in the middle."""
    width = min(room.width(), room.height() * aspect)
    height = width / aspect
    left = room.left() + (room.width() - width) / 2.0
    return QRectF(left, room.top() + (room.height() - height) / 2.0, width, height)


def _placed(px: tuple[int, int, int, int], pixels: tuple[int, int], box: QRectF) -> QRectF:
    scale = box.width() / pixels[0]
    left, top, right, bottom = px
    return QRectF(
        box.left() + left * scale, box.top() + top * scale, (right - left) * scale,
        (bottom - top) * scale,
    )  # fmt: skip


def _of_image(drawn: Drawn) -> tuple[float, float, float, float]:
    """What is printed, in pixels of the small picture."""
    across = drawn.picture.width() / drawn.framing.pixels[0]
    down = drawn.picture.height() / drawn.framing.pixels[1]
    left, top, right, bottom = drawn.framing.printed
    return left * across, top * down, (right - left) * across, (bottom - top) * down


def _play(framing: Framing, box: QRectF) -> QPointF:
    """How far the crop can go, in pixels of the drawing."""
    scale = box.width() / framing.pixels[0]
    left, top, right, bottom = framing.printed
    return QPointF(
        (framing.pixels[0] - (right - left)) * scale, (framing.pixels[1] - (bottom - top)) * scale
    )


def _tile_mirrored(
    painter: QPainter, image: QImage, part: QRectF, picture: QRectF, printed: QRectF
) -> None:
    """The picture turned over at each of its edges, as far as the ink reaches."""
    painter.save()
    painter.setClipRect(printed)
    for across in (-1, 0, 1):
        for down in (-1, 0, 1):
            if not (across or down):
                continue
            turn = QTransform()
            turn.translate(
                2.0 * (picture.right() if across > 0 else picture.left()) if across else 0.0,
                2.0 * (picture.bottom() if down > 0 else picture.top()) if down else 0.0,
            )
            turn.scale(-1.0 if across else 1.0, -1.0 if down else 1.0)
            painter.save()
            painter.setTransform(turn, True)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)  # no seams
            painter.drawImage(picture, image, part)
            painter.restore()
    painter.restore()


def _between(painter: QPainter, outer: QRectF, inner: QRectF, brush: QBrush) -> None:
    """Fill the ring between two boxes."""
    for ring in (
        QRectF(outer.topLeft(), QPointF(outer.right(), inner.top())),
        QRectF(QPointF(outer.left(), inner.bottom()), outer.bottomRight()),
        QRectF(QPointF(outer.left(), inner.top()), inner.bottomLeft()),
        QRectF(inner.topRight(), QPointF(outer.right(), inner.bottom())),
    ):
        painter.fillRect(ring, brush)


def _frame(painter: QPainter, box: QRectF, style: Qt.PenStyle) -> None:
    """A line that shows on light and on dark."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(20, 20, 20, 200), 2.6))
    painter.drawRect(box)
    painter.setPen(QPen(QColor("#ffffff"), 1.2, style))
    painter.drawRect(box)
