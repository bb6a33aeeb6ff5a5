"""Test strips as other programs find them: pixels, sizes, wedge, one file for each stock."""

from __future__ import annotations

import dataclasses
import hashlib
from pathlib import Path
from typing import Any

import colour
import imagecodecs
import numpy as np
import numpy.typing as npt
import pytest
import tifffile
from PIL import Image

from app.state import Setting, build_request
from proofing.catalogue import Catalogue
from proofing.engine import Engine
from proofing.errors import Cancelled, OutputError, SettingError
from proofing.findings.kinds import Kind
from proofing.ordering.correcting import ease_needed_for
from proofing.ordering.spaces import adobe_rgb, srgb
from proofing.ordering.strip import Box, Role, StripOrder, sheet_named
from proofing.ordering.strip_file import StripWritten, strip_paths, write_strip
from proofing.ordering.strip_ladder import ladder
from proofing.photograph import Photograph, photograph_from_array
from proofing.printing import ColourEase, correction_for, shadow_lift
from proofing.proof import Prover
from proofing.request import ProofRequest
from tests import kept

DARK, LIGHT, RED, SKIN = (
    Box(0, 300, 450, 300), Box(0, 0, 450, 300), Box(450, 0, 450, 300), Box(450, 300, 450, 300)
)  # fmt: skip
"""Quarters of the made picture, 900 x 600 px."""
LIFTS = (0.0, 0.5, 1.0)
RELATIVE, NO_OPTIMISATION = 1, 256


def texture(seed: int, low: float, high: float) -> npt.NDArray[np.float64]:
    """A quarter of soft spots between two values."""
    from scipy.ndimage import gaussian_filter

    soft = gaussian_filter(np.random.default_rng(seed).random((300, 450)), 3.0)
    soft = (soft - soft.min()) / np.ptp(soft)
    return np.asarray(low + soft * (high - low))


def made(quiet: bool = False) -> Photograph:
    """Dark, light, red and skin-like quarters; quiet: within what every stock prints."""
    picture = np.empty((600, 900, 3))
    shades = (80, 110) if quiet else (1, 9)
    DARK.of(picture)[...] = texture(1, *shades)[..., None]
    LIGHT.of(picture)[...] = texture(2, *((150, 180) if quiet else (236, 255)))[..., None]
    RED.of(picture)[...] = texture(3, 120, 150)[..., None] * (
        (1.0, 0.9, 0.9) if quiet else (1.7, 0.05, 0.05)
    )
    SKIN.of(picture)[...] = texture(4, 0.9, 1.05)[..., None] * (190, 140, 115)
    codes = np.clip(np.rint(picture), 0, 255).astype(np.uint8)
    return photograph_from_array(codes, srgb(), name="quarters")


@pytest.fixture(scope="module")
def engine() -> Engine:
    return kept.engine()


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return Catalogue.load()


@pytest.fixture(scope="module")
def request_(catalogue: Catalogue) -> ProofRequest:
    """On matte in a dim light, 300 x 200 mm: 76.2 ppi."""
    setting = Setting(stock="smooth matte", illuminance=50.0, size_mm=(300.0, 200.0))
    return build_request(setting, catalogue, made())


@pytest.fixture(scope="module")
def written(
    engine: Engine, request_: ProofRequest, tmp_path_factory: pytest.TempPathFactory
) -> StripWritten:
    path = tmp_path_factory.mktemp("strip") / "strip.tif"
    wanted = StripOrder(lifts=LIFTS, date="2026-11-26")
    (one,) = write_strip(engine, request_, wanted, path)
    return one


def test_every_cell_holds_the_photographs_pixels(
    written: StripWritten, request_: ProofRequest
) -> None:
    """Each pixel by two other routes: LittleCMS from profile to profile at once (to two codes of
    65 535 beyond dither and rounding), colour-science from the published equations (to half a
    code of 255); corrected by the curve before."""
    sheet = tifffile.imread(written.path)
    photograph = request_.photograph
    assert photograph.encoding.profile is not None
    for cell in written.plan.cells:
        box = written.plan.places[cell.place].box
        codes = box.of(photograph.codes) / 255.0
        lift = LIFTS[cell.rung]
        if lift:
            curve = shadow_lift(photograph.encoding, lift)
            codes = curve.apply(codes.reshape(-1, 3)).reshape(codes.shape)
        found = cell.at.of(sheet)
        assert found.shape == codes.shape
        direct = imagecodecs.cms_transform(
            np.ascontiguousarray(codes, np.float32), photograph.encoding.profile.data,
            adobe_rgb().data, colorspace="rgb", outcolorspace="rgb", outdtype="f4",
            intent=RELATIVE, flags=NO_OPTIMISATION,
        )  # fmt: skip
        off = np.abs(found - np.clip(np.asarray(direct, np.float64), 0, 1) * 65535.0)
        assert off.max() <= 1.5 + 2.0
        equations = colour.RGB_to_RGB(
            codes, "sRGB", "Adobe RGB (1998)", apply_cctf_decoding=True, apply_cctf_encoding=True
        )
        assert np.abs(found / 65535.0 - np.clip(equations, 0, 1)).max() <= 0.5 / 255.0


def test_a_cells_correction_lifts_its_shadows(written: StripWritten) -> None:
    """Luminance of the darkest crop by colour-science: each stop doubles what is darkest."""
    sheet = tifffile.imread(written.path) / 65535.0
    dark = next(n for n, p in enumerate(written.plan.places) if p.kind is Kind.BLOCKED_SHADOWS)
    cells = [cell for cell in written.plan.cells if cell.place == dark]
    Y = [
        colour.RGB_to_XYZ(c.at.of(sheet), "Adobe RGB (1998)", apply_cctf_decoding=True)[..., 1]
        for c in cells
    ]
    deep = Y[0] < 0.003
    assert deep.sum() > 100
    for lift, lifted in zip(LIFTS, Y, strict=True):
        ratio = np.median(lifted[deep] / Y[0][deep])
        assert ratio == pytest.approx(2.0**lift, rel=0.02)


def test_the_size_on_paper(written: StripWritten) -> None:
    """By tifffile and by Pillow: A4 within a pixel, and a crop of n pixels n / ppi inches."""
    with tifffile.TiffFile(written.path) as file:
        page = file.pages[0]
        across = page.tags["XResolution"].value
        assert page.tags["ResolutionUnit"].value == 2
        assert page.tags["BitsPerSample"].value == (16, 16, 16)
        ppi = across[0] / across[1]
        assert ppi == pytest.approx(900 / 300 * 25.4)
        sides = page.imagewidth / ppi * 25.4, page.imagelength / ppi * 25.4
    assert sorted(sides) == pytest.approx([210.0, 297.0], abs=25.4 / ppi)
    with Image.open(written.path) as image:
        assert image.info["dpi"] == pytest.approx((ppi, ppi))
        assert image.info["icc_profile"] == adobe_rgb().data
    cell = written.plan.cells[0]
    assert written.plan.mm(cell.at.width) == pytest.approx(cell.at.width / ppi * 25.4)
    assert cell.at.width / 900 * 300.0 == pytest.approx(written.plan.mm(cell.at.width))


def test_the_wedge_has_equal_steps_of_lightness(written: StripWritten) -> None:
    """From written codes through the embedded profile, CIE 1976 L* by colour-science: 100 to 0 in
    steps of 5, each even and neutral."""
    sheet = tifffile.imread(written.path)
    with Image.open(written.path) as image:
        profile = image.info["icc_profile"]
    greys = []
    for step in written.plan.steps:
        area = step.at.of(sheet)
        assert (area == area[0, 0, 0]).all()
        greys.append(area[0, 0])
    assert greys[0].tolist() == [65535] * 3
    assert greys[-1].tolist() == [0] * 3
    Lab = imagecodecs.cms_transform(
        np.array(greys, np.uint16)[None], profile, imagecodecs.cms_profile("lab4"),
        colorspace="rgb", outcolorspace="lab", outdtype="f4", intent=RELATIVE,
        flags=NO_OPTIMISATION,
    )  # fmt: skip
    assert np.asarray(Lab)[0, :, 0] == pytest.approx(np.linspace(100, 0, 21), abs=0.01)
    XYZ = colour.RGB_to_XYZ(np.array(greys) / 65535.0, "Adobe RGB (1998)", apply_cctf_decoding=True)
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    L = colour.XYZ_to_Lab(XYZ, white)[:, 0]
    assert pytest.approx(np.linspace(100, 0, 21), abs=0.02) == L


def test_only_what_is_planned_is_on_the_sheet(written: StripWritten) -> None:
    """Everywhere else is bare paper; type is dark somewhere in each of its boxes."""
    sheet = tifffile.imread(written.path).astype(np.float64)
    plan = written.plan
    for label in plan.type:
        assert label.box.of(sheet).min() < 0.4 * 65535
    for bar in plan.bars:
        assert bar.of(sheet).max() == 0
    boxes = [*(c.at for c in plan.cells), *(s.at for s in plan.steps), *plan.bars]
    for box in (*boxes, *(label.box for label in plan.type)):
        box.of(sheet)[...] = 65535
    assert (sheet == 65535).all()


def test_the_places_are_those_of_the_findings(written: StripWritten) -> None:
    """Shadows first, each within the quarter that was made so; the reference is the skin."""
    plan = written.plan
    first = plan.places[0]
    assert first.kind is Kind.BLOCKED_SHADOWS
    assert written.lost[0][Kind.BLOCKED_SHADOWS] > 0.2
    assert DARK.holds(Box(first.box.left + first.box.width // 2,
                          first.box.top + first.box.height // 2, 1, 1))  # fmt: skip
    last = plan.places[-1]
    assert last.role is Role.REFERENCE
    overlap = min(last.box.right, SKIN.right) - max(last.box.left, SKIN.left)
    assert overlap >= 0.7 * last.box.width
    for number, place in enumerate(plan.places):
        assert Box(0, 0, 900, 600).holds(place.box)
        assert not [p for p in plan.places[number + 1 :] if p.box.overlaps(place.box)]
    words = " ".join(line for label in plan.labels for line in label.lines)
    assert "like skin" in words
    assert "Print at 100 %" in words
    assert "smooth matte" in words
    assert "50 lx" in words
    assert "2026-11-26" in words


def test_as_jpeg(
    engine: Engine, request_: ProofRequest, written: StripWritten, tmp_path: Path
) -> None:
    """8 bits, the same layout, as near to the TIFF as JPEG is; exact ppi in Exif."""
    path = tmp_path / "strip.jpg"
    wanted = StripOrder(lifts=LIFTS, date="2026-11-26", kind="JPEG")
    (jpeg,) = write_strip(engine, request_, wanted, path)
    assert [c.at for c in jpeg.plan.cells] == [c.at for c in written.plan.cells]
    with Image.open(path) as image:
        pixels = np.asarray(image).astype(int)
        assert image.mode == "RGB"
        assert float(image.getexif()[0x011A]) == pytest.approx(76.2)
        assert image.info["icc_profile"] == adobe_rgb().data
    sheet = tifffile.imread(written.path) / 257.0
    for cell in jpeg.plan.cells:
        off = np.abs(cell.at.of(pixels) - cell.at.of(sheet))
        assert off.max() <= 16
        assert off.mean() <= 1.5
    for step in jpeg.plan.steps:
        inner = Box(step.at.left + 8, step.at.top + 8, step.at.width - 16, step.at.height - 16)
        assert np.abs(inner.of(pixels) - inner.of(sheet)).max() <= 2


def test_a_file_for_each_stock(
    engine: Engine, catalogue: Catalogue, request_: ProofRequest, tmp_path: Path
) -> None:
    """Alike in places, layout and ladder; each marks its own lift, on its own paper's words."""
    stocks = [catalogue.stock(name) for name in ("smooth matte", "baryta")]
    matte, baryta = write_strip(
        engine, request_, StripOrder(), tmp_path / "s.tif", stocks=stocks, progress=lambda _: None
    )
    assert sorted(p.name for p in tmp_path.iterdir()) == ["s_baryta.tif", "s_smooth-matte.tif"]
    assert [c.at for c in matte.plan.cells] == [c.at for c in baryta.plan.cells]
    assert matte.plan.places == baryta.plan.places
    assert matte.rungs == baryta.rungs
    assert matte.need.stops > baryta.need.stops
    for one in (matte, baryta):
        report = one.as_dict()
        assert report["rungs"][report["needed_rung"]]["lift_stops"] == one.need.stops
        strong = {c.rung for c in one.plan.cells if c.label.strong}
        assert strong == {report["needed_rung"]}
        words = " ".join(line for label in one.plan.labels for line in label.lines)
        assert f"on {one.stock.name}" in words
    with pytest.raises(SettingError, match="each stock once"):
        strip_paths("a.tif", ["baryta", "baryta"])


def test_where_nothing_is_lost(engine: Engine, catalogue: Catalogue, tmp_path: Path) -> None:
    """The darkest, the most colourful and the lightest place are printed, and it says so."""
    setting = Setting(stock="smooth matte", illuminance=50.0, size_mm=(300.0, 200.0))
    request = build_request(setting, catalogue, made(quiet=True))
    (one,) = write_strip(engine, request, StripOrder(), tmp_path / "s.tif")
    roles = [place.role for place in one.plan.places]
    assert Role.LOST not in roles
    assert roles[:3] == [Role.DARKEST, Role.STRONGEST, Role.LIGHTEST]
    middles = [
        Box(p.box.left + p.box.width // 2, p.box.top + p.box.height // 2, 1, 1)
        for p in one.plan.places
    ]
    assert DARK.holds(middles[0])
    assert LIGHT.holds(middles[2])
    assert one.need.stops == 0.0
    first = next(cell for cell in one.plan.cells if cell.rung == 0)
    assert " ".join(first.label.lines) == "1A as it is, no lift is needed"
    assert [rung.stops for rung in one.rungs] == [0.0, 0.5, 1.0]
    assert any("Nothing is lost in places large enough" in said for said in one.sentences)


def test_the_requests_own_correction_is_a_step(
    engine: Engine, request_: ProofRequest, tmp_path: Path
) -> None:
    """Known by its ``apply`` alone, and printed beside the lifts."""
    encoding = request_.photograph.encoding
    own = dataclasses.replace(request_, correction=shadow_lift(encoding, 0.8))
    wanted = StripOrder(lifts=(0.0,), as_set="as I set it")
    (one,) = write_strip(engine, own, wanted, tmp_path / "s.tif")
    assert [rung.phrase for rung in one.rungs] == ["as it is", "as I set it"]
    sheet = tifffile.imread(one.path)
    plain, lifted = (
        next(c for c in one.plan.cells if c.place == 0 and c.rung == n).at.of(sheet) for n in (0, 1)
    )
    assert lifted.mean() > 1.1 * plain.mean()


def test_originals_and_other_files_are_safe(
    engine: Engine, request_: ProofRequest, tmp_path: Path
) -> None:
    """The photograph's file is never written onto, others only when asked; what is called off
    leaves nothing behind."""
    path = tmp_path / "photo.tif"
    tifffile.imwrite(path, request_.photograph.codes)
    before = hashlib.sha256(path.read_bytes()).hexdigest()
    given = dataclasses.replace(
        request_, photograph=dataclasses.replace(request_.photograph, path=path)
    )
    with pytest.raises(OutputError, match="is being read"):
        write_strip(engine, given, StripOrder(), path, overwrite=True)
    other = tmp_path / "other.tif"
    other.write_bytes(b"mine")
    with pytest.raises(OutputError, match="exists already"):
        write_strip(engine, given, StripOrder(), other)
    assert other.read_bytes() == b"mine"
    with pytest.raises(SettingError, match="does not stand for TIFF"):
        write_strip(engine, given, StripOrder(), tmp_path / "s.jpg")
    asked: list[Any] = []

    def late() -> bool:
        asked.append(None)
        return len(asked) > 40

    with pytest.raises(Cancelled):
        write_strip(engine, given, StripOrder(lifts=(0.0,)), tmp_path / "s.tif", cancel=late)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["other.tif", "photo.tif"]
    assert hashlib.sha256(path.read_bytes()).hexdigest() == before


def test_what_cannot_be_is_told_at_once(
    engine: Engine, request_: ProofRequest, tmp_path: Path
) -> None:
    """A lift beyond the most there is, and a sheet too small for its crops."""
    with pytest.raises(SettingError, match=r"0 to 1\.5 stops"):
        write_strip(engine, request_, StripOrder(lifts=(0.0, 3.0)), tmp_path / "s.tif")
    with pytest.raises(SettingError, match=r"use at least .*, or a shorter ladder"):
        write_strip(engine, request_, StripOrder(sheet_named("A6")), tmp_path / "s.tif")
    assert not list(tmp_path.iterdir())


def test_a_ladder_of_easings(engine: Engine, request_: ProofRequest, tmp_path: Path) -> None:
    """Cells hold the photograph with its strong colours eased in toward the strip's own stock, by
    the very correction that an order file has; the needed easing is told, not a lift. By
    colour-science: in CIELAB what is eased more is less colourful, and keeps its hue."""
    wanted = StripOrder(eases=(50.0, 0.0, 100.0))
    (one,) = write_strip(engine, request_, wanted, tmp_path / "s.tif")
    assert [rung.phrase for rung in one.rungs] == [
        "as it is", "strong colours eased in by 50 %", "strong colours eased in by 100 %",
    ]  # fmt: skip
    photograph = request_.photograph
    sheet = tifffile.imread(one.path)
    chromas = []
    for rung in (0, 1, 2):
        cells = [c for c in one.plan.cells if c.rung == rung]
        parts = []
        for cell in cells:
            codes = one.plan.places[cell.place].box.of(photograph.codes).reshape(-1, 3) / 255.0
            if rung:
                ease = ColourEase(
                    photograph.encoding, request_.stock, request_.rendering, 0.5 * rung
                )
                codes = correction_for(photograph.encoding, ease=ease).apply(codes)
            found = cell.at.of(sheet).reshape(-1, 3) / 65535.0
            expected = colour.RGB_to_RGB(
                codes, "sRGB", "Adobe RGB (1998)",
                apply_cctf_decoding=True, apply_cctf_encoding=True,
            )  # fmt: skip
            assert np.abs(found - np.clip(expected, 0, 1)).max() <= 0.5 / 255.0
            XYZ = colour.RGB_to_XYZ(found, "Adobe RGB (1998)", apply_cctf_decoding=True)
            parts.append(colour.XYZ_to_Lab(XYZ))
        Lab = np.concatenate(parts)
        chromas.append(np.hypot(Lab[:, 1], Lab[:, 2]))
    strong = chromas[0] > 70.0
    assert strong.sum() > 100
    assert chromas[0][strong].mean() > chromas[1][strong].mean() > chromas[2][strong].mean()
    report = one.as_dict()
    needed = ease_needed_for(engine, request_).percent
    assert report["needed_rung"] == {0.0: 0, 50.0: 1, 100.0: 2}.get(needed)
    strong_labels = {c.rung for c in one.plan.cells if c.label.strong}
    assert strong_labels == {0} and needed == 0.0
    first = next(cell for cell in one.plan.cells if cell.rung == 0)
    assert " ".join(first.label.lines) == "1A as it is, no easing is needed"
    assert report["lift_needed"] is None
    assert report["ease_needed"]["percent"] == ease_needed_for(engine, request_).percent
    assert [rung["ease_percent"] for rung in report["rungs"]] == [0.0, 50.0, 100.0]


def test_easings_go_toward_the_stock_of_each_sheet(
    engine: Engine, catalogue: Catalogue, request_: ProofRequest, tmp_path: Path
) -> None:
    """Of a corrected print for two stocks: the places are those of the print as it is, its own
    easing is a step, and each sheet holds colours eased toward its own stock (colour-science)."""
    encoding = request_.photograph.encoding
    own = correction_for(
        encoding, lift_stops=1.0,
        ease=ColourEase(encoding, request_.stock, request_.rendering, 0.6),
    )  # fmt: skip
    asked = dataclasses.replace(request_, correction=own)
    stocks = [catalogue.stock(name) for name in ("smooth matte", "gloss")]
    written = write_strip(
        engine, asked, StripOrder(eases=(100.0,)), tmp_path / "s.tif", stocks=stocks
    )
    percents = [rung.percent for rung in written[0].rungs]
    assert percents == [None, 60.0, 100.0]
    bare = Prover(engine, dataclasses.replace(asked, correction=None)).scan()
    assert bare.share(Kind.BLOCKED_SHADOWS) > 0.1
    dark = next(n for n, p in enumerate(written[0].plan.places) if p.kind is Kind.BLOCKED_SHADOWS)
    assert written[0].lost[dark][Kind.BLOCKED_SHADOWS] > 0.3  # though the lift shows all of it
    red = (
        written[0]
        .plan.places[next(n for n, p in enumerate(written[0].plan.places) if RED.holds(p.box))]
        .box
    )
    means = []
    for one in written:
        sheet = tifffile.imread(one.path) / 65535.0
        cell = next(
            c for c in one.plan.cells if c.rung == 2 and one.plan.places[c.place].box == red
        )
        ease = ColourEase(encoding, one.stock, request_.rendering, 1.0)
        codes = red.of(asked.photograph.codes).reshape(-1, 3) / 255.0
        codes = correction_for(encoding, lift_stops=1.0, ease=ease).apply(codes)
        expected = colour.RGB_to_RGB(
            codes, "sRGB", "Adobe RGB (1998)", apply_cctf_decoding=True, apply_cctf_encoding=True
        )
        found = cell.at.of(sheet).reshape(-1, 3)
        assert np.abs(found - np.clip(expected, 0, 1)).max() <= 0.5 / 255.0
        means.append(found.mean(axis=0))
    assert np.abs(means[0] - means[1]).max() > 0.02


def test_a_ladder_has_no_more_steps_than_are_compared_at_a_glance(request_: ProofRequest) -> None:
    """Eight, with the print as it is among them."""
    own = dataclasses.replace(request_, correction=shadow_lift(request_.photograph.encoding, 0.5))
    assert len(ladder(own, StripOrder(eases=tuple(range(10, 80, 10))), [])) == 8
    with pytest.raises(SettingError, match="at most 7 here"):
        ladder(own, StripOrder(eases=tuple(range(10, 90, 10))), [])
    with pytest.raises(SettingError, match="at most 8"):
        StripOrder(eases=tuple(range(10, 100, 10)))


def test_easings_come_on_top_of_a_curve_and_a_lift(request_: ProofRequest) -> None:
    """As in the order; lifts and easings at once are refused, and easings of what has no colour."""
    encoding = request_.photograph.encoding
    own = dataclasses.replace(request_, correction=shadow_lift(encoding, 0.5))
    plain, lifted, eased = ladder(own, StripOrder(eases=(0.0, 40.0)), [])
    assert (plain.phrase, plain.correction) == ("as it is", None)
    assert lifted.correction == shadow_lift(encoding, 0.5)
    ease = ColourEase(encoding, own.stock, own.rendering, 0.4)
    assert eased.correction == correction_for(encoding, lift_stops=0.5, ease=ease)
    assert eased.phrase == "shadows lifted by 0.5 stops, strong colours eased in by 40 %"
    with pytest.raises(SettingError, match="one of the two"):
        StripOrder(lifts=(0.5,), eases=(40.0,))
    grey = photograph_from_array(np.full((60, 60), 90, np.uint8), name="grey", mode="grey")
    with pytest.raises(SettingError, match="no colours"):
        ladder(dataclasses.replace(own, photograph=grey, correction=None),
               StripOrder(eases=(40.0,)), [])  # fmt: skip


def test_lifts_come_on_top_of_a_curve_of_ones_own(request_: ProofRequest) -> None:
    """The order will hold both, so the ladder does; what it was before is its first step."""
    encoding = request_.photograph.encoding
    points = ((0.0, 0.0), (0.4, 0.3), (1.0, 1.0))
    own = dataclasses.replace(request_, correction=correction_for(encoding, points, 0.8))
    plain, curve, lifted = ladder(own, StripOrder(lifts=(0.0, 0.5)), [])
    assert (plain.phrase, plain.correction) == ("as it is", None)
    assert curve.correction == correction_for(encoding, points)
    assert lifted.correction == correction_for(encoding, points, 0.5)
    assert lifted.phrase == "curve as set, shadows lifted by 0.5 stops"
