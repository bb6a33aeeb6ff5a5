"""What was measured on one photograph, as the costs that :mod:`.triage` weighs."""

from __future__ import annotations

from proofing.findings.kinds import Kind
from proofing.ordering.comparison import Comparison, StockResult
from proofing.ordering.ranking import Standing, standing
from proofing.ordering.size import Fineness
from proofing.ordering.telling import Told
from proofing.ordering.triage import Concern, Missed
from proofing.photograph import IntakeFacts
from proofing.proof import Proof
from proofing.proof.verdict import DARKEST_PAPER_CD_M2, LEAST_CONTRAST

_PROFILES = {"embedded": 0.0, "assumed": 0.5, "broken": 1.0, "wrong kind": 1.0}


def costs_of(
    proof: Proof,
    facts: IntakeFacts,
    fineness: Fineness,
    told: Told | None = None,
    comparison: Comparison | None = None,
) -> dict[Concern, float]:
    """The costs of one photograph.

    Parameters
    ----------
    proof
        Of the chosen stock, scanned.
    facts, fineness
        The file, and its pixels at the size and distance of the print.
    told
        What the conversion for the lab did, where there was one.
    comparison
        Of all stocks, where there was one.
    """
    share, totals = proof.share, proof.totals
    costs = {
        Concern.EMPTY: float(totals.is_empty),
        Concern.ROOM: float(_no_room_to_judge(proof)),
        Concern.DETAIL: detail_lost(proof),
        Concern.CLIPPED: share(Kind.CLIPPED_IN_FILE),
        Concern.UNSHARP: 0.0
        if fineness.is_almost_sharp
        else fineness.resolved_ppi / fineness.ppi - 1.0,
        Concern.PROFILE: _PROFILES[facts.profile_status],
        Concern.WEAKENED: totals.weak,
        Concern.LAMP: proof.lamp.share if proof.lamp.fidelity_Rf is not None else 0.0,
        Concern.STEPS: share(Kind.BANDING_RISK) if proof.request.correction is not None else 0.0,
    }
    costs |= {concern: missed.cost for concern, missed in missed_of(proof, told).items()}
    if comparison is not None:
        costs[Concern.STOCK] = points_behind(comparison)
    return costs


def missed_of(proof: Proof, told: Told | None = None) -> dict[Concern, Missed]:
    """How far off colours are: on the print, and in the file for the lab where there is one."""
    missed = {Concern.COLOUR: Missed(proof.share(Kind.OUT_OF_GAMUT), proof.totals.miss)}
    if told is not None:
        missed[Concern.SPACE] = Missed(told.share_outside, told.delta_E_outside)
    return missed


def detail_lost(proof: Proof) -> float:
    """Share of the picture blocked, blown or flattened, as the verdict counts it: bare paper
    where the file has no detail to lose is not in it."""
    blown = max(proof.share(Kind.BLOWN_HIGHLIGHTS) - proof.totals.bare, 0.0)
    return proof.share(Kind.BLOCKED_SHADOWS) + blown + proof.share(Kind.FLATTENED_COLOUR)


def chosen(comparison: Comparison) -> StockResult | None:
    """How the chosen stock came out; None where it could not be compared."""
    key = comparison.request.stock.key
    return next((result for result in comparison.ranked if result.stock.key == key), None)


def standing_of_chosen(comparison: Comparison) -> Standing | None:
    """How the chosen stock stands to the best one; None where it is the best, or left out."""
    result = chosen(comparison)
    if result is None or result is comparison.ranked[0]:
        return None
    return standing(comparison.ranked[0].marks, result.marks)


def points_behind(comparison: Comparison) -> float:
    """Points between the best stock and the chosen one; 0 for a close call."""
    result = chosen(comparison)
    if result is None or standing_of_chosen(comparison) is not Standing.BEHIND:
        return 0.0
    return comparison.ranked[0].score - result.score


def _no_room_to_judge(proof: Proof) -> bool:
    baked = proof.baked
    return baked.paper_white_cd_m2 < DARKEST_PAPER_CD_M2 or baked.contrast < LEAST_CONTRAST
