"""The lamp that comes with a place: a hallway is not lit by the lamp of a viewing booth."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from typing import Any

from app.state.facts import Facts
from app.state.setting import Setting
from app.state.table import SETTINGS
from proofing.errors import UnknownName


def with_usual_lamp(setting: Setting, values: Mapping[str, Any], facts: Facts) -> dict[str, Any]:
    """What a person chooses, and the usual lamp of the place where it names one.

    A place takes its lamp along in the stead of one that places bring, or that is there from the
    start; any other that was chosen stays.

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
    >>> places = PlaceFact("hallway", 50.0, light="LED-B1"), PlaceFact("booth", 500.0)
    >>> facts = Facts(places=places)
    >>> with_usual_lamp(Setting(), {"illuminance": "hallway"}, facts)
    {'illuminance': 'hallway', 'light': 'LED-B1'}
    >>> with_usual_lamp(Setting(light="LED-B1"), {"illuminance": "booth"}, facts)
    {'illuminance': 'booth', 'light': 'D50'}
    >>> with_usual_lamp(Setting(light="A"), {"illuminance": "hallway"}, facts)
    {'illuminance': 'hallway'}
    >>> with_usual_lamp(Setting(), {"illuminance": 50.0}, facts)
    {'illuminance': 50.0}
    """
    chosen = dict(values)
    place = chosen.get("illuminance")
    usual = {SETTINGS["light"].default, *(each.light for each in facts.places)}
    if isinstance(place, str) and "light" not in chosen and setting.light in usual:
        with suppress(UnknownName):
            chosen["light"] = facts.place(place).light
    return chosen
