"""The house rules of imports: stages in order, no toolkit in the engine; and the checker bites."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PROJECT_FILE = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
CONTRACTS = {
    contract["id"]: contract
    for contract in tomllib.loads(PROJECT_FILE)["tool"]["importlinter"]["contracts"]
}
LINT = "from importlinter.cli import lint_imports_command as lint; lint()"


def lint(folder: Path) -> dict[str, bool]:
    """Whether each contract of a folder's pyproject.toml holds, by id."""
    run = subprocess.run(
        [sys.executable, "-c", LINT, "--no-cache", "--no-logo"],
        cwd=folder,
        env={**os.environ, "COLUMNS": "200"},  # no line of the report is broken
        capture_output=True,
        text=True,
        check=False,
    )
    told = {
        id: re.search(rf"{re.escape(contract['name'])} (KEPT|BROKEN)", run.stdout)
        for id, contract in CONTRACTS.items()
    }
    assert all(told.values()), run.stdout + run.stderr
    held = {id: match[1] == "KEPT" for id, match in told.items() if match}
    assert (run.returncode == 0) == all(held.values())
    return held


@pytest.fixture
def miniature(tmp_path: Path) -> Path:
    """The skeleton of the project: its folders and stages, empty, under its own contracts."""
    (tmp_path / "pyproject.toml").write_text(PROJECT_FILE, encoding="utf-8")
    for layers in CONTRACTS["stages"]["layers"]:
        for name in layers.split(" : "):
            folder = tmp_path / "proofing" / name
            folder.mkdir(parents=True)
            (folder / "__init__.py").touch()
    (tmp_path / "proofing" / "__init__.py").touch()
    for name in ("app", "app/state"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "__init__.py").touch()
    return tmp_path


def test_the_project_keeps_its_contracts() -> None:
    """Every contract holds for the tree as it is."""
    assert lint(ROOT) == dict.fromkeys(CONTRACTS, True)


def test_every_stage_stands_in_the_order(miniature: Path) -> None:
    """The order names what there is, and the skeleton made of it breaks nothing."""
    named = {name for entry in CONTRACTS["stages"]["layers"] for name in entry.split(" : ")}
    there = {
        path.stem
        for path in (ROOT / "proofing").iterdir()
        if path.stem.strip("_") and (path.suffix == ".py" or (path / "__init__.py").exists())
    } - {"__init__"}
    assert named == there
    assert lint(miniature) == dict.fromkeys(CONTRACTS, True)


@pytest.mark.parametrize(
    ("broken", "where", "line"),
    [
        ("window-on-engine", "proofing/proof/__init__.py", "import app"),
        ("stages", "proofing/photograph/__init__.py", "from proofing.printing import anything"),
        ("stages", "proofing/viewing/inner.py", "def f():\n    import proofing.screen"),
        ("stages", "proofing/errors/__init__.py", "from . import compiled\nimport proofing.proof"),
        ("stages", "proofing/unheard_of/__init__.py", ""),
        ("no-toolkit", "proofing/findings/overlay.py", "from PySide6.QtGui import QImage"),
        ("no-toolkit", "app/state/sentence.py", "def f():\n    import PySide6.QtCore"),
        ("no-toolkit", "app/state/sentence.py", "import app.window"),
    ],
)
def test_the_checker_bites(miniature: Path, broken: str, where: str, line: str) -> None:
    """One forbidden import, and the contract it breaks is told, that one alone."""
    (miniature / "app" / "window.py").write_text("import PySide6.QtWidgets\n", encoding="utf-8")
    file = miniature / where
    file.parent.mkdir(exist_ok=True)
    file.write_text(f"{line}\n", encoding="utf-8")
    held = lint(miniature)
    assert not held.pop(broken)
    assert all(held.values())


LOADED = (
    "import importlib, sys\n"
    "importlib.import_module(sys.argv[1])\n"
    "print(*sorted({name.partition('.')[0] for name in sys.modules}))\n"
)


def loaded_by(module: str) -> set[str]:
    """Root packages that importing a module brings along, in a fresh process."""
    run = subprocess.run(
        [sys.executable, "-W", "error", "-c", LOADED, module],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    assert run.stderr == ""
    return set(run.stdout.split())


@pytest.mark.parametrize("module", ["proofing", "proofing.proof", "proofing.catalogue"])
def test_the_engine_loads_no_toolkit(module: str) -> None:
    """What import-linter reads off the text holds in a running process, without a warning."""
    loaded = loaded_by(module)
    assert "proofing" in loaded
    assert not loaded & {"PySide6", "shiboken6", "app"}


@pytest.mark.parametrize("module", ["proofing", "app.command_line", "app.state"])
def test_light_modules_stay_light(module: str) -> None:
    """The heavy libraries are left until something is computed."""
    assert not loaded_by(module) & {"colour", "numba", "scipy", "PIL", "imagecodecs", "PySide6"}


def test_only_one_door_to_the_colour_library() -> None:
    """colour-science is imported in one place, which silences its remark; the rest asks there."""
    importing = re.compile(r"^\s*(?:import|from) colour\b", re.MULTILINE)
    sources = [*(ROOT / "proofing").rglob("*.py"), *(ROOT / "app").rglob("*.py")]
    doors = {
        path.relative_to(ROOT).as_posix()
        for path in sources
        if importing.search(path.read_text(encoding="utf-8"))
    }
    assert doors == {"proofing/_colour.py"}
