"""From a scan to findings: places chosen, measured and put into words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import Float, XYZ_to_Lab, delta_E_00
from proofing.engine import Cancel, Engine
from proofing.findings.finding import Finding, KindShare
from proofing.findings.kinds import Kind
from proofing.findings.losses import LossMap, loss_maps
from proofing.findings.regions import Region, Regions, find_regions, joined
from proofing.findings.scan import CELL, Scan, Tiles, scan
from proofing.findings.sight import pixel_arcmin
from proofing.findings.stage import Stage
from proofing.findings.words import colours_in_words, sentence
from proofing.language import counted, listed, mark, tr
from proofing.photograph import Photograph, unit_codes
from proofing.photograph.photograph import OPAQUE_FROM
from proofing.proof.lamp import lamp_shift, parts_apart
from proofing.proof.result import Proof
from proofing.proof.verdict import Totals, colour_verdict, verdict
from proofing.request import ProofRequest
from proofing.screen import screen_against_print

Progress = Callable[[float], None]

MOST_OF_A_KIND = 3
"""No more places of one kind than this are pointed at."""
MOST_OF_LITTLE_GRAVITY = 1
"""Nor more than this of a kind that is no loss on the print."""
OF_DETAIL = frozenset({Kind.BLOCKED_SHADOWS, Kind.BLOWN_HIGHLIGHTS, Kind.BANDING_RISK})
"""Kinds that cannot be told from a reduced copy."""
BLACK_RAN_OUT = mark("black ran out, no shadow is left below it")
VALUES_RAN_OUT = mark("its colour values ran out")
_SAMPLES = 120  # cells of a region that are looked into
_A_SIDE = 3  # pixels a side in each


@dataclass(frozen=True, eq=False)
class Looked:
    """A scan, taken apart."""

    proof: Proof
    scan: Scan
    sources: tuple[LossMap, ...]
    """The map that each finding was taken from."""


@dataclass(frozen=True, eq=False)
class Colours:
    """Colours of a region, (N, 3): codes of the file 0..1, what they ask of the printer as
    media-relative XYZ, and Lab wanted and printed."""

    codes: Float
    XYZ: Float
    wanted: Float
    printed: Float

    @property
    def off(self) -> Float:
        """(N,) dE00 from what is wanted to what is printed, with the rendering in use."""
        return delta_E_00(self.wanted, self.printed)

    @property
    def numbers(self) -> dict[str, float]:
        """How far off they print, and in which way."""
        L, C, H = parts_apart(self.printed, self.wanted)
        return {
            "miss": float(self.off.mean()),
            "miss_95": float(np.percentile(self.off, 95)),
            "delta_L": L,
            "delta_C": C,
            "delta_H": H,
        }


class Job:
    """One proof: the request and what it is done with."""

    def __init__(self, engine: Engine, request: ProofRequest, cancel: Cancel | None = None) -> None:
        self.engine = engine
        self.request = request
        self.cancel = cancel
        self._tiles = Tiles()  # of the whole picture
        self.white_cd_m2 = float(request.room.white_XYZ_cd_m2[1])

    # ---- looking -----------------------------------------------------------------------------

    def scan(
        self,
        request: ProofRequest,
        photograph: Photograph,
        nodes: int,
        progress: Progress | None = None,
        *,
        once: bool = False,
    ) -> tuple[Scan, tuple[LossMap, ...]]:
        """Scan a picture or a level of it; once only, where no picture of it will be shown."""
        tiles = None if once or photograph.reduction > 1 else self._tiles
        codes = photograph.codes if once else None
        lattice = self.engine.bake_scan(request, nodes, self.cancel, codes)
        found = scan(
            lattice,
            photograph,
            arcmin=arcmin_of(request, photograph),
            tolerance=request.gamut_tolerance,
            workers=self.engine.workers,
            cancel=self.cancel,
            progress=progress,
            tiles_done=tiles,
        )
        return found, loss_maps(found, float(request.room.white_XYZ_cd_m2[1]))

    def look(
        self,
        photograph: Photograph,
        nodes: int,
        stage: Stage,
        progress: Progress | None = None,
    ) -> Looked:
        """Find what is lost, without advice."""
        request = self.request
        scanned, maps = self.scan(request, photograph, nodes, progress)
        provisional = stage is Stage.PROVISIONAL
        if provisional:  # detail is not what it was in a picture that is made smaller
            maps = tuple(loss for loss in maps if loss.kind not in OF_DETAIL)
        total = float(scanned.pixels.sum())
        scale = photograph.reduction
        placed = [(loss, _places(loss, scanned, request.photograph, scale)) for loss in maps]
        found: dict[tuple[Kind, str, str], tuple[LossMap, Finding]] = {}
        for loss, region in _choose(placed):
            finding = self.finding(loss, region, scanned.cell_px * scale)
            # what would be told in the same words is told once, of the worse place; a thing of
            # one colour is one thing
            where = "" if finding.kind is Kind.OUT_OF_GAMUT else region.where
            found.setdefault((finding.kind, finding.reason, where), (loss, finding))
        findings = tuple(finding for _, finding in found.values())
        baked = self.engine.bake(request, nodes, self.cancel)
        kinds = tuple(
            _kind_share(kind, [r for m, r in placed if m.kind is kind], findings, total, scale)
            for kind in Kind
        )
        screen = screen_against_print(
            request.screen, baked.paper_white_cd_m2, request.room.illuminance_lux
        )
        lamp, totals = lamp_shift(self.engine, request), _totals(maps, total)
        said = (colour_verdict if provisional else verdict)(kinds, totals, baked, lamp)
        result = Proof(
            baked=baked,
            stage=stage,
            findings=findings,
            marks=kinds,
            maps=_cell_shares(maps, scanned),
            cell_px=scanned.cell_px * scale,
            screen=screen,
            lamp=lamp,
            verdict=said,
            pending=OF_DETAIL if provisional else frozenset(),
            totals=totals,
        )
        return Looked(result, scanned, tuple(loss for loss, _ in found.values()))

    def finding(self, loss: LossMap, region: Region, cell_px: int) -> Finding:
        """Numbers and words for one region."""
        lost = np.where(region.cells, loss.lost, 0.0)
        weight = float(lost.sum())

        def mean(name: str) -> float:
            return float((loss.numbers[name] * lost).sum() / weight)

        reason = ""
        numbers: dict[str, float] = {}
        if loss.kind in (Kind.BLOCKED_SHADOWS, Kind.BLOWN_HIGHLIGHTS):
            if "bare" in loss.numbers:
                reason = "bare"
            else:
                reason = "coarse" if mean("coarse") > 0.5 else "fine"
                numbers = {"file": mean("file"), "print": mean("print")}
        elif loss.kind is Kind.OUT_OF_GAMUT:
            colours = self.colours(region, loss, cell_px)
            numbers, reason = colours.numbers, colours_in_words(colours.wanted)
        elif loss.kind is Kind.FLATTENED_COLOUR:
            numbers = {"wanted": mean("wanted"), "printed": mean("printed")}
            reason = colours_in_words(self.colours(region, loss, cell_px).wanted)
        elif loss.kind is Kind.CLIPPED_IN_FILE:
            reason = _clipped_channels(loss, region)
        elif loss.kind is Kind.BANDING_RISK:
            numbers = {"step": mean("step")}
        return Finding(
            loss.kind,
            reason,
            region,
            numbers,
            sentence(loss.kind, reason, region.where, region.share, numbers),
        )

    def codes(self, region: Region, loss: LossMap, cell_px: int) -> Float:
        """Codes, 0..1, (N, 3), of opaque pixels all over the lost cells of a region."""
        photograph = self.request.photograph
        rows, columns = np.nonzero(region.cells & (loss.lost > 0.0))
        step = max(1, -(-len(rows) // _SAMPLES))
        places = (np.arange(_A_SIDE) + 0.5) / _A_SIDE
        y = (rows[::step, None, None] + places[:, None]) * cell_px
        x = (columns[::step, None, None] + places[None, :]) * cell_px
        y, x = (np.broadcast_to(v, np.broadcast(y, x).shape).astype(int).ravel() for v in (y, x))
        y, x = np.minimum(y, photograph.height - 1), np.minimum(x, photograph.width - 1)
        if photograph.alpha is not None:
            opaque = photograph.alpha[y, x] >= OPAQUE_FROM
            y, x = (y[opaque], x[opaque]) if opaque.any() else (y, x)
        return unit_codes(np.asarray(photograph.codes[y, x]))

    def colours(self, region: Region, loss: LossMap, cell_px: int) -> Colours:
        """The colours of a region that are out of gamut; all of them, where none is."""
        codes = self.codes(region, loss, cell_px)
        XYZ = self.request.to_print(codes, eased=False)
        mapped = self.engine.map_codes(self.request, codes)
        chosen = mapped.miss > self.request.gamut_tolerance
        if not chosen.any():
            chosen[:] = True
        return Colours(
            codes[chosen],
            XYZ[chosen],
            XYZ_to_Lab(mapped.wanted[chosen]),
            XYZ_to_Lab(mapped.printed[chosen]),
        )


def _totals(maps: Sequence[LossMap], total: float) -> Totals:
    whole = max(total, 1.0)
    out = [loss for loss in maps if loss.kind is Kind.OUT_OF_GAMUT]
    off = sum(float((loss.numbers["miss"] * loss.lost).sum()) for loss in out)
    return Totals(
        bare=sum(float(m.lost.sum()) for m in maps if "bare" in m.numbers) / whole,
        weak=sum(float(m.numbers["weak"].sum()) for m in maps if "weak" in m.numbers) / whole,
        miss=off / max(sum(float(loss.lost.sum()) for loss in out), 1.0),
        is_empty=total <= 0.0,
    )


def arcmin_of(request: ProofRequest, photograph: Photograph) -> float:
    assert request.size is not None and request.distance_m is not None
    pixel_mm = request.size.width_mm / request.photograph.width * photograph.reduction
    return pixel_arcmin(pixel_mm, request.distance_m)


def _places(loss: LossMap, scanned: Scan, whole: Photograph, scale: int) -> Regions:
    """Regions in pixels of the whole file, of a scan of a level of it."""
    return find_regions(
        loss.lost,
        loss.loss,
        scanned.pixels,
        cell_px=scanned.cell_px * scale,
        cell_arcmin=CELL * scanned.working_arcmin,
        size=(whole.height, whole.width),
    )


def _choose(placed: Sequence[tuple[LossMap, Regions]]) -> list[tuple[LossMap, Region]]:
    """The places worth pointing at, the worst first; those that go by the same words are one."""
    per_kind: dict[Kind, list[tuple[LossMap, Region]]] = {}
    for loss, regions in placed:
        alike: dict[tuple[str, str], list[Region]] = {}
        for region in regions.found:
            reason = _clipped_channels(loss, region) if loss.kind is Kind.CLIPPED_IN_FILE else ""
            alike.setdefault((region.where, reason), []).append(region)
        per_kind.setdefault(loss.kind, []).extend((loss, joined(r)) for r in alike.values())
    chosen = []
    for kind, pairs in per_kind.items():
        pairs.sort(key=lambda pair: -pair[1].rank)
        chosen += pairs[: MOST_OF_A_KIND if kind.order < 2 else MOST_OF_LITTLE_GRAVITY]
    chosen.sort(key=lambda pair: (pair[0].kind.order, -pair[1].rank))
    return chosen


def _kind_share(
    kind: Kind,
    regions: Sequence[Regions],
    findings: Sequence[Finding],
    total: float,
    scale: int,
) -> KindShare:
    lost = sum(found.pixels for found in regions)
    pointed_at = sum(f.region.pixels for f in findings if f.kind is kind)
    return KindShare(
        kind,
        round(lost * scale * scale),
        min(lost / total, 1.0) if total else 0.0,
        sum(len(found.found) for found in regions),
        max(lost - pointed_at, 0.0) / total if total else 0.0,
    )


def _cell_shares(maps: Sequence[LossMap], scanned: Scan) -> dict[Kind, npt.NDArray[np.float32]]:
    total = np.maximum(scanned.pixels, 1.0)
    shares = {kind: np.zeros(total.shape, np.float32) for kind in Kind}
    for loss in maps:
        shares[loss.kind] = np.maximum(shares[loss.kind], (loss.lost / total).astype(np.float32))
    return shares


def _clipped_channels(loss: LossMap, region: Region) -> str:
    """Which channels ran out, in words."""
    counts = {name: float(values[region.cells].sum()) for name, values in loss.numbers.items()}
    black, white = counts.pop("black"), counts.pop("white")
    most = max(*counts.values(), black)
    if most <= 0.0:
        return tr(VALUES_RAN_OUT)
    if black == most:
        return tr(BLACK_RAN_OUT)
    if white >= 0.5 * most:
        return tr("all channels are at their top, it is white without tone")
    names = [name for name, count in counts.items() if count >= 0.25 * most]
    if len(names) == 3:
        return tr("one channel or another is at its top")
    return counted(
        "the {channels} channels are at the top",
        "the {channels} channel is at the top",
        len(names),
        channels=listed([tr(name) for name in names]),
    )
