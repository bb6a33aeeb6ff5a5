"""Several pictures at hand, pasted ones, and files that change while they are shown."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import QMimeData, Qt, QUrl
from PySide6.QtGui import QColor, QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.main_window import MainWindow
from app.shelf import MOST_AHEAD, pictures_in
from tests.window.conftest import PATIENCE_MS, pixels, settle

GREYS = (60, 120, 180, 220)


@pytest.fixture
def rows(tmp_path: Path) -> list[str]:
    """Four plain greys of different lightness, by name."""
    folder = tmp_path / "rows"
    folder.mkdir()
    paths = []
    for number, grey in enumerate(GREYS):
        paths.append(str(folder / f"row {number}.png"))
        Image.fromarray(np.full((40, 60, 3), grey, np.uint8)).save(paths[-1])
    (folder / "notes.txt").write_text("no picture")
    return paths


@pytest.fixture(autouse=True)
def clipboard_cleared(qapp: QApplication) -> Iterator[None]:
    """What a test has copied must not outlive the interpreter that made it."""
    yield
    QApplication.clipboard().clear()


def shown(window: MainWindow) -> int:
    """The grey in the middle of the photograph's pane."""
    picture = pixels(window.pair.photograph)
    return int(picture[picture.shape[0] // 2, picture.shape[1] // 2, 1])


def press(window: MainWindow, key: Qt.Key, held: Qt.KeyboardModifier) -> None:
    QTest.keyClick(window.windowHandle(), key, held)


def test_a_folder_is_gone_through_by_keys(window: MainWindow, rows: list[str], qtbot) -> None:
    """Its pictures by name; the last is followed by the first; the caption says which it is."""
    window.open_dropped(str(Path(rows[0]).parent))
    settle(window, qtbot)
    alt = Qt.KeyboardModifier.AltModifier
    seen = [shown(window)]
    assert window.pair.photograph.caption.startswith("Photograph   1 of 4")
    for _ in range(4):
        press(window, Qt.Key.Key_PageDown, alt)
        settle(window, qtbot)
        seen.append(shown(window))
    np.testing.assert_allclose((*GREYS, GREYS[0]), seen, atol=1)
    press(window, Qt.Key.Key_PageUp, alt)
    settle(window, qtbot)
    assert abs(GREYS[-1] - shown(window)) <= 1
    assert window.sentence.phrase("photograph").text() == "row 3.png"


def test_the_next_picture_is_read_while_one_looks(window, rows, qtbot, monkeypatch) -> None:
    """Going on reads nothing more; what is held ready stays small."""
    window.session.open_all(rows)
    settle(window, qtbot)
    assert rows[1] in window.session.shelf.ready
    read_again: list[str] = []
    monkeypatch.setattr("app.shelf.read", lambda path: read_again.append(path))
    window.session.run("next_picture")
    with qtbot.waitSignal(window.session.drawn, timeout=PATIENCE_MS):
        pass
    assert window.session.photograph.name == "row 1.png"
    assert rows[1] not in read_again
    monkeypatch.undo()
    settle(window, qtbot)
    assert len(window.session.shelf.ready) <= MOST_AHEAD


def test_a_picture_that_has_changed_meanwhile_is_not_taken_from_the_shelf(
    window, rows, qtbot
) -> None:
    window.session.open_all(rows[:2])
    settle(window, qtbot)
    Image.fromarray(np.full((40, 60, 3), 90, np.uint8)).save(rows[1], compress_level=0)
    window.session.run("next_picture")
    settle(window, qtbot)
    assert abs(90 - shown(window)) <= 1


def test_one_that_cannot_be_read_is_told_when_one_gets_there(window, rows, qtbot) -> None:
    """Not ahead of time; the picture before stays in sight."""
    Path(rows[1]).write_bytes(b"nothing")
    window.session.open_all(rows[:2])
    settle(window, qtbot)
    assert window.notice.sentence == ""
    window.session.run("next_picture")
    settle(window, qtbot)
    assert "row 1.png" in window.notice.sentence.lower()
    assert abs(GREYS[0] - shown(window)) <= 1
    assert window.sentence.phrase("photograph").text() == "row 0.png"


def test_no_undo_leads_to_a_picture_that_cannot_be_read(window, rows, qtbot) -> None:
    """The step to it is no step: what was done before can all be undone, and the next picture is
    the one after it."""
    Path(rows[1]).write_bytes(b"nothing")
    window.session.open_all(rows[:3])
    settle(window, qtbot)
    window.session.change(stock="gloss")
    window.session.run("next_picture")
    settle(window, qtbot)
    assert "row 1.png" in window.notice.sentence.lower()
    window.session.run("undo")
    settle(window, qtbot)
    assert window.sentence.phrase("stock").text() == "smooth matte"
    assert window.sentence.phrase("photograph").text() == "row 0.png"
    window.session.run("redo")
    window.session.run("next_picture")
    settle(window, qtbot)
    assert window.sentence.phrase("photograph").text() == "row 2.png"
    assert abs(GREYS[2] - shown(window)) <= 1


def test_pictures_too_large_to_wait_are_read_once(window, rows, qtbot, monkeypatch) -> None:
    """Ahead of time, and not again and again."""
    read = []
    monkeypatch.setattr("app.shelf.MOST_BYTES", 1)
    window.session.answer_with(
        "ahead", lambda found: (read.append(1), window.session.shelf._keep(found))
    )
    window.session.open_all(rows[:2])
    settle(window, qtbot)
    settle(window, qtbot)
    assert len(read) <= 1


def test_a_file_saved_anew_is_offered_and_read(window, rows, qtbot) -> None:
    """By a program that puts another file in its place; where one has been looking stays."""
    window.session.open(rows[0])
    settle(window, qtbot)
    window.session.run("pixel_for_pixel")
    settle(window, qtbot)
    Path(rows[0]).unlink()
    fresh = Path(rows[0]).with_name("fresh.part")
    Image.fromarray(np.full((40, 60, 3), 200, np.uint8)).save(fresh, format="PNG")
    with qtbot.waitSignal(window.session.offered, timeout=PATIENCE_MS):
        fresh.rename(rows[0])
    assert "saved anew" in window.notice.sentence
    assert abs(GREYS[0] - shown(window)) <= 1
    QTest.mouseClick(window.notice.follow_button, Qt.MouseButton.LeftButton)
    settle(window, qtbot)
    assert abs(200 - shown(window)) <= 1
    assert window.notice.sentence == ""
    assert window.session.state.view.zoom == 1.0


def test_a_file_that_is_gone_is_told_and_stays_in_sight(window, rows, qtbot) -> None:
    window.session.open(rows[0])
    settle(window, qtbot)
    with qtbot.waitSignal(window.session.failed, timeout=PATIENCE_MS):
        Path(rows[0]).unlink()
    assert "gone" in window.notice.sentence
    assert not window.notice.follow_button.isVisible()
    assert abs(GREYS[0] - shown(window)) <= 1


def _files(paths: list[str]) -> QMimeData:
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(path) for path in paths])
    return mime


def _image(paths: list[str]) -> QMimeData:
    image = QImage(60, 40, QImage.Format.Format_RGB32)
    image.fill(QColor(GREYS[0], GREYS[0], GREYS[0]))
    mime = QMimeData()
    mime.setImageData(image)
    return mime


def _png(paths: list[str]) -> QMimeData:
    mime = QMimeData()
    mime.setData("image/png", Path(paths[0]).read_bytes())
    return mime


def _text(paths: list[str]) -> QMimeData:
    mime = QMimeData()
    mime.setText(f"{paths[0]}\n")
    return mime


@pytest.mark.parametrize("copied", [_files, _image, _png, _text])
def test_what_was_copied_is_pasted(
    copied: Callable[[list[str]], QMimeData], window, rows, qtbot, tmp_path, monkeypatch
) -> None:
    """Files, an image, or the name of a file; an image is kept in the user's folder."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    QApplication.clipboard().setMimeData(copied(rows))
    press(window, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    settle(window, qtbot)
    assert abs(GREYS[0] - shown(window)) <= 1
    kept = list((tmp_path / "stocklight").rglob("pasted*.png"))
    assert len(kept) == (copied in (_image, _png))
    if copied is _png:
        assert kept[0].read_bytes() == Path(rows[0]).read_bytes()


def test_nothing_to_paste_is_told(window, qtbot) -> None:
    mime = QMimeData()
    mime.setText("no file of that name")
    QApplication.clipboard().setMimeData(mime)
    press(window, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert "no picture to paste" in window.notice.sentence


def test_a_folder_is_searched_for_pictures_only(rows: list[str], tmp_path: Path) -> None:
    """By name, whatever else lies there; a file beside it stays where it was named."""
    assert tuple(rows) == pictures_in([str(Path(rows[0]).parent)])
    assert (rows[2], *rows[:2], rows[3]) == pictures_in([rows[2], str(Path(rows[0]).parent)])
    assert pictures_in([str(tmp_path / "none.png")]) == (str(tmp_path / "none.png"),)
