"""What was done to the colours and pixels of an order, in sentences."""

from __future__ import annotations

from dataclasses import dataclass

from proofing.findings.words import share_in_words
from proofing.language import tr
from proofing.ordering.edges import Edge
from proofing.ordering.encoding import Converted
from proofing.ordering.layout_words import layout_in_words
from proofing.ordering.lengths import size_text
from proofing.ordering.order import Layout, Order
from proofing.ordering.spaces import space_name
from proofing.photograph import Photograph
from proofing.photograph.icc import ROMM_RGB

_WORTH_ASKING = 0.05  # of the pixels; a larger space is asked for where so many...
_CLEAR = 2.0  # ...are so far off in dE00, which is seen by anyone (common practice)


@dataclass(frozen=True)
class Told:
    """Numbers of a conversion; :class:`~proofing.ordering.encoding.Converted` without pixels."""

    same_space: bool
    exact: bool
    share_outside: float
    delta_E_outside: float
    delta_E_most: float
    share_corrected_away: float
    flattened: bool

    @classmethod
    def of(cls, converted: Converted) -> Told:
        """What a conversion did."""
        return cls(
            same_space=converted.same_space,
            exact=converted.exact,
            share_outside=converted.share_outside,
            delta_E_outside=converted.delta_E_outside,
            delta_E_most=converted.delta_E_most,
            share_corrected_away=converted.share_corrected_away,
            flattened=converted.flattened,
        )


def sentences_of(
    photograph: Photograph,
    order: Order,
    layout: Layout,
    told: Told,
    size_bytes: int,
    before: tuple[int, int],
) -> tuple[str, ...]:
    """All that a person should know of an order file, most important first.

    `before` are the pixels that the picture had where it was reduced.
    """
    said = (
        _size(order, layout, before),
        _conversion(photograph, order, told),
        _outside(order, told),
        _correction(order, told),
        _turned(photograph),
        _flattened(told),
        _bits(photograph, order, told, size_bytes),
        photograph.facts.note,
    )
    return tuple(sentence for sentence in said if sentence)


def _size(order: Order, layout: Layout, before: tuple[int, int]) -> str:
    width_px = layout.width_px - layout.left_px - layout.right_px
    height_px = layout.height_px - layout.top_px - layout.bottom_px
    if (width_px, height_px) == before:
        said = tr(
            "The picture is {size} at {ppi:.6g} ppi; its {width_px} × {height_px} pixels are all "
            "there, none was added.",
            size=size_text(layout.picture_mm),
            ppi=float(layout.ppi),
            width_px=width_px,
            height_px=height_px,
        )
    else:
        said = tr(
            "The picture is {size} at {ppi:.6g} ppi, as asked for: reduced from {wide} × {high} to "
            "{width_px} × {height_px} pixels, averaged in light.",
            size=size_text(layout.picture_mm),
            ppi=float(layout.ppi),
            wide=before[0],
            high=before[1],
            width_px=width_px,
            height_px=height_px,
        )
    if order.kind == "JPEG" and layout.ppi.denominator != 1:
        whole = tr(
            "Programs that look in a JPEG's old header find a whole number there, {whole} ppi.",
            whole=round(layout.ppi),
        )
        said = f"{said} {whole}"
    if order.margins.has_any:
        margins = tr("With its white margins the file is {size}.", size=size_text(layout.size_mm))
        said = f"{said} {margins}"
    if order.reach_mm:
        said = f"{said} {layout_in_words(order.sheet)} {_edge(order)}"
    return said


def _edge(order: Order) -> str:
    """What is printed on what is folded or trimmed."""
    return {
        Edge.MIRRORED: tr("There the picture's own edge is printed, turned over."),
        Edge.PLAIN: tr("There one plain colour is printed."),
        Edge.PICTURE: tr("The picture itself runs on there."),
    }[order.edge]


def _conversion(photograph: Photograph, order: Order, told: Told) -> str:
    space, source = space_name(order.destination), photograph.facts.space
    mode = photograph.facts.mode
    way = (
        tr("relative colorimetric with black point compensation")
        if order.black_point_compensation
        else tr("relative colorimetric without black point compensation")
    )
    if mode == "CMYK":
        return tr(
            "The photograph is CMYK, made for a press ({source}); it was converted to {space}, "
            "{way}. What the press cannot print does not come back: where there is an RGB "
            "original, order from that.",
            source=source,
            space=space,
            way=way,
        )
    if told.exact:
        return tr("The photograph is in {space} already; its codes are the file's.", space=space)
    if told.same_space:
        return tr("The photograph is in {space} already and stays in it.", space=space)
    if mode == "grey":
        return tr(
            "The photograph is grey ({source}) and stays grey in {space}: red, green and blue "
            "are the same wherever that space is neutral.",
            source=source,
            space=space,
        )
    if source == ROMM_RGB.name:
        return tr(
            "The photograph is in ROMM RGB, which holds colours that no print or screen can "
            "show; it was converted to {space} on purpose, {way}.",
            space=space,
            way=way,
        )
    return tr("Converted from {source} to {space}, {way}.", source=source, space=space, way=way)


def _outside(order: Order, told: Told) -> str:
    space = space_name(order.destination)
    if told.same_space:
        return ""
    if told.share_outside == 0.0:
        return tr("No colour lies outside {space}; nothing was cut off.", space=space)
    said = tr(
        "{share} of the pixels have colours outside {space}; they were brought to its edge, by "
        "{mean:.1f} ΔE00 on average and {most:.1f} at most in an even sample.",
        share=share_in_words(told.share_outside),
        space=space,
        mean=told.delta_E_outside,
        most=told.delta_E_most,
    )
    if told.share_outside < _WORTH_ASKING or told.delta_E_outside < _CLEAR:
        return said
    ask = tr(
        "Where the stock could hold more than that, ask the lab whether it takes a larger space."
    )
    return f"{said} {ask}"


def _correction(order: Order, told: Told) -> str:
    if order.correction is None:
        return ""
    if told.share_corrected_away == 0.0:
        return tr("The correction is in the file and cuts nothing off.")
    return tr(
        "The correction is in the file; it takes {share} of the pixels to an end of the scale.",
        share=share_in_words(told.share_corrected_away),
    )


def _turned(photograph: Photograph) -> str:
    if not photograph.facts.orientation_applied:
        return ""
    return tr("The picture stands upright in the file itself; its mark to be turned is gone.")


def _flattened(told: Told) -> str:
    return tr("Transparent parts were laid on white.") if told.flattened else ""


def _bits(photograph: Photograph, order: Order, told: Told, size_bytes: int) -> str:
    MB = size_bytes / 1e6
    eight = photograph.facts.bits == 8
    if order.kind == "TIFF":
        if told.exact:
            return tr("16 bits a channel, nothing rounded: {MB:.1f} MB.", MB=MB)
        if eight:
            return tr(
                "16 bits a channel: the photograph has 8, which gain no detail, but the "
                "conversion adds no steps to them. {MB:.1f} MB.",
                MB=MB,
            )
        return tr("16 bits a channel, rounded once: {MB:.1f} MB.", MB=MB)
    if told.exact:
        return tr(
            "8 bits a channel, as the photograph has: {MB:.1f} MB. Every lab takes it, but it "
            "leaves no room for further correction.",
            MB=MB,
        )
    if eight:
        return tr(
            "8 bits a channel, as the photograph has, rounded once with fine noise in place of "
            "steps: {MB:.1f} MB. Every lab takes it, but it leaves no room for further correction.",
            MB=MB,
        )
    return tr(
        "8 bits a channel: 256 steps where the photograph has more. Fine noise stands in for "
        "the rest, so that gradients do not band. Gained is a small file, {MB:.1f} MB, that every "
        "lab takes; lost is the room for further correction.",
        MB=MB,
    )
