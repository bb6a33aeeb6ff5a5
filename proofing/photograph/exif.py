"""The few Exif tags that matter for a print (CIPA DC-008), read without trust and in silence."""

from __future__ import annotations

import io
import struct
from dataclasses import dataclass
from typing import IO

_ORIENTATION, _X_RESOLUTION, _Y_RESOLUTION, _UNIT = 0x0112, 0x011A, 0x011B, 0x0128
_EXIF_DIRECTORY, _COLOUR_SPACE, _INTEROPERABILITY_DIRECTORY = 0x8769, 0xA001, 0xA005
_INTEROPERABILITY_INDEX = 1
_SHORT, _LONG, _RATIONAL = 3, 4, 5

_Entry = tuple[int, bytes]


@dataclass(frozen=True)
class Exif:
    """What is used of Exif; None where it is missing or damaged.

    Attributes
    ----------
    orientation
        1..8.
    resolution
        Across and down, per unit.
    unit
        2 for the inch, 3 for the centimetre.
    colour_space
        1 for sRGB, 65535 for anything else.
    interoperability
        ``'R98'`` for sRGB, ``'R03'`` for Adobe RGB (1998).
    """

    orientation: int | None = None
    resolution: tuple[float, float] | None = None
    unit: int = 2
    colour_space: int | None = None
    interoperability: str = ""


def exif_of_block(block: object) -> Exif:
    """Read an Exif block as JPEG, PNG and WebP carry it, with or without its leading name."""
    if not isinstance(block, bytes):
        return Exif()
    return read_exif(io.BytesIO(block.removeprefix(b"Exif\0\0")))


def read_exif(file: IO[bytes]) -> Exif:
    """Read the tags of a file that begins with a classic TIFF header."""
    try:
        file.seek(0)
        head = file.read(8)
        order = {b"II*\0": "<", b"MM\0*": ">"}[head[:4]]
        first = _directory(file, order, head[4:])
        inner = _directory(file, order, first.get(_EXIF_DIRECTORY, (0, b""))[1])
        between = _directory(file, order, inner.get(_INTEROPERABILITY_DIRECTORY, (0, b""))[1])
        x = _rational(file, order, first.get(_X_RESOLUTION))
        y = _rational(file, order, first.get(_Y_RESOLUTION))
        index = between.get(_INTEROPERABILITY_INDEX, (0, b""))[1]
        unit = _whole(order, first.get(_UNIT))
        return Exif(
            orientation=_whole(order, first.get(_ORIENTATION)),
            resolution=None if x is None or y is None else (x, y),
            unit=2 if unit is None else unit,
            colour_space=_whole(order, inner.get(_COLOUR_SPACE)),
            interoperability=index.split(b"\0")[0].decode("latin-1").strip().upper(),
        )
    except (KeyError, struct.error, OSError, ValueError, OverflowError):
        return Exif()  # damaged Exif must not keep a picture from being read


def _directory(file: IO[bytes], order: str, at: bytes) -> dict[int, _Entry]:
    """Entries by tag: their type, and the four bytes that are the value or tell its place."""
    if len(at) != 4:
        return {}
    file.seek(struct.unpack(order + "I", at)[0])
    count = file.read(2)
    if len(count) != 2:
        return {}
    body = file.read(12 * struct.unpack(order + "H", count)[0])
    entries: dict[int, _Entry] = {}
    for place in range(0, len(body) - 11, 12):
        tag, kind = struct.unpack(order + "HH", body[place : place + 4])
        entries.setdefault(tag, (kind, body[place + 8 : place + 12]))
    return entries


def _whole(order: str, entry: _Entry | None) -> int | None:
    if entry is None or entry[0] not in (_SHORT, _LONG):
        return None
    kind, value = entry
    return int(struct.unpack(order + ("H" if kind == _SHORT else "I"), value[: 2 * kind - 4])[0])


def _rational(file: IO[bytes], order: str, entry: _Entry | None) -> float | None:
    if entry is None or entry[0] != _RATIONAL:
        return None
    file.seek(struct.unpack(order + "I", entry[1])[0])
    above, below = struct.unpack(order + "II", file.read(8))
    return float(above / below) if below else None
