"""From a colour inside the gamut back to the colorants that print it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from proofing.colorimetry import Float
from proofing.compiled import compiled
from proofing.printing.gamut import Gamut
from proofing.printing.model import PrintModel
from proofing.printing.space import XYZ_to_ucs

_DEVICE_STEPS = 33
_HUES, _LEVELS, _RINGS = 90, 49, 17


@compiled
def _invert(lattice: Float, targets: Float, start: Float, rounds: int) -> Float:
    """Gauss-Newton on the trilinear lattice; the best of all steps is kept.

    lattice (n, n, n, 3) values on the unit cube, targets (N, 3), start (N, 3) in 0..1.
    """
    n = lattice.shape[0]
    result = start.copy()
    for i in range(len(targets)):
        v = start[i].copy()
        best = 1e30
        damping = 1e-3
        for _ in range(rounds):
            value = np.zeros(3)
            slope = np.zeros((3, 3))
            k = np.zeros(3, np.int64)
            f = np.zeros(3)
            for c in range(3):
                x = v[c] * (n - 1)
                k[c] = min(int(x), n - 2)
                f[c] = x - k[c]
            for corner in range(8):
                b0, b1, b2 = corner >> 2 & 1, corner >> 1 & 1, corner & 1
                w0 = f[0] if b0 else 1 - f[0]
                w1 = f[1] if b1 else 1 - f[1]
                w2 = f[2] if b2 else 1 - f[2]
                s0 = 1.0 if b0 else -1.0
                s1 = 1.0 if b1 else -1.0
                s2 = 1.0 if b2 else -1.0
                for c in range(3):
                    p = lattice[k[0] + b0, k[1] + b1, k[2] + b2, c]
                    value[c] += w0 * w1 * w2 * p
                    slope[c, 0] += s0 * w1 * w2 * p * (n - 1)
                    slope[c, 1] += w0 * s1 * w2 * p * (n - 1)
                    slope[c, 2] += w0 * w1 * s2 * p * (n - 1)
            miss = targets[i] - value
            error = miss[0] ** 2 + miss[1] ** 2 + miss[2] ** 2
            if error < best:
                best = error
                result[i] = v
                damping *= 0.3
            else:
                damping = min(damping * 10.0, 1e3)
            if error < 1e-6:
                break
            A = np.zeros((3, 3))
            y = np.zeros(3)
            for r in range(3):
                for c in range(3):
                    y[r] += slope[c, r] * miss[c]
                    for e in range(3):
                        A[r, c] += slope[e, r] * slope[e, c]
            for c in range(3):
                A[c, c] += damping * (A[c, c] + 1.0)
            # Cramer's rule; the damping keeps the determinant away from zero
            minor = A[1, 1] * A[2, 2] - A[1, 2] * A[2, 1]
            m01 = A[0, 2] * A[2, 1] - A[0, 1] * A[2, 2]
            m02 = A[0, 1] * A[1, 2] - A[0, 2] * A[1, 1]
            det = A[0, 0] * minor + A[1, 0] * m01 + A[2, 0] * m02
            x0 = minor * y[0] + m01 * y[1] + m02 * y[2]
            x1 = (
                (A[1, 2] * A[2, 0] - A[1, 0] * A[2, 2]) * y[0]
                + (A[0, 0] * A[2, 2] - A[0, 2] * A[2, 0]) * y[1]
                + (A[0, 2] * A[1, 0] - A[0, 0] * A[1, 2]) * y[2]
            )
            x2 = (
                (A[1, 0] * A[2, 1] - A[1, 1] * A[2, 0]) * y[0]
                + (A[0, 1] * A[2, 0] - A[0, 0] * A[2, 1]) * y[1]
                + (A[0, 0] * A[1, 1] - A[0, 1] * A[1, 0]) * y[2]
            )
            v[0] = min(max(v[0] + x0 / det, 0.0), 1.0)
            v[1] = min(max(v[1] + x1 / det, 0.0), 1.0)
            v[2] = min(max(v[2] + x2 / det, 0.0), 1.0)
    return result


@dataclass(frozen=True, eq=False)
class Separation:
    """Colorants for every colour of a gamut, tabulated about its grey axis.

    Parameters
    ----------
    gamut
        The gamut whose outline is the outer ring of the table.
    colorants
        (hues + 1, levels, rings, 3) in 0..1.
    """

    gamut: Gamut
    colorants: Float = field(repr=False)

    @classmethod
    def build(cls, model: PrintModel, gamut: Gamut, white_scale: Float) -> Separation:
        """Invert a print model over its gamut.

        Parameters
        ----------
        white_scale
            (3,) factor from absolute to media-relative XYZ.
        """
        from scipy.spatial import cKDTree

        t = np.linspace(0.0, 1.0, _DEVICE_STEPS)
        device = np.stack(np.meshgrid(t, t, t, indexing="ij"), axis=-1).reshape(-1, 3)
        lattice = XYZ_to_ucs(model.XYZ(device) * white_scale)

        h = np.linspace(0.0, 2.0 * np.pi, _HUES + 1)
        # levels and rings closer together where prints are dark and where they are grey
        J = gamut.J_black + (gamut.J_white - gamut.J_black) * np.linspace(0, 1, _LEVELS) ** 1.3
        ring = np.linspace(0.0, 1.0, _RINGS)
        hh, JJ, rr = (g.ravel() for g in np.meshgrid(h, J, ring, indexing="ij"))
        targets = gamut.from_axis(JJ, rr * np.maximum(gamut.limit(JJ, hh), 0.0), hh)
        _, nearest = cKDTree(lattice).query(targets, workers=2)
        colorants = _invert(
            lattice.reshape(_DEVICE_STEPS, _DEVICE_STEPS, _DEVICE_STEPS, 3),
            targets,
            device[nearest],
            12,
        )
        return cls(gamut, colorants.reshape(_HUES + 1, _LEVELS, _RINGS, 3))

    def __call__(self, ucs: Float) -> Float:
        """Colorants of colours inside the gamut.

        Parameters
        ----------
        ucs
            (N, 3) CAM16-UCS, media-relative; what lies outside is taken at the outline.

        Returns
        -------
        ndarray
            (N, 3) in 0..1.
        """
        from scipy.ndimage import map_coordinates

        J, C, h = self.gamut.to_axis(ucs)
        limit = np.maximum(self.gamut.limit(J, h), 1e-6)
        span = self.gamut.J_white - self.gamut.J_black
        level = np.clip((J - self.gamut.J_black) / span, 0.0, 1.0) ** (1 / 1.3)
        where = np.stack(
            [
                h / (2.0 * np.pi) * _HUES,
                level * (_LEVELS - 1),
                np.clip(C / limit, 0.0, 1.0) * (_RINGS - 1),
            ]
        )
        return np.column_stack(
            [
                map_coordinates(self.colorants[..., c], where, order=1, mode="nearest")
                for c in range(3)
            ]
        )
