"""Corners at which a log could hide a fault: the quick screen clears none that a trial would hide."""

from __future__ import annotations

import importlib
import sys
from functools import lru_cache
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from judgecases import LIGHT, USUAL, VAN_K, Corners, Walk, described, walked

from thermlog.inference import hidden
from thermlog.inference.explanations import KINDS
from thermlog.inference.hidden import weighed_and_hidden
from thermlog.inference.limits import clears_drag, clears_idle, limits_of, trials
from thermlog.judging.diagnose import judge
from thermlog.judging.judged import Judged
from thermlog.judging.settings import Settings
from thermlog.simulation.builds import Fault
from thermlog.simulation.simulate import MeasurePlan, simulate_fleet
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES
from thermlog.simulation.walkround import WalkPlan
from thermlog.words.policy import load_policy
from thermlog.words.tables import Readings, stack_readings
from thermlog.words.vehicle import SIDES, corner_name

sys.path.insert(0, str(Path(__file__).parent.parent / "bench"))
other = importlib.import_module("otherworld")
OWN = sorted(VEHICLE_CLASSES)
OTHER = other.kinds()
ROUNDS = (1, 2, 3)


@lru_cache(maxsize=6)
def fleet(world: str, rounds: int) -> Judged:
    """Healthy vehicles of all kinds and some with a small fault, described and not."""
    tables = own_world(rounds) if world == "own" else other_world(rounds)
    return judge(stack_readings(tables), Settings())


def own_world(rounds: int) -> list[Readings]:
    return [
        simulate_fleet(
            VEHICLE_CLASSES[name],
            [Fault()] * 24,
            plan=MeasurePlan(walk=WalkPlan(rounds=rounds), described=bool(place % 2)),
            seed=100 * rounds + place,
        ).readings
        for place, name in enumerate(OWN)
    ]


def other_world(rounds: int) -> list[Readings]:
    rng = np.random.default_rng(rounds)
    made = [
        other.simulate(name, fault, count, rng, rounds=rounds, described=bool(place % 2))
        for place, name in enumerate(OTHER)
        for fault, count in (("none", 16), ("corner_hot", 6))
    ]
    return [one.readings for one in made]


def by_trial(judged: Judged, question: str) -> np.ndarray:
    """True where a trial hides the fault: bool (2, pairs), every corner read tried out."""
    clears = clears_drag if question == "drag" else clears_idle
    hides = np.zeros((2, judged.pairs.count), dtype=bool)
    for trial in trials(judged.evidence, judged.gaps, np.ones(len(judged.readings.cases), dtype=bool)):
        every = np.arange(trial.places.case.size)
        hides[trial.places.side, trial.places.pair] = ~clears(trial, every)
    return hides


def quiet(judged: Judged, question: str) -> np.ndarray:
    """Cases whose probability alone would allow a "no", pair by pair."""
    p = judged.patterns.p_drag if question == "drag" else judged.patterns.p_idle
    doubt = np.array([policy.doubt_probability for policy in judged.policies])
    with np.errstate(invalid="ignore"):
        return (p < doubt)[judged.pairs.case]


def said(judged: Judged, question: str) -> np.ndarray:
    """Pairs that speak for their axle and of which some corner is said to hide the fault."""
    table = judged.hidden.drag if question == "drag" else judged.hidden.idle
    pairs = judged.pairs
    named = [
        any(corner_name(axle, side) in table.get(case, ()) for side in SIDES)
        for case, axle in zip(pairs.case.tolist(), pairs.axle.tolist(), strict=True)
    ]
    return np.array(named) & judged.comparison.chosen


def screened(judged: Judged, question: str) -> np.ndarray:
    """Corners that the quick screen clears: bool (2, pairs)."""
    marks = hidden._Marks.of(judged.evidence.context.policies)
    drag, idle = hidden._plainly_clear(judged.evidence, judged.gaps, marks)
    calm = judged.patterns.p_kind[:, KINDS.index("none")] >= hidden._CALM
    clear = drag if question == "drag" else idle
    return clear & calm[judged.pairs.case] & quiet(judged, question) & judged.comparison.chosen


@pytest.mark.parametrize("question", ["drag", "idle"])
@pytest.mark.parametrize("world", ["own", "other"])
def test_screen_clears_no_corner_that_a_trial_would_hide(world, question):
    """At most 0.2 % of what it clears, read once to three times."""
    cleared = [screened(fleet(world, rounds), question) for rounds in ROUNDS]
    tried = [by_trial(fleet(world, rounds), question) for rounds in ROUNDS]
    count = sum(int(one.sum()) for one in cleared)
    assert count > 500
    assert sum(int((a & b).sum()) for a, b in zip(cleared, tried, strict=True)) <= 0.002 * count


@pytest.mark.parametrize("world", ["own", "other"])
def test_axles_that_hide_a_fault_are_said(world):
    """At most 0.2 % of all corners of quiet vehicles hide one unsaid."""
    missed = count = 0
    for rounds, question in product(ROUNDS, ("drag", "idle")):
        judged = fleet(world, rounds)
        asked = quiet(judged, question) & judged.comparison.chosen
        missed += int((by_trial(judged, question).any(0) & ~said(judged, question) & asked).sum())
        count += 2 * int(asked.sum())
    assert count > 4000
    assert missed <= 0.002 * count


@pytest.mark.parametrize("question", ["drag", "idle"])
def test_what_is_said_to_hide_fails_its_trial(question):
    for world in ("own", "other"):
        judged = fleet(world, 2)
        assert said(judged, question).any()
        assert (by_trial(judged, question).any(0) | ~said(judged, question)).all()


def test_screen_spares_most_trials():
    """Or it would not be worth its rules: of vehicles read three times most corners pass it."""
    judged = fleet("own", 3)
    for question in ("drag", "idle"):
        assert screened(judged, question)[:, judged.comparison.chosen].mean() > 0.5


# by hand


def hides(corners: Corners, walk: Walk = USUAL) -> tuple[tuple[str, ...], tuple[str, ...]]:
    return judge(walked(corners, walk), LIGHT).hidden.of(0)


def test_healthy_vehicle_hides_nothing():
    assert hides(VAN_K, Walk(description=described("steer", "axle"))) == ((), ())


def test_corner_whose_mate_nobody_read_hides_a_loss():
    """A brake alone on its axle, cooler than usual: only the other axle tells what it should be."""
    drag, idle = hides({"1L": 80.0, "2L": 63.0, "2R": 64.0})
    assert "1L" in (*drag, *idle)
    assert not {"1R"} & {*drag, *idle}


def test_coast_drive_is_not_asked_what_a_dead_brake_would_show():
    assert hides(dict.fromkeys(VAN_K, 12.0), Walk(drive="coast"))[1] == ()


def test_hardly_warm_vehicle_hides_what_does_not_work():
    """One side of every axle is tried, the one at which it is harder to see."""
    assert {corner[0] for corner in hides(dict.fromkeys(VAN_K, 3.0))[1]} == {"1", "2"}


def test_one_reading_a_corner_is_not_enough_to_clear_a_loss_untried():
    """A shot that missed looks the same."""
    for rounds, clear in ((1, False), (2, True)):
        judged = judge(walked(VAN_K, Walk(rounds=rounds, noise_k=0.0)), LIGHT)
        assert screened(judged, "drag").any()
        assert bool(screened(judged, "idle").any()) is clear


def test_case_that_is_suspected_is_not_asked():
    """Where the probabilities speak there is no "no" that could hide anything."""
    judged = judge(walked(VAN_K | {"1L": 230.0}), LIGHT)
    assert judged.patterns.p_drag[0] > load_policy("light").doubt_probability
    assert judged.hidden.drag == {}


def test_cases_keep_their_numbers():
    """Two of three hide; each is found under its own."""
    weak = dict.fromkeys(VAN_K, 3.0)
    tables = [walked(weak), walked(VAN_K, Walk(description=described("steer", "axle"))), walked(weak)]
    judged = judge(stack_readings(tables), LIGHT)
    patterns, again = weighed_and_hidden(judged.evidence, judged.gaps)
    np.testing.assert_array_equal(patterns.p_drag, judged.patterns.p_drag)
    assert sorted(again.idle) == sorted(judged.hidden.idle) == [0, 2]
    assert again.of(1) == ((), ())


@pytest.mark.parametrize("world", ["own", "other"])
def test_limits_worked_out_with_the_judging_are_those_asked_for_later(world):
    """Nearly: sums run in another order, and the step at which a fault shows is 1/256 of the scale."""
    judged = fleet(world, 2)
    every = np.ones(len(judged.readings.cases), dtype=bool)
    patterns, at_once = weighed_and_hidden(judged.evidence, judged.gaps, in_full=True)
    np.testing.assert_array_equal(patterns.p_drag, judged.patterns.p_drag)
    assert (at_once.drag, at_once.idle) == (judged.hidden.drag, judged.hidden.idle)
    later = limits_of(judged.evidence, judged.gaps, every)
    assert judged.hidden.limits is None
    assert np.isfinite(at_once.limits.extra_k).sum() > 1000
    for one, other_one in (
        (at_once.limits.extra_k, later.extra_k),
        (at_once.limits.loss_share, later.loss_share),
    ):
        np.testing.assert_allclose(one, other_one, rtol=0.02)
        assert ((one != other_one) & ~np.isnan(one)).mean() < 0.01
