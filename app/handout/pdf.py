"""The PDF: pages by the toolkit's writer, and an update that tells their language.

The writer makes PDF/A-1b (ISO 19005-1), which carries the output intent. Two things it cannot:
it names no language, and it says that the glyph of the space stands for a tab (Qt 6.11, whose
fonts map the tab to that glyph first), so that copied words came with tabs between them. Both are
put right by an incremental update (ISO 32000-1, 7.5.6): objects of the same number are appended
with a cross-reference section of their own, and the bytes of the writer stay as they are.
"""

from __future__ import annotations

import re
import zlib

from proofing.errors import OutputError
from proofing.language import tr

_TAB_FOR_SPACE = re.compile(rb"<0009>")


def finished(data: bytes, language: str) -> bytes:
    """A PDF of the toolkit with its language told and its spaces as spaces.

    Parameters
    ----------
    data
        As the writer made it.
    language
        A tag of BCP 47, such as ``en`` or ``de-CH``.

    Raises
    ------
    OutputError
        The file is not built as this version of the toolkit builds it.
    """
    trailer = re.search(rb"trailer\s*<<(.*?)>>\s*startxref\s+(\d+)\s+%%EOF\s*$", data, re.DOTALL)
    root = re.search(rb"/Root (\d+) 0 R", trailer[1]) if trailer else None
    size = re.search(rb"/Size (\d+)", trailer[1]) if trailer else None
    if trailer is None or root is None or size is None:
        raise OutputError(tr("the PDF that was made cannot be finished; write a PNG instead"))
    offsets = _offsets(data, int(trailer[2]))
    number = int(root[1])
    catalog = _body(data, offsets[number])
    tagged = catalog.rstrip()[: -len(b">>")] + b"/Lang (%s)\n" % language.encode("ascii")
    tagged += b"/ViewerPreferences << /DisplayDocTitle true >>\n>>"
    changed = {number: tagged, **_mapped(data, offsets)}
    made = bytearray(data if data.endswith(b"\n") else data + b"\n")
    places = {}
    for each, body in sorted(changed.items()):
        places[each] = len(made)
        made += b"%d 0 obj\n%s\nendobj\n" % (each, body)
    start = len(made)
    made += b"xref\n"
    for each, place in sorted(places.items()):
        made += b"%d 1\n%010d 00000 n \n" % (each, place)
    made += b"trailer\n<<%s/Prev %s\n>>\nstartxref\n%d\n%%%%EOF\n" % (
        trailer[1], trailer[2], start,
    )  # fmt: skip
    return bytes(made)


def _offsets(data: bytes, start: int) -> dict[int, int]:
    """Where each object begins, from a cross-reference table of one section."""
    found = {}
    head = re.compile(rb"xref\s+(\d+) (\d+)\s+").match(data, start)
    if head is None:
        raise OutputError(tr("the PDF that was made cannot be finished; write a PNG instead"))
    at = head.end()
    for number in range(int(head[1]), int(head[1]) + int(head[2])):
        entry = data[at : at + 20]
        if entry[17:18] == b"n":
            found[number] = int(entry[:10])
        at += 20
    return found


def _body(data: bytes, offset: int) -> bytes:
    """What stands between ``obj`` and ``endobj``; of an object without a stream."""
    start = data.index(b"obj", offset) + len(b"obj")
    return data[start : data.index(b"endobj", start)].strip()


def _mapped(data: bytes, offsets: dict[int, int]) -> dict[int, bytes]:
    """The maps from glyphs to characters, in which a space is a space."""
    found = {}
    for offset in offsets.values():
        head = data[offset : offset + 600].partition(b"endobj")[0]
        named = re.search(rb"/ToUnicode (\d+) 0 R", head)
        if named is None:
            continue
        number = int(named[1])
        text = _inflated(data, offsets, number)
        found[number] = _stream(_TAB_FOR_SPACE.sub(b"<0020>", text))
    return found


def _inflated(data: bytes, offsets: dict[int, int], number: int) -> bytes:
    start = data.index(b"stream", offsets[number]) + len(b"stream")
    start += 2 if data[start : start + 2] == b"\r\n" else 1
    if b"/FlateDecode" not in data[offsets[number] : start]:  # a short one is left as it is
        return data[start : data.index(b"endstream", start)]
    return zlib.decompressobj().decompress(data[start:])


def _stream(text: bytes) -> bytes:
    packed = zlib.compress(text, 9)
    return b"<<\n/Length %d\n/Filter /FlateDecode\n>>\nstream\n%s\nendstream" % (
        len(packed), packed,
    )  # fmt: skip
