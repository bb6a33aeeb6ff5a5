"""Fewer pixels for the lab: in light, held to Pillow and to colour-science's own decoding."""

from __future__ import annotations

from pathlib import Path

import colour
import numpy as np
import pytest
import tifffile
from PIL import Image

from proofing.errors import SettingError
from proofing.ordering.order_file import Order, PrintSize, write_order
from proofing.ordering.reducing import pixels_for, reduced
from proofing.ordering.spaces import order_space
from proofing.photograph import photograph_from_array


@pytest.fixture(scope="module")
def codes() -> np.ndarray:
    """Noise over a ramp, 16 bits."""
    noise = np.random.default_rng(3).integers(-9000, 9000, (96, 144, 3))
    ramp = np.linspace(8000, 57000, 144)[None, :, None]
    return np.clip(ramp + noise, 0, 65535).astype(np.uint16)


def test_pixels_are_averaged_in_light(codes: np.ndarray) -> None:
    """Each channel decoded by colour-science (IEC 61966-2-1), resized by Pillow, coded again."""
    small = reduced(photograph_from_array(codes), (48, 32))
    for channel in range(3):
        light = colour.models.eotf_sRGB(codes[..., channel] / 65535.0).astype(np.float32)
        image = Image.fromarray(light, mode="F").resize((48, 32), Image.Resampling.HAMMING)
        wanted = colour.models.eotf_inverse_sRGB(np.clip(np.asarray(image), 0.0, 1.0))
        assert np.abs(wanted - small.codes[..., channel]).max() < 1.0 / 1023.0


def test_a_picture_with_no_more_than_is_asked_stays() -> None:
    """Nothing is added, whatever is asked for."""
    assert pixels_for((3000, 2000), 250.0, 300.0) == (3000, 2000)
    assert pixels_for((3000, 2000), 250.0, None) == (3000, 2000)
    picture = photograph_from_array(np.zeros((20, 30, 3), np.uint8))
    assert reduced(picture, (30, 20)) is picture
    with pytest.raises(SettingError, match="never added"):
        reduced(picture, (31, 20))


def test_the_file_has_the_ppi_that_was_asked_for(codes: np.ndarray, tmp_path: Path) -> None:
    """144 px on 12.192 mm are 300 ppi; reduced to 150 they are 72, and the size is kept."""
    order = Order(PrintSize(12.192 * 2, 8.128 * 2), order_space("srgb"), most_ppi=75.0)
    written = write_order(photograph_from_array(codes), order, tmp_path / "a.tif")
    assert (written.layout.width_px, written.layout.height_px) == (72, 48)
    assert float(written.layout.ppi) == pytest.approx(75.0)
    assert "reduced from 144 × 96 to 72 × 48 pixels" in written.sentences[0]
    mean = colour.models.eotf_sRGB(tifffile.imread(tmp_path / "a.tif") / 65535.0).mean()
    assert mean == pytest.approx(colour.models.eotf_sRGB(codes / 65535.0).mean(), rel=2e-3)


def test_what_is_transparent_gives_no_colour() -> None:
    """A red disc on nothing keeps its red at the rim; grey stays one plane."""
    y, x = np.mgrid[:64, :64]
    disc = ((x - 32) ** 2 + (y - 32) ** 2 < 400).astype(np.uint8)
    codes = disc[..., None] * np.array([200, 30, 30], np.uint8)
    small = reduced(photograph_from_array(codes, alpha=255 * disc), (16, 16))
    assert small.alpha is not None
    rim = (small.alpha > 60) & (small.alpha < 200)
    assert rim.any() and np.abs(255 * small.codes[rim] - [200, 30, 30]).max() < 2.0
    grey = reduced(photograph_from_array(disc * 100, mode="grey"), (16, 16))
    assert grey.codes.strides[2] == 0


def test_an_order_refuses_what_makes_no_sense() -> None:
    with pytest.raises(SettingError, match="30 to 5000 ppi"):
        Order(PrintSize(100.0, 100.0), most_ppi=3.0)


def test_no_ring_is_drawn_round_a_light() -> None:
    """A lamp on a dark ground: nothing gets darker than the ground or lighter than the lamp."""
    codes = np.full((90, 600, 3), 25, np.uint8)
    codes[30:60, 300:] = 255
    for width in (599, 400, 311, 120):
        small = reduced(photograph_from_array(codes), (width, round(90 * width / 600))).codes
        assert small.min() >= 24.9 / 255 and small.max() <= 1.0 + 1e-6
