"""The photograph: what is said about a file, what its codes mean, its reduced copies."""

from __future__ import annotations

import json
import struct
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from PIL import Image

from proofing.colorimetry import PCS_WHITE_XYZ, Lab_to_XYZ, XYZ_to_Lab, delta_E_00
from proofing.errors import ProfileError, SettingError, UnsupportedPicture
from proofing.photograph import (
    Encoding,
    IccProfile,
    Photograph,
    photograph_from_array,
    read_photograph,
)
from proofing.photograph.icc import (
    adobe_rgb_profile,
    device_to_Lab,
    device_to_XYZ,
    gamma_profile,
    grey_profile,
    srgb_profile,
)
from tests.photograph.making import exif_block, pillow_file, png, ramp, tiff_file
from tests.reference.cgats import ICC_FOLDER, read_set

FOGRA39 = IccProfile.from_file(ICC_FOLDER / "FOGRA39L_coated.icc")
ADOBE = IccProfile.from_file(ICC_FOLDER / "Adobe_RGB_1998.icc")
ROMM = IccProfile.from_file(ICC_FOLDER / "ROMM_RGB.icc")


@pytest.fixture
def opened(tmp_path: Path) -> Any:
    """A photograph of the bytes of a file."""

    def open_bytes(data: bytes) -> Photograph:
        path = tmp_path / "harbour.xyz"
        path.write_bytes(data)
        return read_photograph(path)

    return open_bytes


# ---- what is said ---------------------------------------------------------------------------


def test_embedded_profile_is_honoured_and_named(opened: Any) -> None:
    """Adobe RGB (1998) in a 16-bit TIFF: the name, the profile and every code."""
    codes = ramp(3, "uint16")
    photograph = opened(tiff_file(codes, photometric="rgb", iccprofile=ADOBE.data))
    facts = photograph.facts
    assert facts.space == "Adobe RGB (1998)"
    assert facts.profile == "Compatible with Adobe RGB (1998)"
    assert (facts.profile_status, facts.note) == ("embedded", "")
    assert (facts.width, facts.height, facts.mode, facts.bits) == (34, 21, "RGB", 16)
    assert photograph.encoding == Encoding("RGB", ADOBE)
    assert photograph.codes.dtype == np.uint16
    assert np.array_equal(codes, photograph.codes)
    assert photograph.name == "harbour.xyz" and photograph.path is not None


@pytest.mark.parametrize(
    ("profile", "space"), [(ROMM, "ROMM RGB"), (srgb_profile(), "sRGB")], ids=["ROMM", "sRGB"]
)
def test_spaces_are_named_by_their_primaries(opened: Any, profile: IccProfile, space: str) -> None:
    """Whatever the profile calls itself."""
    data = pillow_file(Image.fromarray(ramp(3, "uint8")), "JPEG", icc_profile=profile.data)
    assert opened(data).facts.space == space


def test_a_profile_under_a_wrong_name_is_said(opened: Any) -> None:
    """'Compatible with Adobe RGB (1998)' as the description of other primaries, and of sRGB's."""
    text = "Adobe RGB (1998)".encode("utf-16-be")

    def renamed(profile: IccProfile) -> bytes:
        data = bytearray(profile.data)
        for index in range(struct.unpack(">I", data[128:132])[0]):
            at = 132 + 12 * index
            if data[at : at + 4] == b"desc":
                tag = b"mluc" + struct.pack(">3I2s2s2I", 0, 1, 12, b"en", b"US", len(text), 28)
                data[at + 4 : at + 12] = struct.pack(">II", len(data), len(tag + text))
                data += tag + text
        data[:4] = struct.pack(">I", len(data))
        return bytes(data)

    image = Image.fromarray(ramp(3, "uint8"))
    facts = opened(pillow_file(image, "JPEG", icc_profile=renamed(srgb_profile()))).facts
    assert facts.space == "sRGB" and "are those of sRGB" in facts.note
    facts = opened(pillow_file(image, "JPEG", icc_profile=renamed(ROMM))).facts
    assert facts.space == "ROMM RGB"
    odd = gamma_profile(1.0, (0.3127, 0.3290), ((0.7, 0.3), (0.2, 0.7), (0.14, 0.05)))
    facts = opened(pillow_file(image, "JPEG", icc_profile=renamed(odd))).facts
    assert "by name only" in facts.space and "not those of Adobe RGB" in facts.note


def test_no_profile_is_said(opened: Any) -> None:
    """sRGB for colours, its curve for grey."""
    RGB = opened(png(ramp(3, "uint8"), 2))
    assert (RGB.facts.space, RGB.facts.profile_status) == ("sRGB", "assumed")
    assert RGB.facts.note == "No profile is embedded; sRGB is assumed."
    assert RGB.facts.profile is None
    assert RGB.encoding == Encoding("RGB", srgb_profile())
    grey = opened(png(ramp(1, "uint8"), 0))
    assert grey.facts.note == "No profile is embedded; the curve of sRGB is assumed."
    assert grey.encoding == Encoding("grey", grey_profile())


def test_a_broken_profile_is_said(opened: Any) -> None:
    """And sRGB is assumed."""
    broken = ADOBE.data[:9000]
    facts = opened(png(ramp(3, "uint8"), 2, chunks={b"iCCP": _iccp(broken)})).facts
    assert (facts.space, facts.profile_status, facts.profile) == ("sRGB", "broken", None)
    assert facts.note == "The embedded profile is broken; sRGB is assumed."
    facts = opened(png(ramp(3, "uint8"), 2, chunks={b"iCCP": b"x\0\0garbage"})).facts
    assert facts.profile_status == "broken"


def _iccp(profile: bytes) -> bytes:
    import zlib

    return b"profile\0\0" + zlib.compress(profile)


@pytest.mark.parametrize(
    ("channels", "photometric", "profile", "words"),
    [
        (3, "rgb", FOGRA39, "is for CMYK, the pixels are RGB; sRGB is assumed."),
        (3, "rgb", grey_profile(), "is for grey, the pixels are RGB; sRGB is assumed."),
        (1, "minisblack", ADOBE, "is for RGB, the pixels are grey; the curve of sRGB"),
        (4, "separated", ADOBE, "is for RGB, the pixels are CMYK; what these inks"),
    ],
)
def test_a_profile_of_the_wrong_kind_is_said(
    opened: Any, channels: int, photometric: str, profile: IccProfile, words: str
) -> None:
    """Both kinds are named, and what is assumed instead."""
    codes = ramp(channels, "uint8")
    codes = codes[..., 0] if channels == 1 else codes
    facts = opened(tiff_file(codes, photometric=photometric, iccprofile=profile.data)).facts
    assert facts.profile_status == "wrong kind" and facts.profile is None
    assert words in facts.note


def test_a_tag_in_place_of_a_profile_is_honoured_and_said(opened: Any) -> None:
    """Interoperability R03 is Adobe RGB (1998) (DCF 2.0); the sRGB chunk of PNG is sRGB."""
    image = Image.fromarray(ramp(3, "uint8"))
    tagged = opened(pillow_file(image, "JPEG", exif=exif_block(1, 65535, b"R03")))
    assert tagged.facts.space == "Adobe RGB (1998)"
    assert tagged.encoding.profile == adobe_rgb_profile()
    assert "the camera's tag (Exif) says Adobe RGB (1998), which is used" in tagged.facts.note
    linear = opened(png(ramp(3, "uint8"), 2, chunks={b"gAMA": struct.pack(">I", 100000)}))
    assert linear.facts.space == "RGB, gamma 1"
    assert "PNG gAMA, cHRM) says RGB, gamma 1, which is used" in linear.facts.note
    marked = opened(png(ramp(3, "uint8"), 2, chunks={b"sRGB": b"\0"}))
    assert "PNG sRGB) says sRGB, which is used" in marked.facts.note


def test_inks_without_a_profile_are_said_to_be_a_guess(opened: Any) -> None:
    """Documented default: R = (1 - C)(1 - K), and so on, in sRGB."""
    codes = np.zeros((1, 3, 4), np.uint8)
    codes[0, 0] = 255, 0, 0, 0
    codes[0, 1] = 0, 102, 255, 51
    photograph = opened(tiff_file(np.repeat(codes, 8, axis=0), photometric="separated"))
    assert photograph.codes[0].tolist() == [[0, 255, 255], [204, 122, 0], [255, 255, 255]]
    assert photograph.encoding == Encoding("RGB", srgb_profile())
    assert photograph.facts.space == "CMYK, no profile"
    assert "Ask for the file with its profile" in photograph.facts.note


def test_shares_are_counted_by_channel() -> None:
    """Against numpy, one condition at a time."""
    codes = np.random.default_rng(20).integers(0, 4, (60, 70, 3)).astype(np.uint8) * 85
    facts = photograph_from_array(codes).facts
    for c, name in enumerate(("red", "green", "blue")):
        channel = facts.channels[c]
        assert channel.name == name
        assert channel.share_at_bottom == pytest.approx((codes[..., c] == 0).mean())
        assert channel.share_at_top == pytest.approx((codes[..., c] == 255).mean())
    lost = (codes == 255).any(axis=-1) | (codes == 0).all(axis=-1)
    assert facts.share_clipped == pytest.approx(lost.mean())


@pytest.mark.parametrize("dtype", ["uint16", "float32"])
def test_shares_of_other_depths(dtype: str) -> None:
    """65535 and 1.0 are the tops; floats beyond count as at the end, and are said."""
    top = 1.0 if dtype == "float32" else 65535
    codes = np.full((10, 10, 3), top / 2).astype(dtype)
    codes[0], codes[1, :5] = top, 0
    photograph = photograph_from_array(codes)
    assert [c.share_at_top for c in photograph.facts.channels] == [0.1] * 3
    assert [c.share_at_bottom for c in photograph.facts.channels] == [0.05] * 3
    assert photograph.facts.share_clipped == pytest.approx(0.15)
    if dtype == "float32":
        codes[0], codes[1, :5] = 7.0, -0.5
        beyond = photograph_from_array(codes).facts
        assert beyond.share_clipped == pytest.approx(0.15)
        assert beyond.share_outside == pytest.approx(0.15)
        assert "15 % of the pixels reach below 0 or above 1" in beyond.note
        assert photograph.facts.share_outside == 0.0


def test_transparent_pixels_are_not_counted() -> None:
    """What cannot be seen cannot be lost."""
    codes = np.full((4, 4, 3), 255, np.uint8)
    codes[0] = 100
    alpha = np.zeros((4, 4), np.uint8)
    alpha[:2] = 128
    facts = photograph_from_array(codes, alpha=alpha).facts
    assert facts.share_clipped == 0.5 and facts.has_alpha


def test_shares_of_inks(opened: Any) -> None:
    """Clipped: bare paper, or full black. The mask says where."""
    codes = np.full((2, 4, 4), 100, np.uint8)
    codes[0, 0], codes[0, 1, 3], codes[0, 2, 0] = 0, 255, 255
    codes = np.repeat(codes, 8, axis=0)
    photograph = opened(tiff_file(codes, photometric="separated", iccprofile=FOGRA39.data))
    assert [c.name for c in photograph.facts.channels] == ["cyan", "magenta", "yellow", "black"]
    assert photograph.facts.channels[0].share_at_top == pytest.approx(1 / 8)
    assert photograph.facts.share_clipped == pytest.approx(2 / 8)
    assert photograph.clip.clipped is not None
    assert photograph.clip.clipped[0].tolist() == [True, True, False, False]


def test_facts_as_plain_data(opened: Any) -> None:
    """Ready for JSON, under the agreed keys."""
    facts = opened(pillow_file(Image.fromarray(ramp(3, "uint8")), "JPEG", dpi=(240, 240))).facts
    plain = json.loads(json.dumps(facts.as_dict()))
    assert list(plain) == [
        "width", "height", "mode", "bits", "space", "profile", "profile_status", "note", "ppi",
        "has_alpha", "channels", "share_clipped",
    ]  # fmt: skip
    assert plain["ppi"] == 240.0
    assert plain["channels"][2]["name"] == "blue"


def test_few_bits_are_said(opened: Any) -> None:
    """One bit in the file, eight held."""
    codes = np.random.default_rng(21).integers(0, 2, (9, 16, 1)).astype(np.uint8)
    facts = opened(png(codes, 0, bits=1)).facts
    assert facts.bits == 8
    assert "The file has 1 bit a channel; 8 are held." in facts.note


# ---- what codes mean ------------------------------------------------------------------------


def test_encoding_of_srgb() -> None:
    """IEC 61966-2-1: white is D50 here, and code 188 is 0.5029 of it."""
    encoding = photograph_from_array(ramp(3, "uint8")).encoding
    XYZ = encoding.to_XYZ(np.array([[1.0] * 3, [188 / 255] * 3]))
    assert XYZ.dtype == np.float64
    assert np.allclose(PCS_WHITE_XYZ, XYZ[0], atol=3e-5)
    assert XYZ[1, 1] == pytest.approx(0.502886, abs=1e-5)


def test_grey_is_one_plane_seen_three_times() -> None:
    """No copy is made, and the colour is that of the grey axis."""
    codes = ramp(1, "uint16")
    grey = photograph_from_array(codes, mode="grey")
    assert grey.codes.shape == (21, 34, 3) and grey.codes.strides[2] == 0
    assert np.array_equal(np.repeat(codes, 3, axis=2), grey.codes)
    values = grey.codes.reshape(-1, 3) / 65535
    RGB = device_to_XYZ(srgb_profile(), values, "relative")
    assert np.abs(RGB - grey.encoding.to_XYZ(values)).max() < 1e-4


def test_inks_become_Lab_once(opened: Any) -> None:
    """FOGRA39L patches as pixels: the colours of the route for single values, dE00 0.05."""
    inks = np.rint(read_set("FOGRA39L").CMYK[:1600] * 65535).astype(np.uint16).reshape(40, 40, 4)
    photograph = opened(tiff_file(inks, photometric="separated", iccprofile=FOGRA39.data))
    assert photograph.encoding.kind == "Lab" and photograph.codes.dtype == np.uint16
    XYZ = photograph.encoding.to_XYZ(photograph.codes.reshape(-1, 3) / 65535)
    exact = device_to_Lab(FOGRA39, inks.reshape(-1, 4) / 65535, "relative")
    assert delta_E_00(exact, XYZ_to_Lab(XYZ)).max() < 0.05
    assert photograph.facts.space == "FOGRA39L Coated"
    assert (photograph.facts.mode, photograph.facts.bits) == ("CMYK", 16)


def test_Lab_pictures(opened: Any) -> None:
    """ICC encoding: code 32896 of 65535 is 0 on a* and b* (ICC.1:2022, table 13)."""
    codes = np.full((8, 8, 3), 32896, np.uint16)
    codes[..., 0] = 32768
    photograph = photograph_from_array(codes, mode="Lab")
    XYZ = photograph.encoding.to_XYZ(photograph.codes[0] / 65535)
    assert np.allclose(Lab_to_XYZ([50.0, 0.0, 0.0]), XYZ, atol=1e-4)
    assert photograph.facts.space == "CIELAB, D50"


def test_encodings_go_on_beyond_one_and_refuse_other_shapes() -> None:
    """Equality is by key."""
    encoding = Encoding("RGB", srgb_profile())
    assert encoding == Encoding("RGB", IccProfile.from_bytes(srgb_profile().data))
    assert encoding != Encoding("RGB", ADOBE) and hash(encoding) != hash(Encoding("RGB", ADOBE))
    with pytest.raises(ProfileError, match=r"\(N, 3\) is needed"):
        encoding.to_XYZ(np.zeros((4, 4, 3)))


# ---- keys and immutability ------------------------------------------------------------------


def test_keys_follow_the_content(opened: Any, tmp_path: Path) -> None:
    """The name does not matter; a code, a profile, an alpha do."""
    codes = ramp(3, "uint8")
    other = codes.copy()
    other[0, 0, 0] ^= 1
    alpha = np.full(codes.shape[:2], 7, np.uint8)
    pictures = [
        photograph_from_array(codes),
        photograph_from_array(other),
        photograph_from_array(codes, ADOBE),
        photograph_from_array(codes, alpha=alpha),
        photograph_from_array(codes.astype(np.uint16)),
    ]
    assert len(set(pictures)) == 5
    assert photograph_from_array(codes, name="again") == pictures[0]
    first, second = tmp_path / "one.png", tmp_path / "two.png"
    for path in (first, second):
        path.write_bytes(png(codes, 2))
    assert read_photograph(first) == read_photograph(second)
    assert read_photograph(first).key == read_photograph(first).key


def test_nothing_can_be_written_to() -> None:
    """Codes, alpha and mask are read-only, and the array given stays the caller's."""
    codes = ramp(3, "uint8")
    photograph = photograph_from_array(codes, alpha=np.full((21, 34), 9, np.uint8))
    before = photograph.codes.copy()
    codes[:] = 0
    assert np.array_equal(before, photograph.codes)
    for array in (photograph.codes, photograph.alpha, photograph.level(1).codes):
        assert array is not None and not array.flags.writeable


@pytest.mark.parametrize(
    ("codes", "mode", "words"),
    [
        (np.zeros((4, 4)), "RGB", "no RGB picture"),
        (np.zeros((4, 4, 4), np.uint8), "RGB", "no RGB picture"),
        (np.zeros((0, 4, 3), np.uint8), "RGB", "no RGB picture"),
        (np.zeros((4, 4, 3), np.int32), "RGB", "int32"),
        (np.zeros((4, 4, 3), np.uint8), "Lab", "give uint16"),
        (np.zeros((4, 4, 3), np.uint8), "palette", "no palette picture"),
    ],
)
def test_arrays_that_are_no_pictures(codes: Any, mode: Any, words: str) -> None:
    """Shape and type are not guessed."""
    with pytest.raises(UnsupportedPicture, match=words):
        photograph_from_array(codes, mode=mode)
    with pytest.raises(UnsupportedPicture, match="alpha does not fit"):
        photograph_from_array(ramp(3, "uint8"), alpha=np.zeros((2, 2), np.uint8))


# ---- reduced copies -------------------------------------------------------------------------


def box_mean(codes: np.ndarray, side: int) -> np.ndarray:
    """The mean of every box, box by box."""
    height, width, channels = codes.shape
    rows, columns = -(-height // side), -(-width // side)
    out = np.empty((rows, columns, channels))
    for y in range(rows):
        for x in range(columns):
            box = codes[y * side : (y + 1) * side, x * side : (x + 1) * side]
            out[y, x] = box.reshape(-1, channels).astype(np.float64).mean(axis=0)
    return out


@pytest.mark.parametrize("dtype", ["uint8", "uint16", "float32"])
@pytest.mark.parametrize("channels", [1, 3])
@pytest.mark.parametrize("n", [1, 2, 3])
def test_levels_are_box_means(dtype: str, channels: int, n: int) -> None:
    """Every box, the partial ones at the edge too, rounded to the nearest code."""
    codes = ramp(channels, dtype, 45, 67)
    photograph = photograph_from_array(codes, mode="grey" if channels == 1 else "RGB")
    level = photograph.level(n)
    expected = box_mean(codes, 2**n)
    assert level.codes.dtype == codes.dtype
    assert level.codes.shape == (*expected.shape[:2], 3)
    limit = 1e-6 if dtype == "float32" else 0.5 + 1e-9
    assert np.abs(expected - level.codes[..., :channels].astype(np.float64)).max() <= limit
    assert level.reduction == 2**n
    assert level.encoding == photograph.encoding and level.key != photograph.key
    assert (level.height, level.width) == expected.shape[:2]


def test_large_levels_against_another_library() -> None:
    """Pillow's reduce, over more than one strip: at most a rounding apart."""
    codes = np.random.default_rng(22).integers(0, 256, (1500, 2001, 3)).astype(np.uint8)
    level = photograph_from_array(codes).level(2)
    other = np.asarray(Image.fromarray(codes).reduce(4)).astype(int)
    assert np.abs(other - level.codes).max() <= 1


def test_levels_weigh_by_alpha() -> None:
    """A wholly transparent pixel adds no colour; a wholly transparent box is a plain mean."""
    codes = np.zeros((2, 4, 3), np.uint8)
    codes[:, 0], codes[:, 1], codes[:, 2], codes[:, 3] = 200, 10, 100, 50
    alpha = np.array([[255, 0, 0, 0], [255, 0, 0, 0]], np.uint8)
    level = photograph_from_array(codes, alpha=alpha).level(1)
    assert level.codes[0, :, 0].tolist() == [200, 75]
    assert level.alpha is not None and level.alpha.tolist() == [[128, 0]]


def test_masks_are_reduced_where_the_whole_box_is_lost() -> None:
    """As codes at the top are: their mean is at the top only if all are."""
    inks = np.full((4, 4, 4), 100, np.uint8)
    inks[:2, :2, 3] = 255
    inks[2, 2, 3] = 255
    level = photograph_from_array(inks, FOGRA39, mode="CMYK").level(1)
    assert level.clip.clipped is not None
    assert level.clip.clipped.tolist() == [[True, False], [False, False]]


def test_levels_are_made_once_from_any_thread() -> None:
    """Sixteen threads get one and the same object."""
    photograph = photograph_from_array(ramp(3, "uint16", 200, 300))
    with ThreadPoolExecutor(16) as pool:
        levels = list(pool.map(photograph.level, [2] * 16))
    assert all(level is levels[0] for level in levels)
    assert photograph.level(0) is photograph


def test_levels_end_at_one_pixel() -> None:
    """Beyond that they stay the same; below zero there is none."""
    photograph = photograph_from_array(ramp(3, "uint8", 5, 9))
    assert photograph.level(4).codes.shape == (1, 1, 3)
    assert photograph.level(60) is photograph.level(4)
    assert photograph_from_array(ramp(3, "uint8", 1, 1)).level(3).codes.shape == (1, 1, 3)
    with pytest.raises(SettingError, match="level = -1"):
        photograph.level(-1)


@settings(max_examples=60, deadline=None)
@given(
    arrays(np.uint8, st.tuples(st.integers(1, 12), st.integers(1, 12), st.just(3))),
    st.integers(1, 4),
)
def test_levels_stay_between_the_extremes(codes: np.ndarray, n: int) -> None:
    """A mean is never outside what it is the mean of, and flat stays flat."""
    level = photograph_from_array(codes).level(n).codes
    assert codes.min() <= level.min() and level.max() <= codes.max()
    flat = np.full_like(codes, codes[0, 0, 0])
    assert (photograph_from_array(flat).level(n).codes == codes[0, 0, 0]).all()


def test_a_part_is_the_picture_there() -> None:
    """Codes, transparency and lost tones are those of the rectangle; its levels are its own."""
    codes = np.random.default_rng(5).integers(0, 65536, (40, 60, 3), dtype=np.uint16)
    alpha = np.random.default_rng(6).integers(0, 256, (40, 60), dtype=np.uint8)
    whole = photograph_from_array(codes, alpha=alpha)
    part = whole.part((10, 4, 50, 36))
    assert (codes[4:36, 10:50] == part.codes).all() and part.codes.flags.c_contiguous
    assert part.alpha is not None and (alpha[4:36, 10:50] == part.alpha).all()
    assert (part.facts.width, part.facts.height) == (40, 32)
    assert part.part((2, 1, 9, 9)).origin == (12, 5)
    assert part.key != whole.key and whole.part((0, 0, 60, 40)) is whole
    again = photograph_from_array(codes[4:36, 10:50], alpha=alpha[4:36, 10:50])
    assert (again.level(2).codes == part.level(2).codes).all()
    grey = photograph_from_array(codes[..., 0], mode="grey").part((1, 1, 5, 5))
    assert grey.codes.strides[2] == 0
    with pytest.raises(SettingError, match="within the picture"):
        whole.part((10, 4, 61, 36))
