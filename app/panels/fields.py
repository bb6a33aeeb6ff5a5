"""Fields of a chooser: a number with its unit, a size, a switch. Each row of the settings table
says how its text is read and written; nothing here knows a unit."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QCheckBox, QGridLayout, QHBoxLayout, QLabel, QLineEdit, QWidget

from app import theme
from app.panels.choices import ppi_text
from app.state import Row, number_text
from proofing.errors import SettingError


def quiet_label(text: str) -> QLabel:
    """A line of secondary text that wraps."""
    label = QLabel(text)
    label.setProperty("quiet", True)
    label.setWordWrap(True)
    label.setFont(theme.font(theme.SMALL_PX))
    return label


class TextField(QWidget):
    """A setting that is typed.

    Signals
    -------
    considered : object
        A value that can be used, while it is typed.
    accepted : ()
        Enter was pressed on a value that can be used.
    """

    considered = Signal(object)
    accepted = Signal()

    def __init__(self, row: Row, value: Any, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.row = row
        self.edit = QLineEdit()
        self.edit.setAccessibleName(row.title)
        self.edit.setAccessibleDescription(row.sentence)
        self.edit.setFixedWidth(150)
        self.edit.setPlaceholderText(row.automatic)
        if row.kind == "illuminance" and isinstance(value, str):
            self.edit.setPlaceholderText(value)
        elif not (row.optional and value is None):
            self.edit.setText(row.format(value))
        label = QLabel(row.title)
        label.setBuddy(self.edit)
        self._told = quiet_label(row.sentence)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(theme.SPACE)
        grid.setVerticalSpacing(2)
        grid.addWidget(label, 0, 0)
        grid.addWidget(self.edit, 0, 1)
        grid.addWidget(self._told, 1, 0, 1, 2)
        grid.setColumnStretch(0, 1)
        self.setFocusProxy(self.edit)
        self.edit.textEdited.connect(self._edited)
        self.edit.returnPressed.connect(self._entered)

    def show_value(self, value: Any) -> None:
        """Another control of the same chooser has set the value."""
        self.edit.setText("" if value is None else self.row.format(value))

    def _read(self) -> tuple[bool, Any]:
        text = self.edit.text().strip()
        if not text and self.row.optional:
            return True, None
        if not text:
            return False, None
        try:
            return True, self.row.parse(text)
        except SettingError as error:
            self._told.setText(_after_colon(str(error)))
            return False, None

    def _edited(self) -> None:
        good, value = self._read()
        if good:
            self._told.setText(self.row.sentence)
            self.considered.emit(value)

    def _entered(self) -> None:
        if not self.edit.isModified():
            self.accepted.emit()
            return
        good, value = self._read()
        if good:
            self.considered.emit(value)
            self.accepted.emit()


def _after_colon(text: str) -> str:
    """The advice of an error without the name of the field, which stands above it already.

    >>> _after_colon("illuminance = 0: choose from 1 to 100000 lx")
    'Choose from 1 to 100000 lx'
    """
    advice = text.split(": ", 1)[-1]
    return advice[:1].upper() + advice[1:]


class SizeField(QWidget):
    """Width and height of the print, tied by the photograph's proportions.

    Signals
    -------
    considered : object
        ``(width_mm, height_mm)``.
    accepted : ()
    """

    considered = Signal(object)
    accepted = Signal()

    def __init__(
        self,
        row: Row,
        size_mm: tuple[float, float],
        pixels: tuple[int, int],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.row = row
        self._pixels = pixels
        self.width_edit, self.height_edit = QLineEdit(), QLineEdit()
        self._ppi = QLabel()
        self._ppi.setAccessibleName("Resolution on paper")
        self._told = quiet_label(row.sentence)
        line = QHBoxLayout()
        line.setSpacing(theme.SPACE)
        for edit, name, axis in ((self.width_edit, "Width", 0), (self.height_edit, "Height", 1)):
            edit.setAccessibleName(f"{name} in centimetres")
            edit.setFixedWidth(76)
            edit.textEdited.connect(self._follow(axis))
            edit.returnPressed.connect(self.accepted.emit)
            if axis:
                line.addWidget(QLabel("×"))
            line.addWidget(edit)
        line.addWidget(QLabel("cm"))
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
        self.width_edit.setText(number_text(size_mm[0] / 10, 1))
        self.height_edit.setText(number_text(size_mm[1] / 10, 1))
        self._ppi.setText(ppi_text(self._pixels[0], size_mm[0]))

    def _follow(self, axis: int) -> Callable[[str], None]:
        def edited(text: str) -> None:
            try:
                length_mm = float(text.replace(",", ".")) * 10.0
                other_mm = length_mm * self._pixels[1 - axis] / self._pixels[axis]
                sides = (length_mm, other_mm) if axis == 0 else (other_mm, length_mm)
                size_mm = self.row.check((round(sides[0], 2), round(sides[1], 2)))
            except SettingError as error:
                self._told.setText(_after_colon(str(error)))
                return
            except ValueError:
                return  # half-typed
            other = self.height_edit if axis == 0 else self.width_edit
            other.setText(number_text(size_mm[1 - axis] / 10, 1))
            self._ppi.setText(ppi_text(self._pixels[0], size_mm[0]))
            self._told.setText(self.row.sentence)
            self.considered.emit(size_mm)

        return edited


class Switch(QCheckBox):
    """A setting that is on or off, with its sentence below the box's own words.

    Signals
    -------
    considered : bool
    """

    considered = Signal(object)

    def __init__(self, row: Row, value: bool, parent: QWidget | None = None) -> None:
        super().__init__(row.title, parent)
        self.row = row
        self.setChecked(value)
        self.setToolTip(row.sentence)
        self.setAccessibleDescription(row.sentence)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.clicked.connect(lambda on: self.considered.emit(on))
