"""Where the lines stand: thresholds against false alarms and detection, two drives, and unequal skins."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from validation_cells import level
from validation_sets import (
    SKINS,
    mixed_severity,
    planted,
    say,
    walked,
)

from thermlog.judging.diagnose import Settings, diagnoses, diagnosis, judge
from thermlog.judging.judged import Judged
from thermlog.simulation.builds import HEALTHY, Fault, FaultKind
from thermlog.simulation.simulate import SimulatedFleet, simulate_fleet
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES
from thermlog.simulation.walkround import SkinPlan
from thermlog.words.findings import AxleFinding, Diagnosis
from thermlog.words.tables import Readings, stack_readings
from thermlog.words.vehicle import split_corner

WATCH_LINES = (0.01, 0.02, 0.035, 0.05, 0.07, 0.1, 0.15, 0.2, 0.3)
FLAG_LINES = (0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
PAIRS: tuple[tuple[float, float], ...] = ((0.8, 0.8), (0.8, 0.7), (0.6, 0.3))  # left, right


class Line(Struct, frozen=True, kw_only=True):
    """One value of one threshold: shares of healthy and of dragging vehicles beyond it."""

    value: float
    healthy: float
    weak: float
    middling: float


class TradeOff(Struct, frozen=True, kw_only=True):
    """Both thresholds of one class."""

    name: str
    weight_class: str
    watch: tuple[Line, ...]
    flag: tuple[Line, ...]


class TwoDrives(Struct, frozen=True, kw_only=True):
    """Hot or cold of planted single corners, after the normal drive alone and with the coast drive.

    Attributes
    ----------
    called : int
        Vehicles whose odd axle is called after the normal drive.
    decided, right : tuple of float
        Before and after the coast drive: share of those with one corner named; of the named, the right one.
    """

    name: str
    kind: FaultKind
    axles_read: str
    called: int
    decided: tuple[float, float]
    right: tuple[float, float]


class SkinRow(Struct, frozen=True, kw_only=True):
    """Equal heat, unequal skins on the first axle.

    Attributes
    ----------
    gap_k : float
        Median false gap of the readings, left minus right [K].
    called, bright_cold, watch : float
        Axle called hot or cold; brighter side called cold; watch or more.
    given_gap_k, given_called, given_watch : float
        The same with the emissivities stated in the log.
    """

    name: str
    left: float
    right: float
    gap_k: float
    called: float
    bright_cold: float
    watch: float
    given_gap_k: float
    given_called: float
    given_watch: float


def trade_off(name: str, vehicles: int, seed: int) -> TradeOff:
    """Move the two lines, judge the same vehicles again."""
    kind = VEHICLE_CLASSES[name]
    plan = walked(3, skins=SKINS["somewhat unlike"])
    rng = np.random.default_rng([seed, 8])
    judged = [say(kind, [HEALTHY] * vehicles, plan, seed=seed, tell=False).judged]
    for number, drag in enumerate((10.0, 20.0), start=1):
        faults = planted(kind, "corner_hot", drag, vehicles // 4, rng)
        judged.append(say(kind, faults, plan, seed=seed + number, tell=False).judged)
    watch = [_line(judged, "watch_probability", value, at_least=1) for value in WATCH_LINES]
    flag = [_line(judged, "flag_probability", value, at_least=2) for value in FLAG_LINES]
    return TradeOff(name=name, weight_class=kind.weight_class, watch=tuple(watch), flag=tuple(flag))


def _line(judged: list[Judged], key: str, value: float, *, at_least: int) -> Line:
    shares = [_beyond(one, key, value, at_least) for one in judged]
    return Line(value=value, healthy=shares[0], weak=shares[1], middling=shares[2])


def _beyond(judged: Judged, key: str, value: float, at_least: int) -> float:
    moved = {policy: replace(policy, **{key: value}) for policy in set(judged.policies)}
    again = replace(judged, policies=tuple(moved[policy] for policy in judged.policies))
    return float(np.mean([level(told) >= at_least for told in diagnoses(again)]))


def two_drives(name: str, fault: FaultKind, axles_read: str, vehicles: int, seed: int) -> TwoDrives:
    """Plant one corner, judge the normal drive without and with the drive without braking beside it."""
    kind = VEHICLE_CLASSES[name]
    rng = np.random.default_rng([seed, 10])
    faults = planted(kind, fault, mixed_severity(fault, vehicles, rng), vehicles, rng)
    plan = walked(3, skins=SKINS["somewhat unlike"])
    normal, coast = (
        _named_vehicles(simulate_fleet(kind, faults, drive=drive, plan=plan, seed=seed), axles_read)
        for drive in ("normal", "coast")
    )
    alone = _odd_axles(normal, faults)
    together = _odd_axles(stack_readings([normal, coast]), faults)
    truth = [planted_fault.corners[0] for planted_fault in faults]
    called = [k for k, axle in enumerate(alone) if axle.verdict in {"hot", "cold"}]
    shares = [
        _decided([axles[k].suspect for k in called], [truth[k] for k in called])
        for axles in (alone, together)
    ]
    return TwoDrives(
        name=name,
        kind=fault,
        axles_read=axles_read,
        called=len(called),
        decided=(shares[0][0], shares[1][0]),
        right=(shares[0][1], shares[1][1]),
    )


def _named_vehicles(fleet: SimulatedFleet, axles_read: str) -> Readings:
    """Readings with a name for each vehicle, which ties its two drives; of all axles or of the odd one."""
    readings = fleet.readings
    cases = tuple(replace(case, vehicle=f"vehicle {k}") for k, case in enumerate(readings.cases))
    readings = replace(readings, cases=cases)
    if axles_read == "all":
        return readings
    odd = np.array([split_corner(fault.corners[0])[0] for fault in fleet.faults])
    return readings.take(readings.axle == odd[readings.case])


def _odd_axles(readings: Readings, faults: list[Fault]) -> list[AxleFinding]:
    """What is told of the axle that a corner was planted on, first drive of each vehicle."""
    judged = judge(readings, Settings())
    found = (_axle(diagnosis(judged, k), split_corner(fault.corners[0])[0]) for k, fault in enumerate(faults))
    return [axle if axle is not None else AxleFinding(axle=0) for axle in found]


def _axle(told: Diagnosis, number: int) -> AxleFinding | None:
    return next((axle for axle in told.axles if axle.axle == number), None)


def _decided(named: list[str | None], truth: list[str]) -> tuple[float, float]:
    pairs = [(name, place) for name, place in zip(named, truth, strict=True) if name is not None]
    if not truth or not pairs:
        return 0.0, float("nan")
    return len(pairs) / len(truth), float(np.mean([name == place for name, place in pairs]))


def skin_row(name: str, left: float, right: float, vehicles: int, seed: int) -> SkinRow:
    """Healthy vehicles whose first axle has two unlike skins; all others rust alike."""
    kind = VEHICLE_CLASSES[name]
    seed -= seed % 1000  # the same vehicles in every row of a class, so that gaps can be compared
    fleets = {
        emissivity: simulate_fleet(
            kind,
            [HEALTHY] * vehicles,
            plan=walked(3, skins=SkinPlan(emissivity=emissivity, common_sigma=0.0, separate_sigma=0.0)),
            seed=seed,
        ).readings
        for emissivity in {0.78, left, right}
    }
    skin = np.full(fleets[left].rows, 0.78)
    first = fleets[left].axle == 1
    skin[first] = np.where(fleets[left].side[first] == 0, left, right)
    shown = np.select(
        [skin == value for value in fleets], [fleet.indicated_degc for fleet in fleets.values()]
    )
    plain = replace(fleets[left], indicated_degc=shown)
    stated = replace(plain, emissivity=skin)
    unknown, given = (_first_axles(table) for table in (plain, stated))
    bright = "1L" if left < right else "1R"
    return SkinRow(
        name=name,
        left=left,
        right=right,
        gap_k=_median_gap(unknown),
        called=_share(unknown, {"hot", "cold"}),
        bright_cold=float(np.mean([a.verdict == "cold" and a.suspect == bright for a in unknown])),
        watch=_share(unknown, {"hot", "cold", "watch"}),
        given_gap_k=_median_gap(given),
        given_called=_share(given, {"hot", "cold"}),
        given_watch=_share(given, {"hot", "cold", "watch"}),
    )


def _first_axles(readings: Readings) -> list[AxleFinding]:
    found = (_axle(told, 1) for told in diagnoses(judge(readings, Settings())))
    return [axle for axle in found if axle is not None]


def _median_gap(axles: list[AxleFinding]) -> float:
    return float(np.median([axle.difference_k for axle in axles if axle.difference_k is not None]))


def _share(axles: list[AxleFinding], verdicts: set[str]) -> float:
    return float(np.mean([axle.verdict in verdicts for axle in axles]))
