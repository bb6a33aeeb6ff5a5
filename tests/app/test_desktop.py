"""The program in a desktop's menu, and its icons."""

from __future__ import annotations

import configparser
import re
import xml.etree.ElementTree as ElementTree
from importlib import resources
from pathlib import Path

import pytest

from app.command_line import main
from app.desktop import add_to_menu, entry
from app.icons_source import APPLICATION, icon_source
from app.state import BY_ID

ICONS = sorted(
    Path(file.name).stem
    for file in (resources.files("resources") / "icons").iterdir()
    if file.name.endswith(".svg")
)


def read(text: str) -> configparser.SectionProxy:
    parser = configparser.RawConfigParser(strict=True)
    parser.optionxform = str  # type: ignore[assignment,method-assign]  # keys have capitals
    parser.read_string(text)
    assert parser.sections() == ["Desktop Entry"]
    return parser["Desktop Entry"]


def test_the_entry_has_what_the_specification_asks_for() -> None:
    """Desktop Entry Specification 1.5: Type, Name, Exec; registered categories with their main one;
    lists that end in a semicolon; a field code for a file."""
    found = read(entry("/usr/bin/stocklight"))
    assert found["Type"] == "Application" and found["Name"] == "stocklight"
    assert found["Exec"] == "/usr/bin/stocklight view %f"
    assert "Graphics" in found["Categories"].split(";")
    for name in ("Categories", "MimeType", "Keywords"):
        assert found[name].endswith(";")
    assert found["Icon"] == APPLICATION


@pytest.mark.parametrize(
    ("path", "written"),
    [
        ("/opt/a b/stocklight", '"/opt/a b/stocklight"'),
        ("/opt/$x/stocklight", '"/opt/\\\\$x/stocklight"'),
        ("/opt/50%/stocklight", "/opt/50%%/stocklight"),
    ],
)
def test_paths_with_signs_of_their_own_are_quoted(path: str, written: str) -> None:
    """Desktop Entry Specification, "The Exec key": quoted, signs escaped, percents doubled."""
    assert read(entry(path))["Exec"] == f"{written} view %f"


def test_the_command_writes_entry_and_icon_for_this_program(
    tmp_path: Path, monkeypatch, capsys
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert main(["add-to-menu"]) == 0
    said = capsys.readouterr().out
    (desktop,) = tmp_path.rglob("*.desktop")
    (icon,) = tmp_path.rglob("*.svg")
    assert str(desktop) in said and str(icon) in said
    assert icon.read_bytes() == icon_source(APPLICATION)
    assert icon.parent == tmp_path / "icons" / "hicolor" / "scalable" / "apps"
    assert main(["add-to-menu"]) == 0  # again: written anew


def test_a_place_that_cannot_be_written_is_told(tmp_path: Path, monkeypatch, capsys) -> None:
    (tmp_path / "applications").write_text("in the way")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert main(["add-to-menu"]) == 2
    assert "applications" in capsys.readouterr().err


def test_the_program_may_be_named(tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    path, _ = add_to_menu("/somewhere/else")
    assert "/somewhere/else" in path.read_text()


# ---- icons


@pytest.mark.parametrize("name", ICONS)
def test_an_icon_is_grey_and_belongs_to_a_command(name: str) -> None:
    """SVG that can be read, in greys only; its name is a command's, or the program's own."""
    assert name == APPLICATION or name in BY_ID
    data = icon_source(name)
    assert data is not None
    assert ElementTree.fromstring(data).tag.endswith("svg")
    for colour in re.findall(rb"#([0-9a-f]{6})", data):
        red, green, blue = (int(colour[i : i + 2], 16) for i in (0, 2, 4))
        assert max(red, green, blue) - min(red, green, blue) <= 4


def test_of_no_name_there_is_no_icon() -> None:
    assert icon_source("nothing") is None
