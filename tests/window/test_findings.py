"""Findings in the window: a list that leads to the places, and marks that can be looked under."""

from __future__ import annotations

import dataclasses
import itertools

import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel

from app.panels.finding_row import DONE_IN, FindingRow
from app.state import Setting, Trial
from proofing.findings.advice import Action, Advice
from proofing.findings.kinds import Kind
from proofing.findings.stage import Stage
from proofing.findings.words import share_in_words
from tests.window.conftest import pixels, settle

pytestmark = pytest.mark.with_findings


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
    proof = window.session.losses.proof
    assert proof.stage is Stage.COMPLETE
    assert [row.finding for row in window.findings.rows] == list(proof.findings)
    assert len(window.findings.rows) == 2
    assert window.findings.verdict.text() == proof.verdict
    assert "stops brighter than bare paper" in window.findings.brightness.text()
    assert window.findings.rows[0].accessibleName().startswith("Finding 1: Fine detail")


def test_choosing_one_takes_both_pictures_there(window, qtbot):
    """Its place is in the middle, larger than before, outlined in both; once more leaves."""
    row = window.findings.rows[1]
    before = window.session.sight.viewport
    plain = pixels(window.pair.photograph)
    QTest.mouseClick(row, Qt.MouseButton.LeftButton, pos=QPoint(30, 8))
    settle(window, qtbot)
    view = window.session.sight.viewport
    assert view.scale > before.scale
    x, y, width, height = row.finding.region.box
    assert (view.centre_x, view.centre_y) == pytest.approx((x + width / 2, y + height / 2), abs=60)
    assert window.session.losses.finding is row.finding
    for canvas in (window.pair.photograph, window.pair.print):
        assert canvas._outlines is row.finding.region.outlines
    assert np.any(pixels(window.pair.photograph) != plain)
    assert row.property("chosen")
    assert any(button.isVisible() for button in row.buttons)
    QTest.mouseClick(row, Qt.MouseButton.LeftButton, pos=QPoint(30, 8))
    settle(window, qtbot)
    assert window.session.losses.finding is None
    assert window.session.sight.viewport.fitted


def test_an_advice_is_one_click_and_one_undo(window, qtbot):
    """Try it: the light is turned up, the coats show; Undo brings back what was."""
    window.session.losses.go_to(0)
    settle(window, qtbot)
    setting = window.session.state.setting
    lost = window.session.losses.proof.share(Kind.BLOCKED_SHADOWS)
    button = next(b for b in window.findings.rows[0].buttons if "More light" in b.accessibleName())
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    settle(window, qtbot)
    assert window.session.state.setting.illuminance > 30.0
    assert window.session.losses.proof.share(Kind.BLOCKED_SHADOWS) < 0.5 * lost
    press(window, "Ctrl+Z")
    settle(window, qtbot)
    assert window.session.state.setting == setting


def test_keys_lead_from_finding_to_finding(window, qtbot):
    """Page down and up go round; in the list the arrows go, too, and Enter leaves."""
    for keys, expected in (("PgDown", 0), ("PgDown", 1), ("PgDown", 0), ("PgUp", 1)):
        press(window, keys)
        settle(window, qtbot)
        assert window.session.state.view.finding == expected
    press(window, "Shift+Home")
    settle(window, qtbot)
    assert window.session.losses.finding is None
    row = window.findings.rows[0]
    row.setFocus(Qt.FocusReason.TabFocusReason)
    for key, expected in ((Qt.Key.Key_Down, 1), (Qt.Key.Key_Up, 0), (Qt.Key.Key_Up, 0)):
        QTest.keyClick(QApplication.focusWidget(), key)
        settle(window, qtbot)
        assert window.findings.rows[expected].hasFocus()
        assert window.session.state.view.finding == expected
    QTest.keyClick(row, Qt.Key.Key_Return)
    settle(window, qtbot)
    assert window.session.losses.finding is None


def test_page_keys_take_the_keyboard_along_only_within_the_list(window, qtbot):
    """From the pictures they leave it there; from a row, or a button in it, it goes to the row."""
    window.pair.print.setFocus()
    press(window, "PgDown")
    settle(window, qtbot)
    assert window.pair.print.hasFocus()
    window.findings.rows[0].setFocus()
    press(window, "PgDown")
    settle(window, qtbot)
    assert window.session.state.view.finding == 1
    assert window.findings.rows[1].hasFocus()
    window.findings.rows[1].buttons[0].setFocus()
    press(window, "PgUp")
    settle(window, qtbot)
    assert window.session.state.view.finding == 0
    assert window.findings.rows[0].hasFocus()


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


def test_kinds_that_are_off_are_not_listed_but_told(window, qtbot):
    """Without the mark of blocked shadows there are no such findings, textures or numbers; a line
    says how many there are, and turns the mark on again."""
    share = share_in_words(window.session.losses.proof.share(Kind.BLOCKED_SHADOWS))
    assert not window.findings.others.isVisible()
    window.marks.boxes[Kind.BLOCKED_SHADOWS].click()
    settle(window, qtbot)
    assert not window.findings.rows
    assert window.session.state.view.findings == 0
    line = window.findings.others
    assert line.isVisible()
    assert line.text() == f"2 findings of a kind whose mark is off: blocked shadows ({share})"
    line.setFocus()
    QTest.keyClick(line, Qt.Key.Key_Return)
    settle(window, qtbot)
    assert len(window.findings.rows) == 2
    assert window.marks.boxes[Kind.BLOCKED_SHADOWS].isChecked()
    assert not line.isVisible()
    assert window.findings.rows[0].hasFocus()


# ---- trying what would help


def more_light(window):
    """The button that turns the light up, of the first finding, gone to."""
    window.session.losses.go_to(0)
    button = next(b for b in window.findings.rows[0].buttons if "More light" in b.accessibleName())
    button.setFocus()
    return button


def test_an_advice_that_was_followed_is_answered(window, qtbot):
    """Before and after in one line, and a button that takes back that step and no other."""
    session, answer = window.session, window.findings.answer
    session.change(distance_m=0.5)
    settle(window, qtbot)
    setting, steps = session.state.setting, len(session.state.history.past)
    before = session.losses.proof.share(Kind.BLOCKED_SHADOWS)
    assert not answer.isVisible()
    more_light(window).click()
    assert answer.isVisible()
    assert "looking for what is lost" in answer.sentence
    settle(window, qtbot)
    after, lux = session.losses.proof.share(Kind.BLOCKED_SHADOWS), session.state.setting.illuminance
    assert after < before
    assert answer.sentence == (
        f"Tried at {lux:g} lx: blocked shadows {share_in_words(after).replace('none', '0 %')} of "
        f"the picture instead of {share_in_words(before)}."
    )
    QTest.mouseClick(answer.back, Qt.MouseButton.LeftButton)
    settle(window, qtbot)
    assert session.state.setting == setting
    assert len(session.state.history.past) == steps
    assert not answer.isVisible()


@pytest.mark.parametrize("what", ["setting", "undo", "picture", "kept"])
def test_the_answer_goes_with_its_step(window, qtbot, ramp, what):
    """Another setting, an undo, another picture, or a press on Keep it."""
    more_light(window).click()
    settle(window, qtbot)
    session, answer = window.session, window.findings.answer
    tried = session.state.setting
    assert answer.isVisible()
    if what == "setting":
        session.change(glazing="float glass")
    elif what == "undo":
        press(window, "Ctrl+Z")
    elif what == "picture":
        session.open(str(ramp))
    else:
        answer.close_button.click()
        assert session.state.setting == tried
    settle(window, qtbot)
    assert not answer.isVisible()
    assert session.losses.trial is None
    now = session.state.setting
    session.losses.take_back()
    assert session.state.setting == now


def test_an_advice_that_does_not_help_is_said_not_to(window, qtbot):
    """The number stays, and that is said. It rises: it got worse; what else moved is told."""
    advice = Advice(Action.STOCK, "On fine art matte.", ("stock", "smooth matte"))
    window.session.losses.follow(advice, Kind.CLIPPED_IN_FILE)
    settle(window, qtbot)
    assert window.findings.answer.sentence == (
        "Tried on smooth matte: clipped in the file 0 % of the picture as before."
    )
    before, after = Setting(), Setting(stock="baryta")
    few = dict.fromkeys(Kind, 0.0) | {Kind.BLOCKED_SHADOWS: 0.061, Kind.OUT_OF_GAMUT: 0.02}
    many = dict.fromkeys(Kind, 0.0) | {Kind.BLOCKED_SHADOWS: 0.003, Kind.OUT_OF_GAMUT: 0.12}
    tried = Trial(Kind.BLOCKED_SHADOWS, "on baryta", before, after, few)
    assert tried.answered(many).sentence == (
        "Tried on baryta: blocked shadows 0.3 % of the picture instead of 6.1 %; but out of gamut "
        "12 % instead of 2.0 %."
    )
    assert Trial(Kind.BLOCKED_SHADOWS, "on baryta", before, after, many).answered(few).sentence == (
        "Tried on baryta: it got worse, blocked shadows 6.1 % of the picture instead of 0.3 %; out "
        "of gamut 2.0 % instead of 12 %."
    )


def test_the_keyboard_stays_in_the_findings_while_an_advice_is_tried(window, qtbot):
    """From Try it to Take it back, and from there to the row of the same number."""
    panel, seen = window.findings, []
    application = QApplication.instance()

    def note(before, now):
        seen.append(now is None or panel.isAncestorOf(now))

    QTest.keyClick(more_light(window), Qt.Key.Key_Return)
    application.focusChanged.connect(note)
    settle(window, qtbot)
    assert panel.answer.back.hasFocus()
    QTest.keyClick(panel.answer.back, Qt.Key.Key_Space)
    settle(window, qtbot)
    assert window.session.state.setting.illuminance == 30.0
    assert panel.rows[0].hasFocus()
    application.focusChanged.disconnect(note)
    assert seen
    assert all(seen)
    panel.rows[1].setFocus()
    press(window, "Ctrl+PgUp")  # a brighter room: the rows are made anew
    settle(window, qtbot)
    assert panel.rows[min(1, len(panel.rows) - 1)].hasFocus()


def test_what_no_setting_does_says_where_it_is_done(window):
    """Every kind of advice without a setting has a quiet word in the place of the button."""
    finding = window.findings.rows[0].finding
    for action in Action:
        advice = Advice(action, "Something to do.")
        changed = type(finding)(finding.kind, "", finding.region, {}, finding.sentence, (advice,))
        row = FindingRow(1, changed)
        assert not row.buttons
        assert [label.text() for label in row.findChildren(QLabel, "elsewhere")] == [
            DONE_IN[action]
        ]
    window.session.losses.go_to(0)
    row = window.findings.rows[0]
    shown = [label.text() for label in row.findChildren(QLabel, "elsewhere") if label.isVisible()]
    assert shown == [DONE_IN[a.action] for a in row.finding.advice if a.setting is None]


# ---- room


SIZES = [(1440, 900), (1280, 720), (1024, 600), (800, 560), (640, 400)]


def test_the_first_line_of_the_chosen_row_is_in_sight(window, qtbot):
    """At any size, whichever row is chosen, also when the window is made that small after."""
    for size, number in itertools.product(SIZES[1:], (0, 1, 0)):
        window.resize(*size)
        window.session.losses.go_to(number)
        settle(window, qtbot)
        assert first_line_in_sight(window, number)
        window.resize(1440, 900)
        settle(window, qtbot)
        window.resize(*size)
        settle(window, qtbot)
        assert first_line_in_sight(window, number)


def first_line_in_sight(window, number: int) -> bool:
    viewport = window.findings.area.viewport()
    label = window.findings.rows[number].sentence
    line = QRect(label.mapTo(viewport, QPoint(0, 0)), label.size())
    line.setHeight(label.fontMetrics().height())
    return viewport.rect().contains(line)


def test_a_low_window_gives_its_room_to_the_findings(window, qtbot):
    """The probe takes one line; the sentence has the whole width and two lines at least."""
    for size in SIZES[2:]:
        window.resize(*size)
        settle(window, qtbot)
        assert window.probe.height() <= 20
        assert window.findings.height() >= 150
        assert window._words.width() >= window.width() - 40
        assert window.sentence.line_height(window.sentence.width()) * 2 <= window._words.height()


def test_nothing_is_left_blank_under_the_sentence(window, qtbot):
    """Whatever the width, the findings begin under the remarks; the usual addition to the sentence
    then takes its line from the findings, and the pictures stay as they are."""
    taken = 0
    for width in range(940, 1500, 70):
        window.resize(width, 900)
        settle(window, qtbot)
        words, findings = window.remarks, window.findings
        if not words.text():
            words = window.sentence
        end = words.mapTo(window, QPoint(0, words.heightForWidth(words.width()))).y()
        assert not window._words.is_cut
        assert 0 <= findings.mapTo(window, QPoint(0, 0)).y() - end <= 10
        pictures, lines = window.pair.height(), window.sentence.height()
        window.marks.boxes[Kind.BEYOND_SCREEN].click()
        settle(window, qtbot)
        assert "with all marks but beyond this screen" in window.sentence.text()
        assert window.pair.height() == pictures
        taken += window.sentence.height() - lines
        window.marks.boxes[Kind.BEYOND_SCREEN].click()
        settle(window, qtbot)
    assert taken > 0


def test_the_verdict_stands_above_the_screen_and_both_above_the_findings(window, qtbot):
    """Order of reading, at any size."""
    panel = window.findings
    assert panel.brightness.text()
    for size in SIZES:
        window.resize(*size)
        settle(window, qtbot)
        parts = [panel.verdict, panel.brightness, *panel.rows]
        tops = [part.mapTo(panel, QPoint(0, 0)).y() for part in parts]
        assert tops == sorted(set(tops))
    assert panel.verdict.accessibleName() == "Verdict"
    assert panel.brightness.accessibleName()


@pytest.mark.parametrize("size", SIZES)
def test_the_legend_is_whole(make_window, qtbot, size):
    """No stroke of a swatch is cut off at an edge, nor a word; no swatch lies on another."""
    window = make_window()
    window.resize(*size)
    settle(window, qtbot)
    for kind, swatch in window.marks._swatches.items():
        ink = np.abs(pixels(swatch).astype(int) - 0x8C)
        edges = [ink[0], ink[-1], ink[:, 0], ink[:, -1]]
        assert max(edge.max() for edge in edges) < 0.5 * ink.max(), kind
        assert window.marks.boxes[kind].width() >= window.marks.boxes[kind].sizeHint().width()
    assert window.marks.tolerance.width() >= window.marks.tolerance.sizeHint().width()
    tops = [swatch.y() for swatch in window.marks._swatches.values()]
    assert min(np.diff(tops)) >= next(iter(window.marks._swatches.values())).height()


def test_panning_while_advice_is_worked_out_ends(window, qtbot):
    """Work that gives way to the view is taken up again and comes to its end."""
    window.session.change(stock="smooth matte", illuminance=25.0)
    for _ in range(6):
        window.session.run("nearer")
        qtbot.wait(30)
    settle(window, qtbot)
    assert window.session.losses.proof.is_complete


def test_a_place_stays_chosen_while_it_is_found(window, qtbot):
    """Chosen by its place and not by its number: through the stages of a proof, and again after an
    advice was taken back."""
    session = window.session
    session.losses.go_to(1)
    settle(window, qtbot)
    chosen = session.losses.finding
    assert chosen is not None
    proof = session.losses.proof
    turned = dataclasses.replace(proof, findings=tuple(reversed(proof.findings)))
    session.losses.take_stage(turned)
    assert session.losses.finding is chosen
    assert session.state.view.finding == 0
    session.losses.take_stage(proof)
    assert session.state.view.finding == 1
    advice = next(a for a in chosen.advice if a.setting is not None)
    session.losses.follow(advice, chosen.kind)
    settle(window, qtbot)
    session.losses.take_back()
    settle(window, qtbot)
    assert session.losses.finding is not None
    assert session.losses.finding.region.where == chosen.region.where
    assert window.findings.rows[1].property("chosen")
