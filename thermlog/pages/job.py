"""The record of a job on one page: complaint, findings, answers, cause, repair, proof."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.advice.candidates import answer_words, check_title
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.twice import is_again
from thermlog.pages.aboutvehicle import named_vehicle
from thermlog.pages.rendering import PageSetup, render
from thermlog.pages.shown import Dual, in_both, seen
from thermlog.reports.chartwords import SPOT_WORDS, degrees_text
from thermlog.reports.wording import clock, corners_in_words
from thermlog.words.moments import moment_shown
from thermlog.words.sentences import capital
from thermlog.words.vehicle import corner_words, split_corner

if TYPE_CHECKING:
    from thermlog.followup.jobproof import JobVerification
    from thermlog.followup.jobrecord import JobCause, JobRecord
    from thermlog.reports.wording import Show


class AnsweredRow(Struct, frozen=True, kw_only=True):
    """One check that was answered."""

    check: str
    answer: str
    at: str


class JobCauseRow(Struct, frozen=True, kw_only=True):
    """One cause as it stood."""

    name: str
    place: str
    standing: str


class JobReadingRow(Struct, frozen=True, kw_only=True):
    """One reading of the first drive."""

    line: int
    wheel: str
    at: str
    temp: Dual


class ProofRow(Struct, frozen=True, kw_only=True):
    """One drive after the repair."""

    outcome: str
    at: str
    file: str
    even_again: bool


class JobView(Struct, frozen=True, kw_only=True):
    """Everything on the page."""

    name: str
    drive: str
    opened_at: str
    changed_at: str
    complaint: str
    by: str
    findings: tuple[str, ...]
    stated: tuple[str, ...]
    answers: tuple[AnsweredRow, ...]
    skipped: tuple[str, ...]
    cautions: tuple[str, ...]
    about: str
    other_jobs: tuple[str, ...]
    causes: tuple[JobCauseRow, ...]
    cause: str
    parts_fitted: tuple[str, ...]
    measured: tuple[str, ...]
    proofs: tuple[ProofRow, ...]
    parts_since: tuple[str, ...]
    readings: tuple[JobReadingRow, ...]
    file: str
    sha256: str
    gun: str
    started_at: str
    wording: str
    tool: str


def job_page(record: JobRecord, *, show: Show = "C") -> str:
    """The page as HTML.

    Parameters
    ----------
    record : JobRecord
    show : {"C", "F"}
        Unit that is chosen when the page is opened, and on paper.
    """
    view = job_view(record)
    return render("job.html", PageSetup(title=f"{view.name}: job", styles=("job.css",), show=show), view)


def job_view(record: JobRecord) -> JobView:
    """What the page says.

    Parameters
    ----------
    record : JobRecord
    """
    table = evidence_table()
    count = max((split_corner(one.corner)[0] for one in record.readings), default=1)
    cause = table.causes.get(record.cause or "")
    return JobView(
        name=named_vehicle(record.vehicle),
        drive=record.drive or "not stated",
        opened_at=moment_shown(record.opened_at),
        changed_at=moment_shown(record.changed_at),
        complaint=seen(record.complaint or "", 600),
        by=seen(record.by or "", 120),
        findings=tuple(seen(one, 300) for one in record.findings),
        stated=tuple(
            seen(f"{name.replace('_', ' ')} {text}", 200)
            for name, texts in record.stated.items()
            for text in texts
        ),
        answers=tuple(_answered(one.check, one.answer, one.at) for one in record.answers),
        skipped=tuple(_title(check) for check in record.skipped),
        cautions=tuple(seen(one, 300) for one in record.cautions),
        about=capital(seen(record.about or "", 200)),
        other_jobs=tuple(seen(one, 200) for one in record.other_jobs),
        causes=tuple(
            JobCauseRow(name=seen(one.name), place=_place(one, count), standing=seen(one.standing))
            for one in record.causes
        ),
        cause=cause.name if cause else seen(record.cause or ""),
        parts_fitted=tuple(seen(one, 300) for one in record.parts),
        measured=tuple(seen(one, 300) for one in record.measured),
        proofs=tuple(map(_proof, record.verifications)),
        parts_since=tuple(seen(one, 300) for one in record.parts_since),
        readings=tuple(
            JobReadingRow(
                line=one.line,
                wheel=f"{corner_words(one.corner, count)} {SPOT_WORDS.get(one.spot, one.spot)}".strip(),
                at="-" if one.elapsed_s is None else clock(one.elapsed_s),
                temp=_temp(one.indicated_degc),
            )
            for one in record.readings
        ),
        file=seen(record.log.file, 200),
        sha256=record.log.sha256,
        gun=seen(record.log.gun or "", 80),
        started_at=seen(moment_shown(record.log.started_at)),
        wording=record.wording,
        tool=seen(record.tool),
    )


def _temp(degc: float) -> Dual:
    return in_both(lambda show: degrees_text(degc, show))


def _title(check: str) -> str:
    known = check_title(check)
    if known is None:
        return seen(check)
    return f"{known}, once more" if is_again(check) else known


def _answered(check: str, answer: str, at: str) -> AnsweredRow:
    return AnsweredRow(check=_title(check), answer=seen(answer_words(check, answer)), at=moment_shown(at))


def _proof(one: JobVerification) -> ProofRow:
    driven = f"driven {moment_shown(one.taken_at)}, " if one.taken_at else ""
    return ProofRow(
        outcome=seen(one.outcome, 300),
        at=seen(f"{driven}entered {moment_shown(one.at)}"),
        file=seen(one.file, 200),
        even_again=one.even_again,
    )


def _place(one: JobCause, axle_count: int) -> str:
    """The corners of a cause in words; another place as the record names it."""
    return corners_in_words(one.corners, axle_count) or seen(one.place)
