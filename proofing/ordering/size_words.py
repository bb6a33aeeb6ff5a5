"""What size, ppi and distance come to, in a sentence or two."""

from __future__ import annotations

from proofing.language import tr
from proofing.ordering.lengths import SMALLEST_MM, distance_text, size_text
from proofing.ordering.size import DIAGONALS_AWAY, Fineness, sharp_from_diagonals


def size_in_words(fineness: Fineness, *, inches: bool = False) -> str:
    """What the file gives at its size, and from where it is sharp.

    Parameters
    ----------
    fineness
        A file at a size.
    inches
        Whether lengths are told in inches and feet.

    Examples
    --------
    >>> size_in_words(Fineness((3000, 2000), (600.0, 400.0), 1.0))
    'At 60 × 40 cm the file gives 127 ppi: sharp from 69 cm and further.'
    >>> size_in_words(Fineness((6000, 4000), (508.0, 338.7), 1.0), inches=True)[:41]
    'At 20 × 13.3 in the file gives 300 ppi: a'
    """
    size = size_text(fineness.size_mm, inches)
    if fineness.is_enough_at_hand:
        return tr(
            "At {size} the file gives {ppi:.0f} ppi: as fine as is asked of a print, however near "
            "(300 ppi, common practice).",
            size=size,
            ppi=fineness.ppi,
        )
    return tr(
        "At {size} the file gives {ppi:.0f} ppi: sharp from {distance} and further.",
        size=size,
        ppi=fineness.ppi,
        distance=distance_text(fineness.sharp_from_m, inches, _finer(fineness, inches)),
    )


def _finer(fineness: Fineness, inches: bool) -> int:
    """Decimals that are needed to tell where it is sharp from where the eye is."""
    here, sharp = fineness.distance_m, fineness.sharp_from_m
    alike = distance_text(here, inches) == distance_text(sharp, inches)
    return int(alike and not fineness.is_sharp)


def distance_in_words(fineness: Fineness, *, inches: bool = False, may_shrink: bool = True) -> str:
    """What an eye makes of it from its distance, and what would help.

    Where a part of the picture goes round a bar of a given depth it may not shrink: a smaller print
    would leave less of it in front.

    Examples
    --------
    >>> distance_in_words(Fineness((3000, 2000), (600.0, 400.0), 1.5))
    'From 1.5 m an eye resolves about 58 ppi, and sharp eyes twice that (from memory): both \
find it sharp.'
    >>> distance_in_words(Fineness((3000, 2000), (600.0, 400.0), 0.5))
    'From 50 cm an eye resolves about 175 ppi: single pixels may show. Look from further away, or \
print it no larger than 43.6 × 29.1 cm; made-up pixels would add no detail.'
    """
    distance = distance_text(fineness.distance_m, inches, _finer(fineness, inches))
    resolved = fineness.resolved_ppi
    if fineness.is_sharp_to_sharp_eyes:
        return tr(
            "From {distance} an eye resolves about {resolved:.0f} ppi, and sharp eyes twice that "
            "(from memory): both find it sharp.",
            distance=distance,
            resolved=resolved,
        )
    if fineness.is_sharp_to_the_eye:
        return tr(
            "From {distance} an eye resolves about {resolved:.0f} ppi; sharp eyes, which resolve "
            "up to twice that (from memory), find it sharp from {further} on.",
            distance=distance,
            resolved=resolved,
            further=distance_text(fineness.sharp_eyes_from_m, inches),
        )
    if fineness.is_enough_at_hand:
        return tr(
            "From {distance} an eye could resolve {resolved:.0f} ppi, but no more than 300 ppi is "
            "asked of a print (common practice).",
            distance=distance,
            resolved=resolved,
        )
    if fineness.is_almost_sharp:
        return tr(
            "From {distance} an eye resolves about {resolved:.0f} ppi, hardly more than there is: "
            "single pixels are at the edge of what shows, and from {sharp} on they are beyond it.",
            distance=distance,
            resolved=resolved,
            sharp=distance_text(fineness.sharp_from_m, inches, _finer(fineness, inches)),
        )
    if not may_shrink:
        return tr(
            "From {distance} an eye resolves about {resolved:.0f} ppi: single pixels may show. "
            "Look from further away, or mirror the edge, which leaves more pixels in front.",
            distance=distance,
            resolved=resolved,
        )
    if min(fineness.largest_sharp_mm) < SMALLEST_MM:
        return tr(
            "From {distance} an eye resolves about {resolved:.0f} ppi: single pixels show. The "
            "file has too few for a print of any usual size; made-up pixels would add no detail.",
            distance=distance,
            resolved=resolved,
        )
    return tr(
        "From {distance} an eye resolves about {resolved:.0f} ppi: single pixels may show. "
        "Look from further away, or print it no larger than {size}; made-up pixels would add "
        "no detail.",
        distance=distance,
        resolved=resolved,
        size=size_text(fineness.largest_sharp_mm, inches),
    )


def any_size_in_words(pixels: tuple[int, int]) -> str:
    """How far away the print is sharp at any size.

    >>> any_size_in_words((6000, 4000))
    'Whatever its size, the print is sharp from 0.5 times its diagonal and further; people stand \
about 1.5 times away (common practice).'
    """
    return tr(
        "Whatever its size, the print is sharp from {times:.1f} times its diagonal and further; "
        "people stand about {usual:.1f} times away (common practice).",
        times=sharp_from_diagonals(pixels),
        usual=DIAGONALS_AWAY,
    )
