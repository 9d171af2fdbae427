"""A simulated depot: units walked round week by week, some with a drag that grows, and the truth of it.

Sixty units of four classes over twelve weeks: twelve with a drag that grows, eight of these repaired, and
sixteen whose surfaces differ from side to side for good, four of them with a drag. Strengths, courses and
shares are invented (engineering judgement); they show what a memory is worth, not how often brakes fail.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.simulation.builds import HEALTHY, Fault
from thermlog.simulation.simulate import MeasurePlan, simulate_fleet
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES
from thermlog.simulation.walkround import MIXED_SKINS, UNEVEN_SKINS
from thermlog.words.kinds import kind_of
from thermlog.words.tables import Readings, Taken

WEEKS = 12
_FIRST_DAY = date(2026, 1, 5)
_CLASSES = ("van_disc", "car_disc", "pickup_drum", "rigid2_drum")
_UNITS_A_CLASS = 15
_HEAVY_OVER_LIGHT = 3.0  # of drags
_PEAK_NM = (15.0, 60.0)  # log-uniform, on light vehicles
_BEGINS = (3, 7)  # first week with a drag, from and to, first week 1
_GROWS = (2, 6)  # weeks until it is at its peak
_REPAIRED_AFTER = 5  # weeks of a drag


class SimulatedUnit(Struct, frozen=True, kw_only=True):
    """One unit and its truth.

    Attributes
    ----------
    name : str
    vehicle_class : str
    unlike_skins : bool
        True if its surfaces differ from side to side for good.
    corner : str or None
        Where the drag is; None where there never is one.
    drag_nm : tuple of float (weeks,)
        Of that brake, week by week [N·m].
    repaired : int or None
        First week after the repair, first week 1.
    """

    name: str
    vehicle_class: str
    unlike_skins: bool
    corner: str | None
    drag_nm: tuple[float, ...]
    repaired: int | None

    @property
    def began(self) -> int | None:
        """First week with a drag, first week 1."""
        return next((week for week, drag in enumerate(self.drag_nm, start=1) if drag > 0.0), None)


class SimulatedWeek(Struct, frozen=True, kw_only=True, eq=False):
    """What was read of some units in one week.

    Attributes
    ----------
    week : int
        First 1.
    units : tuple of SimulatedUnit
        Case k of the readings is of unit k.
    readings : Readings
        With the names of the units and the day.
    """

    week: int
    units: tuple[SimulatedUnit, ...]
    readings: Readings


def depot_units(seed: int) -> tuple[SimulatedUnit, ...]:
    """The units of a depot with their truth; the same seed gives the same.

    Parameters
    ----------
    seed : int
    """
    rng = np.random.default_rng([seed, 60])
    found = []
    for kind in _CLASSES:
        corners = VEHICLE_CLASSES[kind].corners
        heavy = VEHICLE_CLASSES[kind].weight_class == "heavy"
        for number in range(_UNITS_A_CLASS):
            peak = float(np.exp(rng.uniform(*np.log(_PEAK_NM)))) * (_HEAVY_OVER_LIGHT if heavy else 1.0)
            begins, grows = int(rng.integers(*_BEGINS)), int(rng.integers(*_GROWS))
            corner = corners[int(rng.integers(len(corners)))]
            drags = number % 5 == 0
            repaired = begins + _REPAIRED_AFTER if drags and number % 10 == 0 else None
            found.append(
                SimulatedUnit(
                    name=f"{kind.split('_')[0]} {number + 1:02d}",
                    vehicle_class=kind,
                    unlike_skins=number % 5 == 1 or number % 10 == 5,
                    corner=corner if drags else None,
                    drag_nm=tuple(
                        _drag(week, (begins, grows, repaired), peak if drags else 0.0)
                        for week in range(1, WEEKS + 1)
                    ),
                    repaired=repaired,
                )
            )
    return tuple(found)


def _drag(week: int, course: tuple[int, int, int | None], peak_nm: float) -> float:
    begins, grows, repaired = course
    if week < begins or (repaired is not None and week >= repaired):
        return 0.0
    return peak_nm * min(1.0, (week - begins + 1) / grows)


def depot_weeks(seed: int) -> Iterator[SimulatedWeek]:
    """What was read, class by class and skins by skins, week after week.

    Parameters
    ----------
    seed : int
    """
    units = depot_units(seed)
    for week in range(1, WEEKS + 1):
        for number, kind in enumerate(_CLASSES):
            for unlike in (False, True):
                some = tuple(one for one in units if one.vehicle_class == kind and one.unlike_skins is unlike)
                yield _read(some, week, seed + 1000 * (2 * number + unlike))


def _read(units: tuple[SimulatedUnit, ...], week: int, seed: int) -> SimulatedWeek:
    kind = VEHICLE_CLASSES[units[0].vehicle_class]
    skins = UNEVEN_SKINS if units[0].unlike_skins else MIXED_SKINS
    faults = [_fault(unit, unit.drag_nm[week - 1]) for unit in units]
    plan = MeasurePlan(skins=skins, described=True)
    readings = simulate_fleet(kind, faults, plan=plan, seed=seed, visit=week).readings
    day = (_FIRST_DAY + timedelta(weeks=week - 1)).isoformat()
    cases = tuple(
        replace(
            case,
            vehicle=unit.name,
            taken=Taken(start=day),
            log=replace(case.log, file=f"{unit.name.replace(' ', '-')}-week-{week:02d}.csv"),
        )
        for case, unit in zip(readings.cases, units, strict=True)
    )
    return SimulatedWeek(week=week, units=units, readings=replace(readings, cases=cases))


def _fault(unit: SimulatedUnit, drag_nm: float) -> Fault:
    if unit.corner is None or drag_nm <= 0.0:
        return HEALTHY
    return Fault(kind=kind_of("corner", "hot").name, corners=(unit.corner,), drag_nm=drag_nm)


def truth_text(units: tuple[SimulatedUnit, ...]) -> str:
    """What is true of every unit, as JSON text."""
    import json

    told = [
        {name: getattr(one, name) for name in one.__struct_fields__} | {"began": one.began} for one in units
    ]
    return json.dumps({"weeks": WEEKS, "units": told}, indent=1) + "\n"
