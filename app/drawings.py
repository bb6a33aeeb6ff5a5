"""What the choosers draw beside a name: worked out in the background, free of the toolkit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from proofing.printing import Stock
    from proofing.viewing import Light

Points = tuple[tuple[float, float], ...]
RGB = tuple[int, int, int]


@dataclass(frozen=True)
class StockDrawing:
    """A stock's white and black, and how far its colours reach.

    Attributes
    ----------
    white_RGB, black_RGB
        sRGB codes of bare paper and of the densest print under D50, the perfect white sheet being
        the screen's white: papers can be told apart, and none is as light as the screen.
    outline
        a*, b* of the gamut's outline, absolute, D50.
    reference
        The same of sRGB.
    words
        What the drawing says.
    """

    white_RGB: RGB
    black_RGB: RGB
    outline: Points
    reference: Points
    words: str


@dataclass(frozen=True)
class LightDrawing:
    """A light's spectrum.

    Attributes
    ----------
    nm, power
        Wavelengths and relative spectral power, 1 at the highest.
    words
        What the drawing says.
    """

    nm: tuple[float, ...]
    power: tuple[float, ...]
    words: str


Drawing = StockDrawing | LightDrawing


def stock_drawing(stock: Stock) -> StockDrawing:
    """The drawing of a stock. Takes some milliseconds, and more for a profile of four inks."""
    from proofing.printing.outline import area_ab, srgb_outline_ab

    outline, reference = stock.outline_ab, srgb_outline_ab()
    share = area_ab(outline) / area_ab(reference)
    return StockDrawing(
        srgb_of(stock.white_Lab),
        srgb_of(stock.black_Lab),
        _points(outline),
        _points(reference),
        f"its colours reach {100 * share:.0f} % of the area of sRGB in hue and chroma",
    )


def light_drawing(light: Light) -> LightDrawing:
    """The drawing of a light, 380 to 730 nm."""
    from proofing.viewing.light import LIGHT_WAVELENGTHS_NM

    seen = (LIGHT_WAVELENGTHS_NM >= 380.0) & (LIGHT_WAVELENGTHS_NM <= 730.0)
    nm, power = LIGHT_WAVELENGTHS_NM[seen], light.power[seen]
    highest = float(power.max())
    peak = float(nm[int(power.argmax())])
    return LightDrawing(
        tuple(map(float, nm)),
        tuple(float(value) for value in power / highest),
        f"its spectrum is highest at {peak:.0f} nm",
    )


def brightener_in_words(excitation: float) -> str:
    """How a paper's brightener glows in a light.

    Parameters
    ----------
    excitation
        Per lux, 1 for D50: :meth:`proofing.viewing.Light.excitation`.

    Examples
    --------
    >>> brightener_in_words(0.02)
    'brightened papers lose their blue: 2 % of the glow in D50'
    >>> brightener_in_words(1.1)
    'brightened papers as in D50: 110 % of the glow there'
    """
    percent = f"{100 * excitation:.0f} %"
    if excitation < 0.15:
        return f"brightened papers lose their blue: {percent} of the glow in D50"
    if excitation < 0.7:
        return f"brightened papers are less blue: {percent} of the glow in D50"
    if excitation <= 1.3:
        return f"brightened papers as in D50: {percent} of the glow there"
    return f"brightened papers are bluer: {percent} of the glow in D50"


def srgb_of(Lab: np.ndarray) -> RGB:
    """sRGB codes of a colour under D50, L* 100 being white; what sRGB lacks is clipped."""
    from proofing.photograph.icc import IccIntent, Lab_to_device, srgb_profile

    values = Lab_to_device(srgb_profile(), np.asarray(Lab, dtype=float)[None], IccIntent.RELATIVE)
    red, green, blue = (int(v) for v in np.round(255.0 * np.clip(values[0], 0.0, 1.0)))
    return red, green, blue


def _points(outline: np.ndarray) -> Points:
    return tuple((float(a), float(b)) for a, b in outline)
