"""The first stage: a picture file becomes pixels in their own codes and what those mean."""

from proofing.photograph.facts import ChannelFacts, IntakeFacts, unit_codes
from proofing.photograph.icc import IccIntent, IccProfile
from proofing.photograph.photograph import (
    ClipCodes,
    Encoding,
    Photograph,
    photograph_from_array,
    read_photograph,
)

__all__ = [
    "ChannelFacts",
    "ClipCodes",
    "Encoding",
    "IccIntent",
    "IccProfile",
    "IntakeFacts",
    "Photograph",
    "photograph_from_array",
    "read_photograph",
    "unit_codes",
]
