"""What the log says so far -> what the page shows, in the words of all other outputs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from thermlog.bay.messages import AnswerTile, BayView, CheckTile, NextTile
from thermlog.pages.planview import plan_of
from thermlog.reports.report_narrow import ENDINGS, differing_lines
from thermlog.reports.report_text import last_words
from thermlog.reports.summary import (
    ANSWER_WORDS,
    QUESTIONS,
    answer_states,
    first_page_of,
    page_of,
    said,
    urgent_words,
)
from thermlog.reports.surewords import chance_words
from thermlog.reports.wording import STANDING_WORDS, Show, corners_in_words
from thermlog.taking.live import steps
from thermlog.taking.panel import stops_untold
from thermlog.taking.wheelorder import LAPS, both_settled, next_wheel, round_order
from thermlog.words.sentences import Page, on_page

if TYPE_CHECKING:
    from thermlog.advice.narrowing import Narrowed
    from thermlog.taking.live import LiveFinding
    from thermlog.taking.walking import WalkInProgress
    from thermlog.words.findings import Diagnosis, Suspect

_CAUSES = 4


def view_of(finding: LiveFinding, walk: WalkInProgress, show: Show) -> BayView:
    """Everything that a page shows of a walk.

    Parameters
    ----------
    finding : LiveFinding
    walk : WalkInProgress
    show : {"C", "F"}
    """
    told = finding.told
    proposed = next_wheel(walk, finding.answers)
    ahead = tuple(_ahead(walk))
    first = None if proposed is None else NextTile(
        corner=proposed.corner, from_s=proposed.from_s, why=proposed.why
    )  # fmt: skip
    if told is None:
        words = urgent_words(stops_untold(walk), Page(unit=show, axle_count=walk.head.axle_count))
        return BayView(next=first, ahead=ahead, urgent=words, refusal=finding.refusal)
    page = page_of(told, show)
    rounds = min(walk.counts().values()) >= LAPS
    decided = steps(told.answers, drives=False) if rounds else ()
    drives = steps(told.answers, drives=True) if rounds else ()
    settled = rounds and both_settled(told.answers)
    last, called = last_words(told, show=show), _called(told, settled=settled)
    return BayView(
        urgent=urgent_words(told.urgent, page),
        answers=_answers(told, page),
        states={wheel.corner: wheel.state for wheel in plan_of(told).wheels},
        settled=settled,
        next=first,
        ahead=ahead,
        steps=tuple(said(step, page) for step in decided),
        drives=tuple(said(step, page) for step in drives),
        checks=bool(told.suspects),
        do_next=last.do_next if called else "",
        caution=last.caution if called else "",
        last_lines=tuple(last.lines()),
    )


def _called(told: Diagnosis, *, settled: bool) -> bool:
    """True where something stops the vehicle or is called; at the end of a walk also where it is watched."""
    each = told.answers.each
    return (
        bool(told.urgent)
        or any(one.answer == "yes" for one in each)
        or (settled and any(one.suspects for one in each))
    )


def check_of_search(narrowed: Narrowed, told: Diagnosis, show: Show) -> CheckTile:
    """The next check, or why the search has ended."""
    narrowed = on_page(narrowed, first_page_of(told, show))
    check = narrowed.check
    ended = [ENDINGS[narrowed.ending]] if narrowed.ending else []
    if (rest := narrowed.remedy) is not None:
        ended += [rest.do, f"Look at, too: {rest.also}", rest.safety]
    found = CheckTile(
        id="", question="", how=narrowed.how, safety="", minutes=0.0, answers=narrowed.answers,
        ending=" ".join((*narrowed.cautions, *differing_lines(narrowed), *ended)),
        causes=tuple(map(_cause, narrowed.suspects[:_CAUSES])),
        about=narrowed.about,
        others=narrowed.others,
    )  # fmt: skip
    if check is None:
        return found
    return replace(found, id=check.id, question=check.question, safety=check.safety, minutes=check.minutes)


def _cause(one: Suspect) -> str:
    return f"{one.name}, {one.place}: {STANDING_WORDS[one.standing]}"


def _answers(told: Diagnosis, page: Page) -> tuple[AnswerTile, ...]:
    """The two questions a walk is about."""
    each = zip(QUESTIONS, told.answers.each, answer_states(told), strict=True)
    return tuple(
        AnswerTile(
            question=question,
            state=state,
            word=ANSWER_WORDS[one.answer],
            corners=corners_in_words(one.corners, told.axle_count) if one.suspects else "",
            chance=chance_words(one, told.axle_count),
            reason=said(one.reasons[0], page) if one.reasons else "",
        )
        for question, one, state in list(each)[:2]
    )


def _ahead(walk: WalkInProgress) -> list[str]:
    """What is left of this round, and the whole next one."""
    counts = walk.counts()
    lap = min(counts.values())
    count = walk.head.axle_count
    left = [corner for corner in round_order(count, lap) if counts[corner] == lap]
    return [*left, *round_order(count, lap + 1)]
