"""Numbers as people read them, the same in the window, on paper and on the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from proofing.findings.words import CAREFUL_LUX, LIGHT_CARE, MOST_LUX
from proofing.language import filled, mark, numeral, tr
from proofing.ordering.size import ENOUGH_PPI, resolved_ppi

if TYPE_CHECKING:
    from proofing.screen import ScreenAgainstPrint
    from proofing.viewing import Glazing, RoomExcess


DELTA_E_00 = mark(
    "ΔE00: how far apart two colours look; about 1 is just noticeable side by side, 3 shows "
    "at a glance (typical)."
)
"""CIEDE2000 for people; the two figures are common practice."""
_DIMMEST_CD_M2 = 40.0  # below it a screen is of no use for work, common practice
_BRIGHTEST_CD_M2 = 250.0  # nor can most screens do more, common practice
_BY_SURROUND = 1.25  # more than luminances explain: the surround has a part in it
_LEAST_STOPS = 0.1  # less no one sees


def screen_in_words(screen: ScreenAgainstPrint, *, matched: bool = False) -> str:
    """How the screen's white compares with the paper's, and what to turn.

    Parameters
    ----------
    screen
        The comparison.
    matched
        Whether the picture on the screen leaves the difference out, the paper as bright as white.
    """
    lux = screen.illuminance_to_set_lux
    light = (
        ""
        if lux is None or lux > MOST_LUX
        else tr("light the print with {lux} lx", lux=_two_digits(lux))
    )
    care = tr(LIGHT_CARE) if light and lux is not None and lux > CAREFUL_LUX else ""
    setting = tr(
        "set the screen to {luminance:.0f} cd/m²",
        luminance=screen.luminance_to_set_cd_m2,
    )
    if not _DIMMEST_CD_M2 <= screen.luminance_to_set_cd_m2 <= _BRIGHTEST_CD_M2:
        setting = "" if light else setting  # no one works on such a screen
    remedy = (
        tr("{setting}, or {light}", setting=setting, light=light)
        if setting and light
        else setting or light
    )
    remedy = (
        tr("To compare the two, {remedy}", remedy=remedy)
        if remedy
        else tr("No screen can be set to match it")
    )
    left_out = (
        tr(" The picture here does not show that: its whites are matched.") if matched else ""
    )
    compared = (
        tr(
            "Your screen's white, {screen_cd_m2:.0f} cd/m², is {stops:.1f} stops brighter than "
            "bare paper in this room, {paper_cd_m2:.0f} cd/m²: beside it the print looks darker "
            "than you expect. {remedy}.{care}{left_out}"
        )
        if screen.stops > 0
        else tr(
            "Your screen's white, {screen_cd_m2:.0f} cd/m², is {stops:.1f} stops darker than "
            "bare paper in this room, {paper_cd_m2:.0f} cd/m²: beside it the print looks lighter "
            "than you expect. {remedy}.{care}{left_out}"
        )
    )
    return filled(
        compared,
        screen_cd_m2=screen.screen_cd_m2,
        stops=abs(screen.stops),
        paper_cd_m2=screen.paper_cd_m2,
        remedy=remedy,
        care=care,
        left_out=left_out,
    )


def _two_digits(value: float) -> str:
    """As a person would set it."""
    return numeral(f"{float(f'{value:.1e}'):g}")


def room_in_words(excess: RoomExcess) -> str:
    """By how much the room is brighter than the screen can be, '' where it is not.

    Against a dark surround the same luminance looks brighter (CIE 248:2022, through its factor
    c), so that paper may be out of the screen's reach though its luminance is not.
    """
    if not excess.exceeds or excess.stops < _LEAST_STOPS:
        return ""
    by_luminance = excess.paper_cd_m2 / excess.shown_cd_m2
    if by_luminance <= 1.0 or excess.luminance_ratio > _BY_SURROUND * by_luminance:
        return tr(
            "Against surroundings this dark, bare paper looks brighter than its "
            "{paper_cd_m2:.0f} cd/m² alone would: the most that this screen can give it is "
            "{shown_cd_m2:.0f} cd/m², and one {stops:.1f} stops brighter, at "
            "{screen_needed_cd_m2:.0f} cd/m², would show it in full.",
            paper_cd_m2=excess.paper_cd_m2,
            shown_cd_m2=excess.shown_cd_m2,
            stops=excess.stops,
            screen_needed_cd_m2=excess.screen_needed_cd_m2,
        )
    return tr(
        "The room is brighter than this screen can be: bare paper is at {paper_cd_m2:.0f} "
        "cd/m² there and at {shown_cd_m2:.0f} cd/m² here; a screen {stops:.1f} stops "
        "brighter, at {screen_needed_cd_m2:.0f} cd/m², would show it in full.",
        paper_cd_m2=excess.paper_cd_m2,
        shown_cd_m2=excess.shown_cd_m2,
        stops=excess.stops,
        screen_needed_cd_m2=excess.screen_needed_cd_m2,
    )


def sharpness_in_words(ppi: float, distance_m: float) -> str:
    """That a print has fewer pixels than an eye can tell from where it is, '' where it has not.

    Parameters
    ----------
    ppi
        Pixels of the file on an inch of paper.
    distance_m
        From the eye to the print.

    Examples
    --------
    >>> sharpness_in_words(76, 0.5)[:59]
    'Fine detail may look soft: 76 ppi on paper, where an eye at'
    >>> sharpness_in_words(76, 1.2), sharpness_in_words(299, 0.25)
    ('', '')
    """
    told = min(resolved_ppi(distance_m), ENOUGH_PPI)
    if ppi >= 0.99 * told:
        return ""
    return tr(
        "Fine detail may look soft: {ppi:.0f} ppi on paper, where an eye at "
        "{distance_m:.2g} m can tell about {told:.0f} ppi (one minute of arc, common "
        "practice).",
        ppi=ppi,
        distance_m=distance_m,
        told=told,
    )


def glazing_in_words(glazing: Glazing) -> str:
    """What a pane does to the light, '' for none; the figures of ``stocklight glazings``."""
    if glazing.is_none:
        return ""
    return tr(
        "lets {transmittance_D50} of D50 through, reflects {reflectance}",
        transmittance_D50=percent(glazing.transmittance_D50),
        reflectance=percent(glazing.reflectance),
    )


def percent(share: float) -> str:
    """A share with one decimal, as lists show it.

    >>> percent(0.917)
    '91.7 %'
    """
    return tr("{share:.1f} %", share=100.0 * share)
