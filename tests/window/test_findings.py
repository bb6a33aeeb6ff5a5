"""Findings in the window: a list that leads to the places, and marks that can be looked under."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from app.state import Setting
from proofing.findings.kinds import Kind
from proofing.findings.stage import Stage
from tests.window.conftest import pixels, settle


@pytest.fixture(scope="module")
def coats(tmp_path_factory):
    """Two dark coats with a weave on grey, the left one larger."""
    y, x = np.mgrid[0:480, 0:640]
    Y = np.full((480, 640), 0.18)
    weave = 0.002 * (1.0 + 0.6 * np.sin(x / 1.7) * np.sin(y / 1.9))
    for inside in (
        (abs(y - 260) < 170) & (abs(x - 200) < 130),
        (abs(y - 300) < 60) & (abs(x - 520) < 60),
    ):
        Y[inside] = weave[inside]
    code = np.where(Y <= 0.0031308, 12.92 * Y, 1.055 * Y ** (1 / 2.4) - 0.055)  # IEC 61966-2-1
    path = tmp_path_factory.mktemp("coats") / "coats.png"
    codes = np.rint(code * 255 + np.random.default_rng(0).uniform(-0.5, 0.5, code.shape))
    Image.fromarray(np.repeat(codes[..., None], 3, axis=2).astype(np.uint8)).save(path)
    return path


@pytest.fixture
def window(make_window, coats, qtbot):
    """The coats on canvas in a dim room."""
    made = make_window(
        Setting(photograph=str(coats), stock="canvas", illuminance=30.0, distance_m=0.4)
    )
    settle(made, qtbot)
    return made


def press(window, keys: str) -> None:
    """Keys as the desktop sends them."""
    QTest.keySequence(window.windowHandle(), keys)


def test_the_list_says_what_the_proof_says(window):
    """A row for each finding, in its order; the verdict and the screen above them."""
    proof = window.session.proof
    assert proof.stage is Stage.COMPLETE
    assert [row.finding for row in window.findings.rows] == list(proof.findings)
    assert len(window.findings.rows) == 2
    assert window.findings.verdict.text() == proof.verdict
    assert "stops brighter than bare paper" in window.findings.brightness.text()
    assert window.findings.rows[0].accessibleName().startswith("Finding 1: Fine detail")


def test_choosing_one_takes_both_pictures_there(window, qtbot):
    """Its place is in the middle, larger than before, outlined in both; once more leaves."""
    row = window.findings.rows[1]
    before = window.session.viewport
    plain = pixels(window.pair.photograph)
    QTest.mouseClick(row, Qt.MouseButton.LeftButton, pos=QPoint(30, 8))
    settle(window, qtbot)
    view = window.session.viewport
    assert view.scale > before.scale
    x, y, width, height = row.finding.region.box
    assert (view.centre_x, view.centre_y) == pytest.approx((x + width / 2, y + height / 2), abs=60)
    assert window.session.finding is row.finding
    for canvas in (window.pair.photograph, window.pair.print):
        assert canvas._outlines is row.finding.region.outlines
    assert np.any(pixels(window.pair.photograph) != plain)
    assert row.property("chosen")
    assert any(button.isVisible() for button in row.buttons)
    QTest.mouseClick(row, Qt.MouseButton.LeftButton, pos=QPoint(30, 8))
    settle(window, qtbot)
    assert window.session.finding is None
    assert window.session.viewport.fitted


def test_an_advice_is_one_click_and_one_undo(window, qtbot):
    """Try it: the light is turned up, the coats show; Undo brings back what was."""
    window.session.go_to(0)
    settle(window, qtbot)
    setting = window.session.state.setting
    lost = window.session.proof.share(Kind.BLOCKED_SHADOWS)
    button = next(b for b in window.findings.rows[0].buttons if "More light" in b.accessibleName())
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    settle(window, qtbot)
    assert window.session.state.setting.illuminance > 30.0
    assert window.session.proof.share(Kind.BLOCKED_SHADOWS) < 0.5 * lost
    press(window, "Ctrl+Z")
    settle(window, qtbot)
    assert window.session.state.setting == setting


def test_keys_lead_from_finding_to_finding(window, qtbot):
    """Page down and up go round; in the list the arrows move and Enter goes."""
    for keys, expected in (("PgDown", 0), ("PgDown", 1), ("PgDown", 0), ("PgUp", 1)):
        press(window, keys)
        settle(window, qtbot)
        assert window.session.state.view.finding == expected
    press(window, "Shift+Home")
    settle(window, qtbot)
    assert window.session.finding is None
    row = window.findings.rows[0]
    row.setFocus(Qt.FocusReason.TabFocusReason)
    QTest.keyClick(row, Qt.Key.Key_Down)
    assert window.findings.rows[1].hasFocus()
    QTest.keyClick(window.findings.rows[1], Qt.Key.Key_Return)
    settle(window, qtbot)
    assert window.session.state.view.finding == 1


def test_marks_go_while_m_is_held(window, qtbot):
    """Textures, numbers and outlines: away while the key is down, back as they were after."""
    marked = pixels(window.pair.print)
    QTest.keyPress(window.windowHandle(), Qt.Key.Key_M)
    plain = pixels(window.pair.print)
    assert np.any(plain != marked)
    QTest.keyRelease(window.windowHandle(), Qt.Key.Key_M)
    np.testing.assert_array_equal(marked, pixels(window.pair.print))


def test_marks_are_as_strong_as_is_wanted(window, qtbot):
    """The slider and the keys draw the same; fainter marks change the picture less."""
    window.pair.hide_marks(True)
    plain = pixels(window.pair.print).astype(int)
    window.pair.hide_marks(False)
    differences = []
    for strength in (20, 10, 4):
        window.marks.strength.setValue(strength)
        settle(window, qtbot)
        differences.append(np.abs(pixels(window.pair.print) - plain).sum())
    assert differences == sorted(differences, reverse=True)
    assert window.session.state.view.mark_strength == pytest.approx(0.2)
    press(window, "Shift+F4")
    settle(window, qtbot)
    assert window.marks.strength.value() == 8


def test_hidden_kinds_are_not_listed(window, qtbot):
    """Without the mark of blocked shadows there are no such findings, textures or numbers."""
    window.marks.boxes[Kind.BLOCKED_SHADOWS].click()
    settle(window, qtbot)
    assert not window.findings.rows
    assert window.session.state.view.findings == 0
    window.marks.boxes[Kind.BLOCKED_SHADOWS].click()
    settle(window, qtbot)
    assert len(window.findings.rows) == 2


def test_panning_while_advice_is_worked_out_ends(window, qtbot):
    """Work that gives way to the view is taken up again and comes to its end."""
    window.session.change(stock="smooth matte", illuminance=25.0)
    for _ in range(6):
        window.session.run("nearer")
        qtbot.wait(30)
    settle(window, qtbot)
    assert window.session.proof.is_complete
