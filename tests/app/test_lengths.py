"""Lengths for people."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.state import SETTINGS, State, run, sentence, text_of
from app.state.lengths import distance_text, long_edges_mm, side_mm, side_text


@given(st.floats(10, 5000), st.booleans())
def test_a_side_comes_back_to_a_twentieth_of_its_unit(mm: float, inches: bool) -> None:
    """25.4 mm are an inch (ISO 80000-3)."""
    again = side_mm(float(side_text(mm, inches)), inches)
    assert abs(again - mm) <= (25.4 if inches else 10.0) * 0.0501


def test_the_sentence_is_told_in_either_unit_and_the_setting_is_the_same(state: State) -> None:
    state = state.change(size_mm=(609.6, 406.4), distance_m=1.2192)
    there = run(state, "toggle_units")
    said = text_of(sentence(there.setting, there.facts))
    assert "24 × 16 in" in said and "4 ft" in said and " cm" not in said
    assert "61 × 40.6 cm" in text_of(sentence(state.setting, state.facts))
    assert there.setting == state.setting
    assert run(there, "toggle_units").facts == state.facts


@pytest.mark.parametrize(("typed", "metres"), [("4 ft", 1.2192), ("48 in", 1.2192), ("1,5", 1.5)])
def test_a_distance_may_be_typed_in_feet_and_inches(typed: str, metres: float) -> None:
    """A foot is 0.3048 m (ISO 80000-3)."""
    assert SETTINGS["distance_m"].parse(typed) == pytest.approx(metres)


def test_near_things_are_told_in_inches_and_far_ones_in_feet() -> None:
    assert distance_text(0.9, True) == "35.4 in"
    assert distance_text(3.048, True) == "10 ft"
    assert long_edges_mm(True)[0] == pytest.approx(203.2) and long_edges_mm(False)[0] == 200.0
