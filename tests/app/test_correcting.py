"""The command that tells a shadow lift in numbers."""

from __future__ import annotations

import json
from pathlib import Path

import colour
import numpy as np
import pytest
from PIL import Image

from app.command_line import main

LOFT = Path(__file__).parents[2] / "demo" / "net_loft.jpg"


def test_the_lift_that_is_needed_is_told_and_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its points as a table; the file it writes does to the photograph what the points say."""
    cube = tmp_path / "loft.cube"
    command = ["correct", str(LOFT), "--stock", "canvas", "--lux", "150", "--json"]
    assert main([*command, "--cube", str(cube), "--link", str(tmp_path / "loft.icc")]) == 0
    told = json.loads(capsys.readouterr().out)
    assert 0.25 <= told["lift_stops"] <= 1.0
    assert told["needed"]["after"] < 0.2 * told["needed"]["before"]
    points = np.array([[point["code_in"], point["code_out"]] for point in told["points"]])
    with Image.open(LOFT) as image:
        codes = np.asarray(image.convert("RGB").resize((60, 40)), float).reshape(-1, 3)
    ours = colour.read_LUT(str(cube)).apply(codes / 255.0) * 255.0
    assert np.abs(np.interp(codes, points[:, 0], points[:, 1]) - ours).max() < 3.0
    assert (tmp_path / "loft.icc").read_bytes()[36:40] == b"acsp"


def test_a_lift_that_is_asked_for_is_taken(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["correct", str(LOFT), "--lift", "1", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["lift_stops"] == 1.0
    assert told["needed"] is None
    assert main(["correct", str(LOFT), "--lift", "1"]) == 0
    said = capsys.readouterr().out
    assert "shadows lifted by 1 stop," in said
    assert "255  255" in said.replace("   ", "  ")


def test_files_of_the_wrong_kind_and_files_that_are_there_are_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    there = tmp_path / "there.cube"
    there.write_text("mine")
    assert main(["correct", str(LOFT), "--lift", "1", "--cube", str(tmp_path / "a.txt")]) != 0
    assert ".cube" in capsys.readouterr().err
    assert main(["correct", str(LOFT), "--lift", "1", "--cube", str(there)]) != 0
    assert "--overwrite" in capsys.readouterr().err
    assert there.read_text() == "mine"


def test_a_curve_and_an_ease_that_are_asked_for_are_taken(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    cube = tmp_path / "own.cube"
    command = ["correct", str(LOFT), "--curve", "0:0 64:80 255:255", "--ease", "40"]
    assert main([*command, "--cube", str(cube)]) == 0
    said = capsys.readouterr().out
    assert "with a curve of your own, strong colours eased in by 40 %, on" in " ".join(said.split())
    assert "LUT_3D_SIZE" in cube.read_text(encoding="utf-8")
    table = colour.read_LUT(str(cube))
    assert np.abs(table.apply(np.full((1, 3), 64 / 255)) * 255 - 80).max() < 0.3
    assert main(["correct", str(LOFT), "--curve", "0:0 64:80 60:90 255:255"]) != 0
    assert "from dark to light" in capsys.readouterr().err
    assert main(["correct", str(LOFT), "--curve", "0-0"]) != 0
    assert "0:0 64:80 255:255" in capsys.readouterr().err
