"""What the lamp does to the colours of this picture."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from proofing.colorimetry import Float, XYZ_to_Lab
from proofing.engine import Engine
from proofing.errors import SettingError
from proofing.findings.words import colours_in_words, way_in_words
from proofing.photograph import unit_codes
from proofing.photograph.photograph import OPAQUE_FROM
from proofing.request import ProofRequest

TURNED_FROM = 4.0
"""CAM16-UCS dE from which a colour looks another one from memory: about four just-noticeable
differences (common practice)."""
_ACROSS = 40  # samples along the longer side of the picture


@dataclass(frozen=True)
class LampShift:
    """How the lamp turns a picture's colours, beside its reference illuminant (CIE 224:2017).

    Attributes
    ----------
    share
        Share of the picture that turns by more than :data:`TURNED_FROM`, 0..1.
    apart
        Mean CAM16-UCS dE of those; 0 where there is none.
    colours
        Their names, '' where there is none.
    way
        In which way they turn.
    fidelity_Rf
        The lamp's colour fidelity index; None where nothing turns.
    """

    share: float
    apart: float
    colours: str
    way: str
    fidelity_Rf: float | None


NO_SHIFT = LampShift(0.0, 0.0, "", "", None)
"""Nothing turns, or the light is so far from white that it cannot be told."""


def lamp_shift(engine: Engine, request: ProofRequest) -> LampShift:
    """From an even sample of the picture, printed, under the lamp and under its reference."""
    codes = _sample(request)
    if not len(codes):
        return NO_SHIFT
    XYZ = request.to_print(codes)
    try:
        found = engine.lamp_colours(request, XYZ)
    except SettingError:
        return NO_SHIFT
    turned = found.apart > TURNED_FROM
    if not turned.any():
        return NO_SHIFT
    Lab = XYZ_to_Lab(engine.map_colours(request, XYZ[turned]).printed)
    J, C, H = parts_apart(found.lamp[turned], found.reference[turned])
    return LampShift(
        share=float(turned.mean()),
        apart=float(found.apart[turned].mean()),
        colours=colours_in_words(Lab),
        way=way_in_words(J, C, H),
        fidelity_Rf=request.room.light.fidelity_Rf,
    )


def parts_apart(colours: Float, others: Float) -> tuple[float, float, float]:
    """Mean difference of lightness and of chroma, and mean size of that of hue.

    Parameters
    ----------
    colours, others
        (N, 3) in one space of a lightness and two opponent axes, Lab or CAM16-UCS.

    Notes
    -----
    ISO/CIE 11664-4: ``dH^2 = da^2 + db^2 - dC^2``.
    """
    C = [np.hypot(values[:, 1], values[:, 2]) for values in (colours, others)]
    apart = colours - others
    H_2 = apart[:, 1] ** 2 + apart[:, 2] ** 2 - (C[0] - C[1]) ** 2
    return (
        float(apart[:, 0].mean()),
        float((C[0] - C[1]).mean()),
        float(np.sqrt(np.maximum(H_2, 0.0)).mean()),
    )


def _sample(request: ProofRequest) -> Float:
    """Codes, 0..1, (N, 3), of opaque pixels on an even grid."""
    photograph = request.photograph
    step = max(1, max(photograph.width, photograph.height) // _ACROSS)
    grid = (slice(step // 2, None, step),) * 2
    codes = np.asarray(photograph.codes[grid]).reshape(-1, 3)
    if photograph.alpha is not None:
        codes = codes[photograph.alpha[grid].ravel() >= OPAQUE_FROM]
    return unit_codes(codes)
