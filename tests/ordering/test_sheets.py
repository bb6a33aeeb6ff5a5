"""Sheets against the standard and a page library, and pictures on them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtGui import QPageSize

from proofing.errors import SettingError
from proofing.ordering.sheets import (
    CUSTOMARY,
    ISO_216,
    SHEETS,
    Sheet,
    SheetFit,
    nearest_in_shape,
    nearest_sheet,
    nearest_within,
    smallest_holding,
)

PIXELS = st.tuples(st.integers(100, 30_000), st.integers(100, 30_000))
A_SERIES = {sheet.series: sheet for sheet in SHEETS if sheet.series}


# ---- ISO 216 ---------------------------------------------------------------------------------


def test_the_a_series_is_that_of_iso_216() -> None:
    """ISO 216:2007: A0 is 841 x 1189 mm; each next is the one before, halved and rounded down."""
    width, height = 841, 1189
    for number in range(7):
        assert (width, height) == A_SERIES[f"A{number}"].size_mm
        assert A_SERIES[f"A{number}"].source == ISO_216
        width, height = height // 2, width


def test_the_a_series_has_the_shape_and_area_that_iso_216_asks_for() -> None:
    """Sides 1 to the square root of 2; A0 is one square metre (ISO 216:2007, clause 3)."""
    for sheet in A_SERIES.values():
        assert sheet.height_mm / sheet.width_mm == pytest.approx(math.sqrt(2.0), rel=0.005)
    assert A_SERIES["A0"].width_mm * A_SERIES["A0"].height_mm == pytest.approx(1e6, rel=0.001)


@pytest.mark.parametrize("series", sorted(A_SERIES))
def test_a_page_library_has_the_same_sizes(series: str) -> None:
    """The toolkit's own table of pages."""
    page = QPageSize(getattr(QPageSize.PageSizeId, series)).size(QPageSize.Unit.Millimeter)
    assert (page.width(), page.height()) == A_SERIES[series].size_mm


# ---- the table -------------------------------------------------------------------------------


def test_the_table_is_in_order_and_says_where_it_comes_from() -> None:
    """Upright, the smallest first, no size twice, each with a source."""
    areas = [sheet.width_mm * sheet.height_mm for sheet in SHEETS]
    assert areas == sorted(areas)
    assert len({sheet.size_mm for sheet in SHEETS}) == len(SHEETS)
    assert all(sheet.width_mm <= sheet.height_mm for sheet in SHEETS)
    assert {sheet.source for sheet in SHEETS} == {ISO_216, CUSTOMARY}
    assert len({sheet.name for sheet in SHEETS}) == len(SHEETS)


@pytest.mark.parametrize(
    ("name", "size_mm"),
    [("30 × 40 cm", (300.0, 400.0)), ("8 × 10 in", (203.2, 254.0)), ("50 × 70 cm", (500.0, 700.0)),
     ("11 × 14 in", (279.4, 355.6)), ("24 × 36 in", (609.6, 914.4))],
)  # fmt: skip
def test_customary_sizes_are_there(name: str, size_mm: tuple[float, float]) -> None:
    """Sizes that every lab knows (common practice), frames among them."""
    (sheet,) = (sheet for sheet in SHEETS if sheet.name == name)
    assert sheet.size_mm == pytest.approx(size_mm)
    assert sheet.is_frame


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.name)
def test_the_nearest_sheet_of_a_sheet_is_itself(sheet: Sheet) -> None:
    """Upright and lying."""
    assert nearest_sheet(sheet.size_mm) == sheet
    turned = nearest_sheet(sheet.size_mm[::-1])
    assert turned.size_mm == sheet.size_mm[::-1]


@given(st.floats(50.0, 1500.0), st.floats(50.0, 1500.0))
def test_sheets_within_and_around_a_size(width_mm: float, height_mm: float) -> None:
    """No larger than it to a hundredth, or with room for it; none of either only where the whole
    list has none."""
    size = width_mm, height_mm
    turned = [sheet.turned_to(width_mm / height_mm) for sheet in SHEETS]
    inside, around = nearest_within(size), smallest_holding(size)
    if inside is None:
        assert all(s.width_mm > width_mm or s.height_mm > height_mm for s in turned)
    else:
        assert inside.width_mm <= 1.01 * width_mm
        assert inside.height_mm <= 1.01 * height_mm
        ratios = [
            (s.width_mm / width_mm, s.height_mm / height_mm)
            for s in (inside, *turned)
            if (s.width_mm <= width_mm and s.height_mm <= height_mm) or s is inside
        ]
        # none that is closer in both of its sides
        assert not [r for r in ratios if r[0] > ratios[0][0] + 0.02 and r[1] > ratios[0][1] + 0.02]
    holding = [s for s in turned if s.width_mm >= width_mm and s.height_mm >= height_mm]
    if around is None:
        assert not holding
    else:
        assert around.width_mm >= width_mm - 0.1
        assert around.height_mm >= height_mm - 0.1
        area = around.width_mm * around.height_mm
        assert all(area <= s.width_mm * s.height_mm for s in holding)


def test_turning() -> None:
    """A sheet lies where the picture does; a square is never turned."""
    assert Sheet(300.0, 400.0).turned_to(1.5).size_mm == (400.0, 300.0)
    assert Sheet(300.0, 400.0).turned_to(0.7).size_mm == (300.0, 400.0)
    assert Sheet(300.0, 300.0).turned_to(1.5).size_mm == (300.0, 300.0)
    with pytest.raises(SettingError, match="use 10 mm to 20 m"):
        Sheet(0.0, 300.0)


# ---- pictures on them ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("size_cm", "percent"),
    [((20, 30), 0.0), ((30, 40), 11.1), ((20, 25), 16.7), ((13, 18), 7.7), ((30, 30), 33.3)],
)
def test_what_a_3_to_2_picture_loses(size_cm: tuple[int, int], percent: float) -> None:
    """Worked by hand: 4:3 keeps 8/9 of 3:2, 5:4 keeps 5/6, 1:1 keeps 2/3, 18:13 keeps 12/13."""
    sheet = Sheet(size_cm[0] * 10.0, size_cm[1] * 10.0)
    assert percent == round(100 * SheetFit(sheet, (6000, 4000)).cut_share, 1)
    assert percent == round(100 * SheetFit(sheet, (4000, 6000)).cut_share, 1)


@given(PIXELS, st.sampled_from(SHEETS))
def test_fits_hold_together(pixels: tuple[int, int], sheet: Sheet) -> None:
    """What is cut is what the crop loses; the fitted picture lies within the sheet, whole."""
    fit = SheetFit(sheet, pixels)
    assert 0.0 <= fit.cut_share < 1.0
    if pixels[0] / pixels[1] < 40 and pixels[1] / pixels[0] < 40:
        assert fit.crop.lost_share == pytest.approx(fit.cut_share, abs=1e-9)
        assert fit.crop.aspect(pixels) == pytest.approx(fit.sheet.aspect)
    width, height = fit.fitted_mm
    assert width <= fit.sheet.width_mm * (1 + 1e-12)
    assert height <= fit.sheet.height_mm * (1 + 1e-12)
    assert width / height == pytest.approx(pixels[0] / pixels[1])
    bare = 1.0 - width * height / (fit.sheet.width_mm * fit.sheet.height_mm)
    assert bare == pytest.approx(fit.cut_share, abs=1e-9)
    assert fit.ppi <= fit.fitted_ppi * (1 + 1e-12)
    assert fit.ppi / fit.fitted_ppi == pytest.approx(1.0 - fit.cut_share)


@given(PIXELS, st.integers(1, 20))
def test_the_nearest_in_shape_cut_least(pixels: tuple[int, int], count: int) -> None:
    """None that is left out cuts less than one that is named; they come in order of size."""
    fits = nearest_in_shape(pixels, count=count)
    assert len(fits) == count
    named = {fit.sheet.name for fit in fits}
    areas = [fit.sheet.width_mm * fit.sheet.height_mm for fit in fits]
    assert areas == sorted(areas)
    most = max(fit.cut_share for fit in fits)
    for sheet in SHEETS:
        fit = SheetFit(sheet, pixels)
        if fit.sheet.name not in named:
            assert fit.cut_share >= most - 1e-4
