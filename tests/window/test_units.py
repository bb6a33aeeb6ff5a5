"""Inches or centimetres, as a person sees them."""

from __future__ import annotations

from PySide6.QtCore import QLocale, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel

import app.window
from tests.window.conftest import settle


def test_the_window_speaks_inches_and_takes_them(window, qtbot) -> None:
    """The phrase, the list, and what is typed; one key goes back."""
    held = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    QTest.keyClick(window.windowHandle(), Qt.Key.Key_L, held)
    assert window.sentence.phrase("size_mm").text() == "0.6 × 0.4 in"
    window.open_chooser("size_mm")
    chooser = window.chooser
    assert "in" in [label.text() for label in chooser.findChildren(QLabel)]
    field = chooser.fields["size_mm"]
    field.width_edit.selectAll()
    QTest.keyClicks(field.width_edit, "12")
    assert field.height_edit.text() == "8"
    QTest.keyClick(field.width_edit, Qt.Key.Key_Return)
    settle(window, qtbot)
    assert window.sentence.phrase("size_mm").text() == "12 × 8 in"
    assert window.session.state.setting.size_mm == (304.8, 203.2)
    QTest.keyClick(window.windowHandle(), Qt.Key.Key_L, held)
    assert window.sentence.phrase("size_mm").text() == "30.5 × 20.3 cm"


def test_where_inches_are_usual_a_window_begins_with_them(monkeypatch, qtbot, tools) -> None:
    for place, expected in ((QLocale.Country.UnitedStates, True), (QLocale.Country.Austria, False)):
        monkeypatch.setattr(
            app.window.QLocale,
            "system",
            lambda place=place: QLocale(QLocale.Language.English, place),
        )
        made = app.window.make_window(load=lambda: tools)
        qtbot.addWidget(made)
        assert made.session.state.facts.inches is expected
        made.close()
