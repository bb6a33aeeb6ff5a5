"""Points that are pinned on the pictures, to be measured all the while."""

from __future__ import annotations

from app.state.state import State

MOST_PINS = 9


def letter(number: int) -> str:
    """The name of a pin, counted from 0.

    >>> letter(0), letter(8)
    ('a', 'i')
    """
    return "abcdefghi"[number]


def pin(state: State) -> State:
    """Pin the point that is pointed at, or the middle of what is in sight; none twice."""
    picture, view = state.facts.picture, state.view
    if picture is None or len(view.pins) >= MOST_PINS:
        return state
    x, y = view.pointed or (
        view.centre[0] * picture.width_px,
        view.centre[1] * picture.height_px,
    )
    point = (
        min(max(x, 0.0), picture.width_px - 1.0),
        min(max(y, 0.0), picture.height_px - 1.0),
    )
    return state if point in view.pins else state.with_view(pins=(*view.pins, point))


def can_pin(state: State) -> bool:
    """Whether there is a picture, and room for one more."""
    return state.facts.picture is not None and len(state.view.pins) < MOST_PINS


def unpin(state: State) -> State:
    """Take the pin away that was set last."""
    return state.with_view(pins=state.view.pins[:-1])


def unpin_all(state: State) -> State:
    """Take all of them away."""
    return state.with_view(pins=())


def has_pins(state: State) -> bool:
    """Whether there is any."""
    return bool(state.view.pins)
