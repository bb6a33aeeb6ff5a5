"""Made-up sheets for tests of their pages; no engine, no photograph."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np

from app.handout.geometry import A4, MOST_DETAILS, Page, arrange, detail_px
from proofing.findings.kinds import Kind
from proofing.ordering.explanation import Change, Explanation, Place, Standing
from proofing.ordering.pictures import Detail, Pictures

LONG = (
    "Schattenzeichnungsverluste in Tiefenbereichen der Farbwiedergabemöglichkeiten sind unter "
    "Kunstlichtbedingungen unvermeidlich und betreffen hier größere zusammenhängende Flächen. "
)
SIGNS = "efficient fjord, offline: 60 × 40 cm, ΔE00 ≥ 3 – “so” — 1 → 2, 120 cd/m², 50 %"
SCREEN = (
    "A screen whose white is at 120 cd/m² is about as bright as bare paper in this room: the two "
    "can be compared by eye."
)


def pictures(
    page: Page, picture_px: tuple[int, int], *, grey: bool = False, details: int = 0
) -> Pictures:
    """Two different noisy pictures of the size that the page wants, and even details."""
    width, height = arrange(page, picture_px).size_px
    rng = np.random.default_rng(3)
    made = rng.integers(0, 256, (2, height, width, 1 if grey else 3), dtype=np.uint8)
    both = np.broadcast_to(made, (2, height, width, 3)).copy()
    both.flags.writeable = False
    across, down = detail_px(page)
    larger = tuple(
        Detail(n, *(np.full((down, across, 3), 20 * n + i, np.uint8) for i in (0, 9)))
        for n in range(1, details + 1)
    )
    return Pictures(both[0], both[1], (201, 196, 188), (90, 88, 84), larger)


def place(number: int, picture_px: tuple[int, int], words: str = "") -> Place:
    """A round place; they lie one beside the other and begin anew below."""
    width, height = picture_px
    radius = 0.08 * min(picture_px)
    x = width * (0.15 + 0.2 * ((number - 1) % 4))
    y = height * (0.3 + 0.4 * ((number - 1) // 4 % 2))
    angle = np.linspace(0.0, 2.0 * np.pi, 60)
    line = np.column_stack([x + radius * np.cos(angle), y + radius * np.sin(angle)])
    return Place(
        number,
        Kind.BLOCKED_SHADOWS,
        "in the middle",
        0.012,
        f"Fine detail in the shadows is lost, {number}",
        f"In the middle, 1.2 % of the picture: not on this print. {words}".strip(),
        (f"Lift the shadows by 0.5 stops: most of it then shows. {words}".strip(),),
        (int(x - radius), int(y - radius), int(2 * radius), int(2 * radius)),
        (line,),
    )


def explanation(
    *,
    picture_px: tuple[int, int] = (1800, 1200),
    page: Page = A4,
    places: int = 2,
    words: str = "",
    grey: bool = False,
    **changes: Any,
) -> Explanation:
    """A sheet that says a little of everything.

    Parameters
    ----------
    words
        Put behind sentences, to make them long.
    changes
        Other values of its fields.
    """
    said = Explanation(
        title="harbour_at_six.tif",
        subtitle="A print of 60 × 40 cm on smooth matte, seen from 1.08 m",
        date="2026-11-26",
        note="",
        sentence=(
            ("harbour_at_six.tif", True),
            (" on ", False),
            ("smooth matte", True),
            (".", False),
        ),
        picture_px=picture_px,
        pictures=pictures(page, picture_px, grey=grey, details=min(places, MOST_DETAILS)),
        captions=("The photograph, as a screen shows it", "The print, in its room"),
        on_paper=True,
        verdict=f"A little is lost: 2.4 % of the picture, mostly shadow detail. {words}".strip(),
        places=tuple(place(n, picture_px, words) for n in range(1, places + 1)),
        shares="In all: Shadows without detail 2.4 %." if places else "",
        done=(f"The shadows are lifted by 0.5 stops. {words}".strip(), SIGNS),
        changes=(Change(Kind.BLOCKED_SHADOWS, "Shadows without detail", 0.061, 0.024),),
        size=(f"At 60 × 40 cm the file gives 76 ppi. {words}".strip(),),
        screen=(f"{SCREEN} {words}".strip(),),
        standings=(
            Standing("The paper, smooth matte", "typical of its class.", f"A survey. {words}"),
            Standing("The light level", "150 lx, as it was told."),
        ),
        footnotes=("ΔE00: how far apart two colours look.",),
        cautions=(f"Strong light fades prints: ask a conservator. {words}".strip(),),
        language="en",
    )
    return dataclasses.replace(said, **changes)
