"""The commands ``order`` and ``compare`` for many photographs, from their words to the summary."""

from __future__ import annotations

import argparse
import dataclasses
import hashlib
import json
import sys
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.files import is_file, is_folder
from app.many.memory import cores, processes_for
from app.many.pool import Event, Pool
from app.many.record import Record
from app.many.sources import (
    Source,
    pictures_of,
    planned,
    refuse_shared_names,
    refuse_sources_as_outputs,
)
from app.many.words import Line, TimeLeft
from app.many.work import Spec, Task, failure, make
from app.state import ROWS, Setting, canonical
from app.terminal import FIRST_TIME, Progress
from proofing.errors import OutputError, PhotographError
from proofing.language import counted, tr
from proofing.ordering.summary import readable

if TYPE_CHECKING:
    from proofing.catalogue import Catalogue

_NO_SETTING = {
    "command", "photograph", "photographs", "subfolders", "processes", "overwrite", "json",
    *(row.id for row in ROWS),
}  # fmt: skip
"""Words of a command line that do not decide what comes out, or are settings."""


@dataclass
class Run:
    """A run of many photographs, while it goes on.

    Attributes
    ----------
    command, setting, arguments
        What is done.
    sources
        All photographs of this command.
    record
        What is done already, and where the rest will be noted.
    reports
        By the place of the source.
    """

    command: str
    setting: Setting
    arguments: argparse.Namespace
    sources: Sequence[Source]
    record: Record
    reports: dict[int, dict[str, Any]] = field(default_factory=dict)
    before: int = 0

    @property
    def pending(self) -> list[int]:
        """Places of the sources that are not reported on."""
        return [place for place in range(len(self.sources)) if place not in self.reports]


def is_many(names: Sequence[str], arguments: argparse.Namespace) -> bool:
    """Whether a command is about many photographs: several files, a folder, or what a comparison
    is to be written to."""
    comparison_is_written = arguments.command == "compare" and bool(arguments.output)
    return len(names) > 1 or comparison_is_written or any(map(is_folder, names))


def run_many(setting: Setting, arguments: argparse.Namespace) -> int:
    """Work on all photographs that are not done yet, and write the summary.

    Returns
    -------
    int
        0, or 2 where one of them failed.

    Raises
    ------
    ProofingError
        Before any work: the setting, the names or the folder do not allow it.
    """
    from app.listings import load_catalogue

    catalogue = load_catalogue()
    setting = canonical(setting.change(photograph=""), catalogue)
    command = str(arguments.command)
    if command == "order":
        _check_order(setting, arguments)
    folder = _folder_of(command, arguments)
    with Progress() as progress:
        progress.say(tr("Looking at what there is…"))
        record = Record.open(
            folder, command, _decisive(setting, arguments, catalogue), overwrite=arguments.overwrite
        )
        with record:
            run = _planned(command, setting, arguments, catalogue, record, progress)
            return _carried_out(run, catalogue, progress)


def _check_order(setting: Setting, arguments: argparse.Namespace) -> None:
    """What is wrong for every photograph is told at once."""
    from proofing.ordering.order_file import Margins, kind_of, order_space

    output = Path(arguments.output)
    if "{name}" not in output.name:
        raise OutputError(
            tr(
                "--output {output}: many photographs need a name each; put {name} into it, as in "
                "{example}",
                output=output,
                name="{name}",
                example=output.with_name("{name}" + (output.suffix or ".tif")),
            ),
            output,
        )
    kind_of(output)
    order_space(arguments.space)
    Margins.even(arguments.margin)


_NO_FOLDER = (".html", ".csv", ".json", ".pdf", ".png", ".jpg", ".tif", ".txt")
"""Endings of what is meant to be one file."""


def _folder_of(command: str, arguments: argparse.Namespace) -> Path | None:
    if command == "order":
        return Path(arguments.output).parent
    if arguments.output and Path(arguments.output).suffix.lower() in _NO_FOLDER:
        raise OutputError(
            tr(
                "--output {output}: a comparison of many photographs is a folder of files; name a "
                "folder, such as {example}",
                output=arguments.output,
                example=Path(arguments.output).with_suffix(""),
            ),
            Path(arguments.output),
        )
    return Path(arguments.output) if arguments.output else None


def _decisive(
    setting: Setting, arguments: argparse.Namespace, catalogue: Catalogue
) -> dict[str, Any]:
    """All that decides what comes out, plain; of files also their size and time of change, and of
    every stock what it prints like: a lab's new profile may keep its name."""
    options = {k: v for k, v in vars(arguments).items() if k not in _NO_SETTING}
    if arguments.command == "order":
        options["output"] = Path(arguments.output).name
    else:
        options.pop("output", None)
    chosen = {k: v for k, v in setting.to_dict().items() if k != "photograph"}
    files = {
        value: [(found := Path(value).stat()).st_size, found.st_mtime_ns]
        for value in (*options.values(), *chosen.values())
        if isinstance(value, str) and value and is_file(value)
    }
    stocks = {stock.name: stock.key for stock in catalogue.stocks}
    return {
        "command": arguments.command,
        **chosen,
        "options": options,
        "files": files,
        "stocks": hashlib.sha256(json.dumps(stocks).encode()).hexdigest(),
    }


# ---- before ----------------------------------------------------------------------------------


def _planned(
    command: str,
    setting: Setting,
    arguments: argparse.Namespace,
    catalogue: Catalogue,
    record: Record,
    progress: Progress,
) -> Run:
    names: Sequence[str] = arguments.photographs
    folder = record.folder
    if folder is not None and any(is_folder(name) and _same(name, folder) for name in names):
        raise OutputError(
            tr(
                "{folder} is read and written: what is made would be taken for photographs; "
                "name another folder in --output",
                folder=folder,
            ),
            folder,
        )
    paths = pictures_of(names, subfolders=arguments.subfolders, leave_out=folder)
    mine = [path for path in paths if record.made(path)]
    paths = [path for path in paths if path not in set(mine)]
    if mine:
        said = counted(
            "{n} files are left out: this run has made them itself.",
            "{n} file is left out: this run has made it itself.",
            len(mine),
        )
        print(f"stocklight: {said}", file=sys.stderr)
    if not paths:
        raise PhotographError(tr("there is no photograph to work on; name other files"))
    is_order = command == "order"
    sources = []
    for number, path in enumerate(paths, start=1):
        progress.say(tr("Looking at {number} of {all}…", number=number, all=len(paths)))
        done = record.output_of(path)
        source = planned(path, setting, catalogue, arguments, is_order=is_order)
        sources.append(source if done is None else dataclasses.replace(source, output=done))
    refuse_shared_names(sources)
    refuse_sources_as_outputs(sources)
    run = Run(command, setting, arguments, sources, record)
    for place, source in enumerate(sources):
        found = record.found(source.path)
        if found is not None:
            run.reports[place] = found
    run.before = len(run.reports)
    record.clear_leftovers()
    record.refuse_existing([sources[place] for place in run.pending])
    return run


def _same(name: str, folder: Path) -> bool:
    return folder.is_dir() and Path(name).samefile(folder)


# ---- the work --------------------------------------------------------------------------------


def _carried_out(run: Run, catalogue: Catalogue, progress: Progress) -> int:
    from app.many.telling import tell

    if run.before:
        said = counted(
            "{n} photographs are done already and are not worked on again.",
            "{n} photograph is done already and is not worked on again.",
            run.before,
        )
        print(f"stocklight: {said}", file=sys.stderr)
    try:
        if run.pending:
            _work(run, progress)
    except BaseException as stop:
        if isinstance(stop, Exception):
            raise
        _stopped(run, catalogue, progress)
        raise
    progress.say("")
    return tell(run, catalogue)


def _stopped(run: Run, catalogue: Catalogue, progress: Progress) -> None:
    """After the keyboard or the system asked to stop: what is done is summed up."""
    from app.many.telling import write_summary

    progress.say("")
    write_summary(run, catalogue)
    good = sum(report["error"] is None for report in run.reports.values())
    done = tr("{done} of {all} are done", done=good, all=len(run.sources))
    if run.record.folder is None:
        said = tr("{done}; nothing is kept of them without --output", done=done)
    else:
        said = tr("{done}; start the same command again to go on from here", done=done)
    print(f"stocklight: {said}", file=sys.stderr)


def _work(run: Run, progress: Progress) -> None:
    places = run.pending
    sources = [run.sources[place] for place in places]
    pixels = [source.pixels for source in sources]
    processes = run.arguments.processes or processes_for(pixels)
    processes = max(1, min(processes, len(places)))
    spec = Spec(
        run.command, run.setting, run.arguments, threads=max(1, cores() // processes),
        inputs=tuple(run.record.inputs),
    )  # fmt: skip
    tasks = [
        Task(str(s.path), "" if s.output is None else str(s.output), run.record.may_replace(s))
        for s in sources
    ]
    line = Line(progress, TimeLeft(pixels), run.before, len(run.sources))
    progress.say(tr("Preparing; {first_time}", first_time=tr(FIRST_TIME)))
    try:
        with Pool(make, spec, processes) as pool:
            for event in pool.run(tasks):
                _heard(run, event, places, line)
    finally:
        run.record.clear_leftovers()


def _heard(run: Run, event: Event, places: Sequence[int], line: Line) -> None:
    if event.kind == "tick":
        line.say()
        return
    place = places[event.task]
    source = run.sources[place]
    if event.kind == "began":
        run.record.begin(source)
    elif event.kind == "share":
        line.tell(event.task, event.value, source.path.name)
    else:
        report = event.value if event.kind == "done" else _died(source, event.value)
        run.reports[place] = report
        run.record.end(source, report)
        if report["error"] is not None:
            line.interrupt(f"stocklight: {readable(report['error'])}")
        line.tell(event.task, 1.0, source.path.name, done=True)


def _died(source: Source, code: int | None) -> dict[str, Any]:
    return failure(
        str(source.path),
        tr(
            "{name}: the process that worked on it ended ({code}); where memory is short, use "
            "--processes 1 or a smaller copy",
            name=source.path.name,
            code=code,
        ),
    )
