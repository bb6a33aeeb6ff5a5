"""The least lift that a print needs, on demonstration pictures and made ones."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np
import pytest

from app.state import Setting, build_request
from proofing.catalogue import Catalogue
from proofing.engine import NODES_MOVING, Engine
from proofing.errors import Cancelled
from proofing.findings.advice import Action
from proofing.findings.kinds import Kind
from proofing.ordering.correcting import (
    ENOUGH,
    HELD,
    LIFT_STEP_STOPS,
    WORTH,
    ease_needed_for,
    lift_needed_for,
)
from proofing.photograph import Photograph, photograph_from_array, read_photograph
from proofing.photograph.icc import IccProfile, XYZ_to_device
from proofing.printing import ColourEase, correction_for, shadow_lift
from proofing.printing.space import ucs_to_XYZ
from proofing.proof import Prover, prove
from proofing.request import ProofRequest
from tests import kept

DEMO = Path(__file__).parents[2] / "demo"
DARK = ("net_loft.jpg", "harbour_at_six.tif", "last_light.jpg")


@pytest.fixture(scope="module")
def engine() -> Engine:
    return kept.engine()


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return Catalogue.load()


def asked_for(catalogue: Catalogue, name: str, stock: str, lux: float = 100.0) -> ProofRequest:
    photograph = read_photograph(DEMO / name)
    return build_request(Setting(stock=stock, illuminance=lux), catalogue, photograph)


@pytest.fixture
def coarse(monkeypatch: pytest.MonkeyPatch) -> None:
    """Half the nodes a side: what is compared is counted with one table and the other alike."""
    for module in ("ordering.correcting", "proof.proving"):
        monkeypatch.setattr(f"proofing.{module}.NODES_RESTING", NODES_MOVING)


@pytest.mark.parametrize("stock", ["smooth matte", "canvas"])
@pytest.mark.parametrize("name", DARK)
def test_dark_pictures_lose_less_on_matte_and_canvas(
    engine: Engine, catalogue: Catalogue, name: str, stock: str, request: pytest.FixtureRequest
) -> None:
    """The blocked share falls in the whole picture's own proof, not only in the count that chose
    the lift; nothing is clipped by it, and less of a lift would not do."""
    if name != DARK[0]:  # one of them with all nodes
        request.getfixturevalue("coarse")
    asked = asked_for(catalogue, name, stock)
    needed = lift_needed_for(engine, asked)
    assert needed.stops > 0.0
    assert needed.is_enough
    assert (needed.stops > LIFT_STEP_STOPS) >= ((name, stock) == ("net_loft.jpg", "canvas"))
    plain = Prover(engine, asked).scan()
    lifted = Prover(
        engine,
        dataclasses.replace(asked, correction=shadow_lift(asked.photograph.encoding, needed.stops)),
    ).scan()
    assert lifted.share(Kind.BLOCKED_SHADOWS) <= 0.3 * plain.share(Kind.BLOCKED_SHADOWS)
    assert lifted.share(Kind.CLIPPED_IN_FILE) == plain.share(Kind.CLIPPED_IN_FILE)
    assert lifted.share(Kind.BLOWN_HIGHLIGHTS) <= plain.share(Kind.BLOWN_HIGHLIGHTS) + 1e-4
    if (name, stock) == ("net_loft.jpg", "canvas"):
        less = shadow_lift(asked.photograph.encoding, needed.stops - LIFT_STEP_STOPS)
        part = Prover(engine, dataclasses.replace(asked, correction=less)).scan()
        limit = max(HELD * plain.share(Kind.BLOCKED_SHADOWS), ENOUGH)
        assert part.share(Kind.BLOCKED_SHADOWS) > 0.5 * limit


def test_too_little_to_lift_for_is_said_to_be_so(engine: Engine, catalogue: Catalogue) -> None:
    """The harbour on smooth matte under a brighter lamp: a little is blocked, less than a finding;
    it is not said that all shows."""
    needed = lift_needed_for(
        engine, asked_for(catalogue, "harbour_at_six.tif", "smooth matte", 150.0)
    )
    assert needed.stops == 0.0
    assert 0.0 < needed.before <= WORTH
    assert "too little is blocked to lift for, under 0.1 % of the picture" in needed.sentence


def test_a_picture_without_dark_detail_is_left_alone(engine: Engine, catalogue: Catalogue) -> None:
    needed = lift_needed_for(engine, asked_for(catalogue, "fog_slack_water.jpg", "smooth matte"))
    assert needed.stops == 0.0
    assert "no lift" in needed.sentence


def test_a_dim_room_needs_more(coarse: None, engine: Engine, catalogue: Catalogue) -> None:
    """The eye tells fewer dark tones apart where there is little light (DICOM PS3.14)."""
    stops = [
        lift_needed_for(engine, asked_for(catalogue, "net_loft.jpg", "canvas", lux)).stops
        for lux in (1000.0, 150.0, 30.0)
    ]
    assert stops == sorted(stops)
    assert stops[0] < stops[-1]


def test_where_no_lift_is_enough_it_is_said(
    coarse: None, engine: Engine, catalogue: Catalogue
) -> None:
    needed = lift_needed_for(engine, asked_for(catalogue, "net_loft.jpg", "canvas", 4.0))
    assert not needed.is_enough
    assert needed.after < needed.before
    assert "not enough" in needed.sentence


def test_it_can_be_called_off(engine: Engine, catalogue: Catalogue) -> None:
    with pytest.raises(Cancelled):
        lift_needed_for(engine, asked_for(catalogue, "net_loft.jpg", "canvas"), lambda: True)


def test_the_table_and_the_chain_without_it_agree_on_a_corrected_print(
    engine: Engine, catalogue: Catalogue
) -> None:
    """Pixels through the table against float64 for each code; half of a screen code of 255."""
    asked = asked_for(catalogue, "net_loft.jpg", "canvas")
    asked = dataclasses.replace(asked, correction=shadow_lift(asked.photograph.encoding, 1.0))
    codes = np.random.default_rng(3).integers(0, 256, (64, 64, 3)).astype(np.uint8)
    shown = engine.bake(asked, 65).print_view(codes)[..., 2::-1].reshape(-1, 3) / 255.0
    exact = engine.colour_function(asked)(codes.reshape(-1, 3) / 255.0)[:, :3]
    assert np.abs(shown - exact).mean() * 255.0 < 0.5


def test_a_correction_is_the_corrected_file_printed(engine: Engine, catalogue: Catalogue) -> None:
    """The same as printing codes that an editor has changed."""
    asked = asked_for(catalogue, "net_loft.jpg", "canvas")
    correction = shadow_lift(asked.photograph.encoding, 0.75)
    codes = np.random.default_rng(4).uniform(0.0, 1.0, (200, 3))
    corrected = dataclasses.replace(asked, correction=correction)
    ours = engine.print_Lab(corrected, codes)
    edited = engine.print_Lab(asked, correction.apply(codes))
    assert np.allclose(ours, edited)
    probe = engine.probe(corrected, np.rint(codes[0] * 255).astype(np.uint8))
    plain = engine.probe(asked, np.rint(codes[0] * 255).astype(np.uint8))
    assert np.array_equal(probe.source_Lab, plain.source_Lab)


def magentas() -> Photograph:
    """Cloth of ROMM RGB that differs by its saturation alone, beyond any stock (ISO 22028-2)."""
    y, x = np.mgrid[0:300, 0:400]
    M = 46.0 + 10.0 * np.sin(x / 9.0) * np.sin(y / 8.0)
    turn = np.radians(330.0)
    ucs = np.stack([np.full_like(M, 50.0), M * np.cos(turn), M * np.sin(turn)], -1)
    romm = IccProfile.from_file(Path(__file__).parents[1] / "reference" / "icc" / "ROMM_RGB.icc")
    codes = XYZ_to_device(romm, ucs_to_XYZ(ucs.reshape(-1, 3)), "relative")
    return photograph_from_array((codes.reshape(300, 400, 3) * 65535).astype(np.uint16), romm)


@pytest.mark.parametrize("stock", ["smooth matte", "canvas"])
def test_flattened_colours_get_their_modelling_back(
    engine: Engine, catalogue: Catalogue, stock: str
) -> None:
    """Told against the file, not against what was eased in: the print's own range grows. The advice
    says the same, and following it brings what it says."""
    asked = build_request(Setting(stock=stock), catalogue, magentas())
    needed = ease_needed_for(engine, asked)
    assert needed.before > 0.5
    assert needed.is_enough
    assert "eased in by" in needed.sentence
    encoding = asked.photograph.encoding
    ease = ColourEase(encoding, asked.stock, asked.rendering, needed.percent / 100.0)
    eased = Prover(
        engine, dataclasses.replace(asked, correction=correction_for(encoding, ease=ease))
    ).scan()
    assert eased.share(Kind.FLATTENED_COLOUR) <= 0.1 * needed.before
    assert eased.share(Kind.OUT_OF_GAMUT) > 0.7  # what the stock cannot hold it still cannot
    proof = prove(engine, asked, stocks=(), glazings=())
    flat = next(f for f in proof.findings if f.kind is Kind.FLATTENED_COLOUR)
    advice = next(a for a in flat.advice if a.action is Action.EASE)
    assert advice.setting == ("colour_ease", advice.amount)
    assert advice.share is not None and advice.share < 0.6 * needed.before


def test_where_nothing_is_flattened_nothing_is_eased(engine: Engine, catalogue: Catalogue) -> None:
    """The nearest colour of the stock keeps petals apart by lightness; easing would dull them."""
    asked = asked_for(catalogue, "dahlias_thursday.tif", "smooth matte")
    needed = ease_needed_for(engine, asked)
    assert (needed.percent, needed.before) == (0.0, pytest.approx(0.0, abs=ENOUGH))
    assert "need no easing" in needed.sentence
    grey = build_request(Setting(), catalogue, read_photograph(DEMO / "quay_stairs.jpg"))
    assert ease_needed_for(engine, grey).percent == 0.0


def test_where_easing_does_not_help_it_is_said(engine: Engine, catalogue: Catalogue) -> None:
    """Without compensation dark petals lie below the black of canvas: no ease helps."""
    photograph = read_photograph(DEMO / "dahlias_thursday.tif")
    setting = Setting(stock="canvas", black_point_compensation=False)
    needed = ease_needed_for(engine, build_request(setting, catalogue, photograph))
    assert needed.before > 0.02
    assert needed.percent == 0.0
    assert "does not help" in needed.sentence
