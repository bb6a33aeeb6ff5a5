"""What the choosers list, in words."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from app.drawings import Drawing, Swatches, brightener_in_words, light_drawing, stock_drawing
from app.panels.choice_list import Choice
from app.state import SETTINGS, SRGB_SCREEN, SYSTEM_SCREEN, Row, State, number_text
from app.state.facts import SAME_SHAPE, PlaceFact, StockFact
from app.state.framing import framing
from app.state.lengths import MM_PER_INCH, long_edges_mm, size_text
from app.state.shapes import FRAME, RATIOS, TURNED, WHOLE, shape_text
from app.words import glazing_in_words
from proofing.errors import Cancelled, ProofingError, SettingError
from proofing.findings.words import share_in_words
from proofing.language import numeral, tr
from proofing.ordering.sheets import SHEETS, SheetFit

if TYPE_CHECKING:
    from proofing.catalogue import Catalogue
    from proofing.printing import Stock
    from proofing.screen import Screen

_NOTHING = 0.0005  # of a picture that is lost by rounding

Key = tuple[str, str]
"""A setting, and the name of one of its choices."""


@dataclass(frozen=True)
class Notes:
    """What is worked out of the choices in the background; some may still be missing.

    Attributes
    ----------
    lines
        Lines of fact.
    drawings
        What is drawn beside a name.
    """

    lines: Mapping[Key, tuple[str, ...]] = field(default_factory=dict)
    drawings: Mapping[Key, Drawing] = field(default_factory=dict)

    def of(self, setting: str, name: str) -> tuple[str, ...]:
        """The lines of a choice, as far as they are known."""
        return self.lines.get((setting, name), ())

    def drawing(self, setting: str, name: str) -> Drawing | None:
        """The drawing of a choice; None while it is not known, or where there is none."""
        return self.drawings.get((setting, name))


def choices(field: str, state: State, notes: Notes) -> tuple[Choice, ...]:
    """Rows of a setting's list; empty for a setting that is typed, not listed."""
    if field == "stock":
        return _stocks(state, notes)
    if field == "light":
        return tuple(
            Choice(
                fact.name,
                tr(fact.words or fact.name),
                notes.of("light", fact.name),
                also=(fact.name, *fact.aliases),
                drawing=notes.drawing("light", fact.name),
            )
            for fact in state.facts.lights
        )
    if field == "glazing":
        return tuple(
            Choice(name, tr(name), notes.of("glazing", name)) for name in state.facts.glazings
        )
    if field == "illuminance":
        return tuple(
            Choice(
                place.name,
                tr(place.name),
                tag=f"{number_text(place.lux, 0)} lx",
                also=place.aliases,
                about=_usual_lamp(place, state),
            )
            for place in state.facts.places
        )
    if field == "crop":
        return _crops(state)
    if field in ("intent", "look", "edge"):
        row = SETTINGS[field]
        return tuple(
            Choice(value, tr(words), (tr(about),))
            for (value, words), about in zip(row.choices, row.about, strict=True)
        )
    if field == "size_mm":
        return _sizes(state)
    if field == "screen_profile":
        return _screens(state)
    return ()


def reader(row: Row, state: State) -> Callable[[str], Any]:
    """How the text of a typed setting is read: a place answers to a part of any of its names."""

    def read(text: str) -> Any:
        value = row.parse(text)
        if not isinstance(value, str):
            return value
        places = choices(row.id, state, Notes())
        found = [place for place in places if place.is_called(value)]
        found += [place for place in places if place.matches(value)]
        if not found:
            raise SettingError(
                row.id,
                value,
                tr(
                    "there is no place called '{value}'; type a number of lux or "
                    "choose a place from the list",
                    value=value,
                ),
            )
        return found[0].value

    return read if row.kind == "illuminance" else row.parse


def _usual_lamp(place: PlaceFact, state: State) -> str:
    fact = state.facts.light(place.light)
    return (
        tr(
            "The usual lamp there: {lamp}. It comes with the place, unless the lamp that is set "
            "is one that no place has.",
            lamp=tr(fact.words or fact.name),
        )
        if fact is not None
        else ""
    )


def _stocks(state: State, notes: Notes) -> tuple[Choice, ...]:
    rows = []
    for fact in state.facts.stocks:
        value = fact.path or fact.name
        tag = (
            tr("typical")
            if fact.typical
            else tr("profile")
            if fact.kind == "profiled"
            else tr("measured")
        )
        known = "" if fact.stock_class == fact.name else tr(fact.stock_class)
        known = "   ".join(part for part in (known, *notes.of("stock", value)) if part)
        facts = (*([known] if known else []), *_measures(fact))
        drawing = notes.drawing("stock", value)
        about = _about(fact, drawing)
        rows.append(Choice(value, tr(fact.name), facts, tag, fact.aliases, drawing, about))
    return tuple(rows)


def _about(fact: StockFact, drawing: Drawing | None) -> str:
    """Where a stock's numbers come from, and what its drawing shows."""
    if drawing is None:
        return tr(fact.provenance)
    return tr(
        "{provenance}. Drawn: how far its colours reach; dashed: sRGB.",
        provenance=tr(fact.provenance).rstrip("."),
    )


def _measures(fact: StockFact) -> tuple[str, ...]:
    """White, black and density, of a stock from a file too; nothing where they are not known."""
    if not any(fact.white_Lab):
        return ()
    L, a, b = fact.white_Lab
    return (
        tr(
            "white L* {L:.1f}  a* {a}  b* {b}   black L* {black_L:.1f}   Dmax {Dmax:.2f}",
            L=L,
            a=_signed(a),
            b=_signed(b),
            black_L=fact.black_Lab[0],
            Dmax=fact.Dmax,
        ),
    )


def _sizes(state: State) -> tuple[Choice, ...]:
    picture = state.facts.picture
    if picture is None:
        return (Choice(None, tr(SETTINGS["size_mm"].automatic)),)
    across, down = picture.width_px, picture.height_px
    mm = MM_PER_INCH / 300.0
    inches = state.facts.inches
    rows = [Choice(None, size_text((across * mm, down * mm), inches), tag="300 ppi")]
    for long_mm in long_edges_mm(inches):
        mm = long_mm / max(across, down)
        size = (round(across * mm, 2), round(down * mm, 2))
        rows.append(Choice(size, size_text(size, inches), tag=ppi_text(across, size[0])))
    return (*rows, *_sheets(state, {choice.value for choice in rows}))


def _sheets(state: State, taken: set[Any]) -> tuple[Choice, ...]:
    """Usual sheets and frames of the system's measures, and what they take of the picture."""
    pixels = state.facts.whole_px
    if pixels is None:
        return ()
    unit = "in" if state.facts.inches else "cm"
    rows = []
    for sheet in SHEETS:
        fit = SheetFit(sheet, pixels)
        size = round(fit.sheet.width_mm, 2), round(fit.sheet.height_mm, 2)
        if sheet.unit != unit or size in taken:
            continue
        words = tr("cut {share} to fill it", share=share_in_words(fit.cut_share))
        tag = words if fit.cut_share > SAME_SHAPE else ppi_text(pixels[0], size[0])
        kind = tr("usual sheet and frame") if sheet.is_frame else tr("usual sheet")
        rows.append(Choice(size, fit.sheet.name, (kind,), tag))
    return tuple(rows)


def _crops(state: State) -> tuple[Choice, ...]:
    """Shapes, and what is lost of the picture by each; those that stand otherwise at the end."""
    pixels = state.facts.whole_px
    shapes = [WHOLE, *([FRAME] if state.setting.size_mm else []), *RATIOS]
    shapes += [f"{TURNED}{ratio}" for ratio in RATIOS if ratio != "1:1"]
    if state.setting.crop not in shapes:
        shapes.append(state.setting.crop)
    rows = []
    for shape in shapes:
        tag = ""
        if pixels is not None:
            try:
                lost = framing(state.setting.change(crop=shape), pixels).lost_share
            except SettingError:
                continue  # the edge leaves nothing of it
            tag = tr("loses {share}", share=share_in_words(lost)) if lost > _NOTHING else ""
        rows.append(Choice(shape, shape_text(shape), tag=tag))
    return tuple(rows)


def ppi_text(width_px: int, width_mm: float) -> str:
    """Pixels of the file on an inch of paper."""
    return f"{number_text(width_px * MM_PER_INCH / width_mm, 0)} ppi"


def _screens(state: State) -> tuple[Choice, ...]:
    rows = [
        Choice(
            SYSTEM_SCREEN, tr("this screen"), (tr("The profile that this computer uses for it."),)
        ),
        Choice(SRGB_SCREEN, tr("an sRGB screen"), (tr("Assumed when nothing better is known."),)),
    ]
    now = state.setting.screen_profile
    if now not in (SYSTEM_SCREEN, SRGB_SCREEN):
        rows.append(Choice(now, tr("the screen of a profile"), (now,)))
    return tuple(rows)


def work_out_notes(
    catalogue: Catalogue,
    cancel: Callable[[], bool],
    own: Iterable[str] = (),
    screen: Callable[[], Screen] | None = None,
) -> Notes:
    """Facts about everything in a catalogue, and drawings. Slow: gamuts and colour fidelity.

    Parameters
    ----------
    catalogue
        What is listed.
    cancel
        Asked between two things.
    own
        Files of further stocks, by which the settings know them. One that cannot be read any more
        is left out: choosing it says why.
    screen
        Where the swatches will be seen; left out, or where its profile is of no use, an sRGB one.

    Raises
    ------
    Cancelled
        When ``cancel`` says so, between two things; what is known by then is kept by the things
        themselves, so that beginning again is quick.
    """
    lines: dict[Key, tuple[str, ...]] = {}
    drawings: dict[Key, Drawing] = {}

    def go_on() -> None:
        if cancel():
            raise Cancelled

    for glazing in catalogue.glazings:
        lines["glazing", glazing.name] = glazing_note(glazing)
    stocks = {stock.name: stock for stock in catalogue.stocks} | _read(catalogue, own, go_on)
    swatches = Swatches.of((stock.white_Lab for stock in stocks.values()), _shown_on(screen))
    for value, stock in stocks.items():
        go_on()
        lines["stock", value] = stock_note(stock)
        go_on()
        drawings["stock", value] = stock_drawing(stock, swatches)
    for light in catalogue.lights:
        go_on()
        lines["light", light.name] = light_note(light)
        drawings["light", light.name] = light_drawing(light)
    return Notes(lines, drawings)


def _read(
    catalogue: Catalogue, paths: Iterable[str], go_on: Callable[[], None]
) -> dict[str, Stock]:
    found = {}
    for path in paths:
        go_on()
        with contextlib.suppress(ProofingError):
            found[path] = catalogue.stock(path)
    return found


def _shown_on(screen: Callable[[], Screen] | None) -> Screen:
    from proofing.screen import Screen

    if screen is not None:
        with contextlib.suppress(ProofingError):
            return screen()
    return Screen()


def stock_note(stock: Any) -> tuple[str, ...]:
    """Gamut of a stock."""
    return (tr("gamut {volume} 000 Lab³", volume=round(stock.gamut_volume / 1000.0)),)


def light_note(light: Any) -> tuple[str, ...]:
    """Name, colour temperature and fidelity of a light."""
    return (
        tr(
            "{light}   {cct_K} K   colour fidelity Rf {fidelity_Rf:.0f}",
            light=tr(light.name),
            cct_K=round(light.cct_K / 10) * 10,
            fidelity_Rf=light.fidelity_Rf,
        ),
        brightener_in_words(light.excitation()),
    )


def glazing_note(glazing: Any) -> tuple[str, ...]:
    """How much a pane lets through and throws back."""
    return tuple(filter(None, (glazing_in_words(glazing),)))


def _signed(value: float) -> str:
    return numeral(f"{round(value, 1) + 0.0:+.1f}".replace("-", "−").replace("+0.0", "0.0"))
