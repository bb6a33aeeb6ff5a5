"""From the photograph's codes to places on the lattice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Protocol

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import PCS_WHITE_XYZ, XYZ_to_Lab
from proofing.errors import ProfileError, SettingError
from proofing.language import tr

Float = npt.NDArray[np.float64]
Float32 = npt.NDArray[np.float32]

TABLE_SIZE: Final = 65536
"""Entries of the code tables: one for each 16-bit code."""
SHADOW_EXPONENT: Final = 0.7
"""Nodes sit evenly in ``(L*/100) ** 0.7``.

Measured with 33 nodes, from sRGB, Adobe RGB (1998), ROMM and linear light to an sRGB screen, worst
case: greys of the darkest sixteen 8-bit codes (codes), dark colours, all colours (dE_00)::

    exponent   0.5    0.6    0.7    0.85   1.0
    greys      0.09   0.21   0.34   0.38   0.43
    dark       0.8    0.8    0.9    1.2    1.8
    all        2.8    2.4    1.8    1.3    1.3
"""
EVEN_SHARE: Final = 0.005
"""Share of a straight line mixed into the curve, so that a flat stretch keeps an inverse."""
NEUTRAL_AB: Final = 128.0 / 255.0
"""Code of a* = b* = 0 in the ICC Lab encoding (ICC.1:2022, 6.3.4.2)."""


class CodeEncoding(Protocol):
    """What the shaper needs to know of a photograph's encoding."""

    @property
    def kind(self) -> str:
        """'RGB', 'grey' or 'Lab'."""

    @property
    def key(self) -> str:
        """Equal keys mean the same colours."""

    def to_XYZ(self, codes01: Float, /) -> Float:
        """Codes (N, 3) in 0..1 to XYZ (N, 3), ``Y = 1`` for the encoding's white."""


@dataclass(frozen=True, eq=False)
class Shaper:
    """Curves from code to lattice coordinate, one per channel.

    Equality is by `key`.

    Parameters
    ----------
    coordinates
        (3, 65536), strictly increasing from 0 to n - 1: the coordinate of every 16-bit code;
        straight lines between them. 8-bit codes are every 257th.
    n
        Nodes along each edge, at least 2.
    key
        Names the curves and n.

    Notes
    -----
    Build one with :meth:`for_encoding`.
    """

    coordinates: Float
    n: int
    key: str

    def __post_init__(self) -> None:
        if self.n < 2:
            raise SettingError("n", self.n, tr("a lattice needs at least 2 nodes along each edge"))
        given = np.asarray(self.coordinates, dtype=np.float64)
        ends = given[:, [0, -1]] if given.shape == (3, TABLE_SIZE) else np.empty(0)
        if ends.size == 0 or not np.array_equal(ends, [[0.0, self.n - 1.0]] * 3):
            raise SettingError(
                "coordinates",
                given.shape,
                tr("give (3, {TABLE_SIZE}) running from 0 to n - 1", TABLE_SIZE=TABLE_SIZE),
            )
        if not np.all(np.diff(given, axis=1) > 0.0):
            raise SettingError(
                "coordinates", tr("not increasing"), tr("the curves must always rise")
            )
        given = given.copy()
        given.flags.writeable = False
        object.__setattr__(self, "coordinates", given)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Shaper) and self.key == other.key

    def __hash__(self) -> int:
        return hash(self.key)

    @classmethod
    def for_encoding(cls, encoding: CodeEncoding, n: int = 33) -> Shaper:
        """Curves that put the nodes evenly in a warped lightness of the encoding's greys.

        Parameters
        ----------
        encoding
            RGB and grey encodings are sampled along their neutral axis. For 'Lab' the L* code
            is warped alone, a* and b* stay even on both sides of a node at exactly neutral.
        n
            Nodes along each edge.

        Raises
        ------
        ProfileError
            The encoding gives no finite, rising lightness for its greys.
        """
        key = f"shaper/{encoding.kind}/{encoding.key}/{n}"
        code = np.linspace(0.0, 1.0, TABLE_SIZE)
        if encoding.kind == "Lab":
            warped = _warped_lightness(100.0 * code) * (n - 1)
            # the node of the neutral; for an even n one side has a node more than the other
            middle = (n - 1) // 2
            if middle == 0:
                raise SettingError("n", n, tr("a lattice over Lab needs at least 3 nodes"))
            even = np.interp(code, [0.0, NEUTRAL_AB, 1.0], [0.0, middle, n - 1.0])
            even[round(NEUTRAL_AB * (TABLE_SIZE - 1))] = middle
            return cls(np.stack([warped, even, even]), n, key)
        XYZ = np.asarray(encoding.to_XYZ(np.repeat(code[:, None], 3, axis=1)), dtype=np.float64)
        if not np.all(np.isfinite(XYZ)):
            raise ProfileError(
                tr(
                    "the colour profile gives no usable colours for greys; convert the picture "
                    "to sRGB or Adobe RGB (1998) and open it again"
                )
            )
        L = XYZ_to_Lab(XYZ, PCS_WHITE_XYZ)[:, 0]
        L = np.maximum.accumulate(L)
        if not L[-1] > L[0]:
            raise ProfileError(
                tr(
                    "the colour profile makes no difference between black and white; convert "
                    "the picture to sRGB or Adobe RGB (1998) and open it again"
                )
            )
        warped = _warped_lightness(L) * (n - 1)
        return cls(np.stack([warped] * 3), n, key)

    @classmethod
    def even(cls, n: int) -> Shaper:
        """Nodes even in the codes, as interchange tables have them."""
        line = np.linspace(0.0, n - 1.0, TABLE_SIZE)
        return cls(np.stack([line] * 3), n, f"shaper/even/{n}")

    def node_positions(self) -> Float:
        """Codes in 0..1 at the nodes of each channel.

        Returns
        -------
        ndarray
            (3, n), strictly increasing from 0 to 1; the exact inverse of `coordinates`.
        """
        code = np.linspace(0.0, 1.0, TABLE_SIZE)
        nodes = np.arange(self.n, dtype=np.float64)
        return np.stack([np.interp(nodes, curve, code) for curve in self.coordinates])

    def node_codes(self) -> Float:
        """Codes in 0..1 at all nodes, the last channel running fastest.

        Returns
        -------
        ndarray
            (n**3, 3).
        """
        grid = np.meshgrid(*self.node_positions(), indexing="ij")
        return np.stack([axis.ravel() for axis in grid], axis=1)

    def coordinates_of(self, codes01: npt.ArrayLike) -> Float:
        """Lattice coordinates of codes, in full precision.

        Parameters
        ----------
        codes01
            (..., 3), held to 0..1.
        """
        codes = np.clip(np.asarray(codes01, dtype=np.float64), 0.0, 1.0)
        code = np.linspace(0.0, 1.0, TABLE_SIZE)
        return np.stack(
            [np.interp(codes[..., k], code, self.coordinates[k]) for k in range(3)], axis=-1
        )

    def tables(self, dtype: npt.DTypeLike) -> tuple[Float32, Float32, Float32]:
        """The curves as the compiled loop wants them, equal curves shared.

        Parameters
        ----------
        dtype
            Type of the codes: uint8 (256 entries), uint16 or float32 (65536 entries).
        """
        step = (TABLE_SIZE - 1) // 255 if np.dtype(dtype) == np.uint8 else 1
        made: list[Float32] = []
        for k, curve in enumerate(self.coordinates):
            same = [j for j in range(k) if np.array_equal(self.coordinates[j], curve)]
            made.append(made[same[0]] if same else curve[::step].astype(np.float32))
        return made[0], made[1], made[2]


def _warped_lightness(L: Float) -> Float:
    """0..1 over the range of a rising L*, steeper in the shadows, never flat."""
    reach = (L - L[0]) / (L[-1] - L[0])
    line = np.linspace(0.0, 1.0, len(L))
    result: Float = (1.0 - EVEN_SHARE) * reach**SHADOW_EXPONENT + EVEN_SHARE * line
    result[0], result[-1] = 0.0, 1.0
    return result
