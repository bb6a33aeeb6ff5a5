"""A correction in other programs' hands: applied by libraries that know nothing of ours."""

from __future__ import annotations

import io
from pathlib import Path

import colour
import numpy as np
import pytest
from PIL import Image, ImageCms

from proofing.catalogue import Catalogue
from proofing.errors import SettingError
from proofing.ordering.correction_files import cube_text, curve_points, device_link
from proofing.photograph import Encoding
from proofing.photograph.icc import srgb_profile
from proofing.printing import ColourEase, Correction, Rendering, correction_for, shadow_lift

SRGB = Encoding("RGB", srgb_profile())


def delta_E(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """CIEDE2000 between codes of sRGB, by colour-science."""
    Lab = [
        colour.XYZ_to_Lab(colour.sRGB_to_XYZ(codes), colour.CCS_ILLUMINANTS[
            "CIE 1931 2 Degree Standard Observer"]["D65"])
        for codes in (one, other)
    ]  # fmt: skip
    return np.asarray(colour.delta_E(*Lab, method="CIE 2000"))


@pytest.mark.parametrize("stops", [0.25, 1.5])
def test_a_cube_table_is_our_correction(tmp_path: Path, stops: float) -> None:
    """Read and applied by colour-science: within dE00 0.01 over random colours."""
    correction = shadow_lift(SRGB, stops)
    path = tmp_path / "lift.cube"
    path.write_text(cube_text(correction, 'lift of "half" a stop'), encoding="utf-8")
    table = colour.read_LUT(str(path))
    codes = np.random.default_rng(1).uniform(0.0, 1.0, (2000, 3))
    assert delta_E(table.apply(codes), correction.apply(codes)).max() < 0.01
    assert '"lift of half a stop"' in path.read_text(encoding="utf-8")


def test_another_reader_of_cube_tables_finds_the_same(tmp_path: Path) -> None:
    """OpenColorIO, within dE00 0.01 over random colours."""
    ocio = pytest.importorskip("PyOpenColorIO")
    correction = shadow_lift(SRGB, 0.75)
    path = tmp_path / "lift.cube"
    path.write_text(cube_text(correction, "lift"), encoding="utf-8")
    transform = ocio.FileTransform(str(path), interpolation=ocio.INTERP_LINEAR)
    processor = ocio.Config.CreateRaw().getProcessor(transform).getDefaultCPUProcessor()
    codes = np.random.default_rng(5).uniform(0.0, 1.0, (500, 3))
    found = np.array([processor.applyRGB([float(c) for c in code]) for code in codes])
    assert delta_E(found, correction.apply(codes)).max() < 0.01


@pytest.mark.parametrize("stops", [0.25, 1.5])
def test_a_device_link_is_our_correction(stops: float) -> None:
    """Applied by LittleCMS, which Pillow brings, over all greys and random colours. It takes links
    one after the other, so one that changes nothing follows; 8 bits, so within a code."""
    correction = shadow_lift(SRGB, stops)
    plain = Correction(SRGB, (0.0, 1.0))
    links = [
        ImageCms.ImageCmsProfile(io.BytesIO(device_link(each, "a lift").data))
        for each in (correction, plain)
    ]
    transform = ImageCms.buildTransform(*links, "RGB", "RGB")
    greys = np.repeat(np.arange(256, dtype=np.uint8)[:, None], 3, axis=1)
    colours = np.random.default_rng(2).integers(0, 256, (4096, 3)).astype(np.uint8)
    given = np.concatenate([greys, colours])
    image = ImageCms.applyTransform(Image.fromarray(given[None]), transform)
    found = np.asarray(image)[0].astype(float)
    wanted = correction.apply(given / 255.0) * 255.0
    assert np.abs(found - wanted).max() <= 1.0
    assert delta_E(found / 255.0, np.rint(wanted) / 255.0).mean() < 0.3


def test_a_link_says_what_it_is() -> None:
    """A link from RGB to RGB, with its name (ICC.1:2022, 7.2.5)."""
    link = ImageCms.ImageCmsProfile(io.BytesIO(device_link(shadow_lift(SRGB, 1.0), "Lift").data))
    assert link.profile.device_class == "link"
    assert link.profile.xcolor_space.strip() == "RGB"
    assert link.profile.profile_description == "Lift"


def test_points_are_whole_codes_and_percent() -> None:
    points = curve_points(shadow_lift(SRGB, 0.5))
    assert (points[0].code_in, points[0].code_out) == (0, 0)
    assert (points[-1].code_in, points[-1].code_out) == (255, 255)
    for point in points:
        assert point.code_out >= point.code_in - 1
        assert abs(point.percent_in - point.code_in / 2.55) < 0.3
        assert abs(point.percent_out - point.code_out / 2.55) < 0.3


@pytest.mark.parametrize("make", [cube_text, device_link])
def test_a_lab_file_has_no_such_file(make) -> None:
    with pytest.raises(SettingError, match="save the photograph as RGB"):
        make(shadow_lift(Encoding("Lab", None), 0.5), "x")


def eased(share: float = 0.7, stops: float = 0.5) -> Correction:
    """A lift, and strong colours eased in for a matte stock."""
    matte = Catalogue.load().stock("smooth matte")
    return correction_for(
        SRGB, lift_stops=stops, ease=ColourEase(SRGB, matte, Rendering(), share)
    )  # fmt: skip


def test_a_cube_table_of_three_dimensions_is_our_correction(tmp_path: Path) -> None:
    """Applied by colour-science and by OpenColorIO over random colours: within dE00 0.3 for 99 of
    100, and 0.05 on average."""
    ocio = pytest.importorskip("PyOpenColorIO")
    correction = eased()
    path = tmp_path / "eased.cube"
    path.write_text(cube_text(correction, "eased"), encoding="utf-8")
    assert "LUT_3D_SIZE 65" in path.read_text(encoding="utf-8")
    codes = np.random.default_rng(7).uniform(0.0, 1.0, (1000, 3))
    transform = ocio.FileTransform(str(path), interpolation=ocio.INTERP_TETRAHEDRAL)
    processor = ocio.Config.CreateRaw().getProcessor(transform).getDefaultCPUProcessor()
    by_ocio = np.array([processor.applyRGB([float(c) for c in code]) for code in codes])
    by_colour = colour.read_LUT(str(path)).apply(codes)
    for found in (by_ocio, by_colour):
        off = delta_E(found, correction.apply(codes))
        assert np.quantile(off, 0.99) < 0.3
        assert off.mean() < 0.05


def test_a_device_link_with_colours_is_our_correction() -> None:
    """Applied by LittleCMS: within a code of 255 in 999 of 1000, dE00 0.3 on average."""
    correction = eased()
    plain = Correction(SRGB)
    links = [
        ImageCms.ImageCmsProfile(io.BytesIO(device_link(each, "eased").data))
        for each in (correction, plain)
    ]
    transform = ImageCms.buildTransform(*links, "RGB", "RGB", flags=ImageCms.Flags.NOOPTIMIZE)
    given = np.random.default_rng(8).integers(0, 256, (4096, 3)).astype(np.uint8)
    image = ImageCms.applyTransform(Image.fromarray(given[None]), transform)
    found = np.asarray(image)[0].astype(float)
    wanted = correction.apply(given / 255.0) * 255.0
    assert np.quantile(np.abs(found - wanted).max(axis=1), 0.999) <= 1.5
    assert delta_E(found / 255.0, np.rint(wanted) / 255.0).mean() < 0.3
