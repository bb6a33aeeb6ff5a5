"""Findings in plain sentences, the same in the window, in reports and in JSON."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from typing import TYPE_CHECKING

from proofing.findings.kinds import Kind

if TYPE_CHECKING:
    import numpy.typing as npt

MOST_LUX = 2000.0
"""No more light is advised than that of a viewing booth for critical comparison (ISO 3664:2009,
P1): stronger light fades prints."""
CAREFUL_LUX = 200.0
"""CIE 157:2004: moderately sensitive works hang in 150 to 200 lx (from memory)."""
LIGHT_CARE = " Strong light fades prints: for one that matters ask a conservator."
"""Said wherever more light than that is advised."""
_HUES = (
    (50.0, "reds"),
    (75.0, "oranges"),
    (105.0, "yellows"),
    (135.0, "yellow greens"),
    (170.0, "greens"),
    (225.0, "blue greens"),
    (300.0, "blues"),
    (330.0, "purples"),
    (350.0, "magentas"),
    (361.0, "reds"),
)
"""CIELAB hue angles, degrees, up to which a colour goes by a name; from memory."""
_LIGHT_NAMES = {"reds": "pinks", "blues": "light blues", "purples": "lilacs"}
"""Of what is lighter than :data:`_LIGHT_ABOVE_L` (ISCC-NBS colour names, from memory)."""
_LIGHT_ABOVE_L = 65.0
_DARK_NAMES = ((45.0, 85.0, "browns"), (85.0, 120.0, "olives"))
"""Hue angles between which a colour below :data:`_BROWN_BELOW_L` has a name of its own (ISCC-NBS
colour names, from memory)."""
_BROWN_BELOW_L = 50.0
_DARK_BELOW_L = 25.0  # L* below which the others are called dark
_NEUTRAL = 10.0  # C*ab below which a colour has no name of its own
_MANY = 4  # names, each of a tenth of a place's colours, that are no longer listed
MANY_HUES = "colours of many hues"
_COMMON = 0.35  # share of a place's colours from which a second name is given
_EVEN = 0.6  # a part of the difference that is less than this share of the greatest is not named


def share_in_words(share: float) -> str:
    """A share as a percentage that a person can read.

    Parameters
    ----------
    share
        0 to 1.

    Examples
    --------
    >>> [share_in_words(x) for x in (0, 0.00002, 0.0123, 0.5, 0.99999, 1)]
    ['none', 'under 0.1 %', '1.2 %', '50 %', 'over 99.9 %', '100 %']
    """
    if share <= 0:
        return "none"
    if share < 0.001:
        return "under 0.1 %"
    if 0.999 < share < 1:
        return "over 99.9 %"
    percent = share * 100
    return f"{percent:.1f} %" if percent < 9.95 else f"{percent:.0f} %"


def colours_in_words(Lab: npt.ArrayLike) -> str:
    """Colours by name, in the plural: the most frequent name, and the next where it is common too.

    Parameters
    ----------
    Lab
        (N, 3).

    Examples
    --------
    >>> colours_in_words([[40, 60, 50]]), colours_in_words([[30, 20, -70], [30, 25, -70]])
    ('reds', 'blues')
    >>> colours_in_words([[10, 1, 2]]), colours_in_words([[30, 20, -70], [60, -60, 20]])
    ('dark neutrals', 'blues and greens')
    >>> colours_in_words([[40, 20, 30]]), colours_in_words([[20, -10, 25], [15, 20, -40]])
    ('browns', 'olives and dark blues')
    >>> colours_in_words([[70, 40, 10]]), colours_in_words([[20, -10, -20]])
    ('pinks', 'dark blues')
    """
    import numpy as np  # here, as the window's first words need none

    values = np.asarray(Lab, np.float64).reshape(-1, 3)
    names = Counter(_name(*colour) for colour in values)
    often = [name for name, count in names.items() if count >= 0.1 * len(values)]
    if len(often) >= _MANY and names.most_common(1)[0][1] < 0.5 * len(values):
        return MANY_HUES
    common = [name for name, count in names.most_common(2) if count >= _COMMON * len(values)]
    return " and ".join(common or [names.most_common(1)[0][0]])


def _name(L: float, a: float, b: float) -> str:
    if math.hypot(a, b) < _NEUTRAL:
        return "dark neutrals" if L < 40 else "light neutrals" if L > 75 else "greys"
    hue_deg = math.degrees(math.atan2(b, a)) % 360.0
    if L < _BROWN_BELOW_L:
        for low, high, name in _DARK_NAMES:
            if low <= hue_deg < high:
                return name
    name = next(name for limit, name in _HUES if hue_deg < limit)
    if L > _LIGHT_ABOVE_L:
        return _LIGHT_NAMES.get(name, name)
    return f"dark {name}" if L < _DARK_BELOW_L else name


def way_in_words(delta_L: float, delta_C: float, delta_H: float) -> str:
    """In which way printed colours differ from those wanted.

    Parameters
    ----------
    delta_L, delta_C
        Mean difference of lightness and chroma, printed less wanted.
    delta_H
        Mean size of the difference in hue.

    Examples
    --------
    >>> way_in_words(1.0, -9.0, 2.0), way_in_words(-4.0, -5.0, 1.0)
    ('less colourful', 'less colourful and darker')
    """
    parts = {
        "less colourful" if delta_C < 0 else "more colourful": abs(delta_C),
        "darker" if delta_L < 0 else "lighter": abs(delta_L),
        "shifted in hue": abs(delta_H),
    }
    most = max(parts.values())
    return " and ".join(name for name, size in parts.items() if size >= _EVEN * most)


def _times(value: float) -> str:
    return f"{value:.1f} times" if value < 9.95 else f"{value:.0f} times"


def _saturated(reason: str) -> str:
    return "Strong colours" if reason == MANY_HUES else f"Saturated {reason}"


def sentence(
    kind: Kind, reason: str, where: str, share: float, numbers: Mapping[str, float]
) -> str:
    """What is lost, where, and how we know.

    Parameters
    ----------
    kind, reason
        Which loss; the reason tells apart what one kind can be, see
        :class:`~proofing.findings.finding.Finding`.
    where, share
        Place, and share of the picture.
    numbers
        The finding's numbers.
    """
    place = f"{where} ({share_in_words(share)} of the picture)"
    if kind in (Kind.BLOCKED_SHADOWS, Kind.BLOWN_HIGHLIGHTS):
        part = "shadows" if kind is Kind.BLOCKED_SHADOWS else "highlights"
        if reason == "bare":
            return f"Bare paper, {place}: no ink is laid there, so it shows as the sheet itself."
        what = "Modelling" if reason == "coarse" else "Fine detail"
        return (
            f"{what} in the {part} is lost, {place}: plain in the file "
            f"({_times(numbers['file'])} what an eye can just see), too faint to see on this print "
            f"in this light ({_times(numbers['print'])})."
        )
    if kind is Kind.OUT_OF_GAMUT:
        way = way_in_words(numbers["delta_L"], numbers["delta_C"], numbers["delta_H"])
        return (
            f"{reason.capitalize()} print {way}, {place}: "
            f"{numbers['miss']:.1f} ΔE00 off on average, up to {numbers['miss_95']:.1f}."
        )
    if kind is Kind.FLATTENED_COLOUR:
        return (
            f"{_saturated(reason)} lose their modelling, {place}: colours that differ by "
            f"{numbers['wanted']:.0f} in the file differ by {numbers['printed']:.0f} on the print "
            "(CAM16-UCS ΔE)."
        )
    if kind is Kind.CLIPPED_IN_FILE:
        return f"Clipped in the file, {place}: {reason}. No stock brings that back."
    if kind is Kind.BEYOND_SCREEN:
        return (
            f"This screen cannot show some colours of the print, {place}: they are stronger on "
            "the print than in the picture on the screen."
        )
    return (
        f"A smooth gradient in 8 bits, {place}: a correction that makes its contrast twice as "
        "strong would break it into steps that show."
    )
