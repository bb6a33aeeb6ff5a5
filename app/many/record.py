"""The folder of a run: its journal, what is done in it, and what may be replaced there."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.files import refuse_existing, writable
from proofing.errors import OutputError
from proofing.language import counted, tr
from proofing.ordering.journal import Journal, file_key, settings_key

if TYPE_CHECKING:
    from app.many.sources import Source

SUMMARY = ("summary.csv", "summary.html", "ranking.csv")
"""Files that sum up a run; the last of comparisons only."""


class Record:
    """What is done, and where it is noted. Made by :meth:`open`; without a folder nothing is kept.

    Attributes
    ----------
    folder
        Of the outputs and the journal, or None.
    command
        ``'order'`` or ``'compare'``.
    inputs
        Files that no output may replace, filled by the run.
    """

    def __init__(
        self, folder: Path | None, command: str, key: str, journal: Journal | None, overwrite: bool
    ) -> None:
        self.folder, self.command = folder, command
        self.inputs: list[str] = []
        self._key, self._journal, self._overwrite = key, journal, overwrite
        self._by_source = (
            {} if journal is None else {r.get("source"): r for r in journal.done.values()}
        )
        self._keys: dict[Path, str] = {}
        self._worked = False
        self._made_folder = False

    @classmethod
    def open(
        cls, folder: Path | None, command: str, settings: Mapping[str, Any], *, overwrite: bool
    ) -> Record:
        """Take up what is in a folder; it is made where only itself is missing.

        Raises
        ------
        OutputError
            It cannot be written, holds a run with other settings, or a summary of something else.
        """
        if folder is None:
            return cls(None, command, settings_key(settings), None, overwrite)
        made = _made(folder)
        path = folder / f"{command}-journal.jsonl"
        is_new = not path.exists()
        if is_new and not overwrite:
            for name in cls._summaries(command):
                refuse_existing(folder / name)
        journal = Journal.open(path, settings, anew=overwrite)
        record = cls(folder, command, settings_key(settings), journal, overwrite)
        record._made_folder = made
        return record

    @staticmethod
    def _summaries(command: str) -> tuple[str, ...]:
        return SUMMARY if command == "compare" else SUMMARY[:2]

    @property
    def summaries(self) -> tuple[Path, ...]:
        """The files that sum up the run."""
        return (
            ()
            if self.folder is None
            else tuple(self.folder / name for name in self._summaries(self.command))
        )

    def __enter__(self) -> Record:
        return self

    def __exit__(self, *_: object) -> None:
        if self._journal is None or self.folder is None:
            return
        self._journal.close()
        if self._journal.is_new and not self._worked:  # refused before any work: leave no trace
            with suppress(OSError):
                self._journal.path.unlink()
                if self._made_folder:
                    self.folder.rmdir()

    # ---- before the work -----------------------------------------------------------------------

    def found(self, path: Path) -> dict[str, Any] | None:
        """The report on a photograph that is done with these settings, None where it is not, has
        changed since, or what was made of it is no longer there as it was."""
        record = self._done(path)
        if record is None or not self._is_whole(record):
            return None
        return self._report(record, str(path))

    def output_of(self, path: Path) -> Path | None:
        """What was made of a photograph that is done."""
        record = self._done(path)
        if record is None or self.folder is None or not record.get("outputs"):
            return None
        return self.folder / str(record["outputs"][0]["name"])

    def made(self, path: Path) -> bool:
        """Whether a file is one that this run has made."""
        if self.folder is None or path.absolute().parent != self.folder.absolute():
            return False
        names = {o["name"] for r in self._by_source.values() for o in r.get("outputs", ())}
        return path.name in names

    def refuse_existing(self, sources: Sequence[Source]) -> None:
        """Raise :class:`~proofing.errors.OutputError` when outputs are there that may stay."""
        there = [
            s.output
            for s in sources
            if s.output is not None and _is_there(s.output) and not self.may_replace(s)
        ]
        if not there:
            return
        if len(there) == 1:
            refuse_existing(there[0])
        raise OutputError(
            counted(
                "{n} of the files exist already, such as {example}; choose another name or "
                "folder, or replace them with --overwrite",
                "{n} of the files exists already, {example}; choose another name or "
                "folder, or replace it with --overwrite",
                len(there),
                example=there[0],
            ),
            there[0],
        )

    def may_replace(self, source: Source) -> bool:
        """Whether what is at a photograph's output may be replaced: it was asked for, or this run
        had begun to write it when it was cut off."""
        if self._overwrite:
            return True
        if self._journal is None or source.output is None:
            return False
        return self._journal.begun.get(self._key_of(source.path)) == source.output.name

    # ---- the work ------------------------------------------------------------------------------

    def begin(self, source: Source) -> None:
        """A photograph is being worked on."""
        self._worked = True
        if self._journal is not None:
            output = "" if source.output is None else source.output.name
            self._journal.begin(self._key_of(source.path), output)

    def end(self, source: Source, report: dict[str, Any]) -> None:
        """A photograph is done, or has failed."""
        if self._journal is None:
            return
        key = self._key_of(source.path)
        if report["error"] is not None:
            self._journal.fail(key, report["error"])
            return
        outputs = (
            []
            if source.output is None
            else [{"name": source.output.name, "bytes": report["order"]["bytes"]}]
        )
        record = {"source": str(source.path.absolute()), "outputs": outputs, "report": report}
        self._journal.finish(key, record)

    def clear_leftovers(self) -> None:
        """Take away what a process that was killed had begun to write."""
        if self._journal is None or self.folder is None:
            return
        for name in filter(None, self._journal.begun.values()):
            output = Path(name)
            # as proofing.files.atomic_output has them named by the standard library
            pattern = rf"\.{re.escape(output.stem[:40])}-[a-z0-9_]{{8}}{re.escape(output.suffix)}"
            for path in self.folder.iterdir():
                if re.fullmatch(pattern, path.name):
                    with suppress(OSError):
                        path.unlink()

    def earlier(self, sources: Sequence[Source]) -> list[dict[str, Any]]:
        """Reports on what earlier commands with the same settings made in this folder, of
        photographs that are not among `sources`."""
        now = {str(source.path.absolute()) for source in sources}
        return [
            self._report(record, str(name))
            for name, record in self._by_source.items()
            if name not in now and self._is_whole(record) and Path(str(name)).exists()
        ]

    # ---- the journal's records -----------------------------------------------------------------

    def _key_of(self, path: Path) -> str:
        if path in self._keys:
            return self._keys[path]
        try:
            key = file_key(path, self._key)
        except OSError:  # it is not there; whatever is tried will tell
            key = f"missing:{path.absolute()}"
        # as it was before it was read: a change meanwhile is not missed
        return self._keys.setdefault(path, key)

    def _done(self, path: Path) -> dict[str, Any] | None:
        return None if self._journal is None else self._journal.done.get(self._key_of(path))

    def _is_whole(self, record: Mapping[str, Any]) -> bool:
        if self.folder is None:
            return False
        try:
            return all(
                (self.folder / str(output["name"])).stat().st_size == output["bytes"]
                for output in record.get("outputs", ())
            )
        except OSError:
            return False

    def _report(self, record: Mapping[str, Any], file: str) -> dict[str, Any]:
        """The report, with the paths as they are now."""
        report = {**record["report"], "file": file}
        if self.folder is not None and "order" in report and record.get("outputs"):
            path = self.folder / str(record["outputs"][0]["name"])
            report["order"] = {**report["order"], "file": str(path)}
        return report


def _is_there(path: Path) -> bool:
    return path.exists() or path.is_symlink()


def _made(folder: Path) -> bool:
    """Make a folder where it is missing; whether it was."""
    made = False
    if not folder.exists():
        if not folder.parent.is_dir():
            raise OutputError(
                tr(
                    "{folder} cannot be made: there is no folder {parent}",
                    folder=folder,
                    parent=folder.parent,
                ),
                folder,
            )
        with suppress(OSError):  # told below
            folder.mkdir()
            made = True
    if not folder.is_dir():
        raise OutputError(tr("{folder} is no folder; name another", folder=folder), folder)
    if not writable(folder):
        raise OutputError(
            tr("the folder {folder} is closed to you or full; name another", folder=folder), folder
        )
    return made
