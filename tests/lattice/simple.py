"""Plain counterparts of what the package compiles, written without looking at it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from proofing.lattice import Lattice


@dataclass(frozen=True)
class Curve:
    """An encoding whose channels share one curve; primaries do not matter for the greys."""

    key: str
    exponent: float = 1.0
    kind: str = "RGB"

    def to_XYZ(self, codes01):
        code = np.asarray(codes01, dtype=np.float64)
        if self.key == "sRGB":
            linear = srgb_to_linear(code)
        elif self.key == "L*":
            f = (100 * code + 16) / 116
            linear = np.where(code > 0.08, f**3, 100 * code * 27 / 24389)
        elif self.key == "ROMM":
            linear = np.where(code < 1 / 32, code / 16, code**1.8)  # ISO 22028-2, from memory
        else:
            linear = code**self.exponent
        # ICC D50 white, rows of any RGB to XYZ matrix sum to it
        weights = np.array([[0.4361, 0.3851, 0.1431], [0.2225, 0.7169, 0.0606]])
        weights = np.vstack([weights, [0.0139, 0.0971, 0.7141]])
        weights *= (np.array([0.9642, 1.0, 0.8249]) / weights.sum(axis=1))[:, None]
        return linear @ weights.T


SRGB = Curve("sRGB")
GAMMA = Curve("gamma", 563 / 256)  # Adobe RGB (1998) encoding specification, 4.3.1.2
ROMM = Curve("ROMM")
LINEAR = Curve("linear", 1.0)
L_STAR = Curve("L*")
LAB = Curve("Lab", kind="Lab")


def srgb_to_linear(code):
    """IEC 61966-2-1."""
    code = np.asarray(code, dtype=np.float64)
    return np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)


def linear_to_srgb(linear):
    """IEC 61966-2-1."""
    linear = np.clip(linear, 0.0, 1.0)
    return np.where(linear <= 0.0031308, linear * 12.92, 1.055 * linear ** (1 / 2.4) - 0.055)


def tetrahedral(values, coordinates):
    """The six cases as published, one branch each.

    Source: J. Kasson, S. Nin, W. Plouffe, J. Hafner, "Performing color space conversions with
    three-dimensional linear interpolation", J. Electronic Imaging 4(3), 1995, table of the
    tetrahedra (from memory).
    """
    n = values.shape[0]
    result = np.empty((*coordinates.shape[:-1], values.shape[3]))
    for place in np.ndindex(coordinates.shape[:-1]):
        cell = np.minimum(np.floor(coordinates[place]).astype(int), n - 2)
        x, y, z = coordinates[place] - cell
        i, j, k = cell

        def P(a, b, c, i=i, j=j, k=k):
            return values[i + a, j + b, k + c].astype(np.float64)

        if x > y > z:
            c1, c2, c3 = P(1, 0, 0) - P(0, 0, 0), P(1, 1, 0) - P(1, 0, 0), P(1, 1, 1) - P(1, 1, 0)
        elif x > z >= y:
            c1, c2, c3 = P(1, 0, 0) - P(0, 0, 0), P(1, 1, 1) - P(1, 0, 1), P(1, 0, 1) - P(1, 0, 0)
        elif z >= x > y:
            c1, c2, c3 = P(1, 0, 1) - P(0, 0, 1), P(1, 1, 1) - P(1, 0, 1), P(0, 0, 1) - P(0, 0, 0)
        elif y >= x > z:
            c1, c2, c3 = P(1, 1, 0) - P(0, 1, 0), P(0, 1, 0) - P(0, 0, 0), P(1, 1, 1) - P(1, 1, 0)
        elif y > z >= x:
            c1, c2, c3 = P(1, 1, 1) - P(0, 1, 1), P(0, 1, 0) - P(0, 0, 0), P(0, 1, 1) - P(0, 1, 0)
        else:
            c1, c2, c3 = P(1, 1, 1) - P(0, 1, 1), P(0, 1, 1) - P(0, 0, 1), P(0, 0, 1) - P(0, 0, 0)
        result[place] = P(0, 0, 0) + c1 * x + c2 * y + c3 * z
    return result


def bake(function, shaper, names=()):
    """A lattice of a function from codes (M, 3) to (M, C): the function at the nodes."""
    n = shaper.n
    values = np.asarray(function(shaper.node_codes()), dtype=np.float32)
    return Lattice(values.reshape(n, n, n, -1), tuple(names), shaper, f"simple/{shaper.key}")


def exactly(function, codes):
    """The same function without a lattice: itself at every pixel of (H, W, 3), in float64."""
    return function(codes01(codes).reshape(-1, 3)).reshape(*codes.shape[:2], -1)


def some_codes(dtype, shape, seed=1):
    """Random codes over the whole range of a type, both ends included."""
    rng = np.random.default_rng(seed)
    codes = rng.random((*shape, 3))
    codes[0, :3] = [[0, 0, 0], [1, 1, 1], [1, 0, 1]]
    if np.dtype(dtype).kind == "u":
        return np.round(codes * np.iinfo(dtype).max).astype(dtype)
    return codes.astype(dtype)


def codes01(codes):
    """Codes in 0..1, float64."""
    if codes.dtype.kind == "u":
        return codes / float(np.iinfo(codes.dtype).max)
    return codes.astype(np.float64)
