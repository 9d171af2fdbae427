"""The inspector's page: every command on it runs, on a folder as they come, and gives what the page says."""

from __future__ import annotations

import csv
import re
import shlex
import shutil
from pathlib import Path

import pytest

PAGE = (Path(__file__).parent.parent / "docs" / "inspector.md").read_text(encoding="utf-8")
COMMANDS = [line for block in re.findall(r"```sh\n(.*?)```", PAGE, re.DOTALL) for line in block.splitlines()]
DEPOT = '[[units]]\nid = "van 12"\nalso = ["delivery van 12"]\n[[units]]\nid = "truck 99"\n'


@pytest.fixture
def folder(thermlog):
    """The samples with what lies among logs: a copy, an empty file, a picture, a list of drivers."""
    thermlog("demo", "depot")
    shutil.copy("depot/van_front_left_hot.csv", "depot/Copy of van.csv")
    Path("depot/empty.csv").write_bytes(b"")
    Path("depot/photo.jpg").write_bytes(b"\xff\xd8\xff")
    Path("depot/drivers.csv").write_text("name,phone\nA,1\n", encoding="utf-8")
    Path("depot.toml").write_text(DEPOT, encoding="utf-8")
    return thermlog


def test_every_command_of_the_page_runs(folder):
    assert len(COMMANDS) >= 9
    for line in COMMANDS:
        program, *arguments = shlex.split(line)
        assert program == "thermlog"
        if arguments[0] == "demo":
            arguments.append("--force")
        ran = folder(*arguments)
        wanted = 0 if {"--exit-zero", "demo"} & set(arguments) else 1
        if "--look-up" in arguments:
            wanted = 1
        assert (line, ran.code, "Traceback" in ran.err) == (line, wanted, False)
    for name in ("tonight.html", "tonight.csv", "defects.csv"):
        assert Path(name).stat().st_size > 1000


def test_the_list_is_as_the_page_says(folder):
    text = folder("fleet", "depot").out
    order = ["STOP:", "CHECK:", "WATCH:", "DRIVE OR READ AGAIN:", "TO DO", "NOTHING FOUND:", "FILES NOT READ"]
    places = [text.index(title) for title in order]
    assert places == sorted(places)
    assert "!! STOP DRIVING: hub rear left 188 °C" in text
    assert "13 of 24 °C above the air missing" in text
    assert "depot/empty.csv: the file is empty" in text
    assert "depot/drivers.csv" in text
    assert "1 of the same content as another, 2 not read" in " ".join(text.split())
    assert "1 .jpg (first depot/photo.jpg)" in text


def test_units_are_named_as_the_page_says(folder):
    text = folder("fleet", "depot", "--depot", "depot.toml").out
    assert re.search(r"\d+  van 12  \+ front left drags", text)
    assert "UNITS WITHOUT A LOG, of depot.toml (1)\n  truck 99" in text
    assert "LOGS OF NO UNIT of depot.toml" in text


def test_the_table_opens_with_semicolons_and_has_a_line_for_every_defect_filed(folder):
    folder("fleet", "depot", "--format", "csv", "--csv-style", "comma", "-o", "tonight.csv")
    folder("fleet", "depot", "--filing", "defects.csv")
    with Path("tonight.csv").open(encoding="utf-8-sig", newline="") as table:
        rows = [row for row in csv.DictReader(table, delimiter=";") if row["rank"]]
    with Path("defects.csv").open(encoding="utf-8", newline="") as table:
        filed = list(csv.DictReader(table))
    called = [
        row for row in rows if row["group"] in {"urgent", "called"} and row["verdict"] in {"hot", "cold"}
    ]
    assert sorted((row["unit"], row["corner"]) for row in called) == sorted(
        (row["unit"], row["corners"]) for row in filed
    )
