"""How long the window's event loop stands still while the program works.

Run from the top of the tree: ``python tests/benchmarks/event_loop.py [--size WxH] [picture]``.
Without a picture one of 24 megapixels at 16 bits is made. A timer that is due every millisecond
is watched while the window is used; a gap between two of its ticks is time in which no key and no
click would be heard. For every action: the longest gap, how many exceed 50 ms, and how long it took
until all was at rest. The first row, with nothing to do, is what the machine itself does.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
import tifffile
from PySide6.QtCore import QPointF, Qt, QTimer
from PySide6.QtWidgets import QApplication

from app.main_window import MainWindow
from app.session import Session
from app.state import Setting
from app.window import make_application

LONG_MS = 50.0
TICK_MS = 1


class Watch:
    """Notes when a timer ticks."""

    def __init__(self, application: QApplication) -> None:
        self._application = application
        self._gaps: list[float] = []
        self._last = time.perf_counter()
        self._timer = QTimer()
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.timeout.connect(self._tick)
        self._timer.start(TICK_MS)

    def _tick(self) -> None:
        now = time.perf_counter()
        self._gaps.append((now - self._last) * 1000.0)
        self._last = now

    def during(self, name: str, action: Callable[[], object], busy: Callable[[], bool]) -> None:
        """Do something, wait until all is at rest, and print what the timer saw."""
        self._application.processEvents()
        self._gaps.clear()
        self._last = begin = time.perf_counter()
        action()
        self._application.processEvents()
        while busy() or time.perf_counter() - begin < 0.3:
            self._application.processEvents()
            time.sleep(0.0005)
        took = time.perf_counter() - begin
        gaps = self._gaps or [took * 1000.0]
        longer = sum(gap > LONG_MS for gap in gaps)
        print(f"{name:42} {max(gaps):7.0f} ms {longer:6d} {took:8.2f} s", flush=True)


def made_picture(folder: str) -> Path:
    """24 megapixels, 16 bits: light falling off, folds, and grain."""
    y, x = np.mgrid[0:4000, 0:6000].astype(np.float32)
    grey = 0.5 + 0.45 * np.sin(x / 700.0) * np.cos(y / 500.0) + 0.03 * np.sin(x / 3.0)
    grain = np.random.default_rng(0).normal(0.0, 0.01, grey.shape).astype(np.float32)
    codes = np.clip(np.stack([grey + grain, grey, 0.9 * grey], axis=-1), 0.0, 1.0)
    path = Path(folder) / "made.tif"
    tifffile.imwrite(path, (codes * 65535).astype(np.uint16), photometric="rgb")
    return path


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("picture", nargs="?")
    parser.add_argument("--size", default="1440x900")
    asked = parser.parse_args()
    width, height = (int(side) for side in asked.size.split("x"))
    application = make_application(["stocklight"])
    with tempfile.TemporaryDirectory() as folder:
        picture = Path(asked.picture) if asked.picture else made_picture(folder)
        run(application, picture, Path(folder), width, height)


def run(application: QApplication, picture: Path, folder: Path, width: int, height: int) -> None:
    """Use a window as a person would."""
    watch = Watch(application)
    print(f"{'':42} {'longest':>10} {'>50 ms':>6} {'at rest':>10}")
    watch.during("nothing", lambda: None, lambda: False)
    window = MainWindow(Session(Setting()))
    session = window.session
    window.resize(width, height)

    def during(name: str, action: Callable[[], object]) -> None:
        watch.during(name, action, lambda: session.busy)

    during("the window appears, engine loads", lambda: (window.show(), session.start()))
    during("open", lambda: session.open(str(picture)))
    during("another stock", lambda: session.change(stock="baryta"))
    during("another light", lambda: session.change(light="LED-B2"))
    during("a dimmer room", lambda: session.change(illuminance=50.0))
    during("open a chooser", lambda: window.open_chooser("stock"))
    during("go through it", lambda: session.consider({"stock": "canvas"}))
    during("leave it", window.close_chooser)
    during("pixel for pixel", lambda: session.run("pixel_for_pixel"))

    def pan() -> None:
        for step in range(30):
            session.sight.gesture(lambda view, step=step: view.panned(-7.0, (-1.0) ** step * 3.0))
            application.processEvents()

    def zoom() -> None:
        for _ in range(12):
            session.sight.gesture(lambda view: view.zoomed(0.8, (200.0, 200.0)))
            application.processEvents()

    def point() -> None:
        for step in range(30):
            window.pair.print.pointed.emit(*QPointF(40.0 + step, 60.0).toTuple(), False)
            application.processEvents()

    during("pan, 30 steps", pan)
    during("zoom out, 12 steps", zoom)
    during("point, 30 steps", point)
    during("go to a finding", lambda: session.run("next_finding"))
    during("leave it", lambda: session.run("leave_finding"))
    during("keep the print", lambda: session.run("keep_print"))
    during("another stock beside it", lambda: session.change(stock="gloss"))
    during("give the photograph back", lambda: session.run("keep_print"))
    during("sheet of stocks", lambda: session.run("stand_stocks"))
    during("sheet of lights", lambda: session.run("stand_lights"))
    during("back to the pair", lambda: session.run("stand_beside"))
    during("save the pair", lambda: session.save_pair(str(folder / "pair.png")))
    during("undo", lambda: session.run("undo"))
    during("read the file anew", lambda: session.open(str(picture)))
    window.close()


if __name__ == "__main__":
    main()
