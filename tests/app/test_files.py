"""A file is whole or it is not there."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from app.files import atomic_output, free_name, writable
from proofing.errors import OutputError


def test_a_file_appears_when_the_block_ends_well(tmp_path: Path) -> None:
    """With the same suffix while it is written, since libraries go by it; then nothing else."""
    path = tmp_path / "a.tif"
    with atomic_output(path) as temporary:
        assert temporary.suffix == ".tif"
        assert temporary.parent == tmp_path
        temporary.write_bytes(b"new")
        assert not path.exists()
    assert path.read_bytes() == b"new"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("error", [RuntimeError, KeyboardInterrupt, OSError])
def test_nothing_appears_when_it_does_not(tmp_path: Path, error: type[BaseException]) -> None:
    """And what was there stays; an error of the system becomes one of ours."""
    path = tmp_path / "a.tif"
    path.write_bytes(b"old")
    with pytest.raises((error, OutputError)), atomic_output(path) as temporary:
        temporary.write_bytes(b"half")
        raise error
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_what_came_meanwhile_is_not_replaced_either(tmp_path: Path) -> None:
    """Asked before the work and again at its end."""
    path = tmp_path / "a.tif"
    with (
        pytest.raises(OutputError, match="--overwrite"),
        atomic_output(path, overwrite=False) as temporary,
    ):
        temporary.write_bytes(b"new")
        path.write_bytes(b"of another program")
    assert path.read_bytes() == b"of another program"
    assert list(tmp_path.iterdir()) == [path]


def test_permissions_are_those_of_an_ordinary_file(tmp_path: Path) -> None:
    """Not those of a temporary one; and a file that is replaced keeps its own."""
    plain, path = tmp_path / "plain", tmp_path / "a.png"
    plain.write_bytes(b"")
    with atomic_output(path) as temporary:
        temporary.write_bytes(b"new")
    assert stat.S_IMODE(plain.stat().st_mode) == stat.S_IMODE(path.stat().st_mode)
    path.chmod(0o640)
    with atomic_output(path) as temporary:
        temporary.write_bytes(b"newer")
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


@pytest.mark.parametrize("name", ["no/folder/a.png", "x" * 300 + ".png", "."])
def test_a_place_that_takes_no_file_is_told_in_words(tmp_path: Path, name: str) -> None:
    """The error names the file and its reason."""
    with pytest.raises(OutputError) as caught, atomic_output(tmp_path / name) as temporary:
        temporary.write_bytes(b"new")
    assert caught.value.path == tmp_path / name
    assert str(tmp_path) in str(caught.value)
    assert list(tmp_path.iterdir()) == []


def test_inputs_are_recognised_by_any_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Relative, through a link, or not there yet."""
    source = tmp_path / "a.tif"
    source.write_bytes(b"input")
    (tmp_path / "link.tif").symlink_to(source)
    os.link(source, tmp_path / "twin.tif")
    monkeypatch.chdir(tmp_path)
    for name in ("a.tif", "./a.tif", "link.tif", "twin.tif", str(source)):
        with pytest.raises(OutputError, match="being read"), atomic_output(name, [source]):
            pytest.fail("the block must not run")
    with atomic_output("b.tif", [source, "gone.tif"]) as temporary:
        temporary.write_bytes(b"new")
    assert source.read_bytes() == b"input"


def test_free_names_count_up(tmp_path: Path) -> None:
    """The plain name first."""
    names = []
    for _ in range(3):
        path = free_name(tmp_path, "a on b", ".png")
        path.write_bytes(b"")
        names.append(path.name)
    assert names == ["a on b.png", "a on b 2.png", "a on b 3.png"]


def test_writable_leaves_nothing_behind(tmp_path: Path) -> None:
    """It is found out by trying, since permissions do not tell of full or closed disks."""
    assert writable(tmp_path)
    assert list(tmp_path.iterdir()) == []
    assert not writable(tmp_path / "gone")
    assert not writable(Path("/proc"))
