"""Type on a sheet, set with the shipped fonts: measured, broken into lines, drawn as coverage."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from importlib import resources
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from proofing.ordering.strip import Label

if TYPE_CHECKING:
    from PIL.ImageFont import FreeTypeFont

CAP_SHARE = 0.727
"""Height of a capital over the size of the type; of the font, measured."""
LEADING = 1.3
"""From line to line, over the size; more than the font's ascent and descent together (1.21)."""
_BASELINE = 1.0  # of the first line below the top, over the size: room for accents
LEAST_CAP_PX = 7.0
"""Capitals of fewer pixels cannot be read, whatever they measure."""


@dataclass(frozen=True)
class Face:
    """Type of one size.

    Parameters
    ----------
    size_px
        Of the type, whole pixels, so that stems are sharp.
    strong
        Semibold.
    """

    size_px: int
    strong: bool = False

    @classmethod
    def of_cap(cls, cap_mm: float, ppi: float, *, strong: bool = False) -> Face:
        """The smallest whose capitals are at least so high, and can be read at this ppi.

        Examples
        --------
        >>> Face.of_cap(2.2, 300.0).size_px, Face.of_cap(2.2, 20.0).size_px
        (36, 10)
        """
        cap_px = max(cap_mm / 25.4 * ppi, LEAST_CAP_PX)
        return cls(math.ceil(cap_px / CAP_SHARE), strong)

    @property
    def leading_px(self) -> int:
        """From line to line."""
        return math.ceil(LEADING * self.size_px)

    def width(self, text: str) -> int:
        """Pixels that a line takes."""
        return _width(self.size_px, self.strong, text)

    def lines(self, text: str, width_px: int) -> tuple[str, ...]:
        """A text broken to a width: between words, and within one where it is wider alone."""
        return _lines(self, text, width_px)

    def label(self, text: str, width_px: int, left: int = 0, top: int = 0) -> Label:
        """A text, set."""
        lines = self.lines(text, width_px)
        widest = max(self.width(line) for line in lines)
        return Label(lines, left, top, self.size_px, self.leading_px, widest, self.strong)

    def balanced(self, text: str, width_px: int) -> Label:
        """A text in as few lines as it takes, of about equal length."""
        count = len(self.lines(text, width_px))
        low, high = width_px // max(count, 1) - 1, width_px
        while high - low > 1:
            middle = (low + high) // 2
            fits = middle > 0 and len(self.lines(text, middle)) <= count
            low, high = (low, middle) if fits else (middle, high)
        return self.label(text, high)

    def line(self, text: str, left: int = 0, top: int = 0) -> Label:
        """A text on one line."""
        width = self.width(text)
        return Label((text,), left, top, self.size_px, self.leading_px, width, self.strong)


@functools.lru_cache(maxsize=2**13)
def _width(size_px: int, strong: bool, text: str) -> int:
    return math.ceil(_font(size_px, strong).getlength(text)) + 1


@functools.lru_cache(maxsize=2**11)
def _lines(face: Face, text: str, width_px: int) -> tuple[str, ...]:
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if face.width(longer) <= width_px:
            line = longer
            continue
        if line:
            lines.append(line)
        while face.width(word) > width_px and len(word) > 1:
            fits = next(
                (n for n in range(len(word) - 1, 1, -1) if face.width(word[:n]) <= width_px), 1
            )
            lines.append(word[:fits])
            word = word[fits:]
        line = word
    return (*lines, line) if line or not lines else tuple(lines)


@functools.lru_cache(maxsize=16)
def _font(size_px: int, strong: bool) -> FreeTypeFont:
    from PIL import ImageFont

    name = "Inter-SemiBold.otf" if strong else "Inter-Regular.otf"
    with resources.as_file(resources.files("resources") / "fonts" / name) as path:
        return ImageFont.truetype(str(path), size_px)


def coverage(label: Label) -> npt.NDArray[Any]:
    """How much of each pixel its ink covers.

    Returns
    -------
    ndarray
        (H, W) uint8 of the label's box, 255 for all.
    """
    from PIL import Image, ImageDraw

    box = label.box
    image = Image.new("L", (box.width, box.height), 0)
    draw = ImageDraw.Draw(image)
    font = _font(label.size_px, label.strong)
    for number, line in enumerate(label.lines):
        baseline = number * label.leading_px + round(_BASELINE * label.size_px)
        draw.text((0, baseline), line, fill=255, font=font, anchor="ls")
    return np.asarray(image)
