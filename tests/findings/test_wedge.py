"""Which steps of a grey scale can be told apart."""

from __future__ import annotations

import dataclasses
import itertools
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.state import Setting, build_request
from proofing.catalogue import Catalogue
from proofing.colorimetry import luminance_factor
from proofing.engine import Engine
from proofing.findings.wedge import groups, lost_ends, steps_needed, told_apart
from proofing.photograph import photograph_from_array
from proofing.proof import Tones, tones_of
from tests import kept


def gsdf_luminance(j: np.ndarray) -> np.ndarray:
    """Luminance of just-noticeable steps, cd/m2: equation and constants of DICOM PS3.14, 7.1, as
    colour-science has them."""
    from colour.models import eotf_DICOMGSDF

    return np.asarray(eotf_DICOMGSDF(np.asarray(j, int), in_int=True))


def test_steps_of_the_standard_are_told_apart_by_the_dozen_and_not_one_by_one() -> None:
    """The standard's steps are just noticed where the eye is adapted to them: twice that is asked,
    so that one step is not enough anywhere, and a dozen is, from a tenth of white up."""
    white = 140.0
    one = gsdf_luminance(np.arange(200, 500))
    assert not told_apart(one, white).any()
    dozen = gsdf_luminance(np.arange(220, 500, 12))
    assert told_apart(dozen, white).all()


def test_near_what_the_eye_is_adapted_to_about_two_steps_are_needed() -> None:
    """One step of the standard is one threshold for its target there (DICOM PS3.14, 4 cycles per
    degree, 2 degrees); the frequency seen best is not far from it. Elsewhere more are needed."""
    white = 140.0
    needed = steps_needed(np.array([0.2, 2.0, 28.0, 140.0]), white)
    assert 1.2 < needed[2] < 2.6
    assert needed[0] > needed[1] > needed[2]


@given(st.lists(st.booleans(), min_size=1, max_size=40))
def test_groups_hold_every_pair_that_is_not_told_apart(apart: list[bool]) -> None:
    """And nothing else; no two of them touch."""
    found = groups(apart)
    inside = {number for first, last in found for number in range(first, last)}
    assert {number for number, yes in enumerate(apart) if not yes} == inside
    assert all(last < first for (_, last), (first, _) in itertools.pairwise(found))


def test_the_ends_of_a_scale_that_is_cut_off() -> None:
    """All greys below L* 20 and above L* 90 printed alike: the ends are found to the quarter."""
    L = np.linspace(0, 100, 401)
    printed = 140.0 * luminance_factor(np.clip(L, 20, 90))
    low, high = lost_ends(L, printed, 140.0)
    assert 20.0 <= low <= 21.0 and 89.0 <= high <= 90.0
    assert lost_ends(L, np.full_like(L, 5.0), 140.0)[0] == 100.0


# ---- on stocks of the catalogue


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return Catalogue.load(Path("/nonexistent"))


@pytest.fixture(scope="module")
def engine() -> Engine:
    return kept.engine()


@pytest.fixture(scope="module")
def made(catalogue: Catalogue, engine: Engine):
    ramp = np.repeat(np.arange(256, dtype=np.uint8)[None, :, None], 3, axis=2)
    photograph = photograph_from_array(np.repeat(ramp, 40, axis=0))

    def of(**values: object) -> Tones:
        return tones_of(engine, build_request(Setting(**values), catalogue, photograph))

    return of


def test_compensation_keeps_the_steps_apart_and_going_without_merges_the_darkest(made) -> None:
    """Common practice: without it everything below the stock's black is one black. That of canvas
    has L* 22: steps 1 to 5 (L* 0 to 20) merge."""
    assert made(stock="canvas", illuminance=500.0).merged == ()
    (dark,) = made(stock="canvas", illuminance=500.0, black_point_compensation=False).merged
    assert dark == (0, 4)
    (deep,) = made(stock="baryta", illuminance=500.0, black_point_compensation=False).merged
    assert deep[1] < dark[1]


def test_the_dimmer_the_room_the_more_looks_black(made) -> None:
    ends = [
        made(stock="smooth matte", illuminance=lux).black_until_L
        for lux in (2000.0, 200.0, 20.0, 2.0)
    ]
    assert ends == sorted(ends) and ends[-1] > 2 * ends[0]


def test_the_dimmer_the_room_the_more_steps_run_together(made) -> None:
    """Barten 1999, chapter 3: contrast sensitivity falls with luminance."""
    merged = []
    for lux in (2000.0, 20.0, 5.0, 1.0):
        runs = made(stock="smooth matte", illuminance=lux).merged
        merged.append(sum(last - first + 1 for first, last in runs))
    assert merged[0] == 0 and merged == sorted(merged) and merged[-1] > merged[-2] > 0


def test_units_of_lightness_are_lost_by_their_middles(made) -> None:
    """Up to L* 3.5 those of 0.5, 1.5 and 2.5, and what is drawn is what is counted."""
    tones = made(stock="smooth matte", illuminance=500.0)
    for until, count in ((0.25, 0), (2.5, 2), (3.5, 3), (3.75, 4)):
        cut = dataclasses.replace(tones, black_until_L=until, white_from_L=100.0 - until)
        assert cut.dark_bins == cut.light_bins == count
        assert cut.lost_light == pytest.approx(tones.file_spread[100 - count :].sum())


def test_a_pane_that_mirrors_takes_the_shadows(made) -> None:
    bare = made(stock="gloss", illuminance=100.0)
    glazed = made(stock="gloss", illuminance=100.0, glazing="float glass", reflection_ratio=0.5)
    assert glazed.black_until_L > bare.black_until_L


def test_spreads_are_shares_of_the_picture_and_the_print_s_lies_within_the_stock(made) -> None:
    """A ramp of all codes; the print's lightness runs from the stock's black to bare paper."""
    tones = made(stock="smooth matte", illuminance=500.0)
    assert tones.file_spread.sum() == pytest.approx(1.0)
    assert tones.print_spread.sum() == pytest.approx(1.0)
    filled = np.flatnonzero(tones.print_spread)
    assert abs(filled[0] - tones.black_L) <= 1.5
    assert abs(filled[-1] - tones.white_L) <= 1.5
    assert [step.print_L for step in tones.steps] == sorted(step.print_L for step in tones.steps)
    cut = dataclasses.replace(tones, black_until_L=10.0)
    assert cut.lost_dark == pytest.approx(tones.file_spread[:10].sum())
