"""The answers in words: one headline and one line a question, the same for text, chart, page and list."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

from msgspec import Struct

from thermlog.advice.driving import STATIC_CHECK, moving, shared_reason
from thermlog.reports.surewords import chance_words
from thermlog.reports.wording import SIGNS, Show, corners_in_words
from thermlog.words.findings import Verdict
from thermlog.words.kinds import fault_kind
from thermlog.words.parts import SPOT_NAMES, Above
from thermlog.words.reasons import TWO_SIDED
from thermlog.words.reasontexts import reason_sentence
from thermlog.words.sentences import Page, degc, kelvin, listed, on_page, sentence
from thermlog.words.urgentwords import HUB_GAPS, PART_WORDS, seen_words
from thermlog.words.vehicle import FACE_SPOTS, axle_words, corner_words

if TYPE_CHECKING:
    from collections.abc import Iterable

    from thermlog.fleet.workrow import FleetRow
    from thermlog.followup.proof import Comparison
    from thermlog.words.findings import Answer, AnswerWord, Diagnosis, Urgent
    from thermlog.words.parts import PartAbove
    from thermlog.words.reasons import Reason, ReasonCode

    _Told: TypeAlias = Diagnosis | FleetRow | Comparison

QUESTIONS: tuple[str, str, str] = (
    "Does a brake drag?",
    "Does a brake not work?",
    "Is the whole vehicle hot?",
)
TellState: TypeAlias = Verdict | Literal["urgent"]
_OFF_ROAD = "Not driven on the road before that is settled."
# Reasons that come from the other drive of a vehicle: with braking, or without.
_BY_BRAKING: frozenset[ReasonCode] = frozenset({"hot_after_braking", "stands_out_cold", "both_sides_cold"})
_BY_ROLLING: frozenset[ReasonCode] = frozenset({"hot_without_braking"})
_BESIDE = {spot: name for spot, name in SPOT_NAMES.items() if spot not in FACE_SPOTS}
_PART_OVER: dict[Above, str] = {
    "mate": "its mate", "others": "the same of the other axles", "brake": "its own brake",
}  # fmt: skip


class Tell(Struct, frozen=True):
    """One part of the headline: what a sign stands for, and words. Without a state it goes with another."""

    state: TellState | None
    words: str

    def __str__(self) -> str:
        return self.words if self.state is None else f"{SIGNS[self.state]} {self.words}"


_CALLED: dict[Verdict, tuple[str, str]] = {  # of one brake, of several
    "hot": ("drags", "drag"),
    "cold": ("does not work", "do not work"),
}
_WATCHED: dict[Verdict, str] = {"hot": "may drag", "cold": "may not work"}
_HEAT = {"yes": "the whole vehicle is hot", "watch": "the whole vehicle is warmer than usual"}
_STANDS_OUT = Tell("even", "no brake stands out from the others")


def page_of(told: _Told, show: Show | None, *, below_axle: int | None = None) -> Page:
    """What reasons of a vehicle are put into; without a unit they speak kelvin and degrees Celsius."""
    return Page(unit=show, axle_count=told.axle_count, below_axle=below_axle)


def first_page_of(told: _Told, show: Show | None) -> Page:
    """The same for what is read by itself (headline, causes, what to do): with the words of the log, too."""
    return Page(unit=show, axle_count=told.axle_count, called=told.called)


def _names(corners: tuple[str, ...], page: Page) -> str:
    return listed(page.corner(one, page.axle_count or 0) for one in corners) if corners else ""


def said(reason: Reason, page: Page) -> str:
    """A reason in words for a page."""
    return str(on_page(reason_sentence(reason), page))


def said_all(reasons: Iterable[Reason], page: Page) -> list[str]:
    """Reasons in words, each once."""
    return list(dict.fromkeys(said(reason, page) for reason in reasons))


def headline(diagnosis: Diagnosis, *, show: Show | None = "C") -> str:
    """What the log says, in one line: urgent first, then what is odd, what is not, and what cannot be told.

    Parameters
    ----------
    diagnosis : Diagnosis
    show : {"C", "F"}
    """
    return "; ".join(map(str, headline_parts(diagnosis, show=show)))


def headline_parts(diagnosis: Diagnosis, *, show: Show | None = "C") -> list[Tell]:
    """The same, part by part, for pages that draw the signs.

    Parameters
    ----------
    diagnosis : Diagnosis
    show : {"C", "F"}
    """
    page = first_page_of(diagnosis, show)
    if not diagnosis.urgent:
        return _answers_in_one(diagnosis, page)
    stop = Tell("urgent", f"STOP DRIVING: {urgent_words(diagnosis.urgent, page)}")
    # beside what stops the vehicle nothing is said to be in order, only what is left to tell
    left = bool(diagnosis.parts_above) or any(one.open for one in diagnosis.answers.each)
    return [stop, *(_answers_in_one(diagnosis, page) if left else [])]


def urgent_words(urgent: Iterable[Urgent], page: Page) -> str:
    """Everything urgent in a few words, the most dangerous first; a hub is named once."""
    told = tuple(urgent)
    hot_hubs = {one.corner for one in told if one.code == "hub_hot"}
    said_once = (one for one in told if not (one.code in HUB_GAPS and one.corner in hot_hubs))
    return ", ".join(dict.fromkeys(_urgent(one, page) for one in said_once))


def _urgent(one: Urgent, page: Page) -> str:
    where = "" if one.corner is None else f" {_names((one.corner,), page)}"
    if one.code == "over_range":
        return f"reading above the gun's range{where and ' at'}{where}"
    part = PART_WORDS.get(one.code)
    if part is None:
        return f"{seen_words(one.code)}{where and ' at'}{where}"
    if one.value_degc is None or one.code in HUB_GAPS:
        return f"{part}{where}"
    return str(on_page(sentence("{}{} {}", part, where, degc(one.value_degc)), page))


def _answers_in_one(diagnosis: Diagnosis, page: Page) -> list[Tell]:
    drag, idle, heat = diagnosis.answers.each
    of_parts = [Tell("watch", part_words(one, page)) for one in diagnosis.parts_above]
    if not any(one.open for one in (drag, idle, heat)):
        even = Tell("even", "no brake drags, and every brake read does its part")
        return of_parts if diagnosis.urgent else [*of_parts, even]
    of_heat = [(heat, _heat_words(heat))] if heat.suspects else []
    shared = shared_reason(drag, idle)
    if shared is not None and drag.answer == "cannot_tell":
        both = "whether a brake drags or does not work cannot be told"
        asked = [(drag, Tell("cannot_tell", f"{both}: {said(shared, page)}"))]
    elif shared is not None:
        asked = [(drag, Tell("watch", said(shared, page)))]
    else:
        of_drag = _STANDS_OUT if of_heat and drag.answer == "no" else _drag_words(drag, page)
        both_asked = ((drag, of_drag), (idle, _idle_words(idle, page)))  # with the heat all may drag alike
        asked = [one for one in both_asked if not diagnosis.urgent or _says_more(one[0])]
    told = [*asked, *of_heat]
    suspected = [words for one, words in told if one.suspects]  # what is odd leads
    return [*suspected, *of_parts, *(words for one, words in told if not one.suspects)]


def _says_more(answer: Answer) -> bool:
    """True where an answer is open by more than what stops the vehicle, which is told already."""
    return answer.open and any(one.code != "seen_beside" for one in answer.reasons)


def part_words(part: PartAbove, page: Page) -> str:
    """A part beside the brakes that is watched, in a few words."""
    where, of = _names((part.corner,), page), SPOT_NAMES[part.spot]
    over = _PART_OVER[part.over]
    return str(on_page(sentence("{} {} {} above {}", where, of, kelvin(part.difference_k), over), page))


def not_driven(diagnosis: Diagnosis) -> str:
    """What the technician is told of driving where neither step nor caution says it by itself; else empty."""
    step = "" if diagnosis.next_check is None else diagnosis.next_check.id
    said = step == STATIC_CHECK or diagnosis.answers.idle.answer == "yes"
    return _OFF_ROAD if moving(diagnosis) == "off_road" and not said else ""


def either_way(diagnosis: Diagnosis) -> bool:
    """True where what was seen can be read in two ways: some brakes drag, or others do too little."""
    drag, idle, _ = diagnosis.answers.each
    first = drag.reasons[:1]
    told = drag.suspects or idle.suspects
    if not (told and first and drag.open and idle.open and first[0].code in TWO_SIDED):
        return False
    both = set(drag.corners) | set(idle.corners)
    return first == idle.reasons[:1] and both <= set(first[0].corners)


def rests_on_other_drive(diagnosis: Diagnosis) -> bool:
    """True if what is said rests on the other drive of the vehicle, with braking or without."""
    reasons = (reason for one in diagnosis.answers.each[:2] if one.suspects for reason in one.reasons)
    codes = _BY_BRAKING if diagnosis.drive == "coast" else _BY_ROLLING
    return any(reason.code in codes for reason in reasons)


def _drag_words(answer: Answer, page: Page) -> Tell:
    named = _names(answer.corners, page)
    if answer.answer == "yes":
        also = f"; {_names(answer.beside, page)} may, too" if answer.beside else ""
        return Tell("hot", f"{named} {_CALLED['hot'][len(answer.corners) != 1]}{also}")
    if answer.answer == "watch":
        return Tell("watch", f"{named} {_WATCHED['hot']}")
    if answer.answer == "no":
        return Tell("even", "no brake drags")
    return Tell("cannot_tell", f"whether a brake drags cannot be told{_because(answer, page)}")


def _idle_words(answer: Answer, page: Page) -> Tell:
    named = _names(answer.corners, page)
    if answer.answer == "yes":
        also = f"; so may {_names(answer.beside, page)}" if answer.beside else ""
        return Tell("cold", f"{named} {_CALLED['cold'][len(answer.corners) != 1]}{also}")
    if answer.answer == "watch":
        return Tell("watch", f"{named} {_WATCHED['cold']}")
    if answer.answer == "no":
        return Tell(None, "every brake read does its part")
    return Tell("cannot_tell", f"whether every brake works cannot be told{_because(answer, page)}")


def _heat_words(answer: Answer) -> Tell:
    return Tell("hot", _HEAT["yes"]) if answer.answer == "yes" else Tell("watch", _HEAT["watch"])


def _because(answer: Answer, page: Page) -> str:
    return f": {said(answer.reasons[0], page)}" if answer.reasons else ""


def answer_lines(diagnosis: Diagnosis, *, show: Show | None = "C") -> tuple[str, str, str]:
    """One line a question: sign, question, answer, the corners it names, its probability.

    Parameters
    ----------
    diagnosis : Diagnosis
    show : {"C", "F"}
    """
    page = page_of(diagnosis, show)
    drag, idle, heat = (
        _answer_line(question, one, state, page)
        for question, one, state in zip(
            QUESTIONS, diagnosis.answers.each, answer_states(diagnosis), strict=True
        )
    )
    return drag, idle, heat


def answer_states(diagnosis: Diagnosis) -> tuple[Verdict, Verdict, Verdict]:
    """What the sign of each answer stands for: a drag and a hot vehicle are hot, an idle brake is cold."""
    drag, idle, heat = diagnosis.answers.each
    return _state(drag, "hot"), _state(idle, "cold"), _state(heat, "hot")


def _state(answer: Answer, odd: Verdict) -> Verdict:
    if answer.answer == "yes":
        return odd
    return "even" if answer.answer == "no" else answer.answer


def _answer_line(question: str, answer: Answer, state: Verdict, page: Page) -> str:
    named = _names(answer.corners, page) if answer.suspects else ""
    chance = chance_words(answer, page.axle_count or 0)
    chance = chance and f" ({chance})"
    return f"{SIGNS[state]} {question} {ANSWER_WORDS[answer.answer]}{named and ': '}{named}{chance}"


ANSWER_WORDS: dict[AnswerWord, str] = {
    "no": "no",
    "watch": "watch",
    "yes": "yes",
    "cannot_tell": "cannot tell",
}


def row_headline(row: FleetRow, *, show: Show | None = "C", signed: bool = True) -> str:
    """What one line of a list of work is about, in a few words with its place.

    Parameters
    ----------
    row : FleetRow
    show : {"C", "F"}
    signed : bool
        False where a sign of another kind stands beside it.
    """
    state, words = _row_tell(row, show)
    return f"{SIGNS[state]} {words}" if signed else words


def _row_tell(row: FleetRow, show: Show | None) -> tuple[TellState, str]:
    page = first_page_of(row, show)
    if row.stops:
        return "urgent", f"STOP DRIVING: {urgent_words(row.urgent, page)}"
    if row.part is not None:
        return "watch", part_words(row.part, page)
    verdict, place = row.finding.verdict, row_place(row)
    if row.group == "again":
        return "cannot_tell", f"{open_questions(row)} cannot be told"
    if verdict == "even":
        return "even", "nothing stood out"
    if row.drags and row.idles and verdict == "watch":
        hot, cold = (_names(corners, page) for corners in (row.drags, row.idles))
        return verdict, f"{hot} may drag, or {cold} may not work"
    also = "" if verdict == "watch" else _beside_called(row, page)
    return verdict, "cannot tell" if verdict == "cannot_tell" else f"{place}{_row_verb(row)}{also}"


def _beside_called(row: FleetRow, page: Page) -> str:
    """What is watched beside what a line calls."""
    too = {"hot": (", too", " not work"), "cold": (" drag", ", too")}.get(row.finding.verdict, ("", ""))
    if row.heats:
        too = (" drag", " not work")
    told = zip((row.drags, row.idles), too, strict=True)
    return "".join(f"; {_names(corners, page)} may{words}" for corners, words in told if corners)


def _row_verb(row: FleetRow) -> str:
    verdict = row.finding.verdict
    if verdict == "hot" and fault_kind(row.pattern).shown_by == "hub":
        return " hot"
    if verdict == "hot" and (row.heats or (row.heat == "yes" and row.drag != "yes")):
        return f": {_HEAT['yes']}"
    if verdict in _CALLED:
        return f" {_CALLED[verdict][row.finding.suspect is None and len(row.members) != 1]}"
    told = bool(row.drags or row.idles or row.heats)
    drags = bool(row.drags) or (not told and row.drag in {"watch", "yes"})
    idle = bool(row.idles) or (not told and row.idle in {"watch", "yes"})
    if drags and idle:
        return ": odd, drag or lost braking"
    if not drags and not idle:
        return f": {_HEAT['watch']}"
    return f" {_WATCHED['hot' if drags else 'cold']}"


def row_place(row: FleetRow) -> str:
    """The odd corner, else the corners of the pattern, else the axle whose odd side is open."""
    axle = row.finding
    if places := _places_by_name(row):
        return ", ".join(places)
    if axle.suspect is not None:
        hub = " hub" if fault_kind(row.pattern).shown_by == "hub" and axle.verdict == "hot" else ""
        return corner_words(axle.suspect, row.axle_count, row.called) + hub
    if row.members and len(row.members) == 2 * row.axle_count > 2:
        return "every brake"
    if row.members:
        return corners_in_words(row.members, row.axle_count, row.called)
    if axle.verdict in {"even", "cannot_tell"}:
        return "whole vehicle"
    return f"{axle_words(axle.axle, row.axle_count)}, left or right" if axle.axle else "place not known"


def _places_by_name(row: FleetRow) -> list[str]:
    """Wheels at which something stops the vehicle, or a part is watched, with the part that is meant."""
    if row.part is not None and not row.stops:
        return [f"{corner_words(row.part.corner, row.axle_count, row.called)} {SPOT_NAMES[row.part.spot]}"]
    places = (
        corner_words(one.corner, row.axle_count, row.called)
        + (f" {_BESIDE[one.spot]}" if one.spot in _BESIDE else "")
        for one in (row.urgent if row.stops else ())
        if one.corner is not None
    )
    return list(dict.fromkeys(places))


def open_questions(row: FleetRow) -> str:
    """Which of the three questions the log leaves open, in words; empty if none."""
    answers = {"drag": row.drag, "idle": row.idle, "heat": row.heat}
    still = [name for name, word in answers.items() if word == "cannot_tell"]
    if len(still) > 1 and "heat" in still:
        still.remove("heat")  # what leaves a brake open leaves the whole vehicle open too
    return " and ".join(_OPEN[name] for name in still)


_OPEN = {
    "drag": "whether a brake drags",
    "idle": "whether every brake works",
    "heat": "whether the whole vehicle is hot",
}
