"""What the commands do. Free of the toolkit but for :func:`view`, and there only at its end."""

from __future__ import annotations

import dataclasses
import sys
import tempfile
import tomllib
from collections.abc import Iterable, Sequence
from functools import partial
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.files import atomic_output, free_name, refuse_existing, refuse_inputs, writable
from app.job import Job, findings_of, inputs_of, notes_of, prepare, screen_line
from app.listings import load_catalogue
from app.state import (
    Setting,
    canonical,
    print_size_mm,
    viewing_distance_m,
)
from app.state.table import number_text
from app.terminal import FIRST_TIME, Progress, print_json, print_paragraphs
from app.words import DELTA_E_00
from proofing.errors import OutputError, PhotographError, ProofingError
from proofing.findings.words import share_in_words
from proofing.language import alternatives, tr
from proofing.viewing import glazings

if TYPE_CHECKING:
    from proofing.catalogue import Catalogue
    from proofing.engine import Baked, Engine
    from proofing.findings.finding import Finding
    from proofing.proof import Proof

NODES = 65
"""Nodes a side of the lattice for anything that is written or counted."""


def _open(setting: Setting, progress: Progress) -> tuple[Catalogue, Job]:
    from proofing.photograph import read_photograph

    catalogue = load_catalogue()
    canonical(setting, catalogue)  # a wrong name is told before a large file is read
    progress.say(tr("Reading {photograph}…", photograph=Path(setting.photograph).name))
    photograph = read_photograph(Path(setting.photograph))
    return catalogue, prepare(setting, catalogue, photograph)


def _engine() -> Engine:
    from proofing.engine import Engine

    return Engine()


def check_output(
    output: Path, suffixes: Sequence[str], inputs: Iterable[str], *, overwrite: bool
) -> None:
    """Tell early, before any work, that a file cannot be written."""
    if output.suffix.lower() not in suffixes:
        raise OutputError(
            tr("{output} must end in {suffixes}", output=output, suffixes=alternatives(suffixes)),
            output,
        )
    refuse_inputs(output, inputs)
    if not overwrite:
        refuse_existing(output)
    folder = output.parent
    if not folder.is_dir():
        raise OutputError(
            tr(
                "{output} cannot be written: there is no folder {folder}",
                output=output,
                folder=folder,
            ),
            output,
        )
    if not writable(folder):
        raise OutputError(
            tr(
                "{output} cannot be written: the folder {folder} is closed to you or full",
                output=output,
                folder=folder,
            ),
            output,
        )


# ---- simulate and pair ---------------------------------------------------------------------


def simulate(
    setting: Setting, output: str, *, as_print_lab: bool = False, overwrite: bool = False
) -> int:
    """Write the print as the screen shows it, or the print's Lab."""
    path = Path(output)
    suffixes = (".tif", ".tiff") if as_print_lab else (".tif", ".tiff", ".png")
    check_output(path, suffixes, inputs_of(setting), overwrite=overwrite)
    with Progress() as progress:
        _, job = _open(setting, progress)
        engine = _engine()
        progress.say(tr("Printing; {first_time}", first_time=tr(FIRST_TIME)))
        if as_print_lab:
            _write_lab(path, engine, job, progress, overwrite=overwrite)
            notes: list[str] = []
        else:
            baked = engine.bake(job.request, nodes=NODES)
            progress.say(tr("Writing {path}…", path=path.name))
            _write_picture(path, baked, job, overwrite=overwrite)
            notes = notes_of(baked)
    print_paragraphs([job.sentence, *notes, tr("Written: {path}", path=path)])
    return 0


def _write_picture(path: Path, baked: Baked, job: Job, *, overwrite: bool) -> None:
    from app.rendering import print_picture

    profile = job.request.screen.profile.data
    ppi = job.ppi
    if path.suffix.lower() == ".png":
        from PIL import Image

        RGB = print_picture(baked, job.photograph, bits=8)
        with atomic_output(path, job.inputs, overwrite=overwrite) as temporary:
            Image.fromarray(RGB).save(
                temporary, format="PNG", icc_profile=profile, dpi=(ppi, ppi), compress_level=3
            )
        return
    import tifffile

    RGB = print_picture(baked, job.photograph, bits=16)
    with atomic_output(path, job.inputs, overwrite=overwrite) as temporary:
        tifffile.imwrite(
            temporary, RGB, photometric="rgb", iccprofile=profile, resolution=(ppi, ppi),
            resolutionunit="INCH", software="stocklight", metadata=None,
            description=_ascii(job.sentence),
        )  # fmt: skip


def _write_lab(
    path: Path, engine: Engine, job: Job, progress: Progress, *, overwrite: bool
) -> None:
    import tifffile

    from app.rendering import print_Lab

    Lab = print_Lab(engine, job.request, lambda done: progress.say(f"Printing… {100 * done:.0f} %"))
    ppi = job.ppi
    with atomic_output(path, job.inputs, overwrite=overwrite) as temporary:
        # TIFF 6.0 knows CIELAB as integers only; three plain float planes are what every
        # measuring tool reads, and the description says what they are.
        tifffile.imwrite(
            temporary, Lab, photometric="minisblack", planarconfig="contig",
            resolution=(ppi, ppi), resolutionunit="INCH", software="stocklight", metadata=None,
            description="CIE L*, a*, b* of the print, D50, 2 degrees, absolute. "
            + _ascii(job.sentence),
        )  # fmt: skip


def _ascii(text: str) -> str:
    """The sentence in the 7-bit characters that TIFF descriptions are made of."""
    for sign, plain in (("×", "x"), ("²", "2"), ("Δ", "d"), ("…", "...")):
        text = text.replace(sign, plain)
    return text.encode("ascii", "replace").decode()


def pair(setting: Setting, output: str, *, overwrite: bool = False) -> int:
    """Write what the window shows as one picture."""
    path = Path(output)
    check_output(path, (".png",), inputs_of(setting), overwrite=overwrite)
    with Progress() as progress:
        job, _, notes = _write_pair(setting, path, progress, overwrite=overwrite)
    print_paragraphs([job.sentence, *notes, tr("Written: {path}", path=path)])
    return 0


def _write_pair(
    setting: Setting,
    path: Path,
    progress: Progress,
    *,
    overwrite: bool = False,
    advise: bool = False,
) -> tuple[Job, Proof, list[str]]:
    from app.pair import compose, write_pair
    from proofing.proof import Prover

    catalogue, job = _open(setting, progress)
    progress.say(tr("Printing; {first_time}", first_time=tr(FIRST_TIME)))
    prover = Prover(_engine(), job.request, catalogue.stocks, glazings())
    proof = prover.scan()
    if advise:
        progress.say(tr("Working out what would help…"))
        proof = prover.advise()
    progress.say(tr("Writing {path}…", path=path.name))
    notes = notes_of(proof.baked)
    said = [*findings_of(proof, job.setting.marks), *notes]
    image = compose(proof, job.setting, job.facts, notes=said)
    profile = job.request.screen.profile
    write_pair(path, image, profile, job.inputs, overwrite=overwrite)
    return job, proof, notes


# ---- inspect -------------------------------------------------------------------------------


def inspect(setting: Setting, photographs: Sequence[str], *, as_json: bool) -> int:
    """Print what files are, what gets lost and where, and what would help."""
    from proofing.photograph import read_photograph
    from proofing.proof import prove

    catalogue = load_catalogue()
    setting = canonical(setting, catalogue)
    engine = _engine()
    reports: list[dict[str, Any]] = []
    failed = False
    for number, name in enumerate(photographs, start=1):
        with Progress() as progress:
            wait = f"; {tr(FIRST_TIME)}" if number == 1 else "…"
            progress.say(
                tr(
                    "{number} of {photographs}: {name}{wait}",
                    number=number,
                    photographs=len(photographs),
                    name=Path(name).name,
                    wait=wait,
                )
            )
            try:
                photograph = read_photograph(Path(name))
            except PhotographError as error:
                failed = True
                report = _failure(name, setting, error)
                paragraphs: list[str] = []
            else:
                job = prepare(setting.change(photograph=name), catalogue, photograph)
                proof = prove(
                    engine, job.request, stocks=catalogue.stocks, glazings=glazings(),
                    progress=partial(_tell_share, progress, Path(name).name),
                )  # fmt: skip
                notes = notes_of(proof.baked)
                report = _report(name, job, proof, notes)
                paragraphs = [job.sentence, file_in_words(job), *notes,
                              *proof_in_words(job.setting, proof)]  # fmt: skip
        if "error" in report:
            print(f"stocklight: {report['error']}", file=sys.stderr)
        reports.append(report)
        if not as_json and paragraphs:
            print_paragraphs(paragraphs)
            print(flush=True)
    if as_json:
        print_json(reports)
    return 2 if failed else 0


def _tell_share(progress: Progress, name: str, done: float) -> None:
    progress.say(f"{name}: {100 * done:.0f} %")


def _failure(name: str, setting: Setting, error: ProofingError) -> dict[str, Any]:
    return {
        "file": name,
        "error": " ".join(str(error).split()),
        "photograph": None,
        "setting": setting.change(photograph=name).to_dict(),
        "marks": [],
    }


def _report(name: str, job: Job, proof: Proof, notes: list[str]) -> dict[str, Any]:
    setting = job.setting.change(
        size_mm=print_size_mm(job.setting, job.facts),
        distance_m=viewing_distance_m(job.setting, job.facts),
    )
    return {
        "file": name,
        "photograph": dataclasses.asdict(job.photograph.facts),
        "setting": setting.to_dict(),
        "sentence": job.sentence,
        "print_ppi": round(job.ppi, 1),
        "notes": notes,
        "marks": [
            {
                "kind": mark.kind.value,
                "share": float(mark.share),
                "pixels": int(mark.pixels),
                "title": mark.kind.title,
                "places": mark.places,
                "rest_share": float(mark.rest_share),
            }
            for mark in proof.marks
            if mark.kind in job.setting.marks
        ],
        "verdict": proof.verdict,
        "screen_against_print": {**dataclasses.asdict(proof.screen), "off": proof.screen_is_off},
        "findings": [
            _finding(finding, job.photograph.origin) for finding in proof.shown(job.setting.marks)
        ],
    }


def _finding(finding: Finding, origin: tuple[int, int]) -> dict[str, Any]:
    """A finding for machines; boxes and outlines in pixels of the file, whatever its crop."""
    region = finding.region
    return {
        "kind": finding.kind.value,
        "reason": finding.reason,
        "share": region.share,
        "pixels": round(region.pixels),
        "where": region.where,
        "box": [side + origin[i % 2] for i, side in enumerate(region.box)],
        "outlines": [[[round(float(v) + o, 1) for v, o in zip(point, origin, strict=True)]
                      for point in line] for line in region.outlines],
        "numbers": {name: round(value, 4) for name, value in finding.numbers.items()},
        "sentence": finding.sentence,
        "advice": [
            {
                "action": advice.action.value,
                "sentence": advice.sentence,
                "setting": None if advice.setting is None else dict([advice.setting]),
                "share": advice.share,
                "amount": advice.amount,
            }
            for advice in finding.advice
        ],
    }  # fmt: skip


def file_in_words(job: Job) -> str:
    """What a file is, and how finely it is printed."""
    facts = job.photograph.facts
    bits = (
        tr("{bits} bits float a channel", bits=facts.bits)
        if facts.is_float
        else tr("{bits} bits a channel", bits=facts.bits)
    )
    profile = facts.space if facts.profile in (None, facts.space) else facts.profile
    ppi = "" if facts.ppi is None else f", {number_text(facts.ppi, 1)} ppi"
    whole = job.facts.whole_px
    part = (
        ""
        if whole in (None, (facts.width, facts.height))
        else tr(
            " Cropped to {width} × {height} px of them.", width=facts.width, height=facts.height
        )
    )
    return tr(
        "The file: {width} × {height} px, {mode}, {bits}, {profile} "
        "({profile_status}){stated_ppi}.{part} On paper: {ppi} ppi.",
        width=facts.width if whole is None else whole[0],
        height=facts.height if whole is None else whole[1],
        part=part,
        mode=facts.mode,
        bits=bits,
        profile=profile,
        profile_status=facts.profile_status,
        stated_ppi=ppi,
        ppi=number_text(job.ppi, 0),
    )


def proof_in_words(setting: Setting, proof: Proof) -> list[str]:
    """The verdict, the shares, and each place with what would help."""
    line = screen_line(proof)
    said = [proof.verdict, *([line] if line else []), *marks_in_words(setting, proof)]
    for number, finding in enumerate(proof.shown(setting.marks), start=1):
        said.append(f"{number}. {finding.sentence}")
        said += [f"   – {advice.sentence}" for advice in finding.advice]
    if any("ΔE00" in line for line in said):
        said.append(tr(DELTA_E_00))
    return said


def marks_in_words(setting: Setting, proof: Proof) -> list[str]:
    """One line for each kind that is shown, the largest share first."""
    shown = [mark for mark in proof.marks if mark.kind in setting.marks]
    shown.sort(key=lambda mark: -mark.share)
    return [
        f"{share_in_words(mark.share):>16}  {mark.kind.title}: {mark.kind.sentence}"
        for mark in shown
        if mark.share > 0
    ] or [tr("Nothing is lost that is marked.")]


def add_to_menu() -> int:
    """Put the program into the desktop's menu of applications."""
    from app.desktop import add_to_menu

    written = add_to_menu()
    print_paragraphs([tr("Written: {path}", path=path) for path in written])
    return 0


# ---- view ----------------------------------------------------------------------------------


def view(setting: Setting) -> int:
    """Open the window, or do without one where there is no display."""
    from app.display import obstacle

    first = demonstration_picture()
    demonstration = "" if first is None else str(first)
    hindrance = obstacle()
    if not hindrance:
        from app.memory import read_sitting
        from app.stopping import signals_quit_the_application
        from app.window import run_window

        sitting = read_sitting()
        with signals_quit_the_application():
            asked = setting != Setting()
            return run_window(sitting.begun_with(setting, demonstration), sitting, asked=asked)
    if not setting.photograph:
        setting = setting.change(photograph=demonstration)
    if not setting.photograph:
        raise PhotographError(
            tr("{hindrance} To do without a window, name a photograph.", hindrance=hindrance)
        )
    code = _view_without_window(setting)
    print(f"stocklight: {hindrance}", file=sys.stderr)
    return code


def _view_without_window(setting: Setting) -> int:
    folder = Path.cwd()
    if not writable(folder):
        folder = Path(tempfile.mkdtemp(prefix="stocklight-"))
    stem = tr(
        "{stem} on {stem_2}", stem=Path(setting.photograph).stem, stem_2=Path(setting.stock).stem
    )
    path = free_name(folder, stem, ".png")
    with Progress() as progress:
        job, proof, notes = _write_pair(setting, path, progress, advise=True)
    print_paragraphs([job.sentence, file_in_words(job), *notes,
                       *proof_in_words(job.setting, proof),
                       tr("Written instead of a window: {path}", path=path)])  # fmt: skip
    return 0


def demonstration_picture() -> Path | None:
    """The demonstration's first picture, or None where it is not installed."""
    try:
        folder = resources.files("demo")
        record = tomllib.loads((folder / "exhibition.toml").read_text(encoding="utf-8"))
    except (ModuleNotFoundError, OSError, tomllib.TOMLDecodeError):
        return None
    pictures = [picture for picture in record.get("picture", []) if "file" in picture]
    pictures.sort(key=lambda picture: not picture.get("first", False))
    for picture in pictures:
        path = Path(str(folder / picture["file"]))
        if path.is_file():
            return path
    return None
