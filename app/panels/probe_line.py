"""What is under the pointer, in figures: in the file, on paper, and to the eye."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import theme

if TYPE_CHECKING:
    from proofing.proof import Probe

_HEIGHT = 40
_NONE = "–"


@dataclass(frozen=True)
class Reading:
    """The probe's figures as they are shown."""

    file: str = _NONE
    paper: str = _NONE
    density: str = _NONE
    luminance: str = _NONE
    difference: str = _NONE

    @property
    def sentence(self) -> str:
        """All of it in one line, for assistive technology and for copying."""
        return (
            f"In the file {self.file}; on paper {self.paper}; density {self.density}; "
            f"luminance {self.luminance}; off the wanted colour {self.difference}"
        )


def reading(probe: Probe, channel_names: Sequence[str]) -> Reading:
    """Figures of a :class:`proofing.proof.Probe`, rounded as the trade writes them.

    Lab to one decimal, density and CIEDE2000 to two and one, luminance to three figures.
    """
    file = "  ".join(
        f"{name} {_code(code)}" for name, code in zip(channel_names, probe.codes, strict=False)
    )
    L, a, b = (float(value) for value in probe.print_Lab)
    lost = [kind.title.lower() for kind in probe.marks]
    return Reading(
        file=file,
        paper=f"L* {_tidy(L)}  a* {_tidy(a)}  b* {_tidy(b)}",
        density=f"{probe.density:.2f} D",
        luminance=f"{_figures(probe.luminance_cd_m2)} cd/m²",
        difference=", ".join([f"{probe.miss_delta_E:.1f} ΔE00", *lost]),
    )


def _tidy(value: float) -> str:
    """One decimal, a real minus sign, no minus zero."""
    return f"{round(value, 1) + 0.0:.1f}".replace("-", "−")


def _code(value: float) -> str:
    return f"{value:.0f}" if value == int(value) else f"{value:.3f}"


def _figures(value: float) -> str:
    return f"{value:.0f}" if value >= 100 else f"{value:.1f}" if value >= 10 else f"{value:.2f}"


_COLUMNS = (  # caption, field, widest content it must hold without moving its neighbours
    ("In the file", "file", "R 65535  G 65535  B 65535"),
    ("On paper, D50", "paper", "L* 100.0  a* −100.0  b* −100.0"),
    ("Density", "density", "2.40 D"),
    ("Luminance", "luminance", "1000 cd/m²"),
    ("Off the wanted colour", "difference", "10.0 ΔE00, blocked shadows"),
)


class ProbeLine(QWidget):
    """The probe's figures, each in a place of its own so that nothing jumps."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.reading = Reading()
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Under the pointer")
        self.show_reading(None)

    def show_reading(self, shown: Reading | None) -> None:
        """Show figures, or dashes when nothing is pointed at."""
        self.reading = shown or Reading()
        self.setAccessibleDescription(
            self.reading.sentence if shown else "Point at a picture to measure it"
        )
        self.update()

    def _widths(self) -> list[int]:
        figures = QFontMetrics(theme.font(theme.BODY_PX, tabular=True))
        captions = QFontMetrics(theme.font(theme.SMALL_PX))
        return [
            max(figures.horizontalAdvance(widest), captions.horizontalAdvance(caption))
            for caption, _, widest in _COLUMNS
        ]

    def sizeHint(self) -> QSize:
        return QSize(sum(self._widths()) + 3 * theme.SPACE * len(_COLUMNS), _HEIGHT)

    def minimumSizeHint(self) -> QSize:
        return QSize(400, _HEIGHT)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        x = self.contentsMargins().left()
        for (caption, field, _), width in zip(_COLUMNS, self._widths(), strict=True):
            painter.setFont(theme.font(theme.SMALL_PX))
            painter.setPen(QColor(theme.QUIET))
            painter.drawText(QPoint(x, 14), caption)
            painter.setFont(theme.font(theme.BODY_PX, tabular=True))
            painter.setPen(QColor(theme.TEXT))
            box = QRect(x, 18, width + theme.SPACE, 20)
            value = getattr(self.reading, field)
            painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, value)
            x += width + 3 * theme.SPACE
        painter.end()
