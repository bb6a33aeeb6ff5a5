"""What the choosers draw, as numbers."""

from __future__ import annotations

import re

import colour
import numpy as np
import pytest

from app.drawings import brightener_in_words, light_drawing, srgb_of, stock_drawing
from app.panels.choices import Notes, light_note, work_out_notes
from app.state import Setting, build_request
from proofing.catalogue import Catalogue
from proofing.engine import Engine
from proofing.photograph import photograph_from_array


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return Catalogue.load()


def test_white_and_black_are_those_of_the_record(catalogue: Catalogue) -> None:
    """Codes that colour-science reads back as the Lab of the record, but for the clipped blue of a
    brightened sheet and half a code (0.6 in a black)."""
    space = colour.RGB_COLOURSPACES["sRGB"]
    d50 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D50"]
    for stock in catalogue.stocks:
        drawing = stock_drawing(stock)
        for RGB, wanted in (
            (drawing.white_RGB, stock.white_Lab),
            (drawing.black_RGB, stock.black_Lab),
        ):
            linear = colour.cctf_decoding(np.array(RGB) / 255.0, "sRGB")
            XYZ = space.matrix_RGB_to_XYZ @ linear
            adapted = colour.adaptation.chromatic_adaptation_VonKries(
                XYZ, colour.xy_to_XYZ(space.whitepoint), colour.xy_to_XYZ(d50), transform="Bradford"
            )
            Lab = colour.XYZ_to_Lab(adapted, d50)
            if max(RGB) < 255:
                np.testing.assert_allclose(wanted, Lab, atol=0.8)
            assert abs(Lab[0] - wanted[0]) < 1.0


def test_a_perfect_sheet_is_white() -> None:
    assert srgb_of(np.array([100.0, 0.0, 0.0])) == (255, 255, 255)
    assert srgb_of(np.array([0.0, 0.0, 0.0])) == (0, 0, 0)


def test_the_words_tell_what_is_drawn(catalogue: Catalogue) -> None:
    by_name = {stock.name: stock_drawing(stock).words for stock in catalogue.stocks}
    share = {name: int(re.search(r"(\d+) %", words)[1]) for name, words in by_name.items()}
    assert share["canvas"] < share["smooth matte"] < share["baryta"]
    lamps = {light.name: light for light in catalogue.lights}
    assert light_drawing(lamps["A"]).words.endswith("730 nm")
    assert max(light_drawing(lamps["A"]).power) == 1.0
    assert light_drawing(lamps["A"]).power[-1] == 1.0  # an incandescent lamp rises to the red


@pytest.mark.parametrize("name", ["D65", "D55", "LED-B2", "A"])
def test_the_glow_that_is_told_is_the_print_s(name: str, catalogue: Catalogue) -> None:
    """What the engine's own bare paper sends back beyond its reflectance, under the light against
    D50 at the same lux, is the share that is told."""
    share = int(re.search(r"(\d+) %", light_note(catalogue.light(name))[1])[1]) / 100.0
    engine = Engine()
    grey = photograph_from_array(np.full((1, 1, 3), 255, np.uint8))

    def glow(light: str) -> float:
        request = build_request(Setting(stock="smooth matte", light=light), catalogue, grey)
        paper = engine.bake(request).paper_XYZ_cd_m2
        bare = request.stock.paper.reflectance @ request.room.light.weights() * request.room.L_w
        return float(np.linalg.norm(paper - bare))

    assert glow("D50") > 1.0  # cd/m2: the sheet is brightened
    assert glow(name) / glow("D50") == pytest.approx(share, abs=0.01)


def test_notes_of_a_stock_of_one_s_own_are_kept_beside_the_others(catalogue: Catalogue) -> None:
    notes = work_out_notes(catalogue, lambda: False)
    assert all(notes.drawing("stock", stock.name) for stock in catalogue.stocks)
    assert all(notes.drawing("light", light.name) for light in catalogue.lights)
    own = notes.with_stock("/a/lab.icc", ("gamut 1",), stock_drawing(catalogue.stocks[0]))
    assert own.of("stock", "/a/lab.icc") == ("gamut 1",)
    assert own.of("light", "A") == notes.of("light", "A")
    assert Notes().of("stock", "canvas") == () and Notes().drawing("stock", "canvas") is None


def test_words_for_every_strength_of_a_brightener() -> None:
    said = [brightener_in_words(value) for value in (0.0, 0.3, 1.0, 2.0)]
    assert len({words.split(":")[0] for words in said}) == 4
    assert all("%" in words for words in said)
