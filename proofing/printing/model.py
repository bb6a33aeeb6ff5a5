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
from proofing.language import tr
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
        (1 + E, 16, 36) reflectances to the power 1/n of the Neugebauer primaries of cyan,
        magenta, yellow and black: first without, then with each of the E extra inks over them.
        Two extra inks never meet, see :meth:`coverages`.
    glow
        (1 + E, 16, 36) radiance factors that fluorescence adds on each primary, under D50.
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
        *,
        exact: bool = True,
    ) -> PrintModel:
        """Lay the inks on the paper, the black ink made to hit the measured black.

        Parameters
        ----------
        strength
            Layer thickness of the coloured inks relative to the ink record.
        black_Lab
            (3,), D50: what the densest black of this stock measures. The black ink's density
            gets an offset, a slope and a curvature over wavelength so that it does.
        exact
            Whether a black that cannot be printed is refused; otherwise the nearest is made.

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

        R_paper = saunderson_inverse(paper.reflectance, surface.scatter, surface.internal)
        overprints = np.array(np.meshgrid(*[[0.0, 1.0]] * 4, indexing="ij")).reshape(4, -1).T
        colour = np.array([ink.density for ink in inks]) * strength
        ultraviolet = np.array([ink.density_ultraviolet for ink in inks]) * strength
        ultraviolet[3] = inks[3].density_ultraviolet

        def lay(adjustment: Float) -> PrintModel:
            colour[3] = np.maximum(inks[3].density + adjustment @ basis, 0.0)
            D = overprints @ colour[:4]
            D = np.stack([D, *(D + extra for extra in colour[4:])])
            D_uv = overprints @ ultraviolet[:4]
            D_uv = np.stack([D_uv, *(D_uv + extra for extra in ultraviolet[4:])])
            R = saunderson(R_paper * 10**-D, surface.scatter, surface.internal)
            # excitation goes in through the ink once, emission comes out through it once
            glow = paper.emission * 10 ** (-0.5 * (D + D_uv[:, :, None]))
            return cls(paper, surface, inks, n, R ** (1.0 / n), glow)

        def miss(adjustment: Float) -> Float:
            R, emission = lay(adjustment).spectra(full)
            Lab = XYZ_to_Lab((R + emission) @ W)[0]
            return np.append(Lab - black_Lab, 1e-4 * adjustment)

        solution = least_squares(miss, np.zeros(3), xtol=1e-10, ftol=1e-12)
        if exact and float(np.abs(solution.fun[:3]).max()) > 0.1:
            raise RecordError(
                tr(
                    "the black Lab {black} cannot be printed on this surface; a black has L* "
                    "between 2 and 40 and little colour",
                    black=np.round(black_Lab, 2).tolist(),
                ),
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
        ink = self.coverages(colorants)
        areas = demichel(ink[:, :4])
        R = self._mosaic(self.roots, areas, ink[:, 4:]) ** self.n
        if self.paper.brightener == 0.0:
            return R, np.zeros_like(R)
        return R, self._mosaic(self.glow, areas, ink[:, 4:])

    @staticmethod
    def _mosaic(primaries: Float, areas: Float, extra: Float) -> Float:
        """Area-weighted sum over the primaries, (N, 36); at most one extra ink per colour."""
        total = areas @ primaries[0]
        for a, over in zip(extra.T, primaries[1:], strict=True):
            with_ink = np.flatnonzero(a)
            if len(with_ink):
                some = areas[with_ink]
                total[with_ink] += a[with_ink, None] * (some @ (over - primaries[0]))
        return np.asarray(total)

    def XYZ(self, colorants: Float) -> Float:
        """Absolute XYZ under D50 (M1) of printed colorants, (N, 3)."""
        R, emission = self.spectra(colorants)
        return np.asarray((R + emission) @ d50_weights())
