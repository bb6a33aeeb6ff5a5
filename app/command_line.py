"""The ``stocklight`` command.

Only what is needed to understand the words on the command line is imported here; the colour
engine, the picture libraries and the window are imported when a command needs them, so that help
comes at once and only ``view`` loads the toolkit.
"""

from __future__ import annotations

import argparse
import os
import re
import signal
import sys
import warnings
from collections.abc import Callable, Sequence
from contextlib import suppress
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any, NoReturn

from app import explaining, many, ordering, stripping
from app.files import is_file, is_folder
from app.state.setting import Setting
from app.state.table import CORRECTIONS, ROWS, SETTINGS, Row, number_text
from proofing.errors import ProofingError, SettingError, UnknownName
from proofing.language import mark, tr

if TYPE_CHECKING:
    from types import FrameType

OK, FAILED, STOPPED = 0, 2, 130

COMMANDS = (
    "view",
    "pair",
    "simulate",
    "inspect",
    "sizes",
    "correct",
    "compare",
    "order",
    "explain",
    "strip",
    "stocks",
    "lights",
    "glazings",
    "places",
    "add-to-menu",
)

_BARE = re.compile(r"\d+(\.\d+)?")
_FAR_M = 15.0  # of a distance without a unit: as many metres are rare, as many centimetres usual
_NEAR = 0.7  # of difflib: a letter or two of a command are wrong

_GROUPS = (
    (
        mark("the print"),
        (
            "stock", "size_mm", "crop", "crop_place", "edge", "edge_mm", "bleed_mm", *CORRECTIONS,
            "intent", "black_point_compensation",
        ),
    ),
    (
        mark("the room and the eye"),
        (
            "light", "illuminance", "glazing", "reflection_ratio", "wall_reflectance",
            "surround", "distance_m", "look", "degree_of_adaptation",
        ),
    ),
    (mark("the screen"), ("screen_profile", "screen_luminance_cd_m2", "screen_black_cd_m2")),
    (mark("the marks"), ("gamut_tolerance", "marks")),
)  # fmt: skip

_LISTED = {"stock": "stocks", "light": "lights", "glazing": "glazings", "illuminance": "places"}
"""Settings whose names a command lists."""

_DESCRIPTION = mark(
    "See a photograph as it will print: on a stock, under a light, in a room, with the "
    "parts that get lost marked."
)
_EPILOG = mark(
    "examples:\n  stocklight harbour.tif\n  stocklight pair harbour.tif --stock baryta "
    '--light "warm gallery LED, 3000 K" --lux 150 \\\n      --output '
    "harbour-baryta.png\n  stocklight simulate harbour.tif --stock lab-profile.icc "
    "--output harbour-print.tif\n  stocklight inspect *.tif --stock canvas --json\n\nA "
    "command's own help: stocklight pair --help\n"
)


class _Parser(argparse.ArgumentParser):
    """A parser whose errors are one line that ends in its own help."""

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> Any:
        found, unknown = super().parse_known_args(args, namespace)
        if unknown:
            self.error(tr("not understood: {unknown}", unknown=" ".join(unknown)))
        return found, unknown

    def error(self, message: str) -> NoReturn:
        words = message.removeprefix("argument ")
        self.exit(FAILED, tr("{prog}: {words} (see {prog} --help)\n", prog=self.prog, words=words))


def build_parser() -> argparse.ArgumentParser:
    """The parser of the whole command."""
    parser = _Parser(
        prog="stocklight",
        description=tr(_DESCRIPTION),
        epilog=tr(_EPILOG),
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)

    view = _command(
        commands,
        "view",
        tr("open the window (the same as no command at all)"),
        tr(
            "Open the window: the photograph on the left, its print on the right. Without a "
            "PHOTO the demonstration picture is opened. Where no window can be opened, the pair "
            "is written as a PNG instead and the marks are printed as text."
        ),
    )
    view.add_argument("photograph", nargs="?", metavar="PHOTO", help=tr("the picture file"))
    _add_settings(view)

    pair = _command(
        commands,
        "pair",
        tr("write what the window shows as a picture"),
        tr(
            "Write both pictures, the paper margin, the wall, the marks and the sentence as one "
            "PNG, without a window. The screen's profile is embedded."
        ),
    )
    _add_photograph(pair)
    _add_settings(pair)
    _add_output(pair, tr("the PNG file to write"))

    simulate = _command(
        commands,
        "simulate",
        tr("write the print as the screen would show it"),
        tr(
            "Write the right-hand picture, without marks: the print under its light as the "
            "screen shows it, with the screen's profile embedded. A TIFF has 16 bits, a PNG 8."
        ),
    )
    _add_photograph(simulate)
    _add_settings(simulate, leave_out=("marks",))
    _add_output(simulate, tr("the file to write, .tif or .png"))
    simulate.add_argument(
        "--as-print-lab",
        action="store_true",
        help=tr(
            "write the print itself instead, for measurement: absolute D50 L*, a* and b* "
            "as a 32-bit float TIFF, whatever the light and the screen"
        ),
    )

    inspect = _command(
        commands,
        "inspect",
        tr("print what the files are and what gets lost"),
        tr(
            "Print what each file is and how much of it gets lost on the stock, in this light. "
            "The exit status is 0 when every file could be read, else 2."
        ),
    )
    inspect.add_argument("photographs", nargs="+", metavar="PHOTO", help=tr("the picture files"))
    _add_settings(inspect)
    _add_json(inspect)

    sizes = _command(
        commands,
        "sizes",
        tr("list print sizes, with ppi and the distance they are sharp from"),
        tr(
            "List how large the photograph can be printed: ppi on paper, the distance from which "
            "it is sharp, and the sheets and frames that its shape fits. Nothing is resampled."
        ),
    )
    _add_photograph(sizes)
    for id in (
        "size_mm", "crop", "crop_place", "edge", "edge_mm", "bleed_mm", "distance_m", "stock",
    ):  # fmt: skip
        _add_setting(sizes, SETTINGS[id])
    _add_json(sizes)

    correct = _command(
        commands,
        "correct",
        tr("tell the shadow lift that a print needs, and write it as a table"),
        tr(
            "Look how far the shadows must be lifted for this stock in this room, or take --lift, "
            "and print the curve in numbers, to be repeated in any editor; also as a .cube table "
            "and as an ICC device link. The original is never touched."
        ),
    )
    _add_photograph(correct)
    _add_settings(correct, leave_out=("marks",))
    correct.add_argument("--cube", metavar="FILE", help=tr("write the curve as a .cube table"))
    correct.add_argument("--link", metavar="FILE", help=tr("write it as an ICC device link"))
    correct.add_argument(
        "--overwrite",
        action="store_true",
        help=tr("replace FILE where it exists; a file that is read is never replaced"),
    )
    _add_json(correct)
    compare = _command(
        commands,
        "compare",
        tr("put all stocks in the order in which they suit the picture in this room"),
        tr(
            "Print what each stock gives and takes for this picture in this light and room: "
            "detail, colour, contrast, glare and surface, in an order by stated weights. The "
            "listed stocks are compared, your own among them, and the one that --stock names."
        )
        + tr(many.ABOUT),
    )
    many.add_photographs(compare)
    _add_settings(compare, leave_out=("marks",))
    many.add_folder(compare)
    many.add_options(compare)
    _add_json(compare)

    order = _command(
        commands,
        "order",
        tr("write the file for the lab, and open it again to check it"),
        tr(
            "Write the photograph as the file that goes to the lab: in the space it asks for, with "
            "its profile, at the size and resolution of the print, no pixel added. What does not "
            "fit the space is counted and told, and the file is opened again and compared."
        )
        + tr(many.ABOUT),
    )
    many.add_photographs(order)
    _add_settings(order, leave_out=("marks",))
    ordering.add_options(order)
    _add_output(order, ordering.output_help())
    many.add_options(order)
    _add_json(order)

    explain = _command(
        commands,
        "explain",
        tr("write a sheet for the customer that explains the print"),
        tr(
            "Write one page or two in plain words: the photograph and its print, what will be "
            "lost and where, what was done about it, size and distance, the print beside a "
            "screen, and what is typical and what is measured."
        ),
    )
    _add_photograph(explain)
    _add_settings(explain)
    explaining.add_options(explain)
    _add_output(explain, explaining.output_help())
    strip = _command(
        commands,
        "strip",
        tr(
            "write a test strip: the critical places at their real size, in a ladder of corrections"
        ),
        tr(
            "Write one sheet to be printed before the large print: crops of the places where most "
            "is lost, at the large print's size and ppi, side by side in several shadow lifts or "
            "easings of strong colours, with a grey wedge, a scale, and the words that tell them "
            "apart."
        ),
    )
    _add_photograph(strip)
    _add_settings(strip, leave_out=("marks",))
    stripping.add_options(strip)
    _add_output(strip, stripping.output_help())
    _add_json(strip)

    for name, words in (
        ("stocks", tr("list the stocks, with white, black, Dmax and gamut volume")),
        ("lights", tr("list the lights, with colour temperature and fidelity")),
        ("glazings", tr("list the glazings, with transmittance and reflectance")),
        ("places", tr("list the places that --lux knows, with their light")),
    ):
        _add_json(_command(commands, name, words, words[0].upper() + words[1:] + "."))
    _command(
        commands,
        "add-to-menu",
        tr("put the program into this desktop's menu of applications (Linux)"),
        tr(
            "Write a desktop entry and the icon into your own folders, so that the program "
            "stands in the menu of applications and opens pictures from the file manager. "
            "Deleting the files that are named takes it out again."
        ),
    )
    return parser


def _command(commands: Any, name: str, summary: str, description: str) -> argparse.ArgumentParser:
    made: argparse.ArgumentParser = commands.add_parser(
        name, help=summary, description=description, allow_abbrev=False
    )
    return made


def _add_photograph(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("photograph", metavar="PHOTO", help=tr("the picture file"))


def _add_output(parser: argparse.ArgumentParser, words: str) -> None:
    parser.add_argument("--output", "-o", required=True, metavar="FILE", help=words)
    parser.add_argument(
        "--overwrite",
        action="store_true",
        help=tr("replace FILE where it exists; a file that is read is never replaced"),
    )


def _add_json(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help=tr("print JSON instead of text"))


def _add_settings(parser: argparse.ArgumentParser, leave_out: tuple[str, ...] = ()) -> None:
    """One option for each row of the settings table that has one."""
    for title, ids in _GROUPS:
        group = parser.add_argument_group(title)
        for id in ids:
            if id not in leave_out:
                _add_setting(group, SETTINGS[id])


def _add_setting(group: Any, row: Row) -> None:
    start = row.automatic if row.default is None else row.format(row.default)
    about = [f"{value}: {text}" for (value, _), text in zip(row.choices, row.about, strict=False)]
    if row.id in _LISTED:
        about.append(
            tr(
                "Any part of a name will do; 'stocklight {LISTED}' lists them.",
                LISTED=_LISTED[row.id],
            )
        )
    if row.names:
        names = ", ".join(f"'{tr(name)}'" for name, _ in row.names)
        about.append(tr("Or in words: {names}.", names=names))
    words = " ".join((tr(row.sentence), *about, tr("At the start: {start}.", start=start))).replace(
        "%", "%%"
    )
    if row.kind == "switch":
        group.add_argument(
            f"--{row.option}",
            action=argparse.BooleanOptionalAction,
            dest=row.id,
            default=argparse.SUPPRESS,
            help=words,
        )
        return
    names = "|".join(value for value, _ in row.choices) if row.kind == "choice" else row.metavar
    group.add_argument(
        f"--{row.option}", dest=row.id, metavar=names, type=_from_text(row),
        default=argparse.SUPPRESS, help=words,
    )  # fmt: skip


def _from_text(row: Row) -> Callable[[str], Any]:
    def parse(text: str) -> Any:
        if row.id == "distance_m" and _BARE.fullmatch(text.strip()) and float(text) >= _FAR_M:
            raise argparse.ArgumentTypeError(
                tr("{text} of what? add the unit, as in {text}cm or {text}m", text=text.strip())
            )
        try:
            return row.parse(text)
        except SettingError as error:
            reason = str(error).removeprefix(f"{row.id} = ").removeprefix(f"{row.id}: ")
            raise argparse.ArgumentTypeError(reason) from error

    return parse


def setting_of(arguments: argparse.Namespace) -> Setting:
    """The setting that a command line asks for; what it does not say is as at the start."""
    ids = [row.id for row in ROWS if row.option]
    given = vars(arguments)
    values = {id: given[id] for id in ids if id in given}
    return Setting(photograph=given.get("photograph") or "", **values)


def _under_the_usual_lamp(setting: Setting, arguments: argparse.Namespace) -> Setting:
    """A place that is named brings its usual lamp, unless one is named too."""
    if "light" in vars(arguments) or not isinstance(setting.illuminance, str):
        return setting
    from proofing.viewing import find_place

    return setting.change(light=find_place(setting.illuminance).light)


def _refuse_a_width_of_nothing(arguments: argparse.Namespace) -> None:
    """A width that is asked for by name is a wish for an edge; one that was saved beside others,
    or stands there from the start, is none, so that a setting itself does not mind."""
    width_mm = getattr(arguments, "edge_mm", 0.0)
    if width_mm and getattr(arguments, "edge", SETTINGS["edge"].default) == "none":
        raise SettingError(
            "edge_mm",
            number_text(width_mm),
            tr(
                "there is no edge to be so wide; add --edge margin for white paper, or --edge "
                "mirrored, white, black or picture for a canvas"
            ),
        )


def _refuse_a_place_of_nothing(arguments: argparse.Namespace) -> None:
    """A whole picture has no place in itself."""
    if "crop_place" in vars(arguments) and not getattr(arguments, "crop", ""):
        raise SettingError(
            "crop_place",
            number_text(arguments.crop_place),
            tr("the whole picture is printed; add --crop, as in --crop 4:5"),
        )


def with_command(words: Sequence[str]) -> list[str]:
    """The words with ``view`` put in front where no command is named."""
    if not words:
        return ["view"]
    first = words[0]
    if first in COMMANDS or first in ("-h", "--help"):
        return list(words)
    return ["view", *words]


class _Terminated(BaseException):
    """The system asked the process to end."""


def _on_terminate(number: int, frame: FrameType | None) -> NoReturn:
    raise _Terminated


def main(words: Sequence[str] | None = None) -> int:
    """Run the command.

    Parameters
    ----------
    words
        The words after the program's name; default those of the process.

    Returns
    -------
    int
        0 when all went well, 2 after an error, which is one line on the error stream, 130 when
        it was stopped by the keyboard.
    """
    parser = build_parser()
    words = sys.argv[1:] if words is None else words
    with suppress(ValueError):  # raised outside the main thread, where it is not needed
        signal.signal(signal.SIGTERM, _on_terminate)
    # The colour library remarks on plotting packages that this program does without.
    warnings.filterwarnings("ignore", message=".*related API features are not available")
    try:
        _refuse_a_misspelt_command(parser, words)
        arguments = parser.parse_args(with_command(words))
        if words and words[0] not in COMMANDS and _is_no_file(arguments.photograph):
            parser.error(_neither(arguments.photograph))
        return _run(arguments)
    except SystemExit as end:  # help, or a wrong word, which the parser has reported
        return end.code if isinstance(end.code, int) else FAILED
    except UnknownName as error:
        return _report(tr("{error} (see stocklight {kind}s)", error=error, kind=error.kind))
    except SettingError as error:
        row = SETTINGS.get(error.field)
        option = f"--{row.option} {error.value}:" if row else ""
        return _report(str(error).replace(f"{error.field} = {error.value}:", option, 1))
    except ProofingError as error:
        return _report(error)
    except MemoryError:
        return _report(tr("there is not enough memory for a picture of this size"))
    except BrokenPipeError:
        # The reader of a pipe has gone: nothing more can be said, and that is no failure.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return OK
    except OSError as error:
        return _report(
            tr(
                "{file}: {strerror}; check the name",
                file=error.filename or tr("a file"),
                strerror=error.strerror,
            )
        )
    except (KeyboardInterrupt, _Terminated):
        print(tr("stocklight: stopped"), file=sys.stderr)
        return STOPPED


def _is_no_file(name: str | None) -> bool:
    """Whether a word can only be a misspelt command: no ending, no folder, no file."""
    if not name:
        return False
    return not (set(name) & {".", "/", os.sep} or is_file(name))


def _refuse_a_misspelt_command(parser: argparse.ArgumentParser, words: Sequence[str]) -> None:
    """Before the other words are read as those of ``view``, which would be told instead."""
    first = words[0] if words else ""
    if first in COMMANDS or first.startswith("-") or not _is_no_file(first):
        return
    near = get_close_matches(first.casefold(), COMMANDS, 1, _NEAR)
    if near and not is_folder(first):
        said = tr("there is no command '{word}'; did you mean {near}?", word=first, near=near[0])
        parser.error(said)
    parser.error(_neither(first))


def _neither(word: str) -> str:
    return tr("'{photograph}' is neither a command nor a file here", photograph=word)


def _report(error: ProofingError | str) -> int:
    print(f"stocklight: {' '.join(str(error).split())}", file=sys.stderr)
    return FAILED


def _run(arguments: argparse.Namespace) -> int:
    from app import listings, tasks

    command = arguments.command
    if command == "stocks":
        return listings.list_stocks(as_json=arguments.json)
    if command == "lights":
        return listings.list_lights(as_json=arguments.json)
    if command == "glazings":
        return listings.list_glazings(as_json=arguments.json)
    if command == "places":
        return listings.list_places(as_json=arguments.json)
    if command == "add-to-menu":
        return tasks.add_to_menu()
    _refuse_a_width_of_nothing(arguments)
    _refuse_a_place_of_nothing(arguments)
    setting = _under_the_usual_lamp(setting_of(arguments), arguments)
    if command == "inspect":
        return tasks.inspect(setting, arguments.photographs, as_json=arguments.json)
    if command == "correct":
        from app import correcting

        return correcting.correct(
            setting,
            cube=arguments.cube,
            link=arguments.link,
            overwrite=arguments.overwrite,
            as_json=arguments.json,
        )
    if command == "sizes":
        from app import sizing

        return sizing.sizes(setting, as_json=arguments.json)
    if command == "compare":
        from app import comparing

        return comparing.compare(setting, arguments)
    if command == "order":
        return ordering.order(setting, arguments)
    if command == "explain":
        return explaining.explain(setting, arguments)
    if command == "strip":
        return stripping.strip(setting, arguments)
    if command == "pair":
        return tasks.pair(setting, arguments.output, overwrite=arguments.overwrite)
    if command == "simulate":
        return tasks.simulate(
            setting, arguments.output, as_print_lab=arguments.as_print_lab,
            overwrite=arguments.overwrite,
        )  # fmt: skip
    return tasks.view(setting)


if __name__ == "__main__":
    raise SystemExit(main())
