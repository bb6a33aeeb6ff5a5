"""Whether a window can be opened here, found out without trying.

The toolkit ends the whole process when there is no display or when a library is missing
(measured with Qt 6.12: ``QApplication`` aborts), so both are looked for first.
"""

from __future__ import annotations

import ctypes
import importlib.util
import os
import re
import socket
import sys
from collections.abc import Mapping
from pathlib import Path

from proofing.language import tr

PACKAGES: dict[str, str] = {
    "libdbus-1.so.3": "libdbus-1-3",
    "libEGL.so.1": "libegl1",
    "libfontconfig.so.1": "libfontconfig1",
    "libfreetype.so.6": "libfreetype6",
    "libGL.so.1": "libgl1",
    "libGLX.so.0": "libglx0",
    "libOpenGL.so.0": "libopengl0",
    "libglib-2.0.so.0": "libglib2.0-0",
    "libgthread-2.0.so.0": "libglib2.0-0",
    "libwayland-client.so.0": "libwayland-client0",
    "libwayland-cursor.so.0": "libwayland-cursor0",
    "libwayland-egl.so.1": "libwayland-egl1",
    "libX11-xcb.so.1": "libx11-xcb1",
    "libX11.so.6": "libx11-6",
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-glx.so.0": "libxcb-glx0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-render.so.0": "libxcb-render0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-shm.so.0": "libxcb-shm0",
    "libxcb-sync.so.1": "libxcb-sync1",
    "libxcb-util.so.1": "libxcb-util1",
    "libxcb-xfixes.so.0": "libxcb-xfixes0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxcb.so.1": "libxcb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
    "libxkbcommon.so.0": "libxkbcommon0",
}
"""Shared library -> Debian 12 package that brings it."""

_WITHOUT_DISPLAY = ("offscreen", "minimal", "minimalegl", "vnc", "eglfs", "linuxfb", "vkkhrdisplay")
_LIBRARIES = ("libQt6Core.so.6", "libQt6DBus.so.6", "libQt6Gui.so.6", "libQt6Widgets.so.6")


def obstacle(environment: Mapping[str, str] | None = None, system: str = sys.platform) -> str:
    """Why no window can be opened here.

    Parameters
    ----------
    environment
        Default the process's own.
    system
        As ``sys.platform``. Only Linux is looked at; elsewhere a display is always there.

    Returns
    -------
    str
        One sentence that says what to install or set, or '' when nothing is in the way.
    """
    environment = os.environ if environment is None else environment
    if importlib.util.find_spec("PySide6") is None:
        return tr(
            "The window needs the Python package PySide6-Essentials, which is not "
            "installed: run 'pip install PySide6-Essentials'."
        )
    if not system.startswith("linux"):
        return ""
    platform = _platform(environment)
    if platform == "":
        return tr(
            "There is no display here: run this on a desktop, or set DISPLAY or "
            "WAYLAND_DISPLAY to the display to use."
        )
    missing = missing_libraries(platform)
    if missing:
        return _missing_sentence(missing)
    return _unreachable(platform, environment)


def _platform(environment: Mapping[str, str]) -> str:
    """The kind of display the toolkit will use, '' for none."""
    wanted = environment.get("QT_QPA_PLATFORM", "").split(";")[0].split(":")[0]
    if wanted in _WITHOUT_DISPLAY:
        return wanted
    wayland, x11 = environment.get("WAYLAND_DISPLAY"), environment.get("DISPLAY")
    if wanted.startswith("wayland"):
        return "wayland" if wayland else ""
    if wanted == "xcb":
        return "xcb" if x11 else ""
    if wanted:
        return wanted
    # Qt prefers Wayland in a Wayland session and X11 otherwise.
    if wayland and (not x11 or environment.get("XDG_SESSION_TYPE") == "wayland"):
        return "wayland"
    if x11:
        return "xcb"
    return "wayland" if wayland else ""


def _unreachable(platform: str, environment: Mapping[str, str]) -> str:
    """Why the display that is named cannot be reached, '' when it can."""
    if platform == "xcb":
        name = environment.get("DISPLAY", "")
        return (
            ""
            if _x_answers(name)
            else tr("The display '{name}' in DISPLAY does not answer.", name=name)
        )
    if platform == "wayland":
        name = environment.get("WAYLAND_DISPLAY", "")
        path = Path(environment.get("XDG_RUNTIME_DIR", "/run")) / name
        if not _socket_answers(str(path)):
            return tr("The display '{name}' in WAYLAND_DISPLAY does not answer.", name=name)
    return ""


def _x_answers(name: str) -> bool:
    """Whether an X server takes a connection at this address.

    Where the server listens on an abstract socket only, or on another machine, both are tried.
    """
    match = re.fullmatch(r"(?:[a-z]+/)?(.*?):(\d+)(?:\.\d+)?", name)
    if match is None:
        return False
    host, number = match[1], int(match[2])
    if host in ("", "unix"):
        path = f"/tmp/.X11-unix/X{number}"
        return _socket_answers(path) or _socket_answers("\0" + path)
    try:
        with socket.create_connection((host, 6000 + number), timeout=2.0):
            return True
    except OSError:
        return False


def _socket_answers(path: str) -> bool:
    with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as client:
        client.settimeout(2.0)
        try:
            client.connect(path)
        except OSError:
            return False
    return True


def missing_libraries(platform: str) -> tuple[str, ...]:
    """Shared libraries that the toolkit needs for a kind of display and does not find.

    The loader names the one it stumbles over; the others of :data:`PACKAGES` that this kind of
    display can need are then asked for one by one, so that one message names them all.
    """
    folder = _toolkit_folder()
    if folder is None:
        return ()
    plugins = folder / "plugins" / "platforms"
    wanted = [folder / "lib" / name for name in _LIBRARIES]
    found = sorted(plugins.glob(f"libq{platform}*.so"))
    stumbled = [name for path in (*wanted, *found) if path.exists() for name in _stumbles(path)]
    if not stumbled:
        return ()
    ours = [name for name in PACKAGES if _concerns(name, platform)]
    others = [name for name in ours if not _loads(name)]
    return tuple(dict.fromkeys([*stumbled, *others]))


def _concerns(library: str, platform: str) -> bool:
    x11, wayland = "xcb" in library or "X11" in library or "x11" in library, "wayland" in library
    return (not x11 or platform == "xcb") and (not wayland or platform == "wayland")


def _toolkit_folder() -> Path | None:
    spec = importlib.util.find_spec("PySide6")
    for place in (spec.submodule_search_locations if spec else None) or ():
        if (Path(place) / "Qt" / "lib").is_dir():
            return Path(place) / "Qt"
    return None  # a system package, whose libraries the system looks after


def _stumbles(path: Path) -> list[str]:
    """What the loader misses when it loads a file: a list of one name, or none."""
    try:
        ctypes.CDLL(str(path))
    except OSError as error:
        match = re.match(r"(\S+?\.so[.\d]*): cannot open shared object file", str(error))
        return [match[1]] if match else []
    return []


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def _missing_sentence(missing: tuple[str, ...]) -> str:
    packages = [PACKAGES[name] for name in missing if name in PACKAGES]
    unknown = [name for name in missing if name not in PACKAGES]
    if not packages:
        return tr(
            "The window needs {unknown}, which this system does not have: install it.",
            unknown=", ".join(unknown),
        )
    verb = tr("which is not installed") if len(missing) == 1 else tr("which are not installed")
    packages = list(dict.fromkeys(packages))
    return tr(
        "The window needs {missing}, {verb}: on Debian or Ubuntu run 'apt install {packages}'.",
        missing=", ".join(missing),
        verb=verb,
        packages=" ".join(packages),
    )
