"""Two prints beside each other: one is kept where the photograph hangs, the other changes."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.main_window import MainWindow
from app.state import Setting
from tests.window.conftest import pixels, settle


def sheet(canvas) -> np.ndarray:
    """The middle of a pane, without captions and plates."""
    shown = pixels(canvas)
    height, width = shown.shape[:2]
    return shown[height // 3 : 2 * height // 3, width // 3 : 2 * width // 3].astype(int)


def press(window: MainWindow, key: Qt.Key, shift: bool = False) -> None:
    held = Qt.KeyboardModifier.ShiftModifier if shift else Qt.KeyboardModifier.NoModifier
    QTest.keyClick(window.windowHandle(), key, held)


@pytest.mark.with_findings
@pytest.mark.usefixtures("kept_proofs")
def test_matte_and_gloss_side_by_side_with_one_key(window: MainWindow, qtbot) -> None:
    """F12 keeps the print: it hangs on the left, to the code as it did on the right; another stock
    changes the right alone, and both captions say in what the two differ; F12 gives the photograph
    back."""
    window.session.run("toggle_marks")
    settle(window, qtbot)
    photograph, matte = sheet(window.pair.photograph), sheet(window.pair.print)
    assert np.abs(photograph - matte).mean() > 3.0
    press(window, Qt.Key.Key_F12)
    settle(window, qtbot)
    assert np.abs(sheet(window.pair.photograph) - matte).max() <= 1
    assert window.pair.photograph.accessibleName() == "Kept print"
    window.session.change(stock="gloss")
    settle(window, qtbot)
    assert np.abs(sheet(window.pair.photograph) - matte).max() <= 1
    gloss = sheet(window.pair.print)
    assert np.abs(gloss - matte).mean() > 1.0
    assert "Kept print   smooth matte" in window.pair.photograph.caption
    assert window.pair.print.caption == "Print   gloss"
    press(window, Qt.Key.Key_F12)
    settle(window, qtbot)
    assert np.abs(sheet(window.pair.photograph) - photograph).max() <= 1
    assert np.abs(sheet(window.pair.print) - gloss).max() <= 1
    assert window.pair.photograph.caption.startswith("Photograph")


@pytest.mark.with_findings
@pytest.mark.usefixtures("kept_proofs")
def test_gallery_and_daylight_can_be_swapped(window: MainWindow, qtbot) -> None:
    """Shift+F12 swaps the two prints as one step of the history."""
    session = window.session
    session.run("toggle_marks")
    session.change(light="LED-B2", illuminance=150.0)
    press(window, Qt.Key.Key_F12)
    session.change(light="D65", illuminance=500.0)
    settle(window, qtbot)
    gallery, daylight = sheet(window.pair.photograph), sheet(window.pair.print)
    press(window, Qt.Key.Key_F12, shift=True)
    settle(window, qtbot)
    assert session.setting.light == "LED-B2"
    assert np.abs(sheet(window.pair.print) - gallery).max() <= 1
    assert np.abs(sheet(window.pair.photograph) - daylight).max() <= 1
    for step in ("undo", "redo", "undo"):
        session.run(step)
        settle(window, qtbot)
    assert session.setting.light == "D65"
    assert np.abs(sheet(window.pair.print) - daylight).max() <= 1
    assert np.abs(sheet(window.pair.photograph) - gallery).max() <= 1


@pytest.mark.with_findings
@pytest.mark.usefixtures("kept_proofs")
def test_marks_of_the_kept_print_stay_on_it(window: MainWindow, qtbot) -> None:
    """Out of gamut on canvas is marked on the left when canvas is kept, and more of it than on
    gloss."""
    window.session.change(stock="canvas")
    settle(window, qtbot)
    press(window, Qt.Key.Key_F12)
    window.session.change(stock="gloss")
    settle(window, qtbot)
    detail = window.session.sight.detail
    assert detail.photograph.marks is not None
    drawn = [
        0 if side.marks is None else int(np.count_nonzero(side.marks[..., 3]))
        for side in (detail.photograph, detail.print)
    ]
    assert drawn[0] > drawn[1]


def test_another_photograph_is_printed_twice(window: MainWindow, tmp_path: Path, qtbot) -> None:
    """The kept setting stays when another picture is opened."""
    window.session.run("toggle_marks")
    press(window, Qt.Key.Key_F12)
    window.session.change(stock="baryta")
    settle(window, qtbot)
    Image.fromarray(np.full((60, 90, 3), (200, 40, 30), np.uint8)).save(tmp_path / "red.png")
    window.session.open(str(tmp_path / "red.png"))
    settle(window, qtbot)
    kept = window.session.beside.kept
    assert kept is not None
    assert kept.setting.stock == Setting().stock
    left, right = sheet(window.pair.photograph), sheet(window.pair.print)
    assert left.std(axis=(0, 1)).max() < 1.0
    assert np.abs(left.mean(axis=(0, 1)) - right.mean(axis=(0, 1))).max() > 2.0


def test_a_kept_print_that_is_gone_gives_the_photograph_back(window: MainWindow, qtbot) -> None:
    """Its stock's file has been removed since: that is said, and the photograph hangs again."""
    gone = window.session.state.setting.change(stock="/nowhere/lab.icc")
    window.session.become(window.session.state.with_view(kept=gone))
    settle(window, qtbot)
    assert window.session.state.view.kept is None
    assert "lab.icc" in window.notice.sentence
    assert window.pair.photograph.caption.startswith("Photograph")
