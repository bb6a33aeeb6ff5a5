"""The demonstration exhibition: pictures that come with the program, and what each is there for."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from importlib import resources
from pathlib import Path


@dataclass(frozen=True)
class Exhibit:
    """A picture: its file, its title, and what it lets one see."""

    path: Path
    title: str
    shows: str


def exhibition() -> tuple[Exhibit, ...]:
    """The pictures in the order of their record; none where they are not installed."""
    try:
        folder = resources.files("demo")
        record = tomllib.loads((folder / "exhibition.toml").read_text(encoding="utf-8"))
    except (ModuleNotFoundError, OSError, tomllib.TOMLDecodeError):
        return ()
    listed = (
        Exhibit(
            Path(str(folder / row["file"])), row.get("title", row["file"]), row.get("shows", "")
        )
        for row in record.get("picture", [])
        if "file" in row
    )
    return tuple(exhibit for exhibit in listed if exhibit.path.is_file())
