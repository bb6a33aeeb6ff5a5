"""What a comparison of stocks says: each stock, measured, and all in an order."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from proofing.findings.kinds import Kind
from proofing.ordering.character import Character
from proofing.ordering.ranking import Criterion, Standing
from proofing.printing import Stock
from proofing.request import ProofRequest


@dataclass(frozen=True)
class Contrast:
    """Ratios of luminance, x to 1.

    Attributes
    ----------
    in_room, own
        Bare paper to the densest black, in the room, and without its reflections.
    picture, file
        The picture's lightest tone to its darkest, on the print in the room, and in the file as the
        reference display of Adobe RGB (1998) shows it.
    """

    in_room: float
    own: float
    picture: float
    file: float

    @property
    def lost_stops(self) -> float:
        """Stops of the picture's contrast that the print lacks."""
        return max(math.log2(self.file / self.picture), 0.0)


@dataclass(frozen=True)
class Glare:
    """The veil that the room lays over a print.

    Attributes
    ----------
    mirrored_ratio
        How bright what is mirrored was taken to be, see :func:`.ranking.mirrored_ratio`.
    veil_cd_m2
        Luminance of the veil.
    of_paper
        Its share of bare paper's own luminance.
    from_pane
        Share of it that comes from the glazing, not from the print's surface.
    """

    mirrored_ratio: float
    veil_cd_m2: float
    of_paper: float
    from_pane: float


@dataclass(frozen=True, eq=False)
class StockResult:
    """One stock, measured.

    Attributes
    ----------
    stock
        Which.
    shares
        Share of the picture lost, by kind. Bare paper is not among the blown highlights.
    bare, weakened
        Shares that are bare paper, and whose detail stays at less than a quarter of its strength.
    delta_E_mean, delta_E_95
        dE00 between printed and wanted, D50, over the picture: mean and 95th percentile.
    contrast, glare
        See there.
    suits
        How its surface suits the picture, 0..1.
    marks, score
        See :mod:`.ranking`.
    standing
        How it stands to the stock before it; None for the first.
    """

    stock: Stock
    shares: dict[Kind, float]
    bare: float
    weakened: float
    delta_E_mean: float
    delta_E_95: float
    contrast: Contrast
    glare: Glare
    suits: float
    marks: dict[Criterion, float] = field(default_factory=dict)
    score: float = 0.0
    standing: Standing | None = None

    @property
    def detail_lost(self) -> float:
        """Share blocked, blown or flattened."""
        kinds = (Kind.BLOCKED_SHADOWS, Kind.BLOWN_HIGHLIGHTS, Kind.FLATTENED_COLOUR)
        return sum(self.shares[kind] for kind in kinds)

    @property
    def costs(self) -> dict[Criterion, float]:
        """What it takes from the picture, in the units of :data:`.ranking.WEIGHTS`."""
        return {
            Criterion.DETAIL: self.detail_lost,
            Criterion.WEAKENED: self.weakened,
            Criterion.COLOUR: self.delta_E_mean,
            Criterion.WORST_COLOUR: self.delta_E_95,
            Criterion.CONTRAST: self.contrast.lost_stops,
            Criterion.GLARE: self.glare.of_paper,
            Criterion.SURFACE: 1.0 - self.suits,
        }


@dataclass(frozen=True, eq=False)
class Comparison:
    """All stocks for one picture in one room.

    Attributes
    ----------
    request
        The setting; its stock is one of those compared.
    character
        What kind of picture it is.
    ranked
        The stocks, the best first.
    left_out
        Stocks that could not be compared, and why.
    sample_share
        Share of the picture's pixels that detail was looked for in; 1 for all.
    """

    request: ProofRequest
    character: Character
    ranked: tuple[StockResult, ...]
    left_out: tuple[tuple[Stock, str], ...]
    sample_share: float
