"""The sheet: one crop of up to nine prints, moving as one; one can be taken into the sentence."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from app import theme
from app.session import Session
from app.state.sheet import MOST, SheetPrint, grid
from app.views.canvas import Canvas
from app.views.viewport import Viewport
from proofing.language import tr

_GAP = 2
_CLICK = 4.0  # logical pixels that a click may stray and be no drag


class SheetCell(Canvas):
    """One print of the sheet.

    Signals
    -------
    chosen : ()
        By a click, Enter or Space.
    """

    chosen = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__("print", parent)
        self.is_chosen = False
        self._pressed: QPointF | None = None

    def show_chosen(self, is_chosen: bool) -> None:
        """Whether it is the print of the sentence."""
        if is_chosen != self.is_chosen:
            self.is_chosen = is_chosen
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self.is_chosen:
            painter = QPainter(self)
            for colour, inset in (("#202020", 0), ("#f0f0f0", 1)):
                painter.setPen(QPen(QColor(colour), 1))
                painter.drawRect(self.rect().adjusted(inset, inset, -1 - inset, -1 - inset))
            painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        super().mousePressEvent(event)
        if event.button() == Qt.MouseButton.LeftButton:
            self._pressed = event.position()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        super().mouseReleaseEvent(event)
        pressed, self._pressed = self._pressed, None
        if pressed is not None and (event.position() - pressed).manhattanLength() <= _CLICK:
            self.chosen.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.chosen.emit()
        else:
            super().keyPressEvent(event)


class SheetView(QWidget):
    """Lays the prints of :attr:`app.session.Session.sheet` out in a grid.

    Signals
    -------
    gestured : Callable[[Viewport], Viewport]
    pointed : float, float, bool
    left : ()
        As of a single pane.
    """

    gestured = Signal(object)
    pointed = Signal(float, float, bool)
    left = Signal()

    def __init__(self, session: Session, parent: QWidget) -> None:
        super().__init__(parent)
        self._session = session
        self.setAccessibleName(tr("Sheet of prints"))
        self.cells: list[SheetCell] = []
        for number in range(MOST):
            cell = SheetCell(self)
            cell.hide()
            cell.setToolTip(tr("A click, or the digit, takes this print into the sentence."))
            cell.gestured.connect(self.gestured)
            cell.pointed.connect(self._pointer(cell))
            cell.left.connect(self._leave)
            cell.chosen.connect(lambda number=number: self.choose(number))
            self.cells.append(cell)

    def stand(self, shape: float) -> QSize:
        """Lay out the cells; the size of one.

        Parameters
        ----------
        shape
            Width of the picture by its height.
        """
        count = len(self._session.sheet.prints)
        columns, rows = grid(count, self.width(), self.height(), shape)
        across = (self.width() - (columns - 1) * _GAP) // columns
        down = (self.height() - (rows - 1) * _GAP) // rows
        for number, cell in enumerate(self.cells):
            column, row = number % columns, number // columns
            cell.setGeometry(column * (across + _GAP), row * (down + _GAP), across, down)
            cell.setVisible(number < count)
        return QSize(max(across, 1), max(down, 1))

    def _waiting(self, one: SheetPrint) -> str:
        """What is said of a print that is not there."""
        if self._session.sheet.cannot_be(one):
            return tr("cannot be printed")
        return tr("printing…")

    def follow(self, viewport: Viewport | None) -> None:
        """Labels, walls and pixels of every print as they are now."""
        sheet = self._session.sheet
        for number, (cell, one) in enumerate(zip(self.cells, sheet.prints, strict=False), start=1):
            baked = sheet.baked(one)
            waiting = "" if baked is not None else f"   {self._waiting(one)}"
            drawn = tr("   surface drawn, not measured") if self._session.state.view.surface else ""
            cell.show_caption(f"{number}   {one.label}{drawn}{waiting}")
            cell.setAccessibleName(tr("Print {number}: {label}", number=number, label=one.label))
            cell.setAccessibleDescription(
                tr("It is the one in the sentence.") if one.is_chosen else
                tr("Enter takes it into the sentence.")
            )  # fmt: skip
            cell.show_chosen(one.is_chosen)
            cell.show_viewport(viewport)
            if baked is None:
                cell.show_surround(QColor(theme.PANE), None)
            else:
                cell.show_surround(theme.colour(baked.wall_bgr), theme.colour(baked.paper_bgr))
            cell.show_frames(*sheet.frames(one))

    def choose(self, number: int) -> None:
        """Take a print into the sentence, counted from 0; one that is not there changes nothing."""
        prints = self._session.sheet.prints
        if number < len(prints):
            self._session.take_print(prints[number])

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """A digit takes the print of that number."""
        digit = event.key() - Qt.Key.Key_1
        if 0 <= digit < MOST and not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
            self.choose(digit)
        else:
            super().keyPressEvent(event)

    def _pointer(self, cell: SheetCell) -> Callable[[float, float, bool], None]:
        def pointed(x: float, y: float, from_keys: bool) -> None:
            for other in self.cells:
                other.show_cross((x, y) if from_keys or other is not cell else None)
            self.pointed.emit(x, y, from_keys)

        return pointed

    def _leave(self) -> None:
        for cell in self.cells:
            cell.show_cross(None)
        self.left.emit()
