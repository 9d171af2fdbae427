"""The house in figures: what the tree holds now, beside an earlier revision.

    python bench/house.py [REVISION] [--speed]

Lines of code are without blank lines, comments and docstrings; functions go from `def` to their last line.
`--speed` runs the benchmarks of start-up and fleet on both trees, too (half an hour on a quiet machine): wall
time over wall time, in brackets processor time over processor time.
"""

from __future__ import annotations

import ast
import io
import re
import shutil
import statistics
import subprocess
import sys
import tarfile
import tempfile
import tokenize
import tomllib
from collections.abc import Iterator
from pathlib import Path

PROJECT = Path(__file__).parent.parent
SPEEDS = ("startup.py", "fleet_speed.py")
FLEET_LOGS, FLEET_ROUNDS = "4000", "1"
NO_CODE = {
    tokenize.COMMENT,
    tokenize.NL,
    tokenize.NEWLINE,
    tokenize.INDENT,
    tokenize.DEDENT,
    tokenize.ENCODING,
    tokenize.ENDMARKER,
}
RATIO = re.compile(r"^(?P<what>.+? / .+?): (?P<ratio>[\d.]+ \(processor time [\d.]+\))", re.MULTILINE)


def code_lines(text: str) -> int:
    """Lines that hold code."""
    docstrings = {
        line
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.Expr)
        and isinstance(node.value, ast.Constant)
        and isinstance(node.value.value, str)
        for line in range(node.lineno, (node.end_lineno or node.lineno) + 1)
    }
    lines: set[int] = set()
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type not in NO_CODE:
            lines |= set(range(token.start[0], token.end[0] + 1))
    return len(lines - docstrings)


def function_lengths(text: str) -> Iterator[int]:
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            yield (node.end_lineno or node.lineno) - node.lineno + 1


def records(text: str) -> int:
    """Classes below `Struct`."""
    classes = (node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.ClassDef))
    return sum("Struct" in {ast.unparse(base).rsplit(".", 1)[-1] for base in node.bases} for node in classes)


def figures(tree: Path) -> dict[str, str]:
    """What can be read off the files of a tree."""
    texts = [path.read_text(encoding="utf-8") for path in sorted((tree / "thermlog").rglob("*.py"))]
    lengths = sorted(length for text in texts for length in function_lengths(text))
    settings = tomllib.loads((tree / "pyproject.toml").read_text(encoding="utf-8"))
    tests = [path.read_text(encoding="utf-8") for path in sorted((tree / "tests").rglob("*.py"))]
    ninety = lengths[round(0.9 * (len(lengths) - 1))]
    schemas = (tree / "thermlog").rglob("*.json")
    return {
        "Python files of the package": str(len(texts)),
        "lines of code": str(sum(map(code_lines, texts))),
        "lines in all": str(sum(text.count("\n") for text in texts)),
        "longest file": str(max(text.count("\n") for text in texts)),
        "functions": str(len(lengths)),
        "median, 90 %, longest function": f"{statistics.median(lengths):g}, {ninety}, {lengths[-1]}",
        "kinds of records": str(sum(map(records, texts))),
        "lines of JSON schemas": str(sum(path.read_text(encoding="utf-8").count("\n") for path in schemas)),
        "import-linter contracts": str(len(settings["tool"]["importlinter"]["contracts"])),
        "lines of code of the tests": str(sum(map(code_lines, tests))),
    }


def speeds(tree: Path) -> dict[str, str]:
    """Ratios of wall times, by the benchmarks of this tree."""
    for name in ("timing.py", *SPEEDS):
        source = PROJECT / "bench" / name
        if tree != PROJECT:
            shutil.copy(source, tree / "bench")
    found: dict[str, str] = {}
    for name, arguments in zip(SPEEDS, ([], [FLEET_LOGS, FLEET_ROUNDS]), strict=True):
        command = [sys.executable, str(tree / "bench" / name), *arguments]
        said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
        found |= {
            match["what"]: match["ratio"].replace("processor time ", "") for match in RATIO.finditer(said)
        }
    return found


def earlier(revision: str, folder: Path) -> Path:
    """The tree of a revision, unpacked."""
    packed = subprocess.run(["git", "archive", revision], cwd=PROJECT, capture_output=True, check=True)  # noqa: S607
    with tarfile.open(fileobj=io.BytesIO(packed.stdout)) as archive:
        archive.extractall(folder, filter="data")
    return folder


def main() -> None:
    revisions = [word for word in sys.argv[1:] if word != "--speed"]
    with tempfile.TemporaryDirectory() as name:
        trees = {"now": PROJECT}
        if revisions:
            trees = {revisions[0]: earlier(revisions[0], Path(name))} | trees
        columns = {}
        for title, tree in trees.items():
            columns[title] = figures(tree) | (speeds(tree) if "--speed" in sys.argv else {})
    print("|", " | ".join(["what", *columns]), "|")
    print("|---" * (len(columns) + 1) + "|")
    for what in columns["now"]:
        print("|", " | ".join([what, *(column.get(what, "") for column in columns.values())]), "|")


if __name__ == "__main__":
    main()
