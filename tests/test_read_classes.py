"""Every class of CSV trouble that a published survey of open-data files names, on a log of our own.

The classes are those of the annotations and generated files of the Pollock benchmark of data loading
(PVLDB 16, 2023; from memory, not checked).
"""

from __future__ import annotations

import pytest
from readcases import check_counts, outcome, read

from thermlog.reading.gathered import LogReadings
from thermlog.words.errors import LogRefusedError

HEADER = ["time_s", "position", "temp_c", "vehicle"]
CELLS = [
    ["0", "FL", "80.5", "van"],
    ["10", "FR", "81.0", "van"],
    ["20", "RL", "70.5", "van"],
    ["30", "RR", "71.0", "van"],
]
TRUE = {(0.0, 1, 0, 80.5), (10.0, 1, 1, 81.0), (20.0, 2, 0, 70.5), (30.0, 2, 1, 71.0)}


def text(delimiter: str = ",", header: list[str] | None = None) -> str:
    return "".join(delimiter.join(row) + "\n" for row in [header or HEADER, *CELLS])


def readings(found: LogReadings) -> set[tuple[float, int, int, float]]:
    r = found.readings
    return set(
        zip(r.elapsed_s.tolist(), r.axle.tolist(), r.side.tolist(), r.indicated_degc.tolist(), strict=True)
    )


SAME = {
    "header cell not plain": text(header=["Time [s]", "Position (wheel)", "Temp. (°C)", "Vehicle #"]),
    "header cell empty": text(header=["time_s", "position", "temp_c", ""]),
    "no final newline": text().rstrip("\n"),
    "doubled final newline": text() + "\n\n",
    "CR ends": text().replace("\n", "\r"),
    "CRLF ends": text().replace("\n", "\r\n"),
    "mixed ends": text().replace("\n", "\r\n", 2).replace("FR,81.0,van\n", "FR,81.0,van\r"),
    "separator semicolon": text(";"),
    "separator tab": text("\t"),
    "separator bar": text("|"),
    "separator space": text(" "),
    "separator comma and space": text(", "),
    "separator several spaces": text("    "),
    "quotes everywhere": '"' + text('","').strip().replace("\n", '"\n"') + '"\n',
    "apostrophe as quote": "'" + text("','").strip().replace("\n", "'\n'") + "'\n",
    "backslash as escape": text().replace("FR,81.0,van", 'FR,81.0,"van \\"7\\", blue"'),
    "preamble": "Brakes of the week\n\nSheet 4\n" + text(),
    "preamble wider than the table": "a,b,c,d,e,f\n" + text(),
    "two header lines": text().replace(
        "time_s,position,temp_c,vehicle", "time,position,temp,vehicle\ns,,°C,"
    ),
    "three header lines": text().replace(
        "time_s,position,temp_c,vehicle", "time,position,temp,vehicle\n,of,of,\ns,wheel,°C,"
    ),
    "over 256 columns": "\n".join(
        row + ",x" * 300 if k else row + "".join(f",c{n}" for n in range(300))
        for k, row in enumerate(text().splitlines())
    ),
    "ISO-8859-1": text().replace("van", "Bär").encode("latin-1"),
    "UTF-8": text().replace("van", "Bär").encode(),
    "UTF-8 with mark": text().replace("van", "Bär").encode("utf-8-sig"),
    "Windows-1252": text().replace("van", "Bär €").encode("cp1252"),
}


@pytest.mark.parametrize("name", SAME)
def test_trouble_that_changes_no_reading(name: str) -> None:
    found = read(SAME[name])
    assert readings(found) == TRUE
    assert (found.record.rows_read, found.record.rows_used) == (4, 4)


def one_row_changed(row: int, line: str) -> LogReadings:
    lines = text().splitlines()
    lines[row + 1] = line
    found = read("\n".join(lines))
    check_counts(found)
    return found


@pytest.mark.parametrize("row", range(4))
@pytest.mark.parametrize("column", range(3))
def test_a_separator_missing_or_too_many_costs_that_row_only(row: int, column: int) -> None:
    cells = CELLS[row]
    joined = ",".join([*cells[:column], cells[column] + cells[column + 1], *cells[column + 2 :]])
    doubled = ",".join([*cells[: column + 1], "", *cells[column + 1 :]])
    for line in (joined, doubled):
        found = one_row_changed(row, line)
        assert len(readings(found)) == 3
        assert readings(found) < TRUE
        assert [aside.line for aside in found.record.set_aside] == [row + 2]


@pytest.mark.parametrize("row", range(4))
@pytest.mark.parametrize("column", range(1, 4))
def test_an_extra_quote_costs_no_other_row(row: int, column: int) -> None:
    for cell in ('"' + CELLS[row][column], CELLS[row][column] + '"'):
        cells = [*CELLS[row][:column], cell, *CELLS[row][column + 1 :]]
        found = one_row_changed(row, ",".join(cells))
        assert readings(found) <= TRUE
        assert len(readings(found)) >= 3
        assert found.record.rows_read == 4


def test_an_extra_quote_behind_a_time_may_mean_seconds_and_never_misreads() -> None:
    for row, cells in enumerate(CELLS):
        lines = text().splitlines()
        lines[row + 1] = ",".join([cells[0] + '"', *cells[1:]])
        found = outcome("\n".join(lines).encode())
        assert isinstance(found, LogRefusedError) or readings(found) <= TRUE


@pytest.mark.parametrize("separator", [" ", ";", "\t"])
def test_one_row_with_another_separator_is_set_aside(separator: str) -> None:
    found = one_row_changed(1, separator.join(CELLS[1]))
    assert len(readings(found)) == 3
    assert found.record.set_aside[0].line == 3


@pytest.mark.parametrize(
    "second",
    [
        "a,b\n1,2\n",
        "a,b,c,d\n1,2,3,4\n",
        "a,b,c,d,e\n1,2,3,4,5\n",
    ],
)
def test_a_second_table_is_never_read_under_the_first_header(second: str) -> None:
    found = read(text() + "\n" + second)
    assert readings(found) == TRUE
    assert found.record.rows_read == 6
    assert len(found.record.set_aside) == 2


@pytest.mark.parametrize(
    ("second", "more"),
    [
        ("time_s,FL (°C),FR (°C)\n90,79,80\n", [(90.0, 1, 0, 79.0), (90.0, 1, 1, 80.0)]),
        ("time_s,wheel,temp_f,x\n90,FL,185,\n", [(90.0, 1, 0, 85.0)]),
        ("position,temp_k,time_s\nFL,353.15,90\n", [(90.0, 1, 0, 80.0)]),
    ],
)
def test_a_second_header_starts_a_table_of_its_own(second: str, more: list[tuple[float, ...]]) -> None:
    found = readings(read(text() + "\n" + second))
    assert {(t, a, s, round(v, 6)) for t, a, s, v in found} == TRUE | set(more)


@pytest.mark.parametrize(
    ("second", "code"),
    [
        ("clock,wheel,temp_f,x\n14:00,FL,181,\n", "second_table"),
        ("time_min,wheel,temp_c\n1,FL,81\n", "second_table"),
    ],
)
def test_a_second_table_on_another_clock_is_refused_by_line(second: str, code: str) -> None:
    with pytest.raises(LogRefusedError) as refusal:
        read(text() + "\n" + second)
    assert refusal.value.code == code
    assert refusal.value.line is not None
    assert refusal.value.line > 5


@pytest.mark.parametrize("note", ["checked twice", "Mean,,75.75,", "Total,4,,", "# end"])
def test_notes_and_totals_below_are_no_readings(note: str) -> None:
    assert readings(read(text() + note + "\n")) == TRUE


@pytest.mark.parametrize(
    "content",
    [
        "",
        "\n",
        "time_s,position,temp_c\n",
        "temp_c\n80\n81\n",
        text(header=["time_s", "position", "temp_c", "temp_c"]),
    ],
)
def test_classes_that_cannot_be_read_are_refused(content: str) -> None:
    assert isinstance(outcome(content.encode()), LogRefusedError)


def test_one_data_row_and_many() -> None:
    assert read("time_s,position,temp_c\n0,FL,80\n").record.rows_used == 1
    many = "".join(f"{k},FL,{80 + k % 9}\n" for k in range(66_000))
    assert read("time_s,position,temp_c\n" + many).record.rows_used == 66_000


def test_no_header_needs_clear_columns() -> None:
    body = "".join(",".join(row[:3]) + "\n" for row in CELLS)
    assert readings(read(body.replace("10,", "11,"), unit="C")) == (TRUE - {(10.0, 1, 1, 81.0)}) | {
        (11.0, 1, 1, 81.0)
    }


def test_value_formats_mixed_in_one_column() -> None:
    found = read(text().replace("81.0", "81 °C").replace("70.5", "n/a").replace("71.0", ">600"))
    assert readings(found) == {(0.0, 1, 0, 80.5), (10.0, 1, 1, 81.0)}
    assert [aside.value for aside in found.record.set_aside] == ["n/a", ">600"]
