"""Lengths of an order as they are told: centimetres and metres, or inches and feet."""

from __future__ import annotations

import math

from proofing.errors import SettingError
from proofing.language import numeral, tr

MM_PER_INCH = 25.4
"""Exact, ISO 80000-3."""
SMALLEST_MM, LARGEST_MM = 10.0, 20_000.0
"""Sides of a print that make sense here, as in :class:`proofing.request.PrintSize`."""
_IN_METRES_FROM = 0.995
_IN_FEET_FROM = 36.0  # inches


def number(value: float, places: int = 1) -> str:
    """A number with at most `places` decimals and the reader's decimal sign.

    >>> number(60.0), number(13.333)
    ('60', '13.3')
    """
    text = f"{value:.{places}f}"
    return numeral(text.rstrip("0").rstrip(".") if "." in text else text)


def size_text(size_mm: tuple[float, float], inches: bool = False) -> str:
    """Width and height.

    >>> size_text((600.0, 400.0)), size_text((508.0, 338.67), inches=True)
    ('60 × 40 cm', '20 × 13.3 in')
    """
    width, height = (number(side / (MM_PER_INCH if inches else 10.0)) for side in size_mm)
    return f"{width} × {height} {'in' if inches else 'cm'}"


def width_text(mm: float, inches: bool = False) -> str:
    """A margin, a fold, a cut.

    >>> width_text(3.0), width_text(40.0), width_text(38.1, inches=True)
    ('3 mm', '4 cm', '1.5 in')
    """
    if inches:
        return f"{number(mm / MM_PER_INCH, 2)} in"
    value, unit = (mm, "mm") if mm < 10.0 else (mm / 10.0, "cm")
    return f"{number(value)} {unit}"


def distance_text(metres: float, inches: bool = False, finer: int = 0) -> str:
    """How far an eye is; `finer` adds decimals, where two distances would read alike.

    >>> distance_text(0.688), distance_text(1.22), distance_text(0.688, inches=True)
    ('69 cm', '1.22 m', '27 in')
    >>> distance_text(1.22, inches=True)
    '4 ft'
    """
    if inches:
        length = metres * 1000.0 / MM_PER_INCH
        feet = length >= _IN_FEET_FROM
        value, places, unit = (length / 12.0, 1, "ft") if feet else (length, 0, "in")
    else:
        near = metres < _IN_METRES_FROM
        value, places, unit = (metres * 100.0, 0, "cm") if near else (metres, 2, "m")
    return f"{number(value, places + finer)} {unit}"


def checked_pixels(pixels: tuple[int, int]) -> tuple[int, int]:
    """Width and height of a picture in px.

    Raises
    ------
    SettingError
        Unless both are whole and at least 1.
    """
    if not all(isinstance(side, int) and not isinstance(side, bool) for side in pixels):
        raise SettingError("pixels", pixels, tr("give whole pixels"))
    if len(pixels) != 2 or min(pixels) < 1:
        raise SettingError("pixels", pixels, tr("give a width and a height of at least 1 pixel"))
    return pixels


def checked_mm(field: str, value: float, low: float, high: float) -> float:
    """A length in mm between two others.

    Raises
    ------
    SettingError
        Outside that; it says what to use.
    """
    if not (math.isfinite(value) and low <= value <= high):
        raise SettingError(
            field, value, tr("use {low} to {high} mm", low=number(low), high=number(high))
        )
    return float(value)


def checked_size(size_mm: tuple[float, float], field: str = "size_mm") -> tuple[float, float]:
    """Width and height of a print, 10 mm to 20 m each.

    Raises
    ------
    SettingError
        Outside that.
    """
    for side in size_mm:
        if not (math.isfinite(side) and SMALLEST_MM <= side <= LARGEST_MM):
            raise SettingError(field, side, tr("use 10 mm to 20 m"))
    return float(size_mm[0]), float(size_mm[1])
