"""The wheel: everything the program needs is inside, and it runs from there."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from PIL import Image

ROOT = Path(__file__).resolve().parents[2]
SHIPPED = ("app", "proofing", "resources", "demo")
BUILD = "import sys; from setuptools.build_meta import build_wheel; print(build_wheel(sys.argv[1]))"


def sources() -> set[str]:
    """Every file of the shipped folders, as posix paths from the top level."""
    return {
        path.relative_to(ROOT).as_posix()
        for name in SHIPPED
        for path in (ROOT / name).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built from a copy so that nothing is left behind in the tree."""
    copy = tmp_path_factory.mktemp("copy")
    for name in SHIPPED:
        shutil.copytree(ROOT / name, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md"):
        shutil.copy(ROOT / name, copy / name)
    folder = tmp_path_factory.mktemp("wheel")
    run = subprocess.run(
        [sys.executable, "-c", BUILD, str(folder)],
        cwd=copy,
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    return folder / run.stdout.splitlines()[-1]


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder into which the wheel alone is installed."""
    folder = tmp_path_factory.mktemp("installed")
    install = ["pip", "install", "--quiet", "--no-deps", "--no-index", "--target", str(folder)]
    subprocess.run([sys.executable, "-m", *install, str(wheel)], check=True)
    return folder


def run(installed: Path, cwd: Path, *words: str, **more: str) -> subprocess.CompletedProcess[str]:
    """Run the installed command from another folder, where there is no display."""
    hidden = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    env = {name: value for name, value in os.environ.items() if name not in hidden}
    env.update(PYTHONPATH=str(installed), PYTHONSAFEPATH="1", **more)
    return subprocess.run(words, cwd=cwd, env=env, capture_output=True, text=True, check=False)


def test_every_file_is_inside(wheel: Path) -> None:
    """No module, record, font or picture is forgotten, and nothing else comes along."""
    with zipfile.ZipFile(wheel) as archive:
        inside = {name for name in archive.namelist() if ".dist-info/" not in name}
    assert inside == sources()


def test_names(wheel: Path) -> None:
    """The distribution and its one command are called `stocklight`."""
    assert wheel.name.startswith("stocklight-")
    with zipfile.ZipFile(wheel) as archive:
        name = next(n for n in archive.namelist() if n.endswith(".dist-info/entry_points.txt"))
        lines = archive.read(name).decode().split()
    assert lines == ["[console_scripts]", "stocklight", "=", "app.command_line:main"]


def test_catalogue_comes_from_the_wheel(installed: Path, tmp_path: Path) -> None:
    """`python -m app` lists the shipped stocks from any folder, with nothing else on the path."""
    where = run(installed, tmp_path, sys.executable, "-c", "import app; print(app.__file__)")
    assert Path(where.stdout.strip()).is_relative_to(installed), where.stderr
    listed = run(installed, tmp_path, sys.executable, "-m", "app", "stocks", "--json")
    assert listed.returncode == 0, listed.stderr
    names = [stock["name"] for stock in json.loads(listed.stdout)]
    assert len(names) == len(list((ROOT / "resources" / "stocks").glob("*.toml")))


def test_command_proves_the_demonstration(installed: Path, tmp_path: Path) -> None:
    """Without a display the bare command writes the pair of the demonstration picture."""
    command = installed / "bin" / "stocklight"
    proved = run(installed, tmp_path, str(command))
    assert proved.returncode == 0, proved.stderr
    written = list(tmp_path.glob("*.png"))
    assert len(written) == 1, proved.stdout
    with Image.open(written[0]) as picture:
        assert picture.width > picture.height > 500
        assert picture.info["icc_profile"]
