"""Directories of tags as TIFF 6.0 and Exif (CIPA DC-008) have them, read without trust and written.

Only what an order file passes on is read; whatever is damaged reads as if it were not there.
"""

from __future__ import annotations

import struct
from collections.abc import Mapping
from dataclasses import dataclass
from typing import IO, Final

ASCII, SHORT, LONG, RATIONAL, UNDEFINED = 2, 3, 4, 5, 7
_SIZES = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8, 13: 4,
          16: 8, 18: 8, 129: 1}  # fmt: skip
"""Bytes of a value by its type: TIFF 6.0, section 2; 13 to 18 BigTIFF, 129 Exif (from memory)."""
_UNITS = {3: 2, 4: 4, 5: 4, 8: 2, 9: 4, 10: 4, 11: 4, 12: 8, 13: 4, 16: 8, 18: 8}
_MOST_ENTRIES = 1000
_MOST_BYTES = 2**20

DESCRIPTION: Final = 0x010E
ORIENTATION: Final = 0x0112
ARTIST: Final = 0x013B
XMP: Final = 0x02BC
COPYRIGHT: Final = 0x8298
IPTC: Final = 0x83BB
EXIF_DIRECTORY: Final = 0x8769
LOCATION_DIRECTORY: Final = 0x8825
CAPTURED: Final = 0x9003
MAKER_NOTE: Final = 0x927C
OFFSET_OF_CAPTURE: Final = 0x9011
EXIF_VERSION: Final = 0x9000


@dataclass(frozen=True)
class Tag:
    """A tag's type and its values as little-endian bytes."""

    kind: int
    data: bytes

    @property
    def count(self) -> int:
        """How many values."""
        return len(self.data) // _SIZES[self.kind]

    @property
    def text(self) -> str:
        """The values as text: UTF-8, else Latin-1; what follows a zero is another line."""
        parts = self.data.split(b"\0")
        try:
            said = [part.decode("utf-8") for part in parts]
        except UnicodeDecodeError:
            said = [part.decode("latin-1") for part in parts]
        return "; ".join(part.strip() for part in said if part.strip())

    @property
    def number(self) -> int | None:
        """The first value, of whole numbers."""
        form = {3: "<H", 4: "<I", 13: "<I", 16: "<Q", 18: "<Q"}.get(self.kind)
        if form is None or len(self.data) < struct.calcsize(form):
            return None
        return int(struct.unpack_from(form, self.data)[0])


Directory = dict[int, Tag]


def text_tag(text: str) -> Tag:
    """Text as programs write it into the ASCII type today, in UTF-8, with its zero at the end."""
    return Tag(ASCII, text.encode("utf-8") + b"\0")


@dataclass(frozen=True)
class Directories:
    """The main directory of a file or an Exif block, and those it leads to; empty where not there.

    Attributes
    ----------
    main, exif, location
        Tags by number.
    further
        Whether another directory follows: in an Exif block, that of a thumbnail.
    """

    main: Directory
    exif: Directory
    location: Directory
    further: bool = False


def read_directories(file: IO[bytes]) -> Directories:
    """Read what begins with the header of a TIFF or a BigTIFF file."""
    try:
        file.seek(0)
        head = file.read(16)
        order = {b"II": "<", b"MM": ">"}[head[:2]]
        (version,) = struct.unpack(order + "H", head[2:4])
        big = {42: False, 43: True}[version]
        at = struct.unpack(order + "Q", head[8:16])[0] if big else _four(order, head[4:8])
        main, following = _directory(file, order, big, at)
        inner = _inner(file, order, big, main.get(EXIF_DIRECTORY))
        location = _inner(file, order, big, main.get(LOCATION_DIRECTORY))
        return Directories(main, inner, location, following)
    except (KeyError, struct.error, OSError, ValueError, OverflowError):
        return Directories({}, {}, {})  # damage must not keep a picture from being ordered


def _four(order: str, data: bytes) -> int:
    return int(struct.unpack(order + "I", data)[0])


def _inner(file: IO[bytes], order: str, big: bool, tag: Tag | None) -> Directory:
    at = None if tag is None else tag.number
    return {} if not at else _directory(file, order, big, at)[0]


def _directory(file: IO[bytes], order: str, big: bool, at: int) -> tuple[Directory, bool]:
    counting, size, place = ("Q", 20, 8) if big else ("H", 12, 4)
    file.seek(at)
    (count,) = struct.unpack(order + counting, file.read(struct.calcsize(counting)))
    if not 0 < count <= _MOST_ENTRIES:
        return {}, False
    body = file.read(size * count)
    following = file.read(place)
    found: Directory = {}
    for start in range(0, len(body) - size + 1, size):
        number, kind = struct.unpack_from(order + "HH", body, start)
        (values,) = struct.unpack_from(order + ("Q" if big else "I"), body, start + 4)
        bytes_of_it = _SIZES.get(kind, 0) * values
        if not 0 < bytes_of_it <= _MOST_BYTES:
            continue
        if bytes_of_it <= place:
            data = body[start + size - place : start + size - place + bytes_of_it]
        else:
            (where,) = struct.unpack_from(order + ("Q" if big else "I"), body, start + size - place)
            file.seek(where)
            data = file.read(bytes_of_it)
        if len(data) == bytes_of_it:
            found.setdefault(number, Tag(kind, _little_endian(data, kind, order)))
    return found, any(following)


def _little_endian(data: bytes, kind: int, order: str) -> bytes:
    unit = _UNITS.get(kind, 1)
    if order == "<" or unit == 1:
        return data
    return b"".join(data[at : at + unit][::-1] for at in range(0, len(data), unit))


def directory_bytes(tags: Mapping[int, Tag], at: int) -> bytes:
    """A directory and its values, to lie `at` an even place of a little-endian file."""
    after = at + 2 + 12 * len(tags) + 4
    entries, values = b"", b""
    for number in sorted(tags):
        tag = tags[number]
        if len(tag.data) <= 4:
            where = tag.data.ljust(4, b"\0")
        else:
            where = struct.pack("<I", after + len(values))
            values += tag.data + bytes(len(tag.data) % 2)
        entries += struct.pack("<HHI", number, tag.kind, tag.count) + where
    return struct.pack("<H", len(tags)) + entries + bytes(4) + values


def exif_block(main: Directory, exif: Directory, location: Directory) -> bytes:
    """A whole Exif block, as JPEG carries it behind its name."""
    outer = dict(main)
    for number, inner in ((EXIF_DIRECTORY, exif), (LOCATION_DIRECTORY, location)):
        if inner:
            outer[number] = Tag(LONG, bytes(4))
    body = directory_bytes(outer, 8)
    tail = b""
    for number, inner in ((EXIF_DIRECTORY, exif), (LOCATION_DIRECTORY, location)):
        if inner:
            place = 8 + len(body) + len(tail)
            outer[number] = Tag(LONG, struct.pack("<I", place))
            tail += directory_bytes(inner, place)
    return b"II*\0" + struct.pack("<I", 8) + directory_bytes(outer, 8) + tail
