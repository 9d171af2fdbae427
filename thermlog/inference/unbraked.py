"""Axles without brakes: what was read there is taken as hubs, for there is no brake to judge, or to clear."""

from __future__ import annotations

import numpy as np
from msgspec.structs import replace

from thermlog.words.tables import Bools, Readings
from thermlog.words.vehicle import BRAKE_SPOTS, HUB_SPOT, SPOTS, Vehicle

_BRAKES = np.array([SPOTS.index(spot) for spot in BRAKE_SPOTS])
_HUB = SPOTS.index(HUB_SPOT)


def as_hubs(readings: Readings, stated: Vehicle | None) -> Readings:
    """The readings, those at brakes of axles that have none at hubs.

    Parameters
    ----------
    readings : Readings
    stated : Vehicle or None
        Described for all cases; else as each of them describes itself.
    """
    known = [case.description if stated is None else stated for case in readings.cases]
    bare = [(k, axle) for k, one in enumerate(known) if one is not None for axle in one.unbraked]
    if not bare:
        return readings
    most = max(int(readings.axle.max(initial=0)), *(axle for _, axle in bare))
    table = np.zeros((len(known), most + 1), dtype=bool)
    table[tuple(np.transpose(bare))] = True
    of_brake: Bools = table[readings.case, readings.axle] & np.isin(readings.spot, _BRAKES)
    spot = np.where(of_brake, _HUB, readings.spot).astype(readings.spot.dtype)
    return replace(readings, spot=spot)


def unbraked_note(vehicle: Vehicle) -> tuple[str, ...]:
    """That axles have no brakes, where any have none."""
    numbers = sorted(vehicle.unbraked)
    if not numbers:
        return ()
    which = " and ".join(map(str, numbers))
    many = len(numbers) > 1
    return (
        f"ax{'les' if many else 'le'} {which} {'have' if many else 'has'} no brakes, as described: what was "
        "read there is taken as hubs, and no brake of it is judged or cleared",
    )
