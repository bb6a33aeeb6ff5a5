"""A quiet underlined word that is pressed."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QPushButton, QWidget

from app import theme
from app.panels.enter_button import ENTER


class Link(QPushButton):
    """Enter presses it as it does everything else."""

    PAD = 5

    def __init__(self, words: str, parent: QWidget | None = None) -> None:
        super().__init__(words, parent)
        self.setFlat(True)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setFont(theme.font(theme.SMALL_PX))
        self.setStyleSheet(
            f"QPushButton {{ border: 1px solid transparent; color: {theme.QUIET};"
            f"padding: 1px {self.PAD - 1}px; min-width: 0;"
            "background: transparent; text-decoration: underline; }"
            f"QPushButton:hover {{ color: {theme.TEXT}; }}"
            f"QPushButton:focus {{ border: 1px solid {theme.FOCUS}; }}"
        )

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in ENTER:
            self.click()
        else:
            super().keyPressEvent(event)
