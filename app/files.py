"""Writing files so that a file is either whole or not there; most of it is the engine's."""

from __future__ import annotations

import tempfile
from pathlib import Path

from proofing.files import (
    atomic_output,
    free_name,
    is_file,
    is_folder,
    refuse_existing,
    refuse_inputs,
)

__all__ = [
    "PICTURE_ENDINGS",
    "atomic_output",
    "free_name",
    "is_file",
    "is_folder",
    "refuse_existing",
    "refuse_inputs",
    "writable",
]

PICTURE_ENDINGS = (".tif", ".tiff", ".jpg", ".jpeg", ".png", ".webp")
"""Endings of the files that a folder is searched for."""


def writable(folder: Path) -> bool:
    """Whether a file can really be made in `folder`."""
    try:
        with tempfile.TemporaryFile(dir=folder):
            return True
    except OSError:
        return False
