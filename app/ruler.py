"""How large the monitor's pixels are, so that a print can be shown in its true size."""

from __future__ import annotations

from dataclasses import dataclass

MM_PER_INCH = 25.4
PLAIN_DPI = 96.0
"""Of a monitor that tells nothing, or nothing sensible; common practice."""
SENSIBLE_DPI = (40.0, 600.0)
EYE_M = 0.6
"""From the eye to a monitor on a desk, about an arm's length (common practice)."""
CARD_MM = (85.60, 53.98)
"""A bank card: ISO/IEC 7810, ID-1 (from memory)."""


@dataclass(frozen=True)
class Ruler:
    """Millimetres on a monitor.

    Attributes
    ----------
    mm_per_px
        Side of a device pixel.
    eye_m
        From the eye to the monitor.
    matched
        Whether a person laid something on the monitor; else it is what the monitor says of itself.
    """

    mm_per_px: float = MM_PER_INCH / PLAIN_DPI
    eye_m: float = EYE_M
    matched: bool = False


def ruler_of(width_mm: float, width_px: float) -> Ruler:
    """The ruler of a monitor that says how wide it is.

    Parameters
    ----------
    width_mm
        As the monitor says; many say nothing, or the size of another one.
    width_px
        Device pixels across.

    Examples
    --------
    >>> round(ruler_of(597.0, 2560).mm_per_px, 4), ruler_of(0.0, 1920).mm_per_px == 25.4 / 96
    (0.2332, True)
    """
    if width_mm <= 0.0 or width_px <= 0.0:
        return Ruler()
    dpi = width_px * MM_PER_INCH / width_mm
    low, high = SENSIBLE_DPI
    return Ruler(width_mm / width_px) if low <= dpi <= high else Ruler()
