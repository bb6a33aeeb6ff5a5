"""What of a picture is looked at where several stocks are to be told of in seconds.

Detail is counted at the size that the eye resolves at the viewing distance, in the whole picture
where that is small, otherwise in square blocks spread evenly over it; a level reduced any further
would lose the fine detail that stocks differ in. Colours are taken from single pixels all over the
picture.
"""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import Float
from proofing.engine import Cancel
from proofing.findings.scan import CELL, Scan, Tones, scan, working_factor
from proofing.lattice import Lattice
from proofing.lattice.table import in_parts
from proofing.photograph import Photograph, unit_codes
from proofing.photograph.photograph import OPAQUE_FROM
from proofing.proof.looking import Progress, arcmin_of
from proofing.request import ProofRequest

MOST_PIXELS = 3_200_000
"""Working pixels that are scanned for each stock."""
WHOLE_BELOW = 1.25
"""A picture of up to so many times that is scanned whole: leaving out a fifth spares little."""
BLOCK = 32 * CELL
"""Working pixels a side of a block that are counted..."""
MARGIN = 8 * CELL
"""...and that are scanned around it. Cut off at its edge, modelling that goes on beyond a block
would not be seen, and what is left in it be called lost (measured on the demonstration: up to 1.6 %
of a picture without a margin, 0.6 % with this one; a wider margin leaves too few blocks)."""
COLOUR_PIXELS = 24_000
"""Pixels whose colours are followed without a table: a share of one half is then known to 0.7 %
(two standard errors of a random sample; an even one errs less)."""
_APART = 8  # empty rows of cells between blocks, further than any cell looks


@dataclass(frozen=True, eq=False)
class Block:
    """A part of a picture.

    Attributes
    ----------
    photograph
        Its pixels, with a margin where the picture has one.
    rows, columns
        The cells of it that are counted.
    """

    photograph: Photograph = field(repr=False)
    rows: slice
    columns: slice


@dataclass(frozen=True, eq=False)
class Sample:
    """The parts of a picture that stand for it.

    Attributes
    ----------
    blocks
        Parts of the level to be scanned; one of all of it where `is_whole`.
    codes
        (H, W, 3) pixels that hold the colours of all of them.
    colours
        (N, 3) codes in 0..1 of opaque pixels all over the picture.
    share
        Of the picture's pixels that are counted.
    arcmin
        Angle of a working pixel.
    """

    blocks: tuple[Block, ...] = field(repr=False)
    codes: npt.NDArray[Any] = field(repr=False)
    colours: Float = field(repr=False)
    share: float
    arcmin: float

    @property
    def is_whole(self) -> bool:
        """Whether every pixel is scanned."""
        return len(self.blocks) == 1


def sample_of(request: ProofRequest, most_pixels: int = MOST_PIXELS) -> Sample:
    """What to look at of a request's photograph.

    Parameters
    ----------
    request
        Photograph, size and distance are used.
    most_pixels
        Working pixels to be scanned at most.
    """
    photograph = request.photograph
    factor = working_factor(arcmin_of(request, photograph))
    level = photograph.level(int(math.log2(factor)))
    blocks = _blocks(level, most_pixels)
    codes, share = level.codes, 1.0
    if len(blocks) > 1:
        codes = np.concatenate([b.photograph.codes.reshape(1, -1, 3) for b in blocks], axis=1)
        share = len(blocks) * _counted(level) / (level.height * level.width)
    return Sample(blocks, codes, _colours(photograph), share, arcmin_of(request, level))


def scan_blocks(
    sample: Sample,
    lattice: Lattice,
    tolerance: float,
    workers: int,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> Scan:
    """Scan the blocks and lay the cells that count out under each other, empty ones between them.

    Parameters
    ----------
    sample
        What to scan.
    lattice, tolerance, workers, cancel, progress
        As for :func:`proofing.findings.scan.scan`.

    Raises
    ------
    Cancelled
        `cancel` said so.
    """
    if len(sample.blocks) == 1:
        return scan(
            lattice, sample.blocks[0].photograph, arcmin=sample.arcmin, tolerance=tolerance,
            workers=workers, cancel=cancel, progress=progress,
        )  # fmt: skip
    found: dict[int, Scan] = {}

    def work(index: int) -> None:
        found[index] = scan(
            lattice, sample.blocks[index].photograph, arcmin=sample.arcmin, tolerance=tolerance,
            workers=1, cancel=cancel,
        )  # fmt: skip
        if progress is not None:
            progress(len(found) / len(sample.blocks))

    in_parts(work, range(len(sample.blocks)), workers=workers, cancel=cancel)
    scans = [found[index] for index in range(len(sample.blocks))]

    def laid(arrays: list[Float]) -> Float:
        cut = [a[b.rows, b.columns] for a, b in zip(arrays, sample.blocks, strict=True)]
        return _under_each_other(cut)

    def tones(name: str) -> Tones:
        parts = [getattr(each, name) for each in scans]
        names = [each.name for each in dataclasses.fields(Tones)]
        return Tones(**{n: laid([getattr(part, n) for part in parts]) for n in names})

    sums = laid([each.sums for each in scans])
    return dataclasses.replace(scans[0], sums=sums, dark=tones("dark"), light=tones("light"))


def _under_each_other(parts: list[Float]) -> Float:
    wide = max(part.shape[1] for part in parts)
    padded = [
        np.pad(part, ((0, _APART), (0, wide - part.shape[1]), *((0, 0),) * (part.ndim - 2)))
        for part in parts
    ]
    return np.concatenate(padded)


def _sides(level: Photograph) -> tuple[int, int]:
    """Height and width of what is counted of a block: whole cells, or all that there is."""
    return min(BLOCK, level.height), min(BLOCK, level.width)


def _counted(level: Photograph) -> int:
    high, wide = _sides(level)
    return high * wide


def _blocks(level: Photograph, most_pixels: int) -> tuple[Block, ...]:
    """The whole, or blocks in the middle of the fields of an even grid."""
    height, width = level.height, level.width
    if height * width <= WHOLE_BELOW * most_pixels:
        return (Block(level, slice(None), slice(None)),)
    high, wide = _sides(level)
    scanned = min(high + 2 * MARGIN, height) * min(wide + 2 * MARGIN, width)
    wanted = max(1.0, most_pixels / scanned)
    rows = max(1, min(round(math.sqrt(wanted * height / width)), height // high))
    columns = max(1, min(round(wanted / rows), width // wide))
    rows = max(1, min(round(wanted / columns), height // high))  # of a strip there are few beside
    blocks = []
    for row in range(rows):
        down, counted_rows = _along(row, rows, high, height)
        for column in range(columns):
            across, counted_columns = _along(column, columns, wide, width)
            blocks.append(Block(_cut(level, down, across), counted_rows, counted_columns))
    return tuple(blocks)


def _along(index: int, count: int, side: int, length: int) -> tuple[slice, slice]:
    """Pixels of a block along one side of the picture, and which of its cells are counted."""
    first = round(((index + 0.5) * length / count - side / 2) / CELL) * CELL
    first = max(0, min(first, (length - side) // CELL * CELL))
    start, stop = max(first - MARGIN, 0), min(first + side + MARGIN, length)
    return slice(start, stop), slice((first - start) // CELL, -(-(first - start + side) // CELL))


def _cut(level: Photograph, down: slice, across: slice) -> Photograph:
    clip = level.clip
    if clip.clipped is not None:
        clip = dataclasses.replace(clip, clipped=clip.clipped[down, across])
    return dataclasses.replace(
        level,
        codes=level.codes[down, across],
        alpha=None if level.alpha is None else level.alpha[down, across],
        key=f"{level.key}/{down.start},{across.start}",
        clip=clip,
    )


def _colours(photograph: Photograph) -> Float:
    """One pixel of each field of an even grid, at a place in it that chance has chosen once."""
    height, width = photograph.height, photograph.width
    rows = max(1, min(height, round(math.sqrt(COLOUR_PIXELS * height / width))))
    columns = max(1, min(width, round(COLOUR_PIXELS / rows)))
    chance = np.random.default_rng(21)  # always the same: the same picture, the same numbers
    y = ((np.arange(rows)[:, None] + chance.random((rows, columns))) * height / rows).astype(int)
    x = ((np.arange(columns)[None] + chance.random((rows, columns))) * width / columns).astype(int)
    y, x = np.minimum(y, height - 1).ravel(), np.minimum(x, width - 1).ravel()
    if photograph.alpha is not None:
        opaque = photograph.alpha[y, x] >= OPAQUE_FROM
        y, x = y[opaque], x[opaque]
    return unit_codes(np.asarray(photograph.codes[y, x]))
