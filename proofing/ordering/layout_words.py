"""What of a sheet is seen, folded and trimmed, in words."""

from __future__ import annotations

from proofing.language import alternatives, tr
from proofing.ordering.edges import Wrap
from proofing.ordering.layout import Layout
from proofing.ordering.lengths import size_text, width_text
from proofing.ordering.sheets import smallest_by_unit


def layout_in_words(layout: Layout, *, inches: bool = False) -> str:
    """What becomes of each part of the sheet.

    Parameters
    ----------
    layout
        The sheet.
    inches
        Whether lengths are told in inches.

    Examples
    --------
    >>> layout_in_words(Layout((600.0, 400.0), wrap=Wrap(40.0, 20.0), bleed_mm=5.0))
    'Of a sheet of 73 × 53 cm, 60 × 40 cm stay visible: on each side 6 cm are folded round the \
bar, 4 cm of them seen from the side and 2 cm on its back, and 5 mm are trimmed away.'
    >>> layout_in_words(Layout((600.0, 400.0)))
    'The sheet of 60 × 40 cm is printed to its edges.'
    """
    said = _parts_in_words(layout, inches)
    if layout.hidden_share > 0.0:
        return tr(
            "{parts} {hidden:.1f} % of the picture is folded or trimmed away.",
            parts=said,
            hidden=100.0 * layout.hidden_share,
        )
    return said


def sheet_in_words(layout: Layout) -> str:
    """What becomes of each part of the sheet, and which usual sheet has room for it.

    Examples
    --------
    >>> sheet_in_words(Layout((300.0, 200.0), bleed_mm=3.0))
    'Of a sheet of 30.6 × 20.6 cm, 30 × 20 cm stay visible: on each side 3 mm are trimmed away. \
Usual sheets with room for it begin at 38 × 25 cm or 14 × 11 in.'
    """
    said = layout_in_words(layout)
    found = smallest_by_unit(layout.sheet_mm).values()
    names = [sheet.name for sheet in found if sheet is not None]
    if not names:
        return tr("{parts} No usual sheet has room for it: it needs a roll.", parts=said)
    return tr(
        "{parts} Usual sheets with room for it begin at {sheets}.",
        parts=said,
        sheets=alternatives(names),
    )


def _parts_in_words(layout: Layout, inches: bool) -> str:
    sheet, face = size_text(layout.sheet_mm, inches), size_text(layout.face_mm, inches)
    if layout.wrap is not None:
        return _wrap_in_words(layout, layout.wrap, sheet, face, inches)
    if layout.bleed_mm > 0.0:
        return tr(
            "Of a sheet of {sheet}, {face} stay visible: on each side {bleed} are trimmed away.",
            sheet=sheet,
            face=face,
            bleed=width_text(layout.bleed_mm, inches),
        )
    margins = layout.margins
    if not margins.has_any:
        return tr("The sheet of {sheet} is printed to its edges.", sheet=sheet)
    return tr(
        "Of a sheet of {sheet}, {face} are printed: the margin is {left} at the left, {top} above, "
        "{right} at the right and {bottom} below.",
        sheet=sheet,
        face=face,
        left=width_text(margins.left_mm, inches),
        top=width_text(margins.top_mm, inches),
        right=width_text(margins.right_mm, inches),
        bottom=width_text(margins.bottom_mm, inches),
    )


def _wrap_in_words(layout: Layout, wrap: Wrap, sheet: str, face: str, inches: bool) -> str:
    folded, depth = width_text(wrap.folded_mm, inches), width_text(wrap.depth_mm, inches)
    if layout.bleed_mm > 0.0:
        return tr(
            "Of a sheet of {sheet}, {face} stay visible: on each side {folded} are folded round "
            "the bar, {depth} of them seen from the side and {back} on its back, and {bleed} are "
            "trimmed away.",
            back=width_text(wrap.back_mm, inches),
            sheet=sheet,
            face=face,
            folded=folded,
            depth=depth,
            bleed=width_text(layout.bleed_mm, inches),
        )
    return tr(
        "Of a sheet of {sheet}, {face} stay visible: on each side {folded} are folded round the "
        "bar, {depth} of them seen from the side and {back} on its back.",
        back=width_text(wrap.back_mm, inches),
        sheet=sheet,
        face=face,
        folded=folded,
        depth=depth,
    )
