"""Undo is a history of frozen states."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from app.state import History, Setting, State

LUX = st.floats(1, 100_000)


@given(st.lists(LUX, max_size=30))
def test_undoing_everything_leads_to_the_start_and_back(values: list[float]) -> None:
    """And redoing everything to the end."""
    start = History(Setting())
    history = start
    for value in values:
        history = history.change(history.present.change(illuminance=value))
    end, steps = history.present, len(history.past)
    for _ in range(steps):
        history = history.undo()
    assert start.present == history.present
    assert history is history.undo()
    for _ in range(steps):
        history = history.redo()
    assert end == history.present
    assert history is history.redo()


def test_a_change_that_changes_nothing_is_no_step() -> None:
    """The same object comes back."""
    history = History(Setting())
    assert history is history.change(Setting())


def test_a_new_change_forgets_what_was_undone() -> None:
    """There is one future, not several."""
    history = History(Setting()).change(Setting(illuminance=100)).undo()
    history = history.change(Setting(light="A"))
    assert history.future == ()
    assert history.redo() is history


def test_one_gesture_is_one_step() -> None:
    """Dragging a slider is undone at once; the next gesture is another step."""
    history = History(Setting())
    for lux in range(100, 200, 10):
        history = history.change(Setting(illuminance=lux), gesture="drag 1")
    assert len(history.past) == 1
    history = history.change(Setting(illuminance=300), gesture="drag 2")
    history = history.change(Setting(illuminance=400))
    history = history.change(Setting(illuminance=410))
    assert len(history.past) == 4
    assert history.undo().undo().undo().undo().present == Setting()


def test_a_gesture_after_an_undo_is_a_step_of_its_own() -> None:
    """An undone drag cannot swallow the next one."""
    history = History(Setting()).change(Setting(light="A"))
    history = history.change(Setting(light="A", illuminance=100), gesture="drag").undo()
    history = history.change(Setting(light="A", illuminance=90), gesture="drag")
    assert history.undo().present == Setting(light="A")


def test_the_history_is_bounded() -> None:
    """The oldest steps go first."""
    history = History(Setting())
    for step in range(1, 301):
        history = history.change(Setting(illuminance=float(step)))
    assert len(history.past) == 200
    assert history.past[-1].illuminance == 299.0


def test_steps_have_names() -> None:
    """The menu can say what an undo takes back."""
    history = History(Setting()).change(Setting(light="A"))
    assert history.undo_title == "Light"
    assert history.redo_title == ""
    history = history.change(Setting(light="A", illuminance=100, glazing="float glass")).undo()
    assert history.redo_title == "Illuminance and glazing"


def test_state_changes_leave_the_old_state_as_it_was() -> None:
    """Frozen values all the way down."""
    state = State(History(Setting()))
    other = state.change(light="A").with_view(zoom=2.0).ask("help")
    assert state == State(History(Setting()))
    assert (other.setting.light, other.view.zoom, other.asking) == ("A", 2.0, "help")


def test_a_gesture_that_comes_back_is_no_step() -> None:
    """A slider dragged to and fro, or pictures gone through all round: nothing to undo is left, and
    what follows is a step of its own."""
    history = History(Setting()).change(Setting(illuminance=100), "drag")
    history = history.change(Setting(), "drag")
    assert history.past == () and history.undo_title == ""
    assert history.change(Setting(illuminance=50), "drag").past == (Setting(),)
