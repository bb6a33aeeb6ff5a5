"""The print model against published formulas and hand-computed numbers."""

from __future__ import annotations

import numpy as np
import pytest

from proofing.colorimetry import XYZ_to_Lab, d50_weights
from proofing.errors import RecordError
from proofing.printing import Ink, InkSet, Paper
from proofing.printing.model import demichel, yule_nielsen
from proofing.printing.paper import emission_shape, saunderson, saunderson_inverse

from .stocks import NAMES, stock


def test_demichel_areas_of_three_inks() -> None:
    """Demichel 1924, coverages .5 .3 .2; areas computed by hand."""
    white, y, m, my, c, cy, cm, cmy = demichel(np.array([[0.5, 0.3, 0.2]]))[0]
    assert pytest.approx([white, c, m, y]) == [0.28, 0.28, 0.12, 0.07]
    assert pytest.approx([cm, cy, my, cmy]) == [0.12, 0.07, 0.03, 0.03]


@pytest.mark.parametrize(
    ("n", "expected"), [(1, 0.475), (2, 0.34357), (3, 0.29667), (5, 0.26066), (10, 0.23540)]
)
def test_yule_nielsen(n: float, expected: float) -> None:
    """Yule and Nielsen 1951: a = .5 of ink R = .05 on paper R = .9; computed from the formula."""
    R = yule_nielsen(np.array([[0.5, 0.5]]), np.array([[0.9], [0.05]]), n)
    assert expected == pytest.approx(R.item(), abs=5e-6)


def test_saunderson_of_the_common_index() -> None:
    """Saunderson 1942 with k1 = .040, k2 = .596 (n = 1.5): R = .5 -> .3160, computed by hand."""
    R_m = 0.04 + 0.96 * 0.404 * 0.5 / (1 - 0.298)
    assert R_m == pytest.approx(float(saunderson(np.array(0.5), 0.04, 0.596)))
    R = np.linspace(0.0, 1.0, 11)
    assert pytest.approx(saunderson_inverse(saunderson(R, 0.04, 0.596), 0.04, 0.596)) == R


def test_paper_has_the_white_it_was_made_of() -> None:
    """M1 Lab and M2 b* of a smooth paper come back from its spectra (CIE 15 colorimetry)."""
    paper = Paper.from_white(np.array([96.5, 1.5, -7.0]), 0.0)
    W = d50_weights()
    assert pytest.approx(
        XYZ_to_Lab((paper.reflectance + paper.emission) @ W).tolist(), abs=0.02
    ) == [96.5, 1.5, -7.0]
    assert float(XYZ_to_Lab(paper.reflectance @ W)[2]) == pytest.approx(0.0, abs=0.02)
    assert np.abs(np.diff(paper.reflectance, 2)).max() < 0.002  # smooth
    assert paper.reflectance.min() > 0.0 and paper.reflectance.max() < 1.0


def test_brightener_shifts_the_white_as_published() -> None:
    """Each +.10 in beta(440) under D50: db* -4.4, da* +1.3, dL* +.1 (computed elsewhere from the
    same emission shape with the library's D50 and observer at 1 nm)."""
    base = Paper.from_white(np.array([96.0, 0.0, 1.3]))
    W = d50_weights()
    before = XYZ_to_Lab(base.reflectance @ W)
    after = XYZ_to_Lab((base.reflectance + 0.10 * emission_shape()) @ W)
    dL, da, db = after - before
    assert pytest.approx(db, abs=0.25) == -4.4
    assert pytest.approx(da, abs=0.2) == 1.3
    assert pytest.approx(dL, abs=0.06) == 0.1


def test_ink_takes_the_glow_away() -> None:
    """Fluorescence falls under ink at both ends: a solid yellow, which blocks the ultraviolet and
    the blue, leaves less than a tenth of it (physics: Beer-Lambert in and out)."""
    model = stock("smooth matte").model
    _, emission = model.spectra(np.array([[0, 0, 0], [0, 0, 0.5], [0, 0, 1.0]]))
    total = emission.sum(axis=1)
    assert total[0] > total[1] > total[2]
    assert total[2] < 0.1 * total[0]


@pytest.mark.parametrize("name", NAMES)
def test_more_ink_is_never_lighter(name: str) -> None:
    """Along the grey diagonal of the colorants, luminance falls all the way to the black."""
    t = np.linspace(0.0, 1.0, 101)
    Y = stock(name).model.XYZ(np.repeat(t[:, None], 3, axis=1))[:, 1]
    assert (np.diff(Y) < 0).all()


@pytest.mark.parametrize("name", NAMES)
def test_coverages_stay_between_none_and_full(name: str) -> None:
    """No coverage leaves 0..1, and two extra inks never meet."""
    colorants = np.random.default_rng(1).random((5000, 3))
    ink = stock(name).model.coverages(colorants)
    assert ink.min() >= 0.0 and ink.max() <= 1.0
    assert ((ink[:, 4:] > 0).sum(axis=1) <= 1).all()


def test_an_ink_set_without_black_is_refused() -> None:
    """The error names what is missing."""
    with pytest.raises(RecordError, match="cyan, magenta, yellow, black"):
        InkSet.from_record(
            {"name": "x", "provenance": "y", "inks": {"cyan": {"floor": 0.1}}}
            | {"inks": {"cyan": {"density_ultraviolet": 0.1}}}
        )


def test_an_ink_record_without_numbers_is_refused() -> None:
    """The error names the ink."""
    with pytest.raises(RecordError, match="ink 'cyan'"):
        Ink.from_record("cyan", {"bands": [{"peak_nm": 600}], "density_ultraviolet": 1.0})
