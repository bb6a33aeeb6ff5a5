"""Dahlias on a market bench: petal pigments with steep spectral edges, lit through and by turns."""

import mitsuba as mi
import numpy as np

from . import kit

SIZE = (1800, 1200)
SPP = 64
CROP = (0, 1174 / 1200)  # of the height; below it the bench ends
FILM = {"ev": 1.85, "contrast": 1.15, "clip": 5.0, "bloom": 0.02, "vignette": 0.3, "grain": 0.003}


def petal(length, width, cup, curl, twist=0.0, nu=15, nv=9):
    """One petal along +x from the origin: rounded, cupped across, curling back at the tip."""
    u, v = np.meshgrid(np.linspace(0, 1, nu), np.linspace(-1, 1, nv), indexing="ij")
    half = width * np.sin(np.pi * np.clip(u, 0, 1) ** 0.75 * 0.93 + 0.10) ** 0.85
    bend = curl * u**2
    x = length * (u - 0.25 * np.abs(curl) * u**3)
    y = half * v * (1 - 0.25 * cup)
    z = length * bend * 0.5 + cup * half * v**2 + 0.06 * width * np.cos(3 * np.pi * v) * u
    z = z + twist * v * half * u
    return np.stack([x, y, z], -1), np.stack([u, v * 0.5 + 0.5], -1)


def dahlia(radius, petals, seed, kind=0.5):
    """A flower head facing +z; `kind` 0 is open-faced, 1 is a closed ball."""
    rng = np.random.default_rng(seed)
    parts = []
    golden = np.pi * (3 - np.sqrt(5))
    for k in range(petals):
        t = ((k + 0.5) / petals) ** 0.75  # 0 inner, 1 outer
        tilt = np.radians(78 - t * (92 + 40 * kind) + 5 * rng.normal())
        length = radius * (0.30 + 0.70 * t ** (0.8 - 0.3 * kind)) * (1 + 0.06 * rng.normal())
        p, uv = petal(
            length,
            radius * (0.10 + 0.13 * t),
            1.15 - 0.65 * t + 0.1 * rng.normal(),
            0.15 - 0.5 * t + 0.12 * rng.normal(),
            0.25 * rng.normal(),
        )
        q = (
            kit.sheet(p, uv)
            .turned("y", -np.degrees(tilt))
            .turned("z", np.degrees(k * golden) + 4 * rng.normal())
        )
        parts.append(q.at(0, 0, radius * (0.16 - 0.28 * t * (1 + 0.6 * kind))))
    return kit.join(parts)


def aim(part, direction, place):
    """Turn +z to `direction` and move to `place`."""
    d = np.asarray(direction, float)
    d = d / np.linalg.norm(d)
    a = np.cross([0.0, 1.0, 0.0], d)
    a /= np.linalg.norm(a)
    b = np.cross(d, a)
    return kit.Part(part.vertices @ np.stack([a, b, d]) + place, part.faces, part.uv)


def leafage(n, seed, box):
    """Toothed leaves scattered in a box (lo, hi)."""
    rng = np.random.default_rng(seed)
    lo, hi = np.asarray(box[0]), np.asarray(box[1])
    out = []
    for _ in range(n):
        u, v = np.meshgrid(np.linspace(0, 1, 22), np.linspace(-1, 1, 13), indexing="ij")
        length = 0.09 + 0.05 * rng.random()
        half = (
            length
            * 0.27
            * np.sin(np.pi * u**0.8)
            * (1 + 0.12 * (1 - 2 * np.abs((u * 9) % 1 - 0.5)))
        )
        p = np.stack(
            [
                length * u,
                half * v,
                0.25 * length * np.abs(v) * half / length
                - 0.35 * length * u**2
                + 0.003 * np.sin(16 * u + 3 * np.abs(v)),
            ],
            -1,
        )
        q = kit.sheet(p, np.stack([u, v * 0.5 + 0.5], -1))
        out.append(
            aim(
                q.turned("z", 360 * rng.random()),
                rng.normal(size=3) * 0.6 + [0, -0.2, 1],
                lo + rng.random(3) * (hi - lo),
            )
        )
    return kit.join(out)


def bloom(base, tip, sheen=0.3):
    """Petal tissue: thin, half letting light through, darker at the base, streaked."""
    u, v = np.meshgrid(np.linspace(0, 1, 256), np.linspace(0, 1, 256))
    streak = kit.fbm((256, 256), 1.0, 3, (18.0, 1.0))
    w = np.clip(0.05 + 0.75 * u**1.5 + 0.13 * streak + 0.1 * np.cos(14 * np.pi * v), 0, 1)
    return {
        "type": "principledthin",
        "base_color": kit.mix(base, tip, w),
        "roughness": 0.42,
        "diff_trans": 0.75,
        "spec_trans": 0.0,
        "eta": 1.35,
        "sheen": sheen,
    }


def build(size):
    rng = np.random.default_rng(12)
    nm = kit.NM
    tail = 1 / (1 + np.exp(-(nm - 640) / 8))
    # Petal pigments: (base, tip) reflectances.
    kinds = {
        "scarlet": (kit.edge(606, 6, 0.006, 0.80), kit.edge(594, 7, 0.010, 0.90)),
        "crimson": (
            kit.edge(634, 9, 0.004, 0.55),
            kit.edge(622, 9, 0.006, 0.72) + kit.line(430, 25, 0.02),
        ),
        "magenta": (
            kit.edge(618, 7, 0.006, 0.78) + kit.line(430, 30, 0.24),
            kit.edge(606, 8, 0.012, 0.88) + kit.line(435, 38, 0.42),
        ),
        "orange": (kit.edge(572, 7, 0.006, 0.86), kit.edge(556, 8, 0.010, 0.93)),
        "yellow": (kit.edge(521, 7, 0.006, 0.88), kit.edge(509, 8, 0.012, 0.94)),
        "violet": (
            kit.line(432, 26, 0.30) + 0.30 * tail + 0.006,
            kit.line(438, 34, 0.50) + 0.45 * tail + 0.010,
        ),
        "white": (kit.edge(420, 12, 0.10, 0.80), kit.edge(408, 9, 0.20, 0.93)),
    }
    heads = {k: [] for k in kinds}
    stems = []
    names = list(kinds)
    # Buckets in two rows; each bucket holds mostly one kind.
    plan = [
        (-0.50, 0.00, "magenta"),
        (-0.14, -0.03, "orange"),
        (0.22, 0.0, "crimson"),
        (0.58, 0.02, "violet"),
        (-0.86, 0.02, "yellow"),
        (-0.70, 0.36, "scarlet"),
        (-0.34, 0.37, "white"),
        (0.03, 0.36, "violet"),
        (0.40, 0.37, "yellow"),
        (0.76, 0.36, "magenta"),
        (-0.98, 0.72, "violet"),
        (-0.5, 0.74, "yellow"),
        (-0.12, 0.73, "crimson"),
        (0.24, 0.74, "orange"),
        (0.62, 0.73, "scarlet"),
        (1.05, 0.7, "white"),
    ]
    zinc = []
    for bx, by, kind in plan:
        lift = 0.16 * (by > 0.2) + 0.14 * (by > 0.6)
        prof = [
            (0.105, 0),
            (0.108, 0.004),
            (0.145, 0.27),
            (0.150, 0.275),
            (0.150, 0.285),
            (0.143, 0.283),
            (0.105, 0.02),
            (0, 0.02),
        ]
        zinc.append(kit.lathe(prof, 72, (4, 1)).at(bx, by, lift))
        placed = []
        for _ in range(900):
            if len(placed) >= 15:
                break
            a, r = 2 * np.pi * rng.random(), 0.185 * np.sqrt(rng.random())
            c = np.array(
                [
                    bx + r * np.cos(a),
                    by + r * np.sin(a),
                    lift + 0.47 - 2.4 * r * r + 0.03 * rng.normal(),
                ]
            )
            size_r = 0.066 + 0.020 * rng.random()
            if any(np.linalg.norm((c - q) * [1, 1, 0.8]) < 0.86 * (size_r + s) for q, s in placed):
                continue
            placed.append((c, size_r))
            use = kind if rng.random() < 0.88 else names[rng.integers(len(names))]
            d = np.array([1.5 * (c[0] - bx), 1.5 * (c[1] - by) - 0.25, 0.55]) + 0.10 * rng.normal(
                size=3
            )
            head = dahlia(
                size_r,
                int(70 + 50 * rng.random()),
                int(rng.integers(1e9)),
                rng.choice([0.15, 0.5, 0.9]),
            )
            heads[use].append(aim(head, d, c))
            n = d / np.linalg.norm(d)
            stems.append(
                kit.tube(
                    kit.resample(
                        [
                            c - 0.02 * n,
                            c - 0.09 * n,
                            [bx + 0.3 * (c[0] - bx), by + 0.3 * (c[1] - by), lift + 0.2],
                        ],
                        0.02,
                    ),
                    0.0042,
                    7,
                )
            )
    parts = []
    for k, group in heads.items():
        if group:
            parts.append(kit.join(group).skin(bloom(*kinds[k])))
    u = np.linspace(0, 1, 256)
    veins = kit.smoothstep(0.03, 0.0, np.abs(u[:, None] - 0.5)) + 0.5 * kit.smoothstep(
        0.12, 0.0, np.abs(((u[None] - 0.9 * np.abs(u[:, None] - 0.5)) * 8) % 1 - 0.5)
    )
    green = {
        "type": "principledthin",
        "base_color": kit.mix(
            kit.leaf(1.3), kit.leaf(0.55), 0.25 * veins + 0.1 * kit.fbm((256, 256), 1.5, 6)
        ),
        "roughness": 0.38,
        "diff_trans": 0.5,
        "eta": 1.4,
    }
    leaves = [
        leafage(
            34,
            200 + i,
            (
                [bx - 0.17, by - 0.17, 0.25 + 0.16 * (by > 0.2) + 0.14 * (by > 0.6)],
                [bx + 0.17, by + 0.17, 0.40 + 0.16 * (by > 0.2) + 0.14 * (by > 0.6)],
            ),
        )
        for i, (bx, by, _) in enumerate(plan)
    ]
    parts.append(kit.join(leaves).skin(green))
    parts.append(
        kit.join(stems).skin(
            {"type": "principled", "base_color": kit.spectrum(kit.leaf(1.0)), "roughness": 0.4}
        )
    )
    dull = kit.fbm((512, 512), 1.6, 9)
    metal = {
        "type": "principled",
        "metallic": 0.35,
        "base_color": kit.mix((0.22, 0.23, 0.24), (0.50, 0.51, 0.52), 0.5 + 0.2 * dull),
        "roughness": kit.picture(np.clip(0.42 + 0.1 * dull, 0.2, 0.8), True),
    }
    parts.append(kit.join(zinc).skin(kit.two(kit.bumpy(metal, dull, 0.003))))
    bench = kit.wood((0.30, 0.22, 0.15), (0.06, 0.045, 0.035), 5, (0.6, 2.0), 0.45, 0.4, 0)
    planks = [
        kit.block(2.8, 0.135, 0.03, 0.004, 10).at(0.02 * i, -0.32 + 0.14 * i, -0.016)
        for i in range(4)
    ]
    planks += [
        kit.block(2.8, 0.35, 0.16, 0.005).at(0, 0.36, 0.08),
        kit.block(2.8, 0.35, 0.30, 0.005).at(0, 0.74, 0.15),
    ]
    parts.append(kit.join(planks).skin(bench))
    back = kit.wood((0.10, 0.12, 0.12), (0.03, 0.035, 0.036), 8, (0.5, 0.6), 0.6, 0.3, 1)
    parts.append(
        kit.join(
            [kit.block(0.16, 0.03, 3.0, 0.006).at(-2.4 + 0.165 * i, 1.5, 1.0) for i in range(30)]
        ).skin(back)
    )
    # fallen petals
    fallen = []
    for _ in range(46):
        p, uv = petal(0.035 + 0.02 * rng.random(), 0.011, 0.7, -0.3)
        fallen.append(
            aim(
                kit.sheet(p, uv).turned("z", 360 * rng.random()),
                [0.3 * rng.normal(), 0.3 * rng.normal(), 1],
                [rng.uniform(-0.9, 0.9), rng.uniform(-0.42, -0.12), 0.004 + 0.002 * rng.random()],
            )
        )
    parts.append(kit.join(fallen[:23]).skin(bloom(*kinds["magenta"])))
    parts.append(kit.join(fallen[23:]).skin(bloom(*kinds["orange"])))
    scene = {
        "type": "scene",
        "sensor": kit.camera((0.06, -1.30, 1.22), (0.0, 0.13, 0.47), 36, size, 0.008, 1.42),
        "sky": {"type": "constant", "radiance": kit.spectrum(0.34 * kit.blackbody(7000))},
        "window": {
            "type": "rectangle",
            "to_world": mi.ScalarTransform4f()
            .look_at([-2.6, 0.6, 2.3], [0, 0.25, 0.45], [0, 0, 1])
            .scale([0.55, 0.55, 1]),
            "emitter": {"type": "area", "radiance": kit.spectrum(9.0 * kit.blackbody(5300))},
        },
        "awning": {
            "type": "rectangle",
            "to_world": mi.ScalarTransform4f()
            .look_at([1.0, -1.0, 3.2], [0, 0.3, 0.4], [0, 1, 0])
            .scale([1.4, 1.0, 1]),
            "emitter": {"type": "area", "radiance": kit.spectrum(0.8 * kit.blackbody(6500))},
        },
    }
    scene.update({f"part{i}": p for i, p in enumerate(parts)})
    return mi.load_dict(scene)


def expose(size, spp):
    return kit.expose(build(size), spp, 31, depth=9, clamp=30.0)
