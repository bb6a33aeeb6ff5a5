"""Strong colours eased in: drawn together toward a stock's gamut, so that modelling shows again.

What lies beyond a gamut is printed as its nearest edge, and petals that differed become one flat
colour. Here the colourfulness between a knee inside the gamut and the far end of what the file's
space can hold is drawn together instead, at the lightness and hue of CAM16-UCS, the space in which
colours are brought to a stock. Below the knee nothing changes; greys never do.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import PCS_WHITE_XYZ, Float, XYZ_to_Lab, lightness
from proofing.compiled import compiled
from proofing.errors import SettingError
from proofing.language import tr
from proofing.photograph import Encoding
from proofing.photograph.icc import IccIntent, XYZ_to_device, adobe_rgb_profile, encode_Lab
from proofing.printing.gamut import Gamut
from proofing.printing.rendering import (
    Intent,
    Rendering,
    Source,
    compensate_black,
    map_colours,
)
from proofing.printing.space import XYZ_to_ucs, ucs_to_XYZ
from proofing.printing.stock import Stock

KNEE, LOWEST_KNEE = 0.6, 0.25
"""Share of the stock's colourfulness below which nothing changes; and where it goes, at the lowest,
when so much is to be brought in that less than :data:`KEPT` of modelling would be left above."""
KEPT = 0.45
"""Slope that is kept above the knee where that can be: what keeps less than a third of its range
counts as flattened."""
_SOFT = 0.3  # share of what is left above the knee over which it bends
_STEEPEST = 1.5
"""Colourfulness by which the outline may fall for one J' toward white and black. Where it falls
more steeply a colour is left outside: its nearest printable one is darker or lighter, not duller,
and neighbours stay apart."""
_DARK = (4.0, 16.0)
"""J' above the darkest tone that the print holds below which nothing changes, and from which all
does. What is darker is blocked, and lighter shadows help it; and CAM16 makes much of what little
colour a near-black has."""
NODES = 49
"""Along an edge of the table by which many pixels are eased."""
_COMES_BACK = 1.0
"""CAM16-UCS within which a profile's tables give back what they hold (from memory: good ones err by
half of that)."""
_TIP = 10.0  # J' below which a profile prints one black for all
_HUES, _LEVELS = 120, 81
_FARTHEST = 90.0  # CAM16-UCS colourfulness; no stock holds more (sRGB's red has 45)
_NEUTRAL = 128.0 / 255.0  # of a* and b*, ICC.1:2022, 6.3.4.2

Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class ColourEase:
    """A function over the codes of one encoding, made for one stock. Equality is by :attr:`key`.

    Parameters
    ----------
    encoding
        Whose codes.
    stock, rendering
        Whose gamut, and how the file's black comes to it.
    share
        0..1: of what the file's space holds beyond the gamut, how much is brought in. 0 changes
        nothing; 1 brings in the strongest colour that a code can stand for.

    Raises
    ------
    SettingError
        Another share.
    """

    encoding: Encoding
    stock: Stock
    rendering: Rendering
    share: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.share) and 0.0 <= self.share <= 1.0):
            raise SettingError(
                "colour_ease", self.share, tr("ease strong colours in by 0 to 100 %")
            )

    @functools.cached_property
    def key(self) -> str:
        """Identity for caching."""
        how = f"{self.rendering.intent}:{self.rendering.compensates}"
        return f"ease:{self.encoding.key}:{self.stock.key}:{how}:{self.share!r}"

    def __eq__(self, other: object) -> bool:
        return isinstance(other, ColourEase) and other.key == self.key

    def __hash__(self) -> int:
        return hash(self.key)

    @property
    def is_none(self) -> bool:
        """Whether it changes nothing; a grey file has no colours."""
        return self.share == 0.0 or self.encoding.kind == "grey"

    def follow(self, codes01: npt.ArrayLike) -> Float:
        """Codes eased in, in float64 and without the table; (N, 3) to (N, 3).

        Raises
        ------
        ProfileError
            The file's profile cannot be turned round.
        """
        codes = np.asarray(codes01, np.float64)
        if self.is_none:
            return codes.copy()
        return self._eased(codes, _placed(self.encoding, self.stock, self.rendering, codes))

    def apply(self, codes01: npt.ArrayLike) -> Float:
        """Codes eased in, through a table of :data:`NODES`; (N, 3), 0..1, to (N, 3)."""
        codes = np.ascontiguousarray(codes01, np.float64)
        if self.is_none:
            return codes.copy()
        out = np.empty_like(codes)
        at = np.column_stack([np.interp(codes[:, i], *self._axes[i]) for i in range(3)])
        _mix(self._table, at, out)
        return out

    def prepare(self) -> None:
        """Make the table now, once, before threads ask for it."""
        if not self.is_none:
            _ = self._table

    @property
    def table(self) -> tuple[list[Float], Float]:
        """What other programs can interpolate: for each channel the node, 0..1, at which each of
        4096 even codes stands, and (NODES**3, 3) codes at the nodes, the last channel fastest."""
        even = np.linspace(0.0, 1.0, 4096)
        return [np.interp(even, *axis) / (NODES - 1) for axis in self._axes], self._table

    @functools.cached_property
    def _axes(self) -> list[tuple[Float, Float]]:
        """For each channel codes, rising, and the node at which each stands, 0..NODES - 1."""
        return node_axes(self.encoding)

    @functools.cached_property
    def _table(self) -> Float:
        codes, placed = _placed_nodes(self.encoding, self.stock, self.rendering)
        table = self._eased(codes, placed)
        table.flags.writeable = False
        return table

    def _eased(self, codes: Float, placed: _Placed) -> Float:
        ucs, limit, far = placed.ucs, placed.limit, placed.far
        C = np.hypot(ucs[:, 1], ucs[:, 2])
        eased = drawn_in(C, limit, limit + self.share * (far - limit))
        low, high = _DARK
        light = np.clip((ucs[:, 0] - placed.J_black - low) / (high - low), 0.0, 1.0)
        eased = C - light * light * (3.0 - 2.0 * light) * (C - eased)
        moved = C - eased > 1e-9
        result = codes.copy()
        if moved.any():
            ratio = (eased[moved] / C[moved])[:, None]
            inward = ucs[moved] * np.column_stack([np.ones_like(ratio), ratio, ratio])
            result[moved] = _codes_of(self.encoding, ucs_to_XYZ(inward))
        return np.clip(result, 0.0, 1.0)


def drawn_in(C: Float, limit: Float, far: Float) -> Float:
    """Colourfulness drawn together, so that `far` comes to lie on `limit`.

    Parameters
    ----------
    C, limit, far
        (N,), `far` at least `limit`.

    Returns
    -------
    ndarray
        (N,); up to :func:`knee_of` what it was; from there its slope falls from 1, over a short
        way, to one that stays and is never 0, so that no two become one.

    Examples
    --------
    >>> limit, far = np.full(4, 30.0), np.full(4, 50.0)
    >>> drawn_in(np.array([10.0, 18.0, 35.0, 50.0]), limit, far).round(1).tolist()
    [10.0, 17.1, 24.5, 30.0]
    """
    knee = knee_of(limit, far)
    room = np.maximum(limit - knee, 1e-6)
    reach = np.maximum(far - knee, room)
    width = _SOFT * room
    bend = width * -np.expm1(-reach / width)
    slope = (room - bend) / (reach - bend)
    over = np.maximum(C - knee, 0.0)
    drawn = slope * over + (1.0 - slope) * width * -np.expm1(-over / width)
    return np.where(knee < C, np.minimum(knee + drawn, C), C)


def knee_of(limit: Float, far: Float) -> Float:
    """Colourfulness below which nothing changes, (N,), where `far` is to lie on `limit`."""
    enough = (limit - KEPT * far) / (1.0 - KEPT)
    return np.minimum(KNEE * limit, np.maximum(enough, LOWEST_KNEE * limit))


def node_axes(encoding: Encoding, nodes: int = NODES) -> list[tuple[Float, Float]]:
    """For each channel codes and their place among the nodes: closer where codes are steep.

    Those of a Lab file have a node at a* and b* of 0, where its greys lie.
    """
    places = np.arange(nodes, dtype=np.float64)
    if encoding.kind == "Lab":
        share = places / (nodes - 1)
        half = np.interp(share, [0.0, 0.5, 1.0], [0.0, _NEUTRAL, 1.0])
        return [(share, places), (half, places), (half, places)]
    codes = np.linspace(0.0, 1.0, 1025)
    greys = np.repeat(codes[:, None], 3, axis=1)
    L = lightness(np.maximum(encoding.to_XYZ(greys)[:, 1], 0.0)) / 100.0
    even = np.maximum.accumulate(0.5 * codes + 0.5 * np.clip(L, 0.0, 1.0))
    even = (even - even[0]) / (even[-1] - even[0])
    return [(np.interp(places, even * (nodes - 1), codes), places)] * 3


@dataclass(frozen=True, eq=False)
class _Placed:
    """Colours in CAM16-UCS, the colourfulness a stock has for each, and the file's space; and the
    J' of the darkest tone of the file that the print holds."""

    ucs: Float
    limit: Float
    far: Float
    J_black: float


def _placed(encoding: Encoding, stock: Stock, rendering: Rendering, codes: Float) -> _Placed:
    ucs = XYZ_to_ucs(encoding.to_XYZ(codes))
    held, space, J_black = _gamuts(encoding, stock, rendering)
    h = np.mod(np.arctan2(ucs[:, 2], ucs[:, 1]), 2.0 * np.pi)
    limit = held.limit(np.clip(ucs[:, 0], held.J_black, held.J_white), h)
    far = space.limit(np.clip(ucs[:, 0], space.J_black, space.J_white), h)
    return _Placed(ucs, limit, np.maximum(far, limit), J_black)


@functools.lru_cache(maxsize=2)
def _placed_nodes(encoding: Encoding, stock: Stock, rendering: Rendering) -> tuple[Float, _Placed]:
    axes = [codes for codes, _ in node_axes(encoding)]
    codes = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)
    return codes, _placed(encoding, stock, rendering, codes)


@functools.lru_cache(maxsize=8)
def _gamuts(encoding: Encoding, stock: Stock, rendering: Rendering) -> tuple[Gamut, Gamut, float]:
    """Of the stock, seen from the file's colours, and of the file's space (Adobe RGB (1998) in the
    place of a space without limits), both about the greys; and the J' where the first begins."""
    of_space = encoding
    if encoding.kind == "Lab":
        of_space = Encoding("RGB", adobe_rgb_profile())
    space = Gamut.from_device(of_space.to_XYZ, np.zeros(3), np.ones(3))
    held = _held_of_file(encoding, stock, rendering)
    J_black = float(np.linspace(0.0, 100.0, _LEVELS)[int(np.argmax(held.table.max(axis=0) > 0.0))])
    return _levelled(held), _levelled(space), J_black


def _held_of_file(encoding: Encoding, stock: Stock, rendering: Rendering) -> Gamut:
    """For each lightness and hue of the file the colourfulness that the print still holds.

    Found by halving, because black point compensation, or paper white where it is imitated, lies
    between the file's colour and the print's; and because a profile tells what it holds only by
    what comes back.
    """
    black_Y = encoding.black_Y
    if encoding.kind != "Lab":
        black_Y = max(float(encoding.to_XYZ(np.zeros((1, 3)))[0, 1]), 0.0)
    source = Source(black_Y, None, encoding.media_white_XYZ)
    levels = np.linspace(0.0, 100.0, _LEVELS)
    J = np.repeat(levels[None, :], _HUES, axis=0).ravel()
    h = np.repeat(np.arange(_HUES) * (2.0 * np.pi / _HUES), _LEVELS)
    low, high = np.zeros_like(J), np.full_like(J, _FARTHEST)
    cos, sin = np.cos(h), np.sin(h)
    for _ in range(12):
        C = 0.5 * (low + high)
        XYZ = ucs_to_XYZ(np.column_stack([J, C * cos, C * sin]))
        inside = _is_held(stock, XYZ, rendering, source)
        low, high = np.where(inside, C, low), np.where(inside, high, C)
    table = low.reshape(_HUES, _LEVELS)
    if stock.profile is not None:
        tip = int(np.searchsorted(levels, _TIP))
        table[:, :tip] = np.minimum(table[:, :tip], table[:, tip : tip + 1])
    return Gamut(table, 0.0, 100.0, 0.0, np.zeros(2), np.zeros(_HUES))


def _is_held(stock: Stock, XYZ: Float, rendering: Rendering, source: Source) -> Mask:
    """Whether a stock prints colours of the file, (N, 3), as they are asked, (N,)."""
    target = XYZ
    if rendering.intent is Intent.ABSOLUTE:
        target = XYZ * (source.white_XYZ / PCS_WHITE_XYZ) * stock.to_media_relative
    elif rendering.compensates:
        target = compensate_black(XYZ, source.black_Y, stock.black_media_relative_Y)
    ucs = XYZ_to_ucs(target)
    if stock.profile is None:
        return np.asarray(stock.gamut.margin(*stock.gamut.to_axis(ucs)) >= 0.0)
    colorimetric = rendering
    if rendering.intent is Intent.PERCEPTUAL:
        colorimetric = Rendering(Intent.RELATIVE, True)
    printed = map_colours(stock, XYZ, colorimetric, source).ucs
    return np.asarray(np.linalg.norm(printed - ucs, axis=1) <= _COMES_BACK)


def _levelled(gamut: Gamut) -> Gamut:
    """The same, its outline falling nowhere more steeply than :data:`_STEEPEST`."""
    table = gamut.table.copy()
    fall = _STEEPEST * (gamut.J_white - gamut.J_black) / (table.shape[1] - 1)
    for k in range(1, table.shape[1]):
        table[:, k] = np.maximum(table[:, k], table[:, k - 1] - fall)
    for k in range(table.shape[1] - 2, -1, -1):
        table[:, k] = np.maximum(table[:, k], table[:, k + 1] - fall)
    table.flags.writeable = False
    return Gamut(
        table, gamut.J_black, gamut.J_white, gamut.L_black, gamut.tint, gamut.J_cusp
    )  # fmt: skip


def _codes_of(encoding: Encoding, XYZ: Float) -> Float:
    if encoding.profile is None:
        return np.asarray(encode_Lab(XYZ_to_Lab(XYZ)))
    return np.asarray(XYZ_to_device(encoding.profile, XYZ, IccIntent.RELATIVE))


@compiled
def _mix(table: Float, at: Float, out: Float) -> None:
    """Tetrahedral interpolation, which keeps the diagonal of greys as it is at the nodes."""
    n = round(len(table) ** (1.0 / 3.0))
    steps = (n * n, n, 1)
    for i in range(len(at)):
        corner = 0
        f0 = f1 = f2 = 0.0
        for c in range(3):
            whole = min(max(int(at[i, c]), 0), n - 2)
            corner += whole * steps[c]
            share = at[i, c] - whole
            if c == 0:
                f0 = share
            elif c == 1:
                f1 = share
            else:
                f2 = share
        # the channels by their fractions, the largest first
        a, b, c = 0, 1, 2
        fa, fb, fc = f0, f1, f2
        if fb > fa:
            a, b, fa, fb = b, a, fb, fa
        if fc > fb:
            b, c, fb, fc = c, b, fc, fb
        if fb > fa:
            a, b, fa, fb = b, a, fb, fa
        first = corner + steps[a]
        second = first + steps[b]
        last = second + steps[c]
        for k in range(3):
            out[i, k] = (
                (1.0 - fa) * table[corner, k]
                + (fa - fb) * table[first, k]
                + (fb - fc) * table[second, k]
                + fc * table[last, k]
            )
