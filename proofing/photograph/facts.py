"""What a picture file says of itself, and what its codes say: the intake facts."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

Mode = Literal["RGB", "grey", "CMYK", "Lab", "palette"]
ProfileStatus = Literal["embedded", "assumed", "broken", "wrong kind"]

CHANNEL_NAMES: dict[Mode, tuple[str, ...]] = {
    "RGB": ("red", "green", "blue"),
    "palette": ("red", "green", "blue"),
    "grey": ("grey",),
    "CMYK": ("cyan", "magenta", "yellow", "black"),
    "Lab": ("L*", "a*", "b*"),
}

_STRIP_PIXELS = 2**20


@dataclass(frozen=True)
class ChannelFacts:
    """One channel of the file.

    Attributes
    ----------
    name
        ``'red'``, ``'grey'``, ``'cyan'``, ``'L*'``, ...
    share_at_bottom, share_at_top
        Share of the pixels, 0..1, whose code is the lowest or highest there is; for floats, 0
        and below, 1 and above. Wholly transparent pixels are left out.
    """

    name: str
    share_at_bottom: float
    share_at_top: float


@dataclass(frozen=True)
class IntakeFacts:
    """Everything known about a picture when it comes in.

    Attributes
    ----------
    width, height
        Pixels, after orientation.
    mode
        What the pixels of the file are.
    bits
        Bits a channel as held here: 8, 16, or 32 for floats.
    is_float
        Whether codes are floats, 1 being full.
    space
        The colour space in the words of people: a published name where the primaries and curve
        are those of one, else what the profile calls itself.
    profile
        What the embedded profile calls itself, or None where none is in use.
    profile_status
        ``'embedded'``: a profile in the file is used. ``'assumed'``: there is none. ``'broken'``
        or ``'wrong kind'``: there is one, but it cannot be used.
    note
        Sentences on all that had to be assumed or left out; empty if nothing.
    ppi
        Pixels per inch the file asks for, or None.
    orientation_applied
        Whether the picture was turned or mirrored as the file asks.
    has_alpha
        Whether any part of it is transparent.
    channels
        In the order of the file.
    share_clipped
        Share of the pixels, 0..1, with a lost tone. RGB, grey and palette: any channel at top,
        or all at bottom. CMYK: no ink at all, or full black ink. Lab: any channel at either
        end. Wholly transparent pixels are left out.
    share_outside
        Share of the pixels with a channel below 0 or above 1; floats only.
    """

    width: int
    height: int
    mode: Mode
    bits: int
    is_float: bool
    space: str
    profile: str | None
    profile_status: ProfileStatus
    note: str
    ppi: float | None
    orientation_applied: bool
    has_alpha: bool
    channels: tuple[ChannelFacts, ...]
    share_clipped: float
    share_outside: float = 0.0

    def as_dict(self) -> dict[str, Any]:
        """The facts as plain numbers, texts, lists and None, ready for JSON."""
        return {
            "width": self.width,
            "height": self.height,
            "mode": self.mode,
            "bits": self.bits,
            "space": self.space,
            "profile": self.profile,
            "profile_status": self.profile_status,
            "note": self.note,
            "ppi": self.ppi,
            "has_alpha": self.has_alpha,
            "channels": [
                {
                    "name": channel.name,
                    "share_at_bottom": channel.share_at_bottom,
                    "share_at_top": channel.share_at_top,
                }
                for channel in self.channels
            ],
            "share_clipped": self.share_clipped,
        }


@dataclass(frozen=True)
class Counted:
    """What one pass over the codes tells."""

    channels: tuple[ChannelFacts, ...]
    share_clipped: float
    share_outside: float
    clipped: npt.NDArray[np.bool_] | None


def top_code(dtype: np.dtype[Any]) -> float:
    """The code of full scale: 255, 65535, or 1 for floats."""
    return 1.0 if dtype.kind == "f" else float(np.iinfo(dtype).max)


def unit_codes(codes: npt.NDArray[Any]) -> npt.NDArray[np.float64]:
    """Codes on a scale of 0 to 1, of any shape; floats beyond are cut off."""
    return np.clip(codes.astype(np.float64) / top_code(codes.dtype), 0.0, 1.0)


def in_strips(height: int, width: int, work: Callable[[int, int], Any]) -> list[Any]:
    """Do `work(first row, last row + 1)` over strips of a picture, on every core."""
    rows = max(1, _STRIP_PIXELS // max(1, width))
    strips = [(start, min(start + rows, height)) for start in range(0, height, rows)]
    if len(strips) == 1:
        return [work(*strips[0])]
    with ThreadPoolExecutor(min(4, os.cpu_count() or 1)) as pool:
        return list(pool.map(lambda strip: work(*strip), strips))


def count_codes(
    pixels: npt.NDArray[Any],
    mode: Mode,
    alpha: npt.NDArray[np.uint8] | None,
    *,
    with_mask: bool,
) -> Counted:
    """Count codes at their limits, once over the picture.

    Parameters
    ----------
    pixels
        (H, W, C) uint8, uint16 or float32, C-contiguous.
    mode
        What the channels are; :attr:`IntakeFacts.share_clipped` says what it changes.
    alpha
        (H, W) or None.
    with_mask
        Whether to keep which pixels are clipped.
    """
    from proofing.photograph import kernels

    height, width, channels = pixels.shape
    meaning = {"CMYK": kernels.INK, "Lab": kernels.LAB}.get(mode, kernels.LIGHT)
    codes = pixels.view()
    codes.flags.writeable = False
    bottom, top = codes.dtype.type(0), codes.dtype.type(top_code(codes.dtype))
    opacity = np.zeros((0, 0), np.uint8) if alpha is None else alpha.view()
    opacity.flags.writeable = False
    clipped = np.empty((height, width) if with_mask else (0, 0), np.bool_)

    def count(first: int, end: int) -> Any:
        return kernels.count_limits(
            codes[first:end], opacity[first:end], bottom, top, meaning, clipped[first:end]
        )

    parts = in_strips(height, width, count)
    at_bottom, at_top, lost, outside, counted = (
        sum(part[index] for part in parts) for index in range(5)
    )
    whole = max(1, counted)
    names = CHANNEL_NAMES[mode]
    clipped.flags.writeable = False
    return Counted(
        channels=tuple(
            ChannelFacts(names[c], float(at_bottom[c] / whole), float(at_top[c] / whole))
            for c in range(channels)
        ),
        share_clipped=lost / whole,
        share_outside=outside / whole,
        clipped=clipped if with_mask else None,
    )
