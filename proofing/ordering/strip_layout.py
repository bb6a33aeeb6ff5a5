"""Where everything lies on a test strip: crops as large as the sheet allows, type that can be read.

Several sheets of one set (a stock each) are laid out alike, so that prints can be held side by
side: room is kept for the longest of their texts.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from proofing.errors import SettingError
from proofing.language import counted, tr
from proofing.ordering.sheets import SHEETS, Sheet
from proofing.ordering.strip import MOST_PLACES, Box, Cell, Place, StripPlan
from proofing.ordering.strip_blocks import EDGE_MM, Block, Metrics, Page, footer, header
from proofing.ordering.strip_type import Face

LEAST_CROP_MM = 35.0
"""A smaller crop is held too near to be judged as a part of a picture (from memory)."""
MOST_SHEET_PIXELS = 160_000_000
"""A gigabyte of 16 bits; A4 reaches it at 1280 ppi."""
_MOST_ASPECT = 2.0  # of a crop, its longer side over its shorter
_GAP_MM = 3.0  # between crops
_ROW_GAP_MM = 4.0
_BELOW_CROP_MM = 1.0  # to its label
_ABOVE_CROP_MM = 0.6  # to the line that names the place

Choose = Callable[[int, int, int], tuple[Place, ...]]
"""Width and height of a crop in pixels, and how many: the places, at most so many."""


@dataclass(frozen=True)
class _Grid:
    """Sizes that fit a sheet."""

    sheet: Sheet
    columns: int
    lines: int  # rows of crops for each place
    count: int  # of places
    width_px: int  # of a crop
    height_px: int
    title_px: int
    label_px: int
    header_px: int

    @property
    def shorter_px(self) -> int:
        return min(self.width_px, self.height_px)


def lay_out(
    picture: tuple[int, int],
    ppi: Fraction,
    sheet: Sheet,
    pages: Sequence[Page],
    choose: Choose,
) -> tuple[StripPlan, ...]:
    """Plans of a set of sheets.

    Parameters
    ----------
    picture
        Width and height of the photograph, px.
    ppi
        Of the large print.
    sheet
        Either way round.
    pages
        The texts of each sheet, with equally many rungs.
    choose
        Finds the places once the size of a crop is known.

    Raises
    ------
    SettingError
        Not even one place fits with its labels, or the sheet has too many pixels.
    """
    metrics = Metrics(ppi)
    _check_pixels(sheet, ppi)
    found = _settled(picture, metrics, sheet, pages, choose)
    if found is None:
        raise _too_small(
            metrics, sheet, pages,
            lambda other: _settled(picture, metrics, other, pages, choose) is not None,
        )  # fmt: skip
    grid, places = found
    return tuple(_plan(metrics, grid, page, places) for page in pages)


def _settled(
    picture: tuple[int, int],
    metrics: Metrics,
    sheet: Sheet,
    pages: Sequence[Page],
    choose: Choose,
) -> tuple[_Grid, tuple[Place, ...]] | None:
    """Sizes and places that go together, None where not even one place fits."""
    count, title_lines = MOST_PLACES, 1
    while True:
        grid = _largest(picture, metrics, sheet, pages, count, title_lines)
        if grid is None:
            return None
        places = choose(grid.width_px, grid.height_px, grid.count)
        if not places:
            raise SettingError("photograph", "", tr("the picture is transparent all over"))
        if len(places) < grid.count:
            count = len(places)  # fewer places are there than there is room: let them be larger
            continue
        needed = _title_lines(metrics, grid, pages, places)
        if needed > title_lines:
            count, title_lines = grid.count, needed
            continue
        return grid, places


def refuse_sheet(
    picture: tuple[int, int], ppi: Fraction, sheet: Sheet, pages: Sequence[Page]
) -> None:
    """Refuse before any work a sheet that :func:`lay_out` can only refuse.

    Parameters
    ----------
    picture, ppi, sheet
        As there.
    pages
        With no more texts and rungs than the sheets will have.

    Raises
    ------
    SettingError
        Not even one place fits with these labels, or the sheet has too many pixels.
    """
    metrics = Metrics(ppi)
    _check_pixels(sheet, ppi)
    if _largest(picture, metrics, sheet, pages, 1, 1) is None:
        raise _too_small(
            metrics, sheet, pages,
            lambda other: _largest(picture, metrics, other, pages, 1, 1) is not None,
            surely=False,
        )  # fmt: skip


def _pixels(sheet: Sheet, ppi: float) -> float:
    width_mm, height_mm = sheet.size_mm
    return width_mm * height_mm * (ppi / 25.4) ** 2


def _check_pixels(sheet: Sheet, ppi: Fraction) -> None:
    pixels = _pixels(sheet, float(ppi))
    if pixels > MOST_SHEET_PIXELS:
        raise SettingError(
            "sheet",
            sheet.name,
            tr(
                "at {ppi:.0f} ppi this sheet has {megapixels:.0f} megapixels; use a smaller sheet, "
                "or prove the print at a larger size",
                ppi=float(ppi),
                megapixels=pixels / 1e6,
            ),
        )


def _too_small(
    metrics: Metrics,
    sheet: Sheet,
    pages: Sequence[Page],
    fits: Callable[[Sheet], bool],
    *,
    surely: bool = True,
) -> SettingError:
    """With the smallest usual sheet that would do, or that may do where not all is known yet."""
    ppi, rungs = float(metrics.ppi), len(pages[0].rungs)
    do = (
        one.name
        for one in sorted(SHEETS, key=lambda one: one.unit != sheet.unit)
        if _pixels(one, ppi) <= MOST_SHEET_PIXELS and fits(one)
    )
    said = counted(
        "{n} crops of {least:.0f} mm with their labels, wedge and scale do not fit on it at "
        "{ppi:.0f} ppi",
        "a crop of {least:.0f} mm with its label, wedge and scale does not fit on it at "
        "{ppi:.0f} ppi",
        rungs,
        least=LEAST_CROP_MM,
        ppi=ppi,
    )
    name = next(do, None)
    if name is None and rungs == 1:
        advice = tr("{said}, nor on any usual sheet", said=said)
    elif name is None:
        advice = tr("{said}, nor on any usual sheet; use a shorter ladder", said=said)
    elif rungs == 1:
        advice = tr("{said}; use {sheet} or larger", said=said, sheet=name)
    elif not surely:
        advice = tr("{said}; use at least {sheet}, or a shorter ladder", said=said, sheet=name)
    else:
        advice = tr("{said}; use {sheet} or larger, or a shorter ladder", said=said, sheet=name)
    return SettingError("sheet", sheet.name, advice)


def _largest(
    picture: tuple[int, int],
    metrics: Metrics,
    sheet: Sheet,
    pages: Sequence[Page],
    most: int,
    title_lines: int,
) -> _Grid | None:
    """As many places as fit, then as large as they can be; upright or lying."""
    turned = [sheet.turned_to(aspect) for aspect in (0.5, 2.0)]
    for count in range(most, 0, -1):
        grids = [
            grid
            for side in turned
            for columns in range(1, len(pages[0].rungs) + 1)
            if (grid := _grid(picture, metrics, side, pages, count, columns, title_lines))
        ]
        if grids:
            return max(grids, key=lambda g: (g.shorter_px, g.width_px * g.height_px))
    return None


def _grid(
    picture: tuple[int, int],
    metrics: Metrics,
    sheet: Sheet,
    pages: Sequence[Page],
    count: int,
    columns: int,
    title_lines: int,
) -> _Grid | None:
    """Crops of so many places in so many columns, None where they would be too small."""
    inner_w, inner_h = metrics.inner(sheet)
    rungs = len(pages[0].rungs)
    lines = -(-rungs // columns)
    if -(-rungs // lines) != columns or inner_w < 1:
        return None  # the same with fewer columns
    least = metrics.px(LEAST_CROP_MM)
    title = title_lines * metrics.strong.leading_px + metrics.px(_ABOVE_CROP_MM)
    head = max(header(metrics, page, inner_w).height for page in pages)
    foot = max(footer(metrics, page, inner_w).height for page in pages)
    room = inner_h - head - foot - (count + 1) * metrics.px(_ROW_GAP_MM)
    room -= count * (title + (lines - 1) * metrics.px(_GAP_MM))
    width = min((inner_w - (columns - 1) * metrics.px(_GAP_MM)) // columns, picture[0])
    while width >= min(least, picture[0]):
        label = metrics.px(_BELOW_CROP_MM) + _label_height(metrics, pages, count, width)
        height = min((room - count * lines * label) // (count * lines), picture[1])
        if height < min(least, picture[1]):
            return None
        widest = max(round(_MOST_ASPECT * height), least)
        if width <= widest:
            height = min(height, max(round(_MOST_ASPECT * width), least))
            return _Grid(sheet, columns, lines, count, width, height, title, label, head)
        width = widest  # narrower crops may have labels of more lines
    return None


def _label_height(metrics: Metrics, pages: Sequence[Page], count: int, width: int) -> int:
    return max(
        face.leading_px * len(face.lines(words, width))
        for page in pages
        for face, words in _rung_words(metrics, page, count - 1)
    )


def _title_lines(
    metrics: Metrics, grid: _Grid, pages: Sequence[Page], places: Sequence[Place]
) -> int:
    width, _ = metrics.inner(grid.sheet)
    return max(
        len(metrics.strong.lines(title, width)) for page in pages for title in page.titles(places)
    )


def _name(place: int, rung: int) -> str:
    return f"{place + 1}{chr(ord('A') + rung)}"


def _rung_words(metrics: Metrics, page: Page, place: int) -> list[tuple[Face, str]]:
    faces = (metrics.body, metrics.strong)
    return [
        (faces[rung == page.needed], f"{_name(place, rung)} {phrase}")
        for rung, phrase in enumerate(page.rungs)
    ]


def _plan(metrics: Metrics, grid: _Grid, page: Page, places: tuple[Place, ...]) -> StripPlan:
    edge, gap, row_gap = (metrics.px(mm) for mm in (EDGE_MM, _GAP_MM, _ROW_GAP_MM))
    width_px, height_px = metrics.sides(grid.sheet)
    inner_w, _ = metrics.inner(grid.sheet)
    head = header(metrics, page, inner_w).moved(edge, edge)
    foot = footer(metrics, page, inner_w)
    foot = foot.moved(edge, height_px - edge - foot.height)
    y = edge + grid.header_px + row_gap
    labels, cells = [*head.labels], []
    for number, (_, title) in enumerate(zip(places, page.titles(places), strict=True)):
        labels.append(metrics.strong.label(title, inner_w, edge, y))
        y += grid.title_px
        cells += _cells(metrics, grid, page, number, y)
        y += grid.lines * (grid.height_px + grid.label_px) + (grid.lines - 1) * gap + row_gap
    return StripPlan(
        sheet=grid.sheet,
        ppi=metrics.ppi,
        width_px=width_px,
        height_px=height_px,
        places=places,
        cells=tuple(cells),
        steps=foot.steps,
        labels=(*labels, *foot.labels),
        bars=foot.bars,
        scale=_scale_of(foot),
        scale_mm=foot.scale_mm,
    )


def _scale_of(foot: Block) -> Box:
    assert foot.scale is not None
    return foot.scale


def _cells(metrics: Metrics, grid: _Grid, page: Page, place: int, top: int) -> list[Cell]:
    gap, below = metrics.px(_GAP_MM), metrics.px(_BELOW_CROP_MM)
    cells = []
    for rung, (face, words) in enumerate(_rung_words(metrics, page, place)):
        label = face.balanced(words, grid.width_px)
        line, column = divmod(rung, grid.columns)
        left = metrics.px(EDGE_MM) + column * (grid.width_px + gap)
        y = top + line * (grid.height_px + grid.label_px + gap)
        at = Box(left, y, grid.width_px, grid.height_px)
        cells.append(
            Cell(_name(place, rung), place, rung, at, label.moved(left, at.bottom + below))
        )
    return cells
