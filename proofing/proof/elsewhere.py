"""What other stocks and other renderings would leave of a loss: each print is counted anew."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import Float
from proofing.engine import NODES_RESTING
from proofing.errors import ProfileError
from proofing.findings.advice import Action, Advice
from proofing.findings.finding import Finding
from proofing.findings.kinds import Kind
from proofing.findings.scan import working_factor
from proofing.findings.words import share_in_words
from proofing.language import mark, tr
from proofing.printing import ColourEase, Correction, Intent, Rendering, Stock
from proofing.proof.looking import Job, Progress, arcmin_of
from proofing.request import ProofRequest

WORTH_A_CHANGE = 0.6
"""Another stock, pane or intent is advised if it leaves at most this share of the loss."""

EASED_LEAVES = 0.2
"""Strong colours need not be eased in further than leaves this share of what was flattened."""


@dataclass(frozen=True, eq=False)
class _Place:
    """A place of one kind of loss: its cells in the scan, and its share of the picture, 0..1."""

    kind: Kind
    share: float
    cells: npt.NDArray[np.bool_]
    cell_px: int


@dataclass(frozen=True, eq=False)
class _Count:
    """What another print loses: (R, C) share of the picture in each cell, by kind.

    Where a print cannot be made there are no cells, and all is lost.
    """

    lost: dict[Kind, Float]
    cell_px: int

    def whole(self, kind: Kind) -> float:
        """Share of the picture, 0..1."""
        return float(self.lost[kind].sum()) if self.lost else math.inf

    def at(self, place: _Place) -> float:
        """Share of the picture that is lost in the cells of a place, 0..1."""
        if not self.lost:
            return math.inf
        lost = self.lost[place.kind]
        row, column = (
            np.minimum(((np.arange(count) + 0.5) * self.cell_px / place.cell_px).astype(int), most)
            for count, most in zip(lost.shape, np.array(place.cells.shape) - 1, strict=True)
        )
        return float(lost[place.cells[np.ix_(row, column)]].sum())


class Elsewhere:
    """What is lost on other stocks and with another rendering, each counted once.

    What helps is chosen by the whole picture, and told of the place that it is told beside: what is
    lost there now is the finding's own share, and what would then be is in proportion to it.
    """

    def __init__(self, job: Job, stocks: Sequence[Stock]) -> None:
        self.job = job
        self.stocks = stocks
        self.progress: Progress | None = None
        self._counts: dict[tuple[str, Rendering, float], _Count] = {}

    @staticmethod
    def place(finding: Finding, cell_px: int) -> _Place:
        """Where a finding is, in a scan of such cells."""
        return _Place(finding.kind, finding.region.share, finding.region.cells, cell_px)

    def _count(self, stock: Stock, rendering: Rendering, ease: float = 0.0) -> _Count:
        key = (stock.key, rendering, ease)
        if key not in self._counts:
            request = dataclasses.replace(
                self.job.request.on(stock),
                intent=rendering.intent,
                black_point_compensation=rendering.black_point_compensation,
            )
            if ease:
                own = request.correction or Correction(request.photograph.encoding)
                eased = ColourEase(own.encoding, stock, rendering, ease)
                request = dataclasses.replace(request, correction=own.with_ease(eased))
            try:
                self._counts[key] = self._counted(request)
            except ProfileError:  # a profile without the table of the intent: not to be advised
                self._counts[key] = _Count({}, 1)
            if self.progress is not None:
                self.progress(min(len(self._counts) / (len(self.stocks) + 2), 1.0))
        return self._counts[key]

    def _counted(self, request: ProofRequest) -> _Count:
        factor = working_factor(arcmin_of(request, request.photograph))
        copy = request.photograph.level(int(math.log2(factor)))
        scanned, maps = self.job.scan(request, copy, NODES_RESTING, once=True)
        total = max(float(scanned.pixels.sum()), 1.0)
        lost = {kind: np.zeros(scanned.pixels.shape) for kind in Kind}
        for loss in maps:
            if "bare" not in loss.numbers:
                lost[loss.kind] += loss.lost / total
        return _Count(lost, scanned.cell_px * copy.reduction)

    def _now(self) -> _Count:
        return self._count(self.job.request.stock, self.job.request.rendering)

    def _then(self, place: _Place, other: _Count) -> float | None:
        """Share of the picture that would still be lost at a place; None if it is not worth it."""
        now = self._now().at(place)
        if now <= 0.0:
            return None
        left = other.at(place) / now
        return left * place.share if left <= WORTH_A_CHANGE else None

    def stock(self, place: _Place) -> list[Advice]:
        """The stock on which least of a kind is lost."""
        kind, rendering = place.kind, self.job.request.rendering
        now = self._now().whole(kind)
        if not self.stocks or now <= 0.0:
            return []
        counts = [(self._count(stock, rendering), stock) for stock in self.stocks]
        best, stock = min(counts, key=lambda pair: pair[0].whole(kind))
        then = self._then(place, best)
        if best.whole(kind) > WORTH_A_CHANGE * now or then is None:
            return []
        return [
            Advice(
                Action.STOCK,
                tr(
                    "On {stock} it would be {best} of the picture here instead of {now}.",
                    stock=tr(stock.name),
                    best=share_in_words(then),
                    now=share_in_words(place.share),
                ),
                ("stock", stock.name),
                share=then,
            )
        ]

    def easing(self, place: _Place) -> list[Advice]:
        """Strong colours eased in, by the least quarter that leaves little of a loss."""
        request, kind = self.job.request, place.kind
        now = self._now().whole(kind)
        if now <= 0.0 or (request.correction is not None and request.correction.eases):
            return []
        best, quarter, found = now, 0.0, self._now()
        for share in (0.25, 0.5, 0.75, 1.0):
            eased = self._count(request.stock, request.rendering, share)
            left = eased.whole(kind)
            if left < 0.8 * best:
                best, quarter, found = left, share, eased
            if left <= EASED_LEAVES * now:
                break
        then = self._then(place, found)
        if best > WORTH_A_CHANGE * now or then is None:
            return []
        return [
            Advice(
                Action.EASE,
                tr(
                    "With strong colours eased in by {percent:.0f} % it would be {then} of the "
                    "picture here instead of {now}; hues and quiet colours stay.",
                    percent=100.0 * quarter,
                    then=share_in_words(then),
                    now=share_in_words(place.share),
                ),
                ("colour_ease", 100.0 * quarter),
                amount=100.0 * quarter,
                share=then,
            )
        ]

    def rendering(self, place: _Place) -> list[Advice]:
        """Another way to render, where it keeps more."""
        request, kind = self.job.request, place.kind
        now = self._now().whole(kind)
        if now <= 0.0:
            return []
        best: tuple[float, _Count, str, tuple[str, Any]] | None = None
        for (field, value), name in _RENDERINGS.items():
            # just what following the advice will set, and nothing else
            rendering = dataclasses.replace(request.rendering, **{field: value})
            if rendering == request.rendering:
                continue
            if field == "black_point_compensation" and request.intent is not Intent.RELATIVE:
                continue  # the intent is changed first
            count = self._count(request.stock, rendering)
            left = count.whole(kind)
            if left <= WORTH_A_CHANGE * now and (best is None or left < 0.8 * best[0]):
                best = left, count, name, (field, value)
        if best is None:
            return []
        _, count, name, setting = best
        then = self._then(place, count)
        if then is None:
            return []
        return [
            Advice(
                Action.INTENT,
                tr(
                    "{name} it would be {then} of the picture here instead of {now}.",
                    name=tr(name),
                    then=share_in_words(then),
                    now=share_in_words(place.share),
                ),
                setting,
                share=then,
            )
        ]


_RENDERINGS: dict[tuple[str, Any], str] = {
    ("black_point_compensation", True): mark("With black point compensation"),
    ("intent", Intent.PERCEPTUAL): mark("Rendered perceptual"),
    ("intent", Intent.RELATIVE): mark("Rendered relative colorimetric"),
}
