"""Many logs: ranking, refusals, duplicates, batches."""

from __future__ import annotations

import csv
import io
import json
import random
import subprocess
import sys
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from logs import COLD_K, DRAGGING_K, HEALTHY_K, log_text, write_log
from msgspec.structs import replace
from samples import corner, even_van, hot_rear_right, untold_van

from thermlog.cli.fleet import _with_progress
from thermlog.judging import fleetlist
from thermlog.judging.diagnose import Settings
from thermlog.judging.fleet import Lister
from thermlog.judging.fleetlist import FleetList, FleetRow, Piece, in_pieces
from thermlog.judging.fleetrows import rows_of
from thermlog.reading.readoptions import ReadOptions
from thermlog.reports.report_fleet import fleet_text
from thermlog.reports.report_json import schema_text
from thermlog.words.findings import PatternFinding

HERE = Path()


def depot() -> list[str]:
    """Logs of a small depot: one dragging, two healthy, one cold, two files nobody can read."""
    logs = [
        write_log(HERE, "depot/a_healthy.csv", HEALTHY_K, vehicle="A"),
        write_log(HERE, "depot/b_dragging.csv", DRAGGING_K, vehicle="B"),
        write_log(HERE, "depot/c_cold.csv", COLD_K, vehicle="C"),
        write_log(HERE, "depot/deep/d_healthy.csv", {k: v + 1 for k, v in HEALTHY_K.items()}),
    ]
    for name, content in {"e_empty.csv": b"", "f_binary.csv": bytes(range(256))}.items():
        (HERE / "depot" / name).write_bytes(content)
        logs.append(f"depot/{name}")
    return logs


def listed(paths: list[str], *, jobs: int = 1) -> FleetList:
    kept = FleetList()
    for piece in in_pieces(paths, lambda: Lister(options=ReadOptions(), settings=Settings()), jobs=jobs):
        kept.add(piece)
    return kept


def place(row: FleetRow) -> tuple[str, str, str | None]:
    return row.unit, row.verdict, row.corner


def test_odd_axles_are_lines_of_their_own_with_numbers_of_the_axle():
    (row,) = rows_of(hot_rear_right())

    assert place(row) == ("van 12", "hot", "2R")
    assert (row.difference_k, row.difference_interval_k, row.rise_ratio) == (-58.0, (-66.0, -50.0), 2.02)
    assert row.why == ("right is far above left and above the front",)


def test_even_vehicle_is_one_line_with_its_widest_difference():
    (row,) = rows_of(even_van())

    assert (row.verdict, row.axle, row.difference_k) == ("even", 1, 3.0)


def test_vehicle_that_cannot_be_told_keeps_the_reason_and_the_name_of_the_file():
    (row,) = rows_of(untold_van())

    assert place(row) == ("logs/cold.csv", "cannot_tell", None)
    assert "30 K needed" in row.cannot_tell[0]


@pytest.mark.parametrize(
    ("kind", "corner_verdict", "verdict"),
    [
        ("axle_hot", "hot", "hot"),
        ("axle_cold", "cold", "cold"),
        ("all_hot", "watch", "watch"),
        ("hub_hot", "hot", "hot"),
        ("several", "even", "watch"),
    ],
)
def test_pattern_over_even_axles_still_asks_for_a_look(kind, corner_verdict, verdict):
    van = even_van()
    odd = replace(van.corners[0], verdict=corner_verdict)
    pattern = PatternFinding(kind=kind, corners=("1L", "1R"))
    (row,) = rows_of(replace(van, corners=(odd, *van.corners[1:]), pattern=pattern))

    assert row.verdict == verdict


def test_hot_hub_is_a_line_of_its_own_with_the_difference_of_the_hubs():
    van = even_van()
    hubs = (corner("1L", at_degc=140.0, spot="hub", verdict="hot"), corner("1R", at_degc=40.0, spot="hub"))
    pattern = PatternFinding(kind="hub_hot", corners=("1L",))
    (row,) = rows_of(replace(van, corners=(*van.corners, *hubs), pattern=pattern))

    assert place(row) == ("van 3", "hot", "1L")
    assert (row.difference_k, row.difference_interval_k) == (100.0, None)
    assert "front left hub" in fleet_text(FleetList(rows=[row]))


def test_axle_whose_odd_side_is_open_says_so_beside_a_corner_that_is_called():
    van = hot_rear_right()
    front = replace(van.axles[0], verdict="watch")
    text = fleet_text(FleetList(rows=rows_of(replace(van, axles=(front, van.axles[1])))))

    assert "front, side open" in text
    assert "rear right" in text


def test_rank_is_finding_then_chance_then_clearness_and_not_the_order_of_files():
    hot = hot_rear_right()
    surer = replace(hot, vehicle="surer", p_fault=0.995)
    vaguer = replace(
        hot, vehicle="vaguer", axles=(replace(hot.axles[1], difference_interval_k=(-110.0, -6.0)),)
    )
    watch = replace(hot, vehicle="watch", axles=(replace(hot.axles[1], verdict="watch"),))
    vans = [even_van(), untold_van(), watch, vaguer, hot, surer]
    random.Random(4).shuffle(vans)
    kept = FleetList(rows=[row for van in vans for row in rows_of(van)])

    assert [row.unit for row in kept.ranked()] == [
        "surer",
        "van 12",
        "vaguer",
        "watch",
        "logs/cold.csv",
        "van 3",
    ]


@pytest.mark.usefixtures("thermlog")
def test_dragging_comes_first_and_bad_files_stop_nothing():
    kept = listed(depot())

    assert place(kept.ranked()[0]) == ("B", "hot", "2R")
    assert [item.file for item in kept.unreadable] == ["depot/e_empty.csv", "depot/f_binary.csv"]
    assert all(item.reason for item in kept.unreadable)
    assert (kept.judged, kept.flagged) == (4, 2)


@pytest.mark.usefixtures("thermlog")
def test_size_of_a_piece_changes_nothing(monkeypatch):
    whole = listed(depot())
    monkeypatch.setattr(fleetlist, "LOGS_PER_PIECE", 1)

    assert listed(depot()) == whole


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
    assert "4 drives judged: 2 ask for a look, 2 even | files: 2 unreadable" in ran.out
    assert "rear right" in next(line for line in ran.out.splitlines() if line.startswith("  1 "))
    assert "depot/e_empty.csv: " in ran.out
    assert "Cannot tell (1)" in ran.out


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
    assert [row["verdict"] for row in rows[-2:]] == ["unreadable", "unreadable"]
    assert rows[-1]["why"]


def test_csv_guards_against_formulas_from_a_log(thermlog):
    write_log(HERE, "a.csv", DRAGGING_K, vehicle="=HYPERLINK(0)")
    rows = list(csv.DictReader(io.StringIO(thermlog("fleet", "a.csv", "--format", "csv").out)))

    assert rows[0]["unit"] == "'=HYPERLINK(0)"


def test_json_satisfies_the_contract_and_holds_the_same_as_check(thermlog):
    logs = depot()
    write_log(HERE, "depot/g_again.csv", DRAGGING_K, vehicle="B")
    found = json.loads(thermlog("fleet", "depot", "--format", "json").out)

    Draft202012Validator(json.loads(schema_text("fleet"))).validate(found)
    assert {item["file"] for item in found["unreadable"]} == set(logs[4:])
    assert found["duplicates"] == [{"file": "depot/g_again.csv", "same_as": "depot/b_dragging.csv"}]
    single = json.loads(thermlog("check", "depot/b_dragging.csv", "--format", "json").out)
    assert next(item for item in found["logs"] if item["log"]["file"] == "depot/b_dragging.csv") == single


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


def test_only_even_vehicles_leave_with_0(thermlog):
    write_log(HERE, "a.csv", HEALTHY_K)
    ran = thermlog("fleet", "a.csv")

    assert ran.code == 0
    assert "Nothing hot, cold or to watch." in ran.out


def test_one_flagged_vehicle_leaves_with_1(thermlog):
    assert thermlog("fleet", write_log(HERE, "a.csv", DRAGGING_K)).code == 1


def test_exit_zero_and_output_file(thermlog):
    depot()
    ran = thermlog("fleet", "depot", "-o", "out.csv", "--format", "csv", "--exit-zero")

    assert (ran.code, ran.out) == (0, "")
    assert Path("out.csv").read_text().startswith("rank,unit,file")
    assert thermlog("fleet", "depot", "-o", "out.csv").code == 3


def test_reasons_are_gathered_and_differences_shown_without_the_32():
    kept = FleetList(rows=[row for van in (hot_rear_right(), untold_van()) for row in rows_of(van)])
    text = fleet_text(kept, show="F")

    assert "-104 ± 14" in text  # 58 ± 8 K times 9/5
    assert "Cannot tell (1)" in text
    assert "logs/cold.csv: rise of 6 K is under the 30 K needed; read again within 5 min" in text


def test_units_that_miss_the_same_stand_together():
    rows = [
        replace(
            rows_of(untold_van())[0], unit=unit, cannot_tell=(f"not enough heat: {rise} K above ambient",)
        )
        for unit, rise in (("A", 6), ("B", 9))
    ]

    assert "not enough heat, 2 units: A; B\n" in fleet_text(FleetList(rows=rows))


def test_text_of_a_fleet_cannot_steer_the_terminal(thermlog):
    Path("a.csv").write_text(log_text(DRAGGING_K, vehicle="x\x1b[2J"))

    assert "\x1b" not in thermlog("fleet", "a.csv").out


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
