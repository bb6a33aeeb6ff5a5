"""The proof of a picture on a stock in a room: findings, advice and a verdict.

:func:`prove` scans the picture, joins what is lost to places, and computes what would help;
:func:`glance` tells within a fraction of a second, from a reduced copy, what to expect.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import PCS_WHITE_XYZ, Float, Lab_to_XYZ, XYZ_to_Lab
from proofing.engine import NODES_MOVING, NODES_RESTING, Baked, Cancel, Engine
from proofing.findings.advice import (
    MOST_LUX,
    Action,
    Advice,
    ShadowCells,
    lift_needed,
    light_needed,
    saturation_to_keep,
    seen_through,
)
from proofing.findings.cover import MARKED_FROM
from proofing.findings.finding import Finding, KindShare
from proofing.findings.kinds import Kind
from proofing.findings.losses import LossMap, loss_maps
from proofing.findings.regions import Region, Regions, find_regions
from proofing.findings.scan import CELL, Scan, scan, working_factor
from proofing.findings.sight import pixel_arcmin
from proofing.findings.stage import Stage
from proofing.findings.words import colours_in_words, sentence, share_in_words
from proofing.photograph import Photograph
from proofing.photograph.photograph import OPAQUE_FROM
from proofing.printing import Intent, Rendering, Stock
from proofing.request import ProofRequest
from proofing.screen import ScreenAgainstPrint, screen_against_print
from proofing.viewing import Glazing
from proofing.viewing.room import print_weights

Progress = Callable[[float], None]

MOST_FINDINGS = 8
"""No more places than this are pointed at; the rest is summed up."""
MOST_OF_A_KIND = 3
PROVISIONAL_PIXELS = 600_000
"""A reduced copy of at most so many pixels tells what to expect."""
SCREEN_OFF_STOPS = 1.0 / 3.0
"""A screen's white further than this from the print's paper white stands above all findings."""
DARKEST_PAPER_CD_M2 = 1.0
"""Paper darker than this is looked at by night vision's helping (mesopic from about 3 cd/m2 down,
CIE 191:2010, from memory); no print is judged there."""
LEAST_CONTRAST = 8.0
"""Of paper to black, under which a print is a veil and no picture (common practice)."""
NOTHING_LOST = 0.005
"""Up to this share of lost detail and flattened colour, a stock holds the picture."""
LITTLE_LOST = 0.03
MUCH_LOST = 0.10
WORTH_A_CHANGE = 0.6
"""Another stock, pane or intent is advised if it leaves at most this share of the loss."""
_SAMPLES = 120  # cells of a region that are looked into
_A_SIDE = 3  # pixels a side in each


@dataclass(frozen=True, eq=False)
class Proof:
    """What is lost, where, and what would save it.

    Attributes
    ----------
    baked
        The tables that carry pixels to the screen.
    stage
        How far it has come.
    findings
        The worst first, at most :data:`MOST_OF_A_KIND` of each kind.
    marks
        Every kind over the whole picture, in their order.
    maps
        (R, C) share of each cell's pixels that is lost, 0..1, by kind.
    cell_px
        Side of a cell in pixels of the file.
    screen
        The screen's white against the print's paper.
    verdict
        One line for the whole picture.
    """

    baked: Baked
    stage: Stage
    findings: tuple[Finding, ...]
    marks: tuple[KindShare, ...]
    maps: Mapping[Kind, npt.NDArray[np.float32]] = field(repr=False)
    cell_px: int
    screen: ScreenAgainstPrint
    verdict: str

    @property
    def request(self) -> ProofRequest:
        """What was asked."""
        return self.baked.request

    def share(self, kind: Kind) -> float:
        """Share of the picture that one kind takes, 0..1."""
        return next(found.share for found in self.marks if found.kind is kind)

    @property
    def is_complete(self) -> bool:
        """Whether nothing more will be known."""
        return self.stage is Stage.COMPLETE

    def shown(self, kinds: Collection[Kind]) -> tuple[Finding, ...]:
        """The findings of some kinds to be pointed at, at most :data:`MOST_FINDINGS`."""
        return tuple(f for f in self.findings if f.kind in kinds)[:MOST_FINDINGS]

    def bears(self, kind: Kind, row: int, column: int) -> bool:
        """Whether a pixel of the file lies in a cell that bears a mark."""
        share = self.maps[kind][row // self.cell_px, column // self.cell_px]
        return bool(share >= MARKED_FROM)

    @property
    def screen_is_off(self) -> bool:
        """Whether the screen's white is too far from the paper's to judge darkness by eye."""
        return abs(self.screen.stops) > SCREEN_OFF_STOPS


def prove(
    engine: Engine,
    request: ProofRequest,
    *,
    stocks: Sequence[Stock] = (),
    glazings: Sequence[Glazing] = (),
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> Proof:
    """Scan a picture, find what is lost, and work out what would help.

    Parameters
    ----------
    engine
        Bakes; its caches are used.
    request
        The setting.
    stocks, glazings
        What could be chosen instead.
    cancel
        As for :meth:`Engine.bake`.
    progress
        Told the share done, 0..1.

    Raises
    ------
    Cancelled
        `cancel` said so.
    """
    prover = Prover(engine, request, stocks, glazings)
    prover.scan(cancel, None if progress is None else lambda done: progress(0.7 * done))
    return prover.advise(
        cancel, None if progress is None else lambda done: progress(0.7 + 0.3 * done)
    )


class Prover:
    """Proves in two steps, each of which can be called off and begun again.

    Parameters
    ----------
    engine, request, stocks, glazings
        As for :func:`prove`.
    """

    def __init__(
        self,
        engine: Engine,
        request: ProofRequest,
        stocks: Sequence[Stock] = (),
        glazings: Sequence[Glazing] = (),
    ) -> None:
        self.request = request
        self._job = _Job(engine, request)
        self._glazings = tuple(glazings)
        self._stocks = tuple(stocks)
        self._looked: _Looked | None = None
        self._elsewhere = _Elsewhere(self._job, stocks)

    def scan(self, cancel: Cancel | None = None, progress: Progress | None = None) -> Proof:
        """Scan every pixel; the findings are without advice."""
        self._job.cancel = cancel
        self._looked = self._job.look(
            self.request.photograph, NODES_RESTING, Stage.SCANNED, progress
        )
        return self._looked.proof

    def advise(self, cancel: Cancel | None = None, progress: Progress | None = None) -> Proof:
        """Work out what would help. What was computed before it was called off is kept."""
        if self._looked is None:
            self.scan(cancel)
        looked = self._looked
        assert looked is not None
        self._job.cancel = cancel
        self._elsewhere.progress = progress
        findings = self._job.advise(looked, self._elsewhere, self._stocks, self._glazings)
        return dataclasses.replace(looked.proof, findings=findings, stage=Stage.COMPLETE)


def glance(engine: Engine, request: ProofRequest, cancel: Cancel | None = None) -> Proof:
    """A provisional proof, from a reduced copy and a coarse table, in a fraction of a second.

    Parameters as for :func:`prove`. Detail finer than the copy's pixels is not in it, and there is
    no advice.
    """
    small = _small(request.photograph, PROVISIONAL_PIXELS)
    return _Job(engine, request, cancel).look(small, NODES_MOVING, Stage.PROVISIONAL).proof


@dataclass(frozen=True, eq=False)
class _Looked:
    """A scan, taken apart."""

    proof: Proof
    scan: Scan
    sources: tuple[LossMap, ...]
    """The map that each finding was taken from."""


@dataclass(frozen=True, eq=False)
class _Colours:
    """Colours of a region, (N, 3): in the file, media-relative XYZ, and Lab wanted and printed."""

    XYZ: Float
    miss: Float
    wanted: Float
    printed: Float

    @property
    def numbers(self) -> dict[str, float]:
        """How far off they print, and in which way."""
        C = [np.hypot(Lab[:, 1], Lab[:, 2]) for Lab in (self.wanted, self.printed)]
        apart = self.printed - self.wanted
        H_2 = apart[:, 1] ** 2 + apart[:, 2] ** 2 - (C[1] - C[0]) ** 2
        return {
            "miss": float(self.miss.mean()),
            "miss_95": float(np.percentile(self.miss, 95)),
            "delta_L": float(apart[:, 0].mean()),
            "delta_C": float((C[1] - C[0]).mean()),
            "delta_H": float(np.sqrt(np.maximum(H_2, 0.0)).mean()),
        }


class _Job:
    """One proof: the request and what it is done with."""

    def __init__(self, engine: Engine, request: ProofRequest, cancel: Cancel | None = None) -> None:
        self.engine = engine
        self.request = request
        self.cancel = cancel
        self.white_cd_m2 = float(request.room.white_XYZ_cd_m2[1])

    # ---- looking -----------------------------------------------------------------------------

    def scan(
        self,
        request: ProofRequest,
        photograph: Photograph,
        nodes: int,
        progress: Progress | None = None,
    ) -> tuple[Scan, tuple[LossMap, ...]]:
        """Scan a picture or a level of it."""
        lattice = self.engine.bake_scan(request, nodes, self.cancel)
        found = scan(
            lattice,
            photograph,
            arcmin=_arcmin(request, photograph),
            tolerance=request.gamut_tolerance,
            workers=self.engine.workers,
            cancel=self.cancel,
            progress=progress,
        )
        return found, loss_maps(found, float(request.room.white_XYZ_cd_m2[1]))

    def look(
        self,
        photograph: Photograph,
        nodes: int,
        stage: Stage,
        progress: Progress | None = None,
    ) -> _Looked:
        """Find what is lost, without advice."""
        request = self.request
        scanned, maps = self.scan(request, photograph, nodes, progress)
        total = float(scanned.pixels.sum())
        scale = photograph.reduction
        placed = [(loss, _places(loss, scanned, request.photograph, scale)) for loss in maps]
        chosen = _choose(placed)
        findings = tuple(
            self.finding(loss, region, scanned.cell_px * scale) for loss, region in chosen
        )
        baked = self.engine.bake(request, nodes, self.cancel)
        kinds = tuple(
            _kind_share(kind, [r for m, r in placed if m.kind is kind], findings, total, scale)
            for kind in Kind
        )
        screen = screen_against_print(
            request.screen, baked.paper_white_cd_m2, request.room.illuminance_lux
        )
        result = Proof(
            baked=baked,
            stage=stage,
            findings=findings,
            marks=kinds,
            maps=_cell_shares(maps, scanned),
            cell_px=scanned.cell_px * scale,
            screen=screen,
            verdict=verdict(kinds, _bare_share(maps, total), baked),
        )
        return _Looked(result, scanned, tuple(loss for loss, _ in chosen))

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
            colours = self._colours(region, loss, cell_px)
            numbers, reason = colours.numbers, colours_in_words(colours.wanted)
        elif loss.kind is Kind.FLATTENED_COLOUR:
            numbers = {"wanted": mean("wanted"), "printed": mean("printed")}
            reason = colours_in_words(self._colours(region, loss, cell_px).wanted)
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

    def _colours(self, region: Region, loss: LossMap, cell_px: int) -> _Colours:
        """The colours of a region that are out of gamut; of all, where none is."""
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
        codes = np.asarray(photograph.codes[y, x])
        scale = float(np.iinfo(codes.dtype).max) if codes.dtype.kind == "u" else 1.0
        codes01 = np.clip(codes.astype(np.float64) / scale, 0.0, 1.0)
        XYZ = photograph.encoding.to_XYZ(codes01)
        mapped = self.engine.map_colours(self.request, XYZ)
        chosen = mapped.miss > self.request.gamut_tolerance
        if not chosen.any():
            chosen[:] = True
        return _Colours(
            XYZ[chosen],
            np.maximum(mapped.miss[chosen], 0.0),
            XYZ_to_Lab(mapped.wanted[chosen]),
            XYZ_to_Lab(mapped.printed[chosen]),
        )

    # ---- advising ----------------------------------------------------------------------------

    def advise(
        self,
        looked: _Looked,
        elsewhere: _Elsewhere,
        stocks: Sequence[Stock],
        glazings: Sequence[Glazing],
    ) -> tuple[Finding, ...]:
        """The findings with what would help."""
        made = []
        for loss, finding in zip(looked.sources, looked.proof.findings, strict=True):
            advice: list[Advice] = []
            if finding.kind in (Kind.BLOCKED_SHADOWS, Kind.BLOWN_HIGHLIGHTS):
                if finding.reason != "bare":
                    advice += elsewhere.rendering(finding.kind)
                    advice += self._for_detail(finding, loss, looked, glazings)
                    advice += elsewhere.stock(finding.kind)
                    advice.sort(key=lambda a: a.action is Action.LIGHT and a.setting is None)
            elif finding.kind in (Kind.OUT_OF_GAMUT, Kind.FLATTENED_COLOUR):
                if finding.kind is Kind.FLATTENED_COLOUR:
                    advice += elsewhere.rendering(finding.kind)
                XYZ = self._colours(finding.region, loss, looked.proof.cell_px).XYZ
                advice += self._for_colour(XYZ)
                advice += self._stock_for_colour(XYZ, stocks)
            elif finding.kind is Kind.CLIPPED_IN_FILE:
                black = finding.reason == BLACK_RAN_OUT
                advice.append(Advice(Action.FILE, _BLACK_ADVICE if black else _FILE_ADVICE))
            elif finding.kind is Kind.BANDING_RISK:
                advice.append(Advice(Action.FILE, _BANDING_ADVICE))
            elif finding.kind is Kind.BEYOND_SCREEN:
                advice.append(Advice(Action.SCREEN, _SCREEN_ADVICE))
            made.append(dataclasses.replace(finding, advice=tuple(advice[:3])))
        return tuple(made)

    def _for_detail(
        self, finding: Finding, loss: LossMap, looked: _Looked, glazings: Sequence[Glazing]
    ) -> list[Advice]:
        """More light, lifted shadows, another pane."""
        request = self.request
        dark = finding.kind is Kind.BLOCKED_SHADOWS
        tones = looked.scan.dark if dark else looked.scan.light
        cells = ShadowCells.of(tones, finding.region.cells, loss.lost, loss.numbers["coarse"])
        arcmin, white = looked.scan.working_arcmin, self.white_cd_m2
        made = []
        lux = light_needed(cells, request.room.illuminance_lux, arcmin, white)
        if lux is not None:
            care = _LIGHT_CARE if lux > CAREFUL_LUX else ""
            made.append(
                Advice(
                    Action.LIGHT,
                    f"More light: at {lux:g} lx most of it shows.{care}",
                    ("illuminance_lux", lux),
                    amount=lux,
                )
            )
        else:
            most = max(MOST_LUX, request.room.illuminance_lux)
            made.append(
                Advice(
                    Action.LIGHT,
                    "More light than a print should hang in would be needed: at "
                    f"{most:.0f} lx it does not show yet.",
                )
            )
        if dark:
            stops = lift_needed(cells, self._tone_curve(), arcmin, white)
            if stops is not None:
                made.append(
                    Advice(
                        Action.LIFT,
                        f"Lift these shadows in the file by {stops:g} "
                        f"{'stop' if stops == 1 else 'stops'}: most of it then shows.",
                        amount=stops,
                    )
                )
        made += self._other_glazing(cells, glazings, arcmin)
        return made

    def _tone_curve(self) -> tuple[Float, Float]:
        """Luminance factors of greys in the file, and of their prints in the room, cd/m2."""
        Y = np.concatenate([np.linspace(0.0, 0.02, 41)[:-1], np.geomspace(0.02, 1.0, 60)])
        L = self.engine.printed_luminance(self.request, Y[:, None] * PCS_WHITE_XYZ)
        return Y, np.maximum.accumulate(L) + 1e-9 * np.arange(len(L))

    def _other_glazing(
        self, cells: ShadowCells, glazings: Sequence[Glazing], arcmin: float
    ) -> list[Advice]:
        room = self.request.room
        if room.glazing.is_none and room.reflection_ratio == 0.0:
            return []
        surface = self.request.stock.surface

        def through(glazing: Glazing) -> tuple[float, float]:
            weights = print_weights(dataclasses.replace(room, glazing=glazing), surface)
            return float(weights.reflect[:, 1].sum()), float(weights.veil_XYZ[1])

        now = through(room.glazing)
        best: tuple[float, Glazing] | None = None
        for glazing in glazings:
            if glazing.key == room.glazing.key:
                continue
            seen = seen_through(cells, now, through(glazing), arcmin, self.white_cd_m2)
            if seen >= 1.0 - WORTH_A_CHANGE and (best is None or seen > best[0]):
                best = seen, glazing
        if best is None:
            return []
        care = _GLASS_CARE if best[1].is_none else ""
        name = "Without glass" if best[1].is_none else f"Behind {best[1].name}"
        return [
            Advice(
                Action.GLAZING,
                f"{name} {share_in_words(best[0])} of this place shows.{care}",
                ("glazing", best[1].name),
            )
        ]

    def _for_colour(self, XYZ: Float) -> list[Advice]:
        """Less saturation in the file."""
        Lab = XYZ_to_Lab(XYZ)

        def miss_at(keep: float) -> Float:
            duller = Lab_to_XYZ(Lab * np.array([1.0, keep, keep]))
            return self.engine.map_colours(self.request, duller).miss

        keep = saturation_to_keep(miss_at, self.request.gamut_tolerance)
        if keep is None:
            return []
        return [
            Advice(
                Action.SATURATION,
                f"Take about {100 * (1 - keep):.0f} % of the saturation out of them in the file: "
                "they then print as they are.",
                amount=round(1.0 - keep, 2),
            )
        ]

    def _stock_for_colour(self, XYZ: Float, stocks: Sequence[Stock]) -> list[Advice]:
        """Another stock that comes closer to the file's own colours."""
        from proofing.colorimetry import delta_E_00

        Lab = XYZ_to_Lab(XYZ)

        def off(stock: Stock) -> float:
            request = dataclasses.replace(self.request, stock=stock)
            printed = self.engine.map_colours(request, XYZ).printed * stock.to_media_relative
            return float(delta_E_00(Lab, XYZ_to_Lab(printed)).mean())

        now = off(self.request.stock)
        others = [(off(s), s) for s in stocks if s.key != self.request.stock.key]
        if not others:
            return []
        best, stock = min(others, key=lambda pair: pair[0])
        if best > WORTH_A_CHANGE * now:
            return []
        return [
            Advice(
                Action.STOCK,
                f"On {stock.name} they come within {best:.1f} ΔE00 of the file, instead of "
                f"{now:.1f}.",
                ("stock", stock.name),
            )
        ]


class _Elsewhere:
    """Shares of the picture lost on other stocks and with another intent, each computed once."""

    def __init__(self, job: _Job, stocks: Sequence[Stock]) -> None:
        self.job = job
        self.stocks = [s for s in stocks if s.key != job.request.stock.key]
        self.progress: Progress | None = None
        self._shares: dict[tuple[str, Rendering], dict[Kind, float]] = {}

    def _share(self, kind: Kind, stock: Stock, rendering: Rendering) -> float:
        key = (stock.key, rendering)
        if key not in self._shares:
            request = dataclasses.replace(
                self.job.request,
                stock=stock,
                intent=rendering.intent,
                black_point_compensation=rendering.black_point_compensation,
            )
            factor = working_factor(_arcmin(request, request.photograph))
            copy = request.photograph.level(int(math.log2(factor)))
            # an engine of its own, so that the caches keep what is on the screen
            own = _Job(Engine(self.job.engine.workers), request, self.job.cancel)
            scanned, maps = own.scan(request, copy, NODES_RESTING)
            total = max(float(scanned.pixels.sum()), 1.0)
            shares = dict.fromkeys(Kind, 0.0)
            for loss in maps:
                if "bare" not in loss.numbers:
                    shares[loss.kind] += float(loss.lost.sum()) / total
            self._shares[key] = shares
            if self.progress is not None:
                self.progress(min(len(self._shares) / (len(self.stocks) + 2), 1.0))
        return self._shares[key][kind]

    def stock(self, kind: Kind) -> list[Advice]:
        """The stock on which least of a kind is lost."""
        rendering = self.job.request.rendering
        now = self._share(kind, self.job.request.stock, rendering)
        if not self.stocks or now <= 0.0:
            return []
        shares = [(self._share(kind, stock, rendering), stock) for stock in self.stocks]
        best, stock = min(shares, key=lambda pair: pair[0])
        if best > WORTH_A_CHANGE * now:
            return []
        return [
            Advice(
                Action.STOCK,
                f"On {stock.name}: {share_in_words(best)} of the picture instead of "
                f"{share_in_words(now)}.",
                ("stock", stock.name),
                share=best,
            )
        ]

    def rendering(self, kind: Kind) -> list[Advice]:
        """Another way to render, where it keeps more."""
        request = self.job.request
        now = self._share(kind, request.stock, request.rendering)
        if now <= 0.0:
            return []
        best: tuple[float, str, tuple[str, str | float]] | None = None
        for rendering, name, setting in _RENDERINGS:
            if rendering == request.rendering:
                continue
            if setting[0] == "black_point_compensation" and request.intent is not Intent.RELATIVE:
                continue  # the intent is changed first
            then = self._share(kind, request.stock, rendering)
            if then <= WORTH_A_CHANGE * now and (best is None or then < 0.8 * best[0]):
                best = then, name, setting
        if best is None:
            return []
        then, name, setting = best
        return [
            Advice(
                Action.INTENT,
                f"{name}: {share_in_words(then)} of the picture instead of {share_in_words(now)}.",
                setting,
                share=then,
            )
        ]


_RENDERINGS: tuple[tuple[Rendering, str, tuple[str, str | float]], ...] = (
    (
        Rendering(Intent.RELATIVE, True),
        "With black point compensation",
        ("black_point_compensation", True),
    ),
    (Rendering(Intent.PERCEPTUAL), "Rendered perceptual", ("intent", "perceptual")),
    (Rendering(Intent.RELATIVE), "Rendered relative colorimetric", ("intent", "relative")),
)
BLACK_RAN_OUT = "black ran out, no shadow is left below it"
CAREFUL_LUX = 200.0
"""CIE 157:2004: moderately sensitive works hang in 150 to 200 lx (from memory)."""
_LIGHT_CARE = " Strong light fades prints: for one that matters ask a conservator."
_GLASS_CARE = (
    " A pane also keeps ultraviolet and dust away: for a print that matters ask a conservator."
)
_BLACK_ADVICE = (
    "Go back to the original capture and develop it with its shadows further open; where the "
    "capture itself is black, a plain black is what it will be."
)
_FILE_ADVICE = (
    "Go back to the original capture and develop it with these channels below their top; if the "
    "capture itself is clipped, only a darker exposure would have helped."
)
_BANDING_ADVICE = "Make corrections to this place in 16 bits, from the original."
_SCREEN_ADVICE = "Nothing need be done for the print; judge these colours on a test strip."


def verdict(kinds: Sequence[KindShare], bare: float = 0.0, baked: Baked | None = None) -> str:
    """One line for the whole picture, from the shares that the paper and the room lose.

    Blocked, blown and flattened places are added up: up to 0.5 % the stock holds the picture, up
    to 3 % it loses little, up to 10 % something that shows, beyond it loses much. What the file
    had lost before is not the paper's fault: it is told apart, from 3 % on. What the screen cannot
    show is not counted, nor is bare paper where the file has no detail to lose.

    Parameters
    ----------
    kinds
        Shares.
    bare
        Share of blown highlights that is bare paper only.
    baked
        The print in its room: where that is too dark, or too veiled, to judge a print in, it is
        said instead.
    """
    if baked is not None and baked.paper_white_cd_m2 < DARKEST_PAPER_CD_M2:
        return "This room is too dark to judge a print in."
    if baked is not None and baked.contrast < LEAST_CONTRAST:
        return "Reflections wash this print out: its black is hardly darker than its paper."
    shares = {found.kind: found.share for found in kinds}
    parts = {
        "shadow detail": shares[Kind.BLOCKED_SHADOWS],
        "highlight detail": max(shares[Kind.BLOWN_HIGHLIGHTS] - bare, 0.0),
        "modelling in strong colours": shares[Kind.FLATTENED_COLOUR],
    }
    lost = sum(parts.values())
    mostly = f"{share_in_words(lost)} of the picture, mostly {max(parts, key=lambda n: parts[n])}."
    colours = shares[Kind.OUT_OF_GAMUT]
    if lost > MUCH_LOST:
        said = f"Much is lost: {mostly}"
    elif lost > LITTLE_LOST:
        said = f"Something that shows is lost: {mostly}"
    elif lost > NOTHING_LOST:
        said = f"A little is lost: {mostly}"
    elif colours > LITTLE_LOST:
        said = (
            "This stock in this room holds the picture, but "
            f"{share_in_words(colours)} of it prints in other colours than asked."
        )
    else:
        said = "This stock in this room holds the picture."
    before = shares[Kind.CLIPPED_IN_FILE]
    if before > LITTLE_LOST:
        said += f" In the file itself {share_in_words(before)} of it was clipped before."
    return said


def _bare_share(maps: Sequence[LossMap], total: float) -> float:
    return sum(float(m.lost.sum()) for m in maps if "bare" in m.numbers) / max(total, 1.0)


def _arcmin(request: ProofRequest, photograph: Photograph) -> float:
    assert request.size is not None and request.distance_m is not None
    pixel_mm = request.size.width_mm / request.photograph.width * photograph.reduction
    return pixel_arcmin(pixel_mm, request.distance_m)


def _small(photograph: Photograph, most: int) -> Photograph:
    level = 0
    while (photograph.width >> level) * (photograph.height >> level) > most:
        level += 1
    return photograph.level(level)


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
    """The places worth pointing at, the worst first."""
    per_kind: dict[Kind, list[tuple[LossMap, Region]]] = {}
    for loss, regions in placed:
        per_kind.setdefault(loss.kind, []).extend((loss, region) for region in regions.found)
    chosen = []
    for pairs in per_kind.values():
        pairs.sort(key=lambda pair: -pair[1].rank)
        chosen += pairs[:MOST_OF_A_KIND]
    chosen.sort(key=lambda pair: -pair[1].rank * pair[0].kind.gravity)
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
        return "its colour values ran out"
    if black == most:
        return BLACK_RAN_OUT
    if white >= 0.5 * most:
        return "all channels are at their top, it is white without tone"
    names = [name for name, count in counts.items() if count >= 0.25 * most]
    if len(names) == 3:
        return "one channel or another is at its top"
    listed = " and ".join(names)
    return f"the {listed} {'channel is' if len(names) == 1 else 'channels are'} at the top"
