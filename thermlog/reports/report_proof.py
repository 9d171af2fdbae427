"""A comparison of drives -> text and CSV."""

from __future__ import annotations

from collections.abc import Iterator

from thermlog.followup.proof import ComparedAxle, Comparison
from thermlog.reports.proofwords import (
    OUTCOME_WORDS,
    SCREENED,
    alignment,
    comparison_headline,
    counting_names,
    lacking_lines,
    log_names,
    next_steps,
    now_lines,
    remark_lines,
    stopped_lines,
    urgent_cautions,
    why_lines,
)
from thermlog.reports.report_csv import Cell, cells_of, csv_table
from thermlog.reports.summary import page_of
from thermlog.reports.wording import (
    STANDING_WORDS,
    VERDICT_WORDS,
    Show,
    air_words,
    columned,
    degrees,
    difference_with_range,
    drive_words,
    first_unweighed,
    moment,
    printable,
    with_range,
)
from thermlog.words.estimates import Estimate
from thermlog.words.findings import Verdict
from thermlog.words.sentences import capital, on_page
from thermlog.words.vehicle import axle_words, corner_words
from thermlog.words.version import __version__

CSV_COLUMNS = (
    "place", "spot", "log", "file", "vehicle", "drive", "common_time_s", "value_k", "low_k", "high_k",
    "change_k", "change_low_k", "change_high_k", "rise_ratio", "rise_ratio_low", "rise_ratio_high",
    "verdict", "outcome", "why",
)  # fmt: skip


def comparison_text(comparison: Comparison, *, show: Show = "C") -> str:
    """Report of a comparison; its last lines tell the finding.

    Parameters
    ----------
    comparison : Comparison
    show : {"C", "F"}
        Unit on paper.

    Returns
    -------
    str
        Plain text.
    """
    comparison = on_page(comparison, page_of(comparison, show))
    names = tuple(map(printable, log_names(comparison.diagnoses)))
    blocks = (
        _logs(comparison, names, show),
        _corner_table(comparison, names, show),
        _axle_table(comparison, names, show),
        [f"  - {printable(note)}" for note in _noted(comparison, names, show)],
        _causes(comparison),
        _last_lines(comparison, names, show),
    )
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _noted(comparison: Comparison, names: tuple[str, ...], show: Show) -> tuple[str, ...]:
    return (
        *alignment(comparison, names),
        *comparison.notes,
        *lacking_lines(comparison, show),
        *remark_lines(comparison),
    )


def _logs(comparison: Comparison, names: tuple[str, ...], show: Show) -> list[str]:
    lines = []
    for name, one in zip(names, comparison.diagnoses, strict=True):
        driven = drive_words(one.vehicle, one.drive, parked_known=one.parked_known)
        air = air_words(one.ambient_degc, one.ambient_source, show)
        lines.append(f"{name}: {printable(one.log.file)} | {driven} | {air} | compared at {moment(one)}")
    return lines


def _corner_table(comparison: Comparison, names: tuple[str, ...], show: Show) -> list[str]:
    count = comparison.axle_count
    head = ("corner", "spot", *names, *_change_heads(comparison, names))
    rows = [
        (
            corner_words(corner.corner, count, comparison.called),
            corner.spot.replace("_", " "),
            *(difference_with_range(one, show, signed=False) for one in corner.rises_k),
            *_change_cells(comparison, corner.changes_k, show),
        )
        for corner in comparison.corners
    ]
    title = f"Rise above own ambient at the common time ({degrees(show)}, ranges 95 %)"
    return [title, *columned([head, *rows])] if rows else []


def _axle_table(comparison: Comparison, names: tuple[str, ...], show: Show) -> list[str]:
    count = comparison.axle_count
    head = (
        "axle", *names, *_change_heads(comparison, names),
        "ratio of rises", "finding", *(["repair"] if comparison.unlike is None else []),
    )  # fmt: skip
    then = " -> " if comparison.unlike is None else "; "
    rows = [
        (
            axle_words(axle.axle, count),
            *(difference_with_range(one, show) for one in axle.differences_k),
            *_change_cells(comparison, axle.changes_k, show),
            then.join(with_range(one) for one in axle.ratios),
            then.join(_verdict_text(one) for one in axle.verdicts),
            *([OUTCOME_WORDS[axle.outcome] or "-"] if comparison.unlike is None else []),
        )
        for axle in comparison.axles
    ]
    title = f"Left minus right at the common time ({degrees(show)}, ranges 95 %)"
    return [title, *columned([head, *rows])] if rows else []


def _change_heads(comparison: Comparison, names: tuple[str, ...]) -> list[str]:
    """Heads of the columns of changes; from one vehicle to another there are none."""
    return [f"change to {name}" for name in names[1:]] if comparison.unlike is None else []


def _change_cells(comparison: Comparison, changes: tuple[Estimate | None, ...], show: Show) -> list[str]:
    told = changes[1:] if comparison.unlike is None else ()
    return [difference_with_range(one, show) for one in told]


def _verdict_text(verdict: Verdict | None) -> str:
    return "not read" if verdict is None else VERDICT_WORDS[verdict]


def proof_last_lines(comparison: Comparison, *, show: Show = "C") -> list[str]:
    """What is urgent, the finding, why, the last log's answers, what to do, and what it rests on."""
    comparison = on_page(comparison, page_of(comparison, show))
    return _last_lines(comparison, tuple(map(printable, log_names(comparison.diagnoses))), show)


def _last_lines(comparison: Comparison, names: tuple[str, ...], show: Show) -> list[str]:
    asked = [axle for axle in comparison.axles if axle.asked]
    return [
        *(f"STOP      {printable(line)}" for line in urgent_cautions(comparison, show)),
        f"FINDING   {printable(comparison_headline(comparison, names, show))}",
        *(f"BEFORE    {printable(line)}" for line in stopped_lines(comparison, show)),
        *(f"WHY       {printable(line)}" for axle in asked for line in _why(axle, comparison, show)),
        *(f"NOW       {printable(line)}" for line in now_lines(comparison, names)),
        *(f"REMARK    {printable(line)}" for line in _remarks(comparison)),
        *(f"DO NEXT   {printable(line)}" for line in next_steps(comparison, show)),
        f"POLICY    {_policies(comparison)} | thermlog {__version__}",
        f"CAUTION   {printable(_caution(comparison))}",
    ]


def _why(axle: ComparedAxle, comparison: Comparison, show: Show) -> list[str]:
    count = comparison.axle_count
    place = axle_words(axle.axle, count)
    return [f"{place}: {line}" for line in why_lines(axle, show, count, below_axle=axle.axle)]


def _remarks(comparison: Comparison) -> list[str]:
    """What no rule understands of the drives that count, the first of each."""
    each = ((name, first_unweighed(one)) for name, one in counting_names(comparison))
    return [capital(f"{name}{said}") for name, said in each if said]


def _caution(comparison: Comparison) -> str:
    """What a fault forbids, what always stands, and how to do safely what comes next."""
    safety = comparison.next_check.safety if comparison.next_check is not None else ""
    return " ".join(filter(None, (comparison.caution, SCREENED, safety)))


def _causes(comparison: Comparison) -> list[str]:
    """Causes as a check of the last log ranks them; that check tells what speaks for and against each."""
    ranked = enumerate(comparison.last.suspects, start=1)
    lines = [f"  {rank}  {one.name} | {one.place} | {STANDING_WORDS[one.standing]}" for rank, one in ranked]
    by = "the later drive" if comparison.backwards else "the last log"
    return [f"What could cause it, by {by}", *map(printable, lines)] if lines else []


def _policies(comparison: Comparison) -> str:
    marks = dict.fromkeys(f"{one.policy.name} {one.policy.sha256[:12]}" for one in comparison.diagnoses)
    return printable(", ".join(marks))


# --- CSV ----------------------------------------------------------------------------------------------------


def comparison_csv(comparison: Comparison) -> str:
    """One row a place and log: rises of corners, then left minus right of axles; columns `CSV_COLUMNS`."""
    return csv_table(CSV_COLUMNS, (*_corner_rows(comparison), *_axle_rows(comparison)))


def _corner_rows(comparison: Comparison) -> Iterator[tuple[Cell, ...]]:
    for corner in comparison.corners:
        for k in range(len(comparison.diagnoses)):
            numbers = (*cells_of(corner.rises_k[k]), *cells_of(corner.changes_k[k]), *cells_of(None))
            yield (
                corner.corner,
                corner.spot,
                *_log_cells(comparison, k),
                *numbers,
                corner.verdicts[k],
                None,
                None,
            )


def _axle_rows(comparison: Comparison) -> Iterator[tuple[Cell, ...]]:
    last = len(comparison.diagnoses) - 1
    for axle in comparison.axles:
        for k in range(last + 1):
            numbers = (
                *cells_of(axle.differences_k[k]),
                *cells_of(axle.changes_k[k]),
                *cells_of(axle.ratios[k]),
            )
            proof = (axle.outcome, "; ".join(axle.why)) if k == last else (None, None)
            place = f"axle {axle.axle} left minus right"
            yield (place, None, *_log_cells(comparison, k), *numbers, axle.verdicts[k], *proof)


def _log_cells(comparison: Comparison, k: int) -> tuple[Cell, ...]:
    one = comparison.diagnoses[k]
    return (k + 1, one.log.file, one.vehicle, one.drive, one.common_time_s)
