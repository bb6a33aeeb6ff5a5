"""The print in its true size, and as large as it looks from its viewing distance."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.main_window import MainWindow
from app.panels.ruler_page import RulerPage
from app.ruler import Ruler
from tests.window.conftest import settle

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints")
SHIFT = Qt.KeyboardModifier.ShiftModifier


def width_mm(window: MainWindow) -> float:
    """Of the printed picture as it stands on the monitor."""
    view = window.session.sight.viewport
    assert view is not None
    return view.width * view.scale * window.session.sight.ruler.mm_per_px


def test_true_size_follows_the_sentence(window: MainWindow, qtbot) -> None:
    """A print of 12 cm is 12 cm wide, whatever the window's size; one of 6 cm, 6 cm; the wheel ends
    it."""
    window.session.sight.set_ruler(Ruler(0.25, matched=True))
    window.session.change(size_mm=(120.0, 80.0))
    QTest.keyClick(window.pair.print, Qt.Key.Key_End, SHIFT)
    settle(window, qtbot)
    assert width_mm(window) == pytest.approx(120.0, abs=0.3)
    assert "true size" in window.pair.photograph.caption
    window.resize(900, 700)
    settle(window, qtbot)
    assert width_mm(window) == pytest.approx(120.0, abs=0.3)
    window.session.change(size_mm=(60.0, 40.0))
    settle(window, qtbot)
    assert width_mm(window) == pytest.approx(60.0, abs=0.3)
    window.session.run("nearer")
    settle(window, qtbot)
    assert window.session.state.view.size == ""
    assert width_mm(window) == pytest.approx(60.0 * 2**0.5, abs=1.0)


def test_as_large_as_from_the_viewing_distance(window: MainWindow, qtbot) -> None:
    """Similar triangles: 90 cm at 1.5 m look as wide as 36 cm on a monitor at 60 cm."""
    window.session.sight.set_ruler(Ruler(0.5, eye_m=0.6, matched=True))
    window.session.change(size_mm=(900.0, 600.0), distance_m=1.5)
    window.session.run("seen_size")
    settle(window, qtbot)
    assert width_mm(window) == pytest.approx(360.0, abs=0.5)
    window.session.change(distance_m=3.0)
    settle(window, qtbot)
    assert width_mm(window) == pytest.approx(180.0, abs=0.5)


def test_a_bank_card_gives_the_millimetres(window: MainWindow, qtbot) -> None:
    """ISO/IEC 7810 ID-1: a card is 85.60 mm wide. With the rectangle drawn to 428 pixels, a pixel
    is 0.2 mm; it is kept for the next sitting."""
    window.session.run("match_ruler")
    page = next(
        w for w in QApplication.topLevelWidgets() if isinstance(w, RulerPage) and w.isVisible()
    )
    page.slider.setValue(4 * 428)
    page.eye.setValue(70.0)
    QTest.keyClick(page, Qt.Key.Key_Return)
    ratio = window.devicePixelRatioF()
    assert window.session.sight.ruler.mm_per_px == pytest.approx(0.2 / ratio, rel=1e-3)
    assert window.session.sight.ruler.eye_m == pytest.approx(0.7)
    sitting = window.session.sitting("")
    ((monitor, pair),) = sitting.rulers
    assert pair == (window.session.sight.ruler.mm_per_px, 0.7)
    assert monitor == window.session.sight.monitor
    settle(window, qtbot)
