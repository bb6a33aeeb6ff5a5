"""Where the nodes sit, and that the darkest codes survive the table."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofing.colorimetry import PCS_WHITE_XYZ
from proofing.errors import ProfileError, SettingError
from proofing.lattice import Output, Shaper, apply
from tests.lattice.simple import (
    GAMMA,
    L_STAR,
    LAB,
    LINEAR,
    ROMM,
    SRGB,
    Curve,
    bake,
    exactly,
    linear_to_srgb,
)

ENCODINGS = [SRGB, GAMMA, ROMM, LINEAR, L_STAR]


@dataclass(frozen=True)
class Greys:
    """An encoding told by the luminance of its greys alone."""

    Y: object
    kind: str = "RGB"
    key: str = "greys"

    def to_XYZ(self, codes01):
        return self.Y(codes01[:, :1]) * PCS_WHITE_XYZ


@pytest.mark.parametrize("n", [2, 17, 33, 64, 65])
@pytest.mark.parametrize("encoding", [*ENCODINGS, LAB])
def test_nodes_invert_the_curves(encoding, n):
    """Every node's code lands on its node, ends are nodes, curves and nodes only rise."""
    n = max(n, 3) if encoding is LAB else n  # Lab needs a node in the middle
    shaper = Shaper.for_encoding(encoding, n)
    positions = shaper.node_positions()
    assert np.all(positions[:, 0] == 0.0) and np.all(positions[:, -1] == 1.0)
    assert np.all(np.diff(positions, axis=1) > 0.0)
    assert np.all(np.diff(shaper.coordinates, axis=1) > 0.0)
    np.testing.assert_allclose(shaper.coordinates_of(positions.T), np.tile(np.arange(n), (3, 1)).T,
                               atol=1e-9)  # fmt: skip
    codes = shaper.node_codes()
    assert codes.shape == (n**3, 3)
    np.testing.assert_array_equal(codes[:n, 2], positions[2])
    np.testing.assert_array_equal(codes[:: n * n, 0], positions[0])


@settings(max_examples=30, deadline=None)
@given(gamma=st.floats(0.45, 3.0), n=st.integers(2, 70))
def test_any_gamma_has_an_inverse(gamma, n):
    """For power curves from steeper than linear to gamma 3."""
    shaper = Shaper.for_encoding(Curve("gamma", gamma), n)
    positions = shaper.node_positions()
    back = shaper.coordinates_of(positions.T)
    np.testing.assert_allclose(back[:, 0], np.arange(n), atol=1e-8)


def test_nodes_are_even_in_warped_lightness():
    """For the L* encoding the codes of the nodes can be written down: x = (L*/100)^0.7.

    A half of one per cent of a straight line is mixed in, hence the tolerance.
    """
    positions = Shaper.for_encoding(L_STAR, 33).node_positions()[0]
    np.testing.assert_allclose(positions, (np.arange(33) / 32) ** (1 / 0.7), atol=0.003)


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_denser_in_the_shadows(encoding):
    """At least nine of 33 nodes lie in the lowest fifth of lightness, where even ones put six."""
    positions = Shaper.for_encoding(encoding, 33).node_positions()[0]
    Y = encoding.to_XYZ(np.repeat(positions[:, None], 3, axis=1))[:, 1]
    assert np.count_nonzero(Y < 0.0299) >= 9  # CIE 15: L* 20 is Y 0.02989


def to_screen(encoding):
    """The plainest screen: same primaries, sRGB curve; harder on shadows than any print."""
    ends = encoding.to_XYZ(np.eye(3))
    inverse = np.linalg.inv(ends)

    def function(codes01):
        return linear_to_srgb(encoding.to_XYZ(codes01) @ inverse)

    return function


@pytest.mark.parametrize("encoding", ENCODINGS)
@pytest.mark.parametrize("depth", [np.uint8, np.uint16])
@pytest.mark.parametrize("n", [33, 65])
def test_darkest_codes_one_by_one(encoding, depth, n):
    """Each of the darkest sixteen 8-bit greys, and all 16-bit ones between, within half a code."""
    function = to_screen(encoding)
    lattice = bake(function, Shaper.for_encoding(encoding, n))
    last = 15 if depth == np.uint8 else 15 * 257
    ramp = np.arange(last + 1, dtype=depth)
    grey = np.broadcast_to(ramp[None, :, None], (1, last + 1, 3))
    fast = apply(lattice, grey, output=Output.RAW)
    exact = exactly(function, grey)
    error = np.abs(fast - exact).max(axis=2)[0] * 255.0
    for code in range(16):
        here = error[code] if depth == np.uint8 else error[max(code * 257 - 128, 0) :][:257].max()
        assert here < 0.5, (code, here)


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_darkest_colours(encoding):
    """All 4096 colours of the darkest sixteen codes of each channel within half a code."""
    function = to_screen(encoding)
    lattice = bake(function, Shaper.for_encoding(encoding, 33))
    dark = np.stack(np.meshgrid(*[np.arange(16, dtype=np.uint8)] * 3), axis=-1).reshape(64, 64, 3)
    fast = apply(lattice, dark, output=Output.RAW)
    exact = exactly(function, dark)
    assert np.abs(fast - exact).max() * 255.0 < 0.5


def test_lab_neutrals_have_nodes():
    """a* = b* = 0 is exactly a node, so that greys meet no chromatic node.

    ICC.1:2022, 6.3.4.2, 16-bit Lab: 8080h (32896) is zero.
    """
    for n in (3, 17, 32, 33, 65):
        shaper = Shaper.for_encoding(LAB, n)
        middle = shaper.coordinates_of([0.3, 128 / 255, 128 / 255])[1:]
        assert list(middle) == [(n - 1) // 2] * 2
        assert [float(t[32896]) for t in shaper.tables(np.uint16)[1:]] == [(n - 1) // 2] * 2
        assert [float(t[128]) for t in shaper.tables(np.uint8)[1:]] == [(n - 1) // 2] * 2
        assert shaper.node_positions()[1, (n - 1) // 2] == pytest.approx(128 / 255, abs=1e-15)


def test_tables_are_the_curves():
    """8-bit codes are every 257th 16-bit code; equal curves are stored once."""
    shaper = Shaper.for_encoding(SRGB, 33)
    eight, sixteen = shaper.tables(np.uint8), shaper.tables(np.uint16)
    assert (eight[0].size, sixteen[0].size, eight[0].dtype) == (256, 65536, np.float32)
    np.testing.assert_array_equal(eight[0], sixteen[0][::257])
    assert sixteen[0] is sixteen[1] is sixteen[2]
    lab = Shaper.for_encoding(LAB, 33).tables(np.uint16)
    assert lab[0] is not lab[1] and lab[1] is lab[2]


def test_flat_and_dented_curves_still_rise():
    """Profiles that crush the first codes or fall back a little keep an inverse."""
    crushed = Shaper.for_encoding(Greys(lambda c: np.maximum(c - 0.1, 0.0) / 0.9), 33)
    assert np.all(np.diff(crushed.node_positions(), axis=1) > 0)
    dented = Shaper.for_encoding(Greys(lambda c: c + 0.02 * np.sin(40 * c) * (1 - c)), 33)
    assert np.all(np.diff(dented.node_positions(), axis=1) > 0)
    raised = Shaper.for_encoding(Greys(lambda c: 0.01 + 0.9 * c**2), 33)
    assert raised.node_positions()[0, 0] == 0.0


@pytest.mark.parametrize("Y", [lambda c: c * np.nan, lambda c: c * 0 + 0.5, lambda c: 1 - c])
def test_useless_encodings_are_refused(Y):
    """Greys that are not finite, do not differ, or run backwards: a clear refusal."""
    with pytest.raises(ProfileError, match="convert the picture"):
        Shaper.for_encoding(Greys(Y), 33)


def test_wrong_curves_are_refused():
    """Curves given by hand are checked."""
    line = np.linspace(0.0, 4.0, 65536)
    with pytest.raises(SettingError, match="65536"):
        Shaper(np.stack([line] * 3)[:, :100], 5, "short")
    with pytest.raises(SettingError, match="from 0 to n - 1"):
        Shaper(np.stack([line] * 3), 6, "ends elsewhere")
    line[7] = line[6]
    with pytest.raises(SettingError, match="always rise"):
        Shaper(np.stack([line] * 3), 5, "flat")
    with pytest.raises(SettingError, match="at least 2"):
        Shaper.even(1)
    with pytest.raises(SettingError, match="at least 3"):
        Shaper.for_encoding(LAB, 2)


def test_equality_is_by_key():
    """The same encoding and size give the same shaper."""
    assert Shaper.for_encoding(SRGB, 9) == Shaper.for_encoding(SRGB, 9)
    assert hash(Shaper.even(9)) == hash(Shaper.even(9))
    assert Shaper.for_encoding(SRGB, 9) != Shaper.for_encoding(SRGB, 17)
    assert Shaper.for_encoding(SRGB, 9) != Shaper.for_encoding(GAMMA, 9)
