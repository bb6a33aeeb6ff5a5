"""What is ordered of a file: space, kind, size, margins, correction. A frozen value."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Literal

import numpy as np
import numpy.typing as npt

from proofing.errors import SettingError
from proofing.language import alternatives, tr
from proofing.ordering.edges import Edge, Margins, Wrap
from proofing.ordering.layout import Layout as Sheet
from proofing.ordering.spaces import adobe_rgb
from proofing.photograph import IccProfile, Photograph
from proofing.request import PrintSize

FileKind = Literal["TIFF", "JPEG"]
Correction = Callable[[npt.NDArray[np.float64]], npt.NDArray[np.floating]]
"""(N, 3) codes of the photograph's own encoding, 0..1, to the same."""

SUFFIXES: dict[str, FileKind] = {
    ".tif": "TIFF", ".tiff": "TIFF", ".jpg": "JPEG", ".jpeg": "JPEG"
}  # fmt: skip
"""Endings of file names, and the kind of file each stands for."""

SAME_SHAPE = 0.01
"""Shapes that differ by less are the same: trimming takes more."""

_LARGEST_JPEG_SIDE = 65_500  # of the JPEG library; ITU-T T.81 itself allows 65 535
_LARGEST_TIFF_BYTES = 2**32 - 2**25  # TIFF 6.0 counts bytes in 32 bits; room for profile and tags
_USABLE = ("input", "display", "output", "space")
_DENOMINATORS = (1, 10, 100, 1000, 10_000)
_NOTHING_MM = 0.005  # sizes that are told apart by less are the same


@dataclass(frozen=True)
class Order:
    """What the file for the lab is to be.

    Parameters
    ----------
    size
        Of the printed picture, without margins. The pixels stay, so the ppi follows.
    destination
        An RGB profile: Adobe RGB (1998) unless the lab wishes another.
    kind
        ``'TIFF'``: 16 bits a channel. ``'JPEG'``: 8 bits, top quality, colour not subsampled
        (4:4:4).
    margins
        In the white of the paper.
    correction
        A function of the photograph's codes, applied in float before the conversion; None leaves
        the picture as it is.
    black_point_compensation
        Whether the blacks of the photograph's space and of the destination are brought together.
    keep_location
        Whether the place where the picture was taken goes to the lab.
    wrap, bleed_mm
        What goes round the bar of a canvas, and what is trimmed away on each side.
    edge
        What is printed there. Where the picture runs on, `size` is that of all of it, folds and
        bleed included; else that of the face.
    edge_codes
        (3,) codes 0..1 of the destination, of a plain edge.
    most_ppi
        Where the lab asks for no more pixels to the inch; a picture with more is reduced, with
        fewer it stays as it is. None never resamples.

    Raises
    ------
    SettingError
        A destination that is no RGB space or cannot be converted into, an unknown kind, margins
        round a wrap or a bleed, or an edge wider than the picture.
    """

    size: PrintSize
    destination: IccProfile = field(default_factory=adobe_rgb)
    kind: FileKind = "TIFF"
    margins: Margins = field(default_factory=Margins)
    correction: Correction | None = None
    black_point_compensation: bool = True
    keep_location: bool = False
    wrap: Wrap | None = None
    bleed_mm: float = 0.0
    edge: Edge = Edge.MIRRORED
    edge_codes: tuple[float, float, float] = (1.0, 1.0, 1.0)
    most_ppi: float | None = None

    def __post_init__(self) -> None:
        if self.kind not in ("TIFF", "JPEG"):
            raise SettingError("kind", self.kind, tr("use TIFF or JPEG"))
        profile = self.destination
        if profile.space != "RGB" or profile.device_class not in _USABLE:
            raise SettingError(
                "space",
                profile.description,
                tr(
                    "an order file is RGB, because labs convert to their printers' inks "
                    "themselves; use Adobe RGB (1998), sRGB or the lab's own RGB profile"
                ),
            )
        if not profile.to_device:
            raise SettingError(
                "space",
                profile.description,
                tr("this profile only describes a device; use one that can be converted into"),
            )
        if self.most_ppi is not None and not 30.0 <= self.most_ppi <= 5000.0:
            raise SettingError("most_ppi", f"{self.most_ppi:g}", tr("ask for 30 to 5000 ppi"))
        _ = self.sheet  # which checks what lies round the picture

    @property
    def reach_mm(self) -> float:
        """What is folded and trimmed, on each side."""
        return (0.0 if self.wrap is None else self.wrap.folded_mm) + self.bleed_mm

    @property
    def sheet(self) -> Sheet:
        """Face, folds, bleed and margins in mm."""
        inner = 2.0 * self.reach_mm if self.edge is Edge.PICTURE else 0.0
        face_mm = self.size.width_mm - inner, self.size.height_mm - inner
        return Sheet(face_mm, self.margins, self.wrap, self.bleed_mm, self.edge, self.edge_codes)

    @property
    def bits(self) -> int:
        """Bits a channel."""
        return 16 if self.kind == "TIFF" else 8

    @property
    def top(self) -> int:
        """The code of full scale."""
        return 65535 if self.kind == "TIFF" else 255


@dataclass(frozen=True)
class Layout:
    """An order's measures on one photograph.

    Attributes
    ----------
    ppi
        Pixels per inch, exact, the same across and down.
    top_px, right_px, bottom_px, left_px
        Margins, or what is printed of the edge beyond the picture.
    width_px, height_px
        Of the whole file.
    """

    ppi: Fraction
    top_px: int
    right_px: int
    bottom_px: int
    left_px: int
    width_px: int
    height_px: int

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of the whole sheet, margins included."""
        mm = Fraction(127, 5) / self.ppi
        return float(self.width_px * mm), float(self.height_px * mm)

    @property
    def picture_mm(self) -> tuple[float, float]:
        """Width and height of the picture alone."""
        mm = Fraction(127, 5) / self.ppi
        across = self.width_px - self.left_px - self.right_px
        down = self.height_px - self.top_px - self.bottom_px
        return float(across * mm), float(down * mm)


def layout_of(order: Order, photograph: Photograph) -> Layout:
    """Pixels and ppi of an order.

    Parameters
    ----------
    order, photograph
        What is to be written of what.

    Raises
    ------
    SettingError
        The picture is a reduced copy, the size has another shape, or the file would be larger
        than its kind can be.
    """
    width, height = photograph.width, photograph.height
    if photograph.reduction != 1:
        raise SettingError(
            "photograph", photograph.name, tr("this is a reduced copy; order the picture itself")
        )
    across, down = order.size.width_mm / width, order.size.height_mm / height
    if not 1.0 - SAME_SHAPE <= across / down <= 1.0 + SAME_SHAPE:
        raise SettingError(
            "size",
            f"{order.size.width_mm:g}x{order.size.height_mm:g}mm",
            tr(
                "the picture has {width} x {height} pixels and another shape; crop it first, or "
                "choose {width_mm:.0f} x {height_mm:.0f} mm",
                width=width,
                height=height,
                width_mm=min(across, down) * width,
                height_mm=min(across, down) * height,
            ),
        )
    ppi = _plain_ppi(order.size.ppi(photograph), max(width, height))
    beyond_mm = 0.0 if order.edge is Edge.PICTURE else order.reach_mm
    top, right, bottom, left = (
        round((margin_mm + beyond_mm) / 25.4 * ppi)
        for margin_mm in (
            order.margins.top_mm,
            order.margins.right_mm,
            order.margins.bottom_mm,
            order.margins.left_mm,
        )
    )
    layout = Layout(
        ppi, top, right, bottom, left, width + left + right, height + top + bottom
    )  # fmt: skip
    longest = max(layout.width_px, layout.height_px)
    if order.kind == "JPEG" and longest > _LARGEST_JPEG_SIDE:
        raise SettingError(
            "kind",
            "JPEG",
            tr("no JPEG can have a side of {longest} pixels; order a TIFF", longest=longest),
        )
    if order.kind == "TIFF" and layout.width_px * layout.height_px * 6 > _LARGEST_TIFF_BYTES:
        raise SettingError(
            "margins",
            tr("{width} x {height} pixels", width=layout.width_px, height=layout.height_px),
            tr("no TIFF that every program reads is larger than 4 GB; use smaller margins"),
        )
    return layout


def _plain_ppi(ppi: float, longest_px: int) -> Fraction:
    """The plainest fraction that keeps the size: sizes in hundredths of a mm hide round figures."""
    for denominator in _DENOMINATORS:
        plain = Fraction(ppi).limit_denominator(denominator)
        if plain and abs(25.4 * longest_px * (1.0 / float(plain) - 1.0 / ppi)) <= _NOTHING_MM:
            return plain
    return plain


def kind_of(path: Path | str) -> FileKind:
    """The kind of file that a name's ending stands for.

    Raises
    ------
    SettingError
        Another ending.
    """
    suffix = Path(path).suffix.lower()
    if suffix not in SUFFIXES:
        raise SettingError(
            "output",
            str(path),
            tr("an order file ends in {endings}", endings=alternatives(list(SUFFIXES))),
        )
    return SUFFIXES[suffix]
