"""Is there detail, and is it still there on the print? Visibility of what the scan measured.

A range of one just-noticeable step of a wave of the best size is just seen; waves of other sizes
need more, by :mod:`proofing.findings.sight`. The energies of all bands are weighted so and added
up: one channel with a contrast sensitivity in front of it, the plainest published model of pattern
detection that takes the size of detail into account. Grain is not detail: what white noise of the
strength found at the pixel's scale would bring to a band is taken away first.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from proofing.findings.scan import Tones, grain_energy
from proofing.findings.sight import BANDS, L_GRID_CD_M2, band_weights, fine_bands
from proofing.findings.visibility import luminance_cd_m2

Float = npt.NDArray[np.float64]

CLEAR = 2.0
"""Thresholds from which detail in the file counts as something to lose."""
LOST_BELOW = 1.0
"""Thresholds below which it is lost on the print: not even just noticeable."""

# samples that go into the mean square of a band, about; a band's neighbours are not independent
_SAMPLES = np.array([150.0, 40.0, 12.0, 6.0, 4.0, 4.0, 4.0, 4.0])
GRAIN_MARGIN = 1.0 + 3.0 * np.sqrt(2.0 / _SAMPLES)
"""Mean square beyond that expected of grain which chance alone hardly ever brings, by band."""
SKIRT = 1.0
"""A wave reaches into the bands next to its own. Fine detail must be at least so much as visible as
the coarser band beside it, or it is the skirt of that."""
COARSER_GRAIN = 10.0
"""Grain that compression has smoothed holds at most so much more in the coarser bands than its
finest part tells (measured on grey noise of 1 code through JPEG at quality 92: 7 times)."""
_TONE_STEPS = 20.0
_ENOUGH_CELLS = 40
_FROM_QUIETEST = 1.25  # from the quietest tenth to the mean of what varies by chance


def local_weights(L_cd_m2: Float, arcmin: float, white_cd_m2: float) -> Float:
    """Band weights at the luminance of each cell.

    Parameters
    ----------
    L_cd_m2
        (...) mean luminance.
    arcmin
        Angle of a working pixel.
    white_cd_m2
        Luminance of white in the scene.

    Returns
    -------
    ndarray
        (..., BANDS), see :func:`~proofing.findings.sight.band_weights`.
    """
    table = band_weights(arcmin, white_cd_m2)
    x = np.log(np.clip(L_cd_m2, L_GRID_CD_M2[0], L_GRID_CD_M2[-1]))
    grid = np.log(L_GRID_CD_M2)
    i = np.clip(np.searchsorted(grid, x) - 1, 0, len(grid) - 2)
    t = ((x - grid[i]) / (grid[i + 1] - grid[i]))[..., None]
    return np.asarray(table[i] * (1.0 - t) + table[i + 1] * t)


def grain_floor(energy: Float, grain: Float, weight: Float, mean_steps: Float) -> Float:
    """Mean square that grain brings to each band of each cell, (R, C, BANDS).

    White noise of the strength that is found at the pixel's scale brings a known share to each
    band. Compression takes the finest grain away and leaves the rest, so that a picture may hold
    more: what even the quietest tenth of all cells of a tone hold counts as grain too, up to
    :data:`COARSER_GRAIN` times what white noise would bring.

    Parameters
    ----------
    energy
        (R, C, BANDS) mean squares.
    grain
        (R, C) standard deviation at the pixel's scale.
    weight, mean_steps
        (R, C) how much of the cell there is, and its tone.
    """
    white = grain_energy(grain)
    tone = np.floor(mean_steps / _TONE_STEPS).astype(int)
    quietest = np.zeros_like(energy)
    present = weight > 0.0
    for value in np.unique(tone[present]):
        alike = present & (tone == value)
        if np.count_nonzero(alike) >= _ENOUGH_CELLS:
            quietest[alike] = np.percentile(energy[alike], 10.0, axis=0) * _FROM_QUIETEST
    return np.asarray(np.maximum(white, np.minimum(quietest, COARSER_GRAIN * white)))


def visibility(
    energy: Float, floor: Float, mean_steps: Float, arcmin: float, white_cd_m2: float
) -> Float:
    """Detail of each cell in multiples of what is just seen.

    Returns (3, ...): fine detail, all detail, and the band next to the fine ones.

    Parameters
    ----------
    energy
        (..., BANDS) mean squares in steps.
    floor
        (..., BANDS) what grain brings to them.
    mean_steps
        (...) mean tone.
    arcmin, white_cd_m2
        As for :func:`local_weights`.
    """
    weights = local_weights(luminance_cd_m2(mean_steps), arcmin, white_cd_m2)
    assert energy.shape[-1] == BANDS
    detail = np.maximum(energy - GRAIN_MARGIN * floor, 0.0)
    fine = fine_bands(arcmin)
    seen = weights * detail
    alone = seen[..., :fine].sum(axis=-1)
    return np.asarray(np.sqrt(np.stack([alone, seen.sum(axis=-1), seen[..., fine]])))


def in_file(tones: Tones, arcmin: float, white_cd_m2: float) -> Float:
    """Visibility of the file's detail on the reference display, (2, R, C)."""
    fine, everything, beside = visibility(
        tones.file_energy, file_floor(tones), tones.file_steps, arcmin, white_cd_m2
    )
    return np.stack([np.where(fine >= SKIRT * beside, fine, 0.0), everything])


def on_print(tones: Tones, arcmin: float, white_cd_m2: float) -> Float:
    """Visibility of the print's detail in the room, (2, R, C)."""
    return visibility(
        tones.print_energy, print_floor(tones), tones.print_steps, arcmin, white_cd_m2
    )[:2]


def file_floor(tones: Tones) -> Float:
    """What grain brings to the bands of the file, (R, C, BANDS)."""
    return grain_floor(tones.file_energy, tones.file_grain, tones.weight, tones.file_steps)


def print_floor(tones: Tones) -> Float:
    """What grain brings to the bands of the print, (R, C, BANDS)."""
    return grain_floor(tones.print_energy, tones.print_grain, tones.weight, tones.file_steps)


def lost(file: Float, print_: Float) -> npt.NDArray[np.bool_]:
    """Where detail that is clear in the file is not even just noticeable on the print.

    Fine detail is judged on its own, and all detail together: the weave of a coat may be lost
    while its folds remain.

    Parameters
    ----------
    file, print_
        (2, ...) from :func:`in_file` and :func:`on_print`.

    Returns
    -------
    ndarray
        (2, ...).
    """
    return np.asarray((file >= CLEAR) & (print_ < LOST_BELOW))
