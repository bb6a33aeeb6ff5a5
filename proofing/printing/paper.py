"""Paper: a smooth reflectance from Lab, its surface, its brightener."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from proofing.colorimetry import (
    WAVELENGTHS_NM,
    Float,
    Lab_to_XYZ,
    XYZ_to_Lab,
    d50_power,
    d50_weights,
)
from proofing.errors import RecordError
from proofing.language import tr

EMISSION_PEAK_NM = 438.0
"""Peak of the blue emission of common paper brighteners; a plausible shape, not a fit."""
EMISSION_WIDTHS_NM = (16.0, 32.0)
"""Standard deviations of that emission below and above its peak; likewise."""


@dataclass(frozen=True)
class Surface:
    """The top of a sheet.

    Parameters
    ----------
    kind
        ``"matte"``, ``"textured matte"``, ``"canvas"``, ``"semi-gloss"`` or ``"gloss"``.
    gloss_60_GU
        Specular gloss at 60 degrees, gloss units (ISO 2813).
    specular
        0..1, how much of the surface's mirror-like reflection of the room reaches the eye in
        one direction; the rest is scattered so widely that it is part of the illuminance.
    scatter
        Saunderson k1 as seen at 45:0: the share of the light that the surface sends back
        without entering the ink.
    internal
        Saunderson k2: the share that is turned back inside, under the surface.
    """

    kind: str
    gloss_60_GU: float
    specular: float
    scatter: float
    internal: float


def saunderson(R: Float, k1: float, k2: float) -> Float:
    """Measured reflectance of an internal one, ``k1 + (1-k1)(1-k2) R / (1 - k2 R)``.

    Parameters
    ----------
    R
        Internal reflectance, any shape.
    k1, k2
        Surface coefficients (Saunderson 1942).

    >>> round(float(saunderson(np.array(1.0), 0.04, 0.596)), 6)
    1.0
    """
    return np.asarray(k1 + (1 - k1) * (1 - k2) * R / (1 - k2 * R))


def saunderson_inverse(R_m: Float, k1: float, k2: float) -> Float:
    """Internal reflectance of a measured one; the inverse of :func:`saunderson`.

    >>> round(float(saunderson_inverse(saunderson(np.array(0.3), 0.04, 0.596), 0.04, 0.596)), 9)
    0.3
    """
    t = (R_m - k1) / ((1 - k1) * (1 - k2))
    return np.asarray(t / (1 + k2 * t))


def emission_shape() -> Float:
    """Radiance factor that a brightener adds under D50, scaled to 1 at 440 nm.

    Returns
    -------
    ndarray
        (36,). The emitted power has the shape of a two-sided Gaussian around
        :data:`EMISSION_PEAK_NM`; dividing by D50's power makes a radiance factor of it.
    """
    below, above = EMISSION_WIDTHS_NM
    offset = WAVELENGTHS_NM - EMISSION_PEAK_NM
    power = np.exp(-0.5 * (offset / np.where(offset < 0, below, above)) ** 2)
    S = np.interp(WAVELENGTHS_NM, *d50_power())
    shape = power / S
    return np.asarray(shape / shape[np.searchsorted(WAVELENGTHS_NM, 440.0)])


def smooth_reflectance(parameters: Float) -> Float:
    """A smooth paper-like reflectance: the logistic of a quadratic in wavelength.

    Parameters
    ----------
    parameters
        (3,): offset, slope, curvature over the wavelength scaled to -1..1.

    Returns
    -------
    ndarray
        (36,), always between 0 and 1.
    """
    x = (WAVELENGTHS_NM - 555.0) / 175.0
    return np.asarray(1.0 / (1.0 + np.exp(-np.polynomial.polynomial.polyval(x, parameters))))


@dataclass(frozen=True)
class Paper:
    """The unprinted sheet.

    Parameters
    ----------
    reflectance
        (36,) radiance factor without fluorescence (ISO 13655 M2).
    brightener
        What fluorescence adds to the radiance factor at 440 nm under D50 (M1), 0 for none.
    """

    reflectance: Float = field(repr=False)
    brightener: float

    @property
    def emission(self) -> Float:
        """(36,) radiance factor added under D50."""
        return np.asarray(self.brightener * emission_shape())

    @classmethod
    def from_white(
        cls, white_Lab: Float, b_without_ultraviolet: float | None = None, *, exact: bool = True
    ) -> Paper:
        """The smoothest paper of a given white.

        Parameters
        ----------
        white_Lab
            (3,), D50, 2 degrees, measured with the ultraviolet in D50 (M1).
        b_without_ultraviolet
            b* of the same sheet with ultraviolet excluded (M2); None, or a value not above the
            M1 b*, for a sheet without brightener.
        exact
            Whether a white that no smooth paper has is refused; otherwise the nearest is made.

        Returns
        -------
        Paper
            Whose M1 colour is `white_Lab` (and whose M2 b* is as asked).

        Raises
        ------
        RecordError
            When no smooth reflectance below 1 has that colour.
        """
        from scipy.optimize import least_squares

        W = d50_weights()
        glow = emission_shape()
        fluoresces = b_without_ultraviolet is not None and b_without_ultraviolet > white_Lab[2]

        def miss(p: Float) -> Float:
            R = smooth_reflectance(p[:3])
            lift = p[3] * glow if fluoresces else 0.0
            error = XYZ_to_Lab((R + lift) @ W) - white_Lab
            if fluoresces:
                error = np.append(error, XYZ_to_Lab(R @ W)[2] - b_without_ultraviolet)
            return np.asarray(error)

        start = np.array([2.5, 0.0, 0.0, 0.1][: 4 if fluoresces else 3])
        solution = least_squares(miss, start, xtol=1e-12, ftol=1e-12, gtol=1e-12)
        if exact and float(np.abs(solution.fun).max()) > 0.02:
            raise RecordError(
                tr(
                    "no smooth paper has the white Lab {white}; give the white as measured on "
                    "D50 with L* between 60 and 99",
                    white=np.round(white_Lab, 2).tolist(),
                ),
                field="white.Lab",
            )
        R = smooth_reflectance(solution.x[:3])
        R.flags.writeable = False
        return cls(R, max(float(solution.x[3]), 0.0) if fluoresces else 0.0)

    @classmethod
    def from_reflectance(cls, reflectance: Float, white_Lab: Float, fluoresces: bool) -> Paper:
        """A paper of its measured spectrum without ultraviolet (M2).

        Parameters
        ----------
        reflectance
            (36,) radiance factors.
        white_Lab
            (3,), M1.
        fluoresces
            Whether the difference between the two is to be made by a brightener.

        Raises
        ------
        RecordError
            When spectrum and white do not belong to one sheet.
        """
        W = d50_weights()
        brightener = 0.0
        if fluoresces:
            lift = emission_shape() @ W
            missing = Lab_to_XYZ(white_Lab) - reflectance @ W
            brightener = max(float(missing @ lift / (lift @ lift)), 0.0)
        made = cls(reflectance, brightener)
        difference = float(
            np.linalg.norm(XYZ_to_Lab((reflectance + made.emission) @ W) - white_Lab)
        )
        if difference > 1.5:
            raise RecordError(
                tr(
                    "its colour is {difference:.1f} delta E away from white.Lab; leave one of "
                    "the two out, or give white.b_without_ultraviolet for a brightened sheet",
                    difference=difference,
                ),
                field="white.reflectance",
            )
        return made


def typical_b_without_ultraviolet(b: float) -> float | None:
    """b* that a bluish white typically has without ultraviolet.

    Parameters
    ----------
    b
        b* measured with it (M1).

    Returns
    -------
    float or None
        None for a white that is not bluish. Paper is bluish because it is brightened; of the
        usual brightened sheets a fifth to a third of the blue is dye and stays (common practice).
    """
    return 0.2 * b if b < -1.0 else None
