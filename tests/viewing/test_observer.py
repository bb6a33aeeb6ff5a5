"""Observer: the appearance model, and the two ways of carrying a print to the screen."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from proofing._colour import colour_science
from proofing.colorimetry import Lab_to_XYZ
from proofing.errors import SettingError
from proofing.viewing import (
    Observer,
    Room,
    ViewingConditions,
    appearance,
    find_light,
    forward,
    halogen,
    inverse,
    room_conditions,
)

colour_science()  # imported in silence, before anything else asks for it

_D65_XYZ = np.array([0.95047, 1.0, 1.08883])
_SRGB_TO_XYZ = np.array(  # IEC 61966-2-1
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
)


@dataclass(frozen=True)
class PlainScreen:
    """A screen of linear primaries, for the observer's sake."""

    luminance_cd_m2: float = 120.0
    to_XYZ: np.ndarray = field(default_factory=lambda: _SRGB_TO_XYZ)

    @property
    def white_XYZ(self) -> np.ndarray:
        return self.to_XYZ.sum(axis=1)

    def fits(self, XYZ_cd_m2: np.ndarray) -> np.ndarray:
        linear = np.asarray(XYZ_cd_m2) / self.luminance_cd_m2 @ np.linalg.inv(self.to_XYZ).T
        return np.all((linear >= -1e-6) & (linear <= 1.0 + 1e-6), axis=-1)


SCREEN = PlainScreen()
LIGHTS = ("D50", "D65", "LED-B1", "LED-B2", "FL11", "A")


def screen_like_room(lux: float) -> tuple[Room, PlainScreen]:
    """A room and a screen with one white, one luminance, one background."""
    room = Room(find_light("D65"), lux)
    # scale the primaries so that the screen's white is the light's to the last digit
    gains = np.linalg.solve(_SRGB_TO_XYZ, room.light.XYZ_w)
    return room, PlainScreen(room.L_w, _SRGB_TO_XYZ * gains)


def neutrals(room: Room, n: int = 200) -> np.ndarray:
    return np.linspace(0.0, 0.89, n)[:, None] * room.white_XYZ_cd_m2


def print_colours(room: Room, n: int = 300) -> np.ndarray:
    """Colours of a print as a wide display holds them, under the light of the room."""
    rng = np.random.default_rng(5)
    relative = (0.01 + 0.85 * rng.random((n, 3))) @ _SRGB_TO_XYZ.T
    return relative / _SRGB_TO_XYZ.sum(axis=1) * room.white_XYZ_cd_m2


def test_published_example_of_the_model() -> None:
    """Li et al. 2017 / CIE 248:2022 worked example, also in colour-science's own tests."""
    conditions = ViewingConditions((0.9505, 1.0, 1.0888), 1591.55, 20.0)
    assert pytest.approx(conditions.L_A, abs=0.01) == 318.31
    XYZ = np.array([[19.01, 20.0, 21.78]]) / 100.0 * 1591.55
    seen = forward(XYZ, conditions)
    assert pytest.approx(seen.J[0], abs=1e-3) == 41.7312
    assert pytest.approx(seen.C[0], abs=1e-4) == 0.10336
    assert pytest.approx(seen.h[0], abs=1e-2) == 217.068
    assert pytest.approx(seen.Q[0], abs=1e-2) == 195.37
    assert pytest.approx(inverse(seen.J, seen.M, seen.h, conditions), rel=1e-9) == XYZ


@pytest.mark.parametrize(
    ("lux", "Q_white", "M_red", "J_dark"),
    [
        # CIECAM16, D50, average surround, 20 % background: computed independently
        (2000.0, 250.0, 74.7, 11.98),
        (500.0, 188.0, 66.4, None),
        (200.0, 156.0, 61.4, None),
        (50.0, 118.0, 54.5, 11.81),
    ],
)
def test_dim_light_dims_brightness_and_colour_but_not_lightness(
    lux: float, Q_white: float, M_red: float, J_dark: float | None
) -> None:
    """White's Q and the M of Lab (50, 60, 40) fall with the light; J of L* 16 hardly moves."""
    room = Room(find_light("D50"), lux)
    Lab = [[100, 0, 0], [50, 60, 40], [16, 0, 0]]
    seen = appearance(Lab_to_XYZ(Lab) * room.L_w, room)
    assert Q_white == pytest.approx(seen.Q[0], abs=0.6)
    assert M_red == pytest.approx(seen.M[1], abs=0.06)
    if J_dark is not None:
        assert J_dark == pytest.approx(seen.J[2], abs=0.01)


@pytest.mark.parametrize(
    ("temperature_K", "lux", "C"),
    # CIECAM16 of a Planckian white, average surround: computed independently
    [(2700, 2000.0, 2.2), (2700, 50.0, 7.7), (3000, 50.0, 6.6)],
)
def test_warm_light_stays_a_little_warm(temperature_K: float, lux: float, C: float) -> None:
    """Incomplete adaptation leaves the white of warm light a chroma, more so when dim."""
    room = Room(halogen(temperature_K), lux)
    seen = appearance(room.white_XYZ_cd_m2[None, :], room)
    assert pytest.approx(seen.C[0], abs=0.06) == C
    assert 40.0 < seen.h[0] < 90.0


def test_residual_chroma_of_D50() -> None:
    """2.4 at 50 lx (computed independently)."""
    room = Room(find_light("D50"), 50.0)
    assert pytest.approx(appearance(room.white_XYZ_cd_m2[None, :], room).C[0], abs=0.06) == 2.4


@pytest.mark.parametrize(("surround", "F"), [("average", 1.0), ("dim", 0.9), ("dark", 0.8)])
def test_degree_of_adaptation_by_formula(surround: str, F: float) -> None:
    """CIE 248:2022: D = F (1 - exp(-(L_A + 42)/92)/3.6), F 1 / .9 / .8."""
    conditions = ViewingConditions((0.9642, 1.0, 0.8249), 500.0, 20.0, surround)
    expected = F * (1.0 - math.exp(-(100.0 + 42.0) / 92.0) / 3.6)
    assert expected == pytest.approx(conditions.D)
    by_hand = ViewingConditions((0.9642, 1.0, 0.8249), 500.0, 20.0, surround, expected)
    XYZ = np.array([[100.0, 120.0, 20.0]])
    assert np.array(forward(XYZ, conditions)) == pytest.approx(np.array(forward(XYZ, by_hand)))


def test_full_adaptation_by_hand_makes_white_achromatic() -> None:
    """D = 1: the perfect diffuser under any light has no chroma; D = 0 leaves most."""
    room = Room(find_light("LED-B1"), 50.0)
    white = room.white_XYZ_cd_m2[None, :]
    assert pytest.approx(appearance(white, room, 1.0).C[0], abs=0.01) == 0.0
    assert appearance(white, room, 0.0).C[0] > appearance(white, room).C[0] > 3.0


@pytest.mark.parametrize("look", ["settled", "matched"])
@pytest.mark.parametrize("lux", [50.0, 377.0, 2000.0])
def test_same_white_changes_nothing(look: str, lux: float) -> None:
    """Where room and screen are alike and bare paper is the white, colours stay as they are."""
    room, screen = screen_like_room(lux)
    plan = Observer(look).plan(room, screen, room.white_XYZ_cd_m2)
    rng = np.random.default_rng(3)
    XYZ = rng.random((500, 3)) @ _SRGB_TO_XYZ.T * room.L_w
    assert pytest.approx(plan.to_screen(XYZ), rel=1e-5, abs=1e-5 * room.L_w) == XYZ
    assert not plan.room_excess.exceeds
    assert pytest.approx(plan.scale, abs=1e-6) == 1.0


@pytest.mark.parametrize("look", ["settled", "matched"])
@pytest.mark.parametrize("name", LIGHTS)
@pytest.mark.parametrize("lux", [20.0, 200.0, 2000.0, 20000.0])
def test_bare_paper_lands_on_the_screen(look: str, name: str, lux: float) -> None:
    """Never beyond the screen; exactly at its limit if matched or if the room is too bright."""
    room = Room(find_light(name), lux)
    paper = room.white_XYZ_cd_m2 * 0.89
    plan = Observer(look).plan(room, SCREEN, paper)
    shown = plan.to_screen(paper[None, :])
    assert SCREEN.fits(shown)[0]
    if look == "matched" or plan.room_excess.exceeds:
        assert not SCREEN.fits(shown * 1.0005)[0]


@pytest.mark.parametrize("name", LIGHTS)
def test_settled_keeps_brightness_colourfulness_and_hue(name: str) -> None:
    """In a dim room, Q, M, h on the screen are those of the room."""
    room = Room(find_light(name), 100.0)
    XYZ = print_colours(room)
    plan = Observer("settled").plan(room, SCREEN, room.white_XYZ_cd_m2 * 0.9)
    assert plan.scale == 1.0
    there = appearance(XYZ, room)
    here = forward(plan.to_screen(XYZ), plan.screen)
    assert pytest.approx(here.Q, rel=1e-4) == there.Q
    assert pytest.approx(here.M, rel=1e-3, abs=1e-3) == there.M
    turn = (there.h - here.h + 180.0) % 360.0 - 180.0
    assert np.abs(turn[there.M > 1.0]).max() < 0.05


def test_settled_in_a_bright_room_scales_all_by_one_factor() -> None:
    """Q and M are scaled alike, so saturation M/Q and hue stay."""
    room = Room(find_light("D50"), 2000.0)
    XYZ = print_colours(room)
    plan = Observer("settled").plan(room, SCREEN, room.white_XYZ_cd_m2 * 0.89)
    there, here = appearance(XYZ, room), forward(plan.to_screen(XYZ), plan.screen)
    assert plan.scale < 0.8
    assert there.Q * plan.scale == pytest.approx(here.Q, rel=1e-4)
    assert there.M * plan.scale == pytest.approx(here.M, rel=1e-3, abs=1e-3)


def test_settled_shows_a_dim_hallway_dim() -> None:
    """The same print falls from screen white towards black as the light goes down."""
    shown = []
    for lux in (500.0, 200.0, 50.0, 20.0):
        room = Room(find_light("D50"), lux)
        paper = room.white_XYZ_cd_m2 * 0.89
        shown.append(float(Observer().plan(room, SCREEN, paper).to_screen(paper[None, :])[0, 1]))
    assert sorted(shown, reverse=True) == shown
    assert shown[0] > 4.0 * shown[2]


def test_start_setting_just_fills_the_screen() -> None:
    """D50 at 500 lx (ISO 3664:2009 P2) and a 120 cd/m2 screen: paper 141.6 against 120 cd/m2."""
    room = Room(find_light("D50"), 500.0)
    excess = Observer().plan(room, SCREEN, room.white_XYZ_cd_m2 * 0.89).room_excess
    assert pytest.approx(excess.paper_cd_m2, abs=0.1) == 141.6
    assert excess.exceeds
    assert pytest.approx(excess.luminance_ratio, rel=0.05) == 141.6 / 120.0
    assert 0.0 < excess.stops < 0.35


def test_room_excess_is_the_screen_that_would_be_needed() -> None:
    """At 2000 lx a screen near the paper's own 566.6 cd/m2 would be needed, and it suffices."""
    room = Room(find_light("D65"), 2000.0)
    paper = room.white_XYZ_cd_m2 * 0.89
    excess = Observer().plan(room, SCREEN, paper).room_excess
    assert pytest.approx(excess.screen_needed_cd_m2, rel=0.06) == 566.6
    assert math.log2(excess.luminance_ratio) == pytest.approx(excess.stops)
    enough = PlainScreen(excess.screen_needed_cd_m2 * 1.001)
    assert not Observer().plan(room, enough, paper).room_excess.exceeds
    short = PlainScreen(excess.screen_needed_cd_m2 * 0.99)
    assert Observer().plan(room, short, paper).room_excess.exceeds


def test_room_excess_grows_steadily_from_nothing() -> None:
    """No jump where the room starts to be too bright."""
    ratios = []
    for lux in np.geomspace(200.0, 4000.0, 40):
        room = Room(find_light("LED-B2"), float(lux))
        plan = Observer().plan(room, SCREEN, room.white_XYZ_cd_m2 * 0.89)
        ratios.append(plan.room_excess.luminance_ratio)
    steps = np.diff(np.log2(ratios))
    assert ratios[0] == 1.0
    assert steps.min() >= -1e-3 and steps.max() < 0.15


@pytest.mark.parametrize("name", LIGHTS)
def test_matched_keeps_the_tint_of_the_paper(name: str) -> None:
    """Under any light a neutral print is neutral on the screen; a yellowish paper stays so."""
    room = Room(find_light(name), 150.0)
    white = room.white_XYZ_cd_m2
    plan = Observer("matched").plan(room, SCREEN, white * 0.9)
    shown = plan.to_screen(white[None, :] * 0.5)
    assert SCREEN.white_XYZ == pytest.approx(shown[0] / shown[0, 1], abs=2e-3)
    cream = white * [0.90, 0.90, 0.80]
    tinted = Observer("matched").plan(room, SCREEN, cream).to_screen(cream[None, :])[0]
    assert tinted[2] / tinted[1] < 0.95 * SCREEN.white_XYZ[2]


def test_matched_hides_dimness() -> None:
    """J and C hardly know the illuminance: 50 and 500 lx look alike within a few per cent."""
    shown = []
    for lux in (500.0, 50.0):
        room = Room(find_light("D50"), lux)
        plan = Observer("matched").plan(room, SCREEN, room.white_XYZ_cd_m2 * 0.89)
        shown.append(plan.to_screen(neutrals(room)[40:]))
    assert shown[0] == pytest.approx(shown[1], rel=0.03)


@pytest.mark.parametrize("look", ["settled", "matched"])
@settings(max_examples=40, deadline=None)
@given(
    name=st.sampled_from(LIGHTS),
    lux=st.floats(5.0, 20000.0),
    surround_ratio=st.sampled_from([1.0, 0.1, 0.0]),
    wall=st.floats(0.05, 0.9),
)
def test_tone_order_never_reverses(
    look: str, name: str, lux: float, surround_ratio: float, wall: float
) -> None:
    """A lighter neutral in the room is a lighter one on the screen, always."""
    room = Room(find_light(name), lux, wall_reflectance=wall, surround_ratio=surround_ratio)
    plan = Observer(look).plan(room, SCREEN, room.white_XYZ_cd_m2 * 0.9)
    Y = plan.to_screen(neutrals(room))[:, 1]
    assert (np.diff(Y) > 0.0).all()


@settings(max_examples=60, deadline=None)
@given(
    XYZ=arrays(
        np.float64,
        (7, 3),
        elements=st.one_of(
            st.floats(-5.0, 2000.0), st.sampled_from([0.0, -1e-12, 1e-300, 1e-9, 1e5])
        ),
    ),
    look=st.sampled_from(["settled", "matched"]),
    lux=st.floats(1.0, 100000.0),
)
def test_whatever_comes_in_numbers_come_out(XYZ: np.ndarray, look: str, lux: float) -> None:
    """Blacks, negatives and impossible colours give finite results, without a warning."""
    room = Room(find_light("LED-B2"), lux)
    plan = Observer(look).plan(room, SCREEN, room.white_XYZ_cd_m2 * 0.9)
    assert np.isfinite(plan.to_screen(XYZ)).all()


@settings(max_examples=40, deadline=None)
@given(
    lux=st.floats(5.0, 5000.0),
    factor=st.floats(0.01, 0.95),
    look=st.sampled_from(["settled", "matched"]),
)
def test_neutrals_stay_neutral_at_full_adaptation(lux: float, factor: float, look: str) -> None:
    """With D = 1 and a screen of D65 white, greys of the room are greys of the screen."""
    room = Room(find_light("D65"), lux)
    plan = Observer(look, degree_of_adaptation=1.0).plan(room, SCREEN, room.white_XYZ_cd_m2 * 0.9)
    shown = plan.to_screen(room.white_XYZ_cd_m2[None, :] * factor)[0]
    assert SCREEN.white_XYZ == pytest.approx(shown / shown[1], abs=0.015)


def test_deepest_blacks_end_black() -> None:
    """Zero goes to next to nothing, not to a floor that could be seen."""
    room = Room(find_light("D50"), 500.0)
    plan = Observer().plan(room, SCREEN, room.white_XYZ_cd_m2 * 0.89)
    assert pytest.approx(plan.to_screen(np.zeros((1, 3)))[0, 1], abs=1e-3) == 0.0


def test_paper_no_screen_can_tint_still_gets_a_plan() -> None:
    """Light of a chromaticity outside the screen's primaries falls back to luminance alone."""
    room = Room(halogen(1000.0), 2000.0)
    plan = Observer("settled", 0.0).plan(room, SCREEN, room.white_XYZ_cd_m2 * 0.89)
    shown = plan.to_screen(room.white_XYZ_cd_m2[None, :] * 0.89)
    assert np.isfinite(shown).all()
    assert 0.0 < plan.scale <= 1.0
    assert shown[0, 1] <= 1.2 * SCREEN.luminance_cd_m2


@pytest.mark.parametrize("D", [-0.1, 1.1, float("nan")])
def test_senseless_adaptation_is_refused(D: float) -> None:
    """D lies between 0 and 1."""
    with pytest.raises(SettingError, match="0 to 1"):
        Observer(degree_of_adaptation=D)


def test_unknown_look_is_refused() -> None:
    """The two looks are named in the error."""
    with pytest.raises(SettingError, match="'settled' or 'matched'"):
        Observer("dreamy")


def test_black_paper_is_refused() -> None:
    """A stock without luminance is a mistake upstream."""
    room = Room(find_light("D50"), 500.0)
    with pytest.raises(SettingError, match="luminance above 0"):
        Observer().plan(room, SCREEN, [0.0, 0.0, 0.0])


def test_conditions_of_a_room() -> None:
    """White is the perfect diffuser under the light, not the paper."""
    room = Room(find_light("LED-B2"), 300.0, surround_ratio=0.1)
    conditions = room_conditions(room)
    assert room.light.XYZ_w == pytest.approx(conditions.white_XYZ)
    assert (conditions.surround, conditions.Y_b) == ("dim", 20.0)
    assert pytest.approx(conditions.L_A) == room.L_A
