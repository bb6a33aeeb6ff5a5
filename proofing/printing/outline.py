"""How far a gamut reaches in each hue, seen along the lightness axis: for small drawings."""

from __future__ import annotations

import functools

import numpy as np
import numpy.typing as npt

from proofing.photograph.icc import IccIntent, device_to_Lab, srgb_profile
from proofing.printing.gamut import cube_faces

Float = npt.NDArray[np.float64]

HUES = 72
"""Directions of an outline, five degrees apart."""
_STEPS = 33


def outline_ab(Lab: npt.ArrayLike, hues: int = HUES) -> Float:
    """The outline of colours in the a*, b* plane: the largest chroma within each hue's sector.

    Parameters
    ----------
    Lab
        (N, 3), dense on the surface of a gamut.
    hues
        Directions.

    Returns
    -------
    ndarray
        (hues, 2) a*, b*, counter-clockwise from the a* axis; 0 where a sector holds no colour.

    Examples
    --------
    >>> outline_ab([[50, 10, 0], [50, 20, 0], [50, -10, 0]], hues=4).tolist()
    [[20.0, 0.0], [0.0, 0.0], [-10.0, 0.0], [0.0, 0.0]]
    """
    colours = np.asarray(Lab, dtype=float)
    chroma = np.hypot(colours[:, 1], colours[:, 2])
    sector = np.round(np.arctan2(colours[:, 2], colours[:, 1]) / (2 * np.pi) * hues).astype(int)
    reach = np.zeros(hues)
    np.maximum.at(reach, sector % hues, chroma)
    angle = 2 * np.pi * np.arange(hues) / hues
    outline: Float = np.stack([reach * np.cos(angle), reach * np.sin(angle)], axis=-1)
    return outline.round(9) + 0.0


def area_ab(outline: npt.ArrayLike) -> float:
    """Area inside an outline, in squared units of a* and b* (the shoelace formula).

    >>> area_ab([[1, 0], [0, 1], [-1, 0], [0, -1]])
    2.0
    """
    a, b = np.asarray(outline, dtype=float).T
    return float(abs(a @ np.roll(b, -1) - b @ np.roll(a, -1)) / 2.0)


@functools.lru_cache(maxsize=1)
def srgb_outline_ab() -> Float:
    """The outline of sRGB (IEC 61966-2-1) at D50, (HUES, 2): what a common screen shows."""
    vertices, _ = cube_faces(_STEPS)
    outline = outline_ab(device_to_Lab(srgb_profile(), vertices, IccIntent.RELATIVE))
    outline.flags.writeable = False
    return outline
