"""A chooser: the card that a phrase of the sentence opens.

It is made from the settings table: the rows that belong to the phrase say which controls stand in
it. What is moved to or typed is *considered* at once, so that the print shows it; Enter or a click
chooses, Escape goes back to what was, and a click elsewhere keeps what is seen. What makes no
sense is refused here, and the card stays open.
"""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QEvent, QPoint, QRect, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QApplication,
    QFrame,
    QHBoxLayout,
    QLabel,
    QRadioButton,
    QVBoxLayout,
    QWidget,
)

from app import theme
from app.panels.button import Button
from app.panels.choice_list import ChoiceList
from app.panels.choices import Notes, choices, reader
from app.panels.fields import (
    Options,
    SizeField,
    Switch,
    TextField,
    TypedField,
    advice_of,
    quiet_label,
)
from app.panels.why_card import WhyButton
from app.state import ROWS, SETTINGS, Row, State, print_size_mm
from app.state.lamp import with_usual_lamp
from app.whys import why
from proofing.errors import SettingError
from proofing.language import mark, tr

CARD_WIDTH = 460
WIDE_CARD = 590  # with drawings
_WIDE_FROM = 1200  # width of the window: so that the print stays in sight
_DRAWN_FROM = 1000  # below it no drawings; above, small ones in a card of half the window
_DRAWN = ("stock", "light")
_EDGE = 3 * theme.SPACE // 2
_LIST_HEIGHT = 520
_SOME_ROWS = 90
_MORE_FROM = 430  # height from which on there is room for more about a row
_FRAME = 2  # of the list: a pixel above and below its rows
_FILES = {
    "stock": mark("From a profile or record file…"),
    "screen_profile": mark("From a profile file…"),
}
_GAP = 6  # between the phrase and its card


def phrase_of(field: str) -> str:
    """The phrase whose chooser holds a setting."""
    return SETTINGS[field].phrase


def card_width(window_width: int) -> int:
    """Of a card that may have drawings: it has room beside the print, in the left half."""
    if window_width >= _WIDE_FROM:
        return WIDE_CARD
    return window_width // 2 - 2 * _GAP if window_width >= _DRAWN_FROM else CARD_WIDTH


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
        self._values: dict[str, Any] = {}
        self.list: ChoiceList | None = None
        self.fields: dict[str, QWidget] = {}
        self.state = state
        self._stand: tuple[QRect, QRect] | None = None
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(_EDGE, _EDGE, _EDGE, _EDGE)
        self._column.setSpacing(theme.SPACE)
        rows = [row for row in ROWS if row.phrase == self.phrase]
        title = QLabel(tr(rows[0].title))
        title.setFont(theme.font(theme.BODY_PX, strong=True))
        head = QHBoxLayout()
        head.addWidget(title, 1)
        if why(rows[0].id) is not None and rows[0].kind not in ("number", "illuminance"):
            head.addWidget(WhyButton(rows[0].id))
        self._column.addLayout(head)
        self.setAccessibleName(tr(rows[0].title))
        self.setAccessibleDescription(tr(rows[0].sentence))
        self._width = card_width(parent.width()) if self.list_field in _DRAWN else CARD_WIDTH
        self.setFixedWidth(self._width)
        for row in rows:
            self._add(row, notes)
        if self.phrase in _FILES:
            button = Button(tr(_FILES[self.phrase]))
            button.setAutoDefault(False)
            button.clicked.connect(lambda: self.file_wanted.emit(self.phrase))
            self._column.addWidget(button)
        self._first: QWidget = self.fields.get(field) or self.list or self
        if self._first is self:
            self._column.addWidget(quiet_label(tr("The list is still being read.")))
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
        typed = row.kind in ("number", "illuminance", "shape", "curve")
        if typed:
            field = TextField(row, value, reader(row, self.state))
            field.typed.connect(lambda text, row=row: self._find(row, text))
            self._add_field(row, field)
        elif row.kind == "size" and self.state.facts.picture is not None:
            picture = self.state.facts.picture
            size = print_size_mm(self.state.setting, self.state.facts)
            self._add_field(
                row,
                SizeField(
                    row, size, (picture.width_px, picture.height_px), inches=self.state.facts.inches
                ),
            )
        elif row.kind == "switch":
            switch = Switch(row, value)
            switch.considered.connect(lambda on, id=row.id: self._consider(id, on))
            self.fields[row.id] = switch
            self._column.addWidget(switch)
        elif row.kind == "choice" and row.id != self.list_field:
            options = Options(row, value)
            options.considered.connect(lambda value, id=row.id: self._consider(id, value))
            self.fields[row.id] = options
            self._column.addWidget(options)
        listed = choices(row.id, self.state, notes)
        if listed:
            self._add_list(row, listed, value)

    def _add_field(self, row: Row, field: TypedField) -> None:
        field.considered.connect(lambda value, id=row.id: self._consider(id, value))
        field.refused.connect(lambda id=row.id: self._go_back(id))
        field.accepted.connect(self.accept)
        field.left_downward.connect(lambda id=row.id: self._enter_list(id))
        self.fields[row.id] = field
        self._column.addWidget(field)

    def _add_list(self, row: Row, listed: tuple[Any, ...], value: Any) -> None:
        made = ChoiceList(
            tr(row.title),
            listed,
            value,
            findable=row.id not in self.fields,
            width=self._width - 2 * _EDGE,
        )
        made.considered.connect(lambda value, id=row.id: self._consider(id, value, listed=True))
        made.accepted.connect(lambda value, id=row.id: self._accept_value(id, value))
        self.list = made
        self._column.addWidget(made)
        self._fit_list()
        made.filled.connect(self._refit)

    def show_notes(self, notes: Notes) -> None:
        """More is known about the rows."""
        if self.list is not None:
            listed = choices(self.list_field, self.state, notes)
            self.list.show_choices(listed)

    @property
    def list_field(self) -> str:
        """The setting that the list sets: the first of the phrase."""
        return next(row.id for row in ROWS if row.phrase == self.phrase)

    # ---- choosing

    @property
    def values(self) -> dict[str, Any]:
        """What is considered so far, with what comes along."""
        return with_usual_lamp(self.state.setting, self._values, self.state.facts)

    def _consider(self, id: str, value: Any, *, listed: bool = False) -> None:
        self._values[id] = value
        field = self.fields.get(id)
        if listed and isinstance(field, TextField | SizeField):
            field.show_value(value)
        elif not listed and self.list is not None and id == self.list_field:
            self.list.show_value(value)
        self.considered.emit(self.values)

    def _go_back(self, id: str) -> None:
        """What is typed cannot be used: what was holds again."""
        self._values.pop(id, None)
        self.considered.emit(self.values)

    def _find(self, row: Row, text: str) -> None:
        """Words typed into a field are looked up in its list."""
        if self.list is not None and row.kind == "illuminance":
            self.list.narrow(text if any(letter.isalpha() for letter in text) else "")

    def _enter_list(self, id: str) -> None:
        if self.list is not None and id == self.list_field:
            self.list.enter()

    def _accept_value(self, id: str, value: Any) -> None:
        self._consider(id, value, listed=True)
        self.accept()

    def accept(self) -> None:
        """Choose what is considered, unless something typed makes no sense."""
        typed = [field for field in self.fields.values() if isinstance(field, TypedField)]
        if not all(field.settles() for field in typed):
            return
        try:
            self.state.setting.change(**self.values)
        except SettingError as error:  # two settings that do not go together
            field = self.fields.get(error.field)
            if isinstance(field, TypedField):
                field.refuse(advice_of(error))
                return
        self.accepted.emit(self.values)

    def focusNextPrevChild(self, forward: bool) -> bool:
        """Tab stays in the card; Enter, Escape or a click leaves it."""
        stops = self._stops()
        now = QApplication.focusWidget()
        at = stops.index(now) if now in stops else -1
        if stops:
            reason = Qt.FocusReason.TabFocusReason if forward else Qt.FocusReason.BacktabFocusReason
            stops[(at + (1 if forward else -1)) % len(stops)].setFocus(reason)
        return True

    def _stops(self) -> list[QWidget]:
        """What the keyboard can reach, in the order of reading; of options the chosen one."""
        stops = []
        widget = self.nextInFocusChain()
        while widget is not None and widget is not self:
            reached = widget.focusPolicy() & Qt.FocusPolicy.TabFocus and widget.isVisible()
            passed_over = isinstance(widget, QRadioButton) and not widget.isChecked()
            if reached and not passed_over and self.isAncestorOf(widget):
                stops.append(widget)
            widget = widget.nextInFocusChain()
        return stops

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.dismissed.emit()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.accept()
        else:
            super().keyPressEvent(event)

    # ---- place

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.LayoutRequest:
            self._refit()  # a line has come or gone
        return super().event(event)

    def _refit(self) -> None:
        if self._stand is not None:
            self.stand_by(*self._stand)

    def _fit_list(self, room: int = _LIST_HEIGHT) -> None:
        """The list is as high as its rows, or has some of them in a room that is small."""
        if self.list is not None:
            most = min(_LIST_HEIGHT, max(room, _SOME_ROWS)) - _FRAME
            self.list.view.setFixedHeight(self.list.whole_rows(most) + _FRAME)

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
        self._stand = (phrase, room)
        self._settle()
        above, below = phrase.top() - room.top(), room.bottom() - phrase.bottom()
        spare = max(above, below) - _GAP
        if self.list is not None:
            self.list.tell_more(spare >= _MORE_FROM)
        if self.list is not None and self.list.view.isVisibleTo(self):
            self._fit_list(spare - (self.height() - self.list.view.height()))
            self._settle()
        beside = room.center().x() - self.width()  # leaves the right half of the window free
        x = phrase.left()
        if beside + self.width() > phrase.left():
            x = min(x, beside)
        x = max(min(x, room.right() - self.width()), room.left())
        y = phrase.top() - self.height() - _GAP if above >= below else phrase.bottom() + _GAP
        self.move(QPoint(x, max(y, room.top())))
