"""Which of many photographs a person should look at first, and why.

Each concern is a cost that was measured, such as a share of the picture. It has two thresholds,
from which it is *worth* a look and from which it *needs* one, and a weight, its most points. Its
points are ``weight * cost / (cost + needs)``: half of the weight at the second threshold, never
quite all of it. A photograph is classed by its gravest concern; within a class the points are
summed up, so that small concerns that come together stand before one that stands alone. What
cannot be read stands before everything.

>>> looked = triage({Concern.DETAIL: 0.06, Concern.PROFILE: 0.5})
>>> looked.grade.value, round(looked.points, 1), looked.gravest.value
('needs', 23.3, 'detail')
>>> triage({}).grade.value
'fine'
"""

from __future__ import annotations

import enum
import math
from collections.abc import Mapping
from dataclasses import dataclass

from proofing.findings.regions import LEAST_SHARE
from proofing.findings.words import share_in_words
from proofing.language import mark, numeral, tr
from proofing.proof.verdict import (
    DEGREES,
    LAMP_TURNS,
    LITTLE_LOST,
    MUCH_LOST,
    WEAK_SHARE,
    difference_in_words,
)


class Grade(enum.StrEnum):
    """Whether a person should look."""

    NEEDS = "needs"
    WORTH = "worth"
    FINE = "fine"

    @property
    def words(self) -> str:
        """For people."""
        return tr(_GRADES[self])

    @property
    def rank(self) -> int:
        """0 for what comes first."""
        return tuple(Grade).index(self)


_GRADES = {
    Grade.NEEDS: mark("needs a look"),
    Grade.WORTH: mark("worth a look"),
    Grade.FINE: mark("fine"),
}


class Concern(enum.StrEnum):
    """What a photograph is judged by, in the order in which equal ones are named."""

    UNREADABLE = "unreadable"
    EMPTY = "empty"
    ROOM = "room"
    DETAIL = "detail"
    COLOUR = "colour"
    CLIPPED = "clipped"
    UNSHARP = "unsharp"
    PROFILE = "profile"
    WEAKENED = "weakened"
    SPACE = "space"
    LAMP = "lamp"
    STEPS = "steps"
    STOCK = "stock"


@dataclass(frozen=True)
class Weight:
    """How much a concern counts.

    Attributes
    ----------
    weight
        Its most points.
    worth, needs
        Cost above which it is worth a look, and from which it needs one.
    unit
        Of the cost.
    reason
        Why there.
    in_percent
        Whether the cost is a share, so that people are told it in percent.
    """

    weight: float
    worth: float
    needs: float
    unit: str
    reason: str
    in_percent: bool = False

    def cost_in_words(self, cost: float) -> str:
        """A threshold as it is told.

        >>> WEIGHTS[Concern.DETAIL].cost_in_words(0.03), WEIGHTS[Concern.STOCK].cost_in_words(2.0)
        ('3 %', '2')
        """
        if math.isinf(cost):
            return tr("never")
        return numeral(f"{100.0 * cost:g} %" if self.in_percent else f"{cost:g}")


_NEVER = math.inf
CLEARLY_DIFFERENT = DEGREES[0][0]
"""dE00 from which the verdict calls colours clearly different."""

WEIGHTS: Mapping[Concern, Weight] = {
    Concern.EMPTY: Weight(
        30.0, 0.5, 1.0, mark("1 where it is so"),
        mark("A picture that is transparent all over was hardly meant."),
    ),
    Concern.ROOM: Weight(
        30.0, 0.5, 1.0, mark("1 where it is so"),
        mark("In a room too dark, or veiled by reflections, no print can be judged."),
    ),
    Concern.DETAIL: Weight(
        30.0, LEAST_SHARE, LITTLE_LOST, mark("share of the picture"),
        mark("What can no longer be seen is gone. From 0.1 % on there is a place to point at, from "
             "3 % on it shows, as in the verdict."),
        in_percent=True,
    ),
    Concern.COLOUR: Weight(
        14.0, LITTLE_LOST, 0.25, mark("share of the picture, at 4.5 ΔE00"),
        mark("The share out of gamut, counted as it would be if it missed by 4.5 ΔE00, from which "
             "colours are called clearly different. Told from 3 % on, as in the verdict; a quarter "
             "of the picture is its subject."),
        in_percent=True,
    ),
    Concern.CLIPPED: Weight(
        12.0, LITTLE_LOST, MUCH_LOST, mark("share of the picture"),
        mark("No stock brings it back, but the customer may have a better file. Told from 3 % on, "
             "as in the verdict."),
        in_percent=True,
    ),
    Concern.UNSHARP: Weight(
        12.0, 0.02, 0.5, mark("pixels missing on an inch, of those there are"),
        mark("What the distance asks for against what the file gives; at half as many again "
             "pixels begin to show (common practice)."),
        in_percent=True,
    ),
    Concern.PROFILE: Weight(
        10.0, 0.25, 1.0, mark("½ assumed, 1 damaged or of another kind"),
        mark("Without a profile the colours are a guess; one that cannot be used was put there "
             "for a reason."),
    ),
    Concern.WEAKENED: Weight(
        8.0, WEAK_SHARE, 0.25, mark("share of the picture"),
        mark("Detail at less than a quarter of its strength is there but flat. Told from 5 % on, "
             "as in the verdict."),
        in_percent=True,
    ),
    Concern.SPACE: Weight(
        6.0, LITTLE_LOST, 0.25, mark("share of the picture, at 4.5 ΔE00"),
        mark("Colours that the file for the lab cannot hold, counted as those out of gamut are."),
        in_percent=True,
    ),
    Concern.LAMP: Weight(
        5.0, LAMP_TURNS, 0.25, mark("share of the picture"),
        mark("Colours that the lamp turns. Told from 3 % on, as in the verdict."),
        in_percent=True,
    ),
    Concern.STEPS: Weight(
        4.0, LITTLE_LOST, 0.25, mark("share of the picture"),
        mark("Smooth gradients in few steps, where the shadows are lifted: steps may show."),
        in_percent=True,
    ),
    Concern.STOCK: Weight(
        4.0, 2.0, _NEVER, mark("points behind the best stock"),
        mark("Another stock suits better, and that is no close call. A choice is no fault, so it "
             "is never more than worth a look."),
    ),
}  # fmt: skip
"""The table of weights, the same for every photograph; where a number is not the verdict's or
common practice, it is ours."""

MOST_POINTS = sum(weight.weight for weight in WEIGHTS.values())
"""No photograph has as many."""


@dataclass(frozen=True)
class Looked:
    """How soon a person should look.

    Attributes
    ----------
    grade
        The class.
    points
        Within a class the most come first.
    costs
        By concern, those above 0.
    gravest
        The concern that counts most; None where there is none.
    """

    grade: Grade
    points: float
    costs: Mapping[Concern, float]
    gravest: Concern | None


UNREADABLE = Looked(Grade.NEEDS, MOST_POINTS, {Concern.UNREADABLE: 1.0}, Concern.UNREADABLE)
"""What could not be read, or could not be worked on."""


def triage(costs: Mapping[Concern, float]) -> Looked:
    """Class a photograph by its costs.

    Parameters
    ----------
    costs
        In the units of :data:`WEIGHTS`; what is left out is 0.
    """
    found = {c: float(costs[c]) for c in Concern if costs.get(c, 0.0) > 0.0}
    if Concern.UNREADABLE in found:
        return UNREADABLE
    points = {concern: _points(concern, cost) for concern, cost in found.items()}
    grades = {concern: grade_of(concern, cost) for concern, cost in found.items()}
    grade = min(grades.values(), key=lambda g: g.rank, default=Grade.FINE)
    graver = [concern for concern in found if grades[concern] is grade]
    gravest = max(graver, key=lambda concern: points[concern], default=None)
    return Looked(grade, sum(points.values()), found, gravest)


def grade_of(concern: Concern, cost: float) -> Grade:
    """The class of one concern alone."""
    weight = WEIGHTS[concern]
    if cost >= weight.needs:
        return Grade.NEEDS
    return Grade.WORTH if cost > weight.worth else Grade.FINE


def _points(concern: Concern, cost: float) -> float:
    weight = WEIGHTS[concern]
    if math.isinf(weight.needs):  # half of them at five times the first threshold
        return weight.weight * cost / (cost + 5.0 * weight.worth)
    return weight.weight * cost / (cost + weight.needs)


@dataclass(frozen=True)
class Missed:
    """How much of a picture has other colours than it should, and by how much.

    Attributes
    ----------
    share
        Of the picture, 0 to 1.
    delta_E_00
        Mean over that share.
    """

    share: float
    delta_E_00: float

    @property
    def cost(self) -> float:
        """The share that would be as bad at :data:`CLEARLY_DIFFERENT`."""
        return self.share * self.delta_E_00 / CLEARLY_DIFFERENT


def reason(looked: Looked, missed: Mapping[Concern, Missed] | None = None) -> str:
    """Why to look, in a sentence; for what is fine, that nothing stands out.

    Parameters
    ----------
    looked
        The photograph.
    missed
        Of its colours, what the costs stand for; else they are told as they are counted.

    Examples
    --------
    >>> colours = Missed(0.54, 5.4)
    >>> reason(triage({Concern.COLOUR: colours.cost}), {Concern.COLOUR: colours})
    '54 % of the picture prints in clearly different colours, by 5.4 ΔE00 on average.'
    """
    if looked.gravest is None or looked.grade is Grade.FINE:
        return tr("Nothing stands out.")
    cost = looked.costs[looked.gravest]
    if looked.gravest is Concern.PROFILE:
        return tr(_BROKEN if cost >= WEIGHTS[Concern.PROFILE].needs else _ASSUMED)
    off = (missed or {}).get(looked.gravest, Missed(cost, CLEARLY_DIFFERENT))
    return tr(
        _REASONS[looked.gravest],
        share=share_in_words(cost),
        times=1.0 + cost,
        points=cost,
        colours=share_in_words(off.share),
        degree=difference_in_words(off.delta_E_00),
        off=off.delta_E_00,
    )


_ASSUMED = mark("No profile says what its colours are: they are a guess.")
_BROKEN = mark("Its profile cannot be used: its colours are a guess.")
_REASONS = {
    Concern.UNREADABLE: mark("It could not be worked on."),
    Concern.EMPTY: mark("There is nothing in it but transparency."),
    Concern.ROOM: mark("This room is no place to judge this print in."),
    Concern.DETAIL: mark("Detail is lost in {share} of the picture."),
    Concern.COLOUR: mark("{colours} of the picture prints in {degree} colours, by {off:.1f} ΔE00 "
                         "on average."),
    Concern.CLIPPED: mark("{share} of the picture is clipped in the file."),
    Concern.UNSHARP: mark("It would need {times:.1f} times the pixels on an inch to be sharp from "
                          "its distance."),
    Concern.WEAKENED: mark("In {share} of the picture detail is there but flat."),
    Concern.SPACE: mark("The order file's space cuts colours off in {colours} of the picture, by "
                        "{off:.1f} ΔE00 on average."),
    Concern.LAMP: mark("This lamp changes the colours of {share} of the picture."),
    Concern.STEPS: mark("Lifted shadows may show steps in {share} of the picture."),
    Concern.STOCK: mark("Another stock suits it better, by {points:.0f} points."),
}  # fmt: skip
