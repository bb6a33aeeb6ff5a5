"""One line for the whole picture, from stated rules."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

from proofing.engine import Baked, ends_in_room
from proofing.findings.finding import KindShare
from proofing.findings.kinds import Kind
from proofing.findings.regions import LEAST_SHARE
from proofing.findings.words import share_in_words
from proofing.proof.lamp import NO_SHIFT, LampShift

DARKEST_PAPER_CD_M2 = 1.0
"""Paper darker than this is looked at by night vision's helping (mesopic from about 3 cd/m2 down,
CIE 191:2010, from memory); no print is judged there."""
LEAST_CONTRAST = 8.0
"""Of paper to black, under which a print is a veil and no picture (common practice)."""
VEILED_CONTRAST = 0.5
"""Reflections that take more than half of a print's own contrast are told."""
NOTHING_LOST = LEAST_SHARE
"""Up to this share of lost detail and flattened colour there is no place worth pointing at, and a
stock holds the picture."""
LITTLE_LOST = 0.03
MUCH_LOST = 0.10
LAMP_TURNS = 0.03
"""A lamp is told when it turns the colours of more than this share of the picture."""

_HOLDS = "This stock in this room holds the picture"


def verdict(
    kinds: Sequence[KindShare],
    bare: float = 0.0,
    baked: Baked | None = None,
    lamp: LampShift = NO_SHIFT,
    miss: float = 0.0,
) -> str:
    """One line for the whole picture, from the shares that the paper and the room lose.

    Blocked, blown and flattened places are added up: while there is no place worth pointing at the
    stock holds the picture, up to 3 % it loses little, up to 10 % something that shows, beyond it
    loses much. Besides that it tells of reflections that take more than half of the print's own
    contrast, of a lamp that turns more than 3 % of the picture, and of more than 3 % in other
    colours than asked. What the file had lost before is not the paper's fault: it is told apart,
    from 3 % on. What the screen cannot show is not counted, nor is bare paper where the file has
    no detail to lose.

    Parameters
    ----------
    kinds
        Shares.
    bare
        Share of blown highlights that is bare paper only.
    baked
        The print in its room: where that is too dark, or too veiled, to judge a print in, it is
        said instead.
    lamp
        What the lamp does to the colours.
    miss
        By how much colours that are out of gamut miss on average, dE00.
    """
    if baked is not None and baked.paper_white_cd_m2 < DARKEST_PAPER_CD_M2:
        return "This room is too dark to judge a print in."
    if baked is not None and baked.contrast < LEAST_CONTRAST:
        return "Reflections wash this print out: its black is hardly darker than its paper."
    shares = {found.kind: found.share for found in kinds}
    parts = {
        "shadow detail": shares[Kind.BLOCKED_SHADOWS],
        "highlight detail": max(shares[Kind.BLOWN_HIGHLIGHTS] - bare, 0.0),
        "modelling in strong colours": shares[Kind.FLATTENED_COLOUR],
    }
    lost = sum(parts.values())
    mostly = f"{share_in_words(lost)} of the picture, mostly {max(parts, key=lambda n: parts[n])}"
    besides = _besides(shares[Kind.OUT_OF_GAMUT], miss, baked, lamp)
    if lost > NOTHING_LOST:
        degree = (
            "Much is lost" if lost > MUCH_LOST
            else "Something that shows is lost" if lost > LITTLE_LOST
            else "A little is lost"
        )  # fmt: skip
        said = f"{degree}: {mostly}."
        if besides:
            joined = "; ".join(besides)
            said += f" {joined[0].upper()}{joined[1:]}."
    elif besides:
        said = f"{_HOLDS}'s detail, but {'; '.join(besides)}."
    else:
        said = f"{_HOLDS}."
    before = shares[Kind.CLIPPED_IN_FILE]
    if before > LITTLE_LOST:
        said += f" In the file itself {share_in_words(before)} of it was clipped before."
    return said


def _besides(colours: float, miss: float, baked: Baked | None, lamp: LampShift) -> list[str]:
    """What spoils a print though its detail is there, the gravest first."""
    told = []
    if baked is not None:
        own = _own_contrast(baked)
        if baked.contrast < VEILED_CONTRAST * own:
            told.append(
                f"reflections lift its blacks, so that paper to black is {baked.contrast:.0f} to 1 "
                f"instead of {own:.0f} to 1"
            )
    if lamp.share > LAMP_TURNS and lamp.fidelity_Rf is not None:
        told.append(
            f"this lamp turns {share_in_words(lamp.share)} of it: {lamp.colours} look {lamp.way}, "
            "as under no daylight or filament of its warmth (colour fidelity Rf "
            f"{lamp.fidelity_Rf:.0f} of 100; from 90 on it is safe, common practice)"
        )
    if colours > LITTLE_LOST:
        told.append(
            f"{share_in_words(colours)} of it prints in other colours than asked, {miss:.1f} ΔE00 "
            "off on average"
        )
    return told


def _own_contrast(baked: Baked) -> float:
    """Paper to black without the reflections of the room."""
    stock, room = baked.request.stock, baked.request.room
    if room.reflection_ratio == 0.0:
        return baked.contrast
    paper, black = ends_in_room(stock, dataclasses.replace(room, reflection_ratio=0.0))
    return float(paper[1] / black[1])
