"""The pages of help: Markdown of resources/help, with what the tables know put in."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib import resources

from app.state import COMMANDS, MENUS
from app.views.frame import IN_THE_FILE
from proofing.findings.kinds import Kind

PAGES = ("first_minute", "sentence", "marks", "numbers", "screen_and_room", "keys")
"""The pages, in the order of the list of contents."""
LINK = re.compile(r"\]\((\w+)\.md\)")
"""A link from page to page."""


@dataclass(frozen=True)
class HelpPage:
    """A page.

    Attributes
    ----------
    id
        Its file's name without the ending.
    title
        Its heading.
    text
        Markdown.
    """

    id: str
    title: str
    text: str


def where_drawn(kind: Kind) -> str:
    """In which of the two pictures a mark is, as a sentence."""
    return "Drawn on the photograph." if kind in IN_THE_FILE else "Drawn on the print."


def picture_of(kind: Kind) -> str:
    """What a page calls the picture of a mark's texture."""
    return f"mark-{kind.value}.png"


def pages(keys: Mapping[str, str] | None = None) -> tuple[HelpPage, ...]:
    """All pages.

    Parameters
    ----------
    keys
        The keys of commands as this desktop writes them; those of the table where not given.
    """
    more: dict[str, Callable[[], str]] = {
        "marks": _marks,
        "keys": lambda: _commands(keys or {}),
    }
    made = []
    for id in PAGES:
        text = (resources.files("resources") / "help" / f"{id}.md").read_text(encoding="utf-8")
        title = text.splitlines()[0].removeprefix("# ")
        if id in more:
            text = f"{text}\n{more[id]()}"
        made.append(HelpPage(id, title, text))
    return tuple(made)


def _marks() -> str:
    rows = ["| | Mark | What it means |", "|---|---|---|"]
    rows += [
        f"| ![{kind.title}]({picture_of(kind)}) | **{kind.title}** "
        f"| {kind.sentence} {where_drawn(kind)} |"
        for kind in Kind
    ]
    return "\n".join(rows) + "\n"


def _commands(keys: Mapping[str, str]) -> str:
    parts = []
    for menu in MENUS:
        rows = [f"\n## {menu}\n", "| Command | Keys |", "|---|---|"]
        rows += [
            f"| {command.title} | {keys.get(command.id, command.shortcut)} |"
            for command in COMMANDS
            if command.menu == menu
        ]
        parts.append("\n".join(rows))
    return "\n".join(parts) + "\n"
