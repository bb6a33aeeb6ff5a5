"""From a setting to a request that :mod:`proofing` can carry out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.state.facts import Facts, print_size_mm, viewing_distance_m
from app.state.setting import Setting
from app.state.table import CORRECTIONS, SETTINGS, SRGB_SCREEN, SYSTEM_SCREEN, curve_points
from proofing.errors import ProfileError
from proofing.language import tr

SURROUND_RATIOS = {"average": 1.0, "dim": 0.1, "dark": 0.0}
"""Luminance of a white in the room beyond to one beside the print; below 0.2 a surround is dim, at
0 dark (CIE 159:2004, CIE 248:2022)."""

if TYPE_CHECKING:
    from proofing.catalogue import Catalogue
    from proofing.photograph import Photograph
    from proofing.photograph.icc import IccProfile
    from proofing.printing import Correction, Stock
    from proofing.request import ProofRequest
    from proofing.screen import Screen


def build_request(
    setting: Setting, catalogue: Catalogue, photograph: Photograph, facts: Facts | None = None
) -> ProofRequest:
    """Everything one proof needs, looked up and frozen.

    Parameters
    ----------
    setting
        What has been chosen.
    catalogue
        Where names are looked up.
    photograph
        The picture, already read: what is seen of it.
    facts
        With the whole file, where only a part of it is seen.

    Raises
    ------
    UnknownName, RecordError, ProfileError
        When a name or a file in the setting leads nowhere.
    """
    from proofing.printing import Intent
    from proofing.request import PrintSize, ProofRequest
    from proofing.viewing import Look, Room

    facts = facts or Facts.of(catalogue, photograph)
    width_mm, height_mm = print_size_mm(setting, facts)
    stock = catalogue.stock(setting.stock)
    return ProofRequest(
        photograph=photograph,
        stock=stock,
        intent=Intent(setting.intent),
        black_point_compensation=setting.black_point_compensation,
        size=PrintSize(width_mm, height_mm),
        room=Room(
            light=catalogue.light(setting.light),
            illuminance_lux=facts.lux(setting.illuminance),
            glazing=catalogue.glazing(setting.glazing),
            reflection_ratio=setting.reflection_ratio,
            wall_reflectance=setting.wall_reflectance,
            surround_ratio=SURROUND_RATIOS[setting.surround],
        ),
        distance_m=viewing_distance_m(setting, facts),
        look=Look(setting.look),
        degree_of_adaptation=setting.degree_of_adaptation,
        screen=build_screen(setting),
        gamut_tolerance=setting.gamut_tolerance,
        correction=build_correction(setting, photograph, stock),
    )


def build_correction(setting: Setting, photograph: Photograph, stock: Stock) -> Correction | None:
    """The correction that a setting asks for; None where it asks for none."""
    from proofing.printing import ColourEase, Intent, Rendering, correction_for

    if not is_corrected(setting):
        return None
    ease = None
    if setting.colour_ease and photograph.encoding.kind != "grey":
        rendering = Rendering(Intent(setting.intent), setting.black_point_compensation)
        ease = ColourEase(photograph.encoding, stock, rendering, setting.colour_ease / 100.0)
    made = correction_for(
        photograph.encoding, curve_points(setting.curve), setting.shadow_lift, ease
    )
    return None if made.is_none else made


def is_corrected(setting: Setting) -> bool:
    """Whether a setting asks for a correction of the photograph."""
    return any(getattr(setting, field) != SETTINGS[field].default for field in CORRECTIONS)


def canonical(setting: Setting, catalogue: Catalogue) -> Setting:
    """The setting with every alias replaced by the name that the catalogue lists.

    A stock from a file keeps its path.

    Raises
    ------
    UnknownName, RecordError, ProfileError
        When a name or a file in the setting leads nowhere.
    """
    stock = catalogue.stock(setting.stock)
    listed = any(stock is other for other in catalogue.stocks)
    illuminance = setting.illuminance
    if isinstance(illuminance, str):
        illuminance = Facts.of(catalogue).place(illuminance).name
    return setting.change(
        stock=stock.name if listed else setting.stock,
        light=catalogue.light(setting.light).name,
        glazing=catalogue.glazing(setting.glazing).name,
        illuminance=illuminance,
    )


def build_screen(setting: Setting) -> Screen:
    """The screen a setting names.

    Raises
    ------
    ProfileError
        When the file is no profile of a screen.
    """
    from proofing.photograph.icc import IccProfile, srgb_profile
    from proofing.screen import Screen

    if setting.screen_profile == SRGB_SCREEN:
        profile, provenance = srgb_profile(), tr("sRGB, as chosen")
    elif setting.screen_profile == SYSTEM_SCREEN:
        system = system_profile()
        if system is None:
            profile, provenance = srgb_profile(), tr("sRGB: the system tells of no profile")
        else:
            profile, provenance = system, tr("the profile this system uses")
    else:
        profile = IccProfile.from_file(setting.screen_profile)
        provenance = tr("profile {screen_profile}", screen_profile=setting.screen_profile)
    return Screen(
        profile=profile,
        luminance_cd_m2=setting.screen_luminance_cd_m2,
        black_cd_m2=setting.screen_black_cd_m2,
        provenance=provenance,
    )


def system_profile() -> IccProfile | None:
    """The profile that the system uses for its first screen; None where it tells of none."""
    from proofing.photograph.icc import IccProfile
    from proofing.screen import monitor_profile

    data = monitor_profile()
    if data is None:
        return None
    try:
        return IccProfile.from_bytes(data, origin=tr("the system's screen profile"))
    except ProfileError:
        return None
