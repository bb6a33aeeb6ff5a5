"""A quiet underlined word that is pressed."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget

from app import theme
from app.panels.button import Button


class Link(Button):
    """Looks like a word of the text."""

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
