"""Baking a colour function."""

from __future__ import annotations

import threading

import numpy as np
import pytest

from proofing.errors import Cancelled, SettingError
from proofing.lattice import Lattice, Shaper, bake
from tests.lattice.simple import SRGB


def test_values_stand_at_their_nodes():
    """The first channel runs along the first axis; scalar channels follow the colours."""
    shaper = Shaper.for_encoding(SRGB, 5)
    lattice = bake(lambda c: np.column_stack([c, c @ [1, 10, 100]]), shaper, names=("sum",))
    r, g, b = shaper.node_positions()
    expected = [r[1], g[2], b[4], r[1] + 10 * g[2] + 100 * b[4]]
    np.testing.assert_allclose(lattice.values[1, 2, 4], expected, rtol=1e-6)
    assert lattice.channels == ("R", "G", "B", "sum")
    assert lattice.index("sum") == 3
    with pytest.raises(SettingError, match="R, G, B, sum"):
        lattice.index("total")


@pytest.mark.parametrize("workers", [1, 2, 5])
def test_threads_change_nothing(workers):
    """Chunks meet at the same values whoever computes them; no thread stays behind."""
    seen = set()

    def function(codes):
        seen.add(len(codes))
        return np.sqrt(codes)

    before = threading.active_count()
    lattice = bake(function, Shaper.even(33), workers=workers)
    assert threading.active_count() == before
    assert max(seen) <= 4096
    np.testing.assert_array_equal(
        lattice.values.reshape(-1, 3), np.sqrt(Shaper.even(33).node_codes()).astype(np.float32)
    )


def test_values_cannot_be_changed():
    """A lattice may be shared between threads."""
    lattice = bake(lambda c: c, Shaper.even(3))
    with pytest.raises(ValueError, match="read-only"):
        lattice.values[0] = 1.0


def test_called_off():
    """Cancelling between chunks raises, and the rest is not computed."""
    calls = []

    def function(codes):
        calls.append(len(codes))
        return codes

    with pytest.raises(Cancelled):
        bake(function, Shaper.even(33), cancel=lambda: len(calls) >= 3)
    assert 3 <= len(calls) <= 4
    with pytest.raises(Cancelled):
        bake(function, Shaper.even(5), workers=1, cancel=lambda: True)


def test_failures_come_through():
    """What the function raises reaches the caller, from whichever thread."""

    def function(codes):
        if np.any(codes == 1.0):
            raise SettingError("stock", "x", "no")
        return codes

    before = threading.active_count()
    with pytest.raises(SettingError, match="stock"):
        bake(function, Shaper.even(33))
    assert threading.active_count() == before


def test_wrong_functions_are_refused():
    """Too few channels, values that are not finite, names used twice."""
    with pytest.raises(SettingError, match=r"it must return \(27, 4\)"):
        bake(lambda c: c, Shaper.even(3), names=("a",))
    with pytest.raises(SettingError, match=r"G at node \(0, 1, 2\).*finite"):
        bad = np.zeros((27, 3))
        bad[5, 1] = np.inf
        bake(lambda c: bad, Shaper.even(3))
    with pytest.raises(SettingError, match="name of its own"):
        bake(lambda c: np.column_stack([c, c]), Shaper.even(3), names=("a", "a", "b"))
    with pytest.raises(SettingError, match="at most 16"):
        Lattice(np.zeros((2, 2, 2, 20)), tuple("abcdefghijklmnopq"), Shaper.even(2), "big")


def test_keys_tell_what_went_in():
    """Same key and shaper: equal; another size of lattice: not."""
    one = bake(lambda c: c, Shaper.even(3), key="identity")
    assert one == bake(lambda c: c, Shaper.even(3), key="identity")
    assert one != bake(lambda c: c, Shaper.even(4), key="identity")
    assert one != bake(lambda c: c, Shaper.even(3), key="other")
    assert hash(one) == hash(bake(lambda c: c, Shaper.even(3), key="identity"))
