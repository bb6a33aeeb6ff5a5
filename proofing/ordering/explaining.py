"""From a proof to what the sheet for the customer says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from proofing.findings.advice import Action
from proofing.findings.finding import Finding
from proofing.findings.kinds import Kind
from proofing.findings.words import share_in_words
from proofing.language import speech, tr
from proofing.ordering import explaining_words as words
from proofing.ordering.comparison_words import ratio_in_words
from proofing.ordering.explanation import Change, Explanation, Place, Run, Standing
from proofing.ordering.lengths import distance_text, size_text
from proofing.ordering.pictures import Pictures, for_srgb
from proofing.ordering.size import Fineness
from proofing.ordering.size_words import distance_in_words, size_in_words
from proofing.ordering.surface_detail import surface_detail
from proofing.proof import MOST_FINDINGS, Proof

_CONTRAST_OF_SCREEN = 200.0
"""White to black of a screen with some light of the room on it (from memory)."""
LEAST_BEYOND = 0.005
"""Share of the print that sRGB cannot show, from which on it is told."""


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
    is_wrapped
        Whether the print goes round a bar, so that no paper is seen beside it.
    may_shrink
        See :func:`.size_words.distance_in_words`.
    sheet
        What of the sheet that is ordered is seen, folded and trimmed; '' where it is the print.
    """

    sentence: tuple[Run, ...]
    date: str
    note: str = ""
    screen: str = ""
    notes: tuple[str, ...] = ()
    delta_E: str = ""
    inches: bool = False
    is_wrapped: bool = False
    may_shrink: bool = True
    sheet: str = ""


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
    told_of = findings_told(proof, kinds)
    places = tuple(_as_place(number, finding) for number, finding in enumerate(told_of, start=1))
    lift = words.correction_sentence(request)
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
        on_paper=not told.is_wrapped,
        verdict=proof.verdict,
        places=places,
        shares=words.shares_sentence([(kind, proof.share(kind)) for kind in words.LOSSES]),
        done=tuple(
            said for said in (lift or _nothing_done(), words.rendering_sentence(request)) if said
        ),
        changes=() if before is None or not lift else _changes(before, proof),
        size=tuple(
            said
            for said in (
                size_in_words(fineness, inches=told.inches),
                told.sheet,
                distance_in_words(fineness, inches=told.inches, may_shrink=told.may_shrink),
                surface_detail(request.stock.surface.kind).in_words(fineness.ppi),
            )
            if said
        ),
        screen=tuple(
            said
            for said in (told.screen or _alike(proof), _contrast(proof), _stronger(proof))
            if said
        ),
        standings=_standings(proof),
        footnotes=_footnotes(told, places),
        cautions=words.cautions_of(request),
        language=(speech().language or "en").replace("_", "-"),
        origin_px=request.photograph.origin,
    )


def findings_told(proof: Proof, kinds: frozenset[Kind]) -> tuple[Finding, ...]:
    """The findings that a sheet numbers, in its order."""
    return tuple(proof.shown(kinds & frozenset(words.LOSSES))[:MOST_FINDINGS])


def _as_place(number: int, finding: Finding) -> Place:
    return Place(
        number,
        finding.kind,
        finding.region.where,
        finding.region.share,
        words.place_title(finding),
        words.place_sentence(finding),
        _helps(finding),
        finding.region.box,
        finding.region.outlines,
    )


def _helps(finding: Finding) -> tuple[str, ...]:
    """The best that would help, and what the file can do for it where that is something else."""
    # a file made duller to be printed as it asks helps no customer
    advice = [each for each in finding.advice if each.action is not Action.SATURATION]
    corrections = [
        each
        for each in advice[1:]
        if each.action in (Action.LIFT, Action.EASE) and each.setting is not None
    ]
    return tuple(each.sentence for each in (*advice[:1], *corrections[:1]))


def _nothing_done() -> str:
    return tr("No correction is set: the file is printed as it is.")


def _changes(before: Proof, after: Proof) -> tuple[Change, ...]:
    """The losses that there are, with or without the correction."""
    found = (
        Change(kind, tr(title), before.share(kind), after.share(kind))
        for kind, title in words.LOSSES.items()
        # what the file had lost stays; what is asked for beyond the paper is more once it is lifted
        if kind not in (Kind.CLIPPED_IN_FILE, Kind.OUT_OF_GAMUT)
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


def _contrast(proof: Proof) -> str:
    """How deep the print's black is, '' where it is about as deep as a screen's."""
    ratio = proof.baked.contrast
    if ratio >= _CONTRAST_OF_SCREEN:
        return ""
    return tr(
        "Bare paper to the deepest black of this print is {ratio} in this room; a screen has "
        "several hundred to 1 (typical), and beside it the print looks flatter.",
        ratio=ratio_in_words(ratio),
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
    names_it = any("ΔE00" in said for place in places for said in (place.sentence, *place.helps))
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
