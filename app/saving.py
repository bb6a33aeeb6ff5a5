"""Pairs written as pictures: each that was asked for is written, and said when it is there.

A part of :class:`~app.session.Session`.
"""

from __future__ import annotations

import logging
from collections import deque
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from app.tools import save_pair
from proofing.errors import ProofingError
from proofing.language import tr

if TYPE_CHECKING:
    from app.session import Session
    from app.state import Facts, Setting
    from app.tools import Tools
    from app.worker import Cancel
    from proofing.photograph import Photograph

SLOT = "save"

_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Pair:
    """What the window shows, as a picture."""

    path: str
    tools: Tools
    photograph: Photograph
    setting: Setting
    kept: Setting | None
    facts: Facts

    def write(self, cancel: Cancel | None = None) -> Path:
        return save_pair(
            self.path,
            self.tools,
            self.setting,
            self.photograph,
            cancel,
            kept=self.kept,
            facts=self.facts,
        )

    def said(self, written: Path) -> str:
        """That it is there."""
        return tr("Saved: {name}.", name=written.name)


class Saves:
    """What is to be written, one after the other, as it was shown when it was asked for."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._waiting: deque[Pair] = deque()
        self._now: Pair | None = None
        session.answer_with(SLOT, self._take, self._go_on)

    def ask(self, path: str) -> None:
        """Write what the window shows now."""
        session = self._session
        tools, photograph, state = session.tools, session.photograph, session.state
        if tools is None or photograph is None:
            return
        self._waiting.append(
            Pair(path, tools, photograph, state.setting, state.view.kept, state.facts)
        )
        if SLOT not in self._session.worker.waiting_slots():
            self._begin()

    def stop(self) -> None:
        """Write no more."""
        self._waiting.clear()

    def finish(self) -> None:
        """The window has gone and the worker with it: write what is still to be written."""
        while self._waiting:
            try:
                self._waiting.popleft().write()
            except ProofingError as error:  # no one is left to be told
                _log.warning("a file was not saved: %s", error)

    def _begin(self) -> None:
        if not self._waiting:
            return
        self._now = wanted = self._waiting.popleft()
        self._session.ask(SLOT, wanted.write)

    def _take(self, written: Path) -> None:
        if self._now is not None:
            self._session.tell(self._now.said(written), SLOT)
        self._begin()

    def _go_on(self, error: Exception) -> None:
        del error  # told already
        self._begin()
