"""The command that writes a test strip, from its words to its file."""

from __future__ import annotations

import json
import signal
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import tifffile
from PIL import Image

from app.command_line import build_parser, main
from proofing.ordering import strip_file
from proofing.ordering.spaces import srgb


@pytest.fixture(autouse=True)
def _handlers() -> Iterator[None]:
    before = signal.getsignal(signal.SIGTERM)
    yield
    signal.signal(signal.SIGTERM, before)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in, with a small picture of 600 x 400 px."""
    monkeypatch.chdir(tmp_path)
    ramp = np.linspace(0, 255, 600 * 400).reshape(400, 600, 1)
    Image.fromarray(np.repeat(ramp, 3, 2).astype(np.uint8)).save(tmp_path / "ramp.png")
    return tmp_path


def test_a_strip_is_written_and_reported(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """At the ppi of the large print on the sheet asked for; JSON tells every cell and its lift."""
    words = ["strip", "ramp.png", "--size", "150x100mm", "--lifts", "0,0.5", "--sheet", "20x30cm",
             "--space", "srgb", "-o", "s.tif", "--json"]  # fmt: skip
    assert main(words) == 0
    said = capsys.readouterr()
    assert said.err == ""
    report = json.loads(said.out)
    (strip,) = report["strips"]
    assert strip["ppi"] == pytest.approx(600 / 150 * 25.4)
    assert sorted((strip["width_mm"], strip["height_mm"])) == pytest.approx([200, 300], abs=0.3)
    assert strip["space"] == "sRGB"
    assert strip["check"]["passed"]
    assert [rung["lift_stops"] for rung in strip["rungs"]] == [0.0, 0.5]
    assert len(strip["wedge"]) == 21
    assert report["sentence"].startswith("ramp.png on smooth matte")
    with tifffile.TiffFile(folder / "s.tif") as file:
        sheet = file.asarray()
        assert file.pages[0].tags[34675].value == srgb().data
    codes = np.asarray(Image.open(folder / "ramp.png")).astype(int)
    for cell in strip["cells"]:
        left, top, width, height = cell["box"]
        x, y, *_ = strip["places"][cell["place"]]["box"]
        if cell["rung"] == 0:  # in its own space its codes stay, in 16 bits
            wanted = codes[y : y + height, x : x + width] * 257
            assert (sheet[top : top + height, left : left + width] == wanted).all()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["-o", "s.png"], "must end in .tif"),
        (["-o", "ramp.png"], "must end in .tif"),
        (["-o", "s.tif", "--lifts", "0,much"], "--lifts 0,much: give numbers of stops"),
        (["-o", "s.tif", "--lifts", "0,2"], "--lifts 2.0: lift shadows by 0 to 1.5 stops"),
        (["-o", "s.tif", "--eases", ","], "--eases ,: give numbers of percent"),
        (["-o", "s.tif", "--eases", "0,101"], "--eases 101: choose from 0 to 100 %"),
        (["-o", "s.tif", "--lifts", ","], "--lifts ,: give numbers of stops"),
        (["-o", "s.tif", "--sheet", "quarto"], "--sheet quarto: use A4"),
        (
            ["-o", "s.tif", "--sheet", "5x5cm"],
            "--sheet 5 × 5 cm: 3 crops of 35 mm with their labels, wedge and scale do not fit",
        ),
        (["-o", "s.tif", "--sheet", "5x5cm", "--lifts", "0,1"], "--sheet 5 × 5 cm: 2 crops"),
        (["-o", "s.tif", "--sheet", "5x5m"], "megapixels; use a smaller sheet"),
        (["-o", "s.tif", "--sheet", "20"], "--sheet 20: write width and height"),
        (["-o", "s.tif", "--stocks", "canvas,canvas"], "--stocks canvas: name each stock once"),
        (["-o", "s.tif", "--stocks", "parchment"], "parchment"),
        (["-o", "s.tif", "--space", "prophoto"], "--space prophoto: use adobe-rgb"),
    ],
)
def test_wrong_words_are_told_in_a_line(
    words: list[str],
    said: str,
    folder: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Before anything is proved, named as it was written; nothing is left behind."""
    monkeypatch.setattr(strip_file, "Prover", None)
    assert main(["strip", "ramp.png", *words]) == 2
    error = capsys.readouterr().err
    assert said in error
    assert error.count("\n") == 1
    assert [path.name for path in folder.iterdir()] == ["ramp.png"]


def test_the_command_knows_every_setting_of_a_print() -> None:
    """Stock, size, light and lift can be said as for any other command."""
    words = ["strip", "a.tif", "-o", "b.tif", "--stock", "canvas", "--lux", "80", "--lift", "0.5"]
    arguments = build_parser().parse_args(words)
    assert (arguments.stock, arguments.shadow_lift, arguments.sheet) == ("canvas", 0.5, "A4")
