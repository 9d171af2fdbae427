"""Made-up walks for the tests of judging: corner -> rise, cooling without surprises, all numbers invented."""

from __future__ import annotations

import math
from collections.abc import Mapping
from hashlib import sha256
from typing import Any, TypeAlias

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.judging.diagnose import diagnoses, judge
from thermlog.judging.judged import Judged
from thermlog.judging.settings import Settings
from thermlog.judging.tell import tell_all
from thermlog.reading.read import read_content
from thermlog.words.findings import AxleFinding, CornerFinding, Diagnosis
from thermlog.words.policy import load_policy
from thermlog.words.tables import Case, Drive, LogRecord, Readings, stack_readings
from thermlog.words.vehicle import SIDES, SPOTS, Axle, AxleRole, Vehicle, split_corner

LOG = LogRecord(file="made-up.csv", sha256="0" * 64, rows_read=0, rows_used=0)
TAU_S = 1800.0
LIGHT, HEAVY = Settings(policy=load_policy("light")), Settings(policy=load_policy("heavy"))

# Rises when parked [K]; front brakes of a van work harder, as the light policy expects.
VAN_K = {"1L": 105.0, "1R": 104.0, "2L": 63.0, "2R": 64.0}
LORRY_K = {f"{axle}{side}": 62.0 if axle == 1 else 75.0 for axle in (1, 2, 3) for side in SIDES}
HUBS = {"1L hub": 14.0, "1R hub": 15.0}
COMBINATION_K = {f"{axle}{side}": 62.0 if axle == 1 else 75.0 for axle in range(1, 6) for side in SIDES}

# Rise of a corner when parked, or (rise, time constant) [K], [s]; "1L hub" is another spot than the brake.
Corners: TypeAlias = Mapping[str, "float | tuple[float, float]"]


class Walk(Struct, frozen=True, kw_only=True):
    """How a vehicle is read: so many rounds, one corner after the other."""

    rounds: int = 3
    first_s: float = 20.0
    round_s: float = 180.0
    step_s: float = 15.0
    noise_k: float = 0.5
    seed: int = 1
    ambient_degc: float = 18.0
    ambient_stated: bool = True
    ambient_sigma_k: float | None = None
    vehicle: str | None = "unit 1"
    drive: Drive | None = "normal"
    description: Vehicle | None = None


USUAL = Walk()
EXACT = Walk(noise_k=0.0)


def tell(judged: Judged, k: int, *, curves: bool = False) -> Diagnosis:
    """Findings of one case of a batch."""
    (found,) = tell_all(judged, [k], curves=curves)
    return found


def walked(corners: Corners, walk: Walk = USUAL) -> Readings:
    """Readings of one vehicle in the order they were taken."""
    rng = np.random.default_rng(walk.seed)
    rows = []
    for turn in range(walk.rounds):
        for place, (name, made_of) in enumerate(corners.items()):
            corner, _, spot = name.partition(" ")
            rise_k, tau_s = made_of if isinstance(made_of, tuple) else (made_of, TAU_S)
            elapsed_s = walk.first_s + walk.round_s * turn + walk.step_s * place
            seen = walk.ambient_degc + rise_k * math.exp(-elapsed_s / tau_s)
            axle, side = split_corner(corner)
            code = SPOTS.index(spot or "brake")  # type: ignore[arg-type]
            rows.append((axle, SIDES.index(side), code, elapsed_s, seen + walk.noise_k * rng.normal()))
    return table(rows, walk)


def table(rows: list[tuple[int, int, int, float, float]], walk: Walk = USUAL) -> Readings:
    """Readings of one vehicle from (axle, side, spot code, seconds, indicated)."""
    columns = list(zip(*rows, strict=True)) if rows else [()] * 5
    axle, side, spot = (np.array(columns[k], dtype=np.int64) for k in range(3))
    elapsed_s, indicated_degc = (np.array(columns[k], dtype=np.float64) for k in (3, 4))
    case = Case(
        log=replace(
            LOG,
            sha256=sha256(repr((rows, walk)).encode()).hexdigest(),
            rows_read=len(rows),
            rows_used=len(rows),
        ),
        vehicle=walk.vehicle,
        drive=walk.drive,
        ambient_degc=walk.ambient_degc if walk.ambient_stated else None,
        ambient_sigma_k=walk.ambient_sigma_k,
        ambient_source="log" if walk.ambient_stated else None,
        parked_known=True,
        description=walk.description,
    )
    return Readings(
        cases=(case,),
        case=np.zeros(len(rows), dtype=np.int64),
        line=np.arange(len(rows), dtype=np.int64) + 2,
        axle=axle,
        side=side,
        spot=spot,
        elapsed_s=elapsed_s,
        indicated_degc=indicated_degc,
        emissivity=np.full(len(rows), np.nan),
        distance_m=np.full(len(rows), np.nan),
    )


def told(readings: Readings, settings: Settings = LIGHT, *, curves: bool = False) -> Diagnosis:
    """Findings of the first case."""
    return tell(judge(readings, settings), 0, curves=curves)


def renamed(tables: list[Readings]) -> list[Readings]:
    """The same vehicles, each under a name of its own: drives of one name belong together."""
    return [replace(one, cases=(replace(one.cases[0], vehicle=f"unit {k}"),)) for k, one in enumerate(tables)]


def all_told(tables: list[Readings], settings: Settings = LIGHT) -> list[Diagnosis]:
    """Findings of several vehicles judged as one batch."""
    return list(diagnoses(judge(stack_readings(tables), settings)))


def log_text(readings: Readings, *, unit: str = "C", header: bool = True) -> str:
    """The log of one vehicle as a technician's CSV; every number in full, so that nothing is rounded away."""
    case = readings.cases[0]
    shown = [_in_unit(value, unit) for value in readings.indicated_degc.tolist()]
    lines = []
    if header and case.ambient_degc is not None:
        lines.append(f"# ambient: {_in_unit(case.ambient_degc, unit)!r} {unit}")
    if header and case.drive is not None:
        lines.append(f"# drive: {case.drive}")
    lines.append(f"time_s,position,spot,temp_{unit.lower()}")
    for row in range(readings.rows):
        corner = f"{readings.axle[row]}{SIDES[readings.side[row]]}"
        spot = SPOTS[readings.spot[row]]
        lines.append(f"{float(readings.elapsed_s[row])!r},{corner},{spot},{shown[row]!r}")
    return "\n".join(lines) + "\n"


def _in_unit(degc: float, unit: str) -> float:
    return degc * 9.0 / 5.0 + 32.0 if unit == "F" else degc


def told_text(text: str, settings: Settings = LIGHT) -> Diagnosis:
    """Findings of a log given as text."""
    return told(read_content(text.encode(), file="made-up.csv").readings, settings)


def rows(readings: Readings, order: Any) -> Readings:
    """The same table with its rows picked or put in another order."""
    return readings.take(order)


def other_side(name: str) -> str:
    """A corner's name on the other side."""
    return name.translate(str.maketrans("LR", "RL"))


def axle_of(found: Diagnosis, axle: int) -> AxleFinding:
    """The finding of one axle."""
    return next(finding for finding in found.axles if finding.axle == axle)


def corner_of(found: Diagnosis, corner: str, spot: str = "brake") -> CornerFinding:
    """The finding of one corner."""
    return next(c for c in found.corners if c.corner == corner and c.spot == spot)


def described(*roles: AxleRole, **about: Any) -> Vehicle:
    """A vehicle that somebody described: roles from the front; a role of "lift" is lifted."""
    axles = tuple(Axle(role=role, lifted=role == "lift") for role in roles)
    return Vehicle(axles=axles, **({"weight_class": "light", "stated": True} | about))
