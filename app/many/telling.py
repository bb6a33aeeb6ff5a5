"""The end of a run: its summary in files, on the terminal, or as JSON, and the exit status."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.files import atomic_output
from app.many.words import count_in_words, print_choices, print_what_needs_a_look
from app.state import Facts, sentence, text_of
from app.terminal import print_json, print_paragraphs
from proofing.language import counted, tr
from proofing.ordering.summary import in_order, ranking_csv, summary_csv

if TYPE_CHECKING:
    from app.many.run import Run
    from proofing.catalogue import Catalogue

OK, FAILED = 0, 2


def tell(run: Run, catalogue: Catalogue) -> int:
    """Write the summary and say what came of the run."""
    written = write_summary(run, catalogue)
    reports = [run.reports[place] for place in range(len(run.sources))]
    if run.arguments.json:
        print_json(as_json(run, heading(run, catalogue, len(reports)), written))
    else:
        print_paragraphs([heading(run, catalogue, len(reports)), count_in_words(reports), ""])
        if run.command == "compare":
            print_choices(reports)
        print_what_needs_a_look(reports)
        print_paragraphs(["", *(tr("Written: {path}", path=path) for path in written)])
    return FAILED if any(report["error"] is not None for report in reports) else OK


def write_summary(run: Run, catalogue: Catalogue) -> list[Path]:
    """Write or renew the files that sum up a run; none without a folder."""
    from app.many.page import Page, page_of

    record = run.record
    if record.folder is None:
        return []
    reports = in_order([*run.reports.values(), *record.earlier(run.sources)])
    pending = [str(run.sources[place].path) for place in run.pending]
    page = Page(
        run.command, heading(run, catalogue, len(reports)), count_in_words(reports), reports,
        pending, record.folder,
    )  # fmt: skip
    texts = {
        "summary.csv": summary_csv(reports, run.command),
        "summary.html": page_of(page),
        "ranking.csv": ranking_csv(reports),
    }
    for path in record.summaries:
        with atomic_output(path) as temporary:
            temporary.write_text(texts[path.name], encoding="utf-8", newline="")
    return list(record.summaries)


def as_json(run: Run, heading: str, written: Sequence[Path]) -> dict[str, Any]:
    """The whole run for machines: the photographs in the order of the summary."""
    setting = {k: v for k, v in run.setting.to_dict().items() if k != "photograph"}
    reports = in_order([run.reports[place] for place in sorted(run.reports)])
    return {
        "command": run.command,
        "sentence": heading,
        "setting": setting,
        "done_before": run.before,
        "failed": sum(report["error"] is not None for report in reports),
        "written": [str(path) for path in written],
        "files": [{k: v for k, v in r.items() if k != "thumbnail"} for r in reports],
    }


def heading(run: Run, catalogue: Catalogue, count: int) -> str:
    """The sentence of the setting, for all photographs."""
    facts = Facts.of(catalogue)
    if facts.stock(run.setting.stock) is None:
        facts = facts.with_stock(catalogue.stock(run.setting.stock), run.setting.stock)
    all = counted("{n} photographs", "{n} photograph", count)
    return text_of(sentence(run.setting.change(photograph=all), facts))
