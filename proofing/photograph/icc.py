"""ICC profiles: reading them, naming them, and converting colours through them.

The only place of the package that talks to the colour management library; whatever it raises
leaves here as :class:`~proofing.errors.ProfileError`. Everything is a pure function of its
arguments, so every thread may call it.

Values on the device side are fractions, 0..1 per channel, inks included (1 = full ink); Lab as
a *device* space is in its ICC encoding, ``L*/100, (a* + 128)/255, (b* + 128)/255``. On the
connection-space side Lab and XYZ are against :data:`~proofing.colorimetry.PCS_WHITE_XYZ`.
"""

from __future__ import annotations

import enum
import functools
import hashlib
import os
import struct
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import PCS_WHITE_XYZ, Lab_to_XYZ, XYZ_to_Lab
from proofing.errors import ProfileError
from proofing.language import tr
from proofing.photograph.icc_writing import assembled

Float = npt.NDArray[np.float64]
DeviceClass = Literal["input", "display", "output", "link", "abstract", "space", "named"]

_CLASSES: dict[bytes, DeviceClass] = {  # ICC.1:2022, table 18
    b"scnr": "input",
    b"mntr": "display",
    b"prtr": "output",
    b"link": "link",
    b"abst": "abstract",
    b"spac": "space",
    b"nmcl": "named",
}
_CHANNELS = {  # ICC.1:2022, table 19
    "GRAY": 1, "RGB": 3, "LAB": 3, "XYZ": 3, "CMY": 3, "CMYK": 4, "LUV": 3, "YCBR": 3,
    "YXY": 3, "HSV": 3, "HLS": 3,
    **{f"{n:X}CLR": n for n in range(2, 16)},
}  # fmt: skip
_CONVERTIBLE = {"GRAY": "gray", "RGB": "rgb", "LAB": "lab", "CMY": "cmy", "CMYK": "cmyk"}
_INKS = ("CMY", "CMYK")  # the library counts ink in percent

_LARGEST_PROFILE_BYTES = 64 * 2**20
_BLOCK_PIXELS = 2**21
_QUICK_TOLERANCE = 0.25  # CIE 1976 difference at which a resampled table counts as the same
_NO_WHITE_FIX_UP, _NO_CACHE, _NO_OPTIMISATION, _COMPENSATE = 4, 64, 256, 8192
_KEEP_CURVES = 1 | 16  # table resampled between the profile's own curves: three times as quick
_FOREIGN = (RuntimeError, ValueError, TypeError, OSError, MemoryError, OverflowError)


class IccIntent(enum.StrEnum):
    """The four rendering intents of ICC.1:2022, 7.2.15."""

    PERCEPTUAL = "perceptual"
    RELATIVE = "relative"
    SATURATION = "saturation"
    ABSOLUTE = "absolute"

    @property
    def number(self) -> int:
        """The intent's number in a profile header."""
        return list(IccIntent).index(self)


@dataclass(frozen=True, eq=False)
class IccProfile:
    """An ICC profile, whole and checked. Equality and hash are by :attr:`key`.

    Make one with :meth:`from_bytes` or :meth:`from_file`.

    Attributes
    ----------
    data
        The profile, byte for byte.
    description
        What the profile calls itself; ``'unnamed profile'`` where it says nothing.
    device_class, space, pcs, version
        From the header. `space` and `pcs` are upper case without blanks: ``'RGB'``, ``'GRAY'``,
        ``'CMYK'``, ``'LAB'``, ...
    is_matrix
        Whether colours go through curves and at most a matrix, and through no table.
    channels
        How many device channels.
    key
        SHA-256 of the data, hexadecimal.
    media_white_XYZ
        (3,), the media white relative to the perfect diffuser. D50 for version 2 display
        profiles, whatever their tag says (ICC.1:2022, D.6; from memory).
    tags
        The signatures of the tags the profile carries.
    """

    data: bytes = field(repr=False)
    description: str
    device_class: DeviceClass
    space: str
    pcs: str
    version: tuple[int, int]
    is_matrix: bool
    channels: int
    key: str
    media_white_XYZ: Float = field(repr=False)
    tags: frozenset[str] = field(repr=False)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, IccProfile) and other.key == self.key

    def __hash__(self) -> int:
        return hash(self.key)

    @property
    def to_device(self) -> bool:
        """Whether colours can be converted *into* this profile's device space."""
        return self.is_matrix or "B2A0" in self.tags or "B2A1" in self.tags

    @classmethod
    def from_bytes(cls, data: bytes, *, origin: str = "") -> IccProfile:
        """Check a profile and read what it says of itself.

        Parameters
        ----------
        data
            The profile.
        origin
            Where it came from, for the error text: a file name.

        Raises
        ------
        ProfileError
            The data is no profile, is cut short, or cannot convert a single colour.
        """
        data = bytes(data)
        where = tr("the profile in {origin}", origin=origin) if origin else tr("the profile")

        def broken(why: str) -> ProfileError:
            return ProfileError(
                tr("{where} {why}; use an intact ICC profile", where=where, why=why), origin or None
            )

        if len(data) < 132 or data[36:40] != b"acsp":
            raise broken(tr("is no ICC profile"))
        if len(data) > _LARGEST_PROFILE_BYTES:
            raise broken(
                tr(
                    "is larger than {LARGEST_PROFILE_BYTES} MiB",
                    LARGEST_PROFILE_BYTES=_LARGEST_PROFILE_BYTES // 2**20,
                )
            )
        if struct.unpack(">I", data[:4])[0] > len(data):
            raise broken(tr("is cut short"))
        device_class = _CLASSES.get(data[12:16])
        space = _signature(data[16:20])
        pcs = _signature(data[20:24])
        if device_class is None:
            raise broken(tr("is of an unknown class"))
        if space not in _CHANNELS:
            raise broken(tr("is for an unknown colour space '{space}'", space=space))
        tags = _tags(data)
        if tags is None:
            raise broken(tr("has a damaged list of contents"))
        has_table = any(tag[:3] in ("A2B", "B2A", "D2B", "B2D") for tag in tags)
        version = (data[8], data[9] >> 4)
        profile = cls(
            data=data,
            description=_text(tags.get("desc", b"")) or tr("unnamed profile"),
            device_class=device_class,
            space=space,
            pcs=pcs,
            version=version,
            is_matrix=not has_table and ("kTRC" in tags or "rTRC" in tags),
            channels=_CHANNELS[space],
            key=hashlib.sha256(data).hexdigest(),
            media_white_XYZ=_media_white(tags, version, device_class),
            tags=frozenset(tags),
        )
        if device_class in ("input", "display", "output", "space") and space in _CONVERTIBLE:
            try:
                Lab = device_to_Lab(profile, np.full((1, profile.channels), 0.5), "relative")
            except ProfileError as error:
                raise broken(tr("cannot convert colours")) from error
            if not np.isfinite(Lab).all():
                raise broken(tr("converts colours to no number"))
        return profile

    @classmethod
    def from_file(cls, path: Path | str) -> IccProfile:
        """Read a profile file; see :meth:`from_bytes`.

        Raises
        ------
        ProfileError
            The file cannot be read or is no usable profile.
        """
        path = Path(path)
        try:
            with path.open("rb") as file:
                data = file.read(_LARGEST_PROFILE_BYTES + 1)
        except OSError as error:
            raise ProfileError(
                tr(
                    "{path} cannot be read ({strerror}); choose another profile",
                    path=path.name,
                    strerror=error.strerror,
                ),
                path,
            ) from error
        try:
            return cls.from_bytes(data, origin=path.name)
        except ProfileError as error:
            error.path = path
            raise


# ---- the parts of a profile (ICC.1:2022, 7 and 10) ----------------------------------------


def _signature(data: bytes) -> str:
    return data.decode("latin-1").strip("\0 ").upper()


def _tags(data: bytes) -> dict[str, bytes] | None:
    (count,) = struct.unpack(">I", data[128:132])
    if count > 1000 or 132 + 12 * count > len(data):
        return None
    tags = {}
    for index in range(count):
        at = 132 + 12 * index
        offset, size = struct.unpack(">II", data[at + 4 : at + 12])
        if offset + size > len(data):
            return None
        tags[data[at : at + 4].decode("latin-1")] = data[offset : offset + size]
    return tags


def _text(tag: bytes) -> str:
    """Text of a description tag: version 2 ASCII or version 4 multilingual, English first."""
    kind = tag[:4]
    text = ""
    if kind == b"desc" and len(tag) >= 12:
        (length,) = struct.unpack(">I", tag[8:12])
        text = tag[12 : 12 + length].split(b"\0")[0].decode("latin-1")
    elif kind == b"text":
        text = tag[8:].split(b"\0")[0].decode("latin-1")
    elif kind == b"mluc" and len(tag) >= 16:
        count, width = struct.unpack(">II", tag[8:16])
        records = []
        for index in range(min(count, 200)):
            record = tag[16 + index * width : 28 + index * width]
            if width >= 12 and len(record) == 12:
                length, offset = struct.unpack(">II", record[4:])
                records.append((record[:2] != b"en", tag[offset : offset + length]))
        if records:
            text = min(records, key=lambda record: record[0])[1].decode("utf-16-be", "replace")
    return "".join(c for c in text if c.isprintable()).strip()[:200]


def _media_white(
    tags: dict[str, bytes], version: tuple[int, int], device_class: DeviceClass
) -> Float:
    white = PCS_WHITE_XYZ.copy()
    tag = tags.get("wtpt", b"")
    if len(tag) >= 20 and not (version[0] < 4 and device_class == "display"):
        read = np.array(struct.unpack(">3i", tag[8:20])) / 65536.0
        if read[1] > 0.0:
            white = read
    white.flags.writeable = False
    return white


# ---- conversions ------------------------------------------------------------------------


@functools.cache
def _XYZ_profile(*, as_source_for_v4: bool = False) -> bytes:
    """An XYZ profile for the far side of a conversion: unbounded, where a Lab one clips.

    Version 2: the library then compensates the black point only when asked. A version 4
    *destination* in the perceptual and saturation intents is always compensated, from the black
    of the source to the reference medium's; a version 4 source of the colour-space class has
    that same black, which makes it nothing.
    """
    import imagecodecs

    data: bytes = imagecodecs.cms_profile("xyz")
    if as_source_for_v4:
        return data[:12] + b"spac" + data[16:]
    return data[:8] + b"\2\x40" + data[10:]


def _convert(
    values: Float,
    source: bytes,
    source_space: str,
    destination: bytes,
    destination_space: str,
    intent: IccIntent,
    bpc: bool,
) -> Float:
    """Every conversion of the package: float64 in and out, tables interpolated as they are."""
    import imagecodecs

    flags = _NO_OPTIMISATION | _NO_CACHE | _NO_WHITE_FIX_UP | (_COMPENSATE if bpc else 0)
    try:
        converted: Any = imagecodecs.cms_transform(
            np.ascontiguousarray(values, dtype=np.float64)[None],
            source,
            destination,
            colorspace=source_space,
            outcolorspace=destination_space,
            outdtype=np.float64,
            intent=intent.number,
            flags=flags,
        )
    except _FOREIGN as error:
        raise ProfileError(
            tr(
                "the profile cannot convert {source_space} to {destination_space} with the "
                "{intent} intent; use another profile or intent",
                source_space=source_space.upper(),
                destination_space=destination_space.upper(),
                intent=intent.value,
            )
        ) from error
    return np.asarray(converted, dtype=np.float64).reshape(len(values), -1)


def _space_of(profile: IccProfile) -> str:
    space = _CONVERTIBLE.get(profile.space)
    if space is None or profile.device_class in ("link", "abstract", "named"):
        raise ProfileError(
            tr(
                "'{description}' is a profile of class '{device_class}' for {space}; use one "
                "for grey, RGB, CMY, CMYK or Lab",
                description=profile.description,
                device_class=profile.device_class,
                space=profile.space,
            )
        )
    return space


def _check(values: npt.ArrayLike, channels: int) -> Float:
    values = np.asarray(values, dtype=np.float64)
    if values.ndim != 2 or values.shape[1] != channels:
        raise ProfileError(
            tr(
                "values of shape {shape} given where (N, {channels}) is needed",
                shape=values.shape,
                channels=channels,
            )
        )
    return values


def _into_library(profile: IccProfile, values: Float) -> Float:
    if profile.space in _INKS:
        return values * 100.0
    if profile.space == "LAB":
        return decode_Lab(values)
    return values


def _out_of_library(profile: IccProfile, values: Float) -> Float:
    if profile.space in _INKS:
        values = values / 100.0
    elif profile.space == "LAB":
        values = encode_Lab(values)
    return np.clip(np.nan_to_num(values, copy=False), 0.0, 1.0)


def _effective(profile: IccProfile, intent: IccIntent | str) -> IccIntent:
    """Curves and a matrix are the same for every intent but the absolute one."""
    intent = IccIntent(intent)
    if profile.is_matrix and intent is not IccIntent.ABSOLUTE:
        return IccIntent.RELATIVE
    return intent


def decode_Lab(codes: npt.ArrayLike) -> Float:
    """Lab of its ICC encoding as fractions (ICC.1:2022, 6.3.4.2).

    >>> decode_Lab([[1.0, 128 / 255, 0.0]]).tolist()
    [[100.0, 0.0, -128.0]]
    """
    return np.asarray(codes, dtype=np.float64) * [100.0, 255.0, 255.0] - [0.0, 128.0, 128.0]


def encode_Lab(Lab: npt.ArrayLike) -> Float:
    """ICC encoding of Lab as fractions; the inverse of :func:`decode_Lab`, not clipped."""
    return np.add(np.asarray(Lab, dtype=np.float64), [0.0, 128.0, 128.0]) / [100.0, 255.0, 255.0]


def device_to_Lab(
    profile: IccProfile,
    values: npt.ArrayLike,
    intent: IccIntent | str,
    *,
    bpc: bool = False,
) -> Float:
    """Lab of device values.

    Parameters
    ----------
    profile
        Grey, RGB, CMY, CMYK or Lab; no device link.
    values
        (N, C), fractions in 0..1. RGB and grey profiles without tables go on beyond.
    intent
        ``'absolute'`` gives Lab relative to the perfect diffuser, the others media-relative.
    bpc
        Black point compensation: the profile's black lands on L* = 0 (ISO 18619). Without it
        the perceptual table of a version 4 profile is returned as it is, its black being that
        of the reference medium. The absolute intent ignores it.

    Returns
    -------
    ndarray
        (N, 3), D50.

    Raises
    ------
    ProfileError
        The profile has no such conversion.

    Notes
    -----
    >>> device_to_Lab(srgb_profile(), [[1.0, 0.0, 0.0]], "relative").round(1).tolist()
    [[54.3, 80.8, 69.9]]
    """
    return XYZ_to_Lab(device_to_XYZ(profile, values, intent, bpc=bpc))


def device_to_XYZ(
    profile: IccProfile,
    values: npt.ArrayLike,
    intent: IccIntent | str,
    *,
    bpc: bool = False,
) -> Float:
    """XYZ of device values, ``Y = 1`` white; see :func:`device_to_Lab`.

    Returns
    -------
    ndarray
        (N, 3), D50.
    """
    space = _space_of(profile)
    inward = _into_library(profile, _check(values, profile.channels))
    return _convert(
        inward, profile.data, space, _XYZ_profile(), "xyz", _effective(profile, intent), bpc
    )


def _only_describes(profile: IccProfile) -> ProfileError:
    return ProfileError(
        tr(
            "'{description}' only describes a device and cannot convert into it; use an "
            "output or display profile",
            description=profile.description,
        )
    )


def Lab_to_device(
    profile: IccProfile,
    Lab: npt.ArrayLike,
    intent: IccIntent | str,
    *,
    bpc: bool = False,
) -> Float:
    """Device values of Lab.

    Parameters
    ----------
    profile
        Grey, RGB, CMY, CMYK or Lab, able to convert towards its device.
    Lab
        (N, 3), D50; relative to the perfect diffuser for ``'absolute'``, else media-relative.
    intent
        Which of the profile's tables.
    bpc
        Black point compensation: L* = 0 lands on the profile's black. Without it the table is
        looked up as it is; see :func:`device_to_Lab`.

    Returns
    -------
    ndarray
        (N, C), in 0..1: what the device cannot make is clipped.

    Raises
    ------
    ProfileError
        The profile has no such conversion.
    """
    effective = _effective(profile, intent)
    forced = effective in (IccIntent.PERCEPTUAL, IccIntent.SATURATION) and profile.version[0] >= 4
    source = _XYZ_profile(as_source_for_v4=forced and not bpc)
    return _into_device(profile, Lab_to_XYZ(_check(Lab, 3)), source, effective, bpc)


def XYZ_to_device(
    profile: IccProfile,
    XYZ: npt.ArrayLike,
    intent: IccIntent | str,
    *,
    bpc: bool = False,
) -> Float:
    """Device values of media-relative XYZ, for colours that Lab's own range would cut off.

    Parameters
    ----------
    profile
        Grey, RGB, CMY or CMYK, able to convert towards its device.
    XYZ
        (N, 3), D50, ``Y = 1`` white.
    intent, bpc
        As for :func:`Lab_to_device`.

    Returns
    -------
    ndarray
        (N, C), in 0..1: what the device cannot make is clipped.

    Raises
    ------
    ProfileError
        The profile has no such conversion.
    """
    effective = _effective(profile, intent)
    return _into_device(profile, _check(XYZ, 3), _XYZ_profile(), effective, bpc)


def _into_device(
    profile: IccProfile, XYZ: Float, source: bytes, intent: IccIntent, bpc: bool
) -> Float:
    space = _space_of(profile)
    if not profile.to_device:
        raise _only_describes(profile)
    device = _convert(XYZ, source, "xyz", profile.data, space, intent, bpc)
    return _out_of_library(profile, device)


def device_to_device(
    source: IccProfile,
    destination: IccProfile,
    values: npt.ArrayLike,
    intent: IccIntent | str,
    *,
    bpc: bool = False,
) -> Float:
    """Device values of one profile for those of another.

    Parameters
    ----------
    source, destination
        Grey, RGB, CMY, CMYK or Lab.
    values
        (N, C) of `source`, in 0..1.
    intent, bpc
        As ICC.1 has it: the perceptual and saturation intents of a version 4 destination always
        scale the black, the others only with `bpc`; the absolute intent never.

    Returns
    -------
    ndarray
        (N, C) of `destination`, in 0..1.

    Raises
    ------
    ProfileError
        One of the two has no such conversion.
    """
    source_space, destination_space = _space_of(source), _space_of(destination)
    if not destination.to_device:
        raise _only_describes(destination)
    device = _convert(
        _into_library(source, _check(values, source.channels)),
        source.data,
        source_space,
        destination.data,
        destination_space,
        IccIntent(intent),
        bpc,
    )
    return _out_of_library(destination, device)


def picture_to_Lab_codes(profile: IccProfile, pixels: npt.NDArray[Any]) -> npt.NDArray[np.uint16]:
    """A whole picture in the 16-bit ICC encoding of Lab, relative colorimetric.

    Parameters
    ----------
    profile
        CMYK or Lab.
    pixels
        (H, W, C) uint8, uint16 or float32 (fractions), as the profile's device space has them.

    Returns
    -------
    ndarray
        (H, W, 3) uint16, ``L*/100, (a* + 128)/255, (b* + 128)/255`` of 65535 (ICC.1:2022,
        6.3.4.2).

    Raises
    ------
    ProfileError
        The profile cannot convert.
    """
    import imagecodecs

    space = _space_of(profile)
    height, width, channels = pixels.shape
    if channels != profile.channels:
        raise ProfileError(
            tr("a picture of {channels} channels needs a profile of as many", channels=channels)
        )
    codes = np.empty((height, width, 3), dtype=np.uint16)
    rows = max(1, _BLOCK_PIXELS // width)
    Lab_profile = imagecodecs.cms_profile("lab4")

    def convert(block: npt.NDArray[Any], flags: int) -> npt.NDArray[np.uint16]:
        if block.dtype == np.float32:
            block = _into_library(profile, block.astype(np.float64))
        converted: npt.NDArray[np.uint16] = imagecodecs.cms_transform(
            np.ascontiguousarray(block),
            profile.data,
            Lab_profile,
            colorspace=space,
            outcolorspace="lab",
            outdtype=np.uint16,
            intent=IccIntent.RELATIVE.number,
            flags=flags | _NO_WHITE_FIX_UP,
        )
        return converted

    def quick_is_good() -> bool:
        limit = 1.0 if pixels.dtype == np.float32 else float(np.iinfo(pixels.dtype).max)
        colours = np.random.default_rng(39).random((1, 2000, channels)) * limit
        colours = colours.astype(pixels.dtype)
        quick, exact = (
            decode_Lab(convert(colours, flags) / 65535.0)
            for flags in (_KEEP_CURVES, _NO_OPTIMISATION)
        )
        return float(np.linalg.norm(quick - exact, axis=-1).max()) <= _QUICK_TOLERANCE

    try:
        flags = _KEEP_CURVES if quick_is_good() else _NO_OPTIMISATION

        def fill(start: int) -> None:
            codes[start : start + rows] = convert(pixels[start : start + rows], flags)

        with ThreadPoolExecutor(min(4, os.cpu_count() or 1)) as pool:
            list(pool.map(fill, range(0, height, rows)))
    except _FOREIGN as error:
        raise ProfileError(
            tr(
                "'{description}' cannot convert {space} to Lab; use another profile",
                description=profile.description,
                space=profile.space,
            )
        ) from error
    return codes


def black_Y(profile: IccProfile) -> float:
    """Media-relative luminance factor of the darkest grey a profile's space holds.

    Parameters
    ----------
    profile
        Grey, RGB, CMY, CMYK or Lab.

    Returns
    -------
    float
        0..0.2. L* = 0 is sent into the space with the relative intent and read back, its colour
        is ignored (the way of ISO 18619:2015); a profile that only describes is asked for full
        ink, or for no light.
    """
    if profile.space == "LAB":
        return 0.0
    if profile.to_device:
        device = Lab_to_device(profile, np.zeros((1, 3)), IccIntent.RELATIVE)
    else:
        device = np.full((1, profile.channels), 1.0 if profile.space in _INKS else 0.0)
    Y = device_to_XYZ(profile, device, IccIntent.RELATIVE)[0, 1]
    return float(np.clip(Y, 0.0, 0.2))


# ---- profiles of our own --------------------------------------------------------------------


def _undated(data: bytes) -> bytes:
    """The same profile with a fixed date, so that its key does not change with the clock."""
    return data[:24] + struct.pack(">6H", 2000, 1, 1, 0, 0, 0) + data[36:]


@functools.cache
def srgb_profile() -> IccProfile:
    """The sRGB encoding (IEC 61966-2-1) as a matrix profile.

    >>> srgb_profile().space, srgb_profile().is_matrix
    ('RGB', True)
    """
    import imagecodecs

    profile = IccProfile.from_bytes(_undated(imagecodecs.cms_profile("srgb")))
    return replace(profile, description=SRGB.name)


@functools.cache
def adobe_rgb_profile() -> IccProfile:
    """The Adobe RGB (1998) encoding as a matrix profile."""
    profile = gamma_profile(563 / 256, ADOBE_RGB.white_xy, ADOBE_RGB.primaries_xy)
    return replace(profile, description=ADOBE_RGB.name)


@functools.lru_cache(maxsize=32)
def gamma_profile(
    gamma: float,
    white_xy: tuple[float, float],
    primaries_xy: tuple[tuple[float, float], tuple[float, float], tuple[float, float]]
    | None = None,
) -> IccProfile:
    """A profile with a plain power curve.

    Parameters
    ----------
    gamma
        Linear light is the code to this power.
    white_xy, primaries_xy
        CIE 1931 chromaticities; without primaries the profile is for grey.

    Raises
    ------
    ProfileError
        The numbers describe no colour space.
    """
    import imagecodecs

    if not 0.1 <= gamma <= 10.0:
        raise ProfileError(tr("gamma {gamma:g} is out of reason; use 0.1 to 10", gamma=gamma))
    try:
        if primaries_xy is None:
            data = imagecodecs.cms_profile("gray", whitepoint=[*white_xy, 1.0], gamma=gamma)
        else:
            data = imagecodecs.cms_profile(
                "rgb",
                whitepoint=[*white_xy, 1.0],
                primaries=[v for xy in primaries_xy for v in (*xy, 1.0)],
                gamma=gamma,
            )
    except _FOREIGN as error:
        raise ProfileError(
            tr("these primaries and this white make no colour space; use real chromaticities")
        ) from error
    kind = "grey" if primaries_xy is None else "RGB"
    return replace(
        IccProfile.from_bytes(_undated(data)),
        description=tr("{kind}, gamma {gamma:.3g}", kind=kind, gamma=gamma),
    )


@functools.cache
def grey_profile() -> IccProfile:
    """Grey with the curve of sRGB (IEC 61966-2-1) and the white of the connection space."""

    def number(value: float) -> bytes:
        return struct.pack(">i", round(value * 65536))

    text = "grey, sRGB curve".encode("utf-16-be")
    curve = (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)  # parametric function type 3
    parts = {
        b"desc": b"mluc" + struct.pack(">3I2s2s2I", 0, 1, 12, b"en", b"US", len(text), 28) + text,
        b"cprt": b"mluc" + struct.pack(">3I2s2s2I", 0, 1, 12, b"en", b"US", 6, 28)
        + "CC0".encode("utf-16-be"),
        b"wtpt": b"XYZ \0\0\0\0" + b"".join(map(number, PCS_WHITE_XYZ)),
        b"kTRC": b"para\0\0\0\0\0\3\0\0" + b"".join(map(number, curve)),
    }  # fmt: skip
    return IccProfile.from_bytes(assembled(b"mntr", b"GRAY", b"XYZ ", b"\4\x20\0\0", parts))


# ---- naming -------------------------------------------------------------------------------


@dataclass(frozen=True)
class RgbSpace:
    """A published RGB encoding, to recognise profiles by.

    Attributes
    ----------
    name
        As its specification writes it.
    white_xy, primaries_xy
        CIE 1931 chromaticities; red, green, blue.
    curves
        The decodings that go by this name: (gamma, offset, slope of the linear toe, where the
        toe ends), ``((V + offset) / (1 + offset)) ** gamma`` above it.
    """

    name: str
    white_xy: tuple[float, float]
    primaries_xy: tuple[tuple[float, float], tuple[float, float], tuple[float, float]]
    curves: tuple[tuple[float, float, float, float], ...]

    @functools.cached_property
    def colorants_XYZ(self) -> Float:
        """(3, 3), a row per primary, adapted to D50 by the linear Bradford matrix.

        ICC.1:2022, annex E.
        """
        xyz = np.array([[x / y, 1.0, (1.0 - x - y) / y] for x, y in self.primaries_xy])
        x, y = self.white_xy
        white = np.array([x / y, 1.0, (1.0 - x - y) / y])
        XYZ = np.linalg.solve(xyz.T, white)[:, None] * xyz
        cones_of = _BRADFORD @ np.column_stack([white, PCS_WHITE_XYZ])
        adapt = np.linalg.solve(_BRADFORD, (cones_of[:, 1] / cones_of[:, 0])[:, None] * _BRADFORD)
        colorants: Float = XYZ @ adapt.T
        return colorants

    def decode(self, V: Float, curve: int = 0) -> Float:
        """Linear light of an encoded value, 0..1."""
        gamma, offset, slope, toe = self.curves[curve]
        linear: Float = np.where(
            toe >= V, V * slope, ((np.maximum(V, 0.0) + offset) / (1.0 + offset)) ** gamma
        )
        return linear


_BRADFORD = np.array(  # ICC.1:2022, annex E
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)
_D65, _D50 = (0.3127, 0.3290), (0.3457, 0.3585)
_SRGB_CURVE = (2.4, 0.055, 1 / 12.92, 0.04045)

SRGB = RgbSpace(  # IEC 61966-2-1
    "sRGB", _D65, ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06)), (_SRGB_CURVE,)
)
ADOBE_RGB = RgbSpace(  # Adobe RGB (1998) Color Image Encoding, 2005, 4.3.1: gamma 563/256
    "Adobe RGB (1998)",
    _D65,
    ((0.64, 0.33), (0.21, 0.71), (0.15, 0.06)),
    ((563 / 256, 0.0, 0.0, -1.0),),
)
ROMM_RGB = RgbSpace(  # ISO 22028-2; green and blue lie outside the spectral locus
    "ROMM RGB",
    _D50,
    ((0.7347, 0.2653), (0.1596, 0.8404), (0.0366, 0.0001)),
    ((1.8, 0.0, 1 / 16, 16 / 512), (1.8, 0.0, 0.0, -1.0)),
)
DISPLAY_P3 = RgbSpace(  # SMPTE EG 432-1 primaries, D65, sRGB's curve
    "Display P3", _D65, ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060)), (_SRGB_CURVE,)
)
BT_2020 = RgbSpace(  # ITU-R BT.2020-2, table 3 and 4; BT.1886 display gamma
    "BT.2020",
    _D65,
    ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046)),
    ((1 / 0.45, 0.09929682680944, 1 / 4.5, 0.08124285829863519), (2.4, 0.0, 0.0, -1.0)),
)
RGB_SPACES = (SRGB, ADOBE_RGB, ROMM_RGB, DISPLAY_P3, BT_2020)
"""The encodings a profile is recognised as."""

_COLORANT_TOLERANCE = 0.003  # XYZ; profiles of one space differ by up to 0.0005
_LIGHTNESS_TOLERANCE = 1.0  # L*; sRGB and plain gamma 2.2 differ by 1.5


@functools.lru_cache(maxsize=64)
def recognised_space(profile: IccProfile) -> str | None:
    """The published RGB encoding a profile describes, whatever it calls itself.

    Parameters
    ----------
    profile
        Any profile.

    Returns
    -------
    str or None
        A name of :data:`RGB_SPACES`, if the primaries agree within 0.003 in XYZ and the curve
        within 1 in L*; None for other profiles.

    Notes
    -----
    >>> recognised_space(srgb_profile()), recognised_space(adobe_rgb_profile())
    ('sRGB', 'Adobe RGB (1998)')
    """
    if profile.space != "RGB":
        return None
    V = np.array([0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 0.85])
    probe = np.vstack([np.eye(3), np.repeat(V[:, None], 3, axis=1)])
    try:
        XYZ = device_to_XYZ(profile, probe, IccIntent.RELATIVE)
    except ProfileError:
        return None
    L = XYZ_to_Lab(XYZ[3:])[:, 0]
    for space in RGB_SPACES:
        if np.abs(XYZ[:3] - space.colorants_XYZ).max() > _COLORANT_TOLERANCE:
            continue
        for curve in range(len(space.curves)):
            expected = XYZ_to_Lab(space.decode(V, curve)[:, None] * PCS_WHITE_XYZ)[:, 0]
            if np.abs(L - expected).max() <= _LIGHTNESS_TOLERANCE:
                return space.name
    return None
