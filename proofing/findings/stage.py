"""How far the search for findings has come."""

from __future__ import annotations

from enum import StrEnum


class Stage(StrEnum):
    """How far a proof has come."""

    PROVISIONAL = "provisional"
    """From a reduced copy and a coarse table."""
    SCANNED = "scanned"
    """Every pixel; advice still to come."""
    COMPLETE = "complete"
