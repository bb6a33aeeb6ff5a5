"""The pages of help: Markdown of resources/help, with what the tables know put in."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib import resources

from app.state import COMMANDS, MENUS
from app.views.frame import IN_THE_FILE
from proofing.findings.kinds import Kind
from proofing.language import speech, tr

PAGES = ("first_minute", "sentence", "marks", "numbers", "screen_and_room", "order", "keys")
"""The pages, in the order of the list of contents."""
LINK = re.compile(r"\]\((\w+)\.md\)")
"""A link from page to page."""
KEY = re.compile(r"\b(?:(?:Ctrl|Alt|Shift)\+)+\w+|\bF\d{1,2}\b")
"""Keys as prose names them, in the notation of the table."""


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
    return tr("Drawn on the photograph.") if kind in IN_THE_FILE else tr("Drawn on the print.")


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
    own = keys or {}
    more: dict[str, Callable[[], str]] = {
        "marks": lambda: _marks(own),
        "keys": lambda: _commands(own),
    }
    made = []
    for id in PAGES:
        text = _page(id)
        title = text.splitlines()[0].removeprefix("# ")
        text = in_own_keys(text, own)
        if id in more:
            text = f"{text}\n{more[id]()}"
        made.append(HelpPage(id, title, text))
    return tuple(made)


def _page(id: str) -> str:
    """A page in the reader's language where there is one, else in English."""
    folder = resources.files("resources") / "help"
    name = speech().language
    for language in (name, name.partition("_")[0]):
        own = folder / language / f"{id}.md"
        if language and own.is_file():
            return own.read_text(encoding="utf-8")
    return (folder / f"{id}.md").read_text(encoding="utf-8")


def in_own_keys(text: str, keys: Mapping[str, str]) -> str:
    """Prose with the keys it names as this desktop writes them.

    >>> in_own_keys("Press Ctrl+O, or drop it.", {"open_photograph": "⌘O"})
    'Press ⌘O, or drop it.'
    """
    own = {command.shortcut: keys.get(command.id, "") for command in COMMANDS}
    return KEY.sub(lambda found: own.get(found.group()) or found.group(), text)


def _marks(keys: Mapping[str, str]) -> str:
    rows = [tr("| | Mark | Key | What it means |"), "|---|---|---|---|"]
    by_id = {command.id: command.shortcut for command in COMMANDS}
    rows += [
        f"| ![{kind.title}]({picture_of(kind)}) | **{kind.title}** "
        f"| {keys.get(f'mark_{kind.value}', by_id[f'mark_{kind.value}'])} "
        f"| {kind.sentence} {where_drawn(kind)} |"
        for kind in Kind
    ]
    return "\n".join(rows) + "\n"


def _commands(keys: Mapping[str, str]) -> str:
    parts = []
    for menu in MENUS:
        rows = [f"\n## {tr(menu)}\n", tr("| Command | Keys |"), "|---|---|"]
        rows += [
            f"| {tr(command.title)} | {keys.get(command.id, command.shortcut)} |"
            for command in COMMANDS
            if command.menu == menu
        ]
        parts.append("\n".join(rows))
    return "\n".join(parts) + "\n"
