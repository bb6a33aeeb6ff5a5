"""How stocks are put in order: criteria, their weights and the reasons, ties.

Each criterion is a cost that was measured, such as a share of the picture or a colour difference.
Its mark is ``1 / (1 + cost / halved)``: 1 where nothing is lost, a half at a stated cost, never
quite 0. The score is the weighted sum of the marks, 0 to 100. There is no perfect stock: the score
only puts the table in an order, the table says what each gives and takes.
"""

from __future__ import annotations

import enum
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from proofing.findings.sight import BACKGROUND
from proofing.language import mark
from proofing.ordering.character import Character, Trait
from proofing.viewing import Room


class Criterion(enum.StrEnum):
    """What stocks are compared by."""

    DETAIL = "detail"
    WEAKENED = "weakened"
    COLOUR = "colour"
    WORST_COLOUR = "worst_colour"
    CONTRAST = "contrast"
    GLARE = "glare"
    SURFACE = "surface"


@dataclass(frozen=True)
class Weight:
    """How much a criterion counts.

    Attributes
    ----------
    weight
        Points of 100.
    halved
        Cost at which half of them are left.
    unit
        Of the cost.
    reason
        Why so much, and why there.
    """

    weight: float
    halved: float
    unit: str
    reason: str


WEIGHTS: Mapping[Criterion, Weight] = {
    Criterion.DETAIL: Weight(
        25.0, 0.03, mark("share of the picture"),
        mark("What cannot be seen in this room is gone from this print of it. From 3 % "
             "on a loss shows, as in the verdict."),
    ),
    Criterion.WEAKENED: Weight(
        8.0, 0.05, mark("share of the picture"),
        mark("Detail at less than a quarter of its strength is there but flat. It is told from "
             "5 % on, as in the verdict."),
    ),
    Criterion.COLOUR: Weight(
        14.0, 2.0, "ΔE00",
        mark("The whole picture's colour is what a customer compares. 1 is just noticeable side "
             "by side, 2 is seen by anyone (common practice)."),
    ),
    Criterion.WORST_COLOUR: Weight(
        8.0, 4.5, "ΔE00",
        mark("The worst twentieth is often the subject, a flower or a dress. From 4.5 on colours "
             "are called clearly different, as in the verdict."),
    ),
    Criterion.CONTRAST: Weight(
        20.0, 1.0, mark("stops"),
        mark("Depth is what is seen first across a room (common practice). One stop is half of "
             "the picture's contrast."),
    ),
    Criterion.GLARE: Weight(
        15.0, 0.01, mark("of bare paper"),
        mark("Where the room is mirrored the picture is not seen as printed. A veil of 1 % of "
             "paper is as bright as a black of density 2, and doubles it."),
    ),
    Criterion.SURFACE: Weight(
        10.0, 1.0, mark("of 1"),
        mark("How a surface suits a kind of picture is common practice and partly taste: no stock "
             "has more than a tenth of its points by it."),
    ),
}  # fmt: skip
"""The table of weights; the same for every picture and room. They were set by their reasons."""

CLOSE_CALL = 0.2
"""An order that turns when each weight may be a fifth larger or smaller is a close call: nobody
knows weights better than that (common practice)."""
TIED_WITHIN = 1.0
"""Points of 100 within which two stocks are called equal."""

SUITS: Mapping[str, Mapping[Trait, float]] = {
    "matte": dict(zip(Trait, (1.0, 0.45, 0.50, 0.80), strict=True)),
    "textured matte": dict(zip(Trait, (0.95, 0.40, 0.45, 0.50), strict=True)),
    "canvas": dict(zip(Trait, (0.75, 0.30, 0.40, 0.25), strict=True)),
    "semi-gloss": dict(zip(Trait, (0.55, 0.85, 0.90, 0.85), strict=True)),
    "gloss": dict(zip(Trait, (0.35, 1.00, 1.00, 1.00), strict=True)),
}
"""How a surface suits close tones, deep shadows, saturated colours and fine texture, 0 to 1; common
practice: fog and soft tones suit matte; rich, contrasty pictures suit baryta and gloss; relief and
weave stand before fine texture. The order is the trade's, the figures between are ours."""
PLAIN = 0.1
"""Of the traits' shares: a picture without any marked trait goes on every surface alike..."""
PLAIN_SUITS = 0.7
"""...and so well."""


def mirrored_ratio(room: Room) -> float:
    """What a surface in this room mirrors to someone who does not stand in the best place.

    Returns
    -------
    float
        k as in :class:`~proofing.viewing.Room`. What is set there, but at least what the room
        beyond sends back from anywhere: its brightness by the reflectance of the print's own wall,
        or by a grey world's where that is lighter. In a dim or dark room, where a spot lights the
        print alone, that is next to nothing: gloss keeps its black under directional light.
    """
    return max(room.reflection_ratio, max(room.wall_reflectance, BACKGROUND) * room.surround_ratio)


def suitability(kind: str, character: Character) -> float:
    """How a surface suits a picture, 0 to 1: the mean of :data:`SUITS` by the traits' shares."""
    weights = {trait: character.share(trait) for trait in Trait}
    total = sum(weights.values()) + PLAIN
    suits = sum(SUITS[kind][trait] * weight for trait, weight in weights.items())
    return (suits + PLAIN * PLAIN_SUITS) / total


def marks_of(costs: Mapping[Criterion, float]) -> dict[Criterion, float]:
    """Marks, 0..1, of costs; of the surface the cost is what it lacks of suiting."""
    marks = {c: 1.0 / (1.0 + max(costs[c], 0.0) / w.halved) for c, w in WEIGHTS.items()}
    marks[Criterion.SURFACE] = 1.0 - min(max(costs[Criterion.SURFACE], 0.0), 1.0)
    return marks


def score(marks: Mapping[Criterion, float]) -> float:
    """Points of 100."""
    return sum(w.weight * marks[c] for c, w in WEIGHTS.items())


class Standing(enum.StrEnum):
    """How sure it is that a stock stands behind another."""

    TIED = "tied"
    CLOSE = "close"
    BEHIND = "behind"


def standing(before: Mapping[Criterion, float], after: Mapping[Criterion, float]) -> Standing:
    """How the stock with the marks `after` stands to the one with `before`."""
    parts = [w.weight * (before[c] - after[c]) for c, w in WEIGHTS.items()]
    ahead = sum(parts)
    if abs(ahead) < TIED_WITHIN:
        return Standing.TIED
    return Standing.CLOSE if ahead < CLOSE_CALL * sum(map(abs, parts)) else Standing.BEHIND


def gains(
    one: Mapping[Criterion, float], other: Mapping[Criterion, float], least: float = 1.0
) -> Sequence[Criterion]:
    """Criteria in which `one` has at least so many points more than `other`, the most first."""
    points = {c: w.weight * (one[c] - other[c]) for c, w in WEIGHTS.items()}
    return sorted((c for c in points if points[c] >= least), key=lambda c: -points[c])
