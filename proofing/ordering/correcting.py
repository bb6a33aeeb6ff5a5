"""How far the shadows of a photograph must be lifted for one stock in one room, and no further."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from dataclasses import dataclass

from proofing.engine import NODES_RESTING, Engine
from proofing.findings.kinds import Kind
from proofing.findings.scan import working_factor
from proofing.findings.words import share_in_words, stops_in_words
from proofing.language import tr
from proofing.printing import MOST_LIFT_STOPS, shadow_lift
from proofing.proof.looking import Job, arcmin_of
from proofing.request import ProofRequest

LIFT_STEP_STOPS = 0.25
"""A quarter of a stop is the least that a photographer sets."""
HELD = 0.1
"""Share of what was blocked that may stay blocked: what is left lies at the edge of what shows."""
ENOUGH = 0.0005
"""Share of the picture under which nothing is lifted for."""

Cancel = Callable[[], bool]
Progress = Callable[[float], None]


@dataclass(frozen=True)
class LiftNeeded:
    """The least lift that gives visible steps back to the shadows.

    Attributes
    ----------
    stops
        0 where none is needed.
    before, after
        Share of the picture whose shadows are blocked without it, and with it.
    """

    stops: float
    before: float
    after: float

    @property
    def is_enough(self) -> bool:
        """Whether most of what was blocked shows."""
        return self.after <= max(HELD * self.before, ENOUGH)

    @property
    def sentence(self) -> str:
        """What it brings, for people."""
        if self.stops == 0.0:
            return tr("The shadows need no lift on this print: what is in the file shows.")
        if self.is_enough:
            return tr(
                "Shadows lifted by {stops}: {after} of the picture is blocked instead of {before}.",
                stops=stops_in_words(self.stops),
                after=share_in_words(self.after),
                before=share_in_words(self.before),
            )
        return tr(
            "Shadows lifted by {stops}, which helps most and is not enough: {after} of the "
            "picture stays blocked, {before} was. More light or another stock helps more.",
            stops=stops_in_words(self.stops),
            after=share_in_words(self.after),
            before=share_in_words(self.before),
        )


def lift_needed_for(
    engine: Engine,
    request: ProofRequest,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> LiftNeeded:
    """The least lift with which the shadows show on a print.

    Counted on a copy as fine as an eye at the viewing distance resolves. Lifts are tried by
    halving, as more of it shows the more of the shadows.

    Parameters
    ----------
    engine, request
        The print; a correction that it has is left out.
    cancel, progress
        Asked and told between the lifts.

    Raises
    ------
    Cancelled
        `cancel` said so.
    """
    job = Job(engine, request, cancel)
    factor = working_factor(arcmin_of(request, request.photograph))
    copy = request.photograph.level(int(math.log2(factor)))
    known: dict[int, float] = {}
    steps = round(MOST_LIFT_STOPS / LIFT_STEP_STOPS)

    def blocked(step: int) -> float:
        if step not in known:
            encoding = request.photograph.encoding
            correction = shadow_lift(encoding, step * LIFT_STEP_STOPS) if step else None
            asked = dataclasses.replace(request, correction=correction)
            scanned, maps = job.scan(asked, copy, NODES_RESTING, once=True)
            total = max(float(scanned.pixels.sum()), 1.0)
            lost = (loss.lost.sum() for loss in maps if loss.kind is Kind.BLOCKED_SHADOWS)
            known[step] = float(sum(lost)) / total
            if progress is not None:
                progress(min(len(known) / 5.0, 1.0))
        return known[step]

    before = blocked(0)
    enough = max(HELD * before, ENOUGH)
    if before <= ENOUGH:
        return LiftNeeded(0.0, before, before)
    low, high = 0, steps
    if blocked(high) > enough:
        best = min(range(1, steps + 1), key=lambda step: (round(blocked(step), 6), step))
        return LiftNeeded(best * LIFT_STEP_STOPS, before, known[best])
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if blocked(middle) <= enough else (middle, high)
    return LiftNeeded(high * LIFT_STEP_STOPS, before, known[high])
