"""Every command and every setting, one after the other, in a real window."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest
from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QApplication, QDialog

from app.main_window import MainWindow
from app.state import COMMANDS, ROWS, Setting
from tests.app.other_values import OTHER_VALUES
from tests.window.conftest import PATIENCE_MS, settle

# The in-memory platform says of dialogs that it cannot pass hints on to a desktop.
pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints", "This plugin does not support raise")


@pytest.fixture(autouse=True)
def folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("XDG_DATA_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(name, str(tmp_path))


BEFORE = {
    "redo": ("undo",),
    "next_picture": ("whole_picture",),
    "next_finding": ("whole_picture",),
    "leave_finding": ("next_finding",),
    **{f"pan_{side}": ("nearer",) * 3 for side in ("left", "right", "up", "down")},
    "farther": ("nearer",),
    "without_corrections": ("more_lift",),
    "unpin_all": ("pin_probe",),
    "stand_beside": ("stand_above",),
    "line_left": ("stand_divided",),
    "line_right": ("stand_divided",),
}
"""What makes a command possible."""


def put_dialogs_away() -> None:
    for widget in QApplication.topLevelWidgets():
        if isinstance(widget, QDialog) and widget.isVisible():
            widget.reject()
    QApplication.processEvents()


@pytest.mark.with_findings
@pytest.mark.usefixtures("kept_proofs")
def test_every_command_runs_in_the_window_and_leaves_it_well(
    window: MainWindow, ramp: Path, qtbot
) -> None:
    """Each from its menu, twice; what opens can be put away, nothing goes wrong inside the program,
    and the print still hangs there. The last one ends the window."""
    session = window.session
    other = ramp.with_name("other.png")
    other.write_bytes(ramp.read_bytes())
    session.open_all([str(ramp), str(other)])
    settle(window, qtbot)
    session.change(stock="canvas")
    session.change(illuminance=20.0)
    settle(window, qtbot)
    session.run("keep_print")
    commands = [command for command in COMMANDS if command.id != "quit"]
    ran = set()
    for command in commands:
        for before in BEFORE.get(command.id, ()):
            session.run(before)
            settle(window, qtbot)
        if command.id == "pin_probe":
            session.probe(20.0, 20.0)
        for _ in range(2):
            action = window.menus.actions[command.id]
            if action.isEnabled():
                ran.add(command.id)
                action.trigger()
                QApplication.processEvents()
                put_dialogs_away()
        if window.chooser is not None:
            window.close_chooser()
        QApplication.processEvents()
        assert "inside the program" not in window.notice.sentence, command.id
        assert window.isVisible(), command.id
    settle(window, qtbot)
    assert {command.id for command in commands} == ran
    assert session.baked is not None and session.baked.request.photograph is session.photograph
    assert session.losses.proof is not None
    window.menus.actions["quit"].trigger()
    assert not window.isVisible()


@pytest.mark.with_findings
@pytest.mark.usefixtures("kept_proofs")
def test_every_setting_can_be_changed_and_undone_in_the_window(
    window: MainWindow, qtbot, ramp: Path
) -> None:
    """To another value than the ordinary one: it is worked out, and one undo brings the sentence
    back."""
    for row in ROWS:
        before = window.sentence.accessibleDescription() + window.sentence.accessibleName()
        value = OTHER_VALUES[row.id]
        if row.id == "photograph":
            value = str(ramp.with_name("copy.png"))
            Path(value).write_bytes(ramp.read_bytes())
        elif row.id == "screen_profile":
            value = "system"
        window.session.change(**{row.id: value})
        other_pixels = row.id in ("photograph", "crop")
        if other_pixels:
            settle(window, qtbot)
        else:
            with qtbot.waitSignal(window.session.drawn, timeout=PATIENCE_MS):
                pass
        assert getattr(window.session.state.setting, row.id) == value, row.id
        assert window.notice.sentence == "", row.id
        window.session.run("undo")
        if other_pixels:
            settle(window, qtbot)
        QApplication.processEvents()
        after = window.sentence.accessibleDescription() + window.sentence.accessibleName()
        assert before == after, row.id
    settle(window, qtbot)
    assert window.session.losses.proof is not None


@pytest.mark.with_findings
@pytest.mark.usefixtures("kept_proofs")
def test_a_window_leaves_no_thread_and_no_timer(make_window, ramp: Path, qtbot) -> None:
    """With its pages open, its pictures apart, a file watched and the next one read ahead."""
    window = make_window(Setting(photograph=str(ramp)))
    copy = ramp.with_name("next.png")
    copy.write_bytes(ramp.read_bytes())
    window.session.open_all([str(ramp), str(copy)])
    settle(window, qtbot)
    for id in ("show_tones", "help", "pair_apart", "walk", "stand_stocks"):
        window.session.run(id)
    settle(window, qtbot)
    timers = window.session.findChildren(QTimer)
    threads = {thread.name for thread in threading.enumerate()}
    assert any("stocklight" in name for name in threads)
    window.close()
    QApplication.processEvents()
    assert not any("stocklight" in thread.name for thread in threading.enumerate())
    left = [timer for timer in timers if timer.isActive()]
    left += [
        timer
        for top in QApplication.topLevelWidgets()
        for timer in top.findChildren(QTimer)
        if timer.isActive() and timer.parent() is not None and _is_ours(timer.parent())
    ]
    assert left == []


def _is_ours(thing: QObject | None) -> bool:
    return thing is not None and type(thing).__module__.startswith("app.")
