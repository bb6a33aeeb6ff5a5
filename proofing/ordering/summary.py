"""The summary of many photographs as a table: one row each, what needs a look first on top.

RFC 4180: lines end in CR LF, a cell that holds a comma, a quote or a line end is quoted; UTF-8;
decimals have a point whatever the reader's language. A cell is empty where nothing is to tell.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from proofing.findings.kinds import Kind
from proofing.ordering.natural import natural_path_key
from proofing.ordering.triage import Grade

Report = Mapping[str, Any]
"""What is known of one photograph, plain values; ``error`` is None where it could be worked on."""
Column = tuple[str, Callable[[Report], Any]]


def in_order(reports: Iterable[Report]) -> list[Report]:
    """By class, in a class by points, and equals by name; what could not be read stands on top."""
    return sorted(
        reports,
        key=lambda report: (
            Grade(report["look"]["grade"]).rank,
            -report["look"]["points"],
            natural_path_key(report["file"]),
        ),
    )


def _at(*names: str) -> Callable[[Report], Any]:
    """What stands under names within names, None where it does not."""

    def value(report: Report) -> Any:
        found: Any = report
        for name in names:
            found = found.get(name) if isinstance(found, Mapping) else None
        return found

    return value


def _percent(*names: str) -> Callable[[Report], Any]:
    value = _at(*names)

    def percent(report: Report) -> Any:
        share = value(report)
        return None if share is None else round(100.0 * share, 4)

    return percent


def _rounded(places: int, *names: str) -> Callable[[Report], Any]:
    value = _at(*names)

    def rounded(report: Report) -> Any:
        number = value(report)
        return None if number is None else round(number, places)

    return rounded


def _mark(kind: Kind) -> Callable[[Report], Any]:
    def percent(report: Report) -> Any:
        shares = {mark["kind"]: mark["share"] for mark in report.get("marks", ())}
        return None if kind.value not in shares else round(100.0 * shares[kind.value], 4)

    return percent


COLUMNS: tuple[Column, ...] = (
    ("look", _at("look", "words")),
    ("look_points", _at("look", "points")),
    ("reason", _at("look", "reason")),
    ("file", lambda report: plain_path(report["file"])),
    ("error", _at("error")),
    ("verdict", _at("verdict")),
    ("detail_lost_percent", _percent("detail_lost_share")),
    *((f"{kind.value}_percent", _mark(kind)) for kind in Kind),
    ("bare_paper_percent", _percent("bare_share")),
    ("weakened_percent", _percent("weakened_share")),
    ("out_of_gamut_delta_E_00", _at("delta_E_00_out_of_gamut")),
    ("file_check", lambda report: " ".join(report.get("file_check", ()))),
    ("width_px", _at("photograph", "width")),
    ("height_px", _at("photograph", "height")),
    ("mode", _at("photograph", "mode")),
    ("bits_per_channel", _at("photograph", "bits")),
    ("space", _at("photograph", "space")),
    ("profile_status", _at("photograph", "profile_status")),
    ("clipped_pixels_percent", _percent("photograph", "share_clipped")),
    ("file_ppi", _at("photograph", "ppi")),
    ("print_width_mm", _at("print", "width_mm")),
    ("print_height_mm", _at("print", "height_mm")),
    ("print_ppi", _at("print", "ppi")),
    ("resolved_ppi", _at("print", "resolved_ppi")),
    ("viewing_distance_m", _at("print", "distance_m")),
)
"""Of every run."""

ORDER_COLUMNS: tuple[Column, ...] = (
    ("order_file", lambda report: plain_path(_at("order", "file")(report) or "")),
    ("order_width_px", _at("order", "width")),
    ("order_height_px", _at("order", "height")),
    ("order_ppi", _rounded(2, "order", "ppi")),
    ("order_space", _at("order", "space")),
    ("order_bits_per_channel", _at("order", "bits")),
    ("order_bytes", _at("order", "bytes")),
    ("outside_space_percent", _percent("order", "share_outside")),
    ("outside_space_delta_E_00", _at("order", "delta_E_outside")),
)
"""Of orders."""

COMPARE_COLUMNS: tuple[Column, ...] = (
    ("best_stock", _at("choice", "best")),
    ("best_points_of_100", _at("choice", "best_points")),
    ("chosen_stock", _at("choice", "chosen")),
    ("chosen_points_of_100", _at("choice", "chosen_points")),
    ("chosen_place", _at("choice", "chosen_place")),
    ("chosen_to_the_best", _at("choice", "to_the_best")),
)
"""Of comparisons."""

RANKING_COLUMNS: tuple[Column, ...] = (
    ("file", lambda row: plain_path(row["file"])),
    ("place", _at("place")),
    ("stock", _at("stock")),
    ("points_of_100", _at("points")),
    ("to_the_one_above", _at("to_the_one_above")),
    ("detail_lost_percent", lambda row: round(100.0 * _detail_lost(row["shares"]), 4)),
    ("weakened_percent", _percent("weakened_share")),
    ("out_of_gamut_percent", _percent("shares", Kind.OUT_OF_GAMUT.value)),
    ("delta_E_00_mean", _at("delta_E_00_mean")),
    ("delta_E_00_95", _at("delta_E_00_95")),
    ("contrast_to_1", _at("contrast", "picture")),
    ("glare_percent_of_paper", _percent("glare", "of_paper")),
    ("surface_suits_percent", _percent("surface_suits")),
)
"""Of the table of all stocks for all photographs."""


def summary_csv(reports: Iterable[Report], command: str) -> str:
    """The table of a run.

    Parameters
    ----------
    reports
        In any order.
    command
        ``'order'`` or ``'compare'``.

    Examples
    --------
    >>> look = {"grade": "needs", "words": "needs a look", "points": 9.5, "reason": "a, b"}
    >>> summary_csv([{"file": "a.tif", "error": None, "look": look}], "order").splitlines()[1][:41]
    'needs a look,9.5,"a, b",a.tif,,,,,,,,,,,,'
    """
    columns = COLUMNS + (ORDER_COLUMNS if command == "order" else COMPARE_COLUMNS)
    return _csv(columns, in_order(reports))


def ranking_csv(reports: Iterable[Report]) -> str:
    """The places of all stocks, photograph after photograph in natural order."""
    rows: list[Report] = []
    for report in sorted(reports, key=lambda report: natural_path_key(report["file"])):
        stocks: Sequence[Report] = report.get("comparison", {}).get("stocks", ())
        rows += [
            {**stock, "file": report["file"], "place": place}
            for place, stock in enumerate(stocks, start=1)
        ]
    return _csv(RANKING_COLUMNS, rows)


def plain_path(path: str) -> str:
    """A path as it is, but not so that a spreadsheet takes it for a formula.

    >>> plain_path("=sum.tif"), plain_path("roll/1.tif")
    ('./=sum.tif', 'roll/1.tif')
    """
    return f"./{path}" if path[:1] in ("=", "+", "-", "@") else path


def readable(text: str) -> str:
    """A text that can be written as UTF-8: names of files may hold bytes that are no letters."""
    return text.encode("utf-8", "backslashreplace").decode("utf-8")


def _detail_lost(shares: Mapping[str, float]) -> float:
    kinds = (Kind.BLOCKED_SHADOWS, Kind.BLOWN_HIGHLIGHTS, Kind.FLATTENED_COLOUR)
    return sum(shares[kind.value] for kind in kinds)


def _csv(columns: Sequence[Column], rows: Iterable[Report]) -> str:
    stream = io.StringIO(newline="")
    writer = csv.writer(stream)
    writer.writerow(name for name, _ in columns)
    for row in rows:
        writer.writerow(_cell(value(row)) for _, value in columns)
    return stream.getvalue()


def _cell(value: Any) -> str:
    if value is None:
        return ""
    return readable(value) if isinstance(value, str) else repr(value)
