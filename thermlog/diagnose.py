"""The only place where the order of the steps stands: pair, fit, settle, compare, pattern, tell."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from thermlog.assume import common_time_of, context_of, priors_of
from thermlog.compare import compare
from thermlog.cooling import Law
from thermlog.digest import digest
from thermlog.findings import Diagnosis
from thermlog.fit import fit
from thermlog.judged import Judged
from thermlog.pairs import Pairs, pair_readings
from thermlog.pattern import find_patterns
from thermlog.policy import Policy, chosen_policy, load_policy
from thermlog.settle import settling
from thermlog.tables import Readings
from thermlog.tell import tell
from thermlog.vehicle import SPOTS, Vehicle, default_vehicle


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What the user can set about judging.

    Attributes
    ----------
    policy : str or None
        Bundled name or file; None: environment, config file, else by the vehicle.
    law : Law
        Cooling law of the fit.
    """

    policy: str | None = None
    law: Law = "exponential"


def judge(readings: Readings, settings: Settings) -> Judged:
    """Run every columnar step on all cases at once.

    Parameters
    ----------
    readings : Readings
        One case or ten thousand.
    settings : Settings

    Returns
    -------
    Judged

    Raises
    ------
    PolicyError
        The policy named cannot be read.
    """
    pairs = pair_readings(readings)
    vehicles = _vehicles(readings, pairs)
    policies, notes = _policies(vehicles, settings)
    fits = fit(readings, pairs, priors_of(readings.cases, vehicles, policies, pairs, settings.law))
    comparison = compare(pairs, fits, wanted_time_s=common_time_of(policies))
    patterns = find_patterns(pairs, fits, comparison, context_of(readings.cases, vehicles, policies))
    return Judged(
        readings=readings,
        pairs=pairs,
        fits=fits,
        settling=settling(readings, pairs, fits),
        comparison=comparison,
        patterns=patterns,
        digest=digest(readings, pairs, fits, comparison, patterns),
        vehicles=vehicles,
        policies=policies,
        policy_notes=notes,
    )


def diagnosis(judged: Judged, k: int, *, curves: bool = False) -> Diagnosis:
    """Tell the findings of one case.

    Parameters
    ----------
    judged : Judged
    k : int
        Which case.
    curves : bool
        True to add the curves a chart needs.

    Returns
    -------
    Diagnosis
    """
    return tell(judged, k, curves=curves)


def diagnoses(judged: Judged) -> Iterator[Diagnosis]:
    """Tell the findings of all cases, in order."""
    return (diagnosis(judged, k) for k in range(len(judged.readings.cases)))


def _vehicles(readings: Readings, pairs: Pairs) -> tuple[Vehicle, ...]:
    """Description of every case: as stated, else from the positions and spots alone."""
    highest = np.zeros(len(readings.cases), dtype=np.int64)
    np.maximum.at(highest, pairs.case, pairs.axle)
    drums = np.zeros(len(readings.cases), dtype=bool)
    drums[pairs.case[pairs.spot == SPOTS.index("drum")]] = True
    usual: dict[tuple[int, bool], Vehicle] = {}
    found = []
    for case, axles, drum in zip(readings.cases, highest.tolist(), drums.tolist(), strict=True):
        if case.description is not None:
            found.append(case.description)
            continue
        key = (max(axles, 1), drum)
        if key not in usual:
            usual[key] = default_vehicle(key[0], drum=drum)
        found.append(usual[key])
    return tuple(found)


def _policies(
    vehicles: tuple[Vehicle, ...], settings: Settings
) -> tuple[tuple[Policy, ...], tuple[str, ...]]:
    if (named := chosen_policy(settings.policy)) is not None:
        policy = load_policy(named)
        return (policy,) * len(vehicles), ("as named",) * len(vehicles)
    loaded = {weight: load_policy(weight) for weight in {vehicle.weight_class for vehicle in vehicles}}
    notes = {
        True: "follows from the vehicle's description",
        False: "follows from the number of axles; --policy names another",
    }
    policies = tuple(loaded[vehicle.weight_class] for vehicle in vehicles)
    return policies, tuple(notes[vehicle.stated] for vehicle in vehicles)
