"""What may be ordered, and the measures that follow."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from proofing.errors import ProfileError, SettingError
from proofing.ordering.edges import Margins
from proofing.ordering.order import Order, kind_of, layout_of
from proofing.ordering.spaces import adobe_rgb, order_space, srgb
from proofing.photograph import IccProfile, Photograph, icc, photograph_from_array
from proofing.request import PrintSize

ICC = Path(__file__).resolve().parents[1] / "reference/icc"


def picture(width: int = 60, height: int = 40) -> Photograph:
    """A grey card of some pixels."""
    return photograph_from_array(np.full((height, width, 3), 118, np.uint8))


def test_the_start_is_a_16_bit_tiff_in_adobe_rgb() -> None:
    """A good order file is a 16-bit TIFF in Adobe RGB (1998) (common practice)."""
    order = Order(PrintSize(60, 40))
    assert (order.kind, order.bits, order.destination) == ("TIFF", 16, adobe_rgb())
    assert order.black_point_compensation
    assert not order.keep_location
    assert Order(PrintSize(60, 40)) == order


def test_24_megapixels_at_300_and_150_ppi() -> None:
    """6000 x 4000 px are 20 x 13.3 in at 300 ppi and 40 x 26.7 in at 150 (common practice)."""
    photograph = photograph_from_array(np.broadcast_to(np.uint8(118), (4000, 6000)), mode="grey")
    for inches, ppi in ((20.0, 300), (40.0, 150)):
        size = PrintSize(inches * 25.4, inches * 25.4 * 2 / 3)
        layout = layout_of(Order(size), photograph)
        assert layout.ppi == ppi
        assert layout.size_mm == pytest.approx((size.width_mm, size.height_mm), rel=1e-9)
        assert (layout.width_px, layout.height_px) == (6000, 4000)


@given(width=st.integers(20, 9000), ratio=st.floats(0.3, 3.0), mm=st.floats(30.0, 5000.0))
def test_the_size_is_met_to_a_hundredth_of_a_millimetre(
    width: int, ratio: float, mm: float
) -> None:
    """Whatever the pixels: the ppi is a fraction that TIFF can hold (two 32-bit numbers)."""
    height = max(20, round(width * ratio))
    photograph = photograph_from_array(np.broadcast_to(np.uint8(0), (height, width)), mode="grey")
    try:
        size = PrintSize(mm, mm * height / width)
    except SettingError:
        return
    layout = layout_of(Order(size), photograph)
    assert layout.ppi.numerator < 2**32
    assert layout.ppi.denominator < 2**32
    size_mm = size.width_mm, size.height_mm
    assert layout.size_mm == pytest.approx(size_mm, abs=0.01, rel=1e-5)  # few pixels on metres


def test_margins_are_whole_pixels_around_the_picture() -> None:
    """25.4 mm at 30 ppi are 30 px; the size of the picture itself does not change."""
    order = Order(PrintSize(50.8, 33.867), margins=Margins(5.08, 25.4, 0.0, 12.7))
    layout = layout_of(order, picture())
    assert layout.ppi == Fraction(30)
    assert (layout.top_px, layout.right_px, layout.bottom_px, layout.left_px) == (30, 0, 15, 6)
    assert (layout.width_px, layout.height_px) == (66, 85)
    assert layout.picture_mm == pytest.approx((50.8, 33.867), abs=0.01)


def test_another_shape_is_not_ordered() -> None:
    """Pixels are neither stretched nor cut; the size that would do is told."""
    with pytest.raises(SettingError, match="60 x 40 mm"):
        layout_of(Order(PrintSize(60, 60)), picture())
    layout_of(Order(PrintSize(60, 40.3)), picture())  # under 1 %: trimming takes more


def test_a_reduced_copy_is_not_ordered() -> None:
    """What the window shows from afar has not all pixels."""
    with pytest.raises(SettingError, match="the picture itself"):
        layout_of(Order(PrintSize(60, 40)), picture().level(1))


def test_what_no_file_can_hold() -> None:
    """Sides of a JPEG end at 65 500 px, a TIFF at 4 GB."""
    strip = photograph_from_array(np.broadcast_to(np.uint8(0), (33, 66_000)), mode="grey")
    with pytest.raises(SettingError, match="order a TIFF"):
        layout_of(Order(PrintSize(20_000, 10), kind="JPEG"), strip)
    layout_of(Order(PrintSize(20_000, 10)), strip)
    fine = photograph_from_array(np.broadcast_to(np.uint8(0), (2000, 4000)), mode="grey")
    with pytest.raises(SettingError, match="smaller margins"):
        layout_of(Order(PrintSize(20, 10), margins=Margins.even(500)), fine)


def test_a_press_space_is_refused() -> None:
    """An order file is not converted to inks: CMYK holds less than even sRGB (common practice)."""
    press = IccProfile.from_file(ICC / "FOGRA39L_coated.icc")
    with pytest.raises(SettingError, match="RGB"):
        Order(PrintSize(60, 40), destination=press)
    with pytest.raises(SettingError, match="RGB"):
        Order(PrintSize(60, 40), destination=icc.grey_profile())
    with pytest.raises(SettingError, match="TIFF or JPEG"):
        Order(PrintSize(60, 40), kind="PNG")  # type: ignore[arg-type]


def test_spaces_by_name(tmp_path: Path) -> None:
    """Short names, published names, and files."""
    assert order_space(" Adobe-RGB ") == order_space("Adobe RGB (1998)") == adobe_rgb()
    assert order_space("srgb") == order_space("sRGB") == srgb()
    assert order_space(str(ICC / "ROMM_RGB.icc")).space == "RGB"
    with pytest.raises(SettingError, match="adobe-rgb, srgb"):
        order_space("rec.709 or so")
    with pytest.raises(ProfileError):
        order_space(str(tmp_path / "gone.icc"))


@pytest.mark.parametrize(
    ("name", "kind"), [("a.tif", "TIFF"), ("b.TIFF", "TIFF"), ("c.jpg", "JPEG"), ("d.Jpeg", "JPEG")]
)
def test_the_ending_says_the_kind(name: str, kind: str) -> None:
    """In any case of letters."""
    assert kind_of(name) == kind


@pytest.mark.parametrize("name", ["a.png", "a", "tif", "a.tif.bak"])
def test_other_endings_are_told_which_would_do(name: str) -> None:
    """All four are listed."""
    with pytest.raises(SettingError, match=r"\.tif, \.tiff, \.jpg or \.jpeg"):
        kind_of(name)
