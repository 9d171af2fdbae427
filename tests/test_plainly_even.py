"""Rows of plainly even vehicles: the short way gives what telling in full gives, on thousands of vehicles."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path
from typing import get_args

import numpy as np
import pytest
from judgecases import LIGHT, USUAL, VAN_K, Walk, described, table, tell, walked
from msgspec.structs import replace

from thermlog.fleet.fleetrows import hottest_readings, plain_row, rows_of
from thermlog.fleet.quietrows import packed
from thermlog.fleet.ranking import line_place
from thermlog.fleet.workrow import FleetRow
from thermlog.inference.explanations import KINDS
from thermlog.judging.bands import beside_healthy, healthy_bands
from thermlog.judging.detectable import limits_ahead, with_limits
from thermlog.judging.diagnose import judge
from thermlog.judging.even import even_findings
from thermlog.judging.judged import Judged
from thermlog.judging.plainly_even import plainly_even
from thermlog.judging.settings import Settings
from thermlog.judging.tell import tell_findings, with_advice
from thermlog.simulation.builds import HEALTHY, Fault
from thermlog.simulation.simulate import MeasurePlan, simulate_fleet
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES
from thermlog.simulation.walkround import MIXED_SKINS, RUSTY_SKINS
from thermlog.words.few import Few
from thermlog.words.policy import load_policy
from thermlog.words.reasons import DoCode
from thermlog.words.tables import Blind, Readings, Seen, stack_readings
from thermlog.words.vehicle import Axle, Vehicle

sys.path.insert(0, str(Path(__file__).parent.parent / "bench"))
other = importlib.import_module("otherworld")
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


def assert_same_findings(judged: Judged, cases: list[int]) -> None:
    """The short way to findings of plainly even cases gives what telling in full gives, limits too."""
    every = range(len(judged.readings.cases))
    ahead, bands = limits_ahead(judged, every, sharper=True), healthy_bands(judged, every, {})
    for k, short in zip(cases, even_findings(judged, cases, ahead, bands), strict=True):
        told = tell_findings(
            judged, k, refine=lambda _, facts, answers, danger: with_limits(facts, answers, ahead, danger)
        )
        assert short == with_advice(judged, k, replace(told, corners=beside_healthy(judged, k, told, bands)))


def alike(judged: Judged) -> tuple[int, int]:
    """Number of plainly even cases, each of which tells in full what its row says; and of all even ones."""
    plain, even = plainly_even(judged), 0
    rows: list[FleetRow] = []
    assert_same_findings(judged, np.flatnonzero(plain).tolist())
    for k, short in enumerate(plain.tolist()):
        told = tell_findings(judged, k)
        even += not told.flagged
        if short:
            answers = told.answers
            assert {answers.drag.answer, answers.idle.answer, answers.heat.answer} == {"no"}
            assert not told.flagged
            rows.append(plain_row(judged, k))
            assert rows_of(told, hottest=hottest_readings(judged, k)) == [rows[-1]]
    quiet = packed(rows)
    assert [*quiet] == rows
    assert quiet.places() == [line_place(row) for row in rows]
    return int(plain.sum()), even


@pytest.mark.parametrize(
    ("policy", "spread"), [(None, 0.03), (None, 0.15), ("light", 0.05), ("heavy", 0.05)], ids=str
)
def test_rows_of_plainly_even_vehicles_are_those_of_the_full_telling(policy, spread):
    chance = np.random.default_rng(7)
    fleet = stack_readings([simulated(chance, spread) for _ in range(VEHICLES)])
    plain, even = alike(judge(fleet, Settings(policy=policy and load_policy(policy))))
    # own numbers: enough that pass to mean something, enough that do not, and few even ones told in full
    assert 50 < plain < VEHICLES - 50
    assert plain > 0.85 * even


def own_fleets() -> list[Readings]:
    """Every class of the project's simulator, healthy and with every kind of fault, in two skin plans."""
    faults = [HEALTHY] * 12 + [
        Fault(kind="corner_hot", corners=("1L",), drag_nm=15.0),
        Fault(kind="corner_cold", corners=("1R",), lost_fraction=0.9),
        Fault(kind="axle_hot", corners=("1L", "1R"), drag_nm=15.0),
    ]
    return [
        simulate_fleet(
            vehicle_class,
            faults,
            seed=seed,
            plan=MeasurePlan(skins=skins, described=seed % 2 > 0),
        ).readings
        for seed, vehicle_class in enumerate(VEHICLE_CLASSES.values())
        for skins in (RUSTY_SKINS, MIXED_SKINS)
    ]


def other_fleets() -> list[Readings]:
    """The same of the simulator that shares nothing with the model, walked once to four times."""
    rng = np.random.default_rng(5)
    return [
        other.simulate(kind, fault, count, rng, rounds=rounds).readings
        for rounds, kind in enumerate(other.kinds())
        for fault, count in (("none", 15), ("corner_hot", 3), ("corner_cold", 3), ("all_hot", 2))
        for rounds in (1 + rounds % 4,)
    ]


@pytest.mark.parametrize("fleets", [own_fleets, other_fleets])
def test_simulated_vehicles_that_go_the_short_way_tell_alike_in_full(fleets):
    plain, _ = alike(judge(stack_readings(own_names(fleets())), Settings()))
    assert plain > 20  # own number: else nothing was compared


def own_names(fleets: list[Readings]) -> list[Readings]:
    """Drives of one name belong together: every vehicle gets a name and a file of its own."""
    named = []
    for number, fleet in enumerate(fleets):
        cases = tuple(
            replace(case, vehicle=f"{number}-{k}", log=replace(case.log, sha256=f"{number:032d}{k:032d}"))
            for k, case in enumerate(fleet.cases)
        )
        named.append(replace(fleet, cases=cases))
    return named


def test_policies_of_any_strictness_tell_alike():
    chance = np.random.default_rng(3)
    judged = judge(stack_readings([simulated(chance, 0.1) for _ in range(200)]), LIGHT)
    usual = load_policy("light")
    numbers = (
        "doubt_probability", "heat_watch_probability", "minimum_rise_k", "watch_difference_k",
        "tau_unlike_ratio", "urgent_brake_degc",
    )  # fmt: skip
    for number in numbers:
        for factor in (0.1, 0.5, 1.2):
            policy = replace(usual, **{number: factor * getattr(usual, number)})
            alike(replace(judged, policies=Few.all_one(policy, 200)))


def test_rows_need_no_more_than_the_findings():
    chance = np.random.default_rng(11)
    judged = judge(stack_readings([simulated(chance, 0.15) for _ in range(200)]), Settings())
    for k in range(200):
        whole, findings = tell(judged, k), tell_findings(judged, k)
        assert whole.flagged == findings.flagged
        assert [bare(row) for row in rows_of(whole)] == [bare(row) for row in rows_of(findings)]


def bare(row: FleetRow) -> tuple[FleetRow, list[object]]:
    """A row with the codes of its reasons alone: their numbers may say what the log would have shown."""
    reasons = (*row.finding.reasons, *row.cannot_tell)
    steps = () if row.decides is None else (row.decides.code in get_args(DoCode),)  # limits may reorder them
    silent = replace(row, finding=replace(row.finding, reasons=()), cannot_tell=(), decides=None)
    return silent, [
        *(one.code for one in reasons),
        *steps,
    ]


def test_healthy_vehicle_goes_the_short_way():
    assert alike(judge(walked(VAN_K), LIGHT)) == (1, 1)


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


@pytest.mark.parametrize(
    "about",
    [
        {"blind": (Blind(code="unknown_wheel", line=9, quoted="XX", value_degc=20.0),)},
        {"seen": (Seen(code="smell"),)},
        {"description": described("steer", "drive", "trailer")},
    ],
    ids=["a wheel nobody knows", "smell", "an axle that was not read"],
)
def test_what_is_not_seen_whole_is_told_in_full(about):
    read = walked(VAN_K)
    judged = judge(replace(read, cases=(replace(read.cases[0], **about),)), LIGHT)
    assert not plainly_even(judged).any()


def test_brake_past_an_urgent_line_is_told_in_full():
    hot = {corner: 3.0 * rise_k for corner, rise_k in VAN_K.items()}  # 330 °C in front
    assert not plainly_even(judge(walked(hot), LIGHT)).any()


def test_caliper_has_a_line_of_its_own():
    warm = {corner: 1.25 * rise_k for corner, rise_k in VAN_K.items()}  # about 147 °C: fluid may boil
    calipers = {f"{corner} caliper": rise_k for corner, rise_k in warm.items()}
    assert plainly_even(judge(walked(warm), LIGHT)).all()
    assert not plainly_even(judge(walked(calipers), LIGHT)).any()


def test_vehicle_driven_twice_is_told_in_full():
    both = stack_readings([walked(VAN_K), walked(dict.fromkeys(VAN_K, 12.0), replace(USUAL, drive="coast"))])
    assert not plainly_even(judge(both, LIGHT)).any()


def test_gun_on_hold_is_told_in_full():
    held = walked(VAN_K)
    first = held.indicated_degc[: len(VAN_K)]  # corner after corner, round after round
    assert not plainly_even(judge(replace(held, indicated_degc=np.tile(first, USUAL.rounds)), LIGHT)).any()


def test_axles_that_may_be_unlike_are_told_in_full():
    """Either reading of two unlike axles may be rare alone; together they are watched."""
    judged = judge(walked(VAN_K), LIGHT)
    shares = {"none": 0.82, "axle_hot": 0.1, "axle_cold": 0.08}
    p_kind = np.array([[shares.get(kind, 0.0) for kind in KINDS]])
    unlike = replace(judged, patterns=replace(judged.patterns, p_kind=p_kind))
    assert plainly_even(judged).all()
    assert not plainly_even(unlike).any()


@pytest.mark.parametrize("about", ["below the air", "the same again and again"])
def test_brake_that_cannot_be_judged_is_told_in_full(about):
    judged = judge(walked(VAN_K), LIGHT)
    told = judged.digest
    if about == "below the air":
        odd = replace(told, rise_k=[told.rise_k[0], [told.rise_k[1][0], -2.0]])
    else:
        odd = replace(told, unchanged=[told.unchanged[0], [False, True]])
    assert plainly_even(judged).all()
    assert not plainly_even(replace(judged, digest=odd)).any()


def test_gun_on_hold_from_the_first_wheel_to_the_last_is_told_in_full():
    """Two rounds of one and the same number: too few of a brake to see it there, too many in all."""
    judged = judge(walked(VAN_K), LIGHT)
    held = replace(judged.readings, indicated_degc=np.full(judged.readings.rows, 90.0))
    assert plainly_even(judged).all()
    assert not plainly_even(replace(judged, readings=held)).any()


def test_case_without_readings_is_told_in_full():
    assert plainly_even(judge(table([]), LIGHT)).tolist() == [False]
