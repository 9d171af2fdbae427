"""The owner's sheet against the technician's order: what one is told of driving the other is told, too."""

from __future__ import annotations

import re

import pytest
from judgecases import LIGHT, told, walked
from msgspec.structs import replace
from proofcases import HEALTHY, NORMAL

from thermlog.pages.customer import CustomerView, customer_view
from thermlog.reports.summary import moving
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
