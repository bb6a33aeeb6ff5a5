"""The pixels of a test strip: crops converted as an order is, a wedge, type, a scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from proofing.errors import Cancelled
from proofing.ordering.encoding import Cancel, Progress, convert
from proofing.ordering.order import Layout, Order
from proofing.ordering.strip import Label, Rung, StripPlan, part_of
from proofing.ordering.strip_type import coverage
from proofing.ordering.strip_wedge import wedge_codes
from proofing.photograph import Photograph


@dataclass(frozen=True, eq=False)
class Drawn:
    """A sheet as it is written.

    Attributes
    ----------
    codes
        (H, W, 3) uint8 or uint16.
    share_outside
        Share of the crops' pixels with a colour outside the destination.
    """

    codes: npt.NDArray[Any]
    share_outside: float


def draw(
    plan: StripPlan,
    photograph: Photograph,
    order: Order,
    rungs: Sequence[Rung],
    *,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> Drawn:
    """Draw a sheet.

    Parameters
    ----------
    plan, photograph, rungs
        What goes where.
    order
        Space and kind of the file; its size and correction are not used.
    cancel, progress
        Asked and told between crops.

    Raises
    ------
    Cancelled
        `cancel` said so.
    ProfileError
        One of the profiles cannot convert.
    """
    dtype = np.uint8 if order.top == 255 else np.uint16
    codes: npt.NDArray[Any] = np.full((plan.height_px, plan.width_px, 3), order.top, dtype)
    outside = pixels = 0.0
    for done, cell in enumerate(plan.cells):
        if cancel is not None and cancel():
            raise Cancelled
        if progress is not None:
            progress(done / len(plan.cells))
        crop = part_of(photograph, plan.places[cell.place].box)
        correction = rungs[cell.rung].correction
        each = Order(
            order.size, order.destination, order.kind,
            correction=None if correction is None else correction.apply,
            black_point_compensation=order.black_point_compensation,
        )  # fmt: skip
        size = (crop.width, crop.height)
        made = convert(crop, each, Layout(plan.ppi, 0, 0, 0, 0, *size), cancel=cancel)
        cell.at.of(codes)[...] = made.codes
        outside += made.share_outside * size[0] * size[1]
        pixels += size[0] * size[1]
    greys = wedge_codes(order.destination, [step.L for step in plan.steps], order.top)
    for step, grey in zip(plan.steps, greys, strict=True):
        step.at.of(codes)[...] = grey
    for bar in plan.bars:
        bar.of(codes)[...] = 0
    for label in plan.type:
        _print(codes, label, order.top)
    if progress is not None:
        progress(1.0)
    return Drawn(codes, outside / max(pixels, 1.0))


def _print(codes: npt.NDArray[Any], label: Label, top: int) -> None:
    """Black type on white paper."""
    ink = coverage(label)[..., None]
    under = label.box.of(codes)
    light = np.rint(top * (1.0 - ink / 255.0)).astype(codes.dtype)
    np.minimum(under, light[: under.shape[0], : under.shape[1]], out=under)
