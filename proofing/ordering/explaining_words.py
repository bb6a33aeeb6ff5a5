"""What a print gives and loses, in words for someone who has never read a proof."""

from __future__ import annotations

from collections.abc import Sequence

from proofing.findings.finding import Finding
from proofing.findings.kinds import Kind
from proofing.findings.words import (
    CAREFUL_LUX,
    LIGHT_CARE,
    MANY_HUES,
    share_in_words,
    stops_in_words,
    way_in_words,
)
from proofing.language import mark, tr
from proofing.printing import Intent
from proofing.request import ProofRequest
from proofing.viewing import Look

LOSSES: dict[Kind, str] = {
    Kind.BLOCKED_SHADOWS: mark("Shadows without detail"),
    Kind.BLOWN_HIGHLIGHTS: mark("Highlights without detail"),
    Kind.FLATTENED_COLOUR: mark("Strong colours run together"),
    Kind.OUT_OF_GAMUT: mark("Colours the paper cannot hold"),
    Kind.CLIPPED_IN_FILE: mark("Lost in the file already"),
}
"""What a print loses, by name; in the order of a table. What only a screen lacks, or only a
correction would spoil, is none of it."""

_CLEAR, _STRONG = 4.5, 7.0
"""dE00 from which a difference is called clear, and strong, as the verdict has it."""


def place_title(finding: Finding) -> str:
    """What happens at a place, in a few words."""
    kind, reason = finding.kind, finding.reason
    if kind is Kind.CLIPPED_IN_FILE:
        return tr("Lost in the file already")
    if kind is Kind.FLATTENED_COLOUR:
        return (
            tr("Strong colours lose their modelling")
            if reason == tr(MANY_HUES)
            else tr("Strong {colours} lose their modelling", colours=reason)
        )
    if kind is Kind.OUT_OF_GAMUT:
        numbers = finding.numbers
        way = way_in_words(numbers["delta_L"], numbers["delta_C"], numbers["delta_H"])
        return tr("{colours} print {way}", colours=_capital(reason), way=way)
    if reason == "bare":
        return tr("Bare paper")
    dark = kind is Kind.BLOCKED_SHADOWS
    if reason == "coarse":
        return (
            tr("Shapes in the shadows are lost")
            if dark
            else tr("Shapes in the highlights are lost")
        )
    return (
        tr("Fine detail in the shadows is lost")
        if dark
        else tr("Fine detail in the highlights is lost")
    )


def place_sentence(finding: Finding) -> str:
    """Where it is, how much of the picture, and what one will see."""
    place = tr(
        "{where}, {share} of the picture",
        where=_capital(finding.region.where),
        share=share_in_words(finding.region.share),
    )
    kind = finding.kind
    if kind is Kind.CLIPPED_IN_FILE:
        return tr(
            "{place}: the file holds no detail there ({reason}). No paper brings that back.",
            place=place,
            reason=finding.reason,
        )
    if kind is Kind.FLATTENED_COLOUR:
        return tr(
            "{place}: colours that can be told apart in the file look like one on the print.",
            place=place,
        )
    if kind is Kind.OUT_OF_GAMUT:
        return tr(
            "{place}: {degree} from the file.",
            place=place,
            degree=_degree(finding.numbers["miss"]),
        )
    if finding.reason == "bare":
        return tr("{place}: no ink is laid there, so it shows as the sheet itself.", place=place)
    return tr(
        "{place}: an eye sees it in the file, and no longer on this print in this light.",
        place=place,
    )


def _degree(miss: float) -> str:
    if miss >= _STRONG:
        return tr("a strong difference")
    return tr("a clear difference") if miss >= _CLEAR else tr("a slight difference")


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def correction_sentence(request: ProofRequest) -> str:
    """What was done to the picture for this print, '' for nothing."""
    correction = request.correction
    if correction is None or correction.is_none:
        return ""
    said = []
    if correction.own:
        said.append(tr("The tones follow a curve that was set by hand."))
    if correction.lift_stops:
        said.append(
            tr(
                "The shadows are lifted by {stops} for this print; neutral mid-tones and lights "
                "stay as they are.",
                stops=stops_in_words(correction.lift_stops),
            )
        )
    if correction.ease is not None:
        said.append(
            tr(
                "The strongest colours are drawn in by {percent:.0f} %, so that neighbours stay "
                "apart on this paper; their hue stays.",
                percent=100.0 * correction.ease.share,
            )
        )
    if not said:
        said.append(tr("The tones are corrected for this print by a curve."))
    return " ".join([*said, tr("The original is untouched.")])


def rendering_sentence(request: ProofRequest) -> str:
    """What is done with colours and tones that the paper cannot hold."""
    said = tr(
        {
            Intent.PERCEPTUAL: mark(
                "All colours are drawn in together, so that the relations between them survive."
            ),
            Intent.RELATIVE: mark(
                "Colours the paper cannot hold are brought to the nearest it can; all others stay."
            ),
            Intent.ABSOLUTE: mark(
                "Colours the paper cannot hold are brought to the nearest it can, and the file's "
                "own white is imitated on the paper."
            ),
        }[request.intent]
    )
    if request.intent is Intent.RELATIVE and request.black_point_compensation:
        said += tr(
            " The darkest tones are fitted to the black of the paper, instead of being cut off "
            "below it."
        )
    return said


def light_level(request: ProofRequest) -> str:
    """What stands behind the illuminance."""
    return tr(
        "{lux:g} lx on the print, as it was told. A lux meter where it will hang says whether it "
        "is so.",
        lux=request.room.illuminance_lux,
    )


def captions_of(request: ProofRequest) -> tuple[str, str]:
    """What the two pictures are, and how they compare in brightness."""
    return (
        tr("The photograph, as a screen shows it"),
        tr("The print, its paper put at the white of the screen")
        if request.look is Look.MATCHED
        else tr("The print, as bright as it will look in its room"),
    )


def stock_standing(request: ProofRequest) -> str:
    """What stands behind the numbers of the paper."""
    stock = request.stock
    if stock.typical:
        return tr(
            "typical of its class; no product was measured. The sheet you get may be a little "
            "whiter, deeper or duller."
        )
    if stock.kind == "profiled":
        return tr("its colours are those of the lab's profile; its surface is typical.")
    return tr("as it was described.")


def cautions_of(request: ProofRequest) -> tuple[str, ...]:
    """What to mind where it hangs, the usual care first."""
    room = request.room
    said: list[str] = []
    if room.light.caution:
        said.append(tr(room.light.caution))
    if room.illuminance_lux > CAREFUL_LUX and "fade" not in room.light.caution:
        said.append(tr(LIGHT_CARE).strip())
    said.append(
        tr(
            "This sheet advises on looks, not on keeping. Follow local codes for lighting, and "
            "for a work that matters ask a conservator."
        )
    )
    return tuple(said)


def shares_sentence(shares: Sequence[tuple[Kind, float]]) -> str:
    """How much of the whole picture each loss takes, '' where there is none; what the file had lost
    is told apart, because the verdict counts what the print loses."""
    told = [
        tr("{loss} {share}", loss=tr(LOSSES[kind]), share=share_in_words(share))
        for kind, share in shares
        if share > 0.0 and kind is not Kind.CLIPPED_IN_FILE
    ]
    said = []
    if told:
        losses = " · ".join(told)
        said.append(tr("In all, with places too small to be numbered: {list}.", list=losses))
    before = dict(shares).get(Kind.CLIPPED_IN_FILE, 0.0)
    if before > 0.0:
        share = share_in_words(before)
        said.append(tr("Before it is printed, {share} is lost in the file.", share=share))
    return " ".join(said)
