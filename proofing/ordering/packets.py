"""Texts beside the pixels that are no tags: XMP (ISO 16684-1) and the IPTC information model 4.2.

Whatever is damaged reads as if it were not there.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

_LONGEST = 4000  # characters of one text: an Exif block has room for 65 000 bytes
_MOST_BYTES = 2**20
_RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
_DC = "{http://purl.org/dc/elements/1.1/}"
_XMP_EXIF = "{http://ns.adobe.com/exif/1.0/}"
_PREFIXES = {"x": "{adobe:ns:meta/}", "rdf": _RDF, "dc": _DC, "exif": _XMP_EXIF}
_TIME = re.compile(
    r"(\d{4})[:-](\d\d)[:-](\d\d)(?:[T ](\d\d):(\d\d)(?::(\d\d))?(?:\.\d+)?\s*(Z|[+-]\d\d:\d\d)?)?"
)
_IPTC_TEXTS = {120: "description", 80: "author", 116: "copyright"}  # IIM 4.2, record 2

IptcSets = dict[tuple[int, int], list[bytes]]
"""Values by record and number."""


def clean(text: str) -> str:
    """A text without signs that cannot be printed, and of bearable length."""
    kept = "".join(c for c in text if c.isprintable() or c in "\n\t")
    return kept.strip()[:_LONGEST]


def time_of(text: str) -> tuple[str, str]:
    """A point in time as Exif writes it, and its offset from UTC; '' where there is none."""
    match = _TIME.match(text.strip())
    if match is None or match[1] == "0000":
        return "", ""
    year, month, day, hour, minute, second, offset = match.groups()
    if hour is None:
        hour, minute = "00", "00"
    time = f"{year}:{month}:{day} {hour}:{minute}:{second or '00'}"
    return time, {"Z": "+00:00"}.get(offset or "", offset or "")


def texts_of_xmp(packet: bytes) -> dict[str, str]:
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
                value, offset = time_of(value)
                if value and "captured" not in values:
                    values["captured_offset"] = offset
            if name and value.strip():
                values.setdefault(name, clean(value))
    return values


def texts_of_iptc(data: bytes) -> dict[str, str]:
    """IPTC information interchange model 4.2: tag marker 0x1C, record, number, length."""
    sets: IptcSets = {}
    at = 0
    while at + 5 <= len(data) and data[at] == 0x1C:
        length = int.from_bytes(data[at + 3 : at + 5], "big")
        if length & 0x8000:  # an extended length, which no text of these has
            break
        sets.setdefault((data[at + 1], data[at + 2]), []).append(data[at + 5 : at + 5 + length])
        at += 5 + length
    return texts_of_sets(sets)


def texts_of_sets(sets: IptcSets) -> dict[str, str]:
    """The texts among the data sets of that model."""
    unicode = b"\x1b%G" in sets.get((1, 90), [])

    def text(number: int) -> str:
        said = []
        for value in sets.get((2, number), []):
            try:
                said.append(value.decode("utf-8"))
            except UnicodeDecodeError:
                said.append(value.decode("utf-8" if unicode else "latin-1", "replace"))
        return clean("; ".join(said))

    values = {name: text(number) for number, name in _IPTC_TEXTS.items()}
    date, clock = text(55), text(60)
    if re.fullmatch(r"\d{8}", date):
        time = re.match(r"(\d\d)(\d\d)(\d\d)(?:([+-]\d\d)(\d\d))?", clock)
        words = f"{date[:4]}-{date[4:6]}-{date[6:]}"
        if time is not None:
            zone = f"{time[4]}:{time[5]}" if time[4] else ""
            words += f"T{time[1]}:{time[2]}:{time[3]}{zone}"
        values["captured"], values["captured_offset"] = time_of(words)
    return {name: value for name, value in values.items() if value}


def xmp_packet(
    *, author: str, copyright: str, description: str, captured: str, captured_offset: str
) -> bytes:
    """The same texts as XMP (ISO 16684-1), b'' where there are none."""

    root = ET.Element("{adobe:ns:meta/}xmpmeta")
    about = ET.SubElement(
        ET.SubElement(root, f"{_RDF}RDF"), f"{_RDF}Description", {f"{_RDF}about": ""}
    )
    for name, kind, text in (
        ("creator", "Seq", author),
        ("rights", "Alt", copyright),
        ("description", "Alt", description),
    ):
        if text:
            items = ET.SubElement(ET.SubElement(about, f"{_DC}{name}"), f"{_RDF}{kind}")
            item = ET.SubElement(items, f"{_RDF}li")
            item.text = text
            if kind == "Alt":
                item.set("{http://www.w3.org/XML/1998/namespace}lang", "x-default")
    if captured:
        date, _, clock = captured.partition(" ")
        time = f"{date.replace(':', '-')}T{clock}{captured_offset}"
        ET.SubElement(about, f"{_XMP_EXIF}DateTimeOriginal").text = time
    if not len(about):
        return b""
    for prefix, name in _PREFIXES.items():
        ET.register_namespace(prefix, name.strip("{}"))
    begin = ET.ProcessingInstruction("xpacket", 'begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"')
    end = ET.ProcessingInstruction("xpacket", 'end="w"')
    packet = "".join(ET.tostring(part, encoding="unicode") for part in (begin, root, end))
    return packet.encode()
