"""What a sitting needs before it can begin. Runs on the worker's thread; free of the toolkit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from app.files import atomic_output, free_name
from app.state import Facts, Setting, build_screen, canonical, system_profile
from proofing.errors import Cancelled, OutputError, ProofingError, RecordError
from proofing.findings.kinds import Kind
from proofing.language import tr

if TYPE_CHECKING:
    from proofing.catalogue import Catalogue
    from proofing.engine import Baked, Engine, Probe
    from proofing.ordering.correcting import EaseNeeded, LiftNeeded
    from proofing.photograph import Photograph
    from proofing.proof import Proof, Prover
    from proofing.request import ProofRequest


@dataclass(frozen=True)
class Tools:
    """What :mod:`proofing` offers to a sitting."""

    catalogue: Catalogue
    engine: Engine


def load_tools() -> Tools:
    """The catalogue and an engine. Slow the first time: it imports the colour science."""
    from proofing.catalogue import Catalogue
    from proofing.engine import Engine

    return Tools(Catalogue.load(), Engine())


def compiled_before() -> bool:
    """Whether the pixel loops lie compiled on this computer's disk, newer than their source."""
    from proofing.printing import gamut

    source = Path(gamut.__file__)
    loops = [thing.stats for thing in vars(gamut).values() if hasattr(thing, "stats")]
    folders = {loop.cache_path for loop in loops if loop.cache_path}
    kept = [file for folder in folders for file in Path(folder).glob(f"{source.stem}.*.nbi")]
    return any(file.stat().st_mtime >= source.stat().st_mtime for file in kept)


@dataclass(frozen=True)
class Start:
    """What a sitting begins with, once everything is loaded."""

    tools: Tools
    wanted: Setting
    setting: Setting
    facts: Facts
    trouble: Exception | None = None


def begin(load: Callable[[], Tools], wanted: Setting) -> Start:
    """Load, and look up what was asked for; what leads nowhere is told and left at its start."""
    tools = load()
    trouble: Exception | None = None
    profile = system_profile()
    facts = Facts.of(tools.catalogue)
    facts = replace(facts, system_screen="" if profile is None else profile.description)
    try:
        setting = canonical(wanted, tools.catalogue)
        build_screen(setting)
    except ProofingError as error:
        setting, trouble = _what_leads_somewhere(wanted, tools.catalogue), error
    if facts.stock(setting.stock) is None:
        facts = facts.with_stock(tools.catalogue.stock(setting.stock), setting.stock)
    if trouble is None and tools.catalogue.problems:  # of the user's own stocks
        trouble = RecordError(". ".join(tools.catalogue.problems))
    return Start(tools, wanted, setting, facts, trouble)


def _what_leads_somewhere(wanted: Setting, catalogue: Catalogue) -> Setting:
    """A setting whose names are looked up one by one; only those that lead nowhere are let go."""
    start = Setting()
    for name in ("stock", "light", "glazing", "illuminance", "screen_profile"):
        alone = start.change(**{name: getattr(wanted, name)})
        try:
            canonical(alone, catalogue)
            build_screen(alone)
        except ProofingError:
            wanted = wanted.change(**{name: getattr(start, name)})
    return canonical(wanted, catalogue)


def read_picture(path: str) -> Photograph:
    """The photograph in a file."""
    from proofing.photograph import read_photograph

    return read_photograph(Path(path))


def keep_image(write: Callable[[Path], None]) -> str:
    """Write a picture that came without a file into the user's folder; its path.

    Raises
    ------
    OutputError
        Where that cannot be.
    """
    from proofing.catalogue import user_folder

    folder = user_folder() / "pasted"
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(
            tr("{folder} cannot be made ({strerror})", folder=folder, strerror=error.strerror),
            folder,
        ) from error
    path = free_name(folder, tr("pasted {now:%Y-%m-%d %H.%M}", now=datetime.now()), ".png")
    with atomic_output(path) as part:
        write(part)
    return str(path)


def lift_needed(
    engine: Engine,
    request: ProofRequest,
    cancel: Callable[[], bool],
    progress: Callable[[float], None],
) -> LiftNeeded:
    """How far the shadows must be lifted for a print."""
    from proofing.ordering.correcting import lift_needed_for

    return lift_needed_for(engine, request, cancel, progress)


def ease_needed(
    engine: Engine,
    request: ProofRequest,
    cancel: Callable[[], bool],
    progress: Callable[[float], None],
) -> EaseNeeded:
    """How far strong colours must be eased in for a print."""
    from proofing.ordering.correcting import ease_needed_for

    return ease_needed_for(engine, request, cancel, progress)


def probe_at(
    engine: Engine, baked: Baked, row: int, column: int, proof: Proof | None = None
) -> Probe:
    """One pixel followed all the way; with a proof, its marks are those of its place, too."""
    photograph = baked.request.photograph
    probe = engine.probe(baked.request, photograph.codes[row, column])
    marks = set(probe.marks)
    if photograph.is_clipped(row, column):
        marks.add(Kind.CLIPPED_IN_FILE)
    if proof is not None:
        marks |= {kind for kind in _OF_PLACES if proof.bears(kind, row, column)}
    return replace(probe, marks=tuple(kind for kind in Kind if kind in marks))


_OF_PLACES = frozenset(Kind) - {Kind.OUT_OF_GAMUT, Kind.BEYOND_SCREEN, Kind.CLIPPED_IN_FILE}


def glance_at(engine: Engine, request: ProofRequest, cancel: Callable[[], bool]) -> Proof:
    """A provisional proof."""
    from proofing.proof import glance

    return glance(engine, request, cancel=cancel)


def prover_of(tools: Tools, request: ProofRequest) -> Prover:
    """What proves a request against all that could be chosen instead."""
    from proofing.proof import Prover
    from proofing.viewing import glazings

    return Prover(tools.engine, request, tools.catalogue.stocks, glazings())


def save_pair(
    path: str,
    tools: Tools,
    setting: Setting,
    photograph: Photograph,
    cancel: Callable[[], bool] | None = None,
    *,
    kept: Setting | None = None,
    facts: Facts | None = None,
) -> Path:
    """Write what the window shows as one picture.

    Parameters
    ----------
    path
        Where; the suffix of a PNG is added where it has another, or none.
    tools, setting, photograph
        What is shown.
    cancel
        Asked whether to go on.
    kept
        The print that hangs in the photograph's place, if any.
    facts
        How lengths and numbers are written.

    Returns
    -------
    pathlib.Path
        The file that was written.
    """
    from app.job import findings_of, notes_of, prepare
    from app.pair import compose, write_pair
    from proofing.proof import Prover

    target = Path(path) if path.lower().endswith(".png") else Path(f"{path}.png")
    job = prepare(setting, tools.catalogue, photograph)
    shown = job.facts
    if facts is not None:
        shown = replace(shown, inches=facts.inches, comma=facts.comma)
    proof = Prover(tools.engine, job.request).scan(cancel)
    other = None
    if kept is not None:
        hung = prepare(
            kept.change(photograph=setting.photograph, marks=setting.marks),
            tools.catalogue,
            photograph,
        )
        other = (Prover(tools.engine, hung.request).scan(cancel), hung.setting)
    notes = [*findings_of(proof, setting.marks), *notes_of(proof.baked)]
    image = compose(proof, job.setting, shown, notes=notes, kept=other)
    if cancel is not None and cancel():
        raise Cancelled
    write_pair(target, image, job.request.screen.profile, job.inputs)
    return target
