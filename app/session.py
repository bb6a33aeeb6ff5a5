"""One sitting: the state, what has been computed for it, and the worker that computes.

The window's widgets read :attr:`Session.state`, run commands, and listen. Nothing here draws.
The order of things after a change::

    state -> coarse bake -> frame -> glance   at once, each newer request replacing the older
          -> (at rest) fine bake -> frame -> scan of the whole picture -> advice
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, QTimer, Signal

from app.beside import Beside
from app.calling_off import CallingOff
from app.desk import Desk
from app.losses import Losses
from app.memory import LOOKS, MOST_PICTURES, Sitting, newest_first
from app.panels.choices import Notes, work_out_notes
from app.pins import Pins
from app.ruler import Ruler
from app.saving import SLOT as SAVE
from app.saving import Saves
from app.sheet import Sheet
from app.shelf import Reading, Shelf
from app.sight import Sight
from app.speaking import COMMA, use_decimal_comma
from app.state import (
    SETTINGS,
    History,
    Setting,
    State,
    build_request,
    build_screen,
    canonical,
    run,
)
from app.state.commands import MADE_FOR_A_PICTURE
from app.state.framing import framing
from app.state.lengths import unit_of
from app.state.sheet import SHEETS, SheetPrint
from app.tones import PrintTones
from app.tools import (
    Start,
    Tools,
    begin,
    compiled_before,
    keep_image,
    load_tools,
    probe_at,
)
from app.verdicts import Verdicts
from app.which_stock import WhichStock
from app.work import (
    NODES_MOVING,
    NODES_RESTING,
    PREPARING,
    URGENCY,
    WORDS,
    absolute,
    closed,
    colour_part,
)
from app.worker import Answer, Cancel, Worker
from proofing.errors import Cancelled, ProofingError, SettingError
from proofing.language import tr

if TYPE_CHECKING:
    from proofing.engine import Baked, Probe
    from proofing.photograph import Photograph
    from proofing.printing import Stock

Take = Callable[[Any], None]
GiveUp = Callable[[Exception], None]

_log = logging.getLogger(__name__)

REST_MS = 220  # without a change before the fine bake begins
SIGN_MS = 250  # of work before a sign of it is shown


_OF_A_PICTURE = ("zoom", "size", "centre", "pins")
"""What of the view belongs to the picture that is looked at."""


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
        :attr:`losses` has changed.
    progressed : float
        Share of the scan that is done.
    probed : object
        A ``Probe``, or None.
    pinned : ()
        What is measured at :attr:`pins` has changed.
    toned : ()
        :attr:`tones` are known.
    ordered : ()
        What the desk shows has changed: :attr:`desk`.
    order_progressed : float
        Share of the order file that is written.
    working : str
        What takes longer than a quarter of a second, '' when nothing does.
    failed : str
        A sentence for the bar; '' when all is well again.
    offered : str, str
        A sentence for the bar, and the command that would see to it.
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
    pinned = Signal()
    toned = Signal()
    ordered = Signal()
    order_progressed = Signal(float)
    working = Signal(str)
    failed = Signal(str)
    offered = Signal(str, str)
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
        self.photograph: Photograph | None = None  # what is seen of it
        self.whole: Photograph | None = None  # the file
        self.baked: Baked | None = None
        self.considered: Setting | None = None
        self.notes = Notes()
        self.pictures: tuple[str, ...] = ()  # opened lately
        self.combinations: tuple[Setting, ...] = ()  # hung lately
        self.baked_of: tuple[Setting, Any] | None = None
        self._look_again: dict[str, Any] = {}  # at the first picture, as in the last sitting
        self._told = ""  # the slot of the work that the bar speaks of
        self.first_time = False  # whether the pixel loops are still to be compiled
        self._compiled.connect(self._note_compiled)
        self.busy = False  # whether anything is being worked out, or will be at rest
        self.worker = Worker(self)
        self.worker.answered.connect(self._on_answer)
        self.worker.emptied.connect(self._on_emptied)
        self._takers: dict[
            str, tuple[Callable[[Any], None], Callable[[Exception], None] | None]
        ] = {}
        self._answer_own()
        self.sight = Sight(self)
        self.losses = Losses(self)
        self.beside = Beside(self)
        self.shelf = Shelf(self)
        self.sheet = Sheet(self)
        self.pins = Pins(self)
        self.tones = PrintTones(self)
        self.which_stock = WhichStock(self)
        self.verdicts = Verdicts(self)
        self.saves = Saves(self)
        self.desk = Desk(self)
        self.calling_off = CallingOff(self)
        self.rested.connect(self.shelf.read_ahead)
        self._rest = self._timer(REST_MS, self.refine)
        self._sign = self._timer(SIGN_MS, self._show_sign)
        self._load = load

    def _answer_own(self) -> None:
        self.answer_with("load", self._take_load)
        self.answer_with("open", self._take_open, self._keep_photograph)
        self.answer_with("cut", self._take_cut)
        self.answer_with("check", self._take_check, lambda error: self.consider(None))
        self.answer_with("bake", self._take_bake, self._keep_print)
        self.answer_with("fine", self._take_fine)
        self.answer_with("notes", self._take_notes)
        self.answer_with("probe", self._take_probe)
        self.answer_with("keep", self.open)

    def answer_with(
        self,
        slot: str,
        take: Take,
        give_up: GiveUp | None = None,
    ) -> None:
        """What becomes of the answers of a slot of work, and of its failures, which are told."""
        self._takers[slot] = take, give_up

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

        self.ask("load", work)

    def close(self) -> None:
        """End the work and wait for it; what is to be saved is saved first."""
        self._rest.stop()
        self._sign.stop()
        self.worker.close(finish=(SAVE,))
        self.saves.finish()
        self.desk.close()

    @property
    def opening(self) -> bool:
        """Whether a photograph is on its way."""
        return bool(self._to_open)

    @property
    def is_another_coming(self) -> bool:
        """Whether the setting is of another picture than the one that is there."""
        return self.opening or self.state.setting.photograph != self._opened

    @property
    def setting(self) -> Setting:
        """The setting in sight: the considered one while a chooser is open."""
        return self.considered or self.state.setting

    def run(self, command: str) -> None:
        """Run a command of the table."""
        self.become(run(self.state, command))

    def change(self, gesture: str = "", **values: Any) -> None:
        """Change settings, as one step of the history.

        A value that makes no sense is told in the bar and changes nothing.
        """
        try:
            after = self.state.change(gesture, **values)
        except SettingError as error:
            self.fail(error)
            return
        self.considered = None
        self.become(after, said=True)

    def take_print(self, one: SheetPrint) -> None:
        """Take a print of the sheet into the sentence."""
        if field := SHEETS.get(self.state.view.arrangement):
            self.change(**{field: one.value})

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
            self.tell(tr("The lists are still being read; open the setting again in a moment."))
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
        self.state = self.state.with_view(
            kept=sitting.kept,
            findings_open=sitting.findings_open,
            pictures=sitting.at_hand,
            walked=sitting.walked,
            **{name: value for name, value in sitting.looks if name not in _OF_A_PICTURE},
        )
        if self.state.setting == sitting.setting:
            history = History(sitting.setting, sitting.past, sitting.future)
            self.state = replace(self.state, history=history)
            self._look_again = {
                name: value for name, value in sitting.looks if name in _OF_A_PICTURE
            }
        if sitting.units:
            facts = replace(self.state.facts, inches=sitting.units == "in")
            self.state = self.state.with_facts(facts)
        if sitting.decimal_sign:
            comma = sitting.decimal_sign == COMMA
            self.become(self.state.with_facts(replace(self.state.facts, comma=comma)))
        self.sight.rulers = {
            name: Ruler(*numbers, matched=True) for name, numbers in sitting.rulers
        }
        self.changed.emit()

    def sitting(self, window: str) -> Sitting:
        """What is to be kept for the next one; `window` says where the window stands."""
        view = self.state.view
        rulers = tuple(
            (name, (one.mm_per_px, one.eye_m)) for name, one in self.sight.rulers.items()
        )
        return Sitting(
            self.state.setting, view.kept, self.pictures, self.combinations, window,
            view.findings_open, rulers, view.pictures, walked=view.walked,
            units=unit_of(self.state.facts.inches),
            decimal_sign=COMMA if self.state.facts.comma else ".",
            past=self.state.history.past, future=self.state.history.future,
            looks=tuple((name, getattr(view, name)) for name in LOOKS),
        )  # fmt: skip

    def open(self, path: str) -> None:
        """Open a photograph. It appears when it has been read."""
        path = self._to_open = absolute(path)
        if path not in self.state.view.pictures:
            self.state = self.state.with_view(pictures=(path,))
        if self.tools is not None:
            self.ask("open", self.shelf.reading_of(path))

    def open_all(self, paths: Sequence[str]) -> None:
        """Open the first of several photographs, and have the others at hand."""
        pictures = tuple(absolute(path) for path in paths)
        if pictures:
            self.state = self.state.with_view(pictures=pictures)
            self.open(pictures[0])

    def open_image(self, write: Callable[[Path], None]) -> None:
        """Keep a picture that came without a file, such as a pasted one, and open it.

        Parameters
        ----------
        write
            Writes it as PNG to the path given.
        """
        self.ask("keep", lambda cancel: keep_image(write))

    def use_stock_file(self, path: str) -> None:
        """Print on the stock of an ICC profile or a stock record, once it proves good."""
        if (tools := self.tools) is not None:
            self._check(lambda: ({"stock": path}, tools.catalogue.stock(path)))
        else:
            self.tell(tr("The lists are still being read; choose the file again in a moment."))

    def use_screen_file(self, path: str) -> None:
        """Show on the screen of an ICC profile, once it proves good."""
        setting = self.state.setting

        def load() -> tuple[dict[str, Any], Stock | None]:
            build_screen(setting.change(screen_profile=path))
            return {"screen_profile": path}, None

        self._check(load)

    def save_pair(self, path: str) -> None:
        """Write what the window shows as one picture."""
        self.saves.ask(path)

    def stop(self) -> None:
        """Call off what is being worked out."""
        self.calling_off.stop()

    def go_on(self) -> None:
        """Look for what is lost after all."""
        self.calling_off.go_on()

    def _check(self, load: Callable[[], tuple[dict[str, Any], Stock | None]]) -> None:
        self.ask("check", lambda cancel: load())

    def note_full_screen(self, full_screen: bool) -> None:
        """Whether the window that holds the pictures fills its screen now."""
        self.state = self.state.with_view(full_screen=full_screen)

    def probe(self, x: float, y: float) -> None:
        """Measure an image point, now and whenever the print changes, until told to stop."""
        self.state = self.state.with_view(pointed=(x, y))
        baked, tools, photograph = self.baked, self.tools, self.photograph
        if baked is None or tools is None or photograph is not baked.request.photograph:
            return  # another photograph is not printed yet
        engine, row, column = tools.engine, int(y), int(x)
        proof = self.losses.proof
        self.ask("probe", lambda cancel: probe_at(engine, baked, row, column, proof))

    def stop_probing(self) -> None:
        """Nothing is pointed at any more."""
        self.state = self.state.with_view(pointed=None)
        self.worker.drop("probe")
        self.probed.emit(None)

    # ---- state

    def become(self, after: State, *, said: bool = False) -> None:
        """Take over a state, and set going what it needs."""
        before, asking = self.state, after.asking
        after = after.ask("")
        if after.setting.photograph != before.setting.photograph:
            after = self._for_another(after)
        if said or after.setting != before.setting:
            self._well(self._told)
        if after != before:
            self.state = after
            self.sight.note_zooms()
            if after.setting.photograph != before.setting.photograph:
                self._reopen()
            if after.setting.screen_profile != before.setting.screen_profile:
                self._work_out_notes()
            if after.setting != before.setting:
                self.considered = None
            if after.view.kept != before.view.kept:
                self.beside.hang()
            if after.facts.comma != before.facts.comma:
                self._say_numbers()
            self.changed.emit()
            if colour_part(after.setting) != colour_part(before.setting):
                self._bake()
            elif after.setting.marks != before.setting.marks or after.view != before.view:
                self.sight.draw()
            if after.setting.marks != before.setting.marks:
                self.losses.count()
            if after.view.finding != before.view.finding:
                self.losses.show_place()
        if asking:
            self.asked.emit(asking)

    def _for_another(self, state: State) -> State:
        """What belongs to the picture before is left behind: corrections set aside, and those of
        the kept print."""
        kept = state.view.kept
        if kept is not None:
            kept = kept.change(**MADE_FOR_A_PICTURE)
        return state.with_view(set_aside=(), kept=kept)

    def _reopen(self) -> None:
        """An undo or a saved setting has brought back another photograph."""
        path = self.state.setting.photograph
        if path and path != self._opened:
            self.open(path)
        elif path:  # on the way to another, back to the one that is shown
            self._to_open = ""
            self.worker.drop("open")

    def _say_numbers(self) -> None:
        """All figures are said anew with the other decimal sign."""
        use_decimal_comma(self.state.facts.comma)
        self._work_out_notes()
        self.losses.forget()
        self.toned.emit()
        if (at := self.state.view.pointed) is not None:
            self.probe(*at)
        self._wait_for_rest()

    # ---- asking for work

    def _bake(self) -> None:
        tools, photograph, setting = self.tools, self.photograph, self.setting
        if tools is None or photograph is None or self._cut():
            return
        if self.baked_of == (colour_part(setting), photograph.key):
            self.worker.drop("bake")  # what is shown is what is wanted again
            self._well("bake")
            self._wait_for_rest()
            return
        self.losses.forget()
        self.calling_off.halted = False
        self._rest.stop()
        self.worker.drop("fine")

        def work(cancel: Cancel) -> tuple[Setting, str, Baked]:
            request = build_request(setting, tools.catalogue, photograph)
            baked = tools.engine.bake(request, nodes=NODES_MOVING, cancel=cancel)
            return setting, photograph.key, baked

        self.ask("bake", work)

    def _cut(self) -> bool:
        """Whether another part of the picture is wanted, which is on its way then."""
        whole, shown = self.whole, self.photograph
        if whole is None or shown is None:
            return False
        try:
            box = framing(self.setting, (whole.width, whole.height)).face
        except SettingError as error:
            self.fail(error)
            return False
        if box[:2] == shown.origin and (box[2] - box[0], box[3] - box[1]) == (
            shown.width, shown.height
        ):  # fmt: skip
            self.worker.drop("cut")
            return False
        self.ask("cut", lambda cancel: (whole, whole.part(box)))
        return True

    def _take_cut(self, made: tuple[Photograph, Photograph]) -> None:
        whole, part = made
        if whole is not self.whole or self.photograph is None:
            return
        (x, y), (left, top) = part.origin, self.photograph.origin
        pins = tuple(
            (px + left - x, py + top - y)
            for px, py in self.state.view.pins
            if 0 <= px + left - x < part.width and 0 <= py + top - y < part.height
        )
        self.state = self.state.with_view(zoom=None, centre=(0.5, 0.5), pins=pins)
        self._hang(part)

    def _hang(self, photograph: Photograph) -> None:
        """Other pixels: all that was drawn and found is of others."""
        self.photograph = photograph
        self.state = self.state.with_facts(self.state.facts.with_photograph(photograph, self.whole))
        self.baked_of = None
        self.sight.forget()
        self.sheet.forget()
        self.sight.note_zooms()
        self.losses.forget_trial()
        self.stop_probing()
        self.beside.hang()
        self.changed.emit()
        self.drawn.emit()
        self._bake()

    def _wait_for_rest(self) -> None:
        self.busy = True
        self._rest.start()

    def refine(self) -> None:
        """At rest: the fine bake, then the scan of the whole picture and the advice."""
        tools, baked = self.tools, self.baked
        done = self.losses.are_complete
        halted = self.calling_off.halted
        if tools is None or baked is None or self.considered is not None or done or halted:
            self.worker.drop()  # nothing to do: only tell when all is done
            return
        engine, request = tools.engine, baked.request
        if baked.nodes < NODES_RESTING:
            self.ask(
                "fine",
                lambda cancel: engine.bake(request, nodes=NODES_RESTING, cancel=cancel),
                patient=True,
            )
            return
        self.losses.look()

    # ---- answers

    def _on_answer(self, answer: Answer) -> None:
        if not self.worker.is_current(answer) and answer.slot != "view":
            return  # a view is checked by what it shows
        take, give_up = self._takers[answer.slot]
        if answer.error is None:
            take(answer.value)
            return
        self.fail(answer.error, answer.slot)
        if give_up is not None:
            give_up(answer.error)

    def _take_load(self, start: Start) -> None:
        self.tools = start.tools
        own = self.state.facts
        facts = replace(start.facts, inches=own.inches, comma=own.comma)
        self.state = self.state.with_facts(facts)
        if self.state.setting == start.wanted:
            history = replace(self.state.history, present=start.setting)
            self.state = State(history, facts, self.state.view)
        if start.trouble is not None:
            self.fail(start.trouble, "load")
        self.changed.emit()
        if self._to_open:
            self.open(self._to_open)
        self._work_out_notes()

    def _work_out_notes(self) -> None:
        """What the choosers tell and draw, once more: what was worked out before is quick."""
        if (tools := self.tools) is not None:
            own = tuple(fact.path for fact in self.state.facts.stocks if fact.path)
            setting = self.state.setting
            self.ask(
                "notes",
                lambda cancel: work_out_notes(
                    tools.catalogue, cancel, own, lambda: build_screen(setting)
                ),
                patient=True,
            )

    def _take_notes(self, notes: Notes) -> None:
        self.notes = notes
        self.noted.emit()

    def _take_open(self, reading: Reading) -> None:
        path, photograph, before = reading.path, reading.photograph, self.whole
        same_size = before is not None and before.codes.shape == photograph.codes.shape
        again = same_size and path == self._opened
        self.shelf.take(reading)
        self._to_open, self._opened = "", path
        self.pictures = newest_first(self.pictures, path, MOST_PICTURES)
        self.whole = photograph
        self.considered = None
        state = self.state.with_facts(self.state.facts.with_photograph(photograph))
        if state.setting.photograph != path:
            first = not state.setting.photograph
            plain = {} if first else MADE_FOR_A_PICTURE
            state = self._for_another(state.change(photograph=path, **plain))
            if first:  # where the history begins: there is no picture to undo to
                state = State(History(state.setting), state.facts, state.view)
        if not again:  # else it was saved anew: look where one has been looking
            look = {"zoom": None, "size": "", "centre": (0.5, 0.5), "pins": ()} | self._look_again
            state, self._look_again = state.with_view(**look), {}
        self.state = state
        self._well("open")
        self._hang(photograph)

    def _keep_photograph(self, error: Exception) -> None:
        """The file that was to be opened cannot be: stay with the one that is shown."""
        gone, self._to_open = self._to_open, ""
        if isinstance(error, Cancelled):  # it can be opened: only not now
            self.state = self.state.change(photograph=self._opened)
            self.changed.emit()
            return
        if not self._opened:  # nothing to undo to
            setting = self.state.setting.change(photograph="")
            self.state = State(History(setting), self.state.facts, self.state.view)
        else:
            history = self.state.history.without_photograph(gone, self._opened)
            self.state = replace(self.state, history=history)
        pictures = tuple(path for path in self.state.view.pictures if path != gone)
        self.state = self.state.with_view(pictures=pictures)  # the next step goes past it
        self.changed.emit()

    def _keep_print(self, error: Exception) -> None:
        """The print that was asked for does not come: where a person has stopped it, the sentence
        goes back to the one that is shown."""
        if isinstance(error, Cancelled) and self.baked_of is not None:
            shown, now = self.baked_of[0], self.state.setting
            setting = shown.change(photograph=now.photograph, marks=now.marks)
            self.become(self.state.with_setting(setting))

    def give_up(self, slot: str, error: Exception) -> None:
        """What was asked for in a slot does not come."""
        give_up = self._takers[slot][1]
        if give_up is not None:
            give_up(error)

    @property
    def is_waiting_for_rest(self) -> bool:
        """Whether something is to be begun at rest."""
        return self._rest.isActive()

    def rest_no_more(self) -> None:
        """Begin nothing at rest."""
        self._rest.stop()
        self.worker.drop()

    def _take_check(self, checked: tuple[dict[str, Any], Stock | None]) -> None:
        values, stock = checked
        if stock is not None:
            facts = self.state.facts.with_stock(stock, values["stock"])
            self.state = self.state.with_facts(facts)
            self._work_out_notes()
        self.change(**values)

    def _take_bake(self, made: tuple[Setting, str, Baked]) -> None:
        setting, photograph_key, baked = made
        self.baked_of = (colour_part(setting), photograph_key)
        self._well("bake")
        self._take_fine(baked)

    def _take_fine(self, baked: Baked) -> None:
        self.baked = baked
        self.baked_changed.emit()
        self.sight.draw()
        if self.state.view.pointed is not None:
            self.probe(*self.state.view.pointed)
        if baked.nodes < NODES_RESTING:
            self.losses.glance()
            self._wait_for_rest()
        else:
            self.refine()

    def _take_probe(self, probe: Probe) -> None:
        self.probed.emit(probe)

    # ---- telling

    def _note_compiled(self, before: bool) -> None:
        self.first_time = not before

    def fail(self, error: Exception, slot: str = "setting") -> None:
        """Tell what went wrong, in a sentence."""
        if isinstance(error, ProofingError):
            self.tell(closed(str(error)), slot)
        else:
            _log.error("unexpected", exc_info=error)
            self.tell(
                tr(
                    "Something went wrong inside the program ({kind}: {error}). What you see "
                    "is the last picture that worked.",
                    kind=type(error).__name__,
                    error=error,
                ),
                slot,
            )

    def offer(self, sentence: str, command: str, slot: str = "open") -> None:
        """Say something in the bar, with a command that would see to it."""
        self._told = slot
        self.offered.emit(sentence, command)

    def tell(self, sentence: str, slot: str = "setting") -> None:
        """Say something in the bar; it stays until the same kind of work succeeds."""
        self._told = slot
        self.failed.emit(sentence)

    def _well(self, slot: str) -> None:
        """That kind of work has succeeded: what the bar said of it no longer holds."""
        if self._told == slot:
            self._told = ""
            self.failed.emit("")

    def ask(self, slot: str, work: Callable[[Cancel], Any], **manner: bool) -> None:
        """Have something done in the background, see :class:`app.worker.Worker`."""
        self.note_busy()
        self.worker.ask(slot, work, urgency=URGENCY[slot], **manner)

    def _on_emptied(self, number: int) -> None:
        if not self.worker.is_latest(number):
            return
        if not self.desk.busy:
            self._sign.stop()
            self.working.emit("")
        self.busy = self._rest.isActive() or self.desk.busy
        if not self.busy:
            self.rested.emit()

    def note_busy(self) -> None:
        """Work has begun, and a sign of it is shown if it lasts."""
        self.busy = True
        if not self._sign.isActive():
            self._sign.start()

    def note_desk_done(self) -> None:
        """Nothing is written any more; the rest may be done, too."""
        self.worker.drop()

    def _show_sign(self) -> None:
        slots = self.worker.waiting_slots() | self.desk.worker.waiting_slots()
        for slot in sorted(slots & WORDS.keys(), key=URGENCY.__getitem__):
            self.working.emit(tr(PREPARING if self.first_time else WORDS[slot]))
            self._sign.start()  # the words follow the work
            return
