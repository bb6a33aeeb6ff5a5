"""Several processes that take one task after the other; one that dies costs its task only.

Made of plain processes and pipes: the pools of the standard library give up altogether when a
worker dies, and cannot be stopped in the midst of a task.
"""

from __future__ import annotations

import multiprocessing
import os
import queue
import signal
import sys
import threading
import time
import traceback
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from typing import Any, NoReturn

Tell = Callable[[float], None]
Work = Callable[[Any, Tell], Any]
"""Does one task and returns what came of it; told how to tell its share done. It never raises."""

THREADS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")
"""Of the linear algebra libraries: one thread each, as the processes are many."""
_LOOK_S = 1.0  # between two looks at the clock while nothing comes
_GRACE_S = 8.0  # for workers to tidy up when they are stopped


@dataclass(frozen=True)
class Event:
    """Something that a worker says of a task.

    Attributes
    ----------
    task
        Its place among the tasks; -1 where a second has passed and nothing else.
    kind
        ``'began'``, ``'share'``, ``'done'``, ``'died'`` or ``'tick'``.
    value
        The share done, what came of it, or the exit code of the process that died.
    """

    task: int
    kind: str
    value: Any = None


@dataclass
class _Worker:
    process: Any
    connection: Connection
    task: int | None = None


class Pool:
    """Processes of one kind of work.

    Parameters
    ----------
    make
        Called once in each process, with `spec`: imports what is heavy and returns the work.
    spec
        Whatever it needs; pickled.
    processes
        How many.
    """

    def __init__(self, make: Callable[[Any], Work], spec: Any, processes: int) -> None:
        self._make, self._spec, self._most = make, spec, processes
        self._context = multiprocessing.get_context("spawn")
        self._workers: list[_Worker] = []

    def __enter__(self) -> Pool:
        return self

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        if kind is None:
            self._close()
        else:
            self.stop()

    def run(self, tasks: Sequence[Any]) -> Iterator[Event]:
        """Have all tasks done; what is said of them comes as it comes."""
        waiting = list(range(len(tasks)))
        waiting.reverse()
        while waiting or any(worker.task is not None for worker in self._workers):
            while waiting and (worker := self._idle()) is not None:
                task = waiting.pop()
                worker.task = task
                with suppress(OSError):  # it has just died, which is seen below
                    worker.connection.send((task, tasks[task]))
                yield Event(task, "began")
            busy = [worker for worker in self._workers if worker.task is not None]
            ready = wait([worker.connection for worker in busy], _LOOK_S)
            if not ready:
                yield Event(-1, "tick")
            for worker in busy:
                if worker.connection in ready:
                    yield self._heard(worker)

    def _heard(self, worker: _Worker) -> Event:
        assert worker.task is not None
        task = worker.task
        try:
            kind, value = worker.connection.recv()
        except (EOFError, OSError):
            self._workers.remove(worker)
            worker.process.join(_GRACE_S)
            worker.connection.close()
            return Event(task, "died", worker.process.exitcode)
        if kind == "done":
            worker.task = None
        return Event(task, kind, value)

    def _idle(self) -> _Worker | None:
        for worker in self._workers:
            if worker.task is None:
                return worker
        if len(self._workers) >= self._most:
            return None
        ours, theirs = self._context.Pipe()
        process = self._context.Process(
            target=_child, args=(theirs, self._make, self._spec), daemon=True
        )
        with _quiet_start():
            process.start()
        theirs.close()
        self._workers.append(_Worker(process, ours))
        return self._workers[-1]

    def stop(self) -> None:
        """End all processes now; what they were writing is taken away by them."""
        for worker in self._workers:
            worker.process.terminate()
        self._join()

    def _close(self) -> None:
        for worker in self._workers:
            with suppress(OSError):
                worker.connection.send(None)
        self._join()

    def _join(self) -> None:
        end = time.monotonic() + _GRACE_S
        for worker in self._workers:
            worker.process.join(max(0.1, end - time.monotonic()))
            if worker.process.is_alive():
                worker.process.kill()
                worker.process.join()
            worker.connection.close()
        self._workers.clear()


@contextmanager
def _quiet_start() -> Iterator[None]:
    """Let a process begin with the keyboard's interrupt held back, so that it does not end in the
    midst of its imports with a traceback, and with one thread for linear algebra."""
    before = {name: os.environ.get(name) for name in THREADS}
    os.environ.update(dict.fromkeys(THREADS, "1"))
    held = None
    if hasattr(signal, "pthread_sigmask"):
        held = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value
        if held is not None:
            signal.pthread_sigmask(signal.SIG_SETMASK, held)


# ---- in the process ------------------------------------------------------------------------


class _Ended(BaseException):
    """The parent wants this process to end, or is gone."""


def _end(*_: object) -> NoReturn:
    raise _Ended


def _child(connection: Connection, make: Callable[[Any], Work], spec: Any) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent hears it, and says so
    signal.signal(signal.SIGTERM, _end)
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})
    tasks: queue.SimpleQueue[Any] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(connection, tasks), daemon=True).start()
    speaking = threading.Lock()

    def say(kind: str, value: Any) -> None:
        with speaking, suppress(BrokenPipeError):
            connection.send((kind, value))

    try:
        work = make(spec)
        while (given := tasks.get()) is not None:
            say("done", work(given[1], lambda share: say("share", share)))
    except _Ended:
        pass
    except Exception:
        traceback.print_exc()
        raise
    finally:
        with suppress(Exception):
            sys.stderr.flush()
        os._exit(0 if sys.exc_info()[0] is None else 1)  # no thread is waited for


def _listen(connection: Connection, tasks: queue.SimpleQueue[Any]) -> None:
    try:
        while True:
            tasks.put(connection.recv())
    except (EOFError, OSError):  # the parent is gone, maybe killed
        os.kill(os.getpid(), signal.SIGTERM)
