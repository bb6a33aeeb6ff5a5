"""Which nodes a picture needs: what the compiled loop reads, and little more."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pytest

from proofing.lattice import Lattice, Output, Shaper, apply, touched_nodes


class Grey:
    """Any rising lightness will do."""

    kind, key = "RGB", "squares"

    def to_XYZ(self, codes01: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        return codes01**2.2 * [0.9642, 1.0, 0.8249]


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16, np.float32])
@pytest.mark.parametrize("n", [2, 9, 33])
def test_nodes_that_are_not_needed_are_never_read(dtype: Any, n: int) -> None:
    """With every other node spoilt by a huge number, pixels come out the same to the bit."""
    rng = np.random.default_rng(n)
    top = 1 if dtype is np.float32 else np.iinfo(dtype).max
    codes = (rng.normal(0.4, 0.12, (40, 50, 3)).clip(0, 1) * top).astype(dtype)
    codes[0, 0], codes[0, 1] = 0, top
    shaper = Shaper.for_encoding(Grey(), n)
    values = rng.random((n**3, 5)).astype(np.float32)
    needed = touched_nodes(shaper, codes)
    spoilt = np.where(needed[:, None], values, np.float32(1e30))
    whole, some = (
        apply(
            Lattice(v.reshape(n, n, n, 5), ("a", "b"), shaper, "x"), codes, output=Output.RAW
        )
        for v in (values, spoilt)
    )  # fmt: skip
    assert np.array_equal(whole, some)
    if n == 33:
        assert needed.mean() < 0.4


def test_one_colour_needs_its_own_cube() -> None:
    codes = np.full((3, 4, 3), (10, 128, 250), np.uint8)
    assert touched_nodes(Shaper.even(17), codes).sum() == 8
