"""How long findings take, and how much memory: ``python tests/benchmarks/findings.py [MP ...]``.

A provisional look, the scan of every pixel and the advice, for a picture of 24 megapixels (16 and 8
bits) and of 100. The ratio is to copying the picture's bytes once; only ratios within one run mean
anything. Peak memory is the process's own, beyond what it took before the scan.
"""

from __future__ import annotations

import resource
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from proofing.catalogue import Catalogue
from proofing.engine import Engine
from proofing.photograph import photograph_from_array, read_photograph
from proofing.proof import Prover, glance
from proofing.request import ProofRequest
from proofing.screen import Screen
from proofing.viewing import Room, glazings

DEMO = Path(__file__).parents[2] / "demo"


def megabytes() -> float:
    """Peak of this process."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def timed(call: Callable[[], object]) -> float:
    """Seconds."""
    start = time.perf_counter()
    call()
    return time.perf_counter() - start


def main(sizes: list[float]) -> None:
    """Print the table."""
    catalogue = Catalogue.load(Path("/nonexistent"))
    tile = read_photograph(DEMO / "harbour_at_six.tif").codes
    engine = Engine()

    def request(codes: np.ndarray, lux: float) -> ProofRequest:
        room = Room(catalogue.light("D50"), lux)
        photograph = photograph_from_array(codes)
        return ProofRequest(photograph, catalogue.stock("canvas"), room, Screen())

    print(f"{'':28}{'seconds':>9}{'ratio':>8}{'peak, MB beyond':>17}")
    for megapixels in sizes:
        width = round((megapixels * 1.5e6) ** 0.5)
        height = round(width / 1.5)
        times = max(-(-height // tile.shape[0]), -(-width // tile.shape[1]))
        wide = np.ascontiguousarray(tile.repeat(times, 0).repeat(times, 1)[:height, :width])
        for codes in (wide, (wide >> 8).astype(np.uint8)):
            small = request(codes[:200, :300], 50.0)
            Prover(engine, small).scan()  # whatever is made or compiled once
            copy = timed(codes.copy)
            wanted = request(codes, 20.0)
            prover = Prover(engine, wanted, catalogue.stocks, glazings())
            name = f"{megapixels:g} MP, {8 * codes.dtype.itemsize} bits"
            before = megabytes()
            for what, call in (
                ("a first glance", lambda w=wanted: glance(engine, w)),
                ("scan", prover.scan),
                ("advice", prover.advise),
            ):
                seconds = timed(call)
                print(f"{name + ': ' + what:28}{seconds:9.2f}{seconds / copy:8.0f}"
                      f"{megabytes() - before:17.0f}", flush=True)  # fmt: skip


if __name__ == "__main__":
    main([float(size) for size in sys.argv[1:]] or [24.0, 100.0])
