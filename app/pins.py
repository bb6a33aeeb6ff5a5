"""Points that stay measured while the print changes. A part of a session."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app.state.pins import letter
from app.tools import probe_at

if TYPE_CHECKING:
    from app.session import Session
    from app.worker import Cancel
    from proofing.engine import Baked, Probe
    from proofing.proof import Proof


@dataclass(frozen=True)
class PinReading:
    """What is measured at a point.

    Attributes
    ----------
    letter
        The point's name.
    x, y
        Where it is, image pixels.
    probe
        On the print.
    kept
        On the print that is kept beside it; None where there is none.
    """

    letter: str
    x: float
    y: float
    probe: Probe
    kept: Probe | None


class Pins:
    """Measures the points of :attr:`app.state.ViewState.pins` whenever the print changes.

    Attributes
    ----------
    readings
        What was measured last, one for each point.
    """

    def __init__(self, session: Session) -> None:
        self._session = session
        self.readings: tuple[PinReading, ...] = ()
        self._measured: tuple[object, ...] = ()
        session.answer_with("pins", self._take)
        session.changed.connect(self.measure)
        session.baked_changed.connect(self.measure)
        session.proved.connect(self.measure)

    def measure(self) -> None:
        """Measure anew what has changed."""
        session, pins = self._session, self._session.state.view.pins
        baked, tools, kept = session.baked, session.tools, session.beside.kept
        if not pins:
            if self.readings:
                session.worker.drop("pins")
                self._measured = ()
                self._take(())
            return
        if baked is None or tools is None or baked.request.photograph is not session.photograph:
            return
        proof = session.losses.proof
        wanted = (pins, baked, proof, kept)
        if len(wanted) == len(self._measured) and all(
            one is other or (i == 0 and one == other)
            for i, (one, other) in enumerate(zip(wanted, self._measured, strict=True))
        ):
            return
        self._measured = wanted
        engine = tools.engine

        def at(baked: Baked, x: float, y: float, proof: Proof | None) -> Probe:
            return probe_at(engine, baked, int(y), int(x), proof)

        def work(cancel: Cancel) -> tuple[PinReading, ...]:
            return tuple(
                PinReading(
                    letter(number), x, y,
                    at(baked, x, y, proof),
                    None if kept is None else at(kept.baked, x, y, kept.proof),
                )
                for number, (x, y) in enumerate(pins)
            )  # fmt: skip

        session.ask("pins", work)

    def _take(self, readings: tuple[PinReading, ...]) -> None:
        self.readings = readings
        self._session.pinned.emit()
