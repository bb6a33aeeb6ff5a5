"""The window while something takes long: it answers, says so, and shows the latest that was asked.

The engine is the real one behind a gate that the test opens.
"""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import Qt

from app.main_window import MainWindow
from app.session import Session
from app.state import Setting
from app.tools import Tools
from proofing.errors import Cancelled
from tests.window.conftest import PATIENCE_MS, pixels, settle


class GatedEngine:
    """An engine whose bakes wait at a gate while it is shut."""

    def __init__(self, engine: Any) -> None:
        self._engine = engine
        self.open, self.reached = threading.Event(), threading.Event()
        self.open.set()
        self.baked: list[str] = []

    def bake(self, request: Any, nodes: int, cancel: Callable[[], bool]) -> Any:
        self.reached.set()
        while not self.open.wait(0.001) and not cancel():
            pass
        if cancel():
            raise Cancelled
        self.baked.append(request.stock.name)
        return self._engine.bake(request, nodes=nodes, cancel=cancel)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._engine, name)


@pytest.fixture
def engine(tools) -> GatedEngine:
    return GatedEngine(tools.engine)


@pytest.fixture
def window(tools, engine, ramp, qtbot):
    made = MainWindow(
        Session(Setting(photograph=str(ramp)), load=lambda: Tools(tools.catalogue, engine))
    )
    qtbot.addWidget(made)
    made.resize(1280, 720)
    made.show()
    made.session.start()
    made.session.busy = True
    settle(made, qtbot)
    yield made
    engine.open.set()
    made.close()


def shut(engine: GatedEngine) -> None:
    engine.reached.clear()
    engine.open.clear()


def test_the_window_answers_while_it_works(window, engine, qtbot):
    """With a print that will not come: choosers open, the pictures move, the old print stays."""
    before = pixels(window.pair.print)
    shut(engine)
    window.session.change(stock="canvas")
    assert engine.reached.wait(PATIENCE_MS / 1000)
    assert window.sentence.phrase("stock").text() == "canvas"
    np.testing.assert_array_equal(before, pixels(window.pair.print))
    window.open_chooser("light")
    assert window.chooser.isVisible()
    window.close_chooser()
    window.session.run("pixel_for_pixel")
    assert window.pair.print.viewport_now.scale == 1.0
    assert np.any(pixels(window.pair.print) != before)


def test_long_work_is_signed_and_the_sign_goes(window, engine, qtbot):
    """What takes longer than a quarter of a second is said, until it is done."""
    assert window.sign.words == ""
    shut(engine)
    with qtbot.waitSignal(window.session.working, timeout=PATIENCE_MS):
        window.session.change(stock="lustre")
    assert window.sign.words
    lit = pixels(window.sign)
    assert len(np.unique(lit.reshape(-1, 3), axis=0)) > 1, "words can be seen"
    engine.open.set()
    settle(window, qtbot)
    assert window.sign.words == ""
    assert len(np.unique(pixels(window.sign).reshape(-1, 3), axis=0)) == 1


@pytest.mark.with_findings
def test_the_first_time_on_a_computer_says_that_it_is_once(window, engine, qtbot):
    """Until the whole picture has been measured for the first time; then the words are others."""
    window.session._compiled.emit(False)  # as the worker finds it where nothing is compiled yet
    shut(engine)
    with qtbot.waitSignal(window.session.working, timeout=PATIENCE_MS):
        window.session.change(stock="lustre")
    assert "once on this computer" in window.sign.words
    needed = window.sign.fontMetrics().boundingRect(
        window.sign.rect(), Qt.TextFlag.TextWordWrap, window.sign.words
    )
    assert needed.height() <= window.sign.height() - 6, "it fits above its line"
    engine.open.set()
    settle(window, qtbot)
    shut(engine)
    with qtbot.waitSignal(window.session.working, timeout=PATIENCE_MS):
        window.session.change(stock="gloss")
    assert "once" not in window.sign.words


_FIRST_PRINT = """
import sys
from app.state import Setting, build_request
from app.tools import compiled_before, load_tools, read_picture
print(compiled_before())
tools = load_tools()
photograph = read_picture(sys.argv[1])
tools.engine.bake(build_request(Setting(), tools.catalogue, photograph), nodes=9)
print(compiled_before())
"""


def test_whether_the_loops_are_compiled_is_seen_on_the_disk(tmp_path, ramp):
    """In an empty cache they are not; after the first print they are."""
    done = subprocess.run(
        [sys.executable, "-c", _FIRST_PRINT, str(ramp)],
        env={**os.environ, "NUMBA_CACHE_DIR": str(tmp_path)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.split() == ["False", "True"]


@pytest.mark.with_findings
def test_the_latest_setting_wins(window, engine, qtbot):
    """Of many changes in a row only the last is printed to the end."""
    shut(engine)
    engine.baked.clear()
    for stock in ("canvas", "gloss", "lustre", "baryta"):
        window.session.change(stock=stock)
    engine.open.set()
    settle(window, qtbot)
    assert window.session.baked.request.stock.name == "baryta"
    assert set(engine.baked) == {"baryta"}
    assert window.session.baked.nodes == 65


@pytest.mark.with_findings
def test_shares_are_not_shown_for_another_setting(window, engine, qtbot):
    """While the print is out of date, so are its figures, and they say so."""
    texts = [share.text() for share in window.marks.shares.values()]
    assert "…" not in texts
    shut(engine)
    window.session.change(stock="gloss")
    assert {share.text() for share in window.marks.shares.values()} == {"…"}


def test_an_unexpected_failure_is_told_and_survived(window, engine, qtbot, monkeypatch, caplog):
    """No traceback in the window; the last print stays and the next setting works."""
    before = pixels(window.pair.print)
    monkeypatch.setattr(engine, "bake", lambda *_, **__: 1 / 0)
    window.session.change(stock="canvas")
    settle(window, qtbot)
    assert "ZeroDivisionError" in window.notice.sentence
    assert "Traceback" not in window.notice.sentence
    assert any(record.exc_info for record in caplog.records), "the log has it in full"
    monkeypatch.undo()
    window.session.change(stock="smooth matte")
    settle(window, qtbot)
    assert not window.notice.isVisible()
    np.testing.assert_array_equal(before, pixels(window.pair.print))


@pytest.fixture
def strip(tmp_path) -> Path:
    """A photograph wider than the ramp, of one grey."""
    path = tmp_path / "strip.png"
    Image.fromarray(np.full((10, 400, 3), 90, np.uint8)).save(path)
    return path


def open_and_wait_for_its_print(window, engine, strip, qtbot) -> None:
    shut(engine)
    with qtbot.waitSignal(window.session.drawn, timeout=PATIENCE_MS):
        window.session.open(str(strip))
    assert engine.reached.wait(PATIENCE_MS / 1000)


def test_a_photograph_not_printed_yet_is_measured_when_it_is(window, engine, strip, qtbot):
    """Until then the probe is empty: the print of the one before is no measure of this one."""
    open_and_wait_for_its_print(window, engine, strip, qtbot)
    window.pair.print.pointed.emit(399.5, 5.5, False)
    assert window.probe.reading.file == "–"
    engine.open.set()
    settle(window, qtbot)
    assert window.probe.reading.file == "R 90  G 90  B 90"


def test_a_photograph_that_cannot_be_printed_is_not_measured(
    window, engine, strip, qtbot, monkeypatch
):
    """Its pixels are never looked up in the print before."""
    monkeypatch.setattr(engine, "bake", lambda *_, **__: 1 / 0)
    window.session.open(str(strip))
    settle(window, qtbot)
    assert window.notice.isVisible()
    for x in (399.5, 20.5):
        window.pair.print.pointed.emit(x, 5.5, False)
        settle(window, qtbot)
        assert window.probe.reading.file == "–"


def test_closing_in_the_middle_of_work_ends_it(window, engine):
    """The thread is gone when the window is."""
    shut(engine)
    window.session.change(stock="canvas")
    assert engine.reached.wait(PATIENCE_MS / 1000)
    window.close()
    assert not window.session.worker._thread.is_alive()
