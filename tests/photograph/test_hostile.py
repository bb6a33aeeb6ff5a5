"""Damaged and hostile files: a photograph or a PhotographError, never anything else."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from proofing.errors import PhotographError, UnreadableFile, UnsupportedPicture
from proofing.photograph import Photograph, read_photograph
from proofing.photograph.icc import srgb_profile
from tests.photograph.making import exif_block, pillow_file, png, ramp, tiff_file

_SMALL = Image.fromarray(ramp(3, "uint8"))
_PROFILE = srgb_profile().data
_EXIF = exif_block(6, 1, b"R98", ppi=300)

FILES: dict[str, bytes] = {
    "jpeg": pillow_file(_SMALL, "JPEG", icc_profile=_PROFILE, exif=_EXIF),
    "progressive jpeg": pillow_file(_SMALL, "JPEG", progressive=True),
    "cmyk jpeg": pillow_file(Image.fromarray(ramp(4, "uint8"), "CMYK"), "JPEG"),
    "png": pillow_file(_SMALL, "PNG", icc_profile=_PROFILE, exif=_EXIF),
    "png 16": png(ramp(4, "uint16"), 6, chunks={b"gAMA": struct.pack(">I", 45455)}),
    "png palette": pillow_file(_SMALL.quantize(16), "PNG"),
    "webp": pillow_file(_SMALL, "WebP", quality=70, icc_profile=_PROFILE, exif=_EXIF),
    "webp alpha": pillow_file(Image.fromarray(ramp(4, "uint8")), "WebP", lossless=True),
    "tiff": tiff_file(ramp(3, "uint16"), photometric="rgb", iccprofile=_PROFILE),
    "tiff lzw": tiff_file(ramp(3, "uint8"), photometric="rgb", compression="lzw", predictor=True),
    "tiff deflate": tiff_file(
        ramp(3, "uint8"), photometric="rgb", compression="zlib", tile=(16, 16)
    ),
    "tiff packbits": tiff_file(ramp(1, "uint8")[..., 0], compression="packbits", rowsperstrip=4),
    "tiff float": tiff_file(ramp(3, "float32"), photometric="rgb", compression="zlib"),
    "tiff jpeg": pillow_file(_SMALL, "TIFF", compression="jpeg"),
    "tiff bilevel": pillow_file(_SMALL.convert("1"), "TIFF", compression="packbits"),
    "tiff palette": pillow_file(_SMALL.quantize(16), "TIFF", compression="tiff_lzw"),
    "tiff lab": tiff_file(ramp(3, "uint16"), photometric="icclab"),
    "big tiff": tiff_file(ramp(3, "uint8"), photometric="rgb", bigtiff=True),
}


def _read(path: Path, data: bytes) -> Photograph | None:
    path.write_bytes(data)
    try:
        return read_photograph(path)
    except PhotographError as error:
        assert error.path == path
        assert ";" in str(error), "the text must say what to do"
        return None


@pytest.mark.parametrize("name", FILES)
def test_the_files_are_good_to_begin_with(name: str, tmp_path: Path) -> None:
    """Otherwise nothing below would mean anything."""
    photograph = _read(tmp_path / name, FILES[name])
    assert photograph is not None and photograph.width * photograph.height == 21 * 34


@pytest.mark.parametrize("name", FILES)
def test_cut_short(name: str, tmp_path: Path) -> None:
    """Half of a file is refused; any other cut is read or refused, and nothing escapes."""
    data = FILES[name]
    assert _read(tmp_path / "half", data[: len(data) // 2]) is None
    for length in np.unique(np.geomspace(1, len(data) - 1, 40).astype(int)):
        _read(tmp_path / "cut", data[:length])


def _damaged(data: bytes, seed: int) -> Iterator[bytes]:
    rng = np.random.default_rng(seed)
    for round_number in range(120):
        damaged = bytearray(data)
        # half of the rounds spare the picture data and go for the head, where decisions are made
        reach = len(data) if round_number % 2 else min(len(data), 300)
        for place in rng.integers(0, reach, int(rng.integers(1, 5))):
            if rng.random() < 0.5:
                damaged[place] ^= 1 << int(rng.integers(0, 8))
            else:
                damaged[place] = int(rng.choice([0, 1, 127, 128, 255]))
        yield bytes(damaged)


@pytest.mark.parametrize("name", FILES)
def test_bits_turned_over(name: str, tmp_path: Path) -> None:
    """Seeded damage: what comes out is a whole photograph or one of our errors."""
    for data in _damaged(FILES[name], len(name)):
        photograph = _read(tmp_path / "damaged", data)
        if photograph is not None:
            assert photograph.codes.ndim == 3 and photograph.codes.shape[2] == 3
            if photograph.facts.is_float:
                assert np.isfinite(photograph.codes).all()


def _patched_tiff(data: bytes, tag: int, value: int) -> bytes:
    """The value of one entry in the first directory, little endian (TIFF 6.0, section 2)."""
    out = bytearray(data)
    (at,) = struct.unpack("<I", data[4:8])
    for index in range(struct.unpack("<H", data[at : at + 2])[0]):
        place = at + 2 + 12 * index
        if struct.unpack("<H", data[place : place + 2])[0] == tag:
            out[place + 8 : place + 12] = struct.pack("<I", value)
            return bytes(out)
    raise AssertionError(f"no tag {tag}")


@pytest.mark.parametrize(
    ("name", "tag", "value"),
    [
        ("tiff", 256, 0x7FFFFFFF),
        ("tiff", 257, 0x7FFFFFFF),
        ("tiff deflate", 322, 0x7FFFFFF0),
        ("tiff deflate", 323, 0x7FFFFFF0),
        ("tiff", 273, 0x7FFFFFF0),
        ("tiff", 279, 0x7FFFFFF0),
        ("tiff", 277, 0xFFFF),
        ("tiff lzw", 257, 20000),
    ],
)
def test_tiff_headers_that_lie(name: str, tag: int, value: int, tmp_path: Path) -> None:
    """Sizes, tiles and places far beyond the file are refused before memory is asked for."""
    assert _read(tmp_path / "lie", _patched_tiff(FILES[name], tag, value)) is None


def test_a_jpeg_strip_larger_than_its_page(tmp_path: Path) -> None:
    """The frame header inside a strip (ITU-T T.81, B.2.2) claims 60000 x 60000 pixels."""
    data = FILES["tiff jpeg"]
    at = data.index(b"\xff\xc0") + 5
    lie = data[:at] + struct.pack(">HH", 60000, 60000) + data[at + 4 :]
    assert _read(tmp_path / "lie", lie) is None


def test_a_jpeg_that_claims_too_much(tmp_path: Path) -> None:
    """Refused by its header."""
    data = FILES["jpeg"]
    at = data.index(b"\xff\xc0") + 5
    path = tmp_path / "lie"
    path.write_bytes(data[:at] + struct.pack(">HH", 60000, 60000) + data[at + 4 :])
    with pytest.raises(UnsupportedPicture, match="60000 x 60000 pixels, more than 400 megapixels"):
        read_photograph(path)


def test_directories_that_run_in_a_circle(tmp_path: Path) -> None:
    """A TIFF whose next directory is itself, flagged as a thumbnail so that the search goes on."""
    data = tiff_file(ramp(3, "uint8"), photometric="rgb", subfiletype=1)
    (at,) = struct.unpack("<I", data[4:8])
    (count,) = struct.unpack("<H", data[at : at + 2])
    end = at + 2 + 12 * count
    _read(tmp_path / "circle", data[:end] + struct.pack("<I", at) + data[end + 4 :])


@pytest.mark.parametrize(
    "head",
    [b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"II*\0", b"MM\0*", b"II+\0", b"RIFF\0\0\0\0WEBP"],
)
def test_heads_without_bodies(head: bytes, tmp_path: Path) -> None:
    """The first bytes of a format, followed by nothing, zeros or noise."""
    noise = np.random.default_rng(30).integers(0, 256, 500).astype(np.uint8).tobytes()
    for tail in (b"", b"\0" * 500, b"\xff" * 500, noise):
        path = tmp_path / "head"
        path.write_bytes(head + tail)
        with pytest.raises(PhotographError):
            read_photograph(path)


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Permissions: the text says so."""

    def denied(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", denied)
    with pytest.raises(UnreadableFile, match="may not be read; change its permissions"):
        read_photograph(tmp_path / "locked.tif")
