"""The command from its words to its files, on small pictures."""

from __future__ import annotations

import argparse
import errno
import io
import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tifffile
from PIL import Image, ImageCms

from app import command_line, tasks
from app.command_line import build_parser, main, setting_of, with_command
from app.state import ROWS, SETTINGS, Row, Setting
from proofing.findings.kinds import Kind
from tests import kept
from tests.app.other_values import OTHER_VALUES

ROOT = Path(__file__).resolve().parents[2]
FOGRA39 = ROOT / "tests/reference/icc/FOGRA39L_coated.icc"
PROMISED_KINDS = {
    "out_of_gamut", "blocked_shadows", "blown_highlights", "clipped_in_file", "beyond_screen",
    "flattened_colour", "banding_risk",
}  # fmt: skip


@pytest.fixture(scope="module")
def engine() -> Any:
    """One engine for all tests: it remembers, as it does in the window."""
    return kept.engine()


@pytest.fixture(autouse=True)
def _shared_engine(engine: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tasks, "_engine", lambda: engine)
    # A quarter of the nodes a side: the command's own work is under test, not the table's.
    monkeypatch.setattr(tasks, "NODES", 17)
    monkeypatch.setattr("proofing.proof.proving.NODES_RESTING", 17)
    monkeypatch.setattr("proofing.proof.elsewhere.NODES_RESTING", 17)


@pytest.fixture(autouse=True)
def _handlers() -> Iterator[None]:
    before = signal.getsignal(signal.SIGTERM)
    yield
    signal.signal(signal.SIGTERM, before)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in, holding a small picture of sRGB patches, white and black among them."""
    monkeypatch.chdir(tmp_path)
    patches = [
        (255, 255, 255), (0, 0, 0), (119, 119, 119), (0, 0, 255), (0, 255, 0), (150, 90, 60),
    ]  # fmt: skip
    codes = np.repeat(np.array([patches], np.uint8), 20, axis=0).repeat(10, axis=1)
    Image.fromarray(codes).save(tmp_path / "patches.png", dpi=(300, 300))
    return tmp_path


def _left(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


# ---- words ---------------------------------------------------------------------------------


@pytest.mark.parametrize("row", [row for row in ROWS if row.option], ids=lambda row: row.id)
def test_every_setting_has_an_option_that_reaches_it(row: Row) -> None:
    """What an option reads is what the setting then holds; all else is as at the start."""
    value = OTHER_VALUES[row.id]
    words = ["inspect", "a.tif"]
    words += [f"--no-{row.option}"] if row.kind == "switch" else [f"--{row.option}",
                                                                  row.format(value)]  # fmt: skip
    setting = setting_of(build_parser().parse_args(words))
    assert setting == Setting().change(**{row.id: value})


def test_the_commands_that_print_share_all_options() -> None:
    """Whoever knows one knows them all; only what would have no effect is left out."""

    def options(command: str) -> set[str]:
        parser = build_parser()
        sub = next(a for a in parser._actions if isinstance(a, argparse._SubParsersAction))
        return {a.dest for a in sub.choices[command]._actions} & set(SETTINGS) - {"photograph"}

    everything = {row.id for row in ROWS if row.option}
    assert options("view") == options("pair") == options("inspect") == everything
    assert options("simulate") == everything - {"marks"}


@pytest.mark.parametrize("command", command_line.COMMANDS)
def test_a_command_with_a_wrong_letter_is_told_by_its_name(
    command: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With one letter left out, each; what is there under such a name is no misspelt command."""
    word = command[:1] + command[2:]
    assert main([word, "patches.png"]) == 2
    assert f"no command '{word}'; did you mean {command}?" in capsys.readouterr().err
    (folder / word).mkdir()
    assert main([word]) == 2
    assert "did you mean" not in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ([], ["view"]),
        (["a.tif"], ["view", "a.tif"]),
        (["--stock", "baryta", "a.tif"], ["view", "--stock", "baryta", "a.tif"]),
        (["pair", "a.tif"], ["pair", "a.tif"]),
        (["./pair"], ["view", "./pair"]),
        (["--help"], ["--help"]),
    ],
)
def test_view_is_the_command_where_none_is_named(words: list[str], expected: list[str]) -> None:
    """`stocklight PHOTO` opens the window."""
    assert expected == with_command(words)


@pytest.mark.parametrize(
    "words", [["--help"], *([name, "--help"] for name in ("view", "pair", "simulate", "inspect"))]
)
def test_help_is_help(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """It goes to the output and is no error."""
    assert main(words) == 0
    said = capsys.readouterr()
    assert said.err == ""
    assert "usage: stocklight" in said.out
    if len(words) == 2:
        for row in ROWS:
            if row.option and (row.id != "marks" or words[0] != "simulate"):
                assert f"--{row.option}" in said.out


def test_help_lists_the_words_that_stand_for_a_number(capsys: pytest.CaptureFixture[str]) -> None:
    """And an option takes them."""
    words = ["inspect", "a.tif", "--room-reflection", "white wall"]
    assert setting_of(build_parser().parse_args(words)).reflection_ratio == 1.0
    assert main(["inspect", "--help"]) == 0
    help = " ".join(capsys.readouterr().out.split())
    assert "Or in words: 'dark room', 'quiet room', 'white wall'." in help


def test_help_loads_no_engine_and_no_toolkit() -> None:
    """Help comes at once because nothing heavy is imported for it."""
    program = (
        "import sys; from app.command_line import main; main(['pair', '--help'])\n"
        "heavy = {'numpy', 'colour', 'numba', 'scipy', 'PIL', 'imagecodecs', 'PySide6'}\n"
        "print(sorted(heavy & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, cwd=ROOT, check=True
    )
    assert done.stderr == "[]\n"


# ---- simulate ------------------------------------------------------------------------------


def test_simulate_writes_16_bits_with_the_screens_profile_and_the_print_size(folder: Path) -> None:
    """The TIFF says what its codes mean and how large the print is."""
    assert main(["simulate", "patches.png", "--size", "6x2cm", "--output", "out.tif"]) == 0
    with tifffile.TiffFile("out.tif") as file:
        page = file.pages[0]
        assert isinstance(page, tifffile.TiffPage)
        picture = page.asarray()
        resolution = page.tags["XResolution"].value
        profile = page.tags["InterColorProfile"].value
    assert picture.shape == (20, 60, 3)
    assert picture.dtype == np.uint16
    assert resolution[0] / resolution[1] == pytest.approx(60 / (6 / 2.54), abs=0.01)
    description = ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(_file(profile)))
    assert "sRGB" in description
    assert _left(folder) == {"patches.png", "out.tif"}


def test_png_and_tiff_show_the_same(folder: Path) -> None:
    """8 bits are the 16 bits, rounded."""
    for name in ("out.tif", "out.png"):
        assert main(["simulate", "patches.png", "--light", "A", "--output", name]) == 0
    sixteen = tifffile.imread("out.tif").astype(float) / 257
    with Image.open("out.png") as image:
        assert image.info["icc_profile"]
        eight = np.asarray(image).astype(float)
    assert np.abs(sixteen - eight).max() <= 0.51


def test_a_dim_room_looks_dim_unless_white_is_matched(folder: Path) -> None:
    """The options reach the picture: 50 lx darken it, a matched white does not."""
    means = {}
    for name, words in {
        "bright": [],
        "dim": ["--lux", "hallway"],
        "matched": ["--lux", "hallway", "--look", "matched"],
    }.items():
        assert main(["simulate", "patches.png", *words, "-o", f"{name}.png"]) == 0
        with Image.open(f"{name}.png") as image:
            means[name] = float(np.asarray(image)[:, :10].mean())
    assert means["dim"] < means["bright"] - 20
    assert means["matched"] > means["dim"] + 20


def test_print_lab_of_a_described_stock_ends_at_its_white_and_black(folder: Path) -> None:
    """Relative colorimetric puts white on bare paper; black point compensation black on black.

    Paper white and black: the values of the stock's own record.
    """
    assert main(["simulate", "patches.png", "--as-print-lab", "--output", "lab.tif"]) == 0
    Lab = tifffile.imread("lab.tif")
    assert Lab.dtype == np.float32
    np.testing.assert_allclose(Lab[0, 0], [96.5, 1.5, -7.0], atol=0.1)
    assert Lab[0, 15][0] == pytest.approx(15.5, abs=0.3)


@pytest.mark.parametrize(("intent", "number"), [("relative", 1), ("perceptual", 0)])
def test_print_lab_of_a_profile_is_what_another_library_computes(
    folder: Path, intent: str, number: int
) -> None:
    """sRGB to FOGRA39 to Lab, against LittleCMS through Pillow, whose Lab has 8 bits.

    One code of its L* is 0.4, of its a* and b* 1; neutral and moderate colours, so that a
    rounding of CMYK codes to 8 bits stays below one and a half dE.
    """
    from proofing.colorimetry import delta_E_00

    words = ["--stock", str(FOGRA39), "--intent", intent, "--as-print-lab", "-o", "lab.tif"]
    assert main(["simulate", "patches.png", *words]) == 0
    ours = tifffile.imread("lab.tif")[0, 5::10]

    source = ImageCms.createProfile("sRGB")
    press = ImageCms.getOpenProfile(str(FOGRA39))
    to_press = ImageCms.buildTransform(
        source, press, "RGB", "CMYK", number, ImageCms.Flags.BLACKPOINTCOMPENSATION
    )
    to_Lab = ImageCms.buildTransform(press, ImageCms.createProfile("LAB"), "CMYK", "LAB", 3)
    with Image.open("patches.png") as image:
        there = ImageCms.applyTransform(ImageCms.applyTransform(image, to_press), to_Lab)
    codes = np.asarray(there)[0, 5::10].astype(np.uint8)
    expected = np.column_stack([codes[:, 0] / 2.55, codes[:, 1:].view(np.int8).astype(float)])
    assert delta_E_00(expected, ours).max() < 1.5


def test_transparent_parts_show_bare_paper(folder: Path) -> None:
    """On the screen and in the print's Lab alike."""
    codes = np.zeros((20, 20, 4), np.uint8)
    codes[:, 10:, 3] = 255
    Image.fromarray(codes).save("holes.png")
    assert main(["simulate", "holes.png", "--as-print-lab", "-o", "lab.tif"]) == 0
    np.testing.assert_allclose(tifffile.imread("lab.tif")[0, 0], [96.5, 1.5, -7.0], atol=0.1)
    assert main(["simulate", "holes.png", "-o", "a.tif"]) == 0
    assert main(["simulate", "patches.png", "-o", "b.tif"]) == 0
    hole, white = tifffile.imread("a.tif")[0, 0], tifffile.imread("b.tif")[0, 0]
    assert np.abs(hole.astype(int) - white.astype(int)).max() < 200


@pytest.mark.parametrize("kind", ["grey 16", "RGB 16", "RGB float", "CMYK", "palette"])
def test_every_kind_of_picture_goes_all_the_way(kind: str, folder: Path) -> None:
    """To the screen, to Lab and into the pair, at its own size."""
    rng = np.random.default_rng(8)
    codes = rng.integers(0, 256, (12, 18, 3)).astype(np.uint8)
    if kind == "CMYK":
        Image.fromarray(codes).convert("CMYK").save("a.tif", icc_profile=FOGRA39.read_bytes())
    elif kind == "palette":
        Image.fromarray(codes).convert("P").save("a.tif")
    elif kind == "grey 16":
        tifffile.imwrite("a.tif", codes[..., 0].astype(np.uint16) * 257)
    elif kind == "RGB 16":
        tifffile.imwrite("a.tif", codes.astype(np.uint16) * 257, photometric="rgb")
    else:
        tifffile.imwrite("a.tif", codes.astype(np.float32) / 255, photometric="rgb")
    assert main(["simulate", "a.tif", "-o", "screen.tif"]) == 0
    assert main(["simulate", "a.tif", "--as-print-lab", "-o", "lab.tif"]) == 0
    assert main(["pair", "a.tif", "-o", "pair.png"]) == 0
    assert tifffile.imread("screen.tif").shape == (12, 18, 3)
    Lab = tifffile.imread("lab.tif")
    assert Lab.shape == (12, 18, 3)
    # Between the black and the white of the stock's record, whatever was asked for.
    assert Lab[..., 0].min() > 15.0
    assert Lab[..., 0].max() < 97.0


# ---- pair ----------------------------------------------------------------------------------


def test_pair_writes_one_png_and_says_the_sentence(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same sentence heads the output; the profile is embedded."""
    assert main(["pair", "patches.png", "--stock", "baryta", "--output", "pair.png"]) == 0
    with Image.open("pair.png") as image:
        assert image.mode == "RGB"
        assert image.info["icc_profile"]
    said = capsys.readouterr()
    assert said.out.startswith("patches.png on baryta (typical values), 3 × 1 cm, rendered")
    assert said.out.endswith("Written: pair.png\n")
    assert said.err == ""


def test_the_first_run_is_not_silent_on_a_terminal(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What takes long is said on the error stream of a terminal, and wiped away at the end."""

    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    assert main(["pair", "patches.png", "-o", "out.png"]) == 0
    said = terminal.getvalue()
    assert "the first time on a computer this takes up to half a minute" in said
    assert said.endswith("\r\x1b[K")


# ---- inspect -------------------------------------------------------------------------------


def test_inspect_json_has_the_promised_shape(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Scripts depend on these names."""
    Image.fromarray(np.full((8, 9), 90, np.uint8)).save("grey.tif")
    words = ["patches.png", "grey.tif", "--stock", "Canvas", "--lux", "gallery wall", "--json"]
    assert main(["inspect", *words]) == 0
    reports = json.loads(capsys.readouterr().out)
    assert [report["file"] for report in reports] == ["patches.png", "grey.tif"]
    first = reports[0]
    assert {"file", "photograph", "setting", "marks"} <= set(first)
    photograph = {"width", "height", "mode", "bits", "space", "profile", "ppi"}
    assert photograph <= set(first["photograph"])
    assert (first["photograph"]["width"], first["photograph"]["height"]) == (60, 20)
    assert first["photograph"]["ppi"] == pytest.approx(300, abs=0.1)
    assert reports[1]["photograph"]["mode"] == "grey"
    assert set(first["setting"]) == set(SETTINGS)
    assert first["setting"]["stock"] == "canvas"
    assert first["setting"]["illuminance"] == "gallery wall"
    assert Setting.from_dict(first["setting"]).stock == "canvas"
    shares = {mark["kind"]: mark["share"] for mark in first["marks"]}
    assert set(shares) == PROMISED_KINDS
    assert all(0.0 <= share <= 1.0 for share in shares.values())


def test_inspect_tells_findings_with_boxes_numbers_and_advice(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A blue field on grey: one finding, its box in pixels of the file, how far off it prints, and
    what would help; the text says the same."""
    codes = np.full((300, 400, 3), 120, np.uint8)
    codes[60:240, 80:320] = (30, 60, 225)
    Image.fromarray(codes).save("field.png")
    words = ["inspect", "field.png", "--stock", "smooth matte", "--marks", "out-of-gamut"]
    assert main([*words, "--json"]) == 0
    report = json.loads(capsys.readouterr().out)[0]
    assert report["verdict"]
    assert report["screen_against_print"]["off"] in (True, False)
    (finding,) = report["findings"]
    assert finding["kind"] == "out_of_gamut"
    assert finding["box"] == pytest.approx([80, 60, 240, 180], abs=16)
    assert finding["share"] == pytest.approx(240 * 180 / 120_000, rel=0.05)
    outline = np.array(finding["outlines"][0])
    assert (outline >= 0).all()
    assert (outline <= [400, 300]).all()
    assert finding["numbers"]["miss"] > 3.0
    actions = {advice["action"]: advice for advice in finding["advice"]}
    assert 0.0 < actions["saturation"]["amount"] < 0.7
    assert all(advice["sentence"] for advice in finding["advice"])
    assert main(words) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert finding["sentence"] in text
    assert report["verdict"] in text


def test_inspect_counts_what_is_known_to_be_lost(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Pure sRGB green and blue lie outside canvas; white, black, green and blue are clipped.

    Four of the six patches have a channel at the top or all at the bottom; the two primaries
    have a chroma (Lab 87.8 -79 81 and 30 68 -112, IEC 61966-2-1) that no matte stock comes
    near (REFERENCE medium gamuts of ISO 12640-3, from memory).
    """
    assert main(["inspect", "patches.png", "--stock", "canvas", "--json"]) == 0
    marks = json.loads(capsys.readouterr().out)[0]["marks"]
    shares = {mark["kind"]: mark["share"] for mark in marks}
    assert shares["clipped_in_file"] == pytest.approx(4 / 6)
    assert shares["out_of_gamut"] == pytest.approx(2 / 6)


def test_inspect_goes_on_after_a_file_that_cannot_be_read(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The others are reported, the bad one is named in one line, and the status tells."""
    (folder / "broken.jpg").write_bytes(b"\xff\xd8\xff" + bytes(20))
    words = ["inspect", "broken.jpg", "patches.png", "missing.tif"]
    assert main([*words, "--json"]) == 2
    said = capsys.readouterr()
    reports = json.loads(said.out)
    assert [bool(report["photograph"]) for report in reports] == [False, True, False]
    assert [bool(report.get("error")) for report in reports] == [True, False, True]
    assert len(said.err.splitlines()) == 2
    assert main(words) == 2
    said = capsys.readouterr()
    assert said.out.startswith("patches.png on smooth matte (typical values)")
    assert "missing.tif" in said.err


def test_inspect_in_words_has_facts_and_marks(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Sentence, file, and one line for each kind that is lost; hidden kinds stay hidden."""
    assert main(["inspect", "patches.png"]) == 0
    out = capsys.readouterr().out
    assert "The file: 60 × 20 px, RGB, 8 bits a channel, sRGB (assumed), 300 ppi." in out
    assert "On paper: 51 ppi." in " ".join(out.split())  # 60 px on 3 cm
    assert "Fine detail may look soft" in out
    assert "67 %  Clipped in the file: " in out
    assert main(["inspect", "patches.png", "--marks", "blown_highlights"]) == 0
    out = capsys.readouterr().out
    assert "Clipped in the file" not in out


def test_inspect_tells_the_size_that_is_printed(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A square frame holds a picture of 3:1 as 45 x 15 cm, in words and in JSON alike."""
    Image.fromarray(np.full((400, 1200), 90, np.uint8)).save("wide.tif")
    words = ["wide.tif", "--size", "45x45", "--distance", "3", "--stock", str(FOGRA39)]
    assert main(["inspect", *words, "--json"]) == 0
    report = json.loads(capsys.readouterr().out)[0]
    assert report["setting"]["size_mm"] == [450.0, 150.0]
    assert report["print_ppi"] == pytest.approx(1200 / (45 / 2.54), abs=0.05)
    assert "45 × 15 cm (fitted into 45 × 45 cm)" in report["sentence"]
    assert "(colours from the profile; surface typical)" in report["sentence"]
    assert any("surface, brightener and spectra are typical" in note for note in report["notes"])
    assert not any("soft" in note for note in report["notes"])


# ---- lists ---------------------------------------------------------------------------------


def test_stocks_json_has_the_promised_shape(capsys: pytest.CaptureFixture[str]) -> None:
    """Scripts depend on these names."""
    assert main(["stocks", "--json"]) == 0
    stocks = json.loads(capsys.readouterr().out)
    promised = {
        "name", "class", "kind", "white_Lab", "black_Lab", "Dmax", "gamut_volume", "provenance",
    }  # fmt: skip
    assert stocks
    for stock in stocks:
        assert promised <= set(stock)
        assert stock["kind"] in ("described", "profiled")
        assert len(stock["white_Lab"]) == len(stock["black_Lab"]) == 3
        assert stock["white_Lab"][0] > 90 > 30 > stock["black_Lab"][0]
        assert 1.3 < stock["Dmax"] < 2.6
        assert 300_000 < stock["gamut_volume"] < 1_200_000
        assert stock["provenance"]


@pytest.mark.parametrize(
    ("command", "keys"),
    [
        ("lights", {"name", "cct_K", "duv", "fidelity_Rf", "provenance", "caution"}),
        ("glazings", {"name", "transmittance", "reflectance", "provenance"}),
        ("places", {"name", "illuminance_lux", "light", "aliases", "provenance", "caution"}),
    ],
)
def test_other_lists_have_names_numbers_and_provenance(
    command: str, keys: set[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is listed without saying where it comes from."""
    assert main([command, "--json"]) == 0
    records = json.loads(capsys.readouterr().out)
    assert len(records) > 3
    for record in records:
        assert keys <= set(record)
        assert record["provenance"]


@pytest.mark.parametrize("command", ["stocks", "lights", "glazings", "places"])
def test_lists_in_words_name_everything_that_json_names(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """In the same order, one line each."""
    main([command, "--json"])
    names = [record["name"] for record in json.loads(capsys.readouterr().out)]
    assert main([command]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(names) == len(lines[1 : lines.index("")])
    for name, line in zip(names, lines[1:], strict=False):
        assert line.startswith(name)


def test_a_place_is_lit_by_its_usual_lamp_unless_another_is_named(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """And a number of lux by the lamp of the start, that of ISO 3664."""
    for words, light in (
        (["--lux", "hall"], "LED-B1"),
        (["--lux", "hall", "--light", "D50"], "D50"),
        (["--lux", "50"], "D50"),
    ):
        assert main(["inspect", "patches.png", "--json", *words]) == 0
        assert json.loads(capsys.readouterr().out)[0]["setting"]["light"] == light


def test_what_is_listed_can_be_asked_for(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Everything by its listed name."""
    listed = {}
    for command in ("stocks", "lights", "glazings", "places"):
        main([command, "--json"])
        listed[command] = [record["name"] for record in json.loads(capsys.readouterr().out)]
    from app.state import canonical
    from proofing.catalogue import Catalogue

    catalogue = Catalogue.load()
    rows = ("stock", "light", "glazing", "illuminance")
    for row, names in zip(rows, listed.values(), strict=True):
        for name in names:
            setting = Setting().change(**{row: name})
            assert setting == canonical(setting, catalogue)


def test_a_profile_is_listed_with_its_white_and_black(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """FOGRA39: paper 95 0 -2, black 16 0 0 of ISO 12647-2:2004, paper type 1 (from memory)."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    own = tmp_path / "stocklight" / "stocks"
    own.mkdir(parents=True)
    (own / "press.icc").write_bytes(FOGRA39.read_bytes())
    assert main(["stocks", "--json"]) == 0
    stock = json.loads(capsys.readouterr().out)[-1]
    assert stock["kind"] == "profiled"
    assert stock["white_Lab"] == pytest.approx([95, 0, -2], abs=1)
    assert stock["black_Lab"][0] < 16
    assert main(["stocks"]) == 0
    lines = capsys.readouterr().out.splitlines()
    line = next(line for line in lines if line.startswith(stock["name"]))
    assert "profile; surface typical" in line
    assert f"{stock['Dmax']:.2f}" in line


def test_one_pane_has_one_figure(capsys: pytest.CaptureFixture[str]) -> None:
    """The list and the words of the window and the reports agree."""
    from app.words import glazing_in_words
    from proofing.catalogue import Catalogue

    assert main(["glazings"]) == 0
    lines = capsys.readouterr().out.splitlines()
    for glazing, line in zip(Catalogue.load().glazings, lines[1:], strict=False):
        words = glazing_in_words(glazing)
        assert glazing.is_none == (words == "")
        assert all(figure in line for figure in words.split(" ") if figure[:1].isdigit())


def test_a_bad_file_among_ones_own_stocks_is_told_and_left_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The others are listed; the output stays JSON."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    own = tmp_path / "stocklight" / "stocks"
    own.mkdir(parents=True)
    (own / "broken.toml").write_text("name = ")
    record = (ROOT / "resources/stocks/baryta.toml").read_text().replace("baryta", "my baryta")
    (own / "mine.toml").write_text(record)
    assert main(["stocks", "--json"]) == 0
    said = capsys.readouterr()
    names = [stock["name"] for stock in json.loads(said.out)]
    assert names[-1] == "my baryta"
    assert len(said.err.splitlines()) == 1
    assert "broken.toml" in said.err


# ---- errors --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "text"),
    [
        (["simulate", "missing.tif", "-o", "o.tif"], "missing.tif"),
        (["simulate", "patches.png", "-o", "o.jpg"], "must end in .tif"),
        (["simulate", "patches.png", "--as-print-lab", "-o", "o.png"], "must end in .tif"),
        (["simulate", "patches.png", "-o", "no/o.tif"], "there is no folder no"),
        (["pair", "patches.png", "-o", "o.tif"], "must end in .png"),
        (["pair", "patches.png", "--stock", "vellum", "-o", "o.png"], "smooth matte"),
        (["pair", "patches.png", "--light", "moonlight", "-o", "o.png"],
         "(see stocklight lights)"),
        (["pair", "patches.png", "--glazing", "wax", "-o", "o.png"], "no glass"),
        (["pair", "patches.png", "--lux", "moon", "-o", "o.png"], "hallway"),
        (["pair", "patches.png", "--stock", "gone.icc", "-o", "o.png"], "check the path"),
        (["pair", "patches.png", "--stock", "patches.png", "-o", "o.png"],
         "neither an ICC output profile nor a stock record"),
        (["pair", "patches.png", "--screen-profile", "gone.icc", "-o", "o.png"], "gone.icc"),
        (["pair", "patches.png", "--screen-profile", str(FOGRA39), "-o", "o.png"], "monitor"),
        (["pair", "patches.png", "--screen-black", "19", "--screen-luminance", "40",
          "-o", "o.png"], "stocklight: --screen-black 19.0: a screen's black is at most a fifth"),
        (["pair", "patches.png", "--edge-width", "2cm", "-o", "o.png"],
         "stocklight: --edge-width 20: there is no edge to be so wide; add --edge margin"),
        (["inspect", "patches.png", "--crop-place", "0"],
         "stocklight: --crop-place 0: the whole picture is printed; add --crop, as in --crop 4:5"),
        (["order", "patches.png", "--edge", "none", "--edge-width", "20", "-o", "o.tif"],
         "add --edge margin for white paper, or --edge mirrored, white, black or picture"),
        (["inspect", "patches.png", "--intent", "nicest"], "relative"),
        (["inspect", "patches.png", "--size", "0x0"], "choose sides"),
        (["inspect", "patches.png", "--papers", "3"], "--papers 3 (see stocklight inspect --help)"),
        (["patches.png", "--papers"], "--papers (see stocklight view --help)"),
        (["frobnicate"], "neither a command nor a file here (see stocklight --help)"),
        (["frobnicate", "patches.png"], "'frobnicate' is neither a command nor a file here"),
        (["oder", "patches.png", "-o", "o.tif"],
         "there is no command 'oder'; did you mean order? (see stocklight --help)"),
        (["Simulat", "patches.png"], "did you mean simulate?"),
        (["inspect", "patches.png", "--lux", "1e9"], "1000000000: choose from 1 to 100000 lx"),
        (["inspect", "patches.png", "--marks", "holes,dust"], "holes, dust: choose among: out_of"),
        (["pair", "patches.png", "--light", "warm gallery", "--stock", "matte", "-o", "o.png"],
         "one of several stocks: 'smooth matte' · 'cotton matte'; write more of the name (see "
         "stocklight stocks)"),
        (["inspect"], "PHOTO"),
        (["pair", "patches.png", "--stock", "x" * 300, "-o", "o.png"], "xxx"),
        (["pair", "x" * 300, "-o", "o.png"], "xxx"),
        (["pair", "patches.png", "-o", "x" * 300 + ".png"], "cannot be written"),
        (["simulate", "patches.png"], "--output"),
        (["stocks", "everything"], "everything"),
    ],
)  # fmt: skip
def test_an_error_is_one_line_and_leaves_nothing_behind(
    words: list[str], text: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit status 2, no traceback, nothing on the output, no file."""
    assert main(words) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert len(said.err.splitlines()) == 1
    assert said.err.startswith("stocklight")
    assert text in said.err
    assert _left(folder) == {"patches.png"}


@pytest.mark.parametrize(
    "words", [["--edge-width", "0"], ["--edge", "margin", "--edge-width", "20"], ["--bleed", "3"]]
)
def test_a_width_is_refused_only_where_it_is_asked_for_and_there_is_no_edge(
    words: list[str], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A width of 0 is no edge either; a setting that was saved with a width of 20 mm beside no
    edge is still read."""
    assert main(["inspect", "patches.png", "--marks", "none", *words]) == 0
    assert "patches.png" in capsys.readouterr().out
    assert Setting.from_toml(Setting(edge_mm=20.0).to_toml()).edge_mm == 20.0


@pytest.mark.parametrize("link", ["plain", "symbolic", "hard", "dotted"])
def test_an_input_is_never_written_onto(
    link: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """By whatever name it is given."""
    before = (folder / "patches.png").read_bytes()
    output = {"plain": "patches.png", "dotted": f"../{folder.name}/patches.png"}.get(link, "o.png")
    if link == "symbolic":
        Path(output).symlink_to("patches.png")
    if link == "hard":
        Path(output).hardlink_to("patches.png")
    for words in (["simulate"], ["pair"], ["pair", "--overwrite"]):
        assert main([*words, "patches.png", "-o", output]) == 2
        assert "being read; choose another name" in capsys.readouterr().err
    assert before == (folder / "patches.png").read_bytes()


@pytest.mark.parametrize("command", ["simulate", "pair"])
def test_a_file_that_is_there_is_replaced_only_when_that_is_said(
    command: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Before any work, and naming the option; a link that leads nowhere is there too."""
    (folder / "out.png").write_bytes(b"old")
    (folder / "link.png").symlink_to("nowhere.png")
    for name in ("out.png", "link.png"):
        assert main([command, "patches.png", "-o", name]) == 2
        assert "--overwrite" in capsys.readouterr().err
    assert (folder / "out.png").read_bytes() == b"old"
    assert main([command, "patches.png", "-o", "out.png", "--overwrite"]) == 0
    with Image.open("out.png") as image:
        assert image.width >= 60
    assert _left(folder) == {"patches.png", "out.png", "link.png"}


def test_a_disk_that_fills_up_leaves_the_old_file(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Half a file is never left, and the file that was there stays."""

    def half(file: Path, *_: object, **__: object) -> None:
        Path(file).write_bytes(b"II*\0half")
        raise OSError(errno.ENOSPC, "No space left on device")

    (folder / "out.tif").write_bytes(b"old")
    monkeypatch.setattr(tifffile, "imwrite", half)
    assert main(["simulate", "patches.png", "-o", "out.tif", "--overwrite"]) == 2
    said = capsys.readouterr()
    assert "No space left on device" in said.err
    assert len(said.err.splitlines()) == 1
    assert (folder / "out.tif").read_bytes() == b"old"
    assert _left(folder) == {"patches.png", "out.tif"}


@pytest.mark.parametrize("stop", [KeyboardInterrupt, command_line._Terminated])
def test_stopping_leaves_nothing_behind(
    stop: type[BaseException],
    folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """In the middle of writing, by the keyboard or by the system."""

    def half(file: Path, *_: object, **__: object) -> None:
        Path(file).write_bytes(b"II*\0half")
        raise stop

    monkeypatch.setattr(tifffile, "imwrite", half)
    assert main(["simulate", "patches.png", "-o", "out.tif"]) == 130
    assert capsys.readouterr().err == "stocklight: stopped\n"
    assert _left(folder) == {"patches.png"}


def test_too_little_memory_is_said_in_one_line(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """No traceback for a picture that is too large for the computer."""

    def too_large(*_: object, **__: object) -> None:
        raise MemoryError

    monkeypatch.setattr(tasks, "inspect", too_large)
    assert main(["inspect", "patches.png"]) == 2
    assert "not enough memory" in capsys.readouterr().err


# ---- as a process --------------------------------------------------------------------------


def _environment(**changes: str) -> dict[str, str]:
    hidden = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    kept = {name: value for name, value in os.environ.items() if name not in hidden}
    return {**kept, "PYTHONPATH": str(ROOT), **changes}


def test_simulate_and_inspect_import_no_toolkit(folder: Path) -> None:
    """A server without a display, or without the toolkit, can run them."""
    program = (
        "import sys\n"
        "from app.command_line import main\n"
        "codes = [main(['inspect', 'patches.png', '--json']),\n"
        "         main(['simulate', 'patches.png', '--output', 'o.png']),\n"
        "         main(['pair', 'patches.png', '--output', 'p.png'])]\n"
        "toolkit = [name for name in sys.modules if name.split('.')[0] in\n"
        "           ('PySide6', 'shiboken6', 'PyQt6')]\n"
        "print(codes, toolkit, file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-W", "error::DeprecationWarning", "-c", program],
        capture_output=True, text=True, cwd=folder, env=_environment(), check=True,
    )  # fmt: skip
    assert done.stderr == "[0, 0, 0] []\n"
    assert _left(folder) == {"patches.png", "o.png", "p.png"}


def test_view_without_a_display_writes_the_pair_instead(folder: Path) -> None:
    """The same command still does the main job; what to set is said in one sentence."""
    done = subprocess.run(
        [sys.executable, "-m", "app", "patches.png", "--stock", "baryta"],
        capture_output=True, text=True, cwd=folder, env=_environment(), check=False,
    )  # fmt: skip
    assert done.returncode == 0
    assert len(done.stderr.splitlines()) == 1
    assert "DISPLAY" in done.stderr
    assert "Clipped in the file" in done.stdout
    path = Path(done.stdout.splitlines()[-1].removeprefix("Written instead of a window: "))
    assert path == folder / "patches on baryta.png"
    with Image.open(path) as image:
        assert image.width == 2400


def test_a_pipe_whose_reader_has_gone_is_no_error(folder: Path) -> None:
    """`stocklight lights | head -1` ends quietly."""
    reader, writer = os.pipe()
    os.close(reader)
    done = subprocess.run(
        [sys.executable, "-m", "app", "glazings"], stdout=writer, stderr=subprocess.PIPE,
        text=True, cwd=folder, env=_environment(), check=False,
    )  # fmt: skip
    os.close(writer)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_the_window_can_be_stopped_from_outside(number: signal.Signals, folder: Path) -> None:
    """Though the toolkit's event loop runs and Python does not."""
    program = (
        "import sys\n"
        "from PySide6.QtCore import QTimer\n"
        "from PySide6.QtWidgets import QApplication, QWidget\n"
        "import app.window\n"
        "from app.command_line import main\n"
        "def run(setting, sitting, *, asked):\n"
        "    application, window = QApplication([]), QWidget()\n"
        "    window.show()\n"
        "    QTimer.singleShot(0, lambda: print('up', flush=True))\n"
        "    return application.exec()\n"
        "app.window.run_window = run\n"
        "sys.exit(main(['patches.png']))\n"
    )
    environment = _environment(QT_QPA_PLATFORM="offscreen")
    with subprocess.Popen(
        [sys.executable, "-c", program], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        text=True, cwd=folder, env=environment,
    ) as running:  # fmt: skip
        assert running.stdout is not None and running.stderr is not None
        assert running.stdout.readline() == "up\n"
        running.send_signal(number)
        try:
            assert running.wait(timeout=60) == 130
        finally:
            running.kill()
        assert running.stderr.read() == "stocklight: stopped\n"


# ---- view ----------------------------------------------------------------------------------


def test_view_opens_the_window_where_it_can(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With the setting that the words ask for; without a photograph, the demonstration's, and once
    there was a sitting, the last one's."""
    import app.display
    import app.window
    from app.memory import Sitting, write_sitting

    monkeypatch.setenv("XDG_STATE_HOME", str(folder / "state"))
    opened: list[Setting] = []
    monkeypatch.setattr(app.display, "obstacle", lambda: "")
    monkeypatch.setattr(
        app.window, "run_window", lambda setting, _, asked: opened.append(setting) or 0
    )
    assert main(["patches.png", "--stock", "baryta"]) == 0
    assert main([]) == 0
    write_sitting(Sitting(Setting(photograph=str(folder / "patches.png"), light="A")))
    assert main([]) == 0
    assert opened[0] == Setting(photograph="patches.png", stock="baryta")
    assert opened[1].photograph == str(tasks.demonstration_picture() or "")
    assert (opened[2].photograph, opened[2].light) == (str(folder / "patches.png"), "A")


def test_view_without_window_or_writable_folder_writes_to_a_temporary_one(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
    tmp_path_factory: pytest.TempPathFactory,
) -> None:  # fmt: skip
    """And prints where."""
    import app.display

    monkeypatch.setattr(app.display, "obstacle", lambda: "No display.")
    monkeypatch.setattr(tasks, "writable", lambda place: place != folder)
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path_factory.mktemp("elsewhere")))
    assert main(["patches.png"]) == 0
    said = capsys.readouterr()
    path = Path(said.out.splitlines()[-1].removeprefix("Written instead of a window: "))
    assert path.is_file()
    assert path.parent != folder
    assert _left(folder) == {"patches.png"}


def test_view_never_writes_over_what_is_there(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A file that nobody named gets a name of its own."""
    import app.display

    monkeypatch.setattr(app.display, "obstacle", lambda: "No display.")
    (folder / "patches on smooth matte.png").write_bytes(b"old")
    assert main(["patches.png"]) == 0
    assert (folder / "patches on smooth matte.png").read_bytes() == b"old"
    assert (folder / "patches on smooth matte 2.png").is_file()


def test_view_without_anything_to_show_says_so(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Neither a display nor a photograph nor the demonstration."""
    import app.display

    monkeypatch.setattr(app.display, "obstacle", lambda: "There is no display here.")
    monkeypatch.setattr(tasks, "demonstration_picture", lambda: None)
    assert main([]) == 2
    said = capsys.readouterr().err
    assert len(said.splitlines()) == 1
    assert "no display" in said
    assert "name a photograph" in said


def test_marks_are_the_promised_ones() -> None:
    """The table of settings, the JSON and the kinds agree."""
    assert {kind.value for kind in Kind} == PROMISED_KINDS


def _file(data: bytes) -> Any:
    return io.BytesIO(data)
