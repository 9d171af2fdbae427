"""A repair explains only by a positive statement of work on a part that can be the cause.

A careful technician takes "new caliper RR" for the cause of smoke at that wheel, and the pads of its axle;
not a part that is ordered, wanted or declined, not a look that found nothing, not work at another wheel. What
stood out and is even the next day with nothing mended comes and goes. Texts are invented.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace
from proofcases import HEALTHY, HOT_REAR, compared, drive

from thermlog.reading.remarks.repairs import repair_explains
from thermlog.reports.proofwords import next_steps
from thermlog.reports.report_proof import proof_last_lines
from thermlog.words.bounds import LONGEST_REPAIR
from thermlog.words.findings import Urgent
from thermlog.words.tables import Taken

LOGS = Path(__file__).parent.parent / "sample_logs"
WHEELS = ("1L", "1R", "2L", "2R")
SMOKE = Urgent(code="smoke", corner="2R")

EXPLAINS = """RR caliper | new caliper RR | new caliper rear right | RR caliper replaced
RR caliper was replaced | rear pads renewed | new hose
slide pins cleaned and greased RR | new pads and discs rear
new pads rear left and right | RR: seized caliper, new one fitted, piston freed
Bremssattel hinten rechts erneuert | étrier arrière droit remplacé
new caliper RR, no smoke now | new caliper RR, nothing else found
new master cylinder | new caliper, RR | master cylinder replaced, new caliper FL
parking cable slackened | wheel bearing RR replaced | new caliper axle 2
new caliper and hose RR | new brake hose rear right, fluid changed
brakes overhauled | RR wheel nuts tightened"""
EXPLAINS_NOTHING = """not repaired yet, parts on order | only looked at RR
looked at RR, found nothing | waiting for caliper RR
caliper RR to be done tomorrow | RR caliper ordered | RR caliper not replaced
NFF | could not find anything | no fault found | washed | new wiper blades
declined by customer | no repair | cause not found | drove again, smoke gone
nichts gefunden | needs caliper RR | booked in | not needed
RR caliper stripped, cause not found | RR caliper cleaned, cause not found
replace RR caliper | will replace caliper RR | new caliper RR arrived
new caliper RR? | new caliper RR in stock | new caliper RR, but not fitted
RR caliper replaced last year | looked at new pads | brake light replaced
caliper RR seized | caliper RR ok | neuer Bremssattel bestellt
previous garage replaced caliper RR | new tyres rear | RR tyre replaced | new tyre RR | neue Reifen hinten
see invoice | yes | caliper RR worn | do caliper RR next week
new caliper for RR quoted"""
ELSEWHERE = """new caliper FL | new caliper rear left | new pads front | caliper replaced FL
FL, caliper replaced | checked RR caliper, new pads FL | new tyre FR
new caliper left | new caliper nearside rear"""

WHEELS_OF_TWO = ["1L", "1R", "2L", "2R"]


def texts(block: str) -> list[str]:
    return [text.strip() for line in block.splitlines() for text in line.split("|")]


@pytest.mark.parametrize("text", texts(EXPLAINS))
def test_work_on_a_part_at_the_wheel_its_axle_or_no_wheel_explains(text):
    assert repair_explains(text, "2R", WHEELS)


@pytest.mark.parametrize("text", [*texts(EXPLAINS_NOTHING), *texts(ELSEWHERE)])
def test_anything_less_or_elsewhere_does_not(text):
    assert not repair_explains(text, "2R", WHEELS)


@pytest.mark.parametrize(
    ("text", "year", "explains"),
    [
        ("RR caliper replaced in 2019", 2026, False), ("RR caliper replaced in 2026", 2026, True),
        ("RR caliper replaced 12.3.2025", 2026, False), ("RR caliper replaced in 2019", None, False),
        ("RR caliper replaced", None, True), ("RR caliper replaced in 2019", 2019, True),
    ],
)  # fmt: skip
def test_work_of_an_earlier_year_explains_nothing_today(text, year, explains):
    assert repair_explains(text, "2R", WHEELS, driven_year=year) is explains


@pytest.mark.parametrize(
    ("start", "open_or_flagged"), [("2019-05-04", False), ("2026-05-04", True), (None, True)]
)
def test_the_year_of_the_drive_is_that_of_its_log(start, open_or_flagged):
    taken = Taken(repair="new caliper RR 2019", start=start)
    found = compared(drive(HOT_REAR), replace(drive(HEALTHY), taken=taken))
    assert found.open_or_flagged is open_or_flagged


def test_where_nobody_said_at_which_wheel_any_work_may_be_it():
    assert all(repair_explains(text, None, WHEELS) for text in ("new caliper FL", "new hose"))
    assert not repair_explains("RR caliper ordered", None, WHEELS)


def test_a_text_that_may_have_been_cut_explains_nothing():
    long = "new caliper RR, " + "x" * LONGEST_REPAIR
    assert not repair_explains(long, "2R", WHEELS)


@pytest.mark.parametrize("text", ["RR caliper ordered", "new caliper FL"])
@pytest.mark.parametrize("before", [HEALTHY, HOT_REAR])
def test_smoke_stays_open_and_the_text_is_quoted(text, before):
    smoked = replace(drive(before), urgent=(SMOKE,))
    found = compared(smoked, replace(drive(HEALTHY), taken=Taken(repair=text, nothing_seen=True)))
    assert found.open_or_flagged
    assert found.next_check.id == "find_cause"
    lines = "\n".join(proof_last_lines(found))
    assert f'"{text}"' in lines
    assert "and its cause is found" not in lines


@pytest.mark.parametrize(
    ("taken", "open_or_flagged", "asks"),
    [
        (Taken(repair="new caliper RR"), False, False),
        (None, False, True),
        (Taken(unrepaired=True), True, False),
        (Taken(repair="looked at RR, found nothing"), True, False),
        (Taken(repair="new caliper FL"), True, False),
    ],
)
def test_a_brake_that_is_even_again_with_nothing_mended_may_come_and_go(taken, open_or_flagged, asks):
    found = compared(drive(HOT_REAR), replace(drive(HEALTHY), taken=taken))
    lines = "\n".join(proof_last_lines(found))
    assert found.open_or_flagged is open_or_flagged
    assert ("rear right even again without a repair that would explain it" in lines) is open_or_flagged
    assert (found.next_check.id == "prove_again") is open_or_flagged
    assert ("State in the log of this drive what was mended at rear right" in lines) is asks
    assert (found.next_check.id == "state_repair") is asks  # before any record is kept
    assert len(next_steps(found, "C")) == 1


@pytest.mark.parametrize(
    ("before", "places"),
    [
        ({"2R": 95.0}, "rear right"),
        ({"1L": 141.0}, "front left"),
        ({"2L": 150.0, "2R": 150.0}, "rear left and rear right"),
    ],
)
@pytest.mark.parametrize("taken", [None, Taken(repair="brakes overhauled")])
def test_what_was_only_watched_and_is_even_again_asks_what_was_done_too(before, places, taken):
    first = drive(HEALTHY | before)
    assert first.answers.drag.answer == "watch"
    found = compared(first, replace(drive(HEALTHY), taken=taken))
    assert "repaired" in {one.outcome for one in found.axles}
    assert not found.open_or_flagged
    (step,) = next_steps(found, "C")
    assert (f"what was mended at {places}, and which part" in step) is (taken is None)


def test_what_stood_above_both_drives_mended_nothing_between_them():
    both = Taken(repair="looked at RR, found nothing")
    found = compared(replace(drive(HOT_REAR), taken=both), replace(drive(HEALTHY), taken=both))
    assert not found.open_or_flagged


@pytest.mark.parametrize(
    ("text", "left", "right"),
    [
        ("new caliper near side rear", ["2L"], ["2R"]), ("off side rear pads renewed", ["2R"], ["2L"]),
        ("nearside front: new caliper", ["1L"], ["1R"]), ("new caliper o/s rear", ["2R"], ["2L"]),
        ("caliper replaced on the near side", [], []),  # a side alone is no wheel
        ("new pads, driver's side rear", [], []),
        ("new pads near side and off side", list(WHEELS), list(WHEELS)),
    ],
)  # fmt: skip
def test_near_and_off_side_are_wheels_where_the_side_of_the_traffic_is_known(text, left, right):
    def explained(traffic_side):
        return [one for one in WHEELS if repair_explains(text, one, WHEELS, traffic_side=traffic_side)]

    assert explained("left") == left
    assert explained("right") == right
    assert explained(None) == (left if left == right else [])


@pytest.mark.parametrize(("country", "code"), [("GB", 0), ("DE", 1), (None, 1)])
def test_the_country_of_a_log_places_its_repair(thermlog, country, code):
    lorry = (LOGS / "van_before_repair.csv").read_text(encoding="utf-8")
    after = (LOGS / "van_after_repair.csv").read_text(encoding="utf-8")
    Path("before.csv").write_text(f"{lorry}# seen: smoke at RF\n", encoding="utf-8")
    stated = f"# country: {country}\n" if country else ""
    mended = "# repair: new caliper off side front\n# seen: nothing\n"
    Path("after.csv").write_text(f"{after}{stated}{mended}", encoding="utf-8")
    assert thermlog("compare", "before.csv", "after.csv").code == code


@pytest.mark.parametrize(
    "said",
    [
        "wheel cylinder LR", "LR caliper", "hose LR", "LR shoes", "adjusted LR", "brake overhaul rear",
        "both rear calipers", "Bremszylinder HL neu",
    ],
)  # fmt: skip
def test_under_the_key_of_a_repair_a_part_and_its_wheel_are_enough(said):
    assert repair_explains(said, "2L", WHEELS_OF_TWO)
    assert not repair_explains(said, "1R", WHEELS_OF_TWO)


@pytest.mark.parametrize(
    "said",
    ["LR caliper hot", "caliper", "LR", "LR mirror adjusted", "no caliper LR", "LR caliper?", "LR tyre"],
)
def test_a_finding_or_less_is_no_repair(said):
    assert not repair_explains(said, "2L", WHEELS_OF_TWO)
