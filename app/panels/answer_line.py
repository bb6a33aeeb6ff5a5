"""What following an advice has brought, and the way back."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QFrame, QHBoxLayout, QWidget

from app import theme
from app.panels.finding_row import StepButton, wrapped
from app.panels.why_card import WhyButton
from proofing.language import tr

_BESIDE = 440  # from this width on the buttons stand beside the words


class AnswerLine(QFrame):
    """One sentence, before and after, and two buttons.

    Signals
    -------
    taken_back : ()
        The step is to be undone.
    dismissed : ()
        It stays, and no more is to be said of it.
    stepped : int
        The keyboard goes on to the list.
    """

    taken_back = Signal()
    dismissed = Signal()
    stepped = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("answer")
        self.setAccessibleName(tr("What the advice has brought"))
        self.setStyleSheet(
            f"QFrame#answer {{ background: {theme.CARD}; border: 1px solid {theme.LINE};"
            "border-radius: 3px; }"
        )
        self.words = wrapped("")
        self.back = StepButton(tr("Take it back"))
        self.close_button = StepButton(tr("Keep it"))
        self.close_button.setAccessibleName(tr("Keep it, and close this line"))
        self.close_button.setToolTip(tr("Keep the setting and close this line"))
        self.back.clicked.connect(self.taken_back)
        self.close_button.clicked.connect(self.dismissed)
        self._row = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._row.setContentsMargins(8, 4, 6, 4)
        self._row.setSpacing(theme.SPACE // 2)
        buttons = QHBoxLayout()
        buttons.setSpacing(theme.SPACE)
        for button in (self.back, self.close_button):
            button.stepped.connect(self.stepped)
            buttons.addWidget(button, 0, Qt.AlignmentFlag.AlignTop)
        self.why = WhyButton("answer")
        buttons.addWidget(self.why)
        buttons.addStretch(1)
        self._row.addWidget(self.words, 1)
        self._row.addLayout(buttons)
        self.hide()

    def say(self, sentence: str) -> None:
        """Show a sentence; '' puts the line away."""
        self.words.setText(sentence)
        self.setAccessibleDescription(sentence)
        self.back.setAccessibleName(tr("Take it back. {sentence}", sentence=sentence))
        self.setVisible(bool(sentence))

    @property
    def sentence(self) -> str:
        """What it says, or nothing."""
        return self.words.text()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        beside = self.width() >= _BESIDE
        way = QBoxLayout.Direction.LeftToRight if beside else QBoxLayout.Direction.TopToBottom
        if way != self._row.direction():
            self._row.setDirection(way)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.dismissed.emit()
        else:
            super().keyPressEvent(event)
