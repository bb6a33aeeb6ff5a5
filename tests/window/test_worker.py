"""The one background thread. Everything is ordered by events; nothing sleeps."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest

from app.worker import Answer, Cancel, Worker
from proofing.errors import Cancelled

PATIENCE_S = 30.0


@pytest.fixture
def worker(qtbot) -> Iterator[Worker]:
    made = Worker()
    yield made
    made.close()


class Gate:
    """Work that says when it has begun, and goes on when it is told or called off."""

    def __init__(self, value: object = None) -> None:
        self.begun, self.go, self.runs, self.value = threading.Event(), threading.Event(), 0, value
        self.cancel: Cancel | None = None

    def __call__(self, cancel: Cancel) -> object:
        self.runs += 1
        self.cancel = cancel
        self.begun.set()
        while not self.go.wait(0.001):
            if cancel():
                raise Cancelled
        return self.value


def collect(worker: Worker) -> list[Answer]:
    """All answers from now on."""
    answers: list[Answer] = []
    worker.answered.connect(answers.append)
    return answers


def finish(worker: Worker, qtbot) -> None:
    """Until nothing waits and nothing runs, and all answers are here."""
    with qtbot.waitSignal(worker.emptied, check_params_cb=worker.is_latest, timeout=30_000):
        worker.drop("nothing of that name")


def test_an_answer_carries_the_number_of_its_request(worker, qtbot):
    """One request, one answer, on the thread that asked, from a thread that did not."""
    answers, threads = collect(worker), []
    number = worker.ask("a", lambda cancel: threads.append(threading.current_thread().name) or 7)
    finish(worker, qtbot)
    assert [(answers[0].number, answers[0].value)] == [(number, 7)]
    assert threads == ["stocklight-worker"]


def test_the_latest_of_a_slot_wins(worker, qtbot):
    """What waits is replaced, what runs is called off; only the last is answered."""
    answers, first = collect(worker), Gate("first")
    worker.ask("a", first)
    assert first.begun.wait(PATIENCE_S)
    ran: list[int] = []
    for n in range(20):
        worker.ask("a", lambda cancel, n=n: ran.append(n) or n)
    finish(worker, qtbot)
    assert first.cancel.is_set()
    assert [answer.value for answer in answers] == [19]
    assert ran[-1] == 19
    assert len(ran) < 20


def test_an_answer_that_comes_late_is_not_current(worker, qtbot):
    """Work that cannot be called off ends after a newer request: its answer is not emitted."""
    answers, gate = collect(worker), threading.Event()
    begun = threading.Event()
    worker.ask("a", lambda cancel: begun.set() or gate.wait(PATIENCE_S) or "old")
    assert begun.wait(PATIENCE_S)
    worker.ask("a", lambda cancel: "new")
    gate.set()
    finish(worker, qtbot)
    assert [answer.value for answer in answers] == ["new"]


def test_steady_work_is_carried_through(worker, qtbot):
    """A pan asks for view after view: the one that runs is shown, those between are not."""
    answers, first = collect(worker), Gate("first")
    worker.ask("a", first, steady=True)
    assert first.begun.wait(PATIENCE_S)
    for n in range(5):
        worker.ask("a", lambda cancel, n=n: n, steady=True)
    first.go.set()
    finish(worker, qtbot)
    assert [answer.value for answer in answers] == ["first", 4]


def test_the_more_urgent_goes_first(worker, qtbot):
    """Among those that wait."""
    answers, gate = collect(worker), Gate()
    worker.ask("gate", gate)
    assert gate.begun.wait(PATIENCE_S)
    for slot, urgency in (("c", 7), ("a", 1), ("b", 3)):
        worker.ask(slot, lambda cancel, slot=slot: slot, urgency=urgency)
    gate.go.set()
    finish(worker, qtbot)
    assert [answer.slot for answer in answers] == ["gate", "a", "b", "c"]


def test_patient_work_gives_way_and_begins_again(worker, qtbot):
    """The fine bake never holds up a pan, and is done all the same."""
    answers, fine = collect(worker), Gate("fine")
    worker.ask("fine", fine, urgency=6, patient=True)
    assert fine.begun.wait(PATIENCE_S)
    with qtbot.waitSignal(worker.answered, timeout=30_000):
        worker.ask("view", lambda cancel: "view", urgency=1)
    fine.go.set()
    finish(worker, qtbot)
    assert [answer.value for answer in answers] == ["view", "fine"]
    assert fine.runs == 2


def test_a_failure_is_an_answer(worker, qtbot, caplog):
    """The error comes with the answer, and the thread lives on."""
    answers = collect(worker)

    def fail(cancel: Cancel) -> None:
        raise KeyError("nothing there")

    worker.ask("a", fail)
    worker.ask("b", lambda cancel: "still here")
    finish(worker, qtbot)
    assert isinstance(answers[0].error, KeyError)
    assert answers[1].value == "still here"


def test_dropped_work_is_not_answered(worker, qtbot):
    """Running or waiting."""
    answers, gate = collect(worker), Gate()
    worker.ask("a", gate)
    assert gate.begun.wait(PATIENCE_S)
    worker.ask("b", lambda cancel: "b")
    worker.drop("a", "b")
    finish(worker, qtbot)
    assert answers == []


def test_dropped_work_is_not_begun_again_for_something_urgent(worker, qtbot):
    """Patient work that was called off for good stays so, whatever is asked next."""
    begun, runs = [], threading.Event()

    def slow(cancel: Cancel) -> None:
        begun.append(1)
        runs.set()
        while not cancel():
            cancel.wait(0.005)
        raise Cancelled

    worker.ask("slow", slow, patient=True)
    assert runs.wait(PATIENCE_S)
    worker.drop("slow")
    with qtbot.waitSignal(worker.emptied, timeout=30_000):
        worker.ask("urgent", lambda cancel: None)
    assert begun == [1]


def test_closing_waits_for_the_thread(qtbot):
    """Work that runs is called off, work that waits never begins."""
    worker, gate, after = Worker(), Gate(), Gate()
    worker.ask("a", gate)
    assert gate.begun.wait(PATIENCE_S)
    worker.ask("b", after)
    worker.close()
    assert not worker._thread.is_alive()
    assert (gate.runs, after.runs) == (1, 0)
