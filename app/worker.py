"""One background thread for everything that takes time.

Work is asked for by *slot* ("open", "bake", "view", ...). Within a slot the latest request wins:
one that waits is replaced, one that runs is called off, unless it is *steady*: then it is carried
through and answered, so that a stream of requests, such as a pan, shows something on the way.
Across slots the more urgent goes first, and work marked as *patient* (the fine bake, the count
over the whole picture) is called off for anything urgent and begun again afterwards: panning waits
no longer than that work takes to ask whether it is called off.

An answer carries the number of its request. :meth:`Worker.is_current` tells whether anything
newer has been asked in the meantime; it must be consulted before an answer is used.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Collection
from dataclasses import dataclass, field
from typing import Any

from PySide6.QtCore import QObject, Qt, Signal

from proofing.errors import Cancelled

_log = logging.getLogger(__name__)


class Cancel(threading.Event):
    """Set when the work is no longer wanted. Calling it tells the same."""

    def __call__(self) -> bool:
        return self.is_set()


@dataclass(frozen=True)
class Answer:
    """What came of a request: ``value``, or ``error`` where it failed."""

    slot: str
    number: int
    value: Any = None
    error: Exception | None = None


@dataclass
class _Job:
    slot: str
    number: int
    urgency: int
    patient: bool
    steady: bool
    work: Callable[[Cancel], Any]
    cancel: Cancel = field(default_factory=Cancel)
    again: bool = False  # called off for something urgent, to be begun again


class Worker(QObject):
    """Runs requests one at a time on its own thread.

    Signals
    -------
    answered : Answer
        Emitted once for each request that was neither replaced nor called off, and for steady
        ones that were begun.
    emptied : int
        Nothing waits or runs, and nothing had been asked after the request of this number. It
        comes after all answers; :meth:`is_latest` tells whether it still holds.
    """

    answered = Signal(object)
    emptied = Signal(int)
    _empty = Signal(int)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        # Queued even from the thread that listens: it must not overtake answers on their way.
        self._empty.connect(self.emptied, Qt.ConnectionType.QueuedConnection)
        self._number = 0
        self._latest: dict[str, int] = {}
        self._waiting: dict[str, _Job] = {}
        self._running: _Job | None = None
        self._stopped = False
        self._changed = threading.Condition()
        self._thread = threading.Thread(target=self._run, name="stocklight-worker", daemon=True)
        self._thread.start()

    def ask(
        self,
        slot: str,
        work: Callable[[Cancel], Any],
        *,
        urgency: int = 5,
        patient: bool = False,
        steady: bool = False,
    ) -> int:
        """Ask for ``work``; returns the number its answer will carry.

        Parameters
        ----------
        slot
            Only the latest request of a slot is kept.
        work
            Called on the worker's thread with a :class:`Cancel`.
        urgency
            Smaller goes first.
        patient
            Gives way to anything that is not patient, and is begun again.
        steady
            Once begun, a newer request of the slot does not call it off.
        """
        with self._changed:
            number = self._next_number()
            self._latest[slot] = number
            self._waiting[slot] = _Job(slot, number, urgency, patient, steady, work)
            running = self._running
            if running is not None:
                if running.slot == slot:
                    running.again = False
                    if not running.steady:
                        running.cancel.set()
                elif running.patient and not patient and not running.cancel.is_set():
                    running.again = True
                    running.cancel.set()
            self._changed.notify_all()
        return number

    def drop(self, *slots: str) -> None:
        """Nobody waits for these slots any more."""
        with self._changed:
            for slot in slots:
                self._latest[slot] = self._next_number()
                self._waiting.pop(slot, None)
                if self._running is not None and self._running.slot == slot:
                    self._running.again = False
                    self._running.cancel.set()
        self._tell_if_empty()

    def is_current(self, answer: Answer) -> bool:
        """Whether nothing newer was asked in the answer's slot."""
        with self._changed:
            return self._latest.get(answer.slot) == answer.number

    def waiting_slots(self) -> frozenset[str]:
        """The slots that wait or run."""
        with self._changed:
            running = () if self._running is None else (self._running.slot,)
            return frozenset((*self._waiting, *running))

    def close(self, finish: Collection[str] = ()) -> None:
        """Call everything off and wait for the thread to end.

        Parameters
        ----------
        finish
            Slots whose work is done to the end all the same; nobody hears of it.
        """
        with self._changed:
            self._stopped = True
            for slot in self._waiting.keys() - set(finish):
                del self._waiting[slot]
            if self._running is not None and self._running.slot not in finish:
                self._running.again = False
                self._running.cancel.set()
            self._changed.notify_all()
        self._thread.join()

    def is_latest(self, number: int) -> bool:
        """Whether nothing has been asked after the request of this number."""
        with self._changed:
            return number == self._number

    def _next_number(self) -> int:
        self._number += 1
        return self._number

    def _tell_if_empty(self) -> None:
        with self._changed:
            empty = self._running is None and not self._waiting
            number = self._number
        if empty:
            self._empty.emit(number)

    def _next(self) -> _Job | None:
        """The most urgent job, waiting for one if need be; None when it is time to end."""
        with self._changed:
            while not self._waiting and not self._stopped:
                self._changed.wait()
            if not self._waiting:
                return None
            job = min(self._waiting.values(), key=lambda job: (job.urgency, job.number))
            del self._waiting[job.slot]
            self._running = job
            return job

    def _run(self) -> None:
        while (job := self._next()) is not None:
            answer: Answer | None
            try:
                answer = Answer(job.slot, job.number, value=job.work(job.cancel))
            except Cancelled:
                answer = None
            except Exception as error:  # shown in the window's bar, never lost
                answer = Answer(job.slot, job.number, error=error)
            with self._changed:
                stopped = self._stopped
                if answer is None and job.again and job.slot not in self._waiting and not stopped:
                    job.cancel, job.again = Cancel(), False
                    self._waiting[job.slot] = job
            wanted = answer is not None and (
                self.is_current(answer) or (job.steady and not job.cancel.is_set())
            )
            if stopped and answer is not None and answer.error is not None:
                _log.warning("%s failed while the window closed: %s", job.slot, answer.error)
            if answer is not None and wanted and not stopped:
                if answer.error is not None:
                    _log.info("%s failed", job.slot, exc_info=answer.error)
                self.answered.emit(answer)
            with self._changed:
                self._running = None  # only now: "empty" must come after the answer
            if not stopped:
                self._tell_if_empty()
