"""From the policies of the cases to the arrays of assumptions that fit, comparison and pattern take."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from thermlog.correcting.gun import Gun, noise_sigma_k
from thermlog.fitting.pairs import Pairs
from thermlog.fitting.stack import Priors
from thermlog.judging.doubt import Misses
from thermlog.judging.explanations import COLD_KINDS
from thermlog.judging.likelihood import Likeness
from thermlog.judging.pattern import CaseContext
from thermlog.physics.cooling import Law
from thermlog.words.findings import PatternKind
from thermlog.words.policy import Policy
from thermlog.words.tables import Case, Floats
from thermlog.words.vehicle import HUB_SPOT, SPOTS, Vehicle

# Without a stated ambient the curves still need one; nothing is judged with it (common practice, no source).
_UNSTATED_AMBIENT_DEGC = 15.0
_UNSTATED_SIGMA_K = 15.0


def priors_of(
    cases: Sequence[Case],
    vehicles: Sequence[Vehicle],
    policies: Sequence[Policy],
    pairs: Pairs,
    *,
    gun: Gun,
    law: Law,
) -> Priors:
    """Assumptions of the fit.

    Parameters
    ----------
    cases, vehicles, policies : sequences (cases,)
    pairs : Pairs
    gun : Gun
        A shot scatters as the policy says, and never less than the gun itself.
    law : Law

    Returns
    -------
    Priors
    """
    kind = _cooling_kind(vehicles, pairs)
    tau_s = _numbers(policies, ("tau_disc_s", "tau_drum_s", "tau_hub_s"))
    spread = _numbers(policies, ("tau_disc_spread", "tau_drum_spread", "tau_hub_spread"))
    stated = np.array([case.ambient_degc is not None for case in cases], dtype=bool)
    sigma = np.array(
        [np.nan if c.ambient_sigma_k is None else c.ambient_sigma_k for c in cases], dtype=np.float64
    )
    usual = _numbers(policies, ("ambient_sigma_k",))[0]
    return Priors(
        log_tau_mean=np.log(tau_s[kind, pairs.case]),
        log_tau_spread=spread[kind, pairs.case],
        side_spread=_numbers(policies, ("tau_side_spread",))[0, pairs.case],
        ambient_degc=np.array(
            [_UNSTATED_AMBIENT_DEGC if case.ambient_degc is None else case.ambient_degc for case in cases],
            dtype=np.float64,
        ),
        ambient_sigma_k=np.where(stated, np.where(np.isnan(sigma), usual, sigma), _UNSTATED_SIGMA_K),
        reading_sigma_k=of_policies(policies, lambda policy: shot_sigma_k(policy, gun)),
        aim_fraction=_numbers(policies, ("aim_fraction",))[0],
        floor_sigma_k=np.full(len(cases), noise_sigma_k(gun)),
        noise_dof=_numbers(policies, ("noise_prior_dof",))[0],
        law=law,
    )


def context_of(
    cases: Sequence[Case], vehicles: Sequence[Vehicle], policies: Sequence[Policy], gun: Gun
) -> CaseContext:
    """What the pattern must know of every case.

    Parameters
    ----------
    cases, vehicles, policies : sequences (cases,)
    gun : Gun

    Returns
    -------
    CaseContext
    """
    return CaseContext(
        policies=policies,
        shot_sigma_k=[shot_sigma_k(policy, gun) for policy in policies],
        coast=np.array([case.drive == "coast" for case in cases], dtype=bool),
        axle_count=np.array([len(vehicle.axles) for vehicle in vehicles], dtype=np.int64),
        steered_front=np.array([vehicle.axles[0].role == "steer" for vehicle in vehicles], dtype=bool),
        impossible=[_impossible(case, vehicle) for case, vehicle in zip(cases, vehicles, strict=True)],
        harmless=[_REGENERATED if vehicle.regenerative else _NOTHING for vehicle in vehicles],
        silent=frozenset(
            (k, number)
            for k, vehicle in enumerate(vehicles)
            if vehicle.stated
            for number, axle in enumerate(vehicle.axles, start=1)
            if axle.lifted
        ),
        likeness=[_likeness(vehicle) for vehicle in vehicles],
    )


def misses_of(policies: Sequence[Policy], gun: Gun) -> Misses:
    """What is assumed of single shots."""
    names = ("aim_fraction", "miss_share", "high_miss_part")
    return Misses(
        reading_sigma_k=of_policies(policies, lambda policy: shot_sigma_k(policy, gun)),
        **dict(zip(names, _numbers(policies, names), strict=True)),
    )


def shot_sigma_k(policy: Policy, gun: Gun) -> float:
    """Scatter of one shot on one spot [K]: of the policy, or of the gun alone where that is more."""
    return max(policy.reading_sigma_k, noise_sigma_k(gun))


_REGENERATED: frozenset[PatternKind] = frozenset({"axle_cold"})
_NOT_DIAGONAL: frozenset[PatternKind] = frozenset({"diagonal_hot"})
_NOTHING: frozenset[PatternKind] = frozenset()


def _likeness(vehicle: Vehicle) -> tuple[Likeness, ...]:
    """Of every axle: whether anything is said, and whether its brakes are of the commonest kind."""
    if not vehicle.stated:
        return tuple("unsaid" for _ in vehicle.axles)
    brakes = [axle.brake for axle in vehicle.axles]
    commonest = max(dict.fromkeys(brakes), key=brakes.count)
    if len(brakes) == 2 and brakes[0] != brakes[1]:
        return "unlike", "unlike"
    like: Likeness = "like"
    unlike: Likeness = "unlike"
    return tuple(like if brake == commonest else unlike for brake in brakes)


def _impossible(case: Case, vehicle: Vehicle) -> frozenset[PatternKind]:
    """Nothing is too cold without braking; a front/rear split has no diagonal."""
    impossible = COLD_KINDS if case.drive == "coast" else _NOTHING
    return impossible | _NOT_DIAGONAL if vehicle.split == "front_rear" else impossible


def common_time_of(policies: Sequence[Policy]) -> Floats:
    """Common time asked for by each case's policy [s]."""
    return of_policies(policies, lambda policy: policy.common_time_s)


def of_policies(policies: Sequence[Policy], number: Callable[[Policy], float | list[float]]) -> Floats:
    """What `number` tells of every case's policy, a row a case; the few of a fleet are asked once each."""
    known: dict[int, float | list[float]] = {}
    for policy in policies:
        if id(policy) not in known:
            known[id(policy)] = number(policy)
    return np.array([known[id(policy)] for policy in policies], dtype=np.float64)


def _numbers(policies: Sequence[Policy], names: tuple[str, ...]) -> Floats:
    """Policy numbers as an array (names, cases)."""
    rows = of_policies(policies, lambda policy: [getattr(policy, name) for name in names])
    table: Floats = rows.reshape(-1, len(names)).T
    return table


def _cooling_kind(vehicles: Sequence[Vehicle], pairs: Pairs) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """0 disc, 1 drum, 2 hub for every pair: from the spot, else from the vehicle's description."""
    drum, hub = SPOTS.index("drum"), SPOTS.index(HUB_SPOT)
    unsaid = pairs.spot == SPOTS.index("brake")
    kind = np.where(pairs.spot == hub, 2, np.where(pairs.spot == drum, 1, 0))
    known: dict[tuple[int, int], bool] = {}  # few kinds of vehicles make up a fleet
    drums = []
    for case, axle in zip(pairs.case[unsaid].tolist(), pairs.axle[unsaid].tolist(), strict=True):
        place = (id(vehicles[case]), axle)
        if place not in known:
            known[place] = vehicles[case].has_drum(axle)
        drums.append(known[place])
    kind[unsaid] = drums
    return kind
