"""From Python as from the command: the list of work, copies, skins, the depot, a chart."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import pandas as pd
import pytest
from logs import DRAGGING_K, HEALTHY_K, depot, log_text, write_log

import thermlog as package
from thermlog.reports.report_csv import CORNERS
from thermlog.words.errors import DepotError, OptionError

HERE = Path()
ROOT = Path(__file__).parent.parent


@pytest.mark.usefixtures("unset")
def test_the_table_of_a_fleet_is_that_of_the_command(thermlog):
    depot()
    write_log(HERE, "depot/z_copy.csv", DRAGGING_K, vehicle="B")
    Path("depot/notes.pdf").write_bytes(b"")
    table = thermlog("fleet", "depot", "--format", "csv").out
    wanted = [row for row in csv.DictReader(io.StringIO(table)) if row["rank"]]
    frame = package.fleet_table("depot")

    assert list(frame.columns) == list(wanted[0])
    assert frame["rank"].tolist() == [1, 2, 3, 4]
    for name in ("group", "unit", "file", "finding", "do_next", "sha256"):
        assert frame[name].fillna("").tolist() == [row[name] for row in wanted]
    assert frame["line"].tolist()[0] == int(wanted[0]["line"])
    assert frame.attrs["copies"] == [("depot/z_copy.csv", "depot/b_dragging.csv")]
    assert [file for file, _ in frame.attrs["unreadable"]] == ["depot/e_empty.csv", "depot/f_binary.csv"]
    assert frame.attrs["passed_over"] == [(".pdf", 1)]
    tally = frame.attrs["tally"]
    assert (tally["drives"], tally["files"], tally["passed_over"]) == (4, 7, 1)


def test_order_and_processes_change_no_row():
    paths = depot()[:4]
    whole = package.fleet_table(paths, jobs=1)
    pd.testing.assert_frame_equal(package.fleet_table(paths[::-1], jobs=3), whole)


def test_copies_are_not_judged_twice():
    write_log(HERE, "a.csv", DRAGGING_K)
    write_log(HERE, "b.csv", DRAGGING_K)
    frame = package.diagnose(["a.csv", "./a.csv", "b.csv"])
    assert set(frame["file"]) == {"a.csv"}
    assert len(frame) == 4
    assert frame.attrs["copies"] == [("b.csv", "a.csv")]


@pytest.mark.usefixtures("unset")
def test_skins_are_learned_as_the_command_does_unless_assumed(thermlog):
    for number in range(64):
        rises = {k: v * (1 + 0.002 * number) for k, v in HEALTHY_K.items()}
        write_log(HERE, f"d/{number:02d}.csv", rises, vehicle=f"unit {number}")
    learned, assumed = package.diagnose("d"), package.diagnose("d", skins="assumed")
    told = csv.DictReader(io.StringIO(thermlog("fleet", "d", "--format", "csv").out))
    by_file = {row["file"]: float(row["p_drag"]) for row in told}
    mine = learned.drop_duplicates("file").set_index("file")["p_drag"]
    assert mine.to_dict() == pytest.approx(by_file, rel=1e-5)  # six digits are written
    assert (learned["p_drag"] != assumed["p_drag"]).any()


def test_the_depot_file_holds_from_python_too():
    Path("depot.toml").write_text('[[units]]\nid = "truck 1"\nweight_class = "heavy"\n', encoding="utf-8")
    write_log(HERE, "a.csv", HEALTHY_K, vehicle="Truck-1")
    frame = package.diagnose("a.csv", depot="depot.toml")
    assert set(frame["vehicle"]) == {"truck 1"}
    assert set(frame["policy"]) == {"heavy"}
    with pytest.raises(DepotError):
        package.fleet_table("a.csv", depot=Path("gone.toml"))


def test_a_policy_for_each_weight_from_python():
    Path("own.toml").write_text('name = "mine"\nbase = "light"\n', encoding="utf-8")
    write_log(HERE, "a.csv", HEALTHY_K)
    assert set(package.diagnose("a.csv", policy=["light=own.toml"])["policy"]) == {"mine"}


def test_diagnose_tells_pattern_axle_next_check_and_what_is_urgent():
    Path("a.csv").write_text("# seen: smoke at 2R\n" + log_text(DRAGGING_K), encoding="utf-8")
    frame = package.diagnose("a.csv").set_index("corner")
    assert set(frame["urgent"]) == {"smoke"}
    assert set(frame["next_check"]) == {"clear_and_wait"}
    assert frame.loc["2R", "axle"] == 2
    assert frame.loc["2R", "axle_verdict"] == "hot"
    assert frame.loc["2R", "difference_k"] == frame.loc["2L", "difference_k"]
    assert frame.loc["2R", "low_k"] < frame.loc["2R", "difference_k"] < frame.loc["2R", "high_k"] < 0
    assert (frame["minutes"] > 0).all()
    assert set(frame["pattern"]) == {"corner_hot"}


def test_columns_of_diagnose_are_those_of_the_page():
    page = (
        (ROOT / "docs" / "python.md").read_text(encoding="utf-8").partition("| column | what it holds |")[2]
    )
    heads = [line.split("|")[1] for line in page.splitlines()[2:] if "|" in line]
    assert re.findall(r"`([a-z_0-9]+)`", " ".join(heads)) == [column.name for column in CORNERS]


def test_a_chart_of_one_drive_for_a_notebook():
    two = ROOT / "sample_logs" / "van_two_drives.csv"
    figure = package.chart(two, case=2, show="F")
    assert "°F" in figure.axes[0].get_ylabel()
    assert package.chart(ROOT / "sample_logs" / "van_front_left_hot.csv").axes
    with pytest.raises(OptionError, match=r"several drives \(1: delivery van 4, normal; 2: .*coast"):
        package.chart(two)
    with pytest.raises(OptionError, match='no case "3"; the log holds 1: delivery van 4, normal'):
        package.chart(two, case=3)


def test_the_charts_of_the_page_are_drawn_of_every_sample():
    """The notebook's lines as printed, over the sample logs; one holds two drives that are called."""
    page = (ROOT / "docs" / "python.md").read_text(encoding="utf-8")
    lines = page.partition("In a notebook a chart")[2].partition("```python\n")[2].partition("```")[0]
    work = package.fleet_table(ROOT / "sample_logs")
    drawn = []
    exec(lines, {"work": work, "thermlog": package, "display": drawn.append})  # noqa: S102 - the page's own
    assert len(drawn) == work[work["group"].isin(["urgent", "called"])]["rank"].nunique() > 10


@pytest.mark.parametrize("function", [package.diagnose, package.fleet_table])
def test_a_word_for_skins_that_means_nothing_is_refused(function):
    with pytest.raises(OptionError, match="write learned or assumed"):
        function([], skins="guessed")
