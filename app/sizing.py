"""The command that lists print sizes: ppi, distance, sheets and frames."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.listings import load_catalogue
from app.state import Facts, Setting, canonical, print_size_mm, viewing_distance_m
from app.state.facts import frame_mm
from app.state.framing import framing
from app.terminal import Progress, print_json, print_paragraphs, print_table, rounded
from app.words import percent
from proofing.language import mark, tr
from proofing.ordering.crop import Crop
from proofing.ordering.lengths import distance_text, number, size_text
from proofing.ordering.sheets import SHEETS, SheetFit, nearest_in_shape, nearest_sheet
from proofing.ordering.size import Fineness, LargestSize, largest_sizes, sharp_from_diagonals
from proofing.ordering.size_words import any_size_in_words, distance_in_words, size_in_words
from proofing.ordering.surface_detail import SurfaceDetail, surface_detail

if TYPE_CHECKING:
    from proofing.printing import Stock

_PRACTICE = mark("Common practice of the trade.")
_BY_EYE = mark("One minute of arc, what a good eye resolves from there.")
_CHOSEN = mark("The size asked for, in the shape of the picture.")


@dataclass(frozen=True)
class Sizing:
    """A photograph's sizes, worked out.

    Attributes
    ----------
    setting
        What was asked for.
    name, stock
        The photograph's name and the stock.
    chosen
        The size of the setting, seen from its distance.
    frame_mm
        The size asked for, where the picture's shape leaves a part of it free.
    """

    setting: Setting
    name: str
    stock: Stock
    standing: str
    chosen: Fineness
    frame_mm: tuple[float, float] | None

    @property
    def pixels(self) -> tuple[int, int]:
        """Width and height of the file, px."""
        return self.chosen.pixels

    @property
    def largest(self) -> tuple[LargestSize, ...]:
        """The largest prints that hold what is usual, or what an eye resolves."""
        return largest_sizes(self.pixels, self.chosen.distance_m)

    @property
    def surface(self) -> SurfaceDetail:
        """What the stock's surface holds."""
        return surface_detail(self.stock.surface.kind)

    @property
    def filling(self) -> Crop | None:
        """The part of the picture that fills the frame; None where its shape is the picture's."""
        if self.frame_mm is None:
            return None
        width, height = self.frame_mm
        if (width > height) != (self.pixels[0] > self.pixels[1]):
            width, height = height, width
        return Crop.to_aspect(self.pixels, width / height)

    @property
    def sentences(self) -> list[str]:
        """All that is said of the chosen size."""
        said = [size_in_words(self.chosen), distance_in_words(self.chosen)]
        if self.frame_mm is not None and self.filling is not None:
            said.append(
                tr(
                    "The whole picture is fitted into {frame}; to fill that, it would be cropped. "
                    "{crop}",
                    frame=size_text(self.frame_mm),
                    crop=self.filling.in_words,
                )
            )
        return [*said, self.surface.in_words(self.chosen.ppi), any_size_in_words(self.pixels)]


def sizes(setting: Setting, *, as_json: bool) -> int:
    """Print the sizes of a photograph."""
    sizing = read_sizing(setting)
    if as_json:
        print_json(_report(sizing))
        return 0
    print_paragraphs([_head(sizing), " ".join(sizing.sentences[:2]), *sizing.sentences[2:]])
    print()
    _print_largest(sizing)
    print()
    _print_sheets(sizing)
    return 0


def read_sizing(setting: Setting) -> Sizing:
    """Read the photograph and look up its stock.

    Raises
    ------
    ProofingError
        When a name or a file leads nowhere, or the size makes no sense.
    """
    from proofing.photograph import read_photograph

    catalogue = load_catalogue()
    setting = canonical(setting, catalogue)  # a wrong name is told before a large file is read
    stock = catalogue.stock(setting.stock)
    with Progress() as progress:
        progress.say(tr("Reading {photograph}…", photograph=Path(setting.photograph).name))
        photograph = read_photograph(Path(setting.photograph))
    photograph = photograph.part(framing(setting, (photograph.width, photograph.height)).face)
    facts = Facts.of(catalogue, photograph)
    if facts.stock(setting.stock) is None:
        facts = facts.with_stock(stock, setting.stock)
    fact = facts.stock(setting.stock)
    return Sizing(
        setting,
        photograph.name,
        stock,
        "" if fact is None else fact.standing,
        Fineness(
            (int(photograph.facts.width), int(photograph.facts.height)),
            print_size_mm(setting, facts),
            viewing_distance_m(setting, facts),
        ),
        frame_mm(setting, facts),
    )


def _head(sizing: Sizing) -> str:
    width, height = sizing.pixels
    standing = f" ({sizing.standing})" if sizing.standing else ""
    return tr(
        "{photograph}, {width} × {height} px, {megapixels} megapixels, on {stock}{standing}, seen "
        "from {distance}.",
        photograph=sizing.name,
        width=width,
        height=height,
        megapixels=number(width * height / 1e6),
        stock=tr(sizing.stock.name),
        standing=standing,
        distance=distance_text(sizing.chosen.distance_m),
    )


def _print_largest(sizing: Sizing) -> None:
    asks = sizing.setting.size_mm is not None
    names, notes = [tr("asked for")] * asks, [tr(_CHOSEN)] * asks
    prints = [sizing.chosen] * asks
    for largest in sizing.largest:
        asked = number(largest.asked_ppi, 0)
        if largest.by_eye:
            distance = distance_text(sizing.chosen.distance_m)
            names.append(tr("largest for {distance}", distance=distance))
        else:
            names.append(tr("largest at {ppi} ppi", ppi=asked))
        notes.append(tr(_BY_EYE if largest.by_eye else _PRACTICE))
        prints.append(largest.fineness)
    print_table(
        (
            tr("size"), tr("on paper"), "ppi", tr("sharp from"), tr("sharp eyes"),
            tr("nearest sheet"), tr("in inches"),
        ),
        [
            (name, size_text(one.size_mm), *_fineness_cells(one.ppi, one), *_nearest(one))
            for name, one in zip(names, prints, strict=True)
        ],
        notes,
        tr(
            "Sharp from: the distance from which an eye tells no pixels apart, one minute of arc; "
            "sharp eyes resolve up to twice as much (from memory). The pixels stay as they are: a "
            "larger print has fewer to the inch."
        ),
    )  # fmt: skip


def _fineness_cells(ppi: float, one: Fineness) -> tuple[str, str, str]:
    return (
        f"{number(ppi, 0)} ppi",
        distance_text(one.sharp_from_m),
        distance_text(one.sharp_eyes_from_m),
    )


def _nearest(one: Fineness) -> tuple[str, str]:
    metric, inches = (
        nearest_sheet(one.size_mm, [sheet for sheet in SHEETS if sheet.unit == unit]).short_name
        for unit in ("cm", "in")
    )
    return metric, inches


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


# ---- for machines --------------------------------------------------------------------------


def _report(sizing: Sizing) -> dict[str, Any]:
    surface, crop = sizing.surface, sizing.filling
    return {
        "file": sizing.setting.photograph,
        "pixels": list(sizing.pixels),
        "stock": sizing.stock.name,
        "distance_m": round(sizing.chosen.distance_m, 4),
        "resolved_ppi": round(sizing.chosen.resolved_ppi, 1),
        "sharp_eyes_ppi": round(sizing.chosen.sharp_eyes_ppi, 1),
        "chosen": _print_report(sizing.chosen),
        "frame_mm": None if sizing.frame_mm is None else list(sizing.frame_mm),
        "crop_to_fill": None if crop is None else _crop_report(crop, sizing.pixels),
        "largest": [
            {
                "asked_ppi": round(largest.asked_ppi, 1),
                "source": _BY_EYE if largest.by_eye else _PRACTICE,
                **_print_report(largest.fineness),
            }
            for largest in sizing.largest
        ],
        "sheets": [
            _sheet_report(SheetFit(sheet, sizing.pixels), sizing.chosen.distance_m)
            for sheet in SHEETS
        ],
        "surface": {
            "kind": surface.surface,
            "holds_ppi": surface.ppi,
            "line_pairs_per_mm": round(surface.line_pairs_per_mm, 2),
            "typical": surface.typical,
            "provenance": surface.provenance,
        },
        "sharp_from_diagonals": round(sharp_from_diagonals(sizing.pixels), 3),
        "sentences": sizing.sentences,
    }


def _print_report(one: Fineness) -> dict[str, Any]:
    return {
        "size_mm": rounded(one.size_mm, 2),
        "ppi": round(one.ppi, 1),
        "sharp_from_m": round(one.sharp_from_m, 4),
        "sharp_eyes_from_m": round(one.sharp_eyes_from_m, 4),
        "sharp": one.is_sharp,
        "nearest_sheet": nearest_sheet(one.size_mm).name,
    }


def _crop_report(crop: Crop, pixels: tuple[int, int]) -> dict[str, Any]:
    return {"box_px": list(crop.box_px(pixels)), "lost_share": round(crop.lost_share, 4)}


def _sheet_report(fit: SheetFit, distance_m: float) -> dict[str, Any]:
    return {
        "name": fit.sheet.name,
        "size_mm": rounded(fit.sheet.size_mm, 2),
        "source": fit.sheet.source,
        "frame": fit.sheet.is_frame,
        "filled": _print_report(Fineness(fit.pixels, fit.sheet.size_mm, distance_m)),
        "crop": _crop_report(fit.crop, fit.pixels),
        "whole_picture_mm": rounded(fit.fitted_mm, 2),
        "whole_picture_ppi": round(fit.fitted_ppi, 1),
    }
