"""Places drawn larger, where the last of several pages has room for them."""

from __future__ import annotations

from collections.abc import Sequence

from app.handout.geometry import GUTTER, MM, PIXEL, Box, Page, on_grid
from app.handout.parts import PLATE_MM, Field, Part, Picture, Plate, Words
from app.handout.type import CAPTION, HEADING, RULE, Paragraph
from proofing.language import tr
from proofing.ordering.pictures import Detail, reduced

_APART = 3.0 * MM
_LEAST = 0.6  # of the size that they were made for


def details_below(details: Sequence[Detail], page: Page, top: float, scale: float) -> list[Part]:
    """Rows of places, photograph and print beside each other, as many and as large as fit.

    Parameters
    ----------
    details
        The worst first; see :func:`proofing.ordering.pictures.details_of`.
    page, top
        The paper, and where the words above end.
    scale
        Of the type.
    """
    content, width = page.content, page.column_width
    title = Paragraph(tr("The places, drawn larger"), HEADING.scaled(scale), content.width)
    captions = [
        Paragraph(words, CAPTION.scaled(scale), width)
        for words in (tr("In the photograph"), tr("On the print"))
    ]
    y = top + 4.2 * MM * scale
    rows_top = y + 2.0 * MM * scale + title.height + 1.4 * MM
    room = content.bottom - rows_top - captions[0].height - 1.0 * MM - len(details) * PIXEL
    rows, share = _rows([one.print.shape[0] * PIXEL for one in details], room)
    if not rows:
        return []
    parts: list[Part] = [
        Field(Box(content.x, y, content.width, 0.2 * MM), RULE),
        Words(title, content.x, y + 2.0 * MM * scale),
    ]
    y = rows_top
    for one in details[:rows]:
        height_px, width_px = one.print.shape[:2]
        size_px = max(1, int(width_px * share)), max(1, int(height_px * share))
        y = on_grid(y + PIXEL / 2)
        for column, rgb in enumerate((one.photograph, one.print)):
            x = on_grid(content.x + column * (width + GUTTER) + PIXEL / 2)
            box = Box(x, y, size_px[0] * PIXEL, size_px[1] * PIXEL)
            parts.append(Picture(box, reduced(rgb, size_px)))
            inset = (PLATE_MM / 2.0 + 1.2) * MM
            parts.append(Plate(one.number, x + inset, y + inset, ringed=True))
        y += size_px[1] * PIXEL + _APART
    y += 1.0 * MM - _APART
    parts += [
        Words(caption, content.x + column * (width + GUTTER), y)
        for column, caption in enumerate(captions)
    ]
    return parts


def _rows(heights: Sequence[float], room: float) -> tuple[int, float]:
    """How many rows stand in a height, and at which share of their size; none for no room."""
    for rows in range(len(heights), 0, -1):
        share = (room - (rows - 1) * _APART) / sum(heights[:rows])
        if share >= _LEAST:
            return rows, min(share, 1.0)
    return 0, 1.0
