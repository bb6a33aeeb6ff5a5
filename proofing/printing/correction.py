"""A tone correction of the photograph for its print: a curve over the file's own codes.

The curve works on each channel of an RGB or grey file, and on L* alone of a Lab file, so that it
can be repeated in any editor that has curves. It goes from black to black and from white to white
and never falls: no code is clipped by it and no tones change places.
"""

from __future__ import annotations

import functools
import hashlib
import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import Float
from proofing.errors import SettingError
from proofing.language import tr
from proofing.photograph import Encoding

LIFT_WHOLE_L, LIFT_ENDS_L = 8.0, 62.0
"""L* up to which shadows are lifted in full, and from which on nothing is changed: above it lie
skin, sky and paper, whose character is to stay."""
MOST_LIFT_STOPS = 1.5
"""More than that would leave the tones between shadows and mid-tones less than half of their
contrast, which the fall of the lift takes from them."""
_TABLE = 4096  # of a curve as it is applied; between two entries it is straight
_POINTS = 11  # of a curve as it is told


@dataclass(frozen=True)
class Correction:
    """A curve over the codes of one encoding.

    Parameters
    ----------
    encoding
        Whose codes.
    curve
        Code out at equal steps of the code in, 0..1; begins at 0, ends at 1, never falls.
    lift_stops
        By how much it lifts the shadows, where that is how it was made.

    Raises
    ------
    SettingError
        Another sort of curve.
    """

    encoding: Encoding
    curve: tuple[float, ...]
    lift_stops: float = 0.0

    def __post_init__(self) -> None:
        values = np.asarray(self.curve)
        if len(values) < 2 or values[0] != 0.0 or values[-1] != 1.0:
            raise SettingError("curve", len(values), tr("a curve goes from 0 to 1"))
        if not np.isfinite(values).all() or (np.diff(values) < 0.0).any():
            raise SettingError("curve", len(values), tr("a curve never falls"))

    @functools.cached_property
    def key(self) -> str:
        """Identity for caching."""
        digest = hashlib.sha256(np.asarray(self.curve).tobytes()).hexdigest()
        return f"correction:{self.encoding.key}:{digest}"

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Correction) and other.key == self.key

    def __hash__(self) -> int:
        return hash(self.key)

    @property
    def is_none(self) -> bool:
        """Whether it changes nothing."""
        even = np.linspace(0.0, 1.0, len(self.curve))
        return bool(np.allclose(self.curve, even, atol=1e-9))

    def apply(self, codes01: npt.ArrayLike) -> Float:
        """Codes corrected.

        Parameters
        ----------
        codes01
            (N, 3) of the encoding, 0..1; what lies outside is taken as the end.

        Returns
        -------
        ndarray
            (N, 3).
        """
        codes = np.asarray(codes01, np.float64)
        at = np.linspace(0.0, 1.0, len(self.curve))
        if self.encoding.kind == "Lab":
            result = codes.copy()
            result[:, 0] = np.interp(codes[:, 0], at, self.curve)
            return result
        return np.asarray(np.interp(codes, at, self.curve))

    def luminance(self, Y: npt.ArrayLike) -> Float:
        """Luminance factor of greys, corrected; (N,) to (N,), media-relative."""
        neutral, codes = self._neutral
        code = np.interp(np.asarray(Y, np.float64), neutral, codes)
        return np.asarray(np.interp(np.interp(code, codes, self.curve), codes, neutral))

    @functools.cached_property
    def _neutral(self) -> tuple[Float, Float]:
        codes = np.linspace(0.0, 1.0, len(self.curve))
        return _neutral_Y(self.encoding, codes), codes

    def points(self, count: int = _POINTS) -> tuple[tuple[float, float], ...]:
        """The curve as points to be set by hand, codes in and out, 0..1.

        They stand where the curve bends, closer together in the shadows; a smooth curve through
        them comes within a code of 255 of it.
        """
        at = np.linspace(0.0, 1.0, len(self.curve))
        steps = np.linspace(0.0, 1.0, count) ** 1.6
        return tuple((float(code), float(np.interp(code, at, self.curve))) for code in steps)


def shadow_lift(encoding: Encoding, stops: float) -> Correction:
    """The curve that lifts the shadows by a number of stops and leaves the mid-tones.

    Parameters
    ----------
    encoding
        Of the photograph.
    stops
        0 to :data:`MOST_LIFT_STOPS`: by how much the luminance of the deepest shadows grows.

    Raises
    ------
    SettingError
        Outside that.

    Examples
    --------
    >>> from proofing.photograph.icc import srgb_profile
    >>> lift = shadow_lift(Encoding("RGB", srgb_profile()), 1.0)
    >>> before, after = (Encoding("RGB", srgb_profile()).to_XYZ(c)[0, 1]
    ...                  for c in ([[0.05] * 3], lift.apply([[0.05] * 3])))
    >>> round(float(after / before), 2)
    2.0
    """
    if not (math.isfinite(stops) and 0.0 <= stops <= MOST_LIFT_STOPS):
        raise SettingError(
            "stops",
            stops,
            tr("lift shadows by 0 to {most:g} stops", most=MOST_LIFT_STOPS),
        )
    codes = np.linspace(0.0, 1.0, _TABLE)
    Y = _neutral_Y(encoding, codes)
    lifted = Y * 2.0 ** (stops * _share_of_lift(_L_of(Y)))
    curve = np.interp(lifted, Y, codes)  # Y never falls along the codes
    curve = np.maximum.accumulate(np.clip(curve, 0.0, 1.0))
    curve[0], curve[-1] = 0.0, 1.0
    return Correction(encoding, tuple(float(value) for value in curve), stops)


def _neutral_Y(encoding: Encoding, codes: Float) -> Float:
    """Luminance factor of greys, rising without a step back."""
    greys = np.repeat(codes[:, None], 3, axis=1)
    if encoding.kind == "Lab":
        greys[:, 1:] = 128.0 / 255.0  # a* and b* of 0, ICC.1:2022, 6.3.4.2
    Y = np.maximum.accumulate(np.maximum(encoding.to_XYZ(greys)[:, 1], 0.0))
    return np.asarray(Y + 1e-12 * np.arange(len(Y)))


def _L_of(Y: Float) -> Float:
    """CIE 015:2018, 8.2.1."""
    return np.where(Y > (6.0 / 29.0) ** 3, 116.0 * np.cbrt(Y) - 16.0, Y * (29.0 / 3.0) ** 3)


def _share_of_lift(L: Float) -> Float:
    """1 in the shadows, 0 from the mid-tones on, smooth between."""
    x = np.clip((LIFT_ENDS_L - L) / (LIFT_ENDS_L - LIFT_WHOLE_L), 0.0, 1.0)
    return np.asarray(x * x * (3.0 - 2.0 * x))
