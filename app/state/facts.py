"""What the state knows about the world: the catalogue's names and the opened picture's size."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from app.state.lengths import MM_PER_INCH
from app.state.setting import Setting
from app.state.table import SETTINGS
from proofing.errors import SettingError
from proofing.language import tr

if TYPE_CHECKING:
    from proofing.catalogue import Catalogue
    from proofing.photograph import Photograph
    from proofing.printing import Stock

DEFAULT_PPI = 300.0  # common practice: a print at reading distance

DIAGONALS_AWAY = 1.5  # common practice: viewing distance about 1.5 x the diagonal
NEAREST_M = 0.25  # the conventional nearest distance of clear vision, from memory
SAME_SHAPE = 0.01  # a shape that differs by less is the same: trimming takes more


@dataclass(frozen=True)
class StockFact:
    """A stock's name, standing and measures.

    Attributes
    ----------
    name, stock_class, kind, typical
        As :class:`proofing.printing.Stock` has them.
    path
        As a person gave it where it came from a file.
    aliases
        Other names it answers to.
    white_Lab, black_Lab, Dmax
        Bare paper and the densest print, D50, absolute; 0 where they are not known.
    provenance
        Where its numbers come from.
    """

    name: str
    stock_class: str
    kind: str
    typical: bool
    path: str = ""
    aliases: tuple[str, ...] = ()
    white_Lab: tuple[float, ...] = (0.0, 0.0, 0.0)
    black_Lab: tuple[float, ...] = (0.0, 0.0, 0.0)
    Dmax: float = 0.0
    provenance: str = ""

    @property
    def standing(self) -> str:
        """What of its numbers is typical, '' for nothing."""
        if self.typical:
            return tr("typical values")
        return tr("colours from the profile; surface typical") if self.kind == "profiled" else ""


@dataclass(frozen=True)
class LightFact:
    """A light.

    Attributes
    ----------
    name
        Its short name, which a setting holds.
    cct_K
        Correlated colour temperature.
    caution
        What to look out for, '' for nothing.
    words
        What a photographer would call it; '' where the name says it.
    aliases
        Other names it answers to.
    """

    name: str
    cct_K: float
    caution: str = ""
    words: str = ""
    aliases: tuple[str, ...] = ()


@dataclass(frozen=True)
class PlaceFact:
    """A familiar place, its illuminance, other names it answers to, and its usual lamp."""

    name: str
    lux: float
    aliases: tuple[str, ...] = ()
    light: str = SETTINGS["light"].default


@dataclass(frozen=True)
class PictureFact:
    """The opened picture: its name and its size in pixels."""

    name: str
    width_px: int
    height_px: int


@dataclass(frozen=True)
class Facts:
    """Names to choose among, the opened picture, and the system's screen.

    ``picture`` is what is shown of it, ``file_px`` the size of the whole file.
    ``system_screen`` is the description of the profile that the system uses, '' where it tells
    of none, and None while it has not been asked. ``inches`` tells whether lengths are given in
    inches and feet rather than in centimetres and metres, ``comma`` whether decimals stand behind
    a comma.
    """

    stocks: tuple[StockFact, ...] = ()
    lights: tuple[LightFact, ...] = ()
    glazings: tuple[str, ...] = ()
    places: tuple[PlaceFact, ...] = ()
    picture: PictureFact | None = None
    file_px: tuple[int, int] | None = None
    system_screen: str | None = None
    inches: bool = False
    comma: bool = False

    @classmethod
    def of(cls, catalogue: Catalogue, photograph: Photograph | None = None) -> Facts:
        """Facts of a loaded catalogue and, where one is open, a photograph."""
        facts = cls(
            stocks=tuple(_stock_fact(stock) for stock in catalogue.stocks),
            lights=tuple(
                LightFact(
                    light.name, float(light.cct_K), light.caution, light.words, tuple(light.aliases)
                )
                for light in catalogue.lights
            ),
            glazings=tuple(glazing.name for glazing in catalogue.glazings),
            places=tuple(
                PlaceFact(
                    place.name, float(place.illuminance_lux), tuple(place.aliases), place.light
                )
                for place in catalogue.places
            ),
        )
        return facts if photograph is None else facts.with_photograph(photograph)

    def with_photograph(self, photograph: Photograph, whole: Photograph | None = None) -> Facts:
        """The same with another picture open, or with a part of the whole one."""
        picture = PictureFact(
            photograph.name, int(photograph.facts.width), int(photograph.facts.height)
        )
        file_px = None if whole is None else (whole.width, whole.height)
        return replace(self, picture=picture, file_px=file_px)

    def lists_alike(self, other: Facts) -> bool:
        """Whether there is the same to choose among; the part of a picture makes no difference."""
        return replace(self, picture=None) == replace(other, picture=None)

    @property
    def whole_px(self) -> tuple[int, int] | None:
        """Width and height of the file, px; None where no picture is open."""
        if self.file_px is not None:
            return self.file_px
        return None if self.picture is None else (self.picture.width_px, self.picture.height_px)

    def with_stock(self, stock: Stock, path: str) -> Facts:
        """The same with a stock that a person loaded from a file."""
        others = tuple(fact for fact in self.stocks if fact.path != path)
        return replace(self, stocks=(*others, _stock_fact(stock, path)))

    def stock(self, name: str) -> StockFact | None:
        """The stock a setting names, or None for a file not loaded yet."""
        for fact in self.stocks:
            if fact.path == name and name:
                return fact
        for fact in self.stocks:
            if fact.name.casefold() == name.casefold():
                return fact
        return None

    def light(self, name: str) -> LightFact | None:
        """The light a setting names."""
        for fact in self.lights:
            if fact.name.casefold() == name.casefold():
                return fact
        return None

    def place(self, name: str) -> PlaceFact:
        """A familiar place by any of its names, or by a part that is only its own.

        Raises
        ------
        UnknownName
            When there is none, or more than one.
        """
        from proofing.viewing.records import pick

        return pick("place", name, self.places, lambda place: (place.name, *place.aliases))

    def lux(self, illuminance: float | str) -> float:
        """Illuminance in lux of a number or a place.

        Raises
        ------
        UnknownName
            When no such place is listed.
        """
        return self.place(illuminance).lux if isinstance(illuminance, str) else illuminance


def _stock_fact(stock: Stock, path: str = "") -> StockFact:
    return StockFact(
        stock.name, stock.stock_class, stock.kind, bool(stock.typical), path, tuple(stock.also),
        tuple(map(float, stock.white_Lab)), tuple(map(float, stock.black_Lab)), float(stock.Dmax),
        stock.provenance,
    )  # fmt: skip


def print_size_mm(setting: Setting, facts: Facts) -> tuple[float, float]:
    """Width and height of the printed picture, which keeps the shape of the file.

    The size chosen is a frame: the picture is fitted into it, turned where that makes it larger;
    a frame whose shape is the picture's is its size. Without one it is 300 ppi, within the bounds.

    Raises
    ------
    SettingError
        When neither a size is chosen nor a picture open.
    """
    frame = setting.size_mm
    if facts.picture is None:
        if frame is None:
            raise SettingError("size_mm", "none", tr("choose a size, or open a photograph"))
        return frame
    if setting.edge == "picture" and facts.whole_px is not None:
        from app.state.framing import framing

        framed = framing(setting, facts.whole_px)  # the edge decides how large it is
        if framed.mm_per_px is not None:
            return _nearly(frame, framed.face, framed.mm_per_px)
    width_px, height_px = facts.picture.width_px, facts.picture.height_px
    smallest, largest = SETTINGS["size_mm"].bounds or (0.0, math.inf)

    def mm_per_px(frame: tuple[float, float]) -> float:
        return min(frame[0] / width_px, frame[1] / height_px)

    if frame is None:
        scale = min(MM_PER_INCH / DEFAULT_PPI, largest / max(width_px, height_px))
    else:
        frame = max((frame, frame[::-1]), key=mm_per_px)
        scale = mm_per_px(frame)
    scale = max(scale, smallest / min(width_px, height_px))
    # a strip too long and thin for both bounds is printed as wide as they allow
    size = min(width_px * scale, largest), min(height_px * scale, largest)
    if frame is None:
        return size
    same = all(abs(a / b - 1.0) <= SAME_SHAPE for a, b in zip(size, frame, strict=True))
    return frame if same else (round(size[0], 2), round(size[1], 2))


def _nearly(
    frame: tuple[float, float] | None, face: tuple[int, int, int, int], mm_per_px: float
) -> tuple[float, float]:
    """The size of a face; the frame itself where they differ by rounding to pixels only."""
    size = (face[2] - face[0]) * mm_per_px, (face[3] - face[1]) * mm_per_px
    for way in () if frame is None else (frame, frame[::-1]):
        if all(abs(a - b) <= 2.0 * mm_per_px for a, b in zip(size, way, strict=True)):
            return way
    return round(size[0], 2), round(size[1], 2)


def frame_mm(setting: Setting, facts: Facts) -> tuple[float, float] | None:
    """The size chosen, where the picture's shape leaves a part of it free; else None."""
    frame = setting.size_mm
    if frame is None or print_size_mm(setting, facts) in (frame, frame[::-1]):
        return None
    return frame


def viewing_distance_m(setting: Setting, facts: Facts) -> float:
    """How far the eye is: as chosen, or 1.5 times the diagonal and never under 25 cm."""
    if setting.distance_m is not None:
        return setting.distance_m
    return max(NEAREST_M, DIAGONALS_AWAY * math.hypot(*print_size_mm(setting, facts)) / 1000.0)


def photograph_name(setting: Setting, facts: Facts) -> str:
    """What the photograph is called in the sentence."""
    name = Path(setting.photograph).name if facts.picture is None else facts.picture.name
    return "".join(letter if letter.isprintable() else "\ufffd" for letter in name) or tr(
        "no photograph yet"
    )
