"""The pair as one picture shows what the engine made, where the window shows it."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from PIL import Image, ImageFont

from app.pair import GROUND, PANE, compose
from app.state import Facts, Setting, build_request
from app.words import room_in_words
from proofing.findings.kinds import Kind

WHITE, BLACK, BROWN, BLUE = (255, 255, 255), (0, 0, 0), (150, 90, 60), (0, 0, 255)


class Bench:
    """An engine and a catalogue, and pairs made with them."""

    def __init__(self) -> None:
        from proofing.catalogue import Catalogue
        from proofing.engine import Engine

        self.catalogue, self.engine = Catalogue.load(), Engine()

    def prove(self, codes: npt.NDArray[Any], setting: Setting) -> tuple[Any, Facts]:
        """A proof of an array, without advice."""
        from proofing.photograph import photograph_from_array
        from proofing.proof import Prover

        photograph = photograph_from_array(codes, name="patch.png")
        request = build_request(setting, self.catalogue, photograph)
        return Prover(self.engine, request).scan(), Facts.of(self.catalogue, photograph)

    def pair(
        self, codes: npt.NDArray[Any], setting: Setting | None = None, **more: Any
    ) -> npt.NDArray[np.uint8]:
        """A pair of an array."""
        setting = setting or Setting(marks=frozenset())
        proof, facts = self.prove(codes, setting)
        return np.asarray(compose(proof, setting, facts, **more))


@pytest.fixture(scope="module")
def bench() -> Bench:
    """One for all tests: it remembers."""
    return Bench()


def _plain(colour: tuple[int, int, int], width: int = 300, height: int = 200) -> Any:
    return np.full((height, width, 3), colour, np.uint8)


def _panes(pair: npt.NDArray[np.uint8]) -> tuple[slice, slice, slice]:
    """Rows of the panes and columns of the left and the right one: what is not the ground."""
    rows = np.flatnonzero((pair[:, 80] == PANE).all(axis=1))
    top, bottom = int(rows[0]), int(rows[-1]) + 1
    columns = np.flatnonzero((pair[top + 2] != GROUND).any(axis=1))
    gap = int(np.flatnonzero(np.diff(columns) > 1)[0])
    return (
        slice(top, bottom),
        slice(int(columns[0]), int(columns[gap]) + 1),
        slice(int(columns[gap + 1]), int(columns[-1]) + 1),
    )


@pytest.mark.parametrize("colour", [WHITE, BLACK, BROWN, BLUE])
def test_the_photograph_keeps_its_own_codes(bench: Bench, colour: tuple[int, int, int]) -> None:
    """An sRGB photograph on an sRGB screen is itself (IEC 61966-2-1, the identity)."""
    pair = bench.pair(_plain(colour))
    rows, left, _ = _panes(pair)
    pane = pair[rows, left]
    centre = pane[pane.shape[0] // 2, pane.shape[1] // 2]
    assert np.abs(centre.astype(int) - colour).max() <= 2
    assert (pane[4, 4] == PANE).all()


@pytest.mark.parametrize("shape", [(300, 200), (200, 300), (600, 100), (100, 600)])
def test_the_print_hangs_on_its_paper_on_the_wall(bench: Bench, shape: tuple[int, int]) -> None:
    """From the pane's edge inward: wall, bare paper, print; and both pictures are the same size."""
    codes = _plain(BROWN, *shape)
    setting = Setting(marks=frozenset(), stock="baryta")
    proof, _ = bench.prove(codes, setting)
    pair = bench.pair(codes, setting)
    rows, left, right = _panes(pair)
    pane = pair[rows, right].astype(int)
    wall, paper = (x[::-1].astype(int) for x in (proof.baked.wall_bgr, proof.baked.paper_bgr))
    assert (pane[3, 3] == wall).all()
    middle = pane[pane.shape[0] // 2]
    kinds = np.where((middle == wall).all(axis=1), 0, np.where((middle == paper).all(axis=1), 1, 2))
    changes = kinds[np.flatnonzero(np.diff(kinds, prepend=-1))]
    assert changes.tolist() == [0, 1, 2, 1, 0]
    picture_width = int((kinds == 2).sum())
    photograph = pair[rows, left][pane.shape[0] // 2]
    assert picture_width == int((photograph != PANE).any(axis=1).sum())
    printed = middle[kinds == 2]
    expected = proof.baked.print_view(codes)[0, 0, 2::-1].astype(int)
    assert np.abs(printed - expected).max() <= 1


def test_proportions_are_kept(bench: Bench) -> None:
    """Neither picture is stretched."""
    for width, height in ((300, 200), (120, 500)):
        pair = bench.pair(_plain(BLUE, width, height))
        rows, left, _ = _panes(pair)
        inside = (pair[rows, left] != PANE).any(axis=2)
        drawn = inside.any(axis=0).sum() / inside.any(axis=1).sum()
        assert drawn == pytest.approx(width / height, rel=0.02)


@pytest.mark.parametrize("shape", [(1, 1), (3, 2), (5000, 20)])
def test_odd_pictures_are_shown_too(bench: Bench, shape: tuple[int, int]) -> None:
    """A pixel, a thumbnail, a strip."""
    pair = bench.pair(_plain(BROWN, *shape))
    assert pair.shape[1] == 2400
    assert pair.shape[0] < 6000


def test_marks_are_drawn_where_something_is_lost_and_only_if_shown(bench: Bench) -> None:
    """What the file has lost on the photograph, all else on the print."""
    codes = _plain(BROWN)
    codes[:, :150] = BLUE  # clipped in the file, and out of every matte stock's gamut
    bare = bench.pair(codes)
    rows, left, right = _panes(bare)
    height = rows.stop - rows.start

    def changed(kinds: frozenset[Kind]) -> tuple[float, float, float]:
        marked = bench.pair(codes, Setting(marks=kinds))
        top = _panes(marked)[0].start  # the sentence may be longer
        difference = (marked[top : top + height] != bare[rows]).any(axis=2)
        middle = (left.stop - left.start) // 2
        return (
            float(difference[:, left][:, :middle].mean()),
            float(difference[:, right][:, :middle].mean()),
            float(difference[:, right][:, middle:].mean()),
        )

    on_file, on_print, elsewhere = changed(frozenset({Kind.CLIPPED_IN_FILE}))
    assert on_file > 0.02
    assert on_print == elsewhere == 0
    on_file, on_print, elsewhere = changed(frozenset({Kind.OUT_OF_GAMUT}))
    assert on_print > 0.02
    assert on_file == 0
    assert elsewhere < on_print / 10


def test_everything_but_the_pictures_and_the_legend_is_neutral(bench: Bench) -> None:
    """No saturated colour beside a picture being judged."""
    pair = bench.pair(_plain((128, 128, 128)), notes=["A note for people."]).astype(int)
    rows, _, right = _panes(pair.astype(np.uint8))
    around = pair.copy()
    around[rows, right] = 0
    assert (around.max(axis=2) - around.min(axis=2)).max() <= 2


def test_the_picture_grows_with_what_there_is_to_say(bench: Bench) -> None:
    """Long sentences and notes are broken into lines and nothing is cut off."""
    codes = _plain(BROWN)
    plain = bench.pair(codes)
    noted = bench.pair(codes, notes=["word " * 100])
    assert noted.shape[0] > plain.shape[0] + 60
    for pair in (plain, noted):
        assert (pair[:, -60:] == GROUND)[:60].all()
        assert (pair[-12:] == GROUND).all()
        assert (pair[:, :60] == GROUND).all()
        assert (pair[:, -60:] == GROUND).all()


def test_the_typeface_is_shipped_with_its_licence() -> None:
    """No font of the system is needed; the licence lies beside the files."""
    from importlib import resources

    folder = resources.files("resources") / "fonts"
    for style in ("Regular", "SemiBold"):
        with resources.as_file(folder / f"Inter-{style}.otf") as path:
            font = ImageFont.truetype(str(path), 20)
        assert font.getname()[0] == "Inter"
        empty = font.getmask("\uffff")
        for sign in "×²Δ°–…µλ−½₀“”’éßÅ":
            assert bytes(font.getmask(sign)) != bytes(empty), sign
    assert "SIL OPEN FONT LICENSE Version 1.1" in (folder / "OFL.txt").read_text()


def test_text_stands_out(bench: Bench) -> None:
    """4.5:1 or better (WCAG 2.2, 1.4.3), measured between the ground and the lightest text."""

    def luminance(grey: float) -> float:
        c = grey / 255
        return c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4

    from app.pair import QUIET, TEXT

    for text in (TEXT, QUIET):
        assert (luminance(text[0]) + 0.05) / (luminance(GROUND[0]) + 0.05) >= 4.5


def test_a_room_brighter_than_the_screen_is_said_with_units(bench: Bench) -> None:
    """2000 lx on white paper are far beyond 120 cd/m²; 50 lx are not."""
    bright, _ = bench.prove(_plain(BROWN), Setting(illuminance=2000))
    words = room_in_words(bright.baked.room_excess)
    assert words.count("cd/m²") == 3
    dark, _ = bench.prove(_plain(BROWN), Setting(illuminance=200, surround="dark"))
    excess = dark.baked.room_excess
    assert excess.paper_cd_m2 < excess.shown_cd_m2  # brighter by its surround, not by its light
    words = room_in_words(excess)
    assert "surroundings this dark" in words
    assert words.count("cd/m²") == 3
    dim, _ = bench.prove(_plain(BROWN), Setting(illuminance=50))
    assert room_in_words(dim.baked.room_excess) == ""


def test_it_is_saved_whole_and_with_the_profile(bench: Bench, tmp_path: Any) -> None:
    """The file carries what its codes mean."""
    from app.pair import write_pair

    proof, facts = bench.prove(_plain(BROWN), Setting())
    image = compose(proof, Setting(), facts, width_px=900)
    write_pair(tmp_path / "a.png", image, proof.request.screen.profile)
    with Image.open(tmp_path / "a.png") as saved:
        assert saved.info["icc_profile"] == proof.request.screen.profile.data
        assert np.array_equal(np.asarray(saved), np.asarray(image))
