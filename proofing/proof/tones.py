"""The tones of a print: a grey scale, and how lightness is spread in the file and on the print."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import PCS_WHITE_XYZ, lightness, luminance_factor
from proofing.engine import Engine
from proofing.errors import Cancelled
from proofing.findings.wedge import groups, lost_ends, told_apart
from proofing.photograph import unit_codes
from proofing.request import ProofRequest

Float = npt.NDArray[np.float64]

STEPS = 21
"""Of the grey scale, in equal steps of L* (21 is common practice)."""
BINS = 100
"""Of a spread, one for each unit of L*."""
MOST_PIXELS = 60_000
"""Of the reduced copy that the spread is counted on."""
_MIDDLES = np.arange(BINS) + 0.5  # L* of the middle of each
_FINE = 401  # tones for the lost ends, a quarter of a unit of L* apart


@dataclass(frozen=True)
class ToneStep:
    """One step of the grey scale.

    Attributes
    ----------
    file_L, print_L
        L* in the file, and on paper (D50, absolute).
    luminance_cd_m2
        Of the print in its room.
    file_RGB, print_RGB
        (3,) as the screen shows both, 0..1.
    """

    file_L: float
    print_L: float
    luminance_cd_m2: float
    file_RGB: tuple[float, ...]
    print_RGB: tuple[float, ...]


@dataclass(frozen=True)
class Tones:
    """What becomes of the tones of a picture.

    Attributes
    ----------
    steps
        The grey scale, black first.
    merged
        First and last step, counted from 0, of each run in which no step can be told from the next;
        its ends may still be told from each other.
    black_until_L, white_from_L
        L* in the file up to which, and from which on, a grey looks like the print's black or white.
    black_L, white_L
        L* of the densest print and of bare paper.
    file_spread, print_spread
        (BINS,) share of the picture for each unit of L*; together 1.
    """

    steps: tuple[ToneStep, ...]
    merged: tuple[tuple[int, int], ...]
    black_until_L: float
    white_from_L: float
    black_L: float
    white_L: float
    file_spread: Float = field(repr=False)
    print_spread: Float = field(repr=False)

    @property
    def dark_bins(self) -> int:
        """How many units of L*, from 0 on, look like the print's black, by their middles."""
        return int(np.count_nonzero(self.black_until_L > _MIDDLES))

    @property
    def light_bins(self) -> int:
        """How many units of L*, up to 100, look like the print's white, by their middles."""
        return int(np.count_nonzero(self.white_from_L < _MIDDLES))

    @property
    def lost_dark(self) -> float:
        """Share of the picture, 0..1, that is as dark as what looks like black."""
        return float(self.file_spread[: self.dark_bins].sum())

    @property
    def lost_light(self) -> float:
        """Share of the picture, 0..1, that is as light as what looks like white."""
        return float(self.file_spread[BINS - self.light_bins :].sum())


def tones_of(
    engine: Engine, request: ProofRequest, cancel: Callable[[], bool] = lambda: False
) -> Tones:
    """The tones of a request's photograph on its stock in its room.

    The spreads are those of a reduced copy of at most :data:`MOST_PIXELS` pixels.

    Raises
    ------
    Cancelled
        `cancel` said so, between parts of the work.
    """
    white = float(request.room.white_XYZ_cd_m2[1])
    made = engine.greys(request, _greys(np.linspace(0.0, 100.0, STEPS)))
    fine_L = np.linspace(0.0, 100.0, _FINE)
    fine = engine.greys(request, _greys(fine_L))
    if cancel():
        raise Cancelled
    low, high = lost_ends(fine_L, fine.luminance_cd_m2, white)
    codes = unit_codes(_reduced(request)).reshape(-1, 3)
    file_L = lightness(request.photograph.encoding.to_XYZ(codes)[:, 1])
    if cancel():
        raise Cancelled
    print_L = engine.print_Lab(request, codes, cancel)[:, 0]
    steps = tuple(
        ToneStep(
            float(L), float(made.Lab[i, 0]), float(made.luminance_cd_m2[i]),
            tuple(made.file_RGB[i]), tuple(made.print_RGB[i]),
        )
        for i, L in enumerate(np.linspace(0.0, 100.0, STEPS))
    )  # fmt: skip
    return Tones(
        steps,
        groups(told_apart(made.luminance_cd_m2, white)),
        low,
        high,
        float(request.stock.black_Lab[0]),
        float(request.stock.white_Lab[0]),
        _spread(file_L),
        _spread(print_L),
    )


def _greys(L: Float) -> Float:
    """(N, 3) XYZ of neutral tones, media-relative, D50."""
    return np.asarray(luminance_factor(L)[:, None] * PCS_WHITE_XYZ)


def _reduced(request: ProofRequest) -> npt.NDArray[np.generic]:
    """Codes of a copy that is small enough; every so many pixels of the smallest level."""
    photograph, level = request.photograph, 0
    height, width = photograph.codes.shape[:2]
    while (height >> level) * (width >> level) > MOST_PIXELS:
        level += 1
    return np.ascontiguousarray(photograph.level(level).codes)


def _spread(L: Float) -> Float:
    counts, _ = np.histogram(np.clip(L, 0.0, 100.0), bins=BINS, range=(0.0, 100.0))
    return np.asarray(counts / max(len(L), 1), np.float64)
