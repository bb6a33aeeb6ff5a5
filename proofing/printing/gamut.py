"""The surface of a gamut, taken from the device itself and not from a hull around it.

The six faces of the device cube, carried through the print model into CAM16-UCS, are cut by
planes of constant J'; in each plane the chroma at which the outline crosses every hue is kept.
The table holds concave parts as they are.
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import Float, lightness
from proofing.compiled import compiled
from proofing.printing.space import XYZ_to_ucs

HUES = 360
LEVELS = 201
_TINT_REACH = 15.0  # J' over which a tinted black fades into the grey axis


def cube_faces(steps: int) -> tuple[Float, npt.NDArray[np.intp]]:
    """Vertices and triangles of the surface of the unit cube.

    Parameters
    ----------
    steps
        Vertices along an edge.

    Returns
    -------
    vertices
        (6 steps**2, 3).
    triangles
        (M, 3) indices, all wound the same way when seen from outside.
    """
    t = np.linspace(0.0, 1.0, steps)
    u, v = (grid.ravel() for grid in np.meshgrid(t, t, indexing="ij"))
    index = np.arange(steps * steps).reshape(steps, steps)
    a, b, c, d = index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]
    outward = np.stack([a, b, c, a, c, d], axis=-1).reshape(-1, 3)
    vertices: list[Float] = []
    triangles: list[npt.NDArray[np.intp]] = []
    for axis in range(3):
        for end in (0.0, 1.0):
            face = np.empty((steps * steps, 3))
            face[:, axis] = end
            face[:, (axis + 1) % 3] = u
            face[:, (axis + 2) % 3] = v
            triangles.append((outward if end else outward[:, ::-1]) + len(vertices) * len(face))
            vertices.append(face)
    return np.concatenate(vertices), np.concatenate(triangles)


def mesh_volume(points: Float, triangles: npt.NDArray[np.intp]) -> float:
    """Volume inside a closed triangle mesh by the divergence theorem.

    Parameters
    ----------
    points
        (N, 3).
    triangles
        (M, 3) indices.

    >>> round(mesh_volume(*cube_faces(3)), 9)
    1.0
    """
    p, q, r = (points[triangles[:, i]] for i in range(3))
    return float(abs(np.einsum("ij,ij->i", p, np.cross(q, r)).sum()) / 6.0)


@compiled
def _slice_mesh(
    J: Float, a: Float, b: Float, triangles: npt.NDArray[np.intp], levels: Float, hues: int
) -> Float:
    """Outermost crossing of the mesh with every ray (level, hue) from the grey axis."""
    table = np.zeros((hues, len(levels)))
    step = 2.0 * np.pi / hues
    low, span = levels[0], levels[-1] - levels[0]
    n = len(levels)
    for m in range(len(triangles)):
        i0, i1, i2 = triangles[m, 0], triangles[m, 1], triangles[m, 2]
        J_min = min(J[i0], J[i1], J[i2])
        J_max = max(J[i0], J[i1], J[i2])
        first = max(int(np.ceil((J_min - low) / span * (n - 1) - 1e-9)), 0)
        last = min(int(np.floor((J_max - low) / span * (n - 1) + 1e-9)), n - 1)
        for k in range(first, last + 1):
            level = levels[k]
            found = 0
            pa = pb = qa = qb = 0.0
            for e in range(3):
                s = i0 if e == 0 else (i1 if e == 1 else i2)
                t = i1 if e == 0 else (i2 if e == 1 else i0)
                ds, dt = J[s] - level, J[t] - level
                if ds == dt or (ds > 0) == (dt > 0):
                    continue
                f = ds / (ds - dt)
                xa = a[s] + f * (a[t] - a[s])
                xb = b[s] + f * (b[t] - b[s])
                if found == 0:
                    pa, pb = xa, xb
                else:
                    qa, qb = xa, xb
                found += 1
            if found < 2:
                continue
            h0 = np.arctan2(pb, pa)
            dh = np.arctan2(qb, qa) - h0
            dh -= 2.0 * np.pi * np.round(dh / (2.0 * np.pi))
            start, end = min(h0, h0 + dh), max(h0, h0 + dh)
            j = int(np.ceil(start / step - 1e-9))
            while j * step <= end + 1e-9:
                cos, sin = np.cos(j * step), np.sin(j * step)
                # the ray (cos, sin) C meets p + u (q - p)
                da, db = qa - pa, qb - pb
                det = cos * db - sin * da
                C = np.hypot(pa, pb)
                if abs(det) > 1e-12:
                    C = (pa * db - pb * da) / det
                cell = j % hues
                if table[cell, k] < C:
                    table[cell, k] = C
                j += 1
    return table


@compiled
def _limit(table: Float, J_black: float, J_white: float, J: float, h: float) -> float:
    """Largest chroma at a lightness and hue, by bilinear interpolation; negative outside."""
    n = table.shape[1]
    t = (J - J_black) / (J_white - J_black) * (n - 1)
    if t < 0.0 or t > n - 1:
        return -1.0
    k = min(int(t), n - 2)
    ft = t - k
    u = h / (2.0 * np.pi) * table.shape[0]
    j = int(np.floor(u))
    fu = u - j
    j0, j1 = j % table.shape[0], (j + 1) % table.shape[0]
    near = (1 - ft) * table[j0, k] + ft * table[j0, k + 1]
    far = (1 - ft) * table[j1, k] + ft * table[j1, k + 1]
    limit: float = (1 - fu) * near + fu * far
    return limit


@compiled
def _limits(table: Float, J_black: float, J_white: float, J: Float, h: Float, out: Float) -> None:
    for i in range(len(J)):
        out[i] = _limit(table, J_black, J_white, J[i], h[i])


@compiled
def _outline(table: Float, h: float, out: Float) -> None:
    """The outline of one hue: largest chroma at every level."""
    u = h / (2.0 * np.pi) * table.shape[0]
    j = int(np.floor(u))
    f = u - j
    j0, j1 = j % table.shape[0], (j + 1) % table.shape[0]
    for k in range(table.shape[1]):
        out[k] = (1 - f) * table[j0, k] + f * table[j1, k]


@compiled
def _distance_2(outline: Float, position: float, J_at: float, J: float, C: float) -> float:
    """Squared distance of (J, C) from the nearest point inside at one level."""
    k = min(max(int(position), 0), len(outline) - 2)
    f = position - k
    over = max(C - ((1 - f) * outline[k] + f * outline[k + 1]), 0.0)
    distance: float = (J - J_at) ** 2 + over**2
    return distance


@compiled
def _nearest(
    table: Float,
    J_black: float,
    J_white: float,
    J: Float,
    C: Float,
    h: Float,
    softness: float,
    J_out: Float,
    C_out: Float,
) -> None:
    """The nearest point inside, in the plane of each colour's hue.

    Where the outline is concave two far points may be equally near, and neighbouring colours
    would leap from one to the other: levels count by how nearly they are the nearest, on a scale
    that grows with the distance, so that on the surface the result is the nearest point itself.
    """
    n = table.shape[1]
    step = (J_white - J_black) / (n - 1)
    outline = np.empty(n)
    square = np.empty(n)
    golden = 0.6180339887498949
    for i in range(len(J)):
        _outline(table, h[i], outline)
        best = 0
        for k in range(n):
            over = max(C[i] - outline[k], 0.0)
            square[k] = (J[i] - J_black - k * step) ** 2 + over * over
            if square[k] < square[best]:
                best = k
        # between the levels, by golden section
        low, high = max(best - 1.0, 0.0), min(best + 1.0, n - 1.0)
        for _ in range(24):
            a, b = high - golden * (high - low), low + golden * (high - low)
            d_a = _distance_2(outline, a, J_black + a * step, J[i], C[i])
            d_b = _distance_2(outline, b, J_black + b * step, J[i], C[i])
            if d_a <= d_b:
                high = b
            else:
                low = a
        position = 0.5 * (low + high)
        # far out, where the levels are fine beside the scale, the average of the nearly nearest
        far = min(max((np.sqrt(square[best]) - 4.0) / 6.0, 0.0), 1.0)
        if far > 0.0:
            scale = softness * softness * square[best]
            weight = 0.0
            mean = 0.0
            for k in range(n):
                w = np.exp(-(square[k] - square[best]) / scale)
                weight += w
                mean += w * k
            position += far * (mean / weight - position)
        k = min(int(position), n - 2)
        f = position - k
        J_out[i] = J_black + position * step
        C_out[i] = min(C[i], (1 - f) * outline[k] + f * outline[k + 1])


@compiled
def _reach(
    table: Float,
    J_black: float,
    J_white: float,
    J: Float,
    C: Float,
    h: Float,
    J_anchor: Float,
    out: Float,
) -> None:
    """Largest t in 0..max for which anchor + t (colour - anchor) lies inside."""
    for i in range(len(J)):
        dJ = J[i] - J_anchor[i]
        low, high = 0.0, 1.0
        if C[i] <= _limit(table, J_black, J_white, J[i], h[i]):
            # inside: look further out, up to four times the distance
            low, high = 1.0, 4.0
        for _ in range(30):
            t = 0.5 * (low + high)
            if t * C[i] <= _limit(table, J_black, J_white, J_anchor[i] + t * dJ, h[i]):
                low = t
            else:
                high = t
        out[i] = low


@dataclass(frozen=True, eq=False)
class Gamut:
    """A gamut surface around a grey axis, in CAM16-UCS.

    It ends at the device's own black and white; the little that may lie beyond their lightness
    is cut off, so that the axis is inside from end to end.

    Parameters
    ----------
    table
        (HUES, LEVELS) largest chroma per hue and level of J'.
    J_black, J_white
        Ends of the axis.
    L_black
        Media-relative L* of the black.
    tint
        (2,) a', b' of the black; the axis bends from it into grey over the darkest levels.
    J_cusp
        (HUES,) lightness of the most colourful point of each hue.
    """

    table: Float = field(repr=False)
    J_black: float
    J_white: float
    L_black: float
    tint: Float
    J_cusp: Float = field(repr=False)

    @classmethod
    def from_device(
        cls, to_XYZ: Callable[[Float], Float], black: Float, white: Float, steps: int = 33
    ) -> Gamut:
        """Sample the surface of a device with three channels in 0..1.

        Parameters
        ----------
        to_XYZ
            (N, 3) device values to media-relative XYZ.
        black, white
            (3,) device values of the darkest and the lightest colour.
        steps
            Samples along an edge of the cube.
        """
        vertices, triangles = cube_faces(steps)
        ucs = XYZ_to_ucs(to_XYZ(vertices))
        ends_XYZ = to_XYZ(np.stack([black, white]))
        ends = XYZ_to_ucs(ends_XYZ)
        L_black = max(float(lightness(ends_XYZ[0, 1])), 1e-6)
        J_black = float(ends[0, 0])
        J_white = float(ends[1, 0])
        tint = ends[0, 1:].copy()
        axis = _axis(ucs[:, 0], J_black, tint)
        levels = np.linspace(J_black, J_white, LEVELS)
        table = _slice_mesh(
            ucs[:, 0].copy(),
            ucs[:, 1] - axis[:, 0],
            ucs[:, 2] - axis[:, 1],
            triangles,
            levels,
            HUES,
        )
        _close_ends(table)
        table.flags.writeable = False
        peak = table.argmax(axis=1)
        # the cusp moves smoothly with hue, so that neighbours are drawn to neighbouring anchors
        kernel = np.exp(-0.5 * (np.arange(-20, 21) / 8.0) ** 2)
        ring = np.concatenate([levels[peak][-20:], levels[peak], levels[peak][:20]])
        J_cusp = np.convolve(ring, kernel / kernel.sum(), mode="valid")
        return cls(table, J_black, J_white, L_black, tint, J_cusp)

    def to_axis(self, ucs: Float) -> tuple[Float, Float, Float]:
        """J', chroma and hue (radians, 0..2 pi) about the bent axis, each (N,)."""
        axis = _axis(ucs[:, 0], self.J_black, self.tint)
        a, b = ucs[:, 1] - axis[:, 0], ucs[:, 2] - axis[:, 1]
        return ucs[:, 0].copy(), np.hypot(a, b), np.mod(np.arctan2(b, a), 2.0 * np.pi)

    def from_axis(self, J: Float, C: Float, h: Float) -> Float:
        """CAM16-UCS of cylindrical coordinates about the bent axis, (N, 3)."""
        axis = _axis(J, self.J_black, self.tint)
        return np.column_stack([J, C * np.cos(h) + axis[:, 0], C * np.sin(h) + axis[:, 1]])

    def limit(self, J: Float, h: Float) -> Float:
        """Largest chroma at lightness and hue, (N,); negative beyond the ends of the axis."""
        out = np.empty_like(J)
        _limits(self.table, self.J_black, self.J_white, J, h, out)
        return out

    @functools.cached_property
    def J_darkest_grey(self) -> float:
        """Lightness of the darkest true grey (a' = b' = 0) inside.

        The black itself where it has no tint; a little lighter where it has one.
        """
        J = self.J_black + np.linspace(0.0, 0.5 * (self.J_white - self.J_black), 4001)
        grey = np.column_stack([J, np.zeros_like(J), np.zeros_like(J)])
        outside = np.flatnonzero(self.margin(*self.to_axis(grey)) < 0.0)
        return float(J[min(outside[-1] + 1, len(J) - 1)] if len(outside) else J[0])

    def cusp(self, h: Float) -> Float:
        """J' of the cusp of each hue, (N,)."""
        u = h / (2.0 * np.pi) * HUES
        j = np.floor(u).astype(np.intp)
        f = u - j
        return np.asarray((1 - f) * self.J_cusp[j % HUES] + f * self.J_cusp[(j + 1) % HUES])

    def margin(self, J: Float, C: Float, h: Float) -> Float:
        """How far inside a colour lies, (N,); negative outside.

        The smallest of the distances to the outline at the same lightness and to the two ends
        of the axis, in units of CAM16-UCS.
        """
        end = np.minimum(J - self.J_black, self.J_white - J)
        limit = self.limit(np.clip(J, self.J_black, self.J_white), h)
        return np.asarray(np.minimum(limit - C, end))

    def nearest(self, J: Float, C: Float, h: Float, softness: float) -> tuple[Float, Float]:
        """J' and chroma of the nearest point inside, at the same hue; each (N,).

        Parameters
        ----------
        J, C, h
            (N,) about the axis, outside the gamut.
        softness
            Width, as a share of the distance, over which nearly nearest points are averaged.
        """
        J_out, C_out = np.empty_like(J), np.empty_like(C)
        _nearest(self.table, self.J_black, self.J_white, J, C, h, softness, J_out, C_out)
        return J_out, C_out

    def reach(self, J: Float, C: Float, h: Float, J_anchor: Float) -> Float:
        """How far one may go from an anchor on the axis through a colour and stay inside.

        Returns
        -------
        ndarray
            (N,) in units of the distance anchor - colour, up to 4.
        """
        out = np.empty_like(J)
        _reach(self.table, self.J_black, self.J_white, J, C, h, J_anchor, out)
        return out


def _close_ends(table: Float) -> None:
    """Make both tips cones about the axis.

    In the last slices before black and white the outline is a speck beside the axis, which is
    drawn straight and not along the device's own greys. From the first slice that surrounds the
    axis the outline goes straight to the tip; the speck is smaller than a just-noticeable step.
    """
    around = np.flatnonzero(table.min(axis=0) > 0.0)
    if len(around) == 0:
        return
    first, last, end = around[0], around[-1], table.shape[1] - 1
    for k in range(first):
        table[:, k] = table[:, first] * k / first
    for k in range(last + 1, end + 1):
        table[:, k] = table[:, last] * (end - k) / (end - last)
    table[:, 0] = 0.0
    table[:, end] = 0.0


def _axis(J: Float, J_black: float, tint: Float) -> Float:
    """a', b' of the axis at a lightness: the black's tint, fading out quadratically upward."""
    fade = np.clip(1.0 - (J - J_black) / _TINT_REACH, 0.0, 1.0) ** 2
    return np.asarray(fade[:, None] * tint)
