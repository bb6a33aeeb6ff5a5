"""What a proof says: findings, shares, the screen beside the print, a verdict."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from proofing.engine import Baked
from proofing.findings.cover import MARKED_FROM
from proofing.findings.finding import Finding, KindShare
from proofing.findings.kinds import Kind
from proofing.findings.stage import Stage
from proofing.proof.lamp import LampShift
from proofing.proof.verdict import NO_TOTALS, Totals
from proofing.request import ProofRequest
from proofing.screen import ScreenAgainstPrint

MOST_FINDINGS = 8
"""No more places than this are pointed at; the rest is summed up."""
SCREEN_OFF_STOPS = 1.0 / 3.0
"""A screen's white further than this from the print's paper white stands above all findings."""


@dataclass(frozen=True, eq=False)
class Proof:
    """What is lost, where, and what would save it.

    Attributes
    ----------
    baked
        The tables that carry pixels to the screen.
    stage
        How far it has come.
    findings
        The worst first, at most :data:`MOST_OF_A_KIND` of each kind.
    marks
        Every kind over the whole picture, in their order.
    maps
        (R, C) share of each cell's pixels that is lost, 0..1, by kind.
    cell_px
        Side of a cell in pixels of the file.
    screen
        The screen's white against the print's paper.
    lamp
        What the lamp does to the picture's colours.
    pending
        Kinds that are not known yet at this stage.
    verdict
        One line for the whole picture.
    totals
        What it was told from besides the shares.
    """

    baked: Baked
    stage: Stage
    findings: tuple[Finding, ...]
    marks: tuple[KindShare, ...]
    maps: Mapping[Kind, npt.NDArray[np.float32]] = field(repr=False)
    cell_px: int
    screen: ScreenAgainstPrint
    lamp: LampShift
    verdict: str
    pending: frozenset[Kind] = frozenset()
    totals: Totals = NO_TOTALS

    @property
    def request(self) -> ProofRequest:
        """What was asked."""
        return self.baked.request

    def share(self, kind: Kind) -> float:
        """Share of the picture that one kind takes, 0..1."""
        return next(found.share for found in self.marks if found.kind is kind)

    @property
    def is_complete(self) -> bool:
        """Whether nothing more will be known."""
        return self.stage is Stage.COMPLETE

    def shown(self, kinds: Collection[Kind]) -> tuple[Finding, ...]:
        """The findings of some kinds to be pointed at, at most :data:`MOST_FINDINGS`."""
        return tuple(f for f in self.findings if f.kind in kinds)[:MOST_FINDINGS]

    def bears(self, kind: Kind, row: int, column: int) -> bool:
        """Whether a pixel of the file lies in a cell that bears a mark."""
        share = self.maps[kind][row // self.cell_px, column // self.cell_px]
        return bool(share >= MARKED_FROM)

    @property
    def screen_is_off(self) -> bool:
        """Whether the screen's white is too far from the paper's to judge darkness by eye."""
        return abs(self.screen.stops) > SCREEN_OFF_STOPS
