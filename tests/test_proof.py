"""The proof: findings at their places, advice that holds when it is followed, and the verdict."""

from __future__ import annotations

import dataclasses
import functools
import tempfile
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms

from proofing.catalogue import Catalogue
from proofing.colorimetry import XYZ_to_Lab, delta_E_00
from proofing.engine import Engine
from proofing.errors import Cancelled
from proofing.findings.advice import Action
from proofing.findings.finding import Finding, KindShare
from proofing.findings.kinds import Kind
from proofing.findings.stage import Stage
from proofing.photograph import Photograph, photograph_from_array, read_photograph
from proofing.photograph.icc import IccProfile, srgb_profile
from proofing.printing import Intent
from proofing.proof import MOST_FINDINGS, Proof, Prover, glance, prove, verdict
from proofing.proof.elsewhere import _Count, _Place
from proofing.request import ProofRequest
from proofing.screen import Screen
from proofing.viewing import Room, glazings
from tests import kept
from tests.reference.cgats import ICC_FOLDER

Float = npt.NDArray[np.float64]
DEMO = Path(__file__).parents[1] / "demo"
PRESS = ICC_FOLDER / "FOGRA39L_coated.icc"


@functools.cache
def catalogue() -> Catalogue:
    return Catalogue.load(Path("/nonexistent"))


@functools.cache
def engine() -> Engine:
    return kept.engine()


def request(
    photograph: Photograph | npt.NDArray[Any],
    stock: str = "smooth matte",
    lux: float = 500.0,
    glazing: str = "no glass",
    k: float = 0.0,
    **kw: Any,
) -> ProofRequest:
    if not isinstance(photograph, Photograph):
        photograph = photograph_from_array(photograph)
    room = Room(catalogue().light("D50"), lux, catalogue().glazing(glazing), k)
    return ProofRequest(photograph, catalogue().stock(stock), room, Screen(), **kw)


def looked(wanted: ProofRequest) -> Proof:
    return Prover(engine(), wanted).scan()


def blocked(wanted: ProofRequest) -> float:
    return looked(wanted).share(Kind.BLOCKED_SHADOWS)


def srgb(Y: Float) -> Float:
    """IEC 61966-2-1."""
    Y = np.clip(Y, 0.0, 1.0)
    return np.where(Y <= 0.0031308, 12.92 * Y, 1.055 * Y ** (1 / 2.4) - 0.055)


def coat(seed: int = 0, stops: float = 0.0) -> npt.NDArray[np.uint16]:
    """A dark coat with a weave on a middle grey, (480, 640, 3); `stops` lift all of it."""
    y, x = np.mgrid[0:480, 0:640]
    Y = np.full((480, 640), 0.18)
    weave = 0.002 * (1.0 + 0.6 * np.sin(x / 1.7 + seed) * np.sin(y / 1.9))
    inside = (abs(y - 260) < 150) & (abs(x - 220) < 130)
    Y[inside] = weave[inside] * 2.0**stops
    return np.repeat((srgb(Y) * 65535).astype(np.uint16)[..., None], 3, axis=2)


# ---- findings -------------------------------------------------------------------------------


def test_the_coat_is_found_where_it_is() -> None:
    """On canvas in a dim room the weave is one finding; its box and outline are the coat's, give or
    take two cells, and its words are plain."""
    proof = looked(request(coat(), "canvas", 30.0, distance_m=0.4))
    found = [f for f in proof.findings if f.kind is Kind.BLOCKED_SHADOWS]
    assert len(found) == 1
    x, y, width, height = found[0].region.box
    assert np.abs(np.array([x, y, x + width, y + height]) - [90, 110, 350, 410]).max() <= 16
    assert found[0].region.share == pytest.approx(260 * 300 / (480 * 640), rel=0.1)
    assert found[0].reason == "fine"
    assert found[0].numbers["file"] >= 2.0 > 1.0 > found[0].numbers["print"]
    assert "Fine detail in the shadows is lost, in the middle" in found[0].sentence
    assert proof.share(Kind.BLOCKED_SHADOWS) == pytest.approx(found[0].region.share, rel=0.05)


def test_what_the_file_had_lost_is_not_blamed_on_the_paper() -> None:
    """Half clipped white, half clipped black: clipping of its own, by channel, and nothing else."""
    codes = np.zeros((300, 400, 3), np.uint8)
    codes[:, :200] = 255
    codes[100:150, 250:380] = (255, 90, 60)
    proof = looked(request(codes, "canvas", 30.0))
    assert proof.share(Kind.BLOCKED_SHADOWS) == proof.share(Kind.BLOWN_HIGHLIGHTS) == 0.0
    assert proof.share(Kind.CLIPPED_IN_FILE) == 1.0
    reasons = {f.reason for f in proof.findings if f.kind is Kind.CLIPPED_IN_FILE}
    assert "black ran out, no shadow is left below it" in reasons
    assert "all channels are at their top, it is white without tone" in reasons
    red = np.full((300, 400, 3), 120, np.uint8)
    red[80:200, 100:300, 0] = 255
    found = [f for f in looked(request(red)).findings if f.kind is Kind.CLIPPED_IN_FILE]
    assert [f.reason for f in found] == ["the red channel is at the top"]


def test_wide_areas_without_ink_show_as_bare_paper() -> None:
    """Near-white that is not clipped, several degrees wide, prints without ink."""
    codes = np.full((600, 800, 3), 120, np.uint8)
    codes[50:350, 100:600] = 254
    found = [f for f in looked(request(codes)).findings if f.kind is Kind.BLOWN_HIGHLIGHTS]
    assert [f.reason for f in found] == ["bare"]
    assert found[0].region.box == pytest.approx((100, 50, 500, 300), abs=16)


@pytest.mark.parametrize("turns", range(4))
@pytest.mark.parametrize("px_per_code", [12, 22, 45])
def test_banding_is_a_risk_of_smooth_gradients_in_eight_bits(turns: int, px_per_code: int) -> None:
    """A sky of one code in so many pixels is one, whichever way it runs; the same in 16 bits, or
    with grain of one code, is none."""
    codes = np.linspace(60, 60 + 900 / px_per_code, 900)
    y = np.rot90(np.repeat(codes[:, None], 900, axis=1), turns)[..., None] + np.zeros(3)
    eight = looked(request(np.rint(y).astype(np.uint8)))
    assert eight.share(Kind.BANDING_RISK) > 0.8
    if turns == 0:
        sixteen = looked(request((y * 257).astype(np.uint16)))
        assert sixteen.share(Kind.BANDING_RISK) == 0.0
        grain = np.rint(y + np.random.default_rng(0).normal(0, 1, y.shape)).astype(np.uint8)
        assert looked(request(grain)).share(Kind.BANDING_RISK) < 0.01


def test_greys_are_not_called_colours() -> None:
    """Without compensation a grey ramp blocks; no saturated colour loses anything, whatever the
    paper's tint, and what neutrals lose is told as neutrals."""
    ramp = np.repeat(np.linspace(0, 255, 900)[None], 600, axis=0)[..., None] + np.zeros(3)
    for kw in ({"black_point_compensation": False}, {"intent": Intent.ABSOLUTE}):
        proof = looked(request(np.rint(ramp).astype(np.uint8), "canvas", **kw))
        assert proof.share(Kind.FLATTENED_COLOUR) == 0.0
        assert "strong colours" not in proof.verdict
        for finding in proof.findings:
            if finding.kind is Kind.OUT_OF_GAMUT:
                assert "neutrals" in finding.reason or "greys" in finding.reason


def test_colours_are_named_by_what_is_out_of_gamut_and_seen() -> None:
    """A green band on grey in a picture whose height is no multiple of a cell; and opaque green
    beside transparent blue: greens, in either, less colourful by a positive amount."""
    band = np.full((250, 321, 3), 120, np.uint8)
    band[:, 200:240] = (0, 240, 30)
    both = np.zeros((240, 320, 3), np.uint8)
    both[:, :160] = (0, 240, 30)
    both[:, 160:] = (0, 0, 255)
    alpha = np.zeros((240, 320), np.uint8)
    alpha[:, :160] = 255
    for photograph in (
        photograph_from_array(band), photograph_from_array(both, alpha=alpha)
    ):  # fmt: skip
        finding = next(
            f for f in looked(request(photograph, "canvas")).findings
            if f.kind is Kind.OUT_OF_GAMUT
        )  # fmt: skip
        assert finding.reason in ("greens", "yellow greens")
        assert "less colourful" in finding.sentence
        assert finding.numbers["miss"] > 3.0


def test_a_white_ground_is_bare_paper_and_no_lost_detail() -> None:
    """A thing on a ground of 254: the ground is a finding, and the verdict does not count it."""
    codes = np.full((600, 800, 3), 254, np.uint8)
    codes[250:350, 350:450] = 90
    proof = looked(request(codes))
    assert [f.reason for f in proof.findings if f.kind is Kind.BLOWN_HIGHLIGHTS] == ["bare"]
    assert proof.verdict == "This stock in this room holds the picture."


def test_a_room_too_dark_or_too_bright_to_judge_in_is_said() -> None:
    """Paper at 0.03 cd/m2, and glass that mirrors a room ten times as bright as the print."""
    photograph = photograph_from_array(coat())
    assert "too dark" in looked(request(photograph, lux=0.1)).verdict
    assert (
        "Reflections"
        in looked(request(photograph, lux=100.0, glazing="float glass", k=10.0)).verdict
    )


def test_the_rendering_is_named_where_it_is_the_cause() -> None:
    """What blocks for want of black point compensation, compensation opens; a scan agrees."""
    wanted = request(coat(), "canvas", 500.0, distance_m=0.4, black_point_compensation=False)
    _, finding = advised(wanted, Kind.BLOCKED_SHADOWS)
    first = finding.advice[0]
    assert first.action is Action.INTENT
    assert first.setting == ("black_point_compensation", True)
    after = looked(dataclasses.replace(wanted, black_point_compensation=True))
    assert after.share(Kind.BLOCKED_SHADOWS) == pytest.approx(first.share, abs=0.01)


def test_few_findings_and_the_rest_summed_up() -> None:
    """A picture full of specks gives a handful; nothing is left out of the shares."""
    rng = np.random.default_rng(3)
    codes = np.full((800, 1000, 3), 110, np.uint8)
    codes[rng.random((800, 1000)) < 0.05] = (0, 0, 250)
    for _ in range(30):
        y, x = rng.integers(0, 700), rng.integers(0, 900)
        codes[y : y + 60, x : x + 60] = (0, 250, 20)
    proof = looked(request(codes, "canvas"))
    assert 1 <= len(proof.shown(Kind)) <= MOST_FINDINGS
    assert all(f.kind is Kind.OUT_OF_GAMUT for f in proof.shown({Kind.OUT_OF_GAMUT}))
    shown = sum(f.region.share for f in proof.findings if f.kind is Kind.OUT_OF_GAMUT)
    mark = next(m for m in proof.marks if m.kind is Kind.OUT_OF_GAMUT)
    assert shown + mark.rest_share == pytest.approx(mark.share)


@pytest.mark.parametrize("shape", [(1, 1), (1, 400), (400, 1), (7, 5), (40, 3000)])
def test_pictures_of_any_shape_can_be_proved(shape: tuple[int, int]) -> None:
    """From one pixel to a strip, with and without transparency."""
    codes = np.random.default_rng(1).integers(0, 256, (*shape, 3), dtype=np.uint8)
    alpha = np.zeros(shape, np.uint8)
    for cover in (None, alpha):
        proof = prove(engine(), request(photograph_from_array(codes, alpha=cover)))
        assert all(0.0 <= mark.share <= 1.0 for mark in proof.marks)
        if cover is not None:
            assert not proof.findings


def test_the_glance_tells_what_to_expect() -> None:
    """A provisional proof of a large picture points at the same colours and clipped places, and
    says nothing yet of detail, which a smaller picture does not have."""
    codes = coat().repeat(3, axis=0).repeat(3, axis=1)
    codes[900:1300, 1300:1800] = (0, 60000, 9000)
    codes[100:400, 1300:1800, 0] = 65535
    wanted = request(codes, "canvas", 30.0, distance_m=0.9)
    quick, whole = glance(engine(), wanted), looked(wanted)
    assert quick.stage is Stage.PROVISIONAL
    for kind in (Kind.OUT_OF_GAMUT, Kind.CLIPPED_IN_FILE):
        boxes = [
            next(f for f in proof.findings if f.kind is kind).region.box for proof in (quick, whole)
        ]
        assert np.abs(np.subtract(*boxes)).max() < 60
        assert quick.share(kind) == pytest.approx(whole.share(kind), rel=0.1)
    assert whole.share(Kind.BLOCKED_SHADOWS) > 0.1
    assert Kind.BLOCKED_SHADOWS in quick.pending
    assert not [f for f in quick.findings if f.kind in quick.pending]
    assert quick.verdict.endswith("detail is still being looked at.")
    assert not whole.pending


# ---- ladders --------------------------------------------------------------------------------


@settings(deadline=None, max_examples=3)
@given(seed=st.integers(0, 10_000))
def test_random_shadows_climb_the_ladder(seed: int) -> None:
    """Blocked share of random dark greys never rises from canvas to matte to lustre to baryta, nor
    from 50 to 2000 lx, nor when float glass in a bright room is taken away (common practice)."""
    rng = np.random.default_rng(seed)
    small = rng.uniform(0, 1, (40, 60)) ** 3
    wide = np.asarray(Image.fromarray(small.astype(np.float32)).resize((480, 320)))
    y, x = np.mgrid[0:320, 0:480]
    period, turn, strength = rng.uniform(8, 14), rng.uniform(0, np.pi), rng.uniform(0.3, 0.5)
    wave = np.sin(2 * np.pi / period * (x * np.cos(turn) + y * np.sin(turn)))
    Y = (0.003 * wide + 0.001) * (1 + strength * wave)
    codes = np.repeat((srgb(Y) * 65535).astype(np.uint16)[..., None], 3, axis=2)
    photograph = photograph_from_array(codes)
    here = functools.partial(request, photograph, distance_m=0.4)
    stocks = [blocked(here(s, 30.0)) for s in ("canvas", "smooth matte", "lustre", "baryta")]
    assert (np.diff(stocks) <= 0).all()
    assert stocks[0] > 0.1
    lights = [blocked(here("canvas", lux)) for lux in (30.0, 200.0, 2000.0)]
    assert (np.diff(lights) <= 0).all()
    open_wall, glazed = (
        blocked(here("smooth matte", 100.0, glass, 1.0)) for glass in ("no glass", "float glass")
    )
    assert open_wall <= glazed
    assert glazed > 0.1


def test_a_hallway_loses_what_a_booth_shows_and_glass_takes_more() -> None:
    """Common practice, on the coat: more is lost at 50 lx than at 2000; behind float glass in a
    bright room more than without."""
    photograph = photograph_from_array(coat())
    here = functools.partial(request, photograph, "canvas", distance_m=0.4)
    assert blocked(here(30.0)) > 0.1 > blocked(here(2000.0))
    assert blocked(here(400.0, "float glass", 1.0)) > 0.1 > blocked(here(400.0, "no glass", 1.0))


# ---- advice ---------------------------------------------------------------------------------


def advised(wanted: ProofRequest, kind: Kind) -> tuple[Proof, Finding]:
    proof = prove(engine(), wanted, stocks=catalogue().stocks, glazings=glazings())
    assert proof.is_complete
    return proof, next(f for f in proof.findings if f.kind is kind)


def left(finding: Finding, after: Proof) -> float:
    """Share of a finding's cells that is still lost."""
    cells = finding.region.cells
    return float((after.maps[finding.kind][cells] > 0.25).mean())


def test_the_light_that_is_advised_is_enough_and_needed() -> None:
    """Printed and scanned anew at the advised illuminance most of the place shows; at two thirds of
    it, it does not."""
    wanted = request(coat(), "canvas", 30.0, distance_m=0.4)
    _, finding = advised(wanted, Kind.BLOCKED_SHADOWS)
    light = next(a for a in finding.advice if a.action is Action.LIGHT)
    assert light.amount is not None
    assert light.setting == ("illuminance_lux", light.amount)

    def at(lux: float) -> float:
        room = dataclasses.replace(wanted.room, illuminance_lux=lux)
        return left(finding, looked(dataclasses.replace(wanted, room=room)))

    assert at(light.amount) < 0.35
    assert at(light.amount / 1.5) > 0.65


def test_the_lift_that_is_advised_is_enough() -> None:
    """The file's shadows lifted by so many stops, and scanned anew: most of the place shows."""
    wanted = request(coat(), "canvas", 30.0, distance_m=0.4)
    _, finding = advised(wanted, Kind.BLOCKED_SHADOWS)
    lift = next(a for a in finding.advice if a.action is Action.LIFT)
    assert lift.amount is not None
    assert f"{lift.amount:g} stop" in lift.sentence
    lifted = dataclasses.replace(wanted, photograph=photograph_from_array(coat(stops=lift.amount)))
    assert left(finding, looked(lifted)) < 0.35
    less = photograph_from_array(coat(stops=lift.amount - 0.5))
    assert left(finding, looked(dataclasses.replace(wanted, photograph=less))) > 0.65


def test_another_stock_is_counted_not_guessed() -> None:
    """The share that is promised on the other stock is that of a scan there, within half a per
    cent of the picture."""
    photograph = read_photograph(DEMO / "harbour_at_six.tif")
    wanted = request(photograph, "canvas", 50.0)
    proof, finding = advised(wanted, Kind.BLOCKED_SHADOWS)
    stock = next(a for a in finding.advice if a.action is Action.STOCK)
    assert stock.setting is not None
    assert stock.share is not None
    there = dataclasses.replace(wanted, stock=catalogue().stock(str(stock.setting[1])))
    assert blocked(there) == pytest.approx(stock.share, abs=0.005)
    assert stock.share < 0.7 * proof.share(Kind.BLOCKED_SHADOWS)


def test_another_pane_is_worked_out() -> None:
    """Behind float glass in a bright room, taking it away is advised, and a scan agrees."""
    wanted = request(coat(), "canvas", 400.0, "float glass", 1.0, distance_m=0.4)
    _, finding = advised(wanted, Kind.BLOCKED_SHADOWS)
    pane = next(a for a in finding.advice if a.action is Action.GLAZING)
    assert pane.setting is not None
    better = catalogue().glazing(str(pane.setting[1]))
    room = dataclasses.replace(wanted.room, glazing=better)
    assert left(finding, looked(dataclasses.replace(wanted, room=room))) < 0.5


def test_less_saturation_brings_colours_in() -> None:
    """With the advised share of saturation gone, the colours are in the stock's gamut."""
    from proofing.colorimetry import Lab_to_XYZ

    codes = np.full((300, 400, 3), 120, np.uint8)
    codes[60:240, 80:320] = (30, 60, 225)
    wanted = request(codes, "smooth matte")
    _, finding = advised(wanted, Kind.OUT_OF_GAMUT)
    assert "lues print" in finding.sentence
    duller = next(a for a in finding.advice if a.action is Action.SATURATION)
    assert duller.amount is not None
    XYZ = wanted.photograph.encoding.to_XYZ(np.array([[30, 60, 225]]) / 255.0)
    kept = XYZ_to_Lab(XYZ) * [1.0, 1.0 - duller.amount, 1.0 - duller.amount]
    assert engine().map_colours(wanted, Lab_to_XYZ(kept)).miss.max() <= 3.0


def test_nothing_mirrored_is_advised_where_no_other_pane_helps() -> None:
    """With no other pane to choose, the print is to hang where nothing bright is mirrored in it; a
    scan without reflections agrees."""
    wanted = request(coat(), "canvas", 400.0, "float glass", 1.0, distance_m=0.4)
    proof = prove(engine(), wanted, stocks=(), glazings=())
    finding = next(f for f in proof.findings if f.kind is Kind.BLOCKED_SHADOWS)
    calm = next(a for a in finding.advice if a.action is Action.GLAZING)
    assert calm.setting == ("reflection_ratio", 0.0)
    room = dataclasses.replace(wanted.room, reflection_ratio=0.0)
    assert left(finding, looked(dataclasses.replace(wanted, room=room))) < 0.5


def test_a_wider_screen_is_tried_before_it_is_named() -> None:
    """Adobe RGB (1998) green on gloss: beyond an sRGB screen; on a screen of Adobe RGB (1998) the
    same place is hardly beyond, as the advice says."""
    from proofing.photograph.icc import adobe_rgb_profile

    codes = np.full((200, 300, 3), 120, np.uint8)
    codes[50:150, 80:220] = (30, 190, 90)
    wanted = request(photograph_from_array(codes, adobe_rgb_profile()), "gloss", 200.0)
    _, finding = advised(wanted, Kind.BEYOND_SCREEN)
    (advice,) = finding.advice
    wide = dataclasses.replace(wanted, screen=Screen(profile=adobe_rgb_profile()))
    there = looked(wide).share(Kind.BEYOND_SCREEN)
    assert advice.share == pytest.approx(there / finding.region.share, abs=0.1)


def test_no_light_is_said_where_none_helps() -> None:
    """Without compensation everything below the stock's black is the same black in any light."""
    wanted = request(coat(), "canvas", 50.0, distance_m=0.4, black_point_compensation=False)
    _, finding = advised(wanted, Kind.BLOCKED_SHADOWS)
    (light,) = (a for a in finding.advice if a.action is Action.LIGHT)
    assert light.setting is None
    assert light.sentence.startswith("More light than a print should hang in")
    assert finding.advice[-1] is light  # after what would help


def test_steps_can_be_called_off_and_begun_again() -> None:
    """What was computed before is kept, and the result is the same."""
    wanted = request(coat(), "canvas", 30.0, distance_m=0.4)
    prover = Prover(engine(), wanted, catalogue().stocks, glazings())
    prover.scan()
    with pytest.raises(Cancelled):
        prover.advise(cancel=lambda: True)
    sentences = [a.sentence for f in prover.advise().findings for a in f.advice]
    whole = prove(engine(), wanted, stocks=catalogue().stocks, glazings=glazings())
    assert sentences == [a.sentence for f in whole.findings for a in f.advice]


# ---- gamut, against another library ----------------------------------------------------------


def test_out_of_gamut_against_littlecms_own_check() -> None:
    """LittleCMS marks a colour whose way to the press and back errs by more than 5 dE*ab (cmsgmt.c,
    from memory). By that measure 96 in 100 of 6000 sRGB colours are called alike, its 8-bit grid
    being coarser. Our mark, dE00 above 3, marks fewer: nearly all that only LittleCMS marks are
    strong colours, whose dE*ab is over 5 while dE00, made to even them out, is under 3."""
    rng = np.random.default_rng(0)
    codes = rng.integers(0, 256, (60, 100, 3), dtype=np.uint8)
    flags = ImageCms.Flags.SOFTPROOFING | ImageCms.Flags.GAMUTCHECK
    transform = ImageCms.buildProofTransform(
        ImageCms.createProfile("sRGB"), ImageCms.createProfile("sRGB"), str(PRESS), "RGB", "RGB",
        ImageCms.Intent.RELATIVE_COLORIMETRIC, ImageCms.Intent.RELATIVE_COLORIMETRIC, flags,
    )  # fmt: skip
    alarm = np.asarray(ImageCms.applyTransform(Image.fromarray(codes), transform))
    theirs = (alarm == 127).all(axis=2).ravel()
    wanted = request(codes, str(PRESS), black_point_compensation=False)
    XYZ = photograph_from_array(codes, srgb_profile()).encoding.to_XYZ(codes.reshape(-1, 3) / 255.0)
    mapped = engine().map_colours(wanted, XYZ)
    scale = wanted.stock.to_media_relative
    Lab = [XYZ_to_Lab(v * scale) for v in (mapped.wanted, mapped.printed)]
    dE_ab = np.linalg.norm(Lab[0] - Lab[1], axis=1)
    assert ((dE_ab > 5.0) == theirs).mean() > 0.96
    only_theirs = theirs & (mapped.miss <= 3.0)
    only_ours = ~theirs & (mapped.miss > 3.0)
    print(f"only LittleCMS {only_theirs.mean():.3f}, only ours {only_ours.mean():.3f}")
    chroma = np.hypot(Lab[0][:, 1], Lab[0][:, 2])
    assert (dE_ab[only_theirs] > 4.0).mean() > 0.9
    assert np.median(chroma[only_theirs]) > 50
    assert only_ours.mean() < 0.03


# ---- verdict --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("shares", "words"),
    [
        ({}, "This stock in this room holds the picture."),
        ({Kind.OUT_OF_GAMUT: 0.2}, "but 20 % of the picture prints in slightly different colours"),
        ({Kind.CLIPPED_IN_FILE: 0.02}, "This stock in this room holds the picture."),
        (
            {Kind.CLIPPED_IN_FILE: 0.4},
            "holds the picture. 40 % of the picture is clipped in the file already.",
        ),
        ({Kind.BLOCKED_SHADOWS: 0.0009}, "This stock in this room holds the picture."),
        ({Kind.BLOCKED_SHADOWS: 0.002}, "A little is lost: 0.2 % of the picture, mostly shadow"),
        (
            {Kind.BLOCKED_SHADOWS: 0.2, Kind.OUT_OF_GAMUT: 0.1},
            "and there. 10 % of the picture prints",
        ),
        ({Kind.BLOCKED_SHADOWS: 0.02}, "A little is lost: 2.0 % of the picture, mostly shadow"),
        ({Kind.FLATTENED_COLOUR: 0.07, Kind.BLOCKED_SHADOWS: 0.01}, "mostly modelling in strong"),
        ({Kind.BLOWN_HIGHLIGHTS: 0.3}, "Much is lost: 30 % of the picture, mostly highlight"),
    ],
)
def test_the_verdict_follows_its_rules(shares: dict[Kind, float], words: str) -> None:
    """The paper's and the room's losses are added up; the file's and the screen's are not."""
    kinds = [KindShare(kind, 0, shares.get(kind, 0.0), 0, 0.0) for kind in Kind]
    assert words in verdict(kinds)


def test_reflections_that_take_half_the_contrast_are_told() -> None:
    """Fresnel's 4 % a face of float glass, twice, mirroring a room as bright as the print: paper to
    black of a matte print (Dmax 1.7, 50 to 1) falls below 10 to 1. Without reflections, and with a
    hundredth of them, nothing is said."""
    codes = np.full((64, 64, 3), 120, np.uint8)
    seen = looked(request(codes, lux=500.0, glazing="float glass", k=1.0))
    R = 2 * 0.04 / (1 + 0.04)  # both faces with all their inner reflections
    T_2 = (1 - R) ** 2
    paper, black = 0.91, 0.020
    expected = (T_2 * paper + R) / (T_2 * black + R)
    assert "reflections lift its blacks" in seen.verdict
    told = float(seen.verdict.split("paper to black is ")[1].split(" to 1")[0])
    assert told == pytest.approx(expected, rel=0.15)  # glass absorbs, and paper mirrors, a little
    for k in (0.0, 0.01):
        calm = looked(request(codes, lux=500.0, glazing="float glass", k=k))
        assert calm.verdict == "This stock in this room holds the picture."


@pytest.mark.parametrize(("lamp", "turns"), [("FL4", True), ("LED-B3", False), ("A", False)])
def test_a_lamp_that_turns_colours_is_told(lamp: str, turns: bool) -> None:
    """CIE 224:2017: Rf of FL4 is 57, that of LED-B3 85 and of A 100. Skin and a red cloth turn
    under the first alone; greys turn under none."""
    cloth = np.full((64, 96, 3), 120, np.uint8)
    cloth[:, :48] = (190, 40, 45)
    wanted = request(cloth, "gloss")
    there = dataclasses.replace(wanted.room, light=catalogue().light(lamp))
    proof = looked(dataclasses.replace(wanted, room=there))
    assert ("this lamp changes" in proof.verdict) is turns
    if turns:
        assert proof.lamp.share == pytest.approx(0.5, abs=0.03)
        assert "reds look less colourful" in proof.verdict
        assert "Rf is 57" in proof.verdict
    grey = dataclasses.replace(wanted, photograph=photograph_from_array(cloth[:, 48:]), room=there)
    assert "lamp" not in looked(grey).verdict


def test_numbers_within_a_finding_agree() -> None:
    """What another stock is compared with is what the finding says, to the digit."""
    photograph = read_photograph(DEMO / "three_for_the_procession.jpg")
    proof = prove(engine(), request(photograph), stocks=catalogue().stocks, glazings=())
    compared = 0
    for finding in proof.findings:
        for advice in finding.advice:
            if finding.kind is Kind.OUT_OF_GAMUT and advice.action is Action.STOCK:
                assert f"instead of {finding.numbers['miss']:.1f}." in advice.sentence
                compared += 1
    assert compared


def test_places_that_go_by_the_same_words_are_one() -> None:
    """Four coats in the lower left: one finding with four outlines, whose box holds all of them."""
    codes = np.full((900, 1200, 3), 118, np.uint8)
    y, x = np.mgrid[0:140, 0:140]
    weave = (srgb(0.002 * (1 + 0.6 * np.sin(x / 1.7) * np.sin(y / 1.9))) * 255).astype(np.uint8)
    corners = [(620, 20), (620, 220), (750, 20), (750, 220)]
    for top, left in corners:
        codes[top : top + 120, left : left + 140] = weave[:120, :, None]
    proof = looked(request(codes, "canvas", 20.0, distance_m=0.4))
    found = [f for f in proof.findings if f.kind is Kind.BLOCKED_SHADOWS]
    assert [f.region.where for f in found] == ["lower left"]
    assert len(found[0].region.outlines) >= 2
    assert found[0].region.box == pytest.approx((20, 620, 340, 250), abs=16)
    told = {(f.kind, f.reason, f.region.where) for f in proof.findings}
    assert len(told) == len(proof.findings)


def test_what_is_clipped_otherwise_is_a_place_of_its_own() -> None:
    """A black and a red that ran out side by side in the lower left: two findings."""
    codes = np.full((900, 1200, 3), 118, np.uint8)
    codes[700:850, 40:240] = 0
    codes[700:800, 280:380, 0] = 255
    found = [f for f in looked(request(codes)).findings if f.kind is Kind.CLIPPED_IN_FILE]
    assert {f.region.where for f in found} == {"lower left"}
    assert sorted(f.reason for f in found) == [
        "black ran out, no shadow is left below it", "the red channel is at the top"
    ]  # fmt: skip


def test_banding_advice_says_how_much_eight_bits_hold() -> None:
    """One code every 30 pixels: printed from a float gradient made so many times as steep about its
    middle, two codes are a DICOM step apart (PS3.14, by colour-science's coefficients in
    :mod:`proofing.findings.visibility`, tested there) at about the advised steepness."""
    from proofing.colorimetry import PCS_WHITE_XYZ
    from proofing.findings.visibility import steps

    codes = np.rint(np.linspace(60, 90, 900))
    y = np.repeat(codes[:, None], 900, axis=1)[..., None] + np.zeros(3)
    wanted = request(y.astype(np.uint8), lux=12.0)
    _, finding = advised(wanted, Kind.BANDING_RISK)
    (advice,) = finding.advice
    assert advice.amount is not None
    assert f"up to {advice.amount:g} times as strong" in advice.sentence

    def step(steeper: float) -> float:
        pair = (75.0 + steeper * np.array([-0.5, 0.5])) / 255.0
        Y = np.where(pair <= 0.04045, pair / 12.92, ((pair + 0.055) / 1.055) ** 2.4)
        L = engine().printed_luminance(wanted, Y[:, None] * PCS_WHITE_XYZ)
        return float(np.diff(steps(L))[0])

    assert step(advice.amount) <= 1.05
    assert step(advice.amount + 0.2) > 0.95


def test_a_screen_brighter_than_the_paper_stands_out() -> None:
    """A third of a stop is where it begins: 120 cd/m2 beside canvas at 50 lx is three stops off,
    at 424 lx none (Lambert)."""
    codes = np.full((64, 64, 3), 120, np.uint8)
    dim, even = looked(request(codes, "canvas", 50.0)), looked(request(codes, "canvas", 424.0))
    assert dim.screen_is_off
    assert dim.screen.stops == pytest.approx(3.1, abs=0.1)
    assert not even.screen_is_off


def test_every_advice_that_is_a_setting_keeps_its_promise() -> None:
    """Followed to the letter of its setting, and scanned anew, the share that is lost at its place
    is the one promised; from each way of rendering, on a described stock and a press profile."""
    photograph = read_photograph(DEMO / "net_loft.jpg")
    followed = 0
    plain, absolute, perceptual = (
        {"black_point_compensation": False},
        {"intent": Intent.ABSOLUTE, "black_point_compensation": False},
        {"intent": Intent.PERCEPTUAL},
    )
    for stock, ways in (("canvas", (plain,)), (str(PRESS), (absolute, perceptual))):
        for kw in ways:
            wanted, scanned = request(photograph, stock, 60.0, **kw), {}
            proof = prove(engine(), wanted, stocks=catalogue().stocks[:2], glazings=())
            for finding in proof.findings:
                for advice in finding.advice:
                    if advice.setting is None or advice.share is None:
                        continue
                    name, value = advice.setting
                    value = catalogue().stock(value) if name == "stock" else value
                    value = Intent(value) if name == "intent" else value
                    if advice.setting not in scanned:
                        followed_to = dataclasses.replace(wanted, **{name: value})
                        scanned[advice.setting] = looked(followed_to)
                    lost = scanned[advice.setting].maps[finding.kind]
                    there = float(lost[finding.region.cells].sum()) / lost.size
                    assert there == pytest.approx(advice.share, abs=0.002)
                    followed += advice.action is Action.INTENT
    assert followed >= 2


def test_an_intent_that_does_not_help_is_not_advised() -> None:
    """Magentas of ROMM RGB that differ by their saturation alone, all beyond canvas, print as one;
    that is found. The perceptual intent is advised if, and only if, a scan with it finds less than
    six tenths of it."""
    from proofing.printing.space import ucs_to_XYZ

    y, x = np.mgrid[0:400, 0:600]
    M = 46.0 + 10.0 * np.sin(x / 9.0) * np.sin(y / 8.0)
    turn = np.radians(330.0)
    ucs = np.stack([np.full_like(M, 50.0), M * np.cos(turn), M * np.sin(turn)], -1)
    # D50 XYZ to ROMM RGB, ISO 22028-2 (from memory)
    to_romm = np.linalg.inv(
        [[0.7976749, 0.1351917, 0.0313534], [0.2880402, 0.7118741, 0.0000857], [0, 0, 0.8252100]]
    )
    rgb = np.clip(ucs_to_XYZ(ucs.reshape(-1, 3)) @ to_romm.T, 0.0, 1.0) ** (1 / 1.8)
    codes = (rgb.reshape(400, 600, 3) * 65534).astype(np.uint16)
    romm = IccProfile.from_file(ICC_FOLDER / "ROMM_RGB.icc")
    wanted = request(photograph_from_array(codes, romm), "canvas")
    proof = prove(engine(), wanted, stocks=(), glazings=())
    flat = proof.share(Kind.FLATTENED_COLOUR)
    assert flat > 0.3
    assert "Saturated purples lose their modelling" in proof.findings[0].sentence
    there = looked(dataclasses.replace(wanted, intent=Intent.PERCEPTUAL))
    said = [a for f in proof.findings for a in f.advice if a.action is Action.INTENT]
    assert bool(said) is (there.share(Kind.FLATTENED_COLOUR) <= 0.6 * flat)


def test_numbers_of_a_perceptual_print_are_its_own() -> None:
    """What is told of colours out of gamut is dE00 from wanted to printed with that intent."""
    photograph = read_photograph(DEMO / "three_for_the_procession.jpg")
    wanted = request(photograph, "canvas", intent=Intent.PERCEPTUAL)
    proof = looked(wanted)
    finding = next(f for f in proof.findings if f.kind is Kind.OUT_OF_GAMUT)
    cells = np.repeat(np.repeat(finding.region.cells, proof.cell_px, 0), proof.cell_px, 1)
    inside = cells[: photograph.height, : photograph.width]
    codes = photograph.codes[inside][::97] / 255.0
    mapped = engine().map_colours(wanted, photograph.encoding.to_XYZ(codes))
    out = mapped.miss > 3.0
    apart = delta_E_00(XYZ_to_Lab(mapped.wanted[out]), XYZ_to_Lab(mapped.printed[out]))
    assert finding.numbers["miss"] == pytest.approx(apart.mean(), rel=0.15)


def test_a_profile_without_a_perceptual_table_can_be_proved() -> None:
    """The perceptual table's tag renamed: there is no such advice, and no error."""
    data = PRESS.read_bytes()
    for tag in (b"A2B0", b"B2A0"):
        data = data.replace(tag, b"x" + tag[1:], 1)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "press.icc"
        path.write_bytes(data)
        wanted = request(coat(), str(path), 30.0, distance_m=0.4, black_point_compensation=False)
        proof = prove(engine(), wanted, stocks=catalogue().stocks[:1], glazings=())
    assert proof.is_complete
    said = [a.sentence for f in proof.findings for a in f.advice]
    assert said
    assert not [sentence for sentence in said if "perceptual" in sentence]


def test_weakened_detail_is_told() -> None:
    """A coat whose weave is strong in the file and stays barely visible behind glass in a bright
    room: nothing is lost, and yet the verdict tells of it."""
    y, x = np.mgrid[0:480, 0:640]
    Y = 0.012 * (1.0 + 0.7 * np.sin(x / 4.0) * np.sin(y / 5.0))
    codes = np.repeat((srgb(Y) * 65535).astype(np.uint16)[..., None], 3, axis=2)
    behind = request(codes, "canvas", 150.0, "float glass", 0.5, distance_m=0.4)
    assert "detail stays, but at less than a quarter" in looked(behind).verdict
    bare = looked(request(codes, "canvas", 500.0, distance_m=0.4))
    assert bare.verdict == "This stock in this room holds the picture."


def test_a_scan_that_was_called_off_goes_on_where_it_was() -> None:
    """Called off after some tiles, begun again: only the others are scanned, and the result is that
    of a scan in one go."""
    codes = np.tile(coat(), (3, 3, 1))
    wanted = request(codes, "canvas", 30.0, distance_m=0.4)
    prover, told = Prover(engine(), wanted), []
    with pytest.raises(Cancelled):
        prover.scan(cancel=lambda: len(told) >= 2, progress=told.append)
    begun = len(told)
    proof = prover.scan(progress=told.append)
    assert told[begun] > told[begun - 1]
    assert told[-1] == 1.0
    assert len(told) == round(1.0 / told[0])
    whole = looked(wanted)
    for kind in Kind:
        assert np.array_equal(proof.maps[kind], whole.maps[kind])


@pytest.mark.parametrize(("cell_px", "place_px"), [(2, 4), (4, 4), (8, 4), (2, 2)])
def test_losses_are_counted_in_the_cells_of_a_place(cell_px: int, place_px: int) -> None:
    """Where cells of two scans differ in size, by hand: every pixel has its share of its cell's
    loss, and those count whose pixel lies in the place; the last cells are cut off by the edge."""
    rng = np.random.default_rng(5)
    height, width = 45, 30
    rows, columns = (-(-side // cell_px) for side in (height, width))
    lost = rng.random((rows, columns))
    blocks = rng.random((-(-height // 8), -(-width // 8))) < 0.5  # a place of whole 8 px
    pixels = np.kron(blocks, np.ones((8, 8), bool)).astype(bool)
    marked = pixels[place_px // 2 :: place_px, place_px // 2 :: place_px]
    marked = marked[: -(-height // place_px), : -(-width // place_px)]
    place = _Place(Kind.BLOCKED_SHADOWS, 0.1, marked, place_px)
    inside = np.kron(lost, np.full((cell_px, cell_px), 1.0 / cell_px**2))
    mask = pixels[: inside.shape[0], : inside.shape[1]]
    expected = inside[: mask.shape[0], : mask.shape[1]][mask].sum()
    assert expected > 0.0
    assert _Count({Kind.BLOCKED_SHADOWS: lost}, cell_px).at(place) == pytest.approx(expected)
