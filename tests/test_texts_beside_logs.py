"""Texts in a folder that are no logs by their ending: what stops a vehicle is said all the same."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from bookparts import written
from logs import HEALTHY_K, log_text
from test_sheets_passed import walk

import thermlog as package


@pytest.fixture
def listed(thermlog):
    """A folder with a healthy van and one text beside it."""

    def run(name, content, *options):
        Path("d").mkdir(exist_ok=True)
        Path("d/van.csv").write_text(log_text(HEALTHY_K), encoding="utf-8")
        Path("d", name).write_bytes(content if isinstance(content, bytes) else content.encode())
        return thermlog("fleet", "d", *options)

    return run


@pytest.mark.parametrize("name", ["notes.md", "gun.LOG", "x.dat", "NOTE"])
@pytest.mark.parametrize("said", ["LR smoking when I came back", "do not drive", "RF: glowing"])
def test_what_it_says_stops_its_vehicle(listed, name, said):
    ran = listed(name, f"van 12\n{said}\n")
    assert ran.code == 1
    assert f'd/{name}  !! not read, but it says "{said}" (line 2)' in ran.out
    assert "passed over" not in ran.err + ran.out
    assert listed(name, f"van 12\n{said}\n", "--fail-on", "urgent").code == 1


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("notes.md", "washed the van\n"),
        ("photo smoke.jpg", b"smoke at LR\n"),  # its ending is none of a text
        ("van.json", "smoke at LR\n"),  # results have it
        ("a.log", b"smoke at LR\n\0"),  # no text
        ("b.log", b"smoke at LR\n" + b"x\n" * 20_000),  # more than people write
        ("README.md", "stop on smoke\n"),  # of the folder
        ("c.md", b""),
    ],
)
def test_nothing_else_is_looked_into(listed, name, content):
    ran = listed(name, content)
    assert ran.code == 0
    assert f"one file passed over, no logs by their ending: 1 {Path(name).suffix}" in ran.err


def test_a_log_of_another_ending_is_named_with_the_cure(listed):
    ran = listed("gun.dat", log_text(HEALTHY_K, vehicle="van 8"))
    assert ran.code == 1
    assert "reads as a log" in ran.out
    assert "let it end in .csv" in " ".join(ran.out.split())
    assert "STOP" not in ran.out


def test_what_was_seen_by_option_is_of_the_logs(listed):
    ran = listed("notes.md", "washed the van\n", "--seen", "smoke at LR")
    assert "notes.md  !!" not in ran.out


def test_a_folder_of_notes_alone_and_the_python_interface_say_it_too(thermlog):
    Path("d").mkdir()
    Path("d/notes.md").write_text("smoke at LR\n", encoding="utf-8")
    assert "smoke at LR" in thermlog("fleet", "d").out
    frame = package.diagnose("d")
    assert frame.attrs["dangers"] == [("d/notes.md", "smoke at LR", 1)]
    assert frame.attrs["passed_over"] == []
    assert package.fleet_table("d").attrs["tally"]["unreadable"] == 2  # the folder holds no log, either


@pytest.mark.parametrize(
    ("sheets", "count"), [({"notes": [["smoke at LR"]]}, 1), ({"a": [["do not drive"]], "b": [["smoke"]]}, 2)]
)
def test_a_workbook_with_a_dangerous_sheet_is_one_file(thermlog, sheets, count):
    Path("a.xlsx").write_bytes(written({"log": walk("# vehicle: van 7"), **sheets}))
    ran = thermlog("fleet", "a.xlsx")
    assert ran.code == 1
    assert "\n1 file: 1 log judged, 0 of the same content as another, 0 not read; " in ran.out
    assert f"{count} sheet{'s' if count > 1 else ''} of them not read" in ran.out
    assert "1 file not read, or not wholly: to stop all the same, by what it says" in ran.out
    tally = json.loads(thermlog("fleet", "a.xlsx", "--format", "json").out)["work"]["tally"]
    assert (tally["files"], tally["read"], tally["unreadable"], tally["sheets"]) == (1, 1, 0, count)
    assert thermlog("fleet", "a.xlsx", "--fail-on", "unreadable").code == 1
