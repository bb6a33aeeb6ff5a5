"""The tones of the print in sight, worked out while their page is open. A part of a session."""

from __future__ import annotations

from typing import TYPE_CHECKING

from proofing.findings.words import share_in_words

if TYPE_CHECKING:
    from app.session import Session
    from app.worker import Cancel
    from proofing.engine import Baked
    from proofing.proof import Tones


class PrintTones:
    """Follows the print.

    Attributes
    ----------
    found
        The tones; None while they are not known.
    """

    def __init__(self, session: Session) -> None:
        self._session = session
        self._open = False
        self._of: Baked | None = None
        self.found: Tones | None = None
        session.answer_with("tones", self._take)
        session.baked_changed.connect(self.follow)

    def watch(self, wanted: bool) -> None:
        """Whether anybody looks at them."""
        self._open = wanted
        if wanted:
            self.follow()
        else:
            self._session.worker.drop("tones")

    def follow(self) -> None:
        """The print may be another one."""
        session, baked = self._session, self._session.baked
        tools = session.tools
        if not self._open or baked is None or tools is None:
            return
        if self._of is not None and self._of.request is baked.request:
            return
        self._of = baked
        engine, request = tools.engine, baked.request

        def work(cancel: Cancel) -> Tones:
            from proofing.proof import tones_of

            return tones_of(engine, request, cancel)

        session.ask("tones", work)

    def _take(self, found: Tones) -> None:
        self.found = found
        self._session.toned.emit()


def wedge_in_words(tones: Tones) -> str:
    """Which steps of the grey scale look alike.

    The first step is black, the last one white; a run that holds one of them is an end.
    """
    if not tones.merged:
        return f"All {len(tones.steps)} steps can be told apart on this print in this room."
    said = []
    for first, last in tones.merged:
        what = "tones between"
        if first == 0:
            what = "the deepest shadows"
        elif last == len(tones.steps) - 1:
            what = "the lightest tones"
        said.append(f"Steps {first + 1} to {last + 1} look alike on this print: {what} merge.")
    return " ".join(said)


def ends_in_words(tones: Tones) -> str:
    """What the print has lost at both ends of the scale, as shares of the picture."""
    said = []
    if tones.lost_dark > 0.0:
        said.append(
            f"Greys darker than L* {tones.black_until_L:.0f} look like the print's black: "
            f"{share_in_words(tones.lost_dark)} of this picture is as dark."
        )
    if tones.lost_light > 0.0:
        said.append(
            f"Greys lighter than L* {tones.white_from_L:.0f} look like bare paper: "
            f"{share_in_words(tones.lost_light)} of this picture is as light."
        )
    if not said:
        said.append("No tone of this picture is lost at either end of the scale.")
    return " ".join(said)
