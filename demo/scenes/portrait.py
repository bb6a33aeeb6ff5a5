"""Three carved and waxed figures by a window: skin-like tones from pale to deep."""

import mitsuba as mi
import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.ndimage import gaussian_filter

from . import kit

SIZE = (2100, 1400)
SPP = 28
FILM = {"ev": 2.4, "contrast": 1.25, "clip": 5.0, "bloom": 0.02, "vignette": 0.35, "grain": 0.006}


def face(seed, nose=1.0, lips=1.0, jaw=1.0, age=0.0, turn=0.0):
    """A head from the hair line to the neck, facing -y; returns the part and its paint map.

    The paint map runs 0 dark (brows, lashes), 1/3 skin, 2/3 blush, 1 lips.
    """
    rng = np.random.default_rng(seed)
    nt, nz = 760, 980
    th, z = np.meshgrid(np.linspace(-2.2, 2.2, nt), np.linspace(-0.22, 0.135, nz))
    lv = [
        -0.22,
        -0.16,
        -0.128,
        -0.113,
        -0.100,
        -0.085,
        -0.06,
        -0.03,
        0.0,
        0.03,
        0.06,
        0.09,
        0.115,
        0.130,
        0.135,
    ]
    a = PchipInterpolator(
        lv,
        np.array(
            [
                0.058,
                0.054,
                0.052,
                0.050,
                0.047,
                0.052,
                0.060,
                0.066,
                0.069,
                0.070,
                0.069,
                0.062,
                0.045,
                0.02,
                0.002,
            ]
        ),
    )(z)
    a = a * (1 + (jaw - 1) * kit.smoothstep(0.0, -0.07, z))
    b = PchipInterpolator(
        lv,
        np.array(
            [
                0.045,
                0.040,
                0.046,
                0.070,
                0.0865,
                0.0860,
                0.0845,
                0.0865,
                0.0875,
                0.0890,
                0.0895,
                0.082,
                0.060,
                0.026,
                0.002,
            ]
        ),
    )(z)
    x = np.sin(th) * a

    def g(cx, cz, sx, sz, power=2.0):
        return np.exp(-0.5 * (np.abs((x - cx) / sx) ** power + np.abs((z - cz) / sz) ** power))

    def pair(cx, *rest, **kw):
        return g(cx, *rest, **kw) + g(-cx, *rest, **kw)

    front = np.clip(np.cos(th), 0, 1)
    h = 0.0055 * g(0, 0.037, 0.026, 0.008) + 0.0045 * pair(0.028, 0.034, 0.017, 0.0065)
    h -= 0.0125 * pair(0.031, 0.0165, 0.0155, 0.0105)  # sockets
    h -= 0.006 * pair(0.0125, 0.016, 0.006, 0.012)
    # closed lids: a ball under skin, and the seam
    lid = np.sqrt(
        np.clip(1 - ((np.abs(x) - 0.0315) / 0.0175) ** 2 - ((z - 0.0145) / 0.0125) ** 2, 0, 1)
    )
    h += 0.0098 * gaussian_filter(lid, 2.0)
    seam_z = 0.0085 + 0.30 * (np.abs(x) - 0.0315) ** 2 / 0.0175 - 0.0008
    in_lid = kit.smoothstep(0.0185, 0.0150, np.abs(np.abs(x) - 0.0315))
    seam = np.exp(-0.5 * ((z - seam_z) / 0.0008) ** 2) * in_lid
    crease = (
        np.exp(-0.5 * ((z - (0.0235 - 0.35 * (np.abs(x) - 0.0315) ** 2 / 0.0175)) / 0.0010) ** 2)
        * in_lid
    )
    h -= 0.0016 * seam + 0.0012 * crease
    h += 0.0008 * np.exp(-0.5 * ((z - seam_z - 0.0017) / 0.0009) ** 2) * in_lid
    bag = np.exp(-0.5 * ((z - (seam_z - 0.008)) / 0.0016) ** 2) * in_lid
    h -= (0.0004 + 0.0009 * age) * bag
    # nose
    ln = np.clip((0.026 - z) / 0.052, 0, 1)
    along = kit.smoothstep(0.034, 0.022, z) * kit.smoothstep(-0.0315, -0.0265, z)
    width = (0.0060 + 0.0050 * ln**1.5) * nose
    h += (0.007 + 0.0165 * ln**1.2) * np.exp(-0.5 * np.abs(x / width) ** 2.3) * along
    h += 0.0062 * g(0, -0.0235, 0.0085 * nose, 0.0060)
    h += 0.0105 * pair(0.0130 * nose, -0.0255, 0.0050 * nose, 0.0056)
    h -= 0.0060 * pair(0.0065 * nose, -0.0322, 0.0032 * nose, 0.0020)
    h -= 0.0022 * pair(0.0185 * nose, -0.0245, 0.0022, 0.006)
    # cheeks and folds
    h += 0.0058 * pair(0.044, -0.008, 0.017, 0.014) + 0.0030 * pair(0.034, -0.034, 0.014, 0.014)
    fold_x = 0.0185 * nose + 0.40 * (-0.026 - z)
    fold = (
        np.exp(-0.5 * ((np.abs(x) - fold_x) / 0.0022) ** 2)
        * kit.smoothstep(-0.022, -0.03, z)
        * kit.smoothstep(-0.066, -0.045, z)
    )
    h -= (0.0010 + 0.0014 * age) * fold
    # mouth
    m = np.clip(1 - (np.abs(x) / 0.0255) ** 2, 0, 1)
    mouth_z = -0.0545 + 0.0016 * np.cos(x / 0.0255 * 2.6) - 0.0010 * np.exp(-0.5 * (x / 0.004) ** 2)
    h += 0.0050 * g(0, -0.053, 0.021, 0.014)
    up = (
        np.exp(-0.5 * ((z - mouth_z - 0.0040) / 0.0034) ** 2)
        * m**0.8
        * (1 - 0.25 * np.exp(-0.5 * (x / 0.003) ** 2))
    )
    lo = np.exp(-0.5 * ((z - mouth_z + 0.0052) / 0.0042) ** 2) * m
    line_ = np.exp(-0.5 * ((z - mouth_z) / 0.0009) ** 2) * kit.smoothstep(0.0265, 0.021, np.abs(x))
    h += lips * (0.0036 * up + 0.0048 * lo) - 0.0028 * line_
    h -= 0.0016 * pair(0.0268, -0.0548, 0.0024, 0.003)
    h -= 0.0012 * g(0, -0.0425, 0.0022, 0.0050)
    h -= 0.0040 * g(0, -0.0695, 0.015, 0.0045)
    h += 0.0062 * g(0, -0.0885, 0.0125, 0.0095)
    h += 0.0030 * pair(0.045, -0.072, 0.014, 0.014)
    # age lines on the brow; the carver's facets; grain raised by the wax
    for k in range(3):
        h -= (
            age
            * 0.0005
            * np.exp(-0.5 * ((z - 0.058 - 0.0115 * k - 0.002 * np.cos(x * 70 + k)) / 0.0011) ** 2)
            * kit.smoothstep(0.05, 0.03, np.abs(x))
        )
    h *= front**0.35
    px, pz = x / 0.30, z / 0.30
    pts = np.stack([rng.uniform(-0.1, 0.1, 900) * 1.6, rng.uniform(-0.22, 0.14, 900)], -1)
    _, _, i = kit.cells(pts, th * 0.075, z)
    facet = (rng.normal(size=(900, 2)) * 0.035)[i]
    off = np.stack([th * 0.075, z], -1) - pts[i]
    h += gaussian_filter((facet * off).sum(-1), 3.5)
    skin_n = kit.fbm((1024, 1024), 1.3, seed + 9)
    soft_n = kit.fbm((512, 512), 2.6, seed + 10)
    h += 0.000009 * kit.lookup(skin_n, px * 3, pz * 3) + 0.0003 * kit.lookup(
        soft_n, px * 2.0, pz * 2.0
    )
    nx, ny = np.sin(th) / a, -np.cos(th) / b
    nn = np.hypot(nx, ny)
    p = np.stack([x + h * nx / nn, -np.cos(th) * b + h * ny / nn, z + 0 * x], -1)
    # paint
    brow_z = 0.0385 + 0.004 * np.cos((np.abs(x) - 0.034) / 0.02 * 1.3)
    hair = kit.lookup(
        kit.fbm((512, 512), 0.9, seed + 3, (1.0, 4.0)), th * 1.6 + np.sign(x) * z * 8, z * 9
    )
    brow = (
        np.exp(-0.5 * ((z - brow_z) / 0.0030) ** 2)
        * kit.smoothstep(0.0095, 0.017, np.abs(x))
        * kit.smoothstep(0.057, 0.043, np.abs(x))
    )
    brow = np.clip(brow * (0.85 + 0.5 * hair), 0, 1)
    blush = (
        0.62 * pair(0.042, -0.016, 0.017, 0.013)
        + 0.50 * g(0, -0.025, 0.012, 0.008)
        + 0.28 * g(0, -0.09, 0.016, 0.012)
    )
    blush += (
        0.35 * pair(0.031, 0.0155, 0.015, 0.010)
        + 0.07 * kit.lookup(soft_n, px * 4, pz * 4)
        + 0.03 * kit.lookup(skin_n, px * 5, pz * 5)
    )
    lip = np.clip(1.15 * (up + lo), 0, 1) ** 1.3 * kit.smoothstep(0.027, 0.022, np.abs(x))
    paint = 1 / 3 + np.clip(blush, -0.5, 1) / 3
    paint = paint * (1 - lip) + lip * (0.90 + 0.08 * kit.lookup(skin_n, px * 8, pz * 2))
    dark = np.clip(0.85 * brow + 0.9 * seam + 0.10 * crease, 0, 1)
    paint = paint * (1 - dark)
    return kit.sheet(p).turned("z", turn), paint


def hood(seed, turn):
    """A woollen hood round the head, open in front, falling into folds on the shoulders."""
    n, m = 520, 620
    t, v = np.meshgrid(np.linspace(0.0, 1.0, n), np.linspace(-1, 1, m), indexing="ij")
    # t runs from the opening's rim backwards; v runs round the opening from chin to chin
    ang = v * np.pi * 0.80
    ox, oz = 0.090 * np.sin(ang), 0.128 * np.cos(ang) - 0.004
    low = kit.smoothstep(0.35, 1.0, np.abs(v))
    back = np.sin(np.pi / 2 * np.clip(t, 0, 1)) ** 0.9
    swell = 1 + 0.42 * np.sin(np.pi * np.clip(t, 0, 1) ** 0.6) * (1 - 0.3 * low)
    folds = kit.fbm((256, 512), 2.3, seed, (2.5, 1.0))
    f = kit.lookup(folds, v * 0.5 + 0.5 + 0.08 * t, t * 0.35)
    f2 = kit.lookup(folds, v * 1.1 + 0.2 * t, t * 0.5 + 0.4)
    close = np.clip(1 - 1.05 * t**3.5, 0, 1)
    x = ox * swell * (0.08 + 0.92 * close) + 0.05 * low * t * np.sign(v)
    y = -0.042 + 0.18 * back - 0.012 * np.cos(ang * 0.8) * (1 - t) + 0.0 * v
    z = oz * swell * (0.1 + 0.9 * close) - 0.10 * low * t
    out = 0.006 + 0.007 * f * (0.25 + t) + 0.003 * f2
    r = np.hypot(x, z) + 1e-6
    p = np.stack([x + out * x / r, y + 0.4 * out * f, z + out * z / r], -1)
    rolled = kit.resample(np.stack([x[0] * 1.03, y[0] - 0.002, z[0] * 1.03], -1), 0.003)
    wob = kit.fbm((64, 256), 1.8, seed + 1)
    rim = kit.tube(
        rolled, 0.0085, 20, 20, lambda s, a: 0.0022 * kit.lookup(wob, s * 1.3, a / 6.28 + 0 * s)
    )
    uv = np.stack([v * 2.2, t * 1.4], -1)
    return kit.join([kit.sheet(p, uv), rim]).turned("z", turn)


def cloak(seed, turn, width=0.235):
    """Shoulders under cloth: a swept shape with deep radiating folds."""
    n, m = 520, 900
    t, a = np.meshgrid(np.linspace(0, 1, n), np.linspace(0, 2 * np.pi, m), indexing="ij")
    folds = kit.fbm((256, 512), 2.0, seed, (7.0, 1.0))
    f = kit.lookup(folds, a / (2 * np.pi), t * 0.12)
    f2 = kit.lookup(folds, 2 * a / (2 * np.pi) + 0.04 * t, t * 0.3 + 0.5)
    grow = np.sin(np.pi / 2 * np.clip(t * 1.15, 0, 1)) ** 0.8
    rx = 0.060 + (width - 0.060) * grow
    ry = 0.058 + 0.075 * grow
    drop = -0.125 - 0.055 * t - 0.46 * np.clip(t - 0.42, 0, 1) ** 1.35
    k = 1 + (0.045 * f + 0.02 * f2) * kit.smoothstep(0.02, 0.5, t)
    p = np.stack([rx * np.cos(a) * k, 0.015 + ry * np.sin(a) * k, drop + 0.010 * f * (1 - t)], -1)
    collar = np.linspace(0, 2 * np.pi, 160)
    ring = np.stack(
        [
            0.072 * np.cos(collar),
            0.008 + 0.070 * np.sin(collar),
            -0.128 + 0.008 * np.sin(2 * collar + seed) - 0.010 * np.sin(collar),
        ],
        -1,
    )
    wob = kit.fbm((64, 256), 1.8, seed + 2)
    roll = kit.tube(
        ring, 0.021, 30, 20, lambda s, q: 0.006 * kit.lookup(wob, s * 1.1, q / 6.28 + 0 * s)
    )
    return kit.join([kit.sheet(p, np.stack([a, t * 2], -1)), roll]).turned("z", turn)


def cloth(deep, light, seed, repeat=22.0):
    """Woven wool: a twill in relief, slubs, and a soft sheen."""
    n = 512
    y, x = np.mgrid[0:n, 0:n]
    twill = (
        np.sin(2 * np.pi * (x + y) * 16 / n) * 0.5
        + np.sin(2 * np.pi * y * 48 / n) * 0.3
        + np.sin(2 * np.pi * x * 48 / n) * 0.3
    )
    slub = kit.fbm((n, n), 1.0, seed, (1, 6))
    base = {
        "type": "principled",
        "base_color": kit.mix(deep, light, 0.5 + 0.14 * twill + 0.16 * slub, (repeat, repeat)),
        "roughness": 0.9,
        "specular": 0.2,
        "sheen": 0.6,
        "sheen_tint": 0.6,
    }
    return kit.two(kit.bumpy(base, twill + 0.6 * slub, 0.0010, (repeat, repeat)))


def build(size):
    parts = []
    spots = [  # x, y, z, turn, melanin, blood, nose, lips, jaw, age
        (0.0, 0.0, 0.0, -17, 0.055, 0.30, 1.0, 1.0, 1.0, 0.9),
        (-0.285, 0.20, 0.012, 10, 0.165, 0.32, 1.12, 1.25, 1.02, 0.1),
        (0.285, 0.15, -0.022, -38, 0.31, 0.38, 1.22, 1.45, 1.05, 0.4),
    ]
    cloths = [
        ((0.018, 0.026, 0.040), (0.055, 0.075, 0.105)),
        ((0.16, 0.035, 0.02), (0.34, 0.085, 0.05)),
        ((0.17, 0.14, 0.09), (0.40, 0.35, 0.26)),
    ]
    for k, (x, y, z, turn, mel, blood, nose, lips, jaw, age) in enumerate(spots):
        head, paint = face(60 + 7 * k, nose, lips, jaw, age, turn)
        dark = kit.skin(min(3.0, mel * 2 + 1.4), 0.3) * 0.7
        spectra = [
            dark,
            kit.skin(mel, blood),
            kit.skin(mel * 1.03, blood * 1.75),
            kit.skin(mel * 1.25, blood * 2.6),
        ]
        tone = {
            "type": "principled",
            "base_color": kit.ramp(spectra, paint, np.ones((4, 4))),
            "roughness": 0.40,
            "specular": 0.42,
            "flatness": 0.5,
            "clearcoat": 0.12,
            "clearcoat_gloss": 0.6,
        }
        parts.append(head.at(x, y, z).skin(kit.two(tone)))
        wool = cloth(*cloths[k], 20 + k)
        parts.append(hood(80 + k, turn).at(x, y, z).skin(wool))
        parts.append(cloak(90 + k, turn * 0.4).at(x, y, z).skin(wool))
    wall_n, soft = kit.fbm((1024, 1024), 1.9, 3), kit.fbm((1024, 1024), 3.0, 4)
    plaster = {
        "type": "principled",
        "base_color": kit.mix(
            (0.07, 0.068, 0.06), (0.20, 0.19, 0.165), 0.5 + 0.16 * wall_n + 0.22 * soft
        ),
        "roughness": 0.9,
    }
    wall = kit.sheet(
        np.array([[[-2, 0.95, -1], [2, 0.95, -1]], [[-2, 0.95, 2], [2, 0.95, 2]]], float)
    )
    parts.append(wall.skin(kit.two(kit.bumpy(plaster, wall_n + soft, 0.02))))
    scene = {
        "type": "scene",
        "sensor": kit.camera((0.03, -1.62, 0.03), (0.005, 0.0, -0.012), 23.5, size, 0.014, 1.53),
        "window": {
            "type": "rectangle",
            "to_world": mi.ScalarTransform4f()
            .look_at([-1.40, -1.30, 0.62], [0, 0.08, -0.02], [0, 0, 1])
            .scale([0.36, 0.5, 1]),
            "emitter": {"type": "area", "radiance": kit.spectrum(3.6 * kit.blackbody(6300))},
        },
        "room": {"type": "constant", "radiance": kit.spectrum(0.035 * kit.blackbody(4600))},
        "lamp": {
            "type": "rectangle",
            "to_world": mi.ScalarTransform4f()
            .look_at([1.6, 0.55, 0.5], [0.1, 0.1, 0.0], [0, 0, 1])
            .scale([0.12, 0.3, 1]),
            "emitter": {"type": "area", "radiance": kit.spectrum(1.3 * kit.blackbody(3600))},
        },
    }
    scene.update({f"part{i}": p for i, p in enumerate(parts)})
    return mi.load_dict(scene)


def expose(size, spp):
    return kit.expose(build(size), spp, 61, depth=6, clamp=20.0)
