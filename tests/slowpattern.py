"""The evidence of every explanation of a two-axle vehicle by plain numerical integration: slow and separate.

Written from the description of the model alone, without its grid, maps and matrix products: heat level of
the vehicle, level of each axle, extra heat of a drag and share left to an idle brake are each integrated on
grids five times finer than that of the package, without truncation.
"""

from __future__ import annotations

from itertools import product

import numpy as np
from msgspec import Struct
from scipy import stats

from thermlog.words.policy import Policy

# natural logarithm of the rise [K]: steps of 2 % from 0.2 K to 3000 K
LOG_LEVEL = np.arange(np.log(0.2), np.log(3000.0), 0.02)
LEVEL_K = np.exp(LOG_LEVEL)
EXTRA_PROBABILITY = (np.arange(200) + 0.5) / 200
KEPT = (np.arange(120) + 0.5) / 120
SHINING = (np.arange(12) + 0.5) / 12
ONE_SIDED = ((1, 0), (0, 1))  # changed sides of an axle: left, right


class Brake(Struct, frozen=True, kw_only=True):
    """One brake: rise at the common time, its variance, voting readings, spread that the skin brings."""

    rise_k: float | None
    variance: float
    used: int
    skin_fraction: float


class Slow(Struct, frozen=True, kw_only=True):
    """Posterior by kind and by corner; corners as (axle row, side)."""

    kinds: dict[str, float]
    hot: dict[tuple[int, int], float]
    cold: dict[tuple[int, int], float]


def shown(brake: Brake, level_k: np.ndarray, policy: Policy, *, coast: bool) -> np.ndarray:
    """Density of the rise read on a brake of level `level_k`, whose face may shine unlike the others."""
    parts = policy.odd_skin_least + (1.0 - policy.odd_skin_least) * SHINING
    odd = sum(alike(brake, part * level_k, policy, coast=coast) for part in parts) / SHINING.size
    usual = alike(brake, level_k, policy, coast=coast)
    return (1.0 - policy.odd_skin_share) * usual + policy.odd_skin_share * odd


def alike(brake: Brake, level_k: np.ndarray, policy: Policy, *, coast: bool) -> np.ndarray:
    """The same for a face like the others'."""
    if brake.rise_k is None:
        return np.ones_like(level_k)
    fraction = policy.coast_side_spread_fraction if coast else policy.side_spread_fraction
    absolute_k = policy.coast_side_spread_k if coast else policy.side_spread_k
    sigma = np.sqrt(brake.variance + absolute_k**2 + (fraction**2 + brake.skin_fraction**2) * level_k**2)
    missed = policy.miss_share**brake.used + 1e-4
    beside = np.where(brake.rise_k < level_k + 2.0 * sigma, 1.0, 0.01) / (level_k + 10.0)
    return (1.0 - missed) * stats.norm.pdf(brake.rise_k, level_k, sigma) + missed * beside


def of_brake(brake: Brake, policy: Policy, *, coast: bool) -> dict[str, np.ndarray]:
    """Likelihood of a healthy, hot and cold brake for every level of its axle."""
    extra_k = policy.drag_rise_k * np.exp(policy.drag_rise_spread * stats.norm.ppf(EXTRA_PROBABILITY))
    hot, cold = np.zeros_like(LEVEL_K), np.zeros_like(LEVEL_K)
    for k, level in enumerate(LEVEL_K):
        hot[k] = shown(brake, level + extra_k, policy, coast=coast).mean()
        cold[k] = shown(brake, level * policy.cold_remaining_most * KEPT, policy, coast=coast).mean()
    return {"even": shown(brake, LEVEL_K, policy, coast=coast), "hot": hot, "cold": cold}


def slow_pattern(brakes: dict[tuple[int, int], Brake], policy: Policy, *, coast: bool, steered: bool) -> Slow:
    """Posterior of a vehicle of two axles whose brakes are keyed (axle row, side)."""
    seen = {place: of_brake(brake, policy, coast=coast) for place, brake in brakes.items()}
    median_k = policy.coast_heat_median_k if coast else policy.heat_median_k
    spread = policy.coast_heat_spread if coast else policy.heat_spread
    heat = stats.norm.pdf(LOG_LEVEL, np.log(median_k), spread)
    shares = (policy.front_share**0.5, policy.front_share**-0.5) if steered else (1.0, 1.0)
    departure = [
        stats.norm.pdf(LOG_LEVEL[None, :], LOG_LEVEL[:, None] + np.log(share), policy.axle_spread)
        for share in shares
    ]
    axle = {
        (row, left, right): departure[row] @ (seen[row, 0][left] * seen[row, 1][right])
        for row in (0, 1)
        for left, right in product(("even", "hot", "cold"), repeat=2)
    }

    # all brakes hot by one cause: the level of the whole vehicle is raised by the extra heat of a drag
    extra = stats.lognorm(s=policy.drag_rise_spread, scale=policy.drag_rise_k)
    raised = np.zeros_like(heat)
    for weight, level in zip(heat, LEVEL_K, strict=True):
        raised += weight * extra.pdf(LEVEL_K - level) * LEVEL_K

    def evidence(front: tuple[str, str], rear: tuple[str, str]) -> float:
        if front == rear == ("hot", "hot"):
            prior, front, rear = raised * (heat.sum() / raised.sum()), ("even", "even"), ("even", "even")
        else:
            prior = heat
        return float((prior * axle[(0, *front)] * axle[(1, *rear)]).sum())

    return _weighed(evidence, policy, coast=coast)


def _weighed(evidence, policy: Policy, *, coast: bool) -> Slow:
    even = ("even", "even")
    table: list[tuple[str, float, tuple, tuple]] = [("none", 1.0 - policy.fault_share, even, even)]
    weight = {
        "corner_hot": policy.corner_hot_weight,
        "corner_cold": 0.0 if coast else policy.corner_cold_weight,
        "axle_hot": policy.axle_hot_weight,
        "axle_cold": 0.0 if coast else policy.axle_cold_weight,
        "diagonal_hot": policy.diagonal_hot_weight,
        "all_hot": policy.all_hot_weight,
        "several": policy.several_weight,
    }
    prior = {kind: policy.fault_share * one / sum(weight.values()) for kind, one in weight.items()}
    for state in ("hot", "cold"):
        one_sided = [(state, "even"), ("even", state)]
        for odd in one_sided:
            table.append((f"corner_{state}", prior[f"corner_{state}"] / 4, odd, even))
            table.append((f"corner_{state}", prior[f"corner_{state}"] / 4, even, odd))
        table.append((f"axle_{state}", prior[f"axle_{state}"] / 2, (state, state), even))
        table.append((f"axle_{state}", prior[f"axle_{state}"] / 2, even, (state, state)))
    table.append(("diagonal_hot", prior["diagonal_hot"] / 2, ("hot", "even"), ("even", "hot")))
    table.append(("diagonal_hot", prior["diagonal_hot"] / 2, ("even", "hot"), ("hot", "even")))
    table.append(("all_hot", prior["all_hot"], ("hot", "hot"), ("hot", "hot")))
    hot_share = weight["corner_hot"] / (weight["corner_hot"] + weight["corner_cold"])
    part = {"hot": hot_share / 2, "cold": (1 - hot_share) / 2}
    singles = [(pair, part[state]) for state in part for pair in ((state, "even"), ("even", state))]
    for (front, front_part), (rear, rear_part) in product(singles, repeat=2):
        table.append(("several", prior["several"] * front_part * rear_part, front, rear))
    return _summed([(kind, share * evidence(front, rear), front, rear) for kind, share, front, rear in table])


def _summed(table: list[tuple[str, float, tuple, tuple]]) -> Slow:
    total = sum(weight for _, weight, _, _ in table)
    kinds: dict[str, float] = {}
    by_state: dict[str, dict[tuple[int, int], float]] = {
        state: {(row, side): 0.0 for row in (0, 1) for side in (0, 1)} for state in ("hot", "cold")
    }
    for kind, weight, *axles in table:
        kinds[kind] = kinds.get(kind, 0.0) + weight / total
        for row, states in enumerate(axles):
            for side, state in enumerate(states):
                if state in by_state:
                    by_state[state][row, side] += weight / total
    return Slow(kinds=kinds, hot=by_state["hot"], cold=by_state["cold"])
