"""The scan: a picture at full resolution, summed up into cells of the size an eye takes in.

Pixels go through a table of scalar channels, tile by tile. Luminances are averaged over what the
eye cannot resolve at the viewing distance, turned into just-noticeable steps, and taken apart into
octave bands: for each cell, how much detail of which size there is in the file, on a reference
display, and on the print in its room. Memory does not grow with the picture but for the cells, and
the result is the same for any tiles.
"""

from __future__ import annotations

import functools
import math
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

import numpy as np
import numpy.typing as npt

from proofing.findings.sight import BANDS
from proofing.findings.visibility import luminance_cd_m2, steps
from proofing.lattice import Lattice, Output, apply
from proofing.lattice.table import in_parts
from proofing.photograph import Photograph

Float = npt.NDArray[np.float64]
Float32 = npt.NDArray[np.float32]
Cancel = Callable[[], bool]
Progress = Callable[[float], None]

SCAN_CHANNELS: Final = (
    "miss", "beyond", "print_steps", "file_steps", "below_paper", "print_J", "print_a", "print_b",
)  # fmt: skip
"""Scalar channels of the scan's table; its three colours are the wanted J', a', b'.

miss, beyond
    As for the marks.
print_steps, file_steps
    Just-noticeable steps up to the print's luminance in the room, and to the photograph's on the
    reference display.
below_paper
    L* from this tone up to bare paper, under the room's light; less than 0 where the file asks for
    something lighter.
print_J, print_a, print_b
    Printed colour, media-relative CAM16-UCS."""

REFERENCE_WHITE_CD_M2: Final = 160.0
"""Adobe RGB (1998) Color Image Encoding, 4.2.1: white of the reference display."""
REFERENCE_BLACK_CD_M2: Final = 0.5557
"""Adobe RGB (1998) Color Image Encoding, 4.2.1: its black."""

CELL: Final = 8
"""Working pixels a side in one cell."""
FINE: Final = 3
"""Bands taken inside tiles; the others are taken on the cells."""
RESOLVED_ARCMIN: Final = 0.75
"""Pixels are averaged while they stay below this: waves of 40 cycles per degree are kept."""
DARK_BELOW_L: Final = 40.0
"""L* in the file below which a tone counts as a shadow; the same for every stock and room, so that
shares can be compared."""
LIGHT_ABOVE_L: Final = 85.0
"""L* above which it counts as a highlight."""
BARE_L: Final = 0.5
"""L* below bare paper within which there is next to no ink..."""
BARE_TINT: Final = 1.0
"""...if it is not a tint: CAM16-UCS colourfulness beside paper that is just seen (common practice).
A cream is as light as paper, but ink is laid for it."""
TILE: Final = 512
"""Working pixels a side in a tile, without its halo."""
_HALO: Final = 16
_BAND_PIXELS: Final = 1 << 16


_NARROW = np.array([1.0, 2.0, 1.0]) / 4.0
_WIDE = np.array([1.0, 4.0, 6.0, 4.0, 1.0]) / 16.0


def pooled(sums: Float, wide: bool = False) -> Float:
    """Each cell's sums joined with its neighbours', (R, C, ...)."""
    from scipy.ndimage import convolve1d

    for axis in range(2):
        sums = convolve1d(sums, _WIDE if wide else _NARROW, axis=axis, mode="constant")
    return sums


def reference_display_cd_m2(Y: npt.ArrayLike) -> Float:
    """Luminance of the photograph on the reference display.

    Parameters
    ----------
    Y
        Media-relative luminance factor in the file.
    """
    span = REFERENCE_WHITE_CD_M2 - REFERENCE_BLACK_CD_M2
    return np.asarray(REFERENCE_BLACK_CD_M2 + span * np.clip(np.asarray(Y, np.float64), 0, 1))


@dataclass(frozen=True, eq=False)
class Tones:
    """The dark or the light part of a picture, cell by cell, (R, C) each.

    Attributes
    ----------
    weight
        Working pixels of the cell that belong to it.
    file_steps, print_steps
        Their means; 0 where there are none.
    file_energy, print_energy
        (R, C, BANDS) mean square of each band, in steps.
    file_grain, print_grain
        Standard deviation of the grain at the scale of a working pixel, in steps.
    """

    weight: Float
    file_steps: Float
    print_steps: Float
    file_energy: Float = field(repr=False)
    print_energy: Float = field(repr=False)
    file_grain: Float = field(repr=False)
    print_grain: Float = field(repr=False)


@dataclass(frozen=True, eq=False)
class Scan:
    """What a picture's cells hold.

    Attributes
    ----------
    factor
        File pixels a side in one working pixel.
    working_arcmin
        Angle of a working pixel at the viewing distance.
    size
        (height, width) of the picture in pixels.
    sums
        (R, C, SUMS) sums over the pixels of each cell, see :mod:`._scan_kernels`.
    dark, light
        The shadows and the highlights.
    """

    factor: int
    working_arcmin: float
    size: tuple[int, int]
    sums: Float = field(repr=False)
    dark: Tones = field(repr=False)
    light: Tones = field(repr=False)

    @property
    def cell_px(self) -> int:
        """File pixels a side in one cell."""
        return CELL * self.factor

    @property
    def pixels(self) -> Float:
        """(R, C) opaque pixels of each cell."""
        return self.sums[..., 0]


class Tiles:
    """Tiles of a scan that are done: one that was called off goes on where it was."""

    def __init__(self) -> None:
        self.arrays: tuple[Float, Float, Float32, Float32] | None = None
        self.done: set[int] = set()


def working_factor(arcmin: float) -> int:
    """Pixels a side to be averaged into one.

    >>> [working_factor(a) for a in (0.2, 0.3, 0.5, 1.0)]
    [3, 2, 1, 1]
    """
    return max(1, math.floor(RESOLVED_ARCMIN / arcmin))


def scan(
    lattice: Lattice,
    photograph: Photograph,
    *,
    arcmin: float,
    tolerance: float,
    tile: int = TILE,
    workers: int = 2,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
    tiles_done: Tiles | None = None,
) -> Scan:
    """Scan a picture.

    Parameters
    ----------
    lattice
        Table with :data:`SCAN_CHANNELS`.
    photograph
        The picture, or a level of it.
    arcmin
        Angle of one of its pixels at the viewing distance.
    tolerance
        dE00 from which a colour is out of gamut, and out of reach of the screen.
    tile
        Working pixels a side, a multiple of 8.
    workers, cancel
        As for :func:`proofing.lattice.apply`.
    progress
        Told the share done, 0..1, from the worker threads.
    tiles_done
        Kept by the caller for the same scan begun again after it was called off.

    Raises
    ------
    Cancelled
        `cancel` said so.
    """
    from proofing.findings import _scan_kernels as kernels

    codes = photograph.codes
    height, width = codes.shape[:2]
    factor = working_factor(arcmin)
    cell = CELL * factor
    rows, columns = -(-height // cell), -(-width // cell)
    kept = Tiles() if tiles_done is None else tiles_done
    if kept.arrays is None:
        kept.arrays = (
            np.zeros((rows, columns, kernels.SUMS)),
            np.zeros((2, rows, columns, kernels.TONE_SUMS)),
            np.zeros((2, 2, rows, columns), np.float32),
            np.zeros((2, rows, columns), np.float32),
        )
    sums, tones, coarse, coarse_weight = kept.arrays
    whole = codes.dtype.kind == "u"
    mask = photograph.clip.clipped
    ends = np.array([photograph.clip.bottom, photograph.clip.top]).astype(codes.dtype)
    pairs = codes.dtype == np.uint8
    limits = np.array([tolerance, tolerance, BARE_L, pairs, mask is None, BARE_TINT])
    classes_at = steps(reference_display_cd_m2(_Y_of_L(np.array([DARK_BELOW_L, LIGHT_ABOVE_L]))))
    from_steps, of_luminance = _luminance_tables()
    cells_a_side = max(1, tile // CELL)
    tiles = [(r, c) for r in range(0, rows, cells_a_side) for c in range(0, columns, cells_a_side)]
    empty = np.empty((0, 0), np.uint8)
    lock = threading.Lock()

    def work(index: int) -> None:
        row, column = tiles[index]
        end_row, end_column = min(row + cells_a_side, rows), min(column + cells_a_side, columns)
        halo = _HALO // CELL  # in cells
        top, left = max(row - halo, 0), max(column - halo, 0)
        bottom, right = min(end_row + halo, rows), min(end_column + halo, columns)
        shape = ((end_row - row + 2 * halo) * CELL, (end_column - column + 2 * halo) * CELL)
        planes = np.zeros((3, *shape), np.float32)
        core = np.array([_HALO, shape[0] - _HALO, _HALO, shape[1] - _HALO])
        own = (slice(row, end_row), slice(column, end_column))
        sums[own] = 0.0  # it may have been begun before
        tones[:, own[0], own[1]] = 0.0
        across = slice(left * cell, min(right * cell, width))
        wide = across.stop - across.start
        # whole rows of cells, or, where cells are that high, whole working pixels
        deep = max(1, _BAND_PIXELS // (cell * wide)) * cell
        if cell * width > 8 * _BAND_PIXELS:  # the same for any tile
            deep = max(1, _BAND_PIXELS // (factor * width)) * factor
        for first in range(top * cell, min(bottom * cell, height), deep):
            down = slice(first, min(first + deep, height, bottom * cell))
            part = codes[down, across]
            raw = apply(lattice, part, output=Output.RAW, workers=1, cancel=cancel)
            kernels.gather(
                raw,
                part,
                empty if photograph.alpha is None else photograph.alpha[down, across],
                empty if mask is None else mask[down, across].view(np.uint8),
                ends,
                limits,
                from_steps,
                np.array([first // factor + (halo - row) * CELL, (left - column + halo) * CELL]),
                core,
                factor,
                planes,
                sums[own],
            )
        kernels.to_steps(planes, 0.5 * factor * factor, of_luminance)
        weights = np.empty((2, *shape), np.float32)
        found = kernels.classify(planes, classes_at[0], classes_at[1], weights)
        for c in range(2):
            if not found >> c & 1:
                continue
            values, weight = planes[:2], weights[c]
            kernels.grain(values, weight, _HALO, tones[c][own])
            for level in range(FINE):
                lower = tuple(-(-n // 2) for n in weight.shape)
                next_values = np.zeros((2, *lower), np.float32)
                next_weight = np.zeros(lower, np.float32)
                kernels.band(values, weight, _HALO >> level, FINE - level, level, tones[c][own],
                             next_values, next_weight)  # fmt: skip
                values, weight = next_values, next_weight
            coarse[c][:, own[0], own[1]] = values[:, halo:-halo, halo:-halo]
            coarse_weight[c][own] = weight[halo:-halo, halo:-halo]
        with lock:
            kept.done.add(index)
            if progress is not None:
                progress(len(kept.done) / len(tiles))

    assert whole or not limits[3]
    left = [index for index in range(len(tiles)) if index not in kept.done]
    in_parts(work, left, workers=workers, cancel=cancel)
    parts = [_tones(tones[c], coarse[c], coarse_weight[c]) for c in range(2)]
    return Scan(factor, arcmin * factor, (height, width), sums, parts[0], parts[1])


def _Y_of_L(L: Float) -> Float:
    from proofing.colorimetry import Lab_to_XYZ

    return np.asarray(Lab_to_XYZ(np.column_stack([L, 0 * L, 0 * L]))[:, 1])


def _luminance_tables() -> tuple[Float, Float]:
    """Steps to luminance and log luminance to steps, for the kernels."""
    first, spacing, count = -20.0, 0.25, 5000
    j = first + spacing * np.arange(count)
    of_steps = np.stack([luminance_cd_m2(j), np.zeros(count)], axis=1)
    low, high = math.log(1e-4), math.log(1e5)
    gap = (high - low) / (count - 1)
    of_log = np.stack([steps(np.exp(low + gap * np.arange(count))), np.zeros(count)], axis=1)
    return np.vstack([[first, spacing], of_steps]), np.vstack([[low, gap], of_log])


def _ratio(sums: Float, weight: Float) -> Float:
    return np.asarray(sums / np.maximum(weight, 1e-12) * (weight > 0.0))


def _tones(sums: Float, coarse: Float32, coarse_weight: Float32) -> Tones:
    """Means and energies of a tone class from its sums, the coarse bands taken on the cells."""
    from scipy.ndimage import map_coordinates

    from proofing.findings import _scan_kernels as kernels

    rows, columns = sums.shape[:2]
    energy = np.zeros((2, rows, columns, BANDS))
    near = pooled(sums[..., kernels.FILE_ENERGY :])
    start = kernels.FILE_ENERGY
    for b in range(FINE):
        weight = near[..., kernels.BAND_WEIGHT - start + b]
        energy[0, ..., b] = _ratio(near[..., b], weight)
        energy[1, ..., b] = _ratio(near[..., kernels.PRINT_ENERGY - start + b], weight)
    values, level_weight = coarse, coarse_weight
    at = np.mgrid[0:rows, 0:columns].astype(np.float64)
    for b in range(FINE, BANDS):
        shape = level_weight.shape
        made = np.zeros((*shape, kernels.TONE_SUMS))
        lower = tuple(-(-n // 2) for n in shape)
        next_values = np.zeros((2, *lower), np.float32)
        next_weight = np.zeros(lower, np.float32)
        kernels.band(values, level_weight, 0, 0, 0, made, next_values, next_weight)
        made = pooled(made, wide=b == FINE)
        weight = made[..., kernels.BAND_WEIGHT]
        for k, place in enumerate((kernels.FILE_ENERGY, kernels.PRINT_ENERGY)):
            level = _ratio(made[..., place], weight)
            energy[k, ..., b] = map_coordinates(
                level, at / 2.0 ** (b - FINE), order=1, mode="nearest"
            )
        values, level_weight = next_values, next_weight
    grains = near[..., kernels.GRAIN_WEIGHT - start]
    scale = math.sqrt(math.pi / 2.0) / 6.0  # Immerkaer 1996
    weight = sums[..., kernels.WEIGHT]
    return Tones(
        weight=weight,
        file_steps=_ratio(sums[..., kernels.FILE_SUM], weight),
        print_steps=_ratio(sums[..., kernels.PRINT_SUM], weight),
        file_energy=energy[0],
        print_energy=energy[1],
        file_grain=scale * _ratio(near[..., kernels.FILE_GRAIN - start], grains),
        print_grain=scale * _ratio(near[..., kernels.PRINT_GRAIN - start], grains),
    )


def grain_energy(grain: Float) -> Float:
    """Mean square of each band that white grain of a standard deviation brings, (..., BANDS)."""
    return np.asarray(grain[..., None] ** 2 * _white_energy())


@functools.cache
def _white_energy() -> Float:
    """Share of the variance of white noise that falls into each band."""
    w = (np.arange(1024) + 0.5) / 1024 * math.pi
    shares = np.empty(BANDS)
    kept: Float = np.ones((len(w), len(w)))
    for b in range(BANDS):
        blur_1d = np.cos(0.5 * w * 2.0**b) ** 4
        blur = blur_1d[:, None] * blur_1d[None, :]
        shares[b] = float(np.mean((kept * (1.0 - blur)) ** 2))
        kept = kept * blur
    return shares
