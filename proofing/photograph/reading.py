"""Picture files to pixels: JPEG, PNG, TIFF and WebP, told apart by their content.

The one adapter around the decoders: whatever they raise leaves here as
:class:`~proofing.errors.UnreadableFile` or :class:`~proofing.errors.UnsupportedPicture`. Colour
is not touched beyond what the file format itself says of its numbers: inverted inks and greys,
palettes, premultiplied alpha, the ways to write Lab.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from proofing.errors import ProofingError, UnreadableFile, UnsupportedPicture
from proofing.language import mark, tr
from proofing.photograph.decoded import PROMISED, Decoded, make_finite
from proofing.photograph.pillow_formats import outline_by_pillow, read_jpeg, read_png, read_webp
from proofing.photograph.tiff import outline_of_tiff, read_tiff

Reader = Callable[[IO[bytes], Path], Decoded]

_OTHER_FORMATS: tuple[tuple[bytes, str], ...] = (
    (rb"GIF8[79]a", mark("a GIF picture")),
    (rb"BM.{12}[\x0c-\x7c]\0\0\0", mark("a BMP picture")),
    (rb"\0\0\0\x0cjP  ", "a JPEG 2000 picture"),
    (rb"\xff\x4f\xff\x51", "a JPEG 2000 picture"),
    (rb"\xff\x0a|\0\0\0\x0cJXL ", mark("a JPEG XL picture")),
    (rb".{4}ftyp(heic|heix|mif1|msf1|avif|avis)", mark("a HEIF or AVIF picture")),
    (rb"\x76\x2f\x31\x01", mark("an OpenEXR picture")),
    (rb"%PDF|%!PS", "a document"),
)


def read_pixels(path: Path) -> Decoded:
    """Read a picture file.

    Parameters
    ----------
    path
        The file; its name does not matter, its content does.

    Raises
    ------
    UnreadableFile
        Missing, not permitted, empty, cut short or damaged.
    UnsupportedPicture
        Not one of the four formats, too large, or of a kind that is not promised.
    """
    with _mapped(path), path.open("rb") as file:
        decoded = _reader(_head(file, path), path)(file, path)
        if decoded.pixels.dtype.kind == "f":
            make_finite(decoded)
        return decoded


def read_outline(path: Path) -> tuple[int, int]:
    """Width and height in pixels, upright, from the head of a file; its pixels may be damaged.

    Raises
    ------
    UnreadableFile, UnsupportedPicture
        As :func:`read_pixels`.
    """
    with _mapped(path), path.open("rb") as file:
        reader = _reader(_head(file, path), path)
        return (outline_of_tiff if reader is read_tiff else outline_by_pillow)(file, path)


def _head(file: IO[bytes], path: Path) -> bytes:
    head = file.read(64)
    file.seek(0)
    if not head:
        raise UnreadableFile(tr("{path} is empty; choose another file", path=path.name), path)
    return head


def _reader(head: bytes, path: Path) -> Reader:
    if head.startswith(b"\xff\xd8\xff"):
        return read_jpeg
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return read_png
    if head[:4] in (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"):
        return read_tiff
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return read_webp
    what = tr("no picture of a known kind")
    for pattern, name in _OTHER_FORMATS:
        if re.match(pattern, head, re.DOTALL):
            what = tr(name)
            break
    raise UnsupportedPicture(
        tr(
            "{path} is {what}; save the photograph as {promised}",
            path=path.name,
            what=what,
            promised=tr(PROMISED),
        ),
        path,
    )


@contextmanager
def _mapped(path: Path) -> Iterator[None]:
    """Turn every foreign exception into one of ours.

    Decoders raise all kinds on hostile files, so all kinds are caught; only here.
    """
    try:
        yield
    except ProofingError:
        raise
    except FileNotFoundError as error:
        raise UnreadableFile(
            tr("there is no file {path}; choose another file", path=path), path
        ) from error
    except IsADirectoryError as error:
        raise UnreadableFile(
            tr("{path} is a folder; choose a picture in it", path=path), path
        ) from error
    except PermissionError as error:
        raise UnreadableFile(
            tr(
                "{path} may not be read; change its permissions or choose another file",
                path=path.name,
            ),
            path,
        ) from error
    except MemoryError as error:
        raise UnsupportedPicture(
            tr(
                "{path} does not fit in the memory of this computer; use a smaller copy",
                path=path.name,
            ),
            path,
        ) from error
    except Exception as error:
        raise UnreadableFile(
            tr("{path} is cut short or damaged; copy or export it again", path=path.name), path
        ) from error
