"""Owner, order and text tell one thing of driving and of certainty, for every kind of fault and every answer.

Accepted by a careful technician: whoever owns the vehicle is told of driving what the order says, in the line
that they keep to and in the line that they sign; nothing that is large, called, or between whole axles is
told as small or harmless; two sides of one question are both named; a part is called what the log calls it.
"""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path

import pytest
from judgecases import COMBINATION_K, EXACT, HEAVY, LIGHT, VAN_K, told, walked
from msgspec.structs import replace

from thermlog.advice.driving import moving
from thermlog.pages.customer import customer_view
from thermlog.reports.report_text import last_lines
from thermlog.reports.summary import either_way
from thermlog.words.findings import Diagnosis, Urgent
from thermlog.words.kinds import FAULT_KINDS
from thermlog.words.vehicle import Axle, default_vehicle

WALK = replace(EXACT, rounds=4, description=replace(default_vehicle(2), stated=True))
TRAIN = replace(EXACT, rounds=6, description=replace(default_vehicle(5), stated=True), vehicle="road train")
ROLES = tuple(Axle(role=role) for role in ("steer", "drive", "trailer", "trailer", "trailer"))
DESCRIBED = replace(TRAIN, description=replace(default_vehicle(5), axles=ROLES, stated=True))
COLD_TRAILER = COMBINATION_K | {f"{axle}{side}": 4.0 for axle in (3, 4, 5) for side in "LR"}
ROLLED = dict.fromkeys(VAN_K, 9.0)


def scaled(share: float, *corners: str, of: dict[str, float] = VAN_K) -> dict[str, float]:
    """The healthy van with some brakes at a share of their rise."""
    return of | {corner: of[corner] * share for corner in corners}


VANS: dict[str, dict[str, float]] = {
    "healthy": VAN_K,
    "one hot": scaled(2.0, "2R"),
    "one very hot": scaled(2.2, "1L"),
    "one warm": scaled(1.45, "2R"),
    "one cold": scaled(0.05, "1L"),
    "one half cold": scaled(0.45, "1L"),
    "fronts hot": scaled(1.9, "1L", "1R"),
    "rears hot": scaled(2.6, "2L", "2R"),
    "fronts cold": scaled(0.05, "1L", "1R"),
    "rears cold": scaled(0.04, "2L", "2R"),
    "diagonal hot": scaled(2.0, "1L", "2R"),
    "diagonal cold": scaled(0.05, "1L", "2R"),
    "all hot": dict.fromkeys(VAN_K, 195.0),
    "all too hot": dict.fromkeys(VAN_K, 215.0),
    "all warm": scaled(1.5, *VAN_K),
    "hot and cold": scaled(2.0, "1L") | {"2R": 3.0},
    "one front alone works": scaled(0.04, "1R", "2L", "2R"),
    "one wheel not read": {corner: rise for corner, rise in VAN_K.items() if corner != "1R"},
    "hub above its mate": VAN_K | {"1L hub": 80.0, "1R hub": 20.0},
    "tyre watched": VAN_K | {"1L tyre_outer": 65.0, "1R tyre_outer": 20.0},
    "rim watched": VAN_K | {"2L rim": 95.0, "2R rim": 25.0},
    "caliper watched": VAN_K | {"1L caliper": 115.0, "1R caliper": 45.0},
    "hub watched": VAN_K | {"1L hub": 44.0, "1R hub": 21.0},
    "hot and tyre": scaled(2.0, "2R") | {"1L tyre_outer": 65.0, "1R tyre_outer": 20.0},
    "one warm and a tyre": scaled(1.45, "2R") | {"1L tyre_outer": 65.0, "1R tyre_outer": 20.0},
    "twin tyres": VAN_K
    | {"2L tyre_outer": 65.0, "2R tyre_outer": 20.0, "2L tyre_inner": 20.0, "2R tyre_inner": 20.0},
}
OTHERS = {
    "road train": (COMBINATION_K, TRAIN),
    "dead trailer": (COLD_TRAILER, TRAIN),
    "dead trailer, described": (COLD_TRAILER, DESCRIBED),
    "trailer hot": (scaled(2.2, "3L", "3R", "4L", "4R", "5L", "5R", of=COMBINATION_K), TRAIN),
    "trailer hot, described": (scaled(2.4, "3L", "3R", "4L", "4R", "5L", "5R", of=COMBINATION_K), DESCRIBED),
    "one of ten": (scaled(2.0, "4L", of=COMBINATION_K), TRAIN),
    "two axles of ten": (scaled(0.05, "4L", "4R", of=COMBINATION_K), TRAIN),
    "one axle, both hot": ({"1L": 190.0, "1R": 190.0}, replace(EXACT, rounds=4)),
    "one axle, one cold": ({"1L": 63.0, "1R": 6.6}, replace(EXACT, rounds=4)),
    "rolled": (ROLLED, replace(WALK, drive="coast")),
    "rolled, one hot": (ROLLED | {"2L": 90.0}, replace(WALK, drive="coast")),
    "rolled, one warm": (ROLLED | {"2L": 30.0}, replace(WALK, drive="coast")),
    "once": (scaled(1.6, "1L"), replace(WALK, rounds=1)),
    "no air": (scaled(1.6, "1L"), replace(WALK, ambient_stated=False)),
    "hardly braked": (scaled(0.12, *VAN_K), WALK),
}
SEEN = {
    "smoke": Urgent(code="smoke"),
    "smoke at a wheel": Urgent(code="smoke", corner="1R"),
    "hub": Urgent(code="hub_over_mate", corner="2L", spot="hub", value_degc=89.0),
    "brake": Urgent(code="brake_hot", corner="2L", spot="brake", value_degc=330.0),
}
ALL = (*VANS, *OTHERS, *SEEN)


@cache
def found(name: str) -> Diagnosis:
    if name in SEEN:
        return replace(found("healthy"), urgent=(SEEN[name],))
    rises, walk = OTHERS[name] if name in OTHERS else (VANS[name], WALK)
    return told(walked(rises, walk), HEAVY if walk in (TRAIN, DESCRIBED) else LIGHT)


def order(one: Diagnosis) -> str:
    """What the technician reads: the last lines of the text."""
    return "\n".join(last_lines(one))


def sheet(one: Diagnosis) -> str:
    view = customer_view(one)
    lines = (*(str(each.c) for each in (*view.found, *view.facts)), *view.means, *view.sure, *view.until)
    return " ".join((*lines, *view.steps, view.refusal))


def test_the_walk_meets_every_way_of_driving_and_most_kinds_and_answers():
    ones = [found(name) for name in ALL if name not in SEEN]
    assert {moving(found(name)) for name in ALL} == {"stopped", "stands", "off_road", "free"}
    kinds = {one.pattern.kind for one in ones}
    assert {kind.name for kind in FAULT_KINDS} - kinds <= {"several", "circuit_hot", "diagonal_hot"}
    for place in (0, 1):
        assert {one.answers.each[place].answer for one in ones} == {"no", "watch", "yes", "cannot_tell"}
    assert any(either_way(one) for one in ones)


@pytest.mark.parametrize("name", [name for name in ALL if name not in SEEN])
def test_what_cannot_be_told_is_not_passed_over_in_silence(name):
    """Beside what was found, too: a brake of which nobody can say that it works is no brake that does."""
    one = found(name)
    drag, idle, _ = (each.answer for each in one.answers.each)
    said = sheet(one)
    if "cannot_tell" in (drag, idle) and not one.urgent:
        assert "could not tell" in said
    if drag in ("yes", "watch") and not one.urgent:
        assert ("does its part we could not tell" in said) is (idle == "cannot_tell")


def banned(text: str) -> str:
    """What a technician's lines forbid, the strictest first."""
    for ban, words in (
        ("stopped", r"STOP DRIVING|Stop driving"),
        (
            "stands",
            r"Do not drive it(?! on the road)|it is not driven before|Do not keep driving|Not driven befo",
        ),
        ("off_road", r"Do not drive it on the road|(?i:not driven|no driving) on the road"),
    ):
        if re.search(words, text):
            return ban
    return "free"


@pytest.mark.parametrize("name", ALL)
def test_owner_and_order_are_told_the_same_of_driving(name):
    one = found(name)
    said = sheet(one)
    by_sheet = {
        "stopped": "Do not drive, and do not move the vehicle.",
        "stands": "Please do not drive it, not even a short way",
        "off_road": "Please do not use it on the road",
    }
    assert banned(order(one)) == moving(one)
    for way, words in by_sheet.items():
        assert (words in said) is (way == moving(one)), way
    signed = customer_view(one).refusal
    assert ("I was told" in signed) is (moving(one) != "free")
    assert ("further than needed" in said) <= (moving(one) == "free")


@pytest.mark.parametrize("name", ALL)
def test_certainty_follows_the_answers(name):
    one = found(name)
    said = sheet(one)
    drag, idle, heat = one.answers.each
    called = "yes" in {drag.answer, idle.answer, heat.answer}
    small = "not large enough" in said
    if one.urgent or called or one.parts_above or moving(one) != "free":
        assert not small
        assert "harmless" not in said
    if small:
        gaps = [axle for axle in one.axles if axle.verdict == "watch"]
        assert len(gaps) == 1
        assert gaps[0].difference_k.size.value < gaps[0].marks_k[1]
    assert ("no doubt" in said) is bool(one.urgent)


@pytest.mark.parametrize("name", ALL)
def test_every_brake_and_part_of_the_answers_is_named_and_none_reads_as_usual(name):
    one = found(name)
    if one.urgent:
        return
    view = customer_view(one)
    said = " ".join(str(each.c) for each in view.found)
    drag, idle, _ = one.answers.each
    named = (*drag.corners, *idle.corners) if either_way(one) else (*drag.suspected, *idle.suspected)
    for wheel in view.plan.wheels:
        assert (wheel.name in said) >= (wheel.corner in named)
        assert (wheel.corner in named) <= (wheel.state != "even")
    assert said.startswith("Either") is either_way(one)
    for part in one.parts_above:
        names = {"tyre_outer": "outer tyre" if name == "twin tyres" else "the tyre"}
        word = names.get(part.spot, part.spot)
        assert word in said
        assert word in view.steps[0] or named
        assert "Look at the brakes" not in view.steps[0]


@pytest.mark.parametrize("name", ALL)
def test_facts_call_nothing_unlike_that_is_close(name):
    for fact in customer_view(found(name)).facts:
        degrees = [int(number) for number in re.findall(r"(-?\d+) °C", str(fact.c))]
        assert ("should be close" in str(fact.c)) <= (abs(degrees[0] - degrees[-1]) >= 4)


def test_pages_carry_what_the_text_forbids(thermlog):
    """It is asked whether a cold axle was up, and the vehicle stays off the road meanwhile."""
    rises = {"1L": 62.0, "1R": 63.0, "2L": 12.0, "2R": 13.0, "3L": 57.0, "3R": 59.0}
    rows = [
        f"{180 * turn + 15 * k},{wheel},{18.0 + rise_k * 0.91**turn:.1f}"
        for turn in range(4)
        for k, (wheel, rise_k) in enumerate(rises.items())
    ]
    head = ["# ambient: 18 C", "# axles: steer pusher drive", "time_s,position,temp_c"]
    Path("lorry.csv").write_text("\n".join([*head, *rows]) + "\n", encoding="utf-8")
    pages = ("--report", "report.html", "--customer", "owner.html", "--format", "json", "-o", "check.json")
    thermlog("check", "lorry.csv", *pages)
    assert json.loads(Path("check.json").read_text())["next_check"]["id"] == "ask_raised"
    assert "Not driven on the road before that is settled" in Path("report.html").read_text(encoding="utf-8")
    assert "Please do not use it on the road" in Path("owner.html").read_text(encoding="utf-8")
    assert "Not driven on the road before that is settled" in thermlog("check", "lorry.csv", "-q").out


def test_brakes_that_may_not_work_keep_it_off_the_road_while_they_are_checked_standing():
    one = found("trailer hot")
    assert (one.answers.drag.answer, one.answers.idle.answer, one.next_check.id) == (
        "watch",
        "watch",
        "static_check",
    )
    assert moving(one) == "off_road"


def test_a_hub_is_looked_at_as_a_wheel_and_smoke_without_a_place_at_the_vehicle():
    assert "a look at the wheel itself" in sheet(found("hub"))
    assert "a look at the brake itself" in sheet(found("brake"))
    assert "a look at the vehicle itself" in sheet(found("smoke"))
    assert "clock" not in customer_view(replace(found("healthy"), parked_known=False)).measured
