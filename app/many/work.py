"""What is done with one photograph of many, in a process of its own."""

from __future__ import annotations

import argparse
import base64
import dataclasses
import time
import warnings
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.state import Setting
from proofing.errors import ProofingError
from proofing.language import tr

if TYPE_CHECKING:
    from app.job import Job
    from proofing.catalogue import Catalogue
    from proofing.engine import Engine
    from proofing.ordering.comparison import Comparison
    from proofing.ordering.order_file import Written
    from proofing.ordering.triage import Concern, Looked, Missed
    from proofing.proof import Proof

Tell = Callable[[float], None]

_READ, _SCANNED = 0.1, 0.5  # shares of the work on one photograph that end there


@dataclass(frozen=True)
class Spec:
    """What is the same for all photographs of a run.

    Attributes
    ----------
    command
        ``'order'`` or ``'compare'``.
    setting
        With the names of the catalogue, without a photograph.
    arguments
        Of the command line, for what is no setting.
    threads
        For pixels, in each process.
    inputs
        Files that are read besides the photographs.
    """

    command: str
    setting: Setting
    arguments: argparse.Namespace
    threads: int = 1
    inputs: tuple[str, ...] = ()


@dataclass(frozen=True)
class Task:
    """One photograph.

    Attributes
    ----------
    path
        Its file.
    output
        The order file, '' for a comparison.
    overwrite
        Whether that may be replaced.
    """

    path: str
    output: str = ""
    overwrite: bool = False


def make(spec: Spec) -> Callable[[Task, Tell], dict[str, Any]]:
    """Load what the work needs, once in a process."""
    # The colour library remarks on plotting packages that this program does without.
    warnings.filterwarnings("ignore", message=".*related API features are not available")
    from proofing.catalogue import Catalogue
    from proofing.engine import Engine

    catalogue, engine = Catalogue.load(), Engine(spec.threads)

    def work(task: Task, tell: Tell) -> dict[str, Any]:
        start = time.monotonic()
        try:
            report = _report(spec, task, catalogue, engine, tell)
        except ProofingError as error:
            report = failure(task.path, str(error))
        except MemoryError:
            report = failure(task.path, tr("there is not enough memory for a picture of this size"))
        except OSError as error:
            report = failure(task.path, f"{error.filename or task.path}: {error.strerror or error}")
        except Exception as error:  # a fault of ours must not keep the others from their prints
            report = failure(
                task.path,
                tr(
                    "{name} could not be worked on: a fault of this program ({fault})",
                    name=Path(task.path).name,
                    fault=f"{type(error).__name__}: {error}",
                ),
            )
        return {**report, "seconds": round(time.monotonic() - start, 2)}

    return work


def failure(path: str, error: str) -> dict[str, Any]:
    """The report on a photograph that could not be worked on."""
    from proofing.ordering.triage import UNREADABLE

    return {"file": path, "error": " ".join(error.split()), "look": _look(UNREADABLE)}


def _report(
    spec: Spec, task: Task, catalogue: Catalogue, engine: Engine, tell: Tell
) -> dict[str, Any]:
    from app.job import prepare
    from proofing.photograph import read_photograph
    from proofing.proof import Prover
    from proofing.viewing import glazings

    photograph = read_photograph(Path(task.path))
    tell(_READ)
    job = prepare(spec.setting.change(photograph=task.path), catalogue, photograph)
    prover = Prover(engine, job.request, catalogue.stocks, glazings())
    proof = prover.scan(None, lambda done: tell(_READ + (_SCANNED - _READ) * done))
    written = comparison = None

    def rest(done: float) -> None:
        tell(_SCANNED + (1.0 - _SCANNED) * done)

    if spec.command == "order":
        written = _write(spec, task, job, rest)
    elif spec.command == "compare":
        from proofing.ordering.comparing import compare

        comparison = compare(engine, job.request, catalogue.stocks, progress=rest)
    try:
        return {**_told(job, proof, written, comparison), "thumbnail": _thumbnail(job)}
    except BaseException:  # a file that is not told of is not left behind
        if written is not None:
            written.path.unlink(missing_ok=True)
        raise


def _write(spec: Spec, task: Task, job: Job, tell: Tell) -> Written:
    from app.ordering import ordered
    from proofing.ordering.order_file import write_order

    wanted, _ = ordered(job, Path(spec.arguments.output), spec.arguments)
    return write_order(
        job.printed, wanted, task.output, inputs=(*job.inputs, *spec.inputs),
        overwrite=task.overwrite, progress=tell,
    )  # fmt: skip


def _told(
    job: Job, proof: Proof, written: Written | None, comparison: Comparison | None
) -> dict[str, Any]:
    """The report on a photograph; shares are 0..1."""
    from app.comparing import report as compared
    from app.state import print_size_mm, viewing_distance_m
    from app.state.facts import frame_mm
    from proofing.ordering.concerns import costs_of, detail_lost, missed_of
    from proofing.ordering.file_check import file_remarks
    from proofing.ordering.size import Fineness
    from proofing.ordering.triage import triage

    facts = job.photograph.facts
    size, distance = (
        print_size_mm(job.setting, job.facts),
        viewing_distance_m(job.setting, job.facts),
    )
    fineness = Fineness((facts.width, facts.height), size, distance)
    told = None if written is None else written.told
    remarks = file_remarks(facts, fineness, is_lifted=job.request.correction is not None)
    frame = frame_mm(job.setting, job.facts)
    return {
        "file": job.setting.photograph,
        "error": None,
        "sentence": job.sentence,
        "photograph": dataclasses.asdict(facts),
        "print": {
            "width_mm": round(size[0], 3),
            "height_mm": round(size[1], 3),
            "frame_mm": None if frame is None else list(frame),
            "ppi": round(fineness.ppi, 1),
            "distance_m": round(distance, 3),
            "resolved_ppi": round(fineness.resolved_ppi, 1),
            "is_sharp": fineness.is_sharp,
        },
        "marks": [
            {"kind": each.kind.value, "share": float(each.share), "title": each.kind.title}
            for each in proof.marks
        ],
        "detail_lost_share": detail_lost(proof),
        "weakened_share": proof.totals.weak,
        "bare_share": proof.totals.bare,
        "delta_E_00_out_of_gamut": round(proof.totals.miss, 3),
        "verdict": proof.verdict,
        "file_check": [*remarks, *_left_free(job)],
        "look": _look(
            triage(costs_of(proof, facts, fineness, told, comparison)), missed_of(proof, told)
        ),
        **({} if written is None else {"order": written.as_dict()}),
        **({} if comparison is None else {"comparison": compared(job, comparison)}),
        **({} if comparison is None else {"choice": _choice(comparison)}),
    }


def _left_free(job: Job) -> list[str]:
    from app.state import print_size_mm
    from app.state.facts import frame_mm
    from proofing.ordering.lengths import size_text

    frame = frame_mm(job.setting, job.facts)
    if frame is None:
        return []
    return [
        tr(
            "Its shape leaves a part of {frame} free: it is printed {size}.",
            frame=size_text(frame),
            size=size_text(print_size_mm(job.setting, job.facts)),
        )
    ]


def _choice(comparison: Comparison) -> dict[str, Any]:
    """How the chosen stock stands to the best one."""
    from proofing.ordering.concerns import chosen, standing_of_chosen

    best, own = comparison.ranked[0] if comparison.ranked else None, chosen(comparison)
    standing = standing_of_chosen(comparison)
    return {
        "best": None if best is None else best.stock.name,
        "best_points": None if best is None else round(best.score, 2),
        "chosen": comparison.request.stock.name,
        "chosen_points": None if own is None else round(own.score, 2),
        "chosen_place": None if own is None else comparison.ranked.index(own) + 1,
        "to_the_best": None if standing is None else standing.value,
    }


def _look(looked: Looked, missed: Mapping[Concern, Missed] | None = None) -> dict[str, Any]:
    from proofing.ordering.triage import reason

    return {
        "grade": looked.grade.value,
        "words": looked.grade.words,
        "points": round(looked.points, 2),
        "reason": reason(looked, missed),
        "costs": {concern.value: round(cost, 5) for concern, cost in looked.costs.items()},
    }


def _thumbnail(job: Job) -> str:
    from app.many.thumbnail import thumbnail

    return base64.b64encode(thumbnail(job.photograph)).decode("ascii")
