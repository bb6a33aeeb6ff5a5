"""Bytes of an ICC profile from its parts (ICC.1:2022, 7)."""

from __future__ import annotations

import struct
from collections.abc import Mapping

_D50 = (0.9642, 1.0, 0.8249)  # of the connection space: ICC.1:2022, 7.2.16


def assembled(
    device_class: bytes,
    space: bytes,
    connection: bytes,
    version: bytes,
    parts: Mapping[bytes, bytes],
) -> bytes:
    """A profile of its tags, dated 2000-01-01 so that the same parts make the same bytes.

    Parameters
    ----------
    device_class, space, connection
        Signatures of four letters.
    version
        Four bytes of the header.
    parts
        Tags by signature.
    """
    listing, body = b"", b""
    start = 132 + 12 * len(parts)
    for tag, part in parts.items():
        listing += tag + struct.pack(">II", start + len(body), len(part))
        body += part + b"\0" * (-len(part) % 4)
    header = struct.pack(
        ">I4s4s4s4s4s6H4s4sIIIIIIIII",
        start + len(body), b"\0" * 4, version, device_class, space, connection,
        2000, 1, 1, 0, 0, 0, b"acsp", b"\0" * 4, 0, 0, 0, 0, 0, 0,
        *(round(value * 65536) for value in _D50),
    )  # fmt: skip
    header += b"\0" * (128 - len(header))
    return header + struct.pack(">I", len(parts)) + listing + body
