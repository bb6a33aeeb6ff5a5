"""The command ``strip``: a test strip. Light to import; the work comes with the command."""

from __future__ import annotations

import argparse
import dataclasses
import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.ordering import SUFFIXES
from app.state import SETTINGS, Setting, number_text
from app.state.sentence import corrections
from app.terminal import FIRST_TIME, Progress, print_json, print_paragraphs
from proofing.errors import SettingError
from proofing.language import tr

if TYPE_CHECKING:
    from app.job import Job
    from proofing.ordering.order import FileKind
    from proofing.ordering.sheets import Sheet
    from proofing.ordering.strip import StripOrder
    from proofing.ordering.strip_file import StripWritten
    from proofing.photograph import IccProfile

_OPTIONS = {
    "space": "--space", "sheet": "--sheet", "lifts": "--lifts", "stops": "--lifts",
    "eases": "--eases", "colour_ease": "--eases",
    "stocks": "--stocks", "output": "--output", "kind": "--output",
}  # fmt: skip
"""What a person wrote, by the field that it is wrong for."""


def add_options(parser: argparse.ArgumentParser) -> None:
    """The options that only a strip has."""
    group = parser.add_argument_group(tr("the strip"))
    group.add_argument(
        "--sheet",
        metavar="A4|WxHcm",
        default="A4",
        help=tr("the sheet it is printed on, either way round. At the start: A4."),
    )
    group.add_argument(
        "--lifts",
        metavar="STOPS,...",
        default="",
        help=tr(
            "shadow lifts of the ladder in stops, such as 0,0.5,1. At the start: steps about the "
            "lift that the print needs."
        ),
    )
    group.add_argument(
        "--eases",
        metavar="PERCENT,...",
        default="",
        help=tr(
            "a ladder of easings of strong colours in their stead, such as 0,40,80: where petals "
            "or cloth go flat, and shadows are not what is lost"
        ),
    )
    group.add_argument(
        "--stocks",
        metavar="NAME,...",
        default="",
        help=tr("several stocks, a file for each with its name added, alike in places and layout"),
    )
    group.add_argument(
        "--most-ppi",
        metavar="N",
        type=float,
        help=tr("as for 'order': where the lab takes no more pixels to the inch"),
    )
    group.add_argument(
        "--space",
        metavar="adobe-rgb|srgb|PROFILE",
        default="adobe-rgb",
        help=tr("the colour space of the file, as for 'order'. At the start: adobe-rgb."),
    )


def output_help() -> str:
    """What ``--output`` takes."""
    return tr("the file to write: .tif for 16 bits, .jpg for 8 bits of top quality")


def strip(setting: Setting, arguments: argparse.Namespace) -> int:
    """Write a test strip and tell what is on it."""
    try:
        return _strip(setting, arguments)
    except SettingError as error:
        option = _OPTIONS.get(error.field)
        if option is None:
            raise
        raise SettingError("", error.value, f"{option} {error.value}: {error.message}") from error


def _strip(setting: Setting, arguments: argparse.Namespace) -> int:
    from app.files import is_file
    from app.job import inputs_of, prepare
    from app.listings import load_catalogue
    from app.state import canonical
    from app.tasks import check_output
    from proofing.engine import Engine
    from proofing.ordering.strip_file import strip_paths, write_strip
    from proofing.photograph import read_photograph

    output, overwrite = Path(arguments.output), bool(arguments.overwrite)
    names = [name.strip() for name in arguments.stocks.split(",") if name.strip()]
    with Progress() as progress:
        catalogue = load_catalogue()
        canonical(setting, catalogue)  # a wrong name is told before a large file is read
        stocks = [catalogue.stock(name) for name in names]
        files = [name for name in (*names, arguments.space) if is_file(name)]
        inputs = (*inputs_of(setting), *files)
        for path in strip_paths(output, [stock.name for stock in stocks]):
            check_output(path, SUFFIXES, inputs, overwrite=overwrite)
        wanted = _wanted(setting, output, arguments)
        progress.say(tr("Reading {photograph}…", photograph=Path(setting.photograph).name))
        job = prepare(setting, catalogue, read_photograph(Path(setting.photograph)))
        progress.say(tr("Looking for what is lost; {first_time}", first_time=tr(FIRST_TIME)))

        def tell(done: float) -> None:
            progress.say(
                tr("Making {path}… {percent:.0f} %", path=output.name, percent=100.0 * done)
            )

        written = write_strip(
            Engine(), job.request, wanted, output, stocks=stocks, inputs=inputs,
            overwrite=overwrite, progress=tell,
        )  # fmt: skip
    if arguments.json:
        print_json(_report(job, written))
    else:
        said = [job.sentence]
        for each in written:
            said += ["", *each.sentences, *each.check.sentences]
            said.append(tr("Written: {path}", path=each.path))
        print_paragraphs(said)
    return 0


def _wanted(setting: Setting, output: Path, arguments: argparse.Namespace) -> StripOrder:
    from proofing.ordering.order import kind_of
    from proofing.ordering.spaces import order_space

    space = order_space(arguments.space)
    made = wanted_strip(setting, space, kind_of(output), arguments.most_ppi)
    return dataclasses.replace(
        made,
        sheet=_sheet(arguments.sheet),
        lifts=_lifts(arguments.lifts),
        eases=_eases(arguments.eases),
    )


def wanted_strip(
    setting: Setting, space: IccProfile, kind: FileKind, most_ppi: float | None = None
) -> StripOrder:
    """A strip on the usual sheet, with the ladder that the print needs."""
    from proofing.ordering.strip import StripOrder

    return StripOrder(
        destination=space,
        kind=kind,
        date=datetime.date.today().isoformat(),
        most_ppi=most_ppi,
        as_set=", ".join(phrase.text for phrase in corrections(setting)),
    )


def _sheet(text: str) -> Sheet:
    from proofing.ordering.strip import sheet_named, sheet_of_size

    if text.strip()[:1].isdigit():
        try:
            width_mm, height_mm = SETTINGS["size_mm"].parse(text)
        except SettingError as error:
            raise SettingError("sheet", error.value, error.message) from error
        return sheet_of_size(width_mm, height_mm)
    return sheet_named(text)


def _lifts(text: str) -> tuple[float, ...]:
    try:
        lifts = tuple(float(part) for part in text.split(",") if part.strip())
        if text and not lifts:
            raise ValueError
        return lifts
    except ValueError as error:
        raise SettingError(
            "lifts", text, tr("give numbers of stops with commas between, such as 0,0.5,1")
        ) from error


def _eases(text: str) -> tuple[float, ...]:
    try:
        eases = tuple(
            float(part.strip().removesuffix("%")) for part in text.split(",") if part.strip()
        )
        if text and not eases:
            raise ValueError
    except ValueError as error:
        raise SettingError(
            "eases", text, tr("give numbers of percent with commas between, such as 0,40,80")
        ) from error
    for percent in eases:
        if not 0.0 <= percent <= 100.0:
            raise SettingError("eases", number_text(percent), tr("choose from 0 to 100 %"))
    return eases


def _report(job: Job, written: tuple[StripWritten, ...]) -> dict[str, Any]:
    return {
        "photograph": job.setting.photograph,
        "sentence": job.sentence,
        "setting": job.setting.to_dict(),
        "strips": [each.as_dict() for each in written],
    }
