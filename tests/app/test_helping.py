"""The pages of help, the words commands are found by, and the steps of the first walk."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import app
from app.helping import KEY, LINK, PAGES, HelpPage, pages
from app.panels.find_command import OTHER_WORDS, command_rows
from app.state import BY_ID, COMMANDS, History, Setting, State, run
from app.state.walk import STEPS, go_on, leave_walk
from proofing.findings.kinds import Kind

KNOWN = {command.shortcut for command in COMMANDS}


@pytest.mark.parametrize("page", pages(), ids=lambda page: page.id)
def test_every_link_leads_to_a_page(page: HelpPage) -> None:
    assert {link.group(1) for link in LINK.finditer(page.text)} <= set(PAGES)
    assert page.text.count("](") == len(LINK.findall(page.text)) + page.text.count("](mark-")


@pytest.mark.parametrize("page", pages(), ids=lambda page: page.id)
def test_every_key_that_is_named_is_a_key_of_the_table(page: HelpPage) -> None:
    assert set(KEY.findall(page.text)) <= KNOWN


def test_every_command_and_every_mark_is_explained() -> None:
    """With the keys of this desktop where they are given."""
    by_id = {page.id: page.text for page in pages({"undo": "Cmd+Z"})}
    for command in COMMANDS:
        assert f"| {command.title} |" in by_id["keys"]
    assert "Cmd+Z" in by_id["keys"] and "Ctrl+Z |" not in by_id["keys"]
    for kind in Kind:
        assert kind.sentence in by_id["marks"]


def test_keys_are_named_as_this_desktop_writes_them() -> None:
    """In prose and tables alike; each mark has its key."""
    by_id = {
        page.id: page.text
        for page in pages({"open_photograph": "Cmd+O", "mark_banding_risk": "Fn8"})
    }
    assert "press Cmd+O" in by_id["first_minute"] and "Ctrl+O" not in by_id["first_minute"]
    assert "| Fn8 |" in by_id["marks"] and "| F2 |" in by_id["marks"]


@pytest.mark.parametrize("page", pages(), ids=lambda page: page.id)
def test_what_a_page_names_is_in_the_program(page: HelpPage) -> None:
    """Words in italics are words of its window, but for the examples."""
    text = " ".join(page.text.replace("\\*", "").split())
    named = re.findall(r"(?<!\*)\*([^*]+)\*(?!\*)", text)
    root = Path(app.__file__).parent
    shown = "\n".join(file.read_text(encoding="utf-8") for file in root.rglob("*.py"))
    examples = {"Harbour at six.tif", "150 lx", "500 lx"}
    for words in set(named) - examples:
        assert words.casefold() in shown.casefold()


def test_every_page_is_linked_from_the_first() -> None:
    first = next(page for page in pages() if page.id == PAGES[0])
    assert {*PAGES[1:]} == {link.group(1) for link in LINK.finditer(first.text)}


def test_light_is_cautioned_about_and_a_conservator_named() -> None:
    """Common practice: strong light, ultraviolet, flicker."""
    text = next(page.text for page in pages() if page.id == "screen_and_room")
    for word in ("ultraviolet", "conservator", "flicker", "local rules"):
        assert word in text


# ---- finding a command


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("paper", "choose_stock"),
        ("lux", "choose_illuminance"),
        ("glass", "choose_glazing"),
        ("BPC", "toggle_compensation"),
        ("second screen", "pair_apart"),
        ("compare", "keep_print"),
        ("ctrl+z", "undo"),
        ("brightness", "choose_illuminance"),
    ],
)
def test_a_command_is_found_by_the_words_of_the_trade(typed: str, found: str) -> None:
    rows = command_rows(State(History(Setting())), {})
    assert found in [row.value for row in rows if row.matches(typed)]


def test_typing_narrows_by_the_beginnings_of_words() -> None:
    rows = command_rows(State(History(Setting())), {})
    assert [row.value for row in rows if row.matches("undo")] == ["undo"]
    assert not [row for row in rows if row.matches("ndo")]


def test_other_words_belong_to_commands_and_rows_say_what_cannot_be_done() -> None:
    assert set(OTHER_WORDS) <= set(BY_ID)
    rows = {row.value: row for row in command_rows(State(History(Setting())), {})}
    assert set(rows) == set(BY_ID) - {"find_command"}
    assert "not possible now" in rows["undo"].facts[0]
    assert "not possible now" not in rows["help"].facts[0]


# ---- the first walk


def test_the_walk_goes_to_its_end_and_back(state: State) -> None:
    now = run(state, "walk")
    seen = []
    while now.view.walk is not None:
        seen.append(now.view.walk)
        assert go_on(now, -1).view.walk == max(0, now.view.walk - 1)
        now = go_on(now)
    assert list(range(len(STEPS))) == seen
    assert now.view.walked
    assert leave_walk(run(state, "walk")).view.walked
    found = run(state.with_view(findings=2), "walk")
    while not STEPS[found.view.walk or 0].opens:
        assert found.view.finding is None
        found = go_on(found)
    assert found.view.finding == 0  # what would help is in sight
    assert go_on(state) is state


def test_keys_that_the_walk_names_are_keys_of_the_table() -> None:
    for step in STEPS:
        assert set(KEY.findall(step.text)) <= KNOWN
        assert step.at in ("pictures", "findings", "photograph", "stock", "illuminance")
