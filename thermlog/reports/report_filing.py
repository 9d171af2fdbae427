"""Defects for filing: one JSON document, or a table with a row a defect."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reports.contract.filing import WORDING, FiledObject, FilingObject, VerificationObject
from thermlog.reports.contract.writing import json_text
from thermlog.reports.report_csv import Cell, CsvStyle, Told, csv_table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.fleet.defects import Defect
    from thermlog.fleet.worklist import WorkList

FILED: tuple[Told[[FiledObject]], ...] = (
    Told("unit", "text", lambda one: one.defect.unit),
    Told("class", "text", lambda one: one.defect.kind),
    Told("corners", "text", lambda one: " ".join(one.defect.corners)),
    Told("urgent", "text", lambda one: "; ".join(dict.fromkeys(part.code for part in one.defect.urgent))),
    Told("severity", "text", lambda one: one.defect.severity),
    Told("torque_nm", "figure", lambda one: one.defect.torque_nm),
    Told("difference_k", "figure", lambda one: one.defect.difference_k),
    Told("low_k", "figure", lambda one: one.defect.interval_k[0] if one.defect.interval_k else None),
    Told("high_k", "figure", lambda one: one.defect.interval_k[1] if one.defect.interval_k else None),
    Told("readings", "text", lambda one: _readings(one.defect)),
    Told("taken", "text", lambda one: one.defect.taken),
    Told("by", "text", lambda one: one.defect.by),
    Told("gun", "text", lambda one: one.defect.gun),
    Told("policy", "text", lambda one: one.defect.policy.name),
    Told("policy_sha256", "text", lambda one: one.defect.policy.sha256),
    Told("file", "text", lambda one: one.defect.file),
    Told("sha256", "text", lambda one: one.defect.sha256),
    Told("drive", "text", lambda one: one.defect.drive),
    Told("action", "text", lambda one: one.defect.action),
    Told("do_next", "text", lambda one: one.defect.action_words),
    Told("verified_by", "text", lambda one: "; ".join(part.file for part in one.verification)),
    Told("verified_sha256", "text", lambda one: "; ".join(part.sha256 for part in one.verification)),
    Told("verified_group", "text", lambda one: "; ".join(part.group for part in one.verification)),
    Told("wording", "text", lambda _: WORDING),
)


def filed(work: WorkList, defects: Sequence[Defect]) -> tuple[FiledObject, ...]:
    """Defects in the order of the list, each with the verification drives of its vehicle."""
    proofs: dict[str, list[VerificationObject]] = {}
    for drive in work.drives:
        if drive.first.drive == "verification":
            row = drive.first
            proofs.setdefault(row.unit, []).append(
                VerificationObject(file=row.file, sha256=row.sha256, group=drive.group)
            )
    rank = {drive.first.visit: drive.rank for drive in work.drives}
    ranked = sorted(defects, key=lambda one: rank[one.unit, one.file, one.drive])
    return tuple(
        FiledObject.of(one, tuple(proof for proof in proofs.get(one.unit, ()) if proof.sha256 != one.sha256))
        for one in ranked
    )


def filing_json(work: WorkList, defects: Sequence[Defect]) -> str:
    """JSON text of the defects."""
    return json_text(FilingObject(filed=filed(work, defects)))


def filing_csv(work: WorkList, defects: Sequence[Defect], *, style: CsvStyle = "point") -> str:
    """One row a defect, columns `FILED`."""
    rows: list[tuple[Cell, ...]] = [
        tuple(column.cell(one) for column in FILED) for one in filed(work, defects)
    ]
    return csv_table([column.name for column in FILED], rows, style=style)


def _readings(defect: Defect) -> str:
    """Every reading as "line 12: 1L 203.5 °C at 66 s"."""
    told = []
    for one in defect.readings:
        when = "" if one.elapsed_s is None else f" at {one.elapsed_s:.0f} s"
        told.append(f"line {one.line}: {one.corner} {one.spot} {one.indicated_degc:.1f} °C{when}")
    return "; ".join(told)
