"""Rows of plainly even vehicles: the short way gives what telling in full gives, on thousands of vehicles."""

from __future__ import annotations

import numpy as np
import pytest
from judgecases import LIGHT, USUAL, VAN_K, Walk, table, walked
from msgspec.structs import replace

from thermlog.judging.diagnose import Settings, diagnosis, judge
from thermlog.judging.fleetrows import plain_row, rows_of
from thermlog.judging.judged import Judged
from thermlog.judging.plain import plainly_even
from thermlog.judging.tell import tell_findings
from thermlog.words.policy import load_policy
from thermlog.words.tables import Readings, stack_readings
from thermlog.words.vehicle import Axle, Vehicle

VEHICLES = 1000


def simulated(chance: np.random.Generator, spread: float) -> Readings:
    """A vehicle of one to five axles whose brakes differ by `spread`, and now and then by much more."""
    axles = int(chance.integers(1, 6))
    front_k, tau_s = float(chance.choice([8.0, 35.0, 90.0, 140.0])), chance.uniform(1200.0, 2400.0)
    corners = {}
    for name in (f"{axle}{side}" for axle in range(1, axles + 1) for side in "LR"):
        rise_k = (front_k if name[0] == "1" else 0.75 * front_k) * chance.lognormal(0.0, spread)
        drags, lags = chance.random(2) < 0.01
        corners[name] = (rise_k * (2.5 if drags else 1.0), tau_s * (2.5 if lags else 1.0))
    if chance.random() < 0.03:
        corners["1L hub"] = (20.0, tau_s)
    if chance.random() < 0.03:
        del corners["1L"]
    return walked(corners, a_walk(chance, axles))


def a_walk(chance: np.random.Generator, axles: int) -> Walk:
    lifted = Vehicle(axles=(Axle(lifted=True),) * axles, weight_class="heavy", stated=True)
    return Walk(
        rounds=int(chance.integers(1, 7)),
        noise_k=float(chance.choice([0.0, 0.5, 2.0])),
        seed=int(chance.integers(2**32)),
        ambient_stated=bool(chance.random() < 0.97),
        drive="coast" if chance.random() < 0.05 else "normal",
        description=lifted if chance.random() < 0.02 else None,
    )


def alike(judged: Judged) -> int:
    """Number of plainly even cases, each of which tells in full what its row says."""
    plain = plainly_even(judged)
    for k in np.flatnonzero(plain).tolist():
        told = diagnosis(judged, k)
        assert not told.flagged
        assert rows_of(told) == [plain_row(judged, k)]
    return int(plain.sum())


@pytest.mark.parametrize(
    ("policy", "spread"), [(None, 0.03), (None, 0.15), ("light", 0.05), ("heavy", 0.05)], ids=str
)
def test_rows_of_plainly_even_vehicles_are_those_of_the_full_telling(policy, spread):
    chance = np.random.default_rng(7)
    fleet = stack_readings([simulated(chance, spread) for _ in range(VEHICLES)])
    # own numbers: enough that pass to mean something, and enough that do not
    assert 50 < alike(judge(fleet, Settings(policy=policy))) < VEHICLES - 50


def test_policies_of_any_strictness_tell_alike():
    chance = np.random.default_rng(3)
    judged = judge(stack_readings([simulated(chance, 0.1) for _ in range(200)]), LIGHT)
    usual = load_policy("light")
    for number in ("flag_probability", "watch_probability", "minimum_rise_k", "tau_unlike_ratio"):
        for factor in (0.1, 0.5, 1.2):
            policy = replace(usual, **{number: factor * getattr(usual, number)})
            alike(replace(judged, policies=(policy,) * 200))


def test_rows_need_no_more_than_the_findings():
    chance = np.random.default_rng(11)
    judged = judge(stack_readings([simulated(chance, 0.15) for _ in range(200)]), Settings())
    for k in range(200):
        whole, findings = diagnosis(judged, k), tell_findings(judged, k)
        assert (rows_of(whole), whole.flagged) == (rows_of(findings), findings.flagged)


def test_healthy_vehicle_goes_the_short_way():
    assert alike(judge(walked(VAN_K), LIGHT)) == 1


@pytest.mark.parametrize(
    "walk",
    [
        replace(USUAL, ambient_stated=False),
        replace(USUAL, drive="coast"),
        replace(
            USUAL, description=Vehicle(axles=(Axle(), Axle(lifted=True)), weight_class="light", stated=True)
        ),
    ],
    ids=["air not stated", "no braking", "lifted axle"],
)
def test_what_heat_alone_does_not_settle_is_told_in_full(walk):
    assert not plainly_even(judge(walked(VAN_K, walk), LIGHT)).any()


def test_vehicle_with_hubs_is_told_in_full():
    assert not plainly_even(judge(walked({**VAN_K, "1L hub": 20.0, "1R hub": 20.0}), LIGHT)).any()


def test_gun_on_hold_is_told_in_full():
    held = walked(VAN_K)
    first = held.indicated_degc[: len(VAN_K)]  # corner after corner, round after round
    assert not plainly_even(judge(replace(held, indicated_degc=np.tile(first, USUAL.rounds)), LIGHT)).any()


def test_case_without_readings_is_told_in_full():
    assert plainly_even(judge(table([]), LIGHT)).tolist() == [False]
