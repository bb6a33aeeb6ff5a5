"""Compiling where it can be kept, and where nothing can be written."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import proofing

USE = """
import sys
import numpy as np
from proofing.lattice import Lattice, Shaper, apply
assert "numba" not in sys.modules
codes = np.arange(12, dtype=np.uint8).reshape(2, 2, 3)
shaper = Shaper.even(5)
picture = apply(Lattice(shaper.node_codes().reshape(5, 5, 5, 3), (), shaper, "same"), codes)
assert np.array_equal(picture[..., 2::-1], codes)
import proofing.lattice
print(proofing.lattice.__file__)
"""


@pytest.fixture
def installed(tmp_path):
    """A copy of the package beside which nothing can be stored.

    A file stands where the directory for compiled code would be made; unlike missing rights this
    stops every user.
    """
    root = tmp_path / "installed"
    shutil.copytree(
        Path(proofing.__file__).parent,
        root / "proofing",
        ignore=shutil.ignore_patterns("__pycache__"),
    )
    (root / "proofing" / "lattice" / "__pycache__").touch()
    return root


def run(root, home):
    """Use the copy in a process of its own, warnings as errors."""
    clean = {k: v for k, v in os.environ.items() if not k.startswith(("NUMBA", "XDG", "PYTHON"))}
    done = subprocess.run(
        [sys.executable, "-W", "error", "-B", "-c", USE],
        env={
            **clean,
            "PYTHONPATH": str(root),
            "HOME": str(home),
            "XDG_CACHE_HOME": str(home),
            "LOCALAPPDATA": str(home),
        },
        cwd=root,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == str(root / "proofing" / "lattice" / "__init__.py")


def test_nothing_writable(installed, tmp_path):
    """Without any place for compiled code the kernels still run, and numba is imported late."""
    home = tmp_path / "home"
    home.touch()  # a file: no directory can be made in it
    run(installed, home)


def test_kept_in_the_users_cache(installed, tmp_path):
    """With the package closed, compiled code goes to the user's cache directory."""
    home = tmp_path / "home"
    home.mkdir()
    run(installed, home)
    kept = [path.name for path in home.rglob("*.nbc")]
    assert any("_strip" in name for name in kept), kept


def test_a_full_disk_is_no_failure(monkeypatch):
    """Where the compiled code cannot be stored after all, it is used from memory."""
    from proofing.lattice import _compiled

    asked = []
    njit = _compiled.numba.njit

    def full(*signatures, cache=None, **options):
        if cache is not None:
            asked.append(cache)
        if cache:
            raise OSError(28, "No space left on device")
        return njit(*signatures, cache=bool(cache), **options)

    monkeypatch.setattr(_compiled.numba, "njit", full)
    i8 = _compiled.types.int64
    assert _compiled.compiled(lambda x: x + 1, i8(i8))(41) == 42
    assert asked == [True, False]


@pytest.mark.parametrize("left", [b"", b"\x80\x04nonsense"])
def test_damaged_files_are_no_failure(monkeypatch, tmp_path, left):
    """Compiled code cut short, by a power failure say, is not used and stops nothing."""
    from proofing.lattice import _compiled

    monkeypatch.setattr(_compiled.numba.config, "CACHE_DIR", str(tmp_path))
    i8 = _compiled.types.int64
    assert _compiled.compiled(one_more, i8(i8))(41) == 42
    kept = list(tmp_path.rglob("*.nbc"))
    assert kept
    for path in kept:
        path.write_bytes(left)
    assert _compiled.compiled(one_more, i8(i8))(41) == 42


def one_more(x):
    """Something to compile."""
    return x + 1
