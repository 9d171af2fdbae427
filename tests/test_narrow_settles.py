"""What ends a search soon: what was found is put right, a plain finding counts as one, nothing is drawn out.

What a careful technician accepts, written down before: a breakaway pin that hangs out is pushed in, and
wheels that free then have told the cause. Of several pistons the one that does not move is the fault. Before
a vehicle has grown cold the odd wheel is read once more. Where a brake grips and all that was looked at is in
order, the same drive again proves it; nobody takes it apart further.
"""

from __future__ import annotations

import numpy as np
import pytest
from advicecases import CAR, log_evidence

from thermlog.advice.board import believed, bits_per_minute, board_of
from thermlog.advice.choosing import askable, choose
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.search import Search, advanced, begun
from thermlog.advice.twice import first_time
from thermlog.advice.weighing import rows
from thermlog.words.vehicle import Axle, Vehicle

TABLE = evidence_table()


def told(search: Search, *found: str) -> Search:
    for one in found:
        search = advanced(search, *one.split("="))
    return search


def share(search: Search, cause: str) -> float:
    return float(believed(search.situation)[rows().causes.index(cause)])


def to_its_end(search: Search, cause: str) -> tuple[list[str], str | None]:
    """Checks to the end where each has the usual answer of the cause, and how it ends."""
    asked: list[str] = []
    while (one := choose(search).asked) is not None:
        row = dict(zip(one.asked.answers, one.asked.p.get(cause, (1.0,) * 9), strict=False))
        search = advanced(search, one.key, max(row, key=lambda answer: row[answer]))
        asked.append(one.key)
    return asked, choose(search).ending


ELECTRIC = Vehicle(
    axles=(Axle(role="trailer", fitted="electric_drum"),) * 2, weight_class="light", stated=True
)
TRAILER = begun(log_evidence("all_hot", vehicle=ELECTRIC))


def test_a_pin_that_is_out_is_pushed_in_and_wheels_that_free_then_end_the_search():
    out = told(TRAILER, "breakaway_pin=out")
    assert choose(out).asked.key == "pin_pushed_in"
    freed = told(out, "pin_pushed_in=frees")
    assert choose(freed).ending == "settled"
    assert share(freed, "breakaway_out") >= TABLE.rule["settled_share"]
    held = told(out, "pin_pushed_in=no_change")
    assert share(held, "breakaway_out") < share(out, "breakaway_out") / 2


def test_a_pin_that_is_in_is_not_pushed_and_wheels_that_run_free_are_not_freed():
    """Also not before anybody has looked at it."""

    def able(search: Search) -> set[str]:
        asked, skipped = set(), []
        while (one := choose(search, skipped).asked) is not None:
            asked.add(first_time(one.key))
            skipped.append(one.key)
        return asked

    assert "pin_pushed_in" not in able(TRAILER) | able(told(TRAILER, "breakaway_pin=in"))
    assert {"unplug", "battery_off"}.isdisjoint(
        able(told(TRAILER, "breakaway_pin=out", "pin_pushed_in=frees"))
    )
    assert "pin_pushed_in" not in able(told(TRAILER, "breakaway_pin=out", "unplug=frees"))


@pytest.mark.parametrize(
    ("verdict", "all_of_it", "brake"),
    [
        ("corner_hot", "piston_stuck_on", "hyd_disc_fixed"),
        ("corner_cold", "piston_stuck_off", "hyd_disc_fixed"),
    ],
)
def test_one_stiff_piston_beside_others_that_move_is_the_cause_of_that_name(verdict, all_of_it, brake):
    """By the rows 92 to 10, with slips about 84 to 13: six times; what is left to ask is pads and faces."""
    search = told(
        begun(log_evidence(verdict, "1L")), f"brake_kind={brake}", "on_stands=yes", "visual=nothing_seen"
    )
    before = share(search, "one_piston_stuck") / share(search, all_of_it)
    third = told(search, "each_piston=one_stiff")
    assert share(third, "one_piston_stuck") / share(third, all_of_it) >= 5.0 * before
    asked, ending = to_its_end(third, "one_piston_stuck")
    assert ending == "settled"
    assert len(asked) <= 8


def test_what_only_a_hot_brake_or_a_warm_vehicle_tells_is_hurried():
    board = board_of(begun(log_evidence("corner_cold", "1L")).situation)
    minutes = np.full(len(board.asked), 6.0)
    rate = bits_per_minute(board, np.ones(len(board.asked)), minutes)
    plain = 1.0 / (6.0 + TABLE.rule["overhead_min"] + board.second_min)
    hurried = {board.asked[k].key for k in np.flatnonzero(np.asarray(rate) > plain * 1.5)}
    assert hurried == {one.key for one in board.asked if {"hot", "warm"} & set(one.asked.needs)}
    assert "read_once_more" in hurried


@pytest.mark.parametrize("fitted", ["overrun_drum", "surge_hyd"])
def test_whether_a_drawtube_lets_go_again_is_not_asked_of_a_trailer_that_does_not_brake(fitted):
    """One that is stuck cannot be pushed in, so it has no answer; whether it goes in is asked of both."""
    trailer = Vehicle(axles=(Axle(role="trailer", fitted=fitted),) * 2, weight_class="light", stated=True)
    tried = {}
    for verdict in ("axle_hot", "axle_cold"):
        search = begun(log_evidence(verdict, "1L", "1R", vehicle=trailer))
        now = askable(search, ())
        tried[verdict] = {one.key for k, one in enumerate(now.board.asked) if now.able[k]}
    assert {"drawtube_out", "drawtube_force"} <= tried["axle_hot"]
    assert {"drawtube_out", "drawtube_force"} & tried["axle_cold"] == {"drawtube_force"}


@pytest.mark.parametrize("degc", [55.0, 180.0])
def test_a_cold_brake_without_a_fault_is_not_taken_apart_to_the_last_part(degc):
    """A vehicle that is still warm is read once more; one that is not took sixteen checks and 70 minutes."""
    search = told(
        begun(log_evidence("corner_cold", "1L", vehicle=CAR, brake_degc=degc)), "brake_kind=hyd_disc_floating"
    )
    asked, ending = to_its_end(search, "normal_or_measurement")
    assert ending == "no_fault"
    assert len(asked) <= 13
    assert ("read_once_more" in asked) is (degc >= 60.0)
    assert "hold_grips" in asked
