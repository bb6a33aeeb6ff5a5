"""The whole chain: table against float64, caches, marks, and the physics a room brings."""

from __future__ import annotations

import functools
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest

from proofing.catalogue import Catalogue
from proofing.colorimetry import XYZ_to_Lab, delta_E_00
from proofing.engine import Engine, ends_in_room
from proofing.errors import Cancelled, SettingError
from proofing.findings.kinds import Kind
from proofing.lattice import Output, apply
from proofing.photograph import Photograph, photograph_from_array
from proofing.printing import Intent
from proofing.request import PrintSize, ProofRequest
from proofing.screen import Screen
from proofing.viewing import Look, Room


@functools.cache
def catalogue() -> Catalogue:
    return Catalogue.load(Path("/nonexistent"))


@functools.cache
def engine() -> Engine:
    return Engine()


def room(light: str = "D50", lux: float = 500.0, glazing: str = "no glass", k: float = 0.0) -> Room:
    return Room(catalogue().light(light), lux, catalogue().glazing(glazing), k)


def request(
    codes: npt.NDArray[Any] | Photograph,
    stock: str = "smooth matte",
    where: Room | None = None,
    **kw: Any,
) -> ProofRequest:
    photograph = codes if isinstance(codes, Photograph) else photograph_from_array(codes)
    screen = kw.pop("screen", Screen())
    return ProofRequest(photograph, catalogue().stock(stock), where or room(), screen, **kw)


def ramp(count: int = 256) -> npt.NDArray[np.uint8]:
    return np.repeat(np.arange(count, dtype=np.uint8)[None, :, None], 3, axis=2)


def noise(seed: int, shape: tuple[int, int] = (60, 100)) -> npt.NDArray[np.uint8]:
    return np.random.default_rng(seed).integers(0, 256, (*shape, 3), dtype=np.uint8)


SETTINGS: tuple[tuple[str, dict[str, Any]], ...] = (
    ("smooth matte", {}),
    ("canvas", {"black_point_compensation": False}),
    ("gloss", {"intent": Intent.PERCEPTUAL}),
    ("baryta", {"intent": Intent.ABSOLUTE}),
    ("lustre", {"look": Look.MATCHED, "where": ("LED-B2", 150.0, "float glass", 0.1)}),
    ("cotton matte", {"where": ("A", 50.0, "no glass", 0.0)}),
)


def setting(index: int, codes: npt.NDArray[Any]) -> ProofRequest:
    stock, kw = SETTINGS[index]
    kw = dict(kw)
    where = kw.pop("where", None)
    return request(codes, stock, None if where is None else room(*where), **kw)


@pytest.mark.parametrize("index", range(len(SETTINGS)))
@pytest.mark.parametrize("tints", [False, True])
@pytest.mark.parametrize(("nodes", "mean", "most"), [(33, 0.3, 2.5), (65, 0.12, 1.2)])
def test_the_table_against_the_float64_chain(
    index: int, nodes: int, mean: float, most: float, tints: bool
) -> None:
    """Random colours, and light tints near white: what the screen would show through the table
    and through the chain differ by a small dE00, mean and 99th percentile (the chain in float64
    is the reference)."""
    codes = noise(index)
    if tints:
        codes = 255 - codes // 10
        if SETTINGS[index][1].get("intent") is Intent.ABSOLUTE:
            # tints lighter than paper fade to bare paper within a few codes
            mean, most = 3 * mean, 1.7 * most
    wanted = setting(index, codes)
    table = apply(engine().bake(wanted, nodes).lattice, codes, output=Output.RAW)
    exact = engine().colour_function(wanted)(codes.reshape(-1, 3) / 255.0)
    shown = [
        XYZ_to_Lab(wanted.screen.decode(rgb) / 120.0, wanted.screen.white_XYZ)
        for rgb in (table.reshape(-1, 5)[:, :3], exact[:, :3])
    ]
    difference = delta_E_00(*shown)
    assert difference.mean() < mean
    assert np.percentile(difference, 99) < most


@pytest.mark.parametrize("index", range(len(SETTINGS)))
def test_the_darkest_sixteen_codes_one_by_one(index: int) -> None:
    """Every grey code 0..16: the resting table is within half a screen code of the float64 chain,
    the moving one within one code, neither inventing a step near black nor hiding one."""
    codes = ramp(17)
    wanted = setting(index, codes)
    exact = engine().colour_function(wanted)(np.repeat(np.arange(17)[:, None] / 255.0, 3, axis=1))
    for nodes, most in ((33, 1.0), (65, 0.5)):
        table = apply(engine().bake(wanted, nodes).lattice, codes, output=Output.RAW)
        got = table.reshape(-1, 5).astype(np.float64)
        assert np.abs(got[:, :3] - exact[:, :3]).max() * 255 < most
        steps = [np.diff(colours[:, :3], axis=0) * 255 for colours in (got, exact)]
        assert np.abs(steps[0] - steps[1]).max() < 0.8 * most


@pytest.mark.parametrize("index", range(len(SETTINGS)))
def test_misses_of_the_table_are_those_of_the_chain(index: int) -> None:
    """Fewer than fifteen colours in a thousand are out of gamut, or beyond the screen, by the table
    (65 nodes) and not by the chain, among random colours, dark ones and light ones."""
    codes = noise(100 + index, (60, 90))
    codes[:, 30:60] //= 6
    codes[:, 60:] = 255 - codes[:, 60:] // 8
    wanted = setting(index, codes)
    exact = engine().colour_function(wanted)(codes.reshape(-1, 3) / 255.0)
    table = apply(engine().bake(wanted, 65).lattice, codes, output=Output.RAW)
    for channel in (3, 4):
        expected = exact[:, channel] > 3.0
        assert ((table.reshape(-1, 5)[:, channel] > 3.0) != expected).mean() < 0.015


def test_tables_of_one_printing_share_it() -> None:
    """A new light redoes neither the separation nor the spectra: the printed stage is the very
    same object; a new intent makes another."""
    fresh = Engine()
    codes = ramp()
    photograph = photograph_from_array(codes)
    fresh.bake(request(photograph), 17)
    before = list(fresh._printed._values.values())
    fresh.bake(request(photograph, where=room("A", 50.0)), 17)
    assert list(fresh._printed._values.values()) == before
    fresh.bake(request(photograph, intent=Intent.ABSOLUTE), 17)
    assert len(fresh._printed._values) == 2


def test_a_known_request_is_not_baked_again() -> None:
    """Nor when only the tolerance of a mark changes."""
    codes = ramp()
    photograph = photograph_from_array(codes)
    one = engine().bake(request(photograph), 17)
    other = engine().bake(request(photograph, gamut_tolerance=5.0), 17)
    assert other.lattice is one.lattice
    assert other.request.gamut_tolerance == 5.0


def test_work_can_be_called_off() -> None:
    """Cancelled is raised and nothing half-made is kept."""
    fresh = Engine()
    with pytest.raises(Cancelled):
        fresh.bake(request(ramp()), 17, cancel=lambda: True)
    assert not fresh._baked._values


# ---- the room -----------------------------------------------------------------------------


def test_paper_luminance_in_the_room() -> None:
    """Lambert: E rho / pi. 500 lx on the matte's paper (M1 Y) gives within 2 % of
    500 * Y / pi; half behind glass twice through .90."""
    paper, black = ends_in_room(catalogue().stock("canvas"), room())
    Y = catalogue().stock("canvas").white_XYZ[1]
    assert paper[1] == pytest.approx(500 * Y / np.pi, rel=0.001)
    assert paper[1] / black[1] == pytest.approx(Y / 10**-1.45, rel=0.01)


def test_brightened_paper_loses_its_blue_under_led_light() -> None:
    """Section: brightened papers lose their blue lift under UV-poor light. b* against the light's
    own white: about -7 in D50, near 0 under a blue-pump LED; an unbrightened paper stays (published
    model: base b* +1.3 with +.15 gives D50 -5.3, blue-pump LED +1.1)."""
    b = {}
    for name in ("smooth matte", "cotton matte"):
        for light in ("D50", "LED-B3"):
            where = room(light)
            paper, _ = ends_in_room(catalogue().stock(name), where)
            b[name, light] = XYZ_to_Lab(paper / where.L_w, where.light.XYZ_w)[2]
    assert b["smooth matte", "D50"] == pytest.approx(-7.0, abs=0.1)
    assert b["smooth matte", "LED-B3"] > -1.5
    assert abs(b["cotton matte", "LED-B3"] - b["cotton matte", "D50"]) < 1.5


def test_dim_light_looks_dim_when_settled_and_not_when_matched() -> None:
    """Settled: paper at 50 lx is much darker on the screen than at 500 lx. Matched: the same
    (DESIGN of the two looks; a J/C match hides dim light, computed with CIECAM16)."""
    codes = ramp()
    for look, falls in ((Look.SETTLED, True), (Look.MATCHED, False)):
        white = [
            int(engine().bake(request(codes, where=room("D50", lux), look=look), 17).paper_bgr[1])
            for lux in (500.0, 50.0)
        ]
        assert (white[1] < white[0] - 40) is falls


def test_the_start_just_reaches_the_screen() -> None:
    """D50 at 500 lx, no glazing, settled, 120 cd/m2: an unbrightened paper lands at the screen's
    white within a third of a stop; at 2000 lx the room is far brighter and it is said."""
    start = engine().bake(request(ramp(), "cotton matte"), 17)
    assert start.room_excess.stops < 0.34
    assert start.paper_bgr.max() >= 254
    bright = engine().bake(request(ramp(), "cotton matte", room("D50", 2000.0)), 17)
    assert bright.room_excess.exceeds
    assert bright.room_excess.stops > 1.5


# ---- probe and picture --------------------------------------------------------------------


def test_probe_tells_what_the_print_is() -> None:
    """Black code on matte: D 1.7 within .03, luminance E Y / pi; white: the paper's Lab."""
    wanted = request(ramp())
    dark = engine().probe(wanted, np.array([0, 0, 0], np.uint8))
    assert dark.density == pytest.approx(1.70, abs=0.03)
    assert dark.luminance_cd_m2 == pytest.approx(500 / np.pi * 10**-dark.density, rel=0.05)
    light = engine().probe(wanted, np.array([255, 255, 255], np.uint8))
    assert light.print_Lab.tolist() == pytest.approx([96.5, 1.5, -7.0], abs=0.01)
    assert light.source_Lab.tolist() == pytest.approx([100, 0, 0], abs=0.02)
    code = np.array([0, 0, 255], np.uint8)
    plain = engine().probe(request(ramp(), black_point_compensation=False), code)
    assert Kind.OUT_OF_GAMUT in plain.marks
    assert plain.miss_delta_E == pytest.approx(
        float(delta_E_00(plain.wanted_Lab, plain.print_Lab)), abs=1e-9
    )
    blue = engine().probe(wanted, code)  # outside compensated, too
    assert blue.miss_delta_E == pytest.approx(
        float(delta_E_00(blue.wanted_Lab, blue.print_Lab)), abs=1e-9
    )


def test_sixteen_bits_stay_sixteen_bits() -> None:
    """Neighbouring 16-bit codes far closer than 8 bits give different float results."""
    codes = np.full((1, 2, 3), 20_000, np.uint16)
    codes[0, 1] += 8
    raw = apply(engine().bake(request(codes), 33).lattice, codes, output=Output.RAW)
    assert (raw[0, 1, :3] > raw[0, 0, :3]).all()


def test_transparent_places_show_bare_paper() -> None:
    """Alpha 0 is the paper's colour on the print."""
    codes = np.zeros((1, 2, 3), np.uint8)
    alpha = np.array([[0, 255]], np.uint8)
    baked = engine().bake(request(codes), 33)
    view = baked.print_view(codes, alpha)
    assert view[0, 0, :3].tolist() == baked.paper_bgr.tolist()


def test_the_photograph_itself_is_shown_white_on_white() -> None:
    """sRGB on an sRGB screen: codes come out as they went in, to one code."""
    codes = noise(5)
    shown = engine().bake(request(codes), 65).photograph_view(codes)
    difference = np.abs(shown[..., 2::-1].astype(int) - codes.astype(int))
    assert difference.mean() < 0.3
    assert np.percentile(difference, 99) <= 2


def test_sizes_default_to_300_ppi_and_distance_to_one_and_a_half_diagonals() -> None:
    """Common practice. 6000 x 4000 pixels: 20 x 13.3 in (508 x 338.7 mm)."""
    wanted = request(np.zeros((400, 600, 3), np.uint8))
    assert wanted.size is not None
    assert (wanted.size.width_mm, wanted.size.height_mm) == pytest.approx((50.8, 33.87), abs=0.01)
    assert wanted.distance_m == 0.25  # nobody looks from nearer
    large = request(np.zeros((400, 600, 3), np.uint8), size=PrintSize(600.0, 400.0))
    assert large.distance_m == pytest.approx(1.5 * np.hypot(600, 400) / 1000)
    assert wanted.size.ppi(wanted.photograph) == pytest.approx(300)


def test_a_press_files_black_prints_as_the_stocks_black() -> None:
    """Black point compensation starts from the file's own black (ISO 18619): full black of a
    FOGRA39 picture, L* about 9 in the file, lands on the stock's black and not above it."""
    from proofing.photograph import IccProfile
    from tests.reference.cgats import ICC_FOLDER

    press = IccProfile.from_file(ICC_FOLDER / "FOGRA39L_coated.icc")
    cmyk = np.zeros((1, 2, 4), np.uint8)
    cmyk[0, 0] = [230, 200, 190, 255]
    picture = photograph_from_array(cmyk, press, mode="CMYK")
    assert 0.002 < picture.encoding.black_Y < 0.03
    wanted = request(picture, "baryta")
    dark = engine().probe(wanted, picture.codes[0, 0])
    light = engine().probe(wanted, picture.codes[0, 1])
    assert dark.source_Lab[0] > 5
    assert dark.print_Lab[0] < catalogue().stock("baryta").black_Lab[0] + 3
    assert light.print_Lab[0] == pytest.approx(97.0, abs=0.1)


@pytest.mark.parametrize(
    "make",
    [
        lambda: PrintSize(5.0, 100.0),
        lambda: request(ramp(), distance_m=0.0),
        lambda: request(ramp(), gamut_tolerance=0.0),
    ],
)
def test_nonsense_is_refused(make: Any) -> None:
    """With a range to choose from."""
    with pytest.raises(SettingError, match="use"):
        make()


@pytest.mark.parametrize("name", ["smooth matte", "canvas"])
def test_a_table_for_one_picture_serves_it_as_the_whole_one_does(name: str) -> None:
    """The scan's channels of a picture's pixels are the same from the table for it
    alone."""
    codes = np.random.default_rng(3).normal(90, 20, (30, 40, 3)).clip(0, 255).astype(np.uint8)
    wanted = request(photograph_from_array(codes), name)
    whole, some = (
        apply(engine().bake_scan(wanted, 17, codes=c), codes, output=Output.RAW)
        for c in (None, codes)
    )
    assert np.abs(whole - some).max() < 1e-4
