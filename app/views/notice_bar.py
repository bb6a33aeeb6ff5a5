"""A calm bar in the window for what went wrong and what to do about it. Never a traceback."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent, QKeyEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QWidget

from app import theme
from app.panels.button import Button
from proofing.language import tr


class NoticeBar(QFrame):
    """One sentence, and a button that puts it away. It stays until then or until all is well.

    Signals
    -------
    dismissed : ()
    followed : str
        The command that the sentence offers.
    """

    dismissed = Signal()
    followed = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("notice")
        self.setStyleSheet(f"QFrame#notice {{ background: {theme.CARD}; border: none; }}")
        self.setAccessibleName(tr("Notice"))
        self._text = QLabel()
        self._text.setWordWrap(True)
        self._text.setTextFormat(Qt.TextFormat.PlainText)
        self._text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._close = Button(tr("Close"))
        self._close.setAccessibleName(tr("Close the notice"))
        self._close.clicked.connect(self._dismiss)
        self.follow_button = Button()
        self.follow_button.clicked.connect(self._follow)
        self._command = ""
        row = QHBoxLayout(self)
        row.setContentsMargins(2 * theme.SPACE, theme.SPACE, 2 * theme.SPACE, theme.SPACE)
        row.setSpacing(2 * theme.SPACE)
        row.addWidget(self._text, 1)
        row.addWidget(self.follow_button)
        row.addWidget(self._close)
        self.hide()

    def say(self, sentence: str, title: str = "", command: str = "") -> None:
        """Show a sentence, and a button for the command that would see to it."""
        self._command = command
        self.follow_button.setText(title)
        self.follow_button.setVisible(bool(command))
        self._text.setText(sentence)
        self.setAccessibleDescription(sentence)
        self.show()
        QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self, sentence))

    def clear(self) -> None:
        """All is well again."""
        self._text.clear()
        self.setAccessibleDescription("")
        self.hide()

    @property
    def sentence(self) -> str:
        """What the bar says, or nothing."""
        return self._text.text()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self._dismiss()
        else:
            super().keyPressEvent(event)

    def _follow(self) -> None:
        command = self._command
        self._dismiss()
        self.followed.emit(command)

    def _dismiss(self) -> None:
        self.clear()
        self.dismissed.emit()
