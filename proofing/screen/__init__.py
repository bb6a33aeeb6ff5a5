"""The monitor that stands in for the print."""

from __future__ import annotations

from .against_print import ScreenAgainstPrint, screen_against_print
from .screen import DEFAULT_LUMINANCE_CD_M2, Encoded, Screen, adaptation_of
from .system import monitor_profile

__all__ = [
    "DEFAULT_LUMINANCE_CD_M2",
    "Encoded",
    "Screen",
    "ScreenAgainstPrint",
    "adaptation_of",
    "monitor_profile",
    "screen_against_print",
]
