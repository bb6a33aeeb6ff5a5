"""What a test strip says: on the sheet, and of the sheet."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from proofing.findings.kinds import Kind
from proofing.findings.words import share_in_words, stops_in_words
from proofing.language import filled, listed, mark, tr
from proofing.ordering.correcting import EaseNeeded, LiftNeeded
from proofing.ordering.lengths import number, size_text
from proofing.ordering.spaces import space_name
from proofing.ordering.strip import Place, Role, Rung, StripOrder, StripPlan
from proofing.ordering.strip_blocks import Page
from proofing.ordering.strip_wedge import wedge_L
from proofing.printing import Stock
from proofing.request import ProofRequest
from proofing.viewing import Light

Needed = LiftNeeded | EaseNeeded
AS_IT_IS = mark("as it is")
_LOST = {
    Kind.BLOCKED_SHADOWS: mark("{share} is blocked shadows"),
    Kind.FLATTENED_COLOUR: mark("{share} is flattened colour"),
    Kind.BLOWN_HIGHLIGHTS: mark("{share} is blown highlights"),
    Kind.OUT_OF_GAMUT: mark("{share} is out of gamut"),
}
_ROLES = {
    Role.DARKEST: mark("the darkest detail, {where}"),
    Role.STRONGEST: mark("the strongest colours, {where}"),
    Role.LIGHTEST: mark("the lightest detail, {where}"),
}


@dataclass(frozen=True)
class Seen:
    """What the places of a strip are for one stock.

    Attributes
    ----------
    lost_in
        Share of a place that is lost as it is, by kind.
    is_like_skin
        Whether a place has about the colours of skin.
    """

    lost_in: Callable[[Place], Mapping[Kind, float]]
    is_like_skin: Callable[[Place], bool]


def lift_phrase(stops: float) -> str:
    """What a lift is called in a ladder.

    >>> lift_phrase(0.0), lift_phrase(0.5)
    ('as it is', 'shadows lifted by 0.5 stops')
    """
    if stops == 0.0:
        return tr(AS_IT_IS)
    return tr("shadows lifted by {stops}", stops=stops_in_words(stops))


def ease_phrase(percent: float) -> str:
    """What an easing of strong colours is called in a ladder.

    >>> ease_phrase(0.0), ease_phrase(40.0)
    ('as it is', 'strong colours eased in by 40 %')
    """
    if percent == 0.0:
        return tr(AS_IT_IS)
    return tr("strong colours eased in by {percent:g} %", percent=percent)


def stock_words(stock: Stock) -> str:
    """A stock's name, and whether its values are typical."""
    name = tr(stock.name)
    return tr("{stock} (typical values)", stock=name) if stock.typical else name


def light_words(light: Light) -> str:
    """A light with its colour temperature."""
    words = tr(light.words or light.name)
    return words if words.endswith(" K") else f"{words}, {round(light.cct_K / 50) * 50} K"


def page_before(
    request: ProofRequest, wanted: StripOrder, ppi: float, file_name: str, rungs: Sequence[Rung]
) -> Page:
    """What is known of a sheet's texts before the print is looked at; see :func:`page_of`."""
    L = wedge_L(wanted.destination)
    return Page(
        heading=tr(
            "Test strip: {photograph} on {stock}",
            photograph=request.photograph.name,
            stock=stock_words(request.stock),
        ),
        paragraphs=(_purpose(request, ppi), _file(wanted, ppi, file_name)),
        instruction=tr(
            "Print at 100 %: no resizing, no automatic corrections, no sharpening, on {stock}.",
            stock=tr(request.stock.name),
        ),
        rungs=tuple(rung.phrase for rung in rungs),
        needed=None,
        titles=lambda places: ("",) * len(places),
        wedge=tr(
            "Grey wedge without any correction: {steps} equal steps of L* (CIE 1976, D50) in "
            "{space}, from paper white at {white:.0f} to black at {black:.0f}.",
            steps=len(L),
            space=space_name(wanted.destination),
            white=L[0],
            black=L[-1],
        ),
        scale=tr(
            "This scale is {cm:.0f} cm long. If it measures otherwise on paper, the sheet was "
            "resized: have it printed again at 100 %."
        ),
        L=L,
    )


def page_of(
    request: ProofRequest,
    wanted: StripOrder,
    ppi: float,
    file_name: str,
    rungs: Sequence[Rung],
    need: Needed,
    seen: Seen,
) -> Page:
    """The texts of one sheet.

    Parameters
    ----------
    request
        The large print; its stock is the sheet's.
    wanted
        Sheet, space, date.
    ppi
        Of the large print.
    file_name
        Of the strip.
    rungs
        The ladder.
    need
        What the print needs.
    seen
        Its places.
    """
    before = page_before(request, wanted, ppi, file_name, rungs)
    purpose, file = before.paragraphs
    needed = needed_rung(rungs, need)
    return replace(
        before,
        paragraphs=(purpose, _how_to_judge(need, rungs), file),
        rungs=tuple(
            _marked(phrase, need) if number == needed else phrase
            for number, phrase in enumerate(before.rungs)
        ),
        needed=needed,
        titles=lambda places: tuple(
            _title(number, place, seen) for number, place in enumerate(places, start=1)
        ),
    )


def needed_rung(rungs: Sequence[Rung], need: Needed) -> int | None:
    """Which step of a ladder is what a print needs, None where none is."""
    if isinstance(need, EaseNeeded):
        return next((n for n, rung in enumerate(rungs) if rung.percent == need.percent), None)
    return next((n for n, rung in enumerate(rungs) if rung.stops == need.stops), None)


def _marked(phrase: str, need: Needed) -> str:
    """The phrase of what a print needs, and that it does."""
    if need.amount == 0.0:
        if isinstance(need, EaseNeeded):
            return tr("{phrase}, no easing is needed", phrase=phrase)
        return tr("{phrase}, no lift is needed", phrase=phrase)
    if not need.is_enough:
        return tr("{phrase}, what helps most", phrase=phrase)
    return tr("{phrase}, what this print needs", phrase=phrase)


def _purpose(request: ProofRequest, ppi: float) -> str:
    assert request.size is not None
    size = request.size
    return tr(
        "For the print of {size} at {ppi} ppi, to hang under {light} at {lux} lx behind {glazing}. "
        "The crops are as large as in it.",
        size=size_text((size.width_mm, size.height_mm)),
        ppi=number(ppi, 2),
        light=light_words(request.room.light),
        lux=number(request.room.illuminance_lux),
        glazing=tr(request.room.glazing.name),
    )


def need_in_words(need: Needed, rungs: Sequence[Rung]) -> str:
    """What a print needs, and where that is no step of the ladder."""
    if needed_rung(rungs, need) is not None:
        return need.sentence
    return tr("{sentence} That is no step of this ladder.", sentence=need.sentence)


def _how_to_judge(need: Needed, rungs: Sequence[Rung]) -> str:
    judge = tr("Judge it dry and in that light; cover the white beside a crop.")
    return f"{need_in_words(need, rungs)} {judge}"


def _file(wanted: StripOrder, ppi: float, file_name: str) -> str:
    said = tr(
        "{file}, {space}, {ppi} ppi, {sheet}",
        file=file_name,
        space=space_name(wanted.destination),
        ppi=number(ppi, 2),
        sheet=wanted.sheet.name,
    )
    return tr("{file}, made {date}.", file=said, date=wanted.date) if wanted.date else f"{said}."


def _title(number: int, place: Place, seen: Seen) -> str:
    shares = seen.lost_in(place)
    if place.role is Role.REFERENCE:
        template = (
            tr("mid-tones like skin, {where}, for comparison")
            if seen.is_like_skin(place)
            else tr("mid-tones, {where}, for comparison")
        )
        what = filled(template, where=place.where)
    elif place.role in _ROLES:
        what = tr(_ROLES[place.role], where=place.where)
    else:
        what = place.where
    what = what[:1].upper() + what[1:]
    return tr("{number}. {what}. {lost}.", number=number, what=what, lost=lost_words(shares))


def lost_words(shares: Mapping[Kind, float]) -> str:
    """What of a crop is lost as it is.

    >>> lost_words({}), lost_words({Kind.BLOCKED_SHADOWS: 0.5})
    ('Nothing is lost here on this stock', 'As it is, 50 % is blocked shadows')
    """
    if not shares:
        return tr("Nothing is lost here on this stock")
    losses = [tr(_LOST[kind], share=share_in_words(share)) for kind, share in shares.items()]
    return tr("As it is, {losses}", losses=listed(losses))


def sentences_of(
    request: ProofRequest,
    plan: StripPlan,
    rungs: Sequence[Rung],
    need: Needed,
    seen: Seen,
    size_bytes: int,
) -> tuple[str, ...]:
    """What a person should know of a strip, most important first."""
    said = [
        tr(
            "{stock}: {count} crops of {crop} on {sheet}, at the {ppi} ppi of the large print; no "
            "pixel was resampled. {MB:.1f} MB.",
            stock=stock_words(request.stock),
            count=len(plan.cells),
            crop=size_text((plan.mm(plan.cells[0].at.width), plan.mm(plan.cells[0].at.height))),
            sheet=plan.sheet.name,
            ppi=number(float(plan.ppi), 2),
            MB=size_bytes / 1e6,
        ),
        need_in_words(need, rungs),
        *(_title(n, place, seen) for n, place in enumerate(plan.places, start=1)),
    ]
    if not any(place.role is Role.LOST for place in plan.places):
        said.append(
            tr(
                "Nothing is lost in places large enough to point at, so the crops are of what "
                "would be first: the darkest detail, the strongest colours, the lightest detail, "
                "as many as there is room for."
            )
        )
    assert request.size is not None
    sides = zip((request.size.width_mm, request.size.height_mm), plan.size_mm, strict=True)
    if all(side <= sheet for side, sheet in sides):
        said.append(tr("The whole print would fit on this sheet: a strip pays for larger ones."))
    return tuple(said)
