"""Diagnosis, understanding of a log and fleet -> objects of the output contract, and their JSON text."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import TYPE_CHECKING, Literal, TypeAlias

from thermlog.reports.answerobjects import (
    Json,
    answers_object,
    blind_object,
    reason_texts,
    seen_object,
    urgent_object,
)
from thermlog.reports.lacks import lacks
from thermlog.reports.wording import six_digits
from thermlog.words.tables import Taken
from thermlog.words.vehicle import SIDES, SPOTS, corner_name
from thermlog.words.version import __version__

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.fleet.fleetlist import FleetList
    from thermlog.reading.read import LogReadings
    from thermlog.words.findings import (
        AxleFinding,
        CornerFinding,
        Diagnosis,
        Interval,
        NextCheck,
        Severity,
        Suspect,
    )
    from thermlog.words.tables import LogRecord

SCHEMA_VERSION = 1
Contract: TypeAlias = Literal["check", "inspect", "fleet", "compare"]
CONTRACTS: tuple[Contract, ...] = ("check", "inspect", "fleet", "compare")


def _taken(taken: Taken | None) -> Json:
    """When, by whom and with what; null where the log does not say."""
    said = taken or Taken()
    return {
        "started_at": said.start,
        "by": said.by,
        "gun": said.gun,
        "odometer_km": six_digits(said.odometer_km),
    }


def check_object(diagnosis: Diagnosis) -> Json:
    """One diagnosis as an object of the ``check`` contract.

    Returns
    -------
    dict
        Keys as in the shipped schema; numbers finite, six significant digits, else None.
    """
    return {
        "schema_version": SCHEMA_VERSION,
        "tool": {"version": __version__},
        "log": _log(diagnosis.log, diagnosis.notes),
        "vehicle": diagnosis.vehicle,
        "drive": diagnosis.drive,
        "ambient_degc": six_digits(diagnosis.ambient_degc),
        "ambient_source": diagnosis.ambient_source,
        "policy": {"name": diagnosis.policy.name, "sha256": diagnosis.policy.sha256},
        "common_time_s": six_digits(diagnosis.common_time_s),
        "corners": [_corner(corner) for corner in diagnosis.corners],
        "axles": [_axle(axle) for axle in diagnosis.axles],
        "pattern": {
            "kind": diagnosis.pattern.kind,
            "corners": list(diagnosis.pattern.corners),
            "p": six_digits(diagnosis.pattern.p),
            "why": reason_texts(diagnosis.pattern.reasons),
        },
        "answers": answers_object(diagnosis.answers),
        "urgent": [urgent_object(one) for one in diagnosis.urgent],
        "taken": _taken(diagnosis.taken),
        "blind": [blind_object(one) for one in diagnosis.blind],
        "seen": [seen_object(one) for one in diagnosis.seen],
        "p_fault": six_digits(diagnosis.p_fault),
        "severity": [_severity(severity) for severity in diagnosis.severity],
        "suspects": [_suspect(suspect) for suspect in diagnosis.suspects],
        "next_check": _next_check(diagnosis.next_check),
        "cautions": list(diagnosis.cautions),
        **_explanation(diagnosis),
    }


def inspect_object(log: LogReadings) -> Json:
    """What was understood of a log as an object of the ``inspect`` contract.

    Readings are named by the vehicle and drive they belong to; `ambient_degc` is that of the log's first
    vehicle and drive.
    """
    table = log.readings
    cases = table.cases
    columns = zip(
        table.case.tolist(),
        table.line.tolist(),
        table.axle.tolist(),
        table.side.tolist(),
        table.spot.tolist(),
        table.elapsed_s.tolist(),
        table.indicated_degc.tolist(),
        strict=True,
    )
    understood = log.understood
    return {
        "schema_version": SCHEMA_VERSION,
        "tool": {"version": __version__},
        "log": _log(log.record, ()),
        "understood": {
            "encoding": understood.encoding,
            "delimiter": understood.delimiter,
            "decimal": understood.decimal,
            "layout": understood.layout,
            "columns": dict(understood.columns),
            "unit": understood.unit,
            "time": understood.time,
        },
        "ambient_degc": six_digits(cases[0].ambient_degc) if cases else None,
        "lacks": [
            {"vehicle": one.vehicle, "drive": one.drive, "lacks": list(lacks(table, k))}
            for k, one in enumerate(cases)
        ],
        "readings": [
            {
                "line": line,
                "vehicle": cases[case].vehicle,
                "drive": cases[case].drive,
                "corner": corner_name(axle, SIDES[side]),
                "spot": SPOTS[spot],
                "elapsed_s": elapsed_s if math.isfinite(elapsed_s) else None,
                "temp_degc": six_digits(indicated_degc),
            }
            for case, line, axle, side, spot, elapsed_s, indicated_degc in columns
        ],
    }


def check_text(diagnoses: Sequence[Diagnosis], *, as_list: bool) -> str:
    """JSON text of one diagnosis, or of a list of them."""
    objects = [check_object(diagnosis) for diagnosis in diagnoses]
    return json_text(objects if as_list else objects[0])


def inspect_text(log: LogReadings) -> str:
    """JSON text of what was understood of a log."""
    return json_text(inspect_object(log))


def fleet_opening() -> str:
    """Begin the JSON text of a fleet; one line a log follows, so that memory stays small."""
    return f'{{"schema_version": {SCHEMA_VERSION}, "tool": {json.dumps({"version": __version__})}, "logs": ['


def check_line(diagnosis: Diagnosis) -> str:
    """JSON text of one diagnosis on one line."""
    return json.dumps(check_object(diagnosis), allow_nan=False)


def fleet_lines(lines: Sequence[str], *, first: bool) -> str:
    """Some logs of a fleet, each a `check_line`."""
    return ("\n" if first else ",\n") + ",\n".join(lines) if lines else ""


def fleet_closing(fleet: FleetList) -> str:
    """End the JSON text of a fleet: files nobody could read, files met twice, what it taught of surfaces."""
    skins = fleet.skins
    tail = {
        "unreadable": [
            {
                "file": item.file,
                "reason": item.reason,
                "code": item.code,
                "line": item.line,
                "column": item.column,
                "value": item.value,
            }
            for item in fleet.unreadable
        ],
        "duplicates": [{"file": item.file, "same_as": item.same_as} for item in fleet.duplicates],
        "skins": {
            "source": "assumed" if skins is None else "learned",
            "even_share": None if skins is None else six_digits(skins.even_share),
            "logs": 0 if skins is None else skins.logs,
        },
    }
    return "\n], " + json.dumps(tail, allow_nan=False)[1:] + "\n"


def schema_text(contract: Contract) -> str:
    """The JSON Schema (draft 2020-12) of one contract, complete in itself.

    Definitions shared by all contracts stand in the file of ``check``.
    """
    schema = _schema(contract)
    schema["$defs"] = {**_schema("check")["$defs"], **schema.get("$defs", {})}
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def _schema(contract: Contract) -> Json:
    file = Path(__file__).parent / "schema" / f"{contract}.json"
    schema: Json = json.loads(file.read_text(encoding="utf-8"))
    return schema


def json_text(content: Json | list[Json]) -> str:
    """JSON text of an object or a list of them, for people to read too."""
    return json.dumps(content, indent=2, allow_nan=False) + "\n"


def _interval(interval: Interval | None) -> list[float] | None:
    if interval is None:
        return None
    low, high = six_digits(interval[0]), six_digits(interval[1])
    return None if low is None or high is None else [low, high]


def _log(record: LogRecord, notes: tuple[str, ...]) -> Json:
    return {
        "file": record.file,
        "sha256": record.sha256,
        "rows_read": record.rows_read,
        "rows_used": record.rows_used,
        "set_aside": [
            {
                "line": item.line,
                "column": item.column,
                "value": item.value,
                "reason": item.reason,
                "code": item.code,
                "corner": item.corner,
            }
            for item in record.set_aside
        ],
        "notes": [*record.notes, *notes],
    }


def _corner(corner: CornerFinding) -> Json:
    return {
        "corner": corner.corner,
        "axle": corner.axle,
        "side": corner.side,
        "spot": corner.spot,
        "readings": corner.readings,
        "readings_used": corner.readings_used,
        "start_degc": six_digits(corner.start_degc),
        "tau_s": six_digits(corner.tau_s),
        "tau_interval_s": _interval(corner.tau_interval_s),
        "at_common_degc": six_digits(corner.at_common_degc),
        "interval_degc": _interval(corner.interval_degc),
        "rise_k": six_digits(corner.rise_k),
        "p_hot": six_digits(corner.p_hot),
        "p_cold": six_digits(corner.p_cold),
        "verdict": corner.verdict,
        "why": reason_texts(corner.reasons),
        "expected_degc": None,  # no step works it out yet
    }


def _axle(axle: AxleFinding) -> Json:
    return {
        "axle": axle.axle,
        "difference_k": six_digits(axle.difference_k),
        "difference_interval_k": _interval(axle.difference_interval_k),
        "rise_ratio": six_digits(axle.rise_ratio),
        "rise_ratio_interval": _interval(axle.rise_ratio_interval),
        "surface_difference_k": six_digits(axle.surface_difference_k),
        "surface_difference_interval_k": _interval(axle.surface_difference_interval_k),
        "surface_known": axle.surface_known,
        "verdict": axle.verdict,
        "suspect": axle.suspect,
        "why": reason_texts(axle.reasons),
    }


def _explanation(diagnosis: Diagnosis) -> Json:
    """Budgets and decisions, where they were asked for."""
    if not diagnosis.budgets:
        return {}
    return {
        "budgets": [
            {
                "axle": budget.axle,
                "spot": budget.spot,
                "covers": budget.covers,
                "difference_k": six_digits(budget.difference_k),
                "sigma_k": six_digits(budget.sigma_k),
                "contributions": [
                    {
                        "source": part.source,
                        "sigma_k": six_digits(part.sigma_k),
                        "share": six_digits(part.share),
                    }
                    for part in budget.contributions
                ],
            }
            for budget in diagnosis.budgets
        ],
        "decisions": [
            {
                "axle": one.axle,
                "action": one.action,
                "verdict": one.verdict,
                "half_width_k": six_digits(one.half_width_k),
                "decides": one.decides,
            }
            for one in diagnosis.decisions
        ],
    }


def _severity(severity: Severity) -> Json:
    return {
        "corner": severity.corner,
        "torque_nm": six_digits(severity.torque_nm),
        "torque_interval_nm": _interval(severity.torque_interval_nm),
        "heat_w": six_digits(severity.heat_w),
        "heat_interval_w": _interval(severity.heat_interval_w),
        "lower_bound": severity.lower_bound,
        "words": severity.words,
    }


def _suspect(suspect: Suspect) -> Json:
    return {
        "cause": suspect.cause,
        "name": suspect.name,
        "place": suspect.place,
        "standing": suspect.standing,
        "for": list(suspect.for_),
        "against": list(suspect.against),
    }


def _next_check(check: NextCheck | None) -> Json | None:
    if check is None:
        return None
    return {
        "id": check.id,
        "question": check.question,
        "minutes": six_digits(check.minutes),
        "safety": check.safety,
        "why": check.why,
    }
