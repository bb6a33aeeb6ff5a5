"""The approved pictures of the window: what each shows, how it comes about, what to look for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtWidgets import QWidget

from app.main_window import MainWindow

Settle = Callable[[MainWindow], None]


@dataclass(frozen=True)
class Scene:
    """One picture.

    Attributes
    ----------
    name
        Of its file.
    look_for
        What has to be seen in it, in a sentence.
    make
        Brings it about in a window that shows the harbour in the hallway, and tells what to grab.
    size
        Of the window, logical pixels.
    """

    name: str
    look_for: str
    make: Callable[[MainWindow, Settle], QWidget]
    size: tuple[int, int] = (1440, 900)


def _window(window: MainWindow, settle: Settle) -> QWidget:
    return window


def _finding(window: MainWindow, settle: Settle) -> QWidget:
    window.session.losses.go_to(0)
    return window


def _stock(window: MainWindow, settle: Settle) -> QWidget:
    window.open_chooser("stock")
    return window


def _light(window: MainWindow, settle: Settle) -> QWidget:
    window.open_chooser("light")
    return window


def _gallery(window: MainWindow, settle: Settle) -> QWidget:
    window.session.change(light="LED-B2", illuminance=150.0, glazing="float glass")
    settle(window)
    window.pair.print.pointed.emit(1230.0, 640.0, True)  # the probe, on the boat's cabin
    return window


def _beside(window: MainWindow, settle: Settle) -> QWidget:
    window.session.run("keep_print")
    window.session.change(stock="baryta")
    settle(window)
    window.session.probe(300.0, 400.0)
    window.session.run("pin_probe")
    return window


def _sheet(window: MainWindow, settle: Settle) -> QWidget:
    window.session.run("stand_stocks")
    return window


def _tones(window: MainWindow, settle: Settle) -> QWidget:
    window.session.change(stock="canvas", black_point_compensation=False)
    window.session.run("show_tones")
    settle(window)
    assert window.dialogs.tones is not None
    return window.dialogs.tones


def _walk(window: MainWindow, settle: Settle) -> QWidget:
    window.session.run("walk")
    window.walk.stepped.emit(1)
    return window


def _small(window: MainWindow, settle: Settle) -> QWidget:
    return window


SCENES = (
    Scene("window", "Photograph left, print with its paper margin right on a wall of the same dim "
          "light, and one sentence; nothing around the pictures has a colour.", _window),
    Scene("finding", "The place is outlined in both pictures and numbered; below its row stands "
          "what would help, each with a button or where it is done.", _finding),
    Scene("stock", "Each stock has its white, its black and the reach of its colours against "
          "sRGB; the print stays in sight.", _stock),
    Scene("light", "Each lamp has its spectrum, its temperature, its fidelity and what it does to "
          "brightened papers.", _light),
    Scene("gallery", "Under the warm lamp wall, paper and print are warm; the cross stands at the "
          "same place in both pictures and its figures below.", _gallery),
    Scene("beside", "Two prints, each with its own marks; the captions tell in what they differ, "
          "and the pinned point is measured on both.", _beside),
    Scene("sheet", "The same crop on every stock, on one wall; a light frame about the one that "
          "is in the sentence.", _sheet),
    Scene("tones", "Five steps are bracketed, and the lost shadows are filled with the dashes of "
          "their mark.", _tones),
    Scene("walk", "The card stands beside the stock in the sentence and covers neither it nor the "
          "print.", _walk),
    Scene("small", "In a small window the pictures keep their share, the sentence scrolls, and no "
          "word is cut.", _small, (800, 560)),
)  # fmt: skip
"""In this order; each begins anew with the harbour on smooth matte in the hallway."""
