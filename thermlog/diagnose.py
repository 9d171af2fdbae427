"""The only place where the order of the steps stands: correct, pair, fit, settle, compare, pattern, tell."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from thermlog.assume import common_time_of, context_of, priors_of
from thermlog.compare import compare
from thermlog.cooling import Law
from thermlog.digest import Steps, digest
from thermlog.findings import Diagnosis
from thermlog.fit import fit
from thermlog.gun import Gun, usual_gun
from thermlog.judged import Judged
from thermlog.metal import corrected_readings
from thermlog.pairs import Pairs, mean_of_series, pair_readings
from thermlog.pattern import find_patterns
from thermlog.policy import Policy, chosen_policy, load_policy
from thermlog.settle import settling
from thermlog.skingap import skin_gap, with_stated
from thermlog.surfaces import Catalogue, SurfaceChoice, load_surfaces
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
    gun : Gun or None
        What the readings were taken with; None: the usual gun.
    catalogue : Catalogue or None
        Table of surfaces; None: the bundled one.
    surfaces : tuple of SurfaceChoice
        Stated surfaces; a later one replaces an earlier one where both apply.
    """

    policy: str | None = None
    law: Law = "exponential"
    gun: Gun | None = None
    catalogue: Catalogue | None = None
    surfaces: tuple[SurfaceChoice, ...] = ()


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
    gun, catalogue = settings.gun or usual_gun(), settings.catalogue or load_surfaces()
    metal = corrected_readings(readings, gun, catalogue, settings.surfaces)
    readings, pairs = metal.readings, pair_readings(metal.readings)
    vehicles = _vehicles(readings, pairs)
    policies, notes = _policies(vehicles, settings)
    priors = priors_of(readings.cases, vehicles, policies, pairs, settings.law)
    if metal.corrected is not None:
        gain = mean_of_series(pairs, metal.corrected.surface_per_indicated)
        priors = replace(priors, reading_scale=gain)
    fits = fit(readings, pairs, priors)
    comparison = compare(pairs, fits, wanted_time_s=common_time_of(policies))
    gap = skin_gap(pairs, comparison, priors.ambient_degc, gun, catalogue)
    if metal.corrected is not None:
        gap = with_stated(gap, pairs, comparison, metal.corrected, priors.ambient_degc)
    context = context_of(readings.cases, vehicles, policies)
    patterns = find_patterns(pairs, fits, comparison, gap.side_fraction, context)
    steps = Steps(
        readings=readings, pairs=pairs, fits=fits, comparison=comparison, gap=gap, patterns=patterns
    )
    return Judged(
        readings=readings,
        pairs=pairs,
        fits=fits,
        settling=settling(readings, pairs, fits),
        comparison=comparison,
        gap=gap,
        patterns=patterns,
        digest=digest(steps),
        vehicles=vehicles,
        policies=policies,
        policy_notes=notes,
        case_notes=metal.notes,
        gun=gun,
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
