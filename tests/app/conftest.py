"""Facts that are made up for the tests of the state; no engine, no toolkit."""

from __future__ import annotations

import pytest

from app.state import Facts, History, LightFact, PictureFact, PlaceFact, Setting, State, StockFact


@pytest.fixture
def facts() -> Facts:
    """A small catalogue and an open picture of 60 x 40 cm at 300 ppi."""
    return Facts(
        stocks=(
            StockFact("smooth matte", "smooth matte, brightened", "described", typical=True),
            StockFact("measured cotton", "cotton", "described", typical=False),
            StockFact("lab gloss", "gloss", "profiled", typical=False, path="/files/lab.icc"),
        ),
        lights=(
            LightFact("D50", 5003.0, words="D50 viewing light, 5000 K"),
            LightFact("LED-B2", 2999.0, words="warm gallery LED, 3000 K"),
            LightFact("tube", 4012.0, caution="flickers"),
        ),
        glazings=("no glass", "float glass"),
        places=(PlaceFact("hallway", 50.0, ("corridor",)), PlaceFact("office", 500.0)),
        picture=PictureFact("Harbour at six.tif", 7087, 4724),
    )


@pytest.fixture
def state(facts: Facts) -> State:
    """The state at the start."""
    return State(History(Setting()), facts)
