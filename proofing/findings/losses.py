"""From a scan to what is lost, cell by cell, for each kind."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from proofing.findings import detail
from proofing.findings.kinds import Kind
from proofing.findings.scan import REFERENCE_WHITE_CD_M2, Scan, Tones, pooled

Float = npt.NDArray[np.float64]

LEAST_OF_CELL = 0.25
"""A tone class must fill this share of a cell to be judged there."""
MOST_LOSS = 8.0
"""Detail that is this many times what is just seen counts as much as any stronger."""
FLAT_FROM = 4.0
"""Range of colour in the file, CAM16-UCS dE, from which there is modelling to lose: about four
just-noticeable differences (common practice)."""
FLAT_KEEPS = 1.0 / 3.0
"""Saturated modelling that keeps less than this share of its range is flattened."""
STRONG = 15.0
"""CAM16-UCS colourfulness from which a colour can be flattened; what greys lose is shadow or
highlight."""
HUES_DEG = (48.0, 75.0, 115.0, 190.0, 290.0, 345.0)
"""CAM16-UCS hue angles between reds, oranges, yellows, greens, blues and purples (unique hues at
20, 90, 164 and 238 degrees, CIE 248:2022; the limits are common practice)."""
ALIKE = 25.0
"""CAM16-UCS dE within which cells belong to one coloured thing."""
_WINDOW = np.array([1.0, 4.0, 6.0, 4.0, 1.0]) / 16.0
_KEPT = 0.8  # of a wave's amplitude, for waves of 2 to 4 cycles per degree: 0.78 to 0.86
BARE_FROM_ARCMIN = 60.0
"""Ink-free paper is told from a highlight when it is this wide."""
BARE_LOSS = 1.0
CLIPPED_LOSS = 3.0
"""What the file lost is not known; it counts like colour that misses by so many dE00."""
WEAK_FROM = 4.0
"""Thresholds from which detail in the file is strong enough to be called weakened..."""
WEAK_KEEPS = 0.25
"""...when the print keeps less than this share of them."""
PLATEAU_ARCMIN = 3.0
"""Bands narrower than this run together to the eye (common practice)."""
STEEPER = 2.0
"""A correction that makes the tone curve twice as steep in one place is nothing unusual."""
DITHERED = 0.13
"""Share of neighbours one code apart that do not belong to the gradient from which bands are broken
up: grain of a tenth of a code brings 0.11, dither of one code, which leaves no bands, 0.15 and
more."""
BAND_STEPS = 1.0
"""Just-noticeable steps between two broad bands from which their edge shows."""


@dataclass(frozen=True, eq=False)
class LossMap:
    """One kind of loss over the cells.

    Attributes
    ----------
    kind
        Which.
    lost
        (R, C) pixels of each cell that are lost.
    loss
        (R, C) how much each matters, about in just-noticeable differences.
    numbers
        (R, C) maps that a region's numbers are taken from; ``weak`` are pixels whose detail is not
        lost but weakened.
    """

    kind: Kind
    lost: Float = field(repr=False)
    loss: Float = field(repr=False)
    numbers: Mapping[str, Float] = field(default_factory=dict, repr=False)


def loss_maps(scan: Scan, white_cd_m2: float) -> tuple[LossMap, ...]:
    """What is lost, by kind.

    Parameters
    ----------
    scan
        The scan.
    white_cd_m2
        Luminance of the perfect diffuser in the room.
    """
    from proofing.findings import _scan_kernels as kernels

    sums, pixels = scan.sums, scan.pixels
    made = [
        *_out_of_gamut(sums),
        _tone_loss(Kind.BLOCKED_SHADOWS, scan, scan.dark, white_cd_m2),
        _tone_loss(Kind.BLOWN_HIGHLIGHTS, scan, scan.light, white_cd_m2),
        _bare(scan, sums[..., kernels.BARE]),
        *_clipped(sums),
        LossMap(Kind.BEYOND_SCREEN, sums[..., kernels.BEYOND_SCREEN], np.ones_like(pixels)),
        _flattened(scan),
        _banding(scan),
    ]
    return tuple(made)


def _out_of_gamut(sums: Float) -> list[LossMap]:
    """Strong colours by hue, and those of little colour, which are places of their own: a red
    flower is neither the yellow one beside it nor the dark ground it stands on, and what has little
    colour has less to lose."""
    from proofing.findings import _scan_kernels as kernels

    out = sums[..., kernels.OUT_OF_GAMUT]
    mean = sums[..., kernels.COLOUR_SUM : kernels.COLOUR_SUM + 3] / np.maximum(out, 1.0)[..., None]
    miss = sums[..., kernels.MISS_SUM] / np.maximum(out, 1.0)
    colourfulness = np.hypot(mean[..., 1], mean[..., 2])
    loss = miss * np.minimum(colourfulness / STRONG, 1.0)
    hue_deg = np.degrees(np.arctan2(mean[..., 2], mean[..., 1])) % 360.0
    which = np.digitize(hue_deg, HUES_DEG) % len(HUES_DEG)
    which[colourfulness < STRONG] = -1
    return [
        LossMap(Kind.OUT_OF_GAMUT, np.where(which == part, out, 0.0), loss, {"miss": miss})
        for part in (-1, *range(len(HUES_DEG)))
        if (which[out > 0.0] == part).any()
    ]


def _clipped(sums: Float) -> list[LossMap]:
    """What ran out at the bottom, and at the top: places of their own, side by side or not."""
    from proofing.findings import _scan_kernels as kernels

    clipped, bottom = sums[..., kernels.CLIPPED], sums[..., kernels.BOTTOM]
    tops = {name: sums[..., kernels.TOP + i] for i, name in enumerate(("red", "green", "blue"))}
    numbers = tops | {"white": sums[..., kernels.WHITE], "black": bottom}
    black = bottom > 0.5 * clipped
    return [
        LossMap(
            Kind.CLIPPED_IN_FILE,
            np.where(black == wanted, clipped, 0.0),
            np.full_like(clipped, CLIPPED_LOSS),
            numbers,
        )
        for wanted in (True, False)
    ]


def _tone_loss(kind: Kind, scan: Scan, tones: Tones, white_cd_m2: float) -> LossMap:
    from proofing.findings import _scan_kernels as kernels

    file = detail.in_file(tones, scan.working_arcmin, REFERENCE_WHITE_CD_M2)
    on_print = detail.on_print(tones, scan.working_arcmin, white_cd_m2)
    gone = detail.lost(file, on_print)
    pixels = scan.pixels
    filled = tones.weight * scan.factor**2
    judged = (filled >= LEAST_OF_CELL * np.maximum(pixels, 1.0)) & (
        scan.sums[..., kernels.CLIPPED] < 0.5 * np.maximum(pixels, 1.0)
    )
    gone &= judged
    any_gone = gone.any(axis=0)
    lost = np.where(any_gone, np.minimum(filled, pixels), 0.0)
    weak = judged[None] & ~gone & (file >= WEAK_FROM) & (on_print < WEAK_KEEPS * file)
    which = np.where(gone[0], 0, 1)[None]
    seen = np.take_along_axis(file, which, axis=0)[0]
    left = np.take_along_axis(on_print, which, axis=0)[0]
    return LossMap(
        kind,
        lost,
        np.minimum(seen, MOST_LOSS),
        {
            "file": seen,
            "print": left,
            "coarse": which[0].astype(np.float64),
            "weak": np.where(weak[1] & ~any_gone, np.minimum(filled, pixels), 0.0),
        },
    )


def _bare(scan: Scan, bare: Float) -> LossMap:
    """Wide areas without ink."""
    from scipy.ndimage import binary_opening

    mask = bare > 0.9 * np.maximum(scan.pixels, 1.0)
    side = max(2, round(BARE_FROM_ARCMIN / (scan.working_arcmin * 8)))
    wide = binary_opening(mask, np.ones((side, side), np.bool_))
    return LossMap(
        Kind.BLOWN_HIGHLIGHTS,
        np.where(wide, bare, 0.0),
        np.full_like(bare, BARE_LOSS),
        {"bare": np.ones_like(bare)},
    )


def _flattened(scan: Scan) -> LossMap:
    """Out-of-gamut places where neighbouring colours become one.

    Of each cell and those within two cells of it, as far as they are out of gamut and of about the
    same colour, how far apart the mean colours are, wanted and printed: a petal's own modelling,
    and not the petal beside another.
    """
    from proofing.findings import _scan_kernels as kernels

    sums, pixels = scan.sums, scan.pixels
    out = sums[..., kernels.OUT_OF_GAMUT]
    share = np.divide(out, pixels, where=pixels > 0, out=np.zeros_like(out))
    weight = np.where(share >= LEAST_OF_CELL, share, 0.0)
    mean = sums[..., kernels.COLOUR_SUM : kernels.COLOUR_SUM + 6] / np.maximum(out, 1.0)[..., None]
    total = np.zeros_like(weight)
    first, second = np.zeros_like(mean), np.zeros_like(mean)
    reach = len(_WINDOW) // 2
    padded = np.pad(mean, ((reach, reach), (reach, reach), (0, 0)))
    padded_weight = np.pad(weight, reach)
    rows, columns = weight.shape
    for j, i in np.ndindex(len(_WINDOW), len(_WINDOW)):
        there = (slice(j, j + rows), slice(i, i + columns))
        apart = padded[there] - mean
        alike = np.linalg.norm(apart[..., :3], axis=-1) <= ALIKE
        w = padded_weight[there] * alike * (_WINDOW[j] * _WINDOW[i])
        total += w
        first += w[..., None] * apart
        second += w[..., None] * apart**2
    total = np.maximum(total, 1e-9)[..., None]
    variance = np.maximum(second / total - (first / total) ** 2, 0.0)
    # the range of a wave of that variance; cells and window keep most of one
    wanted = np.sqrt(8.0 * variance[..., :3].sum(axis=-1)) / _KEPT
    printed = np.sqrt(8.0 * variance[..., 3:].sum(axis=-1)) / _KEPT
    chroma = np.hypot(mean[..., 1], mean[..., 2])
    flat = (
        (weight > 0.0)
        & (chroma >= STRONG)
        & (wanted >= FLAT_FROM)
        & (printed < FLAT_KEEPS * wanted)
    )
    return LossMap(
        Kind.FLATTENED_COLOUR,
        np.where(flat, out, 0.0),
        wanted - printed,
        {"wanted": wanted, "printed": printed},
    )


def _banding(scan: Scan) -> LossMap:
    """Smooth gradients in few codes that a correction would break into steps."""
    from proofing.findings import _scan_kernels as kernels

    sums, pixels = scan.sums, scan.pixels
    pairs = sums[
        ..., [*range(kernels.SAME, kernels.CODE_STEPS + 1), kernels.RISE, kernels.RISE + 1]
    ]
    for _ in range(3):  # as far as broad bands are apart
        pairs = pooled(pairs, wide=True)
    same, one, rise = pairs[..., 0:2], pairs[..., 2:4], pairs[..., 6:8]
    further, steps, ones = pairs[..., 4], pairs[..., 5], one.sum(axis=-1)
    total = (same + one).max(axis=-1)
    # what goes up and down again is dither or grain, the rest is the gradient, of any direction
    of_pairs = np.maximum(same + one, 1.0)
    slope = np.hypot(*np.moveaxis(rise / of_pairs, -1, 0))  # codes per pixel
    to_and_fro = ((one - np.abs(rise)) / of_pairs).mean(axis=-1)
    plateau_px = np.divide(1.0, slope, where=slope > 1e-9, out=np.full_like(slope, np.inf))
    arcmin = scan.working_arcmin / scan.factor
    step = np.divide(steps, ones, where=ones > 0.0, out=np.zeros_like(ones))
    risk = (
        (further <= 0.002 * total)
        & (to_and_fro <= DITHERED)
        & np.isfinite(plateau_px)
        & (plateau_px * arcmin >= PLATEAU_ARCMIN)
        & (plateau_px <= 16.0 * scan.cell_px)  # flat areas have no gradient
        & (step * STEEPER >= BAND_STEPS)
    )
    return LossMap(Kind.BANDING_RISK, np.where(risk, pixels, 0.0), step * STEEPER, {"step": step})
