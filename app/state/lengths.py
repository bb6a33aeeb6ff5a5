"""Lengths for people, in centimetres and metres or in inches and feet."""

from __future__ import annotations

from app.state.table import number_text

MM_PER_INCH = 25.4  # exact, ISO 80000-3
INCHES_PER_FOOT = 12.0
LONG_EDGES_CM = (20.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0, 120.0, 150.0)
LONG_EDGES_IN = (8.0, 10.0, 12.0, 16.0, 20.0, 24.0, 30.0, 36.0, 40.0, 60.0)
"""Long sides that prints are often ordered in (common practice)."""
_IN_FEET_FROM = 36.0  # inches


def unit_of(inches: bool) -> str:
    """The sign of the unit of a print's sides."""
    return "in" if inches else "cm"


def side_text(mm: float, inches: bool) -> str:
    """A side of a print without its unit, to a tenth.

    >>> side_text(254.0, True), side_text(254.0, False)
    ('10', '25.4')
    """
    return number_text(mm / (MM_PER_INCH if inches else 10.0), 1)


def side_mm(value: float, inches: bool) -> float:
    """Millimetres of a side in its unit."""
    return value * (MM_PER_INCH if inches else 10.0)


def size_text(size_mm: tuple[float, float], inches: bool) -> str:
    """Width and height of a print.

    >>> size_text((600.0, 400.0), False), size_text((609.6, 406.4), True)
    ('60 × 40 cm', '24 × 16 in')
    """
    width, height = (side_text(side, inches) for side in size_mm)
    return f"{width} × {height} {unit_of(inches)}"


def distance_text(metres: float, inches: bool) -> str:
    """How far away something is.

    >>> distance_text(0.27, False), distance_text(1.22, False)
    ('0.27 m', '1.22 m')
    >>> distance_text(0.27, True), distance_text(1.22, True)
    ('10.6 in', '4 ft')
    """
    if not inches:
        return f"{number_text(metres, 2)} m"
    length = metres * 1000.0 / MM_PER_INCH
    if length < _IN_FEET_FROM:
        return f"{number_text(length, 1)} in"
    return f"{number_text(length / INCHES_PER_FOOT, 1)} ft"


def long_edges_mm(inches: bool) -> tuple[float, ...]:
    """Long sides that prints are often ordered in."""
    edges = LONG_EDGES_IN if inches else LONG_EDGES_CM
    return tuple(side_mm(edge, inches) for edge in edges)
