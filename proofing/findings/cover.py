"""Marks at the size of the view: cells that lose something become smooth areas of its pixels."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
import numpy.typing as npt

from proofing.findings.kinds import Kind

UInt8 = npt.NDArray[np.uint8]
Float32 = npt.NDArray[np.float32]

MARKED_FROM = 0.25
"""Share of a cell from which it bears a mark."""


def mark_bits(
    maps: Mapping[Kind, Float32],
    kinds: Iterable[Kind],
    cell_px: int,
    scale: float,
    offset: tuple[float, float],
    size: tuple[int, int],
) -> UInt8:
    """One value for each device pixel, so that textures keep their pitch at any zoom.

    A point ``x`` of the picture, in its pixels from the left edge, lies at ``x * scale + offset``
    of the view, in device pixels from the view's left edge.

    Parameters
    ----------
    maps
        (R, C) lost share of each cell, 0..1, by kind.
    kinds
        Which to draw.
    cell_px
        Side of a cell in pixels of the picture.
    scale, offset
        Where the picture lies in the view; the offset is (x, y).
    size
        (height, width) of the view.

    Returns
    -------
    ndarray
        (height, width) uint8 of :attr:`Kind.bit <proofing.findings.kinds.Kind.bit>`. The border
        of an area runs smoothly between the middles of cells.
    """
    from PIL import Image

    height, width = size
    bits = np.zeros(size, dtype=np.uint8)
    for kind in kinds:
        cells = (maps[kind] >= MARKED_FROM).astype(np.float32)
        if not cells.any() or not height or not width:
            continue
        side = cell_px * scale  # of a cell in the view
        rows, columns = cells.shape
        left, right = _visible(offset[0], columns * side, width)
        top, bottom = _visible(offset[1], rows * side, height)
        if right <= left or bottom <= top:
            continue
        box = (
            max((left - offset[0]) / side, 0.0),
            max((top - offset[1]) / side, 0.0),
            min((right - offset[0]) / side, float(columns)),
            min((bottom - offset[1]) / side, float(rows)),
        )
        drawn = Image.fromarray(cells).resize(
            (right - left, bottom - top), Image.Resampling.BILINEAR, box
        )
        bits[top:bottom, left:right] |= np.where(
            np.asarray(drawn) >= 0.5, np.uint8(kind.bit), np.uint8(0)
        )
    return bits


def _visible(offset: float, length: float, limit: int) -> tuple[int, int]:
    """First and last + 1 device pixel of the view that the picture reaches."""
    return max(0, int(np.floor(offset + 1e-6))), min(limit, int(np.ceil(offset + length - 1e-6)))
