"""What is made once for all tests of a process: tables of printed colours, proofs of photographs.

The keys by which an engine remembers are held by ``tests/test_engine.py``, with engines of its own.
"""

from __future__ import annotations

import functools

from app.tools import Tools, prover_of
from proofing.engine import Engine
from proofing.proof import Prover
from proofing.recent import Recent
from proofing.request import ProofRequest

_TABLES = 12  # some 80 MB each, at 65 nodes


@functools.cache
def engine() -> Engine:
    """One engine that remembers more than the program's."""
    kept = Engine()
    for cache in ("_nodes", "_printed", "_radiance", "_photographs", "_baked"):
        assert isinstance(getattr(kept, cache), Recent)
        setattr(kept, cache, Recent(_TABLES))
    return kept


_provers: Recent[Prover] = Recent(8)


def kept_prover_of(tools: Tools, request: ProofRequest) -> Prover:
    """As :func:`app.tools.prover_of`, with what was scanned and counted for such a request."""
    photograph = request.photograph
    assert photograph.path is not None
    known = (
        photograph.path, photograph.path.stat().st_mtime_ns, photograph.origin, photograph.width,
        request.key, request.print_key, request.size, request.distance_m, request.gamut_tolerance,
        tuple(stock.key for stock in tools.catalogue.stocks),
    )  # fmt: skip
    made = prover_of(tools, request)
    before = _provers.make(known, lambda: made)
    made._job._tiles = before._job._tiles
    made._adviser._elsewhere._counts = before._adviser._elsewhere._counts
    return made
