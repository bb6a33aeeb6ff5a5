"""Codes to codes, against published formulas, LittleCMS in float, and what must always hold."""

from __future__ import annotations

from pathlib import Path

import imagecodecs
import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofing.colorimetry import XYZ_to_Lab, delta_E_00
from proofing.errors import Cancelled, SettingError
from proofing.ordering.dither import round_with_noise
from proofing.ordering.edges import Margins
from proofing.ordering.encoding import Converted, convert, is_same_space
from proofing.ordering.order import Order, layout_of
from proofing.ordering.spaces import adobe_rgb, srgb
from proofing.photograph import IccProfile, Photograph, icc, photograph_from_array, read_photograph
from proofing.request import PrintSize
from tests.screen.test_screen import table_profile

ROOT = Path(__file__).resolve().parents[2]
ICC = ROOT / "tests/reference/icc"
FOGRA39 = IccProfile.from_file(ICC / "FOGRA39L_coated.icc")
ROMM = IccProfile.from_file(ICC / "ROMM_RGB.icc")


def ordered(photograph: Photograph, destination: IccProfile | None = None, **more: object) -> Order:
    """An order at 300 ppi."""
    size = PrintSize.default_for(photograph)
    return Order(size, destination or adobe_rgb(), **more)  # type: ignore[arg-type]


def converted(photograph: Photograph, order: Order) -> Converted:
    """Its pixels."""
    return convert(photograph, order, layout_of(order, photograph))


def codes_of(colours: npt.ArrayLike, kind: str = "uint16") -> npt.NDArray[np.generic]:
    """A picture of (N, 3) fractions, large enough to be ordered."""
    row = np.asarray(colours, np.float64)
    top = np.iinfo(kind).max
    return np.repeat(np.rint(row * top).astype(kind)[None], 4, axis=0)


# ---- against what is outside the project -----------------------------------------------------


def test_srgb_to_adobe_rgb_by_the_published_formulas() -> None:
    """IEC 61966-2-1 and Adobe RGB (1998) 4.3.1 share D65, so that one matrix leads across.

    The matrix is worked out here from the primaries; no library and no adaptation has a part.
    """

    def to_XYZ(primaries: list[tuple[float, float]]) -> npt.NDArray[np.float64]:
        xyz = np.array([[x / y, 1.0, (1 - x - y) / y] for x, y in primaries]).T
        x, y = 0.3127, 0.3290
        return xyz * np.linalg.solve(xyz, [x / y, 1.0, (1 - x - y) / y])

    rng = np.random.default_rng(5)
    colours = rng.random((300, 3))
    codes = codes_of(colours)
    V = codes[0] / 65535.0
    linear = np.where(V <= 0.04045, V / 12.92, ((V + 0.055) / 1.055) ** 2.4)
    across = np.linalg.solve(
        to_XYZ([(0.64, 0.33), (0.21, 0.71), (0.15, 0.06)]),
        to_XYZ([(0.64, 0.33), (0.30, 0.60), (0.15, 0.06)]),
    )
    expected = np.clip(linear @ across.T, 0.0, 1.0) ** (256 / 563)
    found = converted(photograph_from_array(codes), ordered(photograph_from_array(codes)))
    # 65535ths: noise of one code, rounding of colorants to 1/65536 near black
    assert np.abs(found.codes[0] - expected * 65535.0).max() < 40.0
    assert found.share_outside == 0.0


@pytest.mark.parametrize("source", [srgb(), ROMM, adobe_rgb()], ids=lambda p: p.description)
@pytest.mark.parametrize("destination", [srgb(), adobe_rgb(), ROMM], ids=lambda p: p.description)
def test_against_one_float_transform_of_littlecms(
    source: IccProfile, destination: IccProfile
) -> None:
    """Straight from profile to profile in float64, black point compensated, without our XYZ."""
    codes = codes_of(np.random.default_rng(7).random((400, 3)))
    photograph = photograph_from_array(codes, source)
    found = converted(photograph, ordered(photograph, destination)).codes
    expected = imagecodecs.cms_transform(
        codes / 65535.0, source.data, destination.data, colorspace="rgb", outcolorspace="rgb",
        outdtype=np.float64, intent=1, flags=256 | 64 | 8192,
    )  # fmt: skip
    # two codes of 65535 by noise, the rest where the library's inverse of a table is coarse
    assert np.abs(found - np.clip(expected, 0, 1) * 65535.0).max() < 25.0


def test_against_eight_bits_of_another_door() -> None:
    """Pillow's own transform of the same profiles, within its rounding and our noise."""
    import io

    from PIL import Image, ImageCms

    rng = np.random.default_rng(3)
    codes = rng.integers(0, 256, (40, 60, 3)).astype(np.uint8)
    photograph = photograph_from_array(codes, ROMM)
    found = converted(photograph, ordered(photograph, srgb(), kind="JPEG")).codes
    made = ImageCms.profileToProfile(
        Image.fromarray(codes), *(io.BytesIO(p.data) for p in (ROMM, srgb())),
        renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
        flags=ImageCms.Flags.BLACKPOINTCOMPENSATION | ImageCms.Flags.NOOPTIMIZE,
    )  # fmt: skip
    off = np.abs(found.astype(int) - np.asarray(made).astype(int))
    assert off.max() <= 2
    assert off.mean() < 0.6


def test_cmyk_through_the_float_chain() -> None:
    """The demonstration's press file keeps its colours: dE00 to LittleCMS's direct way."""
    from PIL import Image

    path = ROOT / "demo/dyers_yard_press.jpg"
    photograph = read_photograph(path)
    assert photograph.facts.mode == "CMYK"
    found = converted(photograph, ordered(photograph)).codes
    with Image.open(path) as image:
        inks = 255 - np.asarray(image) if "adobe" not in image.info else np.asarray(image)
        profile = image.info["icc_profile"]
    percent = inks[::50, ::50].reshape(1, -1, 4) / 2.55
    expected = imagecodecs.cms_transform(
        np.ascontiguousarray(percent), profile, adobe_rgb().data, colorspace="cmyk",
        outcolorspace="rgb", outdtype=np.float64, intent=1, flags=256 | 64 | 8192,
    )[0]  # fmt: skip

    def Lab(values: npt.ArrayLike) -> npt.NDArray[np.float64]:
        return XYZ_to_Lab(icc.device_to_XYZ(adobe_rgb(), np.clip(values, 0, 1), "relative"))

    off = delta_E_00(Lab(found[::50, ::50].reshape(-1, 3) / 65535.0), Lab(expected))
    # the black of a press is found in two ways (ISO 18619 leaves it open): darkest tones differ
    assert np.median(off) < 0.3
    assert off.max() < 2.0


def test_paper_white_of_the_press_is_white() -> None:
    """No ink becomes full red, green and blue: relative colorimetric."""
    codes = np.zeros((20, 30, 4), np.uint8)
    codes[10:] = (0, 0, 0, 255)
    photograph = photograph_from_array(codes, FOGRA39, mode="CMYK")
    found = converted(photograph, ordered(photograph)).codes
    assert found[:9].min() > 65000
    assert found[11:].max() < 10_000  # of black ink alone, lighter than that of all four


# ---- what must hold --------------------------------------------------------------------------


@pytest.mark.parametrize("source", [srgb(), ROMM, adobe_rgb()], ids=lambda p: p.description)
@pytest.mark.parametrize("destination", [srgb(), adobe_rgb(), ROMM], ids=lambda p: p.description)
@pytest.mark.parametrize("kind", ["TIFF", "JPEG"])
@given(levels=st.lists(st.integers(0, 255), min_size=12, max_size=40))
@settings(max_examples=15)
def test_neutrals_stay_neutral_and_keep_their_order(
    source: IccProfile, destination: IccProfile, kind: str, levels: list[int]
) -> None:
    """Red, green and blue of a neutral stay together within a code; lighter stays lighter."""
    row = np.array(sorted(levels), np.uint8)
    photograph = photograph_from_array(
        np.repeat(row[None, :, None], 12, axis=0).repeat(3, 2), source
    )
    order = ordered(photograph, destination, kind=kind)
    found = converted(photograph, order).codes.astype(np.int64)
    assert np.ptp(found, axis=2).max() <= (1 if kind == "JPEG" else 12)
    steps = np.diff(found[..., 1], axis=1)
    # noise of 8 bits may turn equal neighbours round by up to three codes of either depth
    assert steps.min() >= (-3 if kind == "JPEG" else -2)
    assert (np.diff(found.mean(axis=(0, 2)), axis=0) > -1.0).all()


@given(st.data())
@settings(max_examples=20)
def test_grey_is_grey_to_the_code(data: st.DataObject) -> None:
    """A grey photograph has equal channels in the file, whatever its depth and the space."""
    levels = data.draw(st.lists(st.integers(0, 65535), min_size=12, max_size=30))
    codes = np.repeat(np.array(levels, np.uint16)[None], 12, axis=0)
    photograph = photograph_from_array(codes, mode="grey")
    for kind in ("TIFF", "JPEG"):
        found = converted(photograph, ordered(photograph, srgb(), kind=kind)).codes
        assert (found == found[..., :1]).all()


def test_grey_keeps_its_lightness() -> None:
    """CIE L* before and after, by the curve of sRGB (IEC 61966-2-1) and of gamma 563/256."""
    codes = np.repeat(np.arange(256, dtype=np.uint8)[None], 12, axis=0)
    photograph = photograph_from_array(codes, mode="grey")
    found = converted(photograph, ordered(photograph)).codes[0, :, 0] / 65535.0
    V = np.arange(256) / 255.0
    Y = np.where(V <= 0.04045, V / 12.92, ((V + 0.055) / 1.055) ** 2.4)
    white = np.array([0.9642, 1.0, 0.8249])
    before = XYZ_to_Lab(Y[:, None] * white)[:, 0]
    after = XYZ_to_Lab((found ** (563 / 256))[:, None] * white)[:, 0]
    assert np.abs(before - after).max() < 0.02


def test_there_and_back() -> None:
    """sRGB in Adobe RGB (1998) and back: each colour of a grid within a third of an 8-bit code."""
    axis = np.linspace(0, 255, 18).round().astype(np.uint8)
    grid = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(54, 108, 3)
    photograph = photograph_from_array(grid, srgb())
    there = photograph_from_array(converted(photograph, ordered(photograph)).codes, adobe_rgb())
    back = converted(there, ordered(there, srgb())).codes
    off = np.abs(back / 257.0 - grid)
    assert off.max() < 0.35
    assert off.mean() < 0.01


# ---- the same space --------------------------------------------------------------------------


def test_codes_of_the_wanted_space_are_left_as_they_are() -> None:
    """To the bit, in either kind of file, whatever the profile of the encoding calls itself."""
    codes = np.random.default_rng(1).integers(0, 256, (30, 40, 3)).astype(np.uint8)
    for profile in (None, icc.srgb_profile(), srgb()):
        photograph = photograph_from_array(codes, profile)
        assert is_same_space(photograph, srgb())
        small = converted(photograph, ordered(photograph, srgb(), kind="JPEG"))
        large = converted(photograph, ordered(photograph, srgb()))
        assert small.exact
        assert large.exact
        assert (small.codes == codes).all()
        assert (large.codes == codes.astype(np.uint16) * 257).all()
    theirs = photograph_from_array(codes, IccProfile.from_file(ICC / "Adobe_RGB_1998.icc"))
    assert is_same_space(theirs, adobe_rgb())
    assert not is_same_space(theirs, srgb())
    assert not is_same_space(photograph_from_array(codes, ROMM), adobe_rgb())


def test_more_bits_than_the_file_are_rounded_with_noise() -> None:
    """16 bits into 8: what is between two codes keeps its mean."""
    value = 20_000.0 / 257.0
    codes = np.full((200, 300, 3), 20_000, np.uint16)
    photograph = photograph_from_array(codes, srgb())
    found = converted(photograph, ordered(photograph, srgb(), kind="JPEG"))
    assert not found.exact
    assert found.same_space
    assert found.codes.mean() == pytest.approx(value, abs=0.01)
    assert set(np.unique(found.codes)) <= {76, 77, 78, 79}


# ---- noise -----------------------------------------------------------------------------------


@pytest.mark.parametrize("top", [255, 65535])
@pytest.mark.parametrize("code", [0.0, 0.3, 0.999, 1.0, 57.25, 100.5, 253.9, 254.4, 255.0])
def test_noise_keeps_the_mean_and_the_ends_clean(code: float, top: int) -> None:
    """Unbiased at every level, 0 and full scale untouched, never further than 1.5 codes."""
    level = code if code < 128 else code - 255.0 + top
    values = np.full((300, 400, 3), level / top)
    found = round_with_noise(values, top, 0).astype(np.float64)
    assert found.mean() == pytest.approx(level, abs=0.01)
    assert np.abs(found - level).max() <= 1.5
    if level in (0.0, top):
        assert (found == level).all()


def test_noise_hides_bands_and_has_no_coarse_part() -> None:
    """Triangular: the error's spread does not follow the value; low frequencies are weak."""
    spread = []
    for part in (0.0, 0.25, 0.5, 0.75):
        values = np.full((256, 256, 1), (100.0 + part) / 255.0)
        error = round_with_noise(values, 255, 0)[..., 0] - (100.0 + part)
        spread.append(error.std())
        power = np.abs(np.fft.fft(error - error.mean(), axis=1)) ** 2
        assert power[:, 1:16].mean() < 0.7 * power[:, 64:128].mean()
    # variance 1/4 of a code squared (Lipshitz et al. 1992: triangular noise of two codes)
    assert np.allclose(spread, 0.5, atol=0.01)


def test_the_same_picture_gives_the_same_codes_however_it_is_divided() -> None:
    """The noise belongs to the place in the picture."""
    values = np.random.default_rng(2).random((50, 60, 3))
    whole = round_with_noise(values, 255, 0)
    parts = [round_with_noise(values[a:b], 255, a) for a, b in ((0, 7), (7, 31), (31, 50))]
    assert (whole == np.concatenate(parts)).all()


# ---- colours outside, correction, transparency, margins --------------------------------------


def test_colours_outside_are_counted() -> None:
    """A third of the pixels is Adobe RGB's own green, which sRGB lacks; the count says so."""
    codes = np.full((30, 30, 3), 118, np.uint8)
    codes[:10] = (0, 255, 0)
    photograph = photograph_from_array(codes, adobe_rgb())
    found = converted(photograph, ordered(photograph, srgb()))
    assert found.share_outside == pytest.approx(1 / 3)
    assert found.delta_E_most > 3.0
    assert found.delta_E_outside == pytest.approx(found.delta_E_most)
    inside = photograph_from_array(codes, srgb())
    assert converted(inside, ordered(inside)).share_outside == 0.0


def test_a_table_profile_counts_what_its_table_cannot_do() -> None:
    """A profile with tables as destination, such as a lab's own: sRGB in all but name."""
    table = table_profile()
    assert not table.is_matrix
    codes = codes_of(np.repeat([[0.5, 0.5, 0.5], [0.0, 1.0, 0.0]], 15, axis=0))
    found = converted(
        photograph_from_array(codes, adobe_rgb()),
        ordered(photograph_from_array(codes, adobe_rgb()), table),
    )
    assert found.share_outside == pytest.approx(0.5)
    plain = photograph_from_array(codes_of(np.full((30, 3), 0.5)), srgb())
    kept = converted(plain, ordered(plain, table))
    assert kept.share_outside == 0.0
    assert np.abs(kept.codes / 65535.0 - 0.5).max() < 0.02  # its black is compensated


def test_a_correction_is_applied_to_the_photographs_own_codes() -> None:
    """In float, before the conversion: doubling the light of gamma 2 codes is exact in 16 bits."""
    codes = np.full((20, 30, 3), 100, np.uint8)
    photograph = photograph_from_array(codes, srgb())
    seen: list[tuple[tuple[int, ...], str]] = []

    def lift(values: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        seen.append((values.shape, values.dtype.name))
        return values + 0.1234

    found = converted(photograph, ordered(photograph, srgb(), correction=lift))
    assert seen == [((600, 3), "float64")]
    assert found.codes.mean() == pytest.approx((100 / 255 + 0.1234) * 65535, abs=0.1)
    assert found.share_corrected_away == 0.0

    def single(values: npt.NDArray[np.float64]) -> npt.NDArray[np.float32]:
        return (values * 3.0).astype(np.float32)

    away = converted(photograph, ordered(photograph, srgb(), correction=single))
    assert away.share_corrected_away == 1.0
    assert (away.codes == 65535).all()


@pytest.mark.parametrize(
    "correction",
    [lambda c: c[:, :1], lambda c: np.full_like(c, np.nan), lambda c: (c * 255).astype(np.uint8)],
)
def test_a_correction_that_gives_no_codes_is_told_so(correction: object) -> None:
    """Wrong shape, no numbers, or whole ones."""
    photograph = photograph_from_array(np.full((20, 30, 3), 100, np.uint8))
    with pytest.raises(SettingError, match="correction"):
        converted(photograph, ordered(photograph, correction=correction))


def test_what_is_transparent_lies_on_white() -> None:
    """Whole, half and not at all, in the photograph's own codes, as the window shows it."""
    codes = np.zeros((30, 30, 3), np.uint8)
    alpha = np.full((30, 30), 255, np.uint8)
    alpha[:10], alpha[10:20] = 0, 51
    photograph = photograph_from_array(codes, srgb(), alpha=alpha)
    found = converted(photograph, ordered(photograph, srgb(), kind="JPEG"))
    assert found.flattened
    assert found.codes[:10].min() == 255
    assert np.abs(found.codes[10:20].astype(int) - 204).max() <= 1
    assert found.codes[20:].max() == 0


def test_margins_are_the_white_of_the_paper() -> None:
    """Full codes, no noise in them, and the picture in its place."""
    codes = np.full((30, 40, 3), 90, np.uint8)
    photograph = photograph_from_array(codes)
    order = ordered(photograph, margins=Margins(1.0, 2.0, 3.0, 4.0))
    found = converted(photograph, order).codes
    layout = layout_of(order, photograph)
    assert found.shape == (layout.height_px, layout.width_px, 3)
    inside = np.zeros(found.shape[:2], bool)
    inside[layout.top_px : layout.top_px + 30, layout.left_px : layout.left_px + 40] = True
    assert (found[~inside] == 65535).all()
    assert (found[inside] < 30_000).all()


def test_work_can_be_called_off() -> None:
    """Between strips; and progress reaches 1 where it is not."""
    photograph = photograph_from_array(np.zeros((900, 300, 3), np.uint8))
    order = ordered(photograph)
    layout = layout_of(order, photograph)
    with pytest.raises(Cancelled):
        convert(photograph, order, layout, cancel=lambda: True)
    told: list[float] = []
    convert(photograph, order, layout, cancel=lambda: False, progress=told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0
    assert len(told) > 1


def test_floats_beyond_the_scale_are_cut_off() -> None:
    """And no number of the file is changed by noise at the ends."""
    codes = np.full((20, 30, 3), 1.7, np.float32)
    codes[:10] = -0.2
    photograph = photograph_from_array(codes, srgb())
    found = converted(photograph, ordered(photograph, srgb())).codes
    assert (found[:10] == 0).all()
    assert (found[10:] == 65535).all()
