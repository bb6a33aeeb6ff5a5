"""A setting: everything that has been chosen, as one frozen value."""

from __future__ import annotations

import hashlib
import json
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

from app.state.table import SETTINGS, WRAPPED, number_text
from proofing.errors import SettingError
from proofing.findings.kinds import Kind
from proofing.language import tr

_FORMAT = 1


@dataclass(frozen=True)
class Setting:
    """Every choice of the sentence, by name or number.

    A setting holds no pixels and no profile data; names are looked up in the catalogue when a
    request is built. Each field is a row of :data:`app.state.table.SETTINGS`, which checks it.

    Raises
    ------
    SettingError
        When a value lies outside its row's bounds.

    Examples
    --------
    >>> Setting(illuminance=150).illuminance
    150.0
    >>> Setting().key == Setting(illuminance=500).key
    True
    """

    photograph: str = SETTINGS["photograph"].default
    stock: str = SETTINGS["stock"].default
    size_mm: tuple[float, float] | None = SETTINGS["size_mm"].default
    crop: str = SETTINGS["crop"].default
    crop_place: float = SETTINGS["crop_place"].default
    edge: str = SETTINGS["edge"].default
    edge_mm: float = SETTINGS["edge_mm"].default
    bleed_mm: float = SETTINGS["bleed_mm"].default
    intent: str = SETTINGS["intent"].default
    black_point_compensation: bool = SETTINGS["black_point_compensation"].default
    curve: str = SETTINGS["curve"].default
    shadow_lift: float = SETTINGS["shadow_lift"].default
    colour_ease: float = SETTINGS["colour_ease"].default
    light: str = SETTINGS["light"].default
    illuminance: float | str = SETTINGS["illuminance"].default
    glazing: str = SETTINGS["glazing"].default
    reflection_ratio: float = SETTINGS["reflection_ratio"].default
    wall_reflectance: float = SETTINGS["wall_reflectance"].default
    surround: str = SETTINGS["surround"].default
    distance_m: float | None = SETTINGS["distance_m"].default
    look: str = SETTINGS["look"].default
    degree_of_adaptation: float | None = SETTINGS["degree_of_adaptation"].default
    screen_profile: str = SETTINGS["screen_profile"].default
    screen_luminance_cd_m2: float = SETTINGS["screen_luminance_cd_m2"].default
    screen_black_cd_m2: float | None = SETTINGS["screen_black_cd_m2"].default
    gamut_tolerance: float = SETTINGS["gamut_tolerance"].default
    marks: frozenset[Kind] = SETTINGS["marks"].default

    def __post_init__(self) -> None:
        """Check and normalise every field by its row."""
        for id, row in SETTINGS.items():
            object.__setattr__(self, id, row.check(getattr(self, id)))
        black, white = self.screen_black_cd_m2, self.screen_luminance_cd_m2
        if black is not None and black > 0.2 * white:
            raise SettingError(
                "screen_black_cd_m2", black, tr("a screen's black is at most a fifth of its white")
            )
        if self.edge == "margin" and self.bleed_mm > 0.0:
            raise SettingError(
                "bleed_mm",
                number_text(self.bleed_mm),
                tr("blank paper has no edge to trim: leave out the bleed or the margin"),
            )
        if self.edge in WRAPPED and not (self.edge_mm == 0.0 or 1.0 <= self.edge_mm <= 100.0):
            raise SettingError(
                "edge_mm",
                number_text(self.edge_mm),
                tr("a canvas bar is 1 to 100 mm deep; 0 is none"),
            )

    def change(self, **values: Any) -> Setting:
        """A setting with some fields replaced."""
        return replace(self, **values)

    def changed_fields(self, other: Setting) -> tuple[str, ...]:
        """Names of the fields in which two settings differ."""
        return tuple(
            field.name
            for field in fields(self)
            if getattr(self, field.name) != getattr(other, field.name)
        )

    @property
    def key(self) -> str:
        """Digest of every field; equal settings have equal keys."""
        return hashlib.sha256(self.to_json().encode()).hexdigest()

    def to_dict(self) -> dict[str, Any]:
        """The fields as plain JSON values; None where the program works a value out."""
        values = {field.name: getattr(self, field.name) for field in fields(self)}
        values["size_mm"] = None if self.size_mm is None else list(self.size_mm)
        values["marks"] = [kind.value for kind in Kind if kind in self.marks]
        return values

    @classmethod
    def from_dict(cls, values: Mapping[str, Any]) -> Setting:
        """The inverse of :meth:`to_dict`; a missing field has its default.

        Raises
        ------
        SettingError
            For an unknown field or a value out of bounds.
        """
        for name in values:
            if name not in SETTINGS:
                raise SettingError(name, values[name], tr("there is no such setting"))
        return cls(**values)

    def to_json(self) -> str:
        """One line of JSON."""
        return json.dumps(self.to_dict(), ensure_ascii=False)

    @classmethod
    def from_json(cls, text: str) -> Setting:
        """The inverse of :meth:`to_json`."""
        try:
            values = json.loads(text)
        except json.JSONDecodeError as error:
            raise _no_setting() from error
        if not isinstance(values, dict):
            raise _no_setting()
        return cls.from_dict(values)

    def to_toml(self) -> str:
        """A small TOML file; fields the program works out are left out."""
        lines = [f"format = {_FORMAT}", "", "[setting]"]
        lines += [
            f"{name} = {_toml_value(value)}"
            for name, value in self.to_dict().items()
            if value is not None
        ]
        return "\n".join(lines) + "\n"

    @classmethod
    def from_toml(cls, text: str) -> Setting:
        """The inverse of :meth:`to_toml`."""
        try:
            document = tomllib.loads(text)
        except tomllib.TOMLDecodeError as error:
            raise _no_setting() from error
        values = document.get("setting")
        if not isinstance(values, dict):
            raise _no_setting()
        if document.get("format") != _FORMAT:
            raise SettingError("", "", tr("this was saved by another version of this program"))
        return cls.from_dict(values)


def _no_setting() -> SettingError:
    return SettingError(
        "", "", tr("this is no saved setting; choose a file that this program saved")
    )


def _toml_value(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, list):
        return "[" + ", ".join(_toml_value(item) for item in value) + "]"
    # A JSON string is a TOML basic string, but for DEL, which TOML wants escaped.
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
