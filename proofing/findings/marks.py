"""The first marks: pointwise rules on the scalar channels of a table.

Each kind of loss is one comparison of one channel that interpolates through its threshold, so that
a table and the float64 chain agree on it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from proofing.colorimetry import Float, lightness
from proofing.findings.kinds import Kind
from proofing.findings.visibility import steps
from proofing.lattice import Mark

SCALARS = ("miss", "beyond", "drowning", "bleaching")
"""Scalar channels of the table.

miss, beyond
    Signed miss of the stock and of the screen: dE00 outside, minus a margin inside.
drowning
    Just-noticeable steps (DICOM PS3.14) from the print of the file's black to this tone in the
    room, less :data:`DROWNED_STEPS`: below 0, the tone is blocked.
bleaching
    L* from this tone to bare paper, less :data:`WHITE_SHARE` of the L* that the file has below
    white, at most :data:`BARE_PAPER_L`: below 0, the tone is blown."""

DROWNED_STEPS = 4.0
"""Tones within so many just-noticeable steps of the printed black are lost in it. One step is
what a patient eye sees of a large pattern of the best size; detail of other sizes needs several:
contrast sensitivity falls to a quarter of its peak within two octaves (Barten 1999, from
memory)."""
WHITE_SHARE = 0.25
"""A highlight that keeps less than this share of its distance to white is blown, on any light."""
BARE_PAPER_L = 1.5
"""L* below bare paper within which a tone can be blown."""


@dataclass(frozen=True)
class MarkShare:
    """How much of the picture bears a mark.

    Attributes
    ----------
    kind
        Which.
    pixels, share
        Count, and share of the picture's opaque pixels, 0..1.
    """

    kind: Kind
    pixels: int
    share: float


def marks_for(tolerance: float) -> tuple[Mark, ...]:
    """The rules of the marks, in the order of the kinds' bits.

    Parameters
    ----------
    tolerance
        dE00 from which a colour is out of gamut, and out of reach of the screen.
    """
    return (
        Mark("miss", tolerance, True),
        Mark("drowning", 0.0, False, clipped=False),
        Mark("bleaching", 0.0, False, clipped=False),
        Mark("miss", -1e6, True, clipped=True),  # whatever the stock makes of it
        Mark("beyond", tolerance, True),
    )


def tone_channels(Y_cd_m2: Float, L: Float, Y_paper: float, Y_black: float) -> Float:
    """Drowning and bleaching, see :data:`SCALARS`, (N, 2).

    Parameters
    ----------
    Y_cd_m2
        (N,) luminance of the print in the room.
    L
        (N,) lightness in the file.
    Y_paper, Y_black
        Bare paper and the file's black as printed, in the room, cd/m2.
    """
    drowning = steps(Y_cd_m2) - steps(Y_black) - DROWNED_STEPS
    raised = 100.0 - lightness(Y_cd_m2 / Y_paper)
    bleaching = raised - np.minimum(WHITE_SHARE * (100.0 - L), BARE_PAPER_L)
    return np.column_stack([drowning, bleaching])
