"""The sheet for the customer that explains a print: all that stands on it, as one frozen value.

Nothing here draws: :class:`Explanation` holds sentences, places and pixels, and becomes JSON by
:meth:`Explanation.as_dict`. Pages are made of it by a program that has type.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from proofing.findings.finding import Finding
from proofing.findings.kinds import Kind
from proofing.findings.words import share_in_words
from proofing.language import speech, tr
from proofing.ordering import explaining_words as words
from proofing.ordering.lengths import distance_text, size_text
from proofing.ordering.pictures import Pictures, for_srgb
from proofing.ordering.size import Fineness
from proofing.ordering.size_words import distance_in_words, size_in_words
from proofing.ordering.surface_detail import surface_detail
from proofing.proof import MOST_FINDINGS, Proof

Float = npt.NDArray[np.float64]
Run = tuple[str, bool]
"""Words, and whether they are a phrase that was chosen."""

LEAST_BEYOND = 0.005
"""Share of the print that sRGB cannot show, from which on it is told."""


@dataclass(frozen=True, eq=False)
class Place:
    """A numbered place where something is lost.

    Attributes
    ----------
    number
        From 1 on; it stands beside the outline in both pictures.
    kind, where, share
        What, where, and of how much of the picture, 0..1.
    title, sentence
        What it is, and what one will see.
    help
        What would still help, '' where nothing is known.
    box
        (x, y, width, height) in pixels of the file.
    outlines
        Closed lines, (N, 2) x and y in pixels of the file.
    """

    number: int
    kind: Kind
    where: str
    share: float
    title: str
    sentence: str
    help: str
    box: tuple[int, int, int, int]
    outlines: tuple[Float, ...] = field(repr=False)


@dataclass(frozen=True)
class Change:
    """One loss without the correction, and with it; shares of the picture, 0..1."""

    kind: Kind
    title: str
    before: float
    after: float


@dataclass(frozen=True)
class Standing:
    """What stands behind a part of the sheet: the thing, how well it is known, and its source."""

    title: str
    words: str
    source: str = ""


@dataclass(frozen=True, eq=False)
class Explanation:
    """All that a sheet says.

    Attributes
    ----------
    title, subtitle
        The photograph's name; stock and size.
    date
        As it is printed.
    note
        A line from the technician to the customer; may be ''.
    sentence
        The setting, in the words that head every report.
    picture_px
        Width and height of the file.
    pictures
        Photograph and print.
    captions
        Of the two.
    verdict
        One line for the whole picture.
    places, shares
        What is lost: numbered places, the worst first, and a sentence on all the rest.
    done, changes
        What was done about it, and what it changed.
    size, screen
        Sentences.
    standings
        What is typical, and what is measured.
    footnotes
        What words and pictures mean.
    cautions
        What to mind.
    language
        Such as ``en`` or ``de-CH``.
    """

    title: str
    subtitle: str
    date: str
    note: str
    sentence: tuple[Run, ...]
    picture_px: tuple[int, int]
    pictures: Pictures
    captions: tuple[str, str]
    verdict: str
    places: tuple[Place, ...]
    shares: str
    done: tuple[str, ...]
    changes: tuple[Change, ...]
    size: tuple[str, ...]
    screen: tuple[str, ...]
    standings: tuple[Standing, ...]
    footnotes: tuple[str, ...]
    cautions: tuple[str, ...]
    language: str

    def as_dict(self) -> dict[str, Any]:
        """All but the pixels, ready for JSON; boxes and outlines in pixels of the file."""
        return {
            "title": self.title,
            "subtitle": self.subtitle,
            "date": self.date,
            "note": self.note,
            "language": self.language,
            "sentence": "".join(text for text, _ in self.sentence),
            "picture_px": list(self.picture_px),
            "captions": list(self.captions),
            "verdict": self.verdict,
            "places": [_place(place) for place in self.places],
            "shares": self.shares,
            "done": list(self.done),
            "changes": [
                {
                    "kind": change.kind.value, "title": change.title,
                    "before": change.before, "after": change.after,
                }
                for change in self.changes
            ],
            "size": list(self.size),
            "screen": list(self.screen),
            "standings": [
                {"title": one.title, "words": one.words, "source": one.source}
                for one in self.standings
            ],
            "footnotes": list(self.footnotes),
            "cautions": list(self.cautions),
        }  # fmt: skip


def _place(place: Place) -> dict[str, Any]:
    return {
        "number": place.number,
        "kind": place.kind.value,
        "where": place.where,
        "share": place.share,
        "title": place.title,
        "sentence": place.sentence,
        "help": place.help,
        "box": list(place.box),
        "outlines": [
            [[round(float(v), 1) for v in point] for point in line] for line in place.outlines
        ],
    }


@dataclass(frozen=True)
class Told:
    """What a program says itself, beside what follows from a proof.

    Attributes
    ----------
    sentence, date, note
        As :class:`Explanation` has them.
    screen
        How a screen stands to the print; '' for nothing to tell.
    notes
        Sentences on the file or the stock that a person should read.
    delta_E
        What ΔE00 means.
    inches
        Whether lengths are told in inches.
    """

    sentence: tuple[Run, ...]
    date: str
    note: str = ""
    screen: str = ""
    notes: tuple[str, ...] = ()
    delta_E: str = ""
    inches: bool = False


def explain(
    proof: Proof,
    pictures: Pictures,
    told: Told,
    *,
    kinds: frozenset[Kind] = frozenset(Kind),
    before: Proof | None = None,
) -> Explanation:
    """The sheet of a proof.

    Parameters
    ----------
    proof
        Scanned at least; with advice, each place says what would still help.
    pictures
        See :func:`proofing.ordering.pictures.pictures_of`.
    told
        What the program says.
    kinds
        Losses that may be numbered; those of a screen or of a later correction never are.
    before
        The proof of the same print without its correction.
    """
    request = proof.request
    facts = request.photograph.facts
    size = request.size
    assert size is not None and request.distance_m is not None  # filled in by the request itself
    size_mm = (size.width_mm, size.height_mm)
    fineness = Fineness((facts.width, facts.height), size_mm, request.distance_m)
    shown = proof.shown(kinds & frozenset(words.LOSSES))[:MOST_FINDINGS]
    places = tuple(_as_place(number, finding) for number, finding in enumerate(shown, start=1))
    lift = words.lift_sentence(request)
    return Explanation(
        title=request.photograph.name,
        subtitle=tr(
            "A print of {size} on {stock}, seen from {distance}",
            size=size_text(size_mm, told.inches),
            stock=tr(request.stock.name),
            distance=distance_text(request.distance_m, told.inches),
        ),
        date=told.date,
        note=" ".join(told.note.split()),
        sentence=told.sentence,
        picture_px=(facts.width, facts.height),
        pictures=pictures,
        captions=words.captions_of(request),
        verdict=proof.verdict,
        places=places,
        shares=words.shares_sentence([(kind, proof.share(kind)) for kind in words.LOSSES]),
        done=tuple(
            said for said in (lift or _nothing_done(), words.rendering_sentence(request)) if said
        ),
        changes=() if before is None or not lift else _changes(before, proof),
        size=(
            size_in_words(fineness, inches=told.inches),
            distance_in_words(fineness, inches=told.inches),
            surface_detail(request.stock.surface.kind).in_words(fineness.ppi),
        ),
        screen=tuple(said for said in (told.screen or _alike(proof), _stronger(proof)) if said),
        standings=_standings(proof),
        footnotes=_footnotes(told, places),
        cautions=words.cautions_of(request),
        language=(speech().language or "en").replace("_", "-"),
    )


def _as_place(number: int, finding: Finding) -> Place:
    return Place(
        number,
        finding.kind,
        finding.region.where,
        finding.region.share,
        words.place_title(finding),
        words.place_sentence(finding),
        finding.advice[0].sentence if finding.advice else "",
        finding.region.box,
        finding.region.outlines,
    )


def _nothing_done() -> str:
    return tr("No correction is set: the file is printed as it is.")


def _changes(before: Proof, after: Proof) -> tuple[Change, ...]:
    """The losses that there are, with or without the correction."""
    found = (
        Change(kind, tr(title), before.share(kind), after.share(kind))
        for kind, title in words.LOSSES.items()
        if kind is not Kind.CLIPPED_IN_FILE  # it is the file's, and stays
    )
    return tuple(change for change in found if max(change.before, change.after) > 0.0)


def _alike(proof: Proof) -> str:
    """Said where a screen is about as bright as the paper."""
    return tr(
        "A screen whose white is at {screen:.0f} cd/m² is about as bright as bare paper in this "
        "room, {paper:.0f} cd/m²: the two can be compared by eye.",
        screen=proof.screen.screen_cd_m2,
        paper=proof.screen.paper_cd_m2,
    )


def _stronger(proof: Proof) -> str:
    """That the pictures lack some colours of the print, '' where they do not."""
    is_srgb = for_srgb(proof.request) is proof.request  # or it is told of another screen
    beyond = proof.share(Kind.BEYOND_SCREEN)
    if not is_srgb or beyond <= LEAST_BEYOND:
        return ""
    return tr(
        "Some colours of the print, {share} of it, are stronger than any picture in sRGB: judge "
        "them on a test strip.",
        share=share_in_words(beyond),
    )


def _standings(proof: Proof) -> tuple[Standing, ...]:
    request = proof.request
    stock, room = request.stock, request.room
    light = room.light
    found = [
        Standing(
            tr("The paper, {name}", name=tr(stock.name)),
            words.stock_standing(request),
            tr(stock.provenance),
        ),
        Standing(
            tr("The light, {name}", name=tr(light.words or light.name)),
            tr("measured by whoever gave it.")
            if light.kind == "measured"
            else tr("a published or typical lamp of its kind, not the one that will hang there."),
            tr(light.provenance),
        ),
        Standing(tr("The light level"), words.light_level(request)),
    ]
    if not room.glazing.is_none:
        glazing = room.glazing
        found.append(
            Standing(
                tr("The pane, {name}", name=tr(glazing.name)),
                tr(
                    "lets {through:.0f} % of the light through and mirrors {reflected:.0f} %.",
                    through=100.0 * glazing.transmittance_D50,
                    reflected=100.0 * glazing.reflectance,
                ),
                tr(glazing.provenance),
            )
        )
    found.append(
        Standing(
            tr("What an eye sees"),
            tr("reckoned for a person of good sight, from published measurements of many."),
        )
    )
    return tuple(found)


def _footnotes(told: Told, places: Sequence[Place]) -> tuple[str, ...]:
    names_it = any("ΔE00" in place.sentence + place.help for place in places)
    return tuple(
        said
        for said in (
            *told.notes,
            told.delta_E if names_it else "",
            tr(
                "The pictures are made for a screen that follows sRGB. Printed on paper, this "
                "sheet shows places and words, not the colours of the print."
            ),
        )
        if said
    )
