"""What is entered in the record of a job: shown, counted as the repair, and lost to no other command."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from msgspec.structs import replace
from terminals import on_terminal
from test_pages_stop import words

from thermlog.pages.job import job_page
from thermlog.reports.jobwork import JobFile
from thermlog.words.errors import JobRefusedError

LOGS = Path(__file__).parent.parent / "sample_logs"
BEFORE = (LOGS / "van_before_repair.csv").read_text(encoding="utf-8")
AFTER = (LOGS / "van_after_repair.csv").read_text(encoding="utf-8")
HEALTHY = (LOGS / "saloon_healthy.csv").read_text(encoding="utf-8")
SMOKED = "# seen: smoke at RF\n"
LOOKED = "# seen: nothing\n"


def begun(thermlog, log: str, *entered: str) -> None:
    """A job in card.json, begun with this log."""
    Path("first.csv").write_text(log, encoding="utf-8")
    Path("card.json").unlink(missing_ok=True)
    ran = thermlog("narrow", "first.csv", "--job", "card.json", "-q", "--exit-zero", *entered)
    assert ran.code == 0, ran.err


def compared(thermlog, log: str, *more: str):
    """The drive after the repair beside the one of the job."""
    Path("after.csv").write_text(log, encoding="utf-8")
    return thermlog("compare", "after.csv", "--job", "card.json", "-q", *more)


@pytest.mark.parametrize(
    ("entered", "asks"),
    [
        (("--cause", "piston_stuck_on"), False),
        (("--part", "caliper RF"), False),
        (("--complaint", "smell", "--by", "AB"), True),
        (("--measured", "runout 0.02 mm"), True),
    ],
)
def test_whoever_enters_the_repair_is_asked_for_no_further_check(thermlog, entered, asks):
    """At a terminal: the entry is made, and the command ends by itself."""
    begun(thermlog, BEFORE)
    shown = on_terminal("q", "narrow", "first.csv", "--job", "card.json", *entered)
    assert ("stop here" in shown) is asks
    assert "FINDING" in shown
    assert entered[1].replace("piston_stuck_on", "Caliper piston stuck out") in shown


def test_what_is_entered_is_shown_as_text_and_as_json(thermlog):
    entered = ("--cause", "piston_stuck_on", "--part", "caliper RF", "--by", "second bench",
               "--complaint", "smell", "--measured", "pads 4 mm")  # fmt: skip
    begun(thermlog, BEFORE, *entered)
    compared(thermlog, AFTER)
    asked = ("narrow", "first.csv", "--job", "card.json", "--exit-zero")
    shown = thermlog(*asked).out
    told = json.loads(thermlog(*asked, "--format", "json").out)["job"]
    assert told["cause"] == "piston_stuck_on"
    for said in ("caliper RF", "second bench", "smell", "pads 4 mm", told["verification"]["outcome"]):
        assert f"{said}" in "\n".join(line for line in shown.splitlines() if line.startswith("RECORD"))
        assert said in json.dumps(told, ensure_ascii=False)
    assert "RECORD    found: Caliper piston stuck out" in shown
    without = json.loads(thermlog("narrow", "first.csv", "--format", "json", "--exit-zero").out)
    assert without["job"] is None


def test_no_fault_that_was_found_is_shown_in_words(thermlog):
    begun(thermlog, BEFORE, "--cause", "no_fault")
    assert "RECORD    found: no fault" in thermlog("narrow", "first.csv", "--job", "card.json").out


@pytest.mark.parametrize("log", [BEFORE + SMOKED, HEALTHY + SMOKED, HEALTHY + "# seen: soft pedal\n"])
def test_a_record_and_its_page_hold_what_stopped_the_vehicle(thermlog, log):
    begun(thermlog, log)
    record = JobFile("card.json").known()
    assert any("STOP DRIVING" in one for one in record.findings)
    assert "STOP DRIVING" in words(job_page(record))


@pytest.mark.parametrize(
    ("part", "explains"),
    [
        ("caliper, front right", True),
        ("new pads", True),  # both of an axle, no wheel is named
        ("caliper, front left", False),
        ("caliper on order", False),
        ("number plate", False),
    ],
)
def test_a_part_of_the_record_counts_as_the_repair(thermlog, part, explains):
    begun(thermlog, HEALTHY + SMOKED, "--part", part)
    ran = compared(thermlog, HEALTHY.replace("normal", "verification") + LOOKED)
    assert ("and its cause is found" in ran.out) is explains
    assert ran.code == (0 if explains else 1)
    assert part in ran.err  # where it is taken from is said


def test_what_the_record_says_of_the_repair_is_not_asked_for(thermlog):
    begun(thermlog, BEFORE, "--part", "caliper RF")
    assert "what was mended" not in compared(thermlog, AFTER).out
    begun(thermlog, BEFORE)
    assert "State in the log of this drive what was mended" in compared(thermlog, AFTER).out


def test_a_cause_without_a_part_mends_nothing(thermlog):
    begun(thermlog, HEALTHY + SMOKED, "--cause", "piston_stuck_on")
    assert compared(thermlog, HEALTHY + LOOKED).code == 1


def test_a_log_that_says_that_nothing_was_mended_stands_against_a_part(thermlog):
    begun(thermlog, BEFORE, "--part", "caliper RF")
    ran = compared(thermlog, AFTER + "# repair: none\n")
    assert ran.code == 1


def test_what_another_command_wrote_meanwhile_is_not_lost(thermlog):
    begun(thermlog, BEFORE)
    mine = JobFile("card.json")
    thermlog("narrow", "first.csv", "--job", "card.json", "--found", "lamp=dark", "--by", "other")
    theirs = Path("card.json").read_bytes()
    with pytest.raises(JobRefusedError, match="another command has written it meanwhile"):
        mine.write(replace(mine.known(), by="me"))
    assert Path("card.json").read_bytes() == theirs
    again = JobFile("card.json")
    again.write(replace(again.known(), by="me"))
    again.write(replace(again.known(), complaint="smell"))  # its own writing is no other's
    assert JobFile("card.json").known().by == "me"


def test_what_could_not_be_entered_is_named_with_the_command_that_enters_it(thermlog):
    begun(thermlog, BEFORE)
    mine = JobFile("card.json")
    thermlog("narrow", "first.csv", "--job", "card.json", "--found", "lamp=dark")
    answered = JobFile("card.json").known()
    JobFile("card.json").write(replace(mine.known(), by="other"))  # and took its answer back
    with pytest.raises(JobRefusedError, match="--found lamp=dark"):
        mine.write(answered)


def test_a_record_made_by_nobody_is_not_written_over_one_that_was_begun_meanwhile(thermlog):
    Path("card.json").unlink(missing_ok=True)
    mine = JobFile("card.json")
    begun(thermlog, BEFORE)
    record = JobFile("card.json").known()
    with pytest.raises(JobRefusedError, match="another command"):
        mine.write(record)


def test_a_log_that_has_changed_is_told_from_another_one(thermlog):
    begun(thermlog, BEFORE)
    Path("first.csv").write_text(BEFORE + "# note: x\n", encoding="utf-8")
    ran = thermlog("narrow", "first.csv", "--job", "card.json")
    assert ran.code == 3
    assert "has changed since" in ran.err
    assert "go on with that log as it was" in ran.err


@pytest.mark.parametrize("where", ["log", "by"])
def test_a_record_is_refused_what_is_no_text(thermlog, where):
    odd = os.fsdecode(b"van\xff")
    log = f"{odd}.csv" if where == "log" else "van.csv"
    Path(log).write_text(BEFORE, encoding="utf-8")
    ran = thermlog("narrow", log, "--job", "card.json", *(("--by", odd) if where == "by" else ()))
    assert ran.code == 3
    assert "is not" in ran.err
    assert not Path("card.json").exists()


def test_a_depot_keeps_logs_whose_names_are_no_text(thermlog):
    Path("depot").mkdir()
    odd = Path("depot") / os.fsdecode(b"van\xff.csv")
    odd.write_text(BEFORE, encoding="utf-8")
    Path("depot/other.csv").write_text(HEALTHY, encoding="utf-8")
    for stored in ("2 checks stored", "0 checks stored, 2 stood there before"):
        ran = thermlog("fleet", "depot", "--history", "depot.db", "-q")
        assert ran.code == 1, ran.err
        assert stored in ran.err
    Path("depot/other.csv").write_text(HEALTHY.replace("# vehicle: saloon\n", ""), encoding="utf-8")
    named = ("--vehicle-name", os.fsdecode(b"q\xff"))
    assert thermlog("check", "depot/other.csv", "--history", "depot.db", *named).code == 0
    assert "q?" in thermlog("history", "--history", "depot.db").out
    ran = thermlog("check", str(odd), "--history", os.fsdecode(b"p\xff.db"))
    assert ran.code == 3
    assert "no text" in ran.err


def test_the_line_that_asks_for_the_repair_stands_in_text_json_and_page(thermlog):
    Path("before.csv").write_text(BEFORE, encoding="utf-8")
    Path("after.csv").write_text(AFTER, encoding="utf-8")
    both = ("compare", "before.csv", "after.csv")
    text = thermlog(*both, "-q", "--report", "page.html").out
    told = json.loads(thermlog(*both, "--format", "json").out)["to_state"]
    page = words(Path("page.html").read_text(encoding="utf-8"))
    assert (told["code"], told["corners"]) == ("repair_unsaid", ["1R"])
    assert "does not say what was mended at 1R" in told["text"]
    for shown in (text, page):
        assert "State in the log of this drive what was mended at front right" in shown
    assert "does a brake drag? no" in page
    Path("after.csv").write_text(AFTER + "# repair: new caliper RF\n", encoding="utf-8")
    assert json.loads(thermlog(*both, "--format", "json").out)["to_state"] is None


def test_what_a_page_sends_to_is_what_the_text_sends_to_for_several_vehicles(thermlog):
    Path("before.csv").write_text(BEFORE, encoding="utf-8")
    Path("other.csv").write_text(
        (LOGS / "van_front_left_hot.csv").read_text(encoding="utf-8"), encoding="utf-8"
    )
    text = thermlog("compare", "before.csv", "other.csv", "-q", "--report", "page.html").out
    page = words(Path("page.html").read_text(encoding="utf-8"))
    steps = [line.removeprefix("DO NEXT   ") for line in text.splitlines() if line.startswith("DO NEXT")]
    assert len(steps) == 2
    for step in steps:
        assert " ".join(step.split())[:60] in page


def test_a_settings_folder_that_is_closed_is_named_and_is_no_full_disk(thermlog, monkeypatch):
    Path("log.csv").write_text(HEALTHY, encoding="utf-8")

    def closed(_: Path) -> bool:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "is_file", closed)
    ran = thermlog("check", "log.csv")
    monkeypatch.undo()
    assert ran.code == 3
    assert "thermlog.toml: cannot be looked for (Permission denied); mend the rights" in ran.err
    assert "standard output" not in ran.err


def test_what_takes_the_place_of_an_entry_is_said(thermlog):
    begun(thermlog, BEFORE, "--cause", "no_fault", "--by", "first bench", "--complaint", "smell")
    again = ("narrow", "first.csv", "--job", "card.json", "-q")
    ran = thermlog(*again, "--cause", "piston_stuck_on", "--by", "first bench", "--complaint", "pulls")
    assert '--cause "piston_stuck_on" takes the place of "no_fault" of the record' in ran.err
    assert '--complaint "pulls" takes the place of "smell" of the record' in ran.err
    assert "--by" not in ran.err
    assert "takes the place" not in thermlog(*again, "--part", "caliper RF").err
