"""The catalogue: stocks, lights, glazings and places, from resources/ and from the user's folder.

A stock of the user's own is a record (TOML, see DEVELOPERS.md) or an ICC output profile in the
`stocks` folder of the user's data folder; :func:`keep_stock` puts one there.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from proofing.errors import OutputError, ProofingError, RecordError, SettingError
from proofing.language import tr
from proofing.photograph.icc import IccProfile
from proofing.printing.inks import InkSet
from proofing.printing.stock import Stock, load_toml, stock_from_profile, stock_from_record
from proofing.viewing import Glazing, Light, Place, find_glazing, find_light, find_place
from proofing.viewing import glazings as listed_glazings
from proofing.viewing import lights as listed_lights
from proofing.viewing import places as listed_places
from proofing.viewing.records import RESOURCES, folded, pick

_PROFILE_ENDINGS = (".icc", ".icm")
_STOCK_ORDER = ("smooth matte", "cotton matte", "canvas", "baryta", "lustre", "gloss")


def user_folder() -> Path:
    """The folder for the user's own stocks and settings; it need not exist yet."""
    from platformdirs import user_data_path

    return user_data_path("stocklight", appauthor=False)


@dataclass(frozen=True, eq=False)
class Catalogue:
    """What can be chosen.

    Attributes
    ----------
    stocks
        Those that come with the program first, the user's own after them.
    ink_sets
        By name.
    user_dir
        Where the user's own stocks lie.
    problems
        One sentence for each file of the user's folder that could not be used.
    """

    stocks: tuple[Stock, ...]
    ink_sets: dict[str, InkSet] = field(repr=False)
    user_dir: Path
    problems: tuple[str, ...] = ()

    @classmethod
    def load(cls, user_dir: Path | None = None) -> Catalogue:
        """Read everything.

        Parameters
        ----------
        user_dir
            The user's data folder; None for the system's usual place.

        Raises
        ------
        RecordError
            When a record that comes with the program is damaged. A bad file of the user's is
            left out and named in `problems`.
        """
        folder = user_dir if user_dir is not None else user_folder()
        ink_sets = {}
        for path in sorted((RESOURCES / "inks").glob("*.toml")):
            ink_set = InkSet.from_record(load_toml(path))
            ink_sets[ink_set.name] = ink_set
        paths = sorted((RESOURCES / "stocks").glob("*.toml"))
        stocks = [stock_from_record(load_toml(path), ink_sets) for path in paths]
        stocks.sort(key=lambda s: _STOCK_ORDER.index(s.name) if s.name in _STOCK_ORDER else 99)
        problems = []
        names = {folded(stock.name) for stock in stocks}
        for path in _own_files(folder):
            try:
                own = _read_stock(path, ink_sets)
                if folded(own.name) in names:
                    raise RecordError(
                        tr("a stock called '{own}' exists already", own=own.name), path, "name"
                    )
            except ProofingError as error:
                problems.append(
                    tr(
                        "{path} in your stocks folder was left out: {error}",
                        path=path.name,
                        error=error,
                    )
                )
                continue
            names.add(folded(own.name))
            stocks.append(own)
        return cls(tuple(stocks), ink_sets, folder, tuple(problems))

    @property
    def lights(self) -> tuple[Light, ...]:
        """All lights."""
        return listed_lights()

    @property
    def glazings(self) -> tuple[Glazing, ...]:
        """All glazings, no glass first."""
        return listed_glazings()

    @property
    def places(self) -> tuple[Place, ...]:
        """Familiar places and their illuminance."""
        return listed_places()

    def stock(self, name_or_path: str | Path) -> Stock:
        """A stock by its name, or of a profile or record file.

        Parameters
        ----------
        name_or_path
            A listed name (any case, hyphens or blanks) or a part that is only its own, or a path
            to an ICC output profile or a stock record.

        Raises
        ------
        UnknownName
            When it is neither, or may be more than one.
        RecordError, ProfileError
            When the file is there but cannot be used.
        """
        wanted, path = str(name_or_path), Path(name_or_path)
        known = {folded(name) for stock in self.stocks for name in _names_of(stock)}
        if folded(wanted) not in known:
            if _is_file(path):
                return _read_stock(path, self.ink_sets)
            if path.suffix.lower() in (*_PROFILE_ENDINGS, ".toml"):
                raise RecordError(tr("there is no such file; check the path"), path)
        return pick("stock", wanted, self.stocks, _names_of)

    def light(self, name: str) -> Light:
        """A light by name, or ``halogen <temperature> K``; raises UnknownName."""
        return find_light(name)

    def glazing(self, name: str) -> Glazing:
        """A glazing by name; raises UnknownName."""
        return find_glazing(name)

    def lux(self, text: str) -> float:
        """Illuminance of a number ("150", "150 lx") or of a familiar place.

        Raises
        ------
        UnknownName, SettingError
        """
        number = re.fullmatch(r"\s*([0-9]+(?:[.,][0-9]+)?)\s*(?:lx|lux)?\s*", text, re.IGNORECASE)
        if number is None:
            return find_place(text).illuminance_lux
        lux = float(number.group(1).replace(",", "."))
        if not 0.1 <= lux <= 150_000.0:
            raise SettingError("illuminance", text, tr("use 0.1 to 150000 lx, or name a place"))
        return lux


def keep_stock(source: Path, catalogue: Catalogue) -> Path:
    """Copy a record or profile into the user's stocks folder, after it was found usable.

    Returns
    -------
    Path
        Where it lies now. :meth:`Catalogue.load` then lists it.

    Raises
    ------
    RecordError, ProfileError
        When it cannot be used, or a stock of that name is listed already.
    OutputError
        When the folder cannot be written.
    """
    stock = _read_stock(source, catalogue.ink_sets)
    if any(folded(stock.name) == folded(other.name) for other in catalogue.stocks):
        raise RecordError(
            tr("a stock called '{stock}' is listed already", stock=stock.name), source, "name"
        )
    folder = catalogue.user_dir / "stocks"
    target = folder / source.name
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if target.exists():
            raise OutputError(
                tr("{target} exists already; rename the file first", target=target), target
            )
        partial = target.with_name(f".{target.name}.part")
        partial.write_bytes(source.read_bytes())
        partial.replace(target)
    except OSError as error:
        raise OutputError(
            tr(
                "{target} cannot be written ({strerror}); check the folder",
                target=target,
                strerror=error.strerror,
            ),
            target,
        ) from error
    return target


def _read_stock(path: Path, ink_sets: dict[str, InkSet]) -> Stock:
    """A stock of a file, by its content: TOML or ICC profile."""
    try:
        with path.open("rb") as file:
            head = file.read(64)
    except OSError as error:
        raise RecordError(
            tr("cannot be read ({strerror}); check the path", strerror=error.strerror), path
        ) from error
    if head[36:40] == b"acsp" or path.suffix.lower() in _PROFILE_ENDINGS:
        return stock_from_profile(IccProfile.from_file(path), ink_sets, path)
    neither = RecordError(
        tr("this is neither an ICC output profile nor a stock record; choose another file"), path
    )
    if b"\0" in head:
        raise neither
    try:
        record = load_toml(path)
    except RecordError as error:
        if path.suffix.lower() == ".toml":
            raise
        raise neither from error
    stock = stock_from_record(record, ink_sets, path)
    _ = stock.model  # a black that cannot be printed shows here and not in the middle of work
    return stock


def _names_of(stock: Stock) -> tuple[str, ...]:
    return (stock.name, *stock.also)


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):  # a name too long for the system, or with a zero in it
        return False


def _own_files(folder: Path) -> Iterable[Path]:
    try:
        files = sorted((folder / "stocks").iterdir())
    except OSError:
        return ()
    return [p for p in files if p.suffix.lower() in (*_PROFILE_ENDINGS, ".toml")]
