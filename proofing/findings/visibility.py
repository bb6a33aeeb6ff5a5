"""How many just-noticeable steps there are: luminance as the eye counts it.

The grayscale standard display function of DICOM PS3.14 (NEMA; derived from Barten's model)
numbers luminances from 0.05 to 4000 cd/m2 so that one step is one just-noticeable difference.
A matte black in a dim hallway lies below its range. There the count goes on by the square-root
law of dim vision (de Vries-Rose: the threshold grows as the root of the luminance), above by
Weber's law (the threshold grows as the luminance), each with the slope the standard has at its
end. The continuation is ours, not the standard's.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
from numpy.polynomial import polynomial

Float = npt.NDArray[np.float64]

L_MIN_CD_M2 = 0.05
"""DICOM PS3.14: lower end of the standard function."""
L_MAX_CD_M2 = 3993.404
"""DICOM PS3.14: luminance of step 1023, upper end (the text rounds it to 4000)."""

# DICOM PS3.14, 7.1: j = sum A_i (log10 L)^i, 0.05..4000 cd/m2
_STEPS = (
    71.498068,
    94.593053,
    41.912053,
    9.8247004,
    0.28175407,
    -1.1878455,
    -0.18014349,
    0.14710899,
    -0.017046845,
)
# DICOM PS3.14, 7.1: log10 L = (a + c x + e x^2 + g x^3 + m x^4)
#                            / (1 + b x + d x^2 + f x^3 + h x^4 + k x^5), x = ln j, j in 1..1023
_NUMERATOR = (-1.3011877, 8.0242636e-2, 1.3646699e-1, -2.5468404e-2, 1.3635334e-3)
_DENOMINATOR = (1.0, -2.5840191e-2, -1.0320229e-1, 2.8745620e-2, -3.1978977e-3, 1.2992634e-4)


def _standard_steps(L: Float) -> Float:
    return np.asarray(polynomial.polyval(np.log10(L), _STEPS), np.float64)


def _standard_slope(L: float) -> float:
    """dj/dL of the standard, per cd/m2."""
    derivative = polynomial.polyder(np.array(_STEPS))
    return float(polynomial.polyval(math.log10(L), derivative)) / (L * math.log(10.0))


_j_MIN = float(_standard_steps(np.array(L_MIN_CD_M2)))
_j_MAX = float(_standard_steps(np.array(L_MAX_CD_M2)))
_ROOT = 2.0 * math.sqrt(L_MIN_CD_M2) * _standard_slope(L_MIN_CD_M2)
_WEBER = L_MAX_CD_M2 * _standard_slope(L_MAX_CD_M2)


def steps(L_cd_m2: npt.ArrayLike) -> Float:
    """Just-noticeable steps up to a luminance.

    Parameters
    ----------
    L_cd_m2
        Luminance, any shape; at or below 0 counts as 0.

    Returns
    -------
    ndarray
        Same shape. Differences are what counts: 1 is just noticeable for an eye adapted to that
        luminance. Strictly rising; slightly below 0 in the dark end of the continuation.

    Notes
    -----
    DICOM PS3.14, 7.1, from 0.05 to 3993 cd/m2. Below, j = j_0 + a (sqrt(L) - sqrt(L_0)); above,
    j = j_1 + b ln(L / L_1); each continuous in value and slope.

    >>> steps([1.0, 10.0, 100.0]).round(2).tolist()
    [71.5, 216.87, 476.36]
    """
    L = np.maximum(np.asarray(L_cd_m2, np.float64), 0.0)
    inside = np.clip(L, L_MIN_CD_M2, L_MAX_CD_M2)
    j = _standard_steps(inside)
    j = np.where(L < L_MIN_CD_M2, _j_MIN + _ROOT * (np.sqrt(L) - math.sqrt(L_MIN_CD_M2)), j)
    above = np.maximum(L, L_MAX_CD_M2)
    return np.where(L > L_MAX_CD_M2, _j_MAX + _WEBER * np.log(above / L_MAX_CD_M2), j)


def luminance_cd_m2(j: npt.ArrayLike) -> Float:
    """Luminance of a number of steps; the inverse of :func:`steps`.

    Parameters
    ----------
    j
        Steps, any shape.

    Returns
    -------
    ndarray
        Same shape, cd/m2, at least 0.

    Notes
    -----
    DICOM PS3.14, 7.1. The standard's two polynomials were fitted each on its own; the result of
    the forward one is refined until it is the inverse of the other (a change below 0.5 %).

    >>> luminance_cd_m2(512.0).round(1).tolist()
    130.1
    """
    j = np.asarray(j, np.float64)
    x = np.log(np.clip(j, 1.0, 1023.0))
    log_L = np.asarray(polynomial.polyval(x, _NUMERATOR) / polynomial.polyval(x, _DENOMINATOR))
    low, high = math.log10(L_MIN_CD_M2), math.log10(L_MAX_CD_M2)
    aim = np.clip(j, _j_MIN, _j_MAX)
    derivative = polynomial.polyder(np.array(_STEPS))
    for _ in range(4):
        log_L = np.clip(log_L, low, high)
        error = polynomial.polyval(log_L, _STEPS) - aim
        log_L = log_L - error / polynomial.polyval(log_L, derivative)
    L = 10.0 ** np.clip(log_L, low, high)
    root = np.maximum(math.sqrt(L_MIN_CD_M2) + (np.minimum(j, _j_MIN) - _j_MIN) / _ROOT, 0.0)
    L = np.where(j < _j_MIN, root**2, L)
    above = L_MAX_CD_M2 * np.exp((np.maximum(j, _j_MAX) - _j_MAX) / _WEBER)
    return np.asarray(np.where(j > _j_MAX, above, L))


def step_size_cd_m2(L_cd_m2: npt.ArrayLike) -> Float:
    """How much brighter a tone must be to be told apart.

    Parameters
    ----------
    L_cd_m2
        Luminance, any shape.

    Returns
    -------
    ndarray
        Same shape, cd/m2: one step up from there.
    """
    L = np.maximum(np.asarray(L_cd_m2, np.float64), 0.0)
    return np.asarray(luminance_cd_m2(steps(L) + 1.0) - L)
