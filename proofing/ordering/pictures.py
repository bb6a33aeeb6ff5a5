"""A photograph and its print as finished pixels of one size, for a sheet that explains a print."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt
from PIL import Image

from proofing.engine import Baked
from proofing.request import ProofRequest
from proofing.screen import Screen

UInt8 = npt.NDArray[np.uint8]
Colour = tuple[int, int, int]
Box = tuple[int, int, int, int]

_ROOM = 1.25
"""Sides of a detail, in those of its place: one sees what is round it."""
_PARTS = 4.0
"""A detail shows at least one of so many parts of the picture's width: one knows where it is..."""
_WORTH_DRAWING = 0.5
"""...and at most this share of its sides, or it would hardly be larger."""

_PLAIN_FROM = 2.0
"""Times from which an enlarged picture shows its pixels as they are: none are made up."""


@dataclass(frozen=True, eq=False)
class Detail:
    """A part of both pictures, drawn larger.

    Attributes
    ----------
    number
        Of the place that it shows.
    photograph, print
        As of :class:`Pictures`.
    """

    number: int
    photograph: UInt8 = field(repr=False)
    print: UInt8 = field(repr=False)


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
    details
        Places drawn larger, where a page has room for them.
    """

    photograph: UInt8 = field(repr=False)
    print: UInt8 = field(repr=False)
    paper: Colour
    wall: Colour
    details: tuple[Detail, ...] = ()

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


def details_of(baked: Baked, boxes: Sequence[Box], size_px: tuple[int, int]) -> tuple[Detail, ...]:
    """Places of a print, numbered from 1 on, each with what lies about it.

    A place that takes much of the picture is left out: it would be drawn no larger.

    Parameters
    ----------
    baked
        As for :func:`pictures_of`.
    boxes
        (x, y, width, height) of each, in pixels of the picture.
    size_px
        Width and height wanted; a narrower picture gives narrower ones.
    """
    photograph = baked.request.photograph
    whole_px = photograph.facts.width, photograph.facts.height
    found = []
    for number, box in enumerate(boxes, start=1):
        x, y, width, height = about(box, whole_px, size_px)
        if max(width / whole_px[0], height / whole_px[1]) > _WORTH_DRAWING:
            continue
        level = 0
        while width >> (level + 1) >= size_px[0]:
            level += 1
        part = photograph.part((x, y, x + width, y + height)).level(level)
        scale = min(size_px[0] / width, size_px[1] / height)
        drawn_px = max(1, round(width * scale)), max(1, round(height * scale))
        found.append(
            Detail(
                number,
                sized(baked.photograph_view(part.codes, part.alpha), drawn_px),
                sized(baked.print_view(part.codes, part.alpha), drawn_px),
            )
        )
    return tuple(found)


def heart_of(
    cells: npt.NDArray[np.bool_],
    cell_px: int,
    box: Box,
    whole_px: tuple[int, int],
    shape: tuple[int, int],
) -> Box:
    """What of a place is drawn: all of it, or where it takes much of the picture, the part of it
    that holds most.

    Parameters
    ----------
    cells, cell_px, box
        Of the place: (R, C) of the whole picture, a cell's side in pixels, and (x, y, width,
        height) in pixels.
    whole_px, shape
        As for :func:`about`.

    Examples
    --------
    >>> cells = np.zeros((12, 18), bool)
    >>> cells[:, 0], cells[4:8, 10:15] = True, True
    >>> heart_of(cells, 100, (0, 0, 1500, 1200), (1800, 1200), (3, 2))
    (900, 400, 700, 400)
    """
    share, found = 0.4, box
    while share > 0.1:
        drawn = about(found, whole_px, shape)[2:]
        if all(side <= _WORTH_DRAWING * whole for side, whole in zip(drawn, whole_px, strict=True)):
            break
        found = _densest(cells, cell_px, whole_px, share)
        share *= 0.8
    return found


def _densest(
    cells: npt.NDArray[np.bool_], cell_px: int, whole_px: tuple[int, int], share: float
) -> Box:
    """The window of a share of the sides that holds most cells."""
    wide, high = (max(1, int(share * side / cell_px)) for side in whole_px)
    wide, high = min(wide, cells.shape[1]), min(high, cells.shape[0])
    total = np.pad(cells.astype(np.int64).cumsum(0).cumsum(1), ((1, 0), (1, 0)))
    held = total[high:, wide:] - total[:-high, wide:] - total[high:, :-wide] + total[:-high, :-wide]
    best = np.argwhere(held == held.max())  # of several, the one in their midst
    row, column = best[np.abs(best - best.mean(axis=0)).sum(axis=1).argmin()].tolist()
    x, y = column * cell_px, row * cell_px
    return x, y, min(wide * cell_px, whole_px[0] - x), min(high * cell_px, whole_px[1] - y)


def about(box: Box, whole_px: tuple[int, int], shape: tuple[int, int]) -> Box:
    """The part of a picture, of a shape, that shows a place with something about it.

    >>> about((1000, 900, 100, 60), (1800, 1200), (3, 2))
    (825, 780, 450, 300)
    >>> about((0, 0, 100, 1200), (1800, 1200), (3, 2))
    (0, 0, 1800, 1200)
    """
    x, y, width, height = box
    across = max(_ROOM * width, _ROOM * height * shape[0] / shape[1], whole_px[0] / _PARTS)
    sides = across, across * shape[1] / shape[0]
    made = [min(round(side), whole) for side, whole in zip(sides, whole_px, strict=True)]
    middles = x + width / 2, y + height / 2
    left, top = (
        min(max(round(middle - side / 2), 0), whole - side)
        for middle, side, whole in zip(middles, made, whole_px, strict=True)
    )
    return left, top, made[0], made[1]


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
