"""Values at the nodes, and the threads that make and carry them."""

from __future__ import annotations

import threading

import numpy as np
import pytest

from proofing.errors import Cancelled, SettingError
from proofing.lattice import Lattice, Shaper
from proofing.lattice.table import in_parts
from tests.lattice.simple import bake


def test_channels_follow_the_colours():
    """Scalar channels come after the three colours; fillings up to four are not among them."""
    values = np.random.default_rng(1).random((2, 2, 2, 5))
    lattice = Lattice(values, ("sum", "rest"), Shaper.even(2), "random")
    assert lattice.channels == ("R", "G", "B", "sum", "rest")
    np.testing.assert_array_equal(lattice.values, values.astype(np.float32))
    assert lattice.padded.shape == (2, 2, 2, 8)
    assert np.all(lattice.padded[..., 5:] == 0.0)


def test_values_cannot_be_changed():
    """A lattice may be shared between threads."""
    lattice = bake(lambda c: c, Shaper.even(3))
    with pytest.raises(ValueError, match="read-only"):
        lattice.values[0] = 1.0


def test_wrong_values_are_refused():
    """Too few channels, values that are not finite, names used twice."""
    with pytest.raises(SettingError, match=r"give \(3, 3, 3, 3 \+ 1\)"):
        bake(lambda c: c, Shaper.even(3), names=("a",))
    with pytest.raises(SettingError, match=r"G at node \(0, 1, 2\).*finite"):
        bad = np.zeros((27, 3))
        bad[5, 1] = np.inf
        bake(lambda c: bad, Shaper.even(3))
    with pytest.raises(SettingError, match="name of its own"):
        bake(lambda c: np.column_stack([c, c]), Shaper.even(3), names=("a", "a", "b"))
    with pytest.raises(SettingError, match="at most 16"):
        Lattice(np.zeros((2, 2, 2, 20)), tuple("abcdefghijklmnopq"), Shaper.even(2), "big")


def test_equality_is_by_key():
    """Same key: equal, whatever the values."""
    values = np.zeros((2, 2, 2, 3))
    one = Lattice(values, (), Shaper.even(2), "one")
    assert one == Lattice(values + 1.0, (), Shaper.even(2), "one")
    assert one != Lattice(values, (), Shaper.even(2), "other")
    assert hash(one) == hash(Lattice(values, (), Shaper.even(2), "one"))


@pytest.mark.parametrize("workers", [1, 2, 5])
def test_every_part_is_done_once(workers):
    """Whoever does them; no thread stays behind."""
    before = threading.active_count()
    done = []
    in_parts(done.append, range(0, 300, 3), workers=workers, cancel=lambda: False)
    assert sorted(done) == list(range(0, 300, 3))
    assert threading.active_count() == before


@pytest.mark.parametrize("workers", [1, 2])
def test_called_off(workers):
    """Cancelling between parts raises, and the rest is not done."""
    done = []
    with pytest.raises(Cancelled):
        in_parts(done.append, range(50), workers=workers, cancel=lambda: len(done) >= 3)
    assert 3 <= len(done) <= 4


@pytest.mark.parametrize("workers", [1, 2])
def test_failures_come_through(workers):
    """What a part raises reaches the caller, from whichever thread."""

    def work(part):
        if part == 7:
            raise SettingError("stock", "x", "no")

    before = threading.active_count()
    with pytest.raises(SettingError, match="stock"):
        in_parts(work, range(50), workers=workers, cancel=None)
    assert threading.active_count() == before
