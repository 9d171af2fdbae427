"""Hubs: beside their mates, beside their own brakes, and how probably one makes heat of its own."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Literal

from msgspec import Struct

from thermlog.judging.digest import Digest
from thermlog.words.policy import Policy
from thermlog.words.vehicle import HUB_SPOT

_FEWEST_BESIDE = 2  # readings of a brake before its hub is judged by it: one can be a miss
# A bearing that makes heat; engineering judgement, common practice, no source.
_HOT_SHARE = 0.05  # of the hubs that are read
_LEAST_K, _MOST_K, _STEPS = 15.0, 250.0, 24  # its extra heat, every octave alike
_SPREAD_PART, _SPREAD_K = 0.15, 3.0  # healthy hubs beside each other, in parts of their rise and in kelvin


class HotHub(Struct, frozen=True, kw_only=True):
    """A hub that stands out.

    Attributes
    ----------
    over : {"mate", "brake"}
        What it is above.
    difference_k, mark_k : float
        By how much, and the mark it passes [K].
    """

    corner: str
    over: Literal["mate", "brake"]
    difference_k: float
    mark_k: float


class HubNumbers(Struct, frozen=True, kw_only=True):
    """One hub.

    Attributes
    ----------
    p_hot : float or None
        Probability that it makes heat of its own, from the gap to its mate; None without one.
    hot : HotHub or None
    compared : bool
        False where neither the mate nor the brake beside it was read.
    """

    corner: str
    p_hot: float | None
    hot: HotHub | None
    compared: bool


def hub_numbers(told: Digest, span: range, idle: tuple[str, ...], policy: Policy) -> Mapping[str, HubNumbers]:
    """Every hub of a case that was read.

    Parameters
    ----------
    told : Digest
    span : range
        Pairs of the case.
    idle : tuple of str
        Corners whose brake does nothing: their hub is warmer than the brake without any fault.
    policy : Policy

    Returns
    -------
    dict of str to HubNumbers
    """
    brakes = {told.axle[pair]: pair for pair in span if told.chosen[pair]}
    found: dict[str, HubNumbers] = {}
    for pair in (pair for pair in span if told.spot[pair] == HUB_SPOT):
        brake = brakes.get(told.axle[pair])
        for side in (0, 1):
            if told.readings[side][pair]:
                corner = told.corner[side][pair]
                hot = _over_mate(told, pair, side, policy)
                if hot is None and brake is not None and corner not in idle:
                    hot = _over_brake(told, pair, side, brake, policy)
                compared = told.difference_k[pair] is not None or brake is not None
                p = _probability(told, pair, side)
                found[corner] = HubNumbers(corner=corner, p_hot=p, hot=hot, compared=compared)
    return found


def _over(told: Digest, pair: int, side: int) -> float | None:
    difference = told.difference_k[pair]
    return None if difference is None else (difference.value if side == 0 else -difference.value)


def _over_mate(told: Digest, pair: int, side: int, policy: Policy) -> HotHub | None:
    """Past the mark, and more likely hot than not."""
    over, p, mark_k = _over(told, pair, side), _probability(told, pair, side), policy.hub_over_mate_k
    if over is None or p is None or over < mark_k or p < 0.5:
        return None
    return HotHub(corner=told.corner[side][pair], over="mate", difference_k=over, mark_k=mark_k)


def _over_brake(told: Digest, pair: int, side: int, brake: int, policy: Policy) -> HotHub | None:
    """Hub above the brake beside it.

    The mark is wide because their surfaces are unlike; it is narrower where the mate's hub and brake, of the
    same surfaces, show that this is not usual here.
    """
    over, mate = _over_own(told, pair, side, brake), _over_own(told, pair, 1 - side, brake)
    if over is None:
        return None
    unlike = (
        mate is not None and over - max(mate, 0.0) >= policy.hub_own_heat_k and over >= policy.hub_own_heat_k
    )
    mark_k = policy.hub_own_heat_k if unlike else policy.hub_stop_k
    if over < mark_k:
        return None
    return HotHub(corner=told.corner[side][pair], over="brake", difference_k=over, mark_k=mark_k)


def _over_own(told: Digest, pair: int, side: int, brake: int) -> float | None:
    """Hub minus the brake beside it [K]; None where either was read too little."""
    hub, beside = told.at_common_degc[side][pair], told.at_common_degc[side][brake]
    if hub is None or beside is None or told.used[side][brake] < _FEWEST_BESIDE:
        return None
    return hub.value - beside.value


def _probability(told: Digest, pair: int, side: int) -> float | None:
    """Bayes on the gap between the hubs: healthy ones differ a little, or this one is hot, or its mate is."""
    over, sigma, mate = _over(told, pair, side), told.difference_sigma_k[pair], told.rise_k[1 - side][pair]
    if over is None or sigma is None or mate is None:
        return None
    spread = math.hypot(sigma, math.hypot(_SPREAD_PART * max(mate, 0.0), _SPREAD_K))
    steps = ((k + 0.5) / _STEPS for k in range(_STEPS))
    hot = sum(_density(over - _LEAST_K * (_MOST_K / _LEAST_K) ** step, spread) for step in steps) / _STEPS
    healthy = _density(over, spread)
    both = _HOT_SHARE * hot + (1.0 - 2.0 * _HOT_SHARE) * healthy + _HOT_SHARE * _mirrored(over, spread)
    return _HOT_SHARE * hot / both if both > 0 else (1.0 if over > 0 else 0.0)


def _mirrored(over: float, spread: float) -> float:
    """The mate is the hot one."""
    steps = ((k + 0.5) / _STEPS for k in range(_STEPS))
    return sum(_density(over + _LEAST_K * (_MOST_K / _LEAST_K) ** step, spread) for step in steps) / _STEPS


def _density(off: float, sigma: float) -> float:
    return math.exp(-0.5 * (off / sigma) ** 2) / sigma
