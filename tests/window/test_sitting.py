"""From one sitting to the next, as a person goes through it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QInputDialog, QPushButton

from app.dialogs import ListPage
from app.main_window import MainWindow
from app.memory import combinations, read_sitting, write_sitting
from app.state import Setting
from app.window import sitting_of, take_up
from tests.window.conftest import settle

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints")


@pytest.fixture(autouse=True)
def folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in ("XDG_DATA_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / name.lower()))
    return tmp_path


def page() -> ListPage:
    (found,) = [
        w for w in QApplication.topLevelWidgets() if isinstance(w, ListPage) and w.isVisible()
    ]
    return found


def press(window: MainWindow, key: Qt.Key, *held: Qt.KeyboardModifier) -> None:
    keys = Qt.KeyboardModifier.NoModifier
    for each in held:
        keys |= each
    QTest.keyClick(window.windowHandle(), key, keys)


@pytest.mark.with_findings
@pytest.mark.usefixtures("kept_proofs")
def test_the_next_window_is_as_the_last_one_was(make_window, ramp: Path, qtbot) -> None:
    """Stock, light, kept print, hidden findings, size and place, and the list of pictures."""
    first = make_window(Setting(photograph=str(ramp)))
    settle(first, qtbot)
    first.session.change(stock="gloss", light="A")
    first.session.run("keep_print")
    first.session.change(stock="canvas")
    first.session.run("toggle_findings")
    first.resize(700, 600)
    settle(first, qtbot)
    write_sitting(sitting_of(first))
    sentence = first.sentence.accessibleDescription()
    first.close()
    last = read_sitting()
    then = make_window(last.begun_with(Setting(), ""))
    take_up(then, last)
    settle(then, qtbot)
    assert then.session.setting == first.session.setting
    assert then.size() == first.size()
    assert then.session.beside.kept is not None
    assert then.session.beside.kept.setting.stock == "gloss"
    assert "gloss" in then.pair.photograph.caption
    assert not then.findings.isVisible()
    assert then.session.pictures == (str(ramp),)
    assert then.sentence.accessibleDescription() == sentence
    then.session.run("undo")
    assert then.session.setting.stock == "gloss"


def test_pictures_stand_again_as_they_stood(make_window, ramp: Path, qtbot) -> None:
    """One above the other, as near, with the pins and the strength of the marks."""
    first = make_window(Setting(photograph=str(ramp)))
    settle(first, qtbot)
    first.session.run("stand_above")
    first.session.run("pixel_for_pixel")
    first.session.probe(20.0, 20.0)
    first.session.run("pin_probe")
    first.session.losses.strengthen(0.4)
    settle(first, qtbot)
    write_sitting(sitting_of(first))
    first.close()
    last = read_sitting()
    then = make_window(last.begun_with(Setting(), ""))
    take_up(then, last)
    settle(then, qtbot)
    assert then.pair.print.y() > then.pair.photograph.y()
    assert then.pair.photograph.caption.startswith("Photograph   1 : 1")
    assert len(then.pin_table.sentences) == 1
    assert then.marks.strength.value() == first.marks.strength.value() == 8  # of 20


def test_one_name_that_leads_nowhere_takes_no_other_setting_with_it(
    make_window, ramp: Path, tmp_path: Path, qtbot
) -> None:
    """A profile that has gone since is told; room, screen and size stay."""
    gone = Setting(
        photograph=str(ramp), stock=str(tmp_path / "gone.icc"), illuminance=80.0, light="A",
        screen_luminance_cd_m2=95.0, size_mm=(600.0, 400.0),
    )  # fmt: skip
    window = make_window(gone)
    settle(window, qtbot)
    assert "gone.icc" in window.notice.sentence
    said = window.sentence.accessibleDescription()
    for words in ("smooth matte", "80 lx", "95 cd/m²", "60 × 40 cm"):
        assert words in said


def test_a_picture_opened_lately_is_found_by_typing(window, tmp_path: Path, ramp, qtbot) -> None:
    for name in ("birch.png", "alder.png", "rowan.png", "aspen.png"):
        Image.fromarray(np.full((20, 30, 3), 99, np.uint8)).save(tmp_path / name)
        window.session.open(str(tmp_path / name))
        settle(window, qtbot)
    press(window, Qt.Key.Key_L, Qt.KeyboardModifier.ControlModifier)
    shown = page()
    QTest.keyClicks(shown.list.filter, "ald")
    QTest.keyClick(shown.list.filter, Qt.Key.Key_Return)
    settle(window, qtbot)
    assert window.windowTitle() == "alder.png – stocklight"
    assert Path(window.session.setting.photograph).name == "alder.png"
    assert [Path(p).name for p in window.session.pictures][:2] == ["alder.png", "aspen.png"]


def test_a_combination_is_named_seen_and_hung(window, ramp, qtbot) -> None:
    """Named with the keyboard, seen in the sentence while one goes through the list, taken back by
    Escape, hung by Enter, and one undo takes it back."""
    session = window.session
    session.change(stock="canvas", illuminance=80.0)
    press(
        window, Qt.Key.Key_K, Qt.KeyboardModifier.ControlModifier,
        Qt.KeyboardModifier.ShiftModifier,
    )  # fmt: skip
    dialog = next(
        w for w in QApplication.topLevelWidgets() if isinstance(w, QInputDialog) and w.isVisible()
    )
    dialog.setTextValue("Library hall, north wall")
    dialog.accept()
    QApplication.processEvents()
    assert [c.name for c in combinations()] == ["Library hall, north wall"]
    session.change(stock="gloss", illuminance=500.0)
    settle(window, qtbot)
    session.run("open_combination")
    rows = page().list
    rows.view.setCurrentIndex(rows.view.model().index(0, 0))
    QTest.qWait(0)
    assert session.setting.stock == "canvas"
    QTest.keyClick(page(), Qt.Key.Key_Escape)
    assert session.setting.stock == "gloss"
    QApplication.processEvents()
    session.run("open_combination")
    rows = page().list
    rows.view.setCurrentIndex(rows.view.model().index(0, 0))
    QTest.keyClick(rows.view, Qt.Key.Key_Return)
    settle(window, qtbot)
    assert (session.state.setting.stock, session.state.setting.illuminance) == ("canvas", 80.0)
    assert session.state.setting.photograph == str(ramp)
    session.run("undo")
    assert session.state.setting.stock == "gloss"


@pytest.mark.with_findings
@pytest.mark.usefixtures("kept_proofs")
def test_a_named_combination_is_forgotten_and_its_file_kept(window, folders: Path, qtbot) -> None:
    """By the button below the list, which is there for those with a name only."""
    window.session.change(stock="gloss")
    settle(window, qtbot)
    window.dialogs.name_combination("Library hall")
    window.session.change(stock="canvas")
    settle(window, qtbot)
    press(window, Qt.Key.Key_K, Qt.KeyboardModifier.ControlModifier)
    (button,) = [b for b in page().findChildren(QPushButton) if b.text() == "Forget it"]
    page().list.show_value(page().list._choices[-1].value)
    assert not button.isEnabled()
    page().list.show_value(page().list._choices[0].value)
    assert button.isEnabled()
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    assert combinations() == ()
    assert "Library hall is forgotten" in window.notice.sentence
    (kept,) = folders.rglob("*.forgotten")
    assert "gloss" in kept.read_text()
    settle(window, qtbot)
    assert window.sentence.phrase("stock").text() == "canvas"
