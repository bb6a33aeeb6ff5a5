"""Explanations of numbers are whole, and say what the code does."""

from __future__ import annotations

import math
import re

import pytest

from app.panels.probe_line import _COLUMNS
from app.state import ROWS
from app.state.facts import DEFAULT_PPI, DIAGONALS_AWAY, NEAREST_M
from app.state.lengths import MM_PER_INCH
from app.whys import SENTENCES, Why, why, whys
from proofing.findings.detail import CLEAR, LOST_BELOW
from proofing.findings.kinds import Kind
from proofing.findings.losses import (
    BARE_FROM_ARCMIN,
    FLAT_FROM,
    FLAT_KEEPS,
    PLATEAU_ARCMIN,
    STEEPER,
)
from proofing.findings.regions import LEAST_SHARE
from proofing.findings.scan import BARE_L
from proofing.proof import SCREEN_OFF_STOPS
from proofing.viewing import FRESNEL_SURFACE
from proofing.viewing.room import SURROUND_RATIO_AVERAGE


@pytest.mark.parametrize("found", whys().values(), ids=lambda found: found.id)
def test_three_sentences_a_formula_and_a_source(found: Why) -> None:
    """Each sentence is one, and short enough to be read at once."""
    assert len(found.sentences) == SENTENCES
    for sentence in found.sentences:
        assert re.match(r"[A-Z0-9]", sentence) and sentence.endswith(".")
        assert len(re.findall(r"[.!?](?:\s|$)", sentence)) == 1
        assert len(sentence) < 130
    assert found.formula and found.source.endswith(".") and found.title


def test_every_mark_figure_and_number_is_explained() -> None:
    wanted = {kind.value for kind in Kind} | {column.field for column in _COLUMNS}
    wanted |= {row.id for row in ROWS if row.kind in ("number", "illuminance", "size", "name")}
    wanted |= {"verdict", "screen_against_print", "intent", "black_point_compensation", "look"}
    assert wanted - {"marks"} <= set(whys())
    assert why("nothing") is None


@pytest.mark.parametrize(
    ("id", "holds"),
    [
        ("blocked_shadows", CLEAR == 2.0 and LOST_BELOW == 1.0),
        ("blown_highlights", BARE_L == 0.5 and BARE_FROM_ARCMIN == 60.0),
        ("flattened_colour", FLAT_FROM == 4.0 and math.isclose(FLAT_KEEPS, 1 / 3)),
        ("banding_risk", STEEPER == 2.0 and PLATEAU_ARCMIN == 3.0),
        ("verdict", LEAST_SHARE == 1e-3),
        ("screen_against_print", math.isclose(SCREEN_OFF_STOPS, 1 / 3)),
        ("distance_m", DIAGONALS_AWAY == 1.5 and NEAREST_M == 0.25),
        ("size_mm", DEFAULT_PPI == 300.0 and MM_PER_INCH == 25.4),
        ("reflection_ratio", FRESNEL_SURFACE == 0.04),
        ("surround", SURROUND_RATIO_AVERAGE == 0.2),
    ],
)
def test_the_numbers_that_are_told_are_those_of_the_code(id: str, holds: bool) -> None:
    """One that changes in the code must change in the words."""
    assert holds, f"look at [{id}] in resources/whys.toml"
