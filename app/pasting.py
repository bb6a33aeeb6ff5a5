"""What lies on the clipboard, as pictures to open."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QMimeData
from PySide6.QtGui import QImage

from app.files import is_file
from proofing.language import tr

_PNG = "image/png"


@dataclass(frozen=True)
class Pasted:
    """Files that were copied, or what writes an image that was copied as PNG; both may be empty."""

    paths: tuple[str, ...] = ()
    write: Callable[[Path], None] | None = None


def pasted(mime: QMimeData) -> Pasted:
    """What there is to paste.

    An image that is offered as PNG is kept byte by byte, with its profile; another one is written
    as the toolkit has it.
    """
    if mime.hasUrls():
        paths = tuple(url.toLocalFile() for url in mime.urls() if url.isLocalFile())
        if paths:
            return Pasted(paths)
    if mime.hasText() and is_file(mime.text().strip()):
        return Pasted((mime.text().strip(),))
    data = bytes(mime.data(_PNG).data())
    if data:
        return Pasted(write=lambda path: _write_bytes(path, data))
    image = mime.imageData()
    if isinstance(image, QImage) and not image.isNull():
        return Pasted(write=lambda path: _write_image(path, image))
    return Pasted()


def _write_bytes(path: Path, data: bytes) -> None:
    path.write_bytes(data)


def _write_image(path: Path, image: QImage) -> None:
    if not image.save(str(path)):
        raise OSError(tr("the image could not be written"))
