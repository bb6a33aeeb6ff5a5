"""The pictures at hand: several opened at once, the next read ahead, the shown one watched.

A part of a session. What is on the shelf stands in :attr:`app.state.ViewState.pictures`; here lies
what has been read of it, so that going on to the next picture does not wait for the disk.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QFileSystemWatcher, QObject, QTimer

from app.files import PICTURE_ENDINGS, is_file
from app.tools import read_picture
from proofing.errors import ProofingError
from proofing.language import tr

if TYPE_CHECKING:
    from app.session import Session
    from app.worker import Cancel
    from proofing.photograph import Photograph

MOST_AHEAD = 3
"""Pictures that are held ready beside the one that is shown."""
MOST_BYTES = 600_000_000
"""Their codes together: two of 50 megapixels at 16 bits."""
_SETTLE_MS = 500  # a program that saves a file touches it more than once


@dataclass(frozen=True)
class Stamp:
    """What tells that a file is as it was."""

    modified_ns: int
    size: int

    @classmethod
    def of(cls, path: str) -> Stamp | None:
        """Of a file; None where there is none."""
        try:
            found = Path(path).stat()
        except OSError:
            return None
        return cls(found.st_mtime_ns, found.st_size)


@dataclass(frozen=True)
class Reading:
    """A photograph as it was read from its file."""

    path: str
    stamp: Stamp | None
    photograph: Photograph


def read(path: str) -> Reading:
    """Read a photograph. The stamp is older than what is read, so that no change is missed."""
    stamp = Stamp.of(path)
    return Reading(path, stamp, read_picture(path))


def pictures_in(paths: Iterable[str]) -> tuple[str, ...]:
    """Files, and in the place of a folder the pictures in it by name; none twice.

    Parameters
    ----------
    paths
        Of files and folders.
    """
    found: list[str] = []
    for path in paths:
        if not Path(path).is_dir():
            found.append(path)
            continue
        with os.scandir(path) as entries:
            names = [entry.name for entry in entries if entry.is_file()]
        pictures = [name for name in names if Path(name).suffix.lower() in PICTURE_ENDINGS]
        found += [str(Path(path) / name) for name in sorted(pictures, key=str.casefold)]
    return tuple(dict.fromkeys(found))


class Shelf(QObject):
    """Reads, reads ahead and watches.

    Attributes
    ----------
    shown
        What the picture in sight was read from.
    """

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._session = session
        self.shown: Reading | None = None
        self._ready: dict[str, Reading] = {}  # the oldest first
        self._unreadable: set[str] = set()  # not tried again ahead of time
        self._too_large: set[str] = set()  # to be held beside the one that is shown
        self._watcher = QFileSystemWatcher(self)
        self._watcher.fileChanged.connect(self._touched)
        self._watcher.directoryChanged.connect(self._touched)
        self._settled = QTimer(self)
        self._settled.setSingleShot(True)
        self._settled.setInterval(_SETTLE_MS)
        self._settled.timeout.connect(self.look_again)
        session.answer_with("ahead", self._keep)

    # ---- reading

    def reading_of(self, path: str) -> Callable[[Cancel], Reading]:
        """Work that brings a picture, at once where it is held ready and its file is unchanged."""
        ready = self._ready.get(path)

        def work(cancel: Cancel) -> Reading:
            if ready is not None and ready.stamp is not None and Stamp.of(path) == ready.stamp:
                return ready
            return read(path)

        return work

    def take(self, reading: Reading) -> None:
        """A picture is in sight now; the one before is held ready for the way back."""
        before, self.shown = self.shown, reading
        if before is not None and before.path != reading.path:
            self._keep(before)
        self._ready.pop(reading.path, None)
        self._watch()

    def read_ahead(self) -> None:
        """Read the next picture on the shelf while there is nothing else to do."""
        pictures, now = self._session.state.view.pictures, self._session.state.setting.photograph
        if len(pictures) < 2 or now not in pictures:
            return
        following = pictures[(pictures.index(now) + 1) % len(pictures)]
        left_out = self._unreadable | self._too_large
        if following in self._ready or following in left_out or following == now:
            return

        def work(cancel: Cancel) -> Reading | str:
            try:
                return read(following)
            except ProofingError:
                return following  # told when somebody goes there

        self._session.ask("ahead", work, patient=True)

    def _keep(self, found: Reading | str) -> None:
        if isinstance(found, str):
            self._unreadable.add(found)
            return
        self._ready.pop(found.path, None)
        self._ready[found.path] = found
        while len(self._ready) > MOST_AHEAD or self._bytes() > MOST_BYTES:
            del self._ready[next(iter(self._ready))]
        if found.path not in self._ready:
            self._too_large.add(found.path)  # else it would be read again and again

    def _bytes(self) -> int:
        return sum(each.photograph.codes.nbytes for each in self._ready.values())

    @property
    def ready(self) -> tuple[str, ...]:
        """Pictures that are held ready."""
        return tuple(self._ready)

    # ---- watching

    def _watch(self) -> None:
        """Watch the file in sight, and its folder: a program may put another in its place."""
        watched = [*self._watcher.files(), *self._watcher.directories()]
        if watched:
            self._watcher.removePaths(watched)
        if self.shown is not None and is_file(self.shown.path):
            self._watcher.addPaths([self.shown.path, str(Path(self.shown.path).parent)])

    def _touched(self, path: str) -> None:
        del path
        self._settled.start()

    def look_again(self) -> None:
        """Tell if the file in sight is no longer what was read, and offer to read it again."""
        shown, session = self.shown, self._session
        if shown is None or session.opening:
            return
        self._unreadable.clear()
        stamp = Stamp.of(shown.path)
        name = Path(shown.path).name
        if stamp == shown.stamp:
            return
        if stamp is None:
            session.tell(
                tr("{name} is gone from its folder. You see it as it was read.", name=name), "open"
            )
            return
        self._watch()  # what has taken the file's place
        session.offer(
            tr(
                "{name} has been saved anew by another program. You see it as it was before.",
                name=name,
            ),
            "reload_photograph",
        )
