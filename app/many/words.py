"""What a run of many says: while it goes on, at its end, and when it was stopped."""

from __future__ import annotations

import shutil
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from app.terminal import Progress, print_table
from proofing.findings.words import share_in_words
from proofing.language import counted, tr
from proofing.ordering.summary import in_order, readable
from proofing.ordering.triage import Grade

_PIXELS_OF_NONE = 1_500_000
"""As many pixels' time a photograph takes whatever its size, about."""
_SURE_S = 4.0  # before so much time, and...
_SURE_SHARE = 0.02  # ...so much of the work, no time left is told
_MOST_LISTED = 12


class TimeLeft:
    """How long the rest will take, from how long it took so far.

    Parameters
    ----------
    pixels
        Of each photograph.
    clock
        Seconds.
    """

    def __init__(self, pixels: Sequence[int], clock: Callable[[], float] = time.monotonic) -> None:
        self._work = [count + _PIXELS_OF_NONE for count in pixels]
        self._shares = [0.0] * len(pixels)
        self._clock = clock
        self._start: float | None = None

    def tell(self, task: int, share: float) -> None:
        """One photograph has come so far, 0..1."""
        if self._start is None:  # the libraries are there, and work begins
            self._start = self._clock()
        self._shares[task] = max(share, self._shares[task])

    def seconds(self) -> float | None:
        """Seconds left; None while it is too early to tell."""
        if self._start is None:
            return None
        whole = sum(self._work)
        done = sum(w * s for w, s in zip(self._work, self._shares, strict=True))
        passed = self._clock() - self._start
        if passed < _SURE_S or done < _SURE_SHARE * whole:
            return None
        return passed * (whole - done) / done


def time_in_words(seconds: float) -> str:
    """A time that is left, as exact as it can be told.

    >>> [time_in_words(s) for s in (20, 50, 100, 3000, 8000)]
    ['less than half a minute left', 'about 1 min left', 'about 2 min left', 'about 50 min left', \
'about 2 h 15 min left']
    """
    if seconds < 30:
        return tr("less than half a minute left")
    minutes = max(1, round(seconds / 60))
    if minutes < 60:
        return tr("about {minutes} min left", minutes=minutes)
    hours, rest = divmod(5 * round(minutes / 5), 60)
    return tr("about {hours} h {rest} min left", hours=hours, rest=rest)


class Line:
    """The line on the terminal: how many are done, the time left, and which one is at hand."""

    def __init__(self, progress: Progress, time_left: TimeLeft, done: int, all: int) -> None:
        self._progress, self._time_left = progress, time_left
        self._done, self._all = done, all
        self._name = ""

    def tell(self, task: int, share: float, name: str, *, done: bool = False) -> None:
        """A photograph has come so far; the line is renewed."""
        self._time_left.tell(task, share)
        self._name = name
        self._done += done
        self.say()

    def interrupt(self, text: str) -> None:
        """Say something that stays, on a line of its own."""
        self._progress.say("")
        print(text, file=sys.stderr, flush=True)

    def say(self) -> None:
        """Renew the line."""
        seconds = self._time_left.seconds()
        left = time_in_words(seconds) if seconds is not None else tr("working")
        said = tr(
            "{done} of {all} · {left} · {name}",
            done=self._done, all=self._all, left=left, name=readable(self._name),
        )  # fmt: skip
        width = shutil.get_terminal_size().columns - 1
        self._progress.say(said if len(said) <= width else f"{said[: max(width - 1, 1)]}…")


def count_in_words(reports: Sequence[Mapping[str, Any]]) -> str:
    """How many photographs are in which class, and how many failed, which needs a look too.

    >>> needs, fine = {"grade": "needs"}, {"grade": "fine"}
    >>> files = [(None, needs), ("cut short", needs), (None, fine)]
    >>> count_in_words([{"error": error, "look": look} for error, look in files])
    '3 photographs: 2 need a look (1 of them failed), 1 is fine.'
    """
    failed = sum(report["error"] is not None for report in reports)
    of = {grade: sum(r["look"]["grade"] == grade.value for r in reports) for grade in Grade}
    needs = counted("{n} need a look", "{n} needs a look", of[Grade.NEEDS])
    if failed == of[Grade.NEEDS]:
        needs = counted("{n} failed and need a look", "{n} failed and needs a look", failed)
    elif failed:
        needs = tr("{needs} ({failed} of them failed)", needs=needs, failed=failed)
    classes = (
        (of[Grade.NEEDS], needs),
        (of[Grade.WORTH], counted("{n} are worth one", "{n} is worth one", of[Grade.WORTH])),
        (of[Grade.FINE], counted("{n} are fine", "{n} is fine", of[Grade.FINE])),
    )
    return tr(
        "{photographs}: {classes}.",
        photographs=counted("{n} photographs", "{n} photograph", len(reports)),
        classes=", ".join(words for number, words in classes if number),
    )


def print_choices(reports: Sequence[Mapping[str, Any]]) -> None:
    """A table of which stock suits which photograph best, against the one that is set."""
    rows = [
        (
            readable(Path(report["file"]).name),
            tr(choice["best"]),
            f"{choice['best_points']:.1f}",
            "" if choice["chosen_points"] is None else f"{choice['chosen_points']:.1f}",
        )
        for report in reports
        if (choice := report.get("choice")) and choice["best"] is not None
    ]
    if rows:
        print_table(
            ("file", tr("suits best"), tr("points"), tr("as set")),
            rows[:_MOST_LISTED],
            [""] * min(len(rows), _MOST_LISTED),
            tr("As set: the points of the stock of this run. Under one point is a tie."),
        )
        print()


def print_what_needs_a_look(reports: Sequence[Mapping[str, Any]]) -> None:
    """A table of what is on top."""
    listed = [r for r in in_order(reports) if r["look"]["grade"] != Grade.FINE.value]
    if not listed:
        return
    shown = listed[:_MOST_LISTED]
    more = len(listed) - len(shown)
    print_table(
        (tr("look"), "file", tr("detail lost"), tr("reason")),
        [
            (
                report["look"]["words"],
                readable(Path(report["file"]).name),
                "" if report["error"] else share_in_words(report["detail_lost_share"]),
                readable(report["error"] or report["look"]["reason"]),
            )
            for report in shown
        ],
        [""] * len(shown),
        tr("What needs a look first stands on top; the summary says how that is weighed.")
        + (counted(" {n} more are in it.", " {n} more is in it.", more) if more else ""),
    )
