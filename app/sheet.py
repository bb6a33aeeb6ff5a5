"""Bakes and draws the prints of a sheet, one after the other. A part of a session."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from app.state import Setting, build_request
from app.state.sheet import SheetPrint, sheet
from app.views.frame import Frame, draw_print, whole_spec
from app.work import NODES_MOVING, colour_part
from proofing.errors import Cancelled

if TYPE_CHECKING:
    from app.session import Session
    from app.worker import Cancel
    from proofing.engine import Baked, Engine
    from proofing.photograph import Photograph

_BASE_PIXELS = 100_000  # of each whole print under the part in sight
_MOST_KEPT = 36  # tables: four sheets to go to and fro between
_Key = tuple[Setting, int]


@dataclass
class _Made:
    """A print of the sheet as far as it has come."""

    baked: Baked
    base: Frame | None = None
    detail: Frame | None = field(default=None)


class Sheet:
    """The prints of the sheet that is shown, and their pixels.

    Attributes
    ----------
    prints
        What is on the sheet; empty while the pictures stand otherwise.
    """

    def __init__(self, session: Session) -> None:
        self._session = session
        self.prints: tuple[SheetPrint, ...] = ()
        self._made: dict[_Key, _Made] = {}  # the oldest first
        self._failed: set[_Key] = set()
        self._asked: _Key | None = None
        # its own: tables of nine stocks would push those of the sentence out of the caches
        self._engine: Engine | None = None
        session.answer_with("sheet", self._take, self._pass_over)
        session.answer_with("cells", self._take_cells)
        session.changed.connect(self.follow)

    def baked(self, one: SheetPrint) -> Baked | None:
        """The colour function of a print; None while it is on its way."""
        made = self._made.get(self._key(one))
        return None if made is None else made.baked

    def cannot_be(self, one: SheetPrint) -> bool:
        """Whether a print has failed."""
        return self._key(one) in self._failed

    def frames(self, one: SheetPrint) -> tuple[Frame | None, Frame | None]:
        """The whole of a print small, and the part in sight."""
        made = self._made.get(self._key(one))
        return (None, None) if made is None else (made.base, made.detail)

    def follow(self) -> None:
        """The state has changed: other prints, or another picture."""
        session = self._session
        state = session.state.with_setting(session.setting)  # the considered one, if any
        prints = sheet(state) if session.photograph is not None else ()
        if prints != self.prints:
            self.prints = prints
            self._bake_next()

    def forget(self) -> None:
        """Another photograph is shown."""
        self._made.clear()
        self._failed.clear()
        self.prints = ()
        self._session.worker.drop("sheet", "cells")

    def draw(self) -> None:
        """New pixels of what is in sight of every print that is there."""
        session, photograph = self._session, self._session.photograph
        view = session.sight.viewport
        spec = None if view is None else view.spec()
        if photograph is None or spec is None or not self.prints:
            return
        wanted = [
            (key, made, session.sight.hint_of(one.setting, made.baked))
            for one in self.prints
            if (made := self._made.get(key := self._key(one))) is not None
        ]
        whole, spread = whole_spec(photograph, _BASE_PIXELS), session.sight.eye_spread_px

        def work(cancel: Cancel) -> list[tuple[_Key, Frame | None, Frame]]:
            return [
                (
                    key,
                    draw_print(made.baked, photograph, whole) if made.base is None else None,
                    draw_print(made.baked, photograph, spec, cancel, spread, hint),
                )
                for key, made, hint in wanted
            ]

        if wanted:
            session.ask("cells", work, steady=True)

    def _key(self, one: SheetPrint) -> _Key:
        return colour_part(one.setting), id(self._session.photograph)

    def _bake_next(self) -> None:
        """Bake the first print that is missing, the chosen one before the others."""
        session, photograph, tools = self._session, self._session.photograph, self._session.tools
        session.worker.drop("sheet")
        self.draw()
        if photograph is None or tools is None:
            return
        there = self._made.keys() | self._failed
        missing = [one for one in self.prints if self._key(one) not in there]
        if not missing:
            return
        one = min(missing, key=lambda each: not each.is_chosen)
        setting, key, catalogue = one.setting, self._key(one), tools.catalogue
        if self._engine is None:
            self._engine = type(tools.engine)()
        engine = self._engine

        def work(cancel: Cancel) -> tuple[_Key, Photograph, Any]:
            request = build_request(setting, catalogue, photograph)
            return key, photograph, engine.bake(request, NODES_MOVING, cancel)

        self._asked = key
        session.ask("sheet", work, patient=True)

    def _take(self, made: tuple[_Key, Photograph, Baked]) -> None:
        key, photograph, baked = made
        if photograph is self._session.photograph:
            self._made[key] = _Made(baked)
            while len(self._made) > _MOST_KEPT:
                del self._made[next(iter(self._made))]
            self._bake_next()

    def _pass_over(self, error: Exception) -> None:
        """Such as the file of a stock that has gone: the others are printed."""
        if self._asked is not None and not isinstance(error, Cancelled):
            self._failed.add(self._asked)
            self._session.drawn.emit()
            self._bake_next()

    def _take_cells(self, cells: list[tuple[_Key, Frame | None, Frame]]) -> None:
        for key, base, detail in cells:
            made = self._made.get(key)
            if made is not None:
                made.base, made.detail = base or made.base, detail
        self._session.drawn.emit()
