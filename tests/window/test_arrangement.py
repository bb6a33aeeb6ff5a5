"""How the two pictures stand: beside, above, or on each other with a line to draw."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from app.main_window import MainWindow
from tests.window.conftest import pixels, settle


def press(window: MainWindow, key: Qt.Key, *held: Qt.KeyboardModifier) -> None:
    keys = Qt.KeyboardModifier.NoModifier
    for each in held:
        keys |= each
    QTest.keyClick(window.windowHandle(), key, keys)


CTRL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


def test_one_above_the_other(window: MainWindow, qtbot) -> None:
    """Both panes have the whole width, half the height, and the same point in the middle."""
    press(window, Qt.Key.Key_2, CTRL)
    settle(window, qtbot)
    pair = window.pair
    assert pair.photograph.width() == pair.print.width() == pair.width()
    assert pair.photograph.geometry().bottom() < pair.print.geometry().top()
    assert abs(pair.photograph.height() - pair.height() / 2) <= 2
    press(window, Qt.Key.Key_1, CTRL)
    settle(window, qtbot)
    assert pair.photograph.height() == pair.height()
    assert pair.photograph.geometry().right() < pair.print.geometry().left()


def test_a_line_is_drawn_between_pictures_on_each_other(window: MainWindow, qtbot) -> None:
    """Left of the line the photograph, right of it the print, of the same points of the picture;
    the mouse and the keys draw it."""
    window.session.run("toggle_marks")
    window.session.change(stock="canvas", illuminance=50.0)
    press(window, Qt.Key.Key_3, CTRL)
    window.session.run("pixel_for_pixel")
    settle(window, qtbot)
    pair = window.pair
    middle, row = pair.width() // 2, pair.height() // 2

    def shown() -> np.ndarray:
        return pixels(pair)[row - 8 : row + 8].astype(int)

    QTest.mousePress(pair.line, Qt.MouseButton.LeftButton, pos=QPoint(5, 20))
    QTest.mouseMove(pair.line, QPoint(5 + 50, 20))
    QTest.mouseRelease(pair.line, Qt.MouseButton.LeftButton, pos=QPoint(5, 20))
    settle(window, qtbot)
    assert window.session.state.view.divide > 0.5
    window.session.sight.divide(0.0)
    settle(window, qtbot)
    all_print = shown()
    window.session.sight.divide(1.0)
    settle(window, qtbot)
    all_photograph = shown()
    window.session.sight.divide(0.5)
    settle(window, qtbot)
    both = shown()
    left, right = slice(middle - 50, middle - 8), slice(middle + 8, middle + 50)
    assert np.abs(both[:, left] - all_photograph[:, left]).max() <= 1
    assert np.abs(both[:, right] - all_print[:, right]).max() <= 1
    assert np.abs(all_print[:, right] - all_photograph[:, right]).mean() > 5.0
    press(window, Qt.Key.Key_Left, CTRL, SHIFT)
    assert window.session.state.view.divide == 0.45


def test_the_whole_screen(window: MainWindow, qtbot) -> None:
    press(window, Qt.Key.Key_F11)
    assert window.isFullScreen()
    press(window, Qt.Key.Key_F11)
    assert not window.isFullScreen()
    settle(window, qtbot)
