"""What the package defines and never uses, below whole definitions: members of classes, parameters.

``python tests/unused.py`` prints both. Names alone are compared, so that a member that shares its name with a
used one passes; what is found is unused for certain, but for what is written whole as JSON.
"""

import ast
import re
from collections import defaultdict
from collections.abc import Iterator
from typing import NamedTuple, TypeAlias

from reached import PACKAGE, ROOT, modules

Function: TypeAlias = ast.FunctionDef | ast.AsyncFunctionDef
# Their records are written whole, or read by the script of the page.
WRITTEN_WHOLE = (f"{PACKAGE}.reports.contract", f"{PACKAGE}.bay.messages")
TOLD_FROM_OUTSIDE = (PACKAGE, f"{PACKAGE}.charts.pictures")  # whoever writes Python calls these


def unused_members() -> list[str]:
    """Fields, properties and methods that no attribute, text or template names, "module.Class.member"."""
    trees = modules()
    templates = (ROOT / PACKAGE).rglob("*.html")
    named = {name for path in templates for name in re.findall(r"\w+", path.read_text(encoding="utf-8"))}
    for tree in trees.values():
        named |= set(_named(tree))
    found = [
        f"{module}.{kind.name}.{member}"
        for module, tree in trees.items()
        if not module.startswith(WRITTEN_WHOLE)
        for kind in ast.walk(tree)
        if isinstance(kind, ast.ClassDef)
        for member in _members(kind)
        if member not in named
    ]
    return sorted(found)


def _named(tree: ast.Module) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Load):
            yield node.attr
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value  # for getattr and the like
        elif isinstance(node, ast.MatchClass):
            yield from node.kwd_attrs


def _members(kind: ast.ClassDef) -> Iterator[str]:
    """Names that a class defines itself; of a class from elsewhere its base calls the methods."""
    foreign = any("." in ast.unparse(base) for base in kind.bases)
    for node in kind.body:
        if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            yield node.target.id
        elif (
            isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef))
            and not foreign
            and not node.name.startswith("__")
        ):
            yield node.name


class Uses(NamedTuple):
    """Of every name: where functions of it are defined, called, and used without a call."""

    defined: dict[str, list[tuple[str, Function]]]
    called: dict[str, list[tuple[str, ast.Call]]]
    handed_on: dict[str, set[str]]


def uses(trees: dict[str, ast.Module]) -> Uses:
    found = Uses(defaultdict(list), defaultdict(list), defaultdict(set))
    for module, tree in trees.items():
        nodes = list(ast.walk(tree))
        calls = [node for node in nodes if isinstance(node, ast.Call)]
        callers = {id(call.func) for call in calls}
        for call in calls:
            found.called[_name(call.func)].append((module, call))
        for node in nodes:
            if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
                found.defined[node.name].append((module, node))
            elif isinstance(node, (ast.Name, ast.Attribute)) and id(node) not in callers:
                found.handed_on[_name(node)].add(module)
    return found


def _name(node: ast.expr) -> str:
    return getattr(node, "id", getattr(node, "attr", ""))


def unvaried_parameters() -> list[str]:
    """Parameters that every call leaves at their default, or to which all give one constant."""
    found = []
    trees = modules()
    known = uses(trees)
    for name, functions in known.defined.items():
        if name.startswith("__") or (len(functions) > 1 and not name.startswith("_")):
            continue
        for module, function in functions:
            within = {module} if name.startswith("_") else {*trees}
            called = [call for place, call in known.called[name] if place in within]
            alone = sum(place in within for place, _ in functions) == 1
            by_name = alone and not function.decorator_list and not within & known.handed_on[name]
            if by_name and module not in TOLD_FROM_OUTSIDE:
                found += [f"{module}.{name}({one})" for one in _unvaried(function, called)]
    return sorted(found)


def _unvaried(function: Function, calls: list[ast.Call]) -> Iterator[str]:
    arguments = function.args
    places = [one.arg for one in (*arguments.posonlyargs, *arguments.args)]
    places = places[1:] if places[:1] in (["self"], ["cls"]) else places
    for name in (*places, *(one.arg for one in arguments.kwonlyargs)):
        given = [_given(call, name, places) for call in calls]
        if given and len(set(given)) == 1 and given[0] is not None:
            yield name


def _given(call: ast.Call, name: str, places: list[str]) -> str | None:
    """What a call gives a parameter: a constant, "" where it gives nothing, None where it computes it."""
    if any(isinstance(one, ast.Starred) for one in call.args) or any(
        one.arg is None for one in call.keywords
    ):
        return None
    place = places.index(name) if name in places else len(call.args)
    value = next((one.value for one in call.keywords if one.arg == name), None)
    value = call.args[place] if place < len(call.args) else value
    if value is None:
        return ""
    return repr(value.value) if isinstance(value, ast.Constant) else None


if __name__ == "__main__":
    print(*unused_members(), *unvaried_parameters(), sep="\n")  # noqa: T201 - what it is for
