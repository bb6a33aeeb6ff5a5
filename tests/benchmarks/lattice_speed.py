"""How fast pictures pass through a table, beside general-purpose routes to the same end.

Run as a script; not collected by the tests, and nothing is asserted: timings vary, ratios hold.

    python tests/benchmarks/lattice_speed.py [megapixels]

Every route carries the same picture through the same even 33-node table on one thread, where the
library lets us choose. Times are the best of several, taken in turns so that a busy machine slows
all routes alike; ratios are of processor time, which other programs disturb least.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import struct
import sys
import time
from collections.abc import Callable
from pathlib import Path

import imagecodecs
import numpy as np
import PyOpenColorIO as ocio
from PIL import Image, ImageFilter

sys.path.insert(0, str(Path(__file__).parents[2]))
from proofing.lattice import Output, Shaper, apply
from tests.lattice.simple import bake

ROUNDS = 9


def colour(codes):
    """A smooth stand-in for the chain: a little contrast, a little less colour."""
    grey = codes @ np.array([[0.2126], [0.7152], [0.0722]])
    return 0.04 + 0.93 * (0.85 * codes**1.1 + 0.15 * grey**1.1)


def with_scalars(codes):
    """The same with four scalar channels."""
    r, g, b = codes.T
    return np.column_stack([colour(codes), 6 * (r - b), 8 * g - 4, 300 * g**0.7, 100 * g])


def picture(megapixels):
    """(H, W, 3) in 0..1: smooth fields with fine grain, as photographs are on the whole."""
    height = round((megapixels * 1e6 / 1.5) ** 0.5)
    width = round(height * 1.5)
    rng = np.random.default_rng(0)

    def field(steepness):
        f = np.hypot(np.fft.fftfreq(512)[:, None], np.fft.rfftfreq(768)[None])
        f[0, 0] = 1.0
        spectrum = np.fft.rfft2(rng.standard_normal((512, 768))) / f**steepness
        made = np.fft.irfft2(spectrum, s=(512, 768))
        made = ((made - made.mean()) / made.std()).astype(np.float32)
        return np.asarray(Image.fromarray(made).resize((width, height), Image.Resampling.BICUBIC))

    light = 1 / (1 + np.exp(-1.2 * field(1.2)))
    warm, cool = 0.08 * field(1.4), 0.08 * field(1.4)
    made = np.stack([light + warm, light - 0.4 * (warm + cool), light + cool], axis=2)
    made += 0.006 * rng.standard_normal(made.shape).astype(np.float32)
    return np.clip(made, 0.0, 1.0)


def device_link(table):
    """An ICC device link of a table (n, n, n, 3), lut16Type (ICC.1:2001-04, 6.5.7)."""
    n = table.shape[0]
    codes = np.round(np.clip(table, 0, 1) * 65535).astype(">u2").tobytes()
    identity = [65536 if i % 4 == 0 else 0 for i in range(9)]
    lut = b"mft2\0\0\0\0" + bytes([3, 3, n, 0]) + struct.pack(">9i", *identity)
    lut += struct.pack(">2H", 2, 2) + struct.pack(">6H", *[0, 65535] * 3) + codes
    lut += struct.pack(">6H", *[0, 65535] * 3)
    text = b"text\0\0\0\0benchmark\0"
    name = b"desc\0\0\0\0" + struct.pack(">I", 10) + b"benchmark\0" + bytes(78)
    sequence = b"pseq\0\0\0\0" + struct.pack(">I", 0)
    tags = {b"desc": name, b"cprt": text, b"pseq": sequence, b"A2B0": lut}
    offset = 128 + 4 + 12 * len(tags)
    index, body = struct.pack(">I", len(tags)), b""
    for tag, data in tags.items():
        data += bytes(-len(data) % 4)
        index += tag + struct.pack(">II", offset + len(body), len(data))
        body += data
    head = struct.pack(
        ">I4sI4s4s4s", offset + len(body), b"\0\0\0\0", 0x02400000, b"link", b"RGB ", b"RGB "
    ) + struct.pack(">6H", 2026, 1, 1, 0, 0, 0)
    head += b"acsp" + bytes(28) + struct.pack(">3i", 0xF6D6, 0x10000, 0xD32D)
    return head + bytes(128 - len(head)) + index + body


def routes(codes, table, lattice, seven) -> dict[str, Callable[[], object]]:
    """Every route for codes of one type; each a call that returns the picture it made."""
    height, width = codes.shape[:2]
    deep = codes.dtype == np.uint16
    n = table.shape[0]
    output = Output.RGB16 if deep else Output.BGRX
    out = np.empty((height, width, 3 if deep else 4), codes.dtype)
    raw = np.empty((height, width, 7), np.float32)
    copy = np.empty_like(codes)

    lut = ocio.Lut3DTransform(n)
    lut.setInterpolation(ocio.INTERP_TETRAHEDRAL)
    lut.setData(table.reshape(-1).astype(np.float32))
    depth = ocio.BIT_DEPTH_UINT16 if deep else ocio.BIT_DEPTH_UINT8
    processor = (
        ocio.Config.CreateRaw()
        .getProcessor(lut)
        .getOptimizedCPUProcessor(depth, depth, ocio.OPTIMIZATION_DEFAULT)
    )
    ocio_out = np.empty_like(codes)
    size = codes.itemsize
    described = [
        ocio.PackedImageDesc(a, width, height, ocio.CHANNEL_ORDERING_RGB, depth, size, 3 * size,
                             3 * width * size)
        for a in (codes, ocio_out)
    ]  # fmt: skip

    def by_ocio():
        processor.apply(*described)
        return ocio_out

    link, nothing = device_link(table), device_link(np.stack(np.meshgrid(
        [0.0, 1.0], [0.0, 1.0], [0.0, 1.0], indexing="ij"), axis=-1))  # fmt: skip
    found: dict[str, Callable[[], object]] = {
        "memory copy": lambda: np.copyto(copy, codes),
        "this project, colours": lambda: apply(
            lattice, codes, output=output, out=out, workers=1),
        "this project, colours, two threads": lambda: apply(
            lattice, codes, output=output, out=out),
        "this project, 7 channels to floats": lambda: apply(
            seven, codes, output=Output.RAW, out=raw, workers=1),
        "this project, 7 channels to floats, two threads": lambda: apply(
            seven, codes, output=Output.RAW, out=raw),
        "OpenColorIO, tetrahedral": by_ocio,
        "LittleCMS device link": lambda: imagecodecs.cms_transform(
            codes, link, nothing, colorspace="rgb", outcolorspace="rgb", intent=0),
    }  # fmt: skip
    if not deep:
        image = Image.fromarray(codes)
        # Pillow's table runs with red fastest
        flat = np.ascontiguousarray(table.transpose(2, 1, 0, 3)).reshape(-1).tolist()
        filter_ = ImageFilter.Color3DLUT(n, flat)
        found["Pillow Color3DLUT, trilinear"] = lambda: np.asarray(image.filter(filter_))
    return found


def main() -> None:
    """Print one table for each depth."""
    megapixels = float(sys.argv[1]) if len(sys.argv) > 1 else 8.0
    floats = picture(megapixels)
    shaper = Shaper.even(33)
    lattice = bake(colour, shaper)
    seven = bake(with_scalars, shaper, names=("miss", "beyond", "steps", "light"))
    for dtype in (np.uint8, np.uint16):
        top = np.iinfo(dtype).max
        codes = np.round(floats * top).astype(dtype)
        calls = routes(codes, lattice.values, lattice, seven)
        exact = np.clip(colour(codes[::16, ::16].reshape(-1, 3) / top), 0, 1) * top
        best = dict.fromkeys(calls, float("inf"))
        cpu = dict.fromkeys(calls, float("inf"))
        for call in calls.values():
            call()
        for _ in range(ROUNDS):
            for name, call in calls.items():
                start, start_cpu = time.perf_counter(), time.process_time()
                call()
                best[name] = min(best[name], time.perf_counter() - start)
                cpu[name] = min(cpu[name], time.process_time() - start_cpu)
        pixels = codes.shape[0] * codes.shape[1]
        print(f"\n{codes.shape[1]} x {codes.shape[0]} pixels, {8 * codes.itemsize} bit, 33 nodes")
        print(
            f"{'route':50} {'ms':>8} {'cpu ms':>8} {'MP/cpu s':>8} {'x copy':>7} "
            f"{'x ours':>7} {'error':>7}"
        )
        for name, seconds in best.items():
            made = calls[name]()
            error = ""
            if isinstance(made, np.ndarray) and made.shape[2:] in ((3,), (4,)):
                made = made[::16, ::16, 2::-1] if made.shape[2] == 4 else made[::16, ::16]
                worst = np.abs(made.reshape(-1, 3) - exact).max() * 255 / top
                error = f"{worst:7.2f}"
            print(
                f"{name:50} {1e3 * seconds:8.1f} {1e3 * cpu[name]:8.1f} "
                f"{pixels / cpu[name] / 1e6:8.0f} {cpu[name] / cpu['memory copy']:7.1f} "
                f"{cpu[name] / cpu['this project, colours']:7.2f} {error}"
            )
    print("\nerror: worst difference from the function itself, in 8-bit codes")


if __name__ == "__main__":
    main()
