"""The command ``order``: the file for the lab. Light to import; the work comes with the command."""

from __future__ import annotations

import argparse
import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.state import SETTINGS, Setting
from app.terminal import Progress, print_json, print_paragraphs
from proofing.errors import SettingError
from proofing.language import tr

if TYPE_CHECKING:
    from app.job import Job
    from app.state import Facts
    from proofing.ordering.naming import NameFields
    from proofing.ordering.order_file import FileKind, Order, Written
    from proofing.photograph import IccProfile

_OPTIONS = {
    "space": "--space", "left_mm": "--margin", "margins": "--margin", "size": "--size",
    "bleed_mm": "--bleed",
    "most_ppi": "--most-ppi",
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
        help=tr("white paper around the picture: short for --edge margin --edge-width MM"),
    )
    group.add_argument(
        "--most-ppi",
        metavar="N",
        type=float,
        help=tr(
            "reduce a picture that has more pixels to the inch, where the lab asks for no more. "
            "At the start: all pixels stay, and none is ever added."
        ),
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
    row = SETTINGS["edge_mm"]
    try:
        return float(row.parse(text))
    except SettingError as error:
        raise argparse.ArgumentTypeError(error.message) from error


def order(setting: Setting, arguments: argparse.Namespace) -> int:
    """Write the file for the lab and tell what it holds; for many photographs, all of them."""
    from app.many.run import is_many, run_many

    try:
        if arguments.margin:
            if setting.edge != "none":
                raise SettingError(
                    "edge_mm",
                    f"{arguments.margin:g}",
                    tr("an edge is asked for, too; leave out the one or the other"),
                )
            setting = setting.change(edge="margin", edge_mm=arguments.margin)
        if is_many(arguments.photographs, arguments):
            return run_many(setting, arguments)
        return _order(setting.change(photograph=arguments.photographs[0]), arguments)
    except SettingError as error:
        width = "--margin" if arguments.margin else "--edge-width"
        option = {**_OPTIONS, "edge_mm": width}.get(error.field)
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
    if not Path(setting.photograph).exists():
        read_photograph(Path(setting.photograph))  # tells so, before what is wrong with the output
    check_output(output, SUFFIXES, inputs, overwrite=overwrite)
    with Progress() as progress:
        catalogue = load_catalogue()
        canonical(setting, catalogue)  # a wrong name is told before a large file is read
        progress.say(tr("Reading {photograph}…", photograph=Path(setting.photograph).name))
        job = prepare(setting, catalogue, read_photograph(Path(setting.photograph)))
        wanted, path = ordered(job, output, arguments)
        if path != output:
            check_output(path, SUFFIXES, inputs, overwrite=overwrite)

        def tell(done: float) -> None:
            progress.say(
                tr("Writing {path}… {percent:.0f} %", path=path.name, percent=100.0 * done)
            )

        written = write_order(
            job.printed, wanted, path, inputs=inputs, overwrite=overwrite, progress=tell
        )
    if arguments.json:
        print_json(_report(job, written))
    else:
        print_paragraphs(
            [
                job.sentence,
                *_sharpness(job),
                *written.sentences,
                *written.check.sentences,
                tr("Written: {path}", path=path),
            ]
        )
    return 0


def _sharpness(job: Job) -> list[str]:
    """Whether the print is sharp from where it is seen; nothing where it is."""
    from app.state import print_size_mm, viewing_distance_m
    from proofing.ordering.size import Fineness
    from proofing.ordering.size_words import distance_in_words

    fine = Fineness(
        (job.photograph.width, job.photograph.height),
        print_size_mm(job.setting, job.facts),
        viewing_distance_m(job.setting, job.facts),
    )
    may_shrink = job.setting.edge != "picture"
    return [] if fine.is_sharp else [distance_in_words(fine, may_shrink=may_shrink)]


def _inputs(setting: Setting, space: str) -> tuple[str, ...]:
    from app.files import is_file
    from app.job import inputs_of

    return (*inputs_of(setting), *([space] if is_file(space) else []))


def _order_of(job: Job, output: Path, arguments: argparse.Namespace) -> Order:
    from proofing.ordering.order_file import kind_of, order_space

    return order_of(
        job,
        order_space(arguments.space),
        kind_of(output),
        keep_location=bool(arguments.keep_location),
        most_ppi=arguments.most_ppi,
    )


def order_of(
    job: Job,
    destination: IccProfile,
    kind: FileKind,
    *,
    keep_location: bool = False,
    most_ppi: float | None = None,
) -> Order:
    """What is ordered of a print: its size, edge and corrections as they are set.

    Raises
    ------
    SettingError
        The edge does not go with the picture, or the space is of no use.
    """
    from app.state import print_size_mm
    from app.state.framing import edge_codes, edge_of, margins_of, wrap_of
    from proofing.ordering.order_file import Order, PrintSize

    setting, correction = job.setting, job.request.correction
    size_mm = print_size_mm(setting, job.facts)
    if job.mm_per_px is not None:  # more is printed than is seen
        size_mm = job.printed.width * job.mm_per_px, job.printed.height * job.mm_per_px
    return Order(
        size=PrintSize(*size_mm),
        destination=destination,
        kind=kind,
        margins=margins_of(setting),
        correction=None if correction is None else correction.apply,
        keep_location=keep_location,
        wrap=wrap_of(setting),
        bleed_mm=setting.bleed_mm,
        edge=edge_of(setting),
        edge_codes=edge_codes(setting),
        most_ppi=most_ppi,
    )


def ordered(job: Job, output: Path, arguments: argparse.Namespace) -> tuple[Order, Path]:
    """What is ordered of a photograph, and the file it goes to; `output` may hold fields."""
    wanted = _order_of(job, output, arguments)
    return wanted, _named(output, job, wanted)


def _named(output: Path, job: Job, wanted: Order) -> Path:
    """The output with its fields filled in."""
    if not set(output.name) & {"{", "}"}:
        return output
    from proofing.ordering.naming import order_name

    fields = name_fields(job.setting, job.facts, wanted.destination, wanted.most_ppi)
    return output.with_name(order_name(output.stem, fields) + output.suffix)


def name_fields(
    setting: Setting, facts: Facts, destination: IccProfile, most_ppi: float | None = None
) -> NameFields:
    """What the fields of a file's name stand for, of an open picture."""
    from app.state import print_size_mm
    from proofing.ordering.lengths import MM_PER_INCH
    from proofing.ordering.naming import NameFields
    from proofing.ordering.order_file import space_name

    width_mm, height_mm = print_size_mm(setting, facts)
    stock, picture = facts.stock(setting.stock), facts.picture
    ppi = 0.0 if picture is None else picture.width_px * MM_PER_INCH / width_mm
    return NameFields(
        name=Path(setting.photograph).stem,
        stock=Path(setting.stock).stem if stock is None else stock.name,
        width_mm=width_mm,
        height_mm=height_mm,
        ppi=min(ppi, most_ppi or ppi),
        space=space_name(destination),
        date=datetime.date.today().isoformat(),
        unit="in" if facts.inches else "cm",
    )


def _report(job: Job, written: Written) -> dict[str, Any]:
    return {
        "photograph": job.setting.photograph,
        "sentence": job.sentence,
        "setting": job.setting.to_dict(),
        **written.as_dict(),
    }
