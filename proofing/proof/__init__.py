"""The proof of a picture on a stock in a room: findings, advice and a verdict.

:func:`prove` scans the picture, joins what is lost to places, and computes what would help;
:func:`glance` tells within a fraction of a second, from a reduced copy, what to expect.
"""

from __future__ import annotations

from proofing.proof.lamp import LampShift
from proofing.proof.looking import Progress
from proofing.proof.proving import Prover, glance, prove
from proofing.proof.result import MOST_FINDINGS, SCREEN_OFF_STOPS, Proof
from proofing.proof.tones import Tones, ToneStep, tones_of
from proofing.proof.verdict import verdict

__all__ = [
    "MOST_FINDINGS",
    "SCREEN_OFF_STOPS",
    "LampShift",
    "Progress",
    "Proof",
    "Prover",
    "ToneStep",
    "Tones",
    "glance",
    "prove",
    "tones_of",
    "verdict",
]
