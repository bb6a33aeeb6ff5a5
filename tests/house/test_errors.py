"""Only the package's own errors leave it, whatever is put in; and they say where and what."""

from __future__ import annotations

import ast
import importlib
import inspect
import math
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofing import errors
from proofing.catalogue import Catalogue, keep_stock
from proofing.errors import (
    ProfileError,
    ProofingError,
    RecordError,
    SettingError,
    UnknownName,
)
from proofing.photograph.icc import IccProfile
from proofing.printing import stock_from_profile
from proofing.request import PrintSize
from proofing.screen import Screen
from proofing.viewing import Room, find_light

ROOT = Path(__file__).resolve().parents[2]
TREE = {
    name
    for name, value in inspect.getmembers(errors, inspect.isclass)
    if issubclass(value, Exception)
}
MAPPED_BY_THEIR_ADAPTER = {
    # reading.py maps whatever a decoder of a picture raises, these two among it
    ("photograph/tiff.py", "ValueError"),
    # the body of a function that the compiler replaces; it is never run
    ("lattice/_kernels.py", "NotImplementedError"),
}

CATALOGUE = Catalogue.load()


def test_the_tree_is_drawn_as_it_is() -> None:
    """The drawing at the top of errors.py shows every error, each below its parent."""
    drawing = (errors.__doc__ or "").partition("::")[2]
    depth_of = {}
    parents: list[str] = []
    for line in drawing.splitlines():
        words = line.replace("|--", "   ").replace("`--", "   ").replace("|", " ")
        if not words.strip() or words.strip().split()[0] not in TREE:
            continue
        name = words.split()[0]
        depth = (len(words) - len(words.lstrip()) - 4) // 4
        parents[depth:] = [name]
        depth_of[name] = parents[depth - 1] if depth else "Exception"
    assert depth_of == {name: getattr(errors, name).__base__.__name__ for name in TREE}


def raised() -> Iterator[tuple[str, str]]:
    """File and class of every exception that the package makes to raise it."""
    for path in sorted((ROOT / "proofing").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Raise) and node.exc is not None:
                made = node.exc.func if isinstance(node.exc, ast.Call) else node.exc
                name = ast.unparse(made).rpartition(".")[2]
                if name.lstrip("_")[:1].isupper():
                    yield path.relative_to(ROOT / "proofing").as_posix(), name


def test_only_the_tree_is_raised() -> None:
    """No built-in error is raised on purpose, but where an adapter maps it."""
    found = list(raised())
    assert {name for _, name in found} >= {"RecordError", "SettingError", "UnreadableFile"}
    foreign = {(file, name) for file, name in found if name not in TREE}
    assert foreign == MAPPED_BY_THEIR_ADAPTER


# ---- files -----------------------------------------------------------------------------------


@given(st.binary(max_size=200))
@settings(max_examples=100)
def test_any_bytes_as_a_stock(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    """Whatever lies in a stock's file, it is a record or a profile that is refused."""
    folder = tmp_path_factory.mktemp("stock")
    for name in ("a.toml", "a.icc", "a.dat"):
        (folder / name).write_bytes(data)
        with pytest.raises((RecordError, ProfileError)):
            keep_stock(folder / name, CATALOGUE)


# ---- profiles --------------------------------------------------------------------------------

PRESS = (ROOT / "tests/reference/icc/FOGRA39L_coated.icc").read_bytes()


@given(
    st.lists(st.tuples(st.integers(0, 3000), st.integers(0, 255)), min_size=1, max_size=8),
    st.one_of(st.none(), st.integers(0, len(PRESS) - 1)),
)
@settings(max_examples=60)
def test_damaged_profiles(changes: list[tuple[int, int]], end: int | None) -> None:
    """A profile with flipped bytes, or cut short, is refused as one, or still is a stock."""
    data = bytearray(PRESS)
    for at, value in changes:
        data[at] = value
    try:
        stock = stock_from_profile(IccProfile.from_bytes(bytes(data[:end])), CATALOGUE.ink_sets)
    except (ProfileError, RecordError) as error:
        assert str(error)
    else:
        assert np.isfinite(stock.white_Lab).all()
        assert np.isfinite(stock.black_Lab).all()


# ---- numbers and names -----------------------------------------------------------------------

OUTSIDE = [math.nan, math.inf, -math.inf, -1.0, 0.0, 1e12]


@pytest.mark.parametrize("value", OUTSIDE)
@pytest.mark.parametrize(
    "make",
    [
        lambda x: PrintSize(x, 100.0),
        lambda x: PrintSize(100.0, x),
        lambda x: Room(find_light("D50"), x),
        lambda x: Screen(luminance_cd_m2=x),
    ],
)
def test_numbers_outside_what_makes_sense(make: Callable[[float], Any], value: float) -> None:
    """No size, illuminance or luminance that cannot be; the error carries the field."""
    with pytest.raises(SettingError) as caught:
        make(value)
    assert caught.value.field in str(caught.value)


@pytest.mark.parametrize("ask", ["stock", "light", "glazing", "lux"])
@given(name=st.one_of(st.text(max_size=30), st.just("x" * 5000), st.just("~nobody/of.icc")))
@settings(max_examples=60)
def test_names_nobody_knows(ask: str, name: str) -> None:
    """Any text is a name that is known, or an error of the tree that says what there is."""
    try:
        getattr(CATALOGUE, ask)(name)
    except UnknownName as error:
        assert error.value == name
        assert error.known
        assert (error.meant or error.known)[0] in str(error)
    except ProofingError as error:
        assert str(error)


FACES = ("photograph", "printing", "viewing", "screen", "lattice", "findings.kinds",
         "findings.overlay", "findings.visibility", "proof", "catalogue", "errors",
         "colorimetry", "ordering.size", "ordering.sheets", "ordering.crop", "ordering.edges",
         "ordering.layout", "ordering.surface_detail", "ordering.lengths", "files",
         "ordering.order_file", "ordering.order", "ordering.naming")  # fmt: skip


@pytest.mark.parametrize("face", FACES)
def test_public_things_are_explained(face: str) -> None:
    """Every public class, method, property and function has a docstring of its own."""
    module = importlib.import_module(f"proofing.{face}")
    assert len(module.__doc__ or "") > 20
    silent = []
    for name in getattr(module, "__all__", [n for n in vars(module) if not n.startswith("_")]):
        thing = getattr(module, name)
        if not (inspect.isclass(thing) or inspect.isfunction(thing)):
            continue
        if not thing.__module__.startswith("proofing."):
            continue
        parts = vars(thing).items() if inspect.isclass(thing) else ()
        silent += [
            f"{name}.{part}"
            for part, value in parts
            if not part.startswith("_")
            and (inspect.isfunction(value) or isinstance(value, property | classmethod))
            and not value.__doc__
        ]
        if not thing.__doc__ or thing.__doc__.startswith(f"{name}("):  # a dataclass's own words
            silent.append(name)
    assert silent == []
