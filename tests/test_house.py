"""The rules of the house: format, lint, types, layers, file lengths, no circles."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
BIN = Path(sys.executable).parent
LONGEST_FILE = 400


def tool(*command):
    """Run a development tool in the checkout; its output is the failure message."""
    ran = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stdout + ran.stderr


@pytest.mark.parametrize("arguments", [("check",), ("format", "--check")], ids=" ".join)
def test_ruff_finds_nothing(arguments):
    """Lint and format, as configured in pyproject.toml."""
    tool(sys.executable, "-m", "ruff", *arguments, "thermlog", "tests", "bench")


def test_types_hold():
    """Mypy, strict."""
    tool(sys.executable, "-m", "mypy")


def test_layers_hold():
    """Data flows one way: the contracts of import-linter, exhaustive."""
    tool(str(BIN / "lint-imports"), "--no-cache")


def test_files_stay_short():
    """No Python file is longer than its purpose needs."""
    lengths = {
        path.relative_to(ROOT): len(path.read_text(encoding="utf-8").splitlines())
        for folder in ("thermlog", "tests", "bench")
        for path in (ROOT / folder).rglob("*.py")
    }

    assert {path: length for path, length in lengths.items() if length > LONGEST_FILE} == {}


def test_fast_path_loads_no_heavy_library_at_import():
    """Only functions off the fast path import pandas, scipy or matplotlib."""
    heavy = {"pandas", "scipy", "matplotlib"}
    drawing = {"chart", "drawing", "lettering", "overlay", "sheet"}
    found = {}
    for path in (ROOT / "thermlog").rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        plain = (alias.name for node in tree.body if isinstance(node, ast.Import) for alias in node.names)
        of = (node.module for node in tree.body if isinstance(node, ast.ImportFrom) and node.module)
        names = {name.split(".")[0] for name in (*plain, *of)}
        if names & heavy and path.stem not in drawing:
            found[path.relative_to(ROOT)] = names & heavy

    assert found == {}


def test_no_type_has_the_name_of_another():
    """A public class or type alias means one thing in the whole package."""
    found = {}
    for path in (ROOT / "thermlog").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            for name in named_types(node):
                found.setdefault(name, set()).add(path.relative_to(ROOT).as_posix())
    assert len(found) > 100  # it finds them at all
    assert {name: sorted(places) for name, places in found.items() if len(places) > 1} == {}


def named_types(node):
    """Public classes and aliases that a statement defines; what it only imports does not count."""
    if isinstance(node, ast.ClassDef):
        names = [node.name]
    elif isinstance(node, ast.AnnAssign) and getattr(node.annotation, "id", "") == "TypeAlias":
        names = [node.target.id]
    elif isinstance(node, ast.Assign):  # an alias without a mark is written like a class
        names = [name.id for name in node.targets if isinstance(name, ast.Name) and not name.id.isupper()]
        names = [name for name in names if name[0].isupper()]
    else:
        names = []
    return [name for name in names if not name.startswith("_")]
