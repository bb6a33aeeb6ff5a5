"""Marks at the size of the view: one value for each device pixel."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np
import numpy.typing as npt

from proofing.errors import SettingError
from proofing.lattice.pixels import UInt8, checked_plane, target
from proofing.lattice.table import in_parts

COVERAGE: Final = 0.25
"""Share of the picture pixels under a device pixel from which it is marked.

A quarter: a line half a device pixel wide still shows, a single pixel among many does not.
"""
_STRIP_PIXELS: Final = 1 << 18
_NEAREST_FROM: Final = 1.0 - 1e-9


def resample_bits(
    bits: UInt8,
    scale: float,
    offset: tuple[float, float],
    size: tuple[int, int],
    *,
    coverage: float = COVERAGE,
    out: UInt8 | None = None,
    workers: int = 2,
    cancel: Callable[[], bool] | None = None,
) -> UInt8:
    """Marks per picture pixel to marks per device pixel, so that textures keep their pitch.

    A point ``x`` of the picture, in picture pixels from its left edge, lies at
    ``x * scale + offset`` of the view, in device pixels from the view's left edge.

    Parameters
    ----------
    bits
        (H, W) uint8, any strides.
    scale
        Device pixels per picture pixel.
    offset
        (x, y), device pixels.
    size
        (height, width) of the view.
    coverage
        When reducing: a bit is set where at least this share of the picture pixels whose
        centres lie under the device pixel have it, 0..1. Every picture pixel counts once.
        When enlarging, the picture pixel under the centre of the device pixel decides.
    out
        (height, width) uint8 to write into.
    workers
        Threads.
    cancel
        Asked between strips; True calls the work off.

    Returns
    -------
    ndarray
        (height, width) uint8; 0 beyond the picture.

    Raises
    ------
    Cancelled
        `cancel` said so.
    SettingError
        A scale that is not positive, a coverage outside 0..1, wrong arrays.
    """
    if not (np.isfinite(scale) and scale > 0.0):
        raise SettingError("scale", scale, "give a positive number")
    if not 0.0 <= coverage <= 1.0:
        raise SettingError("coverage", coverage, "give a share, 0..1")
    if not np.all(np.isfinite(offset)):
        raise SettingError("offset", offset, "give two numbers")
    bits = checked_plane("bits", bits, bits.shape[:2], np.dtype(np.uint8))
    made = target("out", out, tuple(size), np.dtype(np.uint8))
    if made.size == 0:
        return made
    from proofing.lattice import _kernels

    rows = _under(size[0], scale, offset[1], bits.shape[0])
    columns = _under(size[1], scale, offset[0], bits.shape[1])
    kernel = _kernels.cover_kernel()
    strip = max(1, int(_STRIP_PIXELS * min(scale, 1.0) ** 2) // size[1])

    def part(start: int) -> None:
        stop = min(start + strip, size[0])
        kernel(bits, columns, rows, float(coverage), _SPREAD, made, (start, stop))

    in_parts(part, range(0, size[0], strip), workers=workers, cancel=cancel)
    return made


def _under(count: int, scale: float, offset: float, limit: int) -> npt.NDArray[np.int64]:
    """(2, count): the picture pixels under each device pixel of an axis, half open."""
    if scale >= _NEAREST_FROM:
        nearest = np.floor((np.arange(count) + 0.5 - offset) / scale)
        edges = np.stack([nearest, nearest + 1.0])
    else:
        # the first pixel whose centre is not left of the device pixel's edge
        first = np.ceil((np.arange(count + 1) - offset) / scale - 0.5)
        edges = np.stack([first[:-1], first[1:]])
    held: npt.NDArray[np.int64] = np.clip(edges, 0, limit).astype(np.int64)
    return held


def _spread() -> npt.NDArray[np.uint64]:
    """(256,): bit b of the index at bit 8 b."""
    index = np.arange(256, dtype=np.uint64)
    places = np.arange(8, dtype=np.uint64)
    spread: npt.NDArray[np.uint64] = (
        ((index[:, None] >> places) & np.uint64(1)) << (places * np.uint64(8))
    ).sum(axis=1, dtype=np.uint64)
    spread.flags.writeable = False
    return spread


_SPREAD: Final = _spread()
