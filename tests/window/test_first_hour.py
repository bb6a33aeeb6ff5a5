"""What a person who has never seen the program tries in the first hour."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.dialogs import ListPage
from app.exhibition import exhibition
from app.main_window import MainWindow
from app.panels.why_card import WhyCard
from app.session import Session
from app.state import Setting
from tests.window.conftest import pixels, settle

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints", "This plugin does not support raise")


def press(window: MainWindow, key: Qt.Key, *held: Qt.KeyboardModifier) -> None:
    keys = Qt.KeyboardModifier.NoModifier
    for each in held:
        keys |= each
    QTest.keyClick(QApplication.focusWidget() or window, key, keys)


def choose(window: MainWindow, field: str, typed: str, qtbot) -> None:
    """As with the keyboard: the phrase's key, some letters, Enter."""
    window.session.run(f"choose_{field}")
    QTest.keyClicks(QApplication.focusWidget(), typed)
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    settle(window, qtbot)


@pytest.mark.with_findings
@pytest.mark.usefixtures("kept_proofs")
def test_from_a_picture_to_a_choice_that_is_seen_and_saved(
    make_window, tmp_path: Path, qtbot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Open, matte, what is blocked, the place, baryta, both beside each other, undo, save."""
    loft = next(each for each in exhibition() if Path(each.path).name == "net_loft.jpg")
    window: MainWindow = make_window()
    with monkeypatch.context() as quick:  # what is lost is read later
        quick.setattr(Session, "refine", lambda session: session.worker.drop())
        settle(window, qtbot)
        window.session.open(str(loft.path))
        settle(window, qtbot)
    choose(window, "illuminance", "hallway", qtbot)
    choose(window, "stock", "smooth", qtbot)
    assert "net_loft.jpg on smooth matte" in window.sentence.text()
    assert "shadow detail" in window.findings.verdict.text()
    whole = pixels(window.pair.print)
    press(window, Qt.Key.Key_PageDown)
    settle(window, qtbot)
    assert "shadows is lost" in window.findings.rows[0].accessibleName()
    assert not np.array_equal(pixels(window.pair.print), whole)
    monkeypatch.setattr(Session, "refine", lambda session: session.worker.drop())
    window.session.run("keep_print")
    choose(window, "stock", "baryta", qtbot)
    assert "smooth matte" in window.pair.photograph.caption
    assert window.pair.print.caption == "Print   baryta"
    window.session.run("undo")
    settle(window, qtbot)
    assert "on smooth matte" in window.sentence.text()
    window.session.run("redo")
    settle(window, qtbot)
    window.session.save_pair(str(tmp_path / "loft.png"))
    settle(window, qtbot)
    assert window.notice.sentence == "Saved: loft.png."
    with Image.open(tmp_path / "loft.png") as image:
        assert image.width > 1000
        assert image.info["icc_profile"]


def test_enter_goes_on_with_the_walk(window: MainWindow, qtbot) -> None:
    """The card's button has the keyboard; at the end the whole picture is there again."""
    window.session.run("walk")
    for step in range(1, 6):
        press(window, Qt.Key.Key_Return)
        assert window.session.state.view.walk == step
    press(window, Qt.Key.Key_Return)
    settle(window, qtbot)
    assert not window.walk.isVisible()
    assert window.session.state.view.finding is None
    assert window.session.state.view.zoom is None


def test_keys_of_the_pictures_work_from_a_phrase(window: MainWindow, qtbot) -> None:
    """Home, Ins and Del; in a field that is typed in they are the field's own."""
    window.session.run("pixel_for_pixel")
    window.session.probe(20.0, 20.0)
    settle(window, qtbot)
    window.sentence.phrase("stock").setFocus()
    press(window, Qt.Key.Key_Insert)
    settle(window, qtbot)
    assert len(window.pin_table.sentences) == 1
    press(window, Qt.Key.Key_Home)
    assert window.session.state.view.zoom is None
    press(window, Qt.Key.Key_Delete)
    assert window.pin_table.sentences == ()


def test_escape_leaves_a_place(window: MainWindow, qtbot) -> None:
    window.session.change(stock="canvas")
    settle(window, qtbot)
    press(window, Qt.Key.Key_PageDown)
    assert window.session.state.view.finding == 0
    window.pair.print.setFocus()
    press(window, Qt.Key.Key_Escape)
    settle(window, qtbot)
    assert window.session.state.view.finding is None


def test_a_why_goes_when_the_print_it_told_of_has_gone(window: MainWindow, qtbot) -> None:
    window.findings.whys[0].click()
    assert [card for card in window.findChildren(WhyCard) if card.isVisible()]
    window.session.change(stock="gloss")
    settle(window, qtbot)
    assert not [card for card in window.findChildren(WhyCard) if card.isVisible()]


@pytest.mark.parametrize(
    ("typed", "title"),
    [
        ("zoom", "Nearer"),
        ("compare two papers", "The print on up to nine stocks"),
        ("lift shadows", "Lift the shadows as this print needs"),
    ],
)
def test_commands_are_found_by_everyday_words(
    window: MainWindow, typed: str, title: str, qtbot
) -> None:
    """Most of the words do; small ones are passed over."""
    window.session.run("find_command")
    (page,) = [
        w for w in QApplication.topLevelWidgets() if isinstance(w, ListPage) and w.isVisible()
    ]
    QTest.keyClicks(page.list.filter, typed)
    model = page.list.view.model()
    names = [model.index(row, 0).data() for row in range(model.rowCount())]
    page.reject()
    assert title in names
    assert len(names) < 8


def test_a_size_is_typed_at_once(window: MainWindow, qtbot) -> None:
    """As the command line takes it, and in inches where these are shown; what cannot be leaves no
    other numbers beside it."""
    for inches, typed, expected in (
        (False, "60x40cm", "60 × 40 cm"),
        (False, "30 x 20", "30 × 20 cm"),
        (True, "12x8", "12 × 8 in"),
    ):
        if inches:
            window.session.run("toggle_units")
        window.open_chooser("size_mm")
        field = window.chooser.fields["size_mm"]
        field.width_edit.selectAll()
        QTest.keyClicks(field.width_edit, typed)
        QTest.keyClick(field.width_edit, Qt.Key.Key_Return)
        settle(window, qtbot)
        assert window.sentence.phrase("size_mm").text() == expected
    window.open_chooser("size_mm")
    field = window.chooser.fields["size_mm"]
    field.width_edit.selectAll()
    QTest.keyClicks(field.width_edit, "99999999")
    assert "choose sides" in field._told.text().lower()
    assert field._ppi.text() == ""


def test_a_mark_key_keeps_what_is_seen_in_a_chooser(window: MainWindow, qtbot) -> None:
    window.open_chooser("stock")
    QTest.keyClicks(QApplication.focusWidget(), "canvas")
    settle(window, qtbot)
    window.menus.actions["mark_blocked_shadows"].trigger()
    settle(window, qtbot)
    assert window.sentence.phrase("stock").text() == "canvas"


def test_a_sheet_has_the_room_of_the_findings(window: MainWindow, qtbot) -> None:
    before = window.pair.height()
    window.session.run("stand_stocks")
    settle(window, qtbot)
    assert window.pair.height() > 1.3 * before
    window.session.run("stand_beside")
    settle(window, qtbot)
    assert window.pair.height() == before
    assert window.pair.isAncestorOf(QApplication.focusWidget())


def test_a_stock_that_has_gone_stops_no_other_on_the_sheet(
    window: MainWindow, tmp_path: Path, qtbot
) -> None:
    """Its place says that it cannot be printed; those after it are there."""
    record = Path(__file__).parents[2] / "resources" / "stocks" / "canvas.toml"
    for name in ("own one", "own two"):
        text = record.read_text(encoding="utf-8").replace('name = "canvas"', f'name = "{name}"')
        (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
        window.session.use_stock_file(str(tmp_path / f"{name}.toml"))
        settle(window, qtbot)
    window.session.change(stock="gloss")
    settle(window, qtbot)
    (tmp_path / "own one.toml").unlink()
    window.session.run("stand_stocks")
    settle(window, qtbot)
    captions = [cell.caption for cell in window.pair.sheet.cells if cell.isVisible()]
    (gone,) = [caption for caption in captions if "own one" in caption]
    assert "cannot be printed" in gone
    assert not [caption for caption in captions if "printing…" in caption]


def test_the_desktop_may_fill_the_screen_with_the_window(window: MainWindow, qtbot) -> None:
    """And take it back: the program follows, and does not fight it."""
    window.showFullScreen()
    QApplication.processEvents()
    window.session.change(stock="gloss")
    settle(window, qtbot)
    assert window.isFullScreen()
    window.showNormal()
    QApplication.processEvents()
    window.session.change(stock="canvas")
    settle(window, qtbot)
    assert not window.isFullScreen()


def test_tab_goes_through_the_sentence_as_it_is_read(window: MainWindow) -> None:
    """From the print to the photograph's name, and on to the last phrase."""
    window.pair.print.setFocus()
    keys, found = window.sentence.keys(), []
    for _ in keys:
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
        found.append(QApplication.focusWidget())
    assert found == [window.sentence.phrase(key) for key in keys]


def test_a_broken_profile_among_the_users_stocks_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot, ramp: Path
) -> None:
    """In the bar, when the window opens."""
    from app.session import Session

    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    folder = tmp_path / "stocklight" / "stocks"
    folder.mkdir(parents=True)
    (folder / "lab.icc").write_bytes(b"nothing")
    window = MainWindow(Session(Setting(photograph=str(ramp))))
    qtbot.addWidget(window)
    window.show()
    window.session.start()
    settle(window, qtbot)
    assert "lab.icc" in window.notice.sentence
    window.close()
