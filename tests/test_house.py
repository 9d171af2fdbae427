"""The rules of the house: format, lint, types, layers, file lengths, no circles."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest
from reached import unreached

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


# What only users of the package name, not its own code.
PUBLIC_INTERFACE = {"thermlog.__all__"}


def test_the_program_uses_everything_it_carries():
    """No formula, constant or record that only tests or benchmarks use: such things live in tests/oracle."""
    assert set(unreached()) == PUBLIC_INTERFACE
