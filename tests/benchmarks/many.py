"""How long a run of many photographs takes: ``python tests/benchmarks/many.py [FILES] [COMMAND]``.

The same files in one process and in two, in one run: only the ratio means anything. The files are
crops of the demonstration pictures, the same from run to run; forty are ordered unless said
otherwise. The start of the processes and the reading of compiled loops are in it.
"""

from __future__ import annotations

import contextlib
import io
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from app.command_line import main

DEMO = Path(__file__).parents[2] / "demo"
PICTURES = ("net_loft.jpg", "quay_stairs.jpg", "last_light.jpg", "fog_slack_water.jpg")
PROCESSES = (1, 2)


def _make(folder: Path, count: int) -> float:
    """Crops of different sizes; their megapixels together."""
    from PIL import Image

    random, pixels = np.random.default_rng(7), 0
    for number in range(count):
        with Image.open(DEMO / PICTURES[number % len(PICTURES)]) as image:
            side = float(random.uniform(0.4, 1.0))
            width, height = round(image.width * side), round(image.height * side)
            crop = image.crop((0, 0, width, height))
            crop.save(folder / f"print {number}.jpg", quality=90, dpi=(300, 300))
            pixels += width * height
    return pixels / 1e6


def benchmark(count: int, command: str) -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory(prefix="stocklight-many-") as name:
        roll = Path(name) / "roll"
        roll.mkdir()
        megapixels = _make(roll, count)
        print(f"{command}, {count} files, {megapixels:.0f} megapixels")
        print(f"{'processes':>10}{'seconds':>10}{'a file':>10}{'ratio':>8}")
        first = 0.0
        for processes in PROCESSES:
            out = Path(name) / f"out {processes}"
            output = str(out / "{name}.tif") if command == "order" else str(out)
            words = [command, str(roll), "--output", output, "--processes", str(processes)]
            start = time.perf_counter()
            with contextlib.redirect_stdout(io.StringIO()):
                status = main(words)
            seconds = time.perf_counter() - start
            assert status == 0
            first = first or seconds
            print(f"{processes:10}{seconds:10.1f}{seconds / count:10.2f}{first / seconds:8.2f}",
                  flush=True)  # fmt: skip


if __name__ == "__main__":
    benchmark(
        int(sys.argv[1]) if len(sys.argv) > 1 else 40, sys.argv[2] if len(sys.argv) > 2 else "order"
    )
