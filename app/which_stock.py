"""All stocks compared for a picture in its room, while their page is open. A part of a session."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from app.state import Setting, build_request
from proofing.errors import Cancelled, ProofingError
from proofing.findings.kinds import Kind

if TYPE_CHECKING:
    from app.session import Session
    from app.tools import Tools
    from app.worker import Cancel
    from proofing.ordering.comparing import Comparer
    from proofing.ordering.comparison import Comparison, StockResult
    from proofing.photograph import Photograph
    from proofing.printing import Stock

SETTLE_MS = 400
"""Without a change before anything is measured: a room may be gone through step by step."""
_Key = tuple[Setting, str, tuple[str, ...]]


def compared_part(setting: Setting) -> Setting:
    """What of a setting a comparison depends on: not the stock, nor the screen or what is marked.

    >>> compared_part(Setting(stock="gloss")) == compared_part(Setting(screen_luminance_cd_m2=90))
    True
    >>> compared_part(Setting(illuminance=50)) == compared_part(Setting(illuminance=60))
    False
    """
    start = Setting()
    return setting.change(
        photograph="",
        stock=start.stock,
        look=start.look,
        degree_of_adaptation=start.degree_of_adaptation,
        screen_profile=start.screen_profile,
        screen_luminance_cd_m2=start.screen_luminance_cd_m2,
        screen_black_cd_m2=start.screen_black_cd_m2,
        marks=frozenset(Kind),
    )


@dataclass(eq=False)
class _Task:
    """One comparison, as far as it has come: what is called off goes on where it was."""

    setting: Setting
    photograph: Photograph
    names: tuple[str, ...]
    stocks: list[tuple[str, Stock]] = field(default_factory=list)
    comparer: Comparer | None = None

    def begun(self, tools: Tools) -> Comparer:
        """What compares, made once."""
        from proofing.ordering.comparing import Comparer

        if self.comparer is None:
            self.stocks = []
            for name in self.names:
                try:
                    self.stocks.append((name, tools.catalogue.stock(name)))
                except ProofingError:  # the file of a stock is gone; it was told when it was chosen
                    continue
            request = build_request(self.setting, tools.catalogue, self.photograph)
            self.comparer = Comparer(tools.engine, request, [stock for _, stock in self.stocks])
        return self.comparer


class WhichStock(QObject):
    """Follows picture and room.

    Signals
    -------
    changed : ()
        Any of the attributes has changed.

    Attributes
    ----------
    comparison
        What has been measured; of the setting before until something of the present one is known.
        None while there is nothing.
    is_old
        Whether it is that of the setting before.
    done
        Share of the work that is done, 0 to 1.
    stopped
        Whether a person has called it off before it was done.
    failed
        Whether it could not be done.
    """

    changed = Signal()
    _came_on = Signal(object, float, object)

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._session = session
        self._open = False
        self._key: _Key | None = None
        self._task: _Task | None = None
        self._shown: _Task | None = None  # that of the comparison
        self.comparison: Comparison | None = None
        self.done = 0.0
        self.stopped = self.failed = False
        self._settled = QTimer(self)
        self._settled.setSingleShot(True)
        self._settled.setInterval(SETTLE_MS)
        self._settled.timeout.connect(self._begin)
        self._came_on.connect(self._note)
        session.answer_with("compare", self._take, self._give_up)
        session.changed.connect(self.follow)

    @property
    def is_old(self) -> bool:
        """Whether what is known is of another setting."""
        return self.comparison is not None and self._shown is not self._task

    @property
    def is_whole(self) -> bool:
        """Whether all stocks have been measured."""
        return self.comparison is not None and not self.is_old and self.done >= 1.0

    @property
    def count(self) -> int:
        """How many stocks are compared."""
        return 0 if self._key is None else len(self._key[2])

    def watch(self, wanted: bool) -> None:
        """Whether anybody looks at it."""
        self._open = wanted
        if not wanted:
            self._settled.stop()
            self._session.worker.drop("compare")
            return
        before = self._key
        self.follow()
        if self._key is not None and self._key == before and not self.is_whole:
            self.go_on()
        elif self._settled.isActive():  # the page has just been opened: at once
            self._settled.stop()
            self._begin()

    def follow(self) -> None:
        """Picture, room or the stocks to choose from may be others."""
        session = self._session
        photograph, state = session.photograph, session.state
        if not self._open or session.tools is None or photograph is None:
            return
        names = tuple(fact.path or fact.name for fact in state.facts.stocks)
        key = (compared_part(state.setting), photograph.key, names)
        if key == self._key:
            return
        if self._key is not None and self._key[1] != photograph.key:
            self.comparison = self._shown = None  # nobody wants to read of another picture
        self._key = key
        self._task = _Task(state.setting, photograph, names)
        self._reset()
        session.worker.drop("compare")
        self._settled.start()
        self.changed.emit()

    def go_on(self) -> None:
        """Measure what has not been measured yet."""
        self._reset()
        self._begin()
        self.changed.emit()

    def value_of(self, result: StockResult) -> str:
        """What the setting calls the stock of a result."""
        stocks = [] if self._shown is None else self._shown.stocks
        values = (name for name, stock in stocks if stock is result.stock)
        return next(values, result.stock.name)

    def take(self, result: StockResult) -> None:
        """Print on the stock of a result; one step that can be undone."""
        self._session.change(stock=self.value_of(result))

    def _reset(self) -> None:
        self.done, self.stopped, self.failed = 0.0, False, False

    def _begin(self) -> None:
        task, tools = self._task, self._session.tools
        if task is None or tools is None or not self._open:
            return

        def work(cancel: Cancel) -> tuple[_Task, Comparison]:
            comparer = task.begun(tools)
            seen = 0

            def tell(done: float) -> None:
                nonlocal seen
                fresh = comparer.measured > seen
                seen = comparer.measured
                self._came_on.emit(task, done, comparer.so_far() if fresh else None)

            return task, comparer.compare(cancel, tell)

        self._session.ask("compare", work, patient=True)

    def _note(self, task: _Task, done: float, comparison: Comparison | None) -> None:
        """It has come on, on the worker's thread."""
        if task is not self._task or self.stopped:
            return
        self.done = min(done, 0.999)
        self._session.progressed.emit(self.done)
        if comparison is not None:
            self.comparison, self._shown = comparison, task
        self.changed.emit()

    def _take(self, made: tuple[_Task, Comparison]) -> None:
        task, comparison = made
        if task is self._task:
            self.comparison, self._shown, self.done = comparison, task, 1.0
            self.changed.emit()

    def _give_up(self, error: Exception) -> None:
        """Stopped, or not to be done; the bar tells why."""
        self.stopped = isinstance(error, Cancelled)
        self.failed = not self.stopped
        if self.failed:
            self.comparison = self._shown = None
        self.changed.emit()
