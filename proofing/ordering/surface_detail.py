"""Detail that a surface holds: beyond it, more pixels do not show.

All figures are typical of a class and none is of a standard or of a product: a sheet from the lab
with a fine pattern on it says more.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from proofing.errors import SettingError, UnknownName
from proofing.language import mark, tr
from proofing.ordering.lengths import MM_PER_INCH, number

_PPI = (30.0, 2000.0)
_FROM_MEMORY = mark("Typical; common practice, from memory.")


@dataclass(frozen=True)
class SurfaceDetail:
    """The finest detail that a kind of surface holds.

    Parameters
    ----------
    surface
        The kind, as :class:`proofing.printing.paper.Surface` has it.
    ppi
        Pixels to the inch beyond which the surface hides detail, 30 to 2000.
    why
        What hides it, in a sentence.
    provenance
        Where the figure comes from.
    typical
        True until it is measured.

    Raises
    ------
    SettingError
        For a ppi outside that.

    Examples
    --------
    >>> canvas = surface_detail("canvas")
    >>> canvas.ppi, round(canvas.line_pairs_per_mm, 1), canvas.typical
    (150.0, 3.0, True)
    """

    surface: str
    ppi: float
    why: str
    provenance: str = _FROM_MEMORY
    typical: bool = True

    def __post_init__(self) -> None:
        low, high = _PPI
        if not low <= self.ppi <= high:
            raise SettingError("ppi", self.ppi, tr("use 30 to 2000 ppi"))

    @property
    def line_pairs_per_mm(self) -> float:
        """Dark lines with light ones between them, to the millimetre; two pixels each."""
        return self.ppi / (2.0 * MM_PER_INCH)

    def held_ppi(self, ppi: float) -> float:
        """What of a print's ppi can be seen on the surface."""
        return min(ppi, self.ppi)

    def in_words(self, ppi: float) -> str:
        """What the surface makes of a print's ppi.

        >>> surface_detail("canvas").in_words(127.0)
        'At 127 ppi the surface hides nothing of the file: canvas holds about 150 ppi (typical).'
        """
        if ppi <= self.ppi:
            return tr(
                "At {ppi:.0f} ppi the surface hides nothing of the file: {surface} holds about "
                "{held:.0f} ppi (typical).",
                ppi=ppi,
                surface=tr(self.surface),
                held=self.ppi,
            )
        return tr(
            "On {surface} detail finer than about {held:.0f} ppi, {lines} line pairs per mm, does "
            "not show (typical), and the print has {ppi:.0f} ppi. {why}",
            surface=tr(self.surface),
            held=self.ppi,
            lines=number(self.line_pairs_per_mm),
            ppi=ppi,
            why=tr(self.why),
        )


SURFACE_DETAIL: Final[Mapping[str, SurfaceDetail]] = MappingProxyType(
    {
        detail.surface: detail
        for detail in (
            SurfaceDetail("gloss", 360.0, mark("The dots of the print itself are the limit.")),
            SurfaceDetail("semi-gloss", 300.0, mark("Its fine grain breaks up the light.")),
            SurfaceDetail("matte", 300.0, mark("Ink spreads a little between the fibres.")),
            SurfaceDetail("textured matte", 220.0, mark("Its tooth breaks up fine lines.")),
            SurfaceDetail("canvas", 150.0, mark("The weave breaks up what is finer.")),
        )
    }
)
"""By kind of surface; each with its provenance."""


def surface_detail(surface: str) -> SurfaceDetail:
    """The figure of a kind of surface.

    Raises
    ------
    UnknownName
        For a kind that is not in the table; it lists those that are.
    """
    if surface not in SURFACE_DETAIL:
        raise UnknownName("surface", surface, tuple(SURFACE_DETAIL))
    return SURFACE_DETAIL[surface]
