"""A first look at a picture among many: what of it is lost, told from a sample.

Detail is looked for as finely as the eye resolves it, in the whole picture where that is small and
otherwise in blocks spread evenly over it, as in a comparison of stocks. Nothing of the picture is
kept.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from proofing.engine import NODES_RESTING, Cancel, Engine
from proofing.findings.kinds import Kind
from proofing.findings.regions import LEAST_SHARE
from proofing.findings.words import share_in_words
from proofing.language import mark, tr
from proofing.ordering.comparing import shares_of
from proofing.ordering.sample import sample_of, scan_blocks
from proofing.proof.verdict import WEAK_SHARE
from proofing.request import ProofRequest

MOST_PIXELS = 1_600_000
"""Working pixels that are scanned: half of what a comparison takes."""
OTHER_COLOURS = 0.03
"""Share out of gamut from which it is told, as in the verdict."""
_LOST = {
    Kind.BLOCKED_SHADOWS: mark("{share} blocked"),
    Kind.BLOWN_HIGHLIGHTS: mark("{share} blown"),
    Kind.FLATTENED_COLOUR: mark("{share} flattened"),
}


@dataclass(frozen=True)
class FirstLook:
    """What of a picture is lost on a print in a room.

    Attributes
    ----------
    shares
        By kind, 0..1; bare paper is not among the blown highlights.
    bare, weakened
        Shares that are bare paper, and whose detail stays at less than a quarter of its strength.
    sample_share
        Share of the picture's pixels that was looked at; 1 for all.
    """

    shares: Mapping[Kind, float]
    bare: float
    weakened: float
    sample_share: float

    @property
    def detail_lost(self) -> float:
        """Share blocked, blown or flattened."""
        return sum(self.shares[kind] for kind in _LOST)


def first_look(engine: Engine, request: ProofRequest, cancel: Cancel | None = None) -> FirstLook:
    """Look at a picture.

    Parameters
    ----------
    engine
        Bakes; nothing is put into its caches but the file's side.
    request
        Picture, stock, size and room.
    cancel
        As for :meth:`Engine.bake`.

    Raises
    ------
    Cancelled
        `cancel` said so.
    ProfileError
        The stock's profile lacks the table of the intent.
    """
    sample = sample_of(request, MOST_PIXELS)
    lattice = engine.bake_scan(request, NODES_RESTING, cancel, sample.codes)
    scanned = scan_blocks(sample, lattice, request.gamut_tolerance, engine.workers, cancel)
    shares, bare, weakened = shares_of(scanned, float(request.room.white_XYZ_cd_m2[1]))
    return FirstLook(shares, bare, weakened, sample.share)


def look_in_words(look: FirstLook) -> str:
    """What is lost, as short as a list of pictures wants it."""
    lost = {kind: look.shares[kind] for kind in _LOST}
    told = [
        tr(_LOST[kind], share=share_in_words(lost[kind]))
        for kind in sorted(lost, key=lambda kind: -lost[kind])
        if lost[kind] > LEAST_SHARE / 2
    ]
    if look.detail_lost <= LEAST_SHARE or not told:
        told = []
    nothing = not told
    if look.weakened > WEAK_SHARE:
        told.append(tr("{share} weakened", share=share_in_words(look.weakened)))
    if look.shares[Kind.OUT_OF_GAMUT] > OTHER_COLOURS:
        out = share_in_words(look.shares[Kind.OUT_OF_GAMUT])
        told.append(tr("{share} out of gamut", share=out))
    if nothing:
        told.insert(0, tr("no detail lost") if told else tr("nothing lost"))
    return ", ".join(told)
