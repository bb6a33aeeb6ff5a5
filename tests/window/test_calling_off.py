"""Work that a person stops, and work that is carried through all the same."""

from __future__ import annotations

import threading
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.main_window import MainWindow
from app.session import Session
from app.state import Setting
from proofing.proof import Prover
from tests.window.conftest import PATIENCE_MS, pixels, settle

pytestmark = pytest.mark.with_findings


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> threading.Event:
    """The scan waits at its first step until it is called off, or until this is set."""
    go, scan = threading.Event(), Prover.scan

    def slow(self, cancel=None, progress=None):
        while not go.wait(0.005):
            if cancel is not None and cancel():
                break
        return scan(self, cancel, progress)

    monkeypatch.setattr(Prover, "scan", slow)
    return go


def press(window: MainWindow, key: Qt.Key, *, shift: bool = False) -> None:
    keys = Qt.KeyboardModifier.ControlModifier
    if shift:
        keys |= Qt.KeyboardModifier.ShiftModifier
    QTest.keyClick(window.windowHandle(), key, keys)


def wait_for_scan(window: MainWindow, qtbot) -> None:
    """Until it runs, and the sign says that something does."""

    def runs() -> bool:
        slots = window.session.worker.waiting_slots()
        return slots - {"notes"} == {"prove"} and window.sign.words != ""

    qtbot.waitUntil(runs, timeout=PATIENCE_MS)


def test_looking_for_losses_is_stopped_and_gone_on_with(
    make_window, ramp: Path, held: threading.Event, qtbot
) -> None:
    """By the button beside the sign; the bar says so and offers to go on. The print stays."""
    window: MainWindow = make_window(Setting(photograph=str(ramp), stock="canvas"))
    wait_for_scan(window, qtbot)
    assert window.sign.button.isVisible()
    QTest.mouseClick(window.sign.button, Qt.MouseButton.LeftButton)
    settle(window, qtbot)
    assert "not been looked for to the end" in window.notice.sentence
    assert not window.sign.button.isVisible()
    held.set()
    QTest.mouseClick(window.notice.follow_button, Qt.MouseButton.LeftButton)
    settle(window, qtbot)
    assert window.session.losses.are_complete
    assert window.notice.sentence == ""


def test_another_setting_begins_anew_after_a_stop(
    make_window, ramp: Path, held: threading.Event, qtbot
) -> None:
    window: MainWindow = make_window(Setting(photograph=str(ramp), stock="canvas"))
    wait_for_scan(window, qtbot)
    press(window, Qt.Key.Key_B)
    held.set()
    window.session.change(stock="gloss")
    settle(window, qtbot)
    assert window.session.losses.are_complete


def test_where_nothing_is_worked_on_a_stop_says_nothing(window: MainWindow, qtbot) -> None:
    press(window, Qt.Key.Key_B)
    settle(window, qtbot)
    assert window.notice.sentence == ""
    assert window.session.losses.are_complete


def test_a_picture_on_its_way_is_let_go(window: MainWindow, tmp_path: Path, qtbot) -> None:
    """The one that is shown stays, in the sentence too."""
    path = tmp_path / "large.png"
    Image.fromarray(np.zeros((1500, 2000, 3), np.uint8)).save(path)
    before = pixels(window.pair.photograph)
    window.session.open(str(path))
    window.session.stop()
    settle(window, qtbot)
    assert window.sentence.phrase("photograph").text() == "ramp.png"
    assert window.notice.sentence.startswith("Stopped.")
    assert pixels(window.pair.photograph).max() == before.max()  # the other one is black
    assert window.windowTitle() == "ramp.png – stocklight"
    window.session.open(str(path))  # stopped is not broken
    settle(window, qtbot)
    assert window.windowTitle() == "large.png – stocklight"
    assert window.session.losses.are_complete


def test_every_pair_that_is_saved_is_there(window: MainWindow, tmp_path: Path, qtbot) -> None:
    """Two asked for at once, with dots in a name; the bar tells what was written."""
    window.session.save_pair(str(tmp_path / "first"))
    window.session.save_pair(str(tmp_path / "hall, seen from 1.5 m"))
    settle(window, qtbot)
    assert sorted(path.name for path in tmp_path.glob("*.png")) == [
        "first.png", "hall, seen from 1.5 m.png",
    ]  # fmt: skip
    assert window.notice.sentence == "Saved: hall, seen from 1.5 m.png."


def test_what_is_being_saved_is_saved_though_the_window_closes(
    window: MainWindow, tmp_path: Path
) -> None:
    window.session.save_pair(str(tmp_path / "first.png"))
    window.session.save_pair(str(tmp_path / "second.png"))
    window.close()
    for name in ("first.png", "second.png"):
        with Image.open(tmp_path / name) as image:
            assert image.width > 1000


def test_a_pair_with_a_kept_print_shows_that_print(
    window: MainWindow, tmp_path: Path, qtbot
) -> None:
    """What stands on the left in the window stands there in the file: a print, no photograph."""
    session: Session = window.session
    session.run("toggle_marks")
    session.change(stock="canvas")
    settle(window, qtbot)
    session.save_pair(str(tmp_path / "plain.png"))
    settle(window, qtbot)
    session.run("keep_print")
    session.change(stock="gloss")
    settle(window, qtbot)
    session.save_pair(str(tmp_path / "kept.png"))
    settle(window, qtbot)
    panes = {}
    for name in ("plain", "kept"):
        with Image.open(tmp_path / f"{name}.png") as image:
            image = np.asarray(image.convert("RGB"), np.int16)
        panes[name] = image
    wide = panes["kept"].shape[1]
    middle = slice(300, 500)
    canvas_right = panes["plain"][middle, wide // 2 :]
    left = panes["kept"][middle, : wide // 2]
    offset = 16  # half of the gap between the panes
    assert (
        np.abs(left[:, 72 : wide // 2 - offset] - canvas_right[:, offset : wide // 2 - 72]).mean()
        < 6
    )
