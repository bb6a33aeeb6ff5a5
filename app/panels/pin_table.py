"""The readings of pinned points, a line each; of two prints beside each other, two lines."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QScrollArea, QSizePolicy, QWidget

from app import theme
from app.panels.probe_line import Reading, reading
from app.panels.why_card import explain
from app.pins import PinReading
from proofing.language import tr
from proofing.photograph import Photograph

_LINE = 18
_MOST_LINES, _MOST_LOW = 4, 1  # that are seen at once; the rest scrolls
_FIELDS = (
    ("file", "R 255.0  G 255.0  B 255.0"),
    ("paper", "L* 100.0  a* −100.0  b* −100.0"),
    ("density", "2.40 D"),
    ("luminance", "1000 cd/m²"),
    ("outside", "10.0 ΔE00"),
    ("marks", ""),
)
_NAME = "a  kept"


class _Lines(QWidget):
    """Paints the lines."""

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[tuple[str, Reading]] = []
        self.setCursor(Qt.CursorShape.WhatsThisCursor)

    def sizeHint(self) -> QSize:
        return QSize(300, _LINE * len(self.lines))

    def places(self, number: int) -> dict[str, QRect]:
        """Where the figures of a line stand, by what they are."""
        metrics = QFontMetrics(theme.font(theme.SMALL_PX, tabular=True))
        gap = 2 * theme.SPACE
        x = QFontMetrics(theme.font(theme.SMALL_PX, strong=True)).horizontalAdvance(_NAME) + gap
        found = {}
        for field, widest in _FIELDS:
            width = metrics.horizontalAdvance(widest) if widest else self.width() - x
            found[field] = QRect(x, number * _LINE, max(width, 0), _LINE)
            x += width + gap
        return found

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A figure that is clicked says why it is what it is."""
        at = event.position().toPoint()
        for field, place in self.places(at.y() // _LINE).items():
            if place.contains(at):
                explain(field, self, place)
                return
        super().mousePressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        font = theme.font(theme.SMALL_PX, tabular=True)
        metrics = QFontMetrics(font)
        strong = theme.font(theme.SMALL_PX, strong=True)
        for number, (name, shown) in enumerate(self.lines):
            box = QRect(0, number * _LINE, self.width(), _LINE)
            painter.setFont(strong)
            painter.setPen(QColor(theme.TEXT))
            middle = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
            painter.drawText(box, middle, name)
            painter.setFont(font)
            for field, place in self.places(number).items():
                value = metrics.elidedText(
                    getattr(shown, field), Qt.TextElideMode.ElideRight, place.width()
                )
                painter.drawText(place, middle, value)
        painter.end()


class PinTable(QScrollArea):
    """All pins; gone while there are none."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._inside = _Lines()
        self._low = False
        self.setWidget(self._inside)
        self.setWidgetResizable(True)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(tr("Pinned points"))
        self.hide()

    @property
    def sentences(self) -> tuple[str, ...]:
        """What the lines say, whole."""
        return tuple(f"{name}: {shown.sentence}" for name, shown in self._inside.lines)

    def show_pins(self, pins: Sequence[PinReading], photograph: Photograph | None) -> None:
        """Show the readings."""
        lines: list[tuple[str, Reading]] = []
        for each in pins if photograph is not None else ():
            assert photograph is not None
            own = (
                tr("{letter}  print", letter=each.letter) if each.kept is not None else each.letter
            )
            if each.kept is not None:
                lines.append(
                    (tr("{letter}  kept", letter=each.letter), reading(each.kept, photograph))
                )
            lines.append((own, reading(each.probe, photograph)))
        self._inside.lines = lines
        self.setAccessibleDescription(". ".join(self.sentences))
        self._inside.updateGeometry()
        self._inside.setMinimumHeight(_LINE * len(lines))
        self.setVisible(bool(lines))
        self._fit()
        self._inside.update()

    def show_low(self, low: bool) -> None:
        """In a low window one line is seen and the others scroll."""
        self._low = low
        self._fit()

    def wanted_height(self) -> int:
        """How high it is, 0 while there are no pins."""
        most = _MOST_LOW if self._low else _MOST_LINES
        return _LINE * min(len(self._inside.lines), most)

    def _fit(self) -> None:
        self.setFixedHeight(max(self.wanted_height(), _LINE))
