"""ICC profiles of the files' encodings, written from their published numbers (ICC.1, version 4)."""

import struct

import numpy as np

D50 = (0.9642, 1.0, 0.8249)


def _s15(*values):
    return b"".join(struct.pack(">i", round(v * 65536)) for v in values)


def _text(words):
    data = words.encode("utf-16-be")
    return b"mluc\0\0\0\0" + struct.pack(">II2s2sII", 1, 12, b"en", b"GB", len(data), 28) + data


def _curve(*numbers):
    kind = {1: 0, 5: 3}[len(numbers)]
    return b"para\0\0\0\0" + struct.pack(">HH", kind, 0) + _s15(*numbers)


def _xyz(values):
    return b"XYZ \0\0\0\0" + _s15(*values)


def _profile(space, tags):
    tags = [
        (b"cprt", _text("Public domain")),
        (b"wtpt", _xyz(D50)),
        *tags,
    ]
    at = 128 + 4 + 12 * len(tags)
    table, body = struct.pack(">I", len(tags)), b""
    for name, data in tags:
        table += struct.pack(">4sII", name, at + len(body), len(data))
        body += data + b"\0" * (-len(data) % 4)
    head = struct.pack(
        ">I4sI4s4s4s6H4s", at + len(body), b"\0" * 4, 0x04300000, b"mntr", space, b"XYZ ",
        2023, 1, 1, 0, 0, 0, b"acsp",
    )  # fmt: skip
    head = head.ljust(68, b"\0") + _s15(*D50)
    return head.ljust(128, b"\0") + table + body


def rgb_profile(name, to_XYZ, curve, chad=None):
    """Make a matrix profile from linear RGB to D50 XYZ (3, 3) and a parametric curve's numbers."""
    to_XYZ = np.asarray(to_XYZ) * (np.array(D50) / np.asarray(to_XYZ).sum(1))[:, None]
    tags = [(b"desc", _text(name))]
    if chad is not None:
        tags.append((b"chad", b"sf32\0\0\0\0" + _s15(*np.ravel(chad))))
    for k, letter in enumerate("rgb"):
        tags.append((f"{letter}XYZ".encode(), _xyz(to_XYZ[:, k])))
        tags.append((f"{letter}TRC".encode(), _curve(*curve)))
    return _profile(b"RGB ", tags)


def grey_profile(name, gamma):
    """Make a grey profile with a power-law curve."""
    return _profile(b"GRAY", [(b"desc", _text(name)), (b"kTRC", _curve(gamma))])
