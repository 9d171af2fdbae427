r"""Least squares for many vehicles at once: all corners of a vehicle jointly, one shared ambient.

Arrays carry the axes (readings, side, pair, vehicle). A *pair* is one spot on the two sides of an axle.
A missing reading has weight zero, so a vehicle's answer does not depend on its neighbours in the array.

The objective for one vehicle, with `delta` the shift of the ambient from its stated value, is

.. math:: \sum w (y - \delta - A\,m(t/\tau))^2 + p\,\delta^2
          + \sum_{pairs} (u-\mu)^T Q (u-\mu), \qquad u = (\ln\tau_L, \ln\tau_R)

For given `u` everything else is linear and is solved exactly (variable projection, Golub & Pereyra 1973, from
memory, not checked); the steps in `u` are damped Gauss-Newton steps on arrow-shaped equations: a 2x2 block a
pair and one shared unknown, removed by its Schur complement.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from thermlog.cooling import Law, law_shape
from thermlog.tables import Bools, Floats

LOWEST_LOG_TAU = float(np.log(1e-3))
HIGHEST_LOG_TAU = float(np.log(1e7))
_TOLERANCE = 1e-9  # step in ln(tau) below which a vehicle counts as settled
_MOST_STEPS = 100
_LONGEST_STEP = 1.5  # in ln(tau): a factor of 4.5
_TINY = 1e-300


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """Readings and priors of a stack of vehicles.

    Attributes
    ----------
    time_s : float array (readings, 2, pairs, vehicles)
        Time since the vehicle's first reading [s].
    rise_k : float array, same shape
        Reading minus stated ambient [K].
    weight : float array, same shape
        One over the variance of a reading [1/K^2]; zero where there is none.
    ambient_precision : float array (vehicles,)
        One over the variance of the stated ambient [1/K^2]; 0 lets it float, inf holds it.
    log_tau_mean : float array (pairs, vehicles)
        Prior mean of ln(tau / 1 s).
    precision_own, precision_cross : float array (pairs, vehicles)
        Diagonal and off-diagonal element of the prior precision `Q` of the two ln(tau).
    law : Law
        Cooling law.
    """

    time_s: Floats
    rise_k: Floats
    weight: Floats
    ambient_precision: Floats
    log_tau_mean: Floats
    precision_own: Floats
    precision_cross: Floats
    law: Law

    def take(self, vehicles: Bools) -> Problem:
        """The same problem for some of its vehicles."""
        return replace(
            self,
            time_s=self.time_s[..., vehicles],
            rise_k=self.rise_k[..., vehicles],
            weight=self.weight[..., vehicles],
            ambient_precision=self.ambient_precision[vehicles],
            log_tau_mean=self.log_tau_mean[:, vehicles],
            precision_own=self.precision_own[:, vehicles],
            precision_cross=self.precision_cross[:, vehicles],
        )

    def reweighted(self, weight: Floats) -> Problem:
        """The same problem with other weights."""
        return replace(self, weight=weight)

    def with_ambient(self, precision: Floats) -> Problem:
        """The same problem with the ambient held more or less firmly."""
        return replace(self, ambient_precision=precision)


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """Minimum of the objective of every vehicle.

    Attributes
    ----------
    log_tau, amplitude_k : float array (2, pairs, vehicles)
        ln of the time constant [ln s] and rise at time zero [K].
    ambient_shift_k : float array (vehicles,)
        Fitted minus stated ambient [K].
    cost : float array (vehicles,)
        Value of the objective.
    converged : bool array (vehicles,)
        True where the steps became smaller than the tolerance.
    """

    log_tau: Floats
    amplitude_k: Floats
    ambient_shift_k: Floats
    cost: Floats
    converged: Bools


@dataclass(slots=True)
class _State:
    """Sums over the readings and the linear solution at one `log_tau`."""

    log_tau: Floats
    amplitude: Floats
    shift: Floats
    cost: Floats
    mm: Floats
    md: Floats
    dd: Floats
    m: Floats
    d: Floats
    dy: Floats

    def merge(self, other: _State, keep_other: Bools) -> None:
        """Take `other` for the vehicles where `keep_other` holds."""
        for name in self.__slots__:
            mine = getattr(self, name)
            np.copyto(mine, getattr(other, name), where=keep_other)

    def take(self, vehicles: Bools) -> _State:
        return _State(*(np.ascontiguousarray(getattr(self, name)[..., vehicles]) for name in self.__slots__))


@dataclass(slots=True)
class _Sums:
    """Sums that do not depend on `log_tau`."""

    wy: Floats
    w: Floats
    y: Floats
    yy: Floats


def _sums(problem: Problem) -> _Sums:
    wy = problem.weight * problem.rise_k
    return _Sums(wy, problem.weight.sum(0), wy.sum(0), _dot(wy, problem.rise_k))


def _dot(a: Floats, b: Floats) -> Floats:
    product: Floats = np.einsum("nspg,nspg->spg", a, b)
    return product


def _evaluate(problem: Problem, sums: _Sums, log_tau: Floats) -> _State:
    shape, slope = law_shape(problem.time_s * np.exp(-log_tau), problem.law)
    weighted = problem.weight * shape
    mm = np.maximum(_dot(weighted, shape), _TINY)
    md = _dot(weighted, slope)
    my = _dot(sums.wy, shape)
    dd = _dot(problem.weight * slope, slope)
    m, d = weighted.sum(0), np.einsum("nspg,nspg->spg", problem.weight, slope)
    dy = _dot(sums.wy, slope)
    ratio = m / mm
    pull = (sums.y - ratio * my).sum((0, 1))
    stiffness = (sums.w - ratio * m).sum((0, 1)) + problem.ambient_precision
    shift = pull / np.maximum(stiffness, _TINY)
    amplitude = (my - shift * m) / mm
    misfit = (sums.yy - amplitude * my - shift * sums.y).sum((0, 1))
    off = log_tau - problem.log_tau_mean
    prior = (problem.precision_own * (off * off).sum(0) + 2 * problem.precision_cross * off[0] * off[1]).sum(
        0
    )
    return _State(log_tau, amplitude, shift, misfit + prior, mm, md, dd, m, d, dy)


def _blocks(problem: Problem, state: _State, sums: _Sums) -> tuple[Floats, Floats, Floats]:
    """Curvature in ln(tau), its coupling to the ambient, and the ambient's own, amplitudes removed."""
    share = state.md / state.mm
    uu = state.amplitude**2 * np.maximum(state.dd - share * state.md, 0.0)
    ud = state.amplitude * (state.d - share * state.m)
    own = np.maximum(sums.w - state.m * state.m / state.mm, 0.0)
    return uu, ud, own.sum((0, 1)) + problem.ambient_precision


def _solve_pairs(own: Floats, cross: Floats, right: Floats) -> Floats:
    """Solve the symmetric 2x2 systems [[own_L, cross], [cross, own_R]] x = right for all pairs."""
    determinant = own[0] * own[1] - cross * cross
    swapped = right[::-1]
    solution: Floats = (own[::-1] * right - cross * swapped) / np.maximum(determinant, _TINY)
    return solution


def _step(problem: Problem, state: _State, sums: _Sums, damping: Floats) -> Floats:
    uu, ud, dd = _blocks(problem, state, sums)
    off = state.log_tau - problem.log_tau_mean
    gradient = state.amplitude * (state.dy - state.amplitude * state.md - state.shift * state.d)
    gradient -= problem.precision_own * off + problem.precision_cross * off[::-1]
    own = (uu + problem.precision_own) * (1.0 + damping) + 1e-12
    along_gradient = _solve_pairs(own, problem.precision_cross, gradient)
    along_ambient = _solve_pairs(own, problem.precision_cross, ud)
    rest = np.maximum(dd - (ud * along_ambient).sum((0, 1)), _TINY)
    ambient = -(ud * along_gradient).sum((0, 1)) / rest
    step: Floats = np.clip(along_gradient - along_ambient * ambient, -_LONGEST_STEP, _LONGEST_STEP)
    return step


def solve(problem: Problem, start_log_tau: Floats) -> Solution:
    """Minimise the objective of every vehicle from the given start.

    Parameters
    ----------
    problem : Problem
        Any number of vehicles, at least one pair and one reading slot.
    start_log_tau : float array (2, pairs, vehicles)
        First guess of ln(tau).

    Returns
    -------
    Solution
        A vehicle that has settled is frozen, so its answer does not depend on the others.
    """
    settled_log_tau = start_log_tau.copy()
    converged = np.zeros(start_log_tau.shape[-1], dtype=bool)
    with np.errstate(over="ignore", under="ignore", invalid="ignore", divide="ignore"):
        _descend(problem, settled_log_tau, converged)
        state = _evaluate(problem, _sums(problem), settled_log_tau)
    return Solution(
        log_tau=state.log_tau,
        amplitude_k=state.amplitude,
        ambient_shift_k=state.shift,
        cost=state.cost,
        converged=converged & np.isfinite(state.cost),
    )


def _descend(problem: Problem, log_tau: Floats, converged: Bools) -> None:
    """Damped Gauss-Newton; writes the settled values into `log_tau` and `converged`."""
    live = np.arange(log_tau.shape[-1])
    sums = _sums(problem)
    state = _evaluate(problem, sums, log_tau.copy())
    damping, rounding = np.full(live.size, 1e-4), _rounding(sums)
    for _ in range(_MOST_STEPS):
        step = _step(problem, state, sums, damping)
        trial = _evaluate(problem, sums, np.clip(state.log_tau + step, LOWEST_LOG_TAU, HIGHEST_LOG_TAU))
        moved = np.abs(trial.log_tau - state.log_tau).max((0, 1))
        better = trial.cost <= state.cost + rounding
        state.merge(trial, better)
        damping = np.where(better, np.maximum(damping * 0.1, 1e-10), np.maximum(damping, 1e-6) * 20)
        done = (moved < _TOLERANCE) | (damping > 1e12)
        if done.any():
            log_tau[..., live[done]] = state.log_tau[..., done]
            converged[live[done]] = True
            if done.all():
                return
            stay = ~done
            live, damping = live[stay], damping[stay]
            problem, state = problem.take(stay), state.take(stay)
            sums = _sums(problem)
            rounding = _rounding(sums)
    log_tau[..., live] = state.log_tau


def _rounding(sums: _Sums) -> Floats:
    """Steps that change the objective by no more than its own rounding error are let through."""
    noise: Floats = 1e-14 * sums.yy.sum((0, 1)) + 1e-13
    return noise


def pair_covariance(problem: Problem, solution: Solution) -> Floats:
    """Covariance of (A_L, ln tau_L, A_R, ln tau_R, ambient shift) of every pair.

    Parameters
    ----------
    problem : Problem
        Its weights are taken as they are: scale them first if the noise is not the assumed one.
    solution : Solution
        Minimum of the objective.

    Returns
    -------
    float array (5, 5, pairs, vehicles)
        From the curvature of the objective (Laplace); the ambient is shared by all pairs of a vehicle.
    """
    with np.errstate(over="ignore", under="ignore", invalid="ignore", divide="ignore"):
        sums = _sums(problem)
        state = _evaluate(problem, sums, solution.log_tau)
        uu, ud, dd = _blocks(problem, state, sums)
        own = uu + problem.precision_own + 1e-12
        cross = problem.precision_cross
        determinant = np.maximum(own[0] * own[1] - cross * cross, _TINY)
        along_ambient = _solve_pairs(own, cross, ud)
        ambient_variance = 1.0 / np.maximum(dd - (ud * along_ambient).sum((0, 1)), _TINY)
        # ln tau given everything else removed: 2x2 block plus what the shared ambient adds
        spread = np.empty((2, 2, *own.shape[1:]))
        spread[0, 0], spread[1, 1] = own[1] / determinant, own[0] / determinant
        spread[0, 1] = spread[1, 0] = -cross / determinant
        spread += along_ambient[:, None] * along_ambient[None, :] * ambient_variance
        tau_ambient = -along_ambient * ambient_variance
        return _with_amplitudes(state, spread, tau_ambient, ambient_variance)


def _with_amplitudes(state: _State, spread: Floats, tau_ambient: Floats, ambient_variance: Floats) -> Floats:
    """Put the amplitudes back: A = (my - shift m) / mm moves with ln(tau) and with the ambient."""
    by_tau = -state.amplitude * state.md / state.mm
    by_ambient = -state.m / state.mm
    covariance = np.empty((5, 5, *spread.shape[2:]))
    covariance[4, 4] = ambient_variance
    for i in (0, 1):
        covariance[2 * i + 1, 4] = covariance[4, 2 * i + 1] = tau_ambient[i]
        amplitude_ambient = by_tau[i] * tau_ambient[i] + by_ambient[i] * ambient_variance
        covariance[2 * i, 4] = covariance[4, 2 * i] = amplitude_ambient
        for j in (0, 1):
            covariance[2 * i + 1, 2 * j + 1] = spread[i, j]
            mixed = by_tau[i] * spread[i, j] + by_ambient[i] * tau_ambient[j]
            covariance[2 * i, 2 * j + 1] = covariance[2 * j + 1, 2 * i] = mixed
            covariance[2 * i, 2 * j] = (
                by_tau[i] * by_tau[j] * spread[i, j]
                + by_tau[i] * by_ambient[j] * tau_ambient[i]
                + by_tau[j] * by_ambient[i] * tau_ambient[j]
                + by_ambient[i] * by_ambient[j] * ambient_variance
                + (1.0 / state.mm[i] if i == j else 0.0)
            )
    return covariance


def profile_cost(problem: Problem, solution: Solution, side: int, pair: int, grid_log_tau: Floats) -> Floats:
    """Objective along one ln(tau), everything linear solved anew, the other time constants held.

    Parameters
    ----------
    problem : Problem
    solution : Solution
    side, pair : int
        Which time constant moves.
    grid_log_tau : float array (points,)
        Values to try.

    Returns
    -------
    float array (points, vehicles)
    """
    sums = _sums(problem)
    costs = np.empty((grid_log_tau.size, solution.cost.size))
    with np.errstate(over="ignore", under="ignore", invalid="ignore", divide="ignore"):
        for row, value in enumerate(grid_log_tau):
            log_tau = solution.log_tau.copy()
            log_tau[side, pair] = value
            costs[row] = _evaluate(problem, sums, log_tau).cost
    return costs
