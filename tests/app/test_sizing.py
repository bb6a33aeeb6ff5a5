"""The command that lists sizes: its numbers, its tables, its words and its errors."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from app.command_line import main
from proofing.ordering.sheets import SHEETS


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a picture of 1500 x 1000 px, one upright and a very small one."""
    monkeypatch.chdir(tmp_path)
    for name, shape in {
        "pier.png": (1000, 1500),
        "mast.png": (1500, 1000),
        "dot.png": (9, 9),
    }.items():
        Image.fromarray(np.full(shape, 90, np.uint8)).save(tmp_path / name)
    return tmp_path


def _json(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    assert main(["sizes", *words, "--json"]) == 0
    report: dict[str, Any] = json.loads(capsys.readouterr().out)
    return report


def test_the_numbers(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """1500 px on 30 cm are 127 ppi, sharp from 69 cm (worked by hand), sharp eyes from 138 cm."""
    report = _json(
        capsys, "pier.png", "--size", "30x20cm", "--distance", "0.5", "--stock", "canvas"
    )
    assert report["pixels"] == [1500, 1000]
    assert report["chosen"] == {
        "size_mm": [300.0, 200.0],
        "ppi": 127.0,
        "sharp_from_m": pytest.approx(0.6876, abs=1e-4),
        "sharp_eyes_from_m": pytest.approx(1.3751, abs=1e-4),
        "sharp": False,
        "nearest_sheet": "30 × 20 cm",
    }
    assert report["resolved_ppi"] == pytest.approx(3438 / (50 / 2.54), abs=0.1)
    assert report["frame_mm"] is None
    assert [round(one["asked_ppi"]) for one in report["largest"]] == [300, 240, 175, 150]
    assert report["largest"][0]["size_mm"] == [127.0, pytest.approx(84.67)]
    assert report["surface"]["kind"] == "canvas"
    assert report["surface"]["typical"] is True
    assert len(report["sheets"]) == len(SHEETS)
    square = next(sheet for sheet in report["sheets"] if sheet["name"] == "30 × 30 cm")
    assert square["crop"] == {
        "box_px": [250, 0, 1250, 1000],
        "lost_share": pytest.approx(1 / 3, abs=1e-4),
    }
    assert square["filled"]["ppi"] == pytest.approx(1000 / (30 / 2.54), abs=0.1)


def test_the_tables(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The sentence, then the sizes and the sheets, every number with its unit."""
    assert main(["sizes", "pier.png", "--size", "30x20cm", "--distance", "0.5"]) == 0
    said = capsys.readouterr()
    words = " ".join(said.out.split())
    assert said.err == ""
    assert "pier.png, 1500 × 1000 px, 1.5 megapixels, on smooth matte (typical values)" in words
    assert "At 30 × 20 cm the file gives 127 ppi: sharp from 69 cm and further." in words
    assert "asked for 30 × 20 cm 127 ppi 69 cm 1.38 m 30 × 20 cm 12 × 8 in" in words
    assert "largest at 300 ppi 12.7 × 8.5 cm 300 ppi 29 cm 58 cm" in words
    assert "largest for 50 cm" in words
    assert "30 × 20 cm usual 127 ppi 0.0 % 69 cm 1.38 m 30 × 20 cm" in words
    assert "common practice" in words.casefold()


def test_the_sheet_that_wrap_and_bleed_need(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """4 cm of bar, 2 cm of its back (common practice) and 5 mm to trim make 13 cm more on each
    axis (worked by hand), in a line, in the table and for every largest size."""
    words = ["pier.png", "--size", "30x20cm", "--edge", "mirrored", "--bleed", "5"]
    report = _json(capsys, *words)
    assert report["chosen"]["size_mm"] == [300.0, 200.0]
    assert report["sheet_mm"] == [430.0, 330.0]
    assert report["usual_sheets"] == {"cm": "50 × 40 cm", "in": "19 × 13 in"}
    asked = next(one for one in report["largest"] if one["asked_ppi"] == 150.0)
    assert asked["sheet_mm"] == [384.0, 299.33]  # 25.4 x 16.93 cm and 13 cm more
    assert asked["usual_sheets"] == {"cm": "40 × 30 cm", "in": "16 × 12 in"}
    for largest in report["largest"]:
        more = np.subtract(largest["sheet_mm"], largest["size_mm"])
        assert more == pytest.approx([130.0, 130.0], abs=0.01)
    assert main(["sizes", *words]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Of a sheet of 43 × 33 cm, 30 × 20 cm stay visible" in said
    assert "Usual sheets with room for it begin at 50 × 40 cm or 19 × 13 in." in said
    assert "sheet needed usual sheet nearest in inches asked for 30 × 20 cm 127 ppi" in said
    assert "43 × 33 cm 50 × 40 cm 19 × 13 in" in said
    assert main(["sizes", *words[:3], "--edge", "margin", "--edge-width", "25"]) == 0
    assert "Of a sheet of 35 × 25 cm, 30 × 20 cm are printed" in capsys.readouterr().out
    assert _json(capsys, *words[:3])["sheet_mm"] == [300.0, 200.0]


def test_what_goes_round_a_bar_is_not_counted_as_seen(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where the picture runs on round a bar of 2 cm, 38 × 28 cm are printed for the 30 × 20 seen;
    at 150 ppi the file prints 25.4 cm, of which 17.4 are seen (worked by hand)."""
    words = ["--size", "30x20cm", "--crop", "frame", "--edge", "picture", "--edge-width", "20"]
    report = _json(capsys, "pier.png", *words)
    assert report["chosen"]["size_mm"] == [300.0, 200.0]
    assert report["chosen"]["ppi"] == pytest.approx(1000 / (28 / 2.54), abs=0.5)
    assert report["sheet_mm"] == [380.0, 280.0]
    seen = " × ".join(str(side) for side in report["pixels"])
    assert seen != "1500 × 1000"
    assert main(["sizes", "pier.png", *words]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert f"pier.png, 1500 × 1000 px, of which {seen} are seen, 1.5 megapixels" in said
    largest = next(one for one in report["largest"] if one["asked_ppi"] == 150.0)
    printed = 1000 / 150 * 2.54  # cm down, of which 4 cm at either end are folded
    assert largest["size_mm"][1] == pytest.approx(10 * (printed - 8), abs=0.2)
    assert largest["ppi"] == pytest.approx(150.0, abs=0.5)


def test_no_sheet_is_named_beyond_what_the_pixels_reach(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A largest size has the nearest sheet that is no larger, to a hundredth; or none."""
    report = _json(capsys, "pier.png", "--distance", "2")
    assert [one["nearest_sheet"] is None for one in report["largest"]][:2] == [True, False]
    sides = {sheet["name"]: sheet["size_mm"] for sheet in report["sheets"]}
    for one in report["largest"]:
        if one["nearest_sheet"] is not None:
            assert np.all(sides[one["nearest_sheet"]] <= 1.01 * np.array(one["size_mm"]))
    assert main(["sizes", "pier.png"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "largest at 300 ppi 12.7 × 8.5 cm 300 ppi 29 cm 58 cm – – largest" in said


def test_upright_pictures_get_upright_sheets(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Sheets and frames are turned as the picture is."""
    report = _json(capsys, "mast.png", "--size", "30x20cm")
    assert report["chosen"]["size_mm"] == [200.0, 300.0]
    assert report["chosen"]["nearest_sheet"] == "20 × 30 cm"
    assert all(sheet["size_mm"][0] <= sheet["size_mm"][1] for sheet in report["sheets"])


def test_a_frame_of_another_shape(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The whole picture is fitted, and what filling it would cut is said, whichever way it lies."""
    for size in ("50x40cm", "40x50cm"):
        report = _json(capsys, "pier.png", "--size", size)
        assert report["chosen"]["size_mm"] == [500.0, pytest.approx(333.33)]
        assert report["crop_to_fill"]["box_px"] == [125, 0, 1375, 1000]
        assert any("Cropping loses 16.7 %" in sentence for sentence in report["sentences"])


def test_without_a_size(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """300 ppi is where it begins, and no size is said to have been asked for."""
    assert main(["sizes", "pier.png"]) == 0
    said = capsys.readouterr().out
    assert "asked for" not in said
    assert "12.7 × 8.5 cm" in said


def test_a_very_small_picture(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Sizes that no print has are left out; nothing fails."""
    report = _json(capsys, "dot.png")
    assert report["largest"] == []
    assert main(["sizes", "dot.png"]) == 0
    assert "10 × 10 cm" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["pier.png", "--size", "0x20cm"], "--size"),
        (["pier.png", "--distance", "0"], "0.1"),
        (["pier.png", "--stock", "slate"], "see stocklight stocks"),
        (["nothing.png"], "nothing.png"),
        (["pier.png", "--light", "A"], "not understood"),
    ],
)
def test_wrong_words(
    folder: Path, capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    """One line that says what to do, and the status of a failure."""
    assert main(["sizes", *words]) == 2
    error = capsys.readouterr().err
    assert error.count("\n") == 1
    assert said in error


def test_nothing_is_written(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """It only tells."""
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert main(["sizes", "pier.png", "--size", "30x20cm"]) == 0
    assert before == {path.name: path.read_bytes() for path in folder.iterdir()}
