"""Make the approved pictures of the window: ``python tests/make_screenshots.py [folder]``.

The real window over the real engine with the exhibition's pictures, drawn in memory. The default
folder is `tests/approved/window`; the README links to some of them. Look at each for what its
sentence in `tests/scenes.py` says before it is kept.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

os.environ["QT_QPA_PLATFORM"] = "offscreen"
os.environ.setdefault("QT_SCALE_FACTOR", "1")
TREE = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(TREE))

from PySide6.QtCore import QEventLoop, QLocale  # noqa: E402  (the platform is named first)
from PySide6.QtWidgets import QApplication  # noqa: E402

from app.main_window import MainWindow  # noqa: E402
from app.state import Setting  # noqa: E402
from app.window import make_application, make_window  # noqa: E402
from tests.scenes import SCENES  # noqa: E402

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


def main(folder: Path) -> None:
    """Make all of them."""
    folder.mkdir(parents=True, exist_ok=True)
    make_application([])
    QLocale.setDefault(QLocale.c())
    for scene in SCENES:
        window = make_window(Setting(photograph=str(HARBOUR), illuminance="hallway"))
        window.resize(*scene.size)
        window.show()
        settle(window)
        shown = scene.make(window, settle)
        settle(window)
        path = folder / f"{scene.name}.jpg"
        if not shown.grab().save(str(path), "JPEG", QUALITY):
            raise SystemExit(f"{path} cannot be written")
        print(f"{path}: {scene.look_for}")
        window.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else TREE / "tests" / "approved" / "window")
