"""Finds code that takes apart, searches or compares a text that the program made for people.

A text is what a function that makes words gives (one that returns a text in the rooms that present, or is
called `..._words`, `..._text`, `said`), a table of words (`..._WORDS`), the words of a refusal or a finding,
and whatever a function makes or keeps of one of these. It is found by names: a text that passes through a
parameter of another name is not seen.
"""

from __future__ import annotations

import ast
from collections.abc import Collection, Iterator

TAKING_APART = {
    "split", "rsplit", "partition", "rpartition", "startswith", "endswith", "find", "index", "replace",
    "removeprefix", "removesuffix", "lstrip",
}  # fmt: skip
MAKER_ENDINGS = ("_words", "_text", "_sentence")
MAKERS = {"said", "said_all", "on_page", "sentence", "headline", "last_lines"}
TABLES = ("_WORDS", "_HINT", "_TITLES", "_TEXTS")
COMPARED = {"problem", "reason"}  # of a refusal, and of a reading that was set aside
TOLD = COMPARED | {"question", "safety", "words", "do_next", "caution", "measured", "standing", "name"}
TOLD_GIVEN = {"problem", "reason", "place", "sentence"}  # parameters
REFUSALS = {"refusal", "fault", "error"}
HOLDERS = {
    "list", "tuple", "set", "sorted", "filter", "next", "iter", "printable", "capital", "min", "max",
    "enumerate", "zip", "reversed", "str", "join", "values", "items", "fromkeys", "get", "setdefault",
}  # fmt: skip
HELD = {
    ast.IfExp: ("body", "orelse"), ast.BoolOp: ("values",), ast.BinOp: ("left", "right"),
    ast.List: ("elts",), ast.Tuple: ("elts",), ast.Set: ("elts",), ast.Dict: ("values",),
    ast.ListComp: ("elt",), ast.GeneratorExp: ("elt",), ast.SetComp: ("elt",), ast.DictComp: ("value",),
    ast.Subscript: ("value",), ast.NamedExpr: ("value",), ast.Starred: ("value",),
    ast.JoinedStr: ("values",), ast.FormattedValue: ("value",),
}  # fmt: skip


def word_makers(source: str) -> set[str]:
    """Functions of a module that presents whose result is a text, by their annotation."""
    made = (node for node in ast.parse(source).body if isinstance(node, ast.FunctionDef) and node.returns)
    return {node.name for node in made if ast.unparse(node.returns) == "str"}


def sentence_readers(source: str, makers: Collection[str] = ()) -> Iterator[int]:
    """Lines of a module that read a text which was made for people; `makers` are functions that make some."""
    tree = ast.parse(source)
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    yield from sorted({line for scope in (tree, *functions) for line in _lines(scope, frozenset(makers))})


def _lines(scope: ast.AST, makers: frozenset[str]) -> Iterator[int]:
    known = _Known(makers)
    if isinstance(scope, ast.FunctionDef):
        known.learn(scope)
    for node in ast.walk(scope):
        if isinstance(node, ast.Call):
            called = node.func
            apart = isinstance(called, ast.Attribute) and called.attr in TAKING_APART
            if apart and known.is_text(called.value):
                yield node.lineno
        elif isinstance(node, ast.Compare) and known.reads(node):
            yield node.lineno


def refusal_readers(source: str) -> Iterator[int]:
    """Lines of a module that read the text of a refusal, or of what was set aside."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            if node.func.attr in TAKING_APART and _is_refusal(node.func.value):
                yield node.lineno
        elif isinstance(node, ast.Compare) and _compares_refusal(node):
            yield node.lineno


def _compares_refusal(node: ast.Compare) -> bool:
    asked = [node.left, *node.comparators]
    known = any(isinstance(one, ast.Constant) and one.value is None for one in asked)
    return not known and any(map(_is_refusal, asked))


class _Known:
    """What is known to be a text in one function."""

    def __init__(self, makers: frozenset[str]) -> None:
        self.makers, self.names = makers, set[str]()

    def learn(self, function: ast.FunctionDef) -> None:
        """Names in a function that hold texts, or what holds texts."""
        given = [*function.args.args, *function.args.kwonlyargs]
        self.names |= {one.arg for one in given if one.arg in TOLD_GIVEN and _annotated_text(one)}
        before = -1
        while len(self.names) != before:
            before = len(self.names)
            for node in ast.walk(function):
                if isinstance(node, ast.Assign):
                    self.names |= {name for one in node.targets for name in self._given(one, node.value)}
                elif isinstance(node, (ast.NamedExpr, ast.AnnAssign)) and node.value is not None:
                    self.names |= set(self._given(node.target, node.value))
                elif isinstance(node, (ast.comprehension, ast.For)):
                    self.names |= set(self._given(node.target, node.iter))

    def _given(self, target: ast.AST, value: ast.AST) -> Iterator[str]:
        if isinstance(target, ast.Name) and self.is_text(value):
            yield target.id
        elif isinstance(target, ast.Tuple) and isinstance(value, ast.Tuple):
            for one, given in zip(target.elts, value.elts, strict=False):
                yield from self._given(one, given)
        elif isinstance(target, ast.Tuple) and self.is_text(value):
            yield from (one.id for one in target.elts if isinstance(one, ast.Name))

    def reads(self, node: ast.Compare) -> bool:
        """True for a text of a refusal that is compared, or any text in which another is looked for."""
        looked_for = any(isinstance(one, (ast.In, ast.NotIn)) for one in node.ops)
        within = node.comparators[-1]
        found = looked_for and not _is_collection(within) and self.is_text(within)
        return found or _compares_refusal(node)

    def is_text(self, node: ast.AST) -> bool:
        """True for a text, or for what holds texts."""
        if isinstance(node, ast.Name):
            return node.id in self.names or _is_table(node)
        if isinstance(node, ast.Attribute):
            return node.attr in TOLD
        if isinstance(node, ast.Call):
            return _is_refusal(node) or self._makes_text(node)
        return any(map(self.is_text, _held(node)))

    def _makes_text(self, node: ast.Call) -> bool:
        name = getattr(node.func, "id", getattr(node.func, "attr", ""))
        if isinstance(node.func, ast.Name) and (name.endswith(MAKER_ENDINGS) or name in MAKERS | self.makers):
            return True
        of = [node.func.value] if isinstance(node.func, ast.Attribute) else []
        return name in HOLDERS and any(map(self.is_text, (*node.args, *of)))


def _annotated_text(given: ast.arg) -> bool:
    return getattr(given.annotation, "id", "") == "str"


def _is_refusal(node: ast.AST) -> bool:
    told = isinstance(node, ast.Call) and getattr(node.func, "id", "") == "str"
    caught = told and any(getattr(given, "id", "") in REFUSALS for given in node.args)
    return caught or (isinstance(node, ast.Attribute) and node.attr in COMPARED)


def _is_table(node: ast.AST) -> bool:
    return isinstance(node, ast.Name) and node.id.endswith(TABLES)


def _is_collection(node: ast.AST) -> bool:
    """True where membership is asked, not a part of a text."""
    return _is_table(node) or isinstance(node, (ast.Set, ast.Tuple, ast.List, ast.SetComp))


def _held(node: ast.AST) -> Iterator[ast.AST]:
    """What an expression may be, or hold."""
    for name in HELD.get(type(node), ()):
        part = getattr(node, name)
        yield from part if isinstance(part, list) else (part,)
