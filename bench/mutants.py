"""Mutation score: small changes of the package, one at a time, and whether the tests of that module notice.

    python bench/mutants.py                       # every module of mutant_tests.toml, 24 mutants each
    python bench/mutants.py inference/doubt --each 60 --seed 2

A mutant changes one comparison, operator, number, flag or condition in a copy of the checkout; the test files
that `mutant_tests.toml` names for that module then run until the first one fails. Each run is a forked child
of a process that has the large libraries in memory, at low priority. Survivors are printed with their line.
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
from collections.abc import Callable, Iterator
from copy import copy
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parent.parent
TESTS_OF = tomllib.loads((Path(__file__).parent / "mutant_tests.toml").read_text(encoding="utf-8"))
COPIED = ("thermlog", "tests", "sample_logs", "docs", "bench", "pyproject.toml", "README.md", "CHANGELOG.md")
LIBRARIES = ("numpy", "scipy.stats", "scipy.optimize", "hypothesis", "pytest", "pandas", "click", "msgspec")
_LOADED = "ignore::pytest.PytestAssertRewriteWarning"  # the libraries were there before pytest started
LONGEST_S = 240  # a mutant that makes a loop endless counts as noticed

COMPARED = {
    ast.Lt: (ast.LtE, ast.Gt), ast.LtE: (ast.Lt, ast.Gt), ast.Gt: (ast.GtE, ast.Lt),
    ast.GtE: (ast.Gt, ast.Lt), ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,), ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,), ast.NotIn: (ast.In,),
}  # fmt: skip
WORKED = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult,
    ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd, ast.Pow: ast.Mult, ast.Mod: ast.Mult, ast.And: ast.Or,
    ast.Or: ast.And,
}  # fmt: skip
NAMED = {"minimum": "maximum", "maximum": "minimum", "min": "max", "max": "min", "any": "all", "all": "any"}


class Mutant(NamedTuple):
    """A changed line: where, what was changed into what, and the text of the whole module."""

    line: int
    change: str
    text: str


def changed(node: ast.AST, field: str, value: object) -> ast.AST:
    """The node with another value in one field."""
    other = copy(node)
    setattr(other, field, value)
    return other


def of_comparison(node: ast.Compare) -> Iterator[ast.AST]:
    """Every sign made strict or not, and turned round."""
    for k, op in enumerate(node.ops):
        for other in COMPARED[type(op)]:
            yield changed(node, "ops", [*node.ops[:k], other(), *node.ops[k + 1 :]])


def of_operator(node: ast.BinOp | ast.AugAssign | ast.BoolOp) -> Iterator[ast.AST]:
    """Plus for minus, times for over, and for or."""
    if type(node.op) in WORKED:
        yield changed(node, "op", WORKED[type(node.op)]())


def of_sign(node: ast.UnaryOp) -> Iterator[ast.AST]:
    """The sign or the "not" taken away."""
    yield node.operand


def of_constant(node: ast.Constant) -> Iterator[ast.AST]:
    """Numbers doubled, halved and off by one, flags turned round."""
    value = node.value
    if isinstance(value, bool):
        yield changed(node, "value", not value)
    elif isinstance(value, int):
        yield from (changed(node, "value", value + step) for step in (1, -1))
    elif isinstance(value, float):
        yield from (changed(node, "value", other) for other in (2.0 * value or 1.0, 0.5 * value or -1.0))


def of_condition(node: ast.If | ast.IfExp | ast.While) -> Iterator[ast.AST]:
    """The other branch."""
    yield changed(node, "test", ast.UnaryOp(op=ast.Not(), operand=node.test))


def of_name(node: ast.Attribute | ast.Name) -> Iterator[ast.AST]:
    """The largest for the smallest, any for all."""
    field = "attr" if isinstance(node, ast.Attribute) else "id"
    if getattr(node, field) in NAMED:
        yield changed(node, field, NAMED[getattr(node, field)])


MUTATED: dict[type, Callable[..., Iterator[ast.AST]]] = {
    ast.Compare: of_comparison, ast.BinOp: of_operator, ast.AugAssign: of_operator, ast.BoolOp: of_operator,
    ast.UnaryOp: of_sign, ast.Constant: of_constant, ast.If: of_condition, ast.IfExp: of_condition,
    ast.While: of_condition, ast.Attribute: of_name, ast.Name: of_name,
}  # fmt: skip
# No behaviour hangs on these: types, messages of errors, text.
INERT = {"annotation", "returns", "decorator_list", "exc", "cause"}


def walked(node: ast.AST) -> Iterator[tuple[ast.AST, str, int | None, ast.AST]]:
    """Every node that behaviour hangs on: its parent, and where it stands in that."""
    for field, value in ast.iter_fields(node):
        inert = field in INERT or isinstance(node, ast.JoinedStr)
        inert |= field == "keywords" and isinstance(node, ast.ClassDef)
        inert |= isinstance(node, ast.AnnAssign) and "TypeAlias" in ast.dump(node.annotation)
        inert |= isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
        if inert:
            continue
        for k, child in enumerate(value) if isinstance(value, list) else [(None, value)]:
            if isinstance(child, ast.AST):
                yield node, field, k, child
                yield from walked(child)


def mutants(text: str) -> Iterator[Mutant]:
    """Every mutant of a module."""
    tree = ast.parse(text)
    for parent, field, k, node in walked(tree):
        whole = getattr(parent, field)
        for other in MUTATED[type(node)](node) if type(node) in MUTATED else ():
            setattr(parent, field, other if k is None else [*whole[:k], other, *whole[k + 1 :]])
            new = ast.unparse(ast.fix_missing_locations(tree))
            setattr(parent, field, whole)
            before, after = (ast.unparse(one).splitlines()[0] for one in (node, other))
            yield Mutant(getattr(node, "lineno", 0), f"{before}  ->  {after}", new)


def notice(place: Path, tests: list[str]) -> bool:
    """True if a test of a child process fails, or takes for ever."""
    child = os.fork()
    if child == 0:
        silent = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silent, 1)
        os.dup2(silent, 2)
        os.chdir(place)
        sys.path.insert(0, str(place))
        signal.alarm(LONGEST_S)
        import pytest

        options = ("-x", "-q", "-p", "no:cacheprovider", "--hypothesis-seed=1", "-W", _LOADED)
        os._exit(int(pytest.main([*tests, *options])))
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) != 0


def score(module: str, place: Path, each: int, seed: int) -> tuple[int, int, int]:
    """Mutants noticed, tried, and possible."""
    path = place / "thermlog" / f"{module}.py"
    original = path.read_text(encoding="utf-8")
    every = list(mutants(original))
    draw = random.Random(seed)  # noqa: S311 - a sample that can be drawn again
    chosen = sorted(draw.sample(range(len(every)), min(each, len(every))))
    tests = [f"tests/test_{name}.py" for name in TESTS_OF[module]]
    if notice(place, tests):
        print(f"{module}: its tests fail, or take too long, on the unchanged module", flush=True)
        return 0, 0, len(every)
    noticed = 0
    for k in chosen:
        path.write_text(every[k].text, encoding="utf-8")
        seen = notice(place, tests)
        noticed += seen
        if not seen:
            print(f"  {module}.py:{every[k].line}: {every[k].change}", flush=True)
    path.write_text(original, encoding="utf-8")
    return noticed, len(chosen), len(every)


def main() -> None:
    """Print survivors and the score of every module."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("modules", nargs="*", default=list(TESTS_OF), help="such as inference/doubt")
    parser.add_argument("--each", type=int, default=24, help="mutants a module")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    os.nice(10)
    for library in LIBRARIES:
        __import__(library)  # once, before all forks
    sys.dont_write_bytecode = True
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"PYTHONPATH": folder, "PYTHONDONTWRITEBYTECODE": "1"}
        for name in filter(lambda one: (ROOT / one).exists(), COPIED):
            copier = shutil.copytree if (ROOT / name).is_dir() else shutil.copy2
            copier(ROOT / name, Path(folder) / name)
        for module in asked.modules:
            noticed, tried, possible = score(module, Path(folder), asked.each, asked.seed)
            share = noticed / max(tried, 1)
            print(f"{module:<28}{noticed:>4} of {tried:>3} ({possible} possible) {share:4.0%}", flush=True)


if __name__ == "__main__":
    main()
