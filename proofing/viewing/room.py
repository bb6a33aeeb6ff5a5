"""The room: how much light, from what, through what, thrown back by what.

:func:`radiance` turns print spectra into what reaches the eye, XYZ in cd/m2::

    L = T^2 R E/pi  +  T U_rel e E/pi  +  (R_g + T^2 0.04 specular) L_room,   L_room = k E/pi

(Lambertian print; reflections of the room on the pane and on the print's own surface.)
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass, field
from typing import NamedTuple, Protocol

import numpy as np
import numpy.typing as npt

from proofing.language import tr

from .._colour import colour_science
from ..colorimetry import WAVELENGTHS_NM, d50_weights
from ..errors import SettingError
from .glazing import NO_GLAZING, Glazing
from .light import Light

Float = npt.NDArray[np.float64]

FRESNEL_SURFACE = 0.04
"""Reflection of a surface of index 1.5 at normal incidence: ((n-1)/(n+1))^2, exact."""

SURROUND_RATIO_AVERAGE = 0.2
"""CIE 159:2004 / CIE 248:2022: a surround ratio S_R of 0.2 and above is an average surround,
between 0 and 0.2 a dim one, 0 a dark one."""

_CHUNK = 65536


class SurfaceLike(Protocol):
    """What of a print's surface matters to the room."""

    @property
    def specular(self) -> float:
        """Share, 0..1, of the 4 % surface reflection that shows the room to the eye."""


@dataclass(frozen=True)
class Room:
    """Where the print hangs. Frozen; :attr:`key` for caching.

    Parameters
    ----------
    light
        The light source.
    illuminance_lux
        On the print, in front of any glazing.
    glazing
        The pane before the print.
    reflection_ratio
        k = pi L_room / E: luminance of what the surface mirrors, relative to a perfect diffuser
        in the print's place. 0: nothing bright opposite; 0.1: a lit room; 1: a white wall as
        strongly lit as the print.
    wall_reflectance
        Of the wall the print hangs on; gives the background Y_b.
    surround_ratio
        S_R: luminance of a white in the room beyond, relative to one in the print's place. 1
        where room and print share one light; below 0.2 for a spotlit print in a dim room; 0 in
        the dark.

    Raises
    ------
    SettingError
        Outside what makes sense.
    """

    light: Light
    illuminance_lux: float
    glazing: Glazing = field(default=NO_GLAZING)
    reflection_ratio: float = 0.0
    wall_reflectance: float = 0.20
    surround_ratio: float = 1.0

    def __post_init__(self) -> None:
        _within("illuminance_lux", self.illuminance_lux, 0.1, 150_000.0, "lux")
        _within("reflection_ratio", self.reflection_ratio, 0.0, 10.0, tr("(no unit)"))
        _within("wall_reflectance", self.wall_reflectance, 0.02, 0.95, "(share)")
        _within("surround_ratio", self.surround_ratio, 0.0, 10.0, tr("(no unit)"))

    @property
    def key(self) -> str:
        """Identity for caching; every setting that changes a number is in it."""
        numbers = (
            self.illuminance_lux,
            self.reflection_ratio,
            self.wall_reflectance,
            self.surround_ratio,
        )
        return f"room:{self.light.key}:{self.glazing.key}:{numbers!r}"

    @property
    def L_w(self) -> float:
        """Luminance of the perfect diffuser, unglazed, E / pi, cd/m2."""
        return self.illuminance_lux / math.pi

    @property
    def white_XYZ_cd_m2(self) -> Float:
        """(3,), the perfect diffuser under the room's light: the reference white."""
        return self.light.XYZ_w * self.L_w

    @property
    def Y_b(self) -> float:
        """Background of CIECAM16, per cent: the wall about the print, lit as the print is."""
        return 100.0 * self.wall_reflectance

    @property
    def L_A(self) -> float:
        """Adapting luminance, cd/m2: ``Y_b % * E / pi`` (CIE 248:2022)."""
        return self.wall_reflectance * self.L_w

    @property
    def surround(self) -> str:
        """``average``, ``dim`` or ``dark``, by the surround ratio (CIE 159:2004, CIE 248:2022)."""
        if self.surround_ratio >= SURROUND_RATIO_AVERAGE:
            return "average"
        return "dim" if self.surround_ratio > 0.0 else "dark"


def _within(name: str, value: float, low: float, high: float, unit: str) -> None:
    if not (math.isfinite(value) and low <= value <= high):
        raise SettingError(
            name,
            value,
            tr("use a value from {low:g} to {high:g} {unit}", low=low, high=high, unit=unit),
        )


class PrintWeights(NamedTuple):
    """What one matrix product needs: ``XYZ = R @ reflect + e @ emit + veil_XYZ``, cd/m2."""

    reflect: Float
    """(36, 3), for the reflectance."""
    emit: Float
    """(36, 3), for the emission as it would be under D50."""
    veil_XYZ: Float
    """(3,), what pane and surface add of the room."""


def print_weights(room: Room, surface: SurfaceLike | None = None) -> PrintWeights:
    """Weights from print spectra to XYZ in cd/m2.

    Parameters
    ----------
    room
        The room.
    surface
        The print's surface; None for one that mirrors nothing.

    Returns
    -------
    PrintWeights
        All read-only.
    """
    specular = 0.0 if surface is None else float(surface.specular)
    if not 0.0 <= specular <= 1.0:
        raise SettingError("specular", specular, tr("use a share from 0 to 1"))
    return _print_weights(room, specular)


@functools.lru_cache(maxsize=64)
def _print_weights(room: Room, specular: float) -> PrintWeights:
    colour_science()
    T = room.glazing.transmittance_visible[:, None]
    weights = room.light.weights()
    reflect = weights * (T * T) * room.L_w
    emit = d50_weights() * T * (room.light.excitation(room.glazing) * room.L_w)
    veil = room.reflection_ratio * (
        room.glazing.reflectance * room.white_XYZ_cd_m2
        + FRESNEL_SURFACE * specular * reflect.sum(axis=0)
    )
    for part in (reflect, emit, veil):
        part.flags.writeable = False
    return PrintWeights(reflect, emit, veil)


def radiance(
    reflectance: npt.NDArray[np.floating],
    emission: npt.NDArray[np.floating] | None,
    surface: SurfaceLike | None,
    room: Room,
) -> Float:
    """What reaches the eye from a print in a room.

    Parameters
    ----------
    reflectance
        (N, 36) non-fluorescent radiance factors at
        :data:`~proofing.colorimetry.WAVELENGTHS_NM`; float32 or float64.
    emission
        (N, 36) fluorescent radiance factor as it would be under D50, or None. The fluorescent
        power follows the light's ultraviolet and violet per lux, not its visible spectrum.
    surface
        The print's surface, None for one that mirrors nothing.
    room
        Light, illuminance, glazing, reflections.

    Returns
    -------
    ndarray
        (N, 3), XYZ in cd/m2, float64.
    """
    weights = print_weights(room, surface)
    if reflectance.ndim != 2 or reflectance.shape[1] != len(WAVELENGTHS_NM):
        raise SettingError("reflectance", reflectance.shape, tr("give an array of shape (N, 36)"))
    if emission is not None and emission.shape != reflectance.shape:
        raise SettingError("emission", emission.shape, tr("give it the shape of the reflectance"))
    XYZ = np.empty((len(reflectance), 3))
    for start in range(0, len(reflectance), _CHUNK):
        part = slice(start, start + _CHUNK)
        XYZ[part] = np.asarray(reflectance[part], np.float64) @ weights.reflect
        if emission is not None:
            XYZ[part] += np.asarray(emission[part], np.float64) @ weights.emit
    XYZ += weights.veil_XYZ
    return XYZ
