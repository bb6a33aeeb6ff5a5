"""Reading back what other writers wrote, in every combination that is promised.

The writers are Pillow, tifffile with imagecodecs, and PNG put together by hand after
ISO/IEC 15948; where a reader of ours is built on the writer's own library, another library or
the bytes themselves are the second source.
"""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image, ImageCms

from proofing.errors import UnreadableFile, UnsupportedPicture
from proofing.photograph import icc
from proofing.photograph.decoded import Decoded
from proofing.photograph.reading import read_pixels
from tests.photograph.making import exif_block, pillow_file, png, ramp, tiff_file


@pytest.fixture
def read(tmp_path: Path) -> Any:
    """Read the bytes of a file, under a name that says nothing."""

    def read_bytes(data: bytes) -> Decoded:
        path = tmp_path / "picture.bin"
        path.write_bytes(data)
        return read_pixels(path)

    return read_bytes


# ---- PNG: made by hand, so that neither decoder is its own judge -----------------------------


@pytest.mark.parametrize("dtype", ["uint8", "uint16"])
@pytest.mark.parametrize(
    ("colour_type", "channels", "mode"),
    [(0, 1, "grey"), (2, 3, "RGB"), (4, 2, "grey"), (6, 4, "RGB")],
)
def test_png_keeps_every_code(
    read: Any, dtype: str, colour_type: int, channels: int, mode: str
) -> None:
    """8 and 16 bit, grey and RGB, with and without alpha: the codes of the file, all bits."""
    codes = ramp(channels, dtype)
    decoded = read(png(codes, colour_type))
    colours = channels - (channels % 2 == 0)
    assert decoded.mode == mode
    assert decoded.pixels.dtype == dtype
    assert np.array_equal(codes[..., :colours], decoded.pixels)
    if channels % 2:
        assert decoded.alpha is None
    else:
        alpha = codes[..., -1].astype(float) / np.iinfo(dtype).max
        assert np.abs(alpha * 255 - decoded.alpha).max() <= 0.5


@pytest.mark.parametrize("bits", [1, 2, 4])
def test_png_of_few_bits_is_spread_over_eight(read: Any, bits: int) -> None:
    """ISO/IEC 15948, 13.12: full scale is full scale."""
    codes = np.random.default_rng(bits).integers(0, 2**bits, (9, 16, 1)).astype(np.uint8)
    decoded = read(png(codes, 0, bits=bits))
    assert decoded.mode == "grey" and decoded.bits_in_file == bits
    assert np.array_equal(codes * (255 // (2**bits - 1)), decoded.pixels)


def test_png_palette_becomes_rgb(read: Any) -> None:
    """Entries of PLTE by index, alpha from tRNS."""
    palette = np.random.default_rng(8).integers(0, 256, (16, 3)).astype(np.uint8)
    codes = np.random.default_rng(9).integers(0, 16, (9, 16, 1)).astype(np.uint8)
    chunks = {b"PLTE": palette.tobytes(), b"tRNS": bytes([0, 255, 77])}
    decoded = read(png(codes, 3, bits=4, chunks=chunks))
    assert decoded.mode == "palette"
    assert np.array_equal(palette[codes[..., 0]], decoded.pixels)
    opacity = np.array([0, 255, 77] + [255] * 13)
    assert np.array_equal(opacity[codes[..., 0]], decoded.alpha)


@pytest.mark.parametrize("dtype", ["uint8", "uint16"])
@pytest.mark.parametrize(("colour_type", "channels"), [(0, 1), (2, 3)])
def test_png_transparent_colour(read: Any, dtype: str, colour_type: int, channels: int) -> None:
    """tRNS for grey and RGB: the one colour named is wholly transparent."""
    codes = ramp(channels, dtype)
    key = codes[3, 4].astype(">u2").tobytes()
    decoded = read(png(codes, colour_type, chunks={b"tRNS": key}))
    assert np.array_equal(codes, decoded.pixels)
    same = (codes == codes[3, 4]).all(axis=-1)
    assert np.array_equal(np.where(same, 0, 255), decoded.alpha)


@pytest.mark.parametrize("dtype", ["uint8", "uint16"])
def test_interlaced_png(read: Any, dtype: str) -> None:
    """The seven passes of ISO/IEC 15948, 8.2, laid by hand."""
    codes = ramp(3, dtype)
    assert np.array_equal(codes, read(png(codes, 2, interlaced=True)).pixels)


@pytest.mark.parametrize(
    ("unit", "per_metre", "expected"), [(1, 11811, 299.999), (0, 11811, None), (1, 0, None)]
)
def test_png_ppi(read: Any, unit: int, per_metre: int, expected: float | None) -> None:
    """pHYs: unit 1 is the metre, 0 only says the shape of a pixel. 11811 / 39.3701 = 300."""
    phys = struct.pack(">IIB", per_metre, per_metre, unit)
    decoded = read(png(ramp(3, "uint8"), 2, chunks={b"pHYs": phys}))
    assert decoded.ppi == (None if expected is None else pytest.approx(expected, abs=0.01))


def test_png_srgb_chunk_is_honoured(read: Any) -> None:
    """The sRGB chunk outranks gAMA (ISO/IEC 15948, 13.13)."""
    chunks = {b"sRGB": b"\0", b"gAMA": struct.pack(">I", 100000)}
    decoded = read(png(ramp(3, "uint8"), 2, chunks=chunks))
    assert decoded.declared == icc.srgb_profile()


def test_png_gamma_and_primaries_are_honoured(read: Any) -> None:
    """gAMA 1.0 with the primaries of BT.2020 is linear light on these primaries."""
    values = (0.3127, 0.3290, 0.708, 0.292, 0.170, 0.797, 0.131, 0.046)
    chunks = {
        b"gAMA": struct.pack(">I", 100000),
        b"cHRM": struct.pack(">8I", *(round(v * 100000) for v in values)),
    }
    declared = read(png(ramp(3, "uint8"), 2, chunks=chunks)).declared
    XYZ = icc.device_to_XYZ(declared, [[0.0, 0.5, 0.0]], "relative")
    assert np.allclose(0.5 * icc.BT_2020.colorants_XYZ[1], XYZ, atol=2e-4)


def test_png_gamma_of_srgb_means_srgb(read: Any) -> None:
    """gAMA 0.45455 alone, or with the primaries of sRGB (ISO/IEC 15948, table of equivalents)."""
    decoded = read(png(ramp(3, "uint8"), 2, chunks={b"gAMA": struct.pack(">I", 45455)}))
    assert decoded.declared == icc.srgb_profile()


def test_png_senseless_gamma_is_said(read: Any) -> None:
    """A degenerate white cannot be used; the picture is read all the same."""
    chunks = {b"gAMA": struct.pack(">I", 50000), b"cHRM": struct.pack(">8I", *[0] * 8)}
    decoded = read(png(ramp(3, "uint8"), 2, chunks=chunks))
    assert decoded.declared is None
    assert "make no sense" in " ".join(decoded.notes)


# ---- JPEG -------------------------------------------------------------------------------


@pytest.mark.parametrize(("channels", "mode"), [(1, "grey"), (3, "RGB")])
@pytest.mark.parametrize("progressive", [False, True])
def test_jpeg_against_another_decoder(
    read: Any, channels: int, mode: str, progressive: bool
) -> None:
    """The same file through imagecodecs' build of the JPEG library: at most 1 code apart."""
    import imagecodecs

    smooth = np.asarray(Image.fromarray(ramp(3, "uint8", 5, 7)).resize((70, 50)))
    image = Image.fromarray(smooth if channels == 3 else smooth[..., 0])
    data = pillow_file(image, "JPEG", quality=95, progressive=progressive)
    decoded = read(data)
    other = imagecodecs.jpeg8_decode(data).reshape(50, 70, channels).astype(int)
    assert decoded.mode == mode
    assert np.abs(other - decoded.pixels).max() <= 1


def test_cmyk_jpeg_inverted_and_not(read: Any) -> None:
    """Files with an Adobe marker hold inverted inks (common practice); without it, plain ones."""
    inks = np.zeros((16, 16, 4), np.uint8)
    inks[..., 0], inks[..., 3] = 230, 20
    data = pillow_file(Image.fromarray(inks, "CMYK"), "JPEG", quality=100)
    marked = read(data)
    assert marked.mode == "CMYK"
    assert np.abs(marked.pixels.astype(int) - inks).max() <= 2
    at = data.index(b"\xff\xee\x00\x0eAdobe")
    plain = read(data[:at] + data[at + 16 :])
    assert np.abs(plain.pixels.astype(int) - (255 - inks.astype(int))).max() <= 2


@pytest.mark.parametrize("unit", ["inch", "cm"])
def test_jpeg_ppi(read: Any, unit: str) -> None:
    """JFIF density in dots per inch, and per centimetre: 118 x 2.54 = 299.72."""
    data = pillow_file(Image.new("RGB", (8, 8)), "JPEG", dpi=(118, 118))
    if unit == "cm":
        at = data.index(b"JFIF\0") + 7
        data = data[:at] + b"\2" + data[at + 1 :]
    expected = {"inch": 118.0, "cm": 299.72}[unit]
    assert read(data).ppi == pytest.approx(expected, abs=0.01)


def test_ppi_of_exif(read: Any) -> None:
    """XResolution of Exif, where JFIF says nothing."""
    data = pillow_file(Image.new("RGB", (8, 8)), "JPEG", exif=exif_block(ppi=240))
    at = data.index(b"JFIF\0")
    data = data[: at + 7] + b"\0\0\1\0\1" + data[at + 12 :]
    assert read(data).ppi == 240.0


def test_embedded_profiles_arrive_whole(read: Any) -> None:
    """JPEG, PNG, WebP and TIFF carry the bytes of a profile unchanged, in parts if long."""
    profile = icc.IccProfile.from_file("tests/reference/icc/FOGRA39L_coated.icc").data
    image = Image.fromarray(ramp(3, "uint8"))
    for kind in ("JPEG", "PNG", "WebP", "TIFF"):
        assert read(pillow_file(image, kind, icc_profile=profile)).profile_data == profile


def test_damaged_profile_parts_are_said_to_be_there(read: Any) -> None:
    """A PNG whose profile does not unpack has a profile, and a broken one."""
    decoded = read(png(ramp(3, "uint8"), 2, chunks={b"iCCP": b"x\0\0garbage"}))
    assert decoded.profile_data is None and decoded.profile_damaged


# ---- WebP -------------------------------------------------------------------------------


@pytest.mark.parametrize("channels", [3, 4])
def test_lossless_webp(read: Any, channels: int) -> None:
    """Codes and alpha as they were; colours under alpha 0 are kept on request."""
    codes = ramp(channels, "uint8")
    data = pillow_file(Image.fromarray(codes), "WebP", lossless=True, exact=True)
    decoded = read(data)
    assert decoded.mode == "RGB"
    assert np.array_equal(codes[..., :3], decoded.pixels)
    if channels == 4:
        assert np.array_equal(codes[..., 3], decoded.alpha)


def test_lossy_webp_against_another_decoder(read: Any) -> None:
    """imagecodecs' own binding to the WebP library gives the same codes."""
    import imagecodecs

    data = pillow_file(Image.fromarray(ramp(3, "uint8")), "WebP", quality=80)
    assert np.array_equal(imagecodecs.webp_decode(data), read(data).pixels)


def test_moving_pictures_give_the_first(read: Any) -> None:
    """Animated WebP: the first picture, and it is said."""
    first, second = (Image.new("RGB", (8, 8), colour) for colour in ((255, 0, 0), (0, 255, 0)))
    data = pillow_file(first, "WebP", save_all=True, append_images=[second], lossless=True)
    decoded = read(data)
    assert tuple(decoded.pixels[0, 0]) == (255, 0, 0)
    assert "several pictures" in " ".join(decoded.notes)


# ---- TIFF -------------------------------------------------------------------------------

COMPRESSIONS = [None, "lzw", "zlib", "packbits"]


@pytest.mark.parametrize("compression", COMPRESSIONS)
@pytest.mark.parametrize("dtype", ["uint8", "uint16", "float16", "float32", "float64"])
@pytest.mark.parametrize(
    "layout",
    [{}, {"rowsperstrip": 5}, {"tile": (16, 16)}, {"planarconfig": "separate"}],
    ids=["whole", "strips", "tiles", "planes"],
)
def test_tiff_layouts(
    read: Any, dtype: str, compression: str | None, layout: dict[str, Any]
) -> None:
    """Every depth in every compression and layout, both byte orders: the codes of the file."""
    codes = ramp(3, dtype)
    written = np.moveaxis(codes, -1, 0) if "planarconfig" in layout else codes
    for order in "<>":
        data = tiff_file(
            written, photometric="rgb", compression=compression, byteorder=order, **layout
        )
        decoded = read(data)
        assert decoded.mode == "RGB"
        assert decoded.pixels.dtype == ("float32" if dtype.startswith("float") else dtype)
        assert np.array_equal(codes.astype(decoded.pixels.dtype), decoded.pixels)


@pytest.mark.parametrize("compression", ["lzw", "zlib"])
@pytest.mark.parametrize("dtype", ["uint8", "uint16", "float32"])
def test_tiff_predictors(read: Any, compression: str, dtype: str) -> None:
    """Horizontal differencing, and the floating-point predictor."""
    codes = ramp(3, dtype)
    data = tiff_file(codes, photometric="rgb", compression=compression, predictor=True)
    assert np.array_equal(codes, read(data).pixels)


@pytest.mark.parametrize("compression", ["raw", "tiff_lzw", "tiff_adobe_deflate", "packbits"])
@pytest.mark.parametrize("mode", ["1", "L", "I;16", "RGB", "RGBA", "CMYK", "P"])
def test_tiff_by_another_writer(read: Any, mode: str, compression: str) -> None:
    """Pillow, that is libtiff, writes; pixels as Pillow sees them."""
    rgb = Image.fromarray(ramp(3, "uint8"))
    if mode == "I;16":
        image = Image.fromarray(ramp(1, "uint16")[..., 0])
    elif mode == "RGBA":
        image = Image.fromarray(ramp(4, "uint8"))
    elif mode == "CMYK":
        image = Image.fromarray(ramp(4, "uint8"), "CMYK")
    else:
        image = rgb.quantize(32) if mode == "P" else rgb.convert(mode)
    decoded = read(pillow_file(image, "TIFF", compression=compression))
    plain = {"1": "L", "P": "RGB"}.get(mode)
    expected = np.asarray(image if plain is None else image.convert(plain))
    expected = expected.reshape(*expected.shape[:2], -1)
    names = {"RGB": "RGB", "RGBA": "RGB", "CMYK": "CMYK", "P": "palette"}
    assert decoded.mode == names.get(mode, "grey")
    assert np.array_equal(expected[..., : decoded.pixels.shape[2]], decoded.pixels)
    if mode == "RGBA":
        assert np.array_equal(expected[..., 3], decoded.alpha)


@pytest.mark.parametrize("bits", [2, 4, 10, 12, 14])
def test_tiff_of_odd_depths_fills_the_scale(read: Any, bits: int) -> None:
    """Full scale of 2 or 12 bits is full scale of 8 or 16."""
    dtype = "uint8" if bits < 8 else "uint16"
    codes = np.random.default_rng(bits).integers(0, 2**bits, (8, 16)).astype(dtype)
    codes[0, :2] = 0, 2**bits - 1
    decoded = read(_packed_tiff(codes, bits))
    expected = codes / (2**bits - 1) * np.iinfo(dtype).max
    assert decoded.pixels.dtype == dtype and decoded.bits_in_file == bits
    assert np.abs(expected - decoded.pixels[..., 0]).max() <= 0.5


def _packed_tiff(codes: np.ndarray, bits: int) -> bytes:
    """A grey TIFF of any depth, by hand after TIFF 6.0."""
    width = bits
    all_bits = (codes[..., None].astype(np.uint32) >> np.arange(width - 1, -1, -1)) & 1
    strip = b"".join(np.packbits(row.reshape(-1).astype(np.uint8)).tobytes() for row in all_bits)
    tags = [
        (256, 4, codes.shape[1]), (257, 4, codes.shape[0]), (258, 3, bits), (259, 3, 1),
        (262, 3, 1), (273, 4, 8), (277, 3, 1), (278, 4, codes.shape[0]), (279, 4, len(strip)),
    ]  # fmt: skip
    body = struct.pack("<2sHI", b"II", 42, 8 + len(strip)) + strip + struct.pack("<H", len(tags))
    for tag, kind, value in tags:
        body += struct.pack("<HHI", tag, kind, 1)
        body += struct.pack("<I", value) if kind == 4 else struct.pack("<HH", value, 0)
    return body + b"\0\0\0\0"


@pytest.mark.parametrize("dtype", ["uint8", "uint16"])
def test_tiff_white_is_zero(read: Any, dtype: str) -> None:
    """Photometric 0 is turned over (TIFF 6.0, section 4)."""
    codes = ramp(1, dtype)[..., 0]
    decoded = read(tiff_file(codes, photometric="miniswhite"))
    assert np.array_equal(np.iinfo(dtype).max - codes, decoded.pixels[..., 0])


def test_tiff_that_does_not_say_what_zero_is(read: Any) -> None:
    """Without the photometric tag, which TIFF 6.0 requires, zero is black (common practice)."""
    codes = np.arange(128, dtype=np.uint8).reshape(8, 16)
    data = _packed_tiff(codes, 8)
    assert data.count(struct.pack("<HHI", 262, 3, 1)) == 1
    unsaid = data.replace(struct.pack("<HHI", 262, 3, 1), struct.pack("<HHI", 60001, 3, 1))
    assert np.array_equal(codes, read(unsaid).pixels[..., 0])


@pytest.mark.parametrize("dtype", ["uint8", "uint16"])
def test_tiff_inks(read: Any, dtype: str) -> None:
    """Separated, ink set CMYK: as they are."""
    codes = ramp(4, dtype)
    decoded = read(tiff_file(codes, photometric="separated"))
    assert decoded.mode == "CMYK"
    assert np.array_equal(codes, decoded.pixels)


@pytest.mark.parametrize("channels", [1, 3])
def test_jpeg_in_tiff(read: Any, channels: int) -> None:
    """YCbCr and grey strips, as libtiff writes and reads them."""
    smooth = np.asarray(Image.fromarray(ramp(3, "uint8", 5, 7)).resize((64, 48)))
    image = Image.fromarray(smooth if channels == 3 else smooth[..., 0])
    data = pillow_file(image, "TIFF", compression="jpeg", quality=95)
    back = Image.open(io.BytesIO(data)).convert(image.mode)
    expected = np.asarray(back).reshape(48, 64, channels).astype(int)
    decoded = read(data)
    assert np.abs(expected - decoded.pixels).max() <= 3


@pytest.mark.parametrize("dtype", ["uint8", "uint16", "float32"])
def test_associated_alpha_is_undone(read: Any, dtype: str) -> None:
    """Premultiplied by hand, read back to within what rounding loses."""
    top = 1.0 if dtype == "float32" else float(np.iinfo(dtype).max)
    rng = np.random.default_rng(11)
    colour, alpha = rng.random((10, 12, 3)), rng.uniform(0.3, 1.0, (10, 12, 1))
    stored = np.concatenate([colour * alpha, alpha], axis=-1) * top
    stored = stored.astype(dtype) if dtype == "float32" else np.rint(stored).astype(dtype)
    decoded = read(tiff_file(stored, photometric="rgb", extrasamples=["assocalpha"]))
    assert np.abs(colour - decoded.pixels / top).max() < 2.5 / min(top, 10000)
    assert np.abs(alpha[..., 0] * 255 - decoded.alpha).max() <= 1.0
    assert "premultiplied" in " ".join(decoded.notes)


def test_unassociated_and_unspecified_extra_channels(read: Any) -> None:
    """Alpha is kept apart; a channel of no stated meaning is left out and said."""
    codes = ramp(4, "uint16")
    kept = read(tiff_file(codes, photometric="rgb", extrasamples=["unassalpha"]))
    assert np.array_equal(codes[..., :3], kept.pixels)
    assert np.abs(codes[..., 3] / 257 - kept.alpha).max() <= 0.5
    dropped = read(tiff_file(codes, photometric="rgb", extrasamples=["unspecified"]))
    assert np.array_equal(codes[..., :3], dropped.pixels)
    assert dropped.alpha is None and "left out" in " ".join(dropped.notes)


def test_opaque_alpha_is_no_alpha(read: Any) -> None:
    """A channel that is full everywhere changes nothing."""
    codes = ramp(4, "uint8")
    codes[..., 3] = 255
    assert read(png(codes, 6)).alpha is None


def test_tiff_palette(read: Any) -> None:
    """Entries of 16 bit; the upper 8 are the colour (TIFF 6.0, section 5)."""
    palette = np.random.default_rng(12).integers(0, 256, (3, 256)).astype(np.uint16)
    codes = ramp(1, "uint8")[..., 0]
    decoded = read(tiff_file(codes, photometric="palette", colormap=palette * 257))
    assert decoded.mode == "palette"
    assert np.array_equal(palette.T[codes], decoded.pixels)


def test_tiff_lab_by_another_writer(read: Any) -> None:
    """8-bit CIELab written by Pillow from sRGB, against the profile's own Lab: dE 1.5."""
    rgb = Image.fromarray(ramp(3, "uint8"))
    to_Lab = ImageCms.buildTransform(
        ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB"), "RGB", "LAB"
    )
    decoded = read(pillow_file(ImageCms.applyTransform(rgb, to_Lab), "TIFF"))
    assert decoded.mode == "Lab" and decoded.pixels.dtype == np.uint16
    Lab = icc.decode_Lab(decoded.pixels.reshape(-1, 3) / 65535)
    exact = icc.device_to_Lab(icc.srgb_profile(), np.asarray(rgb).reshape(-1, 3) / 255, "relative")
    assert np.linalg.norm(exact - Lab, axis=1).max() < 1.5


@pytest.mark.parametrize("bits", [8, 16])
@pytest.mark.parametrize("photometric", ["cielab", "icclab"])
def test_ways_to_write_lab(read: Any, photometric: str, bits: int) -> None:
    """TIFF 6.0, section 23 (CIELab) and Adobe's TIFF notes of 2002 (ICCLab), by formula."""
    rng = np.random.default_rng(13)
    Lab = rng.uniform([0, -120, -120], [100, 120, 120], (6, 7, 3))
    if photometric == "cielab":
        full = 2**bits - 1
        scale = 1 if bits == 8 else 256
        signed = np.rint(Lab[..., 1:] * scale).astype(f"int{bits}").view(f"uint{bits}")
        codes = np.concatenate([np.rint(Lab[..., :1] / 100 * full), signed], axis=-1)
    else:
        full = 255 if bits == 8 else 65280
        step = 1 if bits == 8 else 256
        codes = np.rint(
            np.concatenate([Lab[..., :1] / 100 * full, (Lab[..., 1:] + 128) * step], -1)
        )
    decoded = read(tiff_file(codes.astype(f"uint{bits}"), photometric=photometric))
    back = icc.decode_Lab(decoded.pixels / 65535)
    assert np.abs(Lab - back).max() < (0.51 if bits == 8 else 0.005)


def test_first_full_page(read: Any, tmp_path: Path) -> None:
    """A reduced copy in front is passed over; a second full page is left, and said."""
    import tifffile

    small, full, other = ramp(3, "uint8", 4, 4), ramp(3, "uint8"), ramp(3, "uint16")
    memory = io.BytesIO()
    with tifffile.TiffWriter(memory) as writer:
        writer.write(small, photometric="rgb", subfiletype=1, metadata=None)
        writer.write(full, photometric="rgb", metadata=None)
        writer.write(other, photometric="rgb", metadata=None)
    decoded = read(memory.getvalue())
    assert np.array_equal(full, decoded.pixels)
    assert "several pictures" in " ".join(decoded.notes)


@pytest.mark.parametrize(
    ("resolution", "unit", "expected"),
    [
        ((300, 300), "INCH", 300.0),
        ((118.11, 118.11), "CENTIMETER", 300.0),
        ((300, 300), "NONE", None),
    ],
)
def test_tiff_ppi(read: Any, resolution: tuple[float, float], unit: str, expected: float) -> None:
    """TIFF 6.0: per inch, per centimetre, or no unit at all."""
    data = tiff_file(
        ramp(3, "uint8"), photometric="rgb", resolution=resolution, resolutionunit=unit
    )
    assert read(data).ppi == (None if expected is None else pytest.approx(expected, abs=0.01))


@pytest.mark.parametrize("compression", COMPRESSIONS)
def test_big_tiff(read: Any, compression: str | None) -> None:
    """The 64-bit form of TIFF."""
    codes = ramp(3, "uint16")
    data = tiff_file(codes, photometric="rgb", bigtiff=True, compression=compression)
    assert np.array_equal(codes, read(data).pixels)


def test_floats_that_are_no_numbers(read: Any) -> None:
    """NaN is read as 0, infinities as the nearer end, and both are counted and said."""
    codes = ramp(3, "float32")
    codes[0, 0], codes[1, 1], codes[2, 2] = np.nan, np.inf, -np.inf
    decoded = read(tiff_file(codes, photometric="rgb"))
    assert decoded.pixels[0, 0].tolist() == [0.0, 0.0, 0.0]
    assert decoded.pixels[1, 1].tolist() == [1.0, 1.0, 1.0]
    assert decoded.pixels[2, 2].tolist() == [0.0, 0.0, 0.0]
    assert "3 values were no number" in " ".join(decoded.notes)
    assert "6 were infinite" in " ".join(decoded.notes)


# ---- orientation and Exif -------------------------------------------------------------------


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WebP", "TIFF"])
def test_orientation(read: Any, kind: str, orientation: int) -> None:
    """All eight, against Pillow's own table of transpositions (ImageOps)."""
    from PIL import ImageOps

    image = Image.fromarray(np.repeat(np.repeat(ramp(3, "uint8", 3, 4), 16, axis=0), 16, axis=1))
    exif = Image.Exif()
    exif[0x0112] = orientation
    options: dict[str, Any] = {"lossless": True} if kind == "WebP" else {}
    data = pillow_file(image, kind, exif=exif, **options)
    expected = np.asarray(ImageOps.exif_transpose(Image.open(io.BytesIO(data))))
    decoded = read(data)
    assert np.array_equal(expected, decoded.pixels)
    assert decoded.orientation_applied == (orientation > 1)


@pytest.mark.parametrize(
    ("colour_space", "interoperability", "expected"),
    [
        (1, b"R98", icc.srgb_profile()),
        (1, b"", icc.srgb_profile()),
        (65535, b"R03", icc.adobe_rgb_profile()),
        (65535, b"", None),
        (None, b"", None),
    ],
)
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WebP"])
def test_colour_space_of_exif(
    read: Any, kind: str, colour_space: int | None, interoperability: bytes, expected: Any
) -> None:
    """CIPA DC-008: ColorSpace 1 is sRGB; DCF 2.0: interoperability R03 is Adobe RGB (1998)."""
    exif = exif_block(1, colour_space, interoperability)
    data = pillow_file(Image.new("RGB", (8, 8)), kind, exif=exif)
    assert read(data).declared == expected


def test_exif_in_tiff(read: Any) -> None:
    """The same tags in the Exif directory of a TIFF."""
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0xA001] = 1
    exif[0x8769] = 1  # only so that the writer sees it
    data = pillow_file(Image.new("RGB", (8, 8)), "TIFF", exif=exif)
    assert read(data).declared == icc.srgb_profile()


def test_damaged_exif_does_not_matter(read: Any) -> None:
    """The picture is read as if there were none."""
    data = pillow_file(Image.new("RGB", (8, 8)), "JPEG", exif=b"Exif\0\0MM\0*\xff\xff\xff\xff")
    decoded = read(data)
    assert decoded.declared is None and decoded.ppi is None


# ---- refusals -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("head", "words"),
    [
        (b"GIF89a" + b"\0" * 40, "a GIF picture"),
        (b"BM" + b"\0" * 12 + b"\x28\0\0\0" + b"\0" * 40, "a BMP picture"),
        (b"\0\0\0\x0cjP  \r\n\x87\n", "a JPEG 2000 picture"),
        (b"\xff\x0a" + b"\0" * 20, "a JPEG XL picture"),
        (b"\0\0\0\x18ftypavif" + b"\0" * 20, "a HEIF or AVIF picture"),
        (b"%PDF-1.7", "a document"),
        (b"once upon a time", "no picture of a known kind"),
    ],
)
def test_other_formats_are_named_and_refused(read: Any, head: bytes, words: str) -> None:
    """By content, and with what to do."""
    with pytest.raises(UnsupportedPicture, match=f"{words}; save the photograph as JPEG, PNG"):
        read(head)


def test_missing_empty_and_folder(tmp_path: Path) -> None:
    """Each has its own sentence; the path is on the error."""
    empty = tmp_path / "empty.jpg"
    empty.touch()
    for path, words in (
        (tmp_path / "none.jpg", "there is no file"),
        (empty, "is empty"),
        (tmp_path, "is a folder"),
    ):
        with pytest.raises(UnreadableFile, match=words) as caught:
            read_pixels(path)
        assert caught.value.path == path


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"compression": "zstd"}, "compressed in a way"),
        ({"dtype": "uint32"}, "32 bit"),
        ({"dtype": "int16"}, "signed, 16 bit"),
        ({"photometric": "cfa"}, "sensor data"),
        ({"volumetric": True}, "volume"),
    ],
)
def test_unusual_tiffs_are_refused(read: Any, options: dict[str, Any], words: str) -> None:
    """A picture, but of a kind that is not promised; the text says what to save instead."""
    codes = ramp(3, "uint16").astype(options.pop("dtype", "uint16"))
    if options.get("volumetric"):
        codes = np.repeat(ramp(3, "uint8", 16, 16)[None], 16, axis=0)
        options = {**options, "tile": (16, 16, 16)}
    elif options.get("photometric") == "cfa":
        codes = codes[..., 0]
    data = tiff_file(codes, **{"photometric": "rgb", **options})
    with pytest.raises(UnsupportedPicture, match=words) as caught:
        read(data)
    assert "save" in str(caught.value) or "develop" in str(caught.value)


def test_pictures_beyond_the_limit_are_refused_before_decoding(read: Any) -> None:
    """400 megapixels; a few bytes can claim far more."""
    header = struct.pack(">IIBBBBB", 60000, 60000, 8, 2, 0, 0, 0)
    bomb = png(ramp(3, "uint8"), 2)
    start = bomb.index(b"IHDR")
    body = b"IHDR" + header
    bomb = bomb[:start] + body + struct.pack(">I", zlib.crc32(body)) + bomb[start + 21 :]
    with pytest.raises(UnsupportedPicture, match="400 megapixels; use a smaller copy"):
        read(bomb)
