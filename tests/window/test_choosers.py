"""What is typed into a chooser, and where the keyboard goes in it."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.panels.fields import TypedField
from app.state import Setting
from tests.reference.cgats import ICC_FOLDER
from tests.window.conftest import pixels, settle
from tests.window.test_journeys import press


def type_into(edit, text: str) -> None:
    """As a person replaces what stands in a field."""
    edit.setFocus()
    edit.selectAll()
    QTest.keyClicks(edit, text)


def focused():
    return QApplication.focusWidget()


@pytest.mark.parametrize("text", ["kitchen", "bananas"])
def test_a_place_that_is_not_listed_is_refused_in_the_chooser(window, qtbot, text):
    """The chooser stays open and says why; setting, sentence and pictures are as before."""
    before, setting = pixels(window.pair), window.session.state.setting
    press(window, "Alt+5")
    field = window.chooser.fields["illuminance"]
    type_into(field.edit, text)
    assert window.chooser.list.nothing.isVisible()
    assert not window.chooser.list.view.isVisible()
    press(window, "Return")
    settle(window, qtbot)
    assert window.chooser is not None
    assert f"'{text}'" in field.told
    assert "500 lx is kept" in field.told
    assert setting == window.session.state.setting == window.session.setting
    assert window.sentence.phrase("illuminance").text() == "500 lx"
    assert window.notice.sentence == ""
    press(window, "Esc")
    settle(window, qtbot)
    assert (before == pixels(window.pair)).all()


@pytest.mark.parametrize(
    "text, place",
    [
        ("hall", "hallway"),
        ("evening", "living room in the evening"),
        ("living room", "living room"),
        ("basement", "hallway"),
    ],
)
def test_a_place_is_found_by_a_part_of_its_names(window, qtbot, text, place):
    """While it is typed the list shows what matches; Enter takes the first."""
    press(window, "Alt+5")
    type_into(window.chooser.fields["illuminance"].edit, text)
    assert window.chooser.list.value() == place
    assert window.session.setting.illuminance == place
    press(window, "Return")
    assert window.chooser is None
    assert window.session.state.setting.illuminance == place
    assert place in window.sentence.phrase("illuminance").text()


def test_a_number_shows_all_places_again(window):
    """The list is narrowed by words only."""
    press(window, "Alt+5")
    edit = window.chooser.fields["illuminance"].edit
    type_into(edit, "hall")
    narrow = window.chooser.height()
    type_into(edit, "60")
    assert window.chooser.height() > narrow, "and the card is as high as its rows"
    assert window.session.setting.illuminance == 60.0
    assert window.chooser.list.value() is None


@pytest.mark.parametrize(
    "phrase, field, text, said",
    [
        ("distance_m", "distance_m", "abc", "'abc' is not a number of m"),
        ("distance_m", "distance_m", "1000", "from 0.1 to 100 m"),
        ("illuminance", "wall_reflectance", "white", "'white' is not a number"),
        ("illuminance", "illuminance", "", "Nothing is typed"),
        ("size_mm", "size_mm", "abc", "'abc' is not a number of cm"),
        ("screen_luminance_cd_m2", "screen_black_cd_m2", "20", "at most a fifth of its white"),
    ],
)
def test_what_makes_no_sense_is_refused_where_it_is_typed(window, qtbot, phrase, field, text, said):
    """Enter leaves the chooser open, the line below says why, and nothing has changed."""
    window.session.change(screen_luminance_cd_m2=60.0)
    setting = window.session.state.setting
    window.open_chooser(phrase)
    control = window.chooser.fields[field]
    assert isinstance(control, TypedField)
    edit = control.focusProxy()
    type_into(edit, text)
    if not text:
        QTest.keyClick(edit, Qt.Key.Key_Backspace)
    quiet = pixels(control)
    press(window, "Return")
    assert window.chooser is not None
    assert said in control.told
    assert "is kept" in control.told
    assert (quiet.shape != pixels(control).shape) or (quiet != pixels(control)).any()
    assert setting == window.session.state.setting == window.session.setting
    assert edit.hasFocus()
    QApplication.processEvents()
    wanted = window.chooser.layout().totalHeightForWidth(window.chooser.width())
    assert wanted <= window.chooser.height(), "the card has grown with its words"
    press(window, "Esc")
    assert window.chooser is None


def test_a_filter_that_finds_nothing_says_so(window):
    """In words, and Enter then chooses nothing; what was moved to before no longer holds."""
    press(window, "Alt+1")
    full = window.chooser.height()
    QTest.keyClicks(window.chooser.list.filter, "bary")
    assert window.session.setting.stock == "baryta"
    assert window.chooser.height() < full
    QTest.keyClicks(window.chooser.list.filter, "xx")
    assert window.chooser.list.nothing.isVisible()
    assert window.session.setting.stock == "smooth matte"
    press(window, "Return")
    assert window.chooser is not None
    assert window.session.state.setting.stock == "smooth matte"


def test_a_light_is_found_by_any_of_its_names(window, tools):
    """By an alias of its record, too."""
    light = next(light for light in tools.catalogue.lights if light.aliases)
    press(window, "Alt+4")
    QTest.keyClicks(window.chooser.list.filter, light.aliases[0])
    assert light.name in [window.chooser.list.value()]


def test_a_bad_name_from_outside_does_not_become_the_setting(window, tmp_path, qtbot):
    """A saved setting with a place that is not listed is told and left; undo clears the bar."""
    before = window.session.state.setting
    saved = before.change(illuminance="bananas")
    path = tmp_path / "kitchen.toml"
    path.write_text(saved.to_toml(), encoding="utf-8")
    window.open_dropped(str(path))
    settle(window, qtbot)
    assert "bananas" in window.notice.sentence
    assert before == window.session.state.setting
    window.session.change(illuminance=300.0)
    window.session.change(illuminance="bananas")  # as if from elsewhere
    settle(window, qtbot)
    assert "bananas" in window.notice.sentence
    press(window, "Ctrl+Z")
    settle(window, qtbot)
    assert window.notice.sentence == ""


def test_a_place_brings_its_usual_lamp_until_one_is_chosen(window, qtbot):
    """Seen while it is considered, gone with Escape, one step of the history, and never over a
    lamp that was chosen."""
    session = window.session
    window.open_chooser("illuminance")
    type_into(window.chooser.fields["illuminance"].edit, "hallway")
    assert (session.setting.illuminance, session.setting.light) == ("hallway", "LED-B1")
    type_into(window.chooser.fields["illuminance"].edit, "60")
    assert (session.setting.illuminance, session.setting.light) == (60.0, "D50")
    type_into(window.chooser.fields["illuminance"].edit, "office")
    QTest.keyClick(window.chooser.fields["illuminance"].edit, Qt.Key.Key_Return)
    assert (session.state.setting.illuminance, session.state.setting.light) == ("office", "LED-B3")
    window.open_chooser("illuminance")
    type_into(window.chooser.fields["illuminance"].edit, "60")
    QTest.keyClick(window.chooser.fields["illuminance"].edit, Qt.Key.Key_Return)
    assert (session.state.setting.illuminance, session.state.setting.light) == (60.0, "LED-B3")
    window.open_chooser("illuminance")
    type_into(window.chooser.fields["illuminance"].edit, "hallway")
    QTest.keyClick(window.chooser.fields["illuminance"].edit, Qt.Key.Key_Return)
    assert (session.state.setting.illuminance, session.state.setting.light) == ("hallway", "LED-B1")
    for _ in range(3):
        window.run_command("undo")
    assert (session.state.setting.illuminance, session.state.setting.light) == (500.0, "D50")
    session.change(light="A")
    window.open_chooser("illuminance")
    type_into(window.chooser.fields["illuminance"].edit, "hallway")
    assert session.setting.light == "A"
    settle(window, qtbot)


def test_the_room_beyond_the_wall_is_chosen_with_the_illuminance(window, qtbot):
    """All three are seen; one is considered at once and chosen with Enter."""
    press(window, "Alt+5")
    options = window.chooser.fields["surround"]
    assert [button.isChecked() for button in options.buttons.values()] == [True, False, False]
    QTest.mouseClick(options.buttons["dark"], Qt.MouseButton.LeftButton)
    assert window.session.setting.surround == "dark"
    options.buttons["dark"].setFocus()
    press(window, "Return")
    assert window.session.state.setting.surround == "dark"
    assert window.sentence.phrase("surround").text() == "a dark room"
    QTest.mouseClick(window.sentence.phrase("surround"), Qt.MouseButton.LeftButton)
    assert window.chooser.fields["surround"].buttons["dark"].hasFocus()
    QTest.keyClick(focused(), Qt.Key.Key_Left)
    assert window.session.setting.surround == "dim"
    assert Setting().surround == "average"


@pytest.mark.parametrize("digit", range(1, 10))
def test_tab_goes_round_in_a_chooser(window, digit):
    """Every control once, back to the first, and the same way back; Escape returns."""
    press(window, f"Alt+{digit}")
    chooser, first = window.chooser, focused()
    seen = [first]
    for _ in range(20):
        QTest.keyClick(focused(), Qt.Key.Key_Tab)
        assert window.chooser is chooser
        assert chooser.isAncestorOf(focused())
        if focused() is first:
            break
        seen.append(focused())
    assert focused() is first
    assert len(seen) == len(set(seen))
    QTest.keyClick(first, Qt.Key.Key_Backtab)
    assert focused() is seen[-1]
    QTest.keyClick(focused(), Qt.Key.Key_Escape)
    assert window.chooser is None
    assert focused() is window.sentence.phrase(chooser.phrase)


def test_escape_from_the_tolerance_returns_to_its_button(window):
    """It has no phrase while it is at its ordinary value."""
    window.marks.tolerance.setFocus()
    window.marks.tolerance.click()
    press(window, "Esc")
    assert window.marks.tolerance.hasFocus()


@pytest.mark.parametrize("phrase", ["size_mm", "illuminance"])
def test_down_goes_from_the_field_into_the_list(window, phrase):
    """And the list shows that it has the keyboard."""
    window.open_chooser(phrase)
    listed = window.chooser.list
    plain = pixels(listed)
    QTest.keyClick(focused(), Qt.Key.Key_Down)
    assert listed.view.hasFocus()
    assert listed.view.currentIndex().isValid()
    first = listed.value()
    assert getattr(window.session.setting, phrase) == first
    assert (pixels(listed)[0] != plain[0]).any(), "a frame around the rows"
    QTest.keyClick(listed.view, Qt.Key.Key_Down)
    assert listed.value() != first


def test_the_rows_of_stocks_and_lights_are_drawn(window, qtbot):
    """The paper's white and black beside its name; in a narrow window only words. What is
    drawn is said, and where a stock's numbers come from stands below the list."""
    window.resize(1440, 900)
    settle(window, qtbot)
    for field, name, seen in (("stock", "canvas", True), ("light", "A", False)):
        window.open_chooser(field)
        drawing = window.session.notes.drawing(field, name)
        shown = pixels(window.chooser.list.view)
        if seen:
            assert (shown == drawing.white_RGB).all(axis=-1).sum() > 300
            assert "published survey" in window.chooser.list.about.text()
        model = window.chooser.list.view.model()
        said = [model.item(row).accessibleDescription() for row in range(model.rowCount())]
        assert sum(drawing.words in words for words in said) >= 1
        press(window, "Esc")
    window.resize(800, 560)
    settle(window, qtbot)
    window.open_chooser("stock")
    shown = pixels(window.chooser.list.view)
    assert (shown == window.session.notes.drawing("stock", "canvas").white_RGB).all(
        axis=-1
    ).sum() < 50


def count(shown: np.ndarray, RGB: tuple[int, int, int]) -> int:
    """How many pixels of a colour."""
    return int((shown == RGB).all(axis=-1).sum())


@pytest.mark.parametrize("size", [(1024, 700), (1190, 640)])
def test_a_middling_window_has_drawings_and_leaves_the_print_free(window, qtbot, size):
    """In a card that has room beside the print, and stands there where it touches its phrase."""
    window.resize(*size)
    settle(window, qtbot)
    for field in ("stock", "light"):
        window.open_chooser(field)
        chooser = window.chooser
        middle = chooser.parentWidget().width() // 2
        assert chooser.width() < middle
        if window.sentence.phrase(field).x() < middle:
            assert chooser.geometry().right() <= middle
        if field == "stock":
            drawing = window.session.notes.drawing("stock", "smooth matte")
            assert count(pixels(chooser.list.view), drawing.white_RGB) > 200
        press(window, "Esc")


@pytest.mark.parametrize("size", [(1440, 900), (1024, 700), (800, 560), (640, 400)])
@pytest.mark.parametrize("field", ["stock", "light", "glazing", "illuminance", "size_mm"])
def test_rows_stand_whole_at_both_ends_of_a_list(window, qtbot, size, field):
    """Whatever the height of the window: End shows the last row whole, with whole ones above it
    where all rows are of one height; Home the first."""
    window.resize(*size)
    settle(window, qtbot)
    window.open_chooser(field)
    view = window.chooser.list.view
    model = view.model()
    heights = {view.visualRect(model.index(row, 0)).height() for row in range(model.rowCount())}
    last = model.rowCount() - 1
    for key, end in ((Qt.Key.Key_Home, 0), (Qt.Key.Key_End, last), (Qt.Key.Key_Home, 0)):
        view.setFocus()
        QTest.keyClick(view, key)
        QApplication.processEvents()
        assert view.currentIndex().row() == end
        room = view.viewport().rect()
        rows = [view.visualRect(model.index(row, 0)) for row in range(model.rowCount())]
        assert room.contains(rows[end])
        seen = [box for box in rows if box.intersects(room)]
        if len(heights) == 1:
            assert all(room.contains(box) for box in seen)
    press(window, "Esc")
    assert window.chooser is None


def test_one_s_own_profile_is_drawn_once_loaded_and_in_the_next_sitting(make_window, ramp, qtbot):
    """From the file dialog's way in, and where it is the stock a window begins with."""
    path = str(ICC_FOLDER / "FOGRA39L_coated.icc")
    loaded = make_window(Setting(photograph=str(ramp)))
    settle(loaded, qtbot)
    loaded.session.use_stock_file(path)
    settle(loaded, qtbot)
    again = make_window(Setting(photograph=str(ramp), stock=path))
    settle(again, qtbot)
    for window in (loaded, again):
        assert window.session.state.setting.stock == path
        window.resize(1440, 900)
        settle(window, qtbot)
        window.open_chooser("stock")
        listed = window.chooser.list
        assert listed.value() == path
        assert (
            count(pixels(listed.view), window.session.notes.drawing("stock", path).white_RGB) > 300
        )
        assert "FOGRA39L_coated.icc" in listed.about.text()
        said = listed.view.currentIndex().data(Qt.ItemDataRole.AccessibleDescriptionRole)
        assert "of the area of sRGB" in said and "profile" in said
        press(window, "Esc")


def test_the_swatches_follow_the_screen_that_is_chosen(window, qtbot):
    """Their codes are of that screen, and undo brings the former ones back."""
    before = window.session.notes.drawing("stock", "canvas").white_RGB
    window.session.change(screen_profile=str(ICC_FOLDER / "Adobe_RGB_1998.icc"))
    settle(window, qtbot)
    after = window.session.notes.drawing("stock", "canvas").white_RGB
    assert before != after
    press(window, "Ctrl+Z")
    settle(window, qtbot)
    assert before == window.session.notes.drawing("stock", "canvas").white_RGB
