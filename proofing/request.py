"""Everything one proof depends on, frozen."""

from __future__ import annotations

import math
from collections.abc import Hashable
from dataclasses import dataclass, replace
from typing import cast

import numpy.typing as npt

from proofing.colorimetry import Float
from proofing.errors import SettingError
from proofing.language import tr
from proofing.photograph import Photograph
from proofing.printing import Correction, Intent, Rendering, Stock
from proofing.screen import Screen
from proofing.viewing import Look, Observer, Room

READING_DISTANCE_M = 0.25
"""No one looks at a print from nearer than this (near point of the eye, handbook figure)."""


@dataclass(frozen=True)
class PrintSize:
    """Size of the printed picture, without margin.

    Parameters
    ----------
    width_mm, height_mm
        10 mm to 20 m.

    Raises
    ------
    SettingError
        Outside that.
    """

    width_mm: float
    height_mm: float

    def __post_init__(self) -> None:
        for name in ("width_mm", "height_mm"):
            value = getattr(self, name)
            if not (math.isfinite(value) and 10.0 <= value <= 20_000.0):
                raise SettingError(name, value, tr("use 10 mm to 20 m"))

    @classmethod
    def default_for(cls, photograph: Photograph, ppi: float = 300.0) -> PrintSize:
        """The size at which the photograph's pixels lie `ppi` to the inch."""
        width, height = photograph.facts.width, photograph.facts.height
        mm = 25.4 / ppi
        mm *= min(1.0, 20_000.0 / (mm * max(width, height)))
        mm *= max(1.0, 10.0 / (mm * min(width, height)))
        # a strip too long and thin for both bounds is printed as wide as they allow
        return cls(min(width * mm, 20_000.0), min(height * mm, 20_000.0))

    @property
    def diagonal_mm(self) -> float:
        """Corner to corner."""
        return math.hypot(self.width_mm, self.height_mm)

    def ppi(self, photograph: Photograph) -> float:
        """Pixels per inch on the paper, along the tighter side."""
        facts = photograph.facts
        return 25.4 * min(facts.width / self.width_mm, facts.height / self.height_mm)


@dataclass(frozen=True, eq=False)
class ProofRequest:
    """Everything one proof depends on.

    Parameters
    ----------
    photograph, stock
        What is printed on what.
    room, screen
        Where the print hangs and where it is shown.
    size
        On paper; the default is 300 ppi.
    distance_m
        From the eye to the print; the default is 1.5 times the diagonal, but not nearer than
        :data:`READING_DISTANCE_M`.
    intent, black_point_compensation
        How colours are brought to the stock.
    look, degree_of_adaptation
        How the eye looks.
    gamut_tolerance
        dE00 from which a colour counts as out of gamut.
    correction
        Of the photograph's codes before they are printed; what is lost is told against the file as
        it is, and colours eased in against those that they were. None changes nothing.
    """

    photograph: Photograph
    stock: Stock
    room: Room
    screen: Screen
    size: PrintSize | None = None
    distance_m: float | None = None
    intent: Intent = Intent.RELATIVE
    black_point_compensation: bool = True
    look: Look = Look.SETTLED
    degree_of_adaptation: float | None = None
    gamut_tolerance: float = 3.0
    correction: Correction | None = None

    def __post_init__(self) -> None:
        size = self.size or PrintSize.default_for(self.photograph)
        object.__setattr__(self, "size", size)
        if self.distance_m is None:
            distance = min(max(1.5 * size.diagonal_mm / 1000.0, READING_DISTANCE_M), 30.0)
            object.__setattr__(self, "distance_m", distance)
        if not 0.05 <= cast(float, self.distance_m) <= 100.0:
            raise SettingError("distance_m", self.distance_m, tr("use 0.05 to 100 m"))
        correction = self.correction
        if correction is not None and correction.encoding != self.photograph.encoding:
            own = tr("make it for the photograph's own encoding")
            raise SettingError("correction", correction.encoding.kind, own)
        if not 0.0 < self.gamut_tolerance <= 50.0:
            raise SettingError("gamut_tolerance", self.gamut_tolerance, tr("use 0 to 50 dE00"))

    def to_print(self, codes01: npt.ArrayLike, *, eased: bool = True) -> Float:
        """What is asked of the printer for codes of the photograph.

        Parameters
        ----------
        codes01
            (N, 3), 0..1.
        eased
            Whether strong colours are eased in where the correction does so; without it they are
            what the print is held to.

        Returns
        -------
        ndarray
            (N, 3) XYZ of the corrected codes, D50, media-relative.
        """
        if self.correction is not None:
            correction = self.correction
            codes01 = correction.apply(codes01) if eased else correction.toned(codes01)
        return self.photograph.encoding.to_XYZ(codes01)

    def on(self, stock: Stock) -> ProofRequest:
        """The same print on another stock; a correction follows it."""
        correction = self.correction and self.correction.for_stock(stock)
        return replace(self, stock=stock, correction=correction)

    @property
    def rendering(self) -> Rendering:
        """Intent and black point compensation as one value."""
        return Rendering(self.intent, self.black_point_compensation)

    @property
    def observer(self) -> Observer:
        """The eye."""
        return Observer(self.look, self.degree_of_adaptation)

    @property
    def key(self) -> tuple[Hashable, ...]:
        """What the colours depend on; size and distance are not in it."""
        return (*self.room_key, self.observer.key, self.screen.key)

    @property
    def print_key(self) -> tuple[Hashable, ...]:
        """What the printed spectra depend on."""
        correction = None if self.correction is None else self.correction.key
        return (self.photograph.encoding.key, self.stock.key, self.rendering, correction)

    @property
    def room_key(self) -> tuple[Hashable, ...]:
        """What the light that reaches the eye depends on."""
        return (*self.print_key, self.room.key)
