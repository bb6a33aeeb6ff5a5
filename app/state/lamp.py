"""The lamp that comes with a place: a hallway is not lit by the lamp of a viewing booth."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from app.state.facts import Facts
from app.state.setting import Setting
from app.state.table import SETTINGS
from proofing.errors import UnknownName


def with_usual_lamp(setting: Setting, values: Mapping[str, Any], facts: Facts) -> dict[str, Any]:
    """What a person chooses, and the usual lamp of the place where it names one.

    A lamp that was chosen stays: the place takes its own along only in the stead of the one that
    came with the place before, or of the one that is there from the start.

    Parameters
    ----------
    setting
        In force.
    values
        What is chosen, by setting.
    facts
        Where places are looked up; a place that they do not know changes no lamp.

    Examples
    --------
    >>> from app.state.facts import PlaceFact
    >>> facts = Facts(places=(PlaceFact("hallway", 50.0, light="LED-B1"),))
    >>> with_usual_lamp(Setting(), {"illuminance": "hallway"}, facts)
    {'illuminance': 'hallway', 'light': 'LED-B1'}
    >>> with_usual_lamp(Setting(light="A"), {"illuminance": "hallway"}, facts)
    {'illuminance': 'hallway'}
    >>> with_usual_lamp(Setting(), {"illuminance": 50.0}, facts)
    {'illuminance': 50.0}
    """
    chosen = dict(values)
    place = chosen.get("illuminance")
    if not isinstance(place, str) or "light" in chosen:
        return chosen
    try:
        if setting.light == usual_lamp(setting, facts):
            chosen["light"] = facts.place(place).light
    except UnknownName:
        return chosen
    return chosen


def usual_lamp(setting: Setting, facts: Facts) -> str:
    """The lamp that is there while none is chosen.

    Raises
    ------
    UnknownName
        When no such place is listed.
    """
    if isinstance(setting.illuminance, str):
        return facts.place(setting.illuminance).light
    return str(SETTINGS["light"].default)
