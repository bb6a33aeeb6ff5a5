"""Greys, contrast, names: what holds for every widget."""

from __future__ import annotations

import itertools
import subprocess
import sys

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtGui import QAccessible, QColor, QGuiApplication, QKeySequence, QPalette
from PySide6.QtWidgets import QAbstractButton, QApplication, QLineEdit, QRadioButton, QWidget

from app import theme
from app.main_window import SMALLEST
from app.state import COMMANDS, ROWS
from app.views.sentence_view import PAD, PhraseButton
from app.window import fitted
from tests.window.conftest import pixels, settle


@pytest.mark.parametrize("ink, ground", theme.TEXT_PAIRS)
def test_text_can_be_read(ink, ground):
    """WCAG 2.2, success criterion 1.4.3: 4.5:1 for text of ordinary size."""
    assert theme.contrast(ink, ground) >= 4.5


def test_contrast_is_measured_as_wcag_does():
    """The definition's own ends, and #777777 on white: 4.48:1, the best-known near miss."""
    assert theme.contrast("#ffffff", "#000000") == pytest.approx(21.0)
    assert theme.contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


def test_all_greys_are_neutral_but_the_focus():
    """Equal red, green and blue; the focus colour itself is hardly coloured."""
    for name, value in vars(theme).items():
        if name.isupper() and isinstance(value, str) and value.startswith("#"):
            red, green, blue = (int(value[i : i + 2], 16) for i in (1, 3, 5))
            spread = max(red, green, blue) - min(red, green, blue)
            assert spread <= (40 if name == "FOCUS" else 0), name


@pytest.mark.parametrize("scheme", [Qt.ColorScheme.Light, Qt.ColorScheme.Dark])
def test_light_and_dark_desktops_look_alike(qapp, scheme):
    """The program has greys of its own."""
    QGuiApplication.styleHints().setColorScheme(scheme)
    theme.dress(qapp)
    assert QColor(theme.GROUND) == qapp.palette().color(QPalette.ColorRole.Window)
    assert QColor(theme.TEXT) == qapp.palette().color(QPalette.ColorRole.WindowText)


def test_the_font_comes_with_the_program(qapp):
    """Text does not depend on what the system has."""
    assert "Inter" in qapp.font().family()


def test_the_frame_of_a_phrase_touches_no_other_letter(window):
    """Whatever the focus changes in the sentence is a pixel away from the ink of its neighbours."""
    view, ground = window.sentence, QColor(theme.GROUND).red()
    for button in view.findChildren(PhraseButton):
        key = button.key
        window.pair.print.setFocus()
        plain = pixels(view).astype(int)
        button.setFocus(Qt.FocusReason.TabFocusReason)
        changed = np.any(pixels(view) != plain, axis=-1)
        assert changed.any(), f"{key}: the focus is seen"
        ink = np.abs(plain - ground).max(axis=-1) > 24
        own = button.geometry().adjusted(PAD, 0, -PAD, 0)
        ink[own.top() : own.bottom() + 1, own.left() : own.right() + 1] = False
        near = changed.copy()
        near[:, 1:] |= changed[:, :-1]
        near[:, :-1] |= changed[:, 1:]
        assert not (near & ink).any(), key


def test_nothing_typed_or_listed_is_cut_off(make_window):
    """Hints fit their fields; what is too long for a row takes two lines of it."""
    window = make_window()
    for phrase in sorted({row.phrase for row in ROWS} - {"photograph", "marks"}):
        window.open_chooser(phrase)
        for edit in window.chooser.findChildren(QLineEdit):
            needed = edit.fontMetrics().horizontalAdvance(edit.placeholderText())
            assert needed <= edit.contentsRect().width() - 14, edit.placeholderText()
        for button in window.chooser.findChildren(QAbstractButton):
            assert button.width() >= button.sizeHint().width(), button.text()
        rows = window.chooser.list
        if phrase == "look":
            heights = [rows.view.sizeHintForRow(row) for row in range(2)]
            assert heights[1] > heights[0], "the second explanation is the longer one"
    window.close_chooser()


def test_the_focus_is_seen_on_every_control(window):
    """In the window and in each chooser: the focus changes pixels."""
    phrases = sorted({row.phrase for row in ROWS} - {"photograph", "marks"})
    for phrase in [None, *phrases]:
        if phrase is not None:
            window.open_chooser(phrase)
        inside = window if phrase is None else window.chooser
        for control in controls(inside):
            if control in (window.sentence, window.chooser):
                continue  # made to take the focus below, by this test
            if isinstance(control, QRadioButton) and not control.isChecked():
                continue
            control.setFocus(Qt.FocusReason.TabFocusReason)
            assert control.hasFocus()
            with_focus = pixels(control)
            other = window.sentence if phrase is None else window.chooser
            other.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            other.setFocus()
            assert other.hasFocus()
            assert (with_focus != pixels(control)).any(), (phrase, control)
    window.close_chooser()


@pytest.mark.parametrize("scheme", [Qt.ColorScheme.Light, Qt.ColorScheme.Dark])
def test_everything_around_the_pictures_is_grey(window, qapp, scheme):
    """On a light and on a dark desktop, also when it changes: equal red, green and blue in every
    pixel of the words, the menus and the choosers, where no mark, focus or paper is drawn."""
    QGuiApplication.styleHints().setColorScheme(scheme)
    QApplication.processEvents()
    window.pair.print.setFocus()
    menus = [action.menu() for action in window.menuBar().actions()]
    parts = [window.menuBar(), window._words, window.probe, *window.marks.boxes.values(), *menus]
    for part in parts:
        assert np.ptp(pixels(part).astype(int), axis=-1).max() == 0, part
    for phrase in sorted({row.phrase for row in ROWS} - {"photograph", "marks"}):
        window.open_chooser(phrase)
        chooser = window.chooser
        chooser.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        chooser.setFocus()
        shown = pixels(chooser).astype(int)
        for stock in window.session.state.facts.stocks if phrase == "stock" else ():
            drawing = window.session.notes.drawing("stock", stock.name)
            for own in (drawing.white_RGB, drawing.black_RGB):  # as much a picture as the print
                shown[(shown == own).all(axis=-1)] = 0
        assert np.ptp(shown, axis=-1).max() == 0, phrase
        assert abs(shown[4, 40, 0] - QColor(theme.CARD).red()) <= 1, phrase
    window.close_chooser()
    theme.dress(qapp)


@pytest.mark.parametrize("size", [(1440, 900), (1024, 640), (800, 560), (720, 418)])
def test_a_small_window_keeps_the_figures(window, qtbot, size):
    """Pictures, probe and shares are all in sight, none over another, and nothing is cut off."""
    window.resize(*size)
    settle(window, qtbot)
    assert window.size().toTuple() == size
    parts = [window.pair, window._words, window.marks, window.probe]
    boxes = [QRect(part.mapTo(window, QPoint(0, 0)), part.size()) for part in parts]
    for box in boxes:
        assert window.rect().contains(box)
    for one, other in itertools.combinations(boxes, 2):
        assert not one.intersects(other)
    assert window.pair.height() >= 120
    for share in window.marks.shares.values():
        assert window.marks.rect().contains(share.geometry())
        assert share.width() >= share.fontMetrics().horizontalAdvance(share.text())
    for place in window.probe._places(window.probe.width()):
        assert place.bottom() <= window.probe.rect().bottom()
    assert window.probe._places(window.probe.width())[-1].right() <= window.probe.width()


def test_phrases_that_are_scrolled_away_come_back_with_their_chooser(window, qtbot):
    """In a low window the sentence scrolls."""
    window.resize(720, 418)
    settle(window, qtbot)
    window.open_chooser("screen_luminance_cd_m2")
    phrase = window.sentence.phrase("screen_luminance_cd_m2")
    at = QRect(phrase.mapTo(window._words.viewport(), QPoint(0, 0)), phrase.size())
    assert window._words.viewport().rect().contains(at)
    window.close_chooser()


def test_the_window_starts_no_larger_than_its_screen():
    """A laptop's 1440 x 900 at a scale of two, with room for a title bar."""
    fit = fitted(QSize(1440, 900), QSize(720, 450))
    assert fit.width() == 720
    assert SMALLEST.height() <= fit.height() < 450
    assert fitted(QSize(1440, 900), QSize(2560, 1400)) == QSize(1440, 900)


def controls(parent: QWidget) -> list[QWidget]:
    """Everything the keyboard can reach."""
    return [
        child
        for child in parent.findChildren(QWidget)
        if child.focusPolicy() & Qt.FocusPolicy.TabFocus and child.isVisibleTo(parent)
    ]


def test_every_control_has_a_name(make_window):
    """For assistive technology: in the window and in each chooser."""
    window = make_window()
    phrases = sorted({row.phrase for row in ROWS} - {"photograph", "marks"})
    for phrase in [None, *phrases]:
        if phrase is not None:
            window.open_chooser(phrase)
            assert window.chooser.phrase == phrase
            assert window.chooser.accessibleName()
        for control in controls(window):
            interface = QAccessible.queryAccessibleInterface(control)
            assert interface.text(QAccessible.Text.Name).strip(), control
    window.close_chooser()


def test_the_menus_are_the_table_of_commands(make_window):
    """Each command has an action with its keys; none of the keys means two things."""
    window = make_window()
    actions = window.menus.actions
    assert {command.id for command in COMMANDS} == set(actions)
    for command in COMMANDS:
        assert actions[command.id].shortcut() == QKeySequence(command.shortcut)
    keys = [action.shortcut().toString() for action in actions.values() if action.shortcut()]
    assert len(keys) == len(set(keys))


def test_the_window_is_there_before_the_colour_science():
    """Neither the colour library nor the compiler is imported on the way to the first window."""
    code = (
        "import sys; from app.window import make_application, make_window;"
        "make_application([]); window = make_window(); window.show();"
        "slow = {'colour', 'numba', 'scipy', 'imagecodecs', 'PIL'} & set(sys.modules);"
        "window.close(); print(sorted(slow))"
    )
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", code], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"
    assert done.stderr == ""


_EXACT = """
import sys
import numpy as np
from PySide6.QtGui import QImage
from app.views.canvas import Canvas
from app.views.frame import Frame, Side
from app.views.viewport import Viewport, ViewSpec
from app.window import make_application
from PySide6.QtWidgets import QWidget

application = make_application([])
outer = QWidget()
outer.resize(500, 400)
canvas = Canvas("photograph", outer)
canvas.setGeometry(33, 17, 401, 333)
outer.show()
codes = np.random.default_rng(5).integers(0, 256, (60, 90, 4), dtype=np.uint8)
codes[..., 3] = 255
size = canvas.pane_size()
view = Viewport(90, 60, size.width(), size.height()).fit().at_scale(1.0)
spec = ViewSpec(0, (0, 0, 90, 60), (0, 0, 90, 60), 1.0)
side = Side(codes)
canvas.show_viewport(view)
canvas.show_frames(None, Frame(spec, side, side))
image = outer.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.width(), 4)
ratio = canvas.devicePixelRatioF()
left = round(33 * ratio) + view.origin[0]
top = round(17 * ratio) + view.origin[1]
print(ratio, np.array_equal(rows[top:top + 60, left:left + 90, :3], codes[..., :3]))
"""


@pytest.mark.parametrize("factor", ["1", "1.25", "1.5", "2"])
def test_pixel_for_pixel_is_exact_at_any_scale_of_the_desktop(factor, monkeypatch):
    """At 1:1 every pixel of the file is one pixel of the monitor, unmixed with its neighbours."""
    monkeypatch.setenv("QT_SCALE_FACTOR", factor)
    monkeypatch.setenv("QT_SCALE_FACTOR_ROUNDING_POLICY", "PassThrough")
    done = subprocess.run(
        [sys.executable, "-c", _EXACT], capture_output=True, text=True, check=False
    )
    assert done.stdout.split() == [str(float(factor)), "True"], done.stderr
