"""What the tests with planted losses share: pictures of patches, their scan, and the score."""

from __future__ import annotations

import functools
import math
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import imagecodecs
import numpy as np
import numpy.typing as npt

from proofing.catalogue import Catalogue
from proofing.colorimetry import Lab_to_XYZ
from proofing.engine import Engine
from proofing.findings.kinds import Kind
from proofing.findings.losses import LossMap, loss_maps
from proofing.findings.scan import Scan, scan
from proofing.photograph import Photograph, photograph_from_array
from proofing.printing import Intent
from proofing.request import PrintSize, ProofRequest
from proofing.screen import Screen
from proofing.viewing import Room
from tests import kept
from tests.reference.cgats import ICC_FOLDER

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # its remarks about plotting packages that are kept out
    from colour.contrast import barten1999

Float = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]
PATCH, DOWN, ACROSS = 128, 4, 6  # pixels a side, patches in a picture
PRESS = ICC_FOLDER / "FOGRA39L_coated.icc"
D50 = np.array([0.9642, 1.0, 0.8249])  # ICC.1:2022, 6.3.4.3
NEAR = 1.15  # a case so near to a threshold may be called either way


@functools.cache
def catalogue() -> Catalogue:
    return Catalogue.load(Path("/nonexistent"))


@functools.cache
def engine() -> Engine:
    return kept.engine()


def request(
    photograph: Photograph, stock: str, lux: float, arcmin: float, **kw: Any
) -> ProofRequest:
    """Printed and seen so that a pixel takes up that angle, in a room of that illuminance
    (`room` for another one)."""
    size = PrintSize.default_for(photograph)
    distance = 25.4 / 300.0 / 1000.0 / math.tan(math.radians(arcmin / 60.0))
    room = kw.pop("room", None) or Room(catalogue().light("D50"), lux)
    return ProofRequest(
        photograph, catalogue().stock(stock), room, Screen(),
        size=size, distance_m=distance, **kw,
    )  # fmt: skip


def scanned(wanted: ProofRequest, arcmin: float) -> tuple[Scan, dict[Kind, list[LossMap]]]:
    found = scan(
        engine().bake_scan(wanted, 65),
        wanted.photograph,
        arcmin=arcmin,
        tolerance=wanted.gamut_tolerance,
    )
    maps: dict[Kind, list[LossMap]] = {kind: [] for kind in Kind}
    for loss in loss_maps(found, float(wanted.room.white_XYZ_cd_m2[1])):
        maps[loss.kind].append(loss)
    return found, maps


# ---- the score ------------------------------------------------------------------------------


@dataclass(frozen=True)
class Score:
    """Precision and recall, over all cases and over those not near a threshold."""

    precision: float
    recall: float
    clear_precision: float
    clear_recall: float
    count: int
    wanted: int

    @property
    def over_all(self) -> float:
        """The lower of the two over all cases."""
        return min(self.precision, self.recall)

    @property
    def clear(self) -> float:
        """The lower of the two over those not near a threshold."""
        return min(self.clear_precision, self.clear_recall)

    def __str__(self) -> str:
        return (
            f"{self.count} cases, {self.wanted} lost: {self.precision:.3f} {self.recall:.3f}, "
            f"away from thresholds {self.clear_precision:.3f} {self.clear_recall:.3f}"
        )


def score(wanted: npt.ArrayLike, got: npt.ArrayLike, near: npt.ArrayLike) -> Score:
    """Of (N,) truths, what was found, and what lies near a threshold."""
    w, g, n = (np.asarray(values, np.bool_) for values in (wanted, got, near))
    figures = []
    for chosen in (np.full(len(w), True), ~n):
        hit = float((w & g & chosen).sum())
        figures += [hit / max((g & chosen).sum(), 1), hit / max((w & chosen).sum(), 1)]
    all_precision, all_recall, precision, recall = figures
    return Score(all_precision, all_recall, precision, recall, len(w), int(w.sum()))


def is_near(value: npt.ArrayLike, threshold: float) -> Mask:
    """Within 15 % of it."""
    ratio = np.maximum(np.asarray(value, np.float64), 1e-9) / threshold
    return np.asarray(np.abs(np.log(ratio)) < math.log(NEAR))


# ---- sight ----------------------------------------------------------------------------------


def sensitivity(u_cpd: float, L: float, surround: float) -> float:
    """Barten (1999), field of 2 degrees, both eyes; Barten (2004), equation 13 (from memory)."""
    X = 2.0
    d = barten1999.pupil_diameter_Barten1999(L, X)
    S = barten1999.contrast_sensitivity_function_Barten1999(
        u=u_cpd,
        sigma=barten1999.sigma_Barten1999(0.5 / 60.0, 0.08 / 60.0, d),
        E=barten1999.retinal_illuminance_Barten1999(L, d),
        X_0=X,
    )
    q = math.log((1.0 + 144.0 / X**2) ** 0.25)
    away = (math.log(surround / L) + q) ** 2 - q**2
    return float(S) * math.exp(-max(away, 0.0) / (2.0 * math.log(32.0) ** 2))


def display_cd_m2(Y: float) -> float:
    """Adobe RGB (1998) Color Image Encoding, 4.2.1: 160.00 and 0.5557 cd/m2."""
    return 0.5557 + (160.0 - 0.5557) * Y


def srgb_code(Y: npt.ArrayLike) -> Float:
    """IEC 61966-2-1."""
    Y = np.clip(np.asarray(Y, np.float64), 0.0, 1.0)
    return np.where(Y <= 0.0031308, 12.92 * Y, 1.055 * Y ** (1 / 2.4) - 0.055)


def srgb_Y(code01: npt.ArrayLike) -> Float:
    """IEC 61966-2-1, back."""
    code = np.asarray(code01, np.float64)
    return np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)


# ---- pictures -------------------------------------------------------------------------------


def wave(rng: np.random.Generator, u_cpd: float, arcmin: float, radius: float = 52.0) -> Float:
    """A wave of amplitude 1 in a soft round window, (PATCH, PATCH)."""
    y, x = np.mgrid[0:PATCH, 0:PATCH] - PATCH / 2
    angle, phase = rng.uniform(0, np.pi), rng.uniform(0, 2 * np.pi)
    w = 2 * np.pi * u_cpd * arcmin / 60.0
    window = np.clip((radius - np.hypot(x, y)) / 6 + 0.5, 0, 1)
    return np.asarray(np.sin(w * (x * np.cos(angle) + y * np.sin(angle)) + phase) * window)


def middle(cells: Mask, cell_px: int, index: int) -> float:
    """Share of the cells in the middle of a patch."""
    row, column = divmod(index, ACROSS)
    down, across = (
        slice((n * PATCH + 32) // cell_px, (n * PATCH + 96) // cell_px) for n in (row, column)
    )
    return float(cells[down, across].mean())


def planted_waves(
    rng: np.random.Generator,
    stock: str,
    room: Room,
    arcmin: float,
    light: bool,
    on_print: Callable[[float], float],
) -> list[tuple[float, float, bool]]:
    """24 waves on one ground: thresholds in the file and on the print by formula, and whether the
    findings call them lost.

    `on_print` gives the luminance in cd/m2 of a grey of a luminance factor in the file.
    """
    E = room.illuminance_lux / math.pi
    Y_0 = rng.uniform(0.72, 0.97) if light else 10 ** rng.uniform(-3.3, -1.1)
    picture = np.full((PATCH * DOWN, PATCH * ACROSS), Y_0)
    expected = []
    for index in range(DOWN * ACROSS):
        u = 2 ** rng.uniform(1.0, 4.2)
        L = display_cd_m2(Y_0)
        times = 2 ** rng.uniform(-1.5, 3.0 if light else 5.0)
        headroom = 1.0 - Y_0 if light else Y_0
        A = min(times / sensitivity(u, L, 32.0) * L / (160.0 - 0.5557), 0.98 * headroom)
        row, column = divmod(index, ACROSS)
        place = picture[row * PATCH : (row + 1) * PATCH, column * PATCH : (column + 1) * PATCH]
        place += A * wave(rng, u, arcmin)
        contrast = []
        for f in (display_cd_m2, on_print):
            L_of = [f(Y_0 + A * math.sin(t)) for t in np.linspace(0.0, 2 * np.pi, 33)]
            # of the wave that has the same mean square: a clipped one is no wave any more
            contrast.append(math.sqrt(2.0) * float(np.std(L_of[:-1])) / float(np.mean(L_of[:-1])))
        expected.append(
            (
                contrast[0] * sensitivity(u, L, 0.2 * 160.0),
                contrast[1] * sensitivity(u, on_print(Y_0), 0.2 * E),
            )
        )
    codes = np.round(srgb_code(picture) * 65535).astype(np.uint16)
    photograph = photograph_from_array(np.repeat(codes[..., None], 3, axis=2))
    intent = Intent.ABSOLUTE if light else Intent.RELATIVE
    wanted = request(photograph, stock, room.illuminance_lux, arcmin, intent=intent, room=room)
    found, maps = scanned(wanted, arcmin)
    kind = Kind.BLOWN_HIGHLIGHTS if light else Kind.BLOCKED_SHADOWS
    lost = maps[kind][0].lost > 0
    return [
        (file, print_, middle(lost, found.cell_px, i) >= 0.5)
        for i, (file, print_) in enumerate(expected)
    ]


def score_waves(cases: list[tuple[float, float, bool]]) -> Score:
    """Lost is what reaches twice the threshold in the file and not once on the print."""
    file, print_, got = (np.array(values) for values in zip(*cases, strict=True))
    near = is_near(file, 2.0) | is_near(print_, 1.0)
    return score((file >= 2.0) & (print_ < 1.0), got, near)


# ---- the colour management library ----------------------------------------------------------


def littlecms(
    values: Float,
    source: bytes,
    space: str,
    destination: bytes,
    to: str,
    intent: int,
    *,
    compensate: bool = False,
) -> Float:
    """LittleCMS alone, in float and without its optimisations (flag 0x100), (N, C) to (N, D);
    with black point compensation (flag 0x2000) or without."""
    made = imagecodecs.cms_transform(
        np.ascontiguousarray(values[None]), source, destination, colorspace=space, outcolorspace=to,
        intent=intent, flags=0x100 | (0x2000 if compensate else 0), outdtype=np.float64,
    )  # fmt: skip
    return np.asarray(made, dtype=np.float64).reshape(len(values), -1)


def lab_profile() -> bytes:
    return bytes(imagecodecs.cms_profile("lab4"))


def delta_E_00(one: Float, other: Float) -> Float:
    """CIE 142:2001 by colour-science."""
    import colour

    return np.asarray(colour.delta_E(one, other, method="CIE 2000"))


def ucs(Lab: Float) -> Float:
    """CAM16-UCS of colour-science under the conditions that the program brings colours to a gamut
    in: ICC white, to which the eye adapts completely, 500 lx on a 20 % background, average
    surround."""
    import colour

    white = np.array([96.42, 100.0, 82.49])
    made = colour.XYZ_to_CAM16(
        Lab_to_XYZ(Lab) * 100.0, white, 500 / np.pi * 0.2, 20.0,
        colour.VIEWING_CONDITIONS_CAM16["Average"], discount_illuminant=True,
    )  # fmt: skip
    return np.asarray(colour.JMh_CAM16_to_CAM16UCS(np.stack([made.J, made.M, made.h], axis=-1)))


def file_XYZ(codes01: Float, space: str) -> Float:
    """Published arithmetic of an RGB space, as colour-science has it, brought to D50 by Bradford's
    transform: (N, 3) media-relative."""
    import colour

    known = colour.RGB_COLOURSPACES[space]
    XYZ = known.cctf_decoding(codes01) @ known.matrix_RGB_to_XYZ.T
    white = known.matrix_RGB_to_XYZ @ np.ones(3)
    return np.asarray(
        colour.chromatic_adaptation(XYZ, white, D50, method="Von Kries", transform="Bradford")
    )
