"""Numbers of judgement of thermlog/inference and thermlog/judging, found by the comments beside them."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

_PACKAGE = Path(__file__).parent.parent / "thermlog"
JUDGING = _PACKAGE / "judging"
INFERENCE = _PACKAGE / "inference"
_MARK = "judgement"


def numbers_of_judgement() -> dict[str, float]:
    """``module.NAME`` -> value, of every constant whose comment, or that of its block or module, says so."""
    paths = sorted((*INFERENCE.glob("*.py"), *JUDGING.glob("*.py")))
    return {name: value for path in paths for name, value in _of_module(path)}


def _of_module(path: Path) -> Iterator[tuple[str, float]]:
    text = path.read_text(encoding="utf-8")
    lines, tree = text.splitlines(), ast.parse(text)
    whole = _MARK in (ast.get_docstring(tree) or "").lower() and "all numbers" in text.lower()
    for node in tree.body:
        if isinstance(node, ast.Assign) and (whole or _MARK in _comments(lines, node).lower()):
            for name, value in _named_numbers(node):
                yield f"{path.stem}.{name}", value


def _comments(lines: list[str], node: ast.Assign) -> str:
    """What stands beside a constant, and above the block of constants that it is of."""
    own = "\n".join(lines[node.lineno - 1 : node.end_lineno])
    above = node.lineno - 2
    while above >= 0 and "=" in lines[above].partition("#")[0]:
        above -= 1
    block = []
    while above >= 0 and lines[above].startswith("#"):
        block.append(lines[above])
        above -= 1
    return "\n".join([own, *block])


def _named_numbers(node: ast.Assign) -> Iterator[tuple[str, float]]:
    """Names of a statement with their numbers; what is no plain number has none."""
    (target,) = node.targets
    names = target.elts if isinstance(target, ast.Tuple) else [target]
    values = node.value.elts if isinstance(node.value, ast.Tuple) else [node.value]
    for name, value in zip(names, values, strict=False):
        plain = all(isinstance(one, (ast.Constant, ast.BinOp, ast.operator)) for one in ast.walk(value))
        if isinstance(name, ast.Name) and plain:
            found = eval(ast.unparse(value))  # noqa: S307 - numbers of our own source
            if isinstance(found, (int, float)):
                yield name.id, float(found)
