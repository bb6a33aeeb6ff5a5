"""A chooser: the card that a phrase of the sentence opens.

It is made from the settings table: the rows that belong to the phrase say which controls stand in
it. What is moved to or typed is *considered* at once, so that the print shows it; Enter or a click
chooses, Escape goes back to what was, and a click elsewhere keeps what is seen.
"""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QPoint, QRect, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QLabel, QPushButton, QVBoxLayout, QWidget

from app import theme
from app.panels.choice_list import ChoiceList
from app.panels.choices import Notes, choices
from app.panels.fields import SizeField, Switch, TextField, quiet_label
from app.state import ROWS, SETTINGS, Row, State, print_size_mm

CARD_WIDTH = 460
_LIST_HEIGHT = 520
_FILES = {
    "stock": "From a profile or record file…",
    "screen_profile": "From a profile file…",
}
_GAP = 6  # between the phrase and its card


def phrase_of(field: str) -> str:
    """The phrase whose chooser holds a setting."""
    return SETTINGS[field].phrase


class Chooser(QFrame):
    """The card.

    Signals
    -------
    considered : dict
        Values to show without choosing them.
    accepted : dict
        Values chosen; the chooser is done.
    dismissed : ()
        Nothing chosen; the chooser is done.
    file_wanted : str
        The setting is to come from a file.
    """

    considered = Signal(object)
    accepted = Signal(object)
    dismissed = Signal()
    file_wanted = Signal(str)

    def __init__(self, field: str, state: State, notes: Notes, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self.phrase = phrase_of(field)
        self.values: dict[str, Any] = {}
        self.list: ChoiceList | None = None
        self.fields: dict[str, QWidget] = {}
        self.state = state
        self._column = QVBoxLayout(self)
        edge = 3 * theme.SPACE // 2
        self._column.setContentsMargins(edge, edge, edge, edge)
        self._column.setSpacing(theme.SPACE)
        rows = [row for row in ROWS if row.phrase == self.phrase]
        title = QLabel(rows[0].title)
        title.setFont(theme.font(theme.BODY_PX, strong=True))
        self._column.addWidget(title)
        self.setAccessibleName(rows[0].title)
        self.setAccessibleDescription(rows[0].sentence)
        self.setFixedWidth(CARD_WIDTH)
        for row in rows:
            self._add(row, notes)
        if self.phrase in _FILES:
            button = QPushButton(_FILES[self.phrase])
            button.setAutoDefault(False)
            button.clicked.connect(lambda: self.file_wanted.emit(self.phrase))
            self._column.addWidget(button)
        self._first: QWidget = self.fields.get(field) or self.list or self
        if self._first is self:
            self._column.addWidget(quiet_label("The list is still being read."))
            self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def take_focus(self) -> None:
        """Put the keyboard into the control asked for."""
        self._first.setFocus(Qt.FocusReason.PopupFocusReason)
        inner = self._first.focusProxy()
        if isinstance(self._first, TextField):
            self._first.edit.selectAll()
        elif isinstance(self._first, SizeField):
            self._first.width_edit.selectAll()
        elif inner is not None:
            inner.setFocus(Qt.FocusReason.PopupFocusReason)

    # ---- controls

    def _add(self, row: Row, notes: Notes) -> None:
        value = getattr(self.state.setting, row.id)
        typed = row.kind in ("number", "illuminance")
        if typed:
            self._add_field(row, TextField(row, value))
        elif row.kind == "size" and self.state.facts.picture is not None:
            picture = self.state.facts.picture
            size = print_size_mm(self.state.setting, self.state.facts)
            self._add_field(row, SizeField(row, size, (picture.width_px, picture.height_px)))
        elif row.kind == "switch":
            switch = Switch(row, value)
            switch.considered.connect(lambda on, id=row.id: self._consider(id, on))
            self.fields[row.id] = switch
            self._column.addWidget(switch)
        listed = choices(row.id, self.state, notes)
        if listed:
            self._add_list(row, listed, value)

    def _add_field(self, row: Row, field: TextField | SizeField) -> None:
        field.considered.connect(lambda value, id=row.id: self._consider(id, value))
        field.accepted.connect(self.accept)
        self.fields[row.id] = field
        self._column.addWidget(field)

    def _add_list(self, row: Row, listed: tuple[Any, ...], value: Any) -> None:
        made = ChoiceList(row.title, listed, value, findable=row.id not in self.fields)
        made.considered.connect(lambda value, id=row.id: self._consider(id, value, listed=True))
        made.accepted.connect(lambda value, id=row.id: self._accept_value(id, value))
        made.view.setFixedHeight(min(made.content_height() + 4, _LIST_HEIGHT))
        self.list = made
        self._column.addWidget(made)

    def show_notes(self, notes: Notes) -> None:
        """More is known about the rows."""
        if self.list is not None:
            listed = choices(self.list_field, self.state, notes)
            self.list.show_choices(listed)
            self.list.view.setFixedHeight(min(self.list.content_height() + 4, _LIST_HEIGHT))

    @property
    def list_field(self) -> str:
        """The setting that the list sets: the first of the phrase."""
        return next(row.id for row in ROWS if row.phrase == self.phrase)

    # ---- choosing

    def _consider(self, id: str, value: Any, *, listed: bool = False) -> None:
        self.values[id] = value
        field = self.fields.get(id)
        if listed and isinstance(field, TextField | SizeField):
            field.show_value(value)
        elif not listed and self.list is not None and id == self.list_field:
            self.list.show_value(value)
        self.considered.emit(dict(self.values))

    def _accept_value(self, id: str, value: Any) -> None:
        self.values[id] = value
        self.accept()

    def accept(self) -> None:
        """Choose what is considered."""
        self.accepted.emit(dict(self.values))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.dismissed.emit()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.accept()
        else:
            super().keyPressEvent(event)

    # ---- place

    def _settle(self) -> None:
        """Take the size that the controls want now; layouts would do it an event later."""
        inner = None if self.list is None else self.list.layout()
        if inner is not None:
            inner.activate()
        self._column.activate()
        height = self._column.totalSizeHint().height()
        if self._column.hasHeightForWidth():
            height = self._column.totalHeightForWidth(self.width())
        self.resize(self.width(), height)

    def stand_by(self, phrase: QRect, room: QRect) -> None:
        """Stand above the phrase, or below it where there is more room, inside ``room``.

        Over the photograph where it still touches its phrase, so that the print stays in sight.
        """
        self._settle()
        above, below = phrase.top() - room.top(), room.bottom() - phrase.bottom()
        spare = max(above, below) - _GAP
        if self.list is not None and self.height() > spare:
            less = self.list.view.height() - (self.height() - spare)
            self.list.view.setFixedHeight(max(less, 90))
            self._settle()
        beside = room.center().x() - self.width()  # leaves the right half of the window free
        x = phrase.left()
        if beside + self.width() > phrase.left():
            x = min(x, beside)
        x = max(min(x, room.right() - self.width()), room.left())
        y = phrase.top() - self.height() - _GAP if above >= below else phrase.bottom() + _GAP
        self.move(QPoint(x, max(y, room.top())))
