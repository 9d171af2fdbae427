"""Defects for filing: one JSON document, or a table with a row a defect."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reports.contract.filing import (
    FILING_WORDING,
    DefectObject,
    FiledJobObject,
    FiledObject,
    FilingObject,
    VerificationObject,
)
from thermlog.reports.contract.writing import json_text
from thermlog.reports.report_csv import CsvStyle, Told, told_csv
from thermlog.words.moments import earlier

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.fleet.defects import Defect
    from thermlog.fleet.worklist import WorkList
    from thermlog.history.filing import Dealt

_UNKNOWN, _NONE = "not stated", "none"  # no sign a spreadsheet would take for a formula
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
    Told(
        "verified_taken", "text", lambda one: "; ".join(part.taken or _UNKNOWN for part in one.verification)
    ),
    Told("verified_recorded", "text", lambda one: "; ".join(part.recorded for part in one.verification)),
    Told("job_opened", "text", lambda one: "; ".join(job.opened_at for job in one.jobs)),
    Told("job_by", "text", lambda one: "; ".join(job.by or _UNKNOWN for job in one.jobs)),
    Told("job_cause", "text", lambda one: "; ".join(job.cause or "open" for job in one.jobs)),
    Told("job_parts", "text", lambda one: "; ".join(", ".join(job.parts) or _NONE for job in one.jobs)),
    Told("job_proof", "text", lambda one: "; ".join(_proof(job) for job in one.jobs)),
    Told("job_proof_sha256", "text", lambda one: "; ".join(_proof_hash(job) for job in one.jobs)),
    Told("wording", "text", lambda _: FILING_WORDING),
)


def filed(work: WorkList, defects: Sequence[Defect], dealt: Dealt | None = None) -> tuple[FiledObject, ...]:
    """Defects in the order of the list, each with what shows that it was dealt with.

    Parameters
    ----------
    work : WorkList
    defects : sequence of Defect
    dealt : Dealt, optional
        What a history knows of them.
    """
    here: dict[str, list[VerificationObject]] = {}
    for drive in work.drives:
        row = drive.first
        if row.drive == "verification":
            proof = VerificationObject(
                file=row.file, sha256=row.sha256, group=drive.group, taken=row.taken, recorded="run"
            )
            here.setdefault(row.unit, []).append(proof)
    rank = {drive.first.visit: drive.rank for drive in work.drives}
    ranked = sorted(defects, key=lambda one: rank[one.unit, one.file, one.drive])
    return tuple(
        FiledObject.of(
            one,
            _proofs(one, here.get(one.unit, ()), dealt),
            () if dealt is None else tuple(map(FiledJobObject.of, dealt.jobs_of(one))),
        )
        for one in ranked
    )


def _proofs(
    defect: Defect, here: Sequence[VerificationObject], dealt: Dealt | None
) -> tuple[VerificationObject, ...]:
    """Verification drives of the same run, then those that the history knows; none that came before it."""
    stored = () if dealt is None else dealt.verifications(defect)
    early = frozenset() if dealt is None else dealt.too_early(defect)
    own = [
        one
        for one in here
        if one.sha256 != defect.sha256 and one.sha256 not in early and not earlier(one.taken, defect.taken)
    ]
    known = {one.sha256 for one in own}
    return (
        *own,
        *(
            VerificationObject(
                file=one.file, sha256=one.sha256, group=one.group, taken=one.taken_at, recorded="history"
            )
            for one in stored
            if one.sha256 not in known
        ),
    )


def filing_json(work: WorkList, defects: Sequence[Defect], dealt: Dealt | None) -> str:
    """JSON text of the defects."""
    return json_text(FilingObject(filed=filed(work, defects, dealt)))


def filing_csv(work: WorkList, defects: Sequence[Defect], dealt: Dealt | None, *, style: CsvStyle) -> str:
    """One row a defect, columns `FILED`."""
    return told_csv(FILED, zip(filed(work, defects, dealt)), style=style)


def _readings(defect: DefectObject) -> str:
    """Every reading as "line 12: 1L 203.5 °C at 66 s"."""
    told = []
    for one in defect.readings:
        when = "" if one.elapsed_s is None else f" at {one.elapsed_s:.0f} s"
        told.append(f"line {one.line}: {one.corner} {one.spot} {one.indicated_degc:.1f} °C{when}")
    return "; ".join(told)


def _proof(job: FiledJobObject) -> str:
    """The drive after a repair, and whether it proved that the sides are even again."""
    if job.proof is None:
        return _NONE
    return f"{job.proof.file}: {'even again' if job.proof.even_again else job.proof.outcome}"


def _proof_hash(job: FiledJobObject) -> str:
    return _NONE if job.proof is None else job.proof.sha256
