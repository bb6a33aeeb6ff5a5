"""Why beside the numbers, as a person asks it."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QWidget

from app.main_window import MainWindow
from app.panels.why_card import WhyButton, WhyCard, explain
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
    formula = record.formula.replace(";  ", "\n")
    for words in (*record.sentences, formula, record.source):
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


def test_what_else_is_explained_is_one_step_away(window) -> None:
    """Tab goes round in the card; Escape leads back to where the keyboard was at first."""
    window.open_chooser("stock")
    (ring,) = window.chooser.findChildren(WhyButton)
    ring.setFocus(Qt.FocusReason.TabFocusReason)
    QTest.keyClick(ring, Qt.Key.Key_Return)
    first = card(window)
    assert [link.text() for link in first.more] == ["Dmax", "Gamut volume", "Brightened papers"]
    QTest.keyClick(first.close_button, Qt.Key.Key_Tab)
    assert first.more[0].hasFocus()
    QTest.keyClick(first.more[0], Qt.Key.Key_Backtab)
    assert first.close_button.hasFocus()
    for link in first.more:
        assert link.width() >= link.sizeHint().width()  # no word is cut
    QTest.keyClick(first.more[1], Qt.Key.Key_Return)
    assert card(window).found.id == "gamut_volume"
    QTest.keyClick(card(window).close_button, Qt.Key.Key_Escape)
    assert window.chooser is not None
    assert ring.hasFocus()


def test_the_place_that_asked_may_be_gone(window, qtbot) -> None:
    """Findings are told anew while a card is open; Escape still closes it."""
    window.findings.rows[0].setFocus(Qt.FocusReason.TabFocusReason)
    ask(window)
    window.session.change(stock="baryta")
    settle(window, qtbot)
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    QTest.keyClick(QApplication.focusWidget() or window, Qt.Key.Key_Escape)
    assert not [each for each in window.findChildren(WhyCard) if each.isVisible()]


def test_the_remarks_the_answer_and_pinned_points_are_explained(window, qtbot) -> None:
    assert window.remarks.text()
    QTest.mouseClick(window.remarks_why, Qt.MouseButton.LeftButton)
    assert card(window).found.id == "remarks"
    window.findings.show_answer("Tried on baryta: out of gamut 1 % of the picture instead of 2 %.")
    QTest.mouseClick(window.findings.answer.why, Qt.MouseButton.LeftButton)
    assert card(window).found.id == "answer"
    window.session.probe(20.0, 20.0)
    settle(window, qtbot)
    window.session.run("pin_probe")
    settle(window, qtbot)
    lines = window.pin_table.widget()
    place = lines.places(0)["luminance"]
    QTest.mouseClick(lines, Qt.MouseButton.LeftButton, pos=place.center())
    assert card(window).found.id == "luminance"


def test_the_ring_of_the_remarks_makes_no_line_higher(window) -> None:
    """What stands above the findings is where it was without it."""
    assert window.remarks_why.height() <= window.remarks.fontMetrics().height()


@pytest.mark.parametrize("size", [(1280, 720), (800, 560), (640, 400)])
def test_a_card_lies_in_the_window_whatever_its_size(window, qtbot, size) -> None:
    """And under the menus where the window is high enough; no line of it is cut."""
    window.resize(*size)
    settle(window, qtbot)
    for id in whys():
        found = explain(id, window.findings.whys[0])
        assert window.rect().contains(found.geometry()), id
        for label in found.findChildren(QLabel):
            assert label.height() >= label.heightForWidth(label.width()), (id, label.text())
        for link in found.more:
            assert link.width() >= link.sizeHint().width(), (id, link.text())
