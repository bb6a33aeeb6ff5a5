"""Planted gradients in 8 bits: which of them a correction of a stop would break into bands.

The rule is that of proofing/findings/losses.py: bands show from three minutes of arc on
(PLATEAU_ARCMIN) if one code, doubled in contrast (STEEPER), is at least one just-noticeable step on
the print (BAND_STEPS). Width and tone are as planted; the steps are worked out here from the
grayscale standard display function of DICOM PS3.14, its formula for the luminance of a step, 7.1
(from memory), which the program uses only to go the other way; luminances from Lambert's E Y / pi
and the black point compensation of ISO 18619:2015. Dither of one code or more, rectangular or
triangular, or grain of half a code or more, breaks bands up: the mean error of a so dithered
quantiser is nothing, or less than a hundredth of a code (Widrow's quantisation theorem; from
memory: the first harmonic falls as exp(-2 pi^2 sigma^2)).
"""

from __future__ import annotations

import functools
import math

import numpy as np

from proofing.colorimetry import Lab_to_XYZ
from proofing.findings.kinds import Kind
from proofing.findings.losses import BAND_STEPS, PLATEAU_ARCMIN, STEEPER
from proofing.photograph import photograph_from_array
from tests.findings.planted import (
    ACROSS,
    DOWN,
    PATCH,
    Float,
    catalogue,
    is_near,
    middle,
    request,
    scanned,
    score,
    srgb_Y,
)

BANDED = ("0", "0.1")
"""Grain, codes, under which bands stay: of that of a tenth of a code exp(-0.2) is left, 0.82."""


@functools.cache
def standard_luminances() -> Float:
    """(1023,) cd/m2 of steps 1 to 1023: DICOM PS3.14, 7.1 (from memory)."""
    x = np.log(np.arange(1, 1024))
    above = -1.3011877 + 8.0242636e-2 * x + 1.3646699e-1 * x**2
    above += -2.5468404e-2 * x**3 + 1.3635334e-3 * x**4
    below = 1.0 - 2.5840191e-2 * x - 1.0320229e-1 * x**2
    below += 2.8745620e-2 * x**3 - 3.1978977e-3 * x**4 + 1.2992634e-4 * x**5
    return np.asarray(10.0 ** (above / below))


def steps(L: Float) -> Float:
    """Just-noticeable steps up to luminances within the standard's range."""
    known = standard_luminances()
    assert known[0] <= L.min()
    assert L.max() <= known[-1]
    return np.asarray(np.interp(np.log(L), np.log(known), np.arange(1.0, 1024.0)))


def noise(rng: np.random.Generator, kind: str) -> Float:
    """(PATCH, PATCH) in codes."""
    shape = (PATCH, PATCH)
    if kind == "rectangular":
        return rng.uniform(-0.5, 0.5, shape)
    if kind == "triangular":
        return rng.uniform(-0.5, 0.5, shape) + rng.uniform(-0.5, 0.5, shape)
    return float(kind) * rng.standard_normal(shape)


def gradients(
    rng: np.random.Generator, stock: str, lux: float, arcmin: float
) -> list[tuple[bool, bool, bool]]:
    """24 gradients: whether they are a risk, whether they are called one, whether it is a near
    thing."""
    record = catalogue().stock(stock)
    Y_w, Y_k = (float(Lab_to_XYZ(Lab)[1]) for Lab in (record.white_Lab, record.black_Lab))
    L = lux / math.pi * (Y_k + (Y_w - Y_k) * srgb_Y(np.arange(256) / 255.0))
    first = int(np.argmax(L > 0.055))  # below the standard ends
    j = np.concatenate([np.full(first, np.nan), steps(L[first:])])
    y, x = np.mgrid[0:PATCH, 0:PATCH] - PATCH / 2
    picture = np.zeros((PATCH * DOWN, PATCH * ACROSS), np.uint8)
    planted = []
    for index in range(DOWN * ACROSS):
        width = PLATEAU_ARCMIN / arcmin * 2.0 ** rng.uniform(-1.0, 2.5)  # pixels
        reach = PATCH / math.sqrt(2.0) / width + 4.0  # codes to the corner
        low, high = first + reach, 252.0 - reach
        if low >= high:
            width, low, high = 20.0, first + 10.0, 242.0
        tone = rng.uniform(low, high)
        angle = rng.choice([0.0, 0.5 * math.pi, rng.uniform(0.0, 2.0 * math.pi)])
        kind = str(rng.choice(["0", "0", "0.1", "rectangular", "triangular", "0.5", "1.0"]))
        slope = (x * math.cos(angle) + y * math.sin(angle)) / width
        codes = np.rint(tone + slope + noise(rng, kind))
        row, column = divmod(index, ACROSS)
        picture[row * PATCH : (row + 1) * PATCH, column * PATCH : (column + 1) * PATCH] = codes
        seen = np.arange(math.floor(tone - 32.0 / width), math.ceil(tone + 32.0 / width) + 1)
        step = STEEPER * float(np.diff(j[seen]).mean())
        planted.append(
            (
                kind in BANDED and width * arcmin >= PLATEAU_ARCMIN and step >= BAND_STEPS,
                bool(is_near(width * arcmin, PLATEAU_ARCMIN) | is_near(step, BAND_STEPS)),
            )
        )
    photograph = photograph_from_array(np.repeat(picture[..., None], 3, axis=2))
    found, maps = scanned(request(photograph, stock, lux, arcmin), arcmin)
    risk = maps[Kind.BANDING_RISK][0].lost > 0
    return [
        (wanted, middle(risk, found.cell_px, i) >= 0.5, near)
        for i, (wanted, near) in enumerate(planted)
    ]


def test_planted_banding() -> None:
    """576 gradients of 1.5 to 17 minutes of arc a code, in any direction, with dither, grain or
    neither, in light from dim to bright: precision and recall are at least 0.95 over all, and 0.98
    over those not within 15 % of a threshold."""
    assert (PLATEAU_ARCMIN, STEEPER, BAND_STEPS) == (3.0, 2.0, 1.0)
    rng = np.random.default_rng(51)
    cases = []
    for stock in ("smooth matte", "baryta"):
        for lux in (5.0, 12.0, 100.0):
            for arcmin in (0.5, 0.8, 1.0, 1.5):
                cases += gradients(rng, stock, lux, arcmin)
    found = score(*zip(*cases, strict=True))
    print(found)
    assert found.count >= 500
    assert found.wanted >= 100
    assert found.over_all >= 0.95
    assert found.clear >= 0.98
