"""For every setting a value that is not the one at the start."""

from __future__ import annotations

from typing import Any

from proofing.findings.kinds import Kind

OTHER_VALUES: dict[str, Any] = {
    "photograph": "folder/Harbour at six.tif",
    "stock": "baryta",
    "size_mm": (450.0, 300.0),
    "crop": "4:3",
    "crop_place": 0.25,
    "edge": "mirrored",
    "edge_mm": 30.0,
    "bleed_mm": 3.0,
    "intent": "absolute",
    "black_point_compensation": False,
    "light": "A",
    "illuminance": "hallway",
    "glazing": "float glass",
    "reflection_ratio": 0.1,
    "wall_reflectance": 0.85,
    "surround": "dim",
    "distance_m": 1.2,
    "look": "matched",
    "degree_of_adaptation": 0.8,
    "screen_profile": "desk.icc",
    "screen_luminance_cd_m2": 90.5,
    "screen_black_cd_m2": 0.3,
    "shadow_lift": 0.75,
    "curve": "0:0 64:80 255:255",
    "colour_ease": 35.0,
    "gamut_tolerance": 5.5,
    "marks": frozenset({Kind.OUT_OF_GAMUT, Kind.BEYOND_SCREEN}),
}
