"""The command that compares stocks, from its words to what it prints."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from app import comparing
from app.command_line import main
from proofing.ordering import comparing as engine_side
from proofing.ordering.ranking import WEIGHTS, Criterion
from tests import kept

ROOT = Path(__file__).resolve().parents[2]
FOGRA39 = ROOT / "tests/reference/icc/FOGRA39L_coated.icc"
SHIPPED = {"smooth matte", "cotton matte", "canvas", "baryta", "lustre", "gloss"}


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """One engine, and a quarter of the nodes a side: the command's own work is under test."""
    monkeypatch.setattr(comparing, "_engine", kept.engine)
    monkeypatch.setattr(engine_side, "NODES_RESTING", 17)
    yield


@pytest.fixture
def photo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A small picture of dark and of saturated patches."""
    monkeypatch.chdir(tmp_path)
    patches = [(8, 8, 8), (20, 16, 14), (200, 20, 20), (20, 20, 200), (250, 250, 250)]
    codes = np.repeat(np.array([patches], np.uint8), 60, axis=0).repeat(20, axis=1)
    Image.fromarray(codes).save(tmp_path / "patches.png")
    return "patches.png"


def test_it_prints_the_sentence_the_order_and_what_each_gives(
    photo: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """All stocks in an order of points, seven sentences for each, the weights with reasons."""
    assert main(["compare", photo, "--lux", "200", "--surround", "dark"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("patches.png on smooth matte")
    rows = re.findall(r"^([a-z ]+?)  +(\d+\.\d)  +(first|tied|close call|behind) ", said, re.M)
    assert {name for name, _, _ in rows} == SHIPPED
    points = [float(value) for _, value, _ in rows]
    assert points == sorted(points, reverse=True)
    assert [order == "first" for _, _, order in rows] == [True] + [False] * 5
    assert len(re.findall(r"^   – ", said, re.M)) == 6 * len(Criterion)
    assert "There is no perfect stock" in said
    assert "typical of its class" in said
    for weight in WEIGHTS.values():
        assert " ".join(weight.reason.split())[:30] in " ".join(said.split())
    assert max(map(len, said.splitlines())) <= 110


def test_json_holds_the_same(photo: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Numbers with their names, sentences, the setting that was compared, the weights."""
    assert main(["compare", photo, "--json", "--stock", "baryta"]) == 0
    report: dict[str, Any] = json.loads(capsys.readouterr().out)
    assert report["setting"]["stock"] == "baryta"
    assert {stock["stock"] for stock in report["stocks"]} == SHIPPED
    assert sum(weight["weight"] for weight in report["weights"]) == 100.0
    assert report["sample_share"] == 1.0
    for stock in report["stocks"]:
        marks = stock["marks"]
        weighted = sum(w["weight"] * marks[w["criterion"]] for w in report["weights"])
        assert stock["points"] == pytest.approx(weighted, abs=0.01)
        assert set(stock["sentences"]) == {criterion.value for criterion in Criterion}
        assert set(stock["shares"]) >= {"blocked_shadows", "blown_highlights", "out_of_gamut"}
        assert stock["contrast"]["own"] >= stock["contrast"]["in_room"]


def test_a_stock_from_a_file_is_compared_with_the_listed_ones(
    photo: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """The lab's profile stands in the order, and is not called typical."""
    assert main(["compare", photo, "--json", "--stock", str(FOGRA39)]) == 0
    stocks = json.loads(capsys.readouterr().out)["stocks"]
    assert len(stocks) == len(SHIPPED) + 1
    own = next(stock for stock in stocks if stock["stock"] not in SHIPPED)
    assert not own["typical"]
    assert own["basis"].startswith("the lab's profile")


def test_a_file_that_is_no_picture_is_one_line_and_a_failure(
    photo: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """As with every command."""
    Path("broken.jpg").write_bytes(b"no picture")
    assert main(["compare", "broken.jpg"]) == 2
    error = capsys.readouterr().err
    assert error.startswith("stocklight: ")
    assert error.count("\n") == 1


def test_a_wrong_name_is_told_with_the_list_that_holds_the_right_one(
    photo: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Before the picture is read."""
    assert main(["compare", photo, "--light", "moonbeam"]) == 2
    assert "stocklight lights" in capsys.readouterr().err
