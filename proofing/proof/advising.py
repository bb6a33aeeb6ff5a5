"""What would help, worked out for each finding.

Light, pane and lifted shadows are solved for from what the scan measured; other stocks and other
renderings are printed and scanned anew.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence

import numpy as np

from proofing.colorimetry import PCS_WHITE_XYZ, Float, Lab_to_XYZ, XYZ_to_Lab, delta_E_00
from proofing.errors import Cancelled, ProfileError
from proofing.findings.advice import (
    Action,
    Advice,
    ShadowCells,
    lift_needed,
    light_needed,
    saturation_to_keep,
    seen_through,
)
from proofing.findings.finding import Finding
from proofing.findings.kinds import Kind
from proofing.findings.losses import BAND_STEPS, LossMap
from proofing.findings.words import (
    CAREFUL_LUX,
    LIGHT_CARE,
    MOST_LUX,
    share_in_words,
    stops_in_words,
)
from proofing.language import mark, tr
from proofing.photograph.icc import adobe_rgb_profile
from proofing.printing import (
    MOST_LIFT_STOPS,
    Stock,
)
from proofing.proof.elsewhere import WORTH_A_CHANGE, Elsewhere
from proofing.proof.looking import (
    BLACK_RAN_OUT,
    VALUES_RAN_OUT,
    Colours,
    Job,
    Looked,
    Progress,
)
from proofing.request import ProofRequest
from proofing.viewing import Glazing, Room
from proofing.viewing.room import print_weights


class Adviser:
    """Works out what would help; what was computed before it was called off is kept.

    Parameters
    ----------
    job
        The proof.
    stocks, glazings
        What could be chosen instead.
    """

    def __init__(self, job: Job, stocks: Sequence[Stock], glazings: Sequence[Glazing]) -> None:
        self.job = job
        self.request = job.request
        self.stocks = [s for s in stocks if s.key != job.request.stock.key]
        self.glazings = glazings
        self._elsewhere = Elsewhere(job, self.stocks)

    def advise(self, looked: Looked, progress: Progress | None = None) -> tuple[Finding, ...]:
        """The findings with what would help."""
        self._elsewhere.progress = progress
        return tuple(
            dataclasses.replace(finding, advice=tuple(self._for(finding, loss, looked)[:3]))
            for loss, finding in zip(looked.sources, looked.proof.findings, strict=True)
        )

    def _for(self, finding: Finding, loss: LossMap, looked: Looked) -> list[Advice]:
        kind = finding.kind
        if kind in (Kind.BLOCKED_SHADOWS, Kind.BLOWN_HIGHLIGHTS):
            if finding.reason == "bare":
                return []
            at = self._elsewhere.place(finding, looked.proof.cell_px)
            rendering, stock = self._elsewhere.rendering(at), self._elsewhere.stock(at)
            advice = [*rendering, *self._for_detail(finding, loss, looked), *stock]
            return sorted(advice, key=lambda a: a.action is Action.LIGHT and a.setting is None)
        if kind in (Kind.OUT_OF_GAMUT, Kind.FLATTENED_COLOUR):
            colours = self.job.colours(finding.region, loss, looked.proof.cell_px)
            if kind is Kind.FLATTENED_COLOUR:
                at = self._elsewhere.place(finding, looked.proof.cell_px)
                better = [*self._elsewhere.rendering(at), *self._elsewhere.easing(at)]
                if better:  # modelling comes back without all colours getting duller
                    return [*better, *self._stock_for_colour(colours)]
            return [*self._stock_for_colour(colours), *self._for_colour(colours.XYZ)]
        if kind is Kind.CLIPPED_IN_FILE:
            named = {tr(BLACK_RAN_OUT): _BLACK_ADVICE, tr(VALUES_RAN_OUT): _VALUES_ADVICE}
            return [Advice(Action.FILE, tr(named.get(finding.reason, _FILE_ADVICE)))]
        if kind is Kind.BANDING_RISK:
            return [_for_banding(finding.numbers["step"])]
        return [self._for_screen(self.job.codes(finding.region, loss, looked.proof.cell_px))]

    def _for_screen(self, codes: Float) -> Advice:
        """How much of it a screen of a wide gamut would show."""
        screen = dataclasses.replace(self.request.screen, profile=adobe_rgb_profile())
        wide = dataclasses.replace(self.request, screen=screen)
        beyond = self.job.engine.colour_function(wide)(codes)[:, 4]
        shown = float(np.mean(beyond <= self.request.gamut_tolerance))
        return Advice(
            Action.SCREEN,
            tr(
                "Nothing need be done for the print; judge these colours on a test strip. A "
                "screen of the gamut of Adobe RGB (1998) would show {shown} of them.",
                shown=share_in_words(shown),
            ),
            share=1.0 - shown,
        )

    def _for_detail(self, finding: Finding, loss: LossMap, looked: Looked) -> list[Advice]:
        """Less glare or else more light, and lifted shadows."""
        dark = finding.kind is Kind.BLOCKED_SHADOWS
        tones = looked.scan.dark if dark else looked.scan.light
        cells = ShadowCells.of(tones, finding.region.cells, loss.lost, loss.numbers["coarse"])
        arcmin = looked.scan.working_arcmin
        made = self._less_glare(cells, arcmin) or [self._more_light(cells, arcmin)]
        if dark:
            stops = lift_needed(cells, self._tone_curve(), arcmin, self.job.white_cd_m2)
            if stops is not None:
                made.append(
                    Advice(
                        Action.LIFT, self._lift_in_words(stops), self._lifted_by(stops),
                        amount=stops,
                    )
                )  # fmt: skip
        return made

    def _lift_in_words(self, stops: float) -> str:
        correction = self.request.correction
        there = 0.0 if correction is None else correction.lift_stops
        if not there:
            return tr(
                "Lift the shadows by {stops}: most of it then shows.", stops=stops_in_words(stops)
            )
        return tr(
            "Lift the shadows by a further {stops}, {whole} in all: most of it then shows.",
            stops=stops_in_words(stops),
            whole=stops_in_words(there + stops),
        )

    def _lifted_by(self, stops: float) -> tuple[str, float] | None:
        """The setting that lifts by so much more; None where the curve does not go so far."""
        correction = self.request.correction
        whole = stops + (0.0 if correction is None else correction.lift_stops)
        return ("shadow_lift", whole) if whole <= MOST_LIFT_STOPS else None

    def _more_light(self, cells: ShadowCells, arcmin: float) -> Advice:
        now = self.request.room.illuminance_lux
        lux = light_needed(cells, now, arcmin, self.job.white_cd_m2)
        if lux is None:
            return Advice(
                Action.LIGHT,
                tr(
                    "More light than a print should hang in would be needed: at {lux:.0f} lx it "
                    "does not show yet.",
                    lux=max(MOST_LUX, now),
                ),
            )
        care = tr(LIGHT_CARE) if lux > CAREFUL_LUX else ""
        return Advice(
            Action.LIGHT,
            tr("More light: at {lux:g} lx most of it shows.{care}", lux=lux, care=care),
            ("illuminance_lux", lux),
            amount=lux,
        )

    def _tone_curve(self) -> tuple[Float, Float]:
        """Luminance factors of greys in the file, and of their prints in the room, cd/m2."""
        Y = np.concatenate([np.linspace(0.0, 0.02, 41)[:-1], np.geomspace(0.02, 1.0, 60)])
        L = self.job.engine.printed_luminance(self.request, Y[:, None] * PCS_WHITE_XYZ)
        return Y, np.maximum.accumulate(L) + 1e-9 * np.arange(len(L))

    def _less_glare(self, cells: ShadowCells, arcmin: float) -> list[Advice]:
        """Another pane, or none; or else nothing bright mirrored in this one."""
        room = self.request.room
        if room.glazing.is_none and room.reflection_ratio == 0.0:
            return []
        now = self._through(room)

        def seen(other: Room) -> float:
            then = self._through(other)
            return seen_through(cells, now, then, arcmin, self.job.white_cd_m2)

        panes = [g for g in self.glazings if g.key != room.glazing.key]
        found = [(seen(dataclasses.replace(room, glazing=pane)), pane) for pane in panes]
        share, pane = max(found, key=lambda pair: pair[0], default=(0.0, room.glazing))
        if share >= 1.0 - WORTH_A_CHANGE:
            care = tr(_GLASS_CARE) if pane.is_none else ""
            name = tr("Without glass") if pane.is_none else tr("Behind {pane}", pane=tr(pane.name))
            said = tr(
                "{name} {share} of this place shows.{care}",
                name=name,
                share=share_in_words(share),
                care=care,
            )
            return [Advice(Action.GLAZING, said, ("glazing", pane.name))]
        share = seen(dataclasses.replace(room, reflection_ratio=0.0))
        if share < 1.0 - WORTH_A_CHANGE:
            return []
        return [
            Advice(
                Action.GLAZING,
                tr(
                    "Hung so that no window, lamp or bright wall is mirrored in it, {share} of "
                    "this place shows.",
                    share=share_in_words(share),
                ),
                ("reflection_ratio", 0.0),
            )
        ]

    def _through(self, room: Room) -> tuple[float, float]:
        """The share of a print's light that reaches the eye, and the veil, cd/m2."""
        weights = print_weights(room, self.request.stock.surface)
        return float(weights.reflect[:, 1].sum()), float(weights.veil_XYZ[1])

    def _hold(self) -> None:
        if self.job.cancel is not None and self.job.cancel():
            raise Cancelled

    def _off(self, request: ProofRequest, XYZ: Float) -> Float:
        """dE00 from what is wanted to what is printed, (N,), with the rendering in use."""
        self._hold()
        mapped = self.job.engine.map_colours(request, XYZ)
        return delta_E_00(XYZ_to_Lab(mapped.wanted), XYZ_to_Lab(mapped.printed))

    def _for_colour(self, XYZ: Float) -> list[Advice]:
        """Less saturation in the file; not where this print eases strong colours in already, which
        would no longer be as much on a duller file."""
        own = self.request.correction
        if own is not None and own.eases:
            return []
        Lab = XYZ_to_Lab(XYZ)

        def miss_at(keep: float) -> Float:
            duller = Lab_to_XYZ(Lab * np.array([1.0, keep, keep]))
            return self._off(self.request, duller)

        keep = saturation_to_keep(miss_at, self.request.gamut_tolerance)
        if keep is None:
            return []
        return [
            Advice(
                Action.SATURATION,
                tr(
                    "On {stock} they print no stronger. With about {keep:.0f} % of their "
                    "saturation taken out, the file asks for what it can print, within "
                    "{gamut_tolerance:g} ΔE00: no stronger on paper, but no surprise.",
                    stock=tr(self.request.stock.name),
                    keep=100 * (1 - keep),
                    gamut_tolerance=self.request.gamut_tolerance,
                ),
                amount=round(1.0 - keep, 2),
            )
        ]

    def _stock_for_colour(self, colours: Colours) -> list[Advice]:
        """Another stock that comes closer to the colours the file asks for.

        Codes go the whole way there, also through a correction that eases them in: what is told of
        the print at hand is the finding's own figure.
        """

        def off(stock: Stock) -> float:
            self._hold()
            try:
                mapped = self.job.engine.map_codes(self.request.on(stock), colours.codes)
            except ProfileError:  # it lacks the table of the intent: no stock to advise
                return math.inf
            wanted, printed = XYZ_to_Lab(mapped.wanted), XYZ_to_Lab(mapped.printed)
            return float(delta_E_00(wanted, printed).mean())

        now = float(colours.off.mean())
        best, stock = min(
            ((off(stock), stock) for stock in self.stocks),
            key=lambda pair: pair[0],
            default=(now, self.request.stock),
        )
        if best > WORTH_A_CHANGE * now:
            return []
        return [
            Advice(
                Action.STOCK,
                tr(
                    "On {stock} they print {best:.1f} ΔE00 off on average, instead of {now:.1f}.",
                    stock=tr(stock.name),
                    best=best,
                    now=now,
                ),
                ("stock", stock.name),
            )
        ]


def _for_banding(step: float) -> Advice:
    """How much steeper 8 bits can be made here before steps show."""
    times = math.floor(10.0 * max(BAND_STEPS / step, 1.0)) / 10.0
    held = (
        tr(
            "8 bits hold a correction that makes the contrast here up to {times:g} times as strong",
            times=times,
        )
        if times > 1.0
        else tr("8 bits hold no correction that makes the contrast here stronger")
    )
    return Advice(
        Action.FILE,
        tr("{held}; for more, go back to the original and work in 16 bits.", held=held),
        amount=times,
    )


_GLASS_CARE = mark(
    " A pane also keeps ultraviolet and dust away: for a print that matters ask a conservator."
)
_BLACK_ADVICE = mark(
    "Go back to the original capture and develop it with its shadows further open; where "
    "the capture itself is black, a plain black is what it will be."
)
_VALUES_ADVICE = mark(
    "Go back to the original capture and develop it within the file's range; what has no "
    "ink in the file has nothing to lose."
)
_FILE_ADVICE = mark(
    "Go back to the original capture and develop it with these channels below their top; if "
    "the capture itself is clipped, only a darker exposure would have helped."
)
