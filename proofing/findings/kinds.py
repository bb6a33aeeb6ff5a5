"""The kinds of loss that can be marked on a print.

A kind is a name, a bit in the mask that textures are drawn from, and words for people. It says
*whose* limit is met: the paper's, the file's or the screen's. These never share a mark.
"""

from __future__ import annotations

from enum import StrEnum

from proofing.language import tr


class Kind(StrEnum):
    """One kind of loss; its value is the name that JSON output carries.

    Attributes
    ----------
    bit
        The kind's bit in a ``uint8`` mask, a power of two.
    title
        Two or three words for a legend.
    sentence
        One sentence that explains the mark to a photographer.

    Examples
    --------
    >>> Kind("out_of_gamut").bit
    1
    >>> Kind.CLIPPED_IN_FILE.title
    'Clipped in the file'
    """

    bit: int
    written: tuple[str, str]

    OUT_OF_GAMUT = (
        "out_of_gamut",
        1,
        "Out of gamut",
        "The stock cannot hold this colour; one that is duller or of another hue is printed.",
    )
    BLOCKED_SHADOWS = (
        "blocked_shadows",
        2,
        "Blocked shadows",
        "Detail in the shadows that an eye can see in the file cannot be seen on this print in "
        "this light.",
    )
    BLOWN_HIGHLIGHTS = (
        "blown_highlights",
        4,
        "Blown highlights",
        "Detail in the highlights that an eye can see in the file cannot be seen on this print, or "
        "a wide area gets no ink and shows as bare paper.",
    )
    CLIPPED_IN_FILE = (
        "clipped_in_file",
        8,
        "Clipped in the file",
        "The file itself has run out of values here; no stock can bring this detail back.",
    )
    BEYOND_SCREEN = (
        "beyond_screen",
        16,
        "Beyond this screen",
        "The print can show this colour but the screen cannot: here the print will differ from "
        "the picture on the screen.",
    )

    FLATTENED_COLOUR = (
        "flattened_colour",
        32,
        "Flattened colour",
        "Neighbouring saturated colours print as one: the modelling between them is lost.",
    )
    BANDING_RISK = (
        "banding_risk",
        64,
        "Banding risk",
        "A smooth gradient in so few steps that a correction would make the steps show.",
    )

    @property
    def title(self) -> str:  # type: ignore[override]  # hides str.title, no use for a kind
        """Its name for people."""
        return tr(self.written[0])

    @property
    def sentence(self) -> str:
        """What it means."""
        return tr(self.written[1])

    @property
    def order(self) -> int:
        """0 for what can no longer be seen on the print, 1 for what looks otherwise than it should,
        2 for what only the screen lacks or only a correction would spoil; told in this order."""
        if self in (Kind.BLOCKED_SHADOWS, Kind.BLOWN_HIGHLIGHTS, Kind.FLATTENED_COLOUR):
            return 0
        return 2 if self in (Kind.BEYOND_SCREEN, Kind.BANDING_RISK) else 1

    def __new__(cls, value: str, bit: int = 0, title: str = "", sentence: str = "") -> Kind:
        """Make a member whose string value is its name and which carries its words."""
        kind = str.__new__(cls, value)
        kind._value_ = value
        kind.bit = bit
        kind.written = (title, sentence)
        return kind


ALL_BITS = sum(kind.bit for kind in Kind)
"""Mask with the bit of every kind set."""


def bits_of(kinds: frozenset[Kind] | tuple[Kind, ...]) -> int:
    """Mask of several kinds.

    >>> bits_of((Kind.OUT_OF_GAMUT, Kind.BEYOND_SCREEN))
    17
    """
    return sum(kind.bit for kind in set(kinds))
