"""A window over the real engine, drawn in memory. Tests wait for signals, never for time."""

from __future__ import annotations

import dataclasses
import gc
import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import QEvent, QSettings
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QWidget

from app import theme
from app.main_window import MainWindow
from app.session import Session
from app.state import Setting
from app.tools import Tools, load_tools
from proofing.language import Speech, speak
from tests import kept

PATIENCE_MS = 60_000


@pytest.fixture(scope="session")
def qapp_args() -> list[str]:
    return ["stocklight"]


@pytest.fixture(scope="session", autouse=True)
def dressed(qapp: QApplication) -> None:
    """The program's own greys and type, as at the start of the program."""
    theme.dress(qapp)


@pytest.fixture(autouse=True)
def memory_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> None:
    """What is kept from one sitting to the next is neither that of another test nor the user's."""
    kept = tmp_path_factory.mktemp("kept")
    QSettings.setPath(QSettings.Format.IniFormat, QSettings.Scope.UserScope, str(kept))


@pytest.fixture(autouse=True)
def as_written() -> Iterator[None]:
    """Every test begins in English and with a decimal point, whatever the one before has chosen."""
    yield
    speak(Speech())


@pytest.fixture(scope="session")
def tools() -> Tools:
    """The real catalogue and one engine for all tests: its caches make them quick."""
    return dataclasses.replace(load_tools(), engine=kept.engine())


@pytest.fixture(scope="session")
def ramp(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small 8-bit sRGB photograph: hues across, dark to light down, and a clipped corner."""
    y, x = np.mgrid[0:80, 0:120]
    hue = x / 119 * 2 * np.pi
    light = 20 + 215 * y / 79
    codes = np.stack([light + 90 * np.cos(hue - k * 2 * np.pi / 3) for k in range(3)], axis=-1)
    codes[60:, 90:] = 255
    path = tmp_path_factory.mktemp("pictures") / "ramp.png"
    Image.fromarray(np.clip(codes, 0, 255).astype(np.uint8)).save(path)
    return path


@pytest.fixture
def make_window(qtbot, tools) -> Iterator[Callable[..., MainWindow]]:
    """Windows that are closed afterwards, and leave no thread behind."""
    made: list[MainWindow] = []

    def make(setting: Setting | None = None) -> MainWindow:
        window = MainWindow(Session(setting, load=lambda: tools))
        qtbot.addWidget(window)
        made.append(window)
        window.resize(1280, 720)
        window.show()
        qtbot.waitExposed(window)
        window.session.start()
        return window

    yield make
    for window in made:
        window.close()
        window.deleteLater()
    made.clear()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    gc.collect()  # here, and not on a worker's thread, where no widget may end
    left = [thread.name for thread in threading.enumerate() if "stocklight" in thread.name]
    assert left == []


@pytest.fixture(autouse=True)
def without_findings(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """At rest nothing is looked for, which would take most of the time, but in tests that are about
    it and say so: ``with_findings``."""
    if request.node.get_closest_marker("with_findings") is None:
        monkeypatch.setattr(Session, "refine", lambda session: session.worker.drop())


@pytest.fixture
def kept_proofs(monkeypatch: pytest.MonkeyPatch) -> None:
    """What was found and advised once is there at once in another window, for tests that are about
    how it is shown."""
    monkeypatch.setattr("app.losses.prover_of", kept.kept_prover_of)


@pytest.fixture
def window(make_window, ramp, qtbot) -> MainWindow:
    """A window with the ramp open and drawn in full."""
    made = make_window(Setting(photograph=str(ramp)))
    settle(made, qtbot)
    assert made.notice.sentence == ""
    return made


def settle(window: MainWindow, qtbot) -> None:
    """Wait until nothing is worked on any more."""
    session = window.session
    QApplication.processEvents()  # a layout may still want a resize, and that a drawing
    while session.busy:
        with qtbot.waitSignal(session.rested, timeout=PATIENCE_MS):
            pass
        QApplication.processEvents()


def pixels(widget: QWidget) -> np.ndarray:
    """What a widget shows, (H, W, 3) uint8 RGB."""
    image = widget.grab().toImage().convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    return rows[:, : image.width() * 3].reshape(image.height(), image.width(), 3).copy()
