"""Places: few, named, outlined, ranked."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest

from proofing.findings.cover import mark_bits
from proofing.findings.kinds import Kind
from proofing.findings.regions import find_regions

Float = npt.NDArray[np.float64]
CELL_PX, SIZE = 8, (480, 640)


def regions(lost: Float, loss: Float | None = None, arcmin: float = 5.0):  # type: ignore[no-untyped-def]
    total = np.full(lost.shape, 64.0)
    return find_regions(
        lost * 64.0, np.ones(lost.shape) if loss is None else loss, total,
        cell_px=CELL_PX, cell_arcmin=arcmin, size=SIZE,
    )  # fmt: skip


def test_neighbours_join_and_specks_are_summed_up() -> None:
    """Two patches a cell apart are one place; single cells are none, but count."""
    lost = np.zeros((60, 80))
    lost[10:20, 10:20] = 1
    lost[10:20, 21:30] = 1
    lost[50, ::9] = 1
    found = regions(lost)
    assert len(found.found) == 1
    place = found.found[0]
    assert place.box == (80, 80, 160, 80)
    assert place.pixels == 190 * 64
    assert place.share == pytest.approx(190 / 4800)
    assert found.rest == 9 * 64
    assert found.pixels == place.pixels + found.rest


def test_the_worst_comes_first() -> None:
    """Loss x area x centrality: twice the loss beats the same area, the middle beats a corner."""
    lost = np.zeros((60, 80))
    lost[2:12, 2:12] = 1
    lost[25:35, 35:45] = 1
    lost[48:58, 68:78] = 1
    loss = np.ones((60, 80))
    loss[48:58, 68:78] = 4
    where = [place.where for place in regions(lost, loss).found]
    assert where == ["lower right", "in the middle", "upper left"]


@pytest.mark.parametrize(
    ("rows", "columns", "where"),
    [
        (slice(0, 60), slice(0, 80), "all over the picture"),
        (slice(50, 60), slice(0, 80), "along the bottom"),
        (slice(0, 60), slice(0, 10), "down the left side"),
        (slice(25, 35), slice(65, 79), "middle right"),
        (slice(2, 12), slice(35, 45), "at the top"),
    ],
)
def test_a_word_for_where(rows: slice, columns: slice, where: str) -> None:
    """As a person would say it."""
    lost = np.zeros((60, 80))
    lost[rows, columns] = 1
    assert regions(lost).found[0].where == where


def test_the_outline_holds_the_place() -> None:
    """It closes, stays in the picture, and encloses about the area of the cells."""
    lost = np.zeros((60, 80))
    lost[20:40, 0:30] = 1
    place = regions(lost).found[0]
    assert len(place.outlines) == 1
    line = place.outlines[0]
    np.testing.assert_array_equal(line[0], line[-1])
    assert line.min() >= 0
    assert (line.max(axis=0) <= (640, 480)).all()
    x, y = line.T
    area = 0.5 * abs(x[:-1] @ y[1:] - x[1:] @ y[:-1])
    assert area == pytest.approx(20 * 30 * 64, rel=0.1)


def test_nothing_lost_is_no_place() -> None:
    """Nor is a picture without opaque pixels."""
    assert regions(np.zeros((6, 8))).found == ()
    nothing = find_regions(
        np.zeros((3, 3)), np.ones((3, 3)), np.zeros((3, 3)), cell_px=8, cell_arcmin=5.0, size=(9, 9)
    )
    assert (nothing.found, nothing.pixels) == ((), 0.0)


@pytest.mark.parametrize("scale", [0.1, 0.5, 1.0, 3.0])
@pytest.mark.parametrize("offset", [(0.0, 0.0), (-37.0, 12.0)])
def test_marks_lie_where_the_cells_are(scale: float, offset: tuple[float, float]) -> None:
    """At any zoom and crop: the middles of marked cells are marked, those of others not."""
    rng = np.random.default_rng(1)
    cells = np.kron(rng.random((10, 12)) < 0.4, np.ones((6, 6))).astype(np.float32)
    bits = mark_bits(
        {Kind.BLOCKED_SHADOWS: cells}, (Kind.BLOCKED_SHADOWS,), 8, scale, offset, (300, 350)
    )
    if scale == 0.1:
        return  # a cell is less than a pixel
    for (row, column), value in np.ndenumerate(cells):
        around = cells[max(row - 1, 0) : row + 2, max(column - 1, 0) : column + 2]
        x = int((column + 0.5) * 8 * scale + offset[0])
        y = int((row + 0.5) * 8 * scale + offset[1])
        if 0 <= x < 350 and 0 <= y < 300 and around.min() == around.max():
            assert bits[y, x] == Kind.BLOCKED_SHADOWS.bit * int(value)
