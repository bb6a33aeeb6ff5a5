"""Which stock suits this picture in this room: all stocks, measured alike, in an order."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from proofing.colorimetry import PCS_WHITE_XYZ, Float, XYZ_to_Lab, delta_E_00
from proofing.engine import NODES_RESTING, Cancel, Engine, ends_in_room
from proofing.errors import Cancelled, PhotographError, ProfileError
from proofing.findings.kinds import Kind
from proofing.findings.losses import loss_maps
from proofing.findings.scan import Scan, reference_display_cd_m2
from proofing.language import tr
from proofing.ordering.character import Character, character_of
from proofing.ordering.comparison import Comparison, Contrast, Glare, StockResult
from proofing.ordering.ranking import (
    marks_of,
    mirrored_ratio,
    score,
    standing,
    suitability,
)
from proofing.ordering.sample import Sample, sample_of, scan_blocks
from proofing.printing import Stock
from proofing.proof.looking import Progress
from proofing.request import ProofRequest
from proofing.viewing.room import print_weights

ENDS = (0.5, 99.5)
"""Percentiles of luminance that count as the picture's darkest and lightest tone (common practice:
single pixels are no tones)."""
_CHUNK = 8192  # colours between two looks at `cancel`


class _Ends(NamedTuple):
    """XYZ of the picture's darkest and lightest tone, and their ratio on the reference display."""

    XYZ: Float
    file: float


class Comparer:
    """Compares; what was done before it was called off is kept.

    What does not depend on the stock, the sample, the colours in it and the picture's character, is
    worked out once.

    Parameters
    ----------
    engine
        Bakes; the file's side of its caches is used, nothing is put into the others.
    request
        The setting.
    stocks
        What could be chosen; the request's own is compared with them.
    """

    def __init__(self, engine: Engine, request: ProofRequest, stocks: Sequence[Stock]) -> None:
        self.engine = engine
        self.request = request
        own = [] if any(stock.key == request.stock.key for stock in stocks) else [request.stock]
        self.stocks = (*stocks, *own)
        self._sample: Sample | None = None
        self._XYZ: Float | None = None
        self._ends: _Ends | None = None
        self._character: Character | None = None
        self._found: dict[str, StockResult | str] = {}

    def compare(self, cancel: Cancel | None = None, progress: Progress | None = None) -> Comparison:
        """Measure what is not measured yet, and put all in order.

        Parameters
        ----------
        cancel
            As for :meth:`Engine.bake`.
        progress
            Told the share done, 0..1.

        Raises
        ------
        Cancelled
            `cancel` said so.
        PhotographError
            There is nothing in the picture but transparency.
        """
        self._prepare(cancel)
        keys = list(dict.fromkeys(stock.key for stock in self.stocks))
        for stock in self.stocks:
            if stock.key in self._found:
                continue
            if cancel is not None and cancel():
                raise Cancelled(tr("the work was called off because a newer request replaced it"))
            done = len(self._found)

            def tell(part: float, done: int = done) -> None:
                if progress is not None:
                    progress((done + part) / len(keys))

            try:
                self._found[stock.key] = self._measured(stock, cancel, tell)
            except ProfileError as error:  # it lacks the table of the intent
                self._found[stock.key] = str(error)
            tell(1.0)
        return self.so_far()

    @property
    def measured(self) -> int:
        """How many stocks have been measured, or found to be impossible."""
        return len(self._found)

    def so_far(self) -> Comparison:
        """What has been measured until now, in order; also to be asked from `progress`.

        Marks do not depend on the other stocks: a row that is there only moves down when a better
        one is measured.
        """
        return self._in_order()

    def _prepare(self, cancel: Cancel | None) -> None:
        if self._ends is not None:
            return
        sample = sample_of(self.request)
        if cancel is not None and cancel():
            raise Cancelled(tr("the work was called off because a newer request replaced it"))
        if not len(sample.colours):
            raise PhotographError(
                tr("there is nothing in this picture but transparency; choose another"),
                self.request.photograph.path,
            )
        XYZ = self.request.photograph.encoding.to_XYZ(sample.colours)
        Y = np.clip(np.percentile(XYZ[:, 1], ENDS), 0.0, 1.0)
        low, high = reference_display_cd_m2(Y)
        self._sample, self._XYZ = sample, XYZ
        self._ends = _Ends(Y[:, None] * PCS_WHITE_XYZ, float(high / low))

    def _measured(self, stock: Stock, cancel: Cancel | None, progress: Progress) -> StockResult:
        assert self._sample is not None and self._ends is not None
        request = self.request.on(stock)
        lattice = self.engine.bake_scan(request, NODES_RESTING, cancel, self._sample.codes)
        progress(0.3)
        scanned = scan_blocks(
            self._sample, lattice, request.gamut_tolerance, self.engine.workers, cancel,
            lambda done: progress(0.3 + 0.6 * done),
        )  # fmt: skip
        if self._character is None:
            self._character = character_of(request.photograph, self._sample, lattice, scanned)
        shares, bare, weakened = shares_of(scanned, float(request.room.white_XYZ_cd_m2[1]))
        off, out_of_gamut = self._off(request, cancel)
        if not self._sample.is_whole:  # single pixels tell it better than blocks do
            shares[Kind.OUT_OF_GAMUT] = out_of_gamut
        return StockResult(
            stock=stock,
            shares=shares,
            bare=bare,
            weakened=weakened,
            delta_E_mean=float(off.mean()),
            delta_E_95=float(np.percentile(off, 95)),
            contrast=self._contrast(request),
            glare=glare_of(request),
            suits=suitability(stock.surface.kind, self._character),
        )

    def _off(self, request: ProofRequest, cancel: Cancel | None) -> tuple[Float, float]:
        """dE00 of the sampled colours, and the share of them that is out of gamut."""
        XYZ = self._XYZ
        assert XYZ is not None
        off, out = np.empty(len(XYZ)), 0
        for start in range(0, len(XYZ), _CHUNK):
            if cancel is not None and cancel():
                raise Cancelled(tr("the work was called off because a newer request replaced it"))
            part = slice(start, start + _CHUNK)
            mapped = self.engine.map_colours(request, XYZ[part])
            off[part] = delta_E_00(XYZ_to_Lab(mapped.wanted), XYZ_to_Lab(mapped.printed))
            out += int(np.count_nonzero(mapped.miss > request.gamut_tolerance))
        return off, out / len(XYZ)

    def _contrast(self, request: ProofRequest) -> Contrast:
        assert self._ends is not None
        without = dataclasses.replace(request.room, reflection_ratio=0.0)
        paper, black = ends_in_room(request.stock, request.room)
        own_paper, own_black = ends_in_room(request.stock, without)
        low, high = self.engine.printed_luminance(request, self._ends.XYZ)
        return Contrast(
            in_room=float(paper[1] / black[1]),
            own=float(own_paper[1] / own_black[1]),
            picture=float(max(high / low, 1.0)),
            file=self._ends.file,
        )

    def _in_order(self) -> Comparison:
        assert self._sample is not None
        measured, left_out = [], []
        for stock in self.stocks:
            found = self._found.get(stock.key)
            if found is None:
                continue
            if isinstance(found, str):
                left_out.append((stock, found))
                continue
            marks = marks_of(found.costs)
            measured.append(
                dataclasses.replace(found, stock=stock, marks=marks, score=score(marks))
            )
        measured.sort(key=lambda result: -result.score)
        ranked = [
            result if n == 0
            else dataclasses.replace(result, standing=standing(measured[n - 1].marks, result.marks))
            for n, result in enumerate(measured)
        ]  # fmt: skip
        character = self._character or Character(0.0, 0.0, 0.0, 0.0)
        return Comparison(
            self.request, character, tuple(ranked), tuple(left_out), self._sample.share
        )


def compare(
    engine: Engine,
    request: ProofRequest,
    stocks: Sequence[Stock],
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> Comparison:
    """Compare stocks for one picture in one room; parameters and errors as :class:`Comparer`."""
    return Comparer(engine, request, stocks).compare(cancel, progress)


def glare_of(request: ProofRequest) -> Glare:
    """The veil of a room's reflections over a stock; in a dim or dark room there is little."""
    room, surface = request.room, request.stock.surface
    k = mirrored_ratio(room)
    veiled = dataclasses.replace(room, reflection_ratio=k)
    veil = float(print_weights(veiled, surface).veil_XYZ[1])
    pane = k * room.glazing.reflectance * float(room.white_XYZ_cd_m2[1])
    paper, _ = ends_in_room(request.stock, dataclasses.replace(room, reflection_ratio=0.0))
    return Glare(k, veil, veil / float(paper[1]), min(pane / veil, 1.0) if veil > 0.0 else 0.0)


def shares_of(scanned: Scan, white_cd_m2: float) -> tuple[dict[Kind, float], float, float]:
    """Shares lost by kind, of bare paper, and of weakened detail."""
    total = max(float(scanned.pixels.sum()), 1.0)
    shares, bare, weakened = dict.fromkeys(Kind, 0.0), 0.0, 0.0
    for loss in loss_maps(scanned, white_cd_m2):
        lost = float(loss.lost.sum()) / total
        if "bare" in loss.numbers:
            bare += lost
        else:
            shares[loss.kind] += lost
        if "weak" in loss.numbers:
            weakened += float(loss.numbers["weak"].sum()) / total
    return shares, bare, weakened
