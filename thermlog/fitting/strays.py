"""Strays in the joint fit: found where a vehicle looks suspicious, and let back in where wrongly accused."""

from __future__ import annotations

import numpy as np

from thermlog.fitting import screen
from thermlog.fitting.jointfit import Solution, solve
from thermlog.fitting.minimum import start_log_tau
from thermlog.fitting.stack import STRAY, VOTES, Stack, residual_of
from thermlog.words.tables import Bools, Floats, Ints

_SUSPICIOUS_SIGMAS = 3.0
_SUSPICIOUS_PRIOR = 9.0  # squared standard deviations of ln(tau) off its prior


def without_strays(stack: Stack, solution: Solution) -> Solution:
    """Take out strays where a vehicle looks suspicious, fit it again, and let good readings back in.

    Parameters
    ----------
    stack : Stack
        Its `voting` and `left_out` are changed.
    solution : Solution
        Fit of all voting readings.

    Returns
    -------
    Solution
        Fit of the readings that vote now.
    """
    off = residual_of(stack, solution) / stack.sigma_k
    odd = _odd(stack, solution, off)
    vehicles = np.flatnonzero(odd.any((0, 1)))
    if vehicles.size == 0:
        return solution
    voted = stack.voting
    series = _find_strays(stack, odd, _scatter(stack, off, vehicles))
    changed = np.flatnonzero((stack.voting != voted).any((0, 1, 2)))
    if changed.size == 0:
        return solution
    solution = _solve_again(stack, solution, changed)
    voted = stack.voting
    _readmit(stack, solution, series, changed)
    return _solve_again(stack, solution, np.flatnonzero((stack.voting != voted).any((0, 1, 2))))


def _odd(stack: Stack, solution: Solution, off: Floats) -> Bools:
    """Series with a reading far off the curve, or a time constant far off its prior."""
    pairs = stack.block.pairs
    prior_off = (solution.log_tau - stack.priors.log_tau_mean[pairs]) ** 2
    prior_off /= stack.priors.log_tau_spread[pairs] ** 2
    far = np.where(stack.voting, np.abs(off), 0.0).max(0) > _SUSPICIOUS_SIGMAS
    odd: Bools = (far | (prior_off > _SUSPICIOUS_PRIOR)) & (stack.voting.sum(0) > 1)
    return odd


def _scatter(stack: Stack, off: Floats, vehicles: Ints) -> Floats:
    """Scatter over the assumed one, from the middle of a vehicle's residuals: strays do not count.

    1 for the other vehicles.
    """
    voting = stack.voting[..., vehicles]
    dof = np.maximum(voting.sum((0, 1, 2)) - 2.0 * voting.any(0).sum((0, 1)), 0.0)
    values = np.where(voting, np.abs(off[..., vehicles]), np.inf).reshape(-1, vehicles.size)
    median = _median(values, voting.sum((0, 1, 2))) / 0.6745  # median of |z| of a standard normal variable
    assumed = stack.priors.noise_dof[stack.block.cases[vehicles]]
    with np.errstate(invalid="ignore"):
        blend = np.where(np.isfinite(assumed), (assumed + dof * median**2) / (assumed + dof), 1.0)
    scatter = np.ones(off.shape[-1])
    scatter[vehicles] = np.maximum(np.sqrt(blend), 1.0)
    return scatter


def _median(values: Floats, count: Ints) -> Floats:
    """Median of the `count` smallest values of every column (numpy has one, but it loads a large module)."""
    ordered, columns = np.sort(values, axis=0), np.arange(count.size)
    middle: Floats = 0.5 * (ordered[(count - 1) // 2, columns] + ordered[count // 2, columns])
    return middle


def _find_strays(stack: Stack, odd: Bools, scatter: Floats) -> tuple[Ints, Ints, Ints]:
    """Mark the strays of the odd series; the series are given back."""
    side, pair, vehicle = np.nonzero(odd)
    pairs = stack.block.pairs[pair, vehicle]
    found = screen.strays(
        screen.Series(
            time_s=stack.time_s[:, side, pair, vehicle],
            rise_k=stack.rise_k[:, side, pair, vehicle],
            voting=stack.voting[:, side, pair, vehicle],
            sigma_k=(stack.sigma_k * scatter)[side, pair, vehicle],
            log_tau_mean=stack.priors.log_tau_mean[pairs],
            log_tau_spread=stack.priors.log_tau_spread[pairs],
            law=stack.priors.law,
        )
    )
    _set_strays(stack, (side, pair, vehicle), found)
    return side, pair, vehicle


def _set_strays(stack: Stack, series: tuple[Ints, Ints, Ints], found: Bools) -> None:
    side, pair, vehicle = series
    left_out = stack.left_out[:, side, pair, vehicle]
    left_out = np.where(left_out == STRAY, VOTES, left_out)
    stack.left_out[:, side, pair, vehicle] = np.where(found, STRAY, left_out)
    stack.voting = stack.present & (stack.left_out == VOTES)


def _readmit(stack: Stack, solution: Solution, series: tuple[Ints, Ints, Ints], vehicles: Ints) -> None:
    """A reading that lies on the curve of the others votes after all."""
    off = residual_of(stack, solution) / stack.sigma_k
    standardised = off / _scatter(stack, off, vehicles)
    still = (stack.left_out == STRAY) & screen.is_stray(standardised)
    side, pair, vehicle = series
    _set_strays(stack, series, still[:, side, pair, vehicle])


def _solve_again(stack: Stack, solution: Solution, vehicles: Ints) -> Solution:
    if vehicles.size == 0:
        return solution
    problem = stack.problem().take(vehicles)
    return solution.put(vehicles, solve(problem, start_log_tau(problem)))
