"""Where things lie on a page. Free of the toolkit; lengths in hundredths of a millimetre."""

from __future__ import annotations

from dataclasses import dataclass

from proofing.errors import SettingError
from proofing.language import tr

MM = 100.0
"""Units of a page to the millimetre: 2540 to the inch, so that type is laid out once for all."""
PPI = 250
"""Of the pictures on the page, and of a page as PNG: a pixel of the one is a pixel of the other."""
PIXEL = 25.4 * MM / PPI

MOST_DETAILS = 4
"""More places than this are not drawn larger: a page holds no more rows."""

MARGIN = 18.0 * MM
GUTTER = 6.0 * MM
_TOP, _BOTTOM = 15.0 * MM, 17.0 * MM
_TALLEST_PAIR = 92.0 * MM  # of the band that holds the pictures beside each other
_TALLEST_STACK = 112.0 * MM  # and above each other, both together
_STACKED_FROM = 1.25  # a picture must gain so much in size to be stacked
_WALL_SHARE = 0.035  # of a pane's width, left free around the paper
_DETAIL_SHAPE = 1.5  # width to height of a place that is drawn larger
_PAPER_SHARE = 0.04  # of the picture's short edge, as in the pair: common practice


@dataclass(frozen=True)
class Box:
    """A rectangle."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        return self.y + self.height

    def contains(self, other: Box, slack: float = 0.5) -> bool:
        """Whether another one lies within it."""
        return (
            other.x >= self.x - slack
            and other.y >= self.y - slack
            and other.right <= self.right + slack
            and other.bottom <= self.bottom + slack
        )

    def grown(self, by: float) -> Box:
        """Larger by so much on every side."""
        return Box(self.x - by, self.y - by, self.width + 2 * by, self.height + 2 * by)


@dataclass(frozen=True)
class Page:
    """A size of paper, upright."""

    name: str
    width_mm: float
    height_mm: float

    @property
    def box(self) -> Box:
        """The whole."""
        return Box(0.0, 0.0, self.width_mm * MM, self.height_mm * MM)

    @property
    def content(self) -> Box:
        """Within the margins; the foot is below it."""
        whole = self.box
        return Box(
            MARGIN, _TOP, whole.width - 2 * MARGIN, whole.height - _TOP - _BOTTOM
        )  # fmt: skip

    @property
    def foot(self) -> float:
        """Top of the line at the foot."""
        return self.content.bottom + 4.0 * MM

    @property
    def column_width(self) -> float:
        """Of one of the two columns."""
        return (self.content.width - GUTTER) / 2

    @property
    def size_px(self) -> tuple[int, int]:
        """At :data:`PPI`."""
        return round(self.box.width / PIXEL), round(self.box.height / PIXEL)


A4 = Page("A4", 210.0, 297.0)  # ISO 216
LETTER = Page("Letter", 215.9, 279.4)  # ANSI/ASME Y14.1
PAGES = {"a4": A4, "letter": LETTER}


def page_named(name: str) -> Page:
    """A page by the name that a person writes.

    Raises
    ------
    SettingError
        For another name.
    """
    try:
        return PAGES[name.strip().lower()]
    except KeyError as error:
        raise SettingError("page", name, tr("use a4 or letter")) from error


@dataclass(frozen=True)
class Arrangement:
    """How two pictures of one size stand; all whole pixels.

    Attributes
    ----------
    stacked
        Above each other instead of beside each other.
    size_px
        Of each picture.
    pane
        Width and height of the ground about each.
    paper
        Width of the print's blank margin.
    """

    stacked: bool
    size_px: tuple[int, int]
    pane: tuple[float, float]
    paper: float

    @property
    def size(self) -> tuple[float, float]:
        """Of each picture."""
        return self.size_px[0] * PIXEL, self.size_px[1] * PIXEL


def arrange(page: Page, picture_px: tuple[int, int], share: float = 1.0) -> Arrangement:
    """The larger of two ways to stand a picture beside its print.

    Parameters
    ----------
    page
        The paper.
    picture_px
        Width and height of the file.
    share
        Of the largest size, 0..1, to leave room for words.
    """
    whole = page.content.width
    beside = _fitted(False, page.column_width, _TALLEST_PAIR, picture_px, share)
    above = _fitted(True, whole, (_TALLEST_STACK - GUTTER) / 2, picture_px, share)
    return above if above.size_px[0] >= _STACKED_FROM * beside.size_px[0] else beside


def _fitted(
    stacked: bool, width: float, tallest: float, picture_px: tuple[int, int], share: float
) -> Arrangement:
    across, down = picture_px
    wall = _WALL_SHARE * min(width, tallest)
    paper = _PAPER_SHARE * min(across, down)
    scale = share * min(
        (width - 2 * wall) / (across + 2 * paper), (tallest - 2 * wall) / (down + 2 * paper)
    )
    size_px = max(1, int(across * scale / PIXEL)), max(1, int(down * scale / PIXEL))
    margin = max(2, round(paper * scale / PIXEL)) * PIXEL
    return Arrangement(stacked, size_px, (width, size_px[1] * PIXEL + 2 * (margin + wall)), margin)


def detail_px(page: Page) -> tuple[int, int]:
    """Width and height of a place drawn larger, as wide as a column."""
    width = int(page.column_width / PIXEL) - 1  # it is put on the grid
    return width, round(width / _DETAIL_SHAPE)


def on_grid(value: float) -> float:
    """The nearest whole pixel of the page."""
    return round(value / PIXEL) * PIXEL
