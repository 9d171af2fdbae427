"""Cooling curves of all corners of all vehicles at once, with what is known of each curve."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

import numpy as np
from msgspec import Struct

from thermlog.fitting.jointfit import Problem, Solution, pair_covariance, solve
from thermlog.fitting.minimum import deepened, start_log_tau
from thermlog.fitting.pairs import Block, Pairs, blocks_of
from thermlog.fitting.stack import FLAT, WARMING, Priors, Stack, residual_of, stack_block
from thermlog.fitting.strays import without_strays
from thermlog.physics.cooling import Law, law_shape
from thermlog.words.tables import Bools, Floats, Ints, Readings

_Array = TypeVar("_Array", Floats, Ints, Bools)

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
    reference_s = _first_s(readings)
    fitted = [_fit_block(readings, block, priors, reference_s) for block in blocks_of(pairs)]
    on_pairs, on_cases = [one.block.pairs for one in fitted], [one.block.cases for one in fitted]
    on_rows = [one.block.rows for one in fitted]
    nan_pairs, nan_cases = np.full((2, pairs.count), np.nan), np.full(len(readings.cases), np.nan)
    return Fits(
        amplitude_k=_placed(on_pairs, [one.amplitude_k for one in fitted], nan_pairs),
        log_tau=_placed(on_pairs, [one.log_tau for one in fitted], nan_pairs),
        covariance=_placed(
            on_pairs, [one.covariance for one in fitted], np.full((5, 5, pairs.count), np.nan)
        ),
        state=_placed(on_pairs, [one.state for one in fitted], np.full((2, pairs.count), NO_READING)),
        used=_placed(on_pairs, [one.used for one in fitted], np.zeros((2, pairs.count), dtype=np.int64)),
        first_s=_placed(on_pairs, [one.first_s for one in fitted], nan_pairs),
        last_s=_placed(on_pairs, [one.last_s for one in fitted], nan_pairs),
        sigma_k=_placed(on_pairs, [one.sigma_k for one in fitted], nan_pairs),
        reference_s=reference_s,
        ambient_degc=priors.ambient_degc,
        ambient_sigma_k=priors.ambient_sigma_k,
        ambient_shift_k=_placed(on_cases, [one.ambient_shift_k for one in fitted], nan_cases),
        noise_scale=_placed(on_cases, [one.noise_scale for one in fitted], nan_cases),
        dof=_placed(on_cases, [one.dof for one in fitted], nan_cases),
        converged=_placed(
            on_cases, [one.converged for one in fitted], np.zeros(len(readings.cases), dtype=bool)
        ),
        left_out=_placed(on_rows, [one.left_out for one in fitted], np.zeros(readings.rows, dtype=np.int64)),
        residual_k=_placed(on_rows, [one.residual_k for one in fitted], np.full(readings.rows, np.nan)),
        law=priors.law,
    )


class _FitBlock(Struct, frozen=True, kw_only=True, eq=False):
    """What was fitted of one block; as of `Fits`, with (pairs, vehicles) of the block for pairs."""

    block: Block
    amplitude_k: Floats
    log_tau: Floats
    covariance: Floats
    state: Ints
    used: Ints
    first_s: Floats
    last_s: Floats
    sigma_k: Floats
    ambient_shift_k: Floats
    noise_scale: Floats
    dof: Floats
    converged: Bools
    left_out: Ints
    residual_k: Floats


def _placed(places: Sequence[Ints], parts: Sequence[_Array], nothing: _Array) -> _Array:
    """One column of all blocks, each part at its places; `nothing`: what stands where no block is."""
    whole = nothing.copy()
    for place, part in zip(places, parts, strict=True):
        whole[..., place] = part
    return whole


def _first_s(readings: Readings) -> Floats:
    """Time of the first reading of every case [s]; NaN without any."""
    first = np.full(len(readings.cases), np.inf)
    np.fmin.at(first, readings.case, readings.elapsed_s)
    return np.where(np.isfinite(first), first, np.nan)


def _fit_block(readings: Readings, block: Block, priors: Priors, reference_s: Floats) -> _FitBlock:
    stack = stack_block(readings, block, priors, reference_s)
    problem = stack.problem()
    solution = solve(problem, start_log_tau(problem))
    if priors.find_strays:
        screened = without_strays(stack, solution)
        stack, solution = screened.stack, screened.solution
        problem = stack.problem()
    solution = deepened(problem, solution)
    residual_k = residual_of(stack, solution)
    scale, dof = _noise(stack, problem, solution, residual_k)
    voted = stack.voting.any(0)
    first_s, last_s = _window(stack, reference_s[block.cases])
    return _FitBlock(
        block=block,
        amplitude_k=np.where(voted, solution.amplitude_k, np.nan),
        log_tau=np.where(voted, solution.log_tau, np.nan),
        covariance=pair_covariance(problem.reweighted(problem.weight / scale**2), solution),
        state=_state_of(stack),
        used=stack.voting.sum(0),
        first_s=first_s,
        last_s=last_s,
        sigma_k=stack.sigma_k * scale,
        ambient_shift_k=solution.ambient_shift_k,
        noise_scale=scale,
        dof=dof,
        converged=solution.converged,
        left_out=stack.left_out[block.place],
        residual_k=residual_k[block.place],
    )


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


def _state_of(stack: Stack) -> Ints:
    rising, flat = ((stack.left_out == why).any(0) for why in (WARMING, FLAT))
    unread = ~stack.present.any(0)
    return np.select([unread, rising, flat], [NO_READING, RISING, STANDING], FITTED)


def _window(stack: Stack, reference_s: Floats) -> tuple[Floats, Floats]:
    """Time of the first and of the last voting reading on the log's clock [s]; NaN without any."""
    voted = stack.voting.any(0)
    first_s = np.where(stack.voting, stack.time_s, np.inf).min(0) + reference_s
    last_s = np.where(stack.voting, stack.time_s, -np.inf).max(0) + reference_s
    return np.where(voted, first_s, np.nan), np.where(voted, last_s, np.nan)
