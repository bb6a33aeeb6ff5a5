"""A net loft with one window: bright view, dim corners, a patch of sun on the boards."""

import mitsuba as mi
import numpy as np
from scipy.ndimage import gaussian_filter

from . import kit

SIZE = (1800, 1200)
SPP = 12  # for each of three lights
FILM = {
    "ev": 1.9,
    "white": (0.955, 1.0, 0.98),
    "contrast": 1.12,
    "clip": 14.0,
    "bloom": 0.05,
    "halo": 1.8,
    "vignette": 0.25,
    "grain": 0.010,
}


def view(w=900, h=900):
    """What the window looks out on, as (where, gain) for a ramp of spectra."""
    x, y = np.meshgrid(np.linspace(0, 1, w), np.linspace(1, 0, h))  # y up
    cloud = kit.fbm((h, w), 2.4, 5, (1.0, 2.5))
    where = np.clip(0.10 + 0.10 * cloud + 0.25 * (y - 0.45), 0, 0.42)
    gain = 1.0 + 0.25 * cloud * kit.smoothstep(0.5, 0.8, y)
    hills = 0.47 + 0.05 * kit.lookup(kit.fbm((8, 512), 2.6, 6), x * 0.6, 0 * x)
    sea = y < 0.465
    far = (y < hills) & ~sea
    where, gain = np.where(far, 0.55, where), np.where(far, 0.42, gain)
    glitter = 1 + 0.35 * kit.fbm((h, w), 1.2, 7, (1.0, 6.0))
    where, gain = np.where(sea, 0.60, where), np.where(sea, 0.50 * glitter, gain)
    rng = np.random.default_rng(3)
    for k in range(9):
        cx, top = k / 8 + 0.03 * rng.normal(), 0.23 + 0.10 * rng.random()
        wide = 0.075 + 0.03 * rng.random()
        roof = (np.abs(x - cx) < wide) & (y < top + 0.7 * (wide - np.abs(x - cx)))
        wall = (np.abs(x - cx) < wide * 0.92) & (y < top - 0.01)
        where = np.where(roof, 0.80, where)
        gain = np.where(roof, 0.16 + 0.05 * rng.random(), gain)
        where = np.where(wall, 0.92, where)
        gain = np.where(wall, 0.30 + 0.15 * rng.random(), gain)
    for cx, top in ((0.31, 0.80), (0.55, 0.72), (0.60, 0.66), (0.83, 0.75)):
        mast = (np.abs(x - cx) < 0.0032) & (y < top) & (y > 0.2)
        stay = (np.abs((x - cx) - 0.22 * (top - y)) < 0.0014) & (y < top) & (y > 0.2)
        stay |= (np.abs((x - cx) + 0.30 * (top - y)) < 0.0014) & (y < top) & (y > 0.2)
        gain = np.where(mast, 0.10, np.where(stay, 0.45 * gain, gain))
    return where, gaussian_filter(gain, 1.2)


def wall_sheet(origin, along, up, length, height, seed, hole=None, n=1300):
    """Lumpy lime plaster over stone; `hole` (a0, a1, z0, z1) is cut out for a window."""
    a, z = np.meshgrid(np.linspace(0, length, n), np.linspace(0, height, int(n * height / length)))
    normal = np.cross(along, up)
    big, fine = kit.fbm((256, 256), 2.7, seed), kit.fbm((1024, 1024), 1.7, seed + 1)
    lump = 0.010 * kit.lookup(big, a / 2.4, z / 2.4) + 0.0006 * kit.lookup(fine, a / 2.6, z / 2.6)
    p = (
        np.asarray(origin)
        + a[..., None] * np.asarray(along)
        + z[..., None] * np.asarray(up)
        + lump[..., None] * normal
    )
    part = kit.sheet(p, np.stack([a / 3, z / 3], -1))
    if hole:
        ca, cz = a.ravel()[part.faces].mean(1), z.ravel()[part.faces].mean(1)
        keep = ~((ca > hole[0]) & (ca < hole[1]) & (cz > hole[2]) & (cz < hole[3]))
        part = kit.Part(part.vertices, part.faces[keep], part.uv)
    return part


def chair():
    """A plain spindle-backed chair, seat at 0.45 m, facing -y."""
    c = [kit.block(0.42, 0.40, 0.035, 0.014, 10).at(0, 0, 0.45)]
    for sx in (-1, 1):
        for sy in (-1, 1):
            c.append(
                kit.tube(
                    kit.resample(
                        [
                            [0.15 * sx, 0.14 * sy, 0.45],
                            [0.175 * sx, 0.165 * sy, 0.22],
                            [0.2 * sx, 0.19 * sy, 0.0],
                        ],
                        0.02,
                    ),
                    0.017,
                    14,
                )
            )
        c.append(
            kit.tube(
                [[0.178 * sx, -0.17, 0.18], [0.178 * sx, 0, 0.19], [0.178 * sx, 0.17, 0.18]],
                0.011,
                10,
            )
        )
    for k in np.linspace(-1, 1, 6):
        c.append(
            kit.tube(
                kit.resample(
                    [[0.15 * k, 0.17, 0.46], [0.165 * k, 0.20, 0.68], [0.185 * k, 0.25, 0.90]], 0.02
                ),
                0.009 if abs(k) < 1 else 0.015,
                10,
            )
        )
    q = np.linspace(-1, 1, 30)
    c.append(
        kit.tube(
            np.stack([0.20 * q, 0.25 + 0.02 * (1 - q**2), 0.905 + 0.012 * (1 - q**2)], -1),
            0.022,
            16,
        ).scaled(1, 1, 1)
    )
    return kit.join(c)


def build(size):
    rng = np.random.default_rng(17)
    parts = []
    # the room: x -2..2.4, y -3..2.4, z 0..2.7; window in the wall x = -2
    win = (0.15, 1.45, 0.86, 2.16)
    blot, spot = kit.fbm((1024, 1024), 2.3, 3), kit.fbm((1024, 1024), 1.0, 4)
    lime = kit.two(
        {
            "type": "principled",
            "base_color": kit.mix(
                (0.34, 0.31, 0.25), (0.70, 0.67, 0.60), 0.62 + 0.16 * blot + 0.06 * spot
            ),
            "roughness": 0.9,
            "specular": 0.2,
        }
    )
    hole = (win[0] + 3.1, win[1] + 3.1, win[2] + 0.1, win[3] + 0.1)
    parts.append(wall_sheet((-2, -3.1, -0.1), (0, 1, 0), (0, 0, 1), 5.6, 2.9, 8, hole).skin(lime))
    parts.append(wall_sheet((-2.1, 2.4, -0.1), (1, 0, 0), (0, 0, 1), 4.6, 2.9, 10).skin(lime))
    parts.append(wall_sheet((2.4, -3, 0), (0, 1, 0), (0, 0, 1), 5.4, 2.7, 12, n=300).skin(lime))
    parts.append(wall_sheet((-2, -3, 0), (1, 0, 0), (0, 0, 1), 4.4, 2.7, 14, n=300).skin(lime))
    y0, y1, z0, z1 = win
    cy, cz, wy, wz = (y0 + y1) / 2, (z0 + z1) / 2, y1 - y0, z1 - z0
    reveal = [
        kit.block(0.40, 0.3, wz + 0.6, 0.02, 20, 0.004, 1).at(-2.19, y0 - 0.15, cz),
        kit.block(0.40, 0.3, wz + 0.6, 0.02, 20, 0.004, 2).at(-2.19, y1 + 0.15, cz),
        kit.block(0.40, wy + 0.6, 0.3, 0.02, 20, 0.004, 3).at(-2.19, cy, z1 + 0.15),
    ]
    parts.append(kit.join(reveal).skin(lime))
    oak = kit.wood((0.33, 0.22, 0.12), (0.075, 0.05, 0.03), 21, (0.5, 1.3), 0.42, 0.35, 0)
    oak_v = kit.wood((0.30, 0.20, 0.12), (0.07, 0.048, 0.03), 22, (1.2, 0.6), 0.45, 0.35, 1)
    sash = kit.two(
        {"type": "principled", "base_color": kit.rgb(0.42, 0.44, 0.40), "roughness": 0.5}
    )
    bars = [
        kit.block(0.05, 0.05, wz, 0.006).at(-2.25, y0 + 0.02, cz),
        kit.block(0.05, 0.05, wz, 0.006).at(-2.25, y1 - 0.02, cz),
        kit.block(0.05, wy, 0.05, 0.006).at(-2.25, cy, z0 + 0.02),
        kit.block(0.05, wy, 0.05, 0.006).at(-2.25, cy, z1 - 0.02),
        kit.block(0.06, 0.06, wz, 0.006).at(-2.25, cy, cz),
    ]
    for k in (1, 2):
        bars.append(kit.block(0.035, wy, 0.024, 0.005).at(-2.25, cy, z0 + wz * k / 3))
    for q in (0.25, 0.75):
        bars.append(kit.block(0.035, 0.024, wz, 0.005).at(-2.25, y0 + wy * q, cz))
    parts.append(kit.join(bars).skin(sash))
    parts.append(kit.block(0.55, wy + 0.1, 0.045, 0.012, 12).at(-2.08, cy, z0 - 0.02).skin(oak))
    # floor boards, ceiling boards and beams
    boards = []
    bx = -2.1
    while bx < 2.5:
        w = 0.17 + 0.05 * rng.random()
        boards.append(
            kit.block(w - 0.006, 5.8, 0.03, 0.004, 24, 0.0012, int(rng.integers(1e6))).at(
                bx + w / 2, -0.3 + 0.0, -0.016 + 0.0015 * rng.normal()
            )
        )
        boards[-1].uv = (
            boards[-1].uv[:, ::-1] + rng.random(2) * 7
            if False
            else boards[-1].uv + rng.random(2) * 7
        )
        bx += w
    floor_v = kit.wood((0.40, 0.29, 0.18), (0.13, 0.09, 0.055), 31, (0.9, 0.9), 0.40, 0.4, 1)
    parts.append(kit.join(boards).skin(floor_v))
    parts.append(
        kit.sheet(
            np.array(
                [[[-2.2, -3.2, 2.7], [2.6, -3.2, 2.7]], [[-2.2, 2.6, 2.7], [2.6, 2.6, 2.7]]], float
            ),
            np.array([[[0, 0], [3, 0]], [[0, 3], [3, 3]]]),
        ).skin(oak_v)
    )
    beams = [
        kit.block(4.8, 0.20, 0.22, 0.02, 30, 0.006, k).at(0.2, -2.0 + 1.35 * k, 2.58)
        for k in range(4)
    ]
    parts.append(kit.join(beams).skin(oak))
    # table under the window and what stands on it
    table = [
        kit.block(0.86, 0.31, 0.04, 0.008, 20, 0.001, k).at(-1.38, 0.05 + 0.312 * k, 0.74)
        for k in range(5)
    ]
    parts.append(kit.join(table).skin(oak))
    legs = [
        kit.block(0.075, 0.075, 0.72, 0.01).at(x, y, 0.36)
        for x in (-1.74, -1.02)
        for y in (-0.02, 1.38)
    ]
    legs += [kit.block(0.05, 1.4, 0.10, 0.008).at(x, 0.68, 0.66) for x in (-1.74, -1.02)]
    legs += [kit.block(0.72, 0.05, 0.10, 0.008).at(-1.38, y, 0.66) for y in (-0.02, 1.38)]
    parts.append(kit.join(legs).skin(oak_v))
    glaze = {
        "type": "principled",
        "base_color": kit.mix((0.05, 0.10, 0.13), (0.30, 0.36, 0.34), 0.4 + 0.3 * blot),
        "roughness": 0.16,
        "specular": 0.5,
    }
    jug = kit.lathe(
        [
            (0.0, 0.004),
            (0.055, 0.0),
            (0.060, 0.006),
            (0.085, 0.07),
            (0.092, 0.11),
            (0.080, 0.165),
            (0.052, 0.205),
            (0.046, 0.235),
            (0.058, 0.268),
            (0.054, 0.268),
            (0.041, 0.235),
            (0.047, 0.205),
            (0.07, 0.15),
            (0, 0.02),
        ],
        72,
    )
    handle = kit.tube(
        kit.resample(
            [
                [0.046, 0, 0.245],
                [0.10, 0, 0.255],
                [0.135, 0, 0.20],
                [0.125, 0, 0.14],
                [0.088, 0, 0.10],
            ],
            0.006,
        ),
        0.010,
        14,
    )
    parts.append(
        kit.join([jug, handle]).turned("z", -60).at(-1.48, 0.98, 0.762).skin(kit.two(glaze))
    )
    clay = {
        "type": "principled",
        "base_color": kit.mix((0.30, 0.13, 0.07), (0.55, 0.30, 0.18), 0.5 + 0.2 * blot),
        "roughness": 0.5,
    }
    bowl = kit.lathe(
        [
            (0, 0.006),
            (0.05, 0),
            (0.055, 0.008),
            (0.11, 0.05),
            (0.132, 0.085),
            (0.127, 0.086),
            (0.10, 0.052),
            (0.05, 0.016),
            (0, 0.014),
        ],
        72,
    )
    parts.append(bowl.at(-1.22, 0.60, 0.762).skin(kit.two(clay)))
    onion = kit.two(
        {
            "type": "principled",
            "base_color": kit.mix(
                (0.32, 0.13, 0.04),
                (0.62, 0.36, 0.14),
                0.5 + 0.25 * kit.fbm((256, 256), 1.2, 9, (8, 1)),
            ),
            "roughness": 0.35,
        }
    )
    bulb = [
        (0.0, -0.036),
        (0.02, -0.033),
        (0.036, -0.012),
        (0.038, 0.004),
        (0.028, 0.024),
        (0.010, 0.036),
        (0.005, 0.050),
        (0.004, 0.062),
        (0, 0.063),
    ]
    for ox, oy, oz in (
        (0, 0.03, 0.058),
        (0.05, -0.03, 0.062),
        (-0.055, -0.02, 0.064),
        (0.0, -0.01, 0.11),
        (0.26, 0.16, 0.036),
    ):
        parts.append(
            kit.lathe(bulb, 40)
            .turned("x", 40 * rng.normal())
            .turned("z", 360 * rng.random())
            .at(-1.22 + ox, 0.60 + oy, 0.762 + oz)
            .skin(onion)
        )
    # net floats of glass
    for fx, fy, r in ((-1.60, 0.36, 0.075), (-1.44, 0.24, 0.055)):
        parts.append(
            kit.ball(r, 40)
            .at(fx, fy, 0.762 + r)
            .skin(
                {
                    "type": "principled",
                    "base_color": kit.spectrum(np.clip(kit.band(520, 60, 0.62, 0.95), 0, 1)),
                    "roughness": 0.03,
                    "spec_trans": 0.92,
                    "eta": 1.5,
                }
            )
        )
    hemp = kit.two(
        {
            "type": "principled",
            "base_color": kit.mix((0.24, 0.18, 0.11), (0.60, 0.50, 0.34), 0.5 + 0.2 * spot),
            "roughness": 0.85,
            "specular": 0.2,
        }
    )
    ropes, hang = [], []
    twine = [
        [
            -1.06 + (0.055 - 0.006 * (q / 6.28 % 5)) * np.cos(q),
            0.22 + (0.055 - 0.006 * (q / 6.28 % 5)) * np.sin(q),
            0.770 + 0.012 * (q // 31),
        ]
        for q in np.linspace(0, 6.28 * 15, 700)
    ]
    ropes.append(kit.rope(twine, 0.0055))
    # coils on pegs along the back wall
    for k, px in enumerate((-1.35, -0.72, -0.05, 0.75, 1.5)):
        drop = 0.34 + 0.12 * rng.random()
        for _ in range(7 if k % 2 else 10):
            w = 0.10 + 0.03 * rng.random()
            q = np.linspace(0, 2 * np.pi, 48)
            d = drop * (1 + 0.08 * rng.normal())
            hang.append(
                kit.rope(
                    np.stack(
                        [
                            px + w * np.sin(q) * (1 - 0.4 * np.cos(q)) + 0.008 * rng.normal(),
                            2.33 - 0.05 * rng.random() - 0.02 * np.sin(q),
                            1.78 - d + d * np.cos(q),
                        ],
                        -1,
                    ),
                    0.011 + 0.004 * (k % 2),
                )
            )
    parts.append(kit.join(ropes + hang).skin(hemp))
    pegs = [
        kit.tube([[px, 2.42, 1.77], [px, 2.32, 1.78], [px, 2.25, 1.80]], 0.014, 12)
        for px in (-1.35, -0.72, -0.05, 0.75, 1.5)
    ]
    parts.append(
        kit.join([*pegs, kit.block(3.8, 0.03, 0.11, 0.01, 14).at(0.0, 2.375, 1.77)]).skin(oak)
    )
    # folded tan sail over the chest by the back wall
    n = 500
    u, v = np.meshgrid(np.linspace(-1, 1, n), np.linspace(-1, 1, n))
    folds = kit.fbm((512, 512), 3.2, 41, (1.0, 3.0))
    top = 0.60 + 0.03 * kit.lookup(folds, u * 0.4, v * 0.4)
    over = kit.smoothstep(0.72, 1.0, np.maximum(np.abs(u), np.abs(v) * 0.98))
    z = top * (1 - over) + (0.06 + 0.02 * kit.lookup(folds, u * 0.9 + v * 0.4, v * 0.9)) * over
    lump = 0.05 * kit.lookup(folds, u * 0.3 + 0.3, v * 0.3) * (1 - over)
    wave = 0.05 * kit.lookup(folds, u * 0.8, v * 0.8 + 0.3) * over
    sail = kit.sheet(
        np.stack([0.45 + 0.62 * u * (1 + wave), 1.95 + 0.38 * v * (1 + wave), z + lump], -1),
        np.stack([u, v], -1),
    )
    weave_y, weave_x = np.mgrid[0:256, 0:256]
    weave = np.sin(2 * np.pi * weave_x * 32 / 256) * np.sin(2 * np.pi * weave_y * 32 / 256)
    canvas = {
        "type": "principled",
        "base_color": kit.mix(
            (0.20, 0.06, 0.03),
            (0.42, 0.15, 0.08),
            0.5 + 0.2 * weave + 0.15 * kit.fbm((256, 256), 2.0, 6),
            (6, 6),
        ),
        "roughness": 0.85,
    }
    parts.append(sail.skin(kit.two(kit.bumpy(canvas, weave, 0.0012, (6, 6)))))
    parts.append(chair().turned("z", 118).at(-0.52, 0.62, 0.0).skin(oak_v))
    # a broom, an oar, a basket's worth of floats on the floor
    oar = [
        kit.tube([[1.15, 2.12, 0.0], [1.12, 2.2, 1.2], [1.08, 2.33, 2.45]], 0.024, 14),
        kit.block(0.15, 0.022, 0.75, 0.008).turned("x", -6).at(1.16, 2.12, 0.40),
    ]
    parts.append(
        kit.join(oar).skin(
            kit.wood((0.55, 0.45, 0.30), (0.25, 0.18, 0.11), 55, (1, 1), 0.4, 0.3, 1)
        )
    )
    cork = kit.two(
        kit.bumpy(
            {
                "type": "principled",
                "base_color": kit.mix((0.30, 0.17, 0.08), (0.55, 0.36, 0.20), 0.5 + 0.25 * spot),
                "roughness": 0.8,
            },
            spot,
            0.02,
        )
    )
    corks = []
    for _ in range(16):
        corks.append(
            kit.ball(0.055, 16)
            .scaled(1, 1, 0.7)
            .turned("x", 360 * rng.random())
            .at(1.15 + 0.22 * rng.normal() * 0.8, 1.35 + 0.16 * rng.normal(), 0.05)
        )
    parts.append(kit.join(corks).skin(cork))

    cam = kit.camera((1.72, -1.95, 1.38), (-0.62, 0.98, 0.98), 58, size, 0.005, 3.1, pixel="box")
    base = {"type": "scene", "sensor": cam}
    base.update({f"part{i}": p for i, p in enumerate(parts)})
    where, gain = view()
    daylight = [
        1.0 * kit.blackbody(6500),
        0.9 * kit.blackbody(9000),
        0.8 * kit.blackbody(9500) * (kit.NM / 560) ** -0.8,
        kit.blackbody(6000) * (0.5 + 0.8 * kit.edge(570, 14, 0, 1)),
        kit.blackbody(5600),
    ]
    m = 0.35
    panel = kit.sheet(
        np.array(
            [[[-2.42, y0 - m, z] for y in (0,)] + [[-2.42, y1 + m, z]] for z in (z1 + m, z0 - m)],
            float,
        ).reshape(2, 2, 3),
        np.array([[[0, 0], [1, 0]], [[0, 1], [1, 1]]]),
    )
    props = mi.Properties()
    props["emitter"] = mi.load_dict(
        {"type": "area", "radiance": kit.ramp([2.2 * s for s in daylight], where, gain)}
    )
    props["bsdf"] = mi.load_dict(
        {"type": "diffuse", "reflectance": {"type": "uniform", "value": 0.0}}
    )
    glow = mi.Mesh("view", 4, 2, has_vertex_texcoords=True, props=props)
    p = mi.traverse(glow)
    p["vertex_positions"] = panel.vertices.astype(np.float32).ravel()
    p["faces"] = panel.faces[:, ::-1].astype(np.uint32).ravel()
    p["vertex_texcoords"] = panel.uv.astype(np.float32).ravel()
    p.update()
    sun = {
        "type": "disk",
        "to_world": mi.ScalarTransform4f()
        .look_at([-46.0, 14.0, 35.0], [-1.0, 0.6, 0.6], [0, 0, 1])
        .scale([0.29] * 3),
        "emitter": {"type": "area", "radiance": kit.spectrum(150000.0 * kit.blackbody(4700))},
    }
    door = {
        "type": "rectangle",
        "to_world": mi.ScalarTransform4f()
        .look_at([2.1, -2.8, 1.3], [-0.6, 1.4, 0.9], [0, 0, 1])
        .scale([0.7, 1.1, 1]),
        "emitter": {"type": "area", "radiance": kit.spectrum(0.22 * kit.blackbody(5600))},
    }
    bounce = {
        "type": "rectangle",
        "to_world": mi.ScalarTransform4f()
        .look_at([-1.55, 0.8, 2.30], [-1.2, 0.8, 4.0], [0, 1, 0])
        .scale([0.25, 0.6, 1]),
        "emitter": {"type": "area", "radiance": kit.spectrum(0.5 * kit.blackbody(4300))},
    }
    return base, {
        "view": (1.0, {"view": glow}, 5),
        "sun": (1.0, {"sun": sun}, 2),
        "door": (1.0, {"door": door, "bounce": bounce}, 4),
    }


def expose(size, spp):
    return kit.expose_lights(*build(size), spp, 81, depth=9, clamp=8.0)
