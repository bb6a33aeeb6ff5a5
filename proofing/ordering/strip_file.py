"""Test strips: proved, laid out, drawn, written, opened again, and told in sentences."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from proofing.engine import Engine
from proofing.errors import Cancelled, SettingError
from proofing.files import refuse_existing, refuse_inputs
from proofing.findings.kinds import Kind
from proofing.language import tr
from proofing.ordering.checking import Expected, OrderCheck
from proofing.ordering.correcting import EaseNeeded, ease_needed_for, lift_needed_for
from proofing.ordering.encoding import Cancel, Progress
from proofing.ordering.metadata import read_metadata
from proofing.ordering.naming import safe_name
from proofing.ordering.order import Order, kind_of, layout_of
from proofing.ordering.order_file import put_checked
from proofing.ordering.reducing import pixels_for, reduced
from proofing.ordering.spaces import space_name
from proofing.ordering.strip import Place, Rung, StripOrder, StripPlan
from proofing.ordering.strip_drawing import draw
from proofing.ordering.strip_ladder import ladder
from proofing.ordering.strip_layout import lay_out, refuse_sheet
from proofing.ordering.strip_places import PlaceFinder
from proofing.ordering.strip_words import (
    Needed,
    Seen,
    needed_rung,
    page_before,
    page_of,
    sentences_of,
)
from proofing.printing import Correction, Stock
from proofing.proof import Proof, Prover
from proofing.request import ProofRequest

_PROVED, _LIFTED, _DRAWN = 0.45, 0.75, 0.9  # of the progress


@dataclass(frozen=True)
class StripWritten:
    """A test strip that is on the disk and has been opened again.

    Attributes
    ----------
    path
        The file.
    stock
        It is to be printed on.
    order
        Space and kind of the file.
    plan, rungs
        What lies where, and the corrections.
    need
        What this stock needs.
    lost
        Share of each place that is lost as it is, by kind.
    share_outside
        Share of the crops' pixels outside the file's space.
    size_bytes
        Of the file.
    check
        What two readers found in it; it has passed.
    sentences
        What a person should know.
    """

    path: Path
    stock: Stock
    order: Order
    plan: StripPlan = field(repr=False)
    rungs: tuple[Rung, ...]
    need: Needed
    lost: tuple[Mapping[Kind, float], ...]
    share_outside: float
    size_bytes: int
    check: OrderCheck
    sentences: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """Plain numbers, texts and lists, ready for JSON."""
        plan = self.plan
        width_mm, height_mm = plan.size_mm
        by_ease = isinstance(self.need, EaseNeeded)
        return {
            "file": str(self.path),
            "stock": self.stock.name,
            "kind": self.order.kind,
            "bits": self.order.bits,
            "space": space_name(self.order.destination),
            "sheet": plan.sheet.name,
            "width": plan.width_px,
            "height": plan.height_px,
            "ppi": float(plan.ppi),
            "width_mm": round(width_mm, 3),
            "height_mm": round(height_mm, 3),
            "bytes": self.size_bytes,
            "lift_needed": None if by_ease else dataclasses.asdict(self.need),
            "ease_needed": dataclasses.asdict(self.need) if by_ease else None,
            "needed_rung": needed_rung(self.rungs, self.need),
            "rungs": [
                {"phrase": r.phrase, "lift_stops": r.stops, "ease_percent": r.percent}
                for r in self.rungs
            ],
            "places": [
                {
                    "role": place.role.value,
                    "kind": None if place.kind is None else place.kind.value,
                    "where": place.where,
                    "box": dataclasses.astuple(place.box),
                    "lost": {kind.value: round(share, 5) for kind, share in lost.items()},
                }
                for place, lost in zip(plan.places, self.lost, strict=True)
            ],
            "cells": [
                {
                    "name": cell.name,
                    "place": cell.place,
                    "rung": cell.rung,
                    "box": dataclasses.astuple(cell.at),
                    "width_mm": round(plan.mm(cell.at.width), 2),
                    "height_mm": round(plan.mm(cell.at.height), 2),
                }
                for cell in plan.cells
            ],
            "wedge": [
                {"number": s.number, "L": round(s.L, 3), "box": dataclasses.astuple(s.at)}
                for s in plan.steps
            ],
            "scale_mm": plan.scale_mm,
            "share_outside": self.share_outside,
            "sentences": list(self.sentences),
            "check": {
                "passed": self.check.passed,
                "readers": list(self.check.readers),
                "most_codes": self.check.most_codes,
                "same_profile": self.check.same_profile,
                "ppi": list(self.check.ppi),
                "sentences": list(self.check.sentences),
            },
        }


def write_strip(
    engine: Engine,
    request: ProofRequest,
    wanted: StripOrder,
    path: Path | str,
    *,
    stocks: Sequence[Stock] = (),
    inputs: Iterable[Path | str] = (),
    overwrite: bool = False,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> tuple[StripWritten, ...]:
    """Write a test strip, for one stock or a file for each of several.

    Parameters
    ----------
    engine
        Proves; its caches are used.
    request
        The large print. Its correction, if it has one, is a step of the ladder.
    wanted
        Sheet, ladder, space and kind.
    path
        The file; for several stocks each has its name in its own.
    stocks
        Instead of the request's, each with its own file; places and layout are the same on all.
    inputs
        Files that were read besides the photograph's; none of them is written onto.
    overwrite
        Whether files that are there may be replaced.
    cancel
        Asked now and then; True calls the work off. Files that are finished by then stay.
    progress
        Told the share done, 0..1, from any thread.

    Raises
    ------
    SettingError
        The sheet is too small or too large at this ppi, a lift is not possible, or the ending
        does not fit the kind.
    OutputError
        A file cannot be written, may not be replaced, or did not read back as it was written.
    ProfileError
        One of the profiles cannot convert.
    Cancelled
        `cancel` said so.
    """
    request = _limited(request, wanted.most_ppi)
    photograph = request.photograph
    read = [*inputs, *([photograph.path] if photograph.path is not None else [])]
    printed = tuple(stocks) or (request.stock,)
    paths = strip_paths(path, [stock.name for stock in printed] if stocks else [])
    _refuse(paths, wanted, read, overwrite=overwrite)
    assert request.size is not None
    order = Order(request.size, wanted.destination, wanted.kind)
    ppi = layout_of(order, photograph).ppi
    undone = _uneased if wanted.eases else _unlifted
    plain = [undone(request.on(stock)) for stock in printed]
    given = bool(wanted.lifts or wanted.eases)
    rungs_early = ladder(request, wanted, [])  # a lift that is not possible is told at once
    least = rungs_early if given else ladder(_unlifted(request), wanted, [])
    refuse_sheet(
        (photograph.width, photograph.height),
        ppi,
        wanted.sheet,
        [
            page_before(one, wanted, float(ppi), each.name, least)
            for one, each in zip(plain, paths, strict=True)
        ],
    )
    share = _shares(progress, len(plain))
    proofs: list[Proof] = []
    needs: list[Needed] = []
    needed_for = ease_needed_for if wanted.eases else lift_needed_for
    for number, one in enumerate(plain):  # places and their words are of the print as it is
        bare = dataclasses.replace(one, correction=None)
        proofs.append(Prover(engine, bare).scan(cancel, share(0.0, _PROVED, number)))
    for number, one in enumerate(plain):
        needs.append(needed_for(engine, one, cancel, share(_PROVED, _LIFTED, number)))
    rungs = rungs_early if given else ladder(request, wanted, [need.amount for need in needs])
    finder = PlaceFinder(photograph, proofs)
    views = [_seen(finder, number) for number in range(len(plain))]
    pages = [
        page_of(one, wanted, float(ppi), each.name, rungs, need, seen)
        for one, each, need, seen in zip(plain, paths, needs, views, strict=True)
    ]
    plans = lay_out((photograph.width, photograph.height), ppi, wanted.sheet, pages, finder.places)
    metadata = read_metadata(photograph.path)
    written = []
    for number, plan in enumerate(plans):
        if cancel is not None and cancel():
            raise Cancelled
        drawn = draw(
            plan,
            photograph,
            order,
            _for_stock(rungs, plain[number].stock),
            cancel=cancel,
            progress=share(_LIFTED, _DRAWN, number),
        )  # fmt: skip
        expected = Expected(drawn.codes, plan.ppi, plan.size_mm)
        check, size = put_checked(
            paths[number], expected, order, metadata, inputs=read, overwrite=overwrite,
            cancel=cancel, progress=share(_DRAWN, 1.0, number),
        )  # fmt: skip
        one, seen = plain[number], views[number]
        written.append(
            StripWritten(
                path=paths[number],
                stock=one.stock,
                order=order,
                plan=plan,
                rungs=rungs,
                need=needs[number],
                lost=tuple(seen.lost_in(place) for place in plan.places),
                share_outside=drawn.share_outside,
                size_bytes=size,
                check=check,
                sentences=sentences_of(one, plan, rungs, needs[number], seen, size),
            )
        )
    return tuple(written)


def _limited(request: ProofRequest, most_ppi: float | None) -> ProofRequest:
    """With the pixels that the large print will have."""
    photograph, size = request.photograph, request.size
    assert size is not None
    pixels = pixels_for((photograph.width, photograph.height), size.ppi(photograph), most_ppi)
    return dataclasses.replace(request, photograph=reduced(photograph, pixels))


def _unlifted(request: ProofRequest) -> ProofRequest:
    """With a curve of one's own and colours eased in, but without a lift: what a lift comes to."""
    own = request.correction
    if own is None:
        return request
    own = own.with_lift(0.0)
    return dataclasses.replace(request, correction=None if own.is_none else own)


def _uneased(request: ProofRequest) -> ProofRequest:
    """With a curve and a lift, but with strong colours as they are: what an easing comes to."""
    own = request.correction
    if own is None:
        return request
    own = own.with_ease(None)
    return dataclasses.replace(request, correction=None if own.is_none else own)


def _for_stock(rungs: Sequence[Rung], stock: Stock) -> tuple[Rung, ...]:
    return tuple(
        dataclasses.replace(rung, correction=rung.correction.for_stock(stock))
        if isinstance(rung.correction, Correction)
        else rung
        for rung in rungs
    )


def _refuse(
    paths: Sequence[Path], wanted: StripOrder, read: Sequence[Path | str], *, overwrite: bool
) -> None:
    """Tell before any work what cannot be written."""
    for each in paths:
        refuse_inputs(each, read)
        if not overwrite:
            refuse_existing(each)
        if kind_of(each) != wanted.kind:
            wrong = tr("this ending does not stand for {kind}; choose another", kind=wanted.kind)
            raise SettingError("output", each.name, wrong)


def strip_paths(path: Path | str, stocks: Sequence[str]) -> tuple[Path, ...]:
    """The file of each stock.

    Parameters
    ----------
    path
        As it was asked for.
    stocks
        Names; none for a single file.

    Raises
    ------
    SettingError
        A stock is named twice.

    Examples
    --------
    >>> [path.name for path in strip_paths("strip.tif", ["smooth matte", "baryta"])]
    ['strip_smooth-matte.tif', 'strip_baryta.tif']
    """
    path = Path(path)
    if not stocks:
        return (path,)
    names = ["-".join(safe_name(Path(stock).stem).split()) for stock in stocks]
    for name, stock in zip(names, stocks, strict=True):
        if names.count(name) > 1:
            raise SettingError("stocks", stock, tr("name each stock once"))
    return tuple(path.with_name(f"{path.stem}_{name}{path.suffix}") for name in names)


def _seen(finder: PlaceFinder, stock: int) -> Seen:
    def lost_in(place: Place) -> Mapping[Kind, float]:
        return finder.lost_in(place.box, stock)

    return Seen(lost_in, lambda place: finder.is_like_skin(place.box))


def _shares(
    progress: Progress | None, count: int
) -> Callable[[float, float, int], Progress | None]:
    """The part of the progress that one of several has in a stage."""

    def share(start: float, end: float, number: int) -> Progress | None:
        if progress is None:
            return None
        wide = (end - start) / count
        return lambda done: progress(start + wide * (number + done))

    return share
