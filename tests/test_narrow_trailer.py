"""A trailer and what all its brakes hang on: what a careful technician accepts, written down before.

Of a hydraulic overrun trailer that drags all round the coupling is tried first: it costs no tool, and a
drawtube that stays in presses on by itself. Only where it comes right out is the cylinder in question, and it
is condemned by the line at its outlet, with the drawtube out, not before.
"""

from __future__ import annotations

import pytest
from test_narrow_dead import may_ask, of_kind, walked
from test_narrow_settles import told

from thermlog.advice.choosing import choose
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.search import Search
from thermlog.advice.weighing import cause_weights

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
    assert ended.told["surge_line_frees"] == "line_open"
    assert order.index("drawtube_out") < order.index("surge_line_frees")
    assert {"pb_state", "visual"} < set(
        order[: order.index("surge_line_frees")]
    )  # gate of whatever is opened


@pytest.mark.parametrize("answer", ["pulled_out", "no_change"])
def test_the_cylinder_is_not_named_where_its_line_freed_nothing(answer):
    ended = walked(surge_hot(), "surge_port_blocked", surge_line_frees=answer)
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
    assert not may_ask(told(surge_hot(), "surge_line_frees=pulled_out"), "bleeder_frees")
