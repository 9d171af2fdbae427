"""A folder of weekly logs: the text tells each unit once, tables each drive; the name of the unit ties them.

The logs are made of known rises; what a list says of them was written down from the dates and the rises.
"""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path

import pytest
from logs import COLD_K, DRAGGING_K, HEALTHY_K, log_text

HERE = Path()
LEFT_K = {**HEALTHY_K, "1L": 230.0}  # another brake, and more heat
# Names of files tell nothing: they are numbered anew each time.
WEEKS = {
    "van 1": (HEALTHY_K, DRAGGING_K, DRAGGING_K, HEALTHY_K, HEALTHY_K),  # dragged for two weeks, and no more
    "Van  2": (HEALTHY_K, HEALTHY_K, HEALTHY_K, HEALTHY_K, DRAGGING_K),  # new today
    "van 3": (COLD_K, HEALTHY_K, HEALTHY_K, HEALTHY_K, HEALTHY_K),  # too cold to tell, once
    "van 4": (HEALTHY_K, HEALTHY_K, HEALTHY_K, HEALTHY_K, HEALTHY_K),
    "van 5": (LEFT_K, HEALTHY_K, HEALTHY_K, DRAGGING_K, HEALTHY_K),  # two brakes, at different times
}


def day(week: int) -> str:
    return f"2031-05-{1 + 7 * week:02d}"


def dated(unit: str, week: int, rises_k: dict[str, float], repair: str = "") -> str:
    more = f"# repair: {repair}\n" if repair else ""
    return f"# date: {day(week)}\n{more}" + log_text(rises_k, vehicle=unit)


def weeks() -> None:
    Path("depot").mkdir()
    logs = [(unit, week, rises) for unit, all_weeks in WEEKS.items() for week, rises in enumerate(all_weeks)]
    for number, (unit, week, rises) in enumerate(sorted(logs, key=lambda one: (one[1], one[0]))):
        repair = "caliper RR renewed" if (unit, week) == ("van 1", 3) else ""
        Path(f"depot/{number:02}.csv").write_text(dated(unit, week, rises, repair), encoding="utf-8")


def entries(said: str) -> dict[str, str]:
    """Every entry of the list in one line, by its unit."""
    blocks: dict[str, list[str]] = {}
    for line in said.splitlines():
        head = line[:4].strip()
        if head.isdigit() and line[4:6] == "  ":
            unit = line[6:].split(",")[0]
            assert unit not in blocks, "a unit stands in the list once"
            blocks[unit] = []
            rows = blocks[unit]
        elif not line.startswith(" "):
            rows = []
        if blocks:
            rows.append(" ".join(line.split()))
    return {unit: " ".join(rows) for unit, rows in blocks.items()}


def test_each_unit_stands_once_with_its_worst_drive_and_the_newest(thermlog):
    weeks()
    ran = thermlog("fleet", "depot", "--skins", "assumed")
    told = entries(ran.out)
    assert set(told) == {"van 1", "Van  2", "van 3", "van 5"}
    one = told["van 1"]
    assert "rear right drags" in one
    assert (
        f"all 5 drives: 2 to check ({day(1)} to {day(2)}), 3 with nothing found (the newest 2 among them)"
        in one
    )
    assert f"new {day(4)}, nothing stood out, which clears nothing; depot/" in one
    assert f'mend stated before the drive of {day(3)}: "caliper RR renewed"' in one
    assert f"Van 2, {day(4)} + rear right drags" in told["Van  2"]
    assert "new " not in told["Van  2"].partition("do ")[0]  # the newest is the one that is told
    assert (
        f"1 to drive or read again ({day(0)}), 4 with nothing found (the newest 4 among them)"
        in told["van 3"]
    )


def test_another_brake_of_the_unit_is_named_beside_the_worst(thermlog):
    weeks()
    five = entries(thermlog("fleet", "depot", "--skins", "assumed").out)["van 5"]
    assert f"van 5, {day(0)} + front left drags" in five
    assert f"also rear right drags; on 1 drive ({day(3)}), depot/" in five
    assert "logs " not in five  # its log is named


def test_counts_of_drives_and_of_units_add_up_and_the_exit_code_goes_with_them(thermlog):
    weeks()
    ran = thermlog("fleet", "depot", "--skins", "assumed")
    head = " ".join(ran.out.split())
    # called: van 1 twice, van 2 once, van 5 twice; again: van 3 once; of 25 drives
    assert "25 drives of 5 units judged: 5 to check, 1 to drive or read again, 19 with nothing found" in head
    assert (
        "5 units, each by the most pressing of its drives: 3 to check, 1 to drive or read again, 1 with"
        in head
    )
    assert "CHECK: a brake drags or does not work (3)" in ran.out
    assert "(5 drives of 1 unit) van 4 14 more drives with nothing found: of units that stand above" in head
    assert ran.code == 1
    found = json.loads(thermlog("fleet", "depot", "--skins", "assumed", "--format", "json").out)["work"]
    tally = found["tally"]
    assert sum(tally["groups"].values()) == tally["drives"] == 25
    assert sum(tally["unit_groups"].values()) == tally["units"] == 5
    assert sum(one["units"] for one in found["actions"]) == 4  # nothing is asked of van 4
    assert sum(one["drives"] for one in found["actions"]) == 6


def test_tables_keep_a_row_a_drive_and_say_which_are_of_one_unit(thermlog):
    weeks()
    drives = json.loads(thermlog("fleet", "depot", "--skins", "assumed", "--format", "json").out)["work"][
        "drives"
    ]
    assert len(drives) == 25
    units: dict[int, set[str]] = {}
    for one in drives:
        units.setdefault(one["unit_rank"], set()).add(one["unit"])
    assert sorted(units) == [1, 2, 3, 4, 5]
    assert sorted(name for (name,) in units.values()) == sorted(WEEKS)
    first = {rank: min(one["rank"] for one in drives if one["unit_rank"] == rank) for rank in units}
    assert sorted(first, key=first.__getitem__) == [1, 2, 3, 4, 5]
    assert {one["taken"] for one in drives} == {day(week) for week in range(5)}
    assert [one["repair"] for one in drives if one["repair"]] == ["caliper RR renewed"]
    rows = csv.DictReader(
        io.StringIO(thermlog("fleet", "depot", "--skins", "assumed", "--format", "csv").out)
    )
    assert [(row["rank"], row["unit_rank"]) for row in rows] == [
        (str(one["rank"]), str(one["unit_rank"])) for one in drives
    ]


def test_logs_without_a_date_are_named_and_no_newest_is_told(thermlog):
    """Two vehicles may have one name: the log of each is named."""
    for name in ("a.csv", "b.csv", "c.csv"):
        Path(name).write_text(f"# page {name}\n" + log_text(DRAGGING_K, vehicle="van 7"), encoding="utf-8")
    (one,) = entries(thermlog("fleet", "a.csv", "b.csv", "c.csv").out).values()
    assert "all 3 drives: 3 to check; not every log states a date: which is the newest is not known" in one
    assert "logs b.csv, c.csv" in one
    assert "see a.csv" in one


@pytest.mark.parametrize("weeks_called", [5, 7])
def test_of_many_logs_the_newest_are_named_and_the_others_counted(thermlog, weeks_called):
    """All but the worst and the newest: up to four by name."""
    Path("depot").mkdir()
    for week in range(weeks_called):
        rises = {**DRAGGING_K, "2R": DRAGGING_K["2R"] + (40.0 if week == 0 else 0.0)}
        date = f"2031-{week + 1:02d}-05"
        text = f"# date: {date}\n" + log_text(rises, vehicle="van 7")
        Path(f"depot/{week}.csv").write_text(text, encoding="utf-8")
    (one,) = entries(thermlog("fleet", "depot").out).values()
    others = [f"depot/{week}.csv" for week in reversed(range(1, weeks_called - 1))]
    left = f", and {len(others) - 4} more that --look-up names" if len(others) > 4 else ""
    assert f"logs {', '.join(others[:4])}{left} do" in one


def test_a_drive_a_unit_reads_as_before(thermlog):
    for name, rises in (("a.csv", HEALTHY_K), ("b.csv", DRAGGING_K)):
        Path(name).write_text(log_text(rises, vehicle=name), encoding="utf-8")
    said = thermlog("fleet", "a.csv", "b.csv").out
    assert "each by the most pressing" not in said
    assert "      all  " not in said
    assert "(1 drive of 1 unit)\n  a.csv\n" in said


def test_units_of_one_name_are_told_by_their_files(thermlog):
    """What cannot be told of two vans of one name is told of which log; a name of its own stands alone."""
    for name, unit in (("a.csv", "van 7"), ("b.csv", "van 7"), ("c.csv", "van 8")):
        text = f"# seen: mist {name}\n" + log_text(HEALTHY_K, vehicle=unit)
        Path(name).write_text(text, encoding="utf-8")
    ran = thermlog("fleet", "a.csv", "b.csv", "c.csv")
    lines = re.findall(
        r"(van \d): .*?; ([abc]\.csv), line \d+((?:;.*?also b\.csv)?)", " ".join(ran.out.split())
    )
    assert [(unit, file, others[-5:]) for unit, file, others in sorted(lines)] == [
        ("van 7", "a.csv", "b.csv"), ("van 8", "c.csv", ""),
    ]  # fmt: skip
