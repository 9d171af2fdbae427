"""What is filed of each defect that was called: readings, hashes, who, when, and what is to be done."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

from msgspec import Struct

from thermlog.words.bounds import CornerName, Sha256
from thermlog.words.estimates import Estimate
from thermlog.words.findings import PolicyMark, Severity, Urgent
from thermlog.words.kinds import fault_kind
from thermlog.words.readingrow import ReadingRow, readings_as
from thermlog.words.tables import Drive

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from thermlog.fleet.workrow import FleetRow
    from thermlog.judging.judged import Judged
    from thermlog.words.findings import Diagnosis

DefectClass: TypeAlias = Literal["stops", "drags", "does_not_work", "hub_hot", "whole_vehicle_hot"]


class DefectReading(ReadingRow, frozen=True, kw_only=True):
    """One reading of the wheels concerned and of their mates."""


class Defect(Struct, frozen=True, kw_only=True):
    """One defect of one vehicle, as a screening found it.

    Attributes
    ----------
    unit, file : str
        Vehicle; its log.
    sha256 : str
        Hash of the log's bytes.
    drive : {"normal", "coast", "verification"} or None
        Kind of drive, as stated.
    kind : DefectClass
        What is the matter: "stops" is a line above which nobody drives, or what was seen.
    corners : tuple of str
        The wheels it is about; empty for the whole vehicle.
    urgent : tuple of Urgent
        What stops the vehicle, the most dangerous first; of the kind "stops" alone.
    difference_k : Estimate or None
        Left minus right, indicated [K].
    severity : Severity or None
        Drag behind it, an order of magnitude; None where none can be told.
    readings : tuple of DefectReading
        Of these wheels and their mates.
    policy : PolicyMark
        That judged, with the hash of its bytes.
    gun : str or None
        As the log states it, else as it was described.
    by : str or None
        Who took the readings, as the log states it.
    taken : str or None
        When, by ISO 8601, as the log states it.
    action, action_words : str or None
        What to do next, by its code and in words.
    """

    unit: str
    file: str
    sha256: Sha256
    drive: Drive | None
    kind: DefectClass
    corners: tuple[CornerName, ...]
    urgent: tuple[Urgent, ...]
    difference_k: Estimate | None
    severity: Severity | None
    readings: tuple[DefectReading, ...]
    policy: PolicyMark
    gun: str | None
    by: str | None
    taken: str | None
    action: str | None
    action_words: str | None


def defects_of(judged: Judged, k: int, told: Diagnosis, rows: Sequence[FleetRow]) -> Iterator[Defect]:
    """Every defect that was called of case `k`.

    Parameters
    ----------
    judged : Judged
    k : int
    told : Diagnosis
        Its findings.
    rows : sequence of FleetRow
        Its lines.
    """
    for row in rows:
        kind = _kind(row)
        if kind is None:
            continue
        corners = _corners(row)
        taken = told.taken
        yield Defect(
            unit=row.unit,
            file=row.file,
            sha256=row.sha256,
            drive=row.drive,
            kind=kind,
            corners=corners,
            urgent=row.urgent if kind == "stops" else (),
            difference_k=row.finding.difference_k,
            severity=_worst(judged, k, told, corners) if kind == "drags" else None,
            readings=tuple(_readings(judged, k, corners)),
            policy=told.policy,
            gun=(taken.gun if taken else None) or judged.gun.name,
            by=taken.by if taken else None,
            taken=taken.start if taken else None,
            action=row.errand.id if row.errand else None,
            action_words=row.errand.question if row.errand else None,
        )


def _kind(row: FleetRow) -> DefectClass | None:
    if row.stops:
        return "stops"
    if row.finding.verdict == "cold":
        return "does_not_work"
    if row.finding.verdict != "hot":
        return None
    if fault_kind(row.pattern).shown_by == "hub":
        return "hub_hot"
    return "whole_vehicle_hot" if row.heat == "yes" and row.drag != "yes" else "drags"


def _corners(row: FleetRow) -> tuple[str, ...]:
    if row.stops:
        return tuple(dict.fromkeys(one.corner for one in row.urgent if one.corner is not None))
    return (row.finding.suspect,) if row.finding.suspect is not None else row.members


def _worst(judged: Judged, k: int, told: Diagnosis, corners: tuple[str, ...]) -> Severity | None:
    from thermlog.advice.severity import SeverityCase, severities

    case = SeverityCase(vehicle=told.description, drive=told.drive, policy=judged.policies[k])
    found = [one for one in severities(told.corners, told.axles, case) if one.corner in corners]
    return max(found, key=lambda one: one.torque_nm.value, default=None)


def _readings(judged: Judged, k: int, corners: tuple[str, ...]) -> Iterator[DefectReading]:
    """Readings of the axles concerned, of all where none is named, as the gun showed them."""
    table = judged.as_read
    own = readings_as(DefectReading, table.take(table.case == k))
    axles = {corner[:-1] for corner in corners}
    return (one for one in own if not axles or one.corner[:-1] in axles)
