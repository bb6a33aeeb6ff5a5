"""Marks, scores and ties, whatever the costs."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from proofing.ordering.character import Character, Trait
from proofing.ordering.ranking import (
    CLOSE_CALL,
    SUITS,
    TIED_WITHIN,
    WEIGHTS,
    Criterion,
    Standing,
    gains,
    marks_of,
    score,
    standing,
    suitability,
)
from proofing.printing.stock import SURFACES

COSTS = st.fixed_dictionaries({c: st.floats(0.0, 20.0) for c in Criterion})
MARKS = st.fixed_dictionaries({c: st.floats(0.0, 1.0) for c in Criterion})
SHARE = st.floats(0.0, 1.0)


def test_weights_are_of_one_hundred_and_have_their_reasons() -> None:
    """One row for each criterion."""
    assert sum(weight.weight for weight in WEIGHTS.values()) == 100.0
    assert set(WEIGHTS) == set(Criterion)
    assert all(len(weight.reason) > 40 for weight in WEIGHTS.values())


@given(COSTS)
def test_a_score_lies_between_nothing_and_one_hundred(costs: dict[Criterion, float]) -> None:
    """And is 100 where nothing costs anything."""
    assert 0.0 <= score(marks_of(costs)) <= 100.0
    assert score(marks_of(dict.fromkeys(Criterion, 0.0))) == pytest.approx(100.0)


@given(COSTS, st.sampled_from(Criterion), st.floats(0.0, 5.0))
def test_what_costs_more_never_scores_higher(
    costs: dict[Criterion, float], criterion: Criterion, more: float
) -> None:
    """In any criterion, all else alike."""
    worse = costs | {criterion: costs[criterion] + more}
    assert score(marks_of(worse)) <= score(marks_of(costs)) + 1e-12


@pytest.mark.parametrize("criterion", Criterion)
def test_half_of_a_weight_is_left_at_the_stated_cost(criterion: Criterion) -> None:
    """Of the surface at half suited."""
    halved = 0.5 if criterion is Criterion.SURFACE else WEIGHTS[criterion].halved
    costs = dict.fromkeys(Criterion, 0.0) | {criterion: halved}
    assert score(marks_of(costs)) == pytest.approx(100.0 - 0.5 * WEIGHTS[criterion].weight)


@given(MARKS, MARKS, st.lists(st.floats(-CLOSE_CALL, CLOSE_CALL), min_size=7, max_size=7))
def test_what_is_behind_stays_behind_with_weights_a_fifth_otherwise(
    one: dict[Criterion, float], other: dict[Criterion, float], changes: list[float]
) -> None:
    """Of a stock called behind no such change makes the better one."""
    before, after = sorted((one, other), key=lambda marks: -score(marks))
    found = standing(before, after)
    ahead = score(before) - score(after)
    assert (found is Standing.TIED) == (ahead < TIED_WITHIN)
    if found is Standing.BEHIND:
        changed = {
            c: WEIGHTS[c].weight * (1.0 + by) for c, by in zip(Criterion, changes, strict=True)
        }
        assert sum(w * (before[c] - after[c]) for c, w in changed.items()) >= -1e-9


def test_a_close_call_turns_with_weights_a_fifth_otherwise() -> None:
    """Two stocks that trade much for much."""
    before = dict.fromkeys(Criterion, 0.5) | {Criterion.DETAIL: 1.0}
    after = dict.fromkeys(Criterion, 0.5) | {Criterion.CONTRAST: 1.0}
    assert standing(before, after) is Standing.CLOSE
    turned = {Criterion.DETAIL: 0.8, Criterion.CONTRAST: 1.2}
    parts = [turned.get(c, 1.0) * WEIGHTS[c].weight * (before[c] - after[c]) for c in Criterion]
    assert sum(parts) < 0.0


@given(MARKS, MARKS)
def test_what_one_gains_the_other_loses(
    one: dict[Criterion, float], other: dict[Criterion, float]
) -> None:
    """No criterion is named on both sides, and the greatest comes first."""
    up, down = gains(one, other), gains(other, one)
    assert not set(up) & set(down)
    points = [WEIGHTS[c].weight * (one[c] - other[c]) for c in up]
    assert points == sorted(points, reverse=True)


@given(st.builds(Character, SHARE, SHARE, SHARE, SHARE))
def test_a_surface_suits_between_its_least_and_its_best(character: Character) -> None:
    """For any picture, and every kind of surface a record may name."""
    assert set(SUITS) == set(SURFACES)
    for kind, suits in SUITS.items():
        low, high = min(*suits.values(), 0.7), max(*suits.values(), 0.7)
        assert low - 1e-9 <= suitability(kind, character) <= high + 1e-9


@pytest.mark.parametrize("trait", Trait)
def test_common_practice_of_surfaces(trait: Trait) -> None:
    """Fog suits matte best and gloss least; all else gloss best and canvas least."""
    ranked = sorted(SUITS, key=lambda kind: -SUITS[kind][trait])
    ends = ("matte", "gloss") if trait is Trait.CLOSE_TONES else ("gloss", "canvas")
    assert (ranked[0], ranked[-1]) == ends
