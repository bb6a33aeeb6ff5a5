"""Every command of the table does what its title says."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from app.state import (
    ASKABLE,
    BY_ID,
    COMMANDS,
    MENUS,
    SETTINGS,
    Command,
    Facts,
    History,
    Setting,
    State,
    run,
)
from proofing.findings.kinds import Kind


def test_ids_and_shortcuts_are_given_once() -> None:
    """No two commands share a name, a title or a key."""
    for values in (
        [command.id for command in COMMANDS],
        [command.title for command in COMMANDS],
        [command.shortcut for command in COMMANDS if command.shortcut],
    ):
        assert len(values) == len(set(values))


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command.id)
def test_every_command_is_fit_for_a_menu(command: Command) -> None:
    """A title, a menu that exists, a shortcut that every keyboard has."""
    assert command.title[0].isupper()
    assert command.menu in MENUS
    assert re.fullmatch(
        r"((Ctrl|Shift|Alt)\+)*([A-Z0-9+-]|F[1-9]|F1[12]|Home|End|Left|Right|Up|Down|PgUp|PgDown|Backspace|Ins|Del)",
        command.shortcut,
    )


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command.id)
def test_every_command_runs_where_it_is_enabled_and_only_there(
    command: Command, state: State
) -> None:
    """On a bare state too nothing breaks; what is not enabled changes nothing."""
    changed = state.change(light="LED-B2").with_view(zoom=4.0)
    before = changed.with_setting(changed.setting.change(illuminance=100.0))
    before = replace(before, history=before.history.undo())
    for tried in (state, changed, before, State(History(Setting()))):
        after = run(tried, command.id)
        if command.enabled(tried):
            assert after != tried or command.id == "whole_picture"
            assert isinstance(after, State)
        else:
            assert after is tried


def test_a_choice_is_asked_for_and_not_made() -> None:
    """What needs a dialog only says so, and names something the window knows."""
    state = State(History(Setting()))
    asked = {run(state, command.id).asking for command in COMMANDS} - {""}
    assert {f"choose {id}" for id in SETTINGS} >= {a for a in asked if a.startswith("choose ")}
    assert set(ASKABLE) >= {a for a in asked if not a.startswith("choose ")}
    assert len([a for a in asked if a.startswith("choose ")]) == 9


def test_alt_digits_follow_the_sentence(state: State) -> None:
    """Alt+1 is the first phrase after the photograph, and so on."""
    from app.state import Phrase, sentence

    phrases = [p.field for p in sentence(state.setting, state.facts) if isinstance(p, Phrase)]
    digits = sorted(
        (c for c in COMMANDS if re.fullmatch(r"Alt\+\d", c.shortcut)), key=lambda c: c.shortcut
    )
    assert phrases[1:10] == [command.id.removeprefix("choose_") for command in digits]


@pytest.mark.parametrize("field", ["stock", "light"])
def test_stepping_goes_through_all_and_round(field: str, state: State) -> None:
    """Forward as far as there are names leads back; backward undoes forward."""
    names = {"stock": 3, "light": 3}[field]
    seen, now = [], state
    for _ in range(names):
        now = run(now, f"next_{field}")
        seen.append(getattr(now.setting, field))
    assert len(set(seen)) == names
    assert now.setting == state.setting
    there = run(state, f"next_{field}")
    assert run(there, f"previous_{field}").setting == state.setting


def test_stepping_from_a_name_that_is_not_listed_starts_at_the_first(state: State) -> None:
    """A halogen of one's own temperature is in no list."""
    assert run(state.change(light="halogen 2900 K"), "next_light").setting.light == "D50"


def test_the_room_gets_brighter_and_dimmer_in_steps(state: State) -> None:
    """From a number, from a place, and not beyond the ends."""
    assert run(state, "brighter_room").setting.illuminance == 750.0
    assert run(state, "dimmer_room").setting.illuminance == 300.0
    hallway = state.change(illuminance="hallway")
    assert run(hallway, "brighter_room").setting.illuminance == 100.0
    assert run(hallway, "dimmer_room").setting.illuminance == 20.0
    assert not BY_ID["dimmer_room"].enabled(state.change(illuminance=20.0))
    assert not BY_ID["brighter_room"].enabled(state.change(illuminance=10_000.0))


def test_marks_are_shown_and_hidden_one_by_one_and_all_at_once(state: State) -> None:
    """Twice the same key changes nothing."""
    for kind in Kind:
        hidden = run(state, f"mark_{kind.value}")
        assert hidden.setting.marks == frozenset(Kind) - {kind}
        assert run(hidden, f"mark_{kind.value}").setting == state.setting
    none = run(run(state, "mark_out_of_gamut"), "toggle_marks")
    assert none.setting.marks == frozenset()
    assert run(none, "toggle_marks").setting.marks == frozenset(Kind)


def test_switches_go_back_and_forth(state: State) -> None:
    """Intent in three steps, the others in two."""
    for id, steps in (("next_intent", 3), ("toggle_compensation", 2), ("toggle_look", 2)):
        now = state
        for _ in range(steps):
            now = run(now, id)
        assert now.setting == state.setting
        assert len(now.history.past) == steps


def test_undo_and_redo(state: State) -> None:
    """One step each; the view stays where it is."""
    changed = state.change(light="A").with_view(zoom=3.0)
    undone = run(changed, "undo")
    assert undone.setting == state.setting
    assert undone.view == changed.view
    assert run(undone, "redo").setting == changed.setting


def test_back_to_the_start_keeps_the_photograph_and_can_be_undone(state: State) -> None:
    """It is a step like any other."""
    changed = state.change(photograph="a.tif", light="A", illuminance=50.0)
    again = run(changed, "start_again")
    assert again.setting == Setting(photograph="a.tif")
    assert run(again, "undo").setting == changed.setting


def test_zooming(state: State) -> None:
    """In from the whole picture and out to it again; never beyond the ends."""
    state = state.with_view(whole_zoom=0.2)
    near = state
    for _ in range(40):
        near = run(near, "nearer")
    assert near.view.zoom == 16.0
    far = near
    for _ in range(40):
        far = run(far, "farther")
    assert far.view.zoom is None
    assert run(state, "pixel_for_pixel").view.zoom == 1.0
    assert run(near, "whole_picture").view.zoom is None
    assert not BY_ID["farther"].enabled(state)


def test_panning_stops_at_the_edges_and_is_finer_when_near(state: State) -> None:
    """The centre stays in the picture."""
    state = state.with_view(whole_zoom=0.25, zoom=0.5)
    step = run(state, "pan_right").view.centre[0] - 0.5
    finer = run(state.with_view(zoom=1.0), "pan_right").view.centre[0] - 0.5
    assert step == pytest.approx(2 * finer)
    now = state
    for _ in range(200):
        now = run(run(now, "pan_left"), "pan_up")
    assert now.view.centre == (0.0, 0.0)


def test_nothing_is_done_to_a_picture_that_is_not_there() -> None:
    """Without a picture there is nothing to save or to look at."""
    state = State(History(Setting()), Facts())
    for id in ("save_pair", "nearer", "pan_left", "pixel_for_pixel"):
        assert not BY_ID[id].enabled(state)


def test_corrections_are_taken_away_and_given_back_by_one_key(state: State) -> None:
    """All of them at once, as they were; a correction made meanwhile is the one that counts."""
    corrected = state.change(shadow_lift=0.5, colour_ease=30.0, curve="0:0 64:80 255:255")
    plain = run(corrected, "without_corrections")
    assert plain.setting == state.setting
    assert run(plain, "without_corrections").setting == corrected.setting
    assert not BY_ID["without_corrections"].enabled(state)
    other = plain.change(shadow_lift=1.0)
    assert run(run(other, "without_corrections"), "without_corrections").setting == other.setting


def test_another_picture_at_hand_begins_without_corrections(facts: Facts) -> None:
    """They were found for the one before; undo brings both back."""
    state = State(History(Setting(photograph="a.tif", shadow_lift=0.5, crop="1:1", crop_place=0.1)))
    state = state.with_facts(facts).with_view(pictures=("a.tif", "b.tif"))
    after = run(state, "next_picture")
    assert after.setting == Setting(photograph="b.tif", crop="1:1")
    assert run(after, "undo").setting == state.setting
