"""A bare button that Enter presses, as it presses everything else here."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractButton

ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class EnterButton(QAbstractButton):
    """To be drawn by those who are made from it."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in ENTER:
            self.click()
        else:
            super().keyPressEvent(event)
