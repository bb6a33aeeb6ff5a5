"""The monitor: absolute XYZ in cd/m2 to its codes and back, and what it cannot show.

A monitor is its ICC profile, the luminance of its white, and, where measured, of its black. A
profile of curves and a matrix is sampled once through the colour management library and then
evaluated directly, which keeps values beyond the device; one with tables goes through the library
each time.
"""

from __future__ import annotations

import functools
import math
import struct
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from proofing.language import mark, tr

from .._colour import colour_science
from ..colorimetry import PCS_WHITE_XYZ, XYZ_to_Lab, delta_E_00
from ..errors import ProfileError, SettingError
from ..photograph.icc import IccProfile, Lab_to_device, device_to_XYZ, srgb_profile

Float = npt.NDArray[np.float64]

_EPSILON = 1e-6  # linear light; two hundred times finer than a 16-bit code of mid grey
_FACE = 1e-4  # code; a table's result this close to 0 or 1 counts as lying on the limit
_TABLE_TOLERANCE = 1.0  # dE00; what tables are off by near their limits (measured on coarse ones)
_ANCHOR = 0.5  # linear grey towards which colours that are too bright are drawn
_CURVE_NODES = 2049

DEFAULT_LUMINANCE_CD_M2 = 120.0
"""Common practice for soft proofing: 80-120 cd/m2."""


class Encoded(NamedTuple):
    """Codes for the screen and how far it falls short."""

    RGB: Float
    """(N, 3) in 0..1."""
    beyond: Float
    """(N,) dE00, above 0 where the screen cannot show the colour, below 0 where it can."""


class _Curves(NamedTuple):
    """A matrix profile, sampled: code -> linear light per channel, and linear light -> XYZ."""

    code: Float
    linear: Float
    to_XYZ: Float
    from_XYZ: Float


@dataclass(frozen=True, eq=False)
class Screen:
    """A monitor. Frozen; equality and hash by :attr:`key`.

    Parameters
    ----------
    profile
        RGB profile that converts both ways; default sRGB (IEC 61966-2-1).
    luminance_cd_m2
        Of its white.
    black_cd_m2
        Of its black, as measured in the room; None to believe the profile, which for curves and
        a matrix means none at all. Its colour is taken to be the white's.
    provenance
        Where profile and numbers come from, for people.

    Raises
    ------
    ProfileError
        Not an RGB profile, or one without a way back to the device.
    SettingError
        Luminances outside what makes sense.
    """

    profile: IccProfile = field(default_factory=srgb_profile)
    luminance_cd_m2: float = DEFAULT_LUMINANCE_CD_M2
    black_cd_m2: float | None = None
    provenance: str = mark("sRGB assumed: no monitor profile was given")

    def __post_init__(self) -> None:
        if self.profile.space != "RGB" or self.profile.device_class not in ("display", "space"):
            raise ProfileError(
                tr(
                    "'{description}' is a profile of class '{device_class}' for {space}, not "
                    "for a monitor; choose the monitor's own profile",
                    description=self.profile.description,
                    device_class=self.profile.device_class,
                    space=self.profile.space,
                )
            )
        if not self.profile.to_device:
            raise ProfileError(
                tr(
                    "'{description}' cannot convert into the monitor's codes; choose another "
                    "profile or make a new one",
                    description=self.profile.description,
                )
            )
        L = self.luminance_cd_m2
        if not (math.isfinite(L) and 10.0 <= L <= 10_000.0):
            raise SettingError("luminance_cd_m2", L, tr("use a value from 10 to 10000 cd/m2"))
        B = self.black_cd_m2
        if B is not None and not (math.isfinite(B) and 0.0 <= B <= 0.2 * L):
            raise SettingError("black_cd_m2", B, tr("use a value from 0 to a fifth of the white's"))

    @property
    def key(self) -> str:
        """Identity for caching."""
        return f"screen:{self.profile.key}:{self.luminance_cd_m2!r}:{self.black_cd_m2!r}"

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Screen):
            return NotImplemented
        return (self.key, self.provenance) == (other.key, other.provenance)

    def __hash__(self) -> int:
        return hash((self.key, self.provenance))

    @functools.cached_property
    def white_XYZ(self) -> Float:
        """(3,), white of the monitor itself, ``Y = 1``; see :func:`adaptation_of`. Read-only."""
        white: Float = self._from_pcs @ PCS_WHITE_XYZ
        white.flags.writeable = False
        return white

    @functools.cached_property
    def _from_pcs(self) -> Float:
        matrix = np.linalg.inv(adaptation_of(self.profile))
        scaled: Float = matrix / (matrix @ PCS_WHITE_XYZ)[1]
        return scaled

    @functools.cached_property
    def _curves(self) -> _Curves | None:
        """The sampled curves and matrix, or None for a profile with tables."""
        if not self.profile.is_matrix:
            return None
        code = np.linspace(0.0, 1.0, _CURVE_NODES) ** 2  # closer together in the shadows
        columns, linear = [], []
        for channel in range(3):
            ramp = np.zeros((_CURVE_NODES, 3))
            ramp[:, channel] = code
            XYZ = device_to_XYZ(self.profile, ramp, "relative")
            full = XYZ[-1]
            columns.append(self._from_pcs @ full)
            linear.append(np.maximum.accumulate(np.clip(XYZ @ full / (full @ full), 0.0, 1.0)))
        to_XYZ = np.column_stack(columns)
        try:
            # The profile's rounding leaves its white off by a few 1e-5: make it exact.
            to_XYZ = to_XYZ * np.linalg.solve(to_XYZ, self.white_XYZ)
            from_XYZ = np.linalg.inv(to_XYZ)
        except np.linalg.LinAlgError as error:
            raise ProfileError(
                tr(
                    "'{description}' has primaries that span no colours; choose another profile",
                    description=self.profile.description,
                )
            ) from error
        return _Curves(code, np.array(linear), to_XYZ, from_XYZ)

    @functools.cached_property
    def _table_black(self) -> float:
        """Luminance of code 0, relative to white, by the profile's own tables."""
        if self.profile.is_matrix:
            return 0.0
        XYZ = device_to_XYZ(self.profile, np.zeros((1, 3)), "relative")
        return float(np.clip(XYZ[0, 1], 0.0, 0.2))

    # What the profile says, relative to its white, against what is emitted, cd/m2

    def _emitted(self, relative_XYZ: Float) -> Float:
        if self.black_cd_m2 is None:
            return relative_XYZ * self.luminance_cd_m2
        Y_0 = self._table_black
        span = (self.luminance_cd_m2 - self.black_cd_m2) / (1.0 - Y_0)
        offset = (self.black_cd_m2 - Y_0 * span) * self.white_XYZ
        return relative_XYZ * span + offset

    def _relative(self, XYZ_cd_m2: Float) -> Float:
        if self.black_cd_m2 is None:
            return XYZ_cd_m2 / self.luminance_cd_m2
        Y_0 = self._table_black
        span = (self.luminance_cd_m2 - self.black_cd_m2) / (1.0 - Y_0)
        offset = (self.black_cd_m2 - Y_0 * span) * self.white_XYZ
        return (XYZ_cd_m2 - offset) / span

    def _Lab(self, XYZ_cd_m2: Float) -> Float:
        """Lab of what is on the screen, against its white."""
        return XYZ_to_Lab(XYZ_cd_m2 / self.luminance_cd_m2, self.white_XYZ)

    def from_pcs(self, XYZ: npt.ArrayLike) -> Float:
        """Media-relative connection-space colours as the screen shows them, white on white.

        Parameters
        ----------
        XYZ
            (N, 3), D50, ``Y = 1`` white: a photograph through its own profile.

        Returns
        -------
        ndarray
            (N, 3), cd/m2, for :meth:`encode`.
        """
        return np.asarray(XYZ, np.float64) @ self._from_pcs.T * self.luminance_cd_m2

    def fits(self, XYZ_cd_m2: npt.ArrayLike) -> npt.NDArray[np.bool_]:
        """Whether the screen can show each colour.

        Parameters
        ----------
        XYZ_cd_m2
            (N, 3).

        Returns
        -------
        ndarray
            (N,), bool. For a profile with tables, within the one dE00 that tables are off by there.
        """
        XYZ = np.asarray(XYZ_cd_m2, np.float64)
        curves = self._curves
        if curves is not None:
            linear = self._relative(XYZ) @ curves.from_XYZ.T
            within = (linear >= -_EPSILON) & (linear <= 1.0 + _EPSILON)
            return np.asarray(within.all(axis=-1))
        shown = self.decode(self._through_tables(XYZ))
        close = self._difference(XYZ, shown) <= _TABLE_TOLERANCE
        return close & (XYZ[:, 1] <= self.luminance_cd_m2 * (1.0 + _EPSILON))

    def encode(self, XYZ_cd_m2: npt.ArrayLike) -> Encoded:
        """Codes that show colours, or come as near as the screen can.

        Parameters
        ----------
        XYZ_cd_m2
            (N, 3), finite.

        Returns
        -------
        Encoded
            RGB (N, 3) in 0..1 and `beyond` (N,).

        Notes
        -----
        With curves and a matrix, a colour below 0 in a channel is drawn towards the grey of its
        own luminance until it fits, and one above 1 towards a darker grey (its luminance, at most
        half of white), both in linear light: hue is kept better than by clipping each channel,
        a colour brighter than white ends white, and the tint of a bare paper that sits at the
        limit does not bleach. With tables the profile's own relative colorimetric table decides.

        `beyond` is made to be interpolated. Outside it is the dE00 between the colour and what is
        shown. Inside it is minus the dE00 between the colour and itself with its channel nearest
        to a limit pushed onto it. Both vanish at the limit and are of one scale, so its zero, the
        outline of what the screen can show, survives linear interpolation between lattice nodes.
        """
        XYZ = np.asarray(XYZ_cd_m2, np.float64)
        curves = self._curves
        if curves is None:
            RGB = self._through_tables(XYZ)
            shown = self.decode(RGB)
            outside = np.any(np.minimum(RGB, 1.0 - RGB) <= _FACE, axis=-1)
            other = np.where(outside[:, None], shown, self.decode(_pushed(RGB)))
            here = np.where(outside[:, None], XYZ, shown)
        else:
            linear = self._relative(XYZ) @ curves.from_XYZ.T
            fitted = _brought_in(linear, curves.to_XYZ[1])
            RGB = np.empty_like(fitted)
            for channel in range(3):
                RGB[:, channel] = np.interp(fitted[:, channel], curves.linear[channel], curves.code)
            outside = np.any((linear < 0.0) | (linear > 1.0), axis=-1)
            aim = np.where(outside[:, None], fitted, _pushed(np.cbrt(fitted)) ** 3)
            other = self._emitted(aim @ curves.to_XYZ.T)
            here = XYZ
        distance = self._difference(here, other)
        return Encoded(RGB, np.where(outside, distance, -distance))

    def decode(self, RGB: npt.ArrayLike) -> Float:
        """What the screen emits for codes.

        Parameters
        ----------
        RGB
            (N, 3), clipped to 0..1.

        Returns
        -------
        ndarray
            (N, 3), XYZ in cd/m2.
        """
        codes = np.clip(np.asarray(RGB, np.float64), 0.0, 1.0)
        curves = self._curves
        if curves is None:
            relative = device_to_XYZ(self.profile, codes, "relative") @ self._from_pcs.T
            return self._emitted(relative)
        linear = np.empty_like(codes)
        for channel in range(3):
            linear[:, channel] = np.interp(codes[:, channel], curves.code, curves.linear[channel])
        return self._emitted(linear @ curves.to_XYZ.T)

    def _through_tables(self, XYZ_cd_m2: Float) -> Float:
        relative = np.maximum(self._relative(XYZ_cd_m2), 0.0)
        pcs = relative @ np.linalg.inv(self._from_pcs).T
        return Lab_to_device(self.profile, XYZ_to_Lab(pcs), "relative")

    def _difference(self, XYZ_1: Float, XYZ_2: Float) -> Float:
        colour_science()
        return delta_E_00(self._Lab(XYZ_1), self._Lab(XYZ_2))


def _brought_in(linear: Float, luminance: Float) -> Float:
    """Linear light onto the screen; see :meth:`Screen.encode`.

    Parameters
    ----------
    linear
        (N, 3), anything.
    luminance
        (3,), share of each channel in the white's luminance.

    Returns
    -------
    ndarray
        (N, 3), in 0..1; what was there already is untouched.
    """
    low, high = linear.min(axis=-1), linear.max(axis=-1)
    beyond = np.flatnonzero((low < 0.0) | (high > 1.0))
    if len(beyond) == 0:
        return linear.copy()
    colour = linear[beyond]
    grey = np.maximum(colour @ luminance, 0.0)[:, None]
    low = np.minimum(colour.min(axis=-1, keepdims=True), 0.0)
    keep = np.divide(grey, grey - low, out=np.zeros_like(grey), where=grey - low > 0.0)
    colour = grey + np.where(low < 0.0, keep, 1.0) * (colour - grey)
    grey = np.minimum(grey, _ANCHOR)
    high = np.maximum(colour.max(axis=-1, keepdims=True), 1.0)
    colour = grey + (1.0 - grey) / (high - grey) * (colour - grey)
    result = linear.copy()
    result[beyond] = np.clip(colour, 0.0, 1.0)
    return result


def _pushed(codes: Float) -> Float:
    """Codes with the channel nearest to 0 or 1 moved onto it."""
    margin = np.minimum(codes, 1.0 - codes)
    nearest = margin.argmin(axis=-1)[:, None]
    value = np.take_along_axis(codes, nearest, axis=-1)
    pushed = codes.copy()
    np.put_along_axis(pushed, nearest, np.where(value < 0.5, 0.0, 1.0), axis=-1)
    return pushed


def adaptation_of(profile: IccProfile) -> Float:
    """The matrix that took the monitor's own colours to the D50 connection space.

    Parameters
    ----------
    profile
        A display profile.

    Returns
    -------
    ndarray
        (3, 3); its inverse takes the connection-space white to the monitor's white.

    Raises
    ------
    ProfileError
        The profile states a white that no monitor has.

    Notes
    -----
    ICC.1:2022: the ``chad`` tag where there is one. Version 4 profiles without it are of a device
    whose white is D50. Version 2 profiles without it state the white itself in ``wtpt``; the
    linear Bradford adaptation (annex E) goes from there.
    """
    chad = _fixed_numbers(profile.data, b"chad")
    if chad is not None and len(chad) >= 9:
        matrix = np.array(chad[:9]).reshape(3, 3)
        if abs(float(np.linalg.det(matrix))) > 1e-3:
            _check_white(np.linalg.solve(matrix, PCS_WHITE_XYZ), profile)
            return matrix
    wtpt = _fixed_numbers(profile.data, b"wtpt")
    if profile.version[0] >= 4 or wtpt is None or len(wtpt) < 3:
        return np.eye(3)
    white = np.array(wtpt[:3])
    _check_white(white, profile)
    adaptation = colour_science().adaptation
    matrix = adaptation.matrix_chromatic_adaptation_VonKries(
        white / white[1], PCS_WHITE_XYZ, transform="Bradford"
    )
    return np.asarray(matrix, np.float64)


def _check_white(XYZ: Float, profile: IccProfile) -> None:
    total = float(XYZ.sum())
    x, y = (float(XYZ[0]) / total, float(XYZ[1]) / total) if total > 0.0 else (0.0, 0.0)
    if not (0.2 <= x <= 0.5 and 0.2 <= y <= 0.5 and XYZ[1] > 0.1):
        raise ProfileError(
            tr(
                "'{description}' states a white no monitor has; choose another profile",
                description=profile.description,
            )
        )


def _fixed_numbers(data: bytes, signature: bytes) -> tuple[float, ...] | None:
    """Numbers of an XYZ or s15Fixed16 array tag (ICC.1:2022, 10.22 and 10.31); None without."""
    (count,) = struct.unpack(">I", data[128:132])
    for index in range(count):
        at = 132 + 12 * index
        name, offset, size = struct.unpack(">4sII", data[at : at + 12])
        body = data[offset : offset + size]
        if name == signature and body[:4] in (b"XYZ ", b"sf32"):
            values = struct.unpack(
                f">{(len(body) - 8) // 4}i", body[8 : 8 + (len(body) - 8) // 4 * 4]
            )
            return tuple(value / 65536.0 for value in values)
    return None
