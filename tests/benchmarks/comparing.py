"""How long comparing stocks takes: ``python tests/benchmarks/comparing.py [MP ...]``.

All listed stocks for one picture, as it is done, and with every pixel scanned. The ratio is to
copying the picture's bytes once; only ratios within one run mean anything.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from proofing.catalogue import Catalogue
from proofing.engine import Engine
from proofing.ordering import comparing
from proofing.ordering.sample import sample_of
from proofing.photograph import photograph_from_array, read_photograph
from proofing.request import ProofRequest
from proofing.screen import Screen
from proofing.viewing import Room

DEMO = Path(__file__).parents[2] / "demo"


def main(sizes: list[float]) -> None:
    """Print the table."""
    catalogue = Catalogue.load(Path("/nonexistent"))
    tile = read_photograph(DEMO / "harbour_at_six.tif").codes
    room = Room(catalogue.light("D50"), 200.0)

    def compare(codes: np.ndarray, distance_m: float | None) -> comparing.Comparison:
        wanted = ProofRequest(
            photograph_from_array(codes), catalogue.stock("canvas"), room, Screen(),
            distance_m=distance_m,
        )  # fmt: skip
        return comparing.compare(Engine(), wanted, catalogue.stocks)

    compare(tile[:300, :400], None)  # whatever is made or compiled once
    print(f"{'':44}{'seconds':>9}{'ratio':>8}{'sample':>8}")
    for megapixels in sizes:
        width = round((megapixels * 1.5e6) ** 0.5)
        height = round(width / 1.5)
        times = max(-(-height // tile.shape[0]), -(-width // tile.shape[1]))
        codes = np.ascontiguousarray(tile.repeat(times, 0).repeat(times, 1)[:height, :width])
        start = time.perf_counter()
        codes.copy()
        copy = time.perf_counter() - start
        for near, distance_m in (("", None), (", from 0.3 m", 0.3)):
            for what, most in (("sample", None), ("every pixel", 10**9)):
                comparing.sample_of = (  # type: ignore[attr-defined]
                    sample_of if most is None else lambda request, m=most: sample_of(request, m)
                )
                start = time.perf_counter()
                found = compare(codes, distance_m)
                seconds = time.perf_counter() - start
                name = f"{megapixels:g} MP{near}, {len(found.ranked)} stocks: {what}"
                print(f"{name:44}{seconds:9.2f}{seconds / copy:8.0f}"
                      f"{100 * found.sample_share:7.0f}%", flush=True)  # fmt: skip
                comparing.sample_of = sample_of  # type: ignore[attr-defined]


if __name__ == "__main__":
    main([float(size) for size in sys.argv[1:]] or [24.0])
