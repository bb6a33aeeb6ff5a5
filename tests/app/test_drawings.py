"""What the choosers draw, as numbers."""

from __future__ import annotations

import re
import warnings

import colour
import numpy as np
import pytest

from app.drawings import Swatches, brightener_in_words, light_drawing, stock_drawing
from app.panels.choices import Notes, light_note, work_out_notes
from app.state import Setting, build_request
from proofing.catalogue import Catalogue
from proofing.engine import Engine
from proofing.errors import Cancelled, ProfileError
from proofing.photograph import photograph_from_array
from proofing.photograph.icc import IccProfile
from proofing.screen import Screen
from tests.reference.cgats import ICC_FOLDER as REFERENCE


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return Catalogue.load()


def test_the_swatches_stand_beside_each_other_as_the_papers_do(catalogue: Catalogue) -> None:
    """Codes that colour-science reads back as the XYZ of the record, but for one factor that all
    share and for half a code (1.2 of L*, a*, b* in a black); one channel of one white is full."""
    space = colour.RGB_COLOURSPACES["sRGB"]
    d50 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D50"]
    swatches = Swatches.of((stock.white_Lab for stock in catalogue.stocks), Screen())
    assert 0.8 < swatches.share < 1.0
    whites = []
    for stock in catalogue.stocks:
        drawing = stock_drawing(stock, swatches)
        whites.append(drawing.white_RGB)
        for RGB, wanted, within in (
            (drawing.white_RGB, stock.white_Lab, 0.4),
            (drawing.black_RGB, stock.black_Lab, 1.2),
        ):
            linear = colour.cctf_decoding(np.array(RGB) / 255.0, "sRGB")
            XYZ = space.matrix_RGB_to_XYZ @ linear / swatches.share
            adapted = colour.adaptation.chromatic_adaptation_VonKries(
                XYZ, colour.xy_to_XYZ(space.whitepoint), colour.xy_to_XYZ(d50), transform="Bradford"
            )
            np.testing.assert_allclose(wanted, colour.XYZ_to_Lab(adapted, d50), atol=within)
    assert np.max(whites) == 255


def test_the_swatches_are_codes_of_the_screen_they_are_seen_on(catalogue: Catalogue) -> None:
    """On a screen of Adobe RGB (1998) other codes give the same colours, by colour-science,
    but for half a code."""
    wide = Screen(IccProfile.from_file(REFERENCE / "Adobe_RGB_1998.icc"))
    space = colour.RGB_COLOURSPACES["Adobe RGB (1998)"]
    d50 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D50"]
    swatches = Swatches.of((stock.white_Lab for stock in catalogue.stocks), wide)
    canvas = catalogue.stock("canvas")
    RGB = swatches.codes(canvas.white_Lab)
    assert Swatches(Screen(), swatches.share).codes(canvas.white_Lab) != RGB
    XYZ = space.matrix_RGB_to_XYZ @ space.cctf_decoding(np.array(RGB) / 255.0) / swatches.share
    adapted = colour.adaptation.chromatic_adaptation_VonKries(
        XYZ, colour.xy_to_XYZ(space.whitepoint), colour.xy_to_XYZ(d50), transform="Bradford"
    )
    np.testing.assert_allclose(canvas.white_Lab, colour.XYZ_to_Lab(adapted, d50), atol=0.6)


def test_a_perfect_sheet_alone_is_white() -> None:
    swatches = Swatches.of([np.array([100.0, 0.0, 0.0])], Screen())
    assert swatches.codes(np.array([100.0, 0.0, 0.0])) == (255, 255, 255)
    assert swatches.codes(np.array([0.0, 0.0, 0.0])) == (0, 0, 0)
    assert Swatches.of([], Screen()).share == 1.0


def test_the_words_tell_what_is_drawn(catalogue: Catalogue) -> None:
    swatches = Swatches(Screen())
    by_name = {stock.name: stock_drawing(stock, swatches).words for stock in catalogue.stocks}
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


def test_a_lamp_without_violet_leaves_a_print_s_white_as_yellow_as_its_sheet(
    catalogue: Catalogue,
) -> None:
    """b* of the engine's bare paper against the light's own white (CIE 15, by colour-science). D50
    gives the blue white of the record; of the shift that the brightener makes there, the lamp's
    keeps the share that is told."""
    engine = Engine()
    grey = photograph_from_array(np.full((1, 1, 3), 255, np.uint8))

    def shift(light: str) -> tuple[float, float]:
        """b* of the print's white, and how much bluer that is than without the brightener."""
        request = build_request(Setting(stock="smooth matte", light=light), catalogue, grey)
        weights = request.room.light.weights()
        white = weights.sum(axis=0)
        xy = colour.XYZ_to_xy(white)
        L_w = request.room.L_w
        sheet = request.stock.paper.reflectance @ weights / white[1]
        glow = engine.bake(request).paper_XYZ_cd_m2 / L_w - sheet * white[1]
        b = colour.XYZ_to_Lab(sheet + glow, xy)[2]
        return b, colour.XYZ_to_Lab(sheet, xy)[2] - b

    (b, full), (b_lamp, kept) = shift("D50"), shift("LED-B2")
    assert b == pytest.approx(catalogue.stock("smooth matte").white_Lab[2], abs=0.5)
    assert full > 4.0
    told = int(re.search(r"(\d+) %", light_note(catalogue.light("LED-B2"))[1])[1]) / 100.0
    assert told < 0.1
    assert kept / full == pytest.approx(told, abs=0.03)
    assert b_lamp > b + 4.0


@pytest.mark.parametrize("name", ["D65", "A", "FL2", "FL11", "LED-B1", "LED-B5"])
def test_temperature_and_fidelity_are_those_of_the_library(name: str, catalogue: Catalogue) -> None:
    """The row's numbers against colour-science's own table: CCT by Ohno (2013), Rf by CIE 224."""
    said = light_note(catalogue.light(name))[0]
    kelvin, fidelity = re.search(r"(\d+) K   colour fidelity Rf (\d+)", said).groups()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the library tells that it fills a table up
        table = colour.SDS_ILLUMINANTS[name].copy()  # the fidelity index aligns what it is given
        uv = colour.XYZ_to_xy(colour.sd_to_XYZ(table, method="Integration"))
        uv = colour.UCS_to_uv(colour.XYZ_to_UCS(colour.xy_to_XYZ(uv)))
        CCT, _ = colour.uv_to_CCT(uv, method="Ohno 2013")
        Rf = float(colour.colour_fidelity_index(table))
    assert float(kelvin) == pytest.approx(CCT, abs=5.0 + 0.004 * CCT)
    assert float(fidelity) == pytest.approx(Rf, abs=0.6)


def test_notes_of_a_stock_of_one_s_own_stand_beside_the_others(catalogue: Catalogue) -> None:
    """Under the path that was given; a file that is gone is left out, and hinders nothing."""
    path = str(REFERENCE / "FOGRA39L_coated.icc")
    notes = work_out_notes(catalogue, lambda: False, (path, "/gone/lab.icc"))
    assert all(notes.drawing("stock", stock.name) for stock in catalogue.stocks)
    assert all(notes.drawing("light", light.name) for light in catalogue.lights)
    assert "gamut" in notes.of("stock", path)[0]
    assert notes.drawing("stock", path).white_RGB != notes.drawing("stock", "canvas").white_RGB
    assert notes.drawing("stock", "/gone/lab.icc") is None
    assert Notes().of("stock", "canvas") == () and Notes().drawing("stock", "canvas") is None


def test_words_for_every_strength_of_a_brightener() -> None:
    said = [brightener_in_words(value) for value in (0.0, 0.3, 1.0, 2.0)]
    assert len({words.split(":")[0] for words in said}) == 4
    assert all("%" in words for words in said)


def test_working_out_can_be_given_up_between_any_two_things(catalogue: Catalogue) -> None:
    asked = 0

    def cancel() -> bool:
        nonlocal asked
        asked += 1
        return asked > 5

    with pytest.raises(Cancelled):
        work_out_notes(catalogue, cancel)
    assert asked == 6


def test_a_screen_that_is_of_no_use_does_not_take_the_drawings_away(catalogue: Catalogue) -> None:
    def broken() -> Screen:
        return Screen(IccProfile.from_file(REFERENCE / "FOGRA39L_coated.icc"))

    with pytest.raises(ProfileError):
        broken()
    assert work_out_notes(catalogue, lambda: False, screen=broken).drawing("stock", "canvas")
