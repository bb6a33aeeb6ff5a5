"""The command ``explain``: the sheet for the customer. Light to import.

:func:`explained` and :func:`app.handout.writing.write_sheet` are what a window calls from its
worker; only :func:`explain` knows a command line.
"""

from __future__ import annotations

import argparse
import dataclasses
import datetime
import json
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from app.files import atomic_output
from app.state import Setting, print_size_mm, sentence
from app.state.framing import is_wrapped, sheet_of
from app.terminal import FIRST_TIME, Progress, print_paragraphs
from proofing.errors import Cancelled, OutputError, SettingError
from proofing.findings.words import share_in_words
from proofing.language import tr

if TYPE_CHECKING:
    from app.handout.geometry import Page
    from app.job import Job
    from proofing.engine import Engine
    from proofing.ordering.explaining import Told
    from proofing.ordering.explanation import Explanation
    from proofing.printing import Stock
    from proofing.proof import Proof

SUFFIXES = (".pdf", ".png", ".json")
"""Endings of a sheet; each stands for a kind of file."""
_DRAWN = (".pdf", ".png")
_NOTHING_CROPPED = 0.0005
LONGEST_NOTE = 400
PROGRAM = "stocklight"
_kept: list[object] = []  # the application, which must not be collected while there is type

Cancel = Callable[[], bool]
Tell = Callable[[float], None]


def add_options(parser: argparse.ArgumentParser) -> None:
    """The options that only a sheet has."""
    group = parser.add_argument_group(tr("the sheet"))
    group.add_argument(
        "--page",
        metavar="a4|letter",
        type=_page,
        default="a4",
        help=tr("the paper of the sheet. At the start: a4."),
    )
    group.add_argument(
        "--note",
        metavar="TEXT",
        type=_note,
        default="",
        help=tr("a line from you to the customer, at the top of the sheet"),
    )


def output_help() -> str:
    """What ``--output`` takes."""
    return tr(
        "the file to write: .pdf, .png (one picture, pages below each other), or .json for the "
        "same content without its pictures"
    )


def _page(name: str) -> Page:
    from app.handout.geometry import page_named

    try:
        return page_named(name)
    except SettingError as error:
        raise argparse.ArgumentTypeError(f"{name}: {error.message}") from error


def _note(text: str) -> str:
    if len(text) > LONGEST_NOTE:
        raise argparse.ArgumentTypeError(
            tr("a note has at most {most} characters", most=LONGEST_NOTE)
        )
    return text


def explain(setting: Setting, arguments: argparse.Namespace) -> int:
    """Write the sheet of a photograph and its print."""
    from app.job import inputs_of, prepare
    from app.listings import load_catalogue
    from app.state import canonical
    from app.tasks import check_output
    from proofing.engine import Engine
    from proofing.photograph import read_photograph

    path, overwrite = Path(arguments.output), bool(arguments.overwrite)
    check_output(path, SUFFIXES, inputs_of(setting), overwrite=overwrite)
    if path.suffix.lower() in _DRAWN:
        _begin_drawing(path)
    with Progress() as progress:
        catalogue = load_catalogue()
        canonical(setting, catalogue)  # a wrong name is told before a large file is read
        progress.say(tr("Reading {photograph}…", photograph=Path(setting.photograph).name))
        job = prepare(setting, catalogue, read_photograph(Path(setting.photograph)))
        progress.say(tr("Printing; {first_time}", first_time=tr(FIRST_TIME)))

        def tell(done: float) -> None:
            progress.say(tr("Looking for losses… {percent:.0f} %", percent=100.0 * done))

        said = explained(
            Engine(), job, arguments.page, stocks=catalogue.stocks, note=arguments.note,
            date=datetime.date.today().isoformat(), progress=tell,
        )  # fmt: skip
        progress.say(tr("Writing {path}…", path=path.name))
        _write(said, path, job, arguments.page, overwrite=overwrite)
    print_paragraphs([job.sentence, said.verdict, tr("Written: {path}", path=path)])
    return 0


def _write(said: Explanation, path: Path, job: Job, page: Page, *, overwrite: bool) -> None:
    if path.suffix.lower() in _DRAWN:
        from app.handout.writing import write_sheet

        write_sheet(said, path, page, inputs=job.inputs, overwrite=overwrite)
        return
    with atomic_output(path, job.inputs, overwrite=overwrite) as part:
        report = {
            "photograph": job.setting.photograph,
            "setting": job.setting.to_dict(),
            **said.as_dict(),
        }
        text = json.dumps(report, ensure_ascii=False, indent=2, allow_nan=False)
        part.write_text(f"{text}\n", encoding="utf-8")


def _begin_drawing(path: Path) -> None:
    """An application with the program's type, without a display: nothing is shown.

    Raises
    ------
    OutputError
        The toolkit, or a library that it needs, is missing here.
    """
    from app.display import obstacle

    hindrance = obstacle({"QT_QPA_PLATFORM": "offscreen"})
    if hindrance:
        raise OutputError(
            tr("no page can be drawn here; write .json. {hindrance}", hindrance=hindrance), path
        )
    from PySide6.QtGui import QGuiApplication

    from app.theme import load_fonts

    if QGuiApplication.instance() is None:
        _kept.append(QGuiApplication([PROGRAM, "-platform", "offscreen"]))
    load_fonts()


def explained(
    engine: Engine,
    job: Job,
    page: Page,
    *,
    stocks: Sequence[Stock] = (),
    proof: Proof | None = None,
    note: str = "",
    date: str = "",
    cancel: Cancel | None = None,
    progress: Tell | None = None,
) -> Explanation:
    """What the sheet of a print says, with pictures as large as its page wants them.

    Free of the toolkit, for any thread; :func:`app.handout.writing.write_sheet` makes the file.

    Parameters
    ----------
    engine, job
        The print.
    page
        The paper of the sheet.
    stocks
        What could be chosen instead, where no complete proof is given.
    proof
        Of the job's request, where there is one already.
    note, date
        A line to the customer, and what stands at the foot.
    cancel, progress
        Asked, and told the share done, 0..1.

    Raises
    ------
    Cancelled
        `cancel` said so.
    """
    from app.handout.geometry import MOST_DETAILS, arrange, detail_px
    from proofing.engine import NODES_RESTING
    from proofing.ordering.explaining import explain as explain_print
    from proofing.ordering.explaining import findings_told
    from proofing.ordering.pictures import details_of, for_srgb, heart_of, pictures_of
    from proofing.proof import Prover, prove
    from proofing.viewing import glazings

    request = job.request
    corrected = request.correction is not None
    share = 0.6 if corrected else 0.9
    if proof is None:
        proof = prove(
            engine, request, stocks=stocks, glazings=glazings(), cancel=cancel,
            progress=_part(progress, 0.0, share),
        )  # fmt: skip
    before = None
    if corrected:
        plain = dataclasses.replace(request, correction=None)
        before = Prover(engine, plain).scan(cancel, _part(progress, share, 0.9))
    baked, wanted = proof.baked, for_srgb(request)
    if wanted is not request:
        baked = engine.bake(wanted, NODES_RESTING, cancel)
    facts = request.photograph.facts
    way = arrange(page, (facts.width, facts.height))
    pictures = pictures_of(baked, way.size_px)
    if cancel is not None and cancel():
        raise Cancelled
    told = _told(job, proof, note, date)
    said = explain_print(proof, pictures, told, kinds=job.setting.marks, before=before)
    whole_px, size_px = (facts.width, facts.height), detail_px(page)
    boxes = [
        heart_of(one.region.cells, proof.cell_px, one.region.box, whole_px, size_px)
        for one in findings_told(proof, job.setting.marks)
    ]
    details = details_of(baked, boxes, size_px)[:MOST_DETAILS]
    return dataclasses.replace(said, pictures=dataclasses.replace(pictures, details=details))


def _cropped(job: Job) -> str:
    """How much of the photograph is not printed, '' for nothing."""
    whole = job.facts.whole_px
    if whole is None:
        return ""
    lost = 1.0 - job.printed.width * job.printed.height / (whole[0] * whole[1])
    if lost < _NOTHING_CROPPED:
        return ""
    return tr(
        "The photograph is cropped for this print: {share} of it is not printed.",
        share=share_in_words(lost),
    )


def _sheet(job: Job) -> str:
    """What of the sheet is seen, '' where the sheet is the print."""
    from proofing.ordering.layout_words import layout_in_words

    size_mm = print_size_mm(job.setting, job.facts)
    layout = sheet_of(job.setting, size_mm)
    if layout.sheet_mm == size_mm:
        return ""
    return layout_in_words(layout, inches=job.facts.inches)


def _part(progress: Tell | None, start: float, end: float) -> Tell | None:
    return None if progress is None else lambda done: progress(start + (end - start) * done)


def _told(job: Job, proof: Proof, note: str, date: str) -> Told:
    from app.job import screen_line
    from app.words import DELTA_E_00, room_in_words
    from proofing.ordering.explaining import Told

    request = proof.request
    stock = request.stock
    excess = room_in_words(proof.baked.room_excess)
    notes = (
        tr("{name}: {note}.", name=tr(stock.name), note=tr(stock.note)) if stock.note else "",
        request.photograph.facts.note,
        _cropped(job),
    )
    return Told(
        sentence=tuple(
            (part, False) if isinstance(part, str) else (part.text, True)
            for part in sentence(job.setting, job.facts)
        ),
        date=date,
        note=note,
        screen=" ".join(said for said in (screen_line(proof), excess) if said),
        notes=tuple(said for said in notes if said),
        delta_E=tr(DELTA_E_00),
        inches=job.facts.inches,
        is_wrapped=is_wrapped(job.setting),
        may_shrink=job.setting.edge != "picture",
        sheet=_sheet(job),
    )
