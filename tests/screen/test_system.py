"""The system's monitor profile: told where it is known, silence otherwise."""

from __future__ import annotations

import shutil
import subprocess
import sys
import threading
from collections.abc import Iterator

import pytest

from proofing.photograph.icc import srgb_profile
from proofing.screen import monitor_profile, system


@pytest.fixture
def x11_display(monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    """A virtual X server of its own; skipped where none is installed."""
    if sys.platform != "linux" or shutil.which("Xvfb") is None:
        pytest.skip("needs Xvfb")
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", "1", "-screen", "0", "320x240x24", "-nolisten", "tcp"],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )
    assert server.stdout is not None
    try:
        name = f":{server.stdout.readline().decode().strip()}"
        monkeypatch.setenv("DISPLAY", name)
        monkeypatch.delenv("XAUTHORITY", raising=False)
        yield name
    finally:
        server.terminate()
        server.wait()
        server.stdout.close()


def set_property(name: str, value: bytes) -> None:
    from Xlib import Xatom
    from Xlib.display import Display

    display = Display()
    try:
        root = display.screen().root
        root.change_property(display.intern_atom(name), Xatom.CARDINAL, 8, value)
        display.sync()
    finally:
        display.close()


def test_profile_of_an_x11_desktop(x11_display: str) -> None:
    """ICC Profiles in X Specification 0.3: property of the root window, numbered from the 2nd."""
    from Xlib.display import Display

    holder = Display()  # keeps the server from resetting between clients
    try:
        assert monitor_profile(timeout_s=20.0) is None
        set_property("_ICC_PROFILE", srgb_profile().data)
        assert srgb_profile().data == monitor_profile(timeout_s=20.0)
        assert monitor_profile(1, timeout_s=20.0) is None
        set_property("_ICC_PROFILE_1", srgb_profile().data)
        assert srgb_profile().data == monitor_profile(1, timeout_s=20.0)
        set_property("_ICC_PROFILE", b"not a profile" * 40)
        assert monitor_profile(timeout_s=20.0) is None
    finally:
        holder.close()


def test_without_a_display_nothing_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    """No DISPLAY, no question."""
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.setattr(system, "_from_x11", lambda monitor: pytest.fail("asked"))
    assert monitor_profile() is None


def test_display_that_is_not_there(monkeypatch: pytest.MonkeyPatch) -> None:
    """A stale DISPLAY is no error."""
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("DISPLAY", ":9876")
    assert monitor_profile(timeout_s=20.0) is None


def test_whatever_the_system_throws_is_no_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    """A broken desktop library does not stop the program."""

    def broken(monitor: int) -> bytes | None:
        raise SystemError("desktop on fire")

    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("DISPLAY", ":0")
    monkeypatch.setattr(system, "_from_x11", broken)
    assert monitor_profile() is None


def test_silent_system_is_not_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """A server that does not answer is given up on."""
    release = threading.Event()

    def stuck(monitor: int) -> bytes | None:
        release.wait(30.0)
        return srgb_profile().data

    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("DISPLAY", ":0")
    monkeypatch.setattr(system, "_from_x11", stuck)
    try:
        assert monitor_profile(timeout_s=0.05) is None
    finally:
        release.set()
        for thread in threading.enumerate():
            if thread.name == "monitor-profile":
                thread.join()


@pytest.mark.parametrize("data", [None, b"", b"x" * 200, b"\0" * 36 + b"acsp"])
def test_only_something_like_a_profile_is_passed_on(data: bytes | None) -> None:
    """ICC.1:2022, 7.2.9: the signature 'acsp' at byte 36, and more than a header."""
    assert system.plausible(data) is None
    assert srgb_profile().data == system.plausible(srgb_profile().data)
