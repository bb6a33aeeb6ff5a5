"""Carrying pixels through a lattice, against other libraries and plain numpy."""

from __future__ import annotations

import threading
import tracemalloc

import numpy as np
import PyOpenColorIO as ocio
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofing.errors import Cancelled, SettingError
from proofing.lattice import (
    Clip,
    Histogram,
    Lattice,
    Mark,
    Output,
    Shaper,
    apply,
    bake,
    evaluate,
    warm_up,
)
from tests.lattice.simple import GAMMA, LAB, SRGB, codes01, some_codes, tetrahedral

DTYPES = [np.uint8, np.uint16, np.float32]


def random_lattice(n=9, scalars=3, seed=5, shaper=None):
    """Values without any smoothness, so that every node and tetrahedron matters."""
    shaper = shaper or Shaper.even(n)
    values = np.random.default_rng(seed).random((n, n, n, 3 + scalars)).astype(np.float32)
    return Lattice(values, tuple("abcdefghij"[:scalars]), shaper, f"random {n} {scalars} {seed}")


def curved(codes):
    """A smooth colour function with three scalar channels."""
    r, g, b = codes.T
    colour = np.stack([r**0.9, 0.05 + 0.9 * g * (1 - 0.2 * b), np.sqrt(0.01 + b) * 0.9], axis=1)
    scalars = np.stack([100 * g**1.5, 5 * r - 4 * b, 3 - 6 * r * g], axis=1)
    return np.concatenate([colour, scalars], axis=1)


def test_hand_worked_example():
    """One cell, one colour, each number written out.

    Published form (Kasson et al. 1995): for f_r > f_g > f_b,
    (1 - f_r) P000 + (f_r - f_g) P100 + (f_g - f_b) P110 + f_b P111.
    """
    corners = np.zeros((2, 2, 2, 3), dtype=np.float32)
    corners[0, 0, 0] = 0.1
    corners[1, 0, 0] = 0.2
    corners[1, 1, 0] = 0.6
    corners[1, 1, 1] = 0.9
    corners[0, 1, 1] = 77.0  # not a corner of that tetrahedron
    lattice = Lattice(corners, (), Shaper.even(2), "hand")
    codes = np.array([[[0.75, 0.5, 0.25]]], dtype=np.float32)
    # 0.25 * 0.1 + 0.25 * 0.2 + 0.25 * 0.6 + 0.25 * 0.9
    raw = apply(lattice, codes, output=Output.RAW).raw
    np.testing.assert_allclose(raw, np.full((1, 1, 3), 0.45), atol=1e-6)


@pytest.mark.parametrize("n", [2, 5, 17, 33])
def test_agrees_with_opencolorio(n):
    """Tetrahedral interpolation on even nodes equals OpenColorIO's, on rough tables."""
    lattice = random_lattice(n, scalars=0)
    config = ocio.Config.CreateRaw()
    lut = ocio.Lut3DTransform(n)
    lut.setInterpolation(ocio.INTERP_TETRAHEDRAL)
    lut.setData(lattice.values.reshape(-1).copy())
    processor = config.getProcessor(lut)
    cpu = processor.getOptimizedCPUProcessor(ocio.OPTIMIZATION_LOSSLESS)
    codes = some_codes(np.float32, (60, 70))
    expected = codes.copy()
    cpu.apply(ocio.PackedImageDesc(expected, 70, 60, 3))
    raw = apply(lattice, codes, output=Output.RAW).raw
    np.testing.assert_allclose(raw, expected, atol=1e-5)


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
def test_integers_agree_with_opencolorio(dtype):
    """Integer pictures come out as OpenColorIO's, but for a code where both round near a half."""
    lattice = random_lattice(17, scalars=0)
    lut = ocio.Lut3DTransform(17)
    lut.setInterpolation(ocio.INTERP_TETRAHEDRAL)
    lut.setData(lattice.values.reshape(-1).copy())
    depth = ocio.BIT_DEPTH_UINT8 if dtype == np.uint8 else ocio.BIT_DEPTH_UINT16
    processor = ocio.Config.CreateRaw().getProcessor(lut)
    cpu = processor.getOptimizedCPUProcessor(depth, depth, ocio.OPTIMIZATION_LOSSLESS)
    expected = some_codes(dtype, (60, 70))
    size = expected.itemsize
    codes = expected.copy()
    cpu.apply(
        ocio.PackedImageDesc(
            expected, 70, 60, ocio.CHANNEL_ORDERING_RGB, depth, size, 3 * size, 210 * size
        )
    )
    if dtype == np.uint8:
        made = apply(lattice, codes).bgrx[..., 2::-1]
    else:
        made = apply(lattice, codes, output=Output.RGB16).rgb16
    difference = np.abs(made.astype(int) - expected)
    assert difference.max() <= 1
    assert np.count_nonzero(difference) <= 0.03 * difference.size


@pytest.mark.parametrize("dtype", DTYPES)
@pytest.mark.parametrize("scalars", [0, 1, 2, 5, 6])
@pytest.mark.parametrize("encoding", [SRGB, LAB])
def test_agrees_with_the_six_published_cases(dtype, scalars, encoding):
    """Any type of codes, any number of channels, warped nodes."""
    lattice = random_lattice(7, scalars, shaper=Shaper.for_encoding(encoding, 7))
    codes = some_codes(dtype, (9, 11))
    expected = tetrahedral(lattice.values, lattice.shaper.coordinates_of(codes01(codes)))
    raw = apply(lattice, codes, output=Output.RAW).raw
    np.testing.assert_allclose(raw, expected, atol=2e-5)


@pytest.mark.parametrize("dtype", DTYPES)
def test_linear_functions_are_reproduced(dtype):
    """On even nodes a linear function comes back as it was."""
    matrix = np.array([[0.5, 0.3, 0.1, 20.0], [0.2, 0.5, 0.2, -7.0], [0.1, 0.1, 0.6, 3.0]])

    def function(codes):
        return codes @ matrix + [0.02, 0.03, 0.04, -5.0]

    lattice = bake(function, Shaper.even(17), names=("s",))
    codes = some_codes(dtype, (40, 50))
    raw = apply(lattice, codes, output=Output.RAW).raw
    np.testing.assert_allclose(
        raw, function(codes01(codes).reshape(-1, 3)).reshape(raw.shape), atol=1e-5
    )


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
@pytest.mark.parametrize("n", [2, 16, 33, 65])
def test_identity_is_exact(dtype, n):
    """An identity table returns every code, at the depth it came in."""
    top = np.iinfo(dtype).max
    ramp = np.arange(0, top + 1, 1 if top == 255 else 13, dtype=dtype)
    codes = np.stack([ramp, ramp[::-1], np.roll(ramp, 77)], axis=1)[None]
    lattice = bake(lambda c: c, Shaper.even(n))
    if dtype == np.uint8:
        picture = apply(lattice, codes).bgrx
        np.testing.assert_array_equal(picture[..., 2::-1], codes)
        assert np.all(picture[..., 3] == 255)
    else:
        np.testing.assert_array_equal(apply(lattice, codes, output=Output.RGB16).rgb16, codes)


@pytest.mark.parametrize("dtype", DTYPES)
@pytest.mark.parametrize("encoding", [SRGB, GAMMA, LAB])
def test_neutrals_stay_neutral(dtype, encoding):
    """Equal channels at every neutral node give equal channels at every neutral code."""
    n = 33
    shaper = Shaper.for_encoding(encoding, n)
    rng = np.random.default_rng(3)
    values = rng.random((n, n, n, 3)).astype(np.float32)
    i = np.arange(n)
    neutral = rng.random((n, 1)).astype(np.float32)
    if encoding.kind == "Lab":
        values[i, n // 2, n // 2] = neutral
    else:
        values[i, i, i] = neutral
    lattice = Lattice(values, (), shaper, "neutral")
    top = 1.0 if dtype == np.float32 else np.iinfo(dtype).max
    ramp = np.linspace(0, top, 3001).astype(dtype)
    codes = np.repeat(ramp[None, :, None], 3, axis=2)
    if encoding.kind == "Lab":
        codes[..., 1:] = np.asarray(128 / 255 * top).astype(dtype)
    raw = apply(lattice, codes, output=Output.RAW).raw
    tolerance = 1e-6 if encoding.kind == "Lab" and dtype == np.float32 else 0.0
    assert float(np.ptp(raw, axis=2).max()) <= max(tolerance, 1e-7)
    picture = apply(lattice, codes).bgrx.astype(int)
    assert np.all(picture[..., 0] == picture[..., 1])
    assert np.all(picture[..., 2] == picture[..., 1])


@pytest.mark.parametrize("encoding", [SRGB, GAMMA])
def test_tone_order_never_reverses(encoding):
    """A rising function stays rising over all 65536 neutral codes."""
    lattice = bake(lambda c: np.sqrt(0.01 + c), Shaper.for_encoding(encoding, 33))
    ramp = np.arange(65536, dtype=np.uint16)
    grey = np.broadcast_to(ramp[None, :, None], (1, 65536, 3))
    raw = apply(lattice, grey, output=Output.RAW).raw[0, :, 1]
    assert np.all(np.diff(raw) > -1e-7)
    assert np.all(
        np.diff(apply(lattice, grey, output=Output.RGB16).rgb16[0, :, 1].astype(int)) >= 0
    )


@pytest.mark.parametrize("dtype", DTYPES)
def test_any_strides(dtype):
    """Crops, steps, reversed, transposed and repeated views read as their copies do."""
    lattice = random_lattice(9, 2)
    whole = some_codes(dtype, (90, 80))
    grey = np.broadcast_to(whole[..., :1], whole.shape)
    assert grey.strides[2] == 0
    four = np.concatenate([whole, whole[..., :1]], axis=2)
    views = [
        whole[7:31, 5:62],
        whole[::-1, ::3],
        whole.transpose(1, 0, 2),
        grey[3:50, 9:70],
        four[..., :3],
        four[..., 2::-1],
        np.asfortranarray(whole),
    ]
    for view in views:
        marks = [Mark("a", 0.5), Mark("b", 0.3, above=False)]
        one = apply(lattice, view, marks=marks)
        two = apply(lattice, np.ascontiguousarray(view), marks=marks)
        np.testing.assert_array_equal(one.bgrx, two.bgrx)
        np.testing.assert_array_equal(one.bits, two.bits)


def test_a_part_of_a_picture_is_the_part_of_its_result():
    """Tiles meet without a seam, to the last bit, wherever they begin."""
    lattice = bake(curved, Shaper.for_encoding(SRGB, 33), names=("a", "b", "c"))
    codes = some_codes(np.uint16, (20, 1400))
    whole = apply(lattice, codes, output=Output.RAW).raw
    for x in (1, 7, 300, 511, 512, 513, 1390):
        part = apply(lattice, codes[5:9, x:], output=Output.RAW).raw
        np.testing.assert_array_equal(part, whole[5:9, x:])


def test_memory_does_not_grow_with_the_picture():
    """Ten times the pixels, and still less than a megabyte beyond the results."""
    lattice = random_lattice(9, 4)
    marks, clip = [Mark("a", 0.5), Mark("b", 0.5, clipped=False)], Clip(top=255, bottom=0)
    warm_up(channels=7)
    for height in (300, 3000):
        codes = np.zeros((height, 1000, 3), np.uint8)
        alpha = np.full((height, 1000), 200, np.uint8)
        out, bits = np.empty((height, 1000, 4), np.uint8), np.empty((height, 1000), np.uint8)
        tracemalloc.start()
        apply(
            lattice, codes, marks=marks, clip=clip, alpha=alpha, out=out, bits_out=bits,
            histograms=[Histogram("c", 0, 1)],
        )  # fmt: skip
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert peak < 1e6


def test_writes_into_views_and_leaves_the_rest():
    """`out` may be the middle of a larger picture, as with an unprinted margin."""
    lattice = random_lattice(5, 1)
    codes = some_codes(np.uint8, (20, 30))
    page = np.full((40, 50, 4), 9, dtype=np.uint8)
    bits = np.full((40, 50), 9, dtype=np.uint8)
    done = apply(
        lattice, codes, marks=[Mark("a", 0.5)], out=page[10:30, 8:38], bits_out=bits[10:30, 8:38]
    )
    alone = apply(lattice, codes, marks=[Mark("a", 0.5)])
    assert done.bgrx is not None and np.shares_memory(done.bgrx, page)
    np.testing.assert_array_equal(page[10:30, 8:38], alone.bgrx)
    np.testing.assert_array_equal(bits[10:30, 8:38], alone.bits)
    page[10:30, 8:38] = 9
    bits[10:30, 8:38] = 9
    assert np.all(page == 9) and np.all(bits == 9)


def plain_marks(raw, names, marks, clipped, visible, clip_bit):
    """The rules again, in numpy on the float channels."""
    bits = np.zeros(raw.shape[:2], dtype=np.uint8)
    for place, mark in enumerate(marks):
        holds = visible.copy()
        for name, threshold, above in mark.conditions:
            value = raw[..., 3 + names.index(name)]
            holds &= (value > np.float32(threshold)) if above else (value < np.float32(threshold))
        if mark.clipped is not None:
            holds &= clipped == mark.clipped
        bits[holds] |= 1 << place
    if clip_bit is not None:
        bits[clipped & visible] |= 1 << clip_bit
    return bits


MARKS = [
    Mark("a", 60.0),
    Mark("b", 0.5, above=False),
    Mark("a", 20.0, also=(("a", 70.0, False), ("c", 0.0, True))),
    Mark("c", 1.0, clipped=False),
    Mark("c", 1.0, clipped=True),
]


@pytest.mark.parametrize("dtype", DTYPES)
@pytest.mark.parametrize("by_mask", [False, True])
@pytest.mark.parametrize("with_alpha", [False, True])
def test_bits_counts_and_histograms(dtype, by_mask, with_alpha):
    """Marks, counts and histograms equal numpy's on the written channels."""
    rng = np.random.default_rng(8)
    lattice = bake(curved, Shaper.for_encoding(SRGB, 17), names=("a", "b", "c"))
    codes = some_codes(dtype, (150, 1100))
    top = 1.0 if dtype == np.float32 else float(np.iinfo(dtype).max)
    codes[rng.random(codes.shape) < 0.1] = top
    codes[rng.random(codes.shape[:2]) < 0.1] = 0
    alpha = rng.integers(0, 256, codes.shape[:2], dtype=np.uint8) if with_alpha else None
    visible = np.ones(codes.shape[:2], bool) if alpha is None else alpha >= 128
    if by_mask:
        clipped = rng.random(codes.shape[:2]) < 0.3
        clip = Clip(mask=clipped, bit=6)
    else:
        clipped = (codes == top).any(axis=2) | (codes == 0).all(axis=2)
        clip = Clip(top=top, bottom=0.0, bit=6)
    histograms = [Histogram("a", 0.0, 100.0, 64), Histogram("c", -1.0, 2.0, 10)]
    raw = apply(lattice, codes, output=Output.RAW).raw
    done = apply(lattice, codes, marks=MARKS, clip=clip, alpha=alpha, histograms=histograms)
    expected = plain_marks(raw, ["a", "b", "c"], MARKS, clipped, visible, 6)
    np.testing.assert_array_equal(done.bits, expected)
    counts = [np.count_nonzero(expected & (1 << b)) for b in range(8)]
    assert all(counts[b] > 0 for b in range(5))
    assert counts == done.counts.tolist()
    assert np.count_nonzero(expected) == done.marked
    assert np.count_nonzero(visible) == done.considered
    assert done.share(0) == pytest.approx(counts[0] / np.count_nonzero(visible))
    for wanted, got in zip(histograms, done.histograms, strict=True):
        seen = raw[..., 3 + "abc".index(wanted.channel)][visible]
        edges = np.linspace(wanted.low, wanted.high, wanted.bins + 1)
        inside = np.clip(seen, wanted.low, wanted.high)
        np.testing.assert_allclose(got, np.histogram(inside, edges)[0], atol=3)
        assert got.sum() == np.count_nonzero(visible)


@pytest.mark.parametrize("rules", [("any", "any"), ("all", "all"), ("any", "all")])
def test_clip_rules(rules):
    """Any or all channels at either end, and either end switched off."""
    codes = np.array([[[255, 0, 9], [255, 255, 255], [0, 0, 0], [0, 7, 9], [9, 9, 254]]], np.uint8)
    lattice = random_lattice(3, 0)
    pick = {"any": np.any, "all": np.all}
    at_top, at_bottom = pick[rules[0]](codes == 255, axis=2), pick[rules[1]](codes == 0, axis=2)
    for top, bottom in [(255, 0), (255, None), (None, 0), (None, None)]:
        clip = Clip(top=top, bottom=bottom, top_rule=rules[0], bottom_rule=rules[1], bit=2)
        expected = np.zeros(at_top.shape, bool)
        expected |= at_top if top is not None else False
        expected |= at_bottom if bottom is not None else False
        np.testing.assert_array_equal(apply(lattice, codes, clip=clip).bits, expected * 4)


def test_per_channel_clip_codes():
    """Each channel may have ends of its own (a 10-bit picture in 16-bit codes, say)."""
    codes = np.array([[[900, 0, 0], [899, 64, 64], [0, 800, 0], [64, 64, 63]]], np.uint16)
    clip = Clip(top=(900, 800, 700), bottom=(64, 64, 64), bit=0)
    assert apply(random_lattice(3, 0), codes, clip=clip).bits.tolist() == [[1, 0, 1, 1]]


@pytest.mark.parametrize("output", [Output.BGRX, Output.RGB16, Output.RAW])
def test_alpha_lays_the_print_over_bare_paper(output):
    """Mixed in the output's encoding; full alpha changes nothing, none leaves bare paper."""
    lattice = bake(curved, Shaper.for_encoding(SRGB, 17), names=("a", "b", "c"))
    codes = some_codes(np.uint8, (40, 600))
    alpha = np.random.default_rng(2).integers(0, 256, (40, 600), dtype=np.uint8)
    alpha[:10], alpha[10:20] = 0, 255
    paper = np.array([0.93, 0.92, 0.88])
    raw = apply(lattice, codes, output=Output.RAW).raw.astype(np.float64)
    a = alpha[..., None] / 255.0
    mixed = raw[..., :3] * a + paper * (1 - a)
    done = apply(lattice, codes, output=output, alpha=alpha, bare_paper=paper)
    plain = apply(lattice, codes, output=output)
    if output is Output.BGRX:
        assert np.abs(done.bgrx[..., 2::-1] - mixed * 255).max() <= 0.5 + 1e-3
        np.testing.assert_array_equal(done.bgrx[10:20], plain.bgrx[10:20])
        assert done.bgrx[0, 0].tolist() == [224, 235, 237, 255]
    elif output is Output.RGB16:
        assert np.abs(done.rgb16 - mixed * 65535).max() <= 0.5 + 0.05
        np.testing.assert_array_equal(done.rgb16[10:20], plain.rgb16[10:20])
    else:
        np.testing.assert_allclose(done.raw[..., :3], mixed, atol=1e-6)
        np.testing.assert_array_equal(done.raw[..., 3:], raw[..., 3:])


def test_rounding_is_to_the_nearest_code():
    """Every float goes to the code nearest to it, beyond the ends to the ends."""
    lattice = bake(lambda c: c * 1.4 - 0.2, Shaper.even(2))
    codes = np.linspace(0, 1, 30000, dtype=np.float32)[None, :, None].repeat(3, axis=2)
    raw = apply(lattice, codes, output=Output.RAW).raw.astype(np.float64)
    assert raw.min() < -0.1 and raw.max() > 1.1
    eight = apply(lattice, codes).bgrx[..., 0]
    sixteen = apply(lattice, codes, output=Output.RGB16).rgb16[..., 0]
    held = np.clip(raw[..., 0], 0, 1)
    assert np.abs(eight - held * 255).max() <= 0.5 + 1e-4
    assert np.abs(sixteen - held * 65535).max() <= 0.5 + 0.01
    assert (eight.min(), eight.max()) == (0, 255)


@pytest.mark.parametrize("dtype", DTYPES)
def test_threads_and_strips_change_nothing(dtype, monkeypatch):
    """One thread or several, whole or in strips of any height: the same bytes and counts."""
    from proofing.lattice import pixels

    lattice = bake(curved, Shaper.for_encoding(SRGB, 9), names=("a", "b", "c"))
    codes = some_codes(dtype, (203, 517))
    clip = Clip(top=1.0, bottom=0.0)
    histograms = [Histogram("a", 0, 100)]
    monkeypatch.setattr(pixels, "STRIP_PIXELS", 1 << 30)
    whole = apply(lattice, codes, marks=MARKS, clip=clip, histograms=histograms, workers=1)
    for strip, workers in [(1, 2), (3000, 3), (50_000, 2)]:
        monkeypatch.setattr(pixels, "STRIP_PIXELS", strip)
        parts = apply(
            lattice, codes, marks=MARKS, clip=clip, histograms=histograms, workers=workers
        )
        np.testing.assert_array_equal(whole.bgrx, parts.bgrx)
        np.testing.assert_array_equal(whole.bits, parts.bits)
        np.testing.assert_array_equal(whole.counts, parts.counts)
        np.testing.assert_array_equal(whole.histograms[0], parts.histograms[0])


def test_pictures_wider_than_a_block_and_one_pixel_wide():
    """Every column is written, whatever the width."""
    lattice = random_lattice(5, 1)
    for shape in [(1, 1), (3, 511), (3, 512), (3, 513), (2, 1025), (700, 1)]:
        codes = some_codes(np.uint8, (max(shape[0], 3), max(shape[1], 3)))[: shape[0], : shape[1]]
        expected = tetrahedral(lattice.values, lattice.shaper.coordinates_of(codes01(codes)))
        raw = apply(lattice, codes, output=Output.RAW).raw
        np.testing.assert_allclose(raw, expected, atol=2e-5)


def test_warming_up_compiles_what_will_be_used():
    """After it, a first picture of that kind compiles nothing more."""
    from proofing.lattice import _kernels

    warm_up([np.uint8, np.uint16], channels=7)
    before = _kernels.strip_kernel.cache_info().misses
    apply(random_lattice(3, 4), np.zeros((2, 2, 3), np.uint16))
    assert _kernels.strip_kernel.cache_info().misses == before


def test_empty_pictures():
    """Nothing in, nothing out."""
    done = apply(random_lattice(3, 1), np.empty((0, 5, 3), np.uint8), marks=[Mark("a", 0.0)])
    assert done.bgrx.shape == (0, 5, 4)
    assert (done.considered, done.marked, done.share(0)) == (0, 0, 0.0)


def test_counting_only_writes_nothing():
    """The counts of a whole picture come without a picture."""
    lattice = random_lattice(5, 3)
    codes = some_codes(np.uint16, (90, 90))
    marks = [Mark("a", 0.5), Mark("b", 0.2, above=False)]
    alone = apply(lattice, codes, output=Output.NOTHING, marks=marks, write_bits=False)
    full = apply(lattice, codes, marks=marks)
    assert (alone.bgrx, alone.rgb16, alone.raw, alone.bits) == (None, None, None, None)
    np.testing.assert_array_equal(full.counts, alone.counts)
    assert full.marked == alone.marked


def test_thresholds_change_without_baking():
    """The same lattice answers for any threshold; a higher one never marks more."""
    lattice = random_lattice(5, 1)
    codes = some_codes(np.uint8, (60, 60))
    counts = [
        int(apply(lattice, codes, marks=[Mark("a", t)]).counts[0]) for t in (0.1, 0.5, 0.9, 2.0)
    ]
    assert counts == sorted(counts, reverse=True)
    assert counts[0] > 0 and counts[3] == 0


@pytest.mark.parametrize("output", list(Output))
@pytest.mark.parametrize("dtype", DTYPES)
def test_exact_route_agrees(output, dtype):
    """The lattice route against the function itself at every pixel, all results alike."""
    lattice = bake(curved, Shaper.for_encoding(SRGB, 33), names=("a", "b", "c"))
    codes = some_codes(dtype, (70, 90))
    top = 1.0 if dtype == np.float32 else float(np.iinfo(dtype).max)
    codes[:5, :, 1] = top
    alpha = np.random.default_rng(4).integers(0, 256, (70, 90), dtype=np.uint8)
    common = {
        "output": output,
        "marks": MARKS,
        "alpha": alpha,
        "bare_paper": (0.9, 0.9, 0.8),
        "clip": Clip(top=top, bottom=0.0),
        "histograms": [Histogram("a", 0.0, 100.0, 20)],
    }
    fast = apply(lattice, codes, **common)
    exact = evaluate(curved, codes, names=("a", "b", "c"), **common)
    assert exact.considered == fast.considered
    assert np.abs(exact.counts - fast.counts).max() <= 0.02 * exact.considered
    assert np.count_nonzero(exact.bits != fast.bits) <= 0.02 * exact.bits.size
    assert np.abs(exact.histograms[0] - fast.histograms[0]).max() <= 0.02 * exact.considered
    if output is Output.BGRX:
        assert np.abs(exact.bgrx.astype(int) - fast.bgrx).max() <= 1
    elif output is Output.RGB16:
        assert np.abs(exact.rgb16.astype(int) - fast.rgb16).max() <= 257
    elif output is Output.RAW:
        np.testing.assert_allclose(fast.raw[..., :3], exact.raw[..., :3], atol=0.004)
        np.testing.assert_allclose(fast.raw[..., 3:], exact.raw[..., 3:], atol=0.2)


def test_exact_route_is_exact():
    """Without a lattice the only error is the rounding of the output."""
    codes = some_codes(np.uint16, (50, 60))
    done = evaluate(lambda c: c, codes, output=Output.RGB16)
    np.testing.assert_array_equal(codes, done.rgb16)


def test_floats_outside_the_range_are_held():
    """Codes beyond 0..1 count as the ends, not-a-number as the bottom."""
    lattice = random_lattice(5, 0)
    odd = np.array([[[-0.5, 1.5, np.inf], [np.nan, -np.inf, 0.5]]], dtype=np.float32)
    held = np.array([[[0.0, 1.0, 1.0], [0.0, 0.0, 0.5]]], dtype=np.float32)
    np.testing.assert_array_equal(
        apply(lattice, held, output=Output.RAW).raw, apply(lattice, odd, output=Output.RAW).raw
    )


@settings(max_examples=60, deadline=None)
@given(
    code=st.tuples(*[st.floats(0.0, 1.0, width=32)] * 3),
    weights=st.tuples(*[st.floats(-2.0, 2.0)] * 3),
)
def test_never_beyond_the_nodes(code, weights):
    """What comes out lies between the smallest and largest node of the cell."""
    lattice = bake(
        lambda c: np.stack([c @ np.array(weights)] * 3, axis=1) ** 2, Shaper.for_encoding(SRGB, 5)
    )
    raw = apply(lattice, np.array([[code]], np.float32), output=Output.RAW).raw[0, 0, 0]
    cell = np.minimum(np.floor(lattice.shaper.coordinates_of(code)).astype(int), 3)
    corners = lattice.values[tuple(slice(i, i + 2) for i in cell)][..., 0]
    slack = 1e-5 * (1 + float(np.ptp(lattice.values)))
    assert corners.min() - slack <= raw <= corners.max() + slack


def test_called_off():
    """A cancelled run raises and leaves no thread behind."""
    lattice = random_lattice(5, 0)
    codes = np.zeros((4000, 1000, 3), np.uint8)
    asked = []

    def cancel():
        asked.append(threading.current_thread().name)
        return len(asked) > 3

    before = threading.active_count()
    with pytest.raises(Cancelled, match="newer request"):
        apply(lattice, codes, cancel=cancel)
    assert 4 <= len(asked) <= 6
    assert before == threading.active_count()
    with pytest.raises(Cancelled):
        evaluate(lambda c: c, codes, cancel=lambda: True)
    with pytest.raises(Cancelled):
        apply(lattice, codes[:0], cancel=lambda: True)


@pytest.mark.parametrize(
    ("change", "text"),
    [
        ({"codes": np.zeros((4, 4), np.uint8)}, "codes"),
        ({"codes": np.zeros((4, 4, 3), np.float64)}, "codes"),
        ({"codes": np.zeros((4, 4, 3), np.dtype(np.uint16).newbyteorder())}, "byte order"),
        ({"alpha": np.zeros((4, 5), np.uint8)}, "alpha"),
        ({"bare_paper": (1.0, 1.0)}, "bare_paper"),
        ({"out": np.zeros((4, 4, 3), np.uint8)}, "out"),
        ({"bits_out": np.zeros((4, 4), np.uint16)}, "bits_out"),
        ({"marks": [Mark("nothing", 0.0)]}, "choose one of: R, G, B, a"),
        ({"marks": [Mark("a", float("nan"))]}, "give a number"),
        ({"marks": [Mark("a", 0.0)] * 9}, "eight"),
        ({"marks": [Mark("a", 0.0)] * 3, "clip": Clip(top=1, bit=2)}, "a bit of its own"),
        ({"marks": [Mark("a", 0.0, clipped=True)]}, "clipped"),
        ({"clip": Clip(top=300)}, "0..255"),
        ({"clip": Clip(mask=np.zeros((2, 2), bool))}, "mask"),
        ({"histograms": [Histogram("z", 0, 1)]}, "choose one of"),
    ],
)
def test_wrong_input_is_named(change, text):
    """Each wrong argument is refused with its name or what to do."""
    call = {"codes": np.zeros((4, 4, 3), np.uint8), **change}
    with pytest.raises(SettingError, match=text):
        apply(random_lattice(3, 1), call.pop("codes"), **call)


def test_bgrx_pixels_must_be_whole_words():
    """Bytes of a pixel apart, or a page off the machine's grid, are refused; steps are not."""
    lattice, codes = random_lattice(3, 1), some_codes(np.uint8, (4, 5))
    for out in (np.zeros((4, 5, 8), np.uint8)[..., ::2], np.zeros((4, 5, 6), np.uint8)[..., :4]):
        with pytest.raises(SettingError, match="four bytes"):
            apply(lattice, codes, out=out)
    stepped = np.zeros((8, 10, 4), np.uint8)[::-2, ::2]
    apply(lattice, codes, out=stepped)
    np.testing.assert_array_equal(stepped, apply(lattice, codes).bgrx)


def test_read_only_results_are_refused():
    """A picture that cannot be written is refused before any work."""
    out = np.zeros((4, 4, 4), np.uint8)
    out.flags.writeable = False
    with pytest.raises(SettingError, match="writable"):
        apply(random_lattice(3, 1), np.zeros((4, 4, 3), np.uint8), out=out)
