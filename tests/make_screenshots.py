"""Make the README's pictures of the window: ``python tests/make_screenshots.py [folder]``.

The real window over the real engine with the exhibition's pictures, drawn in memory. The default
folder is `tests/approved/window`; the names are those the README links to.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

os.environ["QT_QPA_PLATFORM"] = "offscreen"
os.environ.setdefault("QT_SCALE_FACTOR", "1")
TREE = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(TREE))

from PySide6.QtCore import QEventLoop, QSize  # noqa: E402  (the platform is named first)
from PySide6.QtWidgets import QApplication  # noqa: E402

from app.main_window import MainWindow  # noqa: E402
from app.state import Setting  # noqa: E402
from app.window import make_application, make_window  # noqa: E402

SIZE = QSize(1440, 900)
QUALITY = 92  # of the JPEG: the pictures are photographs, and the README must load quickly
HARBOUR = TREE / "demo" / "harbour_at_six.tif"


def settle(window: MainWindow) -> None:
    """Until everything is worked out."""
    QApplication.processEvents()
    while window.session.busy:
        loop = QEventLoop()
        window.session.rested.connect(loop.quit)
        loop.exec()
        QApplication.processEvents()


def save(window: MainWindow, path: Path) -> None:
    """Write what the window shows."""
    settle(window)
    if not window.grab().save(str(path), "JPEG", QUALITY):
        raise SystemExit(f"{path} cannot be written")
    print(path)


def main(folder: Path) -> None:
    """Make all of them."""
    folder.mkdir(parents=True, exist_ok=True)
    make_application([])
    window = make_window(Setting(photograph=str(HARBOUR), illuminance="hallway"))
    window.resize(SIZE)
    window.show()
    try:
        save(window, folder / "window.jpg")
        window.session.losses.go_to(0)
        save(window, folder / "finding.jpg")
        window.session.run("leave_finding")
        window.open_chooser("stock")
        save(window, folder / "stock.jpg")
        window.close_chooser()
        window.pair.print.setFocus()
        window.session.change(light="LED-B2", illuminance=150.0, glazing="float glass")
        settle(window)
        window.pair.print.pointed.emit(1230.0, 640.0, True)  # the probe, on the boat's cabin
        save(window, folder / "gallery.jpg")
    finally:
        window.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else TREE / "tests" / "approved" / "window")
