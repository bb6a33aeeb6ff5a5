"""Inks: density spectra made of a few bands, and the sets they come in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from proofing.colorimetry import WAVELENGTHS_NM, Float
from proofing.errors import RecordError
from proofing.language import tr


@dataclass(frozen=True)
class Band:
    """One absorption band: a Gaussian in density, each flank with its own width.

    Parameters
    ----------
    peak_nm
        Wavelength of the highest absorption.
    below_nm, above_nm
        Standard deviations of the short-wave and the long-wave flank. An infinite flank makes
        a plateau.
    density
        Double-pass density at the peak of the solid ink layer.
    """

    peak_nm: float
    below_nm: float
    above_nm: float
    density: float

    def evaluate(self, wavelengths_nm: Float) -> Float:
        """Density at the wavelengths, (N,)."""
        offset = wavelengths_nm - self.peak_nm
        width = np.where(offset < 0, self.below_nm, self.above_nm)
        return np.asarray(self.density * np.exp(-0.5 * (offset / width) ** 2))


@dataclass(frozen=True)
class Edge:
    """A logistic absorption edge: absorbs below `at_nm` (or above, with a negative width)."""

    at_nm: float
    width_nm: float
    density: float

    def evaluate(self, wavelengths_nm: Float) -> Float:
        """Density at the wavelengths, (N,)."""
        return np.asarray(
            self.density / (1.0 + np.exp((wavelengths_nm - self.at_nm) / self.width_nm))
        )


@dataclass(frozen=True)
class Ink:
    """An ink: its name and the double-pass density spectrum of a solid layer.

    Parameters
    ----------
    name
        For instance ``"cyan"``.
    density
        (36,) on :data:`~proofing.colorimetry.WAVELENGTHS_NM`; Beer-Lambert densities add when
        inks lie on each other.
    density_ultraviolet
        Density where brighteners are excited (about 365 nm).
    """

    name: str
    density: Float = field(repr=False)
    density_ultraviolet: float

    @classmethod
    def from_record(cls, name: str, record: Mapping[str, Any]) -> Ink:
        """Make an ink from bands, edges and a floor.

        Raises
        ------
        RecordError
            For a missing or non-numeric entry.
        """
        try:
            parts: list[Band | Edge] = [
                Band(*(float(b[f]) for f in ("peak_nm", "below_nm", "above_nm", "density")))
                for b in record.get("bands", ())
            ]
            parts += [
                Edge(*(float(e[f]) for f in ("at_nm", "width_nm", "density")))
                for e in record.get("edges", ())
            ]
            floor = float(record.get("floor", 0.0))
            ultraviolet = float(record["density_ultraviolet"])
        except (AttributeError, KeyError, TypeError, ValueError) as error:
            raise RecordError(
                tr(
                    "ink '{name}' needs numbers for bands (peak_nm, below_nm, above_nm, "
                    "density), edges (at_nm, width_nm, density) and density_ultraviolet: {error}",
                    name=name,
                    error=error,
                ),
                field="inks",
            ) from error
        density = np.full(len(WAVELENGTHS_NM), floor)
        for part in parts:
            with np.errstate(all="ignore"):  # an odd width or height is told below
                density = density + part.evaluate(WAVELENGTHS_NM)
        if not (np.isfinite([*density, ultraviolet]).all() and density.min() >= 0.0):
            raise RecordError(
                tr(
                    "ink '{name}' has densities that are no positive numbers; check its widths "
                    "and heights",
                    name=name,
                ),
                field="inks",
            )
        density.flags.writeable = False
        return cls(name, density, ultraviolet)


@dataclass(frozen=True)
class InkSet:
    """Inks that are printed together.

    The first four are cyan, magenta, yellow and black; orange, green and violet may follow.
    """

    name: str
    inks: tuple[Ink, ...]
    provenance: str

    @classmethod
    def from_record(cls, record: Mapping[str, Any]) -> InkSet:
        """Make a set from a record ``{name, provenance, inks: {name: {...}}}``.

        Raises
        ------
        RecordError
            When an ink is malformed or one of the four basic inks is missing.
        """
        table = record.get("inks")
        if not isinstance(table, Mapping):
            raise RecordError(tr("an ink set needs a table of inks"), field="inks")
        inks = tuple(Ink.from_record(name, value) for name, value in table.items())
        names = [ink.name for ink in inks]
        if names[:4] != ["cyan", "magenta", "yellow", "black"]:
            raise RecordError(
                tr(
                    "an ink set starts with cyan, magenta, yellow, black; found {names}",
                    names=names[:4],
                ),
                field="inks",
            )
        for field_name in ("name", "provenance"):
            value = record.get(field_name)
            if not isinstance(value, str) or not value.strip():
                raise RecordError(tr("needs a text"), field=field_name)
        return cls(record["name"], inks, record["provenance"])

    def only(self, names: Sequence[str]) -> tuple[Ink, ...]:
        """The inks of those names, in the set's own order.

        Raises
        ------
        RecordError
            When a name is not in the set.
        """
        known = {ink.name for ink in self.inks}
        for name in names:
            if name not in known:
                raise RecordError(
                    tr(
                        "ink '{name}' is not in the set '{set}' ({known})",
                        name=name,
                        set=self.name,
                        known=", ".join(sorted(known)),
                    ),
                    field="inks.use",
                )
        return tuple(ink for ink in self.inks if ink.name in names)
