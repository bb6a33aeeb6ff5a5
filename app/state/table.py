"""The one table of settings.

Every choice a person can make is a row: its type, bounds, default, one sentence, how it is read
from text and written as text. The command line takes its options from here, the window its
choosers, the saved setting its fields, and a test walks every row.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

from app.state.shapes import check_shape, parse_shape, shape_text
from proofing.errors import SettingError
from proofing.findings.kinds import Kind
from proofing.language import mark, numeral, tr
from proofing.ordering.sheets import SHEETS

RowKind = Literal[
    "path", "name", "choice", "number", "switch", "size", "shape", "illuminance", "marks", "curve"
]

SYSTEM_SCREEN = "system"
SRGB_SCREEN = "sRGB"

_NUMBER = r"[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?"
_MM_PER = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, '"': 25.4}  # inch exact: ISO 80000-3


@dataclass(frozen=True)
class Row:
    """One setting.

    Attributes
    ----------
    id
        The field's name in :class:`~app.state.setting.Setting`.
    title
        A label of a few words.
    kind
        What sort of value it is, for choosing a control.
    default
        The value at the start.
    sentence
        What it does, for people.
    parse
        Text to value; raises :class:`~proofing.errors.SettingError`.
    format
        Value to the text shown to people; ``parse(format(value)) == value``.
    check
        Returns the value normalised; raises :class:`~proofing.errors.SettingError`.
    phrase
        The phrase of the sentence whose chooser holds this setting.
    option, metavar
        The command-line option, without the leading dashes; '' where there is none.
    bounds
        Lowest and highest value of a number.
    unit
        Unit of a number as it is written.
    choices
        Value and words of each choice.
    about
        A sentence on each choice, in the same order; empty where the words say it.
    optional
        Whether None (the program works it out) is allowed, and then :attr:`automatic` says how.
    names
        Words that stand for a number when they are typed, and the number.
    """

    id: str
    title: str
    kind: RowKind
    default: Any
    sentence: str
    parse: Callable[[str], Any]
    format: Callable[[Any], str]
    check: Callable[[Any], Any]
    phrase: str
    option: str = ""
    metavar: str = ""
    bounds: tuple[float, float] | None = None
    unit: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    about: tuple[str, ...] = ()
    optional: bool = False
    automatic: str = ""
    names: tuple[tuple[str, float], ...] = ()


def number_text(value: float, places: int = 2) -> str:
    """A number with at most `places` decimals and no trailing zeros.

    >>> number_text(60.0), number_text(1.25), number_text(0.3048, 3)
    ('60', '1.25', '0.305')
    """
    text = f"{value:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else numeral(text)


def _exact(value: float) -> str:
    text = repr(float(value))
    return numeral(text[:-2] if text.endswith(".0") else text)


def not_a_number(value: object, unit: str = "") -> str:
    """Said of what is no number, with the unit it was to have.

    >>> not_a_number("abc", "m")
    "'abc' is not a number of m"
    """
    if unit:
        return tr("'{value}' is not a number of {unit}", value=value, unit=unit)
    return tr("'{value}' is not a number", value=value)


def _to_float(field: str, text: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError as error:
        raise SettingError(field, text, not_a_number(text), says_value=True) from error


def _number(
    id: str,
    title: str,
    default: float | None,
    sentence: str,
    *,
    phrase: str,
    bounds: tuple[float, float],
    unit: str = "",
    factors: dict[str, float] | None = None,
    automatic: str = "",
    option: str = "",
    metavar: str = "N",
    names: tuple[tuple[str, float], ...] = (),
) -> Row:
    optional = bool(automatic)
    low, high = bounds
    units = {unit: 1.0, "": 1.0, **(factors or {})}

    def check(value: Any) -> float | None:
        if value is None and optional:
            return None
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise SettingError(id, value, not_a_number(value), says_value=True)
        if not (math.isfinite(value) and low <= value <= high):
            raise SettingError(
                id,
                _exact(value),
                tr(
                    "choose from {low} to {high} {unit}",
                    low=_exact(low),
                    high=_exact(high),
                    unit=unit,
                ).rstrip(),
            )
        return float(value)

    def parse(text: str) -> float | None:
        text = text.strip()
        if optional and text.casefold() in ("auto", automatic.casefold(), tr(automatic).casefold()):
            return None
        for words, number in names:
            if text.casefold() in (words.casefold(), tr(words).casefold()):
                return check(number)
        match = re.fullmatch(rf"({_NUMBER})\s*(.*)", text)
        said = {tr(unit): 1.0, **units}
        if match is None or match[2] not in said:
            wrong = not_a_number(text, unit)
            if names:
                listed = ", ".join(tr(words) for words, _ in names)
                wrong = tr("{wrong}, nor one of: {names}", wrong=wrong, names=listed)
            raise SettingError(id, text, wrong, says_value=True)
        return check(_to_float(id, match[1]) * said[match[2]])

    def format(value: float | None) -> str:
        if value is None:
            return tr(automatic)
        return f"{_exact(value)} {tr(unit)}".rstrip()

    return Row(
        id, title, "number", default, sentence, parse, format, check, phrase, option, metavar,
        bounds, unit, optional=optional, automatic=automatic, names=names,
    )  # fmt: skip


def _choice(
    id: str,
    title: str,
    default: str,
    sentence: str,
    *,
    phrase: str,
    choices: tuple[tuple[str, str], ...],
    option: str,
    metavar: str,
    about: tuple[str, ...] = (),
) -> Row:
    values = [value for value, _ in choices]

    def check(value: Any) -> str:
        if value not in values:
            raise SettingError(id, value, tr("choose one of: {values}", values=", ".join(values)))
        return str(value)

    def parse(text: str) -> str:
        wanted = text.strip().casefold()
        for value, words in choices:
            if wanted in (value.casefold(), words.casefold(), tr(words).casefold()):
                return value
        return check(text.strip())

    def format(value: str) -> str:
        return tr(dict(choices)[value])

    return Row(
        id, title, "choice", default, sentence, parse, format, check, phrase, option, metavar,
        choices=choices, about=about,
    )  # fmt: skip


def _switch(id: str, title: str, default: bool, sentence: str, *, phrase: str, option: str) -> Row:
    def check(value: Any) -> bool:
        if not isinstance(value, bool):
            raise SettingError(id, value, tr("choose on or off"))
        return value

    def parse(text: str) -> bool:
        wanted = text.strip().casefold()
        if wanted not in ("on", "off", tr("on"), tr("off")):
            raise SettingError(id, text, tr("choose on or off"))
        return wanted in ("on", tr("on"))

    def format(value: bool) -> str:
        return tr("on") if value else tr("off")

    return Row(id, title, "switch", default, sentence, parse, format, check, phrase, option)


def _text(
    id: str,
    title: str,
    kind: RowKind,
    default: str,
    sentence: str,
    *,
    phrase: str,
    option: str = "",
    metavar: str = "",
    may_be_empty: bool = False,
) -> Row:
    def check(value: Any) -> str:
        if not isinstance(value, str) or "\0" in value:
            raise SettingError(id, value, tr("give a name"))
        if not value.strip() and not may_be_empty:
            raise SettingError(id, repr(value), tr("name one, it cannot be empty"))
        return value

    return Row(id, title, kind, default, sentence, check, str, check, phrase, option, metavar)


def _parse_size(text: str) -> tuple[float, float] | None:
    text = text.strip()
    if text.casefold() in ("auto", _AUTOMATIC_SIZE, tr(_AUTOMATIC_SIZE).casefold()):
        return None
    for sheet in SHEETS:
        if sheet.series and sheet.series == text.upper():
            return _check_size(sheet.size_mm)
    match = re.fullmatch(
        rf"({_NUMBER})\s*[x×X*]\s*({_NUMBER})\s*(mm|cm|m|in|\"|)", text, re.IGNORECASE
    )
    if match is None:
        raise SettingError("size_mm", text, tr("write width and height, such as 60x40cm, or A3"))
    factor = _MM_PER[match[3].lower() or "cm"]
    # Ten micrometres are finer than any trimmer; rounding keeps 60 cm from being 599.9999 mm.
    sides = tuple(round(_to_float("size_mm", match[i]) * factor, 2) for i in (1, 2))
    return _check_size(sides)


def _check_size(value: Any) -> tuple[float, float] | None:
    if value is None:
        return None
    low, high = _SIZE_BOUNDS_MM
    try:
        width, height = (float(side) for side in value)
    except (TypeError, ValueError) as error:
        raise SettingError(
            "size_mm", value, tr("write width and height, such as 60x40cm")
        ) from error
    if not (low <= width <= high and low <= height <= high):
        raise SettingError(
            "size_mm",
            tr(
                "{width} x {height} cm",
                width=number_text(width / 10),
                height=number_text(height / 10),
            ),
            tr(
                "choose sides from {low} to {high} cm",
                low=number_text(low / 10),
                high=number_text(high / 10),
            ),
        )
    return width, height


def _format_size(value: tuple[float, float] | None) -> str:
    if value is None:
        return tr(_AUTOMATIC_SIZE)
    width, height = value
    return f"{number_text(width / 10, 3)} × {number_text(height / 10, 3)} cm"


WRAPPED = ("mirrored", "white", "black", "picture")
"""Edges that go round the bar of a canvas."""
_AUTOMATIC_SIZE = "at 300 ppi"
_SIZE_BOUNDS_MM = (10.0, 20_000.0)
_LUX_BOUNDS = (1.0, 100_000.0)


def _check_illuminance(value: Any) -> float | str:
    if isinstance(value, str):
        if not value.strip():
            raise SettingError("illuminance", repr(value), tr("give a number of lux, or a place"))
        return value
    low, high = _LUX_BOUNDS
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise SettingError("illuminance", value, tr("give a number of lux, or a place"))
    if not low <= value <= high:
        raise SettingError("illuminance", _exact(value), tr("choose from 1 to 100000 lx"))
    return float(value)


def _parse_illuminance(text: str) -> float | str:
    match = re.fullmatch(rf"({_NUMBER})\s*(lx|lux|)", text.strip(), re.IGNORECASE)
    if match is None:
        return _check_illuminance(text.strip())
    return _check_illuminance(_to_float("illuminance", match[1]))


def _format_illuminance(value: float | str) -> str:
    return value if isinstance(value, str) else f"{_exact(value)} lx"


def curve_points(text: str) -> tuple[tuple[float, float], ...]:
    """The points of a curve written as ``0:0 64:80 255:255``, as codes 0..1; () for none.

    Raises
    ------
    SettingError
        What makes no curve, see :func:`proofing.printing.own_curve`.
    """
    pairs = re.split(r"[\s;]+", text.strip()) if text.strip() else []
    points = []
    for pair in pairs:
        match = re.fullmatch(rf"({_NUMBER}):({_NUMBER})", pair)
        if match is None:
            wrong = tr("write points of 0 to 255 as in:out, such as 0:0 64:80 255:255")
            raise SettingError("curve", text, wrong)
        points.append(tuple(_to_float("curve", part) / 255.0 for part in match.groups()))
    if points:
        from proofing.printing import check_points

        check_points(points)
    return tuple((x, y) for x, y in points)


def _check_curve(value: Any) -> str:
    if not isinstance(value, str):
        raise SettingError("curve", value, tr("write points of 0 to 255 as in:out"))
    points = curve_points(value)
    return " ".join(f"{_plain(255.0 * x)}:{_plain(255.0 * y)}" for x, y in points)


def _parse_curve(text: str) -> str:
    plain = text.strip().casefold()
    return "" if plain in (_STRAIGHT, tr(_STRAIGHT).casefold()) else _check_curve(text)


def _format_curve(value: str) -> str:
    return value or tr(_STRAIGHT)


def _plain(code: float) -> str:
    return f"{round(code, 2):g}"


_STRAIGHT = mark("straight")

_KINDS = ", ".join(kind.value for kind in Kind)


def _check_marks(value: Any) -> frozenset[Kind]:
    if isinstance(value, str):
        value = [value]
    try:
        return frozenset(Kind(kind) for kind in value)
    except (TypeError, ValueError) as error:
        given = ", ".join(map(str, value)) if isinstance(value, (list, tuple)) else value
        raise SettingError("marks", given, tr("choose among: {kinds}", kinds=_KINDS)) from error


def _parse_marks(text: str) -> frozenset[Kind]:
    wanted = text.strip().casefold()
    if wanted in ("all", "all marks", tr("all marks").casefold()):
        return frozenset(Kind)
    if wanted in ("", "none", "no marks", tr("no marks").casefold()):
        return frozenset()
    by_title = {kind.title.casefold(): kind.value for kind in Kind}
    parts = [part.strip() for part in wanted.split(",")]
    return _check_marks(
        [by_title.get(part, re.sub(r"[\s-]+", "_", part)) for part in parts if part]
    )


def _format_marks(value: frozenset[Kind]) -> str:
    if value == frozenset(Kind):
        return tr("all marks")
    if not value:
        return tr("no marks")
    return ", ".join(kind.title.lower() for kind in Kind if kind in value)


ROWS: tuple[Row, ...] = (
    _text(
        "photograph", "Photograph", "path", "",
        "The picture file to be printed.",
        phrase="photograph", may_be_empty=True,
    ),
    _text(
        "stock", "Stock", "name", "smooth matte",
        "What it is printed on: a listed stock, or the file of an ICC profile or stock record.",
        phrase="stock", option="stock", metavar="S",
    ),
    Row(
        "size_mm", "Size", "size", None,
        "Width and height that the printed picture is fitted into, turned where that suits its "
        "shape; without the paper margin.",
        _parse_size, _format_size, _check_size,
        phrase="size_mm", option="size", metavar="WxHcm", bounds=_SIZE_BOUNDS_MM, unit="cm",
        optional=True, automatic=_AUTOMATIC_SIZE,
    ),
    Row(
        "crop", "Crop", "shape", "",
        "The shape that the picture is cropped to: a ratio such as 3:2, which lies or stands as "
        "the picture does, 'turned 3:2' for the other way, or 'frame' for the shape of the size, "
        "so that the picture fills it.",
        parse_shape, shape_text, check_shape,
        phrase="crop", option="crop", metavar="W:H",
    ),
    _number(
        "crop_place", "Place of the crop", 0.5,
        "Which part is kept: 0 is the left or upper end, 0.5 the middle, 1 the right or lower end.",
        phrase="crop", bounds=(0.0, 1.0), option="crop-place", metavar="N",
    ),
    _choice(
        "edge", "Edge", "none",
        "What surrounds the picture on the ordered sheet.",
        phrase="edge", option="edge", metavar="EDGE",
        choices=(
            ("none", "no edge"),
            ("margin", "a white margin"),
            ("mirrored", "wrapped, the edge mirrored"),
            ("white", "wrapped, the edge white"),
            ("black", "wrapped, the edge black"),
            ("picture", "wrapped, the picture runs on"),
        ),
        about=(
            "The sheet ends where the picture ends.",
            "Blank paper, as for a frame or a mount.",
            "A canvas: its picture is turned over round the bar, and none of it is folded away.",
            "A canvas with a plain white edge round its bar.",
            "A canvas with a plain black edge round its bar.",
            "A canvas: what goes round the bar is missing from the front.",
        ),
    ),
    _number(
        "edge_mm", "Width of the edge", 40.0,
        "Width of a margin, or depth of the bar that a canvas goes round; 2 cm more are turned "
        "onto its back.",
        phrase="edge", bounds=(0.0, 500.0), unit="mm",
        factors={"cm": 10.0, "m": 1000.0, "in": 25.4}, option="edge-width", metavar="MM",
    ),
    _number(
        "bleed_mm", "Bleed", 0.0,
        "What the lab trims away on each side; it is printed beyond the picture.",
        phrase="edge", bounds=(0.0, 50.0), unit="mm",
        factors={"cm": 10.0, "in": 25.4}, option="bleed", metavar="MM",
    ),
    _choice(
        "intent", "Rendering intent", "relative",
        "How colours that the stock cannot hold are brought in.",
        phrase="intent", option="intent", metavar="I",
        choices=(
            ("perceptual", "perceptual"),
            ("relative", "relative colorimetric"),
            ("absolute", "absolute colorimetric"),
        ),
        about=(
            "All colours move together; the relations between them survive.",
            "What the stock can hold stays; the rest moves to the nearest it can.",
            "As relative, with the file's own white imitated on the paper.",
        ),
    ),
    _switch(
        "black_point_compensation", "Black point compensation", True,
        "Scales the tones so that the photograph's black lands on the stock's black instead of "
        "being cut off below it.",
        phrase="intent", option="black-point-compensation",
    ),
    Row(
        "curve", "Curve", "curve", "",
        "A tone curve of your own through points of 0 to 255, dark to light, from 0:0 to 255:255, "
        "such as 0:0 64:80 255:255; the lift comes after it. The original is never touched.",
        _parse_curve, _format_curve, _check_curve,
        phrase="curve", option="curve", metavar="POINTS",
    ),
    _number(
        "shadow_lift", "Shadow lift", 0.0,
        "Lifts the shadows for the print, so that a stock or a room that swallows them shows them; "
        "neutral mid-tones and lights stay, strong light colours grow a little paler, strong dark "
        "ones may turn and show their grain. The original is never touched.",
        phrase="shadow_lift", bounds=(0.0, 1.5), unit="stops", option="lift",
    ),
    _number(
        "colour_ease", "Colour ease", 0.0,
        "Eases strong colours in toward what the stock can hold, so that petals and cloth keep "
        "their modelling instead of going flat; hue, lightness and quiet colours stay. 100 brings "
        "in the strongest colour that the file's space has. The original is never touched.",
        phrase="colour_ease", bounds=(0.0, 100.0), unit="%", option="ease",
    ),
    _text(
        "light", "Light", "name", "D50",
        "The light that falls on the print.",
        phrase="light", option="light", metavar="L",
    ),
    Row(
        "illuminance", "Illuminance", "illuminance", 500.0,
        "How much light falls on the print: a number of lux, or a familiar place, which brings its "
        "usual lamp.",
        _parse_illuminance, _format_illuminance, _check_illuminance,
        phrase="illuminance", option="lux", metavar="N", bounds=_LUX_BOUNDS, unit="lx",
    ),
    _text(
        "glazing", "Glazing", "name", "no glass",
        "What hangs between the print and the eye.",
        phrase="glazing", option="glazing", metavar="G",
    ),
    _number(
        "reflection_ratio", "Room reflection", 0.0,
        "How bright the part of the room is that mirrors in the glass or the gloss, against a "
        "white card in the print's place: 0 is a dark room, 0.1 a quiet one, 1 a white wall "
        "opposite in the same light.",
        phrase="glazing", bounds=(0.0, 2.0), option="room-reflection", metavar="K",
        names=(
            (mark("dark room"), 0.0), (mark("quiet room"), 0.1), (mark("white wall"), 1.0),
        ),
    ),
    _number(
        "wall_reflectance", "Wall", 0.20,
        "How light the neutral wall is: 0.2 is a middle grey, 0.85 a white wall.",
        phrase="illuminance", bounds=(0.02, 0.95), option="wall", metavar="R",
    ),
    _choice(
        "surround", "Room beyond the wall", "average",
        "How bright the rest of the room is beside the wall: as bright, dimmer as where a spot "
        "lights the print alone, or dark. In a darker room dark tones look lighter and contrast "
        "flatter.",
        phrase="illuminance", option="surround", metavar="average|dim|dark",
        choices=(("average", "a room as bright as the wall"), ("dim", "a dimmer room"),
                 ("dark", "a dark room")),
    ),
    _number(
        "distance_m", "Viewing distance", None,
        "How far the eye is from the print.",
        phrase="distance_m", bounds=(0.1, 100.0), unit="m",
        factors={"cm": 0.01, "mm": 0.001, "in": 0.0254, "ft": 0.3048},
        automatic="1.5 times the diagonal", option="distance", metavar="M",
    ),
    _choice(
        "look", "Way of looking", "settled",
        "Whether the brightness of the room is shown, or tones and colours alone.",
        phrase="look", option="look", metavar="settled|matched",
        choices=(("settled", "eyes settled in the room"), ("matched", "white matched")),
        about=(
            "A dim room looks dim, as it does once your eyes are used to it.",
            "Bare paper is put at the screen's white, to compare tones and colours.",
        ),
    ),
    _number(
        "degree_of_adaptation", "Degree of adaptation", None,
        "How far the eye has got used to the colour of the light: 1 is fully, 0 not at all.",
        phrase="look", bounds=(0.0, 1.0), automatic="as the room asks",
        option="degree-of-adaptation", metavar="D",
    ),
    _text(
        "screen_profile", "Screen", "path", SRGB_SCREEN,
        "The screen's ICC profile: sRGB, 'system' for the one this computer uses, or a file.",
        phrase="screen_profile", option="screen-profile", metavar="ICC",
    ),
    _number(
        "screen_luminance_cd_m2", "Screen luminance", 120.0,
        "How bright the screen's white is, from its setting or a meter.",
        phrase="screen_luminance_cd_m2", bounds=(20.0, 2000.0), unit="cd/m²",
        factors={"cd/m2": 1.0}, option="screen-luminance", metavar="N",
    ),
    _number(
        "screen_black_cd_m2", "Screen black", None,
        "How bright the screen's black is.",
        phrase="screen_luminance_cd_m2", bounds=(0.0, 20.0), unit="cd/m²",
        factors={"cd/m2": 1.0}, automatic="as the profile says",
        option="screen-black", metavar="N",
    ),
    _number(
        "gamut_tolerance", "Gamut tolerance", 3.0,
        "How far a colour may land from the one wanted, in delta E 2000, before it is marked as "
        "out of gamut.",
        phrase="gamut_tolerance", bounds=(0.1, 30.0), option="gamut-tolerance", metavar="N",
    ),
    Row(
        "marks", "Marks", "marks", frozenset(Kind),
        f"Which losses are marked: all, none, or some of {_KINDS}, with commas between.",
        _parse_marks, _format_marks, _check_marks,
        phrase="marks", option="marks", metavar="KINDS",
        choices=tuple((kind.value, kind.title) for kind in Kind),
    ),
)  # fmt: skip

SETTINGS: dict[str, Row] = {row.id: row for row in ROWS}
"""The rows by id, in the order of the sentence."""

OF_A_PICTURE = ("crop", "crop_place")
"""Settings that say which part of a picture is printed."""
CORRECTIONS = ("curve", "shadow_lift", "colour_ease")
"""The settings that correct the photograph for its print."""
