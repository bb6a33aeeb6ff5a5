"""The command that tells a correction in numbers, and writes it for other programs."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.files import atomic_output
from app.job import Job, prepare
from app.listings import load_catalogue
from app.state import Setting, number_text
from app.terminal import Progress, print_json, print_paragraphs, print_table
from proofing.errors import OutputError
from proofing.findings.words import stops_in_words
from proofing.language import filled, mark, tr

if TYPE_CHECKING:
    from proofing.ordering.correcting import EaseNeeded, LiftNeeded
    from proofing.ordering.correction_files import CurvePoint
    from proofing.printing import Correction

    Needed = tuple[LiftNeeded, EaseNeeded]

EASED_NOTE = mark(
    "Strong colours are eased in after the curve. No curve of an editor does that: it is in the "
    ".cube table, in the device link, and in the file of an order."
)
_ENDINGS = {"cube": (".cube",), "link": (".icc", ".icm")}


def correct(
    setting: Setting, *, cube: str | None, link: str | None, overwrite: bool, as_json: bool
) -> int:
    """Print the curve of a correction, the one asked for or else the one that the print needs.

    Parameters
    ----------
    setting
        Of the print; where it asks for no correction, the least lift is looked for that shows the
        shadows, and the least easing that shows what strong colours have of modelling.
    cube, link
        Files to be written: a ``.cube`` table, an ICC device link.
    overwrite, as_json
        Whether a file may be replaced; whether JSON is printed.
    """
    from app.state.request import is_corrected
    from proofing.engine import Engine
    from proofing.ordering.correcting import ease_needed_for, lift_needed_for
    from proofing.ordering.correction_files import curve_points
    from proofing.photograph import read_photograph
    from proofing.printing import Correction

    files = {kind: Path(name) for kind, name in (("cube", cube), ("link", link)) if name}
    for kind, path in files.items():
        endings = _ENDINGS[kind]
        if path.suffix.lower() not in endings:
            wrong = tr("{path} must end in {ending}", path=path, ending=endings[0])
            raise OutputError(wrong, path)
    catalogue = load_catalogue()
    photograph = read_photograph(Path(setting.photograph))
    job = prepare(setting, catalogue, photograph)
    needed: Needed | None = None
    if not is_corrected(setting):
        engine = Engine()
        with Progress() as progress:
            progress.say(tr("Looking how far the shadows must be lifted…"))
            lift = lift_needed_for(engine, job.request)
            job = prepare(setting.change(shadow_lift=lift.stops), catalogue, photograph)
            progress.say(tr("Looking how far strong colours must be eased in…"))
            ease = ease_needed_for(engine, job.request)
        needed = lift, ease
        job = prepare(job.setting.change(colour_ease=ease.percent), catalogue, photograph)
    correction = job.request.correction or Correction(photograph.encoding)
    for path in files.values():
        write_correction(path, job, overwrite=overwrite)
    written = list(files.values())
    points = curve_points(correction)
    if as_json:
        print_json(_report(job, needed, points, written))
    else:
        _print(job, needed, correction, points, written)
    return 0


def correction_name(setting: Setting) -> str:
    """What a file of a correction is called inside."""
    said = [tr("a curve of your own")] if setting.curve else []
    if setting.shadow_lift:
        said.append(tr("shadows lifted by {stops}", stops=stops_in_words(setting.shadow_lift)))
    if setting.colour_ease:
        percent = number_text(setting.colour_ease)
        said.append(tr("strong colours eased in by {percent} %", percent=percent))
    return ", ".join(said) or tr("no correction")


def write_correction(path: Path, job: Job, *, overwrite: bool = True) -> tuple[str, ...]:
    """Write the correction of a print as a ``.cube`` table or, by its ending, a device link.

    Returns
    -------
    tuple of str
        What a person should know of the file, in sentences.
    """
    from proofing.ordering.correction_files import cube_text, device_link, use_in_words
    from proofing.printing import Correction

    correction = job.request.correction or Correction(job.photograph.encoding)
    name, is_link = correction_name(job.setting), path.suffix.lower() in _ENDINGS["link"]
    if is_link:
        data = device_link(correction, name).data
    else:
        data = cube_text(correction, name).encode("utf-8")
    with atomic_output(path, job.inputs, overwrite=overwrite) as part:
        part.write_bytes(data)
    stock, space = job.request.stock.name, job.photograph.facts.space
    return use_in_words(correction, space, stock, link=is_link)


def _report(
    job: Job, needed: Needed | None, points: Sequence[CurvePoint], written: Sequence[Path]
) -> dict[str, Any]:
    return {
        "sentence": job.sentence,
        "setting": job.setting.to_dict(),
        "lift_stops": job.setting.shadow_lift,
        "ease_percent": job.setting.colour_ease,
        "needed": None if needed is None else dataclasses.asdict(needed[0]),
        "needed_ease": None if needed is None else dataclasses.asdict(needed[1]),
        "space": job.photograph.facts.space,
        "points": [dataclasses.asdict(point) for point in points],
        "written": [str(path) for path in written],
    }


def _print(
    job: Job,
    needed: Needed | None,
    correction: Correction,
    points: Sequence[CurvePoint],
    written: Sequence[Path],
) -> None:
    print_paragraphs([job.sentence, *(each.sentence for each in needed or ())])
    if not correction.is_straight:
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
    if correction.eases:
        print_paragraphs([tr(EASED_NOTE)])
    template = (
        tr("Written: {path}. It changes nothing.") if correction.is_none else tr("Written: {path}")
    )
    print_paragraphs([filled(template, path=path) for path in written])
