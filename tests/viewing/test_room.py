"""Room: luminance, glazing, veil, brightener."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pytest
from scipy.optimize import brentq

from proofing._colour import colour_science
from proofing.colorimetry import WAVELENGTHS_NM, XYZ_to_Lab, d50_power, d50_weights
from proofing.errors import SettingError
from proofing.viewing import (
    NO_GLAZING,
    Glazing,
    Room,
    find_glazing,
    find_light,
    find_place,
    glazings,
    places,
    print_weights,
    radiance,
)

colour_science()  # imported in silence, before anything else asks for it


@dataclass(frozen=True)
class Surface:
    specular: float


MATTE, GLOSS = Surface(0.0), Surface(1.0)


def grey(factor: float) -> np.ndarray:
    return np.full((1, 36), factor)


def plain_pane(T: float, R_g: float) -> Glazing:
    return Glazing("pane", (300.0, 780.0), (T, T), R_g, "test: flat curve")


@pytest.mark.parametrize(
    ("lux", "factor", "cd_m2"),
    [
        # Lambert: L = E rho / pi (computed)
        (500.0, 1.0, 159.15),
        (500.0, 0.89, 141.6),
        (2000.0, 1.0, 636.6),
        (50.0, 0.89, 14.16),
    ],
)
def test_luminance_of_a_lambertian_print(lux: float, factor: float, cd_m2: float) -> None:
    """500 lx on a perfect diffuser is 159.15 cd/m2."""
    room = Room(find_light("D50"), lux)
    assert cd_m2 == pytest.approx(radiance(grey(factor), None, MATTE, room)[0, 1], rel=5e-4)


@pytest.mark.parametrize(
    ("density", "k", "none", "float_glass", "coated"),
    [
        # contrast (T^2 Y_w + R_g k)/(T^2 Y_b + R_g k), paper .89, computed from the formula with
        # float T .90, R .082 and coated T .985, R .008
        (2.3, 0.1, 178, 59, 153),
        (2.3, 0.3, 178, 26, 119),
        (1.65, 0.1, 40, 28, 38),
        (1.65, 0.3, 40, 17, 36),
    ],
)
def test_glazing_veils_the_blacks(
    density: float, k: float, none: float, float_glass: float, coated: float
) -> None:
    """Print contrast behind nothing, float glass and coated glass in a room that shines back."""

    def contrast(glazing: Glazing) -> float:
        room = Room(find_light("D50"), 500.0, glazing, reflection_ratio=k)
        white, black = (radiance(grey(f), None, MATTE, room)[0, 1] for f in (0.89, 10**-density))
        return float(white / black)

    assert none == pytest.approx(contrast(NO_GLAZING), abs=0.9)
    assert float_glass == pytest.approx(contrast(plain_pane(0.90, 0.082)), abs=0.6)
    assert coated == pytest.approx(contrast(plain_pane(0.985, 0.008)), abs=0.6)
    # and the shipped typical curves come close
    assert float_glass == pytest.approx(contrast(find_glazing("float glass")), rel=0.04)
    assert coated == pytest.approx(contrast(find_glazing("anti-reflection glass")), rel=0.04)


@pytest.mark.parametrize(("k", "density"), [(0.1, 2.05), (0.3, 1.77), (1.0, 1.35)])
def test_unglazed_gloss_loses_its_black(k: float, density: float) -> None:
    """Y_eff = Y_b + .04 k: D 2.3 becomes 2.05, 1.77, 1.35 (computed)."""
    room = Room(find_light("D50"), 500.0, reflection_ratio=k)
    Y = radiance(grey(10**-2.3), None, GLOSS, room)[0, 1] / room.L_w
    assert density == pytest.approx(-math.log10(Y), abs=0.006)


def test_matte_surface_mirrors_nothing() -> None:
    """A matte black is as deep with lights opposite as without."""
    dark = radiance(grey(0.02), None, MATTE, Room(find_light("A"), 100.0))
    lit = radiance(grey(0.02), None, MATTE, Room(find_light("A"), 100.0, reflection_ratio=1.0))
    assert dark == pytest.approx(lit)


def test_reflection_has_the_colour_of_the_light() -> None:
    """The veil on a black print under warm light is as warm as the light."""
    room = Room(find_light("LED-B1"), 100.0, reflection_ratio=0.5)
    veil = print_weights(room, GLOSS).veil_XYZ
    assert room.light.XYZ_w == pytest.approx(veil / veil[1])


def test_surface_reflection_under_glass_passes_it_twice() -> None:
    """T^2 .04 specular k + R_g k, of the perfect diffuser."""
    room = Room(find_light("D50"), 500.0, plain_pane(0.9, 0.08), reflection_ratio=0.2)
    expected = (0.08 + 0.9**2 * 0.04 * 0.5) * 0.2
    assert expected == pytest.approx(print_weights(room, Surface(0.5)).veil_XYZ[1] / room.L_w)


def brightener() -> np.ndarray:
    """Emission under D50 with radiance factor 1 at 440 nm: peak 438 nm, sigma 16 / 32 nm."""
    sigma = np.where(WAVELENGTHS_NM < 438.0, 16.0, 32.0)
    power = np.exp(-0.5 * ((WAVELENGTHS_NM - 438.0) / sigma) ** 2)
    beta = power / np.interp(WAVELENGTHS_NM, *d50_power())
    return (beta / np.interp(440.0, WAVELENGTHS_NM, beta))[None, :]


def warm_base() -> np.ndarray:
    """A nearly white base with b* +1.3 under D50."""

    def base(tilt: float) -> np.ndarray:
        return 0.9 * (1.0 + tilt * (WAVELENGTHS_NM - 560.0) / 200.0)

    tilt = brentq(lambda t: XYZ_to_Lab(base(t) @ d50_weights())[2] - 1.3, -0.5, 0.5)
    return base(float(tilt))[None, :]


@pytest.mark.parametrize(
    ("name", "b"),
    # computed independently from the model for +.15 at 440 nm on a base of b* +1.3
    [("D50", -5.3), ("D65", -7.9), ("A", -3.5), ("LED-B3", 1.1)],
)
def test_brightened_paper_turns_blue_with_the_light(name: str, b: float) -> None:
    """b* of a brightened stock against the light's own white; a blue LED leaves it warm."""
    room = Room(find_light(name), 500.0)
    XYZ = radiance(warm_base(), 0.15 * brightener(), None, room)[0] / room.L_w
    assert b == pytest.approx(XYZ_to_Lab(XYZ, room.light.XYZ_w)[2], abs=0.25)


def test_shift_per_tenth_of_brightener() -> None:
    """Each +.10 in beta(440) under D50: db* -4.4, da* +1.3, dL* +.1 (computed)."""
    room = Room(find_light("D50"), 500.0)

    def Lab(amount: float) -> np.ndarray:
        XYZ = radiance(warm_base(), amount * brightener(), None, room)[0] / room.L_w
        return XYZ_to_Lab(XYZ, room.light.XYZ_w)

    dL, da, db = Lab(0.10) - Lab(0.0)
    assert pytest.approx(db, abs=0.1) == -4.4
    assert pytest.approx(da, abs=0.1) == 1.3
    assert pytest.approx(dL, abs=0.1) == 0.1


def test_emission_under_D50_is_a_radiance_factor() -> None:
    """Under bare D50 emission adds to reflectance as if it were one."""
    room = Room(find_light("D50"), 500.0)
    with_emission = radiance(grey(0.8), 0.1 * brightener(), None, room)
    as_reflectance = radiance(grey(0.8) + 0.1 * brightener(), None, None, room)
    assert as_reflectance == pytest.approx(with_emission, rel=1e-3)


def test_uv_filtering_glass_takes_the_glow() -> None:
    """Behind UV-filtering panes a brightened paper is warmer than behind plain ones."""

    def b(pane: str) -> float:
        room = Room(find_light("D65"), 500.0, find_glazing(pane))
        XYZ = radiance(warm_base(), 0.15 * brightener(), None, room)[0]
        white = radiance(grey(1.0), None, None, room)[0]
        return float(XYZ_to_Lab(XYZ / white[1], white / white[1])[2])

    assert b("UV-filtering acrylic") > b("acrylic") + 3.0
    assert b("UV-filtering glass") > b("float glass") + 3.0


@pytest.mark.parametrize(
    ("pane", "T", "R_g"),
    [
        # Fresnel for two faces, computed: acrylic n 1.49 R 7.46 %, T 92.5 %; glass n 1.52
        # R 8.17 %; float glass T 89-90 % with absorption, coated T 97-99 %, R < 1 % (from memory)
        ("acrylic", 0.922, 0.075),
        ("float glass", 0.90, 0.082),
        ("anti-reflection glass", 0.98, 0.008),
        ("no glass", 1.0, 0.0),
    ],
)
def test_panes_are_as_the_handbook_says(pane: str, T: float, R_g: float) -> None:
    """Luminous transmittance and reflectance of typical panes."""
    glazing = find_glazing(pane)
    weights = find_light("D65").weights()[:, 1]
    assert pytest.approx(float(weights @ glazing.transmittance_visible), abs=0.012) == T
    assert R_g == pytest.approx(glazing.reflectance, abs=0.002)


def test_uv_filtering_panes_cut_below_400_nm() -> None:
    """Half height lies at the end of the ultraviolet; below 380 nm nothing passes."""
    for glazing in glazings():
        if "UV" in glazing.name:
            nm = np.arange(300.0, 781.0, 5.0)
            assert glazing.uv_transmittance < 0.01
            half = nm[np.argmax(glazing.transmittance > 0.45)]
            assert 395.0 <= half <= 410.0


def test_glazing_records_are_sound() -> None:
    """Smooth, between 0 and 1, with provenance; no glass comes first."""
    assert glazings()[0].is_none
    for glazing in glazings():
        assert glazing.provenance
        T = glazing.transmittance
        assert T.shape == (97,)
        assert T.min() >= 0.0 and T.max() + glazing.reflectance <= 1.0


def test_places_have_light_and_provenance() -> None:
    """ISO 3664:2009 P1 and P2; CIE 157:2004 50 lx; EN 12464-1 500 lx (from memory)."""
    assert find_place("P1").illuminance_lux == 2000.0
    assert find_place("P2").illuminance_lux == 500.0
    assert find_place("conservation light").illuminance_lux == 50.0
    assert find_place("office").illuminance_lux == 500.0
    assert all(place.provenance for place in places())


def test_places_are_lit_by_lamps_of_their_kind() -> None:
    """Booths by ISO 3664's D50; at a window daylight; dwellings warm, at most 3000 K, offices
    about 4000 K (common practice)."""
    for place in places():
        light = find_light(place.light)
        if "booth" in place.name:
            assert light.name == "D50"
        elif "window" in place.name:
            assert light.kind == "daylight"
        elif place.name == "office":
            assert 3700.0 < light.cct_K < 4300.0
        else:
            assert 2600.0 < light.cct_K < 3050.0


def test_float32_in_chunks_is_float64_within_its_rounding() -> None:
    """Any N goes; single precision spectra are summed in double."""
    rng = np.random.default_rng(7)
    R = rng.random((70_001, 36))
    room = Room(find_light("D50"), 500.0)
    full = radiance(R, 0.1 * R, GLOSS, room)
    single = radiance(R.astype(np.float32), (0.1 * R).astype(np.float32), GLOSS, room)
    assert np.float64 == single.dtype
    assert np.abs(full - single).max() < 1e-4
    weights = print_weights(room, GLOSS)
    assert full == pytest.approx(R @ weights.reflect + 0.1 * R @ weights.emit + weights.veil_XYZ)


def test_surround_follows_the_surround_ratio() -> None:
    """CIE 159:2004: S_R >= 0.2 average, between dim, 0 dark."""
    D50 = find_light("D50")
    assert Room(D50, 500.0).surround == "average"
    assert Room(D50, 500.0, surround_ratio=0.2).surround == "average"
    assert Room(D50, 500.0, surround_ratio=0.1).surround == "dim"
    assert Room(D50, 500.0, surround_ratio=0.0).surround == "dark"


def test_adapting_luminance_is_that_of_the_wall() -> None:
    """L_A = Y_b % E / pi (CIE 248:2022): 500 lx on a 20 % wall, 31.83 cd/m2."""
    room = Room(find_light("D50"), 500.0)
    assert pytest.approx(room.Y_b) == 20.0
    assert pytest.approx(room.L_A, abs=0.005) == 31.83


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("illuminance_lux", 0.0),
        ("illuminance_lux", float("nan")),
        ("reflection_ratio", -0.1),
        ("wall_reflectance", 1.2),
        ("surround_ratio", -1.0),
    ],
)
def test_senseless_rooms_are_refused(field: str, value: float) -> None:
    """The error names field and range."""
    settings = {"light": find_light("D50"), "illuminance_lux": 500.0, field: value}
    with pytest.raises(SettingError, match="use a value from") as caught:
        Room(**settings)  # type: ignore[arg-type]
    assert field == caught.value.field


def test_key_tells_rooms_apart() -> None:
    """Whatever changes a number changes the key; what does not, does not."""
    D50 = find_light("D50")
    base = Room(D50, 500.0)
    others = [
        Room(find_light("D65"), 500.0),
        Room(D50, 501.0),
        Room(D50, 500.0, find_glazing("acrylic")),
        Room(D50, 500.0, reflection_ratio=0.1),
        Room(D50, 500.0, wall_reflectance=0.3),
        Room(D50, 500.0, surround_ratio=0.1),
    ]
    assert base.key == Room(find_light("viewing booth"), 500.0).key
    assert len({base.key, *(other.key for other in others)}) == 7
