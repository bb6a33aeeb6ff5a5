"""Why a number is what it is: explanations for people, by the id of what shows the number."""

from __future__ import annotations

import functools
import tomllib
from dataclasses import dataclass, replace
from importlib import resources

from proofing.language import tr

SENTENCES = 3


@dataclass(frozen=True)
class Why:
    """An explanation.

    Attributes
    ----------
    id
        Of the mark, setting or figure it explains.
    title
        What that is called.
    sentences
        Three plain ones.
    formula
        How it is worked out.
    source
        Where that comes from.
    more
        Ids of what is explained further.
    """

    id: str
    title: str
    sentences: tuple[str, ...]
    formula: str
    source: str
    more: tuple[str, ...] = ()


@functools.cache
def whys() -> dict[str, Why]:
    """All explanations by id, from resources/whys.toml."""
    text = (resources.files("resources") / "whys.toml").read_text(encoding="utf-8")
    return {
        id: Why(
            id,
            row["title"],
            tuple(row["sentences"]),
            row["formula"],
            row["source"],
            tuple(row.get("more", ())),
        )
        for id, row in tomllib.loads(text).items()
    }


def why(id: str) -> Why | None:
    """The explanation of an id in the reader's language, or None."""
    found = whys().get(id)
    if found is None:
        return None
    return replace(
        found,
        title=tr(found.title),
        sentences=tuple(tr(sentence) for sentence in found.sentences),
        formula=tr(found.formula),
        source=tr(found.source),
    )
