"""What a person does, up to what is then on the screen."""

from __future__ import annotations

import numpy as np
import pytest
import tifffile
from PIL import Image
from PySide6.QtCore import QEvent, QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent, QHelpEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QToolTip

from app.panels.probe_line import reading
from app.state import Setting
from proofing.findings.kinds import Kind
from proofing.proof import prove
from tests.window.conftest import PATIENCE_MS, pixels, settle


def press(window, keys: str) -> None:
    """Keys as the desktop sends them."""
    QTest.keySequence(window.windowHandle(), keys)


def image_corner(window) -> tuple[int, int]:
    """Where the photograph's first pixel is in a pane."""
    return window.session.sight.viewport.origin


def test_an_srgb_photograph_on_an_srgb_screen_keeps_its_codes(window, ramp, qtbot):
    """IEC 61966-2-1: the same encoding at both ends. Pixel for pixel, each code is on the screen,
    to the one code by which a table may be off."""
    press(window, "Tab")
    window.pair.print.setFocus()
    press(window, "End")
    settle(window, qtbot)
    assert window.session.sight.viewport.scale == 1.0
    window.session.change(marks=frozenset())
    settle(window, qtbot)
    left, top = image_corner(window)
    shown = pixels(window.pair.photograph)[top : top + 80, left : left + 120]
    codes = np.asarray(Image.open(ramp))
    assert np.abs(shown.astype(int) - codes.astype(int)).max() <= 1


def test_the_print_hangs_on_its_wall_within_its_margin(window):
    """From the corner inward: wall, bare paper, picture; the margin is 4 % of the short edge."""
    shown = pixels(window.pair.print)
    view, baked = window.session.sight.viewport, window.session.baked
    left, top = view.origin
    margin = round(0.04 * 80 * view.scale)
    middle = top + round(40 * view.scale)
    wall, paper = baked.wall_bgr[::-1].tolist(), baked.paper_bgr[::-1].tolist()
    assert wall == shown[middle, left - margin - 1].tolist()
    assert paper == shown[middle, left - margin].tolist()
    assert paper == shown[middle, left - 1].tolist()
    assert paper != shown[middle, left].tolist()


def test_a_stock_is_chosen_from_the_sentence_by_keyboard(window, qtbot):
    """Tab to the phrase, Enter, type, Enter: the print is on the other paper."""
    before = pixels(window.pair.print)
    phrase = window.sentence.phrase("stock")
    window.sentence.phrase("photograph").setFocus()
    press(window, "Tab")
    assert phrase.hasFocus()
    press(window, "Return")
    assert window.chooser.list.filter.hasFocus()
    QTest.keyClicks(window.chooser.list.filter, "bary")
    press(window, "Return")
    assert window.chooser is None
    settle(window, qtbot)
    assert window.session.state.setting.stock == "baryta"
    assert window.sentence.phrase("stock").text() == "baryta"
    assert phrase.hasFocus()
    assert np.abs(pixels(window.pair.print).astype(int) - before).max() > 8
    press(window, "Ctrl+Z")
    settle(window, qtbot)
    assert window.session.state.setting.stock == "smooth matte"
    np.testing.assert_array_equal(before, pixels(window.pair.print))


def test_what_is_considered_is_seen_and_escape_goes_back(window, qtbot):
    """Moving through the list shows each stock; Escape leaves everything as it was."""
    before, setting = pixels(window.pair.print), window.session.state.setting
    press(window, "Alt+1")
    with qtbot.waitSignal(window.session.drawn, timeout=PATIENCE_MS):
        press(window, "Down")
    assert window.session.setting.stock == "cotton matte"
    assert window.sentence.phrase("stock").text() == "cotton matte"
    assert np.any(pixels(window.pair.print) != before)
    assert setting == window.session.state.setting
    press(window, "Esc")
    settle(window, qtbot)
    assert window.chooser is None
    assert setting == window.session.setting
    np.testing.assert_array_equal(before, pixels(window.pair.print))
    assert not window.session.state.history.past


def test_a_press_beside_the_chooser_keeps_what_is_seen(window, qtbot):
    """A number typed and left by a press elsewhere stays."""
    press(window, "Alt+5")
    field = window.chooser.fields["illuminance"].edit
    field.selectAll()
    QTest.keyClicks(field, "40 lx")
    QTest.mouseClick(window.remarks, Qt.MouseButton.LeftButton)
    settle(window, qtbot)
    assert window.chooser is None
    assert window.session.state.setting.illuminance == 40.0
    assert window.sentence.phrase("illuminance").text() == "40 lx"


def test_a_phrase_closes_its_chooser_and_another_opens_its_own(window, qtbot):
    """By mouse: what is seen stays, as with a press anywhere else."""
    stock, light = window.sentence.phrase("stock"), window.sentence.phrase("light")
    QTest.mouseClick(stock, Qt.MouseButton.LeftButton)
    assert window.chooser.phrase == "stock"
    assert stock.isChecked()
    press(window, "Down")
    QTest.mouseClick(light, Qt.MouseButton.LeftButton)
    assert window.chooser.phrase == "light"
    assert window.session.state.setting.stock == "cotton matte"
    QTest.mouseClick(light, Qt.MouseButton.LeftButton)
    assert window.chooser is None
    assert not light.isChecked()


def test_the_wheel_zooms_while_a_choice_is_open(window, qtbot):
    """So that what is considered can be looked at closely; a click in a picture keeps it."""
    press(window, "Alt+1")
    press(window, "Down")
    before = window.session.sight.viewport.scale
    wheel(window.pair.print, QPointF(300, 200), 240)
    assert window.session.sight.viewport.scale > before
    assert window.chooser is not None
    QTest.mouseClick(window.pair.print, Qt.MouseButton.LeftButton)
    assert window.chooser is None
    assert window.session.state.setting.stock == "cotton matte"


def test_a_dim_room_looks_dimmer(window, qtbot):
    """Settled eyes: at a twentieth of the light the bare paper is darker on the screen."""
    before = window.session.baked.paper_bgr.astype(int).sum()
    window.session.change(illuminance=25.0)
    settle(window, qtbot)
    after = window.session.baked.paper_bgr.astype(int)
    assert after.sum() < before
    view = window.session.sight.viewport
    at = view.origin[1] + 5, view.origin[0] - 2
    assert after[::-1].tolist() == pixels(window.pair.print)[at].tolist()


def test_marks_change_pixels_and_only_while_they_are_on(window, qtbot):
    """One key hides all marks and shows them again; a box does so for its kind."""
    marked = pixels(window.pair)
    press(window, "Shift+F2")
    settle(window, qtbot)
    plain = pixels(window.pair)
    assert np.any(marked != plain)
    assert not any(box.isChecked() for box in window.marks.boxes.values())
    assert "no marks" in window.sentence.text()
    QTest.mouseClick(window.marks.boxes[Kind.CLIPPED_IN_FILE], Qt.MouseButton.LeftButton)
    settle(window, qtbot)
    assert frozenset({Kind.CLIPPED_IN_FILE}) == window.session.state.setting.marks
    some = pixels(window.pair)
    changed = np.any(some != plain, axis=(0, 2))
    half = window.pair.width() // 2
    assert changed[:half].any(), "the file's own loss is drawn on the photograph"
    assert not changed[half:].any(), "and not on the print"
    press(window, "Shift+F2")
    press(window, "Shift+F2")
    settle(window, qtbot)
    np.testing.assert_array_equal(marked, pixels(window.pair))


def test_shares_are_those_of_the_whole_picture(window, tools):
    """The legend's figures are the proof's; the clipped corner is 600 of 9600 pixels at least."""
    proof = prove(tools.engine, window.session.baked.request)
    clipped = proof.share(Kind.CLIPPED_IN_FILE)
    assert clipped >= 600 / 9600
    from proofing.findings.words import share_in_words

    assert share_in_words(clipped) == window.marks.shares[Kind.CLIPPED_IN_FILE].text()


@pytest.mark.parametrize("pane", ["photograph", "print"])
def test_the_probe_says_what_the_engine_says(window, tools, qtbot, pane):
    """Over either pane: the same pixel, followed in float64; a cross shows it in the other."""
    view = window.session.sight.viewport
    canvas = getattr(window.pair, pane)
    other = window.pair.print if pane == "photograph" else window.pair.photograph
    at = QPoint(*(round(v) for v in view.to_pane(40.5, 30.5)))
    QTest.mouseMove(canvas, at - QPoint(9, 0))
    with qtbot.waitSignal(window.session.probed, timeout=PATIENCE_MS):
        QTest.mouseMove(canvas, at)
    settle(window, qtbot)
    x, y = view.to_image(at.x(), at.y())
    code = window.session.photograph.codes[int(y), int(x)]
    expected = reading(
        tools.engine.probe(window.session.baked.request, code), window.session.photograph
    )
    assert expected == window.probe.reading
    assert f"R {code[0]}  G {code[1]}  B {code[2]}" == expected.file
    assert (x, y) == pytest.approx(other.cross)
    QTest.mouseMove(canvas, QPoint(3, 3))
    assert window.probe.reading.density == "–"
    assert other.cross is None


def test_the_probe_follows_the_setting(window, tools, qtbot):
    """While the pointer rests, its figures are those of the print that is shown."""
    window.pair.print.pointed.emit(20.5, 10.5, False)
    settle(window, qtbot)
    before = window.probe.reading
    window.session.change(illuminance=100.0)
    settle(window, qtbot)
    code = window.session.photograph.codes[10, 20]
    expected = reading(
        tools.engine.probe(window.session.baked.request, code), window.session.photograph
    )
    assert expected == window.probe.reading
    assert expected.luminance != before.luminance
    assert expected.paper == before.paper


def test_the_probe_names_the_marks_that_hold(window, qtbot):
    """In words, and those of the file too: the last corner is white in the file."""
    window.pair.print.pointed.emit(110.5, 70.5, False)
    settle(window, qtbot)
    assert "clipped in the file" in window.probe.reading.marks
    assert window.probe.reading.file == "R 255  G 255  B 255"
    assert "clipped in the file" in window.probe.accessibleDescription()
    for kind in Kind:  # marks that are not shown hold as well
        window.session.change(marks=window.session.state.setting.marks - {kind})
    settle(window, qtbot)
    assert "clipped in the file" in window.probe.reading.marks


@pytest.mark.qt_log_ignore(r"does not support raise\(\)")  # the in-memory platform, at each tip
def test_every_figure_of_the_probe_says_what_it_is(window, qtbot):
    """In a tip of its own; the last but one speaks of the gamut, not of an error."""
    tips = []
    for place in window.probe._places(window.probe.width()):
        at = place.center()
        QApplication.sendEvent(
            window.probe, QHelpEvent(QEvent.Type.ToolTip, at, window.probe.mapToGlobal(at))
        )
        tips.append(QToolTip.text())
    assert len(set(tips)) == 6
    assert "outside what the stock can print" in tips[4]
    assert "ΔE00: how far apart two colours look" in tips[4]
    QToolTip.hideText()


def test_what_delta_e_is_is_said_where_it_stands(window, qtbot):
    """At the probe's figure and at the tolerance in the legend, to the eye and to a reader."""
    explained = "about 1 is just noticeable side by side, 3 shows at a glance (typical)"
    assert explained in window.marks.tolerance.toolTip()
    assert explained in window.marks.tolerance.accessibleDescription()
    with qtbot.waitSignal(window.session.probed, timeout=PATIENCE_MS):
        window.pair.print.pointed.emit(20.0, 20.0, False)
    assert explained in window.probe.accessibleDescription()


def test_a_16_bit_file_is_read_on_the_scale_of_an_8_bit_one(make_window, tmp_path, qtbot):
    """32896 of 65535 is 128 of 255 (65535 = 257 x 255); one decimal shows the finer steps."""
    codes = np.full((40, 60, 3), 32896, np.uint16)
    codes[..., 2] = 32896 + 128
    path = tmp_path / "grey.tif"
    tifffile.imwrite(path, codes, photometric="rgb")
    window = make_window(Setting(photograph=str(path)))
    settle(window, qtbot)
    with qtbot.waitSignal(window.session.probed, timeout=PATIENCE_MS):
        window.pair.print.pointed.emit(20.0, 20.0, False)
    assert window.probe.reading.file == "R 128.0  G 128.0  B 128.5"
    assert window.probe.reading.scale == "0–255"
    assert "In the file (0–255) R 128.0" in window.probe.accessibleDescription()


def test_the_probe_works_from_the_keyboard(window, qtbot):
    """Shift with an arrow measures from the middle on, one monitor pixel at a time."""
    window.pair.print.setFocus()
    with qtbot.waitSignal(window.session.probed, timeout=PATIENCE_MS):
        press(window, "Shift+Right")
    assert window.probe.reading.density.endswith(" D")
    first = window.pair.print.cross
    press(window, "Shift+Right")
    assert window.pair.print.cross[0] - first[0] == pytest.approx(
        1 / window.session.sight.viewport.scale
    )


def drop(window, path) -> None:
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path))])
    event = QDropEvent(
        QPointF(300, 200),
        Qt.DropAction.CopyAction,
        data,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    window.dropEvent(event)
    assert event.isAccepted()


def test_a_dropped_photograph_is_shown(window, tmp_path, qtbot):
    """Its name is in the sentence and the title, its pixels in the panes; undo brings the old."""
    before = pixels(window.pair)
    path = tmp_path / "grey wall.png"
    Image.fromarray(np.full((60, 90), 120, np.uint8)).save(path)
    drop(window, path)
    settle(window, qtbot)
    assert window.sentence.phrase("photograph").text() == "grey wall.png"
    assert window.windowTitle().startswith("grey wall.png")
    middle = window.pair.photograph.height() // 2, window.pair.photograph.width() // 2
    assert np.abs(pixels(window.pair.photograph)[middle].astype(int) - 120).max() <= 1
    press(window, "Ctrl+Z")
    settle(window, qtbot)
    assert window.sentence.phrase("photograph").text() == "ramp.png"
    np.testing.assert_array_equal(before, pixels(window.pair))


def test_a_dropped_profile_that_prints_nothing_is_refused(window, tmp_path, qtbot):
    """A file that is no profile changes nothing and says so in the bar."""
    before = window.session.state.setting
    path = tmp_path / "lab.icc"
    path.write_bytes(b"not a profile")
    drop(window, path)
    settle(window, qtbot)
    assert window.notice.isVisible()
    assert "lab.icc" in window.notice.sentence
    assert before == window.session.state.setting


def test_a_broken_file_keeps_the_picture(window, tmp_path, qtbot):
    """One calm sentence, the last picture stays, and closing the bar closes it."""
    before = pixels(window.pair)
    path = tmp_path / "broken.png"
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + b"\0" * 40)
    drop(window, path)
    settle(window, qtbot)
    assert window.notice.isVisible()
    assert "broken.png" in window.notice.sentence
    assert "Traceback" not in window.notice.sentence
    assert window.sentence.phrase("photograph").text() == "ramp.png"
    window.notice.clear()
    settle(window, qtbot)
    np.testing.assert_array_equal(before, pixels(window.pair))


def test_an_unknown_name_is_told_and_the_window_works(make_window, ramp, qtbot):
    """A wrong name from outside does not stop the photograph from being shown."""
    window = make_window(Setting(photograph=str(ramp), light="moonlight"))
    with qtbot.waitSignal(window.session.drawn, timeout=PATIENCE_MS):
        pass
    settle(window, qtbot)
    assert window.sentence.phrase("photograph").text() == "ramp.png"
    assert window.session.baked is not None
    assert "moonlight" in window.notice.sentence
    window.session.change(stock="gloss")
    settle(window, qtbot)
    assert not window.notice.isVisible()


def test_an_empty_window_invites(make_window, qtbot):
    """Without a photograph the window says what to do, and the choosers work already."""
    window = make_window()
    settle(window, qtbot)
    assert window.pair._invitation.isVisible()
    press(window, "Alt+4")
    assert window.chooser.phrase == "light"
    press(window, "Esc")
    assert window.chooser is None


def test_both_panes_move_as_one(window, qtbot):
    """Wheel and drag in one pane: the same image point stays at the same place of both."""
    canvas = window.pair.print
    at = QPointF(200, 180)
    before = window.session.sight.viewport.to_image(at.x(), at.y())
    wheel(canvas, at, 240)
    settle(window, qtbot)
    after = window.session.sight.viewport
    assert after.to_image(at.x(), at.y()) == pytest.approx(before, abs=1.0)
    assert window.pair.photograph.viewport_now == window.pair.print.viewport_now == after
    QTest.mousePress(canvas, Qt.MouseButton.LeftButton, pos=QPoint(200, 180))
    QTest.mouseMove(canvas, QPoint(220, 190))
    QTest.mouseMove(canvas, QPoint(230, 195))
    QTest.mouseRelease(canvas, Qt.MouseButton.LeftButton, pos=QPoint(230, 195))
    settle(window, qtbot)
    moved = np.subtract(window.session.sight.viewport.origin, after.origin)
    assert np.abs(moved - (30, 15)).max() <= 1  # the origin lies on the monitor's grid
    press(window, "Home")
    settle(window, qtbot)
    assert window.session.sight.viewport.fitted


def wheel(canvas, at: QPointF, eighths: int) -> None:
    """A turn of the wheel over a pane."""
    from PySide6.QtGui import QWheelEvent

    event = QWheelEvent(
        at,
        canvas.mapToGlobal(at),
        QPoint(),
        QPoint(0, eighths),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(canvas, event)
