"""The work of a sitting: how urgent each kind is, what asks for it, what is said of it."""

from __future__ import annotations

from pathlib import Path

from app.state import Setting
from proofing.findings.kinds import Kind

URGENCY = {
    "probe": 0,
    "match": 0,
    "pins": 1,
    "view": 1,
    "load": 2,
    "open": 2,
    "cut": 2,
    "check": 2,
    "bake": 3,
    "beside": 4,
    "cells": 1,
    "glance": 5,
    "sheet": 5,
    "save": 4,
    "order": 8,
    "fine": 6,
    "prove": 7,
    "advise": 7,
    "keep": 2,
    "lift": 4,
    "ease": 4,
    "tones": 4,
    "thumbnail": 4,
    "compare": 7,
    "notes": 8,
    "ahead": 9,
    "verdict": 10,
}
WORDS = {
    "load": "Getting the colour engine ready…",
    "open": "Reading the photograph…",
    "cut": "Cropping…",
    "check": "Reading the file…",
    "keep": "Keeping the pasted picture…",
    "bake": "Printing…",
    "tones": "Working out the tones…",
    "compare": "Comparing the stocks…",
    "sheet": "Printing the sheet…",
    "fine": "Printing finely…",
    "beside": "Printing the other…",
    "view": "Drawing…",
    "prove": "Looking for what is lost…",
    "advise": "Working out what would help…",
    "lift": "Looking how far the shadows must be lifted…",
    "ease": "Looking how far strong colours must be eased in…",
    "save": "Saving the pair…",
    "order": "Writing the file…",
}
PREPARING = "Preparing, once on this computer (about ten seconds)…"
"""Said of all work until the pixel loops have been compiled and kept on disk."""


def closed(text: str) -> str:
    """A sentence with its capital and its full stop; a file's name keeps its own letters.

    >>> closed("there is no file a.tif; choose another file"), closed("a.tif is cut short.")
    ('There is no file a.tif; choose another file.', 'a.tif is cut short.')
    """
    text = text.strip()
    if text.split(" ")[0].rstrip(",").isalpha():
        text = text[0].upper() + text[1:]
    return text if text.endswith((".", "!", "?")) else f"{text}."


def absolute(path: str) -> str:
    """A path that means the same from any folder; '' stays ''."""
    return str(Path(path).absolute()) if path else ""


def colour_part(setting: Setting) -> Setting:
    """What of a setting changes the colours: all but the photograph and what is marked."""
    return setting.change(photograph="", marks=frozenset(Kind))


NODES_MOVING, NODES_RESTING = 33, 65
"""Of a side of the table, while a control moves and when it rests: see :mod:`proofing.engine`."""
