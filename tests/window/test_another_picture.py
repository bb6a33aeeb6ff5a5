"""What was found for one picture stays with it, and what is written is of the picture named."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import tifffile
from PIL import Image

from app.main_window import MainWindow
from app.memory import as_combination
from app.state import Setting
from proofing.ordering.correcting import LiftNeeded
from tests.window.conftest import settle

pytestmark = [
    pytest.mark.qt_log_ignore("propagateSizeHints", "This plugin does not support raise"),
]


@pytest.fixture
def two(make_window, tmp_path: Path, qtbot) -> MainWindow:
    """A dark picture in front, a light one at hand."""
    for name, code in (("dark", 40), ("light", 200)):
        Image.fromarray(np.full((60, 90, 3), code, np.uint8)).save(tmp_path / f"{name}.png")
    window = make_window(Setting())
    window.session.open_all([str(tmp_path / "dark.png"), str(tmp_path / "light.png")])
    settle(window, qtbot)
    window.session.change(
        shadow_lift=1.0, curve="0:0 64:80 255:255", colour_ease=50.0, crop="1:1", crop_place=0.0
    )
    settle(window, qtbot)
    return window


def _corrected(setting: Setting) -> tuple[object, ...]:
    return setting.curve, setting.shadow_lift, setting.colour_ease, setting.crop_place


PLAIN = ("", 0.0, 0.0, 0.5)


@pytest.mark.parametrize("way", ["next", "list", "open"])
def test_corrections_stay_with_their_picture(two: MainWindow, way: str, qtbot) -> None:
    """However the other one comes to the front; undo brings picture and corrections back."""
    session = two.session
    other = session.state.view.pictures[1]
    before = session.setting
    session.run("keep_print")
    session.run("without_corrections")
    assert any(session.state.view.set_aside)
    session.run("undo")
    if way == "next":
        session.run("next_picture")
    elif way == "list":
        session.verdicts.go_to(other)
    else:
        session.open(other)
    settle(two, qtbot)
    assert session.setting.photograph == other
    assert _corrected(session.setting) == PLAIN and session.setting.crop == "1:1"
    assert session.state.view.set_aside == ()
    assert _corrected(session.state.view.kept) == PLAIN  # it would hang over another picture
    session.run("undo")
    settle(two, qtbot)
    assert session.setting == before


def test_nothing_is_written_of_a_picture_that_is_not_there_yet(
    two: MainWindow, tmp_path: Path, qtbot
) -> None:
    """The file would hold the pixels of one under the name of the other."""
    session = two.session
    session.run("next_picture")
    session.desk.write(str(tmp_path / "early.tif"))
    assert "still being read" in two.notice.sentence
    settle(two, qtbot)
    assert not (tmp_path / "early.tif").exists()
    session.desk.write(str(tmp_path / "light.tif"))
    settle(two, qtbot)
    assert tifffile.imread(tmp_path / "light.tif").min() > 190 * 257


def test_corrections_that_are_set_aside_for_looking_are_in_the_file(
    two: MainWindow, tmp_path: Path, qtbot
) -> None:
    """Looking without them is no order without them."""
    session = two.session
    session.desk.change(space="srgb")
    session.desk.write(str(tmp_path / "with.tif"))
    settle(two, qtbot)
    session.run("without_corrections")
    settle(two, qtbot)
    session.desk.write(str(tmp_path / "aside.tif"))
    settle(two, qtbot)
    same = [tifffile.imread(tmp_path / f"{name}.tif") for name in ("with", "aside")]
    assert same[0].mean() > 50 * 257 and (same[0] == same[1]).all()


def test_a_combination_leaves_part_and_corrections_alone(two: MainWindow, qtbot) -> None:
    """Stock, size, room and screen are hung; how the picture is cut and corrected is its own."""
    session = two.session
    hung = as_combination(Setting(stock="canvas", illuminance=50.0, crop="3:1", shadow_lift=0.5))
    assert (hung.crop, hung.shadow_lift) == ("", 0.0)
    before = session.setting
    two.dialogs._hang(hung)
    settle(two, qtbot)
    assert session.setting == before.change(stock="canvas", illuminance=50.0)


def test_a_failed_file_is_told_where_it_was_asked_for(
    two: MainWindow, tmp_path: Path, qtbot
) -> None:
    """The success before is no longer told."""
    two.session.run("order")
    settle(two, qtbot)
    page = two.dialogs.order
    two.session.desk.write(str(tmp_path / "good.tif"))
    settle(two, qtbot)
    assert "good.tif" in page.told_written.text()
    two.session.desk.write(str(tmp_path / "gone" / "bad.tif"))
    settle(two, qtbot)
    assert "good.tif" not in page.told_written.text()
    assert "bad.tif" in page.told_written.text()


def test_what_a_print_needs_is_that_of_the_setting(two: MainWindow, qtbot) -> None:
    """Asked for in the moment another stock was chosen, it is not the answer of the one before."""
    session = two.session
    session.change(stock="canvas", shadow_lift=0.0, illuminance=20.0)
    asked: list[str] = []

    def find(engine, request, *rest) -> LiftNeeded:
        asked.append(request.stock.name)
        return LiftNeeded(0.0, 0.0, 0.0)

    session.losses._correct("lift", find)
    settle(two, qtbot)
    assert asked == ["canvas"]
