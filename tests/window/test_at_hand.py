"""The page of the pictures at hand, each with what it loses."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.command_line import main
from app.main_window import MainWindow
from app.panels.at_hand_page import AtHandPage
from app.session import Session
from app.state import Setting
from app.verdicts import THUMBNAIL
from proofing.findings.kinds import Kind
from proofing.ordering import first_look as engine_side
from proofing.ordering.first_look import FirstLook, look_in_words
from tests.window.conftest import PATIENCE_MS, settle

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints", "This plugin does not support raise")
ROOM = {"stock": "canvas", "black_point_compensation": False}
SHARE_WITHIN = 0.005
"""A picture that is looked at whole: the table is one for its own colours alone."""


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing that the window looks for at rest: what the page works out is under test."""
    monkeypatch.setattr(Session, "refine", lambda session: session.worker.drop())


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Dark folds, a plain grey, and a file that is none."""
    made = tmp_path / "pictures"
    made.mkdir()
    y, x = np.mgrid[0:240, 0:360]
    folds = 6 + 5 * np.sin(x / 6.0) + y / 60
    Image.fromarray(np.repeat(folds[..., None], 3, 2).astype(np.uint8)).save(made / "b dark.png")
    Image.fromarray(np.full((240, 360, 3), 128, np.uint8)).save(made / "a grey.png")
    (made / "c broken.png").write_bytes(b"nothing")
    return made


@pytest.fixture
def window(make_window, folder: Path, qtbot) -> MainWindow:
    made: MainWindow = make_window(Setting(**ROOM))
    qtbot.waitUntil(lambda: made.session.tools is not None, timeout=PATIENCE_MS)
    made.open_dropped(str(folder))
    settle(made, qtbot)
    return made


@pytest.fixture
def page(window: MainWindow, qtbot) -> AtHandPage:
    window.session.run("show_at_hand")
    found = window.dialogs.at_hand
    assert found is not None and found.isVisible()
    done(window, qtbot)
    return found


def done(window: MainWindow, qtbot) -> None:
    verdicts = window.session.verdicts
    qtbot.waitUntil(lambda: verdicts.fresh == len(verdicts.all), timeout=PATIENCE_MS)
    settle(window, qtbot)


def rows(page: AtHandPage) -> list[str]:
    return [page.list.item(row).text() for row in range(page.list.count())]


def test_verdicts_are_those_of_the_inspection(
    window: MainWindow, page, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Shares as `stocklight inspect --json` has them; a broken file says what is the matter."""
    grey, dark, broken = window.session.verdicts.all
    words = ["inspect", str(folder / "a grey.png"), str(folder / "b dark.png"), "--json"]
    assert main([*words, "--stock", "canvas", "--no-black-point-compensation"]) == 0
    for verdict, report in zip((grey, dark), json.loads(capsys.readouterr().out), strict=True):
        shares = {each["kind"]: each["share"] for each in report["marks"]}
        for kind in (Kind.BLOCKED_SHADOWS, Kind.FLATTENED_COLOUR, Kind.OUT_OF_GAMUT):
            assert verdict.look.shares[kind] == pytest.approx(shares[kind.value], abs=SHARE_WITHIN)
    assert dark.look.shares[Kind.BLOCKED_SHADOWS] > 0.05
    assert "blocked" in rows(page)[1] and "nothing lost" in rows(page)[0].lower()
    assert broken.look is None and "c broken.png" in broken.error.lower()
    assert "sRGB" in grey.note  # it has no profile
    assert window.notice.sentence == ""


def test_what_needs_a_look_comes_first_and_enter_goes_there(
    window: MainWindow, page, folder: Path, qtbot
) -> None:
    """One step of the history; the sign moves with it."""
    assert [row.split(",")[0] for row in rows(page)] == [
        "a grey.png", "b dark.png", "c broken.png",
    ]  # fmt: skip
    assert "in front" in rows(page)[0]
    page.by_need.click()
    assert [row.split(",")[0] for row in rows(page)] == [
        "c broken.png", "b dark.png", "a grey.png",
    ]  # fmt: skip
    page.list.setFocus()
    page.list.setCurrentRow(2)
    QTest.keyClick(page.list, Qt.Key.Key_Up)
    QTest.keyClick(page.list, Qt.Key.Key_Return)
    settle(window, qtbot)
    assert window.session.photograph.name == "b dark.png"
    assert "in front" in rows(page)[1]
    QTest.keyClick(page, Qt.Key.Key_Escape)
    assert not page.isVisible()


def test_another_stock_is_judged_anew_and_pictures_are_not_kept(
    window: MainWindow, page, qtbot
) -> None:
    """Old verdicts are told apart until then; of a picture a small copy stays."""
    before = window.session.verdicts.all[1]
    window.session.change(stock="gloss", black_point_compensation=True)
    assert window.session.verdicts.is_old(window.session.verdicts.all[1])
    done(window, qtbot)
    after = window.session.verdicts.all[1]
    assert after.look.detail_lost < before.look.detail_lost
    assert max(after.thumbnail.shape[:2]) <= THUMBNAIL
    assert abs(int(window.session.verdicts.all[0].thumbnail.mean()) - 128) <= 1
    window.session.verdicts.watch(False)
    window.session.change(stock="canvas")
    settle(window, qtbot)
    assert window.session.verdicts.all[1] is after


def test_stopped_it_rests_until_the_setting_changes(
    window: MainWindow, qtbot, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked: list[str] = []
    real = engine_side.first_look

    def look(engine, request, cancel=None):
        looked.append(request.photograph.name)
        if len(looked) == 1:
            cancel.wait(60)
        return real(engine, request, cancel)

    monkeypatch.setattr(engine_side, "first_look", look)
    window.session.run("show_at_hand")
    qtbot.waitUntil(lambda: bool(looked), timeout=PATIENCE_MS)
    QTest.keyClick(window.windowHandle(), Qt.Key.Key_B, Qt.KeyboardModifier.ControlModifier)
    settle(window, qtbot)
    assert window.session.verdicts.fresh == 0
    assert window.dialogs.at_hand.heading.text().endswith("Stopped.")
    window.session.change(stock="lustre")
    done(window, qtbot)
    assert window.session.verdicts.fresh == 3


def test_a_verdict_is_short_and_the_worst_comes_first() -> None:
    """Under a thousandth there is nothing worth a word; other colours from 3 % on."""
    shares = dict.fromkeys(Kind, 0.0)
    none = FirstLook(shares, 0.2, 0.0, 1.0)
    assert look_in_words(none) == "nothing lost"
    some = shares | {Kind.BLOCKED_SHADOWS: 0.008, Kind.BLOWN_HIGHLIGHTS: 0.031}
    assert look_in_words(FirstLook(some, 0.0, 0.0, 1.0)) == "3.1 % blown, 0.8 % blocked"
    other = shares | {Kind.OUT_OF_GAMUT: 0.12}
    assert look_in_words(FirstLook(other, 0.0, 0.0, 1.0)) == "no detail lost, 12 % out of gamut"
