"""What stands between the print and the room: glass, acrylic, or nothing."""

from __future__ import annotations

import functools
import hashlib
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from proofing.language import mark, tr

from ..colorimetry import WAVELENGTHS_NM, d50_weights
from ..errors import RecordError
from .light import LIGHT_WAVELENGTHS_NM

Float = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Glazing:
    """A pane in front of the print. Frozen; equality and hash by :attr:`key`.

    Parameters
    ----------
    name
        What a framer would call it.
    curve_nm, curve
        Support points of the regular transmittance of one pass, within 300..780 nm; a smooth
        monotone curve (PCHIP) is drawn through them.
    reflectance
        R_g, what both faces of the pane together throw back, 0..1.
    provenance
        Where the curve comes from.
    note
        What it does about ultraviolet, for people.
    aliases
        Further names.

    Raises
    ------
    RecordError
        Values outside 0..1, or more light out than in.
    """

    name: str
    curve_nm: tuple[float, ...]
    curve: tuple[float, ...]
    reflectance: float
    provenance: str
    note: str = ""
    aliases: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        nm, T = np.asarray(self.curve_nm, float), np.asarray(self.curve, float)
        if not self.name.strip() or not self.provenance.strip():
            raise RecordError(tr("name and provenance must not be empty"), field="provenance")
        if nm.ndim != 1 or nm.shape != T.shape or len(nm) < 2 or (np.diff(nm) <= 0).any():
            raise RecordError(tr("needs rising wavelengths, one per value"), field="curve_nm")
        if nm[0] != LIGHT_WAVELENGTHS_NM[0] or nm[-1] != LIGHT_WAVELENGTHS_NM[-1]:
            raise RecordError(tr("must run from 300 to 780 nm"), field="curve_nm")
        if not (np.isfinite(T).all() and T.min() >= 0.0 and T.max() <= 1.0):
            raise RecordError(tr("transmittance lies between 0 and 1"), field="curve")
        if not 0.0 <= self.reflectance < 1.0:
            raise RecordError(tr("reflectance lies between 0 and 1"), field="reflectance")
        if float(T.max()) + self.reflectance > 1.0 + 1e-9:
            raise RecordError(
                tr("transmittance and reflectance add up to more than 1"), field="reflectance"
            )

    @functools.cached_property
    def key(self) -> str:
        """Identity for caching."""
        parts = repr((self.curve_nm, self.curve, self.reflectance)).encode()
        return f"glazing:{hashlib.sha256(parts).hexdigest()}"

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Glazing):
            return NotImplemented
        return (self.key, self.name) == (other.key, other.name)

    def __hash__(self) -> int:
        return hash((self.key, self.name))

    @functools.cached_property
    def transmittance(self) -> Float:
        """(97,) at :data:`~proofing.viewing.light.LIGHT_WAVELENGTHS_NM`, one pass. Read-only."""
        from scipy.interpolate import PchipInterpolator

        curve = PchipInterpolator(np.asarray(self.curve_nm), np.asarray(self.curve))
        T: Float = np.clip(np.asarray(curve(LIGHT_WAVELENGTHS_NM), np.float64), 0.0, 1.0)
        T.flags.writeable = False
        return T

    @functools.cached_property
    def transmittance_visible(self) -> Float:
        """(36,) at :data:`~proofing.colorimetry.WAVELENGTHS_NM`, one pass. Read-only."""
        T: Float = np.interp(WAVELENGTHS_NM, LIGHT_WAVELENGTHS_NM, self.transmittance)
        T.flags.writeable = False
        return T

    @functools.cached_property
    def transmittance_D50(self) -> float:
        """Share of the light that passes once, as the eye weighs it, under D50: Y of the pane."""
        return float(self.transmittance_visible @ d50_weights()[:, 1])

    @property
    def is_none(self) -> bool:
        """Whether there is no pane at all."""
        return self.reflectance == 0.0 and min(self.curve) == 1.0

    @property
    def uv_transmittance(self) -> float:
        """Mean transmittance of 320..380 nm, the share of near ultraviolet let through."""
        nm = LIGHT_WAVELENGTHS_NM
        return float(self.transmittance[(nm >= 320.0) & (nm <= 380.0)].mean())


NO_GLAZING = Glazing(
    name=mark("no glass"),
    curve_nm=(300.0, 780.0),
    curve=(1.0, 1.0),
    reflectance=0.0,
    provenance=mark("no pane: everything passes, nothing is thrown back"),
    note=mark("nothing keeps ultraviolet from the print"),
    aliases=("none", "no glazing", "unglazed"),
)
"""The print hangs open."""
