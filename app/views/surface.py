"""A hint of a print's surface: the relief of canvas and tooth, and what mirrors in gloss or glass.

Drawn, not measured: shapes and sizes are typical of a class of paper (common practice). It lies on
the drawing of a print and nowhere else; no number, mark or file knows of it. Neutral by its making:
black and white at a few per cent.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPointF, QRect, QRectF
from PySide6.QtGui import QBrush, QColor, QImage, QLinearGradient, QPainter, QPixmap

if TYPE_CHECKING:
    from proofing.engine import Baked

Bytes = npt.NDArray[np.uint8]

PERIOD_MM = {
    "woven": 0.9, "textured": 1.4, "pebbled": 0.7, "fine grain": 0.35, "smooth": 0.0,
}  # fmt: skip
"""Distance from thread to thread, or from bump to bump (common practice)."""
DEPTH = {"woven": 0.10, "textured": 0.07, "pebbled": 0.05, "fine grain": 0.025, "smooth": 0.0}
"""Share of light or shade at the strongest slope."""
_LEAST_PX = 2.0  # from bump to bump: what is finer is not resolved, and from twice that on all is
_TILE_PX = 240
_LIGHT = 0.35
_GLOSS_FULL_GU = 90.0
_MIRROR = 0.16  # of white, for a gloss of that or a pane that reflects a tenth
_SHARP_FROM_GU = 40.0


@dataclass(frozen=True)
class SurfaceHint:
    """What of a print's surface is hinted at.

    Attributes
    ----------
    texture
        A key of :data:`PERIOD_MM`; others count as smooth.
    gloss_GU
        Gloss at 60 degrees.
    pane
        Luminous reflectance of the glazing, 0 for none.
    pixel_mm
        Side of a pixel of the photograph on the print.
    """

    texture: str
    gloss_GU: float
    pane: float
    pixel_mm: float

    @classmethod
    def of(cls, baked: Baked, pixel_mm: float) -> SurfaceHint:
        """Of a print in its room."""
        request = baked.request
        pane = float(np.mean(request.room.glazing.reflectance))
        stock = request.stock
        return cls(stock.texture, float(stock.surface.gloss_60_GU), pane, pixel_mm)


@functools.lru_cache(maxsize=24)
def relief(texture: str, px_per_mm: float) -> Bytes | None:
    """A tile of light and shade, (240, 240, 4) premultiplied BGRA that continues on all sides.

    Parameters
    ----------
    texture
        A key of :data:`PERIOD_MM`.
    px_per_mm
        Monitor pixels on a millimetre of the print.

    Returns
    -------
    ndarray or None
        None where the relief is too fine to be resolved, or there is none.
    """
    period = PERIOD_MM.get(texture, 0.0) * px_per_mm
    if period < _LEAST_PX:
        return None
    count = max(1, round(_TILE_PX / period))  # whole periods, so that the tile continues
    slope = _weave(count) if texture == "woven" else _grain(count)
    seen = min(1.0, (period - _LEAST_PX) / _LEAST_PX)
    shade = DEPTH[texture] * seen * np.clip(slope, -1.0, 1.0)
    shade = np.where(shade > 0.0, _LIGHT * shade, shade)  # white laid over black lifts it most
    tile = np.zeros((_TILE_PX, _TILE_PX, 4), np.uint8)
    alpha = np.rint(255.0 * np.abs(shade)).astype(np.uint8)
    tile[..., 3] = alpha
    tile[..., :3] = np.where(shade > 0.0, alpha, 0)[..., None]
    return tile


def _weave(count: int) -> npt.NDArray[np.float64]:
    """Slope towards the light, from above left, of threads that go over and under one another."""
    y, x = np.mgrid[0:_TILE_PX, 0:_TILE_PX] * (math.pi * 2 * max(count // 2, 1) / _TILE_PX)
    over = np.cos(x) * np.cos(y) > 0.0
    height = np.where(over, np.abs(np.cos(2 * y)), np.abs(np.cos(2 * x)))
    return _lit(height)


def _grain(count: int) -> npt.NDArray[np.float64]:
    """The same of bumps at random, about `count` across the tile; always the same ones."""
    noise = np.random.default_rng(7).standard_normal((_TILE_PX, _TILE_PX))
    f = np.hypot(*np.meshgrid(*[np.fft.fftfreq(_TILE_PX, 1.0 / _TILE_PX)] * 2))
    band = np.exp(-0.5 * ((f - count) / max(0.35 * count, 0.5)) ** 2)
    return _lit(np.fft.ifft2(np.fft.fft2(noise) * band).real)


def _lit(height: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    slope = height - np.roll(np.roll(height, 1, axis=0), 1, axis=1)
    largest = float(np.quantile(np.abs(slope), 0.98))
    return slope / max(largest, 1e-12)


def mirror_strength(hint: SurfaceHint) -> float:
    """How bright the hint of a reflection is, as a share of white: the pane's where there is one.

    >>> mirror_strength(SurfaceHint("smooth", 3.0, 0.0, 0.1)) < 0.01
    True
    >>> mirror_strength(SurfaceHint("smooth", 75.0, 0.0, 0.1)) > 0.1
    True
    """
    gloss = min(hint.gloss_GU / _GLOSS_FULL_GU, 1.0)
    own = _MIRROR * gloss if hint.gloss_GU >= 10.0 else 0.0
    return max(own, min(_MIRROR, _MIRROR * hint.pane / 0.10))


def paint_surface(
    painter: QPainter, hint: SurfaceHint, paper: QRect, pane: QRect, px_per_mm: float
) -> None:
    """Lay the hint over a print.

    Parameters
    ----------
    painter
        In device pixels.
    hint
        What to draw.
    paper
        The sheet with its margin.
    pane
        What is in sight: a reflection stays where it is while the print moves under it.
    px_per_mm
        Monitor pixels on a millimetre of the print.
    """
    painter.save()
    painter.setClipRect(paper.intersected(pane))
    tile = relief(hint.texture, round(px_per_mm, 2)) if hint.pane <= 0.0 else None
    if tile is not None:
        image = QImage(
            tile.data, _TILE_PX, _TILE_PX, 4 * _TILE_PX, QImage.Format.Format_ARGB32_Premultiplied
        )
        brush = QBrush(QPixmap.fromImage(image))
        painter.setBrushOrigin(paper.topLeft())
        painter.fillRect(paper, brush)
    strength = mirror_strength(hint)
    if strength > 0.0:
        _paint_mirror(painter, QRectF(pane), strength, hint)
    painter.restore()


def _paint_mirror(painter: QPainter, pane: QRectF, strength: float, hint: SurfaceHint) -> None:
    """A bright window that leans across the print: sharp in glass and gloss, wide in half gloss."""
    sharp = hint.pane > 0.0 or hint.gloss_GU >= _SHARP_FROM_GU
    begin = QPointF(pane.left() + 0.30 * pane.width(), pane.top())
    end = QPointF(pane.left() + 0.85 * pane.width(), pane.top() + 0.45 * pane.height())
    gradient = QLinearGradient(begin, end)
    edge = 0.04 if sharp else 0.30
    bright = QColor(255, 255, 255, round(255 * strength))
    clear = QColor(255, 255, 255, 0)
    for at, colour in (
        (0.0, clear), (0.35 - edge, clear), (0.35, bright), (0.65, bright), (0.65 + edge, clear),
        (1.0, clear),
    ):  # fmt: skip
        gradient.setColorAt(min(max(at, 0.0), 1.0), colour)
    painter.fillRect(pane, QBrush(gradient))
