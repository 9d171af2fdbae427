"""The lowest minimum of the joint fit: a start from the data, and a look along ln(tau) where it may fail."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from thermlog.fitting.jointfit import Problem, Solution, pick, solve
from thermlog.physics.cooling import law_shape
from thermlog.words.tables import Bools, Floats

_WEAK_SIGNAL_SIGMAS = 12.0  # below it a valley beside the first one is possible: look along ln(tau)
_POOR_FIT_SIGMAS = 4.0  # likewise where the objective is this far above the number of readings
_GRID = np.linspace(np.log(5.0), np.log(500000.0), 47)  # step 0.25: valleys are about 1 wide
_LEAST_GAIN = 1e-7  # of the objective: less is rounding
_MOST_LOOKS = 8


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


def deepened(problem: Problem, solution: Solution) -> Solution:
    """Look along each ln(tau) of doubtful vehicles, and start again wherever a deeper valley shows.

    Parameters
    ----------
    problem : Problem
    solution : Solution

    Returns
    -------
    Solution
        Nowhere higher than the one given.
    """
    doubtful = np.flatnonzero(_is_doubtful(problem, solution))
    for _ in range(_MOST_LOOKS):
        if doubtful.size == 0:
            break
        some, here = problem.take(doubtful), solution.take(doubtful)
        start, deeper = _deeper_start(some, here)
        doubtful = doubtful[deeper]
        if doubtful.size:
            again = solve(some.take(deeper), pick(start, deeper))
            solution = solution.put(doubtful, _keep_lower(here.take(deeper), again))
    return solution


def _is_doubtful(problem: Problem, solution: Solution) -> Bools:
    """True for vehicles with a faint corner or a poor fit: a valley beside the first one is possible."""
    signal = np.sqrt((problem.weight * problem.rise_k**2).sum(0))
    voting = problem.weight > 0
    faint = ((signal < _WEAK_SIGNAL_SIGMAS) & voting.any(0)).any((0, 1))
    readings = voting.sum((0, 1, 2))
    poor = solution.cost > readings + _POOR_FIT_SIGMAS * np.sqrt(2.0 * readings)
    doubtful: Bools = faint | poor | ~solution.converged
    return doubtful


def _deeper_start(problem: Problem, solution: Solution) -> tuple[Floats, Bools]:
    """Each ln(tau) at its best place on the grid, if that beats the solution, and for whom one does."""
    best = np.broadcast_to(solution.cost - _LEAST_GAIN, solution.log_tau.shape)
    start, found = solution.log_tau, best
    for value, costs in zip(_GRID, profile_costs(problem, solution, _GRID), strict=True):
        start, found = np.where(costs < found, value, start), np.where(costs < found, costs, found)
    # one corner a vehicle at a time: two that move together may make it worse
    gain = (best - found).reshape(-1, best.shape[-1])
    most = (np.arange(gain.shape[0])[:, None] == gain.argmax(0)).reshape(best.shape)
    return np.where(most, start, solution.log_tau), gain.max(0) > 0


def profile_costs(problem: Problem, solution: Solution, grid_log_tau: Floats) -> Iterator[Floats]:
    """Objective along every single ln(tau): amplitudes and ambient solved anew, the other ln(tau) held.

    Parameters
    ----------
    problem : Problem
    solution : Solution
        Where the other ln(tau) are held.
    grid_log_tau : float array (points,)
        Values to try.

    Yields
    ------
    float array (2, pairs, vehicles)
        One a point.
    """
    with np.errstate(over="ignore", under="ignore", invalid="ignore", divide="ignore"):
        alone, pull, stiffness = (part.sum((0, 1)) - part for part in _parts(problem, solution.log_tau))
        stiffness += problem.ambient_precision
        mate = (solution.log_tau - problem.log_tau_mean)[::-1]
        tied = _tie(problem, solution.log_tau - problem.log_tau_mean, mate)
        alone += 0.5 * tied.sum((0, 1)) - tied  # each pair's prior stands there twice, once a side
        for value in grid_log_tau:
            own_alone, own_pull, own_stiffness = _parts(problem, np.full_like(solution.log_tau, value))
            shared = (pull + own_pull) ** 2 / np.maximum(stiffness + own_stiffness, 1e-300)
            yield alone + own_alone - shared + _tie(problem, value - problem.log_tau_mean, mate)


def _parts(problem: Problem, log_tau: Floats) -> tuple[Floats, Floats, Floats]:
    """What each corner adds to the objective at zero ambient shift, and to the shift's pull and stiffness."""
    shape, _ = law_shape(problem.time_s * np.exp(-log_tau), problem.law)
    weighted = problem.weight * shape
    mm = np.maximum((weighted * shape).sum(0), 1e-300)
    m, my = weighted.sum(0), (weighted * problem.rise_k).sum(0)
    held = problem.weight * problem.rise_k
    return (
        (held * problem.rise_k).sum(0) - my * my / mm,
        held.sum(0) - m / mm * my,
        problem.weight.sum(0) - m * m / mm,
    )


def _tie(problem: Problem, off: Floats, mate: Floats) -> Floats:
    """Prior of a pair whose one side is `off` its mean and the other `mate`."""
    return problem.precision_own * (off * off + mate * mate) + 2 * problem.precision_cross * off * mate


def _keep_lower(one: Solution, other: Solution) -> Solution:
    return one.put(lower, other.take(lower)) if (lower := other.cost < one.cost).any() else one
