"""The pair as one picture: what the window shows, made without one.

Left the photograph on neutral grey, right the print with its paper margin on the wall, both at
one scale and in the screen's own code values; above them the sentence, below the marks with
their shares. Greys and type are those of the window; equal code values are neutral on any screen
whose profile is grey-balanced, and the profile is embedded.
"""

from __future__ import annotations

import functools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageDraw, ImageFont

from app.files import atomic_output
from app.state import Facts, Setting, differences, sentence
from app.state.framing import is_wrapped
from proofing.findings.cover import mark_bits
from proofing.findings.kinds import Kind
from proofing.findings.overlay import composite, overlay
from proofing.findings.words import share_in_words
from proofing.language import tr

if TYPE_CHECKING:
    from proofing.photograph.icc import IccProfile
    from proofing.proof import Proof

UInt8 = npt.NDArray[np.uint8]
Grey = tuple[int, int, int]

WIDTH_PX = 2400
MARGIN_SHARE = 0.04
"""Unprinted margin of the print, as a share of its short edge. Common practice: enough to hold
the print by and to judge paper white."""

GROUND: Grey = (71, 71, 71)
PANE: Grey = (119, 119, 119)  # 18.4 % luminance in sRGB: a mid grey
TEXT: Grey = (242, 242, 242)
QUIET: Grey = (203, 203, 203)

_EDGE_PX = 72
_GAP_PX = 32
_WALL_SHARE = 0.07  # of a pane's width, left free around the print
_TALLEST = 1.25  # a pane is at most this much higher than wide
_FIELDS, _FIELD_HEIGHT = 4, 84  # of the legend, in a row; pixels
_MARK_SCALE = 1.5  # the textures, for a picture that is looked at reduced

IN_THE_FILE = frozenset({Kind.CLIPPED_IN_FILE})
"""Marks drawn on the photograph: what the file has lost. All others are drawn on the print."""


@functools.lru_cache(maxsize=16)
def _font(size_px: int, *, strong: bool = False) -> ImageFont.FreeTypeFont:
    name = "Inter-SemiBold.otf" if strong else "Inter-Regular.otf"
    with resources.as_file(resources.files("resources") / "fonts" / name) as path:
        return ImageFont.truetype(str(path), size_px)


@dataclass(frozen=True)
class _Layout:
    """Where everything lies; pixels of the whole picture."""

    pane_width: int
    pane_height: int
    picture_width: int
    picture_height: int
    paper_px: int

    @classmethod
    def of(cls, width_px: int, picture: tuple[int, int]) -> _Layout:
        pane_width = (width_px - 2 * _EDGE_PX - _GAP_PX) // 2
        wall = round(_WALL_SHARE * pane_width)
        width, height = picture
        margin = MARGIN_SHARE * min(width, height)
        scale = min(
            (pane_width - 2 * wall) / (width + 2 * margin),
            (_TALLEST * pane_width - 2 * wall) / (height + 2 * margin),
        )
        picture_width, picture_height = max(1, round(width * scale)), max(1, round(height * scale))
        paper = max(2, round(margin * scale))
        return cls(
            pane_width, picture_height + 2 * (paper + wall), picture_width, picture_height, paper
        )


def compose(
    proof: Proof,
    setting: Setting,
    facts: Facts,
    notes: Sequence[str] = (),
    width_px: int = WIDTH_PX,
    kept: tuple[Proof, Setting] | None = None,
) -> Image.Image:
    """Draw the pair.

    Parameters
    ----------
    proof
        The photograph's proof; its lattice makes the pixels, its marks the legend.
    setting, facts
        What the sentence is made of.
    notes
        Further sentences to be put below the marks.
    width_px
        Width of the whole picture; the height follows from the photograph's.
    kept
        The proof and the setting of a print that hangs in the photograph's place.

    Returns
    -------
    PIL.Image.Image
        RGB, 8 bits, in the screen's code values.
    """
    photograph, baked = proof.request.photograph, proof.baked
    layout = _Layout.of(width_px, (photograph.facts.width, photograph.facts.height))
    left, right = _pictures(proof, layout, setting.marks)
    ground, border, captions = PANE, None, _captions(setting, facts, kept)
    if kept is not None:
        _, left = _pictures(kept[0], layout, setting.marks)
        ground, border = _rgb(kept[0].baked.wall_bgr), _rgb(kept[0].baked.paper_bgr)

    inner = width_px - 2 * _EDGE_PX
    heading = _flow(_runs(setting, facts), inner, 38)
    legend = _Legend.of(proof, setting, inner)
    note_lines = [_flow([(note, False)], inner, 24) for note in notes]
    heading_height = len(heading) * 56
    panes_top = _EDGE_PX - 12 + heading_height + 34
    captions_top = panes_top + layout.pane_height + 20
    legend_top = captions_top + 64
    notes_top = legend_top + legend.height + 14
    notes_height = sum(36 * len(lines) + 6 for lines in note_lines)
    height_px = notes_top + notes_height + (40 if note_lines else 16)

    image = Image.new("RGB", (width_px, height_px), GROUND)
    draw = ImageDraw.Draw(image)
    _write(draw, heading, (_EDGE_PX, _EDGE_PX - 12), 38, 56, TEXT)
    x = _EDGE_PX
    wall, paper = _rgb(baked.wall_bgr), _rgb(baked.paper_bgr)
    for side, behind, edge, caption in (
        (left, ground, border, captions[0]),
        (right, wall, None if is_wrapped(setting) else paper, captions[1]),
    ):
        _hang(image, side, (x, panes_top), layout, behind, edge)
        draw.text((x, captions_top), caption, QUIET, _font(25))
        x += layout.pane_width + _GAP_PX
    legend.draw(image, draw, (_EDGE_PX, legend_top))
    y = notes_top
    for lines in note_lines:
        _write(draw, lines, (_EDGE_PX, y), 24, 36, QUIET)
        y += 36 * len(lines) + 6
    return image


def _captions(
    setting: Setting, facts: Facts, kept: tuple[Proof, Setting] | None
) -> tuple[str, str]:
    if kept is None:
        return tr("The photograph, as the screen shows it"), tr("The print, under its light")
    other = kept[1]
    return (
        tr("The kept print: {differences}", differences=differences(other, setting, facts)),
        tr("The print: {differences}", differences=differences(setting, other, facts)),
    )


def write_pair(
    path: Path,
    image: Image.Image,
    profile: IccProfile,
    inputs: Iterable[Path | str] = (),
    *,
    overwrite: bool = True,
) -> None:
    """Write a composed pair as a PNG with the screen's profile.

    Raises
    ------
    OutputError
        When the file cannot be written, or may not be replaced; nothing half-written is left
        behind.
    """
    with atomic_output(path, inputs, overwrite=overwrite) as temporary:
        image.save(temporary, format="PNG", icc_profile=profile.data, compress_level=4)


# ---- pictures ------------------------------------------------------------------------------


def _pictures(proof: Proof, layout: _Layout, shown: frozenset[Kind]) -> tuple[UInt8, UInt8]:
    """Both pictures with their marks, (picture_height, picture_width, 4) BGRX."""
    baked, photograph = proof.baked, proof.request.photograph
    level = 0
    while photograph.facts.width >> (level + 1) >= layout.picture_width:
        level += 1
    reduced = photograph.level(level)
    size = layout.picture_width, layout.picture_height
    scale = layout.picture_width / photograph.width
    sides = []
    for bgrx, kinds in (
        (baked.photograph_view(reduced.codes, reduced.alpha), shown & IN_THE_FILE),
        (baked.print_view(reduced.codes, reduced.alpha), shown - IN_THE_FILE),
    ):
        bits = mark_bits(proof.maps, kinds, proof.cell_px, scale, (0.0, 0.0), size[::-1])
        marks = overlay(bits, kinds, scale=_MARK_SCALE)
        sides.append(composite(_resized(bgrx, size), marks))
    return sides[0], sides[1]


def _resized(bgrx: UInt8, size: tuple[int, int]) -> UInt8:
    """A picture at the size it is drawn: smooth when reduced, plain pixels when enlarged."""
    height, width = bgrx.shape[:2]
    if (width, height) == size:
        return bgrx
    enlarged = size[0] >= 2 * width
    way = Image.Resampling.NEAREST if enlarged else Image.Resampling.LANCZOS
    image = Image.fromarray(np.ascontiguousarray(bgrx[..., :3])).resize(size, way)
    result = np.full((size[1], size[0], 4), 255, dtype=np.uint8)
    result[..., :3] = np.asarray(image)
    return result


def _hang(
    image: Image.Image,
    bgrx: UInt8,
    at: tuple[int, int],
    layout: _Layout,
    ground: Grey,
    paper: Grey | None,
) -> None:
    """Lay a picture, on its paper where it has one, in the middle of its pane."""
    x, y = at
    draw = ImageDraw.Draw(image)
    draw.rectangle((x, y, x + layout.pane_width - 1, y + layout.pane_height - 1), ground)
    left = x + (layout.pane_width - layout.picture_width) // 2
    top = y + (layout.pane_height - layout.picture_height) // 2
    if paper is not None:
        p = layout.paper_px
        draw.rectangle(
            (
                left - p,
                top - p,
                left + layout.picture_width - 1 + p,
                top + layout.picture_height - 1 + p,
            ),
            paper,
        )
    image.paste(Image.fromarray(np.ascontiguousarray(bgrx[..., 2::-1])), (left, top))


def _rgb(bgr: npt.ArrayLike) -> Grey:
    blue, green, red = (int(value) for value in np.asarray(bgr).reshape(-1)[:3])
    return red, green, blue


# ---- words ---------------------------------------------------------------------------------

Run = tuple[str, bool]
"""Words, and whether they are a phrase, which is set strong."""


def _runs(setting: Setting, facts: Facts) -> list[Run]:
    return [
        (part, False) if isinstance(part, str) else (part.text, True)
        for part in sentence(setting, facts)
    ]


def _flow(runs: Iterable[Run], width_px: int, size_px: int) -> list[list[Run]]:
    """Words broken into lines, keeping what is strong.

    A number stays with its unit; a word that starts with punctuation stays with the one before.
    """
    words: list[list[Run]] = [[]]
    for text, strong in runs:
        for index, piece in enumerate(_no_break(text).split(" ")):
            if index:
                words.append([])
            if piece:
                words[-1].append((piece, strong))
    lines: list[list[Run]] = [[]]
    space = _font(size_px).getlength(" ")
    used = 0.0
    for word in words:
        length = sum(_font(size_px, strong=strong).getlength(text) for text, strong in word)
        if lines[-1] and used + space + length > width_px:
            lines.append([])
            used = 0.0
        if lines[-1] and word:
            lines[-1].append((" ", False))
            used += space
        lines[-1].extend(word)
        used += length
    return lines


def _no_break(text: str) -> str:
    for unit in ("cm", "lx", "m", "cd/m²", "K", "%", "px", "×"):
        text = text.replace(f" {unit} ", f"\u00a0{unit} ")
        if text.endswith(f" {unit}"):
            text = f"{text.removesuffix(f' {unit}')}\u00a0{unit}"
    return text.replace("× ", "×\u00a0")


def _write(
    draw: ImageDraw.ImageDraw,
    lines: Sequence[Sequence[Run]],
    at: tuple[int, int],
    size_px: int,
    line_px: int,
    colour: Grey,
) -> None:
    y = at[1]
    for line in lines:
        x = float(at[0])
        for text, strong in line:
            font = _font(size_px, strong=strong)
            draw.text((x, y), text, colour, font)
            x += font.getlength(text)
        y += line_px


@dataclass(frozen=True)
class _Legend:
    """A field for each kind that is shown: its texture, its name, its share."""

    kinds: tuple[tuple[Kind, float], ...]
    field_px: int
    height: int

    @classmethod
    def of(cls, proof: Proof, setting: Setting, width_px: int) -> _Legend:
        kinds = tuple((mark.kind, mark.share) for mark in proof.marks if mark.kind in setting.marks)
        kinds = tuple(sorted(kinds, key=lambda item: list(Kind).index(item[0])))
        rows = -(-len(kinds) // _FIELDS)
        return cls(kinds, width_px // _FIELDS, rows * _FIELD_HEIGHT)

    def draw(self, image: Image.Image, draw: ImageDraw.ImageDraw, at: tuple[int, int]) -> None:
        """Draw the fields, four in a row."""
        for index, (kind, share) in enumerate(self.kinds):
            x = at[0] + self.field_px * (index % _FIELDS)
            y = at[1] + _FIELD_HEIGHT * (index // _FIELDS)
            lost = share > 0
            patch = np.full((72, 84, 4), PANE[0], dtype=np.uint8)
            bits = np.full(patch.shape[:2], kind.bit, dtype=np.uint8)
            marks = overlay(bits, scale=_MARK_SCALE, origin=(9, 9), strength=1 if lost else 0.35)
            swatch = composite(patch, marks)[..., 2::-1]
            image.paste(Image.fromarray(np.ascontiguousarray(swatch)), (x, y))
            draw.text((x + 104, y + 2), kind.title, TEXT if lost else QUIET, _font(26))
            draw.text(
                (x + 104, y + 36), share_in_words(share), TEXT if lost else QUIET,
                _font(28, strong=lost),
            )  # fmt: skip
