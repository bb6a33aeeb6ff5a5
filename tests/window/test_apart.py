"""The pictures in a window of their own, for another screen."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.main_window import MainWindow
from app.memory import read_sitting, write_sitting
from app.state import Setting
from app.window import sitting_of, take_up
from tests.window.conftest import pixels, settle

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints")


@pytest.fixture
def apart(window: MainWindow, qtbot) -> MainWindow:
    press(window.windowHandle(), Qt.Key.Key_F11, Qt.KeyboardModifier.ControlModifier)
    settle(window, qtbot)
    return window


def press(handle, key: Qt.Key, held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    QTest.keyClick(handle, key, held)


def test_the_pictures_move_out_and_keep_showing_the_print(window, qtbot) -> None:
    """In their window they have all the room; the sentence below has the main window."""
    before = window.pair.print.height()
    press(window.windowHandle(), Qt.Key.Key_F11, Qt.KeyboardModifier.ControlModifier)
    settle(window, qtbot)
    assert window.apart is not None and window.apart.isVisible()
    assert window.pair.window() is window.apart
    assert window.pair.print.height() > before
    assert not window.isAncestorOf(window.pair)
    matte = pixels(window.pair.print).astype(int)
    window.session.change(stock="baryta")
    settle(window, qtbot)
    assert np.abs(pixels(window.pair.print).astype(int) - matte).max() > 10


def test_keys_work_in_both_windows(apart, qtbot) -> None:
    """Stocks are gone through from the pictures' window; M hides the marks there."""
    stock = apart.session.state.setting.stock
    there = apart.apart.windowHandle()
    press(there, Qt.Key.Key_Down, Qt.KeyboardModifier.ControlModifier)
    assert stock != apart.session.state.setting.stock
    apart.pair.print.setFocus()
    QTest.keyPress(apart.pair.print, Qt.Key.Key_M)
    assert apart.pair.print.marks_hidden
    QTest.keyRelease(apart.pair.print, Qt.Key.Key_M)
    assert not apart.pair.print.marks_hidden
    press(there, Qt.Key.Key_F11)
    assert apart.apart.isFullScreen() and not apart.isFullScreen()


@pytest.mark.parametrize("close", [True, False])
def test_they_come_back(apart, close: bool, qtbot) -> None:
    """When their window is closed, or by the same key."""
    window = apart.apart
    if close:
        window.close()
    else:
        press(window.windowHandle(), Qt.Key.Key_F11, Qt.KeyboardModifier.ControlModifier)
    settle(apart, qtbot)
    assert apart.apart is None and not apart.session.state.view.apart
    assert apart.isAncestorOf(apart.pair) and apart.pair.isVisible()
    assert apart.pair.height() > 0.4 * apart.height()


def test_choosers_open_in_the_window_of_the_sentence(apart, qtbot) -> None:
    apart.open_chooser("light")
    chooser = apart.chooser
    assert chooser.window() is apart
    assert apart.rect().contains(chooser.mapTo(apart, chooser.rect().center()))


def test_both_windows_end_together_and_begin_together(
    make_window, ramp: Path, qtbot, tmp_path: Path, monkeypatch
) -> None:
    for name in ("XDG_DATA_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(name, str(tmp_path))
    first = make_window(Setting(photograph=str(ramp)))
    settle(first, qtbot)
    first.session.run("pair_apart")
    first.apart.resize(640, 480)
    settle(first, qtbot)
    write_sitting(sitting_of(first))
    pictures = first.apart
    first.close()
    assert not pictures.isVisible()
    last = read_sitting()
    then = make_window(last.begun_with(Setting(), ""))
    take_up(then, last)
    settle(then, qtbot)
    assert then.apart is not None and then.apart.isVisible()
    assert (then.apart.width(), then.apart.height()) == (640, 480)
    then.close()
    QApplication.processEvents()
    assert not any(each.isVisible() for each in QApplication.topLevelWidgets() if each.isWindow())
