"""A log that is refused is looked through for what stops a vehicle: not being read clears nothing."""

from __future__ import annotations

import csv
import gzip
import io
import json
import shutil
from pathlib import Path

import pytest
from readcases import workbook

from thermlog.reading.lookedthrough import looked_through
from thermlog.reading.readoptions import ReadOptions
from thermlog.words.policy import usual_limits

SAMPLES = Path(__file__).parent.parent / "sample_logs"
NOTED = "# vehicle: van 92\n# ambient: 12 C\n"
# 1405 may be seconds or a time of day: refused, whatever else stands in it.
REFUSED = NOTED + "{}time,position,temp_c\n1405,LF,{}\n1405,RF,103\n"
BRAKE_DEGC = usual_limits().urgent_brake_degc  # 300 °C, the line of both bundled policies


def found(text: str | bytes, **options):
    content = text.encode() if isinstance(text, str) else text
    return looked_through(content, file="a.csv", options=ReadOptions(**options))


def said(text: str | bytes, **options) -> list[tuple[int | None, str]]:
    return [(one.line, one.said) for one in found(text, **options).dangers]


@pytest.mark.parametrize(
    "line",
    [
        "# seen: smoke at LR", "seen: smoke at LR", "# remark: smoke from LR, driver parked it",
        "LR was smoking", "# seen: wheel loose LF", "# seen: a thing nobody has a word for",
        "# remark: LR locked solid, no road test",
        "# RR caliper stuck", "# RR hose disconnected", "RR too hot to touch", "# hub LR 130",
    ],
)  # fmt: skip
def test_words_that_stop_a_vehicle_are_told_with_the_refusal(thermlog, line):
    Path("a.csv").write_text(NOTED + line + "\n")
    ran = thermlog("check", "a.csv")
    assert (ran.code, ran.out) == (3, "")
    first, second = ran.err.splitlines()[:2]
    assert first.startswith("thermlog: STOP van 92: not read, but it says ")
    assert "(line 3). A case without a drive needs no readings. It is not driven; keep clear" in first
    assert second.startswith("thermlog: a.csv")


@pytest.mark.parametrize(
    "line",
    [
        "# seen: nothing", "# remark: no smoke, no smell", "# remark: washed",
        "# repair: wheel nuts LR were loose",
        "# vehicle: fire engine 3", "# by: B. Fireman", "# remark: pulls left a little", "# hub 60",
    ],
)  # fmt: skip
def test_words_that_stop_none_are_not(thermlog, line):
    Path("a.csv").write_text(line + "\n# ambient: 12 C\n")
    ran = thermlog("check", "a.csv")
    assert (ran.code, "STOP" in ran.err) == (3, False)
    assert "nothing but notes stands in the file" in ran.err


@pytest.mark.parametrize("command", ["check", "narrow", "inspect", "fleet"])
def test_what_was_seen_may_stand_in_an_option(thermlog, command):
    Path("a.csv").write_text(NOTED)
    if command == "inspect":  # has no such option
        assert "STOP" not in thermlog(command, "a.csv").err
        return
    ran = thermlog(command, "a.csv", "--seen", "smoke at LR")
    assert ran.code == 3
    assert 'not read, but it says "smoke at LR" (--seen)' in ran.err + ran.out


@pytest.mark.parametrize(
    ("cell", "stops"),
    [
        (f"{BRAKE_DEGC:.0f}", True), (f"{BRAKE_DEGC - 1:.0f}", False), ("405", True),
        ("590 F", True),  # 310 °C
        ("570 F", False),  # 298.9 °C
        ("1405", False),  # beyond what any gun shows: no temperature
    ],
)  # fmt: skip
def test_a_cell_of_a_column_of_temperatures_from_the_line_on(cell, stops):
    told = [(5, f"LF {cell}")] if stops else []
    assert said(NOTED + f"time,position,temp_c\n# note\n1405,LF,{cell}\n1405,RF,103\n") == told


@pytest.mark.parametrize(
    ("table", "told"),
    [
        ("time,LF,RF\n1405,310,90\n", [(2, "LF 310")]),
        ("time;position;temp_f\n1405;LF;590,5\n", [(2, "LF 590,5")]),
        ("# unit: F\ntime,position,temp\n1405,LF,590\n1410,LF,500\n", [(3, "LF 590")]),
        ("time,position,spot,temp_c\n1405,LF,hub,125\n", [(2, "LF 125")]),  # from 120 °C on
        ("time,position,spot,temp_c\n1405,LF,hub,115\n", []),
        ("time,position,temp_c,rim_c\n1405,LF,90,125\n", [(2, "LF 125")]),  # from 120 °C on
        ("time,position,spot,temp_c\n1405,LF,tyre,95\n", [(2, "LF 95")]),  # from 90 °C on
        ("position,mileage,price\nLF,405,310\n", []),
        ("time,position,temp_c\n1405,LF,405\n1406,RF,310\n", [(2, "LF 405")]),  # the hottest stands for all
        ("LF was 405 C\n", [(1, "LF was 405 C")]),
    ],
)
def test_the_line_is_that_of_the_part_and_the_unit_that_of_the_column(table, told):
    assert said(table) == told


@pytest.mark.parametrize(
    "row", ["LR,too hot to touch", "smoke,LR", "LR,,glowing", "van 7,RR wheel nuts loose"]
)
def test_one_wheel_alone_heads_no_table(row):
    assert said(f"Technician,M.\n{row}\n") == [(2, row)]


@pytest.mark.parametrize("head", ["wheel,smoke", "LF,RF,smoke", "time,position,temp_c,smoke"])
def test_a_column_may_be_called_smoke(head):
    assert said(f"{head}\n") == []


def test_a_row_beside_a_wheel_needs_no_second_word_for_it():
    rows = "time,position,temp_c,smoke\n1405,LF,98,\n1405,RF,103,very hot!\n"
    assert said(rows) == [(3, "1405,RF,103,very hot!")]


@pytest.mark.parametrize("sample", sorted(SAMPLES.glob("*.csv")), ids=lambda path: path.stem)
def test_a_walk_without_such_words_raises_no_alarm(sample):
    hot = {"trailer_hub_hot": [(15, "2L 187.5")]}  # 188 °C: the stop line of its own check
    assert said(sample.read_bytes()) == hot.get(sample.stem, [])


@pytest.mark.parametrize(
    "content",
    [
        gzip.compress((NOTED + "# seen: smoke at LR\n").encode()),
        (NOTED + "# caf\x81\n# seen: smoke at LR\n").encode("latin-1"),
        (NOTED + "# seen: smoke at LR\n").encode("utf-16"),
        workbook([["# vehicle: van 92"], ["remark"], ["smoke at LR"]]),
    ],
)
def test_any_kind_of_file_that_holds_words(content):
    assert [text for _, text in said(content)] == ["smoke at LR"]


@pytest.mark.parametrize("content", [b"", b"\x89PNG smoke at LR", bytes(range(256)) * 8])
def test_what_holds_none_says_none(content):
    assert said(content) == []


def test_a_log_of_another_vehicle_is_not_judged_but_its_smoke_stops(thermlog):
    vehicle = str(SAMPLES / "van.toml")  # of two axles
    rows = "".join(f"{60 * k},{one},80\n" for k, one in enumerate(("1L", "1R", "2L", "2R", "3L", "3R")))
    Path("a.csv").write_text("# seen: smoke at 2L\ntime_s,position,temp_c\n" + rows)
    ran = thermlog("check", "a.csv", "--vehicle", vehicle)
    assert ran.code == 3
    assert 'STOP: not read, but it says "smoke at 2L" (line 1). It is not driven' in ran.err


@pytest.mark.parametrize("command", ["check", "narrow", "compare", "fleet"])
def test_so_does_that_of_a_log_on_standard_input_which_can_be_read_but_once(thermlog, monkeypatch, command):
    rows = "".join(f"{60 * k},{one},80\n" for k, one in enumerate(("1L", "1R", "2L", "2R", "3L", "3R")))
    text = "# seen: smoke at 2L\n# vehicle: van 92\ntime_s,position,temp_c\n" + rows
    with Path("a.csv").open("w+", encoding="utf-8") as log:
        log.write(text)
        log.seek(0)
        monkeypatch.setattr("sys.stdin", log)
        ran = thermlog(command, "-", "--vehicle", str(SAMPLES / "van.toml"))
    assert ran.code == 3
    assert 'not read, but it says "smoke at 2L" (line 1)' in ran.err + ran.out
    assert "van 92" in ran.err + ran.out


@pytest.fixture
def depot(thermlog):
    """One sound van, and beside it an empty file and three that say what stops a vehicle."""
    Path("d").mkdir()
    shutil.copy(SAMPLES / "saloon_healthy.csv", "d/sound.csv")
    Path("d/empty.csv").write_text("")
    Path("d/smoke.csv").write_text(NOTED + "# seen: smoke at LR\n")
    Path("d/hot.csv").write_text(REFUSED.format("", "405"))
    Path("d/note.txt").write_text("van 14 smokes at LR\n")
    return thermlog


@pytest.mark.parametrize("options", [(), ("-q",)])
def test_fleet_puts_them_under_what_stops_a_vehicle(depot, options):
    blocks = depot("fleet", "d", *options).out.split("\n\n")
    assert "3 files not read: to stop all the same, by what they say" in blocks[0]
    assert "Nothing urgent" not in "\n".join(blocks)
    stop = next(one for one in blocks if one.startswith("STOP: not driven"))
    assert stop.splitlines()[0].endswith("(3)")
    assert 'van 92  !! not read, but it says "smoke at LR" (line 3)' in stop
    assert 'van 92  !! not read, but it says "LF 405" (line 4)' in stop
    assert "d/note.txt  !! not read" in stop
    assert "d/empty.csv" not in stop
    assert "FILES NOT READ (4)" in "\n".join(blocks)


@pytest.mark.parametrize(
    ("unread", "code"), [(("smoke.csv", "hot.csv"), 1), (("hot.csv",), 1), (("empty.csv",), 0)]
)
def test_fail_on_urgent_catches_them(depot, unread, code):
    files = ["d/sound.csv", *(f"d/{one}" for one in unread)]
    assert depot("fleet", *files, "--fail-on", "urgent", "-q").code == code


def test_tables_and_pages_hold_them_as_urgent(depot):
    rows = list(csv.DictReader(io.StringIO(depot("fleet", "d", "--format", "csv").out)))
    stops = [(row["group"], row["unit"], row["file"], row["line"]) for row in rows[:3]]
    assert stops == [
        ("urgent", "van 92", "d/hot.csv", "4"),
        ("urgent", "d/note.txt", "d/note.txt", "1"),
        ("urgent", "van 92", "d/smoke.csv", "3"),
    ]
    assert [row["group"] for row in rows].count("unreadable") == 4
    told = json.loads(depot("fleet", "d", "--format", "json").out)["unreadable"]
    smoke = next(one for one in told if one["file"] == "d/smoke.csv")
    assert (smoke["vehicle"], smoke["dangers"]) == ("van 92", [{"said": "smoke at LR", "line": 3}])
    page = depot("fleet", "d", "--format", "html").out
    assert page.index("STOP: not driven") < page.index("Files not read")
    assert "Not read, but it says &#34;smoke at LR&#34; (line 3)" in page
    assert page.count("It is not driven; keep clear") == 1
    assert '<li class="urgent"><a href="#urgent"><b>3</b>' in page  # the number in red counts them


def test_several_processes_tell_the_same(depot):
    alone = depot("fleet", "d", "--jobs", "1").out
    assert depot("fleet", "d", "--jobs", "2").out == alone
