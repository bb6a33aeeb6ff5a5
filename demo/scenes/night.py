"""The quay before dawn: nearly everything lies under L* 15, and all of it is drawn."""

import mitsuba as mi
import numpy as np
from scipy.ndimage import median_filter

from . import kit

SIZE = (1800, 1200)
SPP = 24  # for each of nine lights
FILM = {
    "ev": 5.0,
    "white": (1.02, 1.0, 0.72),
    "contrast": 1.2,
    "clip": 9.0,
    "bloom": 0.05,
    "halo": 1.2,
    "vignette": 0.3,
    "grain": 0.005,
    "black": 0.0004,
}


def cobbles(x, y, seed):
    """Setts in staggered rows, each with its own height, tilt and worn crown."""
    rng = np.random.default_rng(seed)
    pitch_x, pitch_y = 0.155, 0.118
    nx, ny = int(np.ptp(x) / pitch_x) + 6, int(np.ptp(y) / pitch_y) + 6
    gx, gy = np.meshgrid(np.arange(nx), np.arange(ny))
    px = x.min() - 2 * pitch_x + (gx + 0.5 * (gy % 2)) * pitch_x + rng.normal(0, 0.012, gx.shape)
    py = y.min() - 2 * pitch_y + gy * pitch_y + rng.normal(0, 0.007, gx.shape)
    pts = np.stack([px.ravel(), py.ravel() * pitch_x / pitch_y], -1)
    d1, d2, i = kit.cells(pts, x, y * pitch_x / pitch_y)
    gap = (d2 - d1) / pitch_x
    crown = kit.smoothstep(0.0, 0.30, gap) ** 0.6 * 0.026 + 0.008 * kit.smoothstep(0.2, 1.0, gap)
    lift = rng.normal(0, 0.0055, len(pts))[i]
    tilt = rng.normal(0, 0.05, (len(pts), 2))[i]
    off = np.stack([x, y * pitch_x / pitch_y], -1) - pts[i]
    z = crown + (lift + (tilt * off).sum(-1)) * kit.smoothstep(0.02, 0.25, gap)
    n = kit.fbm((512, 512), 1.5, seed + 1)
    big = kit.fbm((256, 256), 3.0, seed + 2)
    z += 0.0016 * kit.lookup(n, x / 1.1, y / 1.1) + 0.012 * kit.lookup(big, x / 9, y / 9)
    return z


def house(width, height, depth, seed, lit):
    """A harbour house: wall, roof, sills, windows; returns parts by material."""
    rng = np.random.default_rng(seed)
    wall, dark, glass, glow = [], [], [], []
    wall.append(kit.block(width, depth, height, 0.03, 8, 0.02, seed).at(0, depth / 2, height / 2))
    ridge = width * 0.42
    w2 = width / 2 + 0.12
    roof = np.array(
        [
            [[-w2, -0.2, height - 0.1], [-w2, depth, height - 0.1]],
            [[0, -0.2, height + ridge], [0, depth, height + ridge]],
            [[w2, -0.2, height - 0.1], [w2, depth, height - 0.1]],
        ]
    )
    dark.append(kit.sheet(roof))
    gable = np.array(
        [
            [[-width / 2, 0.0, height - 0.2], [0, 0.0, height + ridge - 0.15]],
            [[width / 2, 0.0, height - 0.2], [0, 0.0, height + ridge - 0.15]],
        ]
    )
    wall.append(kit.sheet(gable))
    wall.append(kit.block(0.5, 0.5, 1.3, 0.03).at(width * 0.28, depth * 0.5, height + ridge * 0.7))
    floors = int(height // 2.5)
    cols = max(2, int(width // 1.7))
    for f in range(floors):
        for c in range(cols):
            x = (c + 0.5) / cols * width - width / 2
            z = 1.55 + f * 2.5
            dark.append(kit.block(0.98, 0.10, 0.06, 0.01).at(x, -0.03, z - 0.72))
            for q in (-0.44, 0, 0.44):
                dark.append(kit.block(0.05, 0.08, 1.4, 0.01).at(x + q, -0.01, z))
            for q in (-0.68, 0.12, 0.68):
                dark.append(kit.block(0.92, 0.08, 0.05, 0.01).at(x, -0.01, z + q))
            pane = kit.block(0.86, 0.02, 1.34, 0.005).at(x, 0.0, z)
            (glow if (f, c) in lit else glass).append(pane)
            if (f, c) not in lit and rng.random() < 0.5:
                for q in (-0.72, 0.72):
                    dark.append(kit.block(0.5, 0.05, 1.4, 0.01).at(x + q, -0.03, z))
    dark.append(kit.block(0.95, 0.08, 2.1, 0.02).at(width * 0.18, -0.02, 1.05))
    return wall, dark, glass, glow


def lamp(x, y, height, arm=0.9, side=1.0):
    """Cast-iron lamp post with a hanging shade; returns iron parts, and the light's place."""
    iron = [
        kit.lathe(
            [
                (0.16, 0),
                (0.17, 0.1),
                (0.12, 0.18),
                (0.11, 0.55),
                (0.13, 0.6),
                (0.07, 0.7),
                (0.055, height),
            ],
            24,
        ).at(x, y, 0)
    ]
    bend = [
        [x, y, height - 0.05],
        [x, y, height + 0.25],
        [x + side * arm * 0.4, y, height + 0.5],
        [x + side * arm, y, height + 0.42],
    ]
    iron.append(kit.tube(kit.resample(bend, 0.03), 0.03, 10))
    shade = kit.lathe(
        [
            (0.03, 0.28),
            (0.05, 0.18),
            (0.10, 0.14),
            (0.26, 0.02),
            (0.27, 0.0),
            (0.255, 0.0),
            (0.09, 0.12),
            (0, 0.13),
        ],
        36,
    )
    iron.append(shade.at(x + side * arm, y, height + 0.15))
    return iron, np.array([x + side * arm, y, height + 0.13])


def build(size):
    rng = np.random.default_rng(4)
    parts = []
    # quay: x to the right, y away; the water lies right of x = 1.7
    edge = 1.75
    t = np.linspace(0, 1, 1500)
    yy = 1.3 + 34 * t**1.9
    xx = np.linspace(-9.5, edge - 0.36, 1100)
    x, y = np.meshgrid(xx, yy)
    z = cobbles(x, y, 6)
    stain = kit.fbm((1024, 1024), 2.2, 7)
    speck = kit.fbm((1024, 1024), 0.8, 9)
    wet = 0.24 + 0.13 * stain + 0.05 * speck
    stone = {
        "type": "principled",
        "base_color": kit.mix(
            (0.035, 0.035, 0.036),
            (0.16, 0.15, 0.14),
            0.45 + 0.2 * speck + 0.15 * stain,
            (0.45, 0.45),
        ),
        "roughness": kit.picture(np.clip(wet, 0.10, 0.6), True, (0.2, 0.2)),
        "specular": 0.6,
    }
    parts.append(kit.ground(x, y, z).skin(stone))
    # puddles between the stones: one level water film
    film = np.array(
        [
            [[-9.5, 1.3, 0.0105], [edge - 0.36, 1.3, 0.0105]],
            [[-9.5, 36, 0.0105], [edge - 0.36, 36, 0.0105]],
        ]
    )
    parts.append(kit.sheet(film).skin(kit.water((0.006, 0.006, 0.006), 0.015)))
    # granite coping
    granite = {
        "type": "principled",
        "base_color": kit.mix(
            (0.05, 0.05, 0.052), (0.26, 0.25, 0.24), 0.5 + 0.22 * speck + 0.1 * stain, (0.9, 0.9)
        ),
        "roughness": kit.picture(np.clip(wet + 0.12, 0.15, 0.7), True, (0.3, 0.3)),
        "specular": 0.5,
    }
    granite = kit.bumpy(granite, 0.6 * speck + 0.8 * stain, 0.006, (0.9, 0.9))
    cope = [
        kit.block(0.40, 1.18, 0.5, 0.02, 14, 0.004, i).at(
            edge - 0.16 + rng.normal() * 0.006, 1.4 + 1.2 * i, -0.20 + rng.normal() * 0.004
        )
        for i in range(28)
    ]
    parts.append(kit.join(cope).skin(kit.two(granite)))
    parts.append(kit.block(0.2, 36, 4, 0.02).at(edge - 0.02, 19, -2.4).skin(kit.two(granite)))
    # harbour water
    n = 900
    wy = 0.5 + 75 * np.linspace(0, 1, n) ** 1.7
    wx = edge + 45 * np.linspace(0, 1, n) ** 1.6
    gx, gy = np.meshgrid(wx, wy)
    gz = -1.55 + kit.waves(gx, gy, 5, 1.0, 60, 2.2, 0.14, 1.2, 0.55)
    parts.append(kit.ground(gx, gy, gz).skin(kit.water((0.004, 0.007, 0.008), 0.02)))

    # bollards with turns of rope; coils and crates
    iron = kit.two(
        kit.bumpy(
            {
                "type": "principled",
                "base_color": kit.mix(
                    (0.012, 0.012, 0.013), (0.06, 0.035, 0.02), 0.4 + 0.3 * stain
                ),
                "roughness": 0.34,
                "specular": 0.6,
            },
            speck + stain,
            0.02,
            (3, 3),
        )
    )
    hemp = kit.two({"type": "diffuse", "reflectance": kit.rgb(0.30, 0.235, 0.15)})
    tarred = kit.two(
        {"type": "principled", "base_color": kit.rgb(0.06, 0.05, 0.04), "roughness": 0.5}
    )
    bollard = [
        (0.20, 0),
        (0.21, 0.03),
        (0.15, 0.07),
        (0.125, 0.18),
        (0.125, 0.34),
        (0.15, 0.40),
        (0.20, 0.43),
        (0.205, 0.48),
        (0.17, 0.53),
        (0.0, 0.56),
    ]
    irons, ropes = [], []
    for by in (5.1, 11.5, 18.5, 26.0):
        irons.append(kit.lathe(bollard, 64).at(1.05, by, 0.02))
    for by, h0 in ((5.1, 0.11), (11.5, 0.1)):
        wind = [
            [1.05 + 0.158 * np.cos(a), by + 0.158 * np.sin(a), h0 + 0.0085 * a]
            for a in np.linspace(0, 22, 160)
        ]
        ropes.append(kit.rope(wind, 0.026, yarns=5 if by < 6 else 0))
    ropes.append(kit.rope(kit.sag((1.1, 5.24, 0.25), (2.95, 8.0, -0.1), 0.06), 0.026, yarns=5))
    ropes.append(kit.rope(kit.sag((1.1, 11.6, 0.3), (2.8, 10.9, 0.0), 0.06), 0.026))
    # a flaked coil left on the stones
    spiral = []
    for a in np.linspace(0, 2 * np.pi * 7.3, 420):
        turn = a / (2 * np.pi)
        r = (
            0.44 - 0.052 * (turn % 3.65)
            if int(turn / 3.65) % 2 == 0
            else 0.25 + 0.052 * (turn % 3.65)
        )
        spiral.append(
            [
                0.05 + r * np.cos(a),
                3.75 + r * np.sin(a),
                0.065 + 0.045 * (turn > 3.65) + 0.006 * np.sin(3 * a),
            ]
        )
    tail = [
        [0.05 + 0.44 + 0.1 * k, 3.75 - 0.12 * k + 0.06 * np.sin(k * 1.7), 0.06] for k in range(3, 9)
    ]
    ropes.append(kit.rope(spiral, 0.024, yarns=5, seed=3))
    ropes.append(kit.rope([spiral[0], *tail], 0.024, yarns=5, seed=4))
    parts.append(kit.join(irons).skin(iron))
    parts.append(kit.join(ropes).skin(hemp))

    # fish crates, a barrel, pots, a net heap under tarpaulin
    slat = kit.wood((0.22, 0.16, 0.10), (0.05, 0.04, 0.03), 31, (0.8, 0.8), 0.5, 0.35, 0)
    crates = []

    def crate(cx, cy, cz, turn):
        c = []
        for s in (-1, 1):
            for k in range(3):
                c.append(kit.block(0.74, 0.018, 0.078, 0.004).at(0, s * 0.23, 0.05 + 0.095 * k))
                c.append(kit.block(0.018, 0.46, 0.078, 0.004).at(s * 0.37, 0, 0.05 + 0.095 * k))
            for q in (-1, 1):
                c.append(kit.block(0.03, 0.03, 0.3, 0.004).at(s * 0.345, q * 0.20, 0.15))
        for k in range(5):
            c.append(kit.block(0.74, 0.08, 0.015, 0.004).at(0, -0.19 + 0.095 * k, 0.012))
        return kit.join(c).turned("z", turn).at(cx, cy, cz)

    for cx, cy, cz, turn in (
        (-2.0, 5.2, 0.03, 8),
        (-2.03, 5.22, 0.335, 3),
        (-1.95, 5.2, 0.64, 14),
        (-1.2, 5.75, 0.03, -18),
        (-1.22, 5.7, 0.335, -12),
        (-2.95, 5.6, 0.03, 31),
        (-2.4, 4.35, 0.03, 63),
        (-3.1, 8.3, 0.03, 5),
        (-3.1, 8.3, 0.335, 9),
        (-2.3, 8.6, 0.03, -8),
    ):
        crates.append(crate(cx, cy, cz, turn))
    parts.append(kit.join(crates).skin(slat))
    staves = [
        (0.0, 0.84),
        (0.24, 0.84),
        (0.245, 0.88),
        (0.262, 0.88),
        (0.29, 0.7),
        (0.305, 0.45),
        (0.29, 0.2),
        (0.26, 0.0),
        (0, 0),
    ]
    barrels, hoops = [], []
    for bx, by in ((-3.55, 6.6), (-4.1, 6.2), (-0.55, 7.9)):
        barrels.append(kit.lathe(staves, 48, (6, 1)).at(bx, by, 0.02))
        for hz, hr in ((0.08, 0.277), (0.25, 0.298), (0.64, 0.299), (0.80, 0.277)):
            hoops.append(
                kit.lathe(
                    [
                        (hr, hz - 0.02),
                        (hr + 0.006, hz - 0.02),
                        (hr + 0.006, hz + 0.02),
                        (hr, hz + 0.02),
                    ],
                    48,
                ).at(bx, by, 0.02)
            )
    parts.append(
        kit.join(barrels).skin(
            kit.wood((0.16, 0.10, 0.06), (0.04, 0.028, 0.02), 35, (1, 1), 0.4, 0.4, 1)
        )
    )
    parts.append(kit.join(hoops).skin(iron))
    hn = 420
    hx, hy = np.meshgrid(np.linspace(-1.25, 1.25, hn), np.linspace(-0.9, 0.9, hn))
    fold = kit.fbm((512, 512), 2.6, 41, (1, 2.2))
    r2 = (hx / 1.15) ** 2 + (hy / 0.8) ** 2
    hz = (
        0.62 * np.clip(1 - r2, 0, 1) ** 0.55
        + 0.05 * kit.lookup(fold, hx / 2.6, hy / 2.6) * kit.smoothstep(1.5, 0.5, r2)
        + 0.03
    )
    ridge = np.abs(kit.lookup(kit.fbm((512, 512), 2.4, 42, (1, 3)), hx / 3 + 0.05 * hy, hy / 3))
    hz -= 0.05 * np.exp(-((ridge / 0.25) ** 2)) * kit.smoothstep(1.4, 0.7, r2)
    parts.append(
        kit.ground(hx, hy, hz, 3.0)
        .turned("z", 12)
        .at(-4.9, 8.4, 0)
        .skin(
            kit.two(
                {
                    "type": "principled",
                    "base_color": kit.rgb(0.015, 0.05, 0.045),
                    "roughness": 0.33,
                    "specular": 0.5,
                }
            )
        )
    )

    # the boat alongside: dark hull, wheelhouse with its lamp on, mast and gear
    shell, inner, rails, _ = kit.hull(13.0, 4.0, 3.0, 3, 9, 0.08, 0.26)
    boat = {
        "paint": [shell],
        "deck": [inner, kit.block(10.5, 3.0, 0.08, 0.02).at(-0.6, 0, 0.62)],
        "trim": [rails],
        "white": [],
        "rig": [],
    }
    house_z = 0.66
    for sx in (-1.0, 1.0):
        boat["white"].append(
            kit.block(0.08, 1.9, 1.25, 0.02).at(-3.0 + sx * 1.1, 0, house_z + 0.62)
        )
        boat["white"].append(kit.block(2.2, 0.08, 1.25, 0.02).at(-3.0, sx * 0.95, house_z + 0.62))
    for sx, sy in [(a * 1.1, b * 0.95) for a in (-1, 0, 1) for b in (-1, 1)] + [
        (1.1, 0),
        (-1.1, 0),
    ]:
        boat["white"].append(kit.block(0.10, 0.10, 1.1, 0.02).at(-3.0 + sx, sy, house_z + 1.75))
    boat["white"].append(kit.block(2.7, 2.3, 0.10, 0.04).at(-3.0, 0, house_z + 2.32))
    boat["white"].append(kit.block(1.2, 1.0, 0.5, 0.03).at(1.6, 0, house_z + 0.2))
    mast_top = house_z + 7.2
    boat["rig"].append(kit.tube([[0.6, 0, 0.5], [0.6, 0, 4], [0.6, 0, mast_top]], 0.085, 14))
    boat["rig"].append(kit.tube([[0.6, 0, 1.9], [-1.0, 0.2, 3.2], [-2.7, 0.4, 4.5]], 0.06, 10))
    for end in (
        (6.9, 0, 2.0),
        (-6.2, 1.4, 1.3),
        (-6.2, -1.4, 1.3),
        (0.2, 1.95, 0.9),
        (0.2, -1.95, 0.9),
        (-0.5, 1.95, 0.9),
        (-0.5, -1.95, 0.9),
    ):
        boat["rig"].append(kit.tube(kit.sag((0.6, 0, mast_top - 0.4), end, 0.05, 12), 0.014, 6))
    for k in range(9):
        boat["rig"].append(
            kit.tube(
                kit.sag(
                    (0.6 - 0.02 * k, 0.0 + 0.19 * k, mast_top - 0.6 - 0.62 * k),
                    (0.6 - 0.095 * k, 0.19 * k, mast_top - 0.6 - 0.62 * k),
                    0,
                    4,
                ),
                0.01,
                5,
            )
        )
    fender = [kit.ball(0.2, 16).scaled(1, 1, 1.7).at(-2.2 + 1.9 * k, 1.98, 0.2) for k in range(4)]
    place = {"x": 3.95, "y": 10.6, "z": -0.95}
    hull_skin = kit.two(
        kit.bumpy(
            {
                "type": "principled",
                "base_color": kit.mix(
                    (0.006, 0.022, 0.035), (0.02, 0.05, 0.07), 0.5 + 0.25 * stain
                ),
                "roughness": 0.36,
                "specular": 0.4,
            },
            stain,
            0.004,
            (0.3, 0.6),
        )
    )
    skins = {
        "paint": hull_skin,
        "deck": kit.wood((0.2, 0.15, 0.1), (0.05, 0.04, 0.03), 61, (0.5, 1), 0.4, 0.4, 0),
        "trim": kit.two(
            {"type": "principled", "base_color": kit.rgb(0.30, 0.05, 0.02), "roughness": 0.35}
        ),
        "white": kit.two(
            kit.bumpy(
                {
                    "type": "principled",
                    "base_color": kit.mix(
                        (0.25, 0.22, 0.17), (0.55, 0.53, 0.47), 0.7 + 0.3 * stain
                    ),
                    "roughness": 0.4,
                },
                stain,
                0.01,
            )
        ),
        "rig": tarred,
    }
    for key, group in boat.items():
        parts.append(kit.join(group).turned("z", -86).at(**place).skin(skins[key]))
    parts.append(kit.join(fender).turned("z", -86).at(**place).skin(tarred))

    # row of houses along the left and across the head of the harbour
    lit = {0: {(1, 0)}, 1: {(0, 1), (1, 1)}, 3: {(2, 0)}, 5: {(0, 0)}, 6: {(1, 2)}}
    walls, darks, panes, glows = [], [], [], []
    px = -9.0
    for i in range(9):
        w = 4.2 + 2.4 * rng.random()
        h = 5.2 + 2.8 * rng.random()
        got = house(w, h, 6.0, 70 + i, lit.get(i, set()))
        for store, group in zip((walls, darks, panes, glows), got, strict=True):
            store.extend(p.at(px + w / 2, 37.5 + 0.8 * rng.random(), 0.02) for p in group)
        px += w + 0.03
    py = 6.0
    for i in range(5):
        w = 5.0 + 1.5 * rng.random()
        got = house(
            w, 6.0 + 2.0 * rng.random(), 5.0, 90 + i, {1: {(0, 1)}, 3: {(1, 0)}}.get(i, set())
        )
        for store, group in zip((walls, darks, panes, glows), got, strict=True):
            store.extend(p.turned("z", 90).at(-7.6, py + w / 2, 0.02) for p in group)
        py += w + 0.03
    plaster = kit.two(
        kit.bumpy(
            {
                "type": "principled",
                "base_color": kit.mix(
                    (0.10, 0.085, 0.07), (0.30, 0.26, 0.21), 0.5 + 0.25 * stain, (0.3, 0.3)
                ),
                "roughness": 0.75,
            },
            speck + stain,
            0.02,
            (0.5, 0.5),
        )
    )
    parts.append(kit.join(walls).skin(plaster, smooth=False))
    parts.append(
        kit.join(darks).skin(
            kit.two(
                {"type": "principled", "base_color": kit.rgb(0.035, 0.032, 0.034), "roughness": 0.4}
            ),
            smooth=False,
        )
    )
    parts.append(
        kit.join(panes).skin(
            kit.two(
                {
                    "type": "principled",
                    "base_color": kit.rgb(0.01, 0.01, 0.012),
                    "roughness": 0.06,
                    "specular": 0.6,
                }
            )
        )
    )
    scene = {
        "type": "scene",
        "sensor": kit.camera((-0.75, -0.2, 1.5), (-0.2, 8.0, 1.28), 56, size, 0.006, 5.4),
    }

    lights = {}

    def lamp_skin(spd, power):
        return {"type": "area", "radiance": kit.spectrum(spd * power)}

    warm = kit.blackbody(2500)
    glowing = {}
    for i, p in enumerate(glows):
        props = mi.Properties()
        props["emitter"] = mi.load_dict(lamp_skin(warm, 0.8 + 0.5 * rng.random()))
        glowing[f"glow{i}"] = _emissive(p, props)
    posts = []
    for i, (lx, ly, h, side, spd, power) in enumerate(
        (
            (-3.6, 10.5, 3.9, 1.0, kit.sodium(), 210.0),
            (-3.6, 24.0, 3.9, 1.0, kit.sodium(), 210.0),
            (6.5, 36.0, 3.9, -1.0, kit.sodium(), 190.0),
            (17.0, 36.2, 3.9, -1.0, kit.mercury(), 100.0),
        )
    ):
        body, at = lamp(lx, ly, h, side=side)
        posts.extend(body)
        lights[f"bulb{i}"] = (
            1.0,
            {
                "bulb": {
                    "type": "sphere",
                    "center": [float(v) for v in at],
                    "radius": 0.085,
                    "emitter": lamp_skin(spd, power),
                }
            },
        )
    parts.append(kit.join(posts).skin(iron))
    # wheelhouse lamp, mast-head light
    c, s = np.cos(np.radians(-86)), np.sin(np.radians(-86))

    def aboard(bx, by, bz):
        return [
            float(place["x"] + c * bx - s * by),
            float(place["y"] + s * bx + c * by),
            float(place["z"] + bz),
        ]

    lights["cabin"] = (
        1.0,
        {
            "bulb": {
                "type": "sphere",
                "center": aboard(-3.0, 0.0, house_z + 2.14),
                "radius": 0.07,
                "emitter": lamp_skin(kit.blackbody(2700), 60.0),
            }
        },
    )
    lights["masthead"] = (
        1.0,
        {
            "bulb": {
                "type": "sphere",
                "center": aboard(0.6, 0.14, mast_top - 0.9),
                "radius": 0.05,
                "emitter": lamp_skin(kit.mercury(), 90.0),
            }
        },
    )
    glowing["port"] = {
        "type": "sphere",
        "center": aboard(-1.6, 1.2, house_z + 2.5),
        "radius": 0.045,
        "emitter": lamp_skin(kit.edge(605, 8, 0, 1), 24.0),
    }
    lights["windows"] = 1.0, glowing
    # an open door behind the photographer
    lights["door"] = (
        1.0,
        {
            "door": {
                "type": "rectangle",
                "to_world": mi.ScalarTransform4f()
                .look_at([-5.2, -1.6, 1.3], [-1.0, 4.5, 0.3], [0, 0, 1])
                .scale([0.5, 1.0, 1.0]),
                "emitter": lamp_skin(kit.blackbody(2600), 0.6),
            }
        },
    )
    # first blue of the sky
    h, w = 128, 256
    e = np.linspace(1, -1, h)[:, None] * np.pi / 2
    az = np.linspace(-np.pi, np.pi, w)[None, :]
    cloud = kit.fbm((h, w), 2.6, 77, (2.2, 1))
    glow = np.exp(-np.maximum(e, 0) / 0.32) * (0.6 + 0.4 * np.cos(az - 0.4))
    sky = (0.45 + glow)[..., None] * np.array([0.20, 0.34, 0.75]) + (
        np.exp(-np.maximum(e, 0) / 0.09) * (1 + np.cos(az - 0.4)) / 2
    )[..., None] * np.array([0.35, 0.30, 0.34])
    sky = sky * (1 + 0.28 * cloud * kit.smoothstep(0, 0.25, e))[..., None]
    sky = np.maximum(np.broadcast_to(sky, (h, w, 3)), 0.01)
    lights["sky"] = (
        1.0,
        {
            "sky": {
                "type": "envmap",
                "bitmap": mi.Bitmap(np.ascontiguousarray(sky, np.float32)),
                "scale": 0.014,
                "to_world": mi.ScalarTransform4f().rotate([1, 0, 0], 90),
            }
        },
    )
    scene.update({f"part{i}": p for i, p in enumerate(parts)})
    return scene, lights


def _emissive(part, props):
    """Turn a part into a glowing mesh."""
    made = mi.Mesh("m", len(part.vertices), len(part.faces), props=props)
    p = mi.traverse(made)
    p["vertex_positions"] = part.vertices.astype(np.float32).ravel()
    p["faces"] = part.faces.astype(np.uint32).ravel()
    p.update()
    return made


def spotted(XYZ):
    """Touch out stray bright specks in the walls, roofs and hull; the wet stones keep theirs."""
    h, w = XYZ.shape[:2]
    row, col = np.mgrid[0:h, 0:w] / [[[h]], [[w]]]
    calm = (row < 0.53) | ((col > 0.61) & (row < 0.60 + 0.22 * (col - 0.61)))
    around = np.stack([median_filter(XYZ[..., k], 5) for k in range(3)], -1)
    speck = calm & ((1.5 * around + 2e-5 < XYZ).any(-1)) & (around[..., 1] < 0.02)
    return np.where(speck[..., None], around, XYZ)


def expose(size, spp):
    return spotted(kit.expose_lights(*build(size), spp, 21, depth=6, clamp=60.0))
