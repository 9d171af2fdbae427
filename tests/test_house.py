"""The rules of the house: format, lint, types, layers, file lengths, no circles."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest
from reached import unreached
from sentencereaders import refusal_readers, sentence_readers, word_makers
from unused import unused_members, unvaried_parameters

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
    found = {}
    for path in (ROOT / "thermlog").rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        plain = (alias.name for node in tree.body if isinstance(node, ast.Import) for alias in node.names)
        of = (node.module for node in tree.body if isinstance(node, ast.ImportFrom) and node.module)
        names = {name.split(".")[0] for name in (*plain, *of)}
        if names & heavy and path.parent.name != "charts":
            found[path.relative_to(ROOT)] = names & heavy

    assert found == {}


# What only users of the package name, not its own code: one case of a batch is told to who asks for it.
PUBLIC_INTERFACE = {"thermlog.__all__"}


def test_the_program_uses_everything_it_carries():
    """No formula, constant or record that only tests or benchmarks use: such things live in tests/oracle."""
    assert set(unreached()) == PUBLIC_INTERFACE


# What is read by others than the package.
MEMBERS_FOR_OTHERS = {
    "thermlog.fitting.settle.Settling.f_ratio",  # what its answer rests on, held against least squares
    "thermlog.simulation.depot.SimulatedWeek.week",  # the study of a depot
    "thermlog.words.kinds.FaultKind.meaning",  # the table of docs/suspects.md
}


def test_every_member_of_a_class_is_used():
    """No field, property or method that nothing names."""
    assert set(unused_members()) == MEMBERS_FOR_OTHERS


def test_every_parameter_varies():
    """No parameter that all calls leave at its default, or give the same constant."""
    assert unvaried_parameters() == []


def test_no_type_has_the_name_of_another():
    """A public class or type alias means one thing in the whole package."""
    found = {}
    for path in (ROOT / "thermlog").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            for name in named_types(node):
                found.setdefault(name, set()).add(path.relative_to(ROOT).as_posix())
    assert len(found) > 100  # it finds them at all
    assert {name: sorted(places) for name, places in found.items() if len(places) > 1} == {}


def test_no_function_has_the_name_of_another():
    """A public function of a module means one thing in the whole package.

    Left out: commands, which are named for what they call, the interface that the package offers under its
    own name, and a command's start.
    """
    found = {}
    for path in (ROOT / "thermlog").rglob("*.py"):
        if path.parent.name == "cli" or path.name in {"__init__.py", "__main__.py"}:
            continue
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                found.setdefault(node.name, set()).add(path.relative_to(ROOT).as_posix())
    assert len(found) > 500  # it finds them at all
    assert {name: sorted(places) for name, places in found.items() if len(places) > 1} == {}


def test_no_constant_has_the_name_of_another():
    """A public constant of a module means one thing in the whole package."""
    found = {}
    for path in (ROOT / "thermlog").rglob("*.py"):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
            for name in (one.id for one in targets if isinstance(one, ast.Name) and one.id.isupper()):
                if not name.startswith("_") and name != "TYPE_CHECKING":
                    found.setdefault(name, set()).add(path.relative_to(ROOT).as_posix())
    assert len(found) > 300  # it finds them at all
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


def test_no_code_reads_a_sentence():
    """What the program says is for people: refusals carry codes, reasons corners and numbers.

    The rooms that read are asked for refusals alone: their words are those of logs.
    """
    package = ROOT / "thermlog"
    sources = {path.relative_to(package): path.read_text(encoding="utf-8") for path in package.rglob("*.py")}
    told = {path: word_makers(text) for path, text in sources.items() if makes_words(path)}
    everywhere = {name for names in told.values() for name in names if not name.startswith("_")}
    everywhere.remove("short_name")  # of a file
    assert len(everywhere) > 100  # it finds them at all
    found = {}
    for path, text in sources.items():
        makers = everywhere | told.get(path, set())
        read = refusal_readers(text) if path.parts[0] in {"reading", "simulation"} else None
        if lines := list(sentence_readers(text, makers) if read is None else read):
            found[path.as_posix()] = lines
    assert found == {}


def makes_words(path):
    """True for a module whose texts are for people, not for programs."""
    return path.parts[0] in {"reports", "pages"} and "contract" not in path.parts and path.name not in {
        "report_json.py", "report_csv.py", "rawlog.py",
    }  # fmt: skip


@pytest.mark.parametrize(
    "line",
    [
        'one.reason == "b"',
        '"b" in str(refusal)',
        'one.problem.split(":")',
        'VERDICT_WORDS[one.verdict].split(" ", 1)',
        '_standing(one).replace("that", "this")',
        'expected_words(band).removesuffix("C") or "-"',
        'SEEN_HINT.removeprefix("write ")',
        'one.name.partition(":")[0]',
        'one.reason.removeprefix(one.file).lstrip(":, ")',
        'any("front" in text for text in own)',
        '"every brake" in said_of',
        'place.split(" and ")',
        'next(text.partition(" ") for text in last_lines(found))',
    ],
)
def test_a_line_that_reads_a_sentence_is_seen(line):
    """Those that the package had, each in a function as it stood there."""
    head = "def a(one, band, place: str):\n    own = [text for text in (missing_words(one), '') if text]\n"
    source = f"{head}    said_of = f'{{missing_words(one)}}.'\n    return {line}\n"
    assert list(sentence_readers(source, {"_standing"})) == [4]


@pytest.mark.parametrize(
    "line",
    [
        "one.reason is None",
        'one.code in PART_WORDS and one.corner in {"1L"}',
        '"; ".join(filter(None, (said(one), band)))',
        'path.partition(".")[0] or place.title()',
        "text if text else VERDICT_WORDS[one.verdict]",
    ],
)
def test_a_line_that_puts_sentences_together_is_none(line):
    assert list(sentence_readers(f"def a(one, band, path, text, place: str):\n    return {line}\n")) == []
