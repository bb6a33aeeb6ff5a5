"""Findings in plain sentences, the same in the window, in reports and in JSON."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from typing import TYPE_CHECKING

from proofing.findings.kinds import Kind
from proofing.language import listed, mark, numeral, tr

if TYPE_CHECKING:
    import numpy.typing as npt

MOST_LUX = 2000.0
"""No more light is advised than that of a viewing booth for critical comparison (ISO 3664:2009,
P1): stronger light fades prints."""
CAREFUL_LUX = 200.0
"""CIE 157:2004: moderately sensitive works hang in 150 to 200 lx (from memory)."""
LIGHT_CARE = mark(" Strong light fades prints: for one that matters ask a conservator.")
"""Said wherever more light than that is advised."""
_HUES = (
    (50.0, mark("reds")),
    (75.0, mark("oranges")),
    (105.0, mark("yellows")),
    (135.0, mark("yellow greens")),
    (170.0, mark("greens")),
    (225.0, mark("blue greens")),
    (300.0, mark("blues")),
    (330.0, mark("purples")),
    (350.0, mark("magentas")),
    (361.0, mark("reds")),
)
"""CIELAB hue angles, degrees, up to which a colour goes by a name; from memory."""
_LIGHT_NAMES = {"reds": mark("pinks"), "blues": mark("light blues"), "purples": mark("lilacs")}
"""Of what is lighter than :data:`_LIGHT_ABOVE_L` (ISCC-NBS colour names, from memory)."""
_LIGHT_ABOVE_L = 65.0
_DARK_NAMES = ((45.0, 85.0, mark("browns")), (85.0, 120.0, mark("olives")))
"""Hue angles between which a colour below :data:`_BROWN_BELOW_L` has a name of its own (ISCC-NBS
colour names, from memory)."""
_BROWN_BELOW_L = 50.0
_DARK_BELOW_L = 25.0  # L* below which the others are called dark
_NEUTRAL = 10.0  # C*ab below which a colour has no name of its own
_MANY = 4  # names, each of a tenth of a place's colours, that are no longer listed
MANY_HUES = mark("colours of many hues")
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
        return tr("none")
    if share < 0.001:
        return tr("under {share:.1f} %", share=0.1)
    if 0.999 < share < 1:
        return tr("over {share:.1f} %", share=99.9)
    percent = share * 100
    return numeral(f"{percent:.1f} %" if percent < 9.95 else f"{percent:.0f} %")


def stops_in_words(stops: float) -> str:
    """A number of stops.

    >>> stops_in_words(1.0), stops_in_words(0.75)
    ('1 stop', '0.75 stops')
    """
    return tr("1 stop") if stops == 1 else tr("{stops:g} stops", stops=stops)


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
        return tr(MANY_HUES)
    common = [name for name, count in names.most_common(2) if count >= _COMMON * len(values)]
    return listed(common or [names.most_common(1)[0][0]])


def _name(L: float, a: float, b: float) -> str:
    if math.hypot(a, b) < _NEUTRAL:
        return tr("dark neutrals") if L < 40 else tr("light neutrals") if L > 75 else tr("greys")
    hue_deg = math.degrees(math.atan2(b, a)) % 360.0
    if L < _BROWN_BELOW_L:
        for low, high, name in _DARK_NAMES:
            if low <= hue_deg < high:
                return tr(name)
    name = next(name for limit, name in _HUES if hue_deg < limit)
    if L > _LIGHT_ABOVE_L:
        return tr(_LIGHT_NAMES.get(name, name))
    return tr("dark {colours}", colours=tr(name)) if L < _DARK_BELOW_L else tr(name)


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
        tr("less colourful") if delta_C < 0 else tr("more colourful"): abs(delta_C),
        tr("darker") if delta_L < 0 else tr("lighter"): abs(delta_L),
        tr("shifted in hue"): abs(delta_H),
    }
    most = max(parts.values())
    return listed([name for name, size in parts.items() if size >= _EVEN * most])


def _times(value: float) -> str:
    return (
        tr("{value:.1f} times", value=value)
        if value < 9.95
        else tr("{value:.0f} times", value=value)
    )


def _saturated(reason: str) -> str:
    return (
        tr("Strong colours")
        if reason == tr(MANY_HUES)
        else tr("Saturated {colours}", colours=reason)
    )


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
    place = tr("{where} ({share} of the picture)", where=where, share=share_in_words(share))
    if kind in (Kind.BLOCKED_SHADOWS, Kind.BLOWN_HIGHLIGHTS):
        part = tr("shadows") if kind is Kind.BLOCKED_SHADOWS else tr("highlights")
        if reason == "bare":
            return tr(
                "Bare paper, {place}: no ink is laid there, so it shows as the sheet itself.",
                place=place,
            )
        what = tr("Modelling") if reason == "coarse" else tr("Fine detail")
        return tr(
            "{what} in the {part} is lost, {place}: plain in the file ({file} what an eye "
            "can just see), too faint to see on this print in this light ({print}).",
            what=what,
            part=part,
            place=place,
            file=_times(numbers["file"]),
            print=_times(numbers["print"]),
        )
    if kind is Kind.OUT_OF_GAMUT:
        way = way_in_words(numbers["delta_L"], numbers["delta_C"], numbers["delta_H"])
        return tr(
            "{colours} print {way}, {place}: {miss:.1f} ΔE00 off on average, over {miss_95:.1f} in "
            "the worst twentieth.",
            colours=reason.capitalize(),
            way=way,
            place=place,
            miss=numbers["miss"],
            miss_95=numbers["miss_95"],
        )
    if kind is Kind.FLATTENED_COLOUR:
        return tr(
            "{saturated} lose their modelling, {place}: colours that differ by {wanted:.0f} "
            "in the file differ by {printed:.0f} on the print (CAM16-UCS ΔE).",
            saturated=_saturated(reason),
            place=place,
            wanted=numbers["wanted"],
            printed=numbers["printed"],
        )
    if kind is Kind.CLIPPED_IN_FILE:
        return tr(
            "Clipped in the file, {place}: {reason}. No stock brings that back.",
            place=place,
            reason=reason,
        )
    if kind is Kind.BEYOND_SCREEN:
        return tr(
            "This screen cannot show some colours of the print, {place}: they are stronger "
            "on the print than in the picture on the screen.",
            place=place,
        )
    return tr(
        "A smooth gradient in 8 bits, {place}: a correction that makes its contrast twice "
        "as strong would break it into steps that show.",
        place=place,
    )
