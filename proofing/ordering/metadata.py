"""What a photograph says of itself that goes to the lab, and what does not.

Kept are copyright, author, capture time and description; the place only where it is wished. All
else stays behind: thumbnails would show the uncorrected picture, makers' notes point to places in
the old file, and the turn is in the pixels.
"""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from proofing.language import listed, mark, tr
from proofing.ordering import tags
from proofing.ordering.tags import Directories, Directory, Tag, read_directories, text_tag

_LONGEST = 4000  # characters of one text: an Exif block has room for 65 000 bytes
_LONGEST_PLACE = 1000  # bytes of one tag of the place
_MOST_BYTES = 2**20
_RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
_DC = "{http://purl.org/dc/elements/1.1/}"
_XMP_EXIF = "{http://ns.adobe.com/exif/1.0/}"
_PHOTOSHOP = "{http://ns.adobe.com/photoshop/1.0/}"
_PREFIXES = {"x": "{adobe:ns:meta/}", "rdf": _RDF, "dc": _DC, "photoshop": _PHOTOSHOP}
_TIME = re.compile(
    r"(\d{4})[:-](\d\d)[:-](\d\d)(?:[T ](\d\d):(\d\d)(?::(\d\d))?(?:\.\d+)?\s*(Z|[+-]\d\d:\d\d)?)?"
)
_IPTC_TEXTS = {120: "description", 80: "author", 116: "copyright"}  # IIM 4.2, record 2

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
    directories, xmp, iptc = _blocks(Path(path))
    exif, packet, old = _of_exif(directories), _of_xmp(xmp), _of_iptc(iptc)
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


def _blocks(path: Path) -> tuple[Directories, bytes, bytes]:
    """Exif, XMP and IPTC of a file."""
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
                return Directories(found.main, found.exif, found.location), xmp, iptc
            file.seek(0)
            info = _info(file, head)
    except OSError:
        return nothing, b"", b""
    block = info.get("exif")
    exif = nothing
    if isinstance(block, bytes):
        exif = read_directories(io.BytesIO(block.removeprefix(b"Exif\0\0")))
    xmp = info.get("xmp") or info.get("XML:com.adobe.xmp") or b""
    if isinstance(xmp, str):
        xmp = xmp.encode("utf-8", "replace")
    resources = info.get("photoshop")
    iptc = resources.get(0x0404, b"") if isinstance(resources, dict) else b""
    return exif, xmp, iptc if isinstance(iptc, bytes) else b""


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
            return dict(image.info)
    except Exception:  # decoders raise all kinds; a picture without these blocks is still one
        return {}


# ---- reading them ----------------------------------------------------------------------------


def _clean(text: str) -> str:
    kept = "".join(c for c in text if c.isprintable() or c in "\n\t")
    return kept.strip()[:_LONGEST]


def _of_exif(found: Directories) -> dict[str, str]:
    def text(directory: Directory, number: int) -> str:
        tag = directory.get(number)
        return "" if tag is None or tag.kind not in (tags.ASCII, 129, 1, 7) else _clean(tag.text)

    captured, offset = _time(text(found.exif, tags.CAPTURED))
    stated = text(found.exif, tags.OFFSET_OF_CAPTURE)
    values = {
        "copyright": text(found.main, tags.COPYRIGHT),
        "author": text(found.main, tags.ARTIST),
        "description": text(found.main, tags.DESCRIPTION),
        "captured": captured,
        "captured_offset": stated if re.fullmatch(r"[+-]\d\d:\d\d", stated) else offset,
    }
    return {name: value for name, value in values.items() if value}


def _time(text: str) -> tuple[str, str]:
    """A point in time as Exif writes it, and its offset from UTC; '' where there is none."""
    match = _TIME.match(text.strip())
    if match is None or match[1] == "0000":
        return "", ""
    year, month, day, hour, minute, second, offset = match.groups()
    if hour is None:
        hour, minute = "00", "00"
    time = f"{year}:{month}:{day} {hour}:{minute}:{second or '00'}"
    return time, {"Z": "+00:00"}.get(offset or "", offset or "")


def _of_xmp(packet: bytes) -> dict[str, str]:
    """XMP (ISO 16684-1): Dublin Core and the times; attributes or elements."""
    if not packet or len(packet) > _MOST_BYTES or b"<!DOCTYPE" in packet:
        return {}
    try:
        root = ET.fromstring(packet.strip(b"\0 \r\n\t").decode("utf-8", "replace"))
    except (ET.ParseError, ValueError):
        return {}
    values: dict[str, str] = {}
    names = {
        f"{_DC}rights": "copyright",
        f"{_DC}creator": "author",
        f"{_DC}description": "description",
        f"{_XMP_EXIF}DateTimeOriginal": "captured",
        f"{_PHOTOSHOP}DateCreated": "captured",
    }
    for node in root.iter(f"{_RDF}Description"):
        pairs = list(node.attrib.items())
        for child in node:
            items = [item.text or "" for item in child.iter(f"{_RDF}li")]
            pairs.append((child.tag, "; ".join(items) if items else child.text or ""))
        for tag, value in pairs:
            if tag.startswith(f"{_XMP_EXIF}GPS"):
                values["location"] = "told"
            name = names.get(tag)
            if name == "captured":
                value, offset = _time(value)
                if value and "captured" not in values:
                    values["captured_offset"] = offset
            if name and value.strip():
                values.setdefault(name, _clean(value))
    return values


def _of_iptc(data: bytes) -> dict[str, str]:
    """IPTC information interchange model 4.2: tag marker 0x1C, record, number, length."""
    texts: dict[int, list[bytes]] = {}
    at, unicode = 0, False
    while at + 5 <= len(data) and data[at] == 0x1C:
        record, number = data[at + 1], data[at + 2]
        length = int.from_bytes(data[at + 3 : at + 5], "big")
        if length & 0x8000:  # an extended length, which no text of these has
            break
        value = data[at + 5 : at + 5 + length]
        if (record, number) == (1, 90):
            unicode = value == b"\x1b%G"
        if record == 2:
            texts.setdefault(number, []).append(value)
        at += 5 + length

    def text(number: int) -> str:
        said = []
        for value in texts.get(number, []):
            try:
                said.append(value.decode("utf-8"))
            except UnicodeDecodeError:
                said.append(value.decode("utf-8" if unicode else "latin-1", "replace"))
        return _clean("; ".join(said))

    values = {name: text(number) for number, name in _IPTC_TEXTS.items()}
    date, clock = text(55), text(60)
    if re.fullmatch(r"\d{8}", date):
        time = re.match(r"(\d\d)(\d\d)(\d\d)(?:([+-]\d\d)(\d\d))?", clock)
        words = f"{date[:4]}-{date[4:6]}-{date[6:]}"
        if time is not None:
            zone = f"{time[4]}:{time[5]}" if time[4] else ""
            words += f"T{time[1]}:{time[2]}:{time[3]}{zone}"
        values["captured"], values["captured_offset"] = _time(words)
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


def xmp_packet(metadata: Metadata) -> bytes:
    """The same texts as XMP (ISO 16684-1), b'' where there are none."""

    root = ET.Element("{adobe:ns:meta/}xmpmeta")
    about = ET.SubElement(
        ET.SubElement(root, f"{_RDF}RDF"), f"{_RDF}Description", {f"{_RDF}about": ""}
    )
    for name, kind, text in (
        ("creator", "Seq", metadata.author),
        ("rights", "Alt", metadata.copyright),
        ("description", "Alt", metadata.description),
    ):
        if text:
            items = ET.SubElement(ET.SubElement(about, f"{_DC}{name}"), f"{_RDF}{kind}")
            item = ET.SubElement(items, f"{_RDF}li")
            item.text = text
            if kind == "Alt":
                item.set("{http://www.w3.org/XML/1998/namespace}lang", "x-default")
    if metadata.captured:
        date, _, clock = metadata.captured.partition(" ")
        time = f"{date.replace(':', '-')}T{clock}{metadata.captured_offset}"
        ET.SubElement(about, f"{_PHOTOSHOP}DateCreated").text = time
    if not len(about):
        return b""
    for prefix, name in _PREFIXES.items():
        ET.register_namespace(prefix, name.strip("{}"))
    begin = ET.ProcessingInstruction("xpacket", 'begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"')
    end = ET.ProcessingInstruction("xpacket", 'end="w"')
    packet = "".join(ET.tostring(part, encoding="unicode") for part in (begin, root, end))
    return packet.encode()
