"""The pixels of one look at the pair. Free of Qt; runs on the worker's thread."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from app.views.eye_blur import LEAST_PX, REACH, blurred
from app.views.surface import Overlay, SurfaceHint, relief_over, with_mirrored
from app.views.viewport import ViewSpec
from proofing.findings.cover import mark_bits
from proofing.findings.kinds import Kind
from proofing.findings.overlay import overlay

if TYPE_CHECKING:
    from app.kept import KeptPrint
    from proofing.engine import Baked
    from proofing.photograph import Photograph
    from proofing.proof import Proof

Bytes = npt.NDArray[np.uint8]
Hints = tuple[SurfaceHint | None, SurfaceHint | None]

IN_THE_FILE = frozenset({Kind.CLIPPED_IN_FILE})
"""Marks drawn on the photograph: what the file has lost. All others are drawn on the print."""

_BASE_PIXELS = 600_000  # of the whole picture drawn under the part in sight


@dataclass(frozen=True)
class Side:
    """One pane's pixels: BGRX, and the marks as premultiplied BGRA or None; between them, where it
    is wanted, the relief of the sheet."""

    bgrx: Bytes
    marks: Bytes | None = None
    relief: Overlay | None = None


@dataclass(frozen=True)
class Frame:
    """Both panes for one :class:`~app.views.viewport.ViewSpec`; the photograph's may hold a print
    that is kept."""

    spec: ViewSpec
    photograph: Side
    print: Side


def whole_spec(photograph: Photograph, most_pixels: int = _BASE_PIXELS) -> ViewSpec:
    """The whole picture at a size that is quick to make and good enough while moving."""
    height, width = photograph.codes.shape[:2]
    level = 0
    while (width >> level) * (height >> level) > most_pixels:
        level += 1
    return ViewSpec(level, (0, 0, width, height), (0, 0, 0, 0), 2.0**-level)


def draw(
    baked: Baked,
    photograph: Photograph,
    spec: ViewSpec,
    shown: frozenset[Kind] = frozenset(),
    proof: Proof | None = None,
    ratio: float = 1.0,
    strength: float = 1.0,
    cancel: Callable[[], bool] | None = None,
    kept: KeptPrint | None = None,
    spread_px: float = 0.0,
    hints: Hints = (None, None),
) -> Frame:
    """Compute a frame.

    Parameters
    ----------
    baked
        The colour function.
    photograph
        The picture; its pyramid levels are made on first use and kept.
    spec
        What is in sight.
    shown
        Kinds of marks to draw.
    proof
        What is lost where; None draws no marks.
    ratio
        Device pixels per logical pixel: textures keep their size for the eye.
    strength
        Of the marks, 0 to 1.
    cancel
        Tells when the frame is no longer wanted.
    kept
        A print to draw in the photograph's place.
    spread_px
        What an eye's spread adds, pixels of the photograph; marks stay as they are.
    hints
        Of the surface of the kept print, and of the print; None draws none.
    """
    sight = _Sight(photograph, spec, spread_px)
    spec = sight.spec
    print_bgrx, print_relief = sight.hung(baked, hints[1], cancel)
    right = _marks(proof, spec, ratio, strength, shown - IN_THE_FILE)
    relief = None
    if kept is None:
        other = sight.seen(baked.photograph_view, baked, cancel)
        left = _marks(proof, spec, ratio, strength, shown & IN_THE_FILE)
    else:
        other, relief = sight.hung(kept.baked, hints[0], cancel)
        left = _marks(kept.proof, spec, ratio, strength, shown)
    return Frame(spec, Side(other, left, relief), Side(print_bgrx, right, print_relief))


def draw_print(
    baked: Baked,
    photograph: Photograph,
    spec: ViewSpec,
    cancel: Callable[[], bool] | None = None,
    spread_px: float = 0.0,
    hint: SurfaceHint | None = None,
) -> Frame:
    """A frame with the print in both panes, without marks; arguments as :func:`draw` has them."""
    sight = _Sight(photograph, spec, spread_px)
    bgrx, relief = sight.hung(baked, hint, cancel)
    side = Side(bgrx, relief=relief)
    return Frame(sight.spec, side, side)


class _Sight:
    """The pixels of the file that a frame needs: its crop, and what an eye spreads into it."""

    def __init__(self, photograph: Photograph, spec: ViewSpec, spread_px: float) -> None:
        reduced: Any = photograph.level(spec.level)
        height, width = reduced.codes.shape[:2]
        x0, y0, x1, y1 = spec.crop
        x0, y0, x1, y1 = min(x0, width - 1), min(y0, height - 1), min(x1, width), min(y1, height)
        self.spec = ViewSpec(spec.level, (x0, y0, x1, y1), spec.marks, spec.scale)
        self._spread = spread_px / 2.0**spec.level
        halo = math.ceil(REACH * self._spread) if self._spread >= LEAST_PX else 0
        left, top = max(x0 - halo, 0), max(y0 - halo, 0)
        around = slice(top, min(y1 + halo, height)), slice(left, min(x1 + halo, width))
        self._inner = slice(y0 - top, y1 - top), slice(x0 - left, x1 - left)
        self._codes = reduced.codes[around]
        self._alpha = None if reduced.alpha is None else reduced.alpha[around]

    def seen(
        self, view: Callable[..., Bytes], baked: Baked, cancel: Callable[[], bool] | None
    ) -> Bytes:
        """One pane's pixels, (H, W, 4) BGRX, as an eye resolves them."""
        whole = view(self._codes, self._alpha, cancel=cancel)
        made = blurred(whole, self._spread, baked.request.screen)
        return whole if made is whole else np.ascontiguousarray(made[self._inner])

    def hung(
        self, baked: Baked, hint: SurfaceHint | None, cancel: Callable[[], bool] | None
    ) -> tuple[Bytes, Overlay | None]:
        """A print's pixels, with a hint of its surface where one is given."""
        made = self.seen(baked.print_view, baked, cancel)
        if hint is None:
            return made, None
        mirrored = with_mirrored(made, hint, baked, self.spec.crop, self.spec.level)
        return mirrored, relief_over(hint, baked)


def _marks(
    proof: Proof | None, spec: ViewSpec, ratio: float, strength: float, shown: frozenset[Kind]
) -> Bytes | None:
    """Textures, one value for each device pixel of ``spec.marks``: they keep their pitch."""
    u0, v0, u1, v1 = spec.marks
    if proof is None or u1 <= u0 or v1 <= v0:
        return None
    bits = mark_bits(
        proof.maps, shown, proof.cell_px, spec.scale, (-float(u0), -float(v0)), (v1 - v0, u1 - u0)
    )
    if not bits.any():
        return None
    return overlay(bits, shown, scale=ratio, origin=spec.marks[:2], strength=strength)
