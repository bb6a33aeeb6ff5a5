"""Lay a bank card on the monitor, and draw a rectangle to its size."""

from __future__ import annotations

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QDoubleSpinBox,
    QFormLayout,
    QLabel,
    QSlider,
    QVBoxLayout,
    QWidget,
)

from app import theme
from app.ruler import CARD_MM, Ruler
from proofing.language import tr

_LEAST, _MOST = 120, 900  # logical pixels that a card can be wide


class _Card(QWidget):
    """A rectangle of a card's shape, with ticks of a centimetre along its top."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.across = 320.0
        self.setMinimumHeight(220)
        self.setAccessibleName(tr("Rectangle to be made as large as a bank card"))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(theme.CARD))
        width = round(self.across)
        height = round(self.across * CARD_MM[1] / CARD_MM[0])
        card = QRect((self.width() - width) // 2, 12, width, height)
        painter.fillRect(card, QColor("#d8d8d8"))
        painter.setPen(QColor("#202020"))
        centimetre = 10.0 * self.across / CARD_MM[0]
        for tick in range(int(CARD_MM[0] // 10) + 1):
            x = card.left() + round(tick * centimetre)
            painter.drawLine(x, card.top(), x, card.top() + (14 if tick % 5 == 0 else 8))
        painter.end()

    def sizeHint(self) -> QSize:
        return QSize(560, 420)


class RulerPage(QDialog):
    """Gives a ruler.

    Signals
    -------
    matched : Ruler
        As laid out by a person.
    """

    matched = Signal(object)

    def __init__(self, now: Ruler, ratio: float, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("Match the true size"))
        self._ratio = ratio
        words = QLabel(
            tr(
                "Lay a bank card (85.6 × 54.0 mm) on the rectangle, or a ruler along its top, "
                "where a tick is a centimetre. Draw the slider until both are the same size."
            )
        )
        words.setWordWrap(True)
        self.card = _Card()
        self.slider = QSlider(Qt.Orientation.Horizontal)
        self.slider.setRange(_LEAST * 4, _MOST * 4)  # quarters of a pixel
        self.slider.setAccessibleName(tr("Width of the rectangle"))
        self.slider.valueChanged.connect(self._draw)
        self.eye = QDoubleSpinBox()
        self.eye.setRange(20.0, 300.0)
        self.eye.setDecimals(0)
        self.eye.setSuffix(" cm")
        self.eye.setAccessibleName(tr("From your eye to the screen"))
        self.eye.setValue(100.0 * now.eye_m)
        self.slider.setValue(round(4.0 * CARD_MM[0] / now.mm_per_px / ratio))
        form = QFormLayout()
        form.addRow(tr("From your eye to the screen"), self.eye)
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel
        )
        buttons.accepted.connect(self._match)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.setSpacing(theme.SPACE)
        for part in (words, self.card, self.slider):
            column.addWidget(part)
        column.addLayout(form)
        column.addWidget(buttons)

    def _draw(self, quarters: int) -> None:
        self.card.across = quarters / 4.0
        self.card.update()

    def _match(self) -> None:
        mm_per_px = CARD_MM[0] / (self.card.across * self._ratio)
        self.matched.emit(Ruler(mm_per_px, self.eye.value() / 100.0, matched=True))
        self.accept()
