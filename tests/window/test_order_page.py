"""The page of the order, as a person uses it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import tifffile
from PIL import Image
from pypdf import PdfReader
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog

from app.desk_files import Wish
from app.main_window import MainWindow
from app.panels.order_page import OrderPage
from tests.window.conftest import pixels, settle

pytestmark = [
    pytest.mark.qt_log_ignore("propagateSizeHints", "This plugin does not support raise"),
]


@pytest.fixture
def page(window: MainWindow, qtbot) -> OrderPage:
    """The page beside a window with the ramp, 120 x 80 px."""
    window.session.run("order")
    settle(window, qtbot)
    assert window.dialogs.order is not None
    return window.dialogs.order


def test_what_is_typed_there_is_in_the_sentence(window: MainWindow, page: OrderPage, qtbot) -> None:
    """One truth: the sentence follows the page, the page an undo; what makes no sense is said."""
    size = page.edits["size_mm"]
    assert size.text() == "" and size.placeholderText() == "1.5 × 1 cm"
    size.setFocus()
    size.selectAll()
    QTest.keyClicks(size, "60x40cm")
    QTest.keyClick(size, Qt.Key.Key_Return)
    page.lists["edge"].activated.emit(page.lists["edge"].findData("mirrored"))
    settle(window, qtbot)
    assert "60 × 40 cm, its edge mirrored round a bar of 4 cm" in window.sentence.text()
    assert "At 60 × 40 cm the file gives 5 ppi" in page.told.text()
    assert "Of a sheet of 72 × 52 cm, 60 × 40 cm stay visible" in page.told.text()
    window.session.run("undo")
    settle(window, qtbot)
    assert page.lists["edge"].currentData() == "none"
    bleed = page.edits["bleed_mm"]
    bleed.setFocus()
    bleed.selectAll()
    QTest.keyClicks(bleed, "80")
    QTest.keyClick(bleed, Qt.Key.Key_Return)
    assert "0 to 50 mm" in page.problem.text()
    assert window.session.setting.bleed_mm == 0.0
    window.session.change(size_mm=(20.0, 10.0))
    page.lists["edge"].activated.emit(page.lists["edge"].findData("picture"))
    assert "leaves nothing" in page.problem.text() and page.problem.isVisible()
    assert window.session.setting.edge == "none"


def test_the_crop_is_dragged_and_moved_by_keys(window: MainWindow, page: OrderPage, qtbot) -> None:
    """To the left end and, by a key, a twentieth of its play to the right; undo is one step."""
    page.lists["crop"].activated.emit(page.lists["crop"].findData("1:1"))
    settle(window, qtbot)
    drawing = page.drawing
    assert drawing.drawn is not None and drawing.drawn.framing.printed == (20, 0, 100, 80)
    box = drawing._picture_box(drawing.drawn)
    start = QPoint(round(box.center().x()), round(box.center().y()))
    QTest.mousePress(drawing, Qt.MouseButton.LeftButton, pos=start)
    for step in (20, 60, 200):
        QTest.mouseMove(drawing, start - QPoint(step, 0))
    QTest.mouseRelease(drawing, Qt.MouseButton.LeftButton, pos=start)
    settle(window, qtbot)
    assert window.session.setting.crop_place == 0.0
    assert window.session.photograph.origin == (0, 0)
    QTest.keyClick(drawing, Qt.Key.Key_Right)
    settle(window, qtbot)
    assert window.session.setting.crop_place == pytest.approx(0.05)
    assert "5 % from its beginning" in window.sentence.text()
    window.session.run("undo")
    assert window.session.setting.crop_place in (0.0, 0.5)  # a drag is one step


def test_the_drawing_shows_what_is_cut_and_what_is_mirrored(
    window: MainWindow, page: OrderPage, qtbot
) -> None:
    """What is cropped away is darkened; a black edge is black, a mirrored one is not."""
    window.session.change(crop="1:1", size_mm=(300.0, 300.0), edge="black")
    settle(window, qtbot)
    drawing = page.drawing
    black = pixels(drawing)
    window.session.change(edge="mirrored")
    settle(window, qtbot)
    mirrored = pixels(drawing)
    assert drawing.drawn is not None
    sheet, picture = drawing._sheet_box(drawing.drawn), drawing._picture_box(drawing.drawn)
    at = (round(sheet.center().y()), round(sheet.left() + 6))
    assert black[at].max() < 60 < int(mirrored[at].max())
    y = round(picture.top() + 0.5 * picture.height())
    cut, kept = (
        mirrored[y, round(picture.left() + share * picture.width())].astype(int)
        for share in (0.1, 0.3)
    )
    assert cut.max() < 110 < kept.max()


def test_the_file_is_written_and_its_check_is_shown(
    window: MainWindow, page: OrderPage, tmp_path: Path, qtbot, monkeypatch
) -> None:
    """The dialog proposes the name of the pattern; two libraries read back what was cropped."""
    window.session.change(crop="1:1", size_mm=(80.0, 80.0))
    page.kind.activated.emit(page.kind.findData("TIFF"))
    page.space.activated.emit(page.space.findData("srgb"))
    settle(window, qtbot)
    assert page.name.text() == "ramp_8x8cm_smooth-matte.tif"
    asked: list[QFileDialog] = []
    monkeypatch.setattr(QFileDialog, "open", lambda dialog: asked.append(dialog))
    QTest.mouseClick(page.write_button, Qt.MouseButton.LeftButton)
    assert [Path(name).name for name in asked[0].selectedFiles()] == [page.name.text()]
    target = tmp_path / "out.tif"
    asked[0].fileSelected.emit(str(target))
    settle(window, qtbot)
    assert window.notice.sentence == "Written: out.tif."
    assert page.told_written.visibleRegion().boundingRect().height() > 40  # it came into sight
    assert "every pixel is the one that was written" in page.told_written.text()
    with Image.open(window.session.setting.photograph) as image:
        wanted = np.asarray(image)[:, 20:100]
    assert (wanted == tifffile.imread(target) // 257).all()
    with Image.open(target) as written:
        assert float(written.info["dpi"][0]) == pytest.approx(25.4, rel=1e-4)  # 80 px on 8 cm


def test_a_pattern_without_sense_is_not_kept(
    window: MainWindow, page: OrderPage, make_window, qtbot
) -> None:
    """The next window begins with the last one that names a file."""
    for pattern in ("{name} for the lab", "{nome}"):
        page.pattern.setText(pattern)
        page.pattern.textEdited.emit(pattern)
    later = make_window(window.session.setting)
    settle(later, qtbot)
    later.session.run("order")
    assert later.dialogs.order.pattern.text() == "{name} for the lab"


def test_a_pattern_without_sense_and_a_file_that_cannot_be(
    window: MainWindow, page: OrderPage, tmp_path: Path, qtbot
) -> None:
    """Said where the name stands, and in the bar; the next one is written all the same."""
    page.pattern.setText("{nome}")
    page.pattern.textEdited.emit("{nome}")
    assert "there is no field {nome}" in page.name.text().replace("There", "there")
    desk = window.session.desk
    desk.write(str(tmp_path / "none" / "a.tif"))
    settle(window, qtbot)
    assert "a.tif" in window.notice.sentence and desk.share_done is None
    desk.write(str(tmp_path / "b.jpg"))
    settle(window, qtbot)
    with Image.open(tmp_path / "b.jpg") as image:
        assert image.size == (120, 80)


def test_a_wish_is_kept_and_a_broken_one_left() -> None:
    wish = Wish("JPEG", "srgb", True, "{name}")
    assert wish == Wish.from_json(wish.to_json())
    for broken in ("", "{}x", '{"kind": "BMP"}', '{"space": 3}', "[1]"):
        assert Wish() == Wish.from_json(broken)


def test_strip_and_sheet_are_written_while_the_window_goes_on(
    window: MainWindow, page: OrderPage, tmp_path: Path, qtbot, monkeypatch
) -> None:
    """Both by the page's buttons, one after the other; the print may be another one meanwhile."""
    asked: list[QFileDialog] = []
    monkeypatch.setattr(QFileDialog, "open", lambda dialog: asked.append(dialog))
    window.session.change(size_mm=(60.0, 40.0))
    settle(window, qtbot)
    for button in page.others:
        QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    strip, sheet = tmp_path / "strip.tif", tmp_path / "sheet.pdf"
    asked[0].fileSelected.emit(str(strip))
    asked[1].fileSelected.emit(str(sheet))
    window.session.change(stock="canvas")
    settle(window, qtbot)
    with tifffile.TiffFile(strip) as file:
        across = file.pages[0].tags["XResolution"].value
        assert across[0] / across[1] == pytest.approx(50.8, rel=1e-3)  # 120 px on 6 cm
    text = "".join(one.extract_text() for one in PdfReader(sheet).pages)
    assert "smooth matte" in text and "canvas" not in text.split("Print")[0]
    assert window.session.desk.done.paths == (sheet,)


def test_what_is_written_can_be_stopped(
    window: MainWindow, page: OrderPage, tmp_path: Path, qtbot
) -> None:
    """Nothing is left behind, and the bar says so."""
    assert not page.stop_button.isVisible()
    window.session.desk.write_strip(str(tmp_path / "strip.tif"))
    assert window.session.busy
    assert page.stop_button.isVisible()
    page.stop_button.click()
    settle(window, qtbot)
    assert list(tmp_path.iterdir()) == []
    assert "is not written" in window.notice.sentence
