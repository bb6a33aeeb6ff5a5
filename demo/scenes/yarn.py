"""Dyed wool hung to dry: saturated surfaces with depth in every fold."""

import mitsuba as mi
import numpy as np

from . import kit

SIZE = (1950, 1300)
SPP = 24
FILM = {"ev": 1.2, "contrast": 1.2, "clip": 5.0, "bloom": 0.02, "vignette": 0.3, "grain": 0.007}


def skein(width, drop, strands, seed):
    """A hank hung over a rod along y at z = 0: loops of two-ply yarn, gathered and uneven."""
    rng = np.random.default_rng(seed)
    out = []
    for _ in range(strands):
        front = rng.random() < 0.62
        y0 = width * (rng.random() - 0.5)
        depth = drop * (1 + 0.035 * rng.normal()) - 0.03 * (2 * y0 / width) ** 2
        gather = 0.62 + 0.06 * rng.normal()
        sway, layer = 0.012 * rng.normal(), 0.018 * rng.random()
        t = np.linspace(0, 1, 46)
        a = np.pi * t  # over the rod is hidden: run front, round the bottom, and up behind
        s = np.interp(t, [0, 0.44, 0.56, 1], [0, 1, 1, 0])
        swing = 0.5 + 0.5 * np.cos(np.pi * t)
        x = (
            (0.028 + layer)
            * np.where(front, 1, 0.5)
            * (2 * swing - 1)
            * (1 + 0.8 * np.sin(np.pi * s))
        )
        pinch = 1 - (1 - gather) * kit.smoothstep(0.05, 0.55, s) * (
            1 - 0.25 * kit.smoothstep(0.6, 1.0, s)
        )
        y = (
            y0 * pinch
            + sway * np.sin(np.pi * s)
            + 0.004 * np.sin(9 * s + 6 * rng.random()) * rng.normal() * np.sin(a)
        )
        z = 0.02 - depth * np.sin(np.pi / 2 * s) ** 0.95
        line = kit.resample(np.stack([x, y, z], -1), 0.0055)
        length = 2 * drop
        for ph in (0, np.pi):
            ply = kit.offset_path(
                line, 0.0019, length / 0.019, ph + 6 * rng.random(), int(rng.integers(1e9)), 0.12
            )
            out.append(kit.tube(ply, 0.0021 * (1 + 0.08 * rng.normal()), 5, 40.0, caps=False))
    # fuzz: loose hairs catching the light
    return kit.join(out)


def tie(width, z, seed):
    """The band that holds a hank together."""
    a = np.linspace(0, 2 * np.pi * 3.2, 120)
    r = np.random.default_rng(seed)
    p = np.stack(
        [
            0.064 * np.cos(a),
            width * 0.41 * np.sin(a),
            z + 0.004 * a / 3 + 0.002 * r.normal(size=120).cumsum() * 0.1,
        ],
        -1,
    )
    return kit.rope(p, 0.0035)


def build(size):
    rng = np.random.default_rng(5)
    nm = kit.NM
    tail = 1 / (1 + np.exp(-(nm - 690) / 10))
    dyes = [  # deep and light of each dye bath
        (
            0.6 * kit.band(455, 40, 0.006, 0.30) + 0.10 * tail,
            kit.band(462, 46, 0.010, 0.42) + 0.15 * tail,
        ),  # indigo
        (kit.edge(602, 9, 0.006, 0.62), kit.edge(590, 10, 0.012, 0.75)),  # madder
        (kit.edge(520, 11, 0.008, 0.72), kit.edge(508, 12, 0.012, 0.82)),  # weld
        (
            kit.band(522, 27, 0.006, 0.34) + 0.25 * tail,
            kit.band(528, 32, 0.010, 0.50) + 0.3 * tail,
        ),  # weld over indigo
        (
            kit.edge(622, 10, 0.005, 0.56) + kit.line(440, 30, 0.14),
            kit.edge(610, 10, 0.008, 0.68) + kit.line(445, 36, 0.24),
        ),  # cochineal
        (
            kit.band(486, 30, 0.006, 0.38) + 0.2 * tail,
            kit.band(492, 36, 0.010, 0.54) + 0.3 * tail,
        ),  # sea green
        (kit.edge(566, 9, 0.006, 0.72), kit.edge(556, 10, 0.012, 0.82)),  # madder over weld
        (
            kit.line(436, 30, 0.22) + 0.22 * tail + 0.006,
            kit.line(440, 36, 0.34) + 0.3 * tail + 0.01,
        ),  # violet
        (kit.edge(440, 30, 0.30, 0.62), kit.edge(430, 25, 0.42, 0.74)),  # undyed
    ]
    order = [0, 5, 3, 2, 6, 1, 4, 7, 8, 0]
    parts = []
    mottle = kit.fbm((512, 512), 1.3, 3, (1, 1))
    y = -1.02
    rods = []
    for row, (zrod, xrod) in enumerate(((1.98, 0.0), (2.12, -0.34))):
        y = -1.25 + 0.12 * row
        picks = order if row == 0 else [3, 8, 1, 7, 2, 0, 6, 5, 4, 1]
        for i, k in enumerate(picks):
            w = 0.17 + 0.04 * rng.random()
            drop = 0.74 + 0.10 * rng.random()
            body = skein(w, drop, 170 if row == 0 else 100, 50 + i + 20 * row).turned(
                "x", 3 * rng.normal()
            )
            deep, light = dyes[k]
            wool = {
                "type": "principled",
                "base_color": kit.mix(deep, light, 0.5 + 0.28 * mottle),
                "roughness": 0.85,
                "specular": 0.25,
                "sheen": 0.5,
                "sheen_tint": 0.8,
            }
            parts.append(body.at(xrod, y + w / 2, zrod).skin(kit.two(wool)))
            if row == 0:
                parts.append(
                    tie(w, -0.24 - 0.05 * rng.random(), i)
                    .at(xrod, y + w / 2, zrod)
                    .skin(kit.two({"type": "diffuse", "reflectance": kit.rgb(0.5, 0.46, 0.38)}))
                )
            y += w + 0.05 + 0.02 * rng.random()
        rods.append(
            kit.tube(
                [[xrod, -1.7, zrod], [xrod, 0, zrod - 0.012], [xrod, 1.7, zrod]], 0.022, 20, 0.5
            )
        )
    parts.append(
        kit.join(rods).skin(
            kit.wood((0.34, 0.24, 0.15), (0.09, 0.06, 0.04), 4, (1, 0.7), 0.5, 0.3, 1)
        )
    )
    # limewashed wall, damp below
    n = 900
    gy, gz = np.meshgrid(np.linspace(-2.2, 2.2, n), np.linspace(0, 3.2, n))
    rubble = kit.fbm((1024, 1024), 2.0, 7)
    lumps = kit.fbm((256, 256), 2.8, 8)
    gx = (
        -0.80
        + 0.006 * kit.lookup(rubble, gy / 2.2, gz / 2.2)
        + 0.02 * kit.lookup(lumps, gy / 3, gz / 3)
    )
    wall = kit.sheet(np.stack([gx, gy, gz], -1), np.stack([gy / 4.4, gz / 4.4], -1))
    damp = 0.55 + 0.22 * rubble + 0.2 * lumps.repeat(4, 0).repeat(4, 1)
    parts.append(
        wall.skin(
            kit.two(
                {
                    "type": "principled",
                    "base_color": kit.mix((0.16, 0.15, 0.13), (0.46, 0.44, 0.40), damp),
                    "roughness": 0.9,
                }
            )
        )
    )
    scene = {
        "type": "scene",
        "sensor": kit.camera((2.45, -0.62, 1.52), (0.0, -0.06, 1.60), 30, size, 0.012, 2.45),
        "sky": {"type": "constant", "radiance": kit.spectrum(0.10 * kit.blackbody(7500))},
        "light": {
            "type": "rectangle",
            "to_world": mi.ScalarTransform4f()
            .look_at([1.9, -3.2, 3.4], [0, 0.1, 1.5], [0, 0, 1])
            .scale([0.6, 0.6, 1]),
            "emitter": {"type": "area", "radiance": kit.spectrum(11.0 * kit.blackbody(5300))},
        },
        "open": {
            "type": "rectangle",
            "to_world": mi.ScalarTransform4f()
            .look_at([3.0, 2.0, 3.2], [0, 0, 1.5], [0, 0, 1])
            .scale([1.5, 1.2, 1]),
            "emitter": {"type": "area", "radiance": kit.spectrum(0.55 * kit.blackbody(8000))},
        },
    }
    scene.update({f"part{i}": p for i, p in enumerate(parts)})
    return mi.load_dict(scene)


def expose(size, spp):
    return kit.expose(build(size), spp, 51, depth=7, clamp=30.0)
