"""A calm sign that something is being worked out."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import theme
from app.panels.link import Link
from proofing.language import tr

_TICK_MS = 40
_TRACK = 120
_GLIDE = 75  # ticks from end to end and back


class WorkSign(QWidget):
    """Words, a button that stops the work, and under them a line: how far the work is, or gliding
    where that is not known.

    Signals
    -------
    stopped : ()
        A person wants the work called off.
    """

    stopped = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.words = ""
        self._tick = 0
        self._done = 0.0
        self._low = False
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.button = Link(tr("Stop"), self)
        self.button.setAccessibleName(tr("Stop what is being worked out"))
        self.button.setToolTip(tr("Stop what is being worked out ({keys})", keys="Ctrl+B"))
        self.button.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # it comes and goes; the key stays
        self.button.clicked.connect(self.stopped)
        self.button.hide()
        self._timer = QTimer(self)
        self._timer.setInterval(_TICK_MS)
        self._timer.timeout.connect(self._glide)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(tr("Work in progress"))

    def say(self, words: str) -> None:
        """What is being worked on, '' for nothing."""
        if words == self.words:
            return
        self.words = words
        self._done = 0.0
        self.setAccessibleDescription(words or tr("nothing"))
        if words and not self._timer.isActive():
            self._tick = 0
            self._timer.start()
        elif not words:
            self._timer.stop()
        self.button.setVisible(bool(words))
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents, not words)
        self._place()
        self.update()

    def progress(self, done: float) -> None:
        """Share of it that is done, 0 to 1, where that is known."""
        self._done = done
        self.update()

    def show_low(self, low: bool) -> None:
        """In a low window it is one line, over the probe's last figures while there is work."""
        self._low = low
        self.updateGeometry()
        self._place()
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place()

    def _place(self) -> None:
        """The button stands beside the line, in a low window before the words."""
        size = self.button.sizeHint()
        left = 0 if self._low else self.width() - _TRACK - size.width() - theme.SPACE
        self.button.setGeometry(left, self.height() - size.height(), size.width(), size.height())

    def sizeHint(self) -> QSize:
        return QSize(260, 20) if self._low else QSize(210, 40)

    def _glide(self) -> None:
        self._tick = (self._tick + 1) % _GLIDE
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self.words:
            return
        painter = QPainter(self)
        painter.setFont(theme.font(theme.SMALL_PX))
        painter.setPen(QColor(theme.QUIET))
        corner = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop
        if self._low:
            painter.fillRect(self.rect(), QColor(theme.GROUND))
            wide = self.width() - self.button.width() - theme.SPACE
            words = painter.fontMetrics().elidedText(self.words, Qt.TextElideMode.ElideRight, wide)
            painter.drawText(self.rect(), corner, words)
        else:
            painter.drawText(self.rect(), corner | Qt.TextFlag.TextWordWrap, self.words)
        length = _TRACK
        track = QRect(self.width() - length, self.height() - (2 if self._low else 4), length, 2)
        painter.fillRect(track, QColor(theme.LINE))
        if self._done > 0.0:
            painter.fillRect(QRect(track.topLeft(), QSize(round(length * min(self._done, 1.0)), 2)),
                             QColor(theme.QUIET))  # fmt: skip
            painter.end()
            return
        there = 1 - abs(2 * self._tick / _GLIDE - 1)  # 0 to 1 and back
        part = length // 4
        at = QPoint(track.left() + round(there * (length - part)), track.top())
        painter.fillRect(QRect(at, QSize(part, 2)), QColor(theme.QUIET))
        painter.end()
