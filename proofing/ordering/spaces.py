"""The spaces an order file may be in, as profiles that labs' programs read and call by name.

The encodings that the engine works with are made by the colour library, which leaves them its own
names; whoever opens an order file should read *Adobe RGB (1998)* there.
"""

from __future__ import annotations

import functools
import struct
from pathlib import Path

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import PCS_WHITE_XYZ
from proofing.errors import SettingError
from proofing.language import tr
from proofing.photograph.icc import (
    ADOBE_RGB,
    SRGB,
    IccIntent,
    IccProfile,
    RgbSpace,
    device_to_XYZ,
    recognised_space,
)
from proofing.photograph.icc_writing import assembled

Float = npt.NDArray[np.float64]

ADOBE_RGB_NAME, SRGB_NAME = "adobe-rgb", "srgb"
_CURVE_ENTRIES = 4096


def order_space(name: str) -> IccProfile:
    """The profile of a space by its short name, or of a profile file.

    Parameters
    ----------
    name
        ``'adobe-rgb'``, ``'srgb'``, or the path of the lab's RGB profile.

    Raises
    ------
    SettingError
        No such name, and no file ending in .icc or .icm.
    ProfileError
        The file is no usable profile.
    """
    plain = name.strip().casefold()
    if plain in (ADOBE_RGB_NAME, ADOBE_RGB.name.casefold()):
        return adobe_rgb()
    if plain in (SRGB_NAME, SRGB.name.casefold()):
        return srgb()
    if Path(name).suffix.lower() not in (".icc", ".icm"):
        raise SettingError(
            "space", name, tr("use adobe-rgb, srgb, or a profile file that ends in .icc or .icm")
        )
    return IccProfile.from_file(name)


def space_name(profile: IccProfile) -> str:
    """What people call the space: the published name, else the profile's own."""
    return recognised_space(profile) or profile.description


@functools.cache
def adobe_rgb() -> IccProfile:
    """Adobe RGB (1998): its gamma of 563/256 is exact in a version 2 curve.

    >>> adobe_rgb().description, recognised_space(adobe_rgb())
    ('Adobe RGB (1998)', 'Adobe RGB (1998)')
    """
    return _matrix_profile(ADOBE_RGB, struct.pack(">4sIIH", b"curv", 0, 1, 563))


@functools.cache
def srgb() -> IccProfile:
    """sRGB (IEC 61966-2-1), its curve as a table of 4096 entries.

    >>> srgb().description, recognised_space(srgb())
    ('sRGB', 'sRGB')
    """
    codes = np.linspace(0.0, 1.0, _CURVE_ENTRIES)
    entries = np.rint(SRGB.decode(codes) * 65535.0).astype(">u2")
    curve = struct.pack(">4sII", b"curv", 0, _CURVE_ENTRIES) + entries.tobytes()
    return _matrix_profile(SRGB, curve)


def _matrix_profile(space: RgbSpace, curve: bytes) -> IccProfile:
    """A version 2 display profile (ICC.1:2001-04): what old programs read, too."""
    colorants = np.rint(space.colorants_XYZ * 65536.0).astype(np.int64)
    # the three add up to the white of the connection space, so that neutrals are neutral
    colorants[1] += np.rint(PCS_WHITE_XYZ * 65536.0).astype(np.int64) - colorants.sum(axis=0)
    named = space.name.encode("ascii") + b"\0"
    parts = {
        b"desc": struct.pack(">4sII", b"desc", 0, len(named)) + named + bytes(4 + 4 + 2 + 1 + 67),
        b"cprt": b"text\0\0\0\0No rights reserved (CC0).\0",
        b"wtpt": _xyz(np.rint(PCS_WHITE_XYZ * 65536.0)),
        b"rXYZ": _xyz(colorants[0]),
        b"gXYZ": _xyz(colorants[1]),
        b"bXYZ": _xyz(colorants[2]),
        b"rTRC": curve,
        b"gTRC": curve,
        b"bTRC": curve,
    }
    return IccProfile.from_bytes(assembled(b"mntr", b"RGB ", b"XYZ ", b"\2\x10\0\0", parts))


def _xyz(values: npt.NDArray[np.generic]) -> bytes:
    return b"XYZ \0\0\0\0" + struct.pack(">3i", *(int(value) for value in values))


@functools.lru_cache(maxsize=16)
def _light_of(profile: IccProfile) -> Float:
    inverse = np.linalg.inv(device_to_XYZ(profile, np.eye(3), IccIntent.RELATIVE))
    light = np.asarray(inverse, dtype=np.float64)
    light.flags.writeable = False
    return light


def primaries_light(profile: IccProfile, XYZ: Float) -> Float:
    """How much of each primary's full light a colour takes, not cut off at 0 and 1.

    Parameters
    ----------
    profile
        RGB, curves and a matrix (:attr:`~proofing.photograph.IccProfile.is_matrix`).
    XYZ
        (N, 3), D50, media-relative.

    Returns
    -------
    ndarray
        (N, 3) linear red, green, blue; outside 0..1 for a colour that the space does not hold.
    """
    light: Float = XYZ @ _light_of(profile)
    return light
