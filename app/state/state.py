"""The whole state of the program as one frozen value, and its history."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

from app.state.facts import Facts
from app.state.setting import Setting
from app.state.table import SETTINGS
from proofing.language import listed, tr

_DEPTH = 200


@dataclass(frozen=True)
class History:
    """Settings gone by and settings undone, around the present one.

    Attributes
    ----------
    present
        The setting in force.
    past
        Earlier settings, oldest first; at most 200.
    future
        Undone settings, next first.
    gesture
        Name of the gesture that made the present one, '' once it is over. Changes within one
        gesture, such as dragging one slider, are one step.
    """

    present: Setting
    past: tuple[Setting, ...] = ()
    future: tuple[Setting, ...] = ()
    gesture: str = ""

    def change(self, setting: Setting, gesture: str = "") -> History:
        """The history after a change; the same object when nothing changes."""
        if setting == self.present:
            return self
        if gesture and gesture == self.gesture and self.past:
            if setting == self.past[-1]:  # back where the gesture began: no step at all
                return History(setting, self.past[:-1])
            return History(setting, self.past, (), gesture)
        return History(setting, (*self.past, self.present)[-_DEPTH:], (), gesture)

    def undo(self) -> History:
        """One step back; the same object when there is none."""
        if not self.past:
            return self
        return History(self.past[-1], self.past[:-1], (self.present, *self.future))

    def redo(self) -> History:
        """One step forward again; the same object when there is none."""
        if not self.future:
            return self
        return History(self.future[0], (*self.past, self.present), self.future[1:])

    def without_photograph(self, gone: str, instead: str) -> History:
        """The same way without a picture that cannot be opened: no undo leads to it again."""

        def kept(setting: Setting) -> Setting:
            return setting.change(photograph=instead) if setting.photograph == gone else setting

        present, past, future = kept(self.present), list[Setting](), list[Setting]()
        for setting in map(kept, self.past):
            if not past or setting != past[-1]:
                past.append(setting)
        while past and past[-1] == present:
            past.pop()
        for setting in map(kept, self.future):
            if setting != (future[-1] if future else present):
                future.append(setting)
        return History(present, tuple(past), tuple(future))

    @property
    def undo_title(self) -> str:
        """What an undo would take back, in words; '' when there is nothing."""
        return _difference(self.past[-1], self.present) if self.past else ""

    @property
    def redo_title(self) -> str:
        """What a redo would do again, in words; '' when there is nothing."""
        return _difference(self.present, self.future[0]) if self.future else ""


def _difference(before: Setting, after: Setting) -> str:
    titles = [tr(SETTINGS[id].title) for id in before.changed_fields(after)]
    if len(titles) > 2:
        return tr("several settings")
    return listed([titles[0], *(title.lower() for title in titles[1:])])


@dataclass(frozen=True)
class ViewState:
    """Where the eye is in the pair; no part of the setting and never undone.

    Attributes
    ----------
    zoom
        Screen pixels per picture pixel; None shows the whole picture.
    centre
        The picture point in the middle, as fractions of width and height.
    whole_zoom
        The zoom that shows the whole picture; the window keeps it current.
    size
        'true' shows the print in its true size on this screen, 'seen' as large as it looks from the
        viewing distance; '' leaves it to the zoom.
    size_zoom
        The zoom of that size; the window keeps it current.
    findings_open
        Whether the findings below the pair are open.
    findings
        How many there are; the window keeps it current.
    finding
        Which one is gone to, counted from 0; None for none.
    mark_strength
        How strongly marks are drawn, 0.2 to 1.
    arrangement
        How the two pictures stand: 'beside', 'above', or 'divided', which is on each other with a
        line between that can be drawn; or a sheet of prints instead, 'stocks' or 'lights'.
    set_aside
        Values of the corrections that were taken away to see the print without them; () for none.
    divide
        Where the line stands between two pictures that lie on each other, as a share of the width.
    full_screen
        Whether the window that holds the pictures fills its screen.
    kept
        The setting whose print hangs in the photograph's place, to be compared with; None for the
        photograph itself.
    pictures
        Paths of the pictures at hand, to go to the next and the one before.
    apart
        Whether the pictures stand in a window of their own.
    walk
        The step of the first walk through the window, counted from 0; None while there is none.
    walked
        Whether that walk has been gone, or left, once.
    eye_blur
        Whether the pictures show no more than an eye at the viewing distance resolves.
    surface
        Whether prints are drawn with a hint of their surface.
    pointed
        The image point that is measured; the window keeps it current.
    pins
        Image points that stay measured.
    swaps
        Steps of the history that swapped the print with the kept one, from and to.
    """

    zoom: float | None = None
    centre: tuple[float, float] = (0.5, 0.5)
    whole_zoom: float = 1.0
    size: str = ""
    size_zoom: float = 1.0
    findings_open: bool = True
    findings: int = 0
    finding: int | None = None
    mark_strength: float = 0.8
    arrangement: str = "beside"
    divide: float = 0.5
    set_aside: tuple[Any, ...] = ()
    full_screen: bool = False
    kept: Setting | None = None
    pictures: tuple[str, ...] = ()
    apart: bool = False
    walk: int | None = None
    walked: bool = False
    eye_blur: bool = False
    surface: bool = False
    pointed: tuple[float, float] | None = None
    pins: tuple[tuple[float, float], ...] = ()
    swaps: frozenset[tuple[Setting, Setting]] = frozenset()

    @property
    def as_resolved(self) -> bool:
        """Whether no more is shown than an eye at the viewing distance resolves: by the switch, and
        always at the size as seen from there."""
        return self.eye_blur or self.size == "seen"


@dataclass(frozen=True)
class State:
    """Everything a command can look at or change.

    Attributes
    ----------
    history
        The setting in force, and the way to and from it.
    facts
        The catalogue's names and the open picture.
    view
        Zoom and place.
    asking
        What the program waits for a person to answer: '' for nothing, else one of
        :data:`ASKABLE` or ``'choose <field>'``. The window opens the dialog or chooser and
        clears it.
    """

    history: History
    facts: Facts = field(default_factory=Facts)
    view: ViewState = field(default_factory=ViewState)
    asking: str = ""

    @property
    def setting(self) -> Setting:
        """The setting in force."""
        return self.history.present

    def change(self, gesture: str = "", **values: Any) -> State:
        """The state after some settings change."""
        return self.with_setting(self.setting.change(**values), gesture)

    def with_setting(self, setting: Setting, gesture: str = "") -> State:
        """The state with another setting in force, one step further in the history."""
        return replace(self, history=self.history.change(setting, gesture))

    def with_facts(self, facts: Facts) -> State:
        """The state with other facts."""
        return replace(self, facts=facts)

    def with_view(self, **values: Any) -> State:
        """The state with some of the view changed; another zoom is the end of a size kept."""
        if "zoom" in values:
            values.setdefault("size", "")
        return replace(self, view=replace(self.view, **values))

    def ask(self, what: str) -> State:
        """The state that waits for an answer."""
        return replace(self, asking=what)


ASKABLE = (
    "open photograph", "open exhibit", "open recent", "paste", "reload",
    "save pair", "save setting", "open setting",
    "open combination", "name combination", "match ruler", "match screen",
    "tones", "curve", "order", "write strip", "write sheet", "which stock", "at hand",
    "help", "why", "find command", "stop", "go on", "needed lift", "needed ease", "quit",
)  # fmt: skip
"""What the window can be asked for, besides ``'choose <field>'``."""
