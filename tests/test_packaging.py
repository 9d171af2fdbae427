"""What is shipped: the wheel and the source archive, the installation texts, completion in the shell."""

from __future__ import annotations

import ast
import importlib.util
import re
import shutil
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from pathlib import Path

import pytest
from msgspec import Struct, json

from thermlog.advice.evidenceload import FILES, load_evidence, unbuilt_evidence
from thermlog.cli import COMMANDS
from thermlog.words.version import __version__

ROOT = Path(__file__).parent.parent
SETTINGS = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
PROJECT, (BACKEND, _) = SETTINGS["project"], SETTINGS["build-system"]["requires"]
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md"))]


EVIDENCE = "thermlog/advice/evidence.msgpack"  # made when the wheel is built


class Built(Struct, frozen=True, kw_only=True):
    """Names of the files in both archives, and the text of the wheel's metadata, evidence and tables."""

    wheel: frozenset[str]
    source: frozenset[str]
    metadata: str
    evidence: bytes
    tables: dict[str, object]


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """Source archive of the checkout, and the wheel made of that archive."""
    folder = tmp_path_factory.mktemp("dist")
    command = [sys.executable, "-m", "build", "--no-isolation", "--outdir", str(folder), str(ROOT)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    with tarfile.open(folder / f"thermlog-{__version__}.tar.gz") as archive:
        source = {name.partition("/")[2] for name in archive.getnames()}
    with zipfile.ZipFile(folder / f"thermlog-{__version__}-py3-none-any.whl") as archive:
        metadata = archive.read(f"thermlog-{__version__}.dist-info/METADATA").decode()
        wheel, evidence = frozenset(archive.namelist()), archive.read(EVIDENCE)
        tables = {name: json.decode(archive.read(name)) for name in wheel if name.endswith(".toml.json")}
    return Built(wheel=wheel, source=frozenset(source), metadata=metadata, evidence=evidence, tables=tables)


def test_a_wheel_is_built_where_only_what_it_asks_for_is_installed():
    """pip builds it in an environment of its own, which has no numpy; the build above is not isolated."""
    program = """
import sys
sys.modules |= dict.fromkeys(("numpy", "scipy", "pandas", "click"))
from thermlog.advice.evidenceload import BUILT, load_evidence
from thermlog.words.bundled import bundled
load_evidence(BUILT.parent), bundled(BUILT.with_name("doing.toml"))
"""
    ran = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert (ran.returncode, ran.stderr) == (0, "")


@pytest.fixture(scope="module")
def kept() -> frozenset[str]:
    """Files of the checkout that are kept, those not committed yet among them."""
    if not (ROOT / ".git").exists():
        pytest.skip("only a checkout knows which files are kept; this is a source archive")
    command = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    listed = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True).stdout
    return frozenset(name for name in listed.split("\0") if name and (ROOT / name).is_file())


def test_the_top_level_holds_what_a_project_needs_and_no_log_that_a_trial_left(kept):
    """A new name is added here by whoever adds it."""
    folders = {".ci", "bench", "docs", "sample_logs", "tests", "thermlog"}
    files = {
        ".gitignore",
        "CHANGELOG.md",
        "DEVELOPERS.md",
        "LICENSE",
        "README.md",
        "hatch_build.py",
        "pyproject.toml",
    }
    assert {name.partition("/")[0] for name in kept} == folders | files


def test_the_source_archive_holds_what_is_kept_and_nothing_else(built, kept):
    assert built.source == kept | {"PKG-INFO"}


def test_the_wheel_holds_the_package_its_data_and_its_licence_and_nothing_else(built, kept):
    about = f"thermlog-{__version__}.dist-info/"
    package = {name for name in kept if name.startswith("thermlog/")}
    samples = {f"thermlog/{name}" for name in kept if name.startswith("sample_logs/")}
    notes = {"METADATA", "RECORD", "WHEEL", "entry_points.txt", "licenses/LICENSE"}

    assert len(samples) > 20
    made = {EVIDENCE, *built.tables}
    assert made.isdisjoint(package)
    assert built.wheel == package | samples | made | {about + name for name in notes}


def test_the_package_is_code_and_data_of_known_kinds(built):
    endings = {Path(name).suffix for name in built.wheel - {EVIDENCE} if name.startswith("thermlog/")}
    assert endings == {".py", ".toml", ".json", ".csv", ".md", ".table", ".typed", ".html", ".css", ".js"}


def test_the_wheel_reads_the_evidence_that_the_files_state(built):
    files = load_evidence(ROOT / "thermlog" / "advice")
    assert unbuilt_evidence(built.evidence) == files


def test_the_wheel_reads_the_tables_that_the_files_state(built):
    files = {path for path in (ROOT / "thermlog").rglob("*.toml") if path.stem not in FILES}
    assert len(files) > 8
    assert built.tables == {
        f"{path.relative_to(ROOT)}.json": tomllib.loads(path.read_text(encoding="utf-8")) for path in files
    }


def test_metadata_name_licence_and_authors_and_no_address(built):
    assert "\nLicense-Expression: MIT\nLicense-File: LICENSE\n" in built.metadata
    assert "\nAuthor: The thermlog authors\n" in built.metadata
    assert "Project-URL" not in built.metadata  # docs/decisions.md says why
    assert "the thermlog authors" in (ROOT / "LICENSE").read_text(encoding="utf-8")


def test_the_version_is_one():
    assert PROJECT["version"] == __version__


def test_every_dependency_has_a_lower_bound_that_ci_installs():
    command = [sys.executable, str(ROOT / ".ci" / "lowest.py")]
    lowest = subprocess.run(command, capture_output=True, text=True, check=True).stdout.splitlines()

    extras = PROJECT["optional-dependencies"]
    tried = [*PROJECT["dependencies"], *extras["cluster"], *extras["remote"], *extras["parquet"]]
    assert len(lowest) == len(tried)
    assert all(re.fullmatch(r"[a-z0-9]+==\d+\.\d+\.\d+", line) for line in lowest)


def test_no_text_sends_a_user_to_an_index():
    """thermlog is on none: what is printed or documented must work from a checkout."""
    texts = [*PAGES, *(ROOT / "thermlog").rglob("*.py"), *(ROOT / "thermlog").rglob("*.toml")]
    named = {
        (path.name, command)
        for path in texts
        for command in re.findall(r"pip install [^`\n]*", path.read_text(encoding="utf-8"))
        if "thermlog" in command.partition("&&")[0]
    }
    assert named == set()


def test_every_extra_in_the_documents_exists():
    extras = {
        name
        for path in PAGES
        for listed in re.findall(r"pip install[^`\n]*?\.\[([\w,]+)\]", path.read_text(encoding="utf-8"))
        for name in listed.split(",")
    }
    assert "dev" in extras
    assert extras <= set(PROJECT["optional-dependencies"])


def test_benchmarks_need_only_what_the_readme_installs():
    """But for the fuzzer, whose page says that it wants an environment of its own."""
    extras = PROJECT["optional-dependencies"]
    own = next(one for one in extras["test"] if one.startswith("thermlog["))
    joined = [name for one in re.findall(r"\w+", own)[1:] for name in extras[one]]
    wanted = [*PROJECT["dependencies"], *joined, *extras["test"], *extras["dev"]]
    declared = {re.match(r"[\w-]+", name)[0] for name in wanted}
    local = {path.stem for folder in ("bench", "tests") for path in (ROOT / folder).glob("*.py")}
    missing = {}
    for path in (ROOT / "bench").glob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        named = [
            alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names
        ]
        of = [node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) and node.module]
        used = {name.partition(".")[0] for name in (*named, *of)}
        if unknown := used - declared - local - sys.stdlib_module_names:
            missing[path.name] = unknown

    assert missing == {"fuzz_read.py": {"atheris"}}
    assert re.match(r"[\w-]+", BACKEND)[0] in declared  # bench/timing.py builds a wheel with it


def test_the_house_is_measured_right():
    """Lines and lengths counted by hand."""
    spec = importlib.util.spec_from_file_location("house", ROOT / "bench" / "house.py")
    house = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(house)
    text = (
        '"""A page."""\n\n# why\nX = (\n    1,  # one\n\n    2,\n)\n\n'
        'def f():\n    """Say."""\n    return """a\nb"""\n'
    )

    assert house.code_lines(text) == 4 + 1 + 2  # X but its blank line, def, return over two lines
    assert list(house.function_lengths(text)) == [4]
    assert (
        house.records("class A(Struct, frozen=True):\n    pass\nclass B(msgspec.Struct): ...\nclass C: ...")
        == 2
    )
    assert int(house.figures(ROOT)["longest file"]) <= 400


BASH = shutil.which("bash")
# What a shell does when the tab key is pressed: it fills these two, calls the function, and reads the third.
IN_THE_README = re.compile(r"^eval .*bash_source.*$", re.MULTILINE)
PRESS_TAB = """
complete -p thermlog
COMP_WORDS=("${@}"); COMP_CWORD=$(($# - 1)); _thermlog_completion thermlog
printf '%s\\n' "${COMPREPLY[@]}"
"""


@pytest.mark.skipif(BASH is None, reason="there is no bash here")
@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        (("thermlog", "ch"), ["check"]),
        (("thermlog", ""), sorted(COMMANDS)),
        (("thermlog", "check", "--format", "j"), ["json"]),
        (("thermlog", "fleet", "--no-such"), [""]),
    ],
)
def test_bash_completes_commands_and_options(typed, offered, monkeypatch):
    monkeypatch.setenv("PATH", f"{Path(sys.executable).parent}:/usr/bin:/bin")
    (line,) = IN_THE_README.findall(PAGES[0].read_text(encoding="utf-8"))
    command = [BASH, "-c", line + PRESS_TAB, "bash", *typed]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    declared, *found = done.stdout.splitlines()

    assert declared == "complete -o nosort -F _thermlog_completion thermlog"
    assert sorted(found) == offered


@pytest.mark.parametrize("asked", ["bash_source", "zsh_source", "fish_source", "bash_complete"])
def test_completion_ends_well(asked, thermlog, monkeypatch):
    monkeypatch.setenv("_THERMLOG_COMPLETE", asked)
    monkeypatch.setenv("COMP_WORDS", "thermlog ch")
    monkeypatch.setenv("COMP_CWORD", "1")
    ran = thermlog()

    assert (ran.code, ran.err) == (0, "")
    assert "thermlog" in ran.out or ran.out == "plain,check\n"
