"""Cautions: nothing urgent hides another, each fits the kind of vehicle, and two lines always stand."""

from __future__ import annotations

import pytest
from advicecases import AIR_DISC_BUS, CAR, HEAVY_DRUMS, LIGHT_TRAILER, answered, any_evidence, log_evidence
from hypothesis import given, settings
from msgspec.structs import replace

from thermlog.advice.cautions import cautions
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.urgency import HotSpots, HottestReading, HubDifference, urgent_lines
from thermlog.words.policy import load_policy
from thermlog.words.sentences import Page, on_page
from thermlog.words.tables import Seen
from thermlog.words.vehicle import default_vehicle

POLICY = load_policy("light")


def urgent(*read, seen=(), hubs=()):
    readings = tuple(
        HottestReading(corner=corner, spot=spot, value_degc=value) for corner, spot, value in read
    )
    return urgent_lines(HotSpots(readings=readings, hubs=hubs, hydraulic=True), seen, POLICY)


def said(*kind, **other) -> str:
    return "\n".join(cautions(log_evidence(*kind, **other)))


def test_smoke_and_flames_and_stop_lines_are_all_printed_the_worst_first():
    found = urgent(
        ("1L", "brake", 441.0), ("2R", "tyre_outer", 95.0), seen=(Seen(code="smoke"), Seen(code="flame"))
    )
    lines = cautions(log_evidence("corner_hot", "1L", urgent=found))
    for k, words in enumerate(("Flames", "Smoke", "a tyre reads 95", "a brake reads 441")):
        assert words in lines[k]
    assert "fire service" in lines[0]
    assert "fire service" in lines[1]
    assert "flares up again" in lines[0]
    assert any("stop at once on smoke" in line for line in lines)


@pytest.mark.parametrize(
    ("found", "text"),
    [
        (urgent(("1L", "brake", 300.0)), "a brake reads 300 °C at 1L"),
        (urgent(("1L", "hub", 120.0)), "a hub reads 120 °C at 1L"),
        (urgent(("1L", "rim", 130.0)), "a rim reads 130 °C at 1L"),
        (urgent(("1L", "caliper", 150.0)), "a caliper reads 150 °C at 1L"),
        (
            urgent(("1L", "tyre_inner", 90.0), ("2L", "tyre_inner", 99.0)),
            "99 °C at 2L (also 1L) and can burst",
        ),
        (urgent(hubs=(HubDifference(corner="2L", over="mate", difference_k=44),)), "above its mate at 2L"),
        (urgent(hubs=(HubDifference(corner="2L", over="brake", difference_k=66),)), "its brake at 2L"),
        (urgent(seen=(Seen(code="smell", corner="2L"),)), "A smell of burning at 2L"),
        (urgent(seen=(Seen(code="sparks", corner="2L"),)), "Sparks at 2L: stop driving"),
        (urgent(seen=(Seen(code="steam", corner="2L"),)), "Steam at 2L: stop driving"),
        (urgent(seen=(Seen(code="burst", corner="2L"),)), "A tyre burst at 2L: stop and keep clear"),
        (urgent(seen=(Seen(code="grease", corner="2L"),)), "Grease thrown out at 2L: stop driving"),
        (urgent(seen=(Seen(code="glow"),)), "Something glows: stop"),
    ],
)
def test_every_urgent_code_has_its_line_and_parts_are_inspected_afterwards(found, text):
    first, second, *_ = cautions(log_evidence("corner_hot", "1L", urgent=found))
    assert text in first
    assert "inspected before it is used again" in second


@pytest.mark.parametrize("code", ["loose", "locked", "pedal", "air_loss", "leak", "brake_lamp", "grind"])
def test_nothing_is_said_to_have_been_hot_where_no_heat_was_found(code):
    """A wheel that is loose need not have been hot; beside a brake past its line it is another matter."""
    seen = (Seen(code=code, corner="2L"),)
    assert "that hot" not in said("none", urgent=urgent(seen=seen))
    assert "that hot" in said("none", urgent=urgent(("1L", "brake", 300.0), seen=seen))


def test_urgent_lines_speak_the_words_and_the_unit_of_the_page():
    line = cautions(log_evidence("none", urgent=urgent(("1L", "brake", 300.0))))[0]
    assert "a brake reads 572 °F at front left" in on_page(line, Page(unit="F", axle_count=2))


@pytest.mark.parametrize(
    ("kind", "corners", "warm"),
    [
        ("all_hot", (), True),
        ("hub_hot", ("2L",), True),
        ("several", ("1L", "2R"), False),  # two brakes without heat
        ("axle_cold", ("2L", "2R"), False),
    ],
)
def test_what_is_hot_is_warned_of_even_where_no_brake_is_said_to_drag(kind, corners, warm):
    text = said(kind, *corners, answers=answered("none"), brake_degc=40.0)
    assert ("Do not keep driving what runs hot" in text) == warm
    assert "dragging" not in text
    assert ("treat every wheel as hot" in text) == warm


def test_soft_pedal_is_warned_of_after_heat_where_there_is_fluid():
    words = "A pedal that is soft or sinks"
    assert words in said("corner_hot", "1L", brake_degc=200.0)
    assert words not in said("corner_hot", "1L", brake_degc=199.0)
    assert words in said("none", urgent=urgent(("1L", "caliper", 141.0)))
    for vehicle in (HEAVY_DRUMS, LIGHT_TRAILER):
        assert "pedal" not in said("corner_hot", "1L", brake_degc=290.0, vehicle=vehicle).lower()


@pytest.mark.parametrize(("vehicle", "warned"), [(HEAVY_DRUMS, True), (AIR_DISC_BUS, True), (CAR, False)])
def test_work_on_air_brakes_comes_with_a_warning_of_stored_force_and_air(vehicle, warned):
    text = said("corner_cold", "2L", vehicle=vehicle)
    assert ("spring-brake chamber" in text) == warned
    assert ("Drain the air" in text) == warned
    assert ("every stroke after work" in text) == warned


def test_work_comes_with_dust_axle_sets_and_what_may_roll():
    rear = said("corner_hot", "2L")
    assert "filtered vacuum" in rear
    assert "by the axle" in rear
    assert "service mode" in rear
    assert "service mode" not in said("corner_hot", "1L")
    assert "High voltage" not in rear
    assert "High voltage" in said("corner_hot", "2L", vehicle=replace(CAR, regenerative=True))
    assert "vacuum" not in said("none")


@given(any_evidence())
@settings(max_examples=150, deadline=None)
def test_cautions_are_short_said_once_and_never_clear_a_brake(evidence):
    lines = cautions(evidence)
    assert len(set(lines)) == len(lines)
    assert len(lines) >= 2 + len({one.code for one in evidence.urgent})
    assert "not a clearance" in lines[-2]
    assert "never certifies" in lines[-1]
    assert "qualified person" in lines[-1]
    assert "roller bench" in lines[-1]
    assert all(len(line) <= 190 for line in lines)
    hottest = max(evidence.brake_degc or 0, *(one.value_degc or 0 for one in evidence.urgent), 0)
    if hottest >= 50:
        assert any("as hot until read" in line for line in lines)


def test_cool_healthy_vehicle_gets_the_two_standing_lines_and_reads_no_file():
    evidence_table.cache_clear()
    healthy = log_evidence("none", vehicle=default_vehicle(2), brake_degc=40.0)
    assert len(cautions(healthy)) == 2
    assert evidence_table.cache_info().currsize == 0
