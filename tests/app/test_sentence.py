"""The sentence says everything that changes the picture."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest

from app.state import SETTINGS, Facts, Phrase, PictureFact, Setting, sentence, text_of
from tests.app.other_values import OTHER_VALUES

# Phrases that the sentence always has: those of the design, in its order.
ALWAYS = (
    "photograph", "stock", "size_mm", "intent", "light", "illuminance", "glazing", "distance_m",
    "look", "screen_profile", "screen_luminance_cd_m2",
)  # fmt: skip

WITH: dict[str, dict[str, Any]] = {
    "crop_place": {"crop": "1:1"},
    "edge_mm": {"edge": "mirrored"},
    "bleed_mm": {"edge": "mirrored"},
}
"""Settings without which another makes no difference."""


def _phrases(setting: Setting, facts: Facts) -> dict[str, str]:
    return {p.field: p.text for p in sentence(setting, facts) if isinstance(p, Phrase)}


def test_the_sentence_at_the_start(facts: Facts) -> None:
    """Word for word: the command line, the window and the reports share it."""
    expected = (
        "Harbour at six.tif on smooth matte (typical values), 60 × 40 cm, rendered relative "
        "colorimetric, hung under D50 viewing light, 5000 K at 500 lx behind no glass, seen from "
        "1.08 m with eyes settled in the room, shown on an sRGB screen at 120 cd/m²."
    )
    assert expected == text_of(sentence(Setting(), facts))


def test_the_sentence_with_everything_changed(facts: Facts) -> None:
    """Whatever is off its ordinary value is said."""
    setting = Setting(
        stock="measured cotton", size_mm=(300, 200), intent="perceptual",
        black_point_compensation=False, light="LED-B2", illuminance="hallway",
        glazing="float glass", reflection_ratio=0.1, wall_reflectance=0.85, distance_m=0.5,
        look="matched", degree_of_adaptation=0.8, screen_profile="/x/desk.icc",
        screen_luminance_cd_m2=90, screen_black_cd_m2=0.25, gamut_tolerance=5,
        marks=frozenset({"out_of_gamut"}),
    )  # fmt: skip
    expected = (
        "Harbour at six.tif on measured cotton, 30 × 20 cm, rendered perceptual without black "
        "point compensation, hung on a wall of 85 % reflectance under warm gallery LED, 3000 K "
        "at 50 lx (hallway) behind float glass that mirrors a room 10 % as bright, seen from "
        "0.5 m with white matched and 80 % adapted to the light, shown on the screen of desk.icc "
        "at 90 cd/m² with a black of 0.25 cd/m², colours marked when missed by more than ΔE00 5, "
        "with marks for out of gamut only."
    )
    assert expected == text_of(sentence(setting, facts))


def test_the_phrases_of_the_design_are_always_there(facts: Facts) -> None:
    """In their order, whatever is known."""
    for known in (facts, Facts()):
        fields = [p.field for p in sentence(Setting(), known) if isinstance(p, Phrase)]
        assert list(ALWAYS) == fields


@pytest.mark.parametrize("id", list(SETTINGS))
def test_every_setting_can_be_reached_from_a_phrase(id: str, facts: Facts) -> None:
    """Its row names a phrase that the sentence has, at least once the setting is changed."""
    changed = Setting(**WITH.get(id, {})).change(**{id: OTHER_VALUES[id]})
    phrases = _phrases(changed, facts)
    assert id in phrases
    assert SETTINGS[id].phrase in phrases


@pytest.mark.parametrize("id", [id for id in SETTINGS if id != "photograph"])
def test_every_change_changes_the_text(id: str, facts: Facts) -> None:
    """Two settings that differ never read the same."""
    before = Setting(**WITH.get(id, {}))
    changed = before.change(**{id: OTHER_VALUES[id]})
    assert text_of(sentence(changed, facts)) != text_of(sentence(before, facts))


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ({"crop": "3:2"}, "Harbour at six.tif, cropped to 3:2, on smooth"),
        ({"crop": "frame", "size_mm": (600.0, 400.0), "crop_place": 0.0, "shadow_lift": 0.5},
         "six.tif, cropped to fill its size, from its beginning, shadows lifted by 0.5 "
         "stops, on smooth"),
        ({"crop": "1:1", "crop_place": 0.4}, "cropped to 1:1, 40 % from its beginning, on"),
        ({"crop": "frame"}, "Harbour at six.tif on smooth"),  # there is no size to fill
        ({"edge": "margin", "edge_mm": 25.0}, "60 × 40 cm, with a white margin of 2.5 cm, rend"),
        ({"edge": "mirrored", "bleed_mm": 3.0},
         "60 × 40 cm, its edge mirrored round a bar of 4 cm, with 3 mm of bleed, rendered"),
        ({"edge": "picture", "edge_mm": 0.0, "bleed_mm": 3.0},
         "59.4 × 39.4 cm, the picture running on, with 3 mm of bleed, rendered"),  # what is seen
        ({"edge": "black", "edge_mm": 0.0}, "60 × 40 cm, rendered"),
    ],
)  # fmt: skip
def test_crop_and_edge_are_said(values: dict[str, Any], expected: str, facts: Facts) -> None:
    """Each number is a phrase; what has no width is not there."""
    assert expected in text_of(sentence(Setting(**values), facts))


def test_a_typical_stock_is_said_to_be_typical_until_it_is_measured(facts: Facts) -> None:
    """A described stock is typical, the surface of a profile too; a measurement is not."""
    assert "(typical values)" in text_of(sentence(Setting(), facts))
    assert "typical" not in text_of(sentence(Setting(stock="measured cotton"), facts))
    text = text_of(sentence(Setting(stock="/files/lab.icc"), facts))
    assert "lab gloss (colours from the profile; surface typical), 60" in text


@pytest.mark.parametrize(
    ("pixels", "frame_cm", "expected"),
    [
        ((7087, 4724), (60, 40), "60 × 40 cm"),
        ((4724, 7087), (60, 40), "40 × 60 cm"),
        ((7087, 4724), (40, 60), "60 × 40 cm"),
        ((7087, 4724), (60, 40.3), "60 × 40.3 cm"),
        ((7087, 4724), (60, 60), "60 × 40 cm (fitted into 60 × 60 cm)"),
        ((4724, 7087), (40, 40), "26.7 × 40 cm (fitted into 40 × 40 cm)"),
        ((4000, 3000), (60, 40), "53.3 × 40 cm (fitted into 60 × 40 cm)"),
        ((3000, 4000), (60, 40), "40 × 53.3 cm (fitted into 60 × 40 cm)"),
        ((5000, 20), (30, 20), "250 × 1 cm (fitted into 30 × 20 cm)"),  # no side under 1 cm
    ],
)
def test_a_print_keeps_the_shape_of_the_picture(
    pixels: tuple[int, int], frame_cm: tuple[float, float], expected: str, facts: Facts
) -> None:
    """A size is a frame to fit, turned where that is larger; within 1 % it is the size."""
    facts = dataclasses.replace(facts, picture=PictureFact("a.tif", *pixels))
    setting = Setting(size_mm=(10 * frame_cm[0], 10 * frame_cm[1]))
    assert f", {expected}, rendered" in text_of(sentence(setting, facts))


def test_names_are_shown_as_people_know_them(facts: Facts) -> None:
    """A file by its stock's name, an unread file by its file name, a light by its words."""
    assert _phrases(Setting(stock="/files/lab.icc"), facts)["stock"] == "lab gloss"
    assert _phrases(Setting(stock="/files/new.icc"), facts)["stock"] == "new.icc"
    assert _phrases(Setting(light="tube"), facts)["light"] == "tube, 4000 K"
    assert _phrases(Setting(light="other"), facts)["light"] == "other"
    assert _phrases(Setting(illuminance="moon"), facts)["illuminance"] == "moon"


def test_the_system_screen_says_when_its_profile_is_unknown() -> None:
    """sRGB is never assumed in silence."""
    setting = Setting(screen_profile="system")
    words = {
        known: _phrases(setting, Facts(system_screen=known))["screen_profile"]
        for known in (None, "", "desk screen")
    }
    assert words["desk screen"] == words[None] == "this screen"
    assert "sRGB" in words[""]
