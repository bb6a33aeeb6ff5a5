"""Stocks: a sheet and the way a lab prints on it, described by a record or by an ICC profile."""

from __future__ import annotations

import functools
import hashlib
import json
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Literal

import numpy as np

from proofing.colorimetry import (
    PCS_WHITE_XYZ,
    Float,
    Lab_to_XYZ,
    XYZ_to_Lab,
    Y_to_density,
)
from proofing.errors import ProfileError, RecordError
from proofing.language import mark, tr
from proofing.photograph.icc import IccIntent, IccProfile, Lab_to_device, device_to_Lab
from proofing.printing.gamut import Gamut, cube_faces, mesh_volume
from proofing.printing.inks import InkSet
from proofing.printing.model import PrintModel
from proofing.printing.outline import outline_ab
from proofing.printing.paper import Paper, Surface, typical_b_without_ultraviolet
from proofing.printing.separation import Separation
from proofing.printing.space import ucs_to_XYZ

StockKind = Literal["described", "profiled"]

SURFACES: Mapping[str, tuple[float, float, float, float]] = {
    # kind: gloss 60 degrees GU, specular, scatter k1, internal k2. Gloss units are the classes'
    # of common practice; k1 of matte surfaces .01 to .025 and near 0 for gloss, from memory
    "matte": (3.0, 0.05, 0.012, 0.45),
    "textured matte": (2.5, 0.03, 0.014, 0.45),
    "canvas": (3.5, 0.08, 0.020, 0.45),
    "semi-gloss": (20.0, 0.80, 0.0025, 0.50),
    "gloss": (70.0, 1.0, 0.0010, 0.50),
}
_VOLUME_STEPS = 33
_OUTLINE_STEPS = 65  # with 33, five-degree sectors fall between the samples
_BLACK_FROM_SURFACE = 0.8  # share of a black's light that comes from the surface, not the ink
_STRENGTH, _N = (0.85, 1.15), (4.5, 6.5)  # ink strength and Yule-Nielsen n of matte and of gloss


@dataclass(frozen=True, eq=False)
class Stock:
    """A stock, ready to print on. Equality and hash are by :attr:`key`.

    Make one with :func:`stock_from_record`, :func:`stock_from_profile` or
    :func:`stock_from_measurement`.

    Attributes
    ----------
    name, stock_class
        What people call it, and the class it belongs to.
    kind
        ``"described"`` or ``"profiled"``.
    typical
        True until a measurement or the lab's profile stands behind it.
    white_Lab, black_Lab
        (3,), D50, 2 degrees, absolute: bare paper and the densest print.
    surface, texture
        The sheet's top.
    provenance
        Where the numbers come from.
    paper
        The sheet with its spectrum and brightener.
    ink_strength, yule_nielsen_n, inks
        What the ink model is made with.
    profile
        The lab's ICC output profile of a profiled stock.
    path
        The record or profile it was read from, for a stock of the user's own.
    """

    name: str
    stock_class: str
    kind: StockKind
    typical: bool
    white_Lab: Float
    black_Lab: Float
    surface: Surface
    texture: str
    provenance: str
    paper: Paper = field(repr=False)
    ink_strength: float
    yule_nielsen_n: float
    inks: InkSet = field(repr=False)
    ink_names: tuple[str, ...] = field(repr=False)
    profile: IccProfile | None = None
    path: Path | None = None
    also: tuple[str, ...] = ()
    note: str = ""

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Stock) and other.key == self.key

    def __hash__(self) -> int:
        return hash(self.key)

    @functools.cached_property
    def key(self) -> str:
        """Identity for caches: what it prints like, not what it is called."""
        parts = [
            self.kind,
            self.white_Lab.tolist(),
            self.black_Lab.tolist(),
            [getattr(self.surface, f) for f in ("kind", "specular", "scatter", "internal")],
            self.paper.reflectance.tolist(),
            self.paper.brightener,
            self.ink_strength,
            self.yule_nielsen_n,
            [
                [ink.name, ink.density.tolist(), ink.density_ultraviolet]
                for ink in self.inks.only(self.ink_names)
            ],
            self.profile.key if self.profile else None,
        ]
        return hashlib.sha256(json.dumps(parts).encode()).hexdigest()

    @property
    def white_XYZ(self) -> Float:
        """(3,) bare paper, absolute, D50."""
        return Lab_to_XYZ(self.white_Lab)

    @property
    def to_media_relative(self) -> Float:
        """(3,) factor that takes absolute XYZ to media-relative (ICC.1:2022, 6.3.2.2)."""
        return np.asarray(PCS_WHITE_XYZ / self.white_XYZ)

    @property
    def Dmax(self) -> float:
        """Visual density of the densest print, against the perfect diffuser."""
        return float(Y_to_density(Lab_to_XYZ(self.black_Lab)[1]))

    @property
    def has_brightener(self) -> bool:
        """Whether the sheet's white depends on the ultraviolet in the light."""
        return self.paper.brightener > 0.0

    @functools.cached_property
    def black_media_relative_Y(self) -> float:
        """Luminance factor of the black that black point compensation aims at; bare paper is 1.

        ISO 18619 takes the black as a grey. Of a described stock that is the darkest true grey
        its inks reach, which is a trace lighter than a tinted black.
        """
        if self.profile is None:
            grey = np.array([[self.gamut.J_darkest_grey, 0.0, 0.0]])
            return float(ucs_to_XYZ(grey)[0, 1])
        return float(Lab_to_XYZ(self.black_Lab)[1] / self.white_XYZ[1])

    @functools.cached_property
    def model(self) -> PrintModel:
        """The spectral print model (of a profiled stock: the model that lends it spectra)."""
        inks = self.inks.only(self.ink_names)
        for share in (1.0, 0.5, 0.15):
            # a strongly tinted black leaves less of its light to the neutral surface
            surface = replace(self.surface, scatter=share * self.surface.scatter)
            try:
                return PrintModel.build(
                    self.paper,
                    surface,
                    inks,
                    self.ink_strength,
                    self.yule_nielsen_n,
                    self.black_Lab,
                    exact=self.profile is None,  # lent spectra are bent to the profile's colours
                )
            except RecordError as error:
                refused = _at(error, self.path)
        raise refused

    @functools.cached_property
    def gamut(self) -> Gamut:
        """The ink model's gamut surface, media-relative."""
        return Gamut.from_device(
            lambda colorants: self.model.XYZ(colorants) * self.to_media_relative,
            black=np.ones(3),
            white=np.zeros(3),
        )

    @functools.cached_property
    def separation(self) -> Separation:
        """Colours of the gamut back to colorants."""
        return Separation.build(self.model, self.gamut, self.to_media_relative)

    @functools.cached_property
    def gamut_volume(self) -> float:
        """Volume of the printable colours in CIELAB units cubed, absolute, D50.

        Of the closed surface that the faces of the device cube make; for CMYK profiles the four
        cubes that have no or full black, and their outermost outline as seen from its centre.
        """
        Lab = self._surface_Lab(_VOLUME_STEPS)
        if self.profile is not None and self.profile.space not in ("RGB", "CMY"):
            return _radial_volume(Lab)
        return mesh_volume(Lab, cube_faces(_VOLUME_STEPS)[1])

    @functools.cached_property
    def outline_ab(self) -> Float:
        """How far the printable colours reach in each hue, absolute, D50.

        Returns
        -------
        ndarray
            (HUES, 2) a*, b*, see :func:`proofing.printing.outline.outline_ab`.
        """
        Lab = self._surface_Lab(_OUTLINE_STEPS)
        if self.profile is not None and self.profile.space == "CMYK":
            vertices, _ = cube_faces(_OUTLINE_STEPS)  # no black: there the colours reach farthest
            device = np.column_stack([vertices, np.zeros(len(vertices))])
            Lab = np.concatenate([Lab, device_to_Lab(self.profile, device, IccIntent.ABSOLUTE)])
        return outline_ab(Lab)

    def _surface_Lab(self, steps: int) -> Float:
        """(N, 3) colours of the faces of the device cube, absolute, D50."""
        if self.profile is None:
            return XYZ_to_Lab(self.model.XYZ(cube_faces(steps)[0]))
        return _profile_surface(self.profile, steps)


def _profile_surface(profile: IccProfile, steps: int) -> Float:
    if profile.space in ("RGB", "CMY"):
        return device_to_Lab(profile, cube_faces(steps)[0], IccIntent.ABSOLUTE)
    # four inks: the light part of the surface has no black; the dark part has one chromatic ink
    # missing or full while black grows. Radial outline of all faces about the gamut's middle.
    t = np.linspace(0.0, 1.0, 17)
    u, v, w = (g.ravel() for g in np.meshgrid(t, t, t, indexing="ij"))
    faces = []
    for channel in range(4):
        for end in (0.0, 1.0):
            face = np.empty((len(u), 4))
            face[:, channel] = end
            face[:, [c for c in range(4) if c != channel]] = np.column_stack([u, v, w])
            faces.append(face)
    return device_to_Lab(profile, np.concatenate(faces), IccIntent.ABSOLUTE)


def _radial_volume(Lab: Float, directions: int = 2500) -> float:
    """Volume inside the farthest points seen in each direction from the middle."""
    from scipy.spatial import ConvexHull

    centre = np.array([0.5 * (Lab[:, 0].min() + Lab[:, 0].max()), 0.0, 0.0])
    offset = Lab - centre
    r = np.linalg.norm(offset, axis=1)
    unit = offset[r > 1e-6] / r[r > 1e-6, None]
    r = r[r > 1e-6]
    # a Fibonacci sphere; each direction keeps the farthest sample near it
    i = np.arange(directions) + 0.5
    z = 1.0 - 2.0 * i / directions
    phi = np.pi * (1.0 + 5**0.5) * i
    sphere = np.column_stack([np.sqrt(1 - z**2) * np.cos(phi), np.sqrt(1 - z**2) * np.sin(phi), z])
    from scipy.spatial import cKDTree

    _, nearest = cKDTree(sphere).query(unit, workers=2)
    radius = np.zeros(directions)
    np.maximum.at(radius, nearest, r)
    empty = radius == 0.0
    if empty.any():
        _, fill = cKDTree(sphere[~empty]).query(sphere[empty])
        radius[empty] = radius[~empty][fill]
    # the sphere's own hull gives the triangles between neighbouring directions
    hull = ConvexHull(sphere)
    p, q, s = ((sphere * radius[:, None])[hull.simplices[:, k]] for k in range(3))
    return float(np.abs(np.einsum("ij,ij->i", p, np.cross(q, s))).sum() / 6.0)


# ---- records -----------------------------------------------------------------------------


def load_toml(path: Path) -> dict[str, Any]:
    """Read a TOML record.

    Raises
    ------
    RecordError
        When the file cannot be read or is not TOML.
    """
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise RecordError(
            tr("cannot be read ({strerror}); check the path", strerror=error.strerror), path
        ) from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise RecordError(tr("is not a TOML text: {error}", error=error), path) from error


def stock_from_record(
    record: Mapping[str, Any], ink_sets: Mapping[str, InkSet], path: Path | None = None
) -> Stock:
    """Make a described stock of a record.

    Parameters
    ----------
    record
        ``name``, ``provenance``, ``white.Lab`` and ``black.Lab`` are needed; ``class``,
        ``geometry``, ``observer``, ``condition``, ``texture``, ``also``, ``typical``,
        ``white.b_without_ultraviolet``, ``white.reflectance`` (36 numbers), ``inks`` (set,
        strength, yule_nielsen_n, use) and ``surface`` (kind, gloss_60_GU, specular, scatter,
        internal) are optional. DEVELOPERS.md shows one.
    ink_sets
        Ink sets by name.
    path
        For error texts.

    Raises
    ------
    RecordError
        With the field that is missing or wrong.
    """

    def text(name: str, default: str | None = None) -> str:
        value = record.get(name, default)
        if not isinstance(value, str) or not value.strip():
            raise RecordError(tr("needs a text"), path, name)
        return value.strip()

    def table(name: str) -> Mapping[str, Any]:
        value = record.get(name, {})
        if not isinstance(value, Mapping):
            raise RecordError(tr("needs to be a table, [{name}]", name=name), path, name)
        return value

    white_Lab = _Lab(table("white").get("Lab"), path, "white.Lab", (60.0, 100.0))
    black_Lab = _Lab(table("black").get("Lab"), path, "black.Lab", (1.0, 45.0))
    Dmax = float(Y_to_density(Lab_to_XYZ(black_Lab)[1]))

    # what a record leaves out is taken from the class its black belongs to
    surface_table = table("surface")
    default_kind = "gloss" if Dmax >= 2.2 else "semi-gloss" if Dmax >= 1.9 else "matte"
    surface_kind = surface_table.get("kind", default_kind)
    if not isinstance(surface_kind, str) or surface_kind not in SURFACES:
        raise RecordError(
            tr("choose one of: {SURFACES}", SURFACES=", ".join(SURFACES)), path, "surface.kind"
        )
    defaults = SURFACES[surface_kind]
    gloss, specular, scatter, internal = (
        _number(surface_table, name, default, path, f"surface.{name}", low, high)
        for name, default, low, high in zip(
            ("gloss_60_GU", "specular", "scatter", "internal"),
            defaults,
            (0.0, 0.0, 0.0, 0.0),
            (200.0, 1.0, 0.1, 0.9),
            strict=True,
        )
    )
    # a dense black is as dark as its surface lets it be; the surface takes most of the measured
    # black's light, unless the record says how much
    if "scatter" not in surface_table:
        scatter = _BLACK_FROM_SURFACE * float(Lab_to_XYZ(black_Lab)[1])
    scatter = min(scatter, 0.95 * float(Lab_to_XYZ(black_Lab)[1]))

    ink_table = table("inks")
    set_name = ink_table.get("set", "pigment")
    if not isinstance(set_name, str) or set_name not in ink_sets:
        raise RecordError(
            tr("choose one of: {ink_sets}", ink_sets=", ".join(ink_sets)), path, "inks.set"
        )
    glossy = surface_kind in ("gloss", "semi-gloss")
    strength = _number(ink_table, "strength", _STRENGTH[glossy], path, "inks.strength", 0.1, 3.0)
    n = _number(ink_table, "yule_nielsen_n", _N[glossy], path, "inks.yule_nielsen_n", 1.0, 20.0)
    basic = ["cyan", "magenta", "yellow", "black"]
    use = ink_table.get("use", basic + (["orange", "green", "violet"] if glossy else []))
    if not isinstance(use, list) or use[:4] != basic:
        raise RecordError(
            tr("lists ink names, starting with {basic}", basic=", ".join(basic)), path, "inks.use"
        )

    white_table = table("white")
    without = white_table.get("b_without_ultraviolet")
    if without is not None:
        without = _number(
            white_table, "b_without_ultraviolet", 0.0, path, "white.b_without_ultraviolet", -50, 50
        )
    also = record.get("also", [])
    if not isinstance(also, list | tuple) or not all(isinstance(other, str) for other in also):
        raise RecordError(tr("needs a list of texts"), path, "also")
    note = ""
    if without is None and "reflectance" not in white_table:
        without = typical_b_without_ultraviolet(float(white_Lab[2]))
        if without is not None:
            note = tr("brightener typical of a white this blue")
    try:
        paper = _paper(white_table, white_Lab, without, path)
        stock = Stock(
            name=text("name"),
            stock_class=text("class", tr("described by the user")),
            kind="described",
            typical=bool(record.get("typical", False)),
            white_Lab=white_Lab,
            black_Lab=black_Lab,
            surface=Surface(surface_kind, gloss, specular, scatter, internal),
            texture=text("texture", "smooth"),
            provenance=text("provenance"),
            paper=paper,
            ink_strength=strength,
            yule_nielsen_n=n,
            inks=ink_sets[set_name],
            ink_names=tuple(use),
            path=path,
            also=tuple(also),
            note=note,
        )
    except RecordError as error:
        raise _at(error, path) from error
    return stock


def _at(error: RecordError, path: Path | None) -> RecordError:
    """The same error with the file it is about."""
    if error.path is not None or path is None:
        return error
    return RecordError(str(error).removeprefix(f"field '{error.field}': "), path, error.field)


def _paper(
    table: Mapping[str, Any], white_Lab: Float, without: float | None, path: Path | None
) -> Paper:
    measured = table.get("reflectance")
    if measured is None:
        return Paper.from_white(white_Lab, without)
    try:
        R = np.asarray(measured, dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise RecordError("needs 36 numbers, 380 to 730 nm", path, "white.reflectance") from error
    if R.shape != (36,) or not np.isfinite(R).all() or R.min() < 0.0 or R.max() > 1.2:
        raise RecordError(
            tr("needs 36 radiance factors between 0 and 1.2, 380 to 730 nm in steps of 10 nm"),
            path,
            "white.reflectance",
        )
    R.flags.writeable = False
    return Paper.from_reflectance(R, white_Lab, without is not None)


def _Lab(value: Any, path: Path | None, name: str, L_range: tuple[float, float]) -> Float:
    try:
        Lab = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise RecordError(tr("needs three numbers, [L*, a*, b*]"), path, name) from error
    if Lab.shape != (3,) or not np.isfinite(Lab).all():
        raise RecordError(tr("needs three numbers, [L*, a*, b*]"), path, name)
    low, high = L_range
    if not low <= Lab[0] <= high:
        raise RecordError(
            tr("L* = {Lab:g} lies outside {low:g} to {high:g}", Lab=Lab[0], low=low, high=high),
            path,
            name,
        )
    if np.abs(Lab[1:]).max() > 128.0:
        raise RecordError(tr("a* and b* lie within -128 to 128"), path, name)
    Lab.flags.writeable = False
    return Lab


def _number(
    table: Mapping[str, Any],
    name: str,
    default: float,
    path: Path | None,
    field_name: str,
    low: float,
    high: float,
) -> float:
    value = table.get(name, default)
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        raise RecordError(
            tr("needs a number from {low:g} to {high:g}", low=low, high=high), path, field_name
        )
    return float(value)


def stock_from_measurement(
    name: str,
    white_Lab: Float,
    black_Lab: Float,
    ink_sets: Mapping[str, InkSet],
    provenance: str = mark("white and black measured by the user"),
) -> Stock:
    """A described stock of just its measured white and black Lab (D50, M1)."""
    return stock_from_record(
        {
            "name": name,
            "class": tr("measured white and black"),
            "provenance": provenance,
            "white": {"Lab": list(white_Lab)},
            "black": {"Lab": list(black_Lab)},
        },
        ink_sets,
    )


def stock_from_profile(
    profile: IccProfile, ink_sets: Mapping[str, InkSet], path: Path | None = None
) -> Stock:
    """A stock that prints as an ICC output profile says.

    Parameters
    ----------
    profile
        Of the output class, for an RGB or CMYK device, with tables both ways.
    ink_sets
        For the model that lends spectra to its colours.
    path
        Where the profile lies.

    Raises
    ------
    ProfileError
        When it is not an output profile or lacks a direction.
    """
    where = path.name if path else f"'{profile.description}'"
    if profile.device_class != "output":
        raise ProfileError(
            tr(
                "{where} is a profile of class '{device_class}', not of a printer; ask the lab "
                "for the output profile of the stock",
                where=where,
                device_class=profile.device_class,
            ),
            path,
        )
    if profile.space not in ("RGB", "CMYK", "CMY"):
        raise ProfileError(
            tr(
                "{where} drives a {space} device; an RGB or CMYK output profile is needed",
                where=where,
                space=profile.space,
            ),
            path,
        )
    if not profile.to_device:
        raise ProfileError(
            tr(
                "{where} has no table from colour to device; ask for a complete output profile",
                where=where,
            ),
            path,
        )
    white_code = np.zeros((1, 4)) if profile.space == "CMYK" else np.zeros((1, 3))
    if profile.space == "RGB":
        white_code = np.ones((1, 3))
    white_Lab = device_to_Lab(profile, white_code, IccIntent.ABSOLUTE)[0]
    black_Lab = black_point(profile)
    Dmax = float(Y_to_density(max(Lab_to_XYZ(black_Lab)[1], 1e-4)))
    glossy = Dmax >= 1.9
    kind = "gloss" if Dmax >= 2.2 else "semi-gloss" if glossy else "matte"
    gloss, specular, _, internal = SURFACES[kind]
    scatter = _BLACK_FROM_SURFACE * float(Lab_to_XYZ(black_Lab)[1])
    inks = next(iter(ink_sets.values()))
    names = tuple(ink.name for ink in inks.inks)
    return Stock(
        name=profile.description or where,
        stock_class="profiled",
        kind="profiled",
        typical=False,
        white_Lab=white_Lab,
        black_Lab=black_Lab,
        surface=Surface(kind, gloss, specular, scatter, internal),
        texture="smooth",
        provenance=tr("ICC output profile '{description}'", description=profile.description)
        + (f" ({path.name})" if path else ""),
        paper=Paper.from_white(
            np.clip(white_Lab, [40, -20, -20], [99.5, 20, 20]),
            typical_b_without_ultraviolet(float(white_Lab[2])),
            exact=False,
        ),
        ink_strength=_STRENGTH[glossy],
        yule_nielsen_n=_N[glossy],
        inks=inks,
        ink_names=names if glossy else names[:4],
        profile=profile,
        path=path,
        note=tr("surface, brightener and spectra are typical for its white and black"),
    )


def black_point(profile: IccProfile) -> Float:
    """Lab of the darkest neutral a profile prints, absolute, D50.

    The way of ISO 18619 for output profiles: L* = 0 is sent to the device with the relative
    intent and read back.
    """
    device = Lab_to_device(profile, np.zeros((1, 3)), IccIntent.RELATIVE)
    darkest: Float = device_to_Lab(profile, device, IccIntent.ABSOLUTE)[0]
    return darkest
