"""The baked colour function: a table over the photograph's codes, and its way over the pixels.

Everything from a photograph's code to a screen code is a pointwise function. :class:`Lattice`
holds it at nodes that stand closer in the shadows (:class:`Shaper`); :func:`apply` interpolates
it over whole pictures.
"""

from proofing.lattice.pixels import Output, apply
from proofing.lattice.shaper import CodeEncoding, Shaper
from proofing.lattice.table import COLOURS, Lattice
from proofing.lattice.touched import touched_nodes

__all__ = [
    "COLOURS",
    "CodeEncoding",
    "Lattice",
    "Output",
    "Shaper",
    "apply",
    "touched_nodes",
]
