"""The order on its way: what the lab is to get, and what was written. A part of a session."""

from __future__ import annotations

import logging
from collections import deque
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from app.desk_files import (
    SUFFIX,
    Asked,
    CurveFile,
    DeskFile,
    Done,
    OrderFile,
    SheetFile,
    StripFile,
    Wish,
)
from app.ordering import name_fields
from app.state import CORRECTIONS
from app.work import closed
from app.worker import Answer, Worker
from proofing.errors import ProofingError
from proofing.language import tr

if TYPE_CHECKING:
    from app.session import Session
    from app.worker import Cancel
    from proofing.photograph import Photograph

SLOT = "order"
THUMBNAIL_PX = 640
"""Longest side of the picture in the drawing of the sheet."""

_log = logging.getLogger(__name__)


class Desk:
    """What the page of the order shows, and a thread that writes while the window goes on.

    Attributes
    ----------
    wish
        What the lab asks for.
    picture
        (H, W, 4) BGRx of the whole file, small, as the screen shows it; None until it is made.
    done
        What was written last.
    trouble
        Why the last one is not there, '' where it is.
    share_done
        Of the file that is being written, 0 to 1; None while there is none.
    """

    def __init__(self, session: Session) -> None:
        self._session = session
        self._open = False
        self._picture_of: tuple[Photograph, str] | None = None
        self._waiting: deque[DeskFile] = deque()
        self._now: DeskFile | None = None
        self.wish = Wish()
        self.picture: npt.NDArray[np.uint8] | None = None
        self.done: Done | None = None
        self.trouble = ""
        self.share_done: float | None = None
        self.worker = Worker(session)
        self.worker.answered.connect(self._on_answer)
        self.worker.emptied.connect(self._on_emptied)
        session.answer_with("thumbnail", self._take_picture)
        session.baked_changed.connect(self.follow)
        session.order_progressed.connect(self._tell)

    # ---- the page

    def watch(self, wanted: bool) -> None:
        """Whether anybody looks at the page."""
        self._open = wanted
        if wanted:
            self.follow()

    def follow(self) -> None:
        """The picture may be another one."""
        session, baked, whole = self._session, self._session.baked, self._session.whole
        if not self._open or baked is None or whole is None:
            return
        of = whole, session.setting.screen_profile
        if self._picture_of == of or baked.request.photograph.encoding != whole.encoding:
            return
        self._picture_of = of
        if self.picture is not None:
            self.picture = None
            session.ordered.emit()

        def work(cancel: Cancel) -> npt.NDArray[np.uint8]:
            level = 0
            while max(whole.width, whole.height) >> level > THUMBNAIL_PX:
                level += 1
            small = whole.level(level)
            return np.ascontiguousarray(baked.photograph_view(small.codes, small.alpha))

        session.ask("thumbnail", work)

    def _take_picture(self, picture: npt.NDArray[np.uint8]) -> None:
        self.picture = picture
        self._session.ordered.emit()

    def change(self, **values: Any) -> None:
        """Another wish of the lab's."""
        self.wish = replace(self.wish, **values)
        self._session.ordered.emit()

    def file_name(self) -> str:
        """What the order file would be called.

        Raises
        ------
        SettingError
            The pattern is none.
        """
        from proofing.ordering.naming import order_name
        from proofing.ordering.order_file import order_space

        if self._session.whole is None:
            return ""
        state, space = self._session.state, order_space(self.wish.space)
        fields = name_fields(state.setting, state.facts, space, self.wish.most_ppi)
        return order_name(self.wish.pattern, fields) + SUFFIX[self.wish.kind]

    def curve_name(self, suffix: str) -> str:
        """What a file of the correction would be called, with the ending of its kind."""
        from proofing.ordering.naming import safe_name

        setting = self._session.state.setting
        stock = self._session.state.facts.stock(setting.stock)
        name = tr(
            "{name} on {stock} curve",
            name=Path(setting.photograph).stem,
            stock=Path(setting.stock).stem if stock is None else stock.name,
        )
        return safe_name(name) + suffix

    # ---- writing

    @property
    def busy(self) -> bool:
        """Whether something is written or waits for it."""
        return self._now is not None or bool(self._waiting)

    def write(self, path: str) -> None:
        """Write the order file as everything stands now."""
        if (asked := self._asked()) is not None:
            self._ask(OrderFile(path, asked))

    def write_strip(self, path: str) -> None:
        """Write a test strip of the print as it stands now."""
        if (asked := self._asked()) is not None:
            self._ask(StripFile(path, asked))

    def write_sheet(self, path: str, note: str = "") -> None:
        """Write the sheet for the customer, of the print as it stands now."""
        if (asked := self._asked()) is not None:
            self._ask(SheetFile(path, asked, note, self._session.state.facts.inches))

    def write_curve(self, path: str) -> None:
        """Write the correction as it stands now, as a table or a device link by its ending."""
        if (asked := self._asked()) is not None:
            self._ask(CurveFile(path, asked))

    def stop(self) -> bool:
        """Write no more; whether anything was being written."""
        was, self._now, self.share_done = self.busy, None, None
        self._waiting.clear()
        self.worker.drop(SLOT)
        if was:
            self._session.ordered.emit()
        return was

    def close(self) -> None:
        """The window has gone: what was asked for is written all the same."""
        self.worker.close(finish=(SLOT,))
        while self._waiting:
            file = self._waiting.popleft()
            try:
                file.write(_never, lambda share: None)
            except (ProofingError, OSError) as error:  # no one is left to be told
                _log.warning("a file was not written: %s", error)

    def _asked(self) -> Asked | None:
        session = self._session
        if session.tools is None or session.whole is None or session.is_another_coming:
            session.tell(tr("The picture is still being read; write it in a moment."), SLOT)
            return None
        state = session.state
        given = dict(zip(CORRECTIONS, state.view.set_aside, strict=False))
        return Asked(session.tools, session.whole, state.setting.change(**given), self.wish)

    def _ask(self, file: DeskFile) -> None:
        self._waiting.append(file)
        if self._now is None:
            self._begin()

    def _begin(self) -> None:
        session = self._session
        if not self._waiting:
            session.ordered.emit()
            return
        self._now = file = self._waiting.popleft()
        self.share_done, self.done, self.trouble = 0.0, None, ""
        tell = session.order_progressed.emit
        session.note_busy()
        self.worker.ask(SLOT, lambda cancel: file.write(cancel, tell))
        session.ordered.emit()

    def _tell(self, share: float) -> None:
        if self.share_done is not None:
            self.share_done = share

    def _on_answer(self, answer: Answer) -> None:
        if not self.worker.is_current(answer):
            return
        self._now = self.share_done = None
        if answer.error is not None:
            self.trouble = closed(str(answer.error))
            self._session.fail(answer.error, SLOT)
        else:
            self.done = answer.value
            names = ", ".join(path.name for path in answer.value.paths)
            self._session.tell(tr("Written: {name}.", name=names), SLOT)
        self._begin()

    def _on_emptied(self, number: int) -> None:
        if self.worker.is_latest(number):
            self._session.note_desk_done()


def _never() -> bool:
    return False
