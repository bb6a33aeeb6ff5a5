"""Light sources: spectrum, whiteness, fidelity, and how strongly they wake a brightener.

The tables are those of CIE 015:2018 as colour-science carries them; nothing is copied here. A
halogen lamp, for which no table is published, is a Planckian radiator at its temperature.
"""

from __future__ import annotations

import functools
import hashlib
import re
import warnings
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
import numpy.typing as npt

from proofing.language import mark, tr

from .._colour import colour_science
from ..colorimetry import colour_matching_functions, d50_power, weights_for
from ..errors import RecordError, SettingError

Float = npt.NDArray[np.float64]

LIGHT_WAVELENGTHS_NM: Float = np.arange(300.0, 781.0, 5.0)
"""Grid of every light and glazing, nm: 300 for the brightener's sake, 780 for the eye's."""
LIGHT_WAVELENGTHS_NM.flags.writeable = False

KINDS = ("daylight", "tungsten", "halogen", "LED", "fluorescent", "measured")

_UV_DATA_FROM_NM = 330.0
"""A table that starts at or below this says enough about the ultraviolet; the brightener's
excitation below it is under 4 % of the whole for D50 (computed here)."""

_EXCITATION_PEAK_NM = 365.0
_EXCITATION_SIGMA_NM = 30.0
_EXCITATION_CUT_NM = 425.0
# Optical brighteners absorb about 340-370 nm and a little violet (literature); a plausible shape,
# not fitted to one brightener.


class Transmitter(Protocol):
    """What a light passes on its way to the print: a glazing, as far as a light knows it."""

    @property
    def transmittance(self) -> Float:
        """(97,) at :data:`LIGHT_WAVELENGTHS_NM`, one pass."""


@functools.cache
def brightener_excitation_nm() -> Float:
    """Relative absorption of a typical brightener at :data:`LIGHT_WAVELENGTHS_NM`.

    Returns
    -------
    ndarray
        (97,), Gaussian at 365 nm with sigma 30 nm, zero above 425 nm. Read-only.
    """
    nm = LIGHT_WAVELENGTHS_NM
    shape = np.exp(-0.5 * ((nm - _EXCITATION_PEAK_NM) / _EXCITATION_SIGMA_NM) ** 2)
    result = np.where(nm <= _EXCITATION_CUT_NM, shape, 0.0)
    result.flags.writeable = False
    return result


@functools.cache
def _y_bar() -> Float:
    cmfs = colour_matching_functions()
    y: Float = np.interp(LIGHT_WAVELENGTHS_NM, cmfs[:, 0], cmfs[:, 2], left=0.0, right=0.0)
    y.flags.writeable = False
    return y


def _excitation_per_lux(power: Float, transmittance: Float | None) -> float:
    """Photons a brightener takes up, per unit of illuminance before the glazing."""
    taken = brightener_excitation_nm() * LIGHT_WAVELENGTHS_NM * power
    if transmittance is not None:
        taken = taken * transmittance
    return float(taken.sum() / (power * _y_bar()).sum())


@functools.cache
def _d50_excitation() -> float:
    colour_science()
    _, power = d50_power()
    return _excitation_per_lux(power, None)


@dataclass(frozen=True, eq=False)
class Light:
    """A light source. Frozen; equality and hash by :attr:`key`.

    Exactly one of `table`, `temperature_K` and `samples` says where the spectrum comes from.

    Parameters
    ----------
    name
        Short name; for a CIE illuminant its designation.
    words
        What a photographer would call it, e.g. ``warm gallery LED, 3000 K``.
    kind
        One of :data:`KINDS`.
    provenance
        Where the spectrum comes from.
    caution
        What to look out for under such a light.
    aliases
        Further names it answers to.
    table
        Key of the spectral table in colour-science.
    temperature_K
        Planckian radiator of this temperature.
    samples
        (wavelengths_nm, power), each (M,), a measurement of one's own.
    recorded_cct_K
        What :attr:`cct_K` is known to come out as, so that listing lights needs no spectrum.

    Raises
    ------
    RecordError
        If the fields contradict each other or the measurement cannot be used.
    """

    name: str
    words: str
    kind: str
    provenance: str
    caution: str = ""
    aliases: tuple[str, ...] = ()
    table: str | None = None
    temperature_K: float | None = None
    samples: tuple[Float, Float] | None = field(default=None, repr=False)
    recorded_cct_K: float | None = field(default=None, repr=False)

    def __post_init__(self) -> None:
        for label in ("name", "words", "provenance"):
            if not str(getattr(self, label)).strip():
                raise RecordError(tr("must be a sentence or name, not empty"), field=label)
        if self.kind not in KINDS:
            raise RecordError(tr("must be one of {KINDS}", KINDS=", ".join(KINDS)), field="kind")
        given = [self.table, self.temperature_K, self.samples]
        if sum(value is not None for value in given) != 1:
            raise RecordError(
                tr("give exactly one of table, temperature_K, samples"), field="table"
            )
        if self.temperature_K is not None and not 1000.0 <= self.temperature_K <= 25000.0:
            raise SettingError(
                "temperature",
                f"{self.temperature_K:g} K",
                tr("use a temperature of 1000 to 25000 K"),
            )
        if self.samples is not None:
            object.__setattr__(self, "samples", _checked_samples(*self.samples))

    @functools.cached_property
    def key(self) -> str:
        """Identity of the spectrum, for caching: what it is, not what it is called."""
        if self.table is not None:
            return f"light:table:{self.table}"
        if self.temperature_K is not None:
            return f"light:planckian:{self.temperature_K!r}"
        assert self.samples is not None
        digest = hashlib.sha256(b"".join(part.tobytes() for part in self.samples)).hexdigest()
        return f"light:samples:{digest}"

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Light):
            return NotImplemented
        return (self.key, self.name, self.words) == (other.key, other.name, other.words)

    def __hash__(self) -> int:
        return hash((self.key, self.name, self.words))

    @property
    def wavelengths_nm(self) -> Float:
        """(97,), 300..780 nm in steps of 5."""
        return LIGHT_WAVELENGTHS_NM

    @functools.cached_property
    def _spectrum(self) -> tuple[Float, float]:
        """Power scaled to a mean of 1 over 380..730 nm, and where the data start, nm."""
        nm = LIGHT_WAVELENGTHS_NM
        if self.table is not None:
            tables = colour_science().SDS_ILLUMINANTS
            if self.table not in tables:
                raise RecordError(
                    tr(
                        "'{table}' is not a spectral table of colour-science; check the name",
                        table=self.table,
                    ),
                    field="table",
                )
            sd = tables[self.table]
            known_nm, known = np.asarray(sd.wavelengths, float), np.asarray(sd.values, float)
        elif self.temperature_K is not None:
            known_nm, known = nm, planckian_power(nm, self.temperature_K)
        else:
            assert self.samples is not None
            known_nm, known = self.samples
        power = np.interp(nm, known_nm, known, left=0.0, right=0.0)
        power = power / power[(nm >= 380.0) & (nm <= 730.0)].mean()
        power.flags.writeable = False
        return power, float(known_nm[0])

    @property
    def power(self) -> Float:
        """(97,) relative spectral power at :attr:`wavelengths_nm`; zero where it is not known."""
        return self._spectrum[0]

    @property
    def has_uv_data(self) -> bool:
        """Whether the spectrum says what there is below 380 nm.

        Where it does not, the violet from 380 nm up still counts towards :meth:`excitation`;
        a lamp that leaks ultraviolet would wake the brightener more than is shown.
        """
        return self._spectrum[1] <= _UV_DATA_FROM_NM

    @functools.cached_property
    def _weights(self) -> Float:
        colour_science()
        weights = weights_for(LIGHT_WAVELENGTHS_NM, self.power)
        weights.flags.writeable = False
        return weights

    def weights(self) -> Float:
        """Tristimulus weights at :data:`proofing.colorimetry.WAVELENGTHS_NM`.

        Returns
        -------
        ndarray
            (36, 3); ``reflectance @ weights`` is XYZ with ``Y = 1`` for the perfect diffuser.
            ASTM E308 style, CIE 1931 2-degree observer. Read-only.
        """
        return self._weights

    @property
    def XYZ_w(self) -> Float:
        """(3,), the light's white, ``Y = 1``."""
        white: Float = self._weights.sum(axis=0)
        return white

    @functools.cached_property
    def _cct_duv(self) -> tuple[float, float]:
        colour = colour_science()
        X, Y, Z = self.XYZ_w
        uv = np.array([4.0 * X, 6.0 * Y]) / (X + 15.0 * Y + 3.0 * Z)  # CIE 1960 UCS
        cct, duv = colour.temperature.uv_to_CCT_Ohno2013(uv)
        return float(cct), float(duv)

    @property
    def cct_K(self) -> float:
        """Correlated colour temperature, K (Ohno 2013, through colour-science).

        From the record where it is written there, to the kelvin, and then it costs nothing.
        """
        return self._cct_duv[0] if self.recorded_cct_K is None else self.recorded_cct_K

    @property
    def duv(self) -> float:
        """Signed distance from the Planckian locus in CIE 1960 uv; above it (greenish) > 0."""
        return self._cct_duv[1]

    @property
    def fidelity_Rf(self) -> float:
        """CIE 224:2017 colour fidelity index, 0..100. Slow the first time (a tenth of a second).

        Raises
        ------
        SettingError
            If the light is so far from white that the index is not defined.
        """
        return _fidelity(self)

    def check_white(self) -> None:
        """Refuse a light that colours cannot be judged under (CIE 224:2017, from memory).

        Raises
        ------
        SettingError
            If it is so far from white that colour fidelity is not defined.
        """
        if not 1000.0 < self.cct_K < 25000.0 or abs(self.duv) > 0.05:
            raise SettingError(
                "light",
                self.words,
                tr("too far from white for a colour fidelity index; choose another"),
            )

    def excitation(self, glazing: Transmitter | None = None) -> float:
        """How strongly the light wakes a brightener, per lux, relative to bare D50.

        Parameters
        ----------
        glazing
            What stands between light and print; its own illuminance loss is not made up for:
            the lux are those in front of it.

        Returns
        -------
        float
            1 for D50 without glazing. ``sum ex(lambda) S(lambda) T(lambda) lambda`` over
            ``sum S(lambda) y_bar(lambda)``: photons, as fluorescence counts them.
        """
        transmittance = None if glazing is None else glazing.transmittance
        colour_science()
        return _excitation_per_lux(self.power, transmittance) / _d50_excitation()


@functools.lru_cache(maxsize=128)
def _fidelity(light: Light) -> float:
    colour = colour_science()
    nm = LIGHT_WAVELENGTHS_NM
    visible = nm >= 380.0
    sd = colour.SpectralDistribution(light.power[visible], nm[visible], name=light.name)
    light.check_white()
    with warnings.catch_warnings():  # it remarks that it resamples its own tables
        warnings.simplefilter("ignore")
        return float(colour.quality.colour_fidelity_index_CIE2017(sd))


def planckian_power(wavelengths_nm: npt.ArrayLike, temperature_K: float) -> Float:
    """Relative spectral power of a Planckian radiator.

    Parameters
    ----------
    wavelengths_nm
        (M,).
    temperature_K
        Temperature, K.

    Returns
    -------
    ndarray
        (M,), relative.

    Notes
    -----
    Planck's law with c_2 = 1.4388e-2 m K (ITS-90, as CIE 015:2018 uses it for colour
    temperature), in standard air (n = 1 here, the relative effect is negligible).
    """
    metres = np.asarray(wavelengths_nm, dtype=np.float64) * 1e-9
    power: Float = metres**-5.0 / np.expm1(1.4388e-2 / (metres * temperature_K))
    return power


def _checked_samples(wavelengths_nm: npt.ArrayLike, power: npt.ArrayLike) -> tuple[Float, Float]:
    nm = np.array(wavelengths_nm, dtype=np.float64)
    values = np.array(power, dtype=np.float64)
    if nm.ndim != 1 or nm.shape != values.shape or len(nm) < 8:
        raise RecordError(
            tr("needs two equally long columns, wavelength and power"), field="samples"
        )
    if not (np.isfinite(nm).all() and np.isfinite(values).all()):
        raise RecordError(tr("holds something that is not a number"), field="samples")
    if (np.diff(nm) <= 0).any() or np.diff(nm).max() > 20.0:
        raise RecordError(tr("wavelengths must rise in steps of at most 20 nm"), field="samples")
    if nm[0] > 400.0 or nm[-1] < 700.0:
        raise RecordError(tr("must reach from 400 nm or less to 700 nm or more"), field="samples")
    if values.min() < 0.0 or values.max() <= 0.0:
        raise RecordError(tr("power must not be negative, nor zero throughout"), field="samples")
    nm.flags.writeable = False
    values.flags.writeable = False
    return nm, values


_HALOGEN_PROVENANCE = mark(
    "Planckian radiator; halogen filaments run at 2800-3200 K (common practice). No table "
    "is published: the ultraviolet is that of the radiator, without a lamp's own glass."
)
_HALOGEN_CAUTION = mark(
    "Halogen lamps run hot and emit some ultraviolet: keep the usual distance, and for "
    "works that matter ask a conservator about filters and lux-hours."
)


def halogen(temperature_K: float = 3000.0) -> Light:
    """A halogen lamp as a Planckian radiator.

    Parameters
    ----------
    temperature_K
        Filament temperature; 2800-3200 K is usual.

    Returns
    -------
    Light

    Raises
    ------
    SettingError
        Outside 1000..25000 K.
    """
    return Light(
        name=f"halogen {temperature_K:g} K",
        words=f"halogen spot, {temperature_K:g} K",
        kind="halogen",
        provenance=_HALOGEN_PROVENANCE,
        caution=_HALOGEN_CAUTION,
        temperature_K=float(temperature_K),
    )


_HALOGEN_NAME = re.compile(
    r"^halogen(?: spot)?,?\s*(?P<kelvin>\d+(?:\.\d+)?)?\s*K?$", re.IGNORECASE
)


def halogen_from_name(name: str) -> Light | None:
    """``halogen 3000 K`` and its like -> the light; None if the name is not of that form.

    >>> halogen_from_name("Halogen 2900 K").temperature_K
    2900.0
    """
    match = _HALOGEN_NAME.match(name.strip())
    if match is None:
        return None
    kelvin = match["kelvin"]
    return halogen() if kelvin is None else halogen(float(kelvin))


def measured_light(
    name: str, wavelengths_nm: npt.ArrayLike, power: npt.ArrayLike, provenance: str
) -> Light:
    """A light from one's own measurement of its spectrum.

    Parameters
    ----------
    name
        What to call it.
    wavelengths_nm, power
        (M,) each; relative power, at most 20 nm apart, 400..700 nm at least.
    provenance
        Instrument and circumstances.

    Raises
    ------
    RecordError
        If the measurement cannot be used.
    """
    samples = (np.asarray(wavelengths_nm, float), np.asarray(power, float))
    return Light(name=name, words=name, kind="measured", provenance=provenance, samples=samples)


def names_of(light: Light) -> Sequence[str]:
    """Every name the light answers to, the words first."""
    return (light.words, light.name, *light.aliases)
