"""TIFF files to pixels."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import IO, Any

import numpy as np
import numpy.typing as npt

from proofing.errors import UnreadableFile
from proofing.language import tr
from proofing.photograph import icc
from proofing.photograph.decoded import (
    LARGEST_PICTURE_MP,
    PROMISED,
    Decoded,
    Pixels,
    check_size,
    declare_by_exif,
    finish,
    ppi_of_tags,
    refuse,
    upright,
)
from proofing.photograph.exif import read_exif
from proofing.photograph.facts import Mode, top_code

logging.getLogger("tifffile").addHandler(logging.NullHandler())  # what it reports, we raise

_COMPRESSIONS = {1, 5, 7, 8, 32773, 32946}  # none, LZW, JPEG, Deflate, PackBits, old Deflate
_GREY_INVERTED, _GREY, _RGB, _PALETTE, _SEPARATED, _YCBCR, _CIELAB, _ICCLAB = 0, 1, 2, 3, 5, 6, 8, 9
_INK_SETS = (None, 1)  # CMYK; 2 is anything else
_NUMBERS = {1: "unsigned", 2: "signed", 3: "float", 4: "unsigned"}  # TIFF 6.0, section 19
_LONGEST_PAGE_SEARCH = 32


def read_tiff(file: IO[bytes], path: Path) -> Decoded:
    import tifffile

    with tifffile.TiffFile(file, name=path.name) as tiff:
        page, others = _first_full_page(tiff, path)
        kind, count = _kind_of_page(page, path)
        _check_segments(tiff, page, path)
        samples = page.asarray(maxworkers=2)
        tags = page.tags
        profile = tags.valueof(34675)
        resolution = (tags.valueof(282), tags.valueof(283), tags.valueof(296, 2))
        orientation = tags.valueof(274)
        palette = page.colormap
        extra = tuple(page.extrasamples or ())
        planar = page.planarconfig == 2 and page.samplesperpixel > 1
        bits = int(page.bitspersample)
        exif = read_exif(file)

    samples = np.moveaxis(samples, 0, -1) if planar else samples
    samples = samples.reshape(*samples.shape[:2], -1)
    notes = [tr("The file holds several pictures; the first full one is shown.")] if others else []
    alpha, premultiplied = None, False
    if samples.shape[2] > count:
        for place, meaning in enumerate(extra, start=count):
            if meaning in (1, 2) and place < samples.shape[2]:
                alpha = _to_codes(samples[..., place], bits)
                premultiplied = meaning == 1
                break
        if samples.shape[2] - count > (alpha is not None):
            notes.append(tr("Extra channels of no stated meaning are left out."))
        samples = samples[..., :count]
    if kind == _PALETTE:
        samples, bits = _from_palette(samples[..., 0], palette), 8
    elif kind in (_CIELAB, _ICCLAB):
        samples = _Lab_codes(samples, kind, bits)
    else:
        samples = _to_codes(samples, bits)
        if kind == _GREY_INVERTED:
            top = samples.dtype.type(top_code(samples.dtype))
            samples = top - samples
    mode: Mode = {
        _GREY_INVERTED: "grey", _GREY: "grey", _PALETTE: "palette", _SEPARATED: "CMYK",
        _CIELAB: "Lab", _ICCLAB: "Lab",
    }.get(kind, "RGB")  # type: ignore[assignment]  # fmt: skip
    decoded = Decoded(np.ascontiguousarray(samples), mode, bits_in_file=bits, notes=notes)
    if isinstance(profile, bytes) and profile:
        decoded.profile_data = profile
    elif profile is not None:
        decoded.profile_damaged = True
    decoded.ppi = ppi_of_tags(_rational(resolution[0]), _rational(resolution[1]), resolution[2])
    declare_by_exif(decoded, exif)
    return finish(decoded, orientation, alpha, premultiplied=premultiplied)


def outline_of_tiff(file: IO[bytes], path: Path) -> tuple[int, int]:
    """Width and height, upright, without a look at the pixels."""
    import tifffile

    with tifffile.TiffFile(file, name=path.name) as tiff:
        page, _ = _first_full_page(tiff, path)
        _kind_of_page(page, path)
        width, height = int(page.imagewidth), int(page.imagelength)
        return upright(width, height, page.tags.valueof(274))


def _rational(value: object) -> float | None:
    if isinstance(value, tuple) and len(value) == 2 and value[1]:
        return float(value[0]) / float(value[1])
    return float(value) if isinstance(value, (int, float)) else None


def _first_full_page(tiff: Any, path: Path) -> tuple[Any, bool]:
    """The first page that is no thumbnail and no mask, and whether another one follows."""
    full: list[Any] = []
    for index in range(_LONGEST_PAGE_SEARCH):
        try:
            page = tiff.pages[index]
        except IndexError:
            break
        if 50706 in page.tags or page.photometric in (32803, 34892):  # DNG version, sensor data
            raise refuse(
                path,
                tr("holds sensor data of a camera"),
                tr("develop it to {promised}", promised=tr(PROMISED)),
            )
        if not int(page.subfiletype or 0) & 0b101:
            full.append(page)
        if len(full) == 2:
            break
    if full:
        return full[0], len(full) > 1
    try:
        return tiff.pages[0], False
    except IndexError as error:
        raise UnreadableFile(
            tr(
                "{path} holds no picture, or is cut short; copy it again from where it came, or "
                "export it again",
                path=path.name,
            ),
            path,
        ) from error


def _kind_of_page(page: Any, path: Path) -> tuple[int, int]:
    """Photometric kind and the number of colour channels, if all of it is promised."""
    if any(not isinstance(v, int) for v in (page.imagewidth, page.imagelength, page.imagedepth)):
        raise UnreadableFile(
            tr("{path} has a damaged header; export it again", path=path.name), path
        )
    check_size(path, page.imagewidth, page.imagelength)
    if page.imagedepth != 1:
        raise refuse(path, tr("is a volume, not a picture"), tr("save one layer of it"))
    if page.compression not in _COMPRESSIONS:
        raise refuse(
            path,
            tr(
                "is compressed in a way that is not read (code {compression})",
                compression=int(page.compression),
            ),
            tr("save it uncompressed or with LZW, Deflate, PackBits or JPEG"),
        )
    photometric = int(page.photometric)
    if 262 not in page.tags:  # the tag is required; zero is black where it is missing
        photometric = _RGB if page.samplesperpixel >= 3 else _GREY
    count = {
        _GREY_INVERTED: 1, _GREY: 1, _RGB: 3, _PALETTE: 1, _SEPARATED: 4, _YCBCR: 3,
        _CIELAB: 3, _ICCLAB: 3,
    }.get(photometric)  # fmt: skip
    if photometric == _YCBCR and page.compression != 7:
        count = None
    if photometric in (_CIELAB, _ICCLAB) and page.compression == 7:
        count = None
    if photometric == _SEPARATED and page.tags.valueof(332) not in _INK_SETS:
        count = None
    if count is None:
        raise refuse(
            path,
            tr(
                "holds colours of a kind that is not read (code {photometric})",
                photometric=photometric,
            ),
            tr("save it as RGB, grey, CMYK or Lab"),
        )
    if page.samplesperpixel < count:
        raise UnreadableFile(
            tr("{path} has too few channels; export it again", path=path.name), path
        )
    if page.samplesperpixel > 16:
        raise refuse(
            path,
            tr("has {samplesperpixel} channels", samplesperpixel=page.samplesperpixel),
            tr("save it without the extra ones"),
        )
    bits, numbers = page.bitspersample, int(page.sampleformat)
    good = isinstance(bits, int) and (
        (numbers in (1, 4) and 1 <= bits <= 16)
        or (numbers == 3 and bits in (16, 24, 32, 64) and photometric != _PALETTE)
        or (numbers == 2 and bits in (8, 16) and photometric == _CIELAB)
    )
    if not good:
        kind = _NUMBERS.get(numbers, "other")
        raise refuse(
            path,
            tr("has numbers of a kind that is not read ({kind}, {bits} bit)", kind=kind, bits=bits),
            tr("save it with 8 or 16 bit, or as floats"),
        )
    return photometric, count


def _check_segments(tiff: Any, page: Any, path: Path) -> None:
    """Refuse what is missing, or what would unpack to far more than the page."""
    cut = UnreadableFile(tr("{path} is cut short; copy or export it again", path=path.name), path)
    limit = LARGEST_PICTURE_MP * 1_000_000
    across, down = page.imagewidth, page.imagelength
    if page.is_tiled:
        across, down = page.tilewidth, page.tilelength
        if not (isinstance(across, int) and isinstance(down, int) and across > 0 and down > 0):
            raise cut
        if across * down > limit:
            raise refuse(path, tr("has tiles of more pixels than can be read"), tr("save it again"))
    elif isinstance(page.rowsperstrip, int) and page.rowsperstrip > 0:
        down = min(down, page.rowsperstrip)
    expected = -(-page.imagewidth // across) * -(-page.imagelength // down)
    if page.planarconfig == 2:
        expected *= page.samplesperpixel
    offsets, counts = page.dataoffsets, page.databytecounts
    if len(offsets) < expected or len(counts) < expected:
        raise cut
    size = tiff.filehandle.size
    for offset, count in zip(offsets[:expected], counts[:expected], strict=True):
        if offset <= 0 or count <= 0 or offset + count > size:
            raise cut
        if page.compression == 7:
            tiff.filehandle.seek(offset)
            inner = _jpeg_size(tiff.filehandle.read(count))
            if inner is not None and inner[0] * inner[1] > 2 * max(across * down, 64 * 64):
                raise UnreadableFile(tr("{path} is damaged; export it again", path=path.name), path)


def _jpeg_size(data: bytes) -> tuple[int, int] | None:
    """Width and height in a JPEG frame header (ITU-T T.81, B.2.2)."""
    at = 2
    while at + 9 <= len(data):
        if data[at] != 0xFF:
            return None
        marker = data[at + 1]
        if marker == 0xFF:
            at += 1
            continue
        if 0xC0 <= marker <= 0xCF and marker not in (0xC4, 0xC8, 0xCC):
            height, width = data[at + 5 : at + 7], data[at + 7 : at + 9]
            return int.from_bytes(width, "big"), int.from_bytes(height, "big")
        at += 2 + int.from_bytes(data[at + 2 : at + 4], "big")
    return None


def _to_codes(samples: Pixels, bits: int) -> Pixels:
    """Full-scale uint8 or uint16, or float32."""
    if samples.dtype.kind == "f":
        with np.errstate(over="ignore"):
            return samples.astype(np.float32)
    if samples.dtype == np.bool_:
        samples = samples.view(np.uint8)
    if bits in (8, 16):
        return samples
    wide = np.dtype(np.uint8 if bits < 8 else np.uint16)
    table: Pixels = np.rint(np.arange(2**bits) * (top_code(wide) / (2**bits - 1))).astype(wide)
    scaled: Pixels = table[np.minimum(samples, 2**bits - 1)]
    return scaled


def _from_palette(indices: Pixels, palette: Any) -> Pixels:
    """8-bit RGB; the entries of a TIFF palette have 16 bit (TIFF 6.0, section 5)."""
    table = np.asarray(palette)
    if table.ndim != 2 or table.shape[0] != 3 or indices.dtype.kind not in "ub":
        raise ValueError(tr("damaged palette"))
    if table.max(initial=0) > 255:
        table = table >> 8
    table = table.astype(np.uint8).T
    return np.ascontiguousarray(table[np.minimum(indices, len(table) - 1)])


def _Lab_codes(samples: Pixels, kind: int, bits: int) -> npt.NDArray[np.uint16]:
    """The 16-bit ICC encoding of the ways TIFF has to write Lab.

    CIELab (TIFF 6.0, section 23): L* of full scale, a* and b* signed, in 16 bit times 256.
    ICCLab (Adobe's TIFF technical notes, 2002): all unsigned, in 16 bit with 0xFF00 for full
    scale, as version 2 profiles have it.
    """
    if samples.dtype.kind == "f":
        fractions = np.clip(np.nan_to_num(icc.encode_Lab(samples)), 0.0, 1.0)
        encoded: npt.NDArray[np.uint16] = np.rint(fractions * 65535.0).astype(np.uint16)
        return encoded
    if bits not in (8, 16):
        raise ValueError(tr("Lab of {bits} bit", bits=bits))
    if bits == 8:
        small = samples.view(np.uint8).copy()
        if kind == _CIELAB:
            small[..., 1:] ^= 0x80  # signed to offset
        return small.astype(np.uint16) * np.uint16(257)
    codes = samples.view(np.uint16).copy()
    if kind == _CIELAB:
        codes[..., 1:] ^= 0x8000
    table = np.minimum(np.rint(np.arange(65536) * (65535.0 / 65280.0)), 65535.0).astype(np.uint16)
    first = 0 if kind == _ICCLAB else 1
    codes[..., first:] = table[codes[..., first:]]
    return codes
