"""Fields of a chooser: a number with its unit, a size, a switch, a few options. Each row of the
settings table says how its text is read and written; nothing here knows a unit."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QRadioButton,
    QWidget,
)

from app import theme
from app.panels.choices import ppi_text
from app.panels.why_card import WhyButton
from app.state import Row
from app.state.lengths import side_mm, side_text, size_text, unit_of
from app.state.table import not_a_number
from app.whys import why
from proofing.errors import SettingError
from proofing.language import tr

_INTO_LIST = (Qt.Key.Key_Down, Qt.Key.Key_PageDown)


def quiet_label(text: str) -> QLabel:
    """A line of secondary text that wraps."""
    label = QLabel(text)
    label.setProperty("quiet", True)
    label.setWordWrap(True)
    label.setFont(theme.font(theme.SMALL_PX))
    return label


def advice_of(error: SettingError) -> str:
    """The advice of an error without the name of the field, which stands above it already.

    >>> advice_of(SettingError("illuminance", 0, "choose from 1 to 100000 lx"))
    'Choose from 1 to 100000 lx'
    """
    return error.message[:1].upper() + error.message[1:]


class TypedField(QWidget):
    """What is typed: a line below explains the setting, or says why a text cannot be used.

    Signals
    -------
    considered : object
        A value that can be used, while it is typed.
    refused : ()
        What is typed cannot be used: the value from before holds.
    accepted : ()
        Enter was pressed.
    left_downward : ()
        A key that goes on into a list below.
    """

    considered = Signal(object)
    refused = Signal()
    accepted = Signal()
    left_downward = Signal()

    def __init__(self, row: Row, kept: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.row = row
        self._kept = kept  # the value that holds when another is refused, in words
        self._told = quiet_label(tr(row.sentence))
        self._problem = ""
        self._edits: list[QLineEdit] = []

    def _listen(self, edit: QLineEdit) -> None:
        edit.returnPressed.connect(self.accepted)
        edit.installEventFilter(self)
        self._edits.append(edit)

    @property
    def told(self) -> str:
        """What the line below says."""
        return self._told.text()

    def settles(self) -> bool:
        """Whether what is typed can be chosen; if not, that is said so that it is seen."""
        if self._problem:
            self.refuse(self._problem)
        return not self._problem

    def refuse(self, problem: str) -> None:
        """Say strongly why the value is not taken, and put the keyboard there."""
        self._told.setText(tr("{problem}. {kept} is kept.", problem=problem, kept=self._kept))
        self._mark(True)
        edit = self.focusProxy()
        if isinstance(edit, QLineEdit):
            edit.setFocus(Qt.FocusReason.OtherFocusReason)
            edit.selectAll()

    def _take(self, read: Callable[[], Any]) -> Any:
        """A value read from what is typed, or None where it cannot be used."""
        self._mark(False)
        try:
            value = read()
        except SettingError as error:
            self._problem = advice_of(error)
            self._told.setText(self._problem)
            self.refused.emit()
            return None
        self._well()
        self.considered.emit(value)
        return value

    def _well(self) -> None:
        self._problem = ""
        self._told.setText(tr(self.row.sentence))
        self._mark(False)

    def _mark(self, refused: bool) -> None:
        for widget in (self._told, *self._edits):
            if bool(widget.property("refused")) != refused:
                widget.setProperty("refused", refused)
                widget.style().polish(widget)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if (
            isinstance(event, QKeyEvent)
            and event.type() == QEvent.Type.KeyPress
            and event.key() in _INTO_LIST
        ):
            self.left_downward.emit()
            return True
        return super().eventFilter(watched, event)


class TextField(TypedField):
    """A setting in one line.

    Parameters
    ----------
    row, value
        The setting, and what it is now.
    read
        From text to value; raises `SettingError`. The row's own where it is not given.

    Signals
    -------
    typed : str
        The text has been changed by hand.
    """

    typed = Signal(str)

    def __init__(
        self,
        row: Row,
        value: Any,
        read: Callable[[str], Any] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(row, row.format(value), parent)
        self._read = read or row.parse
        self.edit = QLineEdit()
        self.edit.setAccessibleName(tr(row.title))
        self.edit.setAccessibleDescription(tr(row.sentence))
        self.edit.setPlaceholderText(tr(row.automatic))
        if row.kind == "illuminance" and isinstance(value, str):
            self.edit.setPlaceholderText(value)
        elif not (row.optional and value is None):
            self.edit.setText(row.format(value))
        hint = self.edit.fontMetrics().horizontalAdvance(self.edit.placeholderText())
        self.edit.setFixedWidth(max(150, hint + 3 * theme.SPACE))
        label = QLabel(tr(row.title))
        label.setBuddy(self.edit)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(theme.SPACE)
        grid.setVerticalSpacing(2)
        grid.addWidget(label, 0, 0)
        grid.addWidget(self.edit, 0, 1)
        if why(row.id) is not None:
            grid.addWidget(WhyButton(row.id), 0, 2)
        grid.addWidget(self._told, 1, 0, 1, 3)
        grid.setColumnStretch(0, 1)
        self.setFocusProxy(self.edit)
        self._listen(self.edit)
        self.edit.textEdited.connect(self._edited)

    def show_value(self, value: Any) -> None:
        """Another control of the same chooser has set the value."""
        self.edit.setText("" if value is None else self.row.format(value))
        self._well()

    def _edited(self, text: str) -> None:
        self.typed.emit(text)

        def read() -> Any:
            if text.strip():
                return self._read(text.strip())
            if not self.row.optional:
                raise SettingError(self.row.id, "", tr("nothing is typed"))
            return None

        self._take(read)


class SizeField(TypedField):
    """Width and height of the print, tied by the photograph's proportions."""

    def __init__(
        self,
        row: Row,
        size_mm: tuple[float, float],
        pixels: tuple[int, int],
        parent: QWidget | None = None,
        *,
        inches: bool = False,
    ) -> None:
        super().__init__(row, size_text(size_mm, inches), parent)
        self._inches = inches
        self._pixels = pixels
        self.width_edit, self.height_edit = QLineEdit(), QLineEdit()
        self._ppi = QLabel()
        self._ppi.setAccessibleName(tr("Resolution on paper"))
        line = QHBoxLayout()
        line.setSpacing(theme.SPACE)
        for edit, name, axis in (
            (self.width_edit, tr("Width"), 0),
            (self.height_edit, tr("Height"), 1),
        ):
            edit.setAccessibleName(
                tr("{side} in inches", side=name)
                if inches
                else tr("{side} in centimetres", side=name)
            )
            edit.setFixedWidth(76)
            self._listen(edit)
            edit.textEdited.connect(self._follow(axis))
            if axis:
                line.addWidget(QLabel("×"))
            line.addWidget(edit)
        line.addWidget(QLabel(unit_of(inches)))
        line.addStretch(1)
        line.addWidget(self._ppi)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.addLayout(line, 0, 0)
        grid.addWidget(self._told, 1, 0)
        self.setFocusProxy(self.width_edit)
        self.show_value(size_mm)

    def show_value(self, size_mm: tuple[float, float] | None) -> None:
        """Write a size into both fields."""
        if size_mm is None:
            mm = 25.4 / 300.0  # the program's own size, 300 ppi
            size_mm = (self._pixels[0] * mm, self._pixels[1] * mm)
        self.width_edit.setText(side_text(size_mm[0], self._inches))
        self.height_edit.setText(side_text(size_mm[1], self._inches))
        self._ppi.setText(ppi_text(self._pixels[0], size_mm[0]))
        self._well()

    def _follow(self, axis: int) -> Callable[[str], None]:
        def read(text: str) -> tuple[float, float]:
            if any(sign in text for sign in "x×*"):  # both at once
                both: tuple[float, float] = self.row.parse(_with_unit(text, self._inches))
                return both
            try:
                length_mm = side_mm(float(text.replace(",", ".")), self._inches)
            except ValueError as error:
                raise SettingError(
                    "size_mm",
                    text,
                    not_a_number(text, unit_of(self._inches)),
                    says_value=True,
                ) from error
            other_mm = length_mm * self._pixels[1 - axis] / self._pixels[axis]
            sides = (length_mm, other_mm) if axis == 0 else (other_mm, length_mm)
            size_mm: tuple[float, float] = self.row.check((round(sides[0], 2), round(sides[1], 2)))
            return size_mm

        def edited(text: str) -> None:
            size_mm = self._take(lambda: read(text))
            if size_mm is not None:
                other = self.height_edit if axis == 0 else self.width_edit
                other.setText(side_text(size_mm[1 - axis], self._inches))
                self._ppi.setText(ppi_text(self._pixels[0], size_mm[0]))
            else:
                self._ppi.clear()

        return edited


def _with_unit(text: str, inches: bool) -> str:
    return text if text.rstrip()[-1:].isalpha() or not inches else f"{text} in"


class Switch(QCheckBox):
    """A setting that is on or off, with its sentence below the box's own words.

    Signals
    -------
    considered : bool
    """

    considered = Signal(object)

    def __init__(self, row: Row, value: bool, parent: QWidget | None = None) -> None:
        super().__init__(tr(row.title), parent)
        self.row = row
        self.setProperty("why", row.id)
        self.setChecked(value)
        self.setToolTip(tr(row.sentence))
        self.setAccessibleDescription(tr(row.sentence))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.clicked.connect(lambda on: self.considered.emit(on))


class Options(QWidget):
    """A setting of a few values beside others in the same chooser: all of them in one row.

    Signals
    -------
    considered : object
        The value chosen.
    """

    considered = Signal(object)

    def __init__(self, row: Row, value: Any, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.row = row
        self.buttons: dict[str, QRadioButton] = {}
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setVerticalSpacing(2)
        head = QHBoxLayout()
        head.addWidget(QLabel(tr(row.title)))
        if why(row.id) is not None:
            head.addSpacing(theme.SPACE)
            head.addWidget(WhyButton(row.id))
        head.addStretch(1)
        grid.addLayout(head, 0, 0)
        line = QHBoxLayout()
        line.setSpacing(0)  # the buttons keep a distance of their own
        for choice, written in row.choices:
            words = tr(written)
            button = QRadioButton(words)
            button.setAccessibleName(f"{tr(row.title)}: {words}")
            button.setAccessibleDescription(tr(row.sentence))
            button.setChecked(choice == value)
            button.toggled.connect(
                lambda on, choice=choice: self.considered.emit(choice) if on else None
            )
            line.addWidget(button)
            self.buttons[choice] = button
        line.addStretch(1)
        grid.addLayout(line, 1, 0)
        grid.addWidget(quiet_label(tr(row.sentence)), 2, 0)
        self.setFocusProxy(self.buttons[value])
