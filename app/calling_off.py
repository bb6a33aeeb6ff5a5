"""What a person can call off, and begin again.

A part of :class:`~app.session.Session`. Whatever has been changed stays as it is shown: what was
on its way is given up, and the sentence says what hangs there.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from proofing.errors import Cancelled
from proofing.language import tr

if TYPE_CHECKING:
    from app.session import Session

LOOKING = frozenset({"fine", "prove", "advise", "glance"})
"""What is done at rest, in steps; a person can have it done later."""
STOPPABLE = LOOKING | {
    "open", "check", "keep", "save", "sheet", "beside", "tones", "bake", "lift", "ease",
    "compare", "verdict",
}  # fmt: skip


class CallingOff:
    """Whether the work at rest has been called off.

    Attributes
    ----------
    halted
        Nothing is looked for until the print changes, or until a person wants it.
    """

    def __init__(self, session: Session) -> None:
        self._session = session
        self.halted = False

    def stop(self) -> None:
        """Call off what is being worked out."""
        session = self._session
        found = session.worker.waiting_slots() & STOPPABLE
        looking = bool(found & LOOKING) or session.is_waiting_for_rest
        if "bake" in found and session.baked is None:
            found -= {"bake"}  # the first print: there is none to stay with
        writing = session.desk.stop()
        if not found and not looking and not writing:
            return
        self.halted = looking or "bake" in found
        session.saves.stop()
        session.worker.drop(*found)
        for slot in found:
            session.give_up(slot, Cancelled())
        if self.halted:
            session.rest_no_more()
            said = tr("Stopped. What is lost has not been looked for to the end.")
            if writing:
                not_written = tr("The file that was asked for is not written.")
                said = f"{said} {not_written}"
            session.offer(said, "go_on", "prove")
        elif writing:
            session.tell(tr("Stopped. The file is not written."), "save")
        elif "save" in found:
            session.tell(tr("Stopped. The pair is not saved."), "save")
        else:
            session.tell(tr("Stopped. What you see is as it was before."), "stopped")
        session.proved.emit()

    def go_on(self) -> None:
        """Look for what is lost after all."""
        if self.halted:
            self.halted = False
            self._session.refine()
            self._session.proved.emit()
