"""Planted detail: what the findings say, against what published visibility functions say.

Waves of known size, tone and amplitude are planted on plain grounds. Whether they are clear in the
file, on the reference display of Adobe RGB (1998) Color Image Encoding (160.00 and 0.5557 cd/m2),
and whether they can still be seen on the print is worked out here from formulas alone: Lambert's
E Y / pi, black point compensation of ISO 18619:2015 for shadows and the absolute intent of
ICC.1:2022 for highlights, and the contrast sensitivity of Barten (1999)
as colour-science has it, lowered by an unequal surround as in Barten (2004), equation 13 (from
memory). A thing is worth a finding if it reaches twice the threshold in the file and not once on
the print.
"""

from __future__ import annotations

import functools
import math
import warnings
from pathlib import Path

import imagecodecs
import numpy as np
import numpy.typing as npt
import pytest

from proofing.catalogue import Catalogue
from proofing.colorimetry import Lab_to_XYZ
from proofing.engine import Engine
from proofing.findings.kinds import Kind
from proofing.findings.losses import LossMap, loss_maps
from proofing.findings.scan import Scan, scan
from proofing.photograph import Photograph, photograph_from_array
from proofing.photograph.icc import IccProfile
from proofing.printing import Intent
from proofing.request import PrintSize, ProofRequest
from proofing.screen import Screen
from proofing.viewing import Room
from tests.reference.cgats import ICC_FOLDER

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # its remarks about plotting packages that are kept out
    from colour.contrast import barten1999

Float = npt.NDArray[np.float64]
PATCH, DOWN, ACROSS = 128, 4, 6  # pixels a side, patches in a picture
PRESS = ICC_FOLDER / "FOGRA39L_coated.icc"
NEAR = 1.15  # a case so near to a threshold may be called either way


@functools.cache
def catalogue() -> Catalogue:
    return Catalogue.load(Path("/nonexistent"))


@functools.cache
def romm_profile() -> IccProfile:
    return IccProfile.from_file(ICC_FOLDER / "ROMM_RGB.icc")


@functools.cache
def engine() -> Engine:
    return Engine()


def request(
    photograph: Photograph, stock: str, lux: float, arcmin: float, **kw: object
) -> ProofRequest:
    """Printed and seen so that a pixel takes up that angle."""
    size = PrintSize.default_for(photograph)
    distance = 25.4 / 300.0 / 1000.0 / math.tan(math.radians(arcmin / 60.0))
    return ProofRequest(
        photograph, catalogue().stock(stock), Room(catalogue().light("D50"), lux), Screen(),
        size=size, distance_m=distance, **kw,
    )  # type: ignore[arg-type]  # fmt: skip


def scanned(wanted: ProofRequest, arcmin: float) -> tuple[Scan, dict[Kind, list[LossMap]]]:
    found = scan(engine().bake_scan(wanted, 65), wanted.photograph, arcmin=arcmin, tolerance=3.0)
    maps: dict[Kind, list[LossMap]] = {kind: [] for kind in Kind}
    for loss in loss_maps(found, float(wanted.room.white_XYZ_cd_m2[1])):
        maps[loss.kind].append(loss)
    return found, maps


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
    return 0.5557 + (160.0 - 0.5557) * Y


def srgb_code(Y: Float) -> Float:
    """IEC 61966-2-1."""
    Y = np.clip(Y, 0.0, 1.0)
    return np.where(Y <= 0.0031308, 12.92 * Y, 1.055 * Y ** (1 / 2.4) - 0.055)


def wave(rng: np.random.Generator, u_cpd: float, arcmin: float, radius: float = 52.0) -> Float:
    """A wave of amplitude 1 in a soft round window, (PATCH, PATCH)."""
    y, x = np.mgrid[0:PATCH, 0:PATCH] - PATCH / 2
    angle, phase = rng.uniform(0, np.pi), rng.uniform(0, 2 * np.pi)
    w = 2 * np.pi * u_cpd * arcmin / 60.0
    window = np.clip((radius - np.hypot(x, y)) / 6 + 0.5, 0, 1)
    return np.asarray(np.sin(w * (x * np.cos(angle) + y * np.sin(angle)) + phase) * window)


def middle(cells: npt.NDArray[np.bool_], cell_px: int, index: int) -> float:
    """Share of the cells in the middle of a patch."""
    row, column = divmod(index, ACROSS)
    down, across = (
        slice((n * PATCH + 32) // cell_px, (n * PATCH + 96) // cell_px) for n in (row, column)
    )
    return float(cells[down, across].mean())


@functools.cache
def press_greys() -> tuple[Float, Float]:
    """Luminance factors of sRGB greys, and of their absolute colorimetric prints on the press
    profile, by LittleCMS alone in float."""
    Y = np.linspace(0.4, 1.0, 1201)
    RGB = np.repeat(srgb_code(Y)[:, None], 3, axis=1)
    press, srgb = PRESS.read_bytes(), imagecodecs.cms_profile("srgb")
    cmyk = imagecodecs.cms_transform(
        RGB[None], srgb, press, colorspace="rgb", outcolorspace="cmyk", intent=3, flags=256,
        outdtype=np.float64,
    )  # fmt: skip
    Lab = imagecodecs.cms_transform(
        np.ascontiguousarray(cmyk), press, imagecodecs.cms_profile("lab4"), colorspace="cmyk",
        outcolorspace="lab", intent=3, flags=256, outdtype=np.float64,
    )  # fmt: skip
    return Y, Lab_to_XYZ(np.asarray(Lab, np.float64).reshape(-1, 3))[:, 1]


def planted_tones(
    rng: np.random.Generator, stock: str, lux: float, arcmin: float, light: bool
) -> list[tuple[float, float, bool]]:
    """24 waves on one ground: thresholds in the file and on the print by formula, and whether the
    findings call them lost."""
    E = lux / math.pi
    record = catalogue().stock(stock)
    Y_w, Y_k = (float(Lab_to_XYZ(Lab)[1]) for Lab in (record.white_Lab, record.black_Lab))

    def on_print(Y: float) -> float:
        if light:
            return E * float(np.interp(Y, *press_greys()))
        return E * Y_w * ((1.0 - Y_k / Y_w) * Y + Y_k / Y_w)

    Y_0 = rng.uniform(0.72, 0.97) if light else 10 ** rng.uniform(-3.3, -1.1)
    picture = np.full((PATCH * DOWN, PATCH * ACROSS), Y_0)
    expected = []
    for index in range(DOWN * ACROSS):
        u = 2 ** rng.uniform(1.0, 4.2)
        L = display_cd_m2(Y_0)
        times = 2 ** rng.uniform(-1.5, 3.0 if light else 5.0)
        room = 1.0 - Y_0 if light else Y_0
        A = min(times / sensitivity(u, L, 32.0) * L / (160.0 - 0.5557), 0.98 * room)
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
    found, maps = scanned(request(photograph, stock, lux, arcmin, intent=intent), arcmin)
    kind = Kind.BLOWN_HIGHLIGHTS if light else Kind.BLOCKED_SHADOWS
    lost = maps[kind][0].lost > 0
    return [
        (file, print_, middle(lost, found.cell_px, i) >= 0.5)
        for i, (file, print_) in enumerate(expected)
    ]


def score(cases: list[tuple[float, float, bool]]) -> tuple[float, float, float, float, int, int]:
    """Precision and recall over all cases, and over those not near a threshold; counts of both."""
    file, print_, got = (np.array(values) for values in zip(*cases, strict=True))
    wanted = (file >= 2.0) & (print_ < 1.0)
    near = (np.abs(np.log(file / 2.0)) < np.log(NEAR)) | (
        np.abs(np.log(np.maximum(print_, 1e-6))) < np.log(NEAR)
    )
    figures = []
    for chosen in (np.full(len(file), True), ~near):
        hit = float((wanted & got & chosen).sum())
        figures += [hit / max((got & chosen).sum(), 1), hit / max((wanted & chosen).sum(), 1)]
    return (*figures, len(file), int(wanted.sum()))  # type: ignore[return-value]


@pytest.mark.parametrize("light", [False, True])
def test_planted_detail_is_found_where_it_is_lost(light: bool) -> None:
    """648 waves each, 2 to 18 cycles per degree, in three lights, at three distances; in the
    shadows on three stocks, in the highlights on a press profile whose paper is darker than their
    white. Precision and recall: at least 0.93 over all in the shadows, 0.97 over those that are
    not within 15 % of a threshold. In the highlights 0.90 and 0.92: a table rounds the corner
    where tones become bare paper, and leaves faint waves a little to be seen."""
    rng = np.random.default_rng(1)
    cases = []
    for stock in (str(PRESS),) * 3 if light else ("canvas", "smooth matte", "baryta"):
        for lux in (15.0, 50.0, 500.0):
            for arcmin in (1.0, 0.64, 0.4):
                cases += planted_tones(rng, stock, lux, arcmin, light)
    precision, recall, clear_precision, clear_recall, count, wanted = score(cases)
    print(f"{count} cases, {wanted} lost: {precision:.3f} {recall:.3f}, "
          f"away from thresholds {clear_precision:.3f} {clear_recall:.3f}")  # fmt: skip
    assert count >= 500
    assert wanted >= 60
    assert min(precision, recall) >= (0.90 if light else 0.93)
    assert min(clear_precision, clear_recall) >= (0.92 if light else 0.97)


@pytest.mark.parametrize("compressed", [False, True])
def test_planted_noise_is_no_detail(compressed: bool) -> None:
    """504 patches of pure grain, of one to eight codes, as it comes or through JPEG at quality 92,
    on a dark and on a light ground, in dim light: fewer than one cell in a hundred is called
    lost."""
    rng = np.random.default_rng(2)
    called = total = 0
    for ground in (14.0, 30.0, 235.0):
        for strength in (1.0, 2.0, 4.0, 8.0):
            if ground == 14.0 and strength > 4.0:
                continue  # a ground so dark clips it
            grey = ground + strength * rng.standard_normal((PATCH * DOWN * 2, PATCH * ACROSS))
            codes = np.clip(np.rint(grey), 1, 254).astype(np.uint8)
            if compressed:
                coded = imagecodecs.jpeg8_encode(codes, level=92)
                codes = np.asarray(imagecodecs.jpeg8_decode(coded))
            photograph = photograph_from_array(np.repeat(codes[..., None], 3, axis=2))
            _, maps = scanned(request(photograph, "canvas", 20.0, 0.7), 0.7)
            for kind in (Kind.BLOCKED_SHADOWS, Kind.BLOWN_HIGHLIGHTS):
                called += int((maps[kind][0].lost > 0).sum())
            total += maps[Kind.BLOCKED_SHADOWS][0].lost.size
    assert called / total < 0.01


def test_grain_does_not_hide_detail_nor_count_as_it() -> None:
    """Waves of 30 codes under grain of 2 in the same dark tone: without compensation the waves are
    called lost, the ground between them, as grainy, is not."""
    rng = np.random.default_rng(3)
    grey = np.full((PATCH * DOWN, PATCH * ACROSS), 20.0)
    for index in range(0, DOWN * ACROSS, 2):
        row, column = divmod(index, ACROSS)
        grey[row * PATCH : (row + 1) * PATCH, column * PATCH : (column + 1) * PATCH] += 12 * wave(
            rng, 6.0, 0.7
        )
    grey += 2.0 * rng.standard_normal(grey.shape)
    codes = np.clip(np.rint(grey), 1, 254).astype(np.uint8)
    photograph = photograph_from_array(np.repeat(codes[..., None], 3, axis=2))
    wanted = request(photograph, "canvas", 100.0, 0.7, black_point_compensation=False)
    found, maps = scanned(wanted, 0.7)
    lost = maps[Kind.BLOCKED_SHADOWS][0].lost > 0
    shares = [middle(lost, found.cell_px, i) for i in range(DOWN * ACROSS)]
    assert min(shares[0::2]) > 0.9
    assert max(shares[1::2]) < 0.1


# ---- colour ---------------------------------------------------------------------------------


def press_Lab(codes: Float) -> tuple[Float, Float]:
    """Wanted and printed Lab on the press profile, by LittleCMS alone in float: media-relative,
    ROMM RGB codes (N, 3)."""
    romm = romm_profile().data
    press = PRESS.read_bytes()

    def convert(values: Float, *args: object, **kw: object) -> Float:
        made = imagecodecs.cms_transform(
            np.ascontiguousarray(values[None]), *args, outdtype=np.float64, **kw
        )
        return np.asarray(made, dtype=np.float64).reshape(len(values), -1)

    lab = imagecodecs.cms_profile("lab4")
    wanted = convert(codes, romm, lab, colorspace="rgb", outcolorspace="lab", intent=1, flags=256)
    cmyk = convert(codes, romm, press, colorspace="rgb", outcolorspace="cmyk", intent=1, flags=256)
    printed = convert(cmyk, press, lab, colorspace="cmyk", outcolorspace="lab", intent=1, flags=256)
    return wanted, printed


def ucs(Lab: Float) -> Float:
    """CAM16-UCS of colour-science under the conditions that the program brings colours to a gamut
    in: ICC white, 500 lx on a 20 % background, average surround."""
    import colour

    white = np.array([96.42, 100.0, 82.49])
    made = colour.XYZ_to_CAM16(
        Lab_to_XYZ(Lab) * 100.0, white, 500 / np.pi * 0.2, 20.0,
        colour.VIEWING_CONDITIONS_CAM16["Average"],
    )  # fmt: skip
    return np.asarray(colour.JMh_CAM16_to_CAM16UCS(np.stack([made.J, made.M, made.h], axis=-1)))


def test_flattened_colour_against_littlecms() -> None:
    """528 pairs of neighbouring ROMM RGB colours, mixed by waves of 2 to 4 cycles per degree, on a
    press profile without compensation: those out of gamut that differ by 4 CAM16-UCS dE in the
    file and keep less than a third on the print, by LittleCMS and colour-science alone, are called
    flattened; precision and recall are at least 0.93, and 0.95 for those not within 15 % of a
    threshold."""
    rng = np.random.default_rng(4)
    arcmin = 0.7
    y, x = np.mgrid[0:PATCH, 0:PATCH] - PATCH / 2
    disc = np.hypot(x, y) < 54  # on a grey that any paper holds
    truth, got, near = [], [], []
    while len(truth) < 500:
        picture = np.full((PATCH * DOWN, PATCH * ACROSS, 3), 0.5)
        pairs = []
        for index in range(DOWN * ACROSS):
            base = rng.uniform(0.15, 0.75, 3)
            base[rng.integers(0, 3)] *= rng.uniform(0.0, 0.35)  # saturated
            apart = rng.normal(0, 1, 3)
            if rng.uniform() < 0.7:  # more or less saturated: what a gamut's surface takes away
                apart = base - base.mean() + rng.normal(0, 0.02, 3)
            apart *= rng.uniform(0.02, 0.2) / np.linalg.norm(apart)
            ends = np.clip(np.stack([base - apart / 2, base + apart / 2]), 0.0, 1.0)
            mix = 0.5 + 0.5 * wave(rng, rng.uniform(2.0, 4.0), arcmin, 80.0)[..., None]
            row, column = divmod(index, ACROSS)
            place = picture[row * PATCH : (row + 1) * PATCH, column * PATCH : (column + 1) * PATCH]
            place[disc] = (ends[0] + (ends[1] - ends[0]) * mix)[disc]
            pairs.append(ends)
        photograph = photograph_from_array(picture.astype(np.float32), romm_profile())
        wanted = request(photograph, str(PRESS), 500.0, arcmin, black_point_compensation=False)
        found, maps = scanned(wanted, arcmin)
        flat = maps[Kind.FLATTENED_COLOUR][0].lost > 0
        for index, ends in enumerate(pairs):
            t = np.linspace(0, 1, 9)[:, None]
            Lab = press_Lab(ends[0] + (ends[1] - ends[0]) * t)
            out = np.linalg.norm(ucs(Lab[0]) - ucs(Lab[1]), axis=1)
            miss = _delta_E(*Lab)
            file, print_ = (np.linalg.norm(np.diff(ucs(v)[[0, -1]], axis=0)) for v in Lab)
            if not (miss > 3.6).all() and not (miss < 2.4).all():
                continue  # partly in the gamut: the findings judge the part that is not
            assert np.isfinite(out).all()
            truth.append(bool((miss > 3.0).all() and file >= 4.0 and print_ < file / 3.0))
            near.append(
                abs(math.log(file / 4.0)) < math.log(NEAR)
                or abs(math.log(max(3.0 * print_, 1e-9) / file)) < math.log(NEAR)
            )
            got.append(middle(flat, found.cell_px, index) >= 0.5)
    T, G, N = (np.array(values) for values in (truth, got, near))
    figures = [
        (float((T & G & c).sum() / (G & c).sum()), float((T & G & c).sum() / (T & c).sum()))
        for c in (np.full(len(T), True), ~N)
    ]
    print(f"{len(T)} cases, {T.sum()} flattened: {figures}")
    assert T.sum() >= 30
    assert min(figures[0]) >= 0.93
    assert min(figures[1]) >= 0.95


def _delta_E(one: Float, other: Float) -> Float:
    import colour

    return np.asarray(colour.delta_E(one, other, method="CIE 2000"))
