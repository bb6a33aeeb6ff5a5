"""From a setting to a request that :mod:`proofing` can carry out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.state.facts import Facts, print_size_mm, viewing_distance_m
from app.state.setting import Setting
from app.state.table import SRGB_SCREEN, SYSTEM_SCREEN

if TYPE_CHECKING:
    from proofing.catalogue import Catalogue
    from proofing.proof import ProofRequest

    from proofing.photograph import Photograph
    from proofing.screen import Screen


def build_request(setting: Setting, catalogue: Catalogue, photograph: Photograph) -> ProofRequest:
    """Everything one proof needs, looked up and frozen.

    Parameters
    ----------
    setting
        What has been chosen.
    catalogue
        Where names are looked up.
    photograph
        The picture, already read.

    Raises
    ------
    UnknownName, RecordError, ProfileError
        When a name or a file in the setting leads nowhere.
    """
    from proofing.proof import Intent, Look, PrintSize, ProofRequest

    from proofing.viewing import Room

    facts = Facts.of(catalogue, photograph)
    width_mm, height_mm = print_size_mm(setting, facts)
    return ProofRequest(
        photograph=photograph,
        stock=catalogue.stock(setting.stock),
        intent=Intent(setting.intent),
        black_point_compensation=setting.black_point_compensation,
        size=PrintSize(width_mm, height_mm),
        room=Room(
            light=catalogue.light(setting.light),
            illuminance_lux=facts.lux(setting.illuminance),
            glazing=catalogue.glazing(setting.glazing),
            reflection_ratio=setting.reflection_ratio,
            wall_reflectance=setting.wall_reflectance,
        ),
        distance_m=viewing_distance_m(setting, facts),
        look=Look(setting.look),
        degree_of_adaptation=setting.degree_of_adaptation,
        screen=build_screen(setting),
        gamut_tolerance=setting.gamut_tolerance,
    )


def build_screen(setting: Setting) -> Screen:
    """The screen a setting names.

    Raises
    ------
    ProfileError
        When the file is no profile of a screen.
    """
    from proofing.photograph import IccProfile, srgb_profile
    from proofing.screen import Screen

    if setting.screen_profile == SRGB_SCREEN:
        profile, provenance = srgb_profile(), "assumed sRGB"
    elif setting.screen_profile == SYSTEM_SCREEN:
        from proofing.screen import system_profile

        profile, provenance = system_profile()
    else:
        profile = IccProfile.from_file(setting.screen_profile)
        provenance = f"profile {setting.screen_profile}"
    return Screen(
        profile=profile,
        luminance_cd_m2=setting.screen_luminance_cd_m2,
        black_cd_m2=setting.screen_black_cd_m2,
        provenance=provenance,
    )
