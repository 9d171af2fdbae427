"""Workbooks: every sheet, every kind of cell; a time reads as it was typed."""

from __future__ import annotations

import datetime as dt
import io

import pytest
import python_calamine as calamine
import xlsxwriter
from bookparts import LOG, WHEELS, book, packed, relations, sheet, written
from hypothesis import given
from hypothesis import strategies as st
from readcases import PLAIN, check_counts, read, rows

from thermlog.reading.files.sheetcells import NUMBER, Shown, cell_text, format_shows
from thermlog.reading.files.workbook import workbook_sheets
from thermlog.words.errors import LogRefusedError

HEAD = ["time_s", "position", "temp_c"]


def walk(degc: float = 80.0, *, vehicle: str | None = None) -> list[list[object]]:
    cells: list[list[object]] = [[f"# vehicle: {vehicle}"]] if vehicle else []
    return [*cells, HEAD, *([10 * k, wheel, degc + k] for k, wheel in enumerate(WHEELS))]


# ---- sheets ---------------------------------------------------------------------------------------------


def test_every_sheet_that_holds_a_log_is_a_case_called_by_its_sheet():
    found = read(written({"van 7": walk(80), "van 8": walk(90), "third": walk(100, vehicle="bus 1")}))

    assert [case.vehicle for case in found.readings.cases] == ["van 7", "van 8", "bus 1"]
    assert found.readings.case.tolist() == [0] * 4 + [1] * 4 + [2] * 4
    assert found.readings.indicated_degc.tolist() == [80, 81, 82, 83, 90, 91, 92, 93, 100, 101, 102, 103]
    assert found.record.rows_used == 12
    check_counts(found)


def test_the_same_vehicle_on_two_sheets_is_two_cases_and_never_pooled():
    found = read(written({"before": walk(90, vehicle="van 7"), "after": walk(80, vehicle="van 7")}))

    assert [case.vehicle for case in found.readings.cases] == ["van 7", "van 7"]
    assert found.readings.case.tolist() == [0] * 4 + [1] * 4


@pytest.mark.parametrize("how", ["hidden", "very_hidden"])
def test_hidden_sheets_are_read_and_named(how):
    found = read(written({"shown": walk(80), "aside": walk(90)}, **{how: ("aside",)}))

    assert [case.vehicle for case in found.readings.cases] == ["shown", "aside"]
    assert 'sheet "aside" is hidden; read like any other' in found.record.notes


def test_a_hidden_sheet_that_is_the_only_log_is_read_too():
    found = read(written({"cover": [["Workshop"]], "aside": walk(90)}, hidden=("aside",)))

    assert found.readings.cases[0].vehicle is None
    assert 'sheet "aside" is hidden; read like any other' in found.record.notes


def test_sheets_that_hold_no_log_are_named_with_the_reason():
    notes: list[list[object]] = [["Technician", "M."], ["Weather", "dry"]]
    found = read(written({"log": walk(), "empty": [], "notes": notes, "hid": notes}, hidden=("hid",)))

    assert [case.vehicle for case in found.readings.cases] == [None]
    assert found.record.notes[0] == 'sheet "empty" passed over: it is empty'
    assert found.record.notes[1].startswith('sheet "notes" passed over: line 1: ')
    assert found.record.notes[2].startswith('sheet "hid", which is hidden, passed over: line 1: ')


def test_a_log_that_cannot_be_read_beside_one_that_can_is_named_with_its_line():
    bad: list[list[object]] = [["time_s", "position", "temp"], [0, "FL", 80], [10, "FR", 81]]
    found = read(written({"good": walk(), "bad": bad}))

    assert 'sheet "bad" passed over: line 2: no temperature unit is stated' in found.record.notes[0]


def test_what_is_set_aside_says_on_which_sheet():
    bad = [*walk(), [40, "FL", "hot"]]
    found = read(written({"one": walk(), "two": bad}))

    (aside,) = found.record.set_aside
    assert aside.line == 6
    assert str(aside.reason).startswith('sheet "two": ')
    check_counts(found)


def test_a_chart_sheet_is_passed_over_by_name():
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer, {"in_memory": True}) as made:
        page = made.add_worksheet("log")
        for k, row in enumerate(walk()):
            page.write_row(k, 0, row)
        chart = made.add_chart({"type": "line"})
        chart.add_series({"values": "=log!$C$2:$C$5"})
        made.add_chartsheet("curve").set_chart(chart)
    found = read(buffer.getvalue())

    assert found.record.notes == ('sheet "curve" passed over: no sheet of cells (chartsheet)',)


def test_no_log_on_any_sheet_names_the_first_and_counts():
    with pytest.raises(LogRefusedError) as refusal:
        read(written({"empty": [], "a": [["x", "y"]], "b": [["x", "y"]]}))

    assert refusal.value.line == 1
    assert 'sheet "a": ' in str(refusal.value)
    assert "no log on 2 sheets; this is the first" in str(refusal.value)


def test_how_each_sheet_was_understood_is_told():
    fahrenheit: list[list[object]] = [["time_s", "wheel", "temp_f"], [0, "FL", 180], [10, "FR", 181]]
    understood = read(written({"one": walk(), "two": fahrenheit})).understood

    assert understood.unit == "°C; °F"
    assert understood.columns["one, position"] == "position"
    assert understood.columns["two, position"] == "wheel"


def test_many_sheets_passed_over_make_few_notes():
    found = read(written({"log": walk(), **{f"n{k}": [["x"]] for k in range(30)}}))

    assert len(found.record.notes) == 13
    assert found.record.notes[-1] == "18 more sheets passed over"


# ---- times and other cells ------------------------------------------------------------------------------

CLOCK = [dt.time(14, 3, 10), dt.time(14, 3, 20), dt.time(14, 3, 30), dt.time(14, 3, 40)]
QUARTERS = [0.0, 15 / 1440, 30 / 1440, 45 / 1440]  # what a sheet keeps of 0:00, 0:15, 0:30, 0:45 typed in
SECONDS = [0.0, 15 / 86400, 30 / 86400, 45 / 86400]
# heading, what the sheet keeps, its number format, and the same cells in a text file
TYPED = {
    "minutes and seconds kept as hours": ("time_s", QUARTERS, "h:mm", ["0:00", "0:15", "0:30", "0:45"]),
    "under a heading in minutes": ("time (min)", QUARTERS, "hh:mm", ["0:00", "0:15", "0:30", "0:45"]),
    "durations": ("time_s", SECONDS, "[h]:mm:ss", ["0:00:00", "0:00:15", "0:00:30", "0:00:45"]),
    "durations in minutes": ("time_s", SECONDS, "[mm]:ss", ["0:00:00", "0:00:15", "0:00:30", "0:00:45"]),
    "minutes and seconds": ("time", SECONDS, "mm:ss", ["0:00:00", "0:00:15", "0:00:30", "0:00:45"]),
    "clock": ("time", CLOCK, "hh:mm:ss", ["14:03:10", "14:03:20", "14:03:30", "14:03:40"]),
    "clock, seconds hidden": ("time", CLOCK, "hh:mm", ["14:03:10", "14:03:20", "14:03:30", "14:03:40"]),
    "clock of am and pm": ("time", CLOCK, "h:mm AM/PM", ["14:03:10", "14:03:20", "14:03:30", "14:03:40"]),
    "plain seconds": ("time_s", [0, 15, 30, 45], "0.0", ["0", "15", "30", "45"]),
    "elapsed seconds": ("time_s", SECONDS, "[ss]", ["0", "15", "30", "45"]),
}  # fmt: skip


@pytest.mark.parametrize("case", TYPED)
def test_a_time_cell_reads_like_the_same_cell_of_a_text_file(case):
    heading, kept, code, typed = TYPED[case]
    cells: list[list[object]] = [[heading, "position", "temp_c"]]
    cells += [[time, wheel, 80.5] for time, wheel in zip(kept, WHEELS, strict=True)]
    text = f"{heading},position,temp_c\n" + "".join(
        f"{time},{wheel},80.5\n" for time, wheel in zip(typed, WHEELS, strict=True)
    )

    def told(log: str | bytes) -> object:
        try:
            return rows(read(log))
        except LogRefusedError as refusal:
            return refusal.problem, refusal.line, refusal.value

    assert told(written({"log": cells}, formats={0: code})) == told(text)


def test_a_quarter_of_an_hour_is_not_read_for_fifteen_seconds_typed():
    """0:15 under a heading in seconds: 15 s, not 900 s."""
    cells: list[list[object]] = [
        HEAD,
        *([time, wheel, 80] for time, wheel in zip(QUARTERS, WHEELS, strict=True)),
    ]
    assert read(written({"log": cells}, formats={0: "h:mm"})).readings.elapsed_s.tolist() == [0, 15, 30, 45]


def test_date_and_time_in_one_cell_or_two():
    moments = [dt.datetime(2031, 5, 4, 23, 59, 50) + dt.timedelta(seconds=10 * k) for k in range(4)]  # noqa: DTZ001
    one: list[list[object]] = [["time", "position", "temp_c"]]
    one += [[moment, wheel, 80] for moment, wheel in zip(moments, WHEELS, strict=True)]
    two: list[list[object]] = [["date", "time", "position", "temp_c"]]
    two += [[m.date(), m.time(), wheel, 80] for m, wheel in zip(moments, WHEELS, strict=True)]

    assert read(written({"log": one}, formats={0: "dd/mm/yyyy hh:mm"})).readings.elapsed_s.tolist() == [
        0,
        10,
        20,
        30,
    ]
    split = written({"log": two}, formats={0: "dd.mm.yyyy", 1: "hh:mm:ss"})
    assert read(split).readings.elapsed_s.tolist() == [0, 10, 20, 30]


@pytest.mark.parametrize(
    ("code", "shown"),
    [
        ("General", NUMBER),
        ("0.00", NUMBER),
        ('0.0 "h"', NUMBER),
        ("0.0\\ \\s", NUMBER),
        ("#,##0.00 [$€-407]", NUMBER),
        ("[Red]-0.0;[Blue]0.0", NUMBER),
        ("0.00E+00", NUMBER),
        ("yyyy-mm-dd", Shown(date=True)),
        ("mmm yy", Shown(date=True)),
        ("[$-407]d. mmmm yyyy;@", Shown(date=True)),
        ("mm", Shown(date=True)),
        ("hh:mm", Shown(hours=True, minutes=True)),
        ("h:mm:ss.000", Shown(hours=True, minutes=True, seconds=True)),
        ("[hh]:mm", Shown(hours=True, minutes=True, elapsed=True)),
        ("mm:ss.0", Shown(minutes=True, seconds=True)),
        ("[m]:ss", Shown(minutes=True, seconds=True, elapsed=True)),
        ("[s].00", Shown(seconds=True, elapsed=True)),
        ("d/m/yy h:mm AM/PM", Shown(date=True, hours=True, minutes=True)),
    ],
)
def test_what_a_number_format_shows(code, shown):
    assert format_shows(code) == shown


@pytest.mark.parametrize(
    ("value", "code", "text"),
    [
        ("0.58553240740740742", "h:mm:ss", "14:03:10"),
        ("0.58553240740740742", "h:mm", "14:03:10"),
        ("0.585416666666667", "h:mm", "14:03"),
        ("1.0003009259259259", "[h]:mm:ss", "24:00:26"),
        ("1.0003009259259259", "h:mm:ss", "24:00:26"),
        ("0.0001744212962963", "mm:ss.00", "0:00:15.070"),
        ("0.0433333333333333", "mm:ss", "1:02:24"),
        ("0.0433333333333333", "[mm]:ss", "1:02:24"),
        ("1.4288", "[s]", "34:17:28.320"),
        ("47971", "dd.mm.yyyy", "2031-05-03"),  # 47971 days from 30 December 1899
        ("47971", "dd.mm.yyyy hh:mm", "2031-05-03T00:00:00"),
        ("47971.5", "hh:mm", "2031-05-03T12:00:00"),
        ("0.5", "dd.mm.yyyy hh:mm", "12:00:00"),
        ("-0.5", "hh:mm", "-0.5"),
        ("1E9", "dd.mm.yyyy", "1000000000"),
        ("80.400000000000006", "0.0", "80.4"),
        ("1E+2", "0.0", "100"),
        ("n/a", "0.0", "n/a"),
        ("inf", "hh:mm", "inf"),
        ("nan", "dd.mm.yyyy", "nan"),
    ],
)
def test_text_of_a_cell(value, code, text):
    assert cell_text(value, format_shows(code)) == text


def test_days_counted_from_1904():
    """The same day is 1462 less there (ECMA-376 part 1, 18.17.4.1)."""
    day = format_shows("yyyy-mm-dd")
    assert cell_text("46509", day, since_1904=True) == cell_text("47971", day) == "2031-05-03"
    assert cell_text("0.5", format_shows("h:mm"), since_1904=True) == "12:00"


@given(
    st.floats(0, 3_000, allow_nan=False),
    st.sampled_from(["h:mm", "[h]:mm:ss", "mm:ss", "[mm]:ss.0", "h:mm:ss"]),
)
def test_no_second_is_lost_in_the_text_of_a_time(seconds, code):
    """Property: the text of a time tells it to the thousandth, whatever the format hides."""
    text = cell_text(repr(seconds / 86400), format_shows(code))
    parts = [float(part) for part in text.split(":")]
    assert len(parts) == 3 or code == "h:mm"
    parts += [0.0] * (3 - len(parts))
    assert 3600 * parts[0] + 60 * parts[1] + parts[2] == pytest.approx(seconds, abs=0.00051)


def test_texts_are_read_however_they_are_kept():
    """Shared, with runs of letters of their own look, with pronunciation, inline, by a formula."""
    texts = (
        '<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
        "<si><t>time_s</t></si><si><r><t>posi</t></r><r><rPr><b/></rPr><t>tion</t></r></si>"
        "<si><t>temp_c</t><rPh sb='0' eb='1'><t>never</t></rPh></si></sst>"
    )
    page = sheet(
        '<row><c t="s"><v>0</v></c><c t="s"><v>1</v></c><c t="s"><v>2</v></c></row>'
        '<row><c><v>0</v></c><c t="inlineStr"><is><t>FL</t></is></c><c><f>40+40</f><v>80</v></c></row>'
        '<row><c><v>10</v></c><c t="str"><f>"F"</f><v>FR</v></c><c t="e"><v>#N/A</v></c></row>'
    )
    found = read(book(page, sharedStrings=texts))

    assert rows(found)[0] == (0.0, "1L", 80.0)
    assert found.record.set_aside[0].value == "#N/A"


def test_names_with_a_prefix_and_parts_named_otherwise_are_read():
    page = (
        '<x:worksheet xmlns:x="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><x:sheetData>'
        + LOG.replace("<", "<x:").replace("<x:/", "</x:")
        + "</x:sheetData></x:worksheet>"
    )
    made = book(page, targets=("/xl/worksheets/sheet1.xml",))
    assert rows(read(made)) == [(0.0, "1L", 80.5), (10.0, "1R", 81.0)]


def test_formulas_that_were_never_reckoned_are_said():
    page = (
        LOG
        + '<row r="4"><c r="A4"><f>A3+10</f></c><c r="B4" t="str"><v>RL</v></c><c r="C4"><v>70</v></c></row>'
    )
    assert "one formula has no result" in read(book(sheet(page))).record.notes[0]


def test_cells_are_those_that_another_reader_finds():
    """python-calamine as the judge of everything but times, which it hands over as moments."""
    cells: list[list[object]] = [
        ["time_s", "position", "temp_c", None, "note"],
        [0, "FL", 80.5, None, "ü ß 漢 & <b>"],
        [],
        [12.25, "FR", -3, True, 'quo"te'],
        [None, None, 1e-7, 123456789012, " spaced "],
    ]
    content = written({"log": cells, "other": [["x"], [1.5]]})
    theirs = calamine.CalamineWorkbook.from_filelike(io.BytesIO(content))
    for ours in workbook_sheets(content, file="x"):
        page = theirs.get_sheet_by_name(ours.name).to_python(skip_empty_area=False)
        plain = [[_as_text(cell) for cell in row] for row in page]
        found = [row or [""] * len(plain[0]) for row in ours.records.rows]
        assert found == plain


def _as_text(cell: object) -> str:
    if isinstance(cell, bool):
        return str(cell).upper()
    return str(int(cell)) if isinstance(cell, float) and cell.is_integer() else str(cell)


def test_a_vehicle_in_merged_cells_is_that_of_every_row():
    """Filled in the first row only, as spreadsheets keep it; a merged figure is not read twice."""
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer, {"in_memory": True}) as made:
        page = made.add_worksheet("log")
        page.write_row(0, 0, ["vehicle", "time_s", "position", "temp_c"])
        for k, (wheel, degc) in enumerate((("FL", 80), ("FR", 81), ("FL", 90), ("FR", 91)), start=1):
            page.write_row(k, 1, [10 * (1 - k % 2), wheel, degc])
        page.merge_range(1, 0, 2, 0, "van 7")
        page.merge_range(3, 0, 4, 0, "van 8")
        page.merge_range(1, 3, 2, 3, 80, made.add_format({"bold": True}))
    found = read(buffer.getvalue())

    assert [case.vehicle for case in found.readings.cases] == ["van 7", "van 8"]
    assert sorted(rows(found)) == [(0.0, "1L", 80.0), (0.0, "1L", 90.0), (10.0, "1R", 91.0)]
    assert [aside.line for aside in found.record.set_aside] == [3]


# ---- refusals -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        ({"mimetype": "application/vnd.oasis", "content.xml": "<x/>"}, "an OpenDocument file, such as .ods"),
        ({"xl/workbook.bin": b"\0"}, "an .xlsb workbook"),
        (
            {"word/document.xml": "<x/>", "_rels/.rels": relations(("officeDocument", "word/document.xml"))},
            "a text",
        ),
        ({"a.csv": PLAIN, "b.csv": PLAIN}, "a zip archive of 2 files"),
    ],
)
def test_other_containers_are_told_by_name(parts, said):
    with pytest.raises(LogRefusedError, match=said) as refusal:
        read(packed(parts))
    assert "save the sheet as CSV" in str(refusal.value)


def test_a_workbook_of_no_sheets_is_empty():
    with pytest.raises(LogRefusedError, match="the workbook is empty"):
        read(book())
