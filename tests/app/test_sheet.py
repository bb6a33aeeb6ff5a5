"""Which prints are on a sheet, and how they stand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.state import Facts, History, LightFact, PictureFact, Setting, State, StockFact
from app.state.sheet import MOST, grid, sheet

FACTS = Facts(
    stocks=tuple(StockFact(f"stock {n}", "matte", "described", True) for n in range(4)),
    lights=tuple(LightFact(f"L{n}", 4000.0) for n in range(21)),
    picture=PictureFact("a.tif", 300, 200),
)


def on(arrangement: str, **values: str) -> State:
    return State(History(Setting(**values)), FACTS).with_view(arrangement=arrangement)


def test_all_stocks_and_the_chosen_one_among_them() -> None:
    """All else is alike; the labels are the phrases."""
    prints = sheet(on("stocks", stock="stock 2", light="L3"))
    assert [f"stock {n}" for n in range(4)] == [one.label for one in prints]
    assert [one.is_chosen for one in prints] == [False, False, True, False]
    assert {"L3"} == {one.setting.light for one in prints}


@pytest.mark.parametrize("chosen", range(21))
def test_of_many_lights_the_nine_that_the_chosen_one_is_among(chosen: int) -> None:
    prints = sheet(on("lights", light=f"L{chosen}"))
    assert len(prints) == min(MOST, 21 - chosen // MOST * MOST)
    assert [f"L{chosen}"] == [one.value for one in prints if one.is_chosen]


def test_what_is_in_no_list_is_on_the_sheet_too() -> None:
    prints = sheet(on("lights", light="halogen 2900 K"))
    assert prints[0].is_chosen and prints[0].value == "halogen 2900 K" and len(prints) == MOST


def test_without_a_picture_or_beside_each_other_there_is_no_sheet() -> None:
    assert sheet(on("beside")) == ()
    bare = on("stocks")
    assert sheet(replace(bare, facts=replace(FACTS, picture=None))) == ()


@given(st.integers(1, 9), st.integers(100, 4000), st.integers(100, 3000), st.floats(0.2, 5.0))
def test_no_other_grid_has_larger_pictures(
    count: int, width: int, height: int, shape: float
) -> None:
    columns, rows = grid(count, width, height, shape)
    assert columns * rows >= count > columns * (rows - 1)

    def side(columns: int, rows: int) -> float:
        return min(width / columns / shape, height / rows)

    others = [side(c, math.ceil(count / c)) for c in range(1, count + 1)]
    assert math.isclose(max(others), side(columns, rows))
