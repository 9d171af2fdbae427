"""Whole files: refusals, workbooks, long runs and many files at once."""

from __future__ import annotations

import gzip
import io
import subprocess
import sys
from pathlib import Path

import pytest
import xlsxwriter
from readcases import PLAIN, check_counts, outcome, read, rows, workbook

from thermlog.reading.files.paths import expand_paths
from thermlog.reading.gathered import LogReadings
from thermlog.reading.read import read_content, read_log, read_logs
from thermlog.words.errors import LogRefusedError

# ---- refusals of whole files ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "",
        "time_s,position,temp_c\n",
        PLAIN.replace("L", "x").replace("R", "y"),
        "time_s,position,temp_c\n0,FL,hot\n",
    ],
)
def test_nothing_usable_is_refused_in_one_line(text: str) -> None:
    with pytest.raises(LogRefusedError) as refusal:
        read(text)
    assert str(refusal.value).startswith("log.csv")
    assert "\n" not in str(refusal.value)


def test_one_reading_is_read() -> None:
    assert rows(read("time_s,position,temp_c\n0,FL,80\n")) == [(0.0, "1L", 80.0)]


def test_text_in_one_cell_costs_that_row_only() -> None:
    found = read(PLAIN.replace("81", "hot"))
    assert (found.record.rows_read, found.record.rows_used) == (4, 3)
    aside = found.record.set_aside[0]
    assert (aside.line, aside.column, aside.value) == (3, "temp_c", "hot")


def test_a_cell_longer_than_the_csv_module_takes_is_refused() -> None:
    with pytest.raises(LogRefusedError, match="cannot be told apart"):
        read(PLAIN + "40," + "F" * 200_000 + ",80\n")


def test_a_stray_pair_of_quotes_swallows_no_rows_between() -> None:
    found = read('time_s,position,temp_c\n0,FL,"80\n10,FR,81\n20,RL,70"\n30,RR,71\n')
    assert rows(found) == [(10.0, "1R", 81.0), (30.0, "2R", 71.0)]
    assert [aside.line for aside in found.record.set_aside] == [2, 4]


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize(
    "rows_between",
    [
        [["0", "FL", "80", '"hot'], ["10", "FR", "81", 'smell"']],
        [["0", "FL", "80", '"5"" disc'], ["10", "FR", "81", '5"" disc"']],
        [["0", "FL", "80", '"a'], ["10", "FR", "81", "b"], ["15", "RR", "82", 'c"']],
    ],
)
def test_a_quote_opened_in_one_row_and_closed_in_another_loses_no_reading_unsaid(
    delimiter: str, rows_between: list[list[str]]
) -> None:
    """A remark that begins with a quote, and another, a row or two below, that ends with one."""
    table = [["time_s", "position", "temp_c", "note"], *rows_between, ["20", "RL", "70", ""]]
    found = read("".join(delimiter.join(row) + "\n" for row in table))
    assert found.record.rows_read == len(rows_between) + 1
    told = {temp for _, _, temp in rows(found)}
    assert all(float(row[2]) in told or _named(found, row[2]) for row in rows_between)
    check_counts(found)


def _named(found: LogReadings, figure: str) -> bool:
    return any(figure in (aside.value or "") for aside in found.record.set_aside)


def test_a_remark_over_two_lines_is_still_a_remark() -> None:
    found = read('time_s,position,temp_c,note\n0,FL,80,"wet\nfine, dry, and well"\n10,FR,81,\n')
    assert (found.record.rows_used, found.record.set_aside) == (2, ())


@pytest.mark.parametrize("columns", [1_001, 20_000, 100_000])
@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("heads", [True, False])
def test_a_table_as_wide_as_no_log_says_what_helps(columns: int, delimiter: str, heads: bool) -> None:
    body = delimiter.join(["80"] * columns) + "\n"
    head = delimiter.join(["time_s", *(f"FL{k}" for k in range(columns - 1))]) + "\n" if heads else ""
    with pytest.raises(LogRefusedError, match=f"{columns} columns, .* turn the table") as refusal:
        read(head + body)
    assert refusal.value.line == 1
    assert refusal.value.hint is None
    assert len(str(refusal.value)) < 400


# ---- workbooks ------------------------------------------------------------------------------------------


def test_a_workbook_reads_like_the_csv() -> None:
    cells: list[list[object]] = [["# ambient: 18 C"], ["time_s", "position", "temp_c"]]
    cells += [[0, "FL", 80.5], [10, "FR", 81], [20, "RL", 70], [30, "RR", 71]]
    found = read(workbook(cells))
    assert rows(found) == rows(read(PLAIN))
    assert found.readings.line.tolist() == [3, 4, 5, 6]
    assert found.readings.cases[0].ambient_degc == 18.0
    assert (found.understood.encoding, found.understood.delimiter) == ("workbook", "cells")


def test_a_decimal_mark_does_not_touch_the_numbers_of_a_workbook() -> None:
    cells: list[list[object]] = [["time_s", "position", "temp_c"], [0, "FL", 80.5]]
    assert rows(read(workbook(cells), decimal=",")) == [(0.0, "1L", 80.5)]


def test_a_wheel_that_cannot_be_told_is_named_by_its_heading() -> None:
    with pytest.raises(LogRefusedError) as refusal:
        read("time_s,kerb front (C),OSF (C)\n0,80,81\n")
    assert refusal.value.column == "kerb front (C)"
    with pytest.raises(LogRefusedError) as refusal:
        read("time_s,axle,side,temp_c\n0,1,X,80\n")
    assert refusal.value.column == "axle"


def test_workbooks_that_hold_nothing_or_are_none_are_refused() -> None:
    with pytest.raises(LogRefusedError, match="workbook is empty"):
        read(workbook([]))
    with pytest.raises(LogRefusedError, match="save the sheet as CSV"):
        read(b"PK\x03\x04 not really")
    with pytest.raises(LogRefusedError, match="--columns"):
        read(workbook([["a", "b"], [1, 2]]))


def test_a_stray_cell_far_away_is_refused_before_it_fills_the_memory() -> None:
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer, {"in_memory": True}) as book:
        sheet = book.add_worksheet("log")
        sheet.write_row(0, 0, ["time_s", "position", "temp_c"])
        sheet.write(1_048_575, 16_383, "x")  # the last cell a sheet can have
    with pytest.raises(LogRefusedError, match="column XFD and row 1048576"):
        read(buffer.getvalue())


def test_a_wide_sheet_of_few_rows_reads() -> None:
    cells: list[list[object]] = [["time_s", "position", "temp_c", *[f"n{k}" for k in range(40)]]]
    cells += [[0, "FL", 80.5], [10, "FR", 81, *range(40)]]
    assert rows(read(workbook(cells))) == [(0.0, "1L", 80.5), (10.0, "1R", 81.0)]


# ---- what would take long ------------------------------------------------------------------------------


@pytest.mark.parametrize("fill", [" ", "\t", ",", '"', "'", "(", "1", "1:", "é", ";"])
@pytest.mark.parametrize("place", ["cell", "heading", "before", "comment"])
def test_long_runs_of_one_character_cost_no_more_than_their_length(fill: str, place: str) -> None:
    """A hundred thousand of it: a search that went over it again from each of its places would take hours."""
    run = fill * (100_000 // len(fill))
    text = {
        "cell": PLAIN + f"40,FL,8{run}1\n",
        "heading": PLAIN.replace("position", f"position,{run}x"),
        "before": f"{run}x\n\n{PLAIN}",
        "comment": f"# ambient{run}: 18 C\n{PLAIN}",
    }[place]
    outcome(text.encode())


def test_many_remarks_make_few_notes() -> None:
    found = read("# hm\n" * 500 + PLAIN)
    assert len(found.record.notes) == 9
    assert found.record.notes[-1].startswith("492 more comments")


# ---- files ----------------------------------------------------------------------------------------------


def test_many_files_one_bad_stops_nothing(tmp_path: Path) -> None:
    (tmp_path / "b.csv").write_text("nothing here", encoding="utf-8")
    (tmp_path / "sub").mkdir()
    for name in ("a.csv", "sub/c.txt"):
        (tmp_path / name).write_text(PLAIN, encoding="utf-8")
    (tmp_path / "d.csv.gz").write_bytes(gzip.compress(PLAIN.encode()))
    (tmp_path / "notes.md").write_text("no log", encoding="utf-8")
    paths = list(expand_paths([str(tmp_path)]).files)
    assert [Path(p).name for p in paths] == ["a.csv", "b.csv", "d.csv.gz", "c.txt"]

    found = read_logs([*paths, str(tmp_path / "gone.csv")])
    readings, logs, unreadable = found.readings(), found.logs, found.unreadable()
    assert [Path(log.record.file).name for log in logs] == ["a.csv", "d.csv.gz", "c.txt"]
    assert [Path(bad.file).name for bad in unreadable] == ["b.csv", "gone.csv"]
    assert all(bad.reason.startswith(bad.file) for bad in unreadable)
    assert readings.rows == 12
    assert readings.case.tolist() == [0] * 4 + [1] * 4 + [2] * 4
    assert rows(read_log(paths[0])) == rows(read(PLAIN))


def test_paths_are_expanded_once_each_and_in_order(tmp_path: Path) -> None:
    for name in ("2.csv", "1.csv"):
        (tmp_path / name).write_text(PLAIN, encoding="utf-8")
    one = str(tmp_path / "1.csv")
    found = expand_paths([one, str(tmp_path / "*.csv"), "-"])
    assert list(found.files) == [one, str(tmp_path / "2.csv"), "-"]
    assert not found.refused


def test_reading_loads_no_heavy_module() -> None:
    heavy = "{'pandas', 'scipy', 'matplotlib', 'tomllib'}"
    code = f"import sys, thermlog.reading.read; print(sorted({heavy} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_words_of_a_log_are_looked_up_and_not_all_words_there_could_be(tmp_path: Path) -> None:
    """Slips of words for what is seen are found from the word written; a list of all took half a check."""
    log = tmp_path / "log.csv"
    log.write_text(f"# vehicle: van 7\n# remark: SMKOE at RR\n{PLAIN}", encoding="utf-8")
    code = (
        "import sys; from thermlog.reading.read import read_log; "
        "from thermlog.reading.positions.words import parse_position; "
        "print(read_log(sys.argv[1]).readings.cases[0].seen[0].code, parse_position.cache_info().misses)"
    )
    done = subprocess.run([sys.executable, "-c", code, str(log)], capture_output=True, text=True, check=True)
    seen, parsed = done.stdout.split()

    assert seen == "smoke"
    assert int(parsed) < 100  # own choice: there are 20 and some words in this log, and 4500 slips


def test_a_long_file_reads_the_same_in_blocks() -> None:
    body = "".join(f"{k},{('FL', 'FR', 'RL', 'RR')[k % 4]},{80 + k % 7}.5\n" for k in range(45_000))
    found = read_content(("time_s,position,temp_c\n" + body + "x,FL,80\n").encode(), file="long.csv")
    assert found.record.rows_used == 45_000
    assert found.readings.elapsed_s.tolist()[-1] == 44_999.0
    assert found.readings.line.tolist()[-1] == 45_001
    assert [s.line for s in found.record.set_aside] == [45_002]
