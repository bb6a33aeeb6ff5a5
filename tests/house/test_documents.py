"""README.md and DEVELOPERS.md are held to the program they describe."""

from __future__ import annotations

import ast
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

from app.command_line import build_parser, setting_of, with_command
from app.display import PACKAGES
from app.state import canonical
from proofing.catalogue import Catalogue
from proofing.printing.stock import stock_from_record
from proofing.viewing.records import read_glazing, read_lights

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
CI = (ROOT / ".ci" / "run").read_text(encoding="utf-8")

TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "app", "proofing", "resources",
             "tests", "demo"}  # fmt: skip
COMMANDS = [
    line for line in README.splitlines() if re.match(r"(python3 -m venv|stocklight) ?", line)
]


def test_top_level() -> None:
    """Nothing but these lies at the top, dot-files apart."""
    there = {path.name for path in ROOT.iterdir()}
    if git := shutil.which("git"):
        # what is kept, not what a build or a picture written by the program leaves there
        listed = subprocess.run([git, "ls-files"], cwd=ROOT, capture_output=True, text=True)
        there = {Path(name).parts[0] for name in listed.stdout.splitlines()} or there
        assert listed.returncode or {n for n in there if not n.startswith(".")} == TOP_LEVEL
    assert there >= TOP_LEVEL


def test_two_commands() -> None:
    """One command opens the demonstration and one passes the tests, each complete in itself."""
    opens, tests = (line for line in COMMANDS if line.startswith("python3"))
    assert opens == ("python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/stocklight")
    assert tests == (
        "python3 -m venv .venv && .venv/bin/pip install -e '.[test]' && .venv/bin/pytest"
    )
    assert f"\n```\n{opens}\n```\n" in README
    assert f"\n```\n{tests}\n```\n" in README


def test_ci_runs_the_command_of_the_readme() -> None:
    """.ci/run takes the test command from README.md, where its pattern finds that one line."""
    pattern = re.search(r"grep -E '(.+)' README\.md", CI)
    assert pattern is not None
    found = [line for line in README.splitlines() if re.search(pattern[1], line)]
    assert found == [line for line in COMMANDS if line.endswith("pytest")]


def test_debian_packages_agree() -> None:
    """README, .ci/run and the program's own advice name the same Debian packages."""
    apt = re.search(r"`apt install (.+)`", README)
    assert apt is not None
    told = set(apt[1].split()) - {"python3-venv"}
    listed = re.search(r"packages=\((.*?)\)", CI, re.DOTALL)
    assert listed is not None
    assert set(listed[1].split()) == told | {"xvfb", "poppler-utils", "libvips-tools"}
    assert told <= set(PACKAGES.values())


@pytest.mark.parametrize("line", [line for line in COMMANDS if line.startswith("stocklight")])
def test_examples_are_understood(line: str) -> None:
    """Each example on the command line is read by the real parser, and its names are known."""
    arguments = build_parser().parse_args(with_command(shlex.split(line)[1:]))
    assert arguments.command in with_command(shlex.split(line)[1:])
    if "lab-profile.icc" in line:  # a file of the reader's
        arguments.stock = "gloss"
    canonical(setting_of(arguments), Catalogue.load())


@pytest.mark.parametrize("document", ["README.md", "DEVELOPERS.md"])
def test_links_lead_somewhere(document: str) -> None:
    """Every relative link and picture exists."""
    text = (ROOT / document).read_text(encoding="utf-8")
    links = re.findall(r"\]\(([^)#:]+)\)", text)
    assert [link for link in links if not (ROOT / link).exists()] == []


def toml_block(marker: str) -> str:
    """The TOML example of DEVELOPERS.md that holds a line."""
    blocks = re.findall(r"```toml\n(.*?)```", DEVELOPERS, re.DOTALL)
    found = [block for block in blocks if marker in block]
    assert len(found) == 1, marker
    return str(found[0])


def test_stock_example_is_a_stock() -> None:
    """The stock shown to developers is read, and prints what it says it prints."""
    record = tomllib.loads(toml_block("[surface]"))
    stock = stock_from_record(record, Catalogue.load().ink_sets)
    assert stock.name == record["name"]
    assert stock.white_Lab.tolist() == record["white"]["Lab"]
    assert stock.black_Lab.tolist() == record["black"]["Lab"]
    assert stock.model is not None  # the black can be printed with these inks
    assert not stock.typical


def test_light_example_is_a_light(tmp_path: Path) -> None:
    """The light shown to developers is read, with a spectrum behind it."""
    path = tmp_path / "lights.toml"
    path.write_text(toml_block("[[light]]"), encoding="utf-8")
    (light,) = read_lights(path)
    assert light.cct_K == pytest.approx(3100.0, abs=5.0)


def test_glazing_example_is_a_glazing(tmp_path: Path) -> None:
    """The glazing shown to developers is read."""
    path = tmp_path / "pane.toml"
    path.write_text(toml_block("transmittance = "), encoding="utf-8")
    assert 0.0 < read_glazing(path).reflectance < 0.1


def imported() -> set[str]:
    """Root packages that the program imports, its own and the standard library's left out."""
    names: set[str] = set()
    for folder in ("app", "proofing"):
        for path in (ROOT / folder).rglob("*.py"):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            for node in ast.walk(tree):
                if isinstance(node, ast.Import):
                    names |= {alias.name for alias in node.names}
                elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
                    names.add(node.module)
                elif isinstance(node, ast.Call) and ast.unparse(node.func).endswith(
                    "import_module"
                ):
                    names |= {a.value for a in node.args if isinstance(a, ast.Constant)}
    roots = {name.partition(".")[0] for name in names}
    return roots - set(sys.stdlib_module_names) - {"app", "proofing", "resources", "demo"}


def distribution(requirement: str) -> str:
    """The bare name of a requirement."""
    return re.split(r"[<>=;\[ ]", requirement)[0]


def test_dependencies_are_those_imported() -> None:
    """What is imported is declared and what is declared is imported."""
    providers = packages_distributions()
    needed = {providers[name][0].lower().replace("_", "-") for name in imported()}
    declared = {distribution(entry).lower() for entry in PROJECT["dependencies"]}
    parts_of_others = {"shiboken6", "llvmlite"}  # of the toolkit, and of numba
    assert needed - parts_of_others == declared


def test_every_dependency_has_its_reason() -> None:
    """DEVELOPERS.md has a row for each dependency, of the program, the tests and the checks."""
    rows = set(re.findall(r"^\| `([\w-]+)` \|", DEVELOPERS, re.MULTILINE))
    extras = PROJECT["optional-dependencies"].values()
    asked = [*PROJECT["dependencies"], *(entry for extra in extras for entry in extra)]
    assert rows == {distribution(entry) for entry in asked}
