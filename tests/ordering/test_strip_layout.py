"""Where things lie on a test strip: real sizes, nothing on top of anything, type to be read."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofing.errors import SettingError
from proofing.ordering.sheets import SHEETS, Sheet
from proofing.ordering.spaces import adobe_rgb
from proofing.ordering.strip import (
    MOST_PLACES,
    Box,
    Place,
    Role,
    StripOrder,
    StripPlan,
    part_of,
    sheet_named,
    sheet_of_size,
)
from proofing.ordering.strip_blocks import CAP_MM, EDGE_MM, Page
from proofing.ordering.strip_ladder import lifts_about
from proofing.ordering.strip_layout import LEAST_CROP_MM, lay_out, refuse_sheet
from proofing.ordering.strip_type import Face, coverage
from proofing.ordering.strip_wedge import wedge_L
from proofing.photograph import photograph_from_array

RUNGS = ("as it is", "shadows lifted by 0.5 stops", "shadows lifted by 1 stop, as it needs")
SENTENCE = (
    "For the print of 60 × 40 cm at 76.2 ppi, to hang under warm gallery LED, 3000 K at 150 lx "
    "behind anti-reflective glass. The crops are as large as in it."
)
PPI = (72, 150, 300, 600)


def page(rungs: Sequence[str] = RUNGS, times: int = 1, needed: int | None = 2) -> Page:
    """Texts like those of a real strip, or so many times as long."""
    return Page(
        heading=" ".join(["Test strip: harbour_at_six.tif on smooth matte"] * times),
        paragraphs=(" ".join([SENTENCE] * times), "h.tif, Adobe RGB (1998), 76.2 ppi, A4."),
        instruction=" ".join(["Print at 100 %: no resizing, no automatic corrections."] * times),
        rungs=tuple(" ".join([rung] * times) for rung in rungs),
        needed=needed,
        titles=lambda places: tuple(
            " ".join([f"{n}. Lower left. As it is, 34 % is blocked shadows."] * times)
            for n, _ in enumerate(places, start=1)
        ),
        wedge=" ".join(["Grey wedge without any correction: 21 equal steps of L*."] * times),
        scale="This scale is {cm:.0f} cm long. If it measures otherwise, it was resized.",
        L=wedge_L(adobe_rgb()),
    )


def places(width: int, height: int, count: int) -> tuple[Place, ...]:
    """As many as wanted, side by side in an endless picture."""
    return tuple(
        Place(Role.REFERENCE, None, Box(n * width, 0, width, height), "here") for n in range(count)
    )


def plan_at(ppi: float, sheet: str = "A4", of: Page | None = None) -> StripPlan:
    """The plan of a picture larger than any sheet."""
    return lay_out(
        (10**6, 10**6), Fraction(ppi), sheet_named(sheet), [of or page()], places
    )[0]  # fmt: skip


def check(plan: StripPlan) -> None:
    """All lies on the sheet within its white edge, and nothing on anything else."""
    edge = round(EDGE_MM / 25.4 * plan.ppi)
    inner = Box(edge, edge, plan.width_px - 2 * edge, plan.height_px - 2 * edge)
    things = [
        *((f"crop {cell.name}", cell.at) for cell in plan.cells),
        *((f"type {label.lines}", label.box) for label in plan.type),
        *((f"step {step.number}", step.at) for step in plan.steps),
    ]
    for number, (name, box) in enumerate(things):
        assert inner.holds(box), name
        for other_name, other in things[number + 1 :]:
            assert not box.overlaps(other), (name, other_name)
    for bar in plan.bars:
        assert inner.holds(bar)
        assert not [name for name, box in things if box.overlaps(bar)]


@pytest.mark.parametrize("ppi", PPI)
@pytest.mark.parametrize("sheet", ["A4", "A3"])
def test_nothing_lies_on_anything_else(ppi: float, sheet: str) -> None:
    """At every ppi, crops are at least 35 mm a side and all of one size."""
    plan = plan_at(ppi, sheet)
    check(plan)
    assert len(plan.places) >= 3
    assert {(c.at.width, c.at.height) for c in plan.cells} == {
        (p.box.width, p.box.height) for p in plan.places
    }
    assert plan.mm(min(plan.cells[0].at.width, plan.cells[0].at.height)) >= LEAST_CROP_MM - 0.2
    assert len(plan.cells) == len(plan.places) * len(RUNGS)
    assert plan.size_mm == pytest.approx(plan.sheet.size_mm, abs=25.4 / ppi)


@given(
    ppi=st.fractions(40, 400, max_denominator=100),
    width_mm=st.floats(180.0, 500.0),
    aspect=st.floats(1.0, 1.6),
    rungs=st.integers(1, 6),
    times=st.integers(1, 3),
    picture=st.tuples(st.integers(300, 9000), st.integers(300, 9000)),
)
@settings(max_examples=30)
def test_whatever_the_sheet_and_the_words(
    ppi: Fraction, width_mm: float, aspect: float, rungs: int, times: int,
    picture: tuple[int, int],
) -> None:  # fmt: skip
    """It is laid out without overlap, or refused with what to do; never drawn over itself."""
    sheet = Sheet(round(width_mm, 1), round(width_mm * aspect, 1))
    words = page([f"shadows lifted by 0.{n} stops" for n in range(rungs)], times, rungs - 1)
    try:
        (plan,) = lay_out(picture, ppi, sheet, [words], places)
    except SettingError as error:
        assert re.search("or larger|shorter ladder|any usual sheet|smaller sheet", str(error))
        return
    less = replace(words, needed=None, paragraphs=())
    refuse_sheet(picture, ppi, sheet, [less])  # what can be laid out is not refused before
    check(plan)
    assert plan.cells[0].at.width <= picture[0]
    assert plan.cells[0].at.height <= picture[1]


def test_a_banner_of_few_pixels_fits_or_says_what_to_do() -> None:
    """At 20 ppi type is larger than 2.2 mm, to have the pixels that it takes to be read."""
    with pytest.raises(
        SettingError, match=r"20 ppi; use .* or larger, or a shorter ladder"
    ) as refused:
        plan_at(20, "A4")
    name = re.search("use (.*) or larger", str(refused.value))
    assert name is not None
    named = next(n for n, sheet in enumerate(SHEETS) if sheet.name == name[1])
    (plan,) = lay_out((10**6, 10**6), Fraction(20), SHEETS[named], [page()], places)
    check(plan)
    smaller_ones = [sheet for sheet in SHEETS[:named] if sheet.unit == SHEETS[named].unit]
    for smaller in smaller_ones[::-3]:  # none that would do is passed over
        with pytest.raises(SettingError):
            lay_out((10**6, 10**6), Fraction(20), smaller, [page()], places)
    assert coverage(Face.of_cap(CAP_MM, 20.0).line("H")).any(axis=1).sum() >= 7


def test_too_many_pixels_are_refused() -> None:
    """Before anything is drawn; it says what to use."""
    with pytest.raises(SettingError, match=r"2400 ppi this sheet has \d+ megapixels; use a"):
        plan_at(2400)


@pytest.mark.parametrize("ppi", PPI)
@pytest.mark.parametrize("strong", [False, True])
def test_capitals_are_as_high_as_said(ppi: float, strong: bool) -> None:
    """Measured on the drawn letter: at least 2.2 mm, and no more than a fifth above it unless
    that is what seven pixels measure."""
    ink = coverage(Face.of_cap(CAP_MM, ppi, strong=strong).line("H"))
    high = int((ink.max(axis=1) > 127).sum())
    assert high / ppi * 25.4 >= CAP_MM - 0.5 / ppi * 25.4
    assert high <= max(1.2 * CAP_MM / 25.4 * ppi, 9)


@pytest.mark.parametrize("ppi", PPI)
def test_ink_stands_where_it_is_planned(ppi: float) -> None:
    """No line is cut off at its box: drawn on larger paper it has the same ink."""
    for label in plan_at(ppi, of=page(times=2)).type:
        ink = coverage(label)
        assert ink.max() > 150  # thin stems of few pixels are grey
        wide = coverage(replace(label, width_px=label.width_px + 200))
        assert int(wide.sum()) == int(ink.sum())
        tall = coverage(replace(label, lines=(*label.lines, " ")))
        assert int(tall.sum()) == int(ink.sum())


@pytest.mark.parametrize("ppi", [20, *PPI])
def test_the_scale_measures_what_it_says(ppi: float) -> None:
    """Its marks are whole pixels off by no more than half of one."""
    plan = plan_at(ppi, "A2")
    assert plan.scale_mm == 100.0
    assert plan.scale.width / ppi * 25.4 == pytest.approx(100.0, abs=0.5 / ppi * 25.4)
    marks = sorted({bar.left for bar in plan.bars if plan.scale.top <= bar.top})
    assert plan.scale.left in marks
    assert plan.scale.right in marks


def test_the_wedge_has_21_steps_of_one_size_in_order() -> None:
    """Numbered from 1; the 21 numbers stand below them."""
    for ppi in (20, 72, 300):
        plan = plan_at(ppi, "A2")
        assert [step.number for step in plan.steps] == list(range(1, 22))
        assert len({(s.at.width, s.at.height) for s in plan.steps}) == 1
        for step in plan.steps:
            number = next(
                label for label in plan.labels if label.lines == (str(step.number),)
                and abs(label.box.left + label.width_px / 2 - step.at.left - step.at.width / 2) <= 2
            )  # fmt: skip
            assert number.top >= step.at.bottom


def test_fewer_places_than_there_is_room_are_larger() -> None:
    """A picture with two places to show gives them all of the sheet."""

    def two(width: int, height: int, count: int) -> tuple[Place, ...]:
        return places(width, height, min(count, 2))

    (few,) = lay_out((10**6, 10**6), Fraction(150), sheet_named("A4"), [page()], two)
    many = plan_at(150)
    assert len(many.places) == 4
    assert len(plan_at(150, "A3").places) == MOST_PLACES
    assert len(few.places) == 2
    assert min(few.cells[0].at.width, few.cells[0].at.height) > min(
        many.cells[0].at.width, many.cells[0].at.height
    )


def test_sheets_of_a_set_are_alike() -> None:
    """Longer words on one of them move nothing apart."""
    plain, wordy = lay_out(
        (10**6, 10**6), Fraction(150), sheet_named("A3"), [page(), page(times=2)], places
    )
    assert [cell.at for cell in plain.cells] == [cell.at for cell in wordy.cells]
    check(plain)
    check(wordy)


def test_words_wider_than_a_line_are_broken() -> None:
    """A long file name stays on the sheet, and none of it is left out."""
    face = Face(20)
    name = "a_long_name_without_any_blank_" * 4
    lines = face.lines(f"See {name} here", 150)
    assert all(face.width(line) <= 150 for line in lines)
    assert "".join(lines).replace(" ", "") == f"See{name}here"


def test_balanced_lines_are_no_more_than_it_takes() -> None:
    """And all words are in them, in their order."""
    face, words = Face(20), "2B shadows lifted by 0.5 stops"
    plain, even = face.lines(words, 200), face.balanced(words, 200)
    assert len(even.lines) == len(plain)
    assert " ".join(even.lines) == words
    assert even.width_px <= 200


def test_sheets_by_name_and_size() -> None:
    """ISO 216: A4 is 210 x 297 mm; sizes either way round; what is none is told."""
    assert sheet_named(" a4 ").size_mm == (210.0, 297.0)
    assert sheet_of_size(297.0, 210.0).series == "A4"
    assert sheet_of_size(300.0, 200.0).name == "20 × 30 cm"
    assert sheet_of_size(203.2, 254.0).name == "8 × 10 in"
    assert sheet_of_size(111.0, 222.0).size_mm == (111.0, 222.0)
    with pytest.raises(SettingError, match="use A4"):
        sheet_named("letter paper")


def test_the_ladder_goes_around_what_is_needed() -> None:
    """Nothing, half of it, all of it, and too much; never beyond the most there is."""
    assert lifts_about([1.0]) == (0.0, 0.5, 1.0, 1.5)
    assert lifts_about([1.5]) == (0.0, 0.75, 1.5)
    assert lifts_about([0.25]) == (0.0, 0.25, 0.75)
    assert lifts_about([0.75, 0.0, 0.5]) == (0.0, 0.5, 0.75, 1.25)


def test_too_many_lifts_are_refused() -> None:
    """More than eight cannot be compared."""
    with pytest.raises(SettingError, match="at most 8"):
        StripOrder(lifts=tuple(n / 10 for n in range(9)))


def test_a_part_of_a_photograph() -> None:
    """Its own codes, cut out; nothing beyond the picture."""
    codes = np.random.default_rng(4).integers(0, 255, (30, 40, 3)).astype(np.uint8)
    alpha = np.full((30, 40), 200, np.uint8)
    alpha[0, 0] = 255
    whole = photograph_from_array(codes, alpha=alpha)
    part = part_of(whole, Box(5, 6, 10, 12))
    assert (part.codes == codes[6:18, 5:15]).all()
    assert part.alpha is not None
    assert part.alpha.shape == (12, 10)
    assert part.key != whole.key
    with pytest.raises(SettingError, match="lies in the picture"):
        part_of(whole, Box(35, 0, 10, 10))
