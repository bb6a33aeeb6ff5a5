"""What goes to the lab beside the pixels, made and read by other libraries."""

from __future__ import annotations

import contextlib
import io
import struct
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tifffile
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, PngImagePlugin, TiffImagePlugin

from proofing.ordering import tags
from proofing.ordering.metadata import Metadata, read_metadata
from proofing.ordering.order_file import Order, PrintSize, write_order
from proofing.ordering.packets import texts_of_iptc, texts_of_xmp, xmp_packet
from proofing.photograph import read_photograph

AUTHOR, RIGHTS, WORDS = "Ilse Möckli", "© 2026 Ilse Möckli, all rights", "Nets drying, slack water"
PLAIN = "Ilse Moeckli", "(c) 2026 Ilse Moeckli"
CODES = np.random.default_rng(6).integers(0, 256, (30, 40, 3)).astype(np.uint8)
RATIONAL = TiffImagePlugin.IFDRational


def camera_exif(orientation: int = 1) -> Image.Exif:
    """What a camera writes: texts, time, place, maker's notes; by Pillow."""
    exif = Image.Exif()
    exif[tags.ARTIST] = AUTHOR.encode()
    exif[tags.COPYRIGHT] = RIGHTS.encode()
    exif[tags.DESCRIPTION] = WORDS
    exif[tags.ORIENTATION] = orientation
    exif[0x010F], exif[0x0110] = "A maker", "A model"
    inner = exif.get_ifd(0x8769)
    inner[tags.CAPTURED] = "2026:10:02 18:04:11"
    inner[tags.OFFSET_OF_CAPTURE] = "+02:00"
    inner[tags.MAKER_NOTE] = b"notes of a maker" * 8
    place = exif.get_ifd(0x8825)
    place[1], place[3] = "N", "E"
    place[2] = (RATIONAL(47), RATIONAL(22), RATIONAL(1234, 100))
    place[4] = (RATIONAL(8), RATIONAL(33), RATIONAL(0))
    return exif


XMP = f"""<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about=""
 xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:exif="http://ns.adobe.com/exif/1.0/"
 exif:DateTimeOriginal="2026-10-02T18:04:11+02:00" exif:GPSLatitude="47,22.2N">
<dc:creator><rdf:Seq><rdf:li>{AUTHOR}</rdf:li></rdf:Seq></dc:creator>
<dc:rights><rdf:Alt><rdf:li xml:lang="x-default">{RIGHTS}</rdf:li></rdf:Alt></dc:rights>
<dc:description><rdf:Alt><rdf:li xml:lang="x-default">{WORDS}</rdf:li></rdf:Alt></dc:description>
</rdf:Description></rdf:RDF></x:xmpmeta><?xpacket end="w"?>""".encode()
"""As ISO 16684-1 has it, written by hand."""


def iptc(number: int, value: bytes, record: int = 2) -> bytes:
    """A data set of IIM 4.2."""
    return struct.pack(">BBBH", 0x1C, record, number, len(value)) + value


IPTC = (
    iptc(90, b"\x1b%G", 1) + iptc(80, AUTHOR.encode()) + iptc(116, RIGHTS.encode())
    + iptc(120, WORDS.encode()) + iptc(55, b"20261002") + iptc(60, b"180411+0200")
)  # fmt: skip


CARRIER = bytes.fromhex("50686f746f73686f7020332e3000")
"""The name of the block of resources in which JPEG carries IPTC."""


def carried(data: bytes) -> bytes:
    """An APP13 segment that holds one resource, 0x0404."""
    body = CARRIER + b"8BIM\x04\x04\0\0" + struct.pack(">I", len(data)) + data
    body += b"\0" * (len(data) % 2)
    return b"\xff\xed" + struct.pack(">H", len(body) + 2) + body


def files(folder: Path) -> dict[str, Path]:
    """One picture in every format and every way to say the same."""
    image = Image.fromarray(CODES)
    png = PngImagePlugin.PngInfo()
    png.add_text("Author", AUTHOR)
    png.add_text("Copyright", RIGHTS)
    png.add_text("Description", WORDS)
    made: dict[str, Path] = {}

    def add(name: str, suffix: str, **options: Any) -> None:
        made[name] = folder / f"{name}{suffix}"
        image.save(made[name], **options)

    add("exif", ".jpg", exif=camera_exif(), quality=100, subsampling=0)
    add("exif-png", ".png", exif=camera_exif())
    add("exif-webp", ".webp", exif=camera_exif(), lossless=True)
    add("xmp", ".jpg", extra=b"\xff\xe1" + struct.pack(">H", len(XMP) + 31)
        + b"http://ns.adobe.com/xap/1.0/\0" + XMP)  # fmt: skip
    add("xmp-webp", ".webp", xmp=XMP)
    add("iptc", ".jpg", extra=carried(IPTC))
    add("texts", ".png", pnginfo=png)
    made["tiff-xmp"] = folder / "tiff-xmp.tif"
    tifffile.imwrite(made["tiff-xmp"], CODES, photometric="rgb", metadata=None, byteorder=">",
                     extratags=[(700, 1, len(XMP), XMP, True)])  # fmt: skip
    made["tiff-iptc"] = folder / "tiff-iptc.tif"
    tifffile.imwrite(made["tiff-iptc"], CODES, photometric="rgb", metadata=None, bigtiff=True,
                     extratags=[(33723, 7, len(IPTC), IPTC, True)])  # fmt: skip
    made["tiff-tags"] = folder / "tiff-tags.tif"
    exif = camera_exif()  # this writer knows no other letters
    exif[tags.ARTIST], exif[tags.COPYRIGHT] = PLAIN
    image.save(made["tiff-tags"], exif=exif.tobytes())
    return made


NAMES = ("exif", "exif-png", "exif-webp", "xmp", "xmp-webp", "iptc", "texts", "tiff-xmp",
         "tiff-iptc", "tiff-tags")  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_every_way_to_say_it_is_read(name: str, tmp_path: Path) -> None:
    """Exif, XMP, IPTC and plain texts, in all four formats and either order of bytes."""
    found = read_metadata(files(tmp_path)[name])
    author, rights = PLAIN if name == "tiff-tags" else (AUTHOR, RIGHTS)
    assert (found.author, found.copyright, found.description) == (author, rights, WORDS)
    if name != "texts":
        assert (found.captured, found.captured_offset) == ("2026:10:02 18:04:11", "+02:00")
    with_place = name.startswith("exif") or name == "tiff-tags"
    assert bool(found.location) == with_place
    assert found.location_told == (with_place or "xmp" in name)
    assert found.has_maker_note == with_place


def tiff_says(path: Path) -> dict[str, Any]:
    """What tifffile, which knows nothing of our writer of directories, finds in a TIFF."""
    with tifffile.TiffFile(path) as tiff:
        page = tiff.pages[0]
        exif, place = page.tags.valueof(34665) or {}, page.tags.valueof(34853) or {}
        return {
            "author": page.tags.valueof(315), "copyright": page.tags.valueof(33432),
            "description": page.tags.valueof(270), "captured": exif.get("DateTimeOriginal"),
            "offset": exif.get("OffsetTimeOriginal"), "place": place,
            "all": {tag.code for tag in page.tags} | set(exif),
        }  # fmt: skip


def jpeg_says(path: Path) -> dict[str, Any]:
    """The same of a JPEG by Pillow."""
    with Image.open(path) as image:
        exif = image.getexif()
        inner, place = exif.get_ifd(0x8769), exif.get_ifd(0x8825)
        decode = dict(exif.items())
        return {
            "author": decode.get(315), "copyright": decode.get(33432),
            "description": decode.get(270), "captured": inner.get(0x9003),
            "offset": inner.get(0x9011), "place": place, "all": set(decode) | set(inner),
        }  # fmt: skip


def same_text(found: object, wanted: str) -> bool:
    """Readers take the bytes of an ASCII tag for UTF-8 or for Latin-1."""
    text = found.decode() if isinstance(found, bytes) else str(found)
    with contextlib.suppress(UnicodeError):
        text = text.encode("latin-1").decode("utf-8")
    return text.rstrip("\0") == wanted


@pytest.mark.parametrize("kind", ["TIFF", "JPEG"])
@pytest.mark.parametrize("name", NAMES)
def test_what_is_kept_is_there_and_what_is_not_is_gone(
    name: str, kind: str, tmp_path: Path
) -> None:
    """By a reader of another library; the place is dropped, and so are makers' notes and turns."""
    photograph = read_photograph(files(tmp_path)[name])
    path = tmp_path / ("out.tif" if kind == "TIFF" else "out.jpg")
    order = Order(PrintSize.default_for(photograph), kind=kind)  # type: ignore[arg-type]
    written = write_order(photograph, order, path)
    said = tiff_says(path) if kind == "TIFF" else jpeg_says(path)
    author, rights = PLAIN if name == "tiff-tags" else (AUTHOR, RIGHTS)
    assert same_text(said["author"], author)
    assert same_text(said["copyright"], rights)
    assert same_text(said["description"], WORDS)
    if name != "texts":
        assert (said["captured"], said["offset"]) == ("2026:10:02 18:04:11", "+02:00")
        assert "capture time" in written.kept
    assert not said["place"]
    assert {"copyright", "author", "description"} <= set(written.kept)
    assert ("location" in written.dropped) == (name.startswith("exif") or "xmp" in name
                                               or name == "tiff-tags")  # fmt: skip
    assert not said["all"] & {0x010F, 0x0110, tags.MAKER_NOTE, "MakerNote", 0x0201}
    assert tags.ORIENTATION not in said["all"] or kind == "TIFF"
    data = path.read_bytes()
    assert b"notes of a maker" not in data
    assert b"GPS" not in data
    again = read_metadata(path)
    assert (again.author, again.copyright, again.description) == (author, rights, WORDS)


@pytest.mark.parametrize("suffix", [".tif", ".jpg"])
def test_the_place_is_kept_where_it_is_wished(suffix: str, tmp_path: Path) -> None:
    """To the last digit, read by tifffile and by Pillow."""
    photograph = read_photograph(files(tmp_path)["exif"])
    path = tmp_path / f"out{suffix}"
    kind = "TIFF" if suffix == ".tif" else "JPEG"
    order = Order(PrintSize.default_for(photograph), kind=kind, keep_location=True)  # type: ignore[arg-type]
    written = write_order(photograph, order, path)
    assert "location" in written.kept
    assert "location" not in written.dropped
    assert "location" in written.sentences[-1]
    with Image.open(path) as image:
        place = image.getexif().get_ifd(0x8825)
    assert place[1] == "N"
    assert tuple(map(float, place[2])) == (47.0, 22.0, 12.34)
    if suffix == ".tif":
        assert tiff_says(path)["place"]["GPSLongitudeRef"] == "E"


@pytest.mark.parametrize("orientation", range(1, 9))
def test_the_turn_is_in_the_pixels(orientation: int, tmp_path: Path) -> None:
    """All eight of Exif: upright as Pillow turns it, and no mark is left to turn it again."""
    from PIL import ImageOps

    source = tmp_path / "turned.png"
    Image.fromarray(CODES).save(source, exif=camera_exif(orientation))
    photograph = read_photograph(source)
    path = tmp_path / "out.tif"
    write_order(photograph, Order(PrintSize.default_for(photograph)), path)
    with Image.open(source) as image:
        upright = ImageOps.exif_transpose(image)
    assert (photograph.codes == np.asarray(upright)).all()
    with tifffile.TiffFile(path) as tiff:
        assert tiff.pages[0].tags.valueof(274, 1) == 1
        assert tiff.pages[0].shape[:2] == upright.size[::-1]


def test_a_thumbnail_is_left_out_and_told(tmp_path: Path) -> None:
    """It would show the picture as it was."""
    small = io.BytesIO()
    Image.fromarray(CODES[:8, :8]).save(small, "JPEG")
    first = tags.directory_bytes({tags.ARTIST: tags.text_tag(AUTHOR)}, 8)
    at = 8 + len(first)
    tail = tags.directory_bytes(
        {
            0x0201: tags.Tag(tags.LONG, struct.pack("<I", at + 30)),
            0x0202: tags.Tag(tags.LONG, struct.pack("<I", len(small.getvalue()))),
        },
        at,
    )
    linked = first[:14] + struct.pack("<I", at) + first[18:]
    block = b"Exif\0\0II*\0\x08\0\0\0" + linked + tail + small.getvalue()
    source = tmp_path / "with.jpg"
    Image.fromarray(CODES).save(source, exif=block)
    photograph = read_photograph(source)
    order = Order(PrintSize.default_for(photograph), kind="JPEG")
    written = write_order(photograph, order, tmp_path / "out.jpg")
    assert written.dropped == ("thumbnail",)
    assert written.kept == ("author",)
    assert (tmp_path / "out.jpg").read_bytes().count(b"\xff\xd8\xff") == 1


def test_a_picture_without_a_file_says_nothing() -> None:
    """And the sentence says that."""
    found = read_metadata(None)
    assert found == Metadata()
    assert "nothing of author" in found.sentence(keep_location=False)


def test_xmp_is_written_so_that_it_is_read() -> None:
    """Signs of markup, and all letters."""
    words = {"author": 'A & B <"c">', "copyright": "© Ü 写真", "description": "two\nlines"}
    packet = xmp_packet(**words, captured="2026:10:02 18:04:11", captured_offset="-03:30")
    found = texts_of_xmp(packet)
    assert found.pop("captured") == "2026:10:02 18:04:11"
    assert found.pop("captured_offset") == "-03:30"
    assert found == words
    nothing = dict.fromkeys(("author", "copyright", "description", "captured"), "")
    assert xmp_packet(**nothing, captured_offset="") == b""
    assert texts_of_xmp(b"<!DOCTYPE a [<!ENTITY b 'c'>]>" + packet) == {}


def test_old_letters_of_iptc() -> None:
    """Without the mark of UTF-8, what is no UTF-8 is Latin-1."""
    assert texts_of_iptc(iptc(80, "Möckli".encode("latin-1"))) == {"author": "Möckli"}
    assert texts_of_iptc(iptc(55, b"20261002"))["captured"] == "2026:10:02 00:00:00"


@given(st.binary(max_size=300))
@settings(max_examples=150)
def test_any_bytes_are_read_in_silence(data: bytes) -> None:
    """Damage of any kind is as if nothing were there; no warning, no error."""
    for head in (b"II*\0\x08\0\0\0", b"MM\0*\0\0\0\x08", b"II+\0\x08\0\0\0\x10\0\0\0\0\0\0\0", b""):
        tags.read_directories(io.BytesIO(head + data))
    texts_of_xmp(data)
    texts_of_xmp(XMP[: len(data)] + data)
    texts_of_iptc(b"\x1c\x02" + data)


@given(st.integers(8, len(XMP)), st.binary(max_size=20))
@settings(max_examples=30)
def test_a_damaged_exif_block_does_not_keep_a_picture_from_the_lab(at: int, data: bytes) -> None:
    """Cut, or overwritten in places."""
    block = bytearray(camera_exif().tobytes().removeprefix(b"Exif\0\0"))
    at %= len(block)
    block[at : at + len(data)] = data
    found = tags.read_directories(io.BytesIO(bytes(block)))
    assert tags.read_directories(io.BytesIO(bytes(block[:at]))) is not None
    for directory in (found.main, found.exif, found.location):
        for tag in directory.values():
            assert tag.count >= 1
