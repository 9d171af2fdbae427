r"""Least squares for many vehicles at once: all corners of a vehicle jointly, one shared ambient.

Arrays carry the axes (readings, side, pair, vehicle). A *pair* is one spot on the two sides of an axle.
A missing reading has weight zero, so a vehicle's answer does not depend on its neighbours in the array.

The objective for one vehicle, with `delta` the shift of the ambient from its stated value, is

.. math:: \sum w (y - \delta - A\,m(t/\tau))^2 + p\,\delta^2
          + \sum_{pairs} (u-\mu)^T Q (u-\mu), \qquad u = (\ln\tau_L, \ln\tau_R)

For given `u` everything else is linear and is solved exactly (variable projection, Golub & Pereyra 1973, from
memory, not checked); the steps in `u` are damped Newton steps on arrow-shaped equations: a 2x2 block a pair
and one shared unknown, removed by its Schur complement. Gauss-Newton steps, which leave out the second
derivatives of the curves, stand in where the surface is not bowl-shaped; alone they creep or swing where
readings lie far off the curve.
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.physics.cooling import Law, law_curvature, law_shape
from thermlog.words.tables import Bools, Floats, Ints

LOWEST_LOG_TAU = float(np.log(1e-3))
HIGHEST_LOG_TAU = float(np.log(1e7))
_TOLERANCE = 1e-9  # step in ln(tau) below which a vehicle counts as settled
_NEARLY, _CONTRACTION = 1e-6, 1e-3  # or one below the first that is this much shorter than the step before
_MOST_STEPS = 100
_LONGEST_STEP = 1.5  # in ln(tau): a factor of 4.5
_TINY = 1e-300
_LEAST_CURVATURE = 1e-12  # keeps empty corners solvable


_Array = TypeVar("_Array", Floats, Bools)


def pick(array: _Array, vehicles: Bools | Ints) -> _Array:
    """Some vehicles (last axis), by mask or number, with every row again one run of memory."""
    index = np.flatnonzero(vehicles) if vehicles.dtype == np.bool_ else vehicles
    return np.take(array, index, axis=-1)


class Problem(Struct, frozen=True, kw_only=True, eq=False):
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

    def take(self, vehicles: Bools | Ints) -> Problem:
        """The same problem for some of its vehicles."""
        chosen = {
            name: pick(getattr(self, name), vehicles) for name in self.__struct_fields__ if name != "law"
        }
        return replace(self, **chosen)

    def reweighted(self, weight: Floats) -> Problem:
        """The same problem with other weights."""
        return replace(self, weight=weight)

    def with_ambient(self, precision: Floats) -> Problem:
        """The same problem with the ambient held more or less firmly."""
        return replace(self, ambient_precision=precision)


class Solution(Struct, frozen=True, kw_only=True, eq=False):
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

    def take(self, vehicles: Bools | Ints) -> Solution:
        """The solution of some of the vehicles."""
        return Solution(**{name: pick(getattr(self, name), vehicles) for name in self.__struct_fields__})

    def put(self, vehicles: Bools | Ints, part: Solution) -> Solution:
        """The solution with some of the vehicles replaced."""
        return Solution(
            **{
                name: _with_part(getattr(self, name), vehicles, getattr(part, name))
                for name in self.__struct_fields__
            }
        )


def _with_part(array: _Array, vehicles: Bools | Ints, part: _Array) -> _Array:
    whole = array.copy()
    whole[..., vehicles] = part
    return whole


class _State(Struct, frozen=True, eq=False):
    """Sums over the readings and the linear solution at one `log_tau`.

    With shape m, slope d, second derivative e and residual r: mm = sum w m m, and so on; `pull` is sum w r d,
    `bend` sum w r e.
    """

    log_tau: Floats
    amplitude: Floats
    shift: Floats
    cost: Floats
    mm: Floats
    md: Floats
    dd: Floats
    m: Floats
    d: Floats
    pull: Floats
    bend: Floats

    def merged(self, other: _State, take_other: Bools) -> _State:
        """`other` for the vehicles where `take_other` holds."""
        if take_other.all():
            return other
        names = self.__struct_fields__
        return _State(*(np.where(take_other, getattr(other, name), getattr(self, name)) for name in names))

    def take(self, vehicles: Bools | Ints) -> _State:
        return _State(*(pick(getattr(self, name), vehicles) for name in self.__struct_fields__))


class _Sums(Struct, frozen=True, eq=False):
    """Sums that do not depend on `log_tau`."""

    wy: Floats
    w: Floats
    y: Floats
    yy: Floats


def _sums(problem: Problem) -> _Sums:
    wy = problem.weight * problem.rise_k
    return _Sums(wy, problem.weight.sum(0), wy.sum(0), _dot(wy, problem.rise_k).sum((0, 1)))


def _dot(a: Floats, b: Floats) -> Floats:
    product: Floats = np.einsum("nspg,nspg->spg", a, b)
    return product


def _evaluate(problem: Problem, sums: _Sums, log_tau: Floats) -> _State:
    scaled_time = problem.time_s * np.exp(-log_tau)
    shape, slope = law_shape(scaled_time, problem.law)
    weighted = problem.weight * shape
    mm, m = np.maximum(_dot(weighted, shape), _TINY), weighted.sum(0)
    my, md = _dot(sums.wy, shape), _dot(weighted, slope)
    stiffness = (sums.w - m * m / mm).sum((0, 1)) + problem.ambient_precision
    shift = (sums.y - m / mm * my).sum((0, 1)) / np.maximum(stiffness, _TINY)
    amplitude = (my - shift * m) / mm
    residual = problem.rise_k - shift
    residual -= amplitude * shape
    held = problem.weight * residual
    misfit = _dot(held, residual).sum((0, 1)) + _ambient_cost(problem, shift)
    weighted = np.multiply(problem.weight, slope, out=weighted)
    return _State(
        log_tau=log_tau,
        amplitude=amplitude,
        shift=shift,
        cost=misfit + _prior_cost(problem, log_tau),
        mm=mm,
        md=md,
        dd=_dot(weighted, slope),
        m=m,
        d=weighted.sum(0),
        pull=_dot(held, slope),
        bend=_dot(held, law_curvature(scaled_time, slope, problem.law)),
    )


def _ambient_cost(problem: Problem, shift: Floats) -> Floats:
    precision = np.where(np.isfinite(problem.ambient_precision), problem.ambient_precision, 0.0)
    return precision * shift**2


def _prior_cost(problem: Problem, log_tau: Floats) -> Floats:
    off = log_tau - problem.log_tau_mean
    pair = problem.precision_own * (off * off).sum(0) + 2 * problem.precision_cross * off[0] * off[1]
    cost: Floats = pair.sum(0)
    return cost


def _blocks(problem: Problem, state: _State, sums: _Sums) -> tuple[Floats, Floats, Floats]:
    """Gauss-Newton curvature in ln(tau), coupling to the ambient, the ambient's own; amplitudes removed."""
    share = state.md / state.mm
    uu = state.amplitude**2 * np.maximum(state.dd - share * state.md, 0.0)
    ud = state.amplitude * (state.d - share * state.m)
    own = np.maximum(sums.w - state.m * state.m / state.mm, 0.0)
    return uu, ud, own.sum((0, 1)) + problem.ambient_precision


def _newton_blocks(state: _State, uu: Floats, ud: Floats) -> tuple[Floats, Floats]:
    """What the residuals add to the curvature and to its coupling to the ambient."""
    share = state.pull / state.mm
    extra = share * (2 * state.amplitude * state.md - state.pull) - state.amplitude * state.bend
    return uu + extra, ud + share * state.m


def _solve_pairs(own: Floats, cross: Floats, right: Floats) -> Floats:
    """Solve the symmetric 2x2 systems [[own_L, cross], [cross, own_R]] x = right for all pairs."""
    determinant = own[0] * own[1] - cross * cross
    solution: Floats = (own[::-1] * right - cross * right[::-1]) / np.maximum(determinant, _TINY)
    return solution


def _step(problem: Problem, state: _State, sums: _Sums, damping: Floats) -> Floats:
    """Newton's step where the curvature is that of a valley, else the step of Gauss and Newton."""
    uu, ud, dd = _blocks(problem, state, sums)
    full_uu, full_ud = _newton_blocks(state, uu, ud)
    valley = _is_valley(problem, full_uu, full_ud, dd)
    own = np.where(valley, full_uu, uu) + problem.precision_own
    ud = np.where(valley, full_ud, ud)
    off = state.log_tau - problem.log_tau_mean
    gradient = state.amplitude * state.pull
    gradient -= problem.precision_own * off + problem.precision_cross * off[::-1]
    own = own * (1.0 + damping) + _LEAST_CURVATURE
    along_gradient = _solve_pairs(own, problem.precision_cross, gradient)
    along_ambient = _solve_pairs(own, problem.precision_cross, ud)
    rest = np.maximum(dd - (ud * along_ambient).sum((0, 1)), _TINY)
    ambient = -(ud * along_gradient).sum((0, 1)) / rest
    step: Floats = np.clip(along_gradient - along_ambient * ambient, -_LONGEST_STEP, _LONGEST_STEP)
    return step


def _is_valley(problem: Problem, uu: Floats, ud: Floats, dd: Floats) -> Bools:
    """True where the matrix of second derivatives of a vehicle is positive definite."""
    own, cross = uu + problem.precision_own + _LEAST_CURVATURE, problem.precision_cross
    upright = ((own[0] > 0) & (own[0] * own[1] > cross * cross)).all(0)
    valley: Bools = upright & (dd > (ud * _solve_pairs(own, cross, ud)).sum((0, 1)))
    return valley


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
    with np.errstate(over="ignore", under="ignore", invalid="ignore", divide="ignore"):
        return _descend(problem, start_log_tau)


def _descend(problem: Problem, start_log_tau: Floats) -> Solution:
    """Damped steps; a vehicle leaves the arrays when it has settled."""
    live, sums = np.arange(start_log_tau.shape[-1]), _sums(problem)
    state = _evaluate(problem, sums, start_log_tau)
    found = _solution_at(state, live, settled=False)
    damping, last = np.full(live.size, 1e-4), np.full(live.size, np.inf)
    for _ in range(_MOST_STEPS):
        log_tau = state.log_tau + _step(problem, state, sums, damping)
        trial = _evaluate(problem, sums, np.clip(log_tau, LOWEST_LOG_TAU, HIGHEST_LOG_TAU))
        moved = np.abs(trial.log_tau - state.log_tau).max((0, 1))
        better = trial.cost <= state.cost + _rounding(state, sums)
        state = state.merged(trial, better)
        damping = np.where(better, np.maximum(damping * 0.1, 1e-10), np.maximum(damping, 1e-6) * 20)
        done = (moved < _TOLERANCE) | (better & (moved < _NEARLY) & (moved < _CONTRACTION * last))
        last = np.where(better, moved, last)
        if done.any():
            found = found.put(live[done], _solution_at(state, np.flatnonzero(done), settled=True))
            if done.all():
                return found
            live, damping, last = live[~done], damping[~done], last[~done]
            problem, state = problem.take(~done), state.take(~done)
            sums = _sums(problem)
    return found


def _solution_at(state: _State, vehicles: Ints, *, settled: bool) -> Solution:
    """A solution of its own of some vehicles: what becomes of the state does not change it."""
    cost = pick(state.cost, vehicles)
    return Solution(
        log_tau=pick(state.log_tau, vehicles),
        amplitude_k=pick(state.amplitude, vehicles),
        ambient_shift_k=pick(state.shift, vehicles),
        cost=cost,
        converged=np.isfinite(cost) & settled,
    )


def _rounding(state: _State, sums: _Sums) -> Floats:
    """Steps that change the objective by no more than its own rounding error are let through."""
    return 1e-14 * (np.sqrt(state.cost * sums.yy) + state.cost) + 1e-28 * sums.yy


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
        own = uu + problem.precision_own + _LEAST_CURVATURE
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
