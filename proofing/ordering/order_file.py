"""The file that goes to the lab: written, opened again, and told in sentences.

>>> import tempfile, numpy as np
>>> from proofing.photograph import photograph_from_array
>>> picture = photograph_from_array(np.full((40, 60, 3), 128, np.uint8))
>>> with tempfile.TemporaryDirectory() as folder:
...     written = write_order(picture, Order(PrintSize(60, 40)), Path(folder) / "a.tif")
>>> written.check.passed, written.check.most_codes, float(written.layout.ppi)
(True, 0, 25.4)
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from proofing.errors import Cancelled, OutputError, SettingError
from proofing.files import atomic_output, refuse_existing, refuse_inputs
from proofing.language import tr
from proofing.ordering.checking import Expected, OrderCheck, check_order
from proofing.ordering.edges import Margins, Wrap
from proofing.ordering.encoding import Cancel, Progress, convert
from proofing.ordering.metadata import Metadata, read_metadata
from proofing.ordering.order import FileKind, Layout, Order, kind_of, layout_of
from proofing.ordering.reducing import pixels_for, reduced
from proofing.ordering.spaces import SRGB_NAME, order_space, space_name
from proofing.ordering.telling import Told, sentences_of
from proofing.ordering.writing import write_jpeg, write_tiff
from proofing.photograph import Photograph
from proofing.request import PrintSize

__all__ = [
    "FileKind",
    "Layout",
    "Margins",
    "Order",
    "OrderCheck",
    "PrintSize",
    "Wrap",
    "Written",
    "check_order",
    "kind_of",
    "layout_of",
    "order_space",
    "space_name",
    "write_order",
]

_CONVERTED = 0.7  # of the progress; writing and opening again are the rest
_ON_DISK = 0.5  # of that rest


@dataclass(frozen=True)
class Written:
    """An order file that is on the disk and has been opened again.

    Attributes
    ----------
    path
        The file.
    order, layout
        What was ordered, and its measures.
    size_bytes
        Size of the file.
    told
        Numbers of the conversion.
    kept, dropped
        Names of what the photograph's file says that was kept or left out.
    check
        What two readers found in it; it has passed.
    sentences
        What a person should know, without the check's own.
    """

    path: Path
    order: Order
    layout: Layout
    size_bytes: int
    told: Told
    kept: tuple[str, ...]
    dropped: tuple[str, ...]
    check: OrderCheck
    sentences: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """Plain numbers, texts and lists, ready for JSON."""
        width_mm, height_mm = self.layout.size_mm
        return {
            "file": str(self.path),
            "kind": self.order.kind,
            "bits": self.order.bits,
            "space": space_name(self.order.destination),
            "width": self.layout.width_px,
            "height": self.layout.height_px,
            "ppi": float(self.layout.ppi),
            "width_mm": round(width_mm, 3),
            "height_mm": round(height_mm, 3),
            "bytes": self.size_bytes,
            "share_outside": self.told.share_outside,
            "delta_E_outside": round(self.told.delta_E_outside, 3),
            "delta_E_outside_most": round(self.told.delta_E_most, 3),
            "share_corrected_away": self.told.share_corrected_away,
            "kept": list(self.kept),
            "left_out": list(self.dropped),
            "sentences": list(self.sentences),
            "check": {
                "passed": self.check.passed,
                "readers": list(self.check.readers),
                "most_codes": self.check.most_codes,
                "delta_E_mean": round(self.check.delta_E_mean, 4),
                "delta_E_most": round(self.check.delta_E_most, 4),
                "same_profile": self.check.same_profile,
                "ppi": list(self.check.ppi),
                "sentences": list(self.check.sentences),
            },
        }


def write_order(
    photograph: Photograph,
    order: Order,
    path: Path | str,
    *,
    inputs: Iterable[Path | str] = (),
    overwrite: bool = False,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> Written:
    """Write the file for the lab, and open it again before it takes its place.

    Parameters
    ----------
    photograph, order
        What is ordered of what. No pixel is added, and none is taken away unless the order asks
        for no more than so many to the inch: the ppi follows from the size.
    path
        The file; its ending says the order's kind.
    inputs
        Files that were read besides the photograph's; none of them is written onto.
    overwrite
        Whether a file that is there may be replaced.
    cancel
        Asked now and then; True calls the work off, and nothing is left behind.
    progress
        Told the share done, 0..1, from any thread.

    Raises
    ------
    SettingError
        The size does not fit the picture, the ending does not fit the kind, or the correction
        gives no codes.
    OutputError
        The file cannot be written, may not be replaced, or did not read back as it was written.
    ProfileError
        One of the profiles cannot convert.
    Cancelled
        `cancel` said so.
    """
    path = Path(path)
    read = [*inputs, *([photograph.path] if photograph.path is not None else [])]
    refuse_inputs(path, read)
    if not overwrite:
        refuse_existing(path)
    if kind_of(path) != order.kind:
        raise SettingError(
            "output",
            path.name,
            tr("this ending does not stand for {kind}; choose another", kind=order.kind),
        )
    before = photograph.width, photograph.height
    if photograph.reduction == 1:
        pixels = pixels_for(before, order.size.ppi(photograph), order.most_ppi)
        photograph = reduced(photograph, pixels)
    layout = layout_of(order, photograph)
    metadata = read_metadata(photograph.path)
    say = _scaled(progress, 0.0, _CONVERTED)
    converted = convert(photograph, order, layout, cancel=cancel, progress=say)
    expected = Expected(converted.codes, layout.ppi, layout.size_mm)
    check, size = put_checked(
        path, expected, order, metadata, inputs=read, overwrite=overwrite, cancel=cancel,
        progress=_scaled(progress, _CONVERTED, 1.0),
    )  # fmt: skip
    told = Told.of(converted)
    return Written(
        path=path,
        order=order,
        layout=layout,
        size_bytes=size,
        told=told,
        kept=metadata.kept(keep_location=order.keep_location),
        dropped=metadata.dropped(keep_location=order.keep_location),
        check=check,
        sentences=(
            *sentences_of(photograph, order, layout, told, size, before),
            metadata.sentence(keep_location=order.keep_location),
        ),
    )


def put_checked(
    path: Path,
    expected: Expected,
    order: Order,
    metadata: Metadata,
    *,
    inputs: Iterable[Path | str] = (),
    overwrite: bool = False,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> tuple[OrderCheck, int]:
    """Write pixels as a file, and open it again before it takes its name.

    Parameters
    ----------
    path
        The file.
    expected
        Its pixels, ppi and size.
    order
        Space, kind, and whether the place goes with it.
    metadata
        What it says of the picture.
    inputs, overwrite
        As for :func:`proofing.files.atomic_output`.
    cancel, progress
        Asked and told between writing, opening again, and giving the file its name.

    Returns
    -------
    tuple
        What was found in the file, which has passed, and its size in bytes.

    Raises
    ------
    OutputError
        It cannot be written, may not be replaced, or did not read back as it was written.
    Cancelled
        `cancel` said so; nothing is left behind.
    """
    with atomic_output(path, inputs, overwrite=overwrite) as temporary:
        _put(temporary, expected, order, metadata)
        _step(cancel, progress, _ON_DISK)
        check = check_order(temporary, order, expected)
        if not check.passed:
            raise OutputError(
                tr(
                    "{path} did not read back as it was written ({found}); nothing is left of it, "
                    "write to another disk",
                    path=path.name,
                    found=" ".join(check.sentences),
                ),
                path,
            )
        size = temporary.stat().st_size
        _step(cancel, progress, 1.0)
    return check, size


def _put(path: Path, expected: Expected, order: Order, metadata: Metadata) -> None:
    profile, keep = order.destination, order.keep_location
    if order.kind == "TIFF":
        write_tiff(path, expected.codes, profile.data, expected.ppi, metadata, keep_location=keep)
    else:
        write_jpeg(
            path, expected.codes, profile.data, expected.ppi, metadata,
            is_srgb=space_name(profile) == space_name(order_space(SRGB_NAME)), keep_location=keep,
        )  # fmt: skip


def _step(cancel: Cancel | None, progress: Progress | None, done: float) -> None:
    if cancel is not None and cancel():
        raise Cancelled
    if progress is not None:
        progress(done)


def _scaled(progress: Progress | None, start: float, end: float) -> Callable[[float], None] | None:
    if progress is None:
        return None
    return lambda done: progress(start + (end - start) * done)
