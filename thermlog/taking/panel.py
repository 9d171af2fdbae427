"""What stands on the terminal during a walk: ages, the proposed wheel, the answers, what would decide."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.advice.urgency import BY_DANGER, SEEN_CODES
from thermlog.reading.cellwords import cell_words
from thermlog.reading.cornerwords import corner_of_word
from thermlog.reading.remarks.sights import read_sights
from thermlog.reports.summary import answer_lines, page_of, said, urgent_words
from thermlog.reports.wording import SIGNS, Show, printable
from thermlog.taking.live import steps
from thermlog.taking.stopwatch import on_stopwatch
from thermlog.taking.typed import keys_of
from thermlog.taking.wheelorder import LAPS, both_settled
from thermlog.words.findings import Urgent
from thermlog.words.sentences import Page
from thermlog.words.vehicle import axle_words, corner_words

if TYPE_CHECKING:
    from thermlog.taking.desk import Desk
    from thermlog.taking.live import LiveFinding
    from thermlog.taking.walking import WalkInProgress
    from thermlog.taking.wheelorder import NextWheel

_MOST_NAME = 30
_AIR_AGAIN_S = 300.0  # from when the air is asked for once more: common practice, no source


def panel(desk: Desk, now_s: float) -> str:
    """The screen below the lines typed so far.

    Parameters
    ----------
    desk : Desk
    now_s : float
        On the steady clock [s].
    """
    walk, mark = desk.journal.walk, desk.watch.mark
    head = walk.head
    kept = f"{len(walk.readings())} readings kept"
    name = printable(head.vehicle)[:_MOST_NAME] or "vehicle"
    if mark is None:
        return f"{name} | not parked yet | type parked when the wheels stand\n"
    elapsed_s = now_s - mark.steady_s
    lines = [f"{name} | {on_stopwatch(elapsed_s)} since parked | {kept} | {air_wanted(walk, elapsed_s)}"]
    lines += _wheels(walk, elapsed_s, desk.next)
    lines += status_lines(desk.finding, walk, desk.next, elapsed_s)
    return "\n".join(lines) + "\n"


def status_lines(
    finding: LiveFinding, walk: WalkInProgress, proposed: NextWheel | None, elapsed_s: float
) -> list[str]:
    """Urgent first, then the two answers, what to read next and when, and what drive would decide.

    Parameters
    ----------
    finding : LiveFinding
    walk : WalkInProgress
    proposed : NextWheel or None
    elapsed_s : float
        Now, since the stop [s].
    """
    show: Show = "F" if walk.head.unit == "F" else "C"
    told = finding.told
    lines: list[str] = [finding.refusal]
    if urgent := stops_untold(walk) if told is None else told.urgent:
        words = urgent_words(urgent, Page(unit=show, axle_count=walk.head.axle_count))
        lines.append(f"{SIGNS['urgent']} STOP DRIVING: {words}. Keep clear; no water, no work at a wheel.")
    if told is not None:
        lines += answer_lines(told, show=show)[:2]
        if both_settled(told.answers) and min(walk.counts().values()) >= LAPS:
            lines.append("Both questions are answered; done ends the walk.")
    lines.append(next_words(proposed, walk, elapsed_s))
    if told is not None and min(walk.counts().values()) >= LAPS:
        page = page_of(told, show)
        lines += [f"to decide: {said(step, page)}" for step in steps(told.answers, drives=True)[:1]]
    return [line for line in lines if line]


def air_wanted(walk: WalkInProgress, elapsed_s: float) -> str:
    """The air as last measured, or that it is wanted: at the start, and once more at the end."""
    airs = [one for one in walk.standing() if one.kind == "air"]
    if not airs:
        return "air not measured yet"
    ago_s = elapsed_s - airs[-1].elapsed_s
    again = ", once more at the end" if len(airs) == 1 and ago_s > _AIR_AGAIN_S else ""
    return f"air {airs[-1].cell} °{walk.head.unit}, {age(ago_s)}{again}"


def stops_untold(walk: WalkInProgress) -> list[Urgent]:
    """What stops the vehicle in a walk of which the pipeline can judge nothing yet, the most dangerous first.

    What was seen, before the first wheel is read, too, and readings above the gun's range.
    """
    sights = (
        one
        for entry in walk.entries.values()
        if entry.kind == "seen"
        for one in read_sights(entry.text).found
    )
    found = [
        Urgent(code=code, corner=corner_of_word(one.place, walk.head.corners))
        for one in sights
        for code in SEEN_CODES
        if code == one.code
    ]
    beyond = (one for one in walk.readings() if cell_words().no_temperature.get(one.cell) == "over_range")
    found += [Urgent(code="over_range", corner=one.corner, spot=one.spot) for one in beyond]
    return sorted(dict.fromkeys(found), key=lambda one: BY_DANGER.index(one.code))


def next_words(proposed: NextWheel | None, walk: WalkInProgress, elapsed_s: float) -> str:
    """Which wheel to read next, and when; empty where none is proposed."""
    if proposed is None:
        return ""
    where = corner_words(proposed.corner, walk.head.axle_count)
    wait_s = proposed.from_s - elapsed_s
    when = f"in {wait_s:.0f} s" if wait_s >= 1.0 else "now"
    why = ": an answer hangs on it" if proposed.why == "decides" else ""
    return f"next: {where}, {when}{why}"


def _wheels(walk: WalkInProgress, elapsed_s: float, proposed: NextWheel | None) -> list[str]:
    count = walk.head.axle_count
    return [
        f"  {axle_words(axle, count):7}" + "   ".join(
            _wheel(f"{axle}{side}", walk, elapsed_s, proposed) for side in "LR"
        ).rstrip()
        for axle in range(1, count + 1)
    ]  # fmt: skip


def _wheel(corner: str, walk: WalkInProgress, elapsed_s: float, proposed: NextWheel | None) -> str:
    last, key = walk.last_at(corner), keys_of(walk.head.corners).get(corner, corner)
    sign = ">" if proposed is not None and proposed.corner == corner else " "
    side = "left " if corner.endswith("L") else "right"
    if last is None:
        return f"{sign}{key} {side} {'-':>8} {'not yet':>9}"
    return f"{sign}{key} {side} {last.cell + ' °' + walk.head.unit:>8} {age(elapsed_s - last.elapsed_s):>9}"


def age(seconds: float) -> str:
    """How long ago.

    Examples
    --------
    >>> age(12.4), age(190.0)
    ('12 s ago', '3 min ago')
    """
    return f"{max(seconds, 0.0):.0f} s ago" if seconds < 60 else f"{seconds // 60:.0f} min ago"


def prompt_words(desk: Desk) -> str:
    """What stands before the line being typed."""
    if desk.doubt is not None:
        return "k, r, number or wheel> "
    if desk.watch.mark is None:
        return "> "
    proposed = desk.next
    if proposed is None:
        return "wheel and number> "
    return f"{corner_words(proposed.corner, desk.journal.walk.head.axle_count)}> "
