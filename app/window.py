"""Start the program with its window."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import QByteArray, QLocale, QSize, QTimer
from PySide6.QtWidgets import QApplication

from app import theme
from app.icons import icon
from app.icons_source import APPLICATION
from app.main_window import MainWindow
from app.memory import Sitting, write_sitting
from app.session import Session
from app.speaking import has_comma, use_language
from app.state import Setting
from app.tools import Tools, load_tools

_KEEP_MS = 3000  # after the last work
_TITLE_BAR = 32  # logical pixels, more than most desktops take


def make_application(arguments: list[str] | None = None) -> QApplication:
    """The application, dressed; the one that exists already where there is one."""
    existing = QApplication.instance()
    if isinstance(existing, QApplication):
        application = existing
    else:
        application = QApplication(arguments if arguments is not None else sys.argv[:1])
    application.setApplicationName("stocklight")
    application.setApplicationDisplayName("")
    application.setWindowIcon(icon(APPLICATION))
    application.setDesktopFileName("stocklight")
    theme.dress(application)
    use_language(application, QLocale.system())
    return application


def make_window(
    setting: Setting | None = None, load: Callable[[], Tools] = load_tools
) -> MainWindow:
    """A window that begins to work as soon as it has been shown."""
    window = MainWindow(Session(setting, load=load))
    if QLocale.system().measurementSystem() == QLocale.MeasurementSystem.ImperialUSSystem:
        window.session.run("toggle_units")
    if has_comma(QLocale.system()):
        window.session.run("toggle_comma")
    QTimer.singleShot(0, window.session.start)
    return window


def fitted(size: QSize, screen: QSize) -> QSize:
    """A size that a screen holds together with the window's title bar."""
    return size.boundedTo(screen - QSize(0, _TITLE_BAR))


def take_up(window: MainWindow, sitting: Sitting) -> None:
    """Let a window go on where the last sitting ended, on a screen that is there."""
    window.session.take_up(sitting)
    if sitting.window:
        window.restoreGeometry(_geometry(sitting.window))
    if sitting.pictures_window:
        window.session.run("pair_apart")
        if window.apart is not None:
            window.apart.restoreGeometry(_geometry(sitting.pictures_window))


def sitting_of(window: MainWindow) -> Sitting:
    """What is to be kept of a window."""
    apart = window.apart
    sitting = window.session.sitting(_in_words(window.saveGeometry()))
    return (
        sitting
        if apart is None
        else replace(sitting, pictures_window=_in_words(apart.saveGeometry()))
    )


def _geometry(words: str) -> QByteArray:
    return QByteArray.fromHex(words.encode("ascii", "replace"))


def _in_words(geometry: QByteArray) -> str:
    return bytes(geometry.toHex().data()).decode("ascii")


def walk_at_rest(window: MainWindow) -> None:
    """Begin the first walk once there is something to see."""
    session = window.session

    def begin() -> None:
        session.rested.disconnect(begin)
        if not session.state.view.walked:
            session.run("walk")

    session.rested.connect(begin)


def keep_at_rest(window: MainWindow) -> None:
    """Keep the sitting whenever all is done, so that little is lost with the power."""
    timer = QTimer(window)
    timer.setSingleShot(True)
    timer.setInterval(_KEEP_MS)
    kept: list[Sitting] = []

    def keep() -> None:
        now = sitting_of(window)
        if [now] != kept:
            write_sitting(now)
            kept[:] = [now]

    timer.timeout.connect(keep)
    window.session.rested.connect(timer.start)


def run_window(
    setting: Setting | None = None, sitting: Sitting | None = None, *, asked: bool = False
) -> int:
    """Open the window and run until it is closed.

    Parameters
    ----------
    setting
        What to begin with; its photograph is opened.
    sitting
        Where the last one ended; None begins anew and keeps nothing.
    asked
        Whether a person has asked for a picture or a setting: then there is no walk.

    Returns
    -------
    int
        The exit code.
    """
    application = make_application()
    window = make_window(setting)
    window.resize(fitted(window.size(), window.screen().availableSize()))
    if sitting is not None:
        take_up(window, sitting)
        if not sitting.walked and not asked:
            walk_at_rest(window)
        keep_at_rest(window)
    window.show()
    try:
        return application.exec()
    finally:
        if sitting is not None:
            write_sitting(sitting_of(window))
        window.session.close()  # also when the desktop ends the program without closing it
