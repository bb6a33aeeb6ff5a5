"""Proves in steps: a glance, a scan, advice."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

from proofing.engine import NODES_MOVING, NODES_RESTING, Cancel, Engine
from proofing.findings.stage import Stage
from proofing.photograph import Photograph
from proofing.printing import Stock
from proofing.proof.advising import Adviser
from proofing.proof.looking import Job, Looked, Progress
from proofing.proof.result import Proof
from proofing.request import ProofRequest
from proofing.viewing import Glazing

PROVISIONAL_PIXELS = 600_000
"""A reduced copy of at most so many pixels tells what to expect."""


def prove(
    engine: Engine,
    request: ProofRequest,
    *,
    stocks: Sequence[Stock] = (),
    glazings: Sequence[Glazing] = (),
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> Proof:
    """Scan a picture, find what is lost, and work out what would help.

    Parameters
    ----------
    engine
        Bakes; its caches are used.
    request
        The setting.
    stocks, glazings
        What could be chosen instead.
    cancel
        As for :meth:`Engine.bake`.
    progress
        Told the share done, 0..1.

    Raises
    ------
    Cancelled
        `cancel` said so.
    """
    prover = Prover(engine, request, stocks, glazings)
    prover.scan(cancel, None if progress is None else lambda done: progress(0.7 * done))
    return prover.advise(
        cancel, None if progress is None else lambda done: progress(0.7 + 0.3 * done)
    )


class Prover:
    """Proves in two steps, each of which can be called off and begun again.

    Parameters
    ----------
    engine, request, stocks, glazings
        As for :func:`prove`.
    """

    def __init__(
        self,
        engine: Engine,
        request: ProofRequest,
        stocks: Sequence[Stock] = (),
        glazings: Sequence[Glazing] = (),
    ) -> None:
        self.request = request
        self._job = Job(engine, request)
        self._looked: Looked | None = None
        self._adviser = Adviser(self._job, stocks, glazings)

    def scan(self, cancel: Cancel | None = None, progress: Progress | None = None) -> Proof:
        """Scan every pixel; the findings are without advice."""
        self._job.cancel = cancel
        self._looked = self._job.look(
            self.request.photograph, NODES_RESTING, Stage.SCANNED, progress
        )
        return self._looked.proof

    def advise(self, cancel: Cancel | None = None, progress: Progress | None = None) -> Proof:
        """Work out what would help. What was computed before it was called off is kept."""
        if self._looked is None:
            self.scan(cancel)
        looked = self._looked
        assert looked is not None
        self._job.cancel = cancel
        findings = self._adviser.advise(looked, progress)
        return dataclasses.replace(looked.proof, findings=findings, stage=Stage.COMPLETE)


def glance(engine: Engine, request: ProofRequest, cancel: Cancel | None = None) -> Proof:
    """A provisional proof, from a reduced copy and a coarse table, in a fraction of a second.

    Parameters as for :func:`prove`. Detail finer than the copy's pixels is not in it, and there is
    no advice.
    """
    small = _small(request.photograph, PROVISIONAL_PIXELS)
    return Job(engine, request, cancel).look(small, NODES_MOVING, Stage.PROVISIONAL).proof


def _small(photograph: Photograph, most: int) -> Photograph:
    level = 0
    while (photograph.width >> level) * (photograph.height >> level) > most:
        level += 1
    return photograph.level(level)
