"""The dark room: from a scene's XYZ to display-referred colour, and to the files' encodings."""

import numpy as np
from scipy import ndimage

from .kit import ROMM_TO_XYZ, XYZ_TO_ROMM

D50 = np.array([0.9642, 1.0, 0.8249])
D65 = np.array([0.95047, 1.0, 1.08883])
BRADFORD = np.array(
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)


def adapt(source, target):
    """Bradford adaptation matrix between two white points."""
    gain = (BRADFORD @ target) / (BRADFORD @ source)
    return np.linalg.inv(BRADFORD) @ np.diag(gain) @ BRADFORD


def primaries(xy, white):
    """Matrix from linear RGB to XYZ for chromaticities `xy` and a white point."""
    m = np.array([[x / y, 1.0, (1 - x - y) / y] for x, y in xy]).T
    return m * np.linalg.solve(m, white)


# IEC 61966-2-1 and Adobe RGB (1998): chromaticities of the primaries, white D65.
SRGB_TO_XYZ = primaries([(0.64, 0.33), (0.30, 0.60), (0.15, 0.06)], D65)
ADOBE_TO_XYZ = primaries([(0.64, 0.33), (0.21, 0.71), (0.15, 0.06)], D65)


def develop(
    XYZ,
    *,
    ev=0.0,
    white=D65,
    contrast=1.25,
    clip=6.0,
    black=0.0,
    bloom=0.02,
    halo=1.0,
    vignette=0.25,
    grain=0.009,
    saturation=1.0,
    seed=1,
):
    """Expose and develop scene XYZ (H, W, 3) into linear ROMM RGB in [0, 1].

    Parameters
    ----------
    XYZ : ndarray
        Scene-referred; 0.18 after `ev` is a middle grey.
    ev : float
        Exposure in stops.
    white : ndarray
        XYZ of the light taken as neutral.
    contrast, clip, black : float
        Slope at middle grey; scene value that reaches paper white; flare added below.
    bloom, halo : float
        Share of light the lens scatters, and the width of the scatter.
    vignette, grain, saturation, seed
        Fall-off in the corners; grain as a deviation in perceptual units; chroma gain; seed.
    """
    h, w = XYZ.shape[:2]
    rgb = np.maximum(XYZ @ (XYZ_TO_ROMM @ adapt(np.asarray(white), D50)).T, 0.0) * 2.0**ev
    if bloom:
        unit = w / 2400 * halo
        bright = np.minimum(rgb, 40.0)
        glare = sum(
            k * ndimage.gaussian_filter(bright, (s * unit, s * unit, 0), truncate=3.0)
            for k, s in ((0.55, 4.0), (0.25, 16.0), (0.12, 55.0), (0.08, 160.0))
        )
        rgb = rgb * (1 - bloom) + glare * bloom
    y, x = np.mgrid[0:h, 0:w]
    r2 = ((x - w / 2) ** 2 + (y - h / 2) ** 2) / (w**2 / 4 + h**2 / 4)
    rgb = rgb / (1 + vignette * r2)[..., None] ** 2 + black
    if saturation != 1.0:
        lum = (rgb @ ROMM_TO_XYZ[1])[..., None]
        rgb = np.maximum(lum + (rgb - lum) * saturation, 0.0)
    # x^c / (x^c + s^c), scaled so that `clip` gives 1 and 0.18 stays 0.18.
    c, g = contrast, 0.18
    top = clip**c
    s = (g**c - g * g**c) / (g - g**c / top) if g > g**c / top else g
    p = rgb**c
    out = np.clip(p / (p + s) * (top + s) / top, 0.0, 1.0)
    rng = np.random.default_rng(seed)
    size = max(0.55, 0.62 * w / 2400)
    tone = ndimage.gaussian_filter(rng.normal(size=(h, w)), size)
    dye = ndimage.gaussian_filter(rng.normal(size=(h, w, 3)), (size, size, 0))
    noise = 0.8 * (tone / tone.std())[..., None] + 0.35 * dye / dye.std()
    v = out ** (1 / 2.4)
    v = v + grain * noise * (0.35 + 1.6 * np.sqrt(v) * (1 - v))
    return np.clip(v, 0.0, 1.0) ** 2.4


def fit(rgb):
    """Bring linear RGB into [0, 1]: towards the grey of the same luminance, as far as needed."""
    weights = np.array([0.25, 0.65, 0.10])
    grey = np.clip(rgb @ weights, 0, 1)[..., None]
    d = rgb - grey
    with np.errstate(divide="ignore", invalid="ignore"):
        k = np.where(d > 0, (1 - grey) / d, np.where(d < 0, -grey / d, 1.0))
    k = np.clip(np.nan_to_num(k, nan=1.0, posinf=1.0, neginf=1.0), 0, 1).min(-1, keepdims=True)
    return np.clip(grey + d * k, 0.0, 1.0)


def to_srgb(romm, keep_hue=True):
    """Encode linear ROMM as sRGB in [0, 1]; with `keep_hue` False channels simply clip."""
    rgb = romm @ (np.linalg.inv(SRGB_TO_XYZ) @ adapt(D50, D65) @ ROMM_TO_XYZ).T
    rgb = fit(rgb) if keep_hue else np.clip(rgb, 0, 1)
    return np.where(rgb <= 0.0031308, 12.92 * rgb, 1.055 * rgb ** (1 / 2.4) - 0.055)


def to_adobe(romm):
    """Encode linear ROMM as Adobe RGB (1998) in [0, 1]."""
    return fit(romm @ (np.linalg.inv(ADOBE_TO_XYZ) @ adapt(D50, D65) @ ROMM_TO_XYZ).T) ** (
        1 / 2.19921875
    )


def to_romm(romm):
    """Encode linear ROMM as ROMM RGB in [0, 1]: gamma 1.8 with its linear toe."""
    return np.where(romm < 0.001953, romm * 16, np.clip(romm, 0, 1) ** (1 / 1.8))


def to_grey(romm, filter_weights=(0.45, 0.5, 0.05)):
    """Grey, gamma 2.2, seen through an orange filter."""
    return np.clip(romm @ np.asarray(filter_weights), 0, 1) ** (1 / 2.2)
