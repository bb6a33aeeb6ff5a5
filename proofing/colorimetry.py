"""Colorimetry that every stage shares: the wavelength grid, the ICC white, Lab, CIEDE2000.

One scale everywhere: ``Y = 1`` is the perfect diffuser under the light at hand. XYZ and Lab of
prints are against the ICC profile connection space white (D50 as ICC.1 rounds it), *absolute*,
that is relative to the perfect diffuser, unless a name says ``media_relative``.

CIE D50 (0.96422, 1, 0.82521) and the ICC connection-space white (0.9642, 1, 0.8249) are two
different whites; :func:`d50_weights` lands on the second, so that spectra and ICC tables agree.
"""

from __future__ import annotations

import functools

import numpy as np
import numpy.typing as npt

from proofing._colour import colour_science

Float = npt.NDArray[np.float64]

WAVELENGTHS_NM: Float = np.arange(380.0, 731.0, 10.0)
"""The 36 wavelengths of every reflectance, nm. ISO 13655 asks for 10 nm or finer."""
WAVELENGTHS_NM.flags.writeable = False

PCS_WHITE_XYZ: Float = np.array([0.9642, 1.0, 0.8249])
"""ICC.1:2022, 7.2.16: the profile connection space illuminant, exact as written there."""
PCS_WHITE_XYZ.flags.writeable = False

_EPSILON = 216 / 24389  # CIE 15:2018, 8.2.1.1, exact ratio
_KAPPA = 24389 / 27  # CIE 15:2018, 8.2.1.1, exact ratio


def XYZ_to_Lab(XYZ: npt.ArrayLike, white_XYZ: npt.ArrayLike = PCS_WHITE_XYZ) -> Float:
    """CIE 1976 L*a*b* of tristimulus values.

    Parameters
    ----------
    XYZ
        (..., 3), ``Y = 1`` for the perfect diffuser. Negative values are allowed and follow
        the linear part of the function.
    white_XYZ
        (3,), default the ICC connection-space white.

    Returns
    -------
    ndarray
        (..., 3), L* in 0..100.

    Notes
    -----
    CIE 15:2018, section 8.2.1.

    >>> XYZ_to_Lab([0.9642, 1.0, 0.8249]).round(3).tolist()
    [100.0, 0.0, 0.0]
    """
    t = np.asarray(XYZ, dtype=np.float64) / np.asarray(white_XYZ, dtype=np.float64)
    f = np.where(t > _EPSILON, np.cbrt(t), (_KAPPA * t + 16.0) / 116.0)
    Lab = np.empty_like(f)
    Lab[..., 0] = 116.0 * f[..., 1] - 16.0
    Lab[..., 1] = 500.0 * (f[..., 0] - f[..., 1])
    Lab[..., 2] = 200.0 * (f[..., 1] - f[..., 2])
    return Lab


def Lab_to_XYZ(Lab: npt.ArrayLike, white_XYZ: npt.ArrayLike = PCS_WHITE_XYZ) -> Float:
    """Tristimulus values of CIE 1976 L*a*b*; the inverse of :func:`XYZ_to_Lab`.

    Parameters
    ----------
    Lab
        (..., 3).
    white_XYZ
        (3,).

    Returns
    -------
    ndarray
        (..., 3), ``Y = 1`` for the perfect diffuser.
    """
    Lab = np.asarray(Lab, dtype=np.float64)
    f = np.empty_like(Lab)
    f[..., 1] = (Lab[..., 0] + 16.0) / 116.0
    f[..., 0] = f[..., 1] + Lab[..., 1] / 500.0
    f[..., 2] = f[..., 1] - Lab[..., 2] / 200.0
    cube = f**3
    XYZ: Float = np.where(cube > _EPSILON, cube, (116.0 * f - 16.0) / _KAPPA)
    return XYZ * np.asarray(white_XYZ, dtype=np.float64)


def lightness(Y: npt.ArrayLike) -> Float:
    """CIE 1976 lightness L* of a luminance factor, any shape (CIE 15:2018, 8.2.1).

    >>> float(lightness(0.18418651851244416).round(6))
    50.0
    """
    t = np.asarray(Y, dtype=np.float64)
    f = np.where(t > _EPSILON, np.cbrt(t), (_KAPPA * t + 16.0) / 116.0)
    return np.asarray(116.0 * f - 16.0)


def luminance_factor(L: npt.ArrayLike) -> Float:
    """Luminance factor of a lightness L*; the inverse of :func:`lightness`."""
    f = (np.asarray(L, dtype=np.float64) + 16.0) / 116.0
    return np.asarray(np.where(f**3 > _EPSILON, f**3, (116.0 * f - 16.0) / _KAPPA))


def delta_E_00(Lab_1: npt.ArrayLike, Lab_2: npt.ArrayLike) -> Float:
    """CIEDE2000 colour difference (ISO/CIE 11664-6), k_L = k_C = k_H = 1.

    Parameters
    ----------
    Lab_1, Lab_2
        (..., 3), broadcast against each other.

    Returns
    -------
    ndarray
        (...).
    """
    difference = colour_science().difference
    delta_E = difference.delta_E_CIE2000(np.asarray(Lab_1), np.asarray(Lab_2))
    return np.asarray(delta_E, dtype=np.float64)


def Y_to_density(Y: npt.ArrayLike) -> Float:
    """Visual density of a luminance factor, ``D = -log10 Y`` (ISO 5-3, from memory).

    >>> float(Y_to_density(0.01))
    2.0
    """
    return np.asarray(-np.log10(np.maximum(np.asarray(Y, dtype=np.float64), 1e-9)))


@functools.cache
def colour_matching_functions() -> Float:
    """CIE 1931 2-degree observer on 360..780 nm at 1 nm.

    Returns
    -------
    ndarray
        (421, 4): wavelength nm, x, y, z. Read-only.
    """
    colour = colour_science()
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy()
    cmfs = cmfs.align(colour.SpectralShape(360, 780, 1))
    table = np.column_stack([cmfs.wavelengths, cmfs.values]).astype(np.float64)
    table.flags.writeable = False
    return table


def weights_for(wavelengths_nm: npt.ArrayLike, power: npt.ArrayLike) -> Float:
    """Tristimulus weights at :data:`WAVELENGTHS_NM` for a light.

    Parameters
    ----------
    wavelengths_nm, power
        (M,), the light's relative spectral power; read at 1 nm by linear interpolation, zero
        outside.

    Returns
    -------
    ndarray
        (36, 3); ``weights.sum(axis=0)`` is the light's white with ``Y = 1``.

    Notes
    -----
    ASTM E2022-11 (Lagrange interpolation of the reflectance, light and observer at 1 nm), through
    colour-science; what lies outside 380..730 nm counts for the end points, as in ASTM E308.
    """
    colour = colour_science()
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy()
    cmfs = cmfs.align(colour.SpectralShape(360, 780, 1))
    S = np.interp(cmfs.wavelengths, np.asarray(wavelengths_nm), np.asarray(power), left=0, right=0)
    light = colour.SpectralDistribution(S, cmfs.wavelengths)
    wide = colour.colorimetry.tristimulus_weighting_factors_ASTME2022(
        cmfs, light, colour.SpectralShape(360, 780, 10)
    )
    wide = np.asarray(wide, dtype=np.float64)
    first, last = 2, 2 + len(WAVELENGTHS_NM)  # 380 and one past 730 nm in 360..780
    weights = wide[first:last].copy()
    weights[0] += wide[:first].sum(axis=0)
    weights[-1] += wide[last:].sum(axis=0)
    result: Float = weights / weights[:, 1].sum()
    return result


@functools.cache
def d50_power() -> tuple[Float, Float]:
    """CIE D50, wavelengths nm and relative power, 300..780 nm at 5 nm (CIE 015, library table)."""
    colour = colour_science()
    sd = colour.SDS_ILLUMINANTS["D50"].copy().align(colour.SpectralShape(300, 780, 5))
    nm, power = np.asarray(sd.wavelengths, np.float64), np.asarray(sd.values, np.float64)
    nm.flags.writeable = False
    power.flags.writeable = False
    return nm, power


@functools.cache
def d50_weights() -> Float:
    """Weights for print colorimetry: D50, 2 degrees, landing on the ICC white.

    Returns
    -------
    ndarray
        (36, 3), read-only. The perfect diffuser gives exactly :data:`PCS_WHITE_XYZ`; the columns
        are scaled by less than 0.05 % to get from CIE D50 to the ICC rounding of it.
    """
    weights = weights_for(*d50_power())
    weights = np.asarray(weights * (PCS_WHITE_XYZ / weights.sum(axis=0)))
    weights.flags.writeable = False
    return weights
