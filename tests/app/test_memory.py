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
        (Setting(light="A"),), "00ff", False, (("a monitor", (0.2, 0.6)),),
        ("/a b/ö.tif",), "01", True,
        "in", ",", (Setting(stock="baryta"),), (Setting(stock="lustre"),),
        (("arrangement", "above"), ("divide", 0.25), ("mark_strength", 0.4), ("eye_blur", True),
         ("pins", ((1.5, 2.0),))),
    )  # fmt: skip
    write_sitting(sitting)
    assert read_sitting() == sitting


@pytest.mark.parametrize("text", ["", "{}", "[]", "null", "\x00"])
def test_a_spoiled_sitting_begins_anew(text: str, folders: Path) -> None:
    write_sitting(Sitting(Setting(stock="gloss")))
    (path,) = folders.rglob("sitting.json")
    path.write_text(text, encoding="utf-8")
    assert read_sitting() == Sitting()


def test_one_part_that_cannot_be_read_takes_no_other_with_it(folders: Path) -> None:
    """Of another version, or edited by hand: the rest is as it was left."""
    write_sitting(Sitting(Setting(stock="gloss", light="A"), pictures=("a.tif",), units="in"))
    (path,) = folders.rglob("sitting.json")
    values = json.loads(path.read_text(encoding="utf-8"))
    values["combinations"] = [{"bogus": 1}, {"stock": "canvas"}]
    values["setting"] |= {"stock": 3, "unheard_of": True}
    values["rulers"] = "none"
    values["looks"] = {"arrangement": "upside down"}
    path.write_text(json.dumps(values), encoding="utf-8")
    found = read_sitting()
    assert found.setting == Setting(light="A")
    assert found.combinations == (Setting(), Setting(stock="canvas"))
    assert (found.pictures, found.units, found.rulers) == (("a.tif",), "in", ())


def test_names_that_are_written_alike_keep_files_of_their_own() -> None:
    """None replaces another; the same name, in whatever case, is the same combination."""
    for name, stock in (("Hall 1", "gloss"), ("Hall-1", "canvas"), ("★", "matte"), ("→", "lustre")):
        name_combination(name, Setting(stock=stock))
    name_combination("hall 1", Setting(stock="baryta"))
    found = {each.name: each.setting.stock for each in combinations()}
    assert found == {"hall 1": "baryta", "Hall-1": "canvas", "★": "matte", "→": "lustre"}


def test_a_file_that_is_no_combination_hides_no_other(folders: Path) -> None:
    name_combination("North wall", Setting(stock="gloss"))
    (path,) = folders.rglob("north-wall.toml")
    path.with_name("broken.toml").write_text("[setting\n", encoding="utf-8")
    assert [each.name for each in combinations()] == ["North wall"]


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
