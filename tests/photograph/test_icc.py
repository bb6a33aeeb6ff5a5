"""ICC profiles: against the formulas of the encodings, and against measured patches."""

from __future__ import annotations

import struct
import warnings
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from proofing.colorimetry import PCS_WHITE_XYZ, XYZ_to_Lab, delta_E_00
from proofing.errors import ProfileError, ProofingError
from proofing.photograph.icc import (
    BT_2020,
    DISPLAY_P3,
    IccIntent,
    IccProfile,
    Lab_to_device,
    adobe_rgb_profile,
    black_Y,
    decode_Lab,
    device_to_device,
    device_to_Lab,
    device_to_XYZ,
    encode_Lab,
    gamma_profile,
    grey_profile,
    picture_to_Lab_codes,
    recognised_space,
    srgb_profile,
)
from tests.reference.cgats import ICC_FOLDER, read_set

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # the library speaks of packages it can do without
    import colour

FOGRA39 = IccProfile.from_file(ICC_FOLDER / "FOGRA39L_coated.icc")
ADOBE = IccProfile.from_file(ICC_FOLDER / "Adobe_RGB_1998.icc")
ROMM = IccProfile.from_file(ICC_FOLDER / "ROMM_RGB.icc")

GRID = np.stack(np.meshgrid(*[np.linspace(0.0, 1.0, 9)] * 3, indexing="ij"), -1).reshape(-1, 3)


def by_the_book(space: str, RGB: np.ndarray) -> np.ndarray:
    """XYZ by colour-science: the encoding's own matrix and curve, Bradford to the ICC white."""
    D50_xy = PCS_WHITE_XYZ[:2] / PCS_WHITE_XYZ.sum()
    return colour.RGB_to_XYZ(
        RGB,
        space,
        illuminant=D50_xy,
        chromatic_adaptation_transform="Bradford",
        apply_cctf_decoding=True,
    )


@pytest.mark.parametrize(
    ("profile", "space"),
    [
        (srgb_profile(), "sRGB"),
        (adobe_rgb_profile(), "Adobe RGB (1998)"),
        (ADOBE, "Adobe RGB (1998)"),
    ],
    ids=["sRGB", "Adobe RGB, own", "Adobe RGB, open data"],
)
def test_a_matrix_profile_is_its_encoding(profile: IccProfile, space: str) -> None:
    """IEC 61966-2-1 and Adobe RGB (1998) as colour-science 0.4.7 carries them, to dE00 0.1.

    What is left is the rounding of matrices in profiles to 1/65536.
    """
    ours = device_to_Lab(profile, GRID, "relative")
    assert delta_E_00(XYZ_to_Lab(by_the_book(space, GRID)), ours).max() < 0.1


def test_srgb_hand_values() -> None:
    """IEC 61966-2-1: linear light of 8-bit codes, computed by hand from its two-part curve."""
    expected = {
        0: 0.0,
        10: 10 / 255 / 12.92,
        11: 0.003346536,
        118: 0.181164,
        188: 0.502886,
        255: 1.0,
    }
    for code, Y in expected.items():
        got = device_to_XYZ(srgb_profile(), [[code / 255] * 3], "relative")[0, 1]
        assert got == pytest.approx(Y, abs=1e-5)


def test_adobe_rgb_gamma_is_563_over_256() -> None:
    """Adobe RGB (1998) Color Image Encoding, 4.3.4.2: exponent 2.19921875."""
    V = np.linspace(0.0, 1.0, 11)
    Y = device_to_XYZ(adobe_rgb_profile(), np.repeat(V[:, None], 3, axis=1), "relative")[:, 1]
    assert np.allclose(V**2.19921875, Y, atol=2e-5)


def test_romm_keeps_primaries_that_are_no_colours() -> None:
    """ISO 22028-2: blue (0.0366, 0.0001) and green (0.1596, 0.8404) lie outside the locus.

    Nothing is clipped on the way, although b* of the blue is far beyond any 8-bit Lab.
    """
    XYZ = device_to_XYZ(ROMM, np.eye(3), "relative")
    xy = XYZ[:, :2] / XYZ.sum(axis=1, keepdims=True)
    expected = [[0.7347, 0.2653], [0.1596, 0.8404], [0.0366, 0.0001]]
    assert np.allclose(expected, xy, atol=2e-4)
    assert device_to_Lab(ROMM, [[0.0, 0.0, 1.0]], "relative")[0, 2] < -160.0
    assert np.allclose(np.eye(3), Lab_to_device(ROMM, XYZ_to_Lab(XYZ), "relative"), atol=2e-3)


def test_matrix_profiles_go_on_beyond_their_limits() -> None:
    """Float pictures reach past 1; a matrix profile with a formula for a curve follows."""
    XYZ = device_to_XYZ(srgb_profile(), [[1.2, 1.2, 1.2]], "relative")[0]
    assert XYZ[1] == pytest.approx(((1.2 + 0.055) / 1.055) ** 2.4, rel=1e-4)


def test_fogra39_predicts_its_own_patches() -> None:
    """FOGRA39L characterisation data, 1617 measured patches: dE00 mean at most 0.25."""
    patches = read_set("FOGRA39L")
    predicted = device_to_Lab(FOGRA39, patches.CMYK, IccIntent.ABSOLUTE)
    miss = delta_E_00(patches.Lab, predicted)
    assert len(patches.rows) == 1617
    assert miss.mean() <= 0.25
    assert miss.max() <= 0.75


def test_other_stocks_are_no_fogra39() -> None:
    """The check above can fail: uncoated (FOGRA29L) and newsprint (TR 002-2007) miss by far."""
    for name, least in (("FOGRA29L", 4.0), ("TR002", 8.0)):
        patches = read_set(name)
        predicted = device_to_Lab(FOGRA39, patches.CMYK, IccIntent.ABSOLUTE)
        assert delta_E_00(patches.Lab, predicted).mean() > least


def test_the_sets_agree_with_themselves() -> None:
    """The XYZ and Lab columns of a set are one measurement, rounded twice."""
    for name in ("FOGRA39L", "FOGRA29L", "TR002"):
        patches = read_set(name)
        assert delta_E_00(patches.Lab, XYZ_to_Lab(patches.XYZ)).max() < 0.5


def test_media_white_is_the_bare_paper() -> None:
    """The wtpt tag against the patch without ink of FOGRA39L, Lab (95, 0, -2)."""
    assert delta_E_00([95.0, 0.0, -2.0], XYZ_to_Lab(FOGRA39.media_white_XYZ)) < 0.3
    assert not FOGRA39.media_white_XYZ.flags.writeable


def test_absolute_is_relative_times_the_paper() -> None:
    """ICC.1:2022, D.6.2: XYZ_absolute = XYZ_relative * media white / D50."""
    CMYK = np.random.default_rng(1).random((200, 4))
    relative = device_to_XYZ(FOGRA39, CMYK, "relative")
    absolute = device_to_XYZ(FOGRA39, CMYK, "absolute")
    assert np.allclose(relative * FOGRA39.media_white_XYZ / PCS_WHITE_XYZ, absolute, atol=2e-5)


def test_black_point_compensation_is_one_scale_towards_white() -> None:
    """ISO 18619: XYZ' = s XYZ + (1 - s) XYZ_D50 with one s for all channels."""
    CMYK = np.random.default_rng(2).random((200, 4))
    plain = device_to_XYZ(FOGRA39, CMYK, "relative")
    scaled = device_to_XYZ(FOGRA39, CMYK, "relative", bpc=True)
    s = (scaled - PCS_WHITE_XYZ) / (plain - PCS_WHITE_XYZ)
    assert s.max() - s.min() < 1e-4
    assert 1.005 < s.mean() < 1.02  # L* 9.8 of full ink is Y 0.011; s = 1 / (1 - Y)


def test_black_is_near_the_darkest_patch() -> None:
    """Darkest of the FOGRA39L patches over the bare paper; matrix encodings reach zero."""
    Y = read_set("FOGRA39L").XYZ[:, 1]
    assert black_Y(FOGRA39) == pytest.approx(Y.min() / Y.max(), abs=0.002)
    assert black_Y(srgb_profile()) == pytest.approx(0.0, abs=1e-6)


def test_perceptual_tables_of_version_4_are_looked_up_as_they_are() -> None:
    """The library would scale the black unasked; the flag alone decides."""
    version_4 = IccProfile.from_bytes(FOGRA39.data[:8] + b"\x04\x20" + FOGRA39.data[10:])
    CMYK = np.random.default_rng(3).random((50, 4))
    Lab = device_to_Lab(FOGRA39, CMYK, "perceptual")
    assert np.allclose(Lab, device_to_Lab(version_4, CMYK, "perceptual"), atol=1e-3)
    assert np.allclose(
        Lab_to_device(FOGRA39, Lab, "perceptual"),
        Lab_to_device(version_4, Lab, "perceptual"),
        atol=1e-4,
    )
    compensated = device_to_Lab(version_4, CMYK, "perceptual", bpc=True)
    assert (compensated[:, 0] <= Lab[:, 0] + 1e-6).all()


@pytest.mark.parametrize("profile", [srgb_profile(), ADOBE, ROMM], ids=lambda p: p.description)
def test_there_and_back(profile: IccProfile) -> None:
    """Worst case over a 9 x 9 x 9 grid: a quarter of an 8-bit code."""
    back = Lab_to_device(profile, device_to_Lab(profile, GRID, "relative"), "relative")
    assert np.abs(GRID - back).max() < 0.25 / 255


def test_device_to_device_agrees_with_going_through_Lab() -> None:
    """sRGB to coated, direct and by way of the connection space."""
    Lab = device_to_Lab(srgb_profile(), GRID, "relative")
    direct = device_to_device(srgb_profile(), FOGRA39, GRID, "relative")
    assert np.abs(Lab_to_device(FOGRA39, Lab, "relative") - direct).max() < 0.01
    assert direct.min() >= 0.0 and direct.max() <= 1.0


def test_grey_profile_is_the_neutral_axis_of_srgb() -> None:
    """The same curve (IEC 61966-2-1), whatever the number of channels."""
    V = np.linspace(0.0, 1.0, 33)[:, None]
    grey = device_to_Lab(grey_profile(), V, "relative")
    RGB = device_to_Lab(srgb_profile(), np.repeat(V, 3, axis=1), "relative")
    assert np.abs(RGB - grey).max() < 0.01
    assert np.allclose(V, Lab_to_device(grey_profile(), grey, "relative"), atol=1e-5)


def test_Lab_encoding_of_ICC() -> None:
    """ICC.1:2022, 6.3.4.2, tables 12 and 13: 8-bit code 128 is 0 on a* and b*."""
    assert np.allclose([[0.0, 128 / 255, 1.0]], encode_Lab([[0.0, 0.0, 127.0]]))
    Lab = np.random.default_rng(4).uniform([0, -128, -128], [100, 127, 127], (100, 3))
    assert np.allclose(Lab, decode_Lab(encode_Lab(Lab)))


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16, np.float32])
def test_whole_pictures_get_the_colours_of_single_values(dtype: type) -> None:
    """The quick route for pictures against the float64 route, to dE00 0.05."""
    pixels = np.random.default_rng(5).integers(0, 256, (40, 50, 4)).astype(np.uint8)
    given = {
        np.uint8: pixels,
        np.uint16: pixels.astype(np.uint16) * 257,
        np.float32: (pixels / 255).astype(np.float32),
    }[dtype]
    codes = picture_to_Lab_codes(FOGRA39, given)
    exact = device_to_Lab(FOGRA39, pixels.reshape(-1, 4) / 255, "relative")
    assert codes.dtype == np.uint16
    assert delta_E_00(exact, decode_Lab(codes.reshape(-1, 3) / 65535)).max() < 0.05


def test_names_come_from_primaries_and_curve() -> None:
    """sRGB, Adobe RGB (1998), ROMM RGB, Display P3 and BT.2020, whatever they call themselves."""
    gamma_2020 = gamma_profile(2.4, BT_2020.white_xy, BT_2020.primaries_xy)
    linear = gamma_profile(1.0, BT_2020.white_xy, BT_2020.primaries_xy)
    p3 = gamma_profile(2.6, DISPLAY_P3.white_xy, DISPLAY_P3.primaries_xy)
    assert recognised_space(srgb_profile()) == "sRGB"
    assert recognised_space(ADOBE) == "Adobe RGB (1998)"
    assert recognised_space(ROMM) == "ROMM RGB"
    assert recognised_space(gamma_2020) == "BT.2020"
    assert recognised_space(linear) is None
    assert recognised_space(p3) is None
    assert recognised_space(FOGRA39) is None
    assert recognised_space(grey_profile()) is None


def test_display_p3_is_recognised() -> None:
    """sRGB's curve on the primaries of SMPTE EG 432-1, put into sRGB's own profile."""
    data = bytearray(srgb_profile().data)
    for index in range(struct.unpack(">I", data[128:132])[0]):
        name, offset, _ = struct.unpack(">4sII", data[132 + 12 * index : 144 + 12 * index])
        place = {b"rXYZ": 0, b"gXYZ": 1, b"bXYZ": 2}.get(name)
        if place is not None:
            fixed = np.rint(DISPLAY_P3.colorants_XYZ[place] * 65536).astype(int)
            data[offset + 8 : offset + 20] = struct.pack(">3i", *fixed)
    profile = IccProfile.from_bytes(bytes(data))
    assert recognised_space(profile) == "Display P3"
    expected = by_the_book("Display P3", GRID)
    assert np.abs(expected - device_to_XYZ(profile, GRID, "relative")).max() < 5e-4


def test_colorants_of_known_spaces() -> None:
    """Bradford-adapted colorants of sRGB and BT.2020 by colour-science."""
    assert np.allclose(by_the_book("Display P3", np.eye(3)), DISPLAY_P3.colorants_XYZ, atol=3e-4)
    assert np.allclose(by_the_book("ITU-R BT.2020", np.eye(3)), BT_2020.colorants_XYZ, atol=3e-4)


def test_what_a_profile_says_of_itself() -> None:
    """Header and tags of the three open profiles, as their Debian packages describe them."""
    assert (FOGRA39.device_class, FOGRA39.space, FOGRA39.pcs) == ("output", "CMYK", "LAB")
    assert (FOGRA39.version, FOGRA39.channels, FOGRA39.is_matrix) == ((2, 2), 4, False)
    assert FOGRA39.description == "FOGRA39L Coated"
    assert (ADOBE.version, ADOBE.channels, ADOBE.is_matrix) == ((4, 4), 3, True)
    assert ADOBE.description == "Compatible with Adobe RGB (1998)"
    assert FOGRA39.to_device and ADOBE.to_device


def test_equality_is_by_content() -> None:
    """Two readings of one file are one profile; a different byte is a different profile."""
    again = IccProfile.from_bytes(ADOBE.data)
    assert again == ADOBE and hash(again) == hash(ADOBE) and ADOBE != ROMM
    assert srgb_profile().key == IccProfile.from_bytes(srgb_profile().data).key


def test_built_in_profiles_do_not_change_with_the_clock() -> None:
    """ICC.1:2022, 7.2.10: bytes 24 to 35 are the date."""
    for profile in (srgb_profile(), adobe_rgb_profile(), grey_profile()):
        assert profile.data[24:36] == struct.pack(">6H", 2000, 1, 1, 0, 0, 0)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "no ICC profile"),
        (b"x" * 500, "no ICC profile"),
        (FOGRA39.data[:5000], "cut short"),
        (FOGRA39.data[:12] + b"xxxx" + FOGRA39.data[16:], "unknown class"),
        (FOGRA39.data[:16] + b"xxxx" + FOGRA39.data[20:], "unknown colour space"),
        (FOGRA39.data[:128] + b"\xff" * 4 + FOGRA39.data[132:], "list of contents"),
        (ADOBE.data[:128] + b"\0" * 4 + ADOBE.data[132:], "cannot convert"),
    ],
)
def test_broken_profiles_are_refused_with_a_reason(data: bytes, words: str) -> None:
    """Each says what is wrong and what to do."""
    with pytest.raises(ProfileError, match=words) as caught:
        IccProfile.from_bytes(data, origin="lab.icc")
    assert "lab.icc" in str(caught.value) and "use an intact ICC profile" in str(caught.value)


def test_profiles_without_a_device_are_refused_for_conversion() -> None:
    """A link, and more inks than can be converted."""
    link = IccProfile.from_bytes(FOGRA39.data[:12] + b"link" + FOGRA39.data[16:])
    six = IccProfile.from_bytes(FOGRA39.data[:16] + b"6CLR" + FOGRA39.data[20:])
    for profile, channels in ((link, 4), (six, 6)):
        with pytest.raises(ProfileError, match="use one for grey, RGB, CMY, CMYK or Lab"):
            device_to_Lab(profile, np.zeros((1, channels)), "relative")


def test_values_of_the_wrong_shape_are_refused() -> None:
    """The number of channels is the profile's."""
    with pytest.raises(ProfileError, match=r"\(N, 4\) is needed"):
        device_to_Lab(FOGRA39, np.zeros((5, 3)), "relative")
    with pytest.raises(ProfileError, match=r"\(N, 3\) is needed"):
        Lab_to_device(FOGRA39, np.zeros((5, 4)), "relative")


def test_a_missing_profile_file(tmp_path) -> None:  # type: ignore[no-untyped-def]
    """The path is kept on the error."""
    with pytest.raises(ProfileError, match="choose another profile") as caught:
        IccProfile.from_file(tmp_path / "none.icc")
    assert caught.value.path == tmp_path / "none.icc"


def test_damaged_profiles_raise_only_our_errors() -> None:
    """Seeded bit flips and cuts: a value or a ProfileError, nothing else."""
    rng = np.random.default_rng(6)
    refused = 0
    for profile in (srgb_profile(), ADOBE, grey_profile(), FOGRA39):
        for _ in range(60):
            data = bytearray(profile.data)
            for place in rng.integers(0, min(len(data), 1500), 4):
                data[place] ^= 1 << int(rng.integers(0, 8))
            try:
                damaged = IccProfile.from_bytes(
                    bytes(data[: int(rng.integers(200, len(data) + 1))])
                )
                device_to_Lab(damaged, np.full((2, damaged.channels), 0.3), "perceptual")
                Lab_to_device(damaged, [[50.0, 0.0, 0.0]], "relative")
            except ProofingError:
                refused += 1
    assert refused > 20


def test_threads_do_not_disturb_each_other() -> None:
    """Eight threads on three profiles give what one thread gives."""
    rng = np.random.default_rng(7)
    jobs = [(p, rng.random((300, p.channels))) for p in (FOGRA39, ADOBE, srgb_profile())] * 8
    alone = [device_to_Lab(p, v, "relative") for p, v in jobs]
    with ThreadPoolExecutor(8) as pool:
        together = list(pool.map(lambda job: device_to_Lab(*job, "relative"), jobs))
    assert all(np.array_equal(a, b) for a, b in zip(alone, together, strict=True))
