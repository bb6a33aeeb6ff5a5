"""The sentence that says what is shown; every setting in it is a phrase and a chooser.

The same words head the window, the command line's output, the picture of a pair and every
report, so that a person who knows one knows them all.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from app.state.facts import Facts, frame_mm, photograph_name, print_size_mm, viewing_distance_m
from app.state.lengths import distance_text, size_text
from app.state.setting import Setting
from app.state.table import SETTINGS, SRGB_SCREEN, SYSTEM_SCREEN, number_text
from proofing.errors import SettingError, UnknownName
from proofing.findings.kinds import Kind

_FEW = 2  # marks that are off are named rather than those that are on


@dataclass(frozen=True)
class Phrase:
    """A run of words that stands for one setting.

    Attributes
    ----------
    field
        The setting's id.
    text
        The words.
    """

    field: str
    text: str


Sentence = tuple[Phrase | str, ...]
_OF_THE_PRINT = ("photograph", "marks", "gamut_tolerance")  # settings that are no part of it


def differences(setting: Setting, other: Setting, facts: Facts) -> str:
    """The phrases of a setting that another one has otherwise, '' where both print alike.

    Examples
    --------
    >>> differences(Setting(stock="canvas", illuminance=50.0), Setting(), Facts())
    'canvas, 50 lx'
    """
    phrases, others = (
        [part for part in sentence(one, facts) if isinstance(part, Phrase)]
        for one in (setting, other)
    )
    return ", ".join(
        phrase.text
        for phrase in phrases
        if phrase not in others and phrase.field not in _OF_THE_PRINT
    )


def sentence(setting: Setting, facts: Facts) -> Sentence:
    """The sentence of a setting.

    Parameters
    ----------
    setting
        What has been chosen.
    facts
        The catalogue's names and the open picture; a size or place they cannot tell yet is
        left in the words of the setting itself.

    Returns
    -------
    tuple of Phrase or str
        Concatenated, the text. A setting that is off its ordinary value and changes the
        picture always has a phrase; one that is at it may stay silent.
    """
    parts: list[Phrase | str] = [
        Phrase("photograph", photograph_name(setting, facts)),
        " on ",
        Phrase("stock", _stock(setting, facts)),
    ]
    stock = facts.stock(setting.stock)
    if stock is not None and stock.standing:
        parts.append(f" ({stock.standing})")
    parts += [", ", Phrase("size_mm", _size(setting, facts))]
    frame = frame_mm(setting, facts)
    if frame is not None:
        parts.append(f" (fitted into {size_text(frame, facts.inches)})")
    parts += [", rendered ", Phrase("intent", SETTINGS["intent"].format(setting.intent))]
    if not setting.black_point_compensation:
        parts += [" ", Phrase("black_point_compensation", "without black point compensation")]
    parts.append(", hung ")
    if setting.wall_reflectance != SETTINGS["wall_reflectance"].default:
        percent = number_text(setting.wall_reflectance * 100, 1)
        wall = Phrase("wall_reflectance", f"a wall of {percent} % reflectance")
        parts += ["on ", wall, " "]
    parts += [
        "under ",
        Phrase("light", _light(setting, facts)),
        " at ",
        Phrase("illuminance", _illuminance(setting, facts)),
        " behind ",
        Phrase("glazing", setting.glazing),
    ]
    if setting.surround != SETTINGS["surround"].default:
        parts += [" in ", Phrase("surround", SETTINGS["surround"].format(setting.surround))]
    if setting.reflection_ratio > 0:
        percent = number_text(setting.reflection_ratio * 100, 1)
        parts += [
            " that mirrors " if setting.glazing != SETTINGS["glazing"].default else ", mirroring ",
            Phrase("reflection_ratio", f"a room {percent} % as bright"),
        ]
    parts += [
        ", seen from ",
        Phrase("distance_m", _distance(setting, facts)),
        " with ",
        Phrase("look", SETTINGS["look"].format(setting.look)),
    ]
    if setting.degree_of_adaptation is not None:
        percent = number_text(setting.degree_of_adaptation * 100, 1)
        parts += [" and ", Phrase("degree_of_adaptation", f"{percent} % adapted to the light")]
    parts += [
        ", shown on ",
        Phrase("screen_profile", _screen(setting, facts)),
        " at ",
        Phrase("screen_luminance_cd_m2", f"{number_text(setting.screen_luminance_cd_m2, 1)} cd/m²"),
    ]
    if setting.screen_black_cd_m2 is not None:
        black = f"a black of {number_text(setting.screen_black_cd_m2, 3)} cd/m²"
        parts += [" with ", Phrase("screen_black_cd_m2", black)]
    tolerance = number_text(setting.gamut_tolerance)
    if setting.gamut_tolerance != SETTINGS["gamut_tolerance"].default:
        parts += [
            ", colours marked when missed by more than ",
            Phrase("gamut_tolerance", f"ΔE00 {tolerance}"),
        ]
    if setting.marks != SETTINGS["marks"].default:
        shown = SETTINGS["marks"].format(setting.marks)
        parts += [
            ", with ",
            Phrase("marks", _marks(setting, shown)),
        ]
    parts.append(".")
    return tuple(parts)


def text_of(parts: Sentence) -> str:
    """The sentence as plain text."""
    return "".join(part if isinstance(part, str) else part.text for part in parts)


def _marks(setting: Setting, shown: str) -> str:
    """Those that are on, or, where these are fewer, those that are off."""
    off = [kind.title.lower() for kind in Kind if kind not in setting.marks]
    if not setting.marks:
        return shown
    if len(off) <= _FEW:
        return f"all marks but {' and '.join(off)}"
    return f"marks for {shown} only"


def _stock(setting: Setting, facts: Facts) -> str:
    fact = facts.stock(setting.stock)
    return Path(setting.stock).name if fact is None else fact.name


def _size(setting: Setting, facts: Facts) -> str:
    try:
        return size_text(print_size_mm(setting, facts), facts.inches)
    except SettingError:
        return SETTINGS["size_mm"].automatic


def _light(setting: Setting, facts: Facts) -> str:
    fact = facts.light(setting.light)
    if fact is None:
        return setting.light
    words = fact.words or fact.name
    return words if words.endswith(" K") else f"{words}, {round(fact.cct_K / 50) * 50} K"


def _illuminance(setting: Setting, facts: Facts) -> str:
    try:
        lux = f"{number_text(facts.lux(setting.illuminance), 1)} lx"
    except UnknownName:
        return str(setting.illuminance)
    return f"{lux} ({setting.illuminance})" if isinstance(setting.illuminance, str) else lux


def _distance(setting: Setting, facts: Facts) -> str:
    try:
        metres = viewing_distance_m(setting, facts)
    except SettingError:
        return SETTINGS["distance_m"].automatic
    return distance_text(metres, facts.inches)


def _screen(setting: Setting, facts: Facts) -> str:
    if setting.screen_profile == SYSTEM_SCREEN:
        return "this screen, taken as sRGB," if facts.system_screen == "" else "this screen"
    if setting.screen_profile == SRGB_SCREEN:
        return "an sRGB screen"
    return f"the screen of {Path(setting.screen_profile).name}"
