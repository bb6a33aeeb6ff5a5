"""The command that lists print sizes: ppi, distance, sheets and frames."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from app.sizes import BY_EYE, PRACTICE, Sizing, read_sizing, report
from app.state import Setting
from app.terminal import print_json, print_paragraphs, print_table
from app.words import percent
from proofing.language import mark, tr
from proofing.ordering.lengths import distance_text, number, size_text
from proofing.ordering.sheets import (
    SHEETS,
    Sheet,
    SheetFit,
    nearest_in_shape,
    nearest_sheet,
    nearest_within,
    smallest_holding,
)
from proofing.ordering.size import Fineness

_CHOSEN = mark("The size asked for, in the shape of the picture.")
_NO_LARGER = mark(
    "Nearest sheet: for a largest size the nearest that is no larger, – where all are."
)
_WITH_ROOM = mark(
    "Usual sheet: the smallest with room for the picture and its edge, – where none has."
)


def sizes(setting: Setting, *, as_json: bool) -> int:
    """Print the sizes of a photograph."""
    sizing = read_sizing(setting)
    if as_json:
        print_json(report(sizing))
        return 0
    print_paragraphs([_head(sizing), " ".join(sizing.sentences[:2]), *sizing.sentences[2:]])
    print()
    _print_largest(sizing)
    print()
    _print_sheets(sizing)
    return 0


def _head(sizing: Sizing) -> str:
    width, height = sizing.framed.pixels
    standing = f" ({sizing.standing})" if sizing.standing else ""
    pixels = tr("{width} × {height} px", width=width, height=height)
    if sizing.pixels != (width, height):
        pixels = tr(
            "{pixels}, of which {width} × {height} are seen",
            pixels=pixels,
            width=sizing.pixels[0],
            height=sizing.pixels[1],
        )
    return tr(
        "{photograph}, {pixels}, {megapixels} megapixels, on {stock}{standing}, seen from "
        "{distance}.",
        photograph=sizing.name,
        pixels=pixels,
        megapixels=number(width * height / 1e6),
        stock=tr(sizing.stock.name),
        standing=standing,
        distance=distance_text(sizing.chosen.distance_m),
    )


def _print_largest(sizing: Sizing) -> None:
    asks = sizing.setting.size_mm is not None
    names, notes = [tr("asked for")] * asks, [tr(_CHOSEN)] * asks
    prints = [sizing.chosen] * asks
    sheets = [_sheets(sizing, sizing.chosen)] * asks
    for largest in sizing.largest:
        asked = number(largest.asked_ppi, 0)
        if largest.by_eye:
            distance = distance_text(sizing.chosen.distance_m)
            names.append(tr("largest for {distance}", distance=distance))
        else:
            names.append(tr("largest at {ppi} ppi", ppi=asked))
        notes.append(tr(BY_EYE if largest.by_eye else PRACTICE))
        prints.append(largest.fineness)
        sheets.append(_sheets(sizing, largest.fineness, within=True))
    print_table(
        (
            tr("size"), tr("on paper"), "ppi", tr("sharp from"), tr("sharp eyes"),
            *((tr("sheet needed"), tr("usual sheet")) if sizing.beyond_mm
              else (tr("nearest sheet"),)),
            tr("nearest in inches"),
        ),
        [
            (name, size_text(one.size_mm), *_fineness_cells(one.ppi, one), *named)
            for name, one, named in zip(names, prints, sheets, strict=True)
        ],
        notes,
        tr(
            "Sharp from: the distance from which an eye tells no pixels apart, one minute of arc; "
            "sharp eyes resolve up to twice as much (from memory). The pixels stay as they are: a "
            "larger print has fewer to the inch."
        )
        + " "
        + tr(_WITH_ROOM if sizing.beyond_mm else _NO_LARGER),
    )  # fmt: skip


def _fineness_cells(ppi: float, one: Fineness) -> tuple[str, str, str]:
    return (
        f"{number(ppi, 0)} ppi",
        distance_text(one.sharp_from_m),
        distance_text(one.sharp_eyes_from_m),
    )


def _sheets(sizing: Sizing, one: Fineness, *, within: bool = False) -> tuple[str, ...]:
    """The nearest sheets in cm and inches, `within` those that are no larger; where an edge is
    set, the sheet that is needed and the smallest with room for it."""
    if sizing.beyond_mm:
        needed = sizing.sheet_mm(one.size_mm)
        return size_text(needed), *_in_both_units(smallest_holding, needed)
    return _in_both_units(nearest_within if within else nearest_sheet, one.size_mm)


def _in_both_units(
    find: Callable[[tuple[float, float], Sequence[Sheet]], Sheet | None],
    size_mm: tuple[float, float],
) -> tuple[str, str]:
    metric, inches = (
        find(size_mm, [sheet for sheet in SHEETS if sheet.unit == unit]) for unit in ("cm", "in")
    )
    return _name(metric), _name(inches)


def _name(sheet: Sheet | None) -> str:
    return "–" if sheet is None else sheet.short_name


def _print_sheets(sizing: Sizing) -> None:
    fits = nearest_in_shape(sizing.pixels)
    print_table(
        (
            tr("sheet"), tr("frame"), tr("filled"), tr("cut"), tr("sharp from"),
            tr("sharp eyes"), tr("whole picture"),
        ),
        [
            (
                fit.sheet.name,
                tr("usual") if fit.sheet.is_frame else "–",
                *_filled_cells(fit, sizing.chosen.distance_m),
                size_text(fit.fitted_mm),
            )
            for fit in fits
        ],
        [tr(fit.sheet.source) for fit in fits],
        tr(
            "The sheets whose shape is nearest to the picture's. Filled: ppi where the picture "
            "fills the sheet. Cut: the share of the picture that is lost then; as much of the "
            "sheet stays bare where the whole picture is fitted. Frame: ready-made frames of that "
            "size are usual (common practice)."
        ),
    )  # fmt: skip


def _filled_cells(fit: SheetFit, distance_m: float) -> tuple[str, str, str, str]:
    one = Fineness(fit.pixels, fit.sheet.size_mm, distance_m)
    ppi, sharp, sharp_eyes = _fineness_cells(fit.ppi, one)
    return ppi, percent(fit.cut_share), sharp, sharp_eyes
