"""The scan: the same for any tiles, bounded in memory, and right where the answer is known."""

from __future__ import annotations

import functools
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofing.catalogue import Catalogue
from proofing.engine import Engine
from proofing.errors import Cancelled
from proofing.findings import detail
from proofing.findings.scan import CELL, Scan, scan, working_factor
from proofing.findings.sight import (
    L_GRID_CD_M2,
    band_gains,
    band_weights,
    pixel_arcmin,
    relative_threshold,
    sensitivity,
)
from proofing.findings.visibility import step_size_cd_m2, steps
from proofing.lattice import Lattice
from proofing.photograph import Photograph, photograph_from_array
from proofing.request import ProofRequest
from proofing.screen import Screen
from proofing.viewing import Room


@functools.cache
def table() -> Lattice:
    catalogue = Catalogue.load(Path("/nonexistent"))
    photograph = photograph_from_array(np.zeros((1, 1, 3), np.uint8))
    room = Room(catalogue.light("D50"), 50.0)
    request = ProofRequest(photograph, catalogue.stock("canvas"), room, Screen())
    return Engine().bake_scan(request, 33)


def scanned(photograph: Photograph, arcmin: float, tile: int = 512, **kw: object) -> Scan:
    return scan(
        table(), photograph, arcmin=arcmin, tolerance=3.0, tile=tile, **kw
    )  # type: ignore[arg-type]  # fmt: skip


def picture(seed: int, height: int, width: int, *, alpha: bool = False) -> Photograph:
    """Blotches, waves and grain in dark, middle and light tones."""
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[0:height, 0:width]
    grey = 128 + 110 * np.sin(x / 37.0 + seed) * np.cos(y / 23.0)
    codes = grey[..., None] + rng.normal(0, 6, (height, width, 3)) + [0, 9, -9]
    codes = np.clip(np.rint(codes), 0, 255).astype(np.uint8)
    if alpha:
        cover = np.where(rng.random((height, width, 1)) < 0.3, 0, 255).astype(np.uint8)
        return photograph_from_array(codes, alpha=cover[..., 0])
    return photograph_from_array(codes)


def assert_same(one: Scan, other: Scan) -> None:
    np.testing.assert_array_equal(one.sums, other.sums)
    for a, b in ((one.dark, other.dark), (one.light, other.light)):
        for name in ("weight", "file_steps", "print_steps", "file_energy", "print_energy",
                     "file_grain", "print_grain"):  # fmt: skip
            np.testing.assert_array_equal(getattr(a, name), getattr(b, name))


@settings(deadline=None, max_examples=25)
@given(
    height=st.integers(1, 260), width=st.integers(1, 260), alpha=st.booleans(),
    tile=st.sampled_from([8, 24, 64, 96]), arcmin=st.sampled_from([0.01, 0.2, 0.3, 0.5, 1.0]),
    workers=st.integers(1, 2),
)  # fmt: skip
def test_whole_or_in_tiles_it_is_the_same(
    height: int, width: int, alpha: bool, tile: int, arcmin: float, workers: int
) -> None:
    """Bit for bit, whatever the tiles and threads."""
    photograph = picture(3, height, width, alpha=alpha)
    whole = scanned(photograph, arcmin, tile=4096, workers=1)
    assert_same(whole, scanned(photograph, arcmin, tile=tile, workers=workers))


def test_every_pixel_is_counted_once() -> None:
    """Sums over the cells are counts over the picture; transparent pixels are none."""
    photograph = picture(1, 133, 217, alpha=True)
    found = scanned(photograph, 0.3)
    assert found.factor == 2
    assert photograph.alpha is not None
    assert found.pixels.sum() == (photograph.alpha >= 128).sum()
    from proofing.findings import _scan_kernels as kernels

    opaque = photograph.codes[photograph.alpha >= 128]
    for channel in range(3):
        top = found.sums[..., kernels.TOP + channel].sum()
        assert top == (opaque[:, channel] == 255).sum()
    assert found.sums[..., kernels.BOTTOM].sum() == (opaque == 0).all(axis=1).sum()


def test_memory_does_not_grow_with_the_picture() -> None:
    """Sixteen times the pixels take less than twice the working memory beyond the cells."""
    peaks = []
    for side in (500, 2000):
        codes = np.random.default_rng(0).integers(0, 256, (side, side, 3), dtype=np.uint8)
        photograph = photograph_from_array(codes)
        scanned(photograph, 0.2, tile=128, workers=1)  # whatever is made once
        tracemalloc.start()
        found = scanned(photograph, 0.2, tile=128, workers=1)
        _, peak = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        cells = found.sums.nbytes * 6  # sums, and the energies and grains of two classes
        peaks.append(max(peak - cells, 1))
    assert peaks[1] < 2 * peaks[0] + 1_000_000


@pytest.mark.parametrize("arcmin", [0.5, 0.002])
def test_memory_is_bounded_from_afar_too(arcmin: float) -> None:
    """Six megapixels whose cells are thousands of pixels wide take no more than near ones."""
    codes = np.random.default_rng(0).integers(0, 256, (2000, 3000, 3), dtype=np.uint8)
    photograph = photograph_from_array(codes)
    scanned(photograph, arcmin, workers=1)
    tracemalloc.start()
    scanned(photograph, arcmin, workers=1)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 120e6


def test_it_can_be_called_off() -> None:
    """Cancelled is raised between tiles."""
    with pytest.raises(Cancelled):
        scanned(picture(1, 300, 300), 0.5, tile=64, cancel=lambda: True)


def test_progress_reaches_the_end() -> None:
    """It rises, and the last is 1."""
    told: list[float] = []
    scanned(picture(1, 300, 300), 1.0, tile=64, workers=1, progress=told.append)
    assert told == sorted(told)
    assert told[-1] == pytest.approx(1.0)


# ---- sight ----------------------------------------------------------------------------------


def test_contrast_sensitivity_is_bartens() -> None:
    """Barten (1999), chapter 3, through colour-science: where the surround is as light as the
    target it is the plain function; away from it, on either side, less."""
    from proofing._colour import colour_science

    barten = colour_science().contrast.barten1999
    d = barten.pupil_diameter_Barten1999(20.0, 2.0)
    expected = barten.contrast_sensitivity_function_Barten1999(
        u=4.0,
        sigma=barten.sigma_Barten1999(0.5 / 60, 0.08 / 60, d),
        E=barten.retinal_illuminance_Barten1999(20.0, d),
        X_0=2.0,
    )
    assert sensitivity(4.0, 20.0, 20.0) == pytest.approx(float(expected))
    assert sensitivity(4.0, 1.0, 60.0) < sensitivity(4.0, 1.0, 1.0)


@pytest.mark.parametrize("L", [0.5, 3.0, 30.0, 150.0])
def test_thresholds_come_near_the_standard_at_its_own_target(L: float) -> None:
    """DICOM PS3.14 was derived from Barten's model for a target of 2 degrees at 4 cycles per
    degree: one just-noticeable step is the threshold there within a factor of 1.6."""
    assert 1 / 1.6 < relative_threshold(4.0, L, L) < 1.6
    contrast = step_size_cd_m2(L) / (2 * L)
    assert contrast * sensitivity(4.0, L, L) == pytest.approx(1 / relative_threshold(4.0, L, L))


@pytest.mark.parametrize("arcmin", [0.38, 0.5, 0.64, 0.75, 1.0, 1.2])
@pytest.mark.parametrize("L", [0.1, 1.0, 30.0])
def test_bands_add_up_to_the_sensitivity(arcmin: float, L: float) -> None:
    """For waves from 0.5 cycles per degree up to where half of the best sensitivity is left, the
    weighted bands give the range over its threshold within 40 %: octaves are wide for so steep a
    fall."""
    row = int(np.argmin(np.abs(np.log(L_GRID_CD_M2 / L))))
    omega = np.geomspace(0.02, 2.2, 60)
    u = omega / (2 * np.pi) * 60 / arcmin
    expected = 2.0 / relative_threshold(u, L_GRID_CD_M2[row], 32.0)
    got = np.sqrt(band_weights(arcmin, 160.0)[row] @ (band_gains(omega) ** 2 * 0.5).T)
    chosen = (u >= 0.5) & (expected >= expected.max() / 2)
    assert np.abs(np.log(got / expected))[chosen].max() < np.log(1.4)


def test_acuity() -> None:
    """One minute of arc is 286 ppi at 12 inches and 72 at 48 (ppi = 3438 / distance in inches);
    at 4 ft the pixels of 150 and of 300 ppi are both averaged away by eyes that resolve half a
    minute... and at 12 inches neither is (common practice)."""
    assert pixel_arcmin(25.4 / 286.5, 12 * 0.0254) == pytest.approx(1.0, abs=0.002)
    assert pixel_arcmin(25.4 / 71.6, 48 * 0.0254) == pytest.approx(1.0, abs=0.002)
    at_4_ft = [working_factor(pixel_arcmin(25.4 / ppi, 48 * 0.0254)) for ppi in (150, 300)]
    assert at_4_ft == [1, 3]
    assert working_factor(pixel_arcmin(25.4 / 300, 12 * 0.0254)) == 1


def test_at_four_feet_300_ppi_shows_no_more_than_150() -> None:
    """Common practice. A wave at the pixel limit of 150 ppi, 75 cycles to the inch, is below a
    tenth of its threshold at 4 ft even at full contrast times 8; at arm's length it is seen."""
    for distance_in, seen in ((12, True), (48, False)):
        cpd = 75 * distance_in * np.tan(np.radians(1.0))
        assert bool(sensitivity(cpd, 100.0, 30.0) > 3.0) is seen
    assert sensitivity(75 * 48 * np.tan(np.radians(1.0)), 100.0, 30.0) < 1.0  # not at any contrast


def test_luminance_is_averaged_as_light_is() -> None:
    """A checkerboard of black and white, too fine to be seen, is a grey of half the luminance and
    not of half the steps."""
    codes = np.zeros((64, 64, 3), np.uint8)
    codes[::2, ::2] = codes[1::2, 1::2] = 110
    found = scanned(photograph_from_array(codes), 0.2)  # three pixels a side go into one
    assert found.factor == 3
    both = 0.5 * (0.5557 + (0.5557 + 159.4443 * ((110 / 255 + 0.055) / 1.055) ** 2.4))
    tone = found.dark.file_steps[1, 1]
    assert tone == pytest.approx(float(steps(both)), abs=12.0)  # 4 or 5 of 9 are lit
    assert found.cell_px == CELL * 3


def test_a_plain_picture_has_no_detail() -> None:
    """Nothing is seen in one tone, dark or light."""
    for code in (20, 240):
        found = scanned(photograph_from_array(np.full((90, 90, 3), code, np.uint8)), 0.7)
        tones = found.dark if code == 20 else found.light
        assert detail.in_file(tones, found.working_arcmin, 160.0).max() < 0.05
