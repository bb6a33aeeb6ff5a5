"""While M is held down, the pictures are seen without marks; in whichever window they are."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from app.views.pair_view import PairView


class MarksKey(QObject):
    """Listens to a window's keys."""

    def __init__(self, window: QWidget, pair: PairView) -> None:
        super().__init__(window)
        self._pair = pair
        window.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        kind = event.type()
        if kind == QEvent.Type.ActivationChange:
            if isinstance(watched, QWidget) and not watched.isActiveWindow():
                self._pair.hide_marks(False)  # the release of the key will not be heard
        elif isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_M:
            if kind == QEvent.Type.KeyPress and not event.modifiers():
                if not event.isAutoRepeat():
                    self._pair.hide_marks(True)
                return True
            if kind == QEvent.Type.KeyRelease and not event.isAutoRepeat():
                self._pair.hide_marks(False)
                return True
        return False
