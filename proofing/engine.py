"""Runs the stages, keeps what can be used again, can be called off.

:class:`ProofRequest` captures everything one proof depends on. An :class:`Engine` bakes it to a
table (:class:`Baked`) that carries pixels of any crop or scale to the screen. Caches follow the
stages: a new light does not redo the printing, a new screen does not redo the room.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, NamedTuple

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
from proofing.findings.kinds import Kind
from proofing.findings.scan import BARE_L, SCAN_CHANNELS, reference_display_cd_m2
from proofing.findings.visibility import steps
from proofing.lattice import Lattice, Shaper, apply, touched_nodes
from proofing.lattice.table import in_parts
from proofing.photograph import Encoding, unit_codes
from proofing.printing import (
    MappedColours,
    Source,
    Stock,
    map_colours,
    print_colours,
    spectra_of,
)
from proofing.printing.space import XYZ_to_ucs
from proofing.recent import Recent
from proofing.request import ProofRequest
from proofing.screen import Screen
from proofing.viewing import LampColours, Plan, Room, RoomExcess, lamp_colours, radiance

Cancel = Callable[[], bool]
UInt8 = npt.NDArray[np.uint8]

NODES_MOVING = 33
"""Nodes of the table while a control moves."""
NODES_RESTING = 65
"""Nodes when it rests."""

SCALARS = ("miss", "beyond")
"""Scalar channels of the table: signed miss of the stock and of the screen, dE00 outside, minus a
margin inside."""

_DEEPEST = 10.0  # dE00; margins of the screen are not told apart beyond
_CHUNK = 8192


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
        The kinds that hold for this colour alone; what depends on its neighbours, or is clipped in
        the file, is not among them.
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


class Greys(NamedTuple):
    """Tones on a print.

    Attributes
    ----------
    Lab
        (N, 3) printed, absolute, D50.
    luminance_cd_m2
        (N,) of the print in its room.
    print_RGB, file_RGB
        (N, 3) as the screen shows the print, and the photograph; 0..1.
    """

    Lab: Float
    luminance_cd_m2: Float
    print_RGB: Float
    file_RGB: Float


@dataclass(frozen=True, eq=False)
class _Nodes:
    """The photograph's colours at the nodes of a table."""

    shaper: Shaper
    codes: Float
    XYZ: Float
    Lab: Float


@dataclass(frozen=True, eq=False)
class _Printed:
    """Printed nodes; spectra in single precision."""

    miss: Float
    reflectance: npt.NDArray[np.float32]
    emission: npt.NDArray[np.float32] | None
    wanted_ucs: npt.NDArray[np.float32]
    printed_ucs: npt.NDArray[np.float32]


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
        out: UInt8 | None = None,
        workers: int = 2,
        cancel: Cancel | None = None,
    ) -> UInt8:
        """The print of some pixels, as the screen shows it, (H, W, 4) BGRX.

        Parameters
        ----------
        codes
            (H, W, 3) of the photograph or of a level of it.
        alpha
            (H, W); transparent places show bare paper.
        out
            Buffer to use again.
        workers, cancel
            As for :func:`proofing.lattice.apply`.
        """
        return apply(
            self.lattice,
            codes,
            alpha=alpha,
            bare_paper=self.paper_rgb,
            out=out,
            workers=workers,
            cancel=cancel,
        )

    def photograph_view(
        self,
        codes: npt.NDArray[Any],
        alpha: UInt8 | None = None,
        out: UInt8 | None = None,
        workers: int = 2,
        cancel: Cancel | None = None,
    ) -> UInt8:
        """The photograph itself on the same screen, its white the screen's white, (H, W, 4)."""
        return apply(
            self.photograph_lattice, codes, alpha=alpha, out=out, workers=workers, cancel=cancel
        )


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


class Engine:
    """Runs the stages and remembers their results. Thread-safe; no global state.

    Parameters
    ----------
    workers
        Threads for baking and pixels.
    """

    def __init__(self, workers: int = 2) -> None:
        self.workers = workers
        self._nodes: Recent[_Nodes] = Recent(4)
        self._sources: Recent[Source] = Recent(8)
        self._printed: Recent[_Printed] = Recent(4)
        self._radiance: Recent[Float] = Recent(4)
        self._photographs: Recent[Lattice] = Recent(4)
        self._baked: Recent[_Tables] = Recent(8)

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
        node = self._source_nodes_of(request, nodes, cancel)
        printed = self._printed_nodes(request, nodes, cancel)
        XYZ = self._hung(request, nodes, cancel)
        paper, black = ends_in_room(request.stock, request.room)
        plan = request.observer.plan(request.room, request.screen, paper)
        screen = request.screen
        values = np.empty((len(XYZ), 3 + len(SCALARS)), dtype=np.float32)

        def fill(start: int) -> None:
            part = slice(start, start + _CHUNK)
            encoded = screen.encode(plan.to_screen(XYZ[part]))
            values[part, :3] = encoded.RGB
            values[part, 3] = printed.miss[part]
            values[part, 4] = np.maximum(encoded.beyond, -_DEEPEST)

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

    def bake_scan(
        self,
        request: ProofRequest,
        nodes: int = NODES_RESTING,
        cancel: Cancel | None = None,
        codes: npt.NDArray[Any] | None = None,
    ) -> Lattice:
        """The table that :func:`proofing.findings.scan.scan` needs.

        Parameters
        ----------
        request, nodes, cancel
            As for :meth:`bake`.
        codes
            Pixels that alone will be looked up, (H, W, 3): the nodes that they do not need are 0,
            and nothing is kept. None for a table for all pixels.
        """
        node = self._source_nodes_of(request, nodes, cancel)
        if codes is None:
            baked = self.bake(request, nodes, cancel)
            printed = self._printed_nodes(request, nodes, cancel)
            XYZ = self._hung(request, nodes, cancel)
            beyond = baked.lattice.values.reshape(len(XYZ), -1)[:, 4]
            return self._scan_table(request, node, printed, XYZ, beyond)
        needed = touched_nodes(node.shaper, codes)
        some = _Nodes(node.shaper, node.codes[needed], node.XYZ[needed], node.Lab[needed])
        printed = self._print(request, some, cancel)
        XYZ = self._hang(request, printed, cancel)
        beyond = np.empty(len(XYZ), np.float32)
        paper, _ = ends_in_room(request.stock, request.room)
        plan = request.observer.plan(request.room, request.screen, paper)

        def fill(start: int) -> None:
            part = slice(start, start + _CHUNK)
            beyond[part] = request.screen.encode(plan.to_screen(XYZ[part])).beyond

        in_parts(fill, range(0, len(XYZ), _CHUNK), workers=self.workers, cancel=cancel)
        return self._scan_table(request, some, printed, XYZ, beyond, needed)

    def _scan_table(
        self,
        request: ProofRequest,
        node: _Nodes,
        printed: _Printed,
        XYZ: Float,
        beyond: npt.NDArray[np.float32],
        needed: npt.NDArray[np.bool_] | None = None,
    ) -> Lattice:
        """The scalar channels at all nodes, or at those that are needed."""
        paper, _ = ends_in_room(request.stock, request.room)
        below = 100.0 - lightness(XYZ[:, 1] / paper[1])
        # What is asked to be lighter than paper goes on below zero, or the table would round the
        # corner there. 1.2 L* to one J' at the white (CAM16-UCS in the conditions of its space).
        lighter = np.maximum(printed.wanted_ucs[:, 0] - 100.0, 0.0)
        below = np.where(below < BARE_L, below - 1.2 * lighter, below)
        found = np.column_stack(
            [
                printed.wanted_ucs,
                printed.miss,
                np.maximum(beyond, -_DEEPEST),
                steps(XYZ[:, 1]),
                steps(reference_display_cd_m2(node.XYZ[:, 1])),
                below,
                printed.printed_ucs,
            ]
        ).astype(np.float32)
        n = node.shaper.n
        values = found
        if needed is not None:
            values = np.zeros((n**3, found.shape[1]), np.float32)
            values[needed] = found
        key = f"scan/{request.key}/{n}" + ("" if needed is None else "/some")
        return Lattice(values.reshape(n, n, n, -1), SCAN_CHANNELS, node.shaper, key)

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
        values, detail = self._follow(request, unit_codes(codes)[None])
        source_Lab, wanted, printed, XYZ = detail
        named = dict(zip(SCALARS, values[0, 3:], strict=True))
        over = {"miss": Kind.OUT_OF_GAMUT, "beyond": Kind.BEYOND_SCREEN}
        marks = [kind for name, kind in over.items() if named[name] > request.gamut_tolerance]
        return Probe(
            codes=tuple(float(c) for c in codes),
            source_Lab=source_Lab[0],
            wanted_Lab=XYZ_to_Lab(wanted)[0],
            print_Lab=XYZ_to_Lab(printed)[0],
            density=float(Y_to_density(printed[0, 1])),
            luminance_cd_m2=float(XYZ[0, 1]),
            miss_delta_E=max(0.0, float(named["miss"])),
            steps_above_black=float(steps(XYZ[0, 1]) - steps(self._printed_black(request))),
            marks=tuple(marks),
        )

    def greys(self, request: ProofRequest, XYZ: Float) -> Greys:
        """Tones of the photograph followed all the way, without the table.

        Parameters
        ----------
        request
            The setting.
        XYZ
            (N, 3) media-relative, D50.
        """
        source = self._source(request.photograph.encoding)
        asked = _greys_to_print(request, XYZ)
        printed = print_colours(request.stock, asked, request.rendering, source)
        made = radiance(printed.reflectance, printed.emission, request.stock.surface, request.room)
        paper, _ = ends_in_room(request.stock, request.room)
        plan = request.observer.plan(request.room, request.screen, paper)
        return Greys(
            XYZ_to_Lab(printed.mapped.printed),
            np.asarray(made[:, 1]),
            request.screen.encode(plan.to_screen(made)).RGB,
            request.screen.encode(request.screen.from_pcs(XYZ)).RGB,
        )

    def map_colours(self, request: ProofRequest, XYZ: Float) -> MappedColours:
        """Where media-relative colours of the photograph, (N, 3), come to lie on the stock."""
        source = self._source(request.photograph.encoding)
        return map_colours(request.stock, XYZ, request.rendering, source)

    def map_codes(self, request: ProofRequest, codes01: Float) -> MappedColours:
        """The same of codes of the photograph, corrected as the request has it."""
        mapped = self.map_colours(request, request.to_print(codes01))
        return self._held_to(request, codes01, mapped)

    def printed_luminance(self, request: ProofRequest, XYZ: Float) -> Float:
        """Luminance in the room of greys of the photograph printed, (N,) cd/m2, without a table."""
        source = self._source(request.photograph.encoding)
        asked = _greys_to_print(request, XYZ)
        printed = print_colours(request.stock, asked, request.rendering, source)
        made = radiance(printed.reflectance, printed.emission, request.stock.surface, request.room)
        return np.asarray(made[:, 1])

    def lamp_colours(self, request: ProofRequest, XYZ: Float) -> LampColours:
        """Such colours printed, under the room's lamp and under its reference illuminant.

        Raises
        ------
        SettingError
            If the lamp is so far from white that it has no reference.
        """
        source = self._source(request.photograph.encoding)
        printed = print_colours(request.stock, XYZ, request.rendering, source)
        return lamp_colours(printed.reflectance, request.room.light)

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
        if request.correction is not None:
            request.correction.prepare()

        def fill(start: int) -> None:
            part = slice(start, start + 4 * _CHUNK)
            XYZ = request.to_print(codes01[part])
            mapped = map_colours(request.stock, XYZ, request.rendering, source)
            result[part] = XYZ_to_Lab(mapped.printed)

        in_parts(fill, range(0, len(codes01), 4 * _CHUNK), workers=self.workers, cancel=cancel)
        return result

    # ---- the stages ------------------------------------------------------------------------

    def _follow(
        self, request: ProofRequest, codes01: Float
    ) -> tuple[Float, tuple[Float, Float, Float, Float]]:
        source = self._source(request.photograph.encoding)
        Lab = XYZ_to_Lab(request.photograph.encoding.to_XYZ(codes01))
        colours = print_colours(request.stock, request.to_print(codes01), request.rendering, source)
        mapped = self._held_to(request, codes01, colours.mapped)
        XYZ = radiance(colours.reflectance, colours.emission, request.stock.surface, request.room)
        paper, _ = ends_in_room(request.stock, request.room)
        plan = request.observer.plan(request.room, request.screen, paper)
        encoded = request.screen.encode(plan.to_screen(XYZ))
        values = np.column_stack(
            [
                encoded.RGB,
                mapped.miss,
                np.maximum(encoded.beyond, -_DEEPEST),
            ]
        )
        return values, (Lab, mapped.wanted, mapped.printed, XYZ)

    def _held_to(
        self, request: ProofRequest, codes01: Float, mapped: MappedColours
    ) -> MappedColours:
        """Colours that were eased in, held to those that they were: easing may change what is
        printed, and not what the file asks for or the stock cannot hold."""
        if request.correction is None or not request.correction.eases:
            return mapped
        asked = self.map_colours(request, request.to_print(codes01, eased=False))
        return dataclasses.replace(mapped, wanted=asked.wanted, miss=asked.miss)

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
        return float(self.printed_luminance(request, black)[0])

    def _source_nodes_of(self, request: ProofRequest, nodes: int, cancel: Cancel | None) -> _Nodes:
        encoding = request.photograph.encoding
        return self._nodes.make(
            (encoding.key, nodes), lambda: self._source_nodes(encoding, nodes, cancel)
        )

    def _printed_nodes(self, request: ProofRequest, nodes: int, cancel: Cancel | None) -> _Printed:
        node = self._source_nodes_of(request, nodes, cancel)
        return self._printed.make(
            (request.print_key, nodes), lambda: self._print(request, node, cancel)
        )

    def _hung(self, request: ProofRequest, nodes: int, cancel: Cancel | None) -> Float:
        printed = self._printed_nodes(request, nodes, cancel)
        return self._radiance.make(
            (request.room_key, nodes), lambda: self._hang(request, printed, cancel)
        )

    def _source_nodes(self, encoding: Encoding, nodes: int, cancel: Cancel | None) -> _Nodes:
        shaper = Shaper.for_encoding(encoding, nodes)
        codes = shaper.node_codes()
        XYZ = np.empty_like(codes)

        def fill(start: int) -> None:
            part = slice(start, start + _CHUNK)
            XYZ[part] = encoding.to_XYZ(codes[part])

        in_parts(fill, range(0, len(codes), _CHUNK), workers=self.workers, cancel=cancel)
        return _Nodes(shaper, codes, XYZ, XYZ_to_Lab(XYZ))

    def _print(self, request: ProofRequest, node: _Nodes, cancel: Cancel | None) -> _Printed:
        source = self._source(request.photograph.encoding)
        count = len(node.XYZ)
        asked = node.XYZ if request.correction is None else None
        miss = np.empty(count)
        reflectance = np.empty((count, 36), dtype=np.float32)
        emission = np.empty_like(reflectance) if request.stock.has_brightener else None
        wanted_ucs, printed_ucs = np.empty((2, count, 3), dtype=np.float32)
        scale = request.stock.to_media_relative
        _ = request.stock.separation  # once, before the threads ask for it
        if request.correction is not None:
            request.correction.prepare()

        def fill(start: int) -> None:
            part = slice(start, start + _CHUNK)
            XYZ = request.to_print(node.codes[part]) if asked is None else asked[part]
            colours = print_colours(request.stock, XYZ, request.rendering, source)
            mapped = self._held_to(request, node.codes[part], colours.mapped)
            miss[part] = mapped.miss
            reflectance[part] = colours.reflectance
            wanted_ucs[part] = XYZ_to_ucs(mapped.wanted * scale)
            printed_ucs[part] = mapped.ucs
            if emission is not None:
                emission[part] = colours.emission

        in_parts(fill, range(0, count, _CHUNK), workers=self.workers, cancel=cancel)
        return _Printed(miss, reflectance, emission, wanted_ucs, printed_ucs)

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


def _greys_to_print(request: ProofRequest, XYZ: Float) -> Float:
    """Greys of the photograph as they are asked of the printer."""
    if request.correction is None:
        return XYZ
    return request.correction.luminance(XYZ[:, 1])[:, None] * PCS_WHITE_XYZ


def ends_in_room(stock: Stock, room: Room) -> tuple[Float, Float]:
    """XYZ in cd/m2 of bare paper and of the densest black, as they reach the eye, (3,) each."""
    XYZ_D50 = Lab_to_XYZ(np.stack([stock.white_Lab, stock.black_Lab]))
    R, emission = spectra_of(stock, XYZ_D50, XYZ_to_ucs(XYZ_D50 * stock.to_media_relative))
    XYZ = radiance(R, emission, stock.surface, room)
    return XYZ[0], XYZ[1]
