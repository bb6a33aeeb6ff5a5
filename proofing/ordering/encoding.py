"""The photograph's codes to the codes of the order file: in float, in strips, rounded once."""

from __future__ import annotations

import functools
import os
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import XYZ_to_Lab, delta_E_00
from proofing.errors import Cancelled, SettingError
from proofing.language import tr
from proofing.ordering.dither import round_plainly, round_with_noise
from proofing.ordering.edges import Edge
from proofing.ordering.order import Correction, Layout, Order
from proofing.ordering.spaces import primaries_light
from proofing.photograph import IccIntent, IccProfile, Photograph, icc, unit_codes
from proofing.printing import compensate_black

Float = npt.NDArray[np.float64]
Cancel = Callable[[], bool]
Progress = Callable[[float], None]

_STRIP_PIXELS = 2**17  # some 30 MB of floats for each thread
_OUTSIDE_LIGHT = 5e-4  # of a primary's full light: far below one step of vision
_OUTSIDE_TABLE_DELTA_E = 2.0  # CIE 1976; how far a table and its inverse may be apart
_LEFT_THE_SCALE = 1e-6
_SAMPLED = 100  # colours outside that are measured in a strip
_GREY_AS_GREY = 2e-3  # channels of a neutral that differ by less are meant to be equal
_SAME_COLOUR = 0.1  # CIE 1976, a tenth of what is just noticeable


@dataclass(frozen=True)
class Converted:
    """The pixels of an order file, and what the conversion did.

    Attributes
    ----------
    codes
        (H, W, 3) uint8 or uint16, margins included.
    same_space
        Whether the photograph is in the destination's space already.
    exact
        Whether the codes are the photograph's own, in more bits at most: nothing was rounded.
    share_outside
        Share of the picture's pixels, 0..1, with a colour outside the destination.
    delta_E_outside, delta_E_most
        CIEDE2000 by which these were changed: the mean and the largest of an even sample of them,
        0 where there are none.
    share_corrected_away
        Share of the pixels that the correction took below 0 or above 1.
    flattened
        Whether transparent parts were laid on white.
    """

    codes: npt.NDArray[Any]
    same_space: bool
    exact: bool
    share_outside: float
    delta_E_outside: float
    delta_E_most: float
    share_corrected_away: float
    flattened: bool


def convert(
    photograph: Photograph,
    order: Order,
    layout: Layout,
    *,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> Converted:
    """The pixels of an order.

    Parameters
    ----------
    photograph, order, layout
        What, how, and its measures.
    cancel
        Asked between strips; True calls the work off.
    progress
        Told the share done, 0..1, from any thread.

    Raises
    ------
    Cancelled
        `cancel` said so.
    SettingError
        The correction does not give codes back.
    ProfileError
        One of the profiles cannot convert.
    """
    same = is_same_space(photograph, order.destination)
    exact = (
        same
        and order.correction is None
        and photograph.alpha is None
        and photograph.codes.dtype.kind == "u"
        and photograph.codes.dtype.itemsize * 8 <= order.bits
    )
    width, height = photograph.width, photograph.height
    out: Any = np.empty(
        (layout.height_px, layout.width_px, 3), np.uint8 if order.top == 255 else np.uint16
    )
    out[...] = _around(order)
    inner = out[layout.top_px : layout.top_px + height, layout.left_px : layout.left_px + width]
    rows = max(1, _STRIP_PIXELS // width)
    starts = range(0, height, rows)
    done = 0
    counting = threading.Lock()

    def strip(first: int) -> tuple[int, int, Float]:
        nonlocal done
        if cancel is not None and cancel():
            raise Cancelled
        end = min(first + rows, height)
        codes = unit_codes(photograph.codes[first:end]).reshape(-1, 3)
        away = 0
        if order.correction is not None:
            codes, away = _corrected(order.correction, codes)
        if photograph.alpha is not None:
            cover = photograph.alpha[first:end].reshape(-1, 1) / 255.0
            codes = codes * cover + _white_of(photograph) * (1.0 - cover)
        outside, changes = 0, np.zeros(0)
        if not same:
            codes, outside, changes = _to_destination(photograph, order, codes)
        shaped = codes.reshape(end - first, width, 3)
        inner[first:end] = (
            round_plainly(shaped, order.top)
            if exact
            else round_with_noise(shaped, order.top, first)
        )
        with counting:
            done += end - first
            if progress is not None:
                progress(done / height)
        return away, outside, changes

    with ThreadPoolExecutor(min(4, os.cpu_count() or 1)) as pool:
        parts = list(pool.map(strip, starts))
    if order.reach_mm and order.edge is Edge.MIRRORED:
        _mirror(out, layout)
    changes = np.concatenate([part[2] for part in parts])
    return Converted(
        codes=out,
        same_space=same,
        exact=exact,
        share_outside=sum(part[1] for part in parts) / (width * height),
        delta_E_outside=float(changes.mean()) if changes.size else 0.0,
        delta_E_most=float(changes.max(initial=0.0)),
        share_corrected_away=sum(part[0] for part in parts) / (width * height),
        flattened=photograph.alpha is not None,
    )


def _around(order: Order) -> npt.NDArray[np.integer]:
    """(3,) codes of what lies round the picture: paper, or a plain edge."""
    plain = order.reach_mm > 0.0 and order.edge is Edge.PLAIN
    codes = np.asarray(order.edge_codes if plain else (1.0, 1.0, 1.0))
    rounded: npt.NDArray[np.integer] = np.rint(codes * order.top).astype(np.uint16)
    return rounded


def _mirror(out: npt.NDArray[Any], layout: Layout) -> None:
    """Turn the picture over at its own edges, as it lies round a bar."""
    left, top, right, bottom = layout.left_px, layout.top_px, layout.right_px, layout.bottom_px
    end_x, end_y = layout.width_px - right, layout.height_px - bottom
    rows = slice(top, end_y)
    out[rows, :left] = out[rows, left : 2 * left][:, ::-1]
    out[rows, end_x:] = out[rows, end_x - right : end_x][:, ::-1]
    out[:top] = out[top : 2 * top][::-1]
    out[end_y:] = out[end_y - bottom : end_y][::-1]


def is_same_space(photograph: Photograph, destination: IccProfile) -> bool:
    """Whether the photograph's codes mean the same in the destination, so that they can stay.

    Profiles of one encoding differ in their names and in the last digits. Such a difference is no
    reason to change codes; a tenth of a just noticeable one is the limit.
    """
    profile = photograph.encoding.profile
    if profile is None or photograph.encoding.kind != "RGB":
        return False
    return _mean_the_same(profile, destination)


@functools.lru_cache(maxsize=32)
def _mean_the_same(profile: IccProfile, destination: IccProfile) -> bool:
    if profile == destination:
        return True
    if not (profile.is_matrix and destination.is_matrix):
        return False
    ramp = np.linspace(0.0, 1.0, 9)
    cube = np.stack(np.meshgrid(ramp, ramp, ramp, indexing="ij"), axis=-1).reshape(-1, 3)
    probe = np.vstack([cube, np.repeat(np.linspace(0.0, 1.0, 256)[:, None], 3, axis=1)])
    theirs, ours = (
        icc.device_to_Lab(each, probe, IccIntent.RELATIVE) for each in (profile, destination)
    )
    return bool(np.linalg.norm(theirs - ours, axis=1).max() < _SAME_COLOUR)


def _corrected(correction: Correction, codes: Float) -> tuple[Float, int]:
    """Codes after the correction, and how many pixels left the scale in it."""
    given = np.asarray(correction(codes))
    if given.shape != codes.shape or given.dtype.kind != "f":
        raise SettingError(
            "correction",
            f"{given.dtype} {given.shape}",
            tr("a correction gives as many codes as it gets, (N, 3) fractions of full scale"),
        )
    given = given.astype(np.float64)
    if not np.isfinite(given).all():
        raise SettingError(
            "correction", float("nan"), tr("a correction gives a number for every code")
        )
    off = ((given < -_LEFT_THE_SCALE) | (given > 1.0 + _LEFT_THE_SCALE)).any(axis=1)
    return np.clip(given, 0.0, 1.0), int(np.count_nonzero(off))


def _white_of(photograph: Photograph) -> Float:
    """The code of white, on which what is transparent lies."""
    if photograph.encoding.kind == "Lab":
        return icc.encode_Lab([100.0, 0.0, 0.0])
    return np.ones(3)


def _to_destination(photograph: Photograph, order: Order, codes: Float) -> tuple[Float, int, Float]:
    """Codes of the destination, how many colours lie outside it, and a sample of their change."""
    encoding, destination = photograph.encoding, order.destination
    bpc = order.black_point_compensation
    if encoding.profile is None:
        XYZ = encoding.to_XYZ(codes)
        if bpc:
            XYZ = compensate_black(XYZ, encoding.black_Y, 0.0)
    else:
        values = codes[:, :1] if encoding.kind == "grey" else codes
        XYZ = icc.device_to_XYZ(encoding.profile, values, IccIntent.RELATIVE, bpc=bpc)
    device = icc.XYZ_to_device(destination, XYZ, IccIntent.RELATIVE, bpc=bpc)
    if encoding.kind == "grey":
        device = _as_grey(device)
    if destination.is_matrix:
        light = primaries_light(destination, XYZ)
        beyond = (light < -_OUTSIDE_LIGHT) | (light > 1.0 + _OUTSIDE_LIGHT)
        outside = np.flatnonzero(beyond.any(axis=1))
    else:
        back = icc.device_to_XYZ(destination, device, IccIntent.RELATIVE, bpc=bpc)
        apart = np.linalg.norm(XYZ_to_Lab(back) - XYZ_to_Lab(XYZ), axis=1)
        outside = np.flatnonzero(apart > _OUTSIDE_TABLE_DELTA_E)
    sample = outside[:: max(1, len(outside) // _SAMPLED)]
    if not len(sample):
        return device, 0, np.zeros(0)
    there = icc.device_to_XYZ(destination, device[sample], IccIntent.RELATIVE, bpc=bpc)
    changes = delta_E_00(XYZ_to_Lab(XYZ[sample]), XYZ_to_Lab(there))
    return device, len(outside), changes


def _as_grey(device: Float) -> Float:
    """A grey picture's red, green and blue made equal where they are so but for rounding."""
    mean = device.mean(axis=1, keepdims=True)
    grey = np.abs(device - mean).max(axis=1, keepdims=True) < _GREY_AS_GREY
    made: Float = np.where(grey, mean, device)
    return made
