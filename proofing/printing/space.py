"""The space in which colours are brought into a gamut: CAM16-UCS, whose hue lines are straight.

CIELAB bends blue toward purple when chroma falls; CAM16-UCS does so much less. The viewing
conditions are fixed here, because a print's gamut does not depend on the room: ICC white,
practical appraisal of ISO 3664 (500 lx on a 20 % background), average surround.
"""

from __future__ import annotations

import numpy as np

from proofing._colour import colour_science
from proofing.colorimetry import PCS_WHITE_XYZ, Float

L_A_CD_M2 = 500.0 / np.pi * 0.2
"""Adapting luminance: 20 % of a diffuser at 500 lx (ISO 3664 P2, from memory)."""
Y_B = 20.0
"""Background, percent."""

# CAT16 of Li et al. 2017, as in CIE 248:2022
_CAT16 = np.array(
    [
        [0.401288, 0.650173, -0.051461],
        [-0.250268, 1.204414, 0.045854],
        [-0.002079, 0.048952, 0.953127],
    ]
)
_CONE_WHITE = _CAT16 @ PCS_WHITE_XYZ
_LEAST_CONE = 0.03  # of the grey's; nearer to 0 the response rises so steeply that codes leap


def to_real(XYZ: Float) -> Float:
    """Pull colours that no eye can see back to where appearance is defined.

    Parameters
    ----------
    XYZ
        (N, 3), D50. Corners of ROMM RGB and of table profiles can lie outside the spectral
        locus, where a cone response is negative.

    Returns
    -------
    ndarray
        (N, 3). Each offending colour is mixed with the grey of its own luminance until its
        smallest CAT16 cone response is 3 % of that grey's; the others are unchanged.
    """
    XYZ = np.asarray(XYZ, dtype=np.float64)
    Y = np.maximum(XYZ[:, 1:2], 0.0)
    cone = XYZ @ _CAT16.T
    grey = Y * _CONE_WHITE
    floor = _LEAST_CONE * grey
    short = np.maximum(floor - cone, 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        mix = np.where(short > 0, short / np.maximum(grey - cone, 1e-12), 0.0)
    t = np.clip(mix.max(axis=1, keepdims=True), 0.0, 1.0)
    return np.asarray(np.where(t > 0, XYZ + t * (Y * PCS_WHITE_XYZ - XYZ), XYZ))


def XYZ_to_ucs(XYZ_media_relative: Float) -> Float:
    """CAM16-UCS coordinates J', a', b'.

    Parameters
    ----------
    XYZ_media_relative
        (N, 3), the white of the medium at the ICC white.

    Returns
    -------
    ndarray
        (N, 3); bare paper is (100, ~0, ~0).

    Notes
    -----
    CIE 248:2022 and Li et al. 2017, through colour-science.
    """
    colour = colour_science()
    XYZ = to_real(XYZ_media_relative)
    black = XYZ[:, 1] <= 1e-9
    spec = colour.appearance.XYZ_to_CIECAM16(
        np.where(black[:, None], 1e-9 * PCS_WHITE_XYZ, XYZ) * 100.0,
        PCS_WHITE_XYZ * 100.0,
        L_A_CD_M2,
        Y_B,
        colour.appearance.InductionFactors_CIECAM16(F=1.0, c=0.69, N_c=1.0),
        discount_illuminant=True,
        compute_H=False,
    )
    JMh = np.column_stack([spec.J, spec.M, spec.h])
    return np.asarray(colour.models.JMh_CAM16_to_CAM16UCS(JMh), dtype=np.float64)


def ucs_to_XYZ(ucs: Float) -> Float:
    """Media-relative XYZ of CAM16-UCS coordinates; the inverse of :func:`XYZ_to_ucs`."""
    colour = colour_science()
    JMh = np.asarray(colour.models.CAM16UCS_to_JMh_CAM16(ucs), dtype=np.float64)
    J = np.maximum(JMh[:, 0], 1e-6)
    XYZ = colour.appearance.CIECAM16_to_XYZ(
        colour.appearance.CAM_Specification_CIECAM16(J=J, M=JMh[:, 1], h=JMh[:, 2]),
        PCS_WHITE_XYZ * 100.0,
        L_A_CD_M2,
        Y_B,
        colour.appearance.InductionFactors_CIECAM16(F=1.0, c=0.69, N_c=1.0),
        discount_illuminant=True,
    )
    return np.asarray(XYZ, dtype=np.float64) / 100.0
