"""The page of tones, as a person uses it."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.main_window import MainWindow
from app.panels.tones_page import TonesPage
from tests.window.conftest import pixels, settle

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints")


@pytest.fixture
def page(window: MainWindow, qtbot) -> TonesPage:
    QTest.keyClick(window.windowHandle(), Qt.Key.Key_G, Qt.KeyboardModifier.ControlModifier)
    settle(window, qtbot)
    found = window.dialogs.tones
    assert found is not None and found.isVisible()
    return found


def test_the_steps_that_merge_are_bracketed_and_told(window, page, qtbot) -> None:
    """On canvas without compensation the darkest; with it none: the page follows the window."""
    window.session.change(stock="canvas", black_point_compensation=False)
    settle(window, qtbot)
    assert "Steps 1 to 5" in page.wedge_words.text()
    assert "deepest shadows" in page.wedge.accessibleDescription()
    below = page.wedge.step_rect(2, printed=True).bottom() + 6
    row = pixels(page.wedge)[below - 1 : below + 1].min(axis=-1).max(axis=0)
    first, last = page.wedge.step_rect(0, printed=True), page.wedge.step_rect(4, printed=True)
    assert (row[first.left() + 6 : last.right() - 6] > 200).all()
    assert (row[last.right() + 8 :] < 200).all()
    window.session.run("toggle_compensation")
    settle(window, qtbot)
    assert page.wedge_words.text().startswith("All 21 steps")


def test_the_scale_shows_the_print_as_the_window_does(window, page, qtbot) -> None:
    """The last step is bare paper, on the same wall."""
    paper = window.session.baked.paper_bgr[::-1].astype(int)
    middle = page.wedge.step_rect(20, printed=True).center()
    shown = pixels(page.wedge)[middle.y(), middle.x()].astype(int)
    assert np.abs(paper - shown).max() <= 2
    first = page.wedge.step_rect(0, printed=True)
    wall = window.session.baked.wall_bgr[::-1].astype(int)
    beside = pixels(page.wedge)[first.center().y(), first.left() - 3].astype(int)
    assert np.abs(wall - beside).max() <= 1


def test_lost_ends_are_filled_with_the_texture_of_their_mark(window, page, qtbot) -> None:
    """A dim room and no compensation: the shadows' texture, and words with a share."""
    window.session.change(stock="canvas", black_point_compensation=False)
    settle(window, qtbot)
    lost = pixels(page.spreads)
    assert "of this picture is as dark" in page.end_words.text()
    window.session.change(stock="baryta", black_point_compensation=True)
    settle(window, qtbot)
    assert (pixels(page.spreads) != lost).any(axis=-1).sum() > 300


def test_a_page_that_was_closed_in_between_shows_the_print_in_sight(window, page, qtbot) -> None:
    """Closed while the tones of another print were on their way, and opened again."""
    window.session.change(stock="canvas", black_point_compensation=False)
    with qtbot.waitSignal(window.session.baked_changed):
        pass
    page.reject()
    settle(window, qtbot)
    window.session.run("show_tones")
    settle(window, qtbot)
    assert "Steps 1 to 5 of 21" in page.wedge_words.text()


def test_nothing_is_worked_out_when_nobody_looks(window, page, qtbot) -> None:
    """Escape closes it, and so does the window's end; the key shows and hides it."""
    QTest.keyClick(page, Qt.Key.Key_Escape)
    assert not page.isVisible()
    before = window.session.tones.found
    window.session.change(stock="gloss")
    settle(window, qtbot)
    assert window.session.tones.found is before
    window.session.run("show_tones")
    settle(window, qtbot)
    assert page.isVisible() and window.session.tones.found is not before
    window.session.run("show_tones")
    assert not page.isVisible()
    window.session.run("show_tones")
    window.close()
    assert not page.isVisible()
