"""A sheet that is passed over beside one that is read is looked through for what stops a vehicle.

All workbooks are invented: a van that cools evenly on one sheet, words or a table nobody can read on another.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from bookparts import written
from readcases import read

HEAD = ["time_s", "position", "temp_c"]
WHEELS = {"LF": (109, 96, 85), "RF": (105, 93, 82), "LR": (68, 61, 56), "RR": (70, 63, 57)}


def walk(*above):
    """Three rounds, five minutes apart."""
    rows = [
        [300 * turn + 20 * place, wheel, degc[turn]]
        for turn in range(3)
        for place, (wheel, degc) in enumerate(WHEELS.items())
    ]
    return [*([one] for one in above), ["# ambient: 15 C"], HEAD, *rows]


def unread(*above, degc=80):
    """A table whose times may be seconds or times of day."""
    return [*([one] for one in above), ["time", "position", "temp_c"], [1405, "LF", degc], [1405, "RF", 80]]


@pytest.fixture
def check(thermlog):
    def run(sheets, *options):
        Path("a.xlsx").write_bytes(written(sheets))
        return thermlog("check", "a.xlsx", "-q", *options)

    return run


NOTES = [
    [["Technician", "M."], ["smoke at LR"]], [["RR caliper stuck"]], [["# seen: a thing without a word"]],
    [["LR", "too hot to touch"]], [["do not drive"]], unread(degc=310), unread("# vehicle: van 7", degc=310),
]  # fmt: skip


@pytest.mark.parametrize("notes", NOTES)
@pytest.mark.parametrize("first", [True, False])
def test_what_it_says_stops_the_vehicle_and_clears_nothing(check, notes, first):
    log = walk("# vehicle: van 7")
    ran = check({"aside": notes, "log": log} if first else {"log": log, "aside": notes})
    assert ran.code == 3
    stop, why = ran.err.splitlines()[:2]
    assert stop.startswith("thermlog: STOP")
    assert "not read, but it says" in stop
    assert 'sheet "aside": ' in why
    assert "cannot be told" in ran.out
    assert '"aside: ' in ran.out
    assert "Keep this log" not in ran.out


@pytest.mark.parametrize(
    "notes",
    [
        [["Technician", "M."], ["Weather", "dry"]], [["# seen: nothing"]], [["no smoke, no smell"]],
        unread(), [["Choices"], ["smoke"], ["glow"], ["flame"], ["smell"]],
    ],
)  # fmt: skip
def test_a_sheet_that_says_nothing_of_the_kind_is_passed_over_as_before(check, notes):
    ran = check({"log": walk(), "aside": notes})
    assert (ran.code, ran.err, "Keep this log" in ran.out) == (0, "", True)


def test_three_words_alone_are_no_list_to_choose_from(check):
    assert check({"log": walk(), "aside": [["smoke"], ["glow"], ["smell"]]}).code == 3


@pytest.mark.parametrize("above", [(), ("# vehicle: van 9",)])
def test_a_sheet_of_another_vehicle_stops_that_one_alone(check, thermlog, above):
    """Its name, or that of its sheet where the others are called by theirs."""
    sheets = {"van 7": walk(), "van 8": walk(), "van 9": unread(*above, degc=310)}
    ran = check(sheets)
    assert ran.code == 3
    assert ran.err.startswith('thermlog: STOP van 9: not read, but it says "LF 310" (line ')
    assert ran.out.count("Keep this log") == 2
    listed = thermlog("fleet", "a.xlsx", "--format", "json")
    (refused,) = json.loads(listed.out)["unreadable"]
    assert (refused["vehicle"], refused["dangers"][0]["said"]) == ("van 9", "LF 310")
    assert thermlog("fleet", "a.xlsx", "--fail-on", "urgent", "-q").code == 1


def test_words_of_no_vehicle_are_of_every_vehicle_of_the_workbook(check):
    ran = check({"van 7": walk(), "van 8": walk(), "aside": [["smoke at LR"]]})
    assert ran.out.count('"aside: smoke at LR"') == 2 * 2  # what was found, and what to do
    assert "Keep this log" not in ran.out


def test_where_it_stands_is_told_by_the_name_of_the_sheet():
    found = read(written({"log": walk("# vehicle: van 7"), "aside": [["x"], ["smoke at LR"]]}))
    (blind,) = found.readings.cases[0].blind
    assert (blind.code, blind.line, blind.quoted) == ("unread_sight", 2, "aside: smoke at LR")
    (refusal,) = found.passed
    assert str(refusal).startswith("log.csv, line 1")


@pytest.mark.parametrize("command", ["narrow", "inspect", "compare"])
def test_other_commands_go_on_and_name_it(thermlog, command):
    Path("a.xlsx").write_bytes(written({"log": walk(), "aside": [["smoke at LR"]]}))
    Path("b.xlsx").write_bytes(written({"log": walk()}))
    ran = thermlog(command, *(["b.xlsx"] if command == "compare" else []), "a.xlsx")
    assert "aside: smoke at LR" in ran.out


def test_a_depot_reads_no_such_workbook_twice(thermlog):
    Path("depot.toml").write_text(
        'schema = "thermlog-depot-1"\nname = "yard"\n[[units]]\nid = "van 7"\npositions = { "VA" = "1L" }\n'
    )
    Path("van 7.xlsx").write_bytes(written({"log": walk(), "aside": [["smoke at LR"]]}))
    ran = thermlog("fleet", "van 7.xlsx", "--depot", "depot.toml", "--format", "json")
    told = json.loads(ran.out)
    assert len(told["logs"]) == 1
    assert len(told["unreadable"]) == 1


def test_a_sheet_too_long_to_be_looked_through_is_named(monkeypatch):
    monkeypatch.setattr("thermlog.reading.careful._MOST_HEARD", 3)
    sheets = {"log": walk(), "notes": [["x"], ["smoke at LR"]], "more": [["y"], ["smoke at RR"]]}
    found = read(written(sheets))
    assert [one.quoted for one in found.readings.cases[0].blind] == ["notes: smoke at LR"]
    assert found.record.notes[-1] == 'sheet "more" not looked through for what stops a vehicle'
