"""The print that is kept and hangs where the photograph does. A part of a session."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from app.kept import KeptPrint
from app.state import build_request
from app.work import NODES_RESTING, colour_part

if TYPE_CHECKING:
    from app.session import Session
    from app.worker import Cancel
    from proofing.proof import Proof


class Beside:
    """Hangs the print of :attr:`app.state.ViewState.kept`, or takes it down.

    Attributes
    ----------
    kept
        What hangs there; None for the photograph itself.
    """

    def __init__(self, session: Session) -> None:
        self._session = session
        self.kept: KeptPrint | None = None
        session.answer_with("beside", self._take, self._give_up)

    def hang(self) -> None:
        """Hang what the state says."""
        session = self._session
        session.worker.drop("beside")
        wanted, photograph, tools = session.state.view.kept, session.photograph, session.tools
        if wanted is None or photograph is None or tools is None:
            self._take(None)
            return
        baked = session.baked
        if baked is not None and session.baked_of == (colour_part(wanted), photograph.key):
            self._take(KeptPrint(wanted, baked, session.losses.marked))
            if baked.nodes >= NODES_RESTING:
                return
        elif self.kept is not None and self.kept.baked.request.photograph is not photograph:
            self._take(None)

        def work(cancel: Cancel) -> KeptPrint:
            request = build_request(wanted, tools.catalogue, photograph)
            return KeptPrint(wanted, tools.engine.bake(request, NODES_RESTING, cancel))

        session.ask("beside", work)

    def note_proof(self, proof: Proof) -> None:
        """What is lost on the print in force is known: on the kept one too if it is the same."""
        kept = self.kept
        if kept is not None and colour_part(kept.setting) == colour_part(
            self._session.state.setting
        ):
            self.kept = replace(kept, proof=proof)

    def _take(self, kept: KeptPrint | None) -> None:
        was = self.kept
        if kept is not None and was is not None and was.setting == kept.setting:
            same = was.baked.request.photograph is self._session.photograph
            kept = replace(kept, proof=kept.proof or (was.proof if same else None))
        self.kept = kept
        if kept is not was:
            self._session.baked_changed.emit()
            self._session.sight.draw()

    def _give_up(self, error: Exception) -> None:
        """Such as a stock's file that is gone since last time."""
        del error
        self._session.become(self._session.state.with_view(kept=None))
