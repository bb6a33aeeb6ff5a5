"""The two kinds of order files, byte for byte: TIFF of 16 bits, JPEG of 8."""

from __future__ import annotations

import struct
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from proofing.ordering import tags
from proofing.ordering.metadata import Metadata, exif_tags, main_tags, xmp_of
from proofing.ordering.tags import (
    LONG,
    RATIONAL,
    SHORT,
    Directory,
    Tag,
    directory_bytes,
    exif_block,
)

SOFTWARE = "stocklight"
_STRIP_BYTES = 2**18
_INCH = 2
_HELD_BY = {tags.EXIF_DIRECTORY: 34660, tags.LOCATION_DIRECTORY: 34850}
"""Unused numbers, at the same places of the order: the TIFF library writes no such directories."""

_XMP_NAME = b"http://ns.adobe.com/xap/1.0/\0"
_EXIF_COLOUR_SPACE, _SRGB, _UNCALIBRATED = 0xA001, 1, 0xFFFF


def write_tiff(
    path: Path,
    codes: npt.NDArray[np.uint16],
    profile: bytes,
    ppi: Fraction,
    metadata: Metadata,
    *,
    keep_location: bool,
) -> None:
    """A baseline TIFF 6.0 of three 16-bit channels, uncompressed, little-endian.

    Parameters
    ----------
    path
        To be written.
    codes
        (H, W, 3).
    profile
        To be embedded.
    ppi
        Exact, the same across and down.
    metadata, keep_location
        What is written beside the pixels.

    Notes
    -----
    Uncompressed, because 16-bit photographs gain little from what every lab's program can unpack.
    """
    import tifffile

    ratio = (ppi.numerator, ppi.denominator)
    extra: list[Any] = [
        (number, tag.kind, tag.count, tag.data, True) for number, tag in main_tags(metadata).items()
    ]
    packet = xmp_of(metadata)
    if packet:
        extra.append((tags.XMP, 1, len(packet), packet, True))
    inner: dict[int, Directory] = {
        tags.EXIF_DIRECTORY: exif_tags(metadata),
        tags.LOCATION_DIRECTORY: metadata.location if keep_location else {},
    }
    extra += [(_HELD_BY[number], LONG, 1, 0, True) for number, found in inner.items() if found]
    tifffile.imwrite(
        path, codes, photometric="rgb", planarconfig="contig", byteorder="<", bigtiff=False,
        rowsperstrip=max(1, _STRIP_BYTES // (6 * codes.shape[1])),
        iccprofile=profile, resolution=(ratio, ratio), resolutionunit="INCH",
        software=SOFTWARE, metadata=None, extratags=extra,
    )  # fmt: skip
    with path.open("r+b") as file:
        for number, directory in inner.items():
            if directory:
                at = file.seek(0, 2)
                at += file.write(bytes(at % 2))
                file.write(directory_bytes(directory, at))
                _point(file, number, at)


def _point(file: Any, number: int, at: int) -> None:
    """Let the entry held for a directory be its own, and lead to `at`."""
    file.seek(4)
    (start,) = struct.unpack("<I", file.read(4))
    file.seek(start)
    (count,) = struct.unpack("<H", file.read(2))
    for place in range(start + 2, start + 2 + 12 * count, 12):
        file.seek(place)
        if struct.unpack("<H", file.read(2))[0] == _HELD_BY[number]:
            file.seek(place)
            file.write(struct.pack("<H", number))
            file.seek(place + 8)
            file.write(struct.pack("<I", at))


def write_jpeg(
    path: Path,
    codes: npt.NDArray[np.uint8],
    profile: bytes,
    ppi: Fraction,
    metadata: Metadata,
    *,
    is_srgb: bool,
    keep_location: bool,
) -> None:
    """A baseline JPEG of the finest quantisation, colour not subsampled (4:4:4).

    Parameters
    ----------
    path, codes, profile, ppi, metadata, keep_location
        As for :func:`write_tiff`; codes are 8 bits. The density in the JFIF header is a whole
        number, so that the exact ppi stands in Exif beside it.
    is_srgb
        What Exif says of the colours, for programs that read no profile.
    """
    from PIL import Image

    ratio = Tag(RATIONAL, struct.pack("<II", ppi.numerator, ppi.denominator))
    main = main_tags(metadata) | {
        0x011A: ratio,
        0x011B: ratio,
        0x0128: Tag(SHORT, struct.pack("<H", _INCH)),
        0x0131: tags.text_tag(SOFTWARE),
    }
    exif = exif_tags(metadata) | {
        tags.EXIF_VERSION: Tag(tags.UNDEFINED, b"0232"),
        _EXIF_COLOUR_SPACE: Tag(SHORT, struct.pack("<H", _SRGB if is_srgb else _UNCALIBRATED)),
        0xA002: Tag(LONG, struct.pack("<I", codes.shape[1])),
        0xA003: Tag(LONG, struct.pack("<I", codes.shape[0])),
    }
    block = exif_block(main, exif, metadata.location if keep_location else {})
    packet = xmp_of(metadata)
    extra = b""
    if packet:
        body = _XMP_NAME + packet
        extra = b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body
    whole = round(ppi)
    Image.fromarray(codes).save(
        path, format="JPEG", quality=100, subsampling=0, optimize=False,
        dpi=(whole, whole), icc_profile=profile, exif=b"Exif\0\0" + block, extra=extra,
    )  # fmt: skip
