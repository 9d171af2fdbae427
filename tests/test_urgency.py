"""Urgent lines: where each begins, what was seen counts whatever was read, the most dangerous first."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from thermlog.advice.urgency import (
    BY_DANGER,
    HotSpots,
    HottestReading,
    HubDifference,
    has_fluid,
    light_trailer,
    urgent_lines,
)
from thermlog.words.findings import UrgentCode
from thermlog.words.policy import load_policy
from thermlog.words.seenwords import SeenCode
from thermlog.words.tables import Seen
from thermlog.words.vehicle import SPOTS, Axle, Vehicle, default_vehicle

POLICY = load_policy("light")


def spots(*read: tuple[str, float], **other) -> HotSpots:
    readings = tuple(HottestReading(corner="1L", spot=spot, value_degc=value) for spot, value in read)
    return HotSpots(readings=readings, **other)


def codes(found) -> list[str]:
    return [one.code for one in found]


def test_every_urgent_code_has_its_place_in_the_order():
    assert sorted(BY_DANGER) == sorted(get_args(UrgentCode))


# Lines: 300 and 200 °C judgement; 140 °C wet boiling point of DOT 3, 49 CFR 571.116; the rest judgement.
@pytest.mark.parametrize(
    ("spot", "line_degc", "code"),
    [
        ("brake", 300.0, "brake_hot"),
        ("rotor_outer", 300.0, "brake_hot"),
        ("drum", 300.0, "brake_hot"),
        ("caliper", 140.0, "caliper_hot"),
        ("hub", 120.0, "hub_hot"),
        ("rim", 120.0, "rim_hot"),
        ("tyre_inner", 90.0, "tyre_hot"),
        ("tyre_outer", 90.0, "tyre_hot"),
    ],
)
def test_each_part_has_its_line_and_it_begins_there(spot, line_degc, code):
    (found,) = urgent_lines(spots((spot, line_degc), hydraulic=True), (), POLICY)
    assert (found.code, found.corner, found.spot) == (code, "1L", spot)
    assert (found.value_degc, found.limit_degc) == (line_degc, line_degc)
    assert urgent_lines(spots((spot, line_degc - 0.1), hydraulic=True), (), POLICY) == ()


def test_caliper_line_is_that_of_fluid_so_only_where_there_is_fluid():
    assert codes(urgent_lines(spots(("caliper", 200.0)), (), POLICY)) == []
    assert codes(urgent_lines(spots(("caliper", 310.0)), (), POLICY)) == ["brake_hot"]
    both = urgent_lines(spots(("caliper", 310.0), hydraulic=True), (), POLICY)
    assert codes(both) == ["brake_hot", "caliper_hot"]


def test_a_bright_face_is_urgent_at_a_lower_reading():
    face = HottestReading(corner="1L", spot="rotor_outer", value_degc=200.0)
    assert urgent_lines(HotSpots(readings=(face,)), (), POLICY) == ()
    (found,) = urgent_lines(HotSpots(readings=(replace(face, bright=True),)), (), POLICY)
    assert (found.code, found.limit_degc) == ("brake_hot", 200.0)


@pytest.mark.parametrize(
    ("ambient_degc", "line_degc"), [(None, 120.0), (20.0, 103.0), (40.0, 120.0), (0, 83.0)]
)
def test_a_hub_has_a_line_above_the_air_too(ambient_degc, line_degc):
    """83 K above the air, at most 120 °C: policy values."""
    at = urgent_lines(spots(("hub", line_degc), ambient_degc=ambient_degc), (), POLICY)
    assert [one.limit_degc for one in at] == [line_degc]
    assert urgent_lines(spots(("hub", line_degc - 0.1), ambient_degc=ambient_degc), (), POLICY) == ()


@pytest.mark.parametrize(
    ("over", "mark_k", "code"), [("mate", 30.0, "hub_over_mate"), ("brake", 20.0, "hub_over_brake")]
)
def test_hub_differences_count_from_the_policys_marks_where_they_are_likely_true(over, mark_k, code):
    hub = HubDifference(corner="2R", over=over, difference_k=mark_k, p=0.5)
    (found,) = urgent_lines(HotSpots(hubs=(hub,)), (), POLICY)
    assert (found.code, found.corner, found.spot, found.value_degc) == (code, "2R", "hub", None)
    for not_yet in (replace(hub, difference_k=mark_k - 0.1), replace(hub, p=0.49)):
        assert urgent_lines(HotSpots(hubs=(not_yet,)), (), POLICY) == ()
    assert codes(urgent_lines(HotSpots(hubs=(replace(hub, p=None),)), (), POLICY)) == [code]
    read = HottestReading(corner="2R", spot="hub", value_degc=88.0)
    assert urgent_lines(HotSpots(hubs=(hub,), readings=(read,)), (), POLICY)[0].value_degc == 88.0


OPEN_ONLY = {"abs_lamp", "pull_left", "pull_right", "pull"}


@pytest.mark.parametrize("code", sorted(OPEN_ONLY))
def test_a_pull_and_the_lamp_of_the_abs_stop_nothing(code):
    assert urgent_lines(spots(("brake", 15.0)), (Seen(code=code),), POLICY) == ()


@pytest.mark.parametrize("code", sorted(set(get_args(SeenCode)) - OPEN_ONLY))
def test_what_was_seen_is_urgent_however_cold_the_readings(code):
    (found,) = urgent_lines(spots(("brake", 15.0)), (Seen(code=code, corner="2L"),), POLICY)
    assert (found.code, found.corner, found.value_degc, found.limit_degc) == (code, "2L", None, None)


def test_fire_stands_before_tyres_before_brakes_before_a_smell():
    hot = spots(("caliper", 350.0), ("tyre_outer", 95.0), ("rim", 150.0), ("hub", 130.0), hydraulic=True)
    seen = (Seen(code="smell"), Seen(code="smoke"), Seen(code="flame", corner="1L"))
    assert codes(urgent_lines(hot, seen, POLICY)) == [
        "flame", "smoke", "tyre_hot", "rim_hot", "brake_hot", "hub_hot", "caliper_hot", "smell",
    ]  # fmt: skip


def test_one_line_a_code_and_corner_and_the_hottest_first():
    readings = tuple(
        HottestReading(corner=corner, spot=spot, value_degc=value)
        for corner, spot, value in (
            ("1L", "rotor_outer", 310.0), ("1L", "rotor_inner", 350.0), ("2R", "drum", 420.0)
        )
    )  # fmt: skip
    found = urgent_lines(HotSpots(readings=readings), (), POLICY)
    assert [(one.corner, one.value_degc) for one in found] == [("2R", 420.0), ("1L", 350.0)]


@given(
    read=st.lists(st.tuples(st.sampled_from(SPOTS), st.floats(-40, 700)), max_size=8),
    warmer_k=st.floats(0, 200),
    hydraulic=st.booleans(),
)
def test_hotter_readings_never_end_an_urgent_line(read, warmer_k, hydraulic):
    before = urgent_lines(spots(*read, hydraulic=hydraulic), (), POLICY)
    warmer = [(spot, value + warmer_k) for spot, value in read]
    after = urgent_lines(spots(*warmer, hydraulic=hydraulic), (), POLICY)
    assert set(codes(before)) <= set(codes(after))
    assert codes(after) == sorted(codes(after), key=BY_DANGER.index)


def test_fluid_is_where_a_pedal_pushes_it():
    trailer = Vehicle(axles=(Axle(role="trailer"),) * 2, weight_class="light", stated=True)
    single = Vehicle(axles=(Axle(brake="drum"),), weight_class="light", stated=True)
    towed = Vehicle(
        axles=(Axle(role="steer"), Axle(), Axle(role="trailer")), weight_class="light", stated=True
    )
    assert [light_trailer(one) for one in (trailer, single, towed, default_vehicle(1))] == [
        True, True, False, False,
    ]  # fmt: skip
    assert has_fluid(default_vehicle(2))
    assert not has_fluid(trailer)
    assert not has_fluid(default_vehicle(3))
