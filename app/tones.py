"""The tones of the print in sight, worked out while their page is open. A part of a session."""

from __future__ import annotations

from typing import TYPE_CHECKING

from proofing.findings.words import share_in_words

if TYPE_CHECKING:
    from app.session import Session
    from app.worker import Cancel
    from proofing.proof import Tones
    from proofing.request import ProofRequest


class PrintTones:
    """Follows the print.

    Attributes
    ----------
    found
        The tones, of the print before until there are newer ones; None while there are none.
    failed
        Whether those of the print in sight could not be worked out.
    """

    def __init__(self, session: Session) -> None:
        self._session = session
        self._open = False
        self._asked: ProofRequest | None = None  # of what is known, or on its way
        self._under_way = False
        self.found: Tones | None = None
        self.failed = False
        session.answer_with("tones", self._take, self._give_up)
        session.baked_changed.connect(self.follow)

    def watch(self, wanted: bool) -> None:
        """Whether anybody looks at them."""
        self._open = wanted
        if wanted:
            self.follow()
            return
        self._session.worker.drop("tones")
        if self._under_way:  # it will be asked for anew
            self._asked, self._under_way = None, False

    def follow(self) -> None:
        """The print may be another one."""
        session, baked = self._session, self._session.baked
        tools = session.tools
        if not self._open or baked is None or tools is None:
            return
        engine, request = tools.engine, baked.request
        if self._asked is request:
            return
        self._asked, self._under_way = request, True

        def work(cancel: Cancel) -> Tones:
            from proofing.proof import tones_of

            return tones_of(engine, request, cancel)

        session.ask("tones", work)

    def _take(self, found: Tones) -> None:
        self.found, self.failed, self._under_way = found, False, False
        self._session.toned.emit()

    def _give_up(self, error: Exception) -> None:
        """The bar tells why; what is known is of another print."""
        del error
        self.found, self.failed = None, True
        self._asked, self._under_way = None, False
        self._session.toned.emit()


def wedge_in_words(tones: Tones) -> str:
    """Which steps of the grey scale cannot be told from their neighbours.

    The first step is black, the last one white; a run that holds one of them is an end.
    """
    count = len(tones.steps)
    if not tones.merged:
        return f"All {count} steps can be told apart on this print in this room."
    return " ".join(_run_in_words(first + 1, last + 1, count) for first, last in tones.merged)


def _run_in_words(first: int, last: int, count: int) -> str:
    if first == 1 and last == count:
        return f"All {count} steps run together on this print: no edge shows between neighbours."
    if first == 1:
        return (
            f"Steps {first} to {last} of {count} run together on this print: "
            "no edge shows between neighbours in the deepest shadows."
        )
    if last == count:
        return (
            f"Steps {first} to {last} of {count} run together on this print: "
            "no edge shows between neighbours in the lightest tones."
        )
    return (
        f"Steps {first} to {last} of {count} run together on this print: "
        "no edge shows between neighbours."
    )


def range_in_words(tones: Tones) -> str:
    """What the stock can hold."""
    return f"The stock prints from L* {tones.black_L:.0f} to L* {tones.white_L:.0f}, bare paper."


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
            f"Greys lighter than L* {tones.white_from_L:.0f} look like the print's white: "
            f"{share_in_words(tones.lost_light)} of this picture is as light."
        )
    if not said:
        said.append("No tone of this picture is lost at either end of the scale.")
    return " ".join(said)
