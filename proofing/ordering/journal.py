"""What a run of many files has done so far, one line of JSON for each step, so that it can go on.

The first line says what was set. A line ``begun`` stands before a file is written, ``done`` or
``failed`` after it; what was begun and not ended was cut off, and its output is this run's own.
Lines are on the disk before the next file begins; a last line that was cut short is passed over.

>>> import tempfile
>>> with tempfile.TemporaryDirectory() as name:
...     path = Path(name) / "run.jsonl"
...     with Journal.open(path, {"stock": "canvas"}) as journal:
...         journal.begin("k1", "one.tif")
...         journal.finish("k1", {"verdict": "fine"})
...         journal.begin("k2", "two.tif")
...     with Journal.open(path, {"stock": "canvas"}) as journal:
...         print(sorted(journal.done), journal.begun)
['k1'] {'k2': 'two.tif'}
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any, BinaryIO

from proofing.errors import OutputError
from proofing.language import tr

FORMAT = 1
"""Raised when the same photograph with the same settings would give other results."""


def settings_key(settings: Mapping[str, Any]) -> str:
    """A digest of plain JSON values, whatever the order of their names.

    >>> settings_key({"a": 1, "b": 2}) == settings_key({"b": 2, "a": 1})
    True
    """
    text = json.dumps([FORMAT, settings], sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()


def file_key(path: Path, settings: str) -> str:
    """A digest of a file's path, size and time of change, and of the settings.

    Parameters
    ----------
    path
        The file.
    settings
        Their :func:`settings_key`.

    Raises
    ------
    OSError
        The file is not there.
    """
    found = path.stat()
    identity = [os.fspath(path.absolute()), found.st_size, found.st_mtime_ns, settings]
    return hashlib.sha256(json.dumps(identity).encode()).hexdigest()


class Journal:
    """The record of a run, open for writing. Made by :meth:`open`.

    Attributes
    ----------
    path
        Its file.
    done
        What was recorded of files that are finished, by their key; the latest counts.
    begun
        Names of outputs that were begun and not ended, by key.
    is_new
        Whether there was none before.
    """

    def __init__(self, path: Path, file: BinaryIO) -> None:
        self.path = path
        self.done: dict[str, dict[str, Any]] = {}
        self.begun: dict[str, str] = {}
        self.is_new = True
        self._file = file

    @classmethod
    def open(cls, path: Path, settings: Mapping[str, Any], *, anew: bool = False) -> Journal:
        """Read what there is, and go on writing it.

        Parameters
        ----------
        path
            The file; made where it is missing.
        settings
            Plain JSON values that decide what comes out.
        anew
            Whether a record of other settings may be replaced by an empty one.

        Raises
        ------
        OutputError
            It is of other settings, another run is writing it, or it cannot be written.
        """
        try:
            file = path.open("a+b")
        except OSError as error:
            raise OutputError(
                tr(
                    "{path} cannot be written ({reason}); choose another folder",
                    path=path,
                    reason=error.strerror,
                ),
                path,
            ) from error
        journal = cls(path, file)
        try:
            _lock(file, path)
            journal._take_up(settings_key(settings), settings, anew)
        except BaseException:
            file.close()
            raise
        return journal

    def __enter__(self) -> Journal:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file."""
        self._file.close()

    def begin(self, key: str, output: str) -> None:
        """Say that a file is being worked on; `output` is the name of what it will write."""
        self._write({"begun": key, "output": output})
        self.begun[key] = output

    def finish(self, key: str, record: Mapping[str, Any]) -> None:
        """Record a finished file."""
        self._write({"done": key, "record": record})
        self.begun.pop(key, None)
        self.done[key] = dict(record)

    def fail(self, key: str, error: str) -> None:
        """Record that a file failed; it will be tried again."""
        self._write({"failed": key, "error": error})
        self.begun.pop(key, None)

    # ---- the file ------------------------------------------------------------------------------

    def _take_up(self, key: str, settings: Mapping[str, Any], anew: bool) -> None:
        self._file.seek(0)
        lines = self._file.read().split(b"\n")
        head = _read(lines[0])
        same = head is not None and head.get("settings_key") == key
        if any(lines) and not same:
            if not anew:
                raise OutputError(
                    tr(
                        "{folder} holds a run with other settings ({journal}); name another "
                        "folder, or begin anew with --overwrite",
                        folder=self.path.parent,
                        journal=self.path.name,
                    ),
                    self.path,
                )
            self._file.truncate(0)
            lines = []
        if not any(lines):
            self._write({"journal": FORMAT, "settings_key": key, "settings": settings})
            return
        self.is_new = False
        if lines[-1]:  # the last line was cut short
            self._file.write(b"\n")
        for line in lines[1:]:
            self._note(_read(line) or {})

    def _note(self, found: Mapping[str, Any]) -> None:
        if "begun" in found:
            self.begun[found["begun"]] = str(found.get("output", ""))
        elif "done" in found and isinstance(found.get("record"), dict):
            self.begun.pop(found["done"], None)
            self.done[found["done"]] = found["record"]
        elif "failed" in found:
            self.begun.pop(found["failed"], None)

    def _write(self, line: Mapping[str, Any]) -> None:
        try:
            self._file.write(json.dumps(line, default=str).encode() + b"\n")
            self._file.flush()
            os.fsync(self._file.fileno())
        except OSError as error:
            raise OutputError(
                tr(
                    "{path} cannot be written ({reason}); free the disk and start the same "
                    "command again",
                    path=self.path,
                    reason=error.strerror,
                ),
                self.path,
            ) from error


def _read(line: bytes) -> dict[str, Any] | None:
    with suppress(ValueError):
        found = json.loads(line)
        if isinstance(found, dict):
            return found
    return None


def _lock(file: BinaryIO, path: Path) -> None:
    """Keep other runs out until the file is closed, where the system has such locks."""
    try:
        import fcntl
    except ImportError:  # Windows
        return
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError as error:
        raise OutputError(
            tr(
                "another run is writing into {folder}; wait for it, or name another folder",
                folder=path.parent,
            ),
            path,
        ) from error
    except OSError:  # a network folder that knows no locks
        return
