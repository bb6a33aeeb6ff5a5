"""CIECAM16 (CIE 248:2022) both ways, through colour-science, made safe for a whole print.

Colour-science wants the white at ``Y = 100`` and gives degree of adaptation only by formula; this
adapter takes absolute cd/m2, lets D be set, and keeps blacks and odd values from producing
anything but numbers.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from proofing.language import tr

from .._colour import colour_science
from ..errors import SettingError
from .room import Room

Float = npt.NDArray[np.float64]

_FLOOR = 1e-6
"""Smallest tristimulus value passed to the model, relative to the white: ten thousand times
below the deepest gloss black. It keeps 0 and slightly negative input finite."""


class Appearance(NamedTuple):
    """What a colour looks like: CIECAM16 correlates, each (N,)."""

    J: Float
    """Lightness, 100 for the reference white."""
    C: Float
    """Chroma."""
    h: Float
    """Hue angle, degrees."""
    Q: Float
    """Brightness."""
    M: Float
    """Colourfulness."""


@dataclass(frozen=True)
class ViewingConditions:
    """All that CIECAM16 wants to know about a place of looking. Frozen and hashable.

    Parameters
    ----------
    white_XYZ
        Reference white, ``Y = 1``, as a tuple.
    white_cd_m2
        Its luminance.
    Y_b
        Background, per cent of the white.
    surround
        ``average``, ``dim`` or ``dark``.
    degree_of_adaptation
        D, 0..1; None to take it from the formula of the model.

    Raises
    ------
    SettingError
        D outside 0..1, or an unknown surround.
    """

    white_XYZ: tuple[float, float, float]
    white_cd_m2: float
    Y_b: float = 20.0
    surround: str = "average"
    degree_of_adaptation: float | None = None

    def __post_init__(self) -> None:
        D = self.degree_of_adaptation
        if D is not None and not (math.isfinite(D) and 0.0 <= D <= 1.0):
            raise SettingError("degree_of_adaptation", D, tr("use a value from 0 to 1"))
        if self.surround not in ("average", "dim", "dark"):
            raise SettingError("surround", self.surround, tr("use average, dim or dark"))

    @property
    def L_A(self) -> float:
        """Adapting luminance, cd/m2: ``Y_b % * L_w``."""
        return self.Y_b / 100.0 * self.white_cd_m2

    @property
    def D(self) -> float:
        """Degree of adaptation in force: set by hand, or
        ``F (1 - exp(-(L_A + 42)/92)/3.6)`` (CIE 248:2022, eq. for D)."""
        if self.degree_of_adaptation is not None:
            return self.degree_of_adaptation
        F = {"average": 1.0, "dim": 0.9, "dark": 0.8}[self.surround]
        return F * _adaptation_at(self.L_A)

    @functools.cached_property
    def Q_w(self) -> float:
        """Brightness of lightness 100, the scale between Q and J."""
        # The white need not have J exactly 100 when adaptation is incomplete; Q^2 / J is constant.
        white = forward(np.asarray([self.white_XYZ]) * self.white_cd_m2, self)
        return float(white.Q[0] * math.sqrt(100.0 / white.J[0]))

    @functools.cached_property
    def colourfulness_of_chroma(self) -> float:
        """M / C = F_L^0.25 of these conditions."""
        k = 1.0 / (5.0 * self.L_A + 1.0)
        F_L = 0.2 * k**4 * 5.0 * self.L_A + 0.1 * (1.0 - k**4) ** 2 * (5.0 * self.L_A) ** (1 / 3)
        return float(F_L**0.25)

    def _arguments(self) -> dict[str, Any]:
        colour = colour_science()
        factors = colour.VIEWING_CONDITIONS_CIECAM16[self.surround.title()]
        if self.degree_of_adaptation is not None:
            # F enters CIECAM16 through D alone, so any D can be had by choosing F.
            F = self.degree_of_adaptation / _adaptation_at(self.L_A)
            factors = colour.appearance.InductionFactors_CIECAM16(F, factors.c, factors.N_c)
        return {
            "XYZ_w": np.asarray(self.white_XYZ) * 100.0,
            "L_A": self.L_A,
            "Y_b": self.Y_b,
            "surround": factors,
        }


def _adaptation_at(L_A: float) -> float:
    return 1.0 - math.exp(-(L_A + 42.0) / 92.0) / 3.6


def forward(XYZ_cd_m2: npt.ArrayLike, conditions: ViewingConditions) -> Appearance:
    """Appearance of colours.

    Parameters
    ----------
    XYZ_cd_m2
        (N, 3). Values at or below zero count as a black far below any print's.
    conditions
        Where they are seen.

    Returns
    -------
    Appearance
        Each (N,), all finite.
    """
    colour = colour_science()
    XYZ = np.asarray(XYZ_cd_m2, np.float64) * (100.0 / conditions.white_cd_m2)
    XYZ = np.maximum(XYZ, 100.0 * _FLOOR)
    correlates = _correlates(colour, XYZ, conditions)
    J, C = correlates[0], correlates[1]
    dead = ~(np.isfinite(correlates).all(axis=0) & (J > 0.0) & (C >= 0.0))
    if dead.any():  # no real colour; stands as the grey of its luminance
        grey = XYZ[dead][:, 1:2] * np.asarray(conditions.white_XYZ)
        correlates[:, dead] = _correlates(colour, grey, conditions)
    J, C, h, Q, M = correlates
    return Appearance(J, C, h, Q, M)


def _correlates(colour: Any, XYZ: Float, conditions: ViewingConditions) -> Float:
    """(N, 3) with the white at ``Y = 100`` -> (5, N): J, C, h, Q, M."""
    with np.errstate(all="ignore"):
        spec = colour.XYZ_to_CIECAM16(XYZ, compute_H=False, **conditions._arguments())
    return np.array([spec.J, spec.C, spec.h, spec.Q, spec.M], dtype=np.float64)


def inverse(J: Float, M: Float, h: Float, conditions: ViewingConditions) -> Float:
    """Colours of an appearance.

    Parameters
    ----------
    J, M, h
        (N,) lightness, colourfulness, hue in degrees.
    conditions
        Where they are to be seen.

    Returns
    -------
    ndarray
        (N, 3), XYZ in cd/m2; may lie outside any screen, always finite.
    """
    colour = colour_science()
    J = np.maximum(J, 1e-9)
    XYZ = _inverse(colour, J, M, h, conditions)
    bad = ~np.isfinite(XYZ).all(axis=-1)
    if bad.any():  # more colourfulness than the model can hold at that lightness
        XYZ[bad] = _inverse(colour, J[bad], np.zeros(int(bad.sum())), h[bad], conditions)
    return XYZ * (conditions.white_cd_m2 / 100.0)


def _inverse(colour: Any, J: Float, M: Float, h: Float, conditions: ViewingConditions) -> Float:
    spec = colour.CAM_Specification_CIECAM16(J=J, M=M, h=h)
    with np.errstate(all="ignore"):
        XYZ = colour.CIECAM16_to_XYZ(spec, **conditions._arguments())
    return np.array(XYZ, dtype=np.float64)


def room_conditions(room: Room, degree_of_adaptation: float | None = None) -> ViewingConditions:
    """Viewing conditions of a room; the reference white is the perfect diffuser in its light."""
    X, Y, Z = (float(v) for v in room.light.XYZ_w)
    return ViewingConditions((X, Y, Z), room.L_w, room.Y_b, room.surround, degree_of_adaptation)


def appearance(
    XYZ_cd_m2: npt.ArrayLike, room: Room, degree_of_adaptation: float | None = None
) -> Appearance:
    """What colours look like to someone standing in the room.

    Parameters
    ----------
    XYZ_cd_m2
        (N, 3), as :func:`~proofing.viewing.room.radiance` gives them.
    room
        The room.
    degree_of_adaptation
        D set by hand, 0..1; None for the formula of CIECAM16.

    Returns
    -------
    Appearance
    """
    return forward(XYZ_cd_m2, room_conditions(room, degree_of_adaptation))
