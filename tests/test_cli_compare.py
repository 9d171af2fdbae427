"""``thermlog compare`` from files to exit codes."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from pathlib import Path

import pytest
from logs import COLD_K, DRAGGING_K, HEALTHY_K, log_text, write_log

HERE = Path()


@pytest.fixture
def pair(thermlog) -> tuple[str, str]:  # noqa: ARG001 (it makes the folder)
    return write_log(HERE, "before.csv", DRAGGING_K), write_log(HERE, "after.csv", HEALTHY_K)


def test_a_pair_that_is_even_again_leaves_with_0(thermlog, pair):
    ran = thermlog("compare", *pair)

    assert ran.code == 0
    assert ran.err == ""
    assert ran.out.splitlines()[-6].startswith("FINDING   Rear even again: left minus right was -7")


def dated(name: str, rises_k: dict[str, float], day: str | None) -> str:
    head = "" if day is None else f"# date: {day}\n"
    (HERE / name).write_text(head + log_text(rises_k), encoding="utf-8")
    return name


def test_a_drive_made_before_the_fault_proves_no_repair(thermlog):
    logs = dated("hot.csv", DRAGGING_K, "2026-02-16"), dated("old.csv", HEALTHY_K, "2026-01-05")
    thermlog("narrow", logs[0], "--job", "card.json", "--cause", "piston_stuck_on", "--part", "caliper")
    card = Path("card.json").read_bytes()
    ran = thermlog("compare", logs[1], "--job", "card.json")

    assert ran.code == 1
    assert "FINDING   The wrong way round: nothing is proven. By the later drive alone, hot.csv: " in ran.out
    assert "WHY       rear: hot.csv of 2026-02-16, then old.csv of 2026-01-05: a drive made" in ran.out
    assert "swap the logs" in ran.out
    assert "card.json: nothing entered: hot.csv of 2026-02-16, then old.csv of 2026-01-05" in ran.err
    assert Path("card.json").read_bytes() == card
    thermlog("check", *logs, "--history", "depot.db")
    told = thermlog("history", "--history", "depot.db", "--job", "card.json", "--format", "json")
    assert json.loads(told.out)["units"][0]["repairs_proven"] == 0


@pytest.mark.parametrize(
    ("before", "later"),
    [
        (DRAGGING_K, HEALTHY_K),
        (HEALTHY_K | {"1L": 400.0}, HEALTHY_K),  # past the urgent line of 300 °C, policies/light.toml
        (HEALTHY_K | {"2R": 2.0}, HEALTHY_K),
        (HEALTHY_K, DRAGGING_K),
    ],
)
def test_of_logs_the_wrong_way_round_the_drive_made_last_counts(thermlog, before, later):
    """Nobody is sent on a drive, or told nothing of an urgent brake, because the logs were swapped."""
    logs = dated("b.csv", before, "2026-02-16"), dated("a.csv", later, "2026-01-05")
    alone = json.loads(thermlog("check", logs[0], "--format", "json").out)
    told = json.loads(thermlog("compare", *logs, "--format", "json").out)

    assert [one["code"] for one in told["urgent"]] == [one["code"] for one in alone["urgent"]]
    assert [one["name"] for one in told["suspects"]] == [one["name"] for one in alone["suspects"]]
    flagged = alone["answers"]["drag"]["answer"] != "no" or alone["answers"]["idle"]["answer"] != "no"
    assert told["next_check"]["id"] == (alone["next_check"]["id"] if flagged else "swap_logs")
    said = thermlog("compare", *logs).out
    assert said.count("STOP DRIVING") == (1 if alone["urgent"] else 0)
    assert "NOW       b: " in said


@pytest.mark.parametrize("later", [HEALTHY_K, DRAGGING_K, COLD_K])
@pytest.mark.parametrize("before", [DRAGGING_K, HEALTHY_K | {"1L": 200.0}, HEALTHY_K | {"2R": 2.0}])
def test_logs_the_wrong_way_round_are_named_whatever_they_show(thermlog, before, later):
    ran = thermlog("compare", dated("b.csv", before, "2026-02-16"), dated("a.csv", later, "2026-01-05"))

    assert ran.code == 1
    assert "b.csv of 2026-02-16, then a.csv of 2026-01-05: the wrong way round" in ran.out
    assert "; swap the logs" in ran.out
    repair = [
        row.split("  ")[-1].strip()
        for row in ran.out.splitlines()
        if row.startswith(("  front  ", "  rear  "))
    ]
    assert set(repair) <= {"-", "cannot tell if even again"}


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (("2026-01-05", None), "no date in b.csv: the order of the drives is taken as given"),
        ((None, None), "no date in a.csv, b.csv: the order of the drives is taken as given"),
        (("2026-01-05", "2026-01-05"), "the dates do not tell which drive came first"),
        (("2026-01-05", "2026-01-06"), None),
    ],
)
def test_an_order_that_no_date_tells_is_said_to_be_taken_as_given(thermlog, days, said):
    ran = thermlog("compare", dated("a.csv", DRAGGING_K, days[0]), dated("b.csv", HEALTHY_K, days[1]))

    assert ran.code == 0
    assert said in ran.out if said else "taken as given" not in ran.out


def test_a_new_fault_is_the_headline_whatever_was_repaired(thermlog, pair):
    after = write_log(HERE, "new.csv", HEALTHY_K | {"1L": 200.0})
    ran = thermlog("compare", pair[0], after)

    assert ran.code == 1
    found = ran.finding
    assert found == "FINDING   Front NEW FAULT: front left is hot now and was not before; rear even again"
    alone = thermlog("check", after, "--format", "json")
    checked = json.loads(thermlog("compare", pair[0], after, "--format", "json").out)
    # what to do and why as that log says by itself
    assert checked["next_check"] == json.loads(alone.out)["next_check"]
    assert checked["suspects"] == json.loads(alone.out)["suspects"]


def test_a_brake_that_is_dead_now_is_never_called_repaired(thermlog, pair):
    ran = thermlog("compare", pair[0], write_log(HERE, "dead.csv", HEALTHY_K | {"2R": 2.0}))

    assert ran.code == 1
    assert "Rear NEW FAULT: rear right does too little now" in ran.out
    assert "even again" not in ran.out


def test_a_later_coast_drive_does_not_change_what_the_first_log_says(thermlog, pair):
    # in one batch the two drives of one vehicle would be read as one visit, and the drag before as cured
    coast = HERE / "coast.csv"
    rolled = log_text(dict.fromkeys(HEALTHY_K, 8.0)).replace("drive: normal", "drive: coast")
    coast.write_text(rolled, encoding="utf-8")
    content = json.loads(thermlog("compare", pair[0], str(coast), "--format", "json").out)

    assert content["logs"][0]["answers"]["drag"]["answer"] == "yes"
    assert content["axles"][1]["outcome"] == "cannot_tell"
    assert content["axles"][1]["reasons"][0]["code"] == "drives_unlike"


def test_a_repair_that_did_not_help_leaves_with_1(thermlog, pair):
    before, _ = pair
    worse = write_log(HERE, "worse.csv", DRAGGING_K | {"2R": 150.0})
    ran = thermlog("compare", before, worse)

    assert ran.code == 1
    assert "Rear NOT REPAIRED" in ran.out
    assert thermlog("compare", before, worse, "--exit-zero").code == 0


def test_a_last_drive_without_heat_cannot_be_told(thermlog, pair):
    ran = thermlog("compare", pair[0], write_log(HERE, "cold.csv", COLD_K))

    assert ran.code == 1
    assert "cannot tell if even again" in ran.out
    assert "of their earlier heat" in ran.out


def test_two_drives_in_one_file_are_compared(thermlog):
    both = HERE / "both.csv"
    head, rows = log_text(HEALTHY_K).split("corner,since_parked_s,temp_c\n")
    lines = [f"normal,{row}" for row in rows.splitlines()]
    _, rows = log_text(DRAGGING_K).split("corner,since_parked_s,temp_c\n")
    lines += [f"coast,{row}" for row in rows.splitlines()]
    head = "".join(line + "\n" for line in head.splitlines() if "drive" not in line)
    both.write_text(head + "drive,corner,since_parked_s,temp_c\n" + "\n".join(lines) + "\n", encoding="utf-8")
    ran = thermlog("compare", str(both))

    assert ran.code == 1
    assert "normal drive: both.csv" in ran.out
    assert "coast drive: both.csv" in ran.out


def test_one_drive_is_wrong_use(thermlog, pair):
    ran = thermlog("compare", pair[0])

    assert ran.code == 2
    assert "name a second log" in ran.err
    assert ran.out == ""


@pytest.mark.parametrize(
    ("corner", "said"),
    [("sunroof", "no log reads corner sunroof"), ("3L", "read are 1L, 1R, 2L, 2R"), ("left", "no log reads")],
)
def test_an_unknown_corner_is_wrong_use(thermlog, pair, corner, said):
    ran = thermlog("compare", *pair, "--corner", corner)

    assert ran.code == 2
    assert said in ran.err


@pytest.mark.parametrize(
    ("words", "corners"),
    [
        (["rear"], {"2L", "2R"}), (["hinten"], {"2L", "2R"}), (["BL", "front axle"], {"1L", "1R", "2L"}),
        (["n/s rear", "--country", "GB"], {"2L"}), (["n/s rear", "--country", "DE"], {"2R"}),
    ],
)  # fmt: skip
def test_a_word_for_an_axle_chooses_both_its_corners(thermlog, pair, words, corners):
    asked = ["--corner", words[0], *(["--corner", words[1]] if len(words) == 2 else words[1:])]
    content = json.loads(thermlog("compare", *pair, *asked, "--format", "json").out)
    assert {one["corner"] for one in content["corners"]} == corners


def test_a_corner_that_depends_on_the_country_names_the_cure(thermlog, pair):
    ran = thermlog("compare", *pair, "--corner", "n/s rear")
    assert (ran.code, "give --country" in ran.err) == (2, True)


@pytest.mark.parametrize("word", ["RR", "rear right", "2R", "hinten rechts", "2r"])
def test_corners_are_chosen_by_any_word_of_a_log(thermlog, pair, word):
    content = json.loads(thermlog("compare", *pair, "--corner", word, "--format", "json").out)
    assert {one["corner"] for one in content["corners"]} == {"2R"}


def test_chosen_corners_only(thermlog, pair):
    content = json.loads(thermlog("compare", *pair, "--corner", "2r", "--format", "json").out)

    assert [corner["corner"] for corner in content["corners"]] == ["2R"]
    assert [axle["axle"] for axle in content["axles"]] == [2]


def test_json_and_csv_hold_the_same_change(thermlog, pair):
    content = json.loads(thermlog("compare", *pair, "--format", "json").out)
    rows = list(csv.DictReader(io.StringIO(thermlog("compare", *pair, "--format", "csv").out)))
    rear = next(row for row in rows if row["place"].startswith("axle 2") and row["log"] == "2")

    assert content["axles"][1]["outcome"] == rear["outcome"] == "repaired"
    assert content["axles"][1]["changes"][1]["value_k"] == float(rear["change_k"])
    # 140 - 61 K of rise at parking have faded by less than a third within the common time
    assert 50.0 < float(rear["change_k"]) < 79.0


def test_lines_of_the_csv_end_as_in_every_other_table(thermlog, pair):
    tables = [thermlog(*words, "--format", "csv").out for words in (["compare", *pair], ["check", pair[0]])]

    for table in tables:
        assert table.endswith("\n")
        assert "\r" not in table


def test_quiet_leaves_the_last_lines(thermlog, pair):
    assert (
        thermlog("compare", *pair, "-q").out.splitlines() == thermlog("compare", *pair).out.splitlines()[-6:]
    )


def test_fahrenheit_on_paper(thermlog, pair):
    assert "°F" in thermlog("compare", *pair, "--show", "F", "-q").out


def test_chart_is_written_and_told(thermlog, pair):
    ran = thermlog("compare", *pair, "--chart", "pair.svg")

    assert ran.err == "chart: pair.svg\n"
    assert "Rear even again" in (HERE / "pair.svg").read_text(encoding="utf-8")
    again = thermlog("compare", *pair, "--chart", "pair.svg")
    assert again.code == 3
    assert "--force" in again.err
    assert again.out == ""


def test_a_bad_log_is_refused_before_anything_is_written(thermlog, pair):
    (HERE / "empty.csv").write_text("", encoding="utf-8")
    ran = thermlog("compare", pair[0], "empty.csv", "--chart", "x.png", "-o", "x.txt")

    assert ran.code == 3
    assert ran.err.startswith("thermlog: empty.csv")
    assert ran.err.count("\n") == 1
    assert not list(HERE.glob("x.*"))


def test_a_text_comparison_imports_neither_pandas_nor_matplotlib(pair):
    code = (
        "import sys; from thermlog.cli import run; "
        f"run(['compare', *{pair!r}]); "
        "sys.exit(any(name in sys.modules for name in ('pandas', 'scipy', 'matplotlib')))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)

    assert done.returncode == 0, done.stderr
    assert "even again" in done.stdout


def test_a_log_without_a_name_is_entered_with_a_word_of_it(thermlog):
    write_log(HERE, "named.csv", DRAGGING_K, vehicle="van 9")
    nameless = log_text(HEALTHY_K).replace("# vehicle: van 7\n", "")
    (HERE / "nameless.csv").write_text(nameless, encoding="utf-8")
    thermlog("narrow", "named.csv", "--job", "card.json", "--cause", "piston_stuck_on", "--part", "caliper")
    ran = thermlog("compare", "nameless.csv", "--job", "card.json")
    assert "nameless.csv names no vehicle; it is entered as one of van 9" in ran.err
