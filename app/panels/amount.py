"""How much of a correction: a slider with its number, and a button for what the print needs."""

from __future__ import annotations

import itertools

from PySide6.QtCore import QEvent, QSignalBlocker, Qt, Signal
from PySide6.QtGui import QKeyEvent, QWheelEvent
from PySide6.QtWidgets import QGridLayout, QLabel, QSlider, QWidget

from app import theme
from app.panels.button import Button
from app.panels.why_card import WhyButton
from app.state import BY_ID, Row
from proofing.language import tr

_KEYS = (
    Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Home,
    Qt.Key.Key_End, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown,
)  # fmt: skip


class Slider(QSlider):
    """One of the toolkit's whose keys and wheel are its own while the keyboard is there."""

    def __init__(self) -> None:
        super().__init__(Qt.Orientation.Horizontal)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)  # and not by the wheel

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            held = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
            if event.key() in _KEYS and held == Qt.KeyboardModifier.NoModifier:
                event.accept()
                return True
        return super().event(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()  # the page scrolls, and nothing changes by the way


class Amount(QWidget):
    """One number of the setting.

    Parameters
    ----------
    row
        Of the setting; has bounds.
    command
        Id of the command that finds what the print needs.
    unit, page
        From one place of the slider to the next, and by a page key.

    Signals
    -------
    slid : str, float
        The gesture, and the value wanted.
    needed : ()
        As much as the print needs is wanted.
    """

    slid = Signal(str, float)
    needed = Signal()

    def __init__(self, row: Row, command: str, unit: float, page: float) -> None:
        super().__init__()
        self._row, self._unit = row, unit
        self._gestures = itertools.count(1)
        self._gesture = ""
        self.slider, self.number = Slider(), QLabel()
        self.slider.setRange(0, round((row.bounds or (0.0, 0.0))[1] / unit))
        self.slider.setPageStep(round(page / unit))
        self.slider.setAccessibleName(tr(row.title))
        self.slider.setToolTip(tr(row.sentence))
        self.slider.valueChanged.connect(self._slide)
        self.slider.sliderPressed.connect(self._begin)
        self.slider.sliderReleased.connect(self._begin)
        self.number.setFont(theme.font(theme.BODY_PX, tabular=True))
        self.button = Button(tr("As much as this print needs"))
        self.button.setAutoDefault(False)
        title, keys = tr(BY_ID[command].title), BY_ID[command].shortcut
        self.button.setAccessibleName(title)
        self.button.setToolTip(tr("{title} ({keys})", title=title, keys=keys))
        self.button.clicked.connect(self.needed)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setColumnStretch(1, 1)
        grid.addWidget(QLabel(tr(row.title)), 0, 0)
        grid.addWidget(self.number, 0, 1, Qt.AlignmentFlag.AlignRight)
        grid.addWidget(WhyButton(row.id), 0, 2)
        grid.addWidget(self.slider, 1, 0, 1, 3)
        grid.addWidget(self.button, 2, 0, 1, 3, Qt.AlignmentFlag.AlignLeft)
        self._begin()

    def show_value(self, value: float, words: str) -> None:
        """Show a value, and say it."""
        with QSignalBlocker(self.slider):
            self.slider.setValue(round(value / self._unit))
        if words != self.number.text():
            self.number.setText(words)
            sentence = tr(self._row.sentence)
            said = tr("{value}. {sentence}", value=words, sentence=sentence)
            self.slider.setAccessibleDescription(said)

    def _begin(self) -> None:
        """What follows is a step of its own."""
        self._gesture = f"{self._row.id} {next(self._gestures)}"

    def _slide(self, at: int) -> None:
        self.slid.emit(self._gesture, round(at * self._unit, 2))
