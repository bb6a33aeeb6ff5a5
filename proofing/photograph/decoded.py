"""What every file format is decoded to, and the parts their readers share."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from proofing.errors import UnreadableFile, UnsupportedPicture
from proofing.language import mark, tr
from proofing.photograph import icc
from proofing.photograph.exif import Exif
from proofing.photograph.facts import Mode, top_code

LARGEST_PICTURE_MP = 400
"""Pictures of more megapixels are refused, so that a hostile file cannot fill the memory."""

PROMISED = mark("JPEG, PNG, TIFF or WebP")

Pixels = npt.NDArray[Any]


@dataclass
class Decoded:
    """The pixels of a file and what it says about them.

    Attributes
    ----------
    pixels
        (H, W, C) uint8, uint16 or float32, C-contiguous, turned upright. Lab is in its 16-bit
        ICC encoding; palettes are expanded to RGB; floats are finite.
    mode
        What the channels are.
    alpha
        (H, W), or None if nothing is transparent. Colours are not premultiplied.
    bits_in_file
        Bits a channel in the file.
    profile_data
        The embedded ICC profile.
    profile_damaged
        A profile is embedded, but not even its bytes can be had.
    declared
        The colour space the file names by other means than a profile.
    declared_by
        Those means, for people.
    ppi
        Pixels per inch.
    orientation_applied
        Whether the picture was turned.
    notes
        Sentences on what was left out or changed.
    """

    pixels: Pixels
    mode: Mode
    alpha: npt.NDArray[np.uint8] | None = None
    bits_in_file: int = 8
    profile_data: bytes | None = None
    profile_damaged: bool = False
    declared: icc.IccProfile | None = None
    declared_by: str = ""
    ppi: float | None = None
    orientation_applied: bool = False
    notes: list[str] = field(default_factory=list)


def refuse(path: Path, what: str, instead: str) -> UnsupportedPicture:
    return UnsupportedPicture(f"{path.name} {what}; {instead}", path)


def check_size(path: Path, width: int, height: int) -> None:
    if width < 1 or height < 1:
        raise UnreadableFile(tr("{path} has no pixels; export it again", path=path.name), path)
    if width * height > LARGEST_PICTURE_MP * 1_000_000:
        raise refuse(
            path,
            tr(
                "has {width} x {height} pixels, more than {LARGEST_PICTURE_MP} megapixels",
                width=width,
                height=height,
                LARGEST_PICTURE_MP=LARGEST_PICTURE_MP,
            ),
            tr("use a smaller copy"),
        )


def turned(pixels: Pixels, orientation: object) -> Pixels:
    """Upright pixels; the eight orientations of Exif (CIPA DC-008) and TIFF 6.0."""
    if orientation in (5, 6, 7, 8):
        pixels = pixels.swapaxes(0, 1)
    if orientation in (2, 3, 6, 7):
        pixels = pixels[:, ::-1]
    if orientation in (3, 4, 7, 8):
        pixels = pixels[::-1]
    return np.ascontiguousarray(pixels)


def upright(width: int, height: int, orientation: object) -> tuple[int, int]:
    """Width and height after :func:`turned`."""
    return (height, width) if orientation in (5, 6, 7, 8) else (width, height)


def finish(
    decoded: Decoded, orientation: object, alpha: Pixels | None, *, premultiplied: bool = False
) -> Decoded:
    """Turn upright, and keep alpha apart if anything is transparent."""
    if alpha is not None:
        opacity = _alpha_codes(alpha)
        if (opacity != 255).any():
            if premultiplied:
                decoded.pixels = _unpremultiplied(decoded.pixels, alpha)
                decoded.notes.append(
                    tr("Colours were stored premultiplied by alpha; that is undone.")
                )
            decoded.alpha = turned(opacity, orientation)
    decoded.pixels = turned(decoded.pixels, orientation)
    decoded.orientation_applied = orientation in range(2, 9)
    return decoded


def _alpha_codes(alpha: Pixels) -> npt.NDArray[np.uint8]:
    if alpha.dtype == np.uint8:
        return np.ascontiguousarray(alpha)
    scale = 255.0 / top_code(alpha.dtype)
    fraction = np.nan_to_num(alpha.astype(np.float32) * np.float32(scale), nan=0.0)
    codes: npt.NDArray[np.uint8] = np.rint(np.clip(fraction, 0.0, 255.0)).astype(np.uint8)
    return codes


def _unpremultiplied(pixels: Pixels, alpha: Pixels) -> Pixels:
    top = top_code(pixels.dtype)
    opacity = alpha.astype(np.float32)[..., None] / np.float32(top_code(alpha.dtype))
    with np.errstate(all="ignore"):
        colours = np.where(opacity > 0, pixels / opacity, pixels)
    if pixels.dtype.kind == "f":
        return np.ascontiguousarray(colours, dtype=np.float32)
    codes: Pixels = np.rint(np.clip(colours, 0, top)).astype(pixels.dtype)
    return codes


def make_finite(decoded: Decoded) -> None:
    from proofing.photograph import kernels

    if not decoded.pixels.flags.writeable:
        decoded.pixels = decoded.pixels.copy()
    nan, infinite = kernels.replace_non_finite(decoded.pixels)
    if nan or infinite:
        decoded.notes.append(
            tr(
                "{nan} values were no number and are read as 0, {infinite} were infinite and "
                "are read as the nearer end.",
                nan=nan,
                infinite=infinite,
            )
        )


def ppi_of(x: object, y: object, per_inch: float = 1.0) -> float | None:
    """Pixels per inch of a resolution in other units, or None if it makes no sense."""
    try:
        values = [float(v) * per_inch for v in (x, y)]  # type: ignore[arg-type]
    except (TypeError, ValueError, ZeroDivisionError, OverflowError):
        return None
    if all(math.isfinite(v) and 1.0 <= v <= 100_000.0 for v in values):
        return round(values[0], 3)
    return None


def ppi_of_tags(x: object, y: object, unit: object) -> float | None:
    """TIFF 6.0 and Exif: unit 2 is the inch, 3 the centimetre, 1 none at all."""
    return {2: ppi_of(x, y), 3: ppi_of(x, y, 2.54)}.get(unit if isinstance(unit, int) else 2)


def declare_by_exif(decoded: Decoded, exif: Exif) -> None:
    """Exif (CIPA DC-008): ColorSpace 1 is sRGB; interoperability R03 is Adobe RGB (1998)."""
    if decoded.mode not in ("RGB", "palette", "grey"):
        return
    grey = decoded.mode == "grey"
    if exif.interoperability == "R03":
        gamma, white = 563 / 256, icc.ADOBE_RGB.white_xy
        decoded.declared = icc.gamma_profile(gamma, white) if grey else icc.adobe_rgb_profile()
    elif exif.colour_space == 1:
        decoded.declared = icc.grey_profile() if grey else icc.srgb_profile()
    decoded.declared_by = tr("the camera's tag (Exif)")
