"""The page of the curve, as a person uses it."""

from __future__ import annotations

from pathlib import Path

import colour
import numpy as np
import pytest
import tifffile
from PIL import Image, ImageCms
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog

from app.command_line import main
from app.exhibition import exhibition
from app.main_window import MainWindow
from app.panels.curve_page import CurvePage
from app.state import Setting
from app.state.curve import STRAIGHT, codes_of, moved_point, text_of, with_point
from proofing.ordering.correction_files import curve_points, device_link
from proofing.printing import MOST_POINTS, Correction, correction_for
from tests.window.conftest import PATIENCE_MS, pixels, settle

pytestmark = [
    pytest.mark.qt_log_ignore("propagateSizeHints", "This plugin does not support raise"),
]
POINTS = "0:0 64:80 160:170 255:255"


@pytest.fixture
def page(window: MainWindow, qtbot) -> CurvePage:
    """The page beside a window with the ramp, by its keys."""
    held = Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.ShiftModifier
    QTest.keyClick(window.windowHandle(), Qt.Key.Key_G, held)
    settle(window, qtbot)
    assert window.dialogs.curve is not None and window.dialogs.curve.isVisible()
    return window.dialogs.curve


def drag(page: CurvePage, start: tuple[float, float], *stops: tuple[float, float]) -> None:
    """From a code in and out to others, with the left button."""
    drawing = page.drawing
    first, *rest = (drawing.place(*codes).toPoint() for codes in (start, *stops))
    QTest.mousePress(drawing, Qt.MouseButton.LeftButton, pos=first)
    for at in rest:
        QTest.mouseMove(drawing, at)
    QTest.mouseRelease(drawing, Qt.MouseButton.LeftButton, pos=rest[-1] if rest else first)


def test_what_is_dragged_is_in_the_sentence_and_one_undo_takes_it_back(
    window: MainWindow, page: CurvePage, qtbot
) -> None:
    """A press on the line sets a point, which follows the pointer; a neighbour stops it."""
    drag(page, (64, 64), (64, 75), (64, 90))
    (x, y), *_ = codes_of(window.session.setting.curve)[1:]
    assert abs(x - 64) <= 1 and abs(y - 90) <= 2
    assert "with a curve of your own" in window.sentence.text()
    assert f"in {x:g}" in page.point.text() and f"out {y:g}" in page.point.text()
    drag(page, (192, page.drawing._out(page.drawing.curves.own, 192)), (20, 10), (10, 5))
    left, right = codes_of(window.session.setting.curve)[1:-1]
    assert left == (x, y) and right == (x + 1, y)  # as far as it can go, and no further
    window.session.run("undo")
    assert codes_of(window.session.setting.curve)[1:-1] == ((x, y),)
    window.session.run("undo")
    assert window.session.setting.curve == ""
    assert page.drawing.curves.points == STRAIGHT and page.drawing.current is None
    drag(page, (200, 40))  # away from the line nothing is set
    assert window.session.setting.curve == ""


def test_keys_set_choose_and_move_a_point(window: MainWindow, page: CurvePage, qtbot) -> None:
    """A run of keys is one step; the window's own Ins, Del and arrows rest meanwhile."""
    drawing = page.drawing
    drawing.setFocus()
    pins = window.session.state.view.pins
    QTest.keyClick(drawing, Qt.Key.Key_Insert)
    assert window.session.setting.curve == "0:0 128:128 255:255"
    for _ in range(3):
        QTest.keyClick(drawing, Qt.Key.Key_Up)
    QTest.keyClick(drawing, Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
    assert window.session.setting.curve == "0:0 118:131 255:255"
    assert "in 118" in drawing.accessibleDescription()
    window.session.run("undo")
    assert window.session.setting.curve == "0:0 128:128 255:255"
    QTest.keyClick(drawing, Qt.Key.Key_Down)
    QTest.keyClick(drawing, Qt.Key.Key_Home)
    assert window.session.setting.curve == "0:0 128:128 255:255"
    window.session.change(curve=POINTS)
    drawing._choose(1)
    QTest.keyClick(drawing, Qt.Key.Key_Tab)
    assert drawing.current == 2 and drawing.hasFocus()
    QTest.keyClick(drawing, Qt.Key.Key_Delete)
    assert window.session.setting.curve == "0:0 64:80 255:255"
    QTest.keyClick(drawing, Qt.Key.Key_Delete)
    assert window.session.setting.curve == "" and window.session.state.view.pins == pins


def test_no_way_of_moving_points_makes_a_curve_fall() -> None:
    """A thousand moves and additions, by chance: each is a curve the program takes."""
    chance = np.random.default_rng(3)
    points = STRAIGHT
    for _ in range(1000):
        x, y = (float(value) for value in chance.integers(-40, 300, 2))
        if chance.random() < 0.1:
            points = (with_point(points, x, y) or (points, 0))[0]
        elif len(points) > 2:
            points = moved_point(points, int(chance.integers(1, len(points) - 1)), x, y)
        if len(points) > 2:
            assert codes_of(text_of(points)) == points  # which checks them
    assert len(points) == MOST_POINTS


def test_the_table_is_that_of_the_whole_correction(
    window: MainWindow, page: CurvePage, qtbot
) -> None:
    """Points and lift together, in the numbers of this reader; the clipboard gets columns."""
    window.session.change(curve=POINTS, shadow_lift=0.5)
    encoding = window.session.whole.encoding
    whole = correction_for(encoding, tuple((x / 255, y / 255) for x, y in codes_of(POINTS)), 0.5)
    rows = [line.split("\t")[1:] for line in page.table.toPlainText().splitlines()[1:]]
    assert [(int(a), int(b), float(c), float(d)) for a, b, c, d in rows] == [
        (point.code_in, point.code_out, point.percent_in, point.percent_out)
        for point in curve_points(whole)
    ]
    page._session.run("toggle_comma")
    assert "100,0\t100,0" in page.table.toPlainText()
    page.copy.click()
    copied = QApplication.clipboard().text().splitlines()
    QApplication.clipboard().clear()
    assert copied[1] == "0\t0\t0,0\t0,0" and len(copied) == len(rows) + 1
    page.setFocus()  # whose ring alone has a trace of colour
    drawn = pixels(page.drawing).astype(int)
    assert np.ptp(drawn, axis=2).max() == 0
    window.session.run("toggle_comma")


def test_sliders_and_the_box_without_the_corrections(
    window: MainWindow, page: CurvePage, qtbot
) -> None:
    """Lift and ease are the setting's own; taken away and given back, the page follows."""
    lift, ease = page.amounts["shadow_lift"], page.amounts["colour_ease"]
    lift.slider.setFocus()
    QTest.keyClick(lift.slider, Qt.Key.Key_PageUp)
    QTest.keyClick(lift.slider, Qt.Key.Key_Right)
    ease.slider.setValue(30)
    assert (lift.number.text(), ease.number.text()) == ("0.3 stops", "30 %")
    text = window.sentence.text()
    assert "shadows lifted by 0.3 stops" in text and "eased in by 30 %" in text
    assert "No curve of an editor does that" in page.note.text()
    page.without.click()
    assert window.session.setting.shadow_lift == 0.0 and page.without.isChecked()
    assert lift.number.text() == "0 stops" and not page.save_cube.isEnabled()
    page.without.click()
    assert window.session.setting.shadow_lift == 0.3 and not page.without.isChecked()
    window.session.run("undo")
    window.session.run("undo")
    window.session.run("undo")
    assert (window.session.setting.shadow_lift, window.session.setting.colour_ease) == (0.3, 0.0)
    window.session.run("undo")
    assert window.session.setting.shadow_lift == 0.0  # two keys, one step


def test_files_are_those_of_the_command_and_others_read_them(
    window: MainWindow, page: CurvePage, ramp: Path, tmp_path: Path, qtbot, monkeypatch
) -> None:
    """The table by colour-science, the device link by LittleCMS, the same bytes as ``correct``."""
    window.session.change(curve=POINTS, shadow_lift=0.5)
    settle(window, qtbot)
    asked: list[QFileDialog] = []
    monkeypatch.setattr(QFileDialog, "open", lambda dialog: asked.append(dialog))
    for button, ending in ((page.save_cube, ".cube"), (page.save_link, ".icc")):
        button.click()
        assert Path(asked[-1].selectedFiles()[0]).name == f"ramp on smooth matte curve{ending}"
        asked[-1].fileSelected.emit(str(tmp_path / f"own{ending}"))
        settle(window, qtbot)
        assert f"own{ending}" in page.told_written.text()
        assert "in its own space, sRGB" in page.told_written.text()
        assert "4096 entries" in page.told_written.text()
    cube, link = tmp_path / "own.cube", tmp_path / "own.icc"
    greys = np.repeat(np.arange(256, dtype=np.uint8)[:, None], 3, axis=1)
    wanted = page._correction.toned(greys / 255.0)
    assert np.abs(colour.read_LUT(str(cube)).apply(greys / 255.0) - wanted).max() < 1e-3
    plain = tmp_path / "plain.icc"  # LittleCMS in Pillow takes links in pairs
    plain.write_bytes(device_link(Correction(window.session.whole.encoding), "plain").data)
    transform = ImageCms.buildTransform(str(link), str(plain), "RGB", "RGB")
    found = np.asarray(ImageCms.applyTransform(Image.fromarray(greys[None]), transform))[0]
    assert np.abs(found - 255.0 * wanted).max() <= 1.0
    words = ["correct", str(ramp), "--curve", POINTS, "--lift", "0.5"]
    files = [str(tmp_path / name) for name in ("told.cube", "told.icc")]
    assert main([*words, "--cube", files[0], "--link", files[1]]) == 0
    for own, told in zip((cube, link), files, strict=True):
        assert own.read_bytes() == Path(told).read_bytes()


def test_as_much_as_the_print_needs(make_window, tmp_path: Path, qtbot) -> None:
    """A dark corner on canvas in a dim room: the button lifts it, and says what that brings."""
    path = tmp_path / "corner.png"
    whole = next(each.path for each in exhibition() if Path(each.path).name == "net_loft.jpg")
    with Image.open(whole) as image:
        image.crop((0, 0, 300, 200)).save(path)
    window = make_window(Setting(photograph=str(path), stock="canvas", illuminance=50.0))
    settle(window, qtbot)
    window.session.run("curve")
    page = window.dialogs.curve
    assert page.amounts["shadow_lift"].slider.value() == 0
    page.amounts["shadow_lift"].button.click()
    qtbot.waitUntil(lambda: page.told_needed.text() != "", timeout=PATIENCE_MS)
    lifted = window.session.setting.shadow_lift
    assert lifted > 0.0 and page.amounts["shadow_lift"].slider.value() == round(lifted / 0.05)
    assert page.amounts["shadow_lift"].number.text().startswith(f"{lifted:g}")
    assert page.told_needed.text() == window.notice.sentence != ""
    assert page.drawing.curves.whole[400] > page.drawing.curves.own[400]


def test_a_grey_and_a_lab_file_say_what_their_curve_works_on(
    make_window, tmp_path: Path, qtbot
) -> None:
    """The one channel; then, of another picture, L* alone, for which no RGB table is offered."""
    lab, grey = tmp_path / "lab.tif", tmp_path / "grey.png"
    tifffile.imwrite(lab, np.full((40, 60, 3), 128, np.uint8), photometric="icclab")
    Image.fromarray(np.tile(np.arange(60, dtype=np.uint8) * 4, (40, 1))).save(grey)
    window = make_window(Setting(photograph=str(grey), shadow_lift=0.5))
    session = window.session
    qtbot.waitUntil(lambda: session.whole is not None, timeout=PATIENCE_MS)
    session.run("curve")
    page = window.dialogs.curve
    assert "one channel of this grey file" in page.works_on.text()
    assert page.save_cube.isEnabled() and page.save_link.isEnabled()
    session.open(str(lab))
    qtbot.waitUntil(lambda: session.whole.encoding.kind == "Lab", timeout=PATIENCE_MS)
    session.change(shadow_lift=0.5)
    assert "L* alone" in page.works_on.text() and "RGB only" in page.note.text()
    assert not page.save_cube.isEnabled() and not page.save_link.isEnabled()
