"""What kind of picture it is, as far as that decides which surface suits it: measured."""

from __future__ import annotations

import enum
from dataclasses import dataclass

import numpy as np

from proofing.colorimetry import Float, XYZ_to_Lab, luminance_factor
from proofing.findings import detail
from proofing.findings.scan import (
    CELL,
    REFERENCE_WHITE_CD_M2,
    Scan,
    pooled,
    reference_display_cd_m2,
)
from proofing.findings.sight import BANDS
from proofing.findings.visibility import steps
from proofing.language import mark
from proofing.lattice import Lattice, Output, apply
from proofing.ordering.sample import Sample
from proofing.photograph import Photograph, unit_codes
from proofing.photograph.photograph import OPAQUE_FROM

CLOSE_FROM_L, CLOSE_TO_L = 40.0, 95.0
"""L* between which close tones are those of fog, snow, sky or skin, and not of shadow or paper."""
CLOSE_C = 20.0
"""C*ab under which they are tints (proofing.printing.rendering: from there it is a colour)."""
CLOSE_RANGE_L = 8.0
"""L* that a neighbourhood of close tones spans at most, as four standard deviations: less than a
step of a nine-step grey scale (common practice)."""
DEEP_BELOW_L = 20.0
"""L* under which a matte stock has no tones of its own (its black is near 17)."""
SATURATED_C = 50.0
"""C*ab from which a colour is called saturated (common practice)."""
FINE_FROM = 8.0
"""Thresholds from which fine detail is crisp, as of weave, hair, rigging; as much as counts in
findings (proofing.findings.losses.MOST_LOSS)."""
_NEIGHBOURHOOD = 1 / 30  # of the picture's longer side
_REDUCED = 60_000  # pixels of the copy that close tones are looked for in
_TEXTURED = 600_000  # working pixels that fine detail is looked for in
_FINE_BANDS = 5


class Trait(enum.StrEnum):
    """What a picture can be rich in."""

    CLOSE_TONES = "close_tones"
    DEEP_SHADOWS = "deep_shadows"
    SATURATED = "saturated"
    FINE_TEXTURE = "fine_texture"


TRAIT_WORDS = {
    Trait.CLOSE_TONES: mark("soft, close tones"),
    Trait.DEEP_SHADOWS: mark("detail in deep shadows"),
    Trait.SATURATED: mark("saturated colours"),
    Trait.FINE_TEXTURE: mark("fine texture"),
}


@dataclass(frozen=True)
class Character:
    """Shares of the picture, 0..1; they may overlap.

    Attributes
    ----------
    close_tones
        Light, nearly neutral tones that hardly change from place to place: fog.
    deep_shadows
        L* under :data:`DEEP_BELOW_L`, with detail that shows on the reference display.
    saturated
        C*ab from :data:`SATURATED_C`.
    fine_texture
        Crisp fine detail, as seen from the viewing distance on the reference display.
    """

    close_tones: float
    deep_shadows: float
    saturated: float
    fine_texture: float

    def share(self, trait: Trait) -> float:
        """Of one trait."""
        return float(getattr(self, trait.value))


def character_of(
    photograph: Photograph, sample: Sample, lattice: Lattice, scanned: Scan
) -> Character:
    """Measure a picture.

    Parameters
    ----------
    photograph
        The picture.
    sample
        Of it.
    lattice, scanned
        Table and scan of the sample for any stock: what the file holds is the same in all.
    """
    Lab = XYZ_to_Lab(photograph.encoding.to_XYZ(sample.colours))
    C = np.hypot(Lab[:, 1], Lab[:, 2])
    return Character(
        close_tones=_close(photograph),
        deep_shadows=_deep(scanned),
        saturated=float(np.mean(C >= SATURATED_C)),
        fine_texture=_fine(sample, lattice),
    )


def _close(photograph: Photograph) -> float:
    from scipy.ndimage import uniform_filter

    level = 0
    while (photograph.height >> level) * (photograph.width >> level) > _REDUCED:
        level += 1
    small = photograph.level(level)
    shape = (small.height, small.width)
    codes = unit_codes(np.ascontiguousarray(small.codes)).reshape(-1, 3)
    Lab = XYZ_to_Lab(photograph.encoding.to_XYZ(codes)).reshape(*shape, 3)
    side = max(3, round(max(shape) * _NEIGHBOURHOOD)) | 1
    L = Lab[..., 0]
    mean = uniform_filter(L, side, mode="nearest")
    deviation = np.sqrt(np.maximum(uniform_filter(L * L, side, mode="nearest") - mean**2, 0.0))
    close = (
        (L >= CLOSE_FROM_L)
        & (L <= CLOSE_TO_L)
        & (np.hypot(Lab[..., 1], Lab[..., 2]) < CLOSE_C)
        & (4.0 * deviation <= CLOSE_RANGE_L)
    )
    if small.alpha is None:
        return float(close.mean())
    opaque = small.alpha >= OPAQUE_FROM
    return float(close[opaque].mean()) if opaque.any() else 0.0


def _deep(scanned: Scan) -> float:
    dark = scanned.dark
    below = float(steps(reference_display_cd_m2(luminance_factor(np.array(DEEP_BELOW_L)))))
    seen = detail.in_file(dark, scanned.working_arcmin, REFERENCE_WHITE_CD_M2).max(axis=0)
    deep = (dark.weight > 0.0) & (dark.file_steps < below) & (seen >= detail.CLEAR)
    total = float(scanned.pixels.sum()) / scanned.factor**2
    return min(float(dark.weight[deep].sum()) / max(total, 1.0), 1.0)


def _fine(sample: Sample, lattice: Lattice) -> float:
    """Share of cells whose fine detail is crisp in the file, whatever their tone."""
    at = lattice.channels.index("file_steps")
    found = total = 0
    for codes, alpha in _parts(sample):
        raw = apply(lattice, codes, output=Output.RAW, workers=1)
        crisp = _crisp(raw[..., at].astype(np.float64), sample.arcmin)
        there = np.ones_like(crisp)
        if alpha is not None:
            there = (_cells(alpha >= OPAQUE_FROM) == 1.0).astype(np.bool_)
        found, total = found + int((crisp & there).sum()), total + int(there.sum())
    return found / max(total, 1)


def _parts(sample: Sample) -> list[tuple[np.ndarray, np.ndarray | None]]:
    """Square pieces of the sample, whole cells, together about so many pixels as are needed."""
    side = 32 * CELL
    pieces = []
    for block in (each.photograph for each in sample.blocks):
        height, width = block.height // CELL * CELL, block.width // CELL * CELL
        for top in range(0, height, side):
            for left in range(0, width, side):
                there = slice(top, min(top + side, height)), slice(left, min(left + side, width))
                piece = block.codes[there]
                if min(piece.shape[:2]) >= 4 * CELL:
                    pieces.append((piece, None if block.alpha is None else block.alpha[there]))
    step = max(1, round(len(pieces) * side * side / _TEXTURED))
    return pieces[step // 2 :: step]


def _cells(values: np.ndarray) -> Float:
    """Means of cells, of whole ones."""
    rows, columns = values.shape[0] // CELL, values.shape[1] // CELL
    return np.asarray(values.reshape(rows, CELL, columns, CELL).mean(axis=(1, 3)), np.float64)


def _crisp(S: Float, arcmin: float) -> np.ndarray:
    """(R, C) whether fine detail is crisp, of just-noticeable steps of working pixels."""
    from scipy.ndimage import convolve, convolve1d

    mean = _cells(S)
    share = pooled(np.ones_like(mean))

    def joined(values: Float) -> Float:
        """With the neighbours, as the scan does it: the pixels of one are few to tell grain by."""
        return np.asarray(pooled(_cells(values)) / share)

    energy = np.zeros((*mean.shape, BANDS))
    level = S
    for band in range(_FINE_BANDS):
        blurred = level
        for axis in range(2):
            blurred = convolve1d(blurred, np.array([1.0, 4.0, 6.0, 4.0, 1.0]) / 16.0, axis=axis)
        apart = (level - blurred) ** 2
        full = apart.repeat(2**band, 0).repeat(2**band, 1)[: S.shape[0], : S.shape[1]]
        energy[..., band] = joined(full)
        level = blurred[::2, ::2]
    mask = np.outer([1.0, -2.0, 1.0], [1.0, -2.0, 1.0])
    grain = np.sqrt(np.pi / 2.0) / 6.0 * joined(np.abs(convolve(S, mask)))  # Immerkaer 1996
    floor = detail.grain_floor(energy, grain, np.ones_like(mean), mean)
    fine, _, beside = detail.visibility(energy, floor, mean, arcmin, REFERENCE_WHITE_CD_M2)
    return np.asarray((fine >= FINE_FROM) & (fine >= detail.SKIRT * beside))
