"""How words run: blocks into atoms that stay whole, atoms into two columns and on to more pages."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from app.handout.parts import Part

Placer = Callable[[float, float], list[Part]]
"""From the upper left corner to what is drawn there."""

_WORTH_A_SECTION = 1.22
"""A column may become so much longer than the shortest for a break between two sections."""

_WELL_FILLED = 0.6
"""A page may end with a section if so much stands on it of what would fit."""


@dataclass(frozen=True)
class Atom:
    """Something that is never broken.

    Attributes
    ----------
    height
        Of it alone.
    place
        Makes its parts.
    before
        Room above it, where it does not begin a column.
    holds_next
        Whether the next one must stand in the same column, as a heading's first lines.
    opens
        Whether a section begins with it.
    again
        The heading that stands above it where it begins a column in the midst of a section.
    """

    height: float
    place: Placer
    before: float = 0.0
    holds_next: bool = False
    opens: bool = False
    again: Atom | None = None


Group = tuple[Atom, ...]


def groups(atoms: Sequence[Atom]) -> list[Group]:
    """Atoms that must stand in one column, together."""
    found: list[Group] = []
    held: list[Atom] = []
    for atom in atoms:
        held.append(atom)
        if not atom.holds_next:
            found.append(tuple(held))
            held = []
    if held:
        found.append(tuple(held))
    return found


def height_of(atoms: Sequence[Atom]) -> float:
    """Of atoms in one column; the room above the first is left out."""
    return sum(atom.height + (atom.before if i else 0.0) for i, atom in enumerate(atoms))


def _flat(parts: Sequence[Group]) -> list[Atom]:
    """The atoms of a column of groups, below their heading."""
    atoms = [atom for group in parts for atom in group]
    again = atoms[0].again if atoms else None
    return atoms if again is None else [again, *atoms]


def filled(parts: Sequence[Group], limit: float) -> int:
    """How many groups stand in a column of a height; at least one, or nothing would ever end."""
    count = 0
    while count < len(parts) and height_of(_flat(parts[: count + 1])) <= limit + 1e-6:
        count += 1
    return max(count, 1) if parts else 0


def two_columns(parts: Sequence[Group], limit: float) -> tuple[int, int]:
    """How many groups stand in each of two columns of at most a height.

    Where all fit, the columns are about as long as each other, and the break lies between two
    sections if that costs little.
    """
    left = filled(parts, limit)
    right = filled(parts[left:], limit)
    if left + right < len(parts):
        return left, right
    heights = [
        (max(height_of(_flat(parts[:at])), height_of(_flat(parts[at:]))), at)
        for at in range(1, len(parts) + 1)
    ]
    fitting = [each for each in heights if each[0] <= limit + 1e-6]
    if not fitting:  # something is higher than a page
        return left, right
    least, at = min(fitting)
    sections = [
        each
        for each in fitting
        if each[0] <= _WORTH_A_SECTION * least and each[1] < len(parts) and parts[each[1]][0].opens
    ]
    if sections:
        at = min(sections)[1]
    return at, len(parts) - at


def flow(
    atoms: Sequence[Atom], first_limit: float, later_limit: float
) -> list[tuple[list[Atom], list[Atom]]]:
    """The columns of each page.

    Parameters
    ----------
    atoms
        In reading order.
    first_limit, later_limit
        Height of the columns on the first page and on the pages after it.
    """
    rest = groups(atoms)
    pages: list[tuple[list[Atom], list[Atom]]] = []
    while rest or not pages:
        limit = later_limit if pages else first_limit
        if rest and not pages and height_of(rest[0]) > limit:
            pages.append(([], []))  # no room below the pictures
            continue
        left, right = two_columns(rest, limit)
        if left + right < len(rest):
            left, right = _to_a_section(rest, left + right, limit)
        pages.append((_flat(rest[:left]), _flat(rest[left : left + right])))
        rest = rest[left + right :]
    return pages


def _to_a_section(parts: Sequence[Group], count: int, limit: float) -> tuple[int, int]:
    """The columns of a page that others follow: it ends with a section where it stays well filled.

    Parameters
    ----------
    parts, count
        The groups, and how many of them would fit.
    limit
        Height of a column.
    """
    enough = _WELL_FILLED * height_of(_flat(parts[:count]))
    for end in range(count, 0, -1):
        if height_of(_flat(parts[:end])) < enough:
            break
        if parts[end][0].opens:
            return two_columns(parts[:end], limit)
    left = filled(parts, limit)
    return left, count - left
