"""Outlines of gamuts in the a*, b* plane."""

from __future__ import annotations

import colour
import numpy as np
import pytest

from proofing.catalogue import Catalogue
from proofing.printing.outline import HUES, area_ab, outline_ab, srgb_outline_ab
from tests.reference.cgats import ICC_FOLDER, read_set


def test_srgb_reaches_as_far_as_its_primaries() -> None:
    """Primaries and secondaries of IEC 61966-2-1, adapted to D50 by colour-science (Bradford): in
    their sectors the outline is at their chroma, and its largest is blue's."""
    corners = np.array([[1, 0, 0], [0, 1, 0], [0, 0, 1], [1, 1, 0], [0, 1, 1], [1, 0, 1]], float)
    space = colour.RGB_COLOURSPACES["sRGB"]
    XYZ = corners @ space.matrix_RGB_to_XYZ.T
    d50 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D50"]
    adapted = colour.adaptation.chromatic_adaptation_VonKries(
        XYZ, colour.xy_to_XYZ(space.whitepoint), colour.xy_to_XYZ(d50), transform="Bradford"
    )
    Lab = colour.XYZ_to_Lab(adapted, d50)
    outline = srgb_outline_ab()
    reach = np.hypot(*outline.T)
    chroma = np.hypot(Lab[:, 1], Lab[:, 2])
    sector = np.round(np.arctan2(Lab[:, 2], Lab[:, 1]) / (2 * np.pi) * HUES).astype(int) % HUES
    np.testing.assert_allclose(chroma, reach[sector], rtol=0.02)
    assert reach.max() == pytest.approx(chroma.max(), rel=0.01)


def test_the_area_of_a_circle() -> None:
    """A ring of colours of chroma 50: its area is that of the polygon in it."""
    angle = np.linspace(0, 2 * np.pi, 2000)
    ring = np.stack([np.full_like(angle, 60), 50 * np.cos(angle), 50 * np.sin(angle)], axis=-1)
    expected = 0.5 * HUES * 50**2 * np.sin(2 * np.pi / HUES)
    assert area_ab(outline_ab(ring)) == pytest.approx(expected, rel=1e-6)


def test_stocks_stand_in_the_order_of_their_kind() -> None:
    """Canvas reaches least, then the mattes, then the gloss classes (common practice); each outline
    is a closed ring around grey, and no described stock reaches beyond 130."""
    stocks = {stock.name: stock for stock in Catalogue.load().stocks}
    areas = {name: area_ab(stock.outline_ab) for name, stock in stocks.items()}
    assert areas["canvas"] < areas["cotton matte"] < areas["lustre"] <= areas["baryta"]
    for stock in stocks.values():
        reach = np.hypot(*stock.outline_ab.T)
        assert stock.outline_ab.shape == (HUES, 2)
        assert reach.min() > 15 and reach.max() < 130


def test_a_press_profile_reaches_as_far_as_its_measured_solids() -> None:
    """Cyan, magenta, yellow, red, green and blue solids of FOGRA39L, L* a* b* of its measurements
    (FOGRA39L.cgats): in each one's sector the outline is at least as far, and not much farther."""
    stock = Catalogue.load().stock(str(ICC_FOLDER / "FOGRA39L_coated.icc"))
    data = read_set("FOGRA39L")
    reach = np.hypot(*stock.outline_ab.T)
    for code in ((1, 0, 0), (0, 1, 0), (0, 0, 1), (0, 1, 1), (1, 0, 1), (1, 1, 0)):
        solid = np.abs(data.CMYK - [*code, 0]).max(axis=1) < 1e-6
        _, a, b = data.Lab[solid].mean(axis=0)
        sector = round(np.arctan2(b, a) / (2 * np.pi) * HUES) % HUES
        assert reach[sector] == pytest.approx(np.hypot(a, b), rel=0.04)
