"""What a technician would remark on a photograph's file before it is printed, in sentences."""

from __future__ import annotations

from proofing.findings.words import share_in_words
from proofing.language import tr
from proofing.ordering.lengths import distance_text, size_text
from proofing.ordering.size import Fineness
from proofing.photograph import IntakeFacts

CLIPPED_FROM = 0.01
"""Share of clipped pixels that is told: sparks and lamps clip in any good file (common
practice)."""


def file_remarks(
    facts: IntakeFacts, fineness: Fineness, *, is_lifted: bool = False
) -> tuple[str, ...]:
    """Remarks on a file, the gravest first; none for a file that has all it needs.

    Parameters
    ----------
    facts
        What the file says of itself, and what was counted.
    fineness
        Its pixels at the size and distance of the print.
    is_lifted
        Whether its shadows are lifted for the print.
    """
    said = (
        facts.note,
        _mode(facts),
        _clipped(facts),
        _unsharp(fineness),
        _bits(facts, is_lifted=is_lifted),
        tr("Parts of it are transparent: they are laid on white.") if facts.has_alpha else "",
    )
    return tuple(sentence for sentence in said if sentence)


def _mode(facts: IntakeFacts) -> str:
    if facts.mode == "CMYK":
        return tr("It is CMYK, made for a press: where there is an RGB original, print from that.")
    if facts.mode == "palette":
        return tr("It has a palette of at most 256 colours: where there is an original, use that.")
    return ""


def _clipped(facts: IntakeFacts) -> str:
    if facts.share_clipped < CLIPPED_FROM:
        return ""
    return tr(
        "{share} of its pixels are clipped: a new export may have them still.",
        share=share_in_words(facts.share_clipped),
    )


def _unsharp(fineness: Fineness) -> str:
    if fineness.is_almost_sharp:
        return ""
    return tr(
        "{ppi:.0f} ppi at {size}: from {distance} an eye resolves about {resolved:.0f}, which the "
        "file has up to {largest}.",
        ppi=fineness.ppi,
        size=size_text(fineness.size_mm),
        distance=distance_text(fineness.distance_m),
        resolved=fineness.resolved_ppi,
        largest=size_text(fineness.largest_sharp_mm),
    )


def _bits(facts: IntakeFacts, *, is_lifted: bool) -> str:
    if facts.bits != 8 or facts.mode == "palette":
        return ""
    if is_lifted:
        return tr("8 bits a channel, and the shadows are lifted: look for steps in smooth tones.")
    return tr("8 bits a channel: little room for further correction.")
