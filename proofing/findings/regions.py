"""Places in a picture: cells that lose something become a few regions that can be pointed at."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from proofing.language import mark, tr

Float = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]

JOIN_ARCMIN = 12.0
"""Cells with a gap up to about twice this between them are seen as one place."""
LEAST_ARCMIN = 20.0
"""A place smaller than a square of this side is not pointed at: about a fingernail at arm's
length, by area (common practice)."""
LEAST_SHARE = 1e-3
"""Nor one of less than this share of the picture."""
_LEAST_OUTLINE = 8.0  # cells; smaller holes in a place are not outlined
EDGE_RANK = 0.5
"""What a place in the corner of a picture counts, one in the middle counting 1."""


@dataclass(frozen=True, eq=False)
class Region:
    """A place in a picture.

    Attributes
    ----------
    box
        (x, y, width, height) in pixels of the file.
    outlines
        Closed lines, (N, 2) x and y in pixels of the file.
    pixels
        Pixels of the file that are lost in it.
    share
        Share of the picture's opaque pixels, 0..1.
    rank
        Loss x area x centrality: what is worse comes first.
    where
        A word or two: 'lower left'.
    cells
        (R, C) the cells of the scan that belong to it.
    """

    box: tuple[int, int, int, int]
    outlines: tuple[Float, ...] = field(repr=False)
    pixels: float
    share: float
    rank: float
    where: str
    cells: Mask = field(repr=False)


@dataclass(frozen=True, eq=False)
class Regions:
    """All places of one kind of loss.

    Attributes
    ----------
    found
        The worst first.
    rest
        Pixels in places too small to be pointed at.
    pixels
        All pixels lost.
    """

    found: tuple[Region, ...]
    rest: float
    pixels: float


def find_regions(
    lost: Float,
    loss: Float,
    total: Float,
    *,
    cell_px: int,
    cell_arcmin: float,
    size: tuple[int, int],
) -> Regions:
    """Join cells to regions.

    Parameters
    ----------
    lost
        (R, C) pixels of each cell that are lost.
    loss
        (R, C) how much each of them matters, in any unit.
    total
        (R, C) opaque pixels of each cell.
    cell_px, cell_arcmin
        Side of a cell.
    size
        (height, width) of the picture in pixels.

    Returns
    -------
    Regions
        Cells that are lost by less than a quarter belong to none, and count as rest.
    """
    from scipy.ndimage import binary_closing, find_objects, label

    everything = float(total.sum())
    all_lost = float(lost.sum())
    mask = lost > 0.25 * np.maximum(total, 1.0)
    if not mask.any() or everything <= 0.0:
        return Regions((), all_lost, all_lost)
    reach = max(1, round(JOIN_ARCMIN / cell_arcmin))
    disc = np.hypot(*np.mgrid[-reach : reach + 1, -reach : reach + 1]) <= reach + 0.5
    padded = np.pad(mask, reach)
    joined = binary_closing(padded, disc)[reach:-reach, reach:-reach] | mask
    names, _ = label(joined, np.ones((3, 3)))
    least = max(LEAST_ARCMIN**2 / cell_arcmin**2, 1.0)  # in cells
    found: list[Region] = []
    pointed_at = 0.0
    for name, place in enumerate(find_objects(names), start=1):
        inside = names[place] == name
        own = inside & mask[place]
        pixels = float(lost[place][own].sum())
        filled = float((lost[place][own] / np.maximum(total[place][own], 1.0)).sum())
        if filled < least or pixels / everything < LEAST_SHARE:
            continue
        cells = np.zeros_like(mask)
        cells[place] = inside & (lost[place] > 0.0)
        pixels = float(lost[cells].sum())
        pointed_at += pixels
        centrality = _centrality(cells, lost)
        found.append(
            Region(
                box=_box(place, cell_px, size),
                outlines=_outlines(names == name, place, cell_px, size),
                pixels=pixels,
                share=pixels / everything,
                rank=float((loss * lost)[cells].sum()) / everything * centrality,
                where=place_in_words(cells, lost),
                cells=cells,
            )
        )
    found.sort(key=lambda region: -region.rank)
    return Regions(tuple(found), all_lost - pointed_at, all_lost)


def joined(regions: Sequence[Region]) -> Region:
    """Several regions as one, which goes by the words of the first."""
    if len(regions) == 1:
        return regions[0]
    boxes = np.array([region.box for region in regions])
    left, top = boxes[:, :2].min(axis=0)
    right, bottom = (boxes[:, :2] + boxes[:, 2:]).max(axis=0)
    return Region(
        box=(int(left), int(top), int(right - left), int(bottom - top)),
        outlines=tuple(line for region in regions for line in region.outlines),
        pixels=sum(region.pixels for region in regions),
        share=sum(region.share for region in regions),
        rank=sum(region.rank for region in regions),
        where=regions[0].where,
        cells=np.logical_or.reduce([region.cells for region in regions]),
    )


def _box(
    place: tuple[slice, ...], cell_px: int, size: tuple[int, int]
) -> tuple[int, int, int, int]:
    rows, columns = place
    top, left = rows.start * cell_px, columns.start * cell_px
    bottom, right = min(rows.stop * cell_px, size[0]), min(columns.stop * cell_px, size[1])
    return left, top, right - left, bottom - top


def _centroid(cells: Mask, lost: Float) -> tuple[float, float]:
    """Down and across, 0..1."""
    weight = np.where(cells, lost, 0.0)
    rows, columns = cells.shape
    down = float((weight.sum(axis=1) * (np.arange(rows) + 0.5)).sum() / weight.sum()) / rows
    across = float((weight.sum(axis=0) * (np.arange(columns) + 0.5)).sum() / weight.sum()) / columns
    return down, across


def _centrality(cells: Mask, lost: Float) -> float:
    down, across = _centroid(cells, lost)
    away = math.hypot(down - 0.5, across - 0.5) / math.hypot(0.5, 0.5)
    return 1.0 - (1.0 - EDGE_RANK) * away


_CORNERS = {
    ("upper", "left"): mark("upper left"),
    ("upper", "right"): mark("upper right"),
    ("", "left"): mark("middle left"),
    ("", "right"): mark("middle right"),
    ("lower", "left"): mark("lower left"),
    ("lower", "right"): mark("lower right"),
}


def place_in_words(cells: Mask, lost: Float) -> str:
    """Where cells lie in a picture: a word or two, such as 'lower left'.

    Parameters
    ----------
    cells
        (R, C), at least one of them.
    lost
        (R, C) how much each weighs; more than nothing in some of them.
    """
    rows, columns = np.nonzero(cells)
    tall = (rows.max() - rows.min() + 1) / cells.shape[0]
    wide = (columns.max() - columns.min() + 1) / cells.shape[1]
    down, across = _centroid(cells, lost)
    vertical = ("upper", "", "lower")[min(int(down * 3), 2)]
    horizontal = ("left", "", "right")[min(int(across * 3), 2)]
    if tall > 0.7 and wide > 0.7:
        return tr("all over the picture")
    if wide > 0.7:
        return {
            "upper": tr("along the top"),
            "": tr("across the middle"),
            "lower": tr("along the bottom"),
        }[vertical]
    if tall > 0.7:
        return {
            "left": tr("down the left side"),
            "": tr("down the middle"),
            "right": tr("down the right side"),
        }[horizontal]
    if not vertical and not horizontal:
        return tr("in the middle")
    if not horizontal:
        return {"upper": tr("at the top"), "lower": tr("at the bottom")}[vertical]
    return tr(_CORNERS[vertical, horizontal])


def _outlines(
    region: Mask, place: tuple[slice, ...], cell_px: int, size: tuple[int, int]
) -> tuple[Float, ...]:
    """Closed lines about the cells of a region, smoothed at the scale of a cell."""
    from contourpy import contour_generator
    from scipy.ndimage import gaussian_filter

    margin = 3
    around = np.pad(region[place].astype(np.float64), margin)
    height, width = around.shape
    x0, y0 = place[1].start - margin + 0.5, place[0].start - margin + 0.5  # middles of cells
    lines: Sequence[Float] = contour_generator(
        (np.arange(width) + x0) * cell_px,
        (np.arange(height) + y0) * cell_px,
        gaussian_filter(around, 0.8),
    ).lines(0.5)  # type: ignore[assignment]
    limit = np.array([size[1], size[0]], np.float64)
    least = _LEAST_OUTLINE * cell_px**2
    return tuple(np.clip(line, 0.0, limit) for line in lines if _area(line) >= least)


def _area(line: Float) -> float:
    """Area within a closed line (the surveyor's formula)."""
    x, y = line.T
    return 0.5 * abs(float(x[:-1] @ y[1:] - x[1:] @ y[:-1]))
