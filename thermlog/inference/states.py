"""What a healthy, a dragging and an idle brake would show, on one grid of heat levels.

A brake's likelihood is kept as a function of the healthy heat level of its axle. A dragging brake adds heat
to it, an idle one keeps a part of it, a shot beside the brake shows anything below it: each is a linear map
on the grid, worked out once a policy, so that thousands of brakes are judged by matrix products.
All strengths and shares are engineering judgement, held in the policy.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from msgspec import Struct

from thermlog.words.policy import Policy
from thermlog.words.tables import Floats

LOWEST_K, _HIGHEST_K, _STEP = 1.5, 700.0, 0.12
LEVELS_K: Floats = np.exp(np.arange(np.log(LOWEST_K), np.log(_HIGHEST_K), _STEP))
_LOG_LEVELS = np.log(LEVELS_K)
SQUARES = LEVELS_K**2
_BELOW = 1.0 / (LEVELS_K + 10.0)
# What is less is nothing beside the floor, and takes eight times as long; in single precision it is 0.
_LEAST_EXPONENT = -700.0
_LEAST_SPAN = 3.0  # drags looked for reach at least so many times the least one, however hot the brake
_EVEN_POINTS = (np.arange(24) + 0.5) / 24.0  # stand for a uniform distribution


class States(Struct, frozen=True, kw_only=True, eq=False):
    """Maps from the healthy likelihood on the grid to that of other states.

    Attributes
    ----------
    hot, cold : float array (levels, levels)
        Row: healthy level of the axle; column: level that the brake shows.
    odd_skin : float array (levels, levels)
        The same for a brake whose face shines unlike the others: it shows a part of its level.
    heat, heat_all_hot : float array (levels,)
        Prior of the vehicle's heat level, and of the same where pressure stays on in all brakes: the drag
        then has one cause and comes on top of the heat of braking, shared out over axles and sides as that
        is. Both sum to one.
    usual, usual_all_hot : float array (levels,)
        The same for the question whether the whole vehicle is hot, which lives on what is usual: there the
        prior is as narrow as drives of one kind are.
    """

    hot: Floats
    cold: Floats
    odd_skin: Floats
    heat: Floats
    heat_all_hot: Floats
    usual: Floats
    usual_all_hot: Floats


@lru_cache(maxsize=16)
def states_of(policy: Policy, *, coast: bool) -> States:
    """Maps and heat prior of a policy for one kind of drive.

    Parameters
    ----------
    policy : Policy
    coast : bool
        True for a drive without braking.

    Returns
    -------
    States
    """
    # "at least something": every octave alike, from the least drag looked for to the most that is met
    least_k = np.maximum(policy.drag_least_k, policy.drag_least_part * LEVELS_K[:, None])
    most_k = np.maximum(policy.drag_most_k, _LEAST_SPAN * least_k)
    extra_k = least_k * (most_k / least_k) ** _EVEN_POINTS
    kept = policy.cold_remaining_most * _EVEN_POINTS
    shown = policy.odd_skin_least + (1.0 - policy.odd_skin_least) * _EVEN_POINTS
    evenly = np.full(_EVEN_POINTS.size, 1.0 / _EVEN_POINTS.size)
    if coast:
        heat = usual = _heat_prior(policy.coast_heat_median_k, policy.coast_heat_spread)
    else:
        heat = _heat_prior(policy.heat_median_k, policy.heat_spread)
        usual = _heat_prior(policy.usual_heat_median_k, policy.usual_heat_spread)
    hot = _map_to(LEVELS_K[:, None] + extra_k, evenly)
    return States(
        hot=hot,
        cold=_map_to(LEVELS_K[:, None] * kept, evenly),
        odd_skin=_map_to(LEVELS_K[:, None] * shown, evenly),
        heat=heat,
        heat_all_hot=heat @ hot,
        usual=usual,
        usual_all_hot=usual @ hot,
    )


def _heat_prior(median_k: float, spread: float) -> Floats:
    heat: Floats = np.exp(-0.5 * ((_LOG_LEVELS - np.log(median_k)) / spread) ** 2)
    heat /= heat.sum()
    return heat


@lru_cache(maxsize=64)
def share_kernel(share: float, spread: float) -> Floats:
    """Weight of every axle level (column) for every vehicle heat level (row).

    Parameters
    ----------
    share : float
        Usual rise of the axle over the vehicle's heat level.
    spread : float
        Standard deviation of its logarithm.

    Returns
    -------
    float array (levels, levels)
        Rows sum to one.
    """
    off = _LOG_LEVELS[None, :] - _LOG_LEVELS[:, None] - np.log(share)
    kernel: Floats = np.exp(-0.5 * (off / spread) ** 2)
    kernel /= kernel.sum(1, keepdims=True)
    return kernel


def healthy_likelihood(
    rise_k: Floats, variance: Floats, miss_share: Floats, *, side_fraction: Floats, side_k: Floats
) -> Floats:
    """Likelihood of a brake's rise for every healthy heat level of its axle.

    Parameters
    ----------
    rise_k, variance : float array (brakes,)
        Rise at the common time [K] and its variance [K^2]; NaN where nothing was read.
    miss_share : float array (brakes,)
        Probability that all readings of the brake missed it.
    side_fraction, side_k : float array (brakes,)
        Healthy spread of one side about its axle, in parts of the level and in kelvin.

    Returns
    -------
    float array (brakes, levels)
        Density [1/K]; ones where nothing was read.
    """
    spread = np.square(side_fraction)[:, None] * SQUARES
    spread += (variance + side_k**2)[:, None]
    return likelihood_within(rise_k, spread, miss_share)


def likelihood_within(rise_k: Floats, variance: Floats, miss_share: Floats) -> Floats:
    """The same where the variance of what is read is known level by level; as exact as that is given.

    Parameters
    ----------
    rise_k : float array (...)
        [K]; NaN where nothing was read.
    variance : float array (..., levels)
        [K^2]; used up.
    miss_share : float array (...)
        As above; less work where it is the same along an axis and has but one of it.

    Returns
    -------
    float array (..., levels)
    """
    number = variance.dtype.type
    inverse = np.sqrt(variance, out=variance)
    np.divide(number(1.0), inverse, out=inverse)  # 1 / sigma
    off = rise_k.astype(number)[..., None] - LEVELS_K.astype(number)
    off *= inverse
    # a shot beside the brake shows anything from the air to the brake; a fat floor also keeps freaks harmless
    below = (off < 2.0) * number(0.99)  # ten times as fast as a choice between two numbers
    below += number(0.01)
    below *= miss_share.astype(number)[..., None] * _BELOW.astype(number)
    hit = np.square(off, out=off)
    hit *= number(-0.5)
    if number is np.float64:
        np.clip(hit, _LEAST_EXPONENT, 0.0, out=hit)  # a third of the time of a maximum
    np.exp(hit, out=hit)
    hit *= inverse
    hit *= ((1.0 - miss_share) / np.sqrt(2.0 * np.pi)).astype(number)[..., None]
    hit += below
    hit[~np.isfinite(rise_k)] = number(1.0)
    return hit


def _map_to(shown_k: Floats, weights: Floats) -> Floats:
    """Share of the points of each row that falls to each level, split between the two nearest levels."""
    place = (np.log(np.maximum(shown_k, LOWEST_K)) - _LOG_LEVELS[0]) / _STEP
    place = np.clip(place, 0.0, LEVELS_K.size - 1.001)
    lower = place.astype(np.int64)
    upper_part = place - lower
    rows = np.broadcast_to(np.arange(LEVELS_K.size)[:, None], lower.shape)
    table = np.zeros((LEVELS_K.size, LEVELS_K.size))
    np.add.at(table, (rows, lower), (1.0 - upper_part) * weights)
    np.add.at(table, (rows, lower + 1), upper_part * weights)
    return table
