"""Crops: their shape, their place, and that they never make a pixel."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from proofing.errors import SettingError
from proofing.ordering.crop import Crop

PIXELS = st.tuples(st.integers(1, 30_000), st.integers(1, 30_000))
ASPECTS = st.floats(0.2, 5.0)
SHARES = st.floats(-2.0, 2.0)


@pytest.mark.parametrize(
    ("aspect", "box", "lost"),
    [
        (1.5, (0, 0, 6000, 4000), 0.0),
        (1.0, (1000, 0, 5000, 4000), 33.3),  # the middle two thirds
        (1.25, (500, 0, 5500, 4000), 16.7),
        (2.0, (0, 500, 6000, 3500), 25.0),
        (0.75, (1500, 0, 4500, 4000), 50.0),
    ],
)
def test_shapes_of_a_3_to_2_picture(
    aspect: float, box: tuple[int, int, int, int], lost: float
) -> None:
    """Worked by hand, centred."""
    crop = Crop.to_aspect((6000, 4000), aspect)
    assert box == crop.box_px((6000, 4000))
    assert lost == round(100 * crop.lost_share, 1)
    assert crop.is_whole == (lost == 0.0)


@given(PIXELS, ASPECTS, st.tuples(SHARES, SHARES))
def test_the_part_lies_within_the_picture_and_has_its_shape(
    pixels: tuple[int, int], aspect: float, centre: tuple[float, float]
) -> None:
    """The largest of its shape, never more pixels than there are, within a pixel of the shape."""
    if not 1 / 40 < pixels[0] / pixels[1] < 40:
        return
    crop = Crop.to_aspect(pixels, aspect, centre)
    left, top, right, bottom = crop.box_px(pixels)
    assert 0 <= left < right <= pixels[0]
    assert 0 <= top < bottom <= pixels[1]
    assert (right - left, bottom - top) == crop.size_px(pixels)
    assert max(crop.width, crop.height) == 1.0
    assert crop.aspect(pixels) == pytest.approx(aspect)
    width, height = crop.size_px(pixels)
    if min(crop.width * pixels[0], crop.height * pixels[1]) >= 1.0:
        assert abs(width - crop.width * pixels[0]) <= 0.5
        assert abs(height - crop.height * pixels[1]) <= 0.5
    assert 0.0 <= crop.lost_share < 1.0


@given(PIXELS, ASPECTS, SHARES, SHARES)
def test_moving_changes_nothing_but_the_place(
    pixels: tuple[int, int], aspect: float, right: float, down: float
) -> None:
    """It stops at the edges, loses as much, and has as many pixels."""
    if not 1 / 40 < pixels[0] / pixels[1] < 40:
        return
    crop = Crop.to_aspect(pixels, aspect)
    moved = crop.moved(right, down)
    assert (moved.width, moved.height) == (crop.width, crop.height)
    assert moved.size_px(pixels) == crop.size_px(pixels)
    assert moved.lost_share == crop.lost_share
    assert moved.left + moved.width <= 1.0 + 1e-12
    lost = moved.lost_at
    assert lost[0] + lost[2] == pytest.approx(1.0 - moved.width, abs=1e-9)
    assert lost[1] + lost[3] == pytest.approx(1.0 - moved.height, abs=1e-9)


def test_moved_to_the_side_and_back() -> None:
    """A square of a 3:2 picture has room on both sides, none above."""
    crop = Crop.to_aspect((6000, 4000), 1.0)
    left = crop.moved(-1.0, -1.0)
    assert left.box_px((6000, 4000)) == (0, 0, 4000, 4000)
    assert left.moved(1.0, 0.0).box_px((6000, 4000)) == (2000, 0, 6000, 4000)
    assert Crop.to_aspect((6000, 4000), 1.0, (0.0, 0.5)) == left


@given(PIXELS, PIXELS, ASPECTS)
def test_a_crop_fits_any_size_of_the_same_picture(
    pixels: tuple[int, int], other: tuple[int, int], aspect: float
) -> None:
    """Being shares, it names a box of at least a pixel in a small copy, too."""
    if not 1 / 40 < pixels[0] / pixels[1] < 40:
        return
    left, top, right, bottom = Crop.to_aspect(pixels, aspect).box_px(other)
    assert 0 <= left < right <= other[0]
    assert 0 <= top < bottom <= other[1]


@given(st.tuples(st.floats(0.001, 1.0), st.floats(0.001, 1.0)), st.tuples(SHARES, SHARES), PIXELS)
def test_any_part_moved_anywhere_stays_within(
    part: tuple[float, float], by: tuple[float, float], pixels: tuple[int, int]
) -> None:
    """Rounding never reaches beyond the picture."""
    left, top, right, bottom = Crop(0.0, 0.0, *part).moved(*by).box_px(pixels)
    assert 0 <= left < right <= pixels[0]
    assert 0 <= top < bottom <= pixels[1]


def test_half_pixels() -> None:
    """The right half of three pixels is the last two."""
    assert Crop(0.5, 0.0, 0.5, 1.0).box_px((3, 1)) == (1, 0, 3, 1)


def test_words() -> None:
    """What is lost, and on which sides."""
    assert Crop.to_aspect((6000, 4000), 1.25).in_words == (
        "Cropping loses 16.7 % of the picture: 8.3 % of its width at the left and 8.3 % at the "
        "right."
    )
    assert Crop(0.1, 0.2, 0.8, 0.5).in_words == (
        "Cropping loses 60 % of the picture: 10 % of its width at the left and 10 % at the right, "
        "20 % of its height above and 30 % below."
    )


@pytest.mark.parametrize(
    "values",
    [(-0.1, 0, 1, 1), (0, 0, 0, 1), (0, 0, 1.1, 1), (0.5, 0, 0.6, 1), (0, 0.5, 1, 0.6),
     (math.nan, 0, 1, 1), (0, 0, math.nan, 1), (0, 0, 1, math.inf), (1.0, 0, 0.5, 1)],
)  # fmt: skip
def test_rectangles_that_are_none(values: tuple[float, float, float, float]) -> None:
    """Empty ones and those beyond the picture are refused, with advice."""
    with pytest.raises(SettingError, match=r"use a share|reaches beyond"):
        Crop(*values)


@pytest.mark.parametrize("aspect", [0.0, -1.0, math.nan, math.inf, 1000.0])
def test_shapes_that_are_none(aspect: float) -> None:
    """A shape is 1/50 to 50."""
    with pytest.raises(SettingError, match="1/50 to 50"):
        Crop.to_aspect((6000, 4000), aspect)
    with pytest.raises(SettingError):
        Crop.to_aspect((6000, 4000), 1.0, (math.nan, 0.5))
    with pytest.raises(SettingError):
        Crop().moved(math.inf, 0.0)
