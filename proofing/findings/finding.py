"""A finding: what is lost in one place, with its numbers and what would help."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from proofing.findings.advice import Advice
from proofing.findings.kinds import Kind
from proofing.findings.regions import Region


@dataclass(frozen=True, eq=False)
class Finding:
    """What is lost in one place.

    Attributes
    ----------
    kind
        Which loss.
    reason
        What apart from the kind tells it: ``fine`` or ``coarse`` detail, ``bare`` paper, the
        clipped channels, colours by name; '' where there is nothing to tell.
    region
        Where.
    numbers
        What it was judged by; names carry no unit where they are times a threshold or a dE00.
    sentence
        For people.
    advice
        What would help, the simplest first; empty while it is still being computed.
    """

    kind: Kind
    reason: str
    region: Region
    numbers: Mapping[str, float]
    sentence: str
    advice: tuple[Advice, ...] = field(default=())

    @property
    def rank(self) -> float:
        """Loss x area x centrality; the worst finding has the highest."""
        return self.region.rank


@dataclass(frozen=True)
class KindShare:
    """One kind of loss over the whole picture.

    Attributes
    ----------
    kind
        Which.
    pixels, share
        Pixels lost, and their share of the picture's opaque pixels, 0..1.
    places
        Regions found, pointed at or not.
    rest_share
        Share in places that no finding points at.
    """

    kind: Kind
    pixels: int
    share: float
    places: int
    rest_share: float
