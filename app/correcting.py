"""The command that tells a shadow lift in numbers, and writes it for other programs."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.files import atomic_output
from app.job import Job, prepare
from app.listings import load_catalogue
from app.state import Setting
from app.terminal import Progress, print_json, print_paragraphs, print_table
from proofing.errors import OutputError
from proofing.findings.words import stops_in_words
from proofing.language import tr

if TYPE_CHECKING:
    from proofing.ordering.correcting import LiftNeeded
    from proofing.ordering.correction_files import CurvePoint
    from proofing.printing import Correction

_ENDINGS = {"cube": (".cube",), "link": (".icc", ".icm")}


def correct(
    setting: Setting, *, cube: str | None, link: str | None, overwrite: bool, as_json: bool
) -> int:
    """Print the curve of a lift, the one asked for or else the one that the print needs.

    Parameters
    ----------
    setting
        Of the print; without a lift the least one is looked for that shows the shadows.
    cube, link
        Files to be written: a ``.cube`` table, an ICC device link.
    overwrite, as_json
        Whether a file may be replaced; whether JSON is printed.
    """
    from proofing.engine import Engine
    from proofing.ordering.correcting import lift_needed_for
    from proofing.ordering.correction_files import cube_text, curve_points, device_link
    from proofing.photograph import read_photograph
    from proofing.printing import shadow_lift

    files = {kind: Path(name) for kind, name in (("cube", cube), ("link", link)) if name}
    for kind, path in files.items():
        endings = _ENDINGS[kind]
        if path.suffix.lower() not in endings:
            wrong = tr("{path} must end in {ending}", path=path, ending=endings[0])
            raise OutputError(wrong, path)
    catalogue = load_catalogue()
    photograph = read_photograph(Path(setting.photograph))
    job = prepare(setting, catalogue, photograph)
    needed: LiftNeeded | None = None
    if not setting.shadow_lift:
        with Progress() as progress:
            progress.say(tr("Looking how far the shadows must be lifted…"))
            needed = lift_needed_for(Engine(), job.request)
        job = prepare(setting.change(shadow_lift=needed.stops), catalogue, photograph)
    stops = job.setting.shadow_lift
    correction = shadow_lift(photograph.encoding, stops)
    name = tr("shadows lifted by {stops}", stops=stops_in_words(stops))
    for kind, path in files.items():
        text = cube_text(correction, name).encode("utf-8") if kind == "cube" else b""
        _write(path, text or device_link(correction, name).data, job, overwrite=overwrite)
    written = list(files.values())
    points = curve_points(correction)
    if as_json:
        print_json(_report(job, needed, points, written))
    else:
        _print(job, needed, correction, points, written)
    return 0


def _write(path: Path, data: bytes, job: Job, *, overwrite: bool) -> None:
    with atomic_output(path, job.inputs, overwrite=overwrite) as part:
        part.write_bytes(data)


def _report(
    job: Job, needed: LiftNeeded | None, points: Sequence[CurvePoint], written: Sequence[Path]
) -> dict[str, Any]:
    return {
        "sentence": job.sentence,
        "setting": job.setting.to_dict(),
        "lift_stops": job.setting.shadow_lift,
        "needed": None if needed is None else dataclasses.asdict(needed),
        "space": job.photograph.facts.space,
        "points": [dataclasses.asdict(point) for point in points],
        "written": [str(path) for path in written],
    }


def _print(
    job: Job,
    needed: LiftNeeded | None,
    correction: Correction,
    points: Sequence[CurvePoint],
    written: Sequence[Path],
) -> None:
    print_paragraphs([job.sentence, *([] if needed is None else [needed.sentence])])
    if not correction.is_none:
        print()
        heads = (tr("in"), tr("out"), tr("in, %"), tr("out, %"))
        print_table(
            heads,
            [
                (
                    str(point.code_in),
                    str(point.code_out),
                    f"{point.percent_in:.1f}",
                    f"{point.percent_out:.1f}",
                )
                for point in points
            ],
            [""] * len(points),
            tr(
                "The same curve on each channel, in the file's own space ({space}), through these "
                "points of 0 to 255. The original is not touched.",
                space=job.photograph.facts.space,
            ),
        )
    print_paragraphs([tr("Written: {path}", path=path) for path in written])
