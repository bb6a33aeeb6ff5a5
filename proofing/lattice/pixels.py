"""Carry whole pictures through a lattice, in one pass and bounded memory."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from proofing.errors import Cancelled, SettingError
from proofing.language import tr
from proofing.lattice.shaper import Float32
from proofing.lattice.table import Lattice, in_parts

UInt8 = npt.NDArray[np.uint8]
UInt16 = npt.NDArray[np.uint16]
Codes = UInt8 | UInt16 | Float32

STRIP_PIXELS: Final = 1 << 17
"""Pixels between two looks at `cancel`: about a millisecond."""


class Output(StrEnum):
    """What is written for each pixel."""

    BGRX = "bgrx"
    """(H, W, 4) uint8, blue first, last byte 255."""
    RGB16 = "rgb16"
    """(H, W, 3) uint16."""
    RAW = "raw"
    """(H, W, C) float32, all channels, not clipped."""


_DTYPES: Final[dict[Output, np.dtype[Any]]] = {
    Output.BGRX: np.dtype(np.uint8),
    Output.RGB16: np.dtype(np.uint16),
    Output.RAW: np.dtype(np.float32),
}
_CODE_TYPES: Final = (np.dtype(np.uint8), np.dtype(np.uint16), np.dtype(np.float32))


def apply(
    lattice: Lattice,
    codes: Codes,
    *,
    output: Output = Output.BGRX,
    alpha: UInt8 | None = None,
    bare_paper: npt.ArrayLike = (1.0, 1.0, 1.0),
    out: UInt8 | UInt16 | Float32 | None = None,
    workers: int = 2,
    cancel: Callable[[], bool] | None = None,
) -> npt.NDArray[Any]:
    """Interpolate every pixel and write it, in one pass.

    Parameters
    ----------
    lattice
        The baked colour function.
    codes
        (H, W, 3) uint8, uint16 or float32 (0..1), with any strides: crops, reversed and
        repeated views are read in place.
    output
        What to write.
    alpha
        (H, W): the colours are mixed with `bare_paper` in the encoding of the output.
    bare_paper
        (3,) screen colour of the unprinted stock, 0..1.
    out
        Array to write into, of the shape and type of the result, with any strides; only the
        four bytes of a BGRX pixel must stand together, at a multiple of four.
    workers
        Threads.
    cancel
        Asked every 131,072 pixels or so, from the worker threads; True calls the work off.

    Returns
    -------
    ndarray
        Of the shape and type of `output`, see :class:`Output`; `out` itself if that is given.

    Raises
    ------
    Cancelled
        `cancel` said so; `out` is then partly written.
    SettingError
        Arrays of the wrong shape or type.

    Notes
    -----
    Tetrahedral interpolation in float32. Integer outputs are rounded to the nearest code. Memory
    beyond the result stays below a megabyte.
    """
    if codes.ndim != 3 or codes.shape[2] != 3 or codes.dtype not in _CODE_TYPES:
        raise SettingError(
            "codes",
            f"{codes.dtype} {codes.shape}",
            tr("give (height, width, 3) of uint8, uint16 or float32 in the machine's byte order"),
        )
    height, width = codes.shape[:2]
    output = Output(output)
    paper = np.asarray(bare_paper, dtype=np.float32)
    if paper.shape != (3,) or not np.all(np.isfinite(paper)):
        raise SettingError("bare_paper", bare_paper, tr("give three numbers, 0..1"))
    if alpha is None:
        alpha = np.empty((0, 0), dtype=np.uint8)
    elif alpha.shape != (height, width) or alpha.dtype != np.uint8:
        raise SettingError(
            "alpha",
            f"{alpha.dtype} {alpha.shape}",
            tr("give uint8 of the picture's size {size}", size=(height, width)),
        )
    depth = {Output.BGRX: 4, Output.RGB16: 3, Output.RAW: len(lattice.channels)}[output]
    made = _target(out, (height, width, depth), _DTYPES[output])
    if output is Output.BGRX and not _in_words(made):
        raise SettingError("out", made.strides, tr("keep the four bytes of each pixel together"))
    if height and width:
        _run(lattice, codes, output, alpha, paper, made, workers, cancel)
    elif cancel is not None and cancel():
        raise Cancelled(tr("the work was called off because a newer request replaced it"))
    return made


def _in_words(array: UInt8) -> bool:
    """Whether the last axis of (H, W, 4) can be read as one 32-bit word."""
    if array.size == 0:
        return True
    rows, columns, step = array.strides
    return step == 1 and not (rows % 4 or columns % 4 or array.ctypes.data % 4)


def _target(
    array: npt.NDArray[Any] | None, shape: tuple[int, ...], dtype: np.dtype[Any]
) -> npt.NDArray[Any]:
    """The array to write into, made if none is given, or a SettingError."""
    if array is None:
        return np.empty(shape, dtype=dtype)
    usable = array.flags.writeable and array.flags.aligned
    if array.shape != shape or array.dtype != dtype or not usable:
        raise SettingError(
            "out",
            f"{array.dtype} {array.shape}",
            tr("give a writable {dtype} array of shape {shape}", dtype=dtype, shape=shape),
        )
    return array


def _run(
    lattice: Lattice,
    codes: Codes,
    output: Output,
    alpha: UInt8,
    paper: Float32,
    made: npt.NDArray[Any],
    workers: int,
    cancel: Callable[[], bool] | None,
) -> None:
    from proofing.lattice import _kernels

    if not codes.flags.aligned:  # inside packed records only
        codes = codes.copy()
    height, width = codes.shape[:2]
    lanes = lattice.padded.shape[3]
    quads = lanes // _kernels.LANES
    kernel = _kernels.strip_kernel(codes.dtype.name, quads)
    modes = {Output.BGRX: _kernels.BGRX, Output.RGB16: _kernels.RGB16, Output.RAW: _kernels.RAW}
    # one word for each pixel: what Qt calls RGB32, blue in the lowest byte
    words = made.view(np.uint32)[..., 0] if output is Output.BGRX else np.empty((0, 0), np.uint32)
    out_16 = made if output is Output.RGB16 else np.empty((0, 0, 3), dtype=np.uint16)
    out_32 = made if output is Output.RAW else np.empty((0, 0, 0), dtype=np.float32)
    luts = lattice.shaper.tables(codes.dtype)
    table = lattice.padded.reshape(-1)
    rows = max(1, STRIP_PIXELS // width)

    def strip(start: int) -> None:
        kernel(
            codes,
            luts,
            table,
            lattice.shaper.n,
            (0,) * quads,
            alpha,
            paper,
            modes[output],
            words,
            out_16,
            out_32,
            np.empty(_kernels.BLOCK * lanes, dtype=np.float32),
            np.empty(7 * _kernels.BLOCK, dtype=np.float32),
            np.empty(3 * _kernels.BLOCK, dtype=np.uint32),
            (start, min(start + rows, height)),
        )

    in_parts(strip, range(0, height, rows), workers=workers, cancel=cancel)
