"""Files chosen in dialogs: what comes of them."""

from __future__ import annotations

from pathlib import Path

import imagecodecs
import numpy as np
import pytest
from PIL import Image, ImageCms
from PySide6.QtCore import QStandardPaths, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QPushButton

from app.dialogs import Dialogs, _memory
from app.exhibition import exhibition
from app.state import Setting
from tests.window.conftest import pixels, settle

# The in-memory platform says at every dialog that it cannot pass size hints on to a desktop.
pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints")


def choose(window, command: str, path: Path) -> None:
    """Run a command and give its file dialog a path."""
    window.session.run(command)
    (dialog,) = (each for each in window.findChildren(QFileDialog) if each.isVisible())
    dialog.fileSelected.emit(str(path))  # as the dialog itself does, one after the other
    dialog.filesSelected.emit([str(path)])
    dialog.close()


def test_a_photograph_is_opened_from_the_menu(window, tmp_path, qtbot):
    """The command asks, the file is shown."""
    path = tmp_path / "sky.png"
    Image.fromarray(np.full((40, 60, 3), (90, 120, 180), np.uint8)).save(path)
    choose(window, "open_photograph", path)
    settle(window, qtbot)
    assert window.sentence.phrase("photograph").text() == "sky.png"
    middle = window.pair.photograph.height() // 2, window.pair.photograph.width() // 2
    shown = pixels(window.pair.photograph)[middle].astype(int)
    assert np.abs(shown - (90, 120, 180)).max() <= 1


def test_a_demonstration_picture_is_chosen_by_what_it_shows(window, qtbot):
    """The list says what each is there for; Enter opens the one that is found."""
    window.session.run("open_exhibit")
    page = QApplication.activeModalWidget()
    assert len(exhibition()) >= 2
    assert page.list.view.model().rowCount() == len(exhibition())
    QTest.keyClicks(page.list.filter, "fog")
    QTest.keyClick(page.list.filter, Qt.Key.Key_Return)
    assert QApplication.activeModalWidget() is None
    settle(window, qtbot)
    assert window.sentence.phrase("photograph").text() == "fog_slack_water.jpg"


def test_without_the_demonstration_that_is_told(window, monkeypatch):
    """It may not be installed."""
    monkeypatch.setattr("app.dialogs.exhibition", lambda: ())
    window.session.run("open_exhibit")
    assert "not installed" in window.notice.sentence


def test_a_dialog_begins_where_the_last_one_ended(window, tmp_path, qtbot, monkeypatch):
    """First in the folder of pictures and not in the demonstration; then where a file was chosen,
    in the next sitting, too."""
    pictures = tmp_path / "pictures"
    pictures.mkdir()
    monkeypatch.setattr(QStandardPaths, "writableLocation", lambda _: str(pictures))
    _memory().clear()
    window.session.open(str(exhibition()[0].path))
    settle(window, qtbot)
    assert window.dialogs._folder() == str(pictures)
    choose(window, "save_setting", tmp_path / "hall")
    assert window.dialogs._folder() == str(tmp_path)
    later = Dialogs(window, window.session, window.menus.shortcuts, window.pair.window)
    assert later._folder() == str(tmp_path)
    _memory().clear()


def test_a_setting_is_saved_and_opened_again(window, tmp_path, qtbot):
    """The suffix is added; opening is one step that undo takes back."""
    window.session.change(stock="canvas", illuminance=80.0)
    saved = window.session.state.setting
    choose(window, "save_setting", tmp_path / "hall")
    assert Setting.from_toml((tmp_path / "hall.toml").read_text(encoding="utf-8")) == saved
    window.session.run("undo")
    now = window.session.state.setting
    choose(window, "open_setting", tmp_path / "hall.toml")
    settle(window, qtbot)
    assert window.session.state.setting == saved
    window.session.run("undo")
    assert window.session.state.setting == now


def test_a_file_that_is_no_setting_is_told(window, tmp_path):
    """In the bar, and nothing changes."""
    before = window.session.state.setting
    path = tmp_path / "other.toml"
    path.write_text("[setting]\nstock = 3\n", encoding="utf-8")
    window.open_dropped(str(path))
    assert window.notice.isVisible()
    assert "other.toml" in window.notice.sentence
    assert before == window.session.state.setting


def test_a_setting_that_cannot_be_written_is_told(window, tmp_path):
    """A folder that is not there."""
    choose(window, "save_setting", tmp_path / "nowhere" / "a.toml")
    assert window.notice.isVisible()
    assert "a.toml" in window.notice.sentence


def test_the_pair_is_saved_with_the_profile_of_the_screen(window, tmp_path, qtbot):
    """A picture file, and in it the profile (ICC.1) that says what its codes mean."""
    choose(window, "save_pair", tmp_path / "pair.png")
    settle(window, qtbot)
    with Image.open(tmp_path / "pair.png") as picture:
        assert picture.size[0] == 2400
        profile = picture.info["icc_profile"]
    assert (
        ImageCms.ImageCmsProfile(__import__("io").BytesIO(profile)).profile.xcolor_space == "RGB "
    )


def test_a_screen_is_taken_from_a_profile(window, tmp_path, qtbot):
    """The photograph's codes change with the screen they are for; a wrong file is refused."""
    before = pixels(window.pair.photograph)
    path = tmp_path / "wide.icc"
    # Primaries of Rec. ITU-R BT.2020-2, table 3; the white is D65.
    wide = imagecodecs.cms_profile(
        "rgb",
        whitepoint=[0.3127, 0.3290, 1.0],
        primaries=[0.708, 0.292, 1.0, 0.170, 0.797, 1.0, 0.131, 0.046, 1.0],
        gamma=2.2,
    )
    path.write_bytes(wide)
    window.open_chooser("screen_profile")
    button = window.chooser.findChild(QPushButton)
    button.click()
    dialog = window.findChild(QFileDialog)
    dialog.fileSelected.emit(str(path))
    dialog.close()
    settle(window, qtbot)
    assert window.notice.sentence == ""
    assert window.session.state.setting.screen_profile == str(path)
    assert "wide.icc" in window.sentence.phrase("screen_profile").text()
    assert np.abs(pixels(window.pair.photograph).astype(int) - before).max() > 20
    path.write_bytes(b"no profile any more")
    window.session.use_screen_file(str(path))
    settle(window, qtbot)
    assert "wide.icc" in window.notice.sentence
