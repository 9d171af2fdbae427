"""From the policies of the cases to the arrays of assumptions that fit, comparison and pattern take."""

from __future__ import annotations

from collections.abc import Sequence
from typing import get_args

import numpy as np
from msgspec.structs import replace

from thermlog.correcting.gun import Gun, noise_sigma_k
from thermlog.fitting.pairs import Pairs
from thermlog.fitting.stack import Priors
from thermlog.inference.doubt import Misses
from thermlog.inference.explanations import COLD_KINDS
from thermlog.inference.left_right import SideComparison
from thermlog.inference.likelihood import Likeness
from thermlog.inference.pattern import CaseContext
from thermlog.physics.cooling import Law
from thermlog.words.few import Few
from thermlog.words.findings import PatternKind
from thermlog.words.kinds import FAULT_KINDS
from thermlog.words.policy import Policy
from thermlog.words.tables import Bools, Case, Floats, Ints
from thermlog.words.vehicle import HUB_SPOT, SPOTS, Split, Vehicle, towed_axles

# Without a stated ambient the curves still need one; nothing is judged with it (common practice, no source).
_UNSTATED_AMBIENT_DEGC = 15.0
_UNSTATED_SIGMA_K = 15.0


def priors_of(
    cases: Sequence[Case],
    vehicles: Few[Vehicle],
    policies: Few[Policy],
    pairs: Pairs,
    *,
    gun: Gun,
    law: Law,
) -> Priors:
    """Assumptions of the fit.

    Parameters
    ----------
    cases : sequence (cases,)
    vehicles, policies : Few (cases,)
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
        reading_sigma_k=shot_sigma_k(policies, gun),
        aim_fraction=_numbers(policies, ("aim_fraction",))[0],
        floor_sigma_k=np.full(len(cases), noise_sigma_k(gun)),
        noise_dof=_numbers(policies, ("noise_prior_dof",))[0],
        law=law,
        hub=pairs.spot == SPOTS.index(HUB_SPOT),
    )


def context_of(cases: Sequence[Case], vehicles: Few[Vehicle], policies: Few[Policy], gun: Gun) -> CaseContext:
    """What the pattern must know of every case.

    Parameters
    ----------
    cases : sequence (cases,)
    vehicles, policies : Few (cases,)
    gun : Gun

    Returns
    -------
    CaseContext
    """
    coast = np.array([case.drive == "coast" for case in cases], dtype=bool)
    return CaseContext(
        policies=policies,
        shot_sigma_k=shot_sigma_k(policies, gun),
        coast=coast,
        axle_count=vehicles.table(lambda vehicle: len(vehicle.axles)).astype(np.int64),
        steered_front=vehicles.table(lambda vehicle: vehicle.axles[0].role == "steer").astype(bool),
        impossible=_impossible(coast, vehicles),
        spared=vehicles.map(lambda vehicle: vehicle.spared),
        towed=vehicles.map(lambda vehicle: towed_axles(vehicle.axles)),
        silent=_silent(vehicles),
        likeness=vehicles.map(_likeness),
    )


def misses_of(policies: Few[Policy], gun: Gun) -> Misses:
    """What is assumed of single shots."""
    names = ("aim_fraction", "miss_share", "high_miss_part")
    told = dict(zip(names, _numbers(policies, names), strict=True))
    return Misses(reading_sigma_k=shot_sigma_k(policies, gun), **told)


def shot_sigma_k(policies: Few[Policy], gun: Gun) -> Floats:
    """Scatter of one shot on one spot [K]: of the policy, or of the gun alone where that is more."""
    return policies.table(lambda policy: max(policy.reading_sigma_k, noise_sigma_k(gun)))


_NEVER_ON: dict[Split, frozenset[PatternKind]] = {
    split: frozenset(kind.name for kind in FAULT_KINDS if kind.never_on == split) for split in get_args(Split)
}
_NOTHING: frozenset[PatternKind] = frozenset()
_WHOLE_AXLES: frozenset[PatternKind] = frozenset(kind.name for kind in FAULT_KINDS if kind.scope == "axle")
_WHOLE_VEHICLE: frozenset[PatternKind] = frozenset(
    kind.name for kind in FAULT_KINDS if kind.scope == "vehicle"
)


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


def _impossible(coast: Bools, vehicles: Few[Vehicle]) -> Few[frozenset[PatternKind]]:
    """Nothing is too cold without braking; a front/rear split has no diagonal.

    Both brakes of the only axle are the whole vehicle: hot after braking that is a question of its heat, hot
    without they drag.
    """
    never = vehicles.map(lambda vehicle: (_NEVER_ON[vehicle.split], len(vehicle.axles) == 1))
    kinds = [
        driven | of_split | (whole if alone else _NOTHING)
        for driven, whole in ((_NOTHING, _WHOLE_AXLES), (COLD_KINDS, _WHOLE_VEHICLE))
        for of_split, alone in never.kinds
    ]
    return Few(kinds, len(never.kinds) * coast + never.code)


def _silent(vehicles: Few[Vehicle]) -> frozenset[tuple[int, int]]:
    lifted = vehicles.map(_lifted)
    return frozenset((k, axle) for k, axles in enumerate(lifted) for axle in axles)


def with_hot_lifted(context: CaseContext, pairs: Pairs, comparison: SideComparison) -> CaseContext:
    """The same, with lifted axles heard where both brakes are plainly hotter than the others.

    Being up explains a cold brake, never a hot one: such an axle was braked, or drags.

    Parameters
    ----------
    context : CaseContext
    pairs : Pairs
    comparison : SideComparison

    Returns
    -------
    CaseContext
    """
    if not context.silent:
        return context
    hot = {place for place in context.silent if _is_hot_beside(place, context, (pairs, comparison))}
    return replace(context, silent=context.silent - hot) if hot else context


def _is_hot_beside(
    place: tuple[int, int], context: CaseContext, columns: tuple[Pairs, SideComparison]
) -> bool:
    (case, axle), (pairs, comparison) = place, columns
    policy = context.policies[case]
    mine = np.flatnonzero(comparison.chosen & (pairs.case == case))
    quiet = np.array([(case, number) in context.silent for number in pairs.axle[mine].tolist()], dtype=bool)
    rise_k = comparison.state.rise_k[:, mine]
    others, here = rise_k[:, ~quiet], rise_k[:, pairs.axle[mine] == axle]
    others = others[np.isfinite(others)]
    if not others.size or not here.size or not np.isfinite(here).all():
        return False
    usual_k, cooler_k = max(float(np.median(others)), 0.0), float(here.min())
    past = cooler_k - usual_k >= policy.watch_difference_k
    return past and cooler_k >= policy.watch_ratio * usual_k


def _lifted(vehicle: Vehicle) -> tuple[int, ...]:
    if not vehicle.stated:
        return ()
    return tuple(number for number, axle in enumerate(vehicle.axles, start=1) if axle.lifted)


def common_time_of(policies: Few[Policy]) -> Floats:
    """Common time asked for by each case's policy [s]."""
    return policies.table(lambda policy: policy.common_time_s)


def _numbers(policies: Few[Policy], names: tuple[str, ...]) -> Floats:
    """Policy numbers as an array (names, cases)."""
    rows = policies.table(lambda policy: [getattr(policy, name) for name in names])
    table: Floats = rows.reshape(-1, len(names)).T
    return table


def _cooling_kind(vehicles: Few[Vehicle], pairs: Pairs) -> Ints:
    """0 disc, 1 drum, 2 hub for every pair: from the spot, else from the vehicle's description."""
    drum, hub = SPOTS.index("drum"), SPOTS.index(HUB_SPOT)
    unsaid = pairs.spot == SPOTS.index("brake")
    kind = np.where(pairs.spot == hub, 2, np.where(pairs.spot == drum, 1, 0))
    most = int(pairs.axle[unsaid].max(initial=1))
    drums = vehicles.table(lambda vehicle: [vehicle.has_drum(axle) for axle in range(1, most + 1)])
    if unsaid.any():
        kind[unsaid] = drums[pairs.case[unsaid], pairs.axle[unsaid] - 1]
    return kind
