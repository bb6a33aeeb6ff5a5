"""Whole prints as arrays, for files."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from proofing.engine import Baked, Engine
    from proofing.photograph import Photograph
    from proofing.request import ProofRequest

_STRIP_PIXELS = 1 << 18


def print_picture(baked: Baked, photograph: Photograph, bits: int) -> npt.NDArray[Any]:
    """The whole print as the screen shows it, without marks.

    Parameters
    ----------
    baked
        The colour function.
    photograph
        The picture; its transparent parts show bare paper.
    bits
        8 or 16.

    Returns
    -------
    ndarray
        (H, W, 3) ``uint8`` or ``uint16``, RGB in the screen's code values.
    """
    from proofing.lattice import Output, apply

    made = apply(
        baked.lattice,
        photograph.codes,
        output=Output.RGB16 if bits == 16 else Output.BGRX,
        alpha=photograph.alpha,
        bare_paper=baked.paper_rgb,
    )
    return made if bits == 16 else np.ascontiguousarray(made[..., 2::-1])


def print_Lab(
    engine: Engine,
    request: ProofRequest,
    progress: Callable[[float], None] = lambda done: None,
) -> npt.NDArray[np.float32]:
    """The whole print for measurement: every colour through the full float64 chain, no table.

    Parameters
    ----------
    engine, request
        What is printed on what; light and screen have no part in it.
    progress
        Told the share that is done, 0 to 1.

    Returns
    -------
    ndarray
        (H, W, 3) ``float32``: L*, a*, b* against D50, 2 degrees, relative to the perfect
        diffuser. Transparent parts are mixed with bare paper as areas are, in XYZ.
    """
    from proofing.colorimetry import Lab_to_XYZ, XYZ_to_Lab
    from proofing.photograph import unit_codes

    photograph = request.photograph
    codes, alpha = photograph.codes, photograph.alpha
    height, width = codes.shape[:2]
    paper_XYZ = Lab_to_XYZ(request.stock.white_Lab)
    result = np.empty((height, width, 3), dtype=np.float32)
    rows = max(1, _STRIP_PIXELS // width)
    for top in range(0, height, rows):
        strip = np.ascontiguousarray(codes[top : top + rows]).reshape(-1, 3)
        colours, where = _distinct(strip)
        Lab = engine.print_Lab(request, unit_codes(colours))[where]
        if alpha is not None:
            cover = alpha[top : top + rows].reshape(-1, 1) / 255.0
            Lab = XYZ_to_Lab(cover * Lab_to_XYZ(Lab) + (1.0 - cover) * paper_XYZ)
        result[top : top + rows] = Lab.reshape(-1, width, 3)
        progress(min(1.0, (top + rows) / height))
    return result


def _distinct(codes: npt.NDArray[Any]) -> tuple[npt.NDArray[Any], npt.NDArray[np.intp]]:
    """The different colours among (N, 3) codes, and where each of the N is among them."""
    if codes.dtype.kind != "u":
        return codes, np.arange(len(codes))
    wide = codes.astype(np.uint64)
    packed = (wide[:, 0] << np.uint64(32)) | (wide[:, 1] << np.uint64(16)) | wide[:, 2]
    _, first, where = np.unique(packed, return_index=True, return_inverse=True)
    return codes[first], where.reshape(-1)
