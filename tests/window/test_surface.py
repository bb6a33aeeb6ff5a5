"""A hint of the print's surface: seen, and nowhere else."""

from __future__ import annotations

import numpy as np
import pytest

from app.views import relief
from app.views.relief import PERIOD_MM, THREAD_MM, sampled, shade
from app.views.surface import AWAY_M, WINDOW_MM, SurfaceHint, hint_of
from proofing.findings.kinds import Kind
from tests.window.conftest import pixels, settle

KINDS = ("woven", "textured", "tooth", "pebbled", "fine grain")


@pytest.mark.parametrize("kind", KINDS)
def test_a_relief_continues_on_all_sides(kind: relief.Relief) -> None:
    """No seam: the step to the next period is as those within; light and shade even out."""
    tile = shade(kind, 0.05)
    assert tile is not None
    assert abs(float(tile.mean())) < 1e-4
    for axis in (0, 1):
        steps = np.abs(tile - np.roll(tile, 1, axis=axis)).mean(axis=1 - axis)
        assert steps[0] <= 1.1 * steps[1:].max()
    assert 0.003 < float(tile.std()) < 0.08  # a hint: some per cent of the luminance


def test_the_cloth_has_as_many_threads_as_it_should() -> None:
    """Twenty to the centimetre: the strongest wave down the sheet, whence the light comes."""
    tile = shade("woven", 0.02)
    assert tile is not None
    waves = np.abs(np.fft.rfft(tile, axis=0)).mean(axis=1)
    per_thread = round(PERIOD_MM / THREAD_MM)
    assert int(waves[1:].argmax()) + 1 in (per_thread // 2, per_thread)


def test_what_is_too_fine_is_gone_and_makes_no_false_pattern() -> None:
    """A sampled wave under two pixels long would come back as a coarse one (the sampling theorem):
    there must be nothing of it. An eye far away takes it too, by its Gaussian."""
    assert shade("woven", 1.0) is None and shade("tooth", 0.5) is None
    assert shade("woven", 0.05, spread_mm=1.0) is None
    near, far = shade("textured", 0.05), shade("textured", 0.3)
    assert near is not None and far is not None
    assert float(far.std()) < float(near.std())
    coarse = shade("woven", 0.3)
    if coarse is not None:
        at = (np.arange(400) + 0.5) * 0.3
        assert float(sampled(coarse, at, at).std()) < 0.3 * float(shade("woven", 0.05).std())


def test_the_same_place_of_the_print_has_the_same_thread_however_it_is_cut() -> None:
    """Panning shows no seams: a part that is made anew continues the one before."""
    tile = shade("woven", 0.1)
    assert tile is not None
    at = (np.arange(-30, 300) + 0.5) * 0.1
    whole = sampled(tile, at, at)
    assert np.array_equal(whole[50:, 70:], sampled(tile, at[70:], at[50:]))


def hint(window, qtbot, **values) -> SurfaceHint:
    """The hint of the print of a setting."""
    session = window.session
    session.change(size_mm=(600.0, 400.0), distance_m=1.2, **values)
    settle(window, qtbot)
    return hint_of(session.baked, session.sight.viewport, (600.0, 400.0), 1.2)


def test_gloss_mirrors_sharper_and_more_than_matte_and_glass_most(window, qtbot) -> None:
    """Fresnel at n = 1.5 is 4 % for the sheet; a float pane has two faces, some 8 % together."""
    gloss, lustre, matte, pane = (
        hint(window, qtbot, stock=stock, glazing=glazing)
        for stock, glazing in (
            ("gloss", "no glass"), ("lustre", "no glass"), ("smooth matte", "no glass"),
            ("smooth matte", "float glass"),
        )
    )  # fmt: skip
    brightest = [max((v.strength for v in h.veils), default=0.0) for h in (gloss, lustre, matte)]
    assert brightest == sorted(brightest, reverse=True) and brightest[2] < 0.1 * brightest[0]
    assert gloss.veils[0].spread_mm < lustre.veils[0].spread_mm
    (glass,) = pane.veils
    assert glass.strength / gloss.veils[0].strength == pytest.approx(2.0, rel=0.1)
    assert glass.spread_mm < gloss.veils[0].spread_mm
    assert (gloss.relief, lustre.relief, matte.relief) == (None, "pebbled", "tooth")


def test_the_mirror_image_is_as_large_as_a_flat_mirror_makes_it(window, qtbot) -> None:
    """Similar triangles: an eye at d before a mirror sees what stands D before it d / (d + D) as
    large in its plane."""
    shown = hint(window, qtbot, stock="gloss")
    at = np.arange(0.5, 1200.0)
    light = shown.light(at, at)
    assert light is not None
    lit = light.max(axis=0) > 0.5 * light.max()
    expected = WINDOW_MM[0] * 1.2 / (1.2 + AWAY_M)
    assert np.ptp(np.flatnonzero(lit)) == pytest.approx(expected, abs=4.0)


def sheet_of(window, canvas) -> tuple[slice, slice]:
    """Rows and columns of the sheet with its margin, below the caption."""
    view = window.session.sight.viewport
    margin = round(view.margin * view.scale)
    left, top = view.origin
    right, bottom = left + round(view.width * view.scale), top + round(view.height * view.scale)
    return slice(max(top - margin, 30), bottom + margin), slice(
        max(left - margin, 0), right + margin
    )


@pytest.mark.parametrize(
    ("stock", "size_mm"), [("canvas", (30.0, 20.0)), ("gloss", (600.0, 400.0))]
)
def test_the_hint_lies_over_the_print_and_its_margin_only(window, qtbot, stock, size_mm) -> None:
    """Not over the photograph, the wall or any number; neutral, and no other tone on the whole; the
    caption says that it is drawn."""
    session = window.session
    session.change(stock=stock, size_mm=size_mm, marks=frozenset())
    session.probe(10.0, 10.0)
    settle(window, qtbot)
    plain, photograph = pixels(window.pair.print), pixels(window.pair.photograph)
    said = window.probe.reading
    session.run("surface_hint")
    settle(window, qtbot)
    assert "drawn and not measured" in window.pair.print.caption
    assert window.menus.actions["surface_hint"].isChecked()
    difference = pixels(window.pair.print).astype(int) - plain
    rows, columns = sheet_of(window, window.pair.print)
    changed = np.abs(difference).max(axis=-1) > 0
    assert changed[rows, columns].mean() > 0.1
    view, ring = session.sight.viewport, changed.copy()
    left, top = view.origin
    ring[
        top : top + round(view.height * view.scale), left : left + round(view.width * view.scale)
    ] = 0
    assert ring[rows, columns].any()  # the margin too
    changed[rows, columns] = False
    assert not changed[30:].any()
    assert np.abs(difference[30:].mean(axis=(0, 1))).max() < 4.0
    assert np.array_equal(pixels(window.pair.photograph)[30:], photograph[30:])
    assert said == window.probe.reading
    session.run("surface_hint")
    settle(window, qtbot)
    assert np.array_equal(pixels(window.pair.print), plain)


def test_marks_lie_over_the_surface_as_they_are(window, qtbot) -> None:
    session = window.session
    session.change(stock="canvas", size_mm=(30.0, 20.0), marks=frozenset(Kind))
    settle(window, qtbot)
    marks = session.sight.detail.print.marks
    session.run("surface_hint")
    settle(window, qtbot)
    assert session.sight.detail.print.relief is not None
    assert marks is not None and marks[..., 3].any()
    assert np.array_equal(marks, session.sight.detail.print.marks)


def test_both_prints_beside_each_other_have_their_own_surface(window, qtbot) -> None:
    session = window.session
    session.change(stock="canvas", size_mm=(30.0, 20.0))
    settle(window, qtbot)
    session.run("keep_print")
    session.change(stock="gloss")
    session.run("surface_hint")
    settle(window, qtbot)
    assert session.sight.detail.photograph.relief is not None
    assert "drawn and not measured" in window.pair.photograph.caption


def test_each_print_of_a_sheet_says_that_its_surface_is_drawn(window, qtbot) -> None:
    window.session.change(size_mm=(30.0, 20.0))
    window.session.run("stand_stocks")
    window.session.run("surface_hint")
    settle(window, qtbot)
    shown = [cell for cell in window.pair.sheet.cells if cell.isVisible()]
    assert shown and all("surface drawn, not measured" in cell.caption for cell in shown)
    overlays = [
        window.session.sheet.frames(one)[1].print.relief for one in window.session.sheet.prints
    ]
    assert any(overlay is not None for overlay in overlays)


def test_a_saved_pair_has_no_surface(window, qtbot, tmp_path) -> None:
    session = window.session
    session.change(stock="canvas", size_mm=(30.0, 20.0))
    settle(window, qtbot)
    session.save_pair(str(tmp_path / "plain.png"))
    settle(window, qtbot)
    session.run("surface_hint")
    settle(window, qtbot)
    session.save_pair(str(tmp_path / "hint.png"))
    settle(window, qtbot)
    assert (tmp_path / "plain.png").read_bytes() == (tmp_path / "hint.png").read_bytes()
