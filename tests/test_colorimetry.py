"""Shared colorimetry against published tables."""

from __future__ import annotations

import numpy as np
import pytest

from proofing.colorimetry import (
    PCS_WHITE_XYZ,
    WAVELENGTHS_NM,
    Float,
    Lab_to_XYZ,
    XYZ_to_Lab,
    Y_to_density,
    colour_matching_functions,
    d50_power,
    d50_weights,
    delta_E_00,
    lightness,
    luminance_factor,
    weights_for,
)
from tests.reference.sharma import SHARMA_2005


@pytest.mark.parametrize("row", SHARMA_2005)
def test_ciede2000_pairs(row: tuple[float, ...]) -> None:
    """All 34 pairs of Sharma, Wu and Dalal 2005, table 1, the hard fourteenth among them; the
    table rounds to four places."""
    assert row[6] == pytest.approx(float(delta_E_00(row[:3], row[3:6])), abs=1.01e-4)


def test_all_pairs_are_there() -> None:
    """Thirty-four, no fewer."""
    assert len(SHARMA_2005) == 34


@pytest.mark.parametrize(
    ("D", "L"),
    [(1.4, 23.6), (1.5, 20.7), (1.6, 18.0), (1.65, 16.7), (1.7, 15.5), (1.8, 13.1), (2.0, 9.0),
     (2.2, 5.7), (2.3, 4.5), (2.4, 3.6), (2.6, 2.3)],
)  # fmt: skip
def test_density_and_lightness(D: float, L: float) -> None:
    """Y = 10^-D and CIE L* (ISO 5-3 and CIE 15 formulas, computed by hand to one place)."""
    assert pytest.approx(float(lightness(10**-D)), abs=0.06) == L
    assert pytest.approx(float(Y_to_density(luminance_factor(L))), abs=0.02) == D


def test_lab_of_the_library() -> None:
    """Lab both ways equals colour-science on random colours, negative values included."""
    from colour import XYZ_to_Lab as library

    XYZ = np.random.default_rng(0).normal(0.4, 0.4, (1000, 3))
    white_xy = PCS_WHITE_XYZ[:2] / PCS_WHITE_XYZ.sum()
    assert np.abs(XYZ_to_Lab(XYZ) - library(XYZ, white_xy)).max() < 1e-6
    assert Lab_to_XYZ(XYZ_to_Lab(XYZ)) == pytest.approx(XYZ, abs=1e-12)


def test_weights_against_integration_at_one_nanometre() -> None:
    """Smooth spectra: our 36 weights give the XYZ of a plain sum at 1 nm over light, observer and
    reflectance (CIE 15:2018, 7.1) to 0.1 in Lab."""
    cmfs = colour_matching_functions()
    nm, power = d50_power()
    S = np.interp(cmfs[:, 0], nm, power)
    weights = weights_for(nm, power)
    white = weights.sum(axis=0)
    rng = np.random.default_rng(1)
    for _ in range(20):
        peak, width, low, high = rng.uniform([420, 40, 0.02, 0.3], [680, 120, 0.2, 0.95])

        def R(x: Float, peak: float, width: float, low: float, high: float) -> Float:
            clamped = np.clip(x, 380, 730)
            return low + (high - low) * np.exp(-0.5 * ((clamped - peak) / width) ** 2)

        fine = (R(cmfs[:, 0], peak, width, low, high) * S) @ cmfs[:, 1:] / (S @ cmfs[:, 2])
        ours = R(WAVELENGTHS_NM, peak, width, low, high) @ weights
        assert XYZ_to_Lab(fine, white).tolist() == pytest.approx(
            XYZ_to_Lab(ours, white).tolist(), abs=0.1
        )


def test_the_perfect_diffuser_is_the_icc_white() -> None:
    """ICC.1:2022, 7.2.16: 0.9642, 1, 0.8249. CIE D50 is another white, within 0.05 %."""
    assert d50_weights().sum(axis=0).tolist() == pytest.approx([0.9642, 1.0, 0.8249], abs=1e-12)
    cie = weights_for(*d50_power()).sum(axis=0)
    assert cie.tolist() == pytest.approx([0.96422, 1.0, 0.82521], abs=2e-4)
