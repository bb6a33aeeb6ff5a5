"""The command that compares stocks: which suits this picture in this room."""

from __future__ import annotations

import argparse
import csv
import dataclasses
import io
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.job import Job, prepare
from app.listings import load_catalogue
from app.state import Setting, canonical, print_size_mm, viewing_distance_m
from app.terminal import FIRST_TIME, Progress, print_json, print_paragraphs, print_table
from app.words import DELTA_E_00
from proofing.findings.kinds import Kind
from proofing.findings.words import share_in_words
from proofing.language import tr

if TYPE_CHECKING:
    from proofing.engine import Engine
    from proofing.ordering.comparison import Comparison, StockResult

_LOST = (
    Kind.OUT_OF_GAMUT, Kind.BLOCKED_SHADOWS, Kind.BLOWN_HIGHLIGHTS, Kind.FLATTENED_COLOUR,
)  # fmt: skip


def _engine() -> Engine:
    from proofing.engine import Engine

    return Engine()


def compare(setting: Setting, arguments: argparse.Namespace) -> int:
    """Print all stocks in the order in which they suit a picture in its room, or do so for many."""
    from app.many.run import is_many, run_many

    if is_many(arguments.photographs, arguments):
        return run_many(setting, arguments)
    return _compare(setting.change(photograph=arguments.photographs[0]), as_json=arguments.json)


def _compare(setting: Setting, *, as_json: bool) -> int:
    from proofing.ordering.comparing import Comparer
    from proofing.photograph import read_photograph

    name = Path(setting.photograph).name
    with Progress() as progress:
        catalogue = load_catalogue()
        canonical(setting, catalogue)  # a wrong name is told before a large file is read
        progress.say(tr("Reading {photograph}…", photograph=name))
        photograph = read_photograph(Path(setting.photograph))
        job = prepare(setting, catalogue, photograph)
        progress.say(tr("Comparing; {first_time}", first_time=tr(FIRST_TIME)))
        comparer = Comparer(_engine(), job.request, catalogue.stocks)
        comparison = comparer.compare(progress=partial(_tell_share, progress, name))
    if as_json:
        print_json(report(job, comparison))
    else:
        _print(job, comparison)
    return 0


def _tell_share(progress: Progress, name: str, done: float) -> None:
    progress.say(f"{name}: {100 * done:.0f} %")


# ---- in words ------------------------------------------------------------------------------


def _print(job: Job, comparison: Comparison) -> None:
    from proofing.ordering import comparison_words as words
    from proofing.ordering.ranking import WEIGHTS, Criterion

    caution = tr(job.request.room.light.caution)
    print_paragraphs(
        [job.sentence, *([caution] if caution else []),
         words.character_in_words(comparison.character), *words.conclusion(comparison), ""]
    )  # fmt: skip
    print_table(
        (
            "stock", "points", tr("order"), tr("detail lost"), tr("weakened"), "ΔE00",
            tr("worst 5 %"), tr("contrast"), tr("glare"), tr("surface"),
        ),
        [_row(result) for result in comparison.ranked],
        [words.basis_of(result.stock) + "." for result in comparison.ranked],
        tr(
            "Order: beside the stock above; a close call would turn if the weights were a fifth "
            "otherwise. Detail lost: blocked, blown or flattened. Weakened: less than a quarter of "
            "its strength left. ΔE00: printed against wanted, D50, on average and in "
            "the worst twentieth. Contrast: of the picture's lightest to its darkest tone in this "
            "room. Glare: veil of the room's reflections against bare paper, at least of what a "
            "wall like the print's own sends back, also where the setting mirrors nothing: nobody "
            "stands in the best place all the time. Surface: how it suits the picture, common "
            "practice."
        ),
    )  # fmt: skip
    print()
    said: list[str] = []
    for number, result in enumerate(comparison.ranked, start=1):
        said.append(f"{number}. {tr(result.stock.name)}")
        said += [f"   – {line}" for line in words.sentences_of(result, comparison).values()]
    for stock, reason in comparison.left_out:
        said.append(
            tr("Left out: {stock}. {reason}.", stock=tr(stock.name), reason=reason.rstrip("."))
        )
    print_paragraphs([*said, "", words.sample_in_words(comparison), tr(DELTA_E_00), ""])
    print_table(
        ("weight", tr("of 100"), tr("half is left at")),
        [
            (tr(words.TITLES[c]), f"{WEIGHTS[c].weight:g}", words.halved_in_words(c))
            for c in Criterion
        ],
        [tr(WEIGHTS[c].reason) for c in Criterion],
        tr(
            "Points are the sum of the weights, each as far as it is left. The weights are ours, "
            "set by these reasons and the same for every picture."
        ),
    )


def _row(result: StockResult) -> tuple[str, ...]:
    from proofing.ordering.comparison_words import standing_in_words, value_in_words
    from proofing.ordering.ranking import Criterion

    return (
        tr(result.stock.name),
        f"{result.score:.1f}",
        standing_in_words(result),
        share_in_words(result.detail_lost),
        share_in_words(result.weakened),
        f"{result.delta_E_mean:.1f}",
        f"{result.delta_E_95:.1f}",
        value_in_words(Criterion.CONTRAST, result),
        value_in_words(Criterion.GLARE, result),
        value_in_words(Criterion.SURFACE, result),
    )


# ---- for machines --------------------------------------------------------------------------


def report(job: Job, comparison: Comparison) -> dict[str, Any]:
    """A comparison for machines; shares are 0..1."""
    from proofing.ordering import comparison_words as words
    from proofing.ordering.ranking import WEIGHTS

    setting = job.setting.change(
        size_mm=print_size_mm(job.setting, job.facts),
        distance_m=viewing_distance_m(job.setting, job.facts),
    )
    return {
        "file": job.setting.photograph,
        "setting": setting.to_dict(),
        "sentence": job.sentence,
        "character": _rounded(dataclasses.asdict(comparison.character)),
        "character_sentence": words.character_in_words(comparison.character),
        "conclusion": words.conclusion(comparison),
        "stocks": [_stock(result, comparison) for result in comparison.ranked],
        "left_out": [{"stock": s.name, "reason": why} for s, why in comparison.left_out],
        "sample_share": round(comparison.sample_share, 4),
        "sample_sentence": words.sample_in_words(comparison),
        "weights": [
            {"criterion": c.value, **dataclasses.asdict(weight)} for c, weight in WEIGHTS.items()
        ],
    }


def _stock(result: StockResult, comparison: Comparison) -> dict[str, Any]:
    from proofing.ordering import comparison_words as words

    sentences = words.sentences_of(result, comparison)
    return {
        "stock": result.stock.name,
        "class": result.stock.stock_class,
        "typical": bool(result.stock.typical),
        "basis": words.basis_of(result.stock),
        "points": round(result.score, 2),
        "to_the_one_above": None if result.standing is None else result.standing.value,
        "shares": _rounded({kind.value: share for kind, share in result.shares.items()}),
        "bare_share": round(result.bare, 5),
        "weakened_share": round(result.weakened, 5),
        "delta_E_00_mean": round(result.delta_E_mean, 3),
        "delta_E_00_95": round(result.delta_E_95, 3),
        "contrast": _rounded(dataclasses.asdict(result.contrast)),
        "contrast_lost_stops": round(result.contrast.lost_stops, 4),
        "glare": _rounded(dataclasses.asdict(result.glare)),
        "surface_suits": round(result.suits, 4),
        "marks": _rounded({c.value: mark for c, mark in result.marks.items()}),
        "sentences": {c.value: sentence for c, sentence in sentences.items()},
    }


def _rounded(values: dict[str, float]) -> dict[str, float]:
    return {name: round(value, 5) for name, value in values.items()}


def comparison_table(comparison: Comparison) -> str:
    """A comparison as comma-separated values (RFC 4180), a row for each stock, the first first.

    Names stand in the first row; they, the shares of 0..1 and the point in numbers are those of
    :func:`report`.
    """

    text = io.StringIO(newline="")
    table = csv.writer(text)
    rows = [_stock(result, comparison) for result in comparison.ranked]
    table.writerow(
        ["place", "stock", "class", "basis", "points_of_100", "to_the_one_above",
         *(f"{kind.value}_share" for kind in _LOST), "bare_share", "weakened_share",
         "delta_E_00_mean", "delta_E_00_95", "contrast_of_picture", "contrast_lost_stops",
         "veil_of_paper", "surface_suits"]
    )  # fmt: skip
    for place, row in enumerate(rows, start=1):
        table.writerow(
            [place, row["stock"], row["class"], row["basis"], row["points"],
             row["to_the_one_above"] or "first",
             *(row["shares"][kind.value] for kind in _LOST), row["bare_share"],
             row["weakened_share"], row["delta_E_00_mean"], row["delta_E_00_95"],
             row["contrast"]["picture"], row["contrast_lost_stops"], row["glare"]["of_paper"],
             row["surface_suits"]]
        )  # fmt: skip
    return text.getvalue()
