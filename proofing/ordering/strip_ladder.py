"""The corrections that are laid side by side on a test strip."""

from __future__ import annotations

from collections.abc import Sequence

from proofing.errors import SettingError
from proofing.language import tr
from proofing.ordering.correcting import LIFT_STEP_STOPS
from proofing.ordering.strip import MOST_RUNGS, Rung, StripOrder
from proofing.ordering.strip_words import ease_phrase, lift_phrase
from proofing.printing import MOST_LIFT_STOPS, ColourEase, Correction, shadow_lift
from proofing.request import ProofRequest

BEYOND_STOPS = 0.5
"""The ladder goes so much further than what is needed: too much must be seen to be known."""
_NONE_NEEDED = (0.0, 0.5, 1.0)


def ladder(request: ProofRequest, wanted: StripOrder, lifts: Sequence[float]) -> tuple[Rung, ...]:
    """The steps, from nothing to most; the request's own lift is among them.

    Where the print has a curve of one's own or eased colours, each lift comes on top of these; and
    each easing on top of a curve or a lift.

    Parameters
    ----------
    request
        The large print.
    wanted
        Its lifts, or its easings, are taken where it has any.
    lifts
        What each stock needs, stops.

    Raises
    ------
    SettingError
        A lift or an easing that is not possible.
    """
    rungs = _eases(request, wanted.eases) if wanted.eases else _lifts(request, wanted, lifts)
    if len(rungs) > MOST_RUNGS:
        raise SettingError(
            "eases" if wanted.eases else "lifts",
            len(rungs) - 1,
            tr(
                "give at most {most} here: beside them stands the print as it is or as set",
                most=MOST_RUNGS - 1,
            ),
        )
    return rungs


def _lifts(request: ProofRequest, wanted: StripOrder, lifts: Sequence[float]) -> tuple[Rung, ...]:
    encoding = request.photograph.encoding
    stops = sorted(set(wanted.lifts)) if wanted.lifts else lifts_about(lifts)
    rungs = [
        Rung(lift_phrase(lift), shadow_lift(encoding, lift) if lift else None, lift)
        for lift in stops
    ]
    own = request.correction
    base = None if own is None else own.with_lift(0.0)
    if base is not None and not base.is_none:  # a curve or eased colours: lifts come on top
        plain = Rung(lift_phrase(0.0), None, None)
        return plain, *(Rung(_phrase(base, lift), base.with_lift(lift), lift) for lift in stops)
    if own is not None and not any(rung.correction == own for rung in rungs):
        rungs.append(Rung(wanted.as_set or tr("corrected as set"), own, None))
    return tuple(rungs)


def _phrase(base: Correction, lift: float) -> str:
    said = [tr("curve as set")] if base.own else []
    said += [tr("colours eased in")] if base.eases else []
    said += [lift_phrase(lift)] if lift else []
    return ", ".join(said)


def _eases(request: ProofRequest, eases: Sequence[float]) -> tuple[Rung, ...]:
    encoding = request.photograph.encoding
    if encoding.kind == "grey":
        raise SettingError(
            "eases",
            ",".join(f"{percent:g}" for percent in eases),
            tr("a grey photograph has no colours to be eased in; use lifts"),
        )
    own = request.correction or Correction(encoding)
    percents = set(eases) if own.ease is None else {*eases, round(100.0 * own.ease.share, 6)}
    base = own.with_ease(None)
    tones = "" if base.is_none else _phrase(base, base.lift_stops)
    rungs = [Rung(lift_phrase(0.0), None, None)] if tones else []
    for percent in sorted(percents):
        ease = ColourEase(encoding, request.stock, request.rendering, percent / 100.0)
        made = base.with_ease(ease if percent else None)
        said = [tones] if tones else []
        said += [ease_phrase(percent)] if percent or not tones else []
        rungs.append(Rung(", ".join(said), None if made.is_none else made, None, percent))
    return tuple(rungs)


def lifts_about(needed: Sequence[float]) -> tuple[float, ...]:
    """Lifts around those that are needed, in quarters of a stop.

    Parameters
    ----------
    needed
        Of each stock, stops.

    Examples
    --------
    >>> lifts_about([1.0]), lifts_about([0.75, 0.25]), lifts_about([0.0])
    ((0.0, 0.5, 1.0, 1.5), (0.0, 0.25, 0.75, 1.25), (0.0, 0.5, 1.0))
    """
    wanted = {lift for lift in needed if lift > 0.0}
    if not wanted:
        return _NONE_NEEDED
    most = max(wanted)
    found = {0.0, *wanted, min(most + BEYOND_STOPS, MOST_LIFT_STOPS)}
    if len(wanted) == 1 and most > LIFT_STEP_STOPS:
        found.add(round(most / 2.0 / LIFT_STEP_STOPS) * LIFT_STEP_STOPS)
    return tuple(sorted(found))
