"""What is kept from one sitting to the next, as small text files in the user's folders."""

from __future__ import annotations

import json
import logging
import re
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

from app.files import atomic_output, free_name, is_file
from app.state import CORRECTIONS, SETTINGS, Setting
from app.state.pins import MOST_PINS
from app.state.table import OF_A_PICTURE
from proofing.errors import OutputError, SettingError
from proofing.language import tr

MOST_PICTURES = 12
"""Pictures that were opened lately, and are remembered."""
MOST_COMBINATIONS = 6
"""Combinations that were hung lately, and are remembered without a name."""
LONGEST_NAME = 60
_MOST_STEPS = 50  # of the history that are kept

T = TypeVar("T")
_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Sitting:
    """What a window held when it was closed.

    Attributes
    ----------
    setting
        The setting in force.
    kept
        That of the print that was kept to compare with, if any.
    pictures
        Paths of the pictures opened lately, the last one first.
    combinations
        Settings hung lately, the last one first.
    window
        Place and size of the window as the toolkit writes it down, in hexadecimal; '' for none.
    findings_open
        Whether findings and legend were shown.
    rulers
        By monitor, the side of a pixel in mm as matched by a person, and from the eye to it in m.
    at_hand
        Paths of the pictures that could be gone through.
    pictures_window
        Place and size of the window that held the pictures alone; '' where there was none.
    walked
        Whether the first walk through the window has been gone.
    units
        ``'cm'`` or ``'in'`` as lengths were given; '' for what is usual where the user lives.
    decimal_sign
        What stood before decimals; '' likewise.
    past, future
        The steps that could be undone and done again.
    looks
        How the pictures stood and were looked at: names and values of the view.
    """

    setting: Setting = field(default_factory=Setting)
    kept: Setting | None = None
    pictures: tuple[str, ...] = ()
    combinations: tuple[Setting, ...] = ()
    window: str = ""
    findings_open: bool = True
    rulers: tuple[tuple[str, tuple[float, float]], ...] = ()
    at_hand: tuple[str, ...] = ()
    pictures_window: str = ""
    walked: bool = False
    units: str = ""
    decimal_sign: str = ""
    past: tuple[Setting, ...] = ()
    future: tuple[Setting, ...] = ()
    looks: tuple[tuple[str, Any], ...] = ()

    def to_json(self) -> str:
        """A page of JSON."""
        values = {
            "setting": self.setting.to_dict(),
            "kept": None if self.kept is None else self.kept.to_dict(),
            "pictures": list(self.pictures),
            "combinations": [setting.to_dict() for setting in self.combinations],
            "window": self.window,
            "findings_open": self.findings_open,
            "rulers": dict(self.rulers),
            "at_hand": list(self.at_hand),
            "pictures_window": self.pictures_window,
            "walked": self.walked,
            "units": self.units,
            "decimal_sign": self.decimal_sign,
            "past": [setting.to_dict() for setting in self.past[-_MOST_STEPS:]],
            "future": [setting.to_dict() for setting in self.future[:_MOST_STEPS]],
            "looks": dict(self.looks),
        }
        return json.dumps(values, ensure_ascii=False, indent=1) + "\n"

    @classmethod
    def from_json(cls, text: str) -> Sitting:
        """The inverse of :meth:`to_json`.

        Raises
        ------
        ValueError
            No such page, or one of another version.
        """
        values: Any = json.loads(text)
        if not isinstance(values, dict) or "setting" not in values:
            raise ValueError("not a sitting of this version")
        begin = cls()

        def read(name: str, of: Callable[[Any], T], otherwise: T) -> T:
            try:
                return of(values[name])
            except (KeyError, TypeError, ValueError, AttributeError, SettingError):
                return otherwise  # one part that cannot be read takes no other with it

        return cls(
            setting=read("setting", _setting, begin.setting),
            kept=read("kept", lambda kept: None if kept is None else _setting(kept), None),
            pictures=read("pictures", _texts, ()),
            combinations=read("combinations", _settings, ()),
            window=read("window", _text, ""),
            findings_open=read("findings_open", bool, True),
            rulers=read("rulers", _rulers, ()),
            at_hand=read("at_hand", _texts, ()),
            pictures_window=read("pictures_window", _text, ""),
            walked=read("walked", bool, True),
            units=read("units", _text, ""),
            decimal_sign=read("decimal_sign", _text, ""),
            past=read("past", _settings, ()),
            future=read("future", _settings, ()),
            looks=read("looks", _looks, ()),
        )

    def begun_with(self, asked: Setting, otherwise: str) -> Setting:
        """The setting a new sitting begins with.

        Parameters
        ----------
        asked
            What was asked for at the start. If it chooses nothing but a photograph, all else is as
            it was.
        otherwise
            The photograph to open when none is asked for and the last one is gone.
        """
        chosen = asked != Setting(photograph=asked.photograph)
        last = self.setting.photograph
        photograph = asked.photograph or (last if last and is_file(last) else otherwise)
        return (asked if chosen else self.setting).change(photograph=photograph)


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError
    return value


def _texts(value: Any) -> tuple[str, ...]:
    return tuple(_text(each) for each in value)


def _setting(values: Any) -> Setting:
    """A setting, its fields one by one: what is unknown or out of bounds is left out."""
    found: dict[str, Any] = {}
    for name, value in values.items():
        try:
            Setting.from_dict({**found, name: value})
        except (SettingError, TypeError):
            continue
        found[name] = value
    return Setting.from_dict(found)


def _settings(values: Any) -> tuple[Setting, ...]:
    return tuple(_setting(each) for each in values)


def _rulers(values: Any) -> tuple[tuple[str, tuple[float, float]], ...]:
    found = ((str(name), (float(mm), float(eye))) for name, (mm, eye) in values.items())
    return tuple((name, pair) for name, pair in found if min(pair) > 0.0)


def _looks(values: Any) -> tuple[tuple[str, Any], ...]:
    """Ways of looking, each checked by what it is."""
    return tuple((name, LOOKS[name](value)) for name, value in values.items() if name in LOOKS)


def _point(value: Any) -> tuple[float, float]:
    x, y = value
    return float(x), float(y)


def _arrangement(value: Any) -> str:
    if value not in ("beside", "above", "divided", "stocks", "lights"):
        raise ValueError(value)
    return str(value)


LOOKS: dict[str, Callable[[Any], Any]] = {
    "arrangement": _arrangement,
    "divide": lambda share: min(max(float(share), 0.0), 1.0),
    "mark_strength": lambda share: min(max(float(share), 0.2), 1.0),
    "eye_blur": bool,
    "surface": bool,
    "full_screen": bool,
    "size": lambda size: size if size in ("true", "seen") else "",
    "zoom": lambda zoom: None if zoom is None else min(max(float(zoom), 1e-4), 16.0),
    "centre": _point,
    "pins": lambda pins: tuple(_point(pin) for pin in pins)[:MOST_PINS],
}
"""What of :class:`~app.state.state.ViewState` is kept, and how it is read."""


def as_combination(setting: Setting) -> Setting:
    """What of a setting makes a combination: all but the photograph, its part and corrections, and
    the marks."""
    plain = {field: SETTINGS[field].default for field in (*CORRECTIONS, *OF_A_PICTURE)}
    return setting.change(photograph="", **plain, marks=Setting().marks)


def newest_first(items: Sequence[T], newest: T, most: int) -> tuple[T, ...]:
    """A list of things used lately, with one more at its head and none twice."""
    return (newest, *(item for item in items if item != newest))[:most]


def read_sitting() -> Sitting:
    """The last sitting; a new one where there is none that can be read."""
    try:
        return Sitting.from_json(_sitting_file().read_text(encoding="utf-8"))
    except FileNotFoundError:
        return Sitting()
    except (OSError, ValueError) as error:
        _log.warning("the last sitting cannot be read: %s", error)
        return Sitting()


def write_sitting(sitting: Sitting) -> None:
    """Keep a sitting; where that is not possible, the next one begins anew."""
    path = _sitting_file()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with atomic_output(path) as part:
            part.write_text(sitting.to_json(), encoding="utf-8")
    except (OSError, OutputError) as error:
        _log.warning("this sitting cannot be kept: %s", error)


def _sitting_file() -> Path:
    from platformdirs import user_state_path

    return user_state_path("stocklight", appauthor=False) / "sitting.json"


# ---- combinations that have a name ---------------------------------------------------------


@dataclass(frozen=True)
class Combination:
    """A setting without its photograph, under a name of the user's.

    Attributes
    ----------
    name
        Such as "Library hall, north wall".
    setting
        What hangs there how.
    path
        Its file, where it has one.
    """

    name: str
    setting: Setting
    path: Path | None = field(default=None, compare=False)


def combinations() -> tuple[Combination, ...]:
    """The named combinations, by name; files that are none are left out."""
    found = []
    for path in sorted(_combinations_folder().glob("*.toml")):
        try:
            text = path.read_text(encoding="utf-8")
            found.append(Combination(_name_in(text) or path.stem, Setting.from_toml(text), path))
        except (OSError, ValueError, SettingError) as error:
            _log.warning("%s is no combination: %s", path, error)
    return tuple(sorted(found, key=lambda each: each.name.casefold()))


def name_combination(name: str, setting: Setting) -> Path:
    """Keep a combination under a name; one of that name is replaced.

    Returns
    -------
    Path
        Its file.

    Raises
    ------
    SettingError
        If the name is empty or too long.
    OutputError
        If it cannot be written.
    """
    name = " ".join(name.split())
    if not name or len(name) > LONGEST_NAME:
        raise SettingError(
            "name",
            name,
            tr(
                "give the combination a name of 1 to {LONGEST_NAME} letters",
                LONGEST_NAME=LONGEST_NAME,
            ),
        )
    path = _file_of(name)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(
            tr(
                "{parent} cannot be made ({strerror}); check the folder",
                parent=path.parent,
                strerror=error.strerror,
            ),
            path.parent,
        ) from error
    with atomic_output(path) as part:
        text = f"name = {json.dumps(name, ensure_ascii=False)}\n"
        part.write_text(text + as_combination(setting).to_toml(), encoding="utf-8")
    return path


def forget_combination(combination: Combination) -> Path:
    """Take a combination out of the list; its file stays beside the others under another ending.

    Returns
    -------
    Path
        Where it is now.

    Raises
    ------
    OutputError
        If the folder does not allow it.
    """
    assert combination.path is not None
    kept = free_name(combination.path.parent, combination.path.stem, ".forgotten")
    try:
        return combination.path.rename(kept)
    except OSError as error:
        raise OutputError(
            tr(
                "{path} cannot be put away ({strerror}); check the folder",
                path=combination.path,
                strerror=error.strerror,
            ),
            combination.path,
        ) from error


def _file_of(name: str) -> Path:
    plain = unicodedata.normalize("NFKC", name).casefold()
    for known in combinations():
        if known.path is not None and known.name.casefold() == name.casefold():
            return known.path
    stem = re.sub(r"\W+", "-", plain).strip("-") or "unnamed"
    return free_name(_combinations_folder(), stem, ".toml")  # of another name, maybe


def _name_in(text: str) -> str:
    import tomllib

    return str(tomllib.loads(text).get("name", ""))


def _combinations_folder() -> Path:
    from proofing.catalogue import user_folder

    return user_folder() / "combinations"
