"""The command that writes the file for the lab, from its words to its file."""

from __future__ import annotations

import datetime
import json
import signal
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import tifffile
from PIL import Image

from app import ordering
from app.command_line import build_parser, main
from app.state import ROWS
from proofing.ordering.naming import FIELDS
from proofing.ordering.order import SUFFIXES
from proofing.ordering.spaces import adobe_rgb, srgb

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(autouse=True)
def _handlers() -> Iterator[None]:
    before = signal.getsignal(signal.SIGTERM)
    yield
    signal.signal(signal.SIGTERM, before)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in, with a small picture that knows its author and its place."""
    monkeypatch.chdir(tmp_path)
    codes = np.random.default_rng(2).integers(0, 256, (40, 60, 3)).astype(np.uint8)
    exif = Image.Exif()
    exif[0x013B] = "An author"
    exif.get_ifd(0x8825)[1] = "N"
    Image.fromarray(codes).save(tmp_path / "patches.png", dpi=(300, 300), exif=exif)
    return tmp_path


def test_tables_that_are_repeated_to_be_light_agree() -> None:
    """The endings and fields told in the help are those of the engine."""
    assert set(ordering.SUFFIXES) == set(SUFFIXES)
    assert tuple(FIELDS) == ordering._FIELDS


def test_a_16_bit_tiff_is_written_and_told(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The sentence heads it, then what was done, the check, and the file."""
    assert main(["order", "patches.png", "--size", "60x40mm", "--output", "a.tif"]) == 0
    said = capsys.readouterr()
    assert said.err == ""
    words = " ".join(said.out.split())
    assert words.startswith("patches.png on smooth matte")
    assert "Converted from sRGB to Adobe RGB (1998)" in words
    assert "Kept from the photograph's file: author. Left out: location" in words
    assert "every pixel is the one that was written" in words
    assert words.endswith("Written: a.tif")
    with tifffile.TiffFile(folder / "a.tif") as opened:
        page = opened.pages[0]
        assert page.dtype == np.uint16
        assert page.tags.valueof(34675) == adobe_rgb().data
        assert page.tags.valueof(282) == (127, 5)
        assert page.tags.valueof(34853) is None


def test_a_jpeg_in_srgb_with_margin_place_and_a_made_name(folder: Path) -> None:
    """Every option of its own, and fields in the name."""
    name = "{name}_{width}x{height}{unit}_{ppi}_{space}_{stock}_{date}.jpg"
    words = ["order", "patches.png", "--size", "60x40mm", "--output", name, "--space", "srgb",
             "--margin", "10mm", "--keep-location", "--stock", "baryta"]  # fmt: skip
    assert main(words) == 0
    today = datetime.date.today().isoformat()
    path = folder / f"patches_6x4cm_25_sRGB_baryta_{today}.jpg"
    with Image.open(path) as image:
        assert image.size == (80, 60)
        assert image.info["icc_profile"] == srgb().data
        assert image.getexif().get_ifd(0x8825)[1] == "N"


def test_the_lift_of_the_setting_is_in_the_file(folder: Path) -> None:
    """What the print shows is what is ordered: shadows lifted, the mid-tones left."""
    assert main(["order", "patches.png", "-o", "plain.tif", "--space", "srgb"]) == 0
    assert main(["order", "patches.png", "-o", "lift.tif", "--space", "srgb", "--lift", "1"]) == 0
    plain, lifted = (
        tifffile.imread(folder / name).astype(int) for name in ("plain.tif", "lift.tif")
    )
    codes = np.asarray(Image.open(folder / "patches.png")).astype(int)
    assert (plain == codes * 257).all()
    light = (plain / 65535.0) ** 2.2, (lifted / 65535.0) ** 2.2
    dark = (codes > 30) & (codes < 45)
    assert np.median(light[1][dark] / light[0][dark]) == pytest.approx(2.0, abs=0.25)
    assert np.abs(lifted - plain)[codes > 230].max() <= 3


def test_json_tells_the_same(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Numbers of the conversion, the check, and all sentences."""
    assert main(["order", "patches.png", "-o", "a.tif", "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["check"]["passed"] is True
    assert report["check"]["readers"] == ["libtiff", "Pillow"]
    assert (report["width"], report["height"], report["ppi"]) == (60, 40, 101.6)  # 10 mm at least
    assert report["kept"] == ["author"]
    assert report["left_out"] == ["location"]
    assert report["share_outside"] == 0.0
    assert report["setting"]["photograph"] == "patches.png"
    assert report["file"] == "a.tif"


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (["-o", "a.png"], ".tif, .tiff, .jpg or .jpeg"),
        (["-o", "patches.png"], ".tif, .tiff, .jpg or .jpeg"),
        (["-o", "there.tif"], "--overwrite"),
        (["-o", "gone/a.tif"], "there is no folder gone"),
        (["-o", "{paper}.tif"], "--output {paper}: there is no field {paper}"),
        (["-o", "a.tif", "--space", "rec709"], "--space rec709: use adobe-rgb, srgb"),
        (["-o", "a.tif", "--space", "gone.icc"], "gone.icc cannot be read"),
        (["-o", "a.tif", "--space", str(ROOT / "tests/reference/icc/FOGRA39L_coated.icc")], "RGB"),
        (["-o", "a.tif", "--margin", "1900"], "--margin: choose from 0 to 500 mm"),
        (["-o", "a.tif", "--margin", "wide"], "'wide' is not a number of mm"),
        (["-o", "a.tif", "--stock", "vellum"], "vellum"),
        ([], "--output"),
    ],
)
def test_what_cannot_be_ordered_is_one_line(
    words: list[str], reason: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit status 2, what to do instead, and nothing is written."""
    (folder / "there.tif").write_bytes(b"an earlier order")
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert main(["order", "patches.png", *words]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert reason in said.err
    assert said.err.count("\n") == 1
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def test_what_is_there_is_replaced_only_where_it_is_asked(folder: Path) -> None:
    """And never the photograph itself."""
    path = folder / "a.tif"
    path.write_bytes(b"an earlier order")
    assert main(["order", "patches.png", "-o", "a.tif", "--overwrite"]) == 0
    assert path.read_bytes()[:4] == b"II*\0"
    before = path.read_bytes()
    assert main(["order", "a.tif", "-o", "a.tif", "--overwrite"]) == 2
    assert path.read_bytes() == before


def test_an_order_has_the_options_of_the_others(capsys: pytest.CaptureFixture[str]) -> None:
    """Whoever knows one command knows them all; help is help."""
    assert main(["order", "--help"]) == 0
    said = capsys.readouterr().out
    for row in ROWS:
        if row.option and row.id != "marks":
            assert f"--{row.option}" in said
    arguments = build_parser().parse_args(["order", "a.tif", "-o", "b.tif"])
    assert (arguments.space, arguments.margin, arguments.keep_location) == ("adobe-rgb", 0.0, False)
