"""A sheet of prints: one crop on several stocks or under several lights."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.main_window import MainWindow
from app.state import Setting
from tests.window.conftest import pixels, settle

CONTROL = Qt.KeyboardModifier.ControlModifier


def press(window: MainWindow, key: Qt.Key, held: Qt.KeyboardModifier = CONTROL) -> None:
    QTest.keyClick(window.windowHandle(), key, held)


@pytest.fixture
def on_stocks(window: MainWindow, qtbot) -> MainWindow:
    press(window, Qt.Key.Key_4)
    settle(window, qtbot)
    return window


def cells(window: MainWindow) -> list:
    return [cell for cell in window.pair.sheet.cells if cell.isVisible()]


def middle(widget) -> np.ndarray:
    """What is shown in the middle, without the caption."""
    picture = pixels(widget).astype(int)
    height, width = picture.shape[:2]
    return picture[height * 2 // 5 : height * 3 // 5, width * 2 // 5 : width * 3 // 5]


def test_the_sheet_shows_every_stock_as_the_pair_shows_it(on_stocks, qtbot) -> None:
    """Each is labelled by its phrase; the chosen one is the print that hangs in the pair."""
    window = on_stocks
    stocks = window.session.state.facts.stocks
    assert len(stocks) == len(cells(window))
    for number, (cell, stock) in enumerate(zip(cells(window), stocks, strict=True), start=1):
        assert cell.caption.startswith(f"{number}   {stock.name}")
        assert "printing" not in cell.caption
    shown = [middle(cell).mean(axis=(0, 1)) for cell in cells(window)]
    for i, one in enumerate(shown):
        for other in shown[:i]:
            assert np.abs(one - other).max() > 0.3  # stocks differ
    assert not window.pair.print.isVisible()
    walls = np.array([pixels(cell)[-6, 6].astype(int) for cell in cells(window)])
    assert np.ptp(walls, axis=0).max() <= 5  # one room; each paper is put at the screen's white


def test_choosing_a_print_takes_it_into_the_sentence(on_stocks, qtbot) -> None:
    """By a click, by Enter, by its digit; one undo takes it back; the pair shows it then."""
    window = on_stocks
    first = window.session.state.setting.stock
    named = [stock.name for stock in window.session.state.facts.stocks]
    QTest.mouseClick(cells(window)[3], Qt.MouseButton.LeftButton)
    settle(window, qtbot)
    assert named[3] == window.sentence.phrase("stock").text()
    edge = pixels(cells(window)[3])[1, 30:-30].astype(int)
    assert edge.min() > 200  # the light frame of the chosen one
    cells(window)[4].setFocus(Qt.FocusReason.TabFocusReason)
    QTest.keyClick(cells(window)[4], Qt.Key.Key_Return)
    settle(window, qtbot)
    assert named[4] == window.sentence.phrase("stock").text()
    QTest.keyClick(cells(window)[4], Qt.Key.Key_2)
    settle(window, qtbot)
    assert named[1] == window.sentence.phrase("stock").text()
    for _ in range(3):
        window.session.run("undo")
    assert first == window.session.state.setting.stock
    press(window, Qt.Key.Key_1)
    settle(window, qtbot)
    assert window.pair.print.isVisible() and cells(window) == []


def test_a_drag_moves_all_and_chooses_nothing(on_stocks, qtbot) -> None:
    window = on_stocks
    before = window.session.state.setting
    window.session.run("pixel_for_pixel")
    window.session.run("nearer")
    window.session.run("nearer")
    settle(window, qtbot)
    cell = cells(window)[1]
    still = middle(cells(window)[0])
    at = cell.rect().center()
    QTest.mousePress(cell, Qt.MouseButton.LeftButton, pos=at)
    QTest.mouseMove(cell, at.__class__(at.x() + 25, at.y()))
    QTest.mouseRelease(cell, Qt.MouseButton.LeftButton, pos=at.__class__(at.x() + 25, at.y()))
    settle(window, qtbot)
    assert before == window.session.state.setting
    assert np.abs(middle(cells(window)[0]) - still).max() > 5


def test_the_sheet_follows_the_room(on_stocks, qtbot) -> None:
    """Dimmer light: every print is darker."""
    window = on_stocks
    before = [middle(cell).mean() for cell in cells(window)]
    window.session.change(illuminance=50.0)
    settle(window, qtbot)
    after = [middle(cell).mean() for cell in cells(window)]
    assert all(now < was for now, was in zip(after, before, strict=True))


def test_lights_go_by_nines(window, qtbot) -> None:
    """The sheet holds those that the chosen light is among; the next light may turn the page."""
    press(window, Qt.Key.Key_5)
    settle(window, qtbot)
    lights = [light.name for light in window.session.state.facts.lights]
    assert len(lights) > 9 == len(cells(window))
    shown = [one.value for one in window.session.sheet.prints]
    assert lights[:9] == shown
    window.session.change(light=lights[9])
    settle(window, qtbot)
    assert lights[9] == window.session.sheet.prints[0].value
    assert cells(window)[0].is_chosen


def test_another_picture_hangs_on_the_whole_sheet(on_stocks, qtbot, tmp_path: Path) -> None:
    from PIL import Image

    path = tmp_path / "grey.png"
    Image.fromarray(np.full((60, 60, 3), 128, np.uint8)).save(path)
    on_stocks.session.open(str(path))
    settle(on_stocks, qtbot)
    for cell in cells(on_stocks):
        assert middle(cell).std(axis=(0, 1)).max() < 0.5
    assert on_stocks.sentence.phrase("photograph").text() == "grey.png"


def test_the_sheet_is_there_at_the_start_of_a_window_too(make_window, ramp, qtbot) -> None:
    """A sheet asked for before anything is loaded comes with the picture."""
    window = make_window(Setting(photograph=str(ramp)))
    window.session.run("stand_stocks")
    settle(window, qtbot)
    assert len(cells(window)) == len(window.session.state.facts.stocks)
    assert all("printing" not in cell.caption for cell in cells(window))
