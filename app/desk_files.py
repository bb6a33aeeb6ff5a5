"""The files that leave the desk: order file, test strip, sheet for the customer, correction.

Each is a frozen value of all that it depends on, as everything stood when it was asked for, and is
written on a thread of its own. A person has agreed to what a file replaces.
"""

from __future__ import annotations

import datetime
import json
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from app.job import Job, prepare
from app.ordering import order_of
from app.state import Setting
from proofing.language import tr

if TYPE_CHECKING:
    from app.tools import Tools
    from proofing.engine import Engine
    from proofing.ordering.order_file import FileKind
    from proofing.photograph import Photograph

Called = Callable[[], bool]
Tell = Callable[[float], None]

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
class Asked:
    """A print, as it stood when a file was asked for."""

    tools: Tools
    whole: Photograph
    setting: Setting
    wish: Wish

    def job(self) -> Job:
        """Looked up and cropped."""
        return prepare(self.setting, self.tools.catalogue, self.whole)

    def engine(self) -> Engine:
        """One of its own: that of the window works for the eye meanwhile."""
        return type(self.tools.engine)()


@dataclass(frozen=True)
class Done:
    """A file, or several, that are there.

    Attributes
    ----------
    paths
        Where.
    sentences
        What a person should know of them.
    """

    paths: tuple[Path, ...]
    sentences: tuple[str, ...]


class DeskFile(Protocol):
    """A file to be written."""

    @property
    def path(self) -> str:
        """Where."""

    def write(self, cancel: Called, tell: Tell) -> Done:
        """Write it; `tell` is told the share done."""


@dataclass(frozen=True)
class OrderFile:
    """The file for the lab."""

    path: str
    asked: Asked

    def write(self, cancel: Called, tell: Tell) -> Done:
        """Written, and opened again before it takes its name."""
        from proofing.ordering.order_file import kind_of, order_space, write_order

        job, wish = self.asked.job(), self.asked.wish
        order = order_of(
            job, order_space(wish.space), kind_of(self.path), keep_location=wish.keep_location,
            most_ppi=wish.most_ppi,
        )  # fmt: skip
        written = write_order(
            job.printed, order, self.path, inputs=job.inputs, overwrite=True, cancel=cancel,
            progress=tell,
        )  # fmt: skip
        return Done((written.path,), (*written.check.sentences, *written.sentences))


@dataclass(frozen=True)
class StripFile:
    """The test strip."""

    path: str
    asked: Asked

    def write(self, cancel: Called, tell: Tell) -> Done:
        """A ladder about what the print needs, on the usual sheet."""
        from app.stripping import wanted_strip
        from proofing.ordering.order_file import kind_of, order_space
        from proofing.ordering.strip_file import write_strip

        job, wish = self.asked.job(), self.asked.wish
        space, kind = order_space(wish.space), kind_of(self.path)
        wanted = wanted_strip(job.setting, space, kind, wish.most_ppi)
        written = write_strip(
            self.asked.engine(), job.request, wanted, self.path, inputs=job.inputs,
            overwrite=True, cancel=cancel, progress=tell,
        )  # fmt: skip
        said = tuple(
            sentence for each in written for sentence in (*each.check.sentences, *each.sentences)
        )
        return Done(tuple(each.path for each in written), said)


@dataclass(frozen=True)
class SheetFile:
    """The sheet for the customer."""

    path: str
    asked: Asked
    note: str = ""
    letter: bool = False

    def write(self, cancel: Called, tell: Tell) -> Done:
        """Pages as PDF or PNG."""
        from app.explaining import explained
        from app.handout.geometry import page_named
        from app.handout.writing import write_sheet

        job, page = self.asked.job(), page_named("letter" if self.letter else "a4")
        said = explained(
            self.asked.engine(), job, page, stocks=self.asked.tools.catalogue.stocks,
            note=self.note, date=datetime.date.today().isoformat(), cancel=cancel, progress=tell,
        )  # fmt: skip
        write_sheet(said, Path(self.path), page, inputs=job.inputs, overwrite=True)
        return Done((Path(self.path),), (said.verdict, tr("Read it once before you hand it over.")))


@dataclass(frozen=True)
class CurveFile:
    """The correction for other programs: a ``.cube`` table or an ICC device link."""

    path: str
    asked: Asked

    def write(self, cancel: Called, tell: Tell) -> Done:
        """The same bytes as of the command ``correct``."""
        from app.correcting import write_correction

        return Done((Path(self.path),), write_correction(Path(self.path), self.asked.job()))
