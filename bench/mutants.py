"""Mutation score: small changes of the package, one at a time, and whether the tests of that module notice.

    python bench/mutants.py                       # every module below, 24 mutants each
    python bench/mutants.py judging/doubt --each 60 --seed 2

A mutant changes one comparison, operator, number or flag in a copy of the checkout; the test files named in
`mutant_tests.toml` for that module then run until the first one fails. Each run is a forked child of a process
that has the large libraries in memory already, at low priority. Survivors are printed with their line.
"""

import argparse
import ast
import os
import random
import shutil
import signal
import sys
import tempfile
import tomllib
from collections.abc import Iterator
from copy import deepcopy
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parent.parent
TESTS_OF = tomllib.loads((Path(__file__).parent / "mutant_tests.toml").read_text(encoding="utf-8"))
COPIED = ("thermlog", "tests", "sample_logs", "docs", "bench", "pyproject.toml", "README.md", "CHANGELOG.md")
_LOADED = "ignore::pytest.PytestAssertRewriteWarning"  # the libraries were there before pytest started
LONGEST_S = 240  # a mutant that makes a loop endless counts as noticed

COMPARED = {
    ast.Lt: (ast.LtE, ast.Gt), ast.LtE: (ast.Lt, ast.Gt), ast.Gt: (ast.GtE, ast.Lt), ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,), ast.Is: (ast.IsNot,), ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,), ast.NotIn: (ast.In,),
}  # fmt: skip
WORKED = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult,
    ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd, ast.Pow: ast.Mult, ast.Mod: ast.Mult,
}  # fmt: skip
NAMED = {"minimum": "maximum", "maximum": "minimum", "min": "max", "max": "min", "any": "all", "all": "any"}


class Mutant(NamedTuple):
    """A changed line: where, what it is now, and the text of the whole module."""

    line: int
    change: str
    text: str


def changes(node: ast.AST) -> Iterator[tuple[str, object]]:
    """Fields of one node, each with another value that it could have."""
    if isinstance(node, ast.Compare):
        for k, op in enumerate(node.ops):
            for other in COMPARED.get(type(op), ()):
                yield "ops", [*node.ops[:k], other(), *node.ops[k + 1 :]]
    elif isinstance(node, (ast.BinOp, ast.AugAssign)) and type(node.op) in WORKED:
        yield "op", WORKED[type(node.op)]()
    elif isinstance(node, ast.BoolOp):
        yield "op", ast.Or() if isinstance(node.op, ast.And) else ast.And()
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, (ast.Not, ast.Invert, ast.USub)):
        yield "op", ast.UAdd() if isinstance(node.op, ast.USub) else None
    elif isinstance(node, ast.Constant):
        yield from (("value", value) for value in other_values(node.value))
    elif isinstance(node, (ast.If, ast.IfExp, ast.While)):
        yield "test", ast.UnaryOp(op=ast.Not(), operand=node.test)
    elif isinstance(node, ast.Attribute) and node.attr in NAMED:
        yield "attr", NAMED[node.attr]
    elif isinstance(node, ast.Name) and node.id in NAMED:
        yield "id", NAMED[node.id]


def other_values(value: object) -> list[object]:
    """Numbers doubled, halved and off by one, flags turned round."""
    if isinstance(value, bool):
        return [not value]
    if isinstance(value, int):
        return [value + 1, value - 1]
    return [2.0 * value or 1.0, 0.5 * value or -1.0] if isinstance(value, float) else []


def skipped(tree: ast.Module) -> set[int]:
    """Nodes that no behaviour hangs on: annotations, text of messages, imports, ``__name__`` guards."""
    inert: set[int] = set()
    for node in ast.walk(tree):
        parts: list[ast.AST | None] = []
        if isinstance(node, ast.arg):
            parts = [node.annotation]
        elif isinstance(node, ast.FunctionDef):
            parts = [node.returns, *node.decorator_list]
        elif isinstance(node, ast.AnnAssign):
            parts = (
                [node.annotation, node.value]
                if "TypeAlias" in ast.unparse(node.annotation)
                else [node.annotation]
            )
        elif isinstance(node, ast.ClassDef):
            parts = [*node.keywords]
        elif isinstance(node, (ast.Raise, ast.JoinedStr)) or (
            isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
        ):
            parts = [node]
        for part in filter(None, parts):
            inert.update(id(inner) for inner in ast.walk(part))
    return inert


def mutants(text: str) -> list[Mutant]:
    """Every mutant of a module."""
    tree = ast.parse(text)
    inert, found = skipped(tree), []
    for node in ast.walk(tree):
        if id(node) in inert:
            continue
        for field, value in changes(node):
            if field == "op" and value is None:  # "not x" becomes "x"
                mutated = _without(tree, node)
            else:
                before = getattr(node, field)
                setattr(node, field, value)
                mutated = ast.unparse(ast.fix_missing_locations(deepcopy(tree)))
                new = ast.unparse(node).splitlines()[0]
                setattr(node, field, before)
                found.append(Mutant(node.lineno, f"{ast.unparse(node).splitlines()[0]}  ->  {new}", mutated))
                continue
            found.append(
                Mutant(node.lineno, f"{ast.unparse(node)}  ->  {ast.unparse(node.operand)}", mutated)
            )
    return found


def _without(tree: ast.Module, gone: ast.AST) -> str:
    """Text of the module with one operator of a single operand taken away."""
    for node in ast.walk(tree):
        for field, value in ast.iter_fields(node):
            if value is gone:
                setattr(node, field, gone.operand)
                text = ast.unparse(tree)
                setattr(node, field, gone)
                return text
            if isinstance(value, list) and any(one is gone for one in value):
                place = next(k for k, one in enumerate(value) if one is gone)
                value[place] = gone.operand
                text = ast.unparse(tree)
                value[place] = gone
                return text
    return ast.unparse(tree)


def notice(copy: Path, tests: list[str]) -> bool:
    """True if a test of a child process fails, or takes for ever."""
    child = os.fork()
    if child == 0:
        os.setsid()
        silent = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silent, 1), os.dup2(silent, 2)
        os.chdir(copy)
        sys.path.insert(0, str(copy))
        signal.alarm(LONGEST_S)
        import pytest

        options = ("-x", "-q", "-p", "no:cacheprovider", "--hypothesis-seed=1", "-W", _LOADED)
        os._exit(int(pytest.main([*tests, *options])))
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) != 0


def score(module: str, copy: Path, each: int, seed: int) -> tuple[int, int, int]:
    """Mutants noticed, tried, and possible."""
    path = copy / "thermlog" / f"{module}.py"
    original = path.read_text(encoding="utf-8")
    every = mutants(original)
    chosen = sorted(random.Random(seed).sample(range(len(every)), min(each, len(every))))
    tests = [name for name in (f"tests/test_{one}.py" for one in TESTS_OF[module]) if (copy / name).exists()]
    if notice(copy, tests):
        sys.exit(f"{module}: its tests fail on the unchanged module")
    noticed = 0
    for k in chosen:
        path.write_text(every[k].text, encoding="utf-8")
        seen = notice(copy, tests)
        noticed += seen
        if not seen:
            print(f"  {module}.py:{every[k].line}: {every[k].change}", flush=True)
    path.write_text(original, encoding="utf-8")
    return noticed, len(chosen), len(every)


def main() -> None:
    """Print survivors and the score of every module."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("modules", nargs="*", default=list(TESTS_OF), help="such as judging/doubt")
    parser.add_argument("--each", type=int, default=24, help="mutants a module")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    os.nice(15)
    for library in (
        "numpy",
        "scipy.stats",
        "scipy.optimize",
        "hypothesis",
        "pytest",
        "pandas",
        "click",
        "msgspec",
    ):
        __import__(library)  # once, before all forks
    sys.dont_write_bytecode = True
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder)
        os.environ["PYTHONPATH"] = folder
        for name in filter(lambda one: (ROOT / one).exists(), COPIED):
            copier = shutil.copytree if (ROOT / name).is_dir() else shutil.copy2
            copier(ROOT / name, copy / name)
        for module in asked.modules:
            noticed, tried, possible = score(module, copy, asked.each, asked.seed)
            print(
                f"{module:<32}{noticed:>4} of {tried} ({possible} possible)  {noticed / tried:.0%}",
                flush=True,
            )


if __name__ == "__main__":
    main()
