"""What a match with a white sheet, dark patches and a ramp tell, in words."""

from __future__ import annotations

from app.match_sheet import MATCH_SPREAD_MIRED, WhiteMatch
from proofing.language import tr

USUAL_CD_M2 = (80.0, 120.0)
"""Of a screen on which prints are judged; common practice."""


def sensible(luminance_cd_m2: float) -> float:
    """As finely as an eye's match can tell it.

    >>> sensible(137.9), sensible(342.0), sensible(31.7)
    (140.0, 340.0, 32.0)
    """
    step = 1.0 if luminance_cd_m2 < 50.0 else 5.0 if luminance_cd_m2 < 300.0 else 10.0
    return round(luminance_cd_m2 / step) * step


def luminance_in_words(found: WhiteMatch, *, at_most: bool, usable: bool) -> str:
    """How bright the screen's white is.

    Parameters
    ----------
    found
        The match.
    at_most
        Whether the patch cannot be made brighter.
    usable
        Whether a screen can have that luminance.
    """
    low, high = (found.luminance_cd_m2 * (1.0 + sign * found.spread) for sign in (-1, 1))
    if not usable:
        return tr(
            "This would mean a white of {luminance_cd_m2:.0f}\u00a0cd/m², and no screen has "
            "that: look at the lux again, or change the light on the sheet.",
            luminance_cd_m2=found.luminance_cd_m2,
        )
    about = f"{sensible(found.luminance_cd_m2):.0f}\u00a0cd/m²"
    between = tr("{low:.0f} to {high:.0f}", low=sensible(low), high=sensible(high))
    if at_most:
        return tr(
            "If patch and sheet look alike, this screen's white has about {about} "
            "({between}). If the sheet is still brighter, your light is brighter than the "
            "screen can be: dim the lamp, or go further away from it.",
            about=about,
            between=between,
        )
    said = tr("This screen's white has about {about} ({between}).", about=about, between=between)
    usual_low, usual_high = USUAL_CD_M2
    if low > usual_high:
        return said + (
            tr(
                " {usual_low:.0f} to {usual_high:.0f}\u00a0cd/m² is usual where prints are judged; "
                "beside a brighter screen they look dark.",
                usual_low=usual_low,
                usual_high=usual_high,
            )
        )
    return said


def white_in_words(found: WhiteMatch) -> str:
    """What colour the screen's white has, against the light's and what its profile says."""
    if found.cct_K is None or found.light_cct_K is None:
        return tr(
            "The colour of its white cannot be told without a light that is known and whitish."
        )
    low, high = (_kelvin(edge) for edge in found.cct_range_K)
    own, light = _kelvin(found.cct_K), _kelvin(found.light_cct_K)
    from_light = 1e6 / found.light_cct_K - 1e6 / found.cct_K
    if abs(from_light) <= MATCH_SPREAD_MIRED:
        said = tr(
            "Its white is near {own} ({low} to {high}), as is the light's, as far as eyes tell.",
            own=own,
            low=low,
            high=high,
        )
    elif from_light > 0.0:
        said = tr(
            "Its white is near {own} ({low} to {high}), bluer than the light's {light}: for "
            "a closer match choose a warmer white in the screen's own menu.",
            own=own,
            low=low,
            high=high,
            light=light,
        )
    else:
        said = tr(
            "Its white is near {own} ({low} to {high}), warmer than the light's {light}: "
            "for a closer match choose a bluer white in the screen's own menu.",
            own=own,
            low=low,
            high=high,
            light=light,
        )
    if abs(1e6 / found.profile_cct_K - 1e6 / found.cct_K) <= MATCH_SPREAD_MIRED:
        return said
    return said + (
        tr(
            " Its profile says {temperature}: check the kind of light, or choose a profile that is "
            "this screen's.",
            temperature=_kelvin(found.profile_cct_K),
        )
    )


def _kelvin(cct_K: float) -> str:
    return f"{round(cct_K / 100.0) * 100}\u00a0K"


def shadows_in_words(lost_L: float, code: int, *, seen: bool) -> str:
    """What the darkest patch that is told from black means.

    Parameters
    ----------
    lost_L
        Its L*.
    code
        Its grey code of 255.
    seen
        Whether it is seen; else it is the lightest patch, and not even that one is.
    """
    if not seen:
        return tr(
            "Not even shadows of L* {lost_L:.1f} (grey code {code} of 255) can be judged on "
            "this screen in this room. Darken the room, turn lamps away from the screen, or "
            "raise the black level in the screen's own menu, and look again.",
            lost_L=lost_L,
            code=code,
        )
    return tr(
        "Shadows under L* {lost_L:.1f} (grey code {code} of 255) cannot be judged on this "
        "screen in this room: trust the marks and the numbers there. A darker room, or no "
        "lamp that falls on the screen, shows more.",
        lost_L=lost_L,
        code=code,
    )


def steps_in_words(bits: int, size: float) -> str:
    """What the ramps show.

    Parameters
    ----------
    bits
        That a channel of the window's pixels has.
    size
        Of a step of 8 bits in just-noticeable differences.
    """
    about = tr(
        "A step of 8 bits is about {size:.1f} just-noticeable differences here (DICOM "
        "PS3.14), so that faint, even steps are no fault of the screen. Uneven ones, broad "
        "bands and tints are the screen's, and the same in a sky is no fault of the file.",
        size=size,
    )
    if bits >= 10:
        return about + (
            tr(
                " This desktop gives the window {bits} bits a channel. If the lower ramp is "
                "smoother than the upper one, the screen shows them; the pictures are drawn in "
                "8 bits all the same.",
                bits=bits,
            )
        )
    return about + (
        tr(
            " This desktop gives the window {bits} bits a channel, and a screen of 10 bits "
            "shows no finer steps here.",
            bits=bits,
        )
    )


def taken_in_words(luminance_cd_m2: float, *, refused: bool) -> str:
    """What became of a luminance that was to be taken over.

    Parameters
    ----------
    luminance_cd_m2
        Of the white.
    refused
        Whether it was not set, as it does not go with the black that was stated.
    """
    if refused:
        return tr(
            "A white of {luminance_cd_m2:.0f}\u00a0cd/m² does not go with the black that the "
            "sentence states for this screen, more than a fifth of it: state its black anew "
            "first.",
            luminance_cd_m2=luminance_cd_m2,
        )
    return tr(
        "The sentence now says {luminance_cd_m2:.0f}\u00a0cd/m² for this screen.",
        luminance_cd_m2=luminance_cd_m2,
    )
