"""The file for the lab, opened again after it was written, by readers that did not write it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import XYZ_to_Lab, delta_E_00
from proofing.errors import OutputError
from proofing.language import tr
from proofing.ordering.lengths import size_text
from proofing.ordering.order import FileKind, Order
from proofing.ordering.spaces import space_name
from proofing.photograph import IccIntent, icc

Codes = npt.NDArray[Any]

LARGEST_MEAN_DELTA_E = 2.0
"""CIEDE2000 that a JPEG of top quality may be off on average; dark, noisy pictures come to 0.9."""
MOST_CODES_OF_JPEG = 16
"""Of 255, that any of its pixels may be off."""

_ROWS = 128
_SAMPLE = 40_000  # pixels of a JPEG whose colour difference is worked out
_WORST_OF_A_STRIP = 20
_SIZE_MM = 0.05  # a size is met that is as near as this
_TIFF_CODES = 1


@dataclass(frozen=True, eq=False)
class Expected:
    """What a file should hold.

    Attributes
    ----------
    codes
        (H, W, 3) uint8 or uint16, margins included.
    ppi
        Pixels per inch.
    size_mm
        Width and height of the sheet.
    """

    codes: npt.NDArray[Any]
    ppi: Fraction
    size_mm: tuple[float, float]


@dataclass(frozen=True)
class OrderCheck:
    """What was found in the file.

    Attributes
    ----------
    readers
        Names of the libraries that opened it.
    same_shape
        Width, height and channels are those expected.
    most_codes
        The largest difference of a code, by any reader; of 8 bits where one sees no more.
    delta_E_mean, delta_E_most
        CIEDE2000 of JPEGs: the mean of an even sample, and the largest of the pixels that are
        most codes off; 0 for TIFF.
    same_profile
        The embedded profile is the destination's, byte for byte.
    ppi
        As read, across and down.
    size_mm
        That follows from it.
    passed
        All of it is as ordered.
    sentences
        The same for people.
    """

    readers: tuple[str, ...]
    same_shape: bool
    most_codes: int
    delta_E_mean: float
    delta_E_most: float
    same_profile: bool
    ppi: tuple[float, float]
    size_mm: tuple[float, float]
    passed: bool
    sentences: tuple[str, ...]


def check_order(path: Path | str, order: Order, expected: Expected) -> OrderCheck:
    """Open an order file by two readers and compare all that was ordered.

    Parameters
    ----------
    path
        The file.
    order, expected
        What was ordered, and what follows from it.

    Returns
    -------
    OrderCheck
        That may or may not have passed.

    Raises
    ------
    OutputError
        One of the readers cannot open the file.
    """
    path = Path(path)
    readers: list[str] = []
    same_shape, most, mean, worst = True, 0, 0.0, 0.0
    try:
        for name, read in _PICTURES[order.kind]:
            pixels = read(path)  # one at a time: two would hold 24 megapixels twice
            readers.append(name)
            shape = pixels.shape
            same_shape = same_shape and shape == expected.codes.shape
            if same_shape:
                most = max(most, _most_codes(pixels, expected.codes))
                if order.kind == "JPEG" and len(readers) == 1:
                    mean, worst = _delta_E(pixels, expected.codes, order)
            del pixels
        profile, ppi = _beside_tiff(path) if order.kind == "TIFF" else _beside_jpeg(path)
    except Exception as error:  # decoders raise all kinds
        raise OutputError(
            tr(
                "{path} cannot be opened again after it was written; the disk may be full or "
                "failing, write to another",
                path=path.name,
            ),
            path,
        ) from error
    same_profile = profile == order.destination.data
    size_mm = tuple(
        25.4 * pixels / per_inch if per_inch else 0.0
        for pixels, per_inch in zip(shape[1::-1], ppi, strict=True)
    )
    good_pixels = same_shape and (
        most <= _TIFF_CODES
        if order.kind == "TIFF"
        else most <= MOST_CODES_OF_JPEG and mean <= LARGEST_MEAN_DELTA_E
    )
    good_size = all(
        abs(found - wanted) <= _SIZE_MM
        for found, wanted in zip(size_mm, expected.size_mm, strict=True)
    )
    width_mm, height_mm = size_mm
    return OrderCheck(
        readers=tuple(readers),
        same_shape=same_shape,
        most_codes=most,
        delta_E_mean=mean,
        delta_E_most=worst,
        same_profile=same_profile,
        ppi=ppi,
        size_mm=(width_mm, height_mm),
        passed=good_pixels and same_profile and good_size,
        sentences=(
            _of_pixels(order, same_shape, good_pixels, most, mean, worst),
            tr("The profile {space} is embedded, byte for byte.",
               space=space_name(order.destination))
            if same_profile
            else tr("The embedded profile is not the one ordered; do not send this file."),
            tr(
                "Size and resolution are as ordered: {size} at {ppi:.6g} ppi.",
                size=size_text((width_mm, height_mm)),
                ppi=ppi[0],
            )
            if good_size
            else tr(
                "The file says {size}, which was not ordered; do not send it.",
                size=size_text((width_mm, height_mm)),
            ),
        ),
    )  # fmt: skip


def _by_libtiff(path: Path) -> Codes:
    """All 16 bits; the file was written by tifffile."""
    import imagecodecs

    return np.asarray(imagecodecs.tiff_decode(path.read_bytes()))


def _by_libjpeg(path: Path) -> Codes:
    import imagecodecs

    return np.asarray(imagecodecs.jpeg8_decode(path.read_bytes()))


def _opened(path: Path) -> Any:
    """The file by Pillow, whatever its size; of 16 bits it gives the upper eight."""
    from PIL import JpegImagePlugin, TiffImagePlugin

    with path.open("rb") as file:
        is_jpeg = file.read(2) == b"\xff\xd8"
    return (JpegImagePlugin.JpegImageFile if is_jpeg else TiffImagePlugin.TiffImageFile)(path)


def _by_pillow(path: Path) -> Codes:
    with _opened(path) as image:
        return np.asarray(image.convert("RGB"))


_PICTURES: dict[FileKind, tuple[tuple[str, Callable[[Path], Codes]], ...]] = {
    "TIFF": (("libtiff", _by_libtiff), ("Pillow", _by_pillow)),
    "JPEG": (("libjpeg", _by_libjpeg), ("Pillow", _by_pillow)),
}

Beside = tuple[bytes | None, tuple[float, float]]


def _beside_tiff(path: Path) -> Beside:
    """Profile and ppi."""
    with _opened(path) as image:
        across, down = (float(image.tag_v2[number]) for number in (282, 283))
        per_inch = {2: 1.0, 3: 2.54}[int(image.tag_v2.get(296, 2))]
        return image.info.get("icc_profile"), (across * per_inch, down * per_inch)


def _beside_jpeg(path: Path) -> Beside:
    """Profile and, from Exif, the exact ppi."""
    with _opened(path) as image:
        exif = image.getexif()
        ppi = float(exif[0x011A]), float(exif[0x011B])
        return image.info.get("icc_profile"), ppi


def _strips(height: int) -> range:
    return range(0, height, _ROWS)


def _most_codes(found: npt.NDArray[Any], expected: npt.NDArray[Any]) -> int:
    """The largest difference, in strips; of the upper bytes where the reader gives no more."""
    most = 0
    shift = 8 * (expected.dtype.itemsize - found.dtype.itemsize)
    for first in _strips(len(expected)):
        wanted = expected[first : first + _ROWS].astype(np.int32) >> max(0, shift)
        off = np.abs(found[first : first + _ROWS].astype(np.int32) - wanted)
        most = max(most, int(off.max(initial=0)))
    return most


def _delta_E(
    found: npt.NDArray[Any], expected: npt.NDArray[Any], order: Order
) -> tuple[float, float]:
    """Mean of an even sample and the largest of the worst pixels, CIEDE2000."""
    flat_found, flat_wanted = found.reshape(-1, 3), expected.reshape(-1, 3)
    step = max(1, len(flat_wanted) // _SAMPLE)
    sample = np.arange(0, len(flat_wanted), step)
    worst = []
    rows = max(1, _ROWS * expected.shape[1])
    for first in range(0, len(flat_wanted), rows):
        off = np.abs(
            flat_found[first : first + rows].astype(np.int16) - flat_wanted[first : first + rows]
        ).sum(axis=1)
        few = min(_WORST_OF_A_STRIP, len(off))
        worst.append(first + np.argpartition(off, -few)[-few:])

    def Lab(codes: npt.NDArray[Any]) -> npt.NDArray[np.float64]:
        XYZ = icc.device_to_XYZ(order.destination, codes / float(order.top), IccIntent.RELATIVE)
        return XYZ_to_Lab(XYZ)

    def apart(places: npt.NDArray[np.intp]) -> npt.NDArray[np.float64]:
        return delta_E_00(Lab(flat_found[places]), Lab(flat_wanted[places]))

    even = apart(sample)
    return float(even.mean()), float(max(even.max(), apart(np.concatenate(worst)).max()))


def _of_pixels(
    order: Order, same_shape: bool, good: bool, most: int, mean: float, worst: float
) -> str:
    if not same_shape:
        return tr("The file has other pixels in width or height; do not send it.")
    if not good:
        return tr("The pixels are not those that were written; do not send this file.")
    if order.kind == "TIFF":
        return (
            tr("Read back by two independent libraries, every pixel is the one that was written.")
            if most == 0
            else tr(
                "Read back by two independent libraries, no code differs by more than {most} of "
                "65 535.",
                most=most,
            )
        )
    return tr(
        "Read back by two independent libraries, the pixels are {mean:.2f} ΔE00 off on average and "
        "{worst:.1f} at most, which is what JPEG of top quality costs.",
        mean=mean,
        worst=worst,
    )
