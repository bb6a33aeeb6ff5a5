"""The order on its way: what the lab is to get, and what was written. A part of a session."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from app.job import prepare
from app.ordering import name_fields, order_of
from app.state import Setting
from proofing.language import tr

if TYPE_CHECKING:
    from app.session import Session
    from app.tools import Tools
    from app.worker import Cancel
    from proofing.ordering.order_file import FileKind, Written
    from proofing.photograph import Photograph

THUMBNAIL_PX = 640
"""Longest side of the picture in the drawing of the sheet."""
SUFFIX: dict[FileKind, str] = {"TIFF": ".tif", "JPEG": ".jpg"}


@dataclass(frozen=True)
class Wish:
    """What the lab asks for.

    Attributes
    ----------
    kind
        ``'TIFF'`` or ``'JPEG'``.
    space
        ``'adobe-rgb'``, ``'srgb'`` or the path of a profile.
    keep_location
        Whether the place where the picture was taken is left in.
    pattern
        Of the file's name, without its ending.
    most_ppi
        Where it takes no more pixels to the inch; None leaves all of them.
    """

    kind: FileKind = "TIFF"
    space: str = "adobe-rgb"
    keep_location: bool = False
    pattern: str = "{name}_{width}x{height}{unit}_{stock}"
    most_ppi: float | None = None

    def to_json(self) -> str:
        """One line of JSON."""
        return json.dumps(asdict(self))

    @classmethod
    def from_json(cls, text: str) -> Wish:
        """The inverse of :meth:`to_json`; what cannot be read is as at the start."""
        try:
            wish = cls(**json.loads(text))
        except (ValueError, TypeError):
            return cls()
        known = wish.kind in SUFFIX and all(
            isinstance(value, kind)
            for value, kind in (
                (wish.space, str),
                (wish.keep_location, bool),
                (wish.pattern, str),
                (wish.most_ppi, float | int | None),
            )
        )
        return wish if known else cls()


@dataclass(frozen=True)
class OrderFile:
    """An order file that is to be written, as everything stood when it was asked for."""

    path: str
    tools: Tools
    whole: Photograph
    setting: Setting
    wish: Wish
    tell: Callable[[float], None]

    def write(self, cancel: Cancel | None = None) -> Written:
        """Write and check it; the person has agreed to what it replaces."""
        from proofing.ordering.order_file import kind_of, order_space, write_order

        job = prepare(self.setting, self.tools.catalogue, self.whole)
        order = order_of(
            job,
            order_space(self.wish.space),
            kind_of(self.path),
            keep_location=self.wish.keep_location,
            most_ppi=self.wish.most_ppi,
        )
        return write_order(
            job.printed, order, self.path, inputs=job.inputs, overwrite=True,
            cancel=cancel, progress=self.tell,
        )  # fmt: skip

    def said(self, written: Written) -> str:
        """What the bar tells of it."""
        return tr("Written and read back: {name}.", name=written.path.name)


class Desk:
    """What the page of the order shows.

    Attributes
    ----------
    wish
        What the lab asks for.
    picture
        (H, W, 4) BGRx of the whole file, small, as the screen shows it; None until it is made.
    written
        The last order file that was written.
    share_done
        Of the one that is being written, 0 to 1; None while there is none.
    """

    def __init__(self, session: Session) -> None:
        self._session = session
        self._open = False
        self._picture_of: tuple[object, ...] = ()
        self.wish = Wish()
        self.picture: npt.NDArray[np.uint8] | None = None
        self.written: Written | None = None
        self.share_done: float | None = None
        session.answer_with("thumbnail", self._take_picture)
        session.baked_changed.connect(self.follow)
        session.order_progressed.connect(self._tell)

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
        of = (whole, session.setting.screen_profile)
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

    def change(self, **values: Any) -> None:
        """Another wish of the lab's."""
        self.wish = replace(self.wish, **values)
        self._session.ordered.emit()

    def file_name(self) -> str:
        """What the file would be called.

        Raises
        ------
        SettingError
            The pattern is none, or the edge does not go with the picture.
        """
        from proofing.ordering.naming import order_name
        from proofing.ordering.order_file import order_space

        session, tools, whole = self._session, self._session.tools, self._session.whole
        if tools is None or whole is None:
            return ""
        state, space = session.state, order_space(self.wish.space)
        fields = name_fields(state.setting, state.facts, space)
        return order_name(self.wish.pattern, fields) + SUFFIX[self.wish.kind]

    def write(self, path: str) -> None:
        """Write the order file as everything stands now."""
        session = self._session
        if session.tools is None or session.whole is None:
            return
        self.share_done = 0.0
        session.saves.ask_for(
            OrderFile(
                path, session.tools, session.whole, session.state.setting, self.wish,
                session.order_progressed.emit,
            )
        )  # fmt: skip
        session.ordered.emit()

    def note(self, written: Any) -> None:
        """A file is there, or has failed, which the bar tells."""
        from proofing.ordering.order_file import Written

        self.share_done = None
        if isinstance(written, Written):
            self.written = written
        self._session.ordered.emit()

    def _tell(self, share: float) -> None:
        if self.share_done is not None:
            self.share_done = share
            self._session.ordered.emit()

    def _take_picture(self, picture: npt.NDArray[np.uint8]) -> None:
        self.picture = picture
        self._session.ordered.emit()
