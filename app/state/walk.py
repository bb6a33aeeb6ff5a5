"""A first walk through the window, step by step: what is said of each part."""

from __future__ import annotations

from dataclasses import dataclass

from app.state.state import State


@dataclass(frozen=True)
class Step:
    """One step.

    Attributes
    ----------
    at
        The part of the window it is about: the id of a phrase, ``'pictures'`` or ``'findings'``.
    title
        What it is about, in a few words.
    text
        What to know and to try.
    opens
        Whether a finding is opened there, where none is yet.
    """

    at: str
    title: str
    text: str
    opens: bool = False


STEPS = (
    Step(
        "pictures",
        "The photograph and its print",
        "On the left is the photograph as this screen shows it. On the right is its print, on "
        "paper and in the light of a room, with a rim of bare paper. Turn the wheel or drag on "
        "either of them: both move together.",
    ),
    Step(
        "stock",
        "What it is printed on",
        "This sentence says how the print is made and where it hangs; every underlined word is a "
        "choice. Click the stock and go through the list with the arrow keys: the print follows. "
        "Enter chooses, Escape takes it back.",
    ),
    Step(
        "illuminance",
        "How bright the room is",
        "A print only sends back the light that falls on it. Choose how bright it is there, by a "
        "number or by a familiar place, and which lamp it is.",
    ),
    Step(
        "findings",
        "What gets lost",
        "The bold line is the verdict. Below it stands what gets lost, the worst first. Click a "
        "line, and both pictures go to the place.",
    ),
    Step(
        "findings",
        "What would help",
        "Below a chosen place stands what would help, with a button to try it. One line then "
        "tells what it has brought, and one click takes it back.",
        opens=True,
    ),
    Step(
        "photograph",
        "Your own picture",
        "Drop it on the window, or click the name here. F1 opens the help, and Ctrl+F1 finds any "
        "command by its words.",
    ),
)
"""The walk. Keys that are named stand in the table of commands; a test holds them to it."""


def begin_walk(state: State) -> State:
    """At the first step, with all that it goes to in sight."""
    return state.with_view(walk=0, findings_open=True, arrangement="beside", apart=False)


def go_on(state: State, by: int = 1) -> State:
    """Some steps further or back; after the last one the walk is over."""
    if state.view.walk is None:
        return state
    step = max(0, state.view.walk + by)
    if step >= len(STEPS):
        return leave_walk(state)
    if STEPS[step].opens and state.view.finding is None and state.view.findings > 0:
        state = state.with_view(finding=0)
    return state.with_view(walk=step)


def leave_walk(state: State) -> State:
    """The walk is over, and does not begin by itself again."""
    if state.view.walk is not None and state.view.finding is not None:
        state = state.with_view(finding=None, zoom=None, centre=(0.5, 0.5))
    return state.with_view(walk=None, walked=True)
