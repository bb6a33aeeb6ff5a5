"""Records that are wrong in one place are refused as records, whatever is wrong with them."""

from __future__ import annotations

import copy
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofing.catalogue import Catalogue
from proofing.errors import RecordError
from proofing.printing import InkSet, stock_from_record
from proofing.printing.stock import load_toml
from proofing.viewing import Glazing, Light, read_glazing, read_lights

RESOURCES = Path(__file__).resolve().parents[2] / "resources"
CATALOGUE = Catalogue.load()

WRONG = st.sampled_from(
    [None, "", " ", "x", True, -1, 0, 1e300, math.nan, math.inf, [], {}, [1], [1, "2", 3], [[1]],
     [50.0, 0.0], [50.0, 0.0, 0.0], [math.nan] * 3, ["a"], [{}], {"Lab": 3}, "\0", "ä" * 3000]
)  # fmt: skip


def paths_into(value: Any, here: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The way to every field of a record, tables and lists included."""
    inner: list[tuple[Any, Any]] = []
    if isinstance(value, dict):
        inner = list(value.items())
    elif isinstance(value, list):
        inner = list(enumerate(value))
    ways = [here] if here else []
    for key, part in inner:
        ways += paths_into(part, (*here, key))
    return ways


@st.composite
def spoiled(draw: st.DrawFn, files: list[Path]) -> dict[str, Any]:
    """A shipped record with one field taken out, or with something wrong in its place."""
    record: dict[str, Any] = copy.deepcopy(load_toml(draw(st.sampled_from(files))))
    *way, last = draw(st.sampled_from(paths_into(record)))
    place: Any = record
    for step in way:
        place = place[step]
    if draw(st.booleans()):
        del place[last]
    else:
        place[last] = draw(WRONG)
    return record


def only_record_errors(make: Callable[[], Any]) -> None:
    """Run; a refusal names its file's error class and says what to do in a line."""
    try:
        make()
    except RecordError as error:
        assert len(str(error)) > 10
        assert "\n" not in str(error)


@given(spoiled(sorted((RESOURCES / "stocks").glob("*.toml"))))
@settings(max_examples=300)
def test_spoiled_stock_records(record: dict[str, Any]) -> None:
    """A spoiled stock is refused as a record, or is a stock all the same."""
    only_record_errors(lambda: stock_from_record(record, CATALOGUE.ink_sets, Path("a.toml")))


@given(spoiled(sorted((RESOURCES / "inks").glob("*.toml"))))
@settings(max_examples=200)
def test_spoiled_ink_records(record: dict[str, Any]) -> None:
    """A spoiled ink set is refused as a record, or its densities are numbers."""

    def make() -> None:
        for ink in InkSet.from_record(record).inks:
            assert np.isfinite(ink.density).all()

    only_record_errors(make)


def as_toml(value: Any) -> str:
    """A value in TOML; only what the records here are made of."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {as_toml(part)}" for key, part in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(as_toml, value)) + "]"
    if isinstance(value, float):
        return repr(value)
    return str(value) if isinstance(value, int) else '"' + str(value).replace("\0", "?") + '"'


@pytest.mark.parametrize(("folder", "read"), [("lights", read_lights), ("glazings", read_glazing)])
@given(data=st.data())
@settings(max_examples=150)
def test_spoiled_lights_and_glazings(
    tmp_path_factory: pytest.TempPathFactory,
    folder: str,
    read: Callable[[Path], Light | Glazing],
    data: st.DataObject,
) -> None:
    """The same from files, as the catalogue reads them."""
    record = data.draw(spoiled(sorted((RESOURCES / folder).glob("*.toml"))))
    path = tmp_path_factory.mktemp("record") / "spoiled.toml"
    path.write_text(
        "\n".join(f"{key} = {as_toml(value)}" for key, value in record.items()), encoding="utf-8"
    )
    only_record_errors(lambda: read(path))
