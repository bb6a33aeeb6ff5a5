"""What is kept from one sitting to the next."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.memory import (
    Combination,
    Sitting,
    combinations,
    name_combination,
    newest_first,
    read_sitting,
    write_sitting,
)
from app.state import Setting
from proofing.errors import SettingError

from .other_values import OTHER_VALUES


@pytest.fixture(autouse=True)
def folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The user's folders, empty."""
    for name in ("XDG_DATA_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / name.lower()))
    return tmp_path


def test_a_sitting_comes_back_whole() -> None:
    """Every setting off its ordinary value, written and read."""
    sitting = Sitting(
        Setting(**OTHER_VALUES), Setting(stock="gloss"), ("/a b/ö.tif", "c.jpg"),
        (Setting(light="A"),), "00ff", False, 0.2, 0.6, ("/a b/ö.tif",), "01", True, "in",
    )  # fmt: skip
    write_sitting(sitting)
    assert read_sitting() == sitting


@pytest.mark.parametrize("text", ["", "{}", "[]", "null", '{"setting": {"stock": 3}}', "\x00"])
def test_a_spoiled_sitting_begins_anew(text: str, folders: Path) -> None:
    write_sitting(Sitting(Setting(stock="gloss")))
    (path,) = folders.rglob("sitting.json")
    path.write_text(text, encoding="utf-8")
    assert read_sitting() == Sitting()


def test_where_nothing_can_be_written_nothing_is_lost(
    folders: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file where the folder should be: the program ends without an error."""
    blocked = folders / "file"
    blocked.write_text("")
    monkeypatch.setenv("XDG_STATE_HOME", str(blocked))
    write_sitting(Sitting())
    assert read_sitting() == Sitting()
    assert blocked.read_text() == ""


def test_what_a_sitting_begins_with(tmp_path: Path) -> None:
    """The last setting and picture; a picture that is asked for; all that is asked for; another
    picture where the last one is gone."""
    picture = tmp_path / "picture.tif"
    picture.write_bytes(b"x")
    last = Sitting(Setting(photograph=str(picture), stock="canvas"))
    assert last.begun_with(Setting(), "demo.jpg") == last.setting
    asked = last.begun_with(Setting(photograph="other.jpg"), "demo.jpg")
    assert (asked.photograph, asked.stock) == ("other.jpg", "canvas")
    chosen = last.begun_with(Setting(light="A"), "demo.jpg")
    assert (chosen.photograph, chosen.stock, chosen.light) == (
        str(picture), Setting().stock, "A"
    )  # fmt: skip
    picture.unlink()
    assert last.begun_with(Setting(), "demo.jpg").photograph == "demo.jpg"


@given(st.lists(st.integers(0, 5), max_size=20), st.integers(0, 5))
def test_lately_used_comes_first_and_once(used: list[int], newest: int) -> None:
    lately = newest_first(tuple(dict.fromkeys(used)), newest, 4)
    assert lately[0] == newest
    assert len(set(lately)) == len(lately) <= 4


def test_combinations_are_text_files_under_their_names(folders: Path) -> None:
    """Named, listed by name without photograph and marks, replaced; a name is free in
    its letters and never leaves the folder."""
    hall = Setting(photograph="a.tif", stock="canvas", illuminance=80.0, marks=frozenset())
    path = name_combination("  Library hall,  north wall ", hall)
    assert path.is_relative_to(folders)
    assert 'name = "Library hall, north wall"' in path.read_text(encoding="utf-8")
    outside = name_combination("../../Ölkännchen / 3", Setting(light="A"))
    assert outside.parent == path.parent
    assert combinations() == (
        Combination("../../Ölkännchen / 3", Setting(light="A")),
        Combination("Library hall, north wall", Setting(stock="canvas", illuminance=80.0)),
    )
    name_combination("Library hall, north wall", Setting(stock="gloss"))
    assert [c.setting.stock for c in combinations()][1] == "gloss"
    (path.parent / "spoiled.toml").write_text("name = 3", encoding="utf-8")
    assert len(combinations()) == 2
    for name in ("", "   ", "x" * 61):
        with pytest.raises(SettingError, match="1 to 60 letters"):
            name_combination(name, hall)


def test_the_file_is_plain_json(folders: Path) -> None:
    write_sitting(Sitting())
    (path,) = folders.rglob("sitting.json")
    assert set(json.loads(path.read_text())) >= {"setting", "pictures", "combinations"}
