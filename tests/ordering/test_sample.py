"""A sample stands for its picture; the picture's character is what was planted."""

from __future__ import annotations

import functools
import itertools
import math

import numpy as np
import numpy.typing as npt
import pytest

from proofing.findings.kinds import Kind
from proofing.findings.scan import CELL
from proofing.ordering import comparing
from proofing.ordering.character import Character, character_of
from proofing.ordering.sample import BLOCK, COLOUR_PIXELS, sample_of, scan_blocks
from proofing.photograph import Photograph, photograph_from_array
from proofing.request import PrintSize, ProofRequest
from tests.ordering.stocks import catalogue, engine, order, picture, request, room


def character(photograph: Photograph, arcmin: float = 1.0) -> Character:
    """Of a picture whose pixels take up that angle."""
    distance = 25.4 / 300.0 / 1000.0 / math.tan(math.radians(arcmin / 60.0))
    size = PrintSize.default_for(photograph)
    return character_of_print(request(photograph, room("lit room"), size=size, distance_m=distance))


def character_of_print(wanted: ProofRequest) -> Character:
    sample = sample_of(wanted)
    lattice = engine().bake_scan(wanted, 33, None, sample.codes)
    return character_of(wanted.photograph, sample, lattice, scan_blocks(sample, lattice, 3.0, 2))


def grey(values: npt.NDArray[np.float64]) -> Photograph:
    codes = np.clip(np.round(values), 0, 255).astype(np.uint8)
    return photograph_from_array(np.ascontiguousarray(codes[..., None].repeat(3, 2)))


# ---- the sample ----------------------------------------------------------------------------


def test_a_small_picture_is_looked_at_whole() -> None:
    """All its pixels, at the level that the eye resolves."""
    wanted = request(picture("harbour_at_six.tif"), room("spot"), distance_m=1.0)
    sample = sample_of(wanted)
    assert sample.is_whole
    assert sample.share == 1.0
    assert 0.375 < sample.arcmin <= 0.75


@pytest.mark.parametrize("shape", [(3000, 4000), (600, 20000), (20000, 330), (9000, 250)])
def test_blocks_lie_inside_the_picture_and_all_over_it(shape: tuple[int, int]) -> None:
    """Each of the pixels that are counted is counted once, and their middle is the picture's."""
    y, x = np.indices(shape)
    codes = np.stack([y // 128, x // 128, (y // 8 + x // 8) % 256], axis=-1).astype(np.uint8)
    wanted = request(photograph_from_array(codes), room("spot"), distance_m=0.25)
    sample = sample_of(wanted, 1_600_000)
    high, wide = min(BLOCK, shape[0]), min(BLOCK, shape[1])
    seen = np.zeros((-(-shape[0] // CELL), -(-shape[1] // CELL)), np.int64)
    for block in sample.blocks:
        pixels = block.photograph.codes
        assert np.shares_memory(pixels, wanted.photograph.codes)  # a view, not a copy
        cells = (-(-pixels.shape[0] // CELL), -(-pixels.shape[1] // CELL))
        start = (pixels.__array_interface__["data"][0] - start_of(wanted.photograph)) // 3
        top, left = start // shape[1] // CELL, start % shape[1] // CELL
        counted = np.zeros(cells, np.int64)
        counted[block.rows, block.columns] = 1
        assert counted.sum() == -(-high // CELL) * -(-wide // CELL)
        seen[top : top + cells[0], left : left + cells[1]] += counted
    assert seen.max() == 1
    middle = np.average(np.indices(seen.shape).reshape(2, -1), axis=1, weights=seen.ravel())
    assert (np.abs((middle + 0.5) / np.array(seen.shape) - 0.5) < 0.05).all()
    assert sample.share == pytest.approx(seen.mean(), rel=0.05)
    scanned = sum(b.photograph.height * b.photograph.width for b in sample.blocks)
    assert 0.6 < scanned / 1.6e6 < 1.4
    assert sample.codes.size == 3 * scanned


def start_of(photograph: Photograph) -> int:
    """Where its pixels begin in memory."""
    return int(photograph.codes.__array_interface__["data"][0])


def test_sampled_colours_are_the_pictures() -> None:
    """Their mean is that of all pixels, within what chance leaves; the same every time."""
    photograph = picture("dahlias_thursday.tif")
    wanted = request(photograph, room("spot"))
    colours = sample_of(wanted).colours
    assert abs(len(colours) - COLOUR_PIXELS) < 0.02 * COLOUR_PIXELS
    whole = photograph.codes.reshape(-1, 3) / 65535.0
    error = whole.std(axis=0) / math.sqrt(len(colours))
    assert (np.abs(colours.mean(axis=0) - whole.mean(axis=0)) < 3.0 * error).all()
    assert (colours == sample_of(wanted).colours).all()


@pytest.mark.parametrize(
    ("name", "kind"),
    [("dahlias_thursday.tif", "spot"), ("net_loft.jpg", "lamps in view")],
)
def test_a_part_of_a_picture_tells_what_the_whole_tells(
    name: str, kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Shares within one or two per cent of the picture, the same colours, and the same order."""
    wanted = request(picture(name), room(kind))
    stocks = [catalogue().stock(name) for name in ("smooth matte", "canvas", "baryta", "gloss")]
    whole = comparing.compare(engine(), wanted, stocks)
    monkeypatch.setattr(comparing, "sample_of", functools.partial(sample_of, most_pixels=1_600_000))
    part = comparing.compare(engine(), wanted, stocks)
    assert part.sample_share < 0.5
    found = {result.stock.name: result for result in part.ranked}
    for result in whole.ranked:
        other = found[result.stock.name]
        assert other.detail_lost == pytest.approx(result.detail_lost, abs=0.01)
        assert other.weakened == pytest.approx(result.weakened, abs=0.02)
        for share in (Kind.OUT_OF_GAMUT, Kind.FLATTENED_COLOUR):
            assert other.shares[share] == pytest.approx(result.shares[share], abs=0.02)
        assert other.delta_E_mean == result.delta_E_mean
        assert other.score == pytest.approx(result.score, abs=3.0)
    # only what is nearly tied may change places
    place = {name: n for n, name in enumerate(order(part))}
    for one, other in itertools.combinations(whole.ranked, 2):
        if one.score - other.score > 2.0:
            assert place[one.stock.name] < place[other.stock.name]


# ---- the character -------------------------------------------------------------------------


def test_traits_of_the_demonstration_are_what_its_pictures_are_made_for() -> None:
    """demo/exhibition.toml says what each shows."""
    fog = character_of_print(request(picture("fog_slack_water.jpg"), room("lit room")))
    night = character_of_print(request(picture("harbour_at_six.tif"), room("spot")))
    flowers = character_of_print(request(picture("dahlias_thursday.tif"), room("spot")))
    assert fog.close_tones > 0.7 > 10.0 * max(night.close_tones, flowers.close_tones)
    assert night.deep_shadows > 0.5 > 10.0 * fog.deep_shadows
    assert flowers.saturated > 0.3 > 5.0 * max(fog.saturated, night.saturated)


def test_a_crisp_wave_is_fine_texture_and_a_gradient_is_none() -> None:
    """Eight cycles per degree at a tenth of contrast: a hundred times the threshold there (Barten
    1999: sensitivity over 200 at 30 cd/m2 and more)."""
    x = np.arange(512.0)
    wave = 128.0 + 24.0 * np.sin(2.0 * np.pi * x * 8.0 / 60.0)
    assert character(grey(np.broadcast_to(wave, (384, 512)))).fine_texture > 0.95
    ramp = np.broadcast_to(np.linspace(90.0, 160.0, 512), (384, 512))
    assert character(grey(ramp)).fine_texture == 0.0


def test_grain_is_no_texture() -> None:
    """White noise of eight codes all over a grey, strong enough to be seen."""
    noise = np.random.default_rng(5).normal(128.0, 8.0, (384, 512))
    assert character(grey(noise)).fine_texture < 0.02


def test_half_a_picture_has_half_the_trait() -> None:
    """Saturated, foggy, or dark with modelling that shows, on the left half alone."""
    base = np.full((384, 512, 3), 240, np.uint8)
    base[..., 1:] = 60  # a red
    red = base.copy()
    red[:, :256] = (30, 20, 220)
    grey_right = red.copy()
    grey_right[:, 256:] = 118
    found = character(photograph_from_array(grey_right))
    assert found.saturated == pytest.approx(0.5, abs=0.01)
    fog = np.broadcast_to(np.linspace(170.0, 180.0, 512), (384, 512)).copy()
    fog[:, 256:] = 15.0
    assert character(grey(fog)).close_tones == pytest.approx(0.5, abs=0.06)
    x = np.arange(512.0)
    dark = np.broadcast_to(24.0 + 10.0 * np.sin(2.0 * np.pi * x / 24.0), (384, 512)).copy()
    dark[:, 256:] = 128.0
    found = character(grey(dark))
    assert found.deep_shadows == pytest.approx(0.5, abs=0.06)


def test_a_transparent_part_is_no_part_of_the_picture() -> None:
    """What is not there counts neither for nor against a trait."""
    codes = np.full((384, 512, 3), 128, np.uint8)
    codes[:, :256] = (220, 30, 20)
    alpha = np.full((384, 512), 255, np.uint8)
    alpha[:, 256:] = 0
    found = character(photograph_from_array(codes, alpha=alpha))
    assert found.saturated == 1.0
    assert found.close_tones == 0.0
    wave = 128.0 + 24.0 * np.sin(2.0 * np.pi * np.arange(512) * 8.0 / 60.0)
    codes = np.broadcast_to(wave[None, :, None], (384, 512, 3)).astype(np.uint8)
    assert character(photograph_from_array(codes, alpha=alpha)).fine_texture > 0.95
