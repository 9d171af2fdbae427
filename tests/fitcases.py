"""Made-up readings for the tests of the fit: cooling curves with known answers, easy ones and hard ones."""

from typing import Any, get_args

import numpy as np
from msgspec import Struct

from thermlog.fitting.fit import Fits, fit
from thermlog.fitting.jointfit import Problem, Solution, solve
from thermlog.fitting.minimum import deepened, start_log_tau
from thermlog.fitting.pairs import Pairs, pair_readings
from thermlog.fitting.stack import Priors
from thermlog.physics.cooling import Law, law_shape
from thermlog.words.tables import Bools, Case, Floats, LogRecord, Readings

LOG = LogRecord(file="made-up.csv", sha256="0" * 64, rows_read=0, rows_used=0)
LAWS: tuple[Law, ...] = get_args(Law)
MEDIAN_TAU_S = 1800.0
TAU_SPREAD, SIDE_SPREAD = 0.5, 0.2
STATED_AMBIENT_DEGC, AMBIENT_SIGMA_K = 18.0, 2.0


class Plan(Struct, frozen=True, kw_only=True):
    """How a heap of logs is made: every case has the same axles, walked round the same number of times."""

    cases: int
    axles: int = 2
    rounds: int = 6
    misses: float = 0.0
    law: Law = "exponential"
    reading_sigma_k: float = 1.0
    aim_fraction: float = 0.03
    round_s: float = 240.0
    scatter_dof: float = np.inf  # how well the scatter of a log is known beforehand; inf: exactly


class Truth(Struct, frozen=True, kw_only=True):
    """What the readings were made of; rises at time zero of the log."""

    rise_k: Floats  # (2, pairs)
    log_tau: Floats  # (2, pairs)
    ambient_degc: Floats  # (cases,)
    missed: Bools  # (rows,)


def logs(rng: np.random.Generator, plan: Plan) -> tuple[Readings, Truth]:
    """Logs in time order of the walk, drawn from the same distributions that `priors` states."""
    corners = (plan.cases, plan.axles, 2)
    common = rng.normal(0.0, np.sqrt(TAU_SPREAD**2 - SIDE_SPREAD**2 / 2), (plan.cases, plan.axles, 1))
    log_tau = np.log(MEDIAN_TAU_S) + common + rng.normal(0.0, SIDE_SPREAD / np.sqrt(2), corners)
    rise_k = rng.uniform(40.0, 200.0, corners)
    ambient = STATED_AMBIENT_DEGC + rng.normal(0.0, AMBIENT_SIGMA_K, plan.cases)
    case, lap, axle, side = (
        index.ravel() for index in np.indices((plan.cases, plan.rounds, plan.axles, 2), dtype=np.int64)
    )
    elapsed = 20.0 + plan.round_s * lap + 15.0 * (2 * axle + side) + rng.uniform(-4.0, 4.0, case.size)
    shape, _ = law_shape(elapsed * np.exp(-log_tau[case, axle, side]), plan.law)
    rise = rise_k[case, axle, side] * shape
    scatter = np.hypot(plan.reading_sigma_k, plan.aim_fraction * rise)
    if np.isfinite(plan.scatter_dof):  # the distribution of scatter that "worth so many readings" means
        scatter *= np.sqrt(plan.scatter_dof / rng.chisquare(plan.scatter_dof, plan.cases))[case]
    seen = rise + rng.normal(size=case.size) * scatter
    missed = rng.random(case.size) < plan.misses
    seen = np.where(missed, rise * rng.uniform(0.0, 0.5, case.size), seen)
    readings = table(
        case=case, axle=axle + 1, side=side, elapsed_s=elapsed, indicated_degc=ambient[case] + seen
    )
    truth = Truth(
        rise_k=rise_k.reshape(-1, 2).T, log_tau=log_tau.reshape(-1, 2).T, ambient_degc=ambient, missed=missed
    )
    return readings, truth


def table(*, case: Any, axle: Any, side: Any, elapsed_s: Any, indicated_degc: Any) -> Readings:
    """A readings table from its columns; everything aimed at the brake."""
    elapsed = np.asarray(elapsed_s, dtype=np.float64)
    column = np.broadcast_to(np.asarray(case, dtype=np.int64), elapsed.shape)
    blank = np.full(elapsed.shape, np.nan)
    return Readings(
        cases=tuple(Case(log=LOG) for _ in range(int(column.max(initial=0)) + 1)),
        case=column.copy(),
        line=np.arange(2, elapsed.size + 2),
        axle=np.broadcast_to(np.asarray(axle, dtype=np.int64), elapsed.shape).copy(),
        side=np.broadcast_to(np.asarray(side, dtype=np.int64), elapsed.shape).copy(),
        spot=np.zeros(elapsed.shape, dtype=np.int64),
        elapsed_s=elapsed,
        indicated_degc=np.asarray(indicated_degc, dtype=np.float64),
        emissivity=blank,
        distance_m=blank,
    )


def corner(times_s: Any, temps_degc: Any, *, axle: int = 1, side: int = 0) -> Readings:
    """One corner of one vehicle."""
    return table(case=0, axle=axle, side=side, elapsed_s=times_s, indicated_degc=temps_degc)


def both_sides(left: tuple[Any, Any], right: tuple[Any, Any]) -> Readings:
    """One axle of one vehicle: (times, temperatures) left and right."""
    return table(
        case=0,
        axle=1,
        side=np.repeat([0, 1], [len(left[0]), len(right[0])]),
        elapsed_s=np.concatenate([left[0], right[0]]),
        indicated_degc=np.concatenate([left[1], right[1]]),
    )


def rows(readings: Readings, order: Any) -> Readings:
    """The same table with its rows picked or put in another order."""
    return readings.take(order)


def priors(pairs: Pairs, cases: int, **changes: Any) -> Priors:
    """What `logs` draws from; numbers given by name replace a whole column."""
    per_pair = {
        "log_tau_mean": np.log(MEDIAN_TAU_S),
        "log_tau_spread": TAU_SPREAD,
        "side_spread": SIDE_SPREAD,
    }
    per_case = {
        "ambient_degc": STATED_AMBIENT_DEGC,
        "ambient_sigma_k": AMBIENT_SIGMA_K,
        "reading_sigma_k": 1.0,
        "aim_fraction": 0.03,
        "floor_sigma_k": 0.5,
        "noise_dof": 6.0,
    }
    columns: dict[str, Any] = {k: np.full(pairs.count, changes.pop(k, v)) for k, v in per_pair.items()}
    columns |= {k: np.full(cases, changes.pop(k, v)) for k, v in per_case.items()}
    return Priors(**columns, **changes)


def fitted(readings: Readings, **changes: Any) -> Fits:
    """The fit of logs under `priors`."""
    pairs = pair_readings(readings)
    return fit(readings, pairs, priors(pairs, len(readings.cases), **changes))


def no_prior(**changes: Any) -> dict[str, Any]:
    """Plain least squares with the ambient held, unit weights and nobody thrown out."""
    plain = {
        "log_tau_spread": np.inf,
        "ambient_sigma_k": 0.0,
        "aim_fraction": 0.0,
        "noise_dof": np.inf,
        "find_strays": False,
    }
    return plain | changes


class Shape(Struct, frozen=True, kw_only=True):
    """Size of a problem of the bare fit."""

    vehicles: int
    pairs: int = 5
    readings: int = 6


def problem(rng: np.random.Generator, shape: Shape, law: Law = "exponential") -> Problem:
    """Whole vehicles as the bare fit takes them: warm corners, all readings there, ambient 2 K uncertain."""
    size = (shape.readings, 2, shape.pairs, shape.vehicles)
    log_tau = np.log(rng.uniform(480.0, 1500.0, size[1:]))
    rise_k = rng.uniform(40.0, 230.0, size[1:])
    time_s = np.linspace(0.0, 720.0, shape.readings)[:, None, None, None] + rng.uniform(0.0, 100.0, size[1:])
    level, _ = law_shape(time_s * np.exp(-log_tau), law)
    seen = rise_k * level + rng.normal(0.0, 1.5, size) + rng.normal(0.0, 2.0, shape.vehicles)
    return stated(time_s, seen, np.full(size, 1.5**-2), law)


def hard_problem(rng: np.random.Generator, shape: Shape, law: Law = "exponential") -> Problem:
    """Cold corners, corners near and below ambient, one or two readings, none at all, outliers, odd rates."""
    size = (shape.readings, 2, shape.pairs, shape.vehicles)
    kind = rng.choice(4, size[1:], p=(0.4, 0.25, 0.2, 0.15))
    rise_k = np.choose(
        kind, [rng.uniform(a, b, size[1:]) for a, b in ((40.0, 300.0), (0.0, 6.0), (-6.0, 1.0), (6.0, 40.0))]
    )
    usual = np.log(MEDIAN_TAU_S) + rng.normal(0.0, TAU_SPREAD, size[1:])
    odd = np.log(rng.uniform(60.0, 30000.0, size[1:]))
    log_tau = np.where(rng.random(size[1:]) < 0.2, odd, usual)
    step_s = rng.choice([5.0, 60.0, 240.0], shape.vehicles)
    time_s = rng.uniform(0.0, 1.0, size) + np.arange(shape.readings)[:, None, None, None]
    time_s = (time_s - time_s.min((0, 1, 2))) * step_s
    level, _ = law_shape(time_s * np.exp(-log_tau), law)
    seen = rise_k * level + rng.normal(0.0, 1.5, size) + rng.normal(0.0, 2.0, shape.vehicles)
    seen = np.where(rng.random(size) < 0.04, seen * rng.uniform(0.0, 1.6, size), seen)
    there = np.arange(shape.readings)[:, None, None, None] < rng.integers(0, shape.readings + 1, size[1:])
    return stated(time_s * there, seen * there, there * 1.5**-2, law)


def stated(time_s: Floats, rise_k: Floats, weight: Floats, law: Law) -> Problem:
    """The problem with the usual priors."""
    pairs, vehicles = time_s.shape[2:]
    common = TAU_SPREAD**2 - SIDE_SPREAD**2 / 2
    determinant = TAU_SPREAD**4 - common**2
    return Problem(
        time_s=time_s,
        rise_k=rise_k,
        weight=weight,
        ambient_precision=np.full(vehicles, AMBIENT_SIGMA_K**-2),
        log_tau_mean=np.full((pairs, vehicles), np.log(MEDIAN_TAU_S)),
        precision_own=np.full((pairs, vehicles), TAU_SPREAD**2 / determinant),
        precision_cross=np.full((pairs, vehicles), -common / determinant),
        law=law,
    )


def lowest(whole: Problem) -> Solution:
    """The bare fit as the fit of logs runs it: from starts of its own, then a look for deeper valleys."""
    return deepened(whole, solve(whole, start_log_tau(whole)))
