"""A practice case -> what is shown before the commitment, and what after it."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING

from thermlog.practice.progress import progress_of
from thermlog.reports.contract.writing import json_text
from thermlog.reports.practicewords import (
    MARK_WORDS,
    OPEN_WORDS,
    STAGE_WORDS,
    STEP_WORDS,
    agreement,
    choice_words,
    planted_words,
    so_far,
    stated,
)
from thermlog.reports.report_text import last_words
from thermlog.reports.summary import first_page_of, page_of, said_all
from thermlog.reports.wording import (
    SCREEN_LINES,
    WIDEST,
    Show,
    clock,
    columned,
    degrees,
    printable,
    temperature,
)
from thermlog.words.kinds import fault_kind
from thermlog.words.sentences import counted, few_of, on_page
from thermlog.words.units import from_degc
from thermlog.words.vehicle import HUB_SPOT, corner_words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from thermlog.practice.asking import Asking
    from thermlog.practice.cases import PracticeCase, ShownReading
    from thermlog.practice.marking import Marked
    from thermlog.practice.progress import OutOf, Progress, Tally
    from thermlog.practice.series import Answered, PracticeSeries
    from thermlog.words.findings import Diagnosis

_MOST_MISSED = 3
_MOST_STEPS = 2
_BACK, _STOP = "  b  back", "   q  stop here"
ANSWER_SHAPE = (
    'Commit with --answer "FINDING PLACE HOW_SURE NEXT", as in --answer "drag 1L sure wheel" or '
    '--answer "cannot_tell fairly again".\n'
    "  FINDING   drag, idle, hub, nothing, cannot_tell\n"
    "  PLACE     after drag, idle, hub: a corner (1L), an axle (2), 1L+2R or all\n"
    "  HOW_SURE  guess (0.5), fairly (0.75), sure (0.95) or a probability\n"
    "  NEXT      again, coast, braking, mark, wheel, clear, keep"
)


def case_head(case: PracticeCase, place: tuple[int, int], show: Show) -> str:
    """One line that says which case of how many this is, and nothing of its truth."""
    number, of = place
    told = case.read.readings.cases[0]
    air = (
        "" if told.ambient_degc is None else f" | air {temperature(told.ambient_degc, show)} {degrees(show)}"
    )
    named = f"Practice case {number} of {of}" if of > 1 else "Practice case"
    return printable(f"{named} | level {case.order.level} | {told.vehicle} | {told.drive} drive{air}")


def case_table(case: PracticeCase, show: Show) -> list[str]:
    """The readings, a row a place and a column a round, each with its time since parking."""
    axles = len(case.corners) // 2
    by_place: dict[tuple[str, str], list[ShownReading]] = {}
    for one in case.readings:
        by_place.setdefault((one.corner, one.spot), []).append(one)
    places = sorted(by_place, key=lambda place: (case.corners.index(place[0]), place[1]))
    rounds = max(map(len, by_place.values()))
    head = (f"min:s {degrees(show)}", *(f"round {k + 1}" for k in range(rounds)))
    rows = [
        (
            corner_words(corner, axles) + ("" if spot == "brake" else f" {spot}"),
            *(_cell(one, show) for one in by_place[corner, spot]),
            *[""] * (rounds - len(by_place[corner, spot])),
        )
        for corner, spot in places
    ]
    return columned([head, *rows])


def _cell(one: ShownReading, show: Show) -> str:
    minutes, seconds = divmod(round(one.elapsed_s), 60)
    return f"{minutes:2d}:{seconds:02d} {from_degc(one.indicated_degc, show):5.0f}"


def question_screen(
    case: PracticeCase, place: tuple[int, int], asking: Asking, *, show: Show, width: int, strange: str = ""
) -> str:
    """One screen of at most 24 lines: readings, what was answered, the question, a key for each choice.

    Parameters
    ----------
    case : PracticeCase
    place : (int, int)
        Number of the case, and of how many.
    asking : Asking
        With something left to ask.
    show : {"C", "F"}
    width : int
        Columns of the terminal.
    strange : str
        The last key, if it was no answer.
    """
    wide, axles = min(width - 1, WIDEST), len(case.corners) // 2
    lines = [*wrap(case_head(case, place, show), wide)[:2], *case_table(case, show)]
    answered, choices = so_far(asking, axles), asking.choices()
    below = [f"So far: {answered}"] if answered else []
    if asking.stage is not None:
        below.append(STAGE_WORDS[asking.stage])
        below += [f"  {key}  {choice_words(asking.stage, one, axles)}" for key, one in enumerate(choices, 1)]
    no_key = f"   ({printable(strange)} is no key here; 1 to {len(choices)} answer)" if strange else ""
    below.append(f"{_BACK}{no_key}{_STOP}")
    below = [line[:wide] for line in below]
    gap = [""] if len(lines) + len(below) < SCREEN_LINES else []
    return "\n".join([*(line[:wide] for line in lines), *gap, *below])


def practice_text(
    series: PracticeSeries, *, show: Show, quiet: bool, kept: bool, waiting: bool = True
) -> str:
    """What became of the answers, the score, and the case that waits.

    Parameters
    ----------
    series : PracticeSeries
    show : {"C", "F"}
    quiet : bool
        True for one line a case.
    kept : bool
        True if the scores are kept in a file.
    waiting : bool
        True to show the case that waits.
    """
    of = series.plan.length
    if quiet:
        parts = ["".join(f"{_one_line(one)}\n" for one in series.answered)]
    else:
        parts = [told_text(one, of, show=show, width=WIDEST + 1) for one in series.answered]
    if series.answered and (kept or len(series.answered) > 1):
        parts.append(progress_text(progress_of(series.scores.cases)))
    if waiting and not series.through:
        parts.append(_waiting_text(series, show, quiet=quiet, kept=kept))
    return "\n".join(part for part in parts if part)


def _waiting_text(series: PracticeSeries, show: Show, *, quiet: bool, kept: bool) -> str:
    """The case that waits for an option: its readings, and how to answer unless `quiet`."""
    case, plan = series.case(), series.plan
    lines = [case_head(case, series.place, show), *case_table(case, show)]
    lines += [] if quiet else ["", *ANSWER_SHAPE.splitlines()]
    if not kept and not quiet:
        topic = f" --topic {plan.topic}" if plan.topic else ""
        more = f" --series {plan.length}" if plan.length > 1 else ""
        lines.append(f"The same again: --seed {plan.seed} --level {plan.level}{topic}{more}")
    return "\n".join(lines) + "\n"


def _one_line(one: Answered) -> str:
    axles = len(one.case.corners) // 2
    told = one.told
    return (
        f"{one.number}: {MARK_WORDS[told.mark.word]} | you: {stated(told.committed, axles)} | "
        f"truth: {planted_words(told.truth, axles)} | tool: {stated(told.tool, axles)}"
    )


def practice_json(series: PracticeSeries, *, kept: bool) -> str:
    """JSON text of what was answered, and of the case that waits."""
    from thermlog.reports.contract.practice import PracticeObject

    return json_text(PracticeObject.of(series, kept=kept))


def progress_json(progress: Progress) -> str:
    """JSON text of a score."""
    from thermlog.reports.contract.practice import ProgressObject

    return json_text(ProgressObject(progress=progress))


def told_screens(one: Answered, of: int, *, show: Show, width: int, more: bool) -> list[str]:
    """What is told after the commitment, in screens of at most 24 lines; the last says what a key does."""
    lines = told_text(one, of, show=show, width=width).splitlines()
    room = SCREEN_LINES - 1
    parts = [lines[begin : begin + room] for begin in range(0, len(lines), room)]
    after = "next case" if more else "done"
    keys = [*(["more"] * (len(parts) - 1)), after]
    return ["\n".join([*part, f"  any key  {key}{_STOP}"]) for part, key in zip(parts, keys, strict=True)]


def told_text(one: Answered, of: int, *, show: Show, width: int) -> str:
    """What is told after the commitment.

    Parameters
    ----------
    one : Answered
    of : int
        Cases of the series.
    show : {"C", "F"}
    width : int
        Columns to fold the lines at.
    """
    case, told = one.case, one.told
    blocks = (
        ("", [f"{MARK_WORDS[told.mark.word]} (Brier {told.mark.brier:.2f}: 0 best, 0.25 a coin, 1 worst)"]),
        *_told_blocks(case, told, show),
    )
    wide = min(width - 1, WIDEST)
    named = ((name if k == 0 else " ", text) for name, texts in blocks for k, text in enumerate(texts))
    lines = [line for name, text in named for line in _folded(name, text, wide)]
    head = [*wrap(case_head(case, (one.number, of), show), wide), *case_table(case, show)]
    return "\n".join([*head, *lines]) + "\n"


def _told_blocks(case: PracticeCase, told: Marked, show: Show) -> Iterator[tuple[str, list[str]]]:
    axles, found = len(case.corners) // 2, case.told
    last = last_words(found, show=show)
    yield "YOU", [stated(told.committed, axles)]
    yield "TRUTH", [planted_words(told.truth, axles)]
    yield "TOOL", [last.finding]
    yield "MEASURED", [last.measured]
    yield "AGREE", [agreement(told)]
    if told.open_because is not None:
        yield "CANNOT", [f'"cannot tell" is right here: {OPEN_WORDS[told.open_because]}']
    yield "WHY", _why(found, show)[:_MOST_STEPS]
    yield "DECIDES", _decides(found, show)
    yield "UNSEEN", [*_missed_words(case, show), *_skins_words(case, show)]
    yield "NEXT", _next_words(told, found, show)
    yield "CAUTION", [last.caution]


def _why(found: Diagnosis, show: Show) -> list[str]:
    """Reasons of what the tool answers with yes or watch, else of what it cannot tell, else of its no."""
    page = page_of(found, show)
    if fault_kind(found.pattern.kind).shown_by == "hub":
        named = [one for one in found.corners if one.corner in found.pattern.corners]
        return said_all((reason for one in named if one.spot == HUB_SPOT for reason in one.reasons), page)
    by_weight = sorted(found.answers.each, key=lambda one: (not one.suspects, one.answer != "cannot_tell"))
    return said_all(by_weight[0].reasons, page)


def _decides(found: Diagnosis, show: Show) -> list[str]:
    """The reading that would decide, tried out on this log; else what was measured has decided."""
    if found.urgent:  # nobody goes near for a reading
        return said_all(
            (one for answer in found.answers.each for one in answer.decides), page_of(found, show)
        ) or ["nothing is decided before it has cooled"]
    tried = [
        f"{on_page(one.action, page_of(found, show))}: {'settles it' if one.decides else 'helps most'}"
        for one in found.decisions
    ]
    steps = [text for one in found.answers.each for text in said_all(one.decides, page_of(found, show))]
    return [*tried, *steps][:_MOST_STEPS] or ["what was measured decides; no further reading is asked for"]


def _missed_words(case: PracticeCase, show: Show) -> list[str]:
    """Shots that caught something else, which only the simulator knows."""
    axles, unit = len(case.corners) // 2, degrees(show)
    words = [
        f"{corner_words(one.reading.corner, axles)} at {clock(one.reading.elapsed_s)}: the shot missed: "
        f"{temperature(one.reading.indicated_degc, show)} of {temperature(one.surface_degc, show)} {unit}"
        for one in case.missed
    ]
    return [few_of(words, _MOST_MISSED, joint="; ")] if words else []


def _skins_words(case: PracticeCase, show: Show) -> list[str]:
    """Metal and skin of every brake at the tool's common time, which only the simulator knows."""
    moment_s = case.told.common_time_s
    if moment_s is None:
        return []
    fleet, axles = case.made.fleet, len(case.corners) // 2
    spots = sorted({one.spot for one in case.readings})
    levels = {spot: fleet.surface_degc(moment_s, spot)[0] for spot in spots}
    words = (
        f"{corner_words(corner, axles)} "
        f"{' hub '.join(temperature(float(levels[spot][k]), show) for spot in spots)} "
        f"({float(fleet.emissivity[0, k]):.2f})"
        for k, corner in enumerate(case.corners)
    )
    return [f"metal at {clock(moment_s)} in {degrees(show)} (emissivity): {', '.join(words)}"]


def _next_words(told: Marked, found: Diagnosis, show: Show) -> list[str]:
    check = found.next_check
    asked = "" if check is None else str(on_page(check.question, first_page_of(found, show)))
    said = told.committed.next_step
    if said is None:
        return [f"the tool: {asked}"]
    fits = "the tool would, too" if told.step_agrees else "the tool would not"
    return [f"you: {STEP_WORDS[said]} ({fits}). The tool: {asked}"]


def _folded(name: str, text: str, wide: int) -> list[str]:
    indent = " " * 10 if name else ""
    return wrap(printable(text), wide, initial_indent=f"{name:<10}" if name else "", subsequent_indent=indent)


def progress_text(progress: Progress) -> str:
    """Score of a person beside the tool's on the same cases."""
    if not progress.cases:
        return "No case answered yet.\n"
    rows = [("", "you", "the tool"), *_tally_rows(progress.person, progress.tool)]
    lines = [f"{counted(progress.cases, 'case')} answered", *columned(rows)]
    lines.append(f"  next checks that the tool would do, too: {_of(progress.steps_agree)}")
    if len(progress.by_ten) > 1:
        lines.append("Progress")
        lines += columned(
            [
                (f"cases {one.first} to {one.last}", f"{one.right} right", f"Brier {one.brier:.2f}")
                for one in progress.by_ten
            ]
        )
    lines.append("Simulated vehicles; a score here is no proof of skill on real ones.")
    return "\n".join(lines) + "\n"


def _tally_rows(person: Tally, tool: Tally) -> Iterator[tuple[str, str, str]]:
    yield "right", _of(person.right), _of(tool.right)
    yield "faults found at their place", _of(person.found), _of(tool.found)
    yield "false alarms on sound vehicles", _of(person.false_alarms), _of(tool.false_alarms)
    yield 'rightly "cannot tell"', _of(person.open_rightly), _of(tool.open_rightly)
    yield "right when sure", _of(person.sure_right), _of(tool.sure_right)
    yield "mean Brier score (0 best)", _two(person.brier), _two(tool.brier)
    yield "overconfidence (0 best)", _signed(person.overconfidence), _signed(tool.overconfidence)


def _of(part: OutOf) -> str:
    return f"{part.count} of {part.of}"


def _two(value: float | None) -> str:
    return "-" if value is None else f"{value:.2f}"


def _signed(value: float | None) -> str:
    return "-" if value is None else f"{value:+.2f}"
