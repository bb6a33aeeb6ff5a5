"""A hint of a print's surface: its relief under the lamp, and what it or its glass mirrors.

It helps to tell matte, canvas and gloss apart. Drawn after the class of the stock, not measured; no
number, mark or saved picture knows of it. What is mirrored is a window behind the onlooker, added
in light to the print's own; the relief is laid over both. Made on the worker; free of the toolkit.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, cast

import numpy as np
import numpy.typing as npt

from app.views.eye_blur import light_tables
from app.views.relief import Relief, sampled, shade
from app.views.viewport import Viewport

if TYPE_CHECKING:
    from proofing.engine import Baked

Bytes = npt.NDArray[np.uint8]
Float = npt.NDArray[np.float64]
Float32 = npt.NDArray[np.float32]
Box = tuple[int, int, int, int]

WINDOW_MM = (1200.0, 1500.0)
BAR_MM = 70.0
AWAY_M = 3.0
"""A window behind the onlooker, so far from the print: typical of a living room."""
PLACE = (0.34, 0.36)
"""Where its mirror image lies on the print, as shares of width and height."""
BRIGHTNESS = 0.3
"""Of the window, over the rest of what is mirrored, relative to a perfect diffuser in the print's
place (a guess for a room by day); as much as the room's reflection where that is set higher."""
SHARP_GU = 75.0
"""Gloss at 60 degrees (ISO 2813) that spreads a reflection by about one degree, and duller surfaces
by as much more; from memory."""
GLASS_DEG = 0.25
FRESNEL = 0.04
"""Of a surface of index 1.5 at normal incidence, as :mod:`proofing.viewing.room` has it."""
LEAST = 0.0008
"""Of a perfect diffuser's light; less is not seen."""
_SPARE = 0.15  # of the pane, made on every side for the next small pan, as in a viewport's spec
_GAMMA = 2.2  # of a screen, for the small differences of a relief
_LEVELS = 256
_BY_TEXTURE = {"woven", "textured", "pebbled", "fine grain"}
_BY_KIND = {"canvas": "woven", "textured matte": "textured", "matte": "tooth"}


@dataclass(frozen=True)
class Veil:
    """A window's mirror image.

    Attributes
    ----------
    strength
        At its brightest, relative to a perfect diffuser in the print's place.
    spread_mm
        How softly it is seen: standard deviation on the print.
    """

    strength: float
    spread_mm: float


@dataclass(frozen=True)
class SurfaceHint:
    """What to lay over one print.

    Attributes
    ----------
    relief
        Kind of relief; None for a smooth sheet.
    veils
        What the sheet mirrors, and the glass before it.
    size_mm
        Width and height of the picture on the print.
    width_px
        Of the photograph.
    window
        How large the window's image is on the print, as a share of its own size.
    spread_mm
        What an eye's spread adds, mm on the print.
    scale
        Device pixels for each pixel of the photograph.
    area
        ``(u0, v0, u1, v1)`` of the sheet in sight, margin included, in device pixels from the
        picture's top left corner, half open.
    picture
        ``(width, height)`` in device pixels.
    """

    relief: Relief | None
    veils: tuple[Veil, ...]
    size_mm: tuple[float, float]
    width_px: int
    window: float
    spread_mm: float = 0.0
    scale: float = 1.0
    area: Box = (0, 0, 0, 0)
    picture: tuple[int, int] = (0, 0)

    @property
    def everywhere(self) -> SurfaceHint:
        """Without where one is looking: what the small whole picture depends on."""
        return replace(self, spread_mm=0.0, scale=1.0, area=(0, 0, 0, 0), picture=(0, 0))

    @property
    def pixel_mm(self) -> float:
        """Side of a pixel of the photograph on the print."""
        return self.size_mm[0] / self.width_px

    def light(self, x_mm: Float, y_mm: Float) -> Float32 | None:
        """What is mirrored at a grid of places, (H, W), relative to a perfect diffuser; None where
        nothing is seen of it."""
        made: Float32 | None = None
        for veil in self.veils:
            across = _panes(x_mm - PLACE[0] * self.size_mm[0], 0, self.window, veil.spread_mm)
            down = _panes(y_mm - PLACE[1] * self.size_mm[1], 1, self.window, veil.spread_mm)
            if veil.strength * across.max(initial=0.0) * down.max(initial=0.0) < LEAST:
                continue
            part = np.outer(veil.strength * down, across).astype(np.float32)
            made = part if made is None else made + part
        return made


@dataclass(frozen=True)
class Overlay:
    """Premultiplied BGRA over the sheet, one value for each device pixel of ``area``."""

    bgra: Bytes
    area: Box
    scale: float


def hint_of(
    baked: Baked,
    view: Viewport,
    size_mm: tuple[float, float],
    distance_m: float,
    spread_px: float = 0.0,
) -> SurfaceHint:
    """What lies over a print in sight.

    Parameters
    ----------
    baked
        Of which print: its stock's surface, its room and glazing.
    view
        Where the pictures stand.
    size_mm
        Of the picture on the print.
    distance_m
        From the eye to the print.
    spread_px
        What an eye's spread adds, pixels of the photograph.
    """
    request = baked.request
    surface, room = request.stock.surface, request.room
    through = float(np.mean(room.glazing.transmittance_visible))
    bright = max(BRIGHTNESS, room.reflection_ratio)
    window = distance_m / (distance_m + AWAY_M)
    own_deg = min(SHARP_GU / max(surface.gloss_60_GU, 1.0), 60.0)
    mirrors = (
        (FRESNEL * surface.specular * through**2 * bright, own_deg),
        (room.glazing.reflectance * bright, GLASS_DEG),
    )
    veils = tuple(
        Veil(strength, window * AWAY_M * 1000.0 * math.tan(math.radians(degrees)))
        for strength, degrees in mirrors
        if strength >= LEAST
    )
    left, top = view.origin
    across, down = round(view.width * view.scale), round(view.height * view.scale)
    margin = round(view.margin * view.scale)
    spare_x, spare_y = round(_SPARE * view.pane_width), round(_SPARE * view.pane_height)
    area = (
        max(-left - spare_x, -margin),
        max(-top - spare_y, -margin),
        min(view.pane_width - left + spare_x, across + margin),
        min(view.pane_height - top + spare_y, down + margin),
    )
    return SurfaceHint(
        relief_of(surface.kind, request.stock.texture), veils, size_mm, view.width, window,
        spread_px * size_mm[0] / view.width, view.scale, area, (across, down),
    )  # fmt: skip


def relief_of(kind: str, texture: str) -> Relief | None:
    """By the record's own word; where that says nothing, typical of its class.

    >>> relief_of("canvas", "woven"), relief_of("matte", "smooth"), relief_of("gloss", "smooth")
    ('woven', 'tooth', None)
    """
    word = texture if texture in _BY_TEXTURE else _BY_KIND.get(kind)
    return cast("Relief | None", word)


def with_mirrored(bgrx: Bytes, hint: SurfaceHint, baked: Baked, crop: Box, level: int) -> Bytes:
    """The print with what it mirrors.

    Parameters
    ----------
    bgrx
        (H, W, 4) of `crop`.
    crop
        ``(x0, y0, x1, y1)`` in pixels of the pyramid's level.

    Returns
    -------
    ndarray
        (H, W, 4); the same array where nothing would be seen of it.
    """
    x0, y0, x1, y1 = crop
    pixel_mm = hint.pixel_mm * 2.0**level
    return _lit(bgrx, hint.light(_middles(x0, x1, pixel_mm), _middles(y0, y1, pixel_mm)), baked)


def relief_over(hint: SurfaceHint, baked: Baked) -> Overlay | None:
    """The relief over the sheet in sight, and over its margin what is mirrored too."""
    u0, v0, u1, v1 = hint.area
    if u1 <= u0 or v1 <= v0:
        return None
    device_mm = hint.pixel_mm / hint.scale
    tile = None if hint.relief is None else shade(hint.relief, device_mm, hint.spread_mm)
    strips = _strips(hint) if hint.veils else []
    if tile is None and not strips:
        return None
    x_mm, y_mm = _middles(u0, u1, device_mm), _middles(v0, v1, device_mm)
    if tile is None:
        bgra = np.zeros((v1 - v0, u1 - u0, 4), np.uint8)
    else:
        bgra = _shaded(sampled(tile, x_mm, y_mm), baked)
    for s0, t0, s1, t1 in strips:
        down, across = slice(t0 - v0, t1 - v0), slice(s0 - u0, s1 - u0)
        paper = np.empty((t1 - t0, s1 - s0, 4), np.uint8)
        paper[..., :3], paper[..., 3] = baked.paper_bgr, 255
        lit = _lit(paper, hint.light(x_mm[across], y_mm[down]), baked)
        if lit is paper:
            continue  # the plain paper is there already
        over = bgra[down, across]
        kept = 255 - over[..., 3:].astype(np.uint16)
        over[..., :3] += (lit[..., :3] * kept // 255).astype(np.uint8)
        over[..., 3] = 255
    return Overlay(bgra, hint.area, hint.scale)


def _panes(at_mm: Float, axis: int, window: float, spread_mm: float) -> Float:
    """Profile of a window of two panes, softened; 0 to 1."""
    from scipy.special import erf

    half, bar = 0.5 * WINDOW_MM[axis] * window, 0.5 * BAR_MM * window
    soft = math.sqrt(2.0) * max(spread_mm, 1e-3)
    made = np.zeros(len(at_mm))
    for low, high in ((-half, -bar), (bar, half)):
        made += 0.5 * (erf((at_mm - low) / soft) - erf((at_mm - high) / soft))
    if axis == 1:  # the sky is brighter above
        made *= np.clip(0.85 - 0.15 * at_mm / half, 0.7, 1.0)
    return made


def _strips(hint: SurfaceHint) -> list[Box]:
    """The margin in sight: above, below, left and right of the picture."""
    u0, v0, u1, v1 = hint.area
    across, down = hint.picture
    top, bottom = min(max(0, v0), v1), max(min(down, v1), v0)
    left, right = min(max(0, u0), u1), max(min(across, u1), u0)
    boxes = (
        (u0, v0, u1, top), (u0, bottom, u1, v1), (u0, top, left, bottom), (right, top, u1, bottom)
    )  # fmt: skip
    return [box for box in boxes if box[2] > box[0] and box[3] > box[1]]


def _middles(first: int, last: int, pixel_mm: float) -> Float:
    return np.asarray((np.arange(first, last) + 0.5) * pixel_mm, np.float64)


def _shaded(relief: Float32, baked: Baked) -> Bytes:
    """Premultiplied BGRA that darkens by black and lightens by the lamp's colour."""
    wall = baked.wall_bgr.astype(np.float64)
    lamp = wall / max(float(wall.max()), 1.0)
    steps = np.arange(-127.0, 129.0)
    table = np.zeros((256, 4), np.uint8)
    table[:, 3] = np.abs(steps)
    table[127:, :3] = np.rint(steps[127:, None] * lamp)
    places = relief * np.float32(255.0 / _GAMMA)
    places += np.float32(127.5)
    np.clip(places, 0.0, 255.0, out=places)
    made = np.take(table.view(np.uint32)[:, 0], places.astype(np.uint8))
    return made.view(np.uint8).reshape(*relief.shape, 4)


def _lit(bgrx: Bytes, added: Float32 | None, baked: Baked) -> Bytes:
    """Pixels with light added, in light."""
    if added is None:
        return bgrx
    linear, codes = light_tables(baked.request.screen)
    most = float(added.max())
    level = np.sqrt(added / np.float32(most))  # finer where little is added
    level *= _LEVELS - 1
    level += 0.5
    rows = level.astype(np.uint16)
    rows *= 256
    # a perfect diffuser on the screen: the wall, which reflects a share of it
    white = linear[baked.wall_bgr] / baked.request.room.wall_reflectance
    steps = most * (np.arange(_LEVELS) / (_LEVELS - 1)) ** 2
    made = np.full_like(bgrx, 255)
    for channel in range(3):
        light = np.minimum(linear[None, :] + steps[:, None] * white[channel], 1.0)
        table = codes[np.rint(np.sqrt(light) * (len(codes) - 1)).astype(np.intp)]
        made[..., channel] = np.take(table.ravel(), rows + bgrx[..., channel])
    return made
