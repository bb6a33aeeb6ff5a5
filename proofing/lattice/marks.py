"""Rules that turn scalar channels into one bit per mark, and what a file's own clipping is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
import numpy.typing as npt

from proofing.errors import SettingError
from proofing.lattice.table import channel_index

Condition = tuple[str, float, bool]
"""Channel, threshold, above: the value must be greater (above) or less than the threshold."""
MAX_BITS: Final = 8
_OFF: Final = 4  # more channels than there are: never reached


@dataclass(frozen=True)
class Mark:
    """One bit: set where the first condition and all others hold.

    Comparisons are strict and made in float32, the precision of the lattice.

    Parameters
    ----------
    channel, threshold, above
        The value of the channel must be greater than the threshold, or less if not `above`.
    also
        Further conditions that must hold as well.
    clipped
        True: only where the file itself is clipped; False: only where it is not; None: anywhere.
    """

    channel: str
    threshold: float
    above: bool = True
    also: tuple[Condition, ...] = ()
    clipped: bool | None = None

    @property
    def conditions(self) -> tuple[Condition, ...]:
        """All conditions, the first one first."""
        return ((self.channel, self.threshold, self.above), *self.also)


@dataclass(frozen=True, eq=False)
class Clip:
    """What counts as clipped in the file itself.

    Parameters
    ----------
    top, bottom
        Codes at and beyond which a channel is at its top or bottom, in the units of the codes:
        one number, or one for each channel. None: that end is not looked at.
    top_rule, bottom_rule
        Whether 'any' channel at the end is enough or 'all' must be.
    mask
        (H, W) bool: a ready answer, used instead of the codes.
    bit
        The bit that tells it, 0..7; None: only for the rules that ask for it.
    """

    top: float | tuple[float, float, float] | None = None
    bottom: float | tuple[float, float, float] | None = None
    top_rule: Literal["any", "all"] = "any"
    bottom_rule: Literal["any", "all"] = "all"
    mask: npt.NDArray[np.bool_] | None = None
    bit: int | None = MAX_BITS - 1

    def __post_init__(self) -> None:
        if self.bit is not None and not 0 <= self.bit < MAX_BITS:
            raise SettingError("bit", self.bit, "choose one of 0..7")
        for name in ("top_rule", "bottom_rule"):
            if getattr(self, name) not in ("any", "all"):
                raise SettingError(name, getattr(self, name), "choose 'any' or 'all'")
        if self.mask is not None and (self.mask.ndim != 2 or self.mask.dtype != np.bool_):
            raise SettingError("mask", self.mask.dtype, "give a (height, width) array of bool")

    @property
    def needed(self) -> tuple[int, int]:
        """Channels that must be at the top, at the bottom; 4 where an end is not looked at."""
        count = {"any": 1, "all": 3}
        return (
            _OFF if self.top is None else count[self.top_rule],
            _OFF if self.bottom is None else count[self.bottom_rule],
        )

    def codes(self, dtype: npt.DTypeLike) -> npt.NDArray[np.generic]:
        """(2, 3) array of the top and bottom codes in the type of the picture's codes."""
        ends = np.zeros((2, 3))
        for row, value in enumerate((self.top, self.bottom)):
            if value is not None:
                ends[row] = value
        kind = np.dtype(dtype)
        if kind.kind == "u":
            limit = np.iinfo(kind).max
            if np.any(ends < 0) or np.any(ends > limit):
                raise SettingError("clip", ends.tolist(), f"codes lie in 0..{limit}")
            # whole codes at or above a top that is not whole, at or below such a bottom
            ends = np.stack([np.ceil(ends[0]), np.floor(ends[1])])
        return ends.astype(kind)


@dataclass(frozen=True, eq=False)
class Rules:
    """Marks compiled for the kernel.

    Parameters
    ----------
    rules
        (R, 4) int64: bit, first term, last term, wanted clipped flag or -1.
    terms
        (T, 2) int64: channel, above.
    levels
        (T,) float32.
    """

    rules: npt.NDArray[np.int64]
    terms: npt.NDArray[np.int64]
    levels: npt.NDArray[np.float32]


def compile_marks(marks: Sequence[Mark], channels: Sequence[str], clip: Clip | None) -> Rules:
    """Small arrays for the kernel; changing a threshold costs no more than this.

    Parameters
    ----------
    marks
        The mark at place b sets bit b.
    channels
        Names of the lattice's channels.
    clip
        Its bit must not be taken by a mark.

    Raises
    ------
    SettingError
        An unknown channel, more than eight marks, a bit used twice, or a mark asking for the
        file's clipping where none is given.
    """
    clip_bit = None if clip is None else clip.bit
    if len(marks) > MAX_BITS or (clip_bit is not None and len(marks) > clip_bit):
        raise SettingError(
            "marks", len(marks), "each mark needs a bit of its own, and there are eight"
        )
    rules: list[tuple[int, int, int, int]] = []
    terms: list[tuple[int, int]] = []
    levels: list[float] = []
    for bit, mark in enumerate(marks):
        if mark.clipped is not None and clip is None:
            raise SettingError("clipped", mark.clipped, "say what counts as clipped in the file")
        first = len(terms)
        for channel, threshold, above in mark.conditions:
            if not np.isfinite(threshold):
                raise SettingError("threshold", threshold, "give a number")
            terms.append((channel_index(channels, channel), int(above)))
            levels.append(threshold)
        rules.append((bit, first, len(terms), -1 if mark.clipped is None else int(mark.clipped)))
    return Rules(
        np.array(rules, dtype=np.int64).reshape(-1, 4),
        np.array(terms, dtype=np.int64).reshape(-1, 2),
        np.array(levels, dtype=np.float32),
    )
