"""Soft proofing: a photograph on a stock, hung in a room, seen by an eye, shown on a screen.

Five stages, one direction, each a folder: :mod:`~proofing.photograph`, :mod:`~proofing.printing`,
:mod:`~proofing.viewing`, :mod:`~proofing.screen`, :mod:`~proofing.lattice`; beside them
:mod:`~proofing.findings`. :mod:`proofing.catalogue` lists what can be chosen, and
:mod:`proofing.proof` runs the stages.

Names are imported from the stage they belong to; importing this package imports none of them.
"""

from __future__ import annotations

__version__ = "0.1.0"
