"""Points of a curve set by hand, moved and added so that the curve never falls."""

from __future__ import annotations

from app.state.table import curve_points
from proofing.printing import MOST_POINTS

Codes = tuple[tuple[float, float], ...]
"""Points of a curve, in and out, 0 to 255, from dark to light."""
STRAIGHT: Codes = ((0.0, 0.0), (255.0, 255.0))


def codes_of(text: str) -> Codes:
    """The points of the setting ``curve``; the two ends where there are none.

    >>> codes_of("0:0 64:80 255:255")
    ((0.0, 0.0), (64.0, 80.0), (255.0, 255.0))
    """
    points = ((round(255.0 * x, 2), round(255.0 * y, 2)) for x, y in curve_points(text))
    return tuple(points) or STRAIGHT


def text_of(points: Codes) -> str:
    """The inverse of :func:`codes_of`; no curve at all where only the ends are left.

    >>> text_of(((0.0, 0.0), (64.0, 80.5), (255.0, 255.0))), text_of(STRAIGHT)
    ('0:0 64:80.5 255:255', '')
    """
    return "" if len(points) <= 2 else " ".join(f"{x:g}:{y:g}" for x, y in points)


def moved_point(points: Codes, at: int, x: float, y: float) -> Codes:
    """Points with one of them elsewhere, as near as its neighbours let it: the curve never falls.

    >>> moved_point(((0, 0), (64, 80), (128, 128), (255, 255)), 1, 200, 200)
    ((0, 0), (127, 128), (128, 128), (255, 255))
    """
    (left, low), (right, high) = points[at - 1], points[at + 1]
    there = min(max(x, left + 1), right - 1), min(max(y, low), high)
    return (*points[:at], there, *points[at + 1 :])


def with_point(points: Codes, x: float, y: float) -> tuple[Codes, int] | None:
    """Points with one more, and its place; None where there is no room for it."""
    place = sum(point[0] < x for point in points)
    if len(points) >= MOST_POINTS or not 0 < place < len(points):
        return None
    if points[place][0] - points[place - 1][0] < 2.0:
        return None
    return moved_point((*points[:place], (x, y), *points[place:]), place, x, y), place
