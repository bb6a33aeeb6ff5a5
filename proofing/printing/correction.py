"""A correction of the photograph for its print: a curve over the file's own codes, then colours.

The curve works on each channel of an RGB or grey file, and on L* alone of a Lab file, so that it
can be repeated in any editor that has curves. It goes from black to black and from white to white
and never falls: no code is clipped by it and no tones change places. It is made of points set by
hand, then of the lift that a print needs; strong colours are eased in after it.
"""

from __future__ import annotations

import functools
import hashlib
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import Float
from proofing.errors import SettingError
from proofing.language import tr
from proofing.photograph import Encoding
from proofing.printing.easing import ColourEase
from proofing.printing.stock import Stock

LIFT_WHOLE_L, LIFT_ENDS_L = 8.0, 62.0
"""L* up to which shadows are lifted in full, and from which on nothing is changed: above it lie
skin, sky and paper, whose character is to stay."""
MOST_LIFT_STOPS = 1.5
"""More than that would leave the tones between shadows and mid-tones less than half of their
contrast, which the fall of the lift takes from them."""
MOST_POINTS = 12
"""Points set by hand; more of them are no curve but a drawing."""
CurvePoints = tuple[tuple[float, float], ...]
"""Codes in and out, 0..1."""
_TABLE = 4096  # of a curve as it is applied; between two entries it is straight
_POINTS = 11  # of a curve as it is told


@dataclass(frozen=True)
class Correction:
    """A curve over the codes of one encoding, and what becomes of colours after it.

    Parameters
    ----------
    encoding
        Whose codes.
    curve
        Code out at equal steps of the code in, 0..1; begins at 0, ends at 1, never falls.
    lift_stops, own
        By how much it lifts the shadows and through which points set by hand it goes, where that
        is how it was made.
    ease
        Strong colours eased in, after the curve; None leaves them.

    Raises
    ------
    SettingError
        Another sort of curve, or colours of another encoding.
    """

    encoding: Encoding
    curve: tuple[float, ...] = (0.0, 1.0)
    lift_stops: float = 0.0
    own: CurvePoints = ()
    ease: ColourEase | None = None

    def __post_init__(self) -> None:
        values = np.asarray(self.curve)
        if len(values) < 2 or values[0] != 0.0 or values[-1] != 1.0:
            raise SettingError("curve", len(values), tr("a curve goes from 0 to 1"))
        if not np.isfinite(values).all() or (np.diff(values) < 0.0).any():
            raise SettingError("curve", len(values), tr("a curve never falls"))
        if self.ease is not None and self.ease.encoding != self.encoding:
            own = tr("make it for the photograph's own encoding")
            raise SettingError("colour_ease", self.ease.encoding.kind, own)

    @functools.cached_property
    def key(self) -> str:
        """Identity for caching."""
        digest = hashlib.sha256(np.asarray(self.curve).tobytes()).hexdigest()
        eased = f":{self.ease.key}" if self.ease is not None and self.eases else ""
        return f"correction:{self.encoding.key}:{digest}{eased}"

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Correction) and other.key == self.key

    def __hash__(self) -> int:
        return hash(self.key)

    @property
    def eases(self) -> bool:
        """Whether it changes colours beyond what its curve does."""
        return self.ease is not None and not self.ease.is_none

    @property
    def is_none(self) -> bool:
        """Whether it changes nothing."""
        return not self.eases and self.is_straight

    @property
    def is_straight(self) -> bool:
        """Whether its curve changes nothing."""
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
        toned = self.toned(codes01)
        return toned if self.ease is None else self.ease.apply(toned)

    def prepare(self) -> None:
        """Make what is slow to make now, once, before threads ask for it."""
        if self.ease is not None:
            self.ease.prepare()

    def with_lift(self, stops: float) -> Correction:
        """The same with another lift."""
        return correction_for(self.encoding, self.own, stops, self.ease)

    def with_ease(self, ease: ColourEase | None) -> Correction:
        """The same with colours eased in otherwise."""
        return replace(self, ease=ease)

    def for_stock(self, stock: Stock) -> Correction:
        """The same for another stock: colours are eased in toward its own gamut."""
        return self if self.ease is None else self.with_ease(replace(self.ease, stock=stock))

    def toned(self, codes01: npt.ArrayLike) -> Float:
        """Codes through the curve alone, as :meth:`apply`."""
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
    return correction_for(encoding, lift_stops=stops)


def correction_for(
    encoding: Encoding,
    own: CurvePoints = (),
    lift_stops: float = 0.0,
    ease: ColourEase | None = None,
) -> Correction:
    """Points set by hand, then a lift, then strong colours eased in.

    The points come first: they are the picture as its maker wants it, on any stock; the lift is
    what this print needs of that picture.

    Parameters
    ----------
    encoding
        Of the photograph.
    own
        Points of a curve, see :func:`own_curve`; none for a straight line.
    lift_stops
        As for :func:`shadow_lift`.
    ease
        None leaves colours alone.

    Raises
    ------
    SettingError
        Points or a lift that make no curve.
    """
    stops = lift_stops
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
    if own:
        curve = np.interp(own_curve(own, codes), codes, curve)
    curve[0], curve[-1] = 0.0, 1.0
    return Correction(encoding, tuple(float(value) for value in curve), stops, own, ease)


def own_curve(points: CurvePoints, codes01: Float) -> Float:
    """The curve through points set by hand, smooth and never falling.

    Parameters
    ----------
    points
        Codes in and out, 0..1: from (0, 0) to (1, 1), :data:`MOST_POINTS` at the most, those in
        at least a code of 255 apart, those out never falling.
    codes01
        (N,) where it is wanted.

    Raises
    ------
    SettingError
        Other points.

    Notes
    -----
    Monotone piecewise cubic through the points (PCHIP), by scipy.
    """
    from scipy.interpolate import PchipInterpolator

    check_points(points)
    at, out = np.array(points).T
    return np.clip(PchipInterpolator(at, out)(codes01), 0.0, 1.0)


def check_points(points: Sequence[Sequence[float]]) -> None:
    """Raise what is wrong with points that are to make a curve, see :func:`own_curve`."""
    shown = " ".join(f"{255 * x:.4g}:{255 * y:.4g}" for x, y in points)
    values = np.asarray(points, np.float64)
    if len(values) < 2 or len(values) > MOST_POINTS:
        wrong = tr("a curve has 2 to {most} points", most=MOST_POINTS)
    elif not (np.isfinite(values).all() and values.min() >= 0.0 and values.max() <= 1.0):
        wrong = tr("points lie between 0 and 255")
    elif tuple(values[0]) != (0.0, 0.0) or tuple(values[-1]) != (1.0, 1.0):
        wrong = tr("a curve goes from 0:0 to 255:255, so that nothing is clipped")
    elif (np.diff(values[:, 0]) < 0.999 / 255.0).any():
        wrong = tr("give points from dark to light, at least 1 apart")
    elif (np.diff(values[:, 1]) < 0.0).any():
        wrong = tr("a curve never falls: what is lighter in the file stays lighter")
    else:
        return
    raise SettingError("curve", shown, wrong)


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
