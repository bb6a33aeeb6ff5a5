"""What a screen is looked at with: a patch to be matched, dark patches, smooth ramps."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import theme
from app.match_sheet import DARKEST_CODES, Codes
from proofing.language import tr

RAMP = (96, 160)
"""Codes of the smooth ramps, of 255: a step every few pixels."""


class Patch(QWidget):
    """A field of one colour."""

    def __init__(self) -> None:
        super().__init__()
        self.colour = QColor("#c8c8c8")
        self.setMinimumHeight(90)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(tr("Patch to be matched to a white sheet"))

    def show_codes(self, codes: Codes) -> None:
        """Show codes, 0..255."""
        self.colour = QColor(*codes)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(theme.PANE))
        painter.fillRect(self.rect().adjusted(24, 12, -24, -12), self.colour)
        painter.end()


class DarkPatches(QWidget):
    """Patches on black, lighter from one to the next.

    Signals
    -------
    chosen : int
        The first one that is seen, counted from 0.
    """

    chosen = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self.at = -1
        self.setMinimumHeight(130)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(tr("Dark patches"))
        self.setAccessibleDescription(tr("The arrows choose the darkest patch that you can see."))

    def patch(self, number: int) -> QRect:
        """Where a patch stands."""
        across = self.width() // len(DARKEST_CODES)
        return QRect(number * across + 6, 30, across - 12, self.height() - 60)

    def choose(self, number: int) -> None:
        """The darkest one that is seen."""
        self.at = min(max(number, 0), len(DARKEST_CODES) - 1)
        self.update()
        self.chosen.emit(self.at)

    def clear(self) -> None:
        """None is chosen."""
        self.at = -1
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor("#000000"))
        painter.setFont(theme.font(theme.SMALL_PX))
        for number, code in enumerate(DARKEST_CODES):
            box = self.patch(number)
            painter.fillRect(box, QColor(code, code, code))
            painter.setPen(QColor("#7a7a7a"))
            below = QRect(box.left(), box.bottom() + 6, box.width(), 18)
            painter.drawText(below, Qt.AlignmentFlag.AlignCenter, str(number + 1))
        if self.at >= 0:
            painter.setPen(QPen(QColor("#8a8a8a"), 1))
            painter.drawRect(self.patch(self.at).adjusted(-4, -4, 3, 3))
        if self.hasFocus():
            painter.setPen(QColor(theme.FOCUS))
            painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        across = max(self.width() // len(DARKEST_CODES), 1)
        self.choose(int(event.position().x()) // across)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        if step is None:
            super().keyPressEvent(event)
        else:
            self.choose(self.at + step)


class Ramp(QWidget):
    """A smooth grey ramp in steps of 8 or 10 bits.

    The desktop's pixels decide what becomes of more than 8: :func:`bits_of_window`.
    """

    def __init__(self, bits: int) -> None:
        super().__init__()
        self._bits = bits
        self.setMinimumHeight(90)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(tr("Smooth grey ramp in steps of {bits} bits", bits=bits))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        width = max(self.width(), 1)
        first, last = (code << (self._bits - 8) for code in RAMP)
        codes = first + np.arange(width, dtype=np.uint32) * (last - first) // width
        if self._bits == 8:
            row = (0xFF << 24) | (codes << 16) | (codes << 8) | codes
            form = QImage.Format.Format_RGB32
        else:
            row = (3 << 30) | (codes << 20) | (codes << 10) | codes
            form = QImage.Format.Format_RGB30
        pixels = np.ascontiguousarray(row, np.uint32)
        painter.drawImage(self.rect(), QImage(pixels.data, width, 1, 4 * width, form))
        painter.end()


def bits_of_window(widget: QWidget) -> int:
    """How many bits a channel of the window's own pixels has; 8 where it is not known.

    Measured with Qt on X11: a desktop of 30 bits gives raster widgets pixels of 3 x 10 bits, and an
    image of Format_RGB30 keeps its 1024 levels in them; one of 24 bits gives 3 x 8.
    """
    store = widget.window().backingStore()
    device = None if store is None else store.paintDevice()
    return device.pixelFormat().greenSize() if isinstance(device, QImage) else 8
