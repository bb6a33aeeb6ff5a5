"""Outlines and numbers of places on a picture; free of the toolkit."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from app.handout.geometry import MM, Box
from proofing.ordering.explanation import Place

Float = npt.NDArray[np.float64]

_LEAST_MM2 = 3.0  # an outline about less is a speck on the page, unless it is all there is
_LEAST_OF_LARGEST = 0.06  # and so is one about less than this share of the place's largest
_STEP_MM = 0.15  # points of a line nearer than this to each other add nothing
_TRIED = 48  # points of an outline where its number might stand


def outlines_on(place: Place, picture_px: tuple[int, int], box: Box) -> list[Float]:
    """The lines about a place, in page units, the longest way round first.

    Parameters
    ----------
    place
        With its lines in pixels of the file.
    picture_px
        Width and height of the file.
    box
        Where the picture lies on the page.
    """
    scale = np.array([box.width / picture_px[0], box.height / picture_px[1]])
    lines = [np.asarray(line) * scale + (box.x, box.y) for line in place.outlines]
    if not lines:  # a place of a few cells
        x, y, width, height = place.box
        corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
        lines = [np.array(corners, np.float64) * scale + (box.x, box.y)]
    lines.sort(key=_area, reverse=True)
    least = max(_LEAST_MM2 * MM**2, _LEAST_OF_LARGEST * _area(lines[0]))
    kept = [line for line in lines if _area(line) >= least] or lines[:1]
    return [_thinned(line) for line in kept]


def number_spots(
    places: Sequence[Sequence[Float]], box: Box, apart: float
) -> list[tuple[float, float]]:
    """Where the numbers stand: on the outlines, away from each other, within the picture.

    Parameters
    ----------
    places
        The lines about each place, the largest first.
    box
        Where the picture lies.
    apart
        Distance of two numbers at which neither hides the other.
    """
    spots: list[tuple[float, float]] = []
    half = apart / 2.0
    for lines in places:
        candidates = _held(_spread(lines[0]), box, half)
        # The upper left comes first, as one reads; a number that is hidden is worth nothing.
        eager = (candidates - (box.x, box.y)) @ np.array([1.0, 1.4])
        order = np.argsort(eager, kind="stable")
        near = [
            min((math.dist(candidates[i], spot) for spot in spots), default=math.inf) for i in order
        ]
        at = next((i for i, gap in enumerate(near) if gap >= apart), int(np.argmax(near)))
        x, y = candidates[order[at]]
        spots.append(_free((float(x), float(y)), spots, box, apart))
    return spots


def _free(
    at: tuple[float, float], taken: Sequence[tuple[float, float]], box: Box, apart: float
) -> tuple[float, float]:
    """A spot beside those that are taken; itself where it is free, or where there is no room."""
    for ring in range(5):
        for turn in range(12):
            angle = 2.0 * math.pi * turn / 12
            x = at[0] + ring * apart * math.cos(angle)
            y = at[1] + ring * apart * math.sin(angle)
            moved = _held(np.array([(x, y)]), box, apart / 2.0)[0]
            if all(math.dist(moved, other) >= apart for other in taken):
                return float(moved[0]), float(moved[1])
    return at


def _held(points: Float, box: Box, half: float) -> Float:
    """Points brought so far into the picture that a number does not leave it."""
    low = np.array([box.x, box.y]) + half
    high = np.maximum(np.array([box.right, box.bottom]) - half, low)
    return np.clip(points, low, high)


def _spread(line: Float) -> Float:
    return line[:: max(1, len(line) // _TRIED)]


def _thinned(line: Float) -> Float:
    """A line without the points that lie next to others."""
    kept = [line[0]]
    for point in line[1:]:
        if math.dist(point, kept[-1]) >= _STEP_MM * MM:
            kept.append(point)
    return np.array(kept)


def _area(line: Float) -> float:
    """Within a closed line (the surveyor's formula)."""
    x, y = line.T
    return 0.5 * abs(float(x @ np.roll(y, -1) - np.roll(x, -1) @ y))
