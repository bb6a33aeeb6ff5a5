"""What of a picture is printed and seen, and what the order file holds round it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tifffile
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from app.command_line import main
from app.state import Setting
from app.state.framing import framing, reach_mm
from proofing.errors import SettingError

CANVAS = {"edge": "picture", "edge_mm": 40.0, "size_mm": (600.0, 400.0)}


@pytest.mark.parametrize(
    ("values", "face"),
    [
        ({}, (0, 0, 6000, 4000)),
        ({"crop": "4:3"}, (333, 0, 5666, 4000)),  # 4000 x 4 / 3 of the width
        ({"crop": "turned 3:2"}, (1667, 0, 4334, 4000)),  # stands on a picture that lies
        ({"crop": "1:1", "crop_place": 1.0}, (2000, 0, 6000, 4000)),
        ({"crop": "2:1", "crop_place": 0.0}, (0, 0, 6000, 3000)),
        ({"crop": "frame"}, (0, 0, 6000, 4000)),  # no size is chosen
        ({"crop": "frame", "size_mm": (400.0, 500.0)}, (500, 0, 5500, 4000)),  # turned to lie
    ],
)
def test_the_part_that_is_seen(values: dict[str, Any], face: tuple[int, ...]) -> None:
    """The largest part of the shape, by arithmetic."""
    framed = framing(Setting(**values), (6000, 4000))
    assert face == framed.face == framed.printed
    assert framed.is_whole == (face == (0, 0, 6000, 4000))


def test_what_runs_round_a_bar_is_missing_from_the_front() -> None:
    """72 x 52 cm are printed of which 60 x 40 are seen: 4 cm of bar and 2 cm of back each side."""
    framed = framing(Setting(crop="frame", **CANVAS), (7200, 4800))
    assert framed.mm_per_px is not None
    left, top, right, bottom = framed.printed
    assert pytest.approx((right - left) / (bottom - top), abs=1e-3) == 72 / 52
    assert pytest.approx((right - left) * framed.mm_per_px, abs=0.2) == 720.0
    inset = framed.face[0] - left
    assert pytest.approx(inset * framed.mm_per_px, abs=0.1) == 60.0


@given(
    st.integers(60, 9000),
    st.integers(60, 9000),
    st.sampled_from(["", "frame", "3:2", "turned 5:4", "1:1"]),
    st.floats(0.0, 1.0),
)
def test_a_crop_stays_within_the_picture(width: int, height: int, shape: str, at: float) -> None:
    """Whatever the picture, one side is kept whole, and the place takes no pixel."""
    setting = Setting(crop=shape, crop_place=at, size_mm=(600.0, 400.0))
    left, top, right, bottom = framing(setting, (width, height)).face
    assert 0 <= left < right <= width and 0 <= top < bottom <= height
    assert right - left == width or bottom - top == height
    middle = framing(setting.change(crop_place=0.5), (width, height)).face
    assert (right - left, bottom - top) == (middle[2] - middle[0], middle[3] - middle[1])


def test_an_edge_that_leaves_nothing_is_refused() -> None:
    """A small print round a deep bar."""
    setting = Setting(edge="picture", edge_mm=40.0, size_mm=(100.0, 20.0))
    with pytest.raises(SettingError, match="mirror it, or print larger"):
        framing(setting, (600, 150))
    with pytest.raises(SettingError, match="1 to 100 mm deep"):
        Setting(edge="white", edge_mm=0.5)
    with pytest.raises(SettingError, match="no edge to trim"):
        Setting(edge="margin", bleed_mm=3.0)
    assert reach_mm(Setting(edge="margin")) == 0.0


@pytest.fixture
def patches(tmp_path: Path) -> Path:
    """240 x 160 different pixels, 1 mm each at 24 x 16 cm."""
    codes = np.arange(240 * 160 * 3, dtype=np.uint32).reshape(160, 240, 3) * 7 % 251
    path = tmp_path / "patches.png"
    Image.fromarray(codes.astype(np.uint8)).save(path)
    return path


def _ordered(patches: Path, *words: str) -> np.ndarray[Any, Any]:
    out = patches.with_name("out.tif")
    words = ("order", str(patches), "-o", str(out), "--space", "srgb", "--overwrite", *words)
    assert main(words) == 0
    with Image.open(out) as image:  # a reader that did not write it
        assert pytest.approx(float(image.info["dpi"][0]), rel=1e-4) == 25.4
    return np.asarray(tifffile.imread(out)) // 257


def test_the_order_holds_its_crop_and_its_edge(
    patches: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """At 1 px a mm: a bar of 2 cm and a back of 2 cm are 40 px; NumPy's own padding mirrors."""
    with Image.open(patches) as image:
        pixels = np.asarray(image)
    size = ("--size", "24x16cm")
    assert (pixels == _ordered(patches, *size)).all()
    cropped = _ordered(patches, "--size", "16x16cm", "--crop", "frame", "--crop-place", "0.25")
    assert (pixels[:, 20:180] == cropped).all()
    pads = ((40, 40), (40, 40), (0, 0))
    mirrored = _ordered(patches, *size, "--edge", "mirrored", "--edge-width", "20")
    assert (np.pad(pixels, pads, mode="symmetric") == mirrored).all()
    black = _ordered(patches, *size, "--edge", "black", "--edge-width", "2cm")
    assert (np.pad(pixels, pads) == black).all()
    white = _ordered(patches, *size, "--edge", "margin", "--edge-width", "40")
    assert (np.pad(pixels, pads, constant_values=255) == white).all()
    bled = _ordered(patches, *size, "--bleed", "3")
    assert (np.pad(pixels, ((3, 3), (3, 3), (0, 0)), mode="symmetric") == bled).all()
    runs_on = _ordered(
        patches, "--size", "16x8cm", "--edge", "picture", "--edge-width", "20"
    )  # all of it is printed: 4 cm each side go round
    assert (pixels == runs_on).all()
    said = capsys.readouterr().out
    assert "Of a sheet of 24 × 16 cm, 16 × 8 cm stay visible" in " ".join(said.split())
