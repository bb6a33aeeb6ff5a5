"""Screen: codes and colours, limits, what lies beyond them."""

from __future__ import annotations

import functools
import math
import struct

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from proofing._colour import colour_science
from proofing.colorimetry import PCS_WHITE_XYZ, XYZ_to_Lab
from proofing.errors import ProfileError, SettingError
from proofing.photograph.icc import (
    IccProfile,
    Lab_to_device,
    adobe_rgb_profile,
    device_to_XYZ,
    gamma_profile,
    grey_profile,
    srgb_profile,
)
from proofing.screen import Screen, adaptation_of, screen_against_print
from proofing.viewing import Observer, Room, find_light

colour_science()  # imported in silence, before anything else asks for it

_D50_PRIMARIES = ((0.64, 0.33), (0.21, 0.71), (0.15, 0.06))


def grid(n: int) -> np.ndarray:
    axis = np.linspace(0.0, 1.0, n)
    return np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 3)


def lut16(table: np.ndarray, matrix_free_entries: int = 2) -> bytes:
    """A lut16Type (ICC.1:2022, 10.10) with straight curves and a cube of n^3 nodes, 0..1."""
    n, outputs = table.shape[0], table.shape[-1]
    head = b"mft2\0\0\0\0" + struct.pack(">BBBB", 3, outputs, n, 0)
    head += struct.pack(">9i", 65536, 0, 0, 0, 65536, 0, 0, 0, 65536)
    head += struct.pack(">HH", matrix_free_entries, matrix_free_entries)
    line = np.array([0, 65535], ">u2").tobytes()
    body = np.round(np.clip(table, 0, 1) * 65535).astype(">u2").tobytes()
    return head + line * 3 + body + line * outputs


@functools.cache
def table_profile() -> IccProfile:
    """A display profile with tables, both ways, that stands for sRGB with a raised black."""
    black = 0.004
    n = 33
    white = PCS_WHITE_XYZ
    XYZ = device_to_XYZ(srgb_profile(), grid(n), "relative") * (1 - black) + black * white
    # version 2 Lab encoding (ICC.1:2022, 10.8): 0xFF00 is L* 100 and a* 127
    encoded = np.add(XYZ_to_Lab(XYZ), [0.0, 128.0, 128.0]) / [100.0, 255.0, 255.0] * (65280 / 65535)
    a2b = encoded.reshape(n, n, n, 3)
    Lab = grid(n) * (65535 / 65280) * [100.0, 255.0, 255.0] - [0.0, 128.0, 128.0]
    from proofing.colorimetry import Lab_to_XYZ

    flat = np.maximum((Lab_to_XYZ(Lab) - black * white) / (1 - black), 0.0)
    b2a = Lab_to_device(srgb_profile(), XYZ_to_Lab(flat), "relative").reshape(n, n, n, 3)
    tags = {
        b"desc": b"desc\0\0\0\0" + struct.pack(">I", 11) + b"test table\0" + b"\0" * 79,
        b"wtpt": b"XYZ \0\0\0\0" + struct.pack(">3i", 62289, 65536, 71372),  # D65
        b"A2B0": lut16(a2b),
        b"B2A0": lut16(b2a),
    }
    listing, body = b"", b""
    start = 132 + 12 * len(tags)
    for name, part in tags.items():
        listing += name + struct.pack(">II", start + len(body), len(part))
        body += part + b"\0" * (-len(part) % 4)
    header = bytearray(128)
    header[0:4] = struct.pack(">I", start + len(body))
    header[8:12] = b"\2\x40\0\0"
    header[12:24] = b"mntrRGB Lab "
    header[36:40] = b"acsp"
    header[68:80] = struct.pack(">3i", *(round(float(v) * 65536) for v in white))
    return IccProfile.from_bytes(bytes(header) + struct.pack(">I", len(tags)) + listing + body)


PROFILES = {
    "sRGB": srgb_profile,
    "Adobe RGB (1998)": adobe_rgb_profile,
    "gamma 1.8, D50": lambda: gamma_profile(1.8, (0.3457, 0.3585), _D50_PRIMARIES),
}


def test_white_of_srgb_is_D65() -> None:
    """IEC 61966-2-1: white D65, x .3127 y .3290."""
    screen = Screen()
    assert pytest.approx((screen.white_XYZ / screen.white_XYZ.sum())[:2], abs=1e-4) == [
        0.3127,
        0.3290,
    ]
    shown = screen.decode([[1.0, 1.0, 1.0]])
    assert screen.white_XYZ * 120.0 == pytest.approx(shown[0], rel=1e-6)


def test_primaries_of_srgb() -> None:
    """IEC 61966-2-1: the standard's matrix of linear RGB to XYZ (D65)."""
    expected = np.array(
        [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    )
    assert (
        pytest.approx(Screen(luminance_cd_m2=100).decode(np.eye(3)) / 100, abs=4e-4) == expected.T
    )


def test_curve_of_srgb() -> None:
    """IEC 61966-2-1: the decoding of a neutral ramp, toe included."""
    V = np.linspace(0.0, 1.0, 256)
    linear = np.where(V <= 0.04045, V / 12.92, ((V + 0.055) / 1.055) ** 2.4)
    shown = Screen(luminance_cd_m2=100.0).decode(np.repeat(V[:, None], 3, axis=1))
    assert linear * 100.0 == pytest.approx(shown[:, 1], rel=2e-4, abs=1e-4)


@pytest.mark.parametrize("name", PROFILES)
@pytest.mark.parametrize("black", [None, 0.0, 0.5])
def test_round_trip_over_a_whole_grid(name: str, black: float | None) -> None:
    """Codes to colours to codes: the worst of 17^3 nodes is off by less than a 16-bit code."""
    screen = Screen(PROFILES[name](), 160.0, black)
    RGB = grid(17)
    XYZ = screen.decode(RGB)
    back = screen.encode(XYZ)
    assert np.abs(back.RGB - RGB).max() < 1.5e-5
    assert back.beyond.max() < 1e-6
    assert screen.fits(XYZ).all()


def test_decoding_agrees_with_the_colour_management_library() -> None:
    """Sampled curves and matrix against the library's own result, 4000 random codes."""
    rng = np.random.default_rng(1)
    RGB = rng.random((4000, 3))
    for make in PROFILES.values():
        profile = make()
        screen = Screen(profile, 100.0)
        expected = screen.from_pcs(device_to_XYZ(profile, RGB, "relative"))
        assert np.abs(expected - screen.decode(RGB)).max() < 0.01


def test_white_of_a_profile_goes_to_the_screens_white() -> None:
    """Media-relative white of the connection space is the monitor's white."""
    for make in (*PROFILES.values(), table_profile):
        screen = Screen(make(), 90.0)
        assert screen.white_XYZ * 90.0 == pytest.approx(screen.from_pcs([PCS_WHITE_XYZ])[0])


def test_white_without_chad_comes_from_the_media_white() -> None:
    """Version 2 (ICC.1:2001-04): wtpt is the monitor's own white."""
    assert "chad" not in table_profile().tags
    white = np.linalg.solve(adaptation_of(table_profile()), PCS_WHITE_XYZ)
    assert pytest.approx(white, abs=2e-4) == [0.95046, 1.0, 1.08905]


def test_black_level_is_accounted_for() -> None:
    """Code 0 emits the stated black; a tone asked for in cd/m2 comes out in cd/m2."""
    screen = Screen(black_cd_m2=0.4)
    assert pytest.approx(screen.decode([[0.0, 0.0, 0.0]])[0, 1]) == 0.4
    assert pytest.approx(screen.decode([[1.0, 1.0, 1.0]])[0, 1]) == 120.0
    wanted = screen.white_XYZ[None, :] * 3.5
    assert wanted == pytest.approx(screen.decode(screen.encode(wanted).RGB), rel=1e-6)


def test_darker_than_black_is_beyond() -> None:
    """A gloss black of 0.2 cd/m2 cannot be had from a screen whose black is 0.6."""
    screen = Screen(black_cd_m2=0.6)
    wanted = screen.white_XYZ[None, :] * 0.2
    coded = screen.encode(wanted)
    assert np.zeros((1, 3)) == pytest.approx(coded.RGB)
    assert coded.beyond[0] > 0.5
    assert not screen.fits(wanted)[0]


def test_print_cyan_is_beyond_srgb() -> None:
    """Solid cyan of coated offset (Lab 55 -37 -50, ISO 12647-2) lies outside sRGB."""
    from proofing.colorimetry import Lab_to_XYZ

    screen = Screen()
    wanted = screen.from_pcs(Lab_to_XYZ([[55.0, -37.0, -50.0], [55.0, -5.0, -5.0]]))
    beyond = screen.encode(wanted).beyond
    assert beyond[0] > 1.0
    assert beyond[1] < -5.0


def hue(screen: Screen, XYZ: np.ndarray) -> np.ndarray:
    Lab = XYZ_to_Lab(XYZ / screen.luminance_cd_m2, screen.white_XYZ)
    return np.degrees(np.arctan2(Lab[:, 2], Lab[:, 1]))


def test_what_is_beyond_keeps_its_hue_better_than_by_clipping() -> None:
    """Colours of a wider space on an sRGB screen turn less than under per-channel clipping."""
    screen = Screen()
    wide = Screen(adobe_rgb_profile())
    RGB = grid(9)
    XYZ = wide.decode(RGB)
    out = ~screen.fits(XYZ)
    XYZ = XYZ[out & (RGB.max(axis=1) > 0.2)]
    shown = screen.decode(screen.encode(XYZ).RGB)
    matrix = screen.decode(np.eye(3)) / 120.0
    linear = np.clip(XYZ / 120.0 @ np.linalg.inv(matrix), 0.0, 1.0)
    clipped = linear @ matrix * 120.0

    def turn(other: np.ndarray) -> np.ndarray:
        return np.abs((hue(screen, other) - hue(screen, XYZ) + 180.0) % 360.0 - 180.0)

    assert turn(shown).mean() < turn(clipped).mean()
    assert turn(shown).max() < 25.0


def test_tint_of_paper_at_the_limit_does_not_bleach() -> None:
    """A highlight a little warmer than the limit keeps nearly all of its warmth."""
    screen = Screen()
    matrix = screen.decode(np.eye(3))
    wanted = np.array([[1.02, 0.93, 0.80]]) @ matrix
    shown = screen.decode(screen.encode(wanted).RGB)

    def chroma(XYZ: np.ndarray) -> float:
        Lab = XYZ_to_Lab(XYZ / 120.0, screen.white_XYZ)[0]
        return float(np.hypot(Lab[1], Lab[2]))

    assert chroma(shown) > 0.9 * chroma(wanted)


def test_brighter_than_white_is_white() -> None:
    """A neutral above white goes to white and is beyond."""
    coded = Screen().encode(Screen().white_XYZ[None, :] * 180.0)
    assert np.ones((1, 3)) == pytest.approx(coded.RGB)
    assert coded.beyond[0] > 5.0


def test_beyond_is_signed_and_crosses_zero_at_the_limit() -> None:
    """Along a line through the limit the sign changes where the screen stops, without a jump."""
    screen = Screen()
    matrix = screen.decode(np.eye(3))
    reds = np.linspace(0.8, 1.2, 401)
    linear = np.stack([reds, np.full(401, 0.3), np.full(401, 0.3)], axis=1)
    beyond = screen.encode(linear @ matrix).beyond
    assert ((beyond > 0) == (reds > 1.0 + 1e-9))[np.abs(reds - 1.0) > 1e-6].all()
    assert np.abs(np.diff(beyond)).max() < 0.15
    slope = np.diff(beyond)
    assert slope[180:199].mean() == pytest.approx(slope[201:220].mean(), rel=0.5)


@pytest.mark.parametrize("nodes", [17, 33])
def test_outline_survives_a_lattice(nodes: int) -> None:
    """Interpolated between lattice nodes, the sign of `beyond` is right but for a narrow edge."""
    from scipy.interpolate import RegularGridInterpolator

    screen, wide = Screen(), Screen(adobe_rgb_profile())
    axis = np.linspace(0.0, 1.0, nodes)
    table = screen.encode(wide.decode(grid(nodes))).beyond.reshape(nodes, nodes, nodes)
    RGB = np.random.default_rng(2).random((20_000, 3))
    direct = screen.encode(wide.decode(RGB)).beyond
    between = RegularGridInterpolator((axis, axis, axis), table)(RGB)
    wrong = (direct > 1.0) != (between > 1.0)
    assert wrong.mean() < (0.03 if nodes == 17 else 0.012)


@settings(max_examples=60, deadline=None)
@given(
    arrays(
        np.float64,
        (5, 3),
        elements=st.one_of(st.floats(-50.0, 2000.0), st.sampled_from([0.0, -1e-300, 1e9])),
    )
)
def test_whatever_comes_in_codes_come_out(XYZ: np.ndarray) -> None:
    """Any finite colour has codes in 0..1 and a finite `beyond`, without a warning."""
    for screen in (Screen(), Screen(black_cd_m2=0.3), Screen(table_profile())):
        coded = screen.encode(XYZ)
        assert np.isfinite(coded.RGB).all() and np.isfinite(coded.beyond).all()
        assert coded.RGB.min() >= 0.0 and coded.RGB.max() <= 1.0
        if screen.profile.is_matrix:
            assert ((coded.beyond > 0.0) <= ~screen.fits(XYZ) | (coded.beyond < 0.01)).all()


@given(st.lists(st.floats(0.0, 200.0), min_size=2, max_size=20))
def test_neutral_tones_keep_their_order(tones: list[float]) -> None:
    """More light is never a smaller code, and greys are grey."""
    screen = Screen(black_cd_m2=0.3)
    coded = screen.encode(np.sort(tones)[:, None] * screen.white_XYZ).RGB
    assert (np.diff(coded, axis=0) >= -1e-9).all()
    assert np.ptp(coded, axis=1).max() < 1e-4


def test_profile_with_tables_round_trip() -> None:
    """Through a display profile's own tables: within a dE00 or so over the grid's inside."""
    from proofing.colorimetry import delta_E_00

    screen = Screen(table_profile(), 120.0)
    assert not screen.profile.is_matrix
    RGB = 0.1 + 0.8 * grid(6)
    XYZ = screen.decode(RGB)
    coded = screen.encode(XYZ)
    Lab = [XYZ_to_Lab(v / 120.0, screen.white_XYZ) for v in (XYZ, screen.decode(coded.RGB))]
    assert delta_E_00(*Lab).mean() < 0.5
    assert (coded.beyond < 0.0).mean() > 0.9
    beyond = screen.encode(Screen(adobe_rgb_profile()).decode([[0.0, 1.0, 0.0]])).beyond
    assert beyond[0] > 2.0


def test_profile_with_tables_takes_a_measured_black() -> None:
    """The black of the tables, 0.4 % of white, is replaced by the measured one."""
    own = Screen(table_profile(), 100.0).decode(np.zeros((1, 3)))[0, 1]
    assert pytest.approx(own, abs=0.02) == 0.4
    screen = Screen(table_profile(), 100.0, 0.1)
    assert pytest.approx(screen.decode(np.zeros((1, 3)))[0, 1], abs=1e-6) == 0.1
    assert pytest.approx(screen.decode(np.ones((1, 3)))[0, 1], rel=1e-3) == 100.0


def test_profile_with_tables_has_a_limit_for_paper() -> None:
    """The observer finds where bare paper stops fitting, tables or not."""
    room = Room(find_light("D65"), 2000.0)
    paper = room.white_XYZ_cd_m2 * 0.89
    shown = [
        Observer(look).plan(room, Screen(make()), paper).to_screen(paper[None, :])[0, 1]
        for look in ("settled", "matched")
        for make in (srgb_profile, table_profile)
    ]
    assert shown[0] == pytest.approx(shown[1], rel=0.02)
    assert shown[2] == pytest.approx(shown[3], rel=0.02)


@pytest.mark.parametrize("make", [grey_profile, lambda: IccProfile.from_bytes(printer_data())])
def test_profiles_of_other_things_are_refused(make: object) -> None:
    """A grey or printer profile is no monitor's; the error says what to do."""
    with pytest.raises(ProfileError, match="monitor's own profile"):
        Screen(make())  # type: ignore[operator]


def printer_data() -> bytes:
    data = table_profile().data
    return data[:12] + b"prtr" + data[16:]


def test_profile_with_an_absurd_white_is_refused() -> None:
    """A white of no light at all would turn every colour."""
    data = bytearray(table_profile().data)
    at = data.index(b"XYZ \0\0\0\0", 132)
    data[at + 8 : at + 20] = struct.pack(">3i", 65536, 655, 65536)
    with pytest.raises(ProfileError, match="white no monitor has"):
        Screen(IccProfile.from_bytes(bytes(data))).white_XYZ  # noqa: B018


@pytest.mark.parametrize(
    ("luminance", "black", "field"),
    [(0.0, None, "luminance_cd_m2"), (1e9, None, "luminance_cd_m2"), (120.0, 60.0, "black_cd_m2")],
)
def test_senseless_luminances_are_refused(
    luminance: float, black: float | None, field: str
) -> None:
    """The error carries field and value."""
    with pytest.raises(SettingError, match="use a value") as caught:
        Screen(luminance_cd_m2=luminance, black_cd_m2=black)
    assert field == caught.value.field


def test_key_tells_screens_apart() -> None:
    """Profile, luminance and black are in it; provenance is not."""
    keys = {
        Screen().key,
        Screen(luminance_cd_m2=100.0).key,
        Screen(black_cd_m2=0.1).key,
        Screen(adobe_rgb_profile()).key,
    }
    assert len(keys) == 4
    assert Screen().key == Screen(provenance="measured").key
    assert Screen() == Screen()


@pytest.mark.parametrize(
    ("cd_m2", "lux"),
    # Lambert, 89 % paper: E = L pi / .89 (computed)
    [(80.0, 282.0), (100.0, 353.0), (120.0, 424.0), (160.0, 565.0)],
)
def test_light_that_matches_a_screen(cd_m2: float, lux: float) -> None:
    """Illuminance at which 89 % paper is as bright as the screen's white."""
    paper = 0.89 * 200.0 / math.pi
    found = screen_against_print(Screen(luminance_cd_m2=cd_m2), paper, 200.0)
    assert lux == pytest.approx(found.illuminance_to_set_lux, abs=0.5)
    assert cd_m2 / paper == pytest.approx(found.ratio)
    assert math.log2(cd_m2 / paper) == pytest.approx(found.stops)
    assert paper == pytest.approx(found.luminance_to_set_cd_m2)
    assert screen_against_print(Screen(), paper).illuminance_to_set_lux is None
    with pytest.raises(SettingError, match="above 0"):
        screen_against_print(Screen(), 0.0)
