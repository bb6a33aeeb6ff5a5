"""How far the shadows of a photograph must be lifted for one stock in one room, and its strong
colours eased in, and no further."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar

from proofing.engine import NODES_RESTING, Engine
from proofing.findings.kinds import Kind
from proofing.findings.regions import LEAST_SHARE
from proofing.findings.scan import working_factor
from proofing.findings.words import share_in_words, stops_in_words
from proofing.language import tr
from proofing.printing import MOST_LIFT_STOPS, ColourEase, Correction
from proofing.proof.looking import Job, arcmin_of
from proofing.request import ProofRequest

LIFT_STEP_STOPS = 0.25
"""A quarter of a stop is the least that a photographer sets."""
HELD = 0.1
"""Share of what was blocked that may stay blocked: what is left lies at the edge of what shows."""
WORTH = LEAST_SHARE
"""Share of the picture from which it is lifted for: less is no finding either."""
ENOUGH = 0.0005
"""Share of the picture that may stay blocked in any case."""

EASE_STEP = 5
"""Percent; no one sees less of it."""
_EASE_COARSE = 25  # percent tried first
HELPS = 0.6
"""Strong colours are eased in if that leaves at most this share of what was flattened."""

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
    field: ClassVar[str] = "shadow_lift"

    @property
    def amount(self) -> float:
        """What the setting of that name is to be."""
        return self.stops

    @property
    def is_enough(self) -> bool:
        """Whether most of what was blocked shows."""
        return self.after <= max(HELD * self.before, ENOUGH)

    @property
    def sentence(self) -> str:
        """What it brings, for people."""
        if self.stops == 0.0 and self.before > 0.0:
            return tr(
                "The shadows need no lift on this print: too little is blocked to lift for, "
                "{before} of the picture.",
                before=share_in_words(self.before),
            )
        if self.stops == 0.0:
            return tr("The shadows need no lift on this print: what is in the file shows.")
        if self.is_enough and share_in_words(self.after) == share_in_words(self.before):
            return tr(
                "Shadows lifted by {stops}: what little was blocked shows, {before} of the "
                "picture.",
                stops=stops_in_words(self.stops),
                before=share_in_words(self.before),
            )
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
        The print; a lift that it has is left out.
    cancel, progress
        Asked and told between the lifts.

    Raises
    ------
    Cancelled
        `cancel` said so.
    """
    steps = round(MOST_LIFT_STOPS / LIFT_STEP_STOPS)
    own = request.correction or Correction(request.photograph.encoding)
    known: dict[int, float] = {}
    blocked = _counted(
        engine,
        request,
        Kind.BLOCKED_SHADOWS,
        lambda step: own.with_lift(step * LIFT_STEP_STOPS),
        known,
        cancel,
        lambda count: None if progress is None else progress(min(count / 5.0, 1.0)),
    )
    before = blocked(0)
    enough = max(HELD * before, ENOUGH)
    if before <= WORTH:
        return LiftNeeded(0.0, before, before)
    low, high = 0, steps
    if blocked(high) > enough:
        best = min(range(1, steps + 1), key=lambda step: (round(blocked(step), 6), step))
        return LiftNeeded(best * LIFT_STEP_STOPS, before, known[best])
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if blocked(middle) <= enough else (middle, high)
    return LiftNeeded(high * LIFT_STEP_STOPS, before, known[high])


@dataclass(frozen=True)
class EaseNeeded:
    """The least easing that gives strong colours their modelling back.

    Attributes
    ----------
    percent
        0 where none is needed, or none helps.
    before, after
        Share of the picture whose strong colours are flattened without it, and with it.
    """

    percent: float
    before: float
    after: float
    field: ClassVar[str] = "colour_ease"

    @property
    def amount(self) -> float:
        """What the setting of that name is to be."""
        return self.percent

    @property
    def is_enough(self) -> bool:
        """Whether most of what was flattened shows."""
        return self.after <= max(HELD * self.before, ENOUGH)

    @property
    def sentence(self) -> str:
        """What it brings, for people."""
        before, after = share_in_words(self.before), share_in_words(self.after)
        if self.percent == 0.0 and self.before <= ENOUGH:
            return tr(
                "Strong colours need no easing on this print: their modelling shows. That they "
                "print duller, where they do, no easing helps; another stock may."
            )
        if self.percent == 0.0:
            return tr(
                "Easing strong colours in does not help this print, {before} of the picture stays "
                "flattened: what is lost there are its darks, or it lies too far out. Black point "
                "compensation, more light or another stock may help.",
                before=before,
            )
        if self.is_enough:
            return tr(
                "Strong colours eased in by {percent:g} %: {after} of the picture is flattened "
                "instead of {before}.",
                percent=self.percent,
                after=after,
                before=before,
            )
        return tr(
            "Strong colours eased in by {percent:g} %, which helps most and is not enough: {after} "
            "of the picture stays flattened, {before} was. Another stock helps more.",
            percent=self.percent,
            after=after,
            before=before,
        )


def ease_needed_for(
    engine: Engine,
    request: ProofRequest,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> EaseNeeded:
    """The least easing with which the modelling of strong colours shows on a print.

    Counted as the findings do, against the colours that the file asks for: colours that this
    correction itself drew into one would count. More of it does not always show more, so quarters
    are tried first, and then what lies before the first that is enough.

    Parameters
    ----------
    engine, request
        The print; an easing that it has is left out.
    cancel, progress
        Asked and told between the tries.

    Raises
    ------
    Cancelled
        `cancel` said so.
    """
    encoding = request.photograph.encoding
    own = request.correction or Correction(encoding)
    known: dict[int, float] = {}

    def eased(percent: int) -> Correction:
        ease = ColourEase(encoding, request.stock, request.rendering, percent / 100.0)
        return own.with_ease(ease if percent else None)

    flat = _counted(
        engine,
        request,
        Kind.FLATTENED_COLOUR,
        eased,
        known,
        cancel,
        lambda count: None if progress is None else progress(min(count / 7.0, 1.0)),
    )
    before = flat(0)
    enough = max(HELD * before, ENOUGH)
    if before <= ENOUGH or encoding.kind == "grey":
        return EaseNeeded(0.0, before, before)
    high = next((p for p in range(_EASE_COARSE, 101, _EASE_COARSE) if flat(p) <= enough), None)
    if high is None:
        best = min(known, key=lambda percent: (round(known[percent], 6), percent))
        helps = known[best] <= HELPS * before
        return (
            EaseNeeded(float(best), before, known[best])
            if helps
            else (EaseNeeded(0.0, before, before))
        )
    low = high - _EASE_COARSE
    while high - low > EASE_STEP:
        middle = (low + high) // (2 * EASE_STEP) * EASE_STEP
        low, high = (low, middle) if flat(middle) <= enough else (middle, high)
    return EaseNeeded(float(high), before, known[high])


def _counted(
    engine: Engine,
    request: ProofRequest,
    kind: Kind,
    correction: Callable[[int], Correction],
    known: dict[int, float],
    cancel: Cancel | None,
    told: Callable[[int], None],
) -> Callable[[int], float]:
    """The share of the picture that is lost with a correction of so many steps, counted once each,
    on a copy as fine as the eye resolves."""
    job = Job(engine, request, cancel)
    factor = working_factor(arcmin_of(request, request.photograph))
    copy = request.photograph.level(int(math.log2(factor)))

    def share(step: int) -> float:
        if step not in known:
            asked = dataclasses.replace(request, correction=correction(step))
            scanned, maps = job.scan(asked, copy, NODES_RESTING, once=True)
            total = max(float(scanned.pixels.sum()), 1.0)
            known[step] = float(sum(loss.lost.sum() for loss in maps if loss.kind is kind)) / total
            told(len(known))
        return known[step]

    return share
