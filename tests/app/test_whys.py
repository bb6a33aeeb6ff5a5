"""Explanations of numbers are whole, and say what the code does."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest

from app.panels.probe_line import _COLUMNS
from app.state import ROWS
from app.state.facts import DEFAULT_PPI, DIAGONALS_AWAY, NEAREST_M
from app.state.lengths import MM_PER_INCH
from app.whys import SENTENCES, Why, why, whys
from proofing.findings.detail import CLEAR, LOST_BELOW
from proofing.findings.kinds import Kind
from proofing.findings.losses import (
    BARE_FROM_ARCMIN,
    FLAT_FROM,
    FLAT_KEEPS,
    PLATEAU_ARCMIN,
    STEEPER,
)
from proofing.findings.regions import LEAST_SHARE
from proofing.findings.scan import BARE_L
from proofing.findings.wedge import TIMES_THRESHOLD
from proofing.printing.gamut import cube_faces, mesh_volume
from proofing.printing.rendering import compensate_black
from proofing.proof import SCREEN_OFF_STOPS
from proofing.proof.tones import STEPS
from proofing.proof.verdict import LITTLE_LOST, MUCH_LOST, NOTHING_LOST
from proofing.viewing import FRESNEL_SURFACE, Room, find_glazing, find_light
from proofing.viewing.appearance import room_conditions
from proofing.viewing.room import SURROUND_RATIO_AVERAGE, print_weights


@pytest.mark.parametrize("found", whys().values(), ids=lambda found: found.id)
def test_three_sentences_a_formula_and_a_source(found: Why) -> None:
    """Each sentence is one, and short enough to be read at once."""
    assert len(found.sentences) == SENTENCES
    for sentence in found.sentences:
        assert re.match(r"[A-Z0-9]", sentence) and sentence.endswith(".")
        assert len(re.findall(r"[.!?](?:\s|$)", sentence)) == 1
        assert len(sentence) < 130
    assert found.formula and found.source.endswith(".") and found.title
    assert set(found.more) <= set(whys()) - {found.id}


def test_every_mark_figure_and_number_is_explained() -> None:
    wanted = {kind.value for kind in Kind} | {column.field for column in _COLUMNS}
    wanted |= {row.id for row in ROWS if row.kind in ("number", "illuminance", "size", "name")}
    wanted |= {"verdict", "screen_against_print", "intent", "black_point_compensation", "look"}
    wanted |= {"remarks", "answer", "dmax", "gamut_volume", "cct", "fidelity", "brightener"}
    assert wanted <= set(whys())
    assert why("nothing") is None


@pytest.mark.parametrize(
    ("id", "holds"),
    [
        ("blocked_shadows", CLEAR == 2.0 and LOST_BELOW == 1.0),
        ("blown_highlights", BARE_L == 0.5 and BARE_FROM_ARCMIN == 60.0),
        ("flattened_colour", FLAT_FROM == 4.0 and math.isclose(FLAT_KEEPS, 1 / 3)),
        ("banding_risk", STEEPER == 2.0 and PLATEAU_ARCMIN == 3.0),
        ("verdict", (NOTHING_LOST, LITTLE_LOST, MUCH_LOST) == (LEAST_SHARE, 0.03, 0.10)),
        ("clipped_in_file", LEAST_SHARE == 1e-3),
        ("screen_against_print", math.isclose(SCREEN_OFF_STOPS, 1 / 3)),
        ("distance_m", DIAGONALS_AWAY == 1.5 and NEAREST_M == 0.25),
        ("size_mm", DEFAULT_PPI == 300.0 and MM_PER_INCH == 25.4),
        ("reflection_ratio", FRESNEL_SURFACE == 0.04),
        ("surround", SURROUND_RATIO_AVERAGE == 0.2),
        ("tone_steps", TIMES_THRESHOLD == 2.0 and STEPS == 21),
        ("tone_ends", TIMES_THRESHOLD == 2.0),
    ],
)
def test_the_numbers_that_are_told_are_those_of_the_code(id: str, holds: bool) -> None:
    """One that changes in the code must change in the words."""
    assert holds, f"look at [{id}] in resources/whys.toml"


# ---- the formulas that are told, worked out from their words


def test_black_point_compensation_is_the_formula_that_is_told() -> None:
    """ISO 18619:2015, 5.4; D50 of the ICC: 0.9642, 1, 0.8249."""
    XYZ, file_Y, stock_Y = np.array([[0.2, 0.18, 0.1]]), 0.003, 0.02
    s = (1 - stock_Y) / (1 - file_Y)
    told = s * XYZ + (1 - s) * np.array([0.9642, 1.0, 0.8249])
    np.testing.assert_allclose(compensate_black(XYZ, file_Y, stock_Y), told, atol=1e-6)
    assert "s · XYZ + (1 − s) · XYZ of D50" in whys()["black_point_compensation"].formula


def test_luminance_is_the_formula_that_is_told() -> None:
    """A flat spectrum under even glass and light: each term alone, then their sum."""
    light, glass = find_light("D50"), find_glazing("float glass")
    room = Room(light, 500.0, glass, reflection_ratio=0.1)
    weights = print_weights(room, _Mirror())
    Y_white = 500.0 / math.pi
    bare = print_weights(Room(light, 500.0)).reflect[:, 1]  # E / pi, weighted by the eye
    T = glass.transmittance_visible
    np.testing.assert_allclose(weights.reflect[:, 1], T**2 * bare, rtol=1e-9)
    through = float((T**2 * bare).sum())
    told = 0.1 * (glass.reflectance * Y_white + 0.04 * 0.5 * through)
    assert told == pytest.approx(float(weights.veil_XYZ[1]), rel=1e-9)
    for id in ("luminance", "glazing", "reflection_ratio"):
        assert "T²" in whys()[id].formula


class _Mirror:
    specular = 0.5


def test_adaptation_and_volume_are_the_formulas_that_are_told() -> None:
    """CIE 248:2022 with F = 1; the volume of a cube is 1."""
    room = Room(find_light("D50"), 500.0, wall_reflectance=0.2)
    L_A = 0.2 * 500.0 / math.pi
    told = 1.0 * (1 - math.exp((-L_A - 42) / 92) / 3.6)
    assert told == pytest.approx(room_conditions(room, None).D, rel=1e-9)
    points, triangles = cube_faces(3)
    p, q, r = (points[triangles[:, i]] for i in range(3))
    told = abs(sum(float(a @ np.cross(b, c)) / 6 for a, b, c in zip(p, q, r, strict=True)))
    assert told == pytest.approx(1.0)
    assert mesh_volume(points, triangles) == pytest.approx(told)
