"""What a hot air disc tells by hand with its wheel on: the caliper is rocked before the wheel comes off.

What a careful technician does, common practice, no source: once the springs are known to be held off he grips
the caliper and rocks it. One that gives is not clamped; one that does not is held by its pins, its adjuster,
its tappets or by air. Three minutes beside the forty that the wheel of a heavy vehicle takes.
"""

from __future__ import annotations

import pytest
from test_narrow_dead import first_asked, may_ask, of_kind, walked
from test_narrow_settles import told

from thermlog.advice.evidenceload import evidence_table

TABLE = evidence_table()
OFF = {key for key, asked in TABLE.observations.items() if "wheel_off" in asked.needs}


@pytest.mark.parametrize(
    "cause", ["slide_pin_seized", "tappet_stuck_on", "disc_adjuster_tight", "pads_bound", "rotor_drum_runout"]
)
def test_the_caliper_of_a_hot_air_disc_is_rocked_before_its_wheel_comes_off(cause):
    order = list(walked(of_kind("air_disc", "corner_hot", "2L"), cause).told)
    off = min((n for n, one in enumerate(order) if one in OFF), default=len(order))
    felt = {"caliper_rocks", "running_clearance"} & set(order[:off])
    assert felt or off == len(order)


def test_nobody_takes_hold_of_a_caliper_before_the_gauge_showed_the_springs_held_off():
    search = of_kind("air_disc", "corner_hot", "2L")
    assert first_asked(search, "caliper_rocks")[:1] == ["pb_state_air"]
    assert not may_ask(told(search, "pb_state_air=low"), "caliper_rocks")
    assert may_ask(told(search, "pb_state_air=full"), "caliper_rocks")


def test_what_was_measured_is_not_felt_any_more():
    measured = told(of_kind("air_disc", "corner_hot", "2L"), "pb_state_air=full", "running_clearance=none")
    assert not may_ask(measured, "caliper_rocks")


@pytest.mark.parametrize("check", ["pins_slide_air", "tappets_back", "wear_pads"])
def test_it_stands_before_whatever_takes_the_wheel_off_a_hot_brake_alone(check):
    assert "caliper_rocks" in first_asked(of_kind("air_disc", "corner_hot", "2L"), check)
    cold = {"caliper_rocks", "running_clearance"} & set(
        first_asked(of_kind("air_disc", "corner_cold", "2L"), check)
    )
    assert bool(cold) is (check in WOUND)  # of a cold brake only what winds its adjuster back waits for it


WOUND = {"disc_backed_off": "frees", "tappets_back": "smooth", "pins_slide_air": "free"}


@pytest.mark.parametrize(
    ("check", "verdict"),
    [
        *((check, "corner_hot") for check in WOUND),
        ("tappets_back", "corner_cold"),
        ("pins_slide_air", "corner_cold"),
    ],
)
def test_what_clearance_tells_is_asked_before_the_adjuster_is_wound_back_and_never_after(check, verdict):
    """Each of them winds it back (its card), and then there is as much clearance as was made."""
    assert "back" in TABLE.observations[check].ask + TABLE.observations[check].how
    search = told(of_kind("air_disc", verdict, "2L"), "pb_state_air=full")
    felt = {"caliper_rocks", "running_clearance"}
    assert felt & set(first_asked(search, check))
    assert not felt & set(first_asked(told(search, "running_clearance=none"), check))
    wound = told(search, f"{check}={WOUND[check]}")
    assert all(may_ask(search, one) and not may_ask(wound, one) for one in felt)


def test_the_clearance_is_measured_before_the_adjuster_is_wound_back_with_the_wheel_on():
    """Both are made cold; to feel is no measurement."""
    search = told(of_kind("air_disc", "corner_hot", "2L"), "pb_state_air=full", "caliper_rocks=solid")
    assert "running_clearance" in first_asked(search, "disc_backed_off")
