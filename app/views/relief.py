"""The relief of sheets, drawn and not measured: height in millimetres, and the shade it throws.

Each field is made once from a fixed seed, repeats after 40 mm without a seam, and is kept as its
Fourier transform, so that what a pixel of the monitor or an eye can no longer resolve is taken away
exactly: from afar nothing of it is left. Free of the toolkit.
"""

from __future__ import annotations

import functools
import math
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

Float = npt.NDArray[np.float64]
Float32 = npt.NDArray[np.float32]
Relief = Literal["woven", "textured", "tooth", "pebbled", "fine grain"]

PERIOD_MM = 40.0
THREAD_MM = 0.5
"""Twenty threads to the centimetre: a usual canvas for printing (common practice)."""
_POINTS = 1024
_SEED = 20261126
_LIGHT = (-0.42, -0.91)  # from above, a little from the left: as galleries hang their lamps
_RAKING = 0.3 * math.tan(math.radians(30.0))
"""Of the light a third comes from the lamp, 30 degrees off the sheet's normal (the usual angle for
hung works, common practice); the rest comes from all around and throws no shade."""
_PIXEL = 0.6  # standard deviation of what a pixel gathers, in pixels: finer than two is gone
_LEAST = 0.002  # of shade, root mean square, that is worth drawing

_BUMPS: dict[str, tuple[float, float, float]] = {
    # size of a bump in mm, spread of sizes in octaves, height in mm root mean square: typical of
    # the class, from memory
    "textured": (0.90, 0.45, 0.0180),
    "tooth": (0.30, 0.45, 0.0035),
    "pebbled": (0.60, 0.20, 0.0070),
    "fine grain": (0.35, 0.35, 0.0030),
}


def shade(kind: Relief, pixel_mm: float, spread_mm: float = 0.0) -> Float32 | None:
    """How much lighter or darker the relief makes a sheet, as a share of its luminance.

    Parameters
    ----------
    kind
        Of relief.
    pixel_mm
        Side of a pixel that will show it, mm on the print.
    spread_mm
        Standard deviation of what an eye spreads besides.

    Returns
    -------
    ndarray or None
        (N, N), one period, read-only, mean 0; None where nothing is left to be seen.
    """
    return _shade(kind, float(f"{pixel_mm:.4g}"), float(f"{spread_mm:.3g}"))


@functools.lru_cache(maxsize=6)
def _shade(kind: Relief, pixel_mm: float, spread_mm: float) -> Float32 | None:
    from scipy import fft

    fx, fy = _frequencies()
    sigma = math.hypot(_PIXEL * pixel_mm, spread_mm)
    low_x = np.exp(-2.0 * (math.pi * sigma * fx) ** 2).astype(np.float32)
    low_y = np.exp(-2.0 * (math.pi * sigma * fy) ** 2).astype(np.float32)
    made: Any = fft.irfft2(_slope(kind) * low_x[None, :] * low_y[:, None], (_POINTS, _POINTS))
    if float(np.sqrt(np.mean(made**2))) < _LEAST:
        return None
    made = made.astype(np.float32)
    made.flags.writeable = False
    shaded: Float32 = made
    return shaded


def sampled(tile: Float32, x_mm: Float, y_mm: Float) -> Float32:
    """A period's values at a grid of places, interpolated.

    Parameters
    ----------
    tile
        Of :func:`shade`.
    x_mm, y_mm
        (W,) and (H,), mm on the print.

    Returns
    -------
    ndarray
        (H, W) float32.
    """
    for axis, at_mm in ((0, y_mm), (1, x_mm)):
        place = at_mm * (_POINTS / PERIOD_MM)
        first = np.floor(place)
        part = (place - first).astype(np.float32)
        part = part[:, None] if axis == 0 else part[None, :]
        index = first.astype(np.intp) % _POINTS
        low = np.take(tile, index, axis=axis)
        high = np.take(tile, (index + 1) % _POINTS, axis=axis)
        high -= low
        high *= part
        high += low
        tile = high
    return tile


def height_mm(kind: Relief) -> Float:
    """(N, N) height over one period, mm, mean 0."""
    rng = np.random.default_rng(_SEED)
    made = _weave(rng) if kind == "woven" else _bumps(rng, *_BUMPS[kind])
    made -= made.mean()
    return made


@functools.lru_cache(maxsize=8)
def _slope(kind: Relief) -> npt.NDArray[np.complex64]:
    """Transform of the shade: the slope toward the light, times how much of the light rakes."""
    from scipy import fft

    fx, fy = _frequencies()
    along = 2j * math.pi * (_LIGHT[0] * fx[None, :] + _LIGHT[1] * fy[:, None])
    made: npt.NDArray[np.complex64] = np.asarray(
        -_RAKING * along * fft.rfft2(height_mm(kind)), np.complex64
    )
    made.flags.writeable = False
    return made


def _frequencies() -> tuple[Float, Float]:
    """Cycles per mm across (half of them) and down."""
    step = PERIOD_MM / _POINTS
    across = np.asarray(np.fft.rfftfreq(_POINTS, step), np.float64)
    return across, np.asarray(np.fft.fftfreq(_POINTS, step), np.float64)


def _bumps(rng: np.random.Generator, size_mm: float, octaves: float, rms_mm: float) -> Float:
    """Noise whose bumps are about as large as told."""
    from scipy import fft

    fx, fy = _frequencies()
    f = np.maximum(np.hypot(fx[None, :], fy[:, None]), 1e-9)
    band = np.exp(-0.5 * (np.log2(f * size_mm) / octaves) ** 2) / f
    made: Any = fft.irfft2(fft.rfft2(rng.standard_normal((_POINTS, _POINTS))) * band)
    scaled: Float = made * (rms_mm / float(made.std()))
    return scaled


def _weave(rng: np.random.Generator) -> Float:
    """A plain weave under its coating: each thread goes over one and under the next."""
    from scipy.ndimage import gaussian_filter

    threads = round(PERIOD_MM / THREAD_MM)
    at = (np.arange(_POINTS) + 0.5) * (threads / _POINTS)
    number = np.floor(at).astype(np.intp)
    across = at - number - 0.5
    round_top = 0.035 * np.sqrt(1.0 - (1.9 * across) ** 2)  # mm
    # over the crossing threads of even number, under those of odd number
    bend = 0.022 * np.sin(math.pi * at)

    def running_down(turn: float) -> Float:
        thick = 1.0 + 0.18 * rng.standard_normal(threads)
        over = np.where(number % 2 == 0, turn, -turn)
        made: Float = (thick[number] * round_top)[None, :] + bend[:, None] * over[None, :]
        return made

    cloth = np.maximum(running_down(1.0), running_down(-1.0).T)
    cloth += _bumps(rng, 2.5, 0.6, 0.006)  # no thread is even
    coated: Float = gaussian_filter(cloth, 0.045 * _POINTS / PERIOD_MM, mode="wrap")
    return coated
