"""The print in its room, and the eye that looks at it."""

from __future__ import annotations

from .appearance import Appearance, ViewingConditions, appearance, forward, inverse, room_conditions
from .glazing import NO_GLAZING, Glazing
from .lamp import LampColours, lamp_colours, reference_of
from .light import LIGHT_WAVELENGTHS_NM, Light, halogen, measured_light, planckian_power
from .observer import Look, Observer, Plan, RoomExcess, ScreenLike
from .records import (
    Place,
    find_glazing,
    find_light,
    find_place,
    glazings,
    lights,
    places,
    places_by_name,
    read_glazing,
    read_lights,
    read_places,
)
from .room import FRESNEL_SURFACE, PrintWeights, Room, SurfaceLike, print_weights, radiance

__all__ = [
    "FRESNEL_SURFACE",
    "LIGHT_WAVELENGTHS_NM",
    "NO_GLAZING",
    "Appearance",
    "Glazing",
    "LampColours",
    "Light",
    "Look",
    "Observer",
    "Place",
    "Plan",
    "PrintWeights",
    "Room",
    "RoomExcess",
    "ScreenLike",
    "SurfaceLike",
    "ViewingConditions",
    "appearance",
    "find_glazing",
    "find_light",
    "find_place",
    "forward",
    "glazings",
    "halogen",
    "inverse",
    "lamp_colours",
    "lights",
    "measured_light",
    "places",
    "places_by_name",
    "planckian_power",
    "print_weights",
    "radiance",
    "read_glazing",
    "read_lights",
    "read_places",
    "reference_of",
    "room_conditions",
]
