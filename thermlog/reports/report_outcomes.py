"""How right a depot's answers were, in words, as a table and as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.reports.contract.outcomes import OutcomesObject
from thermlog.reports.contract.writing import json_text
from thermlog.reports.report_csv import Told, estimated, told_csv
from thermlog.reports.summary import ANSWER_WORDS
from thermlog.reports.wording import columned, printable
from thermlog.words.estimates import Estimate

if TYPE_CHECKING:
    from collections.abc import Iterator

    from thermlog.history.outcomes import MissedFault, Outcomes

_MOST_MISSED = 20
_NOTE = (
    "Only drives somebody looked into count. Where mostly called vehicles were opened, the share behind "
    'a "no" is a guess: see docs/field-study.md.'
)


class OutcomeRow(Struct, frozen=True, kw_only=True):
    """One row of the table.

    Attributes
    ----------
    about : str
        "answer", "p_drag", "cause" or "missed".
    name : str
        The answer, the range of probabilities, the cause.
    drives, faulty : int or None
    share : Estimate or None
    said : float or None
    table : float or None
    missed : MissedFault or None
    """

    about: str
    name: str
    drives: int | None = None
    faulty: int | None = None
    share: Estimate | None = None
    said: float | None = None
    table: float | None = None
    missed: MissedFault | None = None


OUTCOMES: tuple[Told[[OutcomeRow]], ...] = (
    Told("about", "text", lambda row: row.about),
    Told("name", "text", lambda row: row.name),
    Told("drives", "whole", lambda row: row.drives),
    Told("faulty", "whole", lambda row: row.faulty),
    *estimated(("share", "low", "high"), lambda row: row.share),
    Told("mean_p", "figure", lambda row: row.said),
    Told("table", "figure", lambda row: row.table),
    Told("unit", "text", lambda row: row.missed.unit if row.missed else None),
    Told("taken_at", "text", lambda row: row.missed.taken_at if row.missed else None),
    Told("p_drag", "figure", lambda row: row.missed.p_drag if row.missed else None),
    Told("p_idle", "figure", lambda row: row.missed.p_idle if row.missed else None),
    Told("file", "text", lambda row: row.missed.file if row.missed else None),
    Told("sha256", "text", lambda row: row.missed.log_sha256 if row.missed else None),
)


def outcomes_json(found: Outcomes) -> str:
    """JSON text of what was found."""
    return json_text(OutcomesObject.of(found))


def outcomes_csv(found: Outcomes) -> str:
    """One row an answer, a range of probabilities, a cause and a miss; columns `OUTCOMES`."""
    return told_csv(OUTCOMES, zip(_rows(found)))


def _rows(found: Outcomes) -> Iterator[OutcomeRow]:
    for answer in found.answers:
        yield OutcomeRow(
            about="answer", name=answer.answer, drives=answer.drives, faulty=answer.faulty, share=answer.share
        )
    for drag in found.drags:
        yield OutcomeRow(
            about="p_drag",
            name=_range(drag.p_from, drag.p_below),
            drives=drag.drives,
            faulty=drag.dragged,
            share=drag.share,
            said=drag.said,
        )
    for one in found.causes:
        together = Estimate(one.together)
        yield OutcomeRow(about="cause", name=one.cause, faulty=one.count, share=together, table=one.table)
    for miss in found.missed:
        yield OutcomeRow(about="missed", name=miss.cause, missed=miss)


def outcomes_text(found: Outcomes) -> str:
    """Text of what was found."""
    lines = [
        f"{found.known} of {found.checked} drives have an outcome (thermlog narrow --job --cause)",
        "",
    ]
    head = ("answer", "drives", "faulty", "share (95 %)")
    answers = (
        (ANSWER_WORDS[one.answer], str(one.drives), str(one.faulty), _share(one.share))
        for one in found.answers
    )
    lines += columned([head, *answers])
    lines += ["", "Probability of a drag, held against drags that were found"]
    said = ("said", "drives", "dragged", "share (95 %)", "mean said")
    bins = (
        (
            _range(one.p_from, one.p_below),
            str(one.drives),
            str(one.dragged),
            _share(one.share),
            "-" if one.said is None else f"{one.said:.2f}",
        )
        for one in found.drags
    )
    lines += columned([said, *bins])
    if found.causes:
        lines += ["", "Causes found; the table's share counts as 20 findings (Dirichlet)"]
        rows = (
            (one.cause, f"{one.table:.3f}", str(one.count), f"{one.together:.3f}") for one in found.causes
        )
        lines += columned([("cause", "table", "found", "together"), *rows])
    if found.missed:
        lines += ["", f'Missed: answered "no", and a fault was found ({len(found.missed)})']
        lines += columned(
            [("unit", "when", "found", "p drag", "p idle", "log"), *map(_miss, found.missed[:_MOST_MISSED])]
        )
        more = len(found.missed) - _MOST_MISSED
        lines += [f"  and {more} more: --format csv has all"] if more > 0 else []
    return "\n".join([*lines, "", _NOTE]) + "\n"


def _miss(one: MissedFault) -> tuple[str, ...]:
    p = ("-" if said is None else f"{said:.2f}" for said in (one.p_drag, one.p_idle))
    when = one.taken_at or "no date"
    return printable(one.unit or "-"), when, one.cause, *p, printable(one.file)


def _range(low: float, high: float) -> str:
    return f"{low:g} to {high:g}"


def _share(share: Estimate | None) -> str:
    ends = None if share is None else share.interval
    if share is None or ends is None:
        return "-"
    return f"{share.value:.2f} ({ends[0]:.2f} to {ends[1]:.2f})"
