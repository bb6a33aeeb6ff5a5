"""Every text for people can be translated: found by Qt's own tools, whole, with its values."""

from __future__ import annotations

import ast
import re
import string
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.state.state import ASKABLE
from app.translating import collect, table_texts

ROOT = Path(__file__).parents[2]
SOURCES = sorted(
    path
    for folder in ("app", "proofing")
    for path in (ROOT / folder).rglob("*.py")
    if path.name not in ("language.py", "__init__.py")
)
SAYING = {"tr", "mark", "counted", "filled"}
WORDS = re.compile(r"[A-Za-z’']{2,}[,:;–]* +[A-Za-z{]|[}] [A-Za-z]{2,}|[A-Za-z]{2,} [{]")
"""Two words on end, or a word beside a value."""
NO_PROSE = re.compile(
    r"[{:] ?(border|background|padding)|;border|^padding: |^Exec=|\(\?:|\\S"  # styles, patterns
    r"|^\{\} (lx|ppi|cd/m²|ft|in)$|^, \{\} ppi$|^\{\} × \{\} cm$|^stocklight: \{\}$"  # units, names
)
TABLES = {
    "app/state/commands.py", "app/state/table.py", "app/state/walk.py", "app/work.py",
    "app/panels/find_command.py", "proofing/findings/kinds.py",
}  # fmt: skip
"""Whose texts stand in tables, and are collected from these; what is said of them is checked."""
UNSAID = {
    "app/translating.py": "said to a translator on a terminal",
}
NAMES = {
    *ASKABLE, "Adobe RGB (1998)", "ROMM RGB", "Display P3", "grey, sRGB curve",
    "CIE L*, a*, b* of the print, D50, 2 degrees, absolute. ",  # written into a file
    "fine grain", "textured matte", "smooth matte", "cotton matte", "no glazing", "wrong kind",
    "halogen {} K", "halogen spot, {} K",  # names by which things are called up
    "sRGB IEC61966-2.1",  # of the ICC registry
    "with all marks but clipped in the file",  # measured, not said
    "not a sitting of this version",  # for the log
    ".*related API features are not available", '"Matplotlib" related API features',
    "file for stock", "file for screen_profile", "file for {}",  # asked of the window
    "LUT_1D_SIZE {}",  # of a file
    "<!DOCTYPE html>", "width=device-width, initial-scale=1", "light dark",  # of a page
    "Choose {}…",  # the title of a command, collected whole
}  # fmt: skip
"""What has the look of prose and is none."""


def _said(tree: ast.AST) -> Iterator[ast.Call]:
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Name)
            and node.func.id in SAYING
        ):
            yield node


def _unspoken(tree: ast.Module) -> set[ast.AST]:
    """Docstrings, annotations, and whatever no one reads."""
    found: set[ast.AST] = set()
    for node in ast.walk(tree):
        body = getattr(node, "body", None)
        for statement in body if isinstance(body, list) else ():
            if isinstance(statement, ast.Expr):
                found.add(statement.value)
        if isinstance(node, ast.Subscript):
            found |= set(ast.walk(node.slice))
        if isinstance(node, ast.AnnAssign):
            found |= set(ast.walk(node.annotation))
        if isinstance(node, ast.Compare):
            found |= set(ast.walk(node))
        if isinstance(node, ast.Call):
            name = getattr(node.func, "attr", getattr(node.func, "id", ""))
            if name in SAYING | {"_asking", "ask", "warning", "exception", "filterwarnings"}:
                found |= {part for each in node.args for part in ast.walk(each)}
        if isinstance(node, ast.Assert) and node.msg is not None:
            found |= set(ast.walk(node.msg))
    return found


def untranslatable(source: str, *, is_table: bool = False) -> list[str]:
    """Texts of a source that read like prose and are said by no one."""
    tree = ast.parse(source)
    unspoken = _unspoken(tree)
    parts = {
        part for node in ast.walk(tree) if isinstance(node, ast.JoinedStr)
        for part in ast.walk(node) if part is not node
    }  # fmt: skip
    inside = {
        part
        for node in ast.walk(tree)
        if isinstance(node, (ast.FunctionDef, ast.Lambda))
        for part in ast.walk(node)
    }
    found = []
    for node in ast.walk(tree):
        if node in unspoken or node in parts or (is_table and node not in inside):
            continue
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            text = node.value
        elif isinstance(node, ast.JoinedStr):
            text = "".join(
                str(part.value) if isinstance(part, ast.Constant) else "{}" for part in node.values
            )
        else:
            continue
        if text not in NAMES and WORDS.search(text) and not NO_PROSE.search(text):
            found.append(f"{node.lineno}: {text[:80]!r}")
    return found


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_text_is_kept_from_the_translator(path: Path) -> None:
    """Whatever reads like prose is said by tr, mark, counted or filled."""
    name = path.relative_to(ROOT).as_posix()
    if name not in UNSAID:
        assert not untranslatable(path.read_text(encoding="utf-8"), is_table=name in TABLES)


def test_the_check_finds_what_is_not_said() -> None:
    """Plain and filled-in sentences are both found; what is said is not."""
    assert untranslatable('def f(n):\n    return f"Lost in {n} places"')
    assert untranslatable('label = QLabel("Nothing is lost.")')
    assert not untranslatable('def f(n):\n    return tr("Lost in {n} places", n=n)')


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_every_value_has_its_place_in_the_text(path: Path) -> None:
    """The names in braces are those that are given, so that no translation can go without."""
    for call in _said(ast.parse(path.read_text(encoding="utf-8"))):
        text = call.args[0]
        if not isinstance(text, ast.Constant) or not call.keywords:
            continue
        given = {keyword.arg for keyword in call.keywords}
        if None in given:
            continue
        function = getattr(call.func, "id", "")
        texts = [text.value]
        if function == "counted":
            assert isinstance(call.args[1], ast.Constant)
            texts.append(call.args[1].value)
            given.add("n")
        for each in texts:
            named = {name for _, name, _, _ in string.Formatter().parse(each) if name}
            named |= {"n"} if function == "counted" else set()
            assert given == named, f"{path.name}, line {call.lineno}: {each!r}"


@pytest.fixture(scope="module")
def collected(tmp_path_factory: pytest.TempPathFactory) -> ET.Element:
    """What Qt's lupdate finds."""
    path = tmp_path_factory.mktemp("language") / "all.ts"
    collect(path)
    return ET.parse(path).getroot()


def test_qts_tool_finds_every_text(collected: ET.Element) -> None:
    """lupdate of Qt is the judge of what a translator will be shown."""
    found = {message.findtext("source") for message in collected.iter("message")}
    said = set(table_texts())
    for path in SOURCES:
        for call in _said(ast.parse(path.read_text(encoding="utf-8"))):
            if call.args and isinstance(call.args[0], ast.Constant):
                said.add(call.args[0].value)
    assert len(said) > 1000
    assert said <= found


def test_forms_that_follow_a_number_are_left_to_the_language(collected: ET.Element) -> None:
    """A counted text is one with numerus forms; its singular stands beside it."""
    counted = [m for m in collected.iter("message") if m.get("numerus") == "yes"]
    assert counted
    assert all(message.findtext("comment") for message in counted)
