"""One sitting: the state, what has been computed for it, and the worker that computes.

The window's widgets read :attr:`Session.state`, run commands, and listen. Nothing here draws.
The order of things after a change::

    state -> coarse bake -> frame -> glance   at once, each newer request replacing the older
          -> (at rest) fine bake -> frame -> scan of the whole picture -> advice
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, QTimer, Signal

from app.kept import KeptPrint
from app.memory import MOST_COMBINATIONS, MOST_PICTURES, Sitting, as_combination, newest_first
from app.panels.choices import work_out_notes
from app.ruler import Ruler
from app.state import (
    SETTINGS,
    History,
    Setting,
    State,
    Trial,
    build_request,
    build_screen,
    canonical,
    print_size_mm,
    run,
    trial_in_words,
    viewing_distance_m,
)
from app.tools import (
    Start,
    Tools,
    begin,
    compiled_before,
    glance_at,
    load_tools,
    probe_at,
    prover_of,
    read_picture,
    save_pair,
)
from app.views.frame import Frame, draw, whole_spec
from app.views.viewport import Viewport
from app.work import PREPARING, URGENCY, WORDS, absolute, closed, colour_part
from app.worker import Answer, Cancel, Worker
from proofing.errors import ProofingError, SettingError
from proofing.findings.kinds import Kind
from proofing.findings.stage import Stage

if TYPE_CHECKING:
    from proofing.engine import Baked, Probe
    from proofing.findings.advice import Advice
    from proofing.findings.finding import Finding
    from proofing.photograph import Photograph
    from proofing.printing import Stock
    from proofing.proof import Proof, Prover

_log = logging.getLogger(__name__)

NODES_MOVING, NODES_RESTING = 33, 65  # of the table, see proofing.engine
REST_MS = 220  # without a change before the fine bake begins
CAPTION_PX = 30  # of wall above a fitted print, for the pane's caption
SIGN_MS = 250  # of work before a sign of it is shown


class Session(QObject):
    """State, pictures and work of one window.

    Signals
    -------
    changed : ()
        The state, or what is considered, has changed.
    asked : str
        The state waits for an answer: see :data:`app.state.ASKABLE`.
    drawn : ()
        There are new pixels: :attr:`base` and :attr:`detail`.
    baked_changed : ()
        There is a new colour function.
    proved : ()
        :attr:`proof` has changed; None while it is out of date.
    progressed : float
        Share of the scan that is done.
    probed : object
        A ``Probe``, or None.
    working : str
        What takes longer than a quarter of a second, '' when nothing does.
    failed : str
        A sentence for the bar; '' when all is well again.
    noted : ()
        More is known about the catalogue: :attr:`notes`.
    rested : ()
        Nothing waits and nothing runs any more.
    """

    changed = Signal()
    asked = Signal(str)
    drawn = Signal()
    baked_changed = Signal()
    proved = Signal()
    probed = Signal(object)
    working = Signal(str)
    failed = Signal(str)
    noted = Signal()
    rested = Signal()
    progressed = Signal(float)
    _compiled = Signal(bool)

    def __init__(
        self,
        setting: Setting | None = None,
        *,
        load: Callable[[], Tools] = load_tools,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        wanted = setting or Setting()
        self._to_open = absolute(wanted.photograph)  # once there is something to read it with
        self._opened = ""  # path of the photograph that is shown
        self.state = State(History(wanted.change(photograph=self._to_open)))
        self.tools: Tools | None = None
        self.photograph: Photograph | None = None
        self.baked: Baked | None = None
        self.proof: Proof | None = None
        self._prover: Prover | None = None
        self._marked: Proof | None = None  # whose marks are drawn, until there are newer ones
        self._trial: Trial | None = None
        self._tried_at: Finding | None = None  # the one whose advice is tried
        self._came_back: Finding | None = None  # to be gone to again once it is found again
        self.base: Frame | None = None
        self.detail: Frame | None = None
        self.considered: Setting | None = None
        self.notes: Mapping[tuple[str, str], tuple[str, ...]] = {}
        self.ruler = Ruler()
        self.pictures: tuple[str, ...] = ()  # opened lately
        self.combinations: tuple[Setting, ...] = ()  # hung lately
        self.kept: KeptPrint | None = None  # hangs where the photograph does
        self._base_of: tuple[Baked, Baked | None] | None = None
        self._baked_of: tuple[Setting, Any] | None = None
        self._pointed: tuple[float, float] | None = None
        self._pane = (1, 1)
        self._ratio = 1.0
        self._told = ""  # the slot of the work that the bar speaks of
        self._first_time = False  # whether the pixel loops are still to be compiled
        self._compiled.connect(self._note_compiled)
        self.busy = False  # whether anything is being worked out, or will be at rest
        self.worker = Worker(self)
        self.worker.answered.connect(self._on_answer)
        self.worker.emptied.connect(self._on_emptied)
        self._rest = self._timer(REST_MS, self._refine)
        self._sign = self._timer(SIGN_MS, self._show_sign)
        self._load = load

    def _timer(self, milliseconds: int, then: Callable[[], None]) -> QTimer:
        timer = QTimer(self)
        timer.setSingleShot(True)
        timer.setInterval(milliseconds)
        timer.timeout.connect(then)
        return timer

    # ---- what the window does

    def start(self) -> None:
        """Load the catalogue and the engine, once the window is up."""
        load, wanted = self._load, self.state.setting

        def work(cancel: Cancel) -> Start:
            self._compiled.emit(compiled_before())
            return begin(load, wanted)

        self._ask("load", work)

    def close(self) -> None:
        """End the work and wait for it."""
        self._rest.stop()
        self._sign.stop()
        self.worker.close()

    @property
    def opening(self) -> bool:
        """Whether a photograph is on its way."""
        return bool(self._to_open)

    @property
    def setting(self) -> Setting:
        """The setting in sight: the considered one while a chooser is open."""
        return self.considered or self.state.setting

    def run(self, command: str) -> None:
        """Run a command of the table."""
        self._become(run(self.state, command))

    def change(self, gesture: str = "", **values: Any) -> None:
        """Change settings, as one step of the history.

        A value that makes no sense is told in the bar and changes nothing.
        """
        try:
            after = self.state.change(gesture, **values)
        except SettingError as error:
            self._fail(error)
            return
        self.considered = None
        self._become(after, said=True)

    def consider(self, values: dict[str, Any] | None) -> None:
        """Show what a choice would do, without choosing it; None goes back."""
        try:
            considered = None if values is None else self.state.setting.change(**values)
        except SettingError:
            considered = None  # two that do not go together, perhaps half typed: no mistake yet
        if considered == self.state.setting:
            considered = None
        if considered != self.considered:
            self.considered = considered
            self.changed.emit()
            self._bake()

    def load_setting(self, setting: Setting) -> None:
        """Take over a whole setting, such as a saved one, as one step, once it proves good."""
        tools = self.tools
        if tools is None:
            self.tell("The lists are still being read; open the setting again in a moment.")
            return

        def load() -> tuple[dict[str, Any], Stock | None]:
            good = canonical(setting, tools.catalogue)
            build_screen(good)
            listed = any(good.stock == stock.name for stock in tools.catalogue.stocks)
            values = {field: getattr(good, field) for field in SETTINGS}
            return values, None if listed else tools.catalogue.stock(good.stock)

        self._check(load)

    def take_up(self, sitting: Sitting) -> None:
        """Go on where the last sitting ended; its setting has been given at the making."""
        self.pictures, self.combinations = sitting.pictures, sitting.combinations
        self.state = self.state.with_view(kept=sitting.kept, findings_open=sitting.findings_open)
        if sitting.mm_per_px > 0.0 and sitting.eye_m > 0.0:
            self.ruler = Ruler(sitting.mm_per_px, sitting.eye_m, matched=True)
        self.changed.emit()

    def sitting(self, window: str) -> Sitting:
        """What is to be kept for the next one; `window` says where the window stands."""
        view, ruler = self.state.view, self.ruler
        return Sitting(
            self.state.setting, view.kept, self.pictures, self.combinations, window,
            view.findings_open, *((ruler.mm_per_px, ruler.eye_m) if ruler.matched else (0.0, 0.0)),
        )  # fmt: skip

    def open(self, path: str) -> None:
        """Open a photograph. It appears when it has been read."""
        path = self._to_open = absolute(path)
        if self.tools is None:
            return
        self._ask("open", lambda cancel: read_picture(path))

    def use_stock_file(self, path: str) -> None:
        """Print on the stock of an ICC profile or a stock record, once it proves good."""
        if (tools := self.tools) is not None:
            self._check(lambda: ({"stock": path}, tools.catalogue.stock(path)))

    def use_screen_file(self, path: str) -> None:
        """Show on the screen of an ICC profile, once it proves good."""
        setting = self.state.setting

        def load() -> tuple[dict[str, Any], Stock | None]:
            build_screen(setting.change(screen_profile=path))
            return {"screen_profile": path}, None

        self._check(load)

    def save_pair(self, path: str) -> None:
        """Write what the window shows as one picture."""
        tools, photograph, setting = self.tools, self.photograph, self.state.setting
        if tools is None or photograph is None:
            return
        self._ask(
            "save",
            lambda cancel: save_pair(path, tools, setting, photograph, cancel),
        )

    def _take_save(self, nothing: None) -> None:
        """The file itself is the sign."""

    def _check(self, load: Callable[[], tuple[dict[str, Any], Stock | None]]) -> None:
        self._ask("check", lambda cancel: load())

    def set_pane(self, width: int, height: int, ratio: float) -> None:
        """The size of one pane in device pixels, and those per logical pixel."""
        if (width, height, ratio) == (*self._pane, self._ratio):
            return
        self._pane, self._ratio = (width, height), ratio
        self._note_zooms()
        self.changed.emit()
        self._draw()

    def gesture(self, change: Callable[[Viewport], Viewport]) -> None:
        """Pan or zoom."""
        view = self.viewport
        if view is None:
            return
        after = change(view)
        self._become(
            self.state.with_view(
                zoom=None if after.fitted else after.scale,
                centre=(after.centre_x / after.width, after.centre_y / after.height),
            )
        )

    @property
    def viewport(self) -> Viewport | None:
        """Where the pictures stand; None without a photograph."""
        if self.photograph is None:
            return None
        height, width = self.photograph.codes.shape[:2]
        at = self.state.view
        view = Viewport(width, height, *self._pane, least_wall=CAPTION_PX * self._ratio).fit()
        if at.size:
            sized = view.exactly(self._zoom_of(at.size))
            return sized.centred_on(at.centre[0] * width, at.centre[1] * height)
        if at.zoom is None:
            return view
        return view.at_scale(at.zoom).centred_on(at.centre[0] * width, at.centre[1] * height)

    def _zoom_of(self, size: str) -> float:
        """Monitor pixels for each pixel of the file at a size in millimetres."""
        assert self.photograph is not None
        setting, facts = self.setting, self.state.facts
        width_mm, _ = print_size_mm(setting, facts)
        zoom = width_mm / self.photograph.width / self.ruler.mm_per_px
        if size == "seen":
            zoom *= self.ruler.eye_m / viewing_distance_m(setting, facts)
        return zoom

    def set_ruler(self, ruler: Ruler) -> None:
        """How large the monitor's pixels are, and how far the eye is from them."""
        if ruler != self.ruler:
            self.ruler = ruler
            self._note_zooms()
            self.changed.emit()
            self._draw()

    def probe(self, x: float, y: float) -> None:
        """Measure an image point, now and whenever the print changes, until told to stop."""
        self._pointed = (x, y)
        baked, tools, photograph = self.baked, self.tools, self.photograph
        if baked is None or tools is None or photograph is not baked.request.photograph:
            return  # another photograph is not printed yet
        engine, row, column = tools.engine, int(y), int(x)
        proof = self.proof
        self._ask("probe", lambda cancel: probe_at(engine, baked, row, column, proof))

    def stop_probing(self) -> None:
        """Nothing is pointed at any more."""
        self._pointed = None
        self.worker.drop("probe")
        self.probed.emit(None)

    # ---- state

    def _become(self, after: State, *, said: bool = False) -> None:
        """Take over a state, and set going what it needs."""
        before, asking = self.state, after.asking
        after = after.ask("")
        if said or after.setting != before.setting:
            self._well(self._told)
        if after != before:
            self.state = after
            self._note_zooms()
            if after.setting.photograph != before.setting.photograph:
                self._reopen()
            if after.setting != before.setting:
                self.considered = None
            if after.view.kept != before.view.kept:
                self._hang_beside()
            self.changed.emit()
            if colour_part(after.setting) != colour_part(before.setting):
                self._bake()
            elif after.setting.marks != before.setting.marks or after.view != before.view:
                self._draw()
            if after.setting.marks != before.setting.marks:
                self._count_findings(len(self.findings))
            if after.view.finding != before.view.finding:
                self._go_to_finding()
        if asking:
            self.asked.emit(asking)

    def _reopen(self) -> None:
        """An undo or a saved setting has brought back another photograph."""
        path = self.state.setting.photograph
        if path and path != self._opened:
            self.open(path)

    def _note_zooms(self) -> None:
        view = self.viewport
        if view is not None:
            self.state = self.state.with_view(whole_zoom=view.fit_scale, size_zoom=view.scale)

    # ---- asking for work

    def _bake(self) -> None:
        tools, photograph, setting = self.tools, self.photograph, self.setting
        if tools is None or photograph is None:
            return
        if self._baked_of == (colour_part(setting), photograph.key):
            self.worker.drop("bake")  # what is shown is what is wanted again
            self._well("bake")
            self._wait_for_rest()
            return
        self._forget_proof()
        self._rest.stop()
        self.worker.drop("fine", "prove", "glance", "advise")

        def work(cancel: Cancel) -> tuple[Setting, str, Baked]:
            request = build_request(setting, tools.catalogue, photograph)
            baked = tools.engine.bake(request, nodes=NODES_MOVING, cancel=cancel)
            return setting, photograph.key, baked

        self._ask("bake", work)

    def _wait_for_rest(self) -> None:
        self.busy = True
        self._rest.start()

    def _refine(self) -> None:
        """At rest: the fine bake, then the scan of the whole picture and the advice."""
        tools, baked = self.tools, self.baked
        done = self.proof is not None and self.proof.is_complete
        if tools is None or baked is None or self.considered is not None or done:
            self.worker.drop()  # nothing to do: only tell when all is done
            return
        engine, request = tools.engine, baked.request
        if baked.nodes < NODES_RESTING:
            self._ask(
                "fine",
                lambda cancel: engine.bake(request, nodes=NODES_RESTING, cancel=cancel),
                patient=True,
            )
            return
        if self.proof is None or self.proof.stage is Stage.PROVISIONAL:
            self._prover = prover = prover_of(tools, request)
            self._ask(
                "prove",
                lambda cancel: prover.scan(cancel, self.progressed.emit),
                patient=True,
            )
        elif (asked := self._prover) is not None:
            self._ask(
                "advise",
                lambda cancel: asked.advise(cancel, self.progressed.emit),
                patient=True,
            )

    def _glance(self) -> None:
        """What to expect, from a reduced copy, before the scan."""
        tools, baked = self.tools, self.baked
        if tools is None or baked is None or self.proof is not None:
            return
        engine, request = tools.engine, baked.request
        self._ask("glance", lambda cancel: glance_at(engine, request, cancel), patient=True)

    def _forget_proof(self) -> None:
        if self.proof is not None:
            self.proof = None
            self.proved.emit()

    def _draw(self) -> None:
        baked, photograph, view = self.baked, self.photograph, self.viewport
        if baked is None or photograph is None or view is None:
            return
        spec = view.spec()
        if spec is None or baked.request.photograph is not photograph:
            return
        shown, ratio = self.state.setting.marks, self._ratio
        marked, strength = self._marked, self.state.view.mark_strength
        if marked is not None and marked.request.photograph is not photograph:
            marked = None
        kept = self.kept
        of = (baked, None if kept is None else kept.baked)
        with_base, whole = self._base_of != of, whole_spec(photograph)

        def work(cancel: Cancel) -> tuple[Baked, KeptPrint | None, Frame | None, Frame]:
            base = draw(baked, photograph, whole, kept=kept) if with_base else None
            detail = draw(baked, photograph, spec, shown, marked, ratio, strength, cancel, kept)
            return baked, kept, base, detail

        self._ask("view", work, steady=True)

    # ---- answers

    def _on_answer(self, answer: Answer) -> None:
        if not self.worker.is_current(answer) and answer.slot != "view":
            return  # a view is checked by what it shows
        if answer.error is not None:
            self._fail(answer.error, answer.slot)
            if answer.slot == "open":
                self._keep_photograph()
            elif answer.slot == "beside":  # such as a stock's file that is gone since last time
                self._become(self.state.with_view(kept=None))
            return
        getattr(self, f"_take_{answer.slot}")(answer.value)

    def _take_load(self, start: Start) -> None:
        self.tools = tools = start.tools
        self.state = self.state.with_facts(start.facts)
        if self.state.setting == start.wanted:
            self.state = State(History(start.setting), start.facts, self.state.view)
        if start.trouble is not None:
            self._fail(start.trouble, "load")
        self.changed.emit()
        if self._to_open:
            self.open(self._to_open)
        self._ask(
            "notes",
            lambda cancel: work_out_notes(tools.catalogue, cancel),
            patient=True,
        )

    def _take_notes(self, notes: Mapping[tuple[str, str], tuple[str, ...]]) -> None:
        self.notes = notes
        self.noted.emit()

    def _take_open(self, opened: tuple[str, Photograph]) -> None:
        path, photograph = opened
        self._to_open, self._opened = "", path
        self.pictures = newest_first(self.pictures, path, MOST_PICTURES)
        self.photograph = photograph
        self.base = self.detail = self._base_of = self._baked_of = None
        self.considered = None
        state = self.state.with_facts(self.state.facts.with_photograph(photograph))
        if state.setting.photograph != path:
            first = not state.setting.photograph
            state = state.change(photograph=path)
            if first:  # where the history begins: there is no picture to undo to
                state = State(History(state.setting), state.facts, state.view)
        self.state = state.with_view(zoom=None, centre=(0.5, 0.5))
        self._note_zooms()
        self._well("open")
        self._trial = None
        self.stop_probing()
        self._hang_beside()
        self.changed.emit()
        self.drawn.emit()
        self._bake()

    def _keep_photograph(self) -> None:
        """The file that was to be opened cannot be: stay with the one that is shown."""
        self._to_open = ""
        setting = self.state.setting.change(photograph=self._opened)
        if not self._opened:  # nothing to undo to
            self.state = State(History(setting), self.state.facts, self.state.view)
        else:
            self.state = self.state.with_setting(setting)
        self.changed.emit()

    def _take_check(self, checked: tuple[dict[str, Any], Stock | None]) -> None:
        values, stock = checked
        if stock is not None:
            facts = self.state.facts.with_stock(stock, values["stock"])
            self.state = self.state.with_facts(facts)
        self.change(**values)

    def _take_bake(self, made: tuple[Setting, str, Baked]) -> None:
        setting, photograph_key, baked = made
        self._baked_of = (colour_part(setting), photograph_key)
        self._well("bake")
        self._take_fine(baked)

    def _take_fine(self, baked: Baked) -> None:
        self.baked = baked
        self.baked_changed.emit()
        self._draw()
        if self._pointed is not None:
            self.probe(*self._pointed)
        if baked.nodes < NODES_RESTING:
            self._glance()
            self._wait_for_rest()
        else:
            self._refine()

    def _take_view(self, made: tuple[Baked, KeptPrint | None, Frame | None, Frame]) -> None:
        baked, kept, base, detail = made
        if baked is not self.baked or baked.request.photograph is not self.photograph:
            return
        if (kept is None) != (self.kept is None):
            return  # the left pane holds something else now
        self.detail = detail
        if base is not None:
            self.base, self._base_of = base, (baked, None if kept is None else kept.baked)
        self.drawn.emit()

    # ---- a print beside the print

    def _hang_beside(self) -> None:
        """Hang the print that is kept where the photograph is, or take it down."""
        self.worker.drop("beside")
        wanted, photograph, tools = self.state.view.kept, self.photograph, self.tools
        if wanted is None or photograph is None or tools is None:
            self._take_beside(None)
            return
        baked = self.baked
        if baked is not None and self._baked_of == (colour_part(wanted), photograph.key):
            self._take_beside(KeptPrint(wanted, baked, self._marked))
            if baked.nodes >= NODES_RESTING:
                return
        elif self.kept is not None and self.kept.baked.request.photograph is not photograph:
            self._take_beside(None)

        def work(cancel: Cancel) -> KeptPrint:
            request = build_request(wanted, tools.catalogue, photograph)
            return KeptPrint(wanted, tools.engine.bake(request, NODES_RESTING, cancel))

        self._ask("beside", work)

    def _take_beside(self, kept: KeptPrint | None) -> None:
        was = self.kept
        if kept is not None and was is not None and was.setting == kept.setting:
            same = was.baked.request.photograph is self.photograph
            kept = replace(kept, proof=kept.proof or (was.proof if same else None))
        self.kept = kept
        if kept is not was:
            self.baked_changed.emit()
            self._draw()

    def _take_probe(self, probe: Probe) -> None:
        self.probed.emit(probe)

    def _take_glance(self, proof: Proof) -> None:
        if self.proof is None:
            self._take_stage(proof)

    def _take_prove(self, proof: Proof) -> None:
        self._first_time = False
        self._take_stage(proof)
        self._refine()

    def _take_advise(self, proof: Proof) -> None:
        self._take_stage(proof)
        hung = as_combination(self.state.setting)
        self.combinations = newest_first(self.combinations, hung, MOST_COMBINATIONS)

    def _take_stage(self, proof: Proof) -> None:
        """A proof has come a step further; one of another setting is let go."""
        if self.baked is None or proof.request is not self.baked.request:
            return
        self._carry_choice(proof)
        kept = self.kept
        if kept is not None and colour_part(kept.setting) == colour_part(self.state.setting):
            self.kept = replace(kept, proof=proof)
        redrawn = self._marked is None or self._marked.maps is not proof.maps
        self.proof = self._marked = proof
        self._answer_trial(proof)
        self._count_findings(len(self.findings))
        self.proved.emit()
        if redrawn:
            self._draw()

    def _carry_choice(self, proof: Proof) -> None:
        """A place that was gone to stays chosen as long as it is found: the numbers mean other
        places now."""
        chosen, came_back = self.finding, self._came_back
        if self._marked is not None and self._marked.request is not proof.request:
            chosen = None
        if came_back is not None and proof.stage is not Stage.PROVISIONAL:
            chosen, self._came_back = chosen or came_back, None
        at = None
        if chosen is not None:
            shown = proof.shown(self.state.setting.marks)
            alike = (
                i for i, found in enumerate(shown)
                if (found.kind, found.region.where) == (chosen.kind, chosen.region.where)
            )  # fmt: skip
            at = next(alike, None)
        self.state = self.state.with_view(finding=at)

    def divide(self, share: float) -> None:
        """Draw the line between two pictures that lie on each other."""
        self._become(self.state.with_view(divide=min(max(share, 0.0), 1.0)))

    # ---- findings

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What is lost where, of the kinds that are shown, the worst first; those of the setting
        before until there are newer ones, so that nothing blinks."""
        proof, shown = self._marked, self.state.setting.marks
        if proof is None or proof.request.photograph is not self.photograph:
            return ()
        return proof.shown(shown)

    @property
    def finding(self) -> Finding | None:
        """The one that is gone to."""
        findings, at = self.findings, self.state.view.finding
        return None if at is None or at >= len(findings) else findings[at]

    def go_to(self, number: int | None) -> None:
        """Go to a finding with both pictures; None leaves it."""
        if number is None:
            self.run("leave_finding")
        else:
            self._become(self.state.with_view(finding=number))

    def strengthen(self, strength: float) -> None:
        """Draw marks more or less strongly."""
        self._become(self.state.with_view(mark_strength=strength))

    @property
    def hidden_findings(self) -> tuple[Finding, ...]:
        """Those of kinds whose marks are off, of the same proof."""
        proof, shown = self._marked, self.state.setting.marks
        if proof is None or proof.request.photograph is not self.photograph:
            return ()
        return tuple(found for found in proof.findings if found.kind not in shown)

    @property
    def shares(self) -> Mapping[Kind, float]:
        """Share of the picture by kind, of the proof that :attr:`findings` are of; may be empty."""
        return {} if self._marked is None else _shares(self._marked)

    def show_kinds(self, kinds: frozenset[Kind]) -> None:
        """Turn some marks on again."""
        self.change(marks=self.state.setting.marks | kinds)

    # ---- trying what would help

    @property
    def trial(self) -> Trial | None:
        """The advice that was followed last, while nothing else has been changed since."""
        trial = self._trial
        return trial if trial is not None and trial.stands_in(self.state) else None

    def follow(self, advice: Advice, kind: Kind) -> None:
        """Do what an advice says, where it is a setting; one undo takes it back.

        Parameters
        ----------
        advice
            What would help.
        kind
            The loss that it would help against: :attr:`trial` tells what becomes of it.
        """
        if advice.setting is None or self.proof is None:
            return  # without a proof the advice is of another setting
        name, value = advice.setting
        field = {"illuminance_lux": "illuminance"}.get(name, name)
        values: dict[str, Any] = {field: value}
        before, proof = self.state.setting, self.proof
        known = None if proof is None or proof.stage is Stage.PROVISIONAL else _shares(proof)
        try:
            after = before.change(**values)
        except SettingError as error:
            self._fail(error)
            return
        if after != before:
            words = trial_in_words(field, after)
            self._trial = Trial(kind, words, before, after, known)
            self._tried_at = self.finding
        self.change(**values)

    def take_back(self) -> None:
        """Undo the advice that was followed last, and nothing else."""
        if self.trial is not None:
            self._trial = None
            self._came_back = self._tried_at
            self.run("undo")

    def dismiss_trial(self) -> None:
        """Keep what an advice has brought and say no more of it."""
        if self._trial is not None:
            self._trial = None
            self.changed.emit()

    def _answer_trial(self, proof: Proof) -> None:
        trial, baked_of = self.trial, self._baked_of
        if trial is None or baked_of is None or proof.stage is Stage.PROVISIONAL:
            return
        if baked_of[0] != colour_part(trial.after):
            return  # of a setting that is only considered
        self._trial = trial.answered(_shares(proof))

    def _count_findings(self, count: int) -> None:
        at = self.state.view.finding
        self.state = self.state.with_view(
            findings=count, finding=None if at is None or at >= count else at
        )
        self.changed.emit()

    def _go_to_finding(self) -> None:
        finding, view = self.finding, self.viewport
        if finding is None or view is None:
            return
        x, y, width, height = finding.region.box
        around = 1.6  # of the place, so that it is seen in what is about it
        zoom = min(self._pane[0] / (width * around), self._pane[1] / (height * around), 1.0)
        self._become(
            self.state.with_view(
                zoom=None if zoom <= view.fit_scale else zoom,
                centre=((x + width / 2) / view.width, (y + height / 2) / view.height),
            )
        )

    # ---- telling

    def _note_compiled(self, before: bool) -> None:
        self._first_time = not before

    def _fail(self, error: Exception, slot: str = "setting") -> None:
        if isinstance(error, ProofingError):
            self.tell(closed(str(error)), slot)
        else:
            _log.error("unexpected", exc_info=error)
            self.tell(
                f"Something went wrong inside the program ({type(error).__name__}: {error}). "
                "What you see is the last picture that worked.",
                slot,
            )

    def tell(self, sentence: str, slot: str = "setting") -> None:
        """Say something in the bar; it stays until the same kind of work succeeds."""
        self._told = slot
        self.failed.emit(sentence)

    def _well(self, slot: str) -> None:
        """That kind of work has succeeded: what the bar said of it no longer holds."""
        if self._told == slot:
            self._told = ""
            self.failed.emit("")

    def _ask(self, slot: str, work: Callable[[Cancel], Any], **manner: bool) -> None:
        self.busy = True
        if not self._sign.isActive():
            self._sign.start()
        self.worker.ask(slot, work, urgency=URGENCY[slot], **manner)

    def _on_emptied(self, number: int) -> None:
        if not self.worker.is_latest(number):
            return
        self._sign.stop()
        self.working.emit("")
        self.busy = self._rest.isActive()
        if not self.busy:
            self.rested.emit()

    def _show_sign(self) -> None:
        slots = self.worker.waiting_slots()
        for slot in sorted(slots & WORDS.keys(), key=URGENCY.__getitem__):
            self.working.emit(PREPARING if self._first_time else WORDS[slot])
            self._sign.start()  # the words follow the work
            return


def _shares(proof: Proof) -> dict[Kind, float]:
    """Share of the picture by kind."""
    return {mark.kind: mark.share for mark in proof.marks}
