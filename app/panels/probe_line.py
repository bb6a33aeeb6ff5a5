"""What is under the pointer, in figures: in the file, on paper, and to the eye."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QEvent, QPoint, QRect, QSize, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetrics,
    QHelpEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
)
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from app import theme
from app.panels.why_card import explain
from app.words import DELTA_E_00
from proofing.findings.kinds import Kind
from proofing.language import mark, numeral, tr
from proofing.photograph.icc import decode_Lab

if TYPE_CHECKING:
    from proofing.engine import Probe
    from proofing.photograph import Photograph

_HEIGHT, _LOW_HEIGHT = 40, 20  # of a caption and its figure; of figures alone
_INVITATION = mark("Point at a picture to measure it")
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
    scale: str = ""
    """What the file's numbers are: ``'0–255'`` or ``'Lab'``."""

    @property
    def sentence(self) -> str:
        """All of it in one line, for assistive technology and for copying."""
        return tr(
            "In the file ({scale}) {file}; on paper {paper}; density {density}; luminance "
            "{luminance}; outside the stock's gamut by {outside}; marks: {marks}",
            scale=self.scale,
            file=self.file,
            paper=self.paper,
            density=self.density,
            luminance=self.luminance,
            outside=self.outside,
            marks=self.marks,
        )


def reading(probe: Probe, photograph: Photograph) -> Reading:
    """Figures of a :class:`proofing.engine.Probe`, rounded as the trade writes them.

    Lab to one decimal, density and CIEDE2000 to two and one, luminance to three figures. Codes of
    a file stand on the scale 0 to 255 whatever its depth, with one decimal where it has more than
    8 bits; those of a Lab file, or of one that is read as Lab, as L*, a* and b*.
    """
    L, a, b = (float(value) for value in probe.print_Lab)
    return Reading(
        file=codes_in_words(probe.codes, photograph.encoding.kind, photograph.codes.dtype),
        paper=f"L* {_tidy(L)}  a* {_tidy(a)}  b* {_tidy(b)}",
        density=numeral(f"{probe.density:.2f} D"),
        luminance=f"{_figures(probe.luminance_cd_m2)} cd/m²",
        outside=numeral(f"{probe.miss_delta_E:.1f} ΔE00"),
        marks=", ".join(kind.title.lower() for kind in Kind if kind in probe.marks) or tr("none"),
        scale="Lab" if photograph.encoding.kind == "Lab" else "0–255",
    )


def codes_in_words(codes: Sequence[float], kind: str, depth: npt.DTypeLike) -> str:
    """A pixel's numbers.

    Parameters
    ----------
    codes
        In the file's own units.
    kind
        Of the encoding: ``'RGB'``, ``'grey'`` or ``'Lab'``.
    depth
        Type of the codes; floats are 1 at full scale.

    Examples
    --------
    >>> codes_in_words((90, 128, 255), "RGB", "uint8")
    'R 90  G 128  B 255'
    >>> codes_in_words((65535, 32768, 257), "RGB", "uint16")
    'R 255.0  G 127.5  B 1.0'
    >>> codes_in_words((0.5, 0.5, 0.5), "grey", "float32")
    'K 127.5'
    >>> codes_in_words((65535, 32896, 0), "Lab", "uint16")
    'L* 100.0  a* 0.0  b* −128.0'
    """
    type_ = np.dtype(depth)
    top = float(np.iinfo(type_).max) if type_.kind == "u" else 1.0
    codes01 = np.asarray(codes, np.float64) / top
    if kind == "Lab":
        values = zip(("L*", "a*", "b*"), decode_Lab(codes01), strict=True)
        return "  ".join(f"{name} {_tidy(float(value))}" for name, value in values)
    names = ("K",) if kind == "grey" else ("R", "G", "B")
    decimals = 0 if type_ == np.uint8 else 1
    return "  ".join(
        numeral(f"{name} {255.0 * code:.{decimals}f}")
        for name, code in zip(names, codes01, strict=False)
    )


def _tidy(value: float) -> str:
    """One decimal, a real minus sign, no minus zero."""
    return numeral(f"{round(value, 1) + 0.0:.1f}".replace("-", "−"))


def _figures(value: float) -> str:
    decimals = 0 if value >= 100 else 1 if value >= 10 else 2
    return numeral(f"{value:.{decimals}f}")


class _Column(NamedTuple):
    """A caption, the field of :class:`Reading`, its widest content, and what it is."""

    caption: str
    field: str
    widest: str
    about: str


_COLUMNS = (
    _Column(
        mark("In the file"),
        "file",
        "R 255.0  G 255.0  B 255.0",
        mark(
            "The pixel's numbers in the file, on the scale from 0 to 255 whatever its depth, "
            "with one decimal where it has more than 8 bits. Those of a Lab or CMYK file stand "
            "as Lab, D50."
        ),
    ),
    _Column(
        mark("On paper, D50"),
        "paper",
        "L* 100.0  a* −100.0  b* −100.0",
        mark(
            "The colour as a meter would read it on the print, under D50, whatever the room's "
            "light."
        ),
    ),
    _Column(
        mark("Density"),
        "density",
        "2.40 D",
        mark("How dark the print is here: with each 0.3 more it sends back half the light."),
    ),
    _Column(
        mark("Luminance"),
        "luminance",
        "1000 cd/m²",
        mark("How much light comes from here to the eye in the room, reflections included."),
    ),
    _Column(
        mark("Outside the stock's gamut by"),
        "outside",
        "10.0 ΔE00",
        mark(
            "How far the colour wanted on paper, after black point compensation, lies outside what "
            "the stock can print, in CIEDE2000: 0.0 is printed as it is wanted. How far counts as "
            "out of gamut is set beside that mark."
        ),
    ),
    _Column(
        mark("Marks here"),
        "marks",
        mark("out of gamut, blocked shadows"),
        mark("Every kind of loss that holds for this pixel, whether its mark is shown or not."),
    ),
)


class ProbeLine(QWidget):
    """The probe's figures, each in a place of its own so that nothing jumps; in a narrow window
    they stand in two rows or more, in a low one in a single line without captions."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.reading = Reading()
        self._low = False
        self._empty = True
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setAccessibleName(tr("Under the pointer"))
        self.setProperty("why", "paper")
        self.setCursor(Qt.CursorShape.WhatsThisCursor)
        self.show_reading(None)

    def show_reading(self, shown: Reading | None) -> None:
        """Show figures, or dashes when nothing is pointed at."""
        self.reading = shown or Reading()
        self._empty = shown is None
        self.setAccessibleDescription(
            f"{self.reading.sentence}. {tr(DELTA_E_00)}." if shown else tr(_INVITATION)
        )
        self.update()

    def show_low(self, low: bool) -> None:
        """In a low window the figures stand in one line: their units say what they are."""
        self._low = low
        self.updateGeometry()
        self.update()

    def _places(self, width: int) -> list[QRect]:
        """Where each column stands in a width."""
        places: list[QRect] = []
        left = x = self.contentsMargins().left()
        width -= self.contentsMargins().right()
        y = 0
        gap = (3 if width >= _ROOMY else 2) * theme.SPACE
        for column in _COLUMNS:
            needed = self._needed(column)
            if x > left and x + needed > width and not self._low:
                x, y = left, y + _HEIGHT
            free = 0 if self._low else 2 * theme.SPACE
            height = _LOW_HEIGHT if self._low else _HEIGHT
            places.append(QRect(x, y, max(min(needed + free, width - x), 0), height))
            x += needed + (theme.SPACE + 2 if self._low else gap)
        places[-1].setRight(width - 1)
        return places

    def _needed(self, column: _Column) -> int:
        metrics = QFontMetrics(self._figures_font())
        figures = metrics.horizontalAdvance(column.widest)
        if column.field == "file":  # in Lab it can be wider yet
            figures = max(figures, metrics.horizontalAdvance(self.reading.file))
        if self._low:
            return figures
        captions = QFontMetrics(theme.font(theme.SMALL_PX))
        return max(figures, captions.horizontalAdvance(tr(column.caption)))

    def _figures_font(self) -> QFont:
        return theme.font(theme.SMALL_PX if self._low else theme.BODY_PX, tabular=True)

    def heightForWidth(self, width: int) -> int:
        return self._places(width)[-1].bottom() + 1

    def sizeHint(self) -> QSize:
        return QSize(self._places(10_000)[-1].left() + 240, self.heightForWidth(10_000))

    def minimumSizeHint(self) -> QSize:
        return QSize(240, _LOW_HEIGHT if self._low else _HEIGHT)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A column that is clicked says why its figure is what it is."""
        for column, place in zip(_COLUMNS, self._places(self.width()), strict=True):
            if place.contains(event.position().toPoint()):
                explain(column.field, self, place)
                return
        super().mousePressEvent(event)

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            for column, place in zip(_COLUMNS, self._places(self.width()), strict=True):
                if place.contains(event.pos()):
                    value = getattr(self.reading, column.field)
                    name = f"<p>{tr(column.caption)}: {value}</p>" if self._low else ""
                    about = f"{name}<p>{tr(column.about)}</p>"
                    if column.field == "outside":
                        about += f"<p>{tr(DELTA_E_00)}</p>"
                    QToolTip.showText(event.globalPos(), about, self, place)
                    return True
        return super().event(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        middle = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        if self._low and self._empty:
            painter.setFont(theme.font(theme.SMALL_PX))
            painter.setPen(QColor(theme.QUIET))
            painter.drawText(self.contentsRect(), middle, tr(_INVITATION))
            painter.end()
            return
        for column, place in zip(_COLUMNS, self._places(self.width()), strict=True):
            box = place
            if not self._low:
                painter.setFont(theme.font(theme.SMALL_PX))
                painter.setPen(QColor(theme.QUIET))
                caption = tr(column.caption)
                if column.field == "file" and self.reading.scale:
                    caption = f"{caption}, {self.reading.scale}"
                painter.drawText(place.topLeft() + QPoint(0, 14), caption)
                box = QRect(place.x(), place.y() + 18, place.width(), 20)
            painter.setFont(self._figures_font())
            painter.setPen(QColor(theme.TEXT))
            value = painter.fontMetrics().elidedText(
                getattr(self.reading, column.field), Qt.TextElideMode.ElideRight, box.width()
            )
            painter.drawText(box, middle, value)
        painter.end()
