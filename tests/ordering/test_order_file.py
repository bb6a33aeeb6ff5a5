"""The file for the lab as other programs find it, whole or not there."""

from __future__ import annotations

import base64
import errno
import hashlib
import io
import shutil
import struct
import subprocess
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import imagecodecs
import numpy as np
import numpy.typing as npt
import pytest
import tifffile
from PIL import Image, ImageCms

from proofing.errors import Cancelled, OutputError, SettingError
from proofing.ordering import order_file, writing
from proofing.ordering.checking import Expected, check_order
from proofing.ordering.encoding import convert
from proofing.ordering.order_file import (
    Margins,
    Order,
    PrintSize,
    Wrap,
    layout_of,
    order_space,
    write_order,
)
from proofing.ordering.spaces import adobe_rgb, srgb
from proofing.photograph import IccProfile, Photograph, photograph_from_array, read_photograph

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "demo"
PICTURES = sorted(
    record["file"]
    for record in tomllib.loads((DEMO / "exhibition.toml").read_text(encoding="utf-8"))["picture"]
    if "file" in record
)


def small(**more: Any) -> Photograph:
    """Random codes, which no codec guesses."""
    codes = np.random.default_rng(8).integers(0, 65536, (60, 90, 3)).astype(np.uint16)
    return photograph_from_array(codes, srgb(), **more)


def order_for(photograph: Photograph, **more: Any) -> Order:
    """At 254 ppi, which is 10 px to the millimetre."""
    return Order(PrintSize(photograph.width / 10, photograph.height / 10), **more)


def small_order(**more: Any) -> tuple[Photograph, Order]:
    """The small picture at 60 ppi."""
    photograph = small()
    return photograph, Order(PrintSize(38.1, 25.4), **more)


def read_tiff_by_hand(path: Path) -> npt.NDArray[np.uint16]:
    """TIFF 6.0 by its own words: header, directory, strips, nothing else."""
    data = path.read_bytes()
    assert data[:4] == b"II*\0"
    (at,) = struct.unpack_from("<I", data, 4)
    entries = {}
    for index in range(struct.unpack_from("<H", data, at)[0]):
        tag, kind, count = struct.unpack_from("<HHI", data, at + 2 + 12 * index)
        size = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 7: 1}[kind] * count
        place = at + 10 + 12 * index
        if size > 4:
            (place,) = struct.unpack_from("<I", data, place)
        form = {3: "H", 4: "I"}.get(kind)
        if form:
            entries[tag] = struct.unpack_from(f"<{count}{form}", data, place)
    strips = zip(entries[273], entries[279], strict=True)
    body = b"".join(data[start : start + count] for start, count in strips)
    assert entries[258] == (16, 16, 16)
    assert entries[259] == (1,)
    return np.frombuffer(body, "<u2").reshape(entries[257][0], entries[256][0], 3)


# ---- read by others --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "space"),
    [
        *((name, "adobe-rgb") for name in PICTURES),
        *((name, "srgb") for name in PICTURES if name.startswith(("d", "q"))),
    ],
)  # in sRGB those from ROMM RGB, a press, Adobe RGB (1998) and grey
def test_every_demo_picture_as_tiff(name: str, space: str, tmp_path: Path) -> None:
    """Equal pixels and profile by libtiff, Pillow and TIFF 6.0 itself; the original untouched."""
    source = DEMO / name
    before = hashlib.sha256(source.read_bytes()).hexdigest()
    photograph = read_photograph(source)
    order = order_for(photograph, destination=order_space(space))
    path = tmp_path / "out.tif"
    written = write_order(photograph, order, path)
    expected = convert(photograph, order, layout_of(order, photograph)).codes
    assert (imagecodecs.tiff_decode(path.read_bytes()) == expected).all()
    assert (read_tiff_by_hand(path) == expected).all()
    with Image.open(path) as image:
        assert image.info["icc_profile"] == order.destination.data
        assert image.info["dpi"] == (254.0, 254.0)
        assert image.size == (photograph.width, photograph.height)
        assert (np.asarray(image.convert("RGB")) == expected >> 8).all()
        named = ImageCms.getProfileDescription(
            ImageCms.ImageCmsProfile(io.BytesIO(image.info["icc_profile"]))
        )
    assert named.strip() == {"srgb": "sRGB", "adobe-rgb": "Adobe RGB (1998)"}[space]
    assert written.check.passed
    assert written.check.most_codes == 0
    assert written.layout.size_mm == pytest.approx((photograph.width / 10, photograph.height / 10))
    assert hashlib.sha256(source.read_bytes()).hexdigest() == before
    assert [p.name for p in tmp_path.iterdir()] == ["out.tif"]


@pytest.mark.parametrize("name", PICTURES)
def test_every_demo_picture_as_jpeg(name: str, tmp_path: Path) -> None:
    """4:4:4, finest quantisation, profile, density; pixels as near as JPEG is."""
    photograph = read_photograph(DEMO / name)
    order = order_for(photograph, kind="JPEG")
    path = tmp_path / "out.jpg"
    written = write_order(photograph, order, path)
    with Image.open(path) as image:
        assert image.info["icc_profile"] == adobe_rgb().data
        assert image.info["dpi"] == (254, 254)
        assert [layer[1:3] for layer in image.layer] == [(1, 1)] * 3  # sampling factors, T.81 B.2.2
        assert {entry for table in image.quantization.values() for entry in table} == {1}
        pixels = np.asarray(image)
    assert pixels.shape == (photograph.height, photograph.width, 3)
    assert written.check.passed
    assert written.check.delta_E_mean < 1.0
    if photograph.facts.mode == "grey":
        assert np.ptp(pixels, axis=2).max() == 0
    if photograph.facts.mode == "CMYK":
        assert any("CMYK" in sentence and "press" in sentence for sentence in written.sentences)
    if photograph.facts.space == "ROMM RGB":
        assert any("on purpose" in sentence for sentence in written.sentences)
        assert written.told.share_outside > 0.05


@pytest.mark.skipif(shutil.which("vips") is None, reason="libvips-tools is not installed")
def test_a_third_reader(tmp_path: Path) -> None:
    """libvips finds the same pixels, ppi and profile in a TIFF with a mirrored edge."""
    photograph, order = small_order()
    order = replace(order, wrap=Wrap(5.0, 0.0))
    path, raw = tmp_path / "out.tif", tmp_path / "out.ppm"
    written = write_order(photograph, order, path)

    def vips(*words: object) -> bytes:
        return subprocess.run([str(word) for word in words], check=True, capture_output=True).stdout

    vips("vips", "copy", path, raw)
    width, height = written.layout.width_px, written.layout.height_px
    body = raw.read_bytes().split(b"65535\n", 1)[1]
    found = np.frombuffer(body, ">u2").reshape(height, width, 3)
    assert (found == tifffile.imread(path)).all()
    pixels_per_mm = float(vips("vipsheader", "-f", "xres", path))
    assert pixels_per_mm * 25.4 == pytest.approx(float(written.layout.ppi), rel=1e-5)
    vips("vips", "icc_import", path, tmp_path / "lab.v")  # it takes the embedded profile
    profile = base64.b64decode(vips("vipsheader", "-f", "icc-profile-data", path))
    assert profile == order.destination.data


@pytest.mark.parametrize("mm", [38.1, 40.0, 33.3, 123.4])
def test_resolution_is_exact(mm: float, tmp_path: Path) -> None:
    """A rational in TIFF; in JPEG Exif has the fraction, and the old header the whole number."""
    photograph = small()
    size = PrintSize(mm, mm * 2 / 3)
    ppi = 90 / (mm / 25.4)
    tiff, jpeg = tmp_path / "a.tif", tmp_path / "a.jpg"
    write_order(photograph, Order(size), tiff)
    write_order(photograph, Order(size, kind="JPEG"), jpeg)
    with tifffile.TiffFile(tiff) as opened:
        tags = opened.pages[0].tags
        across, down, unit = (tags.valueof(number) for number in (282, 283, 296))
    assert across == down
    assert 90 / (across[0] / across[1]) * 25.4 == pytest.approx(mm, abs=0.01)
    assert unit == 2
    with Image.open(jpeg) as image:
        assert float(image.getexif()[282]) == pytest.approx(ppi, rel=2e-4)
        assert image.info["jfif_density"] == (round(ppi), round(ppi))
        assert image.info["jfif_unit"] == 1


def test_margins_in_the_file(tmp_path: Path) -> None:
    """The sheet is larger by them; the check and the sentence speak of the sheet."""
    photograph, order = small_order(margins=Margins.even(12.7))
    path = tmp_path / "a.tif"
    written = write_order(photograph, order, path)
    pixels = tifffile.imread(path)
    assert pixels.shape == (60 + 60, 90 + 60, 3)
    assert (pixels[:30] == 65535).all()
    assert written.check.size_mm == pytest.approx((38.1 + 25.4, 25.4 + 25.4))
    assert written.sentences[0].endswith("× 5.1 cm.")


def test_a_large_profile_and_a_lab_profile(tmp_path: Path) -> None:
    """Whatever RGB profile the lab wishes is embedded byte for byte."""
    theirs = IccProfile.from_file(ROOT / "tests/reference/icc/ROMM_RGB.icc")
    photograph, order = small_order(destination=theirs)
    path = tmp_path / "a.tif"
    write_order(photograph, order, path)
    with tifffile.TiffFile(path) as opened:
        assert opened.pages[0].tags.valueof(34675) == theirs.data


# ---- whole or not there ----------------------------------------------------------------------


def full_disk(*_: object, **__: object) -> None:
    """What the system says when a disk is full."""
    raise OSError(errno.ENOSPC, "No space left on device")


@pytest.mark.parametrize("kind", ["TIFF", "JPEG"])
def test_a_full_disk_leaves_nothing(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No half file, no temporary one, and what was there stays."""
    photograph, order = small_order(kind=kind)
    path = tmp_path / ("a.tif" if kind == "TIFF" else "a.jpg")
    name = "write_tiff" if kind == "TIFF" else "write_jpeg"
    whole = getattr(order_file, name)

    def half(*given: Any, **more: Any) -> None:
        whole(*given, **more)
        full_disk()

    monkeypatch.setattr(order_file, name, half)
    with pytest.raises(OutputError, match="No space left"):
        write_order(photograph, order, path)
    assert list(tmp_path.iterdir()) == []
    path.write_bytes(b"an earlier order")
    with pytest.raises(OutputError):
        write_order(photograph, order, path, overwrite=True)
    assert path.read_bytes() == b"an earlier order"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("at", [20, 3000, -5000])
def test_a_file_that_does_not_read_back_is_not_left(
    at: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that turns bytes: in the header, in the pixels, in the middle of them."""
    photograph, order = small_order()
    whole = order_file.write_tiff

    def spoiled(path: Path, *given: Any, **more: Any) -> None:
        whole(path, *given, **more)
        data = bytearray(path.read_bytes())
        for place in range(8):
            data[at + place] ^= 0xFF
        path.write_bytes(bytes(data))

    monkeypatch.setattr(order_file, "write_tiff", spoiled)
    with pytest.raises(OutputError, match=r"read back|opened again"):
        write_order(photograph, order, tmp_path / "a.tif")
    assert list(tmp_path.iterdir()) == []


def test_originals_and_what_is_there_are_safe(tmp_path: Path) -> None:
    """Never onto the photograph or a file that was read, whatever is allowed; nor onto others."""
    source = tmp_path / "photo.tif"
    tifffile.imwrite(source, small().codes, photometric="rgb")
    before = source.read_bytes()
    photograph = read_photograph(source)
    order = Order(PrintSize(38.1, 25.4))
    link = tmp_path / "link.tif"
    link.symlink_to(source)
    profile = tmp_path / "lab.tif"
    profile.write_bytes(b"read, too")
    for path in (source, link):
        with pytest.raises(OutputError, match="being read"):
            write_order(photograph, order, path, overwrite=True)
    with pytest.raises(OutputError, match="being read"):
        write_order(photograph, order, profile, inputs=[profile], overwrite=True)
    other = tmp_path / "other.tif"
    other.write_bytes(b"another order")
    with pytest.raises(OutputError, match="exists already"):
        write_order(photograph, order, other)
    assert other.read_bytes() == b"another order"
    write_order(photograph, order, other, overwrite=True)
    assert other.read_bytes()[:4] == b"II*\0"
    assert source.read_bytes() == before


def test_ending_and_kind_belong_together(tmp_path: Path) -> None:
    """A JPEG under a TIFF's name would be refused by the lab."""
    photograph, order = small_order()
    with pytest.raises(SettingError, match="does not stand for TIFF"):
        write_order(photograph, order, tmp_path / "a.jpg")


@pytest.mark.parametrize("asked", [1, 2, 3])
def test_called_off_at_any_time(asked: int, tmp_path: Path) -> None:
    """Before, while and after it is written: nothing is left."""
    photograph, order = small_order()
    count = 0

    def cancel() -> bool:
        nonlocal count
        count += 1
        return count >= asked

    with pytest.raises(Cancelled):
        write_order(photograph, order, tmp_path / "a.tif", cancel=cancel)
    assert list(tmp_path.iterdir()) == []


def test_progress_goes_up_to_one(tmp_path: Path) -> None:
    """And the same order twice is the same file: noise and profile have no clock."""
    photograph, order = small_order()
    told: list[float] = []
    first = write_order(photograph, order, tmp_path / "a.tif", progress=told.append)
    write_order(photograph, order, tmp_path / "b.tif")
    assert told == sorted(told)
    assert told[-1] == 1.0
    assert first.size_bytes == (tmp_path / "a.tif").stat().st_size
    assert (tmp_path / "a.tif").read_bytes() == (tmp_path / "b.tif").read_bytes()


# ---- the check -------------------------------------------------------------------------------


def test_the_check_finds_what_is_wrong(tmp_path: Path) -> None:
    """Pixels, profile, resolution, size: one at a time, each told in its own sentence."""
    photograph, order = small_order()
    path = tmp_path / "a.tif"
    written = write_order(photograph, order, path)
    codes = tifffile.imread(path)
    expected = Expected(codes, written.layout.ppi, written.layout.size_mm)
    good = check_order(path, order, expected)
    assert good.passed
    assert good == written.check

    def changed(**more: Any) -> Any:
        options = {"iccprofile": adobe_rgb().data, "resolution": (60, 60), **more}
        pixels = options.pop("pixels", codes)
        tifffile.imwrite(path, pixels, photometric="rgb", resolutionunit="INCH", **options)
        return check_order(path, order, expected)

    assert changed().passed
    off_by_one = codes.copy()
    off_by_one[5, 5, 1] ^= 1
    assert changed(pixels=off_by_one).passed
    off = codes.copy()
    off[59, 89, 2] ^= 2
    found = changed(pixels=off)
    assert not found.passed
    assert found.most_codes == 2
    assert "pixels" in found.sentences[0]
    profile = changed(iccprofile=srgb().data)
    assert not profile.passed
    assert not profile.same_profile
    assert "not the one ordered" in profile.sentences[1]
    assert not changed(iccprofile=None).passed
    resolution = changed(resolution=(61, 61))
    assert not resolution.passed
    assert "not ordered" in resolution.sentences[2]
    shape = changed(pixels=codes[:, :-1])
    assert not shape.passed
    assert not shape.same_shape


def test_the_check_of_a_jpeg_by_colour_difference(tmp_path: Path) -> None:
    """A poor quality or wrong pixels do not pass; top quality does."""
    photograph, order = small_order(kind="JPEG")
    path = tmp_path / "a.jpg"
    written = write_order(photograph, order, path)
    codes = convert(photograph, order, written.layout).codes
    expected = Expected(codes, written.layout.ppi, written.layout.size_mm)
    assert check_order(path, order, expected).delta_E_mean < 1.0
    with Image.open(path) as image:
        options = {"icc_profile": image.info["icc_profile"], "exif": image.info["exif"]}
        image.load()
        image.save(path, quality=40, **options)
    assert not check_order(path, order, expected).passed


def test_what_cannot_be_opened_is_an_error_of_the_output(tmp_path: Path) -> None:
    """With the file's name."""
    photograph, order = small_order()
    path = tmp_path / "a.tif"
    written = write_order(photograph, order, path)
    expected = Expected(tifffile.imread(path), written.layout.ppi, written.layout.size_mm)
    path.write_bytes(path.read_bytes()[:300])
    with pytest.raises(OutputError, match=r"a\.tif cannot be opened"):
        check_order(path, order, expected)


# ---- sentences -------------------------------------------------------------------------------


def test_what_is_lost_and_gained_by_8_bits_is_said(tmp_path: Path) -> None:
    """Of 16 bits, of 8, and where nothing was rounded."""
    photograph, order = small_order(kind="JPEG")
    said = " ".join(write_order(photograph, order, tmp_path / "a.jpg").sentences)
    assert "256 steps where the photograph has more" in said
    assert "Lost is" in said or "lost is" in said
    eight = photograph_from_array((small().codes >> 8).astype(np.uint8), srgb())
    into_adobe = write_order(eight, order, tmp_path / "b.jpg").sentences
    assert any("as the photograph has, rounded once" in sentence for sentence in into_adobe)
    kept = write_order(
        eight, Order(PrintSize(38.1, 25.4), srgb(), kind="JPEG"), tmp_path / "c.jpg"
    ).sentences
    assert any("its codes are the file's" in sentence for sentence in kept)


def test_colours_cut_off_are_said_with_their_share(tmp_path: Path) -> None:
    """Never silently; and none where there are none."""
    codes = np.full((60, 90, 3), 118, np.uint8)
    codes[:30] = (0, 255, 0)
    photograph = photograph_from_array(codes, adobe_rgb())
    order = Order(PrintSize(38.1, 25.4), srgb())
    written = write_order(photograph, order, tmp_path / "a.tif")
    assert any(sentence.startswith("50 % of the pixels") for sentence in written.sentences)
    assert written.as_dict()["share_outside"] == 0.5
    grey = photograph_from_array(np.full((60, 90, 3), 118, np.uint8), adobe_rgb())
    said = write_order(grey, order, tmp_path / "b.tif").sentences
    assert any("No colour lies outside sRGB" in sentence for sentence in said)


def test_cmyk_without_a_profile_is_said_to_be_cmyk(tmp_path: Path) -> None:
    """Though its inks are taken as the complement of sRGB, and sRGB is ordered."""
    inks = np.random.default_rng(1).integers(0, 256, (60, 90, 4)).astype(np.uint8)
    photograph = photograph_from_array(inks, mode="CMYK")
    written = write_order(photograph, Order(PrintSize(38.1, 25.4), srgb()), tmp_path / "a.tif")
    said = " ".join(written.sentences)
    assert "The photograph is CMYK" in said
    assert "No profile is embedded" in said
    assert "already" not in said


@pytest.mark.parametrize("levels", [(0, 3), (0, 8), (0, 2), (250, 256), (0, 256)])
@pytest.mark.parametrize("extreme", [False, True])
@pytest.mark.parametrize("space", [adobe_rgb(), srgb()], ids=lambda profile: profile.description)
def test_no_good_jpeg_is_refused(
    levels: tuple[int, int], extreme: bool, space: IccProfile, tmp_path: Path
) -> None:
    """The hardest pictures for JPEG: noise in the darkest codes, and channels at either end."""
    low, high = levels
    codes = np.random.default_rng(high).integers(low, high, (90, 135, 3)).astype(np.uint8)
    if extreme:
        codes = np.where(codes > (low + high) // 2, high - 1, low).astype(np.uint8)
    photograph = photograph_from_array(codes, space)
    order = Order(PrintSize(57.15, 38.1), space, kind="JPEG")
    check = write_order(photograph, order, tmp_path / "a.jpg").check
    assert check.passed
    assert check.delta_E_mean < 1.0


def test_corrections_and_transparency_are_said(tmp_path: Path) -> None:
    """With the share that a correction cuts off."""
    alpha = np.full((60, 90), 255, np.uint8)
    alpha[:10] = 0
    photograph = small(alpha=alpha)
    order = Order(PrintSize(38.1, 25.4), correction=lambda codes: codes * 2.0)
    said = " ".join(write_order(photograph, order, tmp_path / "a.tif").sentences)
    assert "laid on white" in said
    assert "to an end of the scale" in said


def test_sixteen_bits_are_written_in_strips(tmp_path: Path) -> None:
    """So that a reader need not hold the whole: strips of some 256 KB (TIFF 6.0 advises small)."""
    photograph = photograph_from_array(np.zeros((800, 900, 3), np.uint8))
    path = tmp_path / "a.tif"
    writing.write_tiff(
        path, np.zeros((800, 900, 3), np.uint16), srgb().data,
        layout_of(order_for(photograph), photograph).ppi, order_file.read_metadata(None),
        keep_location=False,
    )  # fmt: skip
    with tifffile.TiffFile(path) as opened:
        assert len(opened.pages[0].dataoffsets) > 10
