"""One log for each trouble that docs/log-format.md lists, by the words of its first column."""

from __future__ import annotations

import gzip

from bookparts import LOG, book, packed, sheet
from msgspec import Struct
from readcases import outcome, workbook
from troubleplaces import PLACES, placed

from thermlog.reading.gathered import LogReadings
from thermlog.reading.vocabulary import HEADINGS
from thermlog.words.columns import COLUMNS
from thermlog.words.errors import ThermlogError
from thermlog.words.tables import LogRecord

HEAD = "time_s,position,temp_c\n"
TWO = "0,FL,80.5\n10,FR,81\n"
PLAIN = HEAD + TWO + "20,RL,70\n30,RR,71\n"

FAR = '<row r="900000"><c r="XX900000"><v>1</v></c></row>'

Trouble = tuple[str | bytes, dict[str, object]]
# heading -> trouble -> the log, and the options to read it with; docs/log-format.md is made of it
SECTIONS: dict[str, dict[str, Trouble]] = {
  "Bytes and characters": {
    "empty file": ("", {}),
    "Windows-1252 text": (PLAIN.replace("temp_c", "temp (°C)").encode("cp1252"), {}),
    "UTF-16 without byte order mark": (PLAIN.encode("utf-16-le"), {}),
    "text in neither UTF-8 nor Windows-1252": (PLAIN.encode() + b"# caf\x81\n", {}),
    "an encoding named wrongly": (PLAIN, {"encoding": "utf-99"}),
    "NUL byte in a cell": (PLAIN.replace("81", "8\x001"), {}),
    "binary file": (bytes(range(256)) * 8, {}),
    "a picture or document": (b"\x89PNG\r\n\x1a\n" + bytes(40), {}),
    "damaged gzip": (gzip.compress(PLAIN.encode())[:-9], {}),
    "a log that unpacks to more than any walk": (gzip.compress(bytes(65 * 1024**2)), {}),
  },
  "Workbooks": {
    "an empty workbook": (workbook([]), {}),
    "a workbook of other things": (workbook([["Invoice", "Sum"], ["Bulbs", 12.5]]), {}),
    "a cell far from the readings": (book(sheet(LOG + FAR)), {}),
    "a damaged workbook": (book(sheet(LOG))[:-40], {}),
    "another program's container": (packed({"word/document.xml": "<x/>"}), {}),
  },
  "The table": {
    "header only": (HEAD, {}),
    "no column understood": ("a,b,c\n1,2,3\n", {}),
    "no column of temperatures": ("time_s,position,mood\n0,FL,good\n10,FR,bad\n", {}),
    "no column of wheels": ("time_s,temp_c\n0,80\n10,81\n", {}),
    "wheel columns beside a column of temperatures": ("time_s,temp_c,FL,FR\n0,80,81,82\n", {}),
    "headings of times and wheels swapped": ("position,time,temp_c\n14:03:30,FL,80\n14:03:45,FR,81\n", {}),
    "headings of temperatures and wheels swapped": ("temp_c,time_s,position\nFL,0,80\nFR,10,81\n", {}),
    "headings of times and temperatures swapped": (
        "position,time_s,temp_c\nFL,177,20\nFR,126,40\nRR,67,60\nRR,66,80\nFR,118,100\nFL,160,120\n",
        {},
    ),
    "two temperature columns": ("time_s,position,temp_c,temp_c\n0,FL,80,81\n", {}),
    "tables side by side": (
        "time_s,position,temp_c,,time_s,position,temp_c\n0,FL,80,,24,RL,70\n12,FR,81,,36,RR,71\n",
        {},
    ),
    "tables side by side, of two walks": (
        "time_s,position,temp_c,,time_s,position,temp_c\n0,FL,80,,0,FL,70\n12,FR,81,,12,FR,71\n",
        {},
    ),
    "the same readings in two units": ("time_s,position,temp_c,temp_f\n0,FL,80,176\n", {}),
    "no header": ("0,FL,85 C\n10,FR,84 C\n20,RL,70 C\n30,RR,71 C\n", {}),
    "no header, and a line that is no reading": (
        "14:04:05 LF 98\n14:04:25 RF 101\n14:05:05 RR 60\n14:05:20 LR\n",
        {},
    ),
    "header over two lines": ("time,position,temp\ns,,°C\n0,FL,80\n10,FR,81\n", {}),
    "lines before the table": ("Report of the day\nBay 3\n\n" + PLAIN, {}),
    "header repeated": (PLAIN + HEAD + "40,FL,79\n", {}),
    "second table with other columns": (PLAIN + "\ntime_s,FL (C),FR (C)\n90,80,81\n", {}),
    "second table with times written otherwise": (PLAIN + "\nclock,FL (C),FR (C)\n14:00,80,81\n", {}),
    "note or total below the table": (PLAIN + "checked twice\n", {}),
    "a delimiter missing": (PLAIN.replace("81\n", "81\n15,FR79\n"), {}),
    "a delimiter too many": (PLAIN.replace("81\n", "81\n15,,FR,79\n"), {}),
    "comma as delimiter and decimal mark": (HEAD + "0,FL,80,5\n10,FR,81,2\n20,RL,70,0\n", {}),
    "more columns than any log has": (",".join(f"t{k}" for k in range(9000)) + "\n", {}),
    "most rows of another width": ("time_s;position;temp_c\n0;FL\n10;FR\n20;RL;70\n", {}),
    "a quote that never closes": (PLAIN.replace("FR,81", '"FR,81'), {}),
    "a quote inside a quoted cell": (PLAIN.replace("FR,81", '"F"R",81'), {}),
    "a column of unknown name that holds the wheels": (PLAIN.replace("position", "container"), {}),
    "a column of wheels without a heading": (PLAIN.replace("position", ""), {}),
    "a column of times without a heading": (",FL (C),FR (C)\n14:03,80,81\n14:07,76,77\n", {}),
    "columns of unknown name": ("time_s,position,temp_c,mood\n0,FL,80,good\n10,FR,81,bad\n", {}),
    "a column of units that names vehicles": ("unit,time_s,position,temp_c\n4711,0,FL,80\n47,9,FR,81\n", {}),
    "runs that are only counted": ("run,time_s,position,temp_c\n1,0,FL,80\n2,60,FL,79\n", {}),
  },
  "Numbers and units": {
    "decimal comma and decimal point in one file": ("time_s;position;temp_c\n0;FL;80,5\n10;FR;81.2\n", {}),
    "no unit stated": (PLAIN.replace("temp_c", "temp"), {}),
    "no unit, ambient with unit": ("# ambient: 18 C\n" + PLAIN.replace("temp_c", "temp"), {}),
    "no unit, and a value impossible in any": (PLAIN.replace("temp_c", "temp").replace("71", "2555"), {}),
    "no unit, only one possible": (
        PLAIN.replace("temp_c", "temp").replace("70", "22"),
        {"ambient_degc": 20.0},
    ),
    "heading and comment state different units": ("# unit: F\n" + PLAIN, {}),
    "option and heading state different units": (PLAIN, {"unit": "F"}),
    "option and a cell state different units": (
        PLAIN.replace("temp_c", "temp").replace("80.5", "80.5 C"),
        {"unit": "F"},
    ),
    "the same with --override unit": (PLAIN, {"unit": "F", "override": ("unit",)}),
    "unit beside some readings only": ("time_s,position,temp\n0,FL,80 C\n10,FR,81\n", {}),
    "two units, and a reading with none": ("time_s,position,temp\n0,FL,80 C\n10,FR,181 F\n20,RL,70\n", {}),
    "unit word not known": ("time_s,position,temp,unit\n0,FL,80,C\n10,FR,81,bar\n", {}),
    "text in the temperature column": (PLAIN.replace("81", "eighty"), {}),
    "hot or cold without a figure": (PLAIN.replace("81", "hot"), {}),
    "empty temperature cell in a row a reading": (PLAIN.replace("81", ""), {}),
    "over-range mark": (PLAIN.replace("81", ">400"), {}),
    "under-range mark": (PLAIN.replace("81", "LO"), {}),
    "dash, NaN, error word": (PLAIN.replace("81", "---"), {}),
    "a temperature unit that is not known": (PLAIN.replace("temp_c", "temp (mV)"), {}),
    "road and brake in columns of their own": (
        "time_s,position,road temp (C),brake temp (C)\n0,FL,30,80\n9,FR,30,81\n",
        {},
    ),
    "a value that may be mistyped": (PLAIN.replace("81", "178"), {}),
    "impossible value": (PLAIN.replace("81", "-999"), {}),
    "spreadsheet formula": (PLAIN.replace("81", "=40+41"), {}),
    "text guard": (PLAIN.replace("81", "'81"), {}),
    "other decimal mark in one cell, mark stated": (PLAIN.replace("81", '"81,5"'), {"decimal": "."}),
  },
  "Wheels and spots": {
    "bare tyre numbers": (HEAD + "0,11,80\n10,12,81\n", {}),
    "a wheel word not known": (PLAIN + "40,LFX,79\n", {}),
    "a column a wheel with a heading that is none": ("time_s,FL (C),FR (C),LFX (C)\n0,80,81,79\n", {}),
    "a mean among the readings": (PLAIN + "40,average,79\n", {}),
    "another part among the readings": (PLAIN + "40,engine oil,79\n", {}),
    "a side without axle": (PLAIN + "40,left,79\n", {}),
    "codes that mean different wheels in two languages": (HEAD + "0,LA,80\n9,VL,81\n", {}),
    "driver and passenger side": (HEAD + "0,DF,80\n10,PF,81\n", {}),
    "a motorcycle": ("# vehicle: motorcycle\n" + HEAD + "0,front,80\n9,rear,61\n", {}),
    "no wheel of the log names a side": (HEAD + "0,front,80\n9,rear,61\n", {}),
    "no wheel in a row": (PLAIN + "40,,79\n", {}),
    "near side and off side": (HEAD + "0,NSF,80\n10,OSF,81\n", {}),
    "kerb side and road side": (HEAD + "0,kerb front,80\n10,street front,81\n", {}),
    "a word of what was seen not known": ("# seen: mist\n" + PLAIN, {}),
    "a place of what was seen not known": ("# seen: smoke at door\n" + PLAIN, {}),
    "a surface stated for a word that may mean several axles": (
        HEAD + "0,1L,80\n10,2L,81\n20,3L,82\n",
        {"places": ("rear left",)},
    ),
    "spot not known": ("time_s,position,temp_c,spot\n0,FL,80,disc\n10,FR,81,door\n", {}),
  },
  "Air, vehicle, drive": {
    "ambient in the option and another in the log": ("# ambient: 18 C\n" + PLAIN, {"ambient_degc": 20.0}),
    "ambient in the option and another in a column": (
        "time_s,position,temp_c,ambient\n0,FL,80,18\n10,FR,81,18\n",
        {"ambient_degc": 20.0},
    ),
    "the same with --override ambient": (
        "# ambient: 18 C\n" + PLAIN,
        {"ambient_degc": 20.0, "override": ("ambient",)},
    ),
    "ambient that is no air temperature": ("# ambient: 61\n" + PLAIN, {}),
    "a column of the air that holds no air temperature": (
        "time_s,position,temp_c,ambient\n0,FL,80,18\n10,FR,81,61\n",
        {},
    ),
    "a bare ambient option beside readings in °F": (
        PLAIN.replace("temp_c", "temp_f"),
        {"ambient_degc": 40.0, "ambient_bare": True},
    ),
    "ambient without unit": ("# ambient: 18\n" + PLAIN, {}),
    "ambient not a temperature": ("# ambient: warm\n" + PLAIN, {}),
    "ambient as rows": (PLAIN + "40,ambient,18.5\n", {}),
    "ambient in rows or a column, more than one value": (PLAIN + "40,ambient,18\n50,air,19\n", {}),
    "a key stated twice": ("# drive: normal\n# drive: coast\n" + PLAIN, {}),
    "another day between the rows, the watch started again": (
        "# date: 2031-05-04\n" + PLAIN + "# date: 2031-05-05\n" + TWO,
        {},
    ),
    "another day between the rows, times that run on": (
        "# date: 2031-05-04\n" + PLAIN + "# date: 2031-05-05\n300,FL,79\n310,FR,80\n",
        {},
    ),
    "a reading taken back": (PLAIN + "# taken back: line 5, RR 71\n40,RR,72\n", {}),
    "a reading taken back that is not there": (PLAIN + "# taken back: line 4, RR 71\n", {}),
    "a value that no key takes": ("# drive: Tuesday\n" + PLAIN, {}),
    "vehicle names that differ by case or blanks": (
        "vehicle,time_s,position,temp_c\nVan 7,0,FL,80\nVAN7,9,FR,81\n",
        {},
    ),
    "merged vehicle cells": (
        "vehicle,time_s,position,temp_c\nA,0,FL,80\n,9,FR,81\n,20,RL,70\n,30,RR,71\n",
        {},
    ),
    "comment with an unknown key": ("# moon: full\n" + PLAIN, {}),
    "drive word not known in a column": ("drive,time_s,position,temp_c\nwet,0,FL,80\nwet,9,FR,81\n", {}),
    "too few axles described": ("# axles: steer drive\n" + HEAD + "0,3L,80\n10,3R,81\n", {}),
  },
  "Times": {
    "a number that is no moment": ("time,position,temp_c\n20310504140310,FL,80\n20310504140320,FR,81\n", {}),
    "a unit of time that is not known": (PLAIN.replace("time_s", "time (ticks)"), {}),
    "no unit of time, told by the pace": ("time,position,temp_c\n0,FL,80\n9000,FR,81\n20000,RL,70\n", {}),
    "seconds or minutes, both likely": (
        "time,position,temp_c\n0,FL,80\n1.6,FR,81\n3.2,RL,70\n4.9,RR,71\n",
        {},
    ),
    "a clock in digits": ("clock,position,temp_c\n140310,FL,80\n140322,FR,81\n", {}),
    "a clock of twelve hours": ("time,position,temp_c\n12:58:00,FL,80\n1:02:00,FR,81\n", {}),
    "marks of thousands in times": ("time_s;position;temp_c\n992;FL;80.5\n1.004;FR;81.5\n", {}),
    "a watch that counts down": ("time remaining (s),position,temp_c\n90,FL,80\n78,FR,81\n", {}),
    "times that fall and nothing tells why": (
        "time_s,position,temp_c\n90,FL,80\n80,FR,81\n30,FL,85\n20,FR,70\n",
        {},
    ),
    "seconds without their minutes": (HEAD + "40,FL,80\n52,FR,81\n5,RL,70\n17,RR,71\n", {}),
    "a watch that passes the hour": ("mm:ss,position,temp_c\n59:50,FL,80\n0:05,FR,81\n", {}),
    "a watch that starts again": (HEAD + "0,FL,80\n90,FR,81\n0,FL,79\n90,FR,80\n", {}),
    "times of laps alone": ("lap time,position,temp_c\n0,FL,80\n12,FR,81\n", {}),
    "numbers and clock times mixed": (HEAD + "5,FL,80\n10,FR,81\n14:20,RL,70\n14:30,RR,71\n", {}),
    "a parked moment that is no time": ("# parked: after lunch\n" + PLAIN, {}),
    "all read before the wheels stopped": (
        "# parked: 14:10:00\ntime,position,temp_c\n14:03:10,FL,80\n14:03:22,FR,81\n",
        {},
    ),
    "some read before the wheels stopped": (
        "# parked: 14:03:20\ntime,position,temp_c\n14:03:10,FL,80\n14:03:22,FR,81\n",
        {},
    ),
    "an offset from UTC in some times only": (
        "time,position,temp_c\n2031-05-04T14:03:10+02:00,FL,80\n2031-05-04T14:03:22,FR,81\n",
        {},
    ),
    "a date that does not exist": (
        "time,position,temp_c\n2031-02-30 14:03:10,FL,80\n2031-02-30 14:03:22,FR,81\n",
        {},
    ),
    "day and month may change places": (
        "time,position,temp_c\n04/05/2031 14:03:10,FL,80\n05/06/2031 14:03:22,FR,81\n",
        {},
    ),
    "clock times all over the day": (
        "time,position,temp_c\n22:00:00,FL,80\n2:00:00,FR,81\n7:00:00,RL,70\n12:00:00,RR,71\n17:00:00,FL,60\n1:00:00,FR,60\n",
        {},
    ),
    "a clock put back": (
        "time,position,temp_c\n2:50:00,FL,80\n2:56:00,FR,81\n2:01:00,RL,70\n2:07:00,RR,71\n",
        {},
    ),
    "no times": ("position,temp_c\nFL,80\nFR,81\n", {}),
    "a time that is none": (PLAIN.replace("20,RL", "soon,RL"), {}),
    "an empty time": (PLAIN.replace("20,RL", ",RL"), {}),
    "minutes and seconds, or hours and minutes": ("time,position,temp_c\n14:00,FL,80\n14:01,FR,81\n", {}),
    "day or month first": (
        "time,position,temp_c\n04/05/2031 14:00:00,FL,80\n05/05/2031 14:01:00,FR,81\n",
        {},
    ),
    "a jump of an hour": (
        "time,position,temp_c\n14:00:10,FL,80\n14:00:30,FR,81\n15:00:50,RL,70\n15:01:10,RR,71\n",
        {},
    ),
    "clock past midnight": ("time,position,temp_c\n23:59:50,FL,80\n0:00:10,FR,81\n", {}),
    "rows not in order of time": (HEAD + "20,RL,70\n10,FR,81\n0,FL,80.5\n", {}),
    "exact repeat": (PLAIN + "10,FR,81\n", {}),
    "same wheel and moment, other value": (PLAIN + "10,FR,83\n", {}),
    "headings 1, 2, 3 over the rounds": ("wheel,1,2\nFL,80 C,79 C\nFR,81 C,80 C\n", {}),
  },
}  # fmt: skip
TROUBLES: dict[str, Trouble] = {name: one for troubles in SECTIONS.values() for name, one in troubles.items()}


class Happening(Struct, frozen=True, kw_only=True):
    """What thermlog does with a trouble, and each message it has to say with its code, if it has one."""

    does: str
    messages: list[tuple[str, str]]


def happening(found: object) -> Happening:
    """What thermlog does with a trouble."""
    if isinstance(found, ThermlogError):
        return Happening(does="refuses", messages=[(str(found), found.code)])
    record = found.record if isinstance(found, LogReadings) else found
    assert isinstance(record, LogRecord)
    if record.set_aside:
        messages = [(aside.reason, str(aside.code)) for aside in record.set_aside]
        return Happening(does="sets the row aside", messages=messages)
    return Happening(does="reads on and says so", messages=[(note, "") for note in record.notes])


def happenings() -> dict[str, dict[str, Happening]]:
    """What thermlog does with every trouble of every section."""
    of_logs = {
        heading: {
            name: happening(outcome(log if isinstance(log, bytes) else log.encode(), **options))
            for name, (log, options) in troubles.items()
        }
        for heading, troubles in SECTIONS.items()
    }
    of_places = {
        heading: {name: happening(placed(place)) for name, place in troubles.items()}
        for heading, troubles in PLACES.items()
    }
    return of_logs | of_places


def trouble_tables(page: str) -> str:
    """The tables of docs/log-format.md; a message on the page is kept while it is still said."""
    parts = []
    for heading, troubles in happenings().items():
        rows = [f"### {heading}", "", "| trouble | thermlog | code | message |", "|---|---|---|---|"]
        for name, happened in troubles.items():
            lines = [_row(name, happened.does, *message) for message in happened.messages]
            rows.append(next((line for line in lines if line in page), lines[0]))
        parts.append("\n".join(rows))
    return "\n\n".join(parts)


def _row(name: str, does: str, message: str, code: str) -> str:
    shown = message.replace("|", "\\|")
    return f"| {name} | {does} | {f'`{code}`' if code else ''} | `{shown}` |"


def column_table() -> str:
    """The table of columns, from their one declaration."""
    rows = ["| column | holds | headings | in the table of readings |", "|---|---|---|---|"]
    for column in COLUMNS:
        words = HEADINGS[column.role].split("|")
        shown = ", ".join(words[:_WORDS]) + (", ..." if len(words) > _WORDS else "")
        field = f"`{column.field.name}`" if column.field else ""
        rows.append(f"| `{column.role}` | {column.about} | {shown} | {field} |")
    return "\n".join(rows)


_WORDS = 8
MARKS = {"troubles": trouble_tables, "columns": lambda _page: column_table()}


def renewed(page: str) -> str:
    """The page with the parts that are made of what thermlog says."""
    for name, make in MARKS.items():
        head, tail = f"<!-- {name}: made by bench/make_log_format.py -->", f"<!-- end of {name} -->"
        before, rest = page.split(head)
        page = f"{before}{head}\n\n{make(page)}\n\n{tail}{rest.split(tail)[1]}"
    return page
