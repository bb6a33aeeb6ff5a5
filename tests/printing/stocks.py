"""The stocks that come with the program, loaded once for all tests of printing."""

from __future__ import annotations

import functools

from proofing.catalogue import Catalogue
from proofing.printing import Stock


@functools.cache
def catalogue(folder: str = "/nonexistent") -> Catalogue:
    """The catalogue without any stock of a user's own."""
    from pathlib import Path

    return Catalogue.load(Path(folder))


def stock(name: str) -> Stock:
    """A described stock by name."""
    return catalogue().stock(name)


NAMES = ("smooth matte", "cotton matte", "canvas", "baryta", "lustre", "gloss")
