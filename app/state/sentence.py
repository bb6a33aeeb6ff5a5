"""The sentence that says what is shown; every setting in it is a phrase and a chooser.

The same words head the window, the command line's output, the picture of a pair and every
report, so that a person who knows one knows them all.
"""

from __future__ import annotations

import string
from dataclasses import dataclass
from pathlib import Path

from app.state.facts import Facts, frame_mm, photograph_name, print_size_mm, viewing_distance_m
from app.state.lengths import distance_text, size_text
from app.state.setting import Setting
from app.state.shapes import FRAME
from app.state.table import OF_A_PICTURE, SETTINGS, SRGB_SCREEN, SYSTEM_SCREEN, number_text
from proofing.errors import SettingError, UnknownName
from proofing.findings.kinds import Kind
from proofing.findings.words import stops_in_words
from proofing.language import listed, mark, tr
from proofing.ordering.lengths import width_text

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
_ESSENTIAL = ("stock", "light", "illuminance")
_OF_THE_PRINT = ("photograph", "marks", "gamut_tolerance", *OF_A_PICTURE)
"""Phrases that do not tell two prints of a picture apart."""


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


def essence(setting: Setting, facts: Facts) -> str:
    """Stock, light and lux of a setting, and what else is not ordinary.

    Examples
    --------
    >>> essence(Setting(stock="canvas"), Facts())
    'canvas, D50, 500 lx'
    """
    usual = sentence(Setting(), facts)
    return ", ".join(
        part.text
        for part in sentence(setting, facts)
        if isinstance(part, Phrase)
        and part.field not in _OF_THE_PRINT
        and (part.field in _ESSENTIAL or part not in usual)
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
    stock = facts.stock(setting.stock)
    standing = f" ({stock.standing})" if stock is not None and stock.standing else ""
    said = tr(
        "{photograph}{changes} on {stock}{standing}, {size}{frame}{edge}, rendered "
        "{intent}{compensation}, hung {wall}under {light} at {illuminance} behind {glazing}"
        "{surround}{reflection}, seen from {distance} with {look}{adaptation}, shown on {screen} "
        "at {luminance}{black}{tolerance}{marks}."
    )
    return _filled(
        said,
        photograph=Phrase("photograph", photograph_name(setting, facts)),
        stock=Phrase("stock", _stock(setting, facts)),
        standing=standing,
        size=Phrase("size_mm", _size(setting, facts)),
        frame=_frame(setting, facts),
        changes=_changes(setting),
        edge=_edge(setting, facts),
        intent=Phrase("intent", SETTINGS["intent"].format(setting.intent)),
        light=Phrase("light", _light(setting, facts)),
        illuminance=Phrase("illuminance", _illuminance(setting, facts)),
        glazing=Phrase("glazing", tr(setting.glazing)),
        distance=Phrase("distance_m", _distance(setting, facts)),
        look=Phrase("look", SETTINGS["look"].format(setting.look)),
        screen=Phrase("screen_profile", _screen(setting, facts)),
        luminance=Phrase(
            "screen_luminance_cd_m2", f"{number_text(setting.screen_luminance_cd_m2, 1)} cd/m²"
        ),
        **_unusual(setting),
    )


def _changes(setting: Setting) -> Sentence:
    """What is done to the picture itself, between commas."""
    changes: list[Phrase] = []
    if setting.crop and (setting.crop != FRAME or setting.size_mm is not None):
        words = tr("cropped to {shape}", shape=SETTINGS["crop"].format(setting.crop))
        changes.append(Phrase("crop", words))
        if setting.crop_place != SETTINGS["crop_place"].default:
            changes.append(Phrase("crop_place", _place(setting.crop_place)))
    changes += corrections(setting)
    said: Sentence = ()
    for change in changes:
        said += _filled(tr(", {change}"), change=change)
    return (*said, ",") if said else ()


def corrections(setting: Setting) -> list[Phrase]:
    """What is done to the photograph's tones and colours for its print."""
    made: list[Phrase] = []
    if setting.curve:
        made.append(Phrase("curve", tr("with a curve of your own")))
    if setting.shadow_lift:
        stops = stops_in_words(setting.shadow_lift)
        made.append(Phrase("shadow_lift", tr("shadows lifted by {stops}", stops=stops)))
    if setting.colour_ease:
        percent = number_text(setting.colour_ease, 1)
        words = tr("strong colours eased in by {percent} %", percent=percent)
        made.append(Phrase("colour_ease", words))
    return made


def _place(place: float) -> str:
    """Which part a crop keeps."""
    if place in (0.0, 1.0):
        return tr("from its beginning") if place == 0.0 else tr("from its end")
    return tr("{percent} % from its beginning", percent=number_text(100.0 * place, 1))


def _edge(setting: Setting, facts: Facts) -> Sentence:
    """Margin, wrap and bleed."""
    said: Sentence = ()
    width = Phrase("edge_mm", width_text(setting.edge_mm, facts.inches))
    if setting.edge in _EDGES and (setting.edge_mm or setting.bleed_mm):
        edge = Phrase("edge", tr(_EDGES[setting.edge]))
        if setting.edge == "margin":
            said = _filled(tr(", with {edge} of {width}"), edge=edge, width=width)
        elif setting.edge_mm:
            said = _filled(tr(", {edge} round a bar of {width}"), edge=edge, width=width)
        else:
            said = _filled(tr(", {edge}"), edge=edge)
    if setting.bleed_mm:
        words = tr("{width} of bleed", width=width_text(setting.bleed_mm, facts.inches))
        said += _filled(tr(", with {bleed}"), bleed=Phrase("bleed_mm", words))
    return said


_EDGES = {
    "margin": mark("a white margin"),
    "mirrored": mark("its edge mirrored"),
    "white": mark("its edge white"),
    "black": mark("its edge black"),
    "picture": mark("the picture running on"),
}

_UNUSUAL = (
    "compensation", "wall", "surround", "reflection", "adaptation", "black", "tolerance",
    "marks",
)  # fmt: skip


def _unusual(setting: Setting) -> dict[str, Sentence]:
    """What is said only where it is off its ordinary value."""
    said: dict[str, Sentence] = dict.fromkeys(_UNUSUAL, ())
    if not setting.black_point_compensation:
        words = tr("without black point compensation")
        said["compensation"] = (" ", Phrase("black_point_compensation", words))
    if setting.wall_reflectance != SETTINGS["wall_reflectance"].default:
        percent = number_text(setting.wall_reflectance * 100, 1)
        words = tr("a wall of {percent} % reflectance", percent=percent)
        said["wall"] = _filled(tr("on {wall} "), wall=Phrase("wall_reflectance", words))
    if setting.surround != SETTINGS["surround"].default:
        words = SETTINGS["surround"].format(setting.surround)
        said["surround"] = _filled(tr(" in {surround}"), surround=Phrase("surround", words))
    if setting.reflection_ratio > 0:
        percent = number_text(setting.reflection_ratio * 100, 1)
        words = tr("a room {percent} % as bright", percent=percent)
        glazed = setting.glazing != SETTINGS["glazing"].default
        template = tr(" that mirrors {room}") if glazed else tr(", mirroring {room}")
        said["reflection"] = _filled(template, room=Phrase("reflection_ratio", words))
    if setting.degree_of_adaptation is not None:
        percent = number_text(setting.degree_of_adaptation * 100, 1)
        words = tr("{percent} % adapted to the light", percent=percent)
        said["adaptation"] = _filled(
            tr(" and {adaptation}"), adaptation=Phrase("degree_of_adaptation", words)
        )
    if setting.screen_black_cd_m2 is not None:
        luminance = number_text(setting.screen_black_cd_m2, 3)
        words = tr("a black of {luminance} cd/m²", luminance=luminance)
        said["black"] = _filled(tr(" with {black}"), black=Phrase("screen_black_cd_m2", words))
    if setting.gamut_tolerance != SETTINGS["gamut_tolerance"].default:
        said["tolerance"] = _filled(
            tr(", colours marked when missed by more than {tolerance}"),
            tolerance=Phrase("gamut_tolerance", f"ΔE00 {number_text(setting.gamut_tolerance)}"),
        )
    if setting.marks != SETTINGS["marks"].default:
        words = _marks(setting, SETTINGS["marks"].format(setting.marks))
        said["marks"] = _filled(tr(", with {marks}"), marks=Phrase("marks", words))
    return said


def _filled(template: str, **values: Phrase | str | Sentence) -> Sentence:
    """A template's words with its phrases between them, in the order that a language has them."""
    parts: list[Phrase | str] = []
    for words, name, _, _ in string.Formatter().parse(template):
        value = values[name] if name else ()
        parts += [words, *(value if isinstance(value, tuple) else (value,))]
    return tuple(part for part in parts if part)


def text_of(parts: Sentence) -> str:
    """The sentence as plain text."""
    return "".join(part if isinstance(part, str) else part.text for part in parts)


def _marks(setting: Setting, shown: str) -> str:
    """Those that are on, or, where these are fewer, those that are off."""
    off = [kind.title.lower() for kind in Kind if kind not in setting.marks]
    if not setting.marks:
        return shown
    if len(off) <= _FEW:
        return tr("all marks but {off}", off=listed(off))
    return tr("marks for {shown} only", shown=shown)


def _stock(setting: Setting, facts: Facts) -> str:
    fact = facts.stock(setting.stock)
    return Path(setting.stock).name if fact is None else tr(fact.name)


def _frame(setting: Setting, facts: Facts) -> str:
    frame = frame_mm(setting, facts)
    if frame is None:
        return ""
    return tr(" (fitted into {size})", size=size_text(frame, facts.inches))


def _size(setting: Setting, facts: Facts) -> str:
    try:
        return size_text(print_size_mm(setting, facts), facts.inches)
    except SettingError:
        return tr(SETTINGS["size_mm"].automatic)


def _light(setting: Setting, facts: Facts) -> str:
    fact = facts.light(setting.light)
    if fact is None:
        return setting.light
    words = tr(fact.words or fact.name)
    return words if words.endswith(" K") else f"{words}, {round(fact.cct_K / 50) * 50} K"


def _illuminance(setting: Setting, facts: Facts) -> str:
    try:
        lux = f"{number_text(facts.lux(setting.illuminance), 1)} lx"
    except UnknownName:
        return tr(str(setting.illuminance))
    return f"{lux} ({tr(setting.illuminance)})" if isinstance(setting.illuminance, str) else lux


def _distance(setting: Setting, facts: Facts) -> str:
    try:
        metres = viewing_distance_m(setting, facts)
    except SettingError:
        return tr(SETTINGS["distance_m"].automatic)
    return distance_text(metres, facts.inches)


def _screen(setting: Setting, facts: Facts) -> str:
    if setting.screen_profile == SYSTEM_SCREEN:
        return tr("this screen, taken as sRGB,") if facts.system_screen == "" else tr("this screen")
    if setting.screen_profile == SRGB_SCREEN:
        return tr("an sRGB screen")
    return tr("the screen of {screen_profile}", screen_profile=Path(setting.screen_profile).name)
