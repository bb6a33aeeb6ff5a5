"""A list to choose from: a filter line, and rows that say in a line or two what they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import (
    QEvent,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QRect,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPen, QStandardItem, QStandardItemModel
from PySide6.QtWidgets import (
    QAbstractItemView,
    QLineEdit,
    QListView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from app import theme

FILTER_FROM = 5
"""Lists of this many rows and more have a line to type a filter into."""

_CHOICE = Qt.ItemDataRole.UserRole
_NOW = Qt.ItemDataRole.UserRole + 1
_TOP, _LINE, _NAME_LINE, _LEFT, _RIGHT = 7, 17, 19, 26, 12
_MOVES = (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown)


@dataclass(frozen=True)
class Choice:
    """A row.

    Attributes
    ----------
    value
        What choosing it sets.
    name
        Its name.
    facts
        Lines of fact or explanation below the name.
    tag
        A word at the right, such as "typical".
    """

    value: Any
    name: str
    facts: tuple[str, ...] = ()
    tag: str = ""

    def matches(self, text: str) -> bool:
        """Whether every word typed is somewhere in the row."""
        row = " ".join((self.name, *self.facts, self.tag)).casefold()
        return all(word in row for word in text.casefold().split())


class _Rows(QStyledItemDelegate):
    """Draws a row: name and tag, facts below."""

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        choice: Choice = index.data(_CHOICE)
        return QSize(200, 2 * _TOP + _NAME_LINE + _LINE * len(choice.facts))

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        choice: Choice = index.data(_CHOICE)
        box: QRect = option.rect
        state = option.state
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        if state & QStyle.StateFlag.State_Selected:
            painter.setBrush(QColor(theme.CHOSEN))
            painter.drawRoundedRect(box.adjusted(4, 1, -4, -1), 4, 4)
        elif state & QStyle.StateFlag.State_MouseOver:
            painter.setBrush(QColor("#3f3f3f"))
            painter.drawRoundedRect(box.adjusted(4, 1, -4, -1), 4, 4)
        if index.data(_NOW):
            painter.setBrush(QColor(theme.TEXT))
            painter.drawEllipse(box.left() + 13, box.top() + _TOP + _NAME_LINE // 2 - 3, 5, 5)
        line = QRect(box.left() + _LEFT, box.top() + _TOP, box.width() - _LEFT - _RIGHT, _NAME_LINE)
        if choice.tag:
            line.setRight(self._tag(painter, line, choice.tag) - theme.SPACE)
        self._text(painter, line, choice.name, strong=True)
        for number, fact in enumerate(choice.facts):
            below = QRect(line.left(), line.bottom() + 1 + number * _LINE, 0, _LINE)
            below.setRight(box.right() - _RIGHT)
            self._text(painter, below, fact, strong=False)
        painter.restore()

    @staticmethod
    def _text(painter: QPainter, box: QRect, text: str, *, strong: bool) -> None:
        size = theme.BODY_PX if strong else theme.SMALL_PX
        painter.setFont(theme.font(size, strong=strong, tabular=not strong))
        painter.setPen(QColor(theme.TEXT if strong else "#dcdcdc"))
        fitted = painter.fontMetrics().elidedText(text, Qt.TextElideMode.ElideRight, box.width())
        painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, fitted)

    @staticmethod
    def _tag(painter: QPainter, line: QRect, tag: str) -> int:
        """Draws the tag; returns its left edge."""
        painter.setFont(theme.font(11))
        width = painter.fontMetrics().horizontalAdvance(tag) + 14
        pill = QRect(line.right() - width, line.top() + 1, width, 17)
        painter.setPen(QPen(QColor(theme.FAINT), 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(pill, 8, 8)
        painter.setPen(QColor("#dcdcdc"))
        painter.drawText(pill, Qt.AlignmentFlag.AlignCenter, tag)
        return pill.left()


class ChoiceList(QWidget):
    """Rows, and above longer lists a filter line.

    Signals
    -------
    considered : object
        The value of the row moved to.
    accepted : object
        The value of the row chosen with Enter or a click.
    """

    considered = Signal(object)
    accepted = Signal(object)

    def __init__(
        self,
        title: str,
        choices: Sequence[Choice],
        now: Any,
        *,
        findable: bool = True,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        has_filter = findable and len(choices) >= FILTER_FROM
        self._choices = tuple(choices)
        self._now = now
        self._quiet = False
        self._model = QStandardItemModel(self)
        self.filter = QLineEdit()
        self.filter.setPlaceholderText("Type to find")
        self.filter.setAccessibleName(f"Find a {title.lower()}")
        self.filter.textChanged.connect(self._fill)
        self.filter.installEventFilter(self)
        self.view = QListView()
        self.view.setModel(self._model)
        self.view.setItemDelegate(_Rows(self.view))
        self.view.setAccessibleName(title)
        self.view.setMouseTracking(True)
        self.view.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.view.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.view.clicked.connect(self._accept)
        self.view.installEventFilter(self)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.SPACE // 2)
        column.addWidget(self.filter)
        column.addWidget(self.view)
        self.filter.setHidden(not has_filter)  # only now: without a parent it would be a window
        self.setFocusProxy(self.filter if has_filter else self.view)
        self._fill("")
        self.view.selectionModel().currentChanged.connect(self._consider)

    def content_height(self) -> int:
        """Height of all rows together."""
        delegate = self.view.itemDelegate()
        rows = range(self._model.rowCount())
        option = QStyleOptionViewItem()
        return sum(delegate.sizeHint(option, self._model.index(row, 0)).height() for row in rows)

    def show_choices(self, choices: Sequence[Choice]) -> None:
        """The same list with more known about its rows."""
        if tuple(choices) != self._choices:
            value = self.value()
            self._choices = tuple(choices)
            self._fill(self.filter.text(), value)

    def value(self) -> Any:
        """The value of the current row, or None."""
        choice = self.view.currentIndex().data(_CHOICE)
        return None if choice is None else choice.value

    def show_value(self, value: Any) -> None:
        """Move to the row of a value that was set elsewhere, or to none."""
        self._quiet = True
        self.view.setCurrentIndex(QModelIndex())
        for row in range(self._model.rowCount()):
            index = self._model.index(row, 0)
            if index.data(_CHOICE).value == value:
                self.view.setCurrentIndex(index)
        self._quiet = False

    def _fill(self, text: str, value: Any = None) -> None:
        wanted = self._now if value is None else value
        self._quiet = not text or value is not None
        self._model.clear()
        row = 0 if text else -1  # what is not in the list is no row of it
        for choice in self._choices:
            if not choice.matches(text):
                continue
            item = QStandardItem(choice.name)
            item.setData(choice, _CHOICE)
            item.setData(choice.value == self._now, _NOW)
            about = ", ".join(part for part in (choice.tag, *choice.facts) if part)
            item.setAccessibleText(choice.name)
            item.setAccessibleDescription(about)
            self._model.appendRow(item)
            if choice.value == wanted and not (text and value is None):
                row = self._model.rowCount() - 1
        self.view.setCurrentIndex(self._model.index(row, 0))
        self._quiet = False

    def _consider(self, index: QModelIndex, before: QModelIndex) -> None:
        if not self._quiet and index.isValid():
            self.considered.emit(index.data(_CHOICE).value)

    def _accept(self, index: QModelIndex) -> None:
        if index.isValid():
            self.accepted.emit(index.data(_CHOICE).value)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                self._accept(self.view.currentIndex())
                return True
            if watched is self.filter and event.key() in _MOVES:
                self.view.keyPressEvent(event)
                return True
        return super().eventFilter(watched, event)
