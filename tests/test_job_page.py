"""The record of a job and its page: which suspect it is about, other jobs, what an answer forbids."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from msgspec.structs import replace

from thermlog.cli import run
from thermlog.followup.jobrecord import known_job
from thermlog.pages.job import job_page, job_view

# One dead brake in front, one that drags behind: two jobs of one vehicle.
WALK = [
    (30, "1L", 25.6), (47, "2L", 71.3), (64, "2R", 132.7), (78, "1R", 112.7), (271, "1R", 102.0),
    (284, "2R", 117.1), (298, "2L", 61.8), (311, "1L", 23.7), (505, "1L", 23.0), (522, "2L", 58.1),
    (537, "2R", 105.0), (551, "1R", 88.2),
]  # fmt: skip
HEAD = "# vehicle: shop car 4\n# weight: light\n# axles: steer axle\n# brakes: disc drum\n# ambient: 18 C\n"


@pytest.fixture
def log() -> str:
    rows = "".join(f"{at},{wheel},{degc}\n" for at, wheel, degc in WALK)
    Path("two.csv").write_text(f"{HEAD}# drive: normal\nsince_parked_s,position,temp_c\n{rows}")
    return "two.csv"


def kept(log: str, at: str, *found: str):
    pairs = [part for one in found for part in ("--found", one)]
    assert (
        run(
            [
                "narrow",
                log,
                "--at",
                at,
                "--job",
                f"{at}.json",
                *pairs,
                "--exit-zero",
                "-o",
                "x.txt",
                "--force",
            ]
        )
        == 0
    )
    record = known_job(f"{at}.json")
    assert record is not None
    return record


def test_two_jobs_of_one_vehicle_say_which_is_which(log):
    first, second = kept(log, "1L"), kept(log, "2R")
    assert (first.about, first.other_jobs) == ("front left does not work", ("rear right drags",))
    assert (second.about, second.other_jobs) == ("rear right drags", ("front left does not work",))
    page = job_page(first)
    assert "This job" in page
    assert "Front left does not work. Another job, with a record of its own: rear right drags." in page
    assert run(["narrow", log, "--at", "2R", "--job", "1L.json"]) == 3


def test_one_suspect_needs_no_name(log):
    told = kept(log, "2R")
    raw = json.loads(Path("2R.json").read_text(encoding="utf-8"))
    del raw["about"], raw["other_jobs"], raw["cautions"]  # as a record of before has it
    Path("2R.json").write_text(json.dumps(raw), encoding="utf-8")
    before = known_job("2R.json")
    assert (before.about, before.other_jobs, before.cautions) == (None, (), ())
    assert "This job" not in job_page(before)
    assert told.answers == before.answers


def test_the_record_holds_the_corners_of_a_cause_and_the_page_their_words(log):
    """Where the place is more than corners, such as a circuit, the page has it as the record does."""
    record = kept(log, "2R")
    at_corner = [one for one in record.causes if one.place == "2R"]
    assert at_corner
    assert all(one.corners == ("2R",) for one in at_corner)
    assert {one.corners for one in record.causes if one.place != "2R"} <= {()}
    rows = job_view(record).causes
    assert [row.place for row, one in zip(rows, record.causes, strict=True) if one in at_corner] == [
        "rear right"
    ] * len(at_corner)
    assert job_view(replace(record, causes=(replace(at_corner[0], corners=(), place="circuit of 1L"),)))\
        .causes[0].place == "circuit of 1L"  # fmt: skip


def test_a_bearing_that_was_felt_bad_stands_on_the_page_first(log):
    """Whatever cause is the likeliest: the page is what the next one reads."""
    record = kept(log, "2R", "on_stands=yes", "bearing_spin=rough")
    (caution,) = record.cautions
    assert caution.startswith("The bearing of rear right was found bad")
    assert job_view(record).cautions == record.cautions
    page = job_page(record)
    assert page.index('aria-label="Not driven"') < page.index("<h2>Complaint</h2>")
    assert caution in page
    assert "on_stands" not in page
    assert "raised, on rated stands, the others chocked" in page
    smooth = kept(log, "1L")
    assert smooth.cautions == ()
    assert 'aria-label="Not driven"' not in job_page(smooth)
