"""``python -m app.translating FILE.ts``: every text of the program, for a translator.

The texts of the sources are found by Qt's lupdate; those of the tables and of the records in
resources/ are added from what the program itself reads. An existing FILE keeps what has been
translated.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import PySide6

from app.state.commands import COMMANDS, MENUS
from app.state.table import SETTINGS
from app.state.walk import STEPS
from app.whys import whys
from app.work import PREPARING, WORDS
from proofing.catalogue import Catalogue
from proofing.findings.kinds import Kind
from proofing.ordering.surface_detail import SURFACE_DETAIL
from proofing.photograph.facts import CHANNEL_NAMES

ROOT = Path(__file__).parents[1]
FUNCTIONS = "tr+=mark,tr+=counted"
_SAID = ("name", "words", "stock_class", "note", "caution", "provenance")
"""Fields of a record whose text is shown."""


def table_texts() -> list[str]:
    """Texts that stand in tables and records, each once, in their order."""
    return list(dict.fromkeys(text for text in _texts() if text))


def _texts() -> Iterator[str]:
    yield from MENUS
    yield from (command.title for command in COMMANDS)
    for row in SETTINGS.values():
        yield from (row.title, row.sentence, row.automatic, row.unit, *row.about)
        yield from (words for _, words in row.choices)
    for kind in Kind:
        yield from kind.written
    yield from (name for names in CHANNEL_NAMES.values() for name in names)
    yield from (*WORDS.values(), PREPARING)
    yield from (text for step in STEPS for text in (step.title, step.text))
    for why in whys().values():
        yield from (why.title, *why.sentences, why.formula, why.source)
    yield from SURFACE_DETAIL
    catalogue = Catalogue.load()
    for thing in (*catalogue.stocks, *catalogue.lights, *catalogue.glazings, *catalogue.places):
        yield from (getattr(thing, field, "") or "" for field in _SAID)


def collect(path: Path) -> None:
    """Write every text to a Qt translation source.

    Parameters
    ----------
    path
        A ``.ts`` file; where it exists, its translations are kept.

    Raises
    ------
    subprocess.CalledProcessError
        lupdate has failed.
    """
    sources = [
        str(source) for folder in ("app", "proofing") for source in (ROOT / folder).rglob("*.py")
    ]
    with tempfile.TemporaryDirectory() as folder:
        tables = Path(folder) / "tables.py"
        lines = "".join(f"mark({text!r})\n" for text in table_texts())
        tables.write_text(lines, encoding="utf-8")
        subprocess.run(
            [
                Path(PySide6.__file__).parent / "lupdate",
                *("-silent", "-locations", "none", "-tr-function-alias", FUNCTIONS),
                *sorted(sources),
                str(tables),
                *("-ts", str(path.absolute())),
            ],
            check=True,
        )


if __name__ == "__main__":
    if len(sys.argv) != 2 or not sys.argv[1].endswith(".ts"):
        raise SystemExit("give the file to write, such as stocklight_de.ts")
    collect(Path(sys.argv[1]))
