"""What a photograph says of itself that goes to the lab, and what does not.

Kept are copyright, author, capture time and description; the place only where it is wished. All
else stays behind: thumbnails would show the uncorrected picture, makers' notes point to places in
the old file, and the turn is in the pixels.
"""

from __future__ import annotations

import io
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from proofing.language import listed, mark, tr
from proofing.ordering import tags
from proofing.ordering.packets import (
    IptcSets,
    clean,
    texts_of_iptc,
    texts_of_sets,
    texts_of_xmp,
    time_of,
    xmp_packet,
)
from proofing.ordering.tags import Directories, Directory, Tag, read_directories, text_tag

_LONGEST_PLACE = 1000  # bytes of one tag of the place

_IPTC = "(iptc)"  # a key that no library has
_PNG_TEXTS = {"Author": "author", "Copyright": "copyright", "Description": "description"}
"""Key words of ISO/IEC 15948, 11.3.4.2."""

FIELDS = {
    "copyright": mark("copyright"),
    "author": mark("author"),
    "captured": mark("capture time"),
    "description": mark("description"),
}
"""What is kept, and what each is called."""


@dataclass(frozen=True)
class Metadata:
    """What a file says of the picture; '' where it says nothing.

    Attributes
    ----------
    copyright, author, description
        Texts.
    captured
        As Exif writes it, ``'2026:10:02 18:04:11'``.
    captured_offset
        From UTC, ``'+02:00'``.
    location
        Tags of the place, empty where it is not told.
    location_told
        Whether the place is told in any way.
    has_thumbnail, has_maker_note
        What is left behind besides.
    """

    copyright: str = ""
    author: str = ""
    captured: str = ""
    description: str = ""
    captured_offset: str = ""
    location: Directory = field(default_factory=dict)
    location_told: bool = False
    has_thumbnail: bool = False
    has_maker_note: bool = False

    def kept(self, *, keep_location: bool) -> tuple[str, ...]:
        """Names of what goes into an order file."""
        names = [tr(words) for name, words in FIELDS.items() if getattr(self, name)]
        if keep_location and self.location:
            names.append(tr("location"))
        return tuple(names)

    def dropped(self, *, keep_location: bool) -> tuple[str, ...]:
        """Names of what is known to be there and left out."""
        found = (
            (self.location_told and not (keep_location and self.location), tr("location")),
            (self.has_thumbnail, tr("thumbnail")),
            (self.has_maker_note, tr("camera maker's notes")),
        )
        return tuple(name for there, name in found if there)

    def sentence(self, *, keep_location: bool) -> str:
        """What was kept and what was left out, for people."""
        kept, dropped = (
            self.kept(keep_location=keep_location),
            self.dropped(keep_location=keep_location),
        )
        said = (
            tr("Kept from the photograph's file: {kept}.", kept=listed(kept))
            if kept
            else tr("The photograph's file says nothing of author, copyright or capture time.")
        )
        left = (
            tr("Left out: {dropped} and all other data of the camera.", dropped=listed(dropped))
            if dropped
            else tr("All other data of the camera are left out.")
        )
        return f"{said} {left}"


def read_metadata(path: Path | None) -> Metadata:
    """What a picture file says of itself.

    Parameters
    ----------
    path
        A JPEG, PNG, TIFF or WebP that could be read as a photograph; None says nothing.

    Notes
    -----
    The time is that of Exif, the camera's own; texts are those of XMP, which has all letters.
    What is missing there is taken from the others, and whatever is damaged counts as not there.
    """
    if path is None:
        return Metadata()
    directories, xmp, old = _blocks(Path(path))
    exif, packet = _of_exif(directories), texts_of_xmp(xmp)
    told = bool(directories.location) or bool(packet.pop("location", ""))
    values: dict[str, str] = {}
    for found in (packet, exif, old):
        for name in ("copyright", "author", "description"):
            values[name] = values.get(name) or found.get(name, "")
    for found in (exif, packet, old):
        if found.get("captured") and not values.get("captured"):
            values["captured"] = found["captured"]
            values["captured_offset"] = found.get("captured_offset", "")
    location = {
        number: tag
        for number, tag in directories.location.items()
        if len(tag.data) <= _LONGEST_PLACE
    }
    return Metadata(
        **values,
        location=location,
        location_told=told,
        has_thumbnail=directories.further,
        has_maker_note=tags.MAKER_NOTE in directories.exif,
    )


# ---- finding the blocks ----------------------------------------------------------------------


def _blocks(path: Path) -> tuple[Directories, bytes, dict[str, str]]:
    """Exif, XMP and what is written in older ways: IPTC, or the plain texts of a PNG."""
    nothing = Directories({}, {}, {})
    try:
        with path.open("rb") as file:
            head = file.read(4)
            if head[:2] in (b"II", b"MM"):
                found = read_directories(file)
                xmp, iptc = (
                    b"" if (tag := found.main.get(number)) is None else tag.data
                    for number in (tags.XMP, tags.IPTC)
                )
                # another page of a TIFF need not be a thumbnail
                whole = Directories(found.main, found.exif, found.location)
                return whole, xmp, texts_of_iptc(iptc)
            file.seek(0)
            info = _info(file, head)
    except OSError:
        return nothing, b"", {}
    block = info.get("exif")
    exif = nothing
    if isinstance(block, bytes):
        exif = read_directories(io.BytesIO(block.removeprefix(b"Exif\0\0")))
    xmp = info.get("xmp") or info.get("XML:com.adobe.xmp") or b""
    if isinstance(xmp, str):
        xmp = xmp.encode("utf-8", "replace")
    old = texts_of_sets(info.get(_IPTC, {}))
    for key, name in _PNG_TEXTS.items():
        if isinstance(text := info.get(key), str) and text.strip():
            old.setdefault(name, clean(text))
    return exif, xmp, old


def _info(file: Any, head: bytes) -> dict[Any, Any]:
    """What the picture library finds beside the pixels of a JPEG, PNG or WebP."""
    from PIL import JpegImagePlugin, PngImagePlugin, WebPImagePlugin

    class Jpeg(JpegImagePlugin.JpegImageFile):
        """Leaves Exif to us: the library warns about damaged blocks."""

        def _read_dpi_from_exif(self) -> None:
            pass

    opener: Any = Jpeg
    if head.startswith(b"\x89PNG"):
        opener = PngImagePlugin.PngImageFile
    elif head.startswith(b"RIFF"):
        opener = WebPImagePlugin.WebPImageFile
    try:
        with opener(file) as image:
            if opener is PngImagePlugin.PngImageFile:
                image.load()  # blocks may stand behind the pixels
            return {**image.info, _IPTC: _iptc_of(image)}
    except Exception:  # decoders raise all kinds; a picture without these blocks is still one
        return {}


def _iptc_of(image: Any) -> IptcSets:
    from PIL import IptcImagePlugin

    try:
        sets = IptcImagePlugin.getiptcinfo(image) or {}
    except Exception:  # damaged ones are as if they were not there
        return {}
    return {place: value if isinstance(value, list) else [value] for place, value in sets.items()}


# ---- reading them ----------------------------------------------------------------------------


def _of_exif(found: Directories) -> dict[str, str]:
    def text(directory: Directory, number: int) -> str:
        tag = directory.get(number)
        return "" if tag is None or tag.kind not in (tags.ASCII, 129, 1, 7) else clean(tag.text)

    captured, offset = time_of(text(found.exif, tags.CAPTURED))
    stated = text(found.exif, tags.OFFSET_OF_CAPTURE)
    values = {
        "copyright": text(found.main, tags.COPYRIGHT),
        "author": text(found.main, tags.ARTIST),
        "description": text(found.main, tags.DESCRIPTION),
        "captured": captured,
        "captured_offset": stated if re.fullmatch(r"[+-]\d\d:\d\d", stated) else offset,
    }
    return {name: value for name, value in values.items() if value}


# ---- writing them ----------------------------------------------------------------------------


def main_tags(metadata: Metadata) -> Directory:
    """Tags of the main directory of Exif and TIFF."""
    pairs = (
        (tags.DESCRIPTION, metadata.description),
        (tags.ARTIST, metadata.author),
        (tags.COPYRIGHT, metadata.copyright),
    )
    return {number: text_tag(text) for number, text in pairs if text}


def exif_tags(metadata: Metadata) -> Directory:
    """Tags of the Exif directory; empty where there is nothing to say."""
    if not metadata.captured:
        return {}
    found = {
        tags.EXIF_VERSION: Tag(tags.UNDEFINED, b"0232"),
        tags.CAPTURED: text_tag(metadata.captured),
    }
    if metadata.captured_offset:
        found[tags.OFFSET_OF_CAPTURE] = text_tag(metadata.captured_offset)
    return found


def xmp_of(metadata: Metadata) -> bytes:
    """The same texts as an XMP packet, b'' where there are none."""
    return xmp_packet(
        author=metadata.author,
        copyright=metadata.copyright,
        description=metadata.description,
        captured=metadata.captured,
        captured_offset=metadata.captured_offset,
    )
