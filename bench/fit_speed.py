"""Fits per second of the batch against `scipy.optimize.curve_fit`, in one run and in interleaved rounds.

Run it as ``python bench/fit_speed.py``. Simulated logs: 1 000 vehicles of five axles, six readings a corner.
`curve_fit` gets good starts and is timed on a part of the corners and vehicles; it has no batch, so its time
is taken as linear.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from statistics import median

import numpy as np
from msgspec import Struct
from scipy.optimize import curve_fit

from thermlog.fitting.fit import fit
from thermlog.fitting.jointfit import Problem, Solution, pair_covariance, solve
from thermlog.fitting.minimum import start_log_tau
from thermlog.fitting.pairs import pair_readings
from thermlog.fitting.stack import Priors
from thermlog.words.tables import Case, Floats, LogRecord, Readings

VEHICLES, AXLES, ROUNDS = 1000, 5, 6
CORNERS = 2 * AXLES * VEHICLES
BENCH_ROUNDS = 7
CORNERS_FOR_CURVE_FIT, VEHICLES_FOR_CURVE_FIT = 300, 40
AMBIENT_DEGC, AMBIENT_SIGMA_K, SCATTER_K = 18.0, 2.0, 1.5
LOG_TAU, LOG_TAU_SPREAD, SIDE_SPREAD = float(np.log(1800.0)), 0.5, 0.2
BLOCK = 1000  # vehicles solved together, about the size the program chooses


def main() -> None:
    """Measure and print."""
    readings = simulated(np.random.default_rng(1))
    whole = joint_problem(readings)
    single = one_corner_each(whole)
    ours = {
        "each corner alone, bare fit with covariance": lambda: bare(single),
        "whole vehicles jointly, bare fit with covariance": lambda: bare(whole),
        "whole vehicles from the readings table: pairing, strays, scatter, covariance": lambda: full(
            readings
        ),
    }
    corner_times, vehicle_times = [], []
    our_times: dict[str, list[float]] = {name: [] for name in ours}
    for _ in range(BENCH_ROUNDS):
        corner_times.append(seconds(lambda: by_corner(single)) * CORNERS / CORNERS_FOR_CURVE_FIT)
        vehicle_times.append(seconds(lambda: by_vehicle(whole)) * VEHICLES / VEHICLES_FOR_CURVE_FIT)
        for name, job in ours.items():
            our_times[name].append(seconds(job))
    print(f"{CORNERS} corners on {VEHICLES} vehicles, {readings.rows} readings; medians of {BENCH_ROUNDS}")
    line(
        "curve_fit, one corner a call", CORNERS, corner_times, [], f"timed on {CORNERS_FOR_CURVE_FIT} corners"
    )
    line(
        "curve_fit, one vehicle a call, 21 unknowns",
        CORNERS,
        vehicle_times,
        [],
        f"timed on {VEHICLES_FOR_CURVE_FIT}",
    )
    print("against curve_fit corner by corner:")
    for name, times in our_times.items():
        line(name, CORNERS, times, corner_times)
    print("against curve_fit on the same joint problem:")
    for name, times in list(our_times.items())[1:]:
        line(name, CORNERS, times, vehicle_times)
    agreement(single, whole)


def line(name: str, corners: int, times: list[float], rival: list[float], note: str = "") -> None:
    """One row of the result."""
    ratios = [theirs / ours for theirs, ours in zip(rival, times, strict=False)]
    ratio = f", {median(ratios):.0f} times ({min(ratios):.0f} to {max(ratios):.0f})" if ratios else ""
    print(f"  {corners / median(times):>11,.0f} corners/s{ratio}  {name}{f' ({note})' if note else ''}")


def seconds(job: Callable[[], object]) -> float:
    """Wall time of one call."""
    begin = time.perf_counter()
    job()
    return time.perf_counter() - begin


def simulated(rng: np.random.Generator) -> Readings:
    """Every corner warm, every reading there, no misses."""
    vehicle, lap, axle, side = (
        index.ravel() for index in np.indices((VEHICLES, ROUNDS, AXLES, 2), dtype=np.int64)
    )
    corners = (VEHICLES, AXLES, 2)
    tau_s = np.exp(rng.normal(LOG_TAU, LOG_TAU_SPREAD, (VEHICLES, AXLES, 1)) + rng.normal(0.0, 0.1, corners))
    rise_k = rng.uniform(40.0, 230.0, corners)
    elapsed_s = 144.0 * lap + 12.0 * (2 * axle + side) + rng.uniform(0.0, 5.0, vehicle.size)
    shown = AMBIENT_DEGC + rng.normal(0.0, AMBIENT_SIGMA_K, VEHICLES)[vehicle]
    shown += rise_k[vehicle, axle, side] * np.exp(-elapsed_s / tau_s[vehicle, axle, side])
    log = LogRecord(file="simulated", sha256="", rows_read=0, rows_used=0)
    return Readings(
        cases=(Case(log=log),) * VEHICLES,
        case=vehicle,
        line=np.arange(vehicle.size),
        axle=axle + 1,
        side=side,
        spot=np.zeros_like(side),
        elapsed_s=elapsed_s,
        indicated_degc=shown + rng.normal(0.0, SCATTER_K, vehicle.size),
        emissivity=np.full(vehicle.size, np.nan),
        distance_m=np.full(vehicle.size, np.nan),
    )


def joint_problem(readings: Readings) -> Problem:
    """The same readings as the bare fit takes them."""
    size = (VEHICLES, ROUNDS, AXLES, 2)
    time_s, shown = (
        np.ascontiguousarray(column.reshape(size).transpose(1, 3, 2, 0))
        for column in (readings.elapsed_s, readings.indicated_degc)
    )
    common = LOG_TAU_SPREAD**2 - SIDE_SPREAD**2 / 2
    determinant = LOG_TAU_SPREAD**4 - common**2
    per_pair = np.ones((AXLES, VEHICLES))
    return Problem(
        time_s=time_s,
        rise_k=shown - AMBIENT_DEGC,
        weight=np.full(time_s.shape, SCATTER_K**-2),
        ambient_precision=np.full(VEHICLES, AMBIENT_SIGMA_K**-2),
        log_tau_mean=LOG_TAU * per_pair,
        precision_own=LOG_TAU_SPREAD**2 / determinant * per_pair,
        precision_cross=-common / determinant * per_pair,
        law="exponential",
    )


def one_corner_each(whole: Problem) -> Problem:
    """Every corner as a vehicle of its own, the other side empty: what `curve_fit` does corner by corner."""
    columns = [np.zeros((ROUNDS, 2, 1, CORNERS)) for _ in range(3)]
    for column, name in zip(columns, ("time_s", "rise_k", "weight"), strict=True):
        column[:, 0, 0] = getattr(whole, name).reshape(ROUNDS, CORNERS)
    per_corner = np.ones((1, CORNERS))
    return Problem(
        time_s=columns[0],
        rise_k=columns[1],
        weight=columns[2],
        ambient_precision=np.full(CORNERS, AMBIENT_SIGMA_K**-2),
        log_tau_mean=LOG_TAU * per_corner,
        precision_own=LOG_TAU_SPREAD**-2 * per_corner,
        precision_cross=0.0 * per_corner,
        law="exponential",
    )


class Bare(Struct, frozen=True):
    """Solution and covariance of a block."""

    solution: Solution
    covariance: Floats


def bare(whole: Problem) -> list[Bare]:
    """The bare fit, block by block."""
    blocks = []
    count, per_block = whole.ambient_precision.size, BLOCK * 2 * AXLES // whole.weight[0].shape[1] // 2
    per_block = min(per_block, count)
    for begin in range(0, count, per_block):
        part = whole.take(np.arange(begin, min(begin + per_block, count)))
        solution = solve(part, start_log_tau(part))
        blocks.append(Bare(solution, pair_covariance(part, solution)))
    return blocks


def full(readings: Readings) -> object:
    """Everything between the readings table and the comparison of sides."""
    pairs = pair_readings(readings)
    return fit(readings, pairs, priors(pairs.count))


def priors(pairs: int) -> Priors:
    """The same assumptions, as the program states them."""
    return Priors(
        log_tau_mean=np.full(pairs, LOG_TAU),
        log_tau_spread=np.full(pairs, LOG_TAU_SPREAD),
        side_spread=np.full(pairs, SIDE_SPREAD),
        ambient_degc=np.full(VEHICLES, AMBIENT_DEGC),
        ambient_sigma_k=np.full(VEHICLES, AMBIENT_SIGMA_K),
        reading_sigma_k=np.full(VEHICLES, SCATTER_K),
        aim_fraction=np.zeros(VEHICLES),
        floor_sigma_k=np.full(VEHICLES, 0.5),
        noise_dof=np.full(VEHICLES, 6.0),
    )


def by_corner(single: Problem, corners: int = CORNERS_FOR_CURVE_FIT) -> list[tuple[Floats, Floats]]:
    """`curve_fit` of rise, ln tau and ambient shift, with the priors of both as two more data points."""
    sigma = np.array([SCATTER_K] * ROUNDS + [LOG_TAU_SPREAD, AMBIENT_SIGMA_K])

    def curve(times: Floats, rise: float, log_tau: float, shift: float) -> Floats:
        return np.concatenate([rise * np.exp(-times[:ROUNDS] * np.exp(-log_tau)) + shift, [log_tau, shift]])

    found = []
    for k in range(corners):
        times, seen = single.time_s[:, 0, 0, k], single.rise_k[:, 0, 0, k]
        start = [seen[0], LOG_TAU, 0.0]
        data = np.concatenate([seen, [LOG_TAU, 0.0]])
        found.append(curve_fit(curve, times, data, start, sigma=sigma, absolute_sigma=True))
    return found


def by_vehicle(whole: Problem, vehicles: int = VEHICLES_FOR_CURVE_FIT) -> list[tuple[Floats, Floats]]:
    """`curve_fit` of ten rises, ten ln tau and one ambient shift, priors as eleven more data points."""
    n = 2 * AXLES
    own, cross = whole.precision_own[0, 0], whole.precision_cross[0, 0]
    tie = np.kron(np.linalg.cholesky([[own, cross], [cross, own]]).T, np.eye(AXLES))
    sigma = np.concatenate([np.full(ROUNDS * n, SCATTER_K), np.ones(n), [AMBIENT_SIGMA_K]])
    found = []
    for k in range(vehicles):
        times, seen = (column[..., k].reshape(ROUNDS, n) for column in (whole.time_s, whole.rise_k))

        def curve(_: Floats, *p: float, times: Floats = times) -> Floats:
            values = np.array(p)
            rises, log_tau, shift = values[:n], values[n:-1], values[-1]
            return np.concatenate(
                [(rises * np.exp(-times * np.exp(-log_tau)) + shift).ravel(), tie @ log_tau, [shift]]
            )

        start = np.concatenate([seen[0], np.full(n, LOG_TAU), [0.0]])
        data = np.concatenate([seen.ravel(), tie @ np.full(n, LOG_TAU), [0.0]])
        found.append(curve_fit(curve, times.ravel(), data, start, sigma=sigma, absolute_sigma=True))
    return found


def agreement(single: Problem, whole: Problem) -> None:
    """How far both ways lie apart, at the default tolerance of `curve_fit`."""
    alone, jointly = bare(single), bare(whole)
    theirs = by_corner(single)
    tau = (
        np.array([p[1] for p, _ in theirs]),
        joined([b.solution.log_tau[0, 0] for b in alone])[: len(theirs)],
    )
    rise = (
        np.array([p[0] for p, _ in theirs]),
        joined([b.solution.amplitude_k[0, 0] for b in alone])[: len(theirs)],
    )
    spread = (
        np.array([np.sqrt(c[1, 1]) for _, c in theirs]),
        joined([np.sqrt(b.covariance[1, 1, 0]) for b in alone])[: len(theirs)],
    )
    report("corner by corner", rise, tau, spread)
    theirs, n = by_vehicle(whole), 2 * AXLES
    tau = (
        np.array([p[n:-1] for p, _ in theirs]).T,
        joined([b.solution.log_tau.reshape(n, -1) for b in jointly]),
    )
    rise = (
        np.array([p[:n] for p, _ in theirs]).T,
        joined([b.solution.amplitude_k.reshape(n, -1) for b in jointly]),
    )
    left = np.array([np.sqrt(np.diag(c)[n : n + AXLES]) for _, c in theirs]).T
    spread = left, joined([np.sqrt(b.covariance[1, 1]) for b in jointly])
    report("whole vehicles", *((a, b[:, : len(theirs)]) for a, b in (rise, tau, spread)))


def joined(parts: list[Floats]) -> Floats:
    """Blocks side by side again."""
    return np.concatenate(parts, axis=-1)


def report(name: str, *columns: tuple[Floats, Floats]) -> None:
    """Largest relative differences of rise, tau and the standard deviation of ln tau."""
    rise, tau, spread = columns
    off = (
        np.abs(rise[0] / rise[1] - 1.0).max(),
        np.abs(np.expm1(tau[0] - tau[1])).max(),
        np.abs(spread[0] / spread[1] - 1.0).max(),
    )
    print(
        f"largest relative difference, {name}: rise {off[0]:.0e}, tau {off[1]:.0e}, sd of ln tau {off[2]:.0e}"
    )


if __name__ == "__main__":
    main()
