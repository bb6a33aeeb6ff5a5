"""What every scene is built from: noise, meshes, spectra, and the spectral renderer.

Lengths are in metres, z points up, colours that matter are spectra. Everything is seeded, so a
scene is the same each time it is built.
"""

import os
from pathlib import Path

import numpy as np
from scipy import ndimage
from scipy.spatial import cKDTree

os.environ.setdefault("OIDN_DEFAULT_DEVICE", "cpu")
if "DRJIT_LIBLLVM_PATH" not in os.environ:
    _FOUND = sorted(Path("/usr/lib").glob("*/libLLVM-[12][0-9].so"), reverse=True)
    if _FOUND:
        os.environ["DRJIT_LIBLLVM_PATH"] = str(_FOUND[0])

import drjit as dr
import mitsuba as mi

mi.set_variant("llvm_ad_spectral", "scalar_spectral")

# CIE 1931 XYZ to linear ROMM RGB (D50), from the ROMM primaries of ISO 22028-2.
XYZ_TO_ROMM = np.array(
    [[1.34594, -0.25561, -0.05111], [-0.54460, 1.50817, 0.02054], [0.0, 0.0, 1.21181]]
)
ROMM_TO_XYZ = np.linalg.inv(XYZ_TO_ROMM)


# ------------------------------------------------------------------------------------- noise
def fbm(shape, beta=2.0, seed=0, stretch=(1.0, 1.0), low=1.0):
    """Make tileable power-law noise, zero mean and unit deviation.

    `stretch` > 1 along an axis makes features longer there; frequencies under `low` are cut.
    """
    h, w = shape
    rng = np.random.default_rng(seed)
    fy = np.fft.fftfreq(h)[:, None] * h * stretch[0]
    fx = np.fft.rfftfreq(w)[None, :] * w * stretch[1]
    f = np.hypot(fy, fx)
    amplitude = np.where(f >= low, np.maximum(f, 1e-9) ** (-beta / 2 - 0.5), 0.0)
    spectrum = amplitude * (rng.normal(size=f.shape) + 1j * rng.normal(size=f.shape))
    out = np.fft.irfft2(spectrum, s=shape)
    out -= out.mean()
    return (out / (out.std() + 1e-12)).astype(np.float32)


def lookup(noise, u, v):
    """Read tileable `noise` at (u, v), one tile per unit, linearly interpolated."""
    h, w = noise.shape
    u, v = np.broadcast_arrays(u, v)
    return ndimage.map_coordinates(noise, [v % 1.0 * h, u % 1.0 * w], order=1, mode="grid-wrap")


def cells(points, x, y):
    """Nearest and second nearest of `points` (N, 2) from (x, y): distances and nearest index."""
    d, i = cKDTree(points).query(np.stack([x.ravel(), y.ravel()], -1), k=2, workers=2)
    return d[:, 0].reshape(x.shape), d[:, 1].reshape(x.shape), i[:, 0].reshape(x.shape)


def smoothstep(a, b, x):
    t = np.clip((x - a) / (b - a), 0.0, 1.0)
    return t * t * (3.0 - 2.0 * t)


def smooth_max(a, b, k):
    """Smooth maximum with blend width `k`."""
    h = np.clip(0.5 + 0.5 * (a - b) / k, 0.0, 1.0)
    return b + (a - b) * h + k * h * (1.0 - h)


# ------------------------------------------------------------------------------------ shapes
class Part:
    """Vertices (N, 3), triangles (M, 3) and texture coordinates (N, 2), before they get a skin."""

    def __init__(self, vertices, faces, uv=None):
        self.vertices = np.asarray(vertices, np.float64).reshape(-1, 3)
        self.faces = np.asarray(faces, np.int64).reshape(-1, 3)
        self.uv = np.zeros((len(self.vertices), 2)) if uv is None else np.asarray(uv).reshape(-1, 2)

    def __add__(self, other):
        return join([self, other])

    def at(self, x=0.0, y=0.0, z=0.0):
        return Part(self.vertices + np.array([x, y, z]), self.faces, self.uv)

    def scaled(self, *s):
        return Part(self.vertices * s, self.faces, self.uv)

    def turned(self, axis, degrees):
        """Rotate about a coordinate axis ("x", "y" or "z")."""
        c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
        i, j = {"x": (1, 2), "y": (2, 0), "z": (0, 1)}[axis]
        v = self.vertices.copy()
        v[:, i], v[:, j] = (
            c * self.vertices[:, i] - s * self.vertices[:, j],
            s * self.vertices[:, i] + c * self.vertices[:, j],
        )
        return Part(v, self.faces, self.uv)

    def skin(self, bsdf, smooth=True):
        """Turn into a renderer's mesh with the given surface (a dictionary or a loaded one)."""
        v, f, uv = self.vertices, self.faces, self.uv
        if not smooth:
            v, uv = v[f.ravel()], uv[f.ravel()]
            f = np.arange(len(v)).reshape(-1, 3)
        e1, e2 = v[f[:, 1]] - v[f[:, 0]], v[f[:, 2]] - v[f[:, 0]]
        face_n = np.cross(e1, e2)
        n = np.stack(
            [sum(np.bincount(f[:, k], face_n[:, c], len(v)) for k in range(3)) for c in range(3)],
            -1,
        )
        n /= np.linalg.norm(n, axis=1, keepdims=True) + 1e-20
        props = mi.Properties()
        props["bsdf"] = mi.load_dict(bsdf) if isinstance(bsdf, dict) else bsdf
        made = mi.Mesh(
            "m", len(v), len(f), has_vertex_normals=True, has_vertex_texcoords=True, props=props
        )
        p = mi.traverse(made)
        p["vertex_positions"] = v.astype(np.float32).ravel()
        p["faces"] = f.astype(np.uint32).ravel()
        p["vertex_normals"] = n.astype(np.float32).ravel()
        p["vertex_texcoords"] = uv.astype(np.float32).ravel()
        p.update()
        return made


def join(parts):
    offsets = np.cumsum([0] + [len(p.vertices) for p in parts])
    return Part(
        np.concatenate([p.vertices for p in parts]),
        np.concatenate([p.faces + o for p, o in zip(parts, offsets, strict=False)]),
        np.concatenate([p.uv for p in parts]),
    )


def sheet(points, uv=None, flip=False):
    """Make a surface from a grid of points (H, W, 3)."""
    h, w = points.shape[:2]
    i = np.arange(h * w).reshape(h, w)
    a, b, c, d = i[:-1, :-1], i[:-1, 1:], i[1:, 1:], i[1:, :-1]
    f = np.concatenate(
        [np.stack([a, b, c], -1).reshape(-1, 3), np.stack([a, c, d], -1).reshape(-1, 3)]
    )
    if flip:
        f = f[:, ::-1]
    if uv is None:
        vv, uu = np.meshgrid(np.linspace(0, 1, h), np.linspace(0, 1, w), indexing="ij")
        uv = np.stack([uu, vv], -1)
    return Part(points, f, uv)


def ground(x, y, z, scale=1.0):
    """Height field over grids x, y; texture coordinates are metres times `scale`."""
    return sheet(np.stack([x, y, z], -1), np.stack([x, y], -1) * scale)


def tube(path, radius, sides=10, uv_per_m=1.0, bump=None, caps=True):
    """Sweep a circle along `path` (N, 3); `radius` is a number or (N,); `bump`(s, angle) adds."""
    path = np.asarray(path, float)
    n = len(path)
    r = np.broadcast_to(np.asarray(radius, float), (n,))
    t = np.gradient(path, axis=0)
    t /= np.linalg.norm(t, axis=1, keepdims=True) + 1e-12
    up = np.array([0.0, 0.0, 1.0]) if abs(t[0, 2]) < 0.9 else np.array([1.0, 0.0, 0.0])
    normal = np.empty_like(path)
    normal[0] = np.cross(np.cross(t[0], up), t[0])
    for i in range(1, n):
        normal[i] = normal[i - 1] - t[i] * np.dot(normal[i - 1], t[i])
        normal[i] /= np.linalg.norm(normal[i]) + 1e-12
    normal[0] /= np.linalg.norm(normal[0]) + 1e-12
    side = np.cross(t, normal)
    s = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
    a = np.linspace(0, 2 * np.pi, sides + 1)
    rr = np.repeat(r[:, None], sides + 1, 1)
    if bump is not None:
        rr = rr + bump(s[:, None], a[None, :])
    p = path[:, None] + rr[..., None] * (
        np.cos(a)[None, :, None] * normal[:, None] + np.sin(a)[None, :, None] * side[:, None]
    )
    if caps:
        p = np.concatenate(
            [path[None, :1].repeat(sides + 1, 1), p, path[None, -1:].repeat(sides + 1, 1)]
        )
        s = np.concatenate([s[:1], s, s[-1:]])
    uv = np.stack(np.broadcast_arrays(a[None, :] / (2 * np.pi), s[:, None] * uv_per_m), -1)
    return sheet(p, uv, flip=True)


def offset_path(path, radius, turns, phase, seed=0, wobble=0.0):
    """Wind a helix of `turns` turns around `path`: one strand of a rope."""
    path = np.asarray(path, float)
    t = np.gradient(path, axis=0)
    t /= np.linalg.norm(t, axis=1, keepdims=True) + 1e-12
    ref = np.array([0.31, 0.17, 0.93])
    a = np.cross(t, ref)
    a /= np.linalg.norm(a, axis=1, keepdims=True) + 1e-12
    b = np.cross(t, a)
    s = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
    ang = 2 * np.pi * turns * s / s[-1] + phase
    r = radius
    if wobble:
        rng = np.random.default_rng(seed)
        r = radius * (1 + wobble * ndimage.gaussian_filter1d(rng.normal(size=len(s)), 6) * 3)
        r = np.asarray(r)[:, None]
    return path + r * (np.cos(ang)[:, None] * a + np.sin(ang)[:, None] * b)


def rope(path, radius, lay=7.0, strands=3, yarns=0, sides=8, seed=0):
    """Lay a rope: `strands` helices around `path`, one turn every `lay` radii."""
    path = resample(path, radius * 0.45)
    length = np.linalg.norm(np.diff(path, axis=0), axis=1).sum()
    turns = length / (lay * radius)
    out = []
    for k in range(strands):
        line = offset_path(path, radius * 0.52, turns, 2 * np.pi * k / strands)
        if yarns:
            for j in range(yarns):
                fine = offset_path(
                    line, radius * 0.33, -turns * 1.1, 2 * np.pi * j / yarns, seed + j, 0.15
                )
                out.append(tube(fine, radius * 0.17, sides, 1 / radius / 6))
            out.append(tube(line, radius * 0.36, sides, 1 / radius / 6))
        else:
            out.append(tube(line, radius * 0.5, sides, 1 / radius / 6))
    return join(out)


def resample(path, step):
    """Resample a polyline evenly, smoothed by a cubic spline."""
    from scipy.interpolate import CubicSpline

    path = np.asarray(path, float)
    s = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1) + 1e-9)])
    fine = CubicSpline(s, path)(np.linspace(0, s[-1], 4 * len(path) + int(s[-1] / step)))
    s = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(fine, axis=0), axis=1) + 1e-12)])
    q = np.linspace(0, s[-1], max(8, int(s[-1] / step)))
    return np.stack([np.interp(q, s, fine[:, k]) for k in range(3)], -1)


def sag(a, b, depth, n=24):
    """Make a line that hangs between two points."""
    t = np.linspace(0, 1, n)[:, None]
    p = (1 - t) * np.asarray(a, float) + t * np.asarray(b, float)
    p[:, 2] -= depth * 4 * (t * (1 - t))[:, 0]
    return p


def block(sx, sy, sz, bevel=0.01, n=6, rough=0.0, seed=0):
    """Make a box with rounded edges, centred, optionally roughened by `rough` metres."""
    u = np.linspace(-1, 1, max(n, 4))
    u = np.sign(u) * np.abs(u) ** 0.6
    parts = []
    size = np.array([sx, sy, sz]) / 2
    noise = fbm((128, 128), 2.2, seed) if rough else None
    for axis in range(3):
        for sign in (-1, 1):
            a, b = np.meshgrid(u, u, indexing="ij")
            p = np.empty((*a.shape, 3))
            i, j = (axis + 1) % 3, (axis + 2) % 3
            p[..., axis], p[..., i], p[..., j] = sign, a, b
            q = p * size
            inner = np.clip(q, -(size - bevel), size - bevel)
            d = q - inner
            q = inner + d / (np.linalg.norm(d, axis=-1, keepdims=True) + 1e-12) * bevel
            uv = np.stack([q[..., i], q[..., j]], -1) + axis * 0.37 + sign * 0.21
            if rough:
                n3 = q / (np.linalg.norm(q, axis=-1, keepdims=True) + 1e-12)
                q = (
                    q
                    + n3
                    * rough
                    * lookup(
                        noise, q[..., 0] * 0.7 + q[..., 2] * 0.31, q[..., 1] * 0.6 + q[..., 2] * 0.5
                    )[..., None]
                )
            parts.append(sheet(q, uv, flip=sign < 0))
    return join(parts)


def lathe(profile, sides=48, uv=(1.0, 1.0)):
    """Turn a profile of (radius, z) pairs about the z axis."""
    profile = np.asarray(profile, float)
    a = np.linspace(0, 2 * np.pi, sides + 1)
    p = np.empty((len(profile), sides + 1, 3))
    p[..., 0] = profile[:, :1] * np.cos(a)
    p[..., 1] = profile[:, :1] * np.sin(a)
    p[..., 2] = profile[:, 1:]
    vv, uu = np.meshgrid(np.linspace(0, 1, len(profile)), a / (2 * np.pi), indexing="ij")
    return sheet(p, np.stack([uu * uv[0], vv * uv[1]], -1))


def ball(radius, n=24):
    t = np.linspace(-np.pi / 2, np.pi / 2, n)
    return lathe(np.stack([radius * np.cos(t), radius * np.sin(t)], -1), 2 * n)


def boulder(size, seed, rough=0.16, n=320):
    """Make a weathered rock about `size` (3,) metres across, facetted and fissured."""
    rng = np.random.default_rng(seed)
    t, a = np.meshgrid(
        np.linspace(-np.pi / 2, np.pi / 2, n), np.linspace(0, 2 * np.pi, 2 * n), indexing="ij"
    )
    d = np.stack([np.cos(t) * np.cos(a), np.cos(t) * np.sin(a), np.sin(t)], -1)
    planes = rng.normal(size=(26, 3))
    planes /= np.linalg.norm(planes, axis=1, keepdims=True)
    reach = rng.uniform(0.62, 1.0, 26)
    r = np.min(np.where(d @ planes.T > 0.05, reach / np.maximum(d @ planes.T, 0.05), 9.0), -1)
    r = np.minimum(r, 1.15)
    noise = fbm((512, 512), 1.7, seed)
    p = d * r[..., None]
    w = np.abs(d) ** 4
    w /= w.sum(-1, keepdims=True)
    h = (
        w[..., 0] * lookup(noise, p[..., 1] * 0.4, p[..., 2] * 0.4)
        + w[..., 1] * lookup(noise, p[..., 0] * 0.4 + 0.3, p[..., 2] * 0.4)
        + w[..., 2] * lookup(noise, p[..., 0] * 0.4, p[..., 1] * 0.4 + 0.6)
    )
    crack = np.exp(-(((h - 0.3) / 0.09) ** 2))
    r = r * (1 + rough * (0.35 * h - 0.25 * crack))
    return sheet(
        d * r[..., None] * (np.asarray(size) / 2),
        np.stack([a / np.pi * 2, t / np.pi * 2], -1),
        flip=True,
    )


def hull(
    length, beam, depth, seed=0, strakes=7, thickness=0.03, sheer=0.22, stern=0.62, n=160, m=64
):
    """Make a clinker-built open boat along x, waterline near z = 0: outside and inside in one."""
    x = np.linspace(-1, 1, n)[:, None]
    v = np.linspace(-1, 1, 2 * m)[None, :]
    fore = np.clip(x, 0, 1)
    aft = np.clip(-x, 0, 1)
    half = beam / 2 * (1 - 0.999 * fore**2.3) ** 0.8 * (1 - (1 - stern) * aft**2.2)
    top = sheer * length / 4 * (0.9 * fore**2 + 0.5 * aft**2) + depth * 0.55
    keel = -depth * 0.45 * (1 - fore**4) * (1 - 0.35 * aft**3) + top * fore**6
    w = np.abs(v)
    shape = np.sin(np.pi / 2 * w) ** 0.62
    lap = (w * strakes) % 1.0
    y = np.sign(v) * half * (shape + 0.0)
    z = keel + (top - keel) * w**2.3

    def surface(inset, step):
        k = 1 - inset / (half + 0.05)
        yy = y * np.clip(k, 0, 1) + np.sign(v) * step * (1 - lap)
        zz = z + inset * (1 - w) * 1.5
        xx = np.broadcast_to(x * length / 2, yy.shape) + 0.10 * length * fore**3 * w**2
        return np.stack([xx, yy, zz], -1)

    uv = np.stack(np.broadcast_arrays(x * length / 2, v * depth), -1)
    outside = sheet(surface(0.0, 0.016), uv)
    inside = sheet(surface(thickness, 0.0), uv, flip=True)
    o, i = surface(0.0, 0.016), surface(thickness, 0.0)
    rails = [tube(resample((o[:, k] + i[:, k]) / 2, 0.05), 0.035, 8) for k in (0, 2 * m - 1)]
    transom = np.stack([o[0], i[0] + [0.02, 0, 0]], 0)
    flat = o[0].copy()
    centre = flat.mean(0)
    fan = np.stack([flat, np.broadcast_to([centre[0], 0, flat[0, 2]], flat.shape) * [1, 0, 1]], 0)
    board = sheet(
        np.stack(
            [fan[0], np.stack([flat[:, 0], flat[:, 1], np.full(len(flat), flat[0, 2])], -1)], 0
        )
    )
    board2 = Part(board.vertices + np.array([thickness, 0, 0]), board.faces[:, ::-1], board.uv)
    return join([outside, sheet(transom), board, board2]), inside, join(rails), (half, top, keel)


# ----------------------------------------------------------------------------------- spectra
NM = np.arange(360, 831, 5).astype(float)


def spectrum(values):
    """Wrap values sampled at `NM` for the renderer."""
    return {
        "type": "regular",
        "wavelength_min": float(NM[0]),
        "wavelength_max": float(NM[-1]),
        "values": ",".join(f"{v:.6g}" for v in np.asarray(values)),
    }


def blackbody(kelvin):
    """Planck's law, 1 at 560 nm."""
    c2 = 1.4388e-2

    def p(nm):
        return (nm * 1e-9) ** -5 / np.expm1(c2 / (nm * 1e-9 * kelvin))

    return p(NM) / p(560.0)


def line(nm, width, height=1.0):
    return height * np.exp(-0.5 * ((NM - nm) / width) ** 2)


def sodium():
    """High-pressure sodium lamp, invented from its known lines and self-reversed D doublet."""
    s = line(590, 21, 1.0) - line(589, 5, 0.6) + line(568, 6, 0.35) + line(616, 7, 0.25)
    return s + line(498, 5, 0.12) + line(467, 6, 0.04) + 0.05 * blackbody(2100)


def mercury():
    """Mercury-vapour harbour lamp: its lines over a weak continuum (shape from memory)."""
    s = line(405, 7, 0.25) + line(436, 8, 0.5) + line(546, 8, 0.6) + line(578, 9, 0.55)
    return s + line(620, 10, 0.15) + 0.10


def edge(nm, width, low=0.02, high=0.85):
    """Long-pass pigment: dark below the edge, bright above it."""
    return low + (high - low) / (1 + np.exp(-(NM - nm) / width))


def band(nm, width, low=0.02, high=0.6, red_tail=0.0):
    """Band-pass pigment, with an optional deep-red rise such as dyes show."""
    s = low + (high - low) * np.exp(-0.5 * np.abs((NM - nm) / width) ** 2.6)
    return s + red_tail / (1 + np.exp(-(NM - 690) / 9))


def leaf(strength=1.0):
    """Green leaf: chlorophyll absorbs blue and red, the near infrared is bright."""
    absorb = (
        0.9 * line(440, 38) + 0.75 * line(670, 22) + 0.45 * line(630, 30) + 0.42 * line(490, 22)
    )
    s = 0.42 * np.exp(-strength * 2.6 * absorb) * np.exp(-0.55 * strength)
    return np.clip(s + 0.4 / (1 + np.exp(-(NM - 708) / 8)), 0.01, 0.9)


def skin(melanin, blood):
    """Skin-like reflectance from the two absorbers that make it (shapes from memory)."""
    mel = melanin * 6.0 * (0.25 + 0.75 * (NM / 500.0) ** -2.2)
    haem = blood * (
        2.6 * line(415, 16)
        + 0.75 * line(542, 13)
        + 0.80 * line(577, 10)
        + 0.28 * line(555, 40)
        + 0.35 * line(470, 60)
        + 0.10 * line(620, 30)
    )
    scatter = 0.80 - 0.10 * np.exp(-(NM - 360) / 160)
    return np.clip(scatter * np.exp(-mel) * np.exp(-haem), 0.01, 0.95)


# ---------------------------------------------------------------------------------- surfaces
def rgb(r, g, b):
    return {"type": "rgb", "value": [float(r), float(g), float(b)]}


def picture(values, raw=False, scale=None):
    """Wrap an array (H, W) or (H, W, 3) as a texture; `scale` repeats it per unit."""
    a = np.asarray(values, np.float32)
    a = a[..., None] if a.ndim == 2 else a
    t = {"type": "bitmap", "bitmap": mi.Bitmap(np.ascontiguousarray(a)), "raw": raw}
    if scale is not None:
        s = np.broadcast_to(scale, (2,))
        t["to_uv"] = mi.ScalarTransform4f().scale([float(s[0]), float(s[1]), 1.0])
    return t


class Mixture(mi.Texture):
    """Two spectra mixed linearly by a weight image.

    Interpolating the renderer's own RGB-to-spectrum coefficients turns near-greys green; mixing
    reflectances does not, and keeps real pigment spectra.
    """

    def __init__(self, props):
        super().__init__(props)
        self.low = props.get_texture("low")
        self.high = props.get_texture("high")
        self.weight = props.get_texture("weight")

    def eval(self, si, active=True):
        w = mi.Float(self.weight.eval_1(si, active))
        low, high = self.low.eval(si, active), self.high.eval(si, active)
        return low + (high - low) * w

    def mean(self):
        return 0.5 * (self.low.mean() + self.high.mean())

    def max(self):
        return 1.0

    def is_spatially_varying(self):
        return True

    def to_string(self):
        return "Mixture[]"


mi.register_texture("mixture", lambda props: Mixture(props))


def mix(low, high, weight, repeat=None):
    """Mix two colours (RGB triples or spectra) by a weight image (H, W) into a texture."""

    def one(c):
        return c if isinstance(c, dict) else spectrum(c) if len(c) == len(NM) else rgb(*c)

    w = picture(np.clip(weight, 0, 1), True, repeat)
    return {"type": "mixture", "low": one(low), "high": one(high), "weight": w}


class Ramp(mi.Texture):
    """A row of spectra, picked by one image (0 first, 1 last) and scaled by another."""

    def __init__(self, props):
        super().__init__(props)
        self.spectra = [props.get_texture(f"s{i}") for i in range(int(props["count"]))]
        self.where, self.gain = props.get_texture("where"), props.get_texture("gain")

    def eval(self, si, active=True):
        at = mi.Float(self.where.eval_1(si, active)) * (len(self.spectra) - 1)
        out = mi.UnpolarizedSpectrum(0.0)
        for i, s in enumerate(self.spectra):
            w = mi.Float(1.0) - abs(at - float(i))
            out += s.eval(si, active) * mi.Float(dr.maximum(w, 0.0))
        return out * mi.Float(self.gain.eval_1(si, active))

    def mean(self):
        return 1.0

    def max(self):
        return 1.0

    def is_spatially_varying(self):
        return True

    def to_string(self):
        return "Ramp[]"


mi.register_texture("ramp", lambda props: Ramp(props))


def ramp(spectra, where, gain):
    d = {
        "type": "ramp",
        "count": len(spectra),
        "where": picture(np.clip(where, 0, 1), True),
        "gain": picture(gain, True),
    }
    d.update({f"s{i}": spectrum(s) for i, s in enumerate(spectra)})
    return d


def bumpy(bsdf, height, scale, repeat=None):
    return {
        "type": "bumpmap",
        "arbitrary": picture(height, True, repeat),
        "scale": float(scale),
        "bsdf": bsdf,
    }


def two(bsdf):
    return {"type": "twosided", "bsdf": bsdf}


def wood(light, dark, seed=0, repeat=(1.0, 1.0), rough=0.55, specular=0.3, along=0, contrast=1.0):
    """Weathered wood with grain along texture axis `along` (0: u, 1: v)."""
    stretch = (1.0, 14.0) if along == 1 else (14.0, 1.0)
    stretch = stretch[::-1]
    fine = fbm((1024, 1024), 1.0, seed, stretch)
    big = fbm((1024, 1024), 2.2, seed + 1, (stretch[0] ** 0.6, stretch[1] ** 0.6))
    w = 0.5 + contrast * (0.16 * fine + 0.2 * big)
    base = {
        "type": "principled",
        "base_color": mix(dark, light, w, repeat),
        "roughness": picture(np.clip(rough + 0.12 * fine, 0.08, 1), True, repeat),
        "specular": specular,
    }
    return two(bumpy(base, 0.5 * fine + 0.5 * big, 0.004, repeat))


def water(deep=(0.012, 0.02, 0.022), alpha=0.03):
    return {
        "type": "roughplastic",
        "distribution": "ggx",
        "alpha": alpha,
        "int_ior": 1.33,
        "diffuse_reflectance": rgb(*deep),
    }


def waves(x, y, seed=0, wind=0.3, count=70, longest=3.0, shortest=0.08, spread=0.9, steep=1.0):
    """Sum of many small gravity waves; heights in metres."""
    rng = np.random.default_rng(seed)
    z = np.zeros_like(x)
    wavelengths = np.exp(rng.uniform(np.log(shortest), np.log(longest), count))
    for length in wavelengths:
        a = wind + spread * rng.normal()
        k = 2 * np.pi / length
        z += (
            steep
            * 0.0085
            * length**1.05
            / np.sqrt(count / 40)
            * np.sin(k * (x * np.cos(a) + y * np.sin(a)) + rng.uniform(0, 2 * np.pi))
        )
    return z


# ---------------------------------------------------------------------------------- renderer
def camera(eye, target, fov, size, aperture=0.0, focus=None, up=(0, 0, 1), pixel="gaussian"):
    """Make a thin-lens camera; `pixel` is the reconstruction filter.

    "box" keeps the noise of neighbouring pixels apart, which the denoiser needs in dim scenes.
    """
    eye, target = np.asarray(eye, float), np.asarray(target, float)
    d = {
        "type": "thinlens" if aperture else "perspective",
        "to_world": mi.ScalarTransform4f().look_at(list(eye), list(target), list(up)),
        "fov": fov,
        "fov_axis": "larger",
        "near_clip": 0.02,
        "far_clip": 2000.0,
        "film": {
            "type": "hdrfilm",
            "width": size[0],
            "height": size[1],
            "pixel_format": "xyz",
            "component_format": "float32",
            "rfilter": {"type": "box"} if pixel == "box" else {"type": "gaussian", "stddev": 0.42},
        },
        "sampler": {"type": "independent"},
    }
    if aperture:
        d["aperture_radius"] = aperture
        d["focus_distance"] = float(focus if focus is not None else np.linalg.norm(target - eye))
    return d


def guides(scene, seed=0, passes=4):
    """Albedo and normals (H, W, 6) that tell the denoiser where the edges are."""
    aov = mi.load_dict({"type": "aov", "aovs": "a:albedo,n:sh_normal"})
    aux = sum(
        np.array(mi.render(scene, spp=6, integrator=aov, seed=seed * 1000 + 500 + k))[..., -6:]
        for k in range(passes)
    )
    return np.nan_to_num(aux / passes).astype(np.float32)


def expose(scene, spp, seed=0, integrator=None, depth=10, clamp=None, denoise=1.0, aux=None):
    """Render to CIE XYZ (H, W, 3) and denoise it, guided by albedo and normals.

    `clamp` limits one pass's brightest sample means; `denoise` below 1 leaves some noise in.
    """
    import mitsuba_oidn as oidn

    integrator = mi.load_dict(integrator or {"type": "path", "max_depth": depth})
    width, height = scene.sensors()[0].film().size()
    per_pass = int(max(1, min(spp, 7e6 // (width * height))))
    n = max(1, round(spp / per_pass))
    XYZ = 0.0
    for k in range(n):
        img = np.array(mi.render(scene, spp=per_pass, integrator=integrator, seed=seed * 1000 + k))
        img = np.nan_to_num(img[..., :3])
        XYZ = XYZ + (img if clamp is None else np.minimum(img, clamp)) / n
    aux = guides(scene, seed) if aux is None else aux
    lin = np.maximum(XYZ @ XYZ_TO_ROMM.T, 0).astype(np.float32)
    clean = oidn.denoise(
        lin,
        albedo=np.ascontiguousarray(np.clip(aux[..., :3], 0, 1)),
        normal=np.ascontiguousarray(aux[..., 3:]),
        hdr=True,
    )
    out = lin + denoise * (clean - lin)
    return np.maximum(out, 0).astype(np.float64) @ ROMM_TO_XYZ.T


def expose_lights(base, lights, spp, seed=0, **kwargs):
    """Render one light (or group) at a time and add them up: far less noise with many lamps.

    `lights` maps a name to (gain, {scene entries}) or (gain, {scene entries}, path depth).
    """
    total, aux = 0.0, None
    for k, (gain, entries, *depth) in enumerate(lights.values()):
        scene = mi.load_dict({**base, **entries})
        aux = guides(scene, seed) if aux is None else aux
        own = {**kwargs, "depth": depth[0]} if depth else kwargs
        total = total + gain * expose(scene, spp, seed + k, aux=aux, **own)
    return total
