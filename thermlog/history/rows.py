"""Visits as rows of tables, and back."""

from __future__ import annotations

import hashlib
import math
from typing import TYPE_CHECKING, Any

import msgspec
import numpy as np
from msgspec.structs import replace

from thermlog.words.estimates import Estimate
from thermlog.words.letters import as_letters
from thermlog.words.parts import PartAbove
from thermlog.words.tables import Case, Readings
from thermlog.words.vehicle import SIDES, SPOTS, unit_key
from thermlog.words.version import __version__
from thermlog.words.visits import AnswerThen, AxleVisit, SaidThen

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from thermlog.words.visits import Two, Visit

Cells = dict[str, Any]
_HALF_PER_SIGMA = 1.959964  # half of a 95 % interval of a normal variable; a history holds no ends of a gap
# Of the table of walks, as far as something is told of a walk by itself.
WALK_COLUMNS = ("file", "log_sha256", "unit", "drive", "taken_at", "taken_s", "stored_s")


def walk_place(walk_id: int, taken_s: float | None, stored_s: float) -> tuple[float, int]:
    """Place of a walk among those of its unit: when it was read, else when it was stored [s]."""
    return (stored_s if taken_s is None else taken_s), walk_id


class KeptVisit(SaidThen, frozen=True, kw_only=True):
    """One check as it stands in the history.

    Attributes
    ----------
    walk_id, check_id : int
        In the order in which they were stored.
    file, log_sha256 : str
        The log.
    unit : str or None
        Key of the vehicle; None where the log names none.
    drive : str or None
    taken_at : str or None
        As the log states it.
    taken_s, stored_s : float or None, float
        When it was read, where the log says so, and when it was stored, since 1970 [s].
    policy : str
        Name of the policy that judged.
    """

    walk_id: int
    check_id: int
    file: str
    log_sha256: str
    unit: str | None
    drive: str | None
    taken_at: str | None
    taken_s: float | None
    stored_s: float
    policy: str

    @property
    def when(self) -> tuple[float, int]:
        """Place among the visits of its unit: when it was read, else when it was stored."""
        return walk_place(self.walk_id, self.taken_s, self.stored_s)


def walk_key(visit: Visit) -> str:
    """Digest of what was read: the same log read the same way has the same, wherever and whenever.

    Parameters
    ----------
    visit : Visit

    Returns
    -------
    str
        Hexadecimal, 64 letters.
    """
    case, readings = visit.case, visit.readings
    digest = hashlib.sha256(f"{case.log.sha256} {visit.number}".encode())
    digest.update(repr((case.vehicle, case.drive, case.ambient_degc, case.ambient_sigma_k)).encode())
    for name in ("line", "axle", "side", "spot", "elapsed_s", "indicated_degc", "emissivity", "distance_m"):
        digest.update(np.ascontiguousarray(getattr(readings, name)).tobytes())
    return digest.hexdigest()


def walk_row(visit: Visit, key: str, stored_s: float) -> Cells:
    """Row of ``walks``."""
    case = _storable(visit.case)
    return {
        "walk_key": key,
        "log_sha256": case.log.sha256,
        "number": visit.number,
        "file": case.log.file,
        "unit": unit_key(case.vehicle) if case.vehicle else None,
        "drive": case.drive,
        "taken_at": case.taken_at,
        "taken_s": case.taken_s,
        "stored_s": stored_s,
        "case_json": msgspec.json.encode(case, enc_hook=str).decode(),  # notes become plain text
    }


def _storable(case: Case) -> Case:
    """The case as every database takes it: what is no letter in the name of its file or vehicle is ``?``."""
    vehicle = case.vehicle and as_letters(case.vehicle)
    return replace(case, vehicle=vehicle, log=replace(case.log, file=as_letters(case.log.file)))


def reading_rows(readings: Readings, walk_id: int) -> list[Cells]:
    """Rows of ``readings``."""
    columns = (readings.line, readings.axle, readings.side, readings.spot, readings.elapsed_s)
    more = (readings.indicated_degc, readings.emissivity, readings.distance_m)
    each = zip(*(column.tolist() for column in (*columns, *more)), strict=True)
    return [
        {
            "walk_id": walk_id,
            "place": place,
            "line": line,
            "axle": axle,
            "side": SIDES[side],
            "spot": SPOTS[spot],
            "elapsed_s": _known(elapsed_s),
            "indicated_degc": indicated_degc,
            "emissivity": _known(emissivity),
            "distance_m": _known(distance_m),
        }
        for place, (line, axle, side, spot, elapsed_s, indicated_degc, emissivity, distance_m) in enumerate(
            each
        )
    ]


def check_row(visit: Visit, walk_id: int, stored_s: float) -> Cells:
    """Row of ``checks``."""
    said = {"drag": visit.drag, "idle": visit.idle, "heat": visit.heat}
    return {
        "walk_id": walk_id,
        "settings_key": visit.settings_key,
        "policy_name": visit.policy.name,
        "policy_sha256": visit.policy.sha256,
        "tool_version": __version__,
        "stored_s": stored_s,
        "common_time_s": visit.common_time_s,
        **{name: one.answer for name, one in said.items()},
        **{f"p_{name}": one.p for name, one in said.items()},
        "drag_corners": " ".join(visit.drag.corners),
        "idle_corners": " ".join(visit.idle.corners),
        "urgent": " ".join(visit.urgent),
    }


def axle_rows(axles: Sequence[AxleVisit], check_id: int) -> list[Cells]:
    """Rows of ``axles``."""
    return [
        {
            "check_id": check_id,
            "axle": one.axle,
            "left_k": one.rise_k[0],
            "right_k": one.rise_k[1],
            "left_variance_k2": one.variance_k2[0],
            "right_variance_k2": one.variance_k2[1],
            **_difference_cells(one.difference_k),
            **_ratio_cells(one.rise_ratio),
            "left_p_hot": one.p_hot[0],
            "right_p_hot": one.p_hot[1],
            "left_p_cold": one.p_cold[0],
            "right_p_cold": one.p_cold[1],
            "of_metal": int(one.of_metal),
        }
        for one in axles
    ]


def _difference_cells(difference_k: Estimate | None) -> Cells:
    half_k = None if difference_k is None else difference_k.half_width
    return {
        "difference_k": None if difference_k is None else difference_k.value,
        "sigma_k": None if half_k is None else half_k / _HALF_PER_SIGMA,
    }


def _difference_of(row: Mapping[str, Any]) -> Estimate | None:
    value, sigma_k = row["difference_k"], row["sigma_k"]
    if value is None or sigma_k is None:
        return None if value is None else Estimate(value)
    return Estimate(value, value - _HALF_PER_SIGMA * sigma_k, value + _HALF_PER_SIGMA * sigma_k)


def _ratio_cells(ratio: Estimate | None) -> Cells:
    value, low, high = (None, None, None) if ratio is None else (ratio.value, ratio.low, ratio.high)
    return {"ratio": value, "ratio_low": low, "ratio_high": high}


def part_rows(parts: Sequence[PartAbove], check_id: int) -> list[Cells]:
    """Rows of ``parts``."""
    return [
        {
            "check_id": check_id,
            "place": place,
            "corner": one.corner,
            "spot": one.spot,
            "above": one.over,
            "difference_k": one.difference_k,
            "mark_k": one.mark_k,
        }
        for place, one in enumerate(parts)
    ]


def part_of(row: Mapping[str, Any]) -> PartAbove:
    """A part that was watched, from its row."""
    plain = ("corner", "spot", "difference_k", "mark_k")
    return PartAbove(over=row["above"], **{name: row[name] for name in plain})


def axle_of(row: Mapping[str, Any]) -> AxleVisit:
    """An axle from its row."""

    def two(name: str) -> Two:
        return row[f"left_{name}"], row[f"right_{name}"]

    ratio = None if row["ratio"] is None else Estimate(row["ratio"], row["ratio_low"], row["ratio_high"])
    return AxleVisit(
        axle=row["axle"],
        difference_k=_difference_of(row),
        rise_ratio=ratio,
        rise_k=two("k"),
        variance_k2=two("variance_k2"),
        p_hot=two("p_hot"),
        p_cold=two("p_cold"),
        of_metal=bool(row["of_metal"]),
    )


def visit_of(row: Mapping[str, Any], axles: Sequence[AxleVisit], parts: Sequence[PartAbove]) -> KeptVisit:
    """A visit from its walk and its check in one row, with its axles and the parts that were watched."""
    plain = ("walk_id", "check_id", "file", "log_sha256", "unit", "drive", "taken_at", "taken_s", "stored_s")
    return KeptVisit(
        policy=row["policy_name"],
        drag=AnswerThen(answer=row["drag"], p=row["p_drag"], corners=tuple(row["drag_corners"].split())),
        idle=AnswerThen(answer=row["idle"], p=row["p_idle"], corners=tuple(row["idle_corners"].split())),
        heat=AnswerThen(answer=row["heat"], p=row["p_heat"]),
        urgent=tuple(row["urgent"].split()),
        axles=tuple(axles),
        parts_above=tuple(parts),
        **{name: row[name] for name in plain},
    )


def readings_of(case_json: str, rows: Sequence[Mapping[str, Any]]) -> Readings:
    """The readings of one walk as they were read, ready to be judged again.

    Parameters
    ----------
    case_json : str
        Of ``walks``.
    rows : sequence of mapping
        Of ``readings``, in order of their place.
    """

    def whole(values: list[int]) -> np.ndarray[Any, np.dtype[np.int64]]:
        return np.array(values, dtype=np.int64)

    def figures(name: str) -> np.ndarray[Any, np.dtype[np.float64]]:
        return np.array([math.nan if row[name] is None else row[name] for row in rows], dtype=np.float64)

    return Readings(
        cases=(msgspec.json.decode(case_json, type=Case),),
        case=np.zeros(len(rows), dtype=np.int64),
        line=whole([row["line"] for row in rows]),
        axle=whole([row["axle"] for row in rows]),
        side=whole([SIDES.index(row["side"]) for row in rows]),
        spot=whole([SPOTS.index(row["spot"]) for row in rows]),
        elapsed_s=figures("elapsed_s"),
        indicated_degc=figures("indicated_degc"),
        emissivity=figures("emissivity"),
        distance_m=figures("distance_m"),
    )


def _known(value: float) -> float | None:
    return value if math.isfinite(value) else None
