"""What is filed of every defect: of whom, what, how bad, the readings, hashes, the action, the proof."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
from pathlib import Path

import pytest
from historycases import job_of_log
from jsonschema import Draft202012Validator
from logs import DRAGGING_K, HEALTHY_K, depot, log_text, write_log
from msgspec.structs import replace

from thermlog.fleet import fleetlist
from thermlog.history.store import History
from thermlog.reports.contract.schemas import schema_text
from thermlog.reports.report_filing import FILED

HERE = Path()


def yard() -> None:
    """One brake that drags and its proof, one vehicle that smokes, one with nothing found, and a copy."""
    head = "# by: R. Ode\n# gun: no. 4\n# date: 2026-03-06\n"
    Path("yard").mkdir()
    Path("yard/b.csv").write_text(head + log_text(DRAGGING_K, vehicle="B"), encoding="utf-8")
    proof = log_text(HEALTHY_K, vehicle="B").replace("# drive: normal", "# drive: verification")
    Path("yard/b_again.csv").write_text(proof, encoding="utf-8")
    Path("yard/s.csv").write_text(
        "# seen: smoke at 1L\n" + log_text(HEALTHY_K, vehicle="S"), encoding="utf-8"
    )
    write_log(HERE, "yard/a.csv", {k: v + 1 for k, v in HEALTHY_K.items()}, vehicle="A")
    Path("yard/z_copy.csv").write_bytes(Path("yard/b.csv").read_bytes())


def test_every_defect_is_filed_with_what_shows_it(thermlog):
    yard()
    ran = thermlog("fleet", "yard", "--filing", "filed.json", "--exit-zero")
    found = json.loads(Path("filed.json").read_text(encoding="utf-8"))
    Draft202012Validator(json.loads(schema_text("filing"))).validate(found)

    assert ran.code == 0
    assert "filed: 2 in filed.json" in ran.err
    assert "certifies nothing" in found["wording"]
    stop, drag = found["filed"]
    assert (stop["defect"]["unit"], stop["defect"]["kind"]) == ("S", "stops")
    assert [one["code"] for one in stop["defect"]["urgent"]] == ["smoke"]
    one = drag["defect"]
    assert (one["unit"], one["kind"], one["corners"]) == ("B", "drags", ["2R"])
    assert (one["by"], one["gun"]) == ("R. Ode", "no. 4")
    assert one["taken"].startswith("2026-03-06")
    assert one["sha256"] == hashlib.sha256(Path("yard/b.csv").read_bytes()).hexdigest()
    assert one["torque_nm"] > 0
    assert one["interval_k"][0] < one["difference_k"] < one["interval_k"][1]
    # four rounds of both sides of the rear axle, each as it stands in the log
    rows = Path("yard/b.csv").read_text(encoding="utf-8").splitlines()
    assert len(one["readings"]) == 8
    for read in one["readings"]:
        corner, elapsed, degc = rows[read["line"] - 1].split(",")
        assert (read["corner"], read["elapsed_s"], read["indicated_degc"]) == (
            corner,
            float(elapsed),
            float(degc),
        )
    check = json.loads(thermlog("fleet", "yard", "--format", "json").out)
    drive = next(each for each in check["work"]["drives"] if each["file"] == "yard/b.csv")
    assert (one["action"], one["action_words"]) == (drive["errand"]["id"], drive["errand"]["question"])
    proof = {"file": "yard/b_again.csv", "group": "nothing"}
    assert [{key: each[key] for key in proof} for each in drag["verification"]] == [proof]
    assert stop["verification"] == []


def test_the_table_of_what_is_filed_says_the_same(thermlog):
    yard()
    thermlog("fleet", "yard", "--filing", "filed.csv")
    rows = list(csv.DictReader(io.StringIO(Path("filed.csv").read_text(encoding="utf-8"))))
    assert list(rows[0]) == [column.name for column in FILED]
    assert [(row["unit"], row["class"], row["corners"]) for row in rows] == [
        ("S", "stops", "1L"), ("B", "drags", "2R"),
    ]  # fmt: skip
    assert rows[1]["verified_by"] == "yard/b_again.csv"
    assert rows[1]["readings"].count("2R brake") == 4
    assert "It certifies nothing" in rows[0]["wording"]


@pytest.mark.parametrize("form", ["text", "json"])
def test_what_is_filed_depends_on_no_piece_and_no_form_of_the_list(thermlog, monkeypatch, form):
    yard()
    depot()
    thermlog("fleet", "yard", "depot", "--filing", "whole.json")
    monkeypatch.setattr(fleetlist, "LOGS_PER_PIECE", 1)
    thermlog("fleet", "yard", "depot", "--filing", "parts.json", "--format", form, "--jobs", "3")
    assert Path("parts.json").read_bytes() == Path("whole.json").read_bytes()


@pytest.mark.parametrize(
    ("asked", "code", "said"),
    [
        (("--filing", "filed.txt"), 2, "ends neither in .csv nor in .json"),
        (("--filing", "there.csv"), 3, "there.csv: exists already"),
        (("--filing", "a.csv", "-f"), 3, "a.csv"),
        (("--filing", "x.csv", "-o", "x.csv", "--format", "csv"), 2, "name the same file"),
    ],
)
def test_a_record_for_filing_is_refused_before_anything_is_judged(thermlog, asked, code, said):
    write_log(HERE, "a.csv", HEALTHY_K)
    Path("there.csv").write_text("mine", encoding="utf-8")
    ran = thermlog("fleet", "a.csv", *asked)
    assert ran.code == code
    assert said in ran.err
    assert ran.out == ""
    assert Path("there.csv").read_text(encoding="utf-8") == "mine"


def test_a_verification_drive_that_still_shows_the_defect_is_no_proof_of_itself(thermlog):
    still = log_text(DRAGGING_K, vehicle="B").replace("# drive: normal", "# drive: verification")
    Path("again.csv").write_text(still, encoding="utf-8")
    write_log(HERE, "before.csv", {k: v + 1 for k, v in DRAGGING_K.items()}, vehicle="B")
    thermlog("fleet", "again.csv", "before.csv", "--filing", "filed.json")
    filed = json.loads(Path("filed.json").read_text(encoding="utf-8"))["filed"]
    proofs = {one["defect"]["file"]: [each["group"] for each in one["verification"]] for one in filed}
    assert proofs == {"again.csv": [], "before.csv": ["called"]}


def stored(thermlog, name: str, rises_k: dict[str, float], day: str, drive: str) -> None:
    """A drive of van B on some day, kept in the history by a command of its own."""
    text = log_text(rises_k, vehicle="B").replace("# drive: normal", f"# date: {day}\n# drive: {drive}")
    Path(name).write_text(text, encoding="utf-8")
    assert thermlog("check", name, "--history", "depot.db", "--exit-zero").code == 0


@pytest.mark.parametrize("command", ["fleet", "check"])
def test_what_other_commands_recorded_is_linked_by_the_history(thermlog, command):
    """A drive of verification before the defect proves nothing of it; the one after it does, and the job."""
    stored(thermlog, "before.csv", HEALTHY_K, "2026-03-01", "verification")
    stored(thermlog, "hot.csv", DRAGGING_K, "2026-03-06", "normal")
    stored(thermlog, "after.csv", HEALTHY_K | {"1L": 104.0}, "2026-03-20", "verification")
    found = ("--cause", "piston_stuck_on", "--part", "caliper, rear right", "--by", "R. Ode")
    thermlog("narrow", "hot.csv", "--job", "card.json", "--found", "spin_hot=drags_evenly", *found)
    thermlog("compare", "after.csv", "--job", "card.json")
    thermlog("history", "--history", "depot.db", "--job", "card.json")
    ran = thermlog(command, "hot.csv", "--filing", "filed.json", "--history", "depot.db", "--exit-zero")
    told = json.loads(Path("filed.json").read_text(encoding="utf-8"))
    Draft202012Validator(json.loads(schema_text("filing"))).validate(told)

    assert ran.code == 0
    assert "filed: 1 in filed.json" in ran.err
    (one,) = told["filed"]
    (proof,) = one["verification"]
    assert (proof["file"], proof["group"], proof["recorded"]) == ("after.csv", "nothing", "history")
    assert proof["taken"] == "2026-03-20"
    assert proof["sha256"] == hashlib.sha256(Path("after.csv").read_bytes()).hexdigest()
    (job,) = one["jobs"]
    assert job["log_sha256"] == one["defect"]["sha256"]
    assert (job["cause"], job["parts"], job["by"]) == ("piston_stuck_on", ["caliper, rear right"], "R. Ode")
    assert (job["proof"]["file"], job["proof"]["even_again"]) == ("after.csv", True)

    thermlog(command, "hot.csv", "--filing", "filed.csv", "--history", "depot.db", "--exit-zero")
    (row,) = csv.DictReader(io.StringIO(Path("filed.csv").read_text(encoding="utf-8")))
    assert (row["verified_by"], row["verified_recorded"]) == ("after.csv", "history")
    assert (row["job_cause"], row["job_proof"]) == ("piston_stuck_on", "after.csv: even again")
    assert not any(cell.startswith("'") for cell in row.values())


@pytest.mark.parametrize("days", [("2026-03-01", "2026-03-06", "2026-03-20"), (None, "2026-03-06", None)])
def test_of_one_run_dates_tell_which_drive_came_later(thermlog, days):
    """A drive dated before the defect proves nothing of it; one without a date is told as such."""
    logs = (
        ("before.csv", HEALTHY_K, "verification"),
        ("hot.csv", DRAGGING_K, "normal"),
        ("after.csv", HEALTHY_K | {"1L": 104.0}, "verification"),
    )
    for (name, rises_k, drive), day in zip(logs, days, strict=True):
        text = log_text(rises_k, vehicle="B").replace("# drive: normal", f"# drive: {drive}")
        Path(name).write_text(("" if day is None else f"# date: {day}\n") + text, encoding="utf-8")
    thermlog("fleet", *(name for name, *_ in logs), "--filing", "filed.json")
    (one,) = json.loads(Path("filed.json").read_text(encoding="utf-8"))["filed"]
    told = [(proof["file"], proof["recorded"], proof["taken"]) for proof in one["verification"]]
    dated = [("after.csv", "run", "2026-03-20")]
    assert told == (dated if days[0] else [("after.csv", "run", None), ("before.csv", "run", None)])


def test_of_one_run_too_a_history_knows_which_drive_came_first(thermlog):
    for name, rises_k, day, drive in (
        ("before.csv", HEALTHY_K, "2026-03-01", "verification"),
        ("hot.csv", DRAGGING_K, "2026-03-06", "normal"),
        ("after.csv", HEALTHY_K | {"1L": 104.0}, "2026-03-20", "verification"),
    ):
        text = log_text(rises_k, vehicle="B").replace("# drive: normal", f"# date: {day}\n# drive: {drive}")
        Path(name).write_text(text, encoding="utf-8")
    files = ("before.csv", "hot.csv", "after.csv")
    thermlog("fleet", *files, "--filing", "filed.json", "--history", "depot.db")
    (one,) = json.loads(Path("filed.json").read_text(encoding="utf-8"))["filed"]
    (proof,) = one["verification"]
    assert (proof["file"], proof["recorded"], proof["taken"]) == ("after.csv", "run", "2026-03-20")


def test_jobs_are_linked_by_their_log_or_as_later_ones_of_the_vehicle(thermlog):
    stored(thermlog, "before.csv", HEALTHY_K, "2026-02-01", "normal")
    stored(thermlog, "hot.csv", DRAGGING_K, "2026-03-06", "normal")
    kept = History.open("depot.db")
    for number, (file, vehicle, opened) in enumerate(
        [
            ("hot.csv", None, "2026-03-01T08:00:00+00:00"),  # a clock put wrong, but its own log
            ("before.csv", "B", "2026-03-20T08:00:00+00:00"),  # of the vehicle, afterwards
            ("before.csv", "B", "2026-02-02T08:00:00+00:00"),  # of the vehicle, long before
            ("before.csv", "C", "2026-03-21T08:00:00+00:00"),  # of another one
        ]
    ):
        job = job_of_log(file, "no_fault", by=str(number))
        kept.add_job(replace(job, vehicle=vehicle, opened_at=opened))
    thermlog("check", "hot.csv", "--filing", "filed.json", "--history", "depot.db")
    (one,) = json.loads(Path("filed.json").read_text(encoding="utf-8"))["filed"]
    assert [job["by"] for job in one["jobs"]] == ["0", "1"]
    thermlog("check", "hot.csv", "--filing", "filed.csv", "--history", "depot.db")
    (row,) = csv.DictReader(io.StringIO(Path("filed.csv").read_text(encoding="utf-8")))
    assert (row["job_parts"], row["job_proof"]) == ("none; none", "none; none")


def test_nothing_is_linked_without_a_history_or_of_another_vehicle(thermlog):
    stored(thermlog, "hot.csv", DRAGGING_K, "2026-03-06", "normal")
    other = log_text(HEALTHY_K, vehicle="C").replace("# drive: normal", "# drive: verification")
    Path("other.csv").write_text(other, encoding="utf-8")
    thermlog("check", "other.csv", "--history", "depot.db")
    for number, more in enumerate(((), ("--history", "depot.db"))):
        thermlog("check", "hot.csv", "--filing", f"{number}.json", *more)
        (one,) = json.loads(Path(f"{number}.json").read_text(encoding="utf-8"))["filed"]
        assert (one["verification"], one["jobs"]) == ([], [])


def test_check_files_what_fleet_files(thermlog):
    yard()
    files = sorted(str(one) for one in Path("yard").iterdir())
    thermlog("fleet", *files, "--filing", "fleet.json", "--skins", "assumed")
    thermlog("check", *files, "--filing", "check.json")
    told = [
        json.loads(Path(f"{name}.json").read_text(encoding="utf-8"))["filed"] for name in ("fleet", "check")
    ]
    assert told[0] == told[1]
    assert len(told[0]) == 2


def test_columns_of_what_is_filed_are_those_of_the_page():
    page = (Path(__file__).parent.parent / "docs" / "fleet.md").read_text(encoding="utf-8")
    table = page.partition("## A record for filing")[2].partition("| column | what it holds |")[2]
    rows = table.partition("\n\n")[0].splitlines()[2:]
    named = re.findall(r"`([a-z_0-9]+)`", " ".join(line.split("|")[1] for line in rows if "|" in line))
    assert named == [column.name for column in FILED]
