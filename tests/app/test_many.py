"""Runs of many photographs: stopped for real, gone on with, held against the commands for one."""

from __future__ import annotations

import base64
import csv
import dataclasses
import html.parser
import io
import json
import os
import signal
import subprocess
import sys
import time
import xml.etree.ElementTree as ET
from argparse import Namespace
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import tifffile
from PIL import Image

from app.command_line import main
from app.many.memory import bytes_for, processes_for
from app.many.page import Page, page_of
from app.many.run import _decisive
from app.many.sources import pictures_of
from app.many.thumbnail import thumbnail
from app.many.words import TimeLeft
from app.many.work import Spec, Task, make
from app.state import Setting
from proofing.catalogue import Catalogue
from proofing.findings.kinds import Kind
from proofing.ordering import comparing as engine_side
from proofing.ordering.journal import settings_key
from proofing.ordering.spaces import adobe_rgb
from proofing.photograph import photograph_from_array

ROOT = Path(__file__).resolve().parents[2]
XHTML = "{http://www.w3.org/1999/xhtml}"
GOOD = ["a&b<1>.png", "roll_9.tif", "roll_10.jpg"]
ORDER = ["--output", "out/{name}_{width}x{height}{unit}.tif", "--size", "60x40mm",
         "--processes", "1"]  # fmt: skip


@pytest.fixture(autouse=True)
def _handlers() -> Iterator[None]:
    before = signal.getsignal(signal.SIGTERM)
    yield
    signal.signal(signal.SIGTERM, before)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in, with a folder of three small pictures and a broken one."""
    monkeypatch.chdir(tmp_path)
    roll = tmp_path / "roll"
    roll.mkdir()
    codes = np.random.default_rng(3).integers(0, 256, (40, 60, 3)).astype(np.uint8)
    dark = np.repeat(np.repeat(codes[::8, ::8] // 24, 8, 0), 8, 1)
    Image.fromarray(codes).save(roll / GOOD[0])
    tifffile.imwrite(
        roll / GOOD[1], dark[:40, :60].astype(np.uint16) * 257, photometric="rgb",
        iccprofile=adobe_rgb().data,
    )  # fmt: skip
    Image.fromarray(codes // 2 + 60).save(roll / GOOD[2])
    (roll / "roll_11.jpg").write_bytes((roll / GOOD[2]).read_bytes()[:300])
    (roll / ".hidden.jpg").write_bytes(b"")
    (roll / "notes.txt").write_text("no picture")
    return tmp_path


def _contents(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def _journal(folder: Path) -> list[dict[str, Any]]:
    path = folder / "out" / "order-journal.jsonl"
    lines = path.read_bytes().split(b"\n")[:-1] if path.exists() else []
    return [json.loads(line) for line in lines]


def _until(condition: Callable[[], bool], process: subprocess.Popen[str] | None = None) -> None:
    end = time.monotonic() + 240.0  # a lock-up, not a measure
    while not condition():
        assert time.monotonic() < end
        assert process is None or process.poll() is None, process.communicate()
        time.sleep(0.01)


def _is_gone(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except OSError:
        return True


def _hear_the_keyboard() -> None:
    """What a shell runs behind itself does not hear the keyboard, and that is inherited."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def _stopped(folder: Path, number: signal.Signals, done: int) -> tuple[int, str]:
    """Start the run as a program, and stop it in the midst of the file after so many."""
    process = subprocess.Popen(
        [sys.executable, "-m", "app", "order", "roll", *ORDER], cwd=folder, text=True,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(ROOT)},
        preexec_fn=_hear_the_keyboard,
    )  # fmt: skip

    def is_at_work() -> bool:
        lines = _journal(folder)
        ended = sum("done" in line for line in lines)
        return ended >= done and "begun" in lines[-1]

    _until(is_at_work, process)
    children = Path(f"/proc/{process.pid}/task/{process.pid}/children")
    workers = [int(pid) for pid in children.read_text().split()] if children.exists() else []
    process.send_signal(number)
    _, said = process.communicate(timeout=240)
    _until(lambda: all(map(_is_gone, workers)))
    assert not [name for name in _contents(folder / "out") if name.startswith(".")]
    return process.returncode, said


@pytest.mark.skipif(os.name == "nt", reason="signals of POSIX")
def test_a_run_goes_on_where_it_was_stopped_and_killed(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Interrupted, then killed the hard way, then finished: nothing twice, nothing half, no process
    left; what comes out is what the single commands give."""
    sources = _contents(folder / "roll")
    code, said = _stopped(folder, signal.SIGINT, done=1)
    assert code == 130
    assert "the same command again to go on" in said
    page = (folder / "out" / "summary.html").read_text(encoding="utf-8")
    assert "The run was stopped: " in page
    assert len(ET.fromstring(page).findall(f".//{XHTML}img")) == 1

    code, _ = _stopped(folder, signal.SIGKILL, done=2)
    assert code == -signal.SIGKILL
    kept = (folder / "out" / _journal(folder)[1]["output"]).stat()

    assert main(["order", "roll", *ORDER]) == 2  # one file is broken
    said = capsys.readouterr().err
    assert "2 photographs are done already" in said
    assert "roll_11.jpg is cut short or damaged" in said
    finished = (folder / "out" / _journal(folder)[1]["output"]).stat()
    assert finished.st_mtime_ns == kept.st_mtime_ns
    assert _contents(folder / "roll") == sources
    outputs = [f"{Path(name).stem}_6x4cm.tif".replace("<1>", "-1-") for name in GOOD]
    assert set(_contents(folder / "out")) == {
        *outputs, "order-journal.jsonl", "summary.csv", "summary.html"
    }  # fmt: skip

    # The order file is, byte for byte, that of the command for one.
    single = ["order", f"roll/{GOOD[1]}", "--size", "60x40mm", "--output", "single.tif", "--json"]
    assert main(single) == 0
    order = json.loads(capsys.readouterr().out)
    assert (folder / "single.tif").read_bytes() == (folder / "out" / outputs[1]).read_bytes()

    # The numbers are those of the commands for one.
    assert main(["inspect", f"roll/{GOOD[1]}", "--size", "60x40mm", "--json"]) == 0
    inspected = json.loads(capsys.readouterr().out)[0]
    with (folder / "out" / "summary.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert rows[0]["file"] == "roll/roll_11.jpg"
    assert (rows[0]["look"], rows[0]["verdict"]) == ("needs a look", "")
    row = next(row for row in rows if row["file"] == f"roll/{GOOD[1]}")
    shares = {mark["kind"]: mark["share"] for mark in inspected["marks"]}
    assert shares
    for kind, share in shares.items():
        assert float(row[f"{kind}_percent"]) == pytest.approx(100 * share, abs=1e-4)
    assert row["verdict"] == inspected["verdict"]
    assert (row["width_px"], row["bits_per_channel"]) == ("60", "16")
    assert row["space"] == "Adobe RGB (1998)"
    assert float(row["print_ppi"]) == inspected["print_ppi"]
    assert float(row["order_ppi"]) == round(order["ppi"], 2)
    assert len(row["order_ppi"].partition(".")[2]) <= 2
    assert int(row["order_bytes"]) == order["bytes"]
    assert row["order_file"] == f"out/{outputs[1]}"

    _check_page(folder)
    _check_refusals(folder, capsys)


def _check_page(folder: Path) -> None:
    """Well-formed, with all names, thumbnails that decode, links that lead to files."""
    written = (folder / "out" / "summary.html").read_text(encoding="utf-8")
    root = ET.fromstring(written)
    assert root.get("lang") == "en"
    assert [head.text for head in root.iter(f"{XHTML}h1")] == ["Photographs ordered"]
    links = {a.text: str(a.get("href")) for a in root.iter(f"{XHTML}a")}
    assert {*GOOD, "roll_11.jpg"} <= set(links)
    from urllib.parse import unquote

    for href in links.values():
        if not href.startswith("#"):
            assert (folder / "out" / unquote(href)).is_file()
    pictures = list(root.iter(f"{XHTML}img"))
    assert len(pictures) == 3
    for picture in pictures:
        assert picture.get("alt")
        head, _, data = str(picture.get("src")).partition(",")
        assert head == "data:image/jpeg;base64"
        with Image.open(io.BytesIO(base64.b64decode(data))) as image:
            assert image.size == (60, 40)
            assert (str(image.width), str(image.height)) == (
                picture.get("width"), picture.get("height")
            )  # fmt: skip
    for word in ("<script", "http://", "https://", "url("):
        assert word not in written.replace("http://www.w3.org/1999/xhtml", "")

    class Balance(html.parser.HTMLParser):
        """Elements that an HTML reader sees open."""

        def __init__(self) -> None:
            super().__init__()
            self.opened: list[str] = []

        def handle_starttag(self, tag: str, attrs: object) -> None:
            if tag not in ("meta", "img"):
                self.opened.append(tag)

        def handle_startendtag(self, tag: str, attrs: object) -> None:
            assert tag in ("meta", "img")

        def handle_endtag(self, tag: str) -> None:
            assert self.opened.pop() == tag

    parser = Balance()
    parser.feed(written)
    assert parser.opened == []


def _check_refusals(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Other settings, and a source that has changed: told, nothing replaced."""
    before = _contents(folder / "out")
    assert main(["order", "roll", *ORDER, "--space", "srgb"]) == 2
    assert "other settings" in capsys.readouterr().err
    os.utime(folder / "roll" / GOOD[0], ns=(5, 5))
    assert main(["order", "roll", *ORDER]) == 2
    assert "exists already" in capsys.readouterr().err
    assert _contents(folder / "out") == before


def test_a_comparison_of_many_is_no_file(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare", "roll", "--output", "table.html"]) == 2
    assert "is a folder of files; name a folder, such as table" in capsys.readouterr().err
    assert not (folder / "table.html").exists()


def test_a_stock_that_prints_otherwise_is_another_run(folder: Path) -> None:
    """A lab's new profile may keep its name, and what was done with the old one is not done."""
    stock = Catalogue.load().stock("baryta")
    arguments = Namespace(command="compare", output="out", overwrite=False)
    keys = {
        settings_key(_decisive(Setting(), arguments, SimpleNamespace(stocks=(each,))))
        for each in (stock, dataclasses.replace(stock, ink_strength=0.9 * stock.ink_strength))
    }
    assert len(keys) == 2


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (["roll", "-o", "out.tif"], "put {name} into it, as in {name}.tif"),
        (["roll", "-o", "there/{name}.tif"], "there/roll_9.tif"),
        (["roll", "-o", "roll/{name}_o.tif"], "roll is read and written"),
        (["roll/roll_9.tif", "roll/roll_10.jpg", "-o", "roll/{name}.tif"], "a photograph of this"),
        (["roll", "twin", "-o", "new/{name}.tif"], "would both be written as roll_9.tif"),
        (["roll", "-o", "gone/new/{name}.tif"], "there is no folder gone"),
        (["roll", "-o", "new/{name}_{paper}.tif"], "there is no field {paper}"),
        (["roll", "-o", "new/{name}.png"], ".tif, .tiff, .jpg or .jpeg"),
        (["roll", "-o", "new/{name}.tif", "--space", "rec709"], "use adobe-rgb, srgb"),
        (["empty", "-o", "new/{name}.tif"], "--subfolders"),
        (["roll", "-o", "new/{name}.tif", "--processes", "0"], "no number of processes"),
    ],
)
def test_what_cannot_be_done_is_told_before_any_work(
    words: list[str], reason: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit status 2, one line that says what to do, and nothing is written or made."""
    for name in ("there", "twin", "empty"):
        (folder / name).mkdir()
    (folder / "there" / "roll_9.tif").write_bytes(b"an earlier order")
    (folder / "twin" / "roll_9.tif").write_bytes((folder / "roll" / "roll_9.tif").read_bytes())
    before, folders = _contents(folder), sorted(folder.iterdir())
    assert main(["order", *words]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert reason in said.err
    assert said.err.count("\n") == 1
    assert _contents(folder) == before
    assert sorted(folder.iterdir()) == folders


def test_a_folder_stands_for_its_pictures(folder: Path) -> None:
    """In natural order, no hidden ones, folders in it only when asked, none twice."""
    (folder / "roll" / "more").mkdir()
    (folder / "roll" / "more" / "x.webp").write_bytes(b"")
    names = [path.name for path in pictures_of(["roll", "roll/roll_9.tif"])]
    assert names == ["a&b<1>.png", "roll_9.tif", "roll_10.jpg", "roll_11.jpg"]
    deep = pictures_of(["roll"], subfolders=True)
    assert [path.name for path in deep if path.parent.name == "more"] == ["x.webp"]
    assert len(deep) == 5
    left_out = pictures_of(["roll"], subfolders=True, leave_out=folder / "roll" / "more")
    assert len(left_out) == 4


def test_a_comparison_says_which_stock_is_best_and_how_sure_that_is(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The report of one photograph of many holds the ranking, the verdict and why to look; a
    fault costs that photograph only."""
    monkeypatch.setattr(engine_side, "NODES_RESTING", 17)
    monkeypatch.setattr("proofing.proof.proving.NODES_RESTING", 17)
    work = make(Spec("compare", Setting(stock="canvas"), Namespace(output=None)))
    told: list[float] = []
    report = work(Task(f"roll/{GOOD[0]}"), told.append)
    assert told == sorted(told)
    assert told[-1] == pytest.approx(1.0)
    choice, stocks = report["choice"], report["comparison"]["stocks"]
    assert (choice["best"], choice["best_points"]) == (stocks[0]["stock"], stocks[0]["points"])
    own = next(n for n, stock in enumerate(stocks, start=1) if stock["stock"] == "canvas")
    assert (choice["chosen"], choice["chosen_place"]) == ("canvas", own)
    assert {mark["kind"] for mark in report["marks"]} == {kind.value for kind in Kind}
    assert "No profile is embedded" in report["file_check"][0]
    assert report["look"]["grade"] in ("needs", "worth")  # it has no profile at the least
    json.dumps(report, allow_nan=False)
    told_of = {
        command: page_of(Page(command, "", "", [report], (), folder))
        for command in ("order", "compare")
    }
    assert "of 100; less than 1 apart is a tie. They do not grade" in told_of["compare"]
    assert f"{choice['best']}, {choice['best_points']:.1f} points" in told_of["compare"]
    assert "apart is a tie" not in told_of["order"]

    failed = work(Task("roll/roll_11.jpg"), told.append)
    assert "cut short" in failed["error"]
    assert failed["look"]["grade"] == "needs"
    monkeypatch.setattr("proofing.photograph.read_photograph", lambda _: 1 // 0)
    assert "ZeroDivisionError" in work(Task(f"roll/{GOOD[0]}"), told.append)["error"]


def test_thumbnails_are_srgb_whatever_the_file_is() -> None:
    """Adobe RGB (1998) codes come out as colour-science's own conversion has them."""
    import colour

    codes = np.zeros((64, 64, 3), np.uint8)
    codes[:32], codes[32:] = (120, 90, 60), (90, 110, 150)
    picture = photograph_from_array(codes, adobe_rgb())
    with Image.open(io.BytesIO(thumbnail(picture, 32))) as image:
        assert image.size == (32, 32)
        found = np.asarray(image).astype(float)
    for row, code in ((6, (120, 90, 60)), (26, (90, 110, 150))):
        wanted = colour.RGB_to_RGB(
            np.array(code) / 255, "Adobe RGB (1998)", "sRGB",
            apply_cctf_decoding=True, apply_cctf_encoding=True,
        )  # fmt: skip
        assert found[row, 16] == pytest.approx(255 * wanted, abs=3.0)


def test_time_left_follows_from_what_is_done() -> None:
    """Nothing is told too early; then what is left takes as long as what was done."""
    now = [0.0]
    time_left = TimeLeft([1_000_000] * 4, lambda: now[0])
    assert time_left.seconds() is None
    time_left.tell(0, 0.0)
    now[0] = 10.0
    assert time_left.seconds() is None
    time_left.tell(0, 1.0)
    assert time_left.seconds() == pytest.approx(30.0)
    time_left.tell(1, 0.5)
    assert time_left.seconds() == pytest.approx(10.0 / 1.5 * 2.5)


def test_processes_are_as_many_as_the_memory_holds(monkeypatch: pytest.MonkeyPatch) -> None:
    """One at least, one for each file and core at most."""
    large = 24_000_000
    monkeypatch.setattr("app.many.memory.available_bytes", lambda: 3 * bytes_for(large))
    assert processes_for([large] * 9, 8) == 2
    assert processes_for([large, 1000, 1000], 8) == 3
    assert processes_for([400_000_000] * 2, 8) == 1
    assert processes_for([1000], 8) == 1
