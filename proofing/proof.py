"""From a request to a proof: runs the stages, keeps what can be used again, can be called off.

:class:`ProofRequest` captures everything one proof depends on. An :class:`Engine` bakes it to a
table (:class:`Baked`) that carries pixels of any crop or scale to the screen, and proves a whole
picture (:class:`Proof`). Caches follow the stages: a new light does not redo the printing, a new
screen does not redo the room.
"""

from __future__ import annotations

import math
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from typing import Any, Generic, NamedTuple, TypeVar, cast

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import (
    PCS_WHITE_XYZ,
    Float,
    Lab_to_XYZ,
    XYZ_to_Lab,
    Y_to_density,
    lightness,
)
from proofing.errors import SettingError
from proofing.findings.kinds import Kind
from proofing.findings.visibility import steps
from proofing.lattice import Applied, Clip, Lattice, Mark, Output, Shaper, apply
from proofing.lattice.table import in_parts
from proofing.photograph import Encoding, Photograph
from proofing.printing import (
    Intent,
    Rendering,
    Source,
    Stock,
    map_colours,
    print_colours,
    spectra_of,
)
from proofing.printing.space import XYZ_to_ucs
from proofing.screen import Screen
from proofing.viewing import Look, Observer, Plan, Room, RoomExcess, radiance

T = TypeVar("T")
Cancel = Callable[[], bool]
UInt8 = npt.NDArray[np.uint8]

NODES_MOVING = 33
"""Nodes of the table while a control moves."""
NODES_RESTING = 65
"""Nodes when it rests."""

SCALARS = ("miss", "beyond", "drowning", "bleaching")
"""Scalar channels of the table.

miss, beyond
    Signed miss of the stock and of the screen: dE00 outside, minus a margin inside.
drowning
    Just-noticeable steps (DICOM PS3.14) from the print of the file's black to this tone in the
    room, less :data:`DROWNED_STEPS`: below 0, the tone is blocked.
bleaching
    L* from this tone to bare paper, less :data:`WHITE_SHARE` of the L* that the file has below
    white, at most :data:`BARE_PAPER_L`: below 0, the tone is blown."""

DROWNED_STEPS = 4.0
"""Tones within so many just-noticeable steps of the printed black are lost in it. One step is
what a patient eye sees of a large pattern of the best size; detail of other sizes needs several:
contrast sensitivity falls to a quarter of its peak within two octaves (Barten 1999, from
memory)."""
WHITE_SHARE = 0.25
"""A highlight that keeps less than this share of its distance to white is blown, on any light."""
BARE_PAPER_L = 1.5
"""L* below bare paper within which a tone can be blown."""
READING_DISTANCE_M = 0.25
"""No one looks at a print from nearer than this (near point of the eye, handbook figure)."""
_DEEPEST = 10.0  # dE00; margins of the screen are not told apart beyond
_CHUNK = 4096


@dataclass(frozen=True)
class PrintSize:
    """Size of the printed picture, without margin.

    Parameters
    ----------
    width_mm, height_mm
        10 mm to 20 m.

    Raises
    ------
    SettingError
        Outside that.
    """

    width_mm: float
    height_mm: float

    def __post_init__(self) -> None:
        for name in ("width_mm", "height_mm"):
            value = getattr(self, name)
            if not (math.isfinite(value) and 10.0 <= value <= 20_000.0):
                raise SettingError(name, value, "use 10 mm to 20 m")

    @classmethod
    def default_for(cls, photograph: Photograph, ppi: float = 300.0) -> PrintSize:
        """The size at which the photograph's pixels lie `ppi` to the inch."""
        width, height = photograph.facts.width, photograph.facts.height
        mm = 25.4 / ppi
        mm *= min(1.0, 20_000.0 / (mm * max(width, height)))
        mm *= max(1.0, 10.0 / (mm * min(width, height)))
        # a strip too long and thin for both bounds is printed as wide as they allow
        return cls(min(width * mm, 20_000.0), min(height * mm, 20_000.0))

    @property
    def diagonal_mm(self) -> float:
        """Corner to corner."""
        return math.hypot(self.width_mm, self.height_mm)

    def ppi(self, photograph: Photograph) -> float:
        """Pixels per inch on the paper, along the tighter side."""
        facts = photograph.facts
        return 25.4 * min(facts.width / self.width_mm, facts.height / self.height_mm)


@dataclass(frozen=True, eq=False)
class ProofRequest:
    """Everything one proof depends on.

    Parameters
    ----------
    photograph, stock
        What is printed on what.
    room, screen
        Where the print hangs and where it is shown.
    size
        On paper; the default is 300 ppi.
    distance_m
        From the eye to the print; the default is 1.5 times the diagonal, but not nearer than
        :data:`READING_DISTANCE_M`.
    intent, black_point_compensation
        How colours are brought to the stock.
    look, degree_of_adaptation
        How the eye looks.
    gamut_tolerance
        dE00 from which a colour counts as out of gamut.
    """

    photograph: Photograph
    stock: Stock
    room: Room
    screen: Screen
    size: PrintSize | None = None
    distance_m: float | None = None
    intent: Intent = Intent.RELATIVE
    black_point_compensation: bool = True
    look: Look = Look.SETTLED
    degree_of_adaptation: float | None = None
    gamut_tolerance: float = 3.0

    def __post_init__(self) -> None:
        size = self.size or PrintSize.default_for(self.photograph)
        object.__setattr__(self, "size", size)
        if self.distance_m is None:
            distance = min(max(1.5 * size.diagonal_mm / 1000.0, READING_DISTANCE_M), 30.0)
            object.__setattr__(self, "distance_m", distance)
        if not 0.05 <= cast(float, self.distance_m) <= 100.0:
            raise SettingError("distance_m", self.distance_m, "use 0.05 to 100 m")
        if not 0.0 < self.gamut_tolerance <= 50.0:
            raise SettingError("gamut_tolerance", self.gamut_tolerance, "use 0 to 50 dE00")

    @property
    def rendering(self) -> Rendering:
        """Intent and black point compensation as one value."""
        return Rendering(self.intent, self.black_point_compensation)

    @property
    def observer(self) -> Observer:
        """The eye."""
        return Observer(self.look, self.degree_of_adaptation)

    @property
    def key(self) -> tuple[Hashable, ...]:
        """What the colours depend on; size and distance are not in it."""
        return (*self._room_key, self.observer.key, self.screen.key)

    @property
    def _print_key(self) -> tuple[Hashable, ...]:
        return (self.photograph.encoding.key, self.stock.key, self.rendering)

    @property
    def _room_key(self) -> tuple[Hashable, ...]:
        return (*self._print_key, self.room.key)


@dataclass(frozen=True, eq=False)
class View:
    """Pixels carried to the screen.

    Attributes
    ----------
    bgrx
        (H, W, 4) uint8.
    bits
        (H, W) uint8, one bit per :class:`~proofing.findings.kinds.Kind`.
    """

    bgrx: UInt8
    bits: UInt8


@dataclass(frozen=True)
class MarkShare:
    """How much of the picture bears a mark.

    Attributes
    ----------
    kind
        Which.
    pixels, share
        Count, and share of the picture's opaque pixels, 0..1.
    """

    kind: Kind
    pixels: int
    share: float


@dataclass(frozen=True, eq=False)
class Probe:
    """One colour, followed all the way in float64.

    Attributes
    ----------
    codes
        (3,) in the photograph's own units.
    source_Lab
        (3,) in the file, media-relative, D50.
    wanted_Lab, print_Lab
        (3,) absolute, D50, M1: without and with the stock's gamut.
    density
        Visual density of the print, against the perfect diffuser.
    luminance_cd_m2
        What reaches the eye in the room.
    miss_delta_E
        dE00 between wanted and printed.
    steps_above_black
        Just-noticeable steps from the file's black as printed to this tone, in the room.
    marks
        The kinds that hold for this colour, apart from what is clipped in the file.
    """

    codes: tuple[float, ...]
    source_Lab: Float
    wanted_Lab: Float
    print_Lab: Float
    density: float
    luminance_cd_m2: float
    miss_delta_E: float
    steps_above_black: float
    marks: tuple[Kind, ...]


@dataclass(frozen=True, eq=False)
class _Nodes:
    """The photograph's colours at the nodes of a table."""

    shaper: Shaper
    XYZ: Float
    Lab: Float


@dataclass(frozen=True, eq=False)
class _Printed:
    """Printed nodes; spectra in single precision."""

    miss: Float
    reflectance: npt.NDArray[np.float32]
    emission: npt.NDArray[np.float32] | None


def marks_for(tolerance: float) -> tuple[Mark, ...]:
    """The rules of the marks, in the order of the kinds' bits.

    Parameters
    ----------
    tolerance
        dE00 from which a colour is out of gamut, and out of reach of the screen.
    """
    return (
        Mark("miss", tolerance, True),
        Mark("drowning", 0.0, False, clipped=False),
        Mark("bleaching", 0.0, False, clipped=False),
        Mark("miss", -1e6, True, clipped=True),  # whatever the stock makes of it
        Mark("beyond", tolerance, True),
    )


@dataclass(frozen=True, eq=False)
class Baked:
    """A request baked to tables, ready for pixels.

    Attributes
    ----------
    request
        What was asked.
    nodes
        Along each edge of the table.
    lattice, photograph_lattice
        From codes to the print, and to the photograph itself, on the screen.
    plan
        The observer's.
    paper_XYZ_cd_m2, black_XYZ_cd_m2
        (3,) bare paper and the densest black in the room.
    paper_rgb, wall_rgb
        (3,) screen codes 0..1 of bare paper and of the wall it hangs on.
    """

    request: ProofRequest
    nodes: int
    lattice: Lattice = field(repr=False)
    photograph_lattice: Lattice = field(repr=False)
    plan: Plan = field(repr=False)
    paper_XYZ_cd_m2: Float
    black_XYZ_cd_m2: Float
    paper_rgb: Float
    wall_rgb: Float

    @property
    def paper_bgr(self) -> UInt8:
        """(3,) uint8, blue first."""
        return np.round(self.paper_rgb[::-1] * 255.0).astype(np.uint8)

    @property
    def wall_bgr(self) -> UInt8:
        """(3,) uint8, blue first."""
        return np.round(self.wall_rgb[::-1] * 255.0).astype(np.uint8)

    @property
    def room_excess(self) -> RoomExcess:
        """By how much the room is brighter than the screen can be."""
        return self.plan.room_excess

    @property
    def paper_white_cd_m2(self) -> float:
        """Luminance of bare paper in the room."""
        return float(self.paper_XYZ_cd_m2[1])

    @property
    def paper_black_cd_m2(self) -> float:
        """Luminance of the densest black in the room, veil included."""
        return float(self.black_XYZ_cd_m2[1])

    @property
    def contrast(self) -> float:
        """Paper white to black in the room."""
        return self.paper_white_cd_m2 / self.paper_black_cd_m2

    def print_view(
        self,
        codes: npt.NDArray[Any],
        alpha: UInt8 | None = None,
        clipped: npt.NDArray[np.bool_] | None = None,
        out: UInt8 | None = None,
        bits_out: UInt8 | None = None,
        workers: int = 2,
        cancel: Cancel | None = None,
    ) -> View:
        """The print of some pixels, as the screen shows it.

        Parameters
        ----------
        codes
            (H, W, 3) of the photograph or of a level of it.
        alpha
            (H, W); transparent places show bare paper.
        clipped
            (H, W) where the photograph says so itself, see `Photograph.clip`.
        out, bits_out
            Buffers to use again.
        workers, cancel
            As for :func:`proofing.lattice.apply`.
        """
        made = apply(
            self.lattice,
            codes,
            marks=marks_for(self.request.gamut_tolerance),
            clip=self.clip(clipped),
            alpha=alpha,
            bare_paper=self.paper_rgb,
            out=out,
            bits_out=bits_out,
            workers=workers,
            cancel=cancel,
        )
        assert made.bgrx is not None and made.bits is not None
        return View(made.bgrx, made.bits)

    def photograph_view(
        self,
        codes: npt.NDArray[Any],
        alpha: UInt8 | None = None,
        out: UInt8 | None = None,
        workers: int = 2,
        cancel: Cancel | None = None,
    ) -> UInt8:
        """The photograph itself on the same screen, its white the screen's white, (H, W, 4)."""
        made = apply(
            self.photograph_lattice, codes, alpha=alpha, out=out, workers=workers, cancel=cancel
        )
        assert made.bgrx is not None
        return made.bgrx

    def clip(self, clipped: npt.NDArray[np.bool_] | None = None) -> Clip:
        """What counts as clipped in the photograph's file, for the kernel."""
        ends = self.request.photograph.clip
        if clipped is not None:
            return Clip(mask=clipped, bit=None)
        return Clip(top=ends.top, bottom=ends.bottom, bit=None)


class _Tables(NamedTuple):
    """All of :class:`Baked` but the request, which would keep a photograph alive."""

    nodes: int
    lattice: Lattice
    photograph_lattice: Lattice
    plan: Plan
    paper_XYZ_cd_m2: Float
    black_XYZ_cd_m2: Float
    paper_rgb: Float
    wall_rgb: Float


@dataclass(frozen=True, eq=False)
class Proof:
    """A whole picture proved.

    Attributes
    ----------
    baked
        The tables.
    marks
        Shares of every kind, in their order.
    """

    baked: Baked
    marks: tuple[MarkShare, ...]

    @property
    def request(self) -> ProofRequest:
        """What was asked."""
        return self.baked.request

    def share(self, kind: Kind) -> float:
        """Share of one kind, 0..1."""
        return next(mark.share for mark in self.marks if mark.kind is kind)


class Engine:
    """Runs the stages and remembers their results. Thread-safe; no global state.

    Parameters
    ----------
    workers
        Threads for baking and pixels.
    """

    def __init__(self, workers: int = 2) -> None:
        self.workers = workers
        self._nodes: _Recent[_Nodes] = _Recent(4)
        self._sources: _Recent[Source] = _Recent(8)
        self._printed: _Recent[_Printed] = _Recent(4)
        self._radiance: _Recent[Float] = _Recent(4)
        self._photographs: _Recent[Lattice] = _Recent(4)
        self._baked: _Recent[_Tables] = _Recent(8)

    def bake(
        self, request: ProofRequest, nodes: int = NODES_MOVING, cancel: Cancel | None = None
    ) -> Baked:
        """Bake a request.

        Parameters
        ----------
        request
            What to prove.
        nodes
            Along each edge of the table, see :data:`NODES_MOVING` and :data:`NODES_RESTING`.
        cancel
            Asked between parts of the work; True calls it off.

        Raises
        ------
        Cancelled
            `cancel` said so.
        ProfileError
            A profile lacks what the request needs.
        """
        key = (request.key, nodes)
        known = self._baked.get(key)
        if known is not None:
            return Baked(request, *known)
        encoding = request.photograph.encoding
        node = self._nodes.make(
            (encoding.key, nodes), lambda: self._source_nodes(encoding, nodes, cancel)
        )
        printed = self._printed.make(
            (request._print_key, nodes), lambda: self._print(request, node, cancel)
        )
        XYZ = self._radiance.make(
            (request._room_key, nodes), lambda: self._hang(request, printed, cancel)
        )
        paper, black = ends_in_room(request.stock, request.room)
        plan = request.observer.plan(request.room, request.screen, paper)
        screen = request.screen
        Y_black = self._printed_black(request)
        values = np.empty((len(XYZ), 3 + len(SCALARS)), dtype=np.float32)

        def fill(start: int) -> None:
            part = slice(start, start + _CHUNK)
            encoded = screen.encode(plan.to_screen(XYZ[part]))
            values[part, :3] = encoded.RGB
            values[part, 3] = printed.miss[part]
            values[part, 4] = np.maximum(encoded.beyond, -_DEEPEST)
            values[part, 5:] = _tone_channels(XYZ[part, 1], node.Lab[part, 0], paper[1], Y_black)

        in_parts(fill, range(0, len(XYZ), _CHUNK), workers=self.workers, cancel=cancel)
        lattice = Lattice(
            values.reshape(nodes, nodes, nodes, -1), SCALARS, node.shaper, f"print/{key}"
        )
        ends = screen.encode(
            plan.to_screen(
                np.stack([paper, request.room.wall_reflectance * request.room.white_XYZ_cd_m2])
            )
        )
        tables = _Tables(
            nodes=nodes,
            lattice=lattice,
            photograph_lattice=self._photographs.make(
                (encoding.key, screen.key, nodes), lambda: self._photograph(node, screen, cancel)
            ),
            plan=plan,
            paper_XYZ_cd_m2=paper,
            black_XYZ_cd_m2=black,
            paper_rgb=ends.RGB[0],
            wall_rgb=ends.RGB[1],
        )
        self._baked.put(key, tables)
        return Baked(request, *tables)

    def prove(
        self, request: ProofRequest, nodes: int = NODES_RESTING, cancel: Cancel | None = None
    ) -> Proof:
        """Bake a request and count the marks over the whole picture; parameters as :meth:`bake`."""
        baked = self.bake(request, nodes, cancel)
        photograph = request.photograph
        counted: Applied = apply(
            baked.lattice,
            photograph.codes,
            output=Output.NOTHING,
            marks=marks_for(request.gamut_tolerance),
            clip=baked.clip(photograph.clip.clipped),
            alpha=photograph.alpha,
            write_bits=False,
            workers=self.workers,
            cancel=cancel,
        )
        shares = []
        for kind in Kind:
            bit = kind.bit.bit_length() - 1
            shares.append(MarkShare(kind, int(counted.counts[bit]), counted.share(bit)))
        return Proof(baked, tuple(shares))

    def probe(self, request: ProofRequest, codes: npt.NDArray[Any]) -> Probe:
        """Follow one colour all the way, without the table.

        Parameters
        ----------
        request
            The setting.
        codes
            (3,) one pixel of ``photograph.codes``.
        """
        codes = np.asarray(codes)
        scale = float(np.iinfo(codes.dtype).max) if codes.dtype.kind == "u" else 1.0
        codes01 = np.clip(codes.astype(np.float64) / scale, 0.0, 1.0)[None]
        values, detail = self._follow(request, codes01)
        tolerance = request.gamut_tolerance
        source_Lab, wanted, printed, XYZ = detail
        named = dict(zip(SCALARS, values[0, 3:], strict=True))
        marks = [
            kind
            for kind, mark in zip(Kind, marks_for(tolerance), strict=True)
            if kind is not Kind.CLIPPED_IN_FILE
            and all((named[name] > at) == above for name, at, above in mark.conditions)
        ]
        return Probe(
            codes=tuple(float(c) for c in codes),
            source_Lab=source_Lab[0],
            wanted_Lab=XYZ_to_Lab(wanted)[0],
            print_Lab=XYZ_to_Lab(printed)[0],
            density=float(Y_to_density(printed[0, 1])),
            luminance_cd_m2=float(XYZ[0, 1]),
            miss_delta_E=max(0.0, float(named["miss"])),
            steps_above_black=float(named["drowning"]) + DROWNED_STEPS,
            marks=tuple(marks),
        )

    def colour_function(self, request: ProofRequest) -> Callable[[Float], Float]:
        """The whole chain in float64, codes 0..1 (M, 3) to (M, 3 + scalars), without a table.

        The reference that the table is held to.
        """
        return lambda codes01: self._follow(request, codes01)[0]

    def print_Lab(
        self, request: ProofRequest, codes01: Float, cancel: Cancel | None = None
    ) -> Float:
        """Printed Lab of codes, absolute, D50, M1, without a table.

        Parameters
        ----------
        request
            Photograph's encoding, stock and rendering are used.
        codes01
            (N, 3) in 0..1.

        Returns
        -------
        ndarray
            (N, 3).
        """
        source = self._source(request.photograph.encoding)
        result = np.empty((len(codes01), 3))

        def fill(start: int) -> None:
            part = slice(start, start + 4 * _CHUNK)
            XYZ = request.photograph.encoding.to_XYZ(codes01[part])
            mapped = map_colours(request.stock, XYZ, request.rendering, source)
            result[part] = XYZ_to_Lab(mapped.printed)

        in_parts(fill, range(0, len(codes01), 4 * _CHUNK), workers=self.workers, cancel=cancel)
        return result

    # ---- the stages ------------------------------------------------------------------------

    def _follow(
        self, request: ProofRequest, codes01: Float
    ) -> tuple[Float, tuple[Float, Float, Float, Float]]:
        source = self._source(request.photograph.encoding)
        source_XYZ = request.photograph.encoding.to_XYZ(codes01)
        Lab = XYZ_to_Lab(source_XYZ)

        colours = print_colours(request.stock, source_XYZ, request.rendering, source)
        mapped = colours.mapped
        XYZ = radiance(colours.reflectance, colours.emission, request.stock.surface, request.room)
        paper, _ = ends_in_room(request.stock, request.room)
        plan = request.observer.plan(request.room, request.screen, paper)
        encoded = request.screen.encode(plan.to_screen(XYZ))
        values = np.column_stack(
            [
                encoded.RGB,
                mapped.miss,
                np.maximum(encoded.beyond, -_DEEPEST),
                _tone_channels(XYZ[:, 1], Lab[:, 0], paper[1], self._printed_black(request)),
            ]
        )
        return values, (Lab, mapped.wanted, mapped.printed, XYZ)

    def _source(self, encoding: Encoding) -> Source:
        def make() -> Source:
            white = encoding.media_white_XYZ
            if encoding.kind == "Lab":
                return Source(encoding.black_Y, None, white)
            black_Y = float(encoding.to_XYZ(np.zeros((1, 3)))[0, 1])
            return Source(max(black_Y, 0.0), encoding.to_XYZ, white)

        return self._sources.make(encoding.key, make)

    def _printed_black(self, request: ProofRequest) -> float:
        """Luminance of the file's darkest grey as printed, in the room, cd/m2."""
        source = self._source(request.photograph.encoding)
        black = source.black_Y * PCS_WHITE_XYZ[None]
        printed = print_colours(request.stock, black, request.rendering, source)
        XYZ = radiance(printed.reflectance, printed.emission, request.stock.surface, request.room)
        return float(XYZ[0, 1])

    def _source_nodes(self, encoding: Encoding, nodes: int, cancel: Cancel | None) -> _Nodes:
        shaper = Shaper.for_encoding(encoding, nodes)
        codes = shaper.node_codes()
        XYZ = np.empty_like(codes)

        def fill(start: int) -> None:
            part = slice(start, start + _CHUNK)
            XYZ[part] = encoding.to_XYZ(codes[part])

        in_parts(fill, range(0, len(codes), _CHUNK), workers=self.workers, cancel=cancel)
        return _Nodes(shaper, XYZ, XYZ_to_Lab(XYZ))

    def _print(self, request: ProofRequest, node: _Nodes, cancel: Cancel | None) -> _Printed:
        source = self._source(request.photograph.encoding)
        count = len(node.XYZ)
        miss = np.empty(count)
        reflectance = np.empty((count, 36), dtype=np.float32)
        emission = np.empty_like(reflectance) if request.stock.has_brightener else None
        _ = request.stock.separation  # once, before the threads ask for it

        def fill(start: int) -> None:
            part = slice(start, start + _CHUNK)
            colours = print_colours(request.stock, node.XYZ[part], request.rendering, source)
            miss[part] = colours.mapped.miss
            reflectance[part] = colours.reflectance
            if emission is not None:
                emission[part] = colours.emission

        in_parts(fill, range(0, count, _CHUNK), workers=self.workers, cancel=cancel)
        return _Printed(miss, reflectance, emission)

    def _hang(self, request: ProofRequest, printed: _Printed, cancel: Cancel | None) -> Float:
        XYZ = np.empty((len(printed.miss), 3))

        def fill(start: int) -> None:
            part = slice(start, start + 4 * _CHUNK)
            XYZ[part] = radiance(
                printed.reflectance[part],
                None if printed.emission is None else printed.emission[part],
                request.stock.surface,
                request.room,
            )

        in_parts(fill, range(0, len(XYZ), 4 * _CHUNK), workers=self.workers, cancel=cancel)
        return XYZ

    def _photograph(self, node: _Nodes, screen: Screen, cancel: Cancel | None) -> Lattice:
        RGB = np.empty((len(node.XYZ), 3), dtype=np.float32)

        def fill(start: int) -> None:
            part = slice(start, start + _CHUNK)
            RGB[part] = screen.encode(screen.from_pcs(node.XYZ[part])).RGB

        in_parts(fill, range(0, len(RGB), _CHUNK), workers=self.workers, cancel=cancel)
        n = node.shaper.n
        return Lattice(RGB.reshape(n, n, n, 3), (), node.shaper, f"photograph/{screen.key}")


def ends_in_room(stock: Stock, room: Room) -> tuple[Float, Float]:
    """XYZ in cd/m2 of bare paper and of the densest black, as they reach the eye, (3,) each."""
    XYZ_D50 = Lab_to_XYZ(np.stack([stock.white_Lab, stock.black_Lab]))
    R, emission = spectra_of(stock, XYZ_D50, XYZ_to_ucs(XYZ_D50 * stock.to_media_relative))
    XYZ = radiance(R, emission, stock.surface, room)
    return XYZ[0], XYZ[1]


def _tone_channels(Y_cd_m2: Float, L: Float, Y_paper: float, Y_black: float) -> Float:
    """Drowning and bleaching, see :data:`SCALARS`, (N, 2).

    Parameters
    ----------
    Y_cd_m2
        (N,) luminance of the print in the room.
    L
        (N,) lightness in the file.
    Y_paper, Y_black
        Bare paper and the file's black as printed, in the room, cd/m2.
    """
    drowning = steps(Y_cd_m2) - steps(Y_black) - DROWNED_STEPS
    raised = 100.0 - lightness(Y_cd_m2 / Y_paper)
    bleaching = raised - np.minimum(WHITE_SHARE * (100.0 - L), BARE_PAPER_L)
    return np.column_stack([drowning, bleaching])


class _Recent(Generic[T]):
    """The most recently used values by key."""

    def __init__(self, size: int) -> None:
        self._size = size
        self._values: OrderedDict[Hashable, T] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: Hashable) -> T | None:
        """The value, or None."""
        with self._lock:
            value = self._values.get(key)
            if value is not None:
                self._values.move_to_end(key)
            return value

    def put(self, key: Hashable, value: T) -> None:
        """Keep a value, and forget the one longest unused when there are too many."""
        with self._lock:
            self._values[key] = value
            self._values.move_to_end(key)
            while len(self._values) > self._size:
                self._values.popitem(last=False)

    def make(self, key: Hashable, maker: Callable[[], T]) -> T:
        """The value, made where it is not known. Two threads may both make it; one is kept."""
        value = self.get(key)
        if value is None:
            value = maker()
            self.put(key, value)
        return value
