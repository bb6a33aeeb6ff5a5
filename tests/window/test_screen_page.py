"""The screen is matched without an instrument, as a person does it."""

from __future__ import annotations

import re

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QTabWidget

from app.main_window import MainWindow
from app.match_sheet import DARKEST_CODES
from app.panels.screen_page import ScreenPage
from tests.window.conftest import pixels, settle

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints")


@pytest.fixture
def page(window: MainWindow, qtbot) -> ScreenPage:
    held = Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.ShiftModifier
    QTest.keyClick(window.windowHandle(), Qt.Key.Key_9, held)
    found = QApplication.activeModalWidget()
    assert isinstance(found, ScreenPage)
    settle(window, qtbot)
    yield found
    found.reject()


def told(page: ScreenPage) -> int:
    return int(re.search(r"about (\d+) cd/m²", page.white_words.text())[1])


def test_a_matched_sheet_sets_the_luminance_in_the_sentence(window, page, qtbot) -> None:
    """A darker patch that matches the same sheet means a brighter screen; one button takes it over,
    one undo takes it back."""
    page.grey.setFocus()
    first = told(page)
    for _ in range(10):
        QTest.keyClick(page.grey, Qt.Key.Key_Left)
    settle(window, qtbot)
    brighter = told(page)
    assert brighter > first
    shown = pixels(page.patch)
    middle = shown[shown.shape[0] // 2, shown.shape[1] // 2]
    assert (middle == page.grey.value()).all()
    QTest.mouseClick(page.use_white, Qt.MouseButton.LeftButton)
    phrase = window.sentence.phrase("screen_luminance_cd_m2")
    assert phrase.text() == f"{brighter} cd/m²"
    window.session.run("undo")
    assert phrase.text() == "120 cd/m²"


def test_a_familiar_place_stands_for_a_luxmeter(window, page, qtbot) -> None:
    """With a wider range; typing lux goes back to what was measured."""
    sure = page.white_words.text()
    page.places.setCurrentIndex(2)
    settle(window, qtbot)
    assert page.lux.value() == page.places.currentData()
    low, high = map(int, re.search(r"\((\d+) to (\d+)\)", page.white_words.text()).groups())
    assert high > 2 * low
    page.lux.setValue(501.0)
    page.lux.setValue(500.0)
    settle(window, qtbot)
    assert page.places.currentData() is None and page.white_words.text() == sure


def test_a_light_brighter_than_the_screen_is_told(window, page, qtbot) -> None:
    page.grey.setValue(255)
    settle(window, qtbot)
    assert "dim the lamp" in page.white_words.text()


def test_the_patch_can_be_made_warmer_and_the_white_is_told(window, page, qtbot) -> None:
    neutral = int(re.search(r"near (\d+)\sK", page.white_words.text())[1])
    page.cooler.setValue(-40)
    settle(window, qtbot)
    red, _, blue = pixels(page.patch)[page.patch.height() // 2, page.patch.width() // 2].astype(int)
    assert red > blue
    assert int(re.search(r"near (\d+)\sK", page.white_words.text())[1]) > neutral


def test_the_darkest_patch_that_is_seen_tells_what_cannot_be_judged(window, page, qtbot) -> None:
    """Chosen by a click or the arrows; the patches are drawn in their own codes on black."""
    page.findChild(QTabWidget).setCurrentIndex(1)
    QApplication.processEvents()
    QTest.mouseClick(page.dark, Qt.MouseButton.LeftButton, pos=page.dark.patch(2).center())
    assert page.dark.at == 2
    QTest.keyClick(page.dark, Qt.Key.Key_Right)
    assert page.dark.at == 3 and "L*" in page.black_words.text()
    shown = pixels(page.dark)
    assert (shown[3, 3] == 0).all()
    middle = page.dark.patch(3).center()
    assert (shown[middle.y(), middle.x()] == DARKEST_CODES[3]).all()


def test_the_ramp_has_a_step_for_every_code(page) -> None:
    page.findChild(QTabWidget).setCurrentIndex(2)
    QApplication.processEvents()
    ramp = page.findChild(QTabWidget).currentWidget().layout().itemAt(1).widget()
    row = pixels(ramp)[20, :, 0].astype(int)
    assert sorted(set(row)) == list(range(96, 160))
