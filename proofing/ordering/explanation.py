"""The sheet for the customer that explains a print: all that stands on it, as one frozen value.

Nothing here draws: :class:`Explanation` holds sentences, places and pixels, and becomes JSON by
:meth:`Explanation.as_dict`. Pages are made of it by a program that has type.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from proofing.findings.kinds import Kind
from proofing.ordering.pictures import Pictures

Float = npt.NDArray[np.float64]
Run = tuple[str, bool]
"""Words, and whether they are a phrase that was chosen."""


@dataclass(frozen=True, eq=False)
class Place:
    """A numbered place where something is lost.

    Attributes
    ----------
    number
        From 1 on; it stands beside the outline in both pictures.
    kind, where, share
        What, where, and of how much of the picture, 0..1.
    title, sentence
        What it is, and what one will see.
    helps
        What would still help, each for itself; none where nothing is known.
    box
        (x, y, width, height) in pixels of what is printed.
    outlines
        Closed lines, (N, 2) x and y in pixels of what is printed.
    """

    number: int
    kind: Kind
    where: str
    share: float
    title: str
    sentence: str
    helps: tuple[str, ...]
    box: tuple[int, int, int, int]
    outlines: tuple[Float, ...] = field(repr=False)


@dataclass(frozen=True)
class Change:
    """One loss without the correction, and with it; shares of the picture, 0..1."""

    kind: Kind
    title: str
    before: float
    after: float


@dataclass(frozen=True)
class Standing:
    """What stands behind a part of the sheet: the thing, how well it is known, and its source."""

    title: str
    words: str
    source: str = ""


@dataclass(frozen=True, eq=False)
class Explanation:
    """All that a sheet says.

    Attributes
    ----------
    title, subtitle
        The photograph's name; stock and size.
    date
        As it is printed.
    note
        A line from the technician to the customer; may be ''.
    sentence
        The setting, in the words that head every report.
    picture_px
        Width and height of what is printed: of the file, or of its crop.
    pictures
        Photograph and print.
    captions
        Of the two.
    on_paper
        Whether bare paper is seen round the print; a canvas goes round its bar.
    verdict
        One line for the whole picture.
    places, shares
        What is lost: numbered places, the worst first, and a sentence on all the rest.
    done, changes
        What was done about it, and what it changed.
    size, screen
        Sentences.
    standings
        What is typical, and what is measured.
    footnotes
        What words and pictures mean.
    cautions
        What to mind.
    language
        Such as ``en`` or ``de-CH``.
    origin_px
        Where the upper left pixel of what is printed lies in the file, x and y.
    """

    title: str
    subtitle: str
    date: str
    note: str
    sentence: tuple[Run, ...]
    picture_px: tuple[int, int]
    pictures: Pictures
    captions: tuple[str, str]
    on_paper: bool
    verdict: str
    places: tuple[Place, ...]
    shares: str
    done: tuple[str, ...]
    changes: tuple[Change, ...]
    size: tuple[str, ...]
    screen: tuple[str, ...]
    standings: tuple[Standing, ...]
    footnotes: tuple[str, ...]
    cautions: tuple[str, ...]
    language: str
    origin_px: tuple[int, int] = (0, 0)

    def as_dict(self) -> dict[str, Any]:
        """All but the pixels, ready for JSON.

        Boxes and outlines are in pixels of what is printed, and once more in pixels of the file.
        """
        return {
            "title": self.title,
            "subtitle": self.subtitle,
            "date": self.date,
            "note": self.note,
            "language": self.language,
            "sentence": "".join(text for text, _ in self.sentence),
            "picture_px": list(self.picture_px),
            "origin_px": list(self.origin_px),
            "captions": list(self.captions),
            "on_paper": self.on_paper,
            "verdict": self.verdict,
            "places": [_place(place, self.origin_px) for place in self.places],
            "shares": self.shares,
            "done": list(self.done),
            "changes": [
                {
                    "kind": change.kind.value, "title": change.title,
                    "before": change.before, "after": change.after,
                }
                for change in self.changes
            ],
            "size": list(self.size),
            "screen": list(self.screen),
            "standings": [
                {"title": one.title, "words": one.words, "source": one.source}
                for one in self.standings
            ],
            "footnotes": list(self.footnotes),
            "cautions": list(self.cautions),
        }  # fmt: skip


def _place(place: Place, origin_px: tuple[int, int]) -> dict[str, Any]:
    x, y, width, height = place.box
    return {
        "number": place.number,
        "kind": place.kind.value,
        "where": place.where,
        "share": place.share,
        "title": place.title,
        "sentence": place.sentence,
        "helps": list(place.helps),
        "box": list(place.box),
        "outlines": _lines(place.outlines, (0, 0)),
        # upright, as Exif's orientation turns the file
        "box_in_file": [x + origin_px[0], y + origin_px[1], width, height],
        "outlines_in_file": _lines(place.outlines, origin_px),
    }


def _lines(lines: tuple[Float, ...], origin_px: tuple[int, int]) -> list[list[list[float]]]:
    return [
        [
            [round(float(v) + at, 1) for v, at in zip(point, origin_px, strict=True)]
            for point in line
        ]
        for line in lines
    ]
