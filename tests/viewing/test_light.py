"""Lights: whiteness, fidelity, brightener excitation, names."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from proofing._colour import colour_science
from proofing.colorimetry import WAVELENGTHS_NM
from proofing.errors import RecordError, SettingError, UnknownName
from proofing.viewing import (
    LIGHT_WAVELENGTHS_NM,
    Light,
    find_glazing,
    find_light,
    halogen,
    lamp_colours,
    lights,
    measured_light,
    reference_of,
)


@pytest.mark.parametrize(
    ("name", "cct_K"),
    [
        # CIE 015:2018, correlated colour temperatures given with the tables (from memory)
        ("D50", 5003),
        ("D65", 6504),
        ("A", 2856),
        ("LED-B1", 2733),
        ("LED-B2", 2998),
        ("LED-B3", 4103),
        ("LED-B4", 5109),
        ("LED-B5", 6598),
        ("LED-BH1", 2851),
        ("LED-RGB1", 2840),
        ("LED-V1", 2724),
        ("LED-V2", 4070),
        ("FL2", 4230),
        ("FL7", 6500),
        ("FL8", 5000),
        ("FL11", 4000),
        ("FL12", 3000),
    ],
)
def test_correlated_colour_temperature_is_the_published_one(name: str, cct_K: float) -> None:
    """Each table lands on the CCT its standard prints, to the rounding of methods."""
    assert cct_K == pytest.approx(find_light(name).cct_K, rel=0.002)


@pytest.mark.parametrize(
    ("name", "U"),
    [
        # Computed independently from the stated Gaussian (365/30 nm, cut at 425 nm, photon
        # weighting) and the CIE 015 tables, per lux, D50 = 1.
        ("D50", 1.0),
        ("D65", 1.89),
        ("A", 0.30),
        ("FL2", 0.33),
        ("LED-V1", 0.37),
    ],
)
def test_brightener_excitation_per_lux(name: str, U: float) -> None:
    """Daylight wakes a brightener, filament light does so by a third, violet LEDs likewise."""
    assert pytest.approx(find_light(name).excitation(), abs=0.005) == U


@pytest.mark.parametrize("name", ["LED-B1", "LED-B2", "LED-B3", "LED-B4"])
def test_blue_pumped_led_leaves_brightener_asleep(name: str) -> None:
    """Computed from CIE 015 tables: .01-.02 of D50 for blue-pumped lamps."""
    assert 0.005 < find_light(name).excitation() < 0.025


def test_window_glass_takes_a_tenth_of_the_excitation() -> None:
    """D50 behind window glass, per lux behind the glass: .91 (computed, typical glass)."""
    glass = find_glazing("window glass")
    D50 = find_light("D50")
    y = np.asarray(
        colour_science()
        .MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
        .copy()
        .align(colour_science().SpectralShape(360, 780, 5))
        .values[:, 1]
    )
    visible = LIGHT_WAVELENGTHS_NM >= 360
    power, T = D50.power[visible], glass.transmittance[visible]
    luminous = (power * T * y).sum() / (power * y).sum()
    assert pytest.approx(D50.excitation(glass) / luminous, abs=0.01) == 0.91


def test_indoor_daylight_agrees_with_our_window_glass() -> None:
    """CIE 015:2018 ID50 is D50 behind typical glass: its excitation is near that behind ours."""
    assert find_light("ID50").excitation() == pytest.approx(
        find_light("D50").excitation(find_glazing("window glass")), abs=0.12
    )


@pytest.mark.parametrize("name", ["D50", "D55", "D65", "A", "halogen 3000 K"])
def test_reference_lights_have_full_fidelity(name: str) -> None:
    """CIE 224:2017: a Planckian or daylight source is its own reference, R_f 100."""
    assert pytest.approx(find_light(name).fidelity_Rf, abs=0.1) == 100.0


def test_fidelity_of_a_lamp_is_that_of_the_library_for_its_own_table() -> None:
    """CIE 224:2017 through colour-science, fed the untouched table."""
    import warnings

    colour = colour_science()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        expected = colour.colour_fidelity_index(colour.SDS_ILLUMINANTS["FL2"])
    assert float(expected) == pytest.approx(find_light("FL2").fidelity_Rf, abs=0.05)
    assert expected == pytest.approx(
        70.1, abs=0.2
    )  # IES TM-30-18 gives R_f 70 for F2 (from memory)


def test_white_of_a_light_is_the_published_chromaticity() -> None:
    """CIE 015:2018, tristimulus values of D65 and A, 2 degrees."""
    assert pytest.approx(find_light("D65").XYZ_w, abs=3e-4) == [0.95047, 1.0, 1.08883]
    assert pytest.approx(find_light("A").XYZ_w, abs=3e-4) == [1.09850, 1.0, 0.35585]


def test_weights_agree_with_the_library_on_a_smooth_reflectance() -> None:
    """ASTM E308 by colour-science at 1 nm against 10 nm weights, smooth curves, under 0.05 %."""
    import warnings

    colour = colour_science()
    shape = colour.SpectralShape(380, 730, 10)
    R = 0.5 + 0.3 * np.sin((WAVELENGTHS_NM - 380) / 80.0)
    sd = colour.SpectralDistribution(R, shape)
    for name in ("D50", "A", "LED-B2"):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            expected = (
                colour.sd_to_XYZ(
                    sd.copy().align(
                        colour.SpectralShape(360, 780, 1),
                        extrapolator_kwargs={"method": "Constant"},
                    ),
                    illuminant=colour.SDS_ILLUMINANTS[name],
                    method="Integration",
                )
                / 100.0
            )
        assert expected == pytest.approx(R @ find_light(name).weights(), abs=1e-3)


def test_chooser_row_touches_no_spectrum() -> None:
    """Listing names, words and cautions loads no table."""
    import subprocess
    import sys

    code = (
        "import sys\n"
        "from proofing.viewing import lights\n"
        "rows = [(l.name, l.words, l.caution, l.key, l.cct_K) for l in lights()]\n"
        "assert len(rows) > 30\n"
        "assert 'colour' not in sys.modules and 'scipy' not in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


def test_every_light_can_be_used_and_says_where_it_comes_from() -> None:
    """Each record resolves to a spectrum of 97 values, has a provenance and a caution."""
    for light in lights():
        assert light.power.shape == (97,)
        assert not light.power.flags.writeable
        assert np.isfinite(light.power).all() and light.power.min() >= 0.0
        assert light.provenance and light.caution
        assert pytest.approx(light.XYZ_w[1]) == 1.0
        assert find_light(light.words) is light


def test_temperature_in_the_words_is_the_true_one() -> None:
    """'..., 3000 K' is within 70 K of the computed CCT, so that the sentence does not lie."""
    for light in lights():
        stated = float(light.words.rsplit(",", 1)[1].removesuffix("K"))
        assert stated == pytest.approx(light.cct_K, abs=70.0), light.name


def test_recorded_temperature_is_the_computed_one() -> None:
    """Ohno 2013 through colour-science, for every record, to the kelvin."""
    for light in lights():
        assert light.recorded_cct_K is not None
        assert dataclasses.replace(light, recorded_cct_K=None).cct_K == pytest.approx(
            light.cct_K, abs=0.51
        )


def test_flicker_is_cautioned_where_lamps_flicker() -> None:
    """LED and fluorescent records warn of flicker and defer to local codes."""
    for light in lights():
        if light.kind in ("LED", "fluorescent"):
            assert "flicker" in light.caution and "local codes" in light.caution


def test_halogen_of_any_temperature_by_name() -> None:
    """A Planckian radiator at the stated temperature, ultraviolet included."""
    lamp = find_light("Halogen 2950 K")
    assert pytest.approx(lamp.cct_K, abs=2.0) == 2950.0
    assert pytest.approx(lamp.duv, abs=1e-4) == 0.0
    assert lamp.has_uv_data
    assert find_light("A").excitation() < lamp.excitation() < find_light("D50").excitation()
    assert halogen(2950).key == lamp.key


def test_halogen_at_2856_kelvin_is_illuminant_A() -> None:
    """CIE 015:2018: illuminant A is a Planckian radiator of 2856 K."""
    assert find_light("A").power == pytest.approx(halogen(2855.5).power, rel=2e-3)


def test_unknown_light_lists_what_is_known() -> None:
    """The error tells the choices."""
    with pytest.raises(UnknownName, match="D50 viewing light") as caught:
        find_light("moonbeam")
    assert caught.value.value == "moonbeam"


def test_a_part_of_a_name_is_enough_where_it_is_one_lights_own() -> None:
    """Beginnings of words, in any order; where it may be several, those are listed."""
    assert find_light("warm gallery").name == "LED-B2"
    assert find_light("gallery-led WARM").name == "LED-B2"
    assert find_light("d50").name == "D50"
    with pytest.raises(UnknownName, match="more of the name") as caught:
        find_light("warm LED")
    assert "warm gallery LED, 3000 K" in caught.value.meant
    assert all("warm" in name and "LED" in name for name in caught.value.meant)
    with pytest.raises(UnknownName) as caught:
        find_light("arm")  # no beginning of a word
    assert caught.value.meant == ()


def test_absurd_halogen_is_refused() -> None:
    """A temperature without sense says which ones have."""
    with pytest.raises(SettingError, match="1000 to 25000"):
        find_light("halogen 90 K")


def test_measured_light_round_trip() -> None:
    """One's own measurement of D65 behaves as D65."""
    D65 = find_light("D65")
    own = measured_light("my lamp", D65.wavelengths_nm, D65.power, "test")
    assert D65.weights() == pytest.approx(own.weights())
    assert own.key != D65.key
    assert own == measured_light("my lamp", D65.wavelengths_nm, D65.power * 1.0, "test")


@pytest.mark.parametrize(
    ("nm", "power", "text"),
    [
        ([400, 500, 600], [1, 1, 1], "equally long"),
        (np.arange(450, 700, 10.0), np.ones(25), "reach from 400"),
        (np.arange(380, 740, 40.0), np.ones(9), "at most 20 nm"),
        (np.arange(380, 740, 10.0), -np.ones(36), "negative"),
        (np.arange(380, 740, 10.0), np.full(36, np.nan), "not a number"),
    ],
)
def test_unusable_measurement_is_refused(nm: object, power: object, text: str) -> None:
    """Gaps, missing ends and negative power are named."""
    with pytest.raises(RecordError, match=text):
        measured_light("bad", nm, power, "test")  # type: ignore[arg-type]


def test_contradicting_sources_are_refused() -> None:
    """A light comes from one place."""
    with pytest.raises(RecordError, match="exactly one"):
        Light("x", "x", "LED", "test", table="A", temperature_K=2000.0)


@pytest.mark.parametrize(
    ("name", "within"),
    [("FL2", 3), ("FL4", 3), ("FL11", 3), ("LED-B3", 3), ("LED-RGB1", 7), ("A", 1), ("D65", 1)],
)
def test_lamp_colours_agree_with_the_fidelity_index_of_the_library(
    name: str, within: float
) -> None:
    """CIE 224:2017: Rf' = 100 - 6.73 mean dE over its 99 test colours, Rf = 10 ln(exp(Rf'/10) + 1),
    as colour-science has it. Ours takes the 2-degree observer and CAM16-UCS: 3 points,
    and more under a lamp of three narrow bands, where observers differ most."""
    colour = colour_science()
    shape = colour.SpectralShape(380, 730, 10)
    samples = colour.quality.cfi2017.load_TCS_CIE2017(colour.SpectralShape(380, 780, 1))
    reflectance = samples.copy().align(shape).values.T
    assert reflectance.shape == (99, len(WAVELENGTHS_NM))
    found = lamp_colours(reflectance, find_light(name))
    linear = 100.0 - 6.73 * float(found.apart.mean())
    assert 10.0 * np.log(np.exp(linear / 10.0) + 1.0) == pytest.approx(
        find_light(name).fidelity_Rf, abs=within
    )


def test_the_reference_of_a_lamp_has_its_warmth() -> None:
    for name in ("FL2", "LED-B1", "LED-B5"):
        lamp = find_light(name)
        assert reference_of(lamp).cct_K == pytest.approx(lamp.cct_K, rel=0.01)
        assert reference_of(lamp).fidelity_Rf > 99.0
