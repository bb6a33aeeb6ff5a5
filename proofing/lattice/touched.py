"""Which nodes of a lattice a picture needs."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from proofing.lattice.shaper import Shaper

_STRIP = 1 << 18  # pixels at a time
_SLACK = 1e-3  # of a cell; between floats the loop's coordinate is rounded otherwise than here


def touched_nodes(shaper: Shaper, codes: npt.NDArray[Any]) -> npt.NDArray[np.bool_]:
    """Nodes that are read when these codes are interpolated.

    Parameters
    ----------
    shaper
        Where the nodes sit.
    codes
        (H, W, 3) uint8, uint16 or float32.

    Returns
    -------
    ndarray
        (n**3,), in the order of :meth:`~proofing.lattice.Shaper.node_codes`.
    """
    n = shaper.n
    cells = np.zeros(n**3, np.bool_)
    whole = codes.dtype.kind == "u"
    if whole:
        firsts = [np.minimum(table.astype(np.int32), n - 2) for table in shaper.tables(codes.dtype)]
    rows = max(1, _STRIP // max(1, codes.shape[1]))
    for top in range(0, codes.shape[0], rows):
        part = codes[top : top + rows].reshape(-1, 3)
        if whole:
            i, j, k = (firsts[c][part[:, c]] for c in range(3))
            cells[(i * n + j) * n + k] = True
            continue
        at = shaper.coordinates_of(part)
        for slack in (-_SLACK, _SLACK):
            i, j, k = np.clip(np.floor(at + slack), 0, n - 2).astype(np.int32).T
            cells[(i * n + j) * n + k] = True
    corners = cells.reshape(n, n, n)
    for axis in range(3):
        along = np.moveaxis(corners, axis, 0)
        along[1:] |= along[:-1]
    return cells
