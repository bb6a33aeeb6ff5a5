"""A photograph's sizes, worked out for the command ``sizes``, and as plain values."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.listings import load_catalogue
from app.state import Facts, Setting, canonical, print_size_mm, viewing_distance_m
from app.state.facts import frame_mm
from app.state.framing import Framing, framing, margins_of, reach_mm, sheet_of
from app.terminal import Progress, rounded
from proofing.language import mark, tr
from proofing.ordering.crop import Crop
from proofing.ordering.layout import Layout
from proofing.ordering.layout_words import sheet_in_words
from proofing.ordering.lengths import SMALLEST_MM, size_text
from proofing.ordering.sheets import (
    SHEETS,
    SheetFit,
    nearest_sheet,
    nearest_within,
    smallest_by_unit,
)
from proofing.ordering.size import Fineness, LargestSize, largest_sizes, sharp_from_diagonals
from proofing.ordering.size_words import any_size_in_words, distance_in_words, size_in_words
from proofing.ordering.surface_detail import SurfaceDetail, surface_detail

if TYPE_CHECKING:
    from proofing.printing import Stock

PRACTICE = mark("Common practice of the trade.")
BY_EYE = mark("One minute of arc, what a good eye resolves from there.")


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
    framed
        What of the file is printed and seen.
    sheet
        What is seen, with the edge that is set.
    """

    setting: Setting
    name: str
    stock: Stock
    standing: str
    chosen: Fineness
    frame_mm: tuple[float, float] | None
    framed: Framing
    sheet: Layout

    @property
    def pixels(self) -> tuple[int, int]:
        """Width and height of what is seen of the file, px."""
        return self.chosen.pixels

    @property
    def beyond_mm(self) -> float:
        """Of the sheet on each side of what is seen: margin, wrap and bleed; 0 for none."""
        return reach_mm(self.setting) + margins_of(self.setting).left_mm

    @property
    def runs_on(self) -> bool:
        """Whether a part of the picture is folded or trimmed away."""
        return self.framed.face != self.framed.printed

    @property
    def largest(self) -> tuple[LargestSize, ...]:
        """The largest prints that hold what is usual, or what an eye resolves."""
        if not self.runs_on:
            return largest_sizes(self.pixels, self.chosen.distance_m)
        left, top, right, bottom = self.framed.printed
        printed = largest_sizes((right - left, bottom - top), self.chosen.distance_m)
        faces = (self._face_of(largest) for largest in printed)
        return tuple(face for face in faces if face is not None)

    def _face_of(self, printed: LargestSize) -> LargestSize | None:
        """What is seen in front of a print that runs on; None where that is next to nothing."""
        whole = printed.fineness
        face = tuple(side - 2.0 * self.beyond_mm for side in whole.size_mm)
        if min(face) < SMALLEST_MM:
            return None
        pixels = tuple(
            max(1, round(px * seen / side))
            for px, seen, side in zip(whole.pixels, face, whole.size_mm, strict=True)
        )
        return replace(
            printed,
            fineness=Fineness((pixels[0], pixels[1]), (face[0], face[1]), whole.distance_m),
        )

    def sheet_mm(self, size_mm: tuple[float, float]) -> tuple[float, float]:
        """Width and height of the sheet for a size that is seen."""
        return size_mm[0] + 2.0 * self.beyond_mm, size_mm[1] + 2.0 * self.beyond_mm

    @property
    def surface(self) -> SurfaceDetail:
        """What the stock's surface holds."""
        return surface_detail(self.stock.surface.kind)

    @property
    def filling(self) -> Crop | None:
        """The part of the picture that fills the frame; None where its shape is the picture's, or
        the edge decides how much of it is seen."""
        if self.frame_mm is None or self.runs_on:
            return None
        width, height = self.frame_mm
        if (width > height) != (self.pixels[0] > self.pixels[1]):
            width, height = height, width
        return Crop.to_aspect(self.pixels, width / height)

    @property
    def sentences(self) -> list[str]:
        """All that is said of the chosen size."""
        said = [
            size_in_words(self.chosen),
            distance_in_words(self.chosen, may_shrink=not self.runs_on),
        ]
        if self.beyond_mm:
            said.append(sheet_in_words(self.sheet))
        if self.frame_mm is not None and self.filling is not None:
            said.append(
                tr(
                    "The whole picture is fitted into {frame}; to fill that, it would be cropped. "
                    "{crop}",
                    frame=size_text(self.frame_mm),
                    crop=self.filling.in_words,
                )
            )
        said.append(self.surface.in_words(self.chosen.ppi))
        return said if self.runs_on else [*said, any_size_in_words(self.pixels)]


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
    framed = framing(setting, (photograph.width, photograph.height))
    whole, photograph = photograph, photograph.part(framed.face)
    facts = Facts.of(catalogue).with_photograph(photograph, whole)
    if facts.stock(setting.stock) is None:
        facts = facts.with_stock(stock, setting.stock)
    fact = facts.stock(setting.stock)
    size_mm = print_size_mm(setting, facts)
    return Sizing(
        setting,
        photograph.name,
        stock,
        "" if fact is None else fact.standing,
        Fineness(
            (int(photograph.facts.width), int(photograph.facts.height)),
            size_mm,
            viewing_distance_m(setting, facts),
        ),
        frame_mm(setting, facts),
        framed,
        sheet_of(setting, size_mm),
    )


# ---- for machines --------------------------------------------------------------------------


def report(sizing: Sizing) -> dict[str, Any]:
    surface, crop = sizing.surface, sizing.filling
    return {
        "file": sizing.setting.photograph,
        "pixels": list(sizing.pixels),
        "stock": sizing.stock.name,
        "distance_m": round(sizing.chosen.distance_m, 4),
        "resolved_ppi": round(sizing.chosen.resolved_ppi, 1),
        "sharp_eyes_ppi": round(sizing.chosen.sharp_eyes_ppi, 1),
        "chosen": _print_report(sizing.chosen),
        "sheet_mm": rounded(sizing.sheet.sheet_mm, 2),
        "usual_sheets": _usual_sheets(sizing.sheet.sheet_mm),
        "frame_mm": None if sizing.frame_mm is None else list(sizing.frame_mm),
        "crop_to_fill": None if crop is None else _crop_report(crop, sizing.pixels),
        "largest": [
            {
                "asked_ppi": round(largest.asked_ppi, 1),
                "source": BY_EYE if largest.by_eye else PRACTICE,
                **_print_report(largest.fineness),
                "nearest_sheet": None if sheet is None or sizing.beyond_mm else sheet.name,
                "sheet_mm": rounded(sizing.sheet_mm(largest.fineness.size_mm), 2),
                "usual_sheets": _usual_sheets(sizing.sheet_mm(largest.fineness.size_mm)),
            }
            for largest in sizing.largest
            for sheet in (nearest_within(largest.fineness.size_mm),)
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


def _usual_sheets(sheet_mm: tuple[float, float]) -> dict[str, str | None]:
    """The smallest usual sheets with room, by the unit in which they are sold; None for a roll."""
    found = smallest_by_unit(sheet_mm).items()
    return {unit: None if sheet is None else sheet.name for unit, sheet in found}


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
