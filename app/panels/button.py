"""A push button that Enter presses, as it presses everything else here."""

from __future__ import annotations

from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QPushButton

from app.panels.enter_button import ENTER


class Button(QPushButton):
    """The toolkit's own, which outside a dialog hears of the space bar only."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in ENTER:
            self.click()
        else:
            super().keyPressEvent(event)
