"""The table of settings and the setting made of it."""

from __future__ import annotations

import json
import math
import tomllib
from dataclasses import fields

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.state import ROWS, SETTINGS, Facts, Row, Setting, print_size_mm, viewing_distance_m
from proofing.errors import SettingError, UnknownName
from proofing.findings.kinds import Kind
from tests.app.other_values import OTHER_VALUES


@st.composite
def settings(draw: st.DrawFn) -> Setting:
    """Any setting within its bounds."""
    values = {}
    name = st.text(min_size=1, max_size=30).filter(lambda text: text.strip() and "\0" not in text)
    for row in ROWS:
        if row.kind == "number":
            assert row.bounds is not None
            low, high = row.bounds
            numbers = st.floats(low, min(high, 2.0 if row.id == "screen_black_cd_m2" else high))
            values[row.id] = draw(st.none() | numbers if row.optional else numbers)
        elif row.kind == "choice":
            values[row.id] = draw(st.sampled_from([value for value, _ in row.choices]))
        elif row.kind == "switch":
            values[row.id] = draw(st.booleans())
        elif row.kind == "marks":
            values[row.id] = draw(st.frozensets(st.sampled_from(list(Kind))))
        elif row.kind == "size":
            side = st.floats(10, 20_000)
            values[row.id] = draw(st.none() | st.tuples(side, side))
        elif row.kind == "curve":
            values[row.id] = draw(st.sampled_from(["", "0:0 255:255", OTHER_VALUES[row.id]]))
        elif row.kind == "illuminance":
            values[row.id] = draw(st.floats(1, 100_000) | name)
        elif row.kind == "shape":
            values[row.id] = draw(st.sampled_from(["", "frame", "3:2", "turned 2.39:1"]))
        else:
            values[row.id] = draw(name)
    if values["edge"] == "margin":
        values["bleed_mm"] = 0.0  # these do not go together
    elif 0.0 < values["edge_mm"] < 1.0 or values["edge_mm"] > 100.0:
        values["edge_mm"] = 40.0  # the depth of a bar
    return Setting(**values)


def test_the_table_has_a_row_for_every_field_and_no_other() -> None:
    """Rows and fields are the same, in the same order, with the same start."""
    start = Setting()
    assert [row.id for row in ROWS] == [field.name for field in fields(Setting)]
    for row in ROWS:
        assert row.default == getattr(start, row.id)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_every_row_explains_itself(row: Row) -> None:
    """A title, one sentence for people, a phrase that exists, words for every choice."""
    assert row.title and row.title[0].isupper()
    assert row.sentence.endswith(".")
    assert row.phrase in SETTINGS
    assert row.option or row.id == "photograph"
    assert row.automatic or not row.optional
    if row.kind == "number":
        assert row.bounds is not None
        assert row.bounds[0] < row.bounds[1]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_text_and_value_of_every_row_go_both_ways(row: Row) -> None:
    """What is shown can be typed in again."""
    for value in (row.default, OTHER_VALUES[row.id]):
        if value == "":
            continue
        assert value == row.parse(row.format(value))
        assert value == row.check(value)


@pytest.mark.parametrize("row", [row for row in ROWS if row.bounds], ids=lambda row: row.id)
def test_bounds_are_inclusive_and_hold(row: Row) -> None:
    """Both ends are allowed; beyond them there is an error that names the setting."""
    assert row.bounds is not None
    low, high = row.bounds
    for value in (low, high):
        row.check((value, value) if row.kind == "size" else value)
    for value in (math.nextafter(low, -math.inf), math.nextafter(high, math.inf), math.nan):
        with pytest.raises(SettingError) as caught:
            row.check((value, high) if row.kind == "size" else value)
        assert row.id == caught.value.field


@pytest.mark.parametrize("row", [row for row in ROWS if row.kind == "choice"], ids=lambda r: r.id)
def test_every_choice_of_a_few_is_explained_or_says_it_itself(row: Row) -> None:
    """One sentence each, for the window and the help alike."""
    assert len(row.about) in (0, len(row.choices))
    assert all(text.endswith(".") for text in row.about)


@pytest.mark.parametrize("row", [row for row in ROWS if row.kind == "choice"], ids=lambda r: r.id)
def test_choices_are_read_by_value_and_by_words(row: Row) -> None:
    """Either is accepted, in any case; anything else is refused with the list."""
    for value, words in row.choices:
        assert value == row.parse(value.upper()) == row.parse(words)
    with pytest.raises(SettingError, match=row.choices[0][0]):
        row.parse("neither")


def test_a_room_that_mirrors_is_read_by_its_words_too() -> None:
    """Those that its sentence explains, in any case; what is neither gets all of them told."""
    row = SETTINGS["reflection_ratio"]
    assert [row.parse(words) for words in ("dark room", "Quiet room", " white wall ")] == [
        0.0, 0.1, 1.0,
    ]  # fmt: skip
    for words, value in row.names:
        assert words.split()[0] in row.sentence
        assert f"{value:g} " in row.sentence
    wrong = "'a lamp' is not a number, nor one of: dark room, quiet room, white wall"
    with pytest.raises(SettingError, match=wrong):
        row.parse("a lamp")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("60x40cm", (600.0, 400.0)),
        ("A3", (297.0, 420.0)),  # ISO 216:2007
        ("60x40", (600.0, 400.0)),
        ("60 × 40 cm", (600.0, 400.0)),
        ("600 X 400 mm", (600.0, 400.0)),
        ("0,6x0,4 m", (600.0, 400.0)),
        ("24x16in", (609.6, 406.4)),  # 25.4 mm to the inch, ISO 80000-3
    ],
)
def test_sizes_are_read_as_people_write_them(text: str, expected: tuple[float, float]) -> None:
    """Units of length, decimal comma, any sign for times."""
    assert expected == pytest.approx(SETTINGS["size_mm"].parse(text))


@pytest.mark.parametrize("text", ["60", "60x", "x40", "60x40 furlongs", "-60x40", "", "60x40x20"])
def test_a_size_that_is_none_is_refused(text: str) -> None:
    """The text says what a right one looks like."""
    with pytest.raises(SettingError, match=r"60x40cm|choose sides"):
        SETTINGS["size_mm"].parse(text)


@pytest.mark.parametrize(
    ("id", "text", "expected"),
    [
        ("illuminance", "150", 150.0),
        ("illuminance", "150 lx", 150.0),
        ("illuminance", "1.5e2", 150.0),
        ("illuminance", "gallery wall", "gallery wall"),
        ("distance_m", "120cm", 1.2),
        ("distance_m", "1,2 m", 1.2),
        ("distance_m", "auto", None),
        ("screen_luminance_cd_m2", "90 cd/m2", 90.0),
        ("marks", "all", frozenset(Kind)),
        ("marks", "none", frozenset()),
        ("marks", "out-of-gamut,beyond_screen",
         frozenset({Kind.OUT_OF_GAMUT, Kind.BEYOND_SCREEN})),
        ("marks", "out_of_gamut, Blown highlights",
         frozenset({Kind.OUT_OF_GAMUT, Kind.BLOWN_HIGHLIGHTS})),
        ("black_point_compensation", "off", False),
        ("crop", "3 x 2", "3:2"), ("crop", "4:5, turned", "turned 4:5"), ("crop", "whole", ""),
        ("crop", "frame", "frame"), ("crop", "2,39:1", "2.39:1"), ("edge_mm", "2.5 cm", 25.0),
        ("bleed_mm", "3", 3.0), ("edge", "a white margin", "margin"),
    ],
)  # fmt: skip
def test_values_are_read_as_people_write_them(id: str, text: str, expected: object) -> None:
    """Units are allowed where the table has one."""
    row = SETTINGS[id]
    value = row.parse(text)
    assert expected == (pytest.approx(value) if isinstance(value, float) else value)


@given(settings())
def test_a_setting_survives_being_saved(setting: Setting) -> None:
    """TOML and JSON carry every field, whatever the names look like."""
    assert setting == Setting.from_toml(setting.to_toml())
    assert setting == Setting.from_json(setting.to_json())
    assert setting.key == Setting.from_json(setting.to_json()).key
    assert set(json.loads(setting.to_json())) == set(SETTINGS)


def test_saved_toml_is_plain_and_without_what_is_worked_out() -> None:
    """A person can read and edit it."""
    document = tomllib.loads(Setting(illuminance="hallway").to_toml())
    assert document["setting"]["illuminance"] == "hallway"
    assert "size_mm" not in document["setting"]


@pytest.mark.parametrize("id", list(SETTINGS))
def test_every_field_is_in_the_key(id: str) -> None:
    """A change of any one field is another setting with another key."""
    changed = Setting().change(**{id: OTHER_VALUES[id]})
    assert changed != Setting()
    assert changed.key != Setting().key
    assert (id,) == Setting().changed_fields(changed)


@pytest.mark.parametrize(
    ("values", "text"),
    [
        ({"paper": "x"}, "no such setting"),
        ({"intent": "best"}, "choose one of"),
        ({"illuminance": 0}, "choose from 1"),
        ({"marks": ["holes"]}, "choose among"),
        ({"size_mm": [600]}, "60x40cm"),
        ({"black_point_compensation": 1}, "on or off"),
        ({"stock": "  "}, "cannot be empty"),
        ({"screen_black_cd_m2": 19.0, "screen_luminance_cd_m2": 80.0}, "a fifth"),
        ({"distance_m": True}, "not a number"),
    ],
)
def test_a_wrong_setting_is_refused_with_a_reason(values: dict[str, object], text: str) -> None:
    """Unknown names and values out of bounds alike."""
    with pytest.raises(SettingError, match=text):
        Setting.from_dict(values)


@pytest.mark.parametrize("text", ["", "{", "[1]", "format = 9\n[setting]\n", "format = 1\n"])
def test_a_file_that_is_no_setting_is_refused(text: str) -> None:
    """Both readers say so in plain words."""
    for read in (Setting.from_toml, Setting.from_json):
        with pytest.raises(SettingError, match=r"^this (is no saved setting|was saved by another)"):
            read(text)


def test_size_and_distance_are_worked_out_where_none_is_chosen(facts: Facts) -> None:
    """300 ppi and 1.5 diagonals, common practice (24 MP: 6000 px are 20 in at 300 ppi)."""
    size_mm = print_size_mm(Setting(), facts)
    assert size_mm == pytest.approx((600.03, 399.97), abs=0.01)
    assert viewing_distance_m(Setting(), facts) == pytest.approx(1.0817, abs=0.001)
    assert viewing_distance_m(Setting(size_mm=(60, 40)), facts) == 0.25
    assert viewing_distance_m(Setting(distance_m=3.0), facts) == 3.0
    with pytest.raises(SettingError, match="open a photograph"):
        print_size_mm(Setting(), Facts())


def test_a_place_answers_to_all_its_names(facts: Facts) -> None:
    """An unknown one lists those that are known."""
    assert facts.lux("Corridor") == facts.lux("hallway") == facts.lux("hall") == 50.0
    assert facts.lux(70.0) == 70.0
    with pytest.raises(UnknownName, match="'hallway' · 'office'"):
        facts.lux("moon")
