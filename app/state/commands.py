"""The one table of commands: menus, shortcuts, help and tests all read it.

A command is a function from state to state and does nothing else. What needs a dialog sets
:attr:`~app.state.state.State.asking`, and the window answers.

The shortcuts are a scheme of our own, laid out as the sentence is: Alt with a digit opens the
chooser of the phrase at that place; Ctrl with the vertical arrows goes through the stocks, with
the horizontal arrows through the lights, with the page keys through the brightness of the room;
F2 to F8 are the marks in the order of the legend, the page keys go from finding to finding, F12
keeps a print to compare with; Ctrl with a digit says how the two pictures stand. What
every desktop shares (Ctrl+O, Ctrl+Z and so on) is kept.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from app.state.facts import Facts
from app.state.pins import can_pin, has_pins, pin, unpin, unpin_all
from app.state.setting import Setting
from app.state.state import History, State
from app.state.table import CORRECTIONS, SETTINGS
from app.state.walk import begin_walk
from proofing.errors import UnknownName
from proofing.findings.kinds import Kind

LUX_STEPS = (20.0, 50.0, 100.0, 150.0, 200.0, 300.0, 500.0, 750.0, 1000.0, 2000.0, 5000.0, 10000.0)
ZOOM_STEP = 2.0**0.5
ZOOM_MAX = 16.0
PAN_STEP = 0.125
"""Share of the picture that one arrow key moves at whole-picture zoom."""


@dataclass(frozen=True)
class Command:
    """One thing a person can do.

    Attributes
    ----------
    id
        A name for code and tests.
    title
        The words of the menu.
    menu
        The menu it belongs to.
    shortcut
        Keys in the portable notation of the toolkit, '' for none.
    apply
        The state before to the state after.
    enabled
        Whether it can be done now.
    """

    id: str
    title: str
    menu: str
    shortcut: str
    apply: Callable[[State], State]
    enabled: Callable[[State], bool] = lambda state: True


MENUS = ("Picture", "Setting", "Room", "Marks", "View", "Help")
"""The menus, in order."""


def _has_picture(state: State) -> bool:
    return state.facts.picture is not None


def _asking(what: str) -> Callable[[State], State]:
    return lambda state: state.ask(what)


def _step_name(field: str, names: Callable[[Facts], list[str]], step: int) -> Command:
    title = SETTINGS[field].title.lower()
    menu = "Setting" if field == "stock" else "Room"
    words = "Next" if step > 0 else "Previous"
    keys = {
        ("stock", 1): "Ctrl+Down",
        ("stock", -1): "Ctrl+Up",
        ("light", 1): "Ctrl+Right",
        ("light", -1): "Ctrl+Left",
        ("glazing", 1): "F9",
    }

    def apply(state: State) -> State:
        listed = names(state.facts)
        if not listed:
            return state
        now = [name.casefold() for name in listed]
        current = str(getattr(state.setting, field)).casefold()
        place = now.index(current) + step if current in now else 0
        return state.change(**{field: listed[place % len(listed)]})

    return Command(
        f"{words.lower()}_{field}",
        f"{words} {title}",
        menu,
        keys[field, step],
        apply,
        lambda state: len(names(state.facts)) > 1,
    )


MADE_FOR_A_PICTURE = {id: SETTINGS[id].default for id in (*CORRECTIONS, "crop_place")}
"""What another picture begins without: it was found for the one before."""


def _step_picture(step: int) -> Callable[[State], State]:
    def apply(state: State) -> State:
        pictures, now = state.view.pictures, state.setting.photograph
        place = pictures.index(now) + step if now in pictures else 0
        if (following := pictures[place % len(pictures)]) == now:
            return state
        return state.change("pictures", photograph=following, **MADE_FOR_A_PICTURE)

    return apply


def _has_others(state: State) -> bool:
    return len(state.view.pictures) > 1


def _stock_names(facts: Facts) -> list[str]:
    return [fact.path or fact.name for fact in facts.stocks]


def _light_names(facts: Facts) -> list[str]:
    return [fact.name for fact in facts.lights]


def _glazing_names(facts: Facts) -> list[str]:
    return list(facts.glazings)


def _lux(state: State) -> float | None:
    try:
        return state.facts.lux(state.setting.illuminance)
    except UnknownName:
        return None


def _brighter(state: State) -> State:
    lux = _lux(state)
    higher = [step for step in LUX_STEPS if lux is None or step > lux]
    return state.change(illuminance=higher[0]) if higher else state


def _dimmer(state: State) -> State:
    lux = _lux(state)
    lower = [step for step in LUX_STEPS if lux is None or step < lux]
    return state.change(illuminance=lower[-1]) if lower else state


def _lift(step: float) -> Callable[[State], State]:
    def apply(state: State) -> State:
        lifted = round((state.setting.shadow_lift + step) / LIFT_STEP) * LIFT_STEP
        return state.change(shadow_lift=min(max(lifted, 0.0), _MOST_LIFT))

    return apply


def _ease(step: float) -> Callable[[State], State]:
    def apply(state: State) -> State:
        eased = round((state.setting.colour_ease + step) / EASE_STEP) * EASE_STEP
        return state.change(colour_ease=min(max(eased, 0.0), 100.0))

    return apply


def is_corrected(state: State) -> bool:
    """Whether the print has a correction."""
    return _corrections(state) != _PLAIN


def _corrections(state: State) -> tuple[object, ...]:
    return tuple(getattr(state.setting, field) for field in CORRECTIONS)


def _set_aside(state: State) -> State:
    """Take the corrections away, findings and all, or give those that were taken back."""
    if is_corrected(state):
        plain = dict(zip(CORRECTIONS, _PLAIN, strict=True))
        return state.change(**plain).with_view(set_aside=_corrections(state))
    given = dict(zip(CORRECTIONS, state.view.set_aside, strict=True))
    return state.change(**given).with_view(set_aside=())


def _next_intent(state: State) -> State:
    intents = [value for value, _ in SETTINGS["intent"].choices]
    return state.change(intent=intents[(intents.index(state.setting.intent) + 1) % len(intents)])


def _toggle_compensation(state: State) -> State:
    return state.change(black_point_compensation=not state.setting.black_point_compensation)


def _toggle_look(state: State) -> State:
    return state.change(look="matched" if state.setting.look == "settled" else "settled")


def _toggle_mark(kind: Kind) -> Callable[[State], State]:
    return lambda state: state.change(marks=state.setting.marks ^ {kind})


def _toggle_marks(state: State) -> State:
    return state.change(marks=frozenset() if state.setting.marks else frozenset(Kind))


def _start_again(state: State) -> State:
    return state.with_setting(Setting(photograph=state.setting.photograph))


def _undo(state: State) -> State:
    return _stepped(state, state.history.undo())


def _redo(state: State) -> State:
    return _stepped(state, state.history.redo())


def _stepped(state: State, history: History) -> State:
    """At another step; where that was a swap, the kept print goes the same way."""
    if history is state.history:
        return state
    step, view = (state.setting, history.present), state.view
    if view.kept is not None and (step in view.swaps or step[::-1] in view.swaps):
        view = replace(view, kept=state.setting)
    return State(history, state.facts, view)


def _zoom(state: State) -> float:
    if state.view.size:
        return state.view.size_zoom
    return state.view.whole_zoom if state.view.zoom is None else state.view.zoom


def _nearer(state: State) -> State:
    return state.with_view(zoom=min(ZOOM_MAX, _zoom(state) * ZOOM_STEP))


def _farther(state: State) -> State:
    zoom = _zoom(state) / ZOOM_STEP
    if zoom <= state.view.whole_zoom:
        return state.with_view(zoom=None, centre=(0.5, 0.5))
    return state.with_view(zoom=zoom)


def _pan(dx: int, dy: int) -> Callable[[State], State]:
    def apply(state: State) -> State:
        step = PAN_STEP * min(1.0, state.view.whole_zoom / _zoom(state))
        x, y = state.view.centre
        return state.with_view(
            centre=(min(1.0, max(0.0, x + dx * step)), min(1.0, max(0.0, y + dy * step)))
        )

    return apply


def _is_near(state: State) -> bool:
    return _has_picture(state) and (state.view.zoom is not None or bool(state.view.size))


def _step_finding(step: int) -> Callable[[State], State]:
    def apply(state: State) -> State:
        count, now = state.view.findings, state.view.finding
        start = -1 if step > 0 else count
        return state.with_view(finding=((start if now is None else now) + step) % count)

    return apply


def _has_findings(state: State) -> bool:
    return state.view.findings > 0


def _strength(step: int) -> Callable[[State], State]:
    def apply(state: State) -> State:
        levels = MARK_STRENGTHS
        now = min(range(len(levels)), key=lambda i: abs(levels[i] - state.view.mark_strength))
        return state.with_view(mark_strength=levels[min(max(now + step, 0), len(levels) - 1)])

    return apply


def _arrange(arrangement: str) -> Callable[[State], State]:
    return lambda state: state.with_view(arrangement=arrangement)


def _stands_otherwise(arrangement: str) -> Callable[[State], bool]:
    return lambda state: state.view.arrangement != arrangement


_ARRANGEMENTS = {
    "beside": "Pictures side by side",
    "above": "Pictures one above the other",
    "divided": "Pictures on each other, with a line to draw",
    "stocks": "The print on up to nine stocks",
    "lights": "The print under up to nine lights",
}


def _draw_line(step: float) -> Callable[[State], State]:
    def apply(state: State) -> State:
        return state.with_view(divide=min(max(state.view.divide + step, 0.0), 1.0))

    return apply


def _is_divided(state: State) -> bool:
    return state.view.arrangement == "divided"


def _keep_print(state: State) -> State:
    return state.with_view(kept=None if state.view.kept is not None else state.setting)


def _swap_prints(state: State) -> State:
    kept = state.view.kept
    if kept is None:
        return state
    own = state.setting
    there = kept.change(photograph=own.photograph, marks=own.marks)
    swaps = state.view.swaps | {(own, there)}
    return state.with_setting(there).with_view(kept=own, swaps=swaps)


def _choose(field: str, title: str, digit: int, menu: str) -> Command:
    return Command(
        f"choose_{field}", f"Choose {title}…", menu, f"Alt+{digit}", _asking(f"choose {field}")
    )


PHRASES = (
    ("stock", "the stock", "Setting"),
    ("size_mm", "the size", "Setting"),
    ("intent", "the rendering intent", "Setting"),
    ("light", "the light", "Room"),
    ("illuminance", "the illuminance", "Room"),
    ("glazing", "the glazing", "Room"),
    ("distance_m", "the viewing distance", "Room"),
    ("look", "the way of looking", "Room"),
    ("screen_profile", "the screen", "Setting"),
)
"""The phrases that Alt with a digit opens, in the order of the sentence."""

_PLAIN = tuple(SETTINGS[field].default for field in CORRECTIONS)
EASE_STEP = 10.0
"""Percent by which a key eases strong colours in more or less."""
LIFT_STEP = 0.25
"""Stops by which a key lifts the shadows more or less."""
_MOST_LIFT = (SETTINGS["shadow_lift"].bounds or (0.0, 0.0))[1]
MARK_STRENGTHS = (0.2, 0.4, 0.6, 0.8, 1.0)
"""How strongly marks can be drawn."""

COMMANDS: tuple[Command, ...] = (
    Command("open_photograph", "Open a photograph…", "Picture", "Ctrl+O",
            _asking("open photograph")),
    Command("open_exhibit", "Demonstration pictures…", "Picture", "Ctrl+D",
            _asking("open exhibit")),
    Command("open_recent", "Pictures opened lately…", "Picture", "Ctrl+L",
            _asking("open recent")),
    Command("paste_picture", "Paste a picture", "Picture", "Ctrl+V", _asking("paste")),
    Command("next_picture", "Next picture at hand", "Picture", "Alt+PgDown", _step_picture(1),
            _has_others),
    Command("previous_picture", "Previous picture at hand", "Picture", "Alt+PgUp",
            _step_picture(-1), _has_others),
    Command("show_at_hand", "Pictures at hand, and what each loses…", "Picture", "Alt+Home",
            _asking("at hand"), _has_picture),
    Command("reload_photograph", "Read the photograph anew", "Picture", "Ctrl+R",
            _asking("reload"), _has_picture),
    Command("save_pair", "Save this pair as a picture…", "Picture", "Ctrl+S",
            _asking("save pair"), _has_picture),
    Command("order", "The order: sheet, file, check…", "Picture", "Alt+Shift+O", _asking("order"),
            _has_picture),
    Command("write_strip", "Write a test strip…", "Picture", "Ctrl+Shift+J",
            _asking("write strip"), _has_picture),
    Command("write_sheet", "Write the sheet for the customer…", "Picture", "Ctrl+J",
            _asking("write sheet"), _has_picture),
    Command("open_setting", "Open a setting…", "Picture", "Ctrl+Shift+O",
            _asking("open setting")),
    Command("save_setting", "Save this setting…", "Picture", "Ctrl+Shift+S",
            _asking("save setting")),
    Command("stop_work", "Stop what is being worked out", "Picture", "Ctrl+B", _asking("stop")),
    Command("go_on", "Go on looking for what is lost", "Picture", "Ctrl+Shift+B", _asking("go on"),
            _has_picture),
    Command("quit", "Quit", "Picture", "Ctrl+Q", _asking("quit")),
    Command("undo", "Undo", "Setting", "Ctrl+Z", _undo,
            lambda state: bool(state.history.past)),
    Command("redo", "Redo", "Setting", "Ctrl+Shift+Z", _redo,
            lambda state: bool(state.history.future)),
    Command("start_again", "Back to the starting setting", "Setting", "Ctrl+Backspace",
            _start_again,
            lambda state: state.setting != Setting(photograph=state.setting.photograph)),
    Command("open_combination", "Combinations…", "Setting", "Ctrl+K",
            _asking("open combination"), _has_picture),
    Command("name_combination", "Name this combination…", "Setting", "Ctrl+Shift+K",
            _asking("name combination")),
    *(_choose(field, title, digit, menu)
      for digit, (field, title, menu) in enumerate(PHRASES, start=1)),
    Command("choose_crop", "Choose the crop…", "Setting", "Alt+Shift+2", _asking("choose crop"),
            _has_picture),
    Command("choose_edge", "Choose margin, wrap and bleed…", "Setting", "Alt+Shift+3",
            _asking("choose edge"), _has_picture),
    Command("which_stock", "Which stock suits this picture…", "Setting", "Alt+Shift+1",
            _asking("which stock"), _has_picture),
    Command("match_screen", "Match the screen to a white sheet…", "Setting", "Alt+Shift+9",
            _asking("match screen")),
    _step_name("stock", _stock_names, 1),
    _step_name("stock", _stock_names, -1),
    Command("next_intent", "Next rendering intent", "Setting", "Ctrl+F9", _next_intent),
    Command("toggle_compensation", "Black point compensation on or off", "Setting", "Ctrl+Shift+F9",
            _toggle_compensation),
    Command("choose_curve", "Choose a curve of your own…", "Setting", "Alt+Shift+K",
            _asking("choose curve"), _has_picture),
    Command("curve", "The curve of this print…", "Setting", "Alt+Shift+G", _asking("curve"),
            _has_picture),
    Command("without_corrections", "Without the corrections, or with them again", "Setting",
            "Shift+F5", _set_aside,
            lambda state: is_corrected(state) or any(state.view.set_aside)),
    Command("choose_shadow_lift", "Choose the shadow lift…", "Setting", "Alt+Shift+L",
            _asking("choose shadow_lift"), _has_picture),
    Command("more_lift", "Lift the shadows more", "Setting", "Ctrl+Shift+PgUp", _lift(LIFT_STEP),
            lambda state: state.setting.shadow_lift < _MOST_LIFT),
    Command("less_lift", "Lift the shadows less", "Setting", "Ctrl+Shift+PgDown",
            _lift(-LIFT_STEP), lambda state: state.setting.shadow_lift > 0.0),
    Command("needed_lift", "Lift the shadows as this print needs", "Setting", "Ctrl+Shift+U",
            _asking("needed lift"), _has_picture),
    Command("choose_colour_ease", "Choose the colour ease…", "Setting", "Alt+Shift+C",
            _asking("choose colour_ease"), _has_picture),
    Command("more_ease", "Ease strong colours in more", "Setting", "Ctrl+Alt+PgUp",
            _ease(EASE_STEP), lambda state: state.setting.colour_ease < 100.0),
    Command("less_ease", "Ease strong colours in less", "Setting", "Ctrl+Alt+PgDown",
            _ease(-EASE_STEP), lambda state: state.setting.colour_ease > 0.0),
    Command("needed_ease", "Ease strong colours in as this print needs", "Setting",
            "Ctrl+Shift+E", _asking("needed ease"), _has_picture),
    _step_name("light", _light_names, 1),
    _step_name("light", _light_names, -1),
    Command("brighter_room", "Brighter room", "Room", "Ctrl+PgUp", _brighter,
            lambda state: _brighter(state) is not state),
    Command("dimmer_room", "Dimmer room", "Room", "Ctrl+PgDown", _dimmer,
            lambda state: _dimmer(state) is not state),
    _step_name("glazing", _glazing_names, 1),
    Command("toggle_look", "Eyes settled or white matched", "Room", "Shift+F9", _toggle_look),
    *(Command(f"mark_{kind.value}", kind.title, "Marks", f"F{number}", _toggle_mark(kind))
      for number, kind in enumerate(Kind, start=2)),
    Command("toggle_marks", "All marks or none", "Marks", "Shift+F2", _toggle_marks),
    Command("stronger_marks", "Stronger marks", "Marks", "Shift+F4", _strength(1),
            lambda state: state.view.mark_strength < MARK_STRENGTHS[-1]),
    Command("fainter_marks", "Fainter marks", "Marks", "Shift+F3", _strength(-1),
            lambda state: state.view.mark_strength > MARK_STRENGTHS[0]),
    Command("next_finding", "Next finding", "Marks", "PgDown", _step_finding(1), _has_findings),
    Command("previous_finding", "Previous finding", "Marks", "PgUp", _step_finding(-1),
            _has_findings),
    Command("leave_finding", "Leave the finding", "Marks", "Shift+Home",
            lambda state: state.with_view(finding=None, zoom=None, centre=(0.5, 0.5)),
            lambda state: state.view.finding is not None),
    Command("whole_picture", "Whole picture", "View", "Home",
            lambda state: state.with_view(zoom=None, centre=(0.5, 0.5)), _has_picture),
    Command("pixel_for_pixel", "Pixel for pixel", "View", "End",
            lambda state: state.with_view(zoom=1.0), _has_picture),
    Command("true_size", "True size of the print", "View", "Shift+End",
            lambda state: state.with_view(size="true"), _has_picture),
    Command("seen_size", "As large as from the viewing distance", "View", "Ctrl+End",
            lambda state: state.with_view(size="seen"), _has_picture),
    Command("eye_blur", "Only what the eye resolves from the viewing distance", "View",
            "Ctrl+Shift+Home", lambda state: state.with_view(eye_blur=not state.view.eye_blur),
            _has_picture),
    Command("surface_hint", "With a hint of the surface", "View", "Shift+F11",
            lambda state: state.with_view(surface=not state.view.surface), _has_picture),
    Command("match_ruler", "Match the true size to a card or a ruler…", "View", "Ctrl+Shift+End",
            _asking("match ruler"), _has_picture),
    Command("nearer", "Nearer", "View", "Ctrl++", _nearer, _has_picture),
    Command("farther", "Farther", "View", "Ctrl+-", _farther, _is_near),
    Command("pan_left", "Look further left", "View", "Left", _pan(-1, 0), _is_near),
    Command("pan_right", "Look further right", "View", "Right", _pan(1, 0), _is_near),
    Command("pan_up", "Look further up", "View", "Up", _pan(0, -1), _is_near),
    Command("pan_down", "Look further down", "View", "Down", _pan(0, 1), _is_near),
    Command("show_tones", "Tones of this print…", "View", "Ctrl+G", _asking("tones"), _has_picture),
    Command("pin_probe", "Keep measuring this point", "View", "Ins", pin, can_pin),
    Command("unpin_probe", "Measure the last point no more", "View", "Del", unpin, has_pins),
    Command("unpin_all", "Measure no point any more", "View", "Shift+Del", unpin_all, has_pins),
    *(Command(f"stand_{arrangement}", title, "View", f"Ctrl+{digit}", _arrange(arrangement),
              _stands_otherwise(arrangement))
      for digit, (arrangement, title) in enumerate(_ARRANGEMENTS.items(), start=1)),
    Command("line_left", "Draw the line left", "View", "Ctrl+Shift+Left", _draw_line(-0.05),
            _is_divided),
    Command("line_right", "Draw the line right", "View", "Ctrl+Shift+Right", _draw_line(0.05),
            _is_divided),
    Command("toggle_units", "Lengths in inches or in centimetres", "View", "Ctrl+Shift+L",
            lambda state: state.with_facts(replace(state.facts, inches=not state.facts.inches))),
    Command("toggle_comma", "Decimal comma or decimal point", "View", "Ctrl+Shift+N",
            lambda state: state.with_facts(replace(state.facts, comma=not state.facts.comma))),
    Command("full_screen", "Full screen", "View", "F11",
            lambda state: state.with_view(full_screen=not state.view.full_screen)),
    Command("pair_apart", "Pictures in a window of their own", "View", "Ctrl+F11",
            lambda state: state.with_view(apart=not state.view.apart)),
    Command("keep_print", "Keep this print on the left, or give the photograph back", "View",
            "F12", _keep_print, _has_picture),
    Command("swap_prints", "Swap the kept print with this one", "View", "Shift+F12", _swap_prints,
            lambda state: state.view.kept is not None),
    Command("toggle_findings", "Show or hide findings and marks below the pictures", "View",
            "Ctrl+F6", lambda state: state.with_view(findings_open=not state.view.findings_open)),
    Command("help", "Help", "Help", "F1", _asking("help")),
    Command("why_here", "Why is this number what it is?", "Help", "Shift+F1", _asking("why")),
    Command("walk", "A first walk through the window", "Help", "Ctrl+Shift+F1", begin_walk,
            _has_picture),
    Command("find_command", "Find a command…", "Help", "Ctrl+F1", _asking("find command")),
)  # fmt: skip

BY_ID: dict[str, Command] = {command.id: command for command in COMMANDS}
"""The commands by id."""


def run(state: State, id: str) -> State:
    """The state after a command; the same one where the command is not enabled."""
    command = BY_ID[id]
    return command.apply(state) if command.enabled(state) else state
