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
from PySide6.QtGui import (
    QColor,
    QFontMetrics,
    QKeyEvent,
    QPainter,
    QPen,
    QStandardItem,
    QStandardItemModel,
)
from PySide6.QtWidgets import (
    QAbstractItemView,
    QLabel,
    QLineEdit,
    QListView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from app import theme
from app.drawings import Drawing
from app.panels.drawn import draw
from proofing.language import tr

FILTER_FROM = 5
"""Lists of this many rows and more have a line to type a filter into."""

_CHOICE = Qt.ItemDataRole.UserRole
_NOW = Qt.ItemDataRole.UserRole + 1
_TOP, _LINE, _NAME_LINE, _LEFT, _RIGHT = 7, 17, 19, 26, 12
_SCROLL_BAR = 10
_DRAWING_WIDTHS = ((460, 132), (400, 84))
"""Widths of a list's words from which on there is room for a drawing, and for one how wide."""
_ABOUT_DRAWING = 6  # above and below it
_WRAP = Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
_MOVES = (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown)


_MOST_WORDS = 0.5  # of those typed: rows that have so many are shown where none has all
_SMALL_WORDS = frozenset(
    ["a", "an", "the", "of", "to", "in", "on", "with", "for", "and", "or", "my", "two"]
)


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
    also
        Other names it answers to.
    drawing
        What is drawn at the right, None for nothing.
    about
        More of it, said below the list while the row is the current one.
    """

    value: Any
    name: str
    facts: tuple[str, ...] = ()
    tag: str = ""
    also: tuple[str, ...] = ()
    drawing: Drawing | None = None
    about: str = ""

    def is_called(self, text: str) -> bool:
        """Whether this is one of its names in full."""
        return text.casefold() in (name.casefold() for name in (self.name, *self.also))

    def matches(self, text: str) -> bool:
        """Whether every word typed begins one of the row, or of another of its names."""
        return self.likeness(text) == 1.0

    def likeness(self, text: str) -> float:
        """Share of the words typed that begin one of the row; 1 where nothing is typed."""
        words = [word for word in text.casefold().split() if word not in _SMALL_WORDS]
        row = " ".join((self.name, *self.facts, self.tag, *self.also)).casefold()
        return sum(_begins(word, row) for word in words) / len(words) if words else 1.0


def _begins(typed: str, row: str) -> bool:
    """Whether what is typed is where a word, or no word at all, begins in a row.

    >>> _begins("lux", "illuminance (lux)"), _begins("lux", "influx"), _begins("+z", "ctrl+z")
    (True, False, True)
    """
    at = row.find(typed)
    while at >= 0:
        if at == 0 or not (typed[:1].isalnum() and row[at - 1].isalnum()):
            return True
        at = row.find(typed, at + 1)
    return False


_ENOUGH_ROWS = 2  # to choose among without scrolling


class _Rows(QStyledItemDelegate):
    """Draws a row: name and tag, facts below, wrapped to the width of a list."""

    def __init__(self, width: int, parent: QWidget) -> None:
        super().__init__(parent)
        self.compact = False
        self._width = width - _LEFT - _RIGHT - _SCROLL_BAR
        self._drawing = next((w for least, w in _DRAWING_WIDTHS if self._width >= least), 0)

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        choice: Choice = index.data(_CHOICE)
        lines = sum(self._lines(choice, fact) for fact in self._facts(choice))
        return QSize(200, 2 * _TOP + _NAME_LINE + _LINE * lines)

    def _facts(self, choice: Choice) -> tuple[str, ...]:
        return () if self.compact else choice.facts

    def _for_drawing(self, choice: Choice) -> int:
        """Width taken from the facts by a drawing; a narrow list has none."""
        drawn = self._drawing and choice.drawing is not None
        return self._drawing + theme.SPACE if drawn else 0

    def _lines(self, choice: Choice, fact: str) -> int:
        metrics = QFontMetrics(theme.font(theme.SMALL_PX, tabular=True))
        room = QRect(0, 0, self._width - self._for_drawing(choice), 1000)
        return max(1, round(metrics.boundingRect(room, _WRAP, fact).height() / metrics.height()))

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
        if choice.drawing is not None and (taken := self._for_drawing(choice)):
            place = QRect(line.right() - self._drawing, box.top(), self._drawing, box.height())
            draw(painter, place.adjusted(0, _ABOUT_DRAWING, 0, -_ABOUT_DRAWING), choice.drawing)
            line.setRight(line.right() - taken)
        if choice.tag:
            line.setRight(self._tag(painter, line, choice.tag) - theme.SPACE)
        painter.setFont(theme.font(theme.BODY_PX, strong=True))
        painter.setPen(QColor(theme.TEXT))
        middle = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(line, middle, self._fitted(painter, choice.name, line.width()))
        painter.setFont(theme.font(theme.SMALL_PX, tabular=True))
        painter.setPen(QColor("#dcdcdc"))
        top = line.bottom() + 1
        width = self._width - self._for_drawing(choice)
        for fact in self._facts(choice):
            below = QRect(line.left(), top + 1, width, _LINE * self._lines(choice, fact))
            word = fact if " " in fact else self._fitted(painter, fact, width)
            painter.drawText(below, _WRAP, word)
            top += below.height()
        painter.restore()

    @staticmethod
    def _fitted(painter: QPainter, text: str, width: int) -> str:
        return painter.fontMetrics().elidedText(text, Qt.TextElideMode.ElideMiddle, width)

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
    filled : ()
        There are other rows, and so another height.
    """

    considered = Signal(object)
    accepted = Signal(object)
    filled = Signal()

    def __init__(
        self,
        title: str,
        choices: Sequence[Choice],
        now: Any,
        *,
        findable: bool = True,
        width: int = 436,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        has_filter = findable and len(choices) >= FILTER_FROM
        self._choices = tuple(choices)
        self._now = now
        self._quiet = False
        self._model = QStandardItemModel(self)
        self.filter = QLineEdit()
        self.filter.setPlaceholderText(tr("Type to find"))
        self.filter.setAccessibleName(tr("Find a {title}", title=title.lower()))
        self.filter.textChanged.connect(self._filter)
        self.filter.installEventFilter(self)
        self.view = QListView()
        self.view.setModel(self._model)
        self._rows = _Rows(width, self.view)
        self.view.setItemDelegate(self._rows)
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
        self.about = QLabel()
        self.about.setWordWrap(True)
        self.about.setFont(theme.font(theme.SMALL_PX))
        self.about.setProperty("quiet", True)
        self.about.setContentsMargins(theme.SPACE, 2, theme.SPACE, 0)
        self.about.setMinimumHeight(2 * _LINE + 4)
        self._has_more = any(choice.about for choice in choices)
        column.addWidget(self.about)
        self.about.setHidden(not self._has_more)
        self.nothing = QLabel(tr("Nothing by that name."))
        self.nothing.setContentsMargins(theme.SPACE, theme.SPACE // 2, 0, theme.SPACE // 2)
        column.addWidget(self.nothing)
        self.filter.setHidden(not has_filter)  # only now: without a parent it would be a window
        self.setFocusProxy(self.filter if has_filter else self.view)
        self._fill("")
        self.view.selectionModel().currentChanged.connect(self._consider)

    def tell_more(self, wanted: bool) -> None:
        """Whether more is said of the current row below the list; where there is room."""
        self.about.setHidden(not (wanted and self._has_more))

    def whole_rows(self, most: int) -> int:
        """The height of as many first rows as fit into a height, at least of one.

        Where only a few would fit the rows say their names alone, and what there is to know of the
        current one stands below the list.
        """
        was, self._rows.compact = self._rows.compact, False
        shown, height = self._fitting(most)
        if shown < min(_ENOUGH_ROWS, self._model.rowCount()) and self._has_facts:
            self._rows.compact = True
            shown, height = self._fitting(most - self.about.minimumHeight())
        if self._rows.compact:
            self.about.show()
        if was != self._rows.compact:
            self.view.scheduleDelayedItemsLayout()
            self._tell()
        return height

    def _fitting(self, most: int) -> tuple[int, int]:
        option, height = QStyleOptionViewItem(), 0
        for row in range(self._model.rowCount()):
            more = self._rows.sizeHint(option, self._model.index(row, 0)).height()
            if height and height + more > most:
                return row, height
            height += more
        return self._model.rowCount(), height

    @property
    def _has_facts(self) -> bool:
        return any(choice.facts for choice in self._choices)

    def narrow(self, text: str) -> None:
        """Show the rows that match what is typed elsewhere, the first of them current."""
        self._fill(text)

    def enter(self) -> None:
        """Give the keyboard to the rows, one further down than before."""
        row = self.view.currentIndex().row() + 1
        self.view.setFocus(Qt.FocusReason.TabFocusReason)
        if row < self._model.rowCount():
            self.view.setCurrentIndex(self._model.index(row, 0))

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
        self._quiet = True
        self._model.clear()
        row = 0 if text else -1  # what is not in the list is no row of it
        likeness = {choice: choice.likeness(text) for choice in self._choices}
        best = max(likeness.values(), default=0.0)
        least = best if best >= _MOST_WORDS else 1.0  # else nothing is like it
        for choice in self._choices:
            if likeness[choice] < least:
                continue
            item = QStandardItem(choice.name)
            item.setData(choice, _CHOICE)
            item.setData(choice.value == self._now, _NOW)
            drawn = "" if choice.drawing is None else choice.drawing.words
            parts = (choice.tag, *choice.facts, drawn, choice.about)
            about = ", ".join(part for part in parts if part)
            item.setAccessibleText(choice.name)
            item.setAccessibleDescription(about)
            item.setToolTip(choice.about)
            self._model.appendRow(item)
            if choice.value == wanted and not (text and value is None):
                row = self._model.rowCount() - 1
        self.view.setCurrentIndex(self._model.index(row, 0))
        self._quiet = False
        self._tell()
        self.view.setVisible(self._model.rowCount() > 0)
        self.nothing.setVisible(self._model.rowCount() == 0)
        self.filled.emit()

    def _filter(self, text: str) -> None:
        """What is typed leads to the first row that matches; to none, and what was holds again."""
        self._fill(text)
        found = self.view.currentIndex().data(_CHOICE)
        self.considered.emit(self._now if found is None else found.value)

    def _tell(self) -> None:
        """Say more of the current row."""
        choice = self.view.currentIndex().data(_CHOICE)
        more = () if choice is None else (*choice.facts,) if self._rows.compact else (choice.about,)
        self.about.setText("   ".join(more))

    def _consider(self, index: QModelIndex, before: QModelIndex) -> None:
        self._tell()
        if not self._quiet and index.isValid():
            self.considered.emit(index.data(_CHOICE).value)

    def _accept(self, index: QModelIndex) -> None:
        if index.isValid():
            self.accepted.emit(index.data(_CHOICE).value)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            found = self.view.currentIndex().isValid()
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                self._accept(self.view.currentIndex())
                return found or watched is self.filter  # with no row, what is typed elsewhere holds
            if watched is self.filter and event.key() in _MOVES:
                self.view.keyPressEvent(event)
                return True
        return super().eventFilter(watched, event)
