"""The list of work from the command line: table, look-up, exit code, counts, width."""

from __future__ import annotations

import csv
import io
import json
import re
import sys
from pathlib import Path

import pytest
import python_calamine
from jsonschema import Draft202012Validator
from logs import COLD_K, DRAGGING_K, HEALTHY_K, depot, log_text, write_log

from thermlog.fleet import fleetlist
from thermlog.reports.contract.schemas import schema_text
from thermlog.reports.fleetcolumns import COLUMNS_VERSION, FLEET

HERE = Path()


def test_columns_of_the_table_are_those_of_the_page():
    page = (Path(__file__).parent.parent / "docs" / "fleet.md").read_text(encoding="utf-8")
    table = page.partition("| column | what it holds |")[2].partition("\n\n")[0]
    named = re.findall(
        r"`([a-z_0-9]+)`", " ".join(line.split("|")[1] for line in table.splitlines()[2:] if "|" in line)
    )
    assert named == [column.name for column in FLEET]
    assert f"| `columns_version` | {COLUMNS_VERSION} |" in page


def test_a_table_for_spreadsheets_with_a_decimal_comma_says_the_same(thermlog):
    depot()
    plain = list(csv.reader(io.StringIO(thermlog("fleet", "depot", "--format", "csv").out)))
    ran = thermlog("fleet", "depot", "--format", "csv", "--csv-style", "comma")
    assert ran.out.startswith("\ufeffrank;group;unit;")
    comma = list(csv.reader(io.StringIO(ran.out[1:]), delimiter=";"))
    numbers = {k for k, column in enumerate(FLEET) if column.kind == "figure"}
    assert [
        [cell.replace(",", ".") if k in numbers else cell for k, cell in enumerate(row)] for row in comma
    ] == plain
    assert any("," in row[6] for row in comma)


def test_one_vehicle_is_looked_up_whatever_was_found_on_it(thermlog):
    depot()
    ran = thermlog("fleet", "depot", "--look-up", "a", "--look-up", "C", "--look-up", "nobody")
    assert "NOTHING FOUND: not a clearance, nothing stood out on this drive, rank 3 of 4 drives" in ran.out
    assert "   3  A  = nothing stood out; hottest 121 °C; left - right" in ran.out
    assert "see  depot/a_healthy.csv" in ran.out
    assert "lack " in ran.out
    assert "nobody: no log that was judged is of this unit" in ran.out
    assert "B  +" not in ran.out


@pytest.mark.parametrize(
    ("logs", "fail_on", "code"),
    [
        ("a", ("watch",), 0),
        ("b", ("urgent",), 0),
        ("b", ("called",), 1),
        ("b", ("watch",), 1),
        ("s", ("urgent",), 1),
        ("s", ("watch",), 1),
        ("c", ("watch",), 0),  # could not be told
        ("c", (), 1),
        ("ae", ("watch",), 0),
        ("ae", ("unreadable",), 1),
        ("ae", ("urgent", "unreadable"), 1),
        ("be", ("unreadable",), 1),
        ("b", ("unreadable",), 0),
        ("e", ("urgent",), 3),  # nothing could be read
    ],
)
def test_what_makes_the_exit_code_is_chosen(thermlog, logs, fail_on, code):
    depot()
    Path("depot/s.csv").write_text("# seen: smoke\n" + log_text(HEALTHY_K), encoding="utf-8")
    files = {
        "a": "a_healthy", "b": "b_dragging", "c": "c_cold", "e": "e_empty", "s": "s",
    }  # fmt: skip
    asked = [word for level in fail_on for word in ("--fail-on", level)]
    assert thermlog("fleet", *(f"depot/{files[log]}.csv" for log in logs), *asked).code == code


def test_json_ranks_every_drive_and_counts_add_up(thermlog):
    depot()
    write_log(HERE, "depot/z_copy.csv", COLD_K, vehicle="C")
    Path("depot/notes.pdf").write_bytes(b"")
    found = json.loads(thermlog("fleet", "depot", "--format", "json").out)
    Draft202012Validator(json.loads(schema_text("fleet"))).validate(found)
    work, tally = found["work"], found["work"]["tally"]

    assert [one["rank"] for one in work["drives"]] == [1, 2, 3, 4]
    assert [one["group"] for one in work["drives"]] == ["called", "again", "nothing", "nothing"]
    assert work["drives"][0]["lines"][0]["corner"] == "2R"
    assert work["drives"][1]["again"]["by"] == "drive"
    assert tally["drives"] == sum(tally["groups"].values()) == len(found["logs"])
    assert tally["files"] == tally["read"] + tally["unreadable"] == 7
    assert (tally["copies"], tally["logs"], tally["passed_over"]) == (1, 4, 1)
    assert found["passed_over"] == [{"kind": ".pdf", "files": 1, "first": "depot/notes.pdf"}]
    assert sum(one["drives"] for one in work["actions"]) == 2
    lines = {one["file"]: one["lines"][0]["line"] for one in work["drives"]}
    hottest = (
        Path("depot/b_dragging.csv")
        .read_text(encoding="utf-8")
        .splitlines()[lines["depot/b_dragging.csv"] - 1]
    )
    assert hottest.startswith("2R,90,")  # its first reading, 90 s after parking


@pytest.mark.parametrize("width", ["60", "80", "140"])
def test_lines_are_no_wider_than_the_screen(thermlog, monkeypatch, width):
    monkeypatch.setenv("COLUMNS", width)
    depot()
    lines = thermlog("fleet", "depot").out.splitlines()
    assert max(map(len, lines)) <= int(width)
    assert max(map(len, lines)) > int(width) - 20


def test_every_line_of_an_odd_axle_has_the_reading_and_the_line_of_its_own_place(thermlog):
    """The front brakes are at 152 °C, those of the rear axle at most at 28.6 (line 14); either may be odd."""
    log = str(Path(__file__).parent.parent / "sample_logs" / "lorry_rear_axle_cold.csv")
    told = list(csv.DictReader(io.StringIO(thermlog("fleet", log, "--format", "csv").out)))
    lines = Path(log).read_text(encoding="utf-8").splitlines()
    assert len(told) == 2
    for row in told:
        mine = [(n, line.split(",")) for n, line in enumerate(lines, 1) if f",{row['axle']}" in line[:6]]
        number, cells = max(mine, key=lambda one: float(one[1][3]))
        assert (float(row["hottest_degc"]), row["line"]) == (float(cells[3]), str(number))
    second = next(row for row in told if row["axle"] == "2")
    for form in ("text", "html"):
        out = " ".join(thermlog("fleet", log, "--format", form).out.split())
        both = "front left and front right may drag, or rear left and rear right may not work"
        assert f"{both}; hottest 29 °C; left - right (rear)" in out
        assert f"line {second['line']}" in out


def test_a_workbook_holds_the_cells_of_the_table(thermlog):
    depot()
    write_log(HERE, "depot/x.csv", HEALTHY_K, vehicle="=1+1")
    table = list(csv.reader(io.StringIO(thermlog("fleet", "depot", "--format", "csv").out)))
    ran = thermlog("fleet", "depot", "--format", "xlsx", "-o", "list.xlsx")
    assert (ran.code, ran.out) == (1, "")
    sheets = python_calamine.CalamineWorkbook.from_path("list.xlsx")
    rows = sheets.get_sheet_by_name("work").to_python()
    texts = {k for k, column in enumerate(FLEET) if column.kind == "text"}
    for cells, wanted in zip(rows, table, strict=True):
        for k, (cell, text) in enumerate(zip(cells, wanted, strict=True)):
            if k in texts or wanted is table[0]:
                assert cell == text.removeprefix("'") or cell == text
            else:
                assert cell == (float(text) if text else "")
    assert any("drives of" in str(row[0]) for row in sheets.get_sheet_by_name("about").to_python())
    first = Path("list.xlsx").read_bytes()
    assert thermlog("fleet", "depot", "--format", "xlsx", "-o", "list.xlsx").code == 3  # it exists
    thermlog("fleet", "depot", "--format", "xlsx", "-o", "list.xlsx", "--force")
    assert Path("list.xlsx").read_bytes() == first


def test_a_workbook_needs_a_file_and_its_library(thermlog, monkeypatch):
    depot()
    assert thermlog("fleet", "depot", "--format", "xlsx").code == 2
    monkeypatch.setitem(sys.modules, "xlsxwriter", None)
    ran = thermlog("fleet", "depot", "--format", "xlsx", "-o", "list.xlsx")
    assert ran.code == 3
    assert 'python -m pip install ".[xlsx]"' in ran.err
    assert not Path("list.xlsx").exists()


COAST_K = {"1L": 4.0, "1R": 5.0, "2L": 3.0, "2R": 4.0}


def test_a_log_of_the_same_name_never_answers_for_another_whatever_shares_its_piece(thermlog, monkeypatch):
    """Weeks later, after a repair, or of another vehicle of the name: only drives of one log go together."""
    write_log(HERE, "d/a_monday.csv", DRAGGING_K, vehicle="van 7")
    text = log_text(COAST_K, vehicle="van 7").replace("# drive: normal", "# drive: coast")
    Path("d/b_friday.csv").write_text(text, encoding="utf-8")
    whole = [thermlog("fleet", "d", "--format", form).out for form in ("text", "csv", "json")]
    assert "rear right drags" in whole[0]
    assert "settled_by_coast" not in whole[2]
    assert thermlog("fleet", "d/a_monday.csv", "--format", "csv").out.splitlines()[1] in whole[1].splitlines()
    monkeypatch.setattr(fleetlist, "LOGS_PER_PIECE", 1)
    for form, wanted in zip(("text", "csv", "json"), whole, strict=True):
        assert thermlog("fleet", "d", "--format", form).out == wanted
    both = json.loads(thermlog("check", "d/a_monday.csv", "d/b_friday.csv", "--format", "json").out)
    alone = json.loads(thermlog("check", "d/a_monday.csv", "--format", "json").out)
    assert both[0]["answers"] != alone["answers"]  # laid together by hand they do


@pytest.mark.parametrize("form", ["text", "csv", "json", "html"])
def test_results_depend_on_no_size_of_a_piece_no_order_and_no_number_of_processes(
    thermlog, monkeypatch, form
):
    paths = depot()
    paths.append(write_log(HERE, "depot/z_copy.csv", COLD_K, vehicle="C"))
    for unit in range(6):
        text = f"# seen: {'smoke' if unit == 4 else 'nothing'}\n" + log_text(
            {k: v * (1 + 0.1 * unit) for k, v in HEALTHY_K.items()},
            rounds=1 + unit % 3,
            vehicle=f"v {unit % 3}",
        )
        Path(f"depot/v{unit}.csv").write_text(text, encoding="utf-8")
        paths.append(f"depot/v{unit}.csv")
    paths.sort()  # JSON has the logs in the order in which they are named, and the first of copies is judged
    whole = thermlog("fleet", *paths, "--format", form).out
    for size, jobs in ((1, "1"), (2, "3"), (5, "2"), (500, "4")):
        monkeypatch.setattr(fleetlist, "LOGS_PER_PIECE", size)
        assert thermlog("fleet", *paths, "--format", form, "--jobs", jobs).out == whole
    if form != "json":
        others = [path for path in reversed(paths) if "z_copy" not in path] + ["depot/z_copy.csv"]
        assert thermlog("fleet", *others, "--format", form).out == whole


def test_a_unit_in_other_capitals_and_blanks_is_the_same_unit(thermlog):
    write_log(HERE, "depot/1.csv", HEALTHY_K, vehicle="CAR  11")
    write_log(HERE, "depot/2.csv", DRAGGING_K, vehicle="car 11")
    write_log(HERE, "depot/3.csv", HEALTHY_K, vehicle="Car 11", rounds=4)
    said = thermlog("fleet", "depot").out
    assert "3 drives of 1 unit judged: 1 to check, 2 with nothing found" in said
    assert "1 unit, each by the most pressing of its drives: 1 to check\n" in said
    assert "all  3 drives: 1 to check, 2 with nothing found;" in said
    assert "NOTHING FOUND" not in said


def test_a_wheel_is_named_once_in_a_line_of_what_cannot_be_told(thermlog):
    """Of several drives that ask for the same each is a line: the wheel, then what it lacks."""
    for name in ("1", "2", "3"):
        text = log_text(HEALTHY_K, rounds=3, vehicle=f"van {name}").splitlines()
        rows = [k for k, line in enumerate(text) if line.startswith("1R,")]
        corner, at, degc = text[rows[2]].split(",")
        text[rows[2]] = f"{corner},{at},{float(degc) + 60 + 5 * int(name):g}"
        Path("depot").mkdir(exist_ok=True)
        Path(f"depot/{name}.csv").write_text("\n".join(text), encoding="utf-8")
    said = " ".join(thermlog("fleet", "depot").out.split())
    assert said.count("°C at front right lies") == 3
    assert "front right; line" not in said
