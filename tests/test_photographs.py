"""The chain on the demonstration's photographs, against LittleCMS."""

from __future__ import annotations

import dataclasses
import functools
import tomllib
from pathlib import Path

import imagecodecs
import numpy as np
import pytest

from proofing.catalogue import Catalogue
from proofing.colorimetry import Float, XYZ_to_Lab, delta_E_00
from proofing.engine import Engine
from proofing.findings.kinds import Kind
from proofing.lattice import Output, apply
from proofing.photograph import Encoding, Photograph, read_photograph
from proofing.printing import Intent
from proofing.proof import Proof, Prover
from proofing.request import ProofRequest
from proofing.screen import Screen
from proofing.viewing import Room
from tests import kept
from tests.reference.cgats import ICC_FOLDER

DEMO = Path(__file__).parents[1] / "demo"
PRESS = ICC_FOLDER / "FOGRA39L_coated.icc"
PICTURES = [
    entry["file"]
    for entry in tomllib.loads((DEMO / "exhibition.toml").read_text(encoding="utf-8"))["picture"]
]


@functools.cache
def catalogue() -> Catalogue:
    return Catalogue.load(Path("/nonexistent"))


@functools.cache
def engine() -> Engine:
    return kept.engine()


@functools.cache
def picture(name: str) -> Photograph:
    return read_photograph(DEMO / name)


def request(
    name: str,
    stock: str,
    lux: float = 500.0,
    intent: str = "relative",
    glazing: str = "no glass",
    k: float = 0.0,
) -> ProofRequest:
    room = Room(catalogue().light("D50"), lux, catalogue().glazing(glazing), k)
    return ProofRequest(
        picture(name), catalogue().stock(stock), room, Screen(), intent=Intent(intent)
    )


def sample(photograph: Photograph, count: int = 4000) -> Float:
    """Codes 0..1 of pixels spread over the picture."""
    codes = photograph.codes.reshape(-1, photograph.codes.shape[2])
    chosen = np.random.default_rng(0).integers(0, len(codes), count)
    scale = np.iinfo(codes.dtype).max if codes.dtype.kind == "u" else 1.0
    return codes[chosen].astype(np.float64) / scale


def straight_through(encoding: Encoding, codes: Float, intent: int, flags: int) -> Float:
    """Absolute Lab of the press print, by the colour management library alone in float."""
    if encoding.kind == "Lab":
        source, space = imagecodecs.cms_profile("lab4"), "lab"
        values = codes * [100.0, 255.0, 255.0] - [0.0, 128.0, 128.0]
    else:
        assert encoding.profile is not None
        source = encoding.profile.data
        space, values = ("gray", codes[:, :1]) if encoding.kind == "grey" else ("rgb", codes)
    press = PRESS.read_bytes()

    def convert(values: Float, *args: object, **kw: object) -> Float:
        made = imagecodecs.cms_transform(
            np.ascontiguousarray(values[None]), *args, outdtype=np.float64, **kw
        )
        return np.asarray(made, dtype=np.float64).reshape(len(values), -1)

    cmyk = convert(
        values, source, press, colorspace=space, outcolorspace="cmyk", intent=intent, flags=flags
    )
    return convert(
        cmyk, press, imagecodecs.cms_profile("lab4"),
        colorspace="cmyk", outcolorspace="lab", intent=3, flags=256,
    )  # fmt: skip


@pytest.mark.parametrize("name", PICTURES)
@pytest.mark.parametrize("intent", ["relative", "perceptual"])
def test_profiled_print_against_littlecms(name: str, intent: str) -> None:
    """Pixels of every photograph on the press profile: mean dE00 <= 0.1, 99th percentile <= 0.5
    against LittleCMS in float. (A CMYK photograph's black is not that of its Lab codes, see
    ISO 18619; it is compared without black point compensation.)"""
    wanted = request(name, str(PRESS), intent=intent)
    encoding = wanted.photograph.encoding
    bpc = encoding.black_Y == 0.0
    if not bpc:
        if intent == "perceptual":
            return
        wanted = ProofRequest(
            wanted.photograph, wanted.stock, wanted.room, wanted.screen,
            black_point_compensation=False,
        )  # fmt: skip
    codes = sample(wanted.photograph)
    ours = engine().print_Lab(wanted, codes)
    number = {"perceptual": 0, "relative": 1}[intent]
    theirs = straight_through(encoding, codes, number, 256 | (8192 if bpc else 0))
    difference = delta_E_00(ours, theirs)
    assert difference.mean() <= 0.1
    assert np.percentile(difference, 99) <= 0.5


@pytest.mark.parametrize("name", PICTURES)
def test_table_against_the_chain_on_a_photograph(name: str) -> None:
    """What the screen shows of a photograph through the resting table: mean dE00 below 0.15, 99th
    percentile below 1 against the float64 chain."""
    wanted = request(name, "smooth matte", 200.0)
    codes01 = sample(wanted.photograph, 3000)
    codes = codes01[None].astype(np.float32)
    table = apply(engine().bake(wanted, 65).lattice, codes, output=Output.RAW)
    exact = engine().colour_function(wanted)(codes[0].astype(np.float64))
    shown = [
        XYZ_to_Lab(wanted.screen.decode(rgb) / 120.0, wanted.screen.white_XYZ)
        for rgb in (table[0, :, :3], exact[:, :3])
    ]
    difference = delta_E_00(*shown)
    assert difference.mean() < 0.15
    assert np.percentile(difference, 99) < 1.0


ROUNDING = 0.002
"""Share of a picture by which the ladder may be out of order: dark saturated colours are brought
into each stock's gamut in their own way."""


LADDER = [
    "harbour_at_six.tif",
    "fog_slack_water.jpg",
    "dahlias_thursday.tif",
    "last_light.jpg",
    "quay_stairs.jpg",
    "net_loft.jpg",
]  # of every space; dark, pale, strong in colour, and grey


@functools.cache
def alike(name: str) -> Photograph:
    """Every other pixel of the photograph, in the very profile of the first in its space, so that
    tables serve for all (files carry sRGB in several profiles that say the same)."""
    photograph = picture(name)
    firsts = (picture(other).encoding for other in LADDER)
    encoding = next(e for e in firsts if space_of(e) == space_of(photograph.encoding))
    codes = np.ascontiguousarray(photograph.codes[::2, ::2])
    facts = dataclasses.replace(photograph.facts, width=codes.shape[1], height=codes.shape[0])
    return dataclasses.replace(photograph, encoding=encoding, codes=codes, facts=facts)


def space_of(encoding: Encoding) -> tuple[str, str]:
    return encoding.kind, encoding.profile.description if encoding.profile else ""


def shares(
    kind: Kind, stock: str, lux: float, glazing: str = "no glass", k: float = 0.0
) -> dict[str, float]:
    """Of every picture under one condition, one after the other."""
    found = scanned(stock, lux, glazing, k)
    return {name: proof.share(kind) for name, proof in found.items()}


@functools.cache
def scanned(stock: str, lux: float, glazing: str, k: float) -> dict[str, Proof]:
    room = Room(catalogue().light("D50"), lux, catalogue().glazing(glazing), k)
    paper = catalogue().stock(stock)
    return {
        name: Prover(engine(), ProofRequest(alike(name), paper, room, Screen())).scan()
        for name in LADDER
    }


@pytest.mark.parametrize("name", LADDER)
def test_matte_blocks_first(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Common practice: on every photograph the share of blocked shadows, and that of colours out of
    gamut, do not grow from canvas to matte to lustre to baryta, nor do blocked shadows from 50 to
    500 to 2000 lx, nor when float glass in a bright room is taken away."""
    # half the nodes a side are enough to tell an order
    monkeypatch.setattr("proofing.proof.proving.NODES_RESTING", 33)
    dark = Kind.BLOCKED_SHADOWS
    for kind in (dark, Kind.OUT_OF_GAMUT):
        stocks = [
            shares(kind, stock, 50.0)[name]
            for stock in ("canvas", "smooth matte", "lustre", "baryta")
        ]
        assert (np.diff(stocks) <= ROUNDING).all(), (kind, stocks)
    lights = [shares(dark, "smooth matte", lux)[name] for lux in (50.0, 500.0, 2000.0)]
    assert (np.diff(lights) <= ROUNDING).all(), lights
    bare, glazed = (
        shares(dark, "smooth matte", 100.0, glass, 0.3)[name]
        for glass in ("no glass", "float glass")
    )
    assert bare <= glazed + ROUNDING
