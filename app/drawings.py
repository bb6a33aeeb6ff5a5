"""What the choosers draw beside a name: worked out in the background, free of the toolkit."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from proofing.language import tr

if TYPE_CHECKING:
    from proofing.printing import Stock
    from proofing.screen import Screen
    from proofing.viewing import Light

Points = tuple[tuple[float, float], ...]
RGB = tuple[int, int, int]


@dataclass(frozen=True)
class StockDrawing:
    """A stock's white and black, and how far its colours reach.

    Attributes
    ----------
    white_RGB, black_RGB
        Codes of the screen for bare paper and for the densest print, see :class:`Swatches`.
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


@dataclass(frozen=True)
class Swatches:
    """How papers stand beside each other on a screen.

    Attributes
    ----------
    screen
        Whose codes they are.
    share
        By this all luminances are multiplied, of 1 for the perfect white sheet at the screen's
        white: one factor for all papers, so that their differences stay as they are.
    """

    screen: Screen
    share: float = 1.0

    @classmethod
    def of(cls, whites_Lab: Iterable[np.ndarray], screen: Screen) -> Swatches:
        """The brightest swatches at which none of the whites loses its tint on the screen.

        Parameters
        ----------
        whites_Lab
            Each (3,), D50, absolute.
        screen
            Which is to show them.
        """
        from proofing.colorimetry import Lab_to_XYZ

        whites = np.array([np.asarray(Lab, float) for Lab in whites_Lab]).reshape(-1, 3)
        if not len(whites):
            return cls(screen)
        XYZ = screen.from_pcs(Lab_to_XYZ(whites))
        low, high = 0.5, 1.0 / float(XYZ[:, 1].max() / screen.luminance_cd_m2)
        for _ in range(_HALVINGS):
            middle = 0.5 * (low + high)
            low, high = (middle, high) if screen.fits(middle * XYZ).all() else (low, middle)
        return cls(screen, low)

    def codes(self, Lab: np.ndarray) -> RGB:
        """Codes of the screen for a colour under D50, 0 to 255."""
        from proofing.colorimetry import Lab_to_XYZ

        XYZ = self.screen.from_pcs(Lab_to_XYZ(np.asarray(Lab, float)[None])) * self.share
        red, green, blue = (int(v) for v in np.round(255.0 * self.screen.encode(XYZ).RGB[0]))
        return red, green, blue


_HALVINGS = 12  # of the range of a share: to a fortieth of a code


def stock_drawing(stock: Stock, swatches: Swatches) -> StockDrawing:
    """The drawing of a stock: a tenth of a second, and nothing when it was drawn before."""
    from proofing.printing.outline import area_ab, srgb_outline_ab

    outline, reference = stock.outline_ab, srgb_outline_ab()
    share = area_ab(outline) / area_ab(reference)
    return StockDrawing(
        swatches.codes(stock.white_Lab),
        swatches.codes(stock.black_Lab),
        _points(outline),
        _points(reference),
        tr(
            "its colours reach {share:.0f} % of the area of sRGB in hue and chroma",
            share=100 * share,
        ),
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
        tr("its spectrum is highest at {peak:.0f} nm", peak=peak),
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
    >>> brightener_in_words(1.28)
    'brightened papers are bluer: 128 % of the glow in D50'
    """
    percent = f"{100 * excitation:.0f} %"
    if excitation < 0.15:
        return tr(
            "brightened papers lose their blue: {percent} of the glow in D50", percent=percent
        )
    if excitation < 0.8:
        return tr("brightened papers are less blue: {percent} of the glow in D50", percent=percent)
    if excitation <= 1.2:
        return tr("brightened papers as in D50: {percent} of the glow there", percent=percent)
    return tr("brightened papers are bluer: {percent} of the glow in D50", percent=percent)


def _points(outline: np.ndarray) -> Points:
    return tuple((float(a), float(b)) for a, b in outline)
