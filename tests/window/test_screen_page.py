"""The screen is matched without an instrument, as a person does it."""

from __future__ import annotations

import re

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QTabWidget

from app.main_window import MainWindow
from app.match_sheet import DARKEST_CODES
from app.panels.screen_page import ScreenPage
from app.panels.screen_patches import Ramp
from app.state import Setting
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
    return int(re.search(r"about (\d+)\scd/m²", page.white_words.text())[1])


def span(page: ScreenPage) -> float:
    low, high = map(int, re.search(r"\((\d+) to (\d+)\)", page.white_words.text()).groups())
    return high / low


def in_the_middle(widget) -> list[int]:
    shown = pixels(widget)
    return shown[shown.shape[0] // 2, shown.shape[1] // 2].tolist()


def test_a_matched_sheet_sets_the_luminance_in_the_sentence(window, page, qtbot) -> None:
    """A darker patch that matches the same sheet means a brighter screen; one button takes it over,
    one undo takes it back."""
    page.grey.setFocus()
    QTest.keyClick(page.grey, Qt.Key.Key_Left)
    first = told(page)
    for _ in range(10):
        QTest.keyClick(page.grey, Qt.Key.Key_Left)
    brighter = told(page)
    assert brighter > first
    assert in_the_middle(page.patch) == [page.grey.value()] * 3
    QTest.mouseClick(page.use_white, Qt.MouseButton.LeftButton)
    phrase = window.sentence.phrase("screen_luminance_cd_m2")
    assert phrase.text() == f"{brighter} cd/m²"
    assert (
        page.white_words.text() == f"The sentence now says {brighter}\u00a0cd/m² for this screen."
    )
    window.session.run("undo")
    assert phrase.text() == "120 cd/m²"


def test_nothing_is_told_or_taken_over_before_something_is_matched(window, page, qtbot) -> None:
    """Not even by another light; the first move of a slider counts."""
    page.places.setCurrentIndex(3)
    page.lights.setCurrentIndex(0)
    settle(window, qtbot)
    assert page.white_words.text() == "Nothing is matched yet."
    assert not page.use_white.isEnabled()
    page.greener.setValue(1)
    assert told(page) and page.use_white.isEnabled()


def test_the_page_begins_with_the_light_of_the_sentence(make_window, ramp, qtbot) -> None:
    """Its illuminance as a guess, not as a measurement, and its kind."""
    window = make_window(Setting(photograph=str(ramp), illuminance="hallway", light="LED-B2"))
    settle(window, qtbot)
    window.session.run("match_screen")
    page = QApplication.activeModalWidget()
    settle(window, qtbot)
    facts = window.session.state.facts
    assert page.lux.value() == facts.lux("hallway") and page.places.currentIndex() == 0
    assert page.lights.currentText() == facts.light("LED-B2").words
    page.reject()


def test_what_was_measured_is_told_in_a_narrower_range(window, page, qtbot) -> None:
    """A place and a guess are wide; another number than the place's is a guess of one's own."""
    page.grey.setValue(190)
    assert span(page) > 2.0
    page.places.setCurrentIndex(1)
    assert span(page) < 1.5
    page.lux.setValue(420.0)
    assert span(page) < 1.5
    page.places.setCurrentIndex(4)
    assert page.lux.value() == page.places.currentData() and span(page) > 2.0
    page.lux.setValue(421.0)
    assert page.places.currentIndex() == 0 and span(page) > 2.0


def test_a_light_brighter_than_the_screen_is_told(page) -> None:
    page.grey.setValue(255)
    assert "dim the lamp" in page.white_words.text()


def test_the_patch_keeps_its_size_whatever_is_told(window, page, qtbot) -> None:
    """So that nothing but its colour changes under the eye, and no line of the words is cut."""
    size = page.patch.size()
    page.lights.setCurrentIndex(page.lights.findData("A"))
    settle(window, qtbot)
    for grey in (190, 255):
        page.grey.setValue(grey)
        QApplication.processEvents()
        assert page.patch.size() == size
        needed = page.white_words.heightForWidth(page.white_words.width())
        assert page.white_words.height() >= needed


@pytest.mark.parametrize(("lux", "grey"), [(20_000.0, 60), (5.0, 254)])
def test_what_no_screen_can_be_is_not_taken_over(page, lux: float, grey: int) -> None:
    page.lux.setValue(lux)
    page.grey.setValue(grey)
    assert "no screen has" in page.white_words.text() and not page.use_white.isEnabled()


def test_a_white_that_does_not_go_with_the_black_is_not_said_to_be_set(window, page) -> None:
    """A screen's black is at most a fifth of its white."""
    window.session.change(screen_black_cd_m2=20.0)
    page.lux.setValue(100.0)
    page.grey.setValue(240)
    QTest.mouseClick(page.use_white, Qt.MouseButton.LeftButton)
    assert window.sentence.phrase("screen_luminance_cd_m2").text() == "120 cd/m²"
    assert "state its black anew" in page.white_words.text()


def test_the_patch_can_be_made_as_warm_as_a_filament_lamp(window, page, qtbot) -> None:
    """Matched under CIE illuminant A, 2856 K (CIE 15), a screen as its profile says is told to be
    near 6500 K and bluer than the lamp; one that needs no tint there is as warm as the lamp."""
    page.lights.setCurrentIndex(page.lights.findData("A"))
    settle(window, qtbot)
    page.cooler.setValue(round((1e6 / 6504 - 1e6 / 2856) / 2.0))
    red, green, blue = in_the_middle(page.patch)
    assert red > green > blue
    page.greener.setValue(-6)  # A lies on the Planckian locus, D65 0.003 above it
    near = int(re.search(r"near (\d+)\sK", page.white_words.text())[1])
    assert near == pytest.approx(6500, abs=300)
    assert "bluer than the light" in page.white_words.text()
    assert "Its profile says" not in page.white_words.text()
    page.cooler.setValue(0)
    page.greener.setValue(0)
    assert re.search(r"near (28|29)00\sK", page.white_words.text())
    assert "Its profile says 6500" in page.white_words.text()


def test_the_colour_of_the_white_is_not_told_without_a_light(window, page, qtbot) -> None:
    page.cooler.setValue(-10)
    page.lights.setCurrentIndex(0)
    settle(window, qtbot)
    assert "cannot be told" in page.white_words.text() and page.use_white.isEnabled()


def test_the_darkest_patch_that_is_seen_tells_what_cannot_be_judged(page) -> None:
    """Chosen by a click or the arrows; the patches are drawn in their own codes on black."""
    page.findChild(QTabWidget).setCurrentIndex(1)
    QApplication.processEvents()
    QTest.mouseClick(page.dark, Qt.MouseButton.LeftButton, pos=page.dark.patch(2).center())
    assert page.dark.at == 2
    QTest.keyClick(page.dark, Qt.Key.Key_Right)
    assert page.dark.at == 3 and "L* 1.1 (grey code 4 of 255)" in page.black_words.text()
    shown = pixels(page.dark)
    assert (shown[3, 3] == 0).all()
    for number, code in enumerate(DARKEST_CODES):
        middle = page.dark.patch(number).center()
        assert (shown[middle.y(), middle.x()] == code).all()
    QTest.mouseClick(page.none_seen, Qt.MouseButton.LeftButton)
    assert page.dark.at == -1 and page.black_words.text().startswith("Not even shadows")


def test_the_ramp_has_a_step_for_every_code(page) -> None:
    """And where the window has 8 bits, there is no finer one that would only pretend."""
    page.findChild(QTabWidget).setCurrentIndex(2)
    QApplication.processEvents()
    row = pixels(page.ramp)[20, :, 0].astype(int)
    assert sorted(set(row)) == list(range(96, 160))
    assert not page.fine_ramp.isVisible()
    assert "8 bits a channel" in page.steps_words.text()


@pytest.mark.parametrize(("bits", "levels"), [(8, 64), (10, 256)])
def test_a_finer_ramp_keeps_its_steps_in_pixels_of_ten_bits(qapp, bits: int, levels: int) -> None:
    """As on a desktop of 30 bits: no more than one level of 1023 from step to step."""
    ramp = Ramp(bits)
    ramp.resize(1024, 40)
    image = QImage(1024, 40, QImage.Format.Format_A2RGB30_Premultiplied)
    image.fill(0)
    ramp.render(image)
    row = np.frombuffer(image.constBits(), np.uint32).reshape(40, -1)[20]
    red, green, blue = (row >> shift & 1023 for shift in (20, 10, 0))
    assert (red == green).all() and (green == blue).all()
    assert len(set(green.tolist())) == levels
