"""A correction in the forms of open standards, to be applied by whatever editor a person has.

A ``.cube`` table (Cube LUT Specification 1.0) holds the curve for each channel; an ICC device link
(ICC.1:2022, 8.7) holds it for programs that manage colour. Both work on the codes of the
photograph's own space, as the curve itself does. Where strong colours are eased in, both are tables
of three dimensions.
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
_CUBE_NODES = 65  # of a table of three dimensions; few programs read more
_CUBE_SIZE_1D, _CUBE_SIZE_3D = f"LUT_1D_SIZE {_CUBE_ENTRIES}", "LUT_3D_SIZE " + str(_CUBE_NODES)
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
    """A ``.cube`` table: of one dimension, or of three where colours are eased in.

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
    plain = "".join(letter for letter in title if letter.isprintable() and letter != '"')
    lines = [
        f'TITLE "{plain}"',
        _CUBE_SIZE_3D if correction.eases else _CUBE_SIZE_1D,
        "DOMAIN_MIN 0.0 0.0 0.0",
        "DOMAIN_MAX 1.0 1.0 1.0",
        *(f"{red:.7f} {green:.7f} {blue:.7f}" for red, green, blue in _cube_rows(correction)),
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
        b"A2B0": _link_table(correction),
    }
    return IccProfile.from_bytes(assembled(b"link", b"RGB ", b"RGB ", _VERSION, parts))


def use_in_words(correction: Correction, space: str, stock: str, *, link: bool) -> tuple[str, ...]:
    """How such a file is to be used, in sentences.

    Parameters
    ----------
    correction
        What it holds.
    space
        Name of the photograph's own space.
    stock
        Name of the stock that strong colours are eased in for.
    link
        Whether it is a device link, and no ``.cube`` table.
    """
    apply = tr(
        "Apply it to the photograph in its own space, {space}, before any conversion: it is made "
        "for the codes of that space.",
        space=space,
    )
    if correction.ease is None or not correction.eases:
        entries = _LINK_ENTRIES if link else _CUBE_ENTRIES
        return apply, tr("It holds a curve of {n} entries, the same for each channel.", n=entries)
    side = _CUBE_NODES
    if link:
        side = round(len(correction.ease.table[1]) ** (1.0 / 3.0))
    return apply, tr(
        "It holds a table of {side} × {side} × {side} colours, made for {stock}; for another stock "
        "write another.",
        side=side,
        stock=stock,
    )


def _check(correction: Correction) -> None:
    if correction.encoding.kind not in _RGB_ONLY:
        raise SettingError(
            "correction",
            correction.encoding.kind,
            tr("a Lab or CMYK file has no RGB curve; save the photograph as RGB, or order from it"),
        )


def _entries(correction: Correction, count: int) -> Float:
    even = np.linspace(0.0, 1.0, count)
    return np.asarray(correction.toned(np.repeat(even[:, None], 3, axis=1))[:, 0])


def _cube_rows(correction: Correction) -> Float:
    """Codes at the nodes, (N, 3), the first channel fastest (Cube LUT Specification 1.0)."""
    if not correction.eases:
        return np.repeat(_entries(correction, _CUBE_ENTRIES)[:, None], 3, axis=1)
    even = np.linspace(0.0, 1.0, _CUBE_NODES)
    blue, green, red = np.meshgrid(even, even, even, indexing="ij")
    return correction.apply(np.stack([red, green, blue], axis=-1).reshape(-1, 3))


def _link_table(correction: Correction) -> bytes:
    """The curve before a table of two nodes that changes nothing, or of colours eased in."""
    curve = _entries(correction, _LINK_ENTRIES)
    if correction.ease is None or not correction.eases:
        ends = np.array([0.0, 1.0])
        nodes = np.stack(np.meshgrid(ends, ends, ends, indexing="ij"), axis=-1).reshape(-1, 3)
        return _lut16([curve] * 3, nodes)
    axes, nodes = correction.ease.table
    even = np.linspace(0.0, 1.0, _LINK_ENTRIES)
    toned = correction.toned(np.repeat(even[:, None], 3, axis=1))[:, 0]
    return _lut16([np.interp(toned, even, axis) for axis in axes], nodes)


def _lut16(curves: list[Float], nodes: Float) -> bytes:
    """lut16Type: identity matrix, a curve for each channel, then (n**3, 3) codes at even nodes."""
    ends = np.array([0, 65535], ">u2")
    matrix = [65536 if i in (0, 4, 8) else 0 for i in range(9)]
    side = round(len(nodes) ** (1.0 / 3.0))

    def codes(values: Float) -> bytes:
        return np.rint(np.clip(values, 0.0, 1.0) * 65535.0).astype(">u2").tobytes()

    return (
        b"mft2\0\0\0\0"
        + struct.pack(">4B9i2H", 3, 3, side, 0, *matrix, len(curves[0]), 2)
        + b"".join(codes(curve) for curve in curves)
        + codes(nodes)
        + ends.tobytes() * 3
    )


def _described(text: str) -> bytes:
    """textDescriptionType (ICC.1:2001-04, 6.5.17)."""
    plain = text.encode("ascii") + b"\0"
    return (
        b"desc\0\0\0\0" + struct.pack(">I", len(plain)) + plain
        + struct.pack(">IIHB", 0, 0, 0, 0) + b"\0" * 67
    )  # fmt: skip
