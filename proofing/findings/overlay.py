"""Textures that mark what is lost, drawn over a picture.

One texture for each kind, told apart by *shape* first, so that a mark reads in greyscale, to
colour-blind eyes and on a photocopy:

====================  =====================  ====================================================
out of gamut          open rings             a colour with nothing to fill it
blocked shadows       level dashes           what lies at the bottom
blown highlights      upright dashes         what rises to the top
clipped in the file   diagonal crosses       struck out before any printing
beyond this screen    dots                   the screen's own points
flattened colour      chevrons               a fold pressed flat
banding risk          stairs                 the steps that would show
====================  =====================  ====================================================

Every stroke is a light and a dark line side by side, so that it reads on dark and on light parts
of a picture alike; hue comes second and is muted. The strokes of the kinds sit at different
places of a tile, so that kinds that meet in one pixel show side by side and none hides another.
A region has no outline: a speck smaller than the distance between two strokes may show nothing.

Nothing here depends on time; a mark never blinks.
"""

from __future__ import annotations

import functools
from collections.abc import Iterable
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from proofing.findings.kinds import ALL_BITS, Kind, bits_of

UInt8 = npt.NDArray[np.uint8]
Float = npt.NDArray[np.float64]

CELL_PX = 11
"""Side of one cell at scale 1; a tile is two by two cells: rings, crosses, chevrons and stairs have
one each."""

# Light and dark of each pair, sRGB. CIELAB chroma below 16, lightness 90 +- 2 and 20 +- 3.
_PAIRS: MappingProxyType[Kind, tuple[tuple[int, int, int], tuple[int, int, int]]] = (
    MappingProxyType(
        {
            Kind.OUT_OF_GAMUT: ((239, 226, 197), (57, 47, 24)),
            Kind.BLOCKED_SHADOWS: ((206, 232, 228), (21, 51, 48)),
            Kind.BLOWN_HIGHLIGHTS: ((226, 231, 203), (44, 50, 27)),
            Kind.CLIPPED_IN_FILE: ((243, 222, 212), (62, 43, 35)),
            Kind.BEYOND_SCREEN: ((226, 223, 240), (46, 45, 62)),
            Kind.FLATTENED_COLOUR: ((241, 221, 228), (61, 43, 50)),
            Kind.BANDING_RISK: ((212, 229, 240), (31, 50, 60)),
        }
    )
)
_OWN_CELL = {
    Kind.OUT_OF_GAMUT: (0, 0),
    Kind.CLIPPED_IN_FILE: (1, 0),
    Kind.FLATTENED_COLOUR: (1, 1),
    Kind.BANDING_RISK: (0, 1),
}  # column and row in the tile
_CORE_ALPHA = 0.94
_HALO_ALPHA = 0.72
_SUPERSAMPLING = 8
_DOT_PX = 1.35


def _segment(x: Float, y: Float, half_x: float, half_y: float) -> Float:
    """Distance to an axis-parallel segment through the origin."""
    return np.hypot(np.maximum(np.abs(x) - half_x, 0), np.maximum(np.abs(y) - half_y, 0))


def _line(x: Float, y: Float, a: tuple[float, float], b: tuple[float, float]) -> Float:
    """Distance to the segment from a to b."""
    along = np.array(b) - a
    t = np.clip(((x - a[0]) * along[0] + (y - a[1]) * along[1]) / (along @ along), 0.0, 1.0)
    return np.asarray(np.hypot(x - a[0] - t * along[0], y - a[1] - t * along[1]))


def _stroke(kind: Kind, x: Float, y: Float) -> tuple[Float, float, float]:
    """Distance of points to a kind's strokes, and the half widths of core and halo, in pixels."""

    def around(offset: float, period: float, t: Float) -> Float:
        return (t - offset + period / 2) % period - period / 2

    middle, edge = CELL_PX * 0.55, CELL_PX * 0.05
    u, v = around(middle, CELL_PX, x), around(middle, CELL_PX, y)
    if kind in _OWN_CELL:
        column, row = (np.floor((t - edge) / CELL_PX) % 2 for t in (x, y))
        if kind is Kind.OUT_OF_GAMUT:
            distance = np.abs(np.hypot(u, v) - 2.7)
        elif kind is Kind.CLIPPED_IN_FILE:
            p, q = (u + v) / np.sqrt(2), (u - v) / np.sqrt(2)
            distance = np.minimum(_segment(p, q, 3.8, 0), _segment(p, q, 0, 3.8))
        elif kind is Kind.FLATTENED_COLOUR:
            distance = _line(np.abs(u), v, (0.0, -2.0), (3.6, 2.2))
        else:
            distance = np.minimum(
                _segment(u, v, 0, 1.9),
                np.minimum(_segment(u + 1.9, v - 1.9, 1.9, 0), _segment(u - 1.9, v + 1.9, 1.9, 0)),
            )
        return np.where((column == _OWN_CELL[kind][0]) & (row == _OWN_CELL[kind][1]), distance,
                        np.inf), 0.66, 1.4  # fmt: skip
    if kind is Kind.BLOCKED_SHADOWS:
        return _segment(u, around(edge, CELL_PX, y), 2.6, 0), 0.66, 1.45
    if kind is Kind.BLOWN_HIGHLIGHTS:
        return _segment(around(edge, CELL_PX, x), v, 0, 2.6), 0.66, 1.45
    # A light dot beside a dark one, not inside it: a dot with a halo would pass for a ring.
    u, v = around(edge, CELL_PX, x), around(edge, CELL_PX, y)
    lit, dim = np.hypot(u + 1, v + 1), np.hypot(u - 1, v - 1)
    return np.where(lit <= _DOT_PX, lit, dim + _DOT_PX), _DOT_PX, 2 * _DOT_PX


def _tile_side(scale: float) -> int:
    return max(2, round(2 * CELL_PX * scale))


def _tile(kind: Kind, side: int) -> Float:
    """One kind's tile, (side, side, 4) premultiplied BGRA in 0..1."""
    fine = side * _SUPERSAMPLING
    t = (np.arange(fine) + 0.5) * (2 * CELL_PX / fine)
    x, y = np.meshgrid(t, t)
    distance, core, halo = _stroke(kind, x, y)
    light, dark = (np.array(rgb[::-1]) / 255 for rgb in _PAIRS[kind])
    if kind is Kind.BLOWN_HIGHLIGHTS:  # sits on the lightest parts: its core is the dark line
        light, dark = dark, light
    tile = np.zeros((fine, fine, 4))
    for colour, alpha, width in ((dark, _HALO_ALPHA, halo), (light, _CORE_ALPHA, core)):
        tile[distance <= width] = (*colour * alpha, alpha)
    blocks = tile.reshape(side, _SUPERSAMPLING, side, _SUPERSAMPLING, 4)
    return np.asarray(blocks.mean(axis=(1, 3)))


def _to_uint8(tile: Float) -> UInt8:
    return np.asarray(np.rint(tile * 255.0), dtype=np.uint8)


@functools.lru_cache(maxsize=8)
def tiles(scale: float = 1.0) -> MappingProxyType[Kind, UInt8]:
    """The texture of each kind, to be laid edge to edge.

    Parameters
    ----------
    scale
        Device pixels per logical pixel; the textures keep their size to the eye.

    Returns
    -------
    mapping of Kind to ndarray
        (side, side, 4) ``uint8``, premultiplied BGRA, read-only; ``side = 22 scale`` rounded.

    Examples
    --------
    >>> tiles(1.0)[Kind.OUT_OF_GAMUT].shape
    (22, 22, 4)
    """
    side = _tile_side(scale)
    made: dict[Kind, UInt8] = {}
    for kind in Kind:
        tile = _to_uint8(_tile(kind, side))
        tile.flags.writeable = False
        made[kind] = tile
    return MappingProxyType(made)


@functools.lru_cache(maxsize=8)
def _table(scale: float, strength: float) -> npt.NDArray[np.uint32]:
    """Every combination of kinds: (128, side, side) packed BGRA."""
    side = _tile_side(scale)
    layers = {kind.bit: _tile(kind, side) for kind in Kind}
    table = np.zeros((ALL_BITS + 1, side, side, 4), dtype=np.uint8)
    for bits in range(1, ALL_BITS + 1):
        joined = np.zeros((side, side, 4))
        for bit, layer in layers.items():
            if bits & bit:  # premultiplied "over" (Porter and Duff 1984)
                joined = layer + joined * (1.0 - layer[..., 3:])
        table[bits] = _to_uint8(joined * strength)
    packed = table.view(np.uint32)[..., 0]
    packed.flags.writeable = False
    return packed


def overlay(
    bits: UInt8,
    shown: Iterable[Kind] = tuple(Kind),
    scale: float = 1.0,
    origin: tuple[int, int] = (0, 0),
    strength: float = 1.0,
    out: UInt8 | None = None,
) -> UInt8:
    """Marks for a picture as the screen shows it, one texture pixel per mask pixel.

    Parameters
    ----------
    bits
        (h, w) ``uint8``; each pixel the sum of the bits of the kinds lost there
        (:attr:`Kind.bit <proofing.findings.kinds.Kind.bit>`).
    shown
        Which kinds to draw.
    scale
        Device pixels per logical pixel.
    origin
        (x, y) of the mask's first pixel in the texture, so that the texture stays with the
        picture while it is moved.
    strength
        0 draws nothing, 1 draws in full.
    out
        (h, w, 4) ``uint8``, C-contiguous, to be overwritten and returned.

    Returns
    -------
    ndarray
        (h, w, 4) ``uint8``, premultiplied BGRA, transparent where nothing is lost.

    Examples
    --------
    >>> bool(overlay(np.zeros((4, 6), np.uint8)).any())
    False
    """
    height, width = bits.shape
    if out is None:
        out = np.empty((height, width, 4), dtype=np.uint8)
    kept = bits & np.uint8(bits_of(frozenset(shown)))
    if strength <= 0 or not kept.any():
        out[...] = 0
        return out
    table = _table(float(scale), round(min(float(strength), 1.0), 3))
    side = table.shape[1]
    flat = table.reshape(-1)
    packed = out.reshape(height, width * 4).view(np.uint32)
    across = ((np.arange(width) + origin[0]) % side).astype(np.int32)
    area = np.int32(side * side)
    for y in range(height):  # one row at a time keeps table and indices in the processor's cache
        row = kept[y]
        if not row.any():
            packed[y] = 0
            continue
        index = row.astype(np.int32) * area
        index += across
        index += np.int32(((y + origin[1]) % side) * side)
        np.take(flat, index, out=packed[y], mode="clip")
    return out


def composite(bgrx: UInt8, marks: UInt8) -> UInt8:
    """A picture with its marks on it.

    Parameters
    ----------
    bgrx
        (h, w, 4) ``uint8`` picture.
    marks
        (h, w, 4) ``uint8`` premultiplied BGRA from :func:`overlay`.

    Returns
    -------
    ndarray
        (h, w, 4) ``uint8``; the fourth byte is that of the picture.
    """
    result = bgrx.copy()
    rows, columns = np.nonzero(marks[..., 3])
    mark = marks[rows, columns].astype(np.uint16)
    under = bgrx[rows, columns, :3].astype(np.uint16)
    rest = 255 - mark[:, 3:]
    result[rows, columns, :3] = mark[:, :3] + (under * rest + 127) // 255
    return result
