"""Described stocks: do they land where their classes lie, and are bad records refused?"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from proofing.catalogue import Catalogue, keep_stock
from proofing.colorimetry import XYZ_to_Lab, d50_weights
from proofing.errors import ProfileError, RecordError, UnknownName
from proofing.printing import stock_from_measurement

from .stocks import NAMES, catalogue, stock

# Generic pigment-inkjet classes: Dmax and gamut volume from a published survey of 2010; whites,
# M2 b* and gloss from memory, common practice. Dmax, volume / 1000, white M1, b* M2, gloss GU.
CLASSES = {
    "smooth matte": ((1.65, 1.75), (500, 600), (96.5, 1.5, -7.0), 0.0, (2, 4)),
    "cotton matte": ((1.6, 1.7), (450, 550), (96.8, 0.0, 2.5), 2.5, (2, 3)),
    "canvas": ((1.4, 1.5), (400, 500), (95.5, 0.0, 3.5), 3.5, (2, 5)),
    "baryta": ((2.2, 2.4), (800, 900), (97.0, 0.5, -2.0), 0.5, (40, 60)),
    "lustre": ((2.0, 2.2), (750, 850), (95.0, 1.0, -6.0), -2.0, (15, 30)),
    "gloss": ((2.2, 2.4), (800, 900), (95.0, 1.0, -7.0), -2.0, (60, 100)),
}


@pytest.mark.parametrize("name", NAMES)
def test_a_stock_lies_inside_its_class(name: str) -> None:
    """White, Dmax, gamut volume, white without ultraviolet and gloss, measured on the model."""
    (D_low, D_high), (V_low, V_high), white, b_M2, (gloss_low, gloss_high) = CLASSES[name]
    s = stock(name)
    paper, black = s.model.XYZ(np.array([[0.0, 0.0, 0.0], [1.0, 1.0, 1.0]]))
    assert D_low <= -np.log10(black[1]) <= D_high
    assert D_low <= s.Dmax <= D_high
    assert V_low <= s.gamut_volume / 1000 <= V_high
    assert white == pytest.approx(XYZ_to_Lab(paper).tolist(), abs=0.03)
    without = XYZ_to_Lab(s.paper.reflectance @ d50_weights())
    assert b_M2 == pytest.approx(float(without[2]), abs=0.03)
    assert gloss_low <= s.surface.gloss_60_GU <= gloss_high


@pytest.mark.parametrize("name", NAMES)
def test_the_black_is_the_darkest_print(name: str) -> None:
    """No combination of colorants prints more than 0.03 in density below the stated Dmax."""
    s = stock(name)
    colorants = np.random.default_rng(2).random((40_000, 3)) ** 0.2
    darkest = s.model.XYZ(colorants)[:, 1].min()
    assert -np.log10(darkest) <= s.Dmax + 0.03


def test_the_usual_order_of_the_classes() -> None:
    """Common practice: gloss and baryta hold more colour and a deeper black than lustre, lustre
    than matte, matte than canvas."""
    ladder = ["canvas", "cotton matte", "smooth matte", "lustre", "baryta"]
    volumes = [stock(name).gamut_volume for name in ladder]
    blacks = [stock(name).Dmax for name in ladder]
    assert volumes == sorted(volumes)
    assert blacks == sorted(blacks)
    assert stock("gloss").gamut_volume > stock("lustre").gamut_volume


def test_every_record_tells_its_provenance_and_geometry() -> None:
    """Observer, geometry and measuring condition are in every record that ships."""
    import tomllib

    from proofing.viewing.records import RESOURCES

    files = sorted((RESOURCES / "stocks").glob("*.toml"))
    assert len(files) >= 6
    for path in files:
        record = tomllib.loads(path.read_text(encoding="utf-8"))
        for field in ("provenance", "observer", "geometry", "condition"):
            assert record[field].strip(), f"{path.name} lacks {field}"
        assert "ypical" in record["provenance"] or not record["typical"]


def test_white_and_black_alone_make_a_stock() -> None:
    """What was measured comes back from the model."""
    s = stock_from_measurement(
        "mine", np.array([94.0, 0.3, 1.0]), np.array([12.0, 0.5, -0.5]), catalogue().ink_sets
    )
    paper, black = s.model.XYZ(np.array([[0.0, 0.0, 0.0], [1.0, 1.0, 1.0]]))
    assert pytest.approx(XYZ_to_Lab(paper).tolist(), abs=0.03) == [94.0, 0.3, 1.0]
    assert pytest.approx(XYZ_to_Lab(black).tolist(), abs=0.1) == [12.0, 0.5, -0.5]
    assert s.gamut_volume > 300_000
    assert not s.typical


MINIMAL = """
name = "attic cotton"
provenance = "measured at home"
[white]
Lab = [95.0, 0.2, 2.0]
[black]
Lab = [17.0, 0.4, 0.6]
"""


def test_a_users_stock_shows_up(tmp_path: Path) -> None:
    """A record kept in the user's folder is listed by the next catalogue, under its own name."""
    record = tmp_path / "attic.toml"
    record.write_text(MINIMAL, encoding="utf-8")
    user = tmp_path / "data"
    kept = keep_stock(record, Catalogue.load(user))
    assert kept.read_text(encoding="utf-8") == MINIMAL
    again = Catalogue.load(user)
    assert again.stock("Attic-Cotton").Dmax == pytest.approx(1.64, abs=0.02)
    assert len(again.stocks) == len(NAMES) + 1
    with pytest.raises(RecordError, match="listed already"):
        keep_stock(record, again)


def test_a_bad_file_in_the_users_folder_is_left_out_and_named(tmp_path: Path) -> None:
    """The rest of the catalogue still loads."""
    folder = tmp_path / "stocks"
    folder.mkdir()
    (folder / "broken.toml").write_text("name = ", encoding="utf-8")
    (folder / "liar.icc").write_bytes(b"no profile")
    loaded = Catalogue.load(tmp_path)
    assert len(loaded.stocks) == len(NAMES)
    assert any("broken.toml" in problem for problem in loaded.problems)
    assert any("liar.icc" in problem for problem in loaded.problems)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (MINIMAL.replace("[95.0, 0.2, 2.0]", "[95.0, 0.2]"), "white.Lab.*three numbers"),
        (MINIMAL.replace("[95.0, 0.2, 2.0]", "[120.0, 0, 0]"), "white.Lab.*outside 60 to 100"),
        (MINIMAL.replace("[17.0, 0.4, 0.6]", '["a", 1, 2]'), "black.Lab.*three numbers"),
        (MINIMAL.replace('name = "attic cotton"', ""), "name.*needs a text"),
        (MINIMAL + "[inks]\nstrength = 90\n", "inks.strength.*from 0.1 to 3"),
        (MINIMAL + "[surface]\nkind = 'velvet'\n", "surface.kind.*choose one of: matte"),
        (MINIMAL + "[inks]\nset = 'gold'\n", "inks.set.*choose one of: pigment"),
        (MINIMAL.replace("[17.0, 0.4, 0.6]", "[5.0, 60, 60]"), "black.Lab"),
        ("name = [", "not a TOML text"),
    ],
)
def test_a_wrong_record_says_what_is_wrong(tmp_path: Path, text: str, message: str) -> None:
    """File, field and remedy are in the text."""
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(RecordError, match=r"^mine\.toml: .*" + message) as caught:
        catalogue().stock(path)
    assert caught.value.path == path


def test_an_unknown_name_lists_the_known_ones() -> None:
    """So does a path that leads nowhere, in its own words."""
    with pytest.raises(UnknownName, match="'smooth matte' · 'cotton matte'"):
        catalogue().stock("velvet")
    with pytest.raises(UnknownName):
        catalogue().stock("v" * 5000)
    with pytest.raises(RecordError, match="no such file"):
        catalogue().stock("/nowhere/paper.icc")


def test_a_monitor_profile_is_no_stock(tmp_path: Path) -> None:
    """The message tells what to ask the lab for."""
    from proofing.photograph.icc import srgb_profile

    path = tmp_path / "screen.icc"
    path.write_bytes(srgb_profile().data)
    with pytest.raises(ProfileError, match="output profile of the stock"):
        catalogue().stock(path)


def test_a_picture_is_no_stock(tmp_path: Path) -> None:
    """A file of another kind is named for what it is not."""
    path = tmp_path / "photo.tif"
    path.write_bytes(b"II*\0" + bytes(200))
    with pytest.raises(RecordError, match="neither an ICC output profile nor a stock record"):
        catalogue().stock(path)


def test_names_of_stocks_are_plain() -> None:
    """Lower-case words, no brands or signs in them."""
    for name in NAMES:
        assert re.fullmatch(r"[a-z]+( [a-z]+)*", name)


# Solid and half-tone patches of pigment inkjets, D50: ranges from common practice, from memory.
# L*, a*, b* low and high.
SOLIDS = {
    "cyan": ((1, 0, 0), ((45, 68), (-56, -30), (-60, -36))),
    "magenta": ((0, 1, 0), ((42, 60), (65, 90), (-30, 5))),
    "yellow": ((0, 0, 1), ((84, 95), (-14, 4), (85, 122))),
    "red": ((0, 1, 1), ((40, 58), (58, 80), (42, 75))),
    "green": ((1, 0, 1), ((32, 62), (-86, -55), (18, 52))),
    "blue": ((1, 1, 0), ((6, 32), (20, 58), (-75, -40))),
}


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("patch", SOLIDS)
def test_solid_patches_look_like_pigment_inks(name: str, patch: str) -> None:
    """Common practice: solids of pigment inkjets, matte to gloss, lie in these ranges."""
    colorants, ranges = SOLIDS[patch]
    Lab = XYZ_to_Lab(stock(name).model.XYZ(np.array([colorants], dtype=float)))[0]
    for value, (low, high) in zip(Lab, ranges, strict=True):
        assert low <= value <= high, Lab.round(1)


# Regression: what the calibrated records print, so that a change of ten per cent in an ink, in the
# Yule-Nielsen factor or in the black recipe does not pass unseen. Computed by this model on
# 2026-11-25 after the checks above; not an outside source.
CALIBRATED = {
    "smooth matte": [
        (76.28, -29.1, -33.03),
        (69.63, 55.54, -25.4),
        (93.17, -5.52, 51.63),
        (43.61, -3.28, -60.52),
        (55.23, 4.5, -7.57),
        (29.38, 3.51, -7.01),
        (19.31, 21.25, -38.8),
    ],
    "gloss": [
        (68.44, -36.9, -39.86),
        (60.83, 68.13, -26.98),
        (90.51, -5.78, 69.35),
        (24.53, 23.77, -71.87),
        (41.5, 4.72, -7.93),
        (14.94, 3.93, -8.82),
        (5.24, 19.55, -34.13),
    ],
}


@pytest.mark.parametrize("name", list(CALIBRATED))
def test_the_calibration_stays(name: str) -> None:
    """Half-tones, overprints and three-quarter greys keep their colour within 0.5 dE00."""
    from proofing.colorimetry import delta_E_00

    colorants = [(0.5, 0, 0), (0, 0.5, 0), (0, 0, 0.5), (1, 0.4, 0), (0.5, 0.5, 0.5), (0.8,) * 3,
                 (1, 1, 0.5)]  # fmt: skip
    Lab = XYZ_to_Lab(stock(name).model.XYZ(np.array(colorants)))
    assert delta_E_00(Lab, CALIBRATED[name]).max() < 0.5
