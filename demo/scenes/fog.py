"""Fog over moored boats: the close tones of a paper's upper third."""

import drjit as dr
import mitsuba as mi
import numpy as np

from . import kit

SIZE = (2400, 1600)
SPP = 40
FILM = {
    "ev": 0.36,
    "white": (0.966, 1.0, 1.205),
    "contrast": 1.12,
    "clip": 1.35,
    "bloom": 0.03,
    "vignette": 0.07,
    "grain": 0.006,
}


class FogPath(mi.SamplingIntegrator):
    """Path tracer through glowing fog: airlight joins and transmittance thins every segment.

    The fog lights everything, so the scene needs no lamp. After Koschmieder's law of visibility.
    """

    def __init__(self, props):
        super().__init__(props)
        self.sigma = 1 / 17.0  # per metre
        self.layer = 14.0  # metres, the fog thins out upwards
        self.depth = 6
        self.light = mi.load_dict(
            kit.spectrum((kit.blackbody(7300) / kit.blackbody(7300).max()) * 0.98 + 0.02)
        )

    def airlight(self, d):
        sun = dr.normalize(mi.Vector3f(-0.55, 0.75, 0.30))
        glow = dr.maximum(dr.dot(d, sun), 0)
        return 0.74 + 0.30 * dr.maximum(d.z, 0) + 0.20 * glow * glow * glow

    @dr.syntax
    def sample(self, scene, sampler, ray, medium=None, active=True):
        ctx = mi.BSDFContext()
        ray = mi.Ray3f(ray)
        out, beta = mi.Spectrum(0.0), mi.Spectrum(1.0)
        bounce = mi.UInt32(0)
        active = mi.Bool(active)
        while active:
            si = scene.ray_intersect(ray, active)
            hit = si.is_valid()
            t = dr.select(hit, si.t, 400.0)
            # density exp(-z / layer), integrated along the segment
            dz = ray.d.z / self.layer
            z0 = dr.exp(-dr.maximum(ray.o.z, 0) / self.layer)
            small = dr.abs(dz) < 1e-4
            path = dr.select(small, t, (1 - dr.exp(-dz * t)) / dr.select(small, 1.0, dz))
            T = dr.exp(-self.sigma * z0 * path)
            T = dr.select(hit, T, 0.0)
            si.wavelengths = ray.wavelengths
            A = self.light.eval(si, active) * self.airlight(ray.d)
            out[active] = out + beta * A * (1 - T)
            beta *= T
            active &= hit & (bounce < self.depth)
            bsdf = si.bsdf(ray)
            bs, weight = bsdf.sample(
                ctx, si, sampler.next_1d(active), sampler.next_2d(active), active
            )
            beta[active] = beta * weight
            ray[active] = si.spawn_ray(si.to_world(bs.wo))
            bounce += 1
            active &= dr.max(beta) > 0.003
        return out, mi.Bool(True), []


mi.register_integrator("fogpath", lambda props: FogPath(props))


def post(x, y, height, radius, seed):
    """Mooring post: round timber, cracked, weed-dark below the tide line."""
    rng = np.random.default_rng(seed)
    noise = kit.fbm((256, 256), 1.6, seed, (10.0, 1.0))
    cracks = kit.fbm((256, 256), 1.2, seed + 1, (26.0, 1.0))
    z = np.linspace(-1.0, height, 260)
    lean = rng.normal(0, 0.018, 2)
    path = np.stack([x + lean[0] * z, y + lean[1] * z, z], -1)
    taper = radius * (1.0 - 0.05 * z / height)
    taper[-3:] *= [0.96, 0.9, 0.8]

    def bump(s, a):
        u = a / (2 * np.pi)
        return radius * (
            0.05 * kit.lookup(noise, u, s * 0.21)
            - 0.09 * np.maximum(kit.lookup(cracks, u, s * 0.13) - 1.1, 0)
        )

    return kit.tube(path, taper, 72, 0.3, bump)


def build(size):
    # Water near still, with finer mesh near the camera.
    n = 1300
    t = np.linspace(0, 1, n)
    yy = 2.0 + 130.0 * t**2.2
    xx = np.linspace(-1, 1, n)
    y = np.repeat(yy[:, None], n, 1)
    x = xx[None, :] * (6 + 0.75 * y)
    calm = 0.35 + 0.65 * kit.smoothstep(
        -0.6, 1.2, kit.lookup(kit.fbm((256, 256), 3, 5, (1, 5)), x / 60, y / 60)
    )
    z = kit.waves(x, y, 3, 1.2, 60, 2.6, 0.16, 0.8, 0.36) * calm
    parts = [kit.ground(x, y, z).skin(kit.water((0.10, 0.125, 0.125), 0.02))]

    bark = kit.wood((0.17, 0.145, 0.12), (0.03, 0.026, 0.022), 11, (3, 2), 0.8, 0.2, 1)
    rng = np.random.default_rng(8)
    spots = [
        (-3.9, 11.6, 2.2),
        (-2.75, 15.2, 1.9),
        (-2.2, 19.5, 2.0),
        (-1.25, 24.5, 1.9),
        (-0.2, 30.0, 1.9),
        (1.1, 37.0, 2.0),
        (2.9, 45.0, 2.0),
        (5.0, 54.0, 2.0),
    ]
    posts, perch = [], 0.0
    for i, (px, py, h) in enumerate(spots):
        h += 0.15 * rng.normal()
        perch = h if i == 1 else perch
        posts.append(post(px, py, h, 0.15 + 0.02 * rng.normal(), 20 + i))
    posts.append(post(-4.45, 12.0, 1.55, 0.13, 40))
    parts.append(kit.join(posts).skin(bark))
    # weed skirts
    weed = []
    for px, py, _ in [*spots, (-4.45, 12.0, 1)]:
        a = rng.uniform(0, 2 * np.pi, 160)
        for b in a:
            r = 0.155 + 0.02 * rng.random()
            top = 0.30 + 0.16 * rng.random()
            c, s = np.cos(b), np.sin(b)
            line = [
                [px + r * c, py + r * s, top],
                [px + (r + 0.02) * c, py + (r + 0.02) * s, top - 0.1],
                [px + (r + 0.03 + 0.03 * rng.random()) * c, py + (r + 0.03) * s, top - 0.34],
            ]
            weed.append(kit.tube(kit.resample(line, 0.05), 0.010 + 0.006 * rng.random(), 4))
    parts.append(
        kit.join(weed).skin(
            kit.two(
                {"type": "principled", "base_color": kit.rgb(0.03, 0.032, 0.015), "roughness": 0.35}
            )
        )
    )
    # a gull on the second post
    x, y, h = -2.75 - 0.02, 15.2, perch + 0.02
    gull = [
        kit.ball(0.105).scaled(2.0, 0.85, 0.85).turned("y", -16).at(x, y, h + 0.15),
        kit.tube(
            kit.resample(
                [[x - 0.14, y, h + 0.19], [x - 0.19, y, h + 0.24], [x - 0.20, y, h + 0.30]], 0.01
            ),
            0.05,
            16,
        ),
        kit.ball(0.056).at(x - 0.205, y, h + 0.30),
        kit.ball(0.028).scaled(2.6, 0.5, 0.45).at(x - 0.27, y, h + 0.29),
        kit.ball(0.06).scaled(3.2, 0.7, 0.28).turned("y", 8).at(x + 0.2, y, h + 0.11),
    ]
    gull += [
        kit.tube([[x, y + d, h - 0.1], [x, y + d, h], [x, y + d, h + 0.08]], 0.008, 6)
        for d in (-0.03, 0.03)
    ]
    parts.append(
        kit.join(gull).skin(kit.two({"type": "diffuse", "reflectance": kit.rgb(0.3, 0.3, 0.3)}))
    )
    # two rowing boats
    planks = kit.wood((0.42, 0.40, 0.34), (0.15, 0.135, 0.11), 51, (0.5, 1.0), 0.6, 0.3, 0)
    dark = kit.wood((0.06, 0.12, 0.15), (0.02, 0.045, 0.06), 52, (0.5, 1.0), 0.5, 0.4, 0)
    pale = kit.wood((0.55, 0.53, 0.47), (0.32, 0.30, 0.26), 53, (0.5, 2.0), 0.6, 0.3, 0)
    for length, bx, by, turn, paint, seed in (
        (4.3, 0.9, 12.6, 156, dark, 1),
        (4.0, 4.6, 20.5, 40, pale, 2),
        (4.2, -3.2, 27.0, 12, dark, 3),
    ):
        out, inner, rails, _ = kit.hull(length, 1.5, 0.72, seed)
        seats = []
        for sx, wide in ((-1.15, 1.14), (-0.1, 1.30), (0.95, 1.0)):
            seats.append(kit.block(0.24, wide, 0.035, 0.01).at(sx, 0, 0.22))
        ribs = []
        for rx in np.linspace(-1.7, 1.5, 15):
            w = 0.66 * (1 - abs(rx / 2.2) ** 2.4)
            q = np.linspace(-1, 1, 15)
            ribs.append(
                kit.tube(
                    np.stack(
                        [
                            np.full(15, rx),
                            w * np.sign(q) * np.abs(q) ** 0.8,
                            -0.20 + 0.52 * np.abs(q) ** 2.6,
                        ],
                        -1,
                    ),
                    0.02,
                    6,
                )
            )
        oars = []
        for side in (-1, 1):
            shaft = [[-1.5, 0.32 * side, 0.30], [0.6, 0.36 * side, 0.30], [1.5, 0.12 * side, 0.36]]
            oars.append(kit.tube(kit.resample(shaft, 0.05), 0.024, 10))
            oars.append(kit.block(0.55, 0.13, 0.02, 0.008).at(-1.6, 0.32 * side, 0.30))
        coil = [
            [
                0.35 * np.cos(a) * (1 - a / 90) + 1.25,
                0.3 * np.sin(a) * (1 - a / 90),
                0.05 + a * 0.004,
            ]
            for a in np.linspace(0, 40, 200)
        ]
        groups = (
            (out, paint),
            (inner, planks),
            (rails, pale),
            (kit.join(seats + ribs), planks),
            (kit.join(oars), pale),
            (kit.rope(coil, 0.014), pale),
        )
        for part, skin in groups:
            parts.append(part.turned("z", turn).at(bx, by, 0.02).skin(skin))
    # mooring lines
    lines = [
        kit.sag((-3.9, 11.6, 1.3), (-1.0, 11.75, 0.62), 0.32),
        kit.sag((-0.95, 11.8, 0.60), (-2.75, 15.2, 1.2), 0.3),
        kit.sag((-1.25, 24.5, 1.2), (3.0, 19.2, 0.6), 0.42),
    ]
    turns = [
        [-3.9 + 0.17 * np.cos(a), 11.6 + 0.17 * np.sin(a), 1.22 + 0.008 * a]
        for a in np.linspace(0, 25, 120)
    ]
    parts.append(
        kit.join([kit.rope(p, 0.017) for p in [*lines, turns]]).skin(
            kit.two({"type": "diffuse", "reflectance": kit.rgb(0.30, 0.27, 0.21)})
        )
    )
    # a trawler, almost lost, and a beacon on the mole
    out, inner, rails, _ = kit.hull(15.0, 4.6, 3.0, 9, sheer=0.3)
    shade = kit.two({"type": "diffuse", "reflectance": kit.rgb(0.04, 0.05, 0.06)})
    ship = [
        out,
        rails,
        kit.block(3.2, 2.6, 2.4, 0.1).at(-3.6, 0, 2.9),
        kit.block(2.4, 2.2, 1.3, 0.1).at(-3.6, 0, 4.6),
    ]
    ship.append(kit.tube([[1.5, 0, 1], [1.5, 0, 5], [1.5, 0, 9.5]], 0.10, 10))
    ship.append(kit.tube([[-3.6, 0, 5], [-3.6, 0, 6], [-3.6, 0, 8.2]], 0.06, 10))
    ship.append(kit.tube([[1.5, 0, 3], [0, 0, 5], [-2.2, 0, 7.4]], 0.07, 10))
    for end in ((7.6, 0, 3.2), (-7, 0, 2.6)):
        ship.append(kit.tube(kit.sag((1.5, 0, 9.3), end, 0.1), 0.025, 6))
    ship.append(kit.tube(kit.sag((1.5, 0, 9.3), (-3.6, 0, 8), 0.15), 0.02, 6))
    parts.append(kit.join(ship).turned("z", 172).at(13.5, 50.0, 0.5).skin(shade))
    mole = [
        kit.block(1.6 + 0.5 * rng.random(), 2.2, 1.3 + 0.5 * rng.random(), 0.15, 8, 0.12, i).at(
            -26 + 1.5 * i, 62 + rng.normal() * 0.3, 0.45
        )
        for i in range(14)
    ]
    mole.append(
        kit.lathe(
            [
                (0.9, 0.5),
                (0.75, 3.0),
                (0.55, 6.0),
                (0.8, 6.05),
                (0.8, 6.3),
                (0.4, 6.35),
                (0.4, 7.2),
                (0.55, 7.25),
                (0, 7.9),
            ]
        ).at(-8.0, 62, 0)
    )
    parts.append(kit.join(mole).skin(shade))

    scene = {
        "type": "scene",
        "sensor": kit.camera((-0.45, -0.6, 2.6), (-0.35, 14.0, 0.82), 40, size, 0.012, 12.6),
    }
    scene.update({f"part{i}": p for i, p in enumerate(parts)})
    return mi.load_dict(scene)


def expose(size, spp):
    return kit.expose(build(size), spp, 11, {"type": "fogpath"})
