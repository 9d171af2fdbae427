"""Strays in the joint fit: found where a vehicle looks suspicious, and let back in where wrongly accused."""

from __future__ import annotations

import numpy as np

from thermlog import screen
from thermlog.jointfit import Solution, solve
from thermlog.minimum import put, start_log_tau
from thermlog.stack import STRAY, VOTES, Stack, residual_of
from thermlog.tables import Bools, Floats, Ints

_SUSPICIOUS_SIGMAS = 3.0
_SUSPICIOUS_PRIOR = 9.0  # squared standard deviations of ln(tau) off its prior


def without_strays(stack: Stack, solution: Solution) -> Solution:
    """Take out strays where a vehicle looks suspicious, fit it again, and let good readings back in."""
    off = residual_of(stack, solution) / stack.sigma_k
    prior_off = (solution.log_tau - stack.priors.log_tau_mean[stack.block.pairs]) ** 2
    prior_off = prior_off / stack.priors.log_tau_spread[stack.block.pairs] ** 2
    odd = (np.where(stack.voting, np.abs(off), 0.0).max(0) > _SUSPICIOUS_SIGMAS) | (
        prior_off > _SUSPICIOUS_PRIOR
    )
    odd &= stack.voting.sum(0) > 1
    vehicles = odd.any((0, 1))
    if not vehicles.any():
        return solution
    _mark_strays(stack, odd, _scatter(stack, off))
    solution = _solve_some(stack, solution, vehicles)
    _readmit(stack, solution, odd)
    return _solve_some(stack, solution, vehicles)


def _scatter(stack: Stack, off: Floats) -> Floats:
    """Scatter of a vehicle over the assumed one, from the middle of its residuals: strays do not count."""
    dof = np.maximum(stack.voting.sum((0, 1, 2)) - 2.0 * stack.voting.any(0).sum((0, 1)), 0.0)
    values = np.where(stack.voting, np.abs(off), np.nan).reshape(-1, off.shape[-1])
    median = np.nanmedian(values, axis=0) / 0.6745  # median of |z| of a standard normal variable
    assumed = stack.priors.noise_dof[stack.block.cases]
    with np.errstate(invalid="ignore"):
        blend = np.where(np.isfinite(assumed), (assumed + dof * median**2) / (assumed + dof), 1.0)
    scatter: Floats = np.maximum(np.sqrt(blend), 1.0)
    return scatter


def _mark_strays(stack: Stack, odd: Bools, scatter: Floats) -> None:
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


def _set_strays(stack: Stack, series: tuple[Ints, Ints, Ints], found: Bools) -> None:
    left_out = stack.left_out[:, *series]
    left_out = np.where(left_out == STRAY, VOTES, left_out)
    stack.left_out[:, *series] = np.where(found, STRAY, left_out)
    stack.voting = stack.block.present() & (stack.left_out == VOTES)


def _readmit(stack: Stack, solution: Solution, odd: Bools) -> None:
    """A reading that lies on the curve of the others votes after all."""
    off = residual_of(stack, solution) / stack.sigma_k
    scatter = _scatter(stack, off)
    stray = (stack.left_out == STRAY) & screen.is_stray(off / scatter)
    series = np.nonzero(odd)
    _set_strays(stack, (series[0], series[1], series[2]), stray[:, odd])


def _solve_some(stack: Stack, solution: Solution, vehicles: Bools) -> Solution:
    problem = stack.problem().take(vehicles)
    return put(solution, vehicles, solve(problem, start_log_tau(problem)))
