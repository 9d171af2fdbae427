"""The evidence of every explanation of a two-axle vehicle by plain numerical integration: slow and separate.

Written from the description of the model alone, without its grid, maps and matrix products: heat level of
the vehicle, level of each axle, extra heat of a drag and share left to an idle brake are each integrated on
grids five times finer than that of the package, without truncation. Skins alike and skins unlike are two
vehicles with shares of their own; the air is summed over on a grid of its own.
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
OCTAVES = (np.arange(100) + 0.5) / 100
KEPT = (np.arange(120) + 0.5) / 120
SHINING = (np.arange(12) + 0.5) / 12
EVEN = ("even", "even")
AIR_SIGMAS = np.linspace(-3.0, 3.0, 13)


class Brake(Struct, frozen=True, kw_only=True):
    """One brake: rise at the common time, its variance, voting readings, spread that the skin brings."""

    rise_k: float | None
    variance: float
    used: int
    skin_fraction: float


class Vehicle(Struct, frozen=True, kw_only=True):
    """What the brakes, keyed (axle row, side), belong to; the air as uncertain as `air_sigma_k`, 0: known."""

    brakes: dict[tuple[int, int], Brake]
    policy: Policy
    coast: bool = False
    steered: bool = True
    likeness: str = "unsaid"
    air_sigma_k: float = 0.0
    skins_even_share: float | None = None


class Slow(Struct, frozen=True, kw_only=True):
    """Posterior by kind, by corner as (axle row, side), and by question."""

    kinds: dict[str, float]
    hot: dict[tuple[int, int], float]
    cold: dict[tuple[int, int], float]
    p_drag: float
    p_idle: float
    p_heat: float
    skin_odds: float


class Node(Struct, frozen=True, kw_only=True):
    """One way of what is not known of the vehicle."""

    weight: float
    skin_part: float
    lower_air_k: float


def shown(brake: Brake, level_k: np.ndarray, vehicle: Vehicle, node: Node) -> np.ndarray:
    """Density of the rise read on a brake of level `level_k`, whose face may shine unlike the others."""
    policy = vehicle.policy
    parts = policy.odd_skin_least + (1.0 - policy.odd_skin_least) * SHINING
    odd = sum(alike(brake, part * level_k, vehicle, node) for part in parts) / SHINING.size
    usual = alike(brake, level_k, vehicle, node)
    return (1.0 - policy.odd_skin_share) * usual + policy.odd_skin_share * odd


def alike(brake: Brake, level_k: np.ndarray, vehicle: Vehicle, node: Node) -> np.ndarray:
    """The same for a face like the others'."""
    if brake.rise_k is None:
        return np.ones_like(level_k)
    policy, rise_k = vehicle.policy, brake.rise_k - node.lower_air_k
    fraction = policy.coast_side_spread_fraction if vehicle.coast else policy.side_spread_fraction
    absolute_k = policy.coast_side_spread_k if vehicle.coast else policy.side_spread_k
    skin = node.skin_part * brake.skin_fraction
    sigma = np.sqrt(brake.variance + absolute_k**2 + (fraction**2 + skin**2) * level_k**2)
    missed = policy.miss_share**brake.used + 1e-4
    beside = np.where(rise_k < level_k + 2.0 * sigma, 1.0, 0.01) / (level_k + 10.0)
    hit = np.exp(-0.5 * ((rise_k - level_k) / sigma) ** 2) / (sigma * np.sqrt(2.0 * np.pi))
    return (1.0 - missed) * hit + missed * beside


def drag_range_k(level_k: np.ndarray, policy: Policy) -> tuple[np.ndarray, np.ndarray]:
    """Least and most extra heat of a drag on a brake of that level; every octave between is as likely."""
    least = np.maximum(policy.drag_least_k, policy.drag_least_part * level_k)
    return least, np.maximum(policy.drag_most_k, 3.0 * least)


def of_brake(brake: Brake, vehicle: Vehicle, node: Node) -> dict[str, np.ndarray]:
    """Likelihood of a healthy, hot and cold brake for every level of its axle."""
    policy, level = vehicle.policy, LEVEL_K[:, None]
    least, most = drag_range_k(level, policy)
    extra_k = least * (most / least) ** OCTAVES
    return {
        "even": shown(brake, LEVEL_K, vehicle, node),
        "hot": shown(brake, level + extra_k, vehicle, node).mean(1),
        "cold": shown(brake, level * policy.cold_remaining_most * KEPT, vehicle, node).mean(1),
    }


def slow_pattern(vehicle: Vehicle) -> Slow:
    """Posterior of a vehicle of two axles."""
    nodes = nodes_of(vehicle)
    tables = [evidences(vehicle, node) for node in nodes]
    priors = explanations(vehicle.policy, coast=vehicle.coast)
    by_node = np.array([[one[states] for states in priors_states(priors)] for one in tables])
    shares = np.array([share for _, share, _, _ in priors])
    weight = np.array([node.weight for node in nodes])
    joint = (weight @ by_node) * shares
    usual = weight @ np.array([[one["usual"], one["usual hot"]] for one in tables])
    whole = by_node @ shares
    first = np.array([node.skin_part == nodes[0].skin_part for node in nodes])
    alike_, unlike = (whole[some] @ weight[some] / weight[some].sum() for some in (first, ~first))
    found = [
        (kind, weight, front, rear) for (kind, _, front, rear), weight in zip(priors, joint, strict=True)
    ]
    return summed(found, vehicle, usual, alike_ / unlike)


def priors_states(priors: list[tuple[str, float, tuple, tuple]]) -> list[object]:
    """Key of the evidence of every explanation."""
    return ["all hot" if kind == "all_hot" else (front, rear) for kind, _, front, rear in priors]


def nodes_of(vehicle: Vehicle) -> list[Node]:
    """Skins alike or not, times where the air may be."""
    policy = vehicle.policy
    even = policy.skins_even_share if vehicle.skins_even_share is None else vehicle.skins_even_share
    skins = ((even, policy.skins_even_part), (1.0 - even, policy.skins_unlike_part))
    airs = AIR_SIGMAS if vehicle.air_sigma_k > 0 else np.zeros(1)
    chance = stats.norm.pdf(airs) / stats.norm.pdf(airs).sum()
    return [
        Node(weight=share * p, skin_part=part, lower_air_k=float(z * vehicle.air_sigma_k))
        for share, part in skins
        for p, z in zip(chance, airs, strict=True)
    ]


def evidences(vehicle: Vehicle, node: Node) -> dict[object, float]:
    """Of every pair of states of the axles, and of a heat raised as a whole."""
    policy, coast = vehicle.policy, vehicle.coast
    seen = {place: of_brake(brake, vehicle, node) for place, brake in vehicle.brakes.items()}
    spread = policy.coast_axle_spread if coast else getattr(policy, f"{vehicle.likeness}_axle_spread")
    front_share = policy.coast_front_share if coast else policy.front_share
    shares = (front_share**0.5, front_share**-0.5) if vehicle.steered else (1.0, 1.0)
    departure = [
        stats.norm.pdf(LOG_LEVEL[None, :], LOG_LEVEL[:, None] + np.log(share), spread) for share in shares
    ]
    axle = {
        (row, left, right): departure[row] @ (seen[row, 0][left] * seen[row, 1][right])
        for row in (0, 1)
        for left, right in product(("even", "hot", "cold"), repeat=2)
    }
    if coast:
        heat = usual = prior(policy.coast_heat_median_k, policy.coast_heat_spread)
    else:
        heat = prior(policy.heat_median_k, policy.heat_spread)
        usual = prior(policy.usual_heat_median_k, policy.usual_heat_spread)
    states = list(product(("even", "hot", "cold"), repeat=2))
    found: dict[object, float] = {
        (front, rear): float((heat * axle[(0, *front)] * axle[(1, *rear)]).sum())
        for front, rear in product(states, repeat=2)
    }
    healthy = axle[(0, *EVEN)] * axle[(1, *EVEN)]
    found["all hot"] = float((raised(heat, policy) * healthy).sum())
    found["usual"] = float((usual * healthy).sum())
    found["usual hot"] = float((raised(usual, policy) * healthy).sum())
    return found


def prior(median_k: float, spread: float) -> np.ndarray:
    """Heat of a vehicle."""
    heat: np.ndarray = stats.norm.pdf(LOG_LEVEL, np.log(median_k), spread)
    return heat / heat.sum()


def raised(heat: np.ndarray, policy: Policy) -> np.ndarray:
    """All brakes hot by one cause: the level of the whole vehicle is raised by the extra heat of a drag."""
    least, most = drag_range_k(LEVEL_K, policy)
    extra = LEVEL_K[None, :] - LEVEL_K[:, None]
    inside = (extra >= least[:, None]) & (extra <= most[:, None])
    density = np.where(inside, LEVEL_K[None, :] / np.where(inside, extra, 1.0), 0.0)
    density /= np.maximum(density.sum(1, keepdims=True), 1e-12)  # none left at the end of the grid
    return heat @ density


def explanations(policy: Policy, *, coast: bool) -> list[tuple[str, float, tuple, tuple]]:
    """Kind, prior share and states of the axles of everything a vehicle can have."""
    table: list[tuple[str, float, tuple, tuple]] = [("none", 1.0 - policy.fault_share, EVEN, EVEN)]
    weight = {
        "corner_hot": policy.corner_hot_weight,
        "corner_cold": 0.0 if coast else policy.corner_cold_weight,
        "axle_hot": policy.axle_hot_weight,
        "axle_cold": 0.0 if coast else policy.axle_cold_weight,
        "diagonal_hot": policy.diagonal_hot_weight,
        "diagonal_cold": 0.0 if coast else policy.diagonal_cold_weight,
        "all_hot": policy.all_hot_weight,
        "several": policy.several_weight,
    }
    share = {kind: policy.fault_share * one / sum(weight.values()) for kind, one in weight.items()}
    for state in ("hot", "cold"):
        for odd in ((state, "even"), ("even", state)):
            table.append((f"corner_{state}", share[f"corner_{state}"] / 4, odd, EVEN))
            table.append((f"corner_{state}", share[f"corner_{state}"] / 4, EVEN, odd))
        table.append((f"axle_{state}", share[f"axle_{state}"] / 2, (state, state), EVEN))
        table.append((f"axle_{state}", share[f"axle_{state}"] / 2, EVEN, (state, state)))
        one = share[f"diagonal_{state}"] / 2
        table.append((f"diagonal_{state}", one, (state, "even"), ("even", state)))
        table.append((f"diagonal_{state}", one, ("even", state), (state, "even")))
    table.append(("all_hot", share["all_hot"], ("hot", "hot"), ("hot", "hot")))
    for (front, first, here), (rear, second, there) in product(separate(weight, share["several"]), repeat=2):
        if here + there > 1:
            table.append(("several", first * second, front, rear))
    return table


def separate(weight: dict[str, float], several: float) -> list[tuple[tuple, float, int]]:
    """States of one axle, their weight and how many separate faults they are: a brake, an axle, one of each.

    Weighted as by themselves, and so that one fault on each of two axles is as likely as `several` says.
    """
    kinds = ("corner_hot", "corner_cold", "axle_hot", "axle_cold")
    scale = several**0.5 / sum(weight[kind] for kind in kinds)
    corner_hot, corner_cold, axle_hot, axle_cold = (scale * weight[kind] for kind in kinds)
    mixed = corner_hot / 2 * corner_cold / 2
    return [
        (EVEN, 1.0, 0), (("hot", "cold"), mixed, 2), (("cold", "hot"), mixed, 2),
        (("hot", "even"), corner_hot / 2, 1), (("even", "hot"), corner_hot / 2, 1),
        (("cold", "even"), corner_cold / 2, 1), (("even", "cold"), corner_cold / 2, 1),
        (("hot", "hot"), axle_hot, 1), (("cold", "cold"), axle_cold, 1),
    ]  # fmt: skip


def summed(
    table: list[tuple[str, float, tuple, tuple]], vehicle: Vehicle, usual: np.ndarray, skin_odds: float
) -> Slow:
    """Joint weights turned into the posterior."""
    total = sum(weight for _, weight, _, _ in table)
    kinds: dict[str, float] = {}
    by_state: dict[str, dict[tuple[int, int], float]] = {
        state: {(row, side): 0.0 for row in (0, 1) for side in (0, 1)} for state in ("hot", "cold")
    }
    asked = {"hot": 0.0, "cold": 0.0}
    for kind, weight, *axles in table:
        kinds[kind] = kinds.get(kind, 0.0) + weight / total
        odd = [(row, side, state) for row, pair in enumerate(axles) for side, state in enumerate(pair)]
        if kind == "all_hot":  # asked apart: no corner is odd beside the others
            continue
        for state, places in by_state.items():
            mine = [(row, side) for row, side, is_ in odd if is_ == state]
            for place in mine:
                places[place] += weight / total
            if any(vehicle.brakes[place].rise_k is not None for place in mine):
                asked[state] += weight / total
    share = vehicle.policy.all_hot_share
    even, hot = (1.0 - share) * usual[0], share * usual[1]
    return Slow(
        kinds=kinds,
        hot=by_state["hot"],
        cold=by_state["cold"],
        p_drag=asked["hot"],
        p_idle=asked["cold"],
        p_heat=(kinds["none"] + kinds["all_hot"]) * hot / (even + hot),
        skin_odds=skin_odds,
    )
