"""Readings of one block of vehicles, turned into the arrays of a fit."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.fitting.jointfit import Problem, Solution
from thermlog.fitting.notcooling import trend_of
from thermlog.fitting.pairs import Block
from thermlog.physics.cooling import Law, law_shape
from thermlog.words.tables import Bools, Floats, Ints, Readings

VOTES, WARMING, STRAY, UNTIMED, FLAT = 0, 1, 2, 3, 4


class Priors(Struct, frozen=True, kw_only=True, eq=False):
    """What is assumed before the readings speak; see the policy for values and sources.

    Attributes
    ----------
    log_tau_mean, log_tau_spread, side_spread : float array (pairs,)
        ln(tau / 1 s): mean, standard deviation, standard deviation of left minus right. An infinite spread
        switches the prior off.
    ambient_degc, ambient_sigma_k : float array (cases,)
        Stated ambient and its standard uncertainty: 0 holds it, inf lets it float.
    reading_sigma_k, aim_fraction, floor_sigma_k, noise_dof : float array (cases,)
        Scatter of one shot [K], its part in proportion to the rise, the least scatter ever believed [K], and
        how many readings the assumption is worth. An infinite `noise_dof` holds the assumed scatter.
    law : Law
    find_strays : bool
        False lets every reading vote.
    reading_scale : float array (2, pairs) or None
        Factor on `reading_sigma_k`: kelvin of metal for one kelvin of reading where readings were corrected.
    hub : bool array (pairs,) or None
        Pairs of hubs; None: there are none.
    """

    log_tau_mean: Floats
    log_tau_spread: Floats
    side_spread: Floats
    ambient_degc: Floats
    ambient_sigma_k: Floats
    reading_sigma_k: Floats
    aim_fraction: Floats
    floor_sigma_k: Floats
    noise_dof: Floats
    law: Law = "exponential"
    find_strays: bool = True
    reading_scale: Floats | None = None
    hub: Bools | None = None


class Stack(Struct, frozen=True, kw_only=True, eq=False):
    """One block as it is fitted: its readings, which of them vote, and why the others do not."""

    block: Block
    time_s: Floats
    rise_k: Floats
    present: Bools
    voting: Bools
    left_out: Ints
    sigma_k: Floats
    priors: Priors
    precision_own: Floats
    precision_cross: Floats

    def problem(self) -> Problem:
        """The least-squares problem of the readings that vote now."""
        pairs, cases = self.block.pairs, self.block.cases
        with np.errstate(divide="ignore"):
            ambient_precision = 1.0 / self.priors.ambient_sigma_k[cases] ** 2
        return Problem(
            time_s=self.time_s,
            rise_k=self.rise_k,
            weight=self.voting / self.sigma_k**2,
            ambient_precision=ambient_precision,
            log_tau_mean=self.priors.log_tau_mean[pairs],
            precision_own=self.precision_own,
            precision_cross=self.precision_cross,
            law=self.priors.law,
        )

    def leaving_out(self, left_out: Ints) -> Stack:
        """The same with other readings left out."""
        return replace(self, left_out=left_out, voting=self.present & (left_out == VOTES))


def stack_block(readings: Readings, block: Block, priors: Priors, reference_s: Floats) -> Stack:
    """Arrays of one block; series that do not cool do not vote.

    Parameters
    ----------
    readings : Readings
    block : Block
    priors : Priors
    reference_s : float array (cases,)
        Time of each case's first reading [s].

    Returns
    -------
    Stack
    """
    elapsed_s = block.spread(readings.elapsed_s)
    present = block.present() & np.isfinite(elapsed_s)
    time_s = np.where(present, elapsed_s - reference_s[block.cases], 0.0)
    rise_k = np.where(present, block.spread(readings.indicated_degc) - priors.ambient_degc[block.cases], 0.0)
    level = np.maximum(rise_k.sum(0) / np.maximum(present.sum(0), 1), 0.0)
    scale = 1.0 if priors.reading_scale is None else priors.reading_scale[:, block.pairs]
    sigma_k = np.hypot(scale * priors.reading_sigma_k[block.cases], priors.aim_fraction[block.cases] * level)
    pairs = block.pairs
    tau = (priors.log_tau_mean[pairs], priors.log_tau_spread[pairs])
    hub = None if priors.hub is None else priors.hub[pairs]
    trend = trend_of(time_s, rise_k, present, sigma_k, tau, hub=hub)
    left_out = np.select([present & trend.climbing, present & trend.flat], [WARMING, FLAT], VOTES)
    left_out[block.present() & ~present] = UNTIMED
    own, cross = _precision(priors, pairs)
    return Stack(
        block=block,
        time_s=time_s,
        rise_k=rise_k,
        present=present,
        voting=present & (left_out == VOTES),
        left_out=left_out,
        sigma_k=sigma_k,
        priors=priors,
        precision_own=own,
        precision_cross=cross,
    )


def _precision(priors: Priors, pairs: Ints) -> tuple[Floats, Floats]:
    """Inverse of the prior covariance of the two ln(tau): a common part and one of each side's own."""
    total = priors.log_tau_spread[pairs] ** 2
    free = ~np.isfinite(total)
    total = np.where(free, 1.0, total)
    common = np.where(free, 0.0, np.maximum(total - 0.5 * priors.side_spread[pairs] ** 2, 0.0))
    determinant = total**2 - common**2
    return np.where(free, 0.0, total / determinant), np.where(free, 0.0, -common / determinant)


def residual_of(stack: Stack, solution: Solution) -> Floats:
    """Reading minus curve [K], shape of the stack; meaningless where there is no reading."""
    shape, _ = law_shape(stack.time_s * np.exp(-solution.log_tau), stack.priors.law)
    return stack.rise_k - solution.ambient_shift_k - solution.amplitude_k * shape
