"""Intents, black point, spectra, and the lab's own profile."""

from __future__ import annotations

import functools

import imagecodecs
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofing.colorimetry import (
    PCS_WHITE_XYZ,
    Float,
    Lab_to_XYZ,
    XYZ_to_Lab,
    d50_weights,
    delta_E_00,
)
from proofing.photograph.icc import IccProfile, adobe_rgb_profile, device_to_XYZ, srgb_profile
from proofing.printing import (
    Intent,
    Rendering,
    Source,
    Stock,
    compensate_black,
    map_colours,
    print_colours,
    stock_from_profile,
)
from proofing.printing.mapping import clip
from proofing.printing.space import XYZ_to_ucs
from tests.reference.cgats import ICC_FOLDER, read_set

from .stocks import NAMES, catalogue, stock

RENDERINGS = (
    Rendering(Intent.RELATIVE, True),
    Rendering(Intent.RELATIVE, False),
    Rendering(Intent.ABSOLUTE),
    Rendering(Intent.PERCEPTUAL),
)


def srgb(codes: Float) -> Float:
    """Media-relative XYZ of sRGB codes 0..1."""
    return device_to_XYZ(srgb_profile(), codes, "relative")


SRGB = Source(0.0, srgb)


def greys(count: int = 256) -> Float:
    """Media-relative XYZ of a grey ramp in sRGB."""
    return srgb(np.repeat(np.linspace(0, 1, count)[:, None], 3, axis=1))


# ---- black point compensation ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("Y_black", "expected"),
    [(0.022387, (0.19126, 0.19836, 0.16363)), (10**-2.30, (0.17752, 0.18411, 0.15187))],
)
def test_iso_18619_numbers(Y_black: float, expected: tuple[float, float, float]) -> None:
    """ISO 18619:2015, 18 % grey from black 0 to D 1.65 and D 2.30, computed from its formula."""
    grey = np.array([[0.17356, 0.18, 0.14848]])
    assert expected == pytest.approx(compensate_black(grey, 0.0, Y_black)[0].tolist(), abs=2e-5)


def lcms(values: Float, source: bytes, destination: bytes, **kw: object) -> Float:
    """An independent float conversion, straight through the colour management library."""
    converted = imagecodecs.cms_transform(
        np.ascontiguousarray(values[None]), source, destination, outdtype=np.float64, **kw
    )
    return np.asarray(converted, dtype=np.float64).reshape(len(values), -1)


@functools.cache
def press() -> IccProfile:
    """An open CMYK press profile, FOGRA39 coated (see tests/reference/icc/LICENCE.md)."""
    return IccProfile.from_file(ICC_FOLDER / "FOGRA39L_coated.icc")


@functools.cache
def press_stock() -> Stock:
    return stock_from_profile(press(), catalogue().ink_sets)


def test_black_point_compensation_is_that_of_littlecms() -> None:
    """sRGB greys to the press profile: LittleCMS's own compensation, device to Lab and back, is
    within 0.35 dE00 of ours on neutrals that the press's tables invert well, L* within 0.4."""
    XYZ = greys(33)[6:]
    ours = compensate_black(XYZ, 0.0, press_stock().black_media_relative_Y)
    codes = np.repeat(np.linspace(0, 1, 33)[6:, None], 3, axis=1)
    flags = 256 | 8192
    cmyk = lcms(codes, srgb_profile().data, press().data, colorspace="rgb",
                outcolorspace="cmyk", intent=1, flags=flags)  # fmt: skip
    Lab = lcms(cmyk, press().data, imagecodecs.cms_profile("lab4"), colorspace="cmyk",
               outcolorspace="lab", intent=1, flags=256)  # fmt: skip
    difference = delta_E_00(XYZ_to_Lab(ours), Lab)
    assert difference.mean() < 0.35
    assert np.abs(XYZ_to_Lab(ours)[:, 0] - Lab[:, 0]).max() < 0.4


# ---- described stocks -----------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("rendering", RENDERINGS)
def test_neutrals_stay_neutral_and_in_order(name: str, rendering: Rendering) -> None:
    """Grey ramp, 1024 steps. Relative to the paper greys bend only toward the tint of the black
    (absolute: against the perfect diffuser, wherever the paper can be hidden). Lightness never
    falls; for the absolute intent lightness as CIECAM16 sees it, and to 0.15 of its
    unit: CIECAM16 bends the chroma of near-blacks, which this intent has to hide or show."""
    s = stock(name)
    mapped = map_colours(s, greys(1024), rendering, SRGB)
    relative = XYZ_to_Lab(mapped.printed * s.to_media_relative)
    absolute = XYZ_to_Lab(mapped.printed)
    if rendering.intent is Intent.ABSOLUTE:
        free = (absolute[:, 0] > s.black_Lab[0] + 4) & (absolute[:, 0] < s.white_Lab[0] - 4)
        assert np.hypot(absolute[free, 1], absolute[free, 2]).max() < 0.2
        J = XYZ_to_ucs(mapped.printed * s.to_media_relative)[:, 0]
        assert (J - np.maximum.accumulate(J)).min() > -0.15  # below a just-noticeable step
    else:
        assert np.hypot(relative[:, 1], relative[:, 2]).max() < 1.0
        free = relative[:, 0] > relative[0, 0] + 12
        assert np.hypot(relative[free, 1], relative[free, 2]).max() < 0.05
        assert np.diff(relative[:, 0]).min() > -1e-4
    if rendering.compensates:
        assert np.diff(relative[:, 0]).min() > 0  # every one of 1024 tones is its own


@settings(max_examples=80, deadline=None)
@given(
    st.sampled_from(NAMES),
    st.sampled_from(RENDERINGS),
    st.floats(0, 1),
    st.floats(0, 1),
)
def test_any_two_greys_keep_their_order(
    name: str, rendering: Rendering, one: float, other: float
) -> None:
    """The darker code never prints lighter (lightness J', see above)."""
    s = stock(name)
    low, high = sorted((one, other))
    XYZ = srgb(np.array([[low] * 3, [high] * 3]))
    mapped = map_colours(s, XYZ, rendering, SRGB)
    J = XYZ_to_ucs(mapped.printed * s.to_media_relative)[:, 0]
    assert J[1] - J[0] > (-0.15 if rendering.intent is Intent.ABSOLUTE else -1e-4)


@pytest.mark.parametrize("name", NAMES)
def test_in_gamut_colours_print_as_asked(name: str) -> None:
    """Relative colorimetric: what is inside keeps its colour to the last digit, and the mark's
    channel is negative there, positive outside."""
    s = stock(name)
    colorants = np.random.default_rng(8).random((3000, 3)) * 0.9
    XYZ = s.model.XYZ(colorants) * s.to_media_relative
    margin = s.gamut.margin(*s.gamut.to_axis(XYZ_to_ucs(XYZ)))
    mapped = map_colours(s, XYZ, Rendering(Intent.RELATIVE, False))
    well = margin > 0.0
    assert well.mean() > 0.97
    difference = delta_E_00(XYZ_to_Lab(mapped.wanted), XYZ_to_Lab(mapped.printed))
    assert difference[well].max() < 1e-9
    assert (mapped.miss[well] <= 0).all()


@pytest.mark.parametrize("name", NAMES)
def test_spectra_have_exactly_the_printed_colour(name: str) -> None:
    """Reflectance plus emission under D50 give the printed XYZ; no reflectance is negative."""
    s = stock(name)
    codes = np.random.default_rng(9).random((4000, 3))
    printed = print_colours(s, srgb(codes), Rendering(), SRGB)
    XYZ = (printed.reflectance + printed.emission) @ d50_weights()
    assert np.abs(XYZ - printed.mapped.printed).max() < 1e-9
    assert printed.reflectance.min() > 0


def test_paper_and_black_ends() -> None:
    """White prints bare paper, black prints the black, for the compensated intents."""
    for name in NAMES:
        s = stock(name)
        for rendering in (RENDERINGS[0], RENDERINGS[3]):
            mapped = map_colours(s, greys(2), rendering, SRGB)
            Lab = XYZ_to_Lab(mapped.printed)
            assert s.white_Lab.tolist() == pytest.approx(Lab[1].tolist(), abs=2e-3)
            assert Lab[0, 0] == pytest.approx(s.black_Lab[0], abs=0.6)


def test_absolute_shows_the_paper_tint_of_the_source() -> None:
    """Absolute colorimetric: a mid-grey prints as a mid-grey against the perfect diffuser, on
    brightened and on warm paper alike (ICC.1:2022, 6.2.3)."""
    for name in ("smooth matte", "canvas"):
        mapped = map_colours(stock(name), greys(3), Rendering(Intent.ABSOLUTE), SRGB)
        assert XYZ_to_Lab(greys(3)[1]).tolist() == pytest.approx(
            XYZ_to_Lab(mapped.printed[1]).tolist(), abs=1e-6
        )


def test_matte_holds_less_than_gloss() -> None:
    """Common practice: of the colours of sRGB more are out of gamut on canvas than on matte, on
    matte than on baryta."""
    codes = np.random.default_rng(10).random((8000, 3))
    shares = [
        float((map_colours(stock(n), srgb(codes), Rendering(), SRGB).miss > 3).mean())
        for n in ("canvas", "smooth matte", "baryta")
    ]
    assert shares == sorted(shares, reverse=True)


# ---- profiled stocks ------------------------------------------------------------------------


def test_the_profile_reads_its_own_white_and_black() -> None:
    """FOGRA39L: the paper patch and the darkest colour of the open data (ISO 12647-2 coated)."""
    data = read_set(ICC_FOLDER / "FOGRA39L.cgats.gz")
    paper = data.Lab[np.flatnonzero(data.CMYK.sum(axis=1) == 0)[0]]
    s = press_stock()
    assert float(delta_E_00(paper, s.white_Lab)) < 0.5
    # the darkest grey of the profile's own separation is lighter than the darkest patch, which has
    # more ink than is ever printed; LittleCMS in float agrees on it
    flags = 256
    cmyk = lcms(np.zeros((1, 3)), imagecodecs.cms_profile("lab4"), press().data,
                colorspace="lab", outcolorspace="cmyk", intent=1, flags=flags)  # fmt: skip
    Lab = lcms(cmyk, press().data, imagecodecs.cms_profile("lab4"), colorspace="cmyk",
               outcolorspace="lab", intent=3, flags=flags)  # fmt: skip
    assert float(delta_E_00(Lab[0], s.black_Lab)) < 0.1
    assert data.Lab[:, 0].min() < s.black_Lab[0] < 17


def test_profiled_route_predicts_the_measured_patches() -> None:
    """1617 patches of FOGRA39L (open data): their Lab, sent to the press absolutely and read
    back, comes out as measured to dE00 0.25 on average for colours the table can invert, and the
    device-to-Lab direction to the same over all of them."""
    from proofing.photograph.icc import device_to_Lab

    data = read_set(ICC_FOLDER / "FOGRA39L.cgats.gz")
    predicted = device_to_Lab(press(), data.CMYK, "absolute")
    difference = delta_E_00(predicted, data.Lab)
    assert len(difference) == 1617
    assert difference.mean() <= 0.25
    XYZ = Lab_to_XYZ(data.Lab)
    mapped = map_colours(press_stock(), XYZ, Rendering(Intent.ABSOLUTE))
    back = delta_E_00(XYZ_to_Lab(mapped.printed), data.Lab)
    assert np.median(back) < 0.5


@pytest.mark.parametrize("intent", ["perceptual", "relative", "absolute"])
@pytest.mark.parametrize("bpc", [True, False])
@pytest.mark.parametrize("encoding", [srgb_profile, adobe_rgb_profile])
def test_profiled_simulation_against_an_independent_chain(
    intent: str, bpc: bool, encoding: object
) -> None:
    """Random colours straight through LittleCMS in float, source to press and press to absolute
    Lab: mean dE00 <= 0.1, 99th percentile <= 0.5."""
    profile = encoding()  # type: ignore[operator]
    codes = np.random.default_rng(11).random((6000, 3))
    number = ["perceptual", "relative", "saturation", "absolute"].index(intent)
    flags = 256 | (8192 if bpc else 0)
    cmyk = lcms(codes, profile.data, press().data, colorspace="rgb", outcolorspace="cmyk",
                intent=number, flags=flags)  # fmt: skip
    Lab = lcms(cmyk, press().data, imagecodecs.cms_profile("lab4"), colorspace="cmyk",
               outcolorspace="lab", intent=3, flags=256)  # fmt: skip
    XYZ = device_to_XYZ(profile, codes, "relative")
    mapped = map_colours(press_stock(), XYZ, Rendering(Intent(intent), bpc))
    difference = delta_E_00(XYZ_to_Lab(mapped.printed), Lab)
    assert difference.mean() <= 0.1
    assert np.percentile(difference, 99) <= 0.5


def test_spectra_of_a_profiled_stock_carry_its_colours() -> None:
    """The lent spectra reproduce the profile's colorimetry exactly, also outside the model."""
    codes = np.random.default_rng(12).random((3000, 3))
    printed = print_colours(press_stock(), srgb(codes), Rendering(), SRGB)
    XYZ = (printed.reflectance + printed.emission) @ d50_weights()
    assert delta_E_00(XYZ_to_Lab(XYZ), XYZ_to_Lab(printed.mapped.printed)).max() < 0.01
    assert printed.reflectance.min() > 0
    assert printed.reflectance.max() < 1.3


def test_coated_beats_uncoated_beats_newsprint() -> None:
    """Open press data (FOGRA39L coated, FOGRA29L uncoated, Technical Report TR 002 newsprint):
    stocks made of their measured white and black print gamuts and blacks in that order, as the
    measured patches themselves do (common practice)."""
    from scipy.spatial import ConvexHull

    from proofing.printing import stock_from_measurement

    volumes, measured, blacks = [], [], []
    for name in ("FOGRA39L", "FOGRA29L", "TR002"):
        data = read_set(ICC_FOLDER / f"{name}.cgats.gz")
        Lab = XYZ_to_Lab(data.XYZ)
        white, black = Lab[Lab[:, 0].argmax()], Lab[Lab[:, 0].argmin()]
        made = stock_from_measurement(name, white, black, catalogue().ink_sets)
        volumes.append(made.gamut_volume)
        blacks.append(made.Dmax)
        measured.append(ConvexHull(Lab).volume)
    assert volumes == sorted(volumes, reverse=True)
    assert blacks == sorted(blacks, reverse=True)
    assert measured == sorted(measured, reverse=True)


def test_srgb_is_larger_than_a_coated_press_gamut() -> None:
    """Common practice: the volume of sRGB in CIELAB exceeds that of coated offset; and our volume
    of the press profile lies within 15 % of that of the measured patches' hull."""
    from scipy.spatial import ConvexHull

    from proofing.printing.gamut import cube_faces, mesh_volume

    vertices, triangles = cube_faces(33)
    of_srgb = mesh_volume(XYZ_to_Lab(srgb(vertices)), triangles)
    measured = ConvexHull(read_set(ICC_FOLDER / "FOGRA39L.cgats.gz").Lab).volume
    assert of_srgb > 1.5 * press_stock().gamut_volume
    assert press_stock().gamut_volume == pytest.approx(measured, rel=0.15)


def test_white_is_paper_for_every_relative_rendering_of_a_profile() -> None:
    """Paper white is not lost in the library's white fix-up."""
    for rendering in (RENDERINGS[0], RENDERINGS[1]):
        mapped = map_colours(press_stock(), PCS_WHITE_XYZ[None], rendering)
        assert float(delta_E_00(XYZ_to_Lab(mapped.printed), press_stock().white_Lab)[0]) < 0.1


# ---- order and smoothness beyond greys ------------------------------------------------------


def romm_profile() -> IccProfile:
    return IccProfile.from_file(ICC_FOLDER / "ROMM_RGB.icc")


@pytest.mark.parametrize("encoding", [srgb_profile, adobe_rgb_profile, romm_profile])
@pytest.mark.parametrize("rendering", RENDERINGS)
@pytest.mark.parametrize("name", ["smooth matte", "gloss"])
def test_ramps_from_black_to_any_colour_do_not_turn_back(
    name: str, rendering: Rendering, encoding: object
) -> None:
    """Ramps of 256 codes from black to saturated colours: nineteen in twenty never fall back by
    more than one L*; relative with compensation, the everyday case, by no more than half."""
    profile = encoding()  # type: ignore[operator]
    rng = np.random.default_rng(13)
    ends = rng.random((60, 3))
    ends /= ends.max(axis=1, keepdims=True)
    codes = (ends[:, None] * np.linspace(0, 1, 256)[None, :, None]).reshape(-1, 3)

    def to_XYZ(values: Float) -> Float:
        return device_to_XYZ(profile, values, "relative")

    mapped = map_colours(stock(name), to_XYZ(codes), rendering, Source(0.0, to_XYZ))
    L = XYZ_to_Lab(mapped.printed)[:, 0].reshape(60, 256)
    fall = (np.maximum.accumulate(L, axis=1) - L).max(axis=1)
    everyday = rendering == RENDERINGS[0] and encoding is not romm_profile
    assert np.percentile(fall, 95) < (0.5 if everyday else 1.0)


@pytest.mark.parametrize("encoding", [srgb_profile, adobe_rgb_profile, romm_profile])
def test_perceptual_black_is_the_stocks_black_in_every_encoding(encoding: object) -> None:
    """SGCK scales the source's lightness to the stock's: black prints black, and the noise of
    near-blacks is not blown up (spread on the print at most three times that in the file)."""
    profile = encoding()  # type: ignore[operator]

    def to_XYZ(values: Float) -> Float:
        return device_to_XYZ(profile, values, "relative")

    near = np.random.default_rng(14).normal(0.02, 0.004, (2000, 3)).clip(0, 1)
    for name in ("smooth matte", "canvas", "gloss"):
        s = stock(name)
        black = map_colours(s, to_XYZ(np.zeros((1, 3))), RENDERINGS[3], Source(0.0, to_XYZ))
        assert XYZ_to_Lab(black.printed)[0, 0] == pytest.approx(s.black_Lab[0], abs=0.35)
        noisy = map_colours(s, to_XYZ(near), RENDERINGS[3], Source(0.0, to_XYZ))
        in_file = XYZ_to_Lab(to_XYZ(near))[:, 0].std()
        assert XYZ_to_Lab(noisy.printed)[:, 0].std() < 3 * in_file + 0.05


def test_compensation_is_no_excuse_for_duller_colours() -> None:
    """Common practice: a deep colour prints duller on matte than on gloss. Compensated for black it
    lies inside matte's gamut, and yet counts as out of gamut by the dE00 (colour-science) from its
    own a* and b* at the lightness that ISO 18619 gives it, or by what it misses uncompensated if
    that is less; a tone that is all but neutral does not, however dark, nor a brown that the stock
    can hold (L* 44, C*ab 37: inside canvas uncompensated)."""
    from colour.difference import delta_E_CIE2000

    deep = np.array([[12.0, 15.0, -30.0], [20.0, -20.0, 12.0], [18.0, 28.0, 15.0]])
    neutral = np.array([[5.0, 0.0, 0.0], [10.0, 4.0, -6.0], [20.0, -5.0, 5.0], [44, 22.0, 30.0]])
    misses = {}
    for name in ("canvas", "smooth matte", "lustre", "gloss"):
        s = stock(name)
        XYZ = Lab_to_XYZ(np.vstack([deep, neutral]))
        mapped = map_colours(s, XYZ, Rendering(Intent.RELATIVE, True))
        lifted = XYZ_to_Lab(compensate_black(XYZ, 0.0, s.black_media_relative_Y))
        asked = np.column_stack([lifted[:3, 0], deep[:, 1:]])
        scale = s.to_media_relative
        plain = map_colours(s, XYZ[:3], Rendering(Intent.RELATIVE, False)).printed
        expected = np.minimum(
            delta_E_CIE2000(XYZ_to_Lab(Lab_to_XYZ(asked) / scale), XYZ_to_Lab(mapped.printed[:3])),
            delta_E_CIE2000(XYZ_to_Lab(XYZ[:3] / scale), XYZ_to_Lab(plain)),
        )
        off = expected > 1.0
        assert mapped.miss[:3][off] == pytest.approx(expected[off], abs=0.02)
        assert (mapped.miss[:3][~off] < 1.0).all()
        assert (mapped.miss[3:] < 1.0).all()
        misses[name] = mapped.miss[:3]
    for worse, better in zip(list(misses)[:-1], list(misses)[1:], strict=True):
        assert (misses[worse] > misses[better]).all()
    assert (misses["smooth matte"] > 3.0).all()


def test_perceptual_squeezes_what_relative_clips() -> None:
    """CIE 156 SGCK: along a ramp of chroma from grey to the sRGB green, the perceptual rendering
    keeps steps apart beyond the gamut where the relative one prints one colour; inside 70 % of
    the gamut it leaves the chroma where the relative one has it within 8 %."""
    s = stock("smooth matte")
    t = np.linspace(0, 1, 41)[:, None]
    codes = (1 - t) * np.array([[0.55, 0.55, 0.55]]) + t * np.array([[0.0, 1.0, 0.0]])
    chroma = {}
    for rendering in (RENDERINGS[0], RENDERINGS[3]):
        mapped = map_colours(s, srgb(codes), rendering, SRGB)
        chroma[rendering.intent] = np.hypot(*mapped.ucs[:, 1:].T), mapped
    relative, perceptual = chroma[Intent.RELATIVE], chroma[Intent.PERCEPTUAL]
    asked = compensate_black(srgb(codes), 0.0, s.black_media_relative_Y)
    outside = np.flatnonzero(clip(XYZ_to_ucs(asked), asked[:, 1], s.gamut)[1] < -1.0)
    assert len(outside) > 5
    steps = {
        k: np.linalg.norm(np.diff(v[1].ucs[outside], axis=0), axis=1) for k, v in chroma.items()
    }
    assert steps[Intent.PERCEPTUAL].min() > 0.03
    last = outside[0]
    assert perceptual[0][last] < relative[0][last] - 0.5  # squeezed below the surface
    inner = slice(2, int(0.5 * last))
    assert np.abs(perceptual[0][inner] / relative[0][inner] - 1).max() < 0.08


def test_light_tints_find_the_nearest_printable_colour() -> None:
    """Tints near white, where the gamut is a thin tip: what is printed is within 1.5 dE00 of the
    best of many printable colours (brute force over the ink model)."""
    s = stock("smooth matte")
    colorants = np.random.default_rng(15).random((60_000, 3)) ** 3 * 0.5
    printable = XYZ_to_Lab(s.model.XYZ(colorants))
    for code in ([255, 255, 230], [245, 255, 245], [230, 255, 255], [255, 240, 250]):
        mapped = map_colours(s, srgb(np.array([code]) / 255.0), Rendering(), SRGB)
        best = delta_E_00(XYZ_to_Lab(mapped.wanted), printable).min()
        assert float(mapped.miss[0]) < best + 1.5


def test_absolute_shows_the_paper_a_press_file_was_made_for() -> None:
    """FOGRA39 CMYK rendered absolutely on the same press: bare paper and a 50 % black come out
    with the Lab they have (ICC.1:2022, 6.2.3), within the round trip of the tables."""
    from proofing.photograph import photograph_from_array
    from proofing.photograph.icc import device_to_Lab

    cmyk = np.array([[[0, 0, 0, 0], [0, 0, 0, 128]]], np.uint8)
    encoding = photograph_from_array(cmyk, press(), mode="CMYK").encoding
    codes = photograph_from_array(cmyk, press(), mode="CMYK").codes[0] / 65535.0
    source = Source(encoding.black_Y, None, encoding.media_white_XYZ)
    mapped = map_colours(press_stock(), encoding.to_XYZ(codes), Rendering(Intent.ABSOLUTE), source)
    expected = device_to_Lab(press(), cmyk[0] / 255.0, "absolute")
    assert delta_E_00(XYZ_to_Lab(mapped.printed), expected).max() < 1.0


@pytest.mark.parametrize("name", NAMES)
def test_edges_of_a_wide_encoding_neither_turn_back_nor_leap(name: str) -> None:
    """ROMM RGB, black to its blue (outside the spectral locus, ISO 22028-2) and on to white, 512
    codes each, relative with compensation: L* never falls from black to blue by more than 0.2 and
    from blue to white by more than 1.5, and no code leaps by more than 1.5 dE00."""
    t = np.linspace(0, 1, 512)[:, None]
    blue = np.array([[0.0, 0.0, 1.0]])

    def to_XYZ(values: Float) -> Float:
        return device_to_XYZ(romm_profile(), values, "relative")

    for codes, most in ((t * blue, 0.2), (blue + t * (1 - blue), 1.5)):
        mapped = map_colours(stock(name), to_XYZ(codes), Rendering(), Source(0.0, to_XYZ))
        Lab = XYZ_to_Lab(mapped.printed)
        assert (np.maximum.accumulate(Lab[:, 0]) - Lab[:, 0]).max() < most
        assert delta_E_00(Lab[1:], Lab[:-1]).max() < 1.5


def test_a_bright_yellow_stays_yellow_in_the_absolute_rendering() -> None:
    """sRGB black to yellow on gloss: the last codes, lighter than paper, keep their chroma, within
    the 25 units b* of what relative prints; no code leaps."""
    t = np.linspace(0, 1, 512)[:, None]
    codes = t * np.array([[1.0, 1.0, 0.0]])
    printed = {
        rendering.intent: XYZ_to_Lab(map_colours(stock("gloss"), srgb(codes), rendering).printed)
        for rendering in (RENDERINGS[0], RENDERINGS[2])
    }
    absolute = printed[Intent.ABSOLUTE]
    assert absolute[-1, 2] > printed[Intent.RELATIVE][-1, 2] - 25
    assert delta_E_00(absolute[1:], absolute[:-1]).max() < 1.5
