"""The spectral print: Yule-Nielsen modified Neugebauer, behind a three-channel device.

A described stock is driven like a printer without a raster processor of its own: three
*colorants* ``(c, m, y)`` in 0..1 span its gamut, and a recipe turns them into ink coverages,
black taking over the grey part and the extra inks strengthening the secondaries they match. So
the gamut is the image of a cube, its surface the image of the six faces, concave where the
print is.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from proofing.colorimetry import Float, XYZ_to_Lab, d50_weights
from proofing.errors import RecordError
from proofing.printing.inks import Ink
from proofing.printing.paper import Paper, Surface, saunderson, saunderson_inverse

GREY_REPLACEMENT = 0.7
"""Share of the grey part of cyan, magenta and yellow that black replaces."""
BLACK_START = 0.1
"""Grey part at which black sets in; lighter greys are kept free of visible black dots."""
BLACK_POWER = 1.3
"""How gently black sets in."""
_CORNER = 0.05  # keeps the recipe smooth where all three colorants are full


def demichel(coverages: Float) -> Float:
    """Areas of the Neugebauer primaries under randomly overlapping dots.

    Parameters
    ----------
    coverages
        (N, K) ink coverages in 0..1.

    Returns
    -------
    ndarray
        (N, 2**K); the first ink is the most significant bit. Rows sum to 1.

    Notes
    -----
    Demichel 1924.

    >>> demichel(np.array([[0.5, 0.3, 0.2]])).round(2)[0].tolist()
    [0.28, 0.07, 0.12, 0.03, 0.28, 0.07, 0.12, 0.03]
    """
    areas = np.ones((len(coverages), 1))
    for a in coverages.T[:, :, None]:
        areas = np.stack([areas * (1 - a), areas * a], axis=2).reshape(len(coverages), -1)
    return areas


def yule_nielsen(areas: Float, R: Float, n: float) -> Float:
    """Reflectance of a mosaic with optical dot gain, ``(sum a_i R_i^(1/n))^n``.

    Parameters
    ----------
    areas
        (N, P) areas of the primaries.
    R
        (P, W) their reflectances.
    n
        The Yule-Nielsen factor, 1 for no scattering between dots.

    >>> areas = np.array([[0.5, 0.5]])
    >>> R = np.array([[0.9], [0.05]])
    >>> [round(yule_nielsen(areas, R, n).item(), 5) for n in (1, 2, 3, 5, 10)]
    [0.475, 0.34357, 0.29667, 0.26066, 0.2354]
    """
    return np.asarray((areas @ R ** (1.0 / n)) ** n)


@dataclass(frozen=True, eq=False)
class PrintModel:
    """Everything needed to print colorants on one paper.

    Parameters
    ----------
    paper, surface
        The sheet.
    inks
        Four to seven; cyan, magenta, yellow, black first.
    n
        Yule-Nielsen factor.
    roots
        (P, 36) reflectances of the Neugebauer primaries to the power 1/n.
    glow
        (P, 36) radiance factors that fluorescence adds on each primary, under D50.
    """

    paper: Paper
    surface: Surface
    inks: tuple[Ink, ...]
    n: float
    roots: Float = field(repr=False)
    glow: Float = field(repr=False)

    @classmethod
    def build(
        cls,
        paper: Paper,
        surface: Surface,
        inks: tuple[Ink, ...],
        strength: float,
        n: float,
        black_Lab: Float,
    ) -> PrintModel:
        """Lay the inks on the paper, the black ink made to hit the measured black.

        Parameters
        ----------
        strength
            Layer thickness of the coloured inks relative to the ink record.
        black_Lab
            (3,), D50: what the densest black of this stock measures. The black ink's density
            gets an offset, a slope and a curvature over wavelength so that it does.

        Raises
        ------
        RecordError
            When the black is lighter than the paper allows or darker than its surface.
        """
        from scipy.optimize import least_squares

        x = np.linspace(-1.0, 1.0, len(paper.reflectance))
        basis = np.stack([np.ones_like(x), x, x * x])
        W = d50_weights()
        full = np.array([[1.0, 1.0, 1.0]])

        def lay(adjustment: Float) -> PrintModel:
            densities = [ink.density * strength for ink in inks]
            densities[3] = np.maximum(inks[3].density + adjustment @ basis, 0.0)
            R_paper = saunderson_inverse(paper.reflectance, surface.scatter, surface.internal)
            primaries = []
            glow = []
            bits = np.array(np.meshgrid(*[[0, 1]] * len(inks), indexing="ij"))
            for row in bits.reshape(len(inks), -1).T:
                D = sum((d for bit, d in zip(row, densities, strict=True) if bit), 0.0 * x)
                D_uv = sum(
                    ink.density_ultraviolet * (strength if i != 3 else 1.0)
                    for i, (bit, ink) in enumerate(zip(row, inks, strict=True))
                    if bit
                )
                primaries.append(saunderson(R_paper * 10**-D, surface.scatter, surface.internal))
                # excitation goes in through the ink once, emission comes out through it once
                glow.append(paper.emission * 10 ** (-0.5 * (D + D_uv)))
            return cls(
                paper, surface, inks, n, np.array(primaries) ** (1.0 / n), np.array(glow)
            )

        def miss(adjustment: Float) -> Float:
            R, emission = lay(adjustment).spectra(full)
            Lab = XYZ_to_Lab((R + emission) @ W)[0]
            return np.append(Lab - black_Lab, 1e-4 * adjustment)

        solution = least_squares(miss, np.zeros(3), xtol=1e-10, ftol=1e-12)
        if float(np.abs(solution.fun[:3]).max()) > 0.1:
            raise RecordError(
                f"the black Lab {np.round(black_Lab, 2).tolist()} cannot be printed on this"
                " surface; a black has L* between 2 and 40 and little colour",
                field="black.Lab",
            )
        return lay(solution.x)

    def coverages(self, colorants: Float) -> Float:
        """Ink coverages of colorants.

        Parameters
        ----------
        colorants
            (N, 3) cyan, magenta, yellow in 0..1.

        Returns
        -------
        ndarray
            (N, K) in 0..1, one column per ink.

        Notes
        -----
        Grey component replacement with under-colour addition: black grows with the smallest
        colorant, and takes away from each of the three the more, the closer that one is to
        the smallest, so that saturated darks keep their full chromatic ink.
        """
        v = np.clip(colorants, 0.0, 1.0)
        grey = v.min(axis=1, keepdims=True)
        above = np.clip((grey - BLACK_START) / (1.0 - BLACK_START), 0.0, 1.0)
        black = above**BLACK_POWER
        pure = (v - grey) / (1.0 - grey + _CORNER)
        sets_in = np.clip(3.0 * above, 0.0, 1.0)
        ink = np.clip(v - GREY_REPLACEMENT * grey * (1.0 - pure) * sets_in, 0.0, 1.0)
        columns = [ink, black]
        partners = {"orange": (1, 2, 0), "green": (0, 2, 1), "violet": (0, 1, 2)}
        for extra in self.inks[4:]:
            i, j, other = partners[extra.name]
            columns.append(np.clip(np.minimum(v[:, i], v[:, j]) - v[:, other], 0.0, 1.0)[:, None])
        return np.concatenate(columns, axis=1)

    def spectra(self, colorants: Float) -> tuple[Float, Float]:
        """Spectra of printed colorants.

        Parameters
        ----------
        colorants
            (N, 3).

        Returns
        -------
        reflectance, emission
            (N, 36) each: radiance factor without fluorescence, and what fluorescence adds to
            it under D50.
        """
        areas = demichel(self.coverages(colorants))
        used = areas.any(axis=0)
        R = (areas[:, used] @ self.roots[used]) ** self.n
        if self.paper.brightener == 0.0:
            return R, np.zeros_like(R)
        return R, areas[:, used] @ self.glow[used]

    def XYZ(self, colorants: Float) -> Float:
        """Absolute XYZ under D50 (M1) of printed colorants, (N, 3)."""
        R, emission = self.spectra(colorants)
        return np.asarray((R + emission) @ d50_weights())
