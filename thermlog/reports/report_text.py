"""Diagnosis -> text. The last four lines tell what to do next; what stands above says why."""

from __future__ import annotations

from typing import TYPE_CHECKING, assert_never

from msgspec import Struct

from thermlog.advice.driving import PARKING_CHECKS
from thermlog.reports.limitwords import limit_rows, marks_words, sharper_words
from thermlog.reports.report_budget import budget_blocks
from thermlog.reports.report_why import why_blocks
from thermlog.reports.summary import (
    answer_lines,
    first_page_of,
    headline,
    not_driven,
    page_of,
    rests_on_other_drive,
    said_all,
)
from thermlog.reports.wording import (
    SIGNS,
    STANDING_WORDS,
    VERDICT_WORDS,
    Show,
    air_words,
    band_figures,
    clock,
    columned,
    degrees,
    difference,
    difference_with_range,
    drive_words,
    first_unweighed,
    minutes_with_range,
    moment,
    printable,
    set_aside_words,
    temperature,
    temperature_with_range,
    unweighed_words,
    with_range,
)
from thermlog.words.findings import STANDING_OUT, widest_axle
from thermlog.words.kinds import fault_kind
from thermlog.words.sentences import on_page
from thermlog.words.shelltext import narrow_command
from thermlog.words.vehicle import HUB_SPOT, axle_words, corner_words, mate_of
from thermlog.words.version import __version__

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from thermlog.words.estimates import Estimate
    from thermlog.words.findings import AxleFinding, CornerFinding, Diagnosis
    from thermlog.words.policy import Policy

_HASH_DIGITS = 12
_MOST_STEPS = 4  # of what would decide an answer
_STANDING_CAUTION = "Treat every wheel as hot until read; a cool reading is not a clearance."
_READ_AGAIN = "Supply what is missing, or read again right after the next drive, and run thermlog again."


def report(diagnosis: Diagnosis, policy: Policy, *, show: Show = "C", narrow: str | None = None) -> str:
    """Whole report of one drive of one vehicle.

    Parameters
    ----------
    diagnosis : Diagnosis
    policy : Policy
        The policy that judged, for its marks.
    show : {"C", "F"}
        Unit on paper.
    narrow : str, optional
        The command that looks for the cause, with all that this check was given; else with the log alone.

    Returns
    -------
    str
        Plain text without colour codes; its last four lines are those of `last_lines`.
    """
    judged, diagnosis = diagnosis, _told(diagnosis, show)
    blocks = (
        _head(diagnosis, show),
        _set_aside(diagnosis),
        _corner_table(diagnosis, show),
        _axle_table(diagnosis, policy, show),
        _why(diagnosis, show),
        _severity(diagnosis),
        _suspects(diagnosis, narrow or narrow_command(diagnosis.log.file)),
        _why_next(diagnosis, narrow or narrow_command(diagnosis.log.file)),
        *why_blocks(diagnosis, show),
        *budget_blocks(judged, show),
        _listed("Remarks that only a person can weigh", unweighed_words(diagnosis)),
        _listed("Notes", (*diagnosis.log.notes, *diagnosis.notes)),
        _listed("Take care", diagnosis.cautions),
        _foot(diagnosis),
        _last_words(diagnosis, show).lines(),
    )
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


class LastWords(Struct, frozen=True, kw_only=True):
    """For someone with greasy gloves: what, how much, what next, what to beware of."""

    finding: str
    measured: str
    do_next: str
    caution: str

    def lines(self) -> list[str]:
        """A line each, with its name before it."""
        return [
            f"FINDING   {self.finding}",
            f"MEASURED  {self.measured}",
            f"DO NEXT   {self.do_next}",
            f"CAUTION   {self.caution}",
        ]


def last_words(diagnosis: Diagnosis, *, show: Show = "C") -> LastWords:
    """What the last lines say, each part by itself."""
    return _last_words(_told(diagnosis, show), show)


def last_lines(diagnosis: Diagnosis, *, show: Show = "C") -> list[str]:
    """The four lines that the text of a check ends with."""
    return last_words(diagnosis, show=show).lines()


def _told(diagnosis: Diagnosis, show: Show) -> Diagnosis:
    """With its sentences on the page; who reads only one of them meets the corners there."""
    return on_page(diagnosis, first_page_of(diagnosis, show))


def whose(diagnosis: Diagnosis) -> str:
    """The line that tells one block of last lines from the next: file, vehicle, and drive if stated."""
    drive = f"{diagnosis.drive} drive" if diagnosis.drive else ""
    said = (diagnosis.log.file, diagnosis.vehicle or "vehicle not named", drive)
    return f"LOG       {' | '.join(printable(one) for one in said if one)}"


def _last_words(diagnosis: Diagnosis, show: Show) -> LastWords:
    return LastWords(
        finding=printable(headline(diagnosis, show=show)),
        measured=printable(_measured(diagnosis, show)),
        do_next=printable(_next_step(diagnosis)),
        caution=printable(_caution(diagnosis)),
    )


def _head(diagnosis: Diagnosis, show: Show) -> list[str]:
    log = diagnosis.log
    driven = drive_words(diagnosis.vehicle, diagnosis.drive, parked_known=diagnosis.parked_known)
    air = air_words(diagnosis.ambient_degc, diagnosis.ambient_source, show)
    used = f"{log.rows_used} of {log.rows_read} readings used"
    return [printable(headline(diagnosis, show=show)), f"{driven} | {air}", f"{printable(log.file)} | {used}"]


def _set_aside(diagnosis: Diagnosis) -> list[str]:
    lines = [f"  {set_aside_words(item)}" for item in diagnosis.log.set_aside]
    return ["Set aside (kept in the file, no vote)", *lines] if lines else []


def _corner_table(diagnosis: Diagnosis, show: Show) -> list[str]:
    if not diagnosis.corners:
        return []
    when = "common time" if diagnosis.common_time_s is None else f"at {clock(diagnosis.common_time_s)}"
    head = ("corner", "spot", "start", when, "healthy", "rise", "time constant", "readings", "finding")
    rows = [_corner_row(corner, diagnosis, show) for corner in diagnosis.corners]
    title = f"Corners, fitted: {moment(diagnosis)} ({degrees(show)}, ranges 95 %; healthy: given the others)"
    return [title, *columned([head, *rows])]


def _corner_row(corner: CornerFinding, diagnosis: Diagnosis, show: Show) -> tuple[str, ...]:
    return (
        corner_words(corner.corner, diagnosis.axle_count, diagnosis.called),
        corner.spot.replace("_", " "),
        temperature(corner.start_degc, show),
        temperature_with_range(corner.at_common_degc, show),
        "-" if corner.expected_degc is None else band_figures(corner.expected_degc, show),
        difference(corner.rise_k.value if corner.rise_k else None, show),
        minutes_with_range(corner.tau_s),
        f"{corner.readings_used} of {corner.readings}",
        _corner_words(corner),
    )


def _corner_words(corner: CornerFinding) -> str:
    """What is found there; what stops the vehicle is never called even, or left open."""
    if any(reason.code == "past_line" for reason in corner.reasons):
        return f"{SIGNS['urgent']} STOP"
    return VERDICT_WORDS[corner.verdict]


def _axle_table(diagnosis: Diagnosis, policy: Policy, show: Show) -> list[str]:
    if not diagnosis.axles:
        return []
    head = ("axle", "difference", f"{degrees(show)} mark", "ratio of rises", "ratio mark", "finding")
    rows = [_axle_row(axle, diagnosis.axle_count, policy, show) for axle in diagnosis.axles]
    title = f"Left minus right: {moment(diagnosis)} ({degrees(show)}, ranges 95 %)"
    return [title, *columned([head, *rows]), f"  {marks_words(policy, show)}"]


def _axle_row(axle: AxleFinding, axle_count: int, policy: Policy, show: Show) -> tuple[str, ...]:
    ratio = with_range(axle.rise_ratio)
    odd = f" {corner_words(axle.suspect, axle_count)}" if axle.suspect else ""
    steps_k = (policy.watch_difference_k, policy.suspect_difference_k, policy.strong_difference_k)
    steps = (policy.watch_ratio, policy.suspect_ratio, policy.strong_ratio)
    return (
        axle_words(axle.axle, axle_count),
        difference_with_range(axle.difference_k, show),
        _highest_mark(axle.difference_k, steps_k),
        ratio,
        _highest_mark(axle.rise_ratio, steps),
        VERDICT_WORDS[axle.verdict] + odd,
    )


def _highest_mark(estimate: Estimate | None, steps: tuple[float, float, float]) -> str:
    """Name of the highest mark that a size passes."""
    if estimate is None:
        return "-"
    passed = [
        name
        for name, step in zip(("watch", "suspect", "strong"), steps, strict=True)
        if abs(estimate.value) >= step
    ]
    return passed[-1] if passed else "none"


def _why(diagnosis: Diagnosis, show: Show) -> list[str]:
    """The three answers, each with its reasons, and with what would decide it."""
    page, lines = page_of(diagnosis, show), []
    answers = diagnosis.answers
    for line, one in zip(answer_lines(diagnosis, show=show), answers.each, strict=True):
        lines.append(f"  {printable(line)}")
        lines += [f"    - {printable(text)}" for text in said_all(one.reasons, page)]
        lines += [f"    - {text}" for text in filter(None, (sharper_words(one, show),))]
        lines += [f"    > {printable(text)}" for text in said_all(one.decides, page)[:_MOST_STEPS]]
    return ["Answers (>: what would decide)", *lines, *_limits(diagnosis, show)]


def _limits(diagnosis: Diagnosis, show: Show) -> list[str]:
    """What this log would have shown, corner by corner."""
    rows = limit_rows(diagnosis, show)
    if not rows:
        return []
    title = "Least fault such a walk shows in 4 cases of 5 (N·m right within a factor of three)"
    head = ("corner", f"drag, {degrees(show)}", "drag, N·m", "lost part of its work")
    return ["", title, *columned([head, *rows])]


def _severity(diagnosis: Diagnosis) -> list[str]:
    """How much each hot brake drags."""
    count, called = diagnosis.axle_count, diagnosis.called
    lines = [f"{corner_words(one.corner, count, called)}: {one.words}" for one in diagnosis.severity]
    return _listed("How much, roughly", lines)


def _suspects(diagnosis: Diagnosis, command: str) -> list[str]:
    lines: list[str] = []
    for rank, suspect in enumerate(diagnosis.suspects, start=1):
        lines.append(f"  {rank}  {suspect.name} | {suspect.place} | {STANDING_WORDS[suspect.standing]}")
        lines += [f"       for: {reason}" for reason in suspect.for_]
        lines += [f"       against: {reason}" for reason in suspect.against]
    if not lines:
        return []
    lead = "keep this log in a file, then " if diagnosis.log.file == "-" else ""
    lines.append(f"  At the wheel, one check after another: {lead}{command}")
    return ["What could cause it", *map(printable, lines)]


def _why_next(diagnosis: Diagnosis, command: str) -> list[str]:
    """Why the next check; where causes are not ranked yet but one can be looked at, how to go on."""
    check = diagnosis.next_check
    if check is None or not check.why:
        return []
    held = not diagnosis.suspects and check.id in PARKING_CHECKS
    more = [f"At the wheel, one check after another: {command}"] if held else []
    return _listed("Why this check next", [check.why, *more])


def _foot(diagnosis: Diagnosis) -> list[str]:
    mark = diagnosis.policy
    note = f" ({printable(diagnosis.policy_note)})" if diagnosis.policy_note else ""
    return [
        f"thermlog {__version__} | policy {printable(mark.name)} {mark.sha256[:_HASH_DIGITS]}{note}"
        f" | input {diagnosis.log.sha256[:_HASH_DIGITS]}"
    ]


def _measured(diagnosis: Diagnosis, show: Show) -> str:
    """What the finding rests on, on this drive or the other one of the same vehicle; what no rule weighs."""
    here = "; ".join(filter(None, (_measured_here(diagnosis, show), first_unweighed(diagnosis))))
    kind = "with" if diagnosis.drive == "coast" else "without"
    if not rests_on_other_drive(diagnosis):
        return here
    return f"{here}; the finding rests on the drive {kind} braking"


def _measured_here(diagnosis: Diagnosis, show: Show) -> str:
    """Gaps between left and right, or the temperatures of brakes or hubs."""
    shown_by, members = fault_kind(diagnosis.pattern.kind).shown_by, diagnosis.pattern.corners
    match shown_by:
        case "gap":
            return _gaps(diagnosis, show)
        case "height":
            named = [corner for corner in diagnosis.corners if corner.corner in members]
            return _heights(named, diagnosis, show)
        case "hub":
            both = {*members, *map(mate_of, members)}
            named = [one for one in diagnosis.corners if one.spot == HUB_SPOT and one.corner in both]
            return _heights(named, diagnosis, show)
        case _:
            assert_never(shown_by)


def _gaps(diagnosis: Diagnosis, show: Show) -> str:
    """The odd axles, else the axle that is furthest from even."""
    odd = [axle for axle in diagnosis.axles if axle.verdict in STANDING_OUT]
    if odd := [axle for axle in odd if axle.difference_k is not None]:
        gaps = "; ".join(_gap(axle, diagnosis, show) for axle in odd[:3]) + (" ..." if len(odd) > 3 else "")
        return f"{gaps}, {moment(diagnosis)}"
    widest = widest_axle(diagnosis.axles)
    if widest is None:
        return "no axle could be compared"
    return f"largest difference of all axles, {_gap(widest, diagnosis, show)}, {moment(diagnosis)}"


def _gap(axle: AxleFinding, diagnosis: Diagnosis, show: Show) -> str:
    place = axle_words(axle.axle, diagnosis.axle_count)
    if axle.difference_k is None:
        return f"{place}: left and right could not be compared"
    warmer, cooler = ("left", "right") if axle.difference_k.value >= 0 else ("right", "left")
    size = axle.difference_k.size
    by = difference_with_range(size, show, signed=False)
    ratio = "" if axle.rise_ratio is None else f", {with_range(axle.rise_ratio)} times its rise"
    if size.low is not None and size.high is not None and size.low <= 0.0 <= size.high:
        return f"{place}: left and right differ by {by} {degrees(show)}"
    return f"{place}: {warmer} is {by} {degrees(show)} hotter than {cooler}{ratio}"


def _heights(named: Sequence[CornerFinding], diagnosis: Diagnosis, show: Show) -> str:
    """Temperatures of some corners, where no axle is odd in itself."""
    heights = ", ".join(
        f"{_spot_words(corner, diagnosis.axle_count)} "
        f"{temperature_with_range(corner.at_common_degc, show)} {degrees(show)}"
        for corner in named[:4]
    )
    return f"{heights}{' ...' if len(named) > 4 else ''}, {moment(diagnosis)}"


def _next_step(diagnosis: Diagnosis) -> str:
    check = diagnosis.next_check
    if check is None:
        return _READ_AGAIN
    return f"{check.question.rstrip('.')} (about {check.minutes:.0f} min)."


def _caution(diagnosis: Diagnosis) -> str:
    """The most urgent caution, then the one of the next check."""
    urgent = diagnosis.cautions[:1] or (_STANDING_CAUTION,)
    safety = diagnosis.next_check.safety if diagnosis.next_check is not None else ""
    return " ".join(dict.fromkeys(filter(None, (not_driven(diagnosis), *urgent, safety))))


def _spot_words(corner: CornerFinding, axle_count: int) -> str:
    """Corner for people, with the spot where it is not just the brake."""
    spot = "" if corner.spot == "brake" else f" {corner.spot.replace('_', ' ')}"
    return corner_words(corner.corner, axle_count) + spot


def _listed(title: str, texts: Sequence[str]) -> list[str]:
    return [title, *_bullets(texts)] if texts else []


def _bullets(texts: Iterable[str]) -> list[str]:
    return [f"  - {printable(text)}" for text in texts]
