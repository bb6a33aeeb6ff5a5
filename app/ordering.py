"""The command ``order``: the file for the lab. Light to import; the work comes with the command."""

from __future__ import annotations

import argparse
import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.state import Setting
from app.terminal import Progress, print_json, print_paragraphs
from proofing.errors import SettingError
from proofing.language import tr

if TYPE_CHECKING:
    from app.job import Job
    from proofing.ordering.order_file import Order, Written

_OPTIONS = {
    "space": "--space", "left_mm": "--margin", "margins": "--margin", "size": "--size",
    "pattern": "--output", "output": "--output", "kind": "--output",
}  # fmt: skip
"""What a person wrote, by the field of an order that it is wrong for."""

SUFFIXES = (".tif", ".tiff", ".jpg", ".jpeg")


def add_options(parser: argparse.ArgumentParser) -> None:
    """The options that only an order has."""
    group = parser.add_argument_group(tr("the file"))
    group.add_argument(
        "--space",
        metavar="adobe-rgb|srgb|PROFILE",
        default="adobe-rgb",
        help=tr(
            "the colour space the lab asks for: Adobe RGB (1998), sRGB, or an RGB profile file. "
            "At the start: adobe-rgb."
        ),
    )
    group.add_argument(
        "--margin",
        metavar="MM",
        type=_millimetres,
        default=0.0,
        help=tr("white paper around the picture, in mm. At the start: 0 mm."),
    )
    group.add_argument(
        "--keep-location",
        action="store_true",
        help=tr("leave the place where the picture was taken in the file"),
    )


def output_help() -> str:
    """What ``--output`` takes."""
    return tr(
        "the file to write: .tif for 16 bits, .jpg for 8 bits of top quality. Its name may hold "
        "fields in braces: {fields}. For many photographs it must hold {name}.",
        name="{name}",
        fields=" ".join(f"{{{name}}}" for name in _FIELDS),
    )


_FIELDS = ("name", "stock", "width", "height", "unit", "ppi", "space", "date")
"""Those of :data:`proofing.ordering.naming.FIELDS`, without the cost of importing it."""


def _millimetres(text: str) -> float:
    try:
        return float(text.strip().removesuffix("mm"))
    except ValueError as error:
        raise argparse.ArgumentTypeError(tr("'{text}' is no length in mm", text=text)) from error


def order(setting: Setting, arguments: argparse.Namespace) -> int:
    """Write the file for the lab and tell what it holds; for many photographs, all of them."""
    from app.many.run import is_many, run_many

    try:
        if is_many(arguments.photographs, arguments):
            return run_many(setting, arguments)
        return _order(setting.change(photograph=arguments.photographs[0]), arguments)
    except SettingError as error:
        option = _OPTIONS.get(error.field)
        if option is None:
            raise
        raise SettingError("", error.value, f"{option} {error.value}: {error.message}") from error


def _order(setting: Setting, arguments: argparse.Namespace) -> int:
    from app.job import prepare
    from app.listings import load_catalogue
    from app.state import canonical
    from app.tasks import check_output
    from proofing.ordering.order_file import write_order
    from proofing.photograph import read_photograph

    output, overwrite = Path(arguments.output), bool(arguments.overwrite)
    inputs = _inputs(setting, arguments.space)
    check_output(output, SUFFIXES, inputs, overwrite=overwrite)
    with Progress() as progress:
        catalogue = load_catalogue()
        canonical(setting, catalogue)  # a wrong name is told before a large file is read
        progress.say(tr("Reading {photograph}…", photograph=Path(setting.photograph).name))
        job = prepare(setting, catalogue, read_photograph(Path(setting.photograph)))
        wanted = _order_of(job, output, arguments)
        path = _named(output, job, wanted)
        if path != output:
            check_output(path, SUFFIXES, inputs, overwrite=overwrite)

        def tell(done: float) -> None:
            progress.say(
                tr("Writing {path}… {percent:.0f} %", path=path.name, percent=100.0 * done)
            )

        written = write_order(
            job.photograph, wanted, path, inputs=inputs, overwrite=overwrite, progress=tell
        )
    if arguments.json:
        print_json(_report(job, written))
    else:
        print_paragraphs(
            [
                job.sentence,
                *written.sentences,
                *written.check.sentences,
                tr("Written: {path}", path=path),
            ]
        )
    return 0


def _inputs(setting: Setting, space: str) -> tuple[str, ...]:
    from app.files import is_file
    from app.job import inputs_of

    return (*inputs_of(setting), *([space] if is_file(space) else []))


def _order_of(job: Job, output: Path, arguments: argparse.Namespace) -> Order:
    from app.state import print_size_mm
    from proofing.ordering.order_file import Margins, Order, PrintSize, kind_of, order_space

    correction = job.request.correction
    return Order(
        size=PrintSize(*print_size_mm(job.setting, job.facts)),
        destination=order_space(arguments.space),
        kind=kind_of(output),
        margins=Margins.even(arguments.margin),
        correction=None if correction is None else correction.apply,
        keep_location=bool(arguments.keep_location),
    )


def ordered(job: Job, output: Path, arguments: argparse.Namespace) -> tuple[Order, Path]:
    """What is ordered of a photograph, and the file it goes to; `output` may hold fields."""
    wanted = _order_of(job, output, arguments)
    return wanted, _named(output, job, wanted)


def _named(output: Path, job: Job, wanted: Order) -> Path:
    """The output with its fields filled in."""
    if not set(output.name) & {"{", "}"}:
        return output
    from proofing.ordering.naming import NameFields, order_name
    from proofing.ordering.order_file import layout_of, space_name

    layout = layout_of(wanted, job.photograph)
    width_mm, height_mm = layout.picture_mm
    fields = NameFields(
        name=Path(job.setting.photograph).stem,
        stock=job.request.stock.name,
        width_mm=width_mm,
        height_mm=height_mm,
        ppi=float(layout.ppi),
        space=space_name(wanted.destination),
        date=datetime.date.today().isoformat(),
    )
    return output.with_name(order_name(output.stem, fields) + output.suffix)


def _report(job: Job, written: Written) -> dict[str, Any]:
    return {
        "photograph": job.setting.photograph,
        "sentence": job.sentence,
        "setting": job.setting.to_dict(),
        **written.as_dict(),
    }
