"""Bringing colours into a gamut, at constant hue in CAM16-UCS."""

from __future__ import annotations

import numpy as np

from proofing.colorimetry import Float, Lab_to_XYZ, XYZ_to_Lab, lightness
from proofing.printing.gamut import Gamut
from proofing.printing.space import to_real

SOFTNESS = 0.2
"""Width, as a share of a colour's distance from the gamut, over which nearly nearest points of
the surface are averaged, so that concave parts make no leaps."""

KNEE = 0.9
"""Share of the destination chroma that SGCK leaves untouched (CIE 156:2004)."""

_INSET = 0.08  # the anchor keeps this share of the axis away from its ends
_FADE_ABOVE_WHITE = 2.0  # J' over which a tint lighter than paper becomes bare paper
_TINT = 10.0  # chroma up to which a colour lighter than paper counts as a tint; none from twice it
_GREYISH = 12.0  # chroma below which the compression fades; greys are left to the tone curve

# CIE 156:2004, SGCK: sigmoid centre and width by black L* of the medium
_SIGMOID_L_BLACK = np.array([5.0, 10.0, 15.0, 20.0])
_SIGMOID_CENTRE = np.array([53.7, 56.8, 58.2, 60.6])
_SIGMOID_WIDTH = np.array([43.0, 40.0, 35.0, 34.5])


def clip(ucs: Float, Y: Float, gamut: Gamut) -> tuple[Float, Float]:
    """Move what lies outside onto the surface, hue kept; leave the rest alone.

    Parameters
    ----------
    ucs
        (N, 3) CAM16-UCS, media-relative.
    Y
        (N,) luminance factor of the same colours, media-relative.
    gamut
        Where to.

    Returns
    -------
    ucs
        (N, 3) inside.
    margin
        (N,) how far inside each colour was before, negative for those outside.

    Notes
    -----
    HPMINDE of CIE 156:2004, the nearest point of the surface in the plane of the hue, with
    CAM16-UCS in the place of CIELAB and :data:`SOFTNESS`. Going to the nearest point of a convex
    outline never turns the order of two tones of one hue around.
    """
    J, C, h = gamut.to_axis(ucs)
    margin = gamut.margin(J, C, h)
    outside = margin < 0.0
    result = ucs.copy()
    if outside.any():
        J, C, h = J[outside], C[outside], h[outside]
        # CIECAM16 makes much of the chroma of near-blacks, up and down from code to code: below
        # the luminance of the black it fades to none. By luminance and not by J', which falls
        # toward the blues at the edge of what the eye can see
        C = C * np.clip(lightness(Y[outside]) / gamut.L_black, 0.0, 1.0) ** 2
        # a greyish tint that is lighter than paper is bare paper; a strong colour stays one
        above = np.clip((J - gamut.J_white) / _FADE_ABOVE_WHITE, 0.0, 1.0)
        greyish = np.clip(2.0 - C / _TINT, 0.0, 1.0)
        C = C * (1.0 - above * greyish)
        J = np.clip(J, gamut.J_black, gamut.J_white)
        J, C = gamut.nearest(J, C, h, SOFTNESS)
        result[outside] = gamut.from_axis(J, C, h)
    return result, margin


def scale_lightness(XYZ: Float, L_black: float) -> Float:
    """The tone curve of SGCK: a sigmoid that keeps the mid-tones and eases into both ends.

    Parameters
    ----------
    XYZ
        (N, 3) media-relative; black at 0, white at the ICC white.
    L_black
        L* of the destination's black, media-relative.

    Returns
    -------
    ndarray
        (N, 3); neutrals span L_black..100, the most colourful keep their lightness.

    Notes
    -----
    CIE 156:2004; centre and width are interpolated between its table rows and held beyond.
    """
    from scipy.special import ndtr

    Lab = XYZ_to_Lab(to_real(XYZ))
    L = np.clip(Lab[:, 0], 0.0, 100.0)
    centre = np.interp(L_black, _SIGMOID_L_BLACK, _SIGMOID_CENTRE)
    width = np.interp(L_black, _SIGMOID_L_BLACK, _SIGMOID_WIDTH)
    low, high = ndtr(-centre / width), ndtr((100.0 - centre) / width)
    sigmoid = (ndtr((L - centre) / width) - low) / (high - low)
    scaled = L_black + sigmoid * (100.0 - L_black)
    p = chroma_weight(np.hypot(Lab[:, 1], Lab[:, 2]))
    Lab[:, 0] = np.where(Lab[:, 0] > 100.0, Lab[:, 0], p * scaled + (1.0 - p) * L)
    return Lab_to_XYZ(Lab)


def chroma_weight(C: Float) -> Float:
    """Weight of the sigmoid by chroma C*ab, ``1 - sqrt(C^3 / (C^3 + 5e5))`` (CIE 156:2004).

    >>> chroma_weight(np.array([0.0, 40.0, 60.0, 80.0, 100.0])).round(4).tolist()
    [1.0, 0.6631, 0.4507, 0.2887, 0.1835]
    """
    cube = np.asarray(C, dtype=np.float64) ** 3
    return np.asarray(1.0 - np.sqrt(cube / (cube + 5e5)))


def compress(ucs: Float, gamut: Gamut, source: Gamut) -> Float:
    """Squeeze the colourful part of a source gamut into a destination, toward the cusp.

    Parameters
    ----------
    ucs
        (N, 3), lightness already scaled.
    gamut, source
        Where to and where from.

    Returns
    -------
    ndarray
        (N, 3) inside. Below :data:`KNEE` of the destination's chroma, seen from the cusp's
        lightness on the grey axis, nothing moves; beyond, the range up to the source's surface
        is squeezed linearly (CIE 156:2004, SGCK).
    """
    J, C, h = gamut.to_axis(ucs)
    span = gamut.J_white - gamut.J_black
    anchor = np.clip(gamut.cusp(h), gamut.J_black + _INSET * span, gamut.J_white - _INSET * span)
    here = gamut.reach(J, C, h, anchor)
    there = np.maximum(source.reach(J, C, h, np.clip(anchor, source.J_black, source.J_white)), here)
    knee = KNEE * here
    room = np.maximum(there - knee, 1e-9)
    t = np.where(
        knee >= 1.0, 1.0, knee + (1.0 - knee) * (here - knee) / np.maximum(room, 1.0 - knee)
    )
    t = np.minimum(t, here)
    t = 1.0 - (1.0 - t) * np.clip(C / _GREYISH, 0.0, 1.0) ** 2
    squeezed = gamut.from_axis(anchor + t * (J - anchor), t * C, h)
    return np.where((t >= 1.0)[:, None], ucs, squeezed)
