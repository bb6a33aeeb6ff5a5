"""What surfaces hold: a figure for every kind there is, each called typical."""

from __future__ import annotations

import pytest

from proofing.catalogue import Catalogue
from proofing.errors import SettingError, UnknownName
from proofing.ordering.surface_detail import SURFACE_DETAIL, SurfaceDetail, surface_detail
from proofing.printing.stock import SURFACES


def test_every_kind_of_surface_has_its_figure() -> None:
    """Whatever a stock is made of; each says where it comes from, and that it is typical."""
    assert set(SURFACE_DETAIL) == set(SURFACES)
    for stock in Catalogue.load().stocks:
        assert surface_detail(stock.surface.kind).typical
    for detail in SURFACE_DETAIL.values():
        assert "from memory" in detail.provenance
        assert detail.why.endswith(".")


def test_rougher_surfaces_hold_less() -> None:
    """Gloss before lustre and matte, these before textured matte, canvas last (common practice)."""
    kinds = ["canvas", "textured matte", "semi-gloss", "gloss"]
    ppi = [surface_detail(kind).ppi for kind in kinds]
    assert ppi == sorted(ppi)
    assert surface_detail("matte").ppi > surface_detail("textured matte").ppi


@pytest.mark.parametrize(
    ("kinds", "asked_ppi"),
    [(("matte", "semi-gloss"), 300.0), (("canvas",), 150.0), (("gloss",), 360.0)],
)
def test_a_surface_holds_what_labs_ask_for_it(kinds: tuple[str, ...], asked_ppi: float) -> None:
    """300 ppi for papers, 150 for canvas, no more than 360 for the glossiest (common practice, from
    memory): to ask for more than a surface holds would be a waste, for less a loss."""
    for kind in kinds:
        assert surface_detail(kind).ppi == pytest.approx(asked_ppi, rel=0.05)


def test_two_pixels_are_a_pair_of_lines() -> None:
    """The sampling theorem: 254 ppi are 10 px to the mm, 5 pairs of lines."""
    assert SurfaceDetail("slate", 254.0, "").line_pairs_per_mm == pytest.approx(5.0)
    assert SurfaceDetail("slate", 254.0, "").held_ppi(300.0) == 254.0
    assert SurfaceDetail("slate", 254.0, "").held_ppi(100.0) == 100.0


def test_words() -> None:
    """What does not show is said with the figure, called typical."""
    assert surface_detail("canvas").in_words(300.0) == (
        "On canvas detail finer than about 150 ppi, 3 line pairs per mm, does not show (typical), "
        "and the print has 300 ppi. The weave breaks up what is finer."
    )
    assert "hides nothing" in surface_detail("canvas").in_words(150.0)


def test_what_is_no_surface() -> None:
    """The error lists those there are."""
    with pytest.raises(UnknownName, match="'canvas'"):
        surface_detail("slate")
    with pytest.raises(SettingError, match="use 30 to 2000 ppi"):
        SurfaceDetail("slate", float("nan"), "")
