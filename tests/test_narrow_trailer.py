"""A trailer and what all its brakes hang on: what a careful technician accepts, written down before.

Of a hydraulic overrun trailer that drags all round the coupling is tried first: it costs no tool, and a
drawtube that stays in presses on by itself. Only where it comes right out is the cylinder in question, and it
is condemned by the line at its outlet, with the drawtube out, not before.
"""

from __future__ import annotations

import pytest
from advicecases import log_evidence
from test_narrow_dead import first_asked, may_ask, of_kind, walked
from test_narrow_settles import told

from thermlog.advice.choosing import askable, choose
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.search import Search, begun
from thermlog.advice.weighing import cause_weights
from thermlog.words.vehicle import Axle, Vehicle

TABLE = evidence_table()


def surge_hot() -> Search:
    return of_kind("surge_hyd", "axle_hot", "1L", "1R", axles=1)


def first(search: Search) -> str:
    return next(iter(cause_weights(search.situation)))


def test_a_cylinder_that_keeps_its_pressure_is_named_by_the_line_opened_with_the_drawtube_out():
    ended = walked(surge_hot(), "surge_port_blocked")
    order = list(ended.told)
    assert first(ended) == "surge_port_blocked"
    assert choose(ended).ending == "settled"
    assert ended.told["surge_line_frees"] == "frees"
    usual = ["drawtube_out", "drawtube_pulled", "adjuster_backed_off", "surge_line_frees"]
    assert sorted(usual, key=order.index) == usual
    assert {"pb_state", "visual"} < set(
        order[: order.index("surge_line_frees")]
    )  # gate of whatever is opened


@pytest.mark.parametrize(
    ("check", "answer"), [("drawtube_pulled", "frees"), ("surge_line_frees", "no_change")]
)
def test_the_cylinder_is_not_named_where_its_line_freed_nothing(check, answer):
    ended = walked(surge_hot(), "surge_port_blocked", **{check: answer})
    named = first(ended) == "surge_port_blocked" and choose(ended).ending == "settled"
    assert not named


def test_a_drawtube_that_stays_in_is_found_without_opening_anything():
    ended = walked(surge_hot(), "overrun_stuck")
    assert (first(ended), choose(ended).ending) == ("overrun_stuck", "settled")
    assert not any(TABLE.observations[one].opens for one in ended.told if one in TABLE.observations)


def test_pressure_kept_by_a_drawtube_that_stays_in_lets_go_wherever_the_line_is_opened():
    """A piston that is held in keeps its port shut: the bleeder frees such a wheel as it does a bad hose."""
    for rung in ("bleeder_frees", "hose_outlet_frees", "hose_inlet_frees"):
        assert TABLE.observations[rung].likelihood("frees", "overrun_stuck") > 0.8  # own level: very likely


def test_what_freed_the_wheel_by_the_drawtube_ends_the_opening_of_lines():
    assert may_ask(surge_hot(), "bleeder_frees")
    pulled = told(surge_hot(), "drawtube_pulled=frees")
    assert not may_ask(pulled, "bleeder_frees")
    assert not may_ask(pulled, "surge_line_frees")


def test_no_line_is_opened_at_the_cylinder_before_the_drawtube_was_pulled_out():
    assert "drawtube_pulled" in first_asked(surge_hot(), "surge_line_frees")
    assert not askable(surge_hot(), ("drawtube_pulled",)).able[
        askable(surge_hot(), ()).board.at["surge_line_frees"]
    ]
    assert not TABLE.observations["drawtube_pulled"].opens


DEAD = {
    "air_drum_scam": "trailer_line_shut", "electric_drum": "trailer_plug_dead",
    "overrun_drum": "overrun_no_push", "surge_hyd": "surge_cylinder",
}  # fmt: skip


def whole_cold(kind: str) -> Search:
    """Both axles of a trailer that was read by itself are cold."""
    trailer = Axle(role="trailer", fitted=kind, parking_brake=True)
    heavy = TABLE.kinds[kind].group == "heavy"
    vehicle = Vehicle(axles=(trailer, trailer), weight_class="heavy" if heavy else "light", stated=True)
    return begun(log_evidence("circuit_cold", "1L", "1R", "2L", "2R", vehicle=vehicle))


@pytest.mark.parametrize("kind", list(DEAD))
def test_what_work_a_cold_trailer_had_is_asked_once_before_a_wheel_of_it_is_raised(kind):
    search = whole_cold(kind)
    assert may_ask(search, "trailer_load")
    now = askable(search, ())
    pairs = zip(now.board.asked, now.able, strict=True)
    raised = [one.key for one, able in pairs if able and "lift" in one.asked.needs]
    assert raised
    assert all("trailer_load" in first_asked(search, one) for one in raised)
    assert not may_ask(told(search, "trailer_load=empty"), "trailer_load")


@pytest.mark.parametrize("kind", list(DEAD))
def test_what_work_it_had_is_the_first_question_about_a_trailer_that_is_dead(kind):
    """Asking costs two minutes, and the answer may be that nothing is wrong; no other check comes before."""
    assert choose(whole_cold(kind)).asked.key == "trailer_load"
    now = askable(whole_cold(kind), ())
    near = [one.key for one, able in zip(now.board.asked, now.able, strict=True) if able and one.asked.near]
    assert near
    assert all("trailer_load" in {each.key for each in now.before[one]} for one in near)
    assert choose(whole_cold(kind), ("trailer_load",)).asked.key in near  # nobody to ask: it goes on


@pytest.mark.parametrize("corners", [("4L", "4R"), ("4L", "4R", "5L", "5R"), ("4L",)])
def test_lines_of_a_hot_trailer_are_looked_at_before_a_gauge_is_fitted(corners):
    """Couplings, then which line hangs on which: five minutes, before what empties a line."""
    trailer = Axle(role="trailer", brake="drum", parking_brake=True)
    axles = (Axle(role="steer", brake="drum"), *[Axle(role="drive", brake="drum")] * 2, trailer, trailer)
    vehicle = Vehicle(axles=axles, weight_class="heavy", stated=True)
    alone = len(corners) == 1  # no line makes one wheel hot: a glance at the couplings is enough
    search = begun(log_evidence("corner_hot" if alone else "axle_hot", *corners, vehicle=vehicle))
    now = askable(search, ())
    pairs = zip(now.board.asked, now.able, strict=True)
    gauged = [
        one.key for one, able in pairs if able and "gauge" in one.asked.needs and one.key != "tyre_pressure"
    ]
    assert {"gauge_relay", "supply_gauge", "head_zero", "hold_off"} <= set(gauged)
    looks = ["couplings"] if alone else ["couplings", "lines_right"]
    for one in gauged:
        first = [each.key for each in now.before[one]]
        assert [each for each in first if each in {"couplings", "lines_right"}] == looks


@pytest.mark.parametrize(
    ("verdict", "corners"), [("corner_cold", ("2L",)), ("axle_hot", ("1L", "1R", "2L", "2R"))]
)
def test_one_dead_brake_or_a_hot_trailer_is_not_asked_for_its_load(verdict, corners):
    search = whole_cold("air_drum_scam")
    other = begun(log_evidence(verdict, *corners, vehicle=search.evidence.vehicle))
    assert not may_ask(other, "trailer_load")


@pytest.mark.parametrize("answer", ["empty", "up"])
@pytest.mark.parametrize(("kind", "cause"), list(DEAD.items()))
def test_an_empty_trailer_that_is_dead_is_still_found(kind, cause, answer):
    """Driven hard an empty one gets warm, too: no answer ends the search or clears it."""
    search = told(whole_cold(kind), f"trailer_load={answer}")
    assert choose(search).ending is None
    assert first(search) not in {"idle_by_design", "normal_or_measurement"}
    ended = walked(search, cause)
    assert (first(ended), choose(ended).ending) == (cause, "settled")
