"""Fewer pixels, for a lab that asks for no more than so many to the inch. Never more.

>>> import numpy as np
>>> from proofing.photograph import photograph_from_array
>>> board = np.indices((64, 64)).sum(axis=0)[..., None] % 2 * np.full(3, 255)
>>> board = photograph_from_array(board.astype(np.uint8))
>>> grey = reduced(board, (16, 16))
>>> round(255 * float(grey.codes[8, 8, 0]))  # half of the light in sRGB, IEC 61966-2-1
188
"""

from __future__ import annotations

import dataclasses
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import numpy.typing as npt

from proofing.errors import SettingError
from proofing.language import tr
from proofing.photograph import Encoding, Photograph, unit_codes

Float = npt.NDArray[np.float64]
Single = npt.NDArray[np.float32]

_TABLE = 4096


def reduced(photograph: Photograph, pixels: tuple[int, int]) -> Photograph:
    """The picture with fewer pixels, averaged in light by a filter without negative lobes.

    One with such lobes (Lanczos, cubic) is a little crisper, and draws black rings round lights.

    Parameters
    ----------
    photograph
        The picture.
    pixels
        Width and height, px, no more than it has.

    Returns
    -------
    Photograph
        Its codes are float32, so that nothing is rounded on the way.

    Raises
    ------
    SettingError
        More pixels than there are.
    """
    width, height = pixels
    if not (1 <= width <= photograph.width and 1 <= height <= photograph.height):
        raise SettingError(
            "pixels", f"{width} x {height}", tr("pixels are never added; ask for fewer")
        )
    if pixels == (photograph.width, photograph.height):
        return photograph
    cover = None if photograph.alpha is None else photograph.alpha.astype(np.float32) / 255.0
    planes = 1 if photograph.codes.strides[2] == 0 else 3
    small_cover = None if cover is None else np.clip(_resized(cover, pixels), 0.0, 1.0)

    def plane(channel: int) -> Single:
        codes, values = _curve(photograph.encoding, channel)
        light = np.interp(unit_codes(photograph.codes[..., channel]), codes, values)
        if cover is None or small_cover is None:
            small = _resized(light.astype(np.float32), pixels)
        else:  # what is transparent has no colour to give
            small = _resized((light * cover).astype(np.float32), pixels)
            small = (small / np.maximum(small_cover, 1e-6)).astype(np.float32)
        coded: Single = np.interp(small, values, codes).astype(np.float32)
        return coded

    with ThreadPoolExecutor(planes) as pool:
        made = np.stack(list(pool.map(plane, range(planes))), axis=-1)
    codes = np.broadcast_to(made, (*made.shape[:2], 3)) if planes == 1 else made
    alpha = None if small_cover is None else np.rint(255.0 * small_cover).astype(np.uint8)
    for array in (codes, alpha):
        if array is not None:
            array.flags.writeable = False
    return dataclasses.replace(
        photograph,
        codes=codes,
        alpha=alpha,
        facts=dataclasses.replace(photograph.facts, width=width, height=height),
        key=f"{photograph.key}:{width}x{height}",
        clip=dataclasses.replace(photograph.clip, top=(1.0, 1.0, 1.0), clipped=None),
    )


def pixels_for(pixels: tuple[int, int], ppi: float, most_ppi: float | None) -> tuple[int, int]:
    """Width and height at no more than so many pixels to the inch.

    >>> pixels_for((6000, 4000), 400.0, 300.0), pixels_for((6000, 4000), 200.0, 300.0)
    ((4500, 3000), (6000, 4000))
    """
    if most_ppi is None or ppi <= most_ppi:
        return pixels
    return (
        max(1, round(pixels[0] * most_ppi / ppi)),
        max(1, round(pixels[1] * most_ppi / ppi)),
    )


def _resized(plane: Single, pixels: tuple[int, int]) -> Single:
    from PIL import Image

    image = Image.fromarray(np.ascontiguousarray(plane), mode="F")
    return np.asarray(image.resize(pixels, Image.Resampling.HAMMING))


def _curve(encoding: Encoding, channel: int) -> tuple[Float, Float]:
    """Codes and the light they stand for; a* and b* are averaged as they are."""
    codes = np.linspace(0.0, 1.0, _TABLE)
    if encoding.kind == "Lab" and channel > 0:
        return codes, codes
    greys = np.repeat(codes[:, None], 3, axis=1)
    if encoding.kind == "Lab":
        greys[:, 1:] = 128.0 / 255.0
    Y = np.maximum.accumulate(encoding.to_XYZ(greys)[:, 1])
    return codes, Y + 1e-9 * np.arange(_TABLE)
