"""The public face of the engine: what others may rely on, and nothing by accident.

After a change that is meant::

    python -m tests.house.test_public_face > tests/house/public_face.txt
"""

from __future__ import annotations

import ast
import importlib
import inspect
from pathlib import Path

FACES = (
    "proofing",
    "proofing.photograph",
    "proofing.printing",
    "proofing.viewing",
    "proofing.screen",
    "proofing.lattice",
    "proofing.findings.kinds",
    "proofing.findings.finding",
    "proofing.findings.advice",
    "proofing.findings.regions",
    "proofing.findings.losses",
    "proofing.findings.detail",
    "proofing.findings.scan",
    "proofing.findings.sight",
    "proofing.findings.visibility",
    "proofing.findings.cover",
    "proofing.findings.overlay",
    "proofing.findings.words",
    "proofing.catalogue",
    "proofing.engine",
    "proofing.ordering.crop",
    "proofing.ordering.edges",
    "proofing.ordering.layout",
    "proofing.ordering.layout_words",
    "proofing.ordering.lengths",
    "proofing.ordering.sheets",
    "proofing.ordering.size",
    "proofing.ordering.size_words",
    "proofing.ordering.surface_detail",
    "proofing.proof",
    "proofing.ordering.order_file",
    "proofing.ordering.naming",
    "proofing.ordering.strip_file",
    "proofing.request",
    "proofing.colorimetry",
    "proofing.errors",
)


def defined(source: str) -> list[str]:
    """Public classes and functions that a module itself defines at its top."""
    nodes = ast.parse(source).body
    named = [node.name for node in nodes if isinstance(node, ast.ClassDef | ast.FunctionDef)]
    return [name for name in named if not name.startswith("_")]


def lines_of(face: str) -> list[str]:
    """One line for each public name of a module; functions with the names of their parameters."""
    module = importlib.import_module(face)
    lines = []
    for name in sorted(getattr(module, "__all__", None) or defined(inspect.getsource(module))):
        value = inspect.unwrap(getattr(module, name))
        listed = ""
        if inspect.isfunction(value):
            listed = f"({', '.join(inspect.signature(value).parameters)})"
        lines.append(f"{face}.{name}{listed}")
    return lines


def face() -> str:
    """The whole face as text."""
    return "".join(f"{line}\n" for name in FACES for line in lines_of(name))


def test_the_public_face_is_as_written_down() -> None:
    """No public name comes, goes or changes its parameters without being written down."""
    written = Path(__file__).with_name("public_face.txt").read_text(encoding="utf-8")
    assert written.splitlines() == face().splitlines()


def test_what_is_promised_is_there() -> None:
    """Every name of every ``__all__`` exists, and each stage has one."""
    for name in FACES[1:6]:
        module = importlib.import_module(name)
        assert module.__all__
        assert [n for n in module.__all__ if not hasattr(module, n)] == []


if __name__ == "__main__":
    print(face(), end="")
