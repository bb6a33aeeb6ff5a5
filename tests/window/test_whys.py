"""Why beside the numbers, as a person asks it."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QWidget

from app.main_window import MainWindow
from app.panels.why_card import WhyButton, WhyCard
from app.whys import whys
from proofing.findings.kinds import Kind
from tests.window.conftest import settle

SHIFT = Qt.KeyboardModifier.ShiftModifier


def card(window: QWidget) -> WhyCard:
    (found,) = [each for each in window.findChildren(WhyCard) if each.isVisible()]
    return found


def said(found: WhyCard) -> str:
    return " ".join(label.text() for label in found.findChildren(QLabel))


def ask(window: MainWindow) -> None:
    QTest.keyClick(window.windowHandle(), Qt.Key.Key_F1, SHIFT)


@pytest.mark.parametrize("kind", Kind)
def test_every_share_of_the_legend_has_its_why(window, kind: Kind) -> None:
    """The card has the three sentences, the formula and its source, and lies in the window."""
    QTest.mouseClick(window.marks.whys[kind], Qt.MouseButton.LeftButton)
    found = card(window)
    record = whys()[kind.value]
    for words in (*record.sentences, record.formula, record.source):
        assert words in said(found)
    assert window.rect().contains(found.geometry())


def test_escape_and_a_click_elsewhere_close_it(window) -> None:
    """Escape gives the keyboard back; a second card takes the first one's place."""
    button = window.marks.whys[Kind.OUT_OF_GAMUT]
    button.setFocus(Qt.FocusReason.TabFocusReason)
    QTest.keyClick(button, Qt.Key.Key_Return)
    assert card(window).close_button.hasFocus()
    QTest.keyClick(card(window).close_button, Qt.Key.Key_Escape)
    assert not [each for each in window.findChildren(WhyCard) if each.isVisible()]
    assert button.hasFocus()
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    QTest.mouseClick(window.marks.whys[Kind.BANDING_RISK], Qt.MouseButton.LeftButton)
    assert card(window).found.id == "banding_risk"
    QTest.mouseClick(window.pair.print, Qt.MouseButton.LeftButton, pos=QPoint(9, 9))
    assert not [each for each in window.findChildren(WhyCard) if each.isVisible()]


def test_the_key_explains_what_the_keyboard_is_at(window, qtbot) -> None:
    """At the pictures the verdict; at a phrase, a mark's box or a finding what that is."""
    window.pair.print.setFocus()
    ask(window)
    assert card(window).found.id == "verdict"
    for widget, id in (
        (window.sentence.phrase("light"), "light"),
        (window.marks.boxes[Kind.BLOWN_HIGHLIGHTS], "blown_highlights"),
        (window.findings.rows[0], window.findings.rows[0].finding.kind.value),
    ):
        widget.setFocus(Qt.FocusReason.TabFocusReason)
        ask(window)
        assert card(window).found.id == id


def test_a_field_of_a_chooser_is_explained_and_the_chooser_stays(window, qtbot) -> None:
    window.open_chooser("distance_m")
    buttons = window.chooser.findChildren(WhyButton)
    assert [button.id for button in buttons] == ["distance_m"]
    ask(window)
    assert card(window).found.id == "distance_m"
    assert window.chooser is not None


def test_a_figure_of_the_probe_that_is_clicked_is_explained(window, qtbot) -> None:
    window.session.probe(20.0, 20.0)
    settle(window, qtbot)
    places = window.probe._places(window.probe.width())
    QTest.mouseClick(window.probe, Qt.MouseButton.LeftButton, pos=places[2].center())
    assert card(window).found.id == "density"


def test_in_a_low_window_the_rings_take_no_height(make_window, ramp, qtbot) -> None:
    """No row is higher than its words."""
    from app.state import Setting

    window = make_window(Setting(photograph=str(ramp)))
    settle(window, qtbot)
    window.resize(800, 480)
    QApplication.processEvents()
    for kind in Kind:
        assert window.marks.whys[kind].height() <= window.marks.boxes[kind].height() + 2
