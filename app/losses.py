"""What is lost on the print of a session: looked for in steps, gone to, and tried against.

A part of :class:`~app.session.Session`, which tells it what the worker has found.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from app.memory import MOST_COMBINATIONS, as_combination, newest_first
from app.state import Setting, Trial, build_request, trial_in_words
from app.tools import ease_needed, glance_at, lift_needed, prover_of
from app.work import colour_part
from proofing.errors import SettingError
from proofing.findings.kinds import Kind
from proofing.findings.stage import Stage

if TYPE_CHECKING:
    from app.session import Session
    from app.worker import Cancel
    from proofing.findings.advice import Advice
    from proofing.findings.finding import Finding
    from proofing.ordering.correcting import EaseNeeded, LiftNeeded
    from proofing.proof import Proof, Prover


class Losses:
    """The proof of what is shown, and the advice that is followed.

    Attributes
    ----------
    proof
        What is lost; None while it is out of date.
    marked
        The proof whose marks are drawn, until there are newer ones: nothing blinks.
    """

    def __init__(self, session: Session) -> None:
        self._session = session
        self.proof: Proof | None = None
        self.marked: Proof | None = None
        self._prover: Prover | None = None
        self._trial: Trial | None = None
        self._tried_at: Finding | None = None  # the one whose advice is tried
        self._came_back: Finding | None = None  # to be gone to again once it is found again
        session.answer_with("glance", self._take_glance)
        session.answer_with("prove", self._take_prove)
        session.answer_with("advise", self._take_advise)
        session.answer_with("lift", self._take_needed)
        session.answer_with("ease", self._take_needed)

    # ---- looking

    def forget(self) -> None:
        """The print has changed: what was found is out of date."""
        self._session.worker.drop("prove", "glance", "advise")
        if self.proof is not None:
            self.proof = None
            self._session.proved.emit()

    def glance(self) -> None:
        """What to expect, from a reduced copy, before the scan."""
        session = self._session
        tools, baked = session.tools, session.baked
        if tools is None or baked is None or self.proof is not None:
            return
        engine, request = tools.engine, baked.request
        session.ask("glance", lambda cancel: glance_at(engine, request, cancel), patient=True)

    def look(self) -> None:
        """The scan of the whole picture, then the advice."""
        session = self._session
        tools, baked = session.tools, session.baked
        if tools is None or baked is None:
            return
        if self.proof is None or self.proof.stage is Stage.PROVISIONAL:
            self._prover = prover = prover_of(tools, baked.request)
            session.ask(
                "prove",
                lambda cancel: prover.scan(cancel, session.progressed.emit),
                patient=True,
            )
        elif (asked := self._prover) is not None:
            session.ask(
                "advise",
                lambda cancel: asked.advise(cancel, session.progressed.emit),
                patient=True,
            )

    @property
    def are_complete(self) -> bool:
        """Whether nothing more is to be found out about what is shown."""
        return self.proof is not None and self.proof.is_complete

    def _take_glance(self, proof: Proof) -> None:
        if self.proof is None:
            self.take_stage(proof)

    def _take_prove(self, proof: Proof) -> None:
        self._session.first_time = False
        self.take_stage(proof)
        self._session.refine()

    def _take_advise(self, proof: Proof) -> None:
        session = self._session
        self.take_stage(proof)
        hung = as_combination(session.state.setting)
        session.combinations = newest_first(session.combinations, hung, MOST_COMBINATIONS)

    def take_stage(self, proof: Proof) -> None:
        """A proof has come a step further; one of another setting is let go."""
        session = self._session
        if session.baked is None or proof.request is not session.baked.request:
            return
        self._carry_choice(proof)
        session.beside.note_proof(proof)
        redrawn = self.marked is None or self.marked.maps is not proof.maps
        self.proof = self.marked = proof
        self._answer_trial(proof)
        self.count()
        session.proved.emit()
        if redrawn:
            session.sight.draw()

    def _carry_choice(self, proof: Proof) -> None:
        """A place that was gone to stays chosen as long as it is found: the numbers mean other
        places now."""
        chosen, came_back = self.finding, self._came_back
        if self.marked is not None and self.marked.request is not proof.request:
            chosen = None
        if came_back is not None and proof.stage is not Stage.PROVISIONAL:
            chosen, self._came_back = chosen or came_back, None
        at = None
        if chosen is not None:
            shown = proof.shown(self._session.state.setting.marks)
            alike = (
                i for i, found in enumerate(shown)
                if (found.kind, found.region.where) == (chosen.kind, chosen.region.where)
            )  # fmt: skip
            at = next(alike, None)
        self._session.state = self._session.state.with_view(finding=at)

    # ---- what is found

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What is lost where, of the kinds that are shown, the worst first; those of the setting
        before until there are newer ones, so that nothing blinks."""
        proof, shown = self.marked, self._session.state.setting.marks
        if proof is None or proof.request.photograph is not self._session.photograph:
            return ()
        return proof.shown(shown)

    @property
    def finding(self) -> Finding | None:
        """The one that is gone to."""
        findings, at = self.findings, self._session.state.view.finding
        return None if at is None or at >= len(findings) else findings[at]

    def go_to(self, number: int | None) -> None:
        """Go to a finding with both pictures; None leaves it."""
        if number is None:
            self._session.run("leave_finding")
        else:
            self._session.become(self._session.state.with_view(finding=number))

    def strengthen(self, strength: float) -> None:
        """Draw marks more or less strongly."""
        self._session.become(self._session.state.with_view(mark_strength=strength))

    @property
    def hidden(self) -> tuple[Finding, ...]:
        """Those of kinds whose marks are off, of the same proof."""
        proof, shown = self.marked, self._session.state.setting.marks
        if proof is None or proof.request.photograph is not self._session.photograph:
            return ()
        return tuple(found for found in proof.findings if found.kind not in shown)

    @property
    def shares(self) -> Mapping[Kind, float]:
        """Share of the picture by kind, of the proof that :attr:`findings` are of; may be empty."""
        return {} if self.marked is None else _shares(self.marked)

    def show_kinds(self, kinds: frozenset[Kind]) -> None:
        """Turn some marks on again."""
        self._session.change(marks=self._session.state.setting.marks | kinds)

    # ---- trying what would help

    @property
    def trial(self) -> Trial | None:
        """The advice that was followed last, while nothing else has been changed since."""
        trial = self._trial
        return trial if trial is not None and trial.stands_in(self._session.state) else None

    def follow(self, advice: Advice, kind: Kind) -> None:
        """Do what an advice says, where it is a setting; one undo takes it back.

        Parameters
        ----------
        advice
            What would help.
        kind
            The loss that it would help against: :attr:`trial` tells what becomes of it.
        """
        if advice.setting is None or self.proof is None:
            return  # without a proof the advice is of another setting
        name, value = advice.setting
        field = {"illuminance_lux": "illuminance"}.get(name, name)
        values: dict[str, Any] = {field: value}
        before, proof = self._session.state.setting, self.proof
        known = None if proof is None or proof.stage is Stage.PROVISIONAL else _shares(proof)
        try:
            after = before.change(**values)
        except SettingError as error:
            self._session.fail(error)
            return
        if after != before:
            words = trial_in_words(field, after)
            self._trial = Trial(kind, words, before, after, known)
            self._tried_at = self.finding
        self._session.change(**values)

    def lift_as_needed(self) -> None:
        """Lift the shadows as far as this print needs, and say what that brings."""
        self._correct("lift", lift_needed)

    def ease_as_needed(self) -> None:
        """Ease strong colours in as far as this print needs, and say what that brings."""
        self._correct("ease", ease_needed)

    def _correct(self, slot: str, find: Callable[..., LiftNeeded | EaseNeeded]) -> None:
        session, of = self._session, self._session.state.setting
        tools, photograph = session.tools, session.photograph
        if tools is None or photograph is None or session.is_another_coming:
            return

        def work(cancel: Cancel) -> tuple[str, Setting, LiftNeeded | EaseNeeded]:
            request = build_request(of, tools.catalogue, photograph)  # not of the print before
            return slot, of, find(tools.engine, request, cancel, session.progressed.emit)

        session.ask(slot, work)

    def _take_needed(self, found: tuple[str, Setting, LiftNeeded | EaseNeeded]) -> None:
        slot, of, needed = found
        session = self._session
        if session.state.setting.change(marks=of.marks) != of:
            return  # another print hangs there by now
        values: dict[str, Any] = {needed.field: needed.amount}
        session.change(**values)
        session.tell(needed.sentence, slot)

    def take_back(self) -> None:
        """Undo the advice that was followed last, and nothing else."""
        if self.trial is not None:
            self._trial = None
            self._came_back = self._tried_at
            self._session.run("undo")

    def dismiss(self) -> None:
        """Keep what an advice has brought and say no more of it."""
        if self._trial is not None:
            self._trial = None
            self._session.changed.emit()

    def forget_trial(self) -> None:
        """Another photograph is shown: what was tried was tried on the one before."""
        self._trial = None

    def _answer_trial(self, proof: Proof) -> None:
        trial, baked_of = self.trial, self._session.baked_of
        if trial is None or baked_of is None or proof.stage is Stage.PROVISIONAL:
            return
        if baked_of[0] != colour_part(trial.after):
            return  # of a setting that is only considered
        self._trial = trial.answered(_shares(proof))

    def count(self) -> None:
        """Tell the state how many findings there are to step through."""
        session, count = self._session, len(self.findings)
        at = session.state.view.finding
        session.state = session.state.with_view(
            findings=count, finding=None if at is None or at >= count else at
        )
        session.changed.emit()

    def show_place(self) -> None:
        """Bring the place of the finding that is gone to into sight."""
        session, finding = self._session, self.finding
        view = session.sight.viewport
        if finding is None or view is None:
            return
        x, y, width, height = finding.region.box
        around = 1.6  # of the place, so that it is seen in what is about it
        zoom = min(
            session.sight.pane[0] / (width * around), session.sight.pane[1] / (height * around), 1.0
        )
        session.become(
            session.state.with_view(
                zoom=None if zoom <= view.fit_scale else zoom,
                centre=((x + width / 2) / view.width, (y + height / 2) / view.height),
            )
        )


def _shares(proof: Proof) -> dict[Kind, float]:
    """Share of the picture by kind."""
    return {mark.kind: mark.share for mark in proof.marks}
