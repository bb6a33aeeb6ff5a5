"""A correction in the forms of open standards, to be applied by whatever editor a person has.

A ``.cube`` table (Cube LUT Specification 1.0) holds the curve for each channel; an ICC device link
(ICC.1:2022, 8.7) holds it for programs that manage colour. Both work on the codes of the
photograph's own space, as the curve itself does.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

import numpy as np

from proofing.colorimetry import Float
from proofing.errors import SettingError
from proofing.language import tr
from proofing.photograph.icc import IccProfile
from proofing.photograph.icc_writing import assembled
from proofing.printing import Correction

_CUBE_ENTRIES = 4096
_LINK_ENTRIES = 4096  # the most that an ICC lut16Type may have (ICC.1:2022, 10.10)
_VERSION = b"\2\x40\0\0"  # 2.4: read by every program that reads device links
_RGB_ONLY = ("RGB", "grey")


@dataclass(frozen=True)
class CurvePoint:
    """A point of a curve as it is set in an editor.

    Attributes
    ----------
    code_in, code_out
        0 to 255, whole.
    percent_in, percent_out
        0 to 100.
    """

    code_in: int
    code_out: int
    percent_in: float
    percent_out: float


def curve_points(correction: Correction) -> tuple[CurvePoint, ...]:
    """The points by which a correction is repeated by hand."""
    return tuple(
        CurvePoint(round(255 * x), round(255 * y), round(100 * x, 1), round(100 * y, 1))
        for x, y in correction.points()
    )


def cube_text(correction: Correction, title: str) -> str:
    """A ``.cube`` table of one dimension.

    Parameters
    ----------
    correction
        Of RGB or grey codes.
    title
        What the table is called; quotation marks are left out.

    Raises
    ------
    SettingError
        A correction of Lab codes, which no such table can hold.
    """
    _check(correction)
    rows = _entries(correction, _CUBE_ENTRIES)
    plain = "".join(letter for letter in title if letter.isprintable() and letter != '"')
    lines = [
        f'TITLE "{plain}"',
        f"LUT_1D_SIZE {_CUBE_ENTRIES}",
        "DOMAIN_MIN 0.0 0.0 0.0",
        "DOMAIN_MAX 1.0 1.0 1.0",
        *(f"{value:.7f} {value:.7f} {value:.7f}" for value in rows),
    ]
    return "\n".join(lines) + "\n"


def device_link(correction: Correction, description: str) -> IccProfile:
    """An ICC device link from RGB to RGB.

    Parameters
    ----------
    correction
        Of RGB or grey codes.
    description
        Its name; what ASCII has not is left out.

    Raises
    ------
    SettingError
        A correction of Lab codes.
    """
    _check(correction)
    name = "".join(letter for letter in description if " " <= letter <= "~") or "correction"
    parts = {
        b"desc": _described(name),
        b"cprt": b"text\0\0\0\0CC0\0",
        b"pseq": b"pseq\0\0\0\0" + struct.pack(">I", 0),
        b"A2B0": _lut16(_entries(correction, _LINK_ENTRIES)),
    }
    return IccProfile.from_bytes(assembled(b"link", b"RGB ", b"RGB ", _VERSION, parts))


def _check(correction: Correction) -> None:
    if correction.encoding.kind not in _RGB_ONLY:
        raise SettingError(
            "correction",
            correction.encoding.kind,
            tr("a Lab or CMYK file has no RGB curve; save the photograph as RGB, or order from it"),
        )


def _entries(correction: Correction, count: int) -> Float:
    even = np.linspace(0.0, 1.0, count)
    return np.asarray(correction.apply(np.repeat(even[:, None], 3, axis=1))[:, 0])


def _lut16(curve: Float) -> bytes:
    """lut16Type: identity matrix, the curve before a table of two nodes that changes nothing."""
    ends = np.array([0, 65535], np.uint16)
    nodes = np.stack(np.meshgrid(ends, ends, ends, indexing="ij"), axis=-1).reshape(-1, 3)
    matrix = [65536 if i in (0, 4, 8) else 0 for i in range(9)]
    codes = np.rint(np.clip(curve, 0.0, 1.0) * 65535.0).astype(">u2").tobytes()
    return (
        b"mft2\0\0\0\0"
        + struct.pack(">4B9i2H", 3, 3, 2, 0, *matrix, len(curve), 2)
        + codes * 3
        + nodes.astype(">u2").tobytes()
        + ends.astype(">u2").tobytes() * 3
    )


def _described(text: str) -> bytes:
    """textDescriptionType (ICC.1:2001-04, 6.5.17)."""
    plain = text.encode("ascii") + b"\0"
    return (
        b"desc\0\0\0\0" + struct.pack(">I", len(plain)) + plain
        + struct.pack(">IIHB", 0, 0, 0, 0) + b"\0" * 67
    )  # fmt: skip
