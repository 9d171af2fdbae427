"""Many logs: ranking, refusals, duplicates, batches."""

from __future__ import annotations

import csv
import io
import json
import random
import re
import subprocess
import sys
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from logs import COLD_K, DRAGGING_K, HEALTHY_K, depot, log_text, write_log
from msgspec.structs import replace
from rounding import rounded

from thermlog.cli.fleet import _with_progress
from thermlog.fleet import fleetlist
from thermlog.fleet.fleetlist import FleetList, Piece, in_pieces
from thermlog.fleet.lister import Lister
from thermlog.fleet.processes import Processes
from thermlog.fleet.worklist import work_list
from thermlog.judging.settings import Settings
from thermlog.reading.read import unreadable_for
from thermlog.reports.contract.schemas import schema_text
from thermlog.words.errors import LogRefusedError
from thermlog.words.policy import load_policy

HERE = Path()


def listed(paths: list[str], *, jobs: int = 1) -> FleetList:
    kept = FleetList()
    for piece in in_pieces(paths, Lister(settings=Settings()), engine=Processes(jobs=jobs)):
        kept.add(piece)
    return kept


def of_list(kept: FleetList) -> tuple[object, ...]:
    """All that was kept, with its lines by rank, however they were kept."""
    return rounded([*work_list(kept).drives]), replace(kept, rows=[], quiet=[])


@pytest.mark.usefixtures("thermlog")
def test_dragging_comes_first_and_bad_files_stop_nothing():
    kept = listed(depot())

    first = work_list(kept).drives[0].first
    assert (first.unit, first.finding.verdict, first.finding.suspect) == ("B", "hot", "2R")
    assert [item.file for item in kept.unreadable] == ["depot/e_empty.csv", "depot/f_binary.csv"]
    assert all(item.reason for item in kept.unreadable)
    assert (kept.judged, kept.flagged) == (4, 2)


@pytest.mark.usefixtures("thermlog")
def test_size_of_a_piece_changes_nothing(monkeypatch):
    whole = listed(depot())
    monkeypatch.setattr(fleetlist, "LOGS_PER_PIECE", 1)

    assert of_list(listed(depot())) == of_list(whole)


@pytest.mark.usefixtures("thermlog")
@pytest.mark.parametrize("size", [1, 10])
def test_same_content_is_judged_once_also_across_pieces(monkeypatch, size):
    monkeypatch.setattr(fleetlist, "LOGS_PER_PIECE", size)
    one = write_log(HERE, "one.csv", DRAGGING_K)
    two = write_log(HERE, "two.csv", DRAGGING_K)
    for jobs in (1, 2):
        kept = listed([one, two], jobs=jobs)

        assert (kept.judged, kept.flagged, len(kept.rows)) == (1, 1, 1)
        assert [(item.file, item.same_as) for item in kept.duplicates] == [("two.csv", "one.csv")]


def test_text_ranks_and_explains(thermlog):
    depot()
    ran = thermlog("fleet", "depot")

    assert ran.code == 1
    assert ran.err == ""  # progress is for terminals
    assert "4 drives of 4 units judged: 1 to check, 1 to drive or read again, 2 with nothing found" in ran.out
    assert "6 files: 4 logs judged, 0 of the same content as another, 2 not read" in ran.out
    assert "B  + rear right drags" in next(line for line in ran.out.splitlines() if line.startswith("   1 "))
    assert "depot/e_empty.csv: " in ran.out
    assert (
        "Drive again (1)\n   2  C  ? whether a brake drags and whether every brake works cannot be told"
        in ran.out
    )


def test_a_unit_with_nothing_found_on_one_drive_and_a_call_on_another_is_said_to_stand_above(thermlog):
    write_log(HERE, "depot/1.csv", HEALTHY_K, vehicle="car 11")
    write_log(HERE, "depot/2.csv", DRAGGING_K, vehicle="car 11")
    write_log(HERE, "depot/3.csv", HEALTHY_K, vehicle="car 12")
    said = thermlog("fleet", "depot").out
    assert (
        "(1 drive of 1 unit)\n  car 12\n  1 more drive with nothing found: of units that stand above\n"
        in said
    )
    assert "all  2 drives: 1 to check, 1 with nothing found; not every log states a date" in said


def test_csv_has_rows_by_rank_and_refused_files_last(thermlog):
    depot()
    rows = list(csv.DictReader(io.StringIO(thermlog("fleet", "depot", "--format", "csv").out)))

    assert (rows[0]["rank"], rows[0]["unit"], rows[0]["corner"], rows[0]["verdict"]) == (
        "1",
        "B",
        "2R",
        "hot",
    )
    assert float(rows[0]["difference_k"]) < 0  # left minus right, and right is hot; a number, not text
    assert [row["group"] for row in rows[-2:]] == ["unreadable", "unreadable"]
    assert rows[-1]["why"]


def test_text_table_and_object_give_the_answers_of_one_summary(thermlog):
    depot()
    table = csv.DictReader(io.StringIO(thermlog("fleet", "depot", "--format", "csv").out))
    found = json.loads(thermlog("fleet", "depot", "--format", "json").out)["logs"]
    rows = {row["file"]: (row["drag"], row["idle"], row["heat"]) for row in table if row["drag"]}

    assert rows == {
        one["log"]["file"]: tuple(one["answers"][name]["answer"] for name in ("drag", "idle", "heat"))
        for one in found
    }
    assert rows["depot/b_dragging.csv"][0] == "yes"


def test_csv_guards_against_formulas_from_a_log(thermlog):
    write_log(HERE, "a.csv", DRAGGING_K, vehicle="=HYPERLINK(0)")
    rows = list(csv.DictReader(io.StringIO(thermlog("fleet", "a.csv", "--format", "csv").out)))

    assert rows[0]["unit"] == "'=HYPERLINK(0)"


def as_in_a_list(found: dict) -> dict:
    """What `check` says of a log without what would sharpen each "no": a list does not work that out."""
    answers = {name: one | {"sharper": []} for name, one in found["answers"].items()}
    return found | {"answers": answers}


def test_json_satisfies_the_contract_and_holds_the_same_as_check(thermlog):
    logs = depot()
    write_log(HERE, "depot/g_again.csv", DRAGGING_K, vehicle="B")
    found = json.loads(thermlog("fleet", "depot", "--format", "json").out)

    Draft202012Validator(json.loads(schema_text("fleet"))).validate(found)
    assert {item["file"] for item in found["unreadable"]} == set(logs[4:])
    assert {item["code"] for item in found["unreadable"]} == {"empty", "other_kind"}
    assert found["duplicates"] == [{"file": "depot/g_again.csv", "same_as": "depot/b_dragging.csv"}]
    single = json.loads(thermlog("check", "depot/b_dragging.csv", "--format", "json").out)
    assert next(
        item for item in found["logs"] if item["log"]["file"] == "depot/b_dragging.csv"
    ) == as_in_a_list(single)


def test_json_says_of_a_refused_log_why_and_where_for_programs(thermlog):
    Path("a.csv").write_text(
        "time_s,position,temp_c\n0,FL,80\n90,FR,81\n0,FL,79\n90,FR,80\n", encoding="utf-8"
    )
    found = json.loads(thermlog("fleet", "a.csv", "gone.csv", "--format", "json").out)

    Draft202012Validator(json.loads(schema_text("fleet"))).validate(found)
    again, gone = sorted(found["unreadable"], key=lambda one: one["file"])
    assert again["reason"].startswith('a.csv, line 4, column "time_s", found "0": the times start again')
    del again["reason"], gone["reason"]
    calm = {"vehicle": None, "dangers": []}
    place = {"line": 4, "column": "time_s", "value": "0"}
    assert again == {"file": "a.csv", "code": "starts_again"} | place | calm
    nowhere = {"line": None, "column": None, "value": None}
    assert gone == {"file": "gone.csv", "code": "no_file"} | nowhere | calm


def test_a_refusal_for_another_file_names_both():
    refusal = LogRefusedError("cannot be read", code="column_map", file="map.toml")
    assert unreadable_for(refusal, "a.csv").reason == "a.csv: map.toml: cannot be read"
    assert unreadable_for(refusal, "map.toml").reason == "map.toml: cannot be read"


def test_json_of_nothing_readable_is_whole_too(thermlog):
    Path("a.csv").write_bytes(b"")
    ran = thermlog("fleet", "a.csv", "--format", "json")
    found = json.loads(ran.out)

    assert ran.code == 3
    assert found["logs"] == []
    assert len(found["unreadable"]) == 1


@pytest.mark.parametrize("path", ["nowhere.csv", "nothing*.csv", "empty_folder"])
def test_nothing_to_read_leaves_with_3(thermlog, path):
    Path("empty_folder").mkdir()
    ran = thermlog("fleet", path)

    assert ran.code == 3
    assert path in ran.out + ran.err
    assert "Traceback" not in ran.err


def test_progress_is_shown_on_a_terminal_and_only_there(monkeypatch, capsys):
    pieces = [
        Piece(rows=(), judged=(), flagged=(), contents=(), unreadable=(), files=files) for files in (500, 120)
    ]
    assert list(_with_progress(iter(pieces), 620)) == pieces
    assert capsys.readouterr().err == ""

    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    assert list(_with_progress(iter(pieces), 620)) == pieces
    assert "500 of 620 files" in capsys.readouterr().err


def test_patterns_and_files_are_taken_once_each(thermlog):
    depot()
    ran = thermlog("fleet", "depot/*.csv", "depot/b_dragging.csv", "--format", "json")
    files = [item["log"]["file"] for item in json.loads(ran.out)["logs"]]

    assert files == ["depot/a_healthy.csv", "depot/b_dragging.csv", "depot/c_cold.csv"]


def test_quiet_keeps_totals_what_needs_a_look_and_what_cannot_be_read(thermlog):
    depot()
    Path("depot/no_log.csv").write_text("hello\n")
    Path("depot/stopped.csv").write_text("# seen: smoke\n" + log_text(HEALTHY_K))
    ran = thermlog("fleet", "depot", "-q")

    first, stop, check, unreadable = ran.out.split("\n\n")
    assert "5 drives of 4 units judged: 1 to stop, 1 to check, " in first
    assert "3 not read" in first
    assert "!! STOP DRIVING: smoke noticed" in stop or "!! STOP DRIVING: smoke seen" in stop
    assert "+ rear right drags" in check
    assert "depot/no_log.csv" in unreadable


@pytest.mark.parametrize("how", [(), ("-q",)])
def test_of_nothing_that_could_be_judged_nothing_is_said_to_be_in_order(thermlog, how):
    Path("no_log.csv").write_text("hello\n")
    ran = thermlog("fleet", "no_log.csv", *how)

    assert ran.out.startswith("0 drives of 0 units judged\n1 file: 0 logs judged, ")
    assert "\nNothing was judged.\n" in ran.out
    assert "Nothing urgent" not in ran.out


def test_only_even_vehicles_leave_with_0(thermlog):
    write_log(HERE, "a.csv", HEALTHY_K)
    ran = thermlog("fleet", "a.csv")

    assert ran.code == 0
    assert "Nothing urgent, no brake that drags or does nothing, none to watch." in ran.out


def test_one_flagged_vehicle_leaves_with_1(thermlog):
    assert thermlog("fleet", write_log(HERE, "a.csv", DRAGGING_K)).code == 1


def test_exit_zero_and_output_file(thermlog):
    depot()
    ran = thermlog("fleet", "depot", "-o", "out.csv", "--format", "csv", "--exit-zero")

    assert (ran.code, ran.out) == (0, "")
    assert Path("out.csv").read_text().startswith("rank,group,unit,")
    assert thermlog("fleet", "depot", "-o", "out.csv").code == 3


def test_text_of_a_fleet_cannot_steer_the_terminal(thermlog):
    Path("a.csv").write_text(log_text(DRAGGING_K, vehicle="x\x1b[2J"))

    assert "\x1b" not in thermlog("fleet", "a.csv").out


def large_depot(count: int = 64) -> list[str]:
    """Healthy vehicles of unlike heat, one in eight with a brake that drags."""
    chance = random.Random(2)
    paths = []
    for unit in range(count):
        of = chance.uniform(0.7, 1.3)
        rises_k = {corner: of * k * chance.gauss(1.0, 0.03) for corner, k in HEALTHY_K.items()}
        if unit % 8 == 0:
            rises_k["2R"] *= 2.2
        paths.append(write_log(HERE, f"large/{unit:03d}.csv", rises_k, vehicle=f"unit {unit}"))
    return paths


def test_large_fleet_learns_how_often_brakes_look_alike_and_says_so(thermlog):
    large_depot()
    text = thermlog("fleet", "large").out
    found = json.loads(thermlog("fleet", "large", "--format", "json").out)
    table = thermlog("fleet", "large", "--format", "csv")

    Draft202012Validator(json.loads(schema_text("fleet"))).validate(found)
    assert (found["skins"]["source"], found["skins"]["logs"]) == ("learned", 64)
    share = f"{100 * found['skins']['even_share']:.0f} %"
    said = f"surfaces: learned from 64 of these logs: {share} of vehicles have brakes that look alike"
    assert said in text
    assert said in table.err
    # alike brakes, so more than the policy assumes
    assert found["skins"]["even_share"] > load_policy("light").skins_even_share


def test_a_log_checked_alone_with_the_learned_share_is_answered_as_in_the_list(thermlog):
    """The list prints the option that makes them alike; without it, answers differ in their numbers."""
    paths = large_depot()
    told = json.loads(thermlog("fleet", "large", "--format", "json").out)
    option = re.search(r"--skins-alike [0-9.]+", thermlog("fleet", "large").out)[0].split()
    assert float(option[1]) == told["skins"]["even_share"]
    with_it = json.loads(thermlog("check", *paths, *option, "--format", "json").out)
    without = json.loads(thermlog("check", *paths, "--format", "json").out)
    in_list = {one["log"]["file"]: one for one in told["logs"]}
    assert {one["log"]["file"]: as_in_a_list(one) for one in with_it} == in_list
    assert {one["log"]["file"]: as_in_a_list(one)["answers"] for one in without} != {
        file: one["answers"] for file, one in in_list.items()
    }


def test_a_stated_share_is_said_and_leaves_nothing_to_learn(thermlog):
    paths = large_depot()
    found = thermlog("fleet", "large", "--skins-alike", "0.4", "--format", "json")
    assert json.loads(found.out)["skins"]["source"] == "assumed"
    said = "surfaces alike on 40.0 % of vehicles, not the policy's share"
    assert said in thermlog("check", paths[0], "--skins-alike", "0.4").out
    assert said not in thermlog("check", paths[0]).out
    assert "is not in the range" in thermlog("check", paths[0], "--skins-alike", "40").err


def test_skins_are_assumed_on_demand_and_in_small_fleets(thermlog):
    paths = large_depot()
    assumed = {"source": "assumed", "even_share": None, "logs": 0}
    ran = thermlog("fleet", "large", "--skins", "assumed", "--format", "json")

    assert json.loads(ran.out)["skins"] == assumed
    assert json.loads(thermlog("fleet", *paths[:59], "--format", "json").out)["skins"] == assumed
    assert "surfaces: learned" not in thermlog("fleet", "large", "--skins", "assumed").out


def test_what_is_learned_depends_on_no_order_no_pieces_and_no_processes(thermlog, monkeypatch):
    paths = large_depot()
    whole = thermlog("fleet", *paths).out
    assert thermlog("fleet", *reversed(paths), "--jobs", "2").out == whole
    monkeypatch.setattr(fleetlist, "LOGS_PER_PIECE", 7)
    assert thermlog("fleet", *paths, "--jobs", "3").out == whole


def test_standard_input_teaches_nothing():
    """It can be read but once, and is read to be judged."""
    paths = large_depot(60)
    command = [sys.executable, "-m", "thermlog", "fleet", "-", *paths, "--format", "csv", "--jobs", "2"]
    log = log_text(DRAGGING_K, vehicle="from a pipe").encode()
    ran = subprocess.run(command, input=log, capture_output=True, check=False)

    assert b"from a pipe" in ran.stdout
    assert b"learned from 60 of these logs" in ran.stderr


def test_standard_input_can_be_read_by_any_process():
    """Every process forked after it was taken in reads the whole of it, whoever read it before."""
    script = (
        "import os, sys; from thermlog.reading.files.rawtext import hold_standard_input, read_bytes; "
        "hold_standard_input(); child = os.fork(); sys.stdout.write(read_bytes('-').decode()); "
        "sys.stdout.flush(); child and os.waitpid(child, 0)"
    )
    ran = subprocess.run([sys.executable, "-c", script], input=b"twice\n", capture_output=True, check=False)
    assert ran.stdout == b"twice\ntwice\n"


@pytest.mark.parametrize("form", ["text", "csv", "json"])
def test_processes_change_nothing(thermlog, monkeypatch, form):
    monkeypatch.setattr(fleetlist, "LOGS_PER_PIECE", 2)
    depot()
    write_log(HERE, "depot/z_copy.csv", COLD_K, vehicle="C")
    write_log(HERE, "depot/z_copy_too.csv", COLD_K, vehicle="C")
    alone, *shared = (thermlog("fleet", "depot", "--format", form, "--jobs", jobs) for jobs in "1234")
    assert "c_cold.csv" in alone.out
    assert form == "csv" or "z_copy_too.csv" in alone.out
    assert all((ran.code, ran.out, ran.err) == (alone.code, alone.out, alone.err) for ran in shared)


def test_wrong_settings_are_refused_once_however_many_processes(thermlog):
    depot()
    ran = thermlog("fleet", "depot", "--policy", "nowhere.toml", "--jobs", "2", "-o", "list.txt")

    assert ran.code == 3
    assert ran.err.count("nowhere.toml") == 1
    assert not Path("list.txt").exists()


def test_standard_input_is_read_once_whoever_takes_it():
    others = depot()
    command = [sys.executable, "-m", "thermlog", "fleet", "-", *others[:3], "--format", "csv", "--jobs", "3"]
    log = log_text(DRAGGING_K, vehicle="from a pipe").encode()
    ran = subprocess.run(command, input=log, capture_output=True, check=False)

    units = [row["unit"] for row in csv.DictReader(io.StringIO(ran.stdout.decode()))]
    assert sorted(units) == ["A", "B", "C", "from a pipe"]
