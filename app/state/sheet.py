"""The prints of a sheet: one phrase of the sentence in up to nine ways, all else alike."""

from __future__ import annotations

import math
from dataclasses import dataclass

from app.state.facts import Facts
from app.state.sentence import Phrase, sentence
from app.state.setting import Setting
from app.state.state import State

MOST = 9
"""Prints on a sheet: as many as a person can tell apart, and as there are digits."""

SHEETS = {"stocks": "stock", "lights": "light"}
"""The arrangements that are a sheet, and the setting that goes from print to print."""


@dataclass(frozen=True)
class SheetPrint:
    """One print of a sheet.

    Attributes
    ----------
    value
        What it has of the setting that goes from print to print.
    label
        Its phrase, as the sentence would have it.
    setting
        What it is printed and hung with.
    is_chosen
        Whether that is the setting in force.
    """

    value: str
    label: str
    setting: Setting
    is_chosen: bool


def sheet(state: State) -> tuple[SheetPrint, ...]:
    """The prints of the sheet that is shown; none where the pictures stand otherwise.

    Of more than nine things to choose among it holds those nine, in the order of their list, that
    the chosen one is among.
    """
    field = SHEETS.get(state.view.arrangement)
    if field is None or state.facts.picture is None:
        return ()
    values = _values(field, state.facts)
    now = str(getattr(state.setting, field)).casefold()
    if now not in (value.casefold() for value in values):
        values = (str(getattr(state.setting, field)), *values)  # such as a halogen of 2900 K
    at = [value.casefold() for value in values].index(now)
    first = at // MOST * MOST
    return tuple(
        _print(state, field, value, value.casefold() == now)
        for value in values[first : first + MOST]
    )


def _values(field: str, facts: Facts) -> tuple[str, ...]:
    if field == "stock":
        return tuple(fact.path or fact.name for fact in facts.stocks)
    return tuple(fact.name for fact in facts.lights)


def _print(state: State, field: str, value: str, is_chosen: bool) -> SheetPrint:
    setting = state.setting if is_chosen else state.setting.change(**{field: value})
    phrases = [part for part in sentence(setting, state.facts) if isinstance(part, Phrase)]
    label = next(phrase.text for phrase in phrases if phrase.field == field)
    return SheetPrint(value, label, setting, is_chosen)


def grid(count: int, width: int, height: int, shape: float) -> tuple[int, int]:
    """Columns and rows that let each picture be largest.

    Parameters
    ----------
    count
        How many there are.
    width, height
        The room for all, in one unit.
    shape
        Width of a picture by its height.

    Examples
    --------
    >>> grid(6, 1400, 600, 1.5), grid(6, 600, 900, 1.5), grid(1, 100, 100, 1.0)
    ((3, 2), (2, 3), (1, 1))
    """
    count = max(count, 1)

    def side(columns: int) -> float:
        rows = math.ceil(count / columns)
        return min(width / columns / shape, height / rows)

    columns = max(range(1, count + 1), key=side)
    return columns, math.ceil(count / columns)
