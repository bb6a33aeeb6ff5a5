"""Printing: stocks, the spectral ink model, its gamut, and what becomes of colours on it."""

from proofing.printing.correction import (
    MOST_LIFT_STOPS,
    MOST_POINTS,
    Correction,
    CurvePoints,
    check_points,
    correction_for,
    shadow_lift,
)
from proofing.printing.easing import ColourEase
from proofing.printing.gamut import Gamut
from proofing.printing.inks import Ink, InkSet
from proofing.printing.model import PrintModel
from proofing.printing.paper import Paper, Surface
from proofing.printing.rendering import (
    Intent,
    MappedColours,
    PrintedColours,
    Rendering,
    Source,
    compensate_black,
    map_colours,
    print_colours,
    spectra_of,
)
from proofing.printing.stock import (
    Stock,
    black_point,
    stock_from_measurement,
    stock_from_profile,
    stock_from_record,
)

__all__ = [
    "MOST_LIFT_STOPS",
    "MOST_POINTS",
    "ColourEase",
    "Correction",
    "CurvePoints",
    "Gamut",
    "Ink",
    "InkSet",
    "Intent",
    "MappedColours",
    "Paper",
    "PrintModel",
    "PrintedColours",
    "Rendering",
    "Source",
    "Stock",
    "Surface",
    "black_point",
    "check_points",
    "compensate_black",
    "correction_for",
    "map_colours",
    "print_colours",
    "shadow_lift",
    "spectra_of",
    "stock_from_measurement",
    "stock_from_profile",
    "stock_from_record",
]
