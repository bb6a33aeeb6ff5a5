"""Rounding once, with noise in place of steps.

A colour between two codes becomes one or the other by chance, so that the mean is kept: a slow
gradient gets grain of one code instead of bands (Lipshitz, Wannamaker and Vanderkooy 1992).
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

Codes = npt.NDArray[Any]
"""uint8 or uint16."""

SEED = 1998
"""Of the noise: the same picture gives the same file."""


def round_with_noise(values: npt.NDArray[np.float64], top: int, first_row: int) -> Codes:
    """Codes of fractions.

    Parameters
    ----------
    values
        (rows, W, C) in 0..1.
    top
        The code of 1: 255 or 65535.
    first_row
        Where in the picture the rows begin: the noise belongs to the place, however a picture is
        divided.

    Returns
    -------
    ndarray
        (rows, W, C) uint8 or uint16. The expected code is ``top * value``.

    Notes
    -----
    Triangular noise of one code up and down, the difference of neighbours of a uniform one, so
    that what is coarse in it is missing and the eye sees least of it. All channels share it:
    a neutral stays neutral. Within one code of either end it is uniform, half a code wide, which
    is as true on average and leaves bare paper and full black clean.
    """
    rows, width, _ = values.shape
    u = np.empty((rows, width + 1), np.float64)
    for row in range(rows):
        np.random.default_rng((SEED, first_row + row)).random(out=u[row])
    near = u[:, 1:]
    triangular = (near - u[:, :-1])[..., None]
    uniform = (near - 0.5)[..., None]
    scaled = values * float(top)
    noise = np.where((scaled < 1.0) | (scaled > top - 1.0), uniform, triangular)
    codes = np.floor(scaled + 0.5 + noise)
    return np.clip(codes, 0, top).astype(np.uint8 if top == 255 else np.uint16)


def round_plainly(values: npt.NDArray[np.float64], top: int) -> Codes:
    """The nearest codes, where the values are codes already."""
    return np.rint(values * float(top)).astype(np.uint8 if top == 255 else np.uint16)
