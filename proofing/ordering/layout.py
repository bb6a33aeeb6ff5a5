"""The sheet round a picture: margins, canvas wrap and bleed, in mm and in px.

From the middle outwards: the *face*, which stays visible; what is *folded* round the bar of a
canvas; what is *trimmed* away (the bleed); or, instead of these, blank *margins*. The file's pixels
are never changed: where the edge is mirrored or plain they are the face, and where the picture
itself runs on they are all that is printed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Final

from proofing.errors import SettingError
from proofing.language import tr
from proofing.ordering.edges import (
    MOST_BLEED_MM,
    MOST_MARGIN_MM,
    Edge,
    Margins,
    Rect,
    Wrap,
)
from proofing.ordering.lengths import (
    MM_PER_INCH,
    checked_mm,
    checked_pixels,
    checked_size,
    number,
)

_SAME_SHAPE: Final = 0.01  # trimming takes more


Box = tuple[int, int, int, int]
"""Left, top, right and bottom in px of the sheet, the latter two exclusive."""


@dataclass(frozen=True)
class SheetPixels:
    """A layout in the pixels of its picture.

    Attributes
    ----------
    sheet
        Width and height of the whole sheet, px.
    face, side, folded, printed, picture
        Boxes, each within the next but the last, which is where the file's pixels lie: `face`
        stays visible, `side` reaches round the bar's side, `folded` to the end of what is folded,
        `printed` to the end of what is trimmed.
    ppi
        Pixels on an inch, across and down.
    """

    sheet: tuple[int, int]
    face: Box
    side: Box
    folded: Box
    printed: Box
    picture: Box
    ppi: tuple[float, float]


@dataclass(frozen=True)
class Layout:
    """A sheet with a picture on it.

    Parameters
    ----------
    face_mm
        Width and height of what is seen from the front, 10 mm to 20 m.
    margins
        Blank paper round it; not together with a wrap or a bleed.
    wrap
        What goes round the bar of a canvas; None for a flat print.
    bleed_mm
        What is trimmed away on each side, 0 to 50 mm.
    edge
        What is printed on wrap and bleed.
    colour
        (3,) of a plain edge: red, green and blue of the file's own space, 0 to 1.

    Raises
    ------
    SettingError
        Outside that; for margins round a wrap or a bleed; for an edge that is wider than the face
        whose mirror it is.

    Examples
    --------
    >>> canvas = Layout((600.0, 400.0), wrap=Wrap(40.0), bleed_mm=5.0)
    >>> canvas.sheet_mm, canvas.face.left_mm
    ((730.0, 530.0), 65.0)
    >>> canvas.in_pixels((3000, 2000)).sheet
    (3650, 2650)
    """

    face_mm: tuple[float, float]
    margins: Margins = field(default_factory=Margins)
    wrap: Wrap | None = None
    bleed_mm: float = 0.0
    edge: Edge = Edge.MIRRORED
    colour: tuple[float, float, float] = (1.0, 1.0, 1.0)

    def __post_init__(self) -> None:
        object.__setattr__(self, "face_mm", checked_size(self.face_mm, "face_mm"))
        checked_mm("bleed_mm", self.bleed_mm, 0.0, MOST_BLEED_MM)
        if len(self.colour) != 3 or not all(0.0 <= part <= 1.0 for part in self.colour):
            raise SettingError("colour", self.colour, tr("give red, green and blue from 0 to 1"))
        if self.margins.has_any and self.reach_mm > 0.0:
            raise SettingError(
                "margins",
                self.margins,
                tr("leave out the margins, or the wrap and the bleed: blank paper has no edge"),
                says_value=True,
            )
        if self.edge is Edge.MIRRORED and self.reach_mm > min(self.face_mm):
            raise SettingError(
                "edge",
                self.edge.value,
                tr(
                    "the face is narrower than the edge that mirrors it: use a plain colour, or "
                    "print larger"
                ),
            )

    @classmethod
    def on_sheet(
        cls, sheet_mm: tuple[float, float], pixels: tuple[int, int], least_margin_mm: float = 0.0
    ) -> Layout:
        """The whole picture in the middle of a sheet, as large as a least margin lets it.

        Raises
        ------
        SettingError
            Where the margin leaves nothing to print on.

        Examples
        --------
        >>> layout = Layout.on_sheet((420.0, 297.0), (3000, 2000), 20.0)
        >>> [round(side, 1) for side in layout.face_mm], round(layout.margins.top_mm, 1)
        ([380.0, 253.3], 21.8)
        """
        width_px, height_px = checked_pixels(pixels)
        width_mm, height_mm = checked_size(sheet_mm, "sheet_mm")
        checked_mm("least_margin_mm", least_margin_mm, 0.0, MOST_MARGIN_MM)
        mm = min(
            (width_mm - 2.0 * least_margin_mm) / width_px,
            (height_mm - 2.0 * least_margin_mm) / height_px,
        )
        face = width_px * mm, height_px * mm
        if min(face) < 10.0:
            raise SettingError(
                "least_margin_mm",
                number(least_margin_mm),
                tr("it leaves less than 1 cm to print on: use a narrower margin or a larger sheet"),
            )
        left, top = max(0.0, (width_mm - face[0]) / 2.0), max(0.0, (height_mm - face[1]) / 2.0)
        return cls(face, Margins(left, top, left, top))

    @property
    def folded_mm(self) -> float:
        """Folded away on each side."""
        return 0.0 if self.wrap is None else self.wrap.folded_mm

    @property
    def reach_mm(self) -> float:
        """Printed beyond the face on each side: what is folded and what is trimmed."""
        return self.folded_mm + self.bleed_mm

    @property
    def face(self) -> Rect:
        """What stays visible from the front."""
        return self._beyond_face(0.0)

    @property
    def side(self) -> Rect:
        """The face with the sides of the bar."""
        return self._beyond_face(0.0 if self.wrap is None else self.wrap.depth_mm)

    @property
    def folded(self) -> Rect:
        """The face with all that is folded: what is left of the sheet after trimming."""
        return self._beyond_face(self.folded_mm)

    @property
    def printed(self) -> Rect:
        """All that gets ink."""
        return self._beyond_face(self.reach_mm)

    @property
    def picture(self) -> Rect:
        """Where the file's pixels lie."""
        return self.printed if self.edge is Edge.PICTURE else self.face

    @property
    def sheet_mm(self) -> tuple[float, float]:
        """Width and height of the whole sheet."""
        printed, margins = self.printed, self.margins
        return (
            printed.width_mm + margins.left_mm + margins.right_mm,
            printed.height_mm + margins.top_mm + margins.bottom_mm,
        )

    @property
    def trimmed_mm(self) -> tuple[float, float]:
        """Width and height of the sheet after trimming."""
        width, height = self.sheet_mm
        return width - 2.0 * self.bleed_mm, height - 2.0 * self.bleed_mm

    @property
    def hidden_share(self) -> float:
        """Share of the picture that is folded or trimmed away from the face, 0 to 1."""
        return 1.0 - self.face.area_mm2 / self.picture.area_mm2

    @property
    def picture_aspect(self) -> float:
        """Width over height that the picture is to be cropped to."""
        return self.picture.width_mm / self.picture.height_mm

    def in_pixels(self, pixels: tuple[int, int]) -> SheetPixels:
        """The layout in px, where the picture keeps exactly the pixels it has.

        Parameters
        ----------
        pixels
            Width and height of what is printed of the file, px.

        Raises
        ------
        SettingError
            Where it has not the shape of :attr:`picture`, or too few pixels for the edge.
        """
        width_px, height_px = checked_pixels(pixels)
        off_px = abs(width_px - height_px * self.picture_aspect)
        if off_px > max(1.0, self.picture_aspect) and off_px > _SAME_SHAPE * width_px:
            raise SettingError(
                "pixels",
                number(width_px / height_px, 3),
                tr(
                    "the picture has another shape than its place on the sheet: crop it to {aspect}"
                    " to 1",
                    aspect=number(self.picture_aspect, 3),
                ),
            )
        across = self._along(width_px, 0)
        down = self._along(height_px, 1)
        boxes = [
            (left, top, right, bottom)
            for (left, right), (top, bottom) in zip(across[:-1], down[:-1], strict=True)
        ]
        face, side, folded, printed = boxes
        return SheetPixels(
            (across[-1][1], down[-1][1]), face, side, folded, printed,
            printed if self.edge is Edge.PICTURE else face,
            (
                MM_PER_INCH * width_px / self.picture.width_mm,
                MM_PER_INCH * height_px / self.picture.height_mm,
            ),
        )  # fmt: skip

    def _beyond_face(self, mm: float) -> Rect:
        width, height = self.face_mm
        left = self.margins.left_mm + self.reach_mm - mm
        top = self.margins.top_mm + self.reach_mm - mm
        return Rect(left, top, width + 2.0 * mm, height + 2.0 * mm)

    def _along(self, picture_px: int, axis: int) -> list[tuple[int, int]]:
        """Starts and ends of face, side, folded, printed and sheet along one side, px."""
        picture_mm = (self.picture.width_mm, self.picture.height_mm)[axis]
        px_per_mm = picture_px / picture_mm
        depth_mm = 0.0 if self.wrap is None else self.wrap.depth_mm
        depth, folded, reach = (
            _whole(mm * px_per_mm) for mm in (depth_mm, self.folded_mm, self.reach_mm)
        )
        face = picture_px - 2 * reach if self.edge is Edge.PICTURE else picture_px
        if face < 1:
            raise SettingError(
                "pixels",
                picture_px,
                tr("the picture has too few pixels for this edge: use a narrower or plain one"),
            )
        margins = self.margins
        before_mm, after_mm = (
            (margins.left_mm, margins.right_mm),
            (margins.top_mm, margins.bottom_mm),
        )[axis]
        before, after = _whole(before_mm * px_per_mm), _whole(after_mm * px_per_mm)
        start = before + reach
        spans = [(start - px, start + face + px) for px in (0, depth, folded, reach)]
        return [*spans, (0, before + face + 2 * reach + after)]


def _whole(px: float) -> int:
    return math.floor(px + 0.5)
