"""All commands in a list that is searched by typing; the one that is found is run."""

from __future__ import annotations

from collections.abc import Mapping

from app.panels.choice_list import Choice
from app.state import COMMANDS, State
from proofing.language import tr

OTHER_WORDS: Mapping[str, tuple[str, ...]] = {
    "choose_stock": ("paper", "canvas", "substrate", "media", "profile"),
    "choose_size_mm": ("print size", "ppi", "resolution", "format", "centimetres", "inches"),
    "choose_intent": ("perceptual", "relative colorimetric", "absolute colorimetric"),
    "toggle_compensation": ("BPC", "blocked shadows"),
    "choose_light": ("lamp", "illuminant", "daylight", "LED", "halogen", "bulb"),
    "choose_illuminance": ("lux", "lx", "brightness of the room", "gallery", "hallway"),
    "choose_glazing": ("glass", "frame", "acrylic", "pane", "reflections"),
    "choose_distance_m": ("how far away",),
    "choose_look": ("adaptation", "white point", "matched"),
    "choose_screen_profile": ("monitor", "display", "calibration"),
    "brighter_room": ("lux", "more light"),
    "dimmer_room": ("lux", "less light"),
    "keep_print": ("compare", "two prints", "before and after", "compare", "papers"),
    "stand_stocks": ("compare papers", "contact sheet", "several stocks"),
    "stand_lights": ("compare lamps", "several lights"),
    "stand_divided": ("wipe", "split"),
    "pixel_for_pixel": ("100 %", "1 : 1", "sharpness"),
    "true_size": ("print size", "centimetres"),
    "pair_apart": ("second screen", "other monitor"),
    "reload_photograph": ("reload", "refresh"),
    "save_pair": ("export", "screenshot"),
    "open_photograph": ("load", "file", "folder"),
    "undo": ("take back",),
    "toggle_marks": ("textures",),
    "mark_out_of_gamut": ("saturated colours", "gamut"),
    "mark_clipped_in_file": ("clipping",),
    "name_combination": ("favourite", "save the room"),
    "open_combination": ("favourites",),
    "help": ("manual",),
    "show_tones": ("histogram", "step wedge", "grey scale", "curve"),
    "which_stock": (
        "compare papers",
        "compare stocks",
        "best paper",
        "ranking",
        "recommend",
        "advice",
        "which paper",
        "CSV",
        "table",
    ),
    "show_at_hand": ("batch", "folder", "several files", "thumbnails", "list of pictures"),
    "stop_work": ("cancel", "abort", "halt"),
    "go_on": ("resume", "continue"),
    "nearer": ("zoom", "enlarge", "magnify"),
    "farther": ("zoom", "reduce"),
    "whole_picture": ("zoom", "fit"),
    "next_finding": ("shadows", "lost"),
    "choose_shadow_lift": ("correction", "curve", "brighten", "lift shadows", "fill light"),
    "choose_crop": ("aspect", "ratio", "trim", "cut", "frame"),
    "choose_edge": ("mat", "border", "canvas wrap", "gallery wrap", "fold"),
    "order": ("export", "print file", "lab", "tiff", "jpeg", "ppi", "dpi", "resolution", "size"),
    "write_strip": ("proof print", "sample", "step wedge", "ladder", "test print"),
    "write_sheet": ("pdf", "report", "explain", "client", "hand over"),
    "more_lift": ("brighten", "open shadows"),
    "choose_curve": ("correction", "tone curve", "points", "gradation"),
    "curve": ("correction", "tone curve", "gamma", "gradation", "points", "device link", "LUT"),
    "without_corrections": ("before and after", "compare", "original", "correction"),
    "choose_colour_ease": ("correction", "saturation", "gamut compression", "flattened colours"),
    "needed_ease": ("correct", "correction", "automatic", "flattened"),
    "needed_lift": ("correct", "correction", "automatic"),
    "toggle_comma": ("numbers", "decimals", "locale"),
    "toggle_units": ("units", "metric", "imperial", "feet"),
    "surface_hint": ("texture", "gloss", "canvas weave", "reflections"),
    "why_here": ("explain", "formula", "source"),
    "match_screen": ("calibration", "monitor", "display", "luminance", "brightness"),
    "pin_probe": ("measure", "spot"),
    "eye_blur": ("acuity", "sharpness", "resolution of the eye", "blur"),
}
"""What people call a command besides its title: words of the trade and of everyday."""


def command_rows(state: State, keys: Mapping[str, str]) -> tuple[Choice, ...]:
    """A row for each command, with its keys; those that cannot be done now say so.

    Parameters
    ----------
    state
        The state it would be run in.
    keys
        The keys of commands as this desktop writes them.
    """
    return tuple(
        Choice(
            command.id,
            tr(command.title),
            (
                tr(command.menu)
                if command.enabled(state)
                else tr("{menu}, not possible now", menu=tr(command.menu)),
            ),
            keys.get(command.id, command.shortcut),
            OTHER_WORDS.get(command.id, ()),
        )
        for command in COMMANDS
        if command.id != "find_command"
    )
