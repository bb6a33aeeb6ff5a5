"""Everything `proofing` raises.

::

    ProofingError
    |-- PhotographError        the picture file cannot be used
    |   |-- UnreadableFile       missing, not permitted, cut short, not a picture
    |   `-- UnsupportedPicture   a picture, but of a kind that is not promised
    |-- ProfileError           an ICC profile is broken or of the wrong kind
    |-- RecordError            a stock, light or glazing record is wrong (path, field)
    |-- UnknownName            no stock, light, glazing or place of that name (value, known, meant)
    |-- SettingError           a number or choice outside what makes sense (field, value)
    |-- OutputError            a file cannot be written
    `-- Cancelled              the work was called off; not a failure

Each error carries its data as attributes, and its text says what to do.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from proofing.language import tr

_FEW_NAMES = 12  # that can be read at a glance


class ProofingError(Exception):
    """Base of all errors of this package."""


class PhotographError(ProofingError):
    """A picture file cannot be used.

    Parameters
    ----------
    message
        One sentence, ending in what to do.
    path
        The file, where there is one.
    """

    def __init__(self, message: str, path: Path | str | None = None) -> None:
        super().__init__(message)
        self.path = None if path is None else Path(path)


class UnreadableFile(PhotographError):
    """The file is missing, locked, cut short, or no picture at all."""


class UnsupportedPicture(PhotographError):
    """A picture, but of a kind this package does not promise to read."""


class ProfileError(ProofingError):
    """An ICC profile is broken or of the wrong kind for its use."""

    def __init__(self, message: str, path: Path | str | None = None) -> None:
        super().__init__(message)
        self.path = None if path is None else Path(path)


class RecordError(ProofingError):
    """A record of a stock, light or glazing is wrong.

    Parameters
    ----------
    message
        What is wrong and what a right value looks like.
    path, field
        Where.
    """

    def __init__(
        self, message: str, path: Path | str | None = None, field: str | None = None
    ) -> None:
        where = "" if path is None else f"{Path(path).name}: "
        what = "" if field is None else tr("field '{field}': ", field=field)
        super().__init__(f"{where}{what}{message}")
        self.path = None if path is None else Path(path)
        self.field = field


class UnknownName(ProofingError):
    """Nothing of that name is known, or more than one thing; the text lists what is.

    Parameters
    ----------
    kind, value
        What was looked for, and by which name.
    known
        The names of all there is.
    meant
        The names of those that `value` is a part of, where they are several.
    """

    def __init__(
        self, kind: str, value: str, known: Sequence[str], meant: Sequence[str] = ()
    ) -> None:
        listed = " · ".join(f"'{name}'" for name in meant or known)
        if meant:
            text = tr(
                "'{value}' may be one of several {kind}s: {listed}; write more of the name",
                value=value,
                kind=kind,
                listed=listed,
            )
        elif len(known) <= _FEW_NAMES:
            text = tr(
                "there is no {kind} called '{value}'; choose one of: {listed}",
                kind=kind,
                value=value,
                listed=listed,
            )
        else:
            text = tr(
                "there is no {kind} called '{value}'; choose one of the {count} that are "
                "listed, such as '{example}'",
                kind=kind,
                value=value,
                count=len(known),
                example=known[0],
            )
        super().__init__(text)
        self.kind = kind
        self.value = value
        self.known = tuple(known)
        self.meant = tuple(meant)


class SettingError(ProofingError):
    """A setting lies outside what makes sense.

    Parameters
    ----------
    field, value
        Which, and what it was to be; `field` is '' where it is about no single one.
    message
        What to do.
    says_value
        Whether the message says the value itself.
    """

    def __init__(
        self, field: str, value: object, message: str, *, says_value: bool = False
    ) -> None:
        where = "" if not field else f"{field}: " if says_value else f"{field} = {value}: "
        super().__init__(f"{where}{message}")
        self.field = field
        self.value = value
        self.message = message


class OutputError(ProofingError):
    """A file cannot be written; nothing half-written is left behind."""

    def __init__(self, message: str, path: Path | str | None = None) -> None:
        super().__init__(message)
        self.path = None if path is None else Path(path)


class Cancelled(ProofingError):
    """The work was called off because a newer request replaced it."""
