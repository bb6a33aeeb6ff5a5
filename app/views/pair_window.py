"""A window of their own for the two pictures, so that they can stand on another screen."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QEvent, QSize, Signal
from PySide6.QtGui import (
    QAction,
    QCloseEvent,
    QDragEnterEvent,
    QDropEvent,
    QGuiApplication,
    QScreen,
)
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.views.marks_key import MarksKey
from app.views.pair_view import PairView
from proofing.language import tr

_START = QSize(1100, 720)


def dropped_files(event: QDragEnterEvent | QDropEvent) -> list[str]:
    """Paths of the files that are dragged."""
    return [url.toLocalFile() for url in event.mimeData().urls() if url.isLocalFile()]


def other_screen(than: QScreen | None) -> QScreen | None:
    """A screen that a window does not stand on; None where there is only one."""
    return next((screen for screen in QGuiApplication.screens() if screen is not than), None)


class PairWindow(QWidget):
    """Holds the pictures while they are out of the main window.

    Signals
    -------
    closed : ()
        They want to go back.
    filled : bool
        It fills its screen, or does no more.
    dropped : list[str]
        Files were dropped on it.
    """

    closed = Signal()
    filled = Signal(bool)
    dropped = Signal(list)

    def __init__(self, pair: PairView, actions: Iterable[QAction]) -> None:
        super().__init__()
        self.setWindowTitle(tr("Pictures – stocklight"))
        self.setAcceptDrops(True)
        self.addActions(list(actions))  # their keys work here, too
        self.pair = pair
        self._marks_key = MarksKey(self, pair)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(pair)
        pair.show()
        self.resize(_START)

    def stand_on(self, screen: QScreen | None) -> None:
        """Fill another screen, or stand as a window where there is none."""
        if screen is None:
            self.show()
            return
        self.setGeometry(screen.geometry())
        self.showFullScreen()

    def give_back(self) -> PairView:
        """Let the pictures go."""
        layout = self.layout()
        assert layout is not None
        layout.removeWidget(self.pair)
        return self.pair

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if dropped_files(event):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        if paths := dropped_files(event):
            event.acceptProposedAction()
            self.dropped.emit(paths)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.WindowStateChange:
            self.filled.emit(self.isFullScreen())

    def closeEvent(self, event: QCloseEvent) -> None:
        super().closeEvent(event)
        self.closed.emit()
