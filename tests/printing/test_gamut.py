"""The gamut surface and the ways into it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofing.colorimetry import PCS_WHITE_XYZ, Float, XYZ_to_Lab
from proofing.photograph.icc import adobe_rgb_profile, device_to_XYZ, srgb_profile
from proofing.printing.gamut import Gamut, cube_faces, mesh_volume
from proofing.printing.mapping import chroma_weight, clip, compress, scale_lightness
from proofing.printing.space import XYZ_to_ucs, to_real, ucs_to_XYZ

from .stocks import NAMES, stock


def test_volume_of_known_bodies() -> None:
    """A unit cube, and a cube bent into a ball of radius 2 (4/3 pi r^3, within the facets)."""
    points, triangles = cube_faces(33)
    assert mesh_volume(points, triangles) == pytest.approx(1.0)
    centred = 2.0 * points - 1.0
    ball = 2.0 * centred / np.linalg.norm(centred, axis=1, keepdims=True)
    assert mesh_volume(ball, triangles) == pytest.approx(4 / 3 * np.pi * 8, rel=0.005)


def test_sgck_weights() -> None:
    """CIE 156:2004: p at C 0, 40, 60, 80, 100 -> 1, .6631, .4507, .2887, .1835 (computed)."""
    assert pytest.approx(chroma_weight(np.array([0.0, 40, 60, 80, 100])).tolist(), abs=5e-5) == [
        1,
        0.6631,
        0.4507,
        0.2887,
        0.1835,
    ]


def test_sgck_sigmoid_at_a_table_row() -> None:
    """CIE 156:2004, black L* 10: centre 56.8, width 40. Mid-grey worked by hand with the normal
    distribution: Phi((50-56.8)/40) = .43251, Phi(-1.42) = .07780, Phi(1.08) = .85993, so L* 50
    -> 10 + 90 (.43251 - .07780)/(.85993 - .07780) = 50.82."""
    grey = 0.18418651851244416 * PCS_WHITE_XYZ  # L* 50
    L = XYZ_to_Lab(scale_lightness(grey[None], 10.0))[0, 0]
    assert pytest.approx(50.82, abs=0.01) == L


def test_the_mapping_space_is_the_standard_one() -> None:
    """XYZ of random colours go to CAM16-UCS and back without loss, greys lie on the axis."""
    XYZ = np.random.default_rng(3).random((2000, 3)) * PCS_WHITE_XYZ
    real = to_real(XYZ)
    assert ucs_to_XYZ(XYZ_to_ucs(XYZ)) == pytest.approx(real, abs=1e-10)
    greys = np.linspace(0.001, 1.0, 50)[:, None] * PCS_WHITE_XYZ
    assert np.abs(XYZ_to_ucs(greys)[:, 1:]).max() < 1e-6


@pytest.mark.parametrize("name", NAMES)
def test_what_the_inks_print_is_inside(name: str) -> None:
    """Random colorants land inside the tabulated surface, to a tenth of a unit."""
    s = stock(name)
    colorants = np.random.default_rng(4).random((20_000, 3))
    ucs = XYZ_to_ucs(s.model.XYZ(colorants) * s.to_media_relative)
    margin = s.gamut.margin(*s.gamut.to_axis(ucs))
    assert margin.min() > -0.4
    assert (margin < -0.1).mean() < 0.002


@pytest.mark.parametrize("name", NAMES)
def test_the_surface_is_the_models_and_not_a_hull(name: str) -> None:
    """Points just inside the tabulated surface can be printed: the separation finds colorants
    that print them, mostly within 1 dE' (a hull over concave parts would promise more)."""
    s = stock(name)
    rng = np.random.default_rng(5)
    J = rng.uniform(s.gamut.J_black + 6, 97, 4000)
    h = rng.uniform(0, 2 * np.pi, 4000)
    ucs = s.gamut.from_axis(J, 0.985 * s.gamut.limit(J, h), h)
    printed = XYZ_to_ucs(s.model.XYZ(s.separation(ucs)) * s.to_media_relative)
    distance = np.linalg.norm(printed - ucs, axis=1)
    assert np.percentile(distance, 90) < 1.0
    assert distance.mean() < 0.6


def test_a_hull_would_promise_more() -> None:
    """The convex hull of the same surface points is clearly larger: the gamut is concave."""
    from scipy.spatial import ConvexHull

    s = stock("smooth matte")
    vertices, triangles = cube_faces(33)
    Lab = XYZ_to_Lab(s.model.XYZ(vertices))
    assert ConvexHull(Lab).volume > 1.03 * mesh_volume(Lab, triangles)


@pytest.fixture(scope="module")
def wide() -> Float:
    """Colours all over Adobe RGB (1998), CAM16-UCS."""
    codes = np.random.default_rng(6).random((6000, 3))
    return XYZ_to_ucs(device_to_XYZ(adobe_rgb_profile(), codes, "relative"))


@pytest.mark.parametrize("name", NAMES)
def test_clipping_goes_to_the_surface_at_constant_hue(name: str, wide: Float) -> None:
    """Nothing stays outside, hue about the axis is kept, what was inside does not move."""
    g = stock(name).gamut
    inside, margin = clip(wide, ucs_to_XYZ(wide)[:, 1], g)
    assert g.margin(*g.to_axis(inside)).min() > -1e-6
    assert np.array_equal(inside[margin >= 0], wide[margin >= 0])
    _, C, h = g.to_axis(wide)
    _, C2, h2 = g.to_axis(inside)
    moved = (margin < 0) & (C2 > 1.0)
    turn = np.abs((h2 - h + np.pi) % (2 * np.pi) - np.pi)[moved]
    assert np.degrees(turn).max() < 0.01
    assert (C2 <= C + 1e-9).all()


@pytest.mark.parametrize("name", ["smooth matte", "gloss"])
def test_clipping_lies_near_the_nearest_point(name: str, wide: Float) -> None:
    """HPMINDE of CIE 156:2004, the nearest boundary point in the lightness-chroma plane of the
    hue, found by brute force: on average our point is less than a tenth farther away."""
    g = stock(name).gamut
    inside, margin = clip(wide, ucs_to_XYZ(wide)[:, 1], g)
    J, C, h = (v[margin < -1.0] for v in g.to_axis(wide))
    J2, C2, _ = (v[margin < -1.0] for v in g.to_axis(inside))
    levels = np.linspace(g.J_black, g.J_white, 400)
    nearest = np.empty(len(J))
    for i in range(len(J)):
        limit = g.limit(levels, np.full_like(levels, h[i]))
        nearest[i] = np.hypot(levels - J[i], limit - C[i]).min()
    ours = np.hypot(J2 - J, C2 - C)
    assert (ours >= nearest - 0.3).all()
    assert ours.mean() < 1.1 * nearest.mean()


def test_compression_leaves_the_inner_part_alone_and_lands_inside(wide: Float) -> None:
    """SGCK: below 90 % of the way to the surface nothing moves; all lands inside; order along a
    ray is kept."""
    g = stock("cotton matte").gamut
    source = Gamut.from_device(
        lambda v: device_to_XYZ(srgb_profile(), v, "relative"), np.zeros(3), np.ones(3)
    )
    codes = np.random.default_rng(7).random((4000, 3))
    ucs = XYZ_to_ucs(device_to_XYZ(srgb_profile(), codes, "relative"))
    J, C, h = g.to_axis(ucs)
    ok = (g.J_black + 2 < J) & (J < 98)
    out = compress(ucs, g, source)
    assert g.margin(*g.to_axis(out))[ok].min() > -0.5
    near_axis = ok & (C < 5)
    anchor = np.clip(g.cusp(h), g.J_black + 8, 92)
    inner = near_axis & (g.reach(J, C, h, anchor) > 1.2)
    assert np.abs(out - ucs)[inner].max() < 1e-9


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(NAMES), st.floats(0, 1), st.floats(0, 1), st.floats(0, 1))
def test_any_colour_becomes_printable(name: str, r: float, g: float, b: float) -> None:
    """Whatever the code in a wide encoding, the result is finite and inside."""
    XYZ = device_to_XYZ(adobe_rgb_profile(), np.array([[r, g, b]]), "relative")
    gamut = stock(name).gamut
    inside, _ = clip(XYZ_to_ucs(XYZ), XYZ[:, 1], gamut)
    assert np.isfinite(inside).all()
    assert gamut.margin(*gamut.to_axis(inside))[0] > -1e-6


def test_imaginary_colours_are_pulled_back() -> None:
    """Two ROMM RGB primaries lie outside the spectral locus (ISO 22028-2); they still map to
    finite appearance with their luminance kept."""
    blue = np.array([[0.0313, 0.0001, 0.8249]])
    green = np.array([[0.1352, 0.7119, 0.0]])
    for XYZ in (blue, green):
        real = to_real(XYZ)
        assert real[0, 1] == pytest.approx(XYZ[0, 1])
        assert np.isfinite(XYZ_to_ucs(XYZ)).all()
