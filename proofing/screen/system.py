"""The monitor's profile, where the system tells it.

X11: the root window property ``_ICC_PROFILE`` (ICC Profiles in X Specification 0.3), which a
colour-managed desktop sets. Windows: ``GetICMProfileW``. Elsewhere, and on a Wayland session
that sets no such property, the system is not asked and the user names a profile.
"""

from __future__ import annotations

import os
import socket
import sys
import threading
from collections.abc import Callable
from pathlib import Path

_LARGEST_PROFILE_BYTES = 16 * 2**20


def monitor_profile(monitor: int = 0, *, timeout_s: float = 0.5) -> bytes | None:
    """The ICC profile the system holds for a monitor.

    Parameters
    ----------
    monitor
        0 for the first.
    timeout_s
        How long to wait for a system that does not answer.

    Returns
    -------
    bytes or None
        The profile, not yet checked; None where the system does not tell. Never raises: no
        answer is an answer here, and the caller falls back to sRGB and says so.
    """
    ask: Callable[[int], bytes | None]
    if sys.platform == "win32":
        ask = _from_windows
    elif os.environ.get("DISPLAY"):
        ask = _from_x11
    else:
        return None
    answer: list[bytes | None] = []

    def run() -> None:
        try:
            answer.append(ask(monitor))
        except BaseException:  # whatever a desktop's libraries throw, the program goes on
            answer.append(None)

    thread = threading.Thread(target=run, name="monitor-profile", daemon=True)
    thread.start()
    thread.join(timeout_s)
    return plausible(answer[0]) if answer else None


def plausible(data: bytes | None) -> bytes | None:
    """The data if it has the signature of an ICC profile (ICC.1:2022, 7.2.9), else None."""
    if data is None or not 128 < len(data) <= _LARGEST_PROFILE_BYTES or data[36:40] != b"acsp":
        return None
    return data


def property_name(monitor: int) -> str:
    """Name of the X11 property of a monitor: the first has no number."""
    return "_ICC_PROFILE" if monitor == 0 else f"_ICC_PROFILE_{monitor}"


def _local_server_answers(display: str) -> bool:
    """Whether a server listens behind a local display name; remote names count as yes.

    Asked first because python-xlib leaves its sockets open where nobody answers.
    """
    host, _, number = display.rpartition(":")
    family = getattr(socket, "AF_UNIX", None)
    if host not in ("", "unix") or family is None:
        return True
    path = f"/tmp/.X11-unix/X{number.split('.')[0]}"
    for address in (f"\0{path}", path):  # Linux's abstract name, then the file
        with socket.socket(family, socket.SOCK_STREAM) as probe:
            try:
                probe.connect(address)
            except OSError:
                continue
            return True
    return False


def _from_x11(monitor: int) -> bytes | None:
    if not _local_server_answers(os.environ.get("DISPLAY", "")):
        return None
    from Xlib import X
    from Xlib.display import Display

    display = Display()
    try:
        atom = display.intern_atom(property_name(monitor), only_if_exists=True)
        if atom == X.NONE:
            return None
        found = display.screen().root.get_full_property(atom, X.AnyPropertyType, sizehint=65536)
        if found is None or found.format != 8:
            return None
        return bytes(found.value)
    finally:
        display.close()


if sys.platform == "win32":

    def _from_windows(monitor: int) -> bytes | None:
        import ctypes
        from ctypes import wintypes

        if monitor != 0:  # the device context of the desktop speaks for the primary monitor only
            return None
        user32, gdi32 = ctypes.windll.user32, ctypes.windll.gdi32
        user32.GetDC.restype = wintypes.HDC
        user32.GetDC.argtypes = [wintypes.HWND]
        user32.ReleaseDC.argtypes = [wintypes.HWND, wintypes.HDC]
        gdi32.GetICMProfileW.argtypes = [
            wintypes.HDC,
            ctypes.POINTER(wintypes.DWORD),
            wintypes.LPWSTR,
        ]
        gdi32.GetICMProfileW.restype = wintypes.BOOL
        context = user32.GetDC(None)
        try:
            size = wintypes.DWORD(1024)
            path = ctypes.create_unicode_buffer(size.value)
            if not gdi32.GetICMProfileW(context, ctypes.byref(size), path):
                return None
            return Path(path.value).read_bytes()
        finally:
            user32.ReleaseDC(None, context)

else:

    def _from_windows(monitor: int) -> bytes | None:
        return None
