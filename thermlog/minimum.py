"""The lowest minimum of the joint fit: a start from the data, and a look along ln(tau) where it may fail."""

from __future__ import annotations

import numpy as np

from thermlog.jointfit import Problem, Solution, profile_cost, solve
from thermlog.tables import Bools, Floats

_WEAK_SIGNAL_SIGMAS = 12.0  # below it a valley beside the first one is possible: look along ln(tau)
_GRID = np.linspace(np.log(60.0), np.log(60000.0), 29)


def lowest(problem: Problem) -> Solution:
    """Solve every vehicle from a start of its own.

    Parameters
    ----------
    problem : Problem

    Returns
    -------
    Solution
    """
    return _global_minimum(problem, solve(problem, start_log_tau(problem)))


def start_log_tau(problem: Problem) -> Floats:
    """First guess of ln(tau): a straight line through ln(rise) where the rise is clear, else the prior.

    Parameters
    ----------
    problem : Problem

    Returns
    -------
    float array (2, pairs, vehicles)
    """
    clear = (problem.rise_k**2 * problem.weight > 9.0) & (problem.rise_k > 0)
    height = np.where(clear, problem.rise_k, 1.0)
    log_height = np.log(height)
    weight = np.where(clear, problem.weight * height**2, 0.0)
    total = np.maximum(weight.sum(0), 1e-300)
    time_mean = (weight * problem.time_s).sum(0) / total
    off = problem.time_s - time_mean
    spread = (weight * off * off).sum(0)
    slope = (weight * off * log_height).sum(0) / np.maximum(spread, 1e-300)
    prior = np.broadcast_to(problem.log_tau_mean, slope.shape)
    falls = (slope < 0) & (spread > 0)
    guess = -np.log(np.where(falls, -slope, 1.0))
    near = falls & (np.abs(guess - prior) < 3.0)
    return np.where(near, guess, prior)


def _global_minimum(problem: Problem, solution: Solution) -> Solution:
    """Look along each ln(tau) of vehicles with a faint corner, and start again from a deeper valley."""
    signal = np.sqrt((problem.weight * problem.rise_k**2).sum(0))
    has = problem.weight.any(0)
    faint = ((signal < _WEAK_SIGNAL_SIGMAS) & has).any((0, 1)) | ~solution.converged
    if not faint.any():
        return solution
    some = problem.take(faint)
    better = _deeper_start(some, take(solution, faint))
    if better is None:
        return solution
    return put(solution, faint, _keep_lower(take(solution, faint), solve(some, better)))


def _deeper_start(problem: Problem, solution: Solution) -> Floats | None:
    start, found = solution.log_tau.copy(), False
    for side in (0, 1):
        for pair in range(start.shape[1]):
            costs = profile_cost(problem, solution, side, pair, _GRID)
            lowest = costs.argmin(0)
            deeper = costs.min(0) < solution.cost - 1e-9
            start[side, pair] = np.where(deeper, _GRID[lowest], start[side, pair])
            found |= bool(deeper.any())
    return start if found else None


def take(solution: Solution, vehicles: Bools) -> Solution:
    """The solution of some of the vehicles."""
    return Solution(
        log_tau=solution.log_tau[..., vehicles],
        amplitude_k=solution.amplitude_k[..., vehicles],
        ambient_shift_k=solution.ambient_shift_k[vehicles],
        cost=solution.cost[vehicles],
        converged=solution.converged[vehicles],
    )


def put(solution: Solution, vehicles: Bools, part: Solution) -> Solution:
    """The solution with some of the vehicles replaced."""
    whole = take(solution, np.ones_like(vehicles))
    whole.log_tau[..., vehicles] = part.log_tau
    whole.amplitude_k[..., vehicles] = part.amplitude_k
    whole.ambient_shift_k[vehicles] = part.ambient_shift_k
    whole.cost[vehicles] = part.cost
    whole.converged[vehicles] = part.converged
    return whole


def _keep_lower(one: Solution, other: Solution) -> Solution:
    return put(one, lower, take(other, lower)) if (lower := other.cost < one.cost).any() else one
