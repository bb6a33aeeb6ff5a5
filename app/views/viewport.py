"""Where the pictures stand in their panes: one scale and one centre for both.

Plain numbers, no Qt. *Image pixels* are those of the whole photograph; *device pixels* those of
the monitor. A :class:`Viewport` is a frozen value; every gesture gives a new one. A
:class:`ViewSpec` says what has to be computed for it: a crop of one level of the photograph's
pyramid, and the rectangle of device pixels that the marks cover.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

MARGIN_SHARE = 0.04
"""Unprinted margin of the print, as a share of its short edge. Common practice: enough to hold
the print by and to judge paper white."""

_WALL_SHARE = 0.05  # of the pane's short edge, left free around a fitted print
_LARGEST_SCALE = 16.0
_LARGEST_EXACT = 1024.0  # of a size in millimetres: ten pixels on a metre of a fine monitor


@dataclass(frozen=True)
class ViewSpec:
    """What to compute for one look at the pair.

    Attributes
    ----------
    level
        Pyramid level, a reduction by ``2**level``.
    crop
        ``(x0, y0, x1, y1)`` in pixels of that level, half open.
    marks
        ``(u0, v0, u1, v1)`` in device pixels from the image's top left corner, half open.
    scale
        Device pixels per image pixel.
    """

    level: int
    crop: tuple[int, int, int, int]
    marks: tuple[int, int, int, int]
    scale: float


@dataclass(frozen=True)
class Viewport:
    """One scale and one centre.

    Parameters
    ----------
    width, height
        The photograph, image pixels.
    pane_width, pane_height
        One pane, device pixels.
    scale
        Device pixels per image pixel.
    centre_x, centre_y
        The image point at the middle of the pane, image pixels.
    fitted
        Follows the pane's size until the person zooms or pans.
    least_wall
        Device pixels left free on every side of a fitted print, for the pane's caption.
    """

    width: int
    height: int
    pane_width: int
    pane_height: int
    scale: float = 1.0
    centre_x: float = 0.0
    centre_y: float = 0.0
    fitted: bool = True
    least_wall: float = 0.0

    @property
    def margin(self) -> float:
        """Unprinted margin in image pixels."""
        return MARGIN_SHARE * min(self.width, self.height)

    @property
    def fit_scale(self) -> float:
        """The scale at which the whole print with its margin and some wall is in the pane."""
        wall = 2 * max(_WALL_SHARE * min(self.pane_width, self.pane_height), self.least_wall)
        across = max(self.pane_width - wall, 1.0) / (self.width + 2 * self.margin)
        down = max(self.pane_height - wall, 1.0) / (self.height + 2 * self.margin)
        return min(across, down, _LARGEST_SCALE)

    @property
    def origin(self) -> tuple[int, int]:
        """The image's top left corner in the pane, whole device pixels."""
        return (
            round(self.pane_width / 2 - self.centre_x * self.scale),
            round(self.pane_height / 2 - self.centre_y * self.scale),
        )

    def fit(self) -> Viewport:
        """The whole print in the pane."""
        return replace(
            self,
            scale=self.fit_scale,
            centre_x=self.width / 2,
            centre_y=self.height / 2,
            fitted=True,
        )

    def zoomed(self, factor: float, at: tuple[float, float] | None = None) -> Viewport:
        """Zoomed so that the image point under ``at`` (device pixels in the pane) stays put.

        A step that would pass over 1:1 stops there, because only there does one pixel of the
        file become exactly one of the monitor.
        """
        wanted = self.scale * factor
        if (self.scale < 1.0 < wanted) or (wanted < 1.0 < self.scale):
            wanted = 1.0
        return self.at_scale(wanted, at)

    def at_scale(self, scale: float, at: tuple[float, float] | None = None) -> Viewport:
        """The given scale, keeping the image point under ``at`` (default the middle).

        Never smaller than the whole print in the pane, unless that is larger than 1:1.
        """
        fit = self.fit_scale
        if scale <= fit <= 1.0:
            return self.fit()
        scale = min(max(scale, min(fit, 1.0)), _LARGEST_SCALE)
        x, y = at if at is not None else (self.pane_width / 2, self.pane_height / 2)
        image_x, image_y = self.to_image(x, y)
        return replace(
            self,
            scale=scale,
            centre_x=image_x - (x - self.pane_width / 2) / scale,
            centre_y=image_y - (y - self.pane_height / 2) / scale,
            fitted=False,
        )._kept_in_sight()

    def exactly(self, scale: float) -> Viewport:
        """The given scale, however small: for a size in millimetres."""
        return replace(self, scale=min(scale, _LARGEST_EXACT), fitted=False)._kept_in_sight()

    def panned(self, dx: float, dy: float) -> Viewport:
        """Moved by device pixels, as if dragging the print; a fitted one is in sight and stays."""
        if self.fitted:
            return self
        return replace(
            self,
            centre_x=self.centre_x - dx / self.scale,
            centre_y=self.centre_y - dy / self.scale,
            fitted=False,
        )._kept_in_sight()

    def centred_on(self, x: float, y: float) -> Viewport:
        """The image point ``(x, y)`` in the middle."""
        return replace(self, centre_x=x, centre_y=y, fitted=False)._kept_in_sight()

    def to_image(self, x: float, y: float) -> tuple[float, float]:
        """Image point under a point of the pane (device pixels)."""
        left, top = self.origin
        return (x - left) / self.scale, (y - top) / self.scale

    def to_pane(self, x: float, y: float) -> tuple[float, float]:
        """Point of the pane (device pixels) of an image point."""
        left, top = self.origin
        return left + x * self.scale, top + y * self.scale

    def contains(self, x: float, y: float) -> bool:
        """Whether an image point lies on the photograph."""
        return 0 <= x < self.width and 0 <= y < self.height

    def _kept_in_sight(self) -> Viewport:
        """The centre stays on the photograph, so that it cannot be lost."""
        return replace(
            self,
            centre_x=min(max(self.centre_x, 0.0), float(self.width)),
            centre_y=min(max(self.centre_y, 0.0), float(self.height)),
        )

    def spec(self, spare: float = 0.15) -> ViewSpec | None:
        """What to compute, with ``spare`` of the pane on every side for the next small pan.

        None when nothing of the photograph is in sight.
        """
        left, top = self.origin
        spare_x, spare_y = round(spare * self.pane_width), round(spare * self.pane_height)
        u0 = max(-left - spare_x, 0)
        v0 = max(-top - spare_y, 0)
        u1 = min(self.pane_width - left + spare_x, math.ceil(self.width * self.scale))
        v1 = min(self.pane_height - top + spare_y, math.ceil(self.height * self.scale))
        if u1 <= u0 or v1 <= v0:
            return None
        level = 0 if self.scale >= 1 else math.floor(-math.log2(self.scale) + 1e-9)
        per_pixel = self.scale * 2**level  # device pixels per pixel of the level
        crop = (
            int(u0 // per_pixel),
            int(v0 // per_pixel),
            math.ceil(u1 / per_pixel),
            math.ceil(v1 / per_pixel),
        )
        return ViewSpec(level, crop, (u0, v0, u1, v1), self.scale)
