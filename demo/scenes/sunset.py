"""The sun behind rigging and over wet rocks: the longest scale of tones in the exhibition."""

import mitsuba as mi
import numpy as np

from . import kit

SIZE = (2400, 1600)
SPP = 20
FILM = {
    "ev": 0.35,
    "white": (0.93, 1.0, 0.95),
    "saturation": 1.12,
    "contrast": 1.3,
    "clip": 9.0,
    "bloom": 0.045,
    "halo": 1.6,
    "vignette": 0.3,
    "grain": 0.010,
}
SUN = (7.0, 2.7)  # degrees right of the view and above the horizon


def extinction(airmass):
    """Transmittance of clear sea air: Rayleigh scattering, haze, ozone (shapes from memory)."""
    um = kit.NM / 1000
    rayleigh = 0.00864 * um ** -(3.916 + 0.074 * um + 0.05 / um)
    haze = 0.055 * (um / 0.55) ** -1.2
    ozone = 0.03 * np.exp(-0.5 * ((kit.NM - 600) / 45) ** 2)
    return np.exp(-(rayleigh + haze + ozone) * airmass)


def sky_spectra():
    """From the sun's glow outward: pale gold, orange, rose, violet grey, blue."""
    sun = kit.blackbody(5800)
    blue = (kit.NM / 550) ** -4.0
    glow = sun * extinction(10)
    return [
        1.0 * glow / glow[40],
        0.60 * sun * extinction(18) / extinction(18)[40],
        0.42 * sun * (0.75 * extinction(14) / extinction(14)[40] + 0.25 * blue),
        0.30 * sun * (0.38 * extinction(9) / extinction(9)[40] + 0.62 * blue),
        0.22 * sun * (0.12 + 0.88 * blue),
    ]


def build(size):
    rng = np.random.default_rng(21)
    parts = []
    far = 1500.0
    # sky: a wide panel at the far end, painted from spectra
    w, h = 3000, 1500
    az = np.linspace(-50, 50, w)[None, :]
    el = np.linspace(60, -1, h)[:, None]  # image row 0 is the top
    d = np.hypot((az - SUN[0]) * 0.75, (el - SUN[1]) * 1.25)
    where = np.clip(0.02 + 0.27 * np.log1p(d / 2.2) + 0.006 * np.maximum(el, 0) - 0.05, 0, 1)
    gain = (
        0.9 * np.exp(-d / 5.0)
        + 0.65 * np.exp(-d / 17.0)
        + 0.30 * np.exp(-np.maximum(el, 0) / 12)
        + 0.14
    )
    # clouds: streaks whose lower edges catch the sun
    base = kit.fbm((1024, 2048), 2.3, 5, (1.0, 5.2))
    fine = kit.fbm((1024, 2048), 1.7, 6, (1.0, 3.4))
    u, v = np.broadcast_arrays(az / 95, el / 42)
    dens = kit.lookup(base, u, v) + 0.45 * kit.lookup(fine, u * 1.7, v * 1.7) + 0.35
    below = (
        kit.lookup(base, u, v - 0.014) + 0.45 * kit.lookup(fine, u * 1.7, (v - 0.014) * 1.7) + 0.35
    )
    cover = kit.smoothstep(0.25, 1.5, dens) * kit.smoothstep(1.5, 6.0, el)
    rim = (
        np.clip((dens - below), 0, 2) * kit.smoothstep(0.1, 0.6, dens) * kit.smoothstep(1.2, 5, el)
    )
    body = 0.55 * np.exp(-d / 22) + 0.26
    gain = gain * (1 - 0.72 * cover * (1 - 0.4 * np.exp(-d / 10))) + 1.15 * rim * body
    where = np.clip(where + 0.16 * cover - 0.30 * rim, 0.05, 1)
    panel = kit.sheet(
        np.array(
            [
                [[np.tan(np.radians(a)) * far, far, np.tan(np.radians(e)) * far] for a in (-50, 50)]
                for e in (60, -1)
            ]
        ),
        np.array([[[0, 0], [1, 0]], [[0, 1], [1, 1]]]),
    )
    # angles are not even on a flat panel: resample
    gx = np.degrees(np.arctan(np.linspace(np.tan(np.radians(-50)), np.tan(np.radians(50)), w)))
    gy = np.degrees(np.arctan(np.linspace(np.tan(np.radians(60)), np.tan(np.radians(-1)), h)))
    iu, iv = (gx + 50) / 100 * (w - 1), (60 - gy) / 61 * (h - 1)
    from scipy.ndimage import map_coordinates

    ii = np.meshgrid(iv, iu, indexing="ij")
    where, gain = (map_coordinates(np.broadcast_to(f, (h, w)), ii, order=1) for f in (where, gain))
    lights = {"sky_panel": _glow(panel, kit.ramp(sky_spectra(), where, gain))}
    # the sun's disk, half a degree across
    c = np.array([np.tan(np.radians(SUN[0])), 1.0, np.tan(np.radians(SUN[1]))]) * (far - 20)
    disk = extinction(11.0) * kit.blackbody(5800)
    lights["sun"] = {
        "type": "disk",
        "to_world": mi.ScalarTransform4f()
        .look_at([float(q) for q in c], [0, 0, 1.4], [0, 0, 1])
        .scale([far * 0.00465] * 3),
        "emitter": {"type": "area", "radiance": kit.spectrum(disk / disk[40] * 2600)},
    }
    lights["dome"] = {
        "type": "constant",
        "radiance": kit.spectrum(0.10 * kit.blackbody(5800) * (0.2 + 0.8 * (kit.NM / 550) ** -3.6)),
    }

    # sea: finer near, to the horizon
    n = 1500
    t = np.linspace(0, 1, n)
    yy = 2.0 + 1480 * t**4.2
    x = np.linspace(-1, 1, n)[None, :] * (9 + 0.9 * yy[:, None])
    y = np.repeat(yy[:, None], n, 1)
    fade = 1 / (1 + (y / 160) ** 1.5)
    z = (
        kit.waves(x, y, 3, -1.35, 70, 7.0, 0.5, 0.55, 0.55)
        + kit.waves(x, y, 7, -1.3, 70, 0.6, 0.07, 0.8, 0.9) / (1 + (y / 18) ** 2)
    ) * fade + kit.waves(x, y, 4, -1.2, 50, 40.0, 6.0, 0.4, 0.18) * fade
    parts.append(kit.ground(x, y, z).skin(kit.water((0.004, 0.009, 0.010), 0.045)))
    # rocks on the near shore, wet to the tide line
    grain = kit.fbm((1024, 1024), 1.2, 8)
    moss = kit.fbm((1024, 1024), 2.4, 9)
    rock = {
        "type": "principled",
        "base_color": kit.mix(
            (0.02, 0.019, 0.018), (0.15, 0.13, 0.11), 0.42 + 0.2 * grain + 0.18 * moss
        ),
        "roughness": kit.picture(np.clip(0.30 + 0.12 * moss + 0.05 * grain, 0.12, 0.7), True),
        "specular": 0.55,
    }
    rock = kit.two(kit.bumpy(rock, grain, 0.012))
    rocks = []
    for k, (px, py, sx, sy, sz) in enumerate(
        [
            (-2.7, 4.6, 3.4, 2.2, 1.9),
            (-0.9, 4.0, 1.9, 1.5, 0.7),
            (-4.4, 6.6, 3.6, 2.6, 2.2),
            (2.4, 4.0, 1.6, 1.3, 0.62),
            (3.7, 5.2, 2.6, 1.8, 1.25),
            (0.9, 3.5, 1.0, 0.9, 0.36),
            (5.6, 7.4, 3.4, 2.6, 1.5),
            (-1.4, 6.8, 1.6, 1.3, 0.55),
            (1.9, 6.6, 1.1, 0.9, 0.4),
            (-7.5, 10.5, 5, 4, 3.0),
            (8.8, 12.0, 4, 3, 1.8),
            (0.1, 5.2, 0.9, 0.7, 0.34),
        ]
    ):
        rocks.append(
            kit.boulder((sx, sy, sz), 300 + k)
            .turned("z", 360 * rng.random())
            .at(px * 1.15, py + 3.4, 0.04 * sz)
        )
    for k in range(26):
        s = 0.22 + 0.3 * rng.random()
        rocks.append(
            kit.boulder((s * 1.3, s, s * 0.8), 400 + k, n=90)
            .turned("z", 360 * rng.random())
            .at(rng.uniform(-4, 4.5), 6.3 + 1.4 * rng.random(), 0.0)
        )
    parts.append(kit.join(rocks).skin(rock))

    # a cutter at anchor before the sun, sails furled
    ink = kit.two(
        {"type": "principled", "base_color": kit.rgb(0.035, 0.028, 0.024), "roughness": 0.4}
    )

    def vessel(scale, turn, bx, by, gaff=True, seed=1):
        out, inner, rails, _ = kit.hull(11.0, 3.2, 2.2, seed, sheer=0.30)
        gear = [
            out,
            inner,
            rails,
            kit.block(9, 2.4, 0.06, 0.02).at(-0.3, 0, 0.75),
            kit.block(2.2, 1.5, 0.6, 0.1).at(-1.4, 0, 1.1),
        ]
        top = 12.0
        gear.append(
            kit.tube([[0.9, 0, 0.5], [0.9, 0, 6], [0.9, 0, top]], np.linspace(0.12, 0.06, 3), 12)
        )
        gear.append(kit.tube([[5.3, 0, 1.5], [6.5, 0, 1.8], [8.2, 0, 2.2]], 0.08, 10))
        gear.append(kit.tube([[0.85, 0, 2.2], [-2, 0, 2.3], [-5.4, 0, 2.5]], 0.075, 10))
        roll = np.linspace(0, 1, 40)
        furl = np.stack(
            [
                0.6 - 5.6 * roll,
                0.02 * np.sin(30 * roll),
                2.36 + 0.25 * roll + 0.02 * np.sin(24 * roll),
            ],
            -1,
        )
        gear.append(kit.tube(furl, 0.13 + 0.03 * np.sin(roll * 37) ** 2, 14))
        lines = [
            ((0.9, 0, top - 0.3), (8.1, 0, 2.2)),
            ((0.9, 0, top - 1.6), (5.4, 0, 1.6)),
            ((0.9, 0, top - 0.4), (-5.3, 0, 1.4)),
            ((0.9, 0, 8.8), (-5.3, 0, 2.55)),
            ((0.9, 0, 9.4), (8.0, 0, 2.15)),
        ]
        for s in (-1, 1):
            for q in (0.1, 0.7, 1.3):
                lines.append(((0.9, 0, top - 2.0), (q, 1.5 * s, 0.95)))
            for k in range(14):
                f = k / 15
                gear.append(
                    kit.tube(
                        [
                            [0.9 - 0.8 * (1 - f), 1.5 * s * (1 - f), 0.95 + (top - 2.95) * f],
                            [0.9, 1.5 * s * (1 - f), 0.95 + (top - 2.95) * f],
                            [0.9 + 0.4 * (1 - f), 1.5 * s * (1 - f), 0.95 + (top - 2.95) * f],
                        ],
                        0.010,
                        5,
                    )
                )
        for a, b in lines:
            gear.append(kit.tube(kit.sag(a, b, 0.12), 0.018, 6))
        man = [
            kit.tube(
                [[-3.9, 0.3, 0.8], [-3.9, 0.3, 1.3], [-3.85, 0.3, 1.62]], [0.14, 0.17, 0.2], 14
            ),
            kit.tube(
                [[-3.85, 0.3, 1.6], [-3.8, 0.3, 1.95], [-3.78, 0.3, 2.22]], [0.22, 0.24, 0.12], 14
            ),
            kit.ball(0.125).at(-3.74, 0.3, 2.40),
            kit.lathe([(0.13, 0), (0.15, 0.02), (0.12, 0.1), (0, 0.13)], 20).at(-3.74, 0.3, 2.46),
        ]
        gear += man
        return kit.join(gear).scaled(scale, scale, scale).turned("z", turn).at(bx, by, 0.15)

    parts.append(vessel(1.0, 195, -2.4, 30.0).skin(ink))
    parts.append(vessel(0.9, 160, -19.0, 66.0, seed=2).skin(ink))
    parts.append(vessel(1.1, 20, 34.0, 120.0, seed=3).skin(ink))
    # headland and town, far
    hx = np.linspace(-900, -60, 4000)
    ridge = (
        34
        * kit.smoothstep(-60, -520, hx)
        * (1 + 0.16 * kit.lookup(kit.fbm((8, 512), 1.8, 14), hx / 900, 0 * hx))
        + 1.5
    )
    ridge += np.where(
        (hx > -330) & (hx < -120),
        4 * (np.sin(hx * 0.9) > 0.1)
        + 3 * (np.sin(hx * 0.37) > 0.6)
        + 3 * (np.sin(hx * 0.213) > 0.2)
        + 12 * (np.abs(hx + 205) < 2),
        0,
    )
    land = np.stack(
        [
            np.stack([hx, np.full_like(hx, 780.0), np.full_like(hx, -2.0)], -1),
            np.stack([hx, np.full_like(hx, 780.0), ridge], -1),
        ],
        0,
    )
    parts.append(
        kit.sheet(land).skin(
            kit.two({"type": "diffuse", "reflectance": kit.rgb(0.02, 0.022, 0.026)})
        )
    )
    gulls = []
    for gx0, gy0, gz0, s in (
        (5.5, 26, 8.2, 0.8),
        (7.0, 28, 9.4, 0.7),
        (-6.5, 30, 7.2, 0.8),
        (9.5, 34, 7.0, 0.7),
    ):
        q = np.linspace(-1, 1, 21)
        gulls.append(
            kit.tube(
                np.stack(
                    [
                        gx0 + s * q,
                        gy0 + 0.1 * q,
                        gz0 + 0.35 * s * np.abs(q) ** 0.6 - 0.2 * s * q**2 + 0.1 * s * q,
                    ],
                    -1,
                ),
                0.05 * s * (1.05 - np.abs(q)) + 0.006,
                6,
            )
        )
        gulls.append(kit.ball(0.09 * s).scaled(0.8, 2.6, 0.8).at(gx0, gy0, gz0 + 0.02))
    parts.append(kit.join(gulls).skin(ink))
    scene = {
        "type": "scene",
        "sensor": kit.camera((0.0, -0.6, 1.4), (0.6, 30.0, 3.0), 44, size, 0.004, 14.0),
    }
    scene.update(lights)
    scene.update({f"part{i}": p for i, p in enumerate(parts)})
    return mi.load_dict(scene)


def _glow(part, radiance):
    props = mi.Properties()
    props["emitter"] = mi.load_dict({"type": "area", "radiance": radiance})
    props["bsdf"] = mi.load_dict(
        {"type": "diffuse", "reflectance": {"type": "uniform", "value": 0.0}}
    )
    made = mi.Mesh("m", len(part.vertices), len(part.faces), has_vertex_texcoords=True, props=props)
    p = mi.traverse(made)
    p["vertex_positions"] = part.vertices.astype(np.float32).ravel()
    p["faces"] = part.faces[:, ::-1].astype(np.uint32).ravel()
    p["vertex_texcoords"] = part.uv.astype(np.float32).ravel()
    p.update()
    return made


def expose(size, spp):
    return kit.expose(build(size), spp, 41, depth=6, clamp=3000.0)
