"""How long a changed setting takes until new pixels are there, for a view of four megapixels.

Run from the top of the tree: ``python tests/benchmarks/settings.py``. Every row is the median of
several rounds in one process; the last column is the ratio to a plain scripted proof of the same
pixels (8-bit proofing transform of the colour management library, without room, eye or marks).
Only ratios within one run mean anything.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from proofing.catalogue import Catalogue
from proofing.engine import Engine
from proofing.photograph import photograph_from_array
from proofing.photograph.icc import IccProfile, srgb_profile
from proofing.printing import Intent
from proofing.request import ProofRequest
from proofing.screen import Screen
from proofing.viewing import Room

PRESS = Path(__file__).parents[1] / "reference" / "icc" / "FOGRA39L_coated.icc"
ROUNDS = 5


def scripted_proof(codes: np.ndarray) -> Callable[[], object]:
    """The usual script: one 8-bit proofing transform."""
    import io

    from PIL import Image, ImageCms

    def opened(profile: IccProfile) -> ImageCms.ImageCmsProfile:
        return ImageCms.ImageCmsProfile(io.BytesIO(profile.data))

    screen = opened(srgb_profile())
    transform = ImageCms.buildProofTransform(
        screen, screen, opened(IccProfile.from_file(PRESS)), "RGB", "RGB",
        renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
        proofRenderingIntent=ImageCms.Intent.ABSOLUTE_COLORIMETRIC,
    )  # fmt: skip
    image = Image.fromarray(codes)
    return lambda: ImageCms.applyTransform(image, transform)


def main() -> None:
    """Print the table."""
    catalogue = Catalogue.load(Path("/nonexistent"))
    codes = np.random.default_rng(0).integers(0, 256, (2000, 2000, 3), dtype=np.uint8)
    photograph = photograph_from_array(codes)
    engine = Engine()
    lights = [light.name for light in catalogue.lights if light.name.startswith(("D", "LED"))]
    stocks = [stock.name for stock in catalogue.stocks]
    turn = iter(range(10_000))

    def request(stock: str, light: str, lux: float, intent: Intent) -> ProofRequest:
        room = Room(catalogue.light(light), lux, catalogue.glazing("no glass"))
        return ProofRequest(photograph, catalogue.stock(stock), room, Screen(), intent=intent)

    def new_light(nodes: int) -> object:
        at = next(turn)
        wanted = request("smooth matte", lights[at % len(lights)], 100.0 + at, Intent.RELATIVE)
        return engine.bake(wanted, nodes).print_view(codes)

    def new_stock(nodes: int) -> object:
        at = next(turn)
        engine._printed._values.clear()
        wanted = request(stocks[at % len(stocks)], "D50", 300.0 + at, Intent.RELATIVE)
        return engine.bake(wanted, nodes).print_view(codes)

    def only_pixels(nodes: int) -> object:
        return engine.bake(request("gloss", "D50", 500.0, Intent.RELATIVE), nodes).print_view(codes)

    rows: list[tuple[str, Callable[[], object]]] = [
        ("scripted proof of the library, 8 bit", scripted_proof(codes))
    ]
    for nodes in (33, 65):
        rows += [
            (f"pixels alone, {nodes} nodes", lambda n=nodes: only_pixels(n)),
            (f"a new light, {nodes} nodes", lambda n=nodes: new_light(n)),
            (f"a new stock, {nodes} nodes", lambda n=nodes: new_stock(n)),
        ]
    base = 0.0
    print(f"{'4 megapixels':40}{'ms':>8}{'ratio':>8}")
    for name, call in rows:
        for _ in range(len(stocks) if "stock" in name else 1):
            call()
        times = []
        for _ in range(ROUNDS):
            start = time.perf_counter()
            call()
            times.append(time.perf_counter() - start)
        median = statistics.median(times)
        base = base or median
        print(f"{name:40}{median * 1e3:8.0f}{median / base:8.2f}")


if __name__ == "__main__":
    main()
