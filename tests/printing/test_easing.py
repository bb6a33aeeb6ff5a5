"""Strong colours eased in: what must never happen to hue, lightness, greys and colours' order.

CAM16-UCS here is colour-science's, in the conditions of `proofing/printing/space.py`.
"""

from __future__ import annotations

import functools
import itertools
from pathlib import Path

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from proofing.catalogue import Catalogue
from proofing.errors import SettingError
from proofing.photograph import Encoding
from proofing.photograph.icc import XYZ_to_device, adobe_rgb_profile, grey_profile, srgb_profile
from proofing.printing import ColourEase, Correction, Rendering, Stock, correction_for
from proofing.printing.easing import KNEE, drawn_in, knee_of
from proofing.printing.space import ucs_to_XYZ

PRESS = Path(__file__).parents[1] / "reference" / "icc" / "FOGRA39L_coated.icc"
SRGB = Encoding("RGB", srgb_profile())
ADOBE = Encoding("RGB", adobe_rgb_profile())
LAB = Encoding("Lab", None)
D50 = np.array([96.42, 100.0, 82.49])


@functools.cache
def stock(name: str) -> Stock:
    return Catalogue.load().stock(name)


def ease(encoding: Encoding, name: str = "smooth matte", share: float = 1.0) -> ColourEase:
    return ColourEase(encoding, stock(name), Rendering(), share)


def ucs(encoding: Encoding, codes: np.ndarray) -> np.ndarray:
    """By colour-science alone, from XYZ; 500 lx on a 20 % background, average surround."""
    found = colour.XYZ_to_CAM16(
        encoding.to_XYZ(codes) * 100.0, D50, 500.0 / np.pi * 0.2, 20.0,
        colour.VIEWING_CONDITIONS_CAM16["Average"], discount_illuminant=True,
    )  # fmt: skip
    return np.asarray(colour.models.JMh_CAM16_to_CAM16UCS(
        np.column_stack([found.J, found.M, found.h])
    ))  # fmt: skip


def apart(encoding: Encoding, one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """CIEDE2000 by colour-science."""
    Lab = [
        colour.XYZ_to_Lab(encoding.to_XYZ(codes), colour.XYZ_to_xy(D50)) for codes in (one, other)
    ]
    return np.asarray(colour.delta_E(*Lab, method="CIE 2000"))


def codes_of(encoding: Encoding, count: int = 4000, seed: int = 0) -> np.ndarray:
    codes = np.random.default_rng(seed).uniform(0.0, 1.0, (count, 3))
    if encoding.kind == "Lab":  # of surfaces
        codes = np.array([0.25, 0.37, 0.37]) + codes * np.array([0.6, 0.26, 0.26])
    return codes


@pytest.mark.parametrize("encoding", [SRGB, ADOBE, LAB], ids=["sRGB", "Adobe RGB", "Lab"])
@pytest.mark.parametrize("name", ["smooth matte", "canvas", str(PRESS)])
def test_hue_and_lightness_are_kept(encoding: Encoding, name: str) -> None:
    """In float64 to two hundredths of a CAM16-UCS dE for all but a hundredth of all codes, and to
    1.5 where the file's own space bends inward on the way to grey; through the table to dE00 0.12
    on average and 1.0 for all but a hundredth; no colour gets stronger."""
    codes = codes_of(encoding)
    eased = ease(encoding, name)
    exact, fast = eased.follow(codes), eased.apply(codes)
    before, after = ucs(encoding, codes), ucs(encoding, exact)
    C_before, C_after = (np.hypot(u[:, 1], u[:, 2]) for u in (before, after))
    off_J = np.abs(after[:, 0] - before[:, 0])
    unit = before[:, 1:] / np.maximum(C_before, 1e-9)[:, None]
    across = np.abs(after[:, 1] * unit[:, 1] - after[:, 2] * unit[:, 0])
    for away in (off_J, across[C_before > 1.0]):
        assert np.quantile(away, 0.99) < 0.02
        assert away.max() < 1.5
    assert (C_after <= C_before + 0.02).all()
    assert (C_before - C_after).max() > 5.0  # it does something
    off = apart(encoding, exact, fast)
    assert off.mean() < 0.12
    assert np.quantile(off, 0.99) < 1.0


@given(
    st.sampled_from([SRGB, ADOBE, LAB]),
    st.sampled_from(["smooth matte", "canvas"]),
    st.floats(0.0, 1.0),
    st.lists(st.floats(0.0, 1.0), min_size=1, max_size=8),
)
def test_greys_stay_what_they_are(encoding, name, share, greys) -> None:
    codes = np.repeat(np.array(greys)[:, None], 3, axis=1)
    if encoding.kind == "Lab":
        codes[:, 1:] = 128.0 / 255.0  # ICC.1:2022, 6.3.4.2
    own = ease(encoding, name, share)
    assert np.abs(own.apply(codes) - codes).max() < 1e-9
    assert np.abs(own.follow(codes) - codes).max() < 1e-9


@given(
    st.floats(3.0, 60.0), st.floats(1.0, 3.0),
    st.lists(st.floats(0.0, 120.0), min_size=2, max_size=20, unique=True),
)  # fmt: skip
def test_the_order_of_colourfulness_never_turns(limit: float, times: float, values) -> None:
    """The far end lands on the limit; below the knee nothing changes; no two become one."""
    C = np.sort(np.array(values))
    limits, far = np.full(len(C), limit), np.full(len(C), limit * times)
    drawn = drawn_in(C, limits, far)
    wide = np.diff(C) > 1e-6
    assert (np.diff(drawn)[wide] > 0.0).all()
    assert (drawn <= C).all()
    knee = knee_of(limits, far)
    assert (knee <= KNEE * limit + 1e-9).all()
    assert np.array_equal(drawn[knee >= C], C[knee >= C])
    assert drawn_in(far[:1], limits[:1], far[:1])[0] == pytest.approx(limit, rel=1e-6)


def test_nothing_of_it_changes_nothing() -> None:
    codes = codes_of(SRGB, 200)
    assert np.array_equal(ease(SRGB, share=0.0).apply(codes), codes)
    grey = Encoding("grey", grey_profile())
    assert np.array_equal(ease(grey).apply(codes), codes)
    assert correction_for(grey, ease=ease(grey)).is_none


def test_quiet_colours_are_not_touched() -> None:
    """In a wide file on a matte stock: what has a quarter of the stock's strength is left to the
    last digit (LOWEST_KNEE); here colours of CAM16-UCS colourfulness under 4 at mid lightness."""
    codes = 0.5 + (codes_of(SRGB, 3000, 2) - 0.5) * 0.06
    strength = np.hypot(*ucs(SRGB, codes)[:, 1:].T)
    quiet = codes[strength < 4.0]
    assert len(quiet) > 1000
    assert np.array_equal(ease(SRGB).follow(quiet), quiet)


def test_stronger_colours_stay_stronger_through_the_table() -> None:
    """Out from grey at one lightness and hue of CAM16-UCS, to the end of Adobe RGB (1998)."""
    own = ease(ADOBE)
    for J, hue_deg in itertools.product((35.0, 50.0, 70.0, 85.0), range(0, 360, 15)):
        turn, C = np.radians(hue_deg), np.arange(0.0, 70.0, 1.0)
        wanted = np.column_stack([np.full(len(C), J), C * np.cos(turn), C * np.sin(turn)])
        codes = XYZ_to_device(adobe_rgb_profile(), ucs_to_XYZ(wanted), "relative")
        inside = np.linalg.norm(ucs(ADOBE, codes) - wanted, axis=1) < 0.05
        out = own.apply(codes[: int(np.argmin(inside))])
        assert out.min() >= 0.0 and out.max() <= 1.0
        assert (np.diff(np.hypot(*ucs(ADOBE, out)[:, 1:].T)) > 0.0).all()


def test_a_curve_comes_first() -> None:
    own = correction_for(SRGB, lift_stops=1.0, ease=ease(SRGB))
    codes = codes_of(SRGB, 300, 3)
    lifted = correction_for(SRGB, lift_stops=1.0)
    assert np.array_equal(own.apply(codes), ease(SRGB).apply(lifted.apply(codes)))
    assert len({own.key, lifted.key, own.with_ease(ease(SRGB, share=0.5)).key}) == 3
    assert own.with_lift(0.0).with_ease(None).is_none


def test_what_is_no_share_is_refused() -> None:
    with pytest.raises(SettingError, match="0 to 100 %"):
        ease(SRGB, share=1.1)
    with pytest.raises(SettingError, match="own encoding"):
        Correction(ADOBE, ease=ease(SRGB))
