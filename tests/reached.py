"""Which definitions of the package the program reaches, from its commands and its Python interface downward.

``python tests/reached.py`` prints those that nothing reaches.
"""

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import thermlog

ROOT = Path(__file__).parent.parent
PACKAGE = "thermlog"
Place = tuple[str, str]  # module and name; the name "" is what runs when the module is imported


@cache
def modules() -> dict[str, ast.Module]:
    """Syntax trees of the package, by dotted name."""
    found = {}
    for path in (ROOT / PACKAGE).rglob("*.py"):
        parts = path.relative_to(ROOT).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        found[name] = ast.parse(path.read_text(encoding="utf-8"))
    return found


def definitions(tree: ast.Module) -> Iterator[tuple[str, ast.stmt]]:
    """Names that a module defines, each with its statement, and "" for all that merely runs."""
    for node in tree.body:
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
            yield ("" if _registers(node) else node.name), node
        elif isinstance(node, (ast.AnnAssign, ast.Assign)):
            targets = [node.target] if isinstance(node, ast.AnnAssign) else node.targets
            names = (inner for target in targets for inner in ast.walk(target))
            yield from ((name.id, node) for name in names if isinstance(name, ast.Name))
        elif not isinstance(node, (ast.Import, ast.ImportFrom)):
            yield "", node


def _registers(node: ast.FunctionDef | ast.ClassDef) -> bool:
    """True for a command of the command line, which click calls."""
    return any("command" in ast.unparse(decorator) for decorator in node.decorator_list)


def imported(tree: ast.Module) -> tuple[dict[str, Place], set[str]]:
    """Local names that stand for something of the package, and the modules that are taken in."""
    names: dict[str, Place] = {}
    taken = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith(PACKAGE):
            taken.add(node.module)
            for alias in node.names:
                names[alias.asname or alias.name] = (node.module, alias.name)
                taken.add(f"{node.module}.{alias.name}")
        elif isinstance(node, ast.Import):
            taken.update(alias.name for alias in node.names if alias.name.startswith(PACKAGE))
    return names, taken


def reached(trees: dict[str, ast.Module]) -> set[Place]:
    """Everything that the commands and the Python interface use, followed through the modules."""
    defined: dict[Place, list[ast.stmt]] = {}
    for module, tree in trees.items():
        for name, node in definitions(tree):
            defined.setdefault((module, name), []).append(node)
    known = {module: imported(tree) for module, tree in trees.items()}
    exported = {(PACKAGE, name) for name in thermlog.__all__ if (PACKAGE, name) in defined}
    exported.add(
        (f"{PACKAGE}.charts.pictures", "svg_of")
    )  # whoever makes a page of their own asks for drawings
    todo = {place for place in defined if place[1] == "" or place[0].startswith(f"{PACKAGE}.cli")} | exported
    seen: set[Place] = set()
    while todo:
        place = todo.pop()
        seen.add(place)
        for node in defined[place]:
            todo |= {one for one in used(node, place[0], known[place[0]][0]) if one in defined} - seen
    return seen


def used(node: ast.stmt, module: str, names: dict[str, Place]) -> Iterator[Place]:
    """Places that the names in a statement stand for."""
    for inner in ast.walk(node):
        if isinstance(inner, ast.Name):
            yield names.get(inner.id, (module, inner.id))
        elif isinstance(inner, ast.Attribute) and isinstance(inner.value, ast.Name):
            package, name = names.get(inner.value.id, (module, ""))
            yield (f"{package}.{name}", inner.attr)
        elif isinstance(inner, ast.Constant) and isinstance(inner.value, str):
            yield names.get(inner.value, (module, inner.value))  # a name in an annotation


def unreached() -> list[str]:
    """Definitions of the package that nothing reaches, "module.name"."""
    trees = modules()
    seen = reached(trees)
    every = {(module, name) for module, tree in trees.items() for name, _ in definitions(tree)}
    return sorted(f"{module}.{name}" for module, name in every - seen)


if __name__ == "__main__":
    print(*unreached(), sep="\n")  # noqa: T201 - what it is for
