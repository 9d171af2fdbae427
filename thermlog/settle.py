"""Does a record settle towards the stated ambient? A second fit, corner by corner, of its own level.

Only long records can answer: with a few readings in ten minutes the level a curve settles at is unknowable.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thermlog.fit import Fits
from thermlog.jointfit import Problem, solve
from thermlog.minimum import start_log_tau
from thermlog.pairs import Block, Pairs, blocks_of
from thermlog.stack import VOTES
from thermlog.tables import Bools, Floats, Readings

# Engineering judgement: below these the settling level is a guess.
FEWEST_READINGS = 8
_SHORTEST_WINDOW_TAU = 0.7
_LEAST_F_RATIO = 20.0  # about one in a thousand by chance with 8 readings (F distribution, 1 and 5 degrees)
_LEAST_GAP_K = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Settling:
    """Corner-by-corner fits with a settling temperature of their own.

    Attributes
    ----------
    level_degc, tau_s : float array (2, pairs)
        Where the record settles [°C] and its time constant [s]; NaN where the record is too short to ask.
    f_ratio : float array (2, pairs)
        Drop of the sum of squares from the stated ambient to the free level, over the remaining variance
        (F statistic with 1 and n - 3 degrees).
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
    shape = fits.log_tau.shape
    level, tau_s, ratio = (np.full(shape, np.nan) for _ in range(3))
    long_enough = fits.last_s - fits.first_s >= _SHORTEST_WINDOW_TAU * np.exp(fits.log_tau)
    asked = (fits.used >= FEWEST_READINGS) & long_enough
    if asked.any():
        voting = fits.left_out == VOTES
        for block in blocks_of(pairs):
            _settle_block(readings, block, (fits, voting), asked, (level, tau_s, ratio))
    ambient = fits.ambient_degc[pairs.case]
    with np.errstate(invalid="ignore"):
        unlike = (ratio > _LEAST_F_RATIO) & (np.abs(level - ambient) > _LEAST_GAP_K)
    return Settling(level_degc=level, tau_s=tau_s, f_ratio=ratio, unlike_ambient=unlike)


def _settle_block(
    readings: Readings,
    block: Block,
    joint: tuple[Fits, Bools],
    asked: Bools,
    out: tuple[Floats, Floats, Floats],
) -> None:
    fits, voting = joint
    side, pair, vehicle = np.nonzero(asked[:, block.pairs])
    if side.size == 0:
        return
    votes = block.spread(voting.astype(np.float64))[:, side, pair, vehicle]
    time_s = block.spread(readings.elapsed_s)[:, side, pair, vehicle] - fits.reference_s[block.cases[vehicle]]
    value = (
        block.spread(readings.indicated_degc)[:, side, pair, vehicle]
        - fits.ambient_degc[block.cases[vehicle]]
    )
    problem = free_level_problem(
        np.where(votes > 0, time_s, 0.0), np.where(votes > 0, value, 0.0), votes, fits
    )
    column = block.pairs[pair, vehicle]
    solution = solve(problem, start_log_tau(problem))
    held = solve(problem.with_ambient(np.full(side.size, np.inf)), solution.log_tau)
    left = np.maximum(solution.cost, 1e-12) / np.maximum(votes.sum(0) - 3, 1)
    level, tau_s, ratio = out
    settled = np.where(solution.converged, solution.ambient_shift_k, np.nan)
    level[side, column] = fits.ambient_degc[block.cases[vehicle]] + settled
    tau_s[side, column] = np.where(solution.converged, np.exp(solution.log_tau[0, 0]), np.nan)
    ratio[side, column] = (held.cost - solution.cost) / left


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
