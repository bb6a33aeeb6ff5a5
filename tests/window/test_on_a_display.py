"""One journey on a real X display, drawn by a server without a screen, in a process of its own."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

ROOT = Path(__file__).resolve().parents[2]
JOURNEY = """
import sys, time
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from app.state import Setting
from app.window import make_application, make_window

picture, folder = sys.argv[1:]
application = make_application(["stocklight"])
assert QGuiApplication.platformName() == "xcb", QGuiApplication.platformName()
window = make_window(Setting(photograph=picture, stock="baryta"))
window.resize(1280, 720)
window.show()

def settle():
    application.processEvents()
    end = time.monotonic() + 240
    time.sleep(0.05)
    while window.session.busy and time.monotonic() < end:
        application.processEvents()
        time.sleep(0.005)
    application.processEvents()

QTest.qWaitForWindowExposed(window)
window.activateWindow()
window.windowHandle().requestActivate()
assert QTest.qWaitForWindowActive(window, 10_000)
while window.session.baked is None:
    settle()
settle()
window.grab().save(f"{folder}/baryta.png")
QTest.keyClick(window.windowHandle(), Qt.Key.Key_1, Qt.KeyboardModifier.AltModifier)
QTest.keyClicks(window.chooser.list.filter, "canvas")
QTest.keyClick(window.chooser.list.filter, Qt.Key.Key_Return)
settle()
assert window.sentence.phrase("stock").text() == "canvas"
window.grab().save(f"{folder}/canvas.png")
QTest.keyClick(window.windowHandle(), Qt.Key.Key_F11, Qt.KeyboardModifier.ControlModifier)
settle()
assert window.apart is not None and window.apart.isVisible()
QTest.keyClick(window.apart.windowHandle(), Qt.Key.Key_F11, Qt.KeyboardModifier.ControlModifier)
settle()
assert window.apart is None
window.session.save_pair(f"{folder}/pair.png")
settle()
window.close()
"""


@pytest.mark.skipif(shutil.which("Xvfb") is None, reason="there is no Xvfb to draw on")
def test_a_stock_is_chosen_and_the_pair_saved_on_a_display(ramp: Path, tmp_path: Path) -> None:
    """The same keys as in memory: another stock, another print; the pictures go into a window of
    their own and come back; the pair is a file."""
    reading, writing = os.pipe()
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(writing), "-screen", "0", "1600x1000x24", "-nolisten", "tcp"],
        pass_fds=(writing,), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        os.close(writing)
        with os.fdopen(reading) as told:
            display = told.readline().strip()
        environment = {
            **os.environ, "DISPLAY": f":{display}", "QT_QPA_PLATFORM": "xcb",
            "XDG_DATA_HOME": str(tmp_path), "PYTHONPATH": str(ROOT),
        }  # fmt: skip
        environment.pop("WAYLAND_DISPLAY", None)
        done = subprocess.run(
            [sys.executable, "-c", JOURNEY, str(ramp), str(tmp_path)],
            env=environment, cwd=tmp_path, capture_output=True, text=True, check=False,
        )  # fmt: skip
    finally:
        server.terminate()
        server.wait()
    assert done.returncode == 0, done.stderr
    before, after, pair = (
        np.asarray(Image.open(tmp_path / name).convert("RGB"), dtype=int)
        for name in ("baryta.png", "canvas.png", "pair.png")
    )
    assert before.shape == after.shape == (720, 1280, 3)
    height = 300  # of the pictures, the print at the right
    assert np.abs(before[:height, 660:] - after[:height, 660:]).max() > 10
    assert pair.shape[1] == 2400 and np.ptp(pair) > 200
