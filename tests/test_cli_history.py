"""``thermlog history``: a line a unit, the story of one, as text, table, JSON and picture."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from historycases import dated
from jsonschema import Draft202012Validator
from logs import DRAGGING_K, HEALTHY_K, with_spots

from thermlog.reports.contract.schemas import schema_text

FOUR_WEEKS = ("2026-03-04", "2026-03-11", "2026-03-18", "2026-03-25", "2026-04-01")


@pytest.fixture
def depot(thermlog, tmp_path: Path):
    """Two vans: the rear right of one grows by 10 K a week, the other stays; one log names nobody."""
    folder = tmp_path / "logs"
    folder.mkdir()
    for week, day in enumerate(FOUR_WEEKS):
        growing = {**HEALTHY_K, "2R": HEALTHY_K["2R"] + 10.0 * week}
        (folder / f"van7-{week}.csv").write_text(dated(growing, day), encoding="utf-8")
        (folder / f"van8-{week}.csv").write_text(dated(HEALTHY_K, day, vehicle="Van  8"), encoding="utf-8")
    nameless = dated(HEALTHY_K, FOUR_WEEKS[0]).replace("# vehicle: van 7\n", "")
    (folder / "nameless.csv").write_text(nameless, encoding="utf-8")
    assert thermlog("fleet", "logs", "--history", "depot.db", "--exit-zero").code == 0
    return thermlog


def test_a_line_a_unit_what_asks_for_a_look_first(depot) -> None:
    ran = depot("history", "--history", "depot.db")

    lines = ran.out.splitlines()
    assert ran.code == 1
    assert lines[0] == "2 units, 10 visits; 1 more visits whose log names no vehicle"
    assert [line.split()[:3] for line in lines[3:5]] == [["van", "7", "5"], ["van", "8", "5"]]
    assert "2026-04-01" in lines[3]


@pytest.mark.parametrize("form", ["text", "csv", "json"])
def test_the_exit_code_is_that_of_the_latest_answers_shown(depot, form) -> None:
    """All units, or one: 1 where a unit shown is flagged at its latest visit, else 0."""
    asked = ("history", "--history", "depot.db", "--format", form)
    assert [depot(*asked, *unit).code for unit in ((), ("van 7",), ("van 8",))] == [1, 1, 0]
    for file in sorted(Path("logs").glob("van8*")):
        depot("check", str(file), "--history", "calm.db")
    assert depot("history", "--history", "calm.db", "--format", form).code == 0


def test_a_part_that_was_watched_stands_with_its_visit(thermlog, tmp_path: Path) -> None:
    """Even brakes and one rim far above its mate: flagged then, and what it was is told."""
    text = with_spots(dated(HEALTHY_K, FOUR_WEEKS[0]), "rim", {"1L": 70, "1R": 34, "2L": 33, "2R": 33})
    (tmp_path / "rim.csv").write_text(text, encoding="utf-8")
    assert thermlog("check", "rim.csv", "--history", "depot.db", "--exit-zero").code == 0

    ran = thermlog("history", "van 7", "--history", "depot.db")
    assert "no; rim front left watched" in ran.out
    told = json.loads(thermlog("history", "van 7", "--history", "depot.db", "--format", "json").out)
    (part,) = told["story"]["visits"][0]["parts_above"]
    assert (part["corner"], part["spot"], told["units"][0]["times_flagged"]) == ("1L", "rim", 1)


def test_growth_is_counted_apart(depot) -> None:
    """Ten kelvin a week at parking are so many at the common time: 10 exp(-t / tau), own sum, within 5 %."""
    told = json.loads(depot("history", "--history", "depot.db", "--format", "json").out)

    van7, van8 = told["units"]
    assert van7["axle"] == 2
    assert van7["k_per_week"] == pytest.approx(10.0 * 2.718 ** (-150 / 1800), rel=0.05)
    low, high = van7["k_per_week_interval"]
    assert low <= van7["k_per_week"] <= high
    assert van8["k_per_week"] == pytest.approx(0.0, abs=0.05)
    assert (van8["times_flagged"], van8["first_flagged"]) == (0, None)
    assert van7["times_flagged"] >= 1


def test_json_holds_to_its_schema_with_and_without_a_story(depot) -> None:
    schema = Draft202012Validator(json.loads(schema_text("history")))
    for unit in ([], ["van 7"]):
        told = json.loads(depot("history", *unit, "--history", "depot.db", "--format", "json").out)
        schema.validate(told)
        assert (told["story"] is not None) is bool(unit)
    assert [one["taken_at"] for one in told["story"]["visits"]] == list(FOUR_WEEKS)


def test_csv_has_a_row_a_unit(depot) -> None:
    rows = list(csv.DictReader(io.StringIO(depot("history", "--history", "depot.db", "--format", "csv").out)))
    assert [(row["unit"], row["visits"]) for row in rows] == [("van 7", "5"), ("van 8", "5")]


def test_the_story_of_one_unit(depot) -> None:
    """The last visit is flagged, so the exit code asks for a look."""
    ran = depot("history", "VAN 7", "--history", "depot.db")

    assert ran.code == 1
    assert ran.out.startswith("van 7: 5 visits")
    assert sum("logs/van7-" in line for line in ran.out.splitlines()) == 5
    assert "rear: left is 0." in ran.out
    assert depot("history", "van 8", "--history", "depot.db").code == 0


def test_a_unit_that_nobody_knows_is_refused_with_what_is_near(depot) -> None:
    ran = depot("history", "van 77", "--history", "depot.db")
    assert ran.code == 3
    assert 'no unit "van 77" in depot.db; nearest: van 7' in ran.err


def test_chart_draws_the_unit(depot) -> None:
    ran = depot("history", "van 7", "--history", "depot.db", "--chart", "trend.svg")
    picture = Path("trend.svg").read_text(encoding="utf-8")
    assert "chart: trend.svg" in ran.err
    assert "van 7: 5 visits" in picture
    assert depot("history", "--history", "depot.db", "--chart", "all.svg").code == 2


@pytest.mark.usefixtures("depot")
def test_chart_shows_every_visit_and_leaves_no_point_out() -> None:
    from thermlog.charts.timeline import figure_of_story
    from thermlog.history.store import History
    from thermlog.history.unitstories import story_of

    kept = History.open("depot.db")
    figure = figure_of_story(story_of(kept.visits("van 7"), [], 0.0))
    for axes in figure.axes:
        low, high = axes.get_ylim()
        for line in axes.lines:
            values = [float(y) for y in line.get_ydata()]
            assert all(low <= y <= high for y in values), line.get_label()
    marks = [line for axes in figure.axes for line in axes.lines if line.get_label() == "flagged"]
    assert any(len(line.get_xdata()) >= 1 for line in marks)


def test_a_job_is_taken_in_and_its_proof_counted(depot) -> None:
    Path("hot.csv").write_text(dated(DRAGGING_K, "2026-04-02"), encoding="utf-8")
    Path("even.csv").write_text(dated(HEALTHY_K, "2026-04-03"), encoding="utf-8")
    assert depot("check", "hot.csv", "even.csv", "--history", "depot.db", "--exit-zero").code == 0
    found = ("--cause", "piston_stuck_on", "--part", "caliper")
    depot("narrow", "hot.csv", "--job", "card.json", *found, "--found", "spin_hot=drags_evenly")
    before = depot("history", "van 7", "--history", "depot.db", "--job", "card.json", "--format", "json")
    depot("compare", "even.csv", "--job", "card.json")
    after = depot("history", "van 7", "--history", "depot.db", "--job", "card.json", "--format", "json")

    counts = [json.loads(ran.out)["units"][0] for ran in (before, after)]
    assert [(one["repairs_proven"], one["repairs_open"]) for one in counts] == [(0, 1), (1, 0)]
    text = depot("history", "van 7", "--history", "depot.db").out
    assert "job: piston_stuck_on, parts changed, proven even again by a drive" in text


def test_visits_without_a_date_say_so(thermlog) -> None:
    for number in range(2):
        text = dated(HEALTHY_K, "2026-03-04").replace("# date: 2026-03-04\n", f"# note: {number}\n")
        Path(f"{number}.csv").write_text(text, encoding="utf-8")
        thermlog("check", f"{number}.csv", "--history", "depot.db")
    out = thermlog("history", "van 7", "--history", "depot.db").out
    assert "2 of them state no date" in out
    assert "no date" in thermlog("history", "--history", "depot.db").out


def test_an_empty_history_says_so(thermlog) -> None:
    Path("none.csv").write_text("nothing\n", encoding="utf-8")
    thermlog("fleet", "none.csv", "--history", "depot.db")
    assert thermlog("history", "--history", "depot.db").out.startswith("0 units, 0 visits")
