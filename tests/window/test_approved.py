"""The window looks as it was approved; `tests/scenes.py` says what to look for in each picture."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from app.state import Setting
from tests.scenes import SCENES, Scene
from tests.window.conftest import pixels, settle

APPROVED = Path(__file__).resolve().parents[1] / "approved" / "window"
HARBOUR = Path(__file__).resolve().parents[2] / "demo" / "harbour_at_six.tif"
BLOCK = 8  # pixels a side that are averaged: type may be set a fraction of a pixel elsewhere
MOST_OFF = 6.0  # codes, of a block
MOST_BLOCKS = 0.004  # share of blocks that may be off by more

pytestmark = [
    pytest.mark.with_findings,
    pytest.mark.usefixtures("kept_proofs"),
    pytest.mark.qt_log_ignore("propagateSizeHints", "This plugin does not support raise"),
]


def blocks(picture: np.ndarray) -> np.ndarray:
    height, width = (side // BLOCK * BLOCK for side in picture.shape[:2])
    cut = picture[:height, :width].astype(float)
    return cut.reshape(height // BLOCK, BLOCK, width // BLOCK, BLOCK, 3).mean(axis=(1, 3))


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.name)
def test_the_window_looks_as_it_was_approved(scene: Scene, make_window, qtbot) -> None:
    """Block by block, in absolute codes; what is off is left as shown | approved | difference."""
    window = make_window(Setting(photograph=str(HARBOUR), illuminance="hallway"))
    window.resize(*scene.size)
    settle(window, qtbot)
    grabbed = scene.make(window, lambda window: settle(window, qtbot))
    settle(window, qtbot)
    shown = pixels(grabbed)
    approved = np.asarray(Image.open(APPROVED / f"{scene.name}.jpg").convert("RGB"))
    assert approved.shape == shown.shape, scene.look_for
    off = np.abs(blocks(shown) - blocks(approved)).max(axis=-1)
    if (off > MOST_OFF).mean() > MOST_BLOCKS:
        difference = np.clip(np.abs(shown.astype(int) - approved) * 4, 0, 255).astype(np.uint8)
        folder = Path(os.environ.get("STOCKLIGHT_DIFFERENCES", tempfile.gettempdir()))
        path = folder / f"{scene.name} differs.png"
        Image.fromarray(np.concatenate([shown, approved, difference], axis=1)).save(path)
        pytest.fail(f"{scene.look_for} See {path}")


def test_every_approved_picture_has_its_sentence() -> None:
    assert {scene.name for scene in SCENES} == {path.stem for path in APPROVED.glob("*")}
    for scene in SCENES:
        assert scene.look_for.endswith(".") and len(scene.look_for) > 40
