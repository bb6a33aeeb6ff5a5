"""What would help, computed from what the scan measured.

How visible detail is follows from how far apart its tones are on the print, and that from a
luminance function: more light, another pane or lifted shadows change luminance, and with it every
range by a known slope. So these are solved for the cells of a region, without a second scan.
Another stock or another intent is printed and scanned anew; that is the business of
:mod:`proofing.proof`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from proofing.findings.detail import LOST_BELOW, file_floor, print_floor, visibility
from proofing.findings.scan import REFERENCE_BLACK_CD_M2, REFERENCE_WHITE_CD_M2, Tones
from proofing.findings.visibility import luminance_cd_m2, step_size_cd_m2, steps
from proofing.findings.words import MOST_LUX

Float = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]

PLAIN_LUX = tuple(
    step * ten
    for ten in (0.1, 1.0, 10.0, 100.0, 1000.0)
    for step in (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0)
    if step * ten <= MOST_LUX
)
"""Illuminances that a person would set."""
MOST_STOPS = 2.0
"""Shadows are not lifted further than this: the picture would no longer be the same."""
ENOUGH = 0.75
"""Something helps if so much of a region becomes visible by it."""


class Action(StrEnum):
    """What can be done about a loss."""

    STOCK = "stock"
    LIGHT = "light"
    GLAZING = "glazing"
    INTENT = "intent"
    LIFT = "lift"
    EASE = "ease"
    SATURATION = "saturation"
    FILE = "file"
    SCREEN = "screen"


@dataclass(frozen=True)
class Advice:
    """One thing that would help.

    Attributes
    ----------
    action
        What kind of thing.
    sentence
        For people.
    setting
        The name of what to set and its value, where it is a setting: ``('stock', 'baryta')``,
        ``('illuminance_lux', 800.0)``, ``('glazing', ...)``, ``('intent', 'perceptual')``.
    share
        Share of the picture lost afterwards, where it was computed.
    amount
        How much: lux, stops, or the share of saturation to take out.
    """

    action: Action
    sentence: str
    setting: tuple[str, str | float] | None = None
    share: float | None = None
    amount: float | None = None


@dataclass(frozen=True, eq=False)
class ShadowCells:
    """The cells of a region that lost detail, as one list.

    Attributes
    ----------
    weight
        (N,) how much of each counts.
    L_cd_m2
        (N,) mean luminance on the print.
    energy
        (N, BANDS) mean squares on the print, in steps.
    floor
        (N, BANDS) what grain brings to them.
    file_L_cd_m2, file_energy, file_floor
        The same in the file, on the reference display.
    coarse
        (N,) True where coarse detail is what was lost.
    """

    weight: Float
    L_cd_m2: Float
    energy: Float = field(repr=False)
    floor: Float = field(repr=False)
    file_L_cd_m2: Float = field(repr=False)
    file_energy: Float = field(repr=False)
    file_floor: Float = field(repr=False)
    coarse: Mask = field(repr=False)

    @classmethod
    def of(cls, tones: Tones, cells: Mask, lost: Float, coarse: Float) -> ShadowCells:
        """Those of some cells.

        Parameters
        ----------
        tones
            The class of tones they lost detail in.
        cells
            (R, C) which.
        lost
            (R, C) lost pixels.
        coarse
            (R, C) 1 where coarse detail is what was lost.
        """
        cells = cells & (lost > 0.0)
        return cls(
            lost[cells],
            luminance_cd_m2(tones.print_steps[cells]),
            tones.print_energy[cells],
            print_floor(tones)[cells],
            luminance_cd_m2(tones.file_steps[cells]),
            tones.file_energy[cells],
            file_floor(tones)[cells],
            coarse[cells] > 0.5,
        )

    def share_seen(
        self,
        L_new: Float,
        slope: npt.ArrayLike,
        arcmin: float,
        white_cd_m2: float,
        of_file: bool = False,
    ) -> float:
        """Share of it that would be visible with other luminances, 0..1.

        Parameters
        ----------
        L_new
            (N,) mean luminances in cd/m2 after a change.
        slope
            (N,) or a number: change of the new luminance for a change of the print's now, or, with
            `of_file`, of the file's on the reference display.
        arcmin, white_cd_m2
            As for :func:`~proofing.findings.detail.visibility`, after the change.
        """
        if not len(self.weight):
            return 1.0
        L, energy, floor = self.L_cd_m2, self.energy, self.floor
        if of_file:
            L, energy, floor = self.file_L_cd_m2, self.file_energy, self.file_floor
        squared = (np.asarray(slope) * step_size_cd_m2(L) / step_size_cd_m2(L_new)) ** 2
        both = visibility(
            energy * squared[:, None], floor * squared[:, None], steps(L_new), arcmin, white_cd_m2
        )
        seen = np.where(self.coarse, both[1], both[0]) >= LOST_BELOW
        return float(self.weight[seen].sum() / self.weight.sum())


def light_needed(cells: ShadowCells, lux: float, arcmin: float, white_cd_m2: float) -> float | None:
    """Illuminance at which most of a region's detail becomes visible.

    Parameters
    ----------
    cells
        The region.
    lux
        Illuminance now.
    arcmin
        Angle of a working pixel.
    white_cd_m2
        Luminance of the perfect diffuser now.

    Returns
    -------
    float or None
        One of :data:`PLAIN_LUX`; None if it takes more than :data:`MOST_LUX`.
    """
    for more in PLAIN_LUX:
        if more <= lux:
            continue
        s = more / lux
        if cells.share_seen(cells.L_cd_m2 * s, s, arcmin, white_cd_m2 * s) >= ENOUGH:
            return more
    return None


def lift_needed(
    cells: ShadowCells, tone_curve: tuple[Float, Float], arcmin: float, white_cd_m2: float
) -> float | None:
    """Stops by which the file's shadows must be lifted until most of the detail is visible.

    Parameters
    ----------
    cells
        The region.
    tone_curve
        Luminance factors of greys in the file, rising, and the luminances in cd/m2 of their
        prints, (N,) each.
    arcmin, white_cd_m2
        As for :func:`light_needed`.

    Returns
    -------
    float or None
        Stops, in quarters; None if it takes more than :data:`MOST_STOPS`.
    """
    Y, L = tone_curve
    slope = np.gradient(L, Y)
    span = REFERENCE_WHITE_CD_M2 - REFERENCE_BLACK_CD_M2
    now = np.clip((cells.file_L_cd_m2 - REFERENCE_BLACK_CD_M2) / span, 0.0, 1.0)
    for quarter in range(1, round(4 * MOST_STOPS) + 1):
        gain = 2.0 ** (quarter / 4.0)
        then = np.minimum(now * gain, 1.0)
        L_new = np.interp(then, Y, L)
        # from luminance on the reference display to luminance on the print
        through = gain * np.interp(then, Y, slope) / span
        if cells.share_seen(L_new, through, arcmin, white_cd_m2, of_file=True) >= ENOUGH:
            return quarter / 4.0
    return None


def seen_through(
    cells: ShadowCells,
    now: tuple[float, float],
    then: tuple[float, float],
    arcmin: float,
    white_cd_m2: float,
) -> float:
    """Share of a region's detail that another pane would show, 0..1.

    Parameters
    ----------
    cells
        The region.
    now, then
        Luminance through the pane: factor on the print's own light, and the veil in cd/m2.
    arcmin, white_cd_m2
        As for :func:`light_needed`.
    """
    gain = then[0] / now[0]
    L_new = np.maximum(cells.L_cd_m2 - now[1], 1e-6) * gain + then[1]
    return cells.share_seen(L_new, gain, arcmin, white_cd_m2)


def saturation_to_keep(
    miss_at: Callable[[float], Float], tolerance: float, most: float = 0.9
) -> float | None:
    """Share of saturation that colours may keep until they are in the gamut.

    Parameters
    ----------
    miss_at
        Gives (N,) dE00 of the colours with their saturation multiplied by a number.
    tolerance
        dE00 that is allowed.
    most
        Share of the colours that must come in.

    Returns
    -------
    float or None
        0.3..0.95 in steps of 0.05; None if even 0.3 is too much.
    """
    for keep in np.arange(0.95, 0.29, -0.05):
        if float(np.mean(miss_at(float(keep)) <= tolerance)) >= most:
            return round(float(keep), 2)
    return None
