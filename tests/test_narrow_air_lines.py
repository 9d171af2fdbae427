"""Air brakes: which part an answer leads to, and when it is enough.

What a careful technician accepts, written down before: air that the towing vehicle leaves in the trailer's
brake line stays at the trailer's relay and in its chambers, too, so the gauge at the coupling leads to the
towing vehicle. A broken return spring explains a wheel that stays on. What nobody can try again is backed by
what else tells of it.
"""

from __future__ import annotations

import pytest
from advicecases import log_evidence
from test_narrow_dead import of_kind, state_of, walked
from test_narrow_settles import share, told

from thermlog.advice.choosing import choose, is_confirmed
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.ordering import presses
from thermlog.advice.search import Search, begun
from thermlog.advice.weighing import cause_weights
from thermlog.words.vehicle import Axle, Vehicle

TABLE = evidence_table()
LADDER = ("gauge_chamber", "gauge_modulator", "gauge_relay")  # down the line from the relay


def trailer_hot(kind: str) -> Search:
    """All axles of a trailer drag, the towing vehicle's brakes do not."""
    trailer, drive = (Axle(role=role, fitted=kind, parking_brake=True) for role in ("trailer", "drive"))
    axles = (Axle(role="steer", fitted=kind), drive, trailer, trailer)
    vehicle = Vehicle(axles=axles, weight_class="heavy", stated=True)
    return begun(log_evidence("trailer_hot", "3L", "3R", "4L", "4R", vehicle=vehicle))


def leads(search: Search) -> str:
    return next(iter(cause_weights(search.situation)))


@pytest.mark.parametrize("kind", ["air_drum_scam", "air_drum_wedge", "air_disc"])
def test_air_left_at_the_coupling_of_the_towing_vehicle_leads_to_its_valve_not_to_the_relay(kind):
    search = told(trailer_hot(kind), "pb_state_air=full", "couplings=both_open", "lines_right=right")
    left = told(search, "head_zero=air_left")
    assert leads(left) == "trailer_valve_holds"
    assert choose(left).asked.key not in {*LADDER, "gauge_treadle"}
    ended = walked(left, "trailer_valve_holds")
    assert (leads(ended), choose(ended).ending) == ("trailer_valve_holds", "settled")
    # Air at the trailer's relay does not take it back: it comes with the line.
    assert leads(told(left, "supply_gauge=full", "gauge_relay=air_left")) == "trailer_valve_holds"


def test_air_that_is_left_at_a_point_of_the_line_is_left_at_all_points_below_it():
    for cause in (
        "treadle_holds",
        "relay_holds",
        "trailer_valve_holds",
        "trailer_emergency_valve",
        "abs_air_holds",
    ):
        left = [TABLE.observations[key].likelihood("air_left", cause) for key in LADDER]
        assert left == sorted(left, reverse=True), cause
    held = [TABLE.observations[key].likelihood("air_left", "trailer_valve_holds") for key in LADDER]
    assert min(held) > 0.9  # own level: very likely at each


@pytest.mark.parametrize("rod", ["home", "not_home"])
def test_a_broken_return_spring_explains_a_wheel_that_stays_on(rod):
    """With the spring in his hand he has found it: nothing is searched on but to look once more."""
    search = of_kind("air_drum_scam", "corner_hot", "1L")
    search = told(
        search, f"rod_home={rod}", "visual=torn_or_rusty", "on_stands=yes", "spin_hot=drags_evenly",
        "stood=in_use", "feel_noise=scrape", "frees_jerk=no_jerk", "gauge_chamber=zero", "cam_turns=free",
        "lets_go_air=stays_on", "shoe_springs=broken",
    )  # fmt: skip
    assert leads(search) == "air_shoe_spring"
    assert share(search, "air_shoe_spring") >= TABLE.rule["shown_share"]
    ended = walked(search, "air_shoe_spring")
    assert choose(ended).ending == "settled"
    assert {one.removesuffix("_again") for one in ended.told} == set(search.told)


def test_what_cannot_be_tried_again_is_backed_by_what_else_tells_of_it(monkeypatch):
    """A wheel that broke loose with a jerk does not do it twice; a stiff pin is as stiff the second time."""
    rule = evidence_table().rule
    assert not TABLE.observations["frees_jerk"].repeats
    assert rule["once_rate"] < rule["confirmed_rate"]
    search = of_kind("overrun_drum", "corner_hot", "1L")
    search = told(
        search, "pb_state=fully_released", "stood=stood", "on_stands=yes", "spin_hot=drags_evenly",
        "frees_jerk=jerk", "drawtube_out=comes_out",
    )  # fmt: skip
    assert (leads(search), is_confirmed(search)) == ("rust_bound", True)
    assert share(search, "rust_bound") >= rule["confirmed_share"]
    assert choose(search).ending is None
    monkeypatch.setitem(rule, "once_rate", rule["confirmed_rate"])
    assert choose(search).ending == "settled"
    stiff = told(
        of_kind("air_disc", "corner_hot", "2L"), "pb_state_air=full", "th_face=inner_hotter",
        "pins_slide_air=stiff", "caliper_rocks=solid",
    )  # fmt: skip
    before = choose(stiff)
    monkeypatch.setitem(rule, "once_rate", 0.0)
    assert choose(stiff) == before  # its check can be made again: the line is not meant for it


@pytest.mark.parametrize("caged", ["frees", "no_change"])
def test_air_left_at_the_relay_is_gauged_on_whatever_a_caged_spring_showed(caged):
    search = of_kind("air_drum_scam", "axle_hot", "2L", "2R")
    search = told(search, "pb_state_air=full", "rod_home=not_home", f"spring_caged={caged}")
    left = told(search, "hold_off=full", "gauge_relay=air_left")
    assert choose(left).asked.key in TABLE.role["ladder_air"]


def test_no_spring_is_caged_for_air_that_a_valve_leaves():
    """Not even where the search ends open: the control line had air the first time, and none the second."""
    search = told(
        of_kind("air_drum_scam", "axle_hot", "2L", "2R"), "pb_state_air=full", "rod_home=not_home",
        "gauge_relay=air_left", "gauge_treadle=air_left", "gauge_chamber=air_left", "lamp=dark",
        "gauge_treadle_again=zero",
    )  # fmt: skip
    state = state_of(search)
    assert (leads(search), state.ending) == ("relay_holds", "inseparable")
    assert presses(search.situation)  # the rod is out, and a spring brake acts there
    assert not any("caged" in one for one in state.cautions)


def test_a_cause_as_likely_as_that_is_confirmed_before_the_search_gives_up(monkeypatch):
    """Between what it takes confirmed, 85 %, and by itself, 93 %: the gauge that encloses it is fitted."""
    search = told(
        of_kind("air_drum_scam", "circuit_hot", "2L", "2R", "3L", "3R", axles=3),
        "pb_state_air=full", "gauge_relay=zero", "hold_off=full", "on_stands=yes", "spin_hot=drags_evenly",
        "lamp=lit", "scan_air=pressure_or_valve", "gauge_chamber=air_left",
    )  # fmt: skip
    assert leads(search) == "abs_air_holds"
    assert TABLE.rule["confirmed_share"] <= share(search, "abs_air_holds") < TABLE.rule["settled_share"]
    assert choose(search).asked.key == "gauge_modulator"
    assert choose(told(search, "gauge_modulator=air_left")).ending == "settled"
    monkeypatch.setitem(evidence_table().rule, "confirmed_share", share(search, "abs_air_holds") * 1.001)
    assert choose(search).ending == "inseparable"
