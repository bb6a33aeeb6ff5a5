"""The files of a sheet: PDF and PNG, by one drawing.

Everything here may run on a worker's thread, once there is an application with the program's type
(:func:`app.theme.load_fonts`) on the main one.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any, Final

import numpy as np
from PIL import Image, PngImagePlugin
from PySide6.QtCore import QBuffer, QIODevice, QMarginsF, QUrl
from PySide6.QtGui import (
    QColorSpace,
    QImage,
    QPageLayout,
    QPageSize,
    QPainter,
    QPdfOutputIntent,
    QPdfWriter,
)

from app.files import atomic_output
from app.handout.composing import Composed, compose
from app.handout.geometry import A4, LETTER, MM, PIXEL, PPI, Page
from app.handout.pdf import finished
from proofing.errors import OutputError
from proofing.language import tr
from proofing.ordering.explanation import Explanation
from proofing.ordering.spaces import srgb

PROGRAM: Final = "stocklight"
_PAPERS: Final = {A4: QPageSize.PageSizeId.A4, LETTER: QPageSize.PageSizeId.Letter}
_INTENT: Final = "sRGB IEC61966-2.1"  # of the registry of characterised conditions
_REGISTRY: Final = "http://www.color.org"


def write_sheet(
    said: Explanation,
    path: Path,
    page: Page = A4,
    *,
    inputs: Iterable[Path | str] = (),
    overwrite: bool = False,
) -> None:
    """Write a sheet; the ending of the file says as what.

    Parameters
    ----------
    said
        What stands on it; its pictures have the size of :func:`app.handout.geometry.arrange`.
    path
        ``.pdf``, or ``.png`` with the pages below each other.
    page
        The paper.
    inputs
        Files that were read; none of them is written onto.
    overwrite
        Whether a file that is there may be replaced.

    Raises
    ------
    OutputError
        The file cannot be written or may not be replaced; nothing half-written is left behind.
    """
    kind = path.suffix.lower()
    with atomic_output(path, inputs, overwrite=overwrite) as part:
        if kind == ".pdf":
            part.write_bytes(pdf_of(compose(said, page), said.title, said.language))
        else:
            _write_png(part, png_pixels(compose(said, page)), said.title)


def pdf_of(composed: Composed, title: str, language: str) -> bytes:
    """The bytes of the PDF: PDF/A-1b, output intent sRGB, pictures lossless, type embedded."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setPdfVersion(QPdfWriter.PdfVersion.PdfVersion_A1b)
    writer.setTitle(title)
    writer.setCreator(PROGRAM)
    writer.setColorModel(QPdfWriter.ColorModel.RGB)
    writer.setOutputIntent(_output_intent())
    paper = QPageSize(_PAPERS[composed.page])
    writer.setPageLayout(
        QPageLayout(paper, QPageLayout.Orientation.Portrait, QMarginsF(0.0, 0.0, 0.0, 0.0))
    )
    writer.setResolution(round(25.4 * MM))
    painter = QPainter()
    if not painter.begin(writer):
        raise OutputError(tr("the PDF cannot be drawn here; write a PNG instead"))
    try:
        painter.setRenderHint(QPainter.RenderHint.LosslessImageRendering)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for number, parts in enumerate(composed.parts):
            if number:
                writer.newPage()
            for each in parts:
                each.draw(painter)
    finally:
        painter.end()
    return finished(bytes(buffer.data().data()), language)


def _output_intent() -> QPdfOutputIntent:
    intent = QPdfOutputIntent()
    intent.setOutputConditionIdentifier(_INTENT)
    intent.setOutputCondition(_INTENT)
    intent.setRegistryName(QUrl(_REGISTRY))
    intent.setOutputProfile(QColorSpace(QColorSpace.NamedColorSpace.SRgb))
    return intent


def png_pixels(composed: Composed) -> np.ndarray[Any, np.dtype[np.uint8]]:
    """(H, W, 3) sRGB: the pages below each other, at :data:`app.handout.geometry.PPI`."""
    width, height = composed.page.size_px
    image = QImage(width, height * len(composed.parts), QImage.Format.Format_RGB888)
    image.fill(0xFFFFFFFF)
    painter = QPainter(image)
    try:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setRenderHint(QPainter.RenderHint.TextAntialiasing)
        for number, parts in enumerate(composed.parts):
            painter.resetTransform()
            painter.translate(0, number * height)
            painter.scale(1.0 / PIXEL, 1.0 / PIXEL)
            for each in parts:
                each.draw(painter)
    finally:
        painter.end()
    pixels = np.frombuffer(image.constBits(), np.uint8)
    pixels = pixels.reshape(image.height(), image.bytesPerLine())[:, : 3 * width]
    return pixels.reshape(image.height(), width, 3).copy()


def _write_png(path: Path, pixels: np.ndarray[Any, np.dtype[np.uint8]], title: str) -> None:
    words = PngImagePlugin.PngInfo()
    words.add_itxt("Title", title)
    words.add_itxt("Software", PROGRAM)
    Image.fromarray(pixels).save(
        path, format="PNG", icc_profile=srgb().data, dpi=(PPI, PPI), pnginfo=words,
        compress_level=6,
    )  # fmt: skip
