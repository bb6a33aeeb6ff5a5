"""Margins, wraps and bleeds: sums in mm, boxes in px, and pixels that are never changed."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from proofing.errors import SettingError
from proofing.ordering.crop import Crop
from proofing.ordering.edges import BLEED_MM, Edge, Margins, Wrap
from proofing.ordering.layout import Layout
from proofing.ordering.layout_words import layout_in_words

CANVAS = Layout((600.0, 400.0), wrap=Wrap(40.0, 20.0), bleed_mm=5.0)

FACES = st.tuples(st.floats(120.0, 3000.0), st.floats(120.0, 3000.0))
WRAPS = st.one_of(st.none(), st.builds(Wrap, st.floats(1.0, 40.0), st.floats(0.0, 20.0)))
EDGED = st.builds(
    Layout, FACES, wrap=WRAPS, bleed_mm=st.floats(0.0, 20.0), edge=st.sampled_from(Edge)
)
MARGIN = st.floats(0.0, 200.0)
BORDERED = st.builds(Layout, FACES, st.builds(Margins, MARGIN, MARGIN, MARGIN, MARGIN))
LAYOUTS = st.one_of(EDGED, BORDERED)


def test_a_canvas_worked_by_hand() -> None:
    """60 x 40 cm on 4 cm bars, 2 cm on the back, 5 mm trimmed: 73 x 53 cm of canvas."""
    assert CANVAS.sheet_mm == (730.0, 530.0)
    assert CANVAS.trimmed_mm == (720.0, 520.0)
    assert (CANVAS.face.left_mm, CANVAS.side.left_mm) == (65.0, 25.0)
    assert (CANVAS.folded.left_mm, CANVAS.printed.left_mm) == (5.0, 0.0)
    assert CANVAS.hidden_share == 0.0
    boxes = CANVAS.in_pixels((6000, 4000))
    assert boxes.sheet == (7300, 5300)
    assert boxes.face == boxes.picture == (650, 650, 6650, 4650)
    assert boxes.side == (250, 250, 7050, 5050)
    assert boxes.folded == (50, 50, 7250, 5250)
    assert boxes.printed == (0, 0, 7300, 5300)
    assert boxes.ppi == pytest.approx((254.0, 254.0))


def test_where_the_picture_runs_on_its_edge_is_folded_away() -> None:
    """The same canvas with the picture over all of it: 38 % of the picture is not on the face."""
    over = Layout((600.0, 400.0), wrap=Wrap(40.0, 20.0), bleed_mm=5.0, edge=Edge.PICTURE)
    assert over.sheet_mm == CANVAS.sheet_mm
    assert over.hidden_share == pytest.approx(1.0 - 600 * 400 / (730 * 530))
    boxes = over.in_pixels((7300, 5300))
    assert boxes.picture == boxes.printed == (0, 0, 7300, 5300)
    assert boxes.face == (650, 650, 6650, 4650)
    assert layout_in_words(over).endswith("38.0 % of the picture is folded or trimmed away.")


def test_a_borderless_print_with_the_usual_bleed() -> None:
    """3 mm on each side (common practice)."""
    layout = Layout((300.0, 200.0), bleed_mm=BLEED_MM)
    assert layout.sheet_mm == (306.0, 206.0)
    assert layout.trimmed_mm == (300.0, 200.0)
    assert layout_in_words(layout) == (
        "Of a sheet of 30.6 × 20.6 cm, 30 × 20 cm stay visible: on each side 3 mm are trimmed away."
    )


def test_margins_need_not_be_the_same() -> None:
    """A wider margin below."""
    layout = Layout((300.0, 200.0), Margins(30.0, 30.0, 30.0, 50.0))
    assert layout.sheet_mm == (360.0, 280.0)
    assert (layout.face.left_mm, layout.face.top_mm) == (30.0, 30.0)
    assert layout.in_pixels((3000, 2000)).sheet == (3600, 2800)
    assert "5 cm below" in layout_in_words(layout)
    assert "1.97 in below" in layout_in_words(layout, inches=True)


@given(LAYOUTS)
def test_sums_in_mm(layout: Layout) -> None:
    """Face, edge and margins make the sheet; each part lies within the next."""
    margins = layout.margins
    width = layout.face_mm[0] + 2 * layout.reach_mm + margins.left_mm + margins.right_mm
    height = layout.face_mm[1] + 2 * layout.reach_mm + margins.top_mm + margins.bottom_mm
    assert layout.sheet_mm == pytest.approx((width, height))
    parts = [layout.face, layout.side, layout.folded, layout.printed]
    for inner, outer in pairwise(parts):
        assert outer.left_mm <= inner.left_mm + 1e-9
        assert outer.top_mm <= inner.top_mm + 1e-9
        assert inner.width_mm <= outer.width_mm
        assert inner.area_mm2 <= outer.area_mm2
    assert 0.0 <= layout.hidden_share < 1.0
    if layout.edge is not Edge.PICTURE:
        assert layout.hidden_share == 0.0
    elif layout.reach_mm > 0.001:
        assert layout.hidden_share > 0.0
    assert layout_in_words(layout)
    assert layout_in_words(layout, inches=True)


@given(LAYOUTS, st.tuples(st.integers(500, 9000), st.integers(500, 9000)))
def test_boxes_in_px_hold_the_picture_as_it_is(layout: Layout, pixels: tuple[int, int]) -> None:
    """The picture's box has exactly its pixels; boxes nest; they are the mm to within a pixel."""
    part = Crop.to_aspect(pixels, layout.picture_aspect).size_px(pixels)
    assume(min(part) > 200)
    boxes = layout.in_pixels(part)
    left, top, right, bottom = boxes.picture
    assert (right - left, bottom - top) == part
    nested = [boxes.face, boxes.side, boxes.folded, boxes.printed, (0, 0, *boxes.sheet)]
    for inner, outer in pairwise(nested):
        assert outer[0] <= inner[0] < inner[2] <= outer[2]
        assert outer[1] <= inner[1] < inner[3] <= outer[3]
    rects = (layout.face, layout.side, layout.folded, layout.printed)
    for box, rect in zip(nested, rects, strict=False):
        for axis in (0, 1):
            px_per_mm = boxes.ppi[axis] / 25.4
            start = (rect.left_mm, rect.top_mm)[axis] * px_per_mm
            length = (rect.width_mm, rect.height_mm)[axis] * px_per_mm
            assert abs(box[axis] - start) <= 1.5
            assert abs(box[axis + 2] - box[axis] - length) <= 2.0
    if layout.edge is Edge.MIRRORED:  # the mirror of the face reaches all the way
        assert boxes.face[0] - boxes.printed[0] <= boxes.face[2] - boxes.face[0]
        assert boxes.face[1] - boxes.printed[1] <= boxes.face[3] - boxes.face[1]


@given(
    st.tuples(st.floats(100.0, 2000.0), st.floats(100.0, 2000.0)),
    st.tuples(st.integers(500, 9000), st.integers(500, 9000)),
    st.floats(0.0, 30.0),
)
def test_a_picture_in_the_middle_of_a_sheet(
    sheet_mm: tuple[float, float], pixels: tuple[int, int], least_mm: float
) -> None:
    """It keeps its shape, touches the least margin on one side, and the sheet is the sheet."""
    assume(1 / 8 < pixels[0] / pixels[1] < 8 and min(sheet_mm) > 2 * least_mm + 100.0)
    try:
        layout = Layout.on_sheet(sheet_mm, pixels, least_mm)
    except SettingError:
        # a strip so thin that less than a centimetre is left
        inner = [side - 2 * least_mm for side in sheet_mm]
        mm = min(inner[0] / pixels[0], inner[1] / pixels[1])
        assert min(pixels) * mm < 10.0
        return
    assert layout.sheet_mm == pytest.approx(sheet_mm)
    assert layout.face_mm[0] / layout.face_mm[1] == pytest.approx(pixels[0] / pixels[1])
    margins = layout.margins
    assert min(margins.left_mm, margins.top_mm) == pytest.approx(least_mm, abs=1e-6)
    assert (margins.left_mm, margins.top_mm) == (margins.right_mm, margins.bottom_mm)
    assert layout.in_pixels(pixels).picture[2] > 0


# ---- bad input -------------------------------------------------------------------------------


def test_what_does_not_go_together() -> None:
    """Each is refused with what to do."""
    with pytest.raises(SettingError, match="leave out the margins, or the wrap and the bleed"):
        Layout((600.0, 400.0), Margins.even(20.0), bleed_mm=3.0)
    with pytest.raises(SettingError, match="use a plain colour"):
        Layout((50.0, 400.0), wrap=Wrap(40.0, 20.0))
    assert Layout((50.0, 400.0), wrap=Wrap(40.0, 20.0), edge=Edge.PLAIN).sheet_mm == (170.0, 520.0)
    with pytest.raises(SettingError, match="red, green and blue from 0 to 1"):
        Layout((600.0, 400.0), edge=Edge.PLAIN, colour=(255.0, 0.0, 0.0))
    with pytest.raises(SettingError, match="narrower margin or a larger sheet"):
        Layout.on_sheet((300.0, 200.0), (3000, 2000), 97.0)


def test_a_picture_of_another_shape_is_to_be_cropped_first() -> None:
    """It is never stretched; a difference of rounding is none."""
    with pytest.raises(SettingError, match=r"crop it to 1.5 to 1"):
        CANVAS.in_pixels((4000, 4000))
    assert CANVAS.in_pixels((6001, 4000)).face[2] == 650 + 6001
    with pytest.raises(SettingError, match="too few pixels for this edge"):
        Layout((10.0, 10.0), wrap=Wrap(40.0), edge=Edge.PICTURE).in_pixels((2, 2))


@pytest.mark.parametrize("value", [math.nan, math.inf, -1.0, 1e9])
def test_lengths_that_make_no_sense(value: float) -> None:
    """No margin, bar or bleed that cannot be."""
    for make in (
        lambda: Margins(left_mm=value),
        lambda: Wrap(value),
        lambda: Wrap(40.0, value),
        lambda: Layout((600.0, 400.0), bleed_mm=value),
        lambda: Layout((value, 400.0)),
        lambda: Layout.on_sheet((600.0, 400.0), (3000, 2000), value),
    ):
        with pytest.raises(SettingError, match="use"):
            make()
