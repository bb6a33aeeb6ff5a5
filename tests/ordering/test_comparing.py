"""Comparing stocks: its numbers held to other sources, calling off, what is done once."""

from __future__ import annotations

import dataclasses
import functools
import math
import warnings
from typing import Any

import numpy as np
import pytest

from proofing.colorimetry import XYZ_to_Lab
from proofing.engine import Engine
from proofing.errors import Cancelled, PhotographError, ProfileError
from proofing.findings.kinds import Kind
from proofing.lattice import Lattice
from proofing.ordering import comparing
from proofing.ordering.comparing import Comparer, compare, glare_of
from proofing.ordering.ranking import Standing, mirrored_ratio
from proofing.photograph import photograph_from_array
from proofing.printing import ColourEase, Correction, Stock
from proofing.proof import Prover
from proofing.request import ProofRequest
from proofing.viewing import Room
from tests.ordering.stocks import GLOSSY, catalogue, engine, order, picture, request, room

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # its remarks about plotting packages that are kept out
    import colour


class CountingEngine(Engine):
    """Counts the tables it bakes, and lacks one for the stocks that are named."""

    def __init__(self, lacking: str = "") -> None:
        super().__init__()
        self.baked: list[str] = []
        self.lacking = lacking

    def bake_scan(self, request: ProofRequest, *args: Any, **kw: Any) -> Lattice:
        self.baked.append(request.stock.name)
        if request.stock.name == self.lacking:
            raise ProfileError("its profile has no table of this intent")
        return super().bake_scan(request, *args, **kw)


@functools.cache
def patches() -> Any:
    """A small picture of chance colours, every one of which is in the sample."""
    codes = np.random.default_rng(3).integers(0, 256, (12, 16, 3), dtype=np.uint8)
    return photograph_from_array(codes.repeat(8, 0).repeat(8, 1))


def some(*names: str) -> tuple[Stock, ...]:
    return tuple(catalogue().stock(name) for name in names)


def test_colour_differences_are_those_of_another_library() -> None:
    """Mean and worst twentieth over all pixels, with colour-science's CIEDE2000."""
    small = photograph_from_array(np.ascontiguousarray(patches().codes[::8, ::8]))
    wanted = request(small, room("lit room"), size=None)
    result = compare(engine(), wanted, some("canvas")).ranked[0]
    canvas = dataclasses.replace(wanted, stock=result.stock)
    XYZ = small.encoding.to_XYZ(small.codes.reshape(-1, 3) / 255.0)
    mapped = engine().map_colours(canvas, XYZ)
    off = colour.delta_E(XYZ_to_Lab(mapped.wanted), XYZ_to_Lab(mapped.printed), method="CIE 2000")
    assert result.delta_E_mean == pytest.approx(float(off.mean()), abs=1e-6)
    assert result.delta_E_95 == pytest.approx(float(np.percentile(off, 95)), abs=1e-6)


def test_shares_are_those_that_findings_tell() -> None:
    """A picture that is scanned whole loses what the window says it loses."""
    wanted = request(picture("net_loft.jpg"), room("spot"), "canvas", distance_m=0.4)
    result = compare(engine(), wanted, ()).ranked[0]
    proof = Prover(engine(), wanted).scan()
    for kind in (Kind.BLOCKED_SHADOWS, Kind.FLATTENED_COLOUR, Kind.OUT_OF_GAMUT):
        assert result.shares[kind] == pytest.approx(proof.share(kind), abs=0.005)
    assert result.shares[Kind.BLOCKED_SHADOWS] > 0.005


@pytest.mark.parametrize(("k", "density"), [(0.1, 2.05), (0.3, 1.77), (1.0, 1.35)])
def test_an_unglazed_gloss_black_is_lifted_as_the_fresnel_reflection_says(
    k: float, density: float
) -> None:
    """A black of density 2.3 under 4 % of k: D 2.05, 1.77, 1.35 (Fresnel, n = 1.5)."""
    D50 = catalogue().light("D50")
    where = Room(D50, 500.0, reflection_ratio=k, wall_reflectance=0.02, surround_ratio=0.0)
    glare = glare_of(request(patches(), where, "gloss"))
    white = 500.0 / math.pi
    assert glare.mirrored_ratio == k
    assert -math.log10(10**-2.3 + glare.veil_cd_m2 / white) == pytest.approx(density, abs=0.005)
    paper = colour.Lab_to_XYZ([95.0, 1.0, -7.0], colour.CCS_ILLUMINANTS[
        "CIE 1931 2 Degree Standard Observer"]["D50"])[1]  # fmt: skip
    assert glare.of_paper == pytest.approx(0.04 * k / paper, rel=0.005)
    assert glare.from_pane == 0.0


def test_glass_makes_all_surfaces_alike() -> None:
    """Behind float glass (R 8.2 %) most of the veil is the pane's, whatever hangs behind it."""
    where = Room(catalogue().light("D50"), 200.0, catalogue().glazing("float glass"), 0.3)
    matte, gloss = (glare_of(request(patches(), where, s)) for s in ("smooth matte", "gloss"))
    assert matte.from_pane > 0.95
    assert gloss.from_pane > 0.6
    assert gloss.veil_cd_m2 < 1.5 * matte.veil_cd_m2
    bare = dataclasses.replace(where, glazing=catalogue().glazing("no glass"))
    matte, gloss = (glare_of(request(patches(), bare, s)) for s in ("smooth matte", "gloss"))
    assert gloss.veil_cd_m2 > 15.0 * matte.veil_cd_m2


def test_a_dim_room_mirrors_little_and_a_dark_one_nothing() -> None:
    """What is mirrored follows the room beyond, and never falls below what is set."""
    D50 = catalogue().light("D50")
    ratios = [mirrored_ratio(Room(D50, 100.0, surround_ratio=s)) for s in (1.0, 0.1, 0.0)]
    assert ratios == pytest.approx([0.2, 0.02, 0.0])
    assert mirrored_ratio(Room(D50, 100.0, reflection_ratio=0.7, surround_ratio=0.0)) == 0.7


def test_contrast_is_told_of_the_stock_the_room_and_the_picture() -> None:
    """Own contrast from white and black of the record; the room takes from it; the file's ends."""
    wanted = request(picture("last_light.jpg"), room("white room"), "baryta")
    contrast = compare(engine(), wanted, ()).ranked[0].contrast
    stock = wanted.stock
    D50 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D50"]
    white, black = (colour.Lab_to_XYZ(Lab, D50)[1] for Lab in (stock.white_Lab, stock.black_Lab))
    assert contrast.own == pytest.approx(white / black, rel=0.01)
    veil = 0.04 * stock.surface.specular
    assert contrast.in_room == pytest.approx((white + veil) / (black + veil), rel=0.01)
    assert contrast.picture <= contrast.in_room
    assert 100.0 < contrast.file <= 160.0 / 0.5557  # Adobe RGB (1998), reference display


def test_what_was_done_before_it_was_called_off_is_kept() -> None:
    """Begun again, only the missing stocks are baked, and the result is the same."""
    stocks = some("smooth matte", "canvas", "gloss")
    counting = CountingEngine()
    comparer = Comparer(counting, request(patches(), room("lit room")), stocks)
    told: list[float] = []
    with pytest.raises(Cancelled):
        comparer.compare(cancel=lambda: len(counting.baked) >= 2, progress=told.append)
    assert counting.baked[:1] == ["smooth matte"]
    before = len(counting.baked)
    found = comparer.compare(progress=told.append)
    assert counting.baked.count("smooth matte") == 1
    assert len(counting.baked) <= before + 2
    assert told == sorted(told)
    assert told[-1] == 1.0
    again = compare(engine(), comparer.request, stocks)
    assert [r.score for r in again.ranked] == pytest.approx([r.score for r in found.ranked])


def test_it_can_be_called_off_before_it_has_begun() -> None:
    """Nothing is baked then."""
    counting = CountingEngine()
    with pytest.raises(Cancelled):
        compare(counting, request(patches(), room("lit room")), some("gloss"), lambda: True)
    assert counting.baked == []


def test_what_does_not_depend_on_the_stock_is_done_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Sample and character, for however many stocks."""
    calls: list[str] = []
    for name in ("sample_of", "character_of"):
        whole = getattr(comparing, name)

        def counted(*args: Any, whole: Any = whole, name: str = name) -> Any:
            calls.append(name)
            return whole(*args)

        monkeypatch.setattr(comparing, name, counted)
    comparer = Comparer(engine(), request(patches(), room("lit room")), catalogue().stocks)
    comparer.compare()
    comparer.compare()
    assert sorted(calls) == ["character_of", "sample_of"]


def test_a_stock_whose_profile_lacks_the_intent_is_left_out_with_the_reason() -> None:
    """The others are compared."""
    found = compare(
        CountingEngine("gloss"), request(patches(), room("lit room")), some("gloss", "canvas")
    )
    assert [stock.name for stock, _ in found.left_out] == ["gloss"]
    assert "no table of this intent" in found.left_out[0][1]
    assert set(order(found)) == {"smooth matte", "canvas"}


def test_the_stock_of_the_setting_is_always_compared_and_only_once() -> None:
    """Even where it is not listed."""
    found = compare(engine(), request(patches(), room("spot"), "gloss"), some("canvas", "gloss"))
    assert sorted(order(found)) == ["canvas", "gloss"]
    found = compare(engine(), request(patches(), room("spot"), "lustre"), some("canvas"))
    assert sorted(order(found)) == ["canvas", "lustre"]
    assert order(found)[0] in GLOSSY


def test_a_stock_under_two_names_is_measured_once_and_tied() -> None:
    """They print alike."""
    gloss = catalogue().stock("gloss")
    twin = dataclasses.replace(gloss, name="the same sheet")
    counting = CountingEngine()
    found = compare(counting, request(patches(), room("spot"), "gloss"), (gloss, twin))
    assert order(found) == ["gloss", "the same sheet"]
    assert found.ranked[1].standing is Standing.TIED
    assert counting.baked == ["gloss"]


def test_a_picture_of_nothing_but_transparency_is_refused() -> None:
    """There is nothing to be printed, and the error says what to do."""
    clear = photograph_from_array(
        np.full((40, 40, 3), 128, np.uint8), alpha=np.zeros((40, 40), np.uint8)
    )
    with pytest.raises(PhotographError, match="nothing in this picture but transparency"):
        compare(engine(), request(clear, room("spot")), ())


def test_the_order_does_not_depend_on_which_stock_is_in_the_sentence() -> None:
    """Colours are eased in for each stock as its own gamut asks, not as the chosen one's does."""
    stocks = some("canvas", "gloss")
    scores = []
    for chosen in stocks:
        asked = request(patches(), room("lit room"), chosen.name)
        ease = ColourEase(asked.photograph.encoding, chosen, asked.rendering, 1.0)
        own = Correction(asked.photograph.encoding, ease=ease)
        ranked = compare(engine(), dataclasses.replace(asked, correction=own), stocks).ranked
        scores.append({result.stock.name: result.score for result in ranked})
    assert scores[0] == pytest.approx(scores[1])
    plain = compare(engine(), request(patches(), room("lit room")), stocks).ranked
    assert scores[0] != pytest.approx({result.stock.name: result.score for result in plain})
