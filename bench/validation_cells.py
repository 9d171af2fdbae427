"""One class of vehicle read in so many rounds: detection against the baselines, and what thermlog calls."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from validation_scores import (
    Scores,
    auc,
    largest_fitted,
    largest_last,
    largest_mean,
    thermlog_scores,
    threshold,
)
from validation_sets import (
    LIGHT_DRAGS_NM,
    LOST,
    SKINS,
    Said,
    drag_scale,
    plantable,
    planted,
    say,
    walked,
)

from thermlog.simulation.builds import HEALTHY, Fault, FaultKind
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES
from thermlog.words.findings import Diagnosis

SOUGHT = ("drag", "anything")


class Size(Struct, frozen=True, kw_only=True):
    """How many vehicles a cell is made of."""

    healthy: int = 1500
    faulty: int = 200
    healthy_fitted: int = 500
    faulty_fitted: int = 80


class Found(Struct, frozen=True, kw_only=True):
    """How many vehicles of one set each method raises at the stated false alarms, and the area of its curve.

    Attributes
    ----------
    alarmed, auc : dict
        By method: share alarmed; area under the curve of detection over false alarms. ``curve_fit`` speaks
        for the first vehicles of the set only,
        ``thermlog, same vehicles`` is thermlog on those.
    """

    alarmed: dict[str, float]
    auc: dict[str, float]


class Calls(Struct, frozen=True, kw_only=True):
    """What thermlog itself calls, as shares of the vehicles of one set.

    Attributes
    ----------
    called, watch, cannot_tell : float
        Any hot or cold; any watch or more; any axle that cannot be told.
    named, named_right : float
        Called with a corner named; of those, exactly the planted corner.
    own_corner : float
        The planted corner itself is called, in the right sense.
    healthy_hot : float
        A healthy corner is called hot.
    kind_right : float
        Of the called, those whose pattern is the planted kind.
    """

    called: float
    watch: float
    cannot_tell: float
    named: float
    named_right: float
    own_corner: float
    healthy_hot: float
    kind_right: float


class Row(Struct, frozen=True, kw_only=True):
    """One planted fault at one severity."""

    kind: FaultKind
    severity: float
    found: Found
    calls: Calls


class Cell(Struct, frozen=True, kw_only=True):
    """One class read in so many rounds."""

    name: str
    weight_class: str
    rounds: int
    healthy: Calls
    threshold: float
    rows: tuple[Row, ...]


def cell(name: str, rounds: int, size: Size, seed: int) -> Cell:
    """Simulate healthy and faulty vehicles of a class and count."""
    kind = VEHICLE_CLASSES[name]
    plan = walked(rounds)
    healthy = say(kind, [HEALTHY] * size.healthy, plan, seed=seed)
    base = _baselines(healthy, rounds, size.healthy_fitted)
    calm = {sought: base | _ours(healthy, rounds, size.healthy_fitted, sought) for sought in SOUGHT}
    rng = np.random.default_rng([seed, 9])
    rows = []
    for number, (fault, severity) in enumerate(_planted_rows(name)):
        faults = planted(kind, fault, severity, size.faulty, rng)
        said = say(kind, faults, plan, seed=seed + 1 + number)
        sought = "anything" if fault.endswith("cold") else "drag"
        scores = _baselines(said, rounds, size.faulty_fitted) | _ours(
            said, rounds, size.faulty_fitted, sought
        )
        found = _found(scores, calm[sought])
        rows.append(
            Row(
                kind=fault,
                severity=severity * (1.0 if fault.endswith("cold") else drag_scale(kind)),
                found=found,
                calls=calls(said),
            )
        )
    return Cell(
        name=name,
        weight_class=kind.weight_class,
        rounds=rounds,
        healthy=calls(healthy),
        threshold=threshold(calm["drag"]["thermlog"]),
        rows=tuple(rows),
    )


class HealthyCalls(Struct, frozen=True, kw_only=True):
    """What is called on healthy vehicles with one sort of skins, three rounds."""

    name: str
    skins: str
    calls: Calls
    side_spread: float


def healthy_calls(name: str, skins: str, vehicles: int, seed: int) -> HealthyCalls:
    """Count false alarms, and how far healthy sides scatter about their axle."""
    kind = VEHICLE_CLASSES[name]
    said = say(kind, [HEALTHY] * vehicles, walked(3, skins=SKINS[skins]), seed=seed)
    rise = said.judged.comparison.state.rise_k
    off = (rise[0] - rise[1]) / np.maximum(rise.mean(axis=0), 1.0)
    return HealthyCalls(
        name=name,
        skins=skins,
        calls=calls(said),
        side_spread=float(np.nanstd(off) / np.sqrt(2.0)),
    )


def _planted_rows(name: str) -> list[tuple[FaultKind, float]]:
    """What is planted, severities as for light vehicles."""
    kind = VEHICLE_CLASSES[name]
    rows: list[tuple[FaultKind, float]] = [("corner_hot", drag) for drag in LIGHT_DRAGS_NM]
    rows += [("corner_cold", lost) for lost in LOST]
    rows += [("axle_hot", drag) for drag in (10.0, 20.0, 40.0)]
    rows += [("all_hot", drag) for drag in (20.0, 40.0, 80.0)]
    if "diagonal_hot" in plantable(kind):
        rows += [("diagonal_hot", drag) for drag in (10.0, 20.0, 40.0)]
    return rows


def _baselines(said: Said, rounds: int, fitted: int) -> dict[str, Scores]:
    """Scores of the baselines; curve_fit needs two readings a corner and is done on the first vehicles."""
    scores = {"last difference": largest_last(said), "difference of means": largest_mean(said)}
    if rounds > 1 and _single_or_healthy(said):
        scores["curve_fit"] = largest_fitted(said, fitted)
    return scores


def _ours(said: Said, rounds: int, fitted: int, sought: str) -> dict[str, Scores]:
    """Scores of thermlog on all vehicles and on those that curve_fit is done on."""
    scores = {"thermlog": thermlog_scores(said, sought)}
    if rounds > 1 and _single_or_healthy(said):
        scores["thermlog, same vehicles"] = scores["thermlog"].head(fitted)
    return scores


def _single_or_healthy(said: Said) -> bool:
    return said.fleet.faults[0].kind in {"none", "corner_hot", "corner_cold"}


def _found(scores: dict[str, Scores], calm: dict[str, Scores]) -> Found:
    alarmed, area = {}, {}
    for method, faulty in scores.items():
        alarmed[method] = float((faulty.value > threshold(calm[method])).mean())
        area[method] = auc(calm[method].value, faulty.value)
    return Found(alarmed=alarmed, auc=area)


def level(told: Diagnosis) -> int:
    """2 if anything is called hot or cold, 1 if anything is watched, else 0."""
    verdicts = {axle.verdict for axle in told.axles} | {corner.verdict for corner in told.corners}
    return 2 if verdicts & {"hot", "cold"} else 1 if "watch" in verdicts else 0


def calls(said: Said) -> Calls:
    """Count what is called on one set."""
    levels = np.array([level(told) for told in said.told])
    called = levels == 2
    suspects = [{axle.suspect for axle in told.axles if axle.suspect} for told in said.told]
    planted_at = [set(fault.corners) for fault in said.fleet.faults]
    named = np.array([bool(suspect) for suspect in suspects]) & called
    right = np.array([suspect == places for suspect, places in zip(suspects, planted_at, strict=True)])
    kind = np.array(
        [told.pattern.kind == fault.kind for told, fault in zip(said.told, said.fleet.faults, strict=True)]
    )
    return Calls(
        called=float(called.mean()),
        watch=float((levels >= 1).mean()),
        cannot_tell=float(np.mean([_open(told) for told in said.told])),
        named=float(named.mean()),
        named_right=_share(right, named),
        own_corner=float(np.mean([_own(*pair) for pair in zip(said.told, said.fleet.faults, strict=True)])),
        healthy_hot=float(
            np.mean([_healthy_hot(*pair) for pair in zip(said.told, said.fleet.faults, strict=True)])
        ),
        kind_right=_share(kind, called),
    )


def _share(what: np.ndarray, among: np.ndarray) -> float:
    return float(what[among].mean()) if among.any() else float("nan")


def _open(told: Diagnosis) -> bool:
    return any(axle.verdict == "cannot_tell" for axle in told.axles)


def _own(told: Diagnosis, fault: Fault) -> bool:
    sense = "cold" if fault.kind.endswith("cold") else "hot"
    places = {corner.corner for corner in told.corners if corner.verdict == sense}
    return bool(fault.corners) and set(fault.corners) <= places


def _healthy_hot(told: Diagnosis, fault: Fault) -> bool:
    if fault.kind == "all_hot":
        return False
    return any(corner.verdict == "hot" and corner.corner not in fault.corners for corner in told.corners)
