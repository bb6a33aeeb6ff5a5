"""Lights, glazings and places as small text records, read and checked.

Every record carries its provenance; one that does not is refused.
"""

from __future__ import annotations

import functools
import math
import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

from proofing.language import tr

from ..errors import RecordError, SettingError, UnknownName
from .glazing import Glazing
from .light import Light, halogen_from_name, names_of

Thing = TypeVar("Thing")

RESOURCES = Path(__file__).resolve().parents[2] / "resources"
"""The records that come with the program: `resources` lies beside `proofing`."""


@dataclass(frozen=True)
class Place:
    """A familiar place and its light.

    Parameters
    ----------
    name
        What people call it.
    illuminance_lux
        On the print.
    light
        Name of the light that is usual there.
    provenance
        Where the figure comes from.
    caution, aliases
        As for a light.
    """

    name: str
    illuminance_lux: float
    light: str
    provenance: str
    caution: str = ""
    aliases: tuple[str, ...] = ()


def _read(path: Path) -> dict[str, Any]:
    try:
        with path.open("rb") as file:
            return tomllib.load(file)
    except (OSError, tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise RecordError(tr("cannot be read as a record: {error}", error=error), path) from error


class _Fields:
    """One table of a record file, each field taken once and checked for its type."""

    def __init__(self, table: Mapping[str, Any], path: Path) -> None:
        self._rest = dict(table)
        self._path = path

    def text(self, name: str, default: str | None = None) -> str:
        value = self._rest.pop(name, default)
        if not isinstance(value, str) or (default is None and not value.strip()):
            raise RecordError(tr("must be a text in quotes"), self._path, name)
        return value

    def number(self, name: str) -> float:
        value = self._rest.pop(name, None)
        if (
            isinstance(value, bool)
            or not isinstance(value, int | float)
            or not math.isfinite(value)
        ):
            raise RecordError(tr("must be a number"), self._path, name)
        return float(value)

    def has(self, name: str) -> bool:
        return name in self._rest

    def texts(self, name: str) -> tuple[str, ...]:
        value = self._rest.pop(name, [])
        if not isinstance(value, list) or not all(isinstance(part, str) for part in value):
            raise RecordError(tr("must be a list of texts"), self._path, name)
        return tuple(value)

    def numbers(self, name: str) -> tuple[float, ...]:
        value = self._rest.pop(name, None)
        if not isinstance(value, list) or not all(
            isinstance(part, int | float) and not isinstance(part, bool) for part in value
        ):
            raise RecordError(tr("must be a list of numbers"), self._path, name)
        return tuple(float(part) for part in value)

    def done(self) -> None:
        if self._rest:
            name = next(iter(self._rest))
            raise RecordError(
                tr("is not a field of this record; check its spelling"), self._path, name
            )


def _tables(data: Mapping[str, Any], name: str, path: Path) -> list[dict[str, Any]]:
    tables = data.get(name)
    if not isinstance(tables, list) or not all(isinstance(part, dict) for part in tables):
        raise RecordError(tr("needs at least one [[{name}]]", name=name), path, name)
    return tables


def read_lights(path: Path) -> tuple[Light, ...]:
    """Read one file of lights: ``[defaults]`` and any number of ``[[light]]``.

    Raises
    ------
    RecordError
        With file and field.
    """
    data = _read(path)
    defaults = data.get("defaults", {})
    if not isinstance(defaults, dict):
        raise RecordError(tr("needs to be a table, [defaults]"), path, "defaults")
    lights = []
    for table in _tables(data, "light", path):
        fields = _Fields({**defaults, **table}, path)
        try:
            light = Light(
                name=fields.text("name"),
                words=fields.text("words"),
                kind=fields.text("kind"),
                provenance=fields.text("provenance"),
                caution=fields.text("caution", ""),
                aliases=fields.texts("aliases"),
                table=fields.text("table") if fields.has("table") else None,
                temperature_K=(
                    fields.number("temperature_K") if fields.has("temperature_K") else None
                ),
                recorded_cct_K=fields.number("cct_K") if fields.has("cct_K") else None,
            )
        except RecordError as error:
            if error.path is not None:
                raise
            raise RecordError(str(error), path) from error
        except SettingError as error:
            raise RecordError(str(error), path, "temperature_K") from error
        fields.done()
        lights.append(light)
    return tuple(lights)


def read_glazing(path: Path) -> Glazing:
    """Read one glazing.

    Raises
    ------
    RecordError
        With file and field.
    """
    fields = _Fields(_read(path), path)
    try:
        glazing = Glazing(
            name=fields.text("name"),
            curve_nm=fields.numbers("wavelengths_nm"),
            curve=fields.numbers("transmittance"),
            reflectance=fields.number("reflectance"),
            provenance=fields.text("provenance"),
            note=fields.text("note", ""),
            aliases=fields.texts("aliases"),
        )
    except RecordError as error:
        if error.path is not None:
            raise
        raise RecordError(str(error), path) from error
    fields.done()
    return glazing


def read_places(path: Path) -> tuple[Place, ...]:
    """Read a file of places.

    Raises
    ------
    RecordError
        With file and field.
    """
    places = []
    for table in _tables(_read(path), "place", path):
        fields = _Fields(table, path)
        place = Place(
            name=fields.text("name"),
            illuminance_lux=fields.number("illuminance_lux"),
            light=fields.text("light"),
            provenance=fields.text("provenance"),
            caution=fields.text("caution", ""),
            aliases=fields.texts("aliases"),
        )
        if not 0.1 <= place.illuminance_lux <= 150_000.0:
            raise RecordError(tr("must lie between 0.1 and 150000 lx"), path, "illuminance_lux")
        fields.done()
        places.append(place)
    return tuple(places)


def folded(name: str) -> str:
    """A name as it is compared: any case, blanks, hyphens and underscores alike."""
    return re.sub(r"[\s_-]+", " ", name.strip()).casefold()


def pick(
    kind: str, wanted: str, things: Sequence[Thing], names: Callable[[Thing], Sequence[str]]
) -> Thing:
    """The thing of a name, or the only one that the beginnings of some of its words fit.

    Parameters
    ----------
    kind
        What the things are, for the error.
    wanted
        A name, or words that are part of one: ``warm gallery`` for ``warm gallery LED, 3000 K``.
    things, names
        What there is, and what each answers to, the name it is listed by first.

    Raises
    ------
    UnknownName
        When nothing fits, or more than one thing.
    """
    parts = _words(wanted)
    found = []
    for thing in things:
        known = names(thing)
        if folded(wanted) in map(folded, known):
            return thing
        if parts and any(
            all(any(word.startswith(part) for word in _words(name)) for part in parts)
            for name in known
        ):
            found.append(thing)
    if len(found) == 1:
        return found[0]
    listed = [names(thing)[0] for thing in things]
    raise UnknownName(kind, wanted, listed, [names(thing)[0] for thing in found])


def _words(name: str) -> list[str]:
    return re.findall(r"[^\W_]+", name.casefold())


def _unique(named: Sequence[tuple[Sequence[str], Path]]) -> None:
    seen: set[str] = set()
    for names, path in named:
        for name in {folded(name) for name in names}:
            if name in seen:
                raise RecordError(
                    tr("the name '{name}' is taken twice", name=name), path, "aliases"
                )
            seen.add(name)


@functools.cache
def lights() -> tuple[Light, ...]:
    """The lights that come with the program. Cheap: no spectrum is touched."""
    order = ["daylight.toml", "led.toml", "tungsten.toml", "fluorescent.toml"]
    files = sorted(
        (RESOURCES / "lights").glob("*.toml"),
        key=lambda path: (order.index(path.name) if path.name in order else 9, path.name),
    )
    read = [(light, path) for path in files for light in read_lights(path)]
    _unique([(names_of(light), path) for light, path in read])
    return tuple(light for light, _ in read)


@functools.cache
def glazings() -> tuple[Glazing, ...]:
    """The glazings that come with the program, no glass first."""
    read = [(read_glazing(path), path) for path in sorted((RESOURCES / "glazings").glob("*.toml"))]
    _unique([((glazing.name, *glazing.aliases), path) for glazing, path in read])
    return tuple(sorted((g for g, _ in read), key=lambda g: (not g.is_none, g.reflectance < 0.05)))


@functools.cache
def places() -> tuple[Place, ...]:
    """The familiar places that come with the program."""
    path = RESOURCES / "places.toml"
    read = read_places(path)
    _unique([((place.name, *place.aliases), path) for place in read])
    known = {light.name for light in lights()}
    for place in read:
        if place.light not in known:
            problem = tr("there is no light called '{light}'", light=place.light)
            raise RecordError(problem, path, "light")
    return read


def find_light(name: str) -> Light:
    """A light by any of its names, by a part that is only its own, or ``halogen <temperature> K``.

    Raises
    ------
    UnknownName
        When there is none, or more than one.
    """
    known = {folded(other) for light in lights() for other in names_of(light)}
    if folded(name) not in known and (other := halogen_from_name(name)) is not None:
        return other
    return pick("light", name, lights(), names_of)


def find_glazing(name: str) -> Glazing:
    """A glazing by any of its names, or by a part that is only its own.

    Raises
    ------
    UnknownName
        When there is none, or more than one.
    """
    return pick("glazing", name, glazings(), lambda glazing: (glazing.name, *glazing.aliases))


def find_place(name: str) -> Place:
    """A familiar place by any of its names, or by a part that is only its own.

    Raises
    ------
    UnknownName
        When there is none, or more than one.
    """
    return pick("place", name, places(), lambda place: (place.name, *place.aliases))


def places_by_name() -> Mapping[str, Place]:
    """Name -> place, in the order of the record."""
    return MappingProxyType({place.name: place for place in places()})
