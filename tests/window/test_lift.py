"""Shadows lifted for the print, as a person does it."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton

from app.exhibition import exhibition
from app.main_window import MainWindow
from app.state import SETTINGS, Setting
from proofing.findings.kinds import Kind
from proofing.printing import MOST_LIFT_STOPS
from tests.window.conftest import pixels, settle


@pytest.fixture
def loft(make_window, qtbot) -> MainWindow:
    """A dark room with a window, on canvas in a quiet gallery."""
    path = next(each.path for each in exhibition() if Path(each.path).name == "net_loft.jpg")
    window = make_window(Setting(photograph=str(path), stock="canvas", illuminance=150.0))
    settle(window, qtbot)
    return window


def blocked(window: MainWindow) -> float:
    proof = window.session.losses.proof
    assert proof is not None
    return float(proof.share(Kind.BLOCKED_SHADOWS))


@pytest.mark.with_findings
def test_the_advice_is_tried_and_taken_back(loft: MainWindow, qtbot) -> None:
    """The print gets lighter in its shadows, the sentence says by how much, less is blocked, and
    one press takes it back."""
    before, dark = blocked(loft), pixels(loft.pair.print)
    loft.session.run("next_finding")
    settle(loft, qtbot)
    tries = [
        button
        for button in loft.findings.findChildren(QPushButton)
        if "Lift the shadows" in button.accessibleName()
    ]
    tries[0].click()
    settle(loft, qtbot)
    assert "shadows lifted by" in loft.sentence.text()
    assert "instead of" in loft.findings.answer.sentence
    assert blocked(loft) < 0.3 * before
    loft.session.run("whole_picture")
    settle(loft, qtbot)
    assert pixels(loft.pair.print).mean() > dark.mean() + 0.5  # the wall is in it, too
    loft.session.losses.take_back()
    settle(loft, qtbot)
    assert "lifted" not in loft.sentence.text()
    assert blocked(loft) == before


def test_as_much_as_the_print_needs(loft: MainWindow, qtbot) -> None:
    """By one key: the bar tells what it brings; the next picture begins without it."""
    held = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    QTest.keyClick(loft.windowHandle(), Qt.Key.Key_U, held)
    settle(loft, qtbot)
    assert loft.notice.sentence.startswith("Shadows lifted by")
    assert "lifted by" in loft.sentence.text()
    other = next(each.path for each in exhibition() if Path(each.path).name == "quay_stairs.jpg")
    loft.session.open(str(other))
    settle(loft, qtbot)
    assert "lifted" not in loft.sentence.text()


def test_a_lift_is_typed_and_stepped(loft: MainWindow, qtbot) -> None:
    """Its phrase is a chooser like the others; keys go by quarters of a stop, to the most."""
    loft.session.run("choose_shadow_lift")
    field = loft.chooser.fields["shadow_lift"]
    field.edit.selectAll()
    QTest.keyClicks(field.edit, "0.5")
    QTest.keyClick(field.edit, Qt.Key.Key_Return)
    settle(loft, qtbot)
    assert loft.sentence.phrase("shadow_lift").text() == "shadows lifted by 0.5 stops"
    loft.session.run("more_lift")
    assert loft.sentence.phrase("shadow_lift").text() == "shadows lifted by 0.75 stops"
    for _ in range(8):
        loft.session.run("more_lift")
    assert loft.session.setting.shadow_lift == MOST_LIFT_STOPS
    for _ in range(8):
        loft.session.run("less_lift")
    assert loft.sentence.phrase("shadow_lift") is None
    QApplication.processEvents()
    settle(loft, qtbot)


def test_the_setting_goes_as_far_as_the_curve() -> None:
    assert SETTINGS["shadow_lift"].bounds == (0.0, MOST_LIFT_STOPS)
