"""Icons as they are drawn."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication

from app.icons import icon
from app.icons_source import APPLICATION
from app.window import make_application


def picture(name: str, side: int) -> np.ndarray:
    image = icon(name).pixmap(side, side).toImage().convertToFormat(QImage.Format.Format_RGBA8888)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), -1)
    return rows[:, : 4 * image.width()].reshape(image.height(), image.width(), 4).copy()


@pytest.mark.parametrize("side", [16, 32, 64, 256])
def test_the_program_s_icon_is_drawn_at_every_size(qapp, side: int) -> None:
    """Dark on the left, light on the right: a print lit from one side."""
    drawn = picture(APPLICATION, side)
    assert drawn[..., 3].mean() > 200
    half = side // 2
    assert drawn[:, half:, :3].mean() > drawn[:, :half, :3].mean() + 20


def test_commands_have_theirs_and_no_two_are_alike(window) -> None:
    actions = window.menus.actions
    drawn = [name for name, action in actions.items() if not action.icon().isNull()]
    assert {"stand_beside", "stand_above", "stand_divided", "stand_stocks"} <= set(drawn)
    assert len({picture(name, 32).tobytes() for name in drawn}) == len(drawn)


def test_the_application_shows_it(qapp: QApplication) -> None:
    application = make_application()
    assert not application.windowIcon().isNull()
    assert application.desktopFileName() == "stocklight"
