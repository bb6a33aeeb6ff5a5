"""A hint of the print's surface: seen, and nowhere else."""

from __future__ import annotations

import numpy as np
import pytest

from app.views.surface import PERIOD_MM, SurfaceHint, mirror_strength, relief
from tests.window.conftest import pixels, settle


@pytest.mark.parametrize("texture", ["woven", "textured", "pebbled", "fine grain"])
def test_a_relief_continues_on_all_sides_and_is_neutral(texture: str) -> None:
    """No seam: steps across the edge are as those within. Light and shade without colour."""
    tile = relief(texture, 8.0 / PERIOD_MM[texture])
    assert tile is not None
    assert (tile[..., 0] == tile[..., 1]).all() and (tile[..., 1] == tile[..., 2]).all()
    assert (tile[..., :3].max(axis=-1) <= tile[..., 3]).all()  # premultiplied
    shade = tile[..., 0].astype(int) * 2 - tile[..., 3]
    inside = np.abs(np.diff(shade, axis=1)).mean()
    seam = np.abs(shade[:, 0] - shade[:, -1]).mean()
    assert seam < 2.5 * inside + 1.0


def test_what_is_too_fine_is_not_drawn_and_grows_with_the_print() -> None:
    """Under two pixels from thread to thread there is nothing; threads are as wide as they are."""
    assert relief("woven", 1.0) is None and relief("smooth", 100.0) is None
    assert relief("unheard of", 10.0) is None
    faint, full = relief("woven", 3.0), relief("woven", 8.0)
    assert faint is not None and full is not None
    assert 0 < faint[..., 3].mean() < full[..., 3].mean()

    def waves(tile: np.ndarray) -> int:
        rows = tile[..., 3].astype(float).mean(axis=0)
        return int(np.argmax(np.abs(np.fft.rfft(rows - rows.mean()))))

    assert waves(relief("woven", 4.0)) > 1.5 * waves(relief("woven", 10.0))


def test_gloss_mirrors_more_than_matte_and_a_pane_instead_of_the_print() -> None:
    """Float glass reflects about 8 %, both sides together (Fresnel at n = 1.5: 4 % each)."""
    gloss, half, matte = (
        mirror_strength(SurfaceHint("smooth", gloss, 0.0, 0.1)) for gloss in (75.0, 22.0, 3.0)
    )
    assert gloss > half > matte == 0.0
    assert mirror_strength(SurfaceHint("smooth", 3.0, 0.08, 0.1)) > 0.08
    assert mirror_strength(SurfaceHint("smooth", 3.0, 0.01, 0.1)) < 0.03


def test_the_hint_lies_over_the_print_and_its_margin_only(window, qtbot) -> None:
    """Not over the photograph, the wall or any number; the caption says that it is drawn."""
    session = window.session
    session.change(stock="canvas", size_mm=(60.0, 40.0), marks=frozenset())
    session.run("true_size")
    session.probe(10.0, 10.0)
    settle(window, qtbot)
    before = pixels(window.pair.print).astype(int)
    photograph, said = pixels(window.pair.photograph), window.probe.reading
    session.run("surface_hint")
    session.gesture(lambda view: view.at_scale(12.0))
    settle(window, qtbot)
    assert "drawn and not measured" in window.pair.print.caption
    with_hint = pixels(window.pair.print).astype(int)
    session.run("surface_hint")
    settle(window, qtbot)
    without = pixels(window.pair.print).astype(int)
    changed = np.abs(with_hint - without)[40:].max(axis=-1) > 0
    assert changed.mean() > 0.05
    view = session.viewport
    left = view.origin[0] - round(view.margin * view.scale)
    if left > 2:
        assert not changed[:, : left - 1].any()
    assert said == window.probe.reading
    session.run("whole_picture")
    settle(window, qtbot)
    assert (pixels(window.pair.photograph).shape, before.shape) == (photograph.shape, without.shape)
    mean = with_hint[60:200, 300:340].mean() - without[60:200, 300:340].mean()
    assert abs(mean) < 6.0  # it tells the surface, not another tone


def test_a_saved_pair_has_no_surface(window, qtbot, tmp_path) -> None:
    session = window.session
    session.save_pair(str(tmp_path / "plain.png"))
    settle(window, qtbot)
    session.run("surface_hint")
    session.save_pair(str(tmp_path / "hint.png"))
    settle(window, qtbot)
    assert (tmp_path / "plain.png").read_bytes() == (tmp_path / "hint.png").read_bytes()
