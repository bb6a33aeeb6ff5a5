"""The baked colour function: a table over the photograph's codes, and its way over the pixels.

Everything from a photograph's code to a screen code is a pointwise function. :func:`bake`
evaluates it at the nodes of a lattice whose nodes stand closer in the shadows (:class:`Shaper`);
:func:`apply` interpolates it over whole pictures, writing screen colours, one bit per mark and
counts in one pass. :func:`evaluate` does the same without the lattice, exactly and slowly.
:func:`resample_bits` brings marks to the size of the view.
"""

from proofing.lattice.marks import Clip, Condition, Mark
from proofing.lattice.pixels import Applied, Histogram, Output, apply, evaluate, warm_up
from proofing.lattice.shaper import CodeEncoding, Shaper
from proofing.lattice.table import COLOURS, ColourFunction, Lattice, bake
from proofing.lattice.view_bits import resample_bits

__all__ = [
    "COLOURS",
    "Applied",
    "Clip",
    "CodeEncoding",
    "ColourFunction",
    "Condition",
    "Histogram",
    "Lattice",
    "Mark",
    "Output",
    "Shaper",
    "apply",
    "bake",
    "evaluate",
    "resample_bits",
    "warm_up",
]
