"""Remarks that no rule understands reach lists, pages and jobs; what stops a vehicle has its place."""

from __future__ import annotations

import csv
import html
import io
import json
from pathlib import Path

import pytest

from thermlog.fleet.workrow import FleetRow
from thermlog.reading.read import unreadable_for
from thermlog.reports.chartwords import gap_words
from thermlog.reports.summary import row_place
from thermlog.reports.workwords import NAMING_EVERY_BRAKE, unread_words
from thermlog.words.dopatterns import TO_DO
from thermlog.words.errors import LogRefusedError, VehicleError
from thermlog.words.estimates import Estimate
from thermlog.words.findings import AxleFinding, Urgent
from thermlog.words.reasonpatterns import TEXTS
from thermlog.words.urgentwords import stop_words

WALK = (
    "# ambient: 18 C\n# axles: steer drive\n# brakes: disc disc\ntime_s,position,temp_c,note\n"
    "30,LF,97.7,{}\n45,RF,95.4,\n60,RR,69.6,\n75,LR,68.1,\n330,LR,60.0,\n345,RR,60.9,\n360,RF,81.0,\n"
    "375,LF,81.8,\n630,LF,71.9,\n645,RF,69.8,\n660,RR,51.9,\n675,LR,52.4,{}\n"
)


@pytest.fixture
def depot(thermlog):  # noqa: ARG001 (it makes the folder)
    Path("d").mkdir()
    for name, notes in {
        "plain": ("", ""), "one": ("pinging by itself", ""), "two": ("squeaks a bit", "clonk over bumps"),
        "hot": ("odd noise", ""),
    }.items():  # fmt: skip
        text = WALK.format(*notes)
        Path(f"d/{name}.csv").write_text(text.replace("97.7", "197.7").replace("81.8", "161.8").replace(
            "71.9", "141.9") if name == "hot" else text)  # fmt: skip
    return "d"


@pytest.mark.parametrize("options", [(), ("-q",)])
def test_a_list_closes_with_the_files_whose_remarks_a_person_weighs(thermlog, depot, options):
    out = thermlog("fleet", depot, *options).out
    head = next(line for line in out.splitlines() if line.startswith("REMARKS TO BE WEIGHED"))
    assert head.endswith("(3)")
    below = out[out.index(head) :].splitlines()[1:4]
    assert below == [
        '  d/hot.csv: line 5, 1L: "odd noise"',
        '  d/one.csv: line 5, 1L: "pinging by itself"',
        '  d/two.csv (2 remarks): line 5, 1L: "squeaks a bit"',
    ]


def test_a_list_without_such_remarks_says_nothing_of_them(thermlog, depot):
    for name in ("one", "two", "hot"):
        Path(f"{depot}/{name}.csv").unlink()
    assert "REMARKS" not in thermlog("fleet", depot).out


def test_the_table_counts_them(thermlog, depot):
    rows = list(csv.DictReader(io.StringIO(thermlog("fleet", depot, "--format", "csv").out)))
    assert {row["file"]: row["remarks"] for row in rows} == {
        "d/plain.csv": "0", "d/one.csv": "1", "d/two.csv": "2", "d/hot.csv": "1",
    }  # fmt: skip


def test_pages_of_check_and_job_carry_them(thermlog, depot):
    thermlog("check", f"{depot}/hot.csv", "--report", "check.html", "-q")
    said = "For a person to weigh, line 5, front left: "
    assert f"{said}&#34;odd noise&#34;" in Path("check.html").read_text(encoding="utf-8")
    thermlog("narrow", f"{depot}/hot.csv", "--job", "card.json", "--report", "job.html", "--format", "json")
    assert f"{said}&#34;odd noise&#34;" in Path("job.html").read_text(encoding="utf-8")


ROW = FleetRow(
    unit="a", file="a.csv", sha256="0" * 64, drive=None, finding=AxleFinding(axle=1, verdict="even"),
    members=(), pattern="none", p_fault=None, policy="light", weight_class="light", axle_count=2, drag="no",
    idle="no", heat="no", p_drag=None, p_idle=None, stops=True,
)  # fmt: skip


@pytest.mark.parametrize(
    ("urgent", "place"),
    [
        ((Urgent(code="flame", corner="1L"),), "front left"),
        ((Urgent(code="flame"),), "whole vehicle"),
        ((Urgent(code="hub_hot", corner="2R", spot="hub"),), "rear right hub"),
        ((Urgent(code="brake_hot", corner="2R", spot="rotor_outer"),), "rear right"),
        (
            (Urgent(code="smoke", corner="1R"), Urgent(code="tyre_hot", corner="2L", spot="tyre_outer")),
            "front right, rear left tyre",
        ),
    ],
)
def test_what_stops_a_vehicle_stands_at_its_place(urgent, place):
    from msgspec.structs import replace

    assert row_place(replace(ROW, urgent=urgent)) == place


def test_files_refused_alike_are_named_and_no_comma_stands_alone():
    place = ', line 3, column "wheel", found "x": no wheel'
    at = {"code": "no_wheel", "line": 3, "column": "wheel", "value": "x"}
    refused = (LogRefusedError("no wheel", file=name, **at) for name in ("a.csv", "b.csv"))
    some = [unreadable_for(one, one.file) for one in refused]
    assert unread_words(some) == ['2 files alike, a.csv, b.csv: line 3, column "wheel", found "x": no wheel']
    empty = (LogRefusedError("empty file", file=name, code="no_readings") for name in ("a", "b"))
    whole = [unreadable_for(one, one.file) for one in empty]
    assert unread_words([*whole, some[0]]) == ["2 files alike, a, b: empty file", "a.csv" + place]


def test_files_refused_for_another_file_name_that_one_together():
    """Its name stands in what is wrong with each, which is no file of theirs."""
    refusal = VehicleError("van.toml: no axle is described")
    both = [unreadable_for(refusal, name) for name in ("a.csv", "b.csv")]
    assert unread_words(both) == ["2 files alike, a.csv, b.csv: van.toml: no axle is described"]
    own = VehicleError("axle 3 was read", file="a.csv", line=7)
    assert str(own) == "a.csv, line 7: axle 3 was read"
    assert unreadable_for(own, "a.csv").problem == "line 7: axle 3 was read"
    assert unreadable_for(own, "b.csv").problem == "a.csv, line 7: axle 3 was read"


def test_what_stopped_a_vehicle_is_too_hot_or_far_above_another():
    assert stop_words("hub_hot") == "hub too hot"
    assert stop_words("hub_over_mate") == "hub far above its mate"


def test_words_that_name_every_brake_are_known_by_their_code():
    why = {code: texts for code, texts in TEXTS.items() if code not in TO_DO}
    assert {code for code, texts in why.items() if "every brake" in " ".join(texts)} == NAMING_EVERY_BRAKE


@pytest.mark.parametrize(
    ("gap", "said"),
    [
        (Estimate(0.04, -1.5, 1.6), "as warm as left within 2 °C"),
        (Estimate(0.49, 0.1, 0.9), "as warm as left within 1 °C"),
        (Estimate(-0.6, -2.0, 0.8), "0.6 ± 1.4 °C above left"),
        (Estimate(3.0, 1.0, 5.0), "3 ± 2 °C below left"),
    ],
)
def test_a_chart_calls_no_side_nought_above_the_other(gap, said):
    axle = AxleFinding(axle=1, difference_k=gap)
    assert gap_words(axle, "1R", "left", "C") == said


KNOCK, CLONK = "odd noise by the wheel", "clonk over bumps"


@pytest.fixture
def before_and_after(thermlog):  # noqa: ARG001 (it makes the folder)
    hot = WALK.format(CLONK, "").replace("97.7", "197.7").replace("81.8", "161.8").replace("71.9", "141.9")
    Path("before.csv").write_text(hot, encoding="utf-8")
    after = WALK.replace("time_s", "# repair: new caliper FL\ntime_s", 1).format(KNOCK, "")
    Path("after.csv").write_text(after, encoding="utf-8")
    return "before.csv", "after.csv"


def test_a_comparison_carries_the_remarks_of_the_drive_that_counts(thermlog, before_and_after):
    ran = thermlog("compare", *before_and_after, "--report", "page.html")
    said = f'line 6, front left: "{KNOCK}"'
    assert f"REMARK    For a person to weigh: {said}" in ran.out
    assert f"  - For a person to weigh, {said}" in ran.out
    assert CLONK not in ran.out  # of the drive before the repair, by its own check
    assert KNOCK in Path("page.html").read_text(encoding="utf-8")
    logs = json.loads(thermlog("compare", *before_and_after, "--format", "json").out)["logs"]
    told = [[(one["line"], one["text"], one["corner"]) for one in log["unweighed"]] for log in logs]
    assert told == [[(5, CLONK, "1L")], [(6, KNOCK, "1L")]]


def test_the_table_of_a_check_carries_them_in_its_last_column(thermlog, depot):
    rows = list(csv.DictReader(io.StringIO(thermlog("check", f"{depot}/one.csv", "--format", "csv").out)))
    assert list(rows[0])[-1] == "unweighed"
    assert {row["unweighed"] for row in rows} == {'line 5, front left: "pinging by itself"'}


def test_the_owner_reads_what_was_noted_and_is_not_judged(thermlog, depot):
    thermlog("check", f"{depot}/one.csv", "--customer", "owner.html")
    page = html.unescape(Path("owner.html").read_text(encoding="utf-8"))
    assert "behave as sound brakes do" in page
    assert (
        "The technician noted at front left: \u201cpinging by itself\u201d. This measurement does not judge"
        in page
    )
    many = WALK.format("one thing", "another thing").replace("\n330,LR,60.0,", "\n330,LR,60.0,third thing")
    many = many.replace("\n345,RR,60.9,", "\n345,RR,60.9,fourth thing").replace(
        "\n360,RF,81.0,", "\n360,RF,81.0,fifth thing"
    )
    Path("many.csv").write_text(many, encoding="utf-8")
    thermlog("check", "many.csv", "--customer", "many.html")
    assert "The technician noted 2 more, which" in Path("many.html").read_text(encoding="utf-8")
