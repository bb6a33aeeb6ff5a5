"""Every record that comes with the program says where its numbers are from."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

RESOURCES = Path(__file__).resolve().parents[2] / "resources"
FOLDERS = ("stocks", "inks", "lights", "glazings")
FILES = sorted(path for folder in FOLDERS for path in (RESOURCES / folder).iterdir())
# How a provenance names its source: a standard by number, the trade, memory, or our own making.
SOURCES = ("ISO ", "CIE ", "EN ", "ASTM ", "common practice", "from memory", "Typical", "Planck",
           "nvented", "No pane")  # fmt: skip


def records(path: Path) -> Iterator[tuple[str, dict[str, Any]]]:
    """Each record of a file with its name; a file of several shares its defaults."""
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    several = [part for part in data.values() if isinstance(part, list)]
    tables = [part for parts in several for part in parts if isinstance(part, dict)]
    if "name" in data:
        yield data["name"], data
    for table in tables if "name" not in data else []:
        yield table["name"], {**data.get("defaults", {}), **table}


RECORDS = [
    pytest.param(path, record, id=f"{path.parent.name}/{path.stem}/{name}")
    for path in [*FILES, RESOURCES / "places.toml"]
    for name, record in records(path)
]


def test_every_kind_is_there() -> None:
    """The walk below reaches every folder and every file, and files are records alone."""
    assert {path.suffix for path in FILES} == {".toml"}
    walked = {parameter.values[0] for parameter in RECORDS}
    assert walked == {*FILES, RESOURCES / "places.toml"}
    assert {path.parent.name for path in walked} == {*FOLDERS, "resources"}


@pytest.mark.parametrize(("path", "record"), RECORDS)
def test_provenance(path: Path, record: dict[str, Any]) -> None:
    """A record says where its numbers come from, in a sentence that names a source."""
    provenance = record.get("provenance", "")
    assert len(provenance) >= 20, f"{path.name} needs a provenance"
    assert any(source in provenance for source in SOURCES), provenance


@pytest.mark.parametrize(
    ("path", "record"), [p for p in RECORDS if p.values[0].parent.name == "stocks"]
)
def test_stocks_say_how_they_were_measured(path: Path, record: dict[str, Any]) -> None:
    """A colour without observer, geometry and measurement condition is no colour (ISO 13655)."""
    assert {"observer", "geometry", "condition"} <= record.keys(), path.name
    assert record["condition"] in ("M0", "M1", "M2", "M3")
    assert record["typical"] is True  # until a measurement takes its place


@pytest.mark.parametrize(
    ("path", "record"), [p for p in RECORDS if p.values[0].parent.name == "lights"]
)
def test_lights_carry_their_caution(path: Path, record: dict[str, Any]) -> None:
    """Whatever the source, the record says what its light does to a print or an eye."""
    caution = record.get("caution", "")
    assert any(word in caution for word in ("fade", "flicker", "conservator", "distance")), (
        f"{path.name}: {record['name']}"
    )


@pytest.mark.parametrize("folder", ["fonts", "icons"])
def test_other_people_s_files_keep_their_licence(folder: str) -> None:
    """A licence lies beside whatever was not made here."""
    files = [path for path in (RESOURCES / folder).rglob("*") if path.is_file()]
    foreign = [path for path in files if path.suffix in (".otf", ".ttf", ".icc", ".icm")]
    licences = [path for path in files if path.name in ("OFL.txt", "LICENCE.md", "LICENSE")]
    assert bool(foreign) <= bool(licences), folder
