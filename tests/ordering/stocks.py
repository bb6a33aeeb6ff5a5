"""What the tests of comparing share: the catalogue, one engine, rooms, demonstration pictures."""

from __future__ import annotations

import functools
from pathlib import Path
from typing import Any

from proofing.catalogue import Catalogue
from proofing.engine import Engine
from proofing.ordering.comparing import compare
from proofing.ordering.comparison import Comparison
from proofing.photograph import Photograph, read_photograph
from proofing.request import ProofRequest
from proofing.screen import Screen
from proofing.viewing import Room
from tests import kept

DEMO = Path(__file__).parents[2] / "demo"
GLOSSY = {"gloss", "baryta", "lustre"}
MATTE = {"smooth matte", "cotton matte", "canvas"}


@functools.cache
def catalogue() -> Catalogue:
    return Catalogue.load(Path("/nonexistent"))


@functools.cache
def engine() -> Engine:
    return kept.engine()


@functools.cache
def picture(name: str) -> Photograph:
    return read_photograph(DEMO / name)


def room(kind: str) -> Room:
    """A spot on the print in a dark room; a white room; lamps opposite; a lit room."""
    halogen, D50 = catalogue().light("halogen 3100 K"), catalogue().light("D50")
    return {
        "spot": Room(halogen, 200.0, surround_ratio=0.0),
        "white room": Room(D50, 800.0, reflection_ratio=1.0, wall_reflectance=0.85),
        "lamps in view": Room(D50, 500.0, reflection_ratio=2.0),
        "lit room": Room(D50, 500.0),
    }[kind]


def request(photograph: Photograph, where: Room, stock: str = "smooth matte", **kw: Any) -> Any:
    return ProofRequest(photograph, catalogue().stock(stock), where, Screen(), **kw)


@functools.cache
def compared(name: str, kind: str) -> Comparison:
    """All stocks for a demonstration picture in such a room."""
    return compare(engine(), request(picture(name), room(kind)), catalogue().stocks)


def order(comparison: Comparison) -> list[str]:
    """The names, the best first."""
    return [result.stock.name for result in comparison.ranked]
