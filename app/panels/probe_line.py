"""What is under the pointer, in figures: in the file, on paper, and to the eye."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import QEvent, QPoint, QRect, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics, QHelpEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from app import theme
from proofing.findings.kinds import Kind

if TYPE_CHECKING:
    from proofing.engine import Probe

_HEIGHT = 40  # of a caption and its figure
_ROOMY = 640
_NONE = "–"


@dataclass(frozen=True)
class Reading:
    """The probe's figures as they are shown."""

    file: str = _NONE
    paper: str = _NONE
    density: str = _NONE
    luminance: str = _NONE
    outside: str = _NONE
    marks: str = _NONE

    @property
    def sentence(self) -> str:
        """All of it in one line, for assistive technology and for copying."""
        return (
            f"In the file {self.file}; on paper {self.paper}; density {self.density}; luminance "
            f"{self.luminance}; outside the stock's gamut by {self.outside}; marks: {self.marks}"
        )


def reading(probe: Probe, channel_names: Sequence[str]) -> Reading:
    """Figures of a :class:`proofing.engine.Probe`, rounded as the trade writes them.

    Lab to one decimal, density and CIEDE2000 to two and one, luminance to three figures.
    """
    file = "  ".join(
        f"{name} {_code(code)}" for name, code in zip(channel_names, probe.codes, strict=False)
    )
    L, a, b = (float(value) for value in probe.print_Lab)
    return Reading(
        file=file,
        paper=f"L* {_tidy(L)}  a* {_tidy(a)}  b* {_tidy(b)}",
        density=f"{probe.density:.2f} D",
        luminance=f"{_figures(probe.luminance_cd_m2)} cd/m²",
        outside=f"{probe.miss_delta_E:.1f} ΔE00",
        marks=", ".join(kind.title.lower() for kind in Kind if kind in probe.marks) or "none",
    )


def _tidy(value: float) -> str:
    """One decimal, a real minus sign, no minus zero."""
    return f"{round(value, 1) + 0.0:.1f}".replace("-", "−")


def _code(value: float) -> str:
    return f"{value:.0f}" if value == int(value) else f"{value:.3f}"


def _figures(value: float) -> str:
    return f"{value:.0f}" if value >= 100 else f"{value:.1f}" if value >= 10 else f"{value:.2f}"


class _Column(NamedTuple):
    """A caption, the field of :class:`Reading`, its widest content, and what it is."""

    caption: str
    field: str
    widest: str
    about: str


_COLUMNS = (
    _Column(
        "In the file", "file", "R 65535  G 65535  B 65535",
        "The pixel's numbers as the file has them.",
    ),
    _Column(
        "On paper, D50", "paper", "L* 100.0  a* −100.0  b* −100.0",
        "The colour as a meter would read it on the print, under D50, whatever the room's light.",
    ),
    _Column(
        "Density", "density", "2.40 D",
        "How dark the print is here: with each 0.3 more it sends back half the light.",
    ),
    _Column(
        "Luminance", "luminance", "1000 cd/m²",
        "How much light comes from here to the eye in the room, reflections included.",
    ),
    _Column(
        "Outside the stock's gamut by", "outside", "10.0 ΔE00",
        "How far the colour wanted on paper, after black point compensation, lies outside what the "
        "stock can print, in CIEDE2000: 0.0 is printed as it is wanted. How far counts as out of "
        "gamut is set beside that mark.",
    ),
    _Column(
        "Marks here", "marks", "out of gamut, blocked shadows",
        "Every kind of loss that holds for this pixel, whether its mark is shown or not.",
    ),
)  # fmt: skip


class ProbeLine(QWidget):
    """The probe's figures, each in a place of its own so that nothing jumps; in a narrow window
    they stand in two rows or more."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.reading = Reading()
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setAccessibleName("Under the pointer")
        self.show_reading(None)

    def show_reading(self, shown: Reading | None) -> None:
        """Show figures, or dashes when nothing is pointed at."""
        self.reading = shown or Reading()
        self.setAccessibleDescription(
            self.reading.sentence if shown else "Point at a picture to measure it"
        )
        self.update()

    def _places(self, width: int) -> list[QRect]:
        """Where each column stands in a width."""
        figures = QFontMetrics(theme.font(theme.BODY_PX, tabular=True))
        captions = QFontMetrics(theme.font(theme.SMALL_PX))
        places: list[QRect] = []
        left = x = self.contentsMargins().left()
        y = 0
        gap = (3 if width >= _ROOMY else 2) * theme.SPACE
        for column in _COLUMNS:
            needed = max(
                figures.horizontalAdvance(column.widest),
                captions.horizontalAdvance(column.caption),
            )
            if x > left and x + needed > width:
                x, y = left, y + _HEIGHT
            places.append(QRect(x, y, needed + 2 * theme.SPACE, _HEIGHT))
            x += needed + gap
        places[-1].setRight(width - 1)
        return places

    def heightForWidth(self, width: int) -> int:
        return self._places(width)[-1].bottom() + 1

    def sizeHint(self) -> QSize:
        return QSize(self._places(10_000)[-1].left() + 240, _HEIGHT)

    def minimumSizeHint(self) -> QSize:
        return QSize(240, _HEIGHT)

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            for column, place in zip(_COLUMNS, self._places(self.width()), strict=True):
                if place.contains(event.pos()):
                    QToolTip.showText(event.globalPos(), f"<p>{column.about}</p>", self, place)
                    return True
        return super().event(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        middle = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        for column, place in zip(_COLUMNS, self._places(self.width()), strict=True):
            painter.setFont(theme.font(theme.SMALL_PX))
            painter.setPen(QColor(theme.QUIET))
            painter.drawText(place.topLeft() + QPoint(0, 14), column.caption)
            painter.setFont(theme.font(theme.BODY_PX, tabular=True))
            painter.setPen(QColor(theme.TEXT))
            box = QRect(place.x(), place.y() + 18, place.width(), 20)
            value = painter.fontMetrics().elidedText(
                getattr(self.reading, column.field), Qt.TextElideMode.ElideRight, box.width()
            )
            painter.drawText(box, middle, value)
        painter.end()
