"""The tones of the print in sight, worked out while their page is open. A part of a session."""

from __future__ import annotations

from typing import TYPE_CHECKING

from proofing.findings.words import share_in_words
from proofing.language import tr

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
        return tr("All {count} steps can be told apart on this print in this room.", count=count)
    return " ".join(_run_in_words(first + 1, last + 1, count) for first, last in tones.merged)


def _run_in_words(first: int, last: int, count: int) -> str:
    if first == 1 and last == count:
        return tr(
            "All {count} steps run together on this print: no edge shows between neighbours.",
            count=count,
        )
    if first == 1:
        return tr(
            "Steps {first} to {last} of {count} run together on this print: no edge shows "
            "between neighbours in the deepest shadows.",
            first=first,
            last=last,
            count=count,
        )
    if last == count:
        return tr(
            "Steps {first} to {last} of {count} run together on this print: no edge shows "
            "between neighbours in the lightest tones.",
            first=first,
            last=last,
            count=count,
        )
    return tr(
        "Steps {first} to {last} of {count} run together on this print: no edge shows "
        "between neighbours.",
        first=first,
        last=last,
        count=count,
    )


def range_in_words(tones: Tones) -> str:
    """What the stock can hold."""
    return tr(
        "The stock prints from L* {black_L:.0f} to L* {white_L:.0f}, bare paper.",
        black_L=tones.black_L,
        white_L=tones.white_L,
    )


def ends_in_words(tones: Tones) -> str:
    """What the print has lost at both ends of the scale, as shares of the picture."""
    said = []
    if tones.lost_dark > 0.0:
        said.append(
            tr(
                "Greys darker than L* {black_until_L:.0f} look like the print's black: "
                "{lost_dark} of this picture is as dark.",
                black_until_L=tones.black_until_L,
                lost_dark=share_in_words(tones.lost_dark),
            )
        )
    if tones.lost_light > 0.0:
        said.append(
            tr(
                "Greys lighter than L* {white_from_L:.0f} look like the print's white: "
                "{lost_light} of this picture is as light.",
                white_from_L=tones.white_from_L,
                lost_light=share_in_words(tones.lost_light),
            )
        )
    if not said:
        said.append(tr("No tone of this picture is lost at either end of the scale."))
    return " ".join(said)
