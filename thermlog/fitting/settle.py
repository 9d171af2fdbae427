"""Does a record settle towards the stated ambient? A second fit, corner by corner, of its own level.

Only long records can answer: with a few readings in ten minutes the level a curve settles at is unknowable.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from thermlog.fitting.fit import Fits
from thermlog.fitting.jointfit import Problem, Solution, pair_covariance, solve
from thermlog.fitting.minimum import start_log_tau
from thermlog.fitting.pairs import Block, Pairs, blocks_of
from thermlog.fitting.stack import VOTES
from thermlog.physics.distributions import student_quantile
from thermlog.words.tables import Bools, Floats, Ints, Readings

# Engineering judgement: below these the settling level is a guess.
FEWEST_READINGS = 8
_SHORTEST_WINDOW_TAU = 0.7
_LARGEST_LEVEL_ERROR_K = 10.0
_LEAST_GAP_K = 3.0
_CHANCE = 1e-3  # of calling a record that does settle at the stated ambient


class Settling(Struct, frozen=True, kw_only=True, eq=False):
    """Corner-by-corner fits with a settling temperature of their own.

    Attributes
    ----------
    level_degc, tau_s : float array (2, pairs)
        Where the record settles [°C] and its time constant [s]; NaN where the record is too short to tell:
        few readings, a short window, or a level known no better than within 10 K.
    f_ratio : float array (2, pairs)
        Drop of the sum of squares from the stated ambient (as uncertain as it is stated) to the free level,
        over the remaining variance: F statistic with 1 and n - 3 degrees. NaN where nobody asked.
    unlike_ambient : bool array (2, pairs)
        True where the record clearly settles elsewhere than at the stated ambient.
    """

    level_degc: Floats
    tau_s: Floats
    f_ratio: Floats
    unlike_ambient: Bools


def settling(readings: Readings, pairs: Pairs, fits: Fits) -> Settling:
    """Fit every long record with its own settling temperature.

    Parameters
    ----------
    readings : Readings
    pairs : Pairs
    fits : Fits
        The joint fit of the same readings, whose strays and warming readings stay out.

    Returns
    -------
    Settling
    """
    level, tau_s, ratio = (np.full(fits.log_tau.shape, np.nan) for _ in range(3))
    with np.errstate(invalid="ignore"):
        long_enough = fits.last_s - fits.first_s >= _SHORTEST_WINDOW_TAU * np.exp(fits.log_tau)
    asked = (fits.used >= FEWEST_READINGS) & long_enough
    if asked.any():
        for block in blocks_of(pairs):
            side, pair, vehicle = np.nonzero(asked[:, block.pairs])
            if side.size:
                at = side, block.pairs[pair, vehicle]
                level[at], tau_s[at], ratio[at] = _settled(readings, block, fits, (side, pair, vehicle))
    limit = student_quantile(1.0 - _CHANCE / 2, np.maximum(fits.used - 3, 1)) ** 2
    with np.errstate(invalid="ignore"):
        far = np.abs(level - fits.ambient_degc[pairs.case]) > _LEAST_GAP_K
        unlike = far & (ratio > limit)
    return Settling(level_degc=level, tau_s=tau_s, f_ratio=ratio, unlike_ambient=unlike)


def _settled(
    readings: Readings, block: Block, fits: Fits, series: tuple[Ints, Ints, Ints]
) -> tuple[Floats, Floats, Floats]:
    """Level [°C], time constant [s] and F ratio of some series of a block: side, pair, vehicle."""
    side, pair, vehicle = series
    case = block.cases[vehicle]
    votes, time_s, value_degc = (
        block.spread(values)[:, side, pair, vehicle]
        for values in (
            (fits.left_out == VOTES).astype(np.float64),
            readings.elapsed_s - fits.reference_s[readings.case],
            readings.indicated_degc - fits.ambient_degc[readings.case],
        )
    )
    problem = free_level_problem(votes * time_s, votes * value_degc, votes, fits)
    free = solve(problem, start_log_tau(problem))
    variance = np.maximum(free.cost, 1e-12) / np.maximum(votes.sum(0) - 3, 1)
    with np.errstate(divide="ignore"):
        held_problem = problem.with_ambient(variance / fits.ambient_sigma_k[case] ** 2)
    held = solve(held_problem, free.log_tau)
    known = free.converged & (_level_variance(problem, free) * variance < _LARGEST_LEVEL_ERROR_K**2)
    level_degc = np.where(known, fits.ambient_degc[case] + free.ambient_shift_k, np.nan)
    tau_s = np.where(known, np.exp(free.log_tau[0, 0]), np.nan)
    return level_degc, tau_s, (held.cost - free.cost) / variance


def _level_variance(problem: Problem, free: Solution) -> Floats:
    """Variance of the settling level at unit scatter."""
    variance: Floats = pair_covariance(problem, free)[4, 4, 0]
    return variance


def free_level_problem(time_s: Floats, rise_k: Floats, weight: Floats, fits: Fits) -> Problem:
    """Each series as a vehicle of its own with a floating ambient and no prior.

    Parameters
    ----------
    time_s, rise_k, weight : float array (readings, series)
    fits : Fits
        For the law.

    Returns
    -------
    Problem
        The series stand on the left side of one pair; the right side is empty.
    """
    shape = (time_s.shape[0], 2, 1, time_s.shape[1])
    columns = []
    for column in (time_s, rise_k, weight):
        array = np.zeros(shape)
        array[:, 0, 0] = column
        columns.append(array)
    nothing = np.zeros((1, time_s.shape[1]))
    return Problem(
        time_s=columns[0],
        rise_k=columns[1],
        weight=columns[2],
        ambient_precision=nothing[0],
        log_tau_mean=nothing + np.log(1800.0),  # a start for series without a clear fall, not a prior
        precision_own=nothing,
        precision_cross=nothing,
        law=fits.law,
    )
