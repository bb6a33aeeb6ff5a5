"""Which stock comes first where, on the demonstration: what the trade would say."""

from __future__ import annotations

import itertools
import re

import pytest

from proofing.language import Speech, speak
from proofing.ordering.comparison_words import (
    basis_of,
    character_in_words,
    conclusion,
    sample_in_words,
    sentences_of,
    trade_off,
)
from proofing.ordering.ranking import Criterion, Standing, score
from tests.ordering.stocks import GLOSSY, MATTE, catalogue, compared, order

# common practice: "matte stocks want the shadows lifted; gloss suits high contrast and crisp
# subjects; fog and soft tones suit matte; rich, contrasty landscapes suit baryta"; "gloss keeps
# its deep black only under directional light"; "matte can be seen from any angle"


@pytest.mark.parametrize("name", ["harbour_at_six.tif", "dahlias_thursday.tif"])
def test_gloss_classes_come_first_for_deep_or_saturated_pictures_under_a_spot(name: str) -> None:
    """Common practice: rich colours and deep shadows want gloss, where nothing is mirrored."""
    assert set(order(compared(name, "spot"))[:3]) == GLOSSY


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("dahlias_thursday.tif", "white room"),
        ("last_light.jpg", "white room"),
        ("harbour_at_six.tif", "lamps in view"),
    ],
)
def test_matte_comes_first_where_the_room_is_mirrored(name: str, kind: str) -> None:
    """Common practice: in a bright room, or without glass and with lamps in view, matte."""
    found = order(compared(name, kind))
    assert set(found[:2]) <= MATTE


def test_fog_goes_on_matte_in_a_lit_room() -> None:
    """Common practice: fog and soft tones suit matte; none of the stocks loses any of it."""
    comparison = compared("fog_slack_water.jpg", "lit room")
    assert order(comparison)[0] == "smooth matte"
    assert order(comparison)[-1] in GLOSSY
    assert max(result.detail_lost for result in comparison.ranked) < 0.001


def test_a_score_is_the_sum_of_what_is_told() -> None:
    """The order follows the scores, the scores follow the marks, and the first has none above."""
    ranked = compared("harbour_at_six.tif", "spot").ranked
    assert [one.score >= other.score for one, other in itertools.pairwise(ranked)] == [True] * 5
    assert all(abs(score(result.marks) - result.score) < 1e-9 for result in ranked)
    assert ranked[0].standing is None
    assert None not in [result.standing for result in ranked[1:]]


def test_gloss_and_baryta_are_called_as_good_as_equal() -> None:
    """A difference of half a point in a hundred is a tie, and said to be one."""
    comparison = compared("harbour_at_six.tif", "spot")
    first, second = comparison.ranked[:2]
    assert {first.stock.name, second.stock.name} == {"gloss", "baryta"}
    assert second.standing is Standing.TIED
    said = conclusion(comparison)
    assert " are as good as equal, with " in said[0]
    assert f"{first.score:.1f} and {second.score:.1f} of 100 points" in said[0]


def test_the_runner_up_is_told_with_what_it_gives_and_what_it_takes() -> None:
    """Two numbers with their units on either side of a 'but'."""
    said = conclusion(compared("last_light.jpg", "white room"))
    assert said[1].startswith("With cotton matte in its place ")
    assert "instead of" in said[1]
    comparison = compared("dahlias_thursday.tif", "white room")
    matte = next(r for r in comparison.ranked if r.stock.name == "smooth matte")
    gloss = next(r for r in comparison.ranked if r.stock.name == "gloss")
    told = trade_off(matte, gloss)
    gives, takes = told.split("; but ")
    assert f"{gloss.delta_E_mean:.1f} ΔE00" in gives
    assert f"instead of {matte.delta_E_mean:.1f} ΔE00" in gives
    assert f"{100 * gloss.glare.of_paper:.2g} % of bare paper" in takes


def test_the_best_of_the_other_surfaces_is_told_of_where_the_runner_up_is_of_the_same() -> None:
    """Matte against matte is no choice for someone who could have gloss; gloss warns of lamps."""
    said = conclusion(compared("dahlias_thursday.tif", "white room"))
    others = [line for line in said if line.startswith("With ")]
    assert [line.startswith(f"With {name} ") for line, name in zip(
        others, ("cotton matte", "baryta"), strict=True)] == [True, True]  # fmt: skip
    lamps = "no lamp or window is mirrored"
    assert not any(lamps in line for line in said)
    assert any(lamps in line for line in conclusion(compared("harbour_at_six.tif", "spot")))


def test_every_criterion_is_told_in_one_sentence_with_a_number_and_its_unit() -> None:
    """For every stock, in every room; no sentence is left with a gap."""
    units = re.compile(r"\d (%|ΔE00|to 1|cd/m²)")
    for name, kind in (("harbour_at_six.tif", "spot"), ("last_light.jpg", "white room")):
        comparison = compared(name, kind)
        for result in comparison.ranked:
            sentences = sentences_of(result, comparison)
            assert set(sentences) == set(Criterion)
            for sentence in sentences.values():
                assert units.search(sentence), sentence
                assert sentence.endswith(".")
                assert "{" not in sentence


def test_typical_stocks_are_called_typical() -> None:
    """All that come with the program are."""
    assert {basis_of(stock) for stock in catalogue().stocks} == {
        "typical of its class; no product was measured"
    }


def test_numbers_have_the_decimal_sign_of_the_reader() -> None:
    """With a comma there is no point between digits."""
    comparison = compared("last_light.jpg", "white room")
    before = speak(Speech(decimal_sign=","))
    try:
        said = [*conclusion(comparison), character_in_words(comparison.character)]
        said.append(sample_in_words(comparison))
        for result in comparison.ranked:
            said += sentences_of(result, comparison).values()
    finally:
        speak(before)
    assert any("," in text for text in said)
    assert [text for text in said if re.search(r"\d\.\d", text)] == []


def test_no_number_is_told_instead_of_the_same() -> None:
    """Two shares that differ by less than is written are no difference that a person could see."""
    pairs = 0
    for one, other in itertools.permutations(compared("fog_slack_water.jpg", "lit room").ranked, 2):
        for part in re.split(r"; but | and ", trade_off(one, other)):
            if "instead of" in part:
                before, after = re.findall(r"under [\d.]+ %|[\d.]+ (?:%|ΔE00|to 1)|none", part)
                assert before != after, part
                pairs += 1
    assert pairs > 30
