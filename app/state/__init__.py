"""State, history, settings and commands of the program, free of any toolkit.

Widgets own no truth: they read a :class:`State`, run a command, and listen back.
"""

from app.state.commands import BY_ID, COMMANDS, MENUS, PHRASES, Command, run
from app.state.facts import (
    Facts,
    LightFact,
    PictureFact,
    PlaceFact,
    StockFact,
    print_size_mm,
    viewing_distance_m,
)
from app.state.request import build_request, build_screen, canonical, system_profile
from app.state.sentence import Phrase, Sentence, differences, essence, sentence, text_of
from app.state.setting import Setting
from app.state.state import ASKABLE, History, State, ViewState
from app.state.table import (
    CORRECTIONS,
    ROWS,
    SETTINGS,
    SRGB_SCREEN,
    SYSTEM_SCREEN,
    Row,
    number_text,
)
from app.state.trial import Trial, trial_in_words

__all__ = [
    "ASKABLE",
    "BY_ID",
    "COMMANDS",
    "CORRECTIONS",
    "MENUS",
    "PHRASES",
    "ROWS",
    "SETTINGS",
    "SRGB_SCREEN",
    "SYSTEM_SCREEN",
    "Command",
    "Facts",
    "History",
    "LightFact",
    "Phrase",
    "PictureFact",
    "PlaceFact",
    "Row",
    "Sentence",
    "Setting",
    "State",
    "StockFact",
    "Trial",
    "ViewState",
    "build_request",
    "build_screen",
    "canonical",
    "differences",
    "essence",
    "number_text",
    "print_size_mm",
    "run",
    "sentence",
    "system_profile",
    "text_of",
    "trial_in_words",
    "viewing_distance_m",
]
