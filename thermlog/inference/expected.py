"""Where a healthy brake would read at the common time, given what all the other brakes of the vehicle read.

The model of the whole vehicle, asked the other way round: what the corner itself read is left out, every
explanation in which it is healthy is weighed by the other brakes, and what such a brake would show is spread
as the model spreads healthy sides, skins and readings.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.inference.brake_weights import of_healthy
from thermlog.inference.elsewhere import SINGLE, elsewhere
from thermlog.inference.explanations import (
    COLD_LEFT,
    COLD_RIGHT,
    HEALTHY,
    HOT_LEFT,
    HOT_RIGHT,
)
from thermlog.inference.likelihood import Brakes, Group, odd_skin_share, over_levels
from thermlog.inference.odds import Odds
from thermlog.inference.pattern import (
    Evidence,
    Node,
    air_sigma_k,
    brakes_of,
    groups_of,
    node_odds,
    speaking,
    under,
    unknowns,
)
from thermlog.inference.states import LEVELS_K
from thermlog.inference.tails import HealthyMixture, HealthyRises
from thermlog.words.tables import Bools, Floats

_LEAST = np.finfo(float).tiny
# States of an axle whose left, or right, brake is healthy: mate healthy, hot, cold.
_MATES = ((HEALTHY, HOT_RIGHT, COLD_RIGHT), (HEALTHY, HOT_LEFT, COLD_LEFT))


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


def expected_of(evidence: Evidence, chosen: Bools, silent: Silenced | None) -> HealthyRises:
    """Bands of all corners of some cases.

    Parameters
    ----------
    evidence : Evidence
    chosen : bool array (cases,)
    silent : Silenced or None
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
        for table, end in zip((low, high), shown.ends(), strict=True):
            table[:, group.columns] = np.moveaxis(np.where(told, end.reshape(told.shape), np.nan), -1, 0)
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


def _shown(evidence: Evidence, group: Group, brakes: Brakes, how: tuple[Bools, Floats]) -> HealthyMixture:
    apart, heat = how
    shape, nodes = (*group.columns.shape, 2), unknowns(evidence, group)
    weight = np.empty((*shape, len(nodes), LEVELS_K.size))
    inverse, shift_k = np.empty_like(weight, dtype=SINGLE), np.empty(weight.shape[:-1], dtype=SINGLE)
    odd = odd_skin_share(brakes.known, group).reshape(*shape, 1)
    for number, node in enumerate(nodes):
        level = _levels(node_odds(evidence, group, brakes, node, heat), under(group, node), apart)
        level = (1.0 - odd) * level + odd * over_levels(level, group.states.odd_skin)
        weight[..., number, :] = node.weight * level
        inverse[..., number, :] = 1.0 / _sigma_k(brakes, group, node)
        shift_k[..., number] = node.air_sigmas * air_sigma_k(evidence)[group.columns][..., None]
    weight /= np.maximum(weight.max((-1, -2), keepdims=True), _LEAST)
    corners = 2 * group.columns.size
    return HealthyMixture(
        weight=weight.astype(SINGLE).reshape(corners, len(nodes), -1),
        inverse_sigma=inverse.reshape(corners, len(nodes), -1),
        shift_k=shift_k.reshape(corners, -1),
    )


def _levels(odds: Odds, group: Group, apart: Bools) -> Floats:
    """Weight of every healthy level of each corner's axle, from all brakes but that one.

    Parameters
    ----------
    odds : Odds
    group : Group
    apart : bool array (axles, cases)
        Where the two of an axle say nothing of each other.

    Returns
    -------
    float array (axles, cases, 2, levels)
    """
    others = elsewhere(group, odds, [of_healthy(group)])
    level = np.empty((*apart.shape, 2, LEVELS_K.size))
    for row in range(len(group.axles)):
        of_axle = others.of_axle(group, row)
        for side, states in enumerate(_MATES):
            mates = np.where(apart[row, :, None], 1.0, odds.sides[:, 1 - side, row]).astype(SINGLE)
            found = sum(of_axle.of(0, state) * mate for state, mate in zip(states, mates, strict=True))
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
