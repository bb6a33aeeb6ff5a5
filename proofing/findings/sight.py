"""How much contrast an eye needs to see detail of a given size, at a given luminance.

Barten's contrast sensitivity (1999), which the grayscale standard display function of DICOM
PS3.14 was derived from too, tells it for any spatial frequency; :func:`band_weights` turns it
into weights for the octave bands in which :mod:`proofing.findings.scan` measures detail.
"""

from __future__ import annotations

import functools
import math

import numpy as np
import numpy.typing as npt

from proofing._colour import colour_science
from proofing.errors import SettingError
from proofing.findings.visibility import step_size_cd_m2
from proofing.language import tr

Float = npt.NDArray[np.float64]

FIELD_DEG = 2.0
"""Angular size of the detail that is looked at, as the standard target of DICOM PS3.14 has it."""
BACKGROUND = 0.2
"""Mean luminance of a scene relative to its white, to which the eye is adapted (grey world, the
background of CIECAM16; common practice)."""
FINE_FROM_CPD = 3.0
"""Bands whose middle lies from here on hold fine detail, texture: half a wave of three cycles per
degree is ten minutes of arc wide. What is coarser is modelling."""
BANDS = 8
"""Octaves, the finest first."""
L_GRID_CD_M2 = np.geomspace(1e-3, 1e4, 36)
"""Luminances at which weights are computed; between them they are interpolated."""


def sensitivity(u_cpd: npt.ArrayLike, L_cd_m2: npt.ArrayLike, surround_cd_m2: float) -> Float:
    """Contrast sensitivity of a typical observer who looks with both eyes.

    Parameters
    ----------
    u_cpd
        Spatial frequency, cycles per degree, above 0.
    L_cd_m2
        Luminance of the detail, above 0; broadcast against `u_cpd`.
    surround_cd_m2
        Luminance the eye is adapted to.

    Returns
    -------
    ndarray
        1 / m, m the modulation (L_max - L_min)/(L_max + L_min) that is just seen.

    Notes
    -----
    Barten (1999), chapter 3, with his constants for the typical observer, as colour-science has
    it. The lowering by an unequal surround is that of Barten (2004), "Formula for the contrast
    sensitivity of the human eye", equation 13 (from memory)::

        exp(-(ln^2(L_s/L q) - ln^2 q) / (2 ln^2 32)),  q = (1 + 144/X_0^2)^0.25

    >>> float(sensitivity(4.0, 20.0, 20.0).round())
    298.0
    """
    barten = colour_science().contrast.barten1999
    u = np.asarray(u_cpd, np.float64)
    L = np.asarray(L_cd_m2, np.float64)
    d = barten.pupil_diameter_Barten1999(L, FIELD_DEG)
    S = barten.contrast_sensitivity_function_Barten1999(
        u=u,
        sigma=barten.sigma_Barten1999(0.5 / 60.0, 0.08 / 60.0, d),
        E=barten.retinal_illuminance_Barten1999(L, d),
        X_0=FIELD_DEG,
    )
    q = math.log((1.0 + 144.0 / FIELD_DEG**2) ** 0.25)
    away = (np.log(surround_cd_m2 / L) + q) ** 2 - q**2
    return np.asarray(S * np.exp(-np.maximum(away, 0.0) / (2.0 * math.log(32.0) ** 2)))


def relative_threshold(u_cpd: npt.ArrayLike, L_cd_m2: npt.ArrayLike, surround: float) -> Float:
    """Range in just-noticeable steps, dark to light, at which detail is just seen.

    Parameters
    ----------
    u_cpd, L_cd_m2, surround
        As for :func:`sensitivity`; steps are those of :func:`~proofing.findings.visibility.steps`.
    """
    L = np.asarray(L_cd_m2, np.float64)
    return 2.0 * L / (step_size_cd_m2(L) * sensitivity(u_cpd, L, surround))


def pixel_arcmin(pixel_mm: float, distance_m: float) -> float:
    """Angle that a pixel of the print takes up, minutes of arc.

    >>> round(pixel_arcmin(25.4 / 300, 0.2911), 2)  # 300 ppi at arm's length: one minute
    1.0
    """
    return math.degrees(math.atan(pixel_mm / 1000.0 / distance_m)) * 60.0


def band_gains(omega: npt.ArrayLike) -> Float:
    """How much of a wave each band keeps.

    Parameters
    ----------
    omega
        (F,) radians per pixel of the finest level, 0..pi.

    Returns
    -------
    ndarray
        (F, BANDS). Band b is what the binomial blur (1 4 6 4 1)/16 takes away from level b of a
        pyramid whose next level is every second pixel of the blurred one.
    """
    w = np.asarray(omega, np.float64)[:, None]
    gains = np.empty((len(w), BANDS))
    kept = np.ones(len(w))
    for b in range(BANDS):
        # beyond a level's own limit a wave is folded back; its blurred rest is what it is
        blur = np.cos(0.5 * w[:, 0] * 2.0**b) ** 4
        gains[:, b] = kept * (1.0 - blur)
        kept = kept * blur
    return gains


def band_weights(arcmin: float, white_cd_m2: float) -> Float:
    """Weights that turn band energies into squared visibility.

    Parameters
    ----------
    arcmin
        Angle of a pixel of the finest level.
    white_cd_m2
        Luminance of white in the scene.

    Returns
    -------
    ndarray
        (len(L_GRID_CD_M2), BANDS), not negative: with e_b the mean square of band b in steps,
        ``sqrt(sum(weights * e))`` is about the range of a wave over its threshold, 1 where it is
        just seen.
    """
    if not (math.isfinite(arcmin) and arcmin > 0.0):
        raise SettingError("arcmin", arcmin, tr("use an angle above 0"))
    return _band_weights(round(arcmin, 6), round(white_cd_m2, 4))


@functools.lru_cache(maxsize=64)
def _band_weights(arcmin: float, white_cd_m2: float) -> Float:
    from scipy.optimize import nnls

    omega = np.geomspace(2.0 ** (-BANDS + 1), math.pi * 0.9, 80)
    u_cpd = omega / (2.0 * math.pi) * 60.0 / arcmin
    energy = band_gains(omega) ** 2 * 0.5  # mean square of a wave of amplitude 1
    weights = np.empty((len(L_GRID_CD_M2), BANDS))
    for row, L in enumerate(L_GRID_CD_M2):
        threshold = relative_threshold(u_cpd, L, BACKGROUND * white_cd_m2)
        aim = (2.0 / threshold) ** 2  # a wave of amplitude 1 ranges over two steps
        # relative errors count, but not below an eighth of the best: little is seen there
        trust = 1.0 / np.maximum(aim, aim.max() / 64.0)
        weights[row], _ = nnls(energy * trust[:, None], aim * trust)
    weights.flags.writeable = False
    return weights


def fine_bands(arcmin: float) -> int:
    """How many of the bands, the finest first, hold fine detail.

    >>> [fine_bands(a) for a in (0.4, 0.75, 1.0, 3.0)]
    [4, 3, 3, 1]
    """
    middle = _MIDDLE * 60.0 / arcmin  # of band 0, cycles per degree
    return max(1, 1 + math.floor(math.log2(middle / FINE_FROM_CPD))) if middle > 0 else 1


_MIDDLE = 0.215  # cycles per pixel of a level at which its band keeps most
