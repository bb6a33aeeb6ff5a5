"""Size, ppi and distance against figures of practice, plain geometry, and what must always hold."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.state import facts
from app.words import sharpness_in_words
from proofing.errors import SettingError
from proofing.findings.sight import pixel_arcmin
from proofing.language import Speech, speak
from proofing.ordering import size
from proofing.ordering.lengths import distance_text, size_text, width_text
from proofing.ordering.size import (
    SHARP_EYES,
    Fineness,
    largest_mm,
    largest_sizes,
    ppi_on_paper,
    resolved_ppi,
    sharp_from_diagonals,
    sharp_from_m,
    usual_distance_m,
)
from proofing.ordering.size_words import any_size_in_words, distance_in_words, size_in_words
from proofing.request import READING_DISTANCE_M, PrintSize

PIXELS = st.tuples(st.integers(1, 30_000), st.integers(1, 30_000))
SIZES = st.tuples(st.floats(10.0, 20_000.0), st.floats(10.0, 20_000.0))
DISTANCES = st.floats(0.05, 100.0)
PPI = st.floats(1.0, 2000.0)
MP_24 = (6000, 4000)
INCH_M = 0.0254


def inches(mm: tuple[float, float]) -> list[float]:
    """Sides in inches, to a tenth."""
    return [round(side / 25.4, 1) for side in mm]


# ---- figures of practice ---------------------------------------------------------------------


@pytest.mark.parametrize(("ppi", "expected"), [(300.0, [20.0, 13.3]), (150.0, [40.0, 26.7])])
def test_24_megapixels(ppi: float, expected: list[float]) -> None:
    """24 megapixels print 20 x 13.3 in at 300 ppi, 40 x 26.7 in at 150 (common practice)."""
    assert expected == inches(largest_mm(MP_24, ppi))


@pytest.mark.parametrize(("distance_in", "expected"), [(12, 286), (24, 143), (48, 72), (96, 36)])
def test_one_minute_of_arc(distance_in: int, expected: int) -> None:
    """3438 / distance in inches: the usual table of acuity (Snellen; common practice)."""
    assert expected == round(resolved_ppi(distance_in * INCH_M))
    assert resolved_ppi(distance_in * INCH_M, SHARP_EYES) == pytest.approx(2 * expected, abs=1.0)
    assert round(resolved_ppi(INCH_M * 12) * 12) == 3438


def test_pixels_at_that_distance_are_a_minute_of_arc_wide() -> None:
    """Plain trigonometry, without the small angle's shortcut, and the angle that findings use."""
    for ppi in (36.0, 127.0, 300.0):
        distance_m = sharp_from_m(ppi)
        pixel_m = INCH_M / ppi
        angle = math.degrees(2.0 * math.atan(pixel_m / 2.0 / distance_m)) * 60.0
        assert angle == pytest.approx(1.0, rel=1e-6)
        assert pixel_arcmin(25.4 / ppi, distance_m) == pytest.approx(1.0, rel=1e-6)


def test_150_and_300_ppi_differ_at_arms_length_and_not_at_4_feet() -> None:
    """Common practice says so; sharp eyes tell 150 ppi from more at 24 in, and not at 48 in."""
    size_mm = largest_mm(MP_24, 150.0)
    assert not Fineness(MP_24, size_mm, 24 * INCH_M).is_sharp_to_sharp_eyes
    assert Fineness(MP_24, size_mm, 48 * INCH_M).is_sharp_to_sharp_eyes


def test_a_print_of_4_by_6_feet_is_fine_at_100_ppi_from_8_feet() -> None:
    """Common practice; sharp eyes at 8 ft resolve 72 ppi."""
    seen = Fineness((7200, 4800), (72 * 25.4, 48 * 25.4), 96 * INCH_M)
    assert seen.ppi == pytest.approx(100.0)
    assert seen.is_sharp_to_sharp_eyes
    assert round(seen.sharp_eyes_ppi) == 72


def test_billboards() -> None:
    """Billboards use 10 to 20 ppi (common practice): sharp from across the street."""
    assert 4.0 < sharp_from_m(20.0) < sharp_from_m(10.0) < 9.0


def test_halving_the_ppi_doubles_the_print() -> None:
    """The pixels stay (common practice)."""
    once, twice = largest_mm(MP_24, 240.0), largest_mm(MP_24, 120.0)
    assert [2 * side for side in once] == pytest.approx(twice)


def test_the_example_of_the_window() -> None:
    """3000 px on 60 cm: 127 ppi, sharp from 69 cm (worked by hand: 3438 / 127 = 27.1 in)."""
    print_ = Fineness.from_where_people_stand((3000, 2000), (600.0, 400.0))
    assert round(print_.ppi) == 127
    assert round(print_.sharp_from_m, 2) == 0.69
    assert round(print_.sharp_eyes_from_m, 2) == 1.38
    assert size_in_words(print_) == (
        "At 60 × 40 cm the file gives 127 ppi: sharp from 69 cm and further."
    )


def test_the_program_has_one_figure_for_each() -> None:
    """What the setting, the request and the sizes take for usual is the same."""
    assert facts.DIAGONALS_AWAY == size.DIAGONALS_AWAY
    assert facts.NEAREST_M == size.NEAREST_M == READING_DISTANCE_M
    assert facts.DEFAULT_PPI == size.ENOUGH_PPI == size.PRACTICE_PPI[0]


# ---- what must always hold -------------------------------------------------------------------


@given(DISTANCES, st.sampled_from([1.0, SHARP_EYES]))
def test_distance_there_and_back(distance_m: float, times: float) -> None:
    """From a distance to what is resolved, and back."""
    assert sharp_from_m(resolved_ppi(distance_m, times), times) == pytest.approx(distance_m)


@given(PIXELS, PPI)
def test_size_there_and_back(pixels: tuple[int, int], ppi: float) -> None:
    """From a ppi to the largest size that holds it, and back."""
    size_mm = largest_mm(pixels, ppi)
    if min(size_mm) >= 10.0 and max(size_mm) <= 20_000.0:
        assert ppi_on_paper(pixels, size_mm) == pytest.approx(ppi)


@given(PIXELS, SIZES)
def test_never_more_pixels_than_the_file_has(
    pixels: tuple[int, int], size_mm: tuple[float, float]
) -> None:
    """ppi times the sides is at most the file, and one side is used whole."""
    used = [ppi_on_paper(pixels, size_mm) * side / 25.4 / px
            for side, px in zip(size_mm, pixels, strict=True)]  # fmt: skip
    assert max(used) == pytest.approx(1.0)
    assert min(used) <= 1.0 + 1e-12


@given(PIXELS, SIZES, st.floats(1.0, 3.0), st.floats(1.0, 3.0))
def test_larger_prints_are_coarser(
    pixels: tuple[int, int], size_mm: tuple[float, float], wider: float, higher: float
) -> None:
    """More paper never has more pixels to the inch, nor is it sharp from nearer."""
    larger = min(size_mm[0] * wider, 20_000.0), min(size_mm[1] * higher, 20_000.0)
    assert ppi_on_paper(pixels, larger) <= ppi_on_paper(pixels, size_mm)
    assert sharp_from_m(ppi_on_paper(pixels, larger)) >= sharp_from_m(ppi_on_paper(pixels, size_mm))


@given(PIXELS, SIZES, DISTANCES, st.floats(1.0, 3.0))
def test_who_steps_back_sees_it_no_less_sharp(
    pixels: tuple[int, int], size_mm: tuple[float, float], distance_m: float, further: float
) -> None:
    """What is sharp stays so from further away, and sharp eyes are never less demanding."""
    near = Fineness(pixels, size_mm, distance_m)
    far = Fineness(pixels, size_mm, min(distance_m * further, 100.0))
    assert far.is_sharp_to_the_eye >= near.is_sharp_to_the_eye
    assert far.is_sharp >= near.is_sharp
    assert near.is_sharp_to_the_eye >= near.is_sharp_to_sharp_eyes


@given(PIXELS, DISTANCES)
def test_largest_sizes_keep_the_shape_and_hold_what_they_say(
    pixels: tuple[int, int], distance_m: float
) -> None:
    """The smallest comes first, each is as fine as asked, and one is what the eye asks for."""
    found = largest_sizes(pixels, distance_m)
    widths = [one.fineness.size_mm[0] for one in found]
    assert widths == sorted(widths)
    assert sum(one.by_eye for one in found) <= 1
    for one in found:
        assert one.fineness.ppi >= one.asked_ppi * (1 - 1e-9)
        if max(one.fineness.size_mm) < 19_999.0:
            assert one.fineness.ppi == pytest.approx(one.asked_ppi)
            width, height = one.fineness.size_mm
            assert width / height == pytest.approx(pixels[0] / pixels[1])
        if one.by_eye:
            assert one.fineness.is_sharp_to_the_eye


@given(PIXELS, SIZES)
def test_the_diagonal_decides_whatever_the_size(
    pixels: tuple[int, int], size_mm: tuple[float, float]
) -> None:
    """A print of the picture's shape is sharp from the same number of its diagonals."""
    mm = size_mm[0] / pixels[0]
    shaped = pixels[0] * mm, pixels[1] * mm
    if min(shaped) >= 10.0 and max(shaped) <= 20_000.0:
        away = sharp_from_m(ppi_on_paper(pixels, shaped)) * 1000.0 / math.hypot(*shaped)
        assert sharp_from_diagonals(pixels) == pytest.approx(away)


@given(SIZES)
def test_where_people_stand(size_mm: tuple[float, float]) -> None:
    """1.5 times the diagonal, and no nearer than an eye sees clearly."""
    assert usual_distance_m(size_mm) == max(0.25, 1.5 * PrintSize(*size_mm).diagonal_mm / 1000.0)


def test_the_largest_print_is_20_metres() -> None:
    """From 100 m less than a pixel to the inch would do; prints end at 20 m."""
    by_eye = largest_sizes(MP_24, 100.0)[-1]
    assert by_eye.by_eye
    assert by_eye.asked_ppi == pytest.approx(0.87, abs=0.01)
    assert by_eye.fineness.size_mm[0] == 20_000.0


# ---- words -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ppi", "distance_m", "said"),
    [
        (127.0, 1.5, "both find it sharp"),
        (127.0, 0.7, "find it sharp from 1.38 m on"),
        (127.0, 0.5, "single pixels may show"),
        (127.0, 0.62, "single pixels may show"),
        (127.0, 0.64, "at the edge of what shows, and from 69 cm on"),
        (310.0, 0.25, "no more than 300 ppi is asked of a print (common practice)"),
        (310.0, 0.3, "find it sharp from 56 cm on"),
        (310.0, 3.0, "both find it sharp"),
    ],
)
def test_every_case_has_its_sentence(ppi: float, distance_m: float, said: str) -> None:
    """What an eye makes of it, and what would help where it is too coarse."""
    seen = Fineness(MP_24, largest_mm(MP_24, ppi), distance_m)
    words = distance_in_words(seen)
    assert said in words
    assert ("single pixels" in words) != seen.is_sharp
    assert ("single pixels may show" in words) != seen.is_almost_sharp


@given(PIXELS, SIZES, DISTANCES)
def test_the_sizes_and_the_sentence_of_the_proof_agree(
    pixels: tuple[int, int], size_mm: tuple[float, float], distance_m: float
) -> None:
    """The note beside a proof warns exactly where this calls a print too coarse."""
    seen = Fineness(pixels, size_mm, distance_m)
    assert bool(sharpness_in_words(seen.ppi, distance_m)) != seen.is_sharp


@given(PIXELS, SIZES, DISTANCES, st.booleans())
def test_words_never_fail_and_every_length_has_its_unit(
    pixels: tuple[int, int], size_mm: tuple[float, float], distance_m: float, in_inches: bool
) -> None:
    """Whatever the numbers, there are sentences; inches only where they are asked for."""
    seen = Fineness(pixels, size_mm, distance_m)
    said = size_in_words(seen, inches=in_inches) + distance_in_words(seen, inches=in_inches)
    assert " ppi" in said
    assert (" cm" not in said and " m " not in said) if in_inches else " in the" not in said
    assert "nan" not in said + any_size_in_words(pixels)


def test_the_advice_can_be_followed() -> None:
    """Printed as large as it says, it is sharp from the distance."""
    coarse = Fineness((3000, 2000), (600.0, 400.0), 0.5)
    assert "43.6 × 29.1 cm" in distance_in_words(coarse)
    assert Fineness((3000, 2000), coarse.largest_sharp_mm, 0.5).is_sharp


def test_numbers_have_the_readers_decimal_sign() -> None:
    """A reader of commas reads commas."""
    before = speak(Speech(decimal_sign=","))
    try:
        assert size_text((435.0, 290.0)) == "43,5 × 29 cm"
        assert distance_text(1.22) == "1,22 m"
    finally:
        speak(before)


@pytest.mark.parametrize(
    ("metres", "metric", "customary"),
    [(0.25, "25 cm", "10 in"), (0.994, "99 cm", "3.3 ft"), (0.999, "1 m", "3.3 ft"),
     (2.0, "2 m", "6.6 ft")],
)  # fmt: skip
def test_distances_as_told(metres: float, metric: str, customary: str) -> None:
    """Centimetres below a metre, inches below a yard."""
    assert metric == distance_text(metres)
    assert customary == distance_text(metres, inches=True)
    assert width_text(9.5) == "9.5 mm"
    assert width_text(25.4, inches=True) == "1 in"


# ---- bad input -------------------------------------------------------------------------------


@pytest.mark.parametrize("value", [math.nan, math.inf, -1.0, 0.0, 1e12])
def test_numbers_that_make_no_sense(value: float) -> None:
    """Each is refused with the field and what to use."""
    with pytest.raises(SettingError, match=r"size_mm .*use 10 mm to 20 m"):
        ppi_on_paper(MP_24, (value, 400.0))
    with pytest.raises(SettingError, match=r"distance_m .*use 0.05 to 100 m"):
        resolved_ppi(value)
    with pytest.raises(SettingError):
        Fineness(MP_24, (600.0, 400.0), value)
    if value != 1e12:
        with pytest.raises(SettingError, match="above 0"):
            largest_mm(MP_24, value)


@pytest.mark.parametrize("pixels", [(0, 10), (10, -1), (10.0, 10), (True, 10), (10,)])
def test_pixels_that_are_none(pixels: tuple[int, int]) -> None:
    """A picture has whole pixels, at least one each way."""
    with pytest.raises(SettingError, match=r"pixels"):
        largest_mm(pixels, 300.0)
