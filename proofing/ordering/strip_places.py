"""Which parts of a photograph go on a test strip: where most is lost, and where nothing is.

Everything is weighed on the cells of the proof's scan. A window is weighed by a tent, so that what
it was chosen for lies in its middle.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import Float, XYZ_to_Lab
from proofing.findings.kinds import Kind
from proofing.findings.regions import place_in_words
from proofing.ordering.strip import Box, Place, Role
from proofing.photograph import Photograph, unit_codes
from proofing.photograph.photograph import OPAQUE_FROM
from proofing.proof import Proof

KINDS = (
    Kind.BLOCKED_SHADOWS,
    Kind.FLATTENED_COLOUR,
    Kind.BLOWN_HIGHLIGHTS,
    Kind.OUT_OF_GAMUT,
)
"""What the print loses, in the order in which it goes on the strip."""
WORTH_A_CROP = 0.01
"""Share of a crop's pixels that must be lost for it to show the loss."""
WORTH_A_WORD = 0.02
"""Share of a crop below which nothing is said to be lost in it."""

_EXTREME = 0.2  # the darkest fifth is where the darkest detail is looked for
_DETAIL_L = 1.0  # spread of L* within a cell that counts as full detail
_MID_L, _MID_SPREAD = 58.0, 14.0
_CALM_L = 8.0  # spread of L* within a cell from which it is no mid-tone but glitter
_SKIN_HUE, _HUE_SPREAD = 55.0, 25.0  # degrees; L*, C* and hue of skin are from memory
_SKIN_C, _C_SPREAD = 22.0, 12.0
_OF_SKIN = 0.7  # what being like skin counts for a mid-tone
_FULL = 0.999  # of a window's cells that must be opaque, as far as there are such windows
_INSTEAD = {
    Role.DARKEST: (Kind.BLOCKED_SHADOWS,),
    Role.STRONGEST: (Kind.FLATTENED_COLOUR, Kind.OUT_OF_GAMUT),
    Role.LIGHTEST: (Kind.BLOWN_HIGHLIGHTS,),
}
"""What is printed where nothing of these kinds is lost."""


@dataclass(frozen=True, eq=False)
class _Cells:
    """A photograph on the cells of a scan, (R, C) each."""

    opaque: Float  # share of pixels
    L: Float
    C: Float
    hue: Float  # degrees
    detail: Float  # standard deviation of L*


class PlaceFinder:
    """Finds the places of a strip for crops of any size.

    Parameters
    ----------
    photograph
        The whole picture.
    proofs
        One for each stock, of the same photograph at the same size and distance.
    """

    def __init__(self, photograph: Photograph, proofs: Sequence[Proof]) -> None:
        self.photograph = photograph
        self.proofs = tuple(proofs)
        self._cell_px = proofs[0].cell_px
        self._cells = _cells_of(photograph, self._cell_px, proofs[0].maps[Kind.OUT_OF_GAMUT].shape)
        self._maps = {
            kind: np.maximum.reduce([proof.maps[kind] for proof in proofs]).astype(np.float64)
            for kind in KINDS
        }
        self._lost = np.maximum.reduce(list(self._maps.values()))

    def places(self, width_px: int, height_px: int, count: int) -> tuple[Place, ...]:
        """The places for crops of a size: what is lost first, the reference last.

        Parameters
        ----------
        width_px, height_px
            Of a crop.
        count
            How many at most; of several, one is the reference.

        Returns
        -------
        tuple of Place
            None of them overlaps another; empty where nothing of the picture is opaque.
        """
        window = _Window(self.photograph, self._cell_px, width_px, height_px, self._cells.opaque)
        found: list[Place] = []
        reserve = 1 if count > 1 else 0
        for kind, weight in self._losses():
            if len(found) < count - reserve:
                box = window.best(weight, found)
                if box is not None and self._share(kind, box) >= WORTH_A_CROP:
                    found.append(Place(Role.LOST, kind, box, self._where(box)))
        lost = {place.kind for place in found}
        for role, instead_of in _INSTEAD.items():
            if len(found) < count - reserve and not lost & set(instead_of):
                box = window.best(self._extreme(role), found)
                if box is not None:
                    found.append(Place(role, None, box, self._where(box)))
        if len(found) < count:
            box = window.best(self._reference(), found)
            if box is not None:
                found.append(Place(Role.REFERENCE, None, box, self._where(box)))
        order = {kind: number for number, kind in enumerate(KINDS)}
        losses = [place for place in found if place.kind is not None]
        losses.sort(key=lambda place: order[place.kind])  # type: ignore[index]
        return (*losses, *(place for place in found if place.kind is None))

    def lost_in(self, box: Box, stock: int) -> dict[Kind, float]:
        """Share of a crop's pixels that one stock loses, by kind, the most first.

        Parameters
        ----------
        box
            In pixels of the photograph.
        stock
            Number of the proof.
        """
        shares = {
            kind: float(self._of(self.proofs[stock].maps[kind], box).mean()) for kind in KINDS
        }
        told = {kind: share for kind, share in shares.items() if share >= WORTH_A_WORD}
        return dict(sorted(told.items(), key=lambda pair: -pair[1]))

    def is_like_skin(self, box: Box) -> bool:
        """Whether most of a crop has about the hue and chroma of skin."""
        return bool(self._of(self._skin(), box).mean() > 0.5)

    def _losses(self) -> Iterator[tuple[Kind, Float]]:
        """Every kind's findings: the worst of each kind, then the second of each, and so on."""
        ranked: dict[Kind, list[tuple[float, Float]]] = {kind: [] for kind in KINDS}
        for proof in self.proofs:
            for finding in proof.findings:
                if finding.kind in ranked:
                    weight = np.where(finding.region.cells, proof.maps[finding.kind], 0.0)
                    ranked[finding.kind].append((finding.rank, weight.astype(np.float64)))
        for found in ranked.values():
            found.sort(key=lambda pair: -pair[0])
        for turn in range(max((len(found) for found in ranked.values()), default=0)):
            for kind, found in ranked.items():
                if turn < len(found):
                    yield kind, found[turn][1]

    def _extreme(self, role: Role) -> Float:
        """How much each cell shows of the darkest, lightest or most colourful detail."""
        cells = self._cells
        value = {Role.DARKEST: -cells.L, Role.LIGHTEST: cells.L, Role.STRONGEST: cells.C}[role]
        seen = cells.opaque > 0.5
        if not seen.any():
            return np.zeros_like(value)
        bound, end = np.quantile(value[seen], [1.0 - _EXTREME, 1.0])
        reach = np.clip((value - bound) / max(end - bound, 1e-6), 0.0, 1.0)
        return np.where(seen, reach * (0.1 + np.clip(cells.detail / _DETAIL_L, 0.0, 1.0)), 0.0)

    def _skin(self) -> Float:
        cells = self._cells
        off = (cells.hue - _SKIN_HUE + 180.0) % 360.0 - 180.0
        near: Float = np.exp(-((off / _HUE_SPREAD) ** 2) - ((cells.C - _SKIN_C) / _C_SPREAD) ** 2)
        return near

    def _reference(self) -> Float:
        """How good a cell is to see what a correction does where nothing is lost."""
        cells = self._cells
        middle = np.exp(-(((cells.L - _MID_L) / _MID_SPREAD) ** 2) - (cells.detail / _CALM_L) ** 2)
        good = middle * (1.0 - _OF_SKIN + _OF_SKIN * self._skin()) * cells.opaque
        weight: Float = 0.01 + good - 2.0 * np.minimum(self._lost, 1.0)
        return weight

    def _share(self, kind: Kind, box: Box) -> float:
        return float(self._of(self._maps[kind], box).mean())

    def _of(self, cells: npt.NDArray[Any], box: Box) -> npt.NDArray[Any]:
        """The cells that a box touches."""
        px = self._cell_px
        return cells[box.top // px : -(-box.bottom // px), box.left // px : -(-box.right // px)]

    def _where(self, box: Box) -> str:
        inside = np.zeros(self._lost.shape, bool)
        self._of(inside, box)[...] = True
        return place_in_words(inside, np.ones(inside.shape))


class _Window:
    """Where a crop of one size can lie."""

    def __init__(
        self, photograph: Photograph, cell_px: int, width_px: int, height_px: int, opaque: Float
    ) -> None:
        self._picture = (photograph.width, photograph.height)
        self._cell_px = cell_px
        self._sides = (min(width_px, photograph.width), min(height_px, photograph.height))
        self._tent = tuple(_tent(side / cell_px) for side in self._sides)
        rows, columns = opaque.shape
        width, height = self._sides
        self._left = _starts(columns, cell_px, width, photograph.width)
        self._top = _starts(rows, cell_px, height, photograph.height)
        filled = self._weighed(opaque)
        whole = self._weighed(np.ones_like(opaque))
        share = filled / np.maximum(whole, 1e-12)
        self._allowed = share >= _FULL * share.max() if share.max() > 0.0 else share > 0.0

    def _weighed(self, cells: Float) -> Float:
        from scipy.ndimage import convolve1d

        across, down = self._tent
        summed = convolve1d(cells, down, axis=0, mode="constant")
        return np.asarray(convolve1d(summed, across, axis=1, mode="constant"))

    def best(self, weight: Float, taken: Sequence[Place]) -> Box | None:
        """Where a window holds most, clear of those taken; None where there is no room."""
        score = np.where(self._allowed, self._weighed(weight), -np.inf)
        width, height = self._sides
        for place in taken:
            box = place.box
            rows = (self._top < box.bottom) & (self._top + height > box.top)
            columns = (self._left < box.right) & (self._left + width > box.left)
            score[np.ix_(rows, columns)] = -np.inf
        row, column = np.unravel_index(int(np.argmax(score)), score.shape)
        if not np.isfinite(score[row, column]):
            return None
        return Box(int(self._left[column]), int(self._top[row]), width, height)


def _tent(cells: float) -> Float:
    """Weights over a window's side: 1 in the middle, falling to its ends."""
    half = max(1, round(cells / 2.0))
    weights: Float = 1.0 - np.abs(np.arange(-half, half + 1)) / (half + 1.0)
    return weights


def _starts(cells: int, cell_px: int, side: int, length: int) -> npt.NDArray[np.int64]:
    """First pixel of a window about the middle of each cell, kept within the picture."""
    middles = (np.arange(cells) + 0.5) * cell_px
    starts = np.clip(np.rint(middles - side / 2.0), 0, length - side)
    return np.asarray(starts, dtype=np.int64)


def _cells_of(photograph: Photograph, cell_px: int, shape: tuple[int, ...]) -> _Cells:
    """Colours of a reduced copy with a few pixels in each cell, gathered by cells."""
    level = photograph.level(max(0, (cell_px // 2).bit_length() - 1))
    scale = level.reduction
    rows = np.minimum(np.arange(level.height) * scale // cell_px, shape[0] - 1)
    columns = np.minimum(np.arange(level.width) * scale // cell_px, shape[1] - 1)
    size = shape[0] * shape[1]
    sums = np.zeros((6, size))
    step = max(1, 2**18 // level.width)
    for first in range(0, level.height, step):
        codes = unit_codes(np.asarray(level.codes[first : first + step])).reshape(-1, 3)
        Lab = XYZ_to_Lab(photograph.encoding.to_XYZ(codes))
        cover = np.ones(len(Lab))
        if level.alpha is not None:
            cover = (level.alpha[first : first + step] >= OPAQUE_FROM).ravel().astype(np.float64)
        cell = (rows[first : first + step, None] * shape[1] + columns).ravel()
        values = (np.ones(len(Lab)), cover, *(cover * Lab.T), cover * Lab[:, 0] ** 2)
        for number, value in enumerate(values):
            sums[number] += np.bincount(cell, value, size)
    pixels, opaque, L, a, b, squares = (each.reshape(shape) for each in sums)
    seen = np.maximum(opaque, 1.0)
    L, a, b = L / seen, a / seen, b / seen
    return _Cells(
        opaque=opaque / np.maximum(pixels, 1.0),
        L=L,
        C=np.hypot(a, b),
        hue=np.degrees(np.arctan2(b, a)),
        detail=np.sqrt(np.maximum(squares / seen - L**2, 0.0)),
    )
