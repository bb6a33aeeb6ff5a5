"""The page of tones, as a person uses it."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app import theme
from app.main_window import MainWindow
from app.panels.tones_page import TonesPage
from app.panels.why_card import WhyButton, WhyCard
from tests.window.conftest import pixels, settle

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints", "This plugin does not support raise")


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


def test_on_matte_in_dim_light_steps_run_together_and_in_bright_light_none(
    window, page, qtbot
) -> None:
    """The page is read while the room is tried."""
    window.session.change(stock="smooth matte", illuminance=3.0)
    settle(window, qtbot)
    assert page.wedge_words.text().startswith("Steps 1 to ")
    assert page.wedge.accessibleDescription() == page.wedge_words.text()
    window.session.consider({"illuminance": 2000.0})
    settle(window, qtbot)
    assert page.wedge_words.text().startswith("All 21 steps")
    window.session.consider(None)
    settle(window, qtbot)
    assert page.wedge_words.text().startswith("Steps 1 to ")


def test_the_keys_of_the_window_work_on_the_page(window, page, qtbot) -> None:
    """So that stocks can be tried with the page in front; its own key closes it."""
    page.activateWindow()
    qtbot.waitUntil(page.isActiveWindow)
    before = window.session.state.setting.stock
    QTest.keyClick(page.windowHandle(), Qt.Key.Key_Down, Qt.KeyboardModifier.ControlModifier)
    assert window.session.state.setting.stock != before
    settle(window, qtbot)
    assert f"L* {window.session.tones.found.black_L:.0f}" in page.spreads.accessibleDescription()
    QTest.keyClick(page.windowHandle(), Qt.Key.Key_G, Qt.KeyboardModifier.ControlModifier)
    assert not page.isVisible()


def test_a_lost_end_is_filled_as_far_as_its_tones_are_counted(window, page, qtbot) -> None:
    """Dark ground under the texture, from L* 0 to the last unit that counts, and not beyond."""
    window.session.change(stock="canvas", black_point_compensation=False)
    settle(window, qtbot)
    tones = window.session.tones.found
    spreads = pixels(page.spreads)
    ground = [int(theme.FIELD[i : i + 2], 16) for i in (1, 3, 5)]
    across = np.flatnonzero((np.abs(spreads.astype(int) - ground).max(axis=-1) <= 1)[:-40].any(0))
    filled = np.flatnonzero(tones.file_spread[: tones.dark_bins])
    assert abs(across.min() - page.spreads.place(filled[0])) <= 3
    assert abs(across.max() - page.spreads.place(filled[-1] + 1)) <= 3
    assert tones.lost_dark == pytest.approx(tones.file_spread[filled].sum())


def test_each_sentence_has_its_why(window, page, qtbot) -> None:
    for button in page.findChildren(WhyButton):
        QTest.mouseClick(button, Qt.MouseButton.LeftButton)
        (card,) = (each for each in page.findChildren(WhyCard) if each.isVisible())
        assert card.found.id == button.id and page.rect().contains(card.geometry())
        QTest.keyClick(card.close_button, Qt.Key.Key_Escape)
        assert page.isVisible()


def test_tones_that_cannot_be_worked_out_are_not_those_of_another_print(
    window, page, qtbot, monkeypatch
) -> None:
    """The page is empty and says so; the next print is tried anew."""

    def fails(*_: object) -> None:
        raise MemoryError("for the test")

    monkeypatch.setattr("proofing.proof.tones_of", fails)
    window.session.change(stock="gloss")
    settle(window, qtbot)
    assert "could not be worked out" in page.wedge_words.text()
    assert page.wedge.tones is None and page.spreads.tones is None
    assert page.spreads.accessibleDescription() == ""
    monkeypatch.undo()
    window.session.change(stock="baryta")
    settle(window, qtbot)
    assert page.wedge_words.text().startswith("All 21 steps")


@pytest.mark.parametrize("size", [(560, 420), (480, 400), (1600, 1000)])
def test_nothing_is_cut_at_any_size(window, page, qtbot, size) -> None:
    """Sentences keep their lines, and the spreads stay high enough to be read."""
    window.session.change(stock="canvas", black_point_compensation=False)
    settle(window, qtbot)
    page.resize(*size)
    qtbot.waitUntil(lambda: page.spreads.width() > 0.9 * page.width())
    for label in (page.wedge_words, page.end_words, page.note):
        assert label.height() >= label.heightForWidth(label.width())
    assert page.spreads.height() >= 130 and page.wedge.height() >= 100
    assert page.rect().contains(page.spreads.geometry())
