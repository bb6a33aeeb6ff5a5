"""A grey scale on a print: which of its steps an eye in the room can tell apart.

Two neighbouring steps are told apart where they differ by twice the threshold of the frequency that
the eye sees best (Barten 1999, lowered by what the eye is adapted to), counted in the
just-noticeable steps of DICOM PS3.14. Once the threshold is what a trained observer just sees in
half of the trials; twice is what one sees in passing, and what the marks ask of a file's detail.
"""

from __future__ import annotations

import itertools

import numpy as np
import numpy.typing as npt

from proofing.findings.sight import BACKGROUND, relative_threshold
from proofing.findings.visibility import steps

Float = npt.NDArray[np.float64]

TIMES_THRESHOLD = 2.0
_FREQUENCIES_CPD = np.geomspace(0.5, 16.0, 21)


def steps_needed(L_cd_m2: npt.ArrayLike, white_cd_m2: float) -> Float:
    """Just-noticeable steps by which two areas must differ to be told apart.

    Parameters
    ----------
    L_cd_m2
        (N,) luminance between the two.
    white_cd_m2
        Luminance of white in the room: the eye is adapted to a fifth of it.

    Returns
    -------
    ndarray
        (N,), least near what the eye is adapted to.
    """
    L = np.maximum(np.asarray(L_cd_m2, np.float64), 1e-4)
    threshold = relative_threshold(_FREQUENCIES_CPD[:, None], L[None], BACKGROUND * white_cd_m2)
    return np.asarray(TIMES_THRESHOLD * threshold.min(axis=0))


def told_apart(L_cd_m2: npt.ArrayLike, white_cd_m2: float) -> npt.NDArray[np.bool_]:
    """Whether each step can be told from the next.

    Parameters
    ----------
    L_cd_m2
        (N,) luminances of a grey scale, from black to white.
    white_cd_m2
        As for :func:`steps_needed`.

    Returns
    -------
    ndarray
        (N - 1,); a step that is darker than the one before it counts as not told apart.

    Examples
    --------
    >>> told_apart([1.0, 1.001, 2.0, 100.0], 140.0).tolist()
    [False, True, True]
    """
    L = np.asarray(L_cd_m2, np.float64)
    between = 0.5 * (L[1:] + L[:-1])
    return np.asarray(np.diff(steps(L)) >= steps_needed(between, white_cd_m2))


def groups(apart: npt.ArrayLike) -> tuple[tuple[int, int], ...]:
    """Runs of steps that merge into one another, first and last counted from 0; at least two each.

    >>> groups([False, False, True, True, False])
    ((0, 2), (4, 5))
    """
    found = []
    at = 0
    for same, run in itertools.groupby(np.asarray(apart, bool).tolist()):
        length = len(list(run))
        if not same:
            found.append((at, at + length))
        at += length
    return tuple(found)


def lost_ends(
    lightness: npt.ArrayLike, L_cd_m2: npt.ArrayLike, white_cd_m2: float
) -> tuple[float, float]:
    """Up to which lightness of the file all looks like black on the print, and from which on all
    looks like white.

    Parameters
    ----------
    lightness
        (N,) L* in the file, rising.
    L_cd_m2
        (N,) luminance of these tones on the print, in the room.
    white_cd_m2
        As for :func:`steps_needed`.

    Returns
    -------
    low, high : float
        L*; the first and the last of `lightness` where nothing is lost.
    """
    tones, L = np.asarray(lightness, np.float64), np.asarray(L_cd_m2, np.float64)
    j = steps(L)
    dark = j - j[0] >= steps_needed(0.5 * (L + L[0]), white_cd_m2)
    light = j[-1] - j >= steps_needed(0.5 * (L + L[-1]), white_cd_m2)
    if not dark.any() or not light.any():
        return float(tones[-1]), float(tones[0])
    first, last = int(np.argmax(dark)), len(tones) - 1 - int(np.argmax(light[::-1]))
    return float(tones[max(first - 1, 0)]), float(tones[min(last + 1, len(tones) - 1)])
