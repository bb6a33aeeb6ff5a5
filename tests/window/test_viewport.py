"""Where the pictures stand: geometry, without a toolkit."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app import pair
from app.views import frame, viewport
from app.views.viewport import Viewport

views = st.builds(
    lambda width, height, pane_width, pane_height: Viewport(
        width, height, pane_width, pane_height, least_wall=30
    ).fit(),
    st.integers(1, 12000),
    st.integers(1, 12000),
    st.integers(240, 2000),
    st.integers(200, 2200),
)


def test_window_and_written_pair_agree():
    """The margin of the print, and what is marked on the photograph, are one thing each."""
    assert pair.MARGIN_SHARE == viewport.MARGIN_SHARE
    assert pair.IN_THE_FILE == frame.IN_THE_FILE


@given(views)
def test_a_fitted_print_is_in_the_pane_with_its_margin(view):
    """And no larger print would be."""
    assert (view.width + 2 * view.margin) * view.scale <= view.pane_width + 1e-6
    assert (view.height + 2 * view.margin) * view.scale <= view.pane_height + 1e-6
    assert view.to_pane(view.width / 2, view.height / 2) == pytest.approx(
        (view.pane_width / 2, view.pane_height / 2), abs=0.51
    )


@given(views, st.floats(0.1, 0.9), st.floats(0.1, 0.9), st.floats(1.0, 6.0))
def test_zooming_keeps_the_point_under_the_pointer(view, x, y, factor):
    """To the device pixel on which the image's corner is put."""
    at = view.to_pane(view.width * x, view.height * y)
    after = view.zoomed(factor, at)
    kept = after.to_pane(*view.to_image(*at))
    assert kept == pytest.approx(at, abs=1.1)


@given(views, st.floats(-5000, 5000), st.floats(-5000, 5000))
def test_the_picture_cannot_be_lost(view, dx, dy):
    """However far it is dragged, the middle of the pane stays on it."""
    after = view.zoomed(3.0).panned(dx, dy)
    assert 0 <= after.centre_x <= after.width
    assert 0 <= after.centre_y <= after.height


@given(views, st.floats(-2000, 2000), st.floats(0.2, 8.0))
def test_what_is_computed_covers_what_is_in_sight(view, dx, factor):
    """The crop and the marks hold every image point that lies in the pane."""
    after = view.zoomed(factor).panned(dx, dx)
    spec = after.spec()
    assert spec is not None
    assert spec.scale * 2**spec.level <= 1.0 + 1e-9 or spec.level == 0
    per_pixel = spec.scale * 2**spec.level
    left, top = after.origin
    x0 = max(0, -left / after.scale)
    x1 = min(after.width, (after.pane_width - left) / after.scale)
    y0 = max(0, -top / after.scale)
    y1 = min(after.height, (after.pane_height - top) / after.scale)
    slack = 1e-6
    assert spec.crop[0] * per_pixel <= x0 * after.scale + slack
    assert spec.crop[1] * per_pixel <= y0 * after.scale + slack
    assert spec.crop[2] * per_pixel >= x1 * after.scale - slack
    assert spec.crop[3] * per_pixel >= y1 * after.scale - slack
    assert spec.marks[0] <= x0 * after.scale + slack
    assert spec.marks[3] >= math.floor(y1 * after.scale)


def test_zooming_stops_at_pixel_for_pixel():
    """Passing 1:1 in either direction."""
    view = Viewport(6000, 4000, 640, 480).fit().at_scale(0.9)
    assert view.zoomed(1.25).scale == 1.0
    assert view.zoomed(1.25).zoomed(1.25).scale == 1.25
    assert view.at_scale(1.1).zoomed(0.8).scale == 1.0


def test_zooming_out_ends_with_the_whole_print():
    """However often it is asked for."""
    view = Viewport(6000, 4000, 640, 480).fit().at_scale(0.2)
    for _ in range(20):
        view = view.zoomed(0.8)
    assert view == Viewport(6000, 4000, 640, 480).fit()


def test_a_fitted_print_is_not_dragged_out_of_its_place() -> None:
    """All of it is in sight: an arrow key or a slip of the mouse leaves it in the middle."""
    view = Viewport(600, 400, 500, 500).fit()
    assert view.panned(40.0, -60.0) == view
    assert view.zoomed(2.0).panned(40.0, -60.0) != view.zoomed(2.0)
