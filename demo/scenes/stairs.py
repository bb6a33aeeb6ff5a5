"""Quay stairs, a ring, a coil and a railing's shadow: made to be seen in grey."""

import mitsuba as mi
import numpy as np

from . import kit

SIZE = (2100, 1400)
SPP = 16
FILM = {"ev": 2.35, "contrast": 1.3, "clip": 4.0, "bloom": 0.02, "vignette": 0.3, "grain": 0.014}


def tread(width, depth, height, seed):
    """A worn granite step: hollowed where people walk, chipped along its edge."""
    nx, ns = 900, 420
    x = np.linspace(-width / 2, width / 2, nx)
    # profile: back of the tread, nosing, riser
    s = np.linspace(0, 1, ns)
    round_ = 0.022
    length = depth + height
    d = s * length
    y = np.where(d < depth, depth - d, 0.0)
    z = np.where(d < depth, 0.0, -(d - depth))
    corner = np.exp(-(((d - depth) / round_) ** 2))
    rough = kit.fbm((1024, 1024), 1.5, seed)
    big = kit.fbm((256, 256), 2.6, seed + 1)
    chips = kit.fbm((256, 512), 1.6, seed + 2)
    X, D = np.meshgrid(x, d, indexing="ij")
    u, v = X / 1.3, D / 1.3
    bump = 0.0020 * kit.lookup(rough, u, v) + 0.004 * kit.lookup(big, u * 0.5, v * 0.5)
    wear = 0.020 * np.exp(-(((X - 0.1) / 0.36) ** 2)) * np.exp(-(((D - depth * 0.75) / 0.16) ** 2))
    chip = (
        0.016
        * np.clip(kit.lookup(chips, u * 1.7, v * 0.8) - 0.9, 0, 1.2)
        * np.exp(-(((D - depth) / 0.05) ** 2))
    )
    lower = bump - wear - chip - 0.007 * corner[None, :]
    top = kit.smoothstep(depth + 0.018, depth - 0.018, D)
    Y = y[None, :] - (1 - top) * lower + 0.5 * corner[None, :] * (wear + chip + 0.007)
    Z = z[None, :] + top * lower - 0.3 * (1 - top) * corner[None, :] * (wear + chip + 0.012)
    return kit.sheet(
        np.stack([X, np.broadcast_to(Y, X.shape), Z], -1), np.stack([u, v], -1), flip=False
    )


def build(size):
    rng = np.random.default_rng(31)
    parts, stone = [], []
    rise, run = 0.175, 0.33
    for k in range(9):
        t = tread(2.6, run + 0.03, rise + 0.02, 40 + 3 * k)
        stone.append(t.at(rng.normal() * 0.006, run * k, rise * k + rng.normal() * 0.003))
    # side wall of coursed blocks on the left
    for c in range(12):
        xs = -0.5 * (c % 2)
        while xs < 4.2:
            w = 0.55 + 0.35 * rng.random()
            stone.append(
                kit.block(0.5, w - 0.014, 0.27, 0.018, 40, 0.009, int(rng.integers(1e6))).at(
                    -1.5 + 0.012 * rng.normal(), xs + w / 2 - 0.6, -0.25 + 0.284 * c
                )
            )
            xs += w
    speck, cloud = kit.fbm((1024, 1024), 0.7, 2), kit.fbm((1024, 1024), 2.2, 3)
    tone = 0.50 + 0.22 * speck + 0.20 * cloud
    granite = {
        "type": "principled",
        "base_color": kit.mix((0.07, 0.07, 0.07), (0.42, 0.41, 0.39), tone),
        "roughness": kit.picture(np.clip(0.55 + 0.2 * cloud, 0.2, 0.9), True),
        "specular": 0.4,
    }
    parts.append(kit.join(stone).skin(kit.two(kit.bumpy(granite, speck + cloud, 0.004))))
    mortar = kit.sheet(
        np.array([[[-1.36, -2, -1], [-1.36, 6, -1]], [[-1.36, -2, 4], [-1.36, 6, 4]]], float)
    )
    parts.append(
        mortar.skin(kit.two({"type": "diffuse", "reflectance": kit.rgb(0.10, 0.10, 0.095)}))
    )
    landing = kit.sheet(
        np.array(
            [
                [[-4, -6, -rise - 0.02], [4, -6, -rise - 0.02]],
                [[-4, 0.03, -rise - 0.02], [4, 0.03, -rise - 0.02]],
            ],
            float,
        )
    )
    parts.append(landing.skin(kit.two(granite)))
    # iron: ring in the wall, handrail throwing the shadow
    iron = kit.two(
        kit.bumpy(
            {
                "type": "principled",
                "base_color": kit.mix(
                    (0.02, 0.02, 0.02), (0.11, 0.10, 0.09), 0.4 + 0.3 * cloud + 0.2 * speck
                ),
                "roughness": 0.45,
                "specular": 0.5,
            },
            speck + cloud,
            0.012,
            (2, 2),
        )
    )
    a = np.linspace(0, 2 * np.pi, 80)
    ring = np.stack(
        [-1.215 + 0.05 * (1 + np.cos(a)) * 0.4, 0.62 + 0.12 * np.sin(a), 0.86 + 0.12 * np.cos(a)],
        -1,
    )
    irons = [kit.tube(ring, 0.015, 18), kit.block(0.07, 0.10, 0.10, 0.02).at(-1.24, 0.62, 0.985)]
    for k in range(-1, 9):
        irons.append(
            kit.tube(
                [
                    [1.12, run * k + 0.16, rise * k - 0.05],
                    [1.12, run * k + 0.16, rise * k + 0.5],
                    [1.12, run * k + 0.16, rise * k + 0.98],
                ],
                0.013,
                12,
            )
        )
    slope = rise / run
    for lift, r in ((0.98, 0.022), (0.52, 0.011)):
        q = np.linspace(-1.2, 3.2, 60)
        irons.append(
            kit.tube(np.stack([np.full(60, 1.12), q, slope * (q - 0.16) + lift], -1), r, 14)
        )
    parts.append(kit.join(irons).skin(iron))
    # rope: through the ring, down the steps, and a coil on the third step
    hemp_n = kit.fbm((256, 256), 1.2, 12)
    hemp = kit.two(
        {
            "type": "principled",
            "base_color": kit.mix(
                (0.20, 0.17, 0.12), (0.62, 0.55, 0.42), 0.55 + 0.2 * hemp_n, (1.0, 0.4)
            ),
            "roughness": 0.85,
            "specular": 0.2,
        }
    )
    ropes = []
    cx, cy, cz = -0.36, 2 * run + 0.20, 2 * rise + 0.012
    coil = []
    for q in np.linspace(0, 2 * np.pi * 8.6, 520):
        turn = q / (2 * np.pi)
        layer = int(turn // 3)
        r = 0.150 - 0.040 * (turn % 3) if layer % 2 == 0 else 0.034 + 0.040 * (turn % 3)
        coil.append(
            [
                cx + 1.35 * r * np.cos(q),
                cy + 0.95 * r * np.sin(q),
                cz + 0.022 + 0.036 * layer + 0.004 * np.sin(2.3 * q),
            ]
        )
    ropes.append(kit.rope(coil, 0.0195, yarns=6, seed=1))
    run_out = [
        [cx + 0.20, cy, cz + 0.022],
        [cx + 0.34, cy - 0.10, cz + 0.022],
        [cx + 0.42, cy - 0.20, cz + 0.03],
        [cx + 0.44, cy - 0.245, cz - 0.06],
        [cx + 0.46, cy - 0.27, cz - 0.150],
        [cx + 0.52, cy - 0.40, cz - 0.160],
        [cx + 0.60, cy - 0.52, cz - 0.150],
        [cx + 0.62, cy - 0.575, cz - 0.23],
        [cx + 0.63, cy - 0.62, cz - 0.33],
        [cx + 0.70, cy - 0.8, cz - 0.335],
        [cx + 0.9, cy - 1.1, cz - 0.5],
    ]
    ropes.append(kit.rope(run_out, 0.0195, yarns=6, seed=2))
    bight = [
        [-1.19, 0.60, 0.745],
        [-1.13, 0.52, 0.60],
        [-1.05, 0.49, 0.42],
        [-0.98, 0.52, 0.27],
        [-0.92, 0.57, 0.205],
        [-0.88, 0.61, 0.25],
        [-0.86, 0.628, 0.335],
        [-0.82, 0.66, 0.388],
        [-0.74, 0.74, 0.376],
        [-0.64, 0.82, 0.374],
        [cx - 0.2, cy + 0.02, cz + 0.03],
    ]
    ropes.append(kit.rope(bight, 0.0195, yarns=6, seed=3))
    eye = [
        [-1.19 + 0.035 * np.cos(q) + 0.004 * q, 0.62 + 0.012 * q - 0.06, 0.742 + 0.036 * np.sin(q)]
        for q in np.linspace(0, 2 * np.pi * 3, 80)
    ]
    ropes.append(kit.rope(eye, 0.0175, yarns=5, seed=4))
    parts.append(kit.join(ropes).skin(hemp))
    # leaves blown into the corners
    leaf_parts = []
    for _ in range(60):
        k = rng.integers(0, 6)
        u, v = np.meshgrid(np.linspace(0, 1, 12), np.linspace(-1, 1, 9), indexing="ij")
        ln = 0.03 + 0.03 * rng.random()
        curl = 0.5 * rng.normal()
        p = np.stack(
            [
                ln * u,
                0.33 * ln * np.sin(np.pi * u**0.8) * v,
                ln * (0.25 * np.abs(v) ** 1.5 * u + curl * (u - 0.5) ** 2),
            ],
            -1,
        )
        y = run * k + rng.choice([0.29, 0.2]) + 0.04 * rng.normal()
        leaf_parts.append(
            kit.sheet(p)
            .turned("x", 20 * rng.normal())
            .turned("z", 360 * rng.random())
            .at(
                rng.uniform(-1.2, 1.1),
                min(max(y, run * k + 0.05), run * k + 0.31),
                rise * k + 0.010,
            )
        )
    parts.append(
        kit.join(leaf_parts).skin(
            kit.two(
                {"type": "principled", "base_color": kit.rgb(0.22, 0.13, 0.06), "roughness": 0.6}
            )
        )
    )
    scene = {
        "type": "scene",
        "sensor": kit.camera((0.22, -1.50, 1.26), (-0.34, 0.72, 0.40), 45, size, 0.006, 2.05),
        "sky": {"type": "constant", "radiance": kit.spectrum(0.055 * kit.blackbody(9000))},
        "sun": {
            "type": "disk",
            "to_world": mi.ScalarTransform4f()
            .look_at([34.0, -7.0, 23.0], [0, 0.6, 0.3], [0, 0, 1])
            .scale([0.32] * 3),
            "emitter": {"type": "area", "radiance": kit.spectrum(6200.0 * kit.blackbody(5200))},
        },
    }
    scene.update({f"part{i}": p for i, p in enumerate(parts)})
    return mi.load_dict(scene)


def expose(size, spp):
    return kit.expose(build(size), spp, 71, depth=6, clamp=30.0)
