"""The page that compares all stocks, as a person uses it."""

from __future__ import annotations

import csv
import io
import json
import threading
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app import comparing
from app.command_line import main
from app.main_window import MainWindow
from app.panels.stock_table import COLUMNS, rows_of
from app.panels.which_stock_page import WhichStockPage
from app.panels.why_card import WhyCard
from app.session import Session
from app.state import build_request
from proofing.ordering import comparing as engine_side
from proofing.ordering import comparison_words as words
from proofing.ordering.comparing import compare
from proofing.ordering.ranking import Criterion
from tests.window.conftest import PATIENCE_MS, settle

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints", "This plugin does not support raise")
SHIFT_ALT = Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.ShiftModifier
CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch, tools) -> None:
    """A quarter of the nodes a side, the window's engine for the command, too, and nothing that the
    window looks for at rest: the page's own work is under test."""
    monkeypatch.setattr(Session, "refine", lambda session: session.worker.drop())
    monkeypatch.setattr(engine_side, "NODES_RESTING", 17)
    monkeypatch.setattr(comparing, "_engine", lambda: tools.engine)


def done(window: MainWindow, qtbot) -> None:
    qtbot.waitUntil(lambda: window.session.which_stock.is_whole, timeout=PATIENCE_MS)
    settle(window, qtbot)


@pytest.fixture
def page(window: MainWindow, qtbot) -> WhichStockPage:
    QTest.keyClick(window.windowHandle(), Qt.Key.Key_1, SHIFT_ALT)
    found = window.dialogs.which_stock
    assert found is not None and found.isVisible()
    done(window, qtbot)
    return found


def column(page: WhichStockPage, number: int) -> list[str]:
    return [page.table.item(row, number).text() for row in range(page.table.rowCount())]


def names(page: WhichStockPage) -> list[str]:
    return [name.split(",")[0] for name in column(page, 0)]


def test_it_shows_what_the_engine_and_the_command_say(
    window: MainWindow, page, capsys: pytest.CaptureFixture[str]
) -> None:
    """Order, points, values and sentences are those of compare() and of `stocklight compare`."""
    session = window.session
    request = build_request(session.state.setting, session.tools.catalogue, session.photograph)
    told = compare(session.tools.engine, request, session.tools.catalogue.stocks)
    shown = session.which_stock.comparison
    for one, other in zip(told.ranked, shown.ranked, strict=True):
        assert one.stock is other.stock and one.standing is other.standing
        assert one.costs == other.costs and one.score == other.score
    assert names(page) == [result.stock.name for result in told.ranked]
    assert page.heading.text() == words.conclusion(told)[0].replace(" %", "\xa0%")
    contrast = [words.value_in_words(Criterion.CONTRAST, result) for result in told.ranked]
    assert [text.split(",")[0] for text in column(page, 3)] == contrast
    assert main(["compare", session.state.setting.photograph, "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert [stock["stock"] for stock in report["stocks"]] == names(page)
    points = [f"{stock['points']:.1f}" for stock in report["stocks"]]
    assert [text.split(",")[0] for text in column(page, 1)] == points
    said = page.details.gives.text() + page.details.takes.text() + page.details.rest.text()
    for sentence in report["stocks"][0]["sentences"].values():
        assert sentence in said.replace("\xa0", " ")


def test_a_stock_is_taken_by_enter_and_one_undo_brings_the_one_before(
    window: MainWindow, page, qtbot
) -> None:
    """Arrows go through the rows, and the sign of the sentence's stock moves; nothing is measured
    anew, because another stock is no other comparison."""
    before, measured = window.session.state.setting, window.session.which_stock.comparison
    assert "in the sentence now" in column(page, 0)[names(page).index("smooth matte")]
    page.table.setFocus()
    page.table.setCurrentCell(0, 0)
    QTest.keyClick(page.table, Qt.Key.Key_Down)
    wanted = names(page)[1]
    assert page.details.trade.text().lower().startswith(wanted)
    QTest.keyClick(page.table, Qt.Key.Key_Return)
    assert window.session.state.setting == before.change(stock=wanted)
    assert window.session.state.history.past[-1] == before
    assert ["in the sentence now" in name for name in column(page, 0)] == [
        name == wanted for name in names(page)
    ]
    settle(window, qtbot)
    assert window.session.which_stock.comparison is measured and page.isVisible()
    page.activateWindow()
    qtbot.waitUntil(page.isActiveWindow)
    QTest.keyClick(page.windowHandle(), Qt.Key.Key_Z, CONTROL)
    assert window.session.state.setting == before
    settle(window, qtbot)


def test_a_double_click_and_the_button_take_a_stock_too(window: MainWindow, page, qtbot) -> None:
    table = page.table
    for row, act in ((2, "double click"), (3, "button")):
        at = table.visualItemRect(table.item(row, 0)).center()
        QTest.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, pos=at)
        if act == "double click":
            QTest.mouseDClick(table.viewport(), Qt.MouseButton.LeftButton, pos=at)
        else:
            QTest.mouseClick(page.take, Qt.MouseButton.LeftButton)
        assert window.session.state.setting.stock == names(page)[row]
    settle(window, qtbot)


def test_another_room_is_compared_anew_and_the_old_rows_are_told_so(
    window: MainWindow, page, qtbot
) -> None:
    """Once the room rests; the screen is no part of it."""
    before, glare = window.session.which_stock.comparison, column(page, 5)
    window.session.change(screen_luminance_cd_m2=90.0)
    settle(window, qtbot)
    assert window.session.which_stock.comparison is before
    window.session.change(surround="dark", glazing="float glass")
    assert window.session.which_stock.is_old and page.table.is_old
    assert "this is how it was" in page.state.text() and not page.save.isEnabled()
    done(window, qtbot)
    assert window.session.which_stock.comparison is not before
    assert not page.table.is_old and page.state.isHidden()
    assert column(page, 5) != glare


def test_stopped_it_keeps_what_was_measured_and_goes_on_there(
    window: MainWindow, qtbot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ctrl+B after the second stock; the button measures the other four only."""
    measured: list[str] = []
    reached, go_on = threading.Event(), threading.Event()
    real = engine_side.Comparer._measured

    def measure(self, stock, cancel, progress):
        if len(measured) == 2 and not go_on.is_set():
            reached.set()
            go_on.wait(60)
        found = real(self, stock, cancel, progress)
        measured.append(stock.name)
        return found

    monkeypatch.setattr(engine_side.Comparer, "_measured", measure)
    window.session.run("which_stock")
    page = window.dialogs.which_stock
    qtbot.waitUntil(lambda: reached.is_set() and page.table.rowCount() == 2, timeout=PATIENCE_MS)
    assert page.state.text().startswith("2 of 6 stocks measured")
    QTest.keyClick(window.windowHandle(), Qt.Key.Key_B, CONTROL)
    go_on.set()
    settle(window, qtbot)
    assert window.notice.sentence.startswith("Stopped.")
    assert page.state.text().startswith("Stopped.") and page.table.rowCount() == 2
    QTest.mouseClick(page.again, Qt.MouseButton.LeftButton)
    done(window, qtbot)
    assert page.table.rowCount() == 6
    assert sorted(measured) == sorted(set(measured))


def test_nothing_is_compared_when_nobody_looks(window: MainWindow, page, qtbot) -> None:
    """Escape closes it; its key opens it again and then it is up to date."""
    before = window.session.which_stock.comparison
    QTest.keyClick(page, Qt.Key.Key_Escape)
    assert not page.isVisible()
    window.session.change(illuminance=50.0)
    settle(window, qtbot)
    assert window.session.which_stock.comparison is before
    window.session.run("which_stock")
    done(window, qtbot)
    assert window.session.which_stock.comparison is not before
    window.close()
    assert not page.isVisible()


def test_each_number_has_its_why(window: MainWindow, page) -> None:
    for number, ring in page.table.headings.rings.items():
        QTest.mouseClick(ring, Qt.MouseButton.LeftButton)
        (card,) = (each for each in page.findChildren(WhyCard) if each.isVisible())
        assert card.found.id == COLUMNS[number].why and page.rect().contains(card.geometry())
        QTest.keyClick(card.close_button, Qt.Key.Key_Escape)
        assert page.isVisible()


def test_figures_follow_the_decimal_sign_and_files_do_not(
    window: MainWindow, page, qtbot, tmp_path: Path
) -> None:
    """The table as CSV (RFC 4180): what the page shows, with points; a suffix is added."""
    window.session.run("toggle_comma")
    settle(window, qtbot)
    comparison = window.session.which_stock.comparison
    assert column(page, 1)[0].startswith(f"{comparison.ranked[0].score:.1f}".replace(".", ","))
    speaking = rows_of(comparison, None)
    window.dialogs.write_comparison(str(tmp_path / "stocks"))
    assert window.notice.sentence == "Saved: stocks.csv."
    rows = list(csv.DictReader(io.StringIO((tmp_path / "stocks.csv").read_text("utf-8"))))
    assert [row["stock"] for row in rows] == names(page)
    for row, result, cells in zip(rows, comparison.ranked, speaking, strict=True):
        assert float(row["points_of_100"]) == pytest.approx(result.score, abs=0.005)
        assert float(row["contrast_of_picture"]) == pytest.approx(result.contrast.picture, abs=1e-4)
        assert cells[0].value == row["stock"]
    photograph = Path(window.session.state.setting.photograph)
    was = photograph.read_bytes()
    window.dialogs.write_comparison(str(tmp_path / "no folder" / "stocks.csv"))
    assert "no folder" in window.notice.sentence
    assert photograph.read_bytes() == was
