"""One line for the whole picture, from stated rules."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass

from proofing.engine import Baked, ends_in_room
from proofing.findings.finding import KindShare
from proofing.findings.kinds import Kind
from proofing.findings.regions import LEAST_SHARE
from proofing.findings.words import share_in_words
from proofing.language import mark, tr
from proofing.proof.lamp import NO_SHIFT, LampShift


@dataclass(frozen=True)
class Totals:
    """What of a scan the shares of the kinds do not say.

    Attributes
    ----------
    bare
        Share of the picture that is bare paper, which counts as blown highlights.
    weak
        Share of the picture whose detail stays at less than a quarter of its strength.
    miss
        By how much colours that are out of gamut miss on average, dE00.
    is_empty
        Whether the picture is transparent all over.
    """

    bare: float = 0.0
    weak: float = 0.0
    miss: float = 0.0
    is_empty: bool = False


NO_TOTALS = Totals()

DARKEST_PAPER_CD_M2 = 1.0
"""Paper darker than this is looked at by night vision's helping (mesopic from about 3 cd/m2 down,
CIE 191:2010, from memory); no print is judged there."""
LEAST_CONTRAST = 8.0
"""Of paper to black, under which a print is a veil and no picture (common practice)."""
VEILED_CONTRAST = 0.6
"""Reflections that leave less than this share of a print's own contrast are told."""
NOTHING_LOST = LEAST_SHARE
"""Up to this share of lost detail and flattened colour there is no place worth pointing at, and a
stock holds the picture."""
LITTLE_LOST = 0.03
MUCH_LOST = 0.10
LAMP_TURNS = 0.03
"""A lamp is told when it turns the colours of more than this share of the picture."""

WEAK_SHARE = 0.05
"""Shadow or highlight detail that stays, at less than a quarter of its strength, is told when it
takes more than this share of the picture."""


def verdict(
    kinds: Sequence[KindShare],
    totals: Totals = NO_TOTALS,
    baked: Baked | None = None,
    lamp: LampShift = NO_SHIFT,
) -> str:
    """One line for the whole picture, from the shares that the paper and the room lose.

    Blocked, blown and flattened places are added up: while there is no place worth pointing at the
    stock holds the picture, up to 3 % it loses little, up to 10 % something that shows, beyond it
    loses much. Besides that it tells of detail that is weakened over more than 5 % of the
    picture, of reflections that take four tenths of the print's own contrast, of a lamp that turns
    more than 3 % of the picture, and of more than 3 % in other colours than asked. What the file
    had lost before is not the paper's fault: it is told apart, from 3 % on. What the screen cannot
    show is not counted, nor is bare paper where the file has no detail to lose.

    Parameters
    ----------
    kinds
        Shares.
    totals
        What the shares do not say.
    baked
        The print in its room: where that is too dark, or too veiled, to judge a print in, it is
        said instead.
    lamp
        What the lamp does to the colours.
    """
    if totals.is_empty:
        return tr("There is nothing in this picture but transparency.")
    if baked is not None and baked.paper_white_cd_m2 < DARKEST_PAPER_CD_M2:
        return tr("This room is too dark to judge a print in.")
    if baked is not None and baked.contrast < LEAST_CONTRAST:
        times = f"{baked.contrast:.1f}"
        return (
            tr(
                "Reflections wash this print out: its paper is only {times} times as bright as "
                "its black.",
                times=times,
            )
            if baked.request.room.reflection_ratio > 0.0
            else tr(
                "The stock washes this print out: its paper is only {times} times as bright as "
                "its black.",
                times=times,
            )
        )
    found = {each.kind: each for each in kinds}
    parts = {
        Kind.BLOCKED_SHADOWS: (tr("shadow detail"), found[Kind.BLOCKED_SHADOWS].share),
        Kind.BLOWN_HIGHLIGHTS: (
            tr("highlight detail"), max(found[Kind.BLOWN_HIGHLIGHTS].share - totals.bare, 0.0),
        ),
        Kind.FLATTENED_COLOUR: (
            tr("modelling in strong colours"), found[Kind.FLATTENED_COLOUR].share,
        ),
    }  # fmt: skip
    lost = sum(share for _, share in parts.values())
    besides = _besides(found[Kind.OUT_OF_GAMUT].share, totals, baked, lamp)
    if lost > NOTHING_LOST:
        degree = (
            tr("Much is lost") if lost > MUCH_LOST
            else tr("Something that shows is lost") if lost > LITTLE_LOST
            else tr("A little is lost")
        )  # fmt: skip
        most = max(parts, key=lambda kind: parts[kind][1])
        scattered = "" if found[most].places else tr(", in small places here and there")
        said = tr(
            "{degree}: {lost} of the picture, mostly {part}{scattered}.",
            degree=degree,
            lost=share_in_words(lost),
            part=parts[most][0],
            scattered=scattered,
        )
        if besides:
            joined = "; ".join(besides)
            said += f" {joined[0].upper()}{joined[1:]}."
    elif besides:
        said = tr(
            "This stock in this room holds the picture's detail, but {besides}.",
            besides="; ".join(besides),
        )
    else:
        said = tr("This stock in this room holds the picture.")
    before = found[Kind.CLIPPED_IN_FILE].share
    if before > LITTLE_LOST:
        said += tr(
            " {before} of the picture is clipped in the file already.",
            before=share_in_words(before),
        )
    return said


def colour_verdict(
    kinds: Sequence[KindShare], totals: Totals, baked: Baked, lamp: LampShift
) -> str:
    """What can be said before detail has been looked for."""
    colours = next(each.share for each in kinds if each.kind is Kind.OUT_OF_GAMUT)
    besides = _besides(colours, totals, baked, lamp)
    joined = "; ".join(besides) if besides else tr("its colours print as asked")
    return tr("{said}; detail is still being looked at.", said=f"{joined[0].upper()}{joined[1:]}")


def _besides(colours: float, totals: Totals, baked: Baked | None, lamp: LampShift) -> list[str]:
    """What spoils a print though its detail is there, the gravest first."""
    told = []
    if totals.weak > WEAK_SHARE:
        told.append(
            tr(
                "in {weak} of the picture detail stays, but at less than a quarter of its strength",
                weak=share_in_words(totals.weak),
            )
        )
    if baked is not None:
        own = _own_contrast(baked)
        if baked.contrast < VEILED_CONTRAST * own:
            told.append(
                tr(
                    "reflections lift its blacks, so that paper to black is {contrast:.0f} to 1 "
                    "instead of {own:.0f} to 1",
                    contrast=baked.contrast,
                    own=own,
                )
            )
    if lamp.share > LAMP_TURNS and lamp.fidelity_Rf is not None:
        told.append(
            tr(
                "this lamp changes the colours of {share} of the picture: {colours} look {way} "
                "(its colour fidelity Rf is {fidelity_Rf:.0f}; a lamp of 90 or more keeps them, "
                "common practice)",
                share=share_in_words(lamp.share),
                colours=lamp.colours,
                way=lamp.way,
                fidelity_Rf=lamp.fidelity_Rf,
            )
        )
    if colours > LITTLE_LOST:
        told.append(
            tr(
                "{colours} of the picture prints in {degree} colours",
                colours=share_in_words(colours),
                degree=difference_in_words(totals.miss),
            )
        )
    return told


DEGREES = (
    (4.5, mark("slightly different")),
    (7.0, mark("clearly different")),
    (math.inf, mark("very different")),
)
"""dE00 up to which colours differ by so much; 1 is just noticeable side by side (from memory)."""


def difference_in_words(delta_E_00: float) -> str:
    """How different a colour is that misses another by so much.

    >>> difference_in_words(2.0), difference_in_words(5.0)
    ('slightly different', 'clearly different')
    """
    return tr(next(words for limit, words in DEGREES if delta_E_00 < limit))


def _own_contrast(baked: Baked) -> float:
    """Paper to black without the reflections of the room."""
    stock, room = baked.request.stock, baked.request.room
    if room.reflection_ratio == 0.0:
        return baked.contrast
    paper, black = ends_in_room(stock, dataclasses.replace(room, reflection_ratio=0.0))
    return float(paper[1] / black[1])
