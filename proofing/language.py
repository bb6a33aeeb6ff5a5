"""Texts for people: where a translation and the signs of a locale come in.

Every text that a person reads is a literal inside :func:`tr` (said now), :func:`mark` (kept in a
table, said by ``tr`` where it is shown) or :func:`counted` (with a number that decides its form).
Qt's ``lupdate`` finds all three; until a program calls :func:`speak` they are said as written,
in English with a decimal point.
"""

from __future__ import annotations

import string
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any


def _as_written(text: str, singular: str | None, n: int) -> str:
    return singular if singular is not None and n == 1 else text


@dataclass(frozen=True)
class Speech:
    """How texts are said.

    Attributes
    ----------
    translate
        Text, its singular (or None) and a number to the text in another language.
    decimal_sign
        What stands before the decimals.
    language
        Its name, such as ``de_CH``; '' as written.
    """

    translate: Callable[[str, str | None, int], str] = _as_written
    decimal_sign: str = "."
    language: str = ""


_speech = Speech()


def speak(speech: Speech) -> Speech:
    """Say every text in this way from now on; returns how it was before."""
    global _speech  # one program has one reader
    before, _speech = _speech, speech
    return before


def speech() -> Speech:
    """How texts are said now."""
    return _speech


class _Numerals(string.Formatter):
    """``str.format`` with the decimal sign of the reader."""

    def format_field(self, value: Any, format_spec: str) -> str:
        text: str = super().format_field(value, format_spec)
        return numeral(text) if hasattr(value, "__float__") else text


_FORMATTER = _Numerals()


def numeral(text: str) -> str:
    """A number written with a point, with the decimal sign of the reader.

    >>> numeral("1.5")
    '1.5'
    """
    return text if _speech.decimal_sign == "." else text.replace(".", _speech.decimal_sign)


def tr(text: str, /, **values: object) -> str:
    """A text in the reader's language.

    Parameters
    ----------
    text
        As written, with the values' names in braces.
    values
        What stands there; numbers get the decimal sign of the reader, texts stay as they are.

    Examples
    --------
    >>> tr("Steps {first} to {last:.1f} run together.", first=1, last=4.5)
    'Steps 1 to 4.5 run together.'
    """
    said = _speech.translate(text, None, 0) if text else ""
    return filled(said, **values) if values else said


def counted(many: str, one: str, n: int, /, **values: object) -> str:
    """A text whose form follows a number, which stands in it as ``{n}``.

    >>> counted("{n} places", "{n} place", 1), counted("{n} places", "{n} place", 3)
    ('1 place', '3 places')
    """
    return filled(_speech.translate(many, one, n), n=n, **values)


def mark(text: str) -> str:
    """A text of a table, as it is: the translator finds it here, :func:`tr` says it."""
    return text


def listed(parts: Sequence[str]) -> str:
    """Words one after the other.

    >>> listed(["reds"]), listed(["reds", "blues"]), listed(["reds", "blues", "browns"])
    ('reds', 'reds and blues', 'reds, blues and browns')
    """
    if len(parts) < 2:
        return "".join(parts)
    return tr("{list} and {last}", list=", ".join(parts[:-1]), last=parts[-1])


def alternatives(parts: Sequence[str]) -> str:
    """Words of which one is to be chosen.

    >>> alternatives([".png", ".tif"])
    '.png or .tif'
    """
    if len(parts) < 2:
        return "".join(parts)
    return tr("{list} or {last}", list=", ".join(parts[:-1]), last=parts[-1])


def filled(text: str, /, **values: object) -> str:
    """A text that is in the reader's language already, with its values."""
    return _FORMATTER.vformat(text, (), values)
