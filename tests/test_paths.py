"""Folders as they are found on a server: what is in the way is counted and named, and the rest goes on."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from logs import DRAGGING_K, HEALTHY_K, write_log
from readcases import PLAIN
from rights import without_rights

from thermlog.reading.files.paths import Expanded, expand_paths


def make(*names: str) -> None:
    for name in names:
        Path(name).parent.mkdir(parents=True, exist_ok=True)
        Path(name).write_text(PLAIN, encoding="utf-8")


def reasons(found: Expanded) -> dict[str, str]:
    return {one.file: one.problem for one in found.refused}


# what stands in the way -> how it is made, and what is said of it
IN_THE_WAY: dict[str, tuple[Callable[[], object], str]] = {
    "depot/gone.csv": (lambda: Path("depot/gone.csv").symlink_to("nowhere.csv"), "a link that leads nowhere"),
    "depot/self.csv": (lambda: Path("depot/self.csv").symlink_to("self.csv"), "a link that leads nowhere"),
    "depot/pipe.csv": (lambda: os.mkfifo("depot/pipe.csv"), "a pipe"),
    "depot/null.csv": (lambda: Path("depot/null.csv").symlink_to("/dev/null"), "a device"),
    "depot/socket.csv": (
        lambda: socket.socket(socket.AF_UNIX).bind("depot/socket.csv"),
        "a device or a socket",
    ),
    "nothing": (lambda: Path("nothing").mkdir(), "no log in this folder; logs end in .csv"),
    "depot/*.nothing": (lambda: None, "no file matches this pattern"),
}


@pytest.mark.filterwarnings("ignore::ResourceWarning")
@pytest.mark.parametrize("place", IN_THE_WAY)
def test_what_is_in_the_way_is_named_and_the_rest_goes_on(place):
    make("depot/a.csv", "depot/z.csv")
    put, said = IN_THE_WAY[place]
    put()
    start = time.perf_counter()
    found = expand_paths(["depot", *([] if place.startswith("depot/") and "*" not in place else [place])])

    assert list(found.files) == ["depot/a.csv", "depot/z.csv"]
    assert list(reasons(found)) == [place]
    assert reasons(found)[place].startswith(said)
    assert time.perf_counter() - start < 5.0  # a pipe nobody writes to is not waited for


def test_all_of_it_at_once_through_a_pattern_too():
    make("depot/a.csv")
    for place in ("depot/gone.csv", "depot/self.csv", "depot/pipe.csv", "depot/null.csv"):
        IN_THE_WAY[place][0]()
    for paths in (["depot"], ["depot/*"], ["depot/*.csv"], ["depot/**/*.csv"], ["./depot/"]):
        found = expand_paths(paths)
        assert [Path(file).name for file in found.files] == ["a.csv"]
        assert len(found.refused) == 4


def test_folders_that_cannot_be_entered_are_named():
    make("depot/a.csv", "depot/locked/b.csv", "depot/locked/deep/c.csv", "depot/unlisted/d.csv")
    Path("depot/locked").chmod(0)
    Path("depot/unlisted").chmod(0o111)
    try:
        with without_rights():
            found = expand_paths(["depot"])
            alone = expand_paths(["depot/locked", "depot/a.csv"])
            pattern = expand_paths(["depot/locked/*.csv", "depot/gone/*.csv"])
    finally:
        Path("depot/locked").chmod(0o755)
        Path("depot/unlisted").chmod(0o755)

    said = "this folder cannot be looked into (Permission denied)"
    assert list(found.files) == ["depot/a.csv"]
    assert reasons(found) == {"depot/locked": said, "depot/unlisted": said}
    assert (list(alone.files), reasons(alone)) == (["depot/a.csv"], {"depot/locked": said})
    assert reasons(pattern) == {
        "depot/locked/*.csv": "the folder depot/locked cannot be looked into (Permission denied)",
        "depot/gone/*.csv": "no file matches this pattern; there is no folder depot/gone",
    }


def test_what_lies_in_a_folder_that_can_only_be_listed_is_named():
    make("depot/a.csv", "depot/listed/b.csv", "depot/listed/c.csv", "depot/listed/deep/d.csv")
    Path("depot/listed").chmod(0o444)
    try:
        with without_rights():
            found = expand_paths(["depot"])
    finally:
        Path("depot/listed").chmod(0o755)

    said = "cannot be reached (Permission denied); remove it, or put the log there"
    assert list(found.files) == ["depot/a.csv"]
    assert {file: problem for file, problem in reasons(found).items() if file != "depot/listed/deep"} == {
        "depot/listed/b.csv": said,
        "depot/listed/c.csv": said,
    }
    assert reasons(found)["depot/listed/deep"] == "this folder cannot be looked into (Permission denied)"


def test_folders_are_looked_through_in_the_order_of_the_system_and_links_told_before_files():
    make(*(f"depot/{name}/{k}.xls" for name in ("a", "b", "c") for k in (1, 2)), "depot/x.zip", "depot/y.csv")
    Path("depot/round").symlink_to(".", target_is_directory=True)
    wanted: dict[str, str] = {}
    for place, folders, names in os.walk("depot"):
        links = [name for name in folders if Path(place, name).is_symlink()]
        for name in (*links, *names):
            ending = "links to folders" if name in links else Path(name).suffix
            wanted.setdefault(ending, str(Path(place, name)))
    del wanted[".csv"]
    found = expand_paths(["depot"])
    assert [(one.kind, one.first) for one in found.passed_files()] == [*wanted.items()]


@pytest.mark.parametrize("depth", [150, 450, 1500])
def test_very_deep_nesting_is_walked_to_its_end(depth):
    home = Path.cwd()
    for _ in range(depth):
        Path("d").mkdir()
        os.chdir("d")
    make("a.csv")
    os.chdir(home)
    try:
        found = expand_paths(["."])
    finally:
        os.chdir("/".join(["d"] * depth))
        Path("a.csv").unlink()
        _climb_and_remove(depth)
    assert list(found.files) == ["/".join(["d"] * depth + ["a.csv"])]
    assert not found.refused


def test_nesting_deeper_than_a_path_can_name_is_named_and_the_rest_goes_on():
    make("a.csv")
    depth = 2500  # a path may hold 4096 letters
    for _ in range(depth):
        Path("d").mkdir()
        os.chdir("d")
    for _ in range(depth):
        os.chdir("..")
    try:
        found = expand_paths(["."])
    finally:
        for _ in range(depth):
            os.chdir("d")
        _climb_and_remove(depth)

    assert list(found.files) == ["a.csv"]
    assert [one.problem for one in found.refused] == [
        "this folder cannot be looked into (File name too long)"
    ]


def _climb_and_remove(depth: int) -> None:
    for _ in range(depth):
        os.chdir("..")
        Path("d").rmdir()


def test_links_to_folders_are_not_followed_round_in_circles(monkeypatch):
    make("depot/a.csv")
    Path("depot/round").symlink_to(".", target_is_directory=True)
    found = expand_paths(["depot"])
    monkeypatch.chdir("depot")
    here = expand_paths(["."])

    assert (list(here.files), here.passed["links to folders"].first) == (["a.csv"], "round")

    assert list(found.files) == ["depot/a.csv"]
    assert "1 link to a folder (depot/round)" in (found.passed_words() or "")


def test_other_kinds_of_file_are_counted_and_named():
    make(
        "depot/a.csv", *(f"depot/{name}" for name in ("b.xls", "c.XLS", "d.ods", "e.zip", "f.log", "README"))
    )
    make("depot/~$a.xlsx", "depot/._a.csv", "depot/.~lock.a.csv#")
    found = expand_paths(["depot"])

    assert list(found.files) == ["depot/a.csv"]
    assert found.refused == []
    assert {ending: kind.count for ending, kind in found.passed.items()} == {
        ".xls": 2, ".ods": 1, ".zip": 1, ".log": 1, "": 1, "left by other programs": 3,
    }  # fmt: skip
    said = found.passed_words() or ""
    assert said.startswith("9 files passed over, no logs by their ending: 3 left by other programs")
    assert "1 .log (depot/f.log)" in said


def test_a_folder_of_other_files_says_so():
    make("depot/a.log", "depot/b.log")
    found = expand_paths(["depot"])

    assert reasons(found)["depot"].startswith("no log in this folder among 2 other files")


def test_a_file_named_itself_is_taken_whatever_it_is():
    os.mkfifo("pipe")
    make("a.log")
    assert list(expand_paths(["pipe", "a.log", "gone.csv", "-"]).files) == ["pipe", "a.log", "gone.csv", "-"]


@pytest.mark.parametrize("name", ["x" * 300 + ".csv", "x" * 5000, "a[1].csv"])
def test_names_that_are_too_long_or_look_like_patterns(name):
    if len(name) < 300:
        make(name)
    assert list(expand_paths([name]).files) == [name]


def test_the_list_of_a_fleet_names_all_of_it(thermlog):
    """No log can be read: the code is 3, and every reason stands on the page or beside it."""
    Path("empty").mkdir()
    make("depot/a.xls")
    os.mkfifo("depot/pipe.csv")
    ran = thermlog("fleet", "empty", "depot", "no*.csv")

    assert ran.code == 3
    assert "thermlog: one file passed over, no logs by their ending: 1 .xls (depot/a.xls)\n" in ran.err
    for place in ("empty: no log", "depot/pipe.csv: a pipe", "no*.csv: no file matches"):
        assert place in ran.out


def test_a_pattern_follows_no_links_to_folders(tmp_path, monkeypatch):
    """Two links to a folder above are two to the power of the longest path of ways to the same file."""
    monkeypatch.chdir(tmp_path)
    Path("depot/a/b").mkdir(parents=True)
    for place in ("depot/one.csv", "depot/a/b/two.csv", "depot/a/.hidden.csv"):
        Path(place).write_text(PLAIN, encoding="utf-8")
    Path("depot/up").symlink_to("..")
    Path("depot/a/self").symlink_to(".")

    assert list(expand_paths(["depot/**/*.csv"]).files) == ["depot/a/b/two.csv", "depot/one.csv"]
    assert list(expand_paths(["depot/**"]).files) == ["depot/a/b/two.csv", "depot/one.csv"]
    assert list(expand_paths([f"{tmp_path}/depot/**/two.csv"]).files) == [f"{tmp_path}/depot/a/b/two.csv"]


def test_one_file_under_several_names_is_one_file(thermlog, monkeypatch):
    write_log(Path(), "yard/a.csv", HEALTHY_K)
    write_log(Path(), "yard/copy.csv", HEALTHY_K)
    Path("yard/link.csv").symlink_to("a.csv")
    names = ["yard/a.csv", "./yard/a.csv", "yard/../yard/a.csv", str(Path("yard/a.csv").absolute())]
    assert list(expand_paths([*names, "yard/*.csv", "yard"]).files) == [
        "yard/a.csv",
        "yard/copy.csv",
        "yard/link.csv",  # a link and a copy are files of their own, of the same content
    ]
    found = json.loads(thermlog("fleet", *names, "yard", "--format", "json").out)
    assert found["work"]["tally"] | {"groups": None, "unit_groups": None} == {
        "files": 3, "read": 3, "unreadable": 0, "copies": 2, "logs": 1, "drives": 1, "units": 1,
        "groups": None, "unit_groups": None, "passed_over": 0, "sheets": 0,
    }  # fmt: skip
    monkeypatch.chdir("yard")
    assert list(expand_paths(["a.csv", "."]).files) == ["a.csv", "copy.csv", "link.csv"]


@pytest.mark.parametrize("sign", ["\n", "\0", "\r\n"])
def test_a_list_of_paths_names_files_folders_and_patterns(thermlog, sign):
    write_log(Path(), "yard/a b.csv", HEALTHY_K)
    write_log(Path(), "yard/deep/c.csv", DRAGGING_K)
    Path("list.txt").write_text(sign.join(["yard/a b.csv", "yard/deep", "gone.csv", ""]), encoding="utf-8")
    ran = thermlog("fleet", "--files-from", "list.txt", "--format", "json")
    found = json.loads(ran.out)
    assert [one["log"]["file"] for one in found["logs"]] == ["yard/a b.csv", "yard/deep/c.csv"]
    assert [one["file"] for one in found["unreadable"]] == ["gone.csv"]


def test_a_list_comes_from_standard_input_beside_paths():
    write_log(Path(), "a.csv", HEALTHY_K)
    write_log(Path(), "b.csv", DRAGGING_K)
    command = [sys.executable, "-m", "thermlog", "fleet", "a.csv", "--files-from", "-", "--format", "csv"]
    ran = subprocess.run(command, input=b"b.csv\n", capture_output=True, check=False)
    assert {b"a.csv", b"b.csv"} <= set(ran.stdout.replace(b"\n", b",").split(b","))


@pytest.mark.parametrize("content", [b"", b"\n\n", b"\0", b"\r\n"])
@pytest.mark.parametrize("form", ["text", "csv", "json"])
def test_a_list_without_a_path_is_refused_as_an_empty_folder_is(thermlog, content, form):
    Path("list.txt").write_bytes(content)
    Path("nothing").mkdir()
    assert thermlog("fleet", "nothing", "--format", form).code == 3
    ran = thermlog("fleet", "--files-from", "list.txt", "--format", form)
    assert ran.code == 3
    if form != "csv":
        assert "list.txt: no path in this list of paths; write one a line" in ran.out
    write_log(Path(), "a.csv", HEALTHY_K)
    assert thermlog("fleet", "a.csv", "--files-from", "list.txt", "--format", form).code == 1
    command = [sys.executable, "-m", "thermlog", "fleet", "--files-from", "-"]
    piped = subprocess.run(command, input=content, capture_output=True, check=False)
    assert piped.returncode == 3
    assert b"standard input: no path in this list of paths" in piped.stdout


@pytest.mark.parametrize(
    ("asked", "code", "said"),
    [
        ((), 2, "no PATH is named"),
        (("-", "--files-from", "-"), 2, "standard input is named as a log and as a list"),
        (("--files-from", "gone.txt"), 3, "gone.txt: no such file"),
        (("a.csv", "--look-up", "x", "--format", "csv"), 2, "--look-up goes with the text"),
        (("a.csv", "--csv-style", "comma"), 2, "--csv-style goes with --format csv"),
    ],
)
def test_what_cannot_be_asked_of_a_fleet_is_refused_in_words(thermlog, asked, code, said):
    write_log(Path(), "a.csv", HEALTHY_K)
    ran = thermlog("fleet", *asked)
    assert ran.code == code
    assert said in ran.err


def test_a_list_of_paths_where_a_log_is_wanted_is_told_of_the_option():
    write_log(Path(), "a.csv", HEALTHY_K)
    command = [sys.executable, "-m", "thermlog", "fleet", "-"]
    ran = subprocess.run(command, input=b"a.csv\n", capture_output=True, check=False)
    assert ran.returncode == 3
    assert b"for a list of paths on it write --files-from -" in ran.stderr
