"""Small picture files for the tests, made by other writers than our readers, or by hand."""

from __future__ import annotations

import io
import struct
import zlib
from typing import Any

import numpy as np
import numpy.typing as npt

Pixels = npt.NDArray[Any]


def ramp(channels: int, dtype: str, height: int = 21, width: int = 34) -> Pixels:
    """(H, W, channels) reproducible codes over the whole range, both ends included."""
    rng = np.random.default_rng(channels)
    codes = rng.random((height, width, channels))
    codes[0, 0], codes[-1, -1] = 0.0, 1.0
    if dtype.startswith("float"):
        return codes.astype(dtype)
    return np.rint(codes * np.iinfo(dtype).max).astype(dtype)


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


_ADAM7 = ((0, 0, 8, 8), (0, 4, 8, 8), (4, 0, 8, 4), (0, 2, 4, 4), (2, 0, 4, 2), (0, 1, 2, 2),
          (1, 0, 2, 1))  # fmt: skip
"""ISO/IEC 15948, 8.2: first row, first column, row step, column step of the seven passes."""


def png(
    codes: Pixels,
    colour_type: int,
    *,
    bits: int | None = None,
    chunks: dict[bytes, bytes] | None = None,
    interlaced: bool = False,
) -> bytes:
    """A PNG written byte by byte after ISO/IEC 15948, filter 0.

    `codes` is (H, W, C), uint8 or uint16; below 8 bits one channel only.
    """
    height, width = codes.shape[:2]
    bits = bits or 8 * codes.dtype.itemsize
    if bits < 8:
        bit_rows = np.unpackbits(codes[..., :1], axis=2)[:, :, -bits:].reshape(height, -1)
        rows = [row.tobytes() for row in np.packbits(bit_rows, axis=1)]
    else:
        big_endian = codes.astype(codes.dtype.newbyteorder(">"))
        passes = _ADAM7 if interlaced else ((0, 0, 1, 1),)
        rows = [row.tobytes() for y, x, dy, dx in passes for row in big_endian[y::dy, x::dx]]
    header = struct.pack(">IIBBBBB", width, height, bits, colour_type, 0, 0, interlaced)
    return (
        b"\x89PNG\r\n\x1a\n"
        + _chunk(b"IHDR", header)
        + b"".join(_chunk(kind, data) for kind, data in (chunks or {}).items())
        + _chunk(b"IDAT", zlib.compress(b"".join(b"\0" + row for row in rows)))
        + _chunk(b"IEND", b"")
    )


def exif_block(orientation: int | None = None, colour_space: int | None = None,
               interoperability: bytes = b"", ppi: int = 0) -> bytes:  # fmt: skip
    """An Exif block after CIPA DC-008, big endian, with only what is asked for."""
    first: list[tuple[int, int, int, bytes]] = []
    if orientation is not None:
        first.append((0x0112, 3, 1, struct.pack(">HH", orientation, 0)))
    if ppi:
        first += [(0x011A, 5, 1, b"x"), (0x011B, 5, 1, b"y"), (0x0128, 3, 1, b"\0\2\0\0")]
    inner: list[tuple[int, int, int, bytes]] = []
    if colour_space is not None:
        inner.append((0xA001, 3, 1, struct.pack(">HH", colour_space, 0)))
    if interoperability:
        inner.append((0xA005, 4, 1, b"interop"))
    if inner:
        first.append((0x8769, 4, 1, b"inner"))
    size = {id(entries): 2 + 12 * len(entries) + 4 for entries in (first, inner)}
    at_inner = 8 + size[id(first)]
    at_interop = at_inner + (size[id(inner)] if inner else 0)
    at_rational = at_interop + (18 if interoperability else 0)
    values = {
        b"inner": struct.pack(">I", at_inner),
        b"interop": struct.pack(">I", at_interop),
        b"x": struct.pack(">I", at_rational),
        b"y": struct.pack(">I", at_rational),
    }

    def directory(entries: list[tuple[int, int, int, bytes]]) -> bytes:
        body = b"".join(
            struct.pack(">HHI", tag, kind, count) + values.get(value, value)
            for tag, kind, count, value in sorted(entries)
        )
        return struct.pack(">H", len(entries)) + body + b"\0\0\0\0"

    block = b"MM\0*\0\0\0\x08" + directory(first)
    if inner:
        block += directory(inner)
    if interoperability:
        block += directory([(1, 2, 4, interoperability + b"\0")])
    if ppi:
        block += struct.pack(">II", ppi, 1)
    return b"Exif\0\0" + block


def pillow_file(image: Any, kind: str, **options: Any) -> bytes:
    """What Pillow writes."""
    memory = io.BytesIO()
    image.save(memory, kind, **options)
    return memory.getvalue()


def tiff_file(codes: Pixels, **options: Any) -> bytes:
    """What tifffile writes; no description of its own."""
    import tifffile

    memory = io.BytesIO()
    tifffile.imwrite(memory, codes, metadata=None, **options)
    return memory.getvalue()
