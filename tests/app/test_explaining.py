"""The command that writes the sheet for the customer, from its words to its files."""

from __future__ import annotations

import dataclasses
import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pypdf
import pytest
from PIL import Image

from app import explaining
from app.command_line import build_parser, main
from app.explaining import LONGEST_NOTE, explained
from app.handout.geometry import A4, LETTER, arrange
from app.job import Job, prepare
from app.listings import load_catalogue
from app.state import ROWS, Setting
from proofing.engine import Engine
from proofing.errors import Cancelled
from proofing.findings.kinds import Kind
from proofing.photograph import photograph_from_array
from proofing.proof import Prover
from tests import kept

ROOT = Path(__file__).resolve().parents[2]
COLOUR = (190, 110, 90)


@pytest.fixture(autouse=True)
def _handlers() -> Iterator[None]:
    before = signal.getsignal(signal.SIGTERM)
    yield
    signal.signal(signal.SIGTERM, before)


@pytest.fixture(scope="module")
def engine() -> Engine:
    return kept.engine()


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in, with a small even picture that loses nothing."""
    monkeypatch.chdir(tmp_path)
    codes = np.full((40, 60, 3), 128, np.uint8)
    codes[:, 30:] = (150, 140, 130)
    Image.fromarray(codes).save(tmp_path / "patches.png", dpi=(300, 300))
    return tmp_path


def test_a_pdf_needs_no_display(folder: Path) -> None:
    """A process of its own, without a display and without a word on the platform."""
    hidden = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    environment = {name: value for name, value in os.environ.items() if name not in hidden}
    words = ["explain", "patches.png", "--lux", "150", "--lift", "0.5", "--page", "letter",
             "--note", "For the hall – ask me.", "-o", "sheet.pdf"]  # fmt: skip
    run = subprocess.run(
        [sys.executable, "-m", "app", *words],
        cwd=folder, env={**environment, "PYTHONPATH": str(ROOT)},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (run.returncode, run.stderr) == (0, "")
    said = " ".join(run.stdout.split())
    assert said.startswith("patches.png, shadows lifted by 0.5 stops, on smooth matte")
    assert "holds the picture" in said
    assert said.endswith("Written: sheet.pdf")
    reader = pypdf.PdfReader(folder / "sheet.pdf")
    assert [float(side) for side in reader.pages[0].mediabox[2:]] == [612.0, 792.0]
    text = " ".join(reader.pages[0].extract_text().replace("\xa0", " ").split())
    for words_of_it in (
        "patches.png",
        "For the hall – ask me.",
        "There is no place on this print that is worth pointing at.",
        "The shadows are lifted by 0.5 stops for this print",
        "Some LED lamps flicker" if "LED" in said else "ask a conservator",
    ):
        assert words_of_it in text
    assert {path.name for path in folder.iterdir()} == {"patches.png", "sheet.pdf"}


def test_json_is_the_same_content_without_the_toolkit(
    folder: Path, engine: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With the setting beside it; nothing is drawn."""

    def refuse(path: Path) -> None:
        raise AssertionError("drawn")

    monkeypatch.setattr(explaining, "_begin_drawing", refuse)
    monkeypatch.setattr("proofing.engine.Engine", lambda: engine)
    assert main(["explain", "patches.png", "--note", "x", "-o", "a.json"]) == 0
    report = json.loads((folder / "a.json").read_text(encoding="utf-8"))
    assert report["photograph"] == "patches.png"
    assert report["setting"]["illuminance"] == 500.0
    assert report["note"] == "x"
    assert report["picture_px"] == [60, 40]
    assert report["places"] == []
    assert report["verdict"].startswith("This stock in this room holds the picture")
    assert report["sentence"].startswith("patches.png on smooth matte (typical values)")


def test_the_sheet_that_is_ordered_is_told_where_it_is_not_the_print(
    folder: Path, engine: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A margin of 25 mm makes 5 cm more on either axis; without an edge nothing is told of it, and
    with a picture that runs on round its bar, all sizes are that of what stays in front."""
    monkeypatch.setattr("proofing.engine.Engine", lambda: engine)
    told = {}
    for name, words in {
        "margin": ["--edge", "margin", "--edge-width", "25"],
        "none": [],
        "picture": ["--crop", "frame", "--edge", "picture", "--edge-width", "20"],
    }.items():
        asked = ["explain", "patches.png", "--size", "30x20cm", *words, "-o", f"{name}.json"]
        assert main(asked) == 0
        told[name] = json.loads((folder / f"{name}.json").read_text(encoding="utf-8"))
    assert told["margin"]["size"][1].startswith("Of a sheet of 35 × 25 cm, 30 × 20 cm are printed")
    assert not any("Of a sheet" in said for said in told["none"]["size"])
    size = told["picture"]["subtitle"].removeprefix("A print of ").split(" on ")[0]
    assert told["picture"]["size"][0].startswith(f"At {size} the file gives")
    assert f"{size} stay visible" in told["picture"]["size"][1]


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (["-o", "a.tif"], "must end in .pdf, .png or .json"),
        (["-o", "patches.png"], "being read"),
        (["-o", "there.pdf"], "--overwrite"),
        (["-o", "gone/a.pdf"], "there is no folder gone"),
        (["-o", "a.pdf", "--page", "a3"], "--page: a3: use a4 or letter"),
        (["-o", "a.pdf", "--note", "x" * (LONGEST_NOTE + 1)], f"at most {LONGEST_NOTE} char"),
        (["-o", "a.json", "--stock", "vellum"], "vellum"),
        (["-o", "a.json", "--lux", "moon"], "hallway"),
        ([], "--output"),
    ],
)
def test_what_cannot_be_written_is_one_line(
    words: list[str], reason: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit status 2, what to do instead, and nothing is written."""
    (folder / "there.pdf").write_bytes(b"an earlier sheet")
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert main(["explain", "patches.png", *words]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert reason in said.err
    assert said.err.count("\n") == 1
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def test_where_pages_cannot_be_drawn_json_is_offered(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is missing is named, before any work."""
    monkeypatch.setattr("app.display.missing_libraries", lambda platform: ("libEGL.so.1",))
    assert main(["explain", "patches.png", "-o", "a.pdf"]) == 2
    said = capsys.readouterr().err
    assert "write .json" in said
    assert "apt install libegl1" in said


def test_a_sheet_has_the_options_of_the_others(capsys: pytest.CaptureFixture[str]) -> None:
    """Whoever knows one command knows them all."""
    assert main(["explain", "--help"]) == 0
    said = capsys.readouterr().out
    for row in ROWS:
        if row.option:
            assert f"--{row.option}" in said
    arguments = build_parser().parse_args(["explain", "a.tif", "-o", "b.pdf"])
    assert (arguments.page, arguments.note) == (A4, "")
    page = build_parser().parse_args(["explain", "a.tif", "-o", "b.pdf", "--page", "Letter"]).page
    assert page is LETTER


# ---- what a window calls -------------------------------------------------------------------


def job(**changes: object) -> Job:
    codes = np.full((60, 90, 3), COLOUR, np.uint8)
    setting = Setting(photograph="grey.png").change(**changes)
    return prepare(setting, load_catalogue(), photograph_from_array(codes, name="grey.png"))


def test_a_proof_that_is_there_is_used(engine: Engine, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is proved twice; the pictures have the size that the page wants."""
    asked = job()
    proof = Prover(engine, asked.request).scan()

    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("proved again")

    monkeypatch.setattr("proofing.proof.prove", refuse)
    monkeypatch.setattr(Prover, "scan", refuse)
    said = explained(engine, asked, A4, proof=proof, note="n", date="2026-11-26")
    assert said.pictures.size_px == arrange(A4, (90, 60)).size_px
    assert (said.note, said.date, said.title) == ("n", "2026-11-26", "grey.png")
    assert said.verdict == proof.verdict


def test_pictures_are_srgb_whatever_the_screen(engine: Engine) -> None:
    """A file in sRGB stays as it is, on a sheet of a setting that has another screen's profile."""
    icc = ROOT / "tests/reference/icc"
    wide = next(
        path for path in sorted(icc.iterdir()) if "Adobe" in path.name or "ROMM" in path.name
    )
    asked = job(screen_profile=str(wide))
    proof = Prover(engine, asked.request).scan()
    own = proof.baked.photograph_view(asked.photograph.codes)[0, 0, 2]
    said = explained(engine, asked, A4, proof=proof)
    assert abs(int(own) - COLOUR[0]) > 2
    assert (np.abs(said.pictures.photograph.astype(int) - COLOUR) <= 1).all()


def test_it_can_be_called_off_and_tells_how_far_it_is(engine: Engine) -> None:
    """With a correction there is a second scan; the share told never falls."""
    asked = job(shadow_lift=0.5)
    shares: list[float] = []
    said = explained(engine, asked, A4, progress=shares.append)
    assert shares == sorted(shares)
    assert 0.0 <= shares[0] <= shares[-1] <= 1.0
    assert said.done[0].startswith("The shadows are lifted")
    with pytest.raises(Cancelled):
        explained(engine, asked, A4, cancel=lambda: True)


def test_marks_that_are_off_are_not_numbered(engine: Engine) -> None:
    """The setting says of which losses the sheet tells places."""
    codes = np.full((120, 180, 3), 128, np.uint8)
    codes[20:100, 20:160] = (10, 240, 10)
    found = photograph_from_array(codes, name="field.png")
    setting = Setting(photograph="field.png")
    asked = prepare(setting, load_catalogue(), found)
    proof = Prover(engine, asked.request).scan()
    assert explained(engine, asked, A4, proof=proof).places
    off = setting.change(marks=frozenset(Kind) - {Kind.OUT_OF_GAMUT})
    without = dataclasses.replace(asked, setting=off)
    assert not explained(engine, without, A4, proof=proof).places
