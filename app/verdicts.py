"""A verdict on each picture at hand, one after the other while nothing else is to be done.

A part of a session. Pictures are read one at a time; of each, a thumbnail and its verdict are kept.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QObject, Signal

from app.job import prepare
from app.shelf import Stamp
from app.state import Setting
from app.state.commands import MADE_FOR_A_PICTURE
from app.tools import read_picture
from app.which_stock import compared_part
from app.work import closed
from proofing.errors import Cancelled, ProofingError
from proofing.findings.kinds import Kind
from proofing.language import tr

if TYPE_CHECKING:
    from app.session import Session
    from app.worker import Cancel
    from proofing.ordering.first_look import FirstLook
    from proofing.photograph import Photograph

THUMBNAIL = 160
"""Longer side of a thumbnail at the most, pixels."""
_TO_SRGB = np.array(
    [[3.1339, -1.6169, -0.4906], [-0.9788, 1.9161, 0.0335], [0.0719, -0.2290, 1.4052]]
)
"""XYZ, D50, to linear sRGB: IEC 61966-2-1 through Bradford, from memory; for thumbnails only."""
_OTHER_COLOURS = 0.1
"""How much a share out of gamut counts beside one whose detail is lost: colours that are only
brought in are still there."""
_Key = tuple[Setting, Stamp | None]


@dataclass(frozen=True, eq=False)
class Verdict:
    """What is known of a picture.

    Attributes
    ----------
    path
        Of its file.
    thumbnail
        (H, W, 3) uint8 sRGB; None before it is read, or where it cannot be.
    note
        What had to be assumed of the file, in sentences; '' for nothing.
    look
        What is lost; None while it is not known.
    error
        Why it cannot be read or judged; '' where it can.
    of
        The setting and the state of the file that it is of.
    """

    path: str
    thumbnail: npt.NDArray[np.uint8] | None = None
    note: str = ""
    look: FirstLook | None = None
    error: str = ""
    of: _Key | None = None

    @property
    def is_known(self) -> bool:
        """Whether there is a verdict, or a reason why there is none."""
        return self.look is not None or bool(self.error)

    @property
    def words(self) -> str:
        """The verdict in words; '' while there is none."""
        from proofing.ordering.first_look import look_in_words

        if self.error:
            return self.error
        if self.look is None:
            return ""
        said = look_in_words(self.look)
        return said[0].upper() + said[1:]

    @property
    def need(self) -> float:
        """How much it needs a look: what cannot be read first, then what loses most."""
        if self.error:
            return 2.0
        if self.look is None:
            return -1.0
        other_colours = self.look.shares[Kind.OUT_OF_GAMUT]
        return self.look.detail_lost + _OTHER_COLOURS * other_colours + (1e-4 if self.note else 0.0)


class Verdicts(QObject):
    """Follows the pictures at hand and the setting, while somebody looks.

    Signals
    -------
    changed : ()
        More is known, or other pictures are at hand.
    """

    changed = Signal()

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._session = session
        self._open = False
        self._known: dict[str, Verdict] = {}
        self._under_way: tuple[str, _Key] | None = None
        self.stopped = False
        self._told: tuple[object, ...] = ()
        session.answer_with("verdict", self._take, self._give_up)
        session.changed.connect(self.follow)

    @property
    def all(self) -> tuple[Verdict, ...]:
        """Of each picture at hand, in the order in which they were opened."""
        pictures = self._session.state.view.pictures
        return tuple(self._known.get(path, Verdict(path)) for path in pictures)

    def is_old(self, verdict: Verdict) -> bool:
        """Whether a verdict is of another stock or room."""
        return verdict.of is None or verdict.of[0] != self._part()

    @property
    def fresh(self) -> int:
        """How many verdicts are of the setting in force."""
        return sum(one.is_known and not self.is_old(one) for one in self.all)

    def watch(self, wanted: bool) -> None:
        """Whether anybody looks at them."""
        self._open, self._told = wanted, ()
        self._session.worker.drop("verdict")
        self._under_way = None
        self.stopped = False
        self.follow()

    def follow(self) -> None:
        """Pictures or setting may be others."""
        state = self._session.state
        told = (state.view.pictures, state.setting.photograph, self._part(), state.facts.comma)
        if not self._open or told == self._told:
            return
        if self._told and told[2] != self._told[2]:
            self.stopped = False
        self._told = told
        at_hand = set(state.view.pictures)
        self._known = {path: one for path, one in self._known.items() if path in at_hand}
        self.changed.emit()
        self._next()

    def _part(self) -> Setting:
        setting = self._session.state.setting
        return compared_part(setting).change(stock=setting.stock)

    def _next(self) -> None:
        """Ask for the first verdict that is missing, or of another setting or file."""
        session, part = self._session, self._part()
        tools = session.tools
        if tools is None or self.stopped or not self._open:
            return
        for path in session.state.view.pictures:
            key = (part, Stamp.of(path))
            known = self._known.get(path)
            if known is not None and known.of == key:
                continue
            if self._under_way == (path, key):
                return
            break
        else:
            session.worker.drop("verdict")
            self._under_way = None
            return
        self._under_way = (path, key)
        setting = session.state.setting
        if path != setting.photograph:  # corrections were found for the one in front
            setting = setting.change(photograph=path, **MADE_FOR_A_PICTURE)
        shown = session.shelf.shown
        held: list[Photograph] = []  # across a pause; at the most one picture
        if shown is not None and shown.path == path and shown.stamp == key[1]:
            held.append(shown.photograph)
        verdict = Verdict(path, of=key)

        def work(cancel: Cancel) -> Verdict:
            from proofing.ordering.first_look import first_look

            try:
                if not held:
                    held.append(read_picture(path))
                found = replace(verdict, thumbnail=_thumbnail(held[0]), note=held[0].facts.note)
                if cancel():
                    raise Cancelled
                job = prepare(setting, tools.catalogue, held[0])
                look = first_look(tools.engine, job.request, cancel)
                return replace(found, look=look)
            except Cancelled:
                raise
            except ProofingError as error:
                return replace(verdict, error=closed(str(error)))

        session.ask("verdict", work, patient=True)

    def _take(self, verdict: Verdict) -> None:
        self._known[verdict.path] = verdict
        self._under_way = None
        self.changed.emit()
        self._next()

    def _give_up(self, error: Exception) -> None:
        """A person has stopped it; or it went wrong, which the bar tells, and the others go on."""
        path, key = self._under_way or ("", None)
        self._under_way = None
        if isinstance(error, Cancelled):
            self.stopped = True
        elif path:
            said = tr("No verdict could be worked out.")
            self._known[path] = Verdict(path, error=said, of=key)
            self._next()
        self.changed.emit()

    def go_to(self, path: str) -> None:
        """Look at a picture at hand; going through them is one step of the history."""
        if path != self._session.state.setting.photograph and Path(path).name:
            self._session.change("pictures", photograph=path, **MADE_FOR_A_PICTURE)


def _thumbnail(photograph: Photograph) -> npt.NDArray[np.uint8]:
    """A small copy in sRGB."""
    from proofing.photograph import unit_codes

    longer = max(photograph.width, photograph.height)
    small = photograph.level(max(0, (longer - 1) // THUMBNAIL).bit_length())
    XYZ = small.encoding.to_XYZ(unit_codes(small.codes).reshape(-1, 3))
    light = np.clip(XYZ @ _TO_SRGB.T, 0.0, 1.0)
    codes = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    RGB: npt.NDArray[np.uint8] = np.round(255.0 * codes).astype(np.uint8)
    return RGB.reshape(small.height, small.width, 3)
