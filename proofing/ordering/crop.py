"""A part of a picture, chosen by its shape: what is kept, and what is lost."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from proofing.errors import SettingError
from proofing.language import tr
from proofing.ordering.lengths import checked_pixels, number

_ROUNDING = 1e-9
_LEAST = 1e-4  # of a side: less is no picture
_ASPECTS = (1.0 / 50.0, 50.0)
_TOLD_SHARE = 0.0005  # that is not rounded to 0.0 %


@dataclass(frozen=True)
class Crop:
    """A rectangle in shares of the picture's width and height; the whole picture as it stands.

    Being shares, it is the same part whatever the size in pixels, and holds no pixels itself.

    Parameters
    ----------
    left, top
        Of its upper left corner, 0 to 1.
    width, height
        Above 0, and not beyond the picture.

    Raises
    ------
    SettingError
        For a rectangle that is empty or reaches beyond the picture.

    Examples
    --------
    >>> crop = Crop.to_aspect((6000, 4000), 4 / 3)
    >>> crop.box_px((6000, 4000)), round(crop.lost_share, 3)
    ((333, 0, 5666, 4000), 0.111)
    """

    left: float = 0.0
    top: float = 0.0
    width: float = 1.0
    height: float = 1.0

    def __post_init__(self) -> None:
        for side, start, length in (
            ("width", self.left, self.width),
            ("height", self.top, self.height),
        ):
            name = {"width": "left", "height": "top"}[side]
            if not (math.isfinite(start) and -_ROUNDING <= start < 1.0):
                raise SettingError(name, start, tr("use a share of the picture from 0 to 1"))
            if not (math.isfinite(length) and _LEAST <= length <= 1.0 + _ROUNDING):
                raise SettingError(side, length, tr("use a share of the picture above 0, up to 1"))
            if start + length > 1.0 + _ROUNDING:
                raise SettingError(
                    side, length, tr("it reaches beyond the picture; make it smaller or move it")
                )
            length = min(float(length), 1.0)
            object.__setattr__(self, side, length)
            object.__setattr__(self, name, max(0.0, min(float(start), 1.0 - length)))

    @classmethod
    def to_aspect(
        cls, pixels: tuple[int, int], aspect: float, centre: tuple[float, float] = (0.5, 0.5)
    ) -> Crop:
        """The largest part of a shape.

        Parameters
        ----------
        pixels
            Width and height of the picture, px.
        aspect
            Width over height of the part, 1/50 to 50.
        centre
            Where its middle is to be, in shares of width and height; the part stays within the
            picture.

        Raises
        ------
        SettingError
            For a shape outside that, or no pixels.
        """
        width_px, height_px = checked_pixels(pixels)
        low, high = _ASPECTS
        if not (math.isfinite(aspect) and low <= aspect <= high):
            raise SettingError("aspect", aspect, tr("use a width of 1/50 to 50 times the height"))
        if not all(math.isfinite(place) for place in centre):
            raise SettingError("centre", centre, tr("use shares of the picture from 0 to 1"))
        ratio = aspect * height_px / width_px  # of the shapes
        width, height = (ratio, 1.0) if ratio < 1.0 else (1.0, 1.0 / ratio)
        return cls(0.0, 0.0, width, height).moved(centre[0] - width / 2, centre[1] - height / 2)

    def moved(self, right: float, down: float) -> Crop:
        """The same part further right and down, in shares of the picture; it stops at the edge.

        Raises
        ------
        SettingError
            Unless both are numbers.
        """
        if not (math.isfinite(right) and math.isfinite(down)):
            raise SettingError("moved", (right, down), tr("use shares of the picture from -1 to 1"))
        return replace(
            self,
            left=min(max(self.left + right, 0.0), 1.0 - self.width),
            top=min(max(self.top + down, 0.0), 1.0 - self.height),
        )

    @property
    def is_whole(self) -> bool:
        """Whether nothing is lost."""
        return self.width == self.height == 1.0

    @property
    def lost_share(self) -> float:
        """Share of the picture's area that is not printed, 0 to 1."""
        return 1.0 - self.width * self.height

    @property
    def lost_at(self) -> tuple[float, float, float, float]:
        """Shares of width and height that are lost at the left, top, right and bottom."""
        return (
            self.left,
            self.top,
            max(0.0, 1.0 - self.left - self.width),
            max(0.0, 1.0 - self.top - self.height),
        )

    def box_px(self, pixels: tuple[int, int]) -> tuple[int, int, int, int]:
        """Left, top, right and bottom in px, the latter two exclusive.

        Its size depends only on the size of the part: moving it never adds or takes a pixel.

        Raises
        ------
        SettingError
            Without pixels.
        """
        width_px, height_px = checked_pixels(pixels)
        width, height = self.size_px(pixels)
        left = min(round(self.left * width_px), width_px - width)
        top = min(round(self.top * height_px), height_px - height)
        return left, top, left + width, top + height

    def size_px(self, pixels: tuple[int, int]) -> tuple[int, int]:
        """Width and height in px, at least 1, never more than the picture has."""
        width_px, height_px = checked_pixels(pixels)
        return max(1, round(self.width * width_px)), max(1, round(self.height * height_px))

    def aspect(self, pixels: tuple[int, int]) -> float:
        """Width over height."""
        width_px, height_px = checked_pixels(pixels)
        return self.width * width_px / (self.height * height_px)

    @property
    def in_words(self) -> str:
        """What is lost, in a sentence.

        >>> Crop().in_words
        'The whole picture is printed.'
        >>> Crop(0.0, 0.1, 1.0, 0.8).in_words
        'Cropping loses 20 % of the picture: 10 % of its height above and 10 % below.'
        """
        if self.lost_share < _TOLD_SHARE:
            return tr("The whole picture is printed.")
        left, top, right, bottom = (number(100.0 * share) for share in self.lost_at)
        lost = number(100.0 * self.lost_share)
        if self.height > 1.0 - _TOLD_SHARE:
            return tr(
                "Cropping loses {lost} % of the picture: {left} % of its width at the left and "
                "{right} % at the right.",
                lost=lost,
                left=left,
                right=right,
            )
        if self.width > 1.0 - _TOLD_SHARE:
            return tr(
                "Cropping loses {lost} % of the picture: {top} % of its height above and "
                "{bottom} % below.",
                lost=lost,
                top=top,
                bottom=bottom,
            )
        return tr(
            "Cropping loses {lost} % of the picture: {left} % of its width at the left and "
            "{right} % at the right, {top} % of its height above and {bottom} % below.",
            lost=lost,
            left=left,
            right=right,
            top=top,
            bottom=bottom,
        )
