"""A photograph and its print as finished pixels of one size, for a sheet that explains a print."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt
from PIL import Image

from proofing.engine import Baked
from proofing.request import ProofRequest
from proofing.screen import Screen

UInt8 = npt.NDArray[np.uint8]
Colour = tuple[int, int, int]

_PLAIN_FROM = 2.0
"""Times from which an enlarged picture shows its pixels as they are: none are made up."""


@dataclass(frozen=True, eq=False)
class Pictures:
    """Photograph and print, both in sRGB.

    Attributes
    ----------
    photograph, print
        (H, W, 3) uint8, read-only, sRGB codes; the photograph's white is the screen's, the print is
        as bright beside it as the observer's plan has it.
    paper, wall
        sRGB codes of bare paper and of the wall that it hangs on.
    """

    photograph: UInt8 = field(repr=False)
    print: UInt8 = field(repr=False)
    paper: Colour
    wall: Colour

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height."""
        height, width = self.print.shape[:2]
        return width, height


def for_srgb(request: ProofRequest) -> ProofRequest:
    """The same print, shown on a screen of sRGB of the same luminance; itself where it is one.

    The black of the screen is left to the profile: nobody knows on what a sheet is looked at.
    """
    screen = Screen(luminance_cd_m2=request.screen.luminance_cd_m2)
    return request if screen.key == request.screen.key else replace(request, screen=screen)


def pictures_of(baked: Baked, size_px: tuple[int, int]) -> Pictures:
    """Both pictures of a print.

    Parameters
    ----------
    baked
        For a screen of sRGB, see :func:`for_srgb`.
    size_px
        Width and height wanted; the picture's own shape is the caller's business.
    """
    photograph = baked.request.photograph
    level = 0
    while photograph.facts.width >> (level + 1) >= size_px[0]:
        level += 1
    reduced = photograph.level(level)
    return Pictures(
        sized(baked.photograph_view(reduced.codes, reduced.alpha), size_px),
        sized(baked.print_view(reduced.codes, reduced.alpha), size_px),
        _colour(baked.paper_bgr),
        _colour(baked.wall_bgr),
    )


def sized(bgrx: UInt8, size_px: tuple[int, int]) -> UInt8:
    """(H, W, 3) RGB of a size, read-only: smooth when reduced, plain pixels when much enlarged."""
    height, width = bgrx.shape[:2]
    rgb = np.ascontiguousarray(bgrx[..., 2::-1])
    if (width, height) != size_px:
        plain = size_px[0] >= _PLAIN_FROM * width
        way = Image.Resampling.NEAREST if plain else Image.Resampling.LANCZOS
        rgb = np.array(Image.fromarray(rgb).resize(size_px, way))
    rgb.flags.writeable = False
    return rgb


def reduced(rgb: UInt8, size_px: tuple[int, int]) -> UInt8:
    """(H, W, 3) a little smaller, read-only, by a filter that cannot ring; itself where it fits."""
    height, width = rgb.shape[:2]
    if (width, height) == size_px:
        return rgb
    made = np.array(Image.fromarray(rgb).resize(size_px, Image.Resampling.HAMMING))
    made.flags.writeable = False
    return made


def _colour(bgr: npt.NDArray[np.uint8]) -> Colour:
    blue, green, red = (int(value) for value in bgr)
    return red, green, blue
