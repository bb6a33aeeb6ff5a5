"""Ctrl+C and the system's request to end, while the toolkit's event loop runs.

Python runs a signal's handler only between two of its own instructions; in the event loop there
may be none for hours, and an exception raised in a slot gets nowhere. So a thread waits for the
signal itself and asks the application to quit; windows close as if by hand, and what the signal
means is raised once the loop has ended.
"""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from types import FrameType

_STOPPING = (signal.SIGINT, signal.SIGTERM)
_OVER = 0  # no signal has this number


@contextmanager
def signals_quit_the_application() -> Iterator[None]:
    """While the block runs, SIGINT and SIGTERM quit the application. Main thread only.

    Raises
    ------
    KeyboardInterrupt
        After the block, when it was ended so.
    """
    received: list[int] = []

    def note(number: int, frame: FrameType | None) -> None:
        received.append(number)

    reading, writing = os.pipe()
    os.set_blocking(writing, False)
    before = {number: signal.signal(number, note) for number in _STOPPING}
    woken = signal.set_wakeup_fd(writing, warn_on_full_buffer=False)
    waiting = threading.Thread(target=_wait, args=(reading,), name="signals", daemon=True)
    waiting.start()
    try:
        yield
    finally:
        signal.set_wakeup_fd(woken)
        for number, handler in before.items():
            signal.signal(number, handler)
        with suppress(BlockingIOError):
            os.write(writing, bytes([_OVER]))
        waiting.join(timeout=5.0)
        os.close(writing)
        os.close(reading)
    if received:
        raise KeyboardInterrupt


def _wait(reading: int) -> None:
    from PySide6.QtCore import QCoreApplication, QMetaObject, Qt

    while (number := os.read(reading, 1)[0]) != _OVER:
        application = QCoreApplication.instance()
        if number in _STOPPING and application is not None:
            QMetaObject.invokeMethod(application, "quit", Qt.ConnectionType.QueuedConnection)
