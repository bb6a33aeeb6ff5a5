"""What of a picture is printed, and what of that is seen: crop, wrap and bleed in its pixels."""

from __future__ import annotations

from dataclasses import dataclass

from app.state.facts import DEFAULT_PPI
from app.state.lengths import MM_PER_INCH
from app.state.setting import Setting
from app.state.shapes import FRAME, WHOLE, aspect_of
from app.state.table import WRAPPED
from proofing.errors import SettingError
from proofing.language import tr
from proofing.ordering.crop import Crop
from proofing.ordering.edges import BACK_MM, Edge, Margins, Wrap
from proofing.ordering.layout import Layout

Box = tuple[int, int, int, int]
"""Left, top, right and bottom in px of the file, the latter two exclusive."""

_LEAST_FACE = 0.1  # of a side: less would hang as a strip


@dataclass(frozen=True)
class Framing:
    """Which pixels of a file are printed.

    Attributes
    ----------
    pixels
        Width and height of the file, px.
    printed
        What is printed of it.
    face
        What is seen of that from the front; another part where the picture itself runs on round a
        bar or into the bleed.
    mm_per_px
        On paper, where the edge decides it; None where the size of what is seen does.
    """

    pixels: tuple[int, int]
    printed: Box
    face: Box
    mm_per_px: float | None = None

    @property
    def is_whole(self) -> bool:
        """Whether the whole file is seen."""
        return self.face == (0, 0, *self.pixels)

    @property
    def lost_share(self) -> float:
        """Share of the picture that is cropped away, 0 to 1."""
        left, top, right, bottom = self.printed
        return 1.0 - (right - left) * (bottom - top) / (self.pixels[0] * self.pixels[1])

    @property
    def has_play(self) -> bool:
        """Whether the place of the crop makes a difference."""
        return self.printed != (0, 0, *self.pixels)


def reach_mm(setting: Setting) -> float:
    """Printed beyond the face on each side: what is folded and what is trimmed.

    >>> reach_mm(Setting(edge="mirrored", edge_mm=40.0)), reach_mm(Setting(bleed_mm=3.0))
    (60.0, 3.0)
    """
    return folded_mm(setting) + setting.bleed_mm


def folded_mm(setting: Setting) -> float:
    """What is folded away on each side: round the bar and onto its back."""
    if not is_wrapped(setting):
        return 0.0
    return setting.edge_mm + BACK_MM


def is_wrapped(setting: Setting) -> bool:
    """Whether the print goes round a bar, so that no paper is seen beside it."""
    return setting.edge in WRAPPED and setting.edge_mm > 0.0


def margins_of(setting: Setting) -> Margins:
    """Blank paper round the picture."""
    return Margins.even(setting.edge_mm if setting.edge == "margin" else 0.0)


def wrap_of(setting: Setting) -> Wrap | None:
    """What goes round a bar; None for a flat print."""
    return Wrap(setting.edge_mm) if is_wrapped(setting) else None


def edge_of(setting: Setting) -> Edge:
    """What is printed on what is folded or trimmed."""
    plain = {"picture": Edge.PICTURE, "white": Edge.PLAIN, "black": Edge.PLAIN}
    return plain.get(setting.edge, Edge.MIRRORED)


def edge_codes(setting: Setting) -> tuple[float, float, float]:
    """The colour of a plain edge, RGB from 0 to 1."""
    return (0.0, 0.0, 0.0) if setting.edge == "black" else (1.0, 1.0, 1.0)


def sheet_of(setting: Setting, face_mm: tuple[float, float]) -> Layout:
    """The sheet round what is seen of a print.

    Raises
    ------
    SettingError
        The edge does not go with the picture.
    """
    return Layout(
        face_mm, margins_of(setting), wrap_of(setting), setting.bleed_mm, edge_of(setting),
        edge_codes(setting),
    )  # fmt: skip


def framing(setting: Setting, pixels: tuple[int, int]) -> Framing:
    """What of a file of so many pixels is printed and seen.

    Raises
    ------
    SettingError
        Where the edge leaves nothing to see of the picture.

    Examples
    --------
    >>> framing(Setting(crop="1:1"), (600, 400)).face
    (100, 0, 500, 400)
    >>> framing(Setting(crop="1:1", crop_place=0.0), (600, 400)).face
    (0, 0, 400, 400)
    """
    width, height = pixels
    runs_on = setting.edge == "picture"
    reach = reach_mm(setting) if runs_on else 0.0
    frame = setting.size_mm
    aspect = _aspect(setting, pixels, reach)
    crop = Crop()
    if aspect is not None:
        crop = Crop.to_aspect(pixels, aspect)
        place = setting.crop_place
        crop = Crop(
            place * (1.0 - crop.width), place * (1.0 - crop.height), crop.width, crop.height
        )
    printed = crop.box_px((width, height))
    if not reach:
        return Framing(pixels, printed, printed)
    across, down = printed[2] - printed[0], printed[3] - printed[1]
    mm = MM_PER_INCH / DEFAULT_PPI
    if frame is not None:
        mm = max(
            min((w + 2.0 * reach) / across, (h + 2.0 * reach) / down)
            for w, h in (frame, frame[::-1])
        )
    inset = round(reach / mm)
    if across - 2 * inset < _LEAST_FACE * across or down - 2 * inset < _LEAST_FACE * down:
        raise SettingError(
            "edge",
            setting.edge,
            tr(
                "so wide an edge leaves nothing of the picture in front: mirror it, or print larger"
            ),
        )
    left, top, right, bottom = printed
    face = left + inset, top + inset, right - inset, bottom - inset
    return Framing(pixels, printed, face, mm)


def _aspect(setting: Setting, pixels: tuple[int, int], reach: float) -> float | None:
    """Width over height of what is printed; None for that of the file."""
    width, height = pixels
    if setting.crop == WHOLE:
        return None
    if setting.crop != FRAME:
        return aspect_of(setting.crop, width >= height)
    if setting.size_mm is None:
        return None  # 300 ppi of what is there
    long, short = max(setting.size_mm) + 2.0 * reach, min(setting.size_mm) + 2.0 * reach
    return long / short if width >= height else short / long
