"""JPEG, PNG and WebP files to pixels."""

from __future__ import annotations

from pathlib import Path
from typing import IO, Any

import numpy as np

from proofing.errors import ProfileError
from proofing.language import tr
from proofing.photograph import icc
from proofing.photograph.decoded import (
    Decoded,
    check_size,
    declare_by_exif,
    finish,
    ppi_of,
    ppi_of_tags,
    refuse,
    upright,
)
from proofing.photograph.exif import Exif, exif_of_block
from proofing.photograph.facts import Mode


def _exif_of(image: Any) -> Exif:
    return exif_of_block(image.info.get("exif"))


def _ppi_of(exif: Exif) -> float | None:
    return None if exif.resolution is None else ppi_of_tags(*exif.resolution, exif.unit)


def _profile_of(decoded: Decoded, info: dict[Any, Any]) -> None:
    data = info.get("icc_profile")
    if data:
        decoded.profile_data = data
    elif "icc_profile" in info:
        decoded.profile_damaged = True


def outline_by_pillow(file: IO[bytes], path: Path) -> tuple[int, int]:
    """Width and height of a JPEG, PNG or WebP, upright, without a look at the pixels."""
    from PIL import JpegImagePlugin, PngImagePlugin, WebPImagePlugin

    head = file.read(4)
    file.seek(0)
    kind: Any = {
        b"\x89PNG": PngImagePlugin.PngImageFile,
        b"RIFF": WebPImagePlugin.WebPImageFile,
    }.get(head, _silent_jpeg(JpegImagePlugin.JpegImageFile))
    with kind(file) as image:
        check_size(path, *image.size)
        width, height = image.size
        return upright(width, height, _exif_of(image).orientation)


def _silent_jpeg(base: Any) -> Any:
    """Leaves Exif to us: the library warns about damaged blocks."""

    class Jpeg(base):  # type: ignore[misc]
        def _read_dpi_from_exif(self) -> None:
            pass

    return Jpeg


def read_jpeg(file: IO[bytes], path: Path) -> Decoded:
    from PIL import JpegImagePlugin

    with _silent_jpeg(JpegImagePlugin.JpegImageFile)(file) as image:
        check_size(path, *image.size)
        exif = _exif_of(image)
        image.load()
        modes: dict[str, Mode] = {"L": "grey", "RGB": "RGB", "CMYK": "CMYK"}
        mode = modes.get(image.mode)
        if mode is None:
            raise refuse(
                path, tr("is a JPEG of an unusual kind"), tr("save it as RGB, grey or CMYK")
            )
        pixels = np.asarray(image)
        if mode == "CMYK" and "adobe" not in image.info:
            pixels = 255 - pixels  # the decoder inverts always; only files so marked are inverted
        decoded = Decoded(pixels.reshape(*pixels.shape[:2], -1), mode)
        _profile_of(decoded, image.info)
        density = image.info.get("jfif_density", (None, None))
        unit = image.info.get("jfif_unit", 0)
        decoded.ppi = ppi_of_tags(density[0], density[1], {1: 2, 2: 3}.get(unit, 1)) or _ppi_of(
            exif
        )
        declare_by_exif(decoded, exif)
        return finish(decoded, exif.orientation, None)


def read_webp(file: IO[bytes], path: Path) -> Decoded:
    from PIL import WebPImagePlugin

    with WebPImagePlugin.WebPImageFile(file) as image:
        check_size(path, *image.size)
        exif = _exif_of(image)
        moving = getattr(image, "n_frames", 1) > 1
        image.load()
        pixels = np.asarray(image)
        decoded = Decoded(np.ascontiguousarray(pixels[..., :3]), "RGB")
        if moving:
            decoded.notes.append(tr("The file holds several pictures; the first is shown."))
        _profile_of(decoded, image.info)
        decoded.ppi = _ppi_of(exif)
        declare_by_exif(decoded, exif)
        alpha = pixels[..., 3] if pixels.shape[2] == 4 else None
        return finish(decoded, exif.orientation, alpha)


def read_png(file: IO[bytes], path: Path) -> Decoded:
    from PIL import PngImagePlugin

    bits, colour_type = file.read(26)[24:]  # in the header chunk, whose place is fixed
    indexed = colour_type == 3
    file.seek(0)
    with PngImagePlugin.PngImageFile(file) as image:
        check_size(path, *image.size)
        if bits == 16:
            exif, info = _exif_of(image), dict(image.info)
            file.seek(0)
            import imagecodecs

            pixels = np.asarray(imagecodecs.png_decode(file.read()))
            pixels = pixels.reshape(*pixels.shape[:2], -1)
        else:
            image.load()
            exif, info = _exif_of(image), dict(image.info)
            wanted = {"1": "L", "P": "RGB"}.get(image.mode, image.mode)
            if "transparency" in info:
                wanted = "LA" if wanted == "L" else "RGBA"
            pixels = np.asarray(image if image.mode == wanted else image.convert(wanted))
            pixels = pixels.reshape(*pixels.shape[:2], -1)
        moving = getattr(image, "n_frames", 1) > 1
    channels = pixels.shape[2]
    grey = channels < 3
    alpha = pixels[..., -1] if channels in (2, 4) else None
    colours = pixels if alpha is None else pixels[..., :-1]
    decoded = Decoded(
        np.ascontiguousarray(colours),
        "palette" if indexed else "grey" if grey else "RGB",
        bits_in_file=8 if indexed else bits,
    )
    if moving:
        decoded.notes.append(tr("The file holds several pictures; the first is shown."))
    _profile_of(decoded, info)
    decoded.ppi = ppi_of(*info.get("dpi", (None, None))) or _ppi_of(exif)
    declare_by_exif(decoded, exif)
    _declare_by_png(decoded, info)
    return finish(decoded, exif.orientation, alpha)


def _declare_by_png(decoded: Decoded, info: dict[Any, Any]) -> None:
    """PNG (ISO/IEC 15948): sRGB chunk, else gAMA with or without cHRM."""
    grey = decoded.mode == "grey"
    srgb = icc.grey_profile() if grey else icc.srgb_profile()
    gamma = info.get("gamma")
    chromaticity = info.get("chromaticity")
    if "srgb" in info:
        decoded.declared, decoded.declared_by = srgb, tr("the file's own mark (PNG sRGB)")
        return
    if not isinstance(gamma, float) or gamma <= 0.0:
        return
    space = icc.SRGB
    usual = (*space.white_xy, *(v for xy in space.primaries_xy for v in xy))
    values = tuple(float(v) for v in chromaticity) if chromaticity else usual
    decoded.declared_by = tr("the file's own gamma and primaries (PNG gAMA, cHRM)")
    if abs(gamma - 1 / 2.2) < 0.001 and np.allclose(values, usual, atol=0.002):
        decoded.declared = srgb
        return
    white, red, green, blue = zip(values[0::2], values[1::2], strict=True)
    try:
        decoded.declared = icc.gamma_profile(
            1.0 / gamma, white, None if grey else (red, green, blue)
        )
    except ProfileError:
        decoded.declared = None
        decoded.notes.append(
            tr("The gamma and primaries in the file make no sense and are not used.")
        )
