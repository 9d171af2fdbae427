"""Cooling curves of all corners of all vehicles at once, with what is known of each curve."""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from thermlog.fitting.jointfit import Problem, Solution, pair_covariance, solve
from thermlog.fitting.minimum import deepened, start_log_tau
from thermlog.fitting.pairs import Pairs, blocks_of
from thermlog.fitting.stack import FLAT, WARMING, Priors, Stack, residual_of, stack_block
from thermlog.fitting.strays import without_strays
from thermlog.physics.cooling import Law, law_shape
from thermlog.words.tables import Bools, Floats, Ints, Readings

FITTED, NO_READING, RISING, STANDING = 0, 1, 2, 3


class Fits(Struct, frozen=True, kw_only=True, eq=False):
    """Fitted curves, one column a pair, side (0 left, 1 right) first.

    Attributes
    ----------
    amplitude_k, log_tau : float array (2, pairs)
        Rise at the case's `reference_s` [K]; ln of the time constant [ln s].
    covariance : float array (5, 5, pairs)
        Of (amplitude left, ln tau left, amplitude right, ln tau right, ambient shift).
    state : int array (2, pairs)
        `FITTED`, `NO_READING`, `RISING` or `STANDING`.
    used : int array (2, pairs)
        Readings that vote.
    first_s, last_s : float array (2, pairs)
        Window of the voting readings on the log's clock [s]; NaN without any.
    sigma_k : float array (2, pairs)
        Scatter of one reading, scaled by what the residuals of the vehicle say [K].
    reference_s, ambient_degc, ambient_sigma_k, ambient_shift_k : float array (cases,)
        Time of the first reading [s]; stated ambient as used, its standard uncertainty, fitted minus stated.
    noise_scale, dof : float array (cases,)
        Scatter over assumed scatter; degrees of freedom of every interval.
    converged : bool array (cases,)
    left_out : int array (rows,)
        `VOTES`, `WARMING`, `STRAY`, `UNTIMED` or `FLAT` for every row of the readings.
    residual_k : float array (rows,)
        Reading minus curve [K].
    law : Law
    """

    amplitude_k: Floats
    log_tau: Floats
    covariance: Floats
    state: Ints
    used: Ints
    first_s: Floats
    last_s: Floats
    sigma_k: Floats
    reference_s: Floats
    ambient_degc: Floats
    ambient_sigma_k: Floats
    ambient_shift_k: Floats
    noise_scale: Floats
    dof: Floats
    converged: Bools
    left_out: Ints
    residual_k: Floats
    law: Law


def fit(readings: Readings, pairs: Pairs, priors: Priors) -> Fits:
    """Fit all corners of every case jointly.

    Parameters
    ----------
    readings : Readings
    pairs : Pairs
        From `pairs.pair_readings` of the same readings.
    priors : Priors

    Returns
    -------
    Fits
        Cases without readings keep NaN.
    """
    fits = _empty(readings, pairs, priors)
    for block in blocks_of(pairs):
        stack = stack_block(readings, block, priors, fits.reference_s)
        _fit_stack(stack, fits)
    return fits


def _empty(readings: Readings, pairs: Pairs, priors: Priors) -> Fits:
    cases, count = len(readings.cases), pairs.count
    reference = np.full(cases, np.inf)
    np.fmin.at(reference, readings.case, readings.elapsed_s)
    nan_pairs = np.full((2, count), np.nan)
    return Fits(
        amplitude_k=nan_pairs.copy(),
        log_tau=nan_pairs.copy(),
        covariance=np.full((5, 5, count), np.nan),
        state=np.full((2, count), NO_READING),
        used=np.zeros((2, count), dtype=np.int64),
        first_s=nan_pairs.copy(),
        last_s=nan_pairs.copy(),
        sigma_k=nan_pairs.copy(),
        reference_s=np.where(np.isfinite(reference), reference, np.nan),
        ambient_degc=priors.ambient_degc,
        ambient_sigma_k=priors.ambient_sigma_k,
        ambient_shift_k=np.full(cases, np.nan),
        noise_scale=np.full(cases, np.nan),
        dof=np.full(cases, np.nan),
        converged=np.zeros(cases, dtype=bool),
        left_out=np.zeros(readings.rows, dtype=np.int64),
        residual_k=np.full(readings.rows, np.nan),
        law=priors.law,
    )


def _fit_stack(stack: Stack, fits: Fits) -> None:
    problem = stack.problem()
    solution = solve(problem, start_log_tau(problem))
    if stack.priors.find_strays:
        solution = without_strays(stack, solution)
        problem = stack.problem()
    solution = deepened(problem, solution)
    residual_k = residual_of(stack, solution)
    scale, dof = _noise(stack, problem, solution, residual_k)
    covariance = pair_covariance(problem.reweighted(problem.weight / scale**2), solution)
    _store(stack, solution, covariance, fits)
    fits.residual_k[stack.block.rows] = residual_k[stack.block.place]
    fits.noise_scale[stack.block.cases], fits.dof[stack.block.cases] = scale, dof
    fits.sigma_k[:, stack.block.pairs] = stack.sigma_k * scale


def _noise(stack: Stack, problem: Problem, solution: Solution, residual_k: Floats) -> tuple[Floats, Floats]:
    """Scatter over assumed scatter and its degrees of freedom, never below what the gun itself can do."""
    cases = stack.block.cases
    off = np.where(stack.voting, residual_k / stack.sigma_k, 0.0)
    slope = law_shape(stack.time_s * np.exp(-solution.log_tau), stack.priors.law)[1]
    information = (problem.weight * (solution.amplitude_k * slope) ** 2).sum(0)
    learned = information / (information + problem.precision_own + 1e-12)
    parameters = (stack.voting.any(0) * (1.0 + learned)).sum((0, 1))
    dof = np.maximum(stack.voting.sum((0, 1, 2)) - parameters, 0.0)
    assumed = stack.priors.noise_dof[cases]
    held = ~np.isfinite(assumed)
    known = np.where(held, 1.0, assumed)
    scale = np.sqrt((known + (off * off).sum((0, 1, 2))) / (known + dof))
    floor = stack.priors.floor_sigma_k[cases] / np.maximum(stack.sigma_k.min((0, 1)), 1e-12)
    return np.where(held, 1.0, np.maximum(scale, np.minimum(floor, 1.0))), np.where(held, np.inf, known + dof)


def _store(stack: Stack, solution: Solution, covariance: Floats, fits: Fits) -> None:
    block, pairs = stack.block, stack.block.pairs
    used, present = stack.voting.sum(0), stack.present.sum(0)
    fits.amplitude_k[:, pairs] = np.where(used > 0, solution.amplitude_k, np.nan)
    fits.log_tau[:, pairs] = np.where(used > 0, solution.log_tau, np.nan)
    fits.covariance[:, :, pairs] = covariance
    fits.used[:, pairs] = used
    rising, flat = ((stack.left_out == why).any(0) for why in (WARMING, FLAT))
    states = [NO_READING, RISING, STANDING]
    fits.state[:, pairs] = np.select([present == 0, rising, flat], states, FITTED)
    reference = fits.reference_s[block.cases]
    first = np.where(stack.voting, stack.time_s, np.inf).min(0) + reference
    last = np.where(stack.voting, stack.time_s, -np.inf).max(0) + reference
    fits.first_s[:, pairs] = np.where(used > 0, first, np.nan)
    fits.last_s[:, pairs] = np.where(used > 0, last, np.nan)
    fits.ambient_shift_k[block.cases] = solution.ambient_shift_k
    fits.converged[block.cases] = solution.converged
    fits.left_out[block.rows] = stack.left_out[block.place]
