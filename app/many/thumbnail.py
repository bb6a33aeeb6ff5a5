"""A small picture of a photograph, in sRGB, for a page."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import numpy as np

from proofing.photograph import IccIntent, unit_codes
from proofing.photograph.icc import XYZ_to_device, srgb_profile

if TYPE_CHECKING:
    from proofing.photograph import Photograph

SIDE = 360
"""Longest side, px: a card's width on a screen of fine pixels."""
_QUALITY = 82


def thumbnail(photograph: Photograph, side: int = SIDE) -> bytes:
    """A JPEG whose codes are sRGB; what is transparent is laid on white.

    Parameters
    ----------
    photograph
        Whatever its space and depth.
    side
        Its longest side is at most as long, px.
    """
    from PIL import Image

    level = 0
    while (max(photograph.width, photograph.height) >> level) >= 2 * side:
        level += 1
    small = photograph.level(level)
    height, width = small.codes.shape[:2]
    XYZ = small.encoding.to_XYZ(unit_codes(np.ascontiguousarray(small.codes)).reshape(-1, 3))
    RGB = XYZ_to_device(srgb_profile(), XYZ, IccIntent.RELATIVE).reshape(height, width, 3)
    if small.alpha is not None:
        opacity = small.alpha[..., None] / 255.0
        RGB = RGB * opacity + 1.0 - opacity
    image = Image.fromarray(np.rint(255.0 * RGB).astype(np.uint8))
    image.thumbnail((side, side), Image.Resampling.LANCZOS)
    stream = io.BytesIO()
    image.save(stream, format="JPEG", quality=_QUALITY, optimize=True)
    return stream.getvalue()
