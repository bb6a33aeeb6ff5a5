"""What is printed on a terminal or into a pipe: progress, paragraphs, tables, JSON."""

from __future__ import annotations

import json
import sys
import textwrap
from collections.abc import Iterable, Sequence
from typing import Any, TextIO

from proofing.language import mark, tr

FIRST_TIME = mark("the first time on a computer this takes up to half a minute…")
"""Said while the pixel loops are compiled or read back; which of them is not known before."""

_WIDTH = 96


class Progress:
    """One line on a terminal that says what is going on; silent in a pipe."""

    def __init__(self, stream: TextIO | None = None) -> None:
        self._stream = sys.stderr if stream is None else stream
        self._live = self._stream.isatty()

    def say(self, words: str) -> None:
        """Replace the line."""
        if self._live:
            self._stream.write(f"\r\x1b[K{words}")
            self._stream.flush()

    def __enter__(self) -> Progress:
        return self

    def __exit__(self, *_: object) -> None:
        if self._live:
            self._stream.write("\r\x1b[K")
            self._stream.flush()


def rounded(values: Iterable[float], places: int) -> list[float]:
    return [round(float(value), places) + 0.0 for value in values]


def print_json(value: Any) -> None:
    json.dump(value, sys.stdout, ensure_ascii=False, indent=2, allow_nan=False, default=str)
    print(flush=True)


def print_paragraphs(paragraphs: Sequence[str]) -> None:
    for paragraph in paragraphs:
        indent = " " * (5 if paragraph.startswith("   – ") else 18) if paragraph[:1] == " " else ""
        head = " " * (len(paragraph) - len(paragraph.lstrip()))
        if paragraph.startswith("Written"):  # a path is never broken
            print(paragraph)
            continue
        print(
            textwrap.fill(
                paragraph.strip(),
                _WIDTH,
                initial_indent=head,
                subsequent_indent=indent,
                break_long_words=False,
                break_on_hyphens=False,
            )
        )
    sys.stdout.flush()


def print_table(
    heads: Sequence[str], rows: Sequence[Sequence[str]], notes: Sequence[str], legend: str
) -> None:
    """Print a table, what is to be said of its rows, and what its heads mean."""
    widths = [max(len(row[i]) for row in (heads, *rows)) for i in range(len(heads))]
    for row in (heads, *rows):
        print(
            "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        )
    print()
    names: dict[str, list[str]] = {}
    for row, note in zip(rows, notes, strict=True):
        if note:
            names.setdefault(note, []).append(row[0])
    for note, named in names.items():
        whose = tr("All") if len(named) == len(rows) > 1 else " · ".join(named)
        print(
            textwrap.fill(
                f"{whose}: {note}", _WIDTH, subsequent_indent="  ", break_on_hyphens=False
            )
        )
    print()
    print(textwrap.fill(legend, _WIDTH, break_on_hyphens=False))
    sys.stdout.flush()
