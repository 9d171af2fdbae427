"""Strays in the joint fit: found where a vehicle looks suspicious, and let back in where wrongly accused."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from msgspec import Struct

from thermlog.fitting import screen
from thermlog.fitting.jointfit import Solution, solve
from thermlog.fitting.minimum import start_log_tau
from thermlog.fitting.stack import STRAY, VOTES, Stack, residual_of
from thermlog.words.tables import Bools, Floats, Ints

_Series: TypeAlias = tuple[slice, Ints, Ints, Ints]
_SUSPICIOUS_SIGMAS = 3.0
_SUSPICIOUS_PRIOR = 9.0  # squared standard deviations of ln(tau) off its prior


class Screened(Struct, frozen=True, kw_only=True, eq=False):
    """A block whose strays do not vote, and the fit of the readings that do."""

    stack: Stack
    solution: Solution


def without_strays(stack: Stack, solution: Solution) -> Screened:
    """Take out strays where a vehicle looks suspicious, fit it again, and let good readings back in.

    Parameters
    ----------
    stack : Stack
    solution : Solution
        Fit of all its voting readings.

    Returns
    -------
    Screened
    """
    off = residual_of(stack, solution) / stack.sigma_k
    odd = _odd(stack, solution, off)
    vehicles = np.flatnonzero(odd.any((0, 1)))
    if vehicles.size == 0:
        return Screened(stack=stack, solution=solution)
    side, pair, vehicle = np.nonzero(odd)
    series = (slice(None), side, pair, vehicle)
    screened = _with_strays(stack, series, _strays(stack, series, _scatter(stack, off, vehicles)))
    changed = _changed(stack, screened)
    if changed.size == 0:
        return Screened(stack=stack, solution=solution)
    solution = _solve_again(screened, solution, changed)
    back = _with_strays(screened, series, _still_strays(screened, solution, changed)[series])
    return Screened(stack=back, solution=_solve_again(back, solution, _changed(screened, back)))


def _changed(before: Stack, after: Stack) -> Ints:
    """Vehicles of which other readings vote now."""
    return np.flatnonzero((before.voting != after.voting).any((0, 1, 2)))


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


def _strays(stack: Stack, series: _Series, scatter: Floats) -> Bools:
    """Strays of the odd series (readings, series)."""
    _, side, pair, vehicle = series
    pairs = stack.block.pairs[pair, vehicle]
    return screen.strays(
        screen.Series(
            time_s=stack.time_s[series],
            rise_k=stack.rise_k[series],
            voting=stack.voting[series],
            sigma_k=(stack.sigma_k * scatter)[side, pair, vehicle],
            log_tau_mean=stack.priors.log_tau_mean[pairs],
            log_tau_spread=stack.priors.log_tau_spread[pairs],
            law=stack.priors.law,
        )
    )


def _with_strays(stack: Stack, series: _Series, found: Bools) -> Stack:
    """The same with just these strays among the readings of some series."""
    left_out = stack.left_out.copy()
    others = np.where(left_out[series] == STRAY, VOTES, left_out[series])
    left_out[series] = np.where(found, STRAY, others)
    return stack.leaving_out(left_out)


def _still_strays(stack: Stack, solution: Solution, vehicles: Ints) -> Bools:
    """Strays but for those that lie on the curve of the others: these vote after all."""
    off = residual_of(stack, solution) / stack.sigma_k
    standardised = off / _scatter(stack, off, vehicles)
    still: Bools = (stack.left_out == STRAY) & screen.is_stray(standardised)
    return still


def _solve_again(stack: Stack, solution: Solution, vehicles: Ints) -> Solution:
    if vehicles.size == 0:
        return solution
    problem = stack.problem().take(vehicles)
    return solution.put(vehicles, solve(problem, start_log_tau(problem)))
