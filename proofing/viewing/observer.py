"""From the print in its room to what the screen must show so that it looks the same.

Two ways to look:

*settled*
    Eyes settled in the room. Brightness Q, colourfulness M and hue h of every colour in the room
    are shown on the screen, to eyes adapted to the screen. Dim light looks dim. Where the room's
    bare paper is brighter than the screen can be, Q and M are both scaled by one factor, which
    keeps saturation, so that bare paper lands on the screen's limit; :class:`RoomExcess` says by
    how much the room is brighter.
*matched*
    Eyes fully adapted on both sides; lightness J, chroma C and hue h are kept, and one exposure
    factor puts bare paper on the screen's limit. Its tint against the light's white stays, and so
    do all contrasts; dimness does not show.

The reference white in the room is the perfect diffuser under its light; on the screen, the
screen's white, with a 20 % background and an average surround.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple, Protocol

import numpy as np
import numpy.typing as npt

from proofing.language import tr

from ..errors import SettingError
from .appearance import ViewingConditions, forward, inverse, room_conditions
from .room import Room

Float = npt.NDArray[np.float64]

SCREEN_Y_B = 20.0
"""Background on the screen, per cent: the neutral grey about the pictures (common practice)."""


class ScreenLike(Protocol):
    """What the observer has to know about a screen."""

    @property
    def luminance_cd_m2(self) -> float:
        """Luminance of its white."""

    @property
    def white_XYZ(self) -> Float:
        """(3,), its white, ``Y = 1``."""

    def fits(self, XYZ_cd_m2: npt.ArrayLike) -> npt.NDArray[np.bool_]:
        """(N, 3) -> (N,), whether the screen can show each colour."""


class Look(StrEnum):
    """How to look at the print."""

    SETTLED = "settled"
    MATCHED = "matched"


class RoomExcess(NamedTuple):
    """How much brighter the room is than the screen can be."""

    exceeds: bool
    """Whether bare paper had to be brought down."""
    luminance_ratio: float
    """Screen luminance that would be needed over the screen's own; 1 where it suffices."""
    stops: float
    """The same in stops, log2."""
    screen_needed_cd_m2: float
    """White luminance at which this screen would just reach bare paper."""
    paper_cd_m2: float
    """Luminance of bare paper in the room."""
    shown_cd_m2: float
    """Luminance of bare paper on the screen."""


@dataclass(frozen=True)
class Observer:
    """An eye. Frozen.

    Parameters
    ----------
    look
        ``settled`` or ``matched``.
    degree_of_adaptation
        D of the eye in the room, 0..1; None for the formula of CIECAM16. Used by the settled
        look; the matched look adapts fully by its meaning.

    Raises
    ------
    SettingError
        An unknown look, or D outside 0..1.
    """

    look: Look | str = Look.SETTLED
    degree_of_adaptation: float | None = None

    def __post_init__(self) -> None:
        try:
            object.__setattr__(self, "look", Look(self.look))
        except ValueError as error:
            raise SettingError("look", self.look, tr("use 'settled' or 'matched'")) from error
        D = self.degree_of_adaptation
        if D is not None and not (math.isfinite(D) and 0.0 <= D <= 1.0):
            raise SettingError("degree_of_adaptation", D, tr("use a value from 0 to 1"))

    @property
    def key(self) -> str:
        """Identity for caching."""
        D = self.degree_of_adaptation if self.look == Look.SETTLED else 1.0
        return f"observer:{self.look}:{D!r}"

    def plan(self, room: Room, screen: ScreenLike, bare_paper_XYZ_cd_m2: npt.ArrayLike) -> Plan:
        """Work out everything that does not depend on the single colour.

        Parameters
        ----------
        room, screen
            Where the print is, where it is shown.
        bare_paper_XYZ_cd_m2
            (3,), the unprinted stock in that room, veil included.

        Returns
        -------
        Plan
        """
        paper = np.array(bare_paper_XYZ_cd_m2, dtype=np.float64).reshape(3)
        if not (np.isfinite(paper).all() and paper[1] > 0.0):
            raise SettingError(
                "bare_paper_XYZ_cd_m2",
                paper.tolist(),
                tr("bare paper must have a luminance above 0"),
            )
        paper.flags.writeable = False
        D = 1.0 if self.look == Look.MATCHED else self.degree_of_adaptation
        D_screen = 1.0 if self.look == Look.MATCHED else None
        return Plan(
            look=Look(self.look),
            room=room_conditions(room, D),
            screen=_screen_conditions(screen, screen.luminance_cd_m2, D_screen),
            device=screen,
            bare_paper_XYZ_cd_m2=paper,
        )


def _screen_conditions(
    screen: ScreenLike, luminance_cd_m2: float, degree_of_adaptation: float | None
) -> ViewingConditions:
    X, Y, Z = (float(v) for v in np.asarray(screen.white_XYZ, np.float64))
    return ViewingConditions(
        (X, Y, Z), luminance_cd_m2, SCREEN_Y_B, "average", degree_of_adaptation
    )


@dataclass(frozen=True, eq=False)
class Plan:
    """All per-setting numbers of one look at one print; made by :meth:`Observer.plan`.

    Parameters
    ----------
    look
        The way to look.
    room, screen
        Viewing conditions on either side.
    device
        The screen, for its limits.
    bare_paper_XYZ_cd_m2
        (3,), the unprinted stock in the room.
    """

    look: Look
    room: ViewingConditions
    screen: ViewingConditions
    device: ScreenLike
    bare_paper_XYZ_cd_m2: Float

    @functools.cached_property
    def scale(self) -> float:
        """The one factor that keeps bare paper on the screen.

        On Q and M for the settled look, at most 1; on the luminance for the matched look.
        """
        if self.look == Look.MATCHED:
            paper = _carry(self.bare_paper_XYZ_cd_m2[None, :], self.look, self.room, self.screen)
            top = 2.0 * self.device.luminance_cd_m2 / float(paper[0, 1])
            return _largest(lambda s: self.device.fits(s[:, None] * paper), top, top / 2.0)
        return self._settled_scale(self.screen, 1.0)

    def _settled_scale(self, screen: ViewingConditions, dimmer: float) -> float:
        """Largest factor on Q and M, at most 1, that keeps paper on a screen so bright.

        `dimmer` is the device's luminance over that of `screen`.
        """
        paper = forward(self.bare_paper_XYZ_cd_m2[None, :], self.room)

        def fits(s: Float) -> npt.NDArray[np.bool_]:
            J = 100.0 * (s * paper.Q / screen.Q_w) ** 2
            XYZ = inverse(J, s * paper.M, np.broadcast_to(paper.h, s.shape), screen)
            return self.device.fits(XYZ * dimmer)

        by_brightness = min(1.0, screen.Q_w / float(paper.Q[0]))
        return _largest(fits, 1.0, by_brightness)

    def to_screen(self, XYZ_cd_m2: npt.ArrayLike) -> Float:
        """What the screen must show.

        Parameters
        ----------
        XYZ_cd_m2
            (N, 3), colours in the room, as :func:`~proofing.viewing.room.radiance` gives them.

        Returns
        -------
        ndarray
            (N, 3), XYZ in cd/m2 on the screen, finite; may lie outside what it can show.
        """
        XYZ = np.asarray(XYZ_cd_m2, np.float64)
        if self.look == Look.MATCHED:
            return _carry(XYZ, self.look, self.room, self.screen) * self.scale
        return _carry(XYZ, self.look, self.room, self.screen, self.scale)

    @functools.cached_property
    def room_excess(self) -> RoomExcess:
        """How much brighter the room is than the screen can be.

        For the matched look, where brightness is not what is kept, the ratio is 1 by meaning.
        """
        paper_cd_m2 = float(self.bare_paper_XYZ_cd_m2[1])
        shown = float(self.to_screen(self.bare_paper_XYZ_cd_m2[None, :])[0, 1])
        own = self.device.luminance_cd_m2
        if self.look == Look.MATCHED or self.scale >= 1.0 - 1e-6:
            return RoomExcess(False, 1.0, 0.0, own, paper_cd_m2, shown)
        low, high = 0.0, 1.0
        while not self._reaches(own * 2.0**high) and high < 16.0:
            low, high = high, high * 2.0
        for _ in range(12):
            middle = 0.5 * (low + high)
            if self._reaches(own * 2.0**middle):
                high = middle
            else:
                low = middle
        return RoomExcess(True, 2.0**high, high, own * 2.0**high, paper_cd_m2, shown)

    def _reaches(self, luminance_cd_m2: float) -> bool:
        """Whether the screen, set so bright, would show bare paper at its full brightness."""
        screen = _screen_conditions(self.device, luminance_cd_m2, None)
        paper = _carry(self.bare_paper_XYZ_cd_m2[None, :], self.look, self.room, screen)
        return bool(self.device.fits(paper * (self.device.luminance_cd_m2 / luminance_cd_m2))[0])


def _carry(
    XYZ: Float, look: Look, room: ViewingConditions, screen: ViewingConditions, scale: float = 1.0
) -> Float:
    seen = forward(XYZ, room)
    if look == Look.MATCHED:
        M = seen.C * screen.colourfulness_of_chroma
        return inverse(seen.J, M, seen.h, screen)
    J = 100.0 * (scale * seen.Q / screen.Q_w) ** 2
    return inverse(J, scale * seen.M, seen.h, screen)


def _largest(fits: Callable[[Float], npt.NDArray[np.bool_]], top: float, fallback: float) -> float:
    """Largest factor in (0, top] for which `fits` holds, to a part in ten million.

    `fallback` where none does: paper of a chromaticity the screen cannot show at all.
    """
    if bool(fits(np.array([top]))[0]):
        return top
    low, high = 0.0, top
    for _ in range(3):
        grid = np.linspace(low, high, 257)[1:]
        inside = np.flatnonzero(fits(grid))
        if len(inside) == 0:
            if low == 0.0:
                return fallback
            break
        step = grid[1] - grid[0]
        low = float(grid[inside[-1]])
        high = low + float(step)
    return low
