"""One photograph with one setting, looked up: what the window and every command begin with."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import TYPE_CHECKING

from app.files import is_file
from app.state import (
    Facts,
    Setting,
    build_request,
    canonical,
    print_size_mm,
    sentence,
    system_profile,
    text_of,
)
from app.state.framing import framing
from app.state.lengths import MM_PER_INCH
from app.state.table import SRGB_SCREEN, SYSTEM_SCREEN
from app.words import room_in_words, screen_in_words, sharpness_in_words
from proofing.language import tr

if TYPE_CHECKING:
    from proofing.catalogue import Catalogue
    from proofing.engine import Baked
    from proofing.findings.kinds import Kind
    from proofing.photograph import Photograph
    from proofing.proof import Proof
    from proofing.request import ProofRequest

MATCHED = "matched"  # of proofing.viewing.Look, without the cost of importing it


@dataclass(frozen=True)
class Job:
    """One photograph with one setting, looked up and ready to be proved."""

    setting: Setting
    facts: Facts
    photograph: Photograph  # what is seen of it
    printed: Photograph  # what is printed of it: more where it runs on round a bar
    request: ProofRequest
    mm_per_px: float | None = None  # see Framing

    @property
    def sentence(self) -> str:
        """The sentence that heads every output."""
        return text_of(sentence(self.setting, self.facts))

    @property
    def ppi(self) -> float:
        """Pixels of the file on an inch of paper."""
        width_mm, _ = print_size_mm(self.setting, self.facts)
        return self.photograph.facts.width / (width_mm / MM_PER_INCH)

    @property
    def inputs(self) -> tuple[str, ...]:
        """Files that were read; none may be written onto."""
        return inputs_of(self.setting)


def inputs_of(setting: Setting) -> tuple[str, ...]:
    """Files that a setting reads."""
    screen = setting.screen_profile
    files = [setting.photograph, setting.stock]
    if screen not in (SRGB_SCREEN, SYSTEM_SCREEN):
        files.append(screen)
    return tuple(name for name in files if name and is_file(name))


def prepare(setting: Setting, catalogue: Catalogue, photograph: Photograph) -> Job:
    """Look up everything a setting names.

    Raises
    ------
    ProofingError
        When a name or a file leads nowhere.
    """
    setting = canonical(setting, catalogue)
    framed = framing(setting, (photograph.width, photograph.height))
    printed, whole = photograph.part(framed.printed), photograph
    photograph = printed if framed.face == framed.printed else whole.part(framed.face)
    facts = Facts.of(catalogue).with_photograph(photograph, whole)
    if facts.stock(setting.stock) is None:
        facts = facts.with_stock(catalogue.stock(setting.stock), setting.stock)
    if setting.screen_profile == SYSTEM_SCREEN:
        profile = system_profile()
        facts = dataclasses.replace(
            facts, system_screen="" if profile is None else profile.description
        )
    request = build_request(setting, catalogue, photograph, facts)
    return Job(setting, facts, photograph, printed, request, framed.mm_per_px)


def findings_of(proof: Proof, shown: frozenset[Kind]) -> list[str]:
    """The verdict, and the findings of the kinds that are shown, in sentences."""
    line = screen_line(proof)
    return [proof.verdict, *([line] if line else []), *(f.sentence for f in proof.shown(shown))]


def screen_line(proof: Proof) -> str:
    """How the screen stands to the paper, '' where it is near enough."""
    if not proof.screen_is_off:
        return ""
    return screen_in_words(proof.screen, matched=proof.request.look == MATCHED)


def notes_of(baked: Baked) -> list[str]:
    """Sentences a person should read with the picture, if any."""
    request = baked.request
    size, distance_m, stock = request.size, request.distance_m, request.stock
    ppi = None if size is None else size.ppi(request.photograph)
    notes = [
        room_in_words(baked.room_excess),
        sharpness_in_words(ppi, distance_m) if ppi and distance_m else "",
        stock.note and f"{stock.name}: {stock.note}.",
        request.photograph.facts.note,
        tr(request.room.light.caution),
    ]
    return [note for note in notes if note]
