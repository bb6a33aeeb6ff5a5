"""What an eye at the viewing distance resolves."""

from __future__ import annotations

import math

import numpy as np
import pytest
from PIL import Image

from app.main_window import MainWindow
from app.state import Setting
from app.views.eye_blur import added_spread_px, blurred, spread_arcmin
from proofing.screen import Screen
from tests.window.conftest import pixels, settle

SCREEN = Screen()


def linear(codes: np.ndarray) -> np.ndarray:
    """IEC 61966-2-1."""
    c = np.asarray(codes, float) / 255.0
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def codes_of(light: np.ndarray) -> np.ndarray:
    """IEC 61966-2-1, inverse, on 8 bits, as BGRX."""
    c = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    codes = np.rint(255.0 * c).astype(np.uint8)
    return np.repeat(codes[..., None], 4, axis=-1)


def test_the_eye_s_spread_is_that_of_the_literature() -> None:
    """Barten (1999), 3.2: sqrt(0.5^2 + (0.08 d)^2) minutes of arc; a pupil of 2 to 8 mm gives 0.52
    to 0.81, and the dimmer the wider."""
    values = [spread_arcmin(L) for L in (1000.0, 100.0, 10.0, 1.0, 0.01)]
    assert values == sorted(values)
    assert math.hypot(0.5, 0.08 * 2) - 0.02 < values[0] and values[-1] < math.hypot(0.5, 0.08 * 8)


@pytest.mark.parametrize("spread", [0.8, 2.0, 5.0])
def test_a_wave_keeps_the_contrast_that_the_spread_leaves(spread: float) -> None:
    """In light: exp(-2 pi^2 sigma^2 u^2), the transform of a Gaussian."""
    period = 6.0 * spread
    x = np.arange(600)
    wave = 0.5 + 0.4 * np.sin(2 * np.pi * x / period)
    made = linear(blurred(codes_of(np.tile(wave, (40, 1))), spread, SCREEN)[20, 100:-100, 1])
    expected = 0.4 * math.exp(-2 * (math.pi * spread / period) ** 2)
    assert (made.max() - made.min()) / 2 == pytest.approx(expected, rel=0.04)
    assert made.mean() == pytest.approx(0.5, abs=0.01)


def test_a_fine_board_turns_into_the_mean_of_its_light() -> None:
    """Black and white pixels: half the light is code 188 (IEC 61966-2-1), not 128."""
    board = np.indices((64, 64)).sum(axis=0) % 2
    made = blurred(codes_of(board.astype(float)), 3.0, SCREEN)
    assert abs(int(made[32, 32, 1]) - 188) <= 1


def test_plain_areas_and_what_is_not_spread_stay_as_they_are() -> None:
    flat = codes_of(np.full((20, 20), 0.2))
    assert blurred(flat, 0.1, SCREEN) is flat
    assert np.abs(blurred(flat, 4.0, SCREEN).astype(int) - flat)[..., :3].max() <= 1


def test_nothing_is_added_where_the_print_is_seen_as_large_as_from_there() -> None:
    """The onlooker's own eye does it, if its pupil is as wide; much larger, all of the spread is
    added. In a dim room the pupil is wider than before the screen: the difference of the squares
    of Barten's spreads stays."""
    assert added_spread_px(30.0, 30.0, 0.1, 1.5, 1.0) == 0.0
    assert added_spread_px(30.0, 3.0, 0.1, 1.5, 1.0) == 0.0
    more = math.sqrt(spread_arcmin(1.0) ** 2 - spread_arcmin(24.0) ** 2)
    mm = math.tan(math.radians(more / 60.0)) * 1500.0
    assert added_spread_px(1.0, 24.0, 0.1, 1.5, 1.0) == pytest.approx(mm / 0.1, rel=1e-3)
    far = math.tan(math.radians(spread_arcmin(30.0) / 60.0)) * 1500.0 / 0.1
    assert added_spread_px(30.0, 30.0, 0.1, 1.5, 50.0) == pytest.approx(far, rel=1e-3)


def test_from_afar_fine_detail_is_gone_and_the_numbers_stay(make_window, qtbot, tmp_path) -> None:
    """Stripes of a millimetre from ten metres: grey in both pictures; near by they are there. The
    probe reads the file's codes all the while, and the caption says whose eye it is."""
    stripes = np.where(np.arange(120) % 2 == 0, 40, 220).astype(np.uint8)
    path = tmp_path / "stripes.png"
    Image.fromarray(np.repeat(np.tile(stripes, (80, 1))[..., None], 3, axis=-1)).save(path)
    window: MainWindow = make_window(
        Setting(photograph=str(path), size_mm=(120.0, 80.0), distance_m=10.0, marks=frozenset())
    )
    settle(window, qtbot)
    session = window.session

    def range_in(canvas) -> int:
        height, width = canvas.height(), canvas.width()
        part = pixels(canvas)[height // 2, width // 2 - 40 : width // 2 + 40, 1].astype(int)
        return int(np.ptp(part))

    sharp = [range_in(window.pair.photograph), range_in(window.pair.print)]
    session.probe(10.0, 10.0)
    settle(window, qtbot)
    said = window.probe.reading
    session.run("eye_blur")
    settle(window, qtbot)
    soft = [range_in(window.pair.photograph), range_in(window.pair.print)]
    assert all(now < 0.15 * was for now, was in zip(soft, sharp, strict=True))
    assert "as an eye at 10 m resolves it" in window.pair.photograph.caption
    assert said == window.probe.reading
    session.change(distance_m=0.3)
    settle(window, qtbot)
    assert range_in(window.pair.print) > 0.7 * sharp[1]
    session.run("eye_blur")
    settle(window, qtbot)
    assert [range_in(window.pair.photograph), range_in(window.pair.print)] == sharp


def test_panning_shows_no_seams(make_window, qtbot, tmp_path) -> None:
    """A part in sight is as it is in the whole: the spread reaches in from beyond its edge."""
    rng = np.random.default_rng(5)
    codes = rng.integers(0, 256, (400, 600, 3), np.uint8)
    path = tmp_path / "noise.png"
    Image.fromarray(codes).save(path)
    window = make_window(
        Setting(photograph=str(path), size_mm=(60.0, 40.0), distance_m=3.0, marks=frozenset())
    )
    settle(window, qtbot)
    window.session.run("eye_blur")
    window.session.run("pixel_for_pixel")
    window.session.run("nearer")
    window.session.run("nearer")
    settle(window, qtbot)
    session = window.session
    whole = session.sight.detail.print.bgrx
    x0, _, x1, _ = session.sight.detail.spec.crop
    assert (x1 - x0) < 600
    session.sight.gesture(lambda view: view.panned(-24.0, 0.0))
    settle(window, qtbot)
    u0, _, u1, _ = session.sight.detail.spec.crop
    assert u0 > x0
    left, right = max(x0, u0), min(x1, u1)
    one = whole[:, left - x0 : right - x0].astype(int)
    other = session.sight.detail.print.bgrx[:, left - u0 : right - u0].astype(int)
    assert np.abs(one - other).max() <= 1


def test_the_size_as_seen_shows_what_the_eye_resolves(make_window, ramp, qtbot) -> None:
    """It says so, and in a dim hallway the wider pupil spreads; zooming in ends it, unless the
    switch is on."""
    window = make_window(
        Setting(photograph=str(ramp), size_mm=(300.0, 200.0), distance_m=8.0, illuminance=5.0)
    )
    settle(window, qtbot)
    session = window.session
    assert session.sight.eye_spread_px == 0.0
    session.run("seen_size")
    settle(window, qtbot)
    assert session.sight.eye_spread_px > 0.3
    assert "as an eye at 8 m resolves it" in window.pair.photograph.caption
    session.change(illuminance=2000.0)
    settle(window, qtbot)
    assert session.sight.eye_spread_px == 0.0
    session.run("nearer")
    assert "resolves it" not in window.pair.photograph.caption
    session.run("eye_blur")
    assert "resolves it" in window.pair.photograph.caption
