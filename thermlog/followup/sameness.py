"""Whether drives are of one vehicle: only then is one before and another after."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations

from thermlog.words.findings import Diagnosis
from thermlog.words.reasons import Reason
from thermlog.words.vehicle import unit_key


def unlike_vehicles(diagnoses: Iterable[Diagnosis]) -> Reason | None:
    """Why drives are not of one vehicle; None where nothing speaks against it.

    Parameters
    ----------
    diagnoses : iterable of Diagnosis
        A drive that names no vehicle may be of any. Another number of axles, or another class where both are
        stated, is another vehicle; but one of the same name that describes no axles may have read fewer.
    """
    return next((said for pair in combinations(diagnoses, 2) if (said := _unlike(*pair)) is not None), None)


def _unlike(one: Diagnosis, other: Diagnosis) -> Reason | None:
    named = bool(one.vehicle and other.vehicle)
    if named and unit_key(one.vehicle or "") != unit_key(other.vehicle or ""):
        return Reason(code="vehicles_differ", quoted=f"{one.vehicle} and {other.vehicle}")
    shorter = min((one, other), key=lambda each: each.axle_count)
    if one.axle_count != other.axle_count and (shorter.description.stated or not named):
        axles = {"axles_before": float(one.axle_count), "axles_now": float(other.axle_count)}
        return Reason(code="axles_differ", numbers=axles)
    both = (one.description, other.description)
    if all(each.stated for each in both) and both[0].weight_class != both[1].weight_class:
        return Reason(code="classes_differ", quoted=f"{both[0].weight_class}, then {both[1].weight_class}")
    return None
