"""The legend of the marks: which are shown, what they look like, how much each one holds."""

from __future__ import annotations

import functools
import math
from collections.abc import Mapping

import numpy as np
from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QBrush, QColor, QImage, QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import (
    QCheckBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QSlider,
    QWidget,
)

from app import theme
from app.helping import where_drawn
from app.panels.button import Button
from app.panels.why_card import WhyButton
from app.state.commands import MARK_STRENGTHS
from app.views.canvas import image_over
from app.words import DELTA_E_00
from proofing.findings.kinds import Kind
from proofing.findings.overlay import tiles
from proofing.findings.words import share_in_words
from proofing.language import tr

_PENDING, _NOTHING = "…", "–"
_SWATCH, _LOW_SWATCH = QSize(44, 24), QSize(44, 20)  # whole strokes fit into both


@functools.lru_cache(maxsize=64)
def _whole(kind: Kind, ratio: float, width: int, height: int) -> tuple[int, int]:
    """Where in a texture's tile a field of some device pixels begins, x and y, so that its edges
    cut through as little of a stroke as can be and what is in it stands in the middle."""
    ink = tiles(ratio)[kind][..., 3].astype(float)
    begins = []
    for along, length in ((ink.sum(axis=0), width), (ink.sum(axis=1), height)):
        field = np.resize(along, len(along) + length)
        best = (math.inf, math.inf, 0)
        for first in range(len(along)):
            seen = field[first : first + length]
            cut = float(seen[0] + seen[-1])
            inked = np.flatnonzero(seen)
            off = abs(inked[0] + inked[-1] - (length - 1)) if len(inked) else math.inf
            best = min(best, (cut, off, first))
        begins.append(best[2])
    return begins[0], begins[1]


class Swatch(QWidget):
    """A mark's texture on a middle grey, with no stroke cut in two."""

    def __init__(self, kind: Kind, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._kind = kind
        self.setFixedSize(_SWATCH)

    def paintEvent(self, event: QPaintEvent) -> None:
        ratio = self.devicePixelRatioF()
        tile = image_over(tiles(ratio)[self._kind], QImage.Format.Format_ARGB32_Premultiplied)
        painter = QPainter(self)
        painter.scale(1 / ratio, 1 / ratio)
        box = QRect(0, 0, round(self.width() * ratio), round(self.height() * ratio))
        painter.fillRect(box, QColor("#8c8c8c"))
        texture = QBrush(QPixmap.fromImage(tile))
        x, y = _whole(self._kind, ratio, box.width(), box.height())
        painter.setBrushOrigin(-x, -y)
        painter.fillRect(box, texture)
        painter.end()


class MarksPanel(QWidget):
    """One line for each kind.

    Signals
    -------
    toggled : str
        Id of the command that shows or hides a kind.
    tolerance_asked : ()
        How far off counts as out of gamut is to be chosen.
    strengthened : float
        How strongly marks are to be drawn, 0 to 1.
    """

    toggled = Signal(str)
    tolerance_asked = Signal()
    strengthened = Signal(float)

    def __init__(self, shortcuts: Mapping[str, str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(tr("Marks"))
        self._low, self._over = False, 0.0
        self.boxes: dict[Kind, QCheckBox] = {}
        self.shares: dict[Kind, QLabel] = {}
        self.whys: dict[Kind, WhyButton] = {}
        self._swatches = {kind: Swatch(kind) for kind in Kind}
        self._grid = grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(theme.SPACE + 2)
        grid.setVerticalSpacing(2)
        grid.setColumnStretch(1, 1)
        figures = theme.font(theme.BODY_PX, tabular=True)
        for line, kind in enumerate(Kind):
            command = f"mark_{kind.value}"
            box = QCheckBox(kind.title)
            where = where_drawn(kind)
            keys = shortcuts.get(command, "")
            box.setToolTip(f"{kind.sentence} {where}" + (f" ({keys})" if keys else ""))
            box.setAccessibleDescription(f"{kind.sentence} {where}")
            box.clicked.connect(lambda _=False, id=command: self.toggled.emit(id))
            share = QLabel(_NOTHING)
            share.setFont(figures)
            share.setMinimumWidth(share.fontMetrics().horizontalAdvance("under 0.1 %") + 4)
            share.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
            self.boxes[kind], self.shares[kind] = box, share
            grid.addWidget(self._swatches[kind], line, 0)
            words = QHBoxLayout()
            words.setSpacing(2)
            words.addWidget(box)
            if kind is Kind.OUT_OF_GAMUT:
                words.addWidget(self._tolerance())
            words.addStretch(1)
            grid.addLayout(words, line, 1)
            grid.addWidget(share, line, 2)
            box.setProperty("why", kind.value)
            self.whys[kind] = WhyButton(kind.value)
            grid.addWidget(self.whys[kind], line, 3)
        grid.addLayout(self._strength(), len(Kind), 0, 1, 4)

    def _strength(self) -> QHBoxLayout:
        self.strength = QSlider(Qt.Orientation.Horizontal)
        self.strength.setRange(round(20 * MARK_STRENGTHS[0]), round(20 * MARK_STRENGTHS[-1]))
        self.strength.setPageStep(4)
        self.strength.setAccessibleName(tr("Strength of the marks"))
        self.strength.setToolTip(
            tr("How strongly the marks are drawn. Hold M to see without them.")
        )
        self.strength.valueChanged.connect(lambda value: self.strengthened.emit(value / 20))
        line = QHBoxLayout()
        label = QLabel(tr("Strength"))
        label.setProperty("quiet", True)
        hint = QLabel(tr("hold M: without marks"))
        hint.setProperty("quiet", True)
        for part in (label, hint):
            part.setFont(theme.font(theme.SMALL_PX))
        line.addWidget(label)
        line.addWidget(self.strength, 1)
        line.setSpacing(theme.SPACE)
        line.addWidget(hint)
        return line

    def show_strength(self, strength: float) -> None:
        """How strongly marks are drawn."""
        was = self.strength.blockSignals(True)
        self.strength.setValue(round(20 * strength))
        self.strength.blockSignals(was)

    def _tolerance(self) -> QWidget:
        self.tolerance = Button()
        self.tolerance.setToolTip(
            tr(
                "<p>From where on a colour counts as out of gamut.</p><p>{DELTA_E_00}.</p>",
                DELTA_E_00=tr(DELTA_E_00),
            )
        )
        self.tolerance.setAccessibleDescription(
            tr(
                "From where on a colour counts as out of gamut. {DELTA_E_00}.",
                DELTA_E_00=tr(DELTA_E_00),
            )
        )
        self.tolerance.setFlat(True)
        self.tolerance.setFont(theme.font(theme.SMALL_PX))
        self.tolerance.setStyleSheet(
            f"QPushButton {{ border: none; padding: 0 2px; color: {theme.QUIET};"
            "text-decoration: underline; }"
            f"QPushButton:hover {{ color: {theme.TEXT}; background: transparent; }}"
            f"QPushButton:focus {{ border: 1px solid {theme.FOCUS}; }}"
        )
        self.tolerance.clicked.connect(self.tolerance_asked)
        return self.tolerance

    def show_low(self, low: bool) -> None:
        """In a low window the lines stand closer."""
        self._low = low
        self._say_tolerance()
        self._grid.setVerticalSpacing(1 if low else 2)
        for swatch in self._swatches.values():
            swatch.setFixedSize(_LOW_SWATCH if low else _SWATCH)
        self._grid.activate()  # now, so that what is around it can be laid out

    def show_marks(self, shown: frozenset[Kind], tolerance: float) -> None:
        """Which kinds are on, and from where a colour counts as out of gamut (dE00)."""
        for kind, box in self.boxes.items():
            was = box.blockSignals(True)
            box.setChecked(kind in shown)
            box.blockSignals(was)
        self._over = tolerance
        self._say_tolerance()

    def _say_tolerance(self) -> None:
        over = f"{self._over:g} ΔE00"
        self.tolerance.setText(
            tr("over {over}", over=over) if self._low else tr("by over {over}", over=over)
        )
        self.tolerance.setAccessibleName(
            tr("Gamut tolerance: {over:g} delta E 2000", over=self._over)
        )

    def show_shares(self, shares: Mapping[Kind, float] | None, *, counting: bool = True) -> None:
        """Share of each kind; None while they are being counted, or there is nothing to count.
        Kinds that are left out are still being counted."""
        for kind, label in self.shares.items():
            if shares is not None and kind in shares:
                text = share_in_words(shares[kind])
                spoken = tr("{share} of the picture", share=text)
            else:
                text = _PENDING if counting else _NOTHING
                spoken = tr("being counted") if counting else tr("nothing to count")
            label.setText(text)
            label.setAccessibleName(f"{kind.title}: {spoken}")
