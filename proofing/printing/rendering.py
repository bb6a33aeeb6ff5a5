"""From the photograph's colours to what a stock prints: intents, black point, spectra."""

from __future__ import annotations

import enum
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from proofing.colorimetry import (
    PCS_WHITE_XYZ,
    WAVELENGTHS_NM,
    Float,
    Lab_to_XYZ,
    XYZ_to_Lab,
    d50_weights,
    delta_E_00,
)
from proofing.language import tr
from proofing.photograph.icc import IccIntent, Lab_to_device, device_to_Lab
from proofing.printing.gamut import Gamut
from proofing.printing.mapping import clip, compress, scale_lightness
from proofing.printing.space import XYZ_to_ucs, ucs_to_XYZ
from proofing.printing.stock import Stock
from proofing.recent import Recent

DEEPEST_MARGIN = 10.0
"""Margins inside the gamut are not told apart beyond this, CAM16-UCS units."""

COLOURED = (10.0, 20.0)
"""C*ab up to which a tone counts as nearly neutral, and from which as a colour (from memory:
tints under 10 go by no hue's name)."""


class Intent(enum.StrEnum):
    """Rendering intents that make sense for a print."""

    PERCEPTUAL = "perceptual"
    RELATIVE = "relative"
    ABSOLUTE = "absolute"

    @property
    def full_name(self) -> str:
        """The trade's full name."""
        return {
            Intent.PERCEPTUAL: "perceptual",
            Intent.RELATIVE: tr("relative colorimetric"),
            Intent.ABSOLUTE: tr("absolute colorimetric"),
        }[self]


@dataclass(frozen=True)
class Rendering:
    """How colours are brought to a stock.

    Parameters
    ----------
    intent
        The rendering intent.
    black_point_compensation
        Scale the file's black to the stock's (ISO 18619). Used by the relative intent; the
        perceptual one always does, the absolute never.
    """

    intent: Intent = Intent.RELATIVE
    black_point_compensation: bool = True

    @property
    def compensates(self) -> bool:
        """Whether the file's black lands on the stock's black."""
        return self.intent is Intent.PERCEPTUAL or (
            self.intent is Intent.RELATIVE and self.black_point_compensation
        )


@dataclass(frozen=True, eq=False)
class Source:
    """What rendering needs to know of the photograph's encoding.

    Parameters
    ----------
    black_Y
        Media-relative luminance factor of its black.
    to_XYZ
        The encoding's three channels in 0..1, black at 0 and white at 1, to media-relative XYZ;
        None for an encoding without a gamut of its own (Lab).
    white_XYZ
        (3,) its media white relative to the perfect diffuser; the absolute intent shows it.
    """

    black_Y: float = 0.0
    to_XYZ: Callable[[Float], Float] | None = None
    white_XYZ: Float = field(default_factory=lambda: PCS_WHITE_XYZ)
    _gamuts: Recent[Gamut] = field(default_factory=lambda: Recent(8), repr=False)

    def gamut(self, L_black: float) -> Gamut | None:
        """Its surface after the lightness of SGCK was scaled to a destination's black."""
        if self.to_XYZ is None:
            return None
        to_XYZ = self.to_XYZ

        def make() -> Gamut:
            return Gamut.from_device(
                lambda codes: scale_lightness(
                    compensate_black(to_XYZ(codes), self.black_Y, 0.0), L_black
                ),
                black=np.zeros(3),
                white=np.ones(3),
            )

        return self._gamuts.make(L_black, make)


@dataclass(frozen=True, eq=False)
class MappedColours:
    """Where N source colours come to lie on a stock, without spectra.

    Attributes
    ----------
    wanted
        (N, 3) absolute XYZ that a stock without limits of gamut would print, D50. Black point
        compensation lifts its lightness and, from :data:`COLOURED` on, leaves the a* and b* of the
        file: that shadows get lighter is intended, that colours get duller with them is a loss.
    printed
        (N, 3) absolute XYZ that this one prints, D50, M1.
    miss
        (N,) dE00 between the two; of a colour that compensation brings inside, no more than it
        would miss uncompensated, so that none counts as out of gamut which the stock could hold.
        For colours inside the gamut that come within one dE00 it turns into minus the margin in
        CAM16-UCS: one signed number that interpolates through zero. It is always that of the
        colorimetric rendering, so that it tells what the stock cannot hold, not what a perceptual
        rendering chose to move. Of a profiled stock it is never negative.
    ucs
        (N, 3) the printed colours in media-relative CAM16-UCS.
    """

    wanted: Float = field(repr=False)
    printed: Float = field(repr=False)
    miss: Float = field(repr=False)
    ucs: Float = field(repr=False)


@dataclass(frozen=True, eq=False)
class PrintedColours:
    """Printed colours with their spectra.

    Attributes
    ----------
    mapped
        Their colorimetry.
    reflectance, emission
        (N, 36) radiance factors: without fluorescence, and what fluorescence adds under D50.
    """

    mapped: MappedColours
    reflectance: Float = field(repr=False)
    emission: Float = field(repr=False)


def compensate_black(XYZ: Float, Y_source: float, Y_destination: float) -> Float:
    """Black point compensation.

    Parameters
    ----------
    XYZ
        (N, 3) media-relative.
    Y_source, Y_destination
        Media-relative luminance factors of the two blacks.

    Notes
    -----
    ISO 18619:2015, 5.4: ``XYZ' = s XYZ + (1 - s) XYZ_D50``, ``s = (1 - Y_d)/(1 - Y_s)``.

    >>> grey = np.array([[0.17356, 0.18, 0.14848]])
    >>> compensate_black(grey, 0.0, 0.022387).round(4).tolist()
    [[0.1913, 0.1984, 0.1636]]
    """
    s = (1.0 - Y_destination) / (1.0 - Y_source)
    return s * XYZ + (1.0 - s) * PCS_WHITE_XYZ


def map_colours(
    stock: Stock, XYZ: Float, rendering: Rendering, source: Source | None = None
) -> MappedColours:
    """Bring colours to a stock.

    Parameters
    ----------
    stock
        Described or profiled.
    XYZ
        (N, 3) the photograph's colours, D50, media-relative.
    rendering
        Intent and black point compensation.
    source
        The photograph's own black and gamut.

    Raises
    ------
    ProfileError
        When a profiled stock lacks the table of the intent.
    """
    follow = _describe if stock.profile is None else _follow_profile
    return follow(stock, XYZ, rendering, source or Source())


def print_colours(
    stock: Stock, XYZ: Float, rendering: Rendering, source: Source | None = None
) -> PrintedColours:
    """Print colours on a stock, spectra and all; parameters as :func:`map_colours`."""
    mapped = map_colours(stock, XYZ, rendering, source)
    return PrintedColours(mapped, *spectra_of(stock, mapped.printed, mapped.ucs))


def _signed(margin: Float, wanted: Float, printed: Float) -> Float:
    """dE00, which turns into minus the margin for colours inside that are printed as wanted."""
    dE = delta_E_00(XYZ_to_Lab(wanted), XYZ_to_Lab(printed))
    return dE - np.clip(margin, 0.0, DEEPEST_MARGIN) * np.maximum(1.0 - dE, 0.0)


def _wanted(XYZ: Float, compensated: Float) -> Float:
    """The lightness that compensation gives a colour, with the a* and b* it has in the file.

    What is nearly neutral is no colour to be lost: its tint follows the compensation.
    """
    Lab, lifted = XYZ_to_Lab(XYZ), XYZ_to_Lab(compensated)
    low, high = COLOURED
    kept = np.clip((np.hypot(Lab[:, 1], Lab[:, 2]) - low) / (high - low), 0.0, 1.0)[:, None]
    lifted[:, 1:] += kept * (Lab[:, 1:] - lifted[:, 1:])
    return Lab_to_XYZ(lifted)


def _describe(stock: Stock, XYZ: Float, rendering: Rendering, source: Source) -> MappedColours:
    """As the ink model's gamut has it."""
    scale = stock.to_media_relative
    Y_black = stock.black_media_relative_Y
    if rendering.intent is Intent.ABSOLUTE:
        wanted = target = XYZ * (source.white_XYZ / PCS_WHITE_XYZ) * scale
    elif rendering.compensates:
        target = compensate_black(XYZ, source.black_Y, Y_black)
        wanted = _wanted(XYZ, target)
    else:
        wanted = target = XYZ
    ucs = XYZ_to_ucs(target)
    inside, margin = clip(ucs, target[:, 1], stock.gamut)
    # a colour that is inside stays what it is to the last digit
    printed = np.where((margin < 0.0)[:, None], ucs_to_XYZ(inside), target)
    miss = _signed(margin, wanted / scale, printed / scale)
    # compensated they are less colourful: those that are outside even so are outside at any rate
    off = (miss > 0.0) & (margin >= 0.0)
    if rendering.compensates and off.any():
        plain = XYZ[off]
        held, margin = clip(XYZ_to_ucs(plain), plain[:, 1], stock.gamut)
        miss[off] = np.minimum(miss[off], _signed(margin, plain / scale, ucs_to_XYZ(held) / scale))
    if rendering.intent is Intent.PERCEPTUAL:
        from_black = compensate_black(XYZ, source.black_Y, 0.0)
        L_black = float(XYZ_to_Lab(Y_black * PCS_WHITE_XYZ)[0])
        target = scale_lightness(from_black, L_black)
        ucs = XYZ_to_ucs(target)
        source_gamut = source.gamut(L_black)
        if source_gamut is not None:
            ucs = compress(ucs, stock.gamut, source_gamut)
        inside, _ = clip(ucs, target[:, 1], stock.gamut)
        printed = ucs_to_XYZ(inside)
        wanted = _wanted(XYZ, target)
    return MappedColours(wanted / scale, printed / scale, miss, inside)


def _follow_profile(
    stock: Stock, XYZ: Float, rendering: Rendering, source: Source
) -> MappedColours:
    """As the lab's profile has it."""
    assert stock.profile is not None
    profile = stock.profile
    scale = stock.to_media_relative
    if rendering.intent is Intent.ABSOLUTE:
        XYZ = XYZ * (source.white_XYZ / PCS_WHITE_XYZ)
    elif source.black_Y > 0.0 and rendering.compensates:
        XYZ = compensate_black(XYZ, source.black_Y, 0.0)
    Lab = XYZ_to_Lab(XYZ)

    def through(intent: IccIntent, bpc: bool) -> Float:
        device = Lab_to_device(profile, Lab, intent, bpc=bpc)
        return Lab_to_XYZ(device_to_Lab(profile, device, IccIntent.ABSOLUTE))

    if rendering.intent is Intent.ABSOLUTE:
        wanted = XYZ
        printed = through(IccIntent.ABSOLUTE, False)
        colorimetric = printed
    else:
        bpc = rendering.compensates
        wanted = XYZ
        if bpc:
            wanted = _wanted(XYZ, compensate_black(XYZ, 0.0, stock.black_media_relative_Y))
        wanted = wanted / scale
        colorimetric = through(IccIntent.RELATIVE, bpc)
        printed = colorimetric
        if rendering.intent is Intent.PERCEPTUAL:
            printed = through(IccIntent.PERCEPTUAL, rendering.black_point_compensation)
    miss = delta_E_00(XYZ_to_Lab(wanted), XYZ_to_Lab(colorimetric))
    if rendering.compensates:
        plain = XYZ_to_Lab(through(IccIntent.RELATIVE, False))
        miss = np.minimum(miss, delta_E_00(XYZ_to_Lab(XYZ / scale), plain))
    return MappedColours(wanted, printed, miss, XYZ_to_ucs(printed * scale))


# ---- spectra -----------------------------------------------------------------------------


def _bumps() -> Float:
    """(36, 3) smooth factors by which a spectrum is bent to an exact colour."""
    x = WAVELENGTHS_NM
    return np.column_stack(
        [
            1.0 / (1.0 + np.exp((x - 490.0) / 15.0)),
            np.exp(-0.5 * ((x - 545.0) / 40.0) ** 2),
            1.0 / (1.0 + np.exp(-(x - 590.0) / 15.0)),
        ]
    )


def spectra_of(stock: Stock, XYZ: Float, ucs: Float) -> tuple[Float, Float]:
    """Spectra whose D50 colorimetry is exactly the printed colour.

    Parameters
    ----------
    stock
        Whose ink model lends the spectra.
    XYZ
        (N, 3) printed colours, absolute, D50 (M1).
    ucs
        (N, 3) the same in media-relative CAM16-UCS.

    Returns
    -------
    reflectance, emission
        (N, 36). The model's print nearest to each colour, its reflectance bent by a smooth
        factor until reflectance plus emission has the colour asked for.
    """
    W = d50_weights()
    model = stock.model
    R, emission = model.spectra(stock.separation(ucs))
    target = XYZ - emission @ W
    B = _bumps()
    # sum_l W_lj R_l (1 + sum_k a_k B_lk) = target_j, three linear equations a colour
    system = (R @ (W[:, :, None] * B[:, None, :]).reshape(len(W), 9)).reshape(-1, 3, 3)
    a = np.linalg.solve(system, (target - R @ W)[:, :, None])[:, :, 0]
    factor = a @ B.T
    factor += 1.0
    if factor.min() > 0.05:
        R *= factor
        return R, emission
    hard = factor.min(axis=1) <= 0.05
    R[~hard] *= factor[~hard]
    R[hard] = _bend_exponentially(R[hard], np.maximum(target[hard], 1e-5), W, B)
    return R, emission


def _bend_exponentially(R: Float, target: Float, W: Float, B: Float) -> Float:
    """The same for large corrections, where a linear factor would turn negative."""
    WB = (W[:, :, None] * B[:, None, :]).reshape(len(W), 9)
    for _ in range(12):
        miss = target - R @ W
        system = (R @ WB).reshape(-1, 3, 3)
        a = np.linalg.solve(system, miss[:, :, None])[:, :, 0]
        R = R * np.exp(np.clip(a, -1.0, 1.0) @ B.T)
    return R
