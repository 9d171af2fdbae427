"""The owner's sheet against the technician's order: what one is told of driving the other is told, too."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from judgecases import LIGHT, told, walked
from msgspec.structs import replace
from proofcases import HEALTHY, NORMAL

from thermlog.advice.driving import moving
from thermlog.judging.settings import Settings
from thermlog.pages.customer import CustomerView, customer_view
from thermlog.pages.customerwords import NO_PROMISE, NONE_HOLDS, NONE_IDLES, UNTOLD
from thermlog.pipeline.run import run_one
from thermlog.words.findings import Diagnosis, Urgent

FRONTS_DEAD = HEALTHY | {"1L": 6.0, "1R": 8.0}
ONE_AXLE = {"1L": 63.0, "1R": 6.6}
PLAIN = HEALTHY | {"2L": 66.0, "2R": 92.0}


def drive(rises_k: dict[str, float]) -> Diagnosis:
    """Findings with what to do next."""
    return told(walked(rises_k, NORMAL), LIGHT)


def sheet(found: Diagnosis) -> CustomerView:
    """What its owner reads."""
    return customer_view(found)


def text(view: CustomerView) -> str:
    """All sentences of a sheet."""
    found = [one.c for one in (*view.found, *view.facts)]
    return " ".join(map(str, (*found, *view.means, *view.sure, *view.until, *view.steps, view.refusal)))


@pytest.mark.parametrize("rises", [FRONTS_DEAD, ONE_AXLE])
def test_who_owns_it_is_told_not_to_drive_where_the_technician_is(rises):
    found = drive(rises)
    assert moving(found) == "off_road"
    view = sheet(found)
    assert re.match("Please do not (drive|use) it", view.until[0])
    assert "I was told not to" in view.refusal
    assert "harmless" not in text(view)


@pytest.mark.parametrize("rises", [FRONTS_DEAD, ONE_AXLE])
def test_a_large_gap_is_not_called_small_because_its_side_is_open(rises):
    assert "The difference is clear" in text(sheet(drive(rises)))
    assert "not large enough" not in text(sheet(drive(rises)))


def test_a_small_gap_stays_small_and_may_be_harmless():
    found = drive(PLAIN)
    assert found.answers.drag.answer == "watch"
    assert moving(found) == "free"
    assert "not large enough to be sure" in text(sheet(found))
    assert "harmless" in text(sheet(found))


def test_a_wheel_that_gave_no_reading_is_not_told_as_measured():
    read = {corner: rise for corner, rise in HEALTHY.items() if corner != "1L"}
    said = text(sheet(drive(read)))
    assert "each wheel that gave a reading" in said
    assert "No brake temperature of front left" in said


def test_a_hub_is_told_in_words_of_an_owner_and_burns_nothing():
    hub = Urgent(code="hub_over_mate", corner="2L", spot="hub", value_degc=89.0)
    said = text(sheet(replace(drive(HEALTHY), urgent=(hub,))))
    assert "the wheel hub at rear left is far warmer than the one on the other side" in said
    assert "mate" not in said
    assert "can fail or catch fire" not in said
    assert "bearing" in said
    smoke = replace(hub, code="smoke", corner=None, spot=None, value_degc=None)
    assert "catch fire" in text(sheet(replace(drive(HEALTHY), urgent=(smoke,))))


def test_one_minute_is_one_minute():
    found = drive(FRONTS_DEAD)
    short = replace(found, next_check=replace(found.next_check, minutes=1.0))
    assert "about 1 minute for" in text(sheet(short))


LOGS = Path(__file__).parent.parent / "sample_logs"


def found_in(name: str) -> Diagnosis:
    """Findings of a sample."""
    return next(iter(run_one(str(LOGS / f"{name}.csv"), Settings()).findings()))


def test_axles_that_stand_out_as_a_whole_are_set_beside_each_other():
    """The two fronts are 6 K apart and none of the matter: the finding is axle against axle."""
    found = found_in("bus_rear_axle_hot")
    assert found.answers.drag.answer == "watch"
    facts = " ".join(one.c for one in sheet(found).facts)
    assert "front left and front right were at about 111 °C and 105 °C" in facts
    assert "rear left and rear right were at about 196 °C and 224 °C" in facts
    assert "should be close" not in facts
    assert "should be close" in text(sheet(drive(HEALTHY | {"2R": 140.0})))


def test_a_whole_axle_stands_beside_all_other_brakes():
    found = drive(HEALTHY)
    both_rear = replace(found.answers.drag, answer="yes", corners=("2L", "2R"))
    (facts,) = sheet(replace(found, answers=replace(found.answers, drag=both_rear))).facts
    read = {one.corner: f"{one.at_common_degc.value:.0f} °C" for one in found.corners}
    low, high = sorted((read["1L"], read["1R"]), key=lambda one: float(one.split()[0]))
    assert f"rear left and rear right were at about {read['2L']} and {read['2R']}; " in facts.c
    assert f"the other brakes at about {low}" in facts.c
    assert high in facts.c
    assert "should be close" not in facts.c


def test_a_wheel_whose_work_could_not_be_told_is_not_usual():
    """The warmest brake is 11 K above the air: check says no brake drags, and that the rest is open."""
    found = found_in("electric_hatchback_cool")
    assert (found.answers.drag.answer, found.answers.idle.answer) == ("no", "cannot_tell")
    view = sheet(found)
    assert {wheel.state for wheel in view.plan.wheels} == {"cannot_tell"}
    said = text(view)
    assert NONE_HOLDS in said
    assert UNTOLD[1] in said
    assert "nothing bad of the brakes" not in said
    usual = sheet(drive(HEALTHY))
    assert {wheel.state for wheel in usual.plan.wheels} == {"even"}


def test_a_sheet_of_a_brake_that_does_nothing_says_what_was_seen_of_one_that_holds_and_the_other_way():
    cold, hot = drive(HEALTHY | {"2R": 3.0}), drive(HEALTHY | {"2R": 140.0})
    assert (cold.answers.drag.answer, hot.answers.idle.answer) == ("no", "no")
    for found, here, other in ((cold, NONE_HOLDS, NONE_IDLES), (hot, NONE_IDLES, NONE_HOLDS)):
        said = text(sheet(found))
        assert f"{here} {NO_PROMISE}" in said
        assert other not in said
