"""Whether a window can be opened is found out without ending the process."""

from __future__ import annotations

import importlib.util
import os
import re
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from app import display
from app.display import PACKAGES, missing_libraries, obstacle

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def complete(monkeypatch: pytest.MonkeyPatch) -> None:
    """A machine on which no library is missing."""
    monkeypatch.setattr(display, "missing_libraries", lambda platform: ())


@pytest.mark.parametrize(
    "environment",
    [
        {},
        {"DISPLAY": ""},
        {"QT_QPA_PLATFORM": "xcb"},
        {"QT_QPA_PLATFORM": "wayland"},
        {"QT_QPA_PLATFORM": "xcb", "WAYLAND_DISPLAY": "wayland-0"},
    ],
)
def test_no_display_is_said_in_one_sentence(environment: dict[str, str]) -> None:
    """With what to set."""
    sentence = obstacle(environment)
    assert "DISPLAY" in sentence
    assert "WAYLAND_DISPLAY" in sentence
    assert sentence.count(". ") == 0
    assert sentence.endswith(".")


@pytest.mark.usefixtures("complete")
@pytest.mark.parametrize("platform", ["offscreen", "minimal", "vnc:size=800x600", "offscreen;xcb"])
def test_a_platform_without_display_needs_none(platform: str) -> None:
    """The tests themselves run on one."""
    assert obstacle({"QT_QPA_PLATFORM": platform}) == ""


@pytest.mark.parametrize("system", ["darwin", "win32"])
def test_other_systems_always_have_a_display(system: str) -> None:
    """There is nothing to look for."""
    assert obstacle({}, system) == ""


@pytest.mark.usefixtures("complete")
@pytest.mark.parametrize(
    "environment",
    [
        {"DISPLAY": ":4711"},
        {"DISPLAY": "nonsense"},
        {"DISPLAY": "localhost:4711.0"},
        {"WAYLAND_DISPLAY": "wayland-none", "XDG_RUNTIME_DIR": "/nonexistent"},
    ],
)
def test_a_display_that_does_not_answer_is_told(environment: dict[str, str]) -> None:
    """The toolkit would end the process on it, too."""
    assert "does not answer" in obstacle(environment)


@pytest.mark.usefixtures("complete")
def test_a_display_that_answers_is_no_obstacle(tmp_path: Path) -> None:
    """A socket that takes the connection is enough."""
    with socket.socket(socket.AF_UNIX) as server:
        server.bind(str(tmp_path / "wayland-7"))
        server.listen()
        environment = {"WAYLAND_DISPLAY": "wayland-7", "XDG_RUNTIME_DIR": str(tmp_path)}
        assert obstacle(environment) == ""
        assert obstacle({"QT_QPA_PLATFORM": "wayland-egl", **environment}) == ""


@pytest.mark.usefixtures("complete")
@pytest.mark.parametrize(
    ("environment", "expected"),
    [
        ({"DISPLAY": ":0"}, "xcb"),
        ({"WAYLAND_DISPLAY": "w"}, "wayland"),
        ({"DISPLAY": ":0", "WAYLAND_DISPLAY": "w"}, "xcb"),
        ({"DISPLAY": ":0", "WAYLAND_DISPLAY": "w", "XDG_SESSION_TYPE": "wayland"}, "wayland"),
        ({"DISPLAY": ":0", "QT_QPA_PLATFORM": "offscreen"}, "offscreen"),
        ({"QT_QPA_PLATFORM": "other"}, "other"),
    ],
)
def test_the_platform_is_the_one_the_toolkit_would_take(
    environment: dict[str, str], expected: str
) -> None:
    """What is set explicitly goes first."""
    assert expected == display._platform(environment)


def test_all_missing_libraries_are_named_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """With the packages that bring them, each once, and none of another kind of display."""
    gone = {"libxcb-cursor.so.0", "libxkbcommon-x11.so.0", "libEGL.so.1", "libwayland-egl.so.1"}
    monkeypatch.setattr(display, "_toolkit_folder", lambda: Path("/toolkit"))
    monkeypatch.setattr(Path, "exists", lambda self: True)
    monkeypatch.setattr(display, "_stumbles", lambda path: ["libEGL.so.1"])
    monkeypatch.setattr(display, "_loads", lambda name: name not in gone)
    assert set(missing_libraries("xcb")) == gone - {"libwayland-egl.so.1"}
    sentence = obstacle({"DISPLAY": ":0"})
    command = re.search(r"'apt install (.*)'", sentence)
    assert command is not None
    assert set(command[1].split()) == {"libegl1", "libxcb-cursor0", "libxkbcommon-x11-0"}


def test_a_library_nobody_knows_is_still_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """Better its name than none."""
    monkeypatch.setattr(display, "missing_libraries", lambda platform: ("libnew.so.9",))
    assert "libnew.so.9" in obstacle({"DISPLAY": ":0"})


def test_the_loader_names_what_it_misses(tmp_path: Path) -> None:
    """A file that is no library at all names nothing, a missing one names itself."""
    (tmp_path / "a.so").write_bytes(b"no library")
    assert display._stumbles(tmp_path / "a.so") == []
    assert display._stumbles(Path("libthatdoesnotexist.so.1")) == ["libthatdoesnotexist.so.1"]


def test_a_missing_toolkit_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """With the package's name."""
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    assert "pip install PySide6-Essentials" in obstacle({"DISPLAY": ":0"})


def test_packages_look_like_debian_packages() -> None:
    """Names of Debian policy 5.6.1: lower case, digits, plus, minus and dots."""
    for library, package in PACKAGES.items():
        assert re.fullmatch(r"lib[\w.+-]+\.so\.\d+", library)
        assert re.fullmatch(r"[a-z0-9][a-z0-9+.-]+", package)


def test_no_obstacle_means_the_toolkit_starts() -> None:
    """The promise is kept by the real thing: a process that starts the application and ends."""
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "PYTHONPATH": str(ROOT)}
    program = (
        "import sys\n"
        "from app.display import obstacle\n"
        "if not obstacle():\n"
        "    from PySide6.QtWidgets import QApplication\n"
        "    QApplication(sys.argv)\n"
        "print('well')\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program],
        capture_output=True,
        text=True,
        env=environment,
        check=False,
    )
    assert (done.returncode, done.stdout) == (0, "well\n")
