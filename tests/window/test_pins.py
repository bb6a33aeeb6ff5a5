"""Points that stay measured, as a person uses them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PIL import Image
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from app.main_window import MainWindow
from tests.window.conftest import pixels, settle


def pin_at(window: MainWindow, qtbot, x: int, y: int) -> None:
    """Point at the print with the mouse and press Ins."""
    window.pair.print.setFocus()
    QTest.mouseMove(window.pair.print, QPoint(x, y - 2))
    QTest.mouseMove(window.pair.print, QPoint(x, y))
    settle(window, qtbot)
    QTest.keyClick(window.pair.print, Qt.Key.Key_Insert)
    settle(window, qtbot)


def middle(window: MainWindow) -> tuple[int, int]:
    return window.pair.print.width() // 2, window.pair.print.height() // 2


def test_a_pinned_point_is_measured_while_stocks_are_tried(window, qtbot) -> None:
    """Its line says what the probe says there, and says something else on another stock."""
    x, y = middle(window)
    pin_at(window, qtbot, x, y)
    (said,) = window.pin_table.sentences
    assert window.pin_table.isVisible()
    assert said.removeprefix("a: ") == window.probe.reading.sentence
    QTest.mouseMove(window.pair.print, QPoint(x + 60, y))
    settle(window, qtbot)
    assert window.pin_table.sentences == (said,)
    window.session.change(stock="canvas")
    settle(window, qtbot)
    (now,) = window.pin_table.sentences
    assert now != said
    assert now.split(";")[0] == said.split(";")[0]  # the file's numbers stay
    window.session.run("undo")
    settle(window, qtbot)
    assert window.pin_table.sentences == (said,)


def test_pins_are_seen_in_both_pictures_and_taken_away(window, qtbot) -> None:
    """A ring and a letter at the same point of each; Del takes the last, Shift+Del all of them."""
    pin_at(window, qtbot, *middle(window))  # the height is shared anew
    window.session.run("unpin_probe")
    x, y = middle(window)
    pin_at(window, qtbot, x, y)
    pin_at(window, qtbot, x + 50, y)
    window.pair._leave()
    for canvas in (window.pair.photograph, window.pair.print):
        with_pins = pixels(canvas)
        pins, canvas._pins = canvas._pins, ()
        changed = (pixels(canvas) != with_pins).any(axis=-1)
        canvas._pins = pins
        across = np.flatnonzero(changed.any(axis=0))
        assert changed.sum() > 200
        assert 45 <= across[-1] - across[0] - 25 <= 65
    assert [said[0] for said in window.pin_table.sentences] == ["a", "b"]
    QTest.keyClick(window.pair.print, Qt.Key.Key_Delete)
    settle(window, qtbot)
    assert [said[0] for said in window.pin_table.sentences] == ["a"]
    window.session.run("unpin_all")
    settle(window, qtbot)
    assert window.pin_table.sentences == () and not window.pin_table.isVisible()


def test_beside_a_kept_print_both_are_measured(window, qtbot) -> None:
    """One line for each of the two prints."""
    pin_at(window, qtbot, *middle(window))
    window.session.run("keep_print")
    window.session.change(stock="gloss")
    settle(window, qtbot)
    kept, own = window.pin_table.sentences
    assert kept.startswith("a  kept: ") and own.startswith("a  print: ")
    assert kept.split("on paper")[1] != own.split("on paper")[1]


def test_nine_points_and_no_more(window, qtbot) -> None:
    for number in range(11):
        window.session.probe(float(number), 3.0)
        window.session.run("pin_probe")
    settle(window, qtbot)
    assert [said[0] for said in window.pin_table.sentences] == list("abcdefghi")
    assert window.pair.height() > 0.35 * window.height()


def test_another_photograph_has_no_pins(window, qtbot, tmp_path: Path) -> None:
    pin_at(window, qtbot, *middle(window))
    path = tmp_path / "grey.png"
    Image.fromarray(np.full((60, 60, 3), 128, np.uint8)).save(path)
    window.session.open(str(path))
    settle(window, qtbot)
    assert window.pin_table.sentences == ()
