"""The record of a job keeps every drive after the repair, oldest first, and opens the earlier form."""

from __future__ import annotations

import json
from pathlib import Path

import msgspec
import pytest
from terminals import on_terminal
from test_pages_stop import words

from thermlog.followup.jobproof import JobVerification, with_drive
from thermlog.followup.jobrecord import job_in
from thermlog.history.jobs import job_row
from thermlog.pages.job import job_page
from thermlog.reports.jobwork import JobFile

LOGS = Path(__file__).parent.parent / "sample_logs"
BEFORE = (LOGS / "van_before_repair.csv").read_text(encoding="utf-8")
AFTER = (LOGS / "van_after_repair.csv").read_text(encoding="utf-8")


def begun(thermlog) -> None:
    """A job in card.json, begun with the van before its repair."""
    Path("first.csv").write_text(BEFORE, encoding="utf-8")
    thermlog("narrow", "first.csv", "--job", "card.json", "-q")


def entered(thermlog, name: str, log: str):
    """One more drive after the repair."""
    Path(name).write_text(log, encoding="utf-8")
    return thermlog("compare", name, "--job", "card.json", "-q")


def in_file() -> list[dict]:
    return json.loads(Path("card.json").read_text(encoding="utf-8"))["verifications"]


def still(text: str = BEFORE) -> str:
    """The van with the same brake hot on a later drive."""
    return text + "# by: another bench\n"


def test_every_drive_after_the_repair_is_kept_and_shown(thermlog):
    """The first drive still shows the fault, the second does not: text, JSON and page tell of both."""
    begun(thermlog)
    first = entered(thermlog, "still.csv", still())
    second = entered(thermlog, "after.csv", AFTER)
    assert "still.csv is entered as the drive after the repair" in first.err
    assert "after.csv is entered as drive 2 of 2 after the repair" in second.err
    assert [(one["file"], one["even_again"]) for one in in_file()] == [
        ("still.csv", False),
        ("after.csv", True),
    ]
    asked = ("narrow", "first.csv", "--job", "card.json", "--exit-zero")
    shown = [line for line in thermlog(*asked).out.splitlines() if line.startswith("RECORD    drive")]
    told = json.loads(thermlog(*asked, "--format", "json").out)["job"]
    assert [line.partition(":")[0] for line in shown] == [
        "RECORD    drive 1 of 2 after the repair",
        "RECORD    drive 2 of 2 after the repair",
    ]
    assert told["verifications"] == in_file()
    assert told["verification"] == in_file()[-1]
    page = words(job_page(JobFile("card.json").known()))
    places = [
        page.index(word) for word in ("not shown to be even", "still.csv", "Front even again", "after.csv")
    ]
    assert places == sorted(places)
    assert "the last one counts" in page


def test_what_counts_is_the_last_drive_and_not_one_that_was_even(thermlog):
    """Even once and hot again afterwards proves no repair."""
    begun(thermlog)
    entered(thermlog, "after.csv", AFTER)
    assert job_row(JobFile("card.json").known())["verified"] == 1
    entered(thermlog, "still.csv", still())
    assert job_row(JobFile("card.json").known())["verified"] == 0


def test_a_drive_that_is_entered_late_stands_where_it_was_driven(thermlog):
    begun(thermlog)
    entered(thermlog, "still.csv", still("# date: 2026-05-09\n" + BEFORE))
    ran = entered(thermlog, "after.csv", "# date: 2026-05-02\n" + AFTER)
    assert [one["file"] for one in in_file()] == ["after.csv", "still.csv"]
    assert "as drive 1 of 2 after the repair; the last, still.csv, counts" in ran.err
    assert job_row(JobFile("card.json").known())["verified"] == 0


def test_a_log_that_is_compared_again_is_one_drive_still(thermlog):
    begun(thermlog)
    for name, log in (("after.csv", AFTER), ("still.csv", still()), ("after.csv", AFTER)):
        ran = entered(thermlog, name, log)
    assert [one["file"] for one in in_file()] == ["after.csv", "still.csv"]
    assert "the last, still.csv, counts" in ran.err


def drive(name: str, taken_at: str | None) -> JobVerification:
    return JobVerification(file=name, sha256=name, at="", outcome="", even_again=True, taken_at=taken_at)


@pytest.mark.parametrize(
    ("dates", "order"),
    [
        ((None, None, None), "abc"),
        (("2026-01-03", "2026-01-01", "2026-01-02"), "bca"),
        (("2026-01-03", None, "2026-01-02"), "abc"),  # the one without a date may have been driven between
        (("2026-01-03", "2026-01-03T10:00:00", "2026-01-04"), "abc"),  # not surely earlier
    ],
)
def test_drives_stand_by_their_dates_as_far_as_these_tell(dates, order):
    kept: tuple[JobVerification, ...] = ()
    for name, date in zip("abc", dates, strict=True):
        kept = with_drive(kept, drive(name, date))
    assert "".join(one.file for one in kept) == order


def of_first_form(verification: dict | None) -> bytes:
    """A record as thermlog-job-1 wrote it."""
    fields = json.loads(Path("card.json").read_text(encoding="utf-8"))
    del fields["verifications"]
    return json.dumps(fields | {"schema": "thermlog-job-1", "verification": verification}).encode()


def test_a_record_of_the_first_form_opens_and_goes_on(thermlog):
    begun(thermlog)
    proof = {
        "file": "old.csv",
        "sha256": "0" * 64,
        "at": "2026-01-02",
        "outcome": "open",
        "even_again": False,
    }
    Path("card.json").write_bytes(of_first_form(proof))
    entered(thermlog, "after.csv", AFTER)
    assert [one["file"] for one in in_file()] == ["old.csv", "after.csv"]
    assert json.loads(Path("card.json").read_bytes())["schema"] == "thermlog-job-2"


@pytest.mark.parametrize("verification", [None, {"file": "old.csv"}])
def test_a_record_of_the_first_form_without_a_drive_or_with_half_of_one(thermlog, verification):
    begun(thermlog)
    Path("card.json").write_bytes(of_first_form(verification))
    ran = thermlog("narrow", "first.csv", "--job", "card.json", "--exit-zero")
    assert ran.code == (0 if verification is None else 3)
    assert "after the repair" not in ran.out


def test_a_history_gives_back_records_of_the_first_form(thermlog):
    """As a history holds them that was written before the form changed."""
    from thermlog.history.store import History

    begun(thermlog)
    entered(thermlog, "after.csv", AFTER)
    (proof,) = in_file()
    thermlog("check", "first.csv", "--history", "depot.db")
    thermlog("history", "--history", "depot.db", "--job", "card.json")
    old = job_in(of_first_form(proof), "card.json")
    assert msgspec.structs.asdict(old) == msgspec.structs.asdict(JobFile("card.json").known())
    import sqlite3

    with sqlite3.connect("depot.db") as store:
        store.execute("UPDATE jobs SET record_json = ?", (of_first_form(proof).decode(),))
    store.close()
    assert History.open("depot.db")
    ran = thermlog("check", "first.csv", "--filing", "filed.json", "--history", "depot.db")
    assert ran.code == 1, ran.err
    (job,) = json.loads(Path("filed.json").read_text(encoding="utf-8"))["filed"][0]["jobs"]
    assert [one["file"] for one in job["proofs"]] == ["after.csv"]
    assert job["proof"] == job["proofs"][-1]


def test_a_part_that_is_entered_after_the_drive_is_proven_by_none_before(thermlog):
    begun(thermlog)
    asked = ("narrow", "first.csv", "--job", "card.json", "--exit-zero")
    thermlog(*asked, "--part", "caliper RF")
    entered(thermlog, "after.csv", AFTER)
    before = thermlog(*asked)
    assert job_row(JobFile("card.json").known())["verified"] == 1
    thermlog(*asked, "--part", "hose RF")
    record, shown = JobFile("card.json").known(), thermlog(*asked)
    assert job_row(record)["verified"] == 0
    assert "entered since" not in before.out
    assert "RECORD    parts entered since that drive: hose RF; enter the drive made with them" in shown.out
    assert "Parts entered since that drive: hose RF" in words(job_page(record))
    assert json.loads(thermlog(*asked, "--format", "json").out)["job"]["parts_since"] == ["hose RF"]
    entered(thermlog, "again.csv", AFTER + "# by: another bench\n")
    assert "entered since" not in thermlog(*asked).out
    assert job_row(JobFile("card.json").known())["verified"] == 1


def test_where_the_job_stands_is_told_once_a_repair_is_entered(thermlog):
    """Search, the drive that proves it, nothing; a drive that was not even opens the search again."""
    begun(thermlog)
    asked = ("narrow", "first.csv", "--job", "card.json", "--exit-zero")

    def stands() -> tuple[str, bool, bool]:
        told, text = json.loads(thermlog(*asked, "--format", "json").out), thermlog(*asked).out
        assert (told["next_check"] is not None) == ("NEXT" in text)
        assert (told["ending"] in {"repair_entered", "proven"}) == ("RESULT" in text)
        return told["job"]["stage"], "NEXT" in text, "DO   " in text

    assert stands() == ("search", True, False)
    thermlog(*asked, "--cause", "slide_pin_seized", "--part", "slide pins RF")
    assert stands() == ("drive", False, False)
    assert "only this proves it" in thermlog(*asked).out
    assert "NEXT" in thermlog(*asked, "--found", "pins_slide=stiff").out  # who answers goes on searching
    entered(thermlog, "still.csv", still())
    assert stands() == ("search", True, False)
    entered(thermlog, "after.csv", AFTER)
    assert stands() == ("proven", False, False)
    assert "no check is left in this job" in thermlog(*asked).out
    thermlog(*asked, "--part", "hose RF")
    assert stands() == ("drive", False, False)


def test_a_job_that_is_proven_asks_nothing_at_a_terminal(thermlog):
    begun(thermlog)
    thermlog("narrow", "first.csv", "--job", "card.json", "--part", "slide pins RF")
    entered(thermlog, "after.csv", AFTER)
    shown = on_terminal("", "narrow", "first.csv", "--job", "card.json")
    assert "no check is left in this job" in shown
    assert "stop here" not in shown
