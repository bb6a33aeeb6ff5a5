"""Writing files so that a file is either whole or not there."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from proofing.errors import OutputError
from proofing.language import tr


@contextmanager
def atomic_output(
    path: Path | str, inputs: Iterable[Path | str] = (), *, overwrite: bool = True
) -> Iterator[Path]:
    """A temporary file beside `path` that takes its place when the block ends well.

    Parameters
    ----------
    path
        The file to make or replace.
    inputs
        Files that were read; none of them may be `path`.
    overwrite
        Whether a file that is there may be replaced.

    Yields
    ------
    Path
        An empty file in the same folder with the same suffix, to be written. When the block
        raises, it is removed and `path` is as it was.

    Raises
    ------
    OutputError
        When the folder is missing or closed, the disk is full, `path` is one of `inputs`, or it
        is there and may not be replaced.
    """
    path = Path(path)
    refuse_inputs(path, inputs)
    if not overwrite:
        refuse_existing(path)
    try:
        handle, name = tempfile.mkstemp(
            prefix=f".{path.stem[:40]}-", suffix=path.suffix, dir=path.parent
        )
    except OSError as error:
        raise _failed(path, error) from error
    os.close(handle)
    temporary = Path(name)
    try:
        yield temporary
        if not overwrite:
            refuse_existing(path)  # it may have come meanwhile
        _take_mode(temporary, path)
        temporary.replace(path)
    except OSError as error:
        raise _failed(path, error) from error
    finally:
        with suppress(FileNotFoundError):
            temporary.unlink()


def refuse_inputs(path: Path | str, inputs: Iterable[Path | str]) -> None:
    """Raise :class:`~proofing.errors.OutputError` when `path` is one of the files read."""
    path = Path(path)
    if _is(Path.is_dir, path):
        raise OutputError(tr("{path} is a folder; name a file in it", path=path), path)
    for given in inputs:
        source = Path(given)
        both = _is(Path.exists, source) and _is(Path.exists, path)
        same = both and source.samefile(path)
        if same or source.absolute() == path.absolute():
            raise OutputError(
                tr(
                    "{path} is a file that is being read; choose another name for the output",
                    path=path,
                ),
                path,
            )


def refuse_existing(path: Path) -> None:
    """Raise :class:`~proofing.errors.OutputError` when there is something at `path`."""
    if os.path.lexists(path):
        raise OutputError(
            tr(
                "{path} exists already; choose another name, or replace it with --overwrite",
                path=path,
            ),
            path,
        )


def is_file(name: Path | str) -> bool:
    """Whether there is a file of that name; no error for a name that can be none."""
    return _is(Path.is_file, Path(name))


def is_folder(name: Path | str) -> bool:
    """Whether there is a folder of that name; no error for a name that can be none."""
    return _is(Path.is_dir, Path(name))


def _is(question: Callable[[Path], bool], path: Path) -> bool:
    try:
        return question(path)
    except OSError:  # such as a name that is too long
        return False


def free_name(folder: Path, stem: str, suffix: str) -> Path:
    """A path in `folder` that no file has yet: the plain name, else with a number."""
    path = folder / f"{stem}{suffix}"
    number = 2
    while path.exists():
        path = folder / f"{stem} {number}{suffix}"
        number += 1
    return path


def _take_mode(temporary: Path, path: Path) -> None:
    """Give the file the permissions it would have had if it had been opened by its name."""
    try:
        mode = path.stat().st_mode & 0o7777
    except OSError:
        mask = os.umask(0)
        os.umask(mask)
        mode = 0o666 & ~mask
    with suppress(OSError):
        temporary.chmod(mode)


def _failed(path: Path, error: OSError) -> OutputError:
    reason = error.strerror or str(error)
    return OutputError(
        tr(
            "{path} cannot be written ({reason}); check the folder, or choose another",
            path=path,
            reason=reason,
        ),
        path,
    )
