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
from proofing.lattice import Lattice, Output, Shaper, apply
from tests.lattice.simple import (
    GAMMA,
    LAB,
    SRGB,
    bake,
    codes01,
    exactly,
    some_codes,
    tetrahedral,
)

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
    raw = apply(lattice, codes, output=Output.RAW)
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
    raw = apply(lattice, codes, output=Output.RAW)
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
        made = apply(lattice, codes)[..., 2::-1]
    else:
        made = apply(lattice, codes, output=Output.RGB16)
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
    raw = apply(lattice, codes, output=Output.RAW)
    np.testing.assert_allclose(raw, expected, atol=2e-5)


@pytest.mark.parametrize("dtype", DTYPES)
def test_linear_functions_are_reproduced(dtype):
    """On even nodes a linear function comes back as it was."""
    matrix = np.array([[0.5, 0.3, 0.1, 20.0], [0.2, 0.5, 0.2, -7.0], [0.1, 0.1, 0.6, 3.0]])

    def function(codes):
        return codes @ matrix + [0.02, 0.03, 0.04, -5.0]

    lattice = bake(function, Shaper.even(17), names=("s",))
    codes = some_codes(dtype, (40, 50))
    raw = apply(lattice, codes, output=Output.RAW)
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
        picture = apply(lattice, codes)
        np.testing.assert_array_equal(picture[..., 2::-1], codes)
        assert np.all(picture[..., 3] == 255)
    else:
        np.testing.assert_array_equal(apply(lattice, codes, output=Output.RGB16), codes)


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
    raw = apply(lattice, codes, output=Output.RAW)
    tolerance = 1e-6 if encoding.kind == "Lab" and dtype == np.float32 else 0.0
    assert float(np.ptp(raw, axis=2).max()) <= max(tolerance, 1e-7)
    picture = apply(lattice, codes).astype(int)
    assert np.all(picture[..., 0] == picture[..., 1])
    assert np.all(picture[..., 2] == picture[..., 1])


@pytest.mark.parametrize("encoding", [SRGB, GAMMA])
def test_tone_order_never_reverses(encoding):
    """A rising function stays rising over all 65536 neutral codes."""
    lattice = bake(lambda c: np.sqrt(0.01 + c), Shaper.for_encoding(encoding, 33))
    ramp = np.arange(65536, dtype=np.uint16)
    grey = np.broadcast_to(ramp[None, :, None], (1, 65536, 3))
    raw = apply(lattice, grey, output=Output.RAW)[0, :, 1]
    assert np.all(np.diff(raw) > -1e-7)
    assert np.all(np.diff(apply(lattice, grey, output=Output.RGB16)[0, :, 1].astype(int)) >= 0)


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
        for output in Output:
            np.testing.assert_array_equal(
                apply(lattice, view, output=output),
                apply(lattice, np.ascontiguousarray(view), output=output),
            )


def test_a_part_of_a_picture_is_the_part_of_its_result():
    """Tiles meet without a seam, to the last bit, wherever they begin."""
    lattice = bake(curved, Shaper.for_encoding(SRGB, 33), names=("a", "b", "c"))
    codes = some_codes(np.uint16, (20, 1400))
    whole = apply(lattice, codes, output=Output.RAW)
    for x in (1, 7, 300, 511, 512, 513, 1390):
        part = apply(lattice, codes[5:9, x:], output=Output.RAW)
        np.testing.assert_array_equal(part, whole[5:9, x:])


def test_memory_does_not_grow_with_the_picture():
    """Ten times the pixels, and still less than a megabyte beyond the result."""
    lattice = random_lattice(9, 4)
    small = np.zeros((2, 2, 3), np.uint8)
    apply(lattice, small, alpha=small[..., 0])  # compiles
    for height in (300, 3000):
        codes = np.zeros((height, 1000, 3), np.uint8)
        alpha = np.full((height, 1000), 200, np.uint8)
        out = np.empty((height, 1000, 4), np.uint8)
        tracemalloc.start()
        apply(lattice, codes, alpha=alpha, out=out)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert peak < 1e6


def test_writes_into_views_and_leaves_the_rest():
    """`out` may be the middle of a larger picture, as with an unprinted margin."""
    lattice = random_lattice(5, 1)
    codes = some_codes(np.uint8, (20, 30))
    page = np.full((40, 50, 4), 9, dtype=np.uint8)
    done = apply(lattice, codes, out=page[10:30, 8:38])
    assert np.shares_memory(done, page)
    np.testing.assert_array_equal(page[10:30, 8:38], apply(lattice, codes))
    page[10:30, 8:38] = 9
    assert np.all(page == 9)


@pytest.mark.parametrize("output", list(Output))
def test_alpha_lays_the_print_over_bare_paper(output):
    """Mixed in the output's encoding; full alpha changes nothing, none leaves bare paper."""
    lattice = bake(curved, Shaper.for_encoding(SRGB, 17), names=("a", "b", "c"))
    codes = some_codes(np.uint8, (40, 600))
    alpha = np.random.default_rng(2).integers(0, 256, (40, 600), dtype=np.uint8)
    alpha[:10], alpha[10:20] = 0, 255
    paper = np.array([0.93, 0.92, 0.88])
    raw = apply(lattice, codes, output=Output.RAW).astype(np.float64)
    a = alpha[..., None] / 255.0
    mixed = raw[..., :3] * a + paper * (1 - a)
    done = apply(lattice, codes, output=output, alpha=alpha, bare_paper=paper)
    plain = apply(lattice, codes, output=output)
    if output is Output.BGRX:
        assert np.abs(done[..., 2::-1] - mixed * 255).max() <= 0.5 + 1e-3
        np.testing.assert_array_equal(done[10:20], plain[10:20])
        assert done[0, 0].tolist() == [224, 235, 237, 255]
    elif output is Output.RGB16:
        assert np.abs(done - mixed * 65535).max() <= 0.5 + 0.05
        np.testing.assert_array_equal(done[10:20], plain[10:20])
    else:
        np.testing.assert_allclose(done[..., :3], mixed, atol=1e-6)
        np.testing.assert_array_equal(done[..., 3:], raw[..., 3:])


def test_rounding_is_to_the_nearest_code():
    """Every float goes to the code nearest to it, beyond the ends to the ends."""
    lattice = bake(lambda c: c * 1.4 - 0.2, Shaper.even(2))
    codes = np.linspace(0, 1, 30000, dtype=np.float32)[None, :, None].repeat(3, axis=2)
    raw = apply(lattice, codes, output=Output.RAW).astype(np.float64)
    assert raw.min() < -0.1 and raw.max() > 1.1
    eight = apply(lattice, codes)[..., 0]
    sixteen = apply(lattice, codes, output=Output.RGB16)[..., 0]
    held = np.clip(raw[..., 0], 0, 1)
    assert np.abs(eight - held * 255).max() <= 0.5 + 1e-4
    assert np.abs(sixteen - held * 65535).max() <= 0.5 + 0.01
    assert (eight.min(), eight.max()) == (0, 255)


@pytest.mark.parametrize("dtype", DTYPES)
def test_threads_and_strips_change_nothing(dtype, monkeypatch):
    """One thread or several, whole or in strips of any height: the same bytes."""
    from proofing.lattice import pixels

    lattice = bake(curved, Shaper.for_encoding(SRGB, 9), names=("a", "b", "c"))
    codes = some_codes(dtype, (203, 517))
    monkeypatch.setattr(pixels, "STRIP_PIXELS", 1 << 30)
    whole = apply(lattice, codes, workers=1)
    for strip, workers in [(1, 2), (3000, 3), (50_000, 2)]:
        monkeypatch.setattr(pixels, "STRIP_PIXELS", strip)
        np.testing.assert_array_equal(whole, apply(lattice, codes, workers=workers))


def test_pictures_wider_than_a_block_and_one_pixel_wide():
    """Every column is written, whatever the width."""
    lattice = random_lattice(5, 1)
    for shape in [(1, 1), (3, 511), (3, 512), (3, 513), (2, 1025), (700, 1)]:
        codes = some_codes(np.uint8, (max(shape[0], 3), max(shape[1], 3)))[: shape[0], : shape[1]]
        expected = tetrahedral(lattice.values, lattice.shaper.coordinates_of(codes01(codes)))
        raw = apply(lattice, codes, output=Output.RAW)
        np.testing.assert_allclose(raw, expected, atol=2e-5)


def test_empty_pictures():
    """Nothing in, nothing out."""
    lattice = random_lattice(3, 1)
    assert apply(lattice, np.empty((0, 5, 3), np.uint8)).shape == (0, 5, 4)
    assert apply(lattice, np.empty((5, 0, 3), np.uint16), output=Output.RGB16).shape == (5, 0, 3)
    assert apply(lattice, np.empty((0, 0, 3), np.float32), output=Output.RAW).shape == (0, 0, 4)


@pytest.mark.parametrize("output", list(Output))
@pytest.mark.parametrize("dtype", DTYPES)
def test_agrees_with_the_function_itself(output, dtype):
    """The lattice route against the function at every pixel in float64, all results alike."""
    lattice = bake(curved, Shaper.for_encoding(SRGB, 33), names=("a", "b", "c"))
    codes = some_codes(dtype, (70, 90))
    codes[:5, :, 1] = 1.0 if dtype == np.float32 else np.iinfo(dtype).max
    alpha = np.random.default_rng(4).integers(0, 256, (70, 90), dtype=np.uint8)
    paper = np.array([0.9, 0.9, 0.8])
    fast = apply(lattice, codes, output=output, alpha=alpha, bare_paper=paper)
    exact = exactly(curved, codes)
    opacity = alpha[..., None] / 255.0
    exact[..., :3] = exact[..., :3] * opacity + paper * (1.0 - opacity)
    held = np.clip(exact[..., :3], 0.0, 1.0)
    if output is Output.BGRX:
        assert np.abs(np.rint(held * 255) - fast[..., 2::-1]).max() <= 1
        assert np.all(fast[..., 3] == 255)
    elif output is Output.RGB16:
        assert np.abs(np.rint(held * 65535) - fast).max() <= 257
    else:
        np.testing.assert_allclose(fast[..., :3], exact[..., :3], atol=0.004)
        np.testing.assert_allclose(fast[..., 3:], exact[..., 3:], atol=0.2)


def test_floats_outside_the_range_are_held():
    """Codes beyond 0..1 count as the ends, not-a-number as the bottom."""
    lattice = random_lattice(5, 0)
    odd = np.array([[[-0.5, 1.5, np.inf], [np.nan, -np.inf, 0.5]]], dtype=np.float32)
    held = np.array([[[0.0, 1.0, 1.0], [0.0, 0.0, 0.5]]], dtype=np.float32)
    np.testing.assert_array_equal(
        apply(lattice, held, output=Output.RAW), apply(lattice, odd, output=Output.RAW)
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
    raw = apply(lattice, np.array([[code]], np.float32), output=Output.RAW)[0, 0, 0]
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
        ({"out": np.zeros((4, 4, 4), np.uint16)}, "out"),
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
    np.testing.assert_array_equal(stepped, apply(lattice, codes))


def test_read_only_results_are_refused():
    """A picture that cannot be written is refused before any work."""
    out = np.zeros((4, 4, 4), np.uint8)
    out.flags.writeable = False
    with pytest.raises(SettingError, match="writable"):
        apply(random_lattice(3, 1), np.zeros((4, 4, 3), np.uint8), out=out)
