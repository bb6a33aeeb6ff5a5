"""Carry whole pictures through a lattice, in one pass and bounded memory."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from proofing.errors import Cancelled, SettingError
from proofing.lattice.marks import MAX_BITS, Clip, Mark, compile_marks
from proofing.lattice.shaper import Float, Float32
from proofing.lattice.table import (
    COLOURS,
    ColourFunction,
    Lattice,
    channel_index,
    in_parts,
)

UInt8 = npt.NDArray[np.uint8]
UInt16 = npt.NDArray[np.uint16]
Codes = UInt8 | UInt16 | Float32

STRIP_PIXELS: Final = 1 << 17
"""Pixels between two looks at `cancel`: about a millisecond."""
OPAQUE_FROM: Final = 128
"""Alpha from which a pixel counts as part of the picture."""


class Output(StrEnum):
    """What is written for each pixel."""

    BGRX = "bgrx"
    """(H, W, 4) uint8, blue first, last byte 255."""
    RGB16 = "rgb16"
    """(H, W, 3) uint16."""
    RAW = "raw"
    """(H, W, C) float32, all channels, not clipped."""
    NOTHING = "nothing"
    """No picture: marks, counts and histograms only."""


@dataclass(frozen=True)
class Histogram:
    """A histogram to be taken of a channel while the pixels pass.

    Parameters
    ----------
    channel
        Name of a channel of the lattice.
    low, high
        Range; values beyond count for the end bins.
    bins
        Number of bins of equal width.
    """

    channel: str
    low: float
    high: float
    bins: int = 256

    def __post_init__(self) -> None:
        if not (np.isfinite(self.low) and np.isfinite(self.high) and self.low < self.high):
            raise SettingError("low", self.low, "a histogram needs low < high")
        if not 1 <= self.bins <= 65536:
            raise SettingError("bins", self.bins, "choose 1 to 65536")


@dataclass(frozen=True, eq=False)
class Applied:
    """A picture that went through.

    Parameters
    ----------
    bgrx, rgb16, raw
        The one that was asked for, see :class:`Output`.
    bits
        (H, W) uint8: bit b is set where mark b holds; None if not asked for.
    counts
        (8,) int64: pixels with each bit set.
    marked
        Pixels with any bit set.
    considered
        Pixels that count: all but those with alpha below 128. Those have no bits.
    histograms
        One int64 array for each histogram asked for, in the same order.
    """

    counts: npt.NDArray[np.int64]
    marked: int
    considered: int
    bgrx: UInt8 | None = None
    rgb16: UInt16 | None = None
    raw: Float32 | None = None
    bits: UInt8 | None = None
    histograms: tuple[npt.NDArray[np.int64], ...] = field(default=())

    def share(self, bit: int) -> float:
        """Share of the considered pixels with a bit set, 0..1."""
        return float(self.counts[bit]) / self.considered if self.considered else 0.0


def apply(
    lattice: Lattice,
    codes: Codes,
    *,
    output: Output = Output.BGRX,
    marks: Sequence[Mark] = (),
    clip: Clip | None = None,
    alpha: UInt8 | None = None,
    bare_paper: npt.ArrayLike = (1.0, 1.0, 1.0),
    histograms: Sequence[Histogram] = (),
    write_bits: bool = True,
    out: UInt8 | UInt16 | Float32 | None = None,
    bits_out: UInt8 | None = None,
    workers: int = 2,
    cancel: Callable[[], bool] | None = None,
) -> Applied:
    """Interpolate every pixel and write it, its marks and the counts in one pass.

    Parameters
    ----------
    lattice
        The baked colour function.
    codes
        (H, W, 3) uint8, uint16 or float32 (0..1), with any strides: crops, reversed and
        repeated views are read in place.
    output
        What to write.
    marks
        The mark at place b sets bit b.
    clip
        What counts as clipped in the file itself, and the bit that tells it.
    alpha
        (H, W): the colours are mixed with `bare_paper` in the encoding of the output; below
        128 a pixel has no marks and is not counted.
    bare_paper
        (3,) screen colour of the unprinted stock, 0..1.
    histograms
        Channels to count while the pixels pass.
    write_bits
        Whether to return `bits`; the counts are made either way.
    out, bits_out
        Arrays to write into, of the shape and type of the result, with any strides; only the
        four bytes of a BGRX pixel must stand together, at a multiple of four.
    workers
        Threads.
    cancel
        Asked every 131,072 pixels or so, from the worker threads; True calls the work off.

    Returns
    -------
    Applied

    Raises
    ------
    Cancelled
        `cancel` said so; arrays given as `out` are then partly written.
    SettingError
        Arrays of the wrong shape or type, unknown channels, too many marks.

    Notes
    -----
    Tetrahedral interpolation in float32. Integer outputs are rounded to the nearest code. Memory
    beyond the results stays below a megabyte.
    """
    job = _checked(
        codes, lattice.channels, output, clip, alpha, bare_paper, write_bits, out, bits_out
    )
    rules = compile_marks(marks, lattice.channels, clip)
    tallies = _Tallies.of(histograms, lattice.channels)
    height, width = codes.shape[:2]
    counts = np.zeros(10, dtype=np.int64)
    if height and width:
        _run(lattice, job, rules, clip, tallies, counts, workers, cancel)
    elif cancel is not None and cancel():
        raise Cancelled("the work was called off because a newer request replaced it")
    return job.applied(counts, tallies.split())


def warm_up(code_types: Sequence[npt.DTypeLike] = (np.uint8,), channels: int = 3) -> None:
    """Compile the kernels, or load them, ahead of the first picture.

    The first time on a machine this takes some seconds, later a few tenths of a second; good
    for a thread of its own while a window opens.

    Parameters
    ----------
    code_types
        Types of the codes to come.
    channels
        Channels of the lattices to come, the three colours included.
    """
    from proofing.lattice import _kernels

    for code_type in code_types:
        _kernels.strip_kernel(np.dtype(code_type).name, -(-channels // _kernels.LANES))


def evaluate(
    function: ColourFunction,
    codes: Codes,
    *,
    names: Sequence[str] = (),
    output: Output = Output.BGRX,
    marks: Sequence[Mark] = (),
    clip: Clip | None = None,
    alpha: UInt8 | None = None,
    bare_paper: npt.ArrayLike = (1.0, 1.0, 1.0),
    histograms: Sequence[Histogram] = (),
    write_bits: bool = True,
    cancel: Callable[[], bool] | None = None,
) -> Applied:
    """The same results without a lattice: the function itself at every pixel, in float64.

    Slow; the measure of :func:`apply` in the tests and for single pictures that must be exact.

    Parameters
    ----------
    function
        As given to :func:`proofing.lattice.bake`.
    names
        Names of the scalar channels it returns.
    codes, output, marks, clip, alpha, bare_paper, histograms, write_bits, cancel
        As for :func:`apply`; `cancel` is asked for every few rows.

    Returns
    -------
    Applied
    """
    channels = COLOURS + tuple(names)
    job = _checked(codes, channels, output, clip, alpha, bare_paper, write_bits, None, None)
    compile_marks(marks, channels, clip)  # for its checks
    tallies = _Tallies.of(histograms, channels)
    height, width = codes.shape[:2]
    counts = np.zeros(10, dtype=np.int64)
    rows = max(1, 65536 // max(width, 1))
    for start in range(0, height, rows):
        if cancel is not None and cancel():
            raise Cancelled("the work was called off because a newer request replaced it")
        part = slice(start, min(start + rows, height))
        values = np.asarray(function(_codes01(codes[part]).reshape(-1, 3)), dtype=np.float64)
        values = values.reshape(part.stop - start, width, len(channels))
        _finish_exactly(values, part, job, channels, marks, clip, tallies, counts)
    return job.applied(counts, tallies.split())


# --- shared checks -------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class _Job:
    """Checked arrays; absent ones are empty."""

    codes: Codes
    output: Output
    out_8: UInt8
    out_16: UInt16
    out_32: Float32
    bits: UInt8
    has_bits: bool
    alpha: UInt8
    paper: Float32
    mask: UInt8

    def applied(
        self, counts: npt.NDArray[np.int64], histograms: tuple[npt.NDArray[np.int64], ...]
    ) -> Applied:
        return Applied(
            counts=counts[:MAX_BITS].copy(),
            marked=int(counts[8]),
            considered=int(counts[9]),
            bgrx=self.out_8 if self.output is Output.BGRX else None,
            rgb16=self.out_16 if self.output is Output.RGB16 else None,
            raw=self.out_32 if self.output is Output.RAW else None,
            bits=self.bits if self.has_bits else None,
            histograms=histograms,
        )


@dataclass(frozen=True, eq=False)
class _Tallies:
    wanted: tuple[Histogram, ...]
    channels: npt.NDArray[np.int64]
    scales: Float32
    counts: npt.NDArray[np.int64]

    @classmethod
    def of(cls, wanted: Sequence[Histogram], channels: Sequence[str]) -> _Tallies:
        return cls(
            tuple(wanted),
            np.array([channel_index(channels, h.channel) for h in wanted], dtype=np.int64),
            np.array(
                [[h.low, h.bins / (h.high - h.low), h.bins - 1] for h in wanted], dtype=np.float32
            )
            .reshape(-1, 3)
            .T.copy(),
            np.zeros((len(wanted), max((h.bins for h in wanted), default=1)), dtype=np.int64),
        )

    def split(self) -> tuple[npt.NDArray[np.int64], ...]:
        return tuple(self.counts[i, : wanted.bins].copy() for i, wanted in enumerate(self.wanted))


_DTYPES: Final[dict[Output, np.dtype[Any]]] = {
    Output.BGRX: np.dtype(np.uint8),
    Output.RGB16: np.dtype(np.uint16),
    Output.RAW: np.dtype(np.float32),
}
_CODE_TYPES: Final = (np.dtype(np.uint8), np.dtype(np.uint16), np.dtype(np.float32))


def _checked(
    codes: Codes,
    channels: Sequence[str],
    output: Output,
    clip: Clip | None,
    alpha: UInt8 | None,
    bare_paper: npt.ArrayLike,
    write_bits: bool,
    out: UInt8 | UInt16 | Float32 | None,
    bits_out: UInt8 | None,
) -> _Job:
    if codes.ndim != 3 or codes.shape[2] != 3 or codes.dtype not in _CODE_TYPES:
        raise SettingError(
            "codes",
            f"{codes.dtype} {codes.shape}",
            "give (height, width, 3) of uint8, uint16 or float32 in the machine's byte order",
        )
    size = codes.shape[:2]
    output = Output(output)
    paper = np.asarray(bare_paper, dtype=np.float32)
    if paper.shape != (3,) or not np.all(np.isfinite(paper)):
        raise SettingError("bare_paper", bare_paper, "give three numbers, 0..1")
    depth = {Output.BGRX: 4, Output.RGB16: 3, Output.RAW: len(channels)}
    made: npt.NDArray[Any] = np.empty((0, 0, 0), dtype=np.uint8)
    if output is not Output.NOTHING:
        wanted = (*size, depth[output])
        made = target("out", out, wanted, _DTYPES[output])
        if output is Output.BGRX and not _in_words(made):
            raise SettingError("out", made.strides, "keep the four bytes of each pixel together")
    bits = target("bits_out", bits_out, size, np.dtype(np.uint8)) if write_bits else None
    empty = np.empty((0, 0), dtype=np.uint8)
    return _Job(
        codes=_aligned(codes),
        output=output,
        out_8=made if output is Output.BGRX else np.empty((0, 0, 4), dtype=np.uint8),
        out_16=made if output is Output.RGB16 else np.empty((0, 0, 3), dtype=np.uint16),
        out_32=made if output is Output.RAW else np.empty((0, 0, len(channels)), dtype=np.float32),
        bits=empty if bits is None else bits,
        has_bits=bits is not None,
        alpha=empty if alpha is None else checked_plane("alpha", alpha, size, np.dtype(np.uint8)),
        paper=paper,
        mask=empty
        if clip is None or clip.mask is None
        else checked_plane("mask", clip.mask, size, np.dtype(np.bool_)).view(np.uint8),
    )


def _in_words(array: UInt8) -> bool:
    """Whether the last axis of (H, W, 4) can be read as one 32-bit word."""
    if array.size == 0:
        return True
    rows, columns, step = array.strides
    return step == 1 and not (rows % 4 or columns % 4 or array.ctypes.data % 4)


def _aligned(array: Any) -> Any:
    # only pictures inside packed records are not; they are copied
    return array if array.flags.aligned else array.copy()


def checked_plane(
    name: str, array: npt.NDArray[Any], size: tuple[int, ...], dtype: np.dtype[Any]
) -> npt.NDArray[Any]:
    """A (height, width) array of the right size and type, or a SettingError that names it."""
    if array.ndim != 2 or array.shape != size or array.dtype != dtype:
        raise SettingError(
            name, f"{array.dtype} {array.shape}", f"give {dtype} of the picture's size {size}"
        )
    return array


def target(
    name: str, array: npt.NDArray[Any] | None, shape: tuple[int, ...], dtype: np.dtype[Any]
) -> npt.NDArray[Any]:
    """The array to write into, made if none is given, or a SettingError that names it."""
    if array is None:
        return np.empty(shape, dtype=dtype)
    usable = array.flags.writeable and array.flags.aligned
    if array.shape != shape or array.dtype != dtype or not usable:
        raise SettingError(
            name, f"{array.dtype} {array.shape}", f"give a writable {dtype} array of shape {shape}"
        )
    return array


# --- the fast route ------------------------------------------------------------------------------


def _run(
    lattice: Lattice,
    job: _Job,
    rules: Any,
    clip: Clip | None,
    tallies: _Tallies,
    counts: npt.NDArray[np.int64],
    workers: int,
    cancel: Callable[[], bool] | None,
) -> None:
    from proofing.lattice import _kernels

    codes = job.codes
    height, width = codes.shape[:2]
    lanes = lattice.padded.shape[3]
    quads = lanes // _kernels.LANES
    kernel = _kernels.strip_kernel(codes.dtype.name, quads)
    modes = {Output.BGRX: _kernels.BGRX, Output.RGB16: _kernels.RGB16, Output.RAW: _kernels.RAW}
    source = 0
    need = (4, 4)
    clip_codes = np.zeros((2, 3), dtype=codes.dtype)
    if clip is not None:
        source = 1 if clip.mask is None else 2
        need = clip.needed
        clip_codes = clip.codes(codes.dtype) if source == 1 else clip_codes
    bit = -1 if clip is None or clip.bit is None else clip.bit
    luts = lattice.shaper.tables(codes.dtype)
    table = lattice.padded.reshape(-1)
    # one word for each pixel: what Qt calls RGB32, blue in the lowest byte
    words = job.out_8.view(np.uint32)[..., 0]
    rows = max(1, STRIP_PIXELS // width)
    lock = threading.Lock()

    def strip(start: int) -> None:
        own_counts = np.zeros(_kernels.COUNTS, dtype=np.int64)
        own_tallies = np.zeros_like(tallies.counts)
        kernel(
            codes,
            luts,
            table,
            lattice.shaper.n,
            (0,) * quads,
            job.alpha,
            job.paper,
            job.mask,
            clip_codes,
            (*need, bit, source),
            rules.rules,
            rules.terms,
            rules.levels,
            tallies.channels,
            tallies.scales,
            own_tallies,
            modes.get(job.output, 0),
            words,
            job.out_16,
            job.out_32,
            job.bits,
            own_counts,
            np.empty(_kernels.BLOCK * lanes, dtype=np.float32),
            np.empty(7 * _kernels.BLOCK, dtype=np.float32),
            np.empty(3 * _kernels.BLOCK, dtype=np.uint32),
            np.zeros((4, _kernels.BLOCK), dtype=np.uint8),
            np.empty((3, _kernels.BLOCK), dtype=codes.dtype),
            (start, min(start + rows, height)),
        )
        with lock:
            counts[:] += own_counts
            tallies.counts[:] += own_tallies

    in_parts(strip, range(0, height, rows), workers=workers, cancel=cancel)


# --- the exact route -----------------------------------------------------------------------------


def _codes01(codes: Codes) -> Float:
    if codes.dtype == np.float32:
        return np.clip(np.nan_to_num(codes.astype(np.float64), nan=0.0), 0.0, 1.0)
    result: Float = codes.astype(np.float64) / (255.0 if codes.dtype == np.uint8 else 65535.0)
    return result


def _finish_exactly(
    values: Float,
    part: slice,
    job: _Job,
    channels: Sequence[str],
    marks: Sequence[Mark],
    clip: Clip | None,
    tallies: _Tallies,
    counts: npt.NDArray[np.int64],
) -> None:
    """Marks, counts and rounding of a few rows, in plain numpy."""
    size = values.shape[:2]
    alpha = job.alpha[part].astype(np.float64) if job.alpha.size else np.full(size, 255.0)
    visible = alpha >= OPAQUE_FROM
    clipped = np.zeros(size, dtype=np.bool_)
    if clip is not None and clip.mask is not None:
        clipped = clip.mask[part]
    elif clip is not None:
        ends = clip.codes(job.codes.dtype)
        need_top, need_bottom = clip.needed
        at_top = (job.codes[part] >= ends[0]).sum(axis=2)
        at_bottom = (job.codes[part] <= ends[1]).sum(axis=2)
        clipped = (at_top >= need_top) | (at_bottom >= need_bottom)
    bits = np.zeros(size, dtype=np.uint8)
    for place, mark in enumerate(marks):
        holds = visible.copy()
        if mark.clipped is not None:
            holds &= clipped == mark.clipped
        for channel, threshold, above in mark.conditions:
            value = values[..., channel_index(channels, channel)].astype(np.float32)
            level = np.float32(threshold)
            holds &= value > level if above else value < level
        bits |= (holds << place).astype(np.uint8)
    if clip is not None and clip.bit is not None:
        bits |= ((clipped & visible) << clip.bit).astype(np.uint8)
    if job.has_bits:
        job.bits[part] = bits
    for place in range(MAX_BITS):
        counts[place] += np.count_nonzero(bits >> place & 1)
    counts[8] += np.count_nonzero(bits)
    counts[9] += np.count_nonzero(visible)
    for i, wanted in enumerate(tallies.wanted):
        seen = values[..., tallies.channels[i]][visible]
        scaled = (seen - wanted.low) * (wanted.bins / (wanted.high - wanted.low))
        places = np.clip(np.floor(scaled), 0, wanted.bins - 1).astype(np.intp)
        tallies.counts[i, : wanted.bins] += np.bincount(places, minlength=wanted.bins)
    opacity = (alpha / 255.0)[..., None]
    mixed = values[..., :3] * opacity + job.paper.astype(np.float64) * (1.0 - opacity)
    held = np.clip(mixed, 0.0, 1.0)
    if job.output is Output.BGRX:
        job.out_8[part, :, :3] = np.floor(held[..., ::-1] * 255.0 + 0.5)
        job.out_8[part, :, 3] = 255
    elif job.output is Output.RGB16:
        job.out_16[part] = np.floor(held * 65535.0 + 0.5)
    elif job.output is Output.RAW:
        job.out_32[part, :, :3] = mixed
        job.out_32[part, :, 3:] = values[..., 3:]
