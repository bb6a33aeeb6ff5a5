"""Help as a newcomer uses it: the walk, the pages, the list of commands."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt, QUrl
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.dialogs import ListPage
from app.main_window import MainWindow
from app.memory import Sitting
from app.panels.help_page import HelpWindow
from app.state import COMMANDS, Setting
from app.state.walk import STEPS
from app.window import sitting_of, take_up, walk_at_rest
from proofing.findings.kinds import Kind
from tests.window.conftest import pixels, settle

# The in-memory platform says of dialogs that it cannot pass hints on to a desktop.
pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints", "This plugin does not support raise")


def press(window, key: Qt.Key, held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    QTest.keyClick(window.windowHandle(), key, held)


# ---- the list of commands


@pytest.fixture
def finder(window: MainWindow) -> ListPage:
    press(window, Qt.Key.Key_F1, Qt.KeyboardModifier.ControlModifier)
    page = QApplication.activeModalWidget()
    assert isinstance(page, ListPage)
    return page


def test_a_command_is_found_by_typing_and_run(window, finder, qtbot) -> None:
    """Words that no title has lead to it, too; the keyboard is back at the pictures then."""
    assert finder.list.view.model().rowCount() == len(COMMANDS) - 1
    QTest.keyClicks(finder.list.filter, "wipe")
    assert finder.list.view.model().rowCount() == 1
    QTest.keyClick(finder.list.filter, Qt.Key.Key_Return)
    QApplication.processEvents()
    assert QApplication.activeModalWidget() is None
    settle(window, qtbot)
    assert window.pair.line.isVisible()


def test_a_command_that_opens_a_chooser_opens_it(window, finder, qtbot) -> None:
    QTest.keyClicks(finder.list.filter, "lamp choose")
    QTest.keyClick(finder.list.filter, Qt.Key.Key_Return)
    QApplication.processEvents()
    assert window.chooser is not None and window.chooser.phrase == "light"


def test_what_cannot_be_done_says_so(window, finder, qtbot) -> None:
    QTest.keyClicks(finder.list.filter, "swap kept")
    QTest.keyClick(finder.list.filter, Qt.Key.Key_Return)
    QApplication.processEvents()
    assert window.notice.sentence == "“Swap the kept print with this one” is not possible now."


def test_escape_runs_nothing(window, finder) -> None:
    before = window.session.state
    QTest.keyClick(finder.list.filter, Qt.Key.Key_Escape)
    QApplication.processEvents()
    assert QApplication.activeModalWidget() is None
    assert before == window.session.state


# ---- the pages


@pytest.fixture
def help_window(window: MainWindow) -> HelpWindow:
    press(window, Qt.Key.Key_F1)
    shown = window.dialogs.help
    assert shown is not None and shown.isVisible()
    return shown


def test_the_pages_lead_to_one_another_and_back(help_window) -> None:
    """By their links, the list of contents, and the button."""
    assert "The first minute" in help_window.page.toPlainText()
    help_window.page.anchorClicked.emit(QUrl("numbers.md"))
    assert "Dmax" in help_window.page.toPlainText()
    assert help_window.contents.currentItem().text() == help_window.shown.title
    QTest.mouseClick(help_window.back, Qt.MouseButton.LeftButton)
    assert help_window.shown.id == "first_minute"
    assert not help_window.back.isEnabled()


def test_marks_are_shown_as_they_are_drawn(help_window) -> None:
    """Every kind with its texture: no two of these pictures are alike."""
    help_window.go_to("marks")
    text = help_window.page.toPlainText()
    assert all(kind.title in text for kind in Kind)
    found = [help_window.page.loadResource(2, QUrl(f"mark-{kind.value}.png")) for kind in Kind]
    assert len({bytes(image.constBits()) for image in found}) == len(Kind)


def test_words_are_found_on_any_page(help_window) -> None:
    """Enter goes on to the next place; what is nowhere is said."""
    QTest.keyClicks(help_window.words, "flicker")
    assert help_window.shown.id == "screen_and_room"
    assert help_window.page.textCursor().selectedText().lower() == "flicker"
    help_window.words.clear()
    QTest.keyClicks(help_window.words, "no such words")
    assert help_window.found.text() == "Not in the help."


def test_the_keys_of_the_help_window(help_window) -> None:
    """Those of every desktop: to the line that finds, and back."""
    help_window.go_to("marks")
    QTest.keyClick(help_window, Qt.Key.Key_F, Qt.KeyboardModifier.ControlModifier)
    assert help_window.words.hasFocus()
    QTest.keyClick(help_window, Qt.Key.Key_Left, Qt.KeyboardModifier.AltModifier)
    assert help_window.shown.id == "first_minute"


@pytest.mark.parametrize(("width", "above"), [(860, False), (420, True)])
def test_in_a_narrow_window_the_contents_stand_above_the_page(help_window, width, above) -> None:
    help_window.resize(width, 500)
    QApplication.processEvents()
    contents, page = help_window.contents.geometry(), help_window.page.geometry()
    assert (contents.bottom() < page.top()) is above
    assert page.width() > 0.6 * width


def test_the_help_stays_beside_the_window_and_ends_with_it(window, help_window, qtbot) -> None:
    """It does not stop the window; asked for again, it is the same one."""
    assert QApplication.activeModalWidget() is None
    window.session.change(stock="baryta")
    settle(window, qtbot)
    press(window, Qt.Key.Key_F1)
    assert window.dialogs.help is help_window
    window.close()
    assert not help_window.isVisible()


# ---- the first walk


def test_the_walk_goes_from_part_to_part(window, qtbot) -> None:
    """Its card stands beside the part and never on it; the window can be used all the while."""
    press(
        window,
        Qt.Key.Key_F1,
        Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier,
    )
    card = window.walk
    titles = []
    while card.isVisible():
        QApplication.processEvents()
        titles.append(card.title.text())
        step = STEPS[window.session.state.view.walk]
        part = {"pictures": window.pair, "findings": window.findings}.get(step.at)
        part = part or window.sentence.phrase(step.at)
        middle = part.mapTo(window.centralWidget(), part.rect().center())
        assert window.centralWidget().rect().contains(card.geometry())
        assert card.around.geometry().contains(middle)
        assert not card.geometry().contains(middle)
        if step.at == "stock":
            window.session.change(stock="canvas")
            assert card.isVisible()
        QTest.mouseClick(card.on, Qt.MouseButton.LeftButton)
    assert [step.title for step in STEPS] == titles
    assert not card.around.isVisible()
    settle(window, qtbot)
    assert window.sentence.phrase("stock").text() == "canvas"


def test_escape_leaves_the_walk(window, qtbot) -> None:
    window.session.run("walk")
    assert window.walk.on.hasFocus()
    QTest.keyClick(window.walk.on, Qt.Key.Key_Escape)
    assert not window.walk.isVisible()
    assert window.session.state.view.walked


def test_escape_at_the_pictures_leaves_the_walk_too(window, qtbot) -> None:
    window.session.run("walk")
    window.pair.print.setFocus()
    press(window, Qt.Key.Key_Escape)
    assert not window.walk.isVisible()


def test_the_walk_opens_a_finding_where_it_tells_of_help(window, qtbot) -> None:
    """The frame is about what is there and not about the room below it."""
    window.session.run("walk")
    while not STEPS[window.session.state.view.walk].opens:
        QTest.mouseClick(window.walk.on, Qt.MouseButton.LeftButton)
    settle(window, qtbot)
    row = window.findings.rows[0]
    assert row.property("chosen")
    frame = window.walk.around.geometry()
    assert frame.contains(row.sentence.mapTo(window.centralWidget(), row.sentence.rect().center()))
    assert not frame.intersects(window.walk.geometry().adjusted(3, 3, -3, -3))


def test_it_begins_by_itself_once_only(make_window, ramp: Path, qtbot) -> None:
    """At the first start, when the print is there; the next sitting knows that it has been gone."""
    window = make_window(Setting(photograph=str(ramp)))
    take_up(window, Sitting())
    walk_at_rest(window)
    settle(window, qtbot)
    assert window.walk.isVisible()
    grey = pixels(window.pair.print)
    assert np.ptp(grey) > 50  # the print is there
    QTest.mouseClick(window.walk.leave, Qt.MouseButton.LeftButton, pos=QPoint(5, 5))
    assert sitting_of(window).walked
    settle(window, qtbot)
    assert not window.walk.isVisible()
