"""Loops over every pixel, compiled; imported only when a picture is at hand.

All run without the interpreter lock. They are given C-contiguous, read-only arrays, so that
one compiled form serves each code type.
"""

from __future__ import annotations

from typing import Any

import numba as nb
import numpy as np
import numpy.typing as npt

LIGHT, INK, LAB = 0, 1, 2
"""What the channels are: amounts of light, amounts of ink, or L*, a*, b*."""


@nb.njit(nogil=True, cache=True)  # type: ignore[untyped-decorator]
def count_limits(
    codes: npt.NDArray[Any],
    alpha: npt.NDArray[np.uint8],
    bottom: Any,
    top: Any,
    meaning: int,
    clipped: npt.NDArray[np.bool_],
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64], int, int, int]:
    """Count codes at their limits in one pass.

    Parameters
    ----------
    codes
        (H, W, C), C up to 4.
    alpha
        (H, W), or (0, 0) for none. Pixels of alpha 0 are not counted.
    bottom, top
        The codes at the limits, of the codes' own type; what lies beyond counts as at the limit.
    meaning
        LIGHT: a pixel is clipped with any channel at top or all at bottom. INK: with every
        channel at bottom or the last one at top. LAB: with any channel at either end.
    clipped
        (H, W), filled, or (0, 0) to leave out.

    Returns
    -------
    at_bottom, at_top
        (C,) pixels per channel.
    clipped, outside, counted
        Pixels clipped, pixels with a channel beyond a limit, pixels counted.
    """
    height, width, channels = codes.shape
    masked = alpha.shape[0] > 0
    marked = clipped.shape[0] > 0
    at_bottom = np.zeros(channels, np.int64)
    at_top = np.zeros(channels, np.int64)
    clipped_count = 0
    outside_count = 0
    counted = 0
    for y in range(height):
        for x in range(width):
            if masked and alpha[y, x] == 0:
                if marked:
                    clipped[y, x] = False
                continue
            counted += 1
            lows = 0
            highs = 0
            outside = False
            last_high = False
            for c in range(channels):
                code = codes[y, x, c]
                last_high = False
                if code <= bottom:
                    at_bottom[c] += 1
                    lows += 1
                    outside |= code < bottom
                elif code >= top:
                    at_top[c] += 1
                    highs += 1
                    last_high = True
                    outside |= code > top
            if meaning == LIGHT:
                lost = highs > 0 or lows == channels
            elif meaning == INK:
                lost = last_high or lows == channels
            else:
                lost = highs > 0 or lows > 0
            if lost:
                clipped_count += 1
            if outside:
                outside_count += 1
            if marked:
                clipped[y, x] = lost
    return at_bottom, at_top, clipped_count, outside_count, counted


@nb.njit(nogil=True, cache=True)  # type: ignore[untyped-decorator]
def box_mean(
    codes: npt.NDArray[Any], n: int, whole: bool, out: npt.NDArray[Any], sums: npt.NDArray[Any]
) -> None:
    """Mean of boxes of ``2**n`` pixels a side; boxes at the right and bottom edge may be partial.

    Parameters
    ----------
    codes
        (H, W, C).
    n
        At least 1.
    whole
        Whether codes are integers: the mean is then rounded to the nearest, halves up.
    out
        (ceil(H / 2**n), ceil(W / 2**n), C), filled.
    sums
        (ceil(W / 2**n), C), room to work: int64 for integers, float64 for floats.
    """
    height, width, channels = codes.shape
    rows, columns = out.shape[:2]
    side = 1 << n
    for row in range(rows):
        sums[:] = 0
        top = row << n
        bottom = min(height, top + side)
        for y in range(top, bottom):
            for x in range(width):
                for c in range(channels):
                    sums[x >> n, c] += codes[y, x, c]
        for column in range(columns):
            count = (bottom - top) * (min(width, (column + 1) << n) - (column << n))
            for c in range(channels):
                if not whole:
                    out[row, column, c] = sums[column, c] / count
                elif count == side * side:
                    out[row, column, c] = (int(sums[column, c]) + (count >> 1)) >> (2 * n)
                else:
                    out[row, column, c] = (2 * int(sums[column, c]) + count) // (2 * count)


@nb.njit(nogil=True, cache=True)  # type: ignore[untyped-decorator]
def box_mean_alpha(
    codes: npt.NDArray[Any],
    alpha: npt.NDArray[np.uint8],
    n: int,
    rounding: float,
    out: npt.NDArray[Any],
    out_alpha: npt.NDArray[np.uint8],
) -> None:
    """As :func:`box_mean`, each pixel counting by its alpha; plain where all alpha is 0.

    `rounding` is 0.5 for integers and 0 for floats.
    """
    height, width, channels = codes.shape
    rows, columns = out.shape[:2]
    side = 1 << n
    for row in range(rows):
        for column in range(columns):
            top, left = row << n, column << n
            bottom, right = min(height, top + side), min(width, left + side)
            weight = 0
            for y in range(top, bottom):
                for x in range(left, right):
                    weight += int(alpha[y, x])
            count = (bottom - top) * (right - left)
            out_alpha[row, column] = (2 * weight + count) // (2 * count)
            for c in range(channels):
                total = 0.0
                for y in range(top, bottom):
                    for x in range(left, right):
                        w = float(alpha[y, x]) if weight else 1.0
                        total += w * codes[y, x, c]
                out[row, column, c] = total / (weight if weight else count) + rounding


@nb.njit(nogil=True, cache=True)  # type: ignore[untyped-decorator]
def box_all(mask: npt.NDArray[np.bool_], n: int, out: npt.NDArray[np.bool_]) -> None:
    """Whether every pixel of each box of ``2**n`` a side is marked."""
    height, width = mask.shape
    out[:] = True
    for y in range(height):
        for x in range(width):
            if not mask[y, x]:
                out[y >> n, x >> n] = False


@nb.njit(nogil=True, cache=True)  # type: ignore[untyped-decorator]
def replace_non_finite(codes: npt.NDArray[np.float32]) -> tuple[int, int]:
    """Put 0 for every NaN and negative infinity and 1 for every infinity, in place.

    Returns
    -------
    nan, infinite
        How many there were.
    """
    nan = 0
    infinite = 0
    flat = codes.reshape(-1)
    for index in range(flat.size):
        value = flat[index]
        if np.isnan(value):
            flat[index] = 0.0
            nan += 1
        elif np.isinf(value):
            flat[index] = 1.0 if value > 0 else 0.0
            infinite += 1
    return nan, infinite
