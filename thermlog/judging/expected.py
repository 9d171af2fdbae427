"""Where a healthy brake would read at the common time, given what all the other brakes of the vehicle read.

The model of the whole vehicle, asked the other way round: what the corner itself read is left out, every
explanation in which it is healthy is weighed by the other brakes, and what such a brake would show is spread
as the model spreads healthy sides, skins and readings.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.judging.edges import LogSteps, edges_of
from thermlog.judging.elsewhere import SINGLE, elsewhere
from thermlog.judging.explanations import (
    COLD_LEFT,
    COLD_RIGHT,
    HEALTHY,
    HOT_LEFT,
    HOT_RIGHT,
)
from thermlog.judging.likelihood import (
    Brakes,
    Group,
    axle_likelihood,
    brake_likelihood,
    odd_skin_share,
    over_levels,
)
from thermlog.judging.odds import odds_of
from thermlog.judging.pattern import (
    Evidence,
    Node,
    air_sigma_k,
    brakes_of,
    groups_of,
    speaking,
    unknowns,
    with_air,
)
from thermlog.judging.states import LEVELS_K
from thermlog.physics.distributions import normal_quantile, normal_share
from thermlog.words.tables import Bools, Floats, Ints

SHARE = 0.95
_TAIL = 0.5 * (1.0 - SHARE)
_SLOPE = 0.2  # of a logarithm of a tail from step to step, roughly: where to look, no more
_ZERO_K = -40.0  # where the steps count from: as exact for a brake 5 K above the air as for one 300 K above
# From where nothing is to where nothing is; between two steps straight: within a hundredth of the spread.
_ABOVE_ZERO = LogSteps(low=-30.0 - _ZERO_K, high=2.0 * float(LEVELS_K[-1]) - _ZERO_K, steps=512)
_LEAST = np.finfo(float).tiny
# States of an axle whose left, or right, brake is healthy: mate healthy, hot, cold.
_MATES = ((HEALTHY, HOT_RIGHT, COLD_RIGHT), (HEALTHY, HOT_LEFT, COLD_LEFT))


class HealthyRises(Struct, frozen=True, kw_only=True, eq=False):
    """Healthy brakes in place of those that were read.

    Attributes
    ----------
    low_k, high_k : float array (2, pairs)
        Ends of the rise at the common time that 95 % of healthy brakes here would show [K]; NaN where no
        other brake was read, and for pairs that do not speak for their axle.
    """

    low_k: Floats
    high_k: Floats


class Silenced(Struct, frozen=True, kw_only=True, eq=False):
    """Brakes that say nothing of healthy ones, because they are suspected themselves.

    Attributes
    ----------
    called : bool array (2, pairs)
        Of no corner.
    together : bool array (pairs,)
        Axles of which both brakes are watched: the two say nothing of each other.
    all_hot : bool array (cases,)
        Every brake is in question: what is usual after such a drive is all that is left to go by.
    """

    called: Bools
    together: Bools
    all_hot: Bools


def expected_of(evidence: Evidence, chosen: Bools, silent: Silenced | None = None) -> HealthyRises:
    """Bands of all corners of some cases.

    Parameters
    ----------
    evidence : Evidence
    chosen : bool array (cases,)
    silent : Silenced, optional
        None where no brake is.

    Returns
    -------
    HealthyRises
    """
    if silent is None:
        pairs = evidence.pairs.count
        called, together = np.zeros((2, pairs), dtype=bool), np.zeros(pairs, dtype=bool)
        silent = Silenced(called=called, together=together, all_hot=np.zeros(chosen.size, dtype=bool))
    low, high = np.full((2, 2, evidence.pairs.count), np.nan)
    spoken = speaking(evidence) & chosen[evidence.pairs.case]
    for group in groups_of(evidence, np.flatnonzero(spoken)):
        all_hot = silent.all_hot[group.cases]
        brakes = _without(brakes_of(evidence, group.columns), silent, group)
        apart = silent.together[group.columns]
        heat = np.where(all_hot[:, None], group.states.usual, group.states.heat)
        shown = _shown(evidence, group, brakes, (apart, heat))
        told = _others_read(brakes, apart) | all_hot[:, None]
        for table, share in ((low, _TAIL), (high, 1.0 - _TAIL)):
            ends = np.where(told, _quantile(shown, share).reshape(told.shape), np.nan)
            table[:, group.columns] = np.moveaxis(ends, -1, 0)
    return HealthyRises(low_k=low, high_k=high)


def _without(brakes: Brakes, silent: Silenced, group: Group) -> Brakes:
    """The brakes as if those that say nothing of healthy ones had not been read."""
    out = (silent.called[:, group.columns] | silent.all_hot[group.cases]).transpose(1, 2, 0).ravel()
    return replace(brakes, rise_k=np.where(out, np.nan, brakes.rise_k), doubt=np.where(out, -1, brakes.doubt))


def _others_read(brakes: Brakes, apart: Bools) -> Bools:
    """Corners of which some other brake tells: bool array (axles, cases, 2)."""
    read = np.isfinite(brakes.rise_k).reshape(*apart.shape, 2)
    others = read.sum((0, 2))[:, None] - read - (read[:, :, ::-1] & apart[..., None])
    return np.asarray(others > 0)


class _Shown(Struct, frozen=True, kw_only=True, eq=False):
    """What healthy brakes would show, corner by corner, in every node of what is summed over.

    In single precision, which is twice as fast: what it leaves of a share moves an end by less than a
    thousandth of a kelvin.

    Attributes
    ----------
    weight, inverse_sigma : float array (corners, nodes, levels)
        Of every level that such a brake may have, the largest of a corner 1; and one over the spread of
        readings about it [1/K].
    shift_k : float array (corners, nodes)
        How far the air is off [K].
    """

    weight: Floats
    inverse_sigma: Floats
    shift_k: Floats


def _shown(evidence: Evidence, group: Group, brakes: Brakes, how: tuple[Bools, Floats]) -> _Shown:
    apart, heat = how
    shape, nodes = (*group.columns.shape, 2), unknowns(evidence, group)
    weight, inverse = np.empty((2, 2 * group.columns.size, len(nodes), LEVELS_K.size))
    shift_k = np.empty((2 * group.columns.size, len(nodes)))
    odd = odd_skin_share(brakes.known, group).reshape(*shape, 1)
    for number, node in enumerate(nodes):
        shifted = with_air(brakes, evidence, group.columns, node)
        sides = brake_likelihood(shifted, group, evidence.doubt, node.skin_part).reshape(*shape, -1)
        level = _levels(sides, group, apart, heat)
        level = (1.0 - odd) * level + odd * over_levels(level, group.states.odd_skin)
        weight[:, number] = node.weight * level.reshape(-1, LEVELS_K.size)
        inverse[:, number] = (1.0 / _sigma_k(brakes, group, node)).reshape(-1, LEVELS_K.size)
        shift_k[:, number] = node.air_sigmas * np.repeat(air_sigma_k(evidence)[group.columns].ravel(), 2)
    weight /= np.maximum(weight.max((1, 2)), _LEAST)[:, None, None]
    return _Shown(
        weight=weight.astype(np.float32),
        inverse_sigma=inverse.astype(np.float32),
        shift_k=shift_k.astype(np.float32),
    )


def _levels(sides: Floats, group: Group, apart: Bools, heat: Floats) -> Floats:
    """Weight of every healthy level of each corner's axle, from all brakes but that one.

    Parameters
    ----------
    sides : float array (axles, cases, 2, levels)
        Likelihoods of the brakes.
    group : Group
    apart : bool array (axles, cases)
        Where the two of an axle say nothing of each other.
    heat : float array (cases, levels)
        Prior of the vehicle's heat level.
    """
    likelihood = np.stack(
        [axle_likelihood(sides[row], axle, group) for row, axle in enumerate(group.axles)], axis=1
    )
    # a cause common to all brakes leaves none healthy
    counted = np.tile([not one.raises_level for one in group.table], (group.cases.size, 1))
    others = elsewhere(group, odds_of(group, likelihood, heat), likelihood, [counted])
    mates = np.where(apart[..., None, None], 1.0, sides).astype(SINGLE)
    shown = (mates, over_levels(mates, group.states.hot.T), over_levels(mates, group.states.cold.T))
    level = np.zeros_like(sides)
    for row in range(len(group.axles)):
        of_axle = others.of_axle(group, row)
        (weights,) = of_axle.states
        for side, (healthy, hot, cold) in enumerate(_MATES):
            likely, with_hot, with_cold = (one[row, :, 1 - side] for one in shown)
            found = weights[:, healthy] * likely + weights[:, hot] * with_hot + weights[:, cold] * with_cold
            level[row, :, side] = of_axle.size[:, None] * found
    return level


def _sigma_k(brakes: Brakes, group: Group, node: Node) -> Floats:
    """Spread of what a healthy brake shows about each level of its own (axles, cases, 2, levels)."""
    fraction, side_k = group.side_spread
    shape = (*group.columns.shape, 2)
    variance = brakes.variance.reshape(shape)
    own = np.where(np.isfinite(variance), variance, variance[:, :, ::-1])  # read as its mate was
    own = np.nan_to_num(own, nan=group.shot_sigma_k**2)
    skin = np.where(brakes.known | brakes.learned, 1.0, node.skin_part) * brakes.skin_fraction
    wide = np.hypot(fraction, skin).reshape(shape)
    return np.asarray(np.sqrt((wide[..., None] * LEVELS_K) ** 2 + (own + side_k**2)[..., None]))


def _quantile(shown: _Shown, share: float) -> Floats:
    """Rise that healthy brakes stay below with the given probability (corners,) [K]."""
    total = shown.weight.sum((1, 2), dtype=np.float64)
    # by the tail of the nearer end: its logarithm rises evenly, also far out
    sign, wanted = (1.0, share * total) if share < 0.5 else (-1.0, (1.0 - share) * total)

    def guide(step: Ints, at: Ints) -> Floats:
        tail = np.maximum(_tail(shown, _ABOVE_ZERO.at(step) + _ZERO_K, sign, at), _LEAST)
        return np.asarray(sign * np.log(tail / wanted[at]))

    edges = edges_of(guide, _near(shown, total, share), _ABOVE_ZERO.steps, _SLOPE)
    at_low, at_high = (wanted * np.exp(sign * one) for one in (edges.below, edges.above))
    at_low = np.where(np.isnan(at_low), 0.0 if sign > 0.0 else total, at_low)
    low, high = (_ABOVE_ZERO.at(step) + _ZERO_K for step in (edges.step - 1, edges.step))
    between = np.maximum(np.abs(at_high - at_low), _LEAST)
    part = sign * (wanted - at_low) / between
    return np.asarray(low + np.clip(part, 0.0, 1.0) * (high - low))


def _near(shown: _Shown, total: Floats, share: float) -> Ints:
    """Step near the quantile: that of a normal distribution of the same mean and spread."""
    level_k = LEVELS_K.astype(np.float32) + shown.shift_k[..., None]
    mean = np.einsum("cnl,cnl->c", shown.weight, level_k) / total
    squares = np.square(level_k) + np.square(1.0 / shown.inverse_sigma)
    spread = np.sqrt(np.maximum(np.einsum("cnl,cnl->c", shown.weight, squares) / total - mean**2, 0.0))
    return _ABOVE_ZERO.of(mean + normal_quantile(share) * spread - _ZERO_K).astype(np.int64)


def _tail(shown: _Shown, rise_k: Floats, sign: float, at: Ints) -> Floats:
    """Weight of all that shows less than some rises, or more where `sign` is below 0, at some corners."""
    number = shown.weight.dtype
    off = (sign * (rise_k[:, None] - shown.shift_k[at])).astype(number)[..., None]
    off = (off - (sign * LEVELS_K).astype(number)) * shown.inverse_sigma[at]
    weight: Floats = (shown.weight[at] * normal_share(off)).sum((1, 2), dtype=np.float64)
    return weight
